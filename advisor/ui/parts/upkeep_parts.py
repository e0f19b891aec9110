"""The parts of the page Upkeep: forms for what was done, doses, runs and anodes, and the entries to edit."""

from __future__ import annotations

import datetime
import html
from collections.abc import Sequence

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.units import Measured
from advisor.questions.plating import PlatingRun
from advisor.record.doses import DoseDue
from advisor.record.entries import CONTENTS, AdditiveDose, Check, Entry, Withdrawn
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.runs import deposit_of, run_as_planned
from advisor.record.upkeep import BathUpkeep
from advisor.record.withdrawal import ONE_HALF, other_half, said_of, withdraw
from advisor.ui.fields import plain
from advisor.ui.look.own_units import shown
from advisor.ui.parts import cards, due, entry_form
from advisor.ui.session import state
from advisor.words.cautions import cautions, first_aid
from advisor.words.sections import Section

SAID = "upkeep_said"
NEWEST = 10  # entries to edit at hand; all of them stand in the logbook


def said() -> None:
    """Say once what was written last."""
    if SAID in st.session_state:
        st.html(f'<p role="status">{html.escape(st.session_state.pop(SAID))}</p>')


def write_down(logbook: Logbook, bath: str, doses: Sequence[DoseDue]) -> None:
    """Draw the form for any entry but a check; a dose stands there as it is due."""
    kinds = [kind for kind in CONTENTS if kind != Withdrawn.kind]
    kind = st.selectbox("What", kinds, format_func=lambda kind: CONTENTS[kind].label, key=due.WRITE)
    # Read once a visit: a clock that moves would overwrite the day and time that were chosen.
    now = st.session_state.setdefault("upkeep_now", datetime.datetime.now())
    moment = entry_form.when("upkeep", now)
    before = _dose_as_due(doses) if kind == AdditiveDose.kind else None
    key = f"upkeep_{before.summary()}" if before else "upkeep"
    content = entry_form.show(CONTENTS[kind], key, "Write it down", before)
    if content is not None and state.first_tap("record entry"):
        entry = logbook.record(bath, content, moment)
        st.session_state[SAID] = f"Written down as entry {entry.id}: {shown(content.summary())}."
        st.rerun()


def _dose_as_due(doses: Sequence[DoseDue]) -> AdditiveDose | None:
    """Return the first dose that is due, with its amount; else one without, of the first bottle that has a rule."""
    first = next((dose for dose in doses if dose.is_due()), doses[0] if doses else None)
    if first is None or not first.due.value:
        return None
    return AdditiveDose(volume=Measured.of(first.due.value, "mL", "volume", digits=2), additive=first.additive)


def additives(doses: Sequence[DoseDue]) -> None:
    """Show what is due of each additive and why, and what was given."""
    if not doses:
        st.write(
            "Write down what the label of your bottle says (Additive: what its label says). Then it is worked out here "
            "how much is due, from the runs that you write down."
        )
        return
    cards.sections([Section("", tuple(line for dose in doses for line in dose.lines()))], titled=False)


def runs_and_anodes(found: BathUpkeep) -> None:
    """Show what the last runs deposited, and what the anodes fed between their last two weighings."""
    if not found.runs:
        st.write("No run is written down yet. The page Plating run does it with one tap.")
    for entry, run in reversed(found.runs):
        st.write(f"**{entry.when.astimezone():%Y-%m-%d}.** {plain(shown(run.summary()))}")
        cards.sections([Section("", deposit_of(run).lines())], titled=False)
    for feed in found.feeds[-1:]:
        cards.sections([Section("What the anodes fed", feed.lines())])
    if found.acts:
        care = Section("Take care", cautions(found.acts), caution=True)
        cards.sections([care, *first_aid(found.acts)], at_the_act=True)


def newest(logbook: Logbook, entries: Sequence[Entry]) -> None:
    """Show the newest entries as sentences, each with its edit and its withdrawal."""
    for entry in reversed(entries[-NEWEST:]):
        row = st.container(border=True, key=f"upkeep_entry_{entry.id}", horizontal=True, vertical_alignment="center")
        with row:
            day = f"{entry.when.astimezone():%Y-%m-%d %H:%M}"
            words = f'<p class="from">{day}</p><p>{html.escape(shown(entry.content.summary()))}</p>'
            st.html(words, width="stretch")
            with st.popover("Change", key=f"upkeep_change_{entry.id}"):
                _change(logbook, entry)


def _change(logbook: Logbook, entry: Entry) -> None:
    st.caption("What stood here stays in the record, marked as replaced.")
    if other := other_half(logbook, entry):
        st.caption(plain(ONE_HALF.format(number=other.id, bath=other.bath)))
    if not isinstance(entry.content, Check):
        content = entry_form.show(type(entry.content), f"upkeep_edit_{entry.id}", "Save the change", entry.content)
        if content is not None and state.first_tap("correct entry"):
            logbook.correct(entry.id, content)
            st.session_state[SAID] = f"Entry {entry.id} no longer counts."
            st.rerun()
    if st.button("Withdraw it", key=f"upkeep_withdraw_{entry.id}") and state.first_tap("withdraw entry"):
        st.session_state[SAID] = said_of(withdraw(logbook, entry.id))
        st.rerun()


def run_of_plan(run: PlatingRun, bath: str) -> None:
    """Offer to write a planned run into the record of its bath with one tap."""
    if not bath.strip():
        st.caption("With a name the bath gets a logbook, and this run can be written down in it.")
        return
    part = st.text_input("Part", key="plating_part", placeholder="what you plate", max_chars=80)
    if st.button("Write this run down", key="plating_write") and state.first_tap("write run"):
        content = run_as_planned(run.current, run.time, run.area, part)
        try:
            entry = Logbook().record(bath, content)
        except (LogbookError, InputError) as error:
            st.error(plain(str(error)))
            return
        st.html(f'<p role="status">Written down as entry {entry.id}: {html.escape(shown(content.summary()))}.</p>')
