"""What a reading is expected to show and how surely it would tell, before it is taken.

`expected_bath` says what the bath is planned for; both answers come from the reading's own `model`, with its random and
systematic errors together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from advisor.basis.arrays import FloatArray, linearised
from advisor.basis.components import SALT_AND_ACID
from advisor.check.assessment import assess, limits_of
from advisor.check.estimate import PRIOR
from advisor.check.known import Known, Value, independent
from advisor.readings import KINDS, Reading
from advisor.readings.hydrometer import bath_density
from advisor.readings.model import State, Surroundings
from advisor.sheet import Sheet

# What is expected where neither readings nor window say anything, and the least that a test is planned for
# [g/L; chloride mg/L] (judgement).
USUAL = {"copper_sulfate": (220.0, 10.0), "sulfuric_acid": (55.0, 1.0), "chloride": (70.0, 10.0)}
UNMOVED = 0.99  # of its spread about the window's middle, which a component keeps that no reading speaks of (judgement)
LIKELY = 2.0  # standard uncertainties from the expected value to the strongest bath that is likely


@dataclass(frozen=True)
class Expected:
    """What the bath is expected to hold, and where that is from. told: the components of which readings tell."""

    known: Known
    source: str
    surroundings: Surroundings
    told: frozenset[str]

    @property
    def copper_sulfate(self) -> float:
        """The expected content [g/L]."""
        return self.known.value("copper_sulfate")

    @property
    def sulfuric_acid(self) -> float:
        """The expected content [g/L]."""
        return self.known.value("sulfuric_acid")

    @property
    def chloride(self) -> float:
        """The expected content [mg/L]."""
        return self.known.value("chloride")

    def holding(self, **values: Value) -> Expected:
        """Return the same with other contents of these components [g/L; chloride mg/L]."""
        known = self.known
        contents = {name: known.of(name) for name in known.names} | values
        holding = independent(contents, known.measured, known.volume_L, known.volume_relative_uncertainty)
        return replace(self, known=holding)

    @property
    def state(self) -> State:
        """The expected bath."""
        return State(self.copper_sulfate, self.sulfuric_acid, chloride=self.chloride)

    def most(self, component: str) -> float:
        """The most of a component that is likely [g/L; chloride mg/L]."""
        value, spread = self.known.of(component)
        return value + LIKELY * spread

    @property
    def density(self) -> float:
        """Density of the expected bath now [g/mL]."""
        return float(bath_density(self.state, self.surroundings.temperature))


def expected_bath(sheet: Sheet) -> Expected:
    """Return what the readings of a sheet tell, and for what they do not tell the middle of its window."""
    found, limits = assess(sheet), limits_of(sheet)
    told = found.values
    likely: dict[str, Value] = {}
    for name, (otherwise, _) in USUAL.items():
        limit = limits[name]
        content = sum(limit) / 2 if limit else otherwise
        likely[name] = Value(content, content / 4)  # twice that reaches half as much again (judgement)
    middle = dict(likely)
    if found.estimate:
        likely |= _moved_by_readings(found.estimate, likely)
    likely |= {name: value for name, value in told.items() if value is not None}
    for name, (content, spread) in likely.items():
        content = max(content, USUAL[name][1])
        likely[name] = Value(content, min(spread, content / 2))
    measured = [name for name, value in told.items() if value is not None]
    source = "your readings" if found.estimate else "the middle of your window"
    if found.estimate and len(measured) < len(told):
        source += ", and the middle of your window for what they do not tell"
    here = sheet.bath.surroundings()
    known = independent(likely, measured, here.volume_L, here.volume_standard_uncertainty / here.volume_L)
    return Expected(known, source, here, _told(likely, middle))


def _told(likely: Mapping[str, Value], middle: Mapping[str, Value]) -> frozenset[str]:
    """Return the components that are known better than the window's middle alone would have them."""
    return frozenset(
        name
        for name, (_, spread) in likely.items()
        if spread < UNMOVED * min(middle[name].standard_uncertainty, likely[name].value / 2)
    )


def _moved_by_readings(known: Known, middle: Mapping[str, Value]) -> dict[str, Value]:
    """Return copper sulfate and acid near the window's middle, moved by readings that settle neither of them.

    A density tells both together: here the window takes the place of the estimate's wide priors. The further it is
    from what was read, the less it is believed, as with readings that contradict each other.
    """
    believed, wide = np.array([PRIOR[name] for name in SALT_AND_ACID]).T
    content, spread = np.array([middle[name] for name in SALT_AND_ACID]).T
    mean = np.array([known.mean[known.names.index(name)] for name in SALT_AND_ACID])
    weight = np.linalg.inv(known.block(SALT_AND_ACID))
    covariance = np.linalg.inv(weight - np.diag(wide**-2) + np.diag(spread**-2))
    moved = covariance @ (weight @ mean - believed / wide**2 + content / spread**2)
    surprise = max(float(np.linalg.norm((moved - content) / spread)), 1.0)
    spreads = surprise * np.sqrt(np.diag(covariance))
    return {name: Value(*pair) for name, *pair in zip(SALT_AND_ACID, moved.tolist(), spreads.tolist(), strict=True)}


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
    at = expected.known.value(component)
    step = max(0.01 * at, 0.1)

    def shown(values: FloatArray) -> FloatArray:
        predicted = model.predict(replace(expected.state, **{component: values[0]}))
        return np.broadcast_to(predicted, (len(model.observed), values.shape[1]))

    slope = linearised(shown, [at], [step])[1][:, 0]
    return float((slope @ np.linalg.solve(model.covariance, slope)) ** -0.5)


def expected_to_show(kind: str, fields: Mapping[str, object], expected: Expected) -> float:
    """Return what a reading of one value will show for the expected bath [the reading's own unit]."""
    return float(reading_of(kind, fields).model(expected.surroundings, expected.state).predict(expected.state)[0])


def as_read(reading: Reading, expected: Expected) -> float:
    """Return what a reading of one value showed [the reading's own unit]."""
    return float(reading.model(expected.surroundings, expected.state).observed[0])
