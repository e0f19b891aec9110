"""What only the page Methods shows: the form in which a titrant is standardised.

Its fields come from the tables of `bench.standardise`. They are no part of the bench sheet: the person copies the
strength into the reading.
"""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.basis.fields import ChoiceField, Field, FlagField, InputError, QuantityField, fields_of, read_table
from advisor.bench.standardise import STANDARDISATIONS
from advisor.ui import fields
from advisor.ui.parts import cards


def standardising() -> None:
    """Draw the form and, once it is filled, the strength."""
    labels = {way.label: key for key, way in STANDARDISATIONS.items()}
    key = labels[st.selectbox("How", list(labels), key="titrant_way", persist_state="session")]
    way = STANDARDISATIONS[key]
    st.caption(fields.units_note())
    known, given = fields_of(way.table), {}
    columns: list[Any] = []
    errors: list[InputError] = []
    slots = {}
    for name, field in known.items():
        columns = columns or list(st.columns(2))
        with columns.pop(0):
            value = _draw(field, name, f"titrant_{key}_{name}".replace(" ", "_"))
            slots[name] = st.empty()
        if value is not None:
            given[name] = value
    read = read_table(way.table, given, "titrant", errors)
    for error in errors:
        with slots[error.place.removeprefix("titrant: ")].container():
            fields.complain(error)
    if read is not None:
        strength = way.answer(read)
        with st.container(key="answer_strength"):
            st.code(strength.text, language=None)
            cards.sections(strength.sections())


def _draw(field: Field, name: str, key: str) -> Any:
    """Draw one field and return what was typed, None where nothing was."""
    common: dict[str, Any] = {"label": fields.label_of(field), "help": field.help or None, "key": key}
    common["persist_state"] = "session"
    if isinstance(field, ChoiceField):
        return st.selectbox(options=list(field.choices), index=None, placeholder="Choose", **common)
    if isinstance(field, FlagField):
        return fields.FLAGS[st.pills(options=list(fields.FLAGS), default="do not know", required=True, **common)]
    if name.endswith("_with"):
        return st.selectbox(options=fields.tools(), index=None, placeholder="not said", **common)
    text = st.text_input(placeholder=f"{field.default} if left empty" if field.default else "", **common)
    return fields.with_unit(text, field) or None if isinstance(field, QuantityField) else text or None
