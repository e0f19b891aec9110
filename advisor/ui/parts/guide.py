"""The short way through the page Check: which test to do next, and what the record already knows of this bath."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace

import streamlit as st

from advisor.basis.fields import write_table
from advisor.bench.cards import READ, begun
from advisor.check.advice import Advice
from advisor.check.headline import Tone, headline
from advisor.check.next_reading import Suggestion
from advisor.readings import KINDS
from advisor.readings.origin import Origin
from advisor.record.asked import carried_for, filed_as, known_bath
from advisor.record.carried import Carried, what_the_record_adds
from advisor.record.logbook import LogbookError
from advisor.sheet import Sheet
from advisor.ui.fields import plain
from advisor.ui.look.own_units import shown, unparted
from advisor.ui.parts import focus, how_to, reading_list
from advisor.ui.session import state
from advisor.words.lines import capital, joined, small

MOST = 3  # tests shown: further ones seldom change the answer (judgement)


def worth_doing(entry: state.Typed[Advice], filled: bool) -> None:
    """List the tests that would settle most with what is to hand, each with its bench card, one tap from its fields.

    Once there are readings, the answer names the one worth adding. filled: whether the first has the filled button.
    """
    advice, unsound = entry.answer, state.part("bath").get("condition")
    if entry.answered is not None and entry.answered.readings and not unsound:
        return
    st.header("Tests worth doing", anchor=False)
    if advice is None:
        st.caption("First say above how much bath there is: then the tests worth doing appear here, the best first.")
        return
    if unsound:
        st.caption("First take a sound sample, as the answer says. Then the tests worth doing appear here.")
        return
    wanted = suggestions(entry)
    if not wanted:
        st.caption("No further test that you have the gear for would settle more.")
    for number, suggestion in enumerate(wanted, 1):
        kind = suggestion.kind or ""
        label = KINDS[kind].label
        with st.container(border=True, key=f"guide_{number}"):
            say_why(kind, suggestion.why, suggestion.minutes, f"{number}. ")
            start_button(kind, "guide_add", _start_and_type, primary=filled and number == 1)
            how_to.show(kind, entry, f"How to do it: {small(label)}", f"guide_card_{kind}")


def next_reading(entry: state.Typed[Advice], advice: Advice) -> None:
    """Show in the answer the one reading that would settle most now, once there are readings; before, they are listed.

    A reading that has been added and waits for its numbers comes first.
    """
    waiting = len(state.raw().get("reading", []))
    if entry.answered is None or not entry.answered.readings or not advice.next_reading:
        return
    said = "<h3>What to measure next</h3>"
    if not entry.current and waiting > len(entry.answered.readings):
        st.html(f"{said}<p>Reading {waiting} waits for its numbers. {_link('To your readings', 'readings')}</p>")
        return
    for asked in advice.next_reading:
        if asked.question:
            said += f"<p>Before any test, {unparted(asked.why)}. {_link('To the question', 'questions')}</p>"
    best = next((found for found in advice.next_reading if found.kind), None)
    if best is None or best.kind is None:
        st.html(said)
        return
    label, minutes = KINDS[best.kind].label, f", about {best.minutes:.0f} minutes: {best.why}."
    st.html(f"{said}<p><b>{label}</b>{unparted(minutes)}</p>")
    start_button(best.kind, "answer_add", _start_and_type, primary=waits_for_a_test(advice))


def _link(words: str, anchor: str) -> str:
    return f'<a href="#{anchor}" target="_self">{words} ↑</a>'


def waits_for_a_test(advice: Advice) -> bool:
    """Tell whether an answer has nothing to do but the test that would settle it."""
    return not advice.steps and headline(advice).tone is Tone.NOT_SETTLED


def suggestions(entry: state.Typed[Advice]) -> list[Suggestion]:
    """Return the tests that would settle most, the best first; one that was done only where it is to be repeated.

    Each is there once, with all that it is done for: two readings of one kind may both be worth taking again.
    """
    taken = {reading["kind"] for reading in state.raw().get("reading", [])}
    tests: dict[str, Suggestion] = {}
    for found in entry.answer.next_reading if entry.answer else ():
        if found.kind and (found.repeats is not None or found.kind not in taken):
            first = tests.setdefault(found.kind, found)
            if first is not found:
                tests[found.kind] = replace(first, why=f"{first.why}. {capital(found.why)}")
    return list(tests.values())[:MOST]


def to_repeat(entry: state.Typed[Advice], kind: str) -> list[int]:
    """Return the readings of a kind, from 1, that are to be taken again, each once whatever it is repeated for.

    None while the answer is of another sheet, whose readings may have had other numbers.
    """
    asked = entry.answer.next_reading if entry.answer and entry.current else ()
    return sorted({found.repeats + 1 for found in asked if found.kind == kind and found.repeats is not None})


def say_why(kind: str, why: str, minutes: float, number: str = "") -> None:
    """Say what a test is called, how long it takes and what it tells."""
    said = f", about {minutes:.0f} minutes. {capital(why)}."
    st.html(f"<p><b>{number}{html.escape(KINDS[kind].label)}</b>{unparted(said)}</p>")


def start_button(kind: str, key: str, begin: Callable[[str], None], primary: bool = False) -> None:
    """Offer to start a test: its reading, with all from the plan but what is read at the bench, joins the sheet."""
    st.button(
        f"Start this test: {small(KINDS[kind].label)}",
        key=f"{key}_{kind}",
        type="primary" if primary else "secondary",
        on_click=begin,
        args=(kind,),
    )


def start(kind: str) -> None:
    """Begin a test: its reading joins the sheet, by a plan for what is typed and sound so far."""
    if state.first_tap("add reading"):
        sheet = how_to.sound_sheet()
        state.add_reading(kind, **begun(kind, sheet))
        state.note_plan(sheet)


def _start_and_type(kind: str) -> None:
    """Begin a test and go to the field of what is read: its steps stand folded beneath."""
    start(kind)
    if read := READ.get(kind, ()):
        focus.want(state.key_of(f"reading {len(state.raw()['reading'])}", read[0]))


# --- What the record knows ------------------------------------------------------------------------


def from_the_record(entry: state.Typed[object]) -> None:
    """Offer what the logbook knows of this bath as one more reading, or say what it adds and let it be left out."""
    number = next(
        (
            number
            for number, reading in enumerate(state.raw().get("reading", []), 1)
            if reading.get("origin") == Origin.LOGBOOK
        ),
        None,
    )
    if number is not None:
        _say_what_it_adds(number, entry)
        return
    carried = _known(entry.sheet) if entry.sheet else None
    if carried:
        with st.container(border=True, key="carried"):
            st.write(f"**From this bath's logbook.** {plain(shown(carried.summary()))}")
            st.caption(
                "Taken as one more reading, it makes the answer surer; the older it is, the less. You may leave it out."
            )
            # No callback, which would hold what the record knew of the bath named before; and not twice, which would
            # make the answer surer than it is.
            if st.button("Use it in this check", key="carried_use") and state.first_tap("use record"):
                state.add_reading("previous check", **write_table(carried.reading()))
                st.rerun()


def knows(entry: state.Typed[object]) -> bool:
    """Tell whether the logbook knows of this bath what may be used in the check."""
    return entry.sheet is not None and _known(entry.sheet) is not None


def _known(sheet: Sheet) -> Carried | None:
    """Return what the record says of the bath on the sheet's day."""
    try:
        known = known_bath(sheet)
        return carried_for(known, sheet) if known and not filed_as(known, sheet) else None
    except LogbookError as error:
        st.error(plain(str(error)))
        return None


def _say_what_it_adds(number: int, entry: state.Typed[object]) -> None:
    lines = what_the_record_adds(entry.sheet) if entry.sheet else ()
    whence = "this bath's logbook" if state.part("bath").get("name") else "your last check and what you did since"
    with st.container(border=True, key="carried"):
        st.write(f"**Reading {number} comes from {whence}.** {plain(shown(joined(' ', lines)))}")
        # It stands where "Use it" stood: the second tap of a double click on that is not meant for this.
        if st.button("Leave it out", key="carried_leave") and state.first_tap("use record"):
            reading_list.remove(number, state.widget_round(f"reading {number}"))
            st.rerun()
