"""Where the names of points stand on a chart, so that no line runs through them and none lies on another.

Plain geometry in pixels of a plot as wide as a phone shows it: wider plots only leave more room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist

PLOT = (270.0, 215.0)  # px: width and height of the plot on a phone of 360 px, its axes taken off
LETTER = 6.6  # px: mean width of a letter of 12 px in the sans that Streamlit ships, bold (measured)
LINE = 15.0  # px: height of a line of that
GAP = 11.0  # px between a point and its name
MARK = 6.0  # px from the middle of a point's mark to its edge
_STEPS = 40  # points at which a line is tried
Range = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom [px]


@dataclass(frozen=True)
class Side:
    """Where a name stands beside its point, in the words of Vega-Lite; dx, dy [px], down is positive."""

    align: str
    baseline: str
    dx: float
    dy: float

    def box(self, point: Range, text: str) -> Box:
        """Return the room that a text takes beside a point [px]."""
        width = LETTER * len(text)
        left = point[0] + self.dx - {"left": 0.0, "center": width / 2, "right": width}[self.align]
        top = point[1] + self.dy - {"top": 0.0, "middle": LINE / 2, "bottom": LINE}[self.baseline]
        return left, top, left + width, top + LINE


SIDES = (
    Side("center", "top", 0.0, GAP),
    Side("center", "bottom", 0.0, -GAP),
    Side("left", "middle", GAP, 0.0),
    Side("right", "middle", -GAP, 0.0),
    Side("left", "top", MARK, MARK),
    Side("right", "top", -MARK, MARK),
    Side("left", "bottom", MARK, -MARK),
    Side("right", "bottom", -MARK, -MARK),
)
CORNER = (Side("right", "top", -4.0, 4.0), Side("right", "bottom", -4.0, -4.0))  # for a name at the right edge


@dataclass
class Room:
    """A plot with the lines on it and the names that stand already. reach: the ranges of the axes."""

    reach: tuple[Range, Range]
    lines: list[Sequence[Range]]
    taken: list[Box]

    def place(self, point: Range, text: str, sides: Sequence[Side] = SIDES) -> Side:
        """Return the side of a point, in the units of the axes, on which its name disturbs least, and take it."""
        there = self.pixels(point)
        side = min(sides, key=lambda one: self._disturbs(one.box(there, text)))  # of equals the first
        self.taken.append(side.box(there, text))
        return side

    def mark(self, point: Range) -> None:
        """Keep names off the mark of a point."""
        x, y = self.pixels(point)
        self.taken.append((x - MARK, y - MARK, x + MARK, y + MARK))

    def free(self, point: Range, text: str, side: Side) -> bool:
        """Tell whether a name there would lie on nothing."""
        return self._disturbs(side.box(self.pixels(point), text)) == 0

    def apart(self, one: Range, other: Range) -> bool:
        """Tell whether two points are so far apart that each may have a name."""
        return dist(self.pixels(one), self.pixels(other)) > 2 * GAP

    def _disturbs(self, box: Box) -> int:
        outside = box[0] < 0 or box[1] < 0 or box[2] > PLOT[0] or box[3] > PLOT[1]
        covers = sum(_meet(box, other) for other in self.taken)
        crossed = sum(_inside(box, self.pixels(point)) for line in self.lines for point in _along(line))
        return 100 * outside + 100 * covers + crossed

    def pixels(self, point: Range) -> Range:
        """Return where a point, in the units of the axes, stands in the plot [px], from its upper left corner."""
        (left, right), (bottom, top) = self.reach
        return PLOT[0] * (point[0] - left) / (right - left), PLOT[1] * (top - point[1]) / (top - bottom)


def _along(line: Sequence[Range]) -> list[Range]:
    return [
        (a[0] + (b[0] - a[0]) * step / _STEPS, a[1] + (b[1] - a[1]) * step / _STEPS)
        for a, b in pairwise(line)
        for step in range(_STEPS + 1)
    ]


def _inside(box: Box, point: Range) -> bool:
    return box[0] <= point[0] <= box[2] and box[1] <= point[1] <= box[3]


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
