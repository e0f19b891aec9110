"""The upkeep of a bath at a time: what is due, what of each additive, and what its anodes fed.

It reads the last year of a record, and of the time before it only what lasts: rules, reminders and when things were
done last. Doses and weighings of anodes are judged by the runs between them, so that these are read too: those of
anodes from the weighing before that year on, and all where an additive was not given in it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from advisor.record.at_hand import BathAtHand, at_hand, from_the_weighing_before
from advisor.record.doses import DoseDue, called, doses_due, without_rule
from advisor.record.due import Due, due
from advisor.record.entries import (
    AdditiveDose,
    AdditiveRule,
    AnodeChange,
    AnodesWiped,
    CarbonTreatment,
    Content,
    Counting,
    Done,
    Entry,
    Filtered,
    Moved,
    Remake,
    Reminder,
    RunDone,
    standing,
)
from advisor.record.logbook import Logbook
from advisor.record.runs import Feed, RunDeposit, deposit_of, feeds
from advisor.words.cautions import Act
from advisor.words.lines import Line

RUNS = 3  # of which what they deposited is told (judgement)
Kind = TypeVar("Kind", bound=Content)
LASTING = tuple(
    table.kind for table in (AdditiveRule, AnodeChange, AnodesWiped, CarbonTreatment, Filtered, Moved, Reminder, Done)
)


@dataclass(frozen=True)
class BathUpkeep:
    """What is to be done for a bath; entries: those that tell it, that count, in order of time.

    unruled: what is said of bottles that were given and have no rule.
    """

    entries: tuple[Entry, ...]
    tasks: tuple[Due, ...]
    doses: tuple[DoseDue, ...]
    feeds: tuple[Feed, ...]
    unruled: tuple[Line, ...]

    @property
    def additives(self) -> tuple[Line, ...]:
        """What is said of the additives: what is due of each and why, what was too much, what counts for nothing."""
        return (*(said for dose in self.doses for said in dose.lines()), *self.unruled)

    @property
    def runs(self) -> tuple[tuple[Entry, RunDone], ...]:
        """The last runs, oldest first."""
        found = [(entry, entry.content) for entry in self.entries if isinstance(entry.content, RunDone)]
        return tuple(found[-RUNS:])

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do by what is said of the last runs and of the last feed."""
        said: list[RunDeposit | Feed] = [*(deposit_of(run) for _, run in self.runs), *self.feeds[-1:]]
        return tuple(dict.fromkeys(act for each in said for act in each.acts))


def upkeep_of(logbook: Logbook, bath: str, now: datetime.datetime) -> BathUpkeep:
    """Return the upkeep of a bath at a time (aware); raises a LogbookError as the logbook does."""
    known = at_hand(logbook, bath)
    before, read = _before(logbook, known), known.entries
    if known.since is not None and not _begin_at_hand(before, read):
        before, read = (), standing(logbook.entries(bath))
    # From a carbon treatment before what is read the runs would be counted that are not read.
    rules = [entry for entry in before if not isinstance(entry.content, CarbonTreatment)]
    given, entries = Counting((*rules, *read)), Counting((*before, *read))
    doses = doses_due(given, now)
    fed = feeds(Counting((*from_the_weighing_before(logbook, known), *known.entries)))
    tasks = due(entries, now, known.overview(now), doses)
    return BathUpkeep(entries, tasks, doses, fed, without_rule(given, now))


def dosed_by_charge(logbook: Logbook, bath: str) -> AdditiveRule | None:
    """Return the rule of the one bottle that is dosed by the ampere-hour; None for none and for several.

    A list of what to buy has one additive: amounts of several bottles must not be added up in packs of one.
    """
    ever = standing(logbook.counting(bath, kinds=(AdditiveRule.kind,)))
    rules = {called(rule.additive): rule for rule in _contents(ever, AdditiveRule)}
    found = [rule for rule in rules.values() if rule.per_ampere_hour]
    return found[0] if len(found) == 1 else None


def _before(logbook: Logbook, known: BathAtHand) -> tuple[Entry, ...]:
    """Return what lasts of the entries before those at hand."""
    since = known.since
    if since is None:
        return ()
    return tuple(entry for entry in standing(logbook.counting(known.bath, kinds=LASTING)) if entry.when < since)


def _begin_at_hand(before: Sequence[Entry], read: Sequence[Entry]) -> bool:
    """Tell whether a dose of each additive that has a rule was read, or else a time when all additives went."""
    ruled = {called(rule.additive) for rule in _contents((*before, *read), AdditiveRule)}
    given = {called(dose.additive) for dose in _contents(read, AdditiveDose)}
    return ruled <= given or any(_contents(read, CarbonTreatment)) or any(_contents(read, Remake))


def _contents(entries: Sequence[Entry], kind: type[Kind]) -> Iterator[Kind]:
    return (entry.content for entry in entries if isinstance(entry.content, kind))
