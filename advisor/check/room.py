"""Whether a plan depends on how much the tank holds, where nobody said that: then it is asked first.

Otherwise a tank is taken to hold little more than its usual level, and a plan takes bath out rather than overfill it.
"""

from __future__ import annotations

from dataclasses import replace

from advisor.check.correction import Plan, correct
from advisor.check.mass_balance import Amounts, Task
from advisor.check.search import A_JUG
from advisor.sheet import ROOM, Sheet
from advisor.words.lines import Amount, Line, line

ROOMY = 1.5  # times the usual level: hardly a tank holds more (judgement)


def ends_above(task: Task, plan: Plan) -> bool:
    """Tell whether a plan ends further above the usual level than a plan may without asking."""
    roof = max(task.usual_volume * (1 + ROOM), task.volume) + task.unread_litres
    return plan.amounts != Amounts() and plan.after.volume > roof


def room_asked(sheet: Sheet, task: Task, plan: Plan) -> Line | None:
    """Say why the person should first say what the tank holds; None where they did, or it would change nothing."""
    if sheet.bath.max_volume is not None:
        return None
    if ends_above(task, plan):
        return line(
            "This ends at {end}, above your usual {usual}. Does the tank hold that?",
            end=Amount(plan.after.volume, "L", 2),
            usual=Amount(task.usual_volume, "L", 2),
        )
    if plan.amounts.take_out <= 0:
        return None
    larger = replace(task, has_room=True, most_volume=ROOMY * max(task.usual_volume, task.volume))
    roomy = correct(larger, saying_why=False)
    spared = plan.amounts.take_out - roomy.amounts.take_out
    if roomy.amounts == Amounts() or spared < A_JUG * task.volume or not ends_above(task, roomy):
        return None
    return line(
        "Room for {end}? Then {spared} stays.",
        end=Amount(roomy.after.volume, "L", 2),
        spared=Amount(spared, "L", 2),
    )
