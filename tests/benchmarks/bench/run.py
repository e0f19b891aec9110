"""One bath after another put to the advice, through its sheet and its JSON alone; what came true is kept in a file."""

import json
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from advisor import advise
from advisor.basis.fields import fields_of
from advisor.sheet import Bath as SheetBath
from advisor.sheet import SheetError, read_sheet
from tests.benchmarks.bench import TYPED_SPREADS, hands, readings
from tests.benchmarks.bench.baths import SEED, SODIUM_SULFATE, TROUBLES, Bath, draw
from tests.benchmarks.bench.hands import Owner, typed
from tests.benchmarks.bench.tank import carry_out

INSIDE_95 = 1.959964  # standard uncertainties
QUESTIONS = ("soda_added", "soda", "touched", "topped_up_with", "anodes", "iron_form")
STILL_IN_TANK = (0.85, 0.1)  # of soda that went in, the rest left with parts and liquid
SODA_STATED = 0.2  # relative: what an owner remembers of it
BICARBONATE, CARBONATE = 84.007, 105.99  # g/mol
SETTLED = ("in", "low", "high")
NAMES = {"copper_sulfate": "copper_sulfate", "sulfuric_acid": "acid"}  # of the sheet's answer and of the bath


class OtherRun(ValueError):
    """A state file of another run: other questions, databases or spreads typed."""


def asked() -> tuple[str, ...]:
    """Return the questions that a sheet's bath has by now, of those that this bench can answer."""
    return tuple(name for name in QUESTIONS if name in fields_of(SheetBath))


def answers(bath: Bath, rng: np.random.Generator) -> dict[str, Any]:
    """Return what an owner who answers says of the bath, truly but for the amount of soda."""
    dirt = bath.dirt
    share = max(STILL_IN_TANK[0] + STILL_IN_TANK[1] * rng.standard_normal(), 0.3)
    moles = 2 * dirt.sodium_sulfate / SODIUM_SULFATE * bath.volume / share
    soda, per_mole = ("sodium bicarbonate", BICARBONATE) if rng.random() < 0.7 else ("sodium carbonate", CARBONATE / 2)
    grams = moles * per_mole * max(1 + SODA_STATED * rng.standard_normal(), 0.2)
    touched = [word for word, there in (("steel", dirt.iron2), ("zinc", dirt.zinc)) if there]
    said: dict[str, Any] = {
        "soda_added": f"{grams:.0f} g",
        "touched": touched or ["nothing"],
        "topped_up_with": "distilled water",
        "anodes": "copper",
    }
    if moles:
        said["soda"] = soda
    if TROUBLES[bath.trouble].declared:
        said["iron_form"] = "iron(II)"
    return said


def sheet(owner: Owner) -> dict[str, Any]:
    """Return the bench sheet that this owner fills in, as the mapping of a TOML file."""
    bath, rng = owner.bath, owner.rng
    level = bath.volume / owner.tank * (1 + hands.LEVEL * rng.standard_normal())
    usual = level * rng.uniform(1.0, 1.08)
    table: dict[str, Any] = {
        "volume": typed(level, "L", hands.LEVEL * level if owner.types else None),
        "usual_volume": typed(usual, "L"),
        "max_volume": typed(1.15 * usual, "L"),
        "temperature": typed(bath.temperature + hands.THERMOMETER * rng.standard_normal(), "degC", None, 1),
        "coldest": typed(bath.coldest, "degC", None, 0),
        "age": typed(max(bath.months, 1), "months", None, 0),
    }
    if rng.random() < 0.5:  # the other half leaves it open
        table["additives"] = owner.hands == "wetter"
    if TROUBLES[bath.trouble].declared:
        table["iron"] = typed(bath.dirt.iron2 + bath.dirt.iron3, "g/L", None, 1)
    said = answers(bath, rng)
    if bath.answers:
        table |= {name: said[name] for name in asked() if name in said}
    acid = str(rng.choice(["37 %", "96 %"]))
    return {
        "bath": table,
        "window": {"name": bath.window},
        "stock": {"crystals": {"purity": "99 %"}, "acid": {"strength": acid}},
        "reading": readings.of_set(owner, bath.readings),
    }


