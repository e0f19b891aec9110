"""What is due as a calendar file (iCalendar, RFC 5545), which every calendar of a phone or a computer can take in.

An event keeps its mark from one file to the next, so that taking in a newer file moves it instead of doubling it.
"""

from __future__ import annotations

import datetime
import hashlib
import unicodedata
from collections.abc import Iterator, Sequence

from advisor.record.due import Due

LONGEST_LINE = 75  # octets, without its end (RFC 5545, section 3.1, read)
END = "\r\n"
ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})  # section 3.3.11


def calendar_file(bath: str, tasks: Sequence[Due], now: datetime.datetime) -> str:
    """Return the calendar of what is due for a bath; now (aware): what was due before stands on this day."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//copper-bath-advisor//due//EN", "CALSCALE:GREGORIAN"]
    for task in tasks:
        lines += _event(bath, task, now)
    return "".join(_folded(each) + END for each in (*lines, "END:VCALENDAR"))


def _event(bath: str, task: Due, now: datetime.datetime) -> Iterator[str]:
    mark = hashlib.sha256(f"{bath}\n{task.task}\n{task.name}".encode()).hexdigest()[:32]
    yield "BEGIN:VEVENT"
    yield f"UID:{mark}@copper-bath-advisor"
    yield f"DTSTAMP:{_in_utc(now)}"
    when = max(task.when, now)
    if task.at_time:
        yield f"DTSTART:{_in_utc(when)}"
    else:
        yield f"DTSTART;VALUE=DATE:{when.astimezone():%Y%m%d}"
    yield f"SUMMARY:{_text(f'{bath}: {task.what}')}"
    yield f"DESCRIPTION:{_text(str(task.rule))}"
    yield "TRANSP:TRANSPARENT"
    if task.at_time:
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S")
        yield from (f"DESCRIPTION:{_text(str(task.what))}", "END:VALARM")
    yield "END:VEVENT"


def _in_utc(when: datetime.datetime) -> str:
    return f"{when.astimezone(datetime.UTC):%Y%m%dT%H%M%SZ}"


def _text(words: str) -> str:
    """Return words as a TEXT value; what cannot be printed is left out."""
    kept = "".join(letter for letter in words if letter == "\n" or unicodedata.category(letter) not in ("Cc", "Cs"))
    return kept.translate(ESCAPED)


def _folded(line: str) -> str:
    """Return a content line in pieces of at most 75 octets, each but the first after a blank; no letter is cut."""
    pieces, piece, size = [], "", 0
    for letter in line:
        octets = len(letter.encode("utf-8"))
        if size + octets > LONGEST_LINE:
            pieces.append(piece)
            piece, size = "", 1  # the blank
        piece, size = piece + letter, size + octets
    return f"{END} ".join([*pieces, piece])
