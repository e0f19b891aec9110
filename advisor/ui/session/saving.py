"""Saving to the logbook from the pages that check and correct a bath: the check itself, and each step as it was done.

A page calls `offer_to_record` below its answer. What is written, and what can go wrong, is the logbook's business.
"""

from __future__ import annotations

import json

import streamlit as st

from advisor.basis.fields import InputError, QuantityField
from advisor.check.advice import Advice
from advisor.check.steps import Step, step_amount
from advisor.record.done_steps import STEP_AMOUNTS, content_of_step, planned_amount
from advisor.record.logbook import Logbook, LogbookError
from advisor.sheet import Sheet, write_sheet
from advisor.ui import fields
from advisor.ui.fields import complain, plain, with_unit
from advisor.ui.session import state, unfinished

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
    with st.container(key="saving"):
        if text in saved:
            st.html(f'<p role="status">Saved in the logbook of this bath as entry {saved[text]}.</p>')
        elif st.button("Save in the logbook", key="saving_check", width="stretch"):
            _try_to_save(sheet, advice, text)
        for number, step in enumerate(advice.steps[:done], 1):
            _offer_step(sheet, step, number, text)


def is_saved(sheet: Sheet, entry: int) -> None:
    """Remember that a check stands in the logbook already, as the entry of this number."""
    st.session_state.setdefault(_SAVED, {})[write_sheet(sheet)] = entry


def _try_to_save(sheet: Sheet, advice: Advice, text: str) -> None:
    try:
        st.session_state[_SAVED][text] = Logbook().record_check(sheet, advice).id
        unfinished.done()
    except LogbookError as error:
        st.error(plain(str(error)))
        return
    st.rerun()


def _offer_step(sheet: Sheet, step: Step, number: int, text: str) -> None:
    """Ask how much really went in or out, and record that."""
    saved = st.session_state[_SAVED]
    mark = json.dumps([text, number, step.what])
    if mark in saved:
        st.html(f'<p role="status">Step {number} is saved as entry {saved[mark]}.</p>')
        return
    amount = st.text_input(
        f"Step {number}: {step_amount(step)}. Amount really used",
        planned_amount(step.what, step.numbers),
        key=f"saving_amount_{number}",
    )
    if st.button(f"Save step {number} as done", key=f"saving_step_{number}"):
        try:
            _, kind, unit = STEP_AMOUNTS[step.what]
            typed = with_unit(amount, QuantityField(label="amount", quantity=kind, unit=unit))
            content = content_of_step(step.what, step.numbers, typed)
            saved[mark] = Logbook().record(sheet.bath.name, content).id
        except InputError as error:
            complain(error)
        except LogbookError as error:
            st.error(plain(str(error)))
        else:
            st.rerun()
