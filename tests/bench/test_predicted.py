"""What is expected of a bath, and that a planned reading shows just that."""

import pytest

from advisor.basis.units import parse
from advisor.bench.gear import kit_of
from advisor.bench.predicted import expected_bath, reading_of
from advisor.bench.titration_plans import plan_acid, plan_copper
from advisor.sheet import Bath, Gear, Sheet, Window, read_sheet
from tests.bench.some_baths import HERE, USUAL


def test_the_planned_reading_shows_what_was_expected():
    for plan in (plan_acid(USUAL, kit_of(())), plan_copper(USUAL, kit_of(()))):
        model = reading_of(plan.kind, plan.fields).model(HERE, USUAL.state)
        assert model.observed[0] == pytest.approx(model.predict(USUAL.state)[0], abs=0.006)


def test_without_readings_the_middle_of_the_window_is_expected():
    sheet = Sheet(Bath(volume=parse("5 L", "volume")), window=Window(name="high throw"), gear=Gear())
    expected = expected_bath(sheet)
    assert expected.copper_sulfate == pytest.approx((60 + 75) / 2)
    assert expected.sulfuric_acid == pytest.approx((187 + 225) / 2)
    assert expected.source == "the middle of your window"
    assert expected.told == set()


def test_readings_are_believed():
    volumes = {
        "sample": parse("10 mL", "volume"),
        "diluted_to": parse("100 mL", "volume"),
        "used": parse("8.6 mL", "volume"),
    }
    titrant = {"titrant": "sodium bicarbonate", "strength": parse("0.5 mol/L", "strength")}
    titration = reading_of("acid titration", {**volumes, **titrant, "end_point": "first lasting cloud"})
    sheet = Sheet(Bath(volume=parse("5 L", "volume")), readings=(titration,))
    expected = expected_bath(sheet)
    assert expected.sulfuric_acid == pytest.approx(20.7, abs=1.0)
    assert expected.copper_sulfate == pytest.approx((195 + 248) / 2, abs=0.2)  # an end point hardly hangs on copper
    assert "your readings" in expected.source
    assert expected.told == {"sulfuric_acid"}


@pytest.mark.parametrize(
    ("shown", "copper", "acid"),
    [("1.30", (350, 450), (60, 70)), ("1.17", (195, 230), (50, 55)), ("1.06", (20, 80), (35, 48))],
)
def test_a_density_alone_moves_what_a_test_is_planned_for(shown, copper, acid):
    """It tells both together: most of what the window lacks is copper sulfate, which is known worse (55 against 13 g/L)."""
    hydrometer = {"kind": "hydrometer", "value": shown, "scale": "SG 20/20"}
    expected = expected_bath(read_sheet({"bath": {"volume": "5 L"}, "reading": [hydrometer]}))
    assert copper[0] < expected.copper_sulfate < copper[1]
    assert acid[0] < expected.sulfuric_acid < acid[1]
    assert expected.source.startswith("your readings, and the middle of your window")
    # Far from the window it is believed less, so that copper sulfate is known no better than without it.
    assert ("copper_sulfate" in expected.told) == (shown == "1.17")
    assert "chloride" not in expected.told
    assert (
        expected.chloride == expected_bath(read_sheet({"bath": {"volume": "5 L"}})).chloride
    )  # which it tells nothing of
    if shown == "1.30":  # so far from the window, more acid is likely too than the window alone would have
        assert expected.most("sulfuric_acid") > 120


@pytest.mark.parametrize(
    ("chloride", "source"),
    [
        ({"chloride": "80 ± 4 mg/L"}, "your readings"),
        ({}, "your readings, and the middle of your window for what they do not tell"),
    ],
)
def test_where_what_is_expected_is_from_is_said(chloride, source):
    held = {"kind": "previous check", "copper_sulfate": "200 ± 4 g/L", "sulfuric_acid": "60 ± 2 g/L", **chloride}
    held["since"] = "evaporation only"
    assert expected_bath(read_sheet({"bath": {"volume": "5 L"}, "reading": [held]})).source == source


def test_a_bath_of_unsound_samples_is_still_planned_for():
    expected = expected_bath(Sheet(Bath(volume=parse("5 L", "volume"), condition=("crystals",))))
    assert plan_acid(expected, kit_of(())).standard_uncertainty > 0
