"""Whether to correct the bath in place, to replace part of it, or to remake it, how surely, and what would change that.

Concentrations can be corrected in place; what has built up (dirt, worn additives, foreign metals) thins out only by the
fraction that is replaced. From what probably ails the bath (`ailments`) each choice has a probability to cure, and a
cost: stock, disposal, work, and what a wrong choice costs. The cheapest in expectation is advised.

`sure` is the probability that the choice is right: that it cures and that no smaller one would have. The three
probabilities add up to 1; they follow from the estimate (normal distributions) and from weights that are judgement.
Of a bath whose copper sulfate or acid nobody measured they are weights alone: a reader is not told them as sureness.
Replacing up to about half is cheaper than remaking; carbon treatment twice without cure means remaking: judgement.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import ClassVar

from scipy.optimize import brentq

from advisor.basis.components import COMPONENTS, NAMES, SALT_AND_ACID
from advisor.check.advice import Advice
from advisor.check.advise import advise_beside
from advisor.check.correction import SMALL_SHARE, Plan, correct
from advisor.check.decision import sits_elsewhere
from advisor.check.floor import sound_sample
from advisor.check.foreign import brought_in
from advisor.check.headline import matters
from advisor.check.mass_balance import Amounts, Task, forward
from advisor.check.metals import CONTAMINANT_LIMITS, brought_in_said, contaminants_of
from advisor.check.pouring import FIRST_WORDS
from advisor.check.task import make_task
from advisor.check.ways import Way, ways, ways_section
from advisor.check.window import Verdict
from advisor.questions.ailments import (
    CARBON_FAILED,
    LIQUID_LOOKS,
    complains,
    fraction_called_for,
    probability_cured,
    weigh,
    worth_keeping,
)
from advisor.questions.make_up import fresh_part, fresh_part_said
from advisor.sheet import Keep, Sheet, Window
from advisor.words import phrases
from advisor.words.cautions import Act, StepWithActs, cautions, in_order, take_care
from advisor.words.lines import Amount, Line, capital, in_a_jug, joined, line, listed
from advisor.words.sections import Block, Section, how_likely, percent
from advisor.words.states import PlanState

CHOICES = ("correct", "part-replace", "remake")
JARS = {"good": "Half and half good", "dull": "Half and half dull"}
HALF = 0.5  # the fraction that the jar test tries (judgement)
DIRT_COUNTS = 0.2  # probability of dirt from which the jar test's half is weighed beside a known excess (judgement)

# Work in minutes and what it is worth (judgement; any currency).
MINUTES = {"correct": 15.0, "step": 10.0, "part-replace": 90.0, "remake": 150.0}
MINUTE_WORTH = 0.2  # judgement
CLOSE_CALL = 0.6  # a choice less sure than that is called a close call (judgement)
CLOSE = " – a close call"
LEAST_SURE = 0.05  # a choice less sure than that is none to be sure of (judgement)
NONE_IS_SURE, AGAINST_EACH = "None of the choices is sure", "what you told speaks against each of them"
SPOILT_PIECE = 30.0  # what plating on in a bath that is not cured costs (judgement)
WASTE_COUNTS = 2.0  # per L, besides its price: what wastes less comes first (judgement)
USUAL_DISPOSAL_PRICE = 2.5  # per L, only to weigh the choices where the sheet names none (judgement)
UNTOUCHED = (PlanState.NONE_NEEDED, PlanState.MEASURE_FIRST)  # states in which nothing is done to the bath
MENDABLE = 0.9  # probability that a correction ends inside once readings settle it, where they do not yet (judgement)

_CURES = {
    "correct": ("copper sulfate, acid, chloride and level",),
    "part-replace": ("copper sulfate, acid, chloride and level", "half of the dirt, foreign metals and worn additives"),
    "remake": ("everything that is in the liquid",),
}
_NAMES = {"correct": "Correct in place", "part-replace": "Replace {:.0f} %", "remake": "Remake"}
SAID = {"correct": "keep it and correct it in place", "part-replace": "replace part of it", "remake": "remake it"}
_DOES_NOT = {
    "correct": ("dirt, worn additives, foreign metals",),
    "part-replace": ("the rest of what has built up", "contacts, current, anodes and the part itself"),
    "remake": ("contacts, current, anodes and the part itself", "a source of dirt that is still there"),
}

NO_REASON = "nothing known so far speaks for a remake"
UNMEASURED = "so that what you keep can be corrected"
UNMEASURED_WASTE = "it may yet change this answer, and tells how much soda the waste takes"


@dataclass(frozen=True)
class Option:
    """One choice. Costs in the sheet's currency, None where a price is missing; waste in L; fraction: replaced.

    unpriced: what has no price that would count.
    """

    choice: str
    fraction: float
    material_cost: float | None
    disposal_cost: float | None
    waste: float
    minutes: float
    probability_in: float | None
    probability_cures: float
    weighed_cost: float  # with usual prices where the sheet has none, work, and a weight on waste
    unpriced: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the choice is called on screen."""
        return _NAMES[self.choice].format(100 * self.fraction)

    @property
    def does_not_cure(self) -> tuple[str, ...]:
        """What stays wrong."""
        return _DOES_NOT[self.choice]

    @property
    def sound(self) -> str:
        """How surely the liquid is sound afterwards; what nobody measured stays open unless all of it goes."""
        known = self.probability_in is not None
        return percent(self.probability_cures) if known else "not told: copper sulfate and acid are not both measured"

    @property
    def cost(self) -> float | None:
        """Stock and disposal together [the sheet's currency], None where a price is missing."""
        if self.material_cost is None or self.disposal_cost is None:
            return None
        return self.material_cost + self.disposal_cost

    @property
    def cost_said(self) -> str:
        """What it costs, in words: no amount where no price is known, or nobody knows yet what it would take."""
        if self.probability_in is None and self.choice == "correct":
            return "cost not known before it is measured"
        if self.cost is None and not self.unpriced:
            return "cost not known, since no correction was found"
        if self.cost is None:
            return f"cost not known, {self.missing_said}"
        return f"cost {phrases.money(self.cost)}" if self.cost > 0 else "nothing to pay"

    @property
    def missing_said(self) -> str:
        """Which price is missing, in words."""
        one = len(self.unpriced) == 1
        return f"the price{'' if one else 's'} of {listed(self.unpriced)} {'is' if one else 'are'} missing"

    @property
    def waste_said(self) -> str:
        """How much copper waste it leaves, in words."""
        return line("{waste:.1f L} of copper waste", waste=self.waste) if self.waste else "no copper waste"

    @property
    def work_said(self) -> str:
        """How long it takes, in words."""
        return f"about {self.minutes:.0f} minutes" if self.minutes > 0 else "no work"

    def to_dict(self) -> dict[str, object]:
        """Return the option as in the JSON result."""
        return {
            "choice": self.choice,
            "cost": self.cost,
            "waste_L": self.waste,
            "probability_in": self.probability_in,
            "probability_cures": self.probability_cures,
            "fraction": self.fraction,
            "material_cost": self.material_cost,
            "disposal_cost": self.disposal_cost,
            "minutes": self.minutes,
            "cures": list(_CURES[self.choice]),
            "does_not_cure": list(self.does_not_cure),
        }


