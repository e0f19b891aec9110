"""What a plan depends on, asked where it is read: the acid, the crystals and the room at hand, and water alone.

A tap on a chip writes the sheet, so that all amounts are worked out anew before anything is poured.
"""

from __future__ import annotations

import html
from collections.abc import Callable

import streamlit as st

from advisor.basis.units import UnitError, parse
from advisor.check.advice import Advice
from advisor.check.headline import short_dose
from advisor.check.steps import ACIDS, Step, of_other_stock
from advisor.check.what_if import only_water_instead
from advisor.sheet import Sheet
from advisor.solution.stock import BATTERY_ACID, CONCENTRATED_ACID
from advisor.ui import fields
from advisor.ui.look.own_units import shown, unparted
from advisor.ui.session import heard, state, ticks
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import percent

# The two that people have.
_WEAK, _STRONG = (f"{100 * strength:.0f} %" for strength in (BATTERY_ACID, CONCENTRATED_ACID))
STRENGTHS = {f"{_WEAK} battery": _WEAK, _STRONG: _STRONG}
OTHER = "other"
SAME_STRENGTH = 1e-9  # between two that are written differently (computed)
FORMS = {"blue crystals": "pentahydrate", "pale powder": "anhydrous"}


def acid(entry: state.Typed[object], where: str) -> None:
    """Ask how strong the acid at hand is, answered or not yet; `where` names the place on the page."""
    told = state.part("stock.acid")
    held = next((chip for chip, text in STRENGTHS.items() if _is(told.get("strength"), text)), None)
    key = state.key_of("stock.acid", f"strength_chip_{where}")
    said = bool({"strength", "density"}.intersection(told))
    chosen = OTHER if st.session_state.get(key) == OTHER or (said and not held) else held
    _chips("How strong is your acid?", (*STRENGTHS, OTHER), chosen, key, _store_strength)
    if chosen == OTHER:
        fields.one("stock.acid", entry, "strength", where=f"_{where}")


def acid_of_dose(entry: state.Typed[object], advice: Advice, where: str) -> None:
    """Ask for the acid beside doses of it whose strength nobody told; it stays once it is told, to be mended.

    Where the most that the tank holds is asked there, that comes first: the plan hangs on it.
    """
    doses = [step for step in advice.steps if step.what == "sulfuric acid"]
    asked = state.key_of("stock.acid", f"strength_chip_{where}") in st.session_state
    is_open = any(asked or not (step.strength_is_told or advice.room) for step in doses)
    if entry.answered and is_open and not ticks.ticked():
        acid(entry, where)


def _is(typed: object, text: str) -> bool:
    """Tell whether a strength as it was typed is that of a chip."""
    try:
        return abs(parse(str(typed), "fraction").value - parse(text, "fraction").value) < SAME_STRENGTH
    except UnitError:
        return False


def _store_strength(key: str) -> None:
    chosen = st.session_state[key]
    if chosen in STRENGTHS:
        state.put("stock.acid", "density", None)
        state.put("stock.acid", "strength", STRENGTHS[chosen])


def room(entry: state.Typed[object], advice: Advice, where: str) -> None:
    """Ask for the most the tank holds, where the plan depends on it; it stays once told, so that it can be mended.

    Nothing is asked any more once a step is done.
    """
    key = state.key_of("bath", f"max_volume_room_{where}")
    told = key in st.session_state and "max_volume" in state.part("bath")
    if ticks.ticked() or not (advice.room or told):
        return
    with st.container(key=f"room_{where}"):
        said = advice.room or line("This ends at {end}.", end=Amount(advice.plan.after.volume, "L", 2))
        st.html(f'<p role="status"><b>{html.escape(shown(said))}</b></p>')
        fields.one("bath", entry, "max_volume", where=f"_room_{where}")


def crystals(where: str) -> None:
    """Ask in which form the copper sulfate at hand is."""
    form = state.part("stock.crystals").get("form")
    key = state.key_of("stock.crystals", f"form_chip_{where}")
    held = next((chip for chip, name in FORMS.items() if name == form), None)
    _chips("What does your copper sulfate look like?", tuple(FORMS), held, key, _store_form)


def _store_form(key: str) -> None:
    chosen = st.session_state[key]
    if chosen in FORMS:
        state.put("stock.crystals", "form", FORMS[chosen])


def _chips(label: str, options: tuple[str, ...], chosen: str | None, key: str, store: Callable[[str], None]) -> None:
    heard.write(key, chosen)
    st.pills(label, options, default=chosen, key=key, on_change=_store, args=(key, store), wrap=True)


def _store(key: str, store: Callable[[str], None]) -> None:
    if heard.is_typed(key):
        store(key)


def water_or_more(sheet: Sheet, advice: Advice) -> Advice:
    """Offer water alone beside a plan that adds more, and return the advice with what was chosen."""
    alone = only_water_instead(sheet, advice)
    if alone is None:
        return advice
    if ticks.ticked():  # what is done belongs to the plan that was chosen then
        is_alone = st.session_state.get(ticks.WATER_ALONE) == "water" or ticks.are_of(alone.steps)
        return alone if is_alone else advice
    more = joined(" and ", ["Water", *(_short(step) for step in advice.steps if step.what != "water")])
    options = {
        "plan": line("{more} ({sure} sure)", more=more, sure=percent(advice.plan.after.probability_in)),
        "water": line(
            "Just {water} ({sure} sure)",
            water=short_dose(alone.steps[0]),
            sure=percent(alone.plan.after.probability_in),
        ),
    }
    chosen = st.pills(
        "How much is it worth to you?",
        list(options),
        default="plan",
        required=True,
        format_func=lambda name: shown(options[name]),
        key=ticks.WATER_ALONE,
        persist_state="session",
        wrap=True,
    )
    return alone if chosen == "water" else advice


def _short(step: Step) -> Line:
    """Say what goes in; a dose of acid never stands without its caution, so here it is only named."""
    return line("acid") if step.what in ACIDS else short_dose(step)


def in_step(sheet: Sheet, entry: state.Typed[object], step: Step) -> None:
    """Ask in a step what its amount depends on; once a step is done, say only how much of the other stock it takes.

    What is done belongs to the plan as it was then.
    """
    if ticks.ticked():
        told = {"sulfuric acid": sheet.stock.acid, "copper sulfate crystals": sheet.stock.crystals}
        if told.get(step.what) is None and (other := of_other_stock(step)):
            st.html(f'<p class="how">{unparted(shown(other))}</p>')
        return
    if step.what == "sulfuric acid":
        acid(entry, "step")
    elif step.what == "copper sulfate crystals":
        crystals("step")
