"""The upkeep of a bath of many years: its rules and reminders hold, however old, and nothing else of then is read."""

import datetime
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.basis.fields import read_table
from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.record import entries, logbook
from advisor.record.at_hand import at_hand
from advisor.record.entries import CHARGE, CONTENTS
from advisor.record.logbook import Logbook
from advisor.record.several import compare
from advisor.record.upkeep import upkeep_of
from advisor.sheet import parse_sheet
from advisor.words.cautions import Act
from tests.record.test_several import checked

BATH = "Tall"
NOW = datetime.datetime(2026, 11, 1, 12, tzinfo=datetime.UTC)
WORDS = {table.word: table for table in CONTENTS.values()}


def write(book: Logbook, ago: float, word: str, **fields: str) -> None:
    content = read_table(WORDS[word], fields, word, [])
    assert content is not None
    book.record(BATH, content, NOW - datetime.timedelta(days=ago))


@pytest.fixture(scope="module")
def written(tmp_path_factory) -> Path:
    """Checked every two months for four years; the rule of its additive and a reminder are from the beginning."""
    book = Logbook(tmp_path_factory.mktemp("old") / "logbook.sqlite3")
    write(book, 1500, "additive", additive="B", per_ampere_hour="0.25 mL")
    write(book, 1500, "remind", what="filter", every="3 week")
    sheet = parse_sheet(checked(BATH, 6.0, 215.0, 60.0).encode())
    advice = advise(sheet)
    for ago in range(1440, 0, -60):
        book.record_check(sheet, advice, NOW - datetime.timedelta(days=ago))
        write(book, ago - 1, "run", charge="10 A*h")
    return book.path


@pytest.fixture
def old(written, tmp_path) -> Logbook:
    return Logbook(shutil.copy(written, tmp_path / "logbook.sqlite3"))


def test_old_rules_and_reminders_hold_and_doses_count_from_the_last(old):
    write(old, 90, "dose", additive="B", volume="3 mL")
    found = upkeep_of(old, BATH, NOW)
    (dose,) = found.doses
    assert dose.used.charge.value == pytest.approx(10.0)  # the run of 59 days ago
    assert dose.due.value == pytest.approx(2.5)
    assert next(task for task in found.tasks if task.task == "filter").rule.startswith("You asked")
    assert min(entry.when for entry in found.entries if entry.kind == "plating run") > NOW - datetime.timedelta(
        days=600
    )


def test_what_was_read_is_put_in_order_once(old, monkeypatch):
    """Each rule that is asked takes entries that count as they are: only those before the last year come apart."""
    write(old, 90, "dose", additive="B", volume="3 mL")
    read, sorted_anew = len(at_hand(old, BATH).entries), []
    last_said = entries._last_said
    monkeypatch.setattr(entries, "_last_said", lambda given: sorted_anew.append(last_said(given)) or sorted_anew[-1])
    upkeep_of(old, BATH, NOW)
    assert [len(found) for found in sorted_anew].count(read) == 1
    assert max(map(len, sorted_anew)) == read


@pytest.mark.parametrize(("mixed", "plated"), [(None, 240.0), (1000, 160.0), (100, 10.0)])
def test_baths_side_by_side_count_what_was_before_what_is_at_hand(old, monkeypatch, mixed, plated):
    """Runs since it was mixed anew and the tank of then, though of those years nothing else is read."""
    write(old, 1490, "move", tank="Crock", usual_volume="6 L")
    if mixed:
        write(old, mixed, "remake")
    first = next(entry for entry in old.entries(BATH) if entry.kind == "plating run")
    old.record(BATH, first.content, NOW + datetime.timedelta(days=1))  # yet to come
    old.correct(first.id, replace(first.content, charge=parse("10.0 A*h", "charge")))
    read, entry = [], logbook._entry
    monkeypatch.setattr(logbook, "_entry", lambda row: read.append(row) or entry(row))
    (found,) = compare(old, [BATH], NOW)
    assert found.charge.value == pytest.approx(plated)
    assert found.charge.standard_uncertainty == pytest.approx(CHARGE * plated)
    assert found.tank == "Crock"
    assert found.level.value == pytest.approx(6.0, abs=0.1)
    assert len(read) < 25 or mixed == 100  # then its level stands only in what was before


def test_where_no_dose_was_given_for_years_all_runs_count(old):
    (dose,) = upkeep_of(old, BATH, NOW).doses
    assert dose.used.charge.value == pytest.approx(24 * 10.0)


@pytest.mark.parametrize("before", [("dose", {"additive": "B", "volume": "15 mL"}), ("carbon", {"carbon": "15 g"})])
def test_what_settled_the_additive_before_what_is_read_makes_no_later_dose_too_much(old, before):
    word, fields = before
    write(old, 1000, word, **fields)
    write(old, 40, "dose", additive="B", volume="45 mL")  # after 16 runs of 10 A*h, of which 9 are read: 40 mL
    (dose,) = upkeep_of(old, BATH, NOW).doses
    assert not any(given.is_too_much() for given in dose.doses)


def test_each_additive_that_was_not_given_of_late_has_all_read(old):
    write(old, 1500, "additive", additive="C", per_ampere_hour="0.25 mL")
    write(old, 90, "dose", additive="B", volume="3 mL")
    charges = {dose.additive: dose.used.charge.value for dose in upkeep_of(old, BATH, NOW).doses}
    assert charges["C"] == pytest.approx(24 * 10.0)


def test_anodes_weighed_before_what_is_read_are_held_against_all_runs_since(old):
    """23 runs of 10 A*h since: 272.7 g by Faraday's law; the anodes gave 250 g."""
    write(old, 1430, "anode-mass", mass="5010 g")  # what was fed up to the next weighing is long past
    write(old, 1400, "anode-mass", mass="5000 g")
    write(old, 90, "dose", additive="B", volume="3 mL")
    assert upkeep_of(old, BATH, NOW).feeds == ()
    write(old, 30, "anode-mass", mass="4750 g")
    write(old, 5, "anode-mass", mass="4750 g")
    first, second = upkeep_of(old, BATH, NOW).feeds
    assert first.dissolved.value == pytest.approx(250.0)
    assert first.deposited.value == pytest.approx(23 * 10 * 3600 * 63.546 / (2 * 96485.33), rel=1e-4)
    assert second.dissolved.value == 0.0


def test_hands_do_what_the_last_feed_says_and_not_what_an_earlier_one_said(old):
    """First 500 g too much, then what the one run of 10 A*h deposited, 11.9 g: it balances, and nothing is to be done."""
    for ago, mass in ((80, "5000 g"), (61, "4500 g"), (5, "4488 g")):
        write(old, ago, "anode-mass", mass=mass)
        acts = upkeep_of(old, BATH, NOW).acts
        assert (Act.REACHING_IN in acts) == (ago == 61)


def test_anodes_that_were_changed_before_what_is_read_are_held_against_nothing(old):
    write(old, 1400, "anode-mass", mass="5000 g")
    write(old, 1300, "anodes", anodes="other copper")
    write(old, 30, "anode-mass", mass="4750 g")
    assert upkeep_of(old, BATH, NOW).feeds == ()
