"""What a browser sends of a field that it has not heard of yet undoes nothing; what a person types counts."""

import pytest
import streamlit as st

from advisor.ui.session import heard
from tests.widgets import sheet_field


@pytest.fixture
def visit(monkeypatch):
    """A session of our own, without a browser."""
    kept = {}
    monkeypatch.setattr(st, "session_state", kept)
    return kept


def test_what_is_typed_counts(visit):
    heard.write("volume", "")
    visit["volume"] = "9.5"
    assert heard.is_typed("volume")


def test_an_empty_field_that_is_gone_says_nothing(visit):
    heard.write("asked", "")
    del visit["asked"]  # not drawn any more
    visit["asked"] = ""  # and yet a late message still holds it
    assert not heard.is_typed("asked")


def test_a_late_message_does_not_undo_what_this_side_wrote(visit):
    heard.write("volume", "")
    heard.write("volume", "9.5 L")  # typed at another place of the page
    visit["volume"] = ""
    assert not heard.is_typed("volume")


def test_whoever_has_heard_may_empty_the_field(visit):
    heard.write("volume", "")
    heard.write("volume", "9.5 L")
    visit[heard.HEARD] = "1"
    visit["volume"] = ""
    assert heard.is_typed("volume")


def test_whoever_has_heard_of_one_text_has_not_heard_of_the_next(visit):
    for text in ("", "9.5 L", "8 L"):
        heard.write("volume", text)
    visit[heard.HEARD] = "1"
    visit["volume"] = "9.5 L"  # as it was before this side wrote the last
    assert not heard.is_typed("volume")
    visit[heard.HEARD] = "2"
    assert heard.is_typed("volume")


def test_what_stands_there_already_is_not_written_again(visit):
    heard.write("volume", "9.5 L")
    heard.write("volume", "9.5 L")
    assert heard._WRITTEN not in visit


def test_only_fields_that_begin_so_are_forgotten(visit):
    for key in ("sheet_volume", "level_now"):
        heard.write(key, "9.5 L")
    heard.forget("sheet_")
    assert (heard.is_typed("sheet_volume"), heard.is_typed("level_now")) == (True, False)


def test_another_text_counts_even_if_late(visit):
    heard.write("volume", "")
    heard.write("volume", "9.5 L")
    visit["volume"] = "8"
    assert heard.is_typed("volume")


def test_a_volume_survives_a_message_that_was_under_way(app_test):
    app = app_test("check.py")
    sheet_field(app.text_input, "sheet_bath_volume_asked").input("9,5").run()
    app.text_input(key=heard.HEARD).set_value("0")  # as a browser sends it that has not been answered yet
    sheet_field(app.text_input, "sheet_bath_volume").set_value("")
    sheet_field(app.text_input, "sheet_bath_temperature").set_value("18").run()
    assert app.session_state["sheet"] == {"bath": {"volume": "9,5 L", "temperature": "18 °C"}}
    sheet_field(app.text_input, "sheet_bath_volume").set_value("").run()  # it has been answered: now it is a wish
    assert "volume" not in app.session_state["sheet"]["bath"]
