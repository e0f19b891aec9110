"""A question that is asked of a bath of the logbook takes what the record carries, says so, and counts nothing twice."""

import datetime
import json
from dataclasses import replace

import pytest

from advisor.__main__ import main
from advisor.basis.units import COVERAGE
from advisor.check.advise import advise
from advisor.record.asked import carried_for, kinds_read, known_bath, of_bath, with_the_record
from advisor.record.logbook import Logbook
from advisor.record.several import compare
from advisor.sheet import parse_sheet
from tests.record.test_several import checked

pytestmark = pytest.mark.slow

BATH = "Shed tank"
TODAY = datetime.date.today()


def sheet_of(days_ago: int, salt: float = 215.0, acid: float = 60.0) -> str:
    day = TODAY - datetime.timedelta(days=days_ago)
    return checked(BATH, 6.0, salt, acid).replace("2026-01-01", day.isoformat())


@pytest.fixture
def file(tmp_path):
    def written(text: str) -> str:
        path = tmp_path / "bath.toml"
        path.write_text(text, "utf-8")
        return str(path)

    return written


@pytest.fixture
def run(capsys):
    def ran(*words: str) -> str:
        capsys.readouterr()
        assert main(list(words)) == 0
        return capsys.readouterr().out

    return ran


def spread(told: str) -> float:
    return json.loads(told)["estimate"]["copper_sulfate_g_L"]["standard_uncertainty"]


def test_what_the_record_carries_makes_a_check_surer_and_is_said(file, run):
    run("record", file(sheet_of(20)))
    now = file(sheet_of(0))
    together, alone = run("check", now, "--json"), run("check", now, "--alone", "--json")
    assert spread(together) < 0.9 * spread(alone)
    assert json.loads(together)["from_the_logbook"]["check"] == 1
    assert "from_the_logbook" not in json.loads(alone)
    said = run("check", now)
    assert said.index("From your check 20 days ago") < said.index("What the bath holds")
    assert "--alone leaves the logbook out" in said
    assert "logbook" not in run("check", now, "--alone")


def test_a_check_is_filed_as_it_is_shown_and_shown_again_as_it_was_filed(file, run):
    run("record", file(sheet_of(20)))
    now = file(sheet_of(0))
    before = run("check", now, "--json")
    assert "From your check 20 days ago" in run("record", now)
    assert run("check", now, "--json") == before
    filed = json.loads(run("history", BATH, "--json"))["entries"][-1]["advice"]
    assert filed["estimate"] == json.loads(before)["estimate"]


def test_a_sheet_without_a_date_is_not_held_against_itself_on_a_later_day():
    """Taken as a check of its own, it would count its readings twice."""
    sheet = parse_sheet(sheet_of(0).replace(f"date = {TODAY}\n", "").encode())
    logbook, yesterday = Logbook(), datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=1)
    logbook.record_check(sheet, advise(sheet), yesterday)
    assert with_the_record(sheet).carried is None
    other = parse_sheet(sheet_of(0, salt=214.0).replace(f"date = {TODAY}\n", "").encode())
    assert with_the_record(other).carried is not None


def test_with_alone_a_check_is_filed_by_its_own_readings(file, run):
    run("record", file(sheet_of(20)))
    run("record", file(sheet_of(0)), "--alone")
    told = json.loads(run("history", BATH, "--json"))["entries"]
    assert told[0]["advice"]["estimate"] == told[1]["advice"]["estimate"]


@pytest.mark.parametrize("change", ['condition = ["sludge"]\n', "other"])
def test_nothing_is_added_where_the_sample_is_not_sound_or_a_check_is_there_already(file, run, change):
    run("record", file(sheet_of(20)))
    text = sheet_of(0)
    if change == "other":
        text += '[[reading]]\nkind = "previous check"\ncopper_sulfate = "210 g/L"\n'
    else:
        text = text.replace("volume =", f"{change}volume =")
    sheet = parse_sheet(text.encode())
    known = known_bath(sheet)
    assert known is not None
    assert carried_for(known, sheet) is None