@dataclass(frozen=True)
class Decision:
    """What to do with the bath. turns_at: the fraction above which remaking costs less than replacing.

    not_measured: of copper sulfate and acid, by the name of the component. not_counted: what touched the bath and may
    have left a metal in it that nobody measured.
    """

    choice: str
    sure: float
    options: tuple[Option, ...]
    ways: tuple[Way, ...]
    turns_at: float
    ailments: Mapping[str, float]
    reasons: tuple[str, ...]
    steps_with_acts: tuple[StepWithActs, ...]
    first_in_short: str  # of what there is to do
    finds_out: bool  # whether that may yet change the choice
    would_change: tuple[str, ...]
    not_measured: tuple[str, ...]
    not_counted: tuple[str, ...]

    TITLE: ClassVar[str] = "Keep or remake"

    def begun(self, all_done: bool) -> Decision:
        """Return the decision where steps of the check have gone in since its readings: none is done a second time.

        What would replace a part was worked out from the readings too, and is not said any more.
        """
        if self.choice == "part-replace":
            steps = ((_AGAIN_TO_REPLACE, ()),)
            return replace(self, first_in_short=_MEASURE_AGAIN, finds_out=True, steps_with_acts=steps)
        if self.first_in_short != _FOLLOW:
            return self
        first, said = (_MEASURE_AGAIN, _AGAIN_THEN_A_STRIP) if all_done else (_GO_ON, f"{_GO_ON}{_THEN_A_STRIP}")
        done = replace(self.options[0], material_cost=0.0, minutes=0.0) if all_done else self.options[0]
        options, then = (done, *self.options[1:]), self.steps_with_acts[1:]
        return replace(self, first_in_short=first, options=options, steps_with_acts=((said, ()), *then))

    @property
    def what_to_do(self) -> tuple[str, ...]:
        """What to do, in this order."""
        return tuple(text for text, _ in self.steps_with_acts)

    @property
    def said(self) -> str:
        """The choice in words: where nothing goes into the tank, nothing is called corrected."""
        if self.is_open:
            return "keep it for now"
        return "keep it" if self.choice == "correct" and self.options[0].minutes == 0 else SAID[self.choice]

    @property
    def is_open(self) -> bool:
        """Tell whether the bath is kept only since nothing that is known speaks against it."""
        return self.choice == "correct" and bool(self.not_measured)

    @property
    def if_it_stays_so(self) -> str:
        """The choice where something that is found out first may change it, in words; empty where it is to be made."""
        return f"If it stays so, {self.said}" if self.finds_out and self.choice != "correct" else ""

    @property
    def unknown(self) -> str:
        """What is not known of the bath, in words."""
        return f"not measured: {' and '.join(NAMES[name] for name in self.not_measured)}"

    @property
    def is_close(self) -> bool:
        """Tell whether another choice may well be right."""
        return self.sure < CLOSE_CALL

    @property
    def none_is_sure(self) -> bool:
        """Tell whether the choice is only what is left: a jar that plates well speaks against a known excess."""
        return _is_hardly_right(self.sure, self.not_measured)

    @property
    def right(self) -> str:
        """How surely the choice is right, in words; before a test that may turn it, by what is known so far alone."""
        if self.if_it_stays_so:
            return f"{how_likely(self.sure)} right by what is known so far"
        return f"the right choice with {percent(self.sure)} probability{CLOSE if self.is_close else ''}"

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "choice": self.choice,
            "sure": self.sure,
            "not_measured": list(self.not_measured),
            "options": [option.to_dict() for option in self.options],
            "turns_at_fraction": self.turns_at,
            "ailments": dict(self.ailments),
            "ways_that_waste_nothing": [way.to_dict() for way in self.ways],
            "reasons": list(self.reasons),
            "what_to_do": list(self.what_to_do),
            "would_change_its_mind": list(self.would_change),
            "cautions": list(cautions(self._acts())),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the decision for a reader: the choice, what to do, the choices side by side, then cautions."""
        why = f": {self.right}."
        if self.not_measured:
            unknown = f". {capital(self.unknown)}, so that nobody can say how surely."
            why = f": {NO_REASON}." if self.is_open else unknown
        first = f"As things stand, {self.said}{why}" if self.if_it_stays_so else f"{self.said.capitalize()}{why}"
        if self.none_is_sure:
            first = f"{NONE_IS_SURE}: {AGAINST_EACH}. {self.if_it_stays_so or capital(self.said)}."
        acts = self._acts()
        blocks = (
            Section("What to do with the bath", (first, *self.reasons)),
            in_order("What to do, in this order", self.steps_with_acts),
            Section(
                "The choices side by side",
                (*map(_option_line, self.options), self._turning_line()),
                key=Block.CHOICES,
            ),
            ways_section(self.ways),
            Section("What would change this", self.would_change),
            *take_care(acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _acts(self) -> tuple[Act, ...]:
        of_steps = (act for _, acts in self.steps_with_acts for act in acts)
        return tuple(dict.fromkeys((*(act for way in self.ways for act in way.acts), *ACTS, *of_steps)))

    def _turning_line(self) -> str:
        gone = f"{100 * self.turns_at:.0f} %"
        turns = f"If more than about {gone} of the bath had to go, remaking would pay better."
        if self.options[-1].cost is None:
            turns = f"Above which part remaking would pay better is not said, since {self.options[-1].missing_said}."
        if self.turns_at == 0:
            turns = "Replacing a part does not pay at any fraction: it is too likely not to cure."
        return (
            f"{turns} The probabilities come from what you told and from weights that are judgement: no published "
            "figures for the life of a bath were found."
        )


def _is_hardly_right(sure: float, not_measured: tuple[str, ...]) -> bool:
    return sure < LEAST_SURE and not not_measured


ACTS = (
    Act.REPLACED_BATH,
    Act.HANDLING_BATH,
    Act.SULFURIC_ACID,
    Act.POURING_ACID,
    Act.COPPER_SULFATE,
    Act.FOOD_WARE,
    Act.COPPER_WASTE,
    Act.LOCAL_RULES,
)


@dataclass(frozen=True)
class _Case:
    """A bath to decide on: its sheet, what that says of keeping it, the advice on it, and the task of correcting it.

    in_place: the correction without what would hold up a fresh bath as well.
    """

    sheet: Sheet
    wanted: Keep
    advice: Advice
    task: Task
    in_place: Plan

    @property
    def complains(self) -> bool:
        return complains(self.sheet, self.wanted)

    @property
    def not_measured(self) -> tuple[str, ...]:
        return tuple(name for name in SALT_AND_ACID if self.advice.verdict[name].state == "not measured")


def keep(sheet: Sheet) -> Decision:
    """Return whether to correct, part-replace or remake the bath of a sheet.

    All published windows are compared before anything is thrown away: a bath that sits in another one than the chosen
    is only kept by another name, unless there is more the matter with it.
    """
    case = _case(sheet)
    decision, others = _decide(case), case.advice.known.sits_in
    if not others or not _throws_away(case, decision):
        return decision
    by_its_own = _decide(_case(replace(sheet, window=Window(name=others[0]))))
    then = ". Judged by that window too, some of it would have to be taken out."
    if by_its_own.choice == "correct":
        then = ": if that is the bath you keep, choose that window before anything is thrown away."
        steps = ((_CHOOSE_WINDOW, ()), *by_its_own.steps_with_acts)
        decision = replace(by_its_own, steps_with_acts=steps, first_in_short="Choose the window that the bath sits in")
    said = sits_elsewhere(case.task, sheet.window.name, others, "the bath", then)
    return replace(decision, reasons=(said, *decision.reasons))


def _case(sheet: Sheet) -> _Case:
    advice = advise_beside(sheet)
    task = make_task(sheet, advice.estimate, advice.verdict)
    return _Case(sheet, sheet.keep or Keep(), advice, task, _not_held_up(advice, task))


def _throws_away(case: _Case, decision: Decision) -> bool:
    """Tell whether a decision takes out more of the bath than a correction may take on the side."""
    would = case.advice.plan.intended
    return decision.choice != "correct" or would.amounts.take_out > SMALL_SHARE * case.task.volume


def _decide(case: _Case) -> Decision:
    """Return the decision by the sheet's own window."""
    ailments = weigh(case.sheet, case.wanted, case.advice)
    options = _options(case, ailments)
    choice, fraction = _choose(options, case.wanted), options[1].fraction
    sure = _right(options)[choice]
    jar_again = _is_hardly_right(sure, case.not_measured) and case.wanted.mixed_jar != "not done"
    steps, first_in_short, finds_out = _what_to_do(case, choice, fraction, jar_again)
    return Decision(
        choice=choice,
        sure=sure,
        options=options,
        ways=ways(case.task, case.advice.plan),
        turns_at=_turning_fraction(options, fraction_called_for(case.sheet, case.advice)),
        ailments=ailments,
        reasons=_reasons(case, fraction),
        steps_with_acts=steps,
        first_in_short=first_in_short,
        finds_out=finds_out,
        would_change=_would_change(case, choice),
        not_measured=case.not_measured,
        not_counted=tuple(brought_in(case.sheet)),
    )


