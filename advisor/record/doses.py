"""Additives: what is due now by the rule on the bottle's label, what was given, and whether it was too much.

The rules are the owner's own (`entries.AdditiveRule`); nothing here knows a brand or an amount of its own. What a rule
calls for is counted from one dose to the next: so much for each ampere-hour and each week, so much again for each
litre that was taken out, and for the whole bath after carbon or a new mix. What a dose went beyond it still counts, and
lowers the next ones. What a dose fell short of it is dropped: additives are given little and often, and only carbon
takes out too much (common practice, no source). Pure functions of entries.
"""

from __future__ import annotations

import datetime
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from advisor.basis.units import Measured
from advisor.check.known import Value
from advisor.check.window import SURE_REACH
from advisor.readings.tools import LEVEL_READING
from advisor.record.entries import (
    ANOTHER_BATH,
    DOSE,
    AdditiveDose,
    AdditiveRule,
    CarbonTreatment,
    Entry,
    Remake,
    TakenOut,
    charge_of,
    standing,
    up_to,
)
from advisor.record.level import level_of
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, Line, counted, joined, line, measured_out

TOO_MUCH = 1.5  # times what the rule allows (judgement)
LEAST_SAID = 0.5  # mL: an excess that a syringe does not show is not worth a warning (judgement)
LEAST_TOLD = 0.05  # mL: a drop (common practice, no source); of less nothing is said to be due
ONE_DOSE = 0.5  # days within which portions count as one dose (judgement)
# A dose is worth giving from here on: a tenth of what the bath takes when it is fresh, or where the rule does not say
# that, so much a litre, or where the volume is not known either, so much (judgement).
WORTH_OF_FRESH, WORTH_PER_LITRE, WORTH_AT_ALL = 0.1, 0.2, 1.0  # share, mL/L, mL
RECENT = 30.0  # days that tell how much is plated and used in a day (judgement)
WEEK = 7.0  # days (exact)
NEAR = 0.5  # of the likeness of two names from which one may be a slip for the other (judgement)
NOTHING = Value(0.0, 0.0)  # exact
EFFECT = "Too much makes the deposit brittle or hazy, and only carbon takes it out again (common practice, no source)."


@dataclass(frozen=True)
class Used:
    """What was used since a time. charge [A·h], days, fresh: litres of fresh bath, None where the dose is not known."""

    since: datetime.datetime
    after_dose: bool = False  # that time was a dose
    charge: Value = NOTHING
    days: float = 0.0
    fresh: Value | None = NOTHING

    def amount(self, rule: AdditiveRule) -> Value:
        """Return what the rule calls for [mL], without the fresh bath where nobody knows how much that is."""
        parts = [
            _times(rule.per_ampere_hour, self.charge),
            _times(rule.per_week, Value(self.days / WEEK, 0.0)),
            _times(rule.per_litre, self.fresh or NOTHING),
        ]
        return Value(sum(each.value for each in parts), float(np.linalg.norm([each[1] for each in parts])))


@dataclass(frozen=True)
class Given:
    """A dose with all its portions [mL]: what the rule allowed, what was given, and what is then in excess."""

    when: datetime.datetime
    allowed: Value
    given: Value
    surplus: float

    def is_too_much(self) -> bool:
        """Tell whether it went beyond what the rule allows by more than half, with 95 % probability."""
        beyond = self.given.value - TOO_MUCH * self.allowed.value
        spread = np.hypot(self.given.standard_uncertainty, TOO_MUCH * self.allowed.standard_uncertainty)
        return bool(beyond > SURE_REACH * spread and self.given.value - self.allowed.value > LEAST_SAID)


