"""What is due for a bath, when, and by which rule: the check, doses, filtering, the anodes, and the owner's reminders.

One pure function of entries; Home, the history and the calendar show what it returns.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from advisor.record.balance import INERT, with_anodes
from advisor.record.doses import RECENT, DoseDue, called, millilitres
from advisor.record.entries import (
    AnodeChange,
    AnodesWiped,
    CarbonTreatment,
    Check,
    Content,
    Done,
    Entry,
    Filtered,
    LevelMark,
    Remake,
    Reminder,
    RunDone,
    ampere_hours,
    standing,
    up_to,
    written,
)
from advisor.record.level import is_emptied
from advisor.record.overview import Overview
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, capital, line

# Until the owner sets a reminder of that name (judgement).
FILTER_DAYS = 30.0  # of a bath that is plated in
WIPE_AFTER = 50.0  # A·h
FARTHEST = 365.0  # days; what is due later is not worth a line (judgement)


class Upkeep(StrEnum):
    """What is to be done: a closed list, so that a page knows which button to offer."""

    CHECK = "check"
    DOSE = "dose"
    FILTER = "filter"
    WIPE = "wipe"
    LEVEL = "level"
    OTHER = "other"


# What a reminder may be called so that an entry of the kind counts as having done it.
NAMES = {
    "check": Upkeep.CHECK,
    "measure again": Upkeep.CHECK,
    "filter": Upkeep.FILTER,
    "wipe": Upkeep.WIPE,
    "anodes": Upkeep.WIPE,
    "level": Upkeep.LEVEL,
}
DONE_BY: Mapping[Upkeep, tuple[type[Check | Content], ...]] = {
    Upkeep.CHECK: (Check,),
    Upkeep.FILTER: (Filtered, CarbonTreatment, Remake),
    Upkeep.WIPE: (AnodesWiped,),
    Upkeep.LEVEL: (LevelMark, Check),
}

FINISH = "Finish the correction, then check the bath"  # where one was begun


@dataclass(frozen=True)
class Due:
    """Something to be done: when (aware), what, and the rule it comes from. at_time: to the minute, not to the day.

    name: what tells it from others of its kind in this bath, the same however amounts, words and order change.
    """

    task: Upkeep
    name: str
    what: str
    when: datetime.datetime
    rule: str
    at_time: bool = False

    def is_due(self, now: datetime.datetime) -> bool:
        """Tell whether it is due: by the minute, or any time of its day."""
        if self.at_time:
            return self.when <= now
        return self.when.astimezone().date() <= now.astimezone().date()

    def sentence(self, now: datetime.datetime) -> str:
        """Say what is due, when, and why."""
        day = f"{self.when.astimezone():%Y-%m-%d %H:%M}" if self.at_time else f"{self.when.astimezone():%Y-%m-%d}"
        return line("{day}: {what}. {rule}", day="Now" if self.is_due(now) else day, what=self.what, rule=self.rule)

    def to_dict(self, now: datetime.datetime) -> dict[str, object]:
        """Return it for another program."""
        return {
            "task": self.task,
            "what": str(self.what),
            "when": self.when.isoformat() if self.at_time else self.when.astimezone().date().isoformat(),
            "is_due": self.is_due(now),
            "rule": str(self.rule),
        }


def due(entries: Sequence[Entry], now: datetime.datetime, found: Overview, doses: Sequence[DoseDue]) -> tuple[Due, ...]:
    """Return what is due of a bath at a time (aware) and in the year after it, the soonest first.

    found, doses: the overview of the bath and its doses at that time.
    """
    counting = up_to(standing(entries), now)
    if is_emptied(counting):
        return ()
    own = list(_reminders(counting))
    named = {NAMES.get(name) for name in _repeated(counting)}
    tasks = [*own, *_doses(doses, now)]
    if Upkeep.CHECK not in named:
        tasks.append(_check(found, now))
    if Upkeep.FILTER not in named:
        tasks += _filter(counting)
    if Upkeep.WIPE not in named:
        tasks += _wipe(counting, now)
    farthest = now + datetime.timedelta(days=FARTHEST)
    return tuple(sorted((each for each in tasks if each.when <= farthest), key=lambda each: each.when))


def _check(found: Overview, now: datetime.datetime) -> Due:
    """Return the next check, as the overview of the bath has it."""
    today = now.astimezone().date()
    day = today if found.repeat or found.due is None else found.due
    noon = datetime.datetime.combine(day, datetime.time(12)).astimezone()
    what = FINISH if found.goes_on() else "Check the bath"
    return Due(Upkeep.CHECK, Upkeep.CHECK, what, noon, found.next_check(today))


def _doses(doses: Sequence[DoseDue], now: datetime.datetime) -> Iterator[Due]:
    for dose in doses:
        left = dose.days_left()
        if left is None:
            continue
        amount = millilitres(dose.due)
        name, key = dose.additive, called(dose.additive)
        if dose.fresh_unknown():
            yield Due(Upkeep.DOSE, key, f"Give {name} for the whole bath", now, dose.lines()[1])
        elif left == 0:
            what = line("Give {amount} of {name}", amount=amount, name=name)
            yield Due(Upkeep.DOSE, key, what, now, line("It is due {why}.", why=dose.why()))
        elif left <= FARTHEST:
            so_far = line("{amount} are due", amount=amount) if dose.due.value else "nothing is due"
            rule = line(
                "By then a dose is worth giving if you plate as in the last month; so far {so_far}.", so_far=so_far
            )
            yield Due(Upkeep.DOSE, key, f"Give {name}", now + datetime.timedelta(days=left), rule)


def _filter(entries: Sequence[Entry]) -> Iterator[Due]:
    """Yield when to filter: a month after the last time, or after the first run, where anything was plated since."""
    start = _last(entries, DONE_BY[Upkeep.FILTER])
    runs = [entry for entry in entries if isinstance(entry.content, RunDone) and (not start or entry.when > start.when)]
    if runs:
        since = start.when if start else runs[0].when
        rule = line(
            "{days:.0f} days after {what}, because you have plated since (judgement; a reminder called filter takes "
            "its place).",
            days=FILTER_DAYS,
            what="the last time" if start else "the first run",
        )
        yield Due(Upkeep.FILTER, Upkeep.FILTER, "Filter the bath", since + datetime.timedelta(days=FILTER_DAYS), rule)


def _wipe(entries: Sequence[Entry], now: datetime.datetime) -> Iterator[Due]:
    """Yield when to look at the anodes, by the ampere-hours since they were wiped or changed; not at inert ones."""
    _, hung = with_anodes(entries)
    if hung and hung[-1] == INERT:
        return
    wiped = _last(entries, (AnodesWiped, AnodeChange))
    charge = ampere_hours(entry for entry in entries if wiped is None or entry.when > wiped.when)
    start = now - datetime.timedelta(days=RECENT)
    per_day = ampere_hours(entry for entry in entries if entry.when > start) / RECENT
    left = max(WIPE_AFTER - charge, 0.0)
    if charge == 0 or left > FARTHEST * per_day:
        return
    rule = line(
        "{charge} since they were wiped or changed; the rule is {after} (judgement; set your own with a reminder "
        "called wipe).",
        charge=Amount(charge, "A·h", 0),
        after=Amount(WIPE_AFTER, "A·h", 0),
    )
    when = now + datetime.timedelta(days=left / per_day if left else 0.0)
    yield Due(Upkeep.WIPE, Upkeep.WIPE, "Wipe loose film off the anodes, current off and in gloves", when, rule)


def _reminders(entries: Sequence[Entry]) -> Iterator[Due]:
    """Yield the owner's own reminders that are not done: each of those for once, the last of each name that repeats."""
    once = [entry for entry in entries if isinstance(entry.content, Reminder) and entry.content.after]
    for entry in (*once, *_repeated(entries).values()):
        asked = entry.content
        assert isinstance(asked, Reminder)
        name = called(asked.what)
        task = NAMES.get(name, Upkeep.OTHER)
        done = _done(entries, asked.what, task)
        what = capital(asked.what)
        if asked.after is not None and not (done and done.when > entry.when):
            after = datetime.timedelta(hours=asked.after.value)
            asked_at = entry.when.astimezone()
            rule = (
                f"You asked to be reminded on {day_said(asked_at)} at {asked_at:%H:%M}, after {written(asked.after)}."
            )
            one = f"{name}\n{entry.corrects or entry.id}"  # there may be several of one name
            yield Due(task, one, what, entry.when + after, rule, at_time=after < datetime.timedelta(days=1))
        if asked.every is not None:
            last = max(entry.when, done.when) if done else entry.when
            rule = f"You asked to be reminded {asked.often()}; it counts from {day_said(last.astimezone())}."
            yield Due(task, name, what, last + datetime.timedelta(hours=asked.every.value), rule)


def _repeated(entries: Sequence[Entry]) -> dict[str, Entry]:
    """Return the reminders that come again and again, of each name the last."""
    asked = [(entry.content, entry) for entry in entries if isinstance(entry.content, Reminder)]
    return {called(reminder.what): entry for reminder, entry in asked if reminder.every}


def _done(entries: Sequence[Entry], what: str, task: Upkeep) -> Entry | None:
    """Return the last entry that did what a reminder asks for."""
    return next(
        (
            entry
            for entry in reversed(entries)
            if isinstance(entry.content, DONE_BY.get(task, ()))
            or (isinstance(entry.content, Done) and called(entry.content.what) == called(what))
        ),
        None,
    )


def entry_for(task: Due) -> Content | None:
    """Return the entry that says that a task was done, None where only the person can tell what was done."""
    if task.task is Upkeep.FILTER:
        return Filtered()
    if task.task is Upkeep.WIPE:
        return AnodesWiped()
    return Done(what=task.what) if task.task is Upkeep.OTHER or task.at_time else None


def _last(entries: Sequence[Entry], kinds: tuple[type[Check | Content], ...]) -> Entry | None:
    return next((entry for entry in reversed(entries) if isinstance(entry.content, kinds)), None)
