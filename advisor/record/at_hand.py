"""What the record says of a bath now, from its last year alone, and kept at hand until the record says otherwise.

A bath that was kept for decades has more entries than a page can read each time it is drawn. What holds now rests on
the last year, and on the last eight checks where these go further back; what hung in the tank before is told by one
entry of its own. The results are kept for the same entries and the same hour.
"""

from __future__ import annotations

import datetime
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from advisor.basis import __version__
from advisor.record.balance import said_before
from advisor.record.entries import (
    AnodeChange,
    AnodesWeighed,
    Check,
    Content,
    Counting,
    Entry,
    LevelMark,
    Remake,
    RunDone,
    TakenOut,
    Unreadable,
    WaterAdded,
    standing,
)
from advisor.record.level import refuse_a_slip
from advisor.record.logbook import LONG_AGO, Logbook, entries_of_correction
from advisor.record.overview import Overview, overview
from advisor.record.weighed_anodes import RATE_DAYS
from advisor.sheet import Sheet
from advisor.words.sections import Answer

if TYPE_CHECKING:  # who asks what is due of a bath that was corrected does not wait for what carries it forward
    from advisor.record.carried import Carried
    from advisor.record.drift import Explanation, NotEnoughKnown

CHECKS, DAYS = 8, 365.0  # what is read goes back at least so far (judgement: losses are told over at most 90 days)
BATHS = 64  # kept at hand (judgement)
Found = TypeVar("Found")


@dataclass(frozen=True)
class BathAtHand:
    """What counts of the record of a bath since a time, in order of time. since: None where that is all.

    before: what hung in the tank then, as an entry; none where nobody had said it.
    """

    bath: str
    entries: Counting
    left_out: tuple[Entry, ...]
    before: tuple[Entry, ...]
    since: datetime.datetime | None
    _answers: dict[tuple[str, datetime.datetime], Any] = field(default_factory=dict, compare=False)

    @property
    def all(self) -> Counting:
        """The entries with what hung in the tank before, as a balance needs them."""
        return Counting((*self.before, *self.entries))

    def carried(self, until: datetime.datetime) -> Carried | None:
        """Return what is carried forward to a time, as it was found in the same hour."""
        from advisor.record.carried import carry_forward

        return self._in_the_hour("carried", until, lambda: carry_forward(self.all, until))

    def overview(self, now: datetime.datetime) -> Overview:
        """Return the state of the bath at a time (aware), as it was found in the same hour."""
        return self._in_the_hour("overview", now, lambda: overview(self.bath, self.all, now, self._account_of))

    def _account_of(self, entries: Sequence[Entry]) -> Explanation:
        """Return the account of these entries: the one at hand, unless some of the record are yet to come."""
        from advisor.record.account import where_it_went

        if len(entries) < len(self.all):
            return where_it_went(entries)
        found = self.where_it_went()
        if isinstance(found, Exception):
            raise found
        return found

    def where_it_went(self) -> Explanation | NotEnoughKnown:
        """Return the account of the losses between the last two checks, or what it lacks."""
        from advisor.record.account import where_it_went

        return self._in_the_hour("account", LONG_AGO, lambda: _or_what_lacks(where_it_went, self.all))

    def over_months(self) -> Explanation | NotEnoughKnown:
        """Return the change over the last 90 days of checks, which tells what goes on slowly, or what it lacks.

        Where the account of the last two checks is doubted, that account: their doubt is the news.
        """
        from advisor.record.drift import last_change

        found = self.where_it_went()
        if isinstance(found, Exception) or found.doubts:
            return found
        return self._in_the_hour("over months", LONG_AGO, lambda: _or_what_lacks(last_change, self.all, RATE_DAYS))

    def _in_the_hour(self, what: str, when: datetime.datetime, find: Callable[[], Found]) -> Found:
        key = (what, when.astimezone(datetime.UTC).replace(minute=0, second=0, microsecond=0))
        with suppress(KeyError):  # another thread may clear them at any moment
            kept: Found = self._answers[key]
            return kept
        if len(self._answers) > BATHS:
            self._answers.clear()
        found = self._answers[key] = find()
        return found


