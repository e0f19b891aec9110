"""The mass balance: how sure it is that a bath ends inside, against random true baths taken through the same steps."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.check.mass_balance import Amounts, Task, both_inside, forward
from advisor.check.ways import _changed
from tests.random_tasks import LIMITS, changed, random_task

DRAWS = 4000


def share_inside(task: Task, done) -> float:
    """Return how often true baths, drawn from what is known of this one, end inside both limits."""
    rng = np.random.default_rng(20261125)
    covariance = [[task.covariance[0], task.covariance[1]], [task.covariance[1], task.covariance[2]]]
    inside = 0
    for copper, acid in rng.multivariate_normal([task.copper_sulfate, task.sulfuric_acid], covariance, DRAWS):
        volume = task.volume * (1 + task.volume_relative_uncertainty * rng.standard_normal())
        after = done(changed(task, copper_sulfate=copper, sulfuric_acid=acid, volume=volume))
        inside += all(low <= getattr(after, name) <= high for name, (low, high) in LIMITS.items() if name != "chloride")
    return inside / DRAWS


# Water that goes or comes, salt and acid that come or go: from baths that end near a limit.
@pytest.mark.slow
@pytest.mark.parametrize(
    ("copper", "acid", "salt", "brought", "water"),
    [
        (185.0, 45.0, 0.0, 0.0, -400.0),
        (240.0, 72.0, 0.0, 0.0, 300.0),
        (235.0, 55.0, 60.0, 0.0, 0.0),
        (215.0, 32.0, -90.0, 40.0, 25.0),
    ],
)
def test_the_probability_of_both_inside_is_that_of_random_true_baths(copper, acid, salt, brought, water):
    task = changed(
        random_task(np.random.default_rng(1)),
        copper_sulfate=copper,
        sulfuric_acid=acid,
        covariance=(9.0, -1.0, 2.0),
        volume=5.0,
        volume_relative_uncertainty=0.15,
    )
    stated = _changed(task, salt, brought, water).probability_in
    assert share_inside(task, lambda true: _changed(true, salt, brought, water)) == pytest.approx(stated, abs=0.025)


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
