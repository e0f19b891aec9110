"""The record of what was measured and done, kept in one SQLite file in the person's own data folder.

Entries are only ever appended. Every operation opens its own short connection, so that the app's threads, two apps
and the command line can write at once, and a committed entry outlives a crash. What an entry says is in
`entries`, how it goes from one logbook to another in `exchange`; what follows from the record is in `carried`, `drift`
and `forecast`.
"""

from __future__ import annotations

import datetime
import json
import sqlite3
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path
from types import NoneType
from typing import Any, TypeVar

from advisor.basis import __version__
from advisor.basis.fields import YEARS, InputError, refuse_a_day_ahead, refuse_year, show
from advisor.basis.places import FOLDER_VARIABLE, logbook_file
from advisor.examples import MARK
from advisor.record.before import at_95_percent
from advisor.record.entries import (
    AnodeChange,
    Check,
    Content,
    Entry,
    Moved,
    Remake,
    Unreadable,
    Withdrawn,
    first_of,
    naming_the_first,
    replaced,
)
from advisor.record.entry_text import bath_name, read_content, write_content, write_json
from advisor.sheet import Sheet, write_sheet
from advisor.words.sections import Answer

WAIT = 10.0  # s for another writer to finish (judgement)
AT_HAND = 4096  # entries of which what was read stays at hand: rows never change
LONG_AGO = datetime.datetime(YEARS.start, 1, 1, tzinfo=datetime.UTC)  # of an entry whose own times cannot be read

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
    (  # so that the checks of a bath and what was corrected are found without reading all
        "CREATE INDEX entry_by_kind ON entry (bath, kind, happened, id)",
        "CREATE INDEX entry_by_correction ON entry (bath, id, corrects, kind) WHERE corrects IS NOT NULL",
    ),
    (),  # kinds of entry: filtered, anodes wiped and weighed, rules of additives, reminders, notes, moved, poured in
)
_COLUMNS = "entry.id, bath.name, kind, happened, written, program, corrects, content, advice"
_IN_ORDER = "ORDER BY happened, entry.id"
_OF_KINDS_IN_ORDER = "ORDER BY +happened, entry.id"  # the plus: else SQLite reads all kinds, to save sorting a few
_WRITTEN = ("bath", "kind", "happened", "written", "program", "corrects", "content", "advice")
_NO_CHECK_WITHOUT = "(kind != ? OR content LIKE ?)"  # a check's sheet holds a word
_SAME = f"SELECT id FROM entry WHERE {' AND '.join(f'{column} IS ?' for column in _WRITTEN)}"


Kind = TypeVar("Kind", bound=Content)
_Row = tuple[Any, ...]  # of those columns
_NUMBERS = ("entry.id", "corrects")
# The types that a row has; in tables that were rebuilt without STRICT it may have any.
_SOUND = {
    (int, str, str, str, str, str, corrects, str, advice) for corrects in (int, NoneType) for advice in (str, NoneType)
}


class LogbookError(Exception):
    """The logbook cannot be used: what is the matter, and what to do about it."""

    def __init__(self, matter: str, remedy: str) -> None:
        super().__init__(f"{matter}. {remedy}.")
        self.matter, self.remedy = matter, remedy


