"""Chances of our own against SciPy's, which are not loaded where only a record is read."""

import math

import numpy as np
import pytest
from scipy.special import chdtrc, ndtr, ndtri

from advisor.basis.chances import chi_squared_above, normal_below
from advisor.check.window import SURE, SURE_REACH


def test_normal_values():
    values = np.linspace(-30.0, 9.0, 400).reshape(20, 20)
    assert normal_below(values) == pytest.approx(ndtr(values), rel=1e-12)


@pytest.mark.parametrize("degrees", [*range(1, 12), 61, 300, 999])
def test_chi_squared(degrees):
    values = [1e-9, 0.3, 1.0, 7.5, 40.0, 300.0, 1200.0]
    expected = [float(chdtrc(degrees, value)) for value in values]
    assert [chi_squared_above(degrees, value) for value in values] == pytest.approx(expected, rel=1e-11, abs=1e-290)


@pytest.mark.parametrize("degrees", [1, 2, 1000])
def test_chi_squared_at_its_ends(degrees):
    assert chi_squared_above(degrees, 0.0) == 1.0
    assert chi_squared_above(degrees, math.inf) == 0.0
    assert math.isnan(chi_squared_above(degrees, math.nan))


def test_the_reach_of_what_is_sure():
    assert ndtri(SURE) == SURE_REACH
