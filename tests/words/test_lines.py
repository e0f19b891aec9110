"""Lines: the metric sentence as it always read, the same amounts in US units, and no amount without a mark."""

import copy
import json
import math
import pickle
import re
from itertools import pairwise
from string import Formatter

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.__main__ import QUESTIONS, _function
from advisor.basis import tables
from advisor.basis.fields import InputError
from advisor.basis.units import convert, parse
from advisor.bench.cards import CARDS, bench_card
from advisor.examples import EXAMPLES, example_text
from advisor.questions.make_up import SUPPRESSOR_RULE
from advisor.record.done_steps import planned_amount
from advisor.record.drift import REMEDIES
from advisor.sheet import parse_sheet
from advisor.words import phrases
from advisor.words.lines import (
    Amount,
    Line,
    Units,
    at_the_bench,
    capital,
    half_width,
    in_a_jug,
    in_units,
    joined,
    line,
    literal,
    measured_out,
    range_of,
    small,
    weighed,
    whole,
)

# What a metric amount looks like that US readers are told in their units too; tools and counts by name apart.
UNITS = r"kg|g/L|g|mL|L|m³|A/dm²|cm²|dm²|µm|°C"
UNMARKED = re.compile(rf"(?<![\w.,-])(\d+(?:\.\d+)?) ({UNITS})(?![\w/·*²])")
HALF_A_RANGE = re.compile(r"(?<![\w.])\d[\d.]* (to|or) $")  # "1 to " before an amount
NAMED = re.compile(
    r"[\d.]+ (g|mL) (scale|syringe|graduated|class|burette|pipette|volumetric)|1 g is 1 mL|1\.543 g a gram|filter \(1 to 5 µm"
)


# 28.34952 g an ounce, 453.5924 g a pound, 29.57353 mL a fluid ounce, 0.9463529 L a quart, 3.785412 L a gallon
# (NIST SP 811, 2008, Appendix B.8). With the figures that the metric number supports: 1.2 kg is 2.6 lb.
@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("{17.97 g}", "0.63 oz (17.97 g)"),  # not 0.6339 oz: no kitchen scale shows it
        ("Add {280 g} of crystals", "Add 9.88 oz (280 g) of crystals"),
        ("{1200 g}", "2.65 lb (1200 g)"),
        ("made up to {1 L}", "made up to 1.06 qt (1 L)"),  # one quart would be 5 % less
        ("a shed of {10 m³}", "a shed of 350 ft³ (10 m³)"),  # 28.31685 L a cubic foot
        ("{1.2 kg} of salt", "2.6 lb (1.2 kg) of salt"),
        ("{342.15 g}", "12.07 oz (342.15 g)"),
        ("Add {145 mL} of acid of 37 % ({184 g}).", "Add 4.90 fl oz (145 mL) of acid of 37 % (6.49 oz, 184 g)."),
        ("{622 mL} ({795 g}) of acid", "21.0 fl oz (622 mL; 28.0 oz, 795 g) of acid"),  # one pair of brackets
        ("{48 mL} ({795 g}) of acid", "48 mL (28.0 oz, 795 g) of acid"),
        ("{112.8 mL}", "3.81 fl oz (112.8 mL)"),  # no cup has finer marks
        ("{3.79 L}", "1.00 gal (3.79 L)"),  # not 4.00 qt
        ("{12.30 L}", "3.249 gal (12.30 L)"),  # its nought counts
        ("{21.0 ± 2.0 g/L}", "2.8 ± 0.3 oz/gal (21.0 ± 2.0 g/L)"),  # as the template writes it
        ("{0.53 g} of salt", "0.53 g of salt"),  # not 0.0187 oz
        ("{5 g} in {100 mL}", "0.18 oz (5 g) in 3.38 fl oz (100 mL)"),  # the least that a kitchen measures
        ("Draw {20 mL}", "Draw 20 mL"),  # with a syringe, which is marked in millilitres
        ("Take out {1.20 L} of bath", "Take out 1.27 qt (1.20 L) of bath"),
        ("take {1840 ± 120 g} of soda", "take 4.1 ± 0.3 lb (1840 ± 120 g) of soda"),
        ("{0.10 to 0.45 L} with 95 %", "0.106 to 0.476 qt (0.10 to 0.45 L) with 95 %"),
        ("50 mL/L, 12 A·h, 0.25 mL·h, 70 mg/L", "50 mL/L, 12 A·h, 0.25 mL·h, 70 mg/L"),
        ("the bath of 2026-03-14 g", "the bath of 2026-03-14 g"),
    ],
)
def test_masses_and_volumes_are_said_twice(metric, both):
    assert line(metric).text(Units.US_FIRST) == both
    assert line(metric) == metric.replace("{", "").replace("}", "").replace("Δ", "")


