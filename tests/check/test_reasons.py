"""Each step of a plan says what it is for, and that holds: recomputed by grams added up, without that step."""

import re
from dataclasses import replace

import numpy as np
import pytest

from advisor.check.mass_balance import Amounts
from advisor.check.reasons import because
from advisor.check.window import judge
from tests.check.test_correction import task
from tests.check.test_hand import advised
from tests.random_tasks import LIMITS, balance, changed, random_task
from tests.some_sheets import ANSWERED

WARM = {"coldest": "25 degC"}  # so that crystals form from nothing here
WITHOUT = re.compile(r"^ Without this dose it would end at ([\d.]+) g/L, (.+)\.$")


def reasons(copper, acid, bath, **tables):
    return {step.what: str(step.why) for step in advised(copper, acid, bath, **tables).steps}


def test_acid_that_is_inside_and_goes_in_all_the_same_says_what_the_water_would_make_of_it():
    """5 L of 32 g/L are 160 g: in 5 + 1.33 L, and the 0.03 that the crystals take, 25 g/L, where 30 is the least."""
    said = reasons("270 ± 6", "32 ± 1", {"max_volume": "6.5 L", **WARM})
    assert said["water"] == "This thins what is too high: copper sulfate."
    assert said["sulfuric acid"].endswith(" Without this dose it would end at 25 g/L, below the window.")


def test_salt_that_is_too_high_and_goes_in_all_the_same_says_what_the_water_would_make_of_it():
    """5 L of 270 g/L in 7.5 L are 180 g/L, where 195 is the least; acid needs that much water: 80/1.5 = 53 g/L."""
    said = reasons("270 ± 6", "80 ± 3", {"max_volume": "8 L", **WARM})
    assert re.search(
        r"Without this dose it would end at 18[01] g/L, below the window\.$", said["copper sulfate crystals"]
    )


@pytest.mark.parametrize(
    ("copper", "acid", "said"),
    [
        ("240 ± 6", "60 ± 3", {"water": r"This brings the level to 5\.5\d L\."}),  # 218 and 55 g/L, both inside
        ("180 ± 4", "58 ± 3", {"water": r"This brings the level up\.", "copper sulfate crystals": r"This .* to 22\d g/L\."}),
    ],
)  # fmt: skip
def test_a_step_that_its_number_gives_reason_enough_for_says_no_more(copper, acid, said):
    found = reasons(copper, acid, {"usual_volume": "5.5 L", "max_volume": "6.5 L", **WARM})
    assert found.keys() == said.keys()
    assert all(re.fullmatch(said[what], found[what]) for what in said)


def test_salt_beside_water_that_still_waits_says_where_both_lead():
    """250 g/L is above the window, but the acid's water dilutes it: nobody need fear that."""
    said = reasons("270 ± 6", "32 ± 1", {"max_volume": "6.5 L", **WARM})["copper sulfate crystals"]
    now, with_all = re.search(r"to (\d+) g/L, and to (\d+) g/L with the water kept back", said).groups()
    assert float(now) > LIMITS["copper_sulfate"][1] > float(with_all)


def test_water_against_the_cold_says_what_then_stays_dissolved():
    """5 L of 240 g/L and 0.58 L of water: 215 g/L. The window, to 248 g/L, asks for none."""
    said = reasons("240 ± 6", "60 ± 3", {"coldest": "12 degC", "max_volume": "6.5 L"})
    assert said == {"water": "This keeps copper sulfate to 215 g/L, which surely stays dissolved at 12 °C."}


def test_of_water_that_is_too_little_for_the_cold_nothing_is_said_to_stay_dissolved():
    """5.6 L of 230 g/L at 10 °C: 0.9 · 225 = 203 g/L may stand there, which is 0.75 L of water away."""
    cold = task(230.0, 60.0, 6.0, 3.0, coldest=10.0)
    assert "stays dissolved" in because(cold, Amounts(water=900.0), "water")
    assert "stays dissolved" not in because(cold, Amounts(water=300.0), "water")


def test_what_nobody_measured_has_no_reason_in_what_it_holds():
    assert because(task(), Amounts(chloride=100.0), "chloride") == ""


def test_water_past_the_usual_level_is_for_more_than_the_level():
    """0.1 L are missing, and 0.26 go in, since acid may be as high as 79 g/L."""
    said = reasons("221 ± 6", "73 ± 6", {"usual_volume": "5.1 L", "max_volume": "6.5 L", **WARM})
    assert re.fullmatch(
        r"This brings the level to 5\.2\d L\. It also thins what may be too high: sulfuric acid\.", said["water"]
    )


