"""Quantities as people type them: factors against published definitions, every accepted form, every refusal."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.basis.units import (
    STRENGTH_UNITS,
    UNITS,
    WITHOUT_PINT,
    Measured,
    UnitError,
    convert,
    format_quantity,
    parse,
    parse_number,
)

# NIST Handbook 44 (2024), Appendix C: exact or to the printed digits.
NIST = [
    ("1 gal", "volume", 3.785412),
    ("1 qt", "volume", 0.9463529),
    ("1 fl_oz", "volume", 0.02957353),
    ("1 cup", "volume", 0.2365882),
    ("1 tbsp", "volume", 0.01478676),
    ("1 tsp", "volume", 0.004928922),
    ("1 imperial_gal", "volume", 4.54609),
    ("1 oz", "mass", 28.349523125),
    ("1 lb", "mass", 453.59237),
    ("1 in", "length", 25.4),
    ("1 in^2", "area", 0.064516),
    ("32 degF", "temperature", 0.0),
    ("212 °F", "temperature", 100.0),
]


@pytest.mark.parametrize(("text", "quantity", "inside"), NIST)
def test_factors_are_those_of_nist_handbook_44(text: str, quantity: str, inside: float) -> None:
    assert parse(text, quantity).value == pytest.approx(inside, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("unit", "base"), WITHOUT_PINT)
def test_factors_that_need_no_pint_are_those_of_pint(unit: str, base: str) -> None:
    assert WITHOUT_PINT[unit, base] == pytest.approx(
        pint.UnitRegistry().Quantity(1.0, unit).to(base).magnitude, rel=1e-15
    )


def test_ounces_a_gallon() -> None:
    """1 oz/US gal is 7.489 g/L (the trade's factor; common practice, no source)."""
    assert parse("1 oz/gal", "concentration").value == pytest.approx(7.489, abs=5e-4)


@pytest.mark.parametrize("text", ["12.3 mL", "12,3 mL", " 12.3mL ", "1.23e1 mL", "+12.3 mL", "0.0123 L"])
def test_forms_that_mean_the_same(text: str) -> None:
    assert parse(text, "volume").value == pytest.approx(0.0123)


@pytest.mark.parametrize("text", ["12.3 ± 0.1 mL", "12,3 +/- 0,1 mL", "12.3 mL ± 0.1 mL", "12.3±0.1mL"])
def test_uncertainty(text: str) -> None:
    # The true value is within it with 95 % probability: 1.96 standard uncertainties of a normal distribution.
    measured = parse(text, "volume")
    assert (measured.value, measured.standard_uncertainty) == pytest.approx((0.0123, 0.0001 / 1.96))
    assert measured.text == text


def test_uncertainty_in_a_unit_of_its_own() -> None:
    assert parse("1 L ± 2 mL", "volume").standard_uncertainty == pytest.approx(0.002 / 1.96)
    assert parse("5 g ± 10 mg", "mass").standard_uncertainty == pytest.approx(0.01 / 1.96)
    assert parse("21 degC ± 1 degF", "temperature").standard_uncertainty == pytest.approx(5 / 9 / 1.96)
    with pytest.raises(UnitError, match="one unit"):
        parse("0.5 mol/L ± 2 g/L", "strength")
    with pytest.raises(UnitError, match="is a mass"):
        parse("5 L ± 2 g", "volume")


def test_uncertainty_as_a_share_of_the_value() -> None:
    assert parse("50 mL ± 2 %", "volume").standard_uncertainty == pytest.approx(0.001 / 1.96)
    assert parse("37 ± 1 %", "fraction").standard_uncertainty == pytest.approx(0.01 / 1.96)
    assert parse("70 ± 1 degF", "temperature").standard_uncertainty == pytest.approx(5 / 9 / 1.96)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1,234.5 mL", "number and a unit"),
        ("1,234 mL", "could be 1.234 or 1234"),
        ("1 234 mL", "number and a unit"),
        ("1'234 mL", "number and a unit"),
        ("nan mL", "number and a unit"),
        ("inf mL", "number and a unit"),
        ("1e999 mL", "too large"),
        ("12.3", "no unit"),
        ("", "number and a unit"),
        ("mL", "number and a unit"),
        ("5 g", "is a mass, and a volume belongs here"),
        ("5 furlong", "not accepted"),
        ("5 ± 0 mL", "not above zero"),
        ("5 ± -1 mL", "not above zero"),
        ("5 ± 1000 mL", "hundred times"),
        ("٥ mL", "number and a unit"),
        ("5 mL; drop table", "number and a unit"),
        ("5 ± 0.1 mL extra", "number and a unit"),
    ],
)
def test_refused_with_the_reason(text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse(text, "volume")


def test_a_leading_zero_settles_that_a_comma_is_a_decimal_mark() -> None:
    assert parse_number("0,125") == 0.125
    with pytest.raises(UnitError):
        parse_number("12,345")


def test_strength_keeps_its_kind() -> None:
    assert parse("0.5 mol/L", "strength").unit == "mol/L"
    assert parse("42 g/L", "strength").unit == "g/L"
    assert parse("37 %", "strength").value == pytest.approx(0.37)
    assert set(STRENGTH_UNITS) >= {"mol/L", "g/L", "%", "oz/gal"}


def test_a_pen_s_reading_tells_conductivity_from_ppm() -> None:
    assert [parse(text, "pen reading").unit for text in ("1150 uS/cm", "1.15 mS", "560 ppm")] == [
        "uS/cm",
        "uS/cm",
        "ppm",
    ]
    assert parse("1.15 ± 0.02 mS/cm", "pen reading").value == pytest.approx(1150.0)
    with pytest.raises(UnitError, match="ppm"):
        parse("5 mL", "pen reading")


@pytest.mark.parametrize("quantity", UNITS)
def test_every_unit_goes_in_and_out(quantity: str) -> None:
    for unit in UNITS[quantity]:
        if unit == "fraction":
            continue
        inside = parse(f"3.7 {unit}", quantity).value
        assert convert(inside, quantity, unit) == pytest.approx(3.7, rel=1e-9)
        assert parse(format_quantity(inside, quantity, unit, digits=12), quantity).value == pytest.approx(
            inside, rel=1e-9
        )


def test_plural_times() -> None:
    assert parse("14 months", "time").value == pytest.approx(14 * 730.5, rel=1e-6)
    assert parse("2 days", "time").value == 48.0


@given(
    st.floats(1e-3, 1e4),
    st.floats(1e-3, 0.5),
    st.sampled_from([("mL", "volume"), ("g", "mass"), ("oz", "mass"), ("g/L", "concentration"), ("mol/L", "strength")]),
    st.sampled_from([{}, {"digits": 4}, {"decimals": 2}]),
)
def test_a_quantity_of_a_number_is_the_one_of_its_text(value, share, kind, rounding):
    unit, quantity = kind
    spread = max(share * value, 0.01)
    for known in ({}, {"standard_uncertainty": spread}):
        made = Measured.of(value, unit, quantity, **known, **rounding)
        read = parse(made.text, quantity)
        assert made.value == pytest.approx(read.value, rel=1e-12)
        assert made.unit == read.unit
        assert (made.standard_uncertainty is None) == (read.standard_uncertainty is None)
        if known:
            assert made.standard_uncertainty == pytest.approx(read.standard_uncertainty, rel=1e-9)


def test_the_last_digit_of_a_number_is_its_step():
    assert parse("84.30 g", "mass").step == pytest.approx(0.01)
    assert parse("84,3 g", "mass").step == pytest.approx(0.1)
    assert parse("1.2e2 g", "mass").step == pytest.approx(10.0)
    assert parse("2 oz", "mass").step == pytest.approx(28.3495, rel=1e-5)
    assert Measured.of(84.3, "g", "mass", decimals=2) == parse("84.30 g", "mass")
    assert Measured.of(1.25, "kg", "mass", decimals=2).step == pytest.approx(10.0)
