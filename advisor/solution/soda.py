"""What soda leaves in a bath whose acid it lowered: sodium sulfate that stays, and acid that is gone.

The amounts follow from molar masses: two sodium make one Na2SO4 and take one H2SO4. How much is still in the tank is
judgement: some has left with the parts since.
"""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from advisor.solution import molar_masses

STILL_THERE, STILL_THERE_SPREAD = 0.85, 0.10  # share of what once went in (judgement)
# Relative standard uncertainty of how much went in, where no ± was typed: by the spoon, months ago (judgement).
REMEMBERED = 0.20

# [g/mol] and sodium atoms a formula unit of what is sold.
# Computed.
_AS_SOLD = {
    "sodium hydroxide": (molar_masses.SODIUM_HYDROXIDE, 1),
    "sodium bicarbonate": (molar_masses.SODIUM_BICARBONATE, 1),
    "sodium carbonate": (molar_masses.SODIUM_CARBONATE, 2),
    "sodium carbonate monohydrate": (molar_masses.SODIUM_CARBONATE + molar_masses.WATER, 2),
    "sodium carbonate decahydrate": (molar_masses.SODIUM_CARBONATE + 10 * molar_masses.WATER, 2),
}
SODAS = tuple(_AS_SOLD)


class Left(NamedTuple):
    """What soda left behind [g/L of the bath], and the relative standard uncertainty of both."""

    sodium_sulfate: float
    acid_used: float
    relative_uncertainty: float


def left_by_soda(grams: float, remembered: float | None, soda: str, litres: float) -> Left:
    """Return what a mass of soda [g] (one of `SODAS`) has left in a bath [L].

    remembered: relative standard uncertainty of the mass, None where nothing is known of it.
    """
    mass, sodium = _AS_SOLD[soda]
    mol = STILL_THERE * grams / mass * sodium / 2 / litres
    spread = hypot(STILL_THERE_SPREAD / STILL_THERE, REMEMBERED if remembered is None else remembered)
    return Left(mol * molar_masses.SODIUM_SULFATE, mol * molar_masses.SULFURIC_ACID, spread)
