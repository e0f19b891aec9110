"""What a reading is expected to show and how surely it would tell, before it is taken.

`expected_bath` says what the bath is planned for; both answers come from the reading's own `model`, with its random and
systematic errors together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from advisor.check.assessment import assess, limits_of
from advisor.readings import KINDS, Reading
from advisor.readings.hydrometer import bath_density
from advisor.readings.model import State, Surroundings
from advisor.sheet import Sheet

# What is expected where neither readings nor window say anything, and the least that a test is planned for
# [g/L; chloride mg/L] (judgement).
USUAL = {"copper_sulfate": (220.0, 10.0), "sulfuric_acid": (55.0, 1.0), "chloride": (70.0, 10.0)}
LIKELY = 2.0  # standard uncertainties from the expected value to the strongest bath that is likely


@dataclass(frozen=True)
class Expected:
    """What the bath is expected to hold [g/L; chloride mg/L], with standard uncertainties, and where that is from."""

    copper_sulfate: float
    sulfuric_acid: float
    chloride: float
    copper_sulfate_spread: float
    sulfuric_acid_spread: float
    chloride_spread: float
    source: str
    surroundings: Surroundings

    @property
    def state(self) -> State:
        """The expected bath."""
        return State(self.copper_sulfate, self.sulfuric_acid, chloride=self.chloride)

    def most(self, component: str) -> float:
        """The most of a component that is likely [g/L; chloride mg/L]."""
        return float(getattr(self, component) + LIKELY * getattr(self, f"{component}_spread"))

    @property
    def density(self) -> float:
        """Density of the expected bath now [g/mL]."""
        return float(bath_density(self.state, self.surroundings.temperature))


def expected_bath(sheet: Sheet) -> Expected:
    """Return what the readings of a sheet tell, and for what they do not tell the middle of its window."""
    known, limits = assess(sheet).values, limits_of(sheet)
    likely: dict[str, float] = {}
    measured = []
    for name, (otherwise, least) in USUAL.items():
        value, limit = known[name], limits[name]
        if value is not None:
            measured.append(name)
            likely[name] = max(value.value, least)
            likely[f"{name}_spread"] = min(value.standard_uncertainty, likely[name] / 2)
        else:
            likely[name] = sum(limit) / 2 if limit else otherwise
            likely[f"{name}_spread"] = likely[name] / 4  # twice that reaches half as much again (judgement)
    source = "your readings" if measured else "the middle of your window"
    if measured and len(measured) < len(known):
        source += ", and the middle of your window for what they do not tell"
    return Expected(**likely, source=source, surroundings=sheet.bath.surroundings())


def reading_of(kind: str, fields: Mapping[str, object]) -> Reading:
    """Return a reading of a kind from its fields."""
    return KINDS[kind](**fields)  # type: ignore[arg-type]  # each kind has fields of its own


def uncertainty_of(
    kind: str, fields: Mapping[str, object], expected: Expected, component: str = "copper_sulfate"
) -> float:
    """Return the standard uncertainty of a component [g/L; chloride mg/L] by one reading, all else being known.

    The random and systematic errors of the reading's own model, over how far it moves with the component.
    """
    model = reading_of(kind, fields).model(expected.surroundings, expected.state)
    at = float(getattr(expected, component))
    step = max(0.01 * at, 0.1)
    up, down = (model.predict(replace(expected.state, **{component: at + sign * step})) for sign in (1, -1))
    slope = (np.broadcast_to(up, model.observed.shape) - np.broadcast_to(down, model.observed.shape)) / (2 * step)
    noise = np.diag(model.random**2)
    for effect in model.systematic.values():
        noise = noise + np.outer(effect, effect)
    return float((slope @ np.linalg.solve(noise, slope)) ** -0.5)


def expected_to_show(kind: str, fields: Mapping[str, object], expected: Expected) -> float:
    """Return what a reading of one value will show for the expected bath."""
    return float(reading_of(kind, fields).model(expected.surroundings, expected.state).predict(expected.state)[0])
