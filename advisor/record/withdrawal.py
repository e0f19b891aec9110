"""Taking an entry back; where bath was poured from one tank into another, both halves, in the records of both."""

from __future__ import annotations

from advisor.record.entries import ANOTHER_BATH, Check, Entry, PouredIn, TakenOut, Withdrawn
from advisor.record.logbook import Logbook

ONE_HALF = (
    "This is one half of a pour; entry {number} of {bath} is the other. If you withdraw it, both count no more. If you "
    "change it, the other stays as it is: change that too."
)


def withdraw(logbook: Logbook, number: int) -> tuple[Entry, ...]:
    """Take an entry back, and with it the other half of a pour; return both. Raises LogbookError."""
    with logbook.at_one_time(write=True) as book:
        entry = book.entry(number)
        other = other_half(book, entry)
        both = (entry,) if other is None else (entry, other)
        for each in both:
            book.correct(each.id, Withdrawn())
        return both


def said_of(withdrawn: tuple[Entry, ...]) -> str:
    """Say what counts no more."""
    first, *others = withdrawn
    said = f"Entry {first.id} of {first.bath} no longer counts"
    for other in others:
        said += f", nor does entry {other.id} of {other.bath}: they are the two halves of one pour"
    return f"{said}."


def other_half(logbook: Logbook, entry: Entry) -> Entry | None:
    """Return what was written in another record when bath was poured; None where it was not, or that counts no more."""
    if not isinstance(entry.content, TakenOut | PouredIn | Check):
        return None
    entry = logbook.with_first(entry)
    for found in logbook.of_the_moment(entry.when):
        other = logbook.with_first(found)
        is_pair = _is_pair(entry, other) or _is_pair(other, entry)
        if other.bath != entry.bath and is_pair and other.id not in logbook.not_counting(other.bath):
            return found
    return None


def _is_pair(left: Entry, came: Entry) -> bool:
    """Tell whether one entry says that bath left a tank, and the other that it came into another.

    The check of a bath that was begun by it was written right after; corrections name the first entry.
    """
    if not isinstance(left.content, TakenOut) or left.content.why != ANOTHER_BATH:
        return False
    if isinstance(came.content, PouredIn):
        return came.content.source == left.bath
    return isinstance(came.content, Check) and (came.corrects or came.id) == (left.corrects or left.id) + 1
