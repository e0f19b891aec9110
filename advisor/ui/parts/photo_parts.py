"""What stands at a reading "photo colour" only: a photograph, the jars in it, what they hold, and what they showed.

The jars are found by `advisor.measure.jars`, or tapped; where that is not sure of one, the person is asked. Typed is
only what each standard holds. The photograph is kept for this visit only, in memory (the server may hold a large upload
in a temporary file).
"""

from __future__ import annotations

import html
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import streamlit as st

from advisor.basis.fields import Fault, InputError, NumberField, read_table
from advisor.measure import photograph
from advisor.measure.jars import Jar, find_jars, jar_at, moved, white_places
from advisor.measure.photograph import Box, Colours, Picture
from advisor.readings.origin import Origin
from advisor.readings.photo_colour import PhotoColour
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.ui import fields
from advisor.ui.look import own_units
from advisor.ui.parts import jar_picture
from advisor.ui.session import state
from advisor.words.lines import Amount, capital, line

MOST_JARS = 12  # judgement
PLACE = "the photograph"
GRAMS = NumberField(label="Copper sulfate, g/L", low=0.0, high=HIGHEST_COPPER_SULFATE)  # not below 0: exact


@dataclass(frozen=True)
class _Photo:
    """A photograph as it is worked on. jars: by a number of their own, which stays when others come and go."""

    file: str
    picture: Picture
    url: str
    jars: Mapping[int, Jar]
    whites: tuple[Box, ...]

    def row(self) -> list[tuple[int, Jar]]:
        """Return the jars from left to right."""
        return sorted(self.jars.items(), key=lambda pair: pair[1].box.middle())

    def with_jars(self, jars: Mapping[int, Jar]) -> _Photo:
        return replace(self, jars=jars, whites=white_places(self.picture, list(jars.values())))


def show(number: int, entry: state.Typed[Any]) -> None:
    """Draw reading `number`: how often the bath was diluted, the photograph, and the colours as numbers, folded."""
    place = f"reading {number}"
    fields.one(place, entry, "dilution")
    st.write(
        "Take one photograph: jars of your standards and of the bath in a row, all alike, in front of white paper "
        "that shows between them, above and below, without flash. The photograph is not stored, and where it was taken "
        "is not read."
    )
    file = st.file_uploader(
        "Photograph, JPEG or PNG",
        type=["jpg", "jpeg", "png"],
        max_upload_size=photograph.LARGEST_FILE // 1_000_000,
        key=f"photo_{number}_file",
    )
    if file is None:
        st.session_state.pop(_key(number), None)
    else:
        try:
            _work(number, _opened(number, file))
        except InputError as error:
            fields.complain(error)
    with st.expander("The colours as numbers", expanded=_is_wrong(place, entry)):
        fields.show(place, entry, leave_out=("dilution",))


def _is_wrong(place: str, entry: state.Typed[Any]) -> bool:
    """Tell whether something that stands in a reading cannot be used; what is merely missing is not wrong."""
    return any(at.startswith(place) and error.fault is not Fault.MISSING for at, error in entry.errors.items())


def _key(number: int) -> str:
    return f"photo_{number}_opened"


def _opened(number: int, file: Any) -> _Photo:
    """Return the photograph of an uploaded file with its jars, found once. Raises InputError where it is none."""
    kept: _Photo | None = st.session_state.get(_key(number))
    if kept is None or kept.file != file.file_id:
        picture = photograph.decode(file.getvalue())
        jars = dict(enumerate(find_jars(picture)[:MOST_JARS]))
        kept = _Photo(file.file_id, picture, jar_picture.as_url(picture), jars, white_places(picture, [*jars.values()]))
        st.session_state[_key(number)] = kept
    return kept


# --- Which are jars -------------------------------------------------------------------------------


def _work(number: int, photo: _Photo) -> None:
    """Draw the photograph and all that depends on it."""
    row = photo.row()
    st.markdown(f"**{_said_of(row)}**")
    marks = [_mark(place, one, jar) for place, (one, jar) in enumerate(row, 1)]
    words = f"Your photograph, {len(row)} jars marked."
    jar_picture.draw(photo.url, words, marks, photo.whites, f"photo_{number}_picture", lambda act: _act(number, act))
    if len(row) < MOST_JARS:
        st.button("Add a jar in the middle", key=f"photo_{number}_add", type="tertiary", on_click=_add, args=(number,))
    for place, (one, jar) in enumerate(row, 1):
        if jar.doubt:
            _ask(number, place, one, jar)
    if not row:
        return
    held = _held(number, photo)
    if held is not None:
        _result(number, photo, held)


