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


def test_the_ellipse_goes_all_around_as_far_as_each_spread_and_holds_no_acid_below_nothing():
    """Its farthest points stand off by the root of 5.991 times each variance."""
    copper, acid = np.array(KNOWN.ellipse()).T
    assert (copper.min(), copper.max()) == pytest.approx(188 + np.array([-1, 1]) * (5.991 * 44) ** 0.5, abs=0.02)
    assert (acid.min(), acid.max()) == pytest.approx(21 + np.array([-1, 1]) * (5.991 * 0.6) ** 0.5, abs=0.002)
    assert min(acid for _, acid in replace(KNOWN, known=bath(188.0, 1.0)).ellipse()) == 0.0


def test_names_keep_off_the_ellipse_unless_it_is_wider_than_a_third_of_the_map():
    """Of 95 g/L across: one of 2 · 16.2 g/L is wider than that, one of 2 · 14.7 g/L is not."""
    assert np.ptp(KNOWN.reach()[0]) == pytest.approx(94.9, abs=0.1)
    assert KNOWN.outline() == []
    narrower = replace(KNOWN, known=bath(188.0, 21.0, (36.0, 0.0, 0.6)))
    assert narrower.outline() == narrower.ellipse()


@pytest.mark.parametrize(
    ("limits", "held", "ends"),
    [
        ((195.0, 248.0), None, (195 - 0.15 * 53, 248 + 0.15 * 53)),
        ((195.0, 248.0), (188.0, 44.0), (175 - 0.15 * 73, 248 + 0.15 * 73)),  # 1.96 · 44 ** 0.5 = 13.0
        ((195.0, 248.0), (150.0, 150.0**2), (97 - 0.15 * 151, 248 + 0.15 * 151)),  # no more than the window's 53
        (None, (188.0, 0.01), (187.8 - 5, 188.2 + 5)),
        (None, (150.0, 150.0**2), (50 - 0.15 * 200, 250 + 0.15 * 200)),
        (None, (4.0, 0.01), (0.0, 4.2 + 5)),
    ],
)
def test_an_axis_reaches_a_little_beyond_the_window_and_where_the_bath_may_be(limits, held, ends):
    known = held and bath(held[0], None, (held[1], 0.0, 0.0))
    assert BathMap(limits, (30.0, 75.0), 12.0, known).reach()[0] == pytest.approx(ends, abs=0.05)


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
    assert "sulfuric acid: 50 ± 4 g/L." in describe(acid)
    weak = BathMap(None, None, 12.0, bath(None, 1.0, (22500.0, 0.0, 4.0)))
    assert weak.band()[1] == pytest.approx((0.0, 1 + 3.92))
