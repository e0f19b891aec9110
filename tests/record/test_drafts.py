"""Sheets that were typed and not saved: kept whole, offered to the same device only, and not for ever."""

import json
import os
import re
import threading
import time

import pytest
from streamlit.testing.v1 import AppTest

from advisor.basis.places import PAGES, data_folder
from advisor.launch import APP
from advisor.record import drafts
from advisor.record.drafts import Draft, Ticks
from advisor.record.logbook import Logbook
from advisor.sheet import LARGEST_FILE
from advisor.ui.session import state, unfinished
from tests.widgets import has_sheet_field, said, sheet_field, turn_to, unfold

pytestmark = pytest.mark.slow

DAY = 86400
told_apart = unfinished.here


@pytest.fixture(autouse=True)
def this_computer(monkeypatch):
    """Streamlit's pages under test come from no address."""
    monkeypatch.setattr(unfinished, "here", lambda: "this_computer")


def aged(path, days):
    moment = time.time() - days * DAY
    os.utime(path, (moment, moment))


def test_a_draft_comes_back_as_it_was_kept_and_the_last_changed_first():
    first, second = drafts.new_path("a"), drafts.new_path("a")
    ticked = Draft('x = "±"\n', Ticks("0a1b", (1, 3), (("bath", "1 L"), ("water", "1 L")), (7, 8)))
    drafts.save(first, ticked)
    drafts.save(second, Draft("y = 1\n", safe=True))
    aged(second, 1)
    assert [kept.draft for kept in drafts.recent("a")] == [ticked, Draft("y = 1\n", None, True)]
    drafts.save(first, Draft("x = 2\n"))
    assert drafts.read(first).draft == Draft("x = 2\n")
    assert drafts.recent("b") == ()
    drafts.drop(first)
    drafts.drop(first)
    assert drafts.read(first) is None


def test_neither_too_many_nor_too_old_nor_too_large_ones_are_kept():
    old = drafts.new_path("a")
    drafts.save(old, Draft("old = 1\n"))
    aged(old, drafts.DAYS + 1)
    assert drafts.recent("a") == ()
    for number in range(drafts.KEPT + 3):
        aged(drafts.save(drafts.new_path("a"), Draft(f"x = {number}\n")), (drafts.KEPT + 3 - number) / 100)
        assert not old.exists()
    kept = [one.draft.sheet for one in drafts.recent("a")]
    assert kept == [f"x = {number}\n" for number in range(drafts.KEPT + 2, 2, -1)]  # the last ones
    large = drafts.new_path("b")
    drafts.save(large, Draft("#" * (LARGEST_FILE + 1)))
    assert not large.exists()


def test_devices_that_were_not_seen_for_long_are_forgotten():
    drafts.save(drafts.new_path("long ago"), Draft("x = 1\n"))
    aged(data_folder() / "drafts" / "long ago", drafts.DAYS + 1)
    drafts.save(drafts.new_path("now"), Draft("x = 1\n"))
    assert [folder.name for folder in (data_folder() / "drafts").iterdir()] == ["now"]


def test_of_too_many_devices_the_last_seen_are_kept(monkeypatch):
    monkeypatch.setattr(drafts, "DEVICES", 2)
    for days, device in ((3, "first"), (2, "second"), (1, "third")):
        aged(drafts.save(drafts.new_path(device), Draft("x = 1\n")).parent, days)
    assert {folder.name for folder in (data_folder() / "drafts").iterdir()} == {"second", "third"}


def test_nothing_but_whole_files_stands_in_the_folder():
    path = drafts.new_path("a")
    drafts.save(path, Draft("x = 1\n"))
    assert list(path.parent.iterdir()) == [path]
    assert os.name == "nt" or path.stat().st_mode & 0o777 == 0o600  # what was typed is nobody else's to read
    path.with_suffix(".dismissed").write_bytes(b"\xff\xfe")
    for number, stray in enumerate((b"\xff\xfe", b"{", b"[]", b'{"sheet": 5}', b"[" * 100_000)):
        (path.parent / f"stray_{number}.json").write_bytes(stray)
    (path.parent / "stray.toml").write_bytes(b"\xff\xfe")
    assert [kept.path for kept in drafts.recent("a")] == [path]


