"""What the readings of a bath thinned with much water share: how it was thinned, and with what water.

Thinned 1 : 500, copper hardly counts any more, and a pen tells the acid. One step takes a sample and a jug; two steps
take a predilution first, so that no tiny volume has to be measured. The thinning water is distilled or deionised and is
modelled as thin sodium bicarbonate, which eats a little of the acid: subtracting its reading would make things worse.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.fields import (
    Field,
    InputError,
    PairField,
    QuantityField,
    TogetherField,
    define,
    drawn_sample,
    note,
    quantity,
    show,
    tool,
    volume,
)
from advisor.basis.units import Measured, in_digits
from advisor.readings.copper_titration import CYLINDERS
from advisor.readings.model import Reading, State
from advisor.readings.tools import check_thinned, ratio_error, titration_errors, volume_error
from advisor.solution.conductivity import bicarbonate_of_water
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.solution.thinned import Thinned, Undiluted, thin
from advisor.words.lines import line

LEAST_THINNED, MOST_THINNED = 20.0, 20_000.0  # times; within it the liquid is thin, and the water not all (judgement)
SOUND_WATER, WORST_WATER = 10.0, 50.0  # uS/cm (judgement): beyond, the water's own salts are no longer a small thing
UNREAD_WATER, UNREAD_WATER_SPREAD = 3.0, 2.5  # uS/cm, of bought distilled water that nobody read (judgement)
# How much of the water's conductivity is bicarbonate, and not carbonic acid or salt (judgement), as a spread of it.
WATER_SPREAD = 0.3
AT_25 = 25.0  # degC: what a pen without a temperature is taken at (judgement)
# A weighed bath to compare with, relative (judgement): the label of the crystals, and of the acid.
WEIGHED_CRYSTALS, WEIGHED_ACID = 0.007, 0.012


def fresh_bath(shown: Field, what_for: str) -> Any:
    """Define the field of a freshly weighed bath that was thinned and read alike: its contents, what the pen showed."""
    salt = QuantityField(quantity="concentration", label="Its copper sulfate", high=HIGHEST_COPPER_SULFATE, unit="g/L")
    acid = QuantityField(quantity="concentration", label="Its acid", above=True, high=HIGHEST_SULFURIC_ACID, unit="g/L")
    return define(
        TogetherField(
            label="A freshly weighed bath thinned and read alike",
            parts=(salt, acid, shown),
            help=f"Same tools, same water, same day: {what_for}",
        )
    )


@dataclass(frozen=True)
class Reference:
    """A freshly weighed bath, thinned and read alike: its copper sulfate and acid [g/L], and what was read in it."""

    copper_sulfate: Measured
    sulfuric_acid: Measured
    read: Measured

    @property
    def state(self) -> State:
        """The weighed bath."""
        return State(self.copper_sulfate.value, self.sulfuric_acid.value)

    def spreads(self) -> dict[str, float]:
        """Return the standard uncertainty of each component [g/L]."""
        parts = {
            "copper_sulfate": (self.copper_sulfate, WEIGHED_CRYSTALS),
            "sulfuric_acid": (self.sulfuric_acid, WEIGHED_ACID),
        }
        return {name: typed.uncertainty_or(share * typed.value) for name, (typed, share) in parts.items()}


@dataclass(frozen=True)
class ThinnedReading(Reading):
    """Base of the readings of a thinned bath: how it was thinned."""

    sample: Measured = volume(
        "Sample thinned", "Bath, or prediluted bath if you thinned it in two steps.", required=True, high=0.5
    )
    thinned_to: Measured = volume("Thinned to", "With distilled or deionised water.", required=True, high=20.0)
    predilution: tuple[Measured, Measured] | None = define(
        PairField(
            each=QuantityField(quantity="volume", label="First step", above=True, high=20.0, unit="mL"),
            label="First step: bath, made up to",
            help='Only for two steps: bath taken and what it was made up to, e.g. ["10 mL", "500 mL"]',
        )
    )
    temperature: Measured | None = quantity(
        "temperature",
        "Temperature of the thinned liquid",
        "Empty: taken as 25 °C, and trusted less.",
        low=5.0,
        high=40.0,
    )
    water: Measured | None = quantity(
        "conductivity",
        "The thinning water reads",
        "Pure, before the sample went in. Empty: as bought distilled water usually does.",
        high=WORST_WATER,
        unit="uS/cm",
    )
    sample_with: str | None = tool("Sample")
    thinned_to_with: str | None = tool("Thinned to")
    predilution_with: str | None = tool("First step, bath")
    made_up_with: str | None = tool("First step, made up")
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse what is no thinning, or too little or too much of one, and unknown tools."""
        steps = {"thinned_to": (self.sample, self.thinned_to)}
        if self.predilution:
            steps["predilution"] = self.predilution
        for name, (taken, made_up) in steps.items():
            if made_up.value <= taken.value:
                raise InputError(
                    f"{place}: {name}", show(made_up.text), f"it must be more than what was taken, {taken.text}"
                )
        if not LEAST_THINNED <= self.times <= MOST_THINNED:
            raise InputError(
                f"{place}: thinned_to",
                f"{show(self.thinned_to.text)}, which thins {in_digits(self.times, 3)} times",
                f"accepted is {LEAST_THINNED:g} to {MOST_THINNED:g} times: look again at sample and thinned_to",
            )
        check_thinned(self, self.predilution, place, sample=self.sample, thinned_to=self.thinned_to)

    @property
    def times(self) -> float:
        """How many times its volume the bath was thinned to [mL/mL]."""
        taken, made_up = (part.value for part in self.predilution) if self.predilution else (1.0, 1.0)
        return float(self.thinned_to.value / self.sample.value * made_up / taken)

    @property
    def degrees(self) -> float:
        """Temperature of the thinned liquid [degC]."""
        return self.temperature.value if self.temperature else AT_25

    def thinned(self, state: State, temperature: ArrayLike, more_water: ArrayLike = 0.0) -> Thinned:
        """Return what the thinned liquid holds at a temperature [degC], of any shape.

        more_water: by how much higher the water's own reading is taken [uS/cm].
        """
        bath = Undiluted(*(getattr(state, each.name) for each in fields(Undiluted)))
        water = self.water_reads + np.asarray(more_water)
        return thin(bath, self.times, bicarbonate_of_water(water), temperature)

    @property
    def water_reads(self) -> float:
        """What the thinning water reads by itself [uS/cm]."""
        return self.water.value if self.water else UNREAD_WATER

    @property
    def water_spread(self) -> float:
        """Standard uncertainty of the water's bicarbonate, as a reading [uS/cm]."""
        if self.water is None:
            return UNREAD_WATER_SPREAD
        return max(WATER_SPREAD * self.water.value, self.water.uncertainty_or(0.0), 0.3)

    def thinning_errors(self, per_thinning: float, alike: bool) -> tuple[float, dict[str, float]]:
        """Return what errors of the volumes do to the reading: the random part, and the shared parts by source.

        per_thinning: change of the reading for a relative change of the thinned bath. alike: a reference was thinned
        with the same tools, so that their calibration drops out and what is new each time counts twice.
        """
        parts = [(self.sample, self.sample_with, 1.0, "sample"), (self.thinned_to, self.thinned_to_with, -1.0, "jug")]
        if self.predilution:
            taken, made_up = self.predilution
            parts += [
                (taken, self.predilution_with, 1.0, "first step"),
                (made_up, self.made_up_with, -1.0, "first jug"),
            ]
        drawn = self.sample_label
        errors = []
        for typed, named, sign, role in parts:
            millilitres = typed.value * 1000
            tool = named or (_vessel(millilitres) if sign < 0 else None)
            error = ratio_error(typed, tool) if alike else volume_error(typed, tool, role)
            errors.append((error, sign * per_thinning / millilitres, drawn))
        return titration_errors(*errors)

    def warnings_of_thinning(self) -> list[str]:
        """Say what is amiss with water or temperature."""
        found: list[str] = []
        if self.temperature is None:
            found.append(
                line(
                    "Without the temperature of the thinned liquid it was taken as {25 °C}, and the reading trusted "
                    "less: measure it next time."
                )
            )
        if self.water is None:
            found.append(
                "What the thinning water reads by itself was not said: it was taken as bought distilled water, about "
                "3 µS/cm. Read it first, in the clean jug."
            )
        elif self.water.value > SOUND_WATER:
            found.append(
                f"The thinning water reads {self.water.value:.0f} µS/cm: above 10 its own salts eat a noticeable share "
                "of the acid. Take distilled or deionised water."
            )
        return found


def _vessel(millilitres: float) -> str:
    """Name what a volume is taken to be made up in where the sheet does not say (judgement)."""
    size = next((size for size in CYLINDERS if size >= millilitres), None)
    return f"{size} mL graduated cylinder" if size else "kitchen jug"


def with_more_bath(state: State, share: ArrayLike) -> State:
    """Return a bath with a share more of everything, of any shape: it reads as if so much more had been thinned."""
    more = {each.name: getattr(state, each.name) * (1 + np.asarray(share)) for each in fields(Undiluted)}
    return replace(state, **more)


def moved(state: State, by: Mapping[str, ArrayLike]) -> State:
    """Return a bath with some of its components moved [g/L], each by a number or an array of any one shape."""
    return replace(
        state, **{name: np.asarray(getattr(state, name)) + np.asarray(change) for name, change in by.items()}
    )
