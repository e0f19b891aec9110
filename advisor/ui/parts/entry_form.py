"""A form for one entry of the record, made from what its kind says of its fields; to write, change and withdraw it.

Unlike the fields of the bench sheet it is filled in and sent off as a whole, and keeps nothing afterwards.
"""

from __future__ import annotations

import datetime
import html
from collections.abc import Mapping
from typing import Any

import streamlit as st

from advisor.basis.fields import ChoiceField, Field, InputError, QuantityField, fields_of, read_table
from advisor.basis.units import Measured
from advisor.record import withdrawal
from advisor.record.at_hand import refuse_what_cannot_be
from advisor.record.entries import CONTENTS, YET_TO_COME, Content, Entry, Withdrawn, is_yet_to_come
from advisor.record.logbook import Logbook
from advisor.ui import hints
from advisor.ui.fields import complain, label_of, plain, usual_unit, with_unit
from advisor.ui.look.own_units import shown
from advisor.ui.session import state

Filled = Mapping[str, Any]  # what stands in a form's fields, by their name
_SAID = "entry_said"  # session: what was done with an entry, to be said once
_WRITTEN = "{}_written"  # session: the entries that the form of a place has written, which begins empty after each
EMPTY: Filled = {}
FORM = 736  # px: 46 rem, the widest that `style.css` lets a form be (judgement)


def kind_key(place: str) -> str:
    """Return the key of the choice of kind in the form of a place."""
    return f"{place}_kind"


def write(logbook: Logbook, bath: str, place: str, filled: Mapping[str, Filled] = EMPTY) -> Entry | None:
    """Ask for any entry but a check and write it; return it in the run in which it was written, else None.

    place: a name for where on the pages; filled: the texts that stand in the fields of a kind at first.
    """
    kinds = [kind for kind in CONTENTS if kind != Withdrawn.kind]
    kind = st.selectbox("What", kinds, format_func=lambda kind: CONTENTS[kind].label, key=kind_key(place))
    # Read once a visit: a clock that moves would overwrite the day and time that were chosen.
    now = st.session_state.setdefault(f"{place}_now", datetime.datetime.now())
    moment = _when(place, now)
    stands = filled.get(kind, EMPTY)
    written = st.session_state.setdefault(_WRITTEN.format(place), 0)
    key = "_".join([place, *stands.values(), *([str(written)] if written else [])])
    content = show(CONTENTS[kind], key, "Write it down", stands)
    said(place)
    if content is None or _is_a_slip(content, logbook, bath, moment) or not state.first_tap("record entry"):
        return None
    entry = logbook.record(bath, content, moment)
    ahead = f" {YET_TO_COME}" if is_yet_to_come(entry) else ""
    say(f"Written down as entry {entry.id}: {shown(content.summary())}.{ahead}", place)
    st.session_state[_WRITTEN.format(place)] = written + 1
    return entry


def _is_a_slip(
    content: Content, logbook: Logbook, bath: str, moment: datetime.datetime | None, instead_of: int | None = None
) -> bool:
    """Tell whether an entry cannot be so by what the record holds before it, and say so.

    instead_of: the number of the entry that it replaces.
    """
    try:
        refuse_what_cannot_be(logbook, bath, content, moment, instead_of)
    except InputError as error:
        complain(error, form=type(content))
        return True
    return False


def change(logbook: Logbook, entry: Entry, content: Content, place: str) -> None:
    """Draw an entry's form with what stands in it; once it is sent off, the new entry replaces the old one.

    place: a name for where on the pages, whose `said` tells that it is done.
    """
    changed = show(type(content), f"{place}_{entry.id}", "Save the change", vars(content))
    if changed is None or _is_a_slip(changed, logbook, entry.bath, entry.when, entry.id):
        return
    if state.first_tap("correct entry"):
        new = logbook.correct(entry.id, changed)
        say(f"Entry {entry.id} is changed; it counts as entry {new.id} now: {shown(changed.summary())}.", place)
        st.rerun()


def withdraw(logbook: Logbook, entry: Entry, label: str, key: str, place: str) -> None:
    """Draw the button that takes an entry back, and say what goes with it; place: as that of `change`."""
    if other := withdrawal.other_half(logbook, entry):
        st.caption(plain(withdrawal.ONE_HALF.format(number=other.id, bath=other.bath)))
    if st.button(label, key=key) and state.first_tap("withdraw entry"):
        say(withdrawal.said_of(withdrawal.withdraw(logbook, entry.id)), place)
        st.rerun()


def say(text: str, place: str) -> None:
    """Keep what was done, so that it is said after the page was drawn anew, where it was done."""
    st.session_state[_SAID] = (place, text)


def said(place: str) -> None:
    """Say once what was done last, if this is where it is to be said."""
    at, text = st.session_state.get(_SAID, (None, ""))
    if at == place:
        del st.session_state[_SAID]
        st.html(f'<p role="status">{html.escape(text)}</p>')


def show(table: type[Content], key: str, button: str, filled: Filled = EMPTY) -> Content | None:
    """Draw the form of a kind of entry; return the entry in the run in which it was sent off and sound, else None."""
    # Enter, "Go" on the keyboard of a phone, must not write a form that is half filled in.
    with st.form(f"{key}_{table.kind}", border=True, enter_to_submit=False):
        typed = {
            name: _draw(field, f"{key}_{table.kind}_{name}", name, filled.get(name, field.default))
            for name, field in fields_of(table).items()
        }
        sent = st.form_submit_button(button)
    if not sent:
        return None
    known = fields_of(table)
    raw = {name: _raw(known[name], value) for name, value in typed.items() if value not in (None, "")}
    errors: list[InputError] = []
    content = read_table(table, raw, table.label, errors)
    for error in errors:
        name = error.place.partition(": ")[2]
        field = known.get(name)
        unit = usual_unit(field) if isinstance(field, QuantityField) else None
        complain(error, hints.what_to_write(field, typed.get(name), unit) if field else "", form=table)
    return content


def _draw(field: Field, key: str, name: str, value: Any) -> Any:
    if isinstance(field, ChoiceField):
        choices = list(field.choices)
        return st.selectbox(field.label, choices, choices.index(value), help=field.help or None, key=key)
    needed = "" if field.required or name == "note" else ", if known"
    return st.text_input(label_of(field) + needed, _text(value), help=field.help or None, key=key)


def _text(value: Any) -> str:
    return value.text if isinstance(value, Measured) else str(value or "")


def _raw(field: Field, value: str) -> str:
    return with_unit(value, field) if isinstance(field, QuantityField) else value


def _when(key: str, now: datetime.datetime) -> datetime.datetime | None:
    """Draw a day and a time, local, that stand at `now`; return None where they were left there."""
    left, right = st.columns(2, width=FORM)
    start = now.replace(second=0, microsecond=0)
    with left:
        day = st.date_input("Day", start.date(), key=f"{key}_day", format="YYYY-MM-DD")
    with right:
        time = st.time_input("Time (unchanged: now)", start.time(), key=f"{key}_time")
    chosen = datetime.datetime.combine(day, time)
    return None if chosen == start else chosen
