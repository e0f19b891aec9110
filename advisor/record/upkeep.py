"""The upkeep of a bath at a time: what is due, what of each additive, and what its anodes fed.

It reads the last year of a record, and of the time before it only what lasts: rules, reminders and when things were
done last. Where doses are counted from further back, it reads all.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.record.at_hand import BathAtHand, at_hand
from advisor.record.doses import DoseDue, doses_due
from advisor.record.due import Due, due
from advisor.record.entries import (
    AdditiveDose,
    AdditiveRule,
    AnodeChange,
    AnodesWeighed,
    AnodesWiped,
    CarbonTreatment,
    Done,
    Entry,
    Filtered,
    Moved,
    Remake,
    Reminder,
    standing,
)
from advisor.record.logbook import Logbook
from advisor.record.runs import Feed, feeds

COUNTED_FROM = (AdditiveDose, CarbonTreatment, Remake)
LASTING = tuple(
    table.kind
    for table in (*COUNTED_FROM, AdditiveRule, AnodeChange, AnodesWeighed, AnodesWiped, Filtered, Moved, Reminder, Done)
)


@dataclass(frozen=True)
class BathUpkeep:
    """What is to be done for a bath; entries: those that tell it, that count, in order of time."""

    entries: tuple[Entry, ...]
    tasks: tuple[Due, ...]
    doses: tuple[DoseDue, ...]
    feeds: tuple[Feed, ...]


def upkeep_of(logbook: Logbook, bath: str, now: datetime.datetime) -> BathUpkeep:
    """Return the upkeep of a bath at a time (aware); raises a LogbookError as the logbook does."""
    known = at_hand(logbook, bath)
    entries = _entries(logbook, known)
    tasks = due(bath, entries, now, known.overview(now))
    return BathUpkeep(entries, tasks, doses_due(entries, now), feeds(entries))


def _entries(logbook: Logbook, known: BathAtHand) -> tuple[Entry, ...]:
    if known.since is None:
        return known.entries
    before = [entry for entry in standing(logbook.counting(known.bath, kinds=LASTING)) if entry.when < known.since]
    if _has(before, (AdditiveRule,)) and not _has(known.entries, COUNTED_FROM):
        return standing(logbook.entries(known.bath))
    return (*before, *known.entries)


def _has(entries: Sequence[Entry], kinds: tuple[type, ...]) -> bool:
    return any(isinstance(entry.content, kinds) for entry in entries)
