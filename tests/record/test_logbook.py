"""The logbook loses nothing, changes nothing, and says plainly when it cannot be used."""

import datetime
import json
import os
import sqlite3
import subprocess
import sys
import tempfile
import threading
from contextlib import closing, suppress
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

import advisor.record.logbook as module
from advisor.basis.fields import InputError
from advisor.basis.places import data_folder
from advisor.record.entries import CONTENTS, Withdrawn, standing
from advisor.record.exchange import export
from advisor.record.logbook import MIGRATIONS, Logbook, LogbookError
from advisor.sheet import parse_sheet
from tests.record.some_entries import NOON, WATER, filled, level, one_of_each

ROOT = Path(__file__).resolve().parents[2]
WRITER = Path(__file__).with_name("logbook_writer.py")
UTC = datetime.UTC
HOSTILE_NAMES = (
    "'; DROP TABLE entry; --",
    '=HYPERLINK("http://x","y")',
    "../../etc/passwd",
    "<script>alert(1)</script>",
    "Wanne für Muscheln ½ 🐚",
    "%s %d {0} $HOME",
    "NULL",
    "0",
)


# --- Writing and reading --------------------------------------------------------------------------


def test_the_check_that_was_written_last(logbook, checked):
    assert logbook.last_check() is None
    logbook.record("Shed tank", level())
    assert logbook.last_check() is None
    example, advice = checked
    logbook.record_check(example, advice)
    assert logbook.last_check() is None  # an example's tools are not the person's
    own = replace(example, bath=replace(example.bath, name="Shed tank"))
    assert logbook.record_check(own, advice).content == logbook.last_check()


def test_a_check_of_a_day_that_lies_ahead_is_refused(logbook, checked):
    """One day ahead may be today where the visitor lives: it counts as of now."""
    sheet, advice = checked
    today = datetime.date.today()
    dated = [replace(sheet, bath=replace(sheet.bath, date=today + datetime.timedelta(days=days))) for days in (1, 2)]
    assert logbook.record_check(dated[0], advice)
    assert logbook.entries()[0].when <= datetime.datetime.now(datetime.UTC)
    for write in (logbook.record_check, partial(logbook.record_correction, steps=[WATER])):
        with pytest.raises(InputError, match=rf'date: you gave "{dated[1].bath.date}"; that day lies ahead.*{today}'):
            write(dated[1], advice)
    assert len(logbook.entries()) == 1


def test_steps_are_written_with_their_check_or_after_it(logbook, checked):
    sheet, advice = checked
    written = [*logbook.record_correction(sheet, advice, [WATER]), *logbook.record_correction(sheet, None, [WATER])]
    assert [entry.kind for entry in written] == ["check", "water", "water"]
    assert len({entry.bath for entry in written}) == 1


