"""Planned titrations: their stated uncertainty against simulated ones, and their limits over baths and kits."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.bench.gear import FILLS, LEAST_TITRANT_mL, kit_of, measure
from advisor.bench.plans import ALIKE, SMALL_BIAS, NoPlan, SAMPLES_mL
from advisor.bench.predicted import reading_of, uncertainty_of
from advisor.bench.titration_plans import plan_acid, plan_chloride, plan_copper, plan_curve
from advisor.readings.acid_titration import TITRANTS
from advisor.readings.tools import find_tool
from advisor.solution.equilibrium import Flask, equivalence_volume, titrant_volume_at_pH
from tests.bench.some_baths import HERE, USUAL, expect

pytestmark = pytest.mark.slow

KITS = {
    "kitchen": ("10 mL syringe", "baking soda", "EDTA", "1 g scale"),
    "scale": ("10 mL syringe", "0.1 g scale", "washing soda", "methyl orange", "thiosulfate"),
    "burette": ("50 mL burette", "5 mL class A pipette", "lye", "pH meter", "0.01 g scale", "EDTA", "murexide"),
    "nothing": (),
}
BATHS = list(itertools.product((10.0, 200.0, 300.0), (1.0, 5.0, 20.0, 220.0), (0.03, 0.25)))


@pytest.fixture(scope="module")
def sweep():
    """Every titration planned over kits and baths: (kit's name, expected, plan).

    Of the acid where there is little copper or much: between the two its end point's bias, all that copper moves, is between.
    """
    found = []
    for name, have in KITS.items():
        for copper, acid, spread in BATHS:
            expected = expect(copper, acid, spread)
            plans = (plan_copper,) if copper == 200.0 else (plan_acid, plan_copper)
            found += [(name, expected, plan(expected, kit_of(have))) for plan in plans]
    return found


# --- Honest ---------------------------------------------------------------------------------------


def found_by(plan, component, shown):
    """The component behind what a planned reading shows, all else being as expected; any number of readings."""
    model = reading_of(plan.kind, plan.fields).model(HERE, USUAL.state)
    grid = np.linspace(0.4, 1.6, 400) * getattr(USUAL, component)
    state = replace(USUAL.state, **{component: grid})
    return np.interp(shown, np.broadcast_to(model.predict(state)[0], grid.shape), grid)


@pytest.mark.parametrize("kit", KITS)
@pytest.mark.parametrize("plan_of", [plan_acid, plan_copper, plan_chloride])
def test_readings_with_the_models_own_errors_scatter_as_stated(plan_of, kit):
    plan = plan_of(USUAL, kit_of(KITS[kit]))
    model = reading_of(plan.kind, plan.fields).model(HERE, USUAL.state)
    rng = np.random.default_rng(3)
    shown = model.predict(USUAL.state)[0] + model.random[0] * rng.standard_normal(20_000)
    for effect in model.systematic.values():
        shown = shown + effect[0] * rng.standard_normal(20_000)
    scatter = np.std(found_by(plan, plan.component, shown))
    assert scatter == pytest.approx(plan.standard_uncertainty, rel=0.05)


def test_titrations_simulated_from_the_bench_up_scatter_as_stated():
    """Nothing of the reading's error model in it: each draw has its own sample, strength, burette, drop and colour."""
    plan = plan_acid(USUAL, kit_of(("10 mL syringe", "baking soda", "methyl orange", "0.1 g scale")))
    assert plan.fields["end_point"] == "methyl orange"
    rng = np.random.default_rng(4)
    base = TITRANTS[str(plan.fields["titrant"])].base
    shown = []
    for _ in range(1000):
        sample = plan.sample.millilitres + plan.sample.standard_uncertainty * rng.standard_normal()
        strength = plan.titrant.strength + plan.titrant.standard_uncertainty * rng.standard_normal()
        strength *= 0.990 + 0.008 * rng.standard_normal()  # baking soda as it comes
        flask = Flask(sample, plan.diluted_to_mL, base, strength)
        end = float(titrant_volume_at_pH(200.0, 60.0, 3.85, flask))
        left = float(equivalence_volume(60.0, flask)) - end
        reading = plan.used.standard_uncertainty * rng.standard_normal() + 0.05 * rng.standard_normal()
        shown.append(end + 0.5 * left * rng.standard_normal() + reading)
    acids = found_by(plan, "sulfuric_acid", np.array(shown))
    assert np.mean(acids) == pytest.approx(60.0, abs=4 * plan.standard_uncertainty / np.sqrt(1000))
    assert np.std(acids) == pytest.approx(plan.standard_uncertainty, rel=0.10)


def test_no_other_sample_would_tell_the_acid_much_better():
    kit = kit_of(KITS["kitchen"])
    plan = plan_acid(USUAL, kit)
    for size in SAMPLES_mL:
        other = measure(kit, size, 1.16, 0.005, FILLS)
        if other is None:
            continue
        used = plan.used.millilitres * size / plan.sample.millilitres
        if not LEAST_TITRANT_mL <= used <= 27:
            continue
        fields = plan.fields | {
            "sample": other.volume,
            "used": parse(f"{used:.2f} mL", "volume"),
            "diluted_to": parse("250 mL", "volume"),
        }
        worse = uncertainty_of(plan.kind, fields, USUAL, "sulfuric_acid")
        assert plan.standard_uncertainty <= ALIKE * worse * 1.001


# --- Within limits --------------------------------------------------------------------------------


def test_murexide_never_meets_more_copper_than_it_bears(sweep):
    """At most 25 mg in 100 mL, for the strongest bath that is likely; reckoned here from the fields alone."""
    checked = 0
    for _, expected, plan in sweep:
        if plan.kind != "copper titration" or plan.fields["method"] != "EDTA":
            continue
        assert plan.fields["indicator"] == "murexide"
        bath = plan.fields["sample"].value * 1000
        if plan.predilution:
            taken, made_up = (part.value for part in plan.fields["predilution"])
            bath *= taken / made_up
        most = bath * expected.most("copper_sulfate") * 63.546 / 249.68
        assert most <= 25.0 + 1e-6
        assert plan.copper_mg == pytest.approx(most, rel=1e-3)
        checked += 1
    assert checked > 40


def test_the_titrant_neither_drowns_in_the_tools_error_nor_runs_out(sweep):
    for _, expected, plan in sweep:
        assert plan.used.millilitres >= 0.9 * LEAST_TITRANT_mL or expected.sulfuric_acid < 2
        assert plan.most_mL <= 60.0 + 1e-9
        if plan.used.tool:
            nominal = float(find_tool(plan.used.tool)["nominal_mL"])
            assert plan.most_mL <= nominal * (1 if "burette" in plan.used.tool else FILLS)


@pytest.mark.parametrize("acid", [40.0, 60.0, 90.0, 120.0, 200.0])
@pytest.mark.parametrize("spread", [0.1, 0.25])
def test_the_strongest_bath_that_is_likely_still_fits_the_syringe(acid, spread):
    for tool, holds in (("10 mL syringe", 30.0), ("5 mL syringe", 15.0)):
        plan = plan_acid(expect(200.0, acid, spread), kit_of((tool, "baking soda")))
        assert plan.used.tool == tool
        assert plan.used.millilitres < plan.most_mL <= holds


def test_a_titrant_is_not_poured_from_a_cylinder():
    with pytest.raises(NoPlan):
        plan_acid(USUAL, kit_of(("10 mL graduated cylinder", "100 mL graduated cylinder")))


def test_a_bigger_sample_is_taken_where_the_end_point_would_be_off():
    """25 mL would tell 5 g/L of acid beside much copper nearly as surely, but 5 % early; 50 mL keep that to 3.4 %."""
    plan = plan_acid(expect(300.0, 5.0), kit_of(("5 mL syringe", "1 mL syringe", "baking soda", "methyl orange")))
    assert plan.sample.millilitres == 50.0
    assert -0.04 < plan.bias < 0


def test_flasks_hold_what_goes_in_and_stay_pale(sweep):
    for _, _, plan in sweep:
        assert plan.diluted_to_mL + plan.most_mL <= 400
        if plan.kind == "acid titration":
            assert plan.diluted_to_mL >= 5 * plan.sample.millilitres


def test_the_end_points_bias_stays_small_where_there_is_acid(sweep):
    biases = [abs(plan.bias) for _, expected, plan in sweep if expected.sulfuric_acid >= 20 and "acid" in plan.kind]
    assert max(biases) <= SMALL_BIAS


def test_less_acid_takes_a_bigger_sample():
    kit = kit_of(("10 mL syringe", "baking soda", "methyl orange", "0.1 g scale"))
    sizes = [plan_acid(expect(sulfuric_acid=acid), kit).sample.millilitres for acid in (200, 60, 15, 4)]
    assert sizes == sorted(sizes)
    assert sizes[-1] >= 4 * sizes[0]


def test_the_small_sample_that_was_not_planned_would_have_been_further_off():
    """1 mL of a 4 g/L bath in 100 mL: methyl orange turns a fifth early; the plan keeps that to a twentieth."""
    plan = plan_acid(expect(sulfuric_acid=4.0), kit_of(("10 mL syringe", "baking soda", "methyl orange")))
    flask = Flask(1.0, 100.0, "sodium bicarbonate", 0.01)
    early = 1 - float(titrant_volume_at_pH(200.0, 4.0, 3.85, flask) / equivalence_volume(4.0, flask))
    assert early > 0.15
    assert abs(plan.bias) <= SMALL_BIAS


def test_every_plan_is_a_sound_reading(sweep):
    """What the card tells a person to enter passes the sheet's own checks."""
    for _, _, plan in sweep:
        reading_of(plan.kind, plan.fields).check("reading 1")


# --- The gear -------------------------------------------------------------------------------------


def test_better_gear_tells_more():
    kitchen, burette = (plan_acid(USUAL, kit_of(KITS[name])) for name in ("kitchen", "burette"))
    # The kitchen draws and titrates with one syringe, whose calibration drops out.
    assert burette.standard_uncertainty < 0.7 * kitchen.standard_uncertainty


def test_lye_is_used_only_where_there_is_no_soda():
    assert plan_acid(USUAL, kit_of(("lye", "baking soda"))).titrant.substance == "sodium bicarbonate"
    assert plan_acid(USUAL, kit_of(("lye",))).titrant.substance == "sodium hydroxide"
    assert plan_acid(USUAL, kit_of(())).titrant.substance == "sodium bicarbonate"


@pytest.mark.parametrize("plan_of", [plan_acid, plan_curve])
def test_washing_soda_counts_as_its_card_has_it_made_baked(plan_of):
    """As it is sold it may be half water: the card bakes it, so that a mole of it takes a mole of acid."""
    plan = plan_of(USUAL, kit_of(("10 mL syringe", "0.1 g scale", "washing soda", "pH meter")))
    assert (plan.titrant.substance, plan.fields["strength_from"]) == ("sodium carbonate", "baked")
    assert plan_of(USUAL, kit_of(("10 mL syringe", "baking soda", "pH meter"))).fields["strength_from"] == "weighed"
    if plan_of is plan_acid:  # at pH 3.85: millimoles of soda per millimole of acid, within the bias that is told
        sulfuric_acid = USUAL.sulfuric_acid * plan.sample.millilitres / 98.08  # mmol
        told = plan.used.millilitres * plan.titrant.strength / sulfuric_acid - 1
        assert told == pytest.approx(plan.bias, abs=0.002)
        assert abs(told) < 0.02


def test_an_end_point_needs_its_indicator():
    ends = {plan_acid(USUAL, kit_of(("10 mL syringe", *more))).fields["end_point"] for more in ((), ("jars",))}
    assert ends == {"first lasting cloud"}


def test_without_a_tool_for_volumes_a_drop_counter_is_told_so():
    with pytest.raises(NoPlan, match=r"10 mL syringe, a burette or a 0\.1 g scale"):
        plan_acid(USUAL, kit_of(("drops",)))


# --- The other readings ---------------------------------------------------------------------------


def test_a_pH_curve_is_planned_to_the_point_where_copper_comes_out():
    plan = plan_curve(USUAL, kit_of(KITS["burette"]))
    points = plan.fields["points"]
    assert len(points) == 30
    assert points[0][0] == 0.0
    assert points[-1][1] == pytest.approx(4.4, abs=0.02)
    assert sum(2.5 < pH < 4.5 for _, pH in points) >= 5
    assert plan.diluted_to_mL >= 10 * plan.sample.millilitres
    assert plan.standard_uncertainty < 0.03 * 60


def test_a_pH_curve_without_acid_is_refused_with_the_reason():
    with pytest.raises(NoPlan, match="so little acid"):
        plan_curve(expect(sulfuric_acid=1.0), kit_of(KITS["burette"]))
