"""A check of the record estimated again from its sheet: by its own readings alone, or for the sources of its errors."""

from __future__ import annotations

from functools import lru_cache

from advisor.basis.fields import InputError
from advisor.check.estimate import Estimate, estimate_from
from advisor.readings.previous_check import PreviousCheck
from advisor.sheet import parse_sheet

KEPT = 256  # estimates at hand, so that a page drawn again need not make them again (judgement)


@lru_cache(maxsize=KEPT)
def estimated_again(sheet: str, alone: bool) -> Estimate | None:
    """Return what a sheet (TOML) tells of its bath; None where it has no readings or was written under other rules.

    alone: without what had been carried forward into it.
    """
    try:
        read = parse_sheet(sheet.encode("utf-8"))
    except InputError:
        return None
    readings = [reading for reading in read.readings if not (alone and isinstance(reading, PreviousCheck))]
    return estimate_from(read, readings) if readings and not read.bath.condition else None
