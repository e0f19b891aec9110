"""How much is in the tank by what was said last, the most it holds, and whether all of it was poured away."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from advisor.basis.fields import Fault, InputError
from advisor.basis.units import Measured, UnitError, parse
from advisor.check.known import Value
from advisor.readings.tools import LEVEL_READING
from advisor.record.balance import LEAST_LEFT
from advisor.record.correcting import corrects
from advisor.record.entries import (
    ANOTHER_BATH,
    AcidAdded,
    Check,
    Entry,
    LevelMark,
    Moved,
    PouredIn,
    Remake,
    TakenOut,
    WaterAdded,
)
from advisor.words.lines import line

MOST = "max_volume"  # how sheets and moves name the most that a tank holds
HIGHEST_RISE = 1.25  # times all that the record tells of, above which a level is a slip (judgement)
# An open tank loses some millimetres of water a day at most: less than a correction brings in (judgement).
NOTHING_DRIES = 2.0  # days after a check
AT_ONCE = datetime.timedelta(days=1)  # of a correction's last dose: water that goes in belongs to it (judgement)


def level_of(entries: Sequence[Entry], at_start: datetime.datetime | None = None) -> Value | None:
    """Return how much was in the tank last [L]; at_start: the first level from then on, else the last before it."""
    said = [(entry.when, level) for entry in entries if (level := level_said(entry)) is not None]
    if at_start is not None:
        later = [level for when, level in said if when >= at_start]
        said = [(at_start, later[0])] if later else said
    return said[-1][1] if said else None


def as_level(litres: float, standard_uncertainty: float | None = None) -> Measured:
    """Return a volume of the record [L] as a sheet takes it: one level reads alike wherever it stands."""
    return Measured.of(litres, "L", "volume", standard_uncertainty=standard_uncertainty, digits=4)


def level_said(entry: Entry) -> Value | None:
    """Return the level [L] that an entry tells, None where it tells none."""
    content = entry.content
    if isinstance(content, Check):
        return content.level
    if isinstance(content, LevelMark | Moved):
        volume = content.volume if isinstance(content, LevelMark) else content.usual_volume
        return Value(volume.value, volume.uncertainty_or(LEVEL_READING * volume.value))
    return None


def most_of(entries: Sequence[Entry]) -> Measured | None:
    """Return the most that the tank holds [L] by the last sheet or move that tells; None where none does."""
    return _of_tank(entries, MOST)


def _of_tank(entries: Sequence[Entry], name: str) -> Measured | None:
    for entry in reversed(entries):
        if isinstance(entry.content, Moved):
            found: Measured | None = getattr(entry.content, name)
            return found
        if isinstance(entry.content, Check) and (said := entry.content.bath().get(name)):
            try:
                return parse(str(said), "volume")
            except UnitError:  # written under other rules
                return None
    return None


def refuse_a_slip(content: LevelMark | WaterAdded | TakenOut, before: Sequence[Entry]) -> None:
    """Raise InputError for a level, or an amount in or out, far above all that could be in the tank by the record.

    A slipped comma, 42 L in a tank of 4.2, would have the next check find a tenth of the salts, and dose the rest. Who
    types 300 for water means millilitres. before: the entries before it.
    """
    most = _could_be(before)
    if most is None or content.volume.least <= HIGHEST_RISE * most:
        return
    text = content.volume.text
    number = text.removesuffix(" L")
    if isinstance(content, LevelMark):
        instead = "If it holds more, write down first what went in, or the tank that you moved it to"
    else:
        meant = "" if number == text else f"Did you mean {number} mL? "
        instead = f"{meant}If it was little by little, write down each of them; if the tank is larger, first its level"
    raise InputError(
        f"{content.label}: volume",
        f"you gave {text}",
        line("by the record at most {most:.3g L} are in that tank. {instead}", most=most, instead=instead),
        Fault.OUT_OF_LIMITS,
    )


def _could_be(entries: Sequence[Entry]) -> float | None:
    """Return the most that could be in the tank [L] since the bath was mixed anew; None where nothing tells."""
    mixed = max((number for number, entry in enumerate(entries) if isinstance(entry.content, Remake)), default=-1)
    since = entries[mixed + 1 :]
    told = [tank.most for name in ("usual_volume", MOST) if (tank := _of_tank(since, name))]
    if (level := level_of(since)) is not None:
        last = max(number for number, entry in enumerate(since) if level_said(entry) is not None)
        told.append(level.value + sum(max(raised_by(entry), 0.0) for entry in since[last + 1 :]))
    return max(told, default=None)


def is_emptied(entries: Sequence[Entry]) -> bool:
    """Tell whether all of a bath was poured into another one, and nothing came into its tank since."""
    for number, entry in reversed(list(enumerate(entries))):
        if isinstance(entry.content, PouredIn | Check | Remake | LevelMark):
            return False
        if _is_pour(entry):
            return _empties(entry, entries[:number])
    return False


def level_now(entries: Sequence[Entry]) -> Value | None:
    """Return the level said last [L] with what was taken out and what other bath came in after that.

    Water and acid that went in by the correction of a check raised it; else they only make up for what was taken out
    before, and beyond that for what dried away. Of a tank that was emptied, what came into it since.
    """
    for number, entry in reversed(list(enumerate(entries))):
        if isinstance(entry.content, Remake) or level_said(entry) is not None:
            break
        if _is_pour(entry) and _empties(entry, entries[:number]):
            return Value(max(sum(raised_by(later) for later in entries[number + 1 :]), 0.0), 0.0)
    level = level_of(entries)
    if level is None:
        return None
    return level._replace(value=max(level.value + _since_it_was_said(entries)[0], 0.0))


def dried_down_to(entries: Sequence[Entry]) -> Value | None:
    """Return the level [L] where it is not simply all that went in since one was said; else None.

    That is where water made up for what had dried away, and in another tank, of which the level is said by itself. What
    a correction brought in stands there, by the mass balance, until a level says otherwise.
    """
    said = [entry for entry in entries if level_said(entry) is not None]
    is_moved = bool(said) and isinstance(said[-1].content, Moved)
    return level_now(entries) if is_moved or _since_it_was_said(entries)[1] > 0 else None


def _since_it_was_said(entries: Sequence[Entry]) -> tuple[float, float]:
    """Return by how much the level was moved since it was said, and what made up for what had dried away [L]."""
    moved = dried = 0.0
    for entry, raises in zip(entries, went_in_by_a_correction(entries), strict=True):
        if isinstance(entry.content, Remake) or level_said(entry) is not None:
            moved = dried = 0.0
        elif isinstance(entry.content, TakenOut | PouredIn) or raises:
            moved += raised_by(entry)
        elif isinstance(entry.content, WaterAdded | AcidAdded):
            counts = min(raised_by(entry), max(-moved, 0.0))
            moved, dried = moved + counts, dried + raised_by(entry) - counts
    return moved, dried


def went_in_by_a_correction(entries: Sequence[Entry]) -> list[bool]:
    """Tell of each entry whether it is of the correction of a check, so that it raises or lowers the level.

    That is each dose that the check asked for, however late it went in, and all else that did soon after one of them,
    or after the check. Later water only makes up for what dried away.
    """
    told = []
    check, until = None, None
    is_begun = False
    for entry in entries:
        content = entry.content
        if isinstance(content, Check | Remake):
            check = content if isinstance(content, Check) else None
            until, is_begun = entry.when + datetime.timedelta(days=NOTHING_DRIES) if check else None, False
        elif check and until and corrects(check, content) and not (isinstance(content, WaterAdded) and is_begun):
            until, is_begun = max(until, entry.when + AT_ONCE), True
        told.append(until is not None and entry.when < until and raised_by(entry) != 0)
    return told


def _is_pour(entry: Entry) -> bool:
    return isinstance(entry.content, TakenOut) and entry.content.why == ANOTHER_BATH


def _empties(pour: Entry, before: Sequence[Entry]) -> bool:
    """Tell whether a pour into another bath took all that was in the tank: less than was said, where some had left."""
    level = level_of(before)
    if level is None:
        return False
    last = max(number for number, entry in enumerate(before) if level_said(entry) is not None)
    there = level.value + min(sum(raised_by(entry) for entry in before[last + 1 :]), 0.0)  # water in dries away
    return -raised_by(pour) >= (1 - LEAST_LEFT) * there


def raised_by(entry: Entry) -> float:
    """Return by how much an entry raised the level [L]."""
    content = entry.content
    if isinstance(content, TakenOut):
        return -content.volume.value
    return content.volume.value if isinstance(content, WaterAdded | AcidAdded | PouredIn) else 0.0
