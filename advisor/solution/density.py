"""Density of the bath from its composition, and what a density says about the composition.

Mixing rule of Laliberté and Cooper: the volumes of water and of each solute add, and a solute's specific
volume depends on the total mass fraction of solutes and on temperature. A small term for copper sulfate and acid
together is added. Made for baths; for stock acid use `stock`, which follows a handbook table
up to pure acid.

Sources
-------
Marc Laliberté and W. Edward Cooper, "Model for Calculating the Density of Aqueous Electrolyte Solutions", J.
Chem. Eng. Data 49 (2004) 1141-1151: the rule, the density of water. Marc Laliberté, "A Model for Calculating
the Heat Capacity of Aqueous Solutions, with Updated Density and Viscosity Data", J. Chem. Eng. Data 54 (2009)
1725-1760: the parameters c0 to c4, read in the data of the open-source packages `thermo` and `chemicals`.
Fitted over CuSO4 10-60 degC, mass fraction up to 0.284; H2SO4 -11-75 degC, up to 0.782; FeSO4 15-25 degC, up
to 0.233. For CuSO4 and H2SO4 they give the effect of warmth, for CuSO4 below 10 degC with a term of ours (`_COLD`);
the volumes at 20 degC, where they miss the CRC Handbook by up to 1.7 and 1.1 mg/mL, are own fits to its printed rows
(see `_COPPER_SULFATE`).

Accuracy: every row of the CRC Handbook at 20 degC (CuSO4 all, H2SO4 up to 25 %) within 0.32 mg/mL. No measured
mixture of both was at hand, and the sources differ: see `model_uncertainty`.
"""

from dataclasses import dataclass
from functools import cached_property
from math import exp

import numpy as np

from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import Number

BINARY_UNCERTAINTY = 0.0003  # [g/mL], standard; the largest residual of the two fits
# Copper sulfate and acid together are taken to weigh less than the rule says, at 200 and 60 g/L by 0.6 mg/mL
# (judgement): what PHREEQC with phreeqc.dat computes for the two together at 20 degC, less what it computes for each
# alone, is 0.7 mg/mL below the same of the rule with its published parameters; linear equations for refinery baths
# (from memory) lie on either side.
MIXTURE_TERM, MIXTURE_UNCERTAINTY = -0.0006, 0.0010  # [g/mL], at this product of crystals and acid [(g/L)^2]:
_MIXTURE_AT = 12_000.0
_MIXTURE_HELD_FROM, _MIXTURE_ROUNDING = 15_000.0, 1_000.0  # the term grows in proportion to the product, and no further
REFERENCE_TEMPERATURE = 20.0  # [degC]; all concentrations are stated at this temperature
# Below 10 degC, where Laliberté's fit begins, a gram of CuSO4 takes up less room than it has it: mL times the square of
# degrees below 10, fitted to the three rows of Perry's Chemical Engineers' Handbook at 0 degC (from memory). There 12 %
# is 7.1 mg/mL denser than at 20 degC; by PHREEQC with phreeqc.dat (computed) 7.2, by the fit alone 4.7.
_COLD, _COLD_FROM = 1.44e-4, 10.0
# [g/mL] a degree away from 20, for a gram a litre of crystals, standard: at 200 g/L PHREEQC and Laliberté differ by 0.9
# mg/mL at 10 degC, 0.3 at 25 and 0.7 at 40 (computed).
WARMTH_UNCERTAINTY = 0.05e-3 / 200.0

# The parameters of CuSO4 and FeSO4 are singular at a total mass fraction of 0.54, and a polynomial leads anywhere
# beyond the rows that it was fitted to. No bath reaches 0.35; below that the limit changes no density by 0.01 mg/mL.
_LARGEST_MASS_FRACTION = 0.37
_LIMIT_ROUNDING = 0.002
_ROUNDS = 3  # of the iteration for the density at 20 degC, within each of
_MIXTURE_ROUNDS = 3  # that for the mixture's term, which shrinks the error 1000-fold, from 1e-6 g/mL


