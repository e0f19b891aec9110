"""Faraday's law: what a charge deposits, and how thick that lies on a part."""

from __future__ import annotations

from advisor.solution.molar_masses import COPPER

FARADAY = 96485.33  # [C/mol], CODATA 2018 (from memory)
MOL_PER_AMPERE_HOUR = 3600.0 / (2.0 * FARADAY)  # [mol/(A h)] of copper, two electrons an ion (computed)
COPPER_PER_AMPERE_HOUR = COPPER * MOL_PER_AMPERE_HOUR  # [g/(A h)], 1.1855
COPPER_DENSITY = 8.96  # g/mL, from memory


def mass_deposited(charge: float, molar_mass: float = COPPER, electrons: int = 2, faraday: float = FARADAY) -> float:
    """Return the metal [g] that a charge [A·h] deposits; molar mass [g/mol], electrons an ion, faraday [C/mol].

    All current deposits metal, as it essentially does in acid copper (Metal Finishing Guidebook 2011-12, p. 206).
    Copper: 1.1855 g/A·h.
    """
    return charge * 3600.0 * molar_mass / (electrons * faraday)


def charge_for_mass(mass: float, molar_mass: float = COPPER, electrons: int = 2, faraday: float = FARADAY) -> float:
    """Return the charge [A·h] that deposits a mass [g]; the inverse of `mass_deposited`."""
    return mass / mass_deposited(1.0, molar_mass, electrons, faraday)


def layer_mass(area: float, thickness: float, density: float = COPPER_DENSITY) -> float:
    """Return the mass [g] of a layer, area [dm2], thickness [mm], density [g/mL]."""
    return 10.0 * area * thickness * density


def layer_thickness(mass: float, area: float) -> float:
    """Return the average thickness [mm] of a layer of copper, mass [g], area [dm2]; the inverse of `layer_mass`."""
    return mass / layer_mass(area, 1.0)
