"""A photograph on which jars are tapped: Streamlit's own way to put a little of one's own script into a page.

The script only draws marks and says where a tap fell; it fetches nothing, and every word in it comes as text.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Mapping, Sequence
from importlib.resources import files
from typing import Any

import streamlit as st
from PIL import Image

from advisor.measure.photograph import Box, Picture

SHOWN = 800  # pixels of the longest side that go to the browser (judgement)
_HTML = '<div class="jars"><img><div class="marks"></div></div>'
_HERE = files(__package__)
_mount = st.components.v2.component(
    "jars_on_a_photograph",
    html=_HTML,
    css=_HERE.joinpath("jar_picture.css").read_text("utf-8"),
    js=_HERE.joinpath("jar_picture.js").read_text("utf-8"),
)


def as_url(picture: Picture) -> str:
    """Return a picture as the address of a small JPEG that holds its own content."""
    image = Image.fromarray(picture)
    image.thumbnail((SHOWN, SHOWN))
    file = io.BytesIO()
    image.save(file, "JPEG", quality=80)
    return "data:image/jpeg;base64," + base64.b64encode(file.getvalue()).decode("ascii")


def draw(
    url: str,
    words: str,
    jars: Sequence[Mapping[str, object]],
    whites: Sequence[Box],
    key: str,
    on_act: Callable[[Mapping[str, Any]], None],
) -> None:
    """Draw the picture with its marks; on_act is called with what was done: kind, x, y, and dx, dy of a move.

    words: what the picture shows, for those who do not see it. jars: id, name, sure, words and the four sides of each.
    Acts: "tap" (beside all marks), "drop" (on a mark), "move"; x and y in shares of width and height.
    """

    def done() -> None:
        act = st.session_state[key].get("act")
        if act:
            on_act(act)

    data = {"picture": url, "words": words, "jars": list(jars), "whites": [vars(box) for box in whites]}
    _mount(key=key, data=data, on_act_change=done)
