"""A conductivity pen in a thinned bath: what it tells, what cancels, how surely, and what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import Fault, InputError
from advisor.basis.units import parse
from advisor.readings.model import State
from tests.readings.conftest import HERE
from tests.solution.some_phreeqc import thinned as by_phreeqc

KIND = "thinned conductivity"
PEN = {
    "value": "1150 uS/cm",
    "sample": "1 ± 0.02 mL",
    "thinned_to": "500 ± 4 mL",
    "temperature": "22 degC",
    "water": "3 uS/cm",
}
SURE = {
    "value": "1150 ± 0.5 uS/cm",
    "sample": "1 ± 0.0001 mL",
    "thinned_to": "500 ± 0.01 mL",
    "temperature": "22 ± 0.01 degC",
}
REFERENCE = ["200 g/L", "60 g/L", "1143 uS/cm"]


@pytest.fixture
def pen(read):
    return lambda **changed: read(KIND, **{key: value for key, value in (PEN | changed).items() if value is not None})


@pytest.fixture
def showing(shown):
    """The reading with what it would show for a bath as its value."""

    def make(reading, state):
        value = f"{shown(reading, state):.6g} {reading.value.unit}"
        return dataclasses.replace(reading, value=parse(value, "pen reading"))

    return make


@pytest.mark.parametrize("times", [(1, 200), (1, 500), (1, 1000)])
def test_it_shows_what_phreeqc_says(pen, shown, times):
    sample, jug = times
    reading = pen(sample=f"{sample} mL", thinned_to=f"{jug} mL", temperature="25 degC", water="0 uS/cm")
    assert shown(reading, State(200.0, 60.0)) == pytest.approx(by_phreeqc(200.0, 60.0, jug / sample)[0], rel=0.02)


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"sample": "20 mL", "predilution": ["10 mL", "250 mL"], "thinned_to": "250 mL"},
        {"value": "560 ppm", "factor": 0.5},
        {"compensation": "none", "temperature": "17 degC"},
        {"compensation": "natural water", "temperature": "29 degC"},
        {"standard": ["1413 uS/cm", "1300 uS/cm"]},
        {"reference": ["215 g/L", "50 g/L", "900 uS/cm"]},
        {"value": "0.7 mS/cm", "water": "9 uS/cm"},
    ],
)
def test_round_trip_with_a_hydrometer(pen, read, showing, shown, find, how):
    bath = State(210.0, 52.0, 0.3)
    floated = read("hydrometer", value="1.1", scale="g/mL")
    floated = dataclasses.replace(floated, value=parse_scale(shown(floated, bath)))
    found = find(showing(pen(**how), bath), floated)
    for name, true in (("copper_sulfate", 210.0), ("sulfuric_acid", 52.0)):
        assert found.value(name) == pytest.approx(true, abs=0.1 * found.standard_uncertainty(name))


def parse_scale(value):
    from advisor.readings.hydrometer import ScaleValue

    return ScaleValue(label="").read(f"{value:.6f}", "")


def test_two_steps_thin_as_one(pen):
    assert pen(sample="20 mL", predilution=["10 mL", "250 mL"], thinned_to="250 mL").times == pytest.approx(312.5)


def test_acid_shows_ten_times_as_much_as_copper_and_salts_count(pen, model, slopes):
    slope = slopes(model(pen(sample="1 mL", thinned_to="500 mL")))
    here = 1143.0
    assert slope["sulfuric_acid"] / here == pytest.approx(0.0118, abs=0.0005)  # bench figure 0.0112 at 1 : 500
    assert slope["copper_sulfate"] / here == pytest.approx(0.00095, abs=0.0001)
    assert slope["sodium_sulfate"] / here == pytest.approx(0.002, abs=0.0003)
    assert slope["iron"] / here == pytest.approx(0.004, abs=0.0006)
    assert slope["zinc"] / here == pytest.approx(0.0034, abs=0.0006)
    assert slope["chloride"] == 0.0


def test_a_pen_s_scale_drops_out_with_its_standard(pen, shown):
    low = shown(pen(standard=["1413 uS/cm", "1271.7 uS/cm"]), State(200.0, 60.0))
    assert low == pytest.approx(0.9 * shown(pen(), State(200.0, 60.0)))
    ppm = shown(pen(value="560 ppm", factor=0.5, standard=["1413 uS/cm", "706.5 ppm"]), State(200.0, 60.0))
    assert ppm == pytest.approx(0.5 * shown(pen(), State(200.0, 60.0)))


@pytest.mark.parametrize(
    ("how", "percent"),
    [
        ({}, {"conductivity pen": 2.0}),
        ({"standard": ["1413 uS/cm", "1413 uS/cm"]}, {"conductivity pen": 0.7}),
        # ± 4 and ± 3 % typed, half of each standard, beside what any standard leaves open.
        ({"standard": ["1000 ± 39.2 uS/cm", "1000 ± 29.4 uS/cm"]}, {"conductivity pen": np.hypot(2.5, 0.7)}),
        ({"value": "575 ppm", "factor": 0.5}, {"conductivity pen": 2.0, "factor of the pen": 2.0}),
        # What turns the pen's ppm to what is known takes its factor along.
        ({"value": "575 ppm", "factor": 0.5, "standard": ["1413 uS/cm", "706 ppm"]}, {"conductivity pen": 0.7}),
    ],
)
def test_a_known_solution_makes_the_pen_surer_and_spares_it_its_factor(pen, model, how, percent):
    found = model(pen(**how))
    here = float(found.predict(State(200.0, 60.0, 0.3))[0])
    off = {source: 100 * float(effect[0]) / here for source, effect in found.systematic.items() if "pen" in source}
    assert off == pytest.approx(percent, rel=0.01)


def test_a_reference_makes_pen_model_water_and_warmth_drop_out(pen, model):
    alone, beside = model(pen()), model(pen(reference=REFERENCE))
    assert {"conductivity model", "conductivity pen"} <= set(alone.systematic)
    assert not {"conductivity model", "conductivity pen"} & set(beside.systematic)
    assert abs(beside.systematic["thinning water"][0]) < 0.1 * abs(alone.systematic["thinning water"][0])
    unread = model(pen(reference=REFERENCE, temperature=None))
    assert unread.random[0] < 1.2 * beside.random[0]


def test_each_step_counts_by_its_share_and_a_jug_used_twice_counts_twice(pen, model, shown):
    steps = {"sample": "20 mL", "predilution": ["10 mL", "250 mL"], "thinned_to": "250 mL"}
    found = model(pen(**steps, predilution_with="10 mL syringe", sample_with="20 mL syringe")).systematic
    # Syringes of 10 and 20 mL are good to 0.4 and 0.8 mL, of which a fifth of their 0.5 and 1 mL divisions is new each
    # time; the cylinder of 250 mL to 2 mL, with divisions of 2 mL.
    percent = shown(pen(**steps | {"sample": "20.2 mL"})) - shown(pen(**steps))
    syringe, cylinder = 10 * np.sqrt(0.4**2 / 3 - 0.1**2), np.sqrt(2**2 / 3 - 0.4**2) / 2.5  # %
    for source, off in (
        ("10 mL syringe", 1),
        ("20 mL syringe", 1),
        ("250 mL graduated cylinder", -2 * cylinder / syringe),
    ):
        assert found[f"tool {source}"][0] == pytest.approx(off * syringe * percent, rel=2e-3)


def test_same_tools_drop_out_with_a_reference_and_what_is_new_each_time_counts_twice(pen, model):
    alike = pen(sample="1 mL", sample_with="1 mL syringe", thinned_to="500 mL")
    alone, beside = model(alike), model(dataclasses.replace(alike, reference=pen(reference=REFERENCE).reference))
    assert [source for source in alone.systematic if "mL" in source] == [
        "tool 1 mL syringe",
        "tool 500 mL graduated cylinder",
    ]
    assert not [source for source in beside.systematic if source.startswith("tool")]
    (once, _), (twice, _) = (alike.thinning_errors(1000.0, alike=both) for both in (False, True))
    assert twice == pytest.approx(once * np.sqrt(2))
    assert once == pytest.approx(np.hypot(0.004 / 1.0, 1.0 / 500) * 1000)  # a fifth of divisions of 0.02 and 5 mL


def test_thermometer_and_water_leave_open_what_they_would_change(pen, model, shown):
    bare = {"compensation": "none"}
    degree = shown(pen(temperature="22.5 degC", **bare)) - shown(pen(temperature="21.5 degC", **bare))
    unsure, sure = (model(pen(temperature=f"22 ± {off} degC", **bare)).random[0] for off in (1.96, 0.01))
    assert unsure == pytest.approx(np.hypot(sure, degree), rel=1e-3)
    # Of what the water shows, 30 % may be other salts than the model has.
    more = shown(pen(water="3.9 uS/cm")) - shown(pen(water="3 uS/cm"))
    assert model(pen()).systematic["thinning water"][0] == pytest.approx(more, rel=1e-3)


def test_a_reference_like_the_bath_gives_back_its_own_acid(pen, read, find):
    found = find(
        pen(value="1143 uS/cm", reference=REFERENCE),
        read("previous check", copper_sulfate="200 ± 1 g/L", since="evaporation only"),
    )
    assert found.value("sulfuric_acid") == pytest.approx(60.0, abs=0.2)
    assert found.standard_uncertainty("sulfuric_acid") == pytest.approx(1.55, abs=0.1)


def test_how_surely_pen_and_hydrometer_tell_both(pen, read, find):
    floated = read("hydrometer", value="1.160", scale="SG 20/20", temperature="20 degC")
    alone = find(pen(value="1143 uS/cm"), floated, additives=False)
    alike = {"sample": "1 mL", "sample_with": "1 mL syringe", "thinned_to": "500 mL"}
    beside = find(pen(value="1143 uS/cm", reference=REFERENCE, **alike), floated, additives=False)
    twice = pen(value="1143 ± 16 uS/cm", reference=[*REFERENCE[:2], "1143 ± 16 uS/cm"], **alike)
    # Figures to hold, standard: copper 5 and acid 3 g/L; with a reference 3 and 1.5, with each read twice.
    assert alone.standard_uncertainty("copper_sulfate") < 5.0
    assert alone.standard_uncertainty("sulfuric_acid") < 3.0
    assert beside.standard_uncertainty("copper_sulfate") < 3.0
    assert beside.standard_uncertainty("sulfuric_acid") < 1.7
    best = find(twice, floated, additives=False)
    assert best.standard_uncertainty("copper_sulfate") < 3.0
    assert best.standard_uncertainty("sulfuric_acid") < 1.5


def test_a_reference_far_from_the_bath_cancels_less_of_the_model(pen):
    """What PHREEQC and the model part by is within two standard uncertainties, and no reason for larger ones."""
    beside = pen(reference=["215 g/L", "55 g/L", "1110 uS/cm"], temperature="25 degC")
    at = ((200.0, 60.0), (140.0, 15.0), (290.0, 15.0), (200.0, 110.0), (290.0, 110.0))
    stated = np.array([by_model(beside, State(*bath)) for bath in at])
    found = np.array([over_phreeqc(beside, *bath) for bath in at]) / over_phreeqc(beside, 215.0, 55.0) - 1
    assert np.all(np.abs(found) < 2.3 * stated)
    assert np.all(np.abs(found) > 0.5 * stated)
    assert by_model(beside, State(215.0, 55.0)) == pytest.approx(0.004)


def over_phreeqc(reading, copper, acid):
    """Return what a sound pen shows by the model over what it shows by PHREEQC at 25 °C."""
    by_itself = dataclasses.replace(reading, reference=None)
    shown = by_itself.model(HERE, State(copper, acid)).predict(State(copper, acid))[0]
    return shown / by_phreeqc(copper, acid, reading.times, 3 / 94_600)[0]


def by_model(reading, state):
    """Return what the conductivity model leaves open beside a reference, relative."""
    found = reading.model(HERE, state)
    return found.systematic["conductivity model, beside a reference"][0] / found.predict(state)[0]


def test_without_a_temperature_it_is_taken_at_25_and_trusted_less(pen, model, warnings_of):
    missing = model(pen(temperature=None))
    assert missing.random[0] ** 2 - model(pen()).random[0] ** 2 == pytest.approx((0.03 * 1143) ** 2, rel=0.1)
    assert "taken as 25 °C" in warnings_of(pen(temperature=None))


def test_warnings(pen, warnings_of):
    assert "eat a noticeable share" in warnings_of(pen(water="12 uS/cm"))
    assert "not said" in warnings_of(pen(water=None))
    assert "thin more" in warnings_of(pen(sample="5 mL", value="5 mS/cm"))
    assert "thin less" in warnings_of(pen(value="200 uS/cm"))
    assert "reference" in warnings_of(pen())
    assert warnings_of(pen(reference=REFERENCE)) == ""


@pytest.mark.slow
def test_stated_uncertainty_holds_in_simulated_thinnings(pen, model, shown):
    """Sample, jug, pen, thermometer and water varied as the model says: the spread is what is stated."""
    rng = np.random.default_rng(4)
    found = model(pen())
    truth = shown(pen())
    seen = []
    for _ in range(300):
        off = rng.standard_normal(6)
        one = pen(
            sample=f"{1 + 0.02 / 1.96 * off[0]} mL",
            thinned_to=f"{500 + 4 / 1.96 * off[1]} mL",
            temperature=f"{22 + off[2] / np.sqrt(3)} degC",
            water=f"{3 + 0.9 * off[3]} uS/cm",
        )
        seen.append(shown(one) * (1 + 0.01 * off[4]))
    water = found.systematic["thinning water"][0]
    assert np.std(seen) == pytest.approx(np.hypot(found.random[0], water), rel=0.15)
    assert np.mean(seen) == pytest.approx(truth, rel=0.003)


@pytest.mark.parametrize(
    ("changed", "names", "fault"),
    [
        ({"value": None}, "value", Fault.MISSING),
        ({"value": "560 ppm"}, "factor", Fault.MISSING),
        ({"factor": 0.5}, "factor", Fault.CONFLICT),
        ({"value": "560 ppm", "factor": 0.55}, "factor", Fault.NOT_READABLE),
        ({"value": "560 ppm", "factor": 0.5, "reference": REFERENCE}, "reference", Fault.CONFLICT),
        ({"value": "1150 mg/L"}, "value", Fault.NOT_READABLE),
        ({"value": "30 mS/cm"}, "value", Fault.OUT_OF_LIMITS),
        ({"value": "15 mS/cm"}, "value", Fault.NOT_USABLE),
        ({"thinned_to": "0.5 mL"}, "thinned_to", Fault.NOT_USABLE),
        ({"thinned_to": "10 mL"}, "thinned_to", Fault.NOT_USABLE),
        ({"predilution": ["10 mL", "5 mL"]}, "predilution", Fault.CONFLICT),
        ({"water": "60 uS/cm"}, "water", Fault.OUT_OF_LIMITS),
        ({"standard": ["1413 uS/cm", "700 uS/cm"]}, "standard", Fault.NOT_USABLE),
        ({"standard": ["1413 uS/cm", "1900 uS/cm"]}, "standard", Fault.NOT_USABLE),
        ({"standard": ["1413 ppm", "1400 uS/cm"]}, "standard", Fault.NOT_USABLE),
        ({"standard": "1413 uS/cm"}, "standard", Fault.NOT_READABLE),
        ({"reference": ["200 g/L", "60 g/L"]}, "reference", Fault.NOT_READABLE),
        ({"sample": "1 mL", "sample_with": "spoon"}, "sample_with", Fault.NOT_USABLE),
        ({"predilution_with": "10 mL syringe"}, "predilution_with", Fault.NOT_USABLE),
        ({"compensation": "automatic"}, "compensation", Fault.NOT_READABLE),
    ],
)
def test_refused(pen, changed, names, fault):
    with pytest.raises(InputError) as refused:
        pen(**changed)
    assert refused.value.place == f"reading 1: {names}"
    assert refused.value.fault is fault
