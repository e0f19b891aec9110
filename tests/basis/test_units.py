"""Quantities as people type them: factors against published definitions, every accepted form, every refusal."""

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.basis.units import (
    STRENGTH_UNITS,
    UNITS,
    WITHOUT_PINT,
    Measured,
    UnitError,
    _key,
    _spelled,
    convert,
    format_quantity,
    parse,
    parse_number,
)
from advisor.solution.density import _SULFURIC_ACID, water_density
from advisor.solution.stock import acid_density
from advisor.words.lines import line

REGISTRY = pint.UnitRegistry()
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
    assert WITHOUT_PINT[unit, base] == pytest.approx(REGISTRY.Quantity(1.0, unit).to(base).magnitude, rel=1e-15)


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
        ("nan mL", "write one in digits"),
        ("inf mL", "write one in digits"),
        ("1e999 mL", "too large"),
        ("12.3", "no unit"),
        ("", "write one in digits"),
        ("mL", "write one in digits"),
        ("twenty L", "has no number: write one in digits"),
        ("5 g", "is a mass, and a volume belongs here"),
        ("5 cm²", "is an area, and a volume belongs here"),
        ("5 furlong", "not accepted"),
        ("5 ± 0 mL", "not above zero"),
        ("5 ± -1 mL", "not above zero"),
        ("5 ± 1000 mL", "hundred times"),
        ("٥ mL", "number and a unit"),
        ("5 mL; drop table", "number and a unit"),
        ("5 ± 0.1 mL extra", "not accepted"),
    ],
)
def test_refused_with_the_reason(text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse(text, "volume")


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("a gallon", "1 gallon"),
        ("half a litre", "1/2 litre"),
        ("a half pint", "1/2 pint"),
        ("about 5 L", "5 L ± 0.5"),
        ("ca. 5,5 L", "5,5 L ± 0,55"),
        ("~5 L", "5 L ± 0.5"),
        ("5ish L", "5 L ± 0.5"),
        ("about 5 ± 0.2 L", "5 ± 0.2 L"),
        ("about half a cup", "1/2 cup ± 0.05"),
        ("5 L or so", "5 L ± 0.5"),
        ("5 or so L", "5 L ± 0.5"),
        ("5 L more or less", "5 L ± 0.5"),
        ("nearly 5 L", "5 L ± 0.5"),
        ("about ½ cup", "1/2 cup ± 0.05"),
    ],
)
def test_an_amount_that_is_said_in_words_is_that_of_its_figures(said: str, meant: str) -> None:
    assert parse(said, "volume") == parse(meant, "volume")


@pytest.mark.parametrize(
    ("said", "quantity", "meant"),
    [
        ("about 20 °C", "temperature", "20 °C ± 2"),
        ("68 °F or so", "temperature", "68 °F ± 3.6"),
        ("about 0 °C", "temperature", "0 °C ± 2"),
        ("about 1.15 g/mL", "density", "1.15 g/mL ± 0.01"),
        ("about 1.150 SG", "density", "1.150 SG ± 0.01"),
        ("about 1150 g/L", "density", "1150 g/L ± 10"),
    ],
)
def test_a_tenth_of_its_number_is_not_what_a_rough_warmth_or_density_leaves_open(said, quantity, meant) -> None:
    rough, exact = parse(said, quantity), parse(meant, quantity)
    assert (rough.value, rough.text) == (exact.value, exact.text)
    assert rough.standard_uncertainty == pytest.approx(exact.standard_uncertainty, rel=1e-9)


