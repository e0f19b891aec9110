"""An empty logbook, and a sheet with its advice to record in it."""

import pytest

from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet


@pytest.fixture
def logbook(tmp_path) -> Logbook:
    return Logbook(tmp_path / "book" / "logbook.sqlite3")


@pytest.fixture(scope="module")
def checked():
    sheet = parse_sheet(example_text("dull").encode())
    return sheet, advise(sheet)