# --- The choices ------------------------------------------------------------------------------------


def _options(case: _Case, ailments: Mapping[str, float]) -> tuple[Option, ...]:
    called_for = fraction_called_for(case.sheet, case.advice)
    dirty = ailments["some dirt"] + ailments["much dirt"]
    fraction = called_for if called_for > 0 and dirty < DIRT_COUNTS else max(called_for, HALF)
    contaminants = contaminants_of(case.sheet, case.advice.estimate)
    part_cures = probability_cured(fraction, ailments, contaminants) * worth_keeping(called_for)
    return (
        _in_place(case, probability_cured(0.0, ailments, contaminants)),
        _replacing(case, "part-replace", fraction, part_cures),
        _replacing(case, "remake", 1.0, 1.0),
    )


def _in_place(case: _Case, cures: float) -> Option:
    """Return correcting in place: the plan of the advice. cures: probability that it cures the rest."""
    plan, told = case.in_place, case.advice.estimate is not None
    inside = plan.after.probability_in if told and plan.state is not PlanState.FIRST_PART else MENDABLE
    minutes = 0.0
    if plan.state not in UNTOUCHED:
        minutes = MINUTES["correct"] + MINUTES["step"] * sum(amount > 0 for amount in vars(plan.amounts).values())
    usual_cost = case.task.stock.usual_cost(plan.amounts.crystals, plan.amounts.acid)
    return Option(
        choice="correct",
        fraction=0.0,
        material_cost=plan.cost,
        disposal_cost=0.0,
        waste=0.0,
        minutes=minutes,
        probability_in=None if case.not_measured else inside,
        probability_cures=cures * inside,
        weighed_cost=usual_cost + MINUTE_WORTH * minutes,
        unpriced=case.task.stock.unpriced(plan.amounts.crystals, plan.amounts.acid),
    )


