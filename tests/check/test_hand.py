"""What the hand needs: liquid to dissolve crystals in, the water that was counted on, amounts that a jug measures."""

import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.check.advise import advise
from advisor.check.dissolving import BRISKLY, WARMED_TO, dissolving, liquid_for
from advisor.check.headline import headline
from advisor.check.pouring import LEAST_WATER
from advisor.check.steps import step_amount
from advisor.sheet import read_sheet
from advisor.solution.composition import Masses, composition, masses
from advisor.solution.solubility import saturation


def advised(copper, acid, bath=None, **tables):
    held = {"copper_sulfate": f"{copper} g/L", "sulfuric_acid": f"{acid} g/L"}
    reading = {"kind": "previous check", "since": "evaporation only", **held}
    raw = {"bath": {"volume": "5 L", **(bath or {})}, "reading": [reading], **tables}
    return advise(read_sheet(raw))


def how(advice, what):
    return next(step.how for step in advice.steps if step.what == what)


# --- Crystals -------------------------------------------------------------------------------------


def test_crystals_come_with_the_litres_that_dissolve_them():
    """150/52 g/L in 5 L: 71 g/L short of the middle, 355 g and a little more for their own volume, about 370 g of 99 %.

    At 35 °C a bath with 52 g/L acid holds about 335 g/L; four fifths of it, 268, less the 150 that are in are 118 g/L,
    and 370 g take 0.89 · 366/118 = 2.8 L, more than half of the tank: two lots of 1.4 L.
    """
    said = how(advised("150 ± 6", "52 ± 3"), "copper sulfate crystals")
    assert "bath drawn from the tank" in said
    litres = float(re.search(r"in ([\d.]+) L of bath", said)[1])
    assert litres == pytest.approx(1.4, abs=0.15)
    assert "in 2 lots one after the other, each in " in said
    few = how(advised("185 ± 4", "52 ± 3"), "copper sulfate crystals")
    assert "lots" not in few


def test_the_plans_own_water_comes_first():
    """5 of 6 L, 190/45 g/L: a litre goes in; of that what the acid leaves takes the salt, at about 0.28 L for 100 g."""
    advice = advised("190 ± 6", "45 ± 3", {"usual_volume": "6 L"})
    step = next(step for step in advice.steps if step.what == "copper sulfate crystals")
    kept = float(re.search(r"the ([\d.]+) L of water kept back for them", step.how)[1])
    assert step_amount(advice.steps[0]).startswith(f"Measure out {kept:.2f} L of water")
    assert kept >= liquid_for(step.numbers["mass_g"] * 0.99, 0.0, 0.0) - 0.005 or "bath drawn" in step.how


@pytest.mark.parametrize(
    ("copper", "acid", "thins"),
    [
        ("150 ± 6", "73 ± 8", "This thins what may be too high: sulfuric acid."),  # 75 g/L is well within its ±
        ("265 ± 6", "60 ± 3", "This thins what is too high: copper sulfate."),
        ("270 ± 6", "80 ± 3", "This thins what is too high: copper sulfate and sulfuric acid."),
    ],
)
def test_water_says_what_it_thins_no_more_surely_than_that_is_known(copper, acid, thins):
    assert how(advised(copper, acid, {"max_volume": "8 L"}), "water").startswith(thins)


def test_water_is_shared_between_crystals_and_acid_and_the_warming_is_of_all_of_the_bath():
    """276 g of 96 % acid are 2.7 mol, which give off some 66 kJ each in so much water: 178 kJ.

    5 L of bath and 0.73 L of water take 3.45 J/(g K) · 6.6 kg = 23 kJ for a degree: 8 °C.
    """
    advice = advised("190 ± 6", "10 ± 3", {"usual_volume": "6 L"})
    water, _, acid = advice.steps
    kept = [float(litres) for litres in re.findall(r"([\d.]+) L (?:to dissolve|for the acid)", water.how)]
    assert len(kept) == 2
    assert sum(kept) == pytest.approx(round(water.numbers["volume_L"], 2))  # all that was measured out, to the 10 mL
    assert acid.numbers["mass_g"] == pytest.approx(276, abs=5)
    assert float(re.search(r"whole bath warms by about (\d+) °C", acid.how)[1]) == pytest.approx(8, abs=1)
    assert how(advised("262 ± 6", "62 ± 3", {"usual_volume": "6 L"}), "water").endswith("deionised water.")