def test_four_threads_save_at_once():
    """Visitors through a tunnel look like one device; none of them meets an error, and none loses the last draft."""
    wrong = []

    def save(number):
        path = drafts.new_path("tunnel")
        try:
            for turn in range(300):
                path = drafts.save(
                    path if turn % 10 else drafts.new_path("tunnel"), Draft(f"x = {number * 1000 + turn}")
                )
        except Exception as error:
            wrong.append(error)

    threads = [threading.Thread(target=save, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    kept = {one.draft.sheet for one in drafts.recent("tunnel")}
    assert {f"x = {number * 1000 + 299}" for number in range(4)} <= kept
    assert len(kept) <= drafts.KEPT + 3  # each thread may be between its own saving and its clearing out
    assert list((data_folder() / "drafts" / "tunnel").glob("*.part")) == []


def test_a_full_disk_leaves_no_half_draft(monkeypatch):
    path = drafts.new_path("a")
    drafts.save(path, Draft("x = 1\n"))

    def full(file):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("advisor.basis.files.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        drafts.save(path, Draft("x = 2\n"))
    assert list(path.parent.iterdir()) == [path]
    assert drafts.read(path).draft == Draft("x = 1\n")


@pytest.mark.parametrize("ticks", [5, [], {}, {"plan": 1, "done": [1]}, {"plan": "a", "done": ["1"]}])
def test_ticks_that_are_none_leave_the_sheet_alone(ticks):
    path = drafts.new_path("a")
    drafts.save(path, Draft("x = 1\n"))
    path.write_text(json.dumps({"sheet": "x = 1\n", "ticks": ticks}), "utf-8")
    assert drafts.read(path).draft == Draft("x = 1\n")


@pytest.mark.parametrize(
    "used",
    [5, [5], ["bath"], [["bath"]], [["bath", "1 L", "2 L"]], [["bath", 1]], [["gold", "1 g"]], [["bath", "1 L"], ["gold", "1 g"]]],
)  # fmt: skip
def test_amounts_that_are_none_leave_the_steps_done(used):
    path = drafts.save(drafts.new_path("a"), Draft("x = 1\n"))
    ticks = {"plan": "a", "done": [1], "used": used}
    path.write_text(json.dumps({"form": drafts.FORM, "sheet": "x = 1\n", "ticks": ticks}), "utf-8")
    assert drafts.read(path).draft == Draft("x = 1\n", Ticks("a", (1,)))


@pytest.mark.parametrize("question", ["x", 1.5, [1], True])
def test_a_question_that_is_none_leaves_the_sheet_alone(question):
    path = drafts.save(drafts.new_path("a"), Draft("x = 1\n", question=3))
    path.write_text(json.dumps({"form": drafts.FORM, "sheet": "x = 1\n", "question": question}), "utf-8")
    assert drafts.read(path).draft == Draft("x = 1\n")


SHEET = '[bath]\nvolume = "5.6 L"\n'
READ = SHEET + '[[reading]]\nkind = "hydrometer"\nvalue = "1.160"\n'
SAFE_BEFORE = "# This sheet stands elsewhere too: it is not offered.\n"
TICKS_BEFORE = "# Steps done, of plan 0123456789abcdef: 1 3\n"


@pytest.mark.parametrize(
    ("before", "draft"),
    [
        (SHEET, Draft(SHEET)),
        (SAFE_BEFORE + SHEET, Draft(SHEET, safe=True)),
        (TICKS_BEFORE + SHEET, Draft(SHEET, Ticks("0123456789abcdef", (1, 3)))),
    ],
)
def test_a_draft_of_the_version_before_is_read_and_gives_way_to_the_new_form(before, draft):
    old = drafts.new_path("a").with_suffix(".toml")
    old.parent.mkdir(parents=True)
    old.write_text(before, "utf-8")
    assert [kept.draft for kept in drafts.recent("a")] == [draft]
    new = drafts.save(old, draft)
    assert new == old.with_suffix(".json")
    assert [kept.path for kept in drafts.recent("a")] == [new]
    assert drafts.read(new).draft == draft


def test_spreads_of_a_draft_of_before_keep_their_size():
    new = drafts.save(drafts.new_path("a"), Draft('volume = "5.6 ± 0.2 L"'))
    assert drafts.read(new).draft.sheet == 'volume = "5.6 ± 0.2 L"'
    old = drafts.new_path("a")
    for path, text in (
        (old, json.dumps({"sheet": 'volume = "5.6 ± 0.1 L"'})),
        (old.with_suffix(".toml"), 'volume = "5.6 ± 0.1 L"'),
    ):
        path.write_text(text, "utf-8")
        assert drafts.read(path).draft.sheet == 'volume = "5.6 ± 0.20 L"'


# --- In the app -----------------------------------------------------------------------------------


def visit(page="check.py"):
    app = AppTest.from_file(str(APP), default_timeout=30)
    app.session_state["check_way"] = "all"  # the page Check asks all at once
    return turn_to(app, page)


def offers(app):
    return [button.label for button in app.button if (button.key or "").startswith("unfinished_")]


def texts(safe=False):
    """The sheets that are kept: those that stand nowhere else, or those that do."""
    return [kept.draft.sheet for kept in drafts.recent("this_computer") if kept.draft.safe == safe]


def test_what_was_typed_is_offered_to_the_next_visit_and_goes_on_in_its_file():
    app = visit()
    assert offers(app) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    sheet_field(app.text_input, "sheet_bath_name").input("Fern *vat*").run()
    assert texts() == ['[bath]\nvolume = "5.6 L"\nname = "Fern *vat*"\n']
    assert offers(app) == []  # not to the one who types it
    unfold(app, "begin_False")
    assert "kept_0" not in [button.key for button in app.button]

    again = visit()
    go_on, dismiss = offers(again)
    assert go_on.startswith(r"Go on: Fern \*vat\*, no reading yet, ")
    assert "done" not in go_on
    assert dismiss == "Do not offer it again"
    assert "Earlier ones" not in [fold.label for fold in again.expander]
    again.button(key="unfinished_0").click().run()
    assert sheet_field(again.text_input, "sheet_bath_volume").value == "5.6 L"
    assert offers(again) == []
    sheet_field(again.text_input, "sheet_bath_volume").input("much").run()
    assert texts() == ['[bath]\nvolume = "much"\nname = "Fern *vat*"\n']


@pytest.mark.parametrize("read", [True, False])
def test_the_last_is_offered_first_and_of_those_without_a_name_the_last_with_readings_too(read):
    """The one begun after it, of a level alone, took a moment to type; the readings took an evening."""
    taken = READ if read else SHEET
    for days, text in enumerate([SHEET, "[bath]\nvolume = '4 L'\n", taken, taken, "[bath]\nname = 'Vat'\n"]):
        path = drafts.new_path("this_computer")
        drafts.save(path, Draft(text))
        aged(path, days / 10)
    app = visit()
    *offered, dismiss = offers(app)
    assert dismiss == "Do not offer them again"
    assert "Earlier ones" in [fold.label for fold in app.expander]
    nameless = "Go on: a bath without a name"
    assert [label.split(", ")[:2] for label in offered] == [
        [nameless, "no reading yet"],
        *([[nameless, "1 reading"]] if read else []),
        ["Go on: Vat", "no reading yet"],
    ]


def test_a_guided_check_goes_on_at_its_question_from_one_visible_button():
    app = AppTest.from_file(str(APP), default_timeout=30).run()
    app.switch_page(str(PAGES / "check.py")).run()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    app.button(key="guided_next").click().run()
    app.run()
    assert [kept.draft.question for kept in drafts.recent("this_computer")] == [1]

    again = AppTest.from_file(str(APP), default_timeout=30).run()
    assert all(button.key != "unfinished_0" for fold in again.expander for button in fold.button)
    again.button(key="unfinished_0").click().run()
    assert again.title[0].value == "What do you have to hand?"


def test_from_the_first_page_it_goes_on_where_a_bath_is_checked():
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = visit("home.py")
    app.button(key="unfinished_0").click().run()
    assert app.title[0].value == "Check your bath"
    assert sheet_field(app.text_input, "sheet_bath_volume").value == "5.6 L"


def first_step_done() -> AppTest:
    """Return a visit that has ticked the first step of an example's correction."""
    begun = visit()
    begun.button(key="bench_example_dull").click().run()
    begun.switch_page(str(PAGES / "correct.py")).run()
    return begun.checkbox(key="correct_done_1").check().run()


def test_steps_that_are_done_stay_done():
    first_step_done()

    again = visit("home.py").switch_page(str(PAGES / "correct.py")).run()
    again.button(key="unfinished_0").click().run()
    assert [box.value for box in again.checkbox] == [True, False]
    sheet_field(again.text_input, "sheet_bath_volume").input("3").run()  # another plan
    again.button(key="went_in_known").click().run()
    assert not any(box.value for box in again.checkbox)
    assert [kept.draft.ticks for kept in drafts.recent("this_computer")] == [None]


def test_a_correction_under_way_is_back_by_itself_where_its_page_is_loaded_anew():
    app = first_step_done()
    app.text_input(key="correct_used_1").input("250").run()
    (kept,) = drafts.recent("this_computer")
    assert kept.draft.ticks.used == (("copper sulfate crystals", "250 g"),)  # in the unit of its field

    again = AppTest.from_file(str(APP), default_timeout=30).switch_page(str(PAGES / "correct.py")).run()
    assert [box.value for box in again.checkbox] == [True, False]
    assert again.text_input(key="correct_used_1").value == "250 g"
    assert offers(visit("mix.py"))  # on another page it is asked


def test_only_the_last_correction_if_of_today_and_not_dismissed_is_back_by_itself(monkeypatch):
    """Nobody is at the bench with that of yesterday, which is offered instead."""
    back = []
    monkeypatch.setattr(unfinished, "_go_on", back.append)
    monkeypatch.setattr(unfinished.st, "session_state", {})
    monkeypatch.setattr(unfinished.st, "query_params", {})
    monkeypatch.setattr(state, "page", lambda: "Correct")

    def kept(draft, hours):
        path = drafts.save(drafts.new_path("this_computer"), draft)
        aged(path, hours / 24)
        return path

    def gone_on():
        back.clear()
        unfinished._go_on_correcting("this_computer")
        return back

    assert gone_on() == []
    kept(Draft(READ, Ticks("plan", (1,))), hours=13)
    assert gone_on() == []
    last = kept(Draft(READ, Ticks("plan", (1,))), hours=11)
    kept(Draft(READ, Ticks("plan", (1,)), dismissed=True), hours=10)
    assert gone_on() == [last]
    monkeypatch.setattr(unfinished.st, "query_params", {"example": "dull"})
    assert gone_on() == []
    monkeypatch.setattr(unfinished.st, "query_params", {})
    kept(Draft(READ), hours=9)  # of another bath, which is not corrected yet
    assert gone_on() == []


def test_steps_that_were_saved_are_not_offered_again_where_the_page_is_loaded_anew():
    app = first_step_done()
    app.button(key="saving_check").click().run()

    again = AppTest.from_file(str(APP), default_timeout=30).switch_page(str(PAGES / "correct.py")).run()
    again.text_input(key="correct_used_1").input("250").run()  # what was saved is saved, whatever is typed later
    assert not [button for button in again.button if button.key == "saving_check"]
    again.checkbox(key="correct_done_2").check().run()
    assert again.button(key="saving_check").label == "Save what you did"
    again.button(key="saving_check").click().run()
    last = AppTest.from_file(str(APP), default_timeout=30).switch_page(str(PAGES / "correct.py")).run()
    assert not [button for button in last.button if button.key == "saving_check"]
    assert [entry.kind for entry in Logbook().entries("Leafcast, big tank (example)")] == ["check", "crystals", "acid"]


def test_what_was_ticked_is_warned_of_where_the_plan_changes_after_a_reload():
    first_step_done().text_input(key="correct_used_1").input("250").run()
    again = visit()
    again.button(key="unfinished_0").click().run()
    unfold(again, "at_once_0")
    sheet_field(again.text_input, "sheet_bath_volume").input("3").run()
    assert "In the bath already: 250 g of copper sulfate crystals." in said(again)


def test_ticks_and_sheet_that_the_version_before_left_are_gone_on_with():
    first_step_done()
    (kept,) = drafts.recent("this_computer")
    old = kept.path.with_suffix(".toml")
    old.write_text(f"# Steps done, of plan {kept.draft.ticks.plan}: 1\n{kept.draft.sheet}", "utf-8")
    drafts.drop(kept.path)

    again = visit("home.py").switch_page(str(PAGES / "correct.py")).run()
    again.button(key="unfinished_0").click().run()
    assert [box.value for box in again.checkbox] == [True, False]
    sheet_field(again.text_input, "sheet_bath_volume").input("5.55").run()
    assert [other.path.suffix for other in drafts.recent("this_computer")] == [".json"]


@pytest.mark.parametrize(
    ("draft", "is_left"),
    [
        (Draft(READ), True),
        (Draft(READ, safe=True), False),
        (Draft(READ, Ticks("plan", (1,)), safe=True), True),
        (Draft(READ, Ticks("plan", (1,), saved=(7,)), safe=True), True),  # the check alone is saved
        (Draft(READ, Ticks("plan", (1,), saved=(7, 8)), safe=True), False),
        (Draft(READ, Ticks("plan", (1, 2), saved=(7, 8)), safe=True), True),
        (Draft(READ, Ticks("plan", (1, 2), saved=(7, 8, 9)), safe=True), False),
        (Draft(READ, Ticks("plan", (1,), saved=(7, 8))), True),
    ],
)
def test_what_stands_nowhere_else_is_left_and_so_is_a_step_that_is_done_and_not_saved(draft, is_left):
    assert unfinished._is_left(draft) == is_left


def test_a_draft_that_is_gone_by_the_time_that_it_is_tapped_changes_nothing(monkeypatch):
    monkeypatch.setattr(unfinished.st, "session_state", {"sheet": {}})
    unfinished._go_on(drafts.new_path("this_computer"))
    assert unfinished.st.session_state == {"sheet": {}}


def test_a_comment_in_a_sheet_is_only_a_comment():
    drafts.save(drafts.new_path("this_computer"), Draft(f"{SAFE_BEFORE}{TICKS_BEFORE}{SHEET}"))
    assert offers(visit())[0].startswith("Go on: a bath without a name")


def test_what_is_dismissed_stays_away_and_is_kept_where_a_sheet_is_begun():
    """As a stranger asked for: it came back with the next reload."""
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    (kept,) = drafts.recent("this_computer")
    app = visit("keep_or_remake.py")
    app.button(key="unfinished_dismiss").click().run()
    assert offers(app) == []
    assert [toast.value for toast in app.toast] == [unfinished.STILL_KEPT]
    assert [one.when for one in drafts.recent("this_computer")] == [kept.when]
    later = visit()
    assert offers(later) == []
    later.button(key="kept_0").click().run()
    assert sheet_field(later.text_input, "sheet_bath_volume").value == "5.6 L"
    assert offers(visit("home.py")) == []
    sheet_field(later.text_input, "sheet_bath_volume").input("5.7").run()
    assert len(offers(visit("home.py"))) == 2  # who goes on with it wants it again


def test_what_was_changed_in_another_tab_meanwhile_is_not_dismissed():
    path = drafts.save(drafts.new_path("this_computer"), Draft(SHEET))
    shown = drafts.read(path)
    drafts.save(path, Draft(READ))
    drafts.dismiss(shown)
    assert not drafts.read(path).draft.dismissed
    drafts.drop(path)  # or emptied there
    drafts.dismiss(shown)
    assert not path.exists()


def test_what_another_tab_saves_in_the_moment_of_the_dismissal_stays_and_is_offered(monkeypatch):
    path = drafts.save(drafts.new_path("a"), Draft(SHEET))
    write = drafts.write_whole

    def after_the_other_tab(*args, **how):
        monkeypatch.setattr(drafts, "write_whole", write)
        drafts.save(path, Draft(READ))
        write(*args, **how)

    monkeypatch.setattr(drafts, "write_whole", after_the_other_tab)
    drafts.dismiss(drafts.read(path))
    kept = drafts.read(path)
    assert (kept.draft, kept.draft.dismissed) == (Draft(READ), False)


def test_a_dismissal_takes_no_draft_s_place_and_goes_with_its_draft():
    for number in range(drafts.KEPT - 1):
        drafts.dismiss(drafts.read(drafts.save(drafts.new_path("a"), Draft(f"x = {number}\n"))))
    last = drafts.save(drafts.new_path("a"), Draft(SHEET))
    kept = drafts.recent("a")
    assert (len(kept), sum(one.draft.dismissed for one in kept)) == (drafts.KEPT, drafts.KEPT - 1)
    for one in kept:
        drafts.drop(one.path)
    assert list(last.parent.iterdir()) == []


@pytest.mark.parametrize("dismissed", [True, False])
def test_a_draft_that_the_version_before_noted_as_dismissed_stays_so(dismissed):
    path = drafts.save(drafts.new_path("a"), Draft(SHEET))
    path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), "dismissed": dismissed}), "utf-8")
    assert drafts.read(path).draft.dismissed == dismissed


