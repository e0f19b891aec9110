"""How acid is poured: no portion boils its vessel, weak acid is not made a ceremony of, nothing is drawn that is not there."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.check.advise import advise
from advisor.check.pouring import (
    FEW_PORTIONS,
    LARGEST_VESSEL,
    MOST_RISE,
    WATER,
    WITHDRAWN,
    Acid,
    acid_dose,
    portions_of,
    pour,
    pour_into,
)
from advisor.check.steps import step_amount
from advisor.questions.make_up import mix
from advisor.sheet import read_sheet
from advisor.solution.heat import bath_of, water_of
from advisor.solution.stock import acid_density


def dose(millilitres: float, strength: float = 0.96) -> Acid:
    density = float(acid_density(strength))
    return Acid(millilitres * density, strength, density)


def low_in_acid(strength: str, copper_sulfate: float = 215, **bath: str):
    before = {
        "copper_sulfate": f"{copper_sulfate} ± 3 g/L",
        "sulfuric_acid": "5 ± 0.4 g/L",
        "since": "evaporation only",
    }
    return advise(
        read_sheet(
            {
                "bath": {"volume": "6 L", **bath},
                "correction": {"sulfuric_acid": "53 g/L"},
                "stock": {"acid": {"strength": strength}},
                "reading": [{"kind": "previous check", **before}],
            }
        )
    )


def test_the_boiled_vessel():
    """6 L, acid 5 to 53 g/L: 176 mL of 96 % acid into the plan's 0.35 L of water would warm it by 111 °C, into one litre
    by 45. It goes into bath drawn for it, in portions."""
    assert water_of(0.35).warming(dose(176).grams, 0.96) == pytest.approx(108, abs=3)
    assert water_of(1.0).warming(dose(176).grams, 0.96) == pytest.approx(45, abs=1)
    poured = pour(dose(176), water=0.35, bath=6.0, copper_sulfate=215, sulfuric_acid=5)
    assert poured.liquid == WITHDRAWN
    assert 1.0 <= poured.litres <= 3.0
    assert poured.vessel >= 2 * poured.litres
    assert poured.portions * poured.portion == pytest.approx(176)
    assert bath_of(poured.litres, 215, 5).warming(dose(poured.portion).grams, 0.96) <= MOST_RISE


def test_the_step_says_vessel_litres_portions_and_what_to_wear():
    found = low_in_acid("96 %")
    (step,) = [step for step in found.steps if step.what == "sulfuric acid"]
    amount, how = step_amount(step), step.how
    assert "goggles and gloves; acid into the liquid, never liquid into acid" in amount
    assert "polyethylene or polypropylene" in how
    litres, vessel = (
        float(re.search(pattern, how)[1]) for pattern in (r"Put ([\d.]+) L of bath", r"at least ([\d.]+) L")
    )
    portions, each = (int(number) for number in re.search(r"in (\d+) portions of (\d+) mL", how).groups())
    assert vessel >= 2 * litres
    assert portions * each == pytest.approx(step.numbers["volume_mL"], abs=portions)
    rise = float(re.search(r"warms it by up to (\d+) °C", how)[1])
    assert rise <= MOST_RISE
    assert rise == pytest.approx(bath_of(litres, 215, 5).warming(each * 1.8355, 0.96), abs=1)
    assert "cool to room temperature after each" in how


def test_battery_acid_needs_no_cooling_stops():
    """37 % gives off a twentieth of the heat of 96 % a millilitre: 467 mL go in at once."""
    (step,) = [step for step in low_in_acid("37 %").steps if step.what == "sulfuric acid"]
    assert "portions" not in step.how
    assert portions_of(dose(467, 0.37), water_of(1.0)) == 1
    assert portions_of(dose(467, 0.96), water_of(1.0)) >= 8


def test_the_plans_own_water_serves_where_it_is_enough_and_is_kept_back():
    poured = pour(dose(176), water=2.5, bath=6.0, copper_sulfate=215, sulfuric_acid=5)
    assert poured.liquid == WATER
    assert poured.litres <= 2.5
    found = low_in_acid("96 %", 240, volume="3 L", usual_volume="6 L", max_volume="6.5 L")
    water, acid = (next(step for step in found.steps if step.what == what) for what in ("water", "sulfuric acid"))
    kept = float(re.search(r"Keep back ([\d.]+) L of it for the acid", water.how)[1])
    assert kept <= water.numbers["volume_L"]
    assert f"Put {kept:g} L of the water that you kept back" in acid.how


@settings(max_examples=200, deadline=None)
@given(
    millilitres=st.floats(0.5, 5000),
    strength=st.floats(0.15, 0.98),
    water=st.floats(0, 50),
    bath=st.floats(0.5, 200),
    acid=st.floats(0, 200),
)
def test_no_portion_warms_its_vessel_by_more_than_it_may(millilitres, strength, water, bath, acid):
    millilitres = min(millilitres, 60 * bath)  # no plan adds more
    poured = pour(dose(millilitres, strength), water, bath, 150, acid)
    liquid = water_of(poured.litres) if poured.liquid == WATER else bath_of(poured.litres, 150, acid)
    assert liquid.warming(dose(poured.portion, strength).grams, strength) <= MOST_RISE + 1e-6
    assert poured.fillings * poured.portions * poured.portion == pytest.approx(millilitres)
    assert poured.vessel >= 2 * poured.litres
    assert poured.litres_in_all <= water + 1e-9 if poured.liquid == WATER else poured.litres <= bath / 2 + 1e-9
    assert poured.litres <= LARGEST_VESSEL / 2
    assert poured.portions <= FEW_PORTIONS


def test_a_large_dose_goes_in_fillings_that_one_person_carries():
    poured = pour(dose(3000), water=0.0, bath=100.0, copper_sulfate=200, sulfuric_acid=20)
    assert poured.fillings > 1
    assert poured.vessel <= LARGEST_VESSEL
    assert f"{poured.fillings} fillings in all" in poured.said()


def test_crystals_in_the_vessel_are_foretold():
    assert pour(dose(60), 0.0, 2.0, 240, 20).crystals_may_form
    assert not pour(dose(20), 0.0, 6.0, 100, 5).crystals_may_form


@pytest.mark.parametrize(("strength", "several"), [("96 %", True), ("37 %", False)])
def test_mixing_takes_portions_from_the_heat_too(strength, several):
    """190 g/L are 423 mL of 96 % acid: several portions. Battery acid goes in at once."""
    raw = {"volume": "4 L", "copper_sulfate": "70 g/L", "sulfuric_acid": "190 g/L"}
    made = mix(read_sheet({"bath": {"volume": "4 L"}, "stock": {"acid": {"strength": strength}}, "mix": raw}))
    said = next(step for step in made.steps if "sulfuric acid of" in step)
    assert ("portions of" in said) is several
    assert "goggles and gloves; acid into the liquid, never liquid into acid" in said
    assert "polyethylene or polypropylene" in made.steps[0]
    vessel, first = (float(re.search(rf"{words} ([\d.]+) L", made.steps[0])[1]) for words in ("at least", "Put"))
    assert vessel >= 2 * first


def test_portions_of_a_fixed_liquid_hold_the_limit():
    acid = dose(500)
    poured = pour_into(acid, 3.0, 80.0)
    assert bath_of(3.0, 80.0, 0.0).warming(acid.share(poured.portions).grams, 0.96) <= MOST_RISE
    assert bath_of(3.0, 80.0, 0.0).warming(acid.share(poured.portions - 1).grams, 0.96) > MOST_RISE


def test_every_short_form_carries_what_must_be_said():
    assert acid_dose(dose(176)) == (
        "176 mL of sulfuric acid of 96 % (323 g) – goggles and gloves; acid into the liquid, never liquid into acid"
    )
