"""A bath of the logbook is one tap away where a question needs to know what it holds; what was typed stays."""

import pytest

from advisor.readings.origin import Origin
from advisor.ui.parts import recorded
from advisor.ui.session import state
from tests.ui.parts.test_level_dropped import record
from tests.widgets import text_of

PAGES = ("plating_run.py", "keep_or_remake.py", "treatments.py")
TYPED = {"plate": {"area": "50 cm2", "thickness": "0.1 mm"}, "bath": {"temperature": "26 °C"}}


@pytest.fixture
def opened(app_test):
    """Opens a page with what stands in the sheet."""

    def open_page(file, sheet):
        app = app_test(file)
        app.session_state["sheet"] = sheet
        app.run()
        assert not app.exception
        return app

    return open_page


def offered(app):
    return [name for group in app.button_group if group.key == recorded.BATH for name in group.options]


def take(app, name):
    app.button_group(key=recorded.BATH).select(name).run()
    assert not app.exception
    return app.session_state["sheet"]


@pytest.mark.parametrize("of_the_file", [{}, {"reading": []}])
def test_a_run_in_a_recorded_bath_asks_nobody_what_it_holds(opened, of_the_file):
    record("Shed")
    app = opened("plating_run.py", TYPED | of_the_file)
    assert "since yours is not known" in text_of(app)
    sheet = take(app, "Shed")
    (reading,) = sheet["reading"]
    assert reading["origin"] == Origin.LOGBOOK
    assert sheet["plate"] == TYPED["plate"]
    bath = sheet["bath"]
    assert (bath["name"], bath["volume"], bath["temperature"]) == ("Shed", "5.6 L", "26 °C")
    assert "since yours is not known" not in text_of(app)
    assert offered(app) == []


@pytest.mark.parametrize("what", ["carbon", "dummying", "less chloride", "crystals"])
def test_a_treatment_in_a_recorded_bath_asks_nobody_how_much_it_is(opened, what):
    record("Shed")
    app = opened("treatments.py", {"treat": {"what": what}})
    assert "how much bath is there?" in text_of(app)
    sheet = take(app, "Shed")
    assert (sheet["treat"], sheet["bath"]["volume"]) == ({"what": what}, "5.6 L")
    assert "how much bath is there?" not in text_of(app)


@pytest.mark.parametrize("page", PAGES)
def test_each_bath_of_which_the_record_tells_is_offered(opened, page):
    record("Shed")
    record("Kitchen")
    assert offered(opened(page, {})) == ["Kitchen", "Shed"]


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize(
    ("sheet", "left"),
    [
        ({"bath": {"name": "Kitchen"}}, ["Kitchen"]),
        ({"bath": {"name": "Attic"}}, []),
        ({"bath": {"condition": ["cloudy"]}}, []),
        ({"bath": {"volume": "5 L"}, "reading": [{"kind": "hydrometer"}]}, []),
    ],
)
def test_no_other_bath_is_offered_than_the_one_at_hand_and_none_that_is_told(opened, page, sheet, left):
    record("Shed")
    record("Kitchen")
    assert offered(opened(page, sheet)) == left


def test_what_was_typed_is_still_not_saved_once_a_bath_is_taken(opened):
    record("Shed")
    taken = opened("plating_run.py", TYPED)
    take(taken, "Shed")
    untouched = opened("plating_run.py", {})
    take(untouched, "Shed")
    assert [state._SAFE in app.session_state for app in (taken, untouched)] == [False, True]
