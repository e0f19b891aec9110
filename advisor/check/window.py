"""The working window and whether the bath is inside it, after JCGM 106:2012 (conformity with limits under uncertainty).

A component is `in`, `low` or `high` when that is at least 95 % probable, else `unsure`; `not measured` where no
reading says anything of it. Nothing here knows readings or sheets.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.basis import tables
from advisor.basis.arrays import FloatArray
from advisor.basis.components import COMPONENTS
from advisor.solution.ranges import Number
from advisor.words.sections import how_likely

SURE = 0.95  # JCGM 106:2012 leaves it open; judgement
EVEN = 0.5  # probability above which a thing is more likely than not (exact)
SURE_REACH = 1.6448536269514722  # standard uncertainties that keep a value on its side of a limit (computed)
SURE_REACH_BOTH = 1.959963984540054  # the same between two limits, in the middle of them (computed)
FAR_OUT = 7.4  # standard uncertainties beyond which less than 1e-13 of a normal distribution lies (computed)
BEYOND_ALL = 38.0  # standard uncertainties beyond which nothing lies that a float can hold (computed)
Limits = tuple[float, float]


@dataclass(frozen=True)
class Verdict:
    """Where one component stands. limits: lower and upper [g/L; chloride mg/L], None where the window names none."""

    state: str
    probability_low: float | None
    probability_in: float | None
    probability_high: float | None
    limits: Limits | None

    def likeliest(self) -> tuple[str, float]:
        """Return the most probable of "low", "in" and "high" with its probability."""
        chances = {"low": self.probability_low, "in": self.probability_in, "high": self.probability_high}
        side = max(chances, key=lambda state: chances[state] or 0.0)
        return side, chances[side] or 0.0

    @property
    def side(self) -> str:
        """The most probable of "low", "in" and "high", or "not measured"."""
        return self.state if self.state == "not measured" else self.likeliest()[0]

    def how_likely(self) -> str:
        """Return the word for how surely the likeliest is so, such as "likely"."""
        return how_likely(self.likeliest()[1])


def window_limits(name: str, own: Mapping[str, Limits | None], additives: bool | None) -> dict[str, Limits | None]:
    """Return the limits of a published window, each replaced by one's own where given.

    Chloride serves the additives: in a bath that surely has none, there is no lower limit for it.
    """
    row = next(row for row in tables.rows("windows") if row["name"] == name)
    limits: dict[str, Limits | None] = {}
    for component in COMPONENTS:
        unit = "mg_L" if component == "chloride" else "g_L"
        low, high = row[f"{component}_low_{unit}"], row[f"{component}_high_{unit}"]
        published = (float(low), float(high)) if low and high else None
        if component == "chloride" and published and additives is False:
            published = (0.0, published[1])
        limits[component] = own.get(component) or published
    return limits


def named_windows() -> dict[str, dict[str, Limits | None]]:
    """Return the limits of every published window by its name."""
    return {row["name"]: window_limits(row["name"], {}, None) for row in tables.rows("windows")}


def sits_in(copper_sulfate: float, sulfuric_acid: float, limits: Mapping[str, Limits | None]) -> tuple[str, ...]:
    """Return the published windows that hold these values [g/L]; none where the chosen limits hold them already."""
    values = {"copper_sulfate": copper_sulfate, "sulfuric_acid": sulfuric_acid}

    def holds(window: Mapping[str, Limits | None]) -> bool:
        return all((pair := window[name]) is None or pair[0] <= value <= pair[1] for name, value in values.items())

    return () if holds(limits) else tuple(name for name, window in named_windows().items() if holds(window))


def judge(mean: float, standard_uncertainty: float, limits: Limits | None) -> Verdict:
    """Judge a measured component whose value is normally distributed [units of the limits]."""
    if limits is None:
        return Verdict("in", 0.0, 1.0, 0.0, None)
    low, high = (float(missed) for missed in _outside(mean, standard_uncertainty, limits))
    inside = max(1.0 - low - high, 0.0)
    chances = {"low": low, "in": inside, "high": high}
    state = next((state for state, chance in chances.items() if chance >= SURE), "unsure")
    return Verdict(state, low, inside, high, limits)


def are_decided(means: FloatArray, standard_uncertainty: float, limits: Limits | None) -> NDArray[np.bool_]:
    """Tell for each mean (n,) whether `judge` is sure of its verdict [units of the limits]."""
    if limits is None:
        return np.ones(len(means), dtype=bool)
    low, high = _outside(means, standard_uncertainty, limits)
    return np.asarray(np.maximum(np.maximum(low, high), 1.0 - low - high) >= SURE)


def _outside(mean: Number, standard_uncertainty: float, limits: Limits) -> tuple[Number, Number]:
    """Return the probabilities of being below and above the limits, element by element."""
    from scipy.special import ndtr  # loaded here and below, since reading a record alone does not need it

    spread = max(standard_uncertainty, 1e-9)
    # A lower limit of zero cannot be missed: concentrations are not negative.
    low = ndtr((limits[0] - mean) / spread) if limits[0] > 0 else 0.0 * mean
    return low, ndtr((mean - limits[1]) / spread)


def not_measured(limits: Limits | None) -> Verdict:
    """Return the verdict on a component of which no reading says anything."""
    return Verdict("not measured", None, None, None, limits)


def is_determined(value: float, standard_uncertainty: float, limits: Limits | None) -> bool:
    """Tell whether a value [unit of the limits] is known well enough to show: to a quarter of the window, or 10 %."""
    width = limits[1] - limits[0] if limits else 0.0
    return standard_uncertainty < max(0.25 * width, 0.10 * value)


def probability_below(h: Number, k: Number, correlation: Number) -> Number:
    """Return P(x < h and y < k) for standard normal x and y with a correlation inside (-1, 1), element by element.

    Source: D. B. Owen, "Tables for computing bivariate normal probabilities", Ann. Math. Statist. 27 (1956)
    1075-1090, eq. 2.1, from memory; checked in the tests against numerical integration. Absolute accuracy 1e-12.
    """
    from scipy.special import ndtr

    h, k = (np.where(value == 0.0, 1e-14, np.clip(value, -BEYOND_ALL, BEYOND_ALL)) for value in (h, k))
    root = np.sqrt(1.0 - correlation**2)
    slants = _owens_t(h, (k / h - correlation) / root) + _owens_t(k, (h / k - correlation) / root)
    return np.asarray(0.5 * (ndtr(h) + ndtr(k)) - slants - np.where(h * k > 0, 0.0, 0.5))


def _owens_t(h: Number, slant: Number) -> Number:
    """Return Owen's T, and 0 where h is too far out to matter: of the corners of a window few are near."""
    from scipy.special import owens_t

    shape = np.broadcast_shapes(np.shape(h), np.shape(slant))
    return np.asarray(owens_t(h, slant, out=np.zeros(shape), where=np.abs(h) < FAR_OUT))


