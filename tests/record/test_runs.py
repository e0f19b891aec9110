"""Faraday's law against the scale, and what anodes feed against what is deposited: arithmetic of the tests' own."""

import random

import pytest

from advisor.record.entries import RunDone, charge_of
from advisor.record.runs import ABOVE, AGREES, BELOW, BY_THE_CHARGE, VAGUE, deposit_of, feeds, run_as_planned
from advisor.words.cautions import Act
from tests.record.some_days import on

# g/mol, C/mol, g/mL: CODATA 2018 and IUPAC 2021, typed here from memory, not taken from the tool
CU, CRYSTAL, ACID, FARADAY, DENSITY = 63.546, 249.68, 98.07, 96485.33, 8.96


def grams(ampere_hours: float) -> float:
    return ampere_hours * 3600 * CU / (2 * FARADAY)


def run(**fields: str) -> RunDone:
    return on(0, "run", **fields).content


# --- One run --------------------------------------------------------------------------------------


def test_copper_and_thickness_follow_from_charge_and_area():
    """1.2 A for 6 h: 8.54 g; on 85 cm² that is 112 µm. Known to 3 % (a display), the area to 5 %."""
    found = deposit_of(run(current="1.2 A", time="6 h", area="85 cm^2"))
    assert found.expected.value == pytest.approx(grams(7.2), rel=1e-4)
    assert found.expected.standard_uncertainty == pytest.approx(0.03 * grams(7.2), rel=1e-4)
    assert found.thickness is not None
    assert found.thickness.value == pytest.approx(grams(7.2) / DENSITY / 85 * 1e4, rel=1e-4)
    assert found.thickness.standard_uncertainty / found.thickness.value == pytest.approx(0.0583, abs=1e-4)
    assert found.efficiency is None
    assert found.meaning() == ""
    assert len(found.lines()) == 2


def test_typed_ranges_stand_in_place_of_the_usual_ones():
    found = deposit_of(run(current="1.00 ± 0.0196 A", time="10 h", area="100 ± 3.92 cm^2"))
    assert found.expected.standard_uncertainty == pytest.approx(0.01 * grams(10), rel=1e-3)
    assert found.thickness is not None
    assert found.thickness.standard_uncertainty / found.thickness.value == pytest.approx((0.01**2 + 0.02**2) ** 0.5)


@pytest.mark.parametrize(
    ("current", "time", "percent"),
    [
        ("2 A", "60 min", 3.0),
        ("2 A", "60 ± 0.1 min", 3.0),  # a clock read to seconds does not make a display true
        ("2 ± 0.0392 A", "60 min", 1.0),
        ("2 ± 0.0392 A", "60 ± 1.176 min", 2**0.5),
    ],
)
def test_a_charge_is_as_sure_as_the_current_and_the_clock(current, time, percent):
    """Two runs on one display err alike; of a current with a ± of its own, each for itself."""
    each = [on(day, "run", current=current, time=time) for day in (0, 1)]
    assert each[0].content.charged == (pytest.approx(2.0), pytest.approx(2.0 * percent / 100, abs=1e-4))
    alike = 2 if percent == 3.0 else 2**0.5
    assert charge_of(each) == (pytest.approx(4.0), pytest.approx(alike * 2.0 * percent / 100, abs=1e-4))


@pytest.mark.parametrize(("after", "far"), [("57 g", True), ("68 g", True), ("63 g", False), ("64 g", False)])
def test_a_weighing_that_does_not_count_is_told(after, far):
    """12 A·h deposit 14.2 g: 7 and 18 g are 49 and 127 % of that, and the charge counts in their place."""
    weighed = run(charge="12 A*h", part_before="50 g", part_after=after)
    assert (BY_THE_CHARGE in [str(said) for said in deposit_of(weighed).lines()]) == far
    assert (weighed.copper == pytest.approx(grams(12), rel=1e-4)) == far


def test_without_an_area_nothing_is_said_of_thickness():
    assert deposit_of(run(charge="5 A*h")).thickness is None


@pytest.mark.parametrize(
    ("share", "after", "meaning"),
    [
        (1.00, "± 0.02 g", AGREES),
        (0.97, "± 0.02 g", AGREES),
        (1.10, "± 0.02 g", ABOVE),
        (1.10, "± 0.0002 g", ABOVE),
        (1.03, "± 0.02 g", AGREES),  # a display's 3 % leave that open
        (0.88, "± 0.02 g", BELOW),
        (0.60, "± 0.02 g", BELOW),
        (0.96, "± 0.02 g", AGREES),
        (0.90, "± 2 g", VAGUE),
        (1.20, "± 5 g", VAGUE),
    ],
)
def test_the_efficiency_says_what_it_means(share, after, meaning):
    gained = share * grams(8)
    found = deposit_of(run(charge="8 A*h", part_before="50.00 ± 0.02 g", part_after=f"{50 + gained:.3f} {after}"))
    assert found.efficiency is not None
    assert found.efficiency.value == pytest.approx(share, abs=1e-3)
    assert found.meaning() == meaning
    assert meaning in found.lines()[1]
    assert (Act.REACHING_IN in found.acts) == (meaning == BELOW)