def test_water_that_a_low_level_asks_for_needs_no_other_reason():
    """5.6 L where 6 are usual: 0.4 L of water is the level's, though acid may be too high; 0.5 L is more than that."""
    low = task(221.0, 73.0, 6.0, 3.0, coldest=25.0, usual_volume=6.0)
    assert low.verdicts["sulfuric_acid"].state == "unsure"
    assert because(low, Amounts(water=400.0), "water") == ""
    assert because(low, Amounts(water=420.0), "water") == ""  # 6.02 L, to half a per cent the same level
    assert because(low, Amounts(water=500.0), "water") == "thins what may be too high: sulfuric acid."
    full = task(221.0, 73.0, 6.0, 3.0, coldest=25.0, usual_volume=5.62)  # to half a per cent as well
    assert because(full, Amounts(water=20.0), "water") == "thins what may be too high: sulfuric acid."
    assert because(full, Amounts(water=400.0), "water") == "thins what may be too high: sulfuric acid."


def test_a_little_water_at_the_edge_says_that_the_rest_would_not_be_sure_enough():
    """Copper sulfate 1.78 and acid 1.73 standard uncertainties within a limit: 96 % sure each, both together 92 %."""
    edge = task(240.0, 70.5, 4.5, 2.6, coldest=25.0)
    assert {edge.verdicts[name].state for name in ("copper_sulfate", "sulfuric_acid")} == {"in"}
    assert edge.known.covariance[0, 1] == 0
    water = Amounts(water=20 * edge.volume)  # 2 %: acid at 69.1 g/L
    assert because(edge, water, "water") == "thins sulfuric acid to 69 g/L, to be inside as surely as asked."


def test_water_that_brings_both_nearer_to_the_aim_says_so_of_both():
    """5.6 L of 240 and 68 g/L and 0.28 L of water: 240/1.05 = 229 and 68/1.05 = 65 g/L."""
    inside = task(240.0, 68.0, 2.0, 1.0, coldest=25.0)
    said = because(inside, Amounts(water=280.0), "water")
    assert said == "thins copper sulfate to 229 g/L and sulfuric acid to 65 g/L, nearer the middle of the window."


def test_water_for_what_is_too_high_names_the_cold_only_where_the_cold_tells_how_much():
    """270 g/L in a bath that may cool to 10 °C; what dissolves there is known from elsewhere, here is what is said."""
    cold = task(270.0, 60.0, 6.0, 3.0, coldest=10.0)
    much, little = (
        Amounts(water=1000 * cold.volume * (270.0 / (share * cold.stays_dissolved(45.0)) - 1)) for share in (0.9, 0.99)
    )
    assert because(cold, much, "water") == "thins what is too high: copper sulfate."
    said = because(cold, little, "water")
    assert re.fullmatch(
        r"thins what is too high: copper sulfate; it keeps copper sulfate to (\d+) g/L, which surely stays dissolved"
        r" at 10 °C\.",
        said,
    )


def test_of_the_coldest_its_half_degree_is_said_and_where_the_cold_does_not_count_nothing():
    cold = task(230.0, 60.0, 6.0, 3.0, coldest=10.5)
    assert because(cold, Amounts(water=900.0), "water").endswith("stays dissolved at 10.5 °C.")
    assert "dissolved" not in because(replace(cold, solubility_counts=False), Amounts(water=900.0), "water")


@pytest.mark.parametrize(
    ("copper", "acid", "water", "said"),
    [
        (230.0, 50.0, 0.025, "thins copper sulfate to 224 g/L, nearer the middle of the window."),  # 230 / 1.025
        (215.0, 60.0, 0.02, "thins sulfuric acid to 59 g/L, nearer the middle of the window."),  # 60 / 1.02
        (215.0, 50.0, 0.02, ""),  # both are below the middle, 221.5 and 52.5
        (225.0, 50.0, 0.12, ""),  # 201 g/L: on its other side, and six times as far
    ],
)
def test_water_in_a_bath_that_is_inside_is_for_what_it_brings_nearer_the_middle(copper, acid, water, said):
    bath = task(copper, acid, 1.0, 0.5, coldest=25.0)
    assert because(bath, Amounts(water=1000 * bath.volume * water), "water") == said
    assert because(replace(bath, aim="least"), Amounts(water=1000 * bath.volume * water), "water") == ""


def test_a_dose_that_makes_it_sure_enough_says_that_it_would_be_too_near_the_edge():
    """Copper sulfate 1.78 and acid 1.76 standard uncertainties within a limit: 96 % sure each, both together 92 %."""
    edge = task(240.0, 34.4, 4.5, 2.5, coldest=25.0)
    assert because(edge, Amounts(acid=30.0), "acid") == (  # 5 g/L
        " Without this dose it would end at 34 g/L, too near the edge of the window to be inside as surely as asked."
    )


