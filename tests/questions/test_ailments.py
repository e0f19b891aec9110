"""What ails a bath: the fraction that thins an excess, and the probability that replacing a fraction cures."""

import math
from dataclasses import replace

import numpy as np
import pytest

from advisor.check.advise import advise
from advisor.check.metals import CONTAMINANT_LIMITS, part_fraction
from advisor.questions.ailments import AILMENTS, fraction_called_for, probability_cured, weigh
from advisor.sheet import Keep, read_sheet
from advisor.words.states import PlanState
from tests.questions.some_sheets import usual


@pytest.mark.parametrize(
    ("now", "target", "new", "fraction"),
    [
        (4.0, 2.0, 0.0, 0.5),  # half of it away leaves half
        (300.0, 240.0, 100.0, 0.3),
        (1.0, 2.0, 0.0, 0.0),  # below the target already: replacing leads away
        (4.0, 1.0, 2.0, 1.0),  # what goes in holds too much
        (4.0, 1.0, 4.0, 0.0),
    ],
)
def test_fraction_that_thins_to_a_target(now, target, new, fraction):
    assert part_fraction(now, target, new) == pytest.approx(fraction)
    if 0 < fraction < 1:
        assert (1 - fraction) * now + fraction * new == pytest.approx(target)


@pytest.mark.parametrize("fraction", [0.0, 0.3, 0.5, 0.8])
def test_probability_of_a_cure_against_simulation(fraction):
    ailments = dict(zip(AILMENTS, (0.2, 0.3, 0.3, 0.2), strict=True))
    metals = {"iron": (2.4, 0.3), "zinc": (0.9, 0.1)}
    random = np.random.default_rng(3)
    count = 200_000
    which = random.choice(4, count, p=list(ailments.values()))
    even = random.random(count)
    needed = np.select([which == 2, which == 3], [0.2 + 0.3 * even, 0.5 + 0.5 * even], 0.0)
    cured = needed <= fraction
    for name, (value, spread) in metals.items():
        cured &= (1 - fraction) * random.normal(value, spread, count) <= CONTAMINANT_LIMITS[name]
    expected = probability_cured(fraction, ailments, metals)
    assert cured.mean() == pytest.approx(expected, abs=4 * math.sqrt(0.25 / count))


# Dull, from what is judged of complaints: 0.13 for some dirt and 0.07 for much, each against 0.50 for no liquid at all.
SOME, MUCH = 0.13 / 0.50, 0.07 / 0.50


@pytest.mark.parametrize(
    ("told", "some", "much"),
    [
        ({}, SOME, MUCH),
        ({"bath": {"age": "3 years"}}, SOME, MUCH),
        ({"bath": {"age": "37 months"}}, 1.5 * SOME, 1.5 * MUCH),  # dirt is likelier in an old bath
        ({"deposit": {"since": "sudden"}}, SOME / 1.5, MUCH / 1.5),
        ({"deposit": {"since": "gradual"}}, 1.5 * SOME, 1.5 * MUCH),
        ({"deposit": {"since": "always"}}, SOME, MUCH),
        ({"keep": {"carbon_treated": 1}}, SOME, MUCH),
        ({"keep": {"carbon_treated": 2}}, SOME, 4 * MUCH),
        ({"keep": {"fresh_jar": "dull"}}, SOME * 5 / 70, MUCH * 5 / 70),  # 5 % of the dirty baths, 70 % of the others
        ({"keep": {"fresh_jar": "good"}}, SOME * 95 / 30, MUCH * 95 / 30),
        ({"keep": {"mixed_jar": "good"}}, SOME * 85 / 10, MUCH * 10 / 10),
        ({"keep": {"mixed_jar": "dull"}}, SOME * 15 / 15, MUCH * 90 / 15),
        ({"keep": {"mixed_jar": "dull", "fresh_jar": "good"}}, SOME * 15 / 15, MUCH * 90 / 15),
    ],
)
def test_what_was_told_weighs_dirt_against_what_is_not_the_liquid(told, some, much):
    raw = {name: dict(table) for name, table in told.items()}
    raw["bath"] = {"volume": "5.6 L", **raw.get("bath", {})}
    raw["deposit"] = {"looks": ["dull"], **raw.get("deposit", {})}
    asked = read_sheet(raw)
    found = weigh(asked, asked.keep or Keep(), advise(asked))
    dirt = [found[name] / found["not the liquid"] for name in ("some dirt", "much dirt")]
    assert dirt == pytest.approx([some, much])


@pytest.mark.parametrize(
    ("deposit", "reading", "concentrations", "some"),
    [
        ({"looks": ["dull"]}, [], 0.30 * 0.75 / 0.50, SOME),  # a half for each that nobody measured: 1 - 1/4 outside
        ({}, [], 0.30 * 0.75 / 0.65, 0.03 / 0.65),
        ({}, [{"kind": "laboratory report", "sulfuric_acid": "5 ± 1 g/L"}], 0.30 / 0.65, 0.03 / 0.65),  # surely outside
    ],
)
def test_concentrations_weigh_as_surely_as_they_are_outside(deposit, reading, concentrations, some):
    raw = {"bath": {"volume": "5.6 L"}, "reading": reading} | ({"deposit": deposit} if deposit else {})
    asked = read_sheet(raw)
    found = weigh(asked, Keep(), advise(asked))
    weights = [found[name] / found["not the liquid"] for name in ("concentrations", "some dirt")]
    assert weights == pytest.approx([concentrations, some], rel=1e-4)
    assert sum(found.values()) == pytest.approx(1)


@pytest.mark.parametrize(
    ("copper", "state", "iron", "called_for"),
    [
        ("330 ± 4 g/L", PlanState.NOT_POSSIBLE, "0 g/L", 1 - 221.5 / 330),  # to the middle, by bath without copper
        ("330 ± 4 g/L", PlanState.POSSIBLE, "0 g/L", 0.0),  # a correction thins it
        ("221 ± 4 g/L", PlanState.NOT_POSSIBLE, "0 g/L", 0.0),
        (
            "330 ± 4 g/L",
            PlanState.NOT_POSSIBLE,
            "4 ± 0.01 g/L",
            0.501,
        ),  # the larger: half leaves the 2 g/L that may stay
        ("221 ± 4 g/L", PlanState.NONE_NEEDED, "50 ± 0.1 g/L", 0.95),  # of 0.96: more would be a remake
    ],
)
def test_a_fraction_is_called_for_by_copper_that_cannot_be_thinned_and_by_metals(copper, state, iron, called_for):
    asked = usual(copper, "52 ± 2 g/L", bath={"iron": iron})
    advice = advise(asked)
    found = replace(advice, plan=replace(advice.plan, state=state))
    assert fraction_called_for(asked, found) == pytest.approx(called_for, abs=5e-4)
