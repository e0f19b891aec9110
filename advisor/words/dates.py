"""Days as people say them, "14 March 2026"; files, exports and lists of the command line keep the order that sorts."""

from __future__ import annotations

import datetime

# Not strftime's, which follow the language of the computer.
FIRST_HALF = ("January", "February", "March", "April", "May", "June")
SECOND_HALF = ("July", "August", "September", "October", "November", "December")


def said(day: datetime.date) -> str:
    """Return a day (or the day of a time) in words."""
    return f"{day.day} {(*FIRST_HALF, *SECOND_HALF)[day.month - 1]} {day.year}"
