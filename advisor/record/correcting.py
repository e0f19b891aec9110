"""What a check asked for, whether what was done later is a part of that, its correction, and what of it is left to do.

A correction that was begun is gone on with by the record alone: what is left is known to whoever opens it next.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from advisor.record.done_steps import MEASURE_AGAIN, is_as_planned
from advisor.record.entries import (
    AcidAdded,
    Check,
    ChlorideAdded,
    Content,
    CrystalsAdded,
    Entry,
    PouredIn,
    Remake,
    TakenOut,
    WaterAdded,
)
from advisor.words.lines import Line, joined, line, small
from advisor.words.phrases import steps_done
from advisor.words.states import PlanState, as_said, brief

if TYPE_CHECKING:
    from advisor.check.advice import Advice

MUCH = 0.1  # of a bath: so much water or bath beside a correction changes what the rest of it leads to (judgement)
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
        return any(step.get("what") == "water" for step in steps_of(check))
    return isinstance(what, CORRECTING) or (isinstance(what, TakenOut) and what.why == "decanted")


def steps_of(check: Check) -> Sequence[Mapping[str, Any]]:
    """Return the steps that a check advised, as in the JSON result; none where it advised none."""
    steps: Sequence[Mapping[str, Any]] = check.advice.get("correction", {}).get("steps", ())
    return steps


def done_of(check: Check, steps: Sequence[Mapping[str, Any]], later: Sequence[Entry]) -> tuple[Entry, ...]:
    """Return the entries by which the first steps of a correction were done after its check, in order of time.

    steps: each with what it moves and its amounts, as in the JSON result. None of them where much else went in or out,
    or far more or less than planned, where a plan of fewer steps was followed to its end, or where the bath was checked
    or mixed anew: then only a reading tells what it holds, and no step is left to do.
    """
    done = tuple(entry for entry in later if corrects(check, entry.content))
    ended = any(getattr(entry.content, "note", "") == MEASURE_AGAIN for entry in done[: len(steps) - 1])
    if not 0 < len(done) <= len(steps) or ended or _is_another_bath(check, later, done):
        return ()
    return done if all(is_as_planned(entry.content, step) for entry, step in zip(done, steps, strict=False)) else ()


def _is_another_bath(check: Check, later: Sequence[Entry], done: Sequence[Entry]) -> bool:
    """Tell whether a bath is no longer that of a check, but for what was done of its correction."""
    if any(_is_anew(check, entry.content) for entry in later):
        return True
    return sum(_litres(entry.content) for entry in later if entry not in done) > MUCH * check.volume_L


def _is_anew(check: Check, what: Check | Content) -> bool:
    """Tell whether the bath was checked or mixed anew; a check that was filed a second time knows no more."""
    return isinstance(what, Remake) or (isinstance(what, Check) and what.sheet != check.sheet)


def _litres(what: Check | Content) -> float:
    """Return how much water came in or bath left, beside a correction [L]."""
    return what.volume.value if isinstance(what, WaterAdded | TakenOut) else 0.0


def after(entries: Sequence[Entry], check: Entry) -> list[Entry]:
    """Return the entries of a bath that tell of after a check.

    A clock that was set back hides none: what was written later by its number, and earlier by the clock, counts too.
    """
    return [
        entry
        for entry in entries
        if (entry.when, entry.id) > (check.when, check.id) or (entry.id > check.id and entry.written < check.written)
    ]


def left_of(check: Check, later: Sequence[Entry]) -> tuple[Mapping[str, Any], ...]:
    """Return the steps that are left of a correction that was begun after its check; none where nothing is known."""
    done = done_of(check, steps_of(check), later)
    return tuple(steps_of(check)[len(done) :]) if done else ()


def is_of(check: Check, advice: Advice) -> bool:
    """Tell whether the steps of an answer are those that a check advised, each with what it moves, whatever amounts."""
    return [step.what for step in advice.steps] == [step.get("what") for step in steps_of(check)]


def so_far(check: Check, left: Sequence[Mapping[str, Any]]) -> str:
    """Say how much of a check's correction is done; left: its steps that are not."""
    steps = len(steps_of(check))
    return steps_done(steps - len(left), steps)


def still_to_do(left: Sequence[Mapping[str, Any]]) -> Line:
    """Say what is left to do of a correction, and how to pour acid where that is a part of it."""
    from advisor.check.headline import care_with, doses  # who has nothing left to do does not wait for it
    from advisor.check.steps import recorded

    steps = [recorded(step) for step in left]
    return line("Still to do: {said}", said=small(joined(" ", (doses(steps), *care_with(steps)))))