def test_a_dose_of_less_than_the_last_figure_names_no_number_for_where_it_would_end():
    """173.6 g of acid in 5.85 L are 29.7 g/L, where 30 is the least; 3.7 g at 96 % make it 30.3: both are 30."""
    bath = task(221.0, 31.0, 1.0, 0.1, coldest=25.0)
    assert because(bath, Amounts(water=250.0, acid=3.7), "acid") == " Without this dose it would end below the window."


def with_chloride(bath, held, standard_uncertainty):
    verdicts = {**bath.verdicts, "chloride": judge(held, standard_uncertainty, LIMITS["chloride"])}
    return changed(bath, chloride=held, chloride_standard_uncertainty=standard_uncertainty, verdicts=verdicts)


def test_water_thins_chloride_that_may_be_too_high():
    """115 mg/L, where 120 is the most: 1.25 standard uncertainties of 4, so that it is 11 % too high; of 2, 0.6 %."""
    bath = task(221.0, 50.0, 1.0, 0.5, coldest=25.0)
    water = Amounts(water=100.0)
    assert because(with_chloride(bath, 115.0, 4.0), water, "water") == "thins what may be too high: chloride."
    assert because(with_chloride(bath, 115.0, 2.0), water, "water") == ""


def test_chloride_that_water_makes_too_little_is_known_the_better_for_the_water():
    """60 ± 3.8 mg/L in 4/3 of the litres are 45 ± 2.85, where 50 is the least: 1.75 times that, 96 % below it."""
    bath = with_chloride(task(221.0, 50.0, 1.0, 0.5, coldest=25.0, most_volume=8.0), 60.0, 3.8)
    amounts = Amounts(water=1000 * bath.volume / 3, chloride=260.0)
    assert because(bath, amounts, "chloride") == " Without this dose it would end at 45 mg/L, below the window."


def test_bath_below_the_brim_is_taken_out_for_what_follows():
    assert because(task(170.0), Amounts(take_out=0.1, crystals=100.0), "take_out") == (
        "It makes room for what follows."
    )


@pytest.mark.parametrize(
    ("copper", "acid", "bath", "stock", "moved"),
    [
        # 18 mL of water brought copper sulfate 0.2 g/L nearer the middle, 0.3 % of the window's width, and 5 g more salt
        (
            "172 ± 4.2",
            "69 ± 2.2",
            {"volume": "5.6 L", "usual_volume": "6.16 L", "coldest": "10 degC"},
            {"crystals": {"on_hand": "200 g"}},
            {"copper sulfate crystals"},
        ),
        # 7 g of crystals for a bath that holds too much: 219 g/L after the water, instead of 222
        (
            "256 ± 13",
            "85 ± 1.3",
            {"volume": "2 L", "coldest": "18 degC"},
            {"acid": {"strength": "37 %"}},
            {"bath", "water"},
        ),
    ],
)
def test_no_step_is_for_a_hair_nearer_the_middle(copper, acid, bath, stock, moved):
    assert set(reasons(copper, acid, {"additives": False, **ANSWERED, **bath}, stock=stock)) == moved


@pytest.mark.parametrize(("copper", "follows"), [("221", False), ("170", True)])
def test_bath_over_the_brim_is_taken_out_for_the_brim(copper, follows):
    said = reasons(f"{copper} ± 6", "52 ± 3", {"usual_volume": "4.7 L", "max_volume": "4.8 L", **WARM})
    assert said["bath"] == f"The tank holds at most 4.80 L{', and it makes room for what follows' if follows else ''}."
    assert (len(said) > 1) == follows


def test_what_a_dose_is_said_to_spare_the_bath_is_so():
    """Of random baths and amounts: where the bath would end without the dose, by grams added up."""
    rng = np.random.default_rng(20261128)
    seen = set()
    for _ in range(100):
        bath = random_task(rng)
        water, crystals, acid = rng.uniform(0, 300, 3) * bath.volume * (1.0, 0.4, 0.2)
        amounts = Amounts(0.0, water, crystals, acid)
        for place, (name, component) in enumerate((("crystals", "copper_sulfate"), ("acid", "sulfuric_acid"))):
            said = WITHOUT.match(because(bath, amounts, name))
            if not said:
                continue
            assert bath.verdicts[component].probability_low < 0.05  # else the verdict is the reason
            without = balance(bath, replace(amounts, **{name: 0.0}))[1 + place]
            low = LIMITS[component][0]
            assert float(said[1]) == pytest.approx(without, abs=0.51)
            if said[2] == "below the window":
                assert without < low
            elif said[2] == "further from the middle of the window":
                ends, middle = balance(bath, amounts)[1 + place], sum(LIMITS[component]) / 2
                assert abs(without - middle) > abs(ends - middle)
                assert without > low
            seen.add(said[2])
    assert {"below the window", "likely below the window", "further from the middle of the window"} <= seen
