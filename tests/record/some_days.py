"""Entries on days of one year, for tests that work out by hand what follows from them."""

import datetime
import itertools
from collections.abc import Sequence

from advisor.basis.fields import read_table
from advisor.record.doses import doses_due
from advisor.record.due import Due, due
from advisor.record.entries import CONTENTS, Check, Content, Entry
from advisor.record.overview import overview

START = datetime.datetime(2026, 1, 1, 12, tzinfo=datetime.UTC)
_NUMBERS = itertools.count(1)
_WORDS = {table.word or "withdraw": table for table in CONTENTS.values()}


def moment(day: float) -> datetime.datetime:
    return START + datetime.timedelta(days=day)


def at(day: float, content: Check | Content, corrects: int | None = None) -> Entry:
    """Return an entry that says this on a day."""
    return Entry(next(_NUMBERS), "Shed tank", moment(day), moment(day), "test", corrects, content)


def on(day: float, word: str, corrects: int | None = None, **fields: str) -> Entry:
    """Return an entry of a kind (its word on the command line) with fields as they are typed."""
    errors: list = []
    content = read_table(_WORDS[word], fields, word, errors)
    assert not errors, errors
    return at(day, content, corrects)


def due_of(bath: str, entries: Sequence[Entry], now: datetime.datetime) -> tuple[Due, ...]:
    """Return what is due of a bath by all its entries."""
    return due(entries, now, overview(bath, entries, now), doses_due(entries, now))
