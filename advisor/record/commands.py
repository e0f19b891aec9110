"""The commands of the record: `record SHEET` files a check in the logbook, `history BATH` lists what is in
it, `withdraw NUMBER` takes an entry back, `import FILE` brings an export in.

The logbook is imported only when one of them runs, so that the other commands start no slower.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from advisor.record.entries import Entry
    from advisor.record.logbook import Logbook
    from advisor.sheet import Sheet
    from advisor.words.lines import Units

Given = TypeVar("Given")
LAST = 200  # entries that `history` prints
CLOCK = " " * 7 + "written by an earlier clock than entry {}: the clock was set back, or it came from another logbook"
LEFT_OUT = "Left out, with what they corrected, because they cannot be read:"


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], read_sheet_file: Callable[[str], Sheet]
) -> None:
    """Add `record`, `history`, `import` and `withdraw` to the command line's parsers."""
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

    bring = commands.add_parser("import", help="bring an exported logbook into this one", allow_abbrev=False)
    bring.add_argument("file", metavar="FILE.json", help="what the page Logbook exported, of any size")
    bring.set_defaults(run=lambda options: _with_plain_errors(import_export, options.file))
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
    from advisor.words.names import shown_name, warned_of

    logbook = Logbook()
    entry = logbook.record_check(sheet, advise(sheet))
    done = f"Recorded as entry {entry.id} of {shown_name(entry.bath)} in {logbook.path}"
    alike = warned_of(logbook.baths())
    return "\n".join([done, _line(entry, units), *alike]) + "\n"


def import_export(file: str) -> str:
    """Bring the entries of an export in that are not here yet, all or none; raises InputError for what is none."""
    from advisor.basis.fields import InputError
    from advisor.record.exchange import carry_out, plan_import
    from advisor.record.logbook import Logbook

    try:
        text = Path(file).read_text("utf-8")
    except (OSError, ValueError) as error:  # ValueError: no UTF-8, or no name of a file
        raise InputError(file, f"it cannot be read ({error})", "give a file that a logbook exported") from error
    logbook = Logbook()
    plan = plan_import(logbook, text, most=None)
    carry_out(logbook, plan)
    return f"{plan.summary()}\nDone, in {logbook.path}\n"


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


def _shown(logbook: Logbook, name: str, everything: bool) -> tuple[Sequence[Entry], int]:
    """Return what was written of a bath, all or the last of it, and how many older entries there are besides."""
    if everything:
        return logbook.entries(name), 0
    return logbook.newest(name, LAST), max(logbook.count(name) - LAST, 0)


def show_history(options: argparse.Namespace) -> str:
    """List the last entries of a bath that count, oldest first, or all; raises InputError for a bath that has none."""
    from advisor.basis.fields import InputError, nearest, show
    from advisor.record.entries import clock_ran_back, left_out, standing
    from advisor.record.entry_text import bath_name
    from advisor.record.logbook import Logbook
    from advisor.words.names import shown_name

    logbook = Logbook()
    name, known = bath_name(options.bath), logbook.baths()
    if name not in known:
        there = f"recorded are: {', '.join(known)}{nearest(name, known)}" if known else "nothing is recorded yet"
        raise InputError("history", show(name), there)
    written, older = _shown(logbook, name, options.json or options.all)
    out = logbook.not_counting(name)
    counting = [entry for entry in written if entry.id not in out]
    entries, unreadable = standing(counting), left_out(counting)
    if options.json:
        result = {
            "bath": name,
            "entries": [_entry_dict(entry) for entry in entries],
            "cannot_be_read": [{"id": entry.id, "matter": entry.content.summary()} for entry in unreadable],
        }
        return json.dumps(result, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    title = shown_name(name)
    before = [f"{older} older entries: --all shows them too"] if older else []
    told = _told(entries, unreadable, clock_ran_back(written), units_of(options))
    return "\n".join([title, "=" * len(title), *before, *told]) + "\n"


def _told(
    entries: Sequence[Entry], unreadable: Sequence[Entry], back: Mapping[int, Entry], units: Units
) -> Iterator[str]:
    """Yield the lines of a history; back: entries that were written by an earlier clock than the one before them."""
    for entry in entries:
        yield _line(entry, units)
        if entry.id in back:
            yield CLOCK.format(back[entry.id].id)
    if unreadable:
        yield from ("", LEFT_OUT, *(_line(entry, units) for entry in unreadable))
        yield f"`python -m advisor withdraw {unreadable[0].id}` takes the first of them back."


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
