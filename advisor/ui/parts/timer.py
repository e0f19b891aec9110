"""A clock that runs down where a test makes one wait: the browser's own animation, so that no page is drawn for it.

The style sheet counts (`.timer` in `style.css`); here is kept when a clock was started, so that one that is drawn anew
goes on from where it is. It shows, and makes no sound.
"""

from __future__ import annotations

import html
import time
from collections.abc import Sequence

import streamlit as st

from advisor.bench.waits import Wait
from advisor.words.time_and_current import hours

_STARTED = "timer_started"  # session: when each clock was started [s], by its key


def show(waits: Sequence[Wait], place: str) -> None:
    """Draw a clock for each wait, to start and to stop; `place` names where on the page."""
    if not waits:
        return
    with st.container(key=f"timers_{place}", horizontal=True):
        for number, wait in enumerate(waits):
            _clock(wait, f"{place}_{number}")


def _clock(wait: Wait, key: str) -> None:
    started, words = st.session_state.setdefault(_STARTED, {}), f"{wait.what} {hours(wait.seconds / 3600)}"
    if key not in started:
        st.button(words, icon=":material/timer:", key=f"timer_start_{key}", on_click=_start, args=(key,))
        return
    gone = min(time.time() - started[key], wait.seconds)
    numbers = f"--for:{wait.seconds:.0f};animation-duration:{wait.seconds:.0f}s;animation-delay:-{gone:.0f}s"
    up = f"animation-delay:{wait.seconds - gone:.0f}s"
    st.html(
        f'<p class="timer" role="timer" aria-label="{html.escape(words, quote=True)}">'
        f'{html.escape(wait.what)} <b style="{numbers}"></b> <em style="{up}">Time is up.</em></p>'
    )
    st.button("Stop", key=f"timer_stop_{key}", type="tertiary", on_click=_stop, args=(key,))


def _start(key: str) -> None:
    st.session_state[_STARTED][key] = time.time()


def _stop(key: str) -> None:
    st.session_state[_STARTED].pop(key, None)
