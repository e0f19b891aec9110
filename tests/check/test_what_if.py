"""What a person would rather add than the plan: by the same mass balance, and water alone only where it may do."""

import pytest

from advisor.check.advise import advise
from advisor.check.what_if import after_steps, as_used, if_added, only_water_instead
from advisor.examples import example_text
from advisor.sheet import parse_toml, read_sheet
from tests.some_sheets import FALLEN


def dull():
    sheet = read_sheet(parse_toml(example_text("dull").encode()))
    return sheet, advise(sheet)


def test_nothing_added_changes_nothing():
    sheet, advice = dull()
    after = if_added(sheet, advice, 0.0, 0.0, 0.0)
    assert after.volume == pytest.approx(advice.volume_L, rel=1e-6)
    assert after.copper_sulfate == pytest.approx(advice.estimate.value("copper_sulfate"), rel=1e-6)


def test_what_the_plan_adds_leads_where_the_plan_leads():
    sheet, advice = dull()
    amounts = advice.plan.amounts
    acid = next(step.numbers["volume_mL"] for step in advice.steps if step.what == "sulfuric acid")
    after = if_added(sheet, advice, amounts.crystals, acid, 0.0)
    assert after.copper_sulfate == pytest.approx(advice.plan.after.copper_sulfate, rel=1e-4)
    assert after.sulfuric_acid == pytest.approx(advice.plan.after.sulfuric_acid, rel=1e-4)
    assert after.probability_in == pytest.approx(advice.plan.after.probability_in, abs=0.01)


def test_grams_add_up():
    sheet, advice = dull()
    after = if_added(sheet, advice, 100.0, 0.0, 0.5)
    before = advice.estimate.value("copper_sulfate") * advice.volume_L
    assert after.copper_sulfate * after.volume == pytest.approx(before + 99.0, rel=1e-4)  # crystals of 99 %


def test_the_way_of_a_plan_leads_where_its_amounts_lead_and_another_where_they_do():
    sheet, advice = dull()
    crystals, acid = advice.plan.amounts.crystals, advice.steps[1].numbers["volume_mL"] / 1000
    as_planned = as_used(sheet, advice, [crystals, acid])
    for step, planned in zip(as_planned.steps, advice.steps, strict=True):
        assert step.after.copper_sulfate == pytest.approx(planned.after.copper_sulfate, rel=1e-4)
        assert step.after.sulfuric_acid == pytest.approx(planned.after.sulfuric_acid, rel=1e-4)
    first, last = (step.after for step in as_used(sheet, advice, [crystals + 100, acid]).steps)
    assert first.copper_sulfate > advice.steps[0].after.copper_sulfate + 10
    assert last.copper_sulfate > advice.steps[1].after.copper_sulfate + 10


def test_what_was_really_used_of_each_step_is_what_the_bath_holds_then():
    """Of 99 g pentahydrate in 100 g of crystals all is in the bath; half of the salt solution is half of its chloride.

    10 mL of 96 % acid are 10 · 1.8355 · 0.96 = 17.6 g.
    """
    held = {"copper_sulfate": "190 ± 6 g/L", "sulfuric_acid": "22 ± 3 g/L", "chloride": "30 ± 4 mg/L"}
    reading = {"kind": "previous check", "since": "evaporation only", **held}
    raw = {"bath": {"volume": "5 L", "usual_volume": "6 L", "additives": True}, "reading": [reading]}
    sheet = read_sheet(raw)
    advice = advise(sheet)
    water, crystals, acid, salt = advice.steps
    planned = [water.numbers["volume_L"], crystals.numbers["mass_g"]]
    planned += [step.numbers["volume_mL"] / 1000 for step in (acid, salt)]
    for done, step in enumerate(advice.steps, 1):
        assert after_steps(sheet, advice, planned[:done]).volume == pytest.approx(step.after.volume, rel=1e-6)
    assert after_steps(sheet, advice, planned).chloride == pytest.approx(advice.plan.after.chloride, rel=1e-6)
    after = after_steps(sheet, advice, [0.5, 100.0, 0.010, planned[3] / 2])
    assert after.copper_sulfate * after.volume == pytest.approx(190 * 5 + 99, rel=1e-3)
    assert after.sulfuric_acid * after.volume == pytest.approx(22 * 5 + 17.6, rel=1e-3)
    chloride = 1000 * salt.numbers["mass_g"] * 35.45 / 58.44  # mg
    assert chloride == pytest.approx(10 * salt.numbers["volume_mL"], rel=0.01)  # a millilitre holds 10 mg
    assert after.chloride * after.volume == pytest.approx(30 * 5 + chloride / 2, rel=1e-3)


def test_water_alone_is_offered_beside_more_with_how_sure_it_is():
    sheet = read_sheet(FALLEN)
    advice = advise(sheet)
    assert [step.what for step in advice.steps] == ["water", "copper sulfate crystals"]
    alone = only_water_instead(sheet, advice)
    assert [step.what for step in alone.steps] == ["water"]
    assert 0.9 <= alone.plan.after.probability_in < advice.plan.after.probability_in
    more = if_added(sheet, advice, 0.0, 0.0, 1.2 * alone.steps[0].numbers["volume_L"])
    assert more.probability_in < 0.9


def test_water_alone_is_no_choice_where_the_level_stands():
    assert only_water_instead(*dull()) is None


def test_water_alone_is_no_choice_where_the_plan_is_that_already():
    sheet = read_sheet(parse_toml(example_text("evaporation").encode()))
    assert only_water_instead(sheet, advise(sheet)) is None
