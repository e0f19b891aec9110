"""The state of each bath and what is due, from the record."""

import datetime
from dataclasses import replace

import pytest

from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.check.headline import headline
from advisor.examples import example_text
from advisor.record.due import Upkeep, due
from advisor.record.entries import CrystalsAdded, Remake, RunDone, TakenOut, WaterAdded, Withdrawn
from advisor.record.logbook import Logbook
from advisor.record.overview import USUAL_DAYS, overview, trail
from advisor.record.sound_advice import sound_advice
from advisor.sheet import parse_sheet, read_sheet
from advisor.words.states import BRIEF, PlanState
from tests.some_sheets import ANSWERS, checked

BATH = "Leafcast, big tank (example)"
NOW = datetime.datetime(2026, 4, 1, 12, tzinfo=datetime.UTC)


def check_on(logbook, month, day):
    sheet = parse_sheet(example_text("dull").encode())
    dated = replace(sheet, bath=replace(sheet.bath, date=datetime.date(2026, month, day)))
    logbook.record_check(dated, advise(dated))


@pytest.fixture
def logbook():
    book = Logbook()
    check_on(book, 3, 14)
    return book


def test_the_last_check_is_told_in_words(logbook):
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert found.state() == "Copper sulfate not settled, sulfuric acid too low."
    assert not found.is_in()
    assert found.days == 18
    assert "Checked 18 days ago, on 14 March 2026." in found.history()


def test_one_check_is_due_again_after_the_usual_time(logbook):
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert found.due == datetime.date(2026, 3, 14) + datetime.timedelta(days=USUAL_DAYS)
    assert not found.forecast
    assert not found.is_due(datetime.date(2026, 4, 12))
    assert found.is_due(datetime.date(2026, 4, 13))
    assert found.next_check(datetime.date(2026, 4, 15)).startswith("A check has been due for 2 days")


def test_two_checks_allow_a_forecast(logbook):
    check_on(logbook, 3, 28)
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert found.forecast
    assert found.due == datetime.date(2026, 4, 4)  # a bath outside its window is looked at again within a week
    assert "as it has been drifting" in found.next_check(NOW.date())


def test_what_was_done_since_is_counted(logbook):
    logbook.record(BATH, RunDone(charge=parse("12 A*h", "charge")), datetime.datetime(2026, 3, 20))
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert (found.since, found.ampere_hours) == (1, 12.0)
    assert "1 entry and 12 A·h plated" in found.history()


def crystals():
    return CrystalsAdded(mass=parse("256 g", "mass"))


def test_a_bath_that_was_corrected_is_to_be_measured_and_not_corrected_again(logbook):
    assert overview(BATH, logbook.entries(BATH), NOW).is_out()
    added = [logbook.record(BATH, crystals(), datetime.datetime(2026, 3, day, 12)) for day in (16, 20)]
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert found.state() == "Corrected on 20 March 2026, after its last check: measure it again."
    assert not found.is_out()
    assert not found.is_in()
    assert found.is_due(NOW.date())
    assert "new check" in found.next_check(NOW.date())
    accounts = []
    assert overview(BATH, logbook.entries(BATH), NOW, accounts.append) == found
    assert accounts == []  # no forecast is told of it, so that none is made
    for entry in added:
        logbook.correct(entry.id, Withdrawn())
    assert overview(BATH, logbook.entries(BATH), NOW).is_out()


def test_a_check_that_is_filed_a_second_time_knows_of_nothing_that_was_done_since(logbook):
    added = logbook.record(BATH, crystals(), datetime.datetime(2026, 3, 16, 12))
    filed = logbook.entries(BATH)[0]
    again = replace(filed, id=added.id + 1, when=added.when + datetime.timedelta(days=1))
    assert overview(BATH, [filed, added, again], NOW).left == overview(BATH, [filed, added], NOW).left
    anew = replace(again, content=replace(filed.content, sheet=filed.content.sheet + "\n"))
    assert overview(BATH, [filed, added, anew], NOW).corrected is None


