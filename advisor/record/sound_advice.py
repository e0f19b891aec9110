"""Whether what stands in a kept check as its advice is one: everything that is read out of it again has its shape.

A check comes from a file that a hand, a failing disk or another program may have changed. What is said here of its
advice is all that the rest of the record relies on; a part that an older version did not write may be missing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from advisor.basis.components import COMPONENTS, KEYS
from advisor.basis.fields import LEAST_ABOVE_ZERO, InputError, show
from advisor.record.done_steps import STEP_AMOUNTS, STEP_FRACTIONS

LARGEST_IN_A_BATH = 1e5  # g/L, mg/L or L: room for every bath and every slip of a program (judgement)
LARGEST = 1e9  # of any number (judgement): nothing computed from it overflows
LARGEST_FRACTION = 2.0  # g/g: a gram of the anhydrous powder stands for 1.56 g of the pentahydrate (judgement)
UNITS_OF_STEPS = ("_L", "_mL", "_g", "_fraction")
COLDEST, HOTTEST = -50.0, 200.0  # °C that a bath may be kept above (judgement)
DEEPEST = 10  # tables within tables; an advice has four (judgement)


def sound_advice(advice: object, place: str) -> Mapping[str, Any]:
    """Return an advice of which everything that the record reads is sound; raises InputError that names the place."""
    place = f"{place}: advice"
    whole = _table(advice, place)
    _check_estimate(_table(whole.get("estimate"), f"{place}: estimate"), f"{place}: estimate")
    verdict = _table(whole.get("verdict", {}), f"{place}: verdict")
    for name in COMPONENTS:
        _check_verdict(_table(verdict.get(name, {}), f"{place}: verdict: {name}"), f"{place}: verdict: {name}")
    correction = _table(whole.get("correction", {}), f"{place}: correction")
    if correction.get("keep_above_degC") is not None:
        _number(correction["keep_above_degC"], f"{place}: correction: keep_above_degC", COLDEST, HOTTEST)
    steps = _list(correction.get("steps", []), f"{place}: correction: steps")
    for number, step in enumerate(steps, 1):
        _check_step(_table(step, f"{place}: step {number}"), f"{place}: step {number}")
    for name in ("warnings", "cautions"):
        for text in _list(whole.get(name, []), f"{place}: {name}"):
            _text(text, f"{place}: {name}")
    _bounded(whole, place, DEEPEST)
    return whole


def _check_estimate(estimate: Mapping[str, Any], place: str) -> None:
    _number(estimate.get("volume_L"), f"{place}: volume_L", LEAST_ABOVE_ZERO, LARGEST_IN_A_BATH)
    if estimate.get("correlation") is not None:
        _number(estimate["correlation"], f"{place}: correlation", -1.0, 1.0)
    for key in KEYS.values():
        if estimate.get(key) is not None:
            value = _table(estimate[key], f"{place}: {key}")
            for part in ("value", "standard_uncertainty"):
                _number(value.get(part), f"{place}: {key}: {part}", 0.0, LARGEST_IN_A_BATH)


def _check_verdict(verdict: Mapping[str, Any], place: str) -> None:
    if "state" in verdict:
        _text(verdict["state"], f"{place}: state")
    if verdict.get("limits") is not None:
        limits = _list(verdict["limits"], f"{place}: limits")
        numbers = [_number(limit, f"{place}: limits", 0.0, LARGEST_IN_A_BATH) for limit in limits]
        if len(numbers) != 2 or numbers[0] > numbers[1]:
            raise _unsound(f"{place}: limits", limits, "two limits, the lower first")


def _check_step(step: Mapping[str, Any], place: str) -> None:
    what = _text(step.get("what"), f"{place}: what")
    if what not in STEP_AMOUNTS:
        raise _unsound(f"{place}: what", what, f"one of: {', '.join(STEP_AMOUNTS)}")
    does = "take out" if what == "bath" else "add"
    if step.get("do") != does:
        raise _unsound(f"{place}: do", step.get("do"), does)
    amounts = {STEP_AMOUNTS[what][0], *([] if what == "bath" else ["mass_g"])}
    strength = {STEP_FRACTIONS[what]} if what in STEP_FRACTIONS else set()
    for name in sorted(amounts | strength | (step.keys() - {"do", "what"})):
        if not name.endswith(UNITS_OF_STEPS):
            raise _unsound(f"{place}: {name}", name, "a name that ends in its unit")
        _number(step.get(name), f"{place}: {name}", 0.0, LARGEST_FRACTION if name in strength else LARGEST)


def _unsound(place: str, given: object, accepted: str) -> InputError:
    return InputError(place, show(given), f"it must be {accepted}")


def _table(given: object, place: str) -> Mapping[str, Any]:
    if not isinstance(given, Mapping):
        raise _unsound(place, given, "a table")
    return given


def _list(given: object, place: str) -> Sequence[Any]:
    if not isinstance(given, list):
        raise _unsound(place, given, "a list")
    return given


def _text(given: object, place: str) -> str:
    if not isinstance(given, str):
        raise _unsound(place, given, "a text")
    return given


def _number(given: object, place: str, low: float, high: float) -> float:
    if not isinstance(given, int | float) or isinstance(given, bool) or not low <= given <= high:
        raise _unsound(place, given, f"a number from {low:g} to {high:g}")
    return float(given)


def _bounded(given: object, place: str, depth: int) -> None:
    """Raise InputError where a number anywhere is beyond all use, or tables stand too deep within each other."""
    if isinstance(given, Mapping | list):
        if depth == 0:
            raise InputError(place, f"tables stand more than {DEEPEST} deep in it", "an advice has four")
        for part in given.values() if isinstance(given, Mapping) else given:
            _bounded(part, place, depth - 1)
    elif isinstance(given, int | float) and not -LARGEST <= given <= LARGEST:
        raise _unsound(place, given, f"a number of at most {LARGEST:g}")
