"""What of a correction has gone in since the readings: no dose is told a second time, and the next check begins anew.

A page that shows what the readings advise asks here first, since they do not know of what went in after them.
"""

from __future__ import annotations

import datetime
from contextlib import suppress
from dataclasses import dataclass

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.check.advice import Advice
from advisor.check.headline import Headline, corrected_since, under_way
from advisor.check.what_if import after_steps
from advisor.record.at_hand import at_hand
from advisor.record.done_steps import used_amount
from advisor.record.logbook import Logbook
from advisor.sheet import Sheet
from advisor.ui.parts import plan_chips, record_parts
from advisor.ui.session import saving, state, ticks

OF_A_CHECK = ("date", "condition")  # of the bath, which the next check does not take over


@dataclass(frozen=True)
class CarriedOut:
    """done: how many steps are ticked in a row. all_of_it: whether nothing is left to do but to measure again."""

    said: Headline
    done: int
    all_of_it: bool


def of(sheet: Sheet, advice: Advice) -> CarriedOut | None:
    """Return what has been done of an answer's steps, by this visit's ticks or by the record; None where nothing."""
    if not advice.steps:
        return None
    if ticks.ticked():
        steps = plan_chips.water_or_more(sheet, advice).steps
        done = ticks.done_of(steps)
        if done:
            return CarriedOut(under_way(steps, done), done, done == len(steps))
    day = saving.corrected_since_saved(sheet)
    return CarriedOut(corrected_since(day), 0, True) if day else None


def measure_again(sheet: Sheet, advice: Advice) -> None:
    """Offer to begin the next check: from the record where that knows what went in, else of the tank as it is now."""
    if st.button("Measure again", type="primary", key="measure_again", width="stretch"):
        day = saving.corrected_since(sheet, with_own=True)
        known = at_hand(Logbook(), sheet.bath.name) if day else None
        carried = known.carried(datetime.datetime.now(datetime.UTC)) if known else None
        if known and carried:
            ticks.forget()
            record_parts.begin_next(carried, known)
        _begin_without_record(sheet, advice)
        st.switch_page(PAGES / "check.py")


def _begin_without_record(sheet: Sheet, advice: Advice) -> None:
    """Begin a check of the same tank, at the level that the steps led to, without any reading."""
    steps = plan_chips.water_or_more(sheet, advice).steps
    level = sheet.bath.volume.text
    with suppress(InputError):  # an amount that cannot be read is said at its field, on the page Correct
        used = [used_amount(step.what, ticks.used(number, step)) for number, step in enumerate(steps, 1)]
        level = f"{after_steps(sheet, advice, used).volume:.2f} L"
    kept = {} if state.is_example() else {key: part for key, part in state.raw().items() if key != "reading"}
    bath = {name: value for name, value in kept.get("bath", {}).items() if name not in OF_A_CHECK}
    ticks.forget()
    state.load({**kept, "bath": {**bath, "volume": level}})
