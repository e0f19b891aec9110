"""US units beside the metric ones, for those who measure in them: chosen once a visit.

Only what is shown or printed is changed, and the metric number always stays, in front; fields take any unit anyway.
Chloride stays as it is: mg/L is the trade's ppm.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from advisor.basis.units import convert
from advisor.words.sections import Section, decimals

METRIC, BOTH = "grams and litres", "also ounces, gallons and °F (US)"
_KEY = "home_units"
_OUNCES_UP_TO = 900.0  # g, about two pounds
_QUARTS_UP_TO = 4.0  # L, about a gallon
_MARKED_IN_mL = 100.0  # below it a syringe, a pipette or a burette measures, and those are marked in millilitres
_FIGURES = 3  # at least, since a last nought of the metric number may or may not count

# The kind of quantity of each metric unit, and what turns its number into the unit used inside.
_KINDS = {
    "kg": ("mass", 1000.0),
    "g": ("mass", 1.0),
    "mL": ("volume", 0.001),
    "L": ("volume", 1.0),
    "g/L": ("concentration", 1.0),
    "A/dm²": ("current density", 1.0),
    "cm²": ("area", 0.01),
    "dm²": ("area", 1.0),
    "µm": ("length", 0.001),
    "°C": ("temperature", 1.0),
}
_US = {"concentration": "oz/gal", "current density": "A/ft²", "area": "in²", "length": "mil", "temperature": "°F"}
_US_UNITS = ("oz", "lb", "fl oz", "qt", "gal", *_US.values())

_NUMBER = r"\d+(?:\.\d+)?"
_LINK = " ± | to |-|–"
_PAIR = rf"(?:(?P<first>-?{_NUMBER})(?P<link>{_LINK}))?(?P<number>(?<!\d)-?{_NUMBER})"
_SAID = rf"(?: \(|, )-?{_NUMBER}(?:(?:{_LINK})-?{_NUMBER})? (?:{'|'.join(_US_UNITS)})\b"
# A number with a unit, alone, with its ± or as a range; not part of a date, of a price a litre or of ampere-hours, and
# not followed by what it is in US units already.
_QUANTITY = re.compile(
    rf"(?P<change>by about |by |give or take |known to about )?(?<![\w.,-]){_PAIR} "
    rf"(?P<unit>{'|'.join(sorted(_KINDS, key=len, reverse=True))})(?![\w/·*²]|{_SAID})"
)


def choose() -> None:
    """Draw the choice."""
    st.header("Units", anchor=False)
    st.radio("Amounts are shown in", (METRIC, BOTH), key=_KEY, horizontal=True, persist_state="session")
    st.caption("Fields take any unit: write it after the number, such as 2.5 gal, 9 oz or 70 °F.")


def shown(text: str) -> str:
    """Return a sentence as it is to be shown: with US units where they were chosen."""
    return with_customary(text) if st.session_state.get(_KEY) == BOTH else text


def shown_sections(blocks: Sequence[Section]) -> tuple[Section, ...]:
    """Return titled blocks as they are to be printed."""
    return tuple(replace(block, lines=tuple(map(shown, block.lines))) for block in blocks)


def with_customary(text: str) -> str:
    """Return a sentence with each metric quantity in US units too: "280 g" becomes "280 g (9.88 oz)"."""
    return _QUANTITY.sub(_add, text)


def _add(found: re.Match[str]) -> str:
    if found["unit"] == "mL" and float(found["number"]) < _MARKED_IN_mL:
        return found[0]
    before = found.string[: found.start()]
    inside = before.count("(") > before.count(")")  # no bracket within a bracket
    said = _in_us_units(found)
    return f"{found[0]}, {said}" if inside else f"{found[0]} ({said})"


def _in_us_units(found: re.Match[str]) -> str:
    quantity, factor = _KINDS[found["unit"]]
    typed = [found[name] for name in ("first", "number") if found[name]]
    values = [factor * float(text) for text in typed]
    unit = _us_unit(quantity, found["unit"], max(values))
    spread = found["link"] == " ± "
    is_change = [bool(found["change"]) or (spread and place == 1) for place in range(len(values))]
    there = [_converted(value, quantity, unit, change) for value, change in zip(values, is_change, strict=True)]
    if spread:
        places = decimals(there[1])
    else:
        places = min(_places(text, factor, quantity, unit) for text in typed)
        places = min(places, max(_FIGURES, *map(_figures, typed)) - 1 - _exponent(max(map(abs, there))))
    told = [f"{round(value, places) + 0.0:.{max(places, 0)}f}" for value in there]
    return f"{(found['link'] or '').join(told)} {unit.replace('_', ' ')}"


def _us_unit(quantity: str, metric: str, most: float) -> str:
    if quantity == "mass":
        return "oz" if most < _OUNCES_UP_TO else "lb"
    if quantity == "volume":
        return "fl_oz" if metric == "mL" else "qt" if most < _QUARTS_UP_TO else "gal"
    return _US[quantity]


def _converted(value: float, quantity: str, unit: str, change: bool) -> float:
    """Return a value in a US unit; a change of temperature has no zero of its own."""
    return convert(value, quantity, unit) - (convert(0.0, quantity, unit) if change else 0.0)


def _places(text: str, factor: float, quantity: str, unit: str) -> int:
    """Return the decimals at which a US number is as fine as the last digit of the metric one, or just finer."""
    step = factor * 10.0 ** -len(text.partition(".")[2])
    return math.ceil(-math.log10(_converted(step, quantity, unit, change=True)) - 1e-9)


def _figures(text: str) -> int:
    """Count the digits of a number that surely count."""
    digits = text.lstrip("-").replace(".", "").lstrip("0")
    return len(digits if "." in text else digits.rstrip("0"))


def _exponent(value: float) -> int:
    return math.floor(math.log10(value)) if value > 0 else 0
