"""The page to print of any answer: black on white, from its sections, with the bath's name, its date and the version.

What stands on it is the answer's business, how it is laid out `words.report`'s. It is in the units that were chosen.
"""

from __future__ import annotations

import streamlit as st

from advisor.sheet import Sheet
from advisor.ui.look.own_units import chosen
from advisor.words.report import heading, page
from advisor.words.sections import Answer


def offer(sheet: Sheet, answer: Answer, name: str) -> None:
    """Offer the answer to a sheet as a page to print; `name` is that of the file and of the button's key."""
    date = sheet.bath.date.isoformat() if sheet.bath.date else ""
    st.download_button(
        "Download a page to print",
        page(heading(answer, sheet.bath.name), answer.sections(), date, chosen()),
        f"{name}.html",
        "text/html",
        on_click="ignore",
        key=f"{name}_print",
    )
