"""How a sample is thinned for a pen: within its best range, in the steps that the gear measures best."""

from dataclasses import replace

import pytest

from advisor.bench.gear import kit_of
from advisor.bench.plans import NoPlan
from advisor.bench.predicted import reading_of
from advisor.bench.thinning_plans import plan_thinned_conductivity, plan_thinned_pH, salt_like_potassium_chloride
from advisor.readings.thinned_conductivity import BEST_RANGE
from advisor.readings.thinned_pH import BEST_RANGE as PH_RANGE
from tests.bench.some_baths import HERE, USUAL, expect

GEAR = {
    "none": (),
    "syringe": ("10 mL syringe",),
    "small syringe": ("1 mL syringe",),
    "scale": ("0.1 g scale",),
    "glass": ("1 mL class A pipette", "500 mL class A volumetric flask"),
}


@pytest.mark.parametrize("gear", GEAR)
@pytest.mark.parametrize("bath", [(200.0, 60.0), (80.0, 190.0), (220.0, 20.0), (250.0, 5.0)])
def test_the_pen_stays_in_its_range_and_the_reading_reads_so(gear, bath):
    expected = expect(*bath)
    plan = plan_thinned_conductivity(expected, kit_of(GEAR[gear]))
    assert BEST_RANGE[0] <= plan.shown <= BEST_RANGE[1]
    reading = reading_of("thinned conductivity", plan.fields)
    reading.check("reading 1")
    assert reading.times == pytest.approx(plan.times, rel=1e-6)
    assert float(reading.model(HERE, expected.state).predict(expected.state)[0]) == pytest.approx(plan.shown, rel=1e-3)
    strongest = replace(expected.state, sulfuric_acid=expected.most("sulfuric_acid"))
    assert float(reading.model(HERE, expected.state).predict(strongest)[0]) <= 1.01 * BEST_RANGE[1]


def test_one_step_where_a_small_volume_is_measured_well_and_two_where_not():
    steps = {name: len(plan_thinned_conductivity(USUAL, kit_of(have)).steps) for name, have in GEAR.items()}
    assert steps["glass"] == 1
    assert steps["syringe"] == 2
    fields = plan_thinned_conductivity(USUAL, kit_of(GEAR["syringe"])).fields
    tools = {name: str(fields[f"{name}_with"]) for name in ("predilution", "made_up", "sample", "thinned_to")}
    assert tools.pop("predilution") == "10 mL syringe"
    assert all(tool.endswith("graduated cylinder") for tool in tools.values())


def test_the_salt_that_stands_for_a_calibration_solution():
    """1413 µS/cm are 702 mg/L of table salt in the conversion tables of pens (from memory)."""
    assert salt_like_potassium_chloride() == pytest.approx(0.702, rel=0.01)


def test_better_gear_tells_more():
    spread = {name: plan_thinned_conductivity(USUAL, kit_of(have)).standard_uncertainty for name, have in GEAR.items()}
    assert spread["glass"] < spread["scale"] < spread["syringe"] < 4.0
    assert spread["scale"] < 3.0


def test_nothing_that_measures_is_named():
    with pytest.raises(NoPlan, match="syringe of 10 mL"):
        plan_thinned_conductivity(USUAL, kit_of(("drops",)))


@pytest.mark.parametrize("gear", GEAR)
@pytest.mark.parametrize("bath", [(200.0, 60.0), (80.0, 190.0), (250.0, 10.0)])
def test_a_pH_is_read_where_the_pen_tells_it_in_one_easy_step_if_that_will_do(gear, bath):
    plan = plan_thinned_pH(expect(*bath), kit_of(GEAR[gear]))
    assert PH_RANGE[0] <= plan.shown <= PH_RANGE[1]
    assert len(plan.steps) == (2 if bath[1] > 100 and gear not in ("glass", "small syringe") else 1)
    reading = reading_of("thinned pH", plan.fields)
    reading.check("reading 1")
    # A pen of the usual slope, set in pH 4, shows a little more than the pH.
    assert float(reading.model(HERE, USUAL.state).predict(expect(*bath).state)[0]) == pytest.approx(
        plan.shown, abs=0.06
    )