@pytest.mark.parametrize(("days", "goes_on"), [(18, True), (USUAL_DAYS, True), (USUAL_DAYS + 1, False)])
def test_a_correction_that_was_begun_is_finished_before_the_next_check(logbook, days, goes_on):
    """Its readings tell what is left to do for a month; then only a new check does."""
    logbook.record(BATH, crystals(), datetime.datetime(2026, 3, 16, 12))
    now = datetime.datetime(2026, 3, 14, 12, tzinfo=datetime.UTC) + datetime.timedelta(days=days)
    entries = logbook.entries(BATH)
    found = overview(BATH, entries, now)
    assert found.state() == "Its correction was begun on 16 March 2026: 1 of 2 steps is done."
    assert not found.is_in()
    assert found.goes_on() is goes_on
    assert found.next_check(now.date()).startswith("Still to do: add 410 mL acid (37 %).") is goes_on
    (task,) = (task for task in due(entries, now, found, ()) if task.task is Upkeep.CHECK)
    assert task.what == ("Finish the correction, then check the bath" if goes_on else "Check the bath")
    assert task.is_due(now)


@pytest.mark.parametrize(
    "content",
    [
        WaterAdded(volume=parse("0.3 L", "volume")),
        TakenOut(volume=parse("20 mL", "volume"), why="sampled"),
        RunDone(charge=parse("12 A*h", "charge")),
    ],
)
def test_what_is_no_correction_leaves_it_to_be_corrected(logbook, content):
    logbook.record(BATH, content, datetime.datetime(2026, 3, 20))
    assert overview(BATH, logbook.entries(BATH), NOW).is_out()


def test_water_is_a_correction_where_the_check_said_so(logbook):
    added = logbook.record(BATH, WaterAdded(volume=parse("0.3 L", "volume")), datetime.datetime(2026, 3, 20))
    check = logbook.entries(BATH)[0]
    water = {"state": "possible", "steps": [{"do": "add", "what": "water", "volume_L": 0.3}]}
    asked = replace(check, content=replace(check.content, advice={**check.content.advice, "correction": water}))
    assert overview(BATH, [asked, added], NOW).corrected == datetime.date(2026, 3, 20)


def test_a_bath_mixed_anew_has_not_been_checked(logbook):
    logbook.record(BATH, Remake(), datetime.datetime(2026, 3, 20))
    found = overview(BATH, logbook.entries(BATH), NOW)
    assert found.check is None
    assert (found.asked(), found.is_in(), found.is_out()) == ("", False, False)
    assert found.is_due(NOW.date())
    assert found.next_check(NOW.date()) == "Check it now."


def test_later_entries_do_not_count_yet(logbook):
    before = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)
    assert overview(BATH, logbook.entries(BATH), before).check is None


@pytest.mark.parametrize("state", PlanState)
def test_only_where_nothing_was_needed_a_month_of_rest_follows(logbook, state):
    given = {"correction": {"state": state, "steps": [{"do": "add", "what": "water", "volume_L": 0.3}]}}
    entries = [
        replace(entry, content=replace(entry.content, advice={**entry.content.advice, **given}))
        for entry in logbook.entries(BATH)
    ]
    said = overview(BATH, entries, NOW).next_check(NOW.date())
    if state is PlanState.NONE_NEEDED:
        assert said.startswith("Check again on 13 April 2026")
    else:
        assert said == f"Do first what the last check says: {BRIEF[state]}."
    on_the_day = overview(BATH, entries, NOW).next_check(datetime.date(2026, 4, 13))
    assert on_the_day.startswith("Check it today")


def test_a_first_part_of_which_nothing_can_be_done_is_called_what_the_check_called_it(logbook):
    check = logbook.entries(BATH)[0]
    held = {**check.content.advice, "correction": {"state": PlanState.FIRST_PART, "steps": []}}
    found = overview(BATH, [replace(check, content=replace(check.content, advice=held))], NOW)
    assert found.next_check(NOW.date()) == f"Do first what the last check says: {BRIEF[PlanState.MEASURE_FIRST]}."


