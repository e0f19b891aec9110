"""A change that nothing explains is doubted and gives no advice; a change that was real is not."""

import json
from types import SimpleNamespace

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.check.known import Value, independent
from advisor.record import account
from advisor.record.account import where_it_went
from advisor.record.drift import NOT_SURE, BathState, Doubt, explain
from advisor.record.entries import AnodeChange, Check, Entry, RunDone, WaterAdded
from advisor.record.forecast import forecast
from advisor.record.overview import overview
from tests.benchmarks.years.tank import filled
from tests.record.some_days import at, moment
from tests.record.some_entries import check_that_found


def check(copper_sulfate: float, sulfuric_acid: float, litres: float = 8.0) -> Check:
    return check_that_found((copper_sulfate, 3.0), (sulfuric_acid, 1.0), level=f"{litres} L")


def record(*days_and_contents) -> list[Entry]:
    return [at(day, content) for day, content in days_and_contents]


def said(found) -> str:
    return " ".join(line for section in found.sections() for line in section.lines)


def test_a_fifth_of_the_acid_gone_is_a_wrong_reading_and_no_cause():
    entries = record((0, check(210.0, 60.0)), (21, check(210.0, 60.0)), (42, check(210.0, 48.0)))
    found = where_it_went(entries)
    assert Doubt.UNLIKE in found.doubts
    assert found.certain() == ()
    assert "Repeat this check first" in said(found)
    assert NOT_SURE in said(found)
    assert "lift them out" not in said(found)
    assert "not certain" in said(found)
    json.dumps(found.to_dict(), allow_nan=False)


def test_a_forecast_waits_for_the_repeat():
    entries = record((0, check(210.0, 60.0)), (21, check(210.0, 60.0)), (42, check(210.0, 48.0)))
    coming = forecast(where_it_went(entries), {})
    assert (coming.courses, coming.check_in_days) == ({}, 0)
    assert "repeated" in said(coming)
    home = overview("Shed tank", entries, moment(43))
    assert home.is_due(moment(43).date())
    assert home.next_check(moment(43).date()).startswith("Repeat the last check first")


@pytest.mark.parametrize(
    ("repeat", "doubted"), [(check(210.0, 48.0), False), (check(210.0, 60.0), False), (check(230.0, 75.0), True)]
)
def test_a_repeat_that_agrees_with_either_settles_it(repeat, doubted):
    """With the check that was doubted: the change was real. With the record before it: that check was wrong."""
    entries = record((0, check(210.0, 60.0)), (42, check(210.0, 48.0)), (43, repeat))
    assert (Doubt.UNLIKE in where_it_went(entries).doubts) == doubted


def test_more_copper_than_idle_anodes_give_is_doubted():
    """In 21 days 8 L take 0.09 g/L a day at most, 15 g: 12 g, 47 g of crystals and 19 g of acid, may be; 40 g may not."""
    for grams, too_much in ((12.0, False), (40.0, True)):
        salt, acid = 210.0 + 3.929 * grams / 8, 60.0 - 1.543 * grams / 8
        before, now = (
            check_that_found((held[0], 3.0), (held[1], 0.05), level="8 L") for held in ((210.0, 60.0), (salt, acid))
        )
        found = where_it_went(record((0, before), (21, now)))
        assert (Doubt.TOO_MUCH_COPPER in found.doubts) == too_much, grams


def test_causes_say_that_they_need_a_complete_log():
    found = where_it_went(record((0, check(210.0, 60.0)), (21, check(209.0, 60.5))))
    assert found.doubts == ()
    assert "only if the log is complete" in said(found)


@pytest.mark.parametrize(
    ("copper", "acid", "more", "far"),
    [
        # Each is known to 3 and 1 g/L now and was carried to 4 and 2: √(9 + 16) = 5 and √5 = 2.24 g/L apart.
        (210 + 14.9, 60, {}, False),
        (210 - 15.1, 60, {}, True),
        (210, 60 + 6.6, {}, False),
        (210, 60 - 6.8, {}, True),
        # Neither three of its own, but both: χ² = 2 · 2.4² = 11.5, 2 · 2.5² = 12.5; as rare as three of one is 11.8.
        (210 + 12.0, 60 - 5.37, {}, False),
        (210 + 12.5, 60 - 5.59, {}, True),
        # A level known to 0.1 of 8 L, then and now: √2 · 210/80 = 3.71 g/L more, so √38.8 = 6.23, and thrice it is 18.7.
        (210 + 18, 60, {"level": 0.1}, False),
        (210 + 19.5, 60, {"level": 0.1}, True),
        # Over 90 days a leak of a twentieth a month may go unseen, 0.148 of both: 31 and 9 g/L. Over 59 days it may not.
        (210 - 62, 60 - 18, {"days": 90.0}, False),
        (210 - 62, 60 - 18, {"days": 59.0}, True),
        (210 - 110, 60 - 32, {"days": 90.0}, True),
        (105, 30, {"carried_litres": 4.0}, False),  # the same grams in twice the litres
        (210, 60, {"carried_litres": 4.0}, True),
        (105 - 11.5, 30, {"carried_litres": 4.0}, True),  # carried to half of 4 g/L then: √(9 + 4) = 3.6
    ],
)  # fmt: skip
def test_a_check_is_unlike_the_record_from_three_standard_uncertainties_on(monkeypatch, copper, acid, more, far):
    given = {"level": 0.0, "days": 21.0, "carried_litres": 8.0} | more
    both = {"copper_sulfate": Value(210.0, 4.0), "sulfuric_acid": Value(60.0, 2.0)}
    known = independent(both, tuple(both), given["carried_litres"], 0.0)
    monkeypatch.setattr(account, "carry_forward", lambda *_: SimpleNamespace(known=known, days=given["days"]))
    now = BathState(moment(0), np.array([copper, acid, 8.0]), np.diag([3.0, 1.0, given["level"]]) ** 2)
    assert account._is_unlike(now, []) == far