@pytest.mark.parametrize(
    ("said", "quantity", "meant"),
    [
        ("5-6 g", "mass", "5.5 ± 0.5 g"),
        ("5 – 6 g", "mass", "5.5 ± 0.5 g"),
        ("5 g to 6 g", "mass", "5.5 ± 0.5 g"),
        ("5 g-6 g", "mass", "5.5 ± 0.5 g"),
        ("5 or 6 g", "mass", "5.5 ± 0.5 g"),
        ("between 4,5 and 6 g", "mass", "5.25 ± 0.75 g"),
        ("from 0 to 6 g", "mass", "3 ± 3 g"),
        ("about 5-6 g or so", "mass", "5.5 ± 0.5 g"),
        ("1/2-3/4 cup", "volume", "0.625 ± 0.125 cup"),
        ("½-1 L", "volume", "0.75 ± 0.25 L"),
        ("5- 6 L", "volume", "5.5 ± 0.5 L"),
        ("68°-72°F", "temperature", "70 ± 2°F"),
        ("18-22 °C", "temperature", "20 ± 2 °C"),
        ("SG 1.26-1.28", "density", "SG 1.27 ± 0.01"),
        ("2-3 A/dm²", "current density", "2.5 ± 0.5 A/dm²"),
        ("37-38 %", "fraction", "37.5 ± 0.5 %"),
    ],
)
def test_a_range_is_its_middle_with_half_of_it_each_way(said: str, quantity: str, meant: str) -> None:
    found = parse(said, quantity)
    assert found == parse(meant, quantity)
    assert found.text == meant


@pytest.mark.parametrize(
    ("text", "quantity", "inside"),
    [
        ("1e-3 g", "mass", 1e-3),
        ("-5 °C", "temperature", -5.0),
        ("1-1/2 L", "volume", 1.5),
        ("10 - 3/4 L", "volume", 10.75),
    ],
)
def test_a_hyphen_that_is_no_range(text: str, quantity: str, inside: float) -> None:
    assert parse(text, quantity).value == pytest.approx(inside, rel=1e-9)
    assert parse(text, quantity).standard_uncertainty is None
    assert parse(text, quantity).text == text


def test_a_minus_as_a_screen_shows_it_is_one() -> None:
    assert parse("\N{MINUS SIGN}5 degC", "temperature") == parse("-5 degC", "temperature")


@pytest.mark.parametrize(
    "said",
    [
        "6-5 L",
        "5-5 L",
        "5 -6 L",
        "5--6 L",
        "5-6-7 L",
        "-5-6 L",
        "1e-3-4 L",
        "1e3-4 L",
        "3-4e3 L",
        "5-6e-3 L",
        "2026-03-14 L",
        "03-14 L",
        "1,000-2,000 L",
        "5-6 ± 1 L",
        "5 ± 1-2 L",
        "5 mL to 6 L",
        "5 L - 6 Lo",
        "5 and 6 L",
        "1/0-2/0 L",
        "5-1/2-6 L",
    ],
)
def test_what_is_no_range_for_sure_is_refused(said: str) -> None:
    with pytest.raises(UnitError):
        parse(said, "volume")


@pytest.mark.parametrize("said", ["500 mL to 1 L", "5 mL-6 L", "5 fl oz to 1 cup", "6 -5 L", "2½ to 3 gal"])
def test_what_may_be_a_range_is_told_how_to_be_written(said: str) -> None:
    with pytest.raises(UnitError, match="may be a range: write its middle and how far it goes each way"):
        parse(said, "volume")


@settings(deadline=None)  # a machine that is busy elsewhere
@given(st.integers(0, 10**6), st.integers(1, 10**6), st.integers(0, 3), st.sampled_from(["-", " – ", " to "]))
def test_the_ends_of_a_range_are_those_that_were_typed(low: int, wide: int, places: int, dash: str) -> None:
    ends = [end / 10**places for end in (low, low + wide)]
    found = parse(f"{dash.join(f'{end:.{places}f}' for end in ends)} g", "mass")
    half = 1.96 * (found.standard_uncertainty or 0.0)
    assert [found.value - half, found.value + half] == pytest.approx(ends, rel=1e-5, abs=1e-5 * ends[1])


@pytest.mark.parametrize("said", ["a lot", "about", "half", "camel 5 L", "5 L ish", "a"])
def test_words_that_are_no_amount_are_refused(said: str) -> None:
    with pytest.raises(UnitError):
        parse(said, "volume")


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
        assert format_quantity(inside, quantity, unit) == f"3.7 {unit}"


