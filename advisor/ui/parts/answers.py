"""What pages with more than one question share: which one is asked, and its answer with what goes along on paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

import streamlit as st

from advisor.check.headline import Headline
from advisor.ui.look import printing
from advisor.ui.parts import cards, glance
from advisor.ui.session.state import Typed
from advisor.words.sections import Answer

Found = TypeVar("Found", bound=Answer)


def view_of(views: Mapping[str, str], key: str) -> str:
    """Ask which of a page's questions it is, by label, and return its key; at first that of the link, or the first."""
    wanted = st.query_params.get("view")
    first = next((view for view in views if view == wanted), next(iter(views)))
    return st.segmented_control(
        "About",
        list(views),
        format_func=views.__getitem__,
        default=first,
        required=True,
        label_visibility="collapsed",
        key=key,
    )


def show(entry: Typed[Found], headline_of: Callable[[Found], Headline], name: str) -> None:
    """Show the answer to a sheet, the glance first, or what it waits for; `name` is that of what is printed."""
    found = glance.answer(entry, headline_of, room="low")
    if found is not None and entry.answered is not None:
        cards.sections(found.sections())
        cards.say_from(cards.computed_from(entry.answered))
        printing.offer(entry.answered, found, name)
