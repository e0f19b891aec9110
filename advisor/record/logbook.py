"""The record of what was measured and done, kept in one SQLite file in the person's own data folder.

Entries are only ever appended. Every operation opens its own short connection, so that the app's threads, two apps
and the command line can write at once, and a committed entry outlives a crash. What an entry says is in
`entries`; what follows from the record is in `carried`, `drift` and `forecast`. `check` never comes here.
"""

from __future__ import annotations

import csv
import datetime
import io
import json
import os
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from advisor.basis import __version__
from advisor.basis.fields import InputError, show
from advisor.record.entries import (
    COMPONENTS,
    Check,
    Content,
    Entry,
    bath_name,
    check_sheet_text,
    read_content,
    write_content,
    write_json,
)

FOLDER_VARIABLE = "ADVISOR_DATA_FOLDER"
FILE_NAME = "logbook.sqlite3"
FORMAT = "copper bath logbook"
FORMAT_VERSION = 1
WAIT = 10.0  # s for another writer to finish
YEARS = range(1900, 9000)  # of an entry: so that no zone leads beyond what a calendar holds
LARGEST_NUMBER = 1e5  # g/L, mg/L or L in an imported check: room for every bath and every slip of a program
LARGEST_IMPORT = 30_000_000  # characters, about 6000 checks; a page takes no larger file either

# Statements that lead from each schema version to the next. Never change a step that was once delivered: append one.
# A new kind of entry takes a step too, if an empty one, so that an older program says that it is too old.
MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        "CREATE TABLE bath (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT",
        """CREATE TABLE entry (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            bath INTEGER NOT NULL REFERENCES bath (id),
            kind TEXT NOT NULL,
            happened TEXT NOT NULL,  -- UTC, ISO 8601, so that texts sort like times
            written TEXT NOT NULL,
            program TEXT NOT NULL,
            corrects INTEGER REFERENCES entry (id),
            content TEXT NOT NULL,  -- TOML
            advice TEXT  -- JSON, of a check
        ) STRICT""",
        "CREATE INDEX entry_by_bath ON entry (bath, happened, id)",
        "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END",
        "CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END",
    ),
)
_CHOOSE = "choose a file that a logbook exported"
_COLUMNS = "entry.id, bath.name, kind, happened, written, program, corrects, content, advice"


class LogbookError(Exception):
    """The logbook cannot be used: what is the matter, and what to do about it."""

    def __init__(self, matter: str, remedy: str) -> None:
        super().__init__(f"{matter}. {remedy}.")
        self.matter, self.remedy = matter, remedy


class LogbookFull(LogbookError):
    """No room on the disk."""


class LogbookNotWritable(LogbookError):
    """The folder or the file cannot be written or opened."""


class LogbookBusy(LogbookError):
    """Another program held the logbook for too long."""


class LogbookTooNew(LogbookError):
    """A newer program has changed the logbook's form."""


class LogbookDamaged(LogbookError):
    """The file was no sound logbook; it has been set aside."""

    def __init__(self, matter: str, remedy: str, aside: Path) -> None:
        super().__init__(matter, remedy)
        self.aside = aside


class NoSuchEntry(LogbookError):
    """There is no such entry to correct."""


@dataclass(frozen=True)
class ImportPlan:
    """What an import would do. entries: those to be written, with the ids of the imported file."""

    new_baths: tuple[str, ...]
    entries: tuple[Entry, ...]
    already_there: int
    known_ids: Mapping[int, int]  # id in the file -> id here, of entries that are already there

    def summary(self) -> str:
        """Say what the import will do."""
        baths = f" and {len(self.new_baths)} new bath(s): {', '.join(self.new_baths)}" if self.new_baths else ""
        there = f" {self.already_there} are here already and stay as they are." if self.already_there else ""
        return f"Adds {len(self.entries)} entries{baths}.{there} Nothing that is here is changed or removed."


