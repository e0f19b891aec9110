"""Which reading to take next: what each one that the person could take would settle.

For every kind that the gear allows and the sheet does not hold yet, a reading is imagined at the present estimate; a
reading that is there may be worth repeating (`again`), and a question worth answering. The gain is the rise in the
expected probability that the verdicts are decided, or that a plan lands where none does. It advises no amounts.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import roots_hermitenorm

from advisor.basis.arrays import FloatArray, linearised
from advisor.basis.components import COMPONENTS, SALT_AND_ACID
from advisor.basis.fields import fields_of
from advisor.check.again import Again, to_repeat, with_a_better_tool
from advisor.check.assessment import Assessment, assess
from advisor.check.correction import Plan, correct
from advisor.check.estimate import PRIOR, Trials
from advisor.check.foreign import Prior, expected
from advisor.check.known import Known, state_of
from advisor.check.mass_balance import Task
from advisor.check.open_questions import QUESTIONS, unanswered
from advisor.check.task import make_task
from advisor.check.tool_prices import USUAL_PRICE
from advisor.check.window import Limits, are_decided, probability_inside
from advisor.readings import KINDS, Reading
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.weighed_density import WeighedDensity
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

    gain: rise in the expected share of decided verdicts, or in how surely a plan lands. repeat: it was taken before.
    tool: the one that is owned to take it with, where that is what helps. poorer: the same with poorer gear.
    """

    kind: str | None
    why: str
    gain: float
    minutes: float
    question: str | None = None  # a field of the sheet to fill in instead of a reading to take, such as "bath.touched"
    repeat: bool = False
    tool: str | None = None
    poorer: Suggestion | None = None


@dataclass(frozen=True)
class _Candidate:
    """A reading that could be taken: what it needs, and what a typical one looks like in a sheet.

    instead_of: kinds that tell the same with the same shared errors; taken already, this one adds little.
    imagined_as: the kind whose model stands in for it, where imagining the reading itself would take a whole curve.
    poorer: how it is taken with poorer gear, where the better is not owned.
    """

    needs: tuple[frozenset[str], ...]  # any of these sets of gear will do
    fields: dict[str, object]
    why: str
    minutes: float
    instead_of: frozenset[str] = frozenset()
    imagined_as: str = ""
    poorer: _Candidate | None = None


SENT_AWAY = (frozenset({"laboratory"}),)  # a week or so: offered only to whom a laboratory is at hand


