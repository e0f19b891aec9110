"""What a page says of an error: no key of a sheet, and what to write."""

import pytest

from advisor.basis.fields import fields_of
from advisor.readings import KINDS
from advisor.sheet import Acid, Bath
from advisor.ui.hints import on_screen, what_to_write

ACID = fields_of(KINDS["acid titration"])
USED = ACID["used"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("8.6 g", "Write 8.6 mL."),
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
    said = what_to_write(fields_of(Bath)["volume"], "5 kg", "L")
    assert fields_of(Bath)["volume"].read(said.removeprefix("Write ").rstrip("."), "").text == "5 L"


def test_what_a_field_takes_by_itself_gets_no_example():
    """62 g of bath and bottle are wrong only beside an empty bottle of 62 g, beside which 10 g would be as wrong."""
    with_bath = fields_of(KINDS["weighed density"])["with_bath"]
    assert what_to_write(with_bath, "62 g", "g") == what_to_write(with_bath, "62g", "g") == ""
    assert what_to_write(with_bath, "62", "g") == "Write 62 g."


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
