"""Steps that are ticked belong to one plan and one bath; what the logbook holds of them, to one check."""

import pytest
import streamlit as st

from advisor.record.drafts import Ticks
from advisor.ui.session import ticks


@pytest.fixture(autouse=True)
def visit(monkeypatch):
    """A session of our own, without a browser."""
    kept = {"sheet": {"bath": {"name": "Vat"}}}
    monkeypatch.setattr(st, "session_state", kept)
    return kept


def test_what_a_draft_holds_comes_back_and_takes_the_place_of_what_was():
    draft = Ticks("plan", (1, 3), (("bath", "1 L"), ("water", "2 L")), (7, 8))
    ticks.restore(Ticks("another plan", (2,)))
    ticks.restore(draft)
    assert ticks.ticked() == draft
    assert [st.session_state[ticks.used_key(number)] for number in draft.done] == ["1 L", "2 L"]
    ticks.restore(None)
    assert ticks.ticked() is None
    ticks.restore(Ticks("plan", ()))
    assert ticks.ticked() is None
    assert st.session_state == {"sheet": {"bath": {"name": "Vat"}}}


def test_a_tick_that_is_taken_off_leaves_nothing_done(visit):
    ticks.restore(Ticks("plan", (1,), (("bath", "1 L"),)))
    visit[ticks.key_of(1)] = False
    assert ticks.ticked() is None  # and so nothing that went in is said of another plan


def test_what_is_not_saved_keeps_the_amounts_of_its_own_steps():
    """The first number is that of the check itself."""
    amounts = (("bath", "1 L"), ("water", "2 L"), ("sulfuric acid", "30 mL"))
    assert Ticks("plan", (1, 2, 3), amounts, (7, 8)).not_saved() == Ticks("plan", (2, 3), amounts[1:])
    assert Ticks("plan", (1, 2, 3), amounts, (7, 8, 9, 10)).not_saved() == Ticks("plan", ())
    assert Ticks("plan", (1, 2, 3), amounts).not_saved() == Ticks("plan", (1, 2, 3), amounts)


def test_steps_are_saved_with_one_check_and_with_no_other():
    assert (ticks.saved(None), ticks.saved(7)) == ((), ())
    ticks.note_saved(7, [8, 9])
    assert (ticks.saved(7), ticks.saved(6), ticks.saved(None)) == ((8, 9), (), ())


def test_what_is_ticked_goes_with_its_bath(visit):
    ticks.restore(Ticks("plan", (1, 2), (("bath", "1 L"), ("water", "2 L")), (7, 8)))
    visit["sheet"] = {"bath": {"name": "Vat"}}  # the same check, loaded anew
    ticks.follow_the_bath()
    assert ticks.ticked().done == (1, 2)
    visit["sheet"] = {"bath": {"name": "Vat", "volume": "5 L"}}  # its next one: step 1 stands in the record
    ticks.follow_the_bath()
    assert ticks.ticked() == Ticks("plan", (2,), (("water", "2 L"),))
    visit["sheet"] = {"bath": {"name": "Shed"}}
    ticks.follow_the_bath()
    assert ticks.ticked() is None