# 7.489152 g/L an ounce a gallon, °F = 1.8 °C + 32, 6.4516 cm² a square inch, 25.4 µm a mil; an ampere a square foot is
# 0.1076391 A/dm² by 9.290304 dm² a square foot (NIST SP 811, 2008, Appendix B.8)
@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("{205 ± 3 g/L}", "27.4 ± 0.4 oz/gal (205 ± 3 g/L)"),
        ("{20.7 ± 1.4 g/L}", "2.76 ± 0.19 oz/gal (20.7 ± 1.4 g/L)"),
        ("window {150 to 250 g/L}", "window 20.0 to 33.4 oz/gal (150 to 250 g/L)"),
        ("window {30 to 75 g/L}", "window 4.0 to 10.0 oz/gal (30 to 75 g/L)"),
        ("{1 g/L} reads as {1.4 g/L}", "0.13 oz/gal (1 g/L) reads as 0.19 oz/gal (1.4 g/L)"),  # 0.1 would be 0.7 g/L
        ("{2 to 5 g/L}", "0.27 to 0.67 oz/gal (2 to 5 g/L)"),
        (
            "{5.60 L} with {215 g/L} and 70 mg/L chloride",
            "1.48 gal (5.60 L) with 28.7 oz/gal (215 g/L) and 70 mg/L chloride",
        ),
        ("at {21 °C}", "at 70 °F (21 °C)"),
        ("{-5 to 3 °C}", "23 to 37 °F (-5 to 3 °C)"),
        ("{21-32 °C}", "70-90 °F (21-32 °C)"),
        ("{21 ± 2 °C}", "70 ± 4 °F (21 ± 2 °C)"),
        ("it warms by about {Δ5 °C}.", "it warms by about 9 °F (5 °C)."),  # a change, without the 32
        ("below {8 °C} (give or take {Δ7 °C})", "below 46 °F (8 °C; give or take 13 °F, 7 °C)"),
        ("1.2 A on {120 cm²}", "1.2 A on 18.6 in² (120 cm²)"),
        ("{2.35 A/dm²}", "21.8 A/ft² (2.35 A/dm²)"),
        ("{12.3 ± 1.6 A/dm²}", "114 ± 15 A/ft² (12.3 ± 1.6 A/dm²)"),
        ("{100 µm} thick", "3.94 mil (100 µm) thick"),
    ],
)
def test_concentrations_temperatures_and_what_is_plated_are_said_twice(metric, both):
    assert line(metric).text(Units.US_FIRST) == both
    assert line(metric) == metric.replace("{", "").replace("}", "").replace("Δ", "")


@pytest.mark.parametrize(
    ("unit", "quantity", "inside"),
    [("oz/gal", "concentration", 7.489152), ("A/ft²", "current density", 0.1076391), ("mil", "length", 0.0254)],
)
def test_factors_are_those_of_nist_sp_811(unit, quantity, inside):
    assert convert(inside, quantity, unit) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("digits", [None, 3])
def test_a_temperature_typed_in_fahrenheit_comes_back_as_it_was_typed(digits):
    typed = [f"{degrees} °F" for degrees in range(32, 141)]  # 0 to 60 °C, all that a bath may have
    assert [Amount(parse(text, "temperature").value, "°C", digits=digits).customary() for text in typed] == typed


@pytest.mark.parametrize(
    ("quantity", "unit", "typed"),
    [
        ("mass", "g", ("4 oz", "8 oz", "12.5 oz", "3 lb")),
        ("volume", "L", ("2 qt", "1.5 gal", "12 gal", "2.125 gal")),
        ("volume", "mL", ("4 fl oz", "6.5 fl oz")),
        ("concentration", "g/L", ("27 oz/gal", "7.5 oz/gal")),
        ("length", "µm", ("2 mil", "0.5 mil")),
    ],
)
def test_what_was_typed_in_us_units_comes_back_as_it_was_typed(quantity, unit, typed):
    inside = [parse(text, quantity).value for text in typed]
    factor = parse(f"1 {unit}", quantity).value
    assert [Amount(value / factor, unit).customary() for value in inside] == list(typed)


def test_where_ice_melts_is_exactly_nought():
    assert str(Amount(parse("32 °F", "temperature").value, "°C", digits=3)) == "0 °C"


