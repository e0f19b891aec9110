"""What is said of a bath from its last year is what the whole record says, and is worked out once."""

import datetime

import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.record import at_hand as module
from advisor.record import carried as carrying
from advisor.record.account import where_it_went
from advisor.record.at_hand import CHECKS, at_hand, refuse_what_cannot_be
from advisor.record.balance import with_anodes
from advisor.record.carried import carry_forward
from advisor.record.entries import AnodeChange, Check, Remake, RunDone, TakenOut, WaterAdded, Withdrawn, standing
from advisor.record.logbook import Logbook
from advisor.record.overview import overview
from tests.benchmarks.long_logbook import BATH, build
from tests.record.some_entries import level

NOW = datetime.datetime.now(datetime.UTC)


@pytest.fixture(scope="module")
def long_record(tmp_path_factory) -> Logbook:
    """Twenty years: the anodes were changed once, long ago, and the sheets go on saying what hung before."""
    logbook = Logbook(tmp_path_factory.mktemp("book") / "logbook.sqlite3")
    build(logbook, 1200)
    logbook.record(BATH, AnodeChange(anodes="inert"), NOW - datetime.timedelta(days=4000))
    return logbook


def test_the_last_year_says_what_the_whole_record_says(long_record):
    written = long_record.entries(BATH)
    known = at_hand(long_record, BATH)
    assert len(known.entries) < len(written) / 4
    assert sum(isinstance(entry.content, Check) for entry in known.entries) >= CHECKS
    assert known.where_it_went().to_dict() == where_it_went(written).to_dict()
    assert known.where_it_went().plated > 0  # the anodes of long ago still hang
    assert known.overview(NOW) == overview(BATH, written, NOW)
    carried, whole = known.carried(NOW), carry_forward(written, NOW)
    assert carried.values == whole.values
    marked = {entry.id: entry for entry in with_anodes(standing(written))[0]}
    assert all(entry == marked[entry.id] for entry in with_anodes(known.all)[0] if entry.id)


def test_the_sentence_on_top_rests_on_a_season(long_record):
    """Two checks of a fortnight tell of no slow fall of acid; seven of them do."""
    known = at_hand(long_record, BATH)
    found = known.over_months()
    assert 90 <= found.days < 120
    assert found is known.over_months()


def test_a_level_and_an_amount_beyond_the_tank_are_refused(tmp_path):
    """Four litres of water may go into a tank of four that dried out; forty cannot, nor can they stand in it."""
    logbook = Logbook(tmp_path / "logbook.sqlite3")
    logbook.record("a", level("4.2 L"))
    refuse_what_cannot_be(logbook, "a", WaterAdded(volume=parse("4 L", "volume")), None, None)
    for content in (WaterAdded(volume=parse("40 L", "volume")), TakenOut(volume=parse("40 L", "volume"))):
        with pytest.raises(InputError, match="Did you mean 40 mL"):
            refuse_what_cannot_be(logbook, "a", content, None, None)
    with pytest.raises(InputError, match="are in that tank"):
        refuse_what_cannot_be(logbook, "a", level("42 L"), None, None)
    refuse_what_cannot_be(logbook, "a", level("42 L"), None, logbook.entries("a")[0].id)


def test_a_sheet_that_says_something_new_counts_above_an_older_entry(long_record):
    """Ten years ago the anodes turned inert; a copied sheet does not undo that, and is not undone by the slice."""
    since = at_hand(long_record, BATH).since
    (before,) = at_hand(long_record, BATH).before
    assert before.when == since
    assert (before.content.anodes, before.content.sheet) == ("inert", "copper")


def test_what_was_worked_out_is_kept_until_the_record_changes(logbook, checked, monkeypatch):
    done = []
    monkeypatch.setattr(carrying, "carry_forward", lambda entries, until: done.append(len(entries)))
    logbook.record_check(*checked)
    name = checked[0].bath.name
    for _ in range(3):
        at_hand(logbook, name).carried(NOW)
    assert done == [1]
    entry = logbook.record(name, level(), NOW)
    at_hand(logbook, name).carried(NOW)
    logbook.correct(entry.id, Withdrawn())
    at_hand(logbook, name).carried(NOW)
    assert done == [1, 2, 1]
    at_hand(logbook, name).carried(NOW + datetime.timedelta(hours=2))
    assert done == [1, 2, 1, 1]


def test_what_another_program_corrects_meanwhile_is_not_counted_twice(logbook, monkeypatch):
    first = logbook.record("a", level("5 L"), NOW)
    looked_up = Logbook.not_counting

    def and_then_corrected(self, bath):
        found = looked_up(self, bath)
        Logbook(self.path).correct(first.id, level("6 L"))
        return found

    monkeypatch.setattr(Logbook, "not_counting", and_then_corrected)
    assert [entry.content.volume.text for entry in at_hand(logbook, "a").entries] == ["5 L"]
    monkeypatch.setattr(Logbook, "not_counting", looked_up)
    assert [entry.content.volume.text for entry in at_hand(logbook, "a").entries] == ["6 L"]


def test_a_bath_mixed_anew_is_read_from_then_on(logbook, checked):
    name = checked[0].bath.name
    logbook.record_check(*checked)
    logbook.record(name, Remake(), NOW - datetime.timedelta(days=1))
    logbook.record(name, RunDone(charge=parse("2 A*h", "charge")), NOW)
    assert [entry.kind for entry in at_hand(logbook, name).entries] == ["remake", "plating run"]


def turns(*days_and_kinds):
    return tuple((NOW - datetime.timedelta(days=day), kind) for day, kind in days_and_kinds)


def checks(*days):
    return turns(*((day, "check") for day in days))


@pytest.mark.parametrize(
    ("marked", "since"),
    [
        ((), None),
        (checks(3000), None),
        (checks(*range(800, 0, -100)), None),  # eight of them are all looked at
        (checks(*range(900, 0, -100)), 900),  # of nine the first is the one before, and more than a year
        (checks(*range(1200, 0, -100)), 900),
        (checks(*range(100, 0, -10)), None),  # all of one season
        (checks(410, 380, 374, 370, *range(80, 0, -10)), 380),  # a year before the last, of ten days ago
        (checks(410, 375, 374, *range(80, 0, -10)), 375),  # a year to the day
        (turns((500, "remake")), 500),
        (turns((500, "remake"), (100, "check")), 500),
        (turns((900, "remake"), (500, "remake"), (400, "check")), 500),
        ((*checks(*range(1200, 500, -100)), *turns((450, "remake")), *checks(*range(400, 0, -50))), 450),
        ((*turns((2000, "remake")), *checks(*range(900, 0, -100))), 900),
        ((*turns((2000, "level")), *checks(900)), None),
    ],
)
def test_what_is_read_goes_back_a_year_and_eight_checks_or_to_the_last_mixing(marked, since):
    assert module._since(marked) == (None if since is None else NOW - datetime.timedelta(days=since))


def test_pages_of_a_bath_hold_each_entry_once(logbook):
    numbers = [logbook.record("a", level(), NOW - datetime.timedelta(days=day % 7)).id for day in range(25)]
    logbook.record("b", level())
    shown = [entry for page in range(4) for entry in logbook.newest("a", 8, 8 * page)]
    assert shown == list(reversed(logbook.entries("a")))
    assert {entry.id for entry in shown} == set(numbers)
    assert logbook.count("a") == 25