def probability_inside(
    mean: tuple[Number, Number], covariance: tuple[Number, Number, Number], limits: tuple[Limits, Limits]
) -> Number:
    """Return the probability that two jointly normal values are both inside their limits, element by element.

    mean: in the units of the limits. covariance: variance of the first, covariance, variance of the second.
    """
    from scipy.special import ndtr

    spreads = [np.sqrt(np.maximum(covariance[at], 1e-18)) for at in (0, 2)]
    correlation = np.clip(covariance[1] / (spreads[0] * spreads[1]), -0.999999, 0.999999)

    def standardised(value: Number, spread: Number, pair: Limits) -> tuple[Number, Number]:
        # A lower limit of zero cannot be missed.
        low = (pair[0] - value) / spread if pair[0] > 0 else -BEYOND_ALL + 0.0 * value
        return low, (pair[1] - value) / spread

    (x0, x1), (y0, y1) = map(standardised, mean, spreads, limits)
    if not np.any(covariance[1]):  # as of a bath that is taken as known exactly
        return np.asarray((ndtr(x1) - ndtr(x0)) * (ndtr(y1) - ndtr(y0)))
    # The four corners in one call, which is what costs.
    corners = np.asarray(probability_below(np.array([x1, x0, x1, x0]), np.array([y1, y1, y0, y0]), correlation))
    return np.asarray(np.clip(corners[0] - corners[1] - corners[2] + corners[3], 0.0, 1.0))
