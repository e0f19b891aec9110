"""Where a test makes one wait: what a clock runs by is what the card says in words."""

import pytest

from advisor.bench.cards import CARDS, bench_card
from advisor.bench.waits import WAITS, waits
from advisor.sheet import read_sheet

WORDS = {30.0: "half a minute", 60.0: "minute", 120.0: "two minutes", 300.0: "five minutes", 600.0: "ten minutes"}
WORDS |= {1800.0: "half an hour", 3600.0: "an hour"}


def sheet(*gear):
    return read_sheet({"bath": {"volume": "5 L"}, "gear": {"have": list(gear)}})


@pytest.mark.parametrize("kind", WAITS)
def test_what_a_clock_runs_by_stands_on_the_card(kind):
    tools = {"copper titration": ("thiosulfate", "0.1 g scale", "50 mL burette"), "thinned pH": ("pH meter",)}
    card = bench_card(kind, sheet(*tools.get(kind, ("10 mL syringe", "baking soda", "zinc strip", "0.01 g scale"))))
    found = waits(card)
    assert found
    said = " ".join((*card.steps, *card.look_for))
    for wait in found:
        assert WORDS[wait.seconds] in said, (wait, said)


def test_no_clock_for_a_test_that_makes_nobody_wait():
    assert waits(bench_card("hydrometer", sheet("hydrometer"))) == ()


def test_a_clock_belongs_to_the_end_point_of_its_plan():
    by_colour = bench_card("acid titration", sheet("methyl orange", "10 mL syringe", "lye"))
    assert waits(by_colour) == ()


def test_plating_out_runs_as_long_as_its_plan_says():
    card = bench_card("plated-out copper", sheet("inert anode", "0.01 g scale", "10 mL syringe"))
    (wait,) = waits(card)
    assert wait.seconds == pytest.approx(3600 * card.hours)
    assert card.hours > 1


def test_every_kind_is_a_card():
    assert set(WAITS) <= set(CARDS)
