"""The short way through Check: tests worth doing one tap away, and what the record knows, offered and not forced."""

import datetime
from dataclasses import replace
from types import SimpleNamespace

import pytest

from advisor.check.advise import advise
from advisor.check.next_reading import Suggestion
from advisor.examples import example_text
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet
from advisor.ui.parts import guide
from advisor.ui.session import state
from tests.widgets import said, sheet_field, unfold


def shown(app):
    return " ".join(block.value for block in [*app.markdown, *app.caption])


def kinds(app):
    return [reading["kind"] for reading in app.session_state[state._SHEET].get("reading", [])]


def has(app, key):
    return any(button.key == key for button in app.button)


def record(day):
    sheet = parse_sheet(example_text("dull").encode())
    dated = replace(sheet, bath=replace(sheet.bath, date=day))
    Logbook().record_check(dated, advise(dated))


@pytest.fixture
def check(app_test):
    app = app_test("check.py", "dull")
    assert not app.exception
    return app


def test_an_empty_page_says_what_comes_first(app_test):
    assert "First say above how much bath there is" in shown(app_test("check.py"))


def test_from_volume_and_gear_to_the_first_test(app_test):
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume").input("5").run()
    sheet_field(app.button_group, "sheet_gear_have").select("baking soda").run()
    assert "<b>1. Acid titration</b>, about 20 minutes." in said(app)
    assert "What to measure next" not in said(app)  # before any reading the answer leaves the tests to their list
    unfold(app, "guide_card_acid titration")
    assert "What you need" in [block.value for block in app.subheader]
    app.button(key="guide_add_acid titration").click().run()
    assert not app.exception
    assert kinds(app) == ["acid titration"]
    assert not has(app, "guide_add_acid titration")  # taken, even while its fields are empty


def test_once_readings_are_in_the_next_one_stands_in_the_answer_alone(check):
    assert "Tests worth doing" not in [heading.value for heading in check.header]
    assert not any(button.key.startswith("guide_add_") for button in check.button)
    assert said(check).count("What to measure next") == 1
    added = [button for button in check.button if button.key.startswith("answer_add_")]
    assert len(added) == 1
    kind = added[0].key.removeprefix("answer_add_")
    added[0].click().run()
    assert not check.exception
    assert kinds(check)[-1] == kind
    assert "Reading 3 waits for its numbers" in said(check)
    assert not any(button.key.startswith("answer_add_") for button in check.button)


def test_an_unsound_sample_comes_before_any_test(check):
    unfold(check, "at_once_0")
    sheet_field(check.button_group, "sheet_bath_condition").select("sludge").run()
    assert "First take a sound sample" in shown(check)


def test_without_a_record_nothing_is_offered(check):
    assert not has(check, "carried_use")


def test_the_record_is_offered_taken_and_left_out(check):
    record(datetime.date(2026, 3, 1))
    check.run()
    assert "From this bath's logbook" in shown(check)
    assert kinds(check) == ["acid titration", "hydrometer"]
    check.button(key="carried_use").click().run()
    assert not check.exception
    assert kinds(check)[-1] == "previous check"
    assert "with the earlier check" in shown(check)
    check.button(key="carried_leave").click().run()
    assert kinds(check) == ["acid titration", "hydrometer"]


def copper_uncertainty(app):
    return app.session_state[state._ANSWERS]["check"][1].values["copper_sulfate"].standard_uncertainty


def test_the_record_is_counted_once_whatever_its_note_says(check):
    record(datetime.date(2026, 3, 1))
    check.run().button(key="carried_use").click().run()
    known = copper_uncertainty(check)
    check.session_state[state._SHEET]["reading"][-1]["note"] = "another wording"
    check.run()
    assert not check.exception
    assert not has(check, "carried_use")
    assert has(check, "carried_leave")
    assert copper_uncertainty(check) == known


def test_a_sheet_saved_when_only_the_note_told_it_is_still_known_as_the_record_s(check):
    record(datetime.date(2026, 3, 1))
    old = (
        '\n[[reading]]\nkind = "previous check"\ncopper_sulfate = "190 ± 10 g/L"\nsince = "evaporation only"\n'
        'note = "from the logbook: check of 2026-03-01 and what was logged since"\n'
    )
    sheet = (example_text("dull") + old).encode()
    unfold(check, "begin_False")
    check.file_uploader(key="bench_upload").upload("old.toml", sheet, "application/toml").run()
    assert not check.exception
    assert not has(check, "carried_use")
    assert has(check, "carried_leave")


@pytest.mark.parametrize("day", [datetime.date(2026, 3, 14), datetime.date(2026, 3, 20)])
def test_a_check_of_the_same_day_or_later_is_not_carried_into_itself(check, day):
    record(day)
    check.run()
    assert not has(check, "carried_use")


def test_a_damaged_logbook_is_told_and_the_check_goes_on(check):
    path = Logbook().path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"no database" * 1000)
    check.run()
    assert not check.exception
    assert "nothing was deleted" in check.error[0].value
    assert "Add 256 g" in said(check)


# --- Which tests are offered ----------------------------------------------------------------------


def suggested(kind, why="", repeats=None):
    return Suggestion(kind, why, gain=0.1, minutes=5.0, repeats=repeats)


def entry_of(*found, current=True):
    return SimpleNamespace(answer=SimpleNamespace(next_reading=found), current=current)


def test_a_test_is_offered_once_with_all_that_it_is_done_for_and_what_was_done_only_to_repeat_it(monkeypatch):
    monkeypatch.setattr(state, "raw", lambda: {"reading": [{"kind": "hydrometer"}, {"kind": "thinned pH"}]})
    again = [suggested("hydrometer", "it does not fit", 0), suggested("hydrometer", "it is rough", 2)]
    entry = entry_of(*again, suggested("thinned pH"), suggested(""), suggested("acid titration", "it tells the acid"))
    offered = [(found.kind, found.why) for found in guide.suggestions(entry)]
    assert offered == [("hydrometer", "it does not fit. It is rough"), ("acid titration", "it tells the acid")]
    many = entry_of(*map(suggested, ("acid titration", "copper titration", "chloride strip", "weighed density")))
    assert [found.kind for found in guide.suggestions(many)] == [found.kind for found in many.answer.next_reading][
        : guide.MOST
    ]
    assert guide.suggestions(SimpleNamespace(answer=None)) == []


def test_readings_to_repeat_are_numbered_as_on_the_page_and_only_by_an_answer_of_them():
    found = [suggested("hydrometer", repeats=2), suggested("hydrometer", repeats=0), suggested("hydrometer", repeats=2)]
    found += [suggested("hydrometer"), suggested("thinned pH", repeats=1)]
    assert guide.to_repeat(entry_of(*found), "hydrometer") == [1, 3]
    assert guide.to_repeat(entry_of(*found, current=False), "hydrometer") == []
