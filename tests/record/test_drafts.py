"""Sheets that were typed and not saved: kept whole, offered to the same device only, and not for ever."""

import os
import time

import pytest
from streamlit.testing.v1 import AppTest

from advisor.basis.places import PAGES
from advisor.launch import APP
from advisor.record import drafts
from advisor.record.logbook import data_folder
from advisor.sheet import LARGEST_FILE
from advisor.ui.session import state, unfinished
from tests.widgets import sheet_field

DAY = 86400
told_apart = unfinished._device


@pytest.fixture(autouse=True)
def this_computer(monkeypatch):
    """Streamlit's pages under test come from no address."""
    monkeypatch.setattr(unfinished, "_device", lambda: "this_computer")


def aged(path, days):
    moment = time.time() - days * DAY
    os.utime(path, (moment, moment))


def test_a_draft_comes_back_as_it_was_kept_and_the_last_changed_first():
    first, second = drafts.new_path("a"), drafts.new_path("a")
    drafts.save(first, 'x = "±"\n')
    drafts.save(second, "y = 1\n")
    aged(second, 1)
    assert [draft.text for draft in drafts.recent("a")] == ['x = "±"\n', "y = 1\n"]
    drafts.save(first, "x = 2\n")
    assert drafts.read(first).text == "x = 2\n"
    assert drafts.recent("b") == ()
    drafts.drop(first)
    drafts.drop(first)
    assert drafts.read(first) is None


def test_neither_too_many_nor_too_old_nor_too_large_ones_are_kept():
    old = drafts.new_path("a")
    drafts.save(old, "old = 1\n")
    aged(old, drafts.DAYS + 1)
    assert drafts.recent("a") == ()
    for number in range(drafts.KEPT + 3):
        drafts.save(drafts.new_path("a"), f"x = {number}\n")
    assert len(drafts.recent("a")) == drafts.KEPT
    assert not old.exists()
    large = drafts.new_path("b")
    drafts.save(large, "#" * (LARGEST_FILE + 1))
    assert not large.exists()


def test_devices_that_were_not_seen_for_long_are_forgotten():
    drafts.save(drafts.new_path("long ago"), "x = 1\n")
    aged(data_folder() / "drafts" / "long ago", drafts.DAYS + 1)
    drafts.save(drafts.new_path("now"), "x = 1\n")
    assert [folder.name for folder in (data_folder() / "drafts").iterdir()] == ["now"]


def test_nothing_but_whole_files_stands_in_the_folder():
    path = drafts.new_path("a")
    drafts.save(path, "x = 1\n")
    assert list(path.parent.iterdir()) == [path]
    (path.parent / "stray.toml").write_bytes(b"\xff\xfe")
    assert [draft.path for draft in drafts.recent("a")] == [path]


# --- In the app -----------------------------------------------------------------------------------


def visit(page="check.py"):
    app = AppTest.from_file(str(APP), default_timeout=30).run()
    return app.switch_page(str(PAGES / page)).run()


def offers(app):
    return [button.label for button in app.button if (button.key or "").startswith("unfinished_")]


def texts(safe=False):
    """The sheets that are kept: those that stand nowhere else, or those that do."""
    kept = [draft.text for draft in drafts.recent("this_computer")]
    return [text for text in kept if text.startswith(unfinished.SAFE) == safe]


def test_what_was_typed_is_offered_to_the_next_visit_and_goes_on_in_its_file():
    app = visit()
    assert offers(app) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    sheet_field(app.text_input, "sheet_bath_name").input("Fern *vat*").run()
    assert texts() == ['[bath]\nvolume = "5.6 L"\nname = "Fern *vat*"\n']
    assert offers(app) == []  # not to the one who types it

    again = visit()
    assert offers(again)[0].startswith(r"Go on: Fern \*vat\*, no reading yet, ")
    again.button(key="unfinished_0").click().run()
    assert sheet_field(again.text_input, "sheet_bath_volume").value == "5.6 L"
    assert offers(again) == []
    sheet_field(again.text_input, "sheet_bath_volume").input("much").run()
    assert texts() == ['[bath]\nvolume = "much"\nname = "Fern *vat*"\n']


def test_from_the_first_page_it_goes_on_where_a_bath_is_checked():
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = visit("home.py")
    app.button(key="unfinished_0").click().run()
    assert app.title[0].value == "Check your bath"
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "5.6 L"


