"""If I add…: sliders that move the bath on its map, for who would rather try than follow a plan.

What the bath becomes is told by `check.what_if`; here is only asked and shown.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import streamlit as st

from advisor.basis.units import convert, parse
from advisor.check.advice import Advice
from advisor.check.mass_balance import After
from advisor.check.steps import salt_name
from advisor.check.task import make_stock
from advisor.check.what_if import if_added
from advisor.sheet import Sheet
from advisor.ui.look import own_units
from advisor.ui.look.own_units import shown
from advisor.ui.parts import cards
from advisor.ui.session import state
from advisor.words.lines import Units, capital

STOPS = 50  # of a slider from nothing to its end (judgement)
# Ends of the sliders for each litre of bath: about what brings one from the bottom of a window to its top (judgement).
MOST = {"crystals": 80.0, "acid": 30.0, "water": 0.3}
BEYOND = 1.2  # times a dose that is advised, so that more of it can be tried too (judgement)
# Of each slider: the quantity, its metric unit, and the US one, of a kitchen scale and a jug.
_UNITS = {"crystals": ("mass", "g", "oz"), "acid": ("volume", "mL", "fl oz"), "water": ("volume", "L", "qt")}
_DOSES = {  # what a step of the advice adds, and the number of it that the slider moves
    "crystals": ("copper sulfate crystals", "mass_g"),
    "acid": ("sulfuric acid", "volume_mL"),
    "water": ("water", "volume_L"),
}


@dataclass(frozen=True)
class _Slider:
    """A slider from 0 in steps that are 1, 2 or 5 times a power of ten."""

    key: str
    step: float

    @property
    def end(self) -> float:
        return STOPS * self.step

    @property
    def at(self) -> float:
        return min(float(st.session_state.get(self.key, 0.0)), self.end)


def tried(sheet: Sheet, advice: Advice) -> After | None:
    """Return the bath after what the sliders say; None where they stand at nothing or the bath is not known."""
    amounts = {name: slider.at / _in_unit(name) for name, slider in _sliders(advice).items()}
    return if_added(sheet, advice, **amounts) if any(amounts.values()) and advice.estimate else None


def labels(sheet: Sheet) -> dict[str, str]:
    """Return what each slider adds, of the copper sulfate that is at hand."""
    salt = salt_name(make_stock(sheet).crystals_pentahydrate, in_brief=True)
    called = {"crystals": capital(salt), "acid": "Acid as you have it", "water": "Water"}
    return {name: f"{what}, {_unit(name)}" for name, what in called.items()}


def _unit(name: str) -> str:
    """Return the unit of a slider, of those that were chosen."""
    _, metric, customary = _UNITS[name]
    return metric if own_units.chosen() is Units.METRIC else customary


def _in_unit(name: str) -> float:
    """Return how much of a slider's unit is one of its metric unit."""
    kind, metric, _ = _UNITS[name]
    return convert(parse(f"1 {metric}", kind).value, kind, _unit(name))


def show(sheet: Sheet, advice: Advice, found: After | None) -> None:
    """Draw the sliders, folded, and what was found for where they stand."""
    if advice.estimate is None:
        return
    with st.expander("If I add…", key="trial", on_change="rerun") as part:
        if not part.open:
            return
        called = labels(sheet)
        for name, slider in _sliders(advice).items():
            if slider.at < st.session_state.get(slider.key, 0.0):  # another answer ends it lower
                st.session_state[slider.key] = slider.at
            st.slider(called[name], 0.0, slider.end, 0.0, slider.step, key=slider.key, format=_format(slider.step))
        if found is None:
            st.caption("Move a slider: the bath moves on its map. Nothing is changed by that.")
        else:
            st.write(f"**Then:** {shown(cards.bath_after(found, advice, last=True))}")


def _format(step: float) -> str:
    return f"%.{max(0, -math.floor(math.log10(step)))}f"


def _sliders(advice: Advice) -> dict[str, _Slider]:
    """Return the sliders; each has a key of the units, so that no number is taken in another one."""
    chosen = own_units.chosen().name
    ends = {name: max(most * advice.volume_L, BEYOND * _advised(advice, name)) for name, most in MOST.items()}
    return {
        name: _Slider(f"trial_{name}_{chosen}_{state.widget_round()}", _nice(end * _in_unit(name) / STOPS))
        for name, end in ends.items()
    }


def _advised(advice: Advice, name: str) -> float:
    """Return how much the steps of an advice add of what a slider adds."""
    what, number = _DOSES[name]
    return sum(step.numbers[number] for step in advice.steps if step.what == what)


def _nice(step: float) -> float:
    """Return the 1, 2 or 5 times a power of ten that is nearest above a step."""
    power = 10.0 ** math.floor(math.log10(step))
    return next(round(factor * power, 9) for factor in (1, 2, 5, 10) if factor * power >= step * (1 - 1e-9))
