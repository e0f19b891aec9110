"""The verdict against the formulas of JCGM 106:2012 and the bivariate normal probability against numerical integration."""

import numpy as np
import pytest
from scipy.special import ndtr

from advisor.check.window import (
    Verdict,
    are_decided,
    is_determined,
    judge,
    probability_below,
    probability_inside,
    sits_in,
    window_limits,
)
from tests.random_tasks import probability_of_box


def test_probability_of_conformity_is_the_formula_of_jcgm_106() -> None:
    """JCGM 106:2012, 7.4 (two-sided interval): pc = Φ((TU − y)/u) − Φ((TL − y)/u)."""
    verdict = judge(240.0, 6.0, (195.0, 248.0))
    assert verdict.probability_in == pytest.approx(ndtr((248 - 240) / 6) - ndtr((195 - 240) / 6), abs=1e-12)
    assert verdict.state == "unsure"
    assert verdict.probability_high == pytest.approx(1 - ndtr(8 / 6), abs=1e-12)


def test_resistor_example_of_jcgm_106() -> None:
    """JCGM 106:2012, 7.3.2 (one-sided, from memory): 1-Φ-type tail; a value one u inside a single limit conforms with 84 %."""
    assert judge(1.0, 1.0, (0.0, 1e9)).probability_in == pytest.approx(1.0)  # a limit of zero cannot be missed
    assert judge(199.0, 4.0, (195.0, 1e9)).probability_in == pytest.approx(0.8413, abs=1e-4)


@pytest.mark.parametrize(
    ("mean", "state"), [(150.0, "low"), (196.0, "unsure"), (221.0, "in"), (247.0, "unsure"), (300.0, "high")]
)
def test_states(mean: float, state: str) -> None:
    verdict = judge(mean, 4.0, (195.0, 248.0))
    assert verdict.state == state
    assert verdict.probability_low + verdict.probability_in + verdict.probability_high == pytest.approx(1.0)


@pytest.mark.parametrize(("mean", "side"), [(194.0, "low"), (196.0, "in"), (247.0, "in"), (249.0, "high")])
def test_what_is_not_certain_is_told_by_its_likeliest_side(mean: float, side: str) -> None:
    """A quarter of a standard uncertainty from a limit: Φ(1/4) = 0.5987."""
    assert judge(mean, 4.0, (195.0, 248.0)).likeliest() == (side, pytest.approx(0.5987, abs=1e-4))


@pytest.mark.parametrize(("reach", "surely"), [(1.64, False), (1.65, True)])
def test_a_verdict_is_certain_from_95_percent_on(reach: float, surely: bool) -> None:
    """Of a normal distribution 5 % lies beyond 1.645 standard uncertainties on one side."""
    for mean, state in ((195 + 4 * reach, "in"), (195 - 4 * reach, "low"), (900 + 4 * reach, "high")):
        assert judge(mean, 4.0, (195.0, 900.0)).state == (state if surely else "unsure")
        assert are_decided(np.array([mean]), 4.0, (195.0, 900.0)) == [surely]


def test_probability_below_known_values() -> None:
    """Orthant probability 1/4 + arcsin(ρ)/2π (Sheppard 1899); independence: the product."""
    for correlation in (-0.9, -0.3, 0.0, 0.5, 0.95):
        assert probability_below(0.0, 0.0, correlation) == pytest.approx(
            0.25 + np.arcsin(correlation) / (2 * np.pi), abs=1e-12
        )
    assert probability_below(0.7, -1.1, 0.0) == pytest.approx(ndtr(0.7) * ndtr(-1.1), abs=1e-12)
    assert probability_below(50.0, 1.0, 0.6) == pytest.approx(ndtr(1.0), abs=1e-12)


