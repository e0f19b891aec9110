"""A pH pen in a thinned bath: what it tells, what buffers and a reference take out, and what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import Fault, InputError
from advisor.readings.model import State
from tests.solution.some_phreeqc import thinned as by_phreeqc

KIND = "thinned pH"
PEN = {"value": 2.72, "sample": "1 ± 0.02 mL", "thinned_to": "500 ± 4 mL", "temperature": "22 degC", "water": "3 uS/cm"}
BUFFERS = {"buffer": [4.0, 4.0], "second_buffer": [7.0, 7.0]}
KNOWN_COPPER = {"copper_sulfate": "200 ± 1 g/L", "since": "evaporation only"}


@pytest.fixture
def pen(read):
    return lambda **changed: read(KIND, **{key: value for key, value in (PEN | changed).items() if value is not None})


@pytest.mark.parametrize("times", [200, 500, 1000])
def test_it_shows_what_phreeqc_says(pen, shown, times):
    reading = pen(sample="1 mL", thinned_to=f"{times} mL", temperature="25 degC", water="0 uS/cm", **BUFFERS)
    assert shown(reading, State(200.0, 60.0)) == pytest.approx(by_phreeqc(200.0, 60.0, times)[1], abs=0.03)


@pytest.mark.parametrize(
    "how", [{}, BUFFERS, {"buffer": [4.0, 4.3]}, {"reference": ["215 g/L", "50 g/L", 2.9]}, {"temperature": None}]
)
def test_round_trip_with_the_copper_known(pen, read, shown, find, how):
    reading = pen(**how)
    value = dataclasses.replace(reading.value, value=shown(reading, State(200.0, 60.0, 0.3)))
    found = find(dataclasses.replace(reading, value=value), read("previous check", **KNOWN_COPPER))
    spread = found.standard_uncertainty("sulfuric_acid")
    assert found.value("sulfuric_acid") == pytest.approx(60.0, abs=0.1 * spread)


def test_buffers_take_out_offset_and_slope(pen, shown):
    bath = State(200.0, 60.0)
    true = shown(pen(**BUFFERS), bath)
    # A pen of 95 % slope that shows 4.10 in pH 4.
    bad = pen(buffer=[4.0, 4.10], second_buffer=[7.0, 4.10 + 0.95 * 3])
    assert shown(bad, bath) == pytest.approx(4.10 + 0.95 * (true - 4.0), abs=1e-9)


def test_three_hundredths_are_four_grams_of_acid(pen, slopes, model):
    # The figure of the bench: 0.03 pH at 1 : 500 is 4.2 g/L of acid in 60.
    slope = slopes(model(pen(**BUFFERS)))["sulfuric_acid"]
    assert 0.03 / -slope == pytest.approx(4.2, abs=0.2)


def test_the_more_is_checked_the_more_it_tells(pen, read, find):
    found = [
        find(pen(**how), read("previous check", **KNOWN_COPPER)).standard_uncertainty("sulfuric_acid")
        for how in ({}, {"buffer": [4.0, 4.0]}, BUFFERS)
    ]
    assert found == sorted(found, reverse=True)
    assert found[0] > 14
    assert found[2] < 6


def test_a_reference_makes_the_pen_drop_out(pen, model):
    found = model(pen(reference=["200 g/L", "60 g/L", 2.72]))
    assert not {"pH pen", "pH model"} & set(found.systematic)
    assert abs(found.systematic["slope of the pH pen"][0]) < 0.001
    assert abs(found.systematic["thinning water"][0]) < 1e-4


def test_same_tools_drop_out_with_a_reference(pen, model, shown):
    alike = {"sample": "1 mL", "sample_with": "1 mL syringe", **BUFFERS}
    alone, beside = model(pen(**alike)), model(pen(**alike, reference=["200 g/L", "60 g/L", 2.72]))
    # A syringe of 1 mL is good to 0.05 mL, of which a fifth of its division of 0.02 mL is new each time.
    more = shown(pen(**alike | {"sample": "1.05 mL"})) - shown(pen(**alike))
    assert alone.systematic["tool 1 mL syringe"][0] == pytest.approx(more * np.sqrt(1 / 3 - 0.08**2), rel=0.03)
    assert not [source for source in beside.systematic if source.startswith("tool")]


def test_slope_water_and_a_weighed_bath_leave_open_what_they_would_change(pen, model, shown):
    bath = State(200.0, 60.0, 0.3)
    far = shown(pen(**BUFFERS), bath) - 4.0  # pH from the buffer
    for how, spread in (({"buffer": [4.0, 4.0]}, 0.025 / 0.975), (BUFFERS, 0.01)):
        here = shown(pen(**how), bath) - 4.0
        assert model(pen(**how)).systematic["slope of the pH pen"][0] == pytest.approx(spread * here, rel=0.03)
    assert far == pytest.approx(-1.29, abs=0.01)
    # Of what the water shows, 30 % may be other salts than the model has.
    more = shown(pen(water="3.9 uS/cm"), bath) - shown(pen(), bath)
    assert model(pen()).systematic["thinning water"][0] == pytest.approx(more, rel=1e-3)
    # Without a temperature it is taken at 25 °C, give or take 0.01 pH.
    unsaid, said = (model(pen(temperature=degrees, **BUFFERS)).random[0] for degrees in (None, "25 ± 0.01 degC"))
    assert unsaid == pytest.approx(np.hypot(said, 0.01), rel=2e-3)
    # Weighed acid is good to 1.2 %: more of it in the reference than is thought, and the pen's pH counts for less acid.
    weighed = model(pen(reference=["200 g/L", "60 g/L", 2.72])).systematic
    stronger = shown(pen(**BUFFERS), State(200.0, 60.72)) - shown(pen(**BUFFERS), State(200.0, 60.0))
    assert weighed["sulfuric_acid of the reference, pH 2.72"][0] == pytest.approx(-stronger, rel=0.01)


def test_a_jug_with_too_much_bath_in_it_is_a_stronger_bath_to_either_pen(pen, read, slopes, model):
    """± 0.0196 mL is 0.01 mL, 1 % more of all: 2 g/L of copper sulfate and 0.6 g/L of acid, to either pen alike."""
    jug = {"sample": "1 ± 0.0196 mL", "thinned_to": "500 ± 0.01 mL", "sample_label": "A", "water": "0 uS/cm"}
    for reading in (pen(**jug, **BUFFERS), read("thinned conductivity", value="1150 uS/cm", **jug)):
        found = model(reading)
        stronger = 2.0 * slopes(found)["copper_sulfate"] + 0.6 * slopes(found)["sulfuric_acid"]
        assert float(found.systematic["sample A"][0]) == pytest.approx(stronger, rel=0.02)


def test_limits_are_those_of_the_strongest_bath_and_hold_either_way(pen):
    # 400 g/L thinned 500 times: 8.2 mmol/L and so pH 1.94; a pen may be 0.5 off.
    assert pen(value=1.5)
    with pytest.raises(InputError, match=r"no bath is below pH 1\.9"):
        pen(value=1.4)
    assert pen(buffer=[7.0, 7.0], second_buffer=[4.0, 4.1])
    assert pen(buffer=[4.0, 4.0], second_buffer=[5.1, 5.1])
    assert pen(buffer=[4.0, 3.1])


def test_decimals_tell_how_fine_the_pen_shows_it(pen, model):
    fine, coarse, typed = (model(pen(value=value, **BUFFERS)).random[0] for value in ("2.72", 2.7, "2.72 ± 0.01"))
    assert coarse == pytest.approx(np.hypot(0.05, np.sqrt(fine**2 - 0.03**2)), rel=0.01)
    assert typed < fine


def test_warnings(pen, warnings_of):
    assert "half of the acid" in warnings_of(pen())
    assert "conductivity pen tells more" in warnings_of(pen(**BUFFERS))
    assert "between pH 2.3 and 3.5: thin more" in warnings_of(pen(value=1.9, sample="10 mL", thinned_to="500 mL"))
    assert "thin less" in warnings_of(pen(value=3.8))
    assert warnings_of(pen(reference=["200 g/L", "60 g/L", 2.72])) == ""


@pytest.mark.parametrize(
    ("changed", "names", "fault"),
    [
        ({"value": None}, "value", Fault.MISSING),
        ({"value": 7.1}, "value", Fault.NOT_USABLE),
        ({"value": "acid"}, "value", Fault.NOT_USABLE),
        ({"value": True}, "value", Fault.NOT_USABLE),
        ({"value": 1.0}, "value", Fault.NOT_USABLE),
        ({"buffer": [4.0]}, "buffer", Fault.NOT_READABLE),
        ({"buffer": [4.0, 5.1]}, "buffer", Fault.NOT_USABLE),
        ({"buffer": [4.0, 2.9]}, "buffer", Fault.NOT_USABLE),
        ({"second_buffer": [7.0, 7.0]}, "buffer", Fault.MISSING),
        ({"buffer": [4.0, 4.0], "second_buffer": [4.5, 4.5]}, "second_buffer", Fault.NOT_USABLE),
        ({"buffer": [4.0, 4.0], "second_buffer": [7.0, 5.5]}, "second_buffer", Fault.NOT_USABLE),
        ({"thinned_to": "10 mL"}, "thinned_to", Fault.NOT_USABLE),
    ],
)
def test_refused(pen, changed, names, fault):
    with pytest.raises(InputError) as refused:
        pen(**changed)
    assert refused.value.place == f"reading 1: {names}"
    assert refused.value.fault is fault