def _not_held_up(advice: Advice, task: Task) -> Plan:
    """Return the plan without what would hold up a fresh bath as well: too little stock, or a place too cold."""
    plan = advice.plan.intended
    if plan.state is not PlanState.NOT_POSSIBLE or advice.estimate is None:
        return plan
    unlimited = replace(task.stock, crystals_on_hand=inf, acid_on_hand=inf)
    return correct(replace(task, stock=unlimited, solubility_counts=False), saying_why=False)


def _replacing(case: _Case, choice: str, fraction: float, cures: float) -> Option:
    """Return replacing a fraction of the bath (1: all of it) by fresh bath that brings the whole to the aim.

    cures: probability that it cures what concentrations do not explain.
    """
    waste, price = fraction * case.task.volume, case.wanted.disposal_price
    amounts, inside = _replaced(case, fraction)
    usual = USUAL_DISPOSAL_PRICE if price is None else price
    told, all_goes = case.advice.estimate is not None, choice == "remake"
    usual_cost = case.task.stock.usual_cost(amounts.crystals, amounts.acid)
    return Option(
        choice=choice,
        fraction=fraction,
        material_cost=case.task.stock.cost(amounts.crystals, amounts.acid),
        disposal_cost=None if price is None else waste * price,
        waste=waste,
        minutes=MINUTES[choice],
        probability_in=inside if all_goes or not case.not_measured else None,
        probability_cures=cures * (inside if told or all_goes else MENDABLE),
        weighed_cost=usual_cost + waste * (usual + WASTE_COUNTS) + MINUTE_WORTH * MINUTES[choice],
        unpriced=case.task.stock.unpriced(amounts.crystals, amounts.acid) + (("disposal",) if price is None else ()),
    )


