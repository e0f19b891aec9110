"""Which reading to take next: what each one that the person could take would settle.

For every kind that the gear allows and the sheet does not hold yet, a reading is imagined at the present estimate; a
reading that is there may be worth repeating (`again`), and a question worth answering. The gain is the rise in the
expected probability that the verdicts are decided, or that a plan lands where none does. It advises no amounts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import roots_hermitenorm

from advisor.basis.arrays import FloatArray, linearised
from advisor.basis.components import COMPONENTS, SALT_AND_ACID
from advisor.check.again import Again, to_repeat, with_a_better_tool
from advisor.check.assessment import Assessment, assess
from advisor.check.candidates import CANDIDATES, SENT_AWAY, Candidate, price_of
from advisor.check.correction import Plan, correct
from advisor.check.estimate import PRIOR, Trials
from advisor.check.foreign import Prior, expected
from advisor.check.known import Known, state_of
from advisor.check.leaning import Density
from advisor.check.mass_balance import Task
from advisor.check.open_questions import QUESTIONS, unanswered
from advisor.check.task import make_task
from advisor.check.window import Limits, are_decided, probability_inside
from advisor.readings import Reading
from advisor.sheet import GEAR, Gear, Sheet
from advisor.solution.solubility import Crystals
from advisor.words.sections import percent
from advisor.words.states import PlanState

_POINTS, _WEIGHTS = roots_hermitenorm(21)  # exact: Gauss-Hermite nodes
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()

LEAST_GAIN = 0.01  # expected share of decided verdicts below which nothing is worth suggesting (judgement)
ANSWERING, REPEATING = 1.0, 20.0  # minutes (judgement)
NEARLY = 0.8  # of the best gain, from which the one that costs less is named as what to buy (judgement)
MINUTE = 0.3  # what a minute of work counts for beside the price of a tool, in any currency (judgement)
GONE = 0.01  # g/L: what is left unknown of a salt that surely never got in (judgement)


@dataclass(frozen=True)
class Suggestion:
    """A reading worth taking, or a question worth answering; minutes of work are judgement.

    gain: rise in the expected share of decided verdicts, or in how surely a plan lands. repeats: the reading, from
    0, that this is once more. tool: the one that is owned to take it with, where that is what helps. poorer: the same
    with poorer gear. lacking: what it needs that is not owned, where nothing else would help.
    """

    kind: str | None
    why: str
    gain: float
    minutes: float
    question: str | None = None  # a field of the sheet to fill in instead of a reading to take, such as "bath.touched"
    repeats: int | None = None
    tool: str | None = None
    poorer: Suggestion | None = None
    lacking: tuple[str, ...] = ()


def rank(sheet: Sheet, known: Assessment, task: Task, plan: Plan, trials: Trials | None) -> tuple[Suggestion, ...]:
    """Return what is worth doing next: what the plan waits for, questions to answer, then readings by their gain.

    Where the sheet names no gear, all readings count. Where the gear allows none, the one that needs the fewest other
    things is named, with those. Answering costs nothing, so questions that help come before tests.
    """
    estimate = known.estimate
    told = _told(sheet, known)
    if plan.state is PlanState.NONE_NEEDED:
        return told
    present = _present(sheet, estimate)
    gain_of = _gain(known, task, plan, present)
    waited, others = _readings(sheet, plan, present, gain_of)
    have = set(sheet.gear.have)
    readings = _within_reach(others, have)
    asked, repeated = list[Suggestion](), list[Suggestion]()
    if estimate and trials:
        readings += _better(trials, plan, gain_of)
        asked = _questions(sheet, present, gain_of, plan.asks)
        repeated = [_suggested(trials, again, gain_of) for again in to_repeat(sheet, estimate, plan)]
    first = sorted(_within_reach(waited, have), key=lambda said: plan.settled_by.index(said.kind or ""))
    by_gain = sorted(readings, key=lambda said: -said.gain)
    return (*repeated, *asked, *told, *first, *(_least_work_first(by_gain) if have else by_gain))


def with_every_tool(sheet: Sheet, known: Assessment, task: Task, plan: Plan) -> tuple[Suggestion, ...]:
    """Return the readings that would help someone who owns every tool, the best first."""
    if plan.state is PlanState.NONE_NEEDED or sheet.bath.condition:
        return ()
    present, owning = _present(sheet, known.estimate), replace(sheet, gear=Gear(tuple(GEAR)))
    waited, others = _readings(owning, plan, present, _gain(known, task, plan, present))
    at_home = [said for candidate, said in (*waited, *others) if candidate.needs != SENT_AWAY]
    return tuple(_least_work_first(sorted(at_home, key=lambda said: -said.gain)))


def _least_work_first(by_gain: list[Suggestion]) -> list[Suggestion]:
    """Return what is owned with the least work first where it gains alike."""
    return sorted(by_gain, key=lambda said: (-round(said.gain, 2), said.minutes))


Worth = list[tuple[Candidate, Suggestion]]  # what a suggested reading takes, and the suggestion


def _readings(sheet: Sheet, plan: Plan, present: Known, gain_of: Callable[[FloatArray], float]) -> tuple[Worth, Worth]:
    """Return the readings that the plan waits for, even if they seem to gain little, and the others worth taking."""

    def suggested(kind: str, candidate: Candidate) -> Suggestion:
        gain = max(gain_of(_after(candidate.imagined(kind), sheet, present)), 0.0)
        poorer = suggested(kind, candidate.poorer) if candidate.poorer else None
        return Suggestion(kind, candidate.why, gain, candidate.minutes, poorer=poorer)

    waited, others = Worth(), Worth()
    for kind, candidate in _not_taken(sheet):
        said = suggested(kind, candidate)
        if kind in plan.settled_by:
            waited.append((candidate, said))
        elif said.gain > LEAST_GAIN:
            others.append((candidate, said))
    return waited, others


def _told(sheet: Sheet, known: Assessment) -> tuple[Suggestion, ...]:
    """Return what was taken for granted and decides: the cold where crystals are near, the age where copper is open."""
    bath, asked = sheet.bath, []
    if known.crystals_coldest not in (None, Crystals.SAFE) and not bath.was_given("coldest"):
        why = "say how cold the bath may stand: with what it holds, crystals are not far off"
        asked.append(Suggestion(None, why, 1.0, ANSWERING, "bath.coldest"))
    rests_on_density = any(isinstance(reading, Density) for reading in sheet.readings)
    open_still = known.verdict["copper_sulfate"].state == "unsure" and "copper_sulfate" in known.determined
    if open_still and rests_on_density and not bath.was_given("age"):
        why = "say how old the bath is: salts gather with the months, and they read as copper"
        asked.append(Suggestion(None, why, LEAST_GAIN, ANSWERING, "bath.age"))
    return tuple(asked)


def _gain(known: Assessment, task: Task, plan: Plan, present: Known) -> Callable[[FloatArray], float]:
    """Return a function: the gain from knowing the bath to a covariance (n, n) [(g/L)^2], in the order of `present`.

    Where no plan lands, the gain is by how much more surely a plan that ends at the aim would. Else it is the rise in
    the expected share of verdicts that are decided: on copper sulfate and acid, or on chloride where only that is open.
    """
    pair = [present.names.index(name) for name in SALT_AND_ACID]

    def lands(covariance: FloatArray) -> float:
        (salt, shared), (_, acid) = covariance[np.ix_(pair, pair)]
        aim = (task.aim_copper_sulfate, task.aim_sulfuric_acid)
        return float(probability_inside(aim, (salt, shared, acid), task.limits_of_both))

    if plan.state is PlanState.FIRST_PART and all(task.measured(name) for name in SALT_AND_ACID):
        now = lands(present.covariance)
        return lambda covariance: lands(covariance) - now

    mean, covariance = np.array([present.value(name) for name in COMPONENTS]), present.block(COMPONENTS)
    wanted = _open(known, task, plan)
    decided = _expected_decided(mean, np.zeros((3, 3)), covariance, known.limits, wanted)

    def gain_of(after: FloatArray) -> float:
        then = replace(present, covariance=after).block(COMPONENTS)
        return min(_expected_decided(mean, covariance - then, then, known.limits, wanted) - decided, 1.0)

    return gain_of


def _open(known: Assessment, task: Task, plan: Plan) -> list[str]:
    """Return the components whose verdicts are to be decided: chloride only where nothing else is open."""
    both = [name for name in SALT_AND_ACID if known.limits[name]]
    if any(known.verdict[name].state in ("unsure", "not measured") for name in both):
        return both
    chloride = task.verdicts["chloride"]
    blocks = plan.state is PlanState.MEASURE_FIRST or chloride.state == "unsure"
    return ["chloride"] if chloride.limits and blocks else both


def _suggested(trials: Trials, again: Again, gain_of: Callable[[FloatArray], float]) -> Suggestion:
    """Return a suggestion to take a reading again, with what that would settle."""
    sheet = trials.sheet
    kind = sheet.readings[again.position].kind
    gain = gain_of(_present(sheet, trials.near(again.readings)).covariance)
    minutes = CANDIDATES[kind].minutes if kind in CANDIDATES else REPEATING
    return Suggestion(kind, again.why, gain, minutes, repeats=again.position, tool=again.tool)


def _better(trials: Trials, plan: Plan, gain_of: Callable[[FloatArray], float]) -> list[Suggestion]:
    """Return the reading that a better tool at hand would help most, and how surely a plan would land then."""
    sheet = trials.sheet
    offered = [(_suggested(trials, again, gain_of), again) for again in with_a_better_tool(sheet)]
    best, again = max(offered, key=lambda pair: pair[0].gain, default=(None, None))
    if best is None or again is None or best.gain <= LEAST_GAIN:
        return []
    would = replace(sheet, readings=again.readings)
    then = assess(would, trials.about)
    lands = correct(make_task(would, then.estimate, then.verdict), saying_why=False).after.probability_in
    now = plan.intended.after.probability_in
    if lands - now <= LEAST_GAIN:
        return [best]
    return [replace(best, why=f"{best.why}: a plan then lands with {percent(lands)} instead of {percent(now)}")]


def _not_taken(sheet: Sheet) -> list[tuple[str, Candidate]]:
    """Return the kinds of reading that the sheet does not hold yet, nor one that tells the same."""
    taken = {reading.kind for reading in sheet.readings}
    return [
        (kind, candidate.as_owned(sheet.gear.have))
        for kind, candidate in CANDIDATES.items()
        if not taken & {kind, *candidate.instead_of}
    ]


def _within_reach(worth_taking: Worth, have: set[str]) -> list[Suggestion]:
    """Return what the gear allows (all where none is named), or else what needs the fewest other things."""
    at_home = [(candidate, said) for candidate, said in worth_taking if candidate.needs != SENT_AWAY]
    usable = worth_taking if have else at_home
    within = [said for candidate, said in usable if not have or candidate.is_within(have)]
    return within or _with_least_besides(at_home, have)


def _with_least_besides(worth_taking: Worth, have: set[str]) -> list[Suggestion]:
    """Return the reading that needs the fewest things besides what is owned, and name these; none if there is none.

    Of several that need as few and tell nearly as much as the best of them, the cheapest, with the work counted.
    """
    lacking = [(sorted(candidate.missing(have)), said) for candidate, said in worth_taking]
    fewest = min((len(missing) for missing, _ in lacking), default=0)
    equal = [pair for pair in lacking if len(pair[0]) == fewest]
    most = max((said.gain for _, said in equal), default=0.0)
    near = sorted((pair for pair in equal if pair[1].gain >= NEARLY * most), key=lambda pair: _costs(*pair))
    return [
        replace(said, why=f"{said.why}; what you would need for it: {' and '.join(missing)}", lacking=tuple(missing))
        for missing, said in near[:1]
    ]


def _costs(missing: list[str], said: Suggestion) -> float:
    """Return what a reading costs, in any currency: the missing gear, and the work."""
    return price_of(missing) + MINUTE * said.minutes


def _questions(
    sheet: Sheet, present: Known, gain_of: Callable[[FloatArray], float], waited_for: tuple[str, ...]
) -> list[Suggestion]:
    """Return the unanswered questions that would help if the likeliest answer were given: that nothing got in.

    Those that the plan waits for are included even if they help little.
    """
    before = expected(sheet)
    helpful = []
    for question in unanswered(sheet):
        asked = QUESTIONS[question]
        answered = expected(replace(sheet, bath=replace(sheet.bath, **{question: asked.answer})))
        information = np.linalg.inv(present.covariance)
        for name, prior in before.items():
            narrower = answered.get(name, Prior(0.0, GONE)).standard_uncertainty
            at = present.names.index(name)
            information[at, at] += max(narrower**-2.0 - prior.standard_uncertainty**-2.0, 0.0)
        gain = gain_of(np.linalg.inv(information))
        if gain > LEAST_GAIN or question in waited_for:
            helpful.append(Suggestion(None, asked.why, max(gain, 0.0), ANSWERING, f"bath.{question}"))
    return sorted(helpful, key=lambda suggestion: -suggestion.gain)


def _present(sheet: Sheet, estimate: Known | None) -> Known:
    """Return what is known now; a component of which nothing is known is at its prior, independent of the others."""
    believed = {name: Prior(*PRIOR[name]) for name in COMPONENTS} | expected(sheet)
    names = tuple(believed)
    means, spreads = np.array(list(believed.values())).T
    covariance = np.diag(spreads**2)
    for row, first in enumerate(names):
        if estimate is None or first not in estimate.names:
            continue
        means[row] = estimate.value(first)
        for column, second in enumerate(names):
            if second in estimate.names:
                at = estimate.names.index(first), estimate.names.index(second)
                covariance[row, column] = estimate.covariance[at]
    if estimate is None:
        return Known(names, means, covariance, frozenset(), sheet.bath.volume.value, 0.0)
    return replace(estimate, names=names, mean=means, covariance=covariance)


def _after(reading: Reading, sheet: Sheet, present: Known) -> FloatArray:
    """Return the covariance (n, n) once a reading has been taken, linearised at the mean."""
    floor = np.array([1.0 if name in COMPONENTS else 0.0 for name in present.names])
    here, count = np.maximum(present.mean, floor), len(present.names)
    model = reading.model(sheet.bath.surroundings(), state_of(present.names, here))

    def shown(points: FloatArray) -> FloatArray:
        return np.broadcast_to(model.predict(state_of(present.names, points)), (len(model.observed), points.shape[1]))

    _, slope = linearised(shown, here, np.ones(count))
    learnt = slope.T @ np.linalg.solve(model.covariance, slope)
    return np.asarray(np.linalg.inv(np.linalg.inv(present.covariance) + learnt))


def _expected_decided(
    mean: FloatArray, moves: FloatArray, covariance: FloatArray, limits: dict[str, Limits | None], wanted: list[str]
) -> float:
    """Return the expected share of the wanted verdicts that are decided, if the mean may still move by `moves`."""
    shares = []
    for position, component in enumerate(COMPONENTS):
        if component not in wanted:
            continue
        spread = float(np.sqrt(covariance[position, position]))
        travel = float(np.sqrt(max(moves[position, position], 0.0)))
        shares.append(float(_WEIGHTS @ are_decided(mean[position] + travel * _POINTS, spread, limits[component])))
    return float(np.mean(shares)) if shares else 0.0
