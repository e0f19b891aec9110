"""The parts of the page Home: a card for each bath of the record, the ways in, and how to begin."""

from __future__ import annotations

import datetime
import html
from collections.abc import Callable
from functools import partial

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.examples import EXAMPLES, requested_example
from advisor.record.carried import carry_forward
from advisor.record.entries import Check
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.overview import Overview, overview
from advisor.sheet import parse_toml
from advisor.ui.fields import plain
from advisor.ui.parts import record_parts
from advisor.ui.session import state
from advisor.ui.session.sheet_box import EXAMPLE_LABELS

# What people come for: what they say, and the page with its place.
WAYS_IN: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("It plates dull, rough or burnt", "deposit_faults.py", {}),
    ("The level has dropped", "check.py", {"way": "level"}),
    ("Top up or remake?", "keep_or_remake.py", {}),
)


def go_on_to_an_example() -> None:
    """Open the page Check where the visit begins with an example, by the address or the command line."""
    asked = st.query_params.get("example") or requested_example()
    if asked in EXAMPLES and state.is_new():
        state.raw()
        st.switch_page(PAGES / "check.py")


def ways_in() -> None:
    """Show the three things that people come for, one tap each."""
    with st.container(horizontal=True, key="ways_in"):
        for words, file, place in WAYS_IN:
            st.page_link(PAGES / file, label=f"{words} →", query_params=place or None)


def baths(logbook: Logbook) -> int:
    """Show the state of each bath of the record, and return how many there are."""
    names = logbook.baths()
    for number, name in enumerate(names):
        _bath(number, overview(name, logbook.entries(name), datetime.datetime.now(datetime.UTC)), logbook)
    return len(names)


def _bath(number: int, found: Overview, logbook: Logbook) -> None:
    today = datetime.date.today()
    mark = "●" if found.is_in() else "◐"
    due = " class='due'" if found.is_due(today) else ""
    with st.container(border=True, key=f"home_bath_{number}"):
        st.subheader(plain(found.bath), anchor=False)
        st.html(
            f"<p><b>{mark} {html.escape(found.state())}</b></p>"
            f"<p{due}>{html.escape(found.next_check(today))}</p><p class='from'>{html.escape(found.history())}</p>"
        )
        with st.container(horizontal=True, vertical_alignment="center"):
            if st.button("Check it now", key=f"home_check_{number}"):
                check_again(found, logbook)
            if st.button("Its logbook", key=f"home_logbook_{number}"):
                st.session_state["logbook_bath"] = found.bath  # what the page Logbook opens with
                st.switch_page(PAGES / "logbook.py")


def check_again(found: Overview, logbook: Logbook) -> None:
    """Open the page Check with what the record knows of a bath."""
    content = found.check.content if found.check else None
    carried = carry_forward(logbook.entries(found.bath))
    if isinstance(content, Check) and carried is not None:
        record_parts.begin_next(content, carried)
    else:
        state.load({"bath": {"name": found.bath}})
        st.switch_page(PAGES / "check.py")


def how_to_begin(first_visit: bool) -> None:
    """Show how to start with a bath of one's own, and examples to play with, marked as such."""
    st.header("Start with your own bath" if first_visit else "Another bath", anchor=False)
    if first_visit:
        st.write(
            "All you need at first is how much is in the tank. The page then tells you which test is worth doing with "
            "what you have in the house, and the answer gets surer with each reading. Give the bath a name, save the "
            "check, and from then on this page says how it is and when to look again."
        )
    with st.container(horizontal=True, vertical_alignment="center"):
        begun = bool(state.raw()) and not state.is_example()
        if begun:
            st.page_link(PAGES / "check.py", label="Go on with the check you began →")
        _start("Check another bath" if begun or not first_visit else "Check my bath", "home_own", begin_own)
        st.page_link(PAGES / "mix.py", label="I have no bath yet: mix one →")
        st.page_link(PAGES / "glossary.py", label="What do the words mean? →")
    st.header("Or play with an example", anchor=False)
    st.caption("Invented baths with readings already typed in. Change what you like: none of it is yours.")
    with st.container(horizontal=True):
        for name in EXAMPLES:
            label = f"Example: {EXAMPLE_LABELS.get(name, name)}"
            _start(label, f"home_example_{name}", partial(state.load_example, name))


def begin_own() -> None:
    """Begin an empty sheet; what the person has to hand is remembered from this visit or the last check."""
    gear = {} if state.is_example() else state.part("gear")
    if not gear:
        try:
            checks = [entry.content for entry in Logbook().entries() if isinstance(entry.content, Check)]
            gear = parse_toml(checks[-1].sheet.encode("utf-8")).get("gear", {}) if checks else {}
        except (LogbookError, InputError):  # the page has said so already, or the sheet is of other rules
            gear = {}
    state.load({"gear": gear} if gear else {})


def _start(label: str, key: str, load: Callable[[], None]) -> None:
    if st.button(label, key=key):
        load()
        st.switch_page(PAGES / "check.py")
