"""Several baths: side by side, split and poured together; grams are counted here and must come out even."""

import datetime
import json
import random
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from advisor.__main__ import main
from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.check.assessment import assess
from advisor.record.account import where_it_went
from advisor.record.carried import carry_forward
from advisor.record.entries import (
    ANOTHER_BATH,
    AnodeChange,
    AnodesWeighed,
    Check,
    Content,
    Entry,
    Moved,
    PouredIn,
    RunDone,
    TakenOut,
    WaterAdded,
    Withdrawn,
    standing,
)
from advisor.record.entry_text import write_json
from advisor.record.logbook import Logbook
from advisor.record.several import compare, merge, record_for_pouring, split
from advisor.record.withdrawal import other_half, withdraw
from advisor.sheet import Sheet, parse_sheet, write_sheet
from advisor.words.lines import Units
from tests.record.some_days import due_of, moment, on

SURE = 1.96
ZERO = {"value": 0.0, "standard_uncertainty": 1.0}


def checked(name: str, litres: float, salt: float, acid: float, chloride: float | None = 60.0) -> str:
    """Return the sheet of a bath that a laboratory has looked at."""
    held = f'copper_sulfate = "{salt} ± 4 g/L"\nsulfuric_acid = "{acid} ± 2 g/L"\n'
    held += "" if chloride is None else f'chloride = "{chloride} ± 5 mg/L"\n'
    return (
        f'[bath]\nname = "{name}"\nvolume = "{litres} L"\ndate = 2026-01-01\nadditives = true\nsoda_added = "0 g"\n'
        f'touched = ["nothing"]\ntopped_up_with = "distilled water"\n'
        f'[[reading]]\nkind = "laboratory report"\n{held}'
    )


def filed(entries: Sequence[Entry], bath: str) -> Logbook:
    """Return the person's logbook with entries in it as those of a bath."""
    logbook = Logbook()
    for entry in entries:
        logbook.record(bath, entry.content, entry.when)
    return logbook


@cache
def both_checks() -> tuple[tuple[Sheet, Advice], ...]:
    texts = (checked("Tall", 6.0, 215.0, 60.0), checked("Flat", 3.0, 180.0, 45.0, None))
    return tuple((sheet, advise(sheet)) for sheet in map(parse_sheet, map(str.encode, texts)))


@cache
def flat_in_a_tank_of(most: str) -> tuple[Sheet, Advice]:
    sheet = parse_sheet(checked("Flat", 3.0, 180.0, 45.0).replace("date", f'max_volume = "{most}"\ndate').encode())
    return sheet, advise(sheet)


def record(when: datetime.datetime) -> Logbook:
    logbook = Logbook()
    for sheet, advice in both_checks():
        logbook.record_check(sheet, advice, when)
    return logbook


@pytest.fixture
def two() -> Logbook:
    return record(moment(0))


@pytest.fixture
def of_yesterday() -> Logbook:
    return record(datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=1))


def litres(text: str):
    return parse(text, "volume")


def known(logbook: Logbook, bath: str, day: float):
    carried = carry_forward(logbook.entries(bath), moment(day))
    assert carried is not None
    return carried.known


def grams(found, name: str) -> float:
    return found.value(name) * found.volume_L


# --- Split and poured together --------------------------------------------------------------------


def test_a_split_leaves_the_sum_and_makes_a_bath_of_the_same_contents(two):
    before = known(two, "Tall", 1)
    pouring = split("Tall", two.entries("Tall"), "Jar", litres("2 L"), moment(1))
    two.record_together(pouring.parts, moment(1))
    tall, jar = known(two, "Tall", 1.001), known(two, "Jar", 1.001)
    assert tall.volume_L + jar.volume_L == pytest.approx(before.volume_L, rel=1e-6)
    for name in ("copper_sulfate", "sulfuric_acid", "chloride"):
        assert grams(tall, name) + grams(jar, name) == pytest.approx(grams(before, name), rel=0.004)
        assert jar.value(name) == pytest.approx(before.value(name), rel=0.01)
        # No surer than it was; that the same gear may err again counts once more, for the new bath's own check.
        assert 1.0 <= jar.standard_uncertainty(name) / before.standard_uncertainty(name) < 1.5
    (taken,) = [entry.content for entry in two.entries("Tall") if isinstance(entry.content, TakenOut)]
    assert taken.note == "into Jar"
    check = two.entries("Jar")[0].content
    assert isinstance(check, Check)
    bath = parse_sheet(check.sheet.encode()).bath
    assert (bath.name, bath.volume.value, bath.usual_volume) == ("Jar", 2.0, None)


