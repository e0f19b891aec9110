"""Weighed anodes carried forward: a bath whose copper nobody measured, against a balance of the test's own."""

import random
from types import SimpleNamespace

import pytest

from advisor.record.carried import Carried, carry_forward
from advisor.record.entries import Entry
from advisor.record.weighed_anodes import parted
from tests.record.some_days import moment, on
from tests.record.some_entries import check_that_found

# Typed here, not taken from the tool: g/mol, C/mol.
CU, CRYSTAL, ACID, FARADAY = 63.546, 249.685, 98.072, 96485.33
LITRES = 5.6


def grams(ampere_hours: float) -> float:
    return ampere_hours * 3600 * CU / (2 * FARADAY)


def check() -> Entry:
    found = check_that_found((212.0, 2.0), (54.0, 0.8), level=f"{LITRES} L", tank='anodes = "copper"\n')
    return Entry(0, "a", moment(0), moment(0), "1", None, found)


def carried(entries: list[Entry], day: float) -> Carried:
    result = carry_forward(entries, moment(day))
    assert result is not None
    return result


def copper(entries: list[Entry], day: float) -> tuple[float, float]:
    known = carried(entries, day).known
    return known.value("copper_sulfate"), known.standard_uncertainty("copper_sulfate")


def test_what_was_weighed_stands_in_place_of_a_guess():
    """100 A·h deposit 118.6 g; anodes that lost 98.6 g leave 20 g missing, 14.0 g/L of crystals in 5.6 L."""
    runs = [on(day, "run", charge="10 A*h") for day in range(1, 11)]
    lost = grams(100) - 20
    weighed = [on(0.5, "anode-mass", mass="2000.0 g"), on(11, "anode-mass", mass=f"{2000 - lost:.1f} g")]
    guessed, wide = copper([check(), *runs], 11)
    told, narrow = copper([check(), *runs, *weighed], 11)
    assert guessed == pytest.approx(212.0, abs=0.1)
    assert told == pytest.approx(212.0 - 20 * CRYSTAL / CU / LITRES, abs=0.3)
    assert narrow < 0.75 * wide
    acid = carried([check(), *runs, *weighed], 11).known.value("sulfuric_acid")
    assert acid == pytest.approx(54.0 + 20 * ACID / CU / LITRES, abs=0.2)


def test_what_was_weighed_before_a_check_tells_how_the_anodes_feed():
    """Anodes that starved by 15 % for two months are not taken to feed all of the next one."""
    entries = [on(-60, "anode-mass", mass="5000 g")]
    entries += [on(day, "run", charge="10 A*h") for day in range(-59, -1, 2)]
    entries += [on(-0.5, "anode-mass", mass=f"{5000 - 0.85 * grams(290):.0f} g"), check()]
    entries += [on(day, "run", charge="10 A*h") for day in range(1, 20, 2)]
    value, spread = copper(entries, 20)
    truth = 212.0 - 0.15 * grams(100) * CRYSTAL / CU / LITRES
    unweighed, wide = copper([entry for entry in entries if entry.kind != "anodes weighed"], 20)
    assert abs(value - truth) < 0.5 * abs(unweighed - truth)
    assert abs(value - truth) < 1.96 * spread
    assert spread < wide


def test_inert_anodes_are_not_counted_twice():
    entries = [check(), on(0.5, "anodes", anodes="inert", mass="500 g"), on(1, "run", charge="50 A*h")]
    assert copper(entries, 3) == copper([*entries, on(2, "anode-mass", mass="500 g")], 3)


def test_over_years_of_simulated_months_what_is_carried_holds_the_truth():
    """300 months: feeding 80 to 105 %, idle copper, weighing at both ends to 1 g, charge known to 3 %, check to its ±."""
    chance = random.Random(7)
    inside, narrower, total = 0, 0, 300
    for _ in range(total):
        feeding, idle = chance.gauss(0.95, 0.07), chance.uniform(0.0, 0.02)
        display = chance.gauss(1.0, 0.03)
        start = chance.gauss(212.0, 2.0)
        entries, anodes, salt = [check()], 3000.0, start * LITRES
        entries.append(on(0.01, "anode-mass", mass=f"{anodes:.0f} g"))
        for day in range(1, 29):
            anodes -= idle * LITRES
            salt += idle * LITRES * CRYSTAL / CU
            if chance.random() < 0.5:
                charge = chance.uniform(2, 12)
                entries.append(on(day, "run", charge=f"{charge:.2f} A*h"))
                plated = grams(charge * display)
                anodes -= feeding * plated
                salt += (feeding - 1) * plated * CRYSTAL / CU
        without = copper(entries, 29)[1]
        entries.append(on(28.9, "anode-mass", mass=f"{anodes + chance.gauss(0, 0.3):.0f} g"))
        value, spread = copper(entries, 29)
        inside += abs(value - salt / LITRES) < 1.96 * spread
        narrower += spread < without
    assert 0.93 <= inside / total <= 1.0
    assert narrower > 0.95 * total


def test_weighings_of_the_ninety_days_before_a_check_tell_how_fast_things_go():
    told = [
        SimpleNamespace(start=moment(start), end=moment(end))
        for start, end in ((0, 9), (5, 11), (50, 60), (99, 120), (100, 130))
    ]
    since, earlier = parted(told, moment(100))
    assert (since, earlier) == (told[4:], told[1:4])
