"""The map of a bath as a picture (SVG): in the page's colours, light or dark, or black on white for paper.

Pure functions of the numbers of `bath_map`. Shapes and words stand beside every colour, so both are one drawing whose
parts are named by classes, and a look is a style sheet for them. It is shown as an image: Streamlit takes drawings out
of its HTML, and a chart of its own library would be the largest script of a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import floor, inf, log10

from advisor.ui.charts.bath_map import BathMap
from advisor.ui.charts.labels import (
    HARD,
    LINE,
    MARK,
    PLOT,
    SOFT,
    Range,
    Room,
    Side,
    beside_the_window,
    on_the_right,
    upright_on_the_right,
)
from advisor.ui.look.colours import DARK, LIGHT, PAGE, Colours
from advisor.words.lines import Amount, Units, unit_of_axis

LEFT, TOP = 44.0, 4.0  # px: where the plot begins (judgement)
WIDTH, HEIGHT = PLOT[0] + LEFT + 14.0, PLOT[1] + TOP + 36.0  # px, with the axes (judgement)
WINDOW_NAME = "working window"
_TICKS = 6  # of an axis at the most (judgement)
_BELOW = 4.0  # px of a line below its letters' feet (judgement)
_FOOT = {"top": 11.0, "middle": 4.0, "bottom": -3.0}  # px from a line's edge to its letters (judgement)
_ABOVE = {"top": 0.0, "middle": 0.5, "bottom": 1.0}  # of further lines, the share that stands above (judgement)
_FONT = "font: 12px 'Source Sans 3', Roboto, 'Helvetica Neue', Arial, 'DejaVu Sans Condensed', sans-serif;"


def _properties(colours: Colours) -> str:
    return "svg{" + "".join(f"--{name}:{colour};" for name, colour in colours.items()) + "}"


SCREEN = (
    f"{_properties(LIGHT | {'page': PAGE['light']})}"
    f"@media (prefers-color-scheme:dark){{{_properties(DARK | {'page': PAGE['dark']})}}}"
    f"svg{{{_FONT}fill:var(--saturation)}}"
    ".grid,.frame{stroke:var(--line);fill:none}.grid{opacity:.5}"
    ".shade{fill:var(--saturation);opacity:.09}.hatch{stroke:var(--saturation);opacity:.4}.edge{stroke:var(--saturation)}"
    ".window{fill:var(--window);fill-opacity:.14;stroke:var(--window)}"
    ".known{fill:var(--bath);fill-opacity:.2;stroke:var(--bath)}.now{fill:var(--bath)}"
    ".way{stroke:var(--path)}.station{stroke:var(--path)}.ghost{stroke:var(--saturation)}.aim{stroke:var(--window)}"
    "text.window{fill-opacity:1;font-weight:600}text.aim{fill:var(--window)}"
    "text.station{fill:var(--path);font-weight:bold}text.now{fill:var(--ink);font-weight:bold}"
    "text.name{stroke:var(--page);stroke-width:2.5;stroke-opacity:.8;paint-order:stroke}.leader{stroke:var(--saturation);fill:none}"
)
PAPER = (
    f"svg{{{_FONT}fill:#000}}.grid{{display:none}}.frame,.edge,.known,.way,.station,.ghost,.aim{{stroke:#000}}"
    ".frame,.known,.shade{fill:none}.hatch{stroke:#999}.window{fill:none;stroke:#000;stroke-dasharray:7 3}"
    ".leader{stroke:#000}text.window,text.station,text.ghost,text.aim,.name{fill:#000;stroke:#fff;stroke-width:3;"
    "stroke-dasharray:none;paint-order:stroke}text.station,text.now{font-weight:bold}"
)
# How both are drawn.
_SHAPES = (
    ".cold{fill:url(#hatch)}.edge{fill:none;stroke-width:1.5;stroke-dasharray:2 3}.window,.known,.aim{stroke-width:1.5}"
    ".way{fill:none;stroke-width:2}.station{fill:none;stroke-width:2}.aim{fill:none}"
    ".ghost{fill:none;stroke-width:1.5}path.ghost{stroke-dasharray:4 4}text.ghost{fill:inherit}"
)
# Hatched on screen too: in grey, as a browser may print it, its shade would be that of the window.
_HATCH = (
    '<defs><pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse"><rect class="shade" width="7"'
    ' height="7"/><path class="hatch" d="M0 7L7 0"/></pattern></defs>'
)


def map_picture(numbers: BathMap, look: str) -> str:
    """Return the map of a bath as SVG; look: SCREEN or PAPER."""
    drawing = _Drawing(numbers)
    drawing.draw()
    plot = f'<svg x="{LEFT}" y="{TOP}" width="{PLOT[0]}" height="{PLOT[1]}">{"".join(drawing.shapes + drawing.names)}'
    frame = f'<rect class="frame" x="{LEFT}" y="{TOP}" width="{PLOT[0]}" height="{PLOT[1]}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}"><style>{_SHAPES}{look}</style>'
        f"{_HATCH}{drawing.axes()}{plot}</svg>{frame}</svg>"
    )


def told_points(numbers: BathMap) -> list[tuple[Range, str]]:
    """Return each station of the way with its place on the picture [% from the left, from the top] and what it is."""
    room, told = Room(numbers.reach()), []
    for number, point in enumerate(numbers.stations()):
        x, y = room.pixels(point)
        name = numbers.after(number) if number else "bath as measured"
        held = [Amount(value, "g/L") for value in point]
        copper, acid = (amount if numbers.units is Units.METRIC else amount.customary() for amount in held)
        words = f"{name}: {copper} copper sulfate, {acid} acid"
        told.append(((100 * (LEFT + x) / WIDTH, 100 * (TOP + y) / HEIGHT), words))
    return told


class _Drawing:
    """The parts of one map; the names are placed one after the other, and stand above all else."""

    def __init__(self, numbers: BathMap) -> None:
        self.numbers = numbers
        self.reach = numbers.reach()
        self.stations = numbers.stations()
        self.room = room_of(numbers)
        self.shapes: list[str] = []
        self.names: list[str] = []

    def draw(self) -> None:
        """Draw all in the plot; who is named first has the best place."""
        edge = self._cold()
        self._window()
        numbers = self.numbers
        if self.stations:
            self._path("known", numbers.ellipse())
            self._aim()
            self._name_the_way()
            self._ghost()
            self._way()
        elif numbers.copper_sulfate is not None or numbers.sulfuric_acid is not None:
            self._box("known", *numbers.band())
        if edge:
            self._name_the_cold(edge)

    def _at(self, point: Range) -> str:
        x, y = self.room.pixels(point)
        return f"{x:.1f} {y:.1f}"

    def _path(self, name: str, points: Sequence[Range]) -> None:
        self.shapes.append(f'<path class="{name}" d="M{"L".join(map(self._at, points))}"/>')

    def _box(self, name: str, across: Range, up: Range) -> None:
        """Draw a rectangle, cut to what the axes show."""
        (left, right), (bottom, top) = self.reach
        west, east, south, north = max(across[0], left), min(across[1], right), max(up[0], bottom), min(up[1], top)
        self._path(name, [(west, south), (west, north), (east, north), (east, south), (west, south)])

    def _cold(self) -> list[Range]:
        """Draw the field in which crystals form, its edge dotted, and return the edge; empty where there is none."""
        (left, right), (bottom, top) = self.reach
        line = self.numbers.saturation_line()
        edge = [(min(max(x, left), right), y) for x, y in line]
        if all(x == right for x, _ in edge):
            return []
        self.room.outline(edge)
        self._path("cold", [(right, bottom), *edge, (right, top)])
        self._path("edge", [point for point in edge if left < point[0] < right] or edge[:1])
        return edge

    def _name_the_cold(self, edge: Sequence[Range]) -> None:
        """Write what the field in the cold is where that lies in it whole: in a line, in two or three, or upright.

        On no outline, such as that of the window, where there is such a place; without room it is shorter or left out.
        """
        words = f"crystals below {said_of(self.numbers)}"
        two, three = words.replace(" below", "\nbelow"), words.replace(" below ", "\nbelow\n")
        flat, upright = on_the_right(self.reach), upright_on_the_right(self.reach)
        for most in (SOFT, HARD):
            for text, places in ((words, flat), (two, flat), (words, upright), (three, flat), ("crystals", flat)):
                place = self.room.choose(self.room.right_of(edge, places, text), text, most)
                if place:
                    self._write(*place, text, "name")
                    return

    def _window(self) -> None:
        endless = (-inf, inf)
        across, up = self.numbers.copper_sulfate_limits or endless, self.numbers.sulfuric_acid_limits or endless
        self._box("window", across, up)
        place = self.room.choose(beside_the_window(self.reach, across, up), WINDOW_NAME)
        if place:
            self._write(*place, WINDOW_NAME, "window")

    def _name_the_way(self) -> None:
        numbers, here = self.numbers, self.numbers.done
        self._name(self.stations[here], [f"bath {numbers.after(here)}" if here else "bath now", "bath"], "now")
        for number in reversed(named_stations(numbers, self.room)):  # where it ends counts most
            self._name(self.stations[number], [f"{number} {numbers.after(number)}", str(number)], "station")

    def _ghost(self) -> None:
        """Draw where water alone, up to the usual level, would bring the bath: a dashed way to an empty ring."""
        end = self.numbers.just_water
        if end is not None:
            self._path("ghost", [self.stations[0], end])
            self._ring("ghost", end)
            self._name(end, ["just water"], "ghost")

    def _aim(self) -> None:
        """Draw the point aimed at, as a cross, named unless the way ends on it."""
        aim = self.numbers.target
        if aim is not None:
            self.shapes.append(f'<path class="aim" d="M{self._at(aim)}m-5 0h10m-5 -5v10"/>')
            if self.numbers.path and self.room.apart(self.numbers.path[-1], aim):
                self._name(aim, ["aim"], "aim")

    def _way(self) -> None:
        """Draw the way of the bath: a filled diamond where it stands, a ring after each step."""
        self._path("way", self.stations)
        for point in self.stations:
            self._ring("station", point)
        here = self._at(self.stations[self.numbers.done])
        self.shapes.append(f'<path class="now" d="M{here}m-8 0l8 -8l8 8l-8 8z"/>')

    def _ring(self, name: str, point: Range) -> None:
        x, y = self.room.pixels(point)
        self.shapes.append(f'<circle class="{name}" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>')

    def _name(self, point: Range, texts: Sequence[str], kind: str) -> None:
        """Write the first of some names, the shorter ones last, that finds room beside a point or near it."""
        placed = ((text, side) for text in texts if (side := self.room.place(point, text)))
        text, side = next(placed, ("", None))
        if side:
            self._write(point, side, text, kind)

    def _write(self, point: Range, side: Side, text: str, kind: str) -> None:
        x, y = self.room.pixels(point)
        if side.leader:
            across, down = side.leader
            self.names.append(f'<path class="{kind} leader" d="M{x:.1f} {y:.1f}l{across:.1f} {down:.1f}"/>')
        x, y, lines = x + side.dx, y + side.dy, text.split("\n")
        if side.upright:
            turned = f'x="{x - _BELOW:.1f}" y="{y:.1f}" transform="rotate(-90 {x - _BELOW:.1f} {y:.1f})"'
            places = [turned] * len(lines)
        else:
            first = y + _FOOT[side.baseline] - LINE * (len(lines) - 1) * _ABOVE[side.baseline]
            places = [f'x="{x:.1f}" y="{first + LINE * number:.1f}"' for number in range(len(lines))]
        for place, words in zip(places, lines, strict=True):
            self.names.append(f'<text class="{kind} name" {place} text-anchor="{side.anchor}">{escape(words)}</text>')

    def axes(self) -> str:
        """Draw grid, numbers and names of the axes, in the units of the map."""
        unit, scale = unit_of_axis("g/L", self.numbers.units)
        foot, right, middle = TOP + PLOT[1], LEFT + PLOT[0], TOP + PLOT[1] / 2
        said = [
            f'<text x="{LEFT + PLOT[0] / 2}" y="{foot + 31}" text-anchor="middle">copper sulfate, {unit}</text>',
            f'<text x="11" y="{middle}" text-anchor="middle" transform="rotate(-90 11 {middle})">'
            f"sulfuric acid, {unit}</text>",
        ]
        for value in round_values(*(scale * end for end in self.reach[0])):
            x = LEFT + self.room.pixels((value / scale, 0.0))[0]
            said.append(f'<path class="grid" d="M{x:.1f} {TOP}V{foot}"/>')
            said.append(f'<text x="{x:.1f}" y="{foot + 15}" text-anchor="middle">{value:g}</text>')
        for value in round_values(*(scale * end for end in self.reach[1])):
            y = TOP + self.room.pixels((0.0, value / scale))[1]
            said.append(f'<path class="grid" d="M{LEFT} {y:.1f}H{right}"/>')
            said.append(f'<text x="{LEFT - 5}" y="{y + 4:.1f}" text-anchor="end">{value:g}</text>')
        return "".join(said)


def round_values(low: float, high: float) -> list[float]:
    """Return the multiples of 1, 2 or 5 times a power of ten between two ends: as many as an axis takes."""
    power = 10.0 ** floor(log10((high - low) / _TICKS))
    step = next(factor * power for factor in (1, 2, 5, 10) if (high - low) / (factor * power) < _TICKS)
    first, last = -floor(-low / step), floor(high / step)
    return [round(step * number, 9) for number in range(first, last + 1)]


def room_of(numbers: BathMap) -> Room:
    """Return the room for names on a map, with what they keep off: marks, the way, and outlines where it costs little.

    An ellipse larger than a third of the map keeps nothing off.
    """
    room, stations, endless = Room(numbers.reach()), numbers.stations(), (-inf, inf)
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
    """Return the coldest temperature as the picture says it."""
    coldest = Amount(numbers.coldest, "°C")
    return str(coldest) if numbers.units is Units.METRIC else coldest.customary()
