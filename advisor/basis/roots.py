"""Where a function of one number is zero: loading SciPy's takes as long as a whole check."""

from __future__ import annotations

from collections.abc import Callable

CLOSE = 1e-12  # relative to what is found, and absolute below 1 (judgement: far below what any amount is good for)
MOST_ROUNDS = 200  # halving alone takes 60 (computed)


def zero_between(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a continuous function is zero between two numbers at which its signs differ.

    By inverse quadratic steps where those can be trusted, else by halves: T. R. Chandrupatla, "A new hybrid
    quadratic/bisection algorithm for finding the zero of a nonlinear function without using derivatives", Advances in
    Engineering Software 28 (1997) 145-149 (recalled from memory).
    """
    other, last = float(low), float(high)
    at_other, at_last = float(function(other)), float(function(last))
    if at_other * at_last > 0:
        raise ValueError("the function has one sign at both ends")
    step = 0.5
    for _ in range(MOST_ROUNDS):
        best, at_best = (last, at_last) if abs(at_last) < abs(at_other) else (other, at_other)
        tolerance = CLOSE * max(abs(best), 1.0) / max(abs(other - last), CLOSE * CLOSE)
        if at_best == 0 or tolerance > 0.5:
            break
        here = last + min(max(step, tolerance), 1 - tolerance) * (other - last)
        at_here = float(function(here))
        if (at_here > 0) == (at_last > 0):
            third, at_third = last, at_last
        else:
            third, at_third, other, at_other = other, at_other, last, at_last
        last, at_last = here, at_here
        step = _step((last, at_last), (other, at_other), (third, at_third))
    return best


Point = tuple[float, float]  # a number, and the function there


def _step(last: Point, other: Point, third: Point) -> float:
    """Return the share of the way from the last point to the other one that leads to zero; half where none does."""
    (x, f), (y, g), (z, h) = last, other, third
    if h in (f, g) or f == g:
        return 0.5
    across, up = (x - y) / (z - y), (f - g) / (h - g)
    if up**2 < across and (1 - up) ** 2 < 1 - across:
        return f / (g - f) * h / (g - h) + (z - x) / (y - x) * f / (h - f) * g / (h - g)
    return 0.5
