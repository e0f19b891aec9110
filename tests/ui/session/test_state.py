"""The raw sheet of a visit: what goes in as a file comes out as the same file, and what has no field is refused."""

from dataclasses import replace

import pytest
import streamlit as st

from advisor.basis.fields import InputError
from advisor.check.advise import advise
from advisor.examples import EXAMPLES, example_text
from advisor.sheet import parse_sheet
from advisor.ui.session import state

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")


@pytest.fixture(autouse=True)
def visit(monkeypatch):
    """A session of our own, without a browser."""
    kept = {}
    monkeypatch.setattr(st, "session_state", kept)
    monkeypatch.setattr(st, "query_params", {})
    return kept


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_goes_out_as_it_came_in(name):
    state.load_example(name)
    assert parse_sheet(state.to_toml().encode()) == parse_sheet(example_text(name).encode())


def test_a_sheet_goes_out_as_it_came_in():
    sheet = parse_sheet(example_text("old").encode())
    state.load_sheet(sheet)
    assert parse_sheet(state.to_toml().encode()) == sheet


def test_wrong_values_survive_a_download_and_an_upload():
    state.load_example("dull")
    state.put("reading 1", "used", 'about "9"')
    state.put("bath", "volume", None)
    written = state.to_toml()
    state.clear()
    state.load_toml(written.encode())
    assert state.part("reading 1")["used"] == 'about "9"'
    assert set(state.enter("check", advise).errors) == {"reading 1: used", "bath: volume"}


