"""Which reading to take next: what each one that the person could take would settle.

For every kind that the gear allows and the sheet does not hold yet, a reading is imagined at the present estimate;
the gain is the rise in the expected probability that the verdicts on copper sulfate and acid are decided. It advises
no amounts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import roots_hermitenorm

from advisor.estimate import PRIOR, Estimate
from advisor.readings import KINDS, Reading
from advisor.readings.model import State
from advisor.sheet import Sheet
from advisor.window import SURE, Limits, judge

_POINTS, _WEIGHTS = roots_hermitenorm(21)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True)
class Suggestion:
    """A reading worth taking. gain: rise in the expected share of decided verdicts, 0-1; minutes: of work (judgement)."""

    kind: str
    why: str
    gain: float
    minutes: float


@dataclass(frozen=True)
class _Candidate:
    """A reading that could be taken: what it needs, and what a typical one looks like in a sheet."""

    needs: tuple[frozenset[str], ...]  # any of these sets of gear will do
    fields: dict[str, object]
    why: str
    minutes: float


_CANDIDATES = {
    "acid titration": _Candidate(
        (frozenset({"baking soda"}), frozenset({"washing soda"}), frozenset({"lye"})),
        {
            "sample": "10 mL",
            "diluted_to": "100 mL",
            "titrant": "sodium bicarbonate",
            "strength": "0.5 mol/L",
            "used": "20 mL",
            "end_point": "first lasting cloud",
        },
        "a syringe of bath titrated with baking soda tells the free acid",
        20.0,
    ),
    "hydrometer": _Candidate(
        (frozenset({"hydrometer"}),),
        {"value": "1.16", "scale": "SG 20/20"},
        "the density tells copper sulfate and acid together; with the acid known it tells the copper",
        5.0,
    ),
}


def rank(sheet: Sheet, estimate: Estimate | None, limits: dict[str, Limits | None]) -> tuple[Suggestion, ...]:
    """Return the readings worth taking, most useful first; all that the gear allows where the sheet names no gear."""
    have = set(sheet.gear.have)
    taken = {reading.kind for reading in sheet.readings}
    mean, covariance = _present(estimate)
    decided = _expected_decided(mean, np.zeros((2, 2)), covariance, limits)
    found = []
    for kind, candidate in _CANDIDATES.items():
        able = not have or any(gear <= have for gear in candidate.needs)
        if kind in taken or not able:
            continue
        reading = KINDS[kind](**{key: _field(kind, key, value) for key, value in candidate.fields.items()})
        after = _after(reading, sheet, mean, covariance)
        gain = _expected_decided(mean, covariance - after, after, limits) - decided
        if gain > 0.01:
            found.append(Suggestion(kind, candidate.why, float(min(gain, 1.0)), candidate.minutes))
    return tuple(sorted(found, key=lambda suggestion: -suggestion.gain))


def _field(kind: str, key: str, value: object) -> object:
    from advisor.fields import fields_of

    return fields_of(KINDS[kind])[key].read(value, key)


def _present(estimate: Estimate | None) -> tuple[np.ndarray, np.ndarray]:
    """Return what is known of copper sulfate and acid: mean (2,) and covariance (2, 2)."""
    if estimate is None:
        means, spreads = np.array([PRIOR["copper_sulfate"], PRIOR["sulfuric_acid"]]).T
        return means, np.diag(spreads**2)
    return estimate.mean[:2], estimate.covariance[:2, :2]


def _after(reading: Reading, sheet: Sheet, mean: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    """Return the covariance (2, 2) once a reading has been taken, linearised at the mean."""
    state = State(*np.maximum(mean, 1.0))
    model = reading.model(sheet.bath.surroundings(), state)
    steps = np.eye(2)
    points = np.maximum(mean, 1.0)[:, None] + np.concatenate([steps, -steps], axis=1)
    up, down = np.split(model.predict(State(*points)), 2, axis=1)
    slope = (up - down) / 2
    noise = np.diag(model.random**2) + sum(np.outer(effect, effect) for effect in model.systematic.values())
    return np.linalg.inv(np.linalg.inv(covariance) + slope.T @ np.linalg.solve(noise, slope))


def _expected_decided(
    mean: np.ndarray, moves: np.ndarray, covariance: np.ndarray, limits: dict[str, Limits | None]
) -> float:
    """Return the expected share of verdicts that are decided, if the mean may still move by a covariance `moves`."""
    shares = []
    for position, component in enumerate(("copper_sulfate", "sulfuric_acid")):
        spread = float(np.sqrt(covariance[position, position]))
        travel = float(np.sqrt(max(moves[position, position], 0.0)))
        sure = [
            judge(float(mean[position] + travel * point), spread, limits[component]).state != "unsure"
            for point in _POINTS
        ]
        shares.append(float(_WEIGHTS @ np.array(sure, dtype=float)))
    return float(np.mean(shares))


__all__ = ["SURE", "Suggestion", "rank"]