@dataclass(frozen=True)
class DoseDue:
    """What is due of one additive [mL], by which rule. doses: what was given since the count began, oldest first.

    worth: from how much on a dose is worth giving [mL]. per_day: how fast it has been used of late [mL].
    """

    rule: AdditiveRule
    used: Used
    due: Value
    worth: float
    per_day: float
    doses: tuple[Given, ...]

    @property
    def additive(self) -> str:
        """What the owner calls it."""
        return self.rule.additive.strip()

    @property
    def surplus(self) -> float:
        """What the doses before went beyond the rule and plating has not used since [mL]."""
        return max((self.doses[-1].surplus if self.doses else 0.0) - self.used.amount(self.rule).value, 0.0)

    def fresh_unknown(self) -> bool:
        """Tell whether the whole bath is due for a dose that the record cannot work out."""
        return self.used.fresh is None

    def is_due(self) -> bool:
        """Tell whether a dose is worth giving now."""
        by_week = bool(self.rule.per_week) and self.used.days >= WEEK and self.due.value >= LEAST_TOLD
        return self.fresh_unknown() or by_week or self.due.value >= self.worth

    def days_left(self) -> float | None:
        """Return in how long [days] a dose is worth giving if all goes on as of late; None where nothing tells."""
        if self.is_due():
            return 0.0
        if self.per_day <= 0:
            return None
        worth, drop = ((amount + self.surplus - self.due.value) / self.per_day for amount in (self.worth, LEAST_TOLD))
        return min(worth, max(drop, WEEK - self.used.days)) if self.rule.per_week else worth

    def why(self) -> Line:
        """Say what it is due for."""
        parts = [
            line("{charge}", charge=self.used.charge.amount("A·h"))
            if self.rule.per_ampere_hour and self.used.charge.value
            else "",
            counted(self.used.days, "day") if self.rule.per_week and self.used.days >= 1 else "",
            _litres_line(self.used.fresh) if self.rule.per_litre else "",
        ]
        told = joined(" and ", [part for part in parts if part])
        since = "since the last dose" if self.used.after_dose else "since the count began"
        after = line("{since} ({day})", since=since, day=day_said(self.used.since.astimezone()))
        return line("for {told} {after}", told=told, after=after) if told else after

    def lines(self) -> tuple[Line, ...]:
        """Say what is due and why, what is not known, and what was too much."""
        due = millilitres(self.due)
        is_due = self.due.value >= LEAST_TOLD
        head = "{name}: {due} are due {why}." if is_due else "{name}: nothing is due yet. It counts {why}."
        said = [line(head, name=self.additive, due=due, why=self.why())]
        if self.fresh_unknown():
            missing = "how much is in the tank" if self.rule.per_litre else "its label's dose for fresh bath"
            said.append(
                line(
                    "{name}: on {day} all of it left the bath, and the whole bath needs a dose. Write down {missing}, "
                    "and that dose is worked out.",
                    name=self.additive,
                    day=day_said(self.used.since.astimezone()),
                    missing=missing,
                )
            )
        return (*said, *self.too_much())

    def too_much(self) -> tuple[Line, ...]:
        """Say so where the last dose was too much, and how long none is to be given."""
        if not self.doses or not self.doses[-1].is_too_much():
            return ()
        last = self.doses[-1]
        said = line(
            "{name}: you gave {given} on {day}, but its rule allowed {allowed}. {effect} {left}",
            name=self.additive,
            given=millilitres(last.given),
            day=day_said(last.when.astimezone()),
            allowed=millilitres(last.allowed),
            effect=EFFECT,
            left=self._left(),
        )
        return (said,)

    def _left(self) -> str:
        if not self.surplus:
            return "By now the surplus is used up."
        rate = self.rule.per_ampere_hour
        if not rate:
            return "Give none until the surplus is used up."
        charge = Amount(self.surplus / (1000 * rate.value), "A·h", digits=2)
        return line("Give none until the surplus is used up, in about {charge}.", charge=charge)

    def to_dict(self) -> dict[str, object]:
        """Return it with plain numbers and their unit in the name."""
        return {
            "additive": self.additive,
            "due_mL": self.due._asdict(),
            "is_due": self.is_due(),
            "since": self.used.since.isoformat(),
            "ampere_hours": self.used.charge._asdict(),
            "days": self.used.days,
            "fresh_bath_L": None if self.used.fresh is None else self.used.fresh._asdict(),
            "surplus_mL": self.surplus,
            "doses": [
                {
                    "when": dose.when.isoformat(),
                    "allowed_mL": dose.allowed._asdict(),
                    "given_mL": dose.given._asdict(),
                    "too_much": dose.is_too_much(),
                }
                for dose in self.doses
            ],
        }


