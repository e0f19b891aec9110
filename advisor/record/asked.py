"""The sheet that a question is asked of, with what the logbook carries of its bath as one more reading.

The pages offer that, the command line takes it unless `--alone` is given, and both say so. A sheet that stands in the
logbook already is never held against itself, and what was carried before stands alone: taken twice, it would make the
answer surer than it is. Nothing is written here.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isclose
from typing import TYPE_CHECKING, Any

from advisor.basis.fields import InputError, show
from advisor.basis.units import Measured, parse
from advisor.readings.origin import Origin
from advisor.readings.previous_check import PreviousCheck
from advisor.readings.tools import LEVEL_READING
from advisor.record.ahead import losses_ahead, plated_ahead
from advisor.record.at_hand import BathAtHand, at_hand
from advisor.record.carried import Carried, carry_forward
from advisor.record.correcting import after, left_of, so_far, still_to_do
from advisor.record.doses import RECENT
from advisor.record.drift import Explanation
from advisor.record.entries import AdditiveRule, Check, Entry, raw_toml, written
from advisor.record.level import as_level, dried_down_to, level_of
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.overview import USUAL_DAYS, corrected_on
from advisor.record.upkeep import dosed_by_charge
from advisor.sheet import Bath, Buy, Sheet, parse_sheet, write_sheet
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import Section

if TYPE_CHECKING:
    from advisor.check.steps import Step

CORRECTED = (
    "This check is filed as entry {number}, and the bath was corrected on {day} after it: do not add the same again; "
    "measure the bath first."
)
BEGUN = (
    "This check is filed as entry {number}, and its correction was begun, last on {day}: {done}. Do none of it twice. "
    "{left} Then measure the bath."
)
OTHERWISE = "Taken as one more reading; --alone leaves the logbook out."
LEVEL = "The level is taken as {level}: what was said last, less what was taken out and with what came in since."
NOT_TAKEN_OVER = (
    "Today's rules do not take the sheet of that check ({reason}): what it measured goes on to count, but of its tank "
    "only name and level are taken over."
)
BETWEEN_CHECKS = "as between its last two checks"
OF_LATE = f"by the runs of the last {RECENT:.0f} days"
A_MOMENT = datetime.timedelta(microseconds=1)  # a logbook's times are no finer (exact)


@dataclass(frozen=True)
class Asked:
    """A sheet to be answered. carried: what the record added to it; said: of that and of what could not be added.

    corrected: the day on which the bath was corrected after this very check, where it is filed; steps_left: of that
    correction, as in the JSON result, where it was begun and the rest is to be done.
    """

    sheet: Sheet
    carried: Carried | None = None
    said: tuple[Line | str, ...] = ()
    corrected: datetime.date | None = None
    steps_left: Sequence[Mapping[str, Any]] = ()

    def steps_to_do(self) -> tuple[Step, ...] | None:
        """Return what is left to do of a correction that was begun; None where none was, or nothing is left."""
        from advisor.check.steps import recorded

        return tuple(recorded(step) for step in self.steps_left) or None

    def sections(self) -> tuple[Section, ...]:
        """Say what came from the logbook, to be read before the answer; nothing where nothing did."""
        return (Section("From this bath's logbook", self.said),) if self.said else ()

    def to_dict(self) -> dict[str, object]:
        """Return what came from the logbook, for another program; empty where nothing did."""
        if not self.said:
            return {}
        return {
            "from_the_logbook": {
                "check": self.carried.check.id if self.carried else None,
                "corrected_on": self.corrected and self.corrected.isoformat(),
                "said": [str(said) for said in self.said],
            }
        }


def with_the_record(sheet: Sheet, buys: bool = False) -> Asked:
    """Return a sheet with what the logbook carries of the bath that it names; buys: with what the bath loses too.

    Left as it is where the logbook has no such bath or cannot be read.
    """
    try:
        known = known_bath(sheet)
    except LogbookError as error:
        return Asked(sheet, said=(f"It could not be read ({error.matter}): this answer rests on the sheet alone.",))
    if known is None:
        return Asked(sheet)
    asked = _corrected(known, sheet)
    carried = carried_for(known, sheet)
    if carried is None:  # the sheet may hold what was carried already
        return _buying(known, asked, buys)
    sheet = replace(sheet, readings=(*sheet.readings, carried.reading()))
    said = (*asked.said, carried.summary(), OTHERWISE)
    return _buying(known, replace(asked, sheet=sheet, carried=carried, said=said), buys)


def _corrected(known: BathAtHand, sheet: Sheet) -> Asked:
    """Return a sheet with the word that its bath was corrected already, where it is filed and that was so."""
    filed = filed_as(known, sheet)
    later = after(known.entries, filed) if filed else []
    day = corrected_on(filed.content, later) if filed and isinstance(filed.content, Check) else None
    if filed is None or day is None or not isinstance(filed.content, Check):
        return Asked(sheet)
    left = left_of(filed.content, later) if _days_since(filed) <= USUAL_DAYS else ()
    if not left:
        return Asked(sheet, said=(CORRECTED.format(number=filed.id, day=day_said(day)),), corrected=day)
    done, to_do = so_far(filed.content, left), still_to_do(left)
    said = line(BEGUN, number=filed.id, day=day_said(day), done=done, left=to_do)
    return Asked(sheet, said=(said,), corrected=day, steps_left=left)


def _days_since(filed: Entry) -> int:
    """Return how many days of the calendar ago a check was made."""
    return (datetime.datetime.now().astimezone().date() - filed.when.astimezone().date()).days


def of_bath(name: str, buys: bool) -> Asked | None:
    """Return the sheet of a bath of the logbook as its next check begins; None where the logbook has no such bath.

    The level is the one that was said last, which is no reading of now. Raises InputError where there is none to begin
    with, or where the logbook cannot be read.
    """
    try:
        logbook = Logbook()
        kept = logbook.named(name)
        if kept not in logbook.baths():
            return None
        known = at_hand(logbook, kept)
    except InputError:  # no name that a logbook keeps
        return None
    except LogbookError as error:
        raise InputError("logbook", error.matter, error.remedy) from error
    carried = known.carried(datetime.datetime.now(datetime.UTC))
    if carried is None:
        raise InputError("bath", show(kept), "no check of it tells what it holds; give a bench sheet with a reading")
    sheet = next_sheet(carried, known)
    level = line(LEVEL, level=sheet.bath.volume.text)
    return _buying(known, Asked(sheet, carried, (carried.summary(), *not_taken_over(carried), level)), buys)


def next_sheet(carried: Carried, known: BathAtHand) -> Sheet:
    """Return the sheet that the next check begins with: the last one with the record in place of its readings.

    Of one that cannot be read any more name and level are left.
    """
    check, sheet = carried.check.content, _last_sheet(carried)
    assert isinstance(check, Check)
    if isinstance(sheet, InputError):
        sheet = Sheet(bath=Bath(volume=as_level(check.volume_L), name=carried.check.bath))
    begun = carried.add_to(replace(sheet, bath=replace(sheet.bath, date=datetime.date.today()), readings=()))
    later = [entry for entry in known.entries if entry.when > carried.check.when]
    level = level_to_begin_with(carried, later)
    if level is None or not later or level.value == check.volume_L:
        return begun
    return replace(begun, bath=replace(begun.bath, volume=level))


def not_taken_over(carried: Carried) -> tuple[str, ...]:
    """Say so where the sheet of the check that is carried cannot be read any more; nothing where it can."""
    sheet = _last_sheet(carried)
    return (NOT_TAKEN_OVER.format(reason=sheet),) if isinstance(sheet, InputError) else ()


def kinds_read(carried: Carried) -> tuple[str, ...]:
    """Return the kinds of reading of the check that is carried; none where its sheet cannot be read any more."""
    sheet = _last_sheet(carried)
    return () if isinstance(sheet, InputError) else tuple(reading.kind for reading in sheet.readings)


def _last_sheet(carried: Carried) -> Sheet | InputError:
    check = carried.check.content
    assert isinstance(check, Check)
    try:
        return parse_sheet(check.sheet.encode("utf-8"))
    except InputError as error:  # written under other rules, or changed by another hand
        return error


def level_to_begin_with(carried: Carried, later: Sequence[Entry]) -> Measured | None:
    """Return the level that a bath is taken to have, after what was logged later than its last check.

    What went in by a correction stands in the tank: taken for dried away, it would have the bath thinned that was just
    put right.
    """
    since = [carried.check, *later]
    said, dried = level_of(since), dried_down_to(since)
    if said is None:
        return None
    as_usual = isclose(said.standard_uncertainty, LEVEL_READING * said.value)
    stands = carried.known.volume_L if dried is None else dried.value
    return as_level(stands, None if as_usual else said.standard_uncertainty or None)


def known_bath(sheet: Sheet) -> BathAtHand | None:
    """Return the record of the bath that a sheet names; None where there is none. Raises LogbookError."""
    if not sheet.bath.name.strip():
        return None
    try:
        return at_hand(Logbook(), sheet.bath.name)
    except InputError:  # a name that no logbook keeps is told where it is saved
        return None


def carried_for(known: BathAtHand, sheet: Sheet) -> Carried | None:
    """Return what the record says of a bath on the sheet's day, of a check before that day.

    None where there is none, where the sheet has an earlier check already, or where its samples are not sound.
    """
    if sheet.bath.condition or any(isinstance(reading, PreviousCheck) for reading in sheet.readings):
        return None
    day = sheet.bath.date or datetime.date.today()
    end = datetime.datetime.combine(day, datetime.time.max).astimezone()
    end = min(end, datetime.datetime.now().astimezone())
    filed = filed_as(known, sheet)
    carried = carry_forward(known.all, filed.when - A_MOMENT) if filed else known.carried(end)
    return carried if carried and carried.check.when.astimezone().date() < day else None


def filed_as(known: BathAtHand, sheet: Sheet) -> Entry | None:
    """Return the check of the record that is this sheet: the first with its readings and date; None where none is."""
    own = own_readings(raw_toml(write_sheet(sheet)))
    for entry in known.entries if own else ():
        if not isinstance(entry.content, Check) or entry.content.bath().get("date") != sheet.bath.date:
            continue
        if own_readings(raw_toml(entry.content.sheet)) == own:
            return entry
    return None


def own_readings(raw: Mapping[str, Any]) -> list[object]:
    """Return the readings of a sheet as it was typed, without what the logbook carried to it."""
    readings = raw.get("reading", [])
    listed = readings if isinstance(readings, list) else []
    return [each for each in listed if isinstance(each, Mapping) and each.get("origin") != Origin.LOGBOOK]


def _buying(known: BathAtHand, asked: Asked, buys: bool) -> Asked:
    """Return the same with what the bath loses, plates and is dosed, where the sheet does not say it."""
    if not buys:
        return asked
    wanted = asked.sheet.buy or Buy()
    ahead, where = _ahead(known)
    losses = {name: loss for name, loss in ahead.items() if getattr(wanted, name) is None}
    quantities = {"water": "volume", "bath": "volume", "plated": "charge"}
    typed: dict[str, Any] = {
        name: parse(str(loss).replace("A·h", "A*h"), quantities[name]) for name, loss in losses.items()
    }
    told = [_told(losses, where)] if losses else []
    wanted = replace(wanted, **typed)
    rule = dosed_by_charge(Logbook(), known.bath) if wanted.plated and wanted.additive is None else None
    if rule is not None:
        wanted = replace(wanted, additive=rule.per_ampere_hour)
        told.append(line("Counted on, by its label: {said}.", said=label_dose(rule)))
    if not told:
        return asked
    return replace(asked, sheet=replace(asked.sheet, buy=wanted), said=(*asked.said, *told))


def _ahead(known: BathAtHand) -> tuple[dict[str, Amount], str]:
    """Return what the bath is going to lose and plate, and where that was seen: between two checks, or in its runs."""
    change = known.where_it_went()
    if isinstance(change, Explanation) and not change.doubts:
        return losses_ahead(change), BETWEEN_CHECKS
    return plated_ahead(known.entries, datetime.datetime.now(datetime.UTC)), OF_LATE


def label_dose(rule: AdditiveRule) -> str:
    """Say what a bottle's label doses by the ampere-hour."""
    return f"{written(rule.per_ampere_hour)} of {rule.additive.strip()} for each ampere-hour"


def _told(losses: dict[str, Amount], where: str) -> Line:
    """Say what is counted on of the losses, and where that was seen."""
    words = {
        "water": "{water} of water a week",
        "bath": "{bath} of bath a month",
        "plated": "{plated} plated in a month",
    }
    parts = [line(words[name], **{name: loss}) for name, loss in losses.items()]
    return line("Counted on, {where}: {parts}.", where=where, parts=joined(", ", parts))
