"""The whole way in one pure function: bench sheet in, advice out.

assessment → correction → ways beside it → next reading, with the warnings and cautions that belong to them. It reads no
file, keeps no record and shows nothing; the app, the command line and the printed page only show what it returns.
"""

from __future__ import annotations

import math
from typing import Any

from advisor.check.advice import Advice, Step
from advisor.check.assessment import assess
from advisor.check.correction import LEVEL_TOLERANCE, Plan, correct
from advisor.check.estimate import Estimate
from advisor.check.mass_balance import Amounts, Stock, Task, forward
from advisor.check.next_reading import rank
from advisor.check.remarks import cautions_of, warnings_of
from advisor.check.ways import ways
from advisor.check.window import Limits, Verdict
from advisor.sheet import Sheet
from advisor.solution.density import WATER_DENSITY
from advisor.solution.heat import warming_by_acid
from advisor.solution.stock import (
    SALT_SOLUTION,
    AcidStock,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    pentahydrate_mass_fraction,
    pentahydrate_mass_fraction_from_copper_content,
)
from advisor.words import phrases

USUAL_ACID = 0.96


def advise(sheet: Sheet) -> Advice:
    """Return the advice on a bench sheet. Raises nothing: a sheet is validated when it is read."""
    known = assess(sheet)
    found, limits, values, verdict = known.estimate, known.limits, known.values, known.verdict
    determined = tuple(name for name, value in values.items() if value is not None)
    task = make_task(sheet, found, verdict)
    plan = _plan(sheet, found, task)
    steps = _steps(task, plan)
    beside = ways(task, plan) if found else ()
    suggestions = () if sheet.bath.condition else rank(sheet, found, limits)
    return Advice(
        found,
        values,
        determined,
        task.volume,
        verdict,
        known.crystallises_below,
        plan,
        steps,
        beside,
        suggestions,
        warnings_of(sheet, found, verdict, values, plan, known.crystallises_below),
        cautions_of(bool(sheet.bath.condition), steps, beside),
    )


def make_task(sheet: Sheet, found: Estimate | None, verdict: dict[str, Verdict]) -> Task:
    """Put sheet and estimate together as the correction wants them; the tank's litres become litres at 20 degC."""
    bath, aim = sheet.bath, sheet.correction
    scale = found.volume_L / bath.volume.value if found else 1.0
    covariance = found.covariance if found else [[1.0, 0.0], [0.0, 1.0]]
    measured_chloride = found is not None and found.measured("chloride")
    own_point = aim.copper_sulfate is not None or aim.sulfuric_acid is not None
    middle = {name: _middle(verdict[name].limits) for name in ("copper_sulfate", "sulfuric_acid")}
    scales = [
        float(name.split()[0]) for name in sheet.gear.have if name.endswith(" g scale") and _is_number(name.split()[0])
    ]
    return Task(
        copper_sulfate=found.value("copper_sulfate") if found else 0.0,
        sulfuric_acid=found.value("sulfuric_acid") if found else 0.0,
        foreign_solids=found.value("foreign_solids") if found else 0.0,
        chloride=found.value("chloride") if found and measured_chloride else None,
        covariance=(float(covariance[0][0]), float(covariance[0][1]), float(covariance[1][1])),
        chloride_standard_uncertainty=found.standard_uncertainty("chloride") if found and measured_chloride else 0.0,
        volume=scale * bath.volume.value,
        volume_relative_uncertainty=found.volume_relative_uncertainty if found else 0.0,
        verdicts=verdict,
        usual_volume=scale * bath.usual_L,
        least_volume=scale * bath.least_L,
        most_volume=scale * bath.most_L,
        coldest=bath.coldest.value,
        aim="point" if own_point else aim.aim,
        aim_copper_sulfate=aim.copper_sulfate.value if aim.copper_sulfate else middle["copper_sulfate"],
        aim_sulfuric_acid=aim.sulfuric_acid.value if aim.sulfuric_acid else middle["sulfuric_acid"],
        stock=make_stock(sheet),
        weighed_to=min(scales, default=1.0),
    )


def _middle(limits: Limits | None) -> float:
    return sum(limits) / 2 if limits else 0.0


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def make_stock(sheet: Sheet) -> Stock:
    """Turn the labels of what is on hand into what the mass balance needs."""
    crystals, acid, water, chloride = sheet.stock.crystals, sheet.stock.acid, sheet.stock.water, sheet.stock.chloride
    known: dict[str, Any] = {}
    if crystals:
        salt = (
            pentahydrate_mass_fraction_from_copper_content(crystals.copper_content.value)
            if crystals.copper_content
            else pentahydrate_mass_fraction(crystals.purity.value, crystals.form)
        )
        pure = pentahydrate_mass_fraction(1.0, "pentahydrate" if salt <= 1 else "anhydrous")
        known |= {
            "crystals_pentahydrate": salt,
            "crystals_inert": max(1 - salt / pure, 0.0),
            "crystals_on_hand": crystals.on_hand.value if crystals.on_hand else math.inf,
            "crystals_price": crystals.price,
        }
    graded = acid_of(sheet)
    known |= {"acid_strength": graded.strength, "acid_density": graded.density}
    if acid:
        known |= {"acid_on_hand": acid.on_hand.value * 1000 if acid.on_hand else math.inf, "acid_price": acid.price}
    if water:
        known |= {"water_chloride": water.chloride.value, "water_alkalinity": water.alkalinity.value}
    if chloride:
        strength = chloride.strength.value if chloride.kind == "hydrochloric acid" else 1.0
        known |= {
            "chloride_kind": chloride.kind,
            "chloride_strength": strength,
            "chloride_mass_fraction": chloride_mass_fraction(chloride.kind, strength),
            "chloride_density": float(hydrochloric_acid_density(strength)) if strength < 1 else None,
        }
    return Stock(**known)


