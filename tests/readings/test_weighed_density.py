"""Density by one bottle: air, temperature, how well it is known, and what it shares with the hydrometer."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.readings.model import State
from advisor.solution.density import density, water_density

BOTTLE = {"empty": "85.0 g", "with_water": "184.7 g", "with_bath": "201.0 g"}


def weigh(volume_mL, density_g_mL):
    """What a scale adjusted with weights of 8 g/mL shows: 85 g of bottle, the lift of air on content and on weights."""
    return 85.0 + volume_mL * (density_g_mL - 0.0012) / (1 - 0.0012 / 8.0)


def test_air_and_weights_cancel_as_they_should(read, shown, usual):
    with_water = weigh(100.0, float(water_density(23.0)))
    reading = read("weighed density", **BOTTLE | {"with_water": f"{with_water:.6f} g"}, temperature="23 degC")
    expected = weigh(100.0, float(density(200.0, 60.0, 0.3, 23.0)))
    assert shown(reading, usual) == pytest.approx(expected, abs=1e-5)
    # Without the air the bath would come out 0.2 mg/mL heavier, 0.02 g in this bottle.
    ratio = float(density(200.0, 60.0, 0.3, 23.0) / water_density(23.0))
    assert 85 + (with_water - 85) * ratio - expected == pytest.approx(-0.019, abs=0.002)


@pytest.mark.parametrize("temperature", [10.0, 20.0, 35.0])
def test_round_trip_with_a_known_acid(read, shown, find, usual, temperature):
    first = read("weighed density", **BOTTLE, temperature=f"{temperature} degC")
    reading = dataclasses.replace(first, with_bath=parse(f"{shown(first, usual):.6f} ± 0.04 g", "mass"))
    acid = read("previous check", sulfuric_acid="60 ± 1 g/L", since="evaporation only")
    found = find(reading, acid)
    spread = found.standard_uncertainty("copper_sulfate")
    assert found.value("copper_sulfate") == pytest.approx(200.0, abs=0.05 * spread)
    assert spread < 4.0


def test_bath_temperature_where_none_was_taken(read, shown, usual):
    own = shown(read("weighed density", **BOTTLE, temperature="31 degC"), usual)
    assert shown(read("weighed density", **BOTTLE), usual, temperature=31.0) == pytest.approx(own)
    assert shown(read("weighed density", **BOTTLE), usual, temperature=20.0) != pytest.approx(own, abs=0.05)


def test_a_0_1_g_scale_and_100_mL_give_a_thousandth(read, model):
    # One of a scale's two steps cancels as its own; a drop at the mark, a degree of temperature.
    found = model(read("weighed density", **BOTTLE))
    assert found.random[0] / 100 == pytest.approx(0.0011, abs=0.0001)


@pytest.mark.parametrize(
    ("with_bath", "step"), [("201 g", 1.0), ("201.0 g", 0.1), ("201,00 g", 0.01), ("0.2010 kg", 0.1)]
)
def test_decimals_tell_the_scale(read, model, with_bath, step):
    exact = {"empty": "85 ± 0.0002 g", "with_water": "184.7 ± 0.0002 g"}
    weighing = step / np.sqrt(3)
    rest = model(read("weighed density", **exact, with_bath="201 ± 0.0000002 g")).random[0]
    found = model(read("weighed density", **exact, with_bath=with_bath)).random[0]
    assert found == pytest.approx(np.hypot(rest, weighing), rel=1e-6)


def test_a_wide_neck_costs_a_large_bottle_as_much_of_its_content_as_a_drop_costs_a_small_one(read, model):
    """0.4 mm of a neck of 22 mm are 0.15 mL of 500: at both fillings, the bath's 1.163 times as heavy, 0.25 g."""
    masses = {"empty": "300.0000 g", "with_water": "798.5000 g", "with_bath": "880.0000 g"}
    assert model(read("weighed density", **masses)).random[0] == pytest.approx(0.25, abs=0.02)


def test_typed_uncertainty_wins(read, model):
    exact = {key: f"{value.split()[0]} ± 0.002 g" for key, value in BOTTLE.items()}
    assert model(read("weighed density", **exact)).random[0] < 0.6 * model(read("weighed density", **BOTTLE)).random[0]


def test_density_model_is_shared_with_the_hydrometer(read, model):
    salty = State(200.0, 60.0, 10.0)
    weighed = model(read("weighed density", **BOTTLE), salty).systematic
    floated = model(read("hydrometer", value="1.160", scale="g/mL"), salty).systematic
    assert set(weighed) == {"density model", "density of foreign salts"}
    for source, effect in weighed.items():
        assert effect[0] / 100 == pytest.approx(floated[source][0], rel=2e-3)
    weighed = model(read("weighed density", **BOTTLE)).systematic
    assert weighed["density model"][0] / 100 == pytest.approx(np.hypot(0.001, 0.0003), rel=1e-2)


def test_additives_do_not_matter_to_a_scale(read, model):
    with_some, without = (model(read("weighed density", **BOTTLE), additives=known) for known in (True, False))
    assert with_some.random[0] == without.random[0]


def test_slopes(read, model, slopes):
    # A gram of acid and a gram of crystals raise the density almost equally, by 0.59 mg/mL at 200/60 (computed), here
    # in 100 mL; the metals as in the hydrometer.
    slope = slopes(model(read("weighed density", **BOTTLE)))
    assert {name: round(value * 10, 3) for name, value in slope.items()} == {
        "copper_sulfate": pytest.approx(0.590, abs=0.002),
        "sulfuric_acid": pytest.approx(0.581, abs=0.002),
        "foreign_solids": pytest.approx(0.92, abs=0.06),
        "chloride": 0.0,
        "iron_three": 0.0,  # counted with all iron
        "iron": pytest.approx(2.6, abs=0.01),
        "sodium_sulfate": pytest.approx(0.84, abs=0.01),
        "zinc": pytest.approx(2.4, abs=0.01),
        "nickel": pytest.approx(2.6, abs=0.01),
    }


def test_stated_uncertainty_holds_in_simulated_weighings(read, model):
    rng = np.random.default_rng(2)
    noise = rng.standard_normal((6, 200_000))
    weighing = 0.1 / np.sqrt(3)
    temperature = 20 + noise[5] / np.sqrt(3)
    bottle = 99.8
    empty = 85.0 + weighing * noise[0]
    with_water = weigh(bottle + 0.05 / np.sqrt(3) * noise[1], water_density(temperature)) + weighing * noise[2]
    with_bath = (
        weigh(bottle + 0.05 / np.sqrt(3) * noise[3], density(200.0, 60.0, 0.0, temperature)) + weighing * noise[4]
    )
    air, water = 0.0012, float(water_density(20.0))
    expected = empty + (with_water - empty) / (water - air) * (float(density(200.0, 60.0)) - air)
    found = model(read("weighed density", **BOTTLE), State(200.0, 60.0))
    assert found.random[0] == pytest.approx(np.std(with_bath - expected), rel=0.03)


@pytest.mark.parametrize(
    ("changed", "names"),
    [
        ({"with_water": "85.0 g"}, "with_water"),
        ({"with_bath": "160.0 g"}, "with_bath"),
        ({"with_bath": "240.0 g"}, "with_bath"),
        ({"empty": "0 g"}, "empty"),
        ({"empty": "85 mL"}, "empty"),
        ({"temperature": "70 degC"}, "temperature"),
    ],
)
def test_refused(refusal, changed, names):
    assert refusal("weighed density", **BOTTLE | changed).place == f"reading 1: {names}"
