"""How the app looks beyond the colours in .streamlit/config.toml: tab's picture, style sheet, a phone's tabs.

`apply()` comes before every page, `tabs(title)` after it: a phone has them in place of the menu at the side.
"""

from pathlib import Path

import streamlit as st

from advisor.basis.places import PAGES
from advisor.ui.look.pages_list import PAGES_IN_ORDER

# Drawn here because Streamlit would fetch an emoji's or a symbol's picture from a foreign host.
ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<path d="M5 5v20a3 3 0 0 0 3 3h16a3 3 0 0 0 3-3V5h-3v20H8V5z" fill="#8A5A3C"/>'
    '<path d="M8 12h16v13H8z" fill="#2F86A8"/>'
    '<path d="M14.5 3h3v17h-3z" fill="#C9794A"/></svg>'
)
_SHEET = (Path(__file__).resolve().parent / "style.css").read_text(encoding="utf-8")


def apply() -> None:
    """Put the style sheet on the page."""
    st.html(f"<style>{_SHEET}</style>")


def tabs(here: str) -> None:
    """Show the way to the other pages at the foot of a phone's screen; here: the title of this one."""
    with st.container(horizontal=True, key="tabs", gap=None):
        for page in PAGES_IN_ORDER:
            if page.tab:
                with st.container(key=f"tab_{page.url_path.replace('-', '_')}{'_here' if page.title == here else ''}"):
                    st.page_link(PAGES / page.file, label=page.tab, icon=f":material/{page.icon}:", width="stretch")
        with st.popover("More", icon=":material/more_horiz:", width="stretch", key="tab_more"):
            for page in PAGES_IN_ORDER:
                if not page.tab:
                    st.page_link(PAGES / page.file, label=page.title, icon=f":material/{page.icon}:", width="stretch")