def test_what_is_poured_together_is_the_mixture_by_volume(two):
    """2 L of 215 and 60 g/L into 3 L of 180 and 45: (2 x 215 + 3 x 180) / 5 = 194, and 51; a day's losses are small."""
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(1))
    two.record_together(pouring.parts, moment(1))
    mixed = known(two, "Flat", 1.001)
    assert mixed.value("copper_sulfate") == pytest.approx(194.0, abs=1.0)
    assert mixed.value("sulfuric_acid") == pytest.approx(51.0, abs=0.5)
    assert mixed.volume_L == pytest.approx(5.0, abs=0.01)
    spread = np.hypot(2 * 4 / SURE, 3 * 4 / SURE) / 5
    gear = 0.01 * 194  # that the same gear may err again
    assert spread < mixed.standard_uncertainty("copper_sulfate") < 1.3 * np.hypot(spread, gear)
    assert pouring.after is not None
    assert pouring.after.value("copper_sulfate") == pytest.approx(mixed.value("copper_sulfate"), rel=1e-4)
    assert "Flat then holds 5.00 L with 194" in " ".join(pouring.sections()[0].lines)
    json.dumps(pouring.to_dict(), allow_nan=False)


def test_a_bath_that_was_topped_up_is_poured_as_it_stands(two):
    """A litre dries away in three weeks and is made up, twice: there are still 6 L of 215 g/L, and not 8 L of 161.

    Two of them leave two thirds of the grams there, whatever was topped up before.
    """
    for day in (7, 14, 21, 28, 35, 42):
        two.record("Tall", WaterAdded(volume=litres("0.333 L")), moment(day))
    (tall,) = compare(two, ["Tall"], moment(49))
    assert tall.to_dict()["level_L"] == {"value": pytest.approx(6.0), "standard_uncertainty": pytest.approx(0.03)}
    assert tall.held["copper_sulfate"].value == pytest.approx(215.0, abs=1.0)
    assert tall.held["sulfuric_acid"].value == pytest.approx(60.0, abs=0.5)
    pouring = split("Tall", two.entries("Tall"), "Jar", litres("2 L"), moment(49))
    two.record_together(pouring.parts, moment(49))
    assert known(two, "Jar", 49.01).value("copper_sulfate") == pytest.approx(215.0, abs=1.0)
    (left,) = compare(two, ["Tall"], moment(49.01))
    assert left.level.value == pytest.approx(4.0)
    assert left.held["copper_sulfate"].value == pytest.approx(215.0, abs=1.5)


@pytest.mark.parametrize(("mark", "read"), [("5 ± 0.5 L", 0.5 / SURE / 5.0), ("5 L", 0.005)])
def test_how_much_dried_away_is_as_uncertain_as_both_levels(two, mark, read):
    """6 L that were read to 0.5 % stand at 5 L: six fifths of what was held, by that level and the one of now."""
    two.record("Tall", on(21, "level", volume=mark).content, moment(21))
    entries = two.entries("Tall")
    by_the_mark = carry_forward(entries, moment(21.01)).known
    (tall,) = compare(two, ["Tall"], moment(21.01))
    for name, held in (("copper_sulfate", 215.0), ("sulfuric_acid", 60.0)):
        assert tall.held[name].value == pytest.approx(1.2 * held, rel=2e-3)
        expected = np.hypot(by_the_mark.standard_uncertainty(name), tall.held[name].value * np.hypot(0.005, read))
        assert tall.held[name].standard_uncertainty == pytest.approx(expected, rel=1e-3)
    assert tall.level.standard_uncertainty == pytest.approx(5.0 * read)


