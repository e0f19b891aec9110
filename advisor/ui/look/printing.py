"""What of an answer leaves the screen: a page to print, a text to copy, and its steps as a QR code.

What stands in them is the answer's business, how it is laid out that of `words.report` and `words.pocket`. All is in
the units that were chosen.
"""

from __future__ import annotations

import html

import segno
import streamlit as st

from advisor.sheet import Sheet
from advisor.ui.look.own_units import chosen
from advisor.ui.look.paper import printed
from advisor.words.pocket import pocket
from advisor.words.report import heading, terminal
from advisor.words.sections import Answer


def offer(sheet: Sheet, answer: Answer, name: str) -> None:
    """Offer the answer to a sheet to take along; `name` is that of the file and of the widgets' keys."""
    title = heading(answer, sheet.bath.name)
    st.download_button(
        "Download a page to print",
        printed(sheet, answer, title, chosen()),
        f"{name}.html",
        "text/html",
        on_click="ignore",
        key=f"{name}_print",
    )
    folded = st.expander("Copy as text, or take the steps along on a phone", key=f"{name}_away", on_change="rerun")
    if folded.open:
        with folded:
            _away(title, answer)


def _away(title: str, answer: Answer) -> None:
    steps = pocket(title, answer.sections(), chosen())
    if steps:
        code = segno.make(steps, error="l", micro=False)
        picture = html.escape(code.svg_data_uri(scale=4, border=4, dark="#000000", light="#ffffff"), quote=True)
        st.html(
            f'<img class="qr" src="{picture}" alt="QR code that holds the steps as text">'
            "<p>Point a phone's camera at it: the code holds the steps themselves, so no network is needed.</p>"
        )
    st.code(terminal(title, answer.sections(), chosen()), language=None, wrap_lines=True)