class Logbook:
    """The record. Without a path it lies in the person's data folder; opening it takes no set-up and no closing.

    Every method raises a LogbookError, with a message for the person, where the file cannot be used.

    held: the connection of a transaction that is under way, see `at_one_time`.
    """

    def __init__(self, path: Path | None = None, held: sqlite3.Connection | None = None) -> None:
        self.path = path or logbook_file()
        self._held = held

    @contextmanager
    def at_one_time(self, write: bool = False) -> Iterator[Logbook]:
        """Give a logbook through which all is of one moment, as if nobody else wrote meanwhile.

        write: what is written through it is kept once all went well, and nothing of it else; other writers wait.
        """
        if self._held is not None or not (write or self._is_there()):
            yield self
            return
        with self._connection(write) as connection:
            yield Logbook(self.path, connection)

    def baths(self) -> tuple[str, ...]:
        """Return the names of the baths of which any entry counts, in order of their last entry, the latest first."""
        if not self._is_there():
            return ()
        with self.at_one_time() as now:
            rows = now._rows(
                "SELECT id, name, EXISTS (SELECT 1 FROM entry WHERE bath = bath.id AND kind = ?) FROM bath "
                "WHERE typeof(name) = 'text' AND EXISTS (SELECT 1 FROM entry WHERE bath = bath.id)",
                (Withdrawn.kind,),
            )
            left = {number: name for number, name, gone in rows if not gone or now._counts(name)}
            return tuple(now._the_latest_first(left))

    def named(self, bath: str) -> str:
        """Return a bath's name as the file has it: as names are kept, or as another hand has left it there.

        Raises InputError for what is no name, and stands in no file either.
        """
        with suppress(UnicodeEncodeError):  # of a name that is no UTF-8, which no file can hold
            if self._rows("SELECT 1 FROM bath WHERE name = ?", (bath,)):
                return bath
        return bath_name(bath)

    def _counts(self, name: str) -> bool:
        """Tell whether any entry of a bath counts."""
        return len(self.not_counting(name)) < self.count(name)

    def _the_latest_first(self, left: dict[int, str]) -> Iterator[str]:
        """Yield the names of baths (by number), in order of their last entry: most are met among the newest few."""
        with self._connection() as connection:
            numbers = connection.execute("SELECT bath FROM entry ORDER BY id DESC")
            while left and (row := numbers.fetchone()):
                if row[0] in left:
                    yield left.pop(row[0])
            yield from left.values()  # of which no entry names the bath by a number, in a table without STRICT

    def entries(self, bath: str | None = None) -> tuple[Entry, ...]:
        """Return every entry of a bath (or of all) in order of time; `entries.standing` tells which of them count.

        One that cannot be read comes as `Unreadable`, so that the others can be.
        """
        if bath is None:
            return self._select("", ())
        return self._select("WHERE bath.name = ?", (self.named(bath),))

    def counting(
        self, bath: str, since: datetime.datetime | None = None, kinds: Sequence[str] = ()
    ) -> tuple[Entry, ...]:
        """Return the entries of a bath that count, and those that cannot be read, in order of time.

        since: from that time on; kinds: of these alone. Only what is asked for is read.
        """
        where, values = "WHERE bath.name = ?", [self.named(bath)]
        if since is not None:
            where, values = f"{where} AND happened >= ?", [*values, time_text(since.astimezone(datetime.UTC))]
        if kinds:
            where, values = f"{where} AND kind IN ({', '.join('?' * len(kinds))})", [*values, *kinds]
        with self.at_one_time() as now:
            out = now.not_counting(bath)
            order = _OF_KINDS_IN_ORDER if kinds else _IN_ORDER
            found = tuple(entry for entry in now._select(where, tuple(values), order) if entry.id not in out)
            firsts = first_of(now._corrections(values[0]))
        return tuple(naming_the_first(entry, firsts) for entry in found)

    def alike(
        self, bath: str, kind: type[Kind], since: datetime.datetime, before: datetime.datetime
    ) -> Iterator[tuple[Kind, int]]:
        """Yield what entries of a kind say that count, with how many say it: in many years most say the same.

        since, before: the time that they are of (aware). What cannot be read is left out.
        """
        name = self.named(bath)
        gone = self._replaced(name)
        start, end = (time_text(when.astimezone(datetime.UTC)) for when in (since, before))
        more = "AND kind = ? AND happened >= ? AND happened < ? AND typeof(content) = 'text'"
        rows = self._of_bath("entry.id, content", name, more, kind.kind, start, end)
        for text, times in Counter(content for number, content in rows if number not in gone).items():
            with suppress(InputError):
                content = read_content(kind.kind, text, None, "")
                assert isinstance(content, kind)
                yield content, times

    def newest(self, bath: str, count: int, skipped: int = 0) -> tuple[Entry, ...]:
        """Return the last entries of a bath in order of time, all that were written, the newest first."""
        order = "ORDER BY happened DESC, entry.id DESC LIMIT ? OFFSET ?"
        return self._select("WHERE bath.name = ?", (self.named(bath), count, skipped), order)

    def count(self, bath: str) -> int:
        """Return how many entries were written of a bath."""
        rows = self._of_bath("count(*)", self.named(bath))
        return int(rows[0][0]) if rows else 0

    def not_counting(self, bath: str) -> frozenset[int]:
        """Return the numbers of the entries of a bath that were corrected or withdrawn, and of what withdrew them."""
        name = self.named(bath)
        taken_back = self._of_bath("entry.id", name, "AND kind = ?", Withdrawn.kind)
        return self._replaced(name) | {number for (number,) in taken_back}

    def with_first(self, entry: Entry) -> Entry:
        """Return an entry that says that it corrects the first version, as the entries that count do."""
        return naming_the_first(entry, first_of(self._corrections(entry.bath)))

    def _replaced(self, name: str) -> frozenset[int]:
        return replaced(first_of(self._corrections(name)))

    def _corrections(self, name: str) -> Sequence[tuple[int, int | None]]:
        return self._of_bath("entry.id, corrects", name, "AND corrects IS NOT NULL ORDER BY entry.id")

    def turns(self, bath: str) -> tuple[tuple[datetime.datetime, str], ...]:
        """Return time and kind of the checks of a bath that count and of when it was mixed anew, in order of time."""
        name = self.named(bath)
        gone = self._replaced(name)
        more = f"AND kind IN (?, ?) {_OF_KINDS_IN_ORDER}"
        rows = self._of_bath("entry.id, happened, kind", name, more, Check.kind, Remake.kind)
        found = ((_time_or_none(happened), kind) for number, happened, kind in rows if number not in gone)
        return tuple((when, kind) for when, kind in found if when is not None)

    def sheets_that_say(self, bath: str, word: str, before: datetime.datetime) -> Iterator[tuple[str, str]]:
        """Yield kind and text of the changes of anodes of a bath before a time, and of its checks that hold a word.

        The last comes first, and each is read when it is asked for: nobody needs those of twenty years.
        """
        found = f"SELECT kind, content FROM entry WHERE id = ? AND typeof(content) = 'text' AND {_NO_CHECK_WITHOUT}"
        for number in self._checks_and(AnodeChange, bath, before):
            yield from self._rows(found, (number, Check.kind, f"%{word}%"))

    def last_of_tank(self, bath: str, key: str, before: datetime.datetime) -> tuple[Entry, ...]:
        """Return the last entry of a bath before a time that tells something of its tank; none where none does.

        A check whose sheet has a key in [bath], or a move, which tells of the new tank, also where it leaves that out.
        """
        may_tell = f"WHERE entry.id = ? AND {_NO_CHECK_WITHOUT}"
        for number in self._checks_and(Moved, bath, before):
            for entry in self._select(may_tell, (number, Check.kind, f"%{key}%")):
                content = entry.content
                if isinstance(content, Moved) or (isinstance(content, Check) and content.bath().get(key)):
                    return (entry,)
        return ()

    def _checks_and(self, kind: type[Content], bath: str, before: datetime.datetime) -> Iterator[int]:
        """Yield the numbers of the checks, and entries of a kind, of a bath that count, before a time, last first."""
        name = self.named(bath)
        gone = self._replaced(name)
        more = f"AND kind IN (?, ?) AND happened < ? {_OF_KINDS_IN_ORDER}"
        rows = self._of_bath("entry.id", name, more, Check.kind, kind.kind, time_text(before))
        return (number for (number,) in reversed(rows) if number not in gone)

    def last_check(self) -> Check | None:
        """Return the check of any bath but an example that was written last; None where none can be read."""
        where, values = "WHERE kind = ? AND bath.name NOT LIKE ?", (Check.kind, f"%{MARK}")
        found = self._select(where, values, "ORDER BY entry.id DESC LIMIT 1")
        return found[0].content if found and isinstance(found[0].content, Check) else None

    def entry(self, number: int) -> Entry:
        """Return the entry of a number; raises LogbookError where there is none."""
        found = self._select("WHERE entry.id = ?", (number,)) if abs(number) < 2**63 else ()
        if not found:
            raise LogbookError(f"There is no entry {number} in the logbook", "Look up its number in the table")
        return found[0]

    def of_the_moment(self, when: datetime.datetime) -> tuple[Entry, ...]:
        """Return the entries of all baths at one time, also those that no longer count."""
        return self._select("WHERE happened = ?", (time_text(when.astimezone(datetime.UTC)),))

    def record(self, bath: str, content: Check | Content, when: datetime.datetime | None = None) -> Entry:
        """Append an entry; makes the bath if it is new. `when` without a zone is local time; None is now.

        Raises InputError for a name or a time that cannot be kept.
        """
        return self._append([_new_entry(self.named(bath), content, when, None)])[0]

    def record_together(
        self, parts: Iterable[tuple[str, Check | Content]], when: datetime.datetime
    ) -> tuple[Entry, ...]:
        """Append entries of several baths of one time, all or none: what leaves one tank comes into another."""
        return self._append([_new_entry(self.named(bath), content, when, None) for bath, content in parts])

    def record_check(self, sheet: Sheet, advice: Answer, when: datetime.datetime | None = None) -> Entry:
        """Append a check: the `Sheet` and the `Advice` computed from it, at the sheet's date unless `when` is given.

        Raises InputError where the sheet names no bath.
        """
        return self._append([_check_entry(sheet, advice, when)])[0]

    def record_correction(self, sheet: Sheet, advice: Answer | None, steps: Iterable[Content]) -> tuple[Entry, ...]:
        """Append a check at its sheet's date (none without advice) and the steps that were done just now, all or none.

        Raises InputError where the sheet names no bath.
        """
        return self._append(entries_of_correction(sheet, advice, steps))

    def correct(self, entry_id: int, content: Check | Content, when: datetime.datetime | None = None) -> Entry:
        """Append a correction of an entry, at that entry's time unless `when` says otherwise.

        A `Withdrawn` takes the entry back, also one that cannot be read. Raises LogbookError where there is none.
        """
        with self.at_one_time(write=self._is_there()) as now:
            old = now.entry(entry_id)
            return now._append([_new_entry(old.bath, content, when or old.when, entry_id)])[0]

    def backup(self, path: Path) -> None:
        """Copy the whole logbook to a new file, while it may be in use; raises LogbookError."""
        if path.exists():
            raise LogbookError(f"{path} is there already", "Choose a new name: no copy is overwritten")
        try:
            with self._connection() as connection, _plain_errors(path), closing(sqlite3.connect(path)) as copy:
                connection.backup(copy)
        except LogbookError:
            path.unlink(missing_ok=True)  # half a copy must not pass for one
            raise

    def append_all(self, baths: Iterable[str], entries: Iterable[Entry], known_ids: Mapping[int, int]) -> int:
        """Append entries of another record with new ids, all or none; makes the baths that are new.

        known_ids: id there -> id here, of entries that are here already, for the corrections that point to them. An
        entry that another import has written since these were looked up is not written again. Returns how many were.
        """
        ids = dict(known_ids)
        written = 0
        with self._connection(write=True) as connection:
            newest = connection.execute("SELECT max(id) FROM entry").fetchone()[0] or 0
            number_of = cache(lambda name: _bath_id(connection, name))
            for name in baths:
                number_of(name)
            for entry in entries:
                corrects = None if entry.corrects is None else ids[entry.corrects]
                row = _row_of(number_of(entry.bath), entry, corrects)
                there = connection.execute(f"{_SAME} AND id <= ?", (*row, newest)).fetchone()
                ids[entry.id] = there[0] if there else _insert(connection, row)
                written += not there
        return written

    # --- The file -----------------------------------------------------------------------------------

    def _is_there(self) -> bool:
        with _plain_errors(self.path):
            return self.path.exists()

    def _select(self, where: str, values: tuple[str | int, ...], order: str = _IN_ORDER) -> tuple[Entry, ...]:
        rows = self._rows(f"SELECT {_COLUMNS} FROM entry JOIN bath ON bath.id = entry.bath {where} {order}", values)
        return tuple(_entry(row) for row in rows)

    def _of_bath(self, columns: str, name: str, more: str = "", *values: str) -> list[Any]:
        """Return columns of the entries of a bath; more, values: the rest of the query, and what it asks for."""
        query = f"SELECT {columns} FROM entry JOIN bath ON bath.id = bath WHERE name = ? {more}"
        return self._rows(query, (name, *values))

    def _rows(self, query: str, values: tuple[str | int, ...]) -> list[Any]:
        if not self._is_there():
            return []
        with self._connection() as connection:
            with suppress(sqlite3.OperationalError):  # a byte that is no UTF-8: nearly all are read faster without
                return connection.execute(query, values).fetchall()
            connection.text_factory = _text_of
            return connection.execute(query, values).fetchall()

    def _append(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        with self._connection(write=True) as connection:
            rows = ((entry, _row_of(_bath_id(connection, entry.bath), entry, entry.corrects)) for entry in entries)
            return tuple(replace(entry, id=_insert(connection, row)) for entry, row in rows)

    @contextmanager
    def _connection(self, write: bool = False) -> Iterator[sqlite3.Connection]:
        """Open the file, bring it up to date, and run one transaction; a damaged file is set aside."""
        if self._held is not None:
            yield self._held
            return
        try:
            with _plain_errors(self.path):
                if write:
                    self.path.parent.mkdir(parents=True, exist_ok=True)
                with closing(_opened(self.path, write)) as connection:
                    yield connection
                    connection.execute("COMMIT")
        except _Damage as damage:
            with _plain_errors(self.path):
                aside = _set_aside(self.path)
            raise aside from damage


def _opened(path: Path, write: bool) -> sqlite3.Connection:
    """Return a connection in a transaction; to read what may only be read, one to a copy in memory."""
    connection = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
    try:
        _prepare(connection)
        connection.execute("BEGIN IMMEDIATE" if write else "BEGIN")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()  # only now is the file opened
    except sqlite3.OperationalError as error:
        connection.close()
        if write or _code(error) not in _NO_WRITING:
            raise
        return _copy_in_memory(path)
    except BaseException:
        connection.close()
        raise
    return connection


def _copy_in_memory(path: Path) -> sqlite3.Connection:
    """Return a connection in a transaction on a copy of a file where neither it nor anything beside it can be written.

    Without a log of another writer the file alone is enough; else SQLite reads the log too, or says that it cannot.
    """
    log = path.with_name(path.name + "-wal")
    alone = not log.exists() or log.stat().st_size == 0
    copy = sqlite3.connect(":memory:", isolation_level=None)
    try:
        source = f"{path.absolute().as_uri()}?mode=ro{'&immutable=1' if alone else ''}"
        with closing(sqlite3.connect(source, uri=True, timeout=WAIT)) as original:
            original.backup(copy)
        _prepare(copy)
        copy.execute("BEGIN")
    except BaseException:
        copy.close()
        raise
    return copy


def _become_new(connection: sqlite3.Connection) -> None:
    """Switch a new file to write-ahead logging, which it keeps; SQLite does not wait here for another who does so."""
    until = time.monotonic() + WAIT
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if _code(error) not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) or time.monotonic() > until:
                raise
            time.sleep(0.02)


