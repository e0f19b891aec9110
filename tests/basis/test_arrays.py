"""Slopes by central differences: exact for parabolas, one call, and the right way round."""

import numpy as np
import pytest

from advisor.basis.arrays import linearised


def test_values_and_slopes_of_a_parabola():
    calls = []

    def function(points):
        calls.append(points.shape)
        x, y = points
        return np.stack([x**2 + 3 * y, x * y, 0 * x + 7.0])

    values, slopes = linearised(function, [2.0, 5.0], [0.1, 0.01])
    assert values == pytest.approx([19.0, 10.0, 7.0])
    assert slopes == pytest.approx(np.array([[4.0, 3.0], [5.0, 2.0], [0.0, 0.0]]))
    assert calls == [(2, 5)]
