"""Saving to the logbook from the pages that check and correct a bath: the check itself, and each step as it was done.

A page calls `offer_to_record` below its answer. What is written, and what can go wrong, is the logbook's business.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

import streamlit as st

from advisor.basis.fields import InputError
from advisor.check.advice import Advice
from advisor.check.steps import Step
from advisor.record.at_hand import at_hand
from advisor.record.done_steps import amount_field, content_of_step
from advisor.record.entries import Check, Content
from advisor.record.logbook import Logbook, LogbookError
from advisor.sheet import Sheet, write_sheet
from advisor.ui import fields
from advisor.ui.fields import complain, plain, with_unit
from advisor.ui.session import state, ticks, unfinished

_LOOKED_UP = "saved_looked_up"  # texts that were sought in the logbook
MEASURE_AGAIN = "stir ten minutes, then measure again"
_SAVED = "saved_checks"  # texts of the sheets that this visit has recorded, so that no tap records one twice


def offer_to_record(sheet: Sheet, advice: Advice, done: int = 0) -> None:
    """Offer to file this check in the logbook, and with it the first `done` steps, with the amounts really used."""
    text = write_sheet(sheet)
    saved = st.session_state.setdefault(_SAVED, {})
    if not sheet.bath.name.strip():
        with st.popover("Save", width="stretch", key="saving_name"):
            fields.one("bath", state.Typed(sheet, {}, advice, sheet), "name", where="_asked")
            st.caption("With a name the bath gets a logbook, and this can be saved in it.")
        return
    _look_up(sheet.bath.name, text, saved)
    steps = {_mark(text, number, step): (number, step) for number, step in enumerate(advice.steps[:done], 1)}
    with st.container(key="saving"):
        if text in saved:
            st.html(f'<p role="status">Saved in the logbook of this bath as entry {saved[text]}.</p>')
        for mark, (number, _) in steps.items():
            if mark in saved:
                st.html(f'<p role="status">Step {number} is saved as entry {saved[mark]}.</p>')
        open_steps = {mark: step for mark, step in steps.items() if mark not in saved}
        if text not in saved:
            words = "Save check and steps done" if open_steps else "Save in the logbook"
        elif open_steps:
            words = "Save what you did"
        else:
            return
        if st.button(words, key="saving_check", width="stretch"):
            _try_to_save(sheet, advice, text, open_steps)


def _mark(text: str, number: int, step: Step) -> str:
    return json.dumps([text, number, step.what])


def _look_up(name: str, text: str, saved: dict[str, int]) -> None:
    """Note a check that an earlier visit saved: one that goes on with a draft does not know of it."""
    looked_up = st.session_state.setdefault(_LOOKED_UP, set())
    if text in saved or text in looked_up:
        return
    looked_up.add(text)
    entry = _stands_as(name, text)
    if entry is not None:
        saved[text] = entry


def _stands_as(name: str, text: str) -> int | None:
    """Return the number of the check of a bath whose sheet reads so; None where the logbook has none that counts."""
    try:
        entries = at_hand(Logbook(), name).entries
    except (LogbookError, InputError):  # told once it is saved
        return None
    checks = ((entry.id, entry.content) for entry in reversed(entries) if isinstance(entry.content, Check))
    return next((number for number, check in checks if check.sheet == text), None)


def is_saved(sheet: Sheet, entry: int) -> None:
    """Remember that a check stands in the logbook already, as the entry of this number."""
    st.session_state.setdefault(_SAVED, {})[write_sheet(sheet)] = entry


def _try_to_save(sheet: Sheet, advice: Advice, text: str, steps: Mapping[str, tuple[int, Step]]) -> None:
    """Save the check, unless it is, and steps by their mark; all amounts are read before anything is written."""
    saved = st.session_state[_SAVED]
    try:
        contents = {mark: _content(number, step, advice) for mark, (number, step) in steps.items()}
        if text not in saved:
            saved[text] = Logbook().record_check(sheet, advice).id
            unfinished.done()
        for mark, content in contents.items():
            saved[mark] = Logbook().record(sheet.bath.name, content).id
    except InputError as error:
        complain(error)
    except LogbookError as error:
        st.error(plain(str(error)))
    else:
        st.rerun()


def _content(number: int, step: Step, advice: Advice) -> Content:
    """Return the entry of a step with what was really used; the last one says to measure again."""
    typed = with_unit(ticks.used(number, step), amount_field(step.what))
    note = MEASURE_AGAIN if number == len(advice.steps) else ""
    return content_of_step(step.what, step.numbers, typed, note)
