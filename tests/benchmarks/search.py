"""Whether the search for a correction ever misses: random tasks against brute force. `python -m tests.benchmarks.search`.

Tasks known to 0.005 to 20 %, of 1 to 100 litres, tanks with 2 to 50 % of room, stock that just suffices, cold near the
ceiling, windows 2 to 60 g/L wide, with and without chloride. Brute force is a cloud of random whole amounts in the box of
what may be moved, drawn anew about its best, judged by the exact mass balance alone; it knows nothing of the search.
Reported: feasible tasks refused (feasible: whole amounts with 0.951 are known), distance from the aim and cost against
the best of the cloud, the same bath at 1 and at 100 litres, and the time that a task takes.
"""

import argparse
import math
import sys
import time
from dataclasses import replace

import numpy as np

from advisor.check.correction import ROOM, correct
from advisor.check.mass_balance import Stock, Task, outcome
from advisor.check.search import rounded_to, to_be_moved
from advisor.check.window import judge, not_measured
from advisor.solution.solubility import ceiling_at, crystallises_below
from tests.random_tasks import changed, task_of

FEASIBLE = 0.951
DRAWS, ROUNDS = 4000, 14


def task(rng: np.random.Generator) -> Task:
    """Return a random task; corners are drawn as often as what is usual."""
    volume = float(10 ** rng.uniform(0, 2))
    known = float(10 ** rng.uniform(np.log10(5e-5), np.log10(0.2)))
    width = rng.uniform(2, 60, 2)
    low = np.array([rng.uniform(120, 230), rng.uniform(15, 90)])
    limits = {
        "copper_sulfate": (low[0], low[0] + width[0]),
        "sulfuric_acid": (low[1], low[1] + width[1]),
        "chloride": (50.0, 120.0),
    }
    bath = (low + width / 2) * rng.uniform(0.7, 1.3, 2)
    spread = np.maximum(known * bath, 1e-3)
    verdicts = {
        name: judge(bath[at], spread[at], limits[name]) for at, name in enumerate(("copper_sulfate", "sulfuric_acid"))
    }
    chloride, chloride_spread = None, 0.0
    verdicts["chloride"] = not_measured(limits["chloride"])
    if rng.random() < 0.3:
        chloride, chloride_spread = rng.uniform(20, 160), rng.uniform(1, 8)
        verdicts["chloride"] = judge(chloride, chloride_spread, limits["chloride"])
    room, usual = rng.choice([0.02, 0.05, 0.1, 0.2, 0.5]), volume * rng.choice([1.0, 1.0, 1.08])
    stock = Stock(crystals_price=9.0, acid_price=4.0)
    if rng.random() < 0.5:
        stock = replace(stock, acid_strength=0.37, acid_density=1.277)
    if rng.random() < 0.3:
        needed = np.maximum(low + width / 2 - bath, 1.0) * volume
        stock = replace(
            stock, crystals_on_hand=needed[0] * rng.uniform(0.9, 1.3), acid_on_hand=needed[1] * rng.uniform(0.5, 3)
        )
    warmth = float(crystallises_below(low[0] + width[0] / 2, low[1] + width[1] / 2))
    return task_of(
        copper_sulfate=bath[0],
        sulfuric_acid=bath[1],
        foreign_solids=rng.uniform(0, 6),
        chloride=chloride,
        covariance=(spread[0] ** 2, rng.uniform(-0.8, 0.3) * spread[0] * spread[1], spread[1] ** 2),
        chloride_standard_uncertainty=chloride_spread,
        volume=volume,
        volume_relative_uncertainty=min(0.011, 3 * known),
        verdicts=verdicts,
        usual_volume=usual,
        least_volume=0.9 * volume,
        most_volume=max((1 + room) * volume, usual),
        coldest=float(np.clip(warmth + rng.choice([-8.0, 1.0, 4.0, 8.0, 15.0]), 0.0, 30.0)),
        aim=str(rng.choice(["middle", "least"])),
        aim_copper_sulfate=low[0] + width[0] / 2,
        aim_sulfuric_acid=low[1] + width[1] / 2,
        stock=stock,
        weighed_to=float(rng.choice([0.1, 1.0])),
    )


