"""Copper thrown down by zinc: what it weighs, how surely it tells, and what would be dangerous to do."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import Fault, InputError
from advisor.basis.units import COVERAGE, parse
from advisor.bench.cards import bench_card
from advisor.bench.gear import kit_of
from advisor.bench.other_plans import plan_cementing, plan_plating_out
from advisor.readings.model import State
from advisor.sheet import Bath, Sheet
from tests.bench.some_baths import USUAL

KIND = "cemented copper"
FIELDS = {"sample": "10 ± 0.1 mL", "diluted_to": "250 mL", "before": "12.00 g", "after": "12.52 g"}


def test_it_weighs_the_copper_and_a_little_too_much(read, shown, model):
    # 63.546 in 249.68: 200 g/L in 10 mL hold 0.509 g, which weighs 1 to 4 % too much.
    assert shown(read(KIND, **FIELDS), State(200.0, 60.0)) == pytest.approx(0.5090 * 1.025, rel=1e-3)
    # Of the 0.52 g that were weighed, anything from 1 to 4 %.
    impure = model(read(KIND, **FIELDS)).systematic["oxide and zinc in the copper"][0]
    assert impure == pytest.approx(0.52 * 0.03 / np.sqrt(12), rel=1e-6)


def test_round_trip(read, shown, find):
    reading = read(KIND, **FIELDS)
    after = dataclasses.replace(reading.after, value=12.0 + shown(reading, State(200.0, 60.0)))
    found = find(dataclasses.replace(reading, after=after))
    assert found.value("copper_sulfate") == pytest.approx(200.0, abs=0.5)


def test_iron_and_acid_do_not_count(read, slopes, model):
    slope = slopes(model(read(KIND, **FIELDS)))
    assert [name for name, value in slope.items() if value] == ["copper_sulfate"]


def test_it_is_half_as_sure_as_plated_out(read, model):
    bench = kit_of(("10 mL class A pipette", "0.01 g scale"))
    thrown, plated = plan_cementing(USUAL, bench), plan_plating_out(USUAL, bench)
    assert 1.5 * plated.standard_uncertainty < thrown.standard_uncertainty < 8.0


@pytest.mark.slow
def test_simulated_sponges_are_as_sure_as_they_say(read, find):
    rng = np.random.default_rng(6)
    inside = []
    for _ in range(300):
        sample = 10 + 0.1 / COVERAGE * rng.standard_normal()
        copper = 200 * sample / 1000 * 0.25451 * (1 + rng.uniform(0.01, 0.04)) * (1 + 0.01 * rng.standard_normal())
        off = 0.01 / np.sqrt(3) * rng.standard_normal(2)
        found = find(read(KIND, **FIELDS | {"after": f"{12 + copper + off[0] + off[1]:.2f} g"}))
        inside.append(
            abs(found.value("copper_sulfate") - 200) < COVERAGE * found.standard_uncertainty("copper_sulfate")
        )
    assert 0.92 < np.mean(inside) < 0.98


def test_the_card_says_what_could_hurt_in_the_same_breath():
    card = bench_card(KIND, Sheet(Bath(volume=parse("5 L", "volume"))))
    said = " ".join(card.cautions)
    for words in ("hydrogen", "outdoors", "no flame", "never zinc dust", "never aluminium", "67 to 85 °C", "200 mL"):
        assert words in said
    assert any("Outdoors" in step for step in card.steps)


def test_little_bath_in_much_water_stays_cool():
    # Zn + Cu2+ gives off 219 kJ/mol, Zn + 2 H+ 153 kJ/mol (from memory); 200 mL of water take 0.84 kJ a degree.
    copper, acid = 450 * 0.010 / 249.68, 75 * 0.010 / 98.07
    assert (219 * copper + 153 * acid) / 0.84 < 7


def test_at_most_450_g_L(read):
    # Of 450 g/L 10 mL hold 1.1453 g, which weighs 1.174 g.
    assert read(KIND, **FIELDS | {"after": "13.17 g"})
    with pytest.raises(InputError, match="which means 452 g/L"):
        read(KIND, **FIELDS | {"after": "13.18 g"})


@pytest.mark.parametrize(
    ("changed", "names", "fault"),
    [
        ({"sample": "20 mL"}, "sample", Fault.OUT_OF_LIMITS),
        ({"diluted_to": "100 mL"}, "diluted_to", Fault.OUT_OF_LIMITS),
        ({"after": "12.00 g"}, "after", Fault.NOT_USABLE),
        ({"after": "15 g"}, "after", Fault.NOT_USABLE),
        ({"sample": "10 mL", "sample_with": "cup of tea"}, "sample_with", Fault.NOT_USABLE),
    ],
)
def test_refused(refusal, changed, names, fault):
    refused = refusal(KIND, **FIELDS | changed)
    assert refused.place == f"reading 1: {names}"
    assert refused.fault is fault