def doses_due(entries: Sequence[Entry], now: datetime.datetime) -> tuple[DoseDue, ...]:
    """Return what is due at a time (aware) of each additive that has a rule, in the order of their first rules."""
    counting = up_to(standing(entries), now)
    return tuple(_due(rule, since, counting, now) for rule, since in _rules(counting))


def without_rule(entries: Sequence[Entry], now: datetime.datetime) -> tuple[Line, ...]:
    """Say which bottles were given of late (up to `now`, aware) and have no rule, where others of the bath have one.

    Most often that is the name of a bottle with a slip in it: its dose would count for nothing, and be due again.
    """
    counting = standing(entries)
    ruled = {called(rule.additive): rule.additive.strip() for rule, _ in _rules(counting)}
    since = now - datetime.timedelta(days=RECENT)
    recent = [entry.content for entry in counting if since < entry.when <= now]
    given = {called(dose.additive): dose.additive.strip() for dose in recent if isinstance(dose, AdditiveDose)}
    return tuple(
        line(
            "{given} has no rule from its label, so what is given of it counts toward nothing. {remedy}",
            given=f"A bottle called {typed}" if typed else "A bottle without a name",
            remedy=_same_bottle(name, ruled),
        )
        for name, typed in given.items()
        if ruled and name not in ruled
    )


def _same_bottle(name: str, ruled: Mapping[str, str]) -> str:
    """Return what to do about a bottle without a rule; ruled: the bottles that have one, as `called`, as typed."""
    near = get_close_matches(name, ruled, 1, NEAR) if name else list(ruled)
    if near and (name or len(near) == 1):
        return f"If it was {ruled[near[0]]}, change the name in that entry."
    return "Write down what its label says, or change the name in that entry."


def _rules(entries: Sequence[Entry]) -> Iterator[tuple[AdditiveRule, datetime.datetime]]:
    """Yield the last rule of each additive, and when the first of its rules was written."""
    found: dict[str, tuple[AdditiveRule, datetime.datetime]] = {}
    for entry in entries:
        if isinstance(entry.content, AdditiveRule):
            name = called(entry.content.additive)
            found[name] = (entry.content, found[name][1] if name in found else entry.when)
    yield from found.values()


def called(name: str) -> str:
    """Return the name of a bottle as it is told from others: without capitals, with single blanks."""
    return " ".join(name.casefold().split())


def _due(rule: AdditiveRule, written: datetime.datetime, entries: Sequence[Entry], now: datetime.datetime) -> DoseDue:
    start, anew, groups = _beginning(rule, written, entries)
    given: list[Given] = []
    surplus = 0.0
    for group in groups:
        used = _used(rule, entries, start, group[0].when, anew)
        start, anew = Used(group[0].when, after_dose=True), False
        if used.fresh is None:  # nobody knows what it allowed
            surplus = 0.0
            continue
        amount, poured = used.amount(rule), _poured(group)
        allowed = max(amount.value - surplus, 0.0)
        surplus = max(surplus + poured.value - amount.value, 0.0)
        given.append(Given(group[-1].when, amount._replace(value=allowed), poured, surplus))
    used = _used(rule, entries, start, now, anew)
    amount = used.amount(rule)
    due = amount._replace(value=max(amount.value - surplus, 0.0))
    return DoseDue(rule, used, due, _worth(rule, entries), _per_day(rule, entries, now), tuple(given))


def _beginning(
    rule: AdditiveRule, written: datetime.datetime, entries: Sequence[Entry]
) -> tuple[Used, bool, list[list[Entry]]]:
    """Return from when to count, whether all of the bath was fresh then, and the doses to be judged, in portions.

    That is from the last time that all additive went; else from the first dose, which settles what was before it,
    whatever that was; else from when the rule was written.
    """
    doses = [entry for entry in entries if _is_dose_of(rule, entry)]
    fresh = [entry.when for entry in entries if isinstance(entry.content, CarbonTreatment | Remake)]
    if fresh:
        return Used(fresh[-1]), True, _grouped([entry for entry in doses if entry.when >= fresh[-1]])
    groups = _grouped(doses)
    if groups:
        return Used(groups[0][0].when, after_dose=True), False, groups[1:]
    return Used(written), False, []


