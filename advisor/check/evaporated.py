"""A bath that nobody has measured, whose level has dropped: what water alone brings back, whatever it held."""

from __future__ import annotations

from math import hypot

from advisor.basis.units import Measured
from advisor.readings.tools import LEVEL_READING
from advisor.words.lines import Amount, Line, line

UP_TO_THE_OLD_LEVEL = (
    "If only water has left, {water}up to the old level brings back what the bath held, whatever that was. "
    "What it holds, only a check tells."
)


def water_back(then: Measured | None, now: Measured | None) -> Line:
    """Say that water brings back what a bath held, and how many litres; then, now: its levels [L], None if not told."""
    if then is None or now is None:
        return line(UP_TO_THE_OLD_LEVEL, water="distilled water ")
    spread = hypot(*(level.uncertainty_or(LEVEL_READING * level.value) for level in (then, now)))
    litres = Amount(then.value - now.value, "L", standard_uncertainty=spread)
    return line(UP_TO_THE_OLD_LEVEL, water=line("{litres} of distilled water ", litres=litres))
