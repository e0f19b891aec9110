"""The published JSON Schemas are schemas, and what the commands print fits them."""

import copy
import json

import jsonschema
import pytest

from advisor.__main__ import main
from advisor.examples import EXAMPLES, example_text
from advisor.record.entries import CONTENTS, Withdrawn
from advisor.record.logbook import Logbook
from advisor.record.schemas import schemas
from tests.record.some_entries import NOON, one_of_each

BATH = "Shed tank"


def misfits(command: str, document: object) -> list[str]:
    """Return what of a document does not fit the schema of a command."""
    return [fault.message for fault in jsonschema.Draft202012Validator(schemas()[command]).iter_errors(document)]


def printed(capsys, *words: str) -> dict:
    capsys.readouterr()
    assert main(list(words)) == 0
    return json.loads(capsys.readouterr().out)


@pytest.fixture
def history(tmp_path, capsys) -> dict:
    """A record with every kind of entry, a dose that was too much, and weighed anodes and parts."""
    sheet = tmp_path / "bath.toml"
    text = example_text("dull").replace('name = "Leafcast, big tank (example)"', f'name = "{BATH}"')
    sheet.write_text(text.replace("2026-03-14", "2026-03-01"), "utf-8")
    main(["record", str(sheet)])
    for content in one_of_each():
        Logbook().record(BATH, content, NOON)
    for words in (
        ("additive", "bright", "--per-ampere-hour", "0.2 mL", "--per-litre", "4 mL", "--when", "2026-03-15"),
        ("run", "shell", "--charge", "8 A*h", "--part-before", "20 g", "--part-after", "29 g", "--area", "1 dm^2"),
        ("anode-mass", "1200 g", "--when", "2026-03-16"),
        ("dose", "bright", "90 mL", "--when", "2026-03-17"),
        ("remind", "bags", "--every", "2 week"),
    ):
        assert main(["log", BATH, *words]) == 0
    assert main(["withdraw", "12"]) == 0  # the run among them; another stands above
    return printed(capsys, "history", BATH, "--json")


@pytest.mark.parametrize("command", ["check", "history"])
def test_it_is_a_schema_and_is_printed(command, capsys):
    shown = printed(capsys, "schema", command)
    assert shown == json.loads(json.dumps(schemas()[command]))
    jsonschema.Draft202012Validator.check_schema(shown)


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_check_prints_fits(name, tmp_path, capsys):
    sheet = tmp_path / "bath.toml"
    sheet.write_text(example_text(name), "utf-8")
    assert misfits("check", printed(capsys, "check", str(sheet), "--json")) == []


@pytest.mark.parametrize("more", ["", 'condition = ["sludge"]\n'])
def test_what_check_prints_of_a_bath_without_an_estimate_fits(more, tmp_path, capsys):
    sheet = tmp_path / "bath.toml"
    sheet.write_text(f'[bath]\nvolume = "5 L"\n{more}', "utf-8")
    assert misfits("check", printed(capsys, "check", str(sheet), "--json")) == []


def test_what_history_prints_fits(history):
    assert misfits("history", history) == []
    kinds = {entry["kind"] for entry in history["entries"]}
    assert kinds == {"check", *CONTENTS} - {Withdrawn.kind}
    assert any(dose["too_much"] for dose in history["doses"][0]["doses"])
    assert history["anodes"]
    assert history["due"]
    for entry in history["entries"]:
        if entry["kind"] == "check":
            assert misfits("check", entry["advice"]) == []


def test_what_log_prints_is_an_entry_of_the_history(capsys):
    entry = printed(capsys, "log", BATH, "run", "shell", "--charge", "8 A*h", "--json")
    assert (
        misfits(
            "history", {"bath": BATH, "entries": [entry], "cannot_be_read": [], "due": [], "doses": [], "anodes": []}
        )
        == []
    )


def spoilt(history: dict):
    """Yield documents that no command prints."""
    yield history | {"more": 1}
    yield {key: value for key, value in history.items() if key != "due"}
    for change in (
        lambda entry: entry.pop("said"),
        lambda entry: entry.update(id="1"),
        lambda entry: entry.update(kind="levle"),
        lambda entry: entry["values"].update(volume_mL=5),
    ):
        other = copy.deepcopy(history)
        change(next(entry for entry in other["entries"] if entry["kind"] == "water"))
        yield other


def test_the_schema_refuses_what_no_command_prints(history):
    for document in spoilt(history):
        assert misfits("history", document)
