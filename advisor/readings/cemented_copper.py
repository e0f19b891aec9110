"""Copper thrown down by zinc from a little thinned bath, washed, dried and weighed: for those without an inert anode.

Zinc dissolves and copper falls out as a red sponge, atom for atom. The sponge takes on oxide while it dries and keeps
some zinc, so that it weighs 1 to 4 % too much. It is the rougher cousin of plated-out copper. Iron stays in the liquid;
some nickel may fall out too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import InputError, drawn_sample, note, show, tool, volume, weighed
from advisor.basis.units import Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.tools import check_tool, titration_errors, volume_error, weighing_error
from advisor.solution.molar_masses import COPPER_PER_PENTAHYDRATE
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.words.lines import line

# Undiluted, zinc or aluminium heats a bath by 67 to 85 degC (computed from heats of formation): so little bath in so
# much water warms by about 3 degC.
MOST_BATH_mL, LEAST_WATER_mL = 10.0, 200.0  # judgement from that
TOO_HEAVY, TOO_HEAVY_SPREAD = 0.025, 0.03 / np.sqrt(12)  # oxide and zinc: 1 to 4 %, relative (judgement)
LOST = 0.01  # relative standard uncertainty: sponge that stays on the zinc or runs off with the wash (judgement)


@dataclass(frozen=True)
class CementedCopper(Reading):
    """A dish or filter weighed empty and with the dried copper of a sample."""

    kind: ClassVar[str] = "cemented copper"
    label: ClassVar[str] = "Copper thrown down by zinc"

    sample: Measured = volume(
        "Sample of bath",
        "At most 10 mL: more heats up and spatters.",
        required=True,
        high=MOST_BATH_mL / 1000,
    )
    diluted_to: Measured = volume(
        "Thinned to", "200 mL or more, before the zinc goes in.", required=True, low=LEAST_WATER_mL / 1000
    )
    before: Measured = weighed("Dish or filter empty", "Dry. Write the decimals of the scale too: 12.00 g.")
    after: Measured = weighed("With the copper", "Washed and dry.")
    sample_with: str | None = tool("Sample")
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a dish that grew no heavier, or by more copper than a bath holds."""
        if self.after.value <= self.before.value:
            accepted = f"it must be more than empty, {self.before.text}"
            raise InputError(f"{place}: after", show(self.after.text), accepted)
        check_tool(self.sample_with, self.sample, f"{place}: sample_with")
        implied = self._gain / COPPER_PER_PENTAHYDRATE / self.sample.value / (1 + TOO_HEAVY)
        if implied > HIGHEST_COPPER_SULFATE:
            raise InputError(
                f"{place}: after",
                line("{after}, which means {g:.0f g/L} of copper sulfate", after=show(self.after.text), g=implied),
                line(
                    "accepted is at most {most:.0f g/L}: was it dry, and was all the zinc taken out?",
                    most=HIGHEST_COPPER_SULFATE,
                ),
            )

    @property
    def _gain(self) -> float:
        return self.after.value - self.before.value

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: grams that the dish gained."""

        def predict(state: State) -> FloatArray:
            copper = np.asarray(state.copper_sulfate) * (COPPER_PER_PENTAHYDRATE * self.sample.value)
            return as_rows(copper * (1 + TOO_HEAVY))

        sample = volume_error(self.sample, self.sample_with, "sample")
        alone, relative = titration_errors((sample, 1 / (self.sample.value * 1000), self.sample_label))
        relative["oxide and zinc in the copper"] = TOO_HEAVY_SPREAD
        weighed = weighing_error(self.before), weighing_error(self.after)
        random = np.hypot.reduce((*weighed, alone * self._gain, LOST * self._gain))
        return Model.of_one(predict, self._gain, random, {}, relative)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say how it compares, and what spoils it."""
        return (
            "Copper thrown down by zinc weighs 1 to 4 % too much, from oxide and zinc in it: 2.5 % is taken off. "
            "Plated out on a weighed cathode it is known more surely.",
            "Enter it only if the liquid had lost all blue and the sponge no longer bubbled in acid: copper left "
            "behind makes it low, zinc left in it high.",
        )
