"""Ounces, quarts and gallons beside grams and litres, for those who measure in them: chosen once a visit.

Only what is shown is changed, and the metric amount always stays; fields take any unit anyway.
"""

from __future__ import annotations

import re

import streamlit as st

from advisor.units import convert

METRIC, BOTH = "grams and litres", "also ounces, quarts and gallons (US)"
_KEY = "home_units"
# An amount of matter, alone, with its ± or as a range; not a concentration, a price a litre or ampere-hours. Where it
# stands in brackets, the bracket is kept.
_NUMBER = r"\d+(?:\.\d+)?"
_AMOUNT = re.compile(
    rf"(?P<open>\()?(?<![\d.])(?:(?P<first>{_NUMBER})(?P<link> ± | to ))?"
    rf"(?P<number>{_NUMBER}) (?P<unit>kg|g|mL|L)\b(?![/·*])"
)
_OUNCES_UP_TO = 900.0  # g, about two pounds
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
    numbers = [float(found[name]) for name in ("first", "number") if found[name]]
    quantity, unit, factor = _customary(max(numbers), found["unit"])
    said = (found["link"] or "").join(f"{convert(factor * number, quantity, unit):.3g}" for number in numbers)
    said = f"{said} {unit.replace('_', ' ')}"
    return f"{found[0]}, {said}" if found["open"] else f"{found[0]} ({said})"


def _customary(number: float, unit: str) -> tuple[str, str, float]:
    """Return quantity and US unit for an amount, and what turns its number into grams or litres."""
    if unit in ("kg", "g"):
        factor = 1000.0 if unit == "kg" else 1.0
        return "mass", "oz" if factor * number < _OUNCES_UP_TO else "lb", factor
    if unit == "mL":
        return "volume", "fl_oz", 0.001
    return "volume", "qt" if number < _QUARTS_UP_TO else "gal", 1.0