@dataclass(frozen=True)
class _Solute:
    """Parameters of one solute; its specific volume is (w + c2 + c3 T) / ((c0 w + c1) exp(1e-6 (T + c4)^2)).

    at_20: where there is an own fit, the coefficients of its specific volume at 20 degC [mL/g] by rising powers of the
    total mass fraction of solutes; the formula then gives only the effect of warmth. cold: mL/g less than
    that, times the square of degrees below 10.
    """

    c0: float
    c1: float
    c2: float
    c3: float
    c4: float
    at_20: tuple[float, float, float, float] | None = None
    cold: float = 0.0

    def specific_volume(self, w: Number, temperature: Number) -> Number:
        """[mL/g] in a solution with total mass fraction w of solutes."""
        published = self.published(w, temperature)
        if self.at_20 is None:
            return published
        shrunk = self.cold * np.maximum(_COLD_FROM - temperature, 0.0) ** 2
        return self.specific_volume_at_20(w) + (published - self.published_at_20(w)) - shrunk

    def specific_volume_at_20(self, w: Number) -> Number:
        """The same at 20 degC [mL/g], without an exponential and so fast enough for an iteration."""
        if self.at_20 is None:
            return self.published_at_20(w)
        b0, b1, b2, b3 = self.at_20
        return b0 + w * (b1 + w * (b2 + w * b3))

    def published_at_20(self, w: Number) -> Number:
        """As Laliberté has it at 20 degC [mL/g], without an exponential."""
        return self._scale_at_20 * self._shape(w, REFERENCE_TEMPERATURE)

    def published(self, w: Number, temperature: Number) -> Number:
        """As Laliberté has it [mL/g]."""
        return 1000.0 * np.exp(-1e-6 * (temperature + self.c4) ** 2) * self._shape(w, temperature)

    def _shape(self, w: Number, temperature: Number) -> Number:
        return (w + (self.c2 + self.c3 * temperature)) / (self.c0 * w + self.c1)

    @cached_property
    def _scale_at_20(self) -> float:
        return 1000.0 * exp(-1e-6 * (REFERENCE_TEMPERATURE + self.c4) ** 2)


# At 20 degC: own least-squares fit to the densities of the CRC Handbook of Chemistry and Physics, 102nd ed.
# (2021), "Concentrative Properties of Aqueous Solutions", 20 degC (`density_binary.csv`), all rows with one weight.
# CuSO4: all 19 rows; since a bath with acid goes beyond their 18 % of solutes, densities by Laliberté's own parameters
# at 22, 24 ... 36 % with three tenths of a row's weight. H2SO4: the 28 rows up to 34 %. A test repeats the fits.
_COPPER_SULFATE_AT_20 = (-0.0465091, 1.00156, -4.4832, 9.55887)
_SULFURIC_ACID_AT_20 = (0.335913, 0.37311, -1.1617, 1.95618)
_COPPER_SULFATE = _Solute(
    -1.12078294150285e-06,
    6.06850590612117e-07,
    -0.118863232463814,
    0.00378050075860551,
    4763.96073964247,
    at_20=_COPPER_SULFATE_AT_20,
    cold=_COLD,
)
_SULFURIC_ACID = _Solute(
    70.8395152347122,
    142.352693909248,
    0.68779459618793,
    0.00649299683206703,
    1667.23864629522,
    at_20=_SULFURIC_ACID_AT_20,
)
_IRON_SULFATE = _Solute(-0.224719650197381, 0.121140350304029, 0.735724466696064, -0.021864836634371, 3325.11261125387)
_SOLUTES = (_COPPER_SULFATE, _SULFURIC_ACID, _IRON_SULFATE)
_IRON_SULFATE_TEMPERATURES = (15.0, 25.0)  # fitted range [degC]; from 34 degC the volume would be negative


