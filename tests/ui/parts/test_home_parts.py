"""The page Home: the state of each bath, the three ways in, and the way to begin."""

import datetime
from dataclasses import replace
from types import SimpleNamespace

import pytest
from streamlit.testing.v1 import AppTest

from advisor.basis.places import PAGES
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.launch import APP
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet
from advisor.ui.parts import home_parts
from advisor.ui.session import state
from advisor.words.dates import said as day_said
from advisor.words.glossary import GROUPS
from tests.check.test_granted import ACID, HYDROMETER
from tests.record.some_entries import DONE_OF_DULL
from tests.widgets import said, sheet_field, unfold

BATH = "Leafcast, big tank"
GEAR = ["0.1 g scale", "hydrometer", "10 mL syringe", "baking soda", "jars"]  # of the example of a dull bath


def record_the_example_as(bath):
    """Write down two checks of the example of a dull bath under a name."""
    sheet = parse_sheet(example_text("dull").encode())
    for days in (40, 20):
        day = datetime.date.today() - datetime.timedelta(days=days)
        dated = replace(sheet, bath=replace(sheet.bath, date=day, name=bath))
        Logbook().record_check(dated, advise(dated))


@pytest.fixture
def recorded():
    record_the_example_as(BATH)


def home():
    app = AppTest.from_file(str(APP), default_timeout=30).run()
    assert not app.exception
    return app


def links(app):
    return {link.proto.label: (link.proto.page, link.proto.query_string) for link in app.get("page_link")}


def test_the_app_opens_with_home_and_its_three_ways():
    app = home()
    assert app.title[0].value == "Your copper bath"
    ways = links(app)
    assert ways["It plates dull, rough or burnt"][0] == "deposit-faults"
    assert ways["The level has dropped"] == ("check", "way=level")
    assert ways["Top up or remake?"][0] == "keep-or-remake"


def test_a_first_visit_offers_a_marked_example():
    app = home()
    app.button(key="home_example_dull").click().run()
    assert not app.exception
    assert app.title[0].value == "Check your bath"
    assert "<b>Example</b>" in said(app)
    unfold(app, "begin_False")
    app.button(key="bench_clear").click().run()
    assert "<b>Example</b>" not in said(app)


def test_ones_own_bath_begins_with_an_empty_sheet():
    app = home()
    app.button(key="home_own").click().run()
    assert app.title[0].value == "How much bath is in the tank?"  # the first question of the guided check
    assert app.session_state[state._SHEET] == {}


def test_the_gear_of_the_last_check_is_remembered(recorded):
    app = home()
    app.button(key="home_own").click().run()
    assert not app.exception
    assert app.session_state[state._SHEET] == {"gear": {"have": GEAR}}


def test_the_gear_of_an_example_that_was_saved_is_nobodys(recorded):
    Logbook().record_check(sheet := parse_sheet(example_text("old").encode()), advise(sheet))
    app = home()
    app.button(key="home_own").click().run()
    assert app.session_state[state._SHEET] == {"gear": {"have": GEAR}}


def test_a_check_that_was_begun_is_not_lost_unasked():
    app = home()
    assert not [button for button in app.button if button.key == "home_go_on"]
    app.switch_page(str(PAGES / "check.py")).run()
    sheet_field(app.text_input, "sheet_bath_volume").input("5").run()
    app.switch_page(str(PAGES / "home.py")).run()
    assert app.button(key="home_own").label == "Check another bath"
    app.button(key="home_go_on").click().run()
    assert app.session_state[state._SHEET] == {"bath": {"volume": "5 L"}}


def test_a_check_that_stands_in_the_logbook_is_not_gone_on_with(app_test):
    app = app_test("check.py")
    app.session_state["sheet"] = {"bath": {"name": "Shed", "volume": "5 L"}, "reading": [ACID, HYDROMETER]}
    app.run().switch_page(str(PAGES / "home.py")).run()
    assert app.button(key="home_go_on")
    app.switch_page(str(PAGES / "check.py")).run().button(key="saving_check").click().run()
    app.switch_page(str(PAGES / "home.py")).run()
    assert not [button for button in app.button if button.key == "home_go_on"]


