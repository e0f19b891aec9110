"""`log` writes any entry but a check, from the same fields as the pages, and loses nothing."""

import datetime
import json

import pytest

from advisor.__main__ import main
from advisor.basis.fields import fields_of, write_table
from advisor.record.entries import CONTENTS, Withdrawn, standing
from advisor.record.log_words import WORDS, read_log_words
from advisor.record.logbook import Logbook
from tests.record.some_entries import one_of_each

BATH = "Shed tank"


def log(*words: str) -> int:
    return main(["log", BATH, *words])


# --- What is typed --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["level", "5.4 L"], "5.4 L stood in the tank"),
        (["dose", "brightener", "3 mL"], "3 mL of brightener given"),
        (["acid", "120 mL", "37 %"], "120 mL of sulfuric acid of 37 % added"),
        (["crystals", "8 oz", "--form=anhydrous"], "8 oz of anhydrous copper sulfate crystals of 99 % added"),
        (["take-out", "0.5 L", "--why", "spilt"], "0.5 L of bath left the tank (spilt)"),
        (["carbon"], "Treated with activated carbon"),
        (["anodes", "inert", "--area", "2 dm^2"], "Anodes changed: inert, 2 dm²"),
        (["anodes", "inert", "--area", "200 cm2"], "Anodes changed: inert, 200 cm²"),
        (["anodes", "inert", "--area", "30 cm^2 ± 2"], "Anodes changed: inert, 30 cm² ± 2"),
        (["anodes", "inert", "--area", "30 cm^2 ± 5 %"], "Anodes changed: inert, 30 cm² ± 5 %"),
        (["anodes", "inert", "--area", "32 cm2 ± 2 cm2"], "Anodes changed: inert, 32 cm² ± 2 cm²"),
        (["anodes", "inert", "--area", "32cm2±2cm2"], "Anodes changed: inert, 32cm²±2cm²"),
        (["filter", "--note", "paper"], "Bath filtered; paper"),
        (["note", "smells of vinegar"], "Note: smells of vinegar"),
        (["note", "smells", "of", "vinegar"], "Note: smells of vinegar"),
        (["remind", "measure again", "10 min"], "To be reminded: measure again, after 10 min"),
        (["remind", "filter", "--every", "2 week"], "To be reminded: filter, every 2 weeks"),
        (["remind", "filter", "--every", "1 weeks"], "To be reminded: filter, every week"),
        (["remind", "filter", "--every", "1 1/2 weeks"], "To be reminded: filter, every 1 1/2 weeks"),
        (["remind", "filter", "--every", "1 ± 0.5 day"], "To be reminded: filter, every 1 ± 0.5 days"),
        (["water", "1/2 gallons"], "1/2 gallon of water added"),
        (["water", "1.5 gallon"], "1.5 gallons of water added"),
        (
            ["additive", "brightener", "--per-ampere-hour", "0.2 ± 0.1 mL", "--per-litre", "5 mL"],
            "The label of brightener says 0.2 ± 0.1 mL for each ampere-hour, 5 mL for each litre of fresh bath",
        ),
    ],
)
def test_an_entry_reads_as_a_sentence(capsys, words, said):
    assert log(*words) == 0
    out = capsys.readouterr().out
    assert out.startswith(f"Recorded as entry 1 of {BATH} in {Logbook().path}\n")
    assert out.endswith(f"{said}\nIt is the first entry of a new bath.\n")
    main(["history", BATH])
    assert said in capsys.readouterr().out


