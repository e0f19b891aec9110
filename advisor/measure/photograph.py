"""A photograph of jars, read into the rows that the reading "photo colour" takes.

The photograph comes as the bytes of a JPEG or PNG file. What could be a decompression bomb or another kind of file is
refused before anything is decoded, and only the pixels are kept: place, time and camera, which a file may carry, are
dropped. Each jar is marked by a box; its linear light (sRGB decoded) is averaged and evened out by white places in the
same photograph (`light`). What the colours mean for the bath is the reading's business, not this module's.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from advisor.basis.arrays import FloatArray
from advisor.basis.fields import InputError
from advisor.basis.srgb import from_linear, to_linear
from advisor.basis.units import COVERAGE, Measured
from advisor.measure.light import Light, light_at
from advisor.readings.photo_colour import CLIPPED, DARK
from advisor.words.lines import listed

Picture = NDArray[np.uint8]  # shape (height, width, 3), sRGB 0 to 255

PLACE = "the photograph"
LARGEST_FILE = 25_000_000  # bytes (judgement)
MOST_PIXELS = 60_000_000  # judgement
ENOUGH_PIXELS = 2000  # longest side that is kept: more tells nothing of a colour (judgement)
LEAST_SIDE = 4  # pixels of a box (judgement)
PATCHY = 0.08  # spread of the linear red inside a box that speaks of glare or an edge (judgement)
MUCH_CUT_OFF = 0.01  # share of a box's pixels (judgement)
UNEVEN, VERY_UNEVEN = 0.05, 0.4  # of light over the jars: worth a word; too much to even out (judgement)
DISAGREE = 0.02  # of white places with each other, beyond what smooth light can be: a shadow, a crease (judgement)
HARDLY_KNOWN = 0.015  # relative standard uncertainty of the light at a jar that is worth a word (judgement)
TINT = 0.03  # of absorbance in green or blue, beside the standards: 7 % of the light (judgement)


@dataclass(frozen=True)
class Box:
    """A rectangle on the photograph, from its top left corner; in shares of its width and height, 0 to 1."""

    x0: float
    y0: float
    x1: float
    y1: float

    def middle(self) -> tuple[float, float]:
        """The middle, as shares of width and height."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def holds(self, x: float, y: float) -> bool:
        """Tell whether a place, as shares of width and height, lies in the box."""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1

    def cut(self, picture: Picture, name: str) -> Picture:
        """Return the pixels inside, shape (rows, columns, 3). Raises InputError where it is no box on the picture."""
        sides = (self.x0, self.y0, self.x1, self.y1)
        if not all(0 <= side <= 1 for side in sides) or self.x0 >= self.x1 or self.y0 >= self.y1:
            given = f"you gave a box from {sides[0]:.0%}, {sides[1]:.0%} to {sides[2]:.0%}, {sides[3]:.0%}"
            raise InputError(name, given, "left must come before right and top before bottom, 0 to 100 %")
        inside = self.cut_of(picture)
        high, wide = inside.shape[:2]
        if min(high, wide) < LEAST_SIDE:
            given = f"the box has {wide} by {high} pixels"
            raise InputError(name, given, f"at least {LEAST_SIDE} by {LEAST_SIDE} are needed")
        return inside

    def cut_of(self, values: NDArray[Any]) -> NDArray[Any]:
        """Return what lies inside: of values over the picture, shape (height, width, 3), as shares or 0 to 255."""
        height, width = values.shape[:2]
        rows = slice(round(self.y0 * height), round(self.y1 * height))
        return values[rows, round(self.x0 * width) : round(self.x1 * width)]


@dataclass(frozen=True)
class Colour:
    """What a box shows: sRGB 0 to 255 of its mean light, relative spread of its linear red, share of red cut off."""

    red: float
    green: float
    blue: float
    spread: float
    cut_off: float

    def linear(self) -> FloatArray:
        """Return the linear light of the three channels, as shares of white, shape (3,)."""
        return to_linear([self.red, self.green, self.blue])


