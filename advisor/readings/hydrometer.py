"""Density of the bath by a floating hydrometer.

A gram of copper sulfate and a gram of acid raise the density almost equally, so a hydrometer alone sees only their
sum; together with an acid titration it gives the copper sulfate.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import ClassVar

import numpy as np

from advisor.basis.arrays import linearised
from advisor.basis.fields import Field, InputError, choice, define, note, quantity, show
from advisor.basis.units import (
    COVERAGE,
    Measured,
    UnitError,
    in_figures,
    is_rough,
    of_ranges,
    parse_number,
    with_spread,
)
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.tools import thermometer_error
from advisor.solution.density import density_from_mass_fractions, mass_fractions, model_uncertainty, water_density
from advisor.solution.hydrometer import SCALES, density_from_reading, reading_from_density

INSTRUMENT = 0.001 / np.sqrt(3)  # g/mL; a hobby hydrometer is true to about one division (judgement)
READING = 0.0005  # g/mL; reading the meniscus to half a division (judgement)
# By how much the glass floats too high, whether the bath has additives or nobody knows: mean and standard uncertainty
# [g/mL]. The liquid that climbs the stem pulls it down by its surface tension (see J. D. Wright, V. E. Bean and
# J. Aguilera, NIST SP 250-78, 2010, appendix A), which additives can only lower: by anything from nothing to 30 mN/m,
# and that is 0.0025 to 0.0044 (computed for stems and masses of hobby hydrometers). Evenly spread this is 0.0017 ±
# 0.0010, and wetting agents proper are at the upper end, so 0.002 ± 0.0015 (judgement). Who does not know mixed the
# bath without any, three times in four: 0.0005 ± 0.0012, of which the mean is next to nothing (judgement).
FLOATS_HIGH = {True: (0.0020, 0.0015), None: (0.0, 0.0012), False: (0.0, 0.0003)}
SURFACE_TENSION = "surface tension"  # a source of error that belongs to the bath: much the same in each check
DENSITY_MODEL = "density model"  # the source of the model's own error
ROUGHLY = 0.01  # of the number on a scale that "about" stands before (judgement)
POINT_LEFT_OUT = (10.0, 100.0, 1000.0)  # "1165" for a specific gravity of 1.165 (exact)
WIDEST = 50.0  # on any scale; a wider ± says nothing (judgement)
# Judgement.
LOWEST, HIGHEST = 0.95, 1.5  # g/mL: from warm water to more than a bath of 450 and 400 g/L could hold in solution

# Density that a gram a litre of a contaminant adds [g/mL per g/L]: sulfates of the metal, by the mixing rule (FeSO4:
# 0.92 per gram of salt) and, for iron(III), 2.6 mg/mL per g/L (computed with PHREEQC).
# Sodium sulfate: 0.78 mg/mL by the mixing rule, about 0.9 by PHREEQC (computed).
SALT_DENSITY = {"sodium_sulfate": 0.00084, "iron": 0.0026, "zinc": 0.0024, "nickel": 0.0026}
SALT_DENSITY_SPREAD = 0.07  # relative standard uncertainty of these, shared by all densities (judgement)


class ScaleValue(Field):
    """A reading on a scale of the instrument's own: a number in quotes without unit, with ± (95 %) if known."""

    def read(self, raw: object, place: str) -> Measured:
        if not isinstance(raw, str):
            raise InputError(place, show(raw), 'write it as text without unit, such as "1.172"')
        # No scale reaches a thousand, so that a comma is a decimal one even in "1,160".
        typed = raw.replace("+/-", "±").replace(",", ".")
        without_range = of_ranges(typed)
        try:
            numbers = [parse_number(part) for part in without_range.split("±")]
        except UnitError as error:
            raise InputError(place, show(raw), f"it {error}") from error
        if len(numbers) > 2 or (len(numbers) == 2 and not 0 < numbers[1] <= WIDEST):
            raise InputError(place, show(raw), 'write one number, or one with its uncertainty, such as "1.172 ± 0.001"')
        text = (raw if without_range == typed else without_range).strip()
        if len(numbers) == 1 and is_rough(typed):  # "about 1.17" leaves a hundredth of it open, however finely written
            numbers.append(ROUGHLY * abs(numbers[0]))
            text = f"{in_figures(typed)} ± {numbers[1]:.2g}"
        return Measured(numbers[0], numbers[1] / COVERAGE if len(numbers) == 2 else None, "", text)

    def write(self, value: Measured) -> object:
        return value.text


