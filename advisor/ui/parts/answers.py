"""What pages with more than one question share: which one is asked, and its answer with what goes along on paper."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import TypeVar

import streamlit as st

from advisor.check.headline import Headline
from advisor.ui.look import printing
from advisor.ui.parts import cards, glance
from advisor.ui.session.state import Typed
from advisor.words.sections import Answer

Found = TypeVar("Found", bound=Answer)

UNTIL_SENT = 0.02  # s; Streamlit sends what is drawn each hundredth of a second (its source), and takes half of that
SHORTER = 5  # parts that an answer has at most fewer than the one before: two sections and a button (judgement)


def let_through() -> None:
    """Let the browser have the answer before the rest of a page is drawn.

    Another thread sends what is drawn. While this one computes, Python gives that one a turn every 5 ms only, for a
    message or two: an answer of twenty of them came 40 ms late.
    """
    time.sleep(UNTIL_SENT)


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


def side_by_side(entry: Typed[object], ask: Callable[[], None], answer: Callable[[], None]) -> None:
    """Draw what is asked on the left, and on the right the answer.

    What a person waits for is drawn first: the answer to the field that was just left. One of before, or none, comes
    after the fields, since it names those that stand in its way and looks whether this page has them.
    """
    left, right = st.columns([1, 1], gap="large")

    def on_the_left() -> None:
        with left:
            ask()

    def on_the_right() -> None:
        with right, st.container(key="answer"):
            answer()
            if entry.is_without_a_reading:
                cards.say_from(f"{cards.BEGUN} Its fields are on the page Check.")
            if entry.current:
                nothing_of_before()

    if not entry.current:
        on_the_left()
        on_the_right()
        return
    on_the_right()
    let_through()
    on_the_left()


def nothing_of_before() -> None:
    """Take away what a longer answer of before left below: it would stand until the whole page is drawn."""
    for _ in range(SHORTER):
        st.empty()


def show(entry: Typed[Found], ask: Callable[[], None], headline_of: Callable[[Found], Headline], name: str) -> None:
    """Draw what is asked and its answer, the glance first, or what it waits for; `name` is that of what is printed."""

    def answer() -> None:
        found = glance.answer(entry, headline_of, room="low")
        if found is not None and entry.answered is not None:
            cards.sections(found.sections())
            cards.say_from(cards.computed_from(entry.answered))
            printing.offer(entry.answered, found, name)

    side_by_side(entry, ask, answer)