def measure(number: int, databases: Mapping[str, Path] | None = None) -> dict[str, Any]:
    """Draw a bath, let its owner measure it and take the advice, and compare with the truth."""
    rng = np.random.default_rng([SEED, number])
    bath = draw(number, rng)
    owner = Owner(bath, rng, databases)
    found: dict[str, Any] = {
        "number": number,
        "trouble": bath.trouble,
        "readings": bath.readings,
        "answers": bath.answers,
    }
    found |= {"types": owner.types, "database": owner.database.name, "k": round(bath.k, 3)}
    found["truth"] = {name: round(getattr(bath, own), 3) for name, own in NAMES.items()}
    try:
        question = read_sheet(sheet(owner))
    except SheetError as error:
        return found | {"refused": str(error)}
    answer = json.loads(json.dumps(advise(question).to_dict(), allow_nan=False))
    return found | compare(owner, answer)


def compare(owner: Owner, answer: Mapping[str, Any]) -> dict[str, Any]:
    """Return what an answer said and what came true."""
    found: dict[str, Any] = {"error": {}, "spread": {}, "state": {}, "false": {}, "chance": {}}
    for name, own in NAMES.items():
        value, verdict = (answer["estimate"] or {}).get(f"{name}_g_L"), answer["verdict"][name]
        truth = getattr(owner.bath, own)
        if value and value["value"] is not None:
            found["error"][name] = value["value"] - truth
            found["spread"][name] = value["standard_uncertainty"]
        found["state"][name] = verdict["state"]
        if verdict["state"] in SETTLED:
            found["false"][name] = verdict["state"] != where(truth, verdict["limits"])
            found["chance"][name] = 1 - verdict[f"probability_{verdict['state']}"]
    plan = answer["correction"]
    found["plan"] = plan["state"]
    if plan["steps"] and plan["state"] == "possible":
        after = carry_out(owner, plan["steps"])
        lands = [
            where(after[name], answer["verdict"][name]["limits"]) == "in"
            for name in NAMES
            if answer["verdict"][name]["state"] != "not measured"
        ]
        found |= {"stated": plan["probability_in"], "lands": all(lands), "after": after}
    return found


def where(value: float, limits: tuple[float, float]) -> str:
    """Return on which side of its limits a true value is."""
    return "low" if value < limits[0] else "high" if value > limits[1] else "in"


def header(databases: Mapping[str, Path]) -> dict[str, Any]:
    """Return what a state must have in common with a run that goes on from it."""
    return {"seed": SEED, "typed_spreads": TYPED_SPREADS, "asked": list(asked()), "databases": sorted(databases)}


def load(state: Path) -> tuple[dict[str, Any] | None, list[dict[str, Any]]]:
    """Return the header and the baths of a state file; a last line that was cut off is left out."""
    lines = state.read_text(encoding="utf-8").splitlines() if state.exists() else []
    rows = []
    for line in lines:
        try:
            rows.append(json.loads(line))
        except json.JSONDecodeError:
            break
    return (rows[0], rows[1:]) if rows else (None, [])


def run(state: Path, baths: int, seconds: float, databases: Mapping[str, Path]) -> list[dict[str, Any]]:
    """Measure what is missing of so many baths, appending each to the state; stops when the time is over."""
    began, known = time.monotonic(), header(databases)
    before, results = load(state)
    if before is not None and before != known:
        raise OtherRun(f"{state} is of another run ({before}); this one is {known}: name another file")
    state.write_text("".join(json.dumps(row) + "\n" for row in [known, *results]), encoding="utf-8")
    missing = [number for number in range(baths) if number not in {row["number"] for row in results}]
    with state.open("a", encoding="utf-8") as file:
        for done, number in enumerate(missing, 1):
            row = measure(number, databases)
            results.append(row)
            file.write(json.dumps(row) + "\n")
            file.flush()
            spent = time.monotonic() - began
            progress(done, len(missing), spent)
            if spent > seconds:
                break
    return results


def progress(done: int, total: int, spent: float) -> None:
    """Draw how far the run has come."""
    filled, left = 30 * done // total, spent / done * (total - done)
    bar = "#" * filled + "." * (30 - filled)
    sys.stderr.write(f"\r[{bar}] {done} of {total} baths, {spent:.0f} s, about {left:.0f} s left  ")
    sys.stderr.write("\n" if done == total else "")
    sys.stderr.flush()
