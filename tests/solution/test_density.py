"""The density model: the way there and back, smoothness, temperature, speed, and the edges of its range."""

import numpy as np
import pytest

from advisor.solution import density as model
from advisor.solution.density import (
    density,
    density_from_mass_fractions,
    water_density,
)
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE, OutOfRange, check_range

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
    warm = density_from_mass_fractions(w_copper, w_acid, 0.0, 40.0)
    assert density(200.0, 60.0, 0.0, 40.0) == pytest.approx(warm, abs=1e-12)


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
    # The printed rows of copper sulfate themselves bend by 4.4e-7 a g/L, each way, between 3 and 5 %, which Laliberté's
    # parameters smooth away; a kink would show in the third differences.
    assert np.abs(np.diff(density(line[:300], 60.0), 2)).max() < 5e-7
    assert np.abs(np.diff(density(line[:300], 60.0), 3)).max() < 1e-8


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
    assert density(201.0, 60.0) - base == pytest.approx(0.000590, abs=1e-6)
    assert density(200.0, 61.0) - base == pytest.approx(0.000581, abs=1e-6)


def test_what_copper_and_acid_do_together_grows_with_their_product_and_then_no_further():
    # -0.6 mg/mL at 12 000 (g/L)^2, in proportion to the product, constant beyond 15 000.
    share = model._mixture_share(np.array([0.0, 3_000.0, 12_000.0, 15_000.0, 20_000.0, 40_000.0]))
    assert share == pytest.approx([0.0, 0.25, 1.0, 1.21, 1.25, 1.25], abs=0.012)
    term = np.array([_term(p, a) for p, a in [(200.0, 0.0), (0.0, 190.0), (200.0, 60.0), (75.0, 225.0)]])
    assert 1000 * term == pytest.approx([0.0, 0.0, -0.6, -0.75], abs=0.01)


def _term(copper_sulfate: float, sulfuric_acid: float) -> float:
    """What stands between the density and that by volumes that add [g/mL]."""
    found = density(copper_sulfate, sulfuric_acid)
    w_copper, w_acid = copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / (1000 * found), sulfuric_acid / (1000 * found)
    w = w_copper + w_acid
    volume = (1 - w) / model.WATER_DENSITY
    volume += w_copper * model._COPPER_SULFATE.specific_volume_at_20(w)
    volume += w_acid * model._SULFURIC_ACID.specific_volume_at_20(w)
    return found - 1 / volume


def test_model_uncertainty_is_that_of_the_fits_and_of_the_mixture():
    # A mg/mL at 200 and 60 g/L, in proportion to the product up to 15 000 (g/L)^2, beside the fits' largest residual.
    copper_sulfate, sulfuric_acid = np.array([200.0, 0.0, 200.0, 75.0, -5.0]), np.array([60.0, 90.0, 30.0, 225.0, 60.0])
    found = model.model_uncertainty(copper_sulfate, sulfuric_acid, 20.0)
    mixture = np.array([0.001, 0.0, 0.0005, 0.00125, 0.0])
    assert found == pytest.approx(np.hypot(0.0003, mixture), abs=1e-5)
    # And 0.05 mg/mL for each degree away from 20, at 200 g/L of crystals.
    warm = model.model_uncertainty(200.0, 60.0, np.array([10.0, 20.0, 40.0]))
    assert warm == pytest.approx(np.hypot(np.hypot(0.0003, 0.001), [0.0005, 0.0, 0.001]), abs=1e-5)


@pytest.mark.parametrize("value", [-0.1, 450.1, float("nan"), float("inf")])
def test_out_of_range_names_value_unit_and_limits(value):
    with pytest.raises(OutOfRange, match=r"copper sulfate is .* g/L; it must be 0 to 450 g/L") as caught:
        check_range("copper sulfate", value, "g/L", 0.0, HIGHEST_COPPER_SULFATE)
    assert (caught.value.unit, caught.value.low, caught.value.high) == ("g/L", 0.0, 450.0)


def test_limits_themselves_are_in_range():
    check_range("copper sulfate", np.array([0.0, 450.0]), "g/L", 0.0, HIGHEST_COPPER_SULFATE)
    with pytest.raises(OutOfRange, match="is 2 g"):
        check_range("mass", np.array([1.0, 2.0]), "g", 0.0, 1.5)
