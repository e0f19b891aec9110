"""How much the bath warms when acid is poured in, and warms or cools when copper sulfate dissolves.

Adiabatic: nothing is lost to the room, and what the added substance takes up itself is left out, so these are upper
bounds for someone who pours slowly.

Sources
-------
Heat of dilution of sulfuric acid: J. Thomsen's formula Q = 74.7 n/(n + 1.80) kJ/mol for n mol of water a mol of acid,
from memory. Against enthalpies of formation as printed in R. H. Petrucci et al., General Chemistry, 10th ed., problem
7-126 (read in a transcription), it is 5 % low at 10 mol, 1 % at 50, right at 100, 3 % low at 500. What it lacks beyond
is the second dissociation, which the sulfate of a bath holds back.
CuSO4.5H2O takes up 11.7 kJ/mol and CuSO4 gives off 66.1 kJ/mol on dissolving (printed in a collection of problems in
general chemistry, read: +11.72 and -66.11; 1 mol in some hundreds of water, after Thomsen, from memory). At infinite
dilution it is 6.3 (6.0-6.6 in the PHREEQC databases), and 73.1 for CuSO4: with those a bath would seem to cool by 0.6
degC for 100 g/L of crystals where it cools by 1.2.
Heat capacity of a bath, 3.5 J/(g K) at 1.16 g/mL: judgement, from water less its solids; 3 % below water's.
"""

from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID, WATER

HEAT_CAPACITY = 3500.0 * 1.16  # J/(L K) (source: the head of this file)
ALL_DILUTED = 74_700.0  # J/mol (source: the head of this file)
HALF_DILUTED_AT = 1.80  # mol of water a mol of acid (source: the head of this file)
CRYSTALS_TAKE_UP = 11_700.0  # J/mol of CuSO4.5H2O (source: the head of this file)
ANHYDROUS_GIVES = 66_100.0  # J/mol of CuSO4 (source: the head of this file)


def heat_of_dilution(water_per_acid: float) -> float:
    """Return the heat given off by a mole of pure H2SO4 on taking up so many moles of water [J/mol]."""
    return ALL_DILUTED * water_per_acid / (water_per_acid + HALF_DILUTED_AT)


def warming_by_acid(acid_solution: float, strength: float, bath: float) -> float:
    """Return the rise in temperature [K] when acid solution [g] of a strength [g/g] goes into a bath [L]."""
    mol = acid_solution * strength / SULFURIC_ACID
    if mol <= 0 or bath <= 0:
        return 0.0
    before = (1 - strength) / strength * SULFURIC_ACID / WATER
    after = before + 1000 * bath / WATER / mol
    return mol * (heat_of_dilution(after) - heat_of_dilution(before)) / (HEAT_CAPACITY * bath)


def cooling_by_crystals(crystals: float, bath: float) -> float:
    """Return the fall in temperature [K] when pentahydrate crystals [g] dissolve in a bath [L]."""
    return crystals / COPPER_SULFATE_PENTAHYDRATE * CRYSTALS_TAKE_UP / (HEAT_CAPACITY * bath) if bath > 0 else 0.0


def warming_by_anhydrous(pentahydrate: float, bath: float) -> float:
    """Return the rise in temperature [K] when anhydrous copper sulfate dissolves, its grams counted as pentahydrate."""
    mol = pentahydrate / COPPER_SULFATE_PENTAHYDRATE
    return mol * ANHYDROUS_GIVES / (HEAT_CAPACITY * bath) if bath > 0 else 0.0