def _said_of(row: list[tuple[int, Jar]]) -> str:
    if not row:
        return "No jar was found. Tap each jar in the middle of its liquid."
    unsure = sum(bool(jar.doubt) for _, jar in row)
    found = "1 jar is marked" if len(row) == 1 else f"{len(row)} jars are marked"
    asked = f"; {unsure} of them not sure" if unsure else ""
    return f"{found}{asked}. Tap a jar that has no mark, or a mark that is no jar."


def _mark(place: int, one: int, jar: Jar) -> dict[str, object]:
    """Return a jar's mark for the picture: what it is called, where it lies, what it says to those who do not."""
    doubt = f", not sure: {jar.doubt}" if jar.doubt else ""
    words = f"Jar {place}{doubt}. Press to take the mark away; arrow keys move it."
    return {"id": one, "name": str(place), "sure": not jar.doubt, "words": words, **vars(jar.box)}


def _ask(number: int, place: int, one: int, jar: Jar) -> None:
    """Ask about a jar that is not sure."""
    with st.container(horizontal=True, vertical_alignment="center"):
        st.warning(f"Is mark {place} inside a jar? {capital(jar.doubt)}.")
        st.button(f"Yes, {place} is a jar", key=f"photo_{number}_yes_{one}", on_click=_settle, args=(number, one, True))
        st.button(f"No, not {place}", key=f"photo_{number}_no_{one}", on_click=_settle, args=(number, one, False))


def _settle(number: int, one: int, is_jar: bool) -> None:
    photo: _Photo = st.session_state[_key(number)]
    jars = {name: jar for name, jar in photo.jars.items() if name != one}
    if is_jar and one in photo.jars:
        jars[one] = replace(photo.jars[one], doubt="")
    st.session_state[_key(number)] = photo.with_jars(jars)


def _add(number: int) -> None:
    """Put a mark in the middle, for who moves it by the arrow keys."""
    if state.first_tap("add jar"):
        _act(number, {"kind": "tap", "x": 0.5, "y": 0.5})


def _act(number: int, act: Mapping[str, Any]) -> None:
    """Do what was done on the picture: a jar more, one less, or one moved. A browser may send anything."""
    photo: _Photo | None = st.session_state.get(_key(number))
    try:
        x, y, dx, dy = (float(act.get(name, 0.0)) for name in ("x", "y", "dx", "dy"))
    except (TypeError, ValueError):
        return
    if photo is not None and all(abs(share) <= 1 for share in (x, y, dx, dy)) and min(x, y) >= 0:
        jars = _changed(photo, str(act.get("kind")), (x, y), (dx, dy))
        st.session_state[_key(number)] = photo.with_jars(jars)


def _changed(photo: _Photo, kind: str, at: tuple[float, float], by: tuple[float, float]) -> dict[int, Jar]:
    """Return the jars after an act at a place, in shares of width and height."""
    jars = dict(photo.jars)
    here = next((one for one, jar in jars.items() if jar.box.holds(*at)), None)
    if here is None:
        if kind == "tap" and len(jars) < MOST_JARS:
            jars[max(jars, default=-1) + 1] = jar_at(photo.picture, *at, list(jars.values()))
    elif kind == "drop":
        del jars[here]
    elif kind == "move":
        jars[here] = moved(photo.picture, jars[here], *by)
    return jars


# --- What they hold -------------------------------------------------------------------------------


def _held(number: int, photo: _Photo) -> list[float | None] | None:
    """Ask which jars hold the bath and what the others hold; return g/L, None for the bath, or None if some lacks."""
    row = photo.row()
    bath = _jars_of_bath(number, [one for one, _ in row])
    seen = photograph.read_jars(photo.picture, [(None, jar.box) for _, jar in row], photo.whites)
    held: dict[int, float | None] = dict.fromkeys(bath)
    with st.container(horizontal=True):
        for place, ((one, _), colour) in enumerate(zip(row, seen.rows, strict=True), 1):
            if one in bath:
                continue
            with st.container(width=110):
                st.html(_swatch(colour))
                grams = _grams(f"Jar {place}, g/L", f"photo_{number}_grams_{one}")
            if grams is not None:
                held[one] = grams
    sure = not any(jar.doubt for _, jar in row)
    return [held[one] for one, _ in row] if sure and bath and len(held) == len(row) else None


