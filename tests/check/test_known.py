"""What is known of a bath: values, correlations and sums read off one mean and covariance."""

import numpy as np
import pytest

from advisor.check.known import Known, Value, independent
from advisor.readings.model import State

COVARIANCE = np.array([[9.0, -1.5, 0.6], [-1.5, 4.0, 0.0], [0.6, 0.0, 25.0]])
KNOWN = Known(
    ("copper_sulfate", "sulfuric_acid", "chloride"),
    np.array([200.0, -3.0, 70.0]),
    COVARIANCE,
    frozenset({"copper_sulfate", "chloride"}),
    5.6,
    0.011,
)


def test_a_component_is_read_with_its_standard_uncertainty_and_never_below_zero():
    assert KNOWN.of("chloride") == Value(70.0, 5.0)
    assert KNOWN.of("sulfuric_acid") == Value(0.0, 2.0)
    assert KNOWN.state() == State(copper_sulfate=200.0, sulfuric_acid=0.0, chloride=70.0)


def test_correlation_and_block_keep_the_order_asked_for():
    assert KNOWN.correlation("copper_sulfate", "sulfuric_acid") == pytest.approx(-1.5 / (3 * 2))
    assert KNOWN.block(("chloride", "copper_sulfate")) == pytest.approx(np.array([[25.0, 0.6], [0.6, 9.0]]))


def test_a_sum_carries_the_covariance_and_counts_unknown_names_as_nothing():
    value, spread = KNOWN.sum_of({"copper_sulfate": 2.0, "sulfuric_acid": 1.0, "iron": 100.0})
    assert value == pytest.approx(397.0)
    assert spread == pytest.approx(np.sqrt(4 * 9.0 + 4.0 + 2 * 2 * -1.5))


def test_independent_components_are_not_tied_to_each_other():
    known = independent({"copper_sulfate": Value(200.0, 3.0), "chloride": Value(70.0, 5.0)}, ["chloride"], 5.6, 0.01)
    assert known.correlation("copper_sulfate", "chloride") == 0
    assert known.of("copper_sulfate") == Value(200.0, 3.0)
    assert known.measured == {"chloride"}
