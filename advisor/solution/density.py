"""Density of the bath from its composition, and what a density says about the composition.

Mixing rule of Laliberté and Cooper: the volumes of water and of each solute add, and a solute's specific
volume depends on the total mass fraction of solutes and on temperature. The specific volumes are computed
directly: the printed form divides by an apparent density that passes through infinity in dilute copper
sulfate. Made for baths; for stock acid use `stock`, which follows a handbook table (at 96 % this rule is 0.12
g/mL too high).

Sources
-------
Marc Laliberté and W. Edward Cooper, "Model for Calculating the Density of Aqueous Electrolyte Solutions", J.
Chem. Eng. Data 49 (2004) 1141-1151: the rule, the density of water, validation on 1600 mixture points
(abstract: standard deviation 1.39 kg/m3). Marc Laliberté, "A Model for Calculating the Heat Capacity of
Aqueous Solutions, with Updated Density and Viscosity Data", J. Chem. Eng. Data 54 (2009) 1725-1760: the
parameters, read in the data of the open-source packages `thermo` and `chemicals`. Fitted over CuSO4 10-60
degC, mass fraction up to 0.284; H2SO4 -11-75 degC, up to 0.782; FeSO4 15-25 degC, up to 0.233.

Accuracy: CuSO4 at 20 degC against the CRC Handbook, largest difference 1.7 mg/mL; H2SO4 up to 25 %, 1.1
mg/mL. No measured mixture of both was to hand: `MODEL_STANDARD_UNCERTAINTY` is the published figure for
mixtures, rounded up.
"""

from dataclasses import dataclass
from functools import cached_property
from math import exp

import numpy as np

from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import Number

MODEL_STANDARD_UNCERTAINTY = 0.0015  # [g/mL]
REFERENCE_TEMPERATURE = 20.0  # [degC]; all concentrations are stated at this temperature

# The parameters of CuSO4 and FeSO4 are singular at a total mass fraction of 0.54, and beyond 0.4 the density of an
# acid mixture falls with more solute, where a fit could get lost. No bath reaches 0.35; below that the limit changes
# no density by 0.01 mg/mL.
_LARGEST_MASS_FRACTION = 0.38
_SHARPNESS = 80  # the power in `_limited`; even, so that slightly negative fractions pass
_ROUNDS = 10  # of the iteration for the density at 20 degC


@dataclass(frozen=True)
class _Solute:
    """Parameters of one solute; its specific volume is (w + c2 + c3 T) / ((c0 w + c1) exp(1e-6 (T + c4)^2))."""

    c0: float
    c1: float
    c2: float
    c3: float
    c4: float

    def specific_volume(self, w: Number, temperature: Number) -> Number:
        """[mL/g] in a solution with total mass fraction w of solutes; the parameters give m3/kg."""
        return 1000.0 * np.exp(-1e-6 * (temperature + self.c4) ** 2) * self._shape(w, temperature)

    def specific_volume_at_20(self, w: Number) -> Number:
        """The same at 20 degC, without an exponential and so fast enough for an iteration."""
        return self.scale_at_20 * self._shape(w, REFERENCE_TEMPERATURE)

    def _shape(self, w: Number, temperature: Number) -> Number:
        return (w + (self.c2 + self.c3 * temperature)) / (self.c0 * w + self.c1)

    @cached_property
    def scale_at_20(self) -> float:
        return 1000.0 * exp(-1e-6 * (REFERENCE_TEMPERATURE + self.c4) ** 2)


_COPPER_SULFATE = _Solute(
    -1.12078294150285e-06, 6.06850590612117e-07, -0.118863232463814, 0.00378050075860551, 4763.96073964247
)
_SULFURIC_ACID = _Solute(70.8395152347122, 142.352693909248, 0.68779459618793, 0.00649299683206703, 1667.23864629522)
_IRON_SULFATE = _Solute(-0.224719650197381, 0.121140350304029, 0.735724466696064, -0.021864836634371, 3325.11261125387)
_IRON_SULFATE_TEMPERATURES = (15.0, 25.0)  # fitted range [degC]; from 34 degC the volume would be negative


