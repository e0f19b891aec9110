"""The page that asks all at once: what came filled in is folded, and opens where it must be seen."""

import datetime
import html

import pytest

from advisor.examples import example_text
from tests.widgets import said, sheet_field, unfold

VOLUME = "sheet_bath_volume"


@pytest.fixture
def empty(app_test):
    return app_test("check.py")


def open_sheet(app, text):
    if not any(field.key == "bench_upload" for field in app.file_uploader):
        unfold(app, "begin_False")
    app.file_uploader(key="bench_upload").upload("sheet.toml", text.encode(), "application/toml").run()
    assert not app.exception
    return app


def test_an_empty_sheet_asks_openly(empty):
    assert sheet_field(empty.text_input, VOLUME).value == ""
    assert "Your tools" in [heading.value for heading in empty.header]


def test_a_sheet_that_comes_filled_in_is_folded(empty):
    app = open_sheet(empty, example_text("dull"))
    titles = [part.label for part in app.expander]
    assert {"Your bath and how it looks", "What got into it", "Your tools"} <= set(titles)
    assert not [field for field in app.text_input if field.key.startswith(VOLUME)]
    unfold(app, "at_once_0")
    assert sheet_field(app.text_input, VOLUME).value == "5.6 L"
    sheet_field(app.text_input, VOLUME).input("5.4 L").run()
    assert [part.label for part in app.expander if part.label in titles] == titles  # another title would fold it anew


def test_what_is_typed_in_place_stays_open(empty):
    sheet_field(empty.text_input, VOLUME).input("5 L").run()
    empty.selectbox(key="reading_kind").select("hydrometer").run()
    empty.button(key="reading_add").click().run()
    sheet_field(empty.text_input, "sheet_reading_1_value").input("1.15").run()
    assert sheet_field(empty.text_input, VOLUME).value == "5 L"


def test_a_part_with_something_wrong_in_it_opens_by_itself(empty):
    app = open_sheet(empty, example_text("dull"))
    unfold(app, "at_once_0")
    sheet_field(app.text_input, VOLUME).input("5.6 kg").run()
    app.session_state["at_once_0"] = False
    app.run()
    assert sheet_field(app.text_input, VOLUME).value == "5.6 kg"
    assert not [field for field in app.text_input if field.key.startswith("sheet_bath_soda_added")]  # that is right


def test_a_day_that_lies_ahead_is_said_at_its_field(empty):
    app = open_sheet(empty, example_text("dull"))
    today = datetime.date.today()
    for day in (today + datetime.timedelta(days=1), ahead := today + datetime.timedelta(days=2)):
        assert "lies ahead" not in said(app)
        app.session_state["sheet"]["bath"]["date"] = day
        app.run()
    accepted = f"that day lies ahead; write the day of the readings, today ({today}) at the latest"
    assert f'Not usable: Date: you gave "{ahead}"; {accepted}' in html.unescape(said(app))
    assert "This is the answer from before your last change." in said(app)
    assert sheet_field(app.date_input, "sheet_bath_date").value == ahead


def test_what_the_answer_asks_for_is_open(empty):
    lines = example_text("dull").splitlines(keepends=True)
    unanswered = [line for line in lines if not line.startswith(("soda_added", "touched", "topped_up_with", "anodes"))]
    app = open_sheet(empty, "".join(unanswered))
    assert "#questions" in said(app)
    assert sheet_field(app.text_input, "sheet_bath_soda_added").value == ""


def test_where_nothing_is_measured_the_best_test_has_the_filled_button(empty):
    sheet_field(empty.text_input, VOLUME).input("5,6").run()
    filled = [button.key for button in empty.button if button.proto.type == "primary"]
    first, *others = [button.key for button in empty.button if (button.key or "").startswith("guide_add_")]
    assert filled == [first]
    assert others
