"""Where the names of points stand on a chart, so that no line runs through them and none lies on another.

Plain geometry in the pixels of the plot. A name that finds no room beside its point stands further off, at the end of a
thin line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import cos, dist, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from advisor.basis.arrays import FloatArray

# Sizes of the plot and of letters were read off the page in a browser; the distances are judgement.
PLOT = (270.0, 215.0)  # px: width and height of the plot on a phone of 360 px, its axes taken off
LETTER = 7.1  # px: mean width of a letter of 12 px in the sans of most systems, bold
PLAIN = 6.2  # px: the same of one that is not bold
LINE = 15.0  # px: height of a line of that
GAP = 11.0  # px between a point and its name
MARK = 6.0  # px from the middle of a point's mark to its edge
APART = 4.0  # px between a name and another, or a mark, on one line: a space (judgement)
NEAR = 20.0  # px: a name further off than this needs a line to its point (judgement)
_RINGS = (24.0, 36.0, 50.0, 66.0, 84.0, 104.0)  # px from a point, tried where beside it there is no room
_DIRECTIONS = 12
_ALONG = 28  # points at which a thin line is tried
_DENSE = 4.0  # px between the points at which a line is tried
HARD, SOFT = 1000.0, 30.0  # px that a name may stand further off to lie on nothing; on no thin outline (judgement)
_HEIGHTS = (0.85, 0.7, 0.55, 0.4, 0.25)  # of a plot
Range = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom [px]


@dataclass(frozen=True)
class Side:
    """Where a name stands beside its point: dx, dy [px], down is positive.

    anchor: which end of the text is there ("start", "middle", "end"). baseline: its "top", "middle" or "bottom".
    upright: it is read from below upwards, and its end is at the top. letter: mean width of its letters [px].
    """

    anchor: str
    baseline: str
    dx: float
    dy: float
    upright: bool = False
    letter: float = LETTER

    def box(self, point: Range, text: str) -> Box:
        """Return the room that a text, of one line or several, takes beside a point [px]."""
        lines = text.split("\n")
        width, height = self.letter * max(map(len, lines)), LINE * len(lines)
        if self.upright:
            width, height = height, width
        left = point[0] + self.dx - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        top = point[1] + self.dy - {"top": 0.0, "middle": height / 2, "bottom": height}[self.baseline]
        return left, top, left + width, top + height

    @cached_property
    def away(self) -> float:
        """How far from its point it stands [px]."""
        return hypot(self.dx, self.dy)

    @cached_property
    def leader(self) -> Range | None:
        """Where the thin line from the point to the name ends, from the point [px]; None where it needs none."""
        if self.away <= NEAR:
            return None
        return self.dx * (1 - 2 / self.away), self.dy * (1 - 2 / self.away)


Place = tuple[Range, Side]  # a point in the units of the axes, and where its name stands
# Places beside a point (judgement).
SIDES = (
    Side("middle", "top", 0.0, GAP),
    Side("middle", "bottom", 0.0, -GAP),
    Side("start", "middle", GAP, 0.0),
    Side("end", "middle", -GAP, 0.0),
    Side("start", "top", MARK, MARK),
    Side("end", "top", -MARK, MARK),
    Side("start", "bottom", MARK, -MARK),
    Side("end", "bottom", -MARK, -MARK),
)
# For a name at the right edge; 4 px keep it off the frame (judgement).
CORNER = (Side("end", "top", -4.0, 4.0, letter=PLAIN), Side("end", "bottom", -4.0, -4.0, letter=PLAIN))


@cache
def everywhere() -> tuple[Side, ...]:
    """Return the places beside a point, then those around it further and further off."""
    further = []
    for ring in _RINGS:
        for step in range(_DIRECTIONS):
            across, down = cos(2 * pi * step / _DIRECTIONS), sin(2 * pi * step / _DIRECTIONS)
            anchor = "middle" if abs(across) < 0.3 else "start" if across > 0 else "end"
            baseline = "middle" if abs(down) < 0.3 else "top" if down > 0 else "bottom"
            further.append(Side(anchor, baseline, ring * across, ring * down))
    return (*SIDES, *further)


class Room:
    """A plot with what stands on it [px]. reach: the ranges of the axes.

    taken: boxes of marks and names. ways, outlines: points (n, 2) of lines.
    """

    def __init__(self, reach: tuple[Range, Range]) -> None:
        self.reach = reach
        self.taken: list[Box] = []
        self.ways: list[FloatArray] = []
        self.outlines: list[FloatArray] = []
        self.leaders: list[FloatArray] = []

    def pixels(self, point: Range) -> Range:
        """Return where a point of the axes lies on the plot, from its upper left corner."""
        (left, right), (bottom, top) = self.reach
        return PLOT[0] * (point[0] - left) / (right - left), PLOT[1] * (top - point[1]) / (top - bottom)

    def place(self, point: Range, text: str) -> Side | None:
        """Return where the name of a point disturbs least, beside it or further off, and take it; None: nowhere."""
        beside = self.choose([(point, side) for side in SIDES], text, most=SOFT)
        found = beside or self.choose([(point, side) for side in everywhere()], text)
        return found[1] if found else None

    def choose(self, places: Sequence[Place], text: str, most: float = HARD) -> Place | None:
        """Return the place at which a name disturbs least, of equals the first, and take it.

        None where there is none, or each disturbs as much as `most`: HARD is a mark, a way, another name or the frame,
        SOFT is an outline.
        """
        if not places:
            return None
        costs = self._disturbed(places, text) + [max(side.away, GAP) for _, side in places]
        best = int(np.argmin(costs))
        if costs[best] >= most:
            return None
        self._take(*places[best], text)
        return places[best]

    def right_of(self, edge: Sequence[Range], places: Sequence[Place], text: str) -> list[Place]:
        """Return the places where a name lies whole to the right of an edge that leans to the right on its way down."""
        line = np.array([self.pixels(point) for point in reversed(edge)])
        boxes = [side.box(self.pixels(point), text) for point, side in places]
        beyond = [left > float(np.interp(foot, line[:, 1], line[:, 0])) for left, _, _, foot in boxes]
        return [place for place, is_beyond in zip(places, beyond, strict=True) if is_beyond]

    def mark(self, point: Range) -> None:
        """Keep names off the mark of a point."""
        x, y = self.pixels(point)
        self.taken.append((x - MARK, y - MARK, x + MARK, y + MARK))

    def way(self, points: Sequence[Range]) -> None:
        """Keep names off a line that is to be followed."""
        self.ways.append(dense([self.pixels(point) for point in points]))

    def outline(self, points: Sequence[Range]) -> None:
        """Keep names off an outline, cut to what the axes show, where that costs little."""
        (left, right), (bottom, top) = self.reach
        cut = [(min(max(x, left), right), min(max(y, bottom), top)) for x, y in points]
        self.outlines.append(dense([self.pixels(point) for point in cut]))

    def apart(self, one: Range, other: Range, pixels: float = 2 * GAP) -> bool:
        """Tell whether two points are so far apart that each may have a name."""
        return dist(self.pixels(one), self.pixels(other)) > pixels

    def _disturbed(self, places: Sequence[Place], text: str) -> FloatArray:
        """Return for each place (n,) how much a name there would disturb."""
        spots = [self.pixels(point) for point, _ in places]
        here = np.array(spots)
        boxes = np.array([side.box(spot, text) for spot, (_, side) in zip(spots, places, strict=True)])
        low, high = boxes[:, :2], boxes[:, 2:]
        hard = (low < 0).any(axis=1) | (high > PLOT).any(axis=1) | _run_through(boxes, self.ways)
        others = np.array(self.taken).reshape(-1, 4)
        near, far = others[:, :2], others[:, 2:]
        aside = np.array([APART, 0.0])
        hard |= np.any(np.all((low[:, None] < far + aside) & (high[:, None] > near - aside), axis=2), axis=1)
        if any(side.leader for _, side in places):
            ends = np.array([side.leader or (0.0, 0.0) for _, side in places])
            thin = here[:, None] + np.linspace(0.0, 1.0, _ALONG)[:, None] * ends[:, None]
            through = ((thin[:, :, None] > near) & (thin[:, :, None] < far)).all(axis=3).any(axis=1)
            own = ((here[:, None] > near) & (here[:, None] < far)).all(axis=2)
            hard |= (through & ~own).any(axis=1) | _crossed(thin, self.leaders)
        return HARD * hard + SOFT * _run_through(boxes, self.outlines)

    def _take(self, point: Range, side: Side, text: str) -> None:
        here = self.pixels(point)
        self.taken.append(side.box(here, text))
        if side.leader:
            self.leaders.append(dense([here, (here[0] + side.leader[0], here[1] + side.leader[1])]))
            self.ways.append(self.leaders[-1])


def beside_the_window(reach: tuple[Range, Range], across: Range, up: Range) -> list[Place]:
    """Return where the name of a field may stand: in its corners, then above and below it; cut to what axes show."""
    (left, right), (bottom, top) = reach
    west, east, south, north = max(across[0], left), min(across[1], right), max(up[0], bottom), min(up[1], top)
    return [
        ((west, north), Side("start", "top", 5.0, 5.0)),
        ((west, south), Side("start", "bottom", 5.0, -5.0)),
        ((east, south), Side("end", "bottom", -5.0, -5.0)),
        ((east, north), Side("end", "top", -5.0, 5.0)),
        ((west, north), Side("start", "bottom", 0.0, -5.0)),
        ((west, south), Side("start", "top", 0.0, 5.0)),
        ((east, south), Side("end", "top", 0.0, 5.0)),
        ((west, (south + north) / 2), Side("start", "middle", 5.0, 0.0)),
    ]


def upright_on_the_right(reach: tuple[Range, Range]) -> list[Place]:
    """Return where a name that is read upwards may stand: at the right edge, from its upper corner, or lower down."""
    (_, right), (bottom, top) = reach
    side = Side("end", "top", -4.0, 4.0, upright=True, letter=PLAIN)
    return [((right, bottom + share * (top - bottom)), side) for share in (1.0, *_HEIGHTS)]


def on_the_right(reach: tuple[Range, Range]) -> list[Place]:
    """Return where a name may stand at the right edge: in its corners, then between them."""
    (_, right), (bottom, top) = reach
    between = [
        ((right, bottom + share * (top - bottom)), Side("end", "middle", -4.0, 0.0, letter=PLAIN)) for share in _HEIGHTS
    ]
    return [((right, top), CORNER[0]), ((right, bottom), CORNER[1]), *between]


def dense(points: Sequence[Range]) -> FloatArray:
    """Return points (n, 2) along a line, so near to each other that no letter fits between them [px]."""
    line = np.asarray(points, dtype=float).reshape(-1, 2)
    moves = np.diff(line, axis=0)
    counts = (np.hypot(moves[:, 0], moves[:, 1]) / _DENSE).astype(int) + 1  # on each piece, its end among them
    piece = np.repeat(np.arange(len(moves)), counts)
    number = np.arange(len(piece)) - (np.cumsum(counts) - counts)[piece] + 1
    return np.concatenate([line[:1], line[piece] + (number / counts[piece])[:, None] * moves[piece]])


def _crossed(thin: FloatArray, others: Sequence[FloatArray]) -> NDArray[np.bool_]:
    """Tell of each thin line (n, points, 2) whether it comes so near to another that they read as one."""
    if not others:
        return np.zeros(len(thin), dtype=bool)
    apart = np.linalg.norm(thin[:, :, None] - np.concatenate(others), axis=3)
    return np.asarray((apart < APART).any(axis=(1, 2)))


def _run_through(boxes: FloatArray, lines: Sequence[FloatArray]) -> NDArray[np.bool_]:
    """Tell of each box (n, 4) whether any of the lines runs through it."""
    if not lines:
        return np.zeros(len(boxes), dtype=bool)
    points = np.concatenate(lines)
    inside = np.all((points >= boxes[:, None, :2]) & (points <= boxes[:, None, 2:]), axis=2)
    return np.asarray(np.any(inside, axis=1))
