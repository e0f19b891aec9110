"""How much is in the tank by the log: what was said last, and a tank that was poured into another one."""

import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import COVERAGE, parse
from advisor.record.entries import ANOTHER_BATH, Moved, PouredIn, Remake, TakenOut, WaterAdded
from advisor.record.level import is_emptied, level_now, level_of, most_of, refuse_a_slip
from tests.record.some_days import at, moment
from tests.record.some_entries import level as mark


def litres(text):
    return parse(text, "volume")


def log(*contents):
    """One thing a day."""
    return [at(day, what) for day, what in enumerate(contents)]


def poured(text):
    return TakenOut(volume=litres(text), why=ANOTHER_BATH)


def water(text):
    return WaterAdded(volume=litres(text))


SAMPLE = TakenOut(volume=litres("1 L"), why="sampled")
FROM_A_JAR = PouredIn(
    volume=litres("2 L"),
    copper_sulfate=parse("200 g/L", "concentration"),
    sulfuric_acid=parse("60 g/L", "concentration"),
)


def test_a_level_is_read_to_half_a_percent_or_as_surely_as_was_typed():
    assert level_of(log(mark("5.6 L"))) == (5.6, pytest.approx(0.028))
    assert level_of(log(mark("5.6 ± 0.1 L"))) == (5.6, pytest.approx(0.1 / COVERAGE))
    assert level_of(log(water("5 L"))) is None


def test_the_level_of_a_time_is_the_first_said_from_then_on_else_the_last_before():
    said = log(mark("6 L"), mark("5.5 L"), mark("5 L"))
    assert [level_of(said, moment(day)).value for day in (-0.5, 0.5, 4.5)] == [6.0, 5.5, 5.0]


@pytest.mark.parametrize(
    ("contents", "emptied"),
    [
        ((mark(), poured("5.6 L")), True),
        ((mark(), poured("5.55 L")), True),  # less than a hundredth stayed behind
        ((mark(), poured("5.5 L")), False),
        ((mark(), SAMPLE, poured("4.6 L")), True),
        ((mark(), SAMPLE, poured("4.5 L")), False),
        ((SAMPLE, mark(), poured("4.6 L")), False),  # the mark was read after the sample was drawn
        ((mark("8 L"), SAMPLE, mark("5.6 L"), poured("4.6 L")), False),
        ((mark(), water("1 L"), poured("5.6 L")), True),  # what was poured in may have dried away
        ((mark(), TakenOut(volume=litres("5.6 L"), why="sampled")), False),
        ((mark(), poured("5.6 L"), water("0.4 L")), True),
        ((mark(), poured("5.6 L"), FROM_A_JAR), False),
        ((mark(), poured("5.6 L"), mark("3 L")), False),
        ((poured("5.6 L"),), False),  # of how much, nobody said
    ],
)
def test_a_tank_is_empty_once_all_of_it_was_poured_into_another(contents, emptied):
    assert is_emptied(log(*contents)) is emptied


@pytest.mark.parametrize(
    ("contents", "now"),
    [
        ((mark(),), 5.6),
        ((mark(), poured("5.6 L")), 0.0),
        ((mark(), poured("5.6 L"), FROM_A_JAR, water("0.4 L")), 2.4),
        ((mark(), poured("5.6 L"), FROM_A_JAR, SAMPLE), 1.0),
        ((mark(), poured("5.6 L"), SAMPLE), 0.0),
        ((mark(), poured("2 L")), 3.6),
        ((mark(), SAMPLE, water("1.5 L")), 5.6),  # a litre makes up for the sample, the rest for what dried away
        ((mark(), water("1.5 L"), SAMPLE), 4.6),  # the water made up for what had dried away before
        ((mark(), FROM_A_JAR, SAMPLE, water("1 L")), 6.6),
        ((mark(), poured("5.6 L"), mark("3 L")), 3.0),
        ((mark(), poured("5.6 L"), Remake()), 5.6),  # made up anew, to where it stood
        ((mark(), TakenOut(volume=litres("5.6 L"), why="sampled")), 0.0),
    ],
)
def test_what_is_in_the_tank_now(contents, now):
    assert level_now(log(*contents)).value == pytest.approx(now)


def test_the_most_it_holds_is_that_of_the_tank_it_was_moved_to():
    tall = Moved(tank="tall", usual_volume=litres("8 L"), max_volume=litres("9 L"))
    assert most_of(log(tall, mark())).value == 9.0
    assert level_of(log(mark(), tall)).value == 8.0
    assert most_of(log(mark())) is None


def test_a_slipped_comma_is_no_level():
    """42 L written down for 4.2 L would have the next check find a tenth of the salts, and dose kilograms."""
    with pytest.raises(InputError, match=r"you gave 42 L; by the record at most 4\.4 L are in that tank"):
        refuse_a_slip(mark("42 L"), log(mark("4.2 L"), water("0.2 L"), SAMPLE))


@pytest.mark.parametrize("content", [water("300 L"), TakenOut(volume=litres("300 L"))])
def test_millilitres_typed_as_litres_are_asked_back(content):
    """300 typed for water is 300 L where the field stands at litres: in a tank of 5.2 it was 300 mL."""
    with pytest.raises(InputError, match=r"you gave 300 L; by the record at most 5\.2 L .* Did you mean 300 mL\? "):
        refuse_a_slip(content, log(mark("5.2 L")))
    assert is_refused(content, [Remake(), mark("5.2 L")])  # what was said before that is of another bath
    assert not is_refused(content, [mark("5.2 L"), Remake()])


def test_an_amount_that_may_be_so_is_written_down():
    """A quarter more than the tank holds: 6.5 of 5.2 L; in another unit nobody is asked for millilitres."""
    assert not is_refused(water("6.5 L"), [mark("5.2 L")])
    assert is_refused(water("6.6 L"), [mark("5.2 L")])
    assert not is_refused(water("300 mL"), [mark("5.2 L")])
    assert not is_refused(water("9 L"), [mark("5.2 L"), Moved(tank="vat", usual_volume=litres("8 L"))])
    with pytest.raises(InputError) as refused:
        refuse_a_slip(water("79 gal"), log(mark("5.2 L")))
    assert "Did you mean" not in str(refused.value)


@pytest.mark.parametrize(
    "before",
    [
        [],
        [mark("4.2 L"), water("0.3 L"), FROM_A_JAR],  # 6.5 L and a quarter of it
        [mark("4.2 L"), Moved(tank="vat", usual_volume=litres("8 L"))],
        [mark("4.2 L"), Remake()],
    ],
)
def test_a_level_that_may_be_so_is_written_down(before):
    assert not is_refused(mark("8 L"), before)
    assert is_refused(mark("80 L"), [mark("4.2 L"), water("0.3 L"), FROM_A_JAR])


def is_refused(content, before) -> bool:
    try:
        refuse_a_slip(content, log(*before))
    except InputError:
        return True
    return False
