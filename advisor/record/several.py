"""Several baths: compared side by side, one split in two, one poured into another, with what goes where in grams.

A split gives the new bath a check of its own, which stands on what the record carried forward; pouring gives the bath
that receives an entry with what came, so that its next check starts from the mixture. Both leave the sum of what is in
the tanks as it was. Both are pure functions of entries; the logbook writes what they return, all of it or nothing.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from advisor.basis.components import COMPONENTS, KEYS, NAMES, UNITS
from advisor.basis.fields import Fault, InputError
from advisor.basis.units import Measured
from advisor.check.known import Known, Value
from advisor.readings.tools import LEVEL_READING
from advisor.record.asked import level_to_begin_with
from advisor.record.at_hand import BathAtHand, at_hand, from_the_weighing_before
from advisor.record.carried import Carried, carry_forward
from advisor.record.entries import (
    ANOTHER_BATH,
    Check,
    Content,
    Counting,
    Entry,
    Moved,
    PouredIn,
    Remake,
    RunDone,
    TakenOut,
    charge_of_runs,
    standing,
    up_to,
)
from advisor.record.entry_text import write_json
from advisor.record.level import MOST, as_level, is_emptied, level_now, level_said, most_of
from advisor.record.logbook import LONG_AGO, Logbook
from advisor.record.overview import Overview
from advisor.sheet import parse_sheet, write_sheet
from advisor.words.cautions import Act, cautions
from advisor.words.dates import said as day_said
from advisor.words.lines import Line, Units, joined, line
from advisor.words.sections import Section

GRAMS = {"copper_sulfate": 1.0, "sulfuric_acid": 1.0, "chloride": 1e-3}  # g/L a unit of the component (exact)
REST = 0.01  # of a bath that is left when all is poured: what wets the tank (judgement)
NOTHING = "–"  # what a table shows where there is nothing to say
ROOM = "The record does not tell how much the tank of {target} holds: see that it all fits before you pour."
UNKNOWN = "What {target} held is not known, so neither is the mixture: check it."
Part = tuple[str, Check | Content]  # a bath by name, and what is written in its record


# --- Side by side ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Standing:
    """One bath among others. held: as carried forward to now; charge: since it was mixed [A·h]; level [L]."""

    found: Overview
    level: Value | None
    held: Mapping[str, Value | None]
    charge: Value
    tank: str
    is_emptied: bool  # into another bath

    @property
    def state(self) -> str:
        """How it is in words."""
        return "All of it was poured into another bath." if self.is_emptied else self.found.state()

    def cells(self, units: Units) -> dict[str, str]:
        """Return what a table shows of it in these units, by the heads of its columns."""

        def said(value: Value | None, unit: str) -> str:
            return "not known" if value is None else value.amount(unit).text(units)

        held = {NAMES[name].capitalize(): said(value, UNITS[name]) for name, value in self.held.items()}
        check = self.found.check
        return {
            "Bath": self.found.bath,
            "Tank": self.tank or NOTHING,
            "Level": said(self.level, "L"),
            **held,
            "State": self.state,
            "Plated": said(self.charge, "A·h") if self.charge.value else "nothing logged",
            "Last check": day_said(check.when.astimezone()) if check else "none",
        }

    def to_dict(self) -> dict[str, object]:
        """Return it with plain numbers and their unit in the name."""
        check = self.found.check
        return {
            "bath": self.found.bath,
            "tank": self.tank or None,
            "level_L": self.level and self.level._asdict(),
            **{KEYS[name]: value and value._asdict() for name, value in self.held.items()},
            "state": self.state,
            "ampere_hours": self.charge._asdict(),
            "last_check": check.when.isoformat() if check else None,
        }


def compare(logbook: Logbook, baths: Sequence[str], now: datetime.datetime) -> tuple[Standing, ...]:
    """Return how each bath stands at a time (aware); raises LogbookError as the logbook does.

    It rests on what is at hand; of the time before that only moves and runs are read.
    """
    with logbook.at_one_time() as book:
        return tuple(_standing(book, bath, now) for bath in baths)


def _standing(logbook: Logbook, bath: str, now: datetime.datetime) -> Standing:
    known = _with_a_level(logbook, at_hand(logbook, bath))
    moves = known.entries if known.since is None else standing(logbook.counting(bath, kinds=(Moved.kind,)))
    tanks = [entry.content.tank for entry in up_to(moves, now) if isinstance(entry.content, Moved)]
    charge = charge_of_runs(_runs_since_it_was_mixed(logbook, known, now))
    return stands(known, now, tanks[-1] if tanks else "", charge)


def _with_a_level(logbook: Logbook, known: BathAtHand) -> BathAtHand:
    """Return a bath at hand with all of its record where what was read tells no level: it was said before that."""
    if known.since is None or any(level_said(entry) is not None for entry in known.entries):
        return known
    return BathAtHand(known.bath, standing(logbook.entries(known.bath)), known.left_out, (), None)


def _runs_since_it_was_mixed(
    logbook: Logbook, known: BathAtHand, now: datetime.datetime
) -> Iterator[tuple[RunDone, int]]:
    """Yield the runs of a bath up to a time, each with how many were alike."""
    mixed = [when for when, kind in logbook.turns(known.bath) if kind == Remake.kind and when <= now]
    start = mixed[-1] if mixed else LONG_AGO
    if known.since is not None:
        yield from logbook.alike(known.bath, RunDone, start, known.since)
    for entry in up_to(known.entries, now):
        if isinstance(entry.content, RunDone) and entry.when >= start:
            yield entry.content, 1


def stands(known: BathAtHand, now: datetime.datetime, tank: str, charge: Value) -> Standing:
    """Return how a bath stands at a time (aware). tank: the one it was moved to last; charge: since it was mixed."""
    counting = up_to(known.all, now)
    carried = _as_it_stands(counting, now)
    held = carried.values if carried else dict.fromkeys(COMPONENTS)
    emptied = is_emptied(counting)
    level = (
        Value(carried.known.volume_L, carried.known.volume_relative_uncertainty * carried.known.volume_L)
        if carried
        else level_now(counting)
    )
    return Standing(known.overview(now), None if emptied else level, held, charge, tank, emptied)


def _as_it_stands(entries: Sequence[Entry], now: datetime.datetime) -> Carried | None:
    """Return what is carried forward, in the volume that stands in the tank, without the water that dried away."""
    carried = carry_forward(entries, now)
    if carried is None:
        return None
    since = [entry for entry in up_to(standing(entries), now) if entry.when > carried.check.when]
    level = level_to_begin_with(carried, since)
    if level is None or level.value <= 0:
        return carried
    stands = min(level.value, carried.known.volume_L)
    read = Value(stands, level.uncertainty_or(LEVEL_READING * level.value))
    return carried.standing_at(read, is_read_anew=any(level_said(entry) is not None for entry in since))


# --- From one tank into another -------------------------------------------------------------------


def record_for_pouring(logbook: Logbook, bath: str) -> Counting:
    """Return what counts of a record as far as pouring rests on it.

    That is what is at hand, and of the time before what told last how much the tank holds, and what anodes fed that
    were weighed since.
    """
    known = _with_a_level(logbook, at_hand(logbook, bath))
    if known.since is None:
        return known.all
    of_tank = logbook.last_of_tank(bath, MOST, known.since)
    return standing((*of_tank, *from_the_weighing_before(logbook, known), *known.all))


@dataclass(frozen=True)
class Poured:
    """What is poured from one bath into another: the entries that say so, and what is in both before and after.

    litres: what moves [L]; before, after: what is in source and target, in this order; None where nothing is known.
    read_anew: of both, whether the level was read since the check, as of `Carried`.
    room: whether the record tells that the target's tank takes it.
    """

    parts: tuple[Part, ...]
    source: str
    target: str
    litres: float
    before: tuple[Known, Known | None]
    after: Known | None
    read_anew: tuple[bool, bool]
    room: bool = False

    TITLE: ClassVar[str] = "Poured"

    def sections(self) -> tuple[Section, ...]:
        """Return what is poured and the balance of it for a reader."""
        words = "{litres:.2f L} of {source} go into {target}."
        moved = line(words, litres=self.litres, source=self.source, target=self.target)
        rows = [self._row(name) for name in COMPONENTS if name in self.before[0].measured]
        ends = self._ends() if self.after else line(UNKNOWN, target=self.target)
        room = () if self.room else (line(ROOM, target=self.target),)
        care = Section("Take care", (*room, *cautions((Act.HANDLING_BATH,))), caution=True)
        return (Section("What goes where", (moved, *rows, ends)), care)

    def _row(self, name: str) -> Line:
        """Return the balance of one component: what moves, with what is there, makes what is in the target."""
        comes = self._comes(name)
        there = self.before[1]
        if there is None or self.after is None or name not in there.measured or name not in self.after.measured:
            return line("{name}: {comes} move.", name=NAMES[name].capitalize(), comes=comes.amount("g"))
        return line(
            "{name}: {comes} come to {there}; together {sum}.",
            name=NAMES[name].capitalize(),
            comes=comes.amount("g"),
            there=_in_grams(there, name, there.volume_L, self.read_anew[1]).amount("g"),
            sum=_in_grams(self.after, name, self.after.volume_L, self.read_anew[1]).amount("g"),
        )

    def _comes(self, name: str) -> Value:
        return _in_grams(self.before[0], name, self.litres, self.read_anew[0])

    def _ends(self) -> Line:
        assert self.after is not None
        held = [
            line("{held} {name}", held=self.after.of(name).amount(UNITS[name]), name=NAMES[name])
            for name in self.after.names
            if name in self.after.measured
        ]
        return line(
            "{target} then holds {volume:.2f L} with {held}.",
            target=self.target,
            volume=self.after.volume_L,
            held=joined(", ", held),
        )

    def to_dict(self) -> dict[str, object]:
        """Return it with plain numbers and their unit in the name."""
        after = self.after
        return {
            "from": self.source,
            "into": self.target,
            "volume_L": self.litres,
            "moved_g": {name: self._comes(name)._asdict() for name in COMPONENTS if name in self.before[0].measured},
            "after": after
            and {
                "volume_L": after.volume_L,
                **{KEYS[n]: after.of(n)._asdict() if n in after.measured else None for n in COMPONENTS},
            },
        }


def split(source: str, entries: Sequence[Entry], target: str, litres: Measured, now: datetime.datetime) -> Poured:
    """Return what pouring a part of a bath into a new one writes: taken out there, a check here.

    Raises InputError where the source is not known well enough, or holds no more than that.
    """
    from advisor.check.advise import advise  # only who splits a bath waits for the optimiser

    carried, known = _source(source, entries, now)
    _least_left(litres, known, whole_may_go=False)
    check = carried.check.content
    assert isinstance(check, Check)
    sheet = parse_sheet(check.sheet.encode("utf-8"))
    bath = replace(sheet.bath, name=target, volume=litres, date=now.astimezone().date())
    bath = replace(bath, usual_volume=None, max_volume=None, min_volume=None, throughput=None)
    reading = replace(carried.reading(), volume=litres, note=f"poured out of {source}: {carried.reading().note}")
    begun = replace(sheet, bath=bath, readings=(reading,))
    content = Check(write_sheet(begun), json.loads(write_json(advise(begun).to_dict())))
    parts: tuple[Part, ...] = ((source, _taken(litres, target)), (target, content))
    made = replace(known, volume_L=litres.value)
    return Poured(parts, source, target, litres.value, (known, None), made, (carried.is_read_anew, False))


def new_bath(name: str, known: Sequence[str]) -> str:
    """Return the name of a bath that is to be begun; raises InputError where the logbook has one of that name."""
    if name in known:
        accepted = "give the name of a new one, or pour it in with merge"
        raise InputError("into", f"the logbook has a bath {name} already", accepted, Fault.CONFLICT)
    return name


def merge(
    source: str,
    entries: Sequence[Entry],
    target: str,
    others: Sequence[Entry],
    litres: Measured | None,
    now: datetime.datetime,
) -> Poured:
    """Return what pouring a bath, or so much of it, into another one writes: taken out there, poured in here.

    others: the entries of the target. Raises InputError where the source is not known well enough, or the target's tank
    cannot hold it.
    """
    if source == target:
        raise InputError("into", f"you gave {target} twice", "name two baths", Fault.CONFLICT)
    carried, known = _source(source, entries, now)
    poured = litres or as_level(known.volume_L)
    _least_left(poured, known, whole_may_go=True)
    others = up_to(standing(others), now)
    there = _as_it_stands(others, now)
    room = _has_room(target, others, there, poured)
    held = known.of
    chloride = _typed(held("chloride"), "mg/L", "content") if "chloride" in known.measured else None
    content = PouredIn(
        volume=poured,
        copper_sulfate=_typed(held("copper_sulfate"), "g/L", "concentration"),
        sulfuric_acid=_typed(held("sulfuric_acid"), "g/L", "concentration"),
        chloride=chloride,
        source=source,
    )
    after = None
    if there is not None:
        later = now + datetime.timedelta(microseconds=1)
        number = max(entry.id for entry in others) + 1
        coming = Entry(number, target, later, later, "", None, content)
        mixed = _as_it_stands(Counting((*others, coming)), later)
        after = mixed.known if mixed else None
    parts: tuple[Part, ...] = ((source, _taken(poured, target)), (target, content))
    before = (known, there.known if there else None)
    read_anew = (carried.is_read_anew, bool(there and there.is_read_anew))
    return Poured(parts, source, target, poured.value, before, after, read_anew, room)


def _source(source: str, entries: Sequence[Entry], now: datetime.datetime) -> tuple[Carried, Known]:
    """Return what is known of the bath that is poured from; raises InputError where copper or acid is not."""
    carried = _as_it_stands(entries, now)
    if carried is None or not {"copper_sulfate", "sulfuric_acid"} <= carried.known.measured:
        accepted = "check it first: what is poured must be known by its copper sulfate and its acid"
        raise InputError("from", f"the record does not tell what {source} holds", accepted)
    return carried, carried.known


def _least_left(litres: Measured, known: Known, whole_may_go: bool) -> None:
    most = known.volume_L * (1 + REST if whole_may_go else 1 - REST)
    if litres.value > most:
        accepted = line("at most {most:.4g L} are there by the record", most=most)
        raise InputError("volume", f"you gave {litres.text}", accepted, Fault.OUT_OF_LIMITS)


def _has_room(target: str, others: Sequence[Entry], there: Carried | None, poured: Measured) -> bool:
    """Tell whether a tank takes what is poured in; False where nobody said. Raises InputError where it does not."""
    most = most_of(others)
    level = level_now(others) if there is None else Value(there.known.volume_L, 0.0)
    if most is None or level is None:
        return False
    left = max(most.least - level.value, 0.0)
    if poured.value > left:
        given = f"{poured.text} would go in"
        accepted = line(
            "the tank of {target} holds at most {most:.6g L}, and takes {room:g L} more by the record",
            target=target,
            most=most.value,
            room=np.floor(100 * left) / 100,
        )
        raise InputError("volume", given, accepted, Fault.OUT_OF_LIMITS)
    return True


def _taken(litres: Measured, target: str) -> TakenOut:
    return TakenOut(volume=litres, why=ANOTHER_BATH, note=f"into {target}")


def _typed(value: Value, unit: str, kind: str) -> Measured:
    return Measured.of(value.value, unit, kind, standard_uncertainty=value.standard_uncertainty, digits=4)


def _in_grams(known: Known, name: str, litres: float, read_anew: bool) -> Value:
    """Return how much of a component is in so many litres of a bath [g], with the doubt of both.

    read_anew: the ± of what is known includes that of the level, which the grams do not have.
    """
    value, spread = known.of(name)
    level = known.volume_relative_uncertainty * value
    doubt = np.sqrt(max(spread**2 - level**2, 0.0)) if read_anew else np.hypot(spread, level)
    return Value(*(GRAMS[name] * litres * part for part in (value, float(doubt))))
