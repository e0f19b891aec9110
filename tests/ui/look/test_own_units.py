"""US units stand beside the metric ones where they were chosen, and nowhere else."""

import json
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.basis.places import PAGES
from advisor.basis.units import convert
from advisor.check.advise import advise
from advisor.examples import EXAMPLES, example_text
from advisor.sheet import parse_sheet
from advisor.ui.look import printing
from advisor.ui.look.own_units import BOTH, with_customary
from advisor.words import report


# 28.34952 g an ounce, 453.5924 g a pound, 29.57353 mL a fluid ounce, 0.9463529 L a quart, 3.785412 L a gallon
# (NIST SP 811, 2008, Appendix B.8). With the figures that the metric number supports: 1.2 kg is 2.6 lb.
@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("Add 280 g of crystals", "Add 280 g (9.88 oz) of crystals"),
        ("1200 g", "1200 g (2.65 lb)"),
        ("1.2 kg of salt", "1.2 kg (2.6 lb) of salt"),
        ("342.15 g", "342.15 g (12.069 oz)"),
        ("Add 145 mL of acid of 37 % (184 g).", "Add 145 mL (4.90 fl oz) of acid of 37 % (184 g, 6.49 oz)."),
        ("Draw 20 mL", "Draw 20 mL"),  # with a syringe, which is marked in millilitres
        ("Take out 1.20 L of bath", "Take out 1.20 L (1.27 qt) of bath"),
        ("take 1840 ± 120 g of soda", "take 1840 ± 120 g (4.1 ± 0.3 lb) of soda"),
        ("0.10 to 0.45 L with 95 %", "0.10 to 0.45 L (0.11 to 0.48 qt) with 95 %"),
        ("50 mL/L, 12 A·h, 0.25 mL·h, 70 mg/L", "50 mL/L, 12 A·h, 0.25 mL·h, 70 mg/L"),
        ("the bath of 2026-03-14 g", "the bath of 2026-03-14 g"),
    ],
)
def test_masses_and_volumes_are_said_twice(metric, both):
    assert with_customary(metric) == both


# 7.489152 g/L an ounce a gallon, °F = 1.8 °C + 32, 6.4516 cm² a square inch, 25.4 µm a mil; an ampere a square foot is
# 0.1076391 A/dm² by 9.290304 dm² a square foot (NIST SP 811, 2008, Appendix B.8)
@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("205 ± 3 g/L", "205 ± 3 g/L (27.4 ± 0.4 oz/gal)"),
        ("20.7 ± 1.4 g/L", "20.7 ± 1.4 g/L (2.76 ± 0.19 oz/gal)"),
        ("window 150 to 250 g/L", "window 150 to 250 g/L (20.0 to 33.4 oz/gal)"),
        ("window 30 to 75 g/L", "window 30 to 75 g/L (4.0 to 10.0 oz/gal)"),
        (
            "5.60 L with 215 g/L and 70 mg/L chloride",
            "5.60 L (1.48 gal) with 215 g/L (28.7 oz/gal) and 70 mg/L chloride",
        ),
        ("at 21 °C", "at 21 °C (70 °F)"),
        ("-5 to 3 °C", "-5 to 3 °C (23 to 37 °F)"),
        ("21-32 °C", "21-32 °C (70-90 °F)"),
        ("21 ± 2 °C", "21 ± 2 °C (70 ± 4 °F)"),
        ("it warms by about 5 °C.", "it warms by about 5 °C (9 °F)."),  # a change, without the 32
        ("below 8 °C (give or take 7 °C)", "below 8 °C (46 °F) (give or take 7 °C, 13 °F)"),
        ("1.2 A on 120 cm²", "1.2 A on 120 cm² (18.6 in²)"),
        ("2.35 A/dm²", "2.35 A/dm² (21.8 A/ft²)"),
        ("12.3 ± 1.6 A/dm²", "12.3 ± 1.6 A/dm² (114 ± 15 A/ft²)"),
        ("100 µm thick", "100 µm (3.94 mil) thick"),
    ],
)
def test_concentrations_temperatures_and_what_is_plated_are_said_twice(metric, both):
    assert with_customary(metric) == both


@pytest.mark.parametrize(
    ("unit", "quantity", "inside"),
    [("oz/gal", "concentration", 7.489152), ("A/ft²", "current density", 0.1076391), ("mil", "length", 0.0254)],
)
def test_factors_are_those_of_nist_sp_811(unit, quantity, inside):
    assert convert(inside, quantity, unit) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_is_said_three_times(name):
    lines = [line for block in advise(parse_sheet(example_text(name).encode())).sections() for line in block.lines]
    both = [with_customary(line) for line in [*lines, "21-32 °C", "57 g (in all)", "3 ± 1 g and (57 g)"]]
    assert both != lines
    assert [with_customary(line) for line in both] == both


@given(st.floats(0.01, 5000), st.integers(0, 3), st.sampled_from(["g", "kg", "mL", "L", "g/L", "cm²", "µm", "A/dm²"]))
def test_the_us_number_is_as_close_as_the_metric_one_is_fine(value, digits, unit):
    """Rounded in US units, it lies within a step of the metric number's last digit, or within its third figure."""
    metric = f"{value:.{digits}f}"
    assume(float(metric) > 0 and not (unit == "mL" and float(metric) < 100))
    said, us = re.fullmatch(r".* \(([\d.]+) (.+)\)", with_customary(f"{metric} {unit}")).groups()
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
    back = float(said) / convert(factor, quantity, us.replace(" ", "_"))
    assert abs(back - float(metric)) <= max(0.5 * 10**-digits, 0.005 * float(metric)) * (1 + 1e-9)


def test_the_choice_is_kept_shown_on_the_cards_and_printed(app_test, monkeypatch):
    printed = []
    monkeypatch.setattr(printing, "page", lambda *parts: printed.append(report.page(*parts)) or printed[-1])
    app = app_test("home.py")
    app.radio(key="home_units").set_value(BOTH).run()
    app.button(key="home_example_dull").click().run()
    assert not app.exception
    told = "\n".join(block.proto.body for block in app.get("html"))
    assert "Add 280 g (9.88 oz) of copper sulfate crystals" in told
    assert "192 ± 9 g/L<br><small>" in told
    assert re.search(r"window \d+ to \d+ g/L \(\d+\.\d to \d+\.\d oz/gal\)", told)
    app.switch_page(str(PAGES / "correct.py")).run()
    assert any("280 g (9.88 oz)" in box.label for box in app.checkbox)
    assert "280 g (9.88 oz) of copper sulfate crystals" in printed[-1]
    app.switch_page(str(PAGES / "home.py")).run()
    assert app.radio(key="home_units").value == BOTH


def test_without_the_choice_all_stays_metric(app_test):
    app = app_test("check.py")
    app.button(key="bench_example_dull").click().run()
    assert "°F" not in json.dumps([block.proto.body for block in app.get("html") if "todo" in block.proto.body])
    assert " oz" not in json.dumps([block.proto.body for block in app.get("html") if "todo" in block.proto.body])
