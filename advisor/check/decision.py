"""Which of the eight states an answer has: the first that applies, from what forbids any advice to what is fine.

The correction that the readings would call for is computed before (`correction`); here it is decided whether it may be
done, and what comes first if not. Each rule looks at one matter and returns the plan to show, or None where it does
not apply. No amounts are sought here but the water that makes up a level or thins for the cold.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from advisor.basis.components import NAMES, SALT_AND_ACID, UNITS
from advisor.check.again import fit_worst
from advisor.check.assessment import Assessment
from advisor.check.correction import (
    Correction,
    Plan,
    plan_of,
    thinned_for_the_cold,
    to_the_usual_level,
    water_alone,
)
from advisor.check.estimate import Trials
from advisor.check.floor import on_the_floor
from advisor.check.known import Known
from advisor.check.leaning import SETTLES_COPPER, SODIUM_READS, density_alone_after_soda
from advisor.check.mass_balance import Amounts, Task, forward
from advisor.check.open_questions import QUESTIONS, answered_with_nothing, unanswered
from advisor.check.slips import Slip, is_far, slips_of
from advisor.check.window import EVEN, Limits, is_determined, judge
from advisor.sheet import Sheet
from advisor.solution.solubility import Crystals, crystallises_below, crystals, safe_up_to, saturation, to_keep_above
from advisor.words.lines import Amount, Line, capital, joined, line, listed, small
from advisor.words.sections import percent
from advisor.words.states import PlanState

ROUGHLY = 2.0  # times a standard uncertainty that is told by lines: so much higher it may be (judgement)


@dataclass(frozen=True)
class Case:
    """A bath to decide on: its sheet, what it holds, and the task of correcting it.

    in_short: whether nobody will read what stands in the way of a correction.
    """

    sheet: Sheet
    known: Assessment
    task: Task
    in_short: bool = False

    @cached_property
    def correction(self) -> Correction:
        """The correction that the readings would call for, as far as it is worked out."""
        return Correction(self.task, saying_why=not self.in_short)

    @property
    def considered(self) -> Plan:
        """The correction that the readings would call for."""
        return self.correction.plan

    @property
    def contradicts_itself(self) -> bool:
        """Tell whether the readings contradict each other."""
        return self.known.estimate is not None and self.known.estimate.agreement.contradicts

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """The slips that would explain the readings; none are looked for where nothing is odd about the bath.

        Odd: the readings contradict each other, the bath lies far from every window, or part of it would be thrown out.
        """
        if self.trials is None:
            return ()
        found, limits = self.known.estimate, self.known.limits
        odd = self.contradicts_itself or is_far(found, limits) or self.correction.takes_much_out
        return slips_of(self.trials, limits) if odd else ()

    @cached_property
    def trials(self) -> Trials | None:
        """Quick estimates from other readings than these; None where nothing was read."""
        return Trials(self.sheet, self.known.estimate) if self.known.estimate else None

    def held(self, state: PlanState, *why: str) -> Plan:
        """Return the plan that does nothing yet, and what would be done otherwise."""
        plan = replace(plan_of(self.task, state, Amounts()), why=why)
        if self.in_short or self.considered.amounts == Amounts():
            return plan
        return replace(plan, held_back=self.considered)

    def instead(self) -> tuple[Line, ...]:
        """Say what a correction that takes much out and is held back would take."""
        if self.in_short or not self.correction.takes_much_out:
            return ()
        return (
            line(
                "To bring it where you chose, {out} of {volume} would have to go.",
                out=Amount(self.considered.amounts.take_out, "L", 2),
                volume=Amount(self.task.volume, "L", 2),
            ),
        )


def decide(case: Case) -> Plan:
    """Return the plan to show: that of the first rule that applies."""
    return next(plan for rule in RULES if (plan := rule(case)) is not None)


def _unsound(case: Case) -> Plan | None:
    """Hold back everything where what is seen in the tank makes every reading false."""
    if not case.sheet.bath.condition:
        return None
    seen = ", ".join(case.sheet.bath.condition)
    blocked = f"the condition of the bath ({seen}): take a sound sample first"
    return Plan(PlanState.NOT_POSSIBLE, Amounts(), forward(case.task, Amounts()), None, blocked)


def _nothing_measured(case: Case) -> Plan | None:
    if any(case.task.measured(name) for name in SALT_AND_ACID):
        return None
    why = ("Neither copper sulfate nor acid has been measured.",)
    return replace(plan_of(case.task, PlanState.MEASURE_FIRST, Amounts()), why=why)


def _low_and_saturated(case: Case) -> Plan | None:
    """Make up a low level first where crystals may lie on the floor, which no reading sees."""
    task, now = case.task, case.sheet.bath.temperature.value
    acid = task.acid_in_the_cold(task.sulfuric_acid)
    dissolves = float(saturation(now, acid))
    is_full = task.copper_sulfate > float(safe_up_to(acid)) * dissolves
    if not (task.level_is_low and task.measured("copper_sulfate") and is_full):
        return None
    plan = plan_of(task, PlanState.FIRST_PART, to_the_usual_level(task))
    why = line(
        "The level is low and the liquid holds about all the copper sulfate that dissolves at {now}: crystals may lie "
        "on the floor, and no reading sees them. With the water in, warm the bath to about {40 °C}, stir it until "
        "nothing more dissolves, let it cool and settle, and repeat your readings. Only then add salts or acid.",
        now=Amount(now, "°C"),
    )
    lies = on_the_floor(case.sheet, case.known.estimate)
    briefly = line(
        "Crystals may lie on the floor, which no reading sees. With the water in, warm it to about {40 °C}, stir until "
        "nothing more dissolves, and repeat your readings. Only then add salts or acid."
    )
    every = tuple(range(len(case.sheet.readings)))
    return replace(plan, why=(why, lies) if lies else (why,), briefly=(briefly,), repeat=every)


def _wrong_window(case: Case) -> Plan | None:
    if not (case.correction.takes_much_out and case.known.sits_in):
        return None
    then = ". If that is the bath you keep, choose that window before any of it is thrown away."
    elsewhere = sits_elsewhere(case.task, case.sheet.window.name, case.known.sits_in, "it", then)
    briefly = line(
        "It holds {copper} copper sulfate and {acid} acid.",
        copper=Amount(case.task.copper_sulfate, "g/L"),
        acid=Amount(case.task.sulfuric_acid, "g/L"),
    )
    plan = case.held(PlanState.WRONG_WINDOW, elsewhere, *case.instead())
    return replace(plan, briefly=(briefly, *case.instead()))


def sits_elsewhere(task: Task, chosen: str, others: tuple[str, ...], what: str, then: str) -> Line:
    """Say in which other windows a bath sits. what: the word for it; then: what follows from that."""
    return line(
        "With {copper} of copper sulfate and {acid} of acid {what} sits in the window “{others}”, not in “{chosen}”"
        "{then}",
        copper=Amount(task.copper_sulfate, "g/L"),
        acid=Amount(task.sulfuric_acid, "g/L"),
        what=what,
        others="” and in “".join(others),
        chosen=chosen,
        then=then,
    )


def _repeat_first(case: Case) -> Plan | None:
    """Ask for a reading again that may be a slip, and before much bath is thrown out on the word of one."""
    if case.slips:
        doubted = _doubted(case)
        return replace(case.held(PlanState.REPEAT_FIRST, _may_be_wrong(case, doubted), *case.instead()), repeat=doubted)
    alone = _rests_on_one(case) if case.correction.takes_much_out else None
    if alone is None:
        return None
    number, name = alone
    why = line(
        "That {name} is high rests on reading {number} ({label}) alone.",
        name=NAMES[name],
        number=number + 1,
        label=small(case.sheet.readings[number].label),
    )
    return replace(case.held(PlanState.REPEAT_FIRST, why, *case.instead()), repeat=(number,))


def _doubted(case: Case) -> tuple[int, ...]:
    """Return the readings of which one may be wrong: a slip that would explain one leaves open that it is another."""
    found = case.known.estimate
    others = fit_worst(case.sheet.readings, found.agreement) if found and found.agreement.odd_one_out is None else []
    return tuple(sorted({*others, *(slip.reading for slip in case.slips)}))


def _may_be_wrong(case: Case, doubted: tuple[int, ...]) -> Line:
    """Say which readings may be wrong; which slip, and what the bath would then hold, is said with the slips."""
    numbers = [at + 1 for at in doubted]
    labels = [small(case.sheet.readings[at].label) for at in doubted]
    named = [line("{number} ({label})", number=at, label=label) for at, label in zip(numbers, labels, strict=True)]
    if len(named) == 1:
        return line("Reading {one} may be a slip of the hand.", one=named[0])
    if len(named) == 2:
        both = joined(" or reading ", named)
        return line("Reading {both} may be wrong: taking one of them again settles it.", both=both)
    return line("One of the readings {all} may be wrong: take them again, one by one.", all=joined(", ", named))


def _rests_on_one(case: Case) -> tuple[int, str] | None:
    """Return a reading without which something that is high would not be determined, and what; None if none."""
    high = [name for name, verdict in case.task.verdicts.items() if (verdict.probability_high or 0.0) > EVEN]
    readings, trials, verdicts = case.sheet.readings, case.trials, case.task.verdicts
    if trials is None or len(readings) < 2:
        return (0, high[0]) if readings and high else None
    alone = _that_may_be_alone(case, trials, high)
    told = trials.far([(*readings[:at], *readings[at + 1 :]) for at in alone], least=0.0)
    return next(
        (
            (at, name)
            for (at, without), name in itertools.product(zip(alone, told, strict=True), high)
            if without is None or not _tells(without, name, verdicts[name].limits)
        ),
        None,
    )


def _that_may_be_alone(case: Case, trials: Trials, names: Sequence[str]) -> list[int]:
    """Return the positions of readings without which a component, of these, might not be determined."""
    value, verdicts = case.task.known.value, case.task.verdicts

    def stays(name: str, spread: float) -> bool:
        return is_determined(value(name), ROUGHLY * spread, verdicts[name].limits)

    without = {at: trials.spread_without(at) for at in trials.best_of_each()}
    return [at for at, spread in without.items() if not all(stays(name, spread[name]) for name in names)]


def _tells(known: Known, name: str, limits: Limits | None) -> bool:
    """Tell whether a component was measured and is determined."""
    return name in known.measured and is_determined(*known.of(name), limits)


def _all_inside(case: Case) -> Plan | None:
    """Say what is left where all that was measured is inside: the cold, the unmeasured, the level, or nothing."""
    doubtful = tuple(name for name in case.task.verdicts if case.task.needs(name))
    if doubtful and not _inside_if_nothing_got_in(case, doubtful):
        return None
    cold = _too_cold(case)
    if cold:
        return cold
    lacking = _lacking(case, doubtful)
    return lacking or (case.considered if case.considered.state is PlanState.NONE_NEEDED else None)


def _lacking(case: Case, doubtful: tuple[str, ...]) -> Plan | None:
    """Ask for what is not measured or not answered and counts; None where nothing of that is open."""
    missing, unsaid, soda = _not_measured(case), _unanswered(case, doubtful), _passes_for_copper(case)
    lacking = (*missing.values(), *unsaid, *soda)
    if not lacking:
        return None
    named = (f"Not measured: {joined(' and ', missing)}.",) if missing else ()
    after_soda = ("Soda went in, and the density alone does not tell the copper.",) if soda else ()
    return replace(
        case.held(PlanState.MEASURE_FIRST, *lacking),
        briefly=(*named, *unsaid, *after_soda),
        asks=unanswered(case.sheet) if doubtful or soda else (),
        settled_by=SETTLES_COPPER if soda or "copper_sulfate" in doubtful else (),
    )


def _not_measured(case: Case) -> dict[str, Line]:
    """Say what was not measured and counts: copper and acid always, chloride where the bath has limits for it."""
    said = {}
    for name, verdict in case.task.verdicts.items():
        if verdict.state != "not measured" or not (name in SALT_AND_ACID or verdict.limits):
            continue
        why = " Brightener and suppressor hardly work without it." if name == "chloride" else ""
        limits = verdict.limits
        window = line(" (window {window})", window=Amount(limits[0], UNITS[name], upper=limits[1])) if limits else ""
        said[NAMES[name]] = line("Not measured: {name}{window}.{why}", name=NAMES[name], window=window, why=why)
    return said


def _inside_if_nothing_got_in(case: Case, doubtful: tuple[str, ...]) -> bool:
    """Tell whether what is in doubt is inside if the open questions are answered with "nothing"."""
    found, verdicts = case.known.estimate, case.known.verdict
    if found is None or not unanswered(case.sheet) or any(verdicts[name].state != "unsure" for name in doubtful):
        return False
    clean = Trials(answered_with_nothing(case.sheet), found).near(case.sheet.readings)
    return all(judge(*clean.of(name), verdicts[name].limits).state == "in" for name in doubtful)


def _unanswered(case: Case, doubtful: tuple[str, ...]) -> list[str]:
    if not doubtful:
        return []
    names = " and ".join(NAMES[name] for name in doubtful)
    still = [QUESTIONS[question].asks for question in unanswered(case.sheet)]
    which = "" if len(still) == len(QUESTIONS) else f" ({listed(still)})"
    questions = "question" if len(still) == 1 else "questions"
    are = "is" if len(doubtful) == 1 else "are"
    return [f"Whether {names} {are} inside hangs on what got into the bath: answer the open {questions}{which}."]


def _passes_for_copper(case: Case) -> list[Line]:
    """Say that a density alone does not tell the copper once soda went in; nothing where something else tells it."""
    left = case.sheet.bath.left_by_soda()
    if left is None or not density_alone_after_soda(case.sheet) or not case.task.measured("copper_sulfate"):
        return []
    reads = SODIUM_READS * left.sodium_sulfate
    return [
        line(
            "Soda went in, and the density alone does not tell the copper: what is left of the soda reads as "
            "{reads} of copper sulfate. A reading that only copper makes settles it.",
            reads=Amount(reads, "g/L", standard_uncertainty=reads * left.relative_uncertainty),
        )
    ]


def _too_cold(case: Case) -> Plan | None:
    """Say how warm to keep a bath that is too strong for the cold, and thin it where that leaves it inside."""
    task = case.task
    if not _may_crystallise(case):
        return None
    warm = to_keep_above(task.copper_sulfate, task.sulfuric_acid)
    saturated, in_short = _saturated(task, warm)
    keep, or_keep, thin_it = _warmth(warm)
    why = line("{saturated} {keep}", saturated=saturated, keep=keep)
    water = water_alone(task)
    if water:
        plan = plan_of(task, PlanState.TOO_COLD, water)
        return replace(plan, why=(why, thin_it), briefly=(in_short, or_keep), keep_above=warm)
    thin = thinned_for_the_cold(task)
    or_thin = line(
        "Thinned until it stays clear there it would come to {copper} of copper sulfate and {acid} of acid, which "
        "leaves the window.",
        copper=Amount(thin.copper_sulfate, "g/L"),
        acid=Amount(thin.sulfuric_acid, "g/L"),
    )
    leaves = (in_short, "Thinned until it stays clear there, it leaves the window.")
    return replace(case.held(PlanState.TOO_COLD, why, or_thin), briefly=leaves, keep_above=warm)


def _saturated(task: Task, warm: int | None) -> tuple[Line, Line]:
    """Say at which temperature a bath is saturated and what margin that takes, and the same for a glance.

    warm: the whole degrees [degC] above which it is safe; None where there are none.
    """
    below, cold = round(float(crystallises_below(task.copper_sulfate, task.sulfuric_acid))), Amount(task.coldest, "°C")
    saturated = Amount(below, "°C")
    if warm is None:  # beyond the temperatures in print
        said = line("It is saturated at more than about {hot}, and it may stand at {cold}.", hot=saturated, cold=cold)
        return said, said
    least = Amount(warm, "°C", is_least=True)
    in_short = line("crystals may form below about {warm}, and it may stand at {cold}.", warm=least, cold=cold)
    said = line(
        "It is saturated at about {saturated}, with a margin of {margin} for what is uncertain: {in_short}",
        saturated=saturated,
        margin=Amount(warm - below, "°C", is_change=True),
        in_short=in_short,
    )
    return said, capital(in_short)


def _may_crystallise(case: Case) -> bool:
    """Tell whether crystals may form at the coldest; where they only nearly do, the cold itself must be told."""
    bath, task = case.sheet.bath, case.task
    if not all(task.measured(name) for name in SALT_AND_ACID):
        return False
    at_coldest = crystals(task.copper_sulfate, task.sulfuric_acid, task.coldest)
    if at_coldest is not Crystals.NEAR:
        return at_coldest is not Crystals.SAFE
    colder_now = bath.was_given("temperature") and bath.temperature.value <= task.coldest
    return colder_now or bath.was_given("coldest")


def _warmth(warm: int | None) -> tuple[str, str, str]:
    """Return how warm [degC] to keep a bath, the same beside steps that thin it, and what is said of these."""
    if warm is None:
        none = "No warmth surely keeps it clear of crystals."
        return none, none, "Thin it, as the steps say."
    above = Amount(warm, "°C", is_least=True)
    keep, or_keep = line("Keep it above about {warm}.", warm=above), line("Or keep it above {warm}.", warm=above)
    return keep, or_keep, "Or thin it, as the steps say."


def _half_measured(case: Case) -> Plan | None:
    """Call a first part what corrects only one of copper sulfate and acid, because the other was not measured."""
    missing = [NAMES[name] for name in SALT_AND_ACID if not case.task.measured(name)]
    if not missing or case.considered.state not in (PlanState.POSSIBLE, PlanState.FIRST_PART):
        return None
    briefly = f"Not measured: {joined(' and ', missing)}."
    only = "" if case.considered.amounts == Amounts() else " What is added here puts right only what you measured."
    why, briefly_all = (f"{briefly}{only}", *_binding(case.considered)), (briefly, *_in_the_way(case.considered))
    return replace(case.considered, state=PlanState.FIRST_PART, why=why, briefly=briefly_all)


def _as_considered(case: Case) -> Plan:
    """Return the correction that the readings call for; where it does not land, say what stands in the way."""
    plan = case.considered
    if plan.state is not PlanState.FIRST_PART:
        return plan
    return replace(plan, why=_binding(plan), briefly=_in_the_way(plan))


def _in_the_way(plan: Plan) -> tuple[Line, ...]:
    """Say in short what stands in the way of a whole correction, and of the cold what to do about it."""
    warm = plan.warm_enough
    if warm and len(plan.binds) == 1:
        return (line("For a whole correction keep it above {warm}.", warm=warm),)
    if not plan.binds:
        return ()
    held = line(
        "A whole correction is held back by {limits}.", limits=joined(" and ", [bind.limit for bind in plan.binds])
    )
    return (held, line("Against the cold keep it above {warm}.", warm=warm)) if warm else (held,)


def _binding(plan: Plan) -> tuple[Line, ...]:
    """Say at length what stands in the way of a whole correction, and what lifting it would lead to."""
    return tuple(
        line(
            "A whole correction is held back by {limit}: {lifting}. {instead} {lands} would land inside, {sure} sure.",
            limit=bind.limit,
            lifting=bind.lifting,
            instead=capital(bind.instead),
            lands=bind.lands,
            sure=percent(bind.probability_in),
        )
        for bind in plan.binds
    )


RULES: tuple[Callable[[Case], Plan | None], ...] = (
    _unsound,
    _nothing_measured,
    _low_and_saturated,
    _wrong_window,
    _repeat_first,
    _all_inside,
    _half_measured,
    _as_considered,
)
