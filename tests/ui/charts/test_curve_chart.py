"""The picture of a titration curve shows what the fit says."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.check.advise import advise
from advisor.readings.curve_fit import COPPER_GUESS, fit_curve
from advisor.readings.ph_curve import COPPER_STEP
from advisor.sheet import read_sheet
from advisor.solution.density import density, water_density
from advisor.solution.equilibrium import Flask, pH_at_titrant_volume
from advisor.ui.charts.curve_chart import curve_chart, residual_chart, words
from advisor.ui.parts import reading_list
from advisor.ui.session.state import Typed
from tests.widgets import sheet_field

FLASK = Flask(5.0, 100.0, "sodium hydroxide", 0.5)


@pytest.fixture(scope="module")
def curve():
    volumes = np.linspace(0.0, 13.0, 27)
    points = tuple(zip(volumes, pH_at_titrant_volume(210.0, 60.0, volumes, FLASK), strict=True))
    points = tuple((float(volume), float(pH)) for volume, pH in points)
    return points, fit_curve(points, FLASK, 210.0)


def test_every_point_is_shown_filled_where_used(curve):
    points, fit = curve
    line, used, left_out, end, _ = curve_chart(points, fit)["layer"]
    assert len(used["data"]["values"]) == fit.used.sum() == len(line["data"]["values"])
    assert len(used["data"]["values"]) + len(left_out["data"]["values"]) == len(points)
    assert used["mark"]["filled"]
    assert not left_out["mark"]["filled"]
    assert end["data"]["values"][0]["mL"] == fit.end_point_mL == pytest.approx(12.24, rel=0.01)  # 0.3 g at 98.08 g/mol


def test_the_line_passes_each_point_at_its_residual(curve):
    points, fit = curve
    for row in curve_chart(points, fit)["layer"][0]["data"]["values"]:
        assert row["mL"] - row["fitted"] == pytest.approx(row["off"])
        assert abs(row["off"]) < 0.02  # the points were made by the same model
    zero, dots = (layer["data"]["values"] for layer in residual_chart(points, fit)["layer"])
    assert zero == [{"off": 0.0}]
    assert [row["off"] for row in dots] == pytest.approx(fit.residuals[fit.used].tolist())


def test_words_stand_for_the_pictures(curve):
    points, fit = curve
    assert f"ends at {fit.end_point_mL:.2f} mL" in words(points, fit)
    used = int(fit.used.sum())
    assert f" of 27 points from pH {points[0][1]:.2f} to {points[-1][1]:.2f}: " in words(points, fit)
    assert f": {used} used, {27 - used} left out because copper precipitates there. " in words(points, fit)
    all_used = replace(fit, used=np.ones(27, dtype=bool), residuals=np.linspace(-0.03, 0.01, 27))
    assert ": 27 used. " in words(points, all_used)
    assert words(points, all_used).endswith(" no point lies more than 0.03 mL off it.")


def answered(points, *more):
    reading = {
        "kind": "pH curve",
        "sample": "5 mL",
        "diluted_to": "100 mL",
        "titrant": "sodium hydroxide",
        "strength": "0.5 mol/L",
        "points": [list(point) for point in points],
    }
    sheet = read_sheet({"bath": {"volume": "5 L"}, "reading": [reading, *more]})
    return Typed(sheet, {}, advise(sheet), sheet)


def test_a_curve_is_drawn_for_the_copper_of_the_answer(curve):
    """A hydrometer beside it tells the 210 g/L of the curve's bath; alone, the curve tells no copper."""
    points, _ = curve
    gravity = float(density(210.0, 60.0) / water_density(20.0))
    alone = answered(points)
    assert reading_list._fit(alone.sheet.readings[0], alone).copper_sulfate == COPPER_GUESS == 150.0
    both = answered(points, {"kind": "hydrometer", "value": f"{gravity:.4f}", "scale": "SG 20/20"})
    copper = both.answer.values["copper_sulfate"]
    assert copper.value == pytest.approx(210.0, abs=2 * copper.standard_uncertainty)
    fit = reading_list._fit(both.sheet.readings[0], both)
    assert fit.copper_sulfate == pytest.approx(copper.value, abs=COPPER_STEP / 2)


def test_a_curve_is_drawn_on_the_page_check(app_test, curve):
    points, _ = curve
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume").input("5").run()
    app.selectbox(key="reading_kind").select("pH curve").run()
    app.button(key="reading_add").click().run()
    for name, text in {"sample": "5", "diluted_to": "100", "strength": "0.5 mol/L"}.items():
        sheet_field(app.text_input, f"sheet_reading_1_{name}").input(text).run()
    sheet_field(app.selectbox, "sheet_reading_1_titrant").select("sodium hydroxide").run()
    sheet_field(app.text_area, "sheet_reading_1_points").input("\n".join(f"{x:.2f}, {y:.3f}" for x, y in points)).run()
    assert not app.exception
    assert len(app.get("vega_lite_chart")) == 2  # curve, and what is left over
    assert any("The fitted curve ends at" in block.value for block in app.caption)