def test_water_that_all_goes_in_later_is_measured_out_and_shared_between_the_lots():
    """1.14 L of 4.5 to 6 L: 0.57 for the crystals, which two lots share, 0.57 for the acid; no step of its own."""
    water, crystals, _ = advised("150 ± 6", "20 ± 3", {"volume": "4.5 L", "usual_volume": "6 L"}).steps
    measured = "Measure out 1.14 L of water (1135 g): it goes in with the crystals and the acid"
    assert step_amount(water) == measured
    assert water.how.endswith(" Take 0.57 L to dissolve the crystals in and 0.57 L for the acid.")
    assert "brings the level to" not in water.how
    lots = "in 2 lots one after the other, each in 1.30 L of bath drawn from the tank and half of the 0.57 L of water "
    assert lots + "kept back for them, warmed to about 40 °C" in crystals.how
    alone = advised("250 ± 6", "60 ± 3", {"volume": "4.5 L", "usual_volume": "6 L"}).steps[0]
    assert step_amount(alone).startswith("Add 1.51 L of water")


def test_anhydrous_crystals_want_the_liquid_of_the_pentahydrate_that_they_become():
    """245 g of 99 % become 379 g: in 1 L and their own 0.15 L that is 330 g/L, and at 35 °C 350 g/L are all that stay."""
    stock = {"crystals": {"form": "anhydrous"}}
    advice = advised("190 ± 6", "55 ± 3", {"usual_volume": "6 L"}, stock=stock)
    assert advice.steps[1].numbers["mass_g"] == pytest.approx(245, abs=3)
    assert "of water kept back for it and " in advice.steps[1].how
    assert "warmed" not in advice.steps[1].how  # it heats the liquid by itself
    assert "of bath drawn from the tank" in advice.steps[1].how


@pytest.mark.parametrize(
    ("copper", "acid", "later", "shares"),
    [
        ("150", "20", "the crystals and the acid", " Take 0."),
        ("190", "60", "the crystals", "deionised water."),  # the one thing that it goes in with is said already
        ("218", "45", "", " Keep back 0."),
    ],
)
def test_water_that_all_goes_in_with_what_follows_says_so_once_and_is_not_called_kept_back(copper, acid, later, shares):
    water = advised(f"{copper} ± 6", f"{acid} ± 3", {"usual_volume": "5.8 L"}).steps[0]
    assert (water.what, water.goes_in_with) == ("water", later)
    assert ("Keep back" in water.how) == ("pour in the rest" in water.how) == (not later)
    assert shares in water.how
    assert "goes in with" not in water.how  # `step_amount` says it


@pytest.mark.parametrize("stock", [{}, {"crystals": {"form": "anhydrous"}}])
@pytest.mark.parametrize(("acid", "follows"), [("60", False), ("30", True)])
def test_crystals_are_dissolved_before_acid_only_where_some_goes_in(stock, acid, follows):
    advice = advised("190 ± 6", f"{acid} ± 3", stock=stock)
    told = " ".join((*(step.how for step in advice.steps), *advice.cautions))
    assert ("sulfuric acid" in [step.what for step in advice.steps]) == follows
    assert ("before any acid" in told) == follows
    assert "before the acid goes in" not in told


