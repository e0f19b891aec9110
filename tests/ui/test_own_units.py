"""US units stand beside the metric ones where they were chosen, and nowhere else."""

import json

import pytest

from advisor.places import PAGES
from advisor.ui.own_units import BOTH, with_customary


# 28.3495 g an ounce, 453.592 g a pound, 29.5735 mL a fluid ounce, 0.946353 L a quart, 3.78541 L a gallon (NIST SP 811)
@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("Add 280 g of crystals", "Add 280 g (9.88 oz) of crystals"),
        ("1200 g", "1200 g (2.65 lb)"),
        ("1.2 kg of salt", "1.2 kg (2.65 lb) of salt"),
        ("Add 45 mL of acid of 37 % (57 g).", "Add 45 mL (1.52 fl oz) of acid of 37 % (57 g, 2.01 oz)."),
        ("Take out 1.20 L of bath", "Take out 1.20 L (1.27 qt) of bath"),
        ("5.60 L with 215 g/L and 70 mg/L", "5.60 L (1.48 gal) with 215 g/L and 70 mg/L"),
        ("take 1840 ± 120 g of soda", "take 1840 ± 120 g (4.06 ± 0.265 lb) of soda"),
        ("0.10 to 0.45 L with 95 %", "0.10 to 0.45 L (0.106 to 0.476 qt) with 95 %"),
        ("50 mL/L, 12 A·h, 0.25 mL·h, 19 °C", "50 mL/L, 12 A·h, 0.25 mL·h, 19 °C"),
    ],
)
def test_masses_and_volumes_are_said_twice(metric, both):
    assert with_customary(metric) == both


def test_the_choice_is_kept_and_shown_on_the_cards(app_test):
    app = app_test("home.py")
    app.radio(key="home_units").set_value(BOTH).run()
    app.button(key="home_example_dull").click().run()
    assert not app.exception
    told = "\n".join(block.proto.body for block in app.get("html"))
    assert "Add 280 g (9.88 oz) of copper sulfate crystals" in told
    app.switch_page(str(PAGES / "correct.py")).run()
    assert any("280 g (9.88 oz)" in box.label for box in app.checkbox)
    app.switch_page(str(PAGES / "home.py")).run()
    assert app.radio(key="home_units").value == BOTH


def test_without_the_choice_all_stays_metric(app_test):
    app = app_test("check.py")
    app.button(key="bench_example_dull").click().run()
    assert " oz" not in json.dumps([block.proto.body for block in app.get("html") if "todo" in block.proto.body])