def _prepare(connection: sqlite3.Connection) -> None:
    """Set what every connection needs, and bring an older file up to this program's form."""
    connection.execute("PRAGMA foreign_keys = ON")
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version == len(MIGRATIONS):
        return
    if version == 0:
        _become_new(connection)
    connection.execute("BEGIN IMMEDIATE")
    # Read again: another program may have brought it up to date while this one waited.
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > len(MIGRATIONS):
        raise LogbookError(
            f"The logbook was written by a newer version of this program (form {version}; this one knows "
            f"{len(MIGRATIONS)})",
            "Update the program; nothing was changed",
        )
    connection.create_function("at_95_percent", 1, at_95_percent, deterministic=True)
    for statement in (statement for step in MIGRATIONS[version:] for statement in step):
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
    connection.execute("COMMIT")


# What SQLite says where it may not write beside the file, or has no room to.
_NO_WRITING = (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR)


class _Damage(Exception):
    """SQLite says that the file is no sound database."""


@contextmanager
def _plain_errors(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system raise into what a person can act on."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        code = _code(error)
        if code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
            raise _Damage(str(error)) from error
        raise _plain(code, path, str(error)) from error
    except OSError as error:
        raise _plain(sqlite3.SQLITE_CANTOPEN, path, error.strerror or str(error)) from error


def _code(error: sqlite3.Error) -> int:
    """Return what kind of error SQLite tells of."""
    return int(getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)) & 0xFF  # the rest of the code is detail