def test_probability_inside_against_integration() -> None:
    rng = np.random.default_rng(8)
    limits = ((195.0, 248.0), (30.0, 75.0))
    for _ in range(300):
        mean = (rng.uniform(150, 290), rng.uniform(10, 100))
        spreads = rng.uniform(1, 25), rng.uniform(0.5, 15)
        covariance = (spreads[0] ** 2, rng.uniform(-0.95, 0.95) * spreads[0] * spreads[1], spreads[1] ** 2)
        assert probability_inside(mean, covariance, limits) == pytest.approx(
            probability_of_box(mean, covariance, limits), abs=1e-9
        )


def test_a_lower_limit_of_zero_cannot_be_missed_by_two_values_either() -> None:
    assert probability_inside((10.0, 2.0), (100.0, 0.0, 9.0), ((0.0, 248.0), (0.0, 75.0))) == pytest.approx(1.0)


def test_two_values_that_move_as_one_are_inside_as_often_as_one() -> None:
    """A correlation of 1, both 1.25 standard uncertainties above their lower limits: Φ(1.25) = 0.8944."""
    together = probability_inside((200.0, 50.0), (16.0, 8.0, 4.0), ((195.0, 248.0), (47.5, 75.0)))
    assert together == pytest.approx(0.8944, abs=1e-3)


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid", "chosen", "others"),
    [
        (65.0, 200.0, "standard", ("high throw",)),
        (220.0, 65.0, "high throw", ("standard", "electroforming")),
        (200.0, 40.0, "high throw", ("standard",)),
        (220.0, 65.0, "standard", ()),  # the chosen one holds it already
        (220.0, 200.0, "standard", ()),  # either alone is not enough
    ],
)
def test_another_window_that_holds_a_bath_is_named(copper_sulfate, sulfuric_acid, chosen, others) -> None:
    assert sits_in(copper_sulfate, sulfuric_acid, window_limits(chosen, {}, None)) == others


def test_what_a_window_does_not_limit_is_inside() -> None:
    assert judge(5.0, 1.0, None) == Verdict("in", 0.0, 1.0, 0.0, None)


def test_determined() -> None:
    assert is_determined(220.0, 13.0, (195.0, 248.0))
    assert is_determined(220.0, 21.9, (195.0, 248.0))  # 10 % of the value
    assert is_determined(100.0, 13.2, (195.0, 248.0))  # a quarter of the window is 13.25 g/L
    assert not is_determined(100.0, 13.3, (195.0, 248.0))
    assert is_determined(50.0, 4.9, None)
    assert not is_determined(50.0, 5.1, None)


def test_limits() -> None:
    """Published windows: Metal Finishing Guidebook 2013, Tables VIII and IX."""
    assert window_limits("standard", {}, None) == {
        "copper_sulfate": (195.0, 248.0),
        "sulfuric_acid": (30.0, 75.0),
        "chloride": (50.0, 120.0),
    }
    assert window_limits("high throw", {}, True)["sulfuric_acid"] == (187.0, 225.0)
    assert window_limits("standard", {"chloride": (1.0, 3.0)}, None)["chloride"] == (1.0, 3.0)
    # A bath without additives needs no chloride, and as much copper and acid as any.
    assert window_limits("standard", {}, False) == window_limits("standard", {}, None) | {"chloride": (0.0, 120.0)}
    assert window_limits("electroforming", {}, True)["chloride"] is None
    assert window_limits("electroforming", {}, False)["chloride"] is None


def test_two_chances_of_their_own_multiply_as_two_that_hardly_lean_on_each_other() -> None:
    """Without any covariance a short way is taken: it agrees with the long way, and with the product of `judge`."""
    mean, limits = (np.array([200.0, 244.0]), np.array([40.0, 74.0])), ((195.0, 248.0), (30.0, 75.0))
    short = probability_inside(mean, (16.0, 0.0, 4.0), limits)
    assert short == pytest.approx(probability_inside(mean, (16.0, 1e-10, 4.0), limits), abs=1e-10)
    of_one = judge(200.0, 4.0, limits[0]).probability_in, judge(40.0, 2.0, limits[1]).probability_in
    assert short[0] == pytest.approx(of_one[0] * of_one[1], abs=1e-12)
