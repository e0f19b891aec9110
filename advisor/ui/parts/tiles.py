"""Choosing by picture: Streamlit's pills with a drawing on each button.

A label holds text only, so the picture stands behind it by the style sheet; what is chosen is told by border, colour
and the button's own state, as for any pill. The container's key begins with "tiles_".
"""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote

import streamlit as st


def draw_on(place: str, pictures: Sequence[str]) -> None:
    """Put SVG pictures on the buttons of the container of a key, in their order."""
    rules = "".join(
        f".st-key-{place} [data-rac] button:nth-of-type({number})"
        f'{{background-image:url("data:image/svg+xml,{quote(svg)}")}}'
        for number, svg in enumerate(pictures, 1)
    )
    st.html(f"<style>{rules}</style>")
