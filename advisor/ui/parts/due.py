"""What is due, as it is shown: in a line on Home, as a list with its buttons on the page Upkeep, and as a calendar."""

from __future__ import annotations

import datetime
import html
from collections.abc import Iterator, Sequence

import streamlit as st

from advisor.basis.places import PAGES
from advisor.record.calendar_file import calendar_file
from advisor.record.doses import DoseDue
from advisor.record.due import FINISH, Due, Upkeep, entry_for
from advisor.record.entries import AdditiveDose
from advisor.record.logbook import Logbook
from advisor.record.upkeep import BathUpkeep, upkeep_of
from advisor.ui.look.own_units import shown
from advisor.ui.parts import entry_form, focus
from advisor.ui.session import state
from advisor.words.dates import said as day_said

BATH = "upkeep_bath"  # which bath the page Upkeep shows
PLACE = "upkeep"  # of the form on that page
BOTTLE = "upkeep_bottle"  # session: the additive of the dose that is to be written down there


def in_short(logbook: Logbook, bath: str, now: datetime.datetime) -> None:
    """Say in a line what else than the check is due of a bath now, and lead to its upkeep."""
    tasks = [task for task in upkeep_of(logbook, bath, now).tasks if task.is_due(now)]
    others = [task for task in tasks if task.task is not Upkeep.CHECK]
    if not others:
        return
    said = " · ".join(html.escape(shown(task.what)) for task in others)
    st.html(f'<p class="due">Due: {said}</p>')
    if st.button("What is due", key=f"due_{bath}"):
        st.session_state[BATH] = bath
        st.switch_page(PAGES / "upkeep.py")


def listed(logbook: Logbook, bath: str, found: BathUpkeep, now: datetime.datetime) -> None:
    """Show each task with its day and its rule; what is done with one tap has its button."""
    bottles = _bottles(found.doses)
    for number, task in enumerate(found.tasks):
        is_due = task.is_due(now)
        when = task.when.astimezone()
        day = "Now" if is_due else day_said(when) + (f", {when:%H:%M}" if task.at_time else "")
        with st.container(key=f"row_due_{number}", horizontal=True, vertical_alignment="center"):
            mark = ' class="due"' if is_due else ""
            words = f"<p{mark}>{day}: {html.escape(shown(task.what))}</p>"
            st.html(f'{words}<p class="from">{html.escape(shown(task.rule))}</p>', width="stretch")
            _button(logbook, bath, task, number, next(bottles) if task.task is Upkeep.DOSE else "")


def _bottles(doses: Sequence[DoseDue]) -> Iterator[str]:
    """Yield the additives in the order in which their doses stand among the tasks: the soonest first."""
    coming = [(left, dose.additive) for dose in doses if (left := dose.days_left()) is not None]
    return (additive for _, additive in sorted(coming, key=lambda pair: pair[0]))


def _button(logbook: Logbook, bath: str, task: Due, number: int, bottle: str) -> None:
    done = entry_for(task)
    if done is not None:
        if st.button("Done", key=f"due_done_{number}") and state.first_tap("due done"):
            logbook.record(bath, done)
            st.rerun()
    elif task.task is Upkeep.CHECK:
        to_finish = task.what == FINISH
        file, label = ("correct.py", "Go on correcting →") if to_finish else ("check.py", "Check it →")
        st.page_link(PAGES / file, label=label)
    elif bottle and st.button("Write this dose down", key=f"due_dose_{number}"):
        st.session_state[entry_form.kind_key(PLACE)] = AdditiveDose.kind
        st.session_state[BOTTLE] = bottle
        focus.want(entry_form.kind_key(PLACE))
        st.rerun()


def calendar(bath: str, tasks: Sequence[Due], now: datetime.datetime) -> None:
    """Offer what is due as a file for a calendar."""
    st.download_button(
        "Into your calendar (.ics)",
        lambda: calendar_file(bath, tasks, now),
        "bath_upkeep.ics",
        "text/calendar",
        on_click="ignore",
        key="due_calendar",
        help="Take it in again later: events move, and are not doubled.",
    )