@dataclass(frozen=True)
class Colours:
    """What the jars of a photograph show, in the order in which they were given."""

    jars: tuple[Colour, ...]  # as photographed
    rows: tuple[tuple[float, float, float], ...]  # R, G, B, evened out
    held: tuple[float | None, ...]  # copper sulfate in the jar, g/L; None: it holds the bath
    light: Light  # at the jars
    warnings: tuple[str, ...]

    @property
    def standards(self) -> tuple[tuple[float, float, float, float], ...]:
        """The rows of the reading "photo colour" for the standards: content [g/L], R, G, B."""
        pairs = zip(self.held, self.rows, strict=True)
        return tuple((grams, *row) for grams, row in pairs if grams is not None)

    @property
    def samples(self) -> tuple[tuple[float, float, float], ...]:
        """The rows of that reading for the bath: R, G, B on the scale 0 to 255."""
        return tuple(row for grams, row in zip(self.held, self.rows, strict=True) if grams is None)

    @property
    def light_even_to(self) -> Measured:
        """How far the light at a jar is known after evening out, as that reading takes it: 95 %."""
        return Measured.of(100 * COVERAGE * self.light.standard_uncertainty, "%", "fraction", digits=2)


# --- From a file to pixels ------------------------------------------------------------------------


def decode(content: bytes) -> Picture:
    """Return the pixels of a JPEG or PNG file, upright, at most ENOUGH_PIXELS long; nothing else of the file is kept.

    Raises InputError where the file is too large, of another kind, without colour, broken, or unpacks to too much.
    """
    if len(content) > LARGEST_FILE:
        accepted = f"it may have at most {LARGEST_FILE / 1e6:.0f} MB"
        raise InputError(PLACE, f"it has {len(content) / 1e6:.1f} MB", accepted)
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as image:  # reads the head only
            _check_head(image)
            image.draft("RGB", (ENOUGH_PIXELS, ENOUGH_PIXELS))  # a large JPEG is unpacked small at once
            upright = ImageOps.exif_transpose(_thinned(image)).convert("RGB")
    except InputError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels("it unpacks to far more") from error
    except Exception as error:  # a decoder fed with broken bytes raises anything
        accepted = "it must be a whole JPEG or PNG photograph: save or export it again"
        raise InputError(PLACE, "it cannot be read", accepted) from error
    return np.array(upright, dtype=np.uint8)


def _check_head(image: Image.Image) -> None:
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise _too_many_pixels(f"it has {width} by {height} pixels")
    if image.mode not in ("RGB", "RGBA", "P"):
        raise InputError(PLACE, "it holds no red, green and blue", "it must be a colour photograph, JPEG or PNG")


def _too_many_pixels(given: str) -> InputError:
    return InputError(PLACE, given, f"it may have at most {MOST_PIXELS / 1e6:.0f} million pixels")