def test_all_the_grams_that_are_poured_do_not_hang_on_the_level_that_was_read(two):
    doubts = []
    for mark in ("5 ± 0.05 L", "5 ± 1 L"):
        entries = [*two.entries("Tall"), on(21, "level", volume=mark)]
        pouring = merge("Tall", entries, "Flat", two.entries("Flat"), None, moment(21.01))
        moved = pouring.to_dict()["moved_g"]["copper_sulfate"]
        assert moved["value"] == pytest.approx(6 * 215, rel=2e-3)
        doubts.append(moved["standard_uncertainty"])
    assert doubts[0] == pytest.approx(doubts[1], rel=1e-6)


@pytest.mark.parametrize(("day", "litres_then"), [(1.9, 7.0), (2.1, 6.0)])
def test_water_of_a_correction_still_stands_weeks_later(two, day, litres_then):
    """A litre within two days of the check is its correction; one that goes in later made up what had dried."""
    two.record("Tall", WaterAdded(volume=litres("1 L")), moment(day))
    (tall,) = compare(two, ["Tall"], moment(20))
    assert tall.level.value == pytest.approx(litres_then, abs=0.02)


def test_water_that_dried_away_takes_no_room(two):
    """3 L in a tank of 5 L, topped up with 2.4 L in eight weeks: 2 L go in, and not one drop more than 5 L holds."""
    two.record_check(*flat_in_a_tank_of("5 L"), moment(0.2))
    for day in (14, 28, 42, 56):
        two.record("Flat", WaterAdded(volume=litres("0.6 L")), moment(day))
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(60))
    assert pouring.after.volume_L == pytest.approx(5.0, abs=0.01)
    assert pouring.after.value("copper_sulfate") == pytest.approx((2 * 215 + 3 * 180) / 5, abs=1.5)
    with pytest.raises(InputError, match="takes 2 L more"):
        merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2.1 L"), moment(60))


def test_a_tank_above_its_brim_takes_nothing(two):
    two.record_check(*flat_in_a_tank_of("3.2 L"), moment(0.2))
    over = [*two.entries("Flat"), on(0.5, "level", volume="3.3 L")]
    with pytest.raises(InputError, match="takes 0 L more"):
        merge("Tall", two.entries("Tall"), "Flat", over, litres("0.2 L"), moment(1))


def test_what_is_poured_is_named_with_its_grams_and_their_doubt(two):
    """2 L of 215 ± 4 g/L are 430 ± 12 g: 8 g by the check, 8.4 since the same gear may err again, 4.2 by the level."""
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(0.01))
    told = pouring.to_dict()["moved_g"]
    assert told["copper_sulfate"]["value"] == pytest.approx(430.0, abs=0.5)
    assert SURE * told["copper_sulfate"]["standard_uncertainty"] == pytest.approx(
        np.hypot(np.hypot(8.0, 8.4), 4.2), rel=0.02
    )
    assert told["chloride"]["value"] == pytest.approx(0.12, abs=0.001)
    assert "come to 540 ± " in pouring.sections()[0].lines[1]
    assert "; together 970 ± " in pouring.sections()[0].lines[1]
    back = merge("Flat", two.entries("Flat"), "Tall", two.entries("Tall"), litres("1 L"), moment(0.01))
    assert set(back.to_dict()["moved_g"]) == {"copper_sulfate", "sulfuric_acid"}  # nobody measured its chloride
    (content,) = [content for _, content in pouring.parts if isinstance(content, PouredIn)]
    assert content.source == "Tall"
    assert content.chloride.value == pytest.approx(60.0, abs=0.1)


def test_what_was_plated_counts_from_when_the_bath_was_mixed_anew():
    log = [on(0, "run", charge="50 A*h"), on(1, "remake"), on(2, "run", charge="7 A*h"), on(3, "run", charge="5 A*h")]
    (found,) = compare(filed(log, "Tall"), ["Tall"], moment(4))
    assert found.charge.value == pytest.approx(12.0)
    assert found.to_dict()["level_L"] is None


