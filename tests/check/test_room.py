"""A plan that hangs on how much the tank holds asks for that, and for nothing that changes nothing."""

from typing import Any

import pytest

from advisor import advise, read_sheet
from advisor.check import room
from advisor.check.advice import Advice
from advisor.check.assessment import assess
from advisor.check.correction import Plan
from advisor.check.mass_balance import After, Amounts, Task
from advisor.check.task import make_task
from advisor.words.states import PlanState
from tests.check.test_granted import NOTHING_GOT_IN, checked, granted

# Acid from 12 to 30 g/L with 20 % acid takes 5.6 · 18/(0.20 · 1.14 - 0.03) = 0.5 L, a tenth of the tank.
WEAK = {"stock": {"acid": {"strength": "20 %"}}}


def answer(copper: float, acid: float, /, stock: dict[str, Any] | None = None, **bath: Any) -> Advice:
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, **bath}, "reading": [checked(copper, acid)], **(stock or {})}
    return advise(read_sheet(raw))


def test_bath_that_comes_out_only_to_make_room_asks_for_the_most_the_tank_holds() -> None:
    asked = answer(225, 12, WEAK)
    assert asked.plan.amounts.take_out > 0.4
    assert asked.room is not None
    assert "Room for 6.26 L? Then 0.45 L stays." in asked.room
    assert granted(asked)["the most the tank holds"]["value"] == "6.16 L"


def test_what_was_told_is_not_asked_again_and_decides_the_plan() -> None:
    told = answer(225, 12, WEAK, max_volume="6.8 L")
    assert told.room is None
    assert told.plan.amounts.take_out == 0
    full = answer(225, 12, WEAK, max_volume="5.7 L")
    assert full.room is None
    assert full.plan.amounts.take_out > 0.4
    assert "the most the tank holds" not in granted(full)


def test_so_little_that_no_level_shows_it_stays_in_unless_the_tank_is_known_to_be_full() -> None:
    acid = {"stock": {"acid": {"strength": "37 %"}}}
    kept = answer(180, 26, acid, volume="3.5 L").plan
    assert kept.state == "possible"
    assert kept.amounts.take_out == 0
    assert 1.03 * 3.5 < kept.after.volume < 1.055 * 3.5  # 60 mL would have come out to stay below 3.605 L
    assert answer(180, 26, acid, volume="3.5 L", max_volume="3.6 L").plan.amounts.take_out > 0


def test_a_plan_that_ends_above_the_usual_level_asks() -> None:
    asked = answer(260, 70, WEAK)  # both are too high: water, beyond what is taken out
    assert asked.plan.after.volume > 1.03 * 5.6
    assert asked.room is not None
    assert "This ends at 6.16 L, above your usual 5.60 L. Does the tank hold that?" in asked.room


def test_a_plan_that_stays_at_its_level_asks_nothing() -> None:
    assert answer(170, 52).room is None
    assert answer(215, 52).room is None
    assert answer(225, 12, WEAK, usual_volume="6.6 L").room is None


@pytest.mark.parametrize(
    ("out", "ends", "water", "out_with_room", "ends_with_room", "asked"),
    [
        (0.45, 5.6, 500.0, 0.0, 6.16, "Room for 6.16 L? Then 0.45 L stays."),
        (0.45, 5.6, 500.0, 0.2, 6.16, "Room for 6.16 L? Then 0.25 L stays."),
        (0.45, 5.6, 500.0, 0.4, 6.16, None),  # 50 mL are less than a jug, a hundredth of 5.6 L
        (0.45, 5.6, 500.0, 0.0, 5.75, None),  # no level shows 3 %
        (0.45, 5.6, 0.0, 0.0, 6.16, None),  # with room there is no plan
        (0.0, 5.6, 500.0, 0.0, 6.16, None),
        (0.45, 5.75, 500.0, 0.45, 5.75, None),
        (0.45, 5.8, 500.0, 0.0, 6.16, "This ends at 5.80 L, above your usual 5.60 L. Does the tank hold that?"),
    ],
)
def test_room_is_asked_for_where_it_would_spare_a_jug(
    monkeypatch: pytest.MonkeyPatch,
    out: float, ends: float, water: float, out_with_room: float, ends_with_room: float, asked: str | None,
) -> None:  # fmt: skip
    sheet = read_sheet({"bath": {"volume": "5 L", "usual_volume": "5.6 L"}})
    task = make_task(sheet, None, assess(sheet).verdict)
    tried = []

    def plan(amounts: Amounts, litres: float) -> Plan:
        return Plan(PlanState.POSSIBLE, amounts, After(litres, 221.0, 52.0, None, 0.9), None)

    def with_room(roomy: Task, saying_why: bool) -> Plan:
        assert not saying_why  # nobody reads why it cannot be
        tried.append((roomy.has_room, roomy.most_volume))
        return plan(Amounts(take_out=out_with_room, water=water), ends_with_room)

    monkeypatch.setattr(room, "correct", with_room)
    assert room.room_asked(sheet, task, plan(Amounts(take_out=out, water=500.0), ends)) == asked
    assert tried in ([], [(True, pytest.approx(1.5 * 5.6))])  # half as much again: hardly a tank holds more
