"""The curve between the numbers of a picture, 0 to 255, and the light that they stand for (sRGB).

Source: IEC 61966-2-1, from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.arrays import FloatArray


def to_linear(value: ArrayLike) -> FloatArray:
    """Return the light, 0 to 1, of an sRGB value 0 to 255; any shape."""
    share = np.asarray(value, dtype=float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def from_linear(light: ArrayLike) -> FloatArray:
    """Return the sRGB value, 0 to 255 and not rounded, of light cut to 0 to 1; any shape; undoes `to_linear`."""
    cut = np.clip(np.asarray(light, dtype=float), 0.0, 1.0)
    curved = 1.055 * np.maximum(cut, 1e-9) ** (1 / 2.4) - 0.055
    return np.asarray(255 * np.where(cut <= 0.0031308, 12.92 * cut, curved), dtype=float)
