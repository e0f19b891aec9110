"""The map's geometry, and what is told of it."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.check.known import Known
from advisor.solution.solubility import saturation
from advisor.ui.charts.bath_map import BathMap, describe


def bath(copper, acid, covariance=(44.0, -3.0, 0.6)):
    """Return what is known of a bath; None: not measured. covariance: variance, shared, variance."""
    first, shared, second = covariance
    held = {"copper_sulfate": copper, "sulfuric_acid": acid}
    measured = frozenset(name for name, value in held.items() if value is not None)
    mean, matrix = np.array([value or 0.0 for value in held.values()]), np.array([[first, shared], [shared, second]])
    return Known(tuple(held), mean, matrix, measured, 5.6, 0.011)


KNOWN = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(188.0, 21.0), ((233.0, 20.0), (217.0, 51.0)))


def test_the_ellipse_holds_the_bath_with_95_percent_probability():
    covariance = np.array([[44.0, -3.0], [-3.0, 0.6]])
    outline = np.array(KNOWN.ellipse()) - [188.0, 21.0]
    squared = np.einsum("ij,jk,ik->i", outline, np.linalg.inv(covariance), outline)
    assert squared == pytest.approx(5.991, rel=1e-6)
    drawn = np.random.default_rng(3).multivariate_normal([0.0, 0.0], covariance, 100_000)
    inside = np.einsum("ij,jk,ik->i", drawn, np.linalg.inv(covariance), drawn) < squared.mean()
    assert inside.mean() == pytest.approx(0.95, abs=0.003)


def test_the_axes_hold_window_estimate_and_path():
    (left, right), (bottom, top) = KNOWN.reach()
    assert left < 188 - 1.96 * 44**0.5
    assert right > 248
    assert 0 <= bottom < 20
    assert top > 75


def test_a_bath_hardly_known_does_not_shrink_the_window():
    vague = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(150.0, 60.0, (150.0**2, 0.0, 4.0)))
    left, right = vague.reach()[0]
    assert right - left < 6 * (248 - 195)


def test_the_saturation_line_is_that_of_the_coldest_temperature():
    for copper_sulfate, acid in KNOWN.saturation_line():
        assert copper_sulfate == pytest.approx(float(saturation(12.0, acid)))


def test_points_are_told_by_what_brought_the_bath_there():
    named = replace(KNOWN, added=("crystals", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0))
    assert "After acid: 217 and 51 g/L. The aim is 222 and 52 g/L. Water alone would give 170 and 19 g/L." in describe(
        named
    )


def test_the_steps_done_are_told():
    assert "After step 2 (done): 217 and 51 g/L." in describe(replace(KNOWN, done=2))


def test_one_component_known_is_a_band():
    acid = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(None, 50.0, (22500.0, 0.0, 4.0)))
    across, up = acid.band()
    assert across == (-np.inf, np.inf)
    assert up == pytest.approx((50 - 3.92, 50 + 3.92))
    assert "copper sulfate: not known" in describe(acid)