def _plain(code: int, path: Path, detail: str) -> LogbookError:
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return LogbookError(
            f"The disk is full or failing ({detail}); nothing was recorded",
            f"Make room on the disk that holds {path.parent}",
        )
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogbookError(f"Another program has been using {path} for {WAIT:.0f} s", "Close it and try again")
    return LogbookError(
        f"The logbook {path} cannot be opened or written ({detail}); nothing was recorded",
        f"Allow writing there, or name another folder in the environment variable {FOLDER_VARIABLE}",
    )


def _set_aside(path: Path) -> LogbookError:
    """Rename a damaged file, with what belongs to it, to a name that is free; return the error that tells of it."""
    stamp = datetime.datetime.now().strftime("%Y-%m-%d-%H%M%S-%f")
    aside = path.with_name(f"{path.stem}-damaged-{stamp}{path.suffix}")
    for part in ("", "-wal", "-shm"):
        source = path.with_name(path.name + part)
        if source.exists():
            source.rename(aside.with_name(aside.name + part))
    return LogbookError(
        f"The logbook {path} is damaged. It was put aside as {aside.name}; nothing was deleted",
        "The next entry begins a new logbook; import your last export, or put your last backup in its place",
    )


# --- Between entries and rows ---------------------------------------------------------------------


def _moment(date: datetime.date | None) -> datetime.datetime | None:
    """Return noon of a sheet's date; None (now) where it has none or it is of today, so that it sorts among today's.

    Raises InputError for a day that is yet to come: other entries may be plans, but nothing was read then.
    """
    refuse_a_day_ahead(date, "bath: date")
    if date is None or date >= datetime.date.today():
        return None
    return datetime.datetime.combine(date, datetime.time(12))


