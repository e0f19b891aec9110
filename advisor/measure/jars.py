"""Jars found in a photograph: copper's own colour before white paper, and the white places beside them.

Copper takes red away and leaves green and blue, whatever the lamp and the camera's white balance. So a jar is where
green and blue are stronger, compared with red, than on the paper. The centre of the largest circle that fits into a
patch of that colour is the jar's; its box lies well inside, clear of glass and surface. A jar that does not look like
the others says why, and a person decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from advisor.basis.arrays import FloatArray
from advisor.basis.fields import InputError
from advisor.basis.srgb import to_linear
from advisor.measure.photograph import LEAST_SIDE, PATCHY, PLACE, Box, Picture, colour

# All tried on rendered photographs.
SMALLEST_PICTURE = 100  # pixels of the shorter side (judgement)
SEEN_AT = 450  # pixels of the longest side at which jars are looked for: finer shows glare and bubbles (judgement)
PALEST = 0.06  # of the logarithm of green or blue beside red that tells a jar from paper: 6 % of the light (judgement)
FAINT = 0.12  # as above, for a jar that is sure (judgement)
NOISE_TIMES = 6.0  # times the paper's own spread that a jar must stand out by (judgement)
CORE = 0.6  # of a jar's own colour: what has less is its shadow or a reflection (judgement)
SHADOW = 0.9  # of a jar's colour: what lies below it and has less is its shadow (judgement)
SMALLEST = 0.012  # of the longest side: the least radius of a jar (judgement)
ALIKE = 1.4  # times that jars of one row may differ in size (judgement)
CRUMB = 0.45  # of the usual radius: less is no jar but a reflection of one (judgement)
BOX_WIDE, BOX_HIGH = 0.5, 0.7  # half sides of a jar's box, of the radius of the circle that fits (judgement)
ALIKE_COLOUR = 0.1  # of the logarithm of light within one jar (judgement)
UNTOLD_RADIUS = 0.03  # of the width: of a jar that was tapped where nothing tells its size (judgement)
GRID, CLOSEST = 40, 12  # places along that are tried for white, no closer than so many pixels (judgement)
LOOKED_AT, WHITE_BOX = 0.9, 0.45  # share of a place that must be plain, and that is read (judgement)
NEUTRAL, EVEN = 0.035, 0.04  # of the logarithm: from the paper's colour; from smooth light (judgement)
BRIGHT = 0.7  # of the brightest paper: what is surely paper (judgement)
MOST_WHITE = 40  # places, nearest to the jars (judgement)


@dataclass(frozen=True)
class Jar:
    """A jar on the photograph: the box inside its liquid, and why it may be none (empty: it is sure)."""

    box: Box
    doubt: str = ""


def find_jars(picture: Picture) -> tuple[Jar, ...]:
    """Return the jars of coloured liquid on a picture (height, width, 3), from left to right.

    Raises InputError where the picture is too small to tell jars on it.
    """
    if min(picture.shape[:2]) < SMALLEST_PICTURE:
        given = f"it has {picture.shape[1]} by {picture.shape[0]} pixels"
        raise InputError(PLACE, given, f"both sides must have at least {SMALLEST_PICTURE} to find jars in it")
    copper = _copper(_small(picture))
    patches = _jars_among(_patches(copper))
    if not patches:
        return ()
    usual = float(np.median([patch.radius for patch in patches]))
    level = float(np.median([patch.y for patch in patches]))
    boxes = [patch.box(picture, copper.shape) for patch in patches]
    doubts = [_doubt(patch, usual, level) for patch in patches]
    return tuple(Jar(box, doubt or _doubt_of_colour(picture, box)) for box, doubt in zip(boxes, doubts, strict=True))


def jar_at(picture: Picture, x: float, y: float, others: Sequence[Jar]) -> Jar:
    """Return the jar that a person tapped in the middle, x and y in shares of width and height.

    Its box is as large as the evenly coloured patch around that place allows, and no larger than those of the others.
    """
    light = np.log(np.maximum(_small(picture), 1e-4))
    high, wide = light.shape[:2]
    column, row = (int(np.clip(at * size, 0, size - 1)) for at, size in ((x, wide), (y, high)))
    near = light[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2].reshape(-1, 3)
    alike = np.abs(light - np.median(near, axis=0)).max(axis=-1) < ALIKE_COLOUR
    labels, _ = ndimage.label(alike)
    inside = np.pad(labels == labels[row, column], 1)
    radius = float(ndimage.distance_transform_edt(inside)[row + 1, column + 1])
    sides = np.array([(jar.box.x1 - jar.box.x0, jar.box.y1 - jar.box.y0) for jar in others])
    usual = np.median(sides, axis=0) / 2 if len(sides) else np.array([BOX_WIDE, BOX_HIGH * wide / high]) * UNTOLD_RADIUS
    own = np.array([BOX_WIDE * radius / wide, BOX_HIGH * radius / high])
    half = np.minimum(usual, np.maximum(own, usual / 3)) if len(sides) else np.maximum(own, usual / 3)
    box = _box(picture, (x, y), (float(half[0]), float(half[1])))
    return Jar(box, _doubt_of_colour(picture, box))


def moved(picture: Picture, jar: Jar, dx: float, dy: float) -> Jar:
    """Return a jar whose box is moved by shares of width and height, as far as the picture goes."""
    box = jar.box
    dx = min(max(dx, -box.x0), 1 - box.x1)
    dy = min(max(dy, -box.y0), 1 - box.y1)
    there = Box(box.x0 + dx, box.y0 + dy, box.x1 + dx, box.y1 + dy)
    return Jar(there, _doubt_of_colour(picture, there))


def white_places(picture: Picture, jars: Sequence[Jar]) -> tuple[Box, ...]:
    """Return boxes of plain white paper around the jars, nearest first.

    Paper is what has the colour of the brightest parts and a brightness that changes smoothly; an empty glass, a
    shadow and a table do not.
    """
    light = _small(picture)
    high, wide = picture.shape[:2]
    pitch = max(max(high, wide) / GRID, CLOSEST)
    many = max(int(wide / pitch), 1), max(int(high / pitch), 1)
    columns, rows = np.meshgrid(*((np.arange(count) + 0.5) / count for count in many))
    places = np.column_stack([columns.ravel(), rows.ravel()])

    def around(share: float) -> list[Box]:
        half_wide, half_high = (share / 2 / count for count in many)
        return [Box(x - half_wide, y - half_high, x + half_wide, y + half_high) for x, y in places.tolist()]

    boxes = around(WHITE_BOX)
    cells = [box.cut_of(light).reshape(-1, 3) for box in around(LOOKED_AT)]
    shown = np.log(np.array([cell.mean(axis=0) for cell in cells]) + 1e-4)
    spread = np.array([cell[:, 0].std() / max(cell[:, 0].mean(), 1e-4) for cell in cells])
    paper = _paper(places, shown, np.log(_of_paper(light) + 1e-4), spread)
    at = np.array([jar.box.middle() for jar in jars]).reshape(-1, 2)
    shape = np.array([1.0, high / wide])
    far = np.linalg.norm((places[:, None] - at[None]) * shape, axis=-1).min(axis=1) if len(at) else places[:, 0]
    nearest = sorted(np.flatnonzero(paper), key=lambda number: far[number])
    return tuple(boxes[number] for number in nearest[:MOST_WHITE])


# --- The picture, small ---------------------------------------------------------------------------


def _small(picture: Picture) -> FloatArray:
    """Return linear light averaged over square blocks of some pixels, about SEEN_AT long."""
    step = max(max(picture.shape[:2]) // (2 * SEEN_AT), 1)
    thinned = picture[::step, ::step]
    side = max(-(-max(thinned.shape[:2]) // SEEN_AT), 1)
    high, wide = thinned.shape[0] // side, thinned.shape[1] // side
    light = to_linear(np.arange(256))[thinned[: high * side, : wide * side]]
    return np.asarray(light.reshape(high, side, wide, side, 3).mean(axis=(1, 3)), dtype=float)


def _of_paper(light: FloatArray) -> FloatArray:
    """Return the light of the paper, shape (3,): the middle of the brightest third."""
    grey = light.mean(axis=-1)
    return np.asarray(np.median(light[grey >= np.quantile(grey, 2 / 3)], axis=0), dtype=float)


def _copper(light: FloatArray) -> FloatArray:
    """Return how far the weaker of green and blue stands above red, beside the paper: a logarithm, (height, width)."""
    beside = np.log(np.maximum(light, 1e-4) / np.maximum(_of_paper(light), 1e-4))
    return np.asarray(np.minimum(beside[..., 1], beside[..., 2]) - beside[..., 0], dtype=float)


# --- Patches of copper's colour -------------------------------------------------------------------


@dataclass(frozen=True)
class _Patch:
    """A patch of copper's colour; x, y, radius of the largest circle in it [small pixels], its colour, its sides."""

    x: float
    y: float
    radius: float
    colour: float
    sides: tuple[int, int]
    at_edge: bool

    def hangs_on(self, other: _Patch) -> bool:
        """Tell whether it is the other's shadow or mirror image: below it, and paler."""
        below = other.y < self.y < other.y + 2 * other.sides[1]
        return below and abs(self.x - other.x) < other.sides[0] and self.colour < other.colour * SHADOW

    def box(self, picture: Picture, shape: tuple[int, ...]) -> Box:
        high, wide = shape
        half = BOX_WIDE * self.radius / wide, BOX_HIGH * self.radius / high
        return _box(picture, (self.x / wide, self.y / high), half)


