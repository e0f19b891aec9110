"""How honest the advice is: thousands of simulated baths of all kinds of readings, and a report of what came true.

    python -m tests.benchmarks.honesty REPORT.md [BATHS] [SECONDS]

Readings are drawn from the model that they state. Then, in shares of the baths: contaminants declared (known to a
fifth), a sample drawn with a syringe where the sheet says class A pipette, and one gross error of 6 to 20 standard
uncertainties. The correction is carried out on the true bath, with the errors of tank and stock that the advice
reckons with, by the independent mass balance of the tests. Not collected by pytest.
"""

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is imported: each process has one core

import multiprocessing
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from advisor.check.assessment import Assessment, assess
from advisor.check.correction import Plan, correct
from advisor.check.foreign import SULFATE, expected
from advisor.check.mass_balance import STOCK_UNCERTAINTY, Amounts, Task
from advisor.check.task import make_task
from advisor.readings import Reading
from advisor.readings.model import State
from advisor.sheet import Sheet, read_sheet
from advisor.solution.equilibrium import Flask, pH_at_titrant_volume
from tests.random_tasks import balance, changed
from tests.simulated import Simulated

COMPONENTS = ("copper_sulfate", "sulfuric_acid", "chloride")
CONDITIONS = ("as stated", "contaminants declared", "wrong glassware", "one gross error")
SHARES = (0.6, 0.2, 0.1, 0.1)
GROSS = (6.0, 20.0)  # standard uncertainties of the reading
CURVE_mL = np.linspace(0.0, 30.0, 31)


def _curve() -> list[list[float]]:
    flask = Flask(10.0, 100.0, "sodium hydroxide", 0.5)
    return [[float(v), round(float(pH_at_titrant_volume(205.0, 55.0, v, flask)), 2)] for v in CURVE_mL[:23]]