def test_chloride_that_nobody_knows_comes_with_a_wide_range(two):
    pouring = merge("Flat", two.entries("Flat"), "Tall", two.entries("Tall"), litres("2 L"), moment(1))
    two.record_together(pouring.parts, moment(1))
    (poured,) = [entry.content for entry in two.entries("Tall") if isinstance(entry.content, PouredIn)]
    assert poured.chloride is None
    mixed = known(two, "Tall", 1.001)
    assert mixed.value("chloride") == pytest.approx((6 * 60 + 2 * 60) / 8, rel=0.01)
    assert mixed.standard_uncertainty("chloride") > 2 / 8 * 30


def test_all_of_a_bath_can_go_and_is_then_due_for_nothing(two):
    pouring = merge("Flat", two.entries("Flat"), "Tall", two.entries("Tall"), None, moment(1))
    two.record_together(pouring.parts, moment(1))
    assert carry_forward(two.entries("Flat"), moment(2)) is None
    assert due_of("Flat", two.entries("Flat"), moment(2)) == ()
    assert due_of("Tall", two.entries("Tall"), moment(2))
    flat = next(each for each in compare(two, ["Flat"], moment(2)))
    assert flat.state == "All of it was poured into another bath."
    assert flat.level is None


def test_of_a_bath_that_was_never_checked_what_was_taken_out_counts_too():
    entries = [on(0, "level", volume="5 L"), on(1, "take-out", volume="2 L")]
    (never,) = compare(filed(entries, "New"), ["New"], moment(2))
    assert never.level is not None
    assert never.level.value == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("pour", "message"),
    [
        (lambda two: split("Tall", two.entries("Tall"), "Jar", litres("6 L"), moment(1)), "at most 5.94 L"),
        (lambda two: split("None", (), "Jar", litres("1 L"), moment(1)), "does not tell what None holds"),
        (lambda two: merge("Tall", two.entries("Tall"), "Flat", (), litres("7 L"), moment(1)), "at most 6.06 L"),
        (lambda two: merge("Tall", two.entries("Tall"), "Tall", (), None, moment(1)), "twice"),
    ],
)
def test_what_cannot_be_poured_is_refused(two, pour, message):
    with pytest.raises(InputError, match=message):
        pour(two)


def tank_told(by: str) -> tuple[Content | Check, ...]:
    """Return what told that the tank of Flat holds 3.5 L: a move, or a sheet; or a move that leaves it out after it."""
    sheet, _ = flat_in_a_tank_of("3.5 L")
    by_sheet = Check(write_sheet(sheet), json.loads(write_json(both_checks()[1][1].to_dict())))
    moved = Moved(tank="tub", usual_volume=litres("3 L"))
    by_move = replace(moved, max_volume=litres("3.5 L"))
    return {"move": (by_move,), "sheet": (by_sheet,), "left out": (by_sheet, moved), "nothing": ()}[by]


def anodes_weighed() -> tuple[tuple[float, Content], ...]:
    """Return a change of anodes of long ago, and what they fed from one weighing to the next, over years."""
    run = RunDone(charge=parse("200 A*h", "charge"))
    first, last = (AnodesWeighed(mass=parse(mass, "mass")) for mass in ("5000 g", "4750 g"))
    return (-1100, AnodeChange()), (-1000, first), (-700, run), (-10, last)


@pytest.mark.parametrize("by", ["move", "sheet", "left out", "nothing"])
def test_pouring_reads_the_last_year_and_who_told_of_the_tank_before(by):
    """Checked each 60 days for four years, the second bath told of its tank three years ago."""
    logbook = record(moment(0))
    for number in range(1, 24):
        record(moment(-60 * number))
    for day, content in enumerate(tank_told(by)):
        logbook.record("Flat", content, moment(day - 1100))
    for day, content in anodes_weighed():
        logbook.record("Tall", content, moment(day))
    read = [record_for_pouring(logbook, bath) for bath in ("Tall", "Flat")]
    whole = [logbook.entries(bath) for bath in ("Tall", "Flat")]
    assert [len(entries) for entries in read] == [13, 9 + (by != "nothing")]
    for pour in (
        lambda tall, _: split("Tall", tall, "Jar", litres("1 L"), moment(1)),
        lambda tall, flat: merge("Tall", tall, "Flat", flat, litres("0.4 L"), moment(1)),
        lambda tall, flat: merge("Flat", flat, "Tall", tall, None, moment(1)),
    ):
        assert pour(*read).parts == pour(*whole).parts
        assert pour(*read).to_dict() == pour(*whole).to_dict()
        assert pour(*read).sections() == pour(*whole).sections()
    for tall, flat in (read, whole):
        if by in ("move", "sheet"):
            with pytest.raises(InputError, match=r"the tank of Flat holds at most 3\.5 L"):
                merge("Tall", tall, "Flat", flat, litres("1 L"), moment(1))
        else:
            assert not merge("Tall", tall, "Flat", flat, litres("1 L"), moment(1)).room


