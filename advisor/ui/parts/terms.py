"""The trade's words, linked to what they mean: once a page, to a list that stands folded at its foot.

A plain link to another page would be a new visit, which knows nothing of what was typed; one to a page that a sentence
names turns the page as the menu does.
"""

from __future__ import annotations

import html
import re

import streamlit as st

from advisor.ui.look import style
from advisor.ui.look.own_units import unparted
from advisor.ui.look.pages_list import PAGES_IN_ORDER
from advisor.words.glossary import GROUPS, Word

_SEEN = "terms_seen"  # session: the words that this run of a page has linked, in their order
# Words of the list that sentences use in their everyday sense as well, or that every page has.
EVERYDAY = frozenset(
    ("addition", "additive", "blank", "chloride", "copper sulfate", "cover", "form", "pH", "shield", "throw", "±")
)
WORDS: dict[str, Word] = {
    word.word.lower(): word for words in GROUPS.values() for word in words if word.word not in EVERYDAY
}
# Pages whose titles mean nothing else where a sentence has them, capital and all: of three words or more (judgement).
_PAGES = {page.title: page for page in PAGES_IN_ORDER if page.title.count(" ") > 1}
_PAGE = re.compile("|".join(map(re.escape, _PAGES)))
_TERM = re.compile(rf"\b({'|'.join(map(re.escape, sorted(WORDS, key=len, reverse=True)))})(s?)\b", re.IGNORECASE)


def begin() -> None:
    """Begin a page: nothing is linked yet."""
    st.session_state[_SEEN] = []


def linked(escaped: str) -> str:
    """Return a text of HTML without tags in which the words that no link explains yet are linked."""
    seen: list[str] = st.session_state.setdefault(_SEEN, [])

    def link(found: re.Match[str]) -> str:
        word = found[1].lower()
        if word in seen:
            return found[0]
        seen.append(word)
        return f'<a class="term" href="#{_anchor(word)}" target="_self">{found[0]}</a>'

    return _TERM.sub(link, escaped)


def with_pages(marked: str) -> str:
    """Return HTML in which the pages that its sentences name are linked."""
    return _PAGE.sub(
        lambda found: (
            f'<a class="page within" href="{style.address_of(_PAGES[found[0]])}" target="_self">{found[0]}</a>'
        ),
        marked,
    )


def note(text: str) -> None:
    """Explain the words of a text at the foot of the page where no link can stand in it, as in a label."""
    linked(html.escape(text))


def foot() -> None:
    """Say at the foot of the page what the linked words mean."""
    seen: list[str] = st.session_state.get(_SEEN, [])
    if not seen:
        return
    rows = "".join(
        f'<dt id="{_anchor(word)}"><b>{html.escape(WORDS[word].word)}</b></dt><dd>{unparted(WORDS[word].meaning)}</dd>'
        for word in seen
    )
    st.html(f'<details class="words"><summary>Words used here</summary><dl>{rows}</dl></details>')


def _anchor(word: str) -> str:
    return "word-" + re.sub(r"\W+", "-", word)