def _replaced(case: _Case, fraction: float) -> tuple[Amounts, float]:
    """Return what goes into the replaced part, and the probability that the whole is then inside the window.

    The fresh part is mixed so that the whole comes to the aim, as far as it can.
    """
    task = case.task
    salt, acid = (
        max((goal - (1 - fraction) * now) / fraction, 0.0)
        for goal, now in (
            (task.aim_copper_sulfate, task.copper_sulfate),
            (task.aim_sulfuric_acid, task.sulfuric_acid),
        )
    )
    amounts = fresh_part(case.sheet, fraction * task.volume, salt, acid)
    known = replace(task.known, measured=task.known.measured - {"chloride"})
    whole = replace(task, known=known, verdicts={name: _counted(task, name) for name in COMPONENTS})
    return amounts, forward(whole, amounts).probability_in


def _counted(task: Task, name: str) -> Verdict:
    """Return a verdict whose limits count: fresh bath is judged against the window whether or not it was measured."""
    judged = task.verdicts[name]
    return replace(judged, state="unsure") if judged.state == "not measured" else judged


def _choose(options: tuple[Option, ...], wanted: Keep) -> str:
    """Return the choice of least expected cost: where it fails, a piece is spoilt and the next best is paid too.

    Where a jar of half old and half fresh bath plates well, half of it is worth keeping whatever else is feared:
    what is not remade does not fall back on remaking either.
    """
    in_place, part, remake = options
    failed = remake.weighed_cost + SPOILT_PIECE
    replaces = part.weighed_cost + (1 - part.probability_cures) * failed
    still = 1 - in_place.probability_cures
    # Where correcting has failed, replacing cures in what is left of its probability.
    left = _right(options)["part-replace"] / still if still > 0 else 0.0
    half_is_good = wanted.mixed_jar == "good"
    by_part = part.weighed_cost + (1 - left) * failed
    next_best = by_part if half_is_good else min(by_part, remake.weighed_cost)
    expected = {
        "correct": in_place.weighed_cost + still * (SPOILT_PIECE + next_best),
        "part-replace": replaces,
        "remake": remake.weighed_cost,
    }
    open_to = CHOICES[:2] if half_is_good else CHOICES
    return min(open_to, key=lambda choice: expected[choice])


