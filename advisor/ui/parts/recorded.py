"""A bath of the logbook, offered to a question that stands beside the check: what it holds is not typed again."""

from __future__ import annotations

import datetime

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.record.at_hand import at_hand
from advisor.record.carried import Carried
from advisor.record.logbook import Logbook, LogbookError
from advisor.ui.fields import plain
from advisor.ui.parts import record_parts
from advisor.ui.session import state

BATH = "recorded_bath"


def offer() -> None:
    """Offer the baths of which the record tells what they hold, one tap each, where the sheet does not tell it.

    A sheet that names its bath is offered that one alone. Of a liquid that is not sound the record tells nothing.
    """
    if state.raw().get("reading") or state.part("bath").get("condition"):
        return
    try:
        found = _baths(str(state.part("bath").get("name", "")).strip())
    except (LogbookError, InputError) as error:
        st.error(plain(str(error)))
        return
    if not found:
        return
    chosen = st.pills("Is it a bath of your logbook?", list(found), key=BATH, format_func=plain, wrap=True)
    if chosen:
        record_parts.load_beside(found[chosen], at_hand(Logbook(), chosen))
        st.rerun()


def _baths(named: str) -> dict[str, Carried]:
    """Return what the record carries of each bath, or of the one that is named."""
    logbook, now = Logbook(), datetime.datetime.now(datetime.UTC)
    names = [name for name in logbook.baths() if named in ("", name)]
    found = {name: at_hand(logbook, name).carried(now) for name in names}
    return {name: carried for name, carried in found.items() if carried is not None}


def to_type_it_in() -> None:
    """Lead to the page on which what the bath holds is typed in."""
    st.page_link(PAGES / "check.py", label="Type in what the bath holds →")
