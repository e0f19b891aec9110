"""What is exported comes back without loss; what is no sound export is refused whole."""

import csv
import io
import json

import pytest

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.record.entries import standing
from advisor.record.exchange import carry_out, entries_as_csv, export, plan_import
from advisor.record.logbook import Logbook
from tests.record.some_entries import filled, level


def test_export_and_import_lose_nothing(logbook, checked, tmp_path):
    text = export(filled(logbook, checked))
    other = Logbook(tmp_path / "other.sqlite3")
    plan = plan_import(other, text)
    assert other.entries() == ()
    assert "Adds 23 entries and 2 new baths" in plan.summary()
    assert carry_out(other, plan) == 23
    assert export(other) == text


def test_an_export_of_any_size_comes_back(logbook, checked, tmp_path, capsys, monkeypatch):
    """A page has a limit, which the message tells the way around."""
    file = tmp_path / "logbook.json"
    file.write_text(export(filled(logbook, checked)), "utf-8")
    with pytest.raises(InputError, match="python -m advisor import FILE"):
        plan_import(Logbook(), file.read_text("utf-8"), most=1000)
    monkeypatch.setattr("advisor.record.exchange.LARGEST_IMPORT", 1000)
    assert main(["import", str(file)]) == 0
    assert "Adds 23 entries" in capsys.readouterr().out
    assert export(Logbook()) == export(logbook)
    assert main(["import", str(tmp_path / "nowhere.json")]) == 2
    assert "cannot be read" in capsys.readouterr().err


def test_importing_twice_adds_nothing(logbook, checked):
    text = export(filled(logbook, checked))
    plan = plan_import(logbook, text)
    assert plan.entries == ()
    assert "23 are here already" in plan.summary()
    carry_out(logbook, plan)
    assert export(logbook) == text


def test_the_same_sheet_with_another_answer_is_another_check(logbook, checked):
    whole = json.loads(export(filled(logbook, checked)))
    (number,) = (at for at, entry in enumerate(whole["entries"]) if entry["kind"] == "check")
    whole["entries"][number]["advice"]["estimate"]["volume_L"] += 0.1
    assert [entry.kind for entry in plan_import(logbook, json.dumps(whole)).entries] == ["check"]


def test_two_imports_at_the_same_moment_add_each_entry_once(logbook, checked, tmp_path):
    text = export(filled(logbook, checked))
    here = Logbook(tmp_path / "here.sqlite3")
    here.record("a", level("5 L"))
    plans = [plan_import(here, text), plan_import(here, text)]  # both looked before either wrote
    assert [carry_out(here, plan) for plan in plans] == [23, 0]
    assert len(here.entries()) == 24


def test_import_joins_two_logbooks_and_corrections_follow(tmp_path):
    here, there = Logbook(tmp_path / "here.sqlite3"), Logbook(tmp_path / "there.sqlite3")
    here.record("a", level("5 L"))
    here.record("a", level("6 L"))
    wrong = there.record("b", level("50 L"))
    there.correct(wrong.id, level("5.5 L"))
    carry_out(here, plan_import(here, export(there)))
    assert [entry.content.volume.text for entry in standing(here.entries("b"))] == ["5.5 L"]
    assert len(here.entries()) == 4
    # A correction made there later finds the entry that came before.
    there.correct(2, level("5.4 L"))
    plan = plan_import(here, export(there))
    assert (len(plan.entries), plan.already_there) == (1, 2)
    carry_out(here, plan)
    assert [entry.content.volume.text for entry in standing(here.entries("b"))] == ["5.4 L"]


def test_an_export_of_before_says_its_spreads_as_today(logbook):
    logbook.record("a", level("5.6 ± 0.20 L"))
    whole = json.loads(export(logbook))
    assert whole["version"] == 3
    old = json.dumps(whole | {"version": 1}).replace("5.6 \\u00b1 0.20 L", "5.6 \\u00b1 0.1 L")
    plan = plan_import(logbook, old)
    assert plan.already_there == 1  # the same entry, now that it says the same
    assert plan_import(logbook, json.dumps(whole)).already_there == 1


def spoil(text: str, change) -> str:
    whole = json.loads(text)
    change(whole)
    return json.dumps(whole)


def set_in(position, key, value):
    return lambda whole: whole["entries"][position].__setitem__(key, value)


