"""Chloride: titration with silver nitrate, test strips, or a ladder of one's own cloudy standards.

All three are rough beside the other readings; chloride needs no better, since its window is wide. Only titration and
ladder use silver nitrate, and say what to do with its waste. Mercury and cyanide methods are left out: not for a home.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import (
    InputError,
    bottle,
    choice,
    drawn_sample,
    note,
    quantity,
    show,
    times_diluted,
    tool,
    volume,
)
from advisor.basis.units import COVERAGE, Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.tools import CALIBRATION_SHARE, Titrant, check_tool, drops, titration_errors, volume_error
from advisor.solution import molar_masses
from advisor.solution.ranges import HIGHEST_CHLORIDE

SILVER_NITRATE = Titrant("silver nitrate", molar_masses.SILVER_NITRATE, 0.0087, 0.01)  # weighed to 1 % (judgement)
# Standard uncertainty of the end point, relative (judgement); by turbidity: no more cloud from a further drop.
END_POINT = {"silver wire": 0.02, "turbidity": 0.05}
# A pad is read where the strip is nearer to it than to its neighbours, as far as an eye finds half-way (judgement).
NEARER = 0.6
# How far pads are apart where nobody names them, as a share of the one read: between half and twice of it (judgement).
PADS_APART = 0.75
BY_EYE = 0.25 / COVERAGE  # standard uncertainty of a ladder or a strip, relative: 25 % at 95 % probability (judgement)
LEAST_SEEN = 5.0  # mg/L in the liquid that was looked at (judgement)
SMALLEST = 0.01  # mg/L; nobody reads a strip better (judgement)
LEAST_ON_STRIPS = 30.0  # mg/L; the ranges of most strips begin about here (from memory)
SILVER_WASTE = (
    "Stir table salt into silver waste at once, and never let it meet ammonia: an explosive solid can form on standing."
)


class _OfChloride(Reading):
    """Base of the readings that measure chloride and nothing else."""

    def tells_chloride(self) -> bool:
        return True


@dataclass(frozen=True)
class ChlorideTitration(_OfChloride):
    """A titration of the bath's chloride with silver nitrate."""

    kind: ClassVar[str] = "chloride titration"
    label: ClassVar[str] = "Chloride titration"

    sample: Measured = volume("Sample of bath", "Undiluted bath in the flask; 50 mL is usual.", required=True)
    strength: Measured = quantity(
        "strength", "Strength of the silver nitrate", "0.01 mol/L is usual.", required=True, high=2.0
    )
    used: Measured = volume("Titrant used", "Up to the end point.", required=True, above=False)
    blank: Measured | None = volume("Blank", "What water or chloride-free bath takes.", above=False)
    end_point: str = choice(
        "End point",
        tuple(END_POINT),
        "A silver wire and a voltmeter, or no more cloud from a further drop.",
        required=True,
    )
    sample_with: str | None = tool("Sample")
    used_with: str | None = tool("Titrant")
    titrant_label: str | None = bottle()
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a blank above the reading, an unknown tool, and chloride that no bath holds."""
        if self.blank and self.blank.value > self.used.value:
            accepted = f"it must not be more than used, {self.used.text}"
            raise InputError(f"{place}: blank", show(self.blank.text), accepted)
        for name in ("sample", "used"):
            check_tool(getattr(self, f"{name}_with"), getattr(self, name), f"{place}: {name}_with")
        implied = self._net_mL() / self._titrant_per_chloride()
        if implied > HIGHEST_CHLORIDE:
            raise InputError(
                f"{place}: used",
                f"{show(self.used.text)}, which means {implied:.0f} mg/L of chloride",
                f"it must come to at most {HIGHEST_CHLORIDE:.0f} mg/L: check sample, strength and used",
            )

    def _net_mL(self) -> float:
        return (self.used.value - (self.blank.value if self.blank else 0.0)) * 1000

    def _titrant_per_chloride(self) -> float:
        """Titrant [mL] that 1 mg/L of chloride takes."""
        return self.sample.value / molar_masses.CHLORINE / SILVER_NITRATE.molarity(self.strength)

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: millilitres of silver nitrate used, the blank included."""
        slope, net, used = self._titrant_per_chloride(), self._net_mL(), self.used.value * 1000
        blank = used - net
        sample = volume_error(self.sample, self.sample_with, "sample")
        reading = volume_error(self.used, self.used_with, "titrant")
        alone, relative = titration_errors((sample, 1 / (self.sample.value * 1000), self.sample_label))
        read, absolute = titration_errors((reading, -1.0, None))
        strength = SILVER_NITRATE.relative_uncertainty(self.strength)
        relative[f"titrant {self.titrant_label or f'silver nitrate {self.strength.text}'}"] = strength
        relative[f"end point {self.end_point}"] = END_POINT[self.end_point]
        return Model.of_one(
            lambda state: as_rows(slope * np.asarray(state.chloride) + blank),
            used,
            np.hypot.reduce((read, drops(self.blank), alone * net)),
            absolute,
            relative,
            blank,
        )

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what to do with the waste, and where a bigger sample would help."""
        if 0 < self.used.value < 0.002:
            return SILVER_WASTE, (
                "Less than 2 mL of silver nitrate was used: a bigger sample or a weaker titrant would give the "
                "chloride more precisely."
            )
        return (SILVER_WASTE,)


@dataclass(frozen=True)
class ChlorideStrip(_OfChloride):
    """A test strip for chloride."""

    kind: ClassVar[str] = "chloride strip"
    label: ClassVar[str] = "Chloride strip"

    value: Measured = quantity(
        "content",
        "Chloride on the strip",
        "As read, whatever the dilution: the pad or mark that it looks like, or what lies between two.",
        required=True,
        high=HIGHEST_CHLORIDE,
    )
    lower: Measured | None = quantity(
        "content",
        "The next lower pad or mark",
        "As printed; the same again if there is none below. How far pads are apart is most of what a strip may be off.",
        high=HIGHEST_CHLORIDE,
    )
    upper: Measured | None = quantity(
        "content",
        "The next higher pad or mark",
        "As printed; the same again if there is none above.",
        high=HIGHEST_CHLORIDE,
    )
    dilution: float = times_diluted("10 if 1 mL of bath was made up to 10 mL; 1 if it was dipped in the bath.")
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse chloride that no bath holds, and pads that do not stand on both sides of what was read."""
        for name, pad, outside in (("lower", self.lower, 1), ("upper", self.upper, -1)):
            if pad and outside * (pad.value - self.value.value) > 0:
                accepted = f"it must not be {'more' if outside > 0 else 'less'} than the value, {self.value.text}"
                raise InputError(f"{place}: {name}", show(pad.text), accepted)
        if self.value.value * self.dilution > HIGHEST_CHLORIDE:
            given = f"{show(self.value.text)}, diluted {self.dilution:g} times"
            raise InputError(f"{place}: value", given, f"it must be at most {HIGHEST_CHLORIDE:.0f} mg/L in the bath")

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: mg/L in the liquid that the strip was dipped in."""
        low, high = self._nearest_range()
        typed = self.value.standard_uncertainty
        return _seen(
            lambda state: as_rows(np.asarray(state.chloride) / self.dilution),
            self.value.value if typed is not None else (low + high) / 2,
            typed,
            0.0 if typed is not None else (high - low) / np.sqrt(12),
            "chloride strips",
        )

    def _nearest_range(self) -> tuple[float, float]:
        """Return from where to where [mg/L] a strip would have been read as it was."""
        read = self.value.value
        apart = max(PADS_APART * read, LEAST_ON_STRIPS)
        lower = self.lower.value if self.lower else read - apart
        upper = self.upper.value if self.upper else read + apart
        return read - NEARER * (read - lower), read + NEARER * (upper - read)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say which strips will not do, and where a strip is below its range."""
        said = ["Strips for chlorine in pools or drinking water do not read chloride: use strips that say chloride."]
        if (self.lower is None or self.upper is None) and self.value.standard_uncertainty is None:
            said.append(
                "Name the pads or marks printed below and above what the strip showed: they are most of what it may be "
                "off, and were taken as three quarters of it away."
            )
        elif self.upper and self.upper.value == self.value.value:
            said.append("The strip showed its last pad, so there may be more: dilute the bath and dip another.")
        if self.dilution > 1 and self.value.value < LEAST_ON_STRIPS:
            said.append(
                f"Diluted {self.dilution:g} times the chloride falls below what most strips show "
                f"(about {LEAST_ON_STRIPS:.0f} mg/L): dilute less."
            )
        return tuple(said)


