"""How the app looks beyond the colours in .streamlit/config.toml: tab's picture, style sheet, a phone's tabs.

`apply()` comes before every page, `tabs(title)` after it: a phone has them in place of the menu at the side.
"""

from pathlib import Path
from urllib.parse import quote

import streamlit as st

from advisor.basis.places import PAGES
from advisor.ui.look import own_units
from advisor.ui.look.pages_list import PAGES_IN_ORDER

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


def tabs(here: str) -> None:
    """Show the way to the other pages at the foot of a phone's screen; here: the title of this one."""
    with st.container(horizontal=True, key="tabs", gap=None):
        for page in PAGES_IN_ORDER:
            if page.tab:
                with st.container(key=f"tab_{page.url_path.replace('-', '_')}{'_here' if page.title == here else ''}"):
                    st.page_link(PAGES / page.file, label=page.tab, icon=f":material/{page.icon}:", width="stretch")
        # A key of its own on each page: the menu would stay open over the page that was chosen in it.
        with st.popover("More", icon=":material/more_horiz:", width="stretch", key=f"tab_more_{here}"):
            for page in PAGES_IN_ORDER:
                if not page.tab:
                    st.page_link(PAGES / page.file, label=page.title, icon=f":material/{page.icon}:", width="stretch")
            own_units.choose("more")
