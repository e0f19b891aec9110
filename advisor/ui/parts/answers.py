"""What pages with more than one question share: which one is asked, and its answer with what goes along on paper."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from advisor.ui.look import printing
from advisor.ui.parts import cards
from advisor.ui.session.state import Typed
from advisor.words.sections import Answer


def view_of(views: Sequence[str], key: str) -> str:
    """Ask which of a page's questions it is, and return that; until one is chosen, that of the link, or the first."""
    wanted = st.query_params.get("view")
    first = next((view for view in views if view == wanted), views[0])
    return st.segmented_control("About", views, default=first, required=True, label_visibility="collapsed", key=key)


def show(entry: Typed[Answer], name: str) -> None:
    """Show the answer to a sheet, or what it waits for; `name` is that of what is printed."""
    found = cards.answer_of(entry)
    if found is not None and entry.answered is not None:
        cards.sections(found.sections())
        printing.offer(entry.answered, found, name)
