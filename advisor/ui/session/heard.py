"""Tells what a person typed from what their browser has only not heard of yet.

A browser sends what stands in all its fields each time one of them changes. Where two follow one another quickly, the
second message still holds the text of a field before this side wrote another into it, or of a field that is gone by
now; taken at its word it would undo what was typed first. So each text that this side writes has a number, the browser
is given the latest one in a field that nobody sees, and a message that carries an older number is known to be late.
Its limit: who sets a field back to just what it held before, while the page is still being drawn, is taken for late.
"""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

_SHOWN, _WRITTEN, HEARD = "heard_shown", "heard_written", "heard"  # session: by key; how often; what the browser echoes


@dataclass(frozen=True)
class Shown:
    """What a field shows, and what it showed before this side wrote to it, with the number of that writing."""

    value: object
    before: tuple[tuple[object, int], ...] = ()


def _all() -> dict[str, Shown]:
    shown: dict[str, Shown] = st.session_state.setdefault(_SHOWN, {})
    return shown


def write(key: str, value: object) -> None:
    """Give the widget of a key its value as it is about to be drawn; only where it has another.

    Else it would overwrite what is being typed.
    """
    known = _all().get(key, Shown(value))
    before = tuple((old, number) for old, number in known.before if number > _heard())
    if key not in st.session_state:
        st.session_state[key] = value
    elif st.session_state[key] != value:
        st.session_state[_WRITTEN] = number = st.session_state.get(_WRITTEN, 0) + 1
        before += ((st.session_state[key], number),)
        st.session_state[key] = value
    _all()[key] = Shown(value, before)


def is_typed(key: str) -> bool:
    """Tell whether a person put the value there that a browser sent of a widget; for the widget's own callback."""
    sent, known = st.session_state[key], _all().get(key)
    if known is None:
        return True
    if sent == known.value or any(sent == old and number > _heard() for old, number in known.before):
        return False
    _all()[key] = Shown(sent, known.before)
    return True


def forget(prefix: str) -> None:
    """Forget the widgets whose keys begin so."""
    for key in [key for key in _all() if key.startswith(prefix)]:
        del _all()[key]


def _heard() -> int:
    return int(st.session_state.get(HEARD) or 0)


def tell() -> None:
    """Tell the browser how far it has heard, in a field that the style sheet hides; after all others are drawn."""
    latest = str(st.session_state.get(_WRITTEN, 0))
    if st.session_state.get(HEARD) != latest:
        st.session_state[HEARD] = latest
    st.text_input("What this page has heard of", latest, key=HEARD)