def test_water_that_is_kept_back_is_not_in_the_tank_until_its_step():
    """Water and bath shrink by less than a millilitre as they mix, so that litres add up to those of the jug."""
    water, crystals = advised("218 ± 6", "45 ± 3", {"usual_volume": "5.8 L"}).steps
    kept = float(re.search(r"Keep back ([\d.]+) L to dissolve the crystals in", water.how)[1])
    level, with_all = re.search(r"level to ([\d.]+) L, and to ([\d.]+) L with the water kept back", water.how).groups()
    poured = water.numbers["volume_L"]
    assert [float(level), float(with_all)] == pytest.approx([5 + poured - kept, 5 + poured], abs=0.011)
    assert f"{water.after.volume:.2f}" == level
    assert crystals.after.volume > 5 + poured  # with them, all of the water is in


def test_a_dose_that_rests_on_a_rough_value_says_what_it_takes_for_granted():
    """130 ± 30 g/L: to be seen as the range it is, in the row, in the glance, at the step and in the list."""
    advice = advised("130 ± 40", "52 ± 3", {"max_volume": "5.5 L"})
    assert advice.values["copper_sulfate"] is None
    assert str(advice.known.shown("copper_sulfate")) == "90 to 170 g/L"
    assert "your readings allow 90 to 170 g/L" in how(advice, "copper sulfate crystals")
    assert "Copper sulfate: 90 to 170 g/L – " in advice.sections()[0].lines[0]
    assert any("copper sulfate may be 90 to 170 g/L" in said for said in headline(advice).beside)
    assert any(granted.what == "copper sulfate in the bath" for granted in advice.taken_for_granted)
    sure = advised("130 ± 6", "52 ± 3")
    assert "for granted" not in how(sure, "copper sulfate crystals")
    assert not any("may be" in said for said in headline(sure).beside)


@settings(max_examples=60, deadline=None)
@given(
    salt=st.floats(1, 3000),
    water=st.floats(0, 5),
    bath=st.floats(0.5, 50),
    copper=st.floats(0, 240),
    acid=st.floats(0, 120),
)
def test_the_liquid_holds_what_is_dissolved_in_it(salt, water, bath, copper, acid):
    """By mass balance and the solubility at 35 °C: no lot comes above the share of the saturation that dissolves briskly."""
    assume(copper < 0.9 * BRISKLY * saturation(WARMED_TO, acid))  # else no plan adds crystals
    found = dissolving(salt, water, bath, copper, acid)
    assert found.water <= water
    assert found.bath <= 0.5 * bath + 1e-9
    there = masses(copper, acid, 0.0, found.bath * found.lots)
    whole = composition(there + Masses(salt, 0.0, 0.0, 998.2 * found.water))
    assert found.water == 0 or found.water >= LEAST_WATER or found.bath == 0  # no splash beside bath from the tank
    ceiling = BRISKLY * saturation(WARMED_TO, whole.sulfuric_acid)
    assert whole.copper_sulfate <= 1.03 * ceiling  # the acid in the water and the bath's own volume are taken roughly


# --- Water ----------------------------------------------------------------------------------------


def test_the_water_that_was_counted_on_is_the_water_that_the_step_names():
    """A litre of tap water of 50 mg/L makes 8 mg/L of chloride in 6 L: with distilled water there would be 8 less."""
    raw = {
        "bath": {"volume": "5 L", "usual_volume": "6 L", "additives": True},
        "stock": {"water": {"chloride": "50 mg/L", "alkalinity": "120 mg/L"}},
        "reading": [
            {
                "kind": "previous check",
                "copper_sulfate": "255 ± 6 g/L",
                "sulfuric_acid": "62 ± 3 g/L",
                "chloride": "96 ± 8 mg/L",
                "since": "evaporation only",
            }
        ],
    }
    advice = advise(read_sheet(raw))
    said = how(advice, "water")
    assert "the water that your sheet describes (50 mg/L chloride, 120 mg/L alkalinity), and no other" in said
    assert "distilled" not in said
    water = next(step for step in advice.steps if step.what == "water").numbers["volume_L"]
    there = advice.estimate.value("chloride") * (advice.volume_L - advice.plan.amounts.take_out)
    assert advice.plan.after.chloride == pytest.approx((there + 50 * water) / advice.plan.after.volume, rel=0.001)
    del raw["stock"]
    assert "Use distilled or deionised water." in how(advise(read_sheet(raw)), "water")


