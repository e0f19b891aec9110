"""What another reading would settle."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.special import ndtr

from advisor import advise, read_sheet
from advisor.basis.components import COMPONENTS
from advisor.check import candidates, foreign, next_reading
from advisor.check.known import Known, Value, independent
from advisor.check.next_reading import Suggestion
from advisor.check.open_questions import QUESTIONS
from advisor.check.task import make_task
from advisor.readings.model import State
from advisor.sheet import GEAR
from advisor.words.states import PlanState
from tests.check.test_granted import ACID as SODA
from tests.check.test_granted import NOTHING_GOT_IN

# The acid stands at the lower limit of the window, and is known badly; the copper is known to be inside.
CHECKED = {
    "kind": "previous check",
    "copper_sulfate": "221 ± 4 g/L",
    "sulfuric_acid": "30 ± 20 g/L",
    "since": "evaporation only",
}
# What would be found if the bath holds just that: 30 g/L in 10 mL are 0.3 g, 3.06 mmol, which take 6.12 mmol of
# bicarbonate, 12.2 mL of 0.5 mol/L.
TITRATED = {
    "kind": "acid titration",
    "sample": "10 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "used": "12.2 mL",
    "end_point": "first lasting cloud",
}


def test_a_reading_is_worth_what_it_may_find_elsewhere() -> None:
    """At the limit itself no reading, however sharp, settles anything: all that it is worth is that it may move.

    If the acid is known to u and after a reading to v, the reading moves it by a normal deviate of √(u² - v²). It is
    settled where it then lies more than 1.645 v off the limit: with the probability 2 Φ(-1.645 v/√(u² - v²)), and it is
    one of two that are to be settled.
    """

    def answer(*readings: dict[str, str]) -> dict:
        return advise(read_sheet({"bath": {"volume": "5.6 L", "additives": False}, "reading": [*readings]})).to_dict()

    before, after = answer(CHECKED), answer(CHECKED, TITRATED)
    u, v = (found["estimate"]["sulfuric_acid_g_L"] for found in (before, after))
    assert u["value"] == pytest.approx(30, abs=1)
    assert v["standard_uncertainty"] < u["standard_uncertainty"] / 3
    moves = (u["standard_uncertainty"] ** 2 - v["standard_uncertainty"] ** 2) ** 0.5
    settled = 2 * ndtr(-1.645 * v["standard_uncertainty"] / moves)
    gain = {found["kind"]: found["gain"] for found in before["next_reading"]}
    # The mean over what may be found is taken at 21 points, a step of about 0.1 each near the middle.
    assert gain["acid titration"] == pytest.approx(settled / 2, abs=0.1)


# --- A kitchen scale ------------------------------------------------------------------------------

KITCHEN = ["1 g scale", "10 mL syringe", "baking soda"]


def kinds(have: list[str], *readings: dict[str, Any]) -> list[Suggestion]:
    bath = {"volume": "5.6 L", **NOTHING_GOT_IN}
    return list(advise(read_sheet({"bath": bath, "gear": {"have": have}, "reading": list(readings)})).next_reading)


def test_a_kitchen_scale_tells_the_copper_once_soda_told_the_acid() -> None:
    first, *_ = kinds(KITCHEN)
    assert first.kind == "acid titration"
    (then,) = kinds(KITCHEN, SODA)
    assert then.kind == "weighed density"
    assert "on a 1 g scale that weighs no food again, gives" in then.why
    assert "you would need" not in then.why


def test_a_finer_scale_takes_a_smaller_bottle_in_less_time() -> None:
    (then,) = kinds([*KITCHEN, "0.1 g scale"], SODA)
    assert (then.kind, then.minutes) == ("weighed density", 15.0)
    assert "kitchen" not in then.why


def test_a_litre_on_a_kitchen_scale_settles_what_half_a_cup_does_not() -> None:
    """Three weighings to 0.6 g each are 0.9 g: 1 mg/mL in a litre, which is 1.7 g/L of copper sulfate; ten times that
    in 100 mL.
    """
    litre = {"kind": "weighed density", "empty": "50 g", "with_water": "1047 g", "with_bath": "1208 g"}
    cup = {"kind": "weighed density", "empty": "50 g", "with_water": "150 g", "with_bath": "166 g"}
    spread = {
        name: advise(
            read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [SODA, reading]})
        ).estimate.standard_uncertainty("copper_sulfate")
        for name, reading in {"litre": litre, "cup": cup}.items()
    }
    assert spread["litre"] < 4.5
    assert spread["cup"] > 10


def test_without_any_scale_what_costs_least_with_its_work_is_named() -> None:
    """A hydrometer at 12 takes 5 minutes; jars at 5 take 40, EDTA at 25 takes 30."""
    (then,) = kinds(["10 mL syringe", "baking soda"], SODA)
    assert then.kind == "hydrometer"
    assert "what you would need for it: hydrometer" in then.why


def test_of_tools_that_serve_alike_the_cheapest_is_named():
    assert candidates.CANDIDATES["plated-out copper"].missing({"inert anode"}) == {"0.1 g scale"}


def test_every_tool_that_may_be_named_has_a_price():
    for candidate in candidates.CANDIDATES.values():
        if candidate.needs != candidates.SENT_AWAY:
            assert {tool for gear in candidate.needs for tool in gear} <= set(candidates.TOOL_PRICES)


# --- How it is reckoned -----------------------------------------------------------------------------


def test_a_reading_tells_as_much_as_its_own_and_its_shared_errors_leave():
    """The other way round: P - P H'(H P H' + R)^-1 H P, with slopes H from the reading's own predictions."""
    sheet = read_sheet({"bath": {"volume": "5.6 L"}, "reading": [SODA]})
    present, (reading,) = next_reading._present(sheet, None), sheet.readings
    here = dict(
        zip(present.names, np.maximum(present.mean, [name in COMPONENTS for name in present.names]), strict=True)
    )
    model = reading.model(sheet.bath.surroundings(), State(**here))
    up, down = (
        [model.predict(State(**here | {name: here[name] + step})) for name in present.names] for step in (0.01, -0.01)
    )
    slopes = (np.array(up) - np.array(down)).T / 0.02
    noise = np.diag(model.random**2) + sum(np.outer(effect, effect) for effect in model.systematic.values())
    gain = present.covariance @ slopes.T @ np.linalg.inv(slopes @ present.covariance @ slopes.T + noise)
    expected = present.covariance - gain @ slopes @ present.covariance
    assert next_reading._after(reading, sheet, present) == pytest.approx(expected, rel=1e-3, abs=1e-3)


