"""How typed text becomes what a sheet holds."""

import re

import pytest
import streamlit as st

from advisor.basis.fields import ChoiceField, Fault, InputError, QuantityField, fields_of
from advisor.basis.places import PAGES
from advisor.basis.units import parse
from advisor.readings import KINDS
from advisor.sheet import Bath, Sheet
from advisor.ui import fields
from advisor.ui.look import own_units
from advisor.ui.session import state
from advisor.words.lines import Units, line, whole
from tests.widgets import has_sheet_field, said, sheet_field, type_in, unfold


def quantity(kind, unit=None):
    return QuantityField(label="x", quantity=kind, unit=unit)


@pytest.mark.parametrize(
    ("text", "field", "expected"),
    [
        ("5.6", quantity("volume"), "5.6 L"),
        (" 12,3 ± 0.1 ", quantity("volume", "mL"), "12,3 ± 0.1 mL"),
        ("21", quantity("temperature"), "21 °C"),
        ("18-22", quantity("temperature"), "20 ± 2 °C"),
        ("99", quantity("fraction"), "99 %"),
        ("85", quantity("area", "cm^2"), "85 cm²"),
        ("150", quantity("length", "um"), "150 µm"),
        ("310", quantity("charge"), "310 A·h"),
        ("85 cm^2", quantity("area", "cm^2"), "85 cm^2"),
        ("12.3 mL", quantity("volume"), "12.3 mL"),
        ("5 kg", quantity("volume"), "5 kg"),
        ("1,234", quantity("volume"), "1,234"),
        ("0.5", quantity("strength"), "0.5"),
        ("", quantity("volume"), ""),
    ],
)
def test_a_bare_number_gets_the_usual_unit_and_nothing_else_is_touched(text, field, expected):
    assert fields.with_unit(text, field) == expected


def test_the_label_names_the_unit_that_is_added():
    volume = fields_of(Bath)["volume"]
    assert fields.label_of(volume).endswith("(L)")
    assert fields.label_of(fields_of(KINDS["acid titration"])["used"]).endswith("(mL)")
    assert fields.label_of(fields_of(KINDS["acid titration"])["strength"]).endswith("(mol/L, g/L or %)")


@pytest.mark.parametrize(
    "table", [*Sheet.TABLES.values(), *Sheet.STOCK.values(), *KINDS.values()], ids=lambda table: table.__name__
)
def test_a_bare_number_is_taken_in_every_quantity_field_but_a_strength(table):
    for field in fields_of(table).values():
        if isinstance(field, QuantityField) and field.quantity != "strength":
            assert parse(fields.with_unit("1.2", field), field.quantity).value > 0


@pytest.mark.parametrize(
    "table", [*Sheet.TABLES.values(), *Sheet.STOCK.values(), *KINDS.values()], ids=lambda table: table.__name__
)
def test_no_label_spells_a_unit_for_a_machine(table):
    for field in fields_of(table).values():
        assert not re.search(r"\^|\*|degC|\bum\b", fields.label_of(field))
        assert not re.search(r"\^|\*|degC|\bum\b", fields._placeholder(field, False))


@pytest.mark.parametrize(
    ("in_the_sheet", "on_the_screen"),
    [
        ("100 cm^2", "100 cm²"),
        ("20 ± 1 degC", "20 ± 1 °C"),
        ("5 um", "5 µm"),
        ("2 A*h", "2 A·h"),
        ("aluminium", "aluminium"),
    ],
)
def test_no_field_shows_a_unit_as_a_sheet_spells_it(in_the_sheet, on_the_screen):
    assert fields.as_written(in_the_sheet) == on_the_screen