def test_a_sheet_of_its_own_leaves_the_draft_alone():
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = visit("keep_or_remake.py")
    sheet_field(app.text_input, "sheet_bath_volume").input("9").run()
    assert sorted(texts()) == ['[bath]\nvolume = "5.6 L"\n', '[bath]\nvolume = "9 L"\n']


@pytest.mark.parametrize(
    "nothing",
    [
        "[plate]\nstirring = 'none'\n",
        "[bath]\ntouched = ['brass']\nadditives = true\n[deposit]\nlooks = ['dull']\n",
        "[gear]\nhave = ['10 mL syringe']\n[[reading]]\nkind = 'acid titration'\nsample = '5 mL'\n",
        "[[shelf]]\nwhat = 'sulfuric acid'\n",
        "[[reading]]\nkind = 'previous check'\ncopper_sulfate = '200 g/L'\norigin = 'logbook'\n",
    ],
)
def test_a_draft_in_which_nothing_was_typed_is_not_offered(nothing):
    planned = {"plans": ("[bath]\nvolume = '5 L'\n",)}
    drafts.save(drafts.new_path("this_computer"), Draft(nothing, **planned))
    assert offers(visit()) == []
    drafts.save(drafts.new_path("this_computer"), Draft(nothing, **planned, steps=((1,),)))
    assert len(offers(visit())) == 2  # a sample was taken


