"""Steps of a card that are ticked belong to one reading, whatever its number becomes, and to no other like it."""

import pytest
import streamlit as st

from advisor.ui.session import card_ticks


@pytest.fixture(autouse=True)
def visit(monkeypatch):
    """A session of our own, without a browser, with two readings that are alike."""
    kept = {"sheet": {"reading": [{"kind": "hydrometer"}, {"kind": "hydrometer"}]}}
    monkeypatch.setattr(st, "session_state", kept)
    return kept


@pytest.fixture
def is_ticked(monkeypatch, visit):
    """Draws the box of a step of a reading and tells whether it is ticked; `tap`: then taps it."""

    def draw(number, step, tap=False, words=""):
        boxes = []
        monkeypatch.setattr(st, "checkbox", lambda _, value, **more: boxes.append((value, more)))
        card_ticks.box("Take a sample", number, step, words or f"Step {step}")
        ((value, more),) = boxes
        if tap:
            visit[more["key"]] = not value
            more["on_change"](*more["args"])
        return value

    return draw


def how_many():
    """Return how many steps of each reading are done."""
    return [len(steps) for steps in card_ticks.done()]


def test_each_tap_turns_its_own_step_of_its_own_reading(is_ticked):
    for number, step in ((1, 2), (1, 1), (2, 3)):
        assert not is_ticked(number, step, tap=True)
    assert how_many() == [2, 1]
    assert is_ticked(1, 2, tap=True)
    assert how_many() == [1, 1]
    assert [is_ticked(1, step) for step in (1, 2, 3)] == [True, False, False]
    assert [is_ticked(2, step) for step in (1, 2, 3)] == [False, False, True]


def test_a_tick_stays_at_its_own_words_where_the_steps_change(is_ticked):
    is_ticked(1, 2, tap=True, words="Pour in the bath")
    assert not is_ticked(1, 2, words="Pour in 10 mL of bath")
    assert is_ticked(1, 3, words="Pour in the bath")


def test_where_the_last_tick_is_taken_off_nothing_is_done(is_ticked):
    is_ticked(2, 1, tap=True)
    assert how_many() == [0, 1]
    is_ticked(2, 1, tap=True)
    assert card_ticks.done() == ()


def test_the_second_reading_keeps_its_steps_where_the_first_goes(is_ticked, visit):
    is_ticked(1, 1, tap=True)
    is_ticked(2, 3, tap=True)
    del visit["sheet"]["reading"][0]
    assert how_many() == [1]
    assert is_ticked(1, 3)


def test_what_a_draft_of_before_holds_comes_back_by_its_numbers_and_may_be_of_fewer_readings(is_ticked):
    is_ticked(2, 3, tap=True)
    card_ticks.restore([[1, 2]])
    assert card_ticks.done() == ((1, 2), ())
    assert [is_ticked(1, step) for step in (1, 2, 3)] == [True, True, False]
    is_ticked(1, 3, tap=True)
    assert how_many() == [3, 0]
    again = card_ticks.done()
    card_ticks.restore(again)
    assert [is_ticked(1, step) for step in (1, 2, 3)] == [True, True, True]
    assert card_ticks.done() == again
