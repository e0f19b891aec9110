"""Typed, checked, cached access to the published figures in `reference_tables/`.

One CSV file a table, one entry a table in `sources.toml`. This module reads and checks them; what a figure
means is the business of the module that asks for it. A missing table, an unknown column or a cell that is no
number raises `TableError` with the file, the line and the column.
"""

import csv
import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from advisor.basis.places import REFERENCE_TABLES


class TableError(ValueError):
    """A reference table, a column or a cell is missing or malformed."""


@dataclass(frozen=True)
class Source:
    """Where the figures of one table come from.

    `keys` explains the short keys in the table's own `source` column, where one table draws on several texts.
    """

    author: str
    year: str
    title: str
    where: str  # table or page
    units: str
    range: str
    status: str  # read, memory, computed, judgement or mixed
    note: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)


def _path(name: str) -> Path:
    path = REFERENCE_TABLES / f"{name}.csv"
    if not path.is_file():
        raise TableError(f"reference table {path.name} is missing: looked in {REFERENCE_TABLES}")
    return path


@cache
def rows(name: str) -> tuple[Mapping[str, str], ...]:
    """All rows of a table as text, in file order; read-only.

    Raises
    ------
    TableError
        The table is missing or a line has too many or too few cells.
    """
    path = _path(name)
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        table = []
        for row in reader:
            if None in row or None in row.values():
                raise TableError(f"{path.name}, line {reader.line_num}: the number of cells is wrong")
            table.append(MappingProxyType(row))
    return tuple(table)


def _matching(name: str, where: Mapping[str, str]) -> Iterator[tuple[int, Mapping[str, str]]]:
    """The rows whose cells equal `where`, each with its line in the file (line 1 is the heading)."""
    for line, row in enumerate(rows(name), start=2):
        if all(_cell(name, line, row, key) == value for key, value in where.items()):
            yield line, row


def _cell(name: str, line: int, row: Mapping[str, str], key: str) -> str:
    if key not in row:
        raise TableError(f"{name}.csv, line {line}: no column {key!r}; it has {', '.join(row)}")
    return row[key]


def _number(name: str, line: int, row: Mapping[str, str], key: str) -> float:
    text = _cell(name, line, row, key).strip()
    try:
        number = float(text)
    except ValueError as error:
        raise TableError(f"{name}.csv, line {line}, column {key!r}: {text!r} is not a number") from error
    if not math.isfinite(number):
        raise TableError(f"{name}.csv, line {line}, column {key!r}: {text!r} is not finite")
    return number


def column(name: str, key: str, /, **where: str) -> NDArray[np.float64]:
    """One column of a table as numbers, in the unit that its name states.

    Parameters
    ----------
    name, key
        Table (without `.csv`) and column.
    where
        Keep only the rows whose named columns hold exactly this text.

    Returns
    -------
    Read-only array, shape (rows kept,).

    Raises
    ------
    TableError
        The table or column is missing, no row is left, or a cell is not a finite number.
    """
    numbers = [_number(name, line, row, key) for line, row in _matching(name, where)]
    if not numbers:
        raise TableError(f"{name}.csv: no row with {dict(where)}")
    array = np.array(numbers)
    array.setflags(write=False)
    return array


@cache
def _sources() -> Mapping[str, Source]:
    path = REFERENCE_TABLES / "sources.toml"
    try:
        with path.open("rb") as file:
            entries = tomllib.load(file)
    except FileNotFoundError as error:
        raise TableError(f"{path} is missing") from error
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"{path.name} is not valid TOML: {error}") from error
    return MappingProxyType({name: _source(name, entry) for name, entry in entries.items()})


def _source(name: str, entry: dict[str, object]) -> Source:
    try:
        return Source(**entry)  # type: ignore[arg-type]
    except TypeError as error:
        raise TableError(f"sources.toml, entry {name!r}: {error}") from error


def source(name: str) -> Source:
    """Where a table's figures come from.

    Raises
    ------
    TableError
        The table has no entry in `sources.toml`, or the entry lacks a field.
    """
    if name not in _sources():
        raise TableError(f"sources.toml has no entry {name!r}")
    return _sources()[name]
