"""US units stand first where they were chosen, on screen, at the fields and on paper; the choice outlives the visit."""

import json
import re

import pytest

from advisor.basis.fields import fields_of
from advisor.basis.places import PAGES
from advisor.basis.units import parse
from advisor.readings import KINDS
from advisor.record import preferences
from advisor.record.entries import CONTENTS
from advisor.sheet import Keep, Sheet
from advisor.ui import fields
from advisor.ui.look import own_units, printing
from advisor.words.lines import Amount, Units, whole
from tests.widgets import said, sheet_field, unfold


def switch_to(app, units, where="side"):
    app.get("button_group")  # the switch is one
    next(group for group in app.button_group if group.key == f"units_{where}").set_value(units).run()
    assert not app.exception


@pytest.mark.parametrize("where", ["side", "more"])
def test_the_choice_shows_on_the_cards_and_is_printed(app_test, monkeypatch, where):
    printed = []
    real = printing.printed
    monkeypatch.setattr(printing, "printed", lambda *parts: printed.append(real(*parts)) or printed[-1])
    app = app_test("home.py")
    switch_to(app, Units.US_FIRST, where)
    app.button(key="home_example_dull").click().run()
    assert not app.exception
    assert "Add 9.03 oz (256 g) crystals" in said(app)
    assert re.search(r"\d+\.\d ± \d\.\d oz/gal<br><small>192 ± 6 g/L", said(app))
    assert re.search(r"window \d+\.\d to \d+\.\d oz/gal \(\d+ to \d+ g/L\)", said(app))
    app.switch_page(str(PAGES / "correct.py")).run()
    assert any("9.03 oz (256 g)" in box.label.replace("\N{NO-BREAK SPACE}", " ") for box in app.checkbox)
    assert "9.03 oz (256 g) of copper sulfate crystals" in printed[-1].replace("\N{NO-BREAK SPACE}", " ")


def test_a_bare_number_is_taken_in_the_unit_that_stands_at_its_field(app_test):
    app = app_test("check.py")
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    assert "(L)" in volume.label
    switch_to(app, Units.US_FIRST)
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    assert "(gal)" in volume.label
    volume.input("1.5").run()
    assert app.session_state["sheet"]["bath"]["volume"] == "1.5 gal"
    switch_to(app, Units.METRIC)  # what was typed keeps its unit
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "1.5 gal"
    assert "°C" in sheet_field(app.text_input, "sheet_bath_temperature").label


def test_a_field_keeps_the_unit_of_what_stands_in_it_where_other_units_are_chosen(app_test):
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume").input("6").run()
    switch_to(app, Units.US_FIRST)
    volume = sheet_field(app.text_input, "sheet_bath_volume")
    assert (volume.value, "(L)" in volume.label) == ("6 L", True)
    volume.input("5").run()  # beside a menu that stands at L
    assert app.session_state["sheet"]["bath"]["volume"] == "5 L"
    sheet_field(app.text_input, "sheet_bath_volume").input("").run()
    assert "(gal)" in sheet_field(app.text_input, "sheet_bath_volume").label


def test_a_price_is_asked_for_and_taken_for_the_pound_or_gallon_of_who_thinks_in_those(app_test):
    """Of 15 per gallon a litre costs 15/3.785412 = 3.96."""
    app = app_test("keep_or_remake.py")
    price = sheet_field(app.text_input, "sheet_keep_disposal_price")
    assert price.label == "Price of disposal (per L)"
    price.input("4").run()
    assert app.session_state["sheet"]["keep"]["disposal_price"] == "4"
    switch_to(app, Units.US_FIRST)
    assert sheet_field(app.text_input, "sheet_keep_disposal_price").label == "Price of disposal (per L)"  # of that 4
    sheet_field(app.text_input, "sheet_keep_disposal_price").input("").run()
    assert sheet_field(app.text_input, "sheet_keep_disposal_price").label == "Price of disposal (per gal)"
    sheet_field(app.text_input, "sheet_keep_disposal_price").input("15").run()
    typed = app.session_state["sheet"]["keep"]["disposal_price"]
    assert typed == "15 per gal"
    assert fields_of(Keep)["disposal_price"].read(typed, "") == pytest.approx(15 / 3.785412, rel=1e-5)
    switch_to(app, Units.METRIC)  # what was typed keeps its amount
    assert sheet_field(app.text_input, "sheet_keep_disposal_price").label == "Price of disposal (per gal)"


@pytest.mark.parametrize(
    ("typed", "amount", "kept"),
    [
        ("15", "lb", "15 per lb"),
        ("$15", "lb", "$15 per lb"),
        ("15 per kg", "lb", "15 per kg"),
        ("15", "kg", "15"),
        ("dear", "lb", "dear"),
    ],
)
def test_a_price_without_an_amount_is_for_the_one_at_its_field(typed, amount, kept):
    assert fields._from_widget(fields_of(Sheet.STOCK["crystals"])["price"], typed, amount) == kept


@pytest.mark.parametrize(("typed", "amount"), [("12 for 500 g", "500 g"), ("9.0", "kg"), ("9 per [it](x)", "kg")])
def test_a_field_of_a_price_names_the_amount_that_stands_in_it(typed, amount):
    assert fields._priced_amount(fields_of(Sheet.STOCK["crystals"])["price"], typed) == amount