def brute_force(asked: Task, rng: np.random.Generator, most_out: float, roof: float) -> tuple[float, np.ndarray] | None:
    """Return the best merit and whole amounts (4,) of a cloud drawn again and again about its best; None if none is inside."""
    steps = rounded_to(asked, 0.1)
    stock = asked.stock
    most = np.array(
        [
            most_out,
            1100 * (roof - asked.volume + most_out),
            min(stock.crystals_on_hand, 250 * asked.volume),
            min(stock.acid_on_hand * stock.acid_density, 120 * asked.volume / stock.acid_strength),
        ]
    )
    ceiling, center, width = ceiling_at(asked.coldest), most / 2, most.copy()
    best: tuple[float, np.ndarray] = (-np.inf, center)
    for _ in range(ROUNDS):
        cloud = center[:, None] + width[:, None] * rng.uniform(-0.5, 0.5, (4, DRAWS))
        cloud[:, ::7] = np.where(rng.random((4, cloud[:, ::7].shape[1])) < 0.5, 0.0, cloud[:, ::7])
        cloud = np.round(np.clip(cloud, 0, most[:, None]) / steps[:, None]) * steps[:, None]
        after = outcome(asked, [*cloud, 0.0], True)
        usual = min(asked.usual_volume, asked.most_volume)
        least = usual * 0.9995 if asked.volume < usual else asked.least_volume
        missed = (
            np.maximum(least - after.volume, 0) / asked.volume
            + np.maximum(after.volume - roof, 0) / asked.volume
            + np.maximum(after.copper_sulfate - ceiling(after.sulfuric_acid), 0) / 100
            + np.maximum(FEASIBLE - after.probability_in, 0)
            + 1e-2
            * (after.probability_in < 1e-12)
            * (
                abs(after.copper_sulfate - asked.aim_copper_sulfate)
                + abs(after.sulfuric_acid - asked.aim_sulfuric_acid)
            )
        )
        score = np.where(missed > 0, -1e3 - missed, -_merit(asked, cloud, after))
        at = int(np.argmax(score))
        if score[at] > best[0]:
            best = (float(score[at]), cloud[:, at])
        center, width = best[1], width * 0.65
    return (-best[0], best[1]) if best[0] > -1e3 else None


def _merit(asked: Task, cloud: np.ndarray, after) -> np.ndarray:
    if asked.aim == "least":
        return cloud[2] / 1000 * 9.0 + cloud[3] / asked.stock.acid_density / 1000 * 4.0
    return _distance(asked, after.copper_sulfate, after.sulfuric_acid)


def _distance(asked: Task, copper: float, acid: float) -> float:
    """Return how far a bath is from the aim, in widths of the window, over what is not inside already."""
    total = 0.0
    for name, value in (("copper_sulfate", copper), ("sulfuric_acid", acid)):
        low, high = asked.limits(name)
        if name in to_be_moved(asked):
            total = total + ((value - getattr(asked, f"aim_{name}")) / (high - low)) ** 2
    return np.sqrt(total)


def at_another_size(asked: Task, volume: float) -> Task:
    """Return the same liquid, tank, stock and scale at another volume."""
    factor = volume / asked.volume
    stock = replace(
        asked.stock,
        crystals_on_hand=asked.stock.crystals_on_hand * factor,
        acid_on_hand=asked.stock.acid_on_hand * factor,
    )
    lengths = {
        name: getattr(asked, name) * factor for name in ("volume", "usual_volume", "least_volume", "most_volume")
    }
    return changed(asked, **lengths, stock=stock, weighed_to=0.01 if volume < 10 else 1.0)


def measure(count: int, seconds: float = math.inf, seed: int = 15, all_timed: bool = True) -> dict[str, float]:
    """Return what was found over so many tasks, or as many as the time allows.

    all_timed: whether the search also tries what brute force finds no way for, only to tell its time.
    """
    rng = np.random.default_rng(seed)
    began, took = time.perf_counter(), []
    refused, feasible, far, dear, sized = [], 0, [], [], []
    for number in range(count):
        if time.perf_counter() - began > seconds:
            break
        asked = task(rng)
        roof = max(min(asked.usual_volume * (1 + ROOM), asked.most_volume), asked.volume)
        known = brute_force(asked, rng, 0.0, roof)
        start = time.process_time()
        plan = correct(asked) if known is not None or all_timed else None
        took.append(time.process_time() - start)
        if plan is not None and plan.state == "none needed":
            continue
        if plan is not None and known is not None:
            feasible += 1
            if plan.state != "possible":
                refused.append(number)
            elif plan.amounts.take_out == 0 and asked.aim == "middle":
                far.append(_distance(asked, plan.after.copper_sulfate, plan.after.sulfuric_acid) - known[0])
            elif plan.amounts.take_out == 0 and plan.cost is not None:
                dear.append((plan.cost - known[0]) / max(known[0], 0.01 * asked.volume))
        if number % 3 == 0:
            states = [correct(at_another_size(asked, volume), saying_why=False).state for volume in (1.0, 100.0)]
            sized.append(states[0] == states[1])
        print(f"\r{number + 1} tasks, {feasible} feasible, refused {refused[:8]}", end="", file=sys.stderr)
    return {
        "tasks": len(took),
        "feasible": feasible,
        "refused": len(refused),
        "farther than the cloud, worst [widths]": max(far, default=0.0),
        "farther by more than 0.01": sum(value > 0.01 for value in far),
        "dearer than the cloud, worst": max(dear, default=0.0),
        "dearer by more than 1 %": sum(value > 0.01 for value in dear),
        "same state at 1 and 100 L": float(np.mean(sized)) if sized else 1.0,
        "processor time, median [ms]": 1000 * float(np.median(took)),
        "processor time, worst [ms]": 1000 * float(np.max(took)),
    }


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tasks", type=int, default=3000)
    parser.add_argument("--seconds", type=float, default=1800.0)
    options = parser.parse_args()
    for what, value in measure(options.tasks, options.seconds).items():
        print(f"{what}: {value:.4g}")
