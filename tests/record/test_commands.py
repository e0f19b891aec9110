"""`record` files a check and `history` tells what is filed, without slowing the other commands."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.__main__ import main
from advisor.basis.units import parse
from advisor.examples import example_text
from advisor.record.drift import last_change
from advisor.record.entries import CrystalsAdded, LevelMark, Withdrawn
from advisor.record.logbook import Logbook
from tests.benchmarks.long_logbook import BATH, build

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def sheet(tmp_path) -> str:
    path = tmp_path / "dull.toml"
    path.write_text(example_text("dull"), "utf-8")
    return str(path)


def test_record_makes_the_bath_and_always_appends(sheet, capsys):
    for number in (1, 2):
        assert main(["record", sheet]) == 0
        said = capsys.readouterr().out
        assert said.startswith(f"Recorded as entry {number} of Leafcast, big tank (example) in {Logbook().path}")
        assert "192 ± 6 g/L copper sulfate" in said
    assert Logbook().baths() == ("Leafcast, big tank (example)",)
    assert len(Logbook().entries()) == 2


def test_history_gives_the_advice_that_check_gives(sheet, capsys):
    assert main(["check", sheet, "--json"]) == 0
    advice = json.loads(capsys.readouterr().out)
    main(["record", sheet])
    capsys.readouterr()
    assert main(["history", " Leafcast,  big tank (example)", "--json"]) == 0
    history = json.loads(capsys.readouterr().out)
    assert history["bath"] == "Leafcast, big tank (example)"
    (entry,) = history["entries"]
    assert entry["advice"] == advice
    assert (entry["id"], entry["kind"]) == (1, "check")
    assert entry["when"].startswith("2026-03-14")


def test_history_lists_every_kind_and_leaves_out_what_was_withdrawn(sheet, capsys):
    main(["record", sheet])
    logbook = Logbook()
    for volume in ("5.5 L", "55 L"):
        logbook.record("Leafcast, big tank (example)", LevelMark(volume=parse(volume, "volume")))
    logbook.correct(3, Withdrawn())
    capsys.readouterr()
    assert main(["history", "Leafcast, big tank (example)"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines[2:4]] == ["1", "2"]
    assert lines[4] == ""
    assert "5.5 L stood in the tank" in lines[3]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["history", "Leafcast, big tnak"], "did you mean Leafcast, big tank (example)?"),
        (["history", ""], "bath: name"),
        (["history", "a\udcff"], "bath: name"),
        (["record", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_bad_input_is_one_message_on_standard_error(sheet, capsys, words, message):
    main(["record", sheet])
    capsys.readouterr()
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err
    assert len(err.splitlines()) == 1


def test_history_of_nothing(capsys):
    assert main(["history", "Shed tank"]) == 2
    assert "nothing is recorded yet" in capsys.readouterr().err
    assert not Logbook().path.exists()


def test_a_sheet_without_a_name_is_not_recorded(tmp_path, capsys):
    path = tmp_path / "nameless.toml"
    path.write_text('[bath]\nvolume = "5 L"\n', "utf-8")
    assert main(["record", str(path)]) == 2
    assert "bath: name" in capsys.readouterr().err


def test_a_logbook_that_cannot_be_written_is_exit_2(sheet, capsys, monkeypatch, tmp_path):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("ADVISOR_DATA_FOLDER", str(tmp_path / "file"))
    assert main(["record", sheet]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("advisor: logbook: ")


def test_an_entry_is_withdrawn_without_reading_all_the_others(monkeypatch, capsys):
    for litres in ("5 L", "6 L"):
        Logbook().record("a", LevelMark(volume=parse(litres, "volume")))
    monkeypatch.delattr(Logbook, "entries")
    assert main(["withdraw", "1"]) == 0
    assert capsys.readouterr().out.startswith("Entry 1 of a no longer counts.")


def loaded_by(*words: str) -> set[str]:
    """Return the modules that a process has loaded once it has answered a command."""
    program = "import sys; from advisor.__main__ import main; main(sys.argv[1:]); print('', *sys.modules, sep=chr(10))"
    run = subprocess.run([sys.executable, "-c", program, *words], cwd=ROOT, capture_output=True, text=True, check=True)
    return set(run.stdout.splitlines())


def test_check_loads_neither_the_logbook_nor_the_app(sheet):
    found = loaded_by("check", sheet, "--json")
    assert "advisor.check.advise" in found
    assert not found & {"sqlite3", "streamlit", "pandas", "advisor.record.logbook", "advisor.record.drift"}


def test_a_history_loads_what_carries_a_bath_forward_only_where_that_is_told():
    """Of a bath that was corrected after its check no forecast is told; scipy no history waits for."""
    carrying, never = {"advisor.record.account", "advisor.check.estimate"}, {"scipy", "streamlit", "pandas"}
    build(Logbook(), 1200)
    assert last_change(Logbook().entries(BATH)).ampere_hours > 0
    found = loaded_by("history", BATH)
    assert found >= carrying
    assert not found & never
    Logbook().record(BATH, CrystalsAdded(mass=parse("50 g", "mass")))
    assert not loaded_by("history", BATH) & (carrying | never)


def test_the_record_is_told_in_us_units_where_asked(sheet, capsys):
    """192 g/L is 25.6 oz/gal and 5.60 L are 1.48 gal (7.489152 g/L an ounce a gallon, 3.785412 L a gallon)."""
    main(["record", sheet, "--units", "us"])
    main(["history", "Leafcast, big tank (example)", "--units", "us"])
    assert capsys.readouterr().out.count("25.6 ± 0.8 oz/gal (192 ± 6 g/L) copper sulfate") == 2
    main(["history", "Leafcast, big tank (example)"])
    assert "Check: 192 ± 6 g/L copper sulfate, 20.9 ± 1.3 g/L acid, 5.60 L" in capsys.readouterr().out
