"""What the bath is made up and corrected from: acid of a stated strength, crystals, a source of chloride.

Turns labels (strength, density, purity, copper content) into grams and millilitres. Acid follows a handbook
table, not the bath's mixing rule, which fails in strong acid.

Sources
-------
Acid: CRC Handbook of Chemistry and Physics, 102nd ed. (2021), "Concentrative Properties of Aqueous
Solutions", 2-100 % at 20 degC (`reference_tables/acid_strength.csv`). Hydrochloric acid: handbook densities
at 20 degC from memory (`reference_tables/hydrochloric_acid.csv`).
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from advisor.basis import tables
from advisor.solution.density import water_density
from advisor.solution.molar_masses import (
    ANHYDROUS_PER_PENTAHYDRATE,
    CHLORINE,
    HYDROGEN_CHLORIDE,
    PENTAHYDRATE_PER_COPPER,
    SODIUM_CHLORIDE,
)
from advisor.solution.ranges import Number, check_range

# Mass fractions on the two labels that people have: battery acid as it is filled in, and technical acid, which is 94 to
# 98 % and is taken where no label was told (from memory).
BATTERY_ACID, CONCENTRATED_ACID = 0.37, 0.96
# Judgement.
STRONGEST_GRADED_ACID = 0.93  # mass fraction; beyond, the density hardly changes, peaks near 98 % and falls again
_ROUNDING = 5e-4  # [g/mL], half the last figure of a density given to three decimals (exact)
COPPER_CONTENTS = (0.128, 0.399)  # [g/g]: half as much as the pentahydrate has; no copper sulfate has more (judgement)
STRONGEST_HYDROCHLORIC_ACID = 0.40  # [g/g], where its table ends; what is sold as fuming is 38 % (from memory)
CRYSTAL_FORMS = ("pentahydrate", "anhydrous")


class AcidTooStrongToGrade(ValueError):
    """The density of an acid above 93 % does not tell its strength."""

    def __init__(self, density: float) -> None:
        super().__init__(
            f"an acid of {density:.3f} g/mL is stronger than 93 %, and there a hydrometer cannot grade it: "
            "the density hardly changes, peaks near 98 % and falls again. Take the strength from the label."
        )
        self.density = density


class UnknownForm(ValueError):
    """Copper sulfate or a chloride source in a form that is not known here."""


@cache
def _acid_table() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mass fraction and density [g/mL] at 20 degC, water first."""
    strength = tables.column("acid_strength", "mass_percent") / 100.0
    density = tables.column("acid_strength", "density_g_mL")
    return np.append(0.0, strength), np.append(water_density(20.0), density)


def acid_density(strength: Number) -> Number:
    """Density [g/mL] of sulfuric acid at 20 degC from its strength [g H2SO4 per g].

    Straight between the table's rows; accuracy 0.0002 g/mL. Raises `OutOfRange` outside 0-1.
    """
    check_range("acid strength", strength, "g/g", 0.0, 1.0)
    return np.interp(strength, *_acid_table())


def acid_strength(density: float) -> float:
    """Strength [g H2SO4 per g] of an acid from its density [g/mL] at 20 degC.

    Accuracy 0.1 % acid up to 80 %, 0.4 % acid at 93 %, where 0.001 g/mL is 0.3 % acid already.

    Raises
    ------
    OutOfRange
        Lighter than water, or heavier than any acid.
    AcidTooStrongToGrade
        Above 93 %.
    """
    strengths, densities = _acid_table()
    check_range("acid density at 20 degC", density, "g/mL", densities[0] - _ROUNDING, densities.max() + _ROUNDING)
    graded = strengths <= STRONGEST_GRADED_ACID
    if density > densities[graded][-1] + _ROUNDING:
        raise AcidTooStrongToGrade(density)
    return float(np.interp(density, densities[graded], strengths[graded]))