def test_steps_that_are_done_stay_done():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    app.switch_page(str(PAGES / "correct.py")).run()
    app.checkbox(key="correct_done_1").check().run()

    again = visit("correct.py")
    again.button(key="unfinished_0").click().run()
    assert [box.value for box in again.checkbox] == [True, False]
    sheet_field(again.text_input, "sheet_bath_max_volume").input("5.8").run()  # another plan
    assert [box.value for box in again.checkbox] == [False, False]
    again.run()
    assert "Steps done" not in texts()[0]


def test_not_now_and_a_sheet_of_its_own_leave_the_draft_alone():
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = visit("mix.py")
    app.button(key="unfinished_not_now").click().run()
    assert offers(app) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("9").run()
    assert sorted(texts()) == ['[bath]\nvolume = "5.6 L"\n', '[bath]\nvolume = "9 L"\n']


def test_an_example_is_offered_only_once_it_is_changed_and_an_emptied_sheet_not():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    assert (len(texts()), len(texts(safe=True))) == (0, 1)
    assert offers(visit()) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    assert len(texts()) == 1
    app.button(key="bench_clear").click().run()
    assert len(texts()) == 1
    assert offers(app)[0].startswith("Go on: Leafcast, big tank, 2 readings, ")


def test_what_is_saved_in_the_logbook_is_no_draft_any_more():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    app.button(key="saving_check").click().run()
    assert not app.exception
    assert (len(texts()), len(texts(safe=True))) == (0, 1)
    assert offers(visit()) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("5.2").run()
    assert (len(texts()), len(texts(safe=True))) == (1, 0)


def test_a_page_that_comes_back_to_a_new_visit_goes_on_by_its_mark():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    mark = app.text_input(key="draft_mark").value
    for held in (mark, "../../" + mark, ""):
        back = AppTest.from_file(str(APP), default_timeout=30)
        back.session_state["draft_mark"] = held  # as a browser sends it that was open all the time
        back.run()
        assert not back.exception
        bath = back.session_state[state._SHEET].get("bath", {})
        assert bath.get("volume") == ("5.1 L" if held == mark else None)
        assert [toast.value for toast in back.toast] == ([unfinished.BACK] if held == mark else [])


def test_a_visit_that_asks_for_an_example_gets_it_and_is_offered_the_draft_until_it_types(monkeypatch):
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")  # as the README starts the app
    app = visit()
    assert sheet_field(app.text_input, "sheet_bath_name").value == "Leafcast, big tank"
    assert offers(app)[0].startswith("Go on: a bath without a name, no reading yet, ")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    assert offers(app) == []


def test_a_folder_that_cannot_be_written_stops_nobody(monkeypatch):
    def refuse(path, text):
        raise PermissionError

    monkeypatch.setattr(drafts, "save", refuse)
    app = visit()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    assert not app.exception


def test_a_file_that_is_no_sheet_is_not_offered():
    drafts.save(drafts.new_path("this_computer"), "[nonsense]\nx = 1\n")
    drafts.save(drafts.new_path("this_computer"), "no toml at all")
    assert offers(visit()) == []


class Context:
    def __init__(self, address, **headers):
        self.ip_address, self.headers = address, {name.replace("_", "-"): text for name, text in headers.items()}


@pytest.mark.parametrize("header", ["Forwarded", "X_Forwarded_For", "X_Real_IP"])
def test_devices_are_told_apart_and_behind_a_proxy_nothing_is_kept(monkeypatch, header):
    def device(*of, **headers):
        monkeypatch.setattr(unfinished.st, "context", Context(*of, **headers))
        return told_apart()

    assert device(None, User_Agent="x") == device(None, User_Agent="y") == "this_computer"
    some = {device(f"192.168.1.{n}", User_Agent=browser) for n in (4, 5) for browser in ("x", "y")}
    assert len(some) == 4
    assert all(name.isalnum() for name in some)
    with monkeypatch.context() as named:
        named.setattr(unfinished.st, "get_option", {"browser.serverAddress": "bath.example.org"}.get)
        assert device(None) is None
    assert device("192.168.1.4", **{header: "10.0.0.1"}) is None
    monkeypatch.setattr(unfinished, "_device", told_apart)
    monkeypatch.setattr(unfinished.st, "session_state", {"sheet": {"bath": {"volume": "5 L"}}})
    unfinished.follow()
    unfinished.offer(None)
    unfinished.done()
    assert not (data_folder() / "drafts").exists()
