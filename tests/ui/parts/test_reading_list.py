"""A pH curve's file becomes the points of its reading."""

import io

import pytest
import streamlit as st

from advisor.ui.parts import reading_list
from advisor.ui.session import state

KEY = "curve_file_1"


@pytest.fixture(autouse=True)
def visit(monkeypatch):
    kept = {}
    monkeypatch.setattr(st, "session_state", kept)
    monkeypatch.setattr(st, "query_params", {})
    state.add_reading("pH curve", file="curve.csv")
    return kept


def test_a_curve_file_becomes_points_and_takes_the_place_of_the_file_named(visit):
    visit[KEY] = io.BytesIO(b"mL;pH\n0;1,20\n2,5;1,31\n")
    reading_list._open_curve(1, KEY)
    assert state.part("reading 1") == {"points": [[0.0, 1.2], [2.5, 1.31]]}


def test_a_file_that_is_no_curve_changes_nothing_and_says_why(visit):
    visit[KEY] = io.BytesIO(b"only words\nno numbers")
    reading_list._open_curve(1, KEY)
    assert state.part("reading 1") == {"file": "curve.csv"}
    assert "write a row for each point" in str(visit[f"{KEY}_refused"])


def test_the_second_of_a_test_that_is_done_twice_has_all_but_what_is_read(visit):
    state.add_reading("acid titration", sample="10 mL", strength="42 g/L", used="4.3 mL", fizzing=False)
    visit["tapped"] = {}
    reading_list._once_more(2)
    assert state.raw()["reading"][2] == {"kind": "acid titration", "sample": "10 mL", "strength": "42 g/L"}
    reading_list._once_more(2)  # of a double click
    assert len(state.raw()["reading"]) == 3


def test_the_second_is_offered_once_the_first_is_read(monkeypatch):
    offered = []
    monkeypatch.setattr(st, "button", lambda words, **more: offered.append(words))
    state.add_reading("acid titration", sample="10 mL")
    reading_list.offer_once_more(2, "acid titration")
    assert offered == []
    state.put("reading 2", "used", "4.3 mL")
    reading_list.offer_once_more(2, "acid titration")
    assert offered == ["Type in the second one"]
    state.add_reading("acid titration", sample="10 mL", used="4.4 mL")
    reading_list.offer_once_more(2, "acid titration")
    reading_list.offer_once_more(3, "acid titration")
    assert offered == ["Type in the second one"]  # the second stands there


def test_a_removed_reading_takes_its_file_along(visit):
    visit[KEY] = None
    reading_list.remove(1, 0)
    assert KEY not in visit
    assert state.raw() == {}


def test_a_tap_on_a_page_of_before_takes_no_other_reading(visit, monkeypatch):
    monkeypatch.setattr(state, "DOUBLE_CLICK", 0.0)
    state.add_reading("hydrometer")
    reading_list.remove(1, 0)
    reading_list.remove(1, 0)
    assert state.raw() == {"reading": [{"kind": "hydrometer"}]}
    reading_list._put_back()
    reading_list._put_back()
    assert state.raw() == {"reading": [{"kind": "pH curve", "file": "curve.csv"}, {"kind": "hydrometer"}]}


def test_a_double_click_is_one_tap(visit):
    visit["reading_kind"] = "hydrometer"
    reading_list._add()
    reading_list._add()
    assert [reading["kind"] for reading in state.raw()["reading"]] == ["pH curve", "hydrometer"]
    reading_list.remove(1, 0)
    reading_list.remove(1, 1)
    assert [reading["kind"] for reading in state.raw()["reading"]] == ["hydrometer"]