TITRATION = {"kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "used": "20 mL"}
TEMPLATES = {
    "acid titration, baking soda, cloud": TITRATION | {"titrant": "sodium bicarbonate", "strength": "42 g/L", "end_point": "first lasting cloud", "sample_with": "10 mL class A pipette"},
    "acid titration, soda, methyl orange": TITRATION | {"titrant": "sodium carbonate", "strength": "0.25 mol/L", "end_point": "methyl orange", "used_with": "25 mL class B burette", "sample_with": "10 mL class A pipette"},
    "acid titration, lye, pH meter": TITRATION | {"titrant": "sodium hydroxide", "strength": "0.5 mol/L", "end_point": "pH meter", "sample_with": "10 mL class A pipette"},
    "copper titration, EDTA": {"kind": "copper titration", "method": "EDTA", "sample": "10 mL", "predilution": ["2 mL", "100 mL"], "strength": "0.01 mol/L", "used": "16 mL", "sample_with": "10 mL class A pipette"},
    "copper titration, iodometric": {"kind": "copper titration", "method": "iodometric", "sample": "1 mL", "strength": "0.1 mol/L", "used": "8 mL", "sample_with": "1 mL class A pipette"},
    "hydrometer": {"kind": "hydrometer", "value": "1.16", "scale": "SG 20/20"},
    "weighed density": {"kind": "weighed density", "empty": "85.0 g", "with_water": "184.7 g", "with_bath": "200.8 g"},
    "plated-out copper": {"kind": "plated-out copper", "sample": "10 mL", "before": "20.00 g", "after": "20.50 g", "sample_with": "10 mL class A pipette"},
    "colour match": {"kind": "colour match", "lower": "150 g/L", "upper": "250 g/L", "position": 0.5},
    "photo colour": {"kind": "photo colour", "standards": [[0, 220, 230, 240], [10, 170, 215, 240], [20, 130, 200, 238], [30, 100, 185, 236]], "samples": [[128, 200, 238], [131, 201, 238]], "dilution": 10},
    "pH curve": {"kind": "pH curve", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium hydroxide", "strength": "0.5 mol/L", "points": _curve(), "sample_with": "10 mL class A pipette"},
    "chloride titration": {"kind": "chloride titration", "sample": "10 mL", "strength": "0.01 mol/L", "used": "2 mL", "end_point": "turbidity", "sample_with": "10 mL class A pipette"},
    "chloride strip": {"kind": "chloride strip", "value": "70 mg/L"},
    "chloride ladder": {"kind": "chloride ladder", "lower": "50 mg/L", "upper": "75 mg/L"},
    "make-up": {"kind": "make-up", "crystals": "1100 g", "acid": "160 mL", "final_volume": "5.4 L", "since": "unknown"},
    "previous check": {"kind": "previous check", "copper_sulfate": "205 ± 6 g/L", "sulfuric_acid": "55 ± 2 g/L", "volume": "6 L", "since": "evaporation only", "correlation": -0.4},
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A true bath, what its owner believes, and what is added in truth."""

    condition: str
    truth: State
    kinds: tuple[str, ...]
    sheet: Sheet
    gross: int | None
    volume_error: float
    stock_errors: tuple[float, float]


def draw(seed: int) -> Case:
    rng = np.random.default_rng([2026, seed])
    condition = str(rng.choice(CONDITIONS, p=SHARES))
    months = int(rng.integers(1, 25))
    bath = {
        "volume": "5.6 L",
        "age": f"{months} months",
        "temperature": "22 degC",
        "coldest": f"{rng.integers(5, 19)} degC",
    }
    bath |= {"usual_volume": str(rng.choice(["5.6 L", "6 L"])), "max_volume": str(rng.choice(["6.2 L", "8 L"]))}
    if condition == "contaminants declared":
        bath[str(rng.choice(["iron", "zinc", "nickel"]))] = f"{rng.uniform(0.3, 6.0):.2f} g/L"
    kinds = tuple(str(kind) for kind in rng.choice(list(TEMPLATES), size=rng.integers(2, 7), replace=False))
    if rng.random() < 0.5:
        bath |= {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
    raw = {"bath": bath, "reading": [TEMPLATES[kind] for kind in kinds]}
    if rng.random() < 0.5:
        raw["stock"] = {"acid": {"strength": "37 %"}}
    if rng.random() < 0.5:
        raw["correction"] = {"aim": "least"}
    sheet = read_sheet(raw)
    truth = State(
        rng.uniform(80, 330),
        rng.uniform(8, 120),
        chloride=rng.uniform(0, 150),
        **{name: rng.normal(*prior) for name, prior in expected(sheet).items()},
    )
    really = [_real_tool(reading, condition) for reading in sheet.readings]
    surroundings = sheet.bath.surroundings()
    models = [reading.model(surroundings, truth) for reading in really]
    errors = {source: rng.standard_normal() for model in models for source in model.systematic}
    gross = int(rng.integers(len(kinds))) if condition == "one gross error" else None
    shown = []
    for position, (reading, model) in enumerate(zip(sheet.readings, models, strict=True)):
        of_truth = model.predict(truth).reshape(len(model.observed))
        effects = model.effects(of_truth)
        value = of_truth + model.random * rng.standard_normal(len(model.observed))
        value = value + sum(effect * errors[source] for source, effect in effects.items())
        if position == gross:
            spread = np.sqrt(model.random**2 + sum(effect**2 for effect in effects.values()))
            value = value + rng.choice([-1, 1]) * rng.uniform(*GROSS) * spread
        shown.append(Simulated(reading, tuple(value)))
    return Case(condition, truth, kinds, replace(sheet, readings=tuple(shown)), gross, float(rng.standard_normal()), tuple(rng.standard_normal(2)))  # fmt: skip


def _real_tool(reading: Reading, condition: str) -> Reading:
    tool = getattr(reading, "sample_with", None)
    if condition != "wrong glassware" or not tool:
        return reading
    return replace(reading, sample_with=tool.replace("class A pipette", "syringe"))


def carry_out(case: Case, task: Task, plan: Plan) -> dict[str, float]:
    """Return what the true bath holds once the plan has been carried out, with true litres and true stock."""
    stock = task.stock
    crystals, acid = case.stock_errors
    real_stock = replace(
        stock,
        crystals_pentahydrate=stock.crystals_pentahydrate * (1 + STOCK_UNCERTAINTY["crystals"] * crystals),
        acid_strength=min(stock.acid_strength * (1 + STOCK_UNCERTAINTY["acid"] * acid), 1.0),
    )
    volume = task.volume * (1 + task.volume_relative_uncertainty * case.volume_error)
    real = changed(
        task,
        copper_sulfate=case.truth.copper_sulfate,
        sulfuric_acid=case.truth.sulfuric_acid,
        foreign_solids=max(sum(per * getattr(case.truth, name) for name, per in SULFATE.items()), 0.0),
        volume=volume,
        stock=real_stock,
    )
    after, copper, acid_after = balance(real, plan.amounts)
    chloride = (case.truth.chloride * (volume - plan.amounts.take_out) + plan.amounts.chloride) / after
    return {"copper_sulfate": copper, "sulfuric_acid": acid_after, "chloride": chloride}


def outside(state: dict[str, float], task: Task) -> float:
    """Return how far the measured components are outside their limits, in widths of the window, added up."""
    total = 0.0
    for name, value in state.items():
        verdict = task.verdicts[name]
        if verdict.state != "not measured" and verdict.limits:
            low, high = verdict.limits
            total += max(low - value, value - high, 0.0) / (high - low)
    return total


def one(seed: int) -> dict[str, object]:
    """Simulate a bath, take the advice, and compare with the truth."""
    case = draw(seed)
    known: Assessment = assess(case.sheet)
    assert known.estimate is not None
    before = {name: getattr(case.truth, name) for name in COMPONENTS}
    scores = {
        name: (known.estimate.mean[known.estimate.names.index(name)] - before[name])
        / known.estimate.standard_uncertainty(name)
        for name in COMPONENTS
        if known.values[name] is not None
    }
    task = make_task(case.sheet, known.estimate, known.verdict)
    measured = any(verdict.state != "not measured" for verdict in task.verdicts.values())
    plan = correct(task) if measured else None
    agreement = known.estimate.agreement
    found = {
        "seed": seed,
        "condition": case.condition,
        "kinds": case.kinds,
        "scores": scores,
        "p_value": agreement.p_value,
        "degrees": agreement.degrees_of_freedom,
        "odd": agreement.odd_one_out,
        "gross": case.gross,
        "state": plan.state if plan else "nothing measured",
    }
    if plan:
        after = carry_out(case, task, plan)
        found |= {
            "stated": plan.after.probability_in,
            "off_before": outside(before, task),
            "off_after": outside(after, task),
            "moved": plan.amounts != Amounts(),
            "before": before,
            "after": after,
        }
    return found


# --- The report -----------------------------------------------------------------------------------


def percent(hits: list[bool]) -> str:
    """Return a share, ± what counting leaves open (95 %)."""
    if not hits:
        return "–"
    share = float(np.mean(hits))
    return f"{100 * share:.1f} ± {196 * np.sqrt(max(share * (1 - share), 1 / len(hits)) / len(hits)):.1f} %"


def table(heading: list[str], rows: list[list[object]]) -> str:
    lines = [heading, ["---"] * len(heading), *rows]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines) + "\n"


def coverage(results: list[dict]) -> str:
    rows = []
    for condition in CONDITIONS:
        chosen = [r for r in results if r["condition"] == condition]
        inside = {name: [abs(r["scores"][name]) <= 1.96 for r in chosen if name in r["scores"]] for name in COMPONENTS}
        rows.append([condition, len(chosen), *(percent(inside[name]) for name in COMPONENTS)])
    by_kind: dict[str, dict[str, list[bool]]] = defaultdict(lambda: defaultdict(list))
    for r in results:
        if r["condition"] in CONDITIONS[:2]:
            for kind in r["kinds"]:
                for name, score in r["scores"].items():
                    by_kind[kind][name].append(abs(score) <= 1.96)
    kinds = [[kind, *(percent(by_kind[kind][name]) for name in COMPONENTS)] for kind in TEMPLATES]
    heading = ["copper sulfate", "sulfuric acid", "chloride"]
    return table(["readings", "baths", *heading], rows) + "\n" + table(["baths with", *heading], kinds)


def gross_errors(results: list[dict]) -> str:
    rows = []
    for least, most in ((0, 0), (1, 1), (2, 2), (3, 99)):
        wrong = [r for r in results if r["gross"] is not None and least <= r["degrees"] <= most]
        sound = [r for r in results if r["gross"] is None and least <= r["degrees"] <= most]
        rows.append(
            [
                str(least) if least == most else f"{least} or more",
                len(wrong),
                percent([r["p_value"] is not None and r["p_value"] < 0.05 for r in wrong]),
                percent([r["odd"] == r["gross"] for r in wrong]),
                percent([r["odd"] is not None and r["odd"] != r["gross"] for r in wrong]),
                percent([r["odd"] is not None for r in sound]),
            ]
        )
    return table(["degrees of freedom", "with gross error", "noticed", "named rightly", "named wrongly", "named where there was none"], rows)  # fmt: skip


def corrections(results: list[dict]) -> str:
    rows = []
    for condition in CONDITIONS:
        for state in ("none needed", "possible", "first part", "not possible"):
            chosen = [r for r in results if r["condition"] == condition and r["state"] == state]
            if not chosen:
                continue
            inside = [r["off_after"] == 0 for r in chosen]
            spoiled = [r["off_before"] == 0 and r["off_after"] > 0 for r in chosen]
            farther = [r["off_after"] > r["off_before"] + 0.01 for r in chosen]
            stated = f"{100 * np.mean([r['stated'] for r in chosen]):.1f} %"
            rows.append([condition, state, len(chosen), stated, percent(inside), percent(spoiled), percent(farther)])
    heading = ["readings", "advice", "baths", "stated inside", "inside in truth", "was inside, ended outside", "ended farther outside"]  # fmt: skip
    return table(heading, rows)


def worst(results: list[dict]) -> str:
    moved = [r for r in results if r.get("moved") and r["gross"] is None]
    moved.sort(key=lambda r: r["off_before"] - r["off_after"])
    scored = [(max(map(abs, r["scores"].values())), r) for r in results if r["scores"] and r["gross"] is None]
    scored.sort(key=lambda item: -item[0])

    def said(state: dict[str, float]) -> str:
        return ", ".join(f"{value:.0f}" for value in state.values())

    harm = [[r["seed"], r["condition"], ", ".join(r["kinds"]), said(r["before"]), said(r["after"]), f"{r['off_after'] - r['off_before']:.2f}"] for r in moved[:8]]  # fmt: skip
    wrong = [[r["seed"], r["condition"], ", ".join(r["kinds"]), f"{score:.1f}"] for score, r in scored[:8]]
    return (
        table(["seed", "readings", "kinds", "true before", "true after", "farther out by (widths)"], harm)
        + "\n"
        + table(["seed", "readings", "kinds", "off by (standard uncertainties)"], wrong)
    )


def report(results: list[dict], seconds: float) -> str:
    return f"""# Honesty: {len(results)} simulated baths

Made by `python -m tests.benchmarks.honesty` in {seconds:.0f} s on two cores. Readings are drawn from the model that they
state; ± is what counting leaves open, with 95 % probability. Only what the advice calls determined is counted in the intervals.

## True value inside the 95 % interval (asked: 93 to 97 %)

{coverage(results)}
The second table counts the first two rows of the first.

## One gross error of {GROSS[0]:.0f} to {GROSS[1]:.0f} standard uncertainties

{gross_errors(results)}
## Corrections carried out on the true bath

"Stated" is the mean of the probabilities that the advice gave; "inside in truth" should not be less for the first two
conditions. "Ended farther outside" counts more than 0.01 widths of the window.

{corrections(results)}
## The worst cases without a gross error

{worst(results)}"""


def main(path: str, baths: int = 20_000, seconds: float = 600.0) -> None:
    start, results = time.monotonic(), []
    with multiprocessing.Pool(2) as pool:
        for found in pool.imap_unordered(one, range(baths), chunksize=20):
            results.append(found)
            if time.monotonic() - start > seconds:
                break
    Path(path).write_text(report(results, time.monotonic() - start), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1], *(int(word) for word in sys.argv[2:]))