SPOILT = {
    "format": (lambda whole: whole.__setitem__("format", "recipes"), "no export"),
    "version": (lambda whole: whole.__setitem__("version", 99), "update the program"),
    "entries": (lambda whole: whole.__setitem__("entries", {}), "lacks"),
    "kind": (set_in(13, "kind", "levle"), "did you mean"),
    "content": (set_in(1, "content", 'volume = "5 kg"'), "entry 2 of the file: volume"),
    "unknown key": (set_in(1, "content", 'volume = "5 L"\nsize = 3'), "no such key"),
    "broken TOML": (set_in(1, "content", "volume = "), "not sound TOML"),
    "time": (set_in(1, "when", "yesterday"), "entry 2 of the file: when"),
    "time without zone": (set_in(1, "when", "2026-03-14T12:00:00"), "zone"),
    "id twice": (set_in(1, "id", 1), "two entries"),
    "id": (set_in(1, "id", True), "entry 2 of the file: id"),
    "corrects itself": (set_in(1, "corrects", 2), "no entry before it"),
    "corrects another bath": (set_in(1, "corrects", 1), "another bath"),
    "name": (set_in(1, "bath", "\ud800"), "not sound JSON"),
    "advice": (set_in(0, "advice", {"estimate": None}), "advice"),
    "advice number": (lambda whole: whole["entries"][0]["advice"]["estimate"].__setitem__("volume_L", -1), "volume_L"),
    "advice beyond any bath": (
        lambda whole: whole["entries"][0]["advice"]["estimate"]["sulfuric_acid_g_L"].__setitem__("value", 1e308),
        "a number from 0 to 100000",
    ),
    "advice surer than sure": (
        lambda whole: whole["entries"][0]["advice"]["estimate"]["copper_sulfate_g_L"].__setitem__(
            "standard_uncertainty", -1.0
        ),
        "a number from 0 to 100000",
    ),
    "advice step": (
        lambda whole: whole["entries"][0]["advice"]["correction"]["steps"].append({"do": "add", "what": "salt"}),
        "advice",
    ),
    "advice text": (lambda whole: whole["entries"][0]["advice"]["cautions"].append(5), "cautions: you gave 5"),
    "sheet": (set_in(0, "content", "[window]"), "names no bath"),
    "baths in no list": (lambda whole: whole.update(baths="a"), "lacks its baths or its entries"),
    "bath without a name": (lambda whole: whole["baths"].append(5), "lacks its baths or its entries"),
    "no object": (lambda whole: whole["entries"].__setitem__(2, 5), "entry 3 of the file"),
}


@pytest.fixture(scope="module")
def exported(checked, tmp_path_factory) -> str:
    return export(filled(Logbook(tmp_path_factory.mktemp("exported") / "logbook.sqlite3"), checked))


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_import_is_refused_whole_and_names_the_place(exported, tmp_path, name):
    change, message = SPOILT[name]
    text = spoil(exported, change)
    other = Logbook(tmp_path / "other.sqlite3")
    with pytest.raises(InputError, match=message):
        plan_import(other, text)
    assert not other.path.exists()


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"a": NaN}', '{"a": 1e999}', "[" * 100_000, "1" * 5000])
def test_what_is_no_export_is_refused(logbook, text):
    with pytest.raises(InputError, match="import"):
        plan_import(logbook, text)


def test_the_csv_holds_numbers_and_no_formula(logbook, checked):
    logbook.record_check(*checked)
    for name in ('=HYPERLINK("x")', "+1", "-1", "@a", "|x"):
        logbook.record(name, level(note="\t=1+1"))
    rows = list(csv.DictReader(io.StringIO(entries_as_csv(logbook.entries()))))
    assert len(rows) == 6
    check = next(row for row in rows if row["kind"] == "check")
    assert float(check["copper_sulfate_g_L"]) == checked[1].values["copper_sulfate"].value
    assert check["chloride_mg_L"] == ""
    for row in rows:
        for cell in row.values():
            assert cell.lstrip()[:1] not in tuple("=+-@|%") or not cell


def test_the_csv_has_a_column_with_its_unit_for_every_field(logbook, checked):
    """1.5 A for 8 h are 12 A·h, and 8 oz are 226.796 g (NIST SP 811)."""
    rows = list(csv.DictReader(io.StringIO(entries_as_csv(filled(logbook, checked).entries("Shed tank")))))
    by_kind = {row["kind"]: row for row in rows}
    assert float(by_kind["plating run"]["charge_A_h"]) == pytest.approx(12.0)
    assert float(by_kind["plating run"]["charge_A_h_standard_uncertainty"]) == pytest.approx(0.36)
    assert float(by_kind["crystals"]["mass_g"]) == pytest.approx(226.796, rel=1e-5)
    assert by_kind["crystals"]["form"] == "anhydrous"
    assert by_kind["moved"]["tank"] == "the tall one"
    assert float(by_kind["poured in"]["copper_sulfate_g_L"]) == 200.0
    assert float(by_kind["poured in"]["copper_sulfate_g_L_standard_uncertainty"]) == pytest.approx(8 / 1.96)
    assert by_kind["note"]["says"] == "Note: smells of vinegar"
    assert len(rows) == len(logbook.entries("Shed tank"))


def test_history_writes_the_table(logbook, tmp_path, capsys):
    main(["log", "Shed tank", "level", "5 L"])
    file = tmp_path / "bath.csv"
    assert main(["history", "Shed tank", "--csv", str(file)]) == 0
    (row,) = csv.DictReader(io.StringIO(file.read_text("utf-8")))
    assert float(row["volume_L"]) == 5.0
    assert main(["history", "Shed tank", "--csv", str(file)]) == 2
    assert "--overwrite" in capsys.readouterr().err
