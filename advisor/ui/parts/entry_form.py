"""A form for one entry of the record, made from what its kind says of its fields.

Unlike the fields of the bench sheet it is filled in and sent off as a whole, and keeps nothing afterwards.
"""

from __future__ import annotations

import datetime
from typing import Any

import streamlit as st

from advisor.basis.fields import ChoiceField, Field, InputError, QuantityField, fields_of, read_table
from advisor.basis.units import Measured
from advisor.record.entries import Content
from advisor.ui.fields import complain, label_of, with_unit


def show(table: type[Content], key: str, button: str, before: Content | None = None) -> Content | None:
    """Draw the form of a kind of entry; return the entry in the run in which it was sent off and sound, else None.

    before: the entry that stands in the fields, where one is corrected.
    """
    with st.form(f"{key}_{table.kind}", border=True):
        typed = {
            name: _draw(field, f"{key}_{table.kind}_{name}", before, name) for name, field in fields_of(table).items()
        }
        sent = st.form_submit_button(button)
    if not sent:
        return None
    known = fields_of(table)
    raw = {name: _raw(known[name], value) for name, value in typed.items() if value not in (None, "")}
    errors: list[InputError] = []
    content = read_table(table, raw, table.label, errors)
    for error in errors:
        complain(error, form=table)
    return content


def _draw(field: Field, key: str, before: Content | None, name: str) -> Any:
    value = getattr(before, name) if before else field.default
    if isinstance(field, ChoiceField):
        choices = list(field.choices)
        return st.selectbox(field.label, choices, choices.index(value), help=field.help or None, key=key)
    shown = value.text if isinstance(value, Measured) else str(value or "")
    needed = "" if field.required or name == "note" else ", if known"
    return st.text_input(label_of(field) + needed, shown, help=field.help or None, key=key)


def _raw(field: Field, value: str) -> str:
    return with_unit(value, field) if isinstance(field, QuantityField) else value


def when(key: str, now: datetime.datetime) -> datetime.datetime | None:
    """Draw a day and a time, local, that stand at `now`; return None where they were left there."""
    left, right = st.columns(2)
    start = now.replace(second=0, microsecond=0)
    with left:
        day = st.date_input("Day", start.date(), key=f"{key}_day", format="YYYY-MM-DD")
    with right:
        time = st.time_input("Time (unchanged: now)", start.time(), key=f"{key}_time")
    chosen = datetime.datetime.combine(day, time)
    return None if chosen == start else chosen
