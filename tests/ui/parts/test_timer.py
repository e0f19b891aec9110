"""A clock is started and stopped by a tap, and one that is drawn anew goes on from where it is."""

import pytest
from streamlit.testing.v1 import AppTest


def page():
    from advisor.bench.waits import Wait
    from advisor.ui.parts import timer

    timer.show((Wait("Let it <settle>", 1800.0),), "here")


@pytest.fixture
def app():
    return AppTest.from_function(page, default_timeout=30).run()


def test_a_clock_starts_and_stops(app):
    assert app.button(key="timer_start_here_0").label == "Let it <settle> 30 min"
    app.button(key="timer_start_here_0").click().run()
    drawn = app.get("html")[0].proto.body
    assert "--for:1800" in drawn
    assert "&lt;settle&gt;" in drawn
    app.button(key="timer_stop_here_0").click().run()
    assert not app.get("html")


def test_a_clock_that_is_drawn_anew_goes_on(app):
    app.button(key="timer_start_here_0").click().run()
    started = app.session_state["timer_started"]
    started["here_0"] -= 600
    drawn = app.run().get("html")[0].proto.body
    assert "animation-delay:-600s" in drawn
    assert "animation-delay:1200s" in drawn  # until time is up
