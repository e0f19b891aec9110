"""What of a sheet a person typed, and would miss: not what a tap makes again as fast, nor what a program filled in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from advisor.basis.fields import ChoiceField, ChoicesField, FlagField, asked_fields, fields_of
from advisor.bench.cards import READ
from advisor.readings import KINDS
from advisor.readings.origin import Origin
from advisor.sheet import Pack, Sheet

_TAPPED = ChoiceField | ChoicesField | FlagField


def typed(sheet: Mapping[str, Any], plans: Sequence[str] = ()) -> list[tuple[str, dict[str, Any]]]:
    """Return each table of a raw sheet in which something was typed: its name, and what was.

    Of a reading that is all that stands in it, since a tap there, such as another end point, changes what was read.
    plans: texts, empty for readings that no plan began: of one that a plan began only what was read counts as typed.
    """
    parts = [(place, _by_hand(table, part, part)) for place, table, part in _tables(sheet)]
    readings = sheet.get("reading", [])
    for reading, plan in zip(readings, [*plans, *[""] * len(readings)], strict=False):
        kind, form = reading["kind"], KINDS[reading["kind"]]
        asked = READ.get(kind, ()) if plan else asked_fields(form)
        if reading.get("origin") != Origin.LOGBOOK and _by_hand(form, reading, asked):
            parts.append((kind, dict(reading)))
    return [(place, part) for place, part in parts if part]


def _by_hand(table: type, part: Mapping[str, Any], asked: Iterable[str]) -> dict[str, Any]:
    """Return what stands in a table of these fields and is no tap."""
    known = fields_of(table)
    return {name: part[name] for name in asked if name in part and not isinstance(known[name], _TAPPED)}


def _tables(sheet: Mapping[str, Any]) -> Iterator[tuple[str, type, Mapping[str, Any]]]:
    """Give each table of a raw sheet but its readings with its name and class."""
    yield from ((name, table, sheet[name]) for name, table in Sheet.TABLES.items() if name in sheet)
    stock = sheet.get("stock", {})
    yield from ((f"stock.{name}", table, stock[name]) for name, table in Sheet.STOCK.items() if name in stock)
    yield from (("shelf", Pack, pack) for pack in sheet.get("shelf", []))
