"""The page Logbook: it shows what is recorded, records, corrects, and says plainly when it cannot."""

import datetime
import json
from dataclasses import replace

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.entries import Check, CrystalsAdded, LevelMark, RunDone, WaterAdded, standing
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet
from advisor.ui.charts.time_line import describe, done, points, time_line
from advisor.ui.session.saving import MEASURE_AGAIN
from advisor.words.dates import said as day_said
from advisor.words.lines import Units
from tests.widgets import press, said, sheet_field, text_of

BATH = "Leafcast, big tank (example)"


@pytest.fixture
def recorded() -> Logbook:
    """Two checks a month apart, with water and a run between them."""
    logbook = Logbook()
    sheet = parse_sheet(example_text("dull").encode())
    for month in (3, 4):
        dated = replace(sheet, bath=replace(sheet.bath, date=datetime.date(2026, month, 14)))
        logbook.record_check(dated, advise(dated))
    logbook.record(BATH, WaterAdded(volume=parse("0.3 L", "volume")), datetime.datetime(2026, 3, 20))
    logbook.record(BATH, RunDone(charge=parse("12 A*h", "charge")), datetime.datetime(2026, 3, 25))
    logbook.record(BATH, LevelMark(volume=parse("5.5 L", "volume")), datetime.datetime(2026, 4, 20))
    return logbook


def test_an_empty_logbook_says_how_to_begin(app_test):
    app = app_test("logbook.py")
    assert not app.exception
    assert "Nothing is recorded yet" in text_of(app)


def test_it_shows_charts_advice_and_where_it_went(app_test, recorded):
    app = app_test("logbook.py")
    assert not app.exception
    charts = [json.loads(chart.proto.spec) for chart in app.get("vega_lite_chart")]
    titles = [chart["title"]["text"] for chart in charts]
    assert titles == ["Copper sulfate, g/L", "Sulfuric acid, g/L", "Level, L"]
    words = text_of(app)
    assert "Last check, 14 April 2026" in words
    assert "Sulfuric acid burns" in words  # the cautions of then
    assert "Water evaporated: 0.30 L" in words
    assert "First do what your last check says; after that, check about every" in words
    assert "Check again" not in words  # its acid was too low
    (entries,) = [block.proto.body for block in app.get("html") if 'class="entries"' in block.proto.body]
    assert entries.count("<tr>") == 5


def test_a_check_of_a_day_ahead_which_an_import_may_bring_is_not_the_last_one_yet(app_test, recorded):
    sheet = parse_sheet(example_text("dull").encode())
    soon = datetime.datetime.now().astimezone() + datetime.timedelta(days=7)
    recorded.record_check(sheet, advise(sheet), soon)
    assert "Last check, 14 April 2026" in text_of(app_test("logbook.py"))


def test_what_comes_is_not_told_of_a_bath_that_was_corrected_since(app_test, recorded):
    recorded.record(BATH, CrystalsAdded(mass=parse("250 g", "mass")), datetime.datetime(2026, 4, 16))
    words = text_of(app_test("logbook.py"))
    assert "You corrected the bath on 16 April 2026: what comes now is told by the next check." in words
    assert "check about every" not in words


def test_the_table_has_its_amounts_in_the_units_chosen(app_test, recorded):
    recorded.record(BATH, RunDone(charge=parse("12 A*h", "charge"), area=parse("1 dm^2", "area")))
    app = app_test("logbook.py")
    app.session_state["units"] = Units.US_FIRST
    (entries,) = [block.proto.body for block in app.run().get("html") if 'class="entries"' in block.proto.body]
    assert "oz/gal" in entries


def test_an_entry_is_recorded_from_its_form(app_test, recorded):
    app = app_test("logbook.py")
    app.selectbox(key="logbook_kind").select("water").run()
    app.text_input(key="logbook_water_volume").input("1,2")
    press(app, "Write it down")
    newest = max(recorded.entries(BATH), key=lambda entry: entry.id)
    assert newest.kind == "water"
    assert newest.content.volume.value == 1.2
    assert "Written down as entry 6" in text_of(app)
    assert app.text_input(key="logbook_1_water_volume").value == ""  # it is empty for the next one
    press(app, "Write it down")
    assert len(recorded.entries(BATH)) == 6


def test_millilitres_typed_as_litres_are_asked_back_by_both_forms(app_test, recorded):
    recorded.record(BATH, WaterAdded(volume=parse("300 mL", "volume")))
    app = app_test("logbook.py")
    app.selectbox(key="logbook_kind").select("water").run()
    app.text_input(key="logbook_water_volume").input("300")
    press(app, "Write it down")
    assert "Did you mean 300 mL?" in text_of(app).replace("\N{NO-BREAK SPACE}", " ")
    app.text_input(key="logbook_water_volume").input("")
    app.selectbox(key="logbook_fix").select(6).run()
    app.text_input(key="logbook_fix_6_water_volume").input("300")
    press(app, "Save the change")
    assert "Did you mean 300 mL?" in text_of(app).replace("\N{NO-BREAK SPACE}", " ")
    assert len(recorded.entries(BATH)) == 6


