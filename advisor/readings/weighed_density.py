"""Density of the bath by weighing one bottle three times: empty, full of water, full of bath to the same mark.

Air lifts the bottle's content a little, and more of it per gram the lighter the liquid; the model carries that. It
tells the same sum of copper sulfate and acid as a hydrometer, more surely and without surface tension. It shares the
error of the density model with the hydrometer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import InputError, note, quantity, show, weighed
from advisor.basis.units import Measured
from advisor.readings.hydrometer import (
    DENSITY_MODEL,
    HIGHEST,
    LOWEST,
    SALT_DENSITY_SPREAD,
    bath_density,
    density_model_uncertainty,
    density_of_salts,
)
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.tools import DROP_mL, thermometer_error, weighing_error
from advisor.solution.density import water_density

AIR_DENSITY = 0.0012  # g/mL, at 20 degC and sea level; from memory, good to 5 % indoors
MARK = DROP_mL / np.sqrt(3)  # mL, filling to the mark (common practice, no source)
WIDE_NECK = 0.0003  # of the bottle: 0.4 mm in the neck of a bottle of half a litre, 22 mm wide (judgement)


@dataclass(frozen=True)
class WeighedDensity(Reading):
    """Three weighings of one bottle."""

    kind: ClassVar[str] = "weighed density"
    label: ClassVar[str] = "Weighed density"

    empty: Measured = weighed(
        "Bottle empty", "Dry. As the scale shows it: 85 g where it shows whole grams, 85.0 g where it shows tenths."
    )
    with_water: Measured = weighed("With distilled water", "To a mark on the neck.")
    with_bath: Measured = weighed("With bath", "To the same mark, dry outside.")
    temperature: Measured | None = quantity(
        "temperature", "Temperature of both liquids", "Empty: the bath's.", low=0.0, high=60.0
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse weighings that no bath gives."""
        if self.with_water.value <= self.empty.value:
            accepted = f"it must be more than the empty bottle, {self.empty.text}"
            raise InputError(f"{place}: with_water", show(self.with_water.text), accepted)
        found = self._density(self.temperature.value if self.temperature else 20.0)
        if not LOWEST <= found <= HIGHEST:
            raise InputError(
                f"{place}: with_bath",
                f"{show(self.with_bath.text)}, which means {found:.3f} g/mL",
                f"it must come to {LOWEST:g} to {HIGHEST:g} g/mL: check the three weighings",
            )

    def _water(self) -> float:
        """The water as weighed [g]."""
        return self.with_water.value - self.empty.value

    def _density(self, temperature: float) -> float:
        """Density [g/mL] behind the weighings."""
        water = float(water_density(temperature))
        ratio = (self.with_bath.value - self.empty.value) / self._water()
        return ratio * (water - AIR_DENSITY) + AIR_DENSITY

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: grams shown with the bath in the bottle.

        Scale and weights cancel in the ratio of the two contents; what is left of the air is its lift on the bath
        against that on the water.
        """
        temperature = self.temperature.value if self.temperature else surroundings.temperature
        per_density = self._water() / (float(water_density(temperature)) - AIR_DENSITY)  # mL, the bottle

        def predict(state: State) -> FloatArray:
            return as_rows(self.empty.value + per_density * (bath_density(state, temperature) - AIR_DENSITY))

        systematic = {
            DENSITY_MODEL: density_model_uncertainty(about, temperature) * per_density,
            "density of foreign salts": SALT_DENSITY_SPREAD * float(density_of_salts(about)) * per_density,
        }
        random = self._random(per_density, temperature, about)
        return Model.of_one(predict, self.with_bath.value, random, systematic)

    def _random(self, bottle: float, temperature: float, about: State) -> float:
        """Standard uncertainty of the grams with bath against those expected [g]: weighings, mark and thermometer."""
        ratio = (self.with_bath.value - self.empty.value) / self._water()
        warmer, colder = temperature + 0.5, temperature - 0.5
        # The bottle holds the same at both fillings, so that the bath's expansion counts against that of water.
        warming = ratio * (water_density(colder) - water_density(warmer)) - (
            bath_density(about, colder) - bath_density(about, warmer)
        )
        parts = (
            weighing_error(self.with_bath),
            weighing_error(self.with_water) * ratio,
            weighing_error(self.empty) * (1 - ratio),
            max(MARK, WIDE_NECK * bottle) * np.sqrt(2) * ratio,  # g: water weighs 1 g/mL, and both fillings count
            thermometer_error(self.temperature) * float(warming) * bottle,
        )
        return float(np.hypot.reduce(parts))
