"""Every page of the app runs; what is typed is answered, and what is typed wrong is said at its field and not lost."""

import re
import sys
from urllib.parse import unquote

import pytest
from streamlit.testing.v1 import AppTest

from advisor.basis.places import PAGES
from advisor.examples import EXAMPLES
from advisor.launch import APP
from advisor.readings import KINDS
from advisor.ui.look.pages_list import PAGES_IN_ORDER
from advisor.ui.parts import at_once, cards, guided
from advisor.ui.session import state
from tests.widgets import said, sheet_field, type_in, unfold

pytestmark = pytest.mark.slow

VOLUME, USED, TEMPERATURE = "sheet_bath_volume", "sheet_reading_1_used", "sheet_bath_temperature"


@pytest.mark.parametrize("page", PAGES_IN_ORDER, ids=lambda page: page.url_path)
def test_page_opens_without_exception(app_test, page):
    app = app_test(page.file)
    assert not app.exception
    assert len(app.title) == 1


def test_every_page_file_is_listed_once():
    listed = [page.file for page in PAGES_IN_ORDER]
    assert sorted(listed) == sorted(path.name for path in PAGES.glob("*.py"))


def test_app_takes_its_own_folder_off_the_path(app_test, monkeypatch):
    monkeypatch.setattr(sys, "path", [str(APP.parent), *sys.path])
    app_test(PAGES_IN_ORDER[0].file)
    assert str(APP.parent) not in sys.path
    assert str(APP.parent.parent) in sys.path


# --- Check and Correct ----------------------------------------------------------------------------


@pytest.fixture
def check(app_test):
    """The page Check with the example "dull" in it."""
    app = app_test("check.py", "dull")
    assert not app.exception
    return app


def drawn_map(app):
    """Return the map of the bath as SVG; empty where the page has none."""
    found = re.search(r'class="bath-map"><div><img src="data:image/svg\+xml,([^"]+)"', said(app))
    return unquote(found[1]) if found else ""


def typed(app):
    return app.session_state[state._SHEET]


def test_an_empty_page_asks_calmly_for_what_it_needs(app_test):
    app = app_test("check.py")
    assert "Needed: Bath in the tank now" in said(app)
    assert "Not usable" not in said(app)
    assert not drawn_map(app)