@pytest.mark.parametrize(("celsius", "said"), [(12.0, "54 °F (12 °C)"), (12.5, "54.5 °F (12.5 °C)")])
def test_a_temperature_is_no_finer_in_fahrenheit(celsius, said):
    """12 °C are 53.6 °F and 12.5 are 54.5, by °F = 1.8 °C + 32."""
    assert Amount(celsius, "°C", digits=3).text(Units.US_FIRST) == said


@pytest.mark.parametrize(("celsius", "said"), [(9, "49 °F (9 °C)"), (10, "50 °F (10 °C)"), (11, "52 °F (11 °C)")])
def test_a_warmth_to_stay_above_is_no_colder_in_fahrenheit(celsius, said):
    """9 °C are 48.2 °F, 10 are 50 and 11 are 51.8, by °F = 1.8 °C + 32."""
    assert Amount(celsius, "°C", is_least=True).text(Units.US_FIRST) == said


@settings(deadline=None)  # the first case may load what the others find loaded
@given(st.floats(0.01, 5000), st.integers(0, 3), st.sampled_from(["g", "kg", "mL", "L", "g/L", "cm²", "µm", "A/dm²"]))
def test_the_us_number_is_as_close_as_the_metric_one_is_fine(value, digits, unit):
    """Rounded in US units, it lies within a step of the metric number's last digit, within its third figure, or half a mark.

    No kitchen scale shows less than a hundredth of an ounce. It is never more than 3 % off.
    """
    metric = f"{value:.{digits}f}"
    assume(float(metric) > 0 and float(metric) >= {"mL": 100, "g": 5}.get(unit, 0))
    both = Amount(value, unit, digits).text(Units.US_FIRST)
    said, us = re.fullmatch(rf"([\d.]+) (.+) \({metric} {unit}\)", both).groups()
    quantity, factor = {
        "g": ("mass", 1.0),
        "kg": ("mass", 1000.0),
        "mL": ("volume", 0.001),
        "L": ("volume", 1.0),
        "g/L": ("concentration", 1.0),
        "cm²": ("area", 0.01),
        "µm": ("length", 0.001),
        "A/dm²": ("current density", 1.0),
    }[unit]
    in_us = convert(factor, quantity, us.replace(" ", "_"))
    half_a_mark = 0.005 / in_us if us == "oz" else 0.0
    off = abs(float(said) / in_us - float(metric))
    assert off <= max(0.5 * 10**-digits, 0.005 * float(metric), half_a_mark) * (1 + 1e-9)
    assert off <= 0.03 * float(metric)


# --- How a line reads -----------------------------------------------------------------------------


def test_us_units_can_stand_first():
    said = line("Add {280 g} (about {1.20 L}, {20 mL})").text(Units.US_FIRST)
    assert said == "Add 9.88 oz (280 g; about 1.27 qt, 1.20 L, 20 mL)"


def test_masses_and_volumes_of_a_bench_are_metric_alone_and_all_else_is_said_twice():
    said = at_the_bench(line("Put {11.7 g} into {250 mL}, at {20 °C} and {60 g/L}"))
    assert said.text(Units.US_FIRST) == "Put 11.7 g into 250 mL, at 68 °F (20 °C) and 8.0 oz/gal (60 g/L)"
    assert at_the_bench("as typed") == "as typed"


def test_a_line_is_its_metric_sentence():
    said = line("{a} and {b:.1f L}, {c:.2f} of {d}", a=Amount(7.0, "g"), b=2.04, c=0.5, d="what {braces} do")
    assert said == "7 g and 2.0 L, 0.50 of what {braces} do"
    assert said.text(Units.METRIC) == str(said)
    assert json.dumps([said]) == json.dumps([str(said)])
    assert hash(said) == hash(str(said))


@pytest.mark.parametrize("made_again", [copy.deepcopy, lambda said: pickle.loads(pickle.dumps(said))])
def test_a_copy_of_a_line_still_knows_its_amounts(made_again):
    assert made_again(line("{280 g}")).text(Units.US_FIRST) == "9.88 oz (280 g)"


def test_lines_in_lines_keep_their_amounts():
    inner = small(line("The bath is at {21 °C}"))
    said = capital(joined("; ", [inner, "plain", line("{first}", first=inner)]))
    assert said.text(Units.US_FIRST) == "The bath is at 70 °F (21 °C); plain; the bath is at 70 °F (21 °C)"