# Judgement: usual amounts and minutes.
_CANDIDATES = {
    "acid titration": _Candidate(
        (frozenset({"baking soda"}), frozenset({"washing soda"}), frozenset({"lye"})),
        {
            "sample": "10 mL",
            "diluted_to": "100 mL",
            "titrant": "sodium bicarbonate",
            "strength": "0.5 mol/L",
            "used": "20 mL",
            "end_point": "first lasting cloud",
        },
        "a syringe of bath titrated with baking soda gives the free acid",
        20.0,
    ),
    "copper titration": _Candidate(
        (frozenset({"EDTA"}), frozenset({"thiosulfate"})),
        {
            "method": "EDTA",
            "sample": "2 mL",
            "predilution": ["10 mL", "100 mL"],
            "strength": "0.01 mol/L",
            "used": "16 mL",
            "indicator": "PAN",
        },
        "a titration gives the copper by itself, without the acid",
        30.0,
    ),
    "pH curve": _Candidate(
        (
            frozenset({"pH meter", "baking soda"}),
            frozenset({"pH meter", "washing soda"}),
            frozenset({"pH meter", "lye"}),
        ),
        {
            "sample": "5 mL",
            "diluted_to": "100 mL",
            "titrant": "sodium carbonate",
            "strength": "0.25 mol/L",
            "used": "12 mL",
            "used_with": "50 mL class B burette",
            "end_point": "pH meter",
        },
        "a titration followed with a pH meter gives the free acid most surely",
        40.0,
        imagined_as="acid titration",
    ),
    "thinned conductivity": _Candidate(
        (frozenset({"conductivity pen"}),),
        {
            "value": "1150 uS/cm",
            "sample": "1 mL",
            "thinned_to": "500 mL",
            "temperature": "21 degC",
            "water": "3 uS/cm",
        },
        "a conductivity pen in a little bath thinned with much distilled water tells the free acid",
        10.0,
    ),
    "thinned pH": _Candidate(
        (frozenset({"pH meter"}),),
        {
            "value": "2.70",
            "buffer": [4.0, 4.0],
            "sample": "1 mL",
            "thinned_to": "500 mL",
            "temperature": "21 degC",
            "water": "3 uS/cm",
        },
        "a pH pen in a little bath thinned with much distilled water tells the free acid roughly",
        10.0,
        frozenset({"thinned conductivity"}),
    ),
    "laboratory report": _Candidate(
        SENT_AWAY,
        {"copper": "54 g/L", "sulfuric_acid": "55 g/L"},
        "a laboratory tells copper, acid and foreign metals from a small bottle, within a week or so",
        30.0,
    ),
    "colour match": _Candidate(
        (frozenset({"jars"}),),
        {"lower": "180 g/L", "upper": "240 g/L", "position": 0.5},
        "the bath between two jars that you mixed yourself tells the copper roughly, by its colour",
        40.0,
    ),
    "weighed density": _Candidate(
        (frozenset({"0.1 g scale"}), frozenset({"0.01 g scale"})),
        {"empty": "85.0 g", "with_water": "184.7 g", "with_bath": "200.8 g"},
        "one bottle weighed empty, with water and with bath gives the density; with the acid known, that gives "
        "the copper",
        15.0,
        frozenset({"hydrometer"}),
        poorer=_Candidate(
            (frozenset({"1 g scale"}),),
            {"empty": "50 g", "with_water": "1047 g", "with_bath": "1208 g"},
            "a bottle of a litre weighed empty, with water and with bath, on a 1 g scale that weighs no food again, "
            "gives the density; with the acid known, that gives the copper",
            20.0,
            frozenset({"hydrometer"}),
        ),
    ),
    "plated-out copper": _Candidate(
        (frozenset({"inert anode", "0.01 g scale"}), frozenset({"inert anode", "0.1 g scale"})),
        {"sample": "50 mL", "before": "20.0 g", "after": "22.5 g"},
        "all the copper of a measured sample is plated onto a metal that you weigh before and after; no other counts",
        30.0,
    ),
    "cemented copper": _Candidate(
        (frozenset({"zinc strip", "0.01 g scale"}),),
        {"sample": "10 mL", "diluted_to": "250 mL", "before": "12.00 g", "after": "12.52 g"},
        "zinc brings the copper out of a little thinned bath, outdoors; dried and weighed, it tells the copper roughly",
        90.0,
        frozenset({"plated-out copper"}),
    ),
    "chloride titration": _Candidate(
        (frozenset({"silver nitrate"}),),
        {"sample": "50 mL", "strength": "0.01 mol/L", "used": "10 mL", "end_point": "turbidity"},
        "silver nitrate gives the chloride",
        30.0,
    ),
    "chloride strip": _Candidate(
        (frozenset({"chloride strips"}),),
        {"value": "35 mg/L", "dilution": 2},
        "a strip made for chloride gives it roughly",
        5.0,
        frozenset({"chloride titration", "chloride ladder"}),
    ),
    "hydrometer": _Candidate(
        (frozenset({"hydrometer"}),),
        {"value": "1.16", "scale": "SG 20/20"},
        "the density gives copper sulfate and acid together; with the acid known, it gives the copper",
        5.0,
        frozenset({"weighed density"}),
    ),
}


def can_be_taken(kind: str, have: Collection[str]) -> bool:
    """Tell whether a kind of reading can be taken with the gear at hand."""
    return _is_within(_as_owned(_CANDIDATES[kind], set(have)), set(have))


def as_taken(kind: str, have: Collection[str]) -> tuple[str, float] | None:
    """Return what a kind of reading tells and its work [min], with the gear at hand; None of any other kind."""
    candidate = _CANDIDATES.get(kind)
    if candidate is None:
        return None
    owned = _as_owned(candidate, set(have))
    return owned.why, owned.minutes


def ways_to_take(kind: str | None) -> tuple[tuple[frozenset[str], ...], ...]:
    """Return the ways to take a kind of reading at home, the better first: for each, any of these sets of gear will do.

    Empty for what is not a reading, or is sent away.
    """
    candidate = _CANDIDATES.get(kind or "")
    if candidate is None or candidate.needs == SENT_AWAY:
        return ()
    return (candidate.needs, *((candidate.poorer.needs,) if candidate.poorer else ()))


def _is_within(candidate: _Candidate, have: set[str]) -> bool:
    return any(needs <= have for needs in candidate.needs)


def _as_owned(candidate: _Candidate, have: set[str]) -> _Candidate:
    """Return a candidate as it is taken with what is owned: with poorer gear where only that is there."""
    poorer = candidate.poorer
    return poorer if poorer and not _is_within(candidate, have) and _is_within(poorer, have) else candidate


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


Worth = list[tuple[_Candidate, Suggestion]]


def _readings(sheet: Sheet, plan: Plan, present: Known, gain_of: Callable[[FloatArray], float]) -> tuple[Worth, Worth]:
    """Return the readings that the plan waits for, even if they seem to gain little, and the others worth taking."""
    waited, others = Worth(), Worth()
    for kind, candidate in _not_taken(sheet):
        gain = gain_of(_after(_imagine(candidate.imagined_as or kind, candidate), sheet, present))
        poorer = candidate.poorer
        less = gain_of(_after(_imagine(kind, poorer), sheet, present)) if poorer else 0.0
        worse = Suggestion(kind, poorer.why, max(less, 0.0), poorer.minutes) if poorer else None
        said = candidate, Suggestion(kind, candidate.why, max(gain, 0.0), candidate.minutes, poorer=worse)
        if kind in plan.settled_by:
            waited.append(said)
        elif gain > LEAST_GAIN:
            others.append(said)
    return waited, others


