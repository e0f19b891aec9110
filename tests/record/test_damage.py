"""One bad row is one bad row: what is damaged is left out, named and can be taken back, and all else goes on.

The attack: every value of a real export is changed into everything that it should not be. Either the file is refused
with words, or all that the program says of a bath can still be said.
"""

import copy
import datetime
import json
import os
import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace

import pytest

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.account import where_it_went
from advisor.record.carried import carry_forward
from advisor.record.drift import NotEnoughKnown
from advisor.record.entries import Check, LevelMark, Withdrawn, clock_ran_back, left_out, standing
from advisor.record.exchange import carry_out, entries_as_csv, export, plan_import
from advisor.record.forecast import forecast
from advisor.record.logbook import Logbook
from advisor.record.overview import overview, trail
from advisor.sheet import parse_sheet
from advisor.ui.charts import time_line
from advisor.ui.parts.record_parts import advice_then
from tests.record.some_entries import NOON, filled, level

BATH = "Leafcast, big tank (example)"
NOW = datetime.datetime(2026, 5, 1, tzinfo=datetime.UTC)


# --- Rows of the file -----------------------------------------------------------------------------


def spoil(logbook: Logbook, number: int, column: str, value: str | bytes | None) -> None:
    """Change what stands in the file, as a failing disk or another program may."""
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute("DROP TRIGGER IF EXISTS entry_is_never_changed")
        written = "?" if not isinstance(value, bytes) else "CAST(? AS TEXT)"
        connection.execute(f"UPDATE entry SET {column} = {written} WHERE id = ?", (value, number))
        connection.commit()


def without_copper(checked) -> str:
    advice = checked[1].to_dict()
    return json.dumps(advice | {"verdict": advice["verdict"] | {"copper_sulfate": None}})


@pytest.mark.parametrize("name", ["\x00", "", " two  spaces ", "Cafe\u0301", "🐚" * 200])
def test_a_damaged_name_of_a_bath_loses_nothing_and_stops_nothing(capsys, name):
    logbook = Logbook()
    for bath in ("Shed tank", "Other tank"):
        logbook.record(bath, level())
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute("UPDATE bath SET name = ? WHERE name = 'Shed tank'", (name,))
        connection.commit()
    assert {*logbook.baths()} == {name, "Other tank"}
    assert len(logbook.entries(name)) == 1
    for words in (["baths"], ["history", name], ["log", "Other tank", "level", "5 L"], ["withdraw", "1"]):
        assert main(words) == 0, capsys.readouterr()
    assert len(plan_import(Logbook(logbook.path.with_name("new.sqlite3")), export(logbook)).entries) == 4


