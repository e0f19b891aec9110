"""Where a reading came from: typed, unless a program wrote it. A field with a closed list, never told by its words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum


class Origin(StrEnum):
    """Where a reading came from."""

    TYPED = "typed"
    LOGBOOK = "logbook"  # carried forward from the bath's own record
    PHOTOGRAPH = "photograph"


# What the note of a carried reading said, word for word, in sheets written before a reading had an origin.
_NOTE_BEFORE = re.compile(r"from the logbook: check of \d{4}-\d\d-\d\d and what was logged since")


def with_origin(reading: Mapping[str, object]) -> dict[str, object]:
    """Return a reading of a raw sheet with its origin added where an older sheet told it by its note alone."""
    old = "origin" not in reading and reading.get("kind") == "previous check"
    if old and _NOTE_BEFORE.fullmatch(str(reading.get("note"))):
        return {**reading, "origin": Origin.LOGBOOK.value}
    return dict(reading)