@pytest.mark.parametrize(
    ("content", "place"),
    [
        (b'[bath]\nvolume = "5 L"\ncolour = "blue"', "bath: colour"),
        (b'bath = "5 L"', "bath"),
        (b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = "guess"', "reading 1: kind"),
        (b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = ["guess"]', "reading 1: kind"),
        (b'[bath]\nvolume = "5 L"\n[stock.sugar]\nprice = 1', "stock: sugar"),
        (b"[bath", "the file"),
        (b"\xff\xfe", "the file"),
        (b"#" * 1_000_001, "the file"),
    ],
)
def test_a_file_with_parts_that_have_no_field_is_refused_and_the_sheet_kept(content, place):
    state.load_example("dull")
    before = state.to_toml()
    with pytest.raises(InputError) as refused:
        state.load_toml(content)
    assert refused.value.place == place
    assert state.to_toml() == before


def test_the_last_answer_stays_while_something_is_wrong():
    state.load_example("dull")
    first = state.enter("check", advise)
    assert first.current
    state.put("reading 1", "used", "nonsense")
    later = state.enter("check", advise)
    assert later.answer is first.answer
    assert not later.current


def test_an_answer_is_computed_once_for_a_sheet():
    calls = []
    state.load_example("dull")
    for _ in range(3):
        state.enter("count", lambda sheet: calls.append(sheet))
    assert len(calls) == 1


def test_what_only_the_question_sees_is_an_error_at_its_place():
    def refuse(sheet):
        raise InputError("plate: area", "you gave 0", "more is needed")

    state.load_example("dull")
    entry = state.enter("plate", refuse)
    assert entry.errors["plate: area"].accepted == "more is needed"
    assert not entry.current


def test_a_wrong_table_of_another_question_does_not_stand_in_the_way():
    state.load_example("dull")
    state.put("plate", "area", "big")
    assert state.enter("check", advise).current
    assert "plate: area" in state.enter("plate", advise, tables=("plate",)).errors


def test_another_question_is_answered_without_a_reading_that_is_not_finished():
    state.load_example("dull")
    finished = len(state.raw()["reading"])
    state.add_reading("hydrometer")
    refused = state.enter("check", advise)
    assert f"reading {finished + 1}: " in next(iter(refused.errors))
    assert not refused.is_without_a_reading  # what it waits for is said at its fields
    entry = state.enter("plate", lambda sheet: len(sheet.readings), tables=("plate",))
    assert (entry.answer, entry.is_without_a_reading, entry.current) == (finished, True, True)
    state.put("bath", "temperature", "warm")
    assert "bath: temperature" in state.enter("plate", advise, tables=("plate",)).errors
    state.put("bath", "temperature", None)
    state.remove_reading(finished + 1)
    assert not state.enter("plate", advise, tables=("plate",)).is_without_a_reading


def test_an_answer_is_of_all_that_is_finished_until_something_of_the_bath_changes():
    state.load_example("dull")
    answered = state.enter("check", advise).answered
    assert state.is_of_all_finished(answered)
    state.add_reading("hydrometer")
    state.put("plate", "area", "big")  # of another question
    assert state.is_of_all_finished(answered)
    assert not state.is_of_all_finished(None)
    before = state.raw()["bath"]["temperature"]
    state.put("bath", "temperature", "warm")
    assert not state.is_of_all_finished(answered)
    state.put("bath", "temperature", before)
    assert state.is_of_all_finished(answered)
    state.put("bath", "volume", "4 L")
    assert not state.is_of_all_finished(answered)


@pytest.mark.parametrize(
    ("volume", "tables", "asked"),
    [(None, ("mix",), "mix: volume"), ("much", ("mix",), "bath: volume"), (None, ("plate",), "bath: volume")],
)
def test_a_bath_to_be_mixed_is_asked_for_where_it_is_mixed(volume, tables, asked):
    state.put("bath", "volume", volume)
    assert list(state.enter("question", advise, tables=tables).errors) == [asked]


def test_the_second_tap_of_a_double_click_is_none_of_its_own(monkeypatch):
    now = [100.0]
    monkeypatch.setattr(state.time, "monotonic", lambda: now[0])
    assert state.first_tap("add")
    now[0] += 0.9 * state.DOUBLE_CLICK
    assert not state.first_tap("add")
    assert state.first_tap("remove")
    now[0] += 0.2 * state.DOUBLE_CLICK  # counted from the first: who taps on and on is heard
    assert state.first_tap("add")


def test_a_field_that_starts_afresh_has_another_widget_and_the_same_place():
    state.load({"bath": {"volume": "9 L"}})
    before = state.key_of("stock.acid", "strength"), state.name_of("stock.acid", "strength")
    state.forget_widgets()
    after = state.key_of("stock.acid", "strength"), state.name_of("stock.acid", "strength")
    assert (before[0] != after[0], before[1] == after[1]) == (True, True)
    assert after[0].startswith(after[1])


def test_fields_of_readings_before_the_one_that_goes_keep_their_widgets(visit):
    """On a slow page a person types on while the fields are drawn: what is typed into a widget that is gone is lost."""
    state.load({"reading": [{"kind": "hydrometer", "value": text} for text in ("1.11", "1.22", "1.33")]})
    places = [f"reading {number}" for number in (1, 2, 3)]
    before = [state.key_of(place, "value") for place in places]
    visit.update(dict.fromkeys(before, "typed"))
    state.remove_reading(2)
    after = [state.key_of(place, "value") for place in places]
    assert [old == new for old, new in zip(before, after, strict=True)] == [True, False, False]
    assert [key in visit for key in before] == [True, False, False]
    state.put_back_reading()
    again = [state.key_of(place, "value") for place in places]
    assert again[0] == before[0]
    assert not set(again[1:]) & {*before, *after}  # what a browser still sends of either must not reach the sheet
    assert [reading["value"] for reading in state.raw()["reading"]] == ["1.11", "1.22", "1.33"]


def test_a_field_never_gets_the_widget_again_that_it_had_before():
    state.load({"reading": [{"kind": "hydrometer"}] * 3})
    seen = [state.key_of("reading 1", "value")]
    for afresh in (lambda: state.remove_reading(1), state.forget_widgets, lambda: state.remove_reading(1)):
        afresh()
        seen.append(state.key_of("reading 1", "value"))
    assert len(set(seen)) == 4


def test_a_pack_that_is_taken_out_is_the_one_of_its_number():
    state.load({"shelf": [{"name": "salt"}, {"name": "acid"}, {"name": "lye"}]})
    state.remove_pack(2)
    assert [pack["name"] for pack in state.raw()["shelf"]] == ["salt", "lye"]
    state.remove_pack(1)
    state.remove_pack(1)
    assert state.raw() == {}


def test_an_emptied_field_leaves_no_table_behind():
    state.put("stock.acid", "strength", "37 %")
    state.put("stock.acid", "strength", "")
    assert state.raw() == {}


def test_the_example_asked_for_is_there_on_the_first_visit(monkeypatch):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "evaporation")
    assert state.raw()["bath"]["name"] == "Leafcast, shell tank (example)"
    assert state.is_untouched()  # and so no draft
    st.query_params["example"] = "dull"
    assert state.example_asked_for() == "dull"  # an address is of this visit, the variable of them all


def test_an_unknown_example_starts_empty(monkeypatch):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "no such bath")
    assert state.raw() == {}


def test_an_example_that_is_changed_is_one_still_until_a_sheet_of_ones_own():
    state.load_example("dull")
    state.put("bath", "name", "Shed tank")
    assert (state.is_example(), state.is_untouched()) == (True, False)
    state.clear()
    assert (state.is_example(), state.is_untouched()) == (False, True)


def test_only_another_page_has_its_fields_start_afresh():
    state.turn_to("Check")
    assert (state.has_turned(), state.widget_round()) == (False, 0)
    state.turn_to("Check")
    assert (state.has_turned(), state.widget_round()) == (
        False,
        0,
    )  # else each change would take the hand off its field
    state.turn_to("Correct")
    assert (state.has_turned(), state.widget_round(), state.page()) == (True, 1, "Correct")


def test_the_record_of_an_example_is_an_example_and_a_bath_of_another_name_is_not():
    example = parse_sheet(example_text("dull").encode())
    state.load_sheet(example)
    assert state.is_example()
    state.load_sheet(replace(example, bath=replace(example.bath, name="Shed tank")))
    assert not state.is_example()
