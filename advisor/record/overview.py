"""In what state each bath of the record is, and what is due: the last check in words, and the day of the next one.

Pure functions of entries: nothing is read from a file, nothing shown, and nothing measured is computed anew but the
forecast, which `forecast` makes. Only a bath of which one is told waits for what that takes to load.
"""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.basis.components import NAMES
from advisor.record.correcting import after, asks_for, corrects, left_of, said_in_short, so_far, still_to_do
from advisor.record.entries import Check, Entry, Remake, ampere_hours, standing, up_to
from advisor.words.dates import said as day_said
from advisor.words.lines import counted, line
from advisor.words.states import PlanState

if TYPE_CHECKING:
    from advisor.record.drift import Explanation
    from advisor.record.forecast import Forecast

STATES = {"in": "inside the window", "low": "too low", "high": "too high", "unsure": "not settled"}
USUAL_DAYS = 30  # from one check to the next, where the record allows no forecast (judgement)


@dataclass(frozen=True)
class Overview:
    """One bath. check: the last one since it was mixed, None where there is none.

    days: since that check. since: how many entries were written for later, ampere_hours: their charge [A h].
    due: day of the next check; forecast: whether it follows from the bath's own drift, or is only the usual interval.
    corrected: the day on which something of a correction was done last since that check. left: its steps that are left
    to do, as in the JSON result; none where it was carried out, or where nobody can tell.
    """

    bath: str
    check: Entry | None
    days: int
    since: int
    ampere_hours: float
    due: datetime.date | None
    forecast: bool
    repeat: bool = False  # the last check does not fit what was before it
    corrected: datetime.date | None = None
    left: Sequence[Mapping[str, Any]] = ()

    def state(self) -> str:
        """Say what the last check found, or that it no longer holds, as the bath was corrected since."""
        if self.check is None:
            return "Not checked yet since it was mixed."
        assert isinstance(self.check.content, Check)
        if self.corrected and self.left:
            return f"Its correction was begun on {day_said(self.corrected)}: {so_far(self.check.content, self.left)}."
        if self.corrected is not None:
            return f"Corrected on {day_said(self.corrected)}, after its last check: measure it again."
        verdict = self.check.content.advice.get("verdict", {})
        judged: dict[str, list[str]] = {}
        for name in NAMES:
            judged.setdefault(verdict.get(name, {}).get("state"), []).append(NAMES[name])
        told = [f"{' and '.join(names)} {STATES[state]}" for state, names in judged.items() if state in STATES]
        if len(judged.get("in", ())) == len(NAMES):
            told = ["inside the window"]
        if told and asks_for(self.check.content) == PlanState.TOO_COLD:
            told.append("but too strong for the cold")
        return f"{', '.join(told)}.".capitalize() if told else "The last check found neither copper sulfate nor acid."

    def is_in(self) -> bool:
        """Tell whether the last check found all that it measured inside the window, and asked for nothing more."""
        return self.corrected is None and set(self._measured()) == {"in"} and not self.asked()

    def is_out(self) -> bool:
        """Tell whether the last check found something outside the window, and nothing was done about it since."""
        return self.corrected is None and bool({"low", "high"} & set(self._measured()))

    def is_old(self) -> bool:
        """Tell whether the last check is so long ago that the bath is measured anew before anything is added."""
        return self.days > USUAL_DAYS

    def goes_on(self) -> bool:
        """Tell whether a correction was begun after the last check and its rest is to be done before the next."""
        return bool(self.left) and not self.is_old()

    def asked(self) -> str:
        """Return the state of the last answer where it asked for something, and nothing was written down since."""
        content = self.check.content if self.check else None
        return asks_for(content) if isinstance(content, Check) and self.since == 0 else ""

    def _measured(self) -> list[str]:
        """Return the state of each component that the last check measured."""
        content = self.check.content if self.check else None
        verdict = content.advice.get("verdict", {}) if isinstance(content, Check) else {}
        judged = [verdict.get(name, {}).get("state") for name in NAMES]
        return [state for state in judged if state in STATES]

    def history(self) -> str:
        """Say when it was checked and what has been recorded since."""
        if self.check is None:
            return f"Recorded so far: {counted(self.since, 'entry', 'entries')}."
        ago = "today" if self.days == 0 else f"{counted(self.days, 'day')} ago"
        spent = f" and {self.ampere_hours:.0f} A·h plated" if self.ampere_hours else ""
        later = f"; recorded since: {counted(self.since, 'entry', 'entries')}{spent}" if self.since else ""
        return f"Checked {ago}, on {day_said(self.check.when.astimezone())}{later}."

    def next_check(self, today: datetime.date) -> str:
        """Say when to check again and why then."""
        if self.due is None:
            return "Check it now."
        if self.goes_on():
            return line("{said} Then measure the bath again.", said=still_to_do(self.left))
        if self.corrected is not None:
            return "Only a new check tells what it holds now."
        if self.repeat:
            return "Repeat the last check first: it does not fit what your record says. See its logbook."
        why = "as it has been drifting" if self.forecast else "a month after the last one, as is usual"
        left = (self.due - today).days
        if left < 0:
            return f"A check has been due for {counted(-left, 'day')} ({why})."
        again = f"Check again on {day_said(self.due)} ({why})." if left else f"Check it today ({why})."
        asked = self.asked()
        if not asked or left == 0:
            return again
        assert self.check is not None
        assert isinstance(self.check.content, Check)
        said = said_in_short(self.check.content)
        return line(
            "Do first what the last check says: {said}.{again}",
            said=said,
            again=f" {again}" if self.forecast else "",
        )

    def is_due(self, today: datetime.date) -> bool:
        """Tell whether a check is due."""
        return self.due is None or self.due <= today


