"""Copper by eye: where the bath stands between two standards, how far an eye is trusted, and how standards are made."""

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.readings.colour_match import DILUTIONS, STRONGEST, standards_for
from advisor.readings.model import State
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE

KIND = "colour match"
MATCH = {"lower": "180 g/L", "upper": "220 g/L", "position": 0.5}


@pytest.mark.parametrize(("copper_sulfate", "position"), [(180.0, 0.0), (220.0, 1.0), (200.0, 0.5), (240.0, 1.5)])
def test_the_position_is_that_between_the_standards(read, shown, copper_sulfate, position):
    assert shown(read(KIND, **MATCH), State(copper_sulfate, 60.0)) == pytest.approx(position)


def test_it_predicts_many_baths_at_once(read, model):
    found = model(read(KIND, **MATCH)).predict(State(np.array([[180.0, 190.0, 200.0]]), 60.0))
    assert found == pytest.approx(np.array([[[0.0, 0.25, 0.5]]]))


def test_only_copper_counts(read, model, slopes):
    slope = slopes(model(read(KIND, **MATCH)))
    assert slope.pop("copper_sulfate") == pytest.approx(1 / 40)
    assert set(slope.values()) == {0.0}


@pytest.mark.parametrize(
    ("lower", "upper", "spread"),
    [
        ("180 g/L", "220 g/L", 10.0),  # a quarter of the interval
        ("100 g/L", "200 g/L", 25.0),
        ("195 g/L", "205 g/L", 8.0),  # 20 g/L is one step that is just seen: no eye tells less than 8
    ],
)
def test_an_eye_splits_the_interval_into_four_at_best(read, find, lower, upper, spread):
    found = find(read(KIND, lower=lower, upper=upper, position=0.5))
    middle = (float(lower.split()[0]) + float(upper.split()[0])) / 2
    expected = np.hypot(spread, 0.01 * middle)  # own standards: 1 %
    assert found.standard_uncertainty("copper_sulfate") == pytest.approx(expected, rel=0.02)
    assert found.value("copper_sulfate") == pytest.approx(middle, abs=0.5)


def test_two_matches_share_the_error_of_the_standards(read, find):
    one = read(KIND, **MATCH)
    two = find(one, one).standard_uncertainty("copper_sulfate")
    assert two == pytest.approx(np.hypot(10 / np.sqrt(2), 2.0), rel=0.02)


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"upper": "180 g/L"}, "upper"),
        ({"upper": "150 g/L"}, "upper"),
        ({"upper": "500 g/L"}, "upper"),
        ({"position": 1.2}, "position"),
        ({"position": float("nan")}, "position"),
        ({"position": "half"}, "position"),
    ],
)
def test_what_is_refused_is_named(read, changed, place):
    with pytest.raises(InputError, match=f"^reading 1: {place}"):
        read(KIND, **MATCH | changed)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"position": 1.0}, "220 g/L, and may lie beyond it"),
        ({"position": 0.0}, "180 g/L, and may lie beyond"),
        ({"lower": "190 g/L"}, "Look down through at least 5 cm"),
        ({"lower": "60 g/L"}, "make one in between"),
    ],
)
def test_warnings(read, warnings_of, fields, words):
    assert words in warnings_of(read(KIND, **MATCH | fields))
    assert warnings_of(read(KIND, **MATCH)) == ""


@pytest.mark.parametrize(
    ("seen_by", "path_cm", "dilution"),
    [
        ("eye", 2.0, 1.0),
        ("camera", 2.0, 5.0),  # 240 g/L are 0.961 mol/L, 1.92 mol cm/L through 2 cm: 4.8 times what a camera takes
        ("camera", 50.0, 100.0),  # nothing is diluted more than that
    ],
)
def test_standards_hold_what_they_stand_for(seen_by, path_cm, dilution):
    made = standards_for(160.0, 240.0, 5, 100.0, path_cm, pentahydrate_mass_fraction=0.98, seen_by=seen_by)
    assert [standard.copper_sulfate for standard in made] == [160.0, 180.0, 200.0, 220.0, 240.0]
    assert {standard.dilution for standard in made} == {dilution}
    for standard in made:
        grams_per_litre = standard.crystals_g * 0.98 / (standard.volume_mL / 1000) * standard.dilution
        assert grams_per_litre == pytest.approx(standard.copper_sulfate)


@pytest.mark.parametrize("seen_by", ["eye", "camera"])
@pytest.mark.parametrize("path_cm", [1.0, 2.0, 5.0, 10.0])
def test_standards_are_diluted_just_enough(seen_by, path_cm):
    made = standards_for(150.0, 250.0, 4, 50.0, path_cm, 0.99, seen_by)[-1]
    strength = 250.0 / COPPER_SULFATE_PENTAHYDRATE * path_cm
    assert strength / made.dilution <= STRONGEST[seen_by]
    weaker = [times for times in DILUTIONS if times < made.dilution]
    assert not weaker or strength / weaker[-1] > STRONGEST[seen_by]


def test_anhydrous_crystals_take_less():
    blue, white = (standards_for(100.0, 200.0, 2, 100.0, 5.0, share, "eye")[0].crystals_g for share in (1.0, 1.564))
    assert white == pytest.approx(blue / 1.564)
    assert standards_for(100.0, 200.0, 2, 100.0, 2.0, 0.99, "eye")[0].crystals_g == pytest.approx(
        10.1, abs=0.01
    )  # of 99 %
