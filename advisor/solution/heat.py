"""How much the bath warms when acid is poured in, and cools when crystals dissolve.

Adiabatic: nothing is lost to the room, so these are upper bounds for a slow hand.

Sources
-------
Heat of dilution of sulfuric acid: J. Thomsen's formula Q = 74.7 n/(n + 1.80) kJ/mol for n mol of water a mol of acid,
from memory; within 6 % of heats of formation of the National Bureau of Standards, from memory. CuSO4.5H2O dissolving:
6.3 kJ/mol taken up (6.0-6.6 in the PHREEQC databases). Heat capacity of a bath, 3.5 J/(g K): judgement, from water
less its solids.
"""

from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID, WATER

_HEAT_CAPACITY = 3500.0 * 1.16  # J/(L K) (source: the head of this file)
_CRYSTALS_TAKE_UP = 6300.0  # J/mol (source: the head of this file)


def _heat_given(water_per_acid: float) -> float:
    """Heat given off by a mole of H2SO4 on taking up so many moles of water [J/mol]."""
    return 74_700.0 * water_per_acid / (water_per_acid + 1.80)


def warming_by_acid(acid_solution: float, strength: float, bath: float) -> float:
    """Return the rise in temperature [K] when acid solution [g] of a strength [g/g] goes into a bath [L]."""
    mol = acid_solution * strength / SULFURIC_ACID
    if mol <= 0 or bath <= 0:
        return 0.0
    before = (1 - strength) / strength * SULFURIC_ACID / WATER
    after = before + 1000 * bath / WATER / mol
    return mol * (_heat_given(after) - _heat_given(before)) / (_HEAT_CAPACITY * bath)


def cooling_by_crystals(crystals: float, bath: float) -> float:
    """Return the fall in temperature [K] when pentahydrate crystals [g] dissolve in a bath [L]."""
    return crystals / COPPER_SULFATE_PENTAHYDRATE * _CRYSTALS_TAKE_UP / (_HEAT_CAPACITY * bath) if bath > 0 else 0.0
