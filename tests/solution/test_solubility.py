"""Saturation and its inverse, and both beyond their ranges."""

import numpy as np
import pytest

from advisor.solution import solubility
from advisor.solution.solubility import (
    CEILING_FRACTION,
    HIGHEST_TEMPERATURE,
    LOWEST_TEMPERATURE,
    RELATIVE_UNCERTAINTY,
    crystallises_below,
    saturation,
)


@pytest.mark.parametrize("sulfuric_acid", [0.0, 10.0, 60.0, 200.0, 400.0])
def test_temperature_comes_back_from_the_saturation(sulfuric_acid):
    temperatures = np.linspace(-9.5, 59.5, 70)
    back = crystallises_below(saturation(temperatures, sulfuric_acid), sulfuric_acid)
    assert back == pytest.approx(temperatures, abs=1e-6)


def test_rises_with_temperature_and_falls_with_acid_everywhere():
    temperature, acid = np.meshgrid(np.linspace(-5.0, 60.0, 66), np.linspace(0.0, 400.0, 81))
    grid = saturation(temperature, acid)
    assert np.isfinite(grid).all()
    assert (np.diff(grid, axis=1) > 0).all()
    assert (np.diff(grid, axis=0) < 0).all()


def test_beyond_the_range_the_value_at_its_edge():
    assert saturation(90.0, 500.0) == saturation(HIGHEST_TEMPERATURE, 400.0)
    assert saturation(-30.0, -5.0) == saturation(LOWEST_TEMPERATURE, 0.0)


def test_thin_bath_never_crystallises_and_overfull_one_always():
    assert crystallises_below(20.0, 60.0) == LOWEST_TEMPERATURE
    assert crystallises_below(0.0, 0.0) == LOWEST_TEMPERATURE
    assert crystallises_below(790.0, 60.0) == HIGHEST_TEMPERATURE


def test_mixed_arrays_and_single_values_broadcast():
    assert crystallises_below(np.array([220.0, 248.0]), 60.0).shape == (2,)
    assert crystallises_below(220.0, np.array([[60.0], [75.0]])).shape == (2, 1)


def test_stated_uncertainty_in_degrees():
    # One standard uncertainty of the solubility moves the point by 4.7 degC: 7 degC in hand is 1.5 of them.
    warmer = crystallises_below(220.0 / (1 - RELATIVE_UNCERTAINTY), 60.0) - crystallises_below(220.0, 60.0)
    assert warmer == pytest.approx(4.7, abs=0.3)
    assert 0.10 / np.sqrt(3) < RELATIVE_UNCERTAINTY < 0.15 / np.sqrt(3)


def test_in_strong_acid_solubility_is_known_half_as_well_with_no_step_between():
    acid = np.array([0.0, 60.0, 80.0, 100.0, 120.0, 220.0])
    assert solubility.relative_uncertainty(acid) == pytest.approx([0.07, 0.07, 0.07, 0.11, 0.15, 0.15])
    assert solubility.ceiling_fraction(acid) == pytest.approx([0.90, 0.90, 0.90, 0.86, 0.82, 0.82])
    assert solubility.ceiling_at(12.0)(60.0) == pytest.approx(0.9 * saturation(12.0, 60.0))
    assert solubility.ceiling_at(12.0)(190.0) == pytest.approx(0.82 * saturation(12.0, 190.0))
    assert CEILING_FRACTION == 0.9


@pytest.mark.parametrize(("acid", "safe", "beyond"), [(60.0, 0.93, 1.07), (190.0, 0.85, 1.15)])
def test_crystals_are_near_within_one_uncertainty_of_saturation(acid, safe, beyond):
    full = float(saturation(12.0, acid))
    assert solubility.safe_up_to(acid) == pytest.approx(safe)
    assert solubility.beyond_from(acid) == pytest.approx(beyond)
    shares = (safe - 0.001, safe + 0.001, beyond - 0.001, beyond + 0.001)
    states = [solubility.crystals(share * full, acid, 12.0) for share in shares]
    assert states == ["safe", "near", "near", "beyond"]


@pytest.mark.parametrize(("copper", "acid"), [(234.0, 64.0), (210.0, 150.0)])
def test_a_bath_kept_as_warm_as_is_said_is_no_fuller_than_a_correction_may_make_it(copper, acid):
    warm = solubility.to_keep_above(copper, acid)
    assert copper <= solubility.ceiling_at(warm)(acid)
    assert copper > solubility.ceiling_at(warm - 1)(acid)


def test_how_warm_to_keep_it_moves_by_no_more_than_a_degree_for_a_gram_of_acid():
    warm = np.array([solubility.to_keep_above(200.0, acid) for acid in np.arange(60.0, 161.0)])
    assert set(np.diff(warm)) <= {0, 1}


def test_no_warmth_is_named_where_none_suffices():
    assert solubility.to_keep_above(400.0, 250.0) is None
    for acid in (0.0, 100.0, 250.0):
        most = float(solubility.ceiling_at(60.0)(acid))
        assert solubility.to_keep_above(0.9999 * most, acid) == 60
        assert solubility.to_keep_above(1.0001 * most, acid) is None