def test_a_bath_is_asked_of_by_its_name_with_the_level_said_last(file, run):
    run("record", file(sheet_of(20)))
    run("log", BATH, "level", "5.5 L")
    asked = of_bath(f" {BATH}", buys=False)
    assert asked is not None
    assert asked.sheet.bath.volume.value == pytest.approx(5.5)
    assert asked.sheet.bath.date == TODAY
    assert kinds_read(asked.carried) == ("laboratory report",)
    told = json.loads(run("check", BATH, "--json"))
    assert not any("only water has left" in said for said in told["warnings"])  # what may have dripped is in the ±
    # The salt that was in 6 L is in 5.5 L; the carried values lean on what is usually lost.
    assert told["estimate"]["copper_sulfate_g_L"]["value"] == pytest.approx(215 * 6 / 5.5, rel=0.02)


@pytest.mark.parametrize(
    ("later", "litres"),
    [
        ([["take-out", "1.5 L"]], 4.0),
        ([["take-out", "1.5 L"], ["water", "1 L"]], 4.993),  # by the mass balance, as in what is carried
        ([["take-out", "0.5 L"], ["water", "1 L"]], 5.5),  # half a litre makes up for what dried away
        ([["pour-in", "0.5 L", "200 g/L", "60 g/L"]], 6.0),
        ([["take-out", "1 L"], ["level", "5.2 L"]], 5.2),
    ],
)
def test_what_was_taken_out_after_the_level_was_said_is_not_dosed_for(file, run, later, litres):
    run("record", file(sheet_of(20)))
    for hour, words in enumerate([["level", "5.5 L"], *later]):
        run("log", BATH, *words, "--when", f"{TODAY - datetime.timedelta(days=1)} {8 + hour:02d}:00")
    asked = of_bath(BATH, buys=False)
    assert asked is not None
    assert asked.sheet.bath.volume.value == pytest.approx(litres)


@pytest.mark.parametrize("salt", ["", 'copper_sulfate = "180 ± 4 g/L"\n'])
@pytest.mark.parametrize("days_ago", [0, 1, 4])
def test_what_a_correction_brought_in_stands_however_old_its_check_is(file, run, salt, days_ago):
    """Level and carried reading agree: with 3 L beside 3.085 L, acid of 37 g/L became 38 from nothing."""
    day = TODAY - datetime.timedelta(days=days_ago)
    tank = f'[bath]\nname = "{BATH}"\nvolume = "3 L"\ndate = {day}\n'
    report = f'[[reading]]\nkind = "laboratory report"\n{salt}sulfuric_acid = "35 ± 1 g/L"\n'
    run("record", file(tank + report))
    run("log", BATH, "take-out", "0.12 L", "--why", "decanted")
    run("log", BATH, "acid", "206 mL", "--strength", "37 %")
    asked = of_bath(BATH, buys=False)
    assert asked is not None
    assert (asked.sheet.bath.volume.text, asked.sheet.readings[-1].volume.text) == ("3.085 L", "3.085 L")
    (stands,) = compare(Logbook(), [BATH], datetime.datetime.now(datetime.UTC))
    assert stands.level.value == pytest.approx(asked.carried.known.volume_L, abs=0.001)
    acid = asked.carried.values["sulfuric_acid"].value
    assert stands.held["sulfuric_acid"].value == pytest.approx(acid, rel=1e-3)
    assert advise(asked.sheet).estimate.of("sulfuric_acid").value == pytest.approx(acid, rel=1e-3)


@pytest.mark.parametrize(
    ("said", "later", "kept"),
    [
        ("5.5 L", ["take-out", "1 L"], None),
        ("5.5 ± 0.3 L", ["take-out", "1 L"], 0.3),
        ("5.5 ± 0.3 L", ["water", "1 L"], 0.3),
    ],
)
def test_the_next_check_begins_with_the_doubt_of_the_level_said_last(file, run, said, later, kept):
    run("record", file(sheet_of(20)))
    for hour, words in enumerate([["level", said], later]):
        run("log", BATH, *words, "--when", f"{TODAY - datetime.timedelta(days=1)} {8 + hour:02d}:00")
    asked = of_bath(BATH, buys=False)
    assert asked is not None
    spread = asked.sheet.bath.volume.standard_uncertainty
    assert (spread and COVERAGE * spread) == (kept and pytest.approx(kept))