def test_a_plain_text_has_no_amounts():
    assert in_units("280 g as typed", Units.US_FIRST) == "280 g as typed"
    assert line("{typed}", typed="280 g").text(Units.US_FIRST) == "280 g"


def test_a_number_takes_its_figures_or_decimals_and_its_unit_from_the_template():
    held = line("{held:.3g g/L}, {held:.1f g/L}, {held:.0f} and {held:.2g}", held=216.44)
    assert held == "216 g/L, 216.4 g/L, 216 and 220"
    # by 7.489152 of what is shown: 28.84 and 28.895
    assert held.text(Units.US_FIRST) == "28.8 oz/gal (216 g/L), 28.90 oz/gal (216.4 g/L), 216 and 220"


def test_a_template_with_an_unknown_gap_is_refused():
    with pytest.raises(KeyError):
        line("{weight} of salt")
    with pytest.raises(KeyError):
        literal("280 grams")


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (Amount(212.6, "g/L", standard_uncertainty=4.6), "213 ± 9 g/L"),
        (Amount(20.71, "g/L", standard_uncertainty=0.71), "20.7 ± 1.4 g/L"),
        (Amount(1843.0, "g", standard_uncertainty=61.0), "1840 ± 120 g"),
        (Amount(3.2, "L", standard_uncertainty=0.0), "3.20 ± 0.00 L"),
        (Amount(-0.2, "°C"), "0 °C"),
        (Amount(1.005, "L", 2, upper=2.0), "1.00 to 2.00 L"),
        (Amount(30.0, "g/L", digits=6, upper=75.5), "30 to 75.5 g/L"),
        (Amount(0.25, "g", digits=1), "0.2 g"),
        (Amount(12345.0, "mg/L", digits=4), "12340 mg/L"),
        (half_width(3.4, "mg/L"), "7 mg/L"),
    ],
)
def test_precision(amount, said):
    assert str(amount) == said


@settings(deadline=None)  # the first case may load what the others find loaded
@given(st.floats(-1e4, 1e4), st.integers(1, 6))
def test_significant_digits_are_those_of_a_number_format(value, digits):
    written = f"{value + 0.0:.{digits}g}"
    assume("e" not in written and value != 0)
    assert str(Amount(value, "mg/L", digits=digits)) == f"{written} mg/L"


# --- No amount without a mark ---------------------------------------------------------------------


def unmarked(text):
    """Return the amounts in a text that stay metric though they need not."""
    fixed = "\n".join(part for part in text.parts if isinstance(part, str)) if isinstance(text, Line) else text
    parts = text.parts if isinstance(text, Line) else ()
    found = [
        (before.split()[-2], after.unit)
        for before, after in pairwise(parts)
        if isinstance(before, str) and isinstance(after, Amount) and after.kind and HALF_A_RANGE.search(before)
    ]
    found += UNMARKED.findall(NAMED.sub("", fixed))
    return [found for found in found if not (found[1] == "mL" and float(found[0]) < 100)]


def test_what_is_not_marked_is_found():
    assert unmarked("Add 280 g") == [("280", "g")]
    assert unmarked(line("Add {280 g}, {x} °C", x=5)) == []
    assert unmarked(line("Add {280 g}, then 5 °C")) == [("5", "°C")]
    assert unmarked(line("2 to {5 g/L} are usual")) == [("2", "g/L")]


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("question", QUESTIONS)
def test_no_answer_hides_an_amount(name, question):
    sheet = parse_sheet(example_text(name).encode())
    try:
        answer = _function(QUESTIONS[question][0])(sheet)
    except InputError:
        return
    for block in answer.sections():
        for text in block.lines:
            assert not unmarked(text), text


@pytest.mark.parametrize("kind", CARDS)
def test_no_card_hides_an_amount(kind):
    for block in bench_card(kind, parse_sheet(example_text("dull").encode())).sections():
        for text in block.lines:
            assert not unmarked(text), text


def test_no_fixed_sentence_hides_an_amount():
    fixed = [value for value in vars(phrases).values() if isinstance(value, str)]
    fixed += [*phrases.EFFECTS.values(), *phrases.CONDITION_MEANS.values(), *REMEDIES.values(), SUPPRESSOR_RULE]
    fixed += [
        line(row[cell]) for row in tables.rows("fault_causes") for cell in ("says", "namely", "test", "tells", "remedy")
    ]
    for text in fixed:
        assert not unmarked(text), text


