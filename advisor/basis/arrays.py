"""Arrays of numbers: their type, and how a function of them changes near a point."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def linearised(
    function: Callable[[FloatArray], FloatArray], at: ArrayLike, step: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Return the values (m,) of a function at a point (n,), and its slopes (m, n) by central differences.

    function: (n, k) -> (m, k), called once for all k = 2 n + 1 points. step (n,): how far each argument is moved, in
    its own unit; small beside what bends the function.
    """
    point, steps = np.asarray(at, dtype=float), np.asarray(step, dtype=float)
    offsets = np.concatenate([np.zeros((len(point), 1)), np.diag(steps), -np.diag(steps)], axis=1)
    here, up, down = np.split(function(point[:, None] + offsets), [1, 1 + len(point)], axis=1)
    return here[:, 0], (up - down) / (2 * steps)
