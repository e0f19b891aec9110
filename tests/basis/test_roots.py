"""Zeros of functions of one number, against SciPy's."""

import math

import pytest
from scipy.optimize import brentq

from advisor.basis.roots import zero_between

FUNCTIONS = {
    "straight": lambda x: 3.0 * x - 700.0,
    "falling": lambda x: 700.0 - 3.0 * x,
    "flat at its zero": lambda x: (x - 500.0) ** 3 + 1e-3 * (x - 500.0),
    "steep at its zero": lambda x: math.tanh(50.0 * (x - 41.0)),
    "bent": lambda x: math.exp(x / 100.0) - 30.0,
    "with a pole beside": lambda x: x / 7.0 - 7.0 / (x + 1e-9),
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_zero_is_that_of_scipy_in_no_more_rounds(name):
    ours, theirs = [], []

    def noted(calls):
        return lambda x: calls.append(x) or FUNCTIONS[name](x)

    assert zero_between(noted(ours), 0.0, 1000.0) == pytest.approx(brentq(noted(theirs), 0.0, 1000.0), rel=1e-11)
    assert len(ours) <= 1.5 * len(theirs)


def test_an_end_may_be_the_zero():
    assert zero_between(lambda x: x, 0.0, 1.0) == 0.0
    assert zero_between(lambda x: x - 1.0, 0.0, 1.0) == 1.0


def test_one_sign_at_both_ends_is_no_question():
    with pytest.raises(ValueError, match="one sign"):
        zero_between(lambda x: x + 1.0, 0.0, 1.0)
