"""What version 0.1.0 wrote is read by the present; what a later version wrote is refused with words and left alone.

The files in `version_0_1_0` were written by that version and are never changed: two checks a month apart, one entry of
each kind, a correction and a withdrawn entry; a draft with ticked steps; its example sheets. A ± was one standard
uncertainty then.
"""

import datetime
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.__main__ import main
from advisor.check.advise import advise
from advisor.record import drafts
from advisor.record.account import where_it_went
from advisor.record.at_hand import at_hand
from advisor.record.before import at_95_percent
from advisor.record.drafts import Ticks
from advisor.record.entries import left_out, standing
from advisor.record.exchange import carry_out, plan_import
from advisor.record.logbook import MIGRATIONS, Logbook
from advisor.sheet import parse_sheet
from tests.record.some_entries import level

BEFORE = Path(__file__).with_name("version_0_1_0")
BATH = "Leafcast, big tank"
NOW = datetime.datetime(2026, 5, 1, tzinfo=datetime.UTC)


@pytest.fixture
def of_before() -> Logbook:
    logbook = Logbook()
    logbook.path.parent.mkdir(parents=True)
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.executescript((BEFORE / "logbook.sql").read_text("utf-8"))
    return logbook


def test_a_logbook_of_before_is_read_and_written_on(of_before, capsys):
    written = of_before.entries()
    assert len(written) == 16
    assert left_out(written) == ()
    mark = next(entry for entry in standing(written) if entry.corrects == 14)
    assert mark.content.volume.text == "5.5 L ± 0.20 L"
    assert mark.content.volume.standard_uncertainty == pytest.approx(0.1, rel=0.03)
    assert where_it_went(of_before.entries(BATH)).days == pytest.approx(31, abs=0.1)
    assert at_hand(of_before, BATH).carried(NOW).values["copper_sulfate"].value > 100
    of_before.record(BATH, level(), NOW)
    assert main(["history", BATH]) == 0
    listed = [int(line.split()[0]) for line in capsys.readouterr().out.splitlines() if line[:5].strip().isdigit()]
    assert listed == [entry.id for entry in standing(of_before.entries(BATH))]


@pytest.mark.parametrize("page", ["home.py", "logbook.py"])
def test_pages_open_with_a_logbook_of_before(app_test, of_before, page):
    app = app_test(page)
    assert not app.exception
    assert not app.error


def test_an_export_of_before_says_the_same_as_its_logbook(of_before, tmp_path):
    text = (BEFORE / "export.json").read_text("utf-8")
    assert plan_import(of_before, text).entries == ()
    empty = Logbook(tmp_path / "other.sqlite3")
    carry_out(empty, plan_import(empty, text))
    assert [entry.content for entry in standing(empty.entries())] == [
        entry.content for entry in standing(of_before.entries())
    ]


def test_a_draft_of_before_goes_on():
    path = drafts.new_path("this_computer")
    path.parent.mkdir(parents=True)
    shutil.copy(BEFORE / "draft.json", path)
    (kept,) = drafts.recent("this_computer")
    assert kept.draft.sheet == '[bath]\nname = "Shed tank"\nvolume = "5.6 ± 0.20 L"\n'
    assert kept.draft.ticks == Ticks("0123456789abcdef", (1, 3))


@pytest.mark.parametrize("name", [file.name for file in sorted(BEFORE.glob("sheet_*.toml"))])
def test_a_sheet_of_before_is_answered(name):
    json.dumps(advise(parse_sheet((BEFORE / name).read_bytes())).to_dict(), allow_nan=False)


def test_a_logbook_of_a_later_version_is_refused_with_words_and_left_alone(app_test, capsys):
    logbook = Logbook()
    logbook.record(BATH, level())
    with closing(sqlite3.connect(logbook.path)) as connection:
        connection.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
        connection.execute("CREATE TABLE of_later (x)")
        connection.commit()
    before = logbook.path.read_bytes()
    for words in (["history", BATH], ["log", BATH, "level", "5 L"]):
        assert main(words) == 2
        said = capsys.readouterr().err
        assert "newer version" in said
        assert "Update the program" in said
    for page in ("home.py", "logbook.py"):
        app = app_test(page)
        assert not app.exception
        assert "Update the program" in app.error[0].value
    assert logbook.path.read_bytes() == before


@pytest.mark.parametrize(
    ("of_before", "now"),
    [
        ('volume = "5.5 L ± 0.10 L"', 'volume = "5.5 L ± 0.20 L"'),  # 1.96 times as wide, to two figures
        ('used = "12,3 ± 0,05 mL"', 'used = "12,3 ± 0,098 mL"'),
        ('mass = "250 +/- 2 g"', 'mass = "250 +/- 3.9 g"'),
        ("acid = '54 +- 1e1 g/L'", "acid = '54 +- 20 g/L'"),
        ('copper = ["195 ± 2 g/L", "248 ± 3 g/L"]', 'copper = ["195 ± 3.9 g/L", "248 ± 5.9 g/L"]'),
        ('volume = "5 L"\nnote = "5 ± 1 L of it"', 'volume = "5 L"\nnote = "5 ± 1 L of it"'),
        ('note = "± 1"\nvolume = "5 ± 1 L"', 'note = "± 1"\nvolume = "5 ± 2.0 L"'),
        ('# 5 ± 1 L\nlevel = 5', '# 5 ± 1 L\nlevel = 5'),
        ('name = "9 ± 1" # tank', 'name = "9 ± 1" # tank'),
    ],
)  # fmt: skip
def test_a_spread_of_before_was_one_standard_uncertainty(of_before: str, now: str) -> None:
    assert at_95_percent(of_before) == now
