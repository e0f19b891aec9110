"""What a laboratory found in a sample of the bath: any of copper, acid, chloride and foreign metals.

What the report does not give is left open. Metals that it gives enter the estimate as measured: they stand above what
the bath's owner remembers of what touched it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from advisor.basis.fields import Fault, InputError, QuantityField, define, note, show
from advisor.basis.units import COVERAGE, Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.solution.molar_masses import COPPER_PER_PENTAHYDRATE, SODIUM, SODIUM_SULFATE
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.words.lines import line

SODIUM_PER_SULFATE = 2 * SODIUM / SODIUM_SULFATE  # g/g (computed)
# Per field: the component of the bath it speaks of, what a gram a litre of that reads as, its half-width (95 %,
# relative) where the report gives none, and the least that a laboratory would notice [g/L]. Half-widths and least:
# judgement; they are what a good routine laboratory states.
SPEAKS_OF: dict[str, tuple[str, float, float, float]] = {
    "copper": ("copper_sulfate", COPPER_PER_PENTAHYDRATE, 0.02, 0.01),
    "copper_sulfate": ("copper_sulfate", 1.0, 0.02, 0.04),
    "sulfuric_acid": ("sulfuric_acid", 1.0, 0.03, 0.1),
    "chloride": ("chloride", 0.001, 0.10, 0.001),
    "iron": ("iron", 1.0, 0.10, 0.002),
    "zinc": ("zinc", 1.0, 0.10, 0.002),
    "nickel": ("nickel", 1.0, 0.10, 0.002),
    "sodium": ("sodium_sulfate", SODIUM_PER_SULFATE, 0.10, 0.005),
}
# g/L of the component, what no bath holds (judgement where it is no limit of the sheet).
MOST = {"copper_sulfate": HIGHEST_COPPER_SULFATE, "sulfuric_acid": HIGHEST_SULFURIC_ACID, "chloride": HIGHEST_CHLORIDE}
MOST_SALT = 100.0  # g/L (judgement)
_PPM = 1e-3  # g/L, a milligram a litre (exact, as ppm is taken here)


def _reported(label: str, help: str = "") -> Any:
    return define(QuantityField(quantity="reported", label=label, help=help, unit="g/L"))


@dataclass(frozen=True)
class LaboratoryReport(Reading):
    """A report on one sample."""

    kind: ClassVar[str] = "laboratory report"
    label: ClassVar[str] = "Laboratory report"

    copper: Measured | None = _reported("Copper, as metal", "In g/L, mg/L, ppm (taken as mg/L) or oz/gal, with its ±.")
    copper_sulfate: Measured | None = _reported("Copper sulfate", "This instead of the metal, if it says CuSO₄·5H₂O.")
    sulfuric_acid: Measured | None = _reported("Free sulfuric acid")
    chloride: Measured | None = define(
        QuantityField(quantity="reported", label="Chloride", help="Mostly in mg/L or ppm.", unit="mg/L")
    )
    iron: Measured | None = _reported("Iron")
    zinc: Measured | None = _reported("Zinc")
    nickel: Measured | None = _reported("Nickel")
    sodium: Measured | None = _reported("Sodium")
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a report that says nothing, copper in two ways, and what no bath holds."""
        if not self._given:
            raise InputError.missing(place, f"give any of {', '.join(SPEAKS_OF)}")
        if self.copper and self.copper_sulfate:
            accepted = "give the copper as metal or as copper sulfate, not both"
            raise InputError(f"{place}: copper_sulfate", "you gave copper too", accepted, Fault.CONFLICT)
        for name in self._given:
            component, reads_as, _, _ = SPEAKS_OF[name]
            most = MOST.get(component, MOST_SALT) * reads_as
            if self._grams(name) > most:
                accepted = line("no bath holds more than {most:.3g g/L}: look again at the unit", most=most)
                raise InputError(f"{place}: {name}", show(getattr(self, name).text), accepted, Fault.OUT_OF_LIMITS)

    @property
    def _given(self) -> tuple[str, ...]:
        return tuple(name for name in SPEAKS_OF if getattr(self, name) is not None)

    def _grams(self, name: str) -> float:
        """Return what was found [g/L]."""
        typed: Measured = getattr(self, name)
        return typed.value * (_PPM if typed.unit == "ppm" else 1.0)

    def _spread(self, name: str) -> float:
        """Return its standard uncertainty [g/L]."""
        typed: Measured = getattr(self, name)
        _, _, half_width, least = SPEAKS_OF[name]
        if typed.standard_uncertainty is not None:
            return typed.standard_uncertainty * (_PPM if typed.unit == "ppm" else 1.0)
        return max(half_width * self._grams(name), least) / COVERAGE

    def tells_chloride(self) -> bool:
        """Tell whether the report gives chloride."""
        return self.chloride is not None

    def salts_found(self) -> Mapping[str, tuple[float, float]]:
        """Return the foreign salts of the report [g/L], each with its standard uncertainty."""
        return {
            component: (self._grams(name) / reads_as, self._spread(name) / reads_as)
            for name in self._given
            for component, reads_as, _, _ in (SPEAKS_OF[name],)
            if component not in MOST
        }

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: each figure of the report [g/L], which stand for themselves."""
        spoken = [SPEAKS_OF[name] for name in self._given]

        def predict(state: State) -> FloatArray:
            return as_rows(*(np.asarray(getattr(state, component)) * reads_as for component, reads_as, _, _ in spoken))

        return Model(
            predict,
            np.array([self._grams(name) for name in self._given]),
            np.array([self._spread(name) for name in self._given]),
        )

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say how ppm was taken, and what was taken for granted of the ±."""
        found = []
        if any(getattr(self, name).unit == "ppm" for name in self._given):
            found.append("What was given in ppm is taken as mg/L; by mass it would be 15 to 20 % more.")
        if any(getattr(self, name).standard_uncertainty is None for name in self._given):
            found.append(
                "Where the report gives no ±, a laboratory's usual one was taken (95 %): copper 2 %, acid 3 %, the "
                "others 10 %. Ask for theirs."
            )
        return tuple(found)
