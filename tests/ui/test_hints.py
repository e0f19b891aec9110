"""What a page says of an error: no key of a sheet, and what to write."""

import pytest

from advisor.basis.fields import QuantityField, fields_of
from advisor.readings import KINDS
from advisor.sheet import Acid, Bath, Buy, Plate, Treat
from advisor.ui.hints import on_screen, what_to_write

ACID = fields_of(KINDS["acid titration"])
USED = ACID["used"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("8.6", "Write 8.6 mL."),
        ("8.6 mll", "Write 8.6 mL."),
        ("8.6 g", "Write, for example, 10 mL."),
        ("1 234.5 mL", "Write, for example, 10 mL."),
        ("-3 mL", "If you mean 3 mL, write that."),
        ("12 apples", "Write 12 mL."),
        ("plenty", "Write, for example, 10 mL."),
        ("1,234", ""),  # the message names both readings
    ],
)
def test_it_says_what_to_write(typed, said):
    assert what_to_write(USED, typed, "mL") == said


def test_a_number_without_its_minus_keeps_the_unit_that_was_typed():
    assert what_to_write(fields_of(Bath)["volume"], "-3 L", "gal") == "If you mean 3 L, write that."
    assert what_to_write(fields_of(Bath)["volume"], "-3", "gal") == "If you mean 3 gal, write that."


def test_ounces_of_a_liquid_are_not_taken_for_litres():
    assert what_to_write(fields_of(Bath)["volume"], "5 oz", "L") == "Write 5 fl oz."


def test_what_it_says_to_write_is_taken():
    said = what_to_write(fields_of(Bath)["volume"], "5 litters", "L")
    assert fields_of(Bath)["volume"].read(said.removeprefix("Write ").rstrip("."), "").text == "5 L"


def test_what_a_field_takes_by_itself_gets_no_example():
    """62 g of bath and bottle are wrong only beside an empty bottle of 62 g, beside which 10 g would be as wrong."""
    with_bath = fields_of(KINDS["weighed density"])["with_bath"]
    assert what_to_write(with_bath, "62 g", "g") == what_to_write(with_bath, "62g", "g") == ""
    assert what_to_write(with_bath, "62", "g") == "Write 62 g."


@pytest.mark.parametrize(
    ("field", "typed", "unit", "wrong"),
    [
        (fields_of(Plate)["current"], "3 A/dm²", "A", "3 A"),  # on 50 cm² it is 1.5 A
        (fields_of(Treat)["on_floor"], "3 tbsp", "g", "3 g"),
        (fields_of(Treat)["on_floor"], "3 tbsp of crystals", "g", "3 g"),
        (fields_of(Plate)["area"], "3 inches", "cm²", "3 cm²"),
        (QuantityField(quantity="concentration", label="Copper sulfate"), "5.9 lb", "oz/gal", "5.9 oz/gal"),
        (QuantityField(quantity="conductivity", label="The pen shows"), "894 ml", "µS/cm", "894 µS/cm"),
        (fields_of(Bath)["volume"], "5 L/min", "L", "5 L"),
        (fields_of(Buy)["months"], "2 years", None, "2"),
    ],
)
def test_a_number_of_another_kind_is_not_repeated_with_the_unit_of_the_field(field, typed, unit, wrong):
    field.read(wrong, "")  # so that only what stood behind the number speaks against it
    assert what_to_write(field, typed, unit).startswith("Write, for example, ")


def test_a_number_in_another_unit_of_the_field_keeps_that_unit():
    assert what_to_write(fields_of(Bath)["volume"], "3 ± 0 mL", "L") == "Write, for example, 10 L."
    assert what_to_write(fields_of(Bath)["volume"], "900 mL net", "L") == "Write 900 mL."


@pytest.mark.parametrize("typed", ["3 t", "3 c", "3 mil"])
def test_a_unit_that_could_mean_two_things_gets_no_number(typed):
    assert what_to_write(fields_of(Bath)["volume"], typed, "L") == ""  # the message names both


def test_a_price_of_an_unknown_amount_is_not_told_to_be_one_of_a_litre():
    price = fields_of(Acid)["price"]
    assert what_to_write(price, "4 per bottle", None) == ""
    assert what_to_write(price, "4 quid", None) == "Write 4."


def test_keys_of_a_sheet_become_labels():
    assert on_screen("look again at sample and diluted_to", ACID) == (
        f"look again at sample and “{ACID['diluted_to'].label}”"
    )
    assert on_screen('it goes only with end_point = "pH meter"', ACID) == (
        f'it goes only with “{ACID["end_point"].label}” "pH meter"'
    )
    assert on_screen("give points = [[mL, pH], ...] or file", {}) == (
        "write the points of the curve, mL and pH, a row a line, or open its file"
    )
    assert "_" not in on_screen("give copper_sulfate, sulfuric_acid or chloride", {})
    assert (
        on_screen('say what it is, such as made_of = ["leaf or flower"]', {})
        == "say what it is, such as leaf or flower"
    )
