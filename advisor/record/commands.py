"""The commands of the record: `record SHEET` files a check, `log BATH KIND` any other entry, `history BATH` lists all.

The logbook is imported only when one of them runs, so that the other commands start no slower.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from advisor.record.entries import Entry
    from advisor.record.log_words import LogWords
    from advisor.record.logbook import Logbook
    from advisor.sheet import Sheet
    from advisor.words.lines import Units

Given = TypeVar("Given")


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], read_sheet_file: Callable[[str], Sheet]
) -> None:
    """Add `record`, `log` and `history` to the command line's parsers."""
    record = commands.add_parser("record", help="check a bath and file the check in the logbook", allow_abbrev=False)
    record.add_argument("sheet", metavar="SHEET.toml", help="a bench sheet; - reads standard input")
    add_units(record)
    record.set_defaults(
        run=lambda options: _with_plain_errors(
            lambda sheet: record_check(sheet, units_of(options)), read_sheet_file(options.sheet)
        )
    )
    log = commands.add_parser("log", help="write any other entry: what you added, plated or did", add_help=False)
    log.add_argument("words", nargs=argparse.REMAINDER)
    log.add_argument("-h", "--help", action="store_true", dest="asks")
    log.set_defaults(run=lambda options: _with_plain_errors(log_entry, ["--help"] if options.asks else options.words))
    history = commands.add_parser("history", help="list what the logbook holds of a bath", allow_abbrev=False)
    history.add_argument("bath", metavar="BATH", help="the bath's name, as in its sheets")
    history.add_argument("--json", action="store_true", help="print the result for another program")
    add_units(history)
    history.set_defaults(run=lambda options: _with_plain_errors(show_history, options))


def add_units(command: argparse.ArgumentParser) -> None:
    """Add the choice of units to a command that shows numbers."""
    command.add_argument(
        "--units",
        choices=("metric", "us"),
        default="metric",
        help="us: ounces, gallons and °F first, the metric amount beside (JSON stays metric, as its names say)",
    )


def units_of(options: argparse.Namespace) -> Units:
    """Return the units that were asked for."""
    from advisor.words.lines import Units

    return Units.US_FIRST if options.units == "us" else Units.METRIC


def _with_plain_errors(run: Callable[[Given], str], given: Given) -> str:
    from advisor.basis.fields import InputError
    from advisor.record.logbook import LogbookError

    try:
        return run(given)
    except LogbookError as error:
        raise InputError("logbook", error.matter, error.remedy) from error


def record_check(sheet: Sheet, units: Units) -> str:
    """Compute the advice on a sheet, append both to the logbook and say what was recorded."""
    from advisor.check.advise import advise
    from advisor.record.logbook import Logbook

    logbook = Logbook()
    entry = logbook.record_check(sheet, advise(sheet))
    return f"Recorded as entry {entry.id} of {entry.bath} in {logbook.path}\n{_line(entry, units)}\n"


def log_entry(words: Sequence[str]) -> str:
    """Write the entry that the words after `log` tell into the logbook, and say what was written."""
    from advisor.basis.fields import InputError, show
    from advisor.record.log_words import log_help, read_log_words
    from advisor.record.logbook import Logbook
    from advisor.words.lines import Units

    if not words or {"--help", "-h"} & {*words}:
        return log_help(words)
    bath, *rest = words
    typed = read_log_words(rest)
    units = typed.options.get("units", "metric")
    if units not in ("metric", "us"):
        raise InputError("log: units", show(units), "it must be one of: metric, us")
    logbook = Logbook()
    if typed.replaces is None:
        entry = logbook.record(bath, typed.content, typed.when)
    else:
        entry = _replacing(logbook, known_bath(logbook, bath, "log"), typed)
    if "json" in typed.options:
        return _json({"bath": entry.bath, **_entry_dict(entry)})
    done = "Recorded" if entry.corrects is None else f"Entry {entry.corrects} no longer counts. Recorded"
    shown = _line(entry, Units.US_FIRST if units == "us" else Units.METRIC)
    return f"{done} as entry {entry.id} of {entry.bath} in {logbook.path}\n{shown}\n"


def _replacing(logbook: Logbook, bath: str, typed: LogWords) -> Entry:
    """Write an entry in the place of an earlier one of the same bath, which stays in the record."""
    from advisor.basis.fields import InputError
    from advisor.record.entries import standing

    entries = logbook.entries(bath)
    if typed.replaces not in {entry.id for entry in standing(entries)}:
        earlier = typed.replaces in {entry.id for entry in entries}
        matter = "it counts no more: it was replaced or withdrawn" if earlier else f"{bath} has no such entry"
        raise InputError("log: entry", f"you gave {typed.replaces}", f"{matter}; `history` shows the numbers")
    return logbook.correct(typed.replaces, typed.content, typed.when)


def known_bath(logbook: Logbook, name: str, place: str) -> str:
    """Return the name of a bath as the logbook has it; raises InputError where it has none of that name."""
    from advisor.basis.fields import InputError, nearest, show
    from advisor.record.entry_text import bath_name

    kept, known = bath_name(name), logbook.baths()
    if kept not in known:
        there = f"recorded are: {', '.join(known)}{nearest(kept, known)}" if known else "nothing is recorded yet"
        raise InputError(place, show(kept), there)
    return kept


def show_history(options: argparse.Namespace) -> str:
    """List the entries of a bath that count, oldest first; raises InputError for a bath that has none."""
    from advisor.record.entries import standing
    from advisor.record.logbook import Logbook

    logbook = Logbook()
    name = known_bath(logbook, options.bath, "history")
    entries = standing(logbook.entries(name))
    if options.json:
        return _json({"bath": name, "entries": [_entry_dict(entry) for entry in entries]})
    units = units_of(options)
    return "\n".join([name, "=" * len(name), *(_line(entry, units) for entry in entries)]) + "\n"


def _json(result: dict[str, object]) -> str:
    return json.dumps(result, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _line(entry: Entry, units: Units) -> str:
    from advisor.words.lines import in_units

    return f"{entry.id:5d}  {entry.when.astimezone():%Y-%m-%d %H:%M}  {in_units(entry.content.summary(), units)}"


def _entry_dict(entry: Entry) -> dict[str, object]:
    from advisor.record.entry_text import plain_values, write_content

    content, advice = write_content(entry.content)
    return {
        "id": entry.id,
        "when": entry.when.isoformat(),
        "kind": entry.kind,
        "advice": advice,
        "said": str(entry.content.summary()),
        "values": plain_values(entry.content),
        "content": content,
        "corrects": entry.corrects,
        "program": entry.program,
    }