def test_all_measured_inside_is_not_all_well(logbook):
    """Inside by what was measured, and yet too cold, or its chloride never measured."""
    (entry,) = logbook.entries(BATH)
    inside = {"estimate": {}, "verdict": {"copper_sulfate": {"state": "in"}, "sulfuric_acid": {"state": "in"}}}
    fine, cold = (
        replace(entry, content=replace(entry.content, advice={**inside, "correction": {"state": state}}))
        for state in ("none needed", "too cold")
    )
    assert overview(BATH, [fine], NOW).is_in()
    assert overview(BATH, [fine], NOW).state() == "Copper sulfate and sulfuric acid inside the window."
    inside["verdict"]["chloride"] = {"state": "in"}
    assert overview(BATH, [fine], NOW).state() == "Inside the window."
    assert overview(BATH, [cold], NOW).state() == "Inside the window, but too strong for the cold."
    assert not overview(BATH, [cold], NOW).is_in()
    assert not overview(BATH, [cold], NOW).is_out()


@pytest.mark.parametrize(
    ("sheet", "found"),
    [
        ("too cold", "Copper sulfate and sulfuric acid inside the window, but too strong for the cold."),
        ("thinned for the cold", "Copper sulfate and sulfuric acid inside the window, but too strong for the cold."),
        ("another window", "Copper sulfate too low, sulfuric acid too high."),
        ("short of crystals", "Copper sulfate too low, sulfuric acid inside the window."),
    ],
)
def test_the_record_says_of_a_bath_what_the_check_s_glance_says(logbook, sheet, found):
    advice = advise(read_sheet(ANSWERS[sheet]))
    (entry,) = logbook.entries(BATH)
    kept = replace(entry, content=replace(entry.content, advice=sound_advice(advice.to_dict(), "here")))
    said, glance = overview(BATH, [kept], NOW), headline(advice)
    assert said.state() == found
    in_short = said.next_check(NOW.date()).removeprefix("Do first what the last check says: ")
    warmth = advice.plan.warmth_asked
    if sheet == "short of crystals":
        assert (in_short, warmth) == ("Not as things stand.", None)
    elif warmth is None:
        assert in_short == f"{glance.matter}."
    else:
        assert in_short == f"{glance.matter}. Keep it above {warmth:.0f} °C."
        assert f"eep it above {warmth:.0f} °C." in " ".join((glance.act, *glance.beside))


@pytest.mark.parametrize(("acid", "matter"), [("30 ± 2", "Too cold for this window"), ("15 ± 2", "Too little acid")])
def test_where_only_the_cold_is_in_the_way_the_record_says_what_to_do_about_it(logbook, acid, matter):
    """A bath with too little acid is not too cold for the window as it is: it would be with the acid in it."""
    advice = advise(read_sheet(checked("200 ± 4", acid, coldest="2 degC")))
    (entry,) = logbook.entries(BATH)
    kept = replace(entry, content=replace(entry.content, advice=sound_advice(advice.to_dict(), "here")))
    said, glance = overview(BATH, [kept], NOW).next_check(NOW.date()), headline(advice)
    assert glance.matter == matter
    first = said.removeprefix("Do first what the last check says: ")
    assert first == f"First warm it above {advice.plan.warmth_asked:.0f} °C and keep it there."
    assert str(glance.act).startswith(first)


def test_the_trail_is_of_checks_that_tell_both_since_the_bath_was_mixed(logbook):
    (entry,) = logbook.entries(BATH)

    def found(number, **grams):
        told = {f"{name}_g_L": {"value": value, "standard_uncertainty": 1.0} for name, value in grams.items()}
        return replace(entry, id=number, content=replace(entry.content, advice={"estimate": told}))

    whole, thinned = ({"copper_sulfate": salt, "sulfuric_acid": acid} for salt, acid in ((250.0, 70.0), (200.0, 56.0)))
    checks = [found(2, **whole), found(3, copper_sulfate=210.0), found(4, **thinned)]
    assert trail(checks) == ((250.0, 70.0), (200.0, 56.0))
    mixed = replace(entry, id=3, content=Remake())
    assert trail([checks[0], mixed, checks[2]]) == ((200.0, 56.0),)
