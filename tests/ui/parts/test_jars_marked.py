"""What is done on the picture of a photograph: a jar more, one less or one moved, and nothing by what is no act."""

import numpy as np
import pytest

from advisor.measure.jars import Jar
from advisor.measure.photograph import Box
from advisor.ui.parts import photo_parts

PICTURE = np.full((200, 300, 3), 230, dtype=np.uint8)
JARS = {0: Jar(Box(0.1, 0.3, 0.2, 0.6)), 4: Jar(Box(0.7, 0.3, 0.8, 0.6), "it is as pale as the paper")}


@pytest.fixture
def act(monkeypatch):
    """Do something on the picture, as a browser sends it, and return the jars that are marked then."""
    photo = photo_parts._Photo("jars", PICTURE, "", JARS, ())
    monkeypatch.setattr(photo_parts.st, "session_state", {photo_parts._key(1): photo})
    monkeypatch.setattr(photo_parts, "white_places", lambda picture, jars: ())  # which take a while to find

    def after(**sent):
        photo_parts._act(1, sent)
        return photo_parts.st.session_state[photo_parts._key(1)].jars

    return after


def test_a_tap_beside_the_jars_marks_one_more_and_one_inside_a_jar_none(act):
    assert act(kind="tap", x=0.15, y=0.45) == JARS
    jars = act(kind="tap", x=0.45, y=0.45)
    assert [*jars] == [0, 4, 5]
    assert jars[5].box.middle() == pytest.approx((0.45, 0.45), abs=0.01)


def test_no_more_jars_are_marked_than_a_picture_takes(act, monkeypatch):
    monkeypatch.setattr(photo_parts, "MOST_JARS", 2)
    assert act(kind="tap", x=0.45, y=0.45) == JARS


def test_a_mark_is_dropped_or_moved_and_a_bare_place_is_neither(act):
    assert act(kind="drop", x=0.45, y=0.45) == act(kind="move", x=0.45, y=0.45, dx=0.1) == JARS
    moved = act(kind="move", x=0.15, y=0.45, dx=0.1, dy=-0.05)
    assert moved[0].box.middle() == pytest.approx((0.25, 0.4), abs=0.01)
    assert [*act(kind="drop", x=0.25, y=0.4)] == [4]


@pytest.mark.parametrize(
    "where", [{"x": 1.1}, {"x": -0.1}, {"y": -0.1}, {"dx": -1.1}, {"x": "left"}, {"x": None}, {"x": "nan"}]
)
def test_what_lies_beyond_the_picture_or_is_no_number_changes_nothing(act, where):
    assert act(**{"kind": "tap", "x": 0.45, "y": 0.45} | where) == JARS


def test_a_jar_that_was_asked_about_is_sure_or_gone(act):
    photo_parts._settle(1, 4, is_jar=True)
    assert act() == JARS | {4: Jar(JARS[4].box)}
    photo_parts._settle(1, 4, is_jar=False)
    assert act() == {0: JARS[0]}


@pytest.mark.parametrize(
    ("row", "middle"),
    [([7, 2, 5], []), ([7, 2, 5, 3], [2, 5]), ([7, 2, 5, 3, 1], [2, 5]), ([7, 2, 5, 3, 1, 0], [5, 3])],
)
def test_the_two_in_the_middle_are_taken_for_the_bath_at_first(monkeypatch, row, middle):
    """Of three jars none is: one of them alone would leave one standard, or two that are no pair in the middle."""
    monkeypatch.setattr(photo_parts.st, "pills", lambda label, row, default, **_: default)
    assert photo_parts._jars_of_bath(1, row) == middle