class Logbook:
    """The record. Without a path it lies in the person's data folder; opening it takes no set-up and no closing.

    Every method raises a LogbookError, with a message for the person, where the file cannot be used.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or data_folder() / FILE_NAME

    def baths(self) -> tuple[str, ...]:
        """Return the names of all baths in order of their last entry, the latest first."""
        if not self._is_there():
            return ()
        with self._connection() as connection:
            rows = connection.execute(
                "SELECT name FROM bath LEFT JOIN entry ON entry.bath = bath.id GROUP BY bath.id "
                "ORDER BY max(entry.id) DESC, bath.id"
            )
            return tuple(name for (name,) in rows)

    def entries(self, bath: str | None = None) -> tuple[Entry, ...]:
        """Return every entry of a bath (or of all) in order of time; `entries.standing` tells which of them count."""
        if bath is None:
            return self._select("", ())
        return self._select("WHERE bath.name = ?", (bath_name(bath),))

    def record(self, bath: str, content: Check | Content, when: datetime.datetime | None = None) -> Entry:
        """Append an entry; makes the bath if it is new. `when` without a zone is local time; None is now.

        Raises InputError for a name or a time that cannot be kept.
        """
        return self._append(_new_entry(bath_name(bath), content, when, None))

    def record_check(self, sheet: Any, advice: Any, when: datetime.datetime | None = None) -> Entry:
        """Append a check: the `Sheet` and the `Advice` computed from it, at the sheet's date unless `when` is given.

        Raises InputError where the sheet names no bath.
        """
        from advisor.sheet import write_sheet

        check = Check(write_sheet(sheet), json.loads(write_json(advice.to_dict())))
        return self.record(sheet.bath.name, check, when or _moment(sheet.bath.date))

    def correct(self, entry_id: int, content: Check | Content, when: datetime.datetime | None = None) -> Entry:
        """Append a correction of an entry, at that entry's time unless `when` says otherwise.

        A `Withdrawn` takes the entry back. Raises NoSuchEntry.
        """
        found = self._select("WHERE entry.id = ?", (entry_id,))
        if not found:
            raise NoSuchEntry(f"There is no entry {entry_id} in the logbook", "Look up its number in the table")
        return self._append(_new_entry(found[0].bath, content, when or found[0].when, entry_id))

    def backup(self, path: Path) -> None:
        """Copy the whole logbook to a new file, while it may be in use; raises LogbookNotWritable."""
        if path.exists():
            raise LogbookNotWritable(f"{path} is there already", "Choose a new name: no copy is overwritten")
        try:
            with self._connection() as connection, _plain_errors(path), closing(sqlite3.connect(path)) as copy:
                connection.backup(copy)
        except LogbookError:
            path.unlink(missing_ok=True)  # half a copy must not pass for one
            raise

    # --- Export and import --------------------------------------------------------------------------

    def export(self) -> str:
        """Return the whole record as JSON; `plan_import` and `carry_out` bring it back without loss."""
        raw = [_raw(entry) for entry in sorted(self.entries(), key=lambda entry: entry.id)]
        baths = sorted(self.baths())
        whole = {"format": FORMAT, "version": FORMAT_VERSION, "program": __version__, "baths": baths, "entries": raw}
        return json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n"

    def export_csv(self) -> str:
        """Return the record as a table for a spreadsheet: no cell of it can run as a formula."""
        return entries_as_csv(self.entries())

    def plan_import(self, text: str) -> ImportPlan:
        """Validate an export as a whole and say what importing it would do; writes nothing.

        Raises InputError that names the entry and what is wrong with it.
        """
        baths, entries = _read_export(text)
        here = {_identity(entry): entry.id for entry in self.entries()}
        known = {entry.id: here[_identity(entry)] for entry in entries if _identity(entry) in here}
        new = tuple(entry for entry in entries if entry.id not in known)
        new_baths = tuple(name for name in baths if name not in self.baths())
        return ImportPlan(new_baths, new, len(known), known)

    def carry_out(self, plan: ImportPlan) -> int:
        """Write what a plan says, all or nothing, and return how many entries that were."""
        ids = dict(plan.known_ids)
        with self._connection(write=True) as connection:
            for name in plan.new_baths:
                _bath_id(connection, name)
            for entry in plan.entries:
                corrects = None if entry.corrects is None else ids[entry.corrects]
                ids[entry.id] = _insert(connection, replace(entry, corrects=corrects))
        return len(plan.entries)

    # --- The file -----------------------------------------------------------------------------------

    def _is_there(self) -> bool:
        with _plain_errors(self.path):
            return self.path.exists()

    def _select(self, where: str, values: tuple[str | int, ...]) -> tuple[Entry, ...]:
        if not self._is_there():
            return ()
        with self._connection() as connection:
            rows = connection.execute(
                f"SELECT {_COLUMNS} FROM entry JOIN bath ON bath.id = entry.bath {where} ORDER BY happened, entry.id",
                values,
            ).fetchall()
        return tuple(_entry(row) for row in rows)

    def _append(self, entry: Entry) -> Entry:
        with self._connection(write=True) as connection:
            return replace(entry, id=_insert(connection, entry))

    @contextmanager
    def _connection(self, write: bool = False) -> Iterator[sqlite3.Connection]:
        """Open the file, bring it up to date, and run one transaction; a damaged file is set aside."""
        try:
            with _plain_errors(self.path):
                if write:
                    self.path.parent.mkdir(parents=True, exist_ok=True)
                with closing(sqlite3.connect(self.path, timeout=WAIT, isolation_level=None)) as connection:
                    _prepare(connection)
                    connection.execute("BEGIN IMMEDIATE" if write else "BEGIN")
                    yield connection
                    connection.execute("COMMIT")
        except _Damage as damage:
            with _plain_errors(self.path):
                aside = _set_aside(self.path)
            raise aside from damage


def data_folder() -> Path:
    """Return the folder of the person's own data; the environment variable ADVISOR_DATA_FOLDER moves it."""
    moved = os.environ.get(FOLDER_VARIABLE)
    if moved:
        return Path(moved)
    import platformdirs

    return platformdirs.user_data_path("copper-bath-advisor", appauthor=False)


