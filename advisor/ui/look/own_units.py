"""US units beside the metric ones, for those who measure in them: chosen once a visit.

Only what is shown or printed is changed, and the metric number always stays, in front; fields take any unit anyway.
"""

from __future__ import annotations

import streamlit as st

from advisor.words.lines import Units, in_units

METRIC, BOTH = "grams and litres", "also ounces, gallons and °F (US)"
_KEY = "home_units"


def choose() -> None:
    """Draw the choice."""
    st.header("Units", anchor=False)
    st.radio("Amounts are shown in", (METRIC, BOTH), key=_KEY, horizontal=True, persist_state="session")
    st.caption("Fields take any unit: write it after the number, such as 2.5 gal, 9 oz or 70 °F.")


def chosen() -> Units:
    """Return the units that were chosen for this visit."""
    return Units.WITH_US if st.session_state.get(_KEY) == BOTH else Units.METRIC


def shown(text: str) -> str:
    """Return a line as it is to be shown: with US units where they were chosen."""
    return in_units(text, chosen())
