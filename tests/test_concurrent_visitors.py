"""Visitors who arrive at the same moment: Streamlit runs the entry in a thread for each, and they share `sys.path`."""

import sys
from itertools import count
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from advisor.launch import APP

pytestmark = pytest.mark.slow


class TakenByAnother(list):
    """A list from which another thread takes an entry just before it would be removed."""

    def remove(self, entry: str) -> None:
        super().remove(entry)
        super().remove(entry)


def test_two_visitors_at_once_do_not_trip_over_the_search_path(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", TakenByAnother([str(APP.parent), *sys.path]))
    assert not AppTest.from_file(str(APP), default_timeout=30).run().exception
    assert str(APP.parent) not in sys.path


def test_nothing_else_is_lost_from_the_search_path(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking an entry up gives way to other threads, which then change the list."""
    others = [f"/somewhere/{number}" for number in range(5)]
    monkeypatch.setattr(sys, "path", [str(APP.parent), *others, *sys.path])
    resolve, calls = Path.resolve, count()

    def interrupted(path: Path, strict: bool = False) -> Path:
        if next(calls) == 2 and str(APP.parent) in sys.path:
            sys.path.remove(str(APP.parent))
        return resolve(path, strict)

    monkeypatch.setattr(Path, "resolve", interrupted)
    code = APP.read_text(encoding="utf-8").split("import streamlit")[0]
    exec(compile(code, str(APP), "exec"), {"__file__": str(APP)})
    assert set(others) <= set(sys.path)
    assert str(APP.parent) not in sys.path
