"""Copper by plating all of it out of a measured sample, on a weighed cathode, with an inert anode.

The published form is electrogravimetry, ASTM E53 (Standard Test Method for Determination of Copper in Unalloyed Copper
by Gravimetry). Iron, zinc and nickel stay in the liquid and do not count. Whatever copper is left in the liquid makes
the reading low, never high.
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

# Copper that a bath faded to no colour by eye still holds, or that falls off as powder: 0 to 2 % (judgement).
LEFT_BEHIND = 0.01
LEFT_BEHIND_SPREAD = 0.01 / np.sqrt(3)


@dataclass(frozen=True)
class PlatedOutCopper(Reading):
    """A cathode weighed before and after all copper of a sample was plated on it."""

    kind: ClassVar[str] = "plated-out copper"
    label: ClassVar[str] = "Plated-out copper"

    sample: Measured = volume("Sample of bath", "Undiluted bath that was plated out.", required=True)
    before: Measured = weighed("Cathode before", "Dry. Write the decimals of the scale too: 12.0 g.")
    after: Measured = weighed("Cathode after", "Rinsed and dry.")
    sample_with: str | None = tool("Sample")
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a cathode that grew no heavier, or by more copper than a bath holds."""
        if self.after.value <= self.before.value:
            accepted = f"it must be more than before, {self.before.text}"
            raise InputError(f"{place}: after", show(self.after.text), accepted)
        check_tool(self.sample_with, self.sample, f"{place}: sample_with")
        implied = self._gain() / COPPER_PER_PENTAHYDRATE / self.sample.value
        if implied > HIGHEST_COPPER_SULFATE:
            raise InputError(
                f"{place}: after",
                line("{after}, which means {g:.0f g/L} of copper sulfate", after=show(self.after.text), g=implied),
                line(
                    "it must come to at most {most:.0f g/L}: check sample, before and after",
                    most=HIGHEST_COPPER_SULFATE,
                ),
            )

    def _gain(self) -> float:
        return self.after.value - self.before.value

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: grams that the cathode gained."""
        gain = self._gain()

        def predict(state: State) -> FloatArray:
            copper = np.asarray(state.copper_sulfate) * (COPPER_PER_PENTAHYDRATE * self.sample.value)
            return as_rows(copper * (1 - LEFT_BEHIND))

        sample = volume_error(self.sample, self.sample_with, "sample")
        alone, relative = titration_errors((sample, 1 / (self.sample.value * 1000), self.sample_label))
        relative["copper left behind"] = LEFT_BEHIND_SPREAD
        random = np.hypot.reduce((weighing_error(self.before), weighing_error(self.after), alone * gain))
        return Model.of_one(predict, gain, random, {}, relative, alike=(self.kind, self.sample.value))

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what makes it low, and how to do it safely."""
        return (
            "Plate until the liquid has lost all blue: what is left makes the copper read low, and 1 % is allowed for.",
            "Use an inert anode (platinised or mixed-oxide titanium, or graphite), never stainless steel or lead, and "
            "ventilate: oxygen comes off, and hydrogen towards the end.",
        )