def _prepare(connection: sqlite3.Connection) -> None:
    """Set what every connection needs, and bring an older file up to this program's form."""
    connection.execute("PRAGMA foreign_keys = ON")
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version == len(MIGRATIONS):
        return
    if version == 0:
        connection.execute("PRAGMA journal_mode = WAL")  # stays with the file
    connection.execute("BEGIN IMMEDIATE")
    # Read again: another program may have brought it up to date while this one waited.
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > len(MIGRATIONS):
        raise LogbookTooNew(
            f"The logbook was written by a newer version of this program (form {version}; this one knows "
            f"{len(MIGRATIONS)})",
            "Update the program; nothing was changed",
        )
    for statement in (statement for step in MIGRATIONS[version:] for statement in step):
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
    connection.execute("COMMIT")


class _Damage(Exception):
    """SQLite says that the file is no sound database."""


@contextmanager
def _plain_errors(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system raise into what a person can act on."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF  # the rest of the code is detail
        if code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
            raise _Damage(str(error)) from error
        raise _plain(code, path, str(error)) from error
    except OSError as error:
        raise _plain(sqlite3.SQLITE_CANTOPEN, path, error.strerror or str(error)) from error


def _plain(code: int, path: Path, detail: str) -> LogbookError:
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return LogbookFull(
            f"The disk took no more ({detail}); nothing was recorded", f"Make room on the disk that holds {path.parent}"
        )
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogbookBusy(f"Another program has been using {path} for {WAIT:.0f} s", "Close it and try again")
    return LogbookNotWritable(
        f"The logbook {path} cannot be opened or written ({detail}); nothing was recorded",
        f"Allow writing there, or name another folder in the environment variable {FOLDER_VARIABLE}",
    )


def _set_aside(path: Path) -> LogbookDamaged:
    """Rename a damaged file, with what belongs to it, to a name that is free; return the error that tells of it."""
    stamp = datetime.datetime.now().strftime("%Y-%m-%d-%H%M%S-%f")
    aside = path.with_name(f"{path.stem}-damaged-{stamp}{path.suffix}")
    for part in ("", "-wal", "-shm"):
        source = path.with_name(path.name + part)
        if source.exists():
            source.rename(aside.with_name(aside.name + part))
    return LogbookDamaged(
        f"The logbook {path} is damaged. It was put aside as {aside.name}; nothing was deleted",
        "The next entry begins a new logbook; import your last export, or put your last backup in its place",
        aside,
    )


# --- Between entries and rows ---------------------------------------------------------------------


def _moment(date: datetime.date | None) -> datetime.datetime | None:
    """Return noon of a sheet's date; None (now) where it has none or it is today, so that it sorts among today's."""
    if date is None or date == datetime.date.today():
        return None
    return datetime.datetime.combine(date, datetime.time(12))


def _new_entry(bath: str, content: Check | Content, when: datetime.datetime | None, corrects: int | None) -> Entry:
    now = datetime.datetime.now(datetime.UTC)
    if when is not None and when.year not in YEARS:
        raise InputError("bath: date", show(when.date().isoformat()), f"accepted are {YEARS.start} to {YEARS.stop - 1}")
    happened = (when or now).astimezone(datetime.UTC)
    return Entry(0, bath, happened, now, __version__, corrects, content)


def _entry(row: tuple[Any, ...]) -> Entry:
    number, bath, kind, happened, written, program, corrects, content, advice = row
    read = read_content(kind, content, None if advice is None else json.loads(advice), f"entry {number}")
    when, entered = (datetime.datetime.fromisoformat(text) for text in (happened, written))
    return Entry(number, bath, when, entered, program, corrects, read)


def _insert(connection: sqlite3.Connection, entry: Entry) -> int:
    content, advice = write_content(entry.content)
    row = (
        _bath_id(connection, entry.bath),
        entry.kind,
        _time_text(entry.when),
        _time_text(entry.written),
        entry.program,
        entry.corrects,
        content,
        None if advice is None else write_json(advice),
    )
    cursor = connection.execute(
        "INSERT INTO entry (bath, kind, happened, written, program, corrects, content, advice) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        row,
    )
    assert cursor.lastrowid is not None
    return cursor.lastrowid


def _bath_id(connection: sqlite3.Connection, name: str) -> int:
    connection.execute("INSERT INTO bath (name) VALUES (?) ON CONFLICT DO NOTHING", (name,))
    return int(connection.execute("SELECT id FROM bath WHERE name = ?", (name,)).fetchone()[0])


def _time_text(when: datetime.datetime) -> str:
    return when.isoformat(timespec="microseconds")


def _identity(entry: Entry) -> tuple[str, ...]:
    """Return what makes two entries the same one, whatever their number."""
    content, advice = write_content(entry.content)
    known = "" if advice is None else write_json(advice)
    return (entry.bath, _time_text(entry.when), _time_text(entry.written), entry.kind, content, known)


# --- Between entries and a file -------------------------------------------------------------------


def _raw(entry: Entry) -> dict[str, Any]:
    content, advice = write_content(entry.content)
    return {
        "id": entry.id,
        "bath": entry.bath,
        "kind": entry.kind,
        "when": _time_text(entry.when),
        "written": _time_text(entry.written),
        "program": entry.program,
        "corrects": entry.corrects,
        "content": content,
        "advice": advice,
    }


def _read_export(text: str) -> tuple[tuple[str, ...], tuple[Entry, ...]]:
    """Read and validate an export: names of baths, and entries in order of their number."""
    if len(text) > LARGEST_IMPORT:
        accepted = f"accepted are at most {LARGEST_IMPORT / 1e6:.0f} MB"
        raise InputError("import", f"it has {len(text) / 1e6:.1f} MB", accepted)
    try:
        whole = json.loads(text, parse_constant=_refuse_constant)
        text.encode("utf-8")
        write_json(whole).encode("utf-8")  # finds half characters, which no file can hold
    except InputError:
        raise
    except (ValueError, RecursionError) as error:  # json has nothing narrower for numbers that are too large
        raise InputError("import", f"it is not sound JSON ({error})", _CHOOSE) from error
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise InputError("import", "it is no export of a logbook", _CHOOSE)
    if whole.get("version") != FORMAT_VERSION:
        given = f"its form is {show(whole.get('version'))}"
        raise InputError("import", given, f"this program reads form {FORMAT_VERSION}: update the program")
    baths, raw = whole.get("baths"), whole.get("entries")
    if not isinstance(baths, list) or not isinstance(raw, list) or not all(isinstance(name, str) for name in baths):
        raise InputError("import", "it lacks its baths or its entries", _CHOOSE)
    entries: dict[int, Entry] = {}
    for position, item in enumerate(raw, 1):
        entry = _read_raw(item, f"entry {position} of the file", entries)
        entries[entry.id] = entry
    names = dict.fromkeys([*(bath_name(name) for name in baths), *(entry.bath for entry in entries.values())])
    return tuple(names), tuple(entries.values())


def _refuse_constant(constant: str) -> float:
    raise InputError("import", f"it holds the number {constant}", _CHOOSE)


def _read_raw(item: Any, place: str, earlier: Mapping[int, Entry]) -> Entry:
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
    if isinstance(content, Check):
        check_sheet_text(content.sheet, place)
        _check_numbers(content, place)
    when, written = (_read_time(item[key], f"{place}: {key}") for key in ("when", "written"))
    return Entry(item["id"], bath, when, written, item["program"][:40], corrects, content)


def _check_numbers(check: Check, place: str) -> None:
    """Raise InputError where a check says of a bath what can be said of none."""
    found = [value for value in map(check.value, COMPONENTS) if value]
    sound = all(
        0 <= number <= LARGEST_NUMBER for value in found for number in (value.value, value.standard_uncertainty)
    )
    if not sound or check.volume_L > LARGEST_NUMBER:
        raise InputError(f"{place}: advice", "a number in it is beyond any bath", "export the logbook again")


def _read_time(text: str, place: str) -> datetime.datetime:
    try:
        when = datetime.datetime.fromisoformat(text)
    except ValueError as error:  # fromisoformat raises nothing narrower
        raise InputError(place, show(text), "accepted is a time such as 2026-03-14T12:00:00+00:00") from error
    if when.tzinfo is None or when.year not in YEARS:
        raise InputError(place, show(text), f"accepted is a time with its zone, of {YEARS.start} to {YEARS.stop - 1}")
    return when.astimezone(datetime.UTC)


def entries_as_csv(entries: tuple[Entry, ...]) -> str:
    """Return entries as CSV; a text that a spreadsheet would take for a formula gets an apostrophe in front."""
    numbers = [part for key in COMPONENTS.values() for part in (key, f"{key}_standard_uncertainty")]
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(["id", "bath", "when", "written", "kind", "corrects", "volume_L", *numbers, "says", "note"])
    for entry in entries:
        content = entry.content
        found = [content.value(name) if isinstance(content, Check) else None for name in COMPONENTS]
        cells = [part for value in found for part in ((value.value, value.standard_uncertainty) if value else ("", ""))]
        volume = content.volume_L if isinstance(content, Check) else ""
        texts = [content.summary(), getattr(content, "note", "") or ""]
        start = [entry.id, _plain_cell(entry.bath), _time_text(entry.when), _time_text(entry.written), entry.kind]
        table.writerow([*start, entry.corrects or "", volume, *cells, *map(_plain_cell, texts)])
    return out.getvalue()


def _plain_cell(text: str) -> str:
    """Disarm a cell; leading blanks and control characters do not hide a formula from a spreadsheet."""
    first = text.lstrip()[:1]
    return f"'{text}" if first in tuple("=+-@|%") or text[:1] in ("\t", "\r", "\n") else text
