"""Random correction tasks, and what is recomputed about them independently of the mass balance and the search. Not a test module."""

import inspect
from dataclasses import fields, replace

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr

from advisor.check.known import Known
from advisor.check.mass_balance import Amounts, Stock, Task
from advisor.check.window import judge, not_measured
from advisor.solution.density import density

NODES = np.polynomial.legendre.leggauss(48)  # within 1e-13 of what 200 give over 300 random tasks
LIMITS = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0), "chloride": (50.0, 120.0)}


def known_bath(
    copper_sulfate: float,
    sulfuric_acid: float,
    foreign_solids: float,
    chloride: float | None,
    covariance: tuple[float, float, float],
    chloride_standard_uncertainty: float,
    volume: float,
    volume_relative_uncertainty: float,
) -> Known:
    """Return what is known of a bath whose copper sulfate and acid were measured. covariance: variance, shared, variance."""
    first, shared, second = covariance
    matrix = np.zeros((4, 4))
    matrix[:2, :2] = [[first, shared], [shared, second]]
    matrix[3, 3] = chloride_standard_uncertainty**2
    measured = {"copper_sulfate", "sulfuric_acid"} | ({"chloride"} if chloride is not None else set())
    return Known(
        ("copper_sulfate", "sulfuric_acid", "foreign_solids", "chloride"),
        np.array([copper_sulfate, sulfuric_acid, foreign_solids, chloride or 0.0]),
        matrix,
        frozenset(measured),
        volume,
        volume_relative_uncertainty,
    )


OF_THE_BATH = tuple(inspect.signature(known_bath).parameters)


def task_of(**told) -> Task:
    """Return a task from what `known_bath` takes and from the task's other fields, all by name."""
    return Task(known_bath(**{name: told.pop(name) for name in OF_THE_BATH}), **told)


def changed(task: Task, **changes) -> Task:
    """Return a task with some of the arguments of `task_of` changed."""
    names = [*OF_THE_BATH, *(field.name for field in fields(task) if field.name != "known")]
    return task_of(**({name: getattr(task, name) for name in names} | changes))


def random_task(rng: np.random.Generator, aim: str = "middle") -> Task:
    """Return a bath of any condition with stock, tank and knowledge of any kind."""
    copper, acid = rng.uniform(80, 330), rng.uniform(5, 120)
    copper_u, acid_u = rng.uniform(1, 0.05 * copper + 3), rng.uniform(0.5, 0.06 * acid + 1.5)
    correlation, volume = rng.uniform(-0.8, 0.3), rng.uniform(1, 30)
    verdicts = {
        "copper_sulfate": judge(copper, copper_u, LIMITS["copper_sulfate"]),
        "sulfuric_acid": judge(acid, acid_u, LIMITS["sulfuric_acid"]),
        "chloride": not_measured(LIMITS["chloride"]),
    }
    chloride, chloride_u = None, 0.0
    if rng.random() < 0.4:
        chloride, chloride_u = rng.uniform(10, 160), rng.uniform(2, 12)
        verdicts["chloride"] = judge(chloride, chloride_u, LIMITS["chloride"])
    stock = Stock(crystals_price=9.0, acid_price=4.0)
    if rng.random() < 0.5:
        stock = replace(stock, acid_strength=0.37, acid_density=1.277)
    if rng.random() < 0.3:
        stock = replace(stock, crystals_on_hand=rng.uniform(0, 1500), acid_on_hand=rng.uniform(0, 1500))
    if rng.random() < 0.2:
        stock = replace(stock, water_chloride=30.0, water_alkalinity=300.0)
    return task_of(
        copper_sulfate=copper,
        sulfuric_acid=acid,
        foreign_solids=rng.uniform(0, 6),
        chloride=chloride,
        covariance=(copper_u**2, correlation * copper_u * acid_u, acid_u**2),
        chloride_standard_uncertainty=chloride_u,
        volume=volume,
        volume_relative_uncertainty=0.011,
        verdicts=verdicts,
        usual_volume=volume * rng.choice([1.0, 1.0, 1.1]),
        least_volume=volume * 0.9,
        most_volume=volume * rng.choice([1.1, 1.2]),
        coldest=rng.uniform(8, 20),
        aim=aim,
        aim_copper_sulfate=221.5,
        aim_sulfuric_acid=52.5,
        stock=stock,
    )