def test_a_strength_that_is_changed_in_a_saved_check_is_offered_after_a_reload():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    app.button(key="saving_check").click().run()
    assert offers(visit()) == []
    app.session_state["sheet"]["reading"][0]["strength"] = "0.25 mol/L"
    app.run()
    (offered,) = (label for label in offers(visit()) if label.startswith("Go on"))
    assert "Leafcast" in offered


def test_a_test_begun_from_a_saved_check_is_not_offered_until_something_is_read(new_visit):
    """What the record and the plan filled in is made again with two taps."""
    app = visit()
    app.button(key="bench_example_dull").click().run()
    app.button(key="saving_check").click().run()
    app.switch_page(str(PAGES / "home.py")).run().button(key="home_check_0").click().run()
    app.run()
    assert offers(turn_to(new_visit(), "check.py")) == []
    app.session_state["sheet"]["reading"][-1]["value"] = "1.15"  # of the hydrometer
    app.run()
    assert len(offers(turn_to(new_visit(), "check.py"))) == 3


def test_a_sheet_that_is_emptied_by_hand_leaves_no_draft():
    app = visit()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    sheet_field(app.text_input, "sheet_bath_volume").input("").run()
    assert drafts.recent("this_computer") == ()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.7").run()
    assert texts() == ['[bath]\nvolume = "5.7 L"\n']