def _or_what_lacks(explain: Callable[..., Explanation], *given: object) -> Explanation | NotEnoughKnown:
    from advisor.record.drift import NotEnoughKnown

    try:
        return explain(*given)
    except NotEnoughKnown as error:
        return error


_KEPT: OrderedDict[tuple[Path, str], BathAtHand] = OrderedDict()


def at_hand(logbook: Logbook, bath: str) -> BathAtHand:
    """Return what the record says of a bath now; raises InputError for what is no name, LogbookError as the logbook."""
    with logbook.at_one_time() as now:
        fresh = _read(now, bath)
    key = (logbook.path, bath)
    kept = _KEPT.pop(key, None)
    if kept is None or kept != fresh:  # rows that were read before are the same objects, so that this takes no time
        kept = fresh
    _KEPT[key] = kept
    while len(_KEPT) > BATHS:
        _KEPT.popitem(last=False)
    return kept


def from_the_weighing_before(logbook: Logbook, known: BathAtHand) -> Sequence[Entry]:
    """Return the weighing of the anodes before the entries at hand, and the runs since; none where none goes on."""
    since = known.since
    masses = [entry for entry in known.entries if isinstance(entry.content, AnodesWeighed | AnodeChange)]
    if since is None or not masses or not isinstance(masses[0].content, AnodesWeighed):
        return ()
    told = standing(logbook.counting(known.bath, kinds=(AnodesWeighed.kind, AnodeChange.kind)))
    last = [entry for entry in told if entry.when < since][-1:]
    if not last or last[0].content.mass is None:  # type: ignore[union-attr]
        return ()
    runs = standing(logbook.counting(known.bath, last[0].when, (RunDone.kind,)))
    return standing((*last, *(entry for entry in runs if entry.when < since)))


def refuse_what_cannot_be(
    logbook: Logbook, bath: str, content: Content, when: datetime.datetime | None, instead_of: int | None
) -> None:
    """Raise InputError for a level or an amount that cannot be by what the record of a bath holds before it.

    when: its time (None: now); instead_of: the number of the entry that it replaces.
    """
    if isinstance(content, LevelMark | WaterAdded | TakenOut):  # of most entries nothing has to be read
        until = when.astimezone() if when else datetime.datetime.now().astimezone()
        entries = at_hand(logbook, bath).entries
        refuse_a_slip(content, [entry for entry in entries if entry.when <= until and entry.id != instead_of])


def of_correction(sheet: Sheet, advice: Answer, steps: Sequence[Content]) -> BathAtHand:
    """Return what a record of this check alone and the steps done since would say, where none holds them.

    Raises InputError where the sheet names no bath.
    """
    entries = enumerate(entries_of_correction(sheet, advice, steps), 1)
    return BathAtHand(sheet.bath.name, standing(replace(entry, id=number) for number, entry in entries), (), (), None)


def _read(logbook: Logbook, bath: str) -> BathAtHand:
    since = _since(logbook.turns(bath))
    found = logbook.counting(bath, since)
    entries = standing(found)
    left_out = tuple(entry for entry in found if isinstance(entry.content, Unreadable))
    hung = None if since is None else said_before(logbook.sheets_that_say(bath, "anodes", since))
    before = (Entry(0, bath, since, since, __version__, None, hung),) if since and hung else ()
    return BathAtHand(bath, entries, left_out, before, since)


def _since(turns: tuple[tuple[datetime.datetime, str], ...]) -> datetime.datetime | None:
    """Return from when on the record is to be read, None for all of it. turns: time and kind, in order of time."""
    mixed = max((position for position, (_, kind) in enumerate(turns) if kind == Remake.kind), default=-1)
    checks = [when for when, kind in turns[mixed + 1 :] if kind == Check.kind]
    early = [when for when in checks[:-CHECKS] if (checks[-1] - when).total_seconds() >= DAYS * 86400]
    return early[-1] if early else turns[mixed][0] if mixed >= 0 else None
