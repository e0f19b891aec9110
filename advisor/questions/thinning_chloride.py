"""Chloride that is too high: how much bath must go for it to come down, and what goes in instead.

The part that goes out is replaced by fresh bath without chloride, so that copper sulfate and acid stay where they are,
or come to the aim where they are out of their window. Exact mass balance (`check.mass_balance`), and the steps of a
correction (`check.steps`).
"""

from __future__ import annotations

from advisor.basis.components import SALT_AND_ACID
from advisor.check.advice import Advice
from advisor.check.advise import advise_beside
from advisor.check.correction import Plan, plan_of
from advisor.check.headline import Headline, Tone
from advisor.check.mass_balance import Amounts, Task
from advisor.check.metals import part_fraction
from advisor.check.pouring import FIRST_SENTENCE
from advisor.check.steps import Step, step_dose, steps_of
from advisor.check.task import make_task
from advisor.check.ways import acts_of
from advisor.check.window import SURE_REACH
from advisor.questions.make_up import fresh_part, fresh_part_said
from advisor.questions.treatment import Treatment
from advisor.sheet import Sheet
from advisor.words import phrases
from advisor.words.cautions import Act
from advisor.words.lines import Amount, Line, in_a_jug, line
from advisor.words.states import PlanState

ACTS = (Act.REPLACED_BATH, Act.WITHDRAWN_BATH, Act.HANDLING_BATH, Act.ADDING_BLINDLY)
LARGE = 0.5  # share above which a new bath is the better bargain (judgement)


def less_chloride(sheet: Sheet) -> Treatment:
    """Return what it takes to thin the chloride of a sheet's bath into its window."""
    advice = advise_beside(sheet)
    task = make_task(sheet, advice.estimate, advice.verdict)
    judged = advice.verdict["chloride"]
    if sheet.bath.condition:
        return _nothing(
            "First take a sound sample: what you see in the tank makes every reading false.",
            "No reading can be trusted yet",
            "Take a sound sample first.",
        )
    if doubted(advice):
        return _nothing(
            "Your readings contradict each other, or one of them looks like a slip: repeat the one that may be wrong "
            "before you replace any bath.",
            "The readings are in doubt",
            "Replace nothing: repeat the reading first.",
        )
    if task.chloride is None:
        return _nothing(
            "No reading tells the chloride: measure it first, with silver nitrate or a strip made for it.",
            "No reading tells the chloride",
            "Measure it first.",
        )
    now = _now(task)
    if judged.limits is None:
        return _nothing(
            line("{now}, and your window sets no limit for it: if your additives want one, set it yourself.", now=now),
            now,
            "Nothing to thin: your window sets no limit.",
        )
    most = judged.limits[1]
    if judged.likeliest()[0] != "high":
        return _nothing(
            line("{now}, and up to {most} is fine: nothing to thin.", now=now, most=Amount(most, "mg/L")),
            now,
            "Nothing to thin.",
            Tone.INSIDE,
        )
    share = share_to_replace(task, most, SURE_REACH)
    if share is None:
        return _nothing(
            "Your water holds as much chloride as the bath may: thin with distilled water only.",
            "Your water brings as much chloride",
            "Thin with distilled water only.",
        )
    return _replacing(sheet, task, share, share_to_replace(task, sum(judged.limits) / 2, 0.0))


def share_to_replace(task: Task, goal: float, reach: float) -> float | None:
    """Return the share of the bath to replace until chloride is at a goal [mg/L]; None where the water holds as much.

    reach: standard uncertainties of the chloride that must be below the goal too.
    """
    assert task.chloride is not None
    here = task.chloride + reach * task.chloride_standard_uncertainty
    if task.stock.water_chloride >= goal:
        return None
    return part_fraction(here, goal, task.stock.water_chloride)


def doubted(advice: Advice) -> bool:
    """Tell whether readings contradict each other, or one looks like a slip: nothing is thrown away on those."""
    return bool(advice.slips) or (advice.estimate is not None and advice.estimate.agreement.contradicts)


def replaced(sheet: Sheet, task: Task, share: float) -> Amounts:
    """Return what replaces a share of the bath: fresh bath that leaves the contents as they are, or brings the aim.

    What was not measured is mixed as it is aimed at.
    """
    goals = []
    for name in SALT_AND_ACID:
        now, aim = task.known.value(name), getattr(task, f"aim_{name}")
        state = task.verdicts[name].state
        whole = max((aim - (1 - share) * now) / share, 0.0)
        goals.append(aim if state == "not measured" else now if state in ("in", "unsure") else whole)
    return fresh_part(sheet, share * task.volume, *goals)


