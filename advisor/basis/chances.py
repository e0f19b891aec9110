"""Chances of normal and chi-squared values, without SciPy, which takes longer to load than a record takes to read.

Where thousands are asked for at once, as in a search, SciPy's own are quicker.
"""

from __future__ import annotations

import math

import numpy as np

from advisor.basis.arrays import FloatArray

BEYOND_ALL = 1e5  # chi-squared beyond which no chance is left in floating point, to 1000 degrees of freedom (computed)


def normal_below(values: FloatArray) -> FloatArray:
    """Return the probability that a standard normal value lies below each of these, in an array of their shape."""
    return np.array([math.erfc(-value * math.sqrt(0.5)) / 2 for value in values.flat]).reshape(values.shape)


def chi_squared_above(degrees: int, value: float) -> float:
    """Return the probability that a chi-squared value of so many degrees of freedom (at least 1) is above this one.

    The finite series of whole degrees: M. Abramowitz and I. A. Stegun, "Handbook of Mathematical Functions",
    eqs. 26.4.4 and 26.4.5, from memory; the tests hold it against SciPy.
    """
    if value <= 0:
        return 1.0
    half = min(value, BEYOND_ALL) / 2
    powers = [degrees / 2 - 1 - step for step in range(degrees // 2)]
    odd = math.erfc(math.sqrt(half)) if degrees % 2 else 0.0
    return odd + math.fsum(math.exp(power * math.log(half) - half - math.lgamma(power + 1)) for power in powers)
