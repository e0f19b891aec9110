"""Ways that waste nothing: what an ampere-hour and a gram do, where each way fits, and the bath afterwards."""

from dataclasses import replace

import pytest

from advisor.check.advise import advise
from advisor.check.mass_balance import Amounts
from advisor.check.task import make_task
from advisor.check.ways import (
    ACID_PER_AMPERE_HOUR,
    CARBONATE_PER_ACID,
    SALT_PER_ACID,
    SALT_PER_AMPERE_HOUR,
    after_ampere_hours,
    after_carbonate,
    after_evaporation,
    copper_carbonate,
    evaporate,
    inert_anode,
    keep_withdrawn,
    ways,
    ways_section,
)
from advisor.check.window import Verdict
from advisor.sheet import read_sheet
from advisor.solution.density import density
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.solubility import saturation
from advisor.words.cautions import Act, caution, cautions
from tests.random_tasks import changed


def bath(copper_sulfate, sulfuric_acid, volume="5.6 L", chloride=None, **fields):
    more = {"chloride": chloride} if chloride else {}
    raw = {
        "bath": {"volume": volume, "usual_volume": "5.6 L", **fields},
        "reading": [
            {
                "kind": "previous check",
                "since": "evaporation only",
                "copper_sulfate": f"{copper_sulfate} ± 6 g/L",
                "sulfuric_acid": f"{sulfuric_acid} ± 3 g/L",
                **more,
            }
        ],
    }
    sheet = read_sheet(raw)
    advice = advise(sheet)
    return make_task(sheet, advice.estimate, advice.verdict), advice.plan


def test_an_ampere_hour_and_a_gram_of_acid():
    assert pytest.approx(1.1855, abs=5e-5) == COPPER_PER_AMPERE_HOUR
    assert pytest.approx(4.658, abs=5e-4) == SALT_PER_AMPERE_HOUR
    assert pytest.approx(1.830, abs=1e-3) == ACID_PER_AMPERE_HOUR
    assert round(CARBONATE_PER_ACID, 2) == 1.13
    assert round(SALT_PER_ACID, 2) == 2.55


def test_32_ampere_hours_in_5_6_litres():
    task = changed(bath(248, 40)[0], copper_sulfate=248.0, sulfuric_acid=40.0, volume=5.6)
    after = after_ampere_hours(task, 32)
    assert after.copper_sulfate == pytest.approx(221, abs=0.5)
    assert after.sulfuric_acid - 40 == pytest.approx(10.6, abs=0.3)
    # By hand: the bath loses the copper plated and the oxygen set free, 37.94 g and 9.55 g.
    lost = 1000 * (5.6 * density(248, 40, task.foreign_solids) - after.volume * _density(after, task))
    assert lost == pytest.approx(32 * 3600 / (2 * 96485.33) * (63.546 + 15.999), rel=2e-3)


def _density(after, task):
    return density(after.copper_sulfate, after.sulfuric_acid, task.foreign_solids * task.volume / after.volume)


def test_thirty_ampere_hours_in_five_litres():
    task = changed(bath(200, 60)[0], copper_sulfate=200.0, sulfuric_acid=60.0, volume=5.0)
    after = after_ampere_hours(task, 30)
    assert round(after.copper_sulfate) == 172
    assert round(after.sulfuric_acid) == 71


def test_carbonate_gives_its_copper_and_leaves_as_gas():
    task = changed(bath(180, 90)[0], copper_sulfate=180.0, sulfuric_acid=90.0, volume=5.0)
    after = after_carbonate(task, 100)
    assert after.sulfuric_acid * after.volume == pytest.approx(450 - 100)
    assert after.copper_sulfate * after.volume == pytest.approx(900 + 254.6, abs=0.1)
    gained = 1000 * (after.volume * _density(after, task) - 5.0 * density(180, 90, task.foreign_solids))
    assert gained == pytest.approx(100 * CARBONATE_PER_ACID - 100 / (2 * 98.07) * 44.01, rel=2e-3)


def test_evaporation_concentrates_everything_alike():
    task, _ = bath(200, 50)
    after = after_evaporation(task, 0.5)
    assert after.copper_sulfate / task.copper_sulfate == pytest.approx(after.sulfuric_acid / task.sulfuric_acid)
    assert after.copper_sulfate * after.volume == pytest.approx(task.copper_sulfate * task.volume)


