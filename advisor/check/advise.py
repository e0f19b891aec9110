"""The whole way in one pure function: bench sheet in, advice out.

assessment → correction → ways beside it → next reading, with the warnings and cautions that belong to them. It reads no
file, keeps no record and shows nothing; the app, the command line and the printed page only show what it returns.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache, partial

from advisor.check.advice import Advice, InShort
from advisor.check.assessment import Assessment, assess, assessed
from advisor.check.correction import Plan
from advisor.check.decision import Case, decide
from advisor.check.floor import sound_sample
from advisor.check.granted import taken_for_granted
from advisor.check.metals import metals_said
from advisor.check.middle import to_the_middle
from advisor.check.next_reading import rank
from advisor.check.remarks import cautions_of, warnings_of
from advisor.check.room import room_asked
from advisor.check.steps import steps_of
from advisor.check.task import make_task
from advisor.check.ways import ways
from advisor.sheet import Sheet

KEPT = 8  # bench sheets whose advice is at hand: a few visitors, each with one or two (judgement)


def advise(sheet: Sheet) -> Advice:
    """Return the advice on a bench sheet. Raises nothing: a sheet is validated when it is read."""
    case, in_short = _decided(sheet, assess(sheet))
    known, task, plan, steps = case.known, case.task, in_short.plan, in_short.steps
    beside = ways(task, plan) if known.estimate and not plan.held_back else ()
    sample = sound_sample(sheet.bath) if sheet.bath.condition else None
    room = room_asked(sheet, task, plan) if known.estimate else None
    return Advice(
        known=known,
        volume_L=task.volume,
        plan=plan,
        steps=steps,
        ways=beside,
        ranked=(lambda: ()) if sheet.bath.condition else partial(rank, sheet, known, task, plan, case.trials),
        slips=case.slips,
        taken_for_granted=taken_for_granted(sheet, task, plan, room is not None) if known.estimate else (),
        warnings=warnings_of(sheet, known, task, plan),
        cautions=cautions_of(sample, plan, steps, beside),
        sample=sample,
        to_the_middle=to_the_middle(task, plan),
        before_buying=tuple(metals_said(sheet, known.estimate)) if any(step.do == "add" for step in steps) else (),
        room=room,
        without_odd=_without_the_odd_one(case, plan),
    )


def advise_beside(sheet: Sheet) -> Advice:
    """Return the advice on the bath of a sheet for another question, such as what to buy.

    It is kept at hand: what is typed for that question changes nothing of it.
    """
    return _at_hand(sheet.of_the_bath, sheet.given)


@lru_cache(maxsize=KEPT)
def _at_hand(sheet: Sheet, given: tuple[str, ...]) -> Advice:
    """Return the advice on a sheet; given: as of the sheet, which its equality leaves out."""
    return advise(sheet)


def _decided(sheet: Sheet, known: Assessment, in_short: bool = False) -> tuple[Case, InShort]:
    """Return what to do about a sheet's bath, all readings counted alike. in_short: without what stands in the way."""
    task = make_task(sheet, known.estimate, known.verdict)
    case = Case(sheet, known, task, in_short)
    plan = decide(case)
    return case, InShort(known, plan, steps_of(task, plan))


def _without_the_odd_one(case: Case, plan: Plan) -> InShort | None:
    """Return the answer without the reading that fits none of the others; None where none is odd.

    Where crystals may lie on the floor, all readings are taken anew anyway.
    """
    sheet, estimate = case.sheet, case.known.estimate
    odd = estimate.agreement.odd_one_out if estimate else None
    if odd is None or plan.may_lie_on_the_floor:
        return None
    others = replace(sheet, readings=tuple(reading for at, reading in enumerate(sheet.readings) if at != odd))
    trials = case.trials.without_the_odd_one if case.trials else None
    return _decided(others, assessed(others, trials.about) if trials else assess(others, estimate), in_short=True)[1]