def test_into_a_bath_that_nobody_checked_it_says_so(two):
    pouring = merge("Tall", two.entries("Tall"), "New", [on(0, "level", volume="1 L")], litres("1 L"), moment(1))
    assert pouring.after is None
    assert "is not known, so neither is the mixture" in pouring.sections()[0].lines[-1]


@pytest.mark.parametrize("later", [[], [on(0.5, "move", tank="Bucket", usual_volume="4 L", max_volume="4.5 L")]])
def test_more_than_the_tank_holds_is_refused(two, later):
    two.record_check(*flat_in_a_tank_of("5 L"), moment(0.2))
    room = 2.0 if not later else 1.5
    others = [*two.entries("Flat"), *later]
    with pytest.raises(InputError, match=f"at most {3 + room:g}(.0)? L, and takes {room:g} L more by the record"):
        merge("Tall", two.entries("Tall"), "Flat", others, litres("2.1 L"), moment(1))
    pouring = merge("Tall", two.entries("Tall"), "Flat", others, litres("1.4 L"), moment(1))
    assert not any("see that it all fits" in said for said in pouring.sections()[1].lines)


@pytest.mark.parametrize("spilt", ["", "0.5 L"])
def test_a_tank_that_was_emptied_takes_bath_again_up_to_its_brim(two, spilt):
    """All 3 L of Flat leave it; of its 5 L, 4 go back in, and then 1 more, and no drop after that."""
    two.record_check(*flat_in_a_tank_of("5 L"), moment(0.2))
    if spilt:
        two.record("Flat", TakenOut(volume=litres(spilt), why="spilt"), moment(0.5))
    emptied = merge("Flat", two.entries("Flat"), "Tall", two.entries("Tall"), None, moment(1))
    two.record_together(emptied.parts, moment(1))
    for day, poured in ((2, "4 L"), (3, "1 L")):
        back = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres(poured), moment(day))
        two.record_together(back.parts, moment(day))
    with pytest.raises(InputError, match=r"at most 5(.0)? L, and takes 0 L more"):
        merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("0.1 L"), moment(4))


def test_where_nobody_said_what_the_tank_holds_that_is_a_caution(two):
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(1))
    assert "how much the tank of Flat holds: see that it all fits" in pouring.sections()[1].lines[0]
    assert pouring.sections()[1].caution


def test_pouring_is_written_whole_or_not_at_all(two, monkeypatch):
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("1 L"), moment(1))
    broken = (*pouring.parts, ("", Withdrawn()))
    with pytest.raises(InputError):
        two.record_together(broken, moment(1))
    assert len(two.entries()) == 2


@pytest.mark.parametrize("is_split", [True, False])
@pytest.mark.parametrize("half", [0, 1])
def test_a_pour_is_withdrawn_in_both_records(two, is_split, half):
    if is_split:
        pouring = split("Tall", two.entries("Tall"), "Jar", litres("2 L"), moment(1))
    else:
        pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(1))
    written = two.record_together(pouring.parts, moment(1))
    assert {entry.id for entry in withdraw(two, written[half].id)} == {entry.id for entry in written}
    assert [entry.kind for entry in standing(two.entries())] == ["check", "check"]
    assert other_half(two, written[half]) is None  # both count no more