def test_an_example_is_offered_only_once_it_is_changed_and_an_emptied_sheet_not():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    assert (len(texts()), len(texts(safe=True))) == (0, 1)
    assert offers(visit()) == []
    unfold(app, "at_once_0")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    assert len(texts()) == 1
    unfold(app, "begin_False")
    app.button(key="bench_clear").click().run()
    assert len(texts()) == 1
    offered, _, when = offers(app)[0].partition(", 2 readings, ")
    assert offered == r"Go on: Leafcast, big tank \(example\)"
    # as in 28 November 2026, 14:03, which a phone leaves on one line
    assert re.fullmatch(r"\d+\xa0[A-Z][a-z]+\xa0\d{4},\xa0\d\d:\d\d", when)


def test_what_is_saved_in_the_logbook_is_no_draft_any_more():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    unfold(app, "at_once_0")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    app.button(key="saving_check").click().run()
    assert not app.exception
    assert (len(texts()), len(texts(safe=True))) == (0, 1)
    assert offers(visit()) == []
    unfold(app, "at_once_0")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.2").run()
    assert (len(texts()), len(texts(safe=True))) == (1, 0)


def test_a_check_that_is_saved_is_not_called_unsaved():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    unfold(app, "at_once_0")
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    app.button(key="saving_check").click().run()
    app.switch_page(str(PAGES / "correct.py")).run()
    app.checkbox(key="correct_done_1").check().run()
    again = visit()
    label, _ = offers(again)
    assert ", 1 step done, " in label
    assert not any("not saved" in one.value for one in again.markdown)
    again.button(key="unfinished_0").click().run()
    saves = [button.label for button in again.button if button.key == "saving_check"]
    assert saves == ["Save what you did"]  # the check itself stands in the logbook already
    again.run()
    assert (len(texts()), len(texts(safe=True))) == (0, 1)
    assert len(Logbook().entries()) == 1


