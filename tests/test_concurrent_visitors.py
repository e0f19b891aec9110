"""Visitors who arrive at the same moment: Streamlit runs the entry in a thread for each, and they share `sys.path`."""

import sys

import pytest
from streamlit.testing.v1 import AppTest

from advisor.launch import APP


class TakenByAnother(list):
    """A list from which another thread takes an entry just before it would be removed."""

    def remove(self, entry: str) -> None:
        super().remove(entry)
        super().remove(entry)


def test_two_visitors_at_once_do_not_trip_over_the_search_path(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", TakenByAnother([str(APP.parent), *sys.path]))
    assert not AppTest.from_file(str(APP), default_timeout=30).run().exception
    assert str(APP.parent) not in sys.path
