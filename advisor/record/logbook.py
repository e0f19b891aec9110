"""The record of what was measured and done, kept in one SQLite file in the person's own data folder.

Entries are only ever appended. Every operation opens its own short connection, so that the app's threads, two apps
and the command line can write at once, and a committed entry outlives a crash. What an entry says is in
`entries`, how it goes from one logbook to another in `exchange`; what follows from the record is in `carried`, `drift`
and `forecast`. `check` never comes here.
"""

from __future__ import annotations

import datetime
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

from advisor.basis import __version__
from advisor.basis.fields import InputError, show
from advisor.record.before import at_95_percent
from advisor.record.entries import Check, Content, Entry
from advisor.record.entry_text import bath_name, read_content, write_content, write_json
from advisor.sheet import Sheet, write_sheet
from advisor.words.sections import Answer

FOLDER_VARIABLE = "ADVISOR_DATA_FOLDER"
FILE_NAME = "logbook.sqlite3"
WAIT = 10.0  # s for another writer to finish
YEARS = range(1900, 9000)  # of an entry: so that no zone leads beyond what a calendar holds

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
    (  # ± became the half-width of a 95 % interval; it was one standard uncertainty
        "DROP TRIGGER entry_is_never_changed",
        "UPDATE entry SET content = at_95_percent(content)",
        "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END",
    ),
    (),  # kinds of entry: filtered, anodes wiped and weighed, rules of additives, reminders, notes, moved, poured in
)
_COLUMNS = "entry.id, bath.name, kind, happened, written, program, corrects, content, advice"


_Row = tuple[int, str, str, str, str, str, int | None, str, str | None]  # of those columns


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

    def record_together(
        self, parts: Iterable[tuple[str, Check | Content]], when: datetime.datetime | None = None
    ) -> tuple[Entry, ...]:
        """Append entries of several baths of one time, all or none: what leaves one tank comes into another."""
        entries = [_new_entry(bath_name(bath), content, when, None) for bath, content in parts]
        with self._connection(write=True) as connection:
            return tuple(replace(entry, id=_insert(connection, entry)) for entry in entries)

    def record_check(self, sheet: Sheet, advice: Answer, when: datetime.datetime | None = None) -> Entry:
        """Append a check: the `Sheet` and the `Advice` computed from it, at the sheet's date unless `when` is given.

        Raises InputError where the sheet names no bath.
        """
        check = Check(write_sheet(sheet), json.loads(write_json(advice.to_dict())))
        return self.record(sheet.bath.name, check, when or _moment(sheet.bath.date))

    def correct(self, entry_id: int, content: Check | Content, when: datetime.datetime | None = None) -> Entry:
        """Append a correction of an entry, at that entry's time unless `when` says otherwise.

        A `Withdrawn` takes the entry back. Raises NoSuchEntry.
        """
        old = self._select("WHERE entry.id = ?", (entry_id,))
        if not old:
            raise NoSuchEntry(f"There is no entry {entry_id} in the logbook", "Look up its number in the table")
        return self._append(_new_entry(old[0].bath, content, when or old[0].when, entry_id))

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

    def append_all(self, baths: Iterable[str], entries: Iterable[Entry], known_ids: Mapping[int, int]) -> None:
        """Append entries of another record with new ids, all or none; makes the baths that are new.

        known_ids: id there -> id here, of entries that are here already, for the corrections that point to them.
        """
        ids = dict(known_ids)
        with self._connection(write=True) as connection:
            for name in baths:
                _bath_id(connection, name)
            for entry in entries:
                corrects = None if entry.corrects is None else ids[entry.corrects]
                ids[entry.id] = _insert(connection, replace(entry, corrects=corrects))

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
    """Return the folder of the person's own data; the environment variable ADVISOR_DATA_FOLDER moves it.

    For a user without a home, such as a service's, it lies in the folder that the program was started in.
    """
    moved = os.environ.get(FOLDER_VARIABLE)
    if moved:
        return Path(moved)
    import platformdirs

    name = "copper-bath-advisor"
    try:
        folder = platformdirs.user_data_path(name, appauthor=False)
    except RuntimeError:  # newer versions refuse where no home is known; older ones return "~/..."
        return Path.cwd() / name
    return folder if folder.is_absolute() else Path.cwd() / name


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
    connection.create_function("at_95_percent", 1, at_95_percent, deterministic=True)
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
            f"The disk is full or failing ({detail}); nothing was recorded",
            f"Make room on the disk that holds {path.parent}",
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
        raise InputError("bath: date", show(when.date().isoformat()), f"the year must be {YEARS.start} to {YEARS[-1]}")
    happened = (when or now).astimezone(datetime.UTC)
    return Entry(0, bath, happened, now, __version__, corrects, content)


def _entry(row: _Row) -> Entry:
    number, bath, kind, happened, written, program, corrects, content, advice = row
    read = read_content(kind, content, None if advice is None else json.loads(advice), f"entry {number}")
    when, entered = (datetime.datetime.fromisoformat(text) for text in (happened, written))
    return Entry(number, bath, when, entered, program, corrects, read)


def _insert(connection: sqlite3.Connection, entry: Entry) -> int:
    content, advice = write_content(entry.content)
    row = (
        _bath_id(connection, entry.bath),
        entry.kind,
        time_text(entry.when),
        time_text(entry.written),
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


def time_text(when: datetime.datetime) -> str:
    """Return a time as the record keeps it: texts sort like times."""
    return when.isoformat(timespec="microseconds")