def test_a_logbook_that_another_program_holds_is_busy_and_loses_nothing(logbook, monkeypatch):
    monkeypatch.setattr(module, "WAIT", 0.05)
    logbook.record("Shed tank", level())
    with closing(sqlite3.connect(logbook.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="Close it and try again"):
            logbook.record("Shed tank", level())
        other.execute("ROLLBACK")
    assert len(logbook.entries()) == 1


def test_without_a_file_there_is_nothing_and_looking_makes_none(logbook):
    assert logbook.baths() == ()
    assert logbook.entries() == ()
    assert not logbook.path.parent.exists()


def test_it_lies_where_the_environment_variable_says(monkeypatch, tmp_path):
    monkeypatch.setenv("ADVISOR_DATA_FOLDER", str(tmp_path / "moved"))
    assert Logbook().path == tmp_path / "moved" / "logbook.sqlite3"
    monkeypatch.delenv("ADVISOR_DATA_FOLDER")
    assert data_folder().name == "copper-bath-advisor"


def test_every_kind_of_entry_comes_back_as_it_was(logbook):
    contents = one_of_each()
    for number, content in enumerate(contents):
        logbook.record("Shed tank", content, NOON + datetime.timedelta(minutes=number))
    assert [entry.content for entry in logbook.entries("Shed tank")] == contents
    assert {type(content) for content in contents} == set(CONTENTS.values()) - {Withdrawn}


def test_a_check_comes_back_with_sheet_advice_and_version(logbook, checked):
    sheet, advice = checked
    entry = logbook.record_check(sheet, advice)
    (found,) = logbook.entries(sheet.bath.name)
    assert found == entry
    assert parse_sheet(found.content.sheet.encode()) == sheet
    assert found.content.advice == json.loads(json.dumps(advice.to_dict()))
    assert found.program == module.__version__
    assert found.when.astimezone().date() == datetime.date(2026, 3, 14)
    value = found.content.value("copper_sulfate")
    assert value is not None
    assert value.value == advice.values["copper_sulfate"].value
    assert found.content.volume_L == advice.volume_L
    assert found.content.limits("copper_sulfate") == (195.0, 248.0)
    assert "192 ± 6 g/L copper sulfate" in found.content.summary()


def test_a_check_of_today_sorts_among_what_was_done_today(logbook, checked):
    sheet, advice = checked
    today = replace(sheet, bath=replace(sheet.bath, date=datetime.date.today()))
    before = logbook.record(sheet.bath.name, level())
    check = logbook.record_check(today, advice)
    assert [entry.id for entry in logbook.entries()] == [before.id, check.id]


def test_a_sheet_without_a_name_is_refused_by_place(logbook, checked):
    sheet, advice = checked
    nameless = replace(sheet, bath=replace(sheet.bath, name="  "))
    with pytest.raises(InputError, match="bath: name"):
        logbook.record_check(nameless, advice)
    assert logbook.entries() == ()


def test_a_date_that_no_bath_has_is_refused(logbook, checked):
    sheet, advice = checked
    ancient = replace(sheet, bath=replace(sheet.bath, date=datetime.date(1, 1, 1)))
    with pytest.raises(InputError, match="bath: date"):
        logbook.record_check(ancient, advice)


def test_entries_are_in_order_of_time_whatever_their_zone(logbook):
    zone = datetime.timezone(datetime.timedelta(hours=9))
    later = logbook.record("a", level(), NOON)
    earlier = logbook.record("a", level(), datetime.datetime(2026, 3, 14, 20, tzinfo=zone))  # 11:00 UTC
    assert [entry.id for entry in logbook.entries("a")] == [earlier.id, later.id]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_names_are_only_names(logbook, name):
    logbook.record("Shed tank", level())
    logbook.record(name, level("4 L"))
    assert set(logbook.baths()) == {"Shed tank", name}
    (found,) = logbook.entries(name)
    assert found.content.volume.value == 4


@pytest.mark.parametrize("name", ["", " \n ", "x" * 81, "a\x00b", "a\ud800b", "a\x1b[31mb"])
def test_what_is_no_name_is_refused(logbook, name):
    with pytest.raises(InputError, match="bath: name"):
        logbook.record(name, level())
    assert not logbook.path.exists()


# --- Append only ----------------------------------------------------------------------------------


def test_a_correction_replaces_and_keeps(logbook):
    wrong = logbook.record("a", level("56 L"), NOON)
    better = logbook.correct(wrong.id, level("5.6 L"))
    best = logbook.correct(better.id, level("5.65 L"), NOON + datetime.timedelta(hours=1))
    other = logbook.record("a", level("5.5 L"), NOON + datetime.timedelta(days=1))
    entries = logbook.entries("a")
    assert len(entries) == 4
    assert entries[0].content.volume.value == 56
    assert [entry.id for entry in standing(entries)] == [best.id, other.id]
    assert better.when == wrong.when


def test_of_two_corrections_of_one_entry_the_last_written_stands(logbook):
    wrong = logbook.record("a", level("56 L"))
    logbook.correct(wrong.id, level("5.6 L"))
    last = logbook.correct(wrong.id, level("5.7 L"))
    assert [entry.id for entry in standing(logbook.entries())] == [last.id]


def test_a_withdrawn_entry_counts_no_more(logbook):
    wrong = logbook.record("a", level())
    logbook.correct(wrong.id, Withdrawn(note="other tank"))
    assert standing(logbook.entries()) == ()
    assert len(logbook.entries()) == 2


def test_a_correction_to_an_earlier_day_counts_and_stands_on_that_day(logbook):
    """What was written last counts, whichever day it is of: the mark of noon was truly read a day before, at 5.6 L.

    Between the two days lies another mark, which comes after it now.
    """
    wrong = logbook.record("a", level("5 L"), NOON)
    between = logbook.record("a", level("5.5 L"), NOON - datetime.timedelta(hours=12))
    right = logbook.correct(wrong.id, level("5.6 L"), NOON - datetime.timedelta(days=1))
    assert [entry.id for entry in standing(logbook.entries())] == [right.id, between.id]


def test_nothing_to_correct(logbook):
    with pytest.raises(LogbookError, match="entry 7"):
        logbook.correct(7, level())


@pytest.mark.parametrize("statement", ["UPDATE entry SET content = ''", "DELETE FROM entry"])
def test_the_file_itself_refuses_to_change_an_entry(logbook, statement):
    logbook.record("a", level())
    with (
        closing(sqlite3.connect(logbook.path)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="append only"),
    ):
        connection.execute(statement)


# --- Copies, speed, schema ------------------------------------------------------------------------


def test_a_backup_is_a_whole_logbook(logbook, checked, tmp_path):
    filled(logbook, checked).backup(tmp_path / "copy.sqlite3")
    assert export(Logbook(tmp_path / "copy.sqlite3")) == export(logbook)
    with pytest.raises(LogbookError, match="is there already"):
        logbook.backup(tmp_path / "copy.sqlite3")
    with pytest.raises(LogbookError, match="cannot be opened or written"):
        logbook.backup(tmp_path / "nowhere" / "copy.sqlite3")


def test_the_first_schema_ever_delivered_is_still_read(tmp_path):
    path = tmp_path / "logbook.sqlite3"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((Path(__file__).parent / "logbook_versions" / "version_1.sql").read_text("utf-8"))
    entries = Logbook(path).entries("Shed tank")
    assert [entry.kind for entry in entries] == ["check", "water", "level"]
    assert entries[1].content.volume.value == 1.2
    assert entries[0].content.value("sulfuric_acid").value == 54.0
    Logbook(path).record("Shed tank", level())
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)