def test_a_run_is_typed_with_its_part_and_says_its_charge(capsys):
    """1.2 A for 6 h are 7.2 A·h; a display that errs by 3 % makes that ± 1.96 times 0.216."""
    assert log("run", "--area", "85 cm^2", "--current", "1.2 A", "--time", "6 h", "--part", "shell", "--json") == 0
    entry = json.loads(capsys.readouterr().out)
    assert entry["said"] == "Shell plated at 1.2 A for 6 h on 85 cm²: 7.2 ± 0.4 A·h"
    assert entry["values"]["area_dm2"]["value"] == pytest.approx(0.85)
    assert entry["values"]["time_h"] == {"value": 6.0, "standard_uncertainty": None}
    assert entry["kind"] == "plating run"
    assert entry["bath"] == BATH


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "log: kind"),
        (["levle", "5 L"], "did you mean level?"),
        (["level"], "level: volume: nothing was given"),
        (["level", "5 kg"], "level: volume"),
        (["level", "-1 L"], "level: volume"),
        (["level", "5 L", "6 L"], "nothing more stands here"),
        (["level", "5 L", "--volume", "6 L"], "given twice"),
        (["level", "--volume", "5 L", "--volume", "6 L"], "given twice"),
        (["level", "5 L", "--note"], "level: note"),
        (["dose", "b", "--volum", "3 mL"], "did you mean volume?"),
        (["run", "shell", "--current", "1 A"], "run: charge"),
        (["run", "--charge", "5 A*h", "--part-before", "9 g", "--part-after", "8 g"], "run: part_after"),
        (["additive", "brightener"], "additive: per_ampere_hour"),
        (["additive", " ", "--per-week", "1 mL"], "additive: additive"),
        (["remind", "filter"], "remind: after"),
        (["remind", "filter", "1 h", "--every", "2 week"], "remind: every"),
        (["note", " "], "note: note"),
        (["move", "tall tank", "8 L", "--max-volume", "7 L"], "move: max_volume"),
        (["level", "5 L", "--when", "yesterday"], "log: when"),
        (["level", "5 L", "--when", "0001-01-01"], "log: when"),
        (["level", "5 L", "--units", "uk"], "log: units"),
        (["level", "5 L", "--replace", "x"], "log: entry"),
        (["level", "5 L", "--replace", "7"], "nothing is recorded yet"),
    ],
)
def test_what_is_wrong_is_one_message_that_names_the_place(capsys, words, message):
    assert log(*words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err
    assert len(err.splitlines()) == 1
    assert not Logbook().path.exists()


@pytest.mark.parametrize("words", [["log", "--help"], ["log"], ["log", "-h"]])
def test_help_names_every_kind(capsys, words):
    assert main(words) == 0
    said = capsys.readouterr().out
    assert all(f"  {word}" in said for word in WORDS)


def test_help_of_a_kind_names_every_field(capsys):
    for word, table in WORDS.items():
        assert main(["log", BATH, word, "--help"]) == 0
        said = capsys.readouterr().out
        assert all(f"--{name.replace('_', '-')}\n" in said for name in fields_of(table))


def test_every_kind_has_a_word_of_its_own_and_can_be_typed_by_its_fields():
    assert len(WORDS) == len(CONTENTS) - 1  # withdrawing is a command of its own
    for content in one_of_each():
        words = [type(content).word]
        for name, value in write_table(content).items():
            words += [f"--{name.replace('_', '-')}", str(value)]
        assert read_log_words(words).content == content


# --- When, replaced, withdrawn --------------------------------------------------------------------


def test_a_day_is_its_noon_and_a_time_is_local():
    log("level", "5 L", "--when", "2026-03-14")
    log("level", "6 L", "--when", "2026-03-14 18:30")
    noon, evening = Logbook().entries(BATH)
    assert noon.when.astimezone().isoformat().startswith("2026-03-14T12:00")
    assert evening.when.astimezone().isoformat().startswith("2026-03-14T18:30")
    today = datetime.date.today().isoformat()
    assert read_log_words(["level", "5 L", "--when", today]).when is None  # now, and not a noon that is yet to come


def test_an_entry_is_replaced_and_withdrawn_and_stays_in_the_record(capsys):
    log("level", "55 L", "--when", "2026-03-14")
    log("level", "5.5 L", "--replace", "1")
    assert "Entry 1 is changed. It counts as entry 2 of Shed tank" in capsys.readouterr().out
    log("dose", "brightener", "3 mL")
    assert main(["withdraw", "3"]) == 0
    assert "Entry 3 of Shed tank no longer counts" in capsys.readouterr().out
    entries = Logbook().entries(BATH)
    assert len(entries) == 4
    (counts,) = standing(entries)
    assert counts.content.volume.value == 5.5
    assert counts.when == next(entry.when for entry in entries if entry.id == 1)
    assert isinstance(entries[-1].content, Withdrawn)
    for number in ("3", "9"):
        assert log("level", "6 L", "--replace", number) == 2
    said = capsys.readouterr().err
    assert "counts no more: it was withdrawn" in said
    assert "no such entry" in said


def test_who_names_an_entry_that_was_changed_is_told_which_one_counts(capsys):
    log("level", "5 L")
    log("level", "5.5 L", "--replace", "1")
    log("level", "5.6 L", "--replace", "2")
    for words in (["log", BATH, "level", "6 L", "--replace", "1"], ["withdraw", "2"]):
        assert main(words) == 2
        assert "entry 3 stands in its place" in capsys.readouterr().err


def test_an_entry_of_another_bath_is_not_touched(capsys):
    main(["log", "Other tank", "level", "5 L"])
    log("level", "6 L")
    assert log("level", "7 L", "--replace", "1") == 2
    assert len(standing(Logbook().entries("Other tank"))) == 1


def test_a_name_that_is_nearly_known_is_asked_about(capsys):
    log("level", "5 L")
    capsys.readouterr()
    log("level", "5 L")
    assert "new bath" not in capsys.readouterr().out
    main(["log", "Shed tnak", "level", "5 L"])
    assert "first entry of a new bath (did you mean Shed tank?)" in capsys.readouterr().out


def test_a_dose_that_is_too_much_or_counts_for_no_rule_is_told_at_once(capsys):
    log("additive", "Brightener", "--per-ampere-hour", "0.2 mL", "--when", "2026-01-01")
    log("dose", "Brightener", "2 mL", "--when", "2026-01-02")
    log("run", "--charge", "10 A*h", "--when", "2026-01-03")
    capsys.readouterr()
    assert log("dose", "Brightener", "20 mL") == 0
    assert "Brightener: you gave 20 ± 1 mL on" in capsys.readouterr().out
    assert log("dose", "Brihgtener", "20 mL") == 0
    assert "If it was Brightener, change the name in that entry." in capsys.readouterr().out


def test_more_water_than_the_tank_holds_is_asked_back(capsys):
    log("level", "5.2 L")
    log("water", "0.3 L")
    for words in (["water", "300 L"], ["take-out", "300 L"], ["water", "300 L", "--replace", "2"]):
        assert log(*words) == 2
        assert "Did you mean 300 mL?" in capsys.readouterr().err
    assert len(Logbook().entries(BATH)) == 2


def test_what_is_yet_to_come_is_said(capsys):
    log("level", "5 L", "--when", "2026-01-01")
    assert "yet to come" not in capsys.readouterr().out
    log("level", "5 L", "--when", f"{datetime.date.today().year + 1}-12-31")
    assert "yet to come" in capsys.readouterr().out


@pytest.mark.parametrize(("word", "said"), [("withdraw", "withdraw NUMBER"), ("edit", "--replace NUMBER")])
def test_what_is_done_to_an_entry_is_told_how(word, said, capsys):
    assert log(word, "3") == 2
    assert said in capsys.readouterr().err


def test_a_bath_that_was_a_slip_is_gone_with_its_entry(capsys):
    log("level", "5 L")
    main(["log", "Shde tank", "level", "5 L"])
    assert "`advisor withdraw 2` takes it back" in capsys.readouterr().out
    assert Logbook().baths() == ("Shde tank", BATH)
    main(["withdraw", "2"])
    assert Logbook().baths() == (BATH,)
    main(["log", "Shde tank", "level", "6 L"])
    assert Logbook().baths() == ("Shde tank", BATH)


def test_nothing_that_was_typed_turns_the_writing_or_steers_the_terminal(capsys):
    log("run", "\u202eleaf\x1b[2J", "--charge", "5 A*h")
    log("\u200blevel", "5 L")
    for words in (["history", BATH], ["history", BATH, "--json"]):
        main(words)
    told = capsys.readouterr()
    assert not {*"\u202e\u200b\x1b"} & {*told.out, *told.err}
    assert told.out.count(r"\u202eleaf\u001b[2J") >= 3
    assert r"\u200blevel" in told.err
    assert json.loads(told.out[told.out.index("{") :])["entries"][0]["values"]["part"] == "\u202eleaf\x1b[2J"