@dataclass(frozen=True)
class Hydrometer(Reading):
    """A hydrometer reading."""

    kind: ClassVar[str] = "hydrometer"
    label: ClassVar[str] = "Hydrometer"

    value: Measured = define(
        ScaleValue(
            label="Reading", help="At the flat of the liquid, not at the rim that climbs the stem.", required=True
        )
    )
    scale: str = choice(
        "Scale",
        tuple(SCALES),
        "What stands on the paper in the stem; SG with no more on it is mostly 20/20.",
        required=True,
    )
    temperature: Measured | None = quantity(
        "temperature", "Temperature in the jar", "Empty: the bath's.", low=0.0, high=60.0
    )
    calibration: Measured | None = define(
        ScaleValue(
            label="In pure water it reads",
            help="At the same temperature, if you tried it; the difference is taken off.",
        )
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a reading that no bath gives."""
        temperature = self.temperature.value if self.temperature else 20.0
        shown = float(density_from_reading(self.value.value, self.scale, temperature))
        if not LOWEST <= shown <= HIGHEST:
            low, high = (reading_from_density(limit, self.scale, temperature) for limit in (LOWEST, HIGHEST))
            slips = (self.value.value / shift for shift in POINT_LEFT_OUT)
            meant = next((f" (did you mean {slip:.4g}?)" for slip in slips if 1.0 < slip < high < 2.0), "")
            raise InputError(
                f"{place}: value",
                show(self.value.text),
                f"on the scale {self.scale} it must be {low:.4g} to {high:.4g}{meant}",
            )
        if self.calibration:
            in_water = density_from_reading(self.calibration.value, self.scale, temperature)
            if abs(float(in_water - water_density(temperature))) > 0.02:
                expected = reading_from_density(water_density(temperature), self.scale, temperature)
                raise InputError(
                    f"{place}: calibration",
                    show(self.calibration.text),
                    f"a sound one shows about {expected:.4g} in pure water; it must be within 0.02 g/mL of that",
                )

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: the number on the stem."""
        temperature = self.temperature.value if self.temperature else surroundings.temperature
        offset = 0.0
        if self.calibration:
            offset = self.calibration.value - float(
                reading_from_density(water_density(temperature), self.scale, temperature)
            )

        floats_high, floats_high_spread = FLOATS_HIGH[surroundings.additives]

        def predict(state: State) -> FloatArray:
            shown = bath_density(state, temperature) + floats_high
            return as_rows(reading_from_density(shown, self.scale, temperature) + offset)

        per_density = self._slope(temperature)
        random = self.value.standard_uncertainty or READING * per_density
        warming = float(bath_density(about, temperature - 0.5) - bath_density(about, temperature + 0.5))
        effects = {
            DENSITY_MODEL: density_model_uncertainty(about, temperature),
            "hydrometer": INSTRUMENT if not self.calibration else READING,
            SURFACE_TENSION: floats_high_spread,
            "density of foreign salts": SALT_DENSITY_SPREAD * float(density_of_salts(about)),
        }
        random = np.hypot(random, thermometer_error(self.temperature) * warming * per_density)
        systematic = {source: effect * per_density for source, effect in effects.items()}
        alike = (self.kind, temperature, floats_high, self.scale, offset)
        return Model.of_one(predict, self.value.value, random, systematic, alike=alike)

    def read_wider(self, times: float) -> Hydrometer:
        """Return this reading with a ± typed that is so many times [1] what one without a ± counts with."""
        temperature = self.temperature.value if self.temperature else 20.0
        half = float(f"{times * COVERAGE * READING * abs(self._slope(temperature)):.1g}")
        value = replace(self.value, standard_uncertainty=half / COVERAGE, text=with_spread(self.value.text, half))
        return replace(self, value=value)

    def _slope(self, temperature: float) -> float:
        """How far the number on the stem moves for 1 g/mL."""
        at = float(density_from_reading(self.value.value, self.scale, temperature))

        def shown(density: FloatArray) -> FloatArray:
            return as_rows(reading_from_density(density[0], self.scale, temperature))

        return float(linearised(shown, [at], [1e-4])[1][0, 0])


def density_model_uncertainty(about: State, temperature: float) -> float:
    """Standard uncertainty of the density model [g/mL] near a bath [degC], shared by all readings of a density."""
    return float(model_uncertainty(about.copper_sulfate, about.sulfuric_acid, temperature))  # type: ignore[arg-type]


def bath_density(state: State, temperature: float) -> FloatArray:
    """Density of a bath [g/mL] at a temperature [degC], foreign salts included; shape of the state's arrays."""
    held = np.array(np.broadcast_arrays(state.copper_sulfate, state.sulfuric_acid, state.foreign_solids), dtype=float)
    return np.asarray(_clean_density(held.shape, held.tobytes(), temperature) + density_of_salts(state))


@lru_cache(maxsize=64)  # all readings of a density ask for the same baths (judgement)
def _clean_density(shape: tuple[int, ...], held: bytes, temperature: float) -> FloatArray:
    """Density [g/mL] of baths, (3, *s) with shape and bytes of that: copper sulfate, acid and foreign solids [g/L]."""
    copper_sulfate, sulfuric_acid, foreign_solids = _mass_fractions(shape, held)
    found = np.asarray(density_from_mass_fractions(copper_sulfate, sulfuric_acid, foreign_solids, temperature))
    found.setflags(write=False)
    return found


@lru_cache(maxsize=16)  # at whatever temperature they were read (judgement)
def _mass_fractions(shape: tuple[int, ...], held: bytes) -> FloatArray:
    """Mass fractions [g/g] of baths, (3, *s), from what `_clean_density` takes."""
    found = np.array(mass_fractions(*np.frombuffer(held).reshape(shape)))
    found.setflags(write=False)
    return found


def density_of_salts(state: State) -> FloatArray:
    """Density [g/mL] that sodium and foreign metals add; shape of the state's arrays."""
    return np.asarray(sum(np.asarray(getattr(state, name)) * share for name, share in SALT_DENSITY.items()))
