"""Composition of a bath, as concentrations and as grams, and the exact way between the two.

Litres do not add, grams do: mixing, dilution and topping up are sums of `Masses`, and the volume follows from
the density model at 20 degC. No temperature enters here.
"""

from dataclasses import dataclass
from typing import NamedTuple

from advisor.solution.density import density, density_from_mass_fractions
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import Number


@dataclass(frozen=True)
class Masses:
    """What a bath is made of [g]: crystals, pure acid, foreign solids, and the water outside the crystals."""

    copper_sulfate: Number  # as CuSO4.5H2O
    sulfuric_acid: Number  # as H2SO4
    foreign_solids: Number  # as FeSO4
    water: Number  # beside the water of crystallisation

    @property
    def total(self) -> Number:
        """All of it together [g]."""
        return self.copper_sulfate + self.sulfuric_acid + self.foreign_solids + self.water

    def __add__(self, other: "Masses") -> "Masses":
        return Masses(
            self.copper_sulfate + other.copper_sulfate,
            self.sulfuric_acid + other.sulfuric_acid,
            self.foreign_solids + other.foreign_solids,
            self.water + other.water,
        )


class Composition(NamedTuple):
    """A bath at 20 degC: [g/L] of CuSO4.5H2O, free H2SO4, foreign solids as FeSO4, and its volume [L]."""

    copper_sulfate: Number
    sulfuric_acid: Number
    foreign_solids: Number
    volume: Number


def masses(copper_sulfate: Number, sulfuric_acid: Number, foreign_solids: Number, volume: Number) -> Masses:
    """The grams in `volume` [L at 20 degC] of a bath with these concentrations [g/L at 20 degC]."""
    total = 1000.0 * volume * density(copper_sulfate, sulfuric_acid, foreign_solids)
    solutes = volume * (copper_sulfate + sulfuric_acid + foreign_solids)
    return Masses(volume * copper_sulfate, volume * sulfuric_acid, volume * foreign_solids, water=total - solutes)


def composition(of: Masses) -> Composition:
    """Concentrations and volume at 20 degC of what these grams make; the exact inverse of `masses`."""
    volume = volume_of(of)
    return Composition(of.copper_sulfate / volume, of.sulfuric_acid / volume, of.foreign_solids / volume, volume)


def volume_of(of: Masses) -> Number:
    """Volume [L at 20 degC] of what these grams make."""
    total = of.total
    density_at_20 = density_from_mass_fractions(
        of.copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / total,
        of.sulfuric_acid / total,
        of.foreign_solids / total,
    )
    return total / (1000.0 * density_at_20)
