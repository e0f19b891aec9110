"""The mass balance: how sure it is that a bath ends inside, against random true baths taken through the same steps."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import qmc

from advisor.check.mass_balance import Amounts, Stock, Task, both_inside, chloride_for, forward, outcome
from advisor.check.ways import _changed
from advisor.check.window import judge, not_measured
from tests.random_tasks import LIMITS, balance, changed, probability_of_both, random_task

NOTHING = (0.0, 0.0, 0.0, 0.0, 0.0)  # moved


def share_inside(task: Task, done, draws: int) -> float:
    """Return how many true baths, spread evenly over what is known of this one (Sobol), end inside both limits."""
    normal = ndtri(qmc.Sobol(3, rng=1).random(draws))
    covariance = [[task.covariance[0], task.covariance[1]], [task.covariance[1], task.covariance[2]]]
    contents = np.array([task.copper_sulfate, task.sulfuric_acid]) + normal[:, :2] @ np.linalg.cholesky(covariance).T
    inside = 0
    for (copper, acid), off in zip(contents, normal[:, 2], strict=True):
        volume = task.volume * (1 + task.volume_relative_uncertainty * off)
        after = done(changed(task, copper_sulfate=copper, sulfuric_acid=acid, volume=volume))
        inside += all(low <= getattr(after, name) <= high for name, (low, high) in LIMITS.items() if name != "chloride")
    return inside / draws


# Water that goes or comes, salt and acid that come or go: from baths that end near a limit.
@pytest.mark.slow
@pytest.mark.parametrize(("volume_known_to", "off", "draws"), [(0.05, 0.01, 1024), (0.15, 0.025, 4096)])
@pytest.mark.parametrize(
    ("copper", "acid", "salt", "brought", "water"),
    [
        (185.0, 45.0, 0.0, 0.0, -400.0),
        (240.0, 72.0, 0.0, 0.0, 300.0),
        (235.0, 55.0, 60.0, 0.0, 0.0),
        (215.0, 32.0, -90.0, 40.0, 25.0),
    ],
)
def test_the_probability_of_both_inside_is_that_of_random_true_baths(
    copper, acid, salt, brought, water, volume_known_to, off, draws
):
    """It is told by lines, which err by half a hundredth for a level as people read it, and by two for 5 ± 1.5 L."""
    task = changed(
        random_task(np.random.default_rng(1)),
        copper_sulfate=copper,
        sulfuric_acid=acid,
        covariance=(9.0, -1.0, 2.0),
        volume=5.0,
        volume_relative_uncertainty=volume_known_to,
    )
    stated = _changed(task, salt, brought, water).probability_in
    found = share_inside(task, lambda true: _changed(true, salt, brought, water), draws)
    assert found == pytest.approx(stated, abs=off)


@pytest.mark.parametrize("seed", range(4))
def test_grams_add_up_and_what_is_known_shrinks_with_the_bath(seed):
    """Whatever goes out or in, by bisection on the density and by integration of the probability."""
    rng = np.random.default_rng(seed)
    task = random_task(rng)
    copper, acid = rng.uniform(205, 240), rng.uniform(35, 70)  # where the probability is neither 0 nor 1
    task = changed(task, copper_sulfate=copper, sulfuric_acid=acid, volume=5.0, volume_relative_uncertainty=0.05)
    amounts = Amounts(*(float(most * rng.random()) for most in (0.5, 400, 150, 100, 400)))
    after = forward(task, amounts)
    volume, copper, acid = balance(task, amounts)
    assert (after.volume, after.copper_sulfate, after.sulfuric_acid) == pytest.approx((volume, copper, acid), rel=1e-9)
    alone = changed(task, chloride=None)
    assert forward(alone, amounts).probability_in == pytest.approx(probability_of_both(task, amounts), abs=1e-6)


def chloride_low(**stock) -> Task:
    """Return a bath of 8 L with 20 ± 3 mg/L of chloride, where 50 to 120 are wanted."""
    task = random_task(np.random.default_rng(5))
    verdicts = {**task.verdicts, "chloride": judge(20.0, 3.0, LIMITS["chloride"])}
    bath = {"copper_sulfate": 220.0, "sulfuric_acid": 55.0, "chloride": 20.0, "chloride_standard_uncertainty": 3.0}
    return changed(task, volume=8.0, verdicts=verdicts, stock=Stock(**stock), **bath)


@pytest.mark.parametrize(
    "source", [{}, {"chloride_density": 1.049, "chloride_mass_fraction": 0.0972}], ids=["salt", "acid"]
)
def test_chloride_comes_to_its_goal_in_spite_of_its_water(source):
    """Of 8 L with 20 mg/L to 85: 520 mg and, for the 52 mL of salt solution that they come in, 4.5 mg more (0.9 %)."""
    task = chloride_low(**source)
    added = float(chloride_for(task, 85.0, 20.0, 8.0))
    assert forward(task, Amounts(chloride=added)).chloride == pytest.approx(85.0, abs=0.02)
    assert added == pytest.approx(520.0 / (1 - 85 / 10009) if not source else 520.5, abs=0.2)
    assert chloride_for(task, 15.0, 20.0, 8.0) == 0


def test_chloride_that_is_to_come_counts_as_there():
    """With nothing moved 20 ± 3 mg/L are surely too little, and as surely inside once 525 mg have been stirred in."""
    task = chloride_low()
    now, later = forward(task, Amounts()), outcome(task, NOTHING, chloride_made_up=True)
    added = forward(task, Amounts(chloride=float(chloride_for(task, 85.0, 20.0, 8.0))))
    assert now.probability_in < 1e-9
    full = changed(task, chloride=200.0, verdicts={**task.verdicts, "chloride": judge(200.0, 3.0, LIMITS["chloride"])})
    assert forward(full, Amounts()).probability_in < 1e-9  # 120 are the most
    assert (later.volume, later.copper_sulfate, later.probability_in) == pytest.approx(
        (added.volume, added.copper_sulfate, added.probability_in)
    )
    assert later.chloride == pytest.approx(20.0 * 8.0 / later.volume)  # it is not there yet
    part = outcome(task, (0.0, 0.0, 0.0, 0.0, 200.0), chloride_made_up=True)  # and the rest of it is to come
    assert part.volume == pytest.approx(later.volume, abs=1e-4)
    litre = (0.0, 998.2, 0.0, 0.0, 0.0)  # of tap water brings 100 mg, which 10 mL of the salt solution need not
    distilled, tap = (
        outcome(chloride_low(water_chloride=held), litre, chloride_made_up=True).volume for held in (0.0, 100.0)
    )
    assert distilled - tap == pytest.approx(0.010, abs=0.0005)


def test_chloride_without_a_lower_limit_is_never_too_little():
    task = chloride_low()
    verdicts = {**task.verdicts, "chloride": judge(20.0, 3.0, (0.0, 120.0))}
    free, unread = changed(task, verdicts=verdicts), changed(task, chloride=None)
    expected = outcome(unread, NOTHING, chloride_made_up=False)
    for made_up in (False, True):
        found = outcome(free, NOTHING, made_up)
        assert found.volume == pytest.approx(expected.volume)
        assert found.probability_in == pytest.approx(expected.probability_in)
    assert outcome(unread, NOTHING, chloride_made_up=True) == expected


@pytest.mark.parametrize(("water", "solution"), [(0.1, 0.0), (1.0, 0.0285)])
def test_chloride_that_was_inside_is_made_up_only_where_it_is_thinned_to_the_edge(water, solution):
    """60 ± 2 mg/L in 8 L. With 0.1 L of water 59.3 ± 2.0 are 4.7 of these above 50: it stays as it is.

    With 1 L 53.3 ± 1.8 are 1.9 of them, so that 97 % are left: (85 - 53.4) · 9 = 285 mg are added in the end, in 28.5 mL
    of a solution of 10 g/L.
    """
    task = chloride_low()
    verdicts = {**task.verdicts, "chloride": judge(60.0, 2.0, LIMITS["chloride"])}
    task = changed(task, chloride=60.0, chloride_standard_uncertainty=2.0, verdicts=verdicts)
    now, later = (outcome(task, (0.0, 998.2 * water, 0.0, 0.0, 0.0), made_up) for made_up in (False, True))
    assert later.volume - now.volume == pytest.approx(solution, abs=0.0005)


def test_what_no_reading_speaks_of_binds_nothing_and_is_not_thinned():
    task = chloride_low()
    assert (task.limits("sulfuric_acid"), task.may_thin) == (LIMITS["sulfuric_acid"], True)
    unknown = changed(task, verdicts={**task.verdicts, "sulfuric_acid": not_measured(LIMITS["sulfuric_acid"])})
    assert unknown.limits("sulfuric_acid") == pytest.approx((0.0, 1e6))
    assert (unknown.may_thin, replace(unknown, thins_unknown=True).may_thin) == (False, True)
    assert changed(task, verdicts={**task.verdicts, "sulfuric_acid": not_measured(None)}).may_thin
    free = changed(task, verdicts={**task.verdicts, "sulfuric_acid": judge(55.0, 2.0, None)})
    assert free.limits("sulfuric_acid") == pytest.approx((0.0, 1e6))


@pytest.mark.parametrize(("spreads", "known"), [((13, 11), True), ((30, 11), False), ((13, 20), False)])
def test_a_bath_is_well_known_where_both_are(spreads, known):
    """220 g/L to a tenth or 13.25 (a quarter of 53), so below 22; 55 g/L to 11.25, a quarter of 45."""
    covariance = (spreads[0] ** 2, 0.0, spreads[1] ** 2)
    assert changed(chloride_low(), covariance=covariance).well_known == known


def test_what_is_not_said_of_the_stock_is_usual_acid_table_salt_and_distilled_water():
    """Sodium chloride is 35.45/58.44 chloride; distilled water brings none, and takes no acid."""
    assert Stock().acid_strength == 0.96
    assert Stock().crystals_pentahydrate + Stock().crystals_inert == pytest.approx(1.0)
    assert Stock().chloride_mass_fraction == pytest.approx(35.45 / 58.44, rel=1e-3)
    task = chloride_low()
    after = forward(task, Amounts(water=998.2))
    assert after.chloride * after.volume == pytest.approx(20.0 * 8.0, rel=1e-9)
    assert after.sulfuric_acid * after.volume == pytest.approx(55.0 * 8.0, rel=1e-9)


@pytest.mark.parametrize(("volume", "usual", "low"), [(7.7, 8.0, True), (7.8, 8.0, False), (7.8, 9.0, False)])
def test_a_level_is_low_where_three_percent_are_missing_that_the_tank_holds(volume, usual, low):
    """0.97 · 8 = 7.76 L, and of 9 L the tank holds 8 only."""
    assert changed(chloride_low(), volume=volume, usual_volume=usual, most_volume=8.0).level_is_low == low


def test_what_an_addition_costs():
    """500 g at 9 a kilogram are 4.50, 200 mL (367.1 g) at 4 a litre 0.80; what is not bought needs no price."""
    priced = Stock(crystals_price=9.0, acid_price=4.0)
    assert priced.cost(500.0, 367.1) == pytest.approx(5.30)
    assert Stock().usual_cost(500.0, 367.1) == pytest.approx(5.30)
    assert Stock(crystals_price=5.0, acid_price=10.0).usual_cost(500.0, 367.1) == pytest.approx(2.5 + 2.0)
    assert Stock(crystals_price=9.0).cost(500.0, 0.0) == pytest.approx(4.50)
    assert Stock(acid_price=4.0).cost(0.0, 367.1) == pytest.approx(0.80)
    assert Stock(crystals_price=9.0).cost(500.0, 1.0) is Stock(acid_price=4.0).cost(1.0, 367.1) is None


def test_who_has_all_for_nothing_is_to_pour_in_no_more_than_who_pays_as_usual():
    """Of 5 L 500 g of crystals at 9 a kilogram and 250 g of acid of 1.8355 g/mL at 4 a litre: 4.5 + 0.545."""
    amounts = np.array([[0.1], [200.0], [50.0], [25.0]])
    free, usual = (stock.share_of_much(amounts, 5.0) for stock in (Stock(crystals_price=0.0, acid_price=0.0), Stock()))
    assert free == usual == pytest.approx(0.1)
    salt_free = Stock(crystals_price=0.0).share_of_much(amounts * [[1], [1], [9], [1]], 5.0)
    assert salt_free == pytest.approx(0.1)


def test_the_ways_and_the_correction_reckon_alike():
    task = changed(random_task(np.random.default_rng(3)), chloride=None)
    after = forward(task, Amounts(water=300.0))
    assert both_inside(task, after.volume, after.copper_sulfate, after.sulfuric_acid) == after.probability_in


def test_the_chloride_of_tap_water_goes_into_the_bath():
    """5 L with 80 mg/L hold 400 mg, and a litre of tap water (998.2041 g) with 50 mg/L brings 50 mg: 450 mg in all."""
    task = random_task(np.random.default_rng(1))
    task = changed(task, chloride=80.0, volume=5.0, stock=replace(task.stock, water_chloride=50.0))
    after = forward(task, Amounts(water=998.2041))
    assert after.chloride * after.volume == pytest.approx(450.0, rel=1e-6)


def test_the_water_of_the_salt_solution_goes_into_the_bath():
    """60 mL of it hold 600 mg of chloride and are 59.9 g of water: of 220 g/L in 8 L, 220 · 8/8.06 = 218.4 are left."""
    stock = replace(random_task(np.random.default_rng(5)).stock, chloride_kind="sodium chloride", chloride_density=None)
    bath = {"copper_sulfate": 220.0, "sulfuric_acid": 60.0, "chloride": 20.0, "volume": 8.0}
    after = forward(changed(random_task(np.random.default_rng(5)), stock=stock, **bath), Amounts(chloride=600.6))
    assert after.volume == pytest.approx(8.06, abs=0.002)
    assert after.copper_sulfate == pytest.approx(218.4, abs=0.05)
    assert after.chloride * after.volume == pytest.approx(20.0 * 8.0 + 600.6, rel=1e-9)
