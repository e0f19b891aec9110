"""The bath on a map: copper sulfate across, free acid up, the working window as a field on it.

Here are its numbers, their geometry, and the sentences that stand for it (`describe`); `map_picture` draws it. Where
the bath is known only in one direction, it is a band; where not at all, only window and saturation are drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi

import numpy as np

from advisor.basis.units import COVERAGE
from advisor.check.known import Known
from advisor.solution.solubility import saturation
from advisor.words.lines import Amount, Line, Units, capital, joined, line

CHI_SQUARED_95 = 5.991  # of two degrees of freedom: -2 ln 0.05 (computed)
_CORNERS = 72  # of the ellipse: one in 5 degrees looks round (judgement)
Range = tuple[float, float]


@dataclass(frozen=True)
class BathMap:
    """What is drawn. Concentrations in g/L at 20 degC; None where nothing is known or the window names no limit.

    known: what the readings say; a component that was not measured is not drawn. path: (copper sulfate, acid) after
    each step. done: how many steps of the path have been taken. coldest: temperature of the saturation line [degC].
    added: what each step is of ("crystals"). target: the point aimed at. just_water: where water alone would bring the
    bath. units: those of the axes.
    """

    copper_sulfate_limits: Range | None
    sulfuric_acid_limits: Range | None
    coldest: float
    known: Known | None = None
    path: tuple[Range, ...] = ()
    done: int = 0
    added: tuple[str, ...] = ()
    target: Range | None = None
    just_water: Range | None = None
    units: Units = Units.METRIC

    def _measured(self, name: str) -> float | None:
        return self.known.value(name) if self.known and name in self.known.measured else None

    @property
    def copper_sulfate(self) -> float | None:
        """The bath as measured [g/L]."""
        return self._measured("copper_sulfate")

    @property
    def sulfuric_acid(self) -> float | None:
        """The bath as measured [g/L]."""
        return self._measured("sulfuric_acid")

    @property
    def covariance(self) -> tuple[float, float, float]:
        """Variance of copper sulfate, covariance, variance of acid [g2/L2]; zeros where nothing is known."""
        if self.known is None:
            return 0.0, 0.0, 0.0
        (first, shared), (_, second) = self.known.block(("copper_sulfate", "sulfuric_acid")).tolist()
        return first, shared, second

    def stations(self) -> list[Range]:
        """Return the bath as measured, then as it is after each step; empty where it is not known."""
        if self.copper_sulfate is None or self.sulfuric_acid is None:
            return []
        return [(self.copper_sulfate, self.sulfuric_acid), *self.path]

    def after(self, number: int) -> str:
        """Return the name of a step's end, such as "after water"; by its number where it is not said what it is of."""
        return f"after {self.added[number - 1]}" if number <= len(self.added) else f"after step {number}"

    def outline(self) -> list[Range]:
        """Return the ellipse, as far as names should keep off it: not at all where it is larger than the window."""
        (left, right), _ = self.reach()
        found = self.ellipse()
        wide = max(x for x, _ in found) - min(x for x, _ in found)
        return found if wide < (right - left) / 3 else []

    def reach(self) -> tuple[Range, Range]:
        """Return the ranges of the axes: the window and all points, with room around."""
        ranges = []
        for axis, (limits, value) in enumerate(
            [(self.copper_sulfate_limits, self.copper_sulfate), (self.sulfuric_acid_limits, self.sulfuric_acid)]
        ):
            points = [point[axis] for point in self.path] + list(limits or ())
            points += [point[axis] for point in (self.just_water, self.target) if point]
            if value is not None:
                # A bath hardly known must not shrink the window to a speck: the ellipse is cut instead.
                half = min(COVERAGE * self.covariance[2 * axis] ** 0.5, limits[1] - limits[0] if limits else 100.0)
                points += [value - half, value + half]
            low, high = min(points, default=0.0), max(points, default=300.0)
            room = max(0.15 * (high - low), 5.0)
            ranges.append((float(max(low - room, 0.0)), float(high + room)))
        return ranges[0], ranges[1]

    def ellipse(self) -> list[Range]:
        """Return the outline of the region that holds the bath with 95 % probability, from the Cholesky factor."""
        assert self.copper_sulfate is not None
        assert self.sulfuric_acid is not None
        first, shared, second = self.covariance
        lower = np.linalg.cholesky(np.array([[first, shared], [shared, second]]) + 1e-12 * np.eye(2))
        angles = 2 * pi * np.arange(_CORNERS + 1) / _CORNERS
        x, y = CHI_SQUARED_95**0.5 * lower @ np.array([np.cos(angles), np.sin(angles)])
        copper_sulfate, acid = self.copper_sulfate + x, np.maximum(self.sulfuric_acid + y, 0.0)
        return list(zip(copper_sulfate.tolist(), acid.tolist(), strict=True))

    def band(self) -> tuple[Range, Range]:
        """Return the (copper sulfate, acid) ranges of a bath known in one direction only; endless in the other."""
        ranges = []
        for value, variance in ((self.copper_sulfate, self.covariance[0]), (self.sulfuric_acid, self.covariance[2])):
            half = COVERAGE * variance**0.5
            ranges.append((-inf, inf) if value is None else (max(value - half, 0.0), value + half))
        return ranges[0], ranges[1]

    def saturation_line(self) -> list[Range]:
        """Return where crystals begin to form at the coldest temperature."""
        _, (low, high) = self.reach()
        acid = np.linspace(low, high, 40)
        copper_sulfate = np.asarray(saturation(self.coldest, acid))
        return [(float(x), float(y)) for x, y in zip(copper_sulfate, acid, strict=True)]


def describe(numbers: BathMap) -> Line:
    """Return the chart in words, for those who do not see it."""
    said = [
        line("Map of the bath, copper sulfate across and sulfuric acid up. {window}", window=_describe_window(numbers))
    ]
    for name, value, variance in (
        ("copper sulfate", numbers.copper_sulfate, numbers.covariance[0]),
        ("sulfuric acid", numbers.sulfuric_acid, numbers.covariance[2]),
    ):
        known = "not known" if value is None else Amount(value, "g/L", 0, standard_uncertainty=variance**0.5)
        said.append(line("Measured {name}: {known}.", name=name, known=known))
    for number, (copper_sulfate, acid) in enumerate(numbers.path, 1):
        name = capital(numbers.after(number)) + (" (done)" if number <= numbers.done else "")
        said.append(line("{name}: {after}.", name=name, after=Amount(copper_sulfate, "g/L", upper=acid, link=" and ")))
    for words, point in (("The aim is", numbers.target), ("Water alone would give", numbers.just_water)):
        if point:
            after = Amount(point[0], "g/L", upper=point[1], link=" and ")
            said.append(line("{words} {after}.", words=words, after=after))
    return joined(" ", said)


def _describe_window(numbers: BathMap) -> Line:
    both = (numbers.copper_sulfate_limits, numbers.sulfuric_acid_limits)
    copper, acid = (
        Amount(limits[0], "g/L", digits=6, upper=limits[1]) if limits else "without limits" for limits in both
    )
    return line("The working window: copper sulfate {copper}, sulfuric acid {acid}.", copper=copper, acid=acid)
