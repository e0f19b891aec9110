"""The unit of a field can be chosen: of what is typed, and of what will be."""

import pytest
import streamlit as st

from advisor.basis.fields import fields_of
from advisor.basis.units import parse
from advisor.readings.acid_titration import AcidTitration
from advisor.sheet import Bath, Plate
from advisor.ui.look import unit_menus
from advisor.ui.session import state
from tests.widgets import sheet_field


@pytest.mark.parametrize("quantity", unit_menus.UNITS)
def test_every_unit_of_a_menu_is_accepted_by_its_fields(quantity):
    for unit in unit_menus.UNITS[quantity]:
        assert parse(f"1.2 {unit}", unit_menus.quantity_of(quantity)).value > 0 or quantity == "temperature"


@pytest.mark.parametrize(
    ("typed", "unit", "kept"),
    [
        ("5.6", "gal", "5.6 gal"),
        ("5.6 L", "qt", "5.6 qt"),
        ("12,3 ± 0.1 mL", "fl oz", "12,3 ± 0.1 fl oz"),
        ("12.3 mL +/- 0.1", "fl oz", "12.3 ± 0.1 fl oz"),
        ("12.3 mL ± 2 %", "fl oz", "12.3 fl oz ± 2 %"),
        ("1 1/2 gal", "L", "1 1/2 L"),
        ("about 5", "gal", "5 gal"),
        ("5-6 L", "gal", "5.5 ± 0.5 gal"),
        ("", "gal", None),
        ("much", "gal", None),
        ("5.6 L", "kg", None),  # not of its menu
    ],
)
def test_a_choice_changes_the_unit_and_not_the_number(monkeypatch, typed, unit, kept):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    unit_menus.begin()
    unit_menus.offer("key", "bath", "volume", "Volume", "volume", typed, "L")
    st.session_state["unit_menus"] = st.session_state["unit_menus_now"]
    unit_menus.choose("key", unit, typed)
    assert state.raw().get("bath", {}).get("volume") == kept
    assert unit_menus.chosen("bath", "volume") == (None if unit == "kg" else unit)


@pytest.mark.parametrize(
    "typed", ["½ gal", "a gal", "about 5 gal", "5 gal +/- 0.2", "5 ± 0.2 gal", "5-6 gal", "5 gal ± 1 L"]
)
def test_the_menu_shows_the_unit_that_was_typed(monkeypatch, typed):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    unit_menus.begin()
    unit_menus.offer("key", "bath", "volume", "Volume", "volume", typed, "L")
    assert st.session_state["unit_menus_now"]["key"][2]["unit"] == "gal"


@pytest.mark.parametrize(("typed", "unit"), [("894 ml", "mL"), ("1.5 litres", "L"), ("3 floz", "fl oz")])
def test_a_unit_in_another_spelling_stands_once_in_the_menu(monkeypatch, typed, unit):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    unit_menus.begin()
    unit_menus.offer("key", "bath", "volume", "Volume", "volume", typed, "L")
    menu = st.session_state["unit_menus_now"]["key"][2]
    assert (menu["unit"], menu["units"]) == (unit, [*unit_menus.UNITS["volume"]])


def test_only_a_coat_is_measured_in_micrometres():
    fields = fields_of(Plate)
    height, thickness = (unit_menus.UNITS[unit_menus.menu_of(fields[name])] for name in ("height", "thickness"))
    assert ("µm" in height, "µm" in thickness) == (False, True)
    assert ("mil" in height, "cm" in height) == (False, True)


def test_what_is_no_unit_stands_in_no_menu(monkeypatch):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    unit_menus.begin()
    for number, typed in enumerate(("4,3 apples", "4.3 cups", "5 L ± 0.1 L")):
        unit_menus.offer(str(number), "bath", "volume", "Volume", "volume", typed, "L")
    menus = [menu for _, _, menu in st.session_state["unit_menus_now"].values()]
    assert [menu["unit"] for menu in menus] == ["", "cups", "L"]
    assert [menu["units"][len(unit_menus.UNITS["volume"]) :] for menu in menus] == [[], ["cups"], []]


def test_a_field_takes_bare_numbers_in_the_unit_chosen(app_test):
    app = app_test("check.py")
    offered = app.session_state["unit_menus"]
    key = next(key for key, (place, name, _) in offered.items() if (place, name) == ("bath", "volume"))
    assert offered[key][2]["unit"] == "L"
    app.session_state["unit_menus_chosen"] = app.session_state["sheet"], {(Bath, "volume"): "qt"}
    app.run()
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    assert volume.label.endswith("(qt)")
    volume.input("6").run()
    assert app.session_state["sheet"]["bath"]["volume"] == "6 qt"
    assert not app.exception


def test_a_unit_that_was_typed_is_that_of_the_next_number_too(app_test):
    app = app_test("check.py")
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    volume.input("0.75 gal").run()
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    assert volume.label.endswith("(gal)")
    volume.input("1").run()
    assert app.session_state["sheet"]["bath"]["volume"] == "1 gal"
    sheet_field(app.text_input, "sheet_bath_volume").input("3 buckets").run()
    assert sheet_field(app.text_input, "sheet_bath_volume").label.endswith("(gal)")