def _right(options: tuple[Option, ...]) -> dict[str, float]:
    """Return for each choice the probability that it cures and that no smaller one would have."""
    in_place, part, _ = (option.probability_cures for option in options)
    part = max(part, in_place)
    return {"correct": in_place, "part-replace": part - in_place, "remake": 1 - part}


def _turning_fraction(options: tuple[Option, ...], called_for: float) -> float:
    """Return the fraction called for above which remaking is the better bargain, 0 where replacing never is."""
    part, remake = options[1], options[2]
    work = MINUTE_WORTH * MINUTES["part-replace"]
    for_all = (part.weighed_cost - work) / part.fraction
    cures = part.probability_cures / worth_keeping(called_for)

    def advantage(fraction: float) -> float:
        fails = 1 - cures * worth_keeping(fraction)
        return remake.weighed_cost - (work + fraction * for_all + fails * (remake.weighed_cost + SPOILT_PIECE))

    if advantage(0.0) <= 0:
        return 0.0
    return 1.0 if advantage(1.0) > 0 else float(brentq(advantage, 0.0, 1.0))


# --- What there is to say ---------------------------------------------------------------------------


def _reasons(case: _Case, fraction: float) -> tuple[str, ...]:
    said = [_about_concentrations(case), *_about_looks(case), *_about_jars(case), *brought_in_said(case.sheet)]
    for name, (value, _) in contaminants_of(case.sheet, case.advice.estimate).items():
        said.append(
            line(
                "{name}: {now}, tolerated up to about {limit} (from memory); replacing {percent:.0f} % leaves {left}. "
                "Plating it out does not remove it.",
                name=name.capitalize(),
                now=Amount(value, "g/L", digits=2),
                limit=Amount(CONTAMINANT_LIMITS[name], "g/L", digits=6),
                percent=100 * fraction,
                left=Amount((1 - fraction) * value, "g/L", digits=2),
            )
        )
    if case.advice.plan.blocked_by and not case.sheet.bath.condition:
        said.append(line("What stands in the way of correcting it is {limit}.", limit=case.advice.plan.blocked_by))
    return tuple(said)


def _about_concentrations(case: _Case) -> str:
    judged = {name: case.advice.verdict[name] for name in SALT_AND_ACID}
    if case.not_measured:
        return "Copper sulfate and acid have not both been measured, so this decision is half blind."
    if any(verdict.side in ("low", "high") for verdict in judged.values()):
        return f"{matters(judged)}: that can be corrected in place."
    surely = all(verdict.state == "in" for verdict in judged.values())
    inside = f"Copper sulfate and acid are {'' if surely else 'likely '}inside the window"
    if case.complains:
        return (
            f"{inside}: they are {'not' if surely else 'hardly'} the cause. Look at contacts, current, temperature, "
            "additives and the filter before you change any bath."
        )
    return f"{inside}, and nothing points to dirt in the liquid."


CLOUDY = "cloudy bath"  # among the looks


def _about_looks(case: _Case) -> list[str]:
    said, deposit = [], case.sheet.deposit
    looks = set(deposit.looks if deposit else ())
    if CLOUDY in looks:
        said.append(
            "A cloudy bath need not be dirty: without enough acid copper comes out as a fine cloud. Measure the acid, "
            "let the bath settle and filter it, before you change any."
        )
    if deposit and looks != {CLOUDY} and not LIQUID_LOOKS & looks:
        said.append("What you see on the deposit is not cured by changing bath: see deposit faults.")
    if deposit and "matte salmon" in deposit.looks and case.sheet.bath.additives is False:
        said.append("A matte salmon deposit is normal for a bath without additives.")
    return said


