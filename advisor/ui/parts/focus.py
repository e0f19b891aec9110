"""Brings what comes next under the hand: the field where a test begins or its finding goes, the top of what is new."""

from __future__ import annotations

import streamlit as st

_WANTED, _TIMES = "focus_wanted", "focus_times"  # session: the key of a widget; how often it was gone to
TOP = ""  # in place of a key: the top of the page, where another question or the answer begins
_JS = """export default ({ data }) => {
  const done = document.documentElement.dataset
  const show = field => document.activeElement === field && field.scrollIntoView({ block: "center" })
  const look = left => {
    const find = part => document.querySelector(`.st-key-${CSS.escape(data.key)} ${part}`)
    const field = data.key && (find(":is(input, textarea)") ?? find("[data-rac][role] button")) // chips, no help mark
    if (!data.key) document.querySelector('[data-testid="stMain"]').scrollTo(0, 0)
    else if (field) { field.focus({ preventScroll: true }); show(field); setTimeout(show, 400, field) } // a fold grows
    else if (left) setTimeout(look, 100, left - 1)
  }
  if (done.focused !== data.wish) { done.focused = data.wish; look(20) }
}"""
_mount = st.components.v2.component("focus_on_a_field", html="<span></span>", js=_JS)


def want(key: str) -> None:
    """Ask that the field of a widget's key gets the focus once it is drawn; TOP for the top of the page."""
    st.session_state[_WANTED] = key
    st.session_state[_TIMES] = st.session_state.get(_TIMES, 0) + 1


def go() -> None:
    """Go there; at the end of a page. The same wish is followed once."""
    key = st.session_state.get(_WANTED)
    if key is not None:
        with st.container(key="focus"):
            _mount(key="focus_on", data={"key": key, "wish": f"{key} {st.session_state[_TIMES]}"})
