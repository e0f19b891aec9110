"""The sliders of "If I add…": their steps are round, and they move the bath on its map."""

import pytest

from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.sheet import parse_sheet, parse_toml, read_sheet
from advisor.ui.charts.map_of_check import map_numbers
from advisor.ui.parts import trial
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


def test_what_is_added_is_found_on_the_map(dull):
    trial.st.session_state["trial_crystals_0"] = 100.0
    after = trial.tried(*dull)
    assert after.copper_sulfate > dull[1].estimate.value("copper_sulfate") + 10
    assert after.sulfuric_acid < dull[1].estimate.value("sulfuric_acid")


@pytest.mark.parametrize(("form", "name"), [("pentahydrate", "crystals"), ("anhydrous", "anhydrous powder")])
def test_the_salt_is_called_what_stands_on_the_shelf(form, name):
    raw = parse_toml(example_text("dull").encode())
    sheet = read_sheet(raw | {"stock": raw.get("stock", {}) | {"crystals": {"form": form}}})
    assert trial.labels(sheet)["crystals"].lower() == f"{name}, g"
    assert map_numbers(sheet, advise(sheet)).added[0] == name


def test_an_end_is_as_far_as_a_window_is_wide(dull):
    ends = {name: slider.end for name, slider in trial._sliders(dull[1]).items()}
    assert ends["crystals"] >= trial.MOST["crystals"] * dull[1].volume_L


@pytest.mark.parametrize("page", ["check.py", "correct.py"])
def test_both_pages_have_the_sliders_of_the_salt_at_hand(app_test, page):
    app = app_test(page)
    app.session_state["sheet"] = parse_toml(example_text("dull").encode()) | {
        "stock": {"crystals": {"form": "anhydrous"}}
    }
    app.run()
    unfold(app, "trial")
    assert "Anhydrous powder, g" in [slider.label for slider in app.slider]