def _thinned(image: Image.Image) -> Image.Image:
    """Leave out pixels: those that are left are as they were, so that cut-off ones stay known.

    Done before anything else, for each further step on all pixels would take 180 MB and a second more.
    """
    step = -(-max(image.size) // ENOUGH_PIXELS)
    width, height = (-(-side // step) for side in image.size)
    return image.resize((width, height), Image.Resampling.NEAREST)


# --- From pixels to colours -----------------------------------------------------------------------


def colour(picture: Picture, box: Box, name: str = "the box") -> Colour:
    """Return the colour inside a box of a picture. Raises InputError, naming the box, where it is not one."""
    pixels = box.cut(picture, name).reshape(-1, 3)
    light = to_linear(pixels)
    red, green, blue = (float(value) for value in from_linear(light.mean(axis=0)))
    spread = float(light[:, 0].std() / max(light[:, 0].mean(), 1e-6))
    cut_off = float(np.mean((pixels[:, 0] < CLIPPED[0]) | (pixels[:, 0] > CLIPPED[1])))
    return Colour(red, green, blue, spread, cut_off)


def read_jars(picture: Picture, jars: Sequence[tuple[float | None, Box]], whites: Sequence[Box]) -> Colours:
    """Read the jars of one photograph.

    picture: shape (height, width, 3), sRGB. jars: copper sulfate in each [g/L], None where it holds the bath, and its
    box. whites: boxes of one white sheet; best are some near each jar. Jars are evened out by the light that they
    tell, so that a jar stands as if all had the mean light.
    Raises InputError where a box does not lie on the picture.
    """
    held, boxes = tuple(grams for grams, _ in jars), [box for _, box in jars]
    called = [f"jar {number}" for number in range(1, len(jars) + 1)]
    seen = tuple(colour(picture, box, name) for box, name in zip(boxes, called, strict=True))
    white = [colour(picture, box, f"white {n}") for n, box in enumerate(whites, 1)]
    light = _light(picture, white, whites, boxes)
    even = [from_linear(jar.linear() / here) for jar, here in zip(seen, light.at_jars, strict=True)]
    rows = tuple((float(red), float(green), float(blue)) for red, green, blue in even)
    said = [*_warnings_of_jars(called, seen), *_warnings_of_light(white, light)]
    colours = Colours(seen, rows, held, light, ())
    return replace(colours, warnings=(*said, *_warnings_of_tint(colours.standards, colours.samples)))


def _light(picture: Picture, white: Sequence[Colour], whites: Sequence[Box], boxes: Sequence[Box]) -> Light:
    """Return the light at the jars, whose boxes are given, as white places tell it."""
    height, width = picture.shape[:2]

    def places(some: Sequence[Box]) -> FloatArray:
        """Return middles (n, 2) in half widths of the picture from its middle."""
        middles = np.array([box.middle() for box in some]).reshape(-1, 2)
        return np.asarray((2 * middles - 1) * [1.0, height / width], dtype=float)

    shown = np.array([one.linear() for one in white]).reshape(-1, 3)
    return light_at(places(boxes), places(whites), shown)


def _warnings_of_jars(names: Sequence[str], jars: Sequence[Colour]) -> list[str]:
    said = []
    pairs = list(zip(names, jars, strict=True))
    if cut := [name for name, jar in pairs if jar.cut_off > MUCH_CUT_OFF]:
        said.append(
            f"The camera cut off the red in {listed(cut)}: take the photograph again with less light if it is very "
            "bright, and dilute all jars more if it is very dark."
        )
    if patchy := [name for name, jar in pairs if jar.spread > PATCHY]:
        said.append(f"The light is patchy in {listed(patchy)}: glare or an edge lies in the box. Make it smaller.")
    if strong := [name for name, jar in pairs if jar.red < DARK]:
        said.append(f"The colour is too strong in {listed(strong)}: dilute all jars more, or use thinner ones.")
    return said


def _warnings_of_light(white: Sequence[Colour], light: Light) -> list[str]:
    if any(one.red > CLIPPED[1] for one in white):
        return ["White is cut off by the camera, so uneven light cannot be told: take it again with less light."]
    apart = float(np.ptp(light.at_jars[:, 0])) if len(light.at_jars) else 0.0
    if apart > VERY_UNEVEN:
        return [f"The light differs by {apart:.0%} over the jars, too much to even out: take it again in even light."]
    said = []
    if apart > UNEVEN:
        said.append(f"The light differs by {apart:.0%} over the jars; that was evened out by the white places.")
    if light.off > DISAGREE:
        said.append(
            f"White places disagree by {light.off:.0%}: one lies in a shadow or is not white, and the result is less "
            "sure for it. Move it onto plain paper, or leave it out."
        )
    if light.standard_uncertainty > HARDLY_KNOWN:
        said.append(
            f"The light at the jars is known to {COVERAGE * light.standard_uncertainty:.0%} only: mark white paper "
            "close above and below each jar, and stand the bath in the middle of the row, in two jars."
        )
    return said


def _warnings_of_tint(
    standards: Sequence[tuple[float, ...]], samples: Sequence[tuple[float, float, float]]
) -> list[str]:
    """Compare green and blue of the bath with those of standards of the same red: copper alone gives the same."""
    known = np.array(standards)[:, 1:] if standards else np.empty((0, 3))
    if len(known) < 2 or np.ptp(known[:, 0]) < 1.0:
        return []
    absorbed, found = (-np.log10(np.maximum(to_linear(rows), 1e-6)) for rows in (known, np.array(samples)))
    for channel in (1, 2):
        line = np.polyfit(absorbed[:, 0], absorbed[:, channel], 1)
        off = np.abs(found[:, channel] - np.polyval(line, found[:, 0])) if len(samples) else np.zeros(1)
        if off.max() > TINT and known[:, channel].max() <= CLIPPED[1]:
            return [
                "The bath has another tint than the standards: a dye, iron or nickel colours it, and this reading "
                "is then false. Trust a titration of copper instead."
            ]
    return []
