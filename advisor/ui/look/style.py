"""How the app looks beyond the colours in .streamlit/config.toml: tab's picture, style sheet, a phone's tabs.

`apply()` comes before every page, `menu(title)` before or after it, `tabs(title)` after it: a phone has them instead.
"""

from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

import streamlit as st

from advisor.ui.look import own_units
from advisor.ui.look.pages_list import PAGES_IN_ORDER, Page

_HERE = Path(__file__).resolve().parent
# Files of our own, because Streamlit would fetch an emoji's or a symbol's picture from a foreign host.
MARK = (_HERE / "mark.svg").read_text(encoding="utf-8").strip()
_WORDMARK = (_HERE / "wordmark.svg").read_text(encoding="utf-8").strip()
_SHEET = (_HERE / "style.css").read_text(encoding="utf-8")


def apply() -> None:
    """Put the style sheet on the page, and the mark above the menu."""
    st.html(f"<style>{_SHEET}</style>")
    st.logo(_WORDMARK, size="large", icon_image=MARK)


def first_title(words: str) -> None:
    """Show the title of the first page, with the mark before it: a phone has no menu at the side that bears it."""
    with st.container(horizontal=True, vertical_alignment="center", gap="small", key="home_title"):
        st.html(f'<img class="mark" src="data:image/svg+xml,{quote(MARK)}" alt="">', width="content")
        st.title(words, anchor=False)


def menu(here: str) -> None:
    """Show the way to all pages at the side of a desk's screen; here: the title of this one."""
    with st.sidebar:
        st.html(_links("menu", "All pages", ((page, page.title) for page in PAGES_IN_ORDER), here))
        own_units.choose("side")


def tabs(here: str) -> None:
    """Show the way to the other pages at the foot of a phone's screen; here: the title of this one."""
    with st.container(horizontal=True, key="tabs", gap=None):
        st.html(_links("tabs", "Pages", ((page, page.tab) for page in PAGES_IN_ORDER if page.tab), here))
        # A key of its own on each page: the menu would stay open over the page that was chosen in it.
        with st.popover("More", icon=":material/more_horiz:", key=f"tab_more_{here}"):
            st.html(_links("menu", "More pages", ((page, page.title) for page in PAGES_IN_ORDER if not page.tab), here))
            own_units.choose("more")


def address_of(page: Page) -> str:
    """Return where a page stands; a link to it of the class `page` is no new visit (`ui/session/links.js`)."""
    base = st.get_option("server.baseUrlPath").strip("/")
    return f"{base and '/'}{base}/{'' if page is PAGES_IN_ORDER[0] else page.url_path}"


def _links(look: str, called: str, named: Iterable[tuple[Page, str]], here: str) -> str:
    """Return links to pages as one element: Streamlit's own menu and links were a fifth of all it draws at a change.

    How they turn the page without a new visit, `ui/session/links.js` says.
    """
    links = []
    for page, name in named:
        current = ' aria-current="page"' if page.title == here else ""
        mark = f'<span class="icon" aria-hidden="true" translate="no">{page.icon}</span>'
        links.append(f'<a class="page" href="{address_of(page)}" target="_self"{current}>{mark}{name}</a>')
    return f'<nav class="{look}" aria-label="{called}">{"".join(links)}</nav>'
