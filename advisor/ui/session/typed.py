"""What of a sheet a person typed, and would miss: not what a tap makes again as fast, nor what a program filled in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from advisor.basis.fields import ChoiceField, ChoicesField, FlagField, asked_fields, fields_of
from advisor.bench.cards import READ
from advisor.readings import KINDS
from advisor.readings.origin import Origin
from advisor.sheet import Pack, Sheet

_TAPPED = ChoiceField | ChoicesField | FlagField


def typed(sheet: Mapping[str, Any]) -> set[tuple[str, str, str]]:
    """Return the name of the table, of the field, and what stands there of all that was typed into a raw sheet.

    Of a test that a plan began that is what was read at the bench; a reading out of the logbook has nothing of it.
    """
    return {
        (place, name, str(given))
        for place, table, part in _tables(sheet)
        for name, given in part.items()
        if not isinstance(fields_of(table)[name], _TAPPED)
    }


def _tables(sheet: Mapping[str, Any]) -> Iterator[tuple[str, type, Mapping[str, Any]]]:
    """Give each table of a raw sheet with its name and class."""
    yield from ((name, table, sheet[name]) for name, table in Sheet.TABLES.items() if name in sheet)
    stock = sheet.get("stock", {})
    yield from ((f"stock.{name}", table, stock[name]) for name, table in Sheet.STOCK.items() if name in stock)
    yield from (("shelf", Pack, pack) for pack in sheet.get("shelf", []))
    for reading in sheet.get("reading", []):
        kind = reading["kind"]
        if reading.get("origin") != Origin.LOGBOOK:
            read = READ.get(kind, asked_fields(KINDS[kind]))
            yield kind, KINDS[kind], {name: reading[name] for name in read if name in reading}
