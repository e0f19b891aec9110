"""How a reading is taken, drawn, folded under its fields; only for the kinds that a picture helps."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from advisor.ui import drawings, end_point_chips

PICTURES: dict[str, tuple[str, Callable[[], str]]] = {
    "hydrometer": ("How to read it, drawn", lambda: drawings.large(drawings.HYDROMETER)),
    "acid titration": ("The colours of the end point with methyl orange", end_point_chips.chips),
}


def show(kind: str) -> None:
    """Draw the picture of a kind of reading, folded; nothing where there is none."""
    if kind in PICTURES:
        title, picture = PICTURES[kind]
        with st.expander(title):
            st.html(picture())