def water_density(temperature: Number) -> Number:
    """Density of water [g/mL] at a temperature [degC] of 0-100 (Laliberté and Cooper 2004)."""
    t = temperature
    numerator = ((((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176) * t
    return (numerator + 999.83952) / (1.0 + 0.01687985 * t) / 1000.0


WATER_DENSITY = float(water_density(REFERENCE_TEMPERATURE))  # [g/mL], 0.99820


def _limited(w: Number) -> Number:
    """The mass fraction itself where liquids exist; beyond, it levels off smoothly."""
    square = (w / _LARGEST_MASS_FRACTION) ** 2
    tenth_power = square * (square**2) ** 2  # squares and products: the power itself would take a third of the time
    return w * (1.0 + ((tenth_power**2) ** 2) ** 2) ** (-1.0 / _SHARPNESS)


def density_from_mass_fractions(
    copper_sulfate_anhydrous: Number,
    sulfuric_acid: Number,
    foreign_solids: Number = 0.0,
    temperature: Number = 20.0,
) -> Number:
    """Density [g/mL] at a temperature [degC], from mass fractions.

    Parameters
    ----------
    copper_sulfate_anhydrous, sulfuric_acid, foreign_solids
        [g/g] of CuSO4, H2SO4, foreign solids as FeSO4. Floats or arrays that broadcast.
    temperature
        [degC]

    Returns
    -------
    [g/mL], shape as the arguments broadcast. Smooth and finite beyond the ranges at the head of this file.
    """
    w = copper_sulfate_anhydrous + sulfuric_acid + foreign_solids
    limited = _limited(w)
    volume = (
        (1.0 - w) / water_density(temperature)
        + copper_sulfate_anhydrous * _COPPER_SULFATE.specific_volume(limited, temperature)
        + sulfuric_acid * _SULFURIC_ACID.specific_volume(w, temperature)
        + foreign_solids * _IRON_SULFATE.specific_volume(limited, np.clip(temperature, *_IRON_SULFATE_TEMPERATURES))
    )
    return 1.0 / volume


def density(
    copper_sulfate: Number, sulfuric_acid: Number, foreign_solids: Number = 0.0, temperature: Number = 20.0
) -> Number:
    """Density of a bath [g/mL] at a temperature, from its composition in g/L at 20 degC.

    A bath that warms keeps its mass fractions while its litres grow, so these are fixed at 20 degC and the
    density is then taken at `temperature`.

    Parameters
    ----------
    copper_sulfate, sulfuric_acid, foreign_solids
        [g/L at 20 degC] of CuSO4.5H2O, free H2SO4, foreign solids as FeSO4. Floats or arrays that broadcast.
    temperature
        [degC]

    Returns
    -------
    [g/mL], shape as the arguments broadcast. Smooth and finite from slightly negative concentrations to 800
    g/L each; never raises. Standard uncertainty `MODEL_STANDARD_UNCERTAINTY` within 0-450 and 0-400 g/L, 0-60
    degC.
    """
    at_20 = _density_at_20(copper_sulfate, sulfuric_acid, foreign_solids)
    grams = 1000.0 * at_20
    return density_from_mass_fractions(
        copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / grams,
        sulfuric_acid / grams,
        foreign_solids / grams,
        temperature,
    )


def _density_at_20(copper_sulfate: Number, sulfuric_acid: Number, foreign_solids: Number) -> Number:
    """Density [g/mL] at 20 degC, at which the mass fractions and the litre agree.

    The concentrations are known per litre, the rule wants them per gram, so the density stands on both sides:
    water fills what the solutes leave of each millilitre. A round shrinks the error 50-fold in a bath.
    """
    copper = 0.001 * ANHYDROUS_PER_PENTAHYDRATE * copper_sulfate
    acid, foreign = 0.001 * sulfuric_acid, 0.001 * foreign_solids
    solutes = copper + acid + foreign
    rho = 1.0 + 0.7 * solutes
    for _ in range(_ROUNDS):
        w = solutes / rho
        limited = _limited(w)
        volume = (
            copper * _COPPER_SULFATE.specific_volume_at_20(limited)
            + acid * _SULFURIC_ACID.specific_volume_at_20(w)
            + foreign * _IRON_SULFATE.specific_volume_at_20(limited)
        )
        rho = solutes + (1.0 - volume) * WATER_DENSITY
    return rho