def test_rows_come_from_lines_with_any_usual_gap():
    assert fields._rows("1 2,5\n3; 4\n\n5, 6.5\n7\tx") == [[1.0, 2.5], [3.0, 4.0], [5.0, 6.5], [7.0, "x"]]


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("reading 2: used", "Titrant used in reading 2"),
        ("reading 2: points row 1", "reading 2"),  # this kind has none
        ("stock.acid: strength", "Strength of your acid"),
        ("stock.acid: taste", "acid"),
        ("bath: volume", "Bath in the tank now"),
        ("mix: taste", "the recipe"),
        ("reading 9: used", "reading 9: used"),  # there is no such reading
        ("the file", "the file"),
    ],
)
def test_a_place_is_called_by_its_label_and_its_table(monkeypatch, place, said):
    sheet = {"reading": [{"kind": "hydrometer"}, {"kind": "acid titration"}]}
    monkeypatch.setattr(st, "session_state", {"sheet": sheet})
    assert fields.called(place) == said


def test_a_tool_of_a_sheet_is_listed_once_beside_the_known_ones():
    known = fields.tools()
    assert fields.tools(known[2]) == known
    assert fields.tools("grandmother's cup") == [*known, "grandmother's cup"]


@pytest.mark.parametrize(
    ("raw", "shown"), [(None, ["", ""]), ("5 L", ["5 L", ""]), (["5 L"], ["5 L", ""]), ((1, 2, 3), ["1", "2"])]
)
def test_each_part_of_a_value_shows_what_the_sheet_holds_of_it(raw, shown):
    assert fields._texts(raw, 2) == shown


def test_a_widget_shows_a_raw_value_as_a_person_would_type_it():
    bath, reading = fields_of(Bath), fields_of(KINDS["pH curve"])
    assert fields._to_widget(reading["points"], [[1.0, 2.5], "odd"]) == "1.0, 2.5\nodd"
    assert fields._to_widget(bath["volume"], "85 cm^2") == "85 cm²"
    assert fields._to_widget(bath["volume"], None) == ""
    assert fields._to_widget(bath["condition"], "cloudy") == ["cloudy"]
    assert fields._to_widget(bath["date"], None) is None
    assert fields._to_widget(bath["date"], "yesterday") is None
    assert str(fields._to_widget(bath["date"], "2026-03-14")) == "2026-03-14"


@pytest.mark.parametrize("few", [True, False])
@pytest.mark.parametrize("default", [None, "a"])
def test_a_choice_shows_what_is_offered_or_its_default(few, default):
    """A list has an empty line; chips have none."""
    field = ChoiceField(label="x", choices=tuple("ab" if few else "abcde"), default=default)
    nothing = None if few else ""
    shown = [fields._to_widget(field, raw) for raw in ("b", None, "z")]
    assert shown == ["b", default or nothing, nothing]


def test_each_part_of_a_value_is_called_by_its_own_name():
    ph, window = fields_of(KINDS["thinned pH"]), fields_of(Sheet.TABLES["window"])
    limits = [fields._labels_of_part(window["copper_sulfate"], number, "g/L") for number in (0, 1)]
    assert [label for label, _ in limits] == ["Copper sulfate from, to (g/L)", "to (g/L)"]
    assert len({menu for _, menu in limits}) == 2  # a screen reader tells their menus apart
    buffer, shows = (fields._labels_of_part(ph["buffer"], number, None) for number in (0, 1))
    assert (buffer, shows) == (("Buffer", "Buffer"), ("In it the pen shows", "In it the pen shows"))


def test_a_folded_part_is_drawn_once_it_is_open_and_opens_where_something_is_wrong(app_test):
    key, typed = "sheet_stock_crystals_purity", "98 %"
    app = app_test("check.py")
    assert not has_sheet_field(app.text_input, key)
    app.session_state["fold_stock"] = True
    sheet_field(app.run().text_input, key).input(typed).run()
    assert sheet_field(app.text_input, key).value == typed
    app.session_state["fold_stock"] = False
    assert not has_sheet_field(app.run().text_input, key)
    app.session_state["fold_stock"] = True
    assert sheet_field(app.run().text_input, key).value == typed  # kept while it was folded
    sheet_field(app.text_input, key).input("much").run()
    assert sheet_field(app.text_input, key).value == "much"
    app.switch_page(str(PAGES / "mix.py")).run()
    assert sheet_field(app.text_input, key).value == "much"  # nobody opened it here
    sheet_field(app.text_input, key).input(typed).run()
    assert sheet_field(app.text_input, key).value == typed  # mended, it does not fold away under the hand