def _about_jars(case: _Case) -> list[str]:
    said, wanted = [], case.wanted
    if wanted.fresh_jar == "dull":
        said.append("Fresh bath plates dull too: it is not the bath. Look at contacts, current, anodes and the part.")
    if wanted.mixed_jar == "good":
        said.append("Half old and half fresh plates well: half of what has built up is little enough.")
    if wanted.mixed_jar == "dull":
        said.append("Half old and half fresh is still dull: thinning by half is not enough.")
    if case.complains and wanted.carbon_treated >= CARBON_FAILED:
        said.append("Two carbon treatments without a cure point to remaking (judgement).")
    return said


def _what_to_do(
    case: _Case, choice: str, fraction: float, jar_again: bool
) -> tuple[tuple[StepWithActs, ...], str, bool]:
    """Return what to do, in this order, the first of it in short, and whether that is to find something out.

    jar_again: whether the jar that was plated is to be doubted first.
    """
    found_out, (begin, steps) = _to_find_out(case, choice, jar_again), _to_carry_out(case, choice, fraction)
    said = [*((text, ()) for text, _ in found_out), *steps]
    if choice == "correct" and case.complains and _jar_is_open(case) and not _jar_tells(case, choice):
        said.append((line("If it stays dull, find out whether it is the bath. {test}", test=phrases.JAR_TEST), ()))
    if choice == "correct" and case.complains and case.wanted.carbon_treated == 0:
        said.append(_CARBON)
    return tuple(said), found_out[0][1] if found_out else begin, bool(found_out)


def _by_jar(case: _Case) -> dict[str, str]:
    """Return what each outcome of the mixed jar that was not seen would lead to."""
    led = {}
    for jar in JARS:
        if jar != case.wanted.mixed_jar:
            then = replace(case, wanted=replace(case.wanted, mixed_jar=jar))
            led[jar] = _choose(_options(then, weigh(then.sheet, then.wanted, then.advice)), then.wanted)
    return led


def _jar_is_open(case: _Case) -> bool:
    return case.wanted.mixed_jar == "not done" and case.wanted.fresh_jar != "dull"


def _jar_tells(case: _Case, choice: str) -> bool:
    """Tell whether the jar test comes first: before bath is thrown away, and where an outcome changes the choice."""
    return choice != "correct" or (case.complains and any(other != choice for other in _by_jar(case).values()))


def _to_find_out(case: _Case, choice: str, jar_again: bool) -> list[tuple[str, str]]:
    """Say what to try and to measure before anything goes in or out, each with itself in short."""
    steps: list[tuple[str, str]] = []
    if jar_again or (_jar_is_open(case) and _jar_tells(case, choice)):
        leads = (f"{JARS[jar]}: {SAID[then]}." for jar, then in _by_jar(case).items())
        again, in_short = (f"{JAR_AGAIN}. ", JAR_AGAIN) if jar_again else ("", phrases.JAR_TEST_IN_SHORT)
        steps.append(
            (line("{again}{test} {leads}", again=again, test=phrases.JAR_TEST, leads=" ".join(leads)), in_short)
        )
    if case.sheet.bath.condition:
        steps.append((sound_sample(case.sheet.bath), "Take a sound sample"))
    elif not set(SALT_AND_ACID) <= set(case.advice.determined):
        measure = "Measure copper sulfate and acid"
        why = f": {UNMEASURED_WASTE}" if choice == "remake" else f", {UNMEASURED}"
        steps.append((f"{measure}{why}.", measure))
    return steps