def test_plural_times() -> None:
    assert parse("14 months", "time").value == pytest.approx(14 * 730.5, rel=1e-6)
    assert parse("2 days", "time").value == 48.0


@settings(deadline=None)  # the first case may load what the others find loaded
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


# Everything that people write for a unit, with what 1 of it is in the unit used inside: the NIST factors above, and
# NIST SP 811 (2008), Appendix B.8 (foot, pint, thousandth of an inch).
SPELLED = {
    "volume": {
        1.0: ["L", "l", "liter", "liters", "litre", "Litres", "ltr"],
        1e-3: ["mL", "ml", "ML", "milliliter", "millilitres", "cc", "ccs", "ccm", "cm3", "cm³", "cm^3"],
        1e-2: ["cL", "cl", "centilitres"],
        1e-1: ["dL", "dl", "decilitre"],
        3.785412: ["gal", "gal.", "gals", "gallon", "Gallons", "US gal", "US gallons"],
        0.9463529: ["qt", "qts", "qt.", "quart", "quarts", "US quart"],
        0.4731765: ["pt", "pts", "pint", "pints"],
        0.2365882: ["cup", "cups", "Cups", "US cup"],
        0.02957353: ["fl oz", "fl. oz.", "fl_oz", "floz", "fl ozs", "fluid ounce", "fluid ounces", "fl ounces"],
        0.01478676: ["tbsp", "Tbsp.", "tbs", "tablespoon", "tablespoons"],
        0.004928922: ["tsp", "tsps", "teaspoon", "teaspoons"],
        4.54609: ["imperial_gal", "imperial gal", "imperial gallons", "imp. gal", "UK gal", "UK gallon"],
        28.31685: ["ft³", "ft3", "ft^3", "cu ft", "cu. ft.", "cubic foot", "cubic feet"],
    },
    "mass": {
        1.0: ["g", "gm", "gms", "gram", "grams", "gramme", "grammes", "Gram"],
        1000.0: ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "KG"],
        0.001: ["mg", "milligram", "milligrams"],
        28.349523125: ["oz", "oz.", "ounce", "ounces", "Oz"],
        453.59237: ["lb", "lbs", "lb.", "lbs.", "pound", "pounds", "LB"],
    },
    "concentration": {
        1.0: ["g/L", "g/l", "g per L", "g per liter", "grams per litre", "grams/liter", "gm/L", "mg/mL", "g / L"],
        0.001: ["mg/L", "mg/l", "ppm", "milligrams per liter"],
        7.489152: ["oz/gal", "oz / gal", "oz per gal", "ounces per gallon", "ounces/gallon", "oz/gallon"],
        119.8264: ["lb/gal", "lbs per gallon", "pounds/gallon"],
    },
    "content": {1.0: ["mg/L", "mg/l", "ppm", "PPM", "mg per liter"], 1000.0: ["g/L", "grams per liter"]},
    "density": {1.0: ["g/mL", "g/ml", "g/cc", "g/cm3", "g/cm^3", "g per mL", "kg/L", "SG", "sg", "S.G.", "sp. gr."]},
    "current": {1.0: ["A", "a", "amp", "amps", "Amp", "ampere", "amperes"], 0.001: ["mA", "milliamp", "milliamps"]},
    "charge": {
        1.0: ["A*h", "A·h", "Ah", "A h", "A-h", "amp hours", "amp-hours", "amp hour", "ampere hours", "amp hr"],
        0.001: ["mAh", "mA*h", "mA·h", "milliamp hours"],
        1000.0: ["kAh", "kA*h", "kA·h", "kiloamp hours"],
    },
    "current density": {
        1.0: ["A/dm²", "A/dm2", "A/dm^2", "asd", "A per sq dm", "amps/dm2"],
        0.1076391: ["A/ft²", "A/ft2", "A/sq ft", "amps per square foot", "ASF"],
        0.1: ["mA/cm²", "mA/cm2", "mA per sq cm"],
        15.50003: ["A/in²", "amps per square inch", "A/sq in"],
    },
    "time": {
        1.0: ["h", "hr", "hrs", "hour", "hours", "Hours"],
        1 / 60: ["min", "mins", "minute", "minutes"],
        1 / 3600: ["s", "sec", "secs", "second", "seconds"],
        24.0: ["day", "days", "d"],
        168.0: ["week", "weeks", "wk", "wks"],
        730.5: ["month", "months", "mo", "mos"],
        8766.0: ["year", "years", "yr", "yrs"],
    },
    "length": {
        1.0: ["mm", "millimeter", "millimetres"],
        0.001: ["um", "µm", "μm", "micron", "microns", "micrometers", "micrometre"],
        10.0: ["cm", "cms", "centimeters", "centimetre"],
        1000.0: ["m", "meter", "metres"],
        25.4: ["in", "in.", "ins", "inch", "inches", '"', "″"],
        0.0254: ["mil", "mils", "thou", "thous", "thousandths"],
        304.8: ["ft", "foot", "feet"],
    },
    "area": {
        1.0: ["dm²", "dm2", "dm^2", "sq dm", "square decimeters"],
        0.01: ["cm²", "cm2", "cm^2", "sq cm", "sq. cm", "square cm", "square centimetres", "square centimeters"],
        1e-4: ["mm²", "mm2", "mm^2", "sq mm", "square millimetres"],
        100.0: ["m²", "m2", "m^2", "sq m", "square meters"],
        0.064516: ["in²", "in2", "in^2", "sq in", "sq. in.", "sq inches", "square inch", "square inches"],
        9.290304: ["ft²", "ft2", "sq ft", "sq feet", "square feet", "square foot"],
    },
    "fraction": {0.01: ["%", "percent", "pct", "wt%", "wt %", "% w/w", "% by weight"]},
    "strength": {
        1.0: ["mol/L", "mol/l", "M", "molar", "moles per liter", "mol per litre", "g/L", "g/l", "mg/mL"],
        0.001: ["mmol/L", "mM"],
        0.01: ["%", "percent", "% by weight"],
        7.489152: ["oz/gal", "ounces per gallon"],
    },
}
EACH = [(unit, q, one) for q, factors in SPELLED.items() for one, units in factors.items() for unit in units]


