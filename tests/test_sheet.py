"""The bench sheet: read, checked and written back; every refusal names the place, what was given and what is accepted."""

import re
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.basis.fields import InputError, SheetError, fields_of
from advisor.examples import EXAMPLES, example_text
from advisor.readings import KINDS
from advisor.sheet import LARGEST_FILE, Sheet, parse_sheet, read_sheet, write_sheet

FULL = """
[bath]
name = "Shed tank"
volume = "5.6 L"
temperature = "21 degC"
usual_volume = "6.0 L"
date = 2026-03-14
max_volume = "6.5 L"
min_volume = "5.0 L"
coldest = "12 degC"
additives = true
age = "14 months"
throughput = "310 A*h"
iron = "0.4 g/L"
[window]
name = "standard"
copper_sulfate = ["195 g/L", "248 g/L"]
sulfuric_acid = ["30 g/L", "75 g/L"]
chloride = ["50 mg/L", "120 mg/L"]
[stock.crystals]
purity = "99 %"
on_hand = "2 kg"
price = 9.0
[stock.acid]
strength = "37 %"
on_hand = "1 L"
price = 4.0
[stock.water]
chloride = "0 mg/L"
alkalinity = "0 mg/L"
[stock.chloride]
kind = "hydrochloric acid"
strength = "31 %"
[correction]
aim = "middle"
[gear]
have = ["0.1 g scale", "hydrometer", "10 mL syringe", "baking soda", "methyl orange"]
[plate]
area = "85 cm^2"
thickness = "150 um"
stirring = "still"
anode_area = "200 cm^2"
height = "6 cm"
[deposit]
looks = ["dull"]
where = "all over"
since = "sudden"
[keep]
disposal_price = 2.5
carbon_treated = 0
mixed_jar = "good"
[dispose]
volume = "4 L"
base = "sodium bicarbonate"
[[reading]]
kind = "acid titration"
sample = "5 mL"
diluted_to = "100 mL"
titrant = "sodium bicarbonate"
strength = "0.5 mol/L"
used = "12,3 ± 0.1 mL"
end_point = "methyl orange"
note = "swirled"
[[reading]]
kind = "pH curve"
sample = "5 mL"
diluted_to = "100 mL"
titrant = "sodium hydroxide"
strength = "0.1 mol/L"
points = [[0, 1.5], [5.0, 1.7], [10, 1.9], [15, 2.1], [20, 2.3], [25, 2.5], [30, 2.8], [35, 3.1], [40, 3.4]]
"""


def test_all_of_the_sheet_is_understood_and_comes_back_the_same() -> None:
    sheet = parse_sheet(FULL.encode())
    assert sheet.bath.volume.value == 5.6
    assert sheet.readings[0].used.standard_uncertainty == pytest.approx(1e-4 / 1.96)
    assert sheet.plate.area.value == pytest.approx(0.85)
    again = parse_sheet(write_sheet(sheet).encode())
    assert again == sheet
    assert "12,3 ± 0.1 mL" in write_sheet(sheet)  # the text that was typed


def test_defaults() -> None:
    sheet = read_sheet({"bath": {"volume": "5 L"}})
    bath = sheet.bath
    assert (bath.temperature.value, bath.coldest.value, bath.months) == pytest.approx((20.0, 15.0, 12.0), rel=1e-6)
    assert (bath.usual_L, bath.most_L, bath.least_L) == pytest.approx((5.0, 5.5, 4.5))
    assert bath.additives is None
    assert sheet.window.name == "standard"
    assert bath.surroundings().volume_standard_uncertainty == pytest.approx(0.025)


READING = {
    "kind": "acid titration",
    "sample": "5 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "used": "12.3 mL",
    "end_point": "methyl orange",
}


def refused(raw: dict) -> InputError:
    with pytest.raises(InputError) as caught:
        read_sheet(raw)
    return caught.value


@pytest.mark.parametrize(
    ("table", "key", "value", "accepted"),
    [
        ("plate", "area", "1e-300 cm^2", "at least 0.0001 cm^2"),
        ("dispose", "volume", "1e-9 L", "at least 0.000001 L"),
        ("bath", "max_volume", "0 L", "more than 0 and at most"),
    ],
)
def test_an_amount_that_divides_to_infinity_is_refused(table: str, key: str, value: str, accepted: str) -> None:
    raw: dict = {"bath": {"volume": "5 L"}}
    raw[table] = {**raw.get(table, {}), key: value}
    error = refused(raw)
    assert error.place == f"{table}: {key}"
    assert accepted in error.accepted