def test_enter_in_a_field_does_not_write_a_half_filled_form(app_test, recorded):
    forms = app_test("logbook.py").get("form")
    assert forms
    assert not any(form.proto.form.enter_to_submit for form in forms)


def test_what_is_wrong_in_a_form_is_told_and_not_recorded(app_test, recorded):
    app = app_test("logbook.py")
    app.text_input(key="logbook_level_volume").input("5 kg")
    press(app, "Write it down")
    assert "Not usable: Bath in the tank: you gave" in text_of(app)  # by the label that stands above, not by its key
    assert len(recorded.entries()) == 5


def test_an_entry_is_withdrawn(app_test, recorded):
    app = app_test("logbook.py")
    app.selectbox(key="logbook_fix").select(3).run()
    app.button(key="logbook_withdraw").click().run()
    assert not app.exception
    assert f"Entry 3 of {BATH} no longer counts." in text_of(app)
    assert 3 not in [entry.id for entry in standing(recorded.entries(BATH))]
    assert len(recorded.entries(BATH)) == 6


def test_entries_that_a_phone_cuts_short_are_told_apart_by_number_and_day(app_test, recorded):
    offered = app_test("logbook.py").selectbox(key="logbook_fix").options
    begun = [f"{entry.id}, {day_said(entry.when.astimezone())}: " for entry in standing(recorded.entries(BATH))]
    assert len(offered) == len(begun)
    assert all(any(label.startswith(first) for label in offered) for first in begun), (offered, begun)


def test_the_entry_that_came_in_place_of_a_changed_one_stays_chosen_and_the_message_stands_at_it(app_test, recorded):
    recorded.record(BATH, LevelMark(volume=parse("5 L", "volume")))
    app = app_test("logbook.py")
    assert app.selectbox(key="logbook_fix").value is None
    app.selectbox(key="logbook_fix").select(6).run()
    app.text_input(key="logbook_fix_6_level_volume").input("5.1 L")
    press(app, "Save the change")
    assert app.selectbox(key="logbook_fix").value == 7
    said = "Entry 6 is changed; it counts as entry 7 now"
    fold = next(fold for fold in app.expander if fold.label == "Correct or withdraw an entry")
    assert any(said in block.proto.body for block in fold.get("html"))
    app.button(key="logbook_withdraw").click().run()
    assert app.selectbox(key="logbook_fix").value is None
    assert said not in text_of(app)


def test_a_damaged_logbook_is_told_on_the_page(app_test):
    app = app_test("logbook.py")
    path = Logbook().path
    path.parent.mkdir(parents=True)
    path.write_bytes(b"no database" * 1000)
    app.run()
    assert not app.exception
    assert "nothing was deleted" in app.error[0].value
    assert "Nothing is recorded yet" in text_of(app.run())


def test_hostile_names_and_notes_are_shown_as_text(app_test):
    name = "<script>alert(1)</script>"
    Logbook().record(name, LevelMark(volume=parse("5 L", "volume"), note="<img src=x>"))
    app = app_test("logbook.py")
    assert not app.exception
    assert app.selectbox(key="logbook_bath").value == name


def test_charts_say_the_same_in_words(recorded):
    entries = standing(recorded.entries(BATH))
    found = [entry.content.value("copper_sulfate").value for entry in entries if isinstance(entry.content, Check)]
    assert f"from {found[0]:.1f} on 2026-03-14 to {found[-1]:.1f} on 2026-04-14. The window is 195 to 248" in describe(
        "copper_sulfate", entries
    )
    assert len(points("level", entries)) == 3
    assert "nothing measured" in describe("chloride", entries)
    assert time_line("level", entries, done(entries))["layer"][0]["mark"]["type"] == "rule"  # a level has no window
    of_one_day = time_line("level", entries[:1], ())["layer"][0]["encoding"]["x"]["axis"]
    assert of_one_day["tickCount"] == {"interval": "day", "step": 1}


def saving_page(sheet_text: str, done: int) -> None:
    from advisor.check.advise import advise
    from advisor.sheet import parse_sheet
    from advisor.ui.session.saving import offer_to_record

    sheet = parse_sheet(sheet_text.encode())
    offer_to_record(sheet, advise(sheet), done)


