"""What a bath becomes if a person does something else than the plan, by the same mass balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.check.advice import Advice
from advisor.check.correction import Plan, plan_of
from advisor.check.mass_balance import After, Amounts, Task, forward
from advisor.check.steps import in_the_tank, steps_of
from advisor.check.task import make_task
from advisor.sheet import Sheet
from advisor.solution.density import WATER_DENSITY
from advisor.words.states import PlanState

WORTH_A_CHOICE = 0.5  # probability that water alone lands inside, from which it is offered (judgement)
FIGURES = 3  # of the litres of water that are said (judgement)
PARTS = 20  # of the water up to the level, that are tried (judgement)
SURE_ENOUGH = 0.9  # probability of landing inside from which more water is better than a surer end (judgement)
# What a step moves: the amount of a plan, and how much of that a gram or a litre of it is (computed).
_MOVES = {
    "bath": ("take_out", 1.0),
    "water": ("water", 1000 * WATER_DENSITY),
    "copper sulfate crystals": ("crystals", 1.0),
    "sulfuric acid": ("acid", 1.0),
}


def if_added(sheet: Sheet, advice: Advice, crystals: float, acid: float, water: float) -> After:
    """Return the bath after crystals [g], acid as on hand [mL] and water [L] are added, whatever the plan says."""
    task = make_task(sheet, advice.estimate, advice.verdict)
    return forward(
        task, Amounts(water=1000 * WATER_DENSITY * water, crystals=crystals, acid=acid * task.stock.acid_density)
    )


def after_steps(sheet: Sheet, advice: Advice, used: Sequence[float]) -> After:
    """Return the bath after the first steps of a plan, with what was really used in each [g, or L of liquids]."""
    task = make_task(sheet, advice.estimate, advice.verdict)
    moved: dict[str, float] = {}
    for step, amount in zip(advice.steps, used, strict=False):
        name, factor = _MOVES.get(step.what, ("chloride", 0.0))
        if step.what == "sulfuric acid":
            factor = 1000 * task.stock.acid_density
        elif name == "chloride":
            factor = advice.plan.amounts.chloride / (step.numbers["volume_mL"] / 1000)
        moved[name] = factor * amount
    return in_the_tank(task, moved, advice.steps[len(used) - 1].kept_back if used else 0.0)


def as_used(sheet: Sheet, advice: Advice, used: Sequence[float]) -> Advice:
    """Return the advice with each step's bath worked out from what is really used in the steps [g, or L of liquids]."""
    steps = (
        replace(step, after=after_steps(sheet, advice, used[:number])) for number, step in enumerate(advice.steps, 1)
    )
    return replace(advice, steps=tuple(steps))


def only_water_instead(sheet: Sheet, advice: Advice) -> Advice | None:
    """Return the advice with nothing but water in its plan, at most up to the usual level.

    None where the plan is that already, where it takes bath out, or where more likely than not it would not do.
    """
    planned = advice.plan.amounts
    is_more = planned.crystals > 0 or planned.acid > 0 or planned.chloride > 0
    task = make_task(sheet, advice.estimate, advice.verdict)
    if not (advice.steps and is_more and task.level_is_low) or planned.take_out > 0:
        return None
    plan = _up_to_the_level(task)
    if plan.after.probability_in < WORTH_A_CHOICE:
        return None
    return replace(advice, plan=plan, steps=steps_of(task, plan), to_the_middle=None)


def _up_to_the_level(task: Task) -> Plan:
    """Return the plan of the most water, up to the usual level, that is sure enough; else of the surest amount."""
    room = task.usual_volume - task.volume
    tried = [float(f"{room * part / PARTS:.{FIGURES}g}") for part in range(1, PARTS + 1)]
    plans = [plan_of(task, PlanState.POSSIBLE, Amounts(water=1000 * WATER_DENSITY * litres)) for litres in tried]
    enough = min(SURE_ENOUGH, max(plan.after.probability_in for plan in plans))
    return next(plan for plan in reversed(plans) if plan.after.probability_in >= enough)