@pytest.mark.parametrize(
    ("key", "value", "accepted"),
    [
        ("used", "-3 mL", "from 0 mL to 5000 mL"),
        ("used", "1,234.5 mL", "number and a unit"),
        ("used", "12.3 g", "is a mass, and a volume belongs here"),
        ("used", "12.3", "no unit"),
        ("used", 12.3, "as text with its unit"),
        ("used", "nan mL", "write one in digits"),
        ("used", "inf mL", "write one in digits"),
        ("used", "", "write one in digits"),
        ("used", None, "as text with its unit"),
        ("used", ["12 mL"], "as text with its unit"),
        ("sample", "0 mL", "from 0.01 mL"),
        ("sample", "100 L", "to 500 mL"),
        ("strength", "0 mol/L", "above zero"),
        ("strength", "500 mol/L", "at most 20 mol/L"),
        ("strength", "150 %", "at most 100 %"),
        ("titrant", "sodium carbonat", "did you mean sodium carbonate"),
        ("end_point", "phenolphthalein", "methyl orange, first lasting cloud, pH meter"),
        ("used_with", "bucket", "burette"),
        ("usde", "3 mL", "did you mean used"),
        ("kind", "acid titraton", "did you mean acid titration"),
        ("kind", 3, "it must be one of"),
        ("diluted_to", "2 mL", "not be less than the sample"),
        ("blank", "13 mL", "less than used"),
        ("end_point_pH", 4.0, "pH meter"),
        ("used", "200 mL", "at most 400 g/L"),
    ],
)
def test_refusals_name_place_given_and_accepted(key: str, value: object, accepted: str) -> None:
    error = refused({"bath": {"volume": "5 L"}, "reading": [READING, READING | {key: value}]})
    assert str(error).startswith(f"reading 2: {key}")
    assert accepted in str(error)


def test_of_a_range_that_is_a_limit_the_safe_end_counts() -> None:
    said = {"volume": "6 L", "min_volume": "4-5 L", "max_volume": "6-8 L", "coldest": "2-20 degC"}
    bath = read_sheet({"bath": said}).bath
    assert (bath.least_L, bath.most_L, bath.coldest_degC) == pytest.approx((5.0, 6.0, 2.0))
    assert read_sheet({"bath": {"volume": "6 L", "coldest": "5 ± 10 degC"}}).bath.coldest_degC == 0.0  # above freezing


@pytest.mark.parametrize("volume", [1.1, 2.3, 5.7, 6.6, 11.2])
def test_the_least_that_a_message_names_is_taken(volume: float) -> None:
    bath = {"volume": f"{volume} L", "max_volume": f"{0.5 * volume:g} L"}
    least = re.search(r"less than ([0-9.]+ L)", refused({"bath": bath}).accepted)
    assert read_sheet({"bath": bath | {"max_volume": least[1]}}).bath.most_L < volume


@pytest.mark.parametrize(
    ("raw", "place"),
    [
        ({}, "bath: volume"),
        ({"bath": {}}, "bath: volume"),
        ({"bath": 5}, "bath"),
        ({"bath": {"volume": "5 kg"}}, "bath: volume"),
        ({"bath": {"volume": "0 L"}}, "bath: volume"),
        ({"bath": {"volume": "5 L", "temperature": "90 degC"}}, "bath: temperature"),
        ({"bath": {"volume": "5 L", "min_volume": "6 L", "max_volume": "5.5 L"}}, "bath: min_volume"),
        ({"bath": {"volume": "9 L", "min_volume": "5 L", "max_volume": "8 L"}}, "bath: max_volume"),
        ({"bath": {"volume": "9 L", "max_volume": "8-12 L"}}, "bath: max_volume"),  # it may hold no more than 8
        ({"bath": {"volume": "5 L"}, "bat": {}}, "bat"),
        ({"bath": {"volume": "5 L"}, "window": {"name": "standart"}}, "window: name"),
        ({"bath": {"volume": "5 L"}, "window": {"copper_sulfate": ["248 g/L", "195 g/L"]}}, "window: copper_sulfate"),
        ({"bath": {"volume": "5 L"}, "window": {"copper_sulfate": "195 g/L"}}, "window: copper_sulfate"),
        ({"bath": {"volume": "5 L"}, "stock": {"acid": {"density": "1.836 g/mL"}}}, "stock.acid: density"),
        ({"bath": {"volume": "5 L"}, "stock": {"crystals": {"purity": "20 %"}}}, "stock.crystals: purity"),
        ({"bath": {"volume": "5 L"}, "stock": {"acids": {}}}, "stock: acids"),
        ({"bath": {"volume": "5 L"}, "stock": 3}, "stock"),
        ({"bath": {"volume": "5 L"}, "reading": {"kind": "hydrometer"}}, "reading"),
        ({"bath": {"volume": "5 L"}, "reading": ["hydrometer"]}, "reading 1: kind"),
        ({"bath": {"volume": "5 L"}, "dispose": {"base": "lye"}}, "dispose: base"),
        ({"bath": {"volume": "5 L", "additives": "yes"}}, "bath: additives"),
        ({"bath": {"volume": "5 L", "date": "14.3.2026"}}, "bath: date"),
        ({"bath": {"volume": "5 L", "condition": ["dirty"]}}, "bath: condition"),
    ],
)
def test_tables_that_are_refused(raw: dict, place: str) -> None:
    assert refused(raw).place == place


