"""Which steps of a correction are done: boxes that are ticked, good for one plan only, and kept with the draft.

A step that is done and shows as open would be done twice.
"""

from __future__ import annotations

import hashlib

import streamlit as st

from advisor.record.drafts import Ticks

_DONE, _PLAN = "correct_done_", "correct_plan"


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


def ticked() -> Ticks | None:
    """Return what is ticked, for the sheet's draft; None where nothing is."""
    done = sorted(
        int(str(key).removeprefix(_DONE))
        for key, ticked in st.session_state.items()
        if str(key).startswith(_DONE) and ticked
    )
    return Ticks(st.session_state.get(_PLAN, ""), tuple(done)) if done else None


def restore(ticks: Ticks | None) -> None:
    """Tick what a draft says is done."""
    if ticks:
        st.session_state[_PLAN] = ticks.plan
        for number in ticks.done:
            st.session_state[key_of(number)] = True
