"""Plans without a titrant: copper plated out, colour standards, densities, strips."""

import pytest

from advisor.bench.gear import kit_of
from advisor.bench.other_plans import (
    LONGEST_HOURS,
    plan_hydrometer,
    plan_plating_out,
    plan_standards,
    plan_strip,
    plan_weighed_density,
    plating_out_hours,
)
from advisor.bench.predicted import reading_of
from advisor.check.known import Value
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from tests.bench.some_baths import HERE, USUAL, expect


def test_plating_out_takes_the_charge_that_faraday_asks_for_and_a_tail():
    plan = plan_plating_out(USUAL, kit_of(("0.01 g scale", "50 mL burette")))
    assert plan.copper_g == pytest.approx(200 * plan.sample.millilitres / 1000 * 0.25451, rel=1e-4)
    assert plan.acid_g == pytest.approx(1.543 * plan.copper_g, rel=1e-3)
    least = plan.copper_g / 1.1855 / plan.current_A
    assert least < plan.hours < 2.5 * least
    assert plan.hours <= 24


def test_plating_out_ends_where_a_hundredth_is_left():
    """The end by diffusion: halving the cathode while keeping its current density doubles time and nothing else."""
    pale, hours = plating_out_hours(USUAL, 50.0, 0.25, 50.0)
    pale_half, hours_half = plating_out_hours(USUAL, 50.0, 0.125, 25.0)
    assert pale_half == pytest.approx(pale)
    assert hours_half == pytest.approx(2 * hours)
    assert 5 < pale < 60


@pytest.mark.parametrize("gear", [(), ("drops",), ("1 mL syringe",)])
def test_the_richest_bath_is_plated_out_within_a_day(gear):
    assert plan_plating_out(expect(HIGHEST_COPPER_SULFATE), kit_of(gear)).hours <= LONGEST_HOURS


@pytest.mark.parametrize("seen_by", ["eye", "camera"])
@pytest.mark.parametrize("copper", [60.0, 200.0, 300.0])
def test_colour_standards_bracket_the_bath(seen_by, copper):
    plan = plan_standards(expect(copper), kit_of((), 0.98), seen_by)
    assert plan.between[0] < copper < plan.between[1] or copper in plan.between
    first = plan.standards[0]
    assert first.crystals_g == pytest.approx(first.copper_sulfate * 0.1 / 0.98 / first.dilution)
    assert 2 < plan.standard_uncertainty < 25
    if seen_by == "camera":
        reds = [row[1] for row in plan.fields["standards"]]
        assert reds == sorted(reds, reverse=True)
        assert min(reds) > 80
        assert max(reds) < 252


def test_a_bigger_bottle_is_for_a_coarser_scale():
    coarse, fine = (plan_weighed_density(USUAL, kit_of((scale,))) for scale in ("1 g scale", "0.01 g scale"))
    assert coarse.bottle_mL > fine.bottle_mL
    assert coarse.standard_uncertainty > fine.standard_uncertainty


def test_a_tenth_gram_scale_and_a_decilitre_tell_the_density_to_a_thousandth():
    plan = plan_weighed_density(USUAL, kit_of(("0.1 g scale",)))
    reading = reading_of("weighed density", plan.fields)
    model = reading.model(HERE, USUAL.state)
    assert 2 * model.random[0] / plan.bottle_mL < 0.0025


def test_a_hydrometer_is_expected_at_the_bath_s_density():
    plan = plan_hydrometer(USUAL)
    assert plan.shown == pytest.approx(1.1582 / 0.99821, abs=0.0005)


def test_strips_are_diluted_only_where_they_must_be():
    assert plan_strip(USUAL).dilution == 1
    assert plan_strip(USUAL.holding(chloride=Value(1200.0, 10.0))).dilution == 5