def test_a_check_and_its_steps_are_saved_once_with_what_was_really_used():
    app = AppTest.from_function(saving_page, args=(example_text("dull"), 2), default_timeout=30)
    app.session_state["correct_used_1"] = "300"
    app.run().button(key="saving_check").click().run()
    assert not app.exception
    check, crystals, acid = sorted(Logbook().entries(BATH), key=lambda entry: entry.id)
    assert check.kind == "check"
    assert crystals.content.mass.text == "300 g"
    assert crystals.content.note == ""
    assert acid.content.volume.text == "410 mL"
    assert acid.content.note == MEASURE_AGAIN  # the last of them
    assert not [button for button in app.button if button.key == "saving_check"]


def saved_in_two_tabs(done: int) -> list[AppTest]:
    """Open a check with so many steps done in two tabs, and save it in one after the other."""
    tabs = [AppTest.from_function(saving_page, args=(example_text("dull"), done), default_timeout=30) for _ in range(2)]
    for app in tabs:
        app.run()
    for app in tabs:
        app.button(key="saving_check").click().run()
        assert not app.exception
    return tabs


def test_a_check_that_two_tabs_save_is_written_once():
    saved_in_two_tabs(0)
    assert [entry.kind for entry in Logbook().entries(BATH)] == ["check"]


def test_steps_that_two_tabs_did_are_written_once():
    tabs = saved_in_two_tabs(2)
    assert sorted(entry.kind for entry in Logbook().entries(BATH)) == ["acid", "check", "crystals"]
    assert "stand in the logbook already" in tabs[1].error[0].value
    assert not tabs[0].error


def test_what_a_tab_saved_itself_lets_it_save_the_next_step():
    app = AppTest.from_function(saving_page, args=(example_text("dull"), 1), default_timeout=30).run()
    app.button(key="saving_check").click().run()
    (first,) = [entry for entry in Logbook().entries(BATH) if entry.kind == "crystals"]
    Logbook().correct(first.id, first.content)
    next_step = AppTest.from_function(saving_page, args=(example_text("dull"), 2), default_timeout=30)
    for key in ("saved_checks", "correct_saved"):
        next_step.session_state[key] = app.session_state[key]
    next_step.run().button(key="saving_check").click().run()
    assert not next_step.error
    assert sorted(entry.kind for entry in standing(Logbook().entries(BATH))) == ["acid", "check", "crystals"]


def test_nothing_is_saved_where_an_amount_cannot_be_read():
    app = AppTest.from_function(saving_page, args=(example_text("dull"), 2), default_timeout=30)
    app.session_state["correct_used_2"] = "plenty"
    app.run().button(key="saving_check").click().run()
    assert Logbook().entries(BATH) == ()
    app.session_state["correct_used_2"] = "400 mL"
    app.button(key="saving_check").click().run()
    assert len(Logbook().entries(BATH)) == 3


NAMELESS = example_text("dull").replace('name = "Leafcast, big tank (example)"\n', "")


def test_a_check_without_a_name_is_named_and_saved_with_one_tap():
    app = AppTest.from_function(saving_page, args=(NAMELESS, 0), default_timeout=30).run()
    assert app.button(key="saving_check").label == "Save this check"
    sheet_field(app.text_input, "sheet_bath_name_asked").input(" Shed tank ")
    app.button(key="saving_check").click().run()
    assert not app.exception
    assert [entry.kind for entry in Logbook().entries("Shed tank")] == ["check"]
    assert state_of(app)["bath"]["name"] == "Shed tank"


def test_a_check_whose_name_is_missing_or_too_long_is_not_saved():
    app = AppTest.from_function(saving_page, args=(NAMELESS, 0), default_timeout=30).run()
    app.button(key="saving_check").click().run()
    assert "Needed: a name" in said(app)
    sheet_field(app.text_input, "sheet_bath_name_asked").input("x" * 1000)
    app.button(key="saving_check").click().run()
    assert "characters are accepted" in said(app)
    assert Logbook().baths() == ()
    assert not app.error


def test_a_check_without_a_name_goes_to_a_bath_of_the_record_with_one_tap():
    Logbook().record("Shed tank", LevelMark(volume=parse("5.5 L", "volume")))
    app = AppTest.from_function(saving_page, args=(NAMELESS, 2), default_timeout=30).run()
    assert app.button(key="saving_check").label == "Save check and steps done"
    app.button(key="saving_to_0").click().run()
    assert not app.exception
    assert sorted(entry.kind for entry in Logbook().entries("Shed tank")) == ["acid", "check", "crystals", "level"]


def state_of(app):
    return app.session_state["sheet"]


@pytest.mark.parametrize(("address", "warned"), [("localhost", False), ("192.168.1.20", True)])
def test_a_logbook_open_to_the_network_says_so(app_test, monkeypatch, address, warned):
    real = st.get_option
    monkeypatch.setattr(st, "get_option", lambda name: address if name == "server.address" else real(name))
    shown = [warning.value for warning in app_test("logbook.py").warning]
    assert any("open to your network" in text for text in shown) == warned