def test_what_was_typed_as_a_standard_uncertainty_is_converted_once(tmp_path):
    """The meaning of ± changed with the second schema: text and numbers follow, what people wrote in words stays."""
    path = tmp_path / "logbook.sqlite3"
    fixture = Path(__file__).parent / "logbook_versions" / "version_1_with_spreads.sql"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(fixture.read_text("utf-8"))
    for _ in range(2):  # the second time nothing is left to convert
        check, measured = Logbook(path).entries("Shed tank")
        sheet = parse_sheet(check.content.sheet.encode())
        assert sheet.bath.volume.text == "5.6 ± 0.098 L"
        assert sheet.bath.volume.standard_uncertainty == pytest.approx(0.05)
        titration, hydrometer, copper, earlier = sheet.readings
        assert titration.sample.text == "5,00 ± 0,059 mL"
        assert titration.strength.standard_uncertainty == pytest.approx(0.0020, rel=0.01)
        assert titration.used.standard_uncertainty == pytest.approx(0.000123, rel=0.03)
        assert titration.titrant_label == "bottle of 5 ± 1 May"
        assert titration.note == "the label says 12 ± 1 g"
        assert hydrometer.value.text == "1.165 +/- 0.0020"
        assert copper.predilution[0].standard_uncertainty == pytest.approx(0.0001, rel=0.03)
        assert earlier.copper_sulfate.text == "212 ± 12 g/L"
        assert check.content.value("copper_sulfate").standard_uncertainty == 3.0
        assert measured.content.volume.text == "5.6 ± 0.20 L"
        assert measured.content.note == "± 0.1 by eye"
    with closing(sqlite3.connect(path)) as connection, pytest.raises(sqlite3.IntegrityError, match="append only"):
        connection.execute("UPDATE entry SET content = ''")


