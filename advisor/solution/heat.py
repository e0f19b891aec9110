"""How much a liquid warms when acid is poured into it, and warms or cools when copper sulfate dissolves.

Adiabatic, and the heat that what is added takes up itself is left out: upper bounds for a slow hand.

Sources
-------
Heat of dilution of sulfuric acid: J. Thomsen's formula Q = 74.7 n/(n + 1.80) kJ/mol for n mol of water a mol of acid,
from memory. Against the heats of formation of the National Bureau of Standards as printed in R. H. Petrucci et al.,
General Chemistry, 10th ed., problem 7-126 (read in a transcription), it is 5 % low at 10 mol, 1 % at 50, right at 100,
3 % low at 500. What it lacks beyond is the second dissociation, which the sulfate of a bath holds back.
CuSO4.5H2O takes up 11.7 kJ/mol and CuSO4 gives off 66.1 kJ/mol on dissolving (printed in collections of problems of
general chemistry after Thomsen, 1 mol in about 400 of water; read in one, +11.72 and -66.11). At infinite dilution it
is 6.3 (6.0-6.6 in the PHREEQC databases): of a bath that would tell half of the cooling, 0.6 degC for 100 g/L, not 1.2.
Heat capacities: water 4.18 J/(g K), CRC Handbook, from memory; a bath 3.5 J/(g K) at 1.16 g/mL, judgement, from water
less its solids.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.solution.composition import masses
from advisor.solution.molar_masses import (
    ANHYDROUS_PER_PENTAHYDRATE,
    COPPER_SULFATE_PENTAHYDRATE,
    SULFURIC_ACID,
    WATER,
)

WATER_HEAT_CAPACITY = 4180.0 * 0.9982  # J/(L K) at 20 degC; from memory (see above)
BATH_HEAT_CAPACITY = 3500.0 * 1.16  # J/(L K); judgement (see above)
ALL_DILUTED = 74_700.0  # J/mol; Thomsen, from memory
HALF_DILUTED_AT = 1.80  # mol of water a mol of acid; Thomsen, from memory
CRYSTALS_TAKE_UP = 11_700.0  # J/mol of CuSO4.5H2O; read (see above)
ANHYDROUS_GIVES = 66_100.0  # J/mol of CuSO4; read (see above)


@dataclass(frozen=True)
class Liquid:
    """What acid is poured into: volume [L], water and sulfuric acid in it [g], heat capacity [J/K]."""

    litres: float
    water: float
    sulfuric_acid: float
    heat_capacity: float

    def warming(self, acid_solution: float, strength: float) -> float:
        """Return the rise in temperature [K] when acid solution [g] of a strength [g/g] goes in."""
        return heat_of_pouring(acid_solution, strength, self) / self.heat_capacity if self.heat_capacity > 0 else 0.0


def water_of(litres: float) -> Liquid:
    """Return water of a volume [L]."""
    return Liquid(litres, 998.2 * litres, 0.0, WATER_HEAT_CAPACITY * litres)


def bath_of(litres: float, copper_sulfate: float, sulfuric_acid: float) -> Liquid:
    """Return bath of a volume [L] and composition [g/L, g/L]; the water of the crystals dilutes acid too."""
    held = masses(copper_sulfate, sulfuric_acid, 0.0, litres)
    water = float(held.water + held.copper_sulfate * (1 - ANHYDROUS_PER_PENTAHYDRATE))
    return Liquid(litres, water, max(float(held.sulfuric_acid), 0.0), BATH_HEAT_CAPACITY * litres)


def heat_of_dilution(water_per_acid: float) -> float:
    """Return the heat given off by a mole of pure H2SO4 on taking up so many moles of water [J/mol]."""
    return ALL_DILUTED * water_per_acid / (water_per_acid + HALF_DILUTED_AT)


def heat_of_pouring(acid_solution: float, strength: float, into: Liquid) -> float:
    """Return the heat [J] given off when acid solution [g] of a strength [g/g] is poured into a liquid."""
    poured = acid_solution * strength / SULFURIC_ACID
    if poured <= 0 or into.litres <= 0:
        return 0.0
    there, water = into.sulfuric_acid / SULFURIC_ACID, into.water / WATER
    brought = acid_solution * (1 - strength) / WATER
    before = poured * heat_of_dilution(brought / poured) + (there * heat_of_dilution(water / there) if there else 0.0)
    total = poured + there
    return total * heat_of_dilution((water + brought) / total) - before


def warming_by_acid(acid_solution: float, strength: float, bath: float) -> float:
    """Return the rise in temperature [K] when acid solution [g] of a strength [g/g] goes into a whole bath [L].

    Of the bath only the volume is asked: what it holds changes the rise by a few hundredths.
    """
    water = water_of(bath)
    return heat_of_pouring(acid_solution, strength, water) / (BATH_HEAT_CAPACITY * bath) if bath > 0 else 0.0


def cooling_by_crystals(crystals: float, litres: float) -> float:
    """Return the fall in temperature [K] when pentahydrate crystals [g] dissolve in a liquid [L]."""
    return crystals / COPPER_SULFATE_PENTAHYDRATE * CRYSTALS_TAKE_UP / (BATH_HEAT_CAPACITY * litres) if litres else 0.0


def warming_by_anhydrous(pentahydrate: float, litres: float) -> float:
    """Return the rise in temperature [K] when anhydrous copper sulfate dissolves, its grams counted as pentahydrate."""
    return pentahydrate / COPPER_SULFATE_PENTAHYDRATE * ANHYDROUS_GIVES / (BATH_HEAT_CAPACITY * litres) if litres else 0