def test_distilled_water_would_have_left_31_where_80_were_counted_on():
    """37.2 mg/L in 5 L, filled up to 6 L: (37.2 · 5 + 294 · 1)/6 = 80 mg/L with the sheet's water, 31 with distilled."""
    raw = {
        "bath": {"volume": "5 L", "usual_volume": "6 L", "max_volume": "6.2 L", "additives": True},
        "stock": {"water": {"chloride": "294 mg/L"}},
        "reading": [
            {
                "kind": "previous check",
                "copper_sulfate": "262 ± 6 g/L",
                "sulfuric_acid": "62 ± 3 g/L",
                "chloride": "37.2 ± 2 mg/L",
                "since": "evaporation only",
                "volume": "5 L",
            }
        ],
    }
    advice = advise(read_sheet(raw))
    after = next(step.after for step in advice.steps if step.what == "water")
    kept = advice.volume_L - advice.plan.amounts.take_out
    assert after.chloride == pytest.approx(80, abs=1.5)
    assert advice.estimate.value("chloride") * kept / after.volume == pytest.approx(31, abs=1.5)
    assert "294 mg/L chloride" in how(advice, "water")


# --- Amounts --------------------------------------------------------------------------------------


@pytest.mark.parametrize("copper", ["222 ± 6", "190 ± 4"])
@pytest.mark.parametrize("acid", ["27 ± 2", "24 ± 1.6"])
def test_nobody_draws_thirteen_millilitres_from_a_tank(copper, acid):
    """A tank of 5 L, full: 16 mL of acid want as much room. A jug takes a hundredth of it, 0.05 L, or wholes of that."""
    advice = advised(copper, acid, {"max_volume": "5 L"})
    assert advice.plan.state == "possible"
    out = advice.plan.amounts.take_out
    assert out >= 0.05 - 1e-9
    assert out / 0.05 == pytest.approx(round(out / 0.05))
    assert advice.plan.after.probability_in >= 0.95


def test_an_end_near_the_edge_says_what_the_middle_would_take():
    """151/20 g/L: salts may raise the level by 3 %, and it ends at 201/36 in 5.15 L, the middle being 221.5/52.5.

    20.7 g/L in 5.15 L are 108 g of 99 %; 17 g/L are 87 g, 90 g of 96 % acid, 49 mL; nothing need go out for concentration.
    """
    warm = {"coldest": "25 degC"}
    advice = advised("151 ± 4", "20 ± 2", warm, stock={"acid": {"strength": "96 %"}})
    (said,) = [text for block in advice.sections() for text in block.lines if "near the edge" in text]
    after = advice.plan.after
    crystals, acid = (float(number) for number in re.search(r"about (\d+) g of crystals and (\d+) mL", said).groups())
    assert crystals == pytest.approx((221.5 - after.copper_sulfate) * after.volume / 0.99, rel=0.06)
    assert acid == pytest.approx((52.5 - after.sulfuric_acid) * after.volume / 0.96 / 1.8355, rel=0.06)
    strong = advised(
        "180 ± 4", "68 ± 2", warm
    )  # 52.5/66.7 of the bath stays: 1.1 of 5.1 L go, with a fifth of the salt
    (said,) = [text for block in strong.sections() for text in block.lines if "near the edge" in text]
    assert "another 1.1 L of bath out and fresh in its place and 240 g of crystals more" in said
    middle = advised("190 ± 4", "27 ± 2")  # as much as that the level leaves room for
    cold = advised("185 ± 4", "52 ± 3", {"coldest": "8 degC"})  # 203 g/L, nine tenths of the 226 that stand at 8 °C
    assert not any(
        "near the edge" in text for end in (middle, cold) for block in end.sections() for text in block.lines
    )
    least = advised("151 ± 4", "20 ± 2", warm, correction={"aim": "least"})
    assert not any("near the edge" in text for block in least.sections() for text in block.lines)
