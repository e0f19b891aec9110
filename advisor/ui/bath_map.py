"""The bath on a map: copper sulfate across, free acid up, the working window as a field on it.

`bath_map` turns plain numbers into a chart and `describe` into the sentence that stands for it; neither shows anything
itself. Where the bath is known only in one direction, it is a band; where not at all, only window and saturation are
drawn. Shapes and words stand beside every colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, inf, pi, sin
from typing import Any

import altair as alt
import numpy as np

from advisor.solution.solubility import saturation

CHI_SQUARED_95 = 5.991  # two degrees of freedom
NORMAL_95 = 1.96
_CORNERS = 72
Range = tuple[float, float]
Colours = dict[str, str]
# Each at least 3:1 against its background.
LIGHT: Colours = {"window": "#4C8A5B", "bath": "#17607D", "path": "#A8562A", "saturation": "#6B6F76", "ink": "#23302F"}
DARK: Colours = {"window": "#7CC48D", "bath": "#6FBBDD", "path": "#E59A6B", "saturation": "#A9AFB6", "ink": "#E8E5DE"}


@dataclass(frozen=True)
class BathMap:
    """What is drawn. Concentrations in g/L at 20 degC; None where nothing is known or the window names no limit.

    covariance: variance of copper sulfate, covariance, variance of acid. path: (copper sulfate, acid) after each step.
    done: how many steps of the path have been taken. coldest: temperature of the saturation line [degC].
    """

    copper_sulfate_limits: Range | None
    sulfuric_acid_limits: Range | None
    coldest: float
    copper_sulfate: float | None = None
    sulfuric_acid: float | None = None
    covariance: tuple[float, float, float] = (0.0, 0.0, 0.0)
    path: tuple[Range, ...] = ()
    done: int = 0

    def reach(self) -> tuple[Range, Range]:
        """Return the ranges of the axes: the window and all points, with room around."""
        ranges = []
        for axis, (limits, value) in enumerate(
            [(self.copper_sulfate_limits, self.copper_sulfate), (self.sulfuric_acid_limits, self.sulfuric_acid)]
        ):
            points = [point[axis] for point in self.path] + list(limits or ())
            if value is not None:
                # A bath hardly known must not shrink the window to a speck: the ellipse is cut instead.
                half = min(NORMAL_95 * self.covariance[2 * axis] ** 0.5, limits[1] - limits[0] if limits else 100.0)
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
        outline = []
        for corner in range(_CORNERS + 1):
            angle = 2 * pi * corner / _CORNERS
            x, y = lower @ np.array([cos(angle), sin(angle)]) * CHI_SQUARED_95**0.5
            outline.append((self.copper_sulfate + float(x), max(self.sulfuric_acid + float(y), 0.0)))
        return outline

    def band(self) -> tuple[Range, Range]:
        """Return the (copper sulfate, acid) ranges of a bath known in one direction only; endless in the other."""
        ranges = []
        for value, variance in ((self.copper_sulfate, self.covariance[0]), (self.sulfuric_acid, self.covariance[2])):
            half = NORMAL_95 * variance**0.5
            ranges.append((-inf, inf) if value is None else (max(value - half, 0.0), value + half))
        return ranges[0], ranges[1]

    def saturation_line(self) -> list[Range]:
        """Return where crystals begin to form at the coldest temperature."""
        _, (low, high) = self.reach()
        acid = np.linspace(low, high, 40)
        copper_sulfate = np.asarray(saturation(self.coldest, acid))
        return [(float(x), float(y)) for x, y in zip(copper_sulfate, acid, strict=True)]


def bath_map(numbers: BathMap, dark: bool = False) -> alt.LayerChart:
    """Return the chart."""
    colours = DARK if dark else LIGHT
    layers = [*_window(numbers, colours), *_saturation(numbers, colours)]
    if numbers.copper_sulfate is not None and numbers.sulfuric_acid is not None:
        layers += [_estimate(numbers, colours), *_path(numbers, colours)]
    elif numbers.copper_sulfate is not None or numbers.sulfuric_acid is not None:
        layers.append(_band(numbers, colours))
    return alt.LayerChart(layer=layers, height=340)


def _axes(numbers: BathMap) -> tuple[alt.X, alt.Y]:
    across, up = numbers.reach()
    titles = ("copper sulfate, g/L", "sulfuric acid, g/L")
    x = alt.X("x:Q", title=titles[0], scale=alt.Scale(domain=across, nice=False), axis=alt.Axis(tickCount=6))
    y = alt.Y("y:Q", title=titles[1], scale=alt.Scale(domain=up, nice=False), axis=alt.Axis(tickCount=6))
    return x, y


def _data(rows: list[dict[str, Any]]) -> alt.Data:
    return alt.Data(values=rows)  # type: ignore[no-untyped-call]


def _points(points: Sequence[Range], words: Sequence[str] = ()) -> alt.Data:
    """Return points in their order, each with its words where there are any."""
    named = [*words, *[""] * (len(points) - len(words))]
    return _data([{"x": x, "y": y, "order": i, "words": named[i]} for i, (x, y) in enumerate(points)])


def _rectangle(numbers: BathMap, across: Range, up: Range) -> alt.Chart:
    """Return a rectangle, cut to what the axes show."""
    (left, right), (bottom, top) = numbers.reach()
    corners = {
        "x": max(across[0], left),
        "x2": min(across[1], right),
        "y": max(up[0], bottom),
        "y2": min(up[1], top),
    }
    x, y = _axes(numbers)
    return alt.Chart(_data([corners])).encode(x=x, x2="x2:Q", y=y, y2="y2:Q")


def _label(numbers: BathMap, point: Range, text: str, colour: str, **mark: Any) -> alt.Chart:
    x, y = _axes(numbers)
    chart = alt.Chart(_points([point], [text])).mark_text(color=colour, fontSize=12, **mark)
    labelled: alt.Chart = chart.encode(x=x, y=y, text="words:N", tooltip=alt.value(None))
    return labelled


def _window(numbers: BathMap, colours: Colours) -> list[alt.Chart]:
    endless = (-inf, inf)
    across, up = numbers.copper_sulfate_limits or endless, numbers.sulfuric_acid_limits or endless
    field = _rectangle(numbers, across, up).mark_rect(
        fill=colours["window"], fillOpacity=0.16, stroke=colours["window"], strokeWidth=1.5, strokeDash=[6, 3]
    )
    (left, _), (_, top) = numbers.reach()
    corner = (max(across[0], left), min(up[1], top))
    name = _label(numbers, corner, "working window", colours["window"], align="left", baseline="top", dx=5, dy=5)
    return [field, name]


def _saturation(numbers: BathMap, colours: Colours) -> list[alt.Chart]:
    (left, right), _ = numbers.reach()
    line = [(x, y) for x, y in numbers.saturation_line() if left <= x <= right]
    if len(line) < 2:
        return []
    x, y = _axes(numbers)
    drawn = (
        alt.Chart(_points(line))
        .mark_line(color=colours["saturation"], strokeWidth=2, strokeDash=[2, 3], clip=True)
        .encode(x=x, y=y, order="order:Q", tooltip=alt.value(None))
    )
    at = line[-1] if line[-1][0] > (left + right) / 2 else line[0]
    words = f"crystals at {numbers.coldest:.0f} °C →"
    return [drawn, _label(numbers, at, words, colours["saturation"], align="right", baseline="bottom", dx=-4, dy=-3)]


def _estimate(numbers: BathMap, colours: Colours) -> alt.Chart:
    x, y = _axes(numbers)
    region = alt.Chart(_points(numbers.ellipse())).mark_line(
        color=colours["bath"], fill=colours["bath"], fillOpacity=0.14, strokeWidth=1.5, clip=True
    )
    outline: alt.Chart = region.encode(x=x, y=y, order="order:Q", tooltip=alt.value(None))
    return outline


def _band(numbers: BathMap, colours: Colours) -> alt.Chart:
    band: alt.Chart = _rectangle(numbers, *numbers.band()).mark_rect(
        fill=colours["bath"], fillOpacity=0.2, stroke=colours["bath"], strokeWidth=1.5
    )
    return band


def _path(numbers: BathMap, colours: Colours) -> list[alt.Chart]:
    """Return the way of the bath: a filled diamond where it stands, a numbered ring after each step to come."""
    assert numbers.copper_sulfate is not None
    assert numbers.sulfuric_acid is not None
    stations = [(numbers.copper_sulfate, numbers.sulfuric_acid), *numbers.path]
    x, y = _axes(numbers)
    names = ["bath as measured", *(f"after step {number}" for number in range(1, len(stations)))]
    data = _points(stations, names)
    tip = [
        alt.Tooltip("words:N", title="where"),
        alt.Tooltip("x:Q", title="copper sulfate, g/L", format=".0f"),
        alt.Tooltip("y:Q", title="sulfuric acid, g/L", format=".0f"),
    ]
    way = alt.Chart(data).mark_line(color=colours["path"], strokeWidth=2).encode(x=x, y=y, order="order:Q")
    rings = (
        alt.Chart(data)
        .mark_point(color=colours["path"], size=70, strokeWidth=2, fill="transparent")
        .encode(x=x, y=y, tooltip=tip)
    )
    here = stations[numbers.done]
    now = alt.Chart(_points([here])).mark_point(
        shape="diamond", filled=True, size=170, opacity=1, color=colours["bath"]
    )
    words = "bath now" if numbers.done == 0 else f"bath after step {numbers.done}"
    labels = [
        _label(
            numbers, point, str(number), colours["path"], align="center", baseline="bottom", dy=-8, fontWeight="bold"
        )
        for number, point in enumerate(stations)
        if number and number != numbers.done
    ]
    name = _label(numbers, here, words, colours["ink"], align="center", baseline="top", dy=12, fontWeight="bold")
    return [way, rings, now.encode(x=x, y=y, tooltip=alt.value(None)), *labels, name]


def describe(numbers: BathMap) -> str:
    """Return the chart in words, for those who do not see it."""
    said = [f"Map of the bath, copper sulfate across and sulfuric acid up. {_describe_window(numbers)}"]
    for name, value, variance in (
        ("copper sulfate", numbers.copper_sulfate, numbers.covariance[0]),
        ("sulfuric acid", numbers.sulfuric_acid, numbers.covariance[2]),
    ):
        known = "not known" if value is None else f"{value:.0f} ± {NORMAL_95 * variance**0.5:.0f} g/L"
        said.append(f"Measured {name}: {known}.")
    for number, (copper_sulfate, acid) in enumerate(numbers.path, 1):
        done = " (done)" if number <= numbers.done else ""
        said.append(f"After step {number}{done}: {copper_sulfate:.0f} and {acid:.0f} g/L.")
    return " ".join(said)


def _describe_window(numbers: BathMap) -> str:
    both = (numbers.copper_sulfate_limits, numbers.sulfuric_acid_limits)
    words = [f"{limits[0]:g} to {limits[1]:g} g/L" if limits else "without limits" for limits in both]
    return f"The working window: copper sulfate {words[0]}, sulfuric acid {words[1]}."
