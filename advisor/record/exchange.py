"""The record as a file: exported whole as JSON, imported again without loss, or written as a table for a spreadsheet.

An import is validated as a whole before anything is written, since the file may come from anywhere.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.basis import __version__
from advisor.basis.components import COMPONENTS, KEYS
from advisor.basis.fields import InputError, QuantityField, fields_of, show
from advisor.record.before import at_95_percent
from advisor.record.entries import CONTENTS, Check, Content, Entry, RunDone, Unreadable, Withdrawn
from advisor.record.entry_text import (
    bath_name,
    named_with_unit,
    plain_values,
    read_content,
    write_content,
    write_json,
)
from advisor.record.logbook import Logbook, read_time, time_text
from advisor.sheet import LONGEST_NAME
from advisor.words.lines import counted

FORMAT = "copper bath logbook"
FORMAT_VERSION = 3  # exact; in the first, ± was one standard uncertainty; the third has more kinds of entry
REASONS = 3  # told of a file that is refused (judgement)
NOTHING_IMPORTED = "nothing was imported"
# Characters that a page takes, about 20,000 checks (judgement); the command line takes any number.
LARGEST_IMPORT = 100_000_000
_CHOOSE = "choose a file that a logbook exported"


@dataclass(frozen=True)
class ImportPlan:
    """What an import would do. entries: those to be written, with the ids of the imported file."""

    new_baths: tuple[str, ...]
    entries: tuple[Entry, ...]
    already_there: int
    known_ids: Mapping[int, int]  # id in the file -> id here, of entries that are already there

    def summary(self) -> str:
        """Say what the import will do."""
        new, there = len(self.new_baths), self.already_there
        baths = f" and {counted(new, 'new bath')}: {', '.join(self.new_baths)}" if new else ""
        stay = "is here already and stays as it is" if there == 1 else "are here already and stay as they are"
        known = f" {there} {stay}." if there else ""
        adds = counted(len(self.entries), "entry", "entries")
        return f"Adds {adds}{baths}.{known} Nothing that is here is changed or removed."


def export(logbook: Logbook) -> str:
    """Return the whole record as JSON; `plan_import` and `carry_out` bring it back without loss.

    Entries that cannot be read stay behind: a copy of the database holds them.
    """
    raw = [_raw(entry) for entry in _sound_alone(logbook.entries())]
    baths = sorted(map(_sound_name, logbook.baths()))
    whole = {"format": FORMAT, "version": FORMAT_VERSION, "program": __version__, "baths": baths, "entries": raw}
    return json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _sound_name(bath: str) -> str:
    """Return a bath's name, or what an import takes in its place where another hand has made it none."""
    try:
        return bath_name(bath)
    except InputError:
        return bath_name(ascii(bath[: LONGEST_NAME // 12]))  # a letter becomes ten at most, between quotation marks


def _sound_alone(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries that can be read, by number; a correction of one that cannot corrects what that one did."""
    written: list[Entry] = []
    instead: dict[int | None, int | None] = {}
    for entry in sorted(entries, key=lambda entry: entry.id):
        corrects = instead.get(entry.corrects, entry.corrects)
        if isinstance(entry.content, Unreadable):
            instead[entry.id] = corrects
        elif isinstance(entry.content, Withdrawn) and corrects is None:  # what it took back is not written
            instead[entry.id] = None
        else:
            written.append(entry if corrects == entry.corrects else replace(entry, corrects=corrects))
    return written


def plan_import(logbook: Logbook, text: str, most: int = LARGEST_IMPORT) -> ImportPlan:
    """Validate an export as a whole and say what importing it would do; writes nothing.

    most: characters that it may have.

    Raises InputError that names the entry and what is wrong with it.
    """
    baths, entries = _read_export(text, most)
    here = {_identity(entry): entry.id for entry in _sound_alone(logbook.entries())}
    found = ((entry.id, here.get(_identity(entry))) for entry in entries)
    known = {number: there for number, there in found if there is not None}
    new = tuple(entry for entry in entries if entry.id not in known)
    new_baths = tuple(name for name in baths if name not in logbook.baths())
    return ImportPlan(new_baths, new, len(known), known)


def carry_out(logbook: Logbook, plan: ImportPlan) -> int:
    """Write what a plan says, except what another import has written since; return how many entries were written."""
    return logbook.append_all(plan.new_baths, plan.entries, plan.known_ids)


def _identity(entry: Entry) -> tuple[str, ...]:
    """Return what makes two entries the same one, whatever their number."""
    content, advice = write_content(entry.content)
    known = "" if advice is None else write_json(advice)
    return (entry.bath, time_text(entry.when), time_text(entry.written), entry.kind, content, known)


def _raw(entry: Entry) -> dict[str, object]:
    content, advice = write_content(entry.content)
    return {
        "id": entry.id,
        "bath": _sound_name(entry.bath),
        "kind": entry.kind,
        "when": time_text(entry.when),
        "written": time_text(entry.written),
        "program": entry.program,
        "corrects": entry.corrects,
        "content": content,
        "advice": advice,
    }


def _read_export(text: str, most: int) -> tuple[tuple[str, ...], tuple[Entry, ...]]:
    """Read and validate an export: names of baths, and entries in order of their number."""
    whole = _sound_json(text, most)
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise InputError("import", "it is no export of a logbook", _CHOOSE)
    version = whole.get("version")
    if type(version) is not int or not 1 <= version <= FORMAT_VERSION:
        raise InputError(
            "import: version", show(version), f"this program reads forms 1 to {FORMAT_VERSION}: update the program"
        )
    baths, raw = whole.get("baths"), whole.get("entries")
    if not isinstance(baths, list) or not isinstance(raw, list) or not all(isinstance(name, str) for name in baths):
        raise InputError("import", "it lacks its baths or its entries", _CHOOSE)
    entries = _read_all([_as_today(item, version) for item in raw])
    names = dict.fromkeys([*(bath_name(name) for name in baths), *(entry.bath for entry in entries)])
    return tuple(names), entries


def _read_all(raw: list[object]) -> tuple[Entry, ...]:
    """Read the entries of an export; raises InputError with the first reasons where one is not sound."""
    entries: dict[int, Entry] = {}
    wrong: list[InputError] = []
    refused: set[object] = set()
    for position, item in enumerate(raw, 1):
        try:
            entry = _read_raw(item, f"entry {position} of the file", entries)
            entries[entry.id] = entry
        except InputError as error:
            number, corrects = (item.get(key) for key in ("id", "corrects")) if isinstance(item, dict) else (None, None)
            if not isinstance(corrects, int) or corrects not in refused:  # else it is wrong only because that one is
                wrong.append(error)
            if isinstance(number, int):
                refused.add(number)
    if len(wrong) > 1:
        told = " / ".join(str(error) for error in wrong[:REASONS])
        more = f"; the first {REASONS}" if len(wrong) > REASONS else ""
        raise InputError("import", f"{len(wrong)} entries of the file are not sound{more}: {told}", NOTHING_IMPORTED)
    if wrong:
        raise InputError(wrong[0].place, wrong[0].given, f"{wrong[0].accepted}; {NOTHING_IMPORTED}")
    return tuple(entries.values())


def _sound_json(text: str, most: int) -> object:
    """Return what a text says in JSON; raises InputError where it is too long, or what no file could hold again."""
    if len(text) > most:
        accepted = f"a page takes at most {most / 1e6:.0f} MB, `python -m advisor import FILE` any size"
        raise InputError("import", f"it has {len(text) / 1e6:.1f} MB", accepted)
    try:
        whole = json.loads(text, parse_constant=_refuse_constant)
        text.encode("utf-8")
        write_json(whole).encode("utf-8")  # finds half characters, which no file can hold
    except InputError:
        raise
    except (ValueError, RecursionError) as error:  # json has nothing narrower for numbers that are too large
        raise InputError("import", f"it is not sound JSON ({error})", _CHOOSE) from error
    return whole


def _refuse_constant(constant: str) -> float:
    raise InputError("import", f"it holds the number {constant}", _CHOOSE)


def _as_today(item: object, version: int) -> object:
    """Return an entry of an export with its ± as 95 % half-widths; version: the form of the export."""
    if version > 1 or not isinstance(item, dict) or not isinstance(item.get("content"), str):
        return item
    return item | {"content": at_95_percent(item["content"])}


def _read_raw(item: object, place: str, earlier: Mapping[int, Entry]) -> Entry:
    """Read one entry of an export; a correction points to an entry that stands before it."""
    kinds = {"id": int, "bath": str, "kind": str, "when": str, "written": str, "program": str, "content": str}
    if not isinstance(item, dict):
        raise InputError(place, show(item), "an entry is a JSON object")
    for key, kind in kinds.items():
        if type(item.get(key)) is not kind:
            raise InputError(f"{place}: {key}", show(item.get(key)), "export the logbook again")
    corrects = item.get("corrects")
    if item["id"] in earlier:
        raise InputError(f"{place}: id", show(item["id"]), "two entries have this number")
    if corrects is not None and (type(corrects) is not int or corrects not in earlier):
        raise InputError(f"{place}: corrects", show(corrects), "no entry before it has this number")
    bath = bath_name(item["bath"])
    if corrects is not None and earlier[corrects].bath != bath:
        raise InputError(f"{place}: corrects", show(corrects), "that entry belongs to another bath")
    content = read_content(item["kind"], item["content"], item.get("advice"), place)
    when, written = (read_time(item[key], f"{place}: {key}") for key in ("when", "written"))
    return Entry(item["id"], bath, when, written, item["program"][:40], corrects, content)


# --- For a spreadsheet ----------------------------------------------------------------------------


def entries_as_csv(entries: Sequence[Entry]) -> str:
    """Return entries as CSV, one a row; a text that a spreadsheet would take for a formula gets an apostrophe in front.

    Each field of each kind has its column, with the unit in its name and beside it the standard uncertainty.
    """
    out = io.StringIO()
    table = csv.writer(out)
    columns = [*_START, *_field_columns(), "says"]
    places = {name: place for place, name in enumerate(columns)}
    table.writerow(columns)
    for entry in entries:
        times = [time_text(entry.when), time_text(entry.written)]
        start = [entry.id, entry.bath, *times, entry.kind, entry.corrects or ""]
        row = dict(zip(_START, start, strict=True)) | _cells(entry.content)
        row["says"] = str(entry.content.summary())
        cells: list[object] = [""] * len(columns)
        for name, cell in row.items():
            cells[places[name]] = _plain_cell(cell) if isinstance(cell, str) else cell
        table.writerow(cells)
    return out.getvalue()


_START = ("id", "bath", "when", "written", "kind", "corrects")
_DOUBT = "_standard_uncertainty"


def _field_columns() -> list[str]:
    """Return the columns of all fields of all kinds: numbers with their uncertainty first, then words."""
    known = [(name, field) for table in CONTENTS.values() for name, field in fields_of(table).items()]
    numbers = dict.fromkeys(named_with_unit(name, field) for name, field in known if isinstance(field, QuantityField))
    words = dict.fromkeys(name for name, field in known if not isinstance(field, QuantityField))
    return [column for name in numbers for column in (name, f"{name}{_DOUBT}")] + list(words)


def _cells(content: Check | Content) -> dict[str, object]:
    """Return what an entry says, by column."""
    said: dict[str, object] = {}
    if isinstance(content, Check):
        found = {KEYS[name]: content.value(name) for name in COMPONENTS}
        numbers: dict[str, object] = {key: value._asdict() for key, value in found.items() if value}
        numbers["volume_L"] = {"value": content.volume_L, "standard_uncertainty": None}
    else:
        numbers = plain_values(content)
        if isinstance(content, RunDone):
            numbers["charge_A_h"] = content.charged._asdict()  # also where current and time make it
    for name, value in numbers.items():
        if isinstance(value, dict):
            doubt = value["standard_uncertainty"]
            said |= {name: value["value"], f"{name}{_DOUBT}": "" if doubt is None else doubt}
        else:
            said[name] = value
    return said


def _plain_cell(text: str) -> str:
    """Disarm a cell; leading blanks and control characters do not hide a formula from a spreadsheet."""
    first = text.lstrip()[:1]
    return f"'{text}" if first in tuple("=+-@|%") or text[:1] in ("\t", "\r", "\n") else text