def test_a_little_more_than_all_of_the_charge_is_still_in_agreement():
    """1.5 % too much, though scale and meter are too fine for it to be chance; 2.5 % is more than any bath does."""
    for share, meaning in ((1.015, AGREES), (1.025, ABOVE)):
        after = f"{50 + share * grams(8):.3f} ± 0.001 g"
        assert deposit_of(run(charge="8 ± 0.01 A*h", part_before="50 ± 0.001 g", part_after=after)).meaning() == meaning


def test_a_part_that_was_weighed_is_as_thick_as_the_scale_says():
    """9.00 g on 100 cm² are 9/8.96/100 cm, 100.4 µm; 8 A·h deposit 9.48 g, of which that is 94.9 %."""
    found = deposit_of(run(charge="8 A*h", area="100 cm^2", part_before="50.00 g", part_after="59.00 g"))
    assert found.thickness.value == pytest.approx(100.4, abs=0.1)
    assert "Copper by the scale: 9.000 ± 0.016 g, which is 95 ± 6 % of the charge." in str(found.lines()[2])


def test_a_planned_run_is_written_down_as_it_was_planned():
    planned = run_as_planned(2.0, 1.5, 0.85, " a bowl ")
    assert planned.sentence() == "A bowl plated at 2 A for 1.5 h on 85 cm²: 3.00 ± 0.18 A·h"
    assert (planned.ampere_hours, planned.area.value) == (pytest.approx(3.0), pytest.approx(0.85))


def test_a_scale_of_a_gram_counts_as_one_in_its_last_digit():
    """20 ± 1 and 29 ± 1, each evenly spread: 9 g, standard uncertainty the root of 2/3."""
    found = deposit_of(run(charge="8 A*h", part_before="20 g", part_after="29 g"))
    assert found.gained == pytest.approx((9.0, (2 / 3) ** 0.5))


# --- Anodes ---------------------------------------------------------------------------------------


def test_feed_is_held_against_the_deposit():
    """1240 to 1180 g is 60 g fed; 40 A·h deposit 47.4 g: 12.6 g of copper came, 49.5 g of crystals, 19.4 g acid gone."""
    entries = [on(0, "anode-mass", mass="1240 g"), on(1, "run", charge="40 A*h"), on(9, "anode-mass", mass="1180 g")]
    (found,) = feeds(entries)
    assert found.dissolved.value == pytest.approx(60)
    assert found.deposited.value == pytest.approx(grams(40), rel=1e-4)
    assert found.days == pytest.approx(9)
    came = 60 - grams(40)
    assert found.net.value == pytest.approx(came, rel=1e-3)
    # The charge counts as known to 3 %, what was written down of it to 6 %: 1.96 · 3.93 · 3.3 g.
    assert "gained 50 ± 30 g" in found.lines()[1]
    assert f"lost {came * ACID / CU:.0f} ± 10 g of acid" in found.lines()[1]  # 1.96 · 1.54 · 3.3 g
    assert "copper rises and acid falls" in found.way()
    assert found.acts == (Act.REACHING_IN,)


@pytest.mark.parametrize(("last", "way"), [("1193 g", "balance"), ("1230 g", "copper falls and acid rises")])
def test_feed_says_where_copper_and_acid_go(last, way):
    entries = [on(0, "anode-mass", mass="1240 g"), on(1, "run", charge="40 A*h"), on(9, "anode-mass", mass=last)]
    (found,) = feeds(entries)
    assert way in found.way()
    assert (Act.WIPING_ANODES in found.acts) == ("falls" in way)


def test_other_anodes_begin_a_new_account_and_a_weighed_part_counts_by_the_scale():
    entries = [
        on(0, "anode-mass", mass="1240 g"),
        on(1, "anodes", anodes="phosphorised copper", mass="2000 g"),
        on(2, "run", charge="10 A*h", part_before="10.0 g", part_after="21.3 g"),
        on(3, "anode-mass", mass="1988.7 g"),
        on(4, "anodes", anodes="other copper"),
        on(5, "anode-mass", mass="500 g"),
    ]
    (found,) = feeds(entries)
    assert found.net.value == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_over_a_year_the_account_of_the_anodes_closes(seed):
    """Anodes that feed 97 to 104 % and dissolve a little in between; weighed monthly to 1 g. All sums are made here."""
    chance = random.Random(seed)
    anode = 5000.0
    entries = [on(0, "anode-mass", mass=f"{anode:.0f} g")]
    deposited = 0.0
    for day in range(1, 361):
        anode -= 0.02  # idle
        if chance.random() < 0.4:
            hours = chance.randint(10, 120) / 10
            copper = grams(1.5 * hours)
            deposited += copper
            anode -= chance.uniform(0.97, 1.04) * copper
            entries.append(on(day, "run", current="1.5 A", time=f"{hours} h"))
        if day % 30 == 0:
            entries.append(on(day + 0.1, "anode-mass", mass=f"{anode:.0f} g"))
    found = feeds(entries)
    assert len(found) == 12
    assert sum(each.deposited.value for each in found) == pytest.approx(deposited, rel=1e-4)
    assert sum(each.dissolved.value for each in found) == pytest.approx(5000 - anode, abs=0.51)
    assert sum(each.net.value for each in found) == pytest.approx(5000 - anode - deposited, abs=0.6)