SPOILT = {
    "advice that is no JSON": ("advice", "{"),
    "an endless number": ("advice", "1" * 5000),
    "no advice": ("advice", None),
    "a sheet that is no TOML": ("content", "[bath"),
    "a sheet of another thing": ("content", 'bath = "no table"'),
    "a kind that is none": ("kind", "potion"),
    "no time": ("happened", "yesterday"),
    "a time beyond the calendar": ("written", "9999-12-31T23:59:59.999999-12:00"),
    "letters that are none": ("content", b'[bath]\nname = "\xff"'),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_bad_row_is_left_out_and_named_and_can_be_taken_back(logbook, checked, name):
    logbook.record_check(*checked)
    logbook.record(BATH, level("5.5 L"), NOON)
    spoil(logbook, 1, *SPOILT[name])
    written = logbook.entries(BATH)
    assert [entry.id for entry in standing(written)] == [2]
    (bad,) = left_out(written)
    assert bad.id == 1
    assert bad.content.summary().startswith("Cannot be read (")
    logbook.correct(1, Withdrawn())
    assert left_out(logbook.entries(BATH)) == ()
    assert [entry.id for entry in standing(logbook.entries(BATH))] == [2]


ANOTHER_TYPE = [
    *(
        (column, value)
        for column in ("kind", "happened", "written", "program", "content")
        for value in (7, None, b"\xff")
    ),
    *((column, value) for column in ("corrects", "advice") for value in (7.5, b"\xff")),
    ("corrects", "the one before"),
]


@pytest.mark.parametrize(("column", "value"), ANOTHER_TYPE)
def test_a_value_of_another_type_is_one_bad_row(logbook, checked, capsys, column, value):
    """Tables that another program rebuilt without STRICT take anything."""
    logbook = Logbook()
    logbook.record_check(*checked)
    logbook.record(BATH, level("5.5 L"), NOON)
    without_types(logbook)
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute(f"UPDATE entry SET {column} = ? WHERE id = 1", (value,))
        connection.commit()
    for words in (["history", BATH], ["history", BATH, "--json"], ["baths"]):
        assert main(words) == 0, capsys.readouterr()
    assert [entry.id for entry in standing(logbook.entries(BATH))] == [2]
    (bad,) = left_out(logbook.entries(BATH))
    assert bad.id == 1
    assert f"entry 1: {column}: you gave" in bad.content.summary()
    assert plan_import(Logbook(logbook.path.with_name("new.sqlite3")), export(logbook)).new_baths == (BATH,)
    assert main(["withdraw", "1"]) == 0
    assert left_out(logbook.entries(BATH)) == ()


def without_types(logbook: Logbook) -> None:
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute("DROP TRIGGER entry_is_never_changed")
        connection.execute("PRAGMA writable_schema = 1")
        connection.execute("UPDATE sqlite_master SET sql = replace(replace(sql, ') STRICT', ')'), 'TEXT NOT NULL', '')")
        connection.commit()


def test_a_bath_without_a_name_is_listed_nowhere(logbook, capsys):
    for name in (BATH, "Other tank"):
        logbook.record(name, level())
    without_types(logbook)
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute("UPDATE bath SET name = NULL WHERE id = 1")
        connection.commit()
    assert logbook.baths() == ("Other tank",)
    assert [entry.bath for entry in left_out(logbook.entries())] == [""]
    assert main(["baths"]) == 0
    assert main(["withdraw", "1"]) == 2


def test_what_a_bad_row_corrected_does_not_count_again(logbook):
    """Whatever the correction said, the first text was wrong."""
    wrong = logbook.record("a", level("56 L"), NOON)
    better = logbook.correct(wrong.id, level("5.6 L"))
    spoil(logbook, better.id, "content", 'volume = "no litre"')
    assert standing(logbook.entries("a")) == ()
    assert [entry.id for entry in left_out(logbook.entries("a"))] == [better.id]
    logbook.correct(better.id, level("5.6 L"))
    assert [entry.content.volume.text for entry in standing(logbook.entries("a"))] == ["5.6 L"]
    assert left_out(logbook.entries("a")) == ()


def test_an_export_leaves_bad_rows_behind_and_comes_back(logbook, tmp_path):
    first = logbook.record("a", level("5 L"), NOON)
    better = logbook.correct(first.id, level("5.1 L"))
    logbook.correct(better.id, level("5.2 L"))
    alone = logbook.record("a", level("9 L"), NOON)
    spoil(logbook, better.id, "content", "volume = 5")
    spoil(logbook, alone.id, "content", "volume = 5")
    logbook.correct(alone.id, Withdrawn())
    other = Logbook(tmp_path / "other.sqlite3")
    carry_out(other, plan_import(other, export(logbook)))
    assert [entry.content.volume.text for entry in standing(other.entries("a"))] == ["5.2 L"]
    assert plan_import(logbook, export(logbook)).entries == ()


def test_on_the_command_line_a_bad_row_is_named_and_withdrawn(checked, capsys):
    logbook = Logbook()
    logbook.record_check(*checked)
    logbook.record(BATH, level("5.5 L"), NOON)
    spoil(logbook, 1, "advice", without_copper(checked))
    assert main(["history", BATH]) == 0
    said = capsys.readouterr().out
    assert "5.5 L" in said
    assert "cannot be read" in said
    assert "verdict: copper_sulfate" in said
    assert "withdraw 1" in said
    main(["history", BATH, "--json"])
    told = json.loads(capsys.readouterr().out)
    assert [entry["id"] for entry in told["entries"]] == [2]
    assert [entry["id"] for entry in told["cannot_be_read"]] == [1]
    assert main(["withdraw", "1"]) == 0
    assert "no longer counts" in capsys.readouterr().out
    main(["history", BATH])
    assert "cannot be read" not in capsys.readouterr().out
    for number in ("1", "99", str(10**30)):
        assert main(["withdraw", number]) == 2
        assert capsys.readouterr().out == ""


@pytest.mark.parametrize("page", ["home.py", "logbook.py"])
def test_no_page_dies_of_a_bad_row(app_test, checked, page):
    logbook = Logbook()
    logbook.record_check(*checked)
    logbook.record_check(*checked)
    logbook.record("Other tank", level())
    spoil(logbook, 2, "advice", without_copper(checked))
    app = app_test(page)
    assert not app.exception
    assert [error.value for error in app.error] == []
    labels = [button.label for button in app.button]
    if page == "home.py":
        assert labels.count("Check it now") == 2
    else:
        app.selectbox(key="logbook_bath").set_value(BATH).run()
        app.button(key="logbook_withdraw_2").click().run()
        assert left_out(logbook.entries(BATH)) == ()
        assert not app.exception


@pytest.mark.parametrize("button", ["home_correct_0", "home_check_0"])
def test_a_sheet_of_other_rules_opens_no_dead_page(app_test, logbook, button):
    """A sheet that was sound once may not be today: what it found still counts."""
    today = datetime.date.today()
    sheet = parse_sheet(example_text("dull").encode())
    dated = replace(sheet, bath=replace(sheet.bath, date=today - datetime.timedelta(days=3)))
    Logbook().record_check(dated, advise(dated))
    spoil(Logbook(), 1, "content", f'[bath]\nname = "{BATH}"\nvolume = "6 L"\ncolour = "blue"\n')
    app = app_test("home.py")
    assert not app.exception
    app.button(key=button).click().run()
    assert not app.exception
    if button == "home_correct_0":
        assert "cannot be read any more" in app.error[0].value
    else:
        assert app.title[0].value == "How much bath is in the tank?"  # of the tank only its level can be taken over
        assert "rules do not take the sheet of that check" in app.toast[0].value


# --- Files to import ------------------------------------------------------------------------------


def test_a_file_is_refused_whole_with_the_first_three_reasons(logbook, checked):
    whole = json.loads(export(filled(logbook, checked)))
    for position in (1, 2, 3, 5, 7):
        whole["entries"][position]["content"] = "volume = 5"
    with pytest.raises(InputError) as caught:
        plan_import(logbook, json.dumps(whole))
    said = str(caught.value)
    assert "5 entries of the file are not sound; the first 3" in said  # the corrections of two of them are not counted
    assert [f"entry {number} of the file: volume" in said for number in (2, 3, 4, 6)] == [True, True, True, False]
    assert "nothing was imported" in said


def test_an_export_without_a_verdict_of_copper_is_refused(logbook, checked):
    logbook.record_check(*checked)
    whole = json.loads(export(logbook))
    whole["entries"][0]["advice"]["verdict"]["copper_sulfate"] = None
    with pytest.raises(InputError, match="verdict: copper_sulfate"):
        plan_import(logbook, json.dumps(whole))


WRONG = (None, "", "x", 5, -1, 0.0, True, 1e308, 10**400, [], {}, [[]], {"value": None}, "9999-12-31T23:59:59+00:00")
MISSING = object()
TRIED = 150  # mutations in the usual run; AS_MANY=100000 in the environment tries all


def places(part: object, path: tuple = ()) -> Iterator[tuple]:
    """Yield the way to every value of an export."""
    if path:
        yield path
    if isinstance(part, dict | list):
        for key in part if isinstance(part, dict) else range(len(part)):
            yield from places(part[key], (*path, key))


def mutated(whole: dict, path: tuple, value: object) -> str:
    spoilt = copy.deepcopy(whole)
    part = spoilt
    for key in path[:-1]:
        part = part[key]
    if value is MISSING:
        del part[path[-1]]
    else:
        part[path[-1]] = value
    return json.dumps(spoilt)


def say_all(bath: str, written: tuple) -> None:
    """Say all that the pages and commands say of a bath; nothing here may raise."""
    entries = standing(written)
    assert left_out(written) == ()  # an import takes nothing that could not be read again
    overview(bath, written, NOW).history()
    trail(written)
    entries_as_csv(written)
    for entry in entries:
        entry.content.summary()
        if isinstance(entry.content, Check):
            advice_then(entry.content)
    for course in time_line.COURSES:
        if time_line.points(course, entries):
            json.dumps(time_line.time_line(course, entries, time_line.done(entries)), allow_nan=False)
            time_line.describe(course, entries)
    carried = carry_forward(written, NOW)
    if carried is not None:
        carried.summary()
        carried.reading()
    try:
        explained = where_it_went(written)
    except NotEnoughKnown:
        return
    checks = [entry.content for entry in entries if isinstance(entry.content, Check)]
    limits = {name: checks[-1].limits(name) for name in ("copper_sulfate", "sulfuric_acid", "chloride")}
    json.dumps([explained.to_dict(), forecast(explained, limits).to_dict()], allow_nan=False)
    explained.sections()


def test_whatever_is_changed_in_an_export_it_is_refused_or_all_goes_on(logbook, checked):
    sheet, _ = checked
    for month in (3, 4):
        dated = replace(sheet, bath=replace(sheet.bath, date=datetime.date(2026, month, 14)))
        logbook.record_check(dated, advise(dated))
    for number, entry in enumerate(filled(logbook, checked).entries("Shed tank")):
        if entry.kind not in ("check", "withdrawn", "remake"):
            logbook.record(BATH, entry.content, NOON + datetime.timedelta(days=number))
    logbook.correct(4, LevelMark(volume=level().volume))
    whole = json.loads(export(logbook))
    tries = [(path, value) for path in places(whole) for value in (*WRONG, MISSING)]
    random.Random(20261126).shuffle(tries)
    tries.sort(key=lambda one: not (one[1] is None and "verdict" in one[0][-2:]))  # first what once killed the pages
    refused = 0
    for path, value in tries[: int(os.environ.get("AS_MANY", TRIED))]:
        text = mutated(whole, path, value)
        try:
            plan = plan_import(Logbook(logbook.path.with_name("none.sqlite3")), text)
        except InputError as error:
            refused += len(str(error)) > 20
            continue
        try:
            for bath in {entry.bath for entry in plan.entries}:
                say_all(bath, tuple(entry for entry in plan.entries if entry.bath == bath))
        except Exception as error:
            pytest.fail(f"{path} = {str(value)[:60]}: {error!r}")
    assert refused > 0.2 * min(TRIED, len(tries))


# --- Clocks and names -----------------------------------------------------------------------------


def test_a_clock_that_was_set_back_is_named(monkeypatch, app_test, capsys):
    """The second entry is written an hour before the first one, which it corrects: it counts all the same."""
    logbook = Logbook()
    wrong = logbook.record("a", level("56 L"))
    logbook.correct(wrong.id, level("5.6 L"))
    logbook.record("a", level("5.5 L"))
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute("DROP TRIGGER entry_is_never_changed")
        earlier = (wrong.written - datetime.timedelta(hours=1)).isoformat(timespec="microseconds")
        connection.execute("UPDATE entry SET written = ? WHERE id = 2", (earlier,))
        connection.commit()
    assert {number: before.id for number, before in clock_ran_back(logbook.entries()).items()} == {2: 1}
    assert [entry.content.volume.text for entry in standing(logbook.entries())] == ["5.6 L", "5.5 L"]
    main(["history", "a", "--all"])
    assert "the clock was set back" in capsys.readouterr().out
    app = app_test("logbook.py")
    assert any("Entry 2 was written by an earlier clock than entry 1" in caption.value for caption in app.caption)


def test_names_that_hide_letters_or_look_alike_are_shown_as_such(app_test, capsys):
    logbook = Logbook()
    for name in ("Shed tank", "Shed\u200b tank", "\u202eknat"):
        logbook.record(name, level())
    for page in ("home.py", "logbook.py"):
        app = app_test(page)
        assert not app.exception
        assert any("2 different baths" in caption.value for caption in app.caption)
        shown = [heading.value for heading in app.subheader] + app_text(app)
        assert not any("\u202e" in text or "\u200b" in text for text in shown)
    main(["history", "\u202eknat"])
    assert capsys.readouterr().out.startswith("\\u202eknat\n")


def app_text(app) -> list[str]:
    """Return what a person reads: text, captions and what can be chosen."""
    chosen = [option for box in app.selectbox for option in box.options]
    return [*(block.value for block in (*app.markdown, *app.caption)), *chosen]


@pytest.mark.parametrize(
    "name", ["https://evil.example", "www.evil.example", "a@b.example", "[x](//y)", "<a href=x>y</a>"]
)
def test_a_name_or_a_note_never_becomes_a_link(app_test, checked, name):
    """A letter that Markdown reads as part of a link has a backslash before it."""
    logbook = Logbook()
    sheet, advice = checked
    logbook.record_check(replace(sheet, bath=replace(sheet.bath, name=name)), advice)
    logbook.record(name, level(note=name))
    for page in ("home.py", "logbook.py"):
        app = app_test(page)
        assert not app.exception
        for block in (*app.markdown, *app.caption, *app.subheader):
            assert name not in block.value
        for block in app.get("html"):
            assert name not in block.proto.body or "<" not in name
