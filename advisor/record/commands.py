"""The commands of the record: `record SHEET` files a check in the logbook, `history BATH` lists what is in
it, `withdraw NUMBER` takes an entry back.

The logbook is imported only when one of them runs, so that the other commands start no slower.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from advisor.record.entries import Entry
    from advisor.record.logbook import Logbook
    from advisor.sheet import Sheet
    from advisor.words.lines import Units

Given = TypeVar("Given")
LAST = 200  # entries that `history` prints
LEFT_OUT = "Left out, with what they corrected, because they cannot be read:"


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], read_sheet_file: Callable[[str], Sheet]
) -> None:
    """Add `record`, `history` and `withdraw` to the command line's parsers."""
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
    history.add_argument("--json", action="store_true", help="print all of it for another program")
    history.add_argument("--all", action="store_true", help=f"print all, not only the last {LAST} entries")
    add_units(history)
    history.set_defaults(run=lambda options: _with_plain_errors(show_history, options))

    withdraw = commands.add_parser("withdraw", help="take an entry of the logbook back", allow_abbrev=False)
    withdraw.add_argument("entry", metavar="NUMBER", type=int, help="its number, as in the history of its bath")
    withdraw.set_defaults(run=lambda options: _with_plain_errors(withdraw_entry, options.entry))


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


def withdraw_entry(number: int) -> str:
    """Take an entry back, which may be one that cannot be read; raises InputError for one that counts no more."""
    from advisor.basis.fields import InputError
    from advisor.record.entries import Withdrawn, left_out, standing
    from advisor.record.logbook import Logbook

    logbook = Logbook()
    entry = logbook.entry(number)
    written = logbook.entries(entry.bath)
    if number not in {other.id for other in (*standing(written), *left_out(written))}:
        raise InputError("withdraw", f"you gave {number}", "that entry counts no more: it was corrected or withdrawn")
    logbook.correct(number, Withdrawn())
    return f"Entry {number} of {entry.bath} no longer counts. It stays in the record, marked as withdrawn.\n"


def _shown(logbook: Logbook, name: str, everything: bool) -> tuple[Sequence[Entry], Sequence[Entry], int]:
    """Return the entries of a bath that count, those that cannot be read, and how many older ones there are besides."""
    from advisor.record.entries import left_out, standing

    if everything:
        written = logbook.entries(name)
        return standing(written), left_out(written), 0
    out = logbook.not_counting(name)
    last = [entry for entry in logbook.newest(name, LAST) if entry.id not in out]
    return standing(last), left_out(last), max(logbook.count(name) - LAST, 0)


def show_history(options: argparse.Namespace) -> str:
    """List the last entries of a bath that count, oldest first, or all; raises InputError for a bath that has none."""
    from advisor.basis.fields import InputError, nearest, show
    from advisor.record.entry_text import bath_name
    from advisor.record.logbook import Logbook

    logbook = Logbook()
    name, known = bath_name(options.bath), logbook.baths()
    if name not in known:
        there = f"recorded are: {', '.join(known)}{nearest(name, known)}" if known else "nothing is recorded yet"
        raise InputError("history", show(name), there)
    entries, unreadable, older = _shown(logbook, name, options.json or options.all)
    if options.json:
        result = {
            "bath": name,
            "entries": [_entry_dict(entry) for entry in entries],
            "cannot_be_read": [{"id": entry.id, "matter": entry.content.summary()} for entry in unreadable],
        }
        return json.dumps(result, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    units = units_of(options)
    before = [f"{older} older entries: --all shows them too"] if older else []
    lines = [name, "=" * len(name), *before, *(_line(entry, units) for entry in entries)]
    if unreadable:
        lines += ["", LEFT_OUT, *(_line(entry, units) for entry in unreadable)]
        lines.append(f"`python -m advisor withdraw {unreadable[0].id}` takes the first of them back.")
    return "\n".join(lines) + "\n"


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