def _jars_of_bath(number: int, row: list[int]) -> list[int]:
    """Ask which jars hold the bath: the two in the middle, unless a person says otherwise."""
    names = {one: f"Jar {place}" for place, one in enumerate(row, 1)}
    first = (len(row) - 2) // 2
    return st.pills(
        "Which hold the bath?",
        row,
        selection_mode="multi",
        default=row[first : first + 2] if len(row) > 3 else [],
        format_func=names.__getitem__,
        key=f"photo_{number}_bath_{'_'.join(map(str, row))}",
    )


def _grams(label: str, key: str) -> float | None:
    given = st.text_input(label, key=key, persist_state="session")
    if not given:
        return None
    try:
        return GRAMS.read(given.strip(), "this jar")
    except InputError as error:
        fields.complain(error)
        return None


def _swatch(colour: tuple[float, float, float]) -> str:
    shown = ",".join(f"{value:.0f}" for value in colour)
    style = f"height:1.6rem;border:1px solid;border-radius:.4rem;background:rgb({shown})"
    return f'<div aria-hidden="true" style="{style}"></div>'


# --- What they showed -----------------------------------------------------------------------------


def _result(number: int, photo: _Photo, held: list[float | None]) -> None:
    """Show what was read, how sure it is, and offer it as the reading."""
    row = photo.row()
    jars = [(grams, jar.box) for grams, (_, jar) in zip(held, row, strict=True)]
    found = photograph.read_jars(photo.picture, jars, photo.whites)
    reading = _reading(number, found)
    st.html(_table(found))
    st.caption(_light_said(found, len(photo.whites)))
    for warning in found.warnings:
        st.warning(warning)
    if reading is None:
        return
    grams, spread = reading.found()
    bath = Amount(grams, "g/L", standard_uncertainty=spread)
    told = line("By this photograph the bath holds {bath} of copper sulfate.", bath=bath)
    st.markdown(f"**{fields.plain(own_units.shown(told))}**")
    if st.button("Use as reading", key=f"photo_{number}_use"):  # no callback: that would keep earlier colours
        _use(number, found)
        st.rerun()


def _reading(number: int, found: Colours) -> PhotoColour | None:
    """Return the reading that the colours make, or say why they make none."""
    raw = {**_fields(found), "dilution": state.part(f"reading {number}").get("dilution", 1.0)}
    errors: list[InputError] = []
    reading = read_table(PhotoColour, raw, PLACE, errors)
    for error in errors:
        fields.complain(error, form=PhotoColour)
    return reading


def _fields(found: Colours) -> dict[str, object]:
    """Return the fields of a reading that a photograph fills, rounded to what it tells."""
    return {
        "standards": [[round(cell, 2) for cell in row] for row in found.standards],
        "samples": [[round(cell, 2) for cell in row] for row in found.samples],
        "light_even_to": found.light_even_to.text,
    }


def _light_said(found: Colours, whites: int) -> str:
    if not whites:
        return "No plain white paper was found beside the jars, so nothing evens out the light."
    places = "1 white place" if whites == 1 else f"{whites} white places"
    return f"The light was evened out by {places} (dots on the photograph); it is known to {found.light_even_to.text}."


def _table(found: Colours) -> str:
    """Return what was read as a table of HTML."""
    lines = []
    for number, (grams, row, jar) in enumerate(zip(found.held, found.rows, found.jars, strict=True), 1):
        name = "Bath" if grams is None else f"{grams:g} g/L"
        cells = (_swatch(row), html.escape(name), f"{row[0]:.0f}", f"{jar.spread:.0%}")
        lines.append(f"<tr><th scope=row>{number}</th>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>")
    titles = ("Jar", "Colour", "Holds", "Red", "Uneven by")
    head = "".join(f"<th scope=col>{title}</th>" for title in titles)
    style = "border-spacing:.6rem .15rem;white-space:nowrap"
    return f'<table style="{style}"><caption>What was read</caption><tr>{head}</tr>{"".join(lines)}</table>'


def _use(number: int, found: Colours) -> None:
    """Put what was read into the sheet."""
    for name, value in _fields(found).items():
        state.put(f"reading {number}", name, value)
    state.put(f"reading {number}", "origin", Origin.PHOTOGRAPH.value)
