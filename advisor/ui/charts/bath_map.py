"""The bath on a map: copper sulfate across, free acid up, the working window as a field on it.

`bath_map` turns plain numbers into a Vega-Lite chart (a plain mapping: building it through altair takes longer than the
advice) and `describe` into the sentences that stand for it; neither shows anything itself. Where the bath is known only
in one direction, it is a band; where not at all, only window and saturation are drawn. Shapes and words stand beside
every colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, inf, pi, sin

import numpy as np

from advisor.basis.units import COVERAGE
from advisor.check.known import Known
from advisor.solution.solubility import saturation
from advisor.ui.look.colours import DARK, LIGHT, Colours
from advisor.words.lines import Amount, Line, joined, line

CHI_SQUARED_95 = 5.991  # two degrees of freedom
_CORNERS = 72
Range = tuple[float, float]
Layer = dict[str, object]
_ORDER = {"field": "order", "type": "quantitative"}


@dataclass(frozen=True)
class BathMap:
    """What is drawn. Concentrations in g/L at 20 degC; None where nothing is known or the window names no limit.

    known: what the readings say; a component that was not measured is not drawn. path: (copper sulfate, acid) after
    each step. done: how many steps of the path have been taken. coldest: temperature of the saturation line [degC].
    """

    copper_sulfate_limits: Range | None
    sulfuric_acid_limits: Range | None
    coldest: float
    known: Known | None = None
    path: tuple[Range, ...] = ()
    done: int = 0

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

    def reach(self) -> tuple[Range, Range]:
        """Return the ranges of the axes: the window and all points, with room around."""
        ranges = []
        for axis, (limits, value) in enumerate(
            [(self.copper_sulfate_limits, self.copper_sulfate), (self.sulfuric_acid_limits, self.sulfuric_acid)]
        ):
            points = [point[axis] for point in self.path] + list(limits or ())
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
            half = COVERAGE * variance**0.5
            ranges.append((-inf, inf) if value is None else (max(value - half, 0.0), value + half))
        return ranges[0], ranges[1]

    def saturation_line(self) -> list[Range]:
        """Return where crystals begin to form at the coldest temperature."""
        _, (low, high) = self.reach()
        acid = np.linspace(low, high, 40)
        copper_sulfate = np.asarray(saturation(self.coldest, acid))
        return [(float(x), float(y)) for x, y in zip(copper_sulfate, acid, strict=True)]


def bath_map(numbers: BathMap, dark: bool = False) -> Layer:
    """Return the chart as a Vega-Lite specification."""
    colours = DARK if dark else LIGHT
    layers = [*_window(numbers, colours), *_saturation(numbers, colours)]
    if numbers.copper_sulfate is not None and numbers.sulfuric_acid is not None:
        layers += [_ellipse(numbers, colours), *_path(numbers, colours)]
    elif numbers.copper_sulfate is not None or numbers.sulfuric_acid is not None:
        mark = {"fill": colours["bath"], "fillOpacity": 0.2, "stroke": colours["bath"], "strokeWidth": 1.5}
        layers.append(_rectangle(numbers, *numbers.band(), mark))
    return {"height": 300, "layer": layers}


def _axes(numbers: BathMap) -> Layer:
    titles = ("copper sulfate, g/L", "sulfuric acid, g/L")
    return {
        name: {
            "field": name,
            "type": "quantitative",
            "title": title,
            "scale": {"domain": list(reach), "nice": False, "zero": False},
            "axis": {"tickCount": 6},
        }
        for name, title, reach in zip("xy", titles, numbers.reach(), strict=True)
    }


def _layer(
    numbers: BathMap, mark: Layer, points: Sequence[Range], words: Sequence[str] = (), **encoding: object
) -> Layer:
    """Return a layer that marks points in their order, each with its words where there are any."""
    named = [*words, *[""] * (len(points) - len(words))]
    values = [{"x": x, "y": y, "order": i, "words": named[i]} for i, (x, y) in enumerate(points)]
    return {"data": {"values": values}, "mark": {"tooltip": False, **mark}, "encoding": {**_axes(numbers), **encoding}}


def _rectangle(numbers: BathMap, across: Range, up: Range, mark: Layer) -> Layer:
    """Return a rectangle, cut to what the axes show."""
    (left, right), (bottom, top) = numbers.reach()
    corners = {"x": max(across[0], left), "x2": min(across[1], right), "y": max(up[0], bottom), "y2": min(up[1], top)}
    return {
        "data": {"values": [corners]},
        "mark": {"type": "rect", "tooltip": False, **mark},
        "encoding": {**_axes(numbers), "x2": {"field": "x2"}, "y2": {"field": "y2"}},
    }


def _label(numbers: BathMap, point: Range, text: str, colour: str, **mark: object) -> Layer:
    shown = {"type": "text", "color": colour, "fontSize": 12, **mark}
    return _layer(numbers, shown, [point], [text], text={"field": "words"})


def _window(numbers: BathMap, colours: Colours) -> list[Layer]:
    endless = (-inf, inf)
    across, up = numbers.copper_sulfate_limits or endless, numbers.sulfuric_acid_limits or endless
    mark = {"fill": colours["window"], "fillOpacity": 0.16, "stroke": colours["window"], "strokeDash": [6, 3]}
    (left, _), (_, top) = numbers.reach()
    corner = (max(across[0], left), min(up[1], top))
    name = _label(numbers, corner, "working window", colours["window"], align="left", baseline="top", dx=5, dy=5)
    return [_rectangle(numbers, across, up, {**mark, "strokeWidth": 1.5}), name]


def _saturation(numbers: BathMap, colours: Colours) -> list[Layer]:
    (left, right), _ = numbers.reach()
    line = [(x, y) for x, y in numbers.saturation_line() if left <= x <= right]
    if len(line) < 2:
        return []
    mark = {"type": "line", "color": colours["saturation"], "strokeWidth": 2, "strokeDash": [2, 3], "clip": True}
    at = max(line[-1], line[0], key=lambda end: _distance(numbers, end))  # that end which is clear of the bath
    gap = -4 if at == line[-1] else -20
    words = f"crystals at {numbers.coldest:.0f} °C →"
    name = _label(numbers, at, words, colours["saturation"], align="right", baseline="bottom", dx=gap, dy=-3)
    return [_layer(numbers, mark, line, order=_ORDER), name]


def _distance(numbers: BathMap, point: Range) -> float:
    """Return how far a point lies from the bath, or else from the lower right corner; squared, in axis lengths."""
    (left, right), (bottom, top) = numbers.reach()
    x = right if numbers.copper_sulfate is None else numbers.copper_sulfate
    y = bottom if numbers.sulfuric_acid is None else numbers.sulfuric_acid
    return ((point[0] - x) / (right - left)) ** 2 + ((point[1] - y) / (top - bottom)) ** 2


def _ellipse(numbers: BathMap, colours: Colours) -> Layer:
    mark = {"type": "line", "color": colours["bath"], "fill": colours["bath"], "fillOpacity": 0.14, "strokeWidth": 1.5}
    return _layer(numbers, {**mark, "clip": True}, numbers.ellipse(), order=_ORDER)


def _path(numbers: BathMap, colours: Colours) -> list[Layer]:
    """Return the way of the bath: a filled diamond where it stands, a numbered ring after each step."""
    assert numbers.copper_sulfate is not None
    assert numbers.sulfuric_acid is not None
    stations = [(numbers.copper_sulfate, numbers.sulfuric_acid), *numbers.path]
    names = ["bath as measured", *(f"after step {number}" for number in range(1, len(stations)))]
    titles = {"words": "where", "x": "copper sulfate, g/L", "y": "sulfuric acid, g/L"}
    tip = [
        {"field": field, "title": title, "format": "" if field == "words" else ".0f"} for field, title in titles.items()
    ]
    way = {"type": "line", "color": colours["path"], "strokeWidth": 2}
    ring = {"type": "point", "color": colours["path"], "size": 70, "strokeWidth": 2, "fill": "transparent"}
    diamond = {"type": "point", "shape": "diamond", "filled": True, "size": 170, "opacity": 1, "color": colours["bath"]}
    here = stations[numbers.done]
    style = {"fontWeight": "bold", "align": "center"}
    labels = [
        _label(numbers, point, str(number), colours["path"], baseline="bottom", dy=-8, **style)
        for number, point in enumerate(stations)
        if number not in (0, numbers.done)
    ]
    words = f"bath after step {numbers.done}" if numbers.done else "bath now"
    return [
        _layer(numbers, way, stations, order=_ORDER),
        _layer(numbers, {**ring, "tooltip": True}, stations, names, tooltip=tip),
        _layer(numbers, diamond, [here]),
        *labels,
        _label(numbers, here, words, colours["ink"], baseline="top", dy=12, **style),
    ]


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
        step = f"{number} (done)" if number <= numbers.done else number
        after = Amount(copper_sulfate, "g/L", upper=acid, link=" and ")
        said.append(line("After step {step}: {after}.", step=step, after=after))
    return joined(" ", said)


def _describe_window(numbers: BathMap) -> Line:
    both = (numbers.copper_sulfate_limits, numbers.sulfuric_acid_limits)
    copper, acid = (
        Amount(limits[0], "g/L", digits=6, upper=limits[1]) if limits else "without limits" for limits in both
    )
    return line("The working window: copper sulfate {copper}, sulfuric acid {acid}.", copper=copper, acid=acid)