# --- Faults ---------------------------------------------------------------------------------------


def test_a_file_that_is_no_database_is_set_aside(logbook):
    logbook.path.parent.mkdir(parents=True)
    logbook.path.write_bytes(b"not a database at all, but something the person may want back" * 50)
    content = logbook.path.read_bytes()
    with pytest.raises(LogbookError, match="nothing was deleted"):
        logbook.entries()
    (aside,) = logbook.path.parent.iterdir()
    assert aside.read_bytes() == content
    logbook.record("a", level())
    assert len(logbook.entries()) == 1
    assert aside.read_bytes() == content


def test_a_logbook_damaged_inside_is_set_aside(logbook, checked):
    for _ in range(20):
        logbook.record_check(*checked)
    content = bytearray(logbook.path.read_bytes())
    content[5 * 4096 : 6 * 4096] = b"\xff" * 4096
    logbook.path.write_bytes(content)
    with pytest.raises(LogbookError, match="nothing was deleted") as caught:
        logbook.entries()
    (aside,) = (file for file in logbook.path.parent.iterdir() if file.name in str(caught.value))
    assert aside.read_bytes() == bytes(content)
    assert not logbook.path.exists()


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "file").write_text("in the way")
    logbook = Logbook(tmp_path / "file" / "logbook.sqlite3")
    assert logbook.entries() == ()
    with pytest.raises(LogbookError, match="ADVISOR_DATA_FOLDER"):
        logbook.record("a", level())


def test_a_folder_in_the_place_of_the_file(tmp_path):
    (tmp_path / "logbook.sqlite3").mkdir()
    with pytest.raises(LogbookError, match="cannot be opened or written"):
        Logbook(tmp_path / "logbook.sqlite3").entries()


def test_a_file_that_may_only_be_read(logbook, monkeypatch):
    logbook.record("a", level())
    prepare = module._prepare

    def read_only(connection):
        prepare(connection)
        connection.execute("PRAGMA query_only = ON")

    monkeypatch.setattr(module, "_prepare", read_only)
    with pytest.raises(LogbookError, match="nothing was recorded"):
        logbook.record("a", level())
    assert len(logbook.entries()) == 1


READS = """
import os, sys
from pathlib import Path
from advisor.record.logbook import Logbook, LogbookError
from tests.record.some_entries import level
os.setuid(65534)  # nobody, who may only read
logbook = Logbook(Path(sys.argv[1]))
print(len(logbook.entries()), logbook.baths())
try:
    logbook.record("a", level())
except LogbookError:
    print("refused")
"""


@pytest.mark.skipif(not hasattr(os, "setuid") or os.getuid() != 0, reason="only root can become somebody else")
@pytest.mark.parametrize("version", ["today", "before"])
def test_what_may_only_be_read_is_read(tmp_path_factory, version):
    """The file and its folder belong to somebody else, such as on a stick that is write-protected."""
    with tempfile.TemporaryDirectory() as folder:  # where others may look into, unlike the tests' own folders
        Path(folder).chmod(0o755)
        path = Path(folder) / "logbook.sqlite3"
        if version == "today":
            Logbook(path).record("a", level())
            Logbook(path).record("a", level())
            Logbook(path).record("b", level())
        else:
            with closing(sqlite3.connect(path)) as connection:
                connection.executescript(
                    (Path(__file__).parent / "logbook_versions" / "version_1.sql").read_text("utf-8")
                )
        before = path.read_bytes()
        command = [sys.executable, "-c", READS, str(path)]
        ran = subprocess.run(command, cwd=ROOT, capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)})
        told = "3 ('b', 'a')" if version == "today" else "3 ('Shed tank',)"
        assert ran.stdout.decode().splitlines() == [told, "refused"], ran.stderr.decode()
        assert path.read_bytes() == before
        assert [file.name for file in Path(folder).iterdir()] == ["logbook.sqlite3"]


