"""What lies outside the range of a formula: one named exception and one check.

The formulas of `solution` stay smooth and finite beyond their ranges, because a fit may pass through there;
whoever takes a figure from outside or hands one on calls `check_range`.
"""

import numpy as np
from numpy.typing import NDArray

Number = float | NDArray[np.float64]
"""A float, or an array of any shape: the functions of `solution` work on each element."""

# No bath holds more, and readings that mean more are refused (judgement).
HIGHEST_COPPER_SULFATE = 450.0  # [g/L CuSO4.5H2O]
HIGHEST_SULFURIC_ACID = 400.0  # [g/L] (judgement)
HIGHEST_CHLORIDE = 10_000.0  # [mg/L] (judgement)
HIGHEST = {
    "copper_sulfate": HIGHEST_COPPER_SULFATE,
    "sulfuric_acid": HIGHEST_SULFURIC_ACID,
    "chloride": HIGHEST_CHLORIDE,
}


class OutOfRange(ValueError):
    """A value lies beyond the range in which a formula or table holds."""

    def __init__(self, quantity: str, value: float, unit: str, low: float, high: float) -> None:
        super().__init__(f"{quantity} is {value:g} {unit}; it must be {low:g} to {high:g} {unit}")
        self.quantity, self.value, self.unit, self.low, self.high = quantity, value, unit, low, high


def check_range(quantity: str, value: Number, unit: str, low: float, high: float) -> None:
    """Raise `OutOfRange`, naming the first offender, unless every element of `value` lies within low...high.

    value, low, high: in [unit], which is only named; value of any shape. Not a number counts as out of range.
    """
    values = np.atleast_1d(np.asarray(value, dtype=float))
    outside = values[~((values >= low) & (values <= high))]
    if outside.size:
        raise OutOfRange(quantity, float(outside[0]), unit, low, high)
