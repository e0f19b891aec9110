"""What a check asked for, and whether what was done later is a part of that: of its correction."""

from __future__ import annotations

from advisor.record.entries import (
    AcidAdded,
    Check,
    ChlorideAdded,
    Content,
    CrystalsAdded,
    PouredIn,
    TakenOut,
    WaterAdded,
)
from advisor.words.lines import Line
from advisor.words.states import PlanState, as_said, brief

CORRECTING = CrystalsAdded | AcidAdded | ChlorideAdded | PouredIn  # what is done for no other reason


def asks_for(check: Check) -> str:
    """Return what an answer that asked for something said it was; empty where nothing was needed, or none was kept."""
    correction = check.advice.get("correction", {})
    state = str(correction.get("state", ""))
    return "" if state == PlanState.NONE_NEEDED else as_said(state, bool(correction.get("steps")))


def said_in_short(check: Check) -> Line:
    """Say what an answer that asked for something said, in the words of its glance; empty where `asks_for` is."""
    return brief(asks_for(check), check.advice.get("correction", {}).get("keep_above_degC"))


def corrects(check: Check, what: Check | Content) -> bool:
    """Tell whether what was done after a check is a part of the correction that it asked for.

    Water counts only where the check's steps have water: any bath is topped up.
    """
    if not asks_for(check):
        return False
    if isinstance(what, WaterAdded):
        steps = check.advice.get("correction", {}).get("steps", [])
        return any(step.get("what") == "water" for step in steps)
    return isinstance(what, CORRECTING) or (isinstance(what, TakenOut) and what.why == "decanted")