def test_a_logbook_is_read_where_the_disk_has_no_room(logbook):
    resource = pytest.importorskip("resource")
    entry = logbook.record("a", level())
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, before[1]))  # no file grows, as on a full disk
    try:
        assert logbook.entries() == (entry,)
        with pytest.raises(LogbookError, match="disk"):
            logbook.record("a", level())
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_new_logbook_that_another_program_is_making_is_waited_for(logbook):
    logbook.path.parent.mkdir(parents=True)
    with closing(sqlite3.connect(logbook.path, check_same_thread=False, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        timer = threading.Timer(0.5, lambda: other.execute("ROLLBACK"))
        timer.start()
        entry = logbook.record("a", level())
        timer.join()
    assert logbook.entries() == (entry,)


def test_a_full_disk_is_told_and_loses_nothing(logbook, checked, monkeypatch):
    prepare = module._prepare

    def small_disk(connection):
        prepare(connection)
        connection.execute("PRAGMA max_page_count = 20")

    monkeypatch.setattr(module, "_prepare", small_disk)
    committed = []

    def fill():
        for _ in range(50):
            committed.append(logbook.record_check(*checked).id)

    with pytest.raises(LogbookError, match="Make room"):
        fill()
    monkeypatch.setattr(module, "_prepare", prepare)
    assert len(committed) > 2
    assert [entry.id for entry in logbook.entries()] == committed
    logbook.record("a", level())


def sound_entries(path: Path) -> list[int]:
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        return [number for (number,) in connection.execute("SELECT id FROM entry ORDER BY id")]


def start_writer(path: Path, bath: str, *counts: int) -> subprocess.Popen:
    command = [sys.executable, str(WRITER), str(path), bath, *map(str, counts)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)})


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="starting 200 writers takes fork")
def test_killing_a_writer_200_times_loses_no_committed_entry(tmp_path):
    path = tmp_path / "logbook.sqlite3"
    writers = start_writer(path, "a", 100_000, 200)
    reported = [int(line) for line in writers.communicate(timeout=120)[0].splitlines()]
    assert writers.returncode == 0
    assert len(reported) >= 200
    kept = sound_entries(path)
    assert set(reported) <= set(kept)
    assert len(kept) - len(reported) <= 200  # a commit that was killed before it could be said
    assert [entry.id for entry in Logbook(path).entries()] == kept


@pytest.mark.slow
def test_two_writers_at_once_on_a_new_file(tmp_path):
    path = tmp_path / "new" / "logbook.sqlite3"
    writers = [start_writer(path, bath, 100) for bath in ("a", "b")]
    said = [[int(line) for line in writer.communicate()[0].splitlines()] for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    assert sorted(said[0] + said[1]) == sound_entries(path) == list(range(1, 201))
    assert len(Logbook(path).entries("a")) == len(Logbook(path).entries("b")) == 100


def test_who_reads_and_writes_at_one_time_keeps_other_writers_waiting_and_writes_all_or_nothing(logbook):
    logbook.record("a", level("5 L"))
    other = threading.Thread(target=lambda: logbook.record("a", level("7 L")))
    with logbook.at_one_time(write=True) as book:
        other.start()
        other.join(0.2)
        assert other.is_alive()
        assert book.count("a") == 1
        book.record("a", level("6 L"))
        assert book.count("a") == 2
        assert logbook.count("a") == 1
    other.join()
    assert [entry.content.volume.text for entry in sorted(logbook.entries("a"), key=lambda entry: entry.id)] == [
        "5 L",
        "6 L",
        "7 L",
    ]
    with suppress(RuntimeError), logbook.at_one_time(write=True) as book:
        book.record("b", level("6 L"))
        raise RuntimeError
    assert logbook.baths() == ("a",)
