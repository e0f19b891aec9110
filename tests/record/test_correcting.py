"""Which entries are a part of the correction that a check asked for, and what of it is left to do."""

import datetime
from dataclasses import replace
from types import SimpleNamespace

import pytest

from advisor.basis.units import parse
from advisor.record.correcting import after, corrects, done_of, is_of, left_of, so_far, still_to_do
from advisor.record.done_steps import MEASURE_AGAIN
from advisor.record.entries import (
    Check,
    ChlorideAdded,
    Content,
    Entry,
    PouredIn,
    Remake,
    TakenOut,
    WaterAdded,
)
from advisor.words.lines import Units
from tests.record.some_entries import DONE_OF_DULL, level

CRYSTALS, ACID = DONE_OF_DULL
ASKED = [
    {"do": "add", "what": "copper sulfate crystals", "mass_g": 256.0, "purity_mass_fraction": 0.99},
    {"do": "add", "what": "sulfuric acid", "volume_mL": 410.0, "mass_g": 523.0, "strength_mass_fraction": 0.37},
]
A_LITRE = parse("1 L", "volume")
STRONG = replace(ACID, strength=parse("96 %", "fraction"))
POURED = PouredIn(
    volume=A_LITRE,
    copper_sulfate=parse("200 g/L", "concentration"),
    sulfuric_acid=parse("50 g/L", "concentration"),
    chloride=None,
)


def check(*steps: dict, state: str = "possible") -> Check:
    return Check("", {"estimate": {"volume_L": 5.6}, "correction": {"state": state, "steps": list(steps or ASKED)}})


def later(*contents: Content) -> list[Entry]:
    noon = datetime.datetime(2026, 3, 20, 12, tzinfo=datetime.UTC)
    return [Entry(number, "Tub", noon, noon, "0.2.0", None, content) for number, content in enumerate(contents, 2)]


@pytest.mark.parametrize(
    ("content", "is_part"),
    [
        (CRYSTALS, True),
        (ACID, True),
        (ChlorideAdded(volume=parse("10 mL", "volume")), True),
        (POURED, True),
        (TakenOut(volume=A_LITRE, why="decanted"), True),
        (TakenOut(volume=A_LITRE, why="sampled"), False),
        (WaterAdded(volume=A_LITRE), False),  # no step of this check is water
        (level("1 L"), False),
    ],
)
def test_what_is_a_part_of_a_correction(content: Content, is_part: bool) -> None:
    assert corrects(check(), content) is is_part
    assert not corrects(check(state="none needed"), content)  # nothing was asked for


@pytest.mark.parametrize(
    ("done", "count"),
    [
        ([], 0),
        ([CRYSTALS], 1),
        ([CRYSTALS, ACID], 2),
        ([WaterAdded(volume=parse("0.5 L", "volume")), CRYSTALS], 1),  # any bath is topped up, by less than a tenth
        ([WaterAdded(volume=parse("0.6 L", "volume")), CRYSTALS], 0),
        ([CRYSTALS, TakenOut(volume=parse("3 L", "volume"), why="spilt")], 0),  # it is another bath by then
        ([CRYSTALS, Check("another", {})], 0),  # and was measured anew
        ([CRYSTALS, Check("", {})], 1),  # filed a second time: its readings know no more
        ([CRYSTALS, Remake()], 0),
        ([replace(CRYSTALS, note=MEASURE_AGAIN)], 0),  # by a plan of one step, which is done
        ([ACID], 0),  # the second step first
        ([ACID, CRYSTALS], 0),
        ([CRYSTALS, STRONG], 0),
        ([CRYSTALS, CRYSTALS], 0),
        ([CRYSTALS, ACID, CRYSTALS], 0),  # more than was asked for
        ([CRYSTALS, POURED], 0),
    ],
)
def test_steps_are_known_by_their_entries_in_order(done: list[Content], count: int) -> None:
    filed = check()
    found = done_of(filed, ASKED, later(*done))
    assert [entry.content for entry in found] == [content for content in done if corrects(filed, content)][:count]
    assert len(found) == count
    assert left_of(filed, later(*done)) == tuple(ASKED[count:] if count else ())


def test_what_is_left_is_said_with_its_care() -> None:
    assert (so_far(check(), ASKED[1:]), so_far(check(*ASKED, *ASKED), ASKED)) == (
        "1 of 2 steps is done",
        "2 of 4 steps are done",
    )
    said = still_to_do(ASKED[1:])
    assert said == (
        "Still to do: add 410 mL acid (37 %). Goggles and gloves; acid into the liquid, never liquid into acid."
    )
    assert "13.9 fl oz (410 mL)" in said.text(Units.US_FIRST)
    assert still_to_do(ASKED[:1]) == "Still to do: add 256 g crystals."


@pytest.mark.parametrize(("moved", "same"), [((0, 1), True), ((1, 0), False), ((0,), False), ((0, 1, 1), False)])
def test_a_plan_is_that_of_a_check_by_what_it_moves(moved: tuple[int, ...], same: bool) -> None:
    plan = SimpleNamespace(steps=[SimpleNamespace(what=ASKED[at]["what"]) for at in moved])
    assert is_of(check(), plan) is same


def test_a_clock_that_was_set_back_hides_nothing_that_was_done_after_a_check() -> None:
    """The check is the third entry; the fourth was written after it, at what the clock said was an hour before."""
    noon = datetime.datetime(2026, 3, 20, 12, tzinfo=datetime.UTC)
    hour = datetime.timedelta(hours=1)

    def entry(number: int, when: datetime.datetime, written: datetime.datetime, content: object = ACID) -> Entry:
        return Entry(number, "Tub", when, written, "0.2.0", None, content)

    filed = entry(3, noon, noon, check())
    before, set_back = entry(2, noon - hour, noon - hour), entry(4, noon - hour, noon - hour)
    of_yesterday = entry(5, noon - 24 * hour, noon + hour)  # written down later, with its day
    at_once, later_on = entry(6, noon, noon), entry(7, noon + hour, noon + hour)
    assert after([before, filed, set_back, of_yesterday, at_once, later_on], filed) == [set_back, at_once, later_on]
