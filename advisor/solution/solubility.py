"""How much copper sulfate the bath can hold, and the temperature below which crystals form.

Saturation with CuSO4.5H2O in water and in sulfuric acid up to 220 g/L. Chloride and foreign salts are left
out.

Sources
-------
Water, 10-35 degC: fitted to CRC Handbook of Chemistry and Physics, 98th ed. (2017), "Solubility of Common
Salts at Ambient Temperatures", to 0.01 %. With acid, 0-40 degC: a fit to a Pitzer model that was fitted to
that column and to two points of H. W. Foote (1915), recalled from memory; believed to 10-15 %, up to 20 % low
at high acid; PHREEQC with Pitzer parameters (from memory) comes out up to 11 % lower at 50-200 g/L acid. Towards
no acid the fit is up to 4 % high below 10 degC and gives way to the water fit there.
"""

from collections.abc import Callable
from enum import StrEnum
from math import ceil

import numpy as np

from advisor.solution.density import density_from_mass_fractions
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE, COPPER_SULFATE
from advisor.solution.ranges import HIGHEST_SULFURIC_ACID, Number

RELATIVE_UNCERTAINTY = 0.07
"""Standard, of the saturation in weak acid: half-width 12.5 % over the square root of 3 (computed)."""

RELATIVE_UNCERTAINTY_IN_STRONG_ACID = 0.15
"""The same in strong acid (judgement, from the sources above)."""

CEILING_FRACTION = 0.9
"""A correction may fill the bath to this part of the saturation at the coldest it will stand (judgement)."""

CEILING_FRACTION_STRONG_ACID = 0.82  # (judgement)

WEAK_TO_STRONG = (80.0, 120.0)  # [g/L acid] over which one gives way to the other, evenly (judgement)

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = -10.0, 60.0  # [degC]; beyond, the value at the limit (judgement)
_WATER_FIT_REACH = 22.0  # [g/L acid] over which the water fit gives way; follows the model from 0 to 60 g/L (computed)
# Computed.
_LOG_SLOPE = 0.0165  # of ln saturation, a degC; truly 0.015 to 0.018: a round shrinks the error 7-fold or more
_ROUNDS = 12  # computed: tried out


def relative_uncertainty(sulfuric_acid: Number) -> Number:
    """Relative standard uncertainty of the saturation in a bath of so much acid [g/L]; shape of the argument."""
    return np.interp(sulfuric_acid, WEAK_TO_STRONG, (RELATIVE_UNCERTAINTY, RELATIVE_UNCERTAINTY_IN_STRONG_ACID))


def safe_up_to(sulfuric_acid: Number) -> Number:
    """The part of the saturation up to which no crystals are expected, one standard uncertainty below it.

    sulfuric_acid: of the bath [g/L]; shape of the result as of the argument.
    """
    return 1.0 - relative_uncertainty(sulfuric_acid)


def beyond_from(sulfuric_acid: Number) -> Number:
    """The part of the saturation above which crystals are expected, one standard uncertainty above it.

    sulfuric_acid: of the bath [g/L]; shape of the result as of the argument.
    """
    return 1.0 + relative_uncertainty(sulfuric_acid)


class Crystals(StrEnum):
    """Whether crystals form at a temperature."""

    SAFE = "safe"
    NEAR = "near"
    BEYOND = "beyond"


def crystals(copper_sulfate: float, sulfuric_acid: float, temperature: float) -> Crystals:
    """Tell whether a bath [g/L, g/L] is clear of crystals at a temperature [degC], near them, or beyond."""
    share = copper_sulfate / saturation(temperature, sulfuric_acid)
    if share <= safe_up_to(sulfuric_acid):
        return Crystals.SAFE
    return Crystals.BEYOND if share > beyond_from(sulfuric_acid) else Crystals.NEAR