@dataclass(frozen=True)
class ChlorideLadder(_OfChloride):
    """The bath's cloud with silver nitrate, between those of two standards made in chloride-free bath."""

    kind: ClassVar[str] = "chloride ladder"
    label: ClassVar[str] = "Chloride ladder"

    lower: Measured = quantity(
        "content",
        "The next clearer standard",
        "Usual are 0, 25, 50, 75, 100 and 150 mg/L, made up in chloride-free bath of the same strength.",
        required=True,
        high=1000.0,
    )
    upper: Measured = quantity(
        "content",
        "The next cloudier standard",
        "The same as the clearer one if it looks alike.",
        required=True,
        high=1000.0,
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse standards in the wrong order."""
        if self.upper.value < self.lower.value:
            accepted = f"it must not be less than lower, {self.lower.text}"
            raise InputError(f"{place}: upper", show(self.upper.text), accepted)

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: mg/L, seen in the middle between the two standards."""
        middle = (self.lower.value + self.upper.value) / 2
        between = (self.upper.value - self.lower.value) / np.sqrt(12)
        return _seen(lambda state: as_rows(state.chloride), middle, None, between, "chloride ladder")

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what to do with the waste."""
        return (SILVER_WASTE,)


def _seen(
    predict: Callable[[State], FloatArray], value: float, typed: float | None, between: float, source: str
) -> Model:
    """Return the model of a comparison by eye [mg/L]; half its variance is the pack's or ladder's own (judgement)."""
    by_eye = max(BY_EYE * value, LEAST_SEEN) if typed is None else max(typed, SMALLEST)
    alone, shared = by_eye * np.sqrt(1 - CALIBRATION_SHARE), by_eye * np.sqrt(CALIBRATION_SHARE)
    return Model.of_one(predict, value, np.hypot(alone, between), {source: shared})