def test_a_shopping_list_counts_on_what_the_bath_lost(file, run):
    for days, volume in ((40, "6.0 L"), (10, "5.4 L")):
        share = 6.0 / float(volume.split()[0])
        text = sheet_of(days, round(215 * share, 1), round(60 * share, 1)).replace('"6.0 L"', f'"{volume}"')
        run("record", file(text), "--alone")
    said = run("shop", BATH)
    assert "Counted on, as between its last two checks" in said
    assert "of water a week" in said
    own = file(sheet_of(0) + '[[reading]]\nkind = "previous check"\ncopper_sulfate = "210 g/L"\n')
    assert "of water a week" in run("shop", own)
    typed = file(sheet_of(0) + '[buy]\nwater = "3 L"\nbath = "0 L"\nplated = "0 A*h"\n')
    assert "Counted on" not in run("shop", typed)


def test_a_shopping_list_counts_the_runs_of_late_and_the_dose_of_the_bottle(file, run):
    """30 A·h in 30 days are 30 ± 18 in a month, 90 in three; at 0.2 mL that is 18 mL of additive."""
    run("record", file(sheet_of(20)))
    run("log", BATH, "run", "--charge", "30 A*h")
    run("log", BATH, "additive", "Blue", "--per-ampere-hour", "0.2 mL", "--when", "2020-01-01")
    said = " ".join(run("shop", BATH).split())
    assert "Counted on, by the runs of the last 30 days: 30 ± 18 A·h plated in a month." in said
    assert "Counted on, by its label: 0.2 mL of Blue for each ampere-hour." in said
    assert "Additive: 18 mL for plating, by the label's dose" in said
    typed = file(sheet_of(0) + '[buy]\nadditive = "0.5 mL"\n')
    assert "label: " not in run("shop", typed)  # what the sheet says stands
    run("log", BATH, "additive", "Red", "--per-ampere-hour", "0.1 mL")
    assert "label: " not in run("shop", BATH)  # two bottles are not one


@pytest.mark.parametrize("name", ["Shed tnak", "nowhere.toml", "a\udcff", ""])
def test_what_is_neither_a_file_nor_a_bath_is_told_both_ways(file, run, capsys, name):
    run("record", file(sheet_of(20)))
    assert main(["check", name]) == 2
    told = capsys.readouterr().err
    assert "give the path of a bench sheet, or the name of a bath that was checked: `advisor baths` lists them" in told


@pytest.mark.parametrize("words", [["mix", BATH], ["record", BATH], ["record", BATH, "--alone"]])
def test_a_command_that_takes_no_name_of_a_bath_offers_none(file, run, capsys, words):
    run("record", file(sheet_of(20)))
    assert main(words) == 2
    assert capsys.readouterr().err.endswith("give the path of a bench sheet\n")


def test_without_the_logbook_the_name_of_a_bath_is_told_to_need_it(file, run, capsys):
    run("record", file(sheet_of(20)))
    assert main(["check", BATH, "--alone"]) == 2
    told = capsys.readouterr().err
    assert told.endswith("bench sheet; the name of a bath needs the logbook, which --alone leaves out\n")


def test_a_bath_that_nobody_checked_asks_for_a_sheet(run, capsys):
    run("log", BATH, "level", "5 L")
    assert main(["check", BATH]) == 2
    assert "no check of it tells what it holds" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("taken", "refused", "why"),
    [
        ("laboratory report", "palm reading", "it must be one of"),  # a kind that a later version knows
        ("[[reading]]", 60 * '[[reading]]\nkind = "hydrometer"\n' + "[[reading]]", "at most 60 are accepted"),
        (str(TODAY.year), "1850", "the year must be 1900 to 8999"),
    ],
)
def test_a_bath_whose_last_sheet_cannot_be_read_any_more_goes_on_by_what_it_measured(file, run, taken, refused, why):
    run("record", file(sheet_of(20)))
    (check,) = Logbook().entries(BATH)
    Logbook().correct(1, replace(check.content, sheet=check.content.sheet.replace(taken, refused)))
    said = " ".join(run("check", BATH).split())
    assert "Today's rules do not take the sheet of that check" in said
    assert why in said
    assert "what it measured goes on to count" in said
    assert "Copper sulfate: 215" in said
    assert "Today's rules" not in run("check", file(sheet_of(0)))