def test_the_second_tab_on_a_draft_is_told_and_keeps_its_own():
    first = visit()
    sheet_field(first.text_input, "sheet_bath_volume").input("5.6").run()
    second = visit()
    second.button(key="unfinished_0").click().run()
    sheet_field(second.text_input, "sheet_bath_volume").input("7").run()
    assert not second.toast
    sheet_field(first.text_input, "sheet_bath_volume").input("8").run()
    assert [toast.value for toast in first.toast] == [unfinished.TWICE]
    assert sorted(texts()) == ['[bath]\nvolume = "7 L"\n', '[bath]\nvolume = "8 L"\n']
    sheet_field(first.text_input, "sheet_bath_volume").input("9").run()
    assert sorted(texts()) == ['[bath]\nvolume = "7 L"\n', '[bath]\nvolume = "9 L"\n']


def test_a_page_that_comes_back_to_a_new_visit_goes_on_by_its_mark():
    app = visit()
    app.button(key="bench_example_dull").click().run()
    unfold(app, "at_once_0")
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


def test_a_visit_that_asks_for_an_example_gets_it_and_is_offered_the_draft_on_the_first_page(monkeypatch):
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")  # as the README starts the app
    app = visit()
    unfold(app, "at_once_0")
    assert sheet_field(app.text_input, "sheet_bath_name").value == "Leafcast, big tank (example)"
    assert offers(app) == []  # the example's answer would sink
    first_page = app.switch_page(str(PAGES / "home.py")).run()
    assert first_page.button(key="unfinished_0").proto.type == "secondary"  # it has a filled one of its own
    assert offers(first_page)[0].startswith("Go on: a bath without a name, no reading yet, ")


def test_what_is_offered_stays_while_somebody_begins_to_type_and_goes_with_the_page():
    for volume in ("5.6", "4.2"):
        sheet_field(visit().text_input, "sheet_bath_volume").input(volume).run()
    app = visit()
    unfold(app, "at_once_0")
    offered = offers(app)
    assert len(offered) == 2  # the last of those without a name, and not now
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    assert offers(app) == offered  # what goes would move the field under the hand
    assert offers(app.switch_page(str(PAGES / "mix.py")).run()) == []


def test_the_guided_check_asks_first_whether_to_go_on_and_for_no_volume_as_if_all_were_lost(new_visit):
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = new_visit()
    app.query_params["question"] = "4"  # as the page was when it was loaded anew
    turn_to(app, "check.py")
    assert [title.value for title in app.title] == ["Go on with your check?"]
    assert unfinished.KEPT in [text.value for text in app.markdown]
    assert app.button(key="unfinished_0").proto.type == "primary"  # the one filled button of the page
    assert not has_sheet_field(app.text_input, "sheet_bath_volume")
    assert 'class="missing"' not in said(app)
    app.button(key="unfinished_another").click().run()
    assert app.title[0].value == "How much bath is in the tank?"
    assert offers(app) == []
    sheet_field(app.text_input, "sheet_bath_volume").input("5.1").run()
    app.button(key="guided_next").click().run()
    assert offers(app) == []
    assert (
        len(offers(turn_to(new_visit(), "check.py"))) == 3
    )  # another check dismisses nothing: go on, another, no more


def test_another_bath_that_is_begun_on_the_first_page_is_asked_for_at_once(new_visit):
    sheet_field(visit().text_input, "sheet_bath_volume").input("5.6").run()
    app = turn_to(new_visit(), "home.py")
    app.button(key="home_own").click().run()
    assert app.title[0].value == "How much bath is in the tank?"
    assert offers(app) == []


