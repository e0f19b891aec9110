"""Which steps of a test's card are done: they belong to one reading, go where it goes, and are kept with the draft.

A sample that was taken and shows as open would be taken twice. What is ticked is a step by its words: where the plan of
the card changes, a tick stays at its own step, and none stands at a step with another volume. Drafts of before have
numbers.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import streamlit as st

from advisor.record.drafts import CardStep
from advisor.ui.session import state

_DONE = "card_steps_done"  # session: each reading, with the steps of its card that are done


def box(label: str, number: int, step: int, text: str) -> None:
    """Draw the box of a step, from 1, of the card of a reading, from 1; text: its words, the same in all units."""
    reading = state.raw()["reading"][number - 1]
    done, mark = _of(reading), hashlib.sha256(text.encode()).hexdigest()[:16]
    if step in done:  # by its number, as the version that kept this knew it
        done.discard(step)
        done.add(mark)
    key = f"guided_step_{number}_{step}_{mark}_{state.widget_round(f'reading {number}')}"
    st.checkbox(label, mark in done, key=key, on_change=_note, args=(reading, mark, key))


def _note(reading: state.Raw, mark: str, key: str) -> None:
    done = _of(reading)
    (done.add if st.session_state[key] else done.discard)(mark)
    others = [kept for kept in st.session_state.get(_DONE, ()) if kept[0] is not reading]
    st.session_state[_DONE] = [*others, (reading, done)]


def _of(reading: state.Raw) -> set[CardStep]:
    """Return the steps done of a reading's card."""
    return next((done for of, done in st.session_state.get(_DONE, ()) if of is reading), set())


def done() -> tuple[tuple[CardStep, ...], ...]:
    """Return the steps done of each reading of the sheet, for its draft; empty where no step of any is."""
    steps = tuple(tuple(sorted(_of(reading), key=str)) for reading in state.raw().get("reading", []))
    return steps if any(steps) else ()


def restore(steps: Sequence[Sequence[CardStep]]) -> None:
    """Tick what a draft of this sheet says is done of each reading's card."""
    readings = state.raw().get("reading", [])
    st.session_state[_DONE] = [(reading, set(done)) for reading, done in zip(readings, steps, strict=False)]
