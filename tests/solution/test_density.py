"""The density model: the way there and back, smoothness, temperature, speed, and the edges of its range."""

import time

import numpy as np
import pytest

from advisor.solution import density as model
from advisor.solution.density import (
    density,
    density_from_mass_fractions,
    water_density,
)
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import COPPER_SULFATE_RANGE, OutOfRange, check_range

BATHS = [(200.0, 60.0, 0.0), (75.0, 190.0, 3.0), (0.0, 0.0, 0.0), (450.0, 0.0, 0.0), (100.0, 400.0, 6.0)]


@pytest.mark.parametrize(("copper_sulfate", "sulfuric_acid", "foreign_solids"), BATHS)
def test_at_20_degC_a_litre_weighs_what_its_density_says(copper_sulfate, sulfuric_acid, foreign_solids):
    at_20 = density(copper_sulfate, sulfuric_acid, foreign_solids)
    grams = 1000 * at_20
    again = density_from_mass_fractions(
        copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / grams, sulfuric_acid / grams, foreign_solids / grams
    )
    assert again == pytest.approx(at_20, abs=1e-12)


def test_array_gives_what_single_values_give():
    copper_sulfate, sulfuric_acid = np.array([75.0, 200.0, 248.0]), np.array([190.0, 60.0, 75.0])
    single = [density(p, a, 1.0, 30.0) for p, a in zip(copper_sulfate, sulfuric_acid, strict=True)]
    assert density(copper_sulfate, sulfuric_acid, 1.0, 30.0) == pytest.approx(single, abs=1e-14)
    assert density(copper_sulfate[:, None], sulfuric_acid).shape == (3, 3)


def test_warm_bath_keeps_its_mass_fractions_not_its_grams_a_litre():
    # A litre at 40 degC holds less than the litre at 20 degC by which the concentrations are stated.
    at_20 = density(200.0, 60.0)
    w_copper, w_acid = 200 * ANHYDROUS_PER_PENTAHYDRATE / (1000 * at_20), 60 / (1000 * at_20)
    assert density(200.0, 60.0, 0.0, 40.0) == density_from_mass_fractions(w_copper, w_acid, 0.0, 40.0)


@pytest.mark.parametrize("temperature", [-5.0, 0.0, 20.0, 60.0])
def test_finite_and_rising_in_both_far_beyond_any_bath(temperature):
    copper_sulfate, sulfuric_acid = np.meshgrid(np.arange(-20.0, 801.0, 10), np.arange(-20.0, 801.0, 10))
    grid = density(copper_sulfate, sulfuric_acid, 3.0, temperature)
    assert np.isfinite(grid).all()
    assert (np.diff(grid, axis=0) > 0).all()
    assert (np.diff(grid, axis=1) > 0).all()


def test_smooth_through_zero_and_through_the_limit_on_mass_fraction():
    # Second differences a g/L apart stay small: no kink for a least-squares fit to trip over.
    line = np.arange(-20.0, 800.0)
    for grid in (density(line, 60.0), density(200.0, line), density(line, 300.0)):
        assert np.abs(np.diff(grid, 2)).max() < 6e-5
    assert np.abs(np.diff(density(line[:300], 60.0), 2)).max() < 3e-7


def test_nothing_is_raised_for_nonsense_and_nan_stays_nan():
    assert np.isnan(density(float("nan"), 60.0))


def test_water_is_the_bath_without_solutes():
    assert density(0.0, 0.0, 0.0, 25.0) == pytest.approx(water_density(25.0), abs=1e-15)


def test_foreign_solids_weigh_in_beyond_their_fitted_temperatures():
    # About 0.9 mg/mL a g/L of FeSO4 at any temperature; the raw parameters turn senseless above 34 degC.
    for temperature in (0.0, 20.0, 60.0):
        gain = density(200.0, 60.0, 5.0, temperature) - density(200.0, 60.0, 0.0, temperature)
        assert gain / 5.0 == pytest.approx(0.00090, abs=0.00007)


def test_gram_of_acid_and_gram_of_crystals_raise_the_density_almost_equally():
    base = density(200.0, 60.0)
    assert density(201.0, 60.0) - base == pytest.approx(0.000592, abs=1e-6)
    assert density(200.0, 61.0) - base == pytest.approx(0.000586, abs=1e-6)


def test_scalar_call_is_fast():
    best = min(_seconds_for_a_hundred() for _ in range(20))
    assert best / 100 < 100e-6


def _seconds_for_a_hundred() -> float:
    start = time.perf_counter()
    for _ in range(100):
        density(200.0, 60.0, 1.0, 25.0)
    return time.perf_counter() - start


def test_model_uncertainty_is_the_published_one_rounded_up():
    assert 0.00139 <= model.MODEL_STANDARD_UNCERTAINTY <= 0.0016


@pytest.mark.parametrize("value", [-0.1, 450.1, float("nan"), float("inf")])
def test_out_of_range_names_value_unit_and_limits(value):
    with pytest.raises(OutOfRange, match=r"copper sulfate is .* g/L; it must be 0 to 450 g/L") as caught:
        check_range("copper sulfate", value, "g/L", *COPPER_SULFATE_RANGE)
    assert (caught.value.unit, caught.value.low, caught.value.high) == ("g/L", 0.0, 450.0)


def test_limits_themselves_are_in_range():
    check_range("copper sulfate", np.array([0.0, 450.0]), "g/L", *COPPER_SULFATE_RANGE)
    with pytest.raises(OutOfRange, match="is 2 g"):
        check_range("mass", np.array([1.0, 2.0]), "g", 0.0, 1.5)
