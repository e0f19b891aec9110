"""Acid by a pH pen in a bath thinned with much water.

Thinned 1 : 500 a bath is near pH 2.7, and 0.03 pH is 4 g/L of acid in 60: cheap pens are rarely better. What the pen
shows in a buffer takes out its offset, a second buffer its slope; a freshly weighed bath thinned and read alike does
both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.fields import InputError, NumberField, TogetherField, define, show
from advisor.basis.units import Measured
from advisor.readings.hydrometer import ScaleValue
from advisor.readings.model import FloatArray, Model, State, Surroundings, as_rows
from advisor.readings.thinned import Reference, ThinnedReading, fresh_bath, moved, with_more_bath
from advisor.readings.tools import thermometer_error
from advisor.solution.ranges import HIGHEST_SULFURIC_ACID
from advisor.words.lines import line

# Standard uncertainties in pH (judgement).
READ = 0.03  # a pen that stands still, each time
UNCHECKED = 0.10  # a pen's offset that was not looked at in a buffer today
CHECKED = 0.02  # what is left of it where it was: the buffer, and reading it
MODEL = 0.015  # by what this model and PHREEQC differ, and what a pH is at all (computed)
NO_TEMPERATURE = 0.01
# What a pen shows for one pH more, where a second buffer does not tell: glass that ages gives less (judgement).
SLOPE, SLOPE_SPREAD, SLOPE_SPREAD_OF_TWO = 0.975, 0.025, 0.01
USUAL_BUFFER = 4.0  # the buffer that a pen was last set to, where none is named (judgement)
LOWEST, HIGHEST = 0.5, 5.0  # what a thinned bath can be (computed, with room)
LEAST_SLOPE, MOST_SLOPE = 0.8, 1.1  # of a pen that is to be trusted (judgement)
BEST_RANGE = (2.3, 3.5)  # below it is far from any buffer, above it the water counts too much (judgement)


class PHValue(ScaleValue):
    """A pH: a number, bare or in quotes, with ± (95 %) if known; its decimals tell how fine the pen shows it."""

    def read(self, raw: object, place: str) -> Measured:
        if isinstance(raw, int | float) and not isinstance(raw, bool):
            raw = repr(raw)
        typed = super().read(raw, place)
        if not LOWEST <= typed.value <= HIGHEST:
            raise InputError(place, show(raw), f"accepted is pH {LOWEST:g} to {HIGHEST:g}: is it the thinned bath?")
        digits = typed.text.replace("+/-", "±").replace(",", ".").partition("±")[0].strip().partition(".")[2]
        return replace(typed, step=10.0 ** -len(digits))


def _pH(label: str) -> NumberField:
    return NumberField(label=label, low=0.0, high=14.0)


@dataclass(frozen=True)
class ThinnedPH(ThinnedReading):
    """What a pH pen shows in the thinned bath."""

    kind: ClassVar[str] = "thinned pH"
    label: ClassVar[str] = "pH of the thinned bath"

    value: Measured = define(
        PHValue(label="pH of the thinned bath", help="Once it stands still; with all decimals.", required=True)
    )
    buffer: tuple[float, float] | None = define(
        TogetherField(
            label="Checked in a buffer: known, read",
            parts=(_pH("Buffer"), _pH("In it the pen shows")),
            help="Today, best the buffer of pH 4 or lower, e.g. [4.01, 4.05].",
        )
    )
    second_buffer: tuple[float, float] | None = define(
        TogetherField(
            label="Checked in a second buffer: known, read",
            parts=(_pH("Second buffer"), _pH("In the second it shows")),
            help="Such as pH 7: from both follows the pen's slope, e.g. [6.86, 6.90].",
        )
    )
    reference: tuple[Measured, Measured, float] | None = fresh_bath(
        _pH("In it the pen shows"), 'it cancels the pen, e.g. ["215 g/L", "55 g/L", 2.74]'
    )

    def check(self, place: str) -> None:
        """Refuse a pen that is not to be trusted, and what no bath shows."""
        super().check(place)
        if self.second_buffer and not self.buffer:
            raise InputError.missing(f"{place}: buffer", "a second buffer goes with a first")
        if self.buffer and self.second_buffer:
            if abs(self.second_buffer[0] - self.buffer[0]) < 1.0:
                raise InputError(
                    f"{place}: second_buffer",
                    show(list(self.second_buffer)),
                    "it must be at least one pH from the first",
                )
            if not LEAST_SLOPE <= self._slope[0] <= MOST_SLOPE:
                raise InputError(
                    f"{place}: second_buffer",
                    f"the pen's slope is {100 * self._slope[0]:.0f} %",
                    f"accepted is {100 * LEAST_SLOPE:.0f} to {100 * MOST_SLOPE:.0f} %: clean or replace the electrode",
                )
        if self.buffer and abs(self.buffer[1] - self.buffer[0]) > 1.0:
            raise InputError(f"{place}: buffer", show(list(self.buffer)), "accepted is at most 1 pH off")
        strongest = float(self._pH(State(0.0, HIGHEST_SULFURIC_ACID)))
        if self.value.value < strongest - 0.5:
            raise InputError(
                f"{place}: value",
                show(self.value.text),
                f"thinned {self.times:.0f} times no bath is below pH {strongest:.1f}: look again at how it was thinned",
            )

    @property
    def _slope(self) -> tuple[float, float]:
        """What the pen shows for one pH more, and its standard uncertainty."""
        if self.buffer is None or self.second_buffer is None:
            return SLOPE, SLOPE_SPREAD
        (known, read), (other, other_read) = self.buffer, self.second_buffer
        return (other_read - read) / (other - known), SLOPE_SPREAD_OF_TWO

    def _pH(self, state: State, warmer: ArrayLike = 0.0, more_water: ArrayLike = 0.0) -> FloatArray:
        """Return the pH; warmer [degC] and more_water [uS/cm] broadcast with the state."""
        return self.thinned(state, self.degrees + np.asarray(warmer), more_water).pH

    def _anchor(self, warmer: ArrayLike = 0.0, more_water: ArrayLike = 0.0) -> tuple[FloatArray, float]:
        """Return a pH that was known, and what the pen showed there: the reference, else the buffer."""
        if self.reference:
            copper, acid, read = self.reference
            return self._pH(State(copper.value, acid.value), warmer, more_water), read
        known, read = self.buffer or (USUAL_BUFFER, USUAL_BUFFER)
        return np.asarray(known), read

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: the pH on the display."""
        slope, slope_spread = self._slope
        known, shown = self._anchor()
        # As it is, with more in the water, warmer by what a thermometer errs, and with a hundredth more of the bath.
        warmth, water = np.array([0.0, 0.0, thermometer_error(self.temperature), 0.0]), np.zeros(4)
        water[1] = self.water_spread
        pH = self._pH(with_more_bath(about, np.array([0.0, 0.0, 0.0, 0.01])), warmth, water)
        here = float(pH[0])

        def predict(state: State) -> FloatArray:
            return as_rows(shown + slope * (self._pH(state) - known))

        base, wetter, warmer, _ = (float(read) for read in shown + slope * (pH - self._anchor(warmth, water)[0]))
        per_thinning = slope * (float(pH[3]) - here) / 0.01
        random, systematic = self.thinning_errors(per_thinning, alike=self.reference is not None)
        systematic["thinning water"] = wetter - base
        systematic["slope of the pH pen"] = slope_spread * (here - float(known))
        systematic |= self._of_reference() if self.reference else self._of_pen()
        by_warmth = NO_TEMPERATURE if self.temperature is None else warmer - base
        read = self.value.uncertainty_or(max(READ, self.value.step / 2))
        return Model.of_one(predict, self.value.value, np.hypot.reduce((random, read, by_warmth)), systematic)

    def _of_pen(self) -> dict[str, float]:
        """Return what pen and model do to the reading [pH], by source."""
        return {"pH model": MODEL, "pH pen": CHECKED if self.buffer else UNCHECKED}

    def _of_reference(self) -> dict[str, float]:
        """Return what the reference's own errors do to the reading [pH]; readings with the same one share them."""
        assert self.reference
        copper, acid, shown = self.reference
        reference = Reference(copper, acid, Measured(shown, None, "", ""))
        base = float(self._pH(reference.state))
        found = {f"reading of the reference, pH {shown:g}": READ}
        for name, spread in reference.spreads().items():
            found[f"{name} of the reference, pH {shown:g}"] = base - float(
                self._pH(moved(reference.state, {name: spread}))
            )
        return found

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say how much a pen's pH is worth, and what would make it worth more."""
        found = self.warnings_of_thinning()
        if not self.reference and not self.buffer:
            found.append(
                "A pen that was not checked in a buffer today may be 0.2 pH off, and that is half of the acid: read "
                "it in a buffer of pH 4 and enter both numbers."
            )
        elif not self.reference:
            found.append(
                line(
                    "Even from a pen that was checked, a pH is rough: 0.03 are {4 g/L} of acid in {60 g/L}. A "
                    "titration or a conductivity pen tells more."
                )
            )
        if not BEST_RANGE[0] <= self.value.value <= BEST_RANGE[1]:
            found.append(
                f"A thinned bath is read best between pH {BEST_RANGE[0]:g} and {BEST_RANGE[1]:g}: thin "
                f"{'more' if self.value.value < BEST_RANGE[0] else 'less'} next time."
            )
        return tuple(found)