def test_a_guided_check_that_is_loaded_anew_in_the_middle_goes_on_from_there(new_visit):
    drafts.save(drafts.new_path("this_computer"), Draft(READ, question=3))
    app = new_visit()
    app.query_params["question"] = "4"
    turn_to(app, "check.py")
    app.button(key="unfinished_0").click().run()
    assert app.title[0].value == "Hydrometer"
    assert app.session_state["sheet"]["reading"][0]["value"] == "1.160"
    assert offers(app) == []


def acid_titration_begun(new_visit):
    """Return a visit of the guided way that has begun the titration of a bath of 5 L, and what its plan filled in."""
    began = new_visit()
    began.session_state["sheet"] = {"bath": {"volume": "5 L"}, "gear": {"have": ["10 mL syringe", "baking soda"]}}
    began.query_params["question"] = "3"  # what got in, which Next passes over to the only test that there is
    turn_to(began, "check.py").button(key="guided_next").click().run()
    began.run()  # a draft is kept before the page is drawn
    return began


def steps(app):
    return [box.label.replace("\N{NO-BREAK SPACE}", " ") for box in app.checkbox if box.key.startswith("guided_step")]


def test_the_card_of_a_test_gone_on_with_keeps_the_plan_of_its_reading(new_visit):
    began = acid_titration_begun(new_visit)
    card, reading = steps(began), began.session_state["sheet"]["reading"][0]
    assert any(f"Put {reading['sample']} of bath" in step for step in card)
    assert not any("Enter it as" in step for step in card)  # the plan has filled that in
    again = turn_to(new_visit(), "check.py")
    again.button(key="unfinished_0").click().run()
    assert again.title[0].value == "Acid titration"
    assert steps(again) == card
    again.session_state["sheet"]["gear"]["have"].append("50 mL burette")
    assert steps(again.run()) == card
    # By its own result, of a bath with little acid, another sample would be planned, and for the second one too.
    sheet_field(again.text_input, "sheet_reading_1_used").input("6").run()
    assert steps(again) == card


def test_the_second_of_a_test_is_a_fresh_portion_and_is_expected_to_show_what_the_first_did(new_visit):
    """Its preparation showed as undone, and its titrant was that of the plan: 10.8 mL where the first took 6."""
    app = acid_titration_begun(new_visit)
    card, sample = steps(app), app.session_state["sheet"]["reading"][0]["sample"]
    sheet_field(app.text_input, "sheet_reading_1_used").input("6").run()
    app.button(key="reading_once_more_1").click().run()
    assert has_sheet_field(app.text_input, "sheet_reading_2_used")
    second = steps(app)
    assert any("Dissolve" in step for step in card)
    assert not any(word in step for step in second for word in ("Dissolve", "Draw a sound sample"))
    assert any(f"Put {sample} of bath" in step for step in second)
    assert any(r"expect about 6\.0 mL" in step for step in second)
    sheet_field(app.text_input, "sheet_reading_2_used").input("6.4").run()
    assert steps(app) == second  # not moved by its own result
    app.button(key="told_change_reading_1").click().run()
    assert steps(app) == card
    again = turn_to(new_visit(), "check.py")
    again.button(key="unfinished_0").click().run()
    assert steps(again) == second
    again.button(key="told_change_reading_1").click().run()
    sheet_field(again.text_input, "sheet_reading_1_used").input("much").run()
    again.button(key="told_change_reading_2").click().run()
    assert steps(again) == card  # nothing is read yet that it could repeat


def ticked(app):
    return [box.value for box in app.checkbox if box.key.startswith("guided_step")]


def test_the_steps_ticked_of_a_test_under_way_come_back_with_it_and_with_no_other(new_visit):
    began = acid_titration_begun(new_visit)
    for step in (1, 3):
        next(box for box in began.checkbox if box.key.startswith(f"guided_step_1_{step}_")).check().run()
    before = ticked(began)
    assert [step for step, done in enumerate(before, 1) if done] == [1, 3]
    again = turn_to(new_visit(), "check.py")
    again.button(key="unfinished_0").click().run()
    assert ticked(again) == before
    sheet_field(again.text_input, "sheet_reading_1_used").input("6").run()
    again.button(key="reading_once_more_1").click().run()
    assert ticked(again) == [False] * len(steps(again))  # a sample of its own
    next(box for box in again.checkbox if box.key.startswith("guided_step_2_2_")).check().run()
    again.button(key="told_change_reading_1").click().run()
    assert ticked(again) == before
    again.button(key="guided_remove_1").click().run()
    # The second is the first now: what is done of it stands at the same words, behind what is prepared for both.
    assert [step.startswith("Put ") for step in steps(again)] == ticked(again)