def test_copper_high_and_acid_low_calls_for_an_inert_anode():
    task, plan = bath(275, 22)
    way = inert_anode(task)
    assert way in ways(task, plan)
    charge = way.amounts["charge_A_h"]
    assert way.amounts["copper_sulfate_out_g"] == pytest.approx(4.658 * charge, rel=1e-3)
    assert way.amounts["sulfuric_acid_gained_g"] == pytest.approx(1.830 * charge, rel=1e-3)
    # It goes no further than the aim of either.
    assert way.after.sulfuric_acid <= task.aim_sulfuric_acid + 0.01
    assert way.after.copper_sulfate >= task.aim_copper_sulfate - 0.01
    assert min(
        way.after.copper_sulfate - task.aim_copper_sulfate, task.aim_sulfuric_acid - way.after.sulfuric_acid
    ) == pytest.approx(0, abs=0.01)
    assert way.after.probability_in > 0.95
    said = " ".join(cautions(way.acts))
    assert "titanium" in said
    assert "graphite, which sheds" in said
    assert "Never stainless steel" in said
    assert "lead" in said
    assert "open window" in said
    assert "chlorine" in said
    assert "measure chloride again" in said
    assert f"{charge:.0f} A·h" in way.text
    assert way.to_dict() == {"way": "Inert anode", **way.amounts, "probability_in": way.after.probability_in}
    assert ways_section([way]).lines == (f"Inert anode. {way.text}",)


def test_acid_is_not_driven_over_its_limit():
    task, _ = bath(275, 70)
    way = inert_anode(task)
    high = task.limits("sulfuric_acid")[1]
    if way is not None:
        assert way.after.sulfuric_acid < high
    assert inert_anode(bath(275, 90)[0]) is None
    assert inert_anode(bath(220, 22)[0]) is None


def test_water_alone_comes_before_an_anode():
    # Evaporated: topped up to 5.6 L it is at 215 g/L.
    assert inert_anode(bath(268, 40, volume="4.5 L")[0]) is None


def test_acid_high_and_copper_low_calls_for_basic_copper_carbonate():
    task, plan = bath(165, 90)
    way = copper_carbonate(task)
    assert way in ways(task, plan)
    used = way.amounts["sulfuric_acid_used_g"]
    assert way.amounts["basic_copper_carbonate_g"] == pytest.approx(1.127 * used, rel=1e-3)
    assert way.amounts["copper_sulfate_gained_g"] == pytest.approx(2.546 * used, rel=1e-3)
    assert way.amounts["gas_L"] == pytest.approx(used / 196.14 * 24.055, rel=1e-3)
    assert way.after.copper_sulfate <= task.aim_copper_sulfate + 0.01
    assert way.after.sulfuric_acid >= task.aim_sulfuric_acid - 0.01
    assert caution(Act.SODA_IN_THE_BATH) in cautions(way.acts)
    assert "fizzes" in " ".join(cautions(way.acts))
    assert copper_carbonate(bath(165, 50)[0]) is None
    assert copper_carbonate(bath(275, 90)[0]) is None


def test_tank_too_full_evaporates_to_its_usual_level():
    task, plan = bath(190, 45, volume="6.2 L", max_volume="6.3 L")
    way = evaporate(task, plan)
    assert way.amounts["water_L"] == pytest.approx(task.volume - task.usual_volume)
    assert way.after.volume == pytest.approx(task.usual_volume, rel=0.01)
    assert "instead of taking bath out" not in way.text  # nobody takes any out
    assert evaporate(*bath(220, 50)) is None
    unknown = read_sheet({"bath": {"volume": "6.2 L", "usual_volume": "5.6 L"}})
    advice = advise(unknown)
    assert ways(make_task(unknown, None, advice.verdict), advice.plan) == ()
    assert evaporate(*bath(275, 22, volume="6.2 L", max_volume="6.3 L")) is None


def test_evaporation_stops_where_crystals_would_form():
    """8 L at 200/40 g/L in a tank of 5.6 L: all the water gone would make 286/57 g/L, where nine tenths of 249 may stand.

    With 45 g/L of acid 0.9 · 255 = 230 g/L may stand at 15 °C: so 8 L · 200/230 = 7.0 L are as far as it goes.
    """
    task, plan = bath(200, 40, volume="8 L")
    way = evaporate(task, plan)
    assert way.after.copper_sulfate == pytest.approx(0.9 * saturation(15.0, way.after.sulfuric_acid), rel=1e-6)
    assert way.amounts["water_L"] == pytest.approx(1.0, abs=0.1)
    assert evaporate(*bath(240, 40, volume="8 L")) is None  # there already