@pytest.mark.parametrize(("unit", "quantity", "one"), EACH)
def test_units_as_people_write_them(unit: str, quantity: str, one: float) -> None:
    """Read with and without a space before it, there; and back by `convert`."""
    for text in (f"3 {unit}", f"3{unit}", f" 3  {unit} ", f"3 ± 1 {unit}"):
        assert parse(text, quantity).value == pytest.approx(3 * one, rel=1e-6)
    assert parse(f"3 ± 1 {unit}", quantity).standard_uncertainty == pytest.approx(one / 1.96, rel=1e-6)
    if quantity != "strength":
        assert convert(parse(f"3 {unit}", quantity).value, quantity, unit) == pytest.approx(3.0, rel=1e-9)


@pytest.mark.parametrize("quantity", SPELLED)
def test_each_unit_of_a_kind_is_in_the_table(quantity: str) -> None:
    tried = {_spelled(quantity).get(_key(unit)) for units in SPELLED[quantity].values() for unit in units}
    assert set(_spelled(quantity).values()) - tried <= {"fraction", "kg/m^3"}


@pytest.mark.parametrize("unit", ["F", "f", "°F", "degF", "deg F", "degrees F", "° F", "Fahrenheit", "deg. F"])
def test_degrees_fahrenheit(unit: str) -> None:
    """(70 - 32) / 1.8 = 21.11."""
    for text in (f"70{unit}", f"70 {unit}"):
        assert parse(text, "temperature").value == pytest.approx(21.1111, abs=1e-4)


@pytest.mark.parametrize("unit", ["C", "c", "°C", "degC", "deg C", "degrees C", "Celsius", "centigrade"])
def test_degrees_celsius(unit: str) -> None:
    for text in (f"21{unit}", f"21 {unit}"):
        assert parse(text, "temperature").value == 21.0