def entries_of_correction(sheet: Sheet, advice: Answer | None, steps: Iterable[Content]) -> list[Entry]:
    """Return a check at its sheet's date (none without advice) and the steps done just now, as they would be entered.

    Raises InputError where the sheet names no bath.
    """
    checked = [] if advice is None else [_check_entry(sheet, advice, None)]
    name = bath_name(sheet.bath.name)
    return [*checked, *(_new_entry(name, step, None, None) for step in steps)]


def _check_entry(sheet: Sheet, advice: Answer, when: datetime.datetime | None) -> Entry:
    check = Check(write_sheet(sheet), json.loads(write_json(advice.to_dict())))
    return _new_entry(bath_name(sheet.bath.name), check, when or _moment(sheet.bath.date), None)


def _new_entry(bath: str, content: Check | Content, when: datetime.datetime | None, corrects: int | None) -> Entry:
    now = datetime.datetime.now(datetime.UTC)
    if when is not None:
        refuse_year(when, "bath: date")
    happened = (when or now).astimezone(datetime.UTC)
    return Entry(0, bath, happened, now, __version__, corrects, content)


@lru_cache(maxsize=AT_HAND)
def _entry(row: _Row) -> Entry:
    """Return the entry of a row. One bad row is one bad row: it comes back as an entry that cannot be read."""
    number, bath, kind, happened, written, program, corrects, content, advice = row
    read: Check | Content
    try:
        if tuple(map(type, row)) not in _SOUND:
            raise _of_another_type(row)
        read = read_content(kind, content, None if advice is None else _from_json(advice), f"entry {number}")
        when, entered = read_time(happened, "when"), read_time(written, "written")
    except InputError as error:
        number, corrects = (each if isinstance(each, int) else None for each in (number, corrects))
        bath, kind, program = (each if isinstance(each, str) else "" for each in (bath, kind, program))
        read = Unreadable(was=kind, matter=str(error))
        when = entered = _time_or_none(happened) or _time_or_none(written) or LONG_AGO
    return Entry(number or 0, bath, when, entered, program, corrects, read)


