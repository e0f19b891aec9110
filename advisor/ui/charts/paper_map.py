"""The map of a bath for paper: black on white, the field where crystals form hatched, each point with its name.

A pure function of the same numbers as the map on screen (`bath_map`) into SVG.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from advisor.basis.units import convert
from advisor.ui.charts.bath_map import US_UNIT, WINDOW_NAME, BathMap, named_stations, room_of, said_of
from advisor.ui.charts.labels import PLOT, Range, Room, Side, beside_the_window, on_the_right
from advisor.words.lines import Units

WIDTH, HEIGHT = PLOT[0] + 58.0, PLOT[1] + 40.0  # px, with the axes (judgement)
_TICKS = 5  # of an axis (judgement)
_ANCHOR = {"left": "start", "center": "middle", "right": "end"}
_HATCH = (
    '<pattern id="h" width="7" height="7" patternUnits="userSpaceOnUse"><path d="M0 7L7 0" stroke="#999"/></pattern>'
)


def paper_map(numbers: BathMap) -> str:
    """Return the map of a bath of which copper sulfate and acid are known, as SVG."""
    return _Paper(numbers).svg()


class _Paper:
    def __init__(self, numbers: BathMap) -> None:
        self.numbers = numbers
        self.reach = numbers.reach()
        self.stations = numbers.stations()
        self.room = room_of(numbers, Room(self.reach, (PLOT,)))
        self.drawn: list[str] = []

    def svg(self) -> str:
        self._cold()
        self._window()
        self._outline(self.numbers.ellipse(), 'fill="none" stroke="#000"')
        if self.numbers.just_water:
            self._outline(
                [self.stations[0], self.numbers.just_water], 'fill="none" stroke="#000" stroke-dasharray="4 4"'
            )
            self._ring(self.numbers.just_water)
        self._outline(self.stations, 'fill="none" stroke="#000" stroke-width="2"')
        for number, point in enumerate(self.stations):
            self._ring(point, filled=number == 0)
        self._names()
        frame = f'<rect width="{PLOT[0]}" height="{PLOT[1]}" fill="none" stroke="#000"/>'
        inside = "".join(self.drawn)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}"><defs>{_HATCH}<clipPath id="c">'
            f'<rect width="{PLOT[0]}" height="{PLOT[1]}"/></clipPath></defs><g font-family="sans-serif" font-size="12">'
            f'<g transform="translate(44 4)"><g clip-path="url(#c)">{inside}</g>{frame}{self._axes()}</g></g></svg>'
        )

    def _names(self) -> None:
        self._name(self.stations[0], ["bath now", "bath"], bold=True)
        for number in reversed(named_stations(self.numbers, self.room)):
            self._name(self.stations[number], [f"{number} {self.numbers.after(number)}", str(number)], bold=True)
        if self.numbers.just_water:
            self._name(self.numbers.just_water, ["just water"])
        words = f"crystals below {said_of(self.numbers)}"
        forms = any(x < self.reach[0][1] for x, _ in self.numbers.saturation_line())
        cold = self.room.choose(on_the_right(self.reach), words) if forms else None
        if cold:
            self._write(cold[0], words, cold[1])

    def _at(self, point: Range) -> str:
        x, y = self._pixels(point)
        return f"{x:.1f},{y:.1f}"

    def _outline(self, points: list[Range], look: str) -> None:
        self.drawn.append(f'<polyline points="{" ".join(map(self._at, points))}" {look}/>')

    def _pixels(self, point: Range) -> Range:
        return self.room.plots[0].pixels(point)

    def _ring(self, point: Range, filled: bool = False) -> None:
        x, y = self._pixels(point)
        self.drawn.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" fill="{"#000" if filled else "#fff"}" stroke="#000"/>'
        )

    def _name(self, point: Range, texts: Sequence[str], bold: bool = False) -> None:
        placed = ((text, side) for text in texts if (side := self.room.place(point, text)))
        text, side = next(placed, ("", None))
        if side:
            self._write(point, text, side, bold)

    def _write(self, point: Range, text: str, side: Side, bold: bool = False) -> None:
        x, y = self._pixels(point)
        if side.leader:
            across, down = side.leader
            self.drawn.append(
                f'<path d="M{x:.1f} {y:.1f}L{x + across:.1f} {y + down:.1f}" stroke="#000" stroke-width=".8"/>'
            )
        lower = {"top": 11.0, "middle": 4.0, "bottom": -3.0}[side.baseline]  # from a line's edge to its letters' foot
        weight = ' font-weight="bold"' if bold else ""
        self.drawn.append(
            f'<text x="{x + side.dx:.1f}" y="{y + side.dy + lower:.1f}" text-anchor="{_ANCHOR[side.align]}"{weight} '
            f'stroke="#fff" stroke-width="3" paint-order="stroke">{escape(text)}</text>'
        )

    def _window(self) -> None:
        across = self.numbers.copper_sulfate_limits or self.reach[0]
        up = self.numbers.sulfuric_acid_limits or self.reach[1]
        corners = [(across[0], up[0]), (across[0], up[1]), (across[1], up[1]), (across[1], up[0]), (across[0], up[0])]
        self._outline(corners, 'fill="none" stroke="#000" stroke-width="1.5" stroke-dasharray="7 3"')
        place = self.room.choose(beside_the_window(self.reach, across, up), WINDOW_NAME)
        if place:
            self._write(place[0], WINDOW_NAME, place[1])

    def _cold(self) -> None:
        (left, right), (bottom, top) = self.reach
        edge = [(min(max(x, left), right), y) for x, y in self.numbers.saturation_line()]
        if all(x == right for x, _ in edge):
            return
        self._outline([(right, bottom), *edge, (right, top)], 'fill="url(#h)" stroke="none"')
        self._outline(edge, 'fill="none" stroke="#000" stroke-dasharray="2 3"')
        self.room.outline(edge)

    def _axes(self) -> str:
        metric = self.numbers.units is Units.METRIC
        unit, scale = ("g/L", 1.0) if metric else (US_UNIT, convert(1.0, "concentration", US_UNIT))
        said = []
        for step in range(_TICKS):
            share = step / (_TICKS - 1)
            x, y = (scale * (low + share * (high - low)) for low, high in self.reach)
            digits = 0 if metric else 1
            said.append(
                f'<text x="{share * PLOT[0]:.1f}" y="{PLOT[1] + 15}" text-anchor="middle">{x:.{digits}f}</text>'
            )
            said.append(f'<text x="-4" y="{(1 - share) * PLOT[1] + 4:.1f}" text-anchor="end">{y:.{digits}f}</text>')
        said.append(f'<text x="{PLOT[0] / 2}" y="{PLOT[1] + 31}" text-anchor="middle">copper sulfate, {unit}</text>')
        middle = PLOT[1] / 2
        turned = f'x="-32" y="{middle}" text-anchor="middle" transform="rotate(-90 -32 {middle})"'
        said.append(f"<text {turned}>sulfuric acid, {unit}</text>")
        return "".join(said)
