"""Whether to believe where it went: the last change of a bath, held against what the record had led to expect.

One wrong reading, or one addition that was not written down, makes the same picture as a real loss. So a change that
goes far beyond what was carried forward, or beyond what anodes can do, is no cause for advice but for a second check.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from advisor.basis.units import HOURS_PER_MONTH
from advisor.record.balance import INERT, with_anodes
from advisor.record.carried import carry_forward
from advisor.record.drift import SHORTEST, BathState, Doubt, Explanation, last_change, state_of
from advisor.record.entries import Counting, Entry, standing, up_to
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR

FAR = 3.0  # standard uncertainties from what was carried forward (judgement)
FAR_TOGETHER = -2 * math.log(0.0027)  # chi-squared of copper sulfate and acid, as rare as three of one (computed)
# Of the bath a month beyond what is usual, made up with water: over more than two months a leak may go unseen, and a
# check that finds it is no wrong one (judgement).
LEAK, LEAK_DAYS = 0.05, 60.0
NO_FIT = 0.01  # p-value below which the balance does not close (judgement)
# g/L of copper a day that no idle anodes dissolve: 4.4 g/m2 a day is the fastest published (see `carried.IDLE_COPPER`),
# over 1 dm2 a litre all the time, and stirring with air doubles that (judgement).
MOST_IDLE = 0.09


def where_it_went(entries: Sequence[Entry]) -> Explanation:
    """Explain the change between the last two fit checks, and say why it may be wrong as a whole.

    Raises NotEnoughKnown as `drift.last_change` does.
    """
    change = last_change(entries)
    counting = standing(entries)
    is_closed = not change.unlogged and (change.p_value is None or change.p_value >= NO_FIT)
    doubts = [
        *([Doubt.UNLIKE] if _is_unlike(change.now, counting) else []),
        *([Doubt.TOO_MUCH_COPPER] if _is_too_much_copper(change, _are_inert(change, counting)) else []),
        *([] if is_closed else [Doubt.NOT_CLOSED]),
    ]
    return replace(change, doubts=tuple(doubts))


def _is_unlike(now: BathState, entries: Counting) -> bool:
    """Tell whether a check is far from all that the record had carried forward to it.

    That is from the check before, and where it repeats one of a few days ago, from the one before that too.
    """
    compared = list(_distances(now, Counting(entry for entry in entries if entry.when < now.when)))
    return bool(compared) and all(compared)


def _distances(now: BathState, before: Counting) -> Iterator[bool]:
    recent = up_to(before, now.when - datetime.timedelta(days=SHORTEST))
    for start in (before, *([recent] if state_of_last(recent) != state_of_last(before) else [])):
        carried = carry_forward(start, now.when)
        if carried is None or not {"copper_sulfate", "sulfuric_acid"} <= carried.known.measured:
            continue
        # What was carried is of the volume before water left or came; grams are compared, at the level of now.
        ratio = carried.known.volume_L / now.known[2]
        missed = now.known[:2] - ratio * carried.known.mean[:2]
        levels = np.sqrt(now.covariance[2, 2]) / now.known[2] * now.known[:2] * np.sqrt(2)
        covariance = now.covariance[:2, :2] + ratio**2 * carried.known.covariance[:2, :2] + np.outer(levels, levels)
        leak = LEAK * 24 / HOURS_PER_MONTH * carried.days * now.known[:2] if carried.days > LEAK_DAYS else np.zeros(2)
        covariance = covariance + np.outer(leak, leak)
        far = np.abs(missed) > FAR * np.sqrt(np.diag(covariance))
        yield bool(far.any() or missed @ np.linalg.solve(covariance, missed) > FAR_TOGETHER)


def state_of_last(entries: Sequence[Entry]) -> int | None:
    """Return the number of the last entry that is a fit check."""
    return next((entry.id for entry in reversed(entries) if state_of(entry) is not None), None)


def _are_inert(change: Explanation, entries: Sequence[Entry]) -> bool:
    """Tell whether only inert anodes hung between two checks."""
    marked, hung = with_anodes(entries)
    between = [anodes for entry, anodes in zip(marked, hung, strict=True) if change.then.when <= entry.when]
    return bool(between) and set(between) == {INERT}


def _is_too_much_copper(change: Explanation, inert: bool) -> bool:
    """Tell whether more copper came than idle anodes give in the time, or more went than was plated.

    Who logs no run at all may have plated anything.
    """
    copper = change.causes["copper"]
    level = float(max(change.then.known[2], change.now.known[2]))
    gives = 0.0 if inert else MOST_IDLE * level * change.days
    takes = change.ampere_hours * COPPER_PER_AMPERE_HOUR - change.plated
    return copper.low > gives or (change.ampere_hours > 0 and -copper.high > takes)