def test_a_logbook_that_cannot_be_read_leaves_the_sheet_alone(file, run, monkeypatch, tmp_path, capsys):
    folder = tmp_path / "data"
    monkeypatch.setenv("ADVISOR_DATA_FOLDER", str(folder))
    now = file(sheet_of(0))
    alone = json.loads(run("check", now, "--json"))["estimate"]
    folder.mkdir()
    (folder / "logbook.sqlite3").mkdir()
    told = json.loads(run("check", now, "--json"))
    assert told["estimate"] == alone
    assert "this answer rests on the sheet alone" in told["from_the_logbook"]["said"][0]
    assert main(["check", BATH]) == 2
    assert "logbook" in capsys.readouterr().err


def test_mixing_a_new_bath_asks_no_logbook(file, run):
    run("record", file(sheet_of(20)))
    assert "logbook" not in run("mix", file(sheet_of(0) + '[mix]\nvolume = "4 L"\n'))
    assert Logbook().baths() == (BATH,)


def test_of_a_correction_that_was_begun_the_rest_is_told_and_bought(file, run):
    """Two steps are asked for, and the record holds the first: what never went in is not forgotten."""
    now = file(sheet_of(3, salt=150.0, acid=20.0))
    run("record", now)
    crystals, acid = json.loads(run("check", now, "--json"))["correction"]["steps"]
    assert (crystals["what"], acid["what"]) == ("copper sulfate crystals", "sulfuric acid")
    run("log", BATH, "crystals", f"{crystals['mass_g']:.0f} g")
    said = " ".join(run("check", now).split())
    assert said.index("1 of 2 steps is done. Do none of it twice.") < said.index("What the bath holds")
    assert f"Still to do: add {acid['volume_mL']:.0f} mL acid" in said
    assert "measure the bath first" not in said
    bought = run("shop", now)
    assert "Sulfuric acid:" in bought
    assert "Copper sulfate crystals:" not in bought
    run("log", BATH, "acid", f"{acid['volume_mL']:.0f} mL", f"{100 * acid['strength_mass_fraction']:.4g} %")
    assert "measure the bath first" in run("check", now)
    assert "Sulfuric acid:" not in run("shop", now)


def test_of_a_correction_that_a_newer_check_ended_nothing_is_left(file, run, tmp_path):
    old = file(sheet_of(3, salt=150.0, acid=20.0))
    run("record", old)
    grams = json.loads(run("check", old, "--json"))["correction"]["steps"][0]["mass_g"]
    run("log", BATH, "crystals", f"{grams:.0f} g")
    assert "Still to do" in run("check", old)
    newer = tmp_path / "newer.toml"
    newer.write_text(sheet_of(0, salt=215.0, acid=25.0), "utf-8")
    run("record", str(newer))
    assert "Still to do" not in run("check", old)
    assert "Sulfuric acid:" not in run("shop", old)


def test_a_filed_check_that_was_followed_is_not_followed_twice(file, run):
    """What it says to add is in the bath by then."""
    now = file(sheet_of(3, acid=20.0))
    run("record", now)
    assert "corrected" not in run("check", now)
    assert "Sulfuric acid" in run("shop", now).split("What it is for")[1]
    run("log", BATH, "acid", "400 mL", "37 %")
    said = run("check", now)
    assert said.index("do not add the same again") < said.index("What the bath holds")
    assert json.loads(run("check", now, "--json"))["from_the_logbook"]["corrected_on"] == TODAY.isoformat()
    assert "Sulfuric acid:" not in run("shop", now)