def test_a_recorded_bath_stands_with_state_and_due(recorded):
    app = home()
    assert app.subheader[0].value == BATH
    assert "sulfuric acid too low" in said(app)
    assert "Checked 20 days ago" in said(app)
    assert "check" not in said(app).partition("Checked 20")[0].partition('class="outside"')[2]  # it is to be corrected
    assert "Map of the bath Leafcast, big tank" in said(app)


def test_a_bath_out_of_its_window_is_corrected_with_one_tap_and_not_saved_twice(recorded):
    app = home()
    app.button(key="home_correct_0").click().run()
    assert not app.exception
    assert app.title[0].value == "Correct your bath"
    assert app.checkbox
    assert "Saved in the logbook of this bath as entry 2." in said(app)


def test_a_correction_that_was_begun_is_gone_on_with_by_one_tap(recorded):
    """Another visit did the first of two steps: the acid that is left is told, and what is done is not done twice."""
    Logbook().record(BATH, DONE_OF_DULL[0])
    app = home()
    assert f"Its correction was begun on {day_said(datetime.date.today())}: 1 of 2 steps is done." in said(app)
    assert "Still to do: add 410 mL acid (37 %). Goggles and gloves; acid into the liquid" in said(app)
    go_on = app.button(key="home_correct_0")
    assert (go_on.label, go_on.proto.type) == ("Go on correcting", "primary")
    assert app.button(key="home_check_0").proto.type == "secondary"
    go_on.click().run()
    steps = [box for box in app.checkbox if box.key.startswith("correct_done")]
    assert [(box.value, box.disabled) for box in steps] == [(True, True), (False, False)]
    assert "Step 1 is saved as entry 3." in said(app)


def test_steps_that_are_ticked_and_not_saved_are_gone_on_with_from_home(recorded):
    """The record alone knows of no acid: by it another visit would pour that a second time."""
    Logbook().record(BATH, DONE_OF_DULL[0])
    before = home()
    before.button(key="home_correct_0").click().run()
    before.checkbox(key="correct_done_2").check().run()
    before.text_input(key="correct_used_2").input("400 mL").run()
    app = home()
    assert "You ticked a step and did not save it" in said(app)
    app.button(key="home_correct_0").click().run()
    assert [box.value for box in app.checkbox if box.key.startswith("correct_done")] == [True, True]
    assert app.text_input(key="correct_used_2").value == "400 mL"
    app.button(key="saving_check").click().run()
    assert "You ticked" not in said(home())
    assert "after its last check: measure it again." in said(home())


def test_a_page_to_correct_that_is_opened_empty_offers_the_baths_to_be_corrected(recorded):
    app = home().switch_page(str(PAGES / "correct.py")).run()
    (offered,) = [button for button in app.button if button.key.startswith("correct_bath")]
    assert offered.label.startswith("Correct: Leafcast, big tank")
    offered.click().run()
    assert app.checkbox(key="correct_done_1").label.startswith("**1. Add")
    Logbook().record(BATH, DONE_OF_DULL[0])
    again = home().switch_page(str(PAGES / "correct.py")).run()
    assert again.button(key="correct_bath_0").label.startswith("Go on correcting: ")


def test_a_bath_that_was_corrected_is_offered_a_check_and_not_the_dose_again(recorded):
    for done in DONE_OF_DULL:
        Logbook().record(BATH, done)
    app = home()
    assert f"Corrected on {day_said(datetime.date.today())}, after its last check: measure it again." in said(app)
    assert "too low" not in said(app)
    assert not [button for button in app.button if button.key == "home_correct_0"]
    assert app.button(key="home_check_0").proto.type == "primary"


def test_a_check_that_is_long_ago_is_repeated_before_anything_is_added():
    sheet = parse_sheet(example_text("dull").encode())  # of March 2026
    Logbook().record_check(sheet, advise(sheet))
    app = home()
    assert "A check has been due" in said(app)
    assert app.button(key="home_correct_0").proto.type == "secondary"
    assert app.button(key="home_check_0").proto.type == "primary"


def test_the_next_check_begins_from_the_record(recorded):
    app = home()
    app.button(key="home_check_0").click().run()
    assert not app.exception
    assert app.title[0].value == "Hydrometer"  # the guided check, at the test to do again
    readings = app.session_state[state._SHEET]["reading"]
    assert [reading["kind"] for reading in readings] == ["previous check", "hydrometer"]
    assert sheet_field(app.text_input, "sheet_reading_2_value").value == ""


