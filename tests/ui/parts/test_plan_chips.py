"""What a plan hangs on is asked in its step: a tap works all out anew, and nothing is asked once a step is done."""

import re
from copy import deepcopy

import pytest

from advisor.basis.places import PAGES
from advisor.ui.session import state
from tests.check.test_granted import NOTHING_GOT_IN, checked
from tests.some_sheets import FALLEN
from tests.widgets import has_sheet_field, said, sheet_field, type_in

ACID, FORM = "sheet_stock_acid_strength_chip_step", "sheet_stock_crystals_form_chip_step"


@pytest.fixture
def correct(app_test):
    return app_test("correct.py", "dull")


def open_correct(app):
    return app.switch_page(str(PAGES / "correct.py")).run()


def steps(app):
    return [box.label.replace("\N{NO-BREAK SPACE}", " ") for box in app.checkbox]


def test_another_acid_is_one_tap_and_changes_the_dose(correct):
    assert sheet_field(correct.button_group, ACID).value == "37 % battery"
    assert any("of 37 %" in step for step in steps(correct))
    sheet_field(correct.button_group, ACID).select("96 %").run()
    assert any("of 96 %" in step for step in steps(correct))
    assert correct.session_state[state._SHEET]["stock"]["acid"]["strength"] == "96 %"


def test_another_acid_is_typed_where_it_is_asked(correct):
    sheet_field(correct.button_group, ACID).select("other").run()
    sheet_field(correct.text_input, "sheet_stock_acid_strength_step").input("50").run()
    assert any("of 50 %" in step for step in steps(correct))


def test_an_acid_that_nobody_told_is_asked_beside_the_dose_on_check(app_test):
    app = app_test("check.py")
    app.session_state[state._SHEET] = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [checked(221, 15)]}
    app.session_state["check_way"] = "all"
    app.run()
    assert "(96 %?)" in said(app)
    beside = "sheet_stock_acid_strength_chip_answer"
    sheet_field(app.button_group, beside).select("37 % battery").run()
    assert "acid (37 %)" in said(app)
    assert sheet_field(app.button_group, beside).value == "37 % battery"


def test_a_pale_powder_weighs_less(correct):
    before = steps(correct)[0]
    sheet_field(correct.button_group, FORM).select("pale powder").run()
    assert steps(correct)[0] != before
    assert correct.session_state[state._SHEET]["stock"]["crystals"]["form"] == "anhydrous"


def test_nothing_is_asked_any_more_once_a_step_is_done(correct):
    correct.checkbox[0].check().run()
    assert not has_sheet_field(correct.button_group, ACID)
    assert not has_sheet_field(correct.button_group, FORM)


def test_water_alone_is_chosen_by_a_tap(app_test):
    app = app_test("mix.py")
    app.session_state[state._SHEET] = FALLEN
    app = open_correct(app)
    assert len(steps(app)) == 2
    choice = app.button_group(key="correct_water")
    assert choice.options[1].startswith("Just 0.45\N{NO-BREAK SPACE}L water (9")
    choice.select("water").run()
    assert len(steps(app)) == 1
    assert "water" in steps(app)[0]


def test_water_alone_is_chosen_for_one_bath(app_test):
    app = app_test("mix.py")
    app.session_state[state._SHEET] = deepcopy(FALLEN)
    app = open_correct(app)
    app.button_group(key="correct_water").select("water").run()
    app = open_correct(app.switch_page(str(PAGES / "check.py")).run())
    assert len(steps(app)) == 1  # it stays while the check does
    other = deepcopy(FALLEN)
    other["bath"]["name"] = "another"
    app.session_state[state._SHEET] = other
    assert len(steps(app.run())) == 2
    assert app.button_group(key="correct_water").value == "plan"


def test_water_alone_that_is_done_is_known_by_what_was_ticked(app_test):
    """A draft that comes back holds the ticks, and not what was chosen before."""
    app = app_test("mix.py")
    app.session_state[state._SHEET] = deepcopy(FALLEN)
    app = open_correct(app)
    app.button_group(key="correct_water").select("water").run()
    app.checkbox[0].check().run()
    del app.session_state["correct_water"]
    assert len(steps(app.run())) == 1
    assert app.checkbox[0].value


# Acid that is far too low, and only weak acid at hand: a tenth of the tank has to go in.
NO_ROOM = {
    "bath": {"volume": "5.6 L", **NOTHING_GOT_IN},
    "stock": {"acid": {"strength": "20 %"}},
    "reading": [checked(225, 12)],
}
ROOM = "sheet_bath_max_volume_room"


def test_the_room_of_the_tank_is_asked_in_sight_and_decides_the_steps(app_test):
    app = app_test("mix.py")
    app.session_state[state._SHEET] = deepcopy(NO_ROOM)
    app = open_correct(app)
    assert re.search(r"Room for \S+ L\? Then \S+ L stays\.", said(app))
    assert steps(app)[0].startswith("**1. Take out")
    sheet_field(app.text_input, f"{ROOM}_steps").input("6.8").run()
    assert not any("Take out" in step for step in steps(app))
    assert sheet_field(app.text_input, f"{ROOM}_steps").value == "6.8 L"  # it can still be mended
    app.checkbox[0].check().run()
    assert not has_sheet_field(app.text_input, f"{ROOM}_steps")


def test_the_room_of_the_tank_is_asked_beside_the_answer(app_test):
    app = app_test("mix.py")
    app.session_state[state._SHEET] = deepcopy(NO_ROOM)
    app = app.switch_page(str(PAGES / "check.py")).run()
    assert re.search(r"Room for \S+ L\? Then \S+ L stays\.", said(app))
    sheet_field(app.text_input, f"{ROOM}_answer").input("5").run()
    assert "must not be less than 5.04 L" in said(app)
    sheet_field(app.text_input, f"{ROOM}_answer").input("5.7").run()
    assert "Room for " not in said(app)
    assert app.session_state[state._SHEET]["bath"]["max_volume"] == "5.7 L"


def test_a_bath_to_mix_asks_for_acid_and_crystals_under_its_volume(app_test):
    """Before there is an answer too, and what is told there is not asked again by an “if”."""
    app = app_test("mix.py")
    acid_chip, form_chip = (chip.replace("_step", "_mix") for chip in (ACID, FORM))
    sheet_field(app.button_group, acid_chip).select("37 % battery").run()
    assert sheet_field(app.button_group, acid_chip).value == "37 % battery"
    type_in(app, "sheet_mix_volume", "4")
    assert "acid (37 %)" in said(app)
    assert sheet_field(app.button_group, acid_chip).value == "37 % battery"
    before = said(app)
    sheet_field(app.button_group, form_chip).select("pale powder").run()
    assert said(app) != before
    drawn = [element.key or "" for element in app.main if element.type in ("text_input", "button_group")]
    places = [
        next(at for at, key in enumerate(drawn) if name in key) for name in ("mix_volume", "chip_mix", "form_chip")
    ]
    assert places == [places[0], places[0] + 1, places[0] + 2]
