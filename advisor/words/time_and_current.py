"""How a time and a current are written, in the unit that fits, wherever one is said."""

from __future__ import annotations

import math

from advisor.basis.units import in_digits

DAYS_FROM = 72.0  # h, from which people count in days (judgement)
MILLIAMPERES_BELOW = 0.1  # A (judgement)
ALWAYS_BELOW = 0.01  # A: a supply that shows amperes has three decimals at most (judgement)


def amperes(current: float, upper: float | None = None, beside: float | None = None, digits: int = 3) -> str:
    """Write a current [A], or a range from it to an upper one; small ones in milliamperes with so many digits.

    beside: the current [A] that an answer is about, whose unit all others of it take that can be read in it.
    """
    ends = [current] if upper is None else [current, upper]
    if ends[-1] < ALWAYS_BELOW or (ends[-1] if beside is None else beside) < MILLIAMPERES_BELOW:
        numbers, unit = [in_digits(1000 * end, digits) for end in ends], "mA"
    else:
        places = 2 if ends[-1] < 10 else 1
        numbers, unit = [_three_at_most(end, max(places, _for_two_digits(end))) for end in ends], "A"
    return f"{' to '.join(dict.fromkeys(numbers))} {unit}"


def _three_at_most(current: float, places: int) -> str:
    """Write a current [A] with so many decimals; a large one with three digits, which is more than is known of it."""
    return in_digits(current, 3) if round(current, 1) >= 100 else f"{current:.{places}f}"


def _for_two_digits(current: float) -> int:
    """Return the decimals that show two digits of a small current [A]: a tiny part's start is never 0.00 A."""
    return 1 - math.floor(math.log10(current)) if 0 < current < MILLIAMPERES_BELOW else 0


def hours(time: float) -> str:
    """Write a time [h], short ones in minutes or seconds, those over three days in days."""
    if time < 1.5 / 60:
        return f"{in_digits(3600 * time, 2)} s"
    if time < 1.5:
        return f"{60 * time:.0f} min"
    return f"{time:.1f} h" if time < DAYS_FROM else f"{time / 24:.1f} days"


def roughly(time: float) -> str:
    """Write a time [h] of which only the order is known, as people say it."""
    if time < 1.5:
        minutes = max(round(60 * time), 1)
        return f"{minutes} minute{'' if minutes == 1 else 's'}"
    return f"{time:.0f} hours" if time < DAYS_FROM else f"{time / 24:.0f} days"