def _of_another_type(row: _Row) -> InputError:
    """Return what is wrong with the first value of a row that has not the type of its column."""
    for column, value in zip(_COLUMNS.split(", "), row, strict=True):
        wanted = int if column in _NUMBERS else str
        if not isinstance(value, wanted) and not (value is None and column in ("corrects", "advice")):
            break
    accepted = f"it must be {'a whole number' if wanted is int else 'text'}"
    return InputError(f"entry {row[0]}: {column.rpartition('.')[2]}", show(value), accepted)


def _text_of(stored: bytes) -> str:
    """Return a text as it stands in the file; a byte that is no UTF-8 as an escape, which no entry is read with."""
    return stored.decode("utf-8", errors="backslashreplace")


def _from_json(text: str) -> object:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:  # json has nothing narrower for numbers that are too large
        raise InputError("advice", f"it is not sound JSON ({error})", "take the entry back") from error


def _time_or_none(text: object) -> datetime.datetime | None:
    try:
        return read_time(text, "") if isinstance(text, str) else None
    except InputError:
        return None


def _row_of(bath: int, entry: Entry, corrects: int | None) -> tuple[object, ...]:
    """Return an entry as it stands in `_WRITTEN`, without its number; bath, corrects: numbers of this file."""
    content, advice = write_content(entry.content)
    return (
        bath,
        entry.kind,
        time_text(entry.when),
        time_text(entry.written),
        entry.program,
        corrects,
        content,
        None if advice is None else write_json(advice),
    )


