"""Answers written to a file of the person's choice: never over a bench sheet, over another file only where asked."""

from __future__ import annotations

from pathlib import Path

from advisor.basis.fields import InputError
from advisor.basis.files import read_bytes, write_whole
from advisor.sheet import LARGEST_FILE, Sheet, parse_toml


def write_answer(
    name: str, text: str, overwrite: bool, option: str, mark: str | None = None, newline: str | None = None
) -> str:
    """Write a text to a file and say so. Raises InputError.

    option: the one that named the file. mark: what a file of this program holds, which may be written over. newline: as
    of `open`.
    """
    try:
        if matter := _kept_as_it_is(Path(name), overwrite, mark):
            raise InputError(option, f"{name} {matter[0]}", matter[1])
        write_whole(Path(name), text, newline)
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(option, f"{name} cannot be written ({reason})", "give a file that can be written") from error
    return f"Written to {name}\n"


def _kept_as_it_is(path: Path, overwrite: bool, mark: str | None) -> tuple[str, str] | None:
    """Return what is the matter with writing over a file, and what to do; None where it may be written."""
    if not path.is_file():
        return None
    content = read_bytes(path, LARGEST_FILE)
    try:
        is_sheet = bool(parse_toml(content).keys() & {*Sheet.TABLES, "reading", "stock"})
    except InputError:
        is_sheet = False
    if is_sheet or path.suffix == ".toml":
        return "is a bench sheet, which no answer replaces", "give another name"
    if overwrite or (mark is not None and mark.encode() in content[:500]):
        return None
    matter = "is there already and is no page of this program" if mark else "is there already"
    return matter, "give another name, or add --overwrite"