def test_the_logbook_of_the_bath_opens(recorded):
    Logbook().record("Another", next(iter(Logbook().entries(BATH))).content)
    app = home()
    assert [block.value for block in app.subheader] == ["Another", BATH]
    app.button(key="home_logbook_1").click().run()
    assert not app.exception
    assert app.selectbox(key="logbook_bath").value == BATH


def test_a_damaged_logbook_is_told_and_the_page_stays():
    path = Logbook().path
    path.parent.mkdir(parents=True)
    path.write_bytes(b"no database" * 1000)
    app = home()
    assert "nothing was deleted" in app.error[0].value
    assert app.button(key="home_own")


def test_an_example_asked_for_opens_on_check(monkeypatch):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "old")
    app = home()
    assert app.title[0].value == "Check your bath"
    app.switch_page(str(PAGES / "home.py")).run()
    assert app.title[0].value == "Your copper bath"


def test_the_glossary_finds_a_word(app_test):
    app = app_test("glossary.py")
    assert all(word.word in said(app) for words in GROUPS.values() for word in words)
    app.text_input(key="glossary_wanted").input("Mandrel").run()
    assert "<b>form</b>" in said(app)
    assert "<b>burning</b>" not in said(app)
    app.text_input(key="glossary_wanted").input("xyzzy").run()
    assert any("No such word" in block.value for block in app.markdown)


def test_every_word_is_explained_once():
    words = [word for group in GROUPS.values() for word in group]
    names = [word.word for word in words]
    assert len(names) == len(set(names))
    assert all(word.meaning.endswith((".", "?")) and len(word.meaning) > 15 for word in words)


# --- Which button is the filled one ---------------------------------------------------------------


def bath_that(is_out=False, corrected=None, is_old=False, left=()):
    return SimpleNamespace(
        bath="Shed tank", is_out=lambda: is_out, corrected=corrected, is_old=lambda: is_old, left=left, check=None
    )


A_DAY = datetime.date(2026, 3, 1)


@pytest.mark.parametrize(
    ("found", "first"),
    [
        ([bath_that(), bath_that(is_out=True)], 1),
        ([bath_that(corrected=A_DAY), bath_that(), bath_that(is_out=True)], 2),
        ([bath_that(), bath_that(corrected=A_DAY), bath_that()], 1),
        ([bath_that(is_out=True), bath_that(is_out=True)], 0),
        ([bath_that(), bath_that()], None),
    ],
)
def test_the_first_bath_that_is_out_comes_before_one_to_measure_again(monkeypatch, found, first):
    baths = {f"Tank {number}": one for number, one in enumerate(found)}
    monkeypatch.setattr(home_parts, "at_hand", lambda _, name: SimpleNamespace(overview=lambda now: baths[name]))
    drawn = []
    monkeypatch.setattr(home_parts, "_bath", lambda number, one, *_, first_to_do: drawn.append((number, first_to_do)))
    assert home_parts.baths(SimpleNamespace(baths=lambda: tuple(baths))) == len(found)
    assert drawn == [(number, number == first) for number in range(len(found))]


@pytest.mark.parametrize(
    ("found", "buttons"),
    [
        (bath_that(is_out=True), {"Correct it": "primary", "Check it now": "secondary"}),
        (bath_that(is_out=True, is_old=True), {"Correct it": "secondary", "Check it now": "primary"}),
        (bath_that(is_out=True, corrected=A_DAY), {"Correct it": "secondary", "Check it now": "primary"}),
        (bath_that(corrected=A_DAY), {"Check it now": "primary"}),
        (bath_that(), {"Check it now": "secondary"}),
    ],
)
def test_what_may_no_longer_be_so_is_checked_before_it_is_corrected(monkeypatch, found, buttons):
    drawn = {}
    monkeypatch.setattr(home_parts.st, "button", lambda words, type="", **_: drawn.update({words: type}))
    home_parts._acts(0, found, None, None, first_to_do=True)
    assert drawn == buttons | {"Its logbook": ""}
    home_parts._acts(0, found, None, None, first_to_do=False)
    assert "primary" not in drawn.values()
