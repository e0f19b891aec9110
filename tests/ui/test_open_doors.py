"""No page is a closed door: each answers with what it cannot do without, and asks for that in its first field."""

import pytest

from advisor.basis.fields import fields_of
from advisor.basis.places import PAGES
from advisor.sheet import Keep
from advisor.words.lines import Units
from tests.check.test_granted import ACID, HYDROMETER
from tests.widgets import has_sheet_field, said, sheet_field, text_of, type_in


def test_the_causes_of_a_fault_need_no_volume(app_test):
    app = app_test("deposit_faults.py")
    sheet_field(app.button_group, "sheet_deposit_looks_0").select("dull").run()
    assert "%" in said(app)
    assert "10 L" not in said(app)  # what stands in for the volume is not shown


def test_current_and_time_need_no_volume(app_test):
    app = app_test("plating_run.py")
    sheet_field(app.text_input, "sheet_plate_area").input("120").run()
    sheet_field(app.text_input, "sheet_plate_thickness").input("100").run()
    assert "depends on how much bath there is" in said(app)
    assert "10 L" not in said(app)


def test_mixing_takes_the_bath_wanted_alone(app_test):
    app = app_test("mix.py")
    assert "One thing is missing" in said(app)
    sheet_field(app.text_input, "sheet_mix_volume").input("4").run()
    assert "One thing is missing" not in said(app)
    assert "crystals" in said(app)


@pytest.mark.parametrize("page", ["mix.py", "keep_or_remake.py", "treatments.py"])
def test_what_is_missing_is_asked_once_where_its_field_stands_beside_the_answer(app_test, page):
    app = app_test(page)
    assert "One thing is missing" in said(app)
    assert has_sheet_field(app.text_input, "sheet_mix_volume" if page == "mix.py" else "sheet_bath_volume")
    assert not has_sheet_field(app.text_input, "sheet_.*_asked")


def test_an_empty_answer_of_a_check_holds_the_field_that_it_waits_for(app_test):
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume_asked").input("5").run()
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "5 L"
    assert "One thing is missing" not in said(app)


def test_a_page_is_not_held_up_by_a_field_that_it_does_not_use(app_test):
    app = app_test("keep_or_remake.py")
    type_in(app, "sheet_keep_disposal_price", "lots")
    app.switch_page(str(PAGES / "deposit_faults.py")).run()
    assert "Fix first" not in text_of(app)


def test_what_is_to_be_fixed_on_another_page_has_its_way_there(app_test):
    app = app_test("keep_or_remake.py")
    type_in(app, "sheet_keep_disposal_price", "lots")
    ways = [link.proto.label for link in app.get("page_link") if link.proto.label.startswith("Fix it")]
    assert not ways  # the field is here
    app.session_state["sheet"]["treat"] = {"what": "carbon"}
    app.switch_page(str(PAGES / "treatments.py")).run()
    assert f"Fix first: {fields_of(Keep)['disposal_price'].label}" in text_of(app)
    assert "Fix it on the page Keep or remake →" in [link.proto.label for link in app.get("page_link")]


def test_an_answer_of_before_is_shown_grey_beneath_the_word_that_it_is(app_test):
    app = type_in(app_test("mix.py"), "sheet_mix_volume", "5")
    assert 'class="old' not in said(app)
    told = said(type_in(app, "sheet_mix_copper_sulfate", "plenty"))
    assert "This is the answer from before your last change." in told
    assert told.index('class="old') < told.index("Makes 5.00 L")


def test_litres_to_mix_that_nobody_typed_are_said_to_be_those_of_the_bath(app_test):
    app = app_test("mix.py")
    app.session_state["sheet"] = {"bath": {"name": "Shed", "volume": "4 L"}}
    assert "For 4 L, as in Shed." in text_of(app.run())
    assert "as in Shed" not in text_of(type_in(app, "sheet_mix_volume", "6"))


def test_a_temperature_that_nobody_typed_is_said_in_the_units_chosen(app_test):
    app = app_test("correct.py")
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}, "reading": [ACID, HYDROMETER]}
    assert "at an assumed 20 °C, judged" in said(app.run())
    app.session_state["units"] = Units.US_FIRST
    assert "at an assumed 68 °F (20 °C), judged" in said(app.run())


@pytest.mark.parametrize("page", ["plating_run.py", "parts.py", "deposit_faults.py"])
def test_a_test_that_was_begun_closes_no_other_page(app_test, page):
    app = app_test(page)
    begun = {"kind": "acid titration", "sample": "10 mL", "titrant": "sodium bicarbonate", "strength": "0.5 mol/L"}
    asked = {"plate": {"area": "85 cm2", "thickness": "100 um"}, "deposit": {"looks": ["dull"]}, "part": {}}
    app.session_state["sheet"] = {"bath": {"volume": "5.6 L"}, "reading": [begun], **asked}
    app.run()
    assert not app.exception
    assert "Titrant used" not in said(app)
    assert "A test that you began is not finished, so it is not counted here." in said(app)


def test_what_got_into_the_bath_is_asked_where_it_is_kept_or_remade(app_test):
    app = type_in(app_test("keep_or_remake.py"), "sheet_bath_volume", "5.6")
    assert "Brass touched the bath" not in said(app)
    sheet_field(app.button_group, "sheet_bath_touched").select("brass").run()
    assert "Brass touched the bath and may have brought zinc and lead" in said(app)