@pytest.mark.parametrize("page", ["check.py", "correct.py"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_each_example_is_answered_on_both_pages(app_test, monkeypatch, page, name):
    monkeypatch.setenv("ADVISOR_EXAMPLE", name)
    app = app_test(page)
    assert not app.exception
    assert "Leafcast" in said(app)
    assert "sulfuric acid" in said(app).lower()
    assert 'class="known"' in drawn_map(app)


def test_a_bare_number_gets_the_unit_of_its_field_and_a_comma_is_a_decimal(check):
    before = said(check)
    type_in(check, USED, "12,9")
    assert sheet_field(check.text_input, USED).value == "12,9 mL"
    assert "12,9 mL" in said(check)
    assert said(check) != before
    assert "from before your last change" not in said(check)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("8.6 g", "is a mass, and a volume belongs here"),
        ("1,234", "could be 1.234 or 1234"),
        ("about nine", "it has no number: write one in digits. Write, for example, 10 mL."),
        ("-3 mL", "it must be from 0 mL"),
        ("1,234.5", "write a number and a unit"),
        ("nan", "it has no number: write one in digits"),
        ("1e999", "it is too large"),
        ("5..6", "write a number and a unit"),
        ("<b>9</b>", "&lt;b&gt;9&lt;/b&gt;"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_stays_typed(check, text, why):
    type_in(check, USED, text)
    assert sheet_field(check.text_input, USED).value == text
    assert "Not usable: Titrant used: you gave" in said(check)
    assert why in said(check)
    assert "from before your last change" in said(check)
    assert "Fix first: Titrant used in reading 1." in said(check)
    assert "8.6 mL" in said(check)  # what the greyed answer was computed from
    assert typed(check)["reading"][0]["used"] == text


def test_a_mended_field_takes_the_mark_off(check):
    type_in(check, USED, "nonsense")
    type_in(check, USED, "8.6")
    assert "from before your last change" not in said(check)
    assert "Not usable" not in said(check)


def test_an_empty_required_field_is_named(check):
    unfold(check, "at_once_0")
    type_in(check, VOLUME, "")
    assert "Needed: Bath in the tank now" in said(check)
    assert "from before your last change" in said(check)
    assert check.button(key="guided_mend").label == "To what is missing"
    assert "glance_correct" not in [button.key for button in check.button]  # nothing is to be dosed by it
    type_in(check, VOLUME, "5.6")
    assert not check.button(key="glance_correct").disabled


def test_a_strength_without_a_unit_is_not_guessed(check):
    type_in(check, "sheet_reading_1_strength", "0.5")
    assert "has no unit" in said(check)


def test_readings_are_added_by_kind_and_removed_without_mixing_them_up(check):
    check.selectbox(key="reading_kind").select("hydrometer").run()
    check.button(key="reading_add").click().run()
    type_in(check, "sheet_reading_3_value", "1.135")
    assert "Needed: Scale" in said(check)
    check.button(key="reading_remove_1").click().run()
    assert not check.exception
    assert [reading["kind"] for reading in typed(check)["reading"]] == ["hydrometer", "hydrometer"]
    assert sheet_field(check.text_input, "sheet_reading_1_value").value == "1.136"
    assert sheet_field(check.text_input, "sheet_reading_2_value").value == "1.135"


def test_a_removed_reading_can_be_put_back(check):
    before = list(typed(check)["reading"])
    assert not [button for button in check.button if button.key == "reading_put_back"]
    check.button(key="reading_remove_1").click().run()
    check.button(key="reading_remove_1").click().run()
    assert "reading" not in typed(check)
    assert check.button(key="reading_put_back").label == "Put back: 1. Hydrometer"
    check.button(key="reading_put_back").click().run()
    check.button(key="reading_put_back").click().run()
    assert typed(check)["reading"] == before
    assert sheet_field(check.text_input, USED).value == "8.6 mL"
    assert not [button for button in check.button if button.key == "reading_put_back"]


def test_every_kind_of_reading_has_fields_that_can_be_drawn(app_test):
    app = app_test("check.py")
    for kind in KINDS:
        app.selectbox(key="reading_kind").select(kind).run()
        app.button(key="reading_add").click().run()
        assert not app.exception, kind
    assert [reading["kind"] for reading in typed(app)["reading"]] == list(KINDS)


def test_the_condition_of_the_bath_holds_the_advice_back(check):
    unfold(check, "at_once_0")
    sheet_field(check.button_group, "sheet_bath_condition").select("sludge").run()
    assert "Take a sound sample first" in said(check)
    assert "Add nothing yet." in said(check)
    assert 'class="holds"' not in said(check)  # of false readings
    assert "Add 256 g" not in said(check)


def test_a_test_that_is_begun_is_not_called_a_change(check):
    """Nothing was changed: the answer is of all that is finished."""
    check.button(key="reading_add").click().run()
    assert cards.BEGUN in said(check)
    assert "from before your last change" not in said(check)
    assert "glance_correct" not in [button.key for button in check.button]  # nothing is dosed before it is read
    unfold(check, "at_once_0")
    type_in(check, VOLUME, "5.1")
    assert "from before your last change" in said(check)
    assert cards.BEGUN not in said(check)


def test_what_was_typed_outlives_a_change_of_page(check):
    unfold(check, "at_once_0")
    type_in(check, TEMPERATURE, "warm")
    check.switch_page(str(PAGES / "correct.py")).run()
    assert "from before your last change" in said(check)
    check.switch_page(str(PAGES / "check.py")).run()
    assert not check.exception
    assert sheet_field(check.text_input, TEMPERATURE).value == "warm"
    assert sheet_field(check.text_input, USED).value == "8.6 mL"


def test_the_short_way_for_a_dropped_level_fills_a_previous_check(app_test):
    app = app_test("check.py")
    assert not [field for field in app.text_input if field.key and field.key.startswith("level_")]  # it is folded
    unfold(app, "level_fold_False")
    app.button(key="level_use").click().run()
    assert said(app).count("Needed:") >= 4
    for key, text in {"then": "5.6", "now": "4,6", "copper_sulfate": "212 ± 6", "sulfuric_acid": "54"}.items():
        type_in(app, f"level_{key}", text)
    app.button(key="level_use").click().run()
    assert typed(app)["reading"] == [
        {
            "kind": "previous check",
            "copper_sulfate": "212 ± 6 g/L",
            "sulfuric_acid": "54 g/L",
            "volume": "5.6 L",
            "since": "evaporation only",
        }
    ]
    assert typed(app)["bath"] == {"volume": "4,6 L", "usual_volume": "5.6 L"}
    assert "L water" in said(app)


def test_a_step_that_is_ticked_moves_the_bath_on_the_map(check):
    check.switch_page(str(PAGES / "correct.py")).run()
    assert "bath now" in drawn_map(check)
    check.checkbox(key="correct_done_1").check().run()
    assert "bath after crystals" in drawn_map(check)
    check.switch_page(str(PAGES / "check.py")).run()
    check.switch_page(str(PAGES / "correct.py")).run()
    assert check.checkbox(key="correct_done_1").value


def test_the_answer_comes_before_the_fields_and_a_question_before_the_answer(app_test, monkeypatch):
    drawn = []
    for module in (cards, at_once, guided):
        name = "answer_of" if module is cards else "show"
        monkeypatch.setattr(module, name, noting(drawn, module.__name__.rpartition(".")[2], getattr(module, name)))
    app = app_test("check.py")
    assert drawn == ["cards", "at_once"]
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}}  # without it there is no answer beside the question
    app.session_state["check_way"] = state.STEPS
    drawn.clear()
    app.run()
    assert drawn == ["guided", "cards"]


def noting(drawn, name, draw):
    def draw_and_note(*words, **named):
        drawn.append(name)
        return draw(*words, **named)

    return draw_and_note


def test_a_plan_follows_the_aim_and_the_tank(check):
    check.switch_page(str(PAGES / "correct.py")).run()
    first = check.checkbox(key="correct_done_1").label
    type_in(check, "sheet_correction_copper_sulfate", "205")
    assert check.checkbox(key="correct_done_1").label != first
    type_in(check, "sheet_bath_max_volume", "4")
    assert "from before your last change" in said(check)  # 4 L is below the least level


def test_a_check_is_saved_with_the_steps_that_were_done(check):
    check.switch_page(str(PAGES / "correct.py")).run()
    check.button(key="saving_check").click().run()
    assert not check.exception
    assert "Saved in the logbook" in said(check) + " ".join(block.value for block in check.markdown)


def test_an_example_by_the_address(app_test):
    app = AppTest.from_file(str(APP), default_timeout=30)
    app.query_params["example"] = "old"
    app.run()
    assert typed(app)["bath"]["name"] == "Leafcast, the old one (example)"
