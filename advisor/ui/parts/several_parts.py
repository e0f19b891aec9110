"""Several baths on the page Upkeep: a table of them side by side, and pouring from one into another."""

from __future__ import annotations

import datetime
import html
from collections.abc import Sequence

import streamlit as st

from advisor.basis.fields import InputError, QuantityField
from advisor.record.entry_text import bath_name
from advisor.record.logbook import Logbook
from advisor.record.several import NOTHING, Poured, compare, merge, new_bath, record_for_pouring, split
from advisor.ui.fields import complain, label_of, with_unit
from advisor.ui.look.own_units import chosen, unparted
from advisor.ui.parts import cards, entry_form
from advisor.ui.session import state
from advisor.words.names import shown_name

NEW = "a new bath"
POURED = QuantityField(label="How much", quantity="volume", above=True, high=10_000.0)  # L (judgement)


def folded(logbook: Logbook, bath: str, baths: Sequence[str], now: datetime.datetime) -> None:
    """Draw both parts folded, and work them out only once they are open: each carries whole records forward."""
    table = st.expander("Your baths side by side", key="fold_baths", on_change="rerun")
    if table.open:
        with table:
            side_by_side(logbook, baths, now)
    pouring = st.expander("Pour some of this bath into another", key="fold_pour", on_change="rerun")
    if pouring.open:
        with pouring:
            pour(logbook, bath, baths, now)


def side_by_side(logbook: Logbook, baths: Sequence[str], now: datetime.datetime) -> None:
    """Show every bath in a column of its own."""
    columns = [each.cells(chosen()) for each in compare(logbook, baths, now)]
    title, *heads = (head for head in columns[0] if any(column[head] != NOTHING for column in columns))
    top = "".join(f"<th scope=col>{html.escape(column[title])}</th>" for column in columns)
    rows = [
        f"<tr><th scope=row>{head}</th>{''.join(f'<td>{unparted(column[head])}</td>' for column in columns)}</tr>"
        for head in heads
    ]
    table = f"<table><tr><th>{title}</th>{top}</tr>{''.join(rows)}</table>"
    st.html(f'<div class="baths" tabindex="0" role="region" aria-label="Baths side by side">{table}</div>')


def pour(logbook: Logbook, bath: str, baths: Sequence[str], now: datetime.datetime) -> None:
    """Ask what is poured from a bath into which, say what goes where, and write it into both records with one tap."""
    entry_form.said("pour")
    others = [NEW, *(name for name in baths if name != bath)]
    into = st.selectbox("Into", others, format_func=shown_name, key="pour_into")
    name = st.text_input("Its name", key="pour_name", max_chars=80) if into == NEW else into
    typed = st.text_input(label_of(POURED), key="pour_volume", help="Into another bath: all of it where this is empty.")
    if not name.strip() or (into == NEW and not typed.strip()):
        return
    try:
        pouring = _pouring(logbook, bath, baths, into, name, typed, now)
    except InputError as error:
        complain(error)
        return
    cards.sections(pouring.sections(), at_the_act=True)
    if st.button("It is poured: write it down", key="pour_write") and state.first_tap("pour"):
        with logbook.at_one_time(write=True) as book:  # by what both records hold where it is written
            pouring = _pouring(book, bath, book.baths(), into, name, typed, now)
            book.record_together(pouring.parts, now)
        entry_form.say(f"Written down in the records of {pouring.source} and {pouring.target}.", "pour")
        st.rerun()


def _pouring(
    logbook: Logbook, bath: str, baths: Sequence[str], into: str, name: str, typed: str, now: datetime.datetime
) -> Poured:
    litres = POURED.read(with_unit(typed, POURED), POURED.label) if typed.strip() else None
    entries = record_for_pouring(logbook, bath)
    if into == NEW and litres is not None:
        return split(bath, entries, new_bath(bath_name(name), baths), litres, now)
    return merge(bath, entries, name, record_for_pouring(logbook, name), litres, now)