def tick_and_change_the_plan(app):
    """Tick all steps of a card that keeps to no plan of its own, then own a burette: some of its steps are others."""
    app.session_state["tests_planned"] = []
    before = steps(app.run())
    for step in range(1, len(before) + 1):
        box = next(box for box in app.checkbox if box.key.startswith(f"guided_step_1_{step}_"))
        if not box.value:
            box.check().run()
    app.session_state["sheet"]["gear"]["have"].append("50 mL burette")
    app.run()
    return before


def test_a_tick_stays_at_its_own_step_where_the_plan_of_the_card_changes(new_visit):
    app = acid_titration_begun(new_visit)
    before = tick_and_change_the_plan(app)
    stays = [step in before for step in steps(app)]
    assert True in stays
    assert False in stays  # another sample is to be taken
    assert ticked(app) == stays
    app.run()  # a draft is kept before the page is drawn
    again = turn_to(new_visit(), "check.py")
    again.button(key="unfinished_0").click().run()
    assert (steps(again), ticked(again)) == (steps(app), stays)


def test_steps_that_the_version_before_kept_by_number_are_done_until_the_plan_changes(new_visit):
    acid_titration_begun(new_visit)
    (kept,) = drafts.recent("this_computer")
    kept.path.write_text(json.dumps({**json.loads(kept.path.read_text("utf-8")), "steps": [[1, 3]]}), "utf-8")
    app = turn_to(new_visit(), "check.py")
    app.button(key="unfinished_0").click().run()
    assert [step for step, done in enumerate(ticked(app), 1) if done] == [1, 3]
    before = tick_and_change_the_plan(app)
    assert ticked(app) == [step in before for step in steps(app)]


def test_who_goes_on_and_changes_nothing_leaves_the_draft_as_old_as_it_was(new_visit):
    """Else an older one that was looked at would be offered before the last."""
    began = acid_titration_begun(new_visit)
    next(box for box in began.checkbox if box.key.startswith("guided_step_1_1_")).check().run()
    (kept,) = drafts.recent("this_computer")
    aged(kept.path, 1)
    before = drafts.read(kept.path)
    app = turn_to(new_visit(), "check.py")
    app.button(key="unfinished_0").click().run()
    app.run()
    assert drafts.read(kept.path) == before


@pytest.mark.parametrize("steps", ["x", [1], [[1.5]], [[True]], {}])
def test_steps_of_a_card_that_are_none_leave_the_sheet_alone(steps):
    path = drafts.save(drafts.new_path("a"), Draft("x = 1\n", steps=((1, 2), ("0a1b",))))
    assert drafts.read(path).draft.steps == ((1, 2), ("0a1b",))
    path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), "steps": steps}), "utf-8")
    assert drafts.read(path).draft == Draft("x = 1\n")


def test_the_card_to_print_of_a_test_gone_on_with_has_the_sample_of_its_reading(new_visit):
    sample = acid_titration_begun(new_visit).session_state["sheet"]["reading"][0]["sample"]
    again = turn_to(new_visit(), "check.py")
    again.button(key="unfinished_0").click().run()
    again.session_state["sheet"]["gear"]["have"].append("50 mL burette")  # for which another sample is planned
    again.session_state["methods_kind"] = "acid titration"
    turn_to(again, "methods.py")
    assert f"Put {sample} of bath" in said(again)
    assert "test under way" in " ".join(text.value for text in again.markdown)
    turn_to(again, "check.py")
    sheet_field(again.text_input, "sheet_reading_1_used").input("6").run()
    turn_to(again, "methods.py")  # it is read: the next one is planned for the tools that there are now
    assert f"Put {sample} of bath" not in said(again)


@pytest.mark.parametrize("plans", [["no toml at all"], ["[bath]\nvolume = 'much'\n"], [5], "x", []])
def test_a_plan_that_is_none_leaves_the_reading_alone(new_visit, plans):
    path = drafts.new_path("this_computer")
    drafts.save(path, Draft(READ, question=3))
    path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), "plans": plans}), "utf-8")
    app = turn_to(new_visit(), "check.py")
    app.button(key="unfinished_0").click().run()
    assert not app.exception
    assert app.title[0].value == "Hydrometer"


def test_a_folder_that_cannot_be_written_stops_nobody(monkeypatch):
    def refuse(path, text):
        raise PermissionError

    monkeypatch.setattr(drafts, "save", refuse)
    app = visit()
    sheet_field(app.text_input, "sheet_bath_volume").input("5.6").run()
    assert not app.exception


def test_a_file_that_is_no_sheet_is_not_offered():
    drafts.save(drafts.new_path("this_computer"), Draft("[nonsense]\nx = 1\n"))
    drafts.save(drafts.new_path("this_computer"), Draft("no toml at all"))
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
    monkeypatch.setattr(unfinished, "here", told_apart)
    monkeypatch.setattr(unfinished.st, "session_state", {"sheet": {"bath": {"volume": "5 L"}}})
    unfinished.follow()
    unfinished.offer(None)
    unfinished.done()
    assert not (data_folder() / "drafts").exists()
