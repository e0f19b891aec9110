"""What of a correction has gone in since the readings: no dose is told a second time, and the next check begins anew.

A page that shows what the readings advise asks here first, since they do not know of what went in after them.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.check.headline import Headline, changed_since, corrected_since, under_way
from advisor.check.steps import Step
from advisor.check.what_if import as_used, only_water_instead
from advisor.record.at_hand import BathAtHand, at_hand
from advisor.record.correcting import done_of, is_of
from advisor.record.done_steps import as_measured, exact_amount, is_far_off, moved_by, used_amount
from advisor.record.drafts import Ticks
from advisor.record.entries import Check, Entry
from advisor.record.logbook import Logbook
from advisor.sheet import Sheet
from advisor.ui import fields
from advisor.ui.parts import guided, plan_chips, record_parts
from advisor.ui.session import saving, state, ticks
from advisor.words.lines import Amount, Line, counted, joined, line


@dataclass(frozen=True)
class CarriedOut:
    """What has been done. of: the answer with the plan that is ticked; done: how many steps are ticked in a row.

    all_of_it: whether nothing is left to do but to measure again. by_another_plan: because the plan has changed.
    """

    said: Headline
    of: Advice
    done: int
    all_of_it: bool
    by_another_plan: bool = False


def of(sheet: Sheet, advice: Advice) -> CarriedOut | None:
    """Return what has been done of an answer's steps, by this visit's ticks or by the record; None where nothing."""
    if not advice.steps:
        return None
    day = saving.corrected_since_saved(sheet)
    if day or saving.steps_saved(sheet):
        take_up(sheet, advice)
    chosen = plan_chips.water_or_more(sheet, advice) if ticks.ticked() else advice
    went_in = by_another_plan(sheet, chosen.steps)
    if went_in is not None:
        return CarriedOut(changed_since(went_in), advice, 0, True, True)
    if ticked := ticks.ticked():
        said = under_way(chosen.steps, ticked.done)
        return CarriedOut(said, chosen, in_a_row(ticked.done), len(ticked.done) == len(chosen.steps))
    return CarriedOut(corrected_since(day), advice, 0, True) if day else None


def by_another_plan(sheet: Sheet, steps: Sequence[Step]) -> Line | None:
    """Say what went in by a plan that has changed since it was ticked; None where nothing did.

    What is ticked stays where it was done about as the new steps have it; what of it stands in the record only while
    the readings are those of its check: newer ones may know of it.
    """
    ticked = ticks.ticked()
    if ticked and not ticks.are_of(steps):
        check = _saved_with(ticked)
        is_known = check is not None and not saving.rests_on_the_readings_of(check, sheet)
        if is_known or not _are_as_planned(ticked, steps):
            return _listed(ticked)
        ticks.restore(Ticks(ticks.mark(steps), ticked.done, ticked.used, ticked.saved))
        if check is not None:
            saving.is_saved(sheet, check)
    return None


def _saved_with(ticked: Ticks) -> int | None:
    """Return the number in the logbook of the check with which ticked steps were saved; None where none was."""
    return ticked.saved[0] if len(ticked.saved) > 1 else None


def _are_as_planned(ticked: Ticks, steps: Sequence[Step]) -> bool:
    """Tell whether what is ticked was done about as these steps have it."""
    if ticked.done[-1] > len(steps) or len(ticked.used) < len(ticked.done):
        return False
    pairs = [(steps[number - 1], *used) for number, used in zip(ticked.done, ticked.used, strict=True)]
    with suppress(InputError):
        return all(
            step.what == what and not is_far_off(used_amount(what, amount), exact_amount(what, step.numbers))
            for step, what, amount in pairs
        )
    return False


def show_the_new_plan(sheet: Sheet) -> None:
    """Offer the steps of a plan that has changed, to whoever knows that its readings are of after what went in.

    Not where the record shows that they are of before.
    """
    ticked = ticks.ticked()
    check = _saved_with(ticked) if ticked else None
    if check is not None and saving.rests_on_the_readings_of(check, sheet):
        return
    words = "I took my readings after that: show the new plan"
    st.button(words, key="went_in_known", type="tertiary", width="stretch", on_click=ticks.forget)


def take_up(sheet: Sheet, advice: Advice) -> None:
    """Tick what the record holds of a correction that was begun in another visit: the rest of it is gone on with.

    What was ticked here and is not saved stays, beside it. Nothing is ticked by the record where all is done there, or
    where more or something else went in.
    """
    ticked = ticks.ticked()
    own = ticked.not_saved() if ticked else Ticks("", ())
    filed = saving.from_its_check(sheet)
    saved = ticks.saved(filed[0].id) if filed else ()
    if not filed or not (saving.done_elsewhere(filed, saved) or _was_changed(filed, saved, ticked)):
        return
    plan, done = _recorded(sheet, advice, filed)
    if own.done and own.done[0] <= len(done):  # done in both, or told twice: only a reading tells
        return
    if own.done or 0 < len(done) < len(plan.steps):
        ticks.take_up(plan.steps, filed[0], done, own)
        saving.is_saved(sheet, filed[0].id)
    else:
        ticks.forget()  # the record knows more


def _was_changed(filed: Sequence[Entry], saved: Sequence[int], ticked: Ticks | None) -> bool:
    """Tell whether a step that this visit saved was withdrawn in the logbook since, or corrected to another amount."""
    there = {entry.corrects or entry.id: entry for entry in filed[1:]}
    for number, (_, used) in zip(saved, ticked.used if ticked else (), strict=False):
        moved = moved_by(there[number].content) if number in there else None
        if moved is None or (there[number].corrects and moved[1].text != used):
            return True
    return False


def _recorded(sheet: Sheet, advice: Advice, filed: Sequence[Entry]) -> tuple[Advice, tuple[Entry, ...]]:
    """Return the plan that was followed after a check, whole or water alone, and the entries of its first steps.

    filed: the entry of the check and those after it.
    """
    check = filed[0].content
    assert isinstance(check, Check)
    plan = advice if is_of(check, advice) else only_water_instead(sheet, advice) or advice
    if not is_of(check, plan):
        return plan, ()
    return plan, done_of(check, [step.to_dict() for step in plan.steps], filed[1:])


def of_this_check() -> CarriedOut | None:
    """Return what has been done of the steps of this sheet's check, for a page that asks something else.

    A whole check is worked out only where something of it was ticked, or stands in the record: not at most changes.
    """
    checked = state.enter("sheet of the check", lambda sheet: sheet).sheet
    if ticks.ticked() is None and (checked is None or saving.corrected_since_saved(checked) is None):
        return None
    check = state.enter("check", advise)  # a test that was begun since then undoes no step
    return of(check.answered, check.answer) if check.answered and check.answer else None


def steps_left() -> tuple[Step, ...] | None:
    """Return the steps of this check that are not ticked yet; None where no step of it is ticked.

    None of them is still to be done where something went in by a plan that has changed.
    """
    since = of_this_check()
    ticked = ticks.ticked()
    if since and since.by_another_plan:
        return ()
    if ticked is None or since is None or not ticks.are_of(since.of.steps):
        return None
    return tuple(step for number, step in enumerate(since.of.steps, 1) if number not in ticked.done)


def lead_to_it() -> None:
    """Lead to the correction whose steps are ticked, and wait there to be saved; nothing where none is."""
    if ticks.ticked():
        st.page_link(PAGES / "correct.py", label="To the correction that you began →")


def as_done(sheet: Sheet, advice: Advice) -> Advice:
    """Return an answer with the bath after each step as it is by the amounts really used in the steps ticked."""
    if not ticks.ticked() or not ticks.are_of(advice.steps):
        return advice
    return as_used(sheet, advice, ticks.amounts(advice.steps))


def in_a_row(done: Sequence[int]) -> int:
    """Return how many of the steps done, counted from 1 and in order, follow one another from the first."""
    return next((at for at, number in enumerate(done) if number != at + 1), len(done))


def _listed(ticked: Ticks) -> Line:
    """Say what went in; of ticks that an older version kept, which knows no amounts, how many steps that was."""
    if not ticked.used:
        return line("{steps} of the plan before", steps=counted(len(ticked.done), "step"))
    return joined(", ", [line("{amount} of {what}", amount=_said(*each), what=each[0]) for each in ticked.used])


def _said(what: str, typed: str) -> Amount | str:
    """Return an amount for the units chosen now, which may be others than it was typed in; as typed if no amount."""
    try:
        return as_measured(what, typed)
    except InputError:
        return typed


def measure_again(sheet: Sheet, advice: Advice) -> None:
    """Offer to begin the next check: from the record, or this check and its steps, or else of the tank as it is now.

    Steps that are not in the record yet go there first, where the bath has a name, or the next check would begin
    without them; those of an example do not.
    """
    is_named = bool(sheet.bath.name.strip())
    done = _not_saved(sheet, advice)
    words = "Save and measure again" if done and is_named else "Measure again"
    if st.button(words, type="primary", key="measure_again", width="stretch"):
        if done and is_named and not saving.save_now(sheet, advice, done):
            return
        try:
            _load_what_is_known(sheet, advice, 0 if is_named else done)
        except InputError as error:
            fields.complain(error)
            return
        ticks.forget()
        guided.begin_again([reading.kind for reading in sheet.readings])


def _load_what_is_known(sheet: Sheet, advice: Advice, done: int) -> None:
    """Put what is known of the bath in the fields; done: how many steps no record will hold, of a bath without a name.

    Raises InputError where an amount of these cannot be read.
    """
    known = saving.not_recorded(sheet, advice, done) if done else _in_the_record(sheet)
    if known is None or not _load(known):
        _load_without_record(sheet, advice)
    elif done:
        state.put("bath", "name", None)


def _not_saved(sheet: Sheet, advice: Advice) -> int:
    """Return how many steps are done where some of them still have to go into a record; 0 where none has to."""
    ticked = ticks.ticked()
    if by_another_plan(sheet, plan_chips.water_or_more(sheet, advice).steps) is not None:
        return 0
    elsewhere = saving.corrected_since(sheet)  # saved in another tab, or written down: nothing is to count twice
    if not ticked or state.is_example() or elsewhere or len(ticked.done) <= saving.steps_saved(sheet):
        return 0
    return len(ticked.done)


def _in_the_record(sheet: Sheet) -> BathAtHand | None:
    """Return the record of the bath; None where no correction of this check stands there to carry."""
    return at_hand(Logbook(), sheet.bath.name) if saving.corrected_since(sheet, with_own=True) else None


def _load(known: BathAtHand) -> bool:
    """Put what is carried forward in the fields; tell whether there was any."""
    carried = known.carried(datetime.datetime.now(datetime.UTC))
    if carried:
        record_parts.load_next(carried, known)
    return carried is not None


def _load_without_record(sheet: Sheet, advice: Advice) -> None:
    """Put the same tank in the fields, at the level that the steps led to, without any reading."""
    steps = as_done(sheet, plan_chips.water_or_more(sheet, advice)).steps
    level = f"{steps[-1].after.volume:.2f} L" if steps and ticks.are_of(steps) else sheet.bath.volume.text
    record_parts.load_the_tank(volume=level)