def _told(sheet: Sheet, known: Assessment) -> tuple[Suggestion, ...]:
    """Return what was taken for granted and decides: the cold where crystals are near, the age where copper is open."""
    bath, asked = sheet.bath, []
    if known.crystals_coldest not in (None, Crystals.SAFE) and not bath.was_given("coldest"):
        why = "say how cold the bath may stand: with what it holds, crystals are not far off"
        asked.append(Suggestion(None, why, 1.0, ANSWERING, "bath.coldest"))
    rests_on_density = any(isinstance(reading, Hydrometer | WeighedDensity) for reading in sheet.readings)
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
    minutes = _CANDIDATES[kind].minutes if kind in _CANDIDATES else REPEATING
    return Suggestion(kind, again.why, gain, minutes, repeat=True, tool=again.tool)


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


def _not_taken(sheet: Sheet) -> list[tuple[str, _Candidate]]:
    """Return the kinds of reading that the sheet does not hold yet, nor one that tells the same."""
    taken, have = {reading.kind for reading in sheet.readings}, set(sheet.gear.have)
    return [
        (kind, _as_owned(candidate, have))
        for kind, candidate in _CANDIDATES.items()
        if not taken & {kind, *candidate.instead_of}
    ]


def _within_reach(worth_taking: Worth, have: set[str]) -> list[Suggestion]:
    """Return what the gear allows, all where none is named; else the one that needs least besides."""
    at_home = [(candidate, said) for candidate, said in worth_taking if candidate.needs != SENT_AWAY]
    usable = worth_taking if have else at_home
    within = [said for candidate, said in usable if not have or _is_within(candidate, have)]
    return within or _with_least_besides(at_home, have)


def _with_least_besides(worth_taking: Worth, have: set[str]) -> list[Suggestion]:
    """Return the reading that needs least besides what is owned, with what that is; none where none is worth taking.

    Of those that need equally little and tell nearly as much as the best of them, what costs least, work counted.
    """
    lacking = [(sorted(_missing(candidate, have)), said) for candidate, said in worth_taking]
    fewest = min((len(missing) for missing, _ in lacking), default=0)
    equal = [pair for pair in lacking if len(pair[0]) == fewest]
    most = max((said.gain for _, said in equal), default=0.0)
    near = sorted((pair for pair in equal if pair[1].gain >= NEARLY * most), key=lambda pair: _costs(*pair))
    return [
        replace(said, why=f"{said.why}; what you would need for it: {' and '.join(missing)}")
        for missing, said in near[:1]
    ]


def _costs(missing: list[str], said: Suggestion) -> float:
    """Return what a reading costs, in any currency: the missing gear, and the work."""
    return _price(missing) + MINUTE * said.minutes


def _missing(candidate: _Candidate, have: set[str]) -> frozenset[str]:
    """Return what a reading needs besides what is owned: the fewest things, of those the cheapest."""
    return min((gear - have for gear in candidate.needs), key=lambda gear: (len(gear), _price(gear)))


def _price(tools: Iterable[str]) -> float:
    return sum(USUAL_PRICE[tool] for tool in tools)


def _questions(
    sheet: Sheet, present: Known, gain_of: Callable[[FloatArray], float], waited_for: tuple[str, ...]
) -> list[Suggestion]:
    """Return the unanswered questions that would help if the likeliest answer were given: that nothing got in.

    Those that the plan waits for are included even if they help little.
    """
    before = expected(sheet)
    helpful = []
    for question in unanswered(sheet):
        answer, why = QUESTIONS[question]
        answered = expected(replace(sheet, bath=replace(sheet.bath, **{question: answer})))
        information = np.linalg.inv(present.covariance)
        for name, prior in before.items():
            narrower = answered.get(name, Prior(0.0, GONE)).standard_uncertainty
            at = present.names.index(name)
            information[at, at] += max(narrower**-2.0 - prior.standard_uncertainty**-2.0, 0.0)
        gain = gain_of(np.linalg.inv(information))
        if gain > LEAST_GAIN or question in waited_for:
            helpful.append(Suggestion(None, why, max(gain, 0.0), ANSWERING, f"bath.{question}"))
    return sorted(helpful, key=lambda suggestion: -suggestion.gain)


def _imagine(kind: str, candidate: _Candidate) -> Reading:
    known = fields_of(KINDS[kind])
    return KINDS[kind](**{key: known[key].read(value, key) for key, value in candidate.fields.items()})


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
