"""What stands at a reading "photo colour" only: a photograph, its jars marked by boxes, and what they showed.

The photograph is kept for this visit only, in memory (the server may hold a large upload in a temporary file). What
is measured in it is the business of `advisor.measure.photograph`.
"""

from __future__ import annotations

import html
from dataclasses import dataclass

import numpy as np
import streamlit as st
from PIL import Image, ImageDraw

from advisor.basis.fields import InputError, NumberField
from advisor.basis.units import COVERAGE, Measured
from advisor.measure import photograph
from advisor.measure.photograph import Box, Colours, Picture
from advisor.readings.origin import Origin
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.ui import fields
from advisor.ui.session import state

INKS = {"standard": "#FFD24A", "bath": "#FF5A4A", "white": "#101010"}
SIDES = ("left", "top", "right", "bottom")
MOST = {"standard": 8, "bath": 4, "white": 4}
AT_FIRST = {"standard": 4, "bath": 1, "white": 2}
GRAMS = NumberField(label="Copper sulfate, g/L", low=0.0, high=HIGHEST_COPPER_SULFATE)


@dataclass(frozen=True)
class _Mark:
    """A box on the photograph: what is in it, and its number among those."""

    kind: str
    number: int
    box: Box


def show(number: int) -> None:
    """Draw the way from a photograph to the rows of reading `number`."""
    with st.expander("Read the colours from a photograph"):
        st.write(
            "One photograph: jars of your standards and of the bath in a row, all alike, before a sheet of white paper "
            "in even light, without flash. Nothing in it is stored, and its place is not read."
        )
        file = st.file_uploader(
            "Photograph, JPEG or PNG",
            type=["jpg", "jpeg", "png"],
            max_upload_size=photograph.LARGEST_FILE // 1_000_000,
            key=f"photo_{number}_file",
        )
        if file is None:
            return
        try:
            picture = photograph.decode(file.getvalue())
            _jars(number, picture)
        except InputError as error:
            fields.complain(InputError(error.place, f"{error.place}: {error.given}", error.accepted))


def _jars(number: int, picture: Picture) -> None:
    """Draw the boxes, the photograph with them, and what was read. Raises InputError where a box is none."""
    counts = _counts(number)
    preview = st.empty()
    st.caption("Put each box inside its jar, clear of glare, edges and shadow: percent of the width and the height.")
    marks, grams = _marks(number, counts)
    preview.image(_with_boxes(picture, marks), caption=_caption(counts), width="stretch")
    known = [value for value in grams if value is not None]
    if len(known) < len(grams):
        return
    standards = list(zip(known, _boxes(marks, "standard"), strict=True))
    found = photograph.read_jars(picture, standards, _boxes(marks, "bath"), _boxes(marks, "white"))
    st.html(_table(found))
    for warning in found.warnings:
        st.warning(warning)
    if st.button("Use as reading", key=f"photo_{number}_use"):  # no callback: that would hold the colours of before
        _use(number, found)
        st.rerun()


def _counts(number: int) -> dict[str, int]:
    """Ask how many boxes of each kind there are."""
    labels = {"standard": "Standards", "bath": "Jars of bath", "white": "White places"}
    return {
        kind: int(column.number_input(label, 0, MOST[kind], AT_FIRST[kind], key=f"photo_{number}_{kind}s"))
        for column, (kind, label) in zip(st.columns(3), labels.items(), strict=True)
    }


def _boxes(marks: list[_Mark], kind: str) -> list[Box]:
    return [mark.box for mark in marks if mark.kind == kind]


def _marks(number: int, counts: dict[str, int]) -> tuple[list[_Mark], list[float | None]]:
    """Draw the fields of each box; return the boxes and the g/L of the standards, None where it is not known yet."""
    marks, grams = [], []
    for kind, count in counts.items():
        for one in range(1, count + 1):
            st.markdown(f"**{kind.capitalize()} {one}**")
            if kind == "standard":
                grams.append(_grams(f"photo_{number}_standard_{one}_grams"))
            sides = []
            with st.container(horizontal=True):
                for side, at_first in zip(SIDES, _start(kind, one, counts), strict=True):
                    key = f"photo_{number}_{kind}_{one}_{side}"
                    sides.append(st.number_input(f"{side.capitalize()} %", 0, 100, at_first, key=key, width=112))
            marks.append(_Mark(kind, one, Box.of_percent(*sides)))
    return marks, grams