def test_a_field_that_was_emptied_begins_anew_in_its_own_unit(app_test):
    app = app_test("check.py")
    for typed in ("3/4 gal", "", "5"):
        sheet_field(app.text_input, "sheet_bath_volume").input(typed).run()
    assert app.session_state["sheet"]["bath"]["volume"] == "5 L"


@pytest.mark.parametrize(
    ("name", "kept"), [("predilution_part_0", ["10 fl oz", "100 mL"]), ("predilution_part_1", ["10 mL", "10 fl oz"])]
)
def test_each_part_of_a_field_of_several_has_its_own_unit(monkeypatch, name, kept):
    reading = {"kind": "copper titration", "predilution": ["10 mL", "100 mL"]}
    monkeypatch.setattr(st, "session_state", {"sheet": {"reading": [reading]}})
    unit_menus.begin()
    unit_menus.offer("key", "reading 1", name, "Diluted beforehand", "volume", "10 mL", "mL")
    st.session_state["unit_menus"] = st.session_state["unit_menus_now"]
    unit_menus.choose("key", "fl oz", "10 mL")
    assert state.raw()["reading"][0]["predilution"] == kept
    assert unit_menus.chosen("reading 1", name) == "fl oz"


@pytest.mark.parametrize("held", [None, ["10 mL"]])
def test_a_part_that_the_sheet_does_not_hold_yet_can_be_given_its_unit(monkeypatch, held):
    reading = {"kind": "copper titration"} | ({"predilution": held} if held else {})
    monkeypatch.setattr(st, "session_state", {"sheet": {"reading": [reading]}})
    unit_menus.begin()
    unit_menus.offer("key", "reading 1", "predilution_part_1", "Diluted beforehand, to", "volume", "", "mL")
    st.session_state["unit_menus"] = st.session_state["unit_menus_now"]
    unit_menus.choose("key", "fl oz", "3")  # typed, and not sent yet
    assert state.raw()["reading"][0]["predilution"] == [held[0] if held else "", "3 fl oz"]


def test_a_field_of_several_parts_offers_a_menu_for_each(app_test):
    """The limits of a window are two numbers, each with its unit."""
    app = app_test("check.py")
    app.session_state["fold_window"] = True
    app.session_state["sheet"]["window"] = {"copper_sulfate": ["195 g/L", "248 g/L"]}
    app.run()
    offered = {(place, name): menu for place, name, menu in app.session_state["unit_menus"].values()}
    first, second = (offered["window", f"copper_sulfate_part_{number}"] for number in (0, 1))
    assert first["unit"] == second["unit"] == "g/L"
    assert (first["label"], second["label"]) == ("Copper sulfate from, to", "Copper sulfate from, to, the second")
    low = next(field for field in app.text_input if field.key and "copper_sulfate_part_0" in field.key)
    low.input("200").run()
    assert app.session_state["sheet"]["window"]["copper_sulfate"] == ["200 g/L", "248 g/L"]
    assert not app.exception


def test_a_unit_that_was_typed_stands_in_the_menu(monkeypatch):
    monkeypatch.setattr(st, "session_state", {})
    unit_menus.begin()
    unit_menus.offer("key", "bath", "volume", "Volume", "volume", "3 pt", "L")
    menu = st.session_state["unit_menus_now"]["key"][2]
    assert menu["unit"] == "pt"
    assert "pt" in menu["units"]


def test_a_choice_goes_with_what_was_measured_and_not_with_its_number(monkeypatch):
    monkeypatch.setattr(
        st, "session_state", {"sheet": {"reading": [{"kind": "hydrometer"}, {"kind": "acid titration"}]}}
    )
    unit_menus.begin()
    unit_menus.offer("key", "reading 2", "sample", "Sample", "volume", "10", "mL")
    st.session_state["unit_menus"] = st.session_state["unit_menus_now"]
    unit_menus.choose("key", "fl oz", "10")
    state.remove_reading(1)
    assert unit_menus.chosen("reading 1", "sample") == "fl oz"
    state.add_reading("copper titration")
    assert unit_menus.chosen("reading 2", "sample") is None
    unit_menus.forget(AcidTitration)
    assert unit_menus.chosen("reading 1", "sample") is None


def test_another_sheet_begins_without_the_units_of_the_one_before(monkeypatch):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    unit_menus.begin()
    unit_menus.offer("key", "bath", "volume", "Volume", "volume", "5.6", "L")
    st.session_state["unit_menus"] = st.session_state["unit_menus_now"]
    unit_menus.choose("key", "gal", "5.6")
    assert unit_menus.chosen("bath", "volume") == "gal"
    state.load({"bath": {"volume": "5.6 L"}})
    assert unit_menus.chosen("bath", "volume") is None