def test_no_range_of_a_table_has_one_end_outside_its_mark():
    cells = [
        cell
        for name in ("treatments", "fault_causes", "bench_cards")
        for row in tables.rows(name)
        for cell in row.values()
    ]
    assert sum("{" in cell for cell in cells) > 50
    assert [cell for cell in cells if re.search(r"\d ?(to|or|-|–) ?\{\d", cell)] == []


def test_every_gap_of_a_card_is_a_name_or_an_amount():
    for row in tables.rows("bench_cards"):
        names = [name for _, name, _, _ in Formatter().parse(row["text"]) if name]
        for name in names:
            assert name.isidentifier() or literal(name), row["text"]


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (Amount(9999.4, "g"), "9999 g"),
        (Amount(9999.6, "g"), "10 kg"),
        (Amount(13421.0, "g"), "13.42 kg"),
        (Amount(1.342e4, "mL", digits=4), "13.42 L"),
        (Amount(1.119e6, "g", digits=4), "1119 kg"),
        (Amount(12000.0, "g", upper=14000.0), "12 to 14 kg"),
        (literal("12000-14000 g"), "12-14 kg"),
        (Amount(12000.0, "g", standard_uncertainty=100.0), "12000 ± 200 g"),  # a value read off keeps its unit
    ],
)
def test_large_amounts_are_said_as_people_say_them(amount, said):
    assert str(amount) == said


def test_a_planned_amount_of_a_step_reads_back():
    assert str(planned_amount("copper sulfate crystals", {"mass_g": 1.119e6})) == "1119 kg"
    assert parse(str(planned_amount("sulfuric acid", {"volume_mL": 12604.0})), "volume").value == pytest.approx(
        12.604,
        rel=5e-4,  # four figures
    )


@pytest.mark.parametrize(
    ("volume", "spread", "said"),
    [(0.351, 0.0015, "0.36 mL"), (0.349, 0.0, "0.34 mL"), (0.35, 0.03, "0.35 ± 0.06 mL"), (4.26, 0.01, "4.3 mL"), (4.26, 0.4, "4.3 ± 0.8 mL"),
     (31.4, 0.0, "31 mL"), (31.4, 0.3, "31 ± 1 mL"), (310.0, 40.0, "310 ± 80 mL")],
)  # fmt: skip
def test_a_volume_is_said_as_its_tool_shows_it(volume, spread, said):
    assert str(measured_out(volume, spread)) == said


# 1.96 standard uncertainties on each side: 95 % of a normal distribution
@pytest.mark.parametrize(
    ("value", "most", "said"),
    [
        (10.0, math.inf, "6 to 14 g/L"),
        (1.0, math.inf, "0 to 5 g/L"),
        (58.0, 60.0, "54 to 60 g/L"),
        (70.0, 60.0, "60 g/L"),
    ],
)
def test_a_range_goes_no_further_than_there_is(value, most, said):
    assert str(range_of(value, 2.0, "g/L", most)) == said


def test_a_range_does_not_part_at_its_hyphen_and_a_date_keeps_its_own():
    assert whole("2-5 g/L since 2026-11-26") == "2\N{NON-BREAKING HYPHEN}5\N{NO-BREAK SPACE}g/L since 2026-11-26"
    assert whole("2 g/L less (-2 g/L), then -1") == "2\N{NO-BREAK SPACE}g/L less (−2\N{NO-BREAK SPACE}g/L), then −1"
    assert whole("rests on reading 1 (laboratory report)") == "rests on reading\N{NO-BREAK SPACE}1 (laboratory report)"


@pytest.mark.parametrize(
    ("litres", "said"), [(0.002, "2.0 mL"), (0.0004, "0.40 mL"), (0.0876, "88 mL"), (0.1, "0.10 L"), (5.6, "5.60 L")]
)
def test_what_a_jug_does_not_show_is_said_in_millilitres(litres, said):
    assert str(in_a_jug(litres)) == said


@pytest.mark.parametrize(
    ("grams", "shown"),
    [(0.634, "0.63 g"), (1.128, "1.13 g"), (11.0, "11 g"), (12.34, "12.3 g"), (17.97, "18 g"), (19.96, "20 g"), (145.6, "146 g")],
)  # fmt: skip
def test_what_is_weighed_has_three_digits_at_most_and_no_noughts_behind(grams, shown):
    assert str(weighed(grams)) == shown


def test_the_first_letter_is_changed_also_where_a_line_begins_with_another():
    inner = line("{what} {acid}", what="Add", acid=Amount(410, "mL", 0))
    assert (small(line("{said}.", said=inner)), capital(small(inner)), small("")) == ("add 410 mL.", inner, "")