def water_density(temperature: Number) -> Number:
    """Density of water [g/mL] at a temperature [degC] of 0-100 (Laliberté and Cooper 2004)."""
    t = temperature
    numerator = ((((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176) * t
    return (numerator + 999.83952) / (1.0 + 0.01687985 * t) / 1000.0


WATER_DENSITY = float(water_density(REFERENCE_TEMPERATURE))  # [g/mL], 0.99820


def _levelled(value: Number, at: float, rounding: float) -> Number:
    """The value itself, levelling off at a limit: the lower branch of a hyperbola along two lines, through zero."""
    beyond, at_zero = value - at, at - (at * at + rounding * rounding) ** 0.5
    found: Number = 0.5 * (value + at - at_zero - (beyond * beyond + rounding * rounding) ** 0.5)
    return found


def _limited(w: Number) -> Number:
    """The mass fraction itself where liquids exist; beyond, it levels off."""
    return _levelled(w, _LARGEST_MASS_FRACTION, _LIMIT_ROUNDING)


def _mixture_share(product: Number) -> Number:
    """The mixture's term over that at 200 and 60 g/L, from crystals times acid [(g/L)^2].

    Their g/L are those in the liquid that the rule alone gives, up to a thousandth denser.
    """
    return _levelled(product, _MIXTURE_HELD_FROM, _MIXTURE_ROUNDING) / _MIXTURE_AT


def model_uncertainty(copper_sulfate: Number, sulfuric_acid: Number, temperature: Number) -> Number:
    """Standard uncertainty [g/mL] of the density of a bath [g/L, g/L, degC]: of each solute, their mixture and warmth.

    Mixture: 1.0 mg/mL at 200 and 60 g/L, in proportion to the product, constant beyond 15 000 (g/L)^2 (judgement,
    from the scatter of sources at `MIXTURE_TERM`). Warmth: see `WARMTH_UNCERTAINTY`. Shape as the arguments broadcast.
    """
    copper = np.maximum(copper_sulfate, 0.0)
    mixture = MIXTURE_UNCERTAINTY * _mixture_share(copper * np.maximum(sulfuric_acid, 0.0))
    warmth = WARMTH_UNCERTAINTY * copper * (temperature - REFERENCE_TEMPERATURE)
    return np.hypot(np.hypot(BINARY_UNCERTAINTY, mixture), warmth)


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
    if isinstance(temperature, float) and temperature == REFERENCE_TEMPERATURE:  # the usual case, and much faster
        water: Number = WATER_DENSITY
        copper, acid, iron = (solute.specific_volume_at_20(limited) for solute in _SOLUTES)
    else:
        water = water_density(temperature)
        copper, acid = (solute.specific_volume(limited, temperature) for solute in _SOLUTES[:2])
        iron = _IRON_SULFATE.specific_volume(limited, np.clip(temperature, *_IRON_SULFATE_TEMPERATURES))
    volume = (1.0 - w) / water + copper_sulfate_anhydrous * copper + sulfuric_acid * acid + foreign_solids * iron
    by_rule = 1.0 / volume
    product = copper_sulfate_anhydrous * sulfuric_acid * (by_rule * by_rule * (1e6 / ANHYDROUS_PER_PENTAHYDRATE))
    return by_rule + MIXTURE_TERM * _mixture_share(product)


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
    g/L each; never raises. Standard uncertainty: `model_uncertainty`, within 0-450 and 0-400 g/L, 0-60 degC.
    """
    return density_from_mass_fractions(*mass_fractions(copper_sulfate, sulfuric_acid, foreign_solids), temperature)


def mass_fractions(
    copper_sulfate: Number, sulfuric_acid: Number, foreign_solids: Number = 0.0
) -> tuple[Number, Number, Number]:
    """Mass fractions [g/g] of CuSO4, H2SO4 and foreign solids from what `density` takes, of the same shape."""
    grams = 1000.0 * _density_at_20(copper_sulfate, sulfuric_acid, foreign_solids)
    return copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / grams, sulfuric_acid / grams, foreign_solids / grams


def _density_at_20(copper_sulfate: Number, sulfuric_acid: Number, foreign_solids: Number) -> Number:
    """Density [g/mL] at 20 degC, at which the mass fractions and the litre agree.

    The concentrations are known per litre, the rule wants them per gram, so the density stands on both sides:
    water fills what the solutes leave of each millilitre. A round shrinks the error 50-fold in a bath. The mixture's
    term thins the liquid that the rule gives, so that a millilitre of the bath counts as a little less of that.
    """
    copper = 0.001 * ANHYDROUS_PER_PENTAHYDRATE * copper_sulfate
    acid, foreign = 0.001 * sulfuric_acid, 0.001 * foreign_solids
    solutes = copper + acid + foreign
    # One polynomial for both, made once before the rounds.
    of_both = zip(_COPPER_SULFATE_AT_20, _SULFURIC_ACID_AT_20, strict=True)
    b0, b1, b2, b3 = (copper * of_copper + acid * of_acid for of_copper, of_acid in of_both)
    any_foreign = np.any(foreign)
    rho = 1.0 + 0.7 * solutes
    thinned: Number = 1.0  # the density over what the rule gives
    for _ in range(_MIXTURE_ROUNDS):
        term = MIXTURE_TERM * _mixture_share(copper_sulfate * sulfuric_acid / thinned**2)
        for _ in range(_ROUNDS):
            limited = _limited(solutes / rho)
            volume = b0 + limited * (b1 + limited * (b2 + limited * b3))
            if any_foreign:
                volume = volume + foreign * _IRON_SULFATE.published_at_20(limited)
            thinned = rho / (rho - term)
            rho = solutes + (thinned - volume) * WATER_DENSITY
    return rho