def _insert(connection: sqlite3.Connection, row: tuple[object, ...]) -> int:
    cursor = connection.execute(f"INSERT INTO entry ({', '.join(_WRITTEN)}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
    assert cursor.lastrowid is not None
    return cursor.lastrowid


def _bath_id(connection: sqlite3.Connection, name: str) -> int:
    """Return the number of a bath; makes it if it is new."""
    connection.execute("INSERT INTO bath (name) VALUES (?) ON CONFLICT DO NOTHING", (name,))
    return int(connection.execute("SELECT id FROM bath WHERE name = ?", (name,)).fetchone()[0])


def read_time(text: str, place: str) -> datetime.datetime:
    """Return the time in a text, in UTC; raises InputError where it is none with its zone, or beyond the calendar."""
    try:
        when = datetime.datetime.fromisoformat(text)
    except ValueError as error:  # fromisoformat raises nothing narrower
        raise InputError(place, show(text), "it must be a time such as 2026-03-14T12:00:00+00:00") from error
    # Its own year first, since beyond the calendar no time can be taken to UTC; then that of the time that is kept.
    if when.tzinfo is None or when.year not in YEARS or (kept := when.astimezone(datetime.UTC)).year not in YEARS:
        raise InputError(place, show(text), f"it must be a time with its zone, in {YEARS.start} to {YEARS[-1]}")
    return kept


def time_text(when: datetime.datetime) -> str:
    """Return a time as the record keeps it: texts sort like times."""
    return when.isoformat(timespec="microseconds")
