"""Hydrometer readings: every scale tells the same bath; calibration, temperature and additives; what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.readings.hydrometer import ScaleValue
from advisor.readings.model import State
from advisor.solution.density import water_density
from advisor.solution.hydrometer import SCALES, reading_from_density

SG = {"value": "1.160", "scale": "g/mL"}


def typed(text):
    return ScaleValue(label="Reading").read(text, "value")


def float_in(read, shown, state, **fields):
    """The reading that a bath of this state gives."""
    usual_value = {"Baume": "20", "Twaddell": "32"}.get(fields.get("scale", ""), "1.16")
    first = read("hydrometer", **SG | {"value": usual_value} | fields)
    return dataclasses.replace(first, value=typed(f"{shown(first, state):.8f}"))


@pytest.mark.parametrize("scale", SCALES)
def test_all_scales_tell_the_same_bath(read, shown, find, usual, scale):
    reading = float_in(read, shown, usual, scale=scale)
    acid = read("previous check", sulfuric_acid="60 ± 1 g/L", since="evaporation only")
    found = find(reading, acid)
    assert found.value("copper_sulfate") == pytest.approx(200.0, abs=0.1)
    # The instrument's division, the meniscus, the thermometer, the model and the tension come to 1.8 mg/mL, a gram a
    # litre to 0.590; the same on all scales.
    assert found.standard_uncertainty("copper_sulfate") == pytest.approx(3.09, abs=0.1)


def test_density_of_the_usual_bath(read, shown):
    # 200/60 at 20 degC is 1.1582 g/mL (computed from the handbook's rows for each alone), on the scale SG 20/20 that
    # over 0.99821.
    assert shown(read("hydrometer", **SG), State(200.0, 60.0)) == pytest.approx(1.1582, abs=1e-4)
    twenty = read("hydrometer", value="1.162", scale="SG 20/20")
    assert shown(twenty, State(200.0, 60.0)) == pytest.approx(1.1582 / 0.99821, abs=1e-4)


@pytest.mark.parametrize(("temperature", "correction"), [(10, -0.0035), (15, -0.0019), (30, 0.0043), (40, 0.0093)])
def test_temperature_in_the_jar(read, shown, usual, temperature, correction):
    # To be added to a reading to have it at 20 degC, glass included (computed for 200/60).
    at_20, here = (shown(read("hydrometer", **SG, temperature=f"{t} degC"), usual) for t in (20, temperature))
    assert at_20 - here == pytest.approx(correction, abs=1e-4)


def test_bath_temperature_where_none_was_taken(read, shown, usual):
    own = shown(read("hydrometer", **SG, temperature="33 degC"), usual)
    assert shown(read("hydrometer", **SG), usual, temperature=33.0) == pytest.approx(own)


@pytest.mark.parametrize("scale", ["g/mL", "SG 20/20", "Baume"])
def test_calibration_takes_off_what_the_instrument_reads_in_water(read, shown, usual, scale):
    value = {"Baume": "20"}.get(scale, "1.16")
    fields = {"value": value, "scale": scale, "temperature": "25 degC"}
    true = float(reading_from_density(water_density(25.0), scale, 25.0))
    plain = shown(read("hydrometer", **fields), usual)
    calibrated = read("hydrometer", **fields, calibration=f"{true + 0.004:.6f}")
    assert shown(calibrated, usual) == pytest.approx(plain + 0.004, abs=1e-5)


def test_calibration_leaves_only_the_reading_of_the_instrument(read, model):
    plain = model(read("hydrometer", **SG))
    calibrated = model(read("hydrometer", **SG, calibration="0.998"))
    assert plain.systematic["hydrometer"][0] == pytest.approx(0.001 / np.sqrt(3), rel=1e-3)
    assert calibrated.systematic["hydrometer"][0] == pytest.approx(0.0005, rel=1e-3)


@pytest.mark.parametrize(
    ("additives", "high", "spread"), [(True, 0.002, 0.0015), (None, 0, 0.0012), (False, 0, 0.0003)]
)
def test_additives_let_the_glass_float_high(read, model, usual, additives, high, spread):
    """They can only lower the surface tension: 30 mN/m less reads 0.0025 to 0.0044 high, none less reads true."""
    found = model(read("hydrometer", **SG | {"scale": "g/mL"}), additives=additives)
    clean = model(read("hydrometer", **SG | {"scale": "g/mL"}), additives=False)
    assert found.predict(usual)[0] - clean.predict(usual)[0] == pytest.approx(high, rel=1e-3, abs=1e-9)
    assert found.systematic["surface tension"][0] == pytest.approx(spread, rel=1e-3)


def test_typed_uncertainty_replaces_reading_the_meniscus(read, model):
    plain, rough = (model(read("hydrometer", **SG | {"value": v})).random[0] for v in ("1.160", "1.160 ± 0.005"))
    assert rough**2 - plain**2 == pytest.approx((0.005 / 1.96) ** 2 - 0.0005**2, rel=1e-3)


@pytest.mark.parametrize(("scale", "value", "times"), [("g/mL", "1.16", 1), ("Twaddell", "31", 200)])
def test_a_thermometer_may_be_a_degree_off(read, model, scale, value, times):
    # Between 30 and 40 degC a degree is 0.50 mg/mL (above), and 0.03 more without the glass, which grows by 25e-6 of its
    # volume; the thermometer is anywhere within a degree.
    found = model(read("hydrometer", value=value, scale=scale, temperature="35 degC")).random[0]
    assert found / times == pytest.approx(np.hypot(0.0005, 0.00053 / np.sqrt(3)), rel=0.005)


def test_slopes(read, model, slopes):
    # 0.59 mg/mL a gram a litre of acid or crystals; metals as sulfates (iron(III) 2.6, computed with PHREEQC).
    slope = slopes(model(read("hydrometer", **SG)))
    assert slope["copper_sulfate"] == pytest.approx(0.590e-3, rel=3e-3)
    assert slope["sulfuric_acid"] == pytest.approx(0.581e-3, rel=3e-3)
    assert slope["iron"] == pytest.approx(2.6e-3, rel=1e-2)
    assert slope["zinc"] == pytest.approx(2.4e-3, rel=1e-2)
    assert slope["chloride"] == 0.0


def test_a_second_hydrometer_reading_adds_little(read, shown, find, usual):
    reading = float_in(read, shown, usual)
    acid = read("previous check", sulfuric_acid="60 ± 1 g/L", since="evaporation only")
    once, often = (find(*[reading] * count, acid).standard_uncertainty("copper_sulfate") for count in (1, 9))
    assert 0.85 * once < often < once


@pytest.mark.parametrize(
    ("changed", "names"),
    [
        ({"value": 1.16}, "value"),
        ({"value": "1.16 g/mL"}, "value"),
        ({"value": "1.16 ± 0"}, "value"),
        ({"value": "1.16 ± 1e300"}, "value"),
        ({"value": "1.16 ± 0.1 ± 0.1"}, "value"),
        ({"value": "11.6"}, "value"),
        ({"value": "20", "scale": "SG 20/20"}, "value"),
        ({"value": "1.16", "scale": "Twaddell", "calibration": "40"}, "calibration"),
        ({"calibration": "1.05"}, "calibration"),
        ({"calibration": "0.975"}, "calibration"),
        ({"scale": "Brix"}, "scale"),
        ({"temperature": "61 degC"}, "temperature"),
    ],
)
def test_refused(refusal, changed, names):
    assert refusal("hydrometer", **SG | changed).place == f"reading 1: {names}"


def test_message_tells_what_the_scale_accepts(read):
    with pytest.raises(InputError, match=r"on the scale Baume it must be -\d.* to 48.*"):
        read("hydrometer", value="70", scale="Baume")


@pytest.mark.parametrize(("typed", "meant"), [("1165", "1.165"), ("11,65", "1.165"), ("116.5", "1.165")])
def test_a_point_that_was_left_out_is_asked_back(read, typed, meant):
    with pytest.raises(InputError, match=rf"\(did you mean {meant}\?\)"):
        read("hydrometer", value=typed, scale="SG 20/20")
    with pytest.raises(InputError, match=r"to \d\.\d+$"):
        read("hydrometer", value="0.5", scale="SG 20/20")


def test_a_comma_is_a_decimal_comma_here():
    # "1,160" may elsewhere be a thousand and more; no hydrometer scale goes there.
    assert typed("1,160").value == 1.16
    assert typed("1,160 +/- 0,001").standard_uncertainty == 0.001 / 1.96


def test_a_range_of_a_scale_is_its_middle():
    assert typed("1,160-1,164") == typed("1.162 ± 0.002")
    with pytest.raises(InputError):
        typed("1.160-1,150")


def test_scale_value_is_written_as_it_was_typed():
    assert ScaleValue(label="Reading").write(typed("1,160 ± 0.001")) == "1,160 ± 0.001"


@pytest.mark.parametrize(
    ("said", "meant"), [("about 1.17", "1.17 ± 0.012"), ("about 1.1600", "1.1600 ± 0.012"), ("17 or so", "17 ± 0.17")]
)
def test_a_rough_reading_leaves_a_hundredth_of_it_open(said, meant):
    assert typed(said).text == meant
    assert (typed(said).value, typed(said).standard_uncertainty) == pytest.approx(
        (typed(meant).value, typed(meant).standard_uncertainty), rel=0.04
    )