def acid_of(sheet: Sheet) -> AcidStock:
    """Return the acid on hand; 96 % where the sheet says nothing."""
    acid = sheet.stock.acid
    if acid and acid.density and not acid.strength:
        return AcidStock.from_density(acid.density.value)
    return AcidStock.from_strength(acid.strength.value if acid and acid.strength else USUAL_ACID)


def _plan(sheet: Sheet, found: Estimate | None, task: Task) -> Plan:
    here = forward(task, Amounts())
    if sheet.bath.condition:
        seen = ", ".join(sheet.bath.condition)
        return Plan(
            "not possible", Amounts(), here, None, f"the condition of the bath ({seen}): take a sound sample first"
        )
    if found is None or all(verdict.state == "not measured" for verdict in task.verdicts.values()):
        return Plan("first part", Amounts(), here, None)
    return correct(task)


def _steps(task: Task, plan: Plan) -> tuple[Step, ...]:
    """Return the steps in the order in which to do them, each with the bath after it and why it is done."""
    amounts, stock = plan.amounts, task.stock
    steps: list[Step] = []
    done: dict[str, float] = {}

    def add(name: str, do: str, what: str, numbers: dict[str, float], why: str, how: str) -> None:
        done[name] = getattr(amounts, name)
        after = forward(task, Amounts(**done))
        why = why.format(copper=after.copper_sulfate, acid=after.sulfuric_acid, volume=after.volume)
        steps.append(Step(do, what, numbers, f"{why} {how}", after))

    if amounts.take_out > 0:
        how = "Draw it from mid-depth, not off the floor, and keep some of it to dissolve the crystals in."
        add("take_out", "take out", "bath", {"volume_L": amounts.take_out}, "It makes room for what follows.", how)
    if amounts.water > 0:
        numbers = {"volume_L": amounts.water / WATER_DENSITY / 1000, "mass_g": amounts.water}
        how = "Take distilled water, unless your sheet names another, and keep some back for crystals and acid."
        add("water", "add", "water", numbers, _why_water(task), how)
    if amounts.crystals > 0:
        numbers = {"mass_g": amounts.crystals, "purity_mass_fraction": stock.crystals_pentahydrate}
        how = "Dissolve them apart, warm, before any acid; then stir in."
        add(
            "crystals",
            "add",
            "copper sulfate crystals",
            numbers,
            "This brings copper sulfate to {copper:.0f} g/L.",
            how,
        )
    if amounts.acid > 0:
        millilitres = amounts.acid / stock.acid_density
        numbers = {"mass_g": amounts.acid, "volume_mL": millilitres, "strength_mass_fraction": stock.acid_strength}
        why = "This brings the acid to {acid:.0f} g/L."
        add("acid", "add", "sulfuric acid", numbers, why, _pouring(task, amounts))
    if amounts.chloride > 0:
        numbers, how = _chloride_step(stock, amounts.chloride)
        add("chloride", "add", stock.chloride_kind, numbers, "The additives need chloride.", how)
    return tuple(steps)


def _why_water(task: Task) -> str:
    """Say what the water is for."""
    if task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE):
        return "This brings the level to {volume:.2f} L."
    if any(
        verdict.state in ("high", "unsure") and (verdict.probability_high or 0) > 0.05
        for verdict in task.verdicts.values()
    ):
        return "This thins what is too high."
    return "This keeps crystals from forming in the cold, or makes room in the window."


def _pouring(task: Task, amounts: Amounts) -> str:
    """Say in how many portions the acid goes in and how much the bath warms."""
    volume = task.volume - amounts.take_out + amounts.water / 1000
    portions = math.ceil(amounts.acid / task.stock.acid_density / (50 * volume) - 1e-9)
    warming = warming_by_acid(amounts.acid, task.stock.acid_strength, volume)
    apart = "Pour it thinly into water or withdrawn bath, let that cool, then stir it in"
    split = f", in {portions} portions with cooling between" if portions > 1 else ""
    return f"{apart}{split}. The whole bath warms by about {warming:.0f} °C; the small vessel warms far more."


def _chloride_step(stock: Stock, milligrams: float) -> tuple[dict[str, float], str]:
    grams = milligrams / 1000 / stock.chloride_mass_fraction
    if stock.chloride_density is not None:
        numbers = {
            "mass_g": grams,
            "volume_mL": grams / stock.chloride_density,
            "strength_mass_fraction": stock.chloride_strength,
        }
        return numbers, "Stir it in last, with a syringe that you use for nothing else."
    return {"mass_g": grams, "volume_mL": grams / SALT_SOLUTION * 1000}, phrases.SALT_SOLUTION