def saturation(temperature: Number, sulfuric_acid: Number) -> Number:
    """The most copper sulfate that stays dissolved [g/L CuSO4.5H2O at 20 degC].

    Parameters
    ----------
    temperature
        [degC]; fitted over 0-40, extrapolated to -10 and 60, beyond that the value there.
    sulfuric_acid
        Free H2SO4 [g/L]; fitted up to 220, extrapolated to 400, beyond 0 and 400 the value there.

    Returns
    -------
    [g/L], shape as the arguments broadcast; finite everywhere; `relative_uncertainty` says how sure.
    """
    return saturation_at(temperature)(sulfuric_acid)


def saturation_at(temperature: Number) -> Callable[[Number], Number]:
    """The saturation [g/L] at a temperature [degC] as a function of the acid [g/L], for a search that asks often."""
    celsius = np.clip(temperature, LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE)
    from_water_fit = np.log(_saturation_in_water(celsius)) - _log_saturation_in_acid(celsius, 0.0)

    def of_acid(sulfuric_acid: Number) -> Number:
        acid = np.clip(sulfuric_acid, 0.0, HIGHEST_SULFURIC_ACID)
        return np.exp(_log_saturation_in_acid(celsius, acid) + from_water_fit * np.exp(-acid / _WATER_FIT_REACH))

    return of_acid


def ceiling_fraction(sulfuric_acid: Number) -> Number:
    """The part of the saturation that a correction may use in a bath with so much acid [g/L]."""
    return np.interp(sulfuric_acid, WEAK_TO_STRONG, (CEILING_FRACTION, CEILING_FRACTION_STRONG_ACID))


def ceiling_at(temperature: float) -> Callable[[Number], Number]:
    """The most copper sulfate [g/L] that a correction may lead to at a temperature [degC], by the acid [g/L]."""
    of_acid = saturation_at(temperature)
    return lambda sulfuric_acid: of_acid(sulfuric_acid) * ceiling_fraction(sulfuric_acid)


def crystallises_below(copper_sulfate: Number, sulfuric_acid: Number) -> Number:
    """The temperature [degC] at which a bath [g/L, g/L] is saturated: colder, crystals form.

    The inverse of `saturation`, smooth between -10 and 60 degC and held at those limits beyond: -10 means
    "never in a room", 60 means "at any temperature". Uncertainty: 7 % of solubility is 4.7 degC, 15 % is 10 degC.
    """
    logarithm = np.log(np.maximum(copper_sulfate, 1e-3))
    temperature = 20.0 + 0.0 * logarithm
    for _ in range(_ROUNDS):
        step = (logarithm - np.log(saturation(temperature, sulfuric_acid))) / _LOG_SLOPE
        temperature = np.clip(temperature + step, LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE)
    return temperature


def to_keep_above(copper_sulfate: float, sulfuric_acid: float) -> int | None:
    """Return the degrees [degC], whole, above which a bath [g/L, g/L] is no fuller than a correction may make it.

    None where it is too full even at 60 degC, where what is published ends: no warmth will do, it has to be thinned.
    """
    if copper_sulfate > float(ceiling_at(HIGHEST_TEMPERATURE)(sulfuric_acid)):
        return None
    return ceil(float(crystallises_below(copper_sulfate / float(ceiling_fraction(sulfuric_acid)), sulfuric_acid)))


def _saturation_in_water(celsius: Number) -> Number:
    """[g/L CuSO4.5H2O] in pure water."""
    warmer = celsius - 20.0
    molality = np.exp(0.231037 + 0.0176669 * warmer - 8.714e-6 * warmer**2)  # mol per kg water
    mass_fraction = molality * COPPER_SULFATE / (1000.0 + molality * COPPER_SULFATE)
    grams = 1000.0 * density_from_mass_fractions(mass_fraction, 0.0)
    return mass_fraction * grams / ANHYDROUS_PER_PENTAHYDRATE


def _log_saturation_in_acid(celsius: Number, sulfuric_acid: Number) -> Number:
    """Natural logarithm of the saturation [g/L CuSO4.5H2O] in acid."""
    t, a = (celsius - 20.0) / 10.0, sulfuric_acid / 100.0
    return 5.74036 + 0.15194 * t - 0.0007 * t**2 - 0.2367 * a - 0.03391 * a**2 + 0.00439 * a * t
