"""What stands after `log BATH` on the command line: the kind of entry, its fields, and when it was.

The words are made from the fields of the kinds, as the forms of the pages are, so that a new field has its option at
once. Nothing is written here.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.basis.fields import (
    ChoiceField,
    Fault,
    Field,
    InputError,
    fields_of,
    nearest,
    read_table,
    refuse_year,
    show,
)
from advisor.record.entries import CONTENTS, Content, Withdrawn

WORDS: dict[str, type[Content]] = {table.word: table for table in CONTENTS.values() if table is not Withdrawn}
WHEN = 'give a day, or a day and a time, such as "2026-03-14" or "2026-03-14 18:00"'
NUMBER = "give the number of an entry, as `history` shows it"
JUST_WORDS = ("note",)  # what a kind of words alone takes without its name
# What is done to an entry that is there already, as a person may call it, and how it is typed.
TO_ENTRIES = dict.fromkeys(("withdraw", "delete", "undo"), "`advisor withdraw NUMBER` takes an entry back")
TO_ENTRIES |= dict.fromkeys(("edit", "change", "correct"), "--replace NUMBER behind a kind changes an entry")
# Options that are of the entry, not of its content; what stands behind them, where anything does.
ALONE = ("json",)
OPTIONS = {"when": '"2026-03-14 18:00"', "replace": "NUMBER", "units": "us", "json": ""}


@dataclass(frozen=True)
class LogWords:
    """An entry as it was typed: what it says, when it was (None: now), which entry it replaces."""

    content: Content
    when: datetime.datetime | None
    replaces: int | None
    options: Mapping[str, str]


def read_log_words(words: Sequence[str]) -> LogWords:
    """Read what stands after the bath; raises InputError that names the field."""
    if not words:
        raise InputError.missing("log: kind", f"it must be one of: {', '.join(WORDS)}")
    word, *rest = words
    if word not in WORDS:
        accepted = TO_ENTRIES.get(word) or f"it must be one of: {', '.join(WORDS)}{nearest(word, WORDS)}"
        raise InputError("log: kind", show(word), accepted, Fault.NOT_READABLE)
    table = WORDS[word]
    raw, options = _sorted_out(rest, word, table.first)
    errors: list[InputError] = []
    content = read_table(table, raw, word, errors)
    if content is None:
        raise errors[0]
    replaces = _number(options["replace"]) if "replace" in options else None
    return LogWords(content, _moment(options.get("when")), replaces, options)


def _sorted_out(words: Sequence[str], kind: str, first: Sequence[str]) -> tuple[dict[str, str], dict[str, str]]:
    """Return the fields and the options by their names; words without a name are the `first` fields, in order."""
    raw: dict[str, str] = {}
    options: dict[str, str] = {}
    unnamed = list(first)
    left = list(words)
    while left:
        word = left.pop(0)
        if word.startswith("--"):
            name, value = _named(word, left, kind)
            unnamed = [each for each in unnamed if each != name]
        elif first == JUST_WORDS and "note" in raw:
            raw["note"] += f" {word}"  # who writes a note need not put it in quotation marks
            continue
        elif unnamed:
            name, value = unnamed.pop(0), word
        else:
            named = f"give it by its name, as --{next(iter(fields_of(WORDS[kind])))}"
            raise InputError(kind, show(word), f"nothing more stands here without a name; {named}", Fault.CONFLICT)
        into = options if name in OPTIONS else raw
        if name in into and name not in ALONE:
            raise InputError(f"{kind}: {name}", show(value), "it was given twice", Fault.CONFLICT)
        into[name] = value
    return raw, options


def _named(word: str, left: list[str], kind: str) -> tuple[str, str]:
    """Return the name of an option and what it says, which may stand behind it and is then taken from what is left."""
    name, given, value = word[2:].partition("=")
    name = name.replace("-", "_")
    if name in ALONE or given:
        return name, value
    if not left:
        raise InputError.missing(f"{kind}: {name}", f"write what it is behind --{word[2:]}")
    return name, left.pop(0)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit()) or len(text) > 12:
        raise InputError("log: entry", show(text), NUMBER, Fault.NOT_READABLE)
    return int(text)


def _moment(text: str | None) -> datetime.datetime | None:
    """Return a time as it was typed, local; a day alone is its noon, and today alone is now."""
    if text is None:
        return None
    try:
        when = datetime.datetime.fromisoformat(text.strip())
    except ValueError as error:  # fromisoformat raises nothing narrower
        raise InputError("log: when", show(text), WHEN, Fault.NOT_READABLE) from error
    refuse_year(when, "log: when")
    if len(text.strip()) > len("2026-03-14"):
        return when
    return None if when.date() == datetime.date.today() else when.replace(hour=12)


def log_help(words: Sequence[str]) -> str:
    """Return how an entry is typed: of one kind with all its fields, or of all kinds in short."""
    kinds = [word for word in words if word in WORDS]
    if kinds:
        return _help_of(kinds[0])
    lines = ["usage: advisor log BATH KIND [VALUES] [--FIELD VALUE ...]", "", "Writes an entry into the logbook.", ""]
    lines += [f"  {_usage(word)}\n      {table.label}" for word, table in WORDS.items()]
    lines += ["", "With each: " + " ".join(_option(name) for name in OPTIONS)]
    lines += ["advisor log BATH KIND --help tells what each field of a kind takes."]
    return "\n".join(lines) + "\n"


def _help_of(word: str) -> str:
    table = WORDS[word]
    lines = [f"usage: advisor log BATH {_usage(word)}", "", table.label, ""]
    for name, field in fields_of(table).items():
        lines.append(f"  --{name.replace('_', '-')}\n      {_said_of(field)}")
    lines += ["", "Also: " + " ".join(_option(name) for name in OPTIONS)]
    return "\n".join(lines) + "\n"


def _said_of(field: Field) -> str:
    """Return what a field is and takes."""
    choices = f" One of: {', '.join(field.choices)}." if isinstance(field, ChoiceField) else ""
    needed = " Needed." if field.required else ""
    return f"{field.label}. {field.help}{choices}{needed}".replace("..", ".").strip()


def _usage(word: str) -> str:
    table = WORDS[word]
    known = fields_of(table)
    shown = [name.upper() if known[name].required else f"[{name.upper()}]" for name in table.first]
    named = [f"[--{name.replace('_', '-')} …]" for name in known if name not in (*table.first, "note")]
    return " ".join([word, *shown, *named])


def _option(name: str) -> str:
    return f"[--{name}{' ' if OPTIONS[name] else ''}{OPTIONS[name]}]"
