"""The parts of the page Upkeep: forms for what was done, doses, runs and anodes, and the entries to edit."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from advisor.basis.places import PAGES
from advisor.basis.units import Measured
from advisor.questions.plating import PlatingRun
from advisor.record.doses import DoseDue
from advisor.record.entries import AdditiveDose, Check, Entry
from advisor.record.logbook import Logbook
from advisor.record.runs import deposit_of, run_as_planned
from advisor.record.upkeep import BathUpkeep
from advisor.ui.fields import plain
from advisor.ui.look.own_units import shown, unparted
from advisor.ui.parts import cards, due, entry_form
from advisor.ui.session import saving
from advisor.words.cautions import take_care
from advisor.words.dates import said as day_said
from advisor.words.sections import Section

NEWEST = 10  # entries to edit at hand; all of them stand in the logbook (judgement)


def write_down(logbook: Logbook, bath: str, doses: Sequence[DoseDue]) -> None:
    """Draw the form for any entry but a check; a dose stands there as it is due, of the bottle that was tapped."""
    asked = st.session_state.get(due.BOTTLE)
    dose = next((dose for dose in doses if dose.additive == asked), None) or next(filter(DoseDue.is_due, doses), None)
    filled = {AdditiveDose.kind: _as_due(dose)} if dose else {}
    if entry_form.write(logbook, bath, due.PLACE, filled):
        st.session_state.pop(due.BOTTLE, None)
        st.rerun()


def _as_due(dose: DoseDue) -> dict[str, str]:
    """Return the fields of a dose as it is due; without an amount where nobody can tell how much that is."""
    amount = Measured.of(dose.due.value, "mL", "volume", digits=2).text if dose.due.value else ""
    return {"volume": amount, "additive": dose.additive}


def additives(found: BathUpkeep) -> None:
    """Show what is due of each additive and why, and what was given."""
    if not found.doses:
        st.write(
            "Write down what the label of your bottle says (Additive: what its label says). Then it is worked out here "
            "how much is due, from the runs that you write down."
        )
        return
    cards.sections([Section("", found.additives)], titled=False)


def runs_and_anodes(found: BathUpkeep) -> None:
    """Show what the last runs deposited, and what the anodes fed between their last two weighings."""
    if not found.runs:
        st.write("No run is written down yet. The page Plating run does it with one tap.")
    for entry, run in reversed(found.runs):
        st.write(f"**{day_said(entry.when.astimezone())}.** {plain(shown(run.summary()))}")
        cards.sections([Section("", deposit_of(run).lines())], titled=False)
    for feed in found.feeds[-1:]:
        cards.sections([Section("What the anodes fed", feed.lines())])
    if found.acts:
        cards.sections(take_care(found.acts), at_the_act=True)


def newest(logbook: Logbook, entries: Sequence[Entry]) -> None:
    """Show the newest entries as sentences, each with its edit and its withdrawal."""
    place = "upkeep_edit"
    entry_form.said(place)
    for entry in reversed(entries[-NEWEST:]):
        with st.container(key=f"row_entry_{entry.id}", horizontal=True, vertical_alignment="center"):
            when = entry.when.astimezone()
            day = f"{day_said(when)}, {when:%H:%M}"
            words = f'<p class="from">{day}</p><p>{unparted(shown(entry.content.summary()))}</p>'
            st.html(words, width="stretch")
            with st.popover("Change", key=f"upkeep_change_{entry.id}"):
                st.caption("What stood here stays in the record, marked as replaced.")
                if not isinstance(entry.content, Check):
                    entry_form.change(logbook, entry, entry.content, place)
                entry_form.withdraw(logbook, entry, "Withdraw it", f"upkeep_withdraw_{entry.id}", place)


def run_of_plan(run: PlatingRun, bath: str) -> None:
    """Offer to write a planned run into the record of its bath with one tap."""
    part = st.text_input("Part", key="plating_part", placeholder="what you plate", max_chars=80)
    content = run_as_planned(run.current, run.time, run.area, part)
    if saving.offer_to_write(bath, content, "Write this run down", "plating"):
        anodes = {"view": "anodes"}
        st.page_link(PAGES / "treatments.py", label="Look after the anodes that feed it →", query_params=anodes)
