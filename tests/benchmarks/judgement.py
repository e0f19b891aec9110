"""Random benches told and followed: no false comfort, and what is advised is the end of it. Not a test module.

`python -m tests.benchmarks.judgement 400` prints what `measure` returns for so many baths: how many answers of each
state there were, which of them call fine what is not, and in how many sound cases a bath that was corrected as advised
and measured again needs nothing more.
"""

import sys
from collections import Counter
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from advisor import advise, read_sheet
from advisor.check.advice import Advice
from advisor.check.mass_balance import forward, outcome
from advisor.check.task import make_task
from advisor.solution.solubility import Crystals, crystals
from advisor.words.states import PlanState

ANSWERED = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
WINDOW = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0)}
MOST_ROUNDS = 4  # of repeating what was asked for, before a bath is given up


def reading(rng: np.random.Generator, truth: dict[str, float], spreads: dict[str, float]) -> dict[str, Any]:
    """Return an earlier check of what a bath truly holds, with ± as wide as its errors are drawn."""
    shown = {name: max(value + spreads[name] * rng.standard_normal(), 0.5) for name, value in truth.items()}
    return told(shown, spreads)


def told(values: dict[str, float], spreads: dict[str, float]) -> dict[str, Any]:
    """Return an earlier check that says so much [g/L], with these standard uncertainties."""
    words = {name: f"{value:.2f} ± {1.96 * spreads[name]:.2f} g/L" for name, value in values.items()}
    return {"kind": "previous check", "since": "evaporation only", **words}


def answer(bath: dict[str, Any], readings: list[dict[str, Any]]) -> Advice:
    return advise(read_sheet({"bath": bath, "reading": readings}))


def comforts_falsely(found: Advice, bath: dict[str, Any], truth: dict[str, float]) -> str:
    """Return why an answer that says "nothing" should not: what it did not measure, settle or see. Empty if it may."""
    if found.state is not PlanState.NONE_NEEDED:
        return ""
    for name in WINDOW:
        if found.verdict[name].state != "in":
            return f"{name} is {found.verdict[name].state}"
    if bath.get("additives") and found.verdict["chloride"].state != "in":
        return "chloride in a bath with additives"
    if found.estimate is None or len(truth) < 2:
        return "half of the bath is not measured"
    here = (found.estimate.value("copper_sulfate"), found.estimate.value("sulfuric_acid"))
    if "coldest" in bath and crystals(*here, float(bath["coldest"].split()[0])) is not Crystals.SAFE:
        return "crystals"
    if float(bath["volume"].split()[0]) < 0.97 * float(bath["usual_volume"].split()[0]):
        return "the level"
    return ""


def any_bench(rng: np.random.Generator) -> tuple[dict[str, Any], dict[str, float], dict[str, float]]:
    """Return a bath of any kind as its owner tells it, what is measured of it, and how well."""
    litres = rng.uniform(2, 12)
    bath: dict[str, Any] = {
        "volume": f"{litres:.2f} L",
        "usual_volume": f"{litres * rng.choice([1, 1, 1.02, 1.1]):.2f} L",
    }
    bath |= ANSWERED if rng.random() < 0.6 else {}
    if rng.random() < 0.6:
        bath["coldest"] = f"{rng.uniform(2, 22):.1f} degC"
    if rng.random() < 0.5:
        bath["additives"] = bool(rng.random() < 0.5)
    truth = {"copper_sulfate": rng.uniform(185, 260), "sulfuric_acid": rng.uniform(25, 80)}
    spreads = {"copper_sulfate": rng.uniform(1, 8), "sulfuric_acid": rng.uniform(0.5, 5)}
    if rng.random() < 0.3:
        truth.pop(str(rng.choice(list(truth))))
    return bath, truth, spreads


class Ended(NamedTuple):
    """Whether a bath that was corrected and measured again needs nothing more."""

    alone: bool  # by the new reading alone
    carried: bool  # with what was carried forward beside it


def followed(rng: np.random.Generator) -> Ended | None:
    """Return how a sound bath ends that was corrected as advised and measured again once; None if there was nothing to do.

    Sound: copper sulfate known to 4 g/L and acid to 3, or better, and cold that does not bind. What the answer asks for
    again is measured again before anything is done.
    """
    litres = rng.uniform(2, 12)
    bath = {"volume": f"{litres:.3f} L", "coldest": "25 degC", "temperature": "25 degC", "additives": False, **ANSWERED}
    truth = {"copper_sulfate": rng.uniform(130, 290), "sulfuric_acid": rng.uniform(10, 100)}
    spreads = {"copper_sulfate": rng.uniform(1, 4), "sulfuric_acid": rng.uniform(0.5, 3)}
    readings = [reading(rng, truth, spreads)]
    for _ in range(MOST_ROUNDS):
        found = answer(bath, readings)
        if found.state not in (PlanState.REPEAT_FIRST, PlanState.MEASURE_FIRST):
            break
        readings.append(reading(rng, truth, spreads))
    if found.state is PlanState.NONE_NEEDED or not found.steps or found.estimate is None:
        return None
    sheet = read_sheet({"bath": bath, "reading": readings})
    task = make_task(sheet, found.estimate, found.verdict)
    amounts = found.plan.amounts
    names = found.estimate.names
    mean = np.array([truth.get(name, found.estimate.value(name)) for name in names])
    after = forward(replace(task, known=replace(task.known, mean=mean)), amounts)
    held = {"copper_sulfate": after.copper_sulfate, "sulfuric_acid": after.sulfuric_acid}
    again = {**bath, "volume": f"{after.volume:.3f} L", "usual_volume": bath["volume"]}
    new = reading(rng, held, spreads)
    moved = [amounts.take_out, amounts.water, amounts.crystals, amounts.acid, amounts.chloride]
    believed = outcome(task, moved, False)
    carried = told(
        {"copper_sulfate": float(believed.copper_sulfate), "sulfuric_acid": float(believed.sulfuric_acid)},
        {"copper_sulfate": float(believed.covariance[0]) ** 0.5, "sulfuric_acid": float(believed.covariance[2]) ** 0.5},
    )
    ends = (answer(again, readings).state is PlanState.NONE_NEEDED for readings in ([new], [new, carried]))
    return Ended(*ends)


def measure(benches: int, follow: int, seed: int = 19) -> dict[str, Any]:
    """Return the states of so many random answers, the false comforts, and the share of corrected baths that are done."""
    rng = np.random.default_rng(seed)
    states, false = Counter[str](), []
    for _ in range(benches):
        bath, truth, spreads = any_bench(rng)
        found = answer(bath, [reading(rng, truth, spreads)])
        states[found.state.value] += 1
        if why := comforts_falsely(found, bath, truth):
            false.append((why, bath, truth))
    done = [ended for _ in range(follow) if (ended := followed(rng)) is not None]
    return {
        "states": dict(states),
        "false comfort": false,
        "followed": len(done),
        "done after it": float(np.mean([ended.alone for ended in done])) if done else 1.0,
        "with what was carried": float(np.mean([ended.carried for ended in done])) if done else 1.0,
    }


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for name, value in measure(count, count).items():
        print(f"{name}: {value}", flush=True)
