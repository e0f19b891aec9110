"""The whole way in one pure function: bench sheet in, advice out.

assessment → correction → ways beside it → next reading, with the warnings and cautions that belong to them. It reads no
file, keeps no record and shows nothing; the app, the command line and the printed page only show what it returns.
"""

from __future__ import annotations

from advisor.check.advice import Advice
from advisor.check.assessment import assess
from advisor.check.correction import Plan, correct
from advisor.check.estimate import Estimate
from advisor.check.mass_balance import Amounts, Task, forward
from advisor.check.middle import to_the_middle
from advisor.check.next_reading import rank
from advisor.check.remarks import cautions_of, warnings_of
from advisor.check.steps import steps_of
from advisor.check.task import make_task
from advisor.check.ways import ways
from advisor.sheet import Sheet


def advise(sheet: Sheet) -> Advice:
    """Return the advice on a bench sheet. Raises nothing: a sheet is validated when it is read."""
    known = assess(sheet)
    found, limits, verdict = known.estimate, known.limits, known.verdict
    task = make_task(sheet, found, verdict)
    plan = _plan(sheet, found, task)
    steps = steps_of(task, plan)
    beside = ways(task, plan) if found else ()
    suggestions = () if sheet.bath.condition else rank(sheet, found, limits)
    return Advice(
        found,
        known.determined,
        task.volume,
        verdict,
        known.crystallises_below,
        plan,
        steps,
        beside,
        suggestions,
        warnings_of(sheet, found, verdict, known.values, plan, known.crystallises_below),
        cautions_of(bool(sheet.bath.condition), steps, beside),
        bool(sheet.bath.condition),
        to_the_middle(task, plan),
    )


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
