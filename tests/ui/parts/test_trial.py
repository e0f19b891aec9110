"""The sliders of "If I add…": their steps are round, and they move the bath on its map."""

from dataclasses import replace

import pytest

from advisor.check.advise import advise
from advisor.check.what_if import if_added
from advisor.examples import example_text
from advisor.sheet import parse_sheet, parse_toml, read_sheet
from advisor.ui.charts.map_of_check import map_numbers
from advisor.ui.parts import trial
from advisor.words.lines import Units
from tests.widgets import unfold


@pytest.fixture
def dull(monkeypatch):
    monkeypatch.setattr(trial.st, "session_state", {})
    sheet = parse_sheet(example_text("dull").encode())
    return sheet, advise(sheet)


@pytest.mark.parametrize(("step", "nice"), [(8.96, 10.0), (0.034, 0.05), (1.0, 1.0), (0.0012, 0.002)])
def test_a_step_is_a_round_number(step, nice):
    assert trial._nice(step) == nice


def test_at_nothing_nothing_is_tried(dull):
    assert trial.tried(*dull) is None


def test_of_a_bath_that_is_not_known_nothing_is_tried(dull):
    """A slider that was moved before stands where it was."""
    sheet, advice = dull
    trial.st.session_state[trial._sliders(advice)["water"].key] = 1.0
    assert trial.tried(sheet, advice)
    assert trial.tried(sheet, replace(advice, known=replace(advice.known, estimate=None))) is None


@pytest.mark.parametrize(("step", "written"), [(0.02, "0.02"), (0.5, "0.5"), (1.0, "1"), (20.0, "20")])
def test_a_slider_writes_the_digits_of_its_step(step, written):
    assert trial._format(step) % step == written


def test_what_is_added_is_found_on_the_map(dull):
    trial.st.session_state[trial._sliders(dull[1])["crystals"].key] = 100.0
    after = trial.tried(*dull)
    assert after.copper_sulfate > dull[1].estimate.value("copper_sulfate") + 10
    assert after.sulfuric_acid < dull[1].estimate.value("sulfuric_acid")


def test_a_slider_in_us_units_adds_the_same(dull):
    """1 oz = 28.3495 g, 1 US fl oz = 29.5735 mL, 1 US qt = 0.946353 L (NIST SP 811)."""
    sheet, advice = dull
    trial.st.session_state["units"] = Units.US_FIRST
    labels, sliders = trial.labels(sheet), trial._sliders(advice)
    assert list(labels.values()) == ["Crystals, oz", "Acid as you have it, fl oz", "Water, qt"]
    for name, (added, metric) in {"crystals": (4.0, 28.3495), "acid": (2.0, 29.5735), "water": (0.5, 0.946353)}.items():
        trial.st.session_state[sliders[name].key] = added
        tried = trial.tried(sheet, advice)
        del trial.st.session_state[sliders[name].key]
        amounts = {"crystals": 0.0, "acid": 0.0, "water": 0.0} | {name: added * metric}
        after = if_added(sheet, advice, **amounts)
        assert (tried.copper_sulfate, tried.volume) == pytest.approx((after.copper_sulfate, after.volume), rel=1e-5)


@pytest.mark.parametrize(("form", "name"), [("pentahydrate", "crystals"), ("anhydrous", "anhydrous powder")])
def test_the_salt_is_called_what_stands_on_the_shelf(form, name):
    raw = parse_toml(example_text("dull").encode())
    sheet = read_sheet(raw | {"stock": raw.get("stock", {}) | {"crystals": {"form": form}}})
    assert trial.labels(sheet)["crystals"].lower() == f"{name}, g"
    assert map_numbers(sheet, advise(sheet), Units.METRIC).added[0] == name


@pytest.mark.parametrize(
    ("units", "in_unit"),
    [
        (Units.METRIC, {"crystals": 1.0, "acid": 1.0, "water": 1.0}),
        (Units.US_FIRST, {"crystals": 28.3495, "acid": 29.5735, "water": 0.946353}),
    ],
)
def test_an_end_is_as_far_as_a_window_is_wide(dull, units, in_unit):
    """Its step is the next round number, at most two and a half times as large."""
    trial.st.session_state["units"] = units
    for name, slider in trial._sliders(replace(dull[1], steps=())).items():
        wide = trial.MOST[name] * dull[1].volume_L / in_unit[name]
        assert wide <= slider.end <= 2.5 * wide


def poor(copper_sulfate):
    """Return the sheet of 5 L that hold so much copper sulfate, as text, beside enough acid."""
    held = {"copper_sulfate": copper_sulfate, "sulfuric_acid": "60 ± 1 g/L", "since": "evaporation only"}
    return {"bath": {"volume": "5 L"}, "reading": [{"kind": "previous check", **held}]}


def test_a_slider_reaches_beyond_the_dose_that_is_advised(dull):
    advice = advise(read_sheet(poor("60 ± 2 g/L")))
    (dose,) = [step.numbers["mass_g"] for step in advice.steps if step.what == "copper sulfate crystals"]
    assert dose > trial.MOST["crystals"] * advice.volume_L
    assert dose < trial._sliders(advice)["crystals"].end < 3 * dose


def test_a_slider_that_another_answer_ends_lower_moves_to_its_end(app_test):
    app = app_test("check.py")
    app.session_state["sheet"] = poor("60 ± 2 g/L")
    app.run()
    unfold(app, "trial")
    far = app.slider[0].max
    app.slider[0].set_value(far).run()
    app.session_state["sheet"]["reading"][0]["copper_sulfate"] = "200 ± 2 g/L"
    app.run()
    assert not app.exception
    assert app.slider[0].value == app.slider[0].max < far


@pytest.mark.parametrize("page", ["check.py", "correct.py"])
def test_both_pages_have_the_sliders_of_the_salt_at_hand(app_test, page):
    app = app_test(page)
    app.session_state["sheet"] = parse_toml(example_text("dull").encode()) | {
        "stock": {"crystals": {"form": "anhydrous"}}
    }
    app.run()
    unfold(app, "trial")
    assert "Anhydrous powder, g" in [slider.label for slider in app.slider]
