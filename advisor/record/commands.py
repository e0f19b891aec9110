"""The commands of the record: `record SHEET` files a check, `log BATH KIND` any other entry, `history BATH` lists all,
`withdraw NUMBER` takes an entry back, `import FILE` brings an export in; `baths`, `split` and `merge` are for several.

The logbook is imported only when one of them runs, so that the other commands start no slower.
"""

from __future__ import annotations

import argparse
import datetime
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from advisor.record.entries import Entry
    from advisor.record.log_words import LogWords
    from advisor.record.logbook import Logbook
    from advisor.sheet import Sheet
    from advisor.words.lines import Units

Given = TypeVar("Given")
UNITS = ("metric", "us")
LAST = 200  # entries that `history` prints (judgement)
CLOCK = "       written by an earlier clock than entry {}: the clock was set back, or it came from another logbook"
LEFT_OUT = "Left out, with what they corrected, because they cannot be read:"


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], read_sheet_file: Callable[[str], Sheet]
) -> None:
    """Add `record`, `log`, `history`, `import`, `withdraw` and those for several baths to the parsers."""
    record = commands.add_parser("record", help="check a bath and file the check in the logbook", allow_abbrev=False)
    record.add_argument("sheet", metavar="SHEET.toml", help="a bench sheet; - reads standard input")
    add_alone(record)
    add_units(record)
    record.set_defaults(
        run=lambda options: _with_plain_errors(
            lambda sheet: record_check(sheet, units_of(options.units), options.alone), read_sheet_file(options.sheet)
        )
    )
    log = commands.add_parser("log", help="write any other entry: what you added, plated or did", add_help=False)
    log.add_argument("words", nargs=argparse.REMAINDER)
    log.add_argument("-h", "--help", action="store_true", dest="asks")
    log.set_defaults(run=lambda options: _with_plain_errors(log_entry, ["--help"] if options.asks else options.words))
    history = commands.add_parser("history", help="list what the logbook holds of a bath", allow_abbrev=False)
    history.add_argument("bath", metavar="BATH", help="the bath's name, as in its sheets")
    output = history.add_mutually_exclusive_group()
    output.add_argument("--json", action="store_true", help="print all of it for another program")
    output.add_argument("--csv", metavar="FILE", help="write every entry as a table for a spreadsheet")
    output.add_argument("--calendar", metavar="FILE", help="write what is due as a calendar file (.ics)")
    history.add_argument("--all", action="store_true", help=f"print all, not only the last {LAST} entries")
    history.add_argument("--overwrite", action="store_true", help="let --csv or --calendar replace a file")
    add_units(history)
    history.set_defaults(run=lambda options: _with_plain_errors(show_history, options))
    bring = commands.add_parser("import", help="bring an exported logbook into this one", allow_abbrev=False)
    bring.add_argument("file", metavar="FILE.json", help="what the page Logbook exported, of any size")
    bring.set_defaults(run=lambda options: _with_plain_errors(import_export, options.file))
    withdraw = commands.add_parser("withdraw", help="take an entry of the logbook back", allow_abbrev=False)
    withdraw.add_argument("entry", metavar="NUMBER", type=int, help="its number, as in the history of its bath")
    withdraw.set_defaults(run=lambda options: _with_plain_errors(withdraw_entry, options.entry))
    _add_several(commands)
    schema = commands.add_parser("schema", help="print the JSON Schema of a command's --json", allow_abbrev=False)
    schema.add_argument("of", choices=("check", "history"), help="whose JSON it describes")
    schema.set_defaults(run=lambda options: show_schema(options.of))


