"""What a field of a sheet takes and what it says of the rest, at its limits."""

import datetime

import pytest

from advisor.basis.fields import (
    DateField,
    Field,
    InputError,
    QuantityField,
    RowsField,
    SheetError,
    TextField,
    show,
)


def refusal(field: Field, raw: object) -> str:
    with pytest.raises(InputError) as caught:
        field.read(raw, "here")
    return str(caught.value)


def test_what_was_given_is_cut_to_what_a_message_can_carry():
    """Sixty characters, of which the marks are two and the dots three."""
    assert show("x" * 58) == f'you gave "{"x" * 58}"'
    assert show("x" * 59) == f'you gave "{"x" * 56}...'


def test_a_message_tells_how_many_more_there_are():
    wrong = [InputError(f"field {number}", "", "say it") for number in range(3)]
    assert str(SheetError(wrong)) == "field 0: say it (2 more to fix after this one)"
    assert str(SheetError(wrong[:1])) == "field 0: say it"


def test_the_limits_that_there_are_are_told_and_no_others():
    kind = {"label": "Mass", "quantity": "mass", "unit": "g"}
    assert refusal(QuantityField(low=2.0, **kind), "1 g").endswith("; it must be from 2 g")
    assert refusal(QuantityField(low=2.0, above=True, **kind), "2 g").endswith("; it must be more than 2 g")
    assert refusal(QuantityField(low=None, high=2.0, **kind), "3 g").endswith("; it must be at most 2 g")
    assert refusal(QuantityField(low=1.0, high=2.0, **kind), "3 g").endswith("; it must be from 1 g to 2 g")
    assert refusal(QuantityField(low=1.0, high=2.0, above=True, **kind), "1 g").endswith(
        "; it must be more than 1 and at most 2 g"
    )


# 7.489152 g/L an ounce a gallon, 29.57353 mL a fluid ounce, 0.4535924 kg a pound (NIST SP 811, 2008, Appendix B.8):
# 450 g/L are 60.09 oz/gal, 200 mL are 6.763 fl oz, 250 mL are 8.4535, 1000 g are 2.2046 lb.
@pytest.mark.parametrize(
    ("quantity", "unit", "low", "high", "typed", "limits"),
    [
        ("concentration", "g/L", 0.0, 450.0, "99 oz/gal", ("0 oz/gal", "60 oz/gal")),
        ("volume", "mL", 0.2, 0.25, "10 fl oz", ("6.77 fl oz", "8.45 fl oz")),
        ("mass", "kg", 0.0, 1000.0, "3 lb", ("0 lb", "2.2 lb")),
    ],
)
def test_limits_are_told_in_the_us_unit_that_was_typed_and_are_taken_there(quantity, unit, low, high, typed, limits):
    field = QuantityField(label="Amount", quantity=quantity, unit=unit, low=low, high=high)
    assert refusal(field, typed).endswith(f"; it must be from {limits[0]} to {limits[1]}")
    assert [field.read(limit, "here").text for limit in limits] == list(limits)


def test_a_strength_is_limited_in_the_unit_that_was_typed():
    field = QuantityField(label="Strength", quantity="strength", high=20.0)
    assert refusal(field, "2001 g/L").endswith("; it must be at most 2000 g/L")
    assert refusal(field, "101 %").endswith("; it must be at most 100 %")
    assert refusal(field, "21 mol/L").endswith("; it must be at most 20 mol/L")
    assert [field.read(text, "here").value for text in ("2000 g/L", "20 mol/L")] == [2000.0, 20.0]


@pytest.mark.parametrize("raw", ["2026-11-25", datetime.date(2026, 11, 25), datetime.datetime(2026, 11, 25, 9, 30)])
def test_a_day_with_its_hour_is_the_day(raw):
    assert DateField(label="Day").read(raw, "here") == datetime.date(2026, 11, 25)


def test_as_much_as_is_allowed_is_taken():
    assert TextField(label="Name", longest=5).read("Shed!", "here") == "Shed!"
    assert "at most 5 characters" in refusal(TextField(label="Name", longest=5), "Shed 1")
    rows = RowsField(label="Points", columns=("mL", "pH"), longest=2)
    assert len(rows.read([[0, 1], [1, 2]], "here")) == 2
    assert "at most 2 are accepted" in refusal(rows, [[0, 1]] * 3)