def test_a_field_that_two_pages_have_shows_on_both_what_was_typed(app_test):
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6 L").run()
    for page in ("keep_or_remake.py", "check.py", "keep_or_remake.py"):
        app.switch_page(str(PAGES / page)).run()
        assert sheet_field(app.text_input, "sheet_bath_volume").value == "5.6 L", page


def test_what_a_browser_still_sends_of_the_fields_before_does_not_reach_the_sheet(monkeypatch):
    visit = {"sheet": {"bath": {"volume": "5 L"}}}
    monkeypatch.setattr(st, "session_state", visit)
    stale, volume = state.key_of("bath", "volume"), fields_of(Bath)["volume"]
    state.load({"bath": {"volume": "9 L"}})
    visit[stale] = "5 L"
    fields._store(volume, "bath", "volume", stale, 0, None)
    assert state.raw() == {"bath": {"volume": "9 L"}}
    visit[state.key_of("bath", "volume")] = "8"
    fields._store(volume, "bath", "volume", state.key_of("bath", "volume"), 1, None)
    assert state.raw() == {"bath": {"volume": "8 L"}}


@pytest.mark.parametrize(
    ("error", "told"),
    [
        # 115 g/L are 115/7.489 = 15.4 oz/gal
        (
            InputError("reading 1: copper", "“99 oz/gal”", line("no bath holds more than {115 g/L}")),
            "15.4 oz/gal (115 g/L)",
        ),
        # 85 cm² are 85/6.4516 = 13.2 in²
        (InputError.missing("plate: area", 'give the area of the part, such as "85 cm²"'), "such as 13.2 in² (85 cm²)"),
        (InputError("mix", line("this makes {480 g/L} salt"), "less"), "this makes 64.1 oz/gal (480 g/L) salt"),
    ],
)
def test_what_is_wrong_is_said_in_the_units_of_the_person(monkeypatch, error, told):
    shown = []
    monkeypatch.setattr(st, "html", shown.append)
    monkeypatch.setattr(own_units, "chosen", lambda: Units.US_FIRST)
    fields.complain(error)
    assert whole(told) in shown[0]
    monkeypatch.setattr(own_units, "chosen", lambda: Units.METRIC)
    fields.complain(error)
    assert whole(told) not in shown[1]
    assert " oz/gal (" not in shown[1].replace("\N{NO-BREAK SPACE}", " ")


def test_what_to_write_is_in_the_unit_of_what_stands_at_the_field(app_test):
    app = app_test("mix.py", "dull")  # whose tank is in litres
    app.session_state["units"] = Units.US_FIRST
    type_in(app, "sheet_bath_max_volume", "-3")
    assert 'you gave "-3 L"' in said(app)
    assert "If you mean 3 L, write that." in said(app)


def test_of_two_limits_the_one_that_is_missing_is_asked_for_and_the_wrong_one_named(app_test):
    app = app_test("mix.py", "dull")
    unfold(app, "fold_window")
    app.session_state["units"] = Units.US_FIRST
    type_in(app, "sheet_window_copper_sulfate_part_0", "20,5")
    assert "Give both numbers of “Copper sulfate from, to”" in said(app)
    type_in(app, "sheet_window_copper_sulfate_part_1", "many")
    assert 'you gave "many"; it has no number: write one in digits. Write, for example, 10 oz/gal.' in said(app)


def test_an_example_that_only_a_sheet_takes_is_not_in_the_help_of_a_field(app_test):
    app = app_test("mix.py")
    unfold(app, "fold_window")
    helps = [field.help for field in app.text_input if field.label.startswith("Sulfuric acid from")]
    assert helps == ["Lower and upper limit"]


def test_what_is_well_written_and_fits_no_other_field_is_not_asked_for_again(monkeypatch):
    shown = []
    monkeypatch.setattr(st, "html", shown.append)
    for fault in (Fault.CONFLICT, Fault.NOT_READABLE):
        fields.complain(
            InputError("plate: time", '"10 h"', "that current takes 1 h", fault), "Write, for example, 10 h."
        )
    assert ["Write, for example" in text for text in shown] == [False, True]
