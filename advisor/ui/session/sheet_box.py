"""Where a bench sheet comes from and goes to: the examples, a file of one's own, an empty sheet, and the download."""

from __future__ import annotations

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.examples import EXAMPLES
from advisor.sheet import LARGEST_FILE
from advisor.ui import fields
from advisor.ui.session import state, unfinished

EXAMPLE_LABELS = {"dull": "A bath that plates dull", "evaporation": "The level has dropped", "old": "An old bath"}
_UPLOAD, _REFUSED = "bench_upload", "bench_upload_refused"


def mark_example() -> None:
    """Say at the top of a page that its bath is invented, with the way to one's own, in as few words as will do."""
    if not state.is_example():
        return
    with st.container(key="example", horizontal=True, vertical_alignment="center"):
        st.html('<p class="example"><b>Example</b></p>', width="content")
        if st.button("Check mine", key="example_own", type="tertiary"):
            state.clear()
            st.switch_page(PAGES / "check.py")


def show() -> None:
    """Draw the ways to begin; open where the sheet is still empty."""
    empty = not state.raw()
    title = "Start from an example or a file, or save this sheet"
    part = st.expander(title, expanded=empty, key=f"begin_{empty}", on_change="rerun")
    if part.open:  # drawn only then, like all that is folded
        with part:
            _ways_to_begin()


def _ways_to_begin() -> None:
    unfinished.offer_all()
    with st.container(horizontal=True):
        for name in EXAMPLES:
            st.button(
                f"Example: {EXAMPLE_LABELS.get(name, name)}",
                key=f"bench_example_{name}",
                on_click=state.load_example,
                args=(name,),
            )
    st.file_uploader(
        "Open a bench sheet (TOML)",
        type=["toml"],
        max_upload_size=LARGEST_FILE // 1_000_000,
        key=_UPLOAD,
        on_change=_open,
    )
    if _REFUSED in st.session_state:
        fields.complain(st.session_state[_REFUSED])
    with st.container(horizontal=True):
        st.download_button(
            "Download this sheet",
            state.to_toml(),
            file_name="bench_sheet.toml",
            mime="application/toml",
            on_click="ignore",
            key="bench_download",
        )
        st.button("Empty sheet", key="bench_clear", on_click=state.clear)


def _open() -> None:
    """Load the file that was chosen; one that is no bench sheet leaves this sheet as it is."""
    st.session_state.pop(_REFUSED, None)
    file = st.session_state[_UPLOAD]
    if file is not None:
        try:
            state.load_toml(file.getvalue())
        except InputError as error:
            st.session_state[_REFUSED] = error