def test_a_number_alone_keeps_its_unit_in_the_short_way_for_a_dropped_level(app_test):
    app = app_test("check.py")
    unfold(app, "level_fold_False")
    for key, text in {"then": "6", "now": "5", "copper_sulfate": "200", "sulfuric_acid": "55"}.items():
        app.text_input(key=f"level_{key}").input(text).run()
    switch_to(app, Units.US_FIRST)
    assert "(L)" in app.text_input(key="level_now").label
    app.button(key="level_use").click().run()
    assert app.session_state["sheet"]["bath"]["volume"] == "5 L"
    (reading,) = app.session_state["sheet"]["reading"]
    assert (reading["volume"], reading["copper_sulfate"]) == ("6 L", "200 g/L")


def test_what_is_read_off_a_bench_tool_stays_metric(app_test):
    app = app_test("check.py", "dull")
    unfold(app, "at_once_0")
    switch_to(app, Units.US_FIRST)
    labels = [field.label for field in app.text_input]
    assert any("(mL)" in label for label in labels)
    assert not any("fl oz" in label for label in labels)
    assert any("if left empty" in field.placeholder and "°F" in field.placeholder for field in app.text_input)


def test_the_choice_outlives_the_visit(app_test, monkeypatch):
    monkeypatch.setattr(own_units, "device", lambda: "one_phone")  # a test's own name for it is new each time
    switch_to(app_test("home.py"), Units.US_FIRST)
    again = app_test("check.py")
    assert "(gal)" in sheet_field(again.text_input, "sheet_bath_volume").label


def test_a_spoilt_file_counts_as_no_choice():
    preferences.write("this_computer", "units", "US_FIRST")
    assert preferences.read("this_computer") == {"units": "US_FIRST"}
    preferences._path("this_computer").write_text("[1", encoding="utf-8")
    assert preferences.read("this_computer") == {}


def test_without_the_choice_all_stays_metric(app_test):
    app = app_test("check.py", "dull")
    glances = json.dumps([block.proto.body for block in app.get("html") if "glance" in block.proto.body])
    assert "°F" not in glances
    assert " oz" not in glances


@pytest.mark.parametrize(
    ("metric", "of_a_tool", "customary"),
    [
        ("L", False, "gal"),
        ("degC", True, "degF"),
        ("g", False, "oz"),
        ("g", True, "g"),  # a scale fine enough for a test shows grams
        ("mL", False, "mL"),
    ],
)
def test_in_which_unit_a_bare_number_is_taken(monkeypatch, metric, of_a_tool, customary):
    monkeypatch.setattr(own_units, "chosen", lambda: Units.US_FIRST)
    assert own_units.unit_of(metric, of_a_tool) == customary
    monkeypatch.setattr(own_units, "chosen", lambda: Units.METRIC)
    assert own_units.unit_of(metric, of_a_tool) == metric


@pytest.mark.parametrize(
    ("place", "name", "customary"),
    [
        ("stock.acid", "on_hand", "fl oz"),
        ("mix", "acid", "fl oz"),
        ("buy", "bath", "fl oz"),
        ("acid", "volume", "fl oz"),
        ("make-up", "acid", "fl oz"),  # a jug and a kitchen scale made the bath up
        ("make-up", "crystals", "oz"),
        ("acid titration", "sample", "mL"),
        ("plated-out copper", "before", "g"),
        ("buy", "additive", "mL"),  # a syringe doses it, and its label says so
        ("additive dose", "volume", "mL"),
    ],
)
def test_what_a_kitchen_measures_is_asked_in_its_units(monkeypatch, place, name, customary):
    tables = Sheet.TABLES | {f"stock.{stock}": table for stock, table in Sheet.STOCK.items()}
    field = fields_of((tables | dict(KINDS) | CONTENTS)[place])[name]
    monkeypatch.setattr(own_units, "chosen", lambda: Units.US_FIRST)
    assert fields.usual_unit(field, of_a_tool=place in KINDS) == customary
    assert parse(fields.with_unit("12", field, customary), field.quantity).text == f"12 {customary}"
    monkeypatch.setattr(own_units, "chosen", lambda: Units.METRIC)
    assert fields.usual_unit(field, of_a_tool=place in KINDS) == field.unit


def test_a_default_is_named_in_the_unit_of_its_field_first():
    """25 °C are 25 x 9/5 + 32 = 77 °F; 5.6 L are 5.6/3.785 = 1.48 gallons."""
    warm, full = parse("25 degC", "temperature"), parse("5.6 L", "volume")
    assert own_units.own_text(warm, "temperature", "degC", "degC") == "25 degC"
    assert own_units.own_text(warm, "temperature", "degC", "degF") == "77 degF (25 degC)"
    assert own_units.own_text(full, "volume", "L", "gal") == "1.48 gal (5.6 L)"


def test_a_dose_is_typed_in_one_unit(monkeypatch):
    """256 g are 256/28.35 = 9.03 oz, which a field takes without the grams in brackets."""
    for units, text in ((Units.US_FIRST, "9.03 oz"), (Units.METRIC, "256 g")):
        monkeypatch.setattr(own_units, "chosen", lambda units=units: units)
        assert own_units.typed_as(Amount(256.0, "g", digits=3)) == text


def test_no_number_parts_from_its_unit_or_its_spread():
    assert whole("0.500 ± 0.029 mol/L (95 %), as is") == "0.500\u00a0±\u00a00.029\u00a0mol/L (95\u00a0%), as is"
