"""The readings of the sheet, each with its own fields: added by kind, changed in place, removed."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from advisor.basis.fields import InputError, asked_fields
from advisor.bench.cards import READ, TO_ENTER
from advisor.check.advice import Advice
from advisor.readings import KINDS
from advisor.readings.curve_fit import CurveError, CurveFit
from advisor.readings.ph_curve import COPPER_STEP, LARGEST_TEXT, PHCurve, read_points
from advisor.ui import fields
from advisor.ui.charts import curve_chart
from advisor.ui.look import unit_menus
from advisor.ui.parts import focus, how_to, photo_parts
from advisor.ui.session import state

_KIND = "reading_kind"
REPEATED = frozenset({"acid titration", "copper titration", "thinned conductivity", "thinned pH"})  # as their cards ask
THE_SAME = ("water", "buffer")  # read once for all samples of a check


def show(entry: state.Typed[Advice]) -> None:
    """Draw all readings and the ways to add one."""
    for number, raw in enumerate(state.raw().get("reading", []), 1):
        _reading(number, raw["kind"], entry)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.selectbox("Kind of reading", list(KINDS), format_func=lambda name: KINDS[name].label, key=_KIND, width=260)
        st.button("Add reading", key="reading_add", on_click=_add)
        removed = state.removed_reading()
        if removed:
            words = f"Put back: {removed[0]}. {KINDS[removed[1]['kind']].label}"
            st.button(words, key="reading_put_back", on_click=_put_back)


_FOLDED = ("note", "correlation")  # what few people fill in, where a kind requires nothing


def _reading(number: int, kind: str, entry: state.Typed[Advice]) -> None:
    known = asked_fields(KINDS[kind])
    main = [name for name, field in known.items() if field.required]
    with st.container(border=True, key=f"reading_{number}"):
        with st.container(horizontal=True, horizontal_alignment="distribute", vertical_alignment="center"):
            st.subheader(f"{number}. {KINDS[kind].label}", anchor=False, width="content")
            st.button(
                f"Remove reading {number}",
                key=f"reading_remove_{number}",
                type="tertiary",
                on_click=remove,
                args=(number, state.widget_round(f"reading {number}")),
            )
        main += [name for name in TO_ENTER.get(kind, ()) if name not in main]
        show_fields(number, kind, entry, main or [name for name in known if name not in _FOLDED])
        offer_once_more(number, kind)
        how_to.show(kind, entry, "How to do it", f"how_to_{number}_{kind}", number)


def show_fields(number: int, kind: str, entry: state.Typed[Advice], main: Sequence[str], more: str = "More") -> None:
    """Draw what is asked of a reading: a photograph or a curve's file where it takes one, else its fields."""
    if kind == "photo colour":
        photo_parts.show(number, entry)
        return
    # A page sees no file beside its sheet: a curve's file is opened here and becomes its points.
    fields.show(f"reading {number}", entry, main=main, leave_out=("file",), more=more)
    if "file" in asked_fields(KINDS[kind]):
        _curve_file(number, entry)
        _curve(number, entry)


def _add() -> None:
    """Add a reading of the kind that is chosen now, which may be a later one than the button was drawn with."""
    if state.first_tap("add reading"):
        state.add_reading(st.session_state[_KIND])


def offer_once_more(number: int, kind: str) -> None:
    """Offer the same test once more, as a reading of its own, once the first is read: two tell how far they differ."""
    alike = [reading for reading in state.raw()["reading"] if reading.get("kind") == kind]
    if kind in REPEATED and len(alike) == 1 and READ[kind][0] in alike[0]:
        st.button("Type in the second one", key=f"reading_once_more_{number}", on_click=_once_more, args=(number,))


def _once_more(number: int) -> None:
    """Add a reading with all of this one but what is read at the bench, and go to that."""
    if state.first_tap("once more"):
        reading = state.raw()["reading"][number - 1]
        read = [name for name in READ[reading["kind"]] if name not in THE_SAME]
        state.raw()["reading"].append({name: value for name, value in reading.items() if name not in read})
        if plan := state.plan_of(number):
            state.note_plan(plan)
        focus.want(state.key_of(f"reading {len(state.raw()['reading'])}", read[0]))


def remove(number: int, widget_round: int) -> None:
    """Take out the reading whose button was tapped; a second tap in a row, or on an earlier page, takes no other."""
    if widget_round == state.widget_round(f"reading {number}") and state.first_tap("remove reading"):
        unit_menus.forget(state.table_of(f"reading {number}"))
        state.remove_reading(number)
        _renumber()


def _put_back() -> None:
    if state.removed_reading() and state.first_tap("put back reading"):
        state.put_back_reading()
        _renumber()


def _renumber() -> None:
    """Forget what is kept by a reading's number, beside its fields."""
    for key in [key for key in st.session_state if str(key).startswith(("curve_file_", "photo_", "how_to_"))]:
        del st.session_state[key]


def _curve_file(number: int, entry: state.Typed[Advice]) -> None:
    key = f"curve_file_{number}"
    st.file_uploader(
        "Or open the curve as a CSV file: mL, then pH",
        ["csv", "txt"],
        max_upload_size=LARGEST_TEXT // 1_000_000,
        key=key,
        on_change=_open_curve,
        args=(number, key),
    )
    for error in (st.session_state.get(f"{key}_refused"), entry.errors.get(f"reading {number}: file")):
        if error:
            fields.complain(error)


def _open_curve(number: int, key: str) -> None:
    """Put the points of a curve's file into its reading; a file that is no curve changes nothing."""
    file = st.session_state[key]
    st.session_state.pop(f"{key}_refused", None)
    if file is None:
        return
    try:
        points = read_points(file.getvalue().decode("utf-8-sig", errors="replace"))
    except InputError as error:
        st.session_state[f"{key}_refused"] = error
        return
    state.put(f"reading {number}", "points", [list(point) for point in points])
    state.put(f"reading {number}", "file", None)


def _curve(number: int, entry: state.Typed[Advice]) -> None:
    """Show a curve that could be fitted, with its end point and what is left over."""
    reading = entry.sheet.readings[number - 1] if entry.sheet else None
    if not isinstance(reading, PHCurve):
        return
    fit = _fit(reading, entry)
    told = curve_chart.words(reading.points, fit)
    with st.container(key=f"curve_{number}"):
        for name, chart in (("points", curve_chart.curve_chart), ("off", curve_chart.residual_chart)):
            spec = chart(reading.points, fit)
            st.vega_lite_chart(spec=spec, width="stretch", alt=told, key=f"curve_{name}_{number}")
        st.caption(told)


def _fit(reading: PHCurve, entry: state.Typed[Advice]) -> CurveFit:
    """Return the fit at the copper sulfate of the answer, as the estimate did it; at the usual guess without one."""
    found = entry.answer.values["copper_sulfate"] if entry.answer is not None else None
    if found is None:
        return reading.fit()
    try:
        return reading.fit(COPPER_STEP * round(found.value / COPPER_STEP))  # a fit that is kept already
    except CurveError:  # at the edge of use: it was sound at the guess, or the sheet had been refused
        return reading.fit()