def balance(task: Task, amounts: Amounts) -> tuple[float, float, float]:
    """Return volume [L], copper sulfate and acid [g/L] afterwards: grams added up, the volume found by bisection."""
    kept = task.volume - amounts.take_out
    start = 1000 * kept * float(density(task.copper_sulfate, task.sulfuric_acid, task.foreign_solids))
    stock, chloride = task.stock, amounts.chloride / 1000
    if stock.chloride_density is None:
        millilitres = chloride / (16.5 * 35.45 / 58.44) * 1000  # of salt solution
    else:
        millilitres = chloride / stock.chloride_mass_fraction / stock.chloride_density  # of hydrochloric acid
    brings = 0.9982041 * millilitres  # g: it counts as water of its volume
    total = start + amounts.water + amounts.crystals + amounts.acid + brings
    copper = task.copper_sulfate * kept + amounts.crystals * stock.crystals_pentahydrate
    taken_by_water = stock.water_alkalinity / 1000 * amounts.water / 998.2041 * 98.07 / 100.09
    acid = task.sulfuric_acid * kept + amounts.acid * stock.acid_strength - taken_by_water
    foreign = task.foreign_solids * kept + amounts.crystals * stock.crystals_inert
    volume = brentq(
        lambda v: 1000 * v * float(density(copper / v, acid / v, foreign / v)) - total,
        0.2 * kept,
        100 * kept,
        xtol=1e-12,
    )
    return volume, copper / volume, acid / volume


def probability_of_both(task: Task, amounts: Amounts) -> float:
    """Return how surely copper sulfate and acid are inside afterwards: what is known shrinks as the bath does.

    An error of the volume moves both by what they are moved, one of the stock by what it brings (0.6 % of the crystals,
    1.0 % of the acid).
    """
    volume, copper, acid = balance(task, amounts)
    kept = (task.volume - amounts.take_out) / volume
    moved = [
        task.volume * task.volume_relative_uncertainty / volume * (before - after)
        for before, after in ((task.copper_sulfate, copper), (task.sulfuric_acid, acid))
    ]
    salt, pure = amounts.crystals * task.stock.crystals_pentahydrate, amounts.acid * task.stock.acid_strength
    covariance = (
        kept**2 * task.covariance[0] + moved[0] ** 2 + (0.006 * salt / volume) ** 2,
        kept**2 * task.covariance[1] + moved[0] * moved[1],
        kept**2 * task.covariance[2] + moved[1] ** 2 + (0.010 * pure / volume) ** 2,
    )
    return float(probability_of_box((copper, acid), covariance, (LIMITS["copper_sulfate"], LIMITS["sulfuric_acid"])))


def probability_of_box(mean, covariance, limits):
    """Return P(both inside) by conditioning on the first value: Gauss-Legendre over its interval; numbers or arrays."""
    variance, shared, other = (np.asarray(part, dtype=float)[..., None] for part in covariance)
    mean = [np.asarray(part, dtype=float)[..., None] for part in mean]
    nodes, weights = NODES
    spread = np.sqrt(variance)
    low = np.maximum(limits[0][0], mean[0] - 9 * spread)
    high = np.maximum(np.minimum(limits[0][1], mean[0] + 9 * spread), low)  # where none is inside, no width is left
    x = 0.5 * (high - low) * nodes + 0.5 * (high + low)
    density_x = np.exp(-0.5 * ((x - mean[0]) / spread) ** 2) / spread / np.sqrt(2 * np.pi)
    y = mean[1] + shared / variance * (x - mean[0])
    y_spread = np.sqrt(other - shared**2 / variance)
    inside = ndtr((limits[1][1] - y) / y_spread) - ndtr((limits[1][0] - y) / y_spread)
    return np.sum(0.5 * (high - low) * weights * density_x * inside, axis=-1)
