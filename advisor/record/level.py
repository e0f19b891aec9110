"""How much is in the tank by what was said last, the most it holds, and whether all of it was poured away."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from advisor.basis.units import Measured, UnitError, parse
from advisor.check.known import Value
from advisor.readings.tools import LEVEL_READING
from advisor.record.balance import LEAST_LEFT
from advisor.record.entries import ANOTHER_BATH, Check, Entry, LevelMark, Moved, PouredIn, Remake, TakenOut


def level_of(entries: Sequence[Entry], at_start: datetime.datetime | None = None) -> Value | None:
    """Return how much was in the tank last [L]; at_start: the first level from then on, else the last before it."""
    said = [(entry.when, level) for entry in entries if (level := _level_said(entry)) is not None]
    if at_start is not None:
        later = [level for when, level in said if when >= at_start]
        said = [(at_start, later[0])] if later else said
    return said[-1][1] if said else None


def _level_said(entry: Entry) -> Value | None:
    """Return the level [L] that an entry tells, None where it tells none."""
    content = entry.content
    if isinstance(content, Check):
        return Value(content.volume_L, LEVEL_READING * content.volume_L)
    if isinstance(content, LevelMark | Moved):
        volume = content.volume if isinstance(content, LevelMark) else content.usual_volume
        return Value(volume.value, volume.uncertainty_or(LEVEL_READING * volume.value))
    return None


def most_of(entries: Sequence[Entry]) -> Measured | None:
    """Return the most that the tank holds [L] by the last sheet or move that tells; None where none does."""
    for entry in reversed(entries):
        if isinstance(entry.content, Moved):
            return entry.content.max_volume
        if isinstance(entry.content, Check) and (said := entry.content.bath().get("max_volume")):
            try:
                return parse(str(said), "volume")
            except UnitError:  # written under other rules
                return None
    return None


def is_emptied(entries: Sequence[Entry]) -> bool:
    """Tell whether all of a bath was poured into another one, and nothing came into its tank since."""
    for number, entry in reversed(list(enumerate(entries))):
        content = entry.content
        if isinstance(content, PouredIn | Check | Remake | LevelMark):
            return False
        if isinstance(content, TakenOut) and content.why == ANOTHER_BATH:
            before = level_of(entries[:number])
            return before is not None and content.volume.value >= (1 - LEAST_LEFT) * before.value
    return False
