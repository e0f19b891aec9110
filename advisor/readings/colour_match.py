"""Copper by eye: the bath's colour between two standards of one's own.

Rough, but it needs two jars and the crystals only. It tells nothing of the acid, and iron, nickel or a dye in the bath
mislead it. `standards_for` says how to make the standards; it also serves the photo.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import InputError, NumberField, define, note, quantity, show
from advisor.basis.units import Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.words.lines import line

# An eye places a colour between two others to about a quarter of the way (judgement). 180 and 220 g/L through 1 cm
# differ by 2.2 in the colour difference CIEDE2000, hardly more than one step that is just seen; through 5 cm by 5.0
# (computed from the absorptivity of copper sulfate).
SHARE_OF_INTERVAL = 0.25
LEAST_SEEN = 8.0  # g/L (judgement)
CLOSE, FAR = 40.0, 100.0  # g/L between standards: harder than that to tell apart; too coarse to be of use (judgement)
STANDARDS_SPREAD = 0.01  # relative; weighing and purity of one's own standards, which all of them share (judgement)
OWN_STANDARDS = "own copper sulfate standards"
# Most copper times path [mol cm/L] for the strongest standard (computed): beyond it all look the same dark blue; the
# red of a camera clips at about 0.65.
STRONGEST = {"eye": 4.0, "camera": 0.40}
DILUTIONS = (1.0, 2.0, 4.0, 5.0, 10.0, 20.0, 50.0, 100.0)  # judgement


@dataclass(frozen=True)
class ColourMatch(Reading):
    """The bath's colour, judged between two standards."""

    kind: ClassVar[str] = "colour match"
    label: ClassVar[str] = "Colour match"

    lower: Measured = quantity(
        "concentration",
        "Paler standard",
        "Copper sulfate in it.",
        required=True,
        high=HIGHEST_COPPER_SULFATE,
        unit="g/L",
    )
    upper: Measured = quantity(
        "concentration",
        "Darker standard",
        "Copper sulfate in it.",
        required=True,
        high=HIGHEST_COPPER_SULFATE,
        unit="g/L",
    )
    position: float = define(
        NumberField(
            label="Where the bath stands",
            help="0 if it looks like the paler one, 1 if like the darker one, 0.5 half-way. Same jars and depth, "
            "side by side over white.",
            required=True,
            low=0.0,
            high=1.0,
        )
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse standards in the wrong order."""
        if self.lower.value >= self.upper.value:
            accepted = f"it must be more than lower, {self.lower.text}"
            raise InputError(f"{place}: upper", show(self.upper.text), accepted)

    @property
    def _interval(self) -> float:
        return self.upper.value - self.lower.value

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: the position between the standards."""
        seen = max(SHARE_OF_INTERVAL * self._interval, LEAST_SEEN)

        def predict(state: State) -> FloatArray:
            return as_rows((np.asarray(state.copper_sulfate) - self.lower.value) / self._interval)

        none = -self.lower.value / self._interval
        shared = {OWN_STANDARDS: STANDARDS_SPREAD}
        return Model.of_one(predict, self.position, seen / self._interval, {}, shared, none)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say when the standards do not bracket the bath, or are too close or too far apart."""
        said = []
        if self.position in (0.0, 1.0):
            end = self.lower if self.position == 0.0 else self.upper
            said.append(
                f"The bath was matched with the last standard, {end.text}, and may lie beyond it: make one more "
                "standard on the other side."
            )
        if self._interval < CLOSE:
            said.append(
                line(
                    "Standards {apart:.0f g/L} apart look alike through 1 cm. Look down through at least 5 cm of "
                    "liquid; if that is too dark to judge, dilute bath and standards alike.",
                    apart=self._interval,
                )
            )
        if self._interval > FAR:
            said.append(
                line(
                    "The standards are {apart:.0f g/L} apart, and an eye splits that into four at best: make one in "
                    "between and match again.",
                    apart=self._interval,
                )
            )
        return tuple(said)


@dataclass(frozen=True)
class Standard:
    """A standard to make: the bath it stands for [g/L], crystals [g], made up to [mL], and how many times diluted.

    The crystals make the diluted standard at once; the sample of the bath is diluted as many times.
    """

    copper_sulfate: float
    crystals_g: float
    volume_mL: float
    dilution: float


def standards_for(
    lowest: float,
    highest: float,
    count: int,
    volume_mL: float,
    path_cm: float,
    pentahydrate_mass_fraction: float,
    seen_by: str,
) -> tuple[Standard, ...]:
    """Return how to make evenly spaced standards from one's own crystals.

    lowest, highest: of the baths to bracket [g/L CuSO4.5H2O], 0 < lowest < highest. count: 2 or more. volume_mL: of
    each jar. path_cm: depth of liquid that is looked through. pentahydrate_mass_fraction: of the crystals (anhydrous:
    above 1). seen_by: "eye" or "camera", which needs paler liquids.
    """
    strength = highest / COPPER_SULFATE_PENTAHYDRATE * path_cm / STRONGEST[seen_by]
    dilution = next((times for times in DILUTIONS if times >= strength), DILUTIONS[-1])
    grams = volume_mL / 1000 / pentahydrate_mass_fraction / dilution
    return tuple(
        Standard(float(bath), float(bath * grams), volume_mL, dilution) for bath in np.linspace(lowest, highest, count)
    )
