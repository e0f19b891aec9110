"""The card to correct a bath by, at the tank: each step with a box to tick, what was really used, and the bath then.

It outlives a reload and a sleeping phone by `session.ticks`. Once all is done it says what to do next.
"""

from __future__ import annotations

import datetime

import streamlit as st

from advisor.basis.fields import InputError, QuantityField
from advisor.check.advice import Advice
from advisor.check.headline import changed_since
from advisor.check.steps import SAID_BY_THE_STEP, Step, step_dose
from advisor.record.done_steps import amount_field, is_far_off, planned_amount, used_amount
from advisor.sheet import Sheet
from advisor.ui import fields, hints
from advisor.ui.look.own_units import shown, typed_as, unparted
from advisor.ui.parts import cards, carried_out, glance, plan_chips
from advisor.ui.session import saving, state, ticks
from advisor.words.cautions import Act, caution
from advisor.words.cautions import cautions as cautions_of
from advisor.words.dates import said as day_said
from advisor.words.lines import Line, line
from advisor.words.sections import Section

OTHERWISE = (
    "That is not the {planned} of the plan, and what comes next was worked out for that. Add nothing more: stir ten "
    "minutes, and measure again."
)


def show(sheet: Sheet, entry: state.Typed[Advice], advice: Advice) -> int:
    """Show the correction with a box to tick at each step, and return how many are done in a row.

    Where there is no step, it says why.
    """
    ticks.follow(advice.steps)
    if not advice.steps:
        glance.show(advice)
        glance.rests_on(advice)
        return 0
    before = [text for text in advice.cautions if text == caution(Act.PARTS_AND_ANODES_OUT)]
    cards.cautions(before)
    saved = saving.steps_saved(sheet)
    ticked = [_step(number, step, sheet, entry, advice, saved) for number, step in enumerate(advice.steps, 1)]
    done = ticked.index(False) if False in ticked else len(ticked)
    if done and not advice.steps[done - 1].goes_in_with:
        _the_bath_now(sheet, advice, done)
    return done


def stands_already(sheet: Sheet, advice: Advice, day: datetime.date) -> None:
    """Say what the record holds of after this check, and lead to the next one: no dose is offered twice."""
    with st.container(key="stands_already"):
        st.write(
            f"**Something went in since this check, last on {day_said(day)}: measure again.** The readings do not know "
            "of it, so the steps are no longer shown: you would add them twice."
        )
        carried_out.measure_again(sheet, advice)


def by_another_plan(sheet: Sheet, advice: Advice, went_in: Line) -> None:
    """Say what went in by a plan that has changed, and lead to the next check: no step that was done shows as open."""
    with st.container(key="went_in"):
        glance.show(advice, changed_since(went_in))
        carried_out.measure_again(sheet, advice)
        carried_out.show_the_new_plan(sheet)


def _step(number: int, step: Step, sheet: Sheet, entry: state.Typed[Advice], advice: Advice, saved: int) -> bool:
    """Draw a step, and tell whether it is ticked; saved: how many stand in the logbook, where alone they are undone."""
    with st.container(border=True, key=f"step_{number}"):
        label = f"**{number}. {shown(step_dose(step))}**"
        key = ticks.key_of(number)
        done = st.checkbox(label, key=key, persist_state="session", disabled=number <= saved)
        if done:
            _really_used(number, step)
            return True
        plan_chips.in_step(sheet, entry, step)
        st.html(f'<p class="how">{unparted(shown(step.how))}</p>')
        there = [text for text in cautions_of(step.acts) if text in advice.cautions]
        said = cautions_of(SAID_BY_THE_STEP)
        cards.cautions([text for text in there if text not in said])
        cards.fold(Section("Also said in the step", tuple(text for text in there if text in said), caution=True))
        last = step is advice.steps[-1]
        if step.goes_in_with:  # nothing of it is in the tank yet
            return False
        st.html(f'<p class="after">Then: {unparted(shown(cards.bath_after(step.after, advice, last)))}</p>')
    return False


def _really_used(number: int, step: Step) -> None:
    """Ask how much really went in or out; the planned amount stands there, in the unit in which the step names it."""
    planned, field, key = planned_amount(step.what, step.numbers), amount_field(step.what), ticks.used_key(number)
    stands = typed_as(planned)
    unit = stands.partition(" ")[2]
    st.text_input(
        f"{field.label} ({unit})",
        stands,
        key=key,
        persist_state="session",
        on_change=_keep_unit,
        args=(key, field, unit),
    )
    try:
        used = used_amount(step.what, ticks.used(number, step))
    except InputError as error:
        fields.complain(error, hints.what_to_write(field, st.session_state.get(key), unit), called=field.label)
        return
    if is_far_off(used, used_amount(step.what, str(planned))):
        st.html(f'<p class="field-wrong" role="status">{unparted(shown(line(OTHERWISE, planned=planned)))}</p>')


def _keep_unit(key: str, field: QuantityField, unit: str) -> None:
    """Write the unit that stood at the field after a number alone: other units may be chosen before it is saved."""
    st.session_state[key] = fields.with_unit(st.session_state[key] or "", field, unit)


def _the_bath_now(sheet: Sheet, advice: Advice, done: int) -> None:
    """Say what the bath holds by what was really used so far, and at the end what comes next."""
    try:
        for number, step in enumerate(advice.steps[:done], 1):
            used_amount(step.what, ticks.used(number, step))
    except InputError:  # said at its field
        return
    is_all = done == len(advice.steps)
    after = advice.steps[done - 1].after
    with st.container(key="bath_now"):
        st.html(f'<p role="status"><b>The bath now:</b> {unparted(shown(cards.bath_after(after, advice, is_all)))}</p>')
        if is_all:
            st.write("**Stir ten minutes, then measure again:** only a reading tells what the bath holds now.")
            carried_out.measure_again(sheet, advice)
