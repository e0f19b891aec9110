"""The entry that Streamlit runs: what all pages share, and the way to them; the pages are in pages/."""

import sys
from contextlib import suppress
from pathlib import Path

# Streamlit puts this file's folder first on sys.path, where each module of advisor would load a second time
# under a bare name and hide a standard module of that name. What belongs there is the folder above.
FOLDER = Path(__file__).resolve().parent
for entry in [entry for entry in list(sys.path) if Path(entry).resolve() == FOLDER]:
    with suppress(ValueError):  # every visitor runs this in a thread of their own: another may have been quicker
        sys.path.remove(entry)
if str(FOLDER.parent) not in sys.path:
    sys.path.insert(0, str(FOLDER.parent))

import streamlit as st

from advisor.basis.places import PAGES
from advisor.ui.look import style, unit_menus
from advisor.ui.look.pages_list import PAGES_IN_ORDER, UNMARKED
from advisor.ui.parts import terms
from advisor.ui.session import heard, sheet_box, state, ticks, unfinished

st.set_page_config(page_title="Copper bath advisor", page_icon=style.MARK)
shown = [
    st.Page(PAGES / page.file, title=page.title, icon=f":material/{page.icon}:", url_path=page.url_path)
    for page in PAGES_IN_ORDER
]
first = PAGES_IN_ORDER[0]  # it stands at the root; who types /home gets there too
home = st.Page(PAGES / first.file, title=first.title, url_path="home", visibility="hidden")
here = st.navigation([*shown, home], position="hidden")
style.apply()
is_first_view = not state.page()
if is_first_view:  # else the page would move aside for it
    style.menu(here.title)
state.turn_to(here.title)
ticks.follow_the_bath()
unfinished.follow()
asks_first = unfinished.offer(then=PAGES / "check.py" if here.title == PAGES_IN_ORDER[0].title else None)
if here.title not in UNMARKED:
    sheet_box.mark_example()
unit_menus.begin()
terms.begin()
if not asks_first:
    here.run()
if not is_first_view:  # what a person waits for came first
    style.menu(here.title)
unit_menus.draw()
terms.foot()
style.tabs(here.title)
heard.tell()