def _now(task: Task) -> Line:
    """Say what there is of chloride."""
    assert task.chloride is not None
    held = Amount(task.chloride, "mg/L", standard_uncertainty=task.chloride_standard_uncertainty)
    return line("Chloride is {held}", held=held)


def _replacing(sheet: Sheet, task: Task, share: float, to_middle: float | None) -> Treatment:
    amounts = replaced(sheet, task, share)
    plan = plan_of(task, PlanState.POSSIBLE, amounts)
    after, steps = plan.after, steps_of(task, plan)
    price = sheet.keep.disposal_price if sheet.keep else None
    disposal_cost = None if price is None else price * amounts.take_out
    numbers = {
        "share_to_replace": share,
        "share_for_the_middle": to_middle,
        "take_out_L": amounts.take_out,
        "water_g": amounts.water,
        "crystals_g": amounts.crystals,
        "acid_g": amounts.acid,
        "chloride_after_mg_L": after.chloride,
        "copper_sulfate_after_g_L": after.copper_sulfate if task.measured("copper_sulfate") else None,
        "sulfuric_acid_after_g_L": after.sulfuric_acid if task.measured("sulfuric_acid") else None,
        "cost": plan.cost,
        "disposal_cost": disposal_cost,
        "waste_L": amounts.take_out,
    }
    return Treatment(
        what="less chloride",
        glance=Headline(
            Tone.TO_DO,
            _now(task),
            line(
                "Replace {out} of the bath ({percent:.0f} %) with fresh bath.",
                out=in_a_jug(amounts.take_out),
                percent=100 * share,
            ),
            (FIRST_SENTENCE,) if amounts.acid > 0 else (),
        ),
        numbers=numbers,
        result=tuple(_result(task, plan, share, to_middle, disposal_cost)),
        words={},
        acts=tuple(dict.fromkeys((*acts_of(steps, ()), *ACTS))),
        steps=tuple((line("{dose}. {how}", dose=step_dose(step), how=step.how), _acts_of_step(step)) for step in steps),
        warnings=tuple(_warnings(sheet, task, share)),
    )


def _acts_of_step(step: Step) -> tuple[Act, ...]:
    """Return what a step is for the hands: bath that is replaced is waste, where a correction's would be stock."""
    return (Act.REPLACED_BATH, Act.HANDLING_BATH) if step.what == "bath" else step.acts


def _result(task: Task, plan: Plan, share: float, to_middle: float | None, disposal_cost: float | None) -> list[Line]:
    amounts = plan.amounts
    said = [
        line(
            "{now}. Replacing {share} of the bath brings it to {after}",
            now=_now(task),
            share=f"{100 * share:.0f} %",
            after=Amount(plan.after.chloride or 0.0, "mg/L"),
        ),
        line(
            "Out: {out} of bath. In: {fresh}",
            out=in_a_jug(amounts.take_out),
            fresh=fresh_part_said(task.stock, amounts),
        ),
    ]
    if to_middle and to_middle > share:
        said.append(line("The middle of its window would take {share} of the bath", share=f"{100 * to_middle:.0f} %"))
    if plan.cost is not None:
        spent = plan.cost + (disposal_cost or 0.0)
        with_waste = "" if disposal_cost is None else " with its disposal"
        said.append(line("It costs about {spent}{with_waste}", spent=phrases.money(spent), with_waste=with_waste))
    return said


def _warnings(sheet: Sheet, task: Task, share: float) -> list[str]:
    said = []
    if share > LARGE:
        said.append("That is more than half of the bath: ask Keep or remake, a new one is hardly dearer.")
    if task.stock.water_chloride > 0 or sheet.bath.topped_up_with == "tap water":
        said.append("Tap water brought it and brings it again: top up with distilled water only.")
    if not all(task.measured(name) for name in SALT_AND_ACID):
        said.append(
            "Copper sulfate and acid are not both measured: what replaces them follows the middle of the window."
        )
    return said


def _nothing(why: str, matter: str, act: str, tone: Tone = Tone.NOT_SETTLED) -> Treatment:
    glance = Headline(tone, matter, line(act), ())
    return Treatment("less chloride", glance, {"share_to_replace": None}, (why,), {}, ACTS, carried_out=False)