def _add_several(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add `baths`, `split` and `merge`."""
    baths = commands.add_parser("baths", help="compare the baths of the logbook", allow_abbrev=False)
    split = commands.add_parser("split", help="pour a part of a bath into a new one", allow_abbrev=False)
    merge = commands.add_parser("merge", help="pour a bath, or a part of it, into another", allow_abbrev=False)
    for command, into, litres in ((split, "the new bath's name", None), (merge, "the other bath's name", "?")):
        command.add_argument("bath", metavar="BATH", help="the bath that is poured from")
        command.add_argument("into", metavar="INTO", help=into)
        more = "" if litres is None else "; all of it where you leave this out"
        command.add_argument("volume", metavar="VOLUME", nargs=litres, help=f'how much, such as "2.5 L"{more}')
    for command, run in ((baths, show_baths), (split, pour), (merge, pour)):
        command.add_argument("--json", action="store_true", help="print the result for another program")
        add_units(command)
        command.set_defaults(run=lambda options, run=run: _with_plain_errors(run, options))


def show_baths(options: argparse.Namespace) -> str:
    """Compare the baths of the logbook, one under the other."""
    from advisor.record.logbook import Logbook
    from advisor.record.several import compare

    logbook = Logbook()
    found = compare(logbook, logbook.baths(), datetime.datetime.now(datetime.UTC))
    if options.json:
        return _json({"baths": [each.to_dict() for each in found]})
    if not found:
        return "Nothing is recorded yet.\n"
    units = units_of(options.units)
    blocks = []
    for each in found:
        (_, name), *cells = each.cells(units).items()
        blocks.append("\n".join([name, "=" * len(name), *(f"{head}: {cell}" for head, cell in cells)]))
    return "\n\n".join(blocks) + "\n"


def pour(options: argparse.Namespace) -> str:
    """Pour a bath into a new one or into another, write that in the records of both, and say what went where."""
    from advisor.basis.fields import QuantityField
    from advisor.record.entry_text import bath_name
    from advisor.record.logbook import Logbook
    from advisor.record.several import merge, new_bath, record_for_pouring, split
    from advisor.words.report import heading, terminal

    logbook, now = Logbook(), datetime.datetime.now(datetime.UTC)
    source = known_bath(logbook, options.bath, f"{options.command}: bath")
    field = QuantityField(label="Volume", quantity="volume", above=True, high=10_000.0)
    litres = None if options.volume is None else field.read(options.volume, f"{options.command}: volume")
    with logbook.at_one_time(write=True) as book:
        entries = record_for_pouring(book, source)
        if options.command == "split":
            assert litres is not None
            poured = split(source, entries, new_bath(bath_name(options.into), book.baths()), litres, now)
        else:
            target = known_bath(book, options.into, "merge: into")
            poured = merge(source, entries, target, record_for_pouring(book, target), litres, now)
        written = book.record_together(poured.parts, now)
    if options.json:
        return _json({**poured.to_dict(), "entries": [{"bath": entry.bath, "id": entry.id} for entry in written]})
    units = units_of(options.units)
    lines = [f"Recorded as entry {entry.id} of {entry.bath}" for entry in written]
    title = heading(poured, f"{poured.source} into {poured.target}")
    return terminal(title, poured.sections(), units) + "\n" + "\n".join(lines) + "\n"


def show_schema(command: str) -> str:
    """Return the JSON Schema of what a command prints for other programs."""
    from advisor.record.schemas import schemas

    return _json(schemas()[command])


def add_alone(command: argparse.ArgumentParser) -> None:
    """Add the choice to leave the logbook out to a command that is asked of a bath."""
    command.add_argument("--alone", action="store_true", help="leave out what the logbook carries of this bath")


def add_units(command: argparse.ArgumentParser) -> None:
    """Add the choice of units to a command that shows numbers."""
    command.add_argument(
        "--units",
        choices=UNITS,
        default=UNITS[0],
        help="us: ounces, gallons and °F first, the metric amount beside (JSON stays metric, as its names say)",
    )


def units_of(word: str) -> Units:
    """Return the units that were asked for by their word, one of `UNITS`."""
    from advisor.words.lines import Units

    return Units.US_FIRST if word == "us" else Units.METRIC


def _with_plain_errors(run: Callable[[Given], str], given: Given) -> str:
    from advisor.basis.fields import InputError
    from advisor.record.logbook import LogbookError

    try:
        return run(given)
    except LogbookError as error:
        raise InputError("logbook", error.matter, error.remedy) from error


def record_check(sheet: Sheet, units: Units, alone: bool) -> str:
    """Compute the advice on a sheet as `check` does, append both to the logbook and say what was recorded."""
    from advisor.check.advise import advise
    from advisor.record.asked import Asked, with_the_record
    from advisor.record.logbook import Logbook
    from advisor.words.lines import in_units
    from advisor.words.names import warned_of

    logbook = Logbook()
    asked = Asked(sheet) if alone else with_the_record(sheet)
    entry = logbook.record_check(asked.sheet, advise(asked.sheet))
    done = f"Recorded as entry {entry.id} of {entry.bath} in {logbook.path}"
    alike = warned_of(logbook.baths())
    told = [in_units(said, units) for said in asked.said]
    return "\n".join([done, _line(entry, units), *told, *alike]) + "\n"


def import_export(file: str) -> str:
    """Bring the entries of an export in that are not here yet, all or none; raises InputError for what is none."""
    from advisor.basis.fields import InputError
    from advisor.basis.files import read_bytes
    from advisor.record.exchange import LARGEST_IMPORT, carry_out, plan_import
    from advisor.record.logbook import Logbook

    try:
        most = max(Path(file).stat().st_size, LARGEST_IMPORT)  # a pipe or a device has no size, and may have no end
        text = read_bytes(file, most).decode("utf-8")
    except (OSError, ValueError) as error:  # ValueError: no UTF-8, or no name of a file
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(file, f"it cannot be read ({reason})", "give a file that a logbook exported") from error
    logbook = Logbook()
    plan = plan_import(logbook, text, most)
    carry_out(logbook, plan)
    return f"{plan.summary()}\nDone, in {logbook.path}\n"


def log_entry(words: Sequence[str]) -> str:
    """Write the entry that the words after `log` tell into the logbook, and say what was written."""
    from advisor.basis.fields import InputError, nearest, show
    from advisor.record.at_hand import refuse_what_cannot_be
    from advisor.record.entries import YET_TO_COME, is_yet_to_come
    from advisor.record.log_words import log_help, read_log_words
    from advisor.record.logbook import Logbook

    if not words or {"--help", "-h"} & {*words}:
        return log_help(words)
    bath, *rest = words
    typed = read_log_words(rest)
    units = typed.options.get("units", UNITS[0])
    if units not in UNITS:
        raise InputError("log: units", show(units), f"it must be one of: {', '.join(UNITS)}")
    logbook = Logbook()
    known = logbook.baths()
    if typed.replaces is None:
        if bath in known:
            refuse_what_cannot_be(logbook, bath, typed.content, typed.when, None)
        entry = logbook.record(bath, typed.content, typed.when)
    else:
        name = known_bath(logbook, bath, "log")
        refuse_what_cannot_be(logbook, name, typed.content, typed.when, typed.replaces)
        with logbook.at_one_time(write=True) as book:
            entry = _replacing(book, name, typed)
    if "json" in typed.options:
        return _json({"bath": entry.bath, **_entry_dict(entry)})
    done = "Recorded" if entry.corrects is None else f"Entry {entry.corrects} is changed. It counts"
    shown_in = units_of(units)
    shown = "\n".join([_line(entry, shown_in), *_about_dose(logbook, entry, shown_in)])
    alike = nearest(entry.bath, known)
    undo = f" If that was a slip, `advisor withdraw {entry.id}` takes it back." if alike else ""
    new = "" if entry.bath in known else f"It is the first entry of a new bath{alike}.{undo}\n"
    ahead = f"{YET_TO_COME}\n" if is_yet_to_come(entry) else ""
    return f"{done} as entry {entry.id} of {entry.bath} in {logbook.path}\n{shown}\n{ahead}{new}"


def _about_dose(logbook: Logbook, entry: Entry, units: Units) -> list[str]:
    """Return what is to be said of a dose at once: that it was too much, or that its bottle has no rule."""
    from advisor.record.doses import called
    from advisor.record.entries import AdditiveDose
    from advisor.record.upkeep import upkeep_of
    from advisor.words.lines import in_units

    if not isinstance(entry.content, AdditiveDose):
        return []
    found, bottle = upkeep_of(logbook, entry.bath, datetime.datetime.now(datetime.UTC)), called(entry.content.additive)
    doses = [dose for dose in found.doses if called(dose.additive) == bottle]
    # What is said of a bottle is said of its last dose; one written down late is none of that.
    last = [dose for dose in doses if dose.doses and dose.doses[-1].when == entry.when]
    told = [said for dose in last for said in dose.too_much()] if doses else found.unruled
    return [in_units(said, units) for said in told]


def _replacing(logbook: Logbook, bath: str, typed: LogWords) -> Entry:
    """Write an entry in the place of an earlier one of the same bath, which stays in the record."""
    from advisor.basis.fields import InputError
    from advisor.record.entries import standing

    entries = logbook.entries(bath)
    assert typed.replaces is not None
    if typed.replaces not in {entry.id for entry in standing(entries)}:
        earlier = typed.replaces in {entry.id for entry in entries}
        matter = _no_more(entries, typed.replaces) if earlier else f"{bath} has no such entry"
        raise InputError("log: entry", f"you gave {typed.replaces}", f"{matter}; `history` shows the numbers")
    return logbook.correct(typed.replaces, typed.content, typed.when)


def _no_more(entries: Sequence[Entry], number: int) -> str:
    """Say why an entry counts no more, and which one stands in its place."""
    from advisor.record.entries import first_of, standing

    firsts = first_of((entry.id, entry.corrects) for entry in sorted(entries, key=lambda entry: entry.id))
    stands = [entry.id for entry in standing(entries) if firsts[entry.id] == firsts[number]]
    return f"it counts no more: {f'entry {stands[0]} stands in its place' if stands else 'it was withdrawn'}"


def known_bath(logbook: Logbook, name: str, place: str) -> str:
    """Return the name of a bath as the logbook has it; raises InputError where it has none of that name."""
    from advisor.basis.fields import InputError, nearest, show

    kept, known = logbook.named(name), logbook.baths()
    if kept not in known:
        there = f"recorded are: {', '.join(known)}{nearest(kept, known)}" if known else "nothing is recorded yet"
        raise InputError(place, show(kept), there)
    return kept


def withdraw_entry(number: int) -> str:
    """Take an entry back, which may be one that cannot be read; raises InputError for one that counts no more."""
    from advisor.basis.fields import InputError
    from advisor.record.logbook import Logbook
    from advisor.record.withdrawal import said_of, withdraw

    logbook = Logbook()
    entry = logbook.entry(number)
    with logbook.at_one_time(write=True) as book:
        if number in book.not_counting(entry.bath):
            raise InputError("withdraw", f"you gave {number}", _no_more(book.entries(entry.bath), number))
        withdrawn = withdraw(book, number)
    stays = "It stays" if len(withdrawn) == 1 else "Both stay"
    return f"{said_of(withdrawn)} {stays} in the record, marked as withdrawn.\n"


def show_history(options: argparse.Namespace) -> str:
    """List the last entries of a bath that count, oldest first, or all; raises InputError for a bath that has none."""
    from advisor.record.entries import clock_ran_back, left_out, standing
    from advisor.record.logbook import Logbook
    from advisor.words.lines import counted

    logbook, now = Logbook(), datetime.datetime.now(datetime.UTC)
    name = known_bath(logbook, options.bath, "history")
    if options.csv:
        from advisor.record.exchange import entries_as_csv

        return _write(options, "csv", entries_as_csv(logbook.entries(name)))
    if options.calendar:
        from advisor.record.calendar_file import calendar_file
        from advisor.record.upkeep import upkeep_of

        return _write(options, "calendar", calendar_file(name, upkeep_of(logbook, name, now).tasks, now))
    with logbook.at_one_time() as seen:
        written = seen.entries(name) if options.json or options.all else seen.newest(name, LAST)
        older = seen.count(name) - len(written)
        out = seen.not_counting(name)
    counting = [entry for entry in written if entry.id not in out]
    entries, unreadable = standing(counting), left_out(counting)
    if options.json:
        return _json(
            {
                "bath": name,
                "entries": [_entry_dict(entry) for entry in entries],
                "cannot_be_read": [{"id": entry.id, "matter": entry.content.summary()} for entry in unreadable],
                **_upkeep(logbook, name, now),
            }
        )
    units = units_of(options.units)
    before = [f"{counted(older, 'older entry', 'older entries')}: --all shows them too"] if older else []
    told = [*_told(entries, unreadable, clock_ran_back(written), units), *_afterwards(logbook, name, now, units)]
    return "\n".join([name, "=" * len(name), *before, *told]) + "\n"


def _write(options: argparse.Namespace, option: str, text: str) -> str:
    from advisor.record.output import write_answer

    return write_answer(getattr(options, option), text, options.overwrite, f"--{option}", newline="")


def _upkeep(logbook: Logbook, bath: str, now: datetime.datetime) -> dict[str, object]:
    """Return what the entries of a bath together tell, for another program."""
    from advisor.record.upkeep import upkeep_of

    found = upkeep_of(logbook, bath, now)
    return {
        "due": [task.to_dict(now) for task in found.tasks],
        "doses": [dose.to_dict() for dose in found.doses],
        "anodes": [feed.to_dict() for feed in found.feeds],
    }


def _afterwards(logbook: Logbook, bath: str, now: datetime.datetime, units: Units) -> list[str]:
    """Return what the entries of a bath together tell, under a heading each, to be read below them."""
    from advisor.record.upkeep import upkeep_of
    from advisor.words.cautions import cautions
    from advisor.words.lines import in_units

    found = upkeep_of(logbook, bath, now)
    blocks: dict[str, list[str]] = {
        "Due": [task.sentence(now) for task in found.tasks],
        "Additives": [*found.additives],
        "Anodes": [said for feed in found.feeds[-1:] for said in feed.lines()],
        "Take care": [*cautions(found.acts)],
    }
    shown: list[str] = []
    for title, lines in blocks.items():
        if lines:
            shown += ["", title, "-" * len(title), *(in_units(said, units) for said in lines)]
    return shown


def _json(result: dict[str, object]) -> str:
    return json.dumps(result, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _told(
    entries: Sequence[Entry], unreadable: Sequence[Entry], back: Mapping[int, Entry], units: Units
) -> Iterator[str]:
    """Yield the lines of a history, with what each run deposited.

    back: entries that were written by an earlier clock than the one before them.
    """
    from advisor.record.entries import RunDone
    from advisor.record.runs import deposit_of
    from advisor.words.lines import in_units

    for entry in entries:
        yield _line(entry, units)
        if isinstance(entry.content, RunDone):
            yield from (f"{'':25}{in_units(said, units)}" for said in deposit_of(entry.content).lines())
        if entry.id in back:
            yield CLOCK.format(back[entry.id].id)
    if unreadable:
        yield from ("", LEFT_OUT, *(_line(entry, units) for entry in unreadable))
        yield f"`python -m advisor withdraw {unreadable[0].id}` takes the first of them back."


def _line(entry: Entry, units: Units) -> str:
    from advisor.words.lines import in_units

    when = entry.when.astimezone().isoformat(" ", "minutes")[: len("2026-03-14 12:00")]
    return f"{entry.id:5d}  {when}  {in_units(entry.content.summary(), units)}"


def _entry_dict(entry: Entry) -> dict[str, object]:
    from advisor.record.entries import RunDone
    from advisor.record.entry_text import plain_values, write_content
    from advisor.record.runs import deposit_of

    content, advice = write_content(entry.content)
    return {
        "id": entry.id,
        "when": entry.when.isoformat(),
        "kind": entry.kind,
        "advice": advice,
        "said": str(entry.content.summary()),
        "values": plain_values(entry.content),
        "run": deposit_of(entry.content).to_dict() if isinstance(entry.content, RunDone) else None,
        "content": content,
        "corrects": entry.corrects,
        "program": entry.program,
    }