def test_an_answer_leaves_of_each_salt_what_it_lets_expect():
    sheet = read_sheet({"bath": {"volume": "5.6 L", "age": "5 years"}})
    present, then = next_reading._present(sheet, None), []

    def gain_of(covariance):
        then.append(np.sqrt(np.diag(covariance)))
        return 0.5

    asked = next_reading._questions(sheet, present, gain_of, ())
    assert {said.question for said in asked} == {f"bath.{question}" for question in QUESTIONS}
    for (question, asked), spreads in zip(QUESTIONS.items(), then, strict=True):
        left = foreign.expected(replace(sheet, bath=replace(sheet.bath, **{question: asked.answer})))
        for name, before, spread in zip(present.names, np.sqrt(np.diag(present.covariance)), spreads, strict=True):
            may_be = (
                left[name].standard_uncertainty if name in left else before if name in COMPONENTS else next_reading.GONE
            )
            assert spread == pytest.approx(min(may_be, before))
    assert not next_reading._questions(sheet, present, lambda _: 0.0, ())
    (waited,) = next_reading._questions(sheet, present, lambda _: -0.1, ("touched",))
    assert (waited.question, waited.gain) == ("bath.touched", 0.0)


def test_of_a_first_part_a_reading_is_worth_by_how_much_more_surely_it_would_land():
    """Aimed at the middles, 26.5 and 22.5 g/L from the limits: inside with the product of both probabilities."""
    limits = ((195.0, 248.0), (30.0, 75.0))
    task: Any = SimpleNamespace(
        limits_of_both=limits, measured=lambda _: True, aim_copper_sulfate=221.5, aim_sulfuric_acid=52.5
    )
    plan: Any = SimpleNamespace(state=PlanState.FIRST_PART)

    def spread(salt: float, acid: float) -> Known:
        return independent({"copper_sulfate": Value(120.0, salt), "sulfuric_acid": Value(52.0, acid)}, (), 5.6, 0.0)

    def lands(salt: float, acid: float) -> float:
        return (1 - 2 * ndtr(-26.5 / salt)) * (1 - 2 * ndtr(-22.5 / acid))

    nothing: Any = None
    gain_of = next_reading._gain(nothing, task, plan, spread(25.0, 12.0))
    for after in ((25.0, 12.0), (10.0, 12.0), (25.0, 6.0), (40.0, 12.0)):
        assert gain_of(spread(*after).covariance) == pytest.approx(lands(*after) - lands(25.0, 12.0), abs=1e-3)


def test_what_helps_with_every_tool_is_what_is_told_to_whom_owns_them() -> None:
    """Of an open bath, without what repeats a reading and without what is sent away."""
    raw = {"bath": {"volume": "5.6 L"}, "reading": [CHECKED]}
    sheet = read_sheet(raw)
    advice = advise(sheet)
    task = make_task(sheet, advice.estimate, advice.verdict)
    helpful = next_reading.with_every_tool(sheet, advice.known, task, advice.plan)
    tooled = advise(read_sheet(raw | {"gear": {"have": list(GEAR)}})).next_reading
    kinds = [said.kind for said in tooled if said.kind not in (None, "laboratory report", CHECKED["kind"])]
    assert [said.kind for said in helpful] == kinds
    assert len(kinds) > 5
