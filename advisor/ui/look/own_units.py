"""The units of the person: grams and litres, or US units with the metric amount in brackets; kept for the device.

It decides what is shown and printed, and in which unit a bare number is taken. What is typed keeps the unit that it was
typed in, and the sheet and its answers are the same in either.
"""

from __future__ import annotations

import html
from contextlib import suppress

import streamlit as st

from advisor.basis.units import Measured, format_quantity
from advisor.record import preferences
from advisor.ui.session import heard
from advisor.ui.session.device import device
from advisor.words.lines import Amount, Units, in_units, whole
from advisor.words.names import shown_name

LABELS = {Units.METRIC: "g, L, °C", Units.US_FIRST: "oz, gal, °F"}
# The US unit that a field takes in the place of its metric one. What is read off a bench tool stays metric: syringes,
# pipettes and burettes are marked in millilitres, and scales fine enough for a test show grams.
US_UNITS = {"L": "gal", "degC": "degF", "g/L": "oz/gal", "cm^2": "in^2", "um": "mil", "cm": "in", "g": "oz", "kg": "lb"}
_CHOSEN = "units"  # in the visit and in the preferences


def choose(where: str) -> None:
    """Draw the switch; where: a name for its place, of which a page has two (the menu at the side, and More)."""
    key = f"units_{where}"
    heard.write(key, chosen())
    st.segmented_control(
        "Units",
        list(LABELS),
        default=chosen(),  # as fields have it: a browser that still loads the switch would begin without one
        format_func=LABELS.__getitem__,
        required=True,
        key=key,
        on_change=_keep,
        args=(key,),
    )


def _keep(key: str) -> None:
    if not heard.is_typed(key):
        return
    units: Units = st.session_state[key]
    st.session_state[_CHOSEN] = units
    here = device()
    if here is not None:
        with suppress(OSError):  # a folder that cannot be written is told of where a check is saved
            preferences.write(here, _CHOSEN, units.name)


def chosen() -> Units:
    """Return the units that were chosen: in this visit, or on this device before."""
    if _CHOSEN not in st.session_state:
        here = device()
        kept = preferences.read(here).get(_CHOSEN) if here else None
        st.session_state[_CHOSEN] = Units.US_FIRST if kept == Units.US_FIRST.name else Units.METRIC
    units: Units = st.session_state[_CHOSEN]
    return units


def shown(text: str) -> str:
    """Return a line as it is to be shown, in the units chosen: no number is apart from its unit, nothing is hidden."""
    return whole(shown_name(in_units(text, chosen())))


def typed_as(amount: Amount) -> str:
    """Return an amount in the units chosen alone, without the other ones in brackets, as it may be typed."""
    customary = "" if chosen() is Units.METRIC else amount.customary()
    return (customary or str(amount)).replace("\N{NO-BREAK SPACE}", " ")


def unparted(text: str) -> str:
    """Return text as HTML, escaped, in which no number parts from its unit and nothing is hidden."""
    return whole(html.escape(shown_name(text)))


def unit_of(metric: str, of_a_tool: bool) -> str:
    """Return the unit in which a field takes a bare number; of_a_tool: it is read off a tool of the bench."""
    if chosen() is Units.METRIC or (of_a_tool and metric == "g"):
        return metric
    return US_UNITS.get(metric, metric)


def own_text(typed: Measured, quantity: str, metric: str, unit: str) -> str:
    """Return a default as a field names it: as it is written, or first in the unit of the person."""
    if unit == metric:
        return typed.text
    return f"{format_quantity(typed.value, quantity, unit, 3)} ({typed.text})"