@dataclass(frozen=True)
class AcidStock:
    """Sulfuric acid on hand: `strength` [g H2SO4 per g] and `density` [g/mL at 20 degC]."""

    strength: float
    density: float

    @classmethod
    def from_strength(cls, strength: float) -> "AcidStock":
        """From the label [g/g]; raises `OutOfRange` unless 0.01-1."""
        check_range("acid strength", strength, "g/g", 0.01, 1.0)
        return cls(strength, float(acid_density(strength)))

    @classmethod
    def from_density(cls, density: float) -> "AcidStock":
        """From a hydrometer [g/mL at 20 degC]; raises as `acid_strength` does."""
        return cls.from_strength(acid_strength(density))


def pentahydrate_mass_fraction(purity: float, form: str) -> float:
    """Grams of CuSO4.5H2O that a gram of crystals stands for; above 1 for anhydrous (1.564 when pure).

    `purity` [g/g] is of the named form, 0.5-1 (else `OutOfRange`); an unknown form raises `UnknownForm`.
    """
    check_range("purity of the crystals", purity, "g/g", 0.5, 1.0)
    if form not in CRYSTAL_FORMS:
        raise UnknownForm(f"no form of copper sulfate {form!r}; known: {', '.join(CRYSTAL_FORMS)}")
    return purity if form == "pentahydrate" else purity / ANHYDROUS_PER_PENTAHYDRATE


def is_anhydrous(pentahydrate: float) -> bool:
    """Tell whether a salt has lost its water: a gram of it stands for more than a gram of pentahydrate [g per g]."""
    return pentahydrate > 1


def pentahydrate_mass_fraction_from_copper_content(copper_content: float) -> float:
    """The same from the copper content [g Cu per g]: 0.2545 is pure pentahydrate, 0.398 anhydrous.

    Raises `OutOfRange` beyond `COPPER_CONTENTS`: less is no copper sulfate worth the name, more is another
    compound.
    """
    check_range("copper content of the crystals", copper_content, "g/g", *COPPER_CONTENTS)
    return copper_content * PENTAHYDRATE_PER_COPPER


def inert_mass_fraction(pentahydrate: float) -> float:
    """What is neither copper sulfate nor water in crystals [g per g] that stand for so much pentahydrate [g per g].

    Those that stand for more than themselves have lost water, and what such a powder lacks of pure is taken for water
    that it has drawn again (judgement).
    """
    return max(1 - pentahydrate, 0.0)


def hydrochloric_acid_density(strength: Number) -> Number:
    """Density [g/mL] of hydrochloric acid at 20 degC from its strength [g HCl per g].

    Straight between rows recalled from memory; accuracy 0.002 g/mL. Raises `OutOfRange` beyond them.
    """
    check_range("strength of the hydrochloric acid", strength, "g/g", 0.0, STRONGEST_HYDROCHLORIC_ACID)
    percent = tables.column("hydrochloric_acid", "mass_percent")
    return np.interp(strength, percent / 100.0, tables.column("hydrochloric_acid", "density_g_mL"))


CHLORIDE_PER_GRAM = {
    "hydrochloric acid": CHLORINE / HYDROGEN_CHLORIDE,
    "sodium chloride": CHLORINE / SODIUM_CHLORIDE,
}
"""Grams of chloride in a gram of the pure compound."""

# Computed.
SALT_SOLUTION = 16.5  # [g/L sodium chloride], by which chloride is dosed: a millilitre holds 10 mg of chloride
SALT_SOLUTION_CHLORIDE = SALT_SOLUTION * CHLORIDE_PER_GRAM["sodium chloride"]  # [g/L], the same as mg/mL


def chloride_mass_fraction(kind: str, strength: float) -> float:
    """Grams of chloride in a gram of a source of this strength [g of the compound per g].

    Raises `UnknownForm` for an unknown kind, `OutOfRange` outside 0-1.
    """
    if kind not in CHLORIDE_PER_GRAM:
        raise UnknownForm(f"no source of chloride {kind!r}; known: {', '.join(CHLORIDE_PER_GRAM)}")
    check_range(f"strength of the {kind}", strength, "g/g", 0.0, 1.0)
    return strength * CHLORIDE_PER_GRAM[kind]
