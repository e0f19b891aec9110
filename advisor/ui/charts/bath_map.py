"""The bath on a map: copper sulfate across, free acid up, the working window as a field on it.

`bath_map` turns plain numbers into a Vega-Lite chart (a plain mapping: building it through altair takes longer than the
advice) and `describe` into the sentences that stand for it; neither shows anything itself. Where the bath is known only
in one direction, it is a band; where not at all, only window and saturation are drawn. Shapes and words stand beside
every colour, so that the map reads in black and white too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, inf, pi, sin

import numpy as np

from advisor.basis.units import COVERAGE, convert
from advisor.check.known import Known
from advisor.solution.solubility import saturation
from advisor.ui.charts.labels import MARK, Room, Side, beside_the_window, on_the_right
from advisor.ui.look.colours import DARK, LIGHT, Colours, style
from advisor.words.lines import Amount, Line, Units, capital, joined, line

CHI_SQUARED_95 = 5.991  # of two degrees of freedom: -2 ln 0.05 (computed)
_CORNERS = 72  # of the ellipse: one in 5 degrees looks round (judgement)
Range = tuple[float, float]
Layer = dict[str, object]
US_UNIT = "oz/gal"
WINDOW_NAME = "working window"
_ORDER = {"field": "order", "type": "quantitative"}


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
    drawn = _Drawn(numbers, colours)
    layers = [*drawn.cold(), *drawn.window()]
    if numbers.copper_sulfate is not None and numbers.sulfuric_acid is not None:
        way = drawn.way()  # whose names come first
        layers += [drawn.ellipse(), *drawn.ghost(), *drawn.target(), *way]
    elif numbers.copper_sulfate is not None or numbers.sulfuric_acid is not None:
        mark = {"fill": colours["bath"], "fillOpacity": 0.2, "stroke": colours["bath"], "strokeWidth": 1.5}
        layers.append(drawn.rectangle(*numbers.band(), mark))
    drawn.name_cold()
    return {"height": 300, "layer": [*layers, *drawn.names], "config": style(colours)}


class _Drawn:
    """The layers of one map; the names are placed one after the other, and stand above all else."""

    def __init__(self, numbers: BathMap, colours: Colours) -> None:
        self.numbers, self.colours = numbers, colours
        self.names: list[Layer] = []
        self.scale = 1.0 if numbers.units is Units.METRIC else convert(1.0, "concentration", US_UNIT)
        unit = "g/L" if numbers.units is Units.METRIC else US_UNIT
        self.titles = {"x": f"copper sulfate, {unit}", "y": f"sulfuric acid, {unit}"}
        self.room = room_of(numbers, Room(numbers.reach()))

    def axes(self) -> Layer:
        return {
            name: {
                "field": name,
                "type": "quantitative",
                "title": self.titles[name],
                "scale": {"domain": [self.scale * end for end in reach], "nice": False, "zero": False},
                "axis": {"tickCount": 6},
            }
            for name, reach in zip("xy", self.numbers.reach(), strict=True)
        }

    def layer(self, mark: Layer, points: Sequence[Range], words: Sequence[str] = (), **encoding: object) -> Layer:
        """Return a layer that marks points [g/L] in their order, each with its words where there are any."""
        named = [*words, *[""] * (len(points) - len(words))]
        values = [
            {"x": self.scale * x, "y": self.scale * y, "order": i, "words": named[i]} for i, (x, y) in enumerate(points)
        ]
        return {"data": {"values": values}, "mark": {"tooltip": False, **mark}, "encoding": {**self.axes(), **encoding}}

    def rectangle(self, across: Range, up: Range, mark: Layer) -> Layer:
        """Return a rectangle, cut to what the axes show."""
        (left, right), (bottom, top) = self.numbers.reach()
        ends = {"x": max(across[0], left), "x2": min(across[1], right), "y": max(up[0], bottom), "y2": min(up[1], top)}
        return {
            "data": {"values": [{name: self.scale * end for name, end in ends.items()}]},
            "mark": {"type": "rect", "tooltip": False, **mark},
            "encoding": {**self.axes(), "x2": {"field": "x2"}, "y2": {"field": "y2"}},
        }

    def name(self, point: Range, texts: Sequence[str], colour: str, **mark: object) -> None:
        """Write the first of some names, the shorter ones last, that finds room beside a point or near it."""
        placed = ((text, side) for text in texts if (side := self.room.place(point, text)))
        text, side = next(placed, ("", None))
        if side:
            self._write(point, text, side, colour, mark)

    def _write(self, point: Range, text: str, side: Side, colour: str, mark: Layer) -> None:
        if side.leader:
            ends = {"x2Offset": side.leader[0], "y2Offset": side.leader[1]}
            thin = {"type": "rule", "color": self.colours[colour], "strokeWidth": 1, "opacity": 0.6, **ends}
            self.names.append(self.layer(thin, [point], x2={"field": "x"}, y2={"field": "y"}))
        shown = {"type": "text", "color": self.colours[colour], "fontSize": 12, **vars(side), **mark}
        self.names.append(self.layer(shown, [point], [text], text={"field": "words"}))

    def window(self) -> list[Layer]:
        endless = (-inf, inf)
        across, up = self.numbers.copper_sulfate_limits or endless, self.numbers.sulfuric_acid_limits or endless
        green = self.colours["window"]
        mark = {"fill": green, "fillOpacity": 0.14, "stroke": green, "strokeWidth": 1.5}
        corner = self.room.choose(beside_the_window(self.numbers.reach(), across, up), WINDOW_NAME)
        if corner:
            self._write(corner[0], WINDOW_NAME, corner[1], "window", {"fontWeight": 600})
        return [self.rectangle(across, up, mark)]

    def cold(self) -> list[Layer]:
        """Return the field in which crystals form, shaded, with its edge dotted."""
        (left, right), _ = self.numbers.reach()
        edge = [(min(max(x, left), right), y) for x, y in self.numbers.saturation_line()]
        if all(x == right for x, _ in edge):
            return []
        self.room.outline(edge)
        field = {
            "data": {"values": [{"x": self.scale * x, "x2": self.scale * right, "y": self.scale * y} for x, y in edge]},
            "mark": {"type": "area", "orient": "horizontal", "color": self.colours["saturation"], "opacity": 0.16},
            "encoding": {**self.axes(), "x2": {"field": "x2"}},
        }
        mark = {"type": "line", "color": self.colours["saturation"], "strokeWidth": 1.5, "strokeDash": [2, 3]}
        return [field, self.layer(mark, [(x, y) for x, y in edge if left < x < right], order=_ORDER)]

    def name_cold(self) -> None:
        """Write what the field in which crystals form is: last, since that may stand anywhere at the right edge."""
        numbers, (_, right) = self.numbers, self.numbers.reach()[0]
        words = f"crystals below {said_of(numbers)}"
        forms = any(x < right for x, _ in numbers.saturation_line())
        cold = self.room.choose(on_the_right(numbers.reach()), words) if forms else None
        if cold:
            self._write(cold[0], words, cold[1], "saturation", {})

    def ellipse(self) -> Layer:
        blue = self.colours["bath"]
        mark = {"type": "line", "color": blue, "fill": blue, "fillOpacity": 0.2, "strokeWidth": 1.5, "clip": True}
        return self.layer(mark, self.numbers.ellipse(), order=_ORDER)

    def ghost(self) -> list[Layer]:
        """Return where water alone, up to the usual level, would bring the bath: a dashed way to an empty ring."""
        if self.numbers.just_water is None:
            return []
        grey, end = self.colours["saturation"], self.numbers.just_water
        way = {"type": "line", "color": grey, "strokeWidth": 1.5, "strokeDash": [4, 4]}
        ring = {"type": "point", "color": grey, "size": 60, "strokeWidth": 1.5, "fill": "transparent"}
        self.name(end, ["just water"], "saturation")
        return [self.layer(way, [self.numbers.stations()[0], end], order=_ORDER), self.layer(ring, [end])]

    def target(self) -> list[Layer]:
        """Return the point aimed at, as a cross, unless the way ends on it."""
        aim = self.numbers.target
        if aim is None:
            return []
        cross = {"type": "point", "shape": "cross", "color": self.colours["window"], "size": 60, "strokeWidth": 1.5}
        if self.numbers.path and self.room.apart(self.numbers.path[-1], aim):
            self.name(aim, ["aim"], "window")
        return [self.layer({**cross, "fill": "transparent"}, [aim])]

    def way(self) -> list[Layer]:
        """Return the way of the bath: a filled diamond where it stands, a ring after each step."""
        stations = self.numbers.stations()
        steps = [self.numbers.after(number) for number in range(1, len(stations))]
        here = self.numbers.done
        named = named_stations(self.numbers, self.room)
        line_mark = {"type": "line", "color": self.colours["path"], "strokeWidth": 2}
        ring = {"type": "point", "color": self.colours["path"], "size": 70, "strokeWidth": 2, "fill": "transparent"}
        diamond = {"type": "point", "shape": "diamond", "filled": True, "size": 170, "opacity": 1}
        at_once = f"bath {steps[here - 1]}" if here else "bath now"
        self.name(stations[here], [at_once, "bath"], "ink", fontWeight="bold")
        for number in reversed(named):  # where it ends counts most
            self.name(stations[number], [f"{number} {steps[number - 1]}", str(number)], "path", fontWeight="bold")
        digits = ".0f" if self.scale == 1 else ".1f"
        tip = [{"field": "words", "title": "where"}]
        tip += [{"field": field, "title": title, "format": digits} for field, title in self.titles.items()]
        return [
            self.layer(line_mark, stations, order=_ORDER),
            self.layer({**ring, "tooltip": True}, stations, ["bath as measured", *steps], tooltip=tip),
            self.layer({**diamond, "color": self.colours["bath"]}, [stations[here]]),
        ]


def room_of(numbers: BathMap, room: Room) -> Room:
    """Return the room for names on a map, with what they keep off: marks, the way, and outlines where it costs little.

    An ellipse larger than a third of the map keeps nothing off.
    """
    stations, endless = numbers.stations(), (-inf, inf)
    across, up = numbers.copper_sulfate_limits or endless, numbers.sulfuric_acid_limits or endless
    room.outline([(across[0], up[0]), (across[0], up[1]), (across[1], up[1]), (across[1], up[0]), (across[0], up[0])])
    for point in (*stations, numbers.target, numbers.just_water):
        if point:
            room.mark(point)
    if stations:
        room.way(stations)
        room.outline(numbers.outline())
        if numbers.just_water:
            room.outline([stations[0], numbers.just_water])
    return room


def named_stations(numbers: BathMap, room: Room) -> list[int]:
    """Return the numbers of the steps whose ends are named: a step that does not move the bath on the map is not."""
    stations = numbers.stations()
    named: list[int] = []
    for number, point in enumerate(stations):
        apart = all(room.apart(point, stations[other], MARK) for other in (*named, numbers.done))
        if number not in (0, numbers.done) and apart:
            named.append(number)
    return named


def said_of(numbers: BathMap) -> str:
    """Return the coldest temperature as the chart says it."""
    coldest = Amount(numbers.coldest, "°C")
    return str(coldest) if numbers.units is Units.METRIC else coldest.customary()


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