def _is_dose_of(rule: AdditiveRule, entry: Entry) -> bool:
    return isinstance(entry.content, AdditiveDose) and called(entry.content.additive) == called(rule.additive)


def _grouped(doses: Sequence[Entry]) -> list[list[Entry]]:
    """Return doses in portions of one dose each."""
    groups: list[list[Entry]] = []
    for dose in doses:
        if groups and (dose.when - groups[-1][0].when).total_seconds() <= ONE_DOSE * 86400:
            groups[-1].append(dose)
        else:
            groups.append([dose])
    return groups


def _poured(doses: Sequence[Entry]) -> Value:
    """Return what was given in all [mL]."""
    volumes = [dose.content.volume for dose in doses if isinstance(dose.content, AdditiveDose)]
    spreads = [1000 * volume.uncertainty_or(DOSE * volume.value) for volume in volumes]
    return Value(1000 * sum(volume.value for volume in volumes), float(np.linalg.norm(spreads)))


def _used(rule: AdditiveRule, entries: Sequence[Entry], start: Used, end: datetime.datetime, anew: bool) -> Used:
    """Return what was used from the start to a time; anew: the whole bath was fresh at the start."""
    between = _between(entries, start.since, end)
    out = [entry.content for entry in between if isinstance(entry.content, TakenOut)]
    taken = [each.volume for each in out if each.why != ANOTHER_BATH]  # no fresh bath in its place
    spreads = [volume.uncertainty_or(LEVEL_READING * volume.value) for volume in taken]
    fresh: Value | None = Value(sum(volume.value for volume in taken), float(np.linalg.norm(spreads)))
    if anew:
        # A level that was read soon after counts too: who mixes anew fills up first.
        whole = level_of(_between(entries, None, end), at_start=start.since) if rule.per_litre else None
        fresh = None if whole is None or fresh is None else Value(whole.value + fresh.value, whole.standard_uncertainty)
    return replace(start, charge=charge_of(between), days=(end - start.since).total_seconds() / 86400, fresh=fresh)


def _between(entries: Sequence[Entry], start: datetime.datetime | None, end: datetime.datetime) -> Sequence[Entry]:
    """Return the entries after a time (None: from the first on) up to another; they are in order of time."""
    first = 0 if start is None else bisect_right(entries, start, key=lambda entry: entry.when)
    return entries[first : bisect_right(entries, end, key=lambda entry: entry.when)]


def _worth(rule: AdditiveRule, entries: Sequence[Entry]) -> float:
    level = level_of(entries)
    if level is None:
        return WORTH_AT_ALL
    of_fresh = 1000 * rule.per_litre.value * WORTH_OF_FRESH if rule.per_litre else WORTH_PER_LITRE
    return of_fresh * level.value


def _per_day(rule: AdditiveRule, entries: Sequence[Entry], now: datetime.datetime) -> float:
    """Return how fast the additive has been used of late [mL/day]."""
    charge = charge_of(_between(entries, now - datetime.timedelta(days=RECENT), now))
    return replace(Used(now), charge=charge, days=RECENT).amount(rule).value / RECENT


def _times(rule: Measured | None, amount: Value) -> Value:
    """Return a rule's dose [mL] for an amount of what it counts; nothing where the rule does not count that."""
    if rule is None:
        return NOTHING
    dose, spread = 1000 * rule.value, 1000 * rule.uncertainty_or(0.0)
    value, doubt = amount
    return Value(dose * value, float(np.hypot(dose * doubt, spread * value)))


def _litres_line(fresh: Value | None) -> Line | str:
    if fresh is None or not fresh.value:
        return ""
    return line("{amount} of fresh bath", amount=fresh.amount("L"))


def millilitres(value: Value) -> Amount:
    """Return how much of an additive, as a syringe shows it; what has no ± at all is given none."""
    return measured_out(value.value, value.standard_uncertainty)
