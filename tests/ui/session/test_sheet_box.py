"""An example says at the top of its pages that it is none of yours, and leads to your own."""

import pytest

from tests.widgets import said

MARK = "<b>Example</b>"


@pytest.mark.parametrize("page", ["check.py", "keep_or_remake.py"])
def test_an_example_is_marked_and_leads_to_a_sheet_of_ones_own(app_test, monkeypatch, page):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")
    app = app_test(page)
    assert MARK in said(app)
    monkeypatch.delenv("ADVISOR_EXAMPLE")
    app.button(key="example_own").click().run()
    assert not app.exception
    assert app.session_state["sheet"] == {}
    assert app.title[0].value == "Check your bath"
    assert MARK not in said(app)