def test_lye_is_refused_with_the_heat_as_the_reason() -> None:
    assert "240 kJ" in str(refused({"bath": {"volume": "5 L"}, "dispose": {"base": "Lye"}}))


def test_strong_acid_is_not_graded_by_density_and_the_reason_is_said() -> None:
    error = refused({"bath": {"volume": "5 L"}, "stock": {"acid": {"density": "1.835 g/mL"}}})
    assert "label" in str(error)
    assert "93 %" in str(error)


def test_all_that_is_wrong_is_carried_for_the_page() -> None:
    error = refused({"bath": {"volume": "5 g", "age": "x"}, "reading": [READING | {"used": "1"}]})
    assert isinstance(error, SheetError)
    assert [item.place for item in error.errors] == ["bath: volume", "bath: age", "reading 1: used"]
    assert "2 more" in str(error)


@pytest.mark.parametrize(
    "content",
    [b"\xff\xfe\x00garbage", b"[bath", b"volume = ", b"x" * (LARGEST_FILE + 1), b"\x00" * 100, b"[" * 100_000],
)
def test_files_that_are_no_sheets(content: bytes) -> None:
    with pytest.raises(InputError):
        parse_sheet(content)


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_are_sound_and_come_back_the_same(name: str) -> None:
    sheet = parse_sheet(example_text(name).encode())
    assert parse_sheet(write_sheet(sheet).encode()) == sheet


def test_every_field_has_a_label_and_every_limit_an_order() -> None:
    for table in [*Sheet.TABLES.values(), *Sheet.STOCK.values(), *KINDS.values()]:
        for name, field in fields_of(table).items():
            assert field.label, (table, name)
            low, high = getattr(field, "low", None), getattr(field, "high", None)
            assert low is None or high is None or low < high, (table, name)


HOSTILE = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30) | st.sampled_from(["5 L", "12 mL", "hydrometer"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from([*Sheet.TABLES, "kind", "volume", "used", "stock", "reading", "points"]) | st.text(string.ascii_lowercase, max_size=8), inner, max_size=5),
    max_leaves=25,
)  # fmt: skip


@pytest.mark.slow
@settings(max_examples=300, deadline=None)
@given(HOSTILE)
def test_anything_is_read_or_refused_by_name(raw: object) -> None:
    try:
        sheet = read_sheet({"bath": {"volume": "5 L"}, **raw} if isinstance(raw, dict) else {"bath": raw})
    except InputError as error:
        sheet, said = None, error
    if sheet is None:
        assert said.place
        assert said.accepted
    else:
        assert parse_sheet(write_sheet(sheet).encode()) == sheet


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    with pytest.raises(InputError):
        parse_sheet(content)  # no volume of a bath in two hundred random bytes


@pytest.mark.parametrize("typed", ["€12.50", "12,50 €", "$12.5", "12.50", "EUR 12.50", "12.50 EUR"])
def test_a_price_may_have_the_sign_of_its_currency(typed):
    assert read_sheet({"stock": {"acid": {"price": typed}}}, needs_volume=False).stock.acid.price == 12.5