def trail(entries: Sequence[Entry]) -> tuple[tuple[float, float], ...]:
    """Return (copper sulfate, acid) [g/L] of every check that tells both, oldest first, since the bath was mixed."""
    points: list[tuple[float, float]] = []
    for entry in standing(entries):
        if isinstance(entry.content, Remake):
            points.clear()
        elif isinstance(entry.content, Check):
            salt, acid = (entry.content.value(name) for name in ("copper_sulfate", "sulfuric_acid"))
            if salt and acid:
                points.append((salt.value, acid.value))
    return tuple(points)


def corrected_on(check: Check, later: Sequence[Entry]) -> datetime.date | None:
    """Return the last day on which a part of a correction was done after a check that asked for one; else None."""
    return max((entry.when.astimezone().date() for entry in later if corrects(check, entry.content)), default=None)


def overview(
    bath: str,
    entries: Sequence[Entry],
    now: datetime.datetime,
    account_of: Callable[[Sequence[Entry]], Explanation] | None = None,
) -> Overview:
    """Return the state of a bath at a time (aware), from all its entries in any order.

    account_of: gives the account of the losses of entries where it is at hand; raises NotEnoughKnown as `account`.
    """
    counting = up_to(standing(entries), now)
    turns = [position for position, entry in enumerate(counting) if isinstance(entry.content, Check | Remake)]
    last = counting[turns[-1]] if turns else None
    later = counting[turns[-1] + 1 :] if turns else counting
    if last is None or not isinstance(last.content, Check):
        return Overview(bath, None, 0, len(later), ampere_hours(later), None, False)
    filed = _first_filed(counting, turns)
    since = after(counting, filed)
    corrected, left = corrected_on(last.content, since), left_of(last.content, since)
    coming = None if corrected else _forecast(counting, last, account_of)
    days = coming.check_in_days if coming else USUAL_DAYS
    due = corrected or (last.when + datetime.timedelta(days=days)).astimezone().date()
    repeat = coming is not None and coming.doubted
    days_ago = (now.astimezone().date() - last.when.astimezone().date()).days  # of the calendar, as people count
    return Overview(
        bath, last, days_ago, len(later), ampere_hours(later), due, coming is not None, repeat, corrected, left
    )


def _first_filed(counting: Sequence[Entry], turns: Sequence[int]) -> Entry:
    """Return the last check, or the first of the same in a row: its readings know of nothing that was done since.

    turns: the places of checks and remakes.
    """
    last = counting[turns[-1]]
    sheet = getattr(last.content, "sheet", "")
    alike = itertools.takewhile(
        lambda entry: getattr(entry.content, "sheet", None) == sheet, (counting[turn] for turn in reversed(turns))
    )
    return [*alike][-1]


def _forecast(
    entries: Sequence[Entry], last: Entry, account_of: Callable[[Sequence[Entry]], Explanation] | None
) -> Forecast | None:
    """Return what comes after the last check, None where the record does not say."""
    from advisor.record.account import where_it_went
    from advisor.record.drift import NotEnoughKnown
    from advisor.record.forecast import forecast

    try:
        explained = (account_of or where_it_went)(entries)
    except NotEnoughKnown:
        return None
    check = last.content
    if explained.now.when != last.when or not isinstance(check, Check):
        return None
    return forecast(explained, {name: check.limits(name) for name in NAMES}, not asks_for(check))