def _patches(copper: FloatArray) -> list[_Patch]:
    """Return the patches that stand out from the paper."""
    noise = 1.4826 * float(np.median(np.abs(copper - np.median(copper))))  # robust standard deviation
    stands_out = ndimage.binary_opening(ndimage.median_filter(copper, 3) > max(PALEST, NOISE_TIMES * min(noise, 0.02)))
    labels, count = ndimage.label(stands_out)
    least, sizes = SMALLEST * max(labels.shape), np.bincount(labels.ravel(), minlength=count + 1)
    large = [(n, where) for n, where in enumerate(ndimage.find_objects(labels), 1) if sizes[n] > (2 * least) ** 2]
    patches = [_patch(copper, labels == number, where) for number, where in large]
    return [patch for patch in patches if patch.radius > least]


def _patch(copper: FloatArray, inside: NDArray[np.bool_], where: tuple[slice, slice]) -> _Patch:
    """Measure a patch by its core, without a shadow or reflection that hangs on it."""
    part, colours = inside[where], copper[where]
    own = float(np.quantile(colours[part], 0.6))
    core = np.pad(ndimage.binary_fill_holes(part & (colours > CORE * own)), 1)
    depth = ndimage.distance_transform_edt(core)[1:-1, 1:-1]
    rows, columns = np.nonzero(depth > 0.9 * depth.max())
    ends = np.nonzero(core.any(axis=1))[0], np.nonzero(core.any(axis=0))[0]
    sides = int(np.ptp(ends[1])) + 1, int(np.ptp(ends[0])) + 1
    at_edge = where[0].start == 0 or where[1].start == 0
    at_edge = at_edge or where[0].stop == copper.shape[0] or where[1].stop == copper.shape[1]
    x, y = where[1].start + float(np.median(columns)) + 0.5, where[0].start + float(np.median(rows)) + 0.5
    return _Patch(x, y, float(depth.max()), own, sides, at_edge)