def _to_carry_out(case: _Case, choice: str, fraction: float) -> tuple[str, tuple[StepWithActs, ...]]:
    """Say how to do what was chosen, the first of it in short before it; fraction: of the bath, to be replaced."""
    if choice == "part-replace":
        return _replacing_steps(case, fraction)
    if choice == "remake":
        return "Find the source of the dirt", _REMAKING
    if case.advice.state is PlanState.MEASURE_FIRST:
        why = joined(" ", (case.advice.state_line, *case.advice.plan.why))
        asks_alone = case.advice.plan.asks and set(SALT_AND_ACID) <= set(case.advice.determined)
        return "Say what got into the bath" if asks_alone else "Measure before you add anything", ((why, ()),)
    if case.advice.state is PlanState.NONE_NEEDED:
        return "Leave the bath as it is", (("Nothing needs correcting: leave the bath as it is.", ()),)
    if not case.advice.steps:
        check = "Do first what the bath check says"
        return check, ((f"{check}: it advises no steps yet. Then plate a strip before a piece.", ()),)
    return _FOLLOW, ((f"{_FOLLOW}{_THEN_A_STRIP}", ()),)


JAR_AGAIN = f"{phrases.JAR_TEST_IN_SHORT} once more"
_FOLLOW = "Follow the steps of the bath check"
_GO_ON = "Go on with the steps of the bath check that are left"
_THEN_A_STRIP = ", then plate a strip before you plate a piece."
_MEASURE_AGAIN = "Measure again before you add more"
_GONE_IN = "The readings do not know of the steps that have gone in."
_AGAIN_THEN_A_STRIP = f"{_GONE_IN} {_MEASURE_AGAIN}{_THEN_A_STRIP}"
_AGAIN_TO_REPLACE = f"{_GONE_IN} Measure again: only then can it be said how much to replace, and by what."
_CHOOSE_WINDOW = "Choose the window that the bath sits in, and look at the bath check again."
_TAKING_OUT = (Act.REPLACED_BATH, Act.HANDLING_BATH, Act.COPPER_WASTE)
_MIXING = (Act.SULFURIC_ACID, Act.POURING_ACID, Act.COPPER_SULFATE, Act.FOOD_WARE)
_REMAKING: tuple[StepWithActs, ...] = (
    ("Find the source of the dirt first, or the new bath goes the same way.", ()),
    ("Empty and rinse tank, bags and anodes; keep the old bath closed as copper waste.", _TAKING_OUT),
    ("Mix a new bath (see mixing), and write down what went in.", _MIXING),
)
_CARBON: StepWithActs = (
    line(
        "If it stays dull, treat it once with activated carbon: {2 to 5 g/L}, one hour warm, settle, filter (from "
        "memory). Carbon takes out the additives as well: dose them afresh."
    ),
    (Act.CARBON_DUST, Act.HEATER_IN_ACID, Act.WARM_BATH),
)


def _replacing_steps(case: _Case, fraction: float) -> tuple[str, tuple[StepWithActs, ...]]:
    litres, stock = fraction * case.advice.volume_L, case.task.stock
    amounts, _ = _replaced(case, fraction)
    volume = in_a_jug(litres)
    take_out = line("Take out {volume}, {percent:.0f} % of the bath", volume=volume, percent=100 * fraction)
    mix = line(
        "Mix {volume} of fresh bath ({holds}){mind}, in the portions that Mix names – let it cool, and stir it in.",
        volume=volume,
        holds=fresh_part_said(stock, amounts),
        mind=f" – {FIRST_WORDS}" if amounts.acid > 0 else "",
    )
    return take_out, (
        (line("{take_out}, from mid-depth, and keep it closed as copper waste.", take_out=take_out), _TAKING_OUT),
        (mix, _MIXING),
        ("Measure again, then dose additives afresh and test them on a strip.", ()),
    )


def _would_change(case: _Case, choice: str) -> tuple[str, ...]:
    """Say which findings would lead to another choice."""
    said = [
        f"A jar test of half and half that comes out {jar}: then {SAID[other]}."
        for jar, other in _by_jar(case).items()
        if other != choice
    ]
    if choice != "correct":
        said.append("A strip that is dull in fresh bath too: then it is not the bath, and you keep it.")
    if choice != "remake":
        said.append("Silver, lead, tin, chromium or an unknown liquid in the bath: then remake it.")
    return tuple(said)


def _option_line(option: Option) -> Line:
    inside = "" if option.probability_in is None else f", inside the window: {percent(option.probability_in)}"
    return line(
        "{name}: {cost}, {waste}, {work}{inside}, the liquid is sound afterwards: {sound}. Does not cure: {rest}.",
        name=option.name,
        cost=option.cost_said,
        waste=option.waste_said,
        work=option.work_said,
        inside=inside,
        sound=option.sound,
        rest="; ".join(option.does_not_cure),
    )