@pytest.mark.parametrize(
    ("came", "went", "ampere_hours", "inert", "too_much"),
    [
        # Idle anodes give 0.09 g/L a day: in 21 days in 8 L 15.12 g. Inert ones give none.
        (15.0, -40.0, 0.0, False, False),
        (15.2, -40.0, 0.0, False, True),
        (0.1, -40.0, 0.0, True, True),
        (-1.0, -40.0, 0.0, True, False),
        # 10 A·h take 11.855 g, of which 5 g were plated at inert anodes and are accounted for.
        (-40.0, -6.8, 10.0, False, False),
        (-40.0, -6.9, 10.0, False, True),
        (-40.0, -6.9, 0.0, False, False),  # who logs no run may have plated anything
    ],
)
def test_more_copper_came_or_went_than_can_be(came, went, ampere_hours, inert, too_much):
    then, now = (SimpleNamespace(known=[200.0, 60.0, litres]) for litres in (8.0, 7.0))
    change = SimpleNamespace(then=then, now=now, days=21.0, ampere_hours=ampere_hours, plated=5.0)
    change.causes = {"copper": SimpleNamespace(low=came, high=went)}
    assert account._is_too_much_copper(change, inert) == too_much


# --- Long gaps ------------------------------------------------------------------------------------


def state(tank, day: float) -> BathState:
    known = np.array([tank.salt / tank.litres, tank.acid / tank.litres, tank.litres])
    return BathState(moment(day), known, np.diag([2.0, 0.8, 0.04]) ** 2)


@pytest.mark.parametrize(
    ("days", "water", "lost"), [(56, 0.2, 0.0), (400, 0.03, 0.0), (400, 0.0, 0.03), (400, 0.03, 0.03), (56, 0.3, 0.02)]
)
def test_more_than_the_whole_bath_may_go_between_two_checks(days, water, lost):
    """Perfect readings give the causes back by another balance, whatever went: 8 L, topped up once a week."""
    tank = filled(210.0, 60.0, 8.0)
    then, logged = state(tank, 0), []
    for day in range(1, days + 1):
        for part in (lost, 0.0):
            tank.water -= water / 2 * 998.2
            tank.lose(part)
        if day % 7 == 0 or day == days:
            content = WaterAdded(volume=parse(f"{8.0 - tank.litres:.4f} L", "volume"))
            tank.water += content.volume.value * 998.2
            logged.append(at(day - 0.01, content))
    found = explain(then, state(tank, days), logged)
    for name, true in (("evaporation", days * water), ("lost bath", days * lost), ("copper", 0.0)):
        amount = found.causes[name]
        assert amount.value == pytest.approx(true, abs=0.25 * amount.standard_uncertainty + 1e-3), name
    assert not found.unlogged


# --- Inert anodes ---------------------------------------------------------------------------------


RUNS = [(day, RunDone(charge=parse("8 A*h", "charge"))) for day in range(1, 21, 2)]


def test_what_inert_anodes_plate_is_no_riddle():
    """80 A·h take 94.8 g of copper: 46.6 g/L of crystals gone and 18.3 g/L of acid come in 8 L (Faraday's law)."""
    entries = record((0, check(210.0, 60.0)), (0.5, AnodeChange(anodes="inert")), *RUNS, (21, check(163.4, 78.3)))
    found = where_it_went(entries)
    assert found.doubts == ()
    assert found.plated == pytest.approx(94.84, abs=0.05)
    assert found.causes["copper"].value == pytest.approx(0.0, abs=5.0)
    assert "copper" not in found.certain()
    assert "Copper plated at inert anodes, by your ampere-hours: 94.8 g" in said(found)


def test_a_forecast_goes_on_with_what_inert_anodes_plate():
    entries = record((0, check(210.0, 60.0)), (0.5, AnodeChange(anodes="inert")), *RUNS, (21, check(163.4, 78.3)))
    course = forecast(where_it_went(entries), {}).courses["copper_sulfate"]
    assert course.per_day.value == pytest.approx(-46.6 / 21, abs=0.2)