def _jars_among(patches: Sequence[_Patch]) -> list[_Patch]:
    """Return the patches that may be jars, from left to right: no shadows, and none far smaller than the others."""
    own = [patch for patch in patches if not any(patch.hangs_on(other) for other in patches)]
    largest = max((patch.radius for patch in own), default=0.0)
    usual = float(np.median([patch.radius for patch in own if patch.radius >= largest / 2] or [0.0]))
    return sorted((patch for patch in own if patch.radius > CRUMB * usual), key=lambda patch: patch.x)


def _box(picture: Picture, at: tuple[float, float], half: tuple[float, float]) -> Box:
    """Return the box about a place, no smaller than can be read, moved so that all of it lies on the picture."""
    high, wide = picture.shape[:2]
    x_half, y_half = (max(side, (LEAST_SIDE / 2 + 1) / size) for side, size in zip(half, (wide, high), strict=True))
    x, y = min(max(at[0], x_half), 1 - x_half), min(max(at[1], y_half), 1 - y_half)
    return Box(x - x_half, y - y_half, x + x_half, y + y_half)


# --- Doubts ---------------------------------------------------------------------------------------


def _doubt(patch: _Patch, usual: float, level: float) -> str:
    """Return why a patch may be no jar, or not one jar; empty where nothing speaks against it."""
    wide, high = patch.sides
    reasons = {
        "it lies at the edge of the picture": patch.at_edge,
        "it is as wide as two: tap each in its middle": wide > 3.0 * usual and wide > 1.2 * high,
        "its size is not that of the others": not usual / ALIKE < patch.radius < usual * ALIKE,
        "it does not stand in the row": abs(patch.y - level) > 2.0 * usual,
        "its colour is faint": patch.colour < FAINT,
    }
    return next((reason for reason, holds in reasons.items() if holds), "")


def _doubt_of_colour(picture: Picture, box: Box) -> str:
    return "its light is patchy: glare or an edge lies in it" if colour(picture, box).spread > PATCHY else ""


# --- Paper ----------------------------------------------------------------------------------------


def _paper(places: FloatArray, shown: FloatArray, paper: FloatArray, spread: FloatArray) -> NDArray[np.bool_]:
    """Tell which places (n, 2) are paper.

    shown: the logarithm of their light (n, 3). paper: that of the paper (3,). spread: of the light in each, relative.
    """
    tint = (shown - shown.mean(axis=1, keepdims=True)) - (paper - paper.mean())
    plain = (np.abs(tint).max(axis=1) < NEUTRAL) & (spread < EVEN)
    x, y = 2 * places.T - 1
    curved = np.column_stack([np.ones(len(x)), x, y, x**2, x * y, y**2])
    grey = shown.mean(axis=1)
    chosen = plain & (grey > np.log(BRIGHT) + np.quantile(grey[plain], 0.9) if plain.any() else plain)
    for _ in range(4):
        if chosen.sum() < 2 * curved.shape[1]:
            break
        surface = curved @ np.linalg.lstsq(curved[chosen], grey[chosen], rcond=1e-4)[0]
        chosen = plain & (np.abs(grey - surface - np.median((grey - surface)[chosen])) < EVEN)
    return np.asarray(chosen, dtype=bool)