def test_a_pour_of_which_one_half_was_corrected_is_still_one(two):
    pouring = split("Tall", two.entries("Tall"), "Jar", litres("2 L"), moment(1))
    taken, check = two.record_together(pouring.parts, moment(1))
    corrected = two.correct(taken.id, TakenOut(volume=litres("2.1 L"), why=taken.content.why))
    assert other_half(two, two.entry(corrected.id)).id == check.id
    assert other_half(two, check).id == corrected.id
    again = two.correct(corrected.id, TakenOut(volume=litres("2.2 L"), why=taken.content.why))
    assert other_half(two, check).id == again.id
    changed = two.correct(two.correct(check.id, check.content).id, check.content)
    assert other_half(two, again).id == changed.id
    assert {entry.id for entry in withdraw(two, again.id)} == {again.id, changed.id}
    assert [entry.kind for entry in standing(two.entries())] == ["check", "check"]


def test_what_was_taken_out_at_that_moment_for_another_reason_stays(two):
    pouring = split("Tall", two.entries("Tall"), "Jar", litres("2 L"), moment(1))
    taken, _ = two.record_together(pouring.parts, moment(1))
    spilt = two.record("Flat", TakenOut(volume=litres("1 L"), why="spilt"), moment(1))
    assert withdraw(two, spilt.id) == (spilt,)
    assert len(withdraw(two, taken.id)) == 2


def test_a_check_at_that_moment_is_the_other_half_only_where_it_was_written_right_after_bath_left_for_it(two):
    flat, tall = (two.entries(name)[0].content for name in ("Flat", "Tall"))
    spilt = two.record("Tall", TakenOut(volume=litres("1 L"), why="sampled"), moment(1))
    check = two.record("Flat", flat, moment(1))
    moved = two.record("Tall", TakenOut(volume=litres("1 L"), why=ANOTHER_BATH), moment(1))
    own = two.record("Tall", tall, moment(1))
    two.record("Flat", flat, moment(1))
    last = two.record("Tall", moved.content, moment(1))
    two.record("Flat", WaterAdded(volume=litres("1 L")), moment(1))
    assert [other_half(two, entry) for entry in (spilt, check, moved, own, last)] == [None] * 5


def test_the_command_says_that_both_halves_count_no_more(two, capsys):
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(1))
    taken, poured = two.record_together(pouring.parts, moment(1))
    assert main(["withdraw", str(taken.id)]) == 0
    said = capsys.readouterr().out
    assert f"Entry {taken.id} of Tall no longer counts, nor does entry {poured.id} of Flat" in said
    assert main(["withdraw", str(poured.id)]) == 2


def test_what_was_poured_in_is_no_loss_and_no_gain_of_the_account(two):
    """Two laboratory reports of one bath, and 2 L of a known one between them: evaporated, lost and dissolved is nothing."""
    pouring = merge("Tall", two.entries("Tall"), "Flat", two.entries("Flat"), litres("2 L"), moment(10))
    two.record_together(pouring.parts, moment(10))
    sheet = parse_sheet(checked("Flat", 5.0, 194.0, 51.0, None).encode())
    two.record_check(sheet, advise(sheet), moment(20))
    account = where_it_went(two.entries("Flat"))
    assert account.doubts == ()
    for cause in account.causes.values():
        assert cause.low <= 0 <= cause.high or abs(cause.value) < 0.02


def test_no_chloride_at_all_is_a_value_and_not_unknown():
    sheet = parse_sheet(checked("Tall", 6.0, 215.0, 60.0).encode())
    logbook = Logbook()
    logbook.record_check(sheet, advise(sheet), moment(0))
    content = logbook.entries("Tall")[0].content
    none = {**content.advice, "estimate": {**content.advice["estimate"], "chloride_mg_L": ZERO}}
    logbook.correct(1, Check(content.sheet, none))
    (tall,) = compare(logbook, ["Tall"], moment(0))
    assert tall.cells(Units.METRIC)["Chloride"].startswith("0")