@pytest.mark.parametrize(
    ("text", "quantity", "inside", "step"),
    [
        ("1/2 gal", "volume", 1.892706, 1.892706),  # 3.785412 / 2; a fraction is as fine as its denominator
        ("1 1/2 cups", "volume", 0.3548824, 0.1182941),  # 1.5 · 0.2365882
        ("1-1/2 cups", "volume", 0.3548824, 0.1182941),
        ("2 3/4 lb", "mass", 1247.379, 113.3981),  # 2.75 · 453.59237
        ("½ gal", "volume", 1.892706, 1.892706),
        ("1½ cups", "volume", 0.3548824, 0.1182941),
        ("1 ½ cups", "volume", 0.3548824, 0.1182941),
        ("3/8 in", "length", 9.525, 3.175),
        ("1/2 ± 1/2 gal", "volume", None, None),
        ("1 3/2 gal", "volume", None, None),
        ("1/0 gal", "volume", None, None),
    ],
)
def test_fractions(text: str, quantity: str, inside: float | None, step: float | None) -> None:
    if inside is None:
        with pytest.raises(UnitError):
            parse(text, quantity)
        return
    read = parse(text, quantity)
    assert (read.value, read.step) == pytest.approx((inside, step), rel=1e-6)


@pytest.mark.parametrize("text", ["1.265 SG", "1.265SG", "SG 1.265", "s.g. 1.265", "sp. gr. 1.265", "1,265 g/mL"])
def test_the_specific_gravity_of_an_acid(text: str) -> None:
    if "," in text:
        with pytest.raises(UnitError, match=r"could be 1\.265 or 1265"):
            parse(text, "density")
    else:
        assert parse(text, "density").value == pytest.approx(1.265)


def test_a_specific_gravity_at_25_degrees_is_grams_a_millilitre_at_20() -> None:
    """1.265 times water's 0.99705 g/mL at 25 °C is 1.2613 there; the acid of that density weighs 1.2649 at 20 °C."""
    for strength in (0.28, 0.356, 0.373, 0.505, 0.601):
        at_25, at_20 = (  # of what warmth does, by Laliberté's own parameters, which reach to strong acid
            1 / ((1 - strength) / water_density(t) + strength * _SULFURIC_ACID.published(strength, t))
            for t in (25.0, 20.0)
        )
        gravity = float(acid_density(strength) * at_25 / at_20 / water_density(25.0))
        assert float(acid_density(strength)) == pytest.approx(parse(f"{gravity:.5f} SG", "density").value, abs=5e-4)


def test_no_number_is_written_with_an_exponent() -> None:
    assert Measured.of(10_000.0, "L", "volume", standard_uncertainty=100.0, digits=4).text == "10000 ± 200 L"
    assert format_quantity(1e6, "mass", "g") == "1000000 g"
    assert parse("about 12345 g", "mass").text.endswith("± 1200")
    assert line("{energy:.2g} kWh", energy=5.3e-5) == "0.000053 kWh"


@pytest.mark.parametrize(
    ("text", "quantity", "both"),
    [
        ("4 oz", "volume", ("fl oz", "by weight")),
        ("4 ounces", "volume", ("fl oz", "by weight")),
        ("2 mils", "volume", ("mL", "inch")),
        ("2 T", "volume", ("tsp", "tbsp")),
        ("2 c", "volume", ("cup", "cL")),
        ("20 gr", "mass", ('"g"', "grains")),
        ("5 m", "time", ("min", "month")),
        ("70 deg", "temperature", ("°C", "°F")),
        ("70°", "temperature", ("°C", "°F")),
        ("70 degrees", "temperature", ("°C", "°F")),
        ("0.1 N", "strength", ("mol/L", "equivalents")),
    ],
)
def test_a_unit_that_could_mean_two_things_is_asked_back_with_both(text: str, quantity: str, both: tuple) -> None:
    with pytest.raises(UnitError) as refused:
        parse(text, quantity)
    assert all(word in str(refused.value) for word in both)
