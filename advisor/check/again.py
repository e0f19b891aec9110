"""Which readings to take again: an odd one, one on which much rests, or one for which a better tool is at hand.

What taking it again would settle is told by the estimate itself, since a reading taken twice shares the errors of its
tools with the first. It ranks nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from advisor.basis.units import Measured
from advisor.check.correction import Plan
from advisor.check.estimate import Agreement, Estimate
from advisor.readings import Reading
from advisor.readings.tools import find_tool, volume_error
from advisor.sheet import Sheet

OF_BEFORE = frozenset({"previous check", "make-up", "laboratory report"})  # what nobody takes again at the bench
MOST_REPEATED = 4  # readings that are asked for again at once (judgement)
BETTER = 0.7  # of a volume's uncertainty: a tool that leaves more is no better tool (judgement)
MEASURED_VOLUMES = ("sample", "used")


@dataclass(frozen=True)
class Again:
    """A reading to take again. position: from 0; tool: a better one, None for the same; readings: all of them then."""

    position: int
    tool: str | None
    why: str
    readings: tuple[Reading, ...]


def to_repeat(sheet: Sheet, estimate: Estimate | None, plan: Plan) -> tuple[Again, ...]:
    """Return the readings to take again as they were: those that the plan waits for, then what contradicts the rest."""
    if estimate is None:
        return ()
    agreement, readings = estimate.agreement, sheet.readings
    odd = agreement.odd_one_out
    if odd is not None:
        without = tuple(reading for at, reading in enumerate(readings) if at != odd)
        return (Again(odd, None, f"repeat reading {odd + 1}, which fits none of the others", without),)
    positions = dict.fromkeys((*plan.repeat, *(fit_worst(readings, agreement) if agreement.contradicts else ())))
    return tuple(
        Again(at, None, f"repeat reading {at + 1}, before anything rests on it", (*readings, readings[at]))
        for at in positions
        if readings[at].kind not in OF_BEFORE
    )


def fit_worst(readings: Sequence[Reading], agreement: Agreement) -> list[int]:
    """Return the positions, from 0, of the few readings that fit the others worst and can be taken again at all."""
    return sorted([at for at in agreement.worst if readings[at].kind not in OF_BEFORE][:MOST_REPEATED])


def with_a_better_tool(sheet: Sheet) -> Iterator[Again]:
    """Return the readings whose sample or titrant could be measured better with a tool that is owned."""
    owned = [name for name in sheet.gear.have if find_tool(name)]
    for at, reading in enumerate(sheet.readings):
        for name in MEASURED_VOLUMES:
            now: str | None = getattr(reading, f"{name}_with", None)
            best = _better_tool(reading, name, now, owned)
            if best is None:
                continue
            better: dict[str, Any] = {f"{name}_with": best}
            others = (*sheet.readings[:at], replace(reading, **better), *sheet.readings[at + 1 :])
            what = "the sample" if name == "sample" else "the titrant"
            instead = f" instead of the {now}" if now else ""
            yield Again(at, best, f"take reading {at + 1} again, {what} with your {best}{instead}", others)


def _better_tool(reading: Reading, name: str, now: str | None, owned: list[str]) -> str | None:
    """Return the best tool for a volume of a reading; None where none is clearly better or a ± was typed."""
    volume: Measured | None = getattr(reading, name, None)
    if not (owned and hasattr(reading, f"{name}_with") and volume) or volume.standard_uncertainty is not None:
        return None
    best = min(owned, key=lambda tool: volume_error(volume, tool).total)
    return best if volume_error(volume, best).total <= BETTER * volume_error(volume, now).total else None
