"""Ounces, quarts and gallons beside grams and litres, for those who measure in them: chosen once a visit.

Only what is shown is changed, and the metric amount always stays; fields take any unit anyway.
"""

from __future__ import annotations

import re

import streamlit as st

from advisor.units import convert

METRIC, BOTH = "grams and litres", "also ounces, quarts and gallons (US)"
_KEY = "home_units"
# An amount of matter, not a concentration, a price a litre or ampere-hours; where it stands in brackets, the bracket
# is kept.
_AMOUNT = re.compile(r"(?P<open>\()?\b(?P<number>\d+(?:\.\d+)?) (?P<unit>kg|g|mL|L)\b(?![/·*])")
_QUARTS_UP_TO = 4.0  # L, about a gallon


def choose() -> None:
    """Draw the choice."""
    st.header("Units", anchor=False)
    st.radio("Amounts are shown in", (METRIC, BOTH), key=_KEY, horizontal=True, persist_state="session")
    st.caption("Fields take any unit: write it after the number, such as 2.5 gal, 9 oz or 70 °F.")


def shown(text: str) -> str:
    """Return a sentence as it is to be shown: with ounces, quarts and gallons where they were chosen."""
    return with_customary(text) if st.session_state.get(_KEY) == BOTH else text


def with_customary(text: str) -> str:
    """Return a sentence with each mass and volume in US units too: "280 g" becomes "280 g (9.88 oz)"."""
    return _AMOUNT.sub(_add, text)


def _add(found: re.Match[str]) -> str:
    number, unit = float(found["number"]), found["unit"]
    if unit in ("kg", "g"):
        grams = 1000 * number if unit == "kg" else number
        said = f"{convert(grams, 'mass', 'oz'):.3g} oz" if grams < 900 else f"{convert(grams, 'mass', 'lb'):.3g} lb"
    elif unit == "mL":
        said = f"{convert(number / 1000, 'volume', 'fl_oz'):.3g} fl oz"
    elif number < _QUARTS_UP_TO:
        said = f"{convert(number, 'volume', 'qt'):.3g} qt"
    else:
        said = f"{convert(number, 'volume', 'gal'):.3g} gal"
    return f"{found[0]}, {said}" if found["open"] else f"{found[0]} ({said})"
