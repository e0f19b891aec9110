"""The commands of the record: `record SHEET` files a check in the logbook, `history BATH` lists what is in it.

The logbook is imported only when one of them runs, so that the other commands start no slower.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from advisor.record.entries import Entry
    from advisor.sheet import Sheet
    from advisor.words.lines import Units

Given = TypeVar("Given")


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], read_sheet_file: Callable[[str], Sheet]
) -> None:
    """Add `record` and `history` to the command line's parsers."""
    record = commands.add_parser("record", help="check a bath and file the check in the logbook", allow_abbrev=False)
    record.add_argument("sheet", metavar="SHEET.toml", help="a bench sheet; - reads standard input")
    add_units(record)
    record.set_defaults(
        run=lambda options: _with_plain_errors(
            lambda sheet: record_check(sheet, units_of(options)), read_sheet_file(options.sheet)
        )
    )
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


def show_history(options: argparse.Namespace) -> str:
    """List the entries of a bath that count, oldest first; raises InputError for a bath that has none."""
    from advisor.basis.fields import InputError, nearest, show
    from advisor.record.entries import standing
    from advisor.record.entry_text import bath_name
    from advisor.record.logbook import Logbook

    logbook = Logbook()
    name, known = bath_name(options.bath), logbook.baths()
    if name not in known:
        there = f"recorded are: {', '.join(known)}{nearest(name, known)}" if known else "nothing is recorded yet"
        raise InputError("history", show(name), there)
    entries = standing(logbook.entries(name))
    if options.json:
        result = {"bath": name, "entries": [_entry_dict(entry) for entry in entries]}
        return json.dumps(result, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    units = units_of(options)
    return "\n".join([name, "=" * len(name), *(_line(entry, units) for entry in entries)]) + "\n"


def _line(entry: Entry, units: Units) -> str:
    from advisor.words.lines import in_units

    return f"{entry.id:5d}  {entry.when.astimezone():%Y-%m-%d %H:%M}  {in_units(entry.content.summary(), units)}"


def _entry_dict(entry: Entry) -> dict[str, object]:
    from advisor.record.entry_text import write_content

    content, advice = write_content(entry.content)
    return {
        "id": entry.id,
        "when": entry.when.isoformat(),
        "kind": entry.kind,
        "advice": advice,
        "content": content,
        "corrects": entry.corrects,
        "program": entry.program,
    }
