"""Which steps of a correction are done, with what was really used: good for one plan only, and kept with the draft.

A step that is done and shows as open would be done twice. Where the plan changes after a step was done, its tick stays
until it is told what became of that: no reading knows of it. What is ticked belongs to the bath that it was ticked for.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from contextlib import suppress

import streamlit as st

from advisor.basis.fields import InputError
from advisor.check.steps import Step
from advisor.record.done_steps import amount_field, exact_amount, in_its_stock, planned_amount, used_amount
from advisor.record.drafts import Ticks
from advisor.record.entries import Entry
from advisor.ui.fields import with_unit
from advisor.ui.session import state

_DONE, _USED, _PLAN = "correct_done_", "correct_used_", "correct_plan"
_STEPS, _SAVED = "correct_steps", "correct_saved"
_SHEET = "correct_sheet"  # the sheet, as typed, of the bath that was corrected
WATER_ALONE = "correct_water"  # the widget of the choice between water alone and the whole plan
_RESTORED = "correct_restored"  # what a draft said was used, until its steps are shown


def key_of(number: int) -> str:
    """Return the key of a step's box."""
    return f"{_DONE}{number}"


def used_key(number: int) -> str:
    """Return the key of the field of what was really used in a step."""
    return f"{_USED}{number}"


def used(number: int, step: Step) -> str:
    """Return what was really used in a step, as typed; the planned amount where nothing was.

    A number alone, as drafts of before hold it, is in the unit of the plan: its field writes the unit behind it.
    """
    field = amount_field(step.what)
    typed = str(st.session_state.get(used_key(number)) or _planned(step))
    return with_unit(typed, field, field.unit)


def _planned(step: Step) -> str:
    return str(planned_amount(step.what, step.numbers))


def amounts(steps: Sequence[Step]) -> list[float]:
    """Return what was really used in each step that is done, and what is planned in the others [g, or L of liquids].

    An amount that cannot be read, which is said at its field, counts as planned. What stands as planned is the plan's
    own amount, not as its tool shows it: the bath then is the one that the steps told.
    """
    return [_amount(number, step) for number, step in enumerate(steps, 1)]


def _amount(number: int, step: Step) -> float:
    with suppress(InputError):
        if st.session_state.get(key_of(number)) and (typed := used(number, step)) != _planned(step):
            return used_amount(step.what, typed)
    return exact_amount(step.what, step.numbers)


def follow(steps: Sequence[Step]) -> None:
    """Take these steps as those to be ticked, and take off what was ticked for others."""
    if not are_of(steps):
        _take_off()
        st.session_state[_PLAN] = mark(steps)
    st.session_state[_STEPS] = tuple(steps)
    st.session_state[_SHEET] = state.raw()


def mark(steps: Sequence[Step]) -> str:
    """Return by what a plan is known again."""
    return hashlib.sha256(repr([(step.what, step.numbers) for step in steps]).encode()).hexdigest()[:16]


def _take_off() -> None:
    for key in [key for key in st.session_state if str(key).startswith((_DONE, _USED))]:
        del st.session_state[key]
    for key in (_SAVED, _RESTORED):
        st.session_state.pop(key, None)


def are_of(steps: Sequence[Step]) -> bool:
    """Tell whether what is ticked are these steps, and not those of another plan."""
    return bool(st.session_state.get(_PLAN) == mark(steps))


def forget() -> None:
    """Take all ticks off, as the bath is measured anew: the next readings know of all that went in.

    Whether water alone was chosen goes too: the next plan is another one.
    """
    _take_off()
    for key in (_PLAN, _STEPS, _SHEET, WATER_ALONE):
        st.session_state.pop(key, None)


def follow_the_bath() -> None:
    """Take off what was ticked for another bath than that of the sheet, before a page is drawn or a draft kept.

    A later sheet of the same bath keeps what the record does not hold: its readings may be of before.
    """
    of = st.session_state.get(_SHEET)
    if of is None or of is state.raw():
        return
    if of == state.raw():  # the same check, loaded anew
        st.session_state[_SHEET] = state.raw()
        return
    before = ticked()
    forget()
    if _name(of) and _name(of) == _name(state.raw()):
        restore(before and before.not_saved())


def _name(sheet: state.Raw) -> str:
    return str(sheet.get("bath", {}).get("name", "")).strip()


def saved(check: int | None) -> tuple[int, ...]:
    """Return the numbers in the logbook of the first steps, which were saved with or after the check of this number."""
    of, *steps = st.session_state.get(_SAVED) or (None,)
    return tuple(steps) if of == check else ()


def note_saved(check: int, steps: Sequence[int]) -> None:
    """Remember the numbers in the logbook of a check and of all its steps that are saved by now."""
    st.session_state[_SAVED] = (check, *steps)


def ticked() -> Ticks | None:
    """Return what is ticked, for the sheet's draft; None where nothing is."""
    if _PLAN not in st.session_state:  # no step was shown yet: looking all widgets through takes time at each change
        return None
    done = sorted(
        int(str(key).removeprefix(_DONE))
        for key in st.session_state
        if str(key).startswith(_DONE) and st.session_state[key]
    )
    went: tuple[tuple[str, str], ...] = st.session_state.get(_RESTORED, ())
    if _STEPS in st.session_state:
        steps: tuple[Step, ...] = st.session_state[_STEPS]
        shown = [(number, steps[number - 1]) for number in done if number <= len(steps)]
        went = tuple((step.what, used(number, step)) for number, step in shown)
    plan, written = st.session_state.get(_PLAN, ""), st.session_state.get(_SAVED, ())
    return Ticks(plan, tuple(done), went, written) if done else None


def take_up(steps: Sequence[Step], check: Entry, done: Sequence[Entry], own: Ticks) -> None:
    """Tick the first steps as the logbook has them, beside later ones that only this visit knows of (own).

    check, done: the entry of their check, and those of the steps.
    """
    pairs = zip(steps, done, strict=False)
    used = tuple((step.what, in_its_stock(entry.content, step.to_dict())) for step, entry in pairs)
    saved = (check.id, *(entry.corrects or entry.id for entry in done))
    restore(Ticks(mark(steps), (*range(1, len(done) + 1), *own.done), (*used, *own.used), saved))


def restore(ticks: Ticks | None) -> None:
    """Tick what a draft of the bath of the sheet says is done, in place of what was."""
    forget()
    if ticks and ticks.done:
        st.session_state[_SHEET], st.session_state[_RESTORED] = state.raw(), ticks.used
        st.session_state[_PLAN], st.session_state[_SAVED] = ticks.plan, ticks.saved
        for number in ticks.done:
            st.session_state[key_of(number)] = True
        for number, (_, amount) in zip(ticks.done, ticks.used, strict=False):
            st.session_state[used_key(number)] = amount