# --- A year of splits and pourings ----------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
def test_over_a_year_of_pouring_the_grams_stay_in_the_tanks(seed):
    """Two tanks, crystals now and then, a litre to and fro: the sums are kept here, and hold within what is stated."""
    chance = random.Random(seed)
    logbook = Logbook()
    truth = {"A": [6.0, 6 * 215.0, 6 * 60.0], "B": [4.0, 4 * 190.0, 4 * 50.0]}
    for name, (volume, salt, acid) in truth.items():
        sheet = parse_sheet(checked(name, volume, salt / volume, acid / volume).encode())
        logbook.record_check(sheet, advise(sheet), moment(0))
    for month in range(1, 7):
        day = month * 60.0
        source, target = ("A", "B") if month % 2 else ("B", "A")
        moved = chance.choice([0.5, 1.0, 1.5])
        pouring = merge(
            source, logbook.entries(source), target, logbook.entries(target), litres(f"{moved} L"), moment(day)
        )
        logbook.record_together(pouring.parts, moment(day))
        share = moved / truth[source][0]
        for part in range(3):
            amount = truth[source][part] * share
            truth[source][part] -= amount
            truth[target][part] += amount
    for name, (volume, salt, acid) in truth.items():
        found = known(logbook, name, 361)
        assert found.volume_L == pytest.approx(volume, abs=0.03)
        for component, there in (("copper_sulfate", salt / volume), ("sulfuric_acid", acid / volume)):
            assert abs(found.value(component) - there) < 3 * found.standard_uncertainty(component)


# --- Moved, and side by side ----------------------------------------------------------------------


def test_a_bath_that_was_moved_has_its_new_level_in_the_next_check(two):
    entries = [*two.entries("Tall"), on(1, "move", tank="glass", usual_volume="8 L", max_volume="9 L")]
    carried = carry_forward(entries, moment(2))
    assert carried is not None
    check = carried.check.content
    assert isinstance(check, Check)
    sheet = carried.add_to(parse_sheet(check.sheet.encode()))
    assert (sheet.bath.usual_volume.value, sheet.bath.max_volume.value) == (8.0, 9.0)
    again = parse_sheet(write_sheet(sheet).encode())
    assert assess(again) is not None


def test_baths_stand_side_by_side(of_yesterday, capsys):
    main(["log", "Tall", "run", "shell", "--charge", "12 A*h"])
    main(["log", "Tall", "move", "glass", "6.5 L"])
    capsys.readouterr()
    assert main(["baths"]) == 0
    said = capsys.readouterr().out
    assert "Tall\n====\nTank: glass\nLevel: 6.00 ± 0.06 L" in said
    assert "Plated: 12.0 ± 0.7 A·h" in said
    assert main(["baths", "--json"]) == 0
    found = {each["bath"]: each for each in json.loads(capsys.readouterr().out)["baths"]}
    assert found["Tall"]["tank"] == "glass"
    assert found["Flat"]["chloride_mg_L"] is None
    assert found["Flat"]["copper_sulfate_g_L"]["value"] == pytest.approx(180, abs=10)
    main(["baths", "--units", "us"])
    assert "gal" in capsys.readouterr().out


def test_split_and_merge_by_command(of_yesterday, capsys):
    assert main(["split", "Tall", "Jar", "2 L"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Poured: Tall into Jar\n")
    assert said.count("What goes where") == 1
    assert "2.00 L of Tall go into Jar." in said
    assert "Recorded as entry 3 of Tall\nRecorded as entry 4 of Jar\n" in said
    assert main(["merge", "Jar", "Flat", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["volume_L"] == pytest.approx(2.0)
    assert [entry["bath"] for entry in result["entries"]] == ["Jar", "Flat"]
    assert len(standing(Logbook().entries())) == 6
    for words, message in (
        (["split", "Tall", "Flat", "1 L"], "has a bath Flat already"),
        (["split", "Tall", " ", "1 L"], "bath: name"),
        (["split", "Tell", "X", "1 L"], "did you mean Tall?"),
        (["merge", "Tall", "Flut"], "did you mean Flat?"),
        (["merge", "Tall", "Flat", "1 kg"], "merge: volume"),
    ):
        assert main(words) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert message in err
    assert len(Logbook().entries()) == 6


def test_nothing_recorded_is_nothing_to_compare(capsys):
    assert main(["baths"]) == 0
    assert capsys.readouterr().out == "Nothing is recorded yet.\n"