def _grams(key: str) -> float | None:
    given = st.text_input("Copper sulfate in this jar, g/L", key=key)
    if not given:
        return None
    try:
        return GRAMS.read(given, "this jar")
    except InputError as error:
        fields.complain(error)
        return None


def _start(kind: str, number: int, counts: dict[str, int]) -> tuple[int, int, int, int]:
    """Return a box to begin with: jars in a row from left to right, standards first; white above them."""
    if kind == "white":
        middle, half, top, bottom = (number - 0.5) / counts[kind], 0.04, 5, 12
    else:
        jars = counts["standard"] + counts["bath"]
        place = number + (counts["standard"] if kind == "bath" else 0)
        middle, half, top, bottom = (place - 0.5) / jars, 0.2 / jars, 42, 62
    return round(100 * (middle - half)), top, round(100 * (middle + half)), bottom


def _with_boxes(picture: Picture, marks: list[_Mark]) -> Image.Image:
    """Return the photograph with the boxes drawn on it; a dark line in a light one shows on any colour."""
    drawn = Image.fromarray(np.asarray(picture))
    pen, scale = ImageDraw.Draw(drawn), max(drawn.size) / 800
    for mark in marks:
        box = mark.box
        left, right = sorted((box.x0 * drawn.width, box.x1 * drawn.width))
        top, bottom = sorted((box.y0 * drawn.height, box.y1 * drawn.height))
        pen.rectangle((left, top, right, bottom), outline="white", width=round(4 * scale) or 1)
        pen.rectangle((left, top, right, bottom), outline=INKS[mark.kind], width=round(2 * scale) or 1)
        at = (left, max(top - 24 * scale, 0))
        pen.text(
            at,
            f"{mark.kind[0].upper()}{mark.number}",
            "white",
            font_size=20 * scale,
            stroke_width=2,
            stroke_fill="black",
        )
    return drawn


def _caption(counts: dict[str, int]) -> str:
    said = [f"{kind[0].upper()}1 to {kind[0].upper()}{count} {kind}" for kind, count in counts.items() if count]
    return f"Your photograph with its boxes: {', '.join(said)}."


def _table(found: Colours) -> str:
    """Return what was read as a table of HTML."""
    rows = [*found.standards, *((None, *sample) for sample in found.samples)]
    lines = []
    for (grams, red, *_), jar in zip(rows, found.jars, strict=True):
        name = "Bath" if grams is None else f"{grams:g} g/L"
        lines.append(
            f"<tr><th scope=row>{html.escape(name)}</th><td>{jar.red:.1f}</td><td>{red:.1f}</td>"
            f"<td>{jar.spread:.1%}</td><td>{jar.cut_off:.1%}</td></tr>"
        )
    head = "".join(f"<th scope=col>{title}</th>" for title in ("Jar", "Red", "Evened", "Spread", "Cut off"))
    style = "border-spacing:.45rem .15rem;white-space:nowrap"
    return f'<table style="{style}"><caption>What was read</caption><tr>{head}</tr>{"".join(lines)}</table>'


def _use(number: int, found: Colours) -> None:
    """Put what was read into the sheet, rounded to what a photograph tells."""
    for name, rows in (("standards", found.standards), ("samples", found.samples)):
        state.put(f"reading {number}", name, [[round(cell, 2) for cell in row] for row in rows])
    state.put(
        f"reading {number}", "light_even_to", Measured.of(100 * COVERAGE * found.light, "%", "fraction", digits=2).text
    )
    state.put(f"reading {number}", "origin", Origin.PHOTOGRAPH.value)