def test_evaporation_stops_where_chloride_would_be_too_much():
    """To 120 less 1.645 · 5 · 6.2/5.6 = 111 mg/L: 90 rise to 100 and may, 118 stand above that already.

    105 reach it in 6.2 · (105 + 1.645 · 5)/120 = 5.85 L: 0.35 L less, with 95 % inside.
    """
    chloride = {"additives": True, "max_volume": "6.3 L"}
    task, plan = bath(200, 40, volume="6.2 L", chloride="90 ± 10 mg/L", **chloride)
    assert evaporate(task, plan).after.chloride == pytest.approx(90 * task.volume / task.usual_volume, rel=0.01)
    task, plan = bath(200, 40, volume="6.2 L", chloride="105 ± 10 mg/L", **chloride)
    way = evaporate(task, plan)
    assert way.amounts["water_L"] == pytest.approx(0.35, abs=0.005)
    assert way.after.probability_in == pytest.approx(0.95, abs=0.002)
    task, plan = bath(200, 40, volume="6.2 L", chloride="118 ± 10 mg/L", **chloride)
    assert evaporate(task, plan) is None
    indifferent = bath(200, 40, volume="6.2 L", chloride="118 ± 10 mg/L", max_volume="6.3 L")
    assert evaporate(*indifferent) is not None  # nobody said that there is brightener to serve


def test_carbonate_stops_where_crystals_would_form():
    """190/100 g/L at 10 °C: nine tenths of what stands with 70 g/L of acid there, 0.9 · 223 = 201 g/L, are near.

    Each gram of acid that goes brings 2.55 g of copper sulfate: 4 g/L of acid, and the rest has to stay.
    """
    task, _ = bath(190, 100, coldest="10 degC")
    way = copper_carbonate(task)
    if way is not None:
        assert way.after.copper_sulfate <= 0.9 * saturation(10.0, way.after.sulfuric_acid) + 1e-6
    roomy = copper_carbonate(bath(165, 90, coldest="15 degC")[0])
    tight = copper_carbonate(bath(165, 90, coldest="3 degC")[0])
    assert tight is None or tight.amounts["sulfuric_acid_used_g"] < roomy.amounts["sulfuric_acid_used_g"]


def test_what_is_taken_out_is_told_as_stock():
    task, plan = bath(220, 50)
    assert keep_withdrawn(task, plan) is None
    taken = replace(plan, amounts=Amounts(take_out=0.8))
    way = keep_withdrawn(task, taken)
    assert way.amounts["copper_sulfate_g"] == pytest.approx(0.8 * task.copper_sulfate)
    assert way.amounts["sulfuric_acid_g"] == pytest.approx(0.8 * task.sulfuric_acid)
    assert "first rinse" in way.text


@pytest.mark.parametrize(
    ("unmeasured", "told"), [("copper_sulfate", "40 g of acid."), ("sulfuric_acid", "176 g of copper sulfate.")]
)
def test_of_what_is_taken_out_only_what_was_measured_is_told(unmeasured, told):
    task, plan = bath(220, 50)
    verdicts = {**task.verdicts, unmeasured: Verdict("not measured", None, None, None, None)}
    known = changed(task, copper_sulfate=220.0, sulfuric_acid=50.0, verdicts=verdicts)
    way = keep_withdrawn(known, replace(plan, amounts=Amounts(take_out=0.8)))
    assert way.text.startswith(f"The 0.80 L that you take out holds {told}")
    assert f"{unmeasured}_g" not in way.amounts


def test_no_more_evaporates_in_place_of_bath_than_the_tank_needs():
    task, plan = bath(200, 40, min_volume="5 L")
    way = evaporate(task, replace(plan, amounts=Amounts(take_out=0.8)))
    assert way.after.volume == pytest.approx(5.0, abs=1e-3)
    assert "instead of taking bath out" in way.text


def test_nothing_is_offered_to_a_sound_bath():
    assert ways(*bath(220, 52)) == ()
