"""Which steps of a correction are done: boxes that are ticked, good for one plan only, and kept with the draft.

A step that is done and shows as open would be done twice.
"""

from __future__ import annotations

import hashlib
import re

import streamlit as st

_DONE, _PLAN = "correct_done_", "correct_plan"
_NOTE = "# Steps done, of plan "


def key_of(number: int) -> str:
    """Return the key of a step's box."""
    return f"{_DONE}{number}"


def follow(plan: object) -> None:
    """Take all ticks off where this is another plan than they were for."""
    mark = hashlib.sha256(repr(plan).encode()).hexdigest()[:16]
    if st.session_state.get(_PLAN) != mark:
        st.session_state[_PLAN] = mark
        for key in [key for key in st.session_state if str(key).startswith(_DONE)]:
            del st.session_state[key]


def note() -> str:
    """Return a comment that says what is ticked, for the sheet's draft; empty where nothing is."""
    done = sorted(
        int(str(key).removeprefix(_DONE))
        for key, ticked in st.session_state.items()
        if str(key).startswith(_DONE) and ticked
    )
    return f"{_NOTE}{st.session_state.get(_PLAN)}: {' '.join(map(str, done))}\n" if done else ""


def restore(draft: str) -> None:
    """Tick what a draft says is done."""
    found = re.search(rf"^{_NOTE}(\w+): ([\d ]+)$", draft, re.MULTILINE)
    if found:
        st.session_state[_PLAN] = found[1]
        for number in found[2].split():
            st.session_state[key_of(int(number))] = True
