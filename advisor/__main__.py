"""The command line. `python -m advisor` opens the app; with a command it answers in the terminal.

Exit 0: advice given. Exit 2: bad input, one message on standard error, nothing on standard output. Exit 1: the answer
could not be written. Exit 130: interrupted with Ctrl+C. Only this module reads sheets from the disk and prints.
"""

from __future__ import annotations

import argparse
import gc
import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from advisor.basis.places import logbook_file

if TYPE_CHECKING:
    from advisor.record.asked import Asked
    from advisor.sheet import Sheet
    from advisor.words.sections import Answer

# Command, where its function is, and what it answers.
QUESTIONS = {
    "check": ("check.advise:advise", "what the bath holds and what to do"),
    "plate": ("questions.plating:plate", "the current and time of a plating run, and the bath afterwards"),
    "diagnose": ("questions.faults:diagnose", "what a faulty deposit comes from, and which test decides"),
    "mix": ("questions.make_up:mix", "what to weigh and measure for a bath, or what a recipe really gives"),
    "keep": ("questions.remake:keep", "whether to correct the bath, replace a part of it or remake it"),
    "dispose": ("questions.disposal:dispose", "what makes old bath safe to hand in"),
    "anodes": ("questions.anodes:anodes", "how large the anodes should be, and when they turn passive"),
    "treat": ("questions.treatments:treat", "carbon, filtering, scrap, chloride, warming or crystals for this bath"),
    "prepare": ("questions.objects:prepare", "whether a part may go in, and what current its coat lets start"),
    "shop": ("questions.shopping:shop", "what to buy for the next months, and which tool would help"),
}
WITHOUT_VOLUME = ("plate", "diagnose", "anodes", "prepare")  # answered even where nobody says how much bath there is
NEW_BATH = ("mix",)  # asked of a bath that no logbook can know yet
_NOT_WRITTEN, _BAD_INPUT, _INTERRUPTED = 1, 2, 130  # exit codes (common practice, no source)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code.

    Our own modules are imported where Ctrl+C is awaited.
    """
    try:
        return _run(list(sys.argv[1:] if arguments is None else arguments))
    except KeyboardInterrupt:
        return _INTERRUPTED


def _run(words: list[str]) -> int:
    # Before numpy is imported: our matrices have a hundred rows at most, over which threads only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a name that is no UTF-8 is shown by its bytes
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    from advisor.basis.fields import InputError

    try:
        if not words or (words[0].startswith("--") and words[0] != "--help"):
            from advisor.launch import main as launch

            launch(words)
            return 0
        gc.disable()  # a command is over before anything is worth collecting
        options = _parser().parse_args(words)
        return _print(options.run(options))
    except InputError as error:
        _complain(str(error))
        return _BAD_INPUT
    finally:
        gc.enable()


def _print(text: str) -> int:
    """Write an answer to standard output and return the exit code."""
    if sys.stdout is None:
        _complain("the answer could not be written: standard output is closed")
        return _NOT_WRITTEN
    try:
        sys.stdout.write(_shown(text))
        sys.stdout.flush()
    except BrokenPipeError:  # the reader, such as `head`, has seen enough
        _forget(sys.stdout)
    except OSError as error:
        _complain(f"the answer could not be written ({error.strerror})")
        _forget(sys.stdout)
        return _NOT_WRITTEN
    return 0


def _complain(message: str) -> None:
    if sys.stderr is not None:
        print(f"advisor: {_shown(message)}", file=sys.stderr)


def _shown(text: str) -> str:
    """Return a text in which nothing that a person typed turns the writing round, or steers the terminal."""
    from advisor.words.names import shown_name

    return shown_name(text)


def _forget(stream: TextIO) -> None:
    """Let what a stream still holds go nowhere: Python would try once more, and complain, when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _parser() -> argparse.ArgumentParser:
    from advisor.examples import EXAMPLES, PLAINEST
    from advisor.record.commands import add_alone, add_commands, add_units

    parser = argparse.ArgumentParser(
        prog="advisor",
        description="Keep a copper electroforming bath in condition. Without a command the app opens in your browser.",
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, (where, help_text) in QUESTIONS.items():
        command = commands.add_parser(name, help=help_text, allow_abbrev=False)
        which = "a bench sheet; - reads standard input" + ("" if name in NEW_BATH else "; or a bath of the logbook")
        command.add_argument("sheet", metavar="SHEET.toml", help=which)
        if name not in NEW_BATH:
            add_alone(command)
        output = command.add_mutually_exclusive_group()
        output.add_argument("--json", action="store_true", help="print the result for another program")
        output.add_argument("--html", metavar="FILE", help="write a page to print")
        command.add_argument("--overwrite", action="store_true", help="let --html replace a file of another kind")
        add_units(command)
        command.set_defaults(run=_answer, function=where)
    add_commands(commands, read_sheet_file)
    example = commands.add_parser("example", help="print a bench sheet to start from", allow_abbrev=False)
    example.add_argument("name", nargs="?", default=PLAINEST, help=", ".join(EXAMPLES))
    example.set_defaults(run=_example)
    return parser


def _function(where: str) -> Callable[..., Answer]:
    module, name = where.split(":")
    function: Callable[..., Answer] = getattr(import_module(f"advisor.{module}"), name)
    return function


def read_sheet_file(name: str, needs_volume: bool = True, or_bath: str = "") -> Sheet:
    """Read and validate a bench sheet from a file, or from standard input for "-"; raises InputError.

    or_bath: what its message says of a bath's name in place of the file, where the command takes one.
    """
    from advisor.basis.fields import InputError
    from advisor.basis.files import read_bytes
    from advisor.sheet import LARGEST_FILE, parse_toml, read_sheet

    try:
        content = _standard_input(LARGEST_FILE) if name == "-" else read_bytes(name, LARGEST_FILE)
    except (OSError, ValueError) as error:  # ValueError: a name with a null character in it
        reason = getattr(error, "strerror", None) or str(error)
        accepted = f"give the path of a bench sheet{or_bath}"
        raise InputError(name, f"it cannot be read ({reason})", accepted) from error
    raw = parse_toml(content, name)
    if name != "-":
        _read_curves(raw, Path(name).parent)
    return read_sheet(raw, needs_volume)


def _or_bath(options: argparse.Namespace) -> str:
    """Return how else a question can name its bath; empty where it is of a new one, or where there is no logbook."""
    if options.command in NEW_BATH or not logbook_file().exists():
        return ""
    if options.alone:
        return "; the name of a bath needs the logbook, which --alone leaves out"
    return ", or the name of a bath that was checked: `advisor baths` lists them"


def _standard_input(most: int) -> bytes:
    if sys.stdin is None:
        raise OSError(None, "standard input is closed")
    return sys.stdin.buffer.read(most + 1)


def _read_curves(raw: dict[str, Any], folder: Path) -> None:
    """Replace the file of a pH curve by the points in it; nothing outside the sheet's own folder is opened."""
    from advisor.basis.fields import InputError, show
    from advisor.basis.files import read_bytes
    from advisor.readings.ph_curve import read_points
    from advisor.sheet import LARGEST_FILE

    readings = raw.get("reading", [])
    for number, item in enumerate(readings if isinstance(readings, list) else [], 1):
        if not isinstance(item, dict) or not isinstance(item.get("file"), str) or "points" in item:
            continue
        place = f"reading {number}: file"
        try:
            path = (folder / item["file"]).resolve()
            if path.parent != folder.resolve() or not path.is_file():
                raise InputError(place, show(item["file"]), "give the name of a file beside the sheet")
            content = read_bytes(path, LARGEST_FILE)
        except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: links that point to each other
            if isinstance(error, InputError):
                raise
            raise InputError(place, show(item["file"]), "it cannot be read; give a file beside the sheet") from error
        try:
            item["points"] = [list(point) for point in read_points(content.decode("utf-8-sig", errors="replace"))]
        except InputError as error:
            raise InputError(f"reading {number}: {error.place}", error.given, error.accepted, error.fault) from error
        del item["file"]


def _answer(options: argparse.Namespace) -> str:
    """Answer a question on a sheet in the form asked for."""
    sheet, asked = _sheet_asked(options)
    known = (
        {"corrected": asked.corrected, "steps_left": asked.steps_to_do()} if asked and options.command == "shop" else {}
    )
    answer = _function(options.function)(sheet, **known)
    if options.json:
        told = {**answer.to_dict(), **(asked.to_dict() if asked else {})}
        return json.dumps(told, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    from advisor.record.commands import units_of
    from advisor.record.output import write_answer
    from advisor.words.report import GENERATOR, heading, terminal

    title, before = heading(answer, sheet.bath.name), asked.sections() if asked else ()
    units = units_of(options.units)
    if not options.html:
        return terminal(title, (*before, *answer.sections()), units)
    from advisor.ui.look.paper import printed  # only who prints a page waits for it

    text = printed(sheet, answer, title, units, before)
    return write_answer(options.html, text, options.overwrite, "--html", mark=GENERATOR)


def _sheet_asked(options: argparse.Namespace) -> tuple[Sheet, Asked | None]:
    """Return the sheet to answer, with what the logbook adds to it where there is one and it is asked."""
    needs_volume, buys = options.command not in WITHOUT_VOLUME, options.command == "shop"
    or_bath = _or_bath(options)
    if options.command in NEW_BATH or options.alone or not logbook_file().exists():
        return read_sheet_file(options.sheet, needs_volume, or_bath), None
    from advisor.record.asked import of_bath, with_the_record  # only who has a logbook waits for it

    if options.sheet != "-" and not Path(options.sheet).exists():
        asked = of_bath(options.sheet, buys)
    else:
        asked = with_the_record(read_sheet_file(options.sheet, needs_volume, or_bath), buys)
    return (asked.sheet, asked) if asked else (read_sheet_file(options.sheet, needs_volume, or_bath), None)


def _example(options: argparse.Namespace) -> str:
    from advisor.examples import example_text

    return example_text(options.name)


if __name__ == "__main__":
    sys.exit(main())