@pytest.mark.parametrize("typed", ["twelve €", "12€50", "5$00", "50¢", "$$5 $"])
def test_a_price_that_is_none_is_refused_as_it_was_typed(typed):
    with pytest.raises(InputError, match=re.escape(f'you gave "{typed}"')):
        read_sheet({"stock": {"acid": {"price": typed}}}, needs_volume=False)


# A pound is 0.45359237 kg (exact), a gallon 3.785412 L, a quart 0.9463529 L (NIST SP 811, 2008, Appendix B.8).
@pytest.mark.parametrize(
    ("what", "typed", "each"),
    [
        ("crystals", "4 per lb", 4 / 0.45359237),
        ("crystals", "$4.50/lb", 4.5 / 0.45359237),
        ("crystals", "12,50 € for 500 g", 25.0),
        ("crystals", "9 EUR / kg", 9.0),
        ("acid", "15 USD per gallon", 15 / 3.785412),
        ("acid", "6 for 1 qt", 6 / 0.9463529),
        ("acid", "80 for each 5 gal", 16 / 3.785412),
        ("acid", "4", 4.0),
    ],
)
def test_a_price_may_be_of_another_amount(what, typed, each):
    sheet = read_sheet({"bath": {"volume": "5 L"}, "stock": {what: {"price": typed}}})
    assert getattr(sheet.stock, what).price == pytest.approx(each, rel=3e-6)
    assert parse_sheet(write_sheet(sheet).encode()) == sheet


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("4 per bottle", "'bottle', which is not accepted"),
        ("4 per oz", "fluid ounces"),
        ("4 per lb", "a volume belongs here"),
        ("4 for 0 L", "no amount above zero"),
        ("4 per", "not a number"),
        ("4 EUR 2 per L", "not a number"),
        ("1/2", "not a number"),
        ("2000000 per L", "from 0 to 1000000"),
        ("20 per 0.00001 L", "from 0 to 1000000"),
    ],
)
def test_a_price_of_what_is_no_amount_is_refused_as_it_was_typed(typed, words):
    with pytest.raises(InputError, match=f"{re.escape(f'you gave {chr(34)}{typed}')}.*{words}"):
        read_sheet({"stock": {"acid": {"price": typed}}}, needs_volume=False)


def test_a_sheet_has_sixty_readings_at_most_besides_what_the_record_carries() -> None:
    bath, weighed = {"volume": "5 L"}, {"kind": "hydrometer", "scale": "SG 20/20", "value": "1.15"}
    before = {"kind": "previous check", "copper_sulfate": "200 ± 20 g/L"}
    assert len(read_sheet({"bath": bath, "reading": [weighed] * 60 + [before]}).readings) == 61
    for readings in ([weighed] * 61, [weighed] * 60 + [before] * 2):
        with pytest.raises(InputError, match=f"you gave {len(readings)} readings; at most"):
            read_sheet({"bath": bath, "reading": readings})


def test_a_sheet_has_six_curves_at_most_and_a_seventh_is_not_fitted_first() -> None:
    """Each is fitted anew while the others are weighed: some 25 ms, or 75 in a lean bath."""
    curves = [{"kind": "pH curve", "points": "none that could be read"}] * 7
    with pytest.raises(InputError, match=r"^reading: you gave 7 pH curves; at most 6 of them are accepted: keep"):
        read_sheet({"bath": {"volume": "5 L"}, "reading": curves})
    with pytest.raises(SheetError) as refused:
        read_sheet({"bath": {"volume": "5 L"}, "reading": curves[1:]})
    assert len(refused.value.errors) >= 6


def test_a_volume_that_may_be_mixed_and_is_no_bath_is_refused_where_it_stands_for_the_bath() -> None:
    with pytest.raises(InputError, match="it must be from"):
        read_sheet({"mix": {"volume": "0.00001 L"}})


def test_a_date_from_which_no_zone_can_be_reckoned_is_refused() -> None:
    for day in ("0001-01-01", "9999-12-31"):
        with pytest.raises(InputError, match="the year must be 1900 to 8999"):
            read_sheet({"bath": {"volume": "5 L", "date": day}})


@pytest.mark.parametrize(("typed", "limits"), [("200 °F", "32 degF to 140 degF"), ("200 degC", "0 degC to 60 degC")])
def test_limits_of_a_temperature_are_told_in_the_unit_that_was_typed(typed, limits):
    with pytest.raises(SheetError, match=f"it must be from {limits}"):
        read_sheet({"bath": {"volume": "5 L", "temperature": typed}})
