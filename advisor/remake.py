"""Whether to correct the bath in place, to replace part of it, or to remake it, how surely, and what would change that.

Concentrations can be mended in place; what has built up (dirt, worn additives, foreign metals) thins out only by the
fraction that is replaced. Four things may ail a bath, each with a weight from what the sheet says: concentrations;
nothing in the liquid beyond additives; dirt that half a change thins enough; dirt that it does not. The jar test, half
old and half fresh, weighs most. Then each choice has a probability to cure, and a cost: stock, disposal, work, and what
a wrong choice costs. The cheapest in expectation is advised.

`sure` is the probability that the choice is right: that it cures and that no smaller one would have. The three
probabilities add up to 1; they follow from the estimate (normal distributions) and from the weights below, which are
judgement, as no text found gives numbers for the life of a bath.

Sources
-------
Fraction f = (c - c_target)/(c - c_new): mass balance; as the remedy for copper in excess: Products Finishing, "A
Growing Copper Bath". Upper limits of iron, nickel and zinc: trade figures from memory. Replacing up to about half is
cheaper than remaking; carbon treatment twice without cure means remaking: judgement.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf, prod
from typing import Any, ClassVar

import numpy as np
from scipy.optimize import brentq
from scipy.special import expit, ndtr

from advisor import phrases
from advisor.advice import Advice
from advisor.advise import advise, make_task
from advisor.assessment import NAMES
from advisor.correction import USUAL_PRICE, WATER_DENSITY, Amounts, Plan, Task, correct, forward
from advisor.make_up import cost_of, empty_tank, fresh
from advisor.sections import Section, percent
from advisor.sheet import Keep, Sheet
from advisor.solution.solubility import CEILING_FRACTION, saturation
from advisor.ways import SURE_REACH, Way, leaning, ways, ways_cautions, ways_section
from advisor.window import COMPONENTS

CHOICES = ("correct", "part-replace", "remake")
HALF = 0.5  # the fraction that the jar test tries
MOST_REPLACED = 0.95  # more than that is remaking
DIRT_COUNTS = 0.2  # probability of dirt from which the jar test's half is weighed beside a known excess (judgement)
CONTAMINANT_LIMITS = {"iron": 2.0, "nickel": 1.0, "zinc": 1.0}  # g/L, from memory

# What may ail a bath, and how likely, before the jar test (judgement): with a complaint about the deposit, and without.
AILMENTS = ("concentrations", "not the liquid", "some dirt", "much dirt")
COMPLAINT = dict(zip(AILMENTS, (0.30, 0.50, 0.13, 0.07), strict=True))
NO_COMPLAINT = dict(zip(AILMENTS, (0.30, 0.65, 0.03, 0.02), strict=True))
# Probability of each outcome of the jar test, the fresh jar being good and the old one dull (judgement). That alone
# speaks against causes outside of the liquid, whichever way the mixed jar comes out.
JAR = {
    "good": dict(zip(AILMENTS, (0.70, 0.10, 0.85, 0.10), strict=True)),
    "dull": dict(zip(AILMENTS, (0.25, 0.15, 0.15, 0.90), strict=True)),
    "not done": dict.fromkeys(AILMENTS, 1.0),
}
# Probability that fresh bath plates dull as well: it cures all that the liquid ails from (judgement).
FRESH_DULL = dict(zip(AILMENTS, (0.05, 0.70, 0.05, 0.05), strict=True))
# What dirt or worn additives in the liquid can look like (trade fault tables, judgement); the rest is not the liquid.
LIQUID_LOOKS = frozenset(
    ("dull", "brittle", "streaks", "pits", "rough", "nodules", "burnt edges", "thin recesses", "foam", "green tint")
)
OLD = 36.0  # months, after which dirt is likelier by
OLDER_IS_DIRTIER = 1.5
CARBON_FAILED = 2.0  # treatments, after which much dirt is likelier by
CARBON_FAILED_WEIGHT = 4.0
SUDDEN, GRADUAL = "sudden", "gradual"
COURSE_WEIGHT = 1.5  # a sudden fault is likelier outside of the liquid, a gradual one likelier dirt

# Work in minutes and what it is worth (judgement; any currency).
MINUTES = {"correct": 15.0, "step": 10.0, "part-replace": 90.0, "remake": 150.0}
MINUTE_WORTH = 0.2
CLOSE_CALL = 0.6  # a choice less sure than that is called a close call
SPOILT_PIECE = 30.0  # what plating on in a bath that is not cured costs
WASTE_COUNTS = 2.0  # per L, besides its price: what wastes less comes first
USUAL_DISPOSAL_PRICE = 2.5  # per L, only to weigh the choices where the sheet names none
# Where a known excess calls for a large fraction, what nobody measured goes with it: the probability that the rest is
# worth keeping falls through a half at 0.6 (judgement, after the rule that replacing pays up to about half).
WORTH_KEEPING_HALF, WORTH_KEEPING_WIDTH = 0.6, 0.05
MENDABLE = 0.9  # probability that a correction ends inside once readings settle it, where they do not yet (judgement)

JAR_TEST = (
    "Do the jar test first: plate the same strip at the same current density in 250 mL of fresh bath, of the old "
    "bath, and of half and half. Fresh also dull: it is not the bath. Half and half good: replace half. Half and "
    "half dull: half is not enough; treat it once with carbon, and if that does not cure it, remake."
)
_CURES = {
    "correct": ("copper sulfate, acid, chloride and level",),
    "part-replace": ("copper sulfate, acid, chloride and level", "half of the dirt, foreign metals and worn additives"),
    "remake": ("everything that is in the liquid",),
}
_SAID = {"correct": "keep it and correct it in place", "part-replace": "replace part of it", "remake": "remake it"}
_DOES_NOT = {
    "correct": ("dirt, worn additives, foreign metals",),
    "part-replace": ("the rest of what has built up", "contacts, current, anodes and the part itself"),
    "remake": ("contacts, current, anodes and the part itself", "a source of dirt that is still there"),
}


@dataclass(frozen=True)
class Option:
    """One choice. Costs in the sheet's currency, None where a price is missing; waste in L; fraction of the bath "
    "replaced."""

    choice: str
    fraction: float
    material_cost: float | None
    disposal_cost: float | None
    waste: float
    minutes: float
    probability_in: float | None
    probability_cures: float
    weighed_cost: float  # with usual prices where the sheet has none, work, and a weight on waste

    @property
    def cost(self) -> float | None:
        """Stock and disposal together, None where a price is missing."""
        if self.material_cost is None or self.disposal_cost is None:
            return None
        return self.material_cost + self.disposal_cost

    def to_dict(self) -> dict[str, Any]:
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
            "does_not_cure": list(_DOES_NOT[self.choice]),
        }


@dataclass(frozen=True)
class Decision:
    """What to do with the bath. turns_at: the fraction above which remaking costs less than replacing."""

    choice: str
    sure: float
    options: tuple[Option, ...]
    ways: tuple[Way, ...]
    turns_at: float
    ailments: Mapping[str, float]
    reasons: tuple[str, ...]
    what_to_do: tuple[str, ...]
    would_change: tuple[str, ...]

    TITLE: ClassVar[str] = "Keep or remake"

    def to_dict(self) -> dict[str, Any]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "choice": self.choice,
            "sure": self.sure,
            "options": [option.to_dict() for option in self.options],
            "turns_at_fraction": self.turns_at,
            "ailments": dict(self.ailments),
            "ways_that_waste_nothing": [way.to_dict() for way in self.ways],
            "reasons": list(self.reasons),
            "what_to_do": list(self.what_to_do),
            "would_change_its_mind": list(self.would_change),
            "cautions": list(_CAUTIONS),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the decision for a reader: the choice, what to do, the choices side by side, then cautions."""
        close = " – a close call" if self.sure < CLOSE_CALL else ""
        first = f"{_SAID[self.choice].capitalize()}: the right choice with {100 * self.sure:.0f} % probability{close}."
        blocks = (
            Section("What to do with the bath", (first, *self.reasons)),
            Section("What to do, in this order", self.what_to_do, numbered=True),
            Section("The choices side by side", (*map(_option_line, self.options), self._turning_line())),
            ways_section(self.ways),
            Section("What would change this", self.would_change),
            Section("Take care", (*ways_cautions(self.ways), *_CAUTIONS), caution=True),
        )
        return tuple(block for block in blocks if block.lines)

    def _turning_line(self) -> str:
        percent = 100 * self.turns_at
        turns = f"If more than about {percent:.0f} % of the bath had to go, remaking would be the better bargain."
        if self.turns_at == 0:
            turns = "Replacing a part is no bargain at any fraction: it is too likely not to cure."
        return (
            f"{turns} The probabilities come from your readings and from weights that are judgement: no text found "
            "gives numbers for the "
            "life of a bath."
        )


_CAUTIONS = (
    "Bath that you replace is copper waste: see disposal. Bath that is only taken out to make room is stock: keep it.",
    phrases.ACID,
    phrases.NO_FOOD_WARE,
    phrases.WASTE,
    phrases.ALLOW_LOCAL,
)


def keep(sheet: Sheet) -> Decision:
    """Return whether to correct, part-replace or remake the bath of a sheet."""
    wanted = sheet.keep or Keep()
    advice = advise(sheet)
    task = make_task(sheet, advice.estimate, advice.verdict)
    ailments = weigh(sheet, wanted, advice)
    options = _options(sheet, wanted, advice, task, ailments)
    choice = _choose(options)
    found = ways(task, advice.plan)
    return Decision(
        choice,
        _right(options)[choice],
        options,
        found,
        _turning_fraction(options, fraction_called_for(sheet, advice)),
        ailments,
        _reasons(sheet, wanted, advice, options, choice),
        _what_to_do(sheet, wanted, advice, task, choice, options[1].fraction),
        _would_change(sheet, wanted, advice, task, choice),
    )


# --- What ails the bath -----------------------------------------------------------------------------


def weigh(sheet: Sheet, wanted: Keep, advice: Advice) -> dict[str, float]:
    """Return the probability of each ailment, given the sheet and the jar test; they add up to 1."""
    complains = _complains(sheet, wanted)
    weights = dict(COMPLAINT if complains else NO_COMPLAINT)
    weights["concentrations"] *= probability_out(advice)
    factors = dict.fromkeys(AILMENTS, 1.0)
    if sheet.bath.months > OLD:
        factors["some dirt"] = factors["much dirt"] = OLDER_IS_DIRTIER
    if complains and wanted.carbon_treated >= CARBON_FAILED:
        factors["much dirt"] *= CARBON_FAILED_WEIGHT
    since = sheet.deposit.since if sheet.deposit else None
    if since == SUDDEN:
        factors["not the liquid"] *= COURSE_WEIGHT
    if since == GRADUAL:
        factors["some dirt"] *= COURSE_WEIGHT
        factors["much dirt"] *= COURSE_WEIGHT
    jars = JAR[wanted.mixed_jar]  # which takes the fresh jar for good
    if wanted.fresh_jar == "dull":
        jars = FRESH_DULL
    elif wanted.fresh_jar == "good" and wanted.mixed_jar == "not done":
        jars = {name: 1 - dull for name, dull in FRESH_DULL.items()}
    posterior = {name: weights[name] * factors[name] * jars[name] for name in AILMENTS}
    total = sum(posterior.values())
    return {name: value / total for name, value in posterior.items()}


def _complains(sheet: Sheet, wanted: Keep) -> bool:
    """Tell whether the liquid is complained of; whoever does the jar test has a reason to."""
    looks = sheet.deposit.looks if sheet.deposit else ()
    tested = {wanted.fresh_jar, wanted.mixed_jar} != {"not done"}
    return bool(LIQUID_LOOKS.intersection(looks)) or tested


def probability_out(advice: Advice) -> float:
    """Return the probability that copper sulfate or acid is outside of the window; a half for what was not measured."""
    inside = [advice.verdict[name].probability_in for name in ("copper_sulfate", "sulfuric_acid")]
    return 1 - prod(0.5 if value is None else value for value in inside)


def part_fraction(now: float, target: float, new: float) -> float:
    """Return the fraction of a bath to replace so that a content `now` becomes `target`, with `new` in what goes in.

    All in one unit. f = (now - target)/(now - new), held between 0 (replacing leads away from the target) and 1 (it
    cannot reach it); 0 where what goes in is the same.
    """
    return 0.0 if now == new else min(max((now - target) / (now - new), 0.0), 1.0)


def fraction_called_for(sheet: Sheet, advice: Advice) -> float:
    """Return the fraction that foreign metals, or copper that cannot be thinned in this tank, surely call for."""
    needed = [0.0]
    for name, (value, spread) in _contaminants(sheet, advice).items():
        needed.append(part_fraction(value + SURE_REACH * spread, CONTAMINANT_LIMITS[name], 0.0))
    copper = advice.verdict["copper_sulfate"]
    if advice.plan.state == "not possible" and advice.estimate and copper.limits and leaning(copper) == "high":
        needed.append(part_fraction(advice.estimate.value("copper_sulfate"), sum(copper.limits) / 2, 0.0))
    return min(max(needed), MOST_REPLACED)


def worth_keeping(called_for: float) -> float:
    """Return the probability that the rest of a bath is worth keeping, a fraction of which must surely go "
    "(judgement)."""
    return float(expit((WORTH_KEEPING_HALF - called_for) / WORTH_KEEPING_WIDTH))


def _contaminants(sheet: Sheet, advice: Advice) -> dict[str, tuple[float, float]]:
    """Return what is known of the foreign metals that the sheet declares: value and standard uncertainty [g/L]."""
    found: dict[str, tuple[float, float]] = {}
    for name in CONTAMINANT_LIMITS:
        declared = getattr(sheet.bath, name)
        if declared is None or declared.value == 0:
            continue
        if advice.estimate and name in advice.estimate.names:
            found[name] = advice.estimate.value(name), advice.estimate.standard_uncertainty(name)
        else:
            found[name] = declared.value, declared.uncertainty_or(0.2 * declared.value)
    return found


def probability_cured(
    fraction: float, ailments: Mapping[str, float], contaminants: Mapping[str, tuple[float, float]]
) -> float:
    """Return the probability that replacing a fraction cures all that concentrations do not explain.

    Some dirt needs a fraction between 0.2 and 0.5, much dirt one between 0.5 and 1, evenly (judgement); a foreign
    metal must end below its limit.
    """
    clean = (
        ailments["concentrations"]
        + ailments["not the liquid"]
        + ailments["some dirt"] * float(np.clip((fraction - 0.2) / 0.3, 0.0, 1.0))
        + ailments["much dirt"] * float(np.clip((fraction - 0.5) / 0.5, 0.0, 1.0))
    )
    for name, (value, spread) in contaminants.items():
        left = max(1 - fraction, 1e-9)
        clean *= float(ndtr((CONTAMINANT_LIMITS[name] - left * value) / (left * spread)))
    return clean


# --- The choices ------------------------------------------------------------------------------------


def _options(
    sheet: Sheet, wanted: Keep, advice: Advice, task: Task, ailments: Mapping[str, float]
) -> tuple[Option, ...]:
    called_for = fraction_called_for(sheet, advice)
    dirty = ailments["some dirt"] + ailments["much dirt"]
    fraction = called_for if called_for > 0 and dirty < DIRT_COUNTS else max(called_for, HALF)
    contaminants = _contaminants(sheet, advice)
    part_cures = probability_cured(fraction, ailments, contaminants) * worth_keeping(called_for)
    return (
        _in_place(advice, task, probability_cured(0.0, ailments, contaminants)),
        _replacing(sheet, wanted, advice, task, "part-replace", fraction, part_cures),
        _replacing(sheet, wanted, advice, task, "remake", 1.0, 1.0),
    )


def _in_place(advice: Advice, task: Task, cures: float) -> Option:
    """Return correcting in place: the plan of the advice. cures: probability that it cures the rest."""
    plan = _not_held_up(advice, task)
    inside = MENDABLE if plan.state == "first part" or advice.estimate is None else plan.after.probability_in
    minutes = 0.0
    if plan.state != "none needed":
        minutes = MINUTES["correct"] + MINUTES["step"] * sum(1 for amount in vars(plan.amounts).values() if amount > 0)
    return Option(
        "correct",
        0.0,
        cost_of(task, plan.amounts),
        0.0,
        0.0,
        minutes,
        None if advice.estimate is None else inside,
        cures * inside,
        _usual_cost(task, plan.amounts) + MINUTE_WORTH * minutes,
    )


def _not_held_up(advice: Advice, task: Task) -> Plan:
    """Return the plan without what would hold up a fresh bath as well: too little stock, or a place too cold."""
    if advice.plan.state != "not possible" or advice.estimate is None:
        return advice.plan
    unlimited = replace(task.stock, crystals_on_hand=inf, acid_on_hand=inf)
    return correct(replace(task, stock=unlimited, solubility_counts=False))


def _replacing(
    sheet: Sheet, wanted: Keep, advice: Advice, task: Task, choice: str, fraction: float, cures: float
) -> Option:
    """Return replacing a fraction of the bath (1: all of it) by fresh bath that brings the whole to the aim.

    cures: probability that it cures what concentrations do not explain.
    """
    waste = fraction * task.volume
    amounts, inside = _replaced(sheet, task, fraction)
    disposal = None if wanted.disposal_price is None else waste * wanted.disposal_price
    price = USUAL_DISPOSAL_PRICE if wanted.disposal_price is None else wanted.disposal_price
    known = advice.estimate is not None or choice == "remake"
    return Option(
        choice,
        fraction,
        cost_of(task, amounts),
        disposal,
        waste,
        MINUTES[choice],
        inside if known else None,
        cures * (inside if known else MENDABLE),
        _usual_cost(task, amounts) + waste * (price + WASTE_COUNTS) + MINUTE_WORTH * MINUTES[choice],
    )


def _replaced(sheet: Sheet, task: Task, fraction: float) -> tuple[Amounts, float]:
    """Return what goes into the replaced part, and the probability that the whole is then inside the window.

    The fresh part is mixed so that the whole comes to the aim, as far as it can: not below nothing, and not beyond
    what stays dissolved in it at 20 degC while it is mixed.
    """
    wanted = {
        name: max((goal - (1 - fraction) * now) / fraction, 0.0)
        for name, goal, now in (
            ("copper_sulfate", task.aim_copper_sulfate, task.copper_sulfate),
            ("sulfuric_acid", task.aim_sulfuric_acid, task.sulfuric_acid),
        )
    }
    acid = min(wanted["sulfuric_acid"], 400.0)
    salt = min(wanted["copper_sulfate"], CEILING_FRACTION * float(saturation(20.0, acid)))
    litres = fraction * task.volume
    amounts = fresh(empty_tank(sheet), litres, salt, acid)
    if amounts.water < 0:  # the acid at hand brings too much water: then no more of it than fits
        amounts = replace(amounts, water=0.0)
    whole = replace(task, chloride=None, verdicts={name: _counted(task, name) for name in COMPONENTS})
    return amounts, forward(whole, replace(amounts, take_out=litres)).probability_in


def _counted(task: Task, name: str) -> Any:
    """Return a verdict whose limits count: fresh bath is judged against the window whether or not it was measured."""
    judged = task.verdicts[name]
    return replace(judged, state="unsure") if judged.state == "not measured" else judged


def _usual_cost(task: Task, amounts: Amounts) -> float:
    stock = task.stock
    priced = replace(
        stock,
        crystals_price=USUAL_PRICE["crystals"] if stock.crystals_price is None else stock.crystals_price,
        acid_price=USUAL_PRICE["acid"] if stock.acid_price is None else stock.acid_price,
    )
    return cost_of(replace(task, stock=priced), amounts) or 0.0


def _choose(options: tuple[Option, ...]) -> str:
    """Return the choice of least expected cost: where it fails, a piece is spoilt and the next best is paid too."""
    in_place, part, remake = options
    failed = remake.weighed_cost + SPOILT_PIECE
    replaces = part.weighed_cost + (1 - part.probability_cures) * failed
    still = 1 - in_place.probability_cures
    # Where correcting has failed, replacing cures in what is left of its probability.
    left = _right(options)["part-replace"] / still if still > 0 else 0.0
    next_best = min(part.weighed_cost + (1 - left) * failed, remake.weighed_cost)
    expected = {
        "correct": in_place.weighed_cost + still * (SPOILT_PIECE + next_best),
        "part-replace": replaces,
        "remake": remake.weighed_cost,
    }
    return min(CHOICES, key=lambda choice: expected[choice])


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


def _reasons(sheet: Sheet, wanted: Keep, advice: Advice, options: tuple[Option, ...], choice: str) -> tuple[str, ...]:
    said = []
    both = ("copper_sulfate", "sulfuric_acid")
    off = [NAMES[name] for name in both if leaning(advice.verdict[name]) in ("low", "high")]
    measured = all(advice.verdict[name].state != "not measured" for name in both)
    if not measured:
        said.append("Copper sulfate and acid have not both been measured, so this is decided half blind.")
    elif off:
        said.append(f"Outside of the window, most likely: {' and '.join(off)}. That can be mended in place.")
    elif _complains(sheet, wanted):
        said.append(
            "Copper sulfate and acid are inside the window: they are not the trouble. Look at contacts, current, "
            "temperature, additives and the filter before you change any bath."
        )
    else:
        said.append("Copper sulfate and acid are inside the window, and nothing speaks for dirt in the liquid.")
    if sheet.deposit and not LIQUID_LOOKS.intersection(sheet.deposit.looks):
        said.append("What you see on the deposit is not cured by changing bath: see deposit faults.")
    if sheet.deposit and "matte salmon" in sheet.deposit.looks and sheet.bath.additives is False:
        said.append("A matte salmon deposit is normal for a bath without additives.")
    if wanted.fresh_jar == "dull":
        said.append("Fresh bath plates dull too: it is not the bath. Look at contacts, current, anodes and the part.")
    if wanted.mixed_jar == "good":
        said.append("Half old and half fresh plates well: half of what has built up is little enough.")
    if wanted.mixed_jar == "dull":
        said.append("Half old and half fresh is still dull: thinning by half is not enough.")
    if _complains(sheet, wanted) and wanted.carbon_treated >= CARBON_FAILED:
        said.append("Carbon twice without a cure speaks for remaking (judgement).")
    for name, (value, _) in _contaminants(sheet, advice).items():
        limit, left = CONTAMINANT_LIMITS[name], (1 - options[1].fraction) * value
        said.append(
            f"{name.capitalize()}: {value:.2g} g/L, tolerated up to about {limit:g} g/L (from memory); replacing "
            f"{100 * options[1].fraction:.0f} % leaves {left:.2g} g/L. Plating it out does not remove it."
        )
    if advice.plan.blocked_by and not sheet.bath.condition:
        said.append(f"In the way as things stand: {advice.plan.blocked_by}.")
    return tuple(said)


def _what_to_do(
    sheet: Sheet, wanted: Keep, advice: Advice, task: Task, choice: str, fraction: float
) -> tuple[str, ...]:
    steps = []
    if (
        wanted.mixed_jar == "not done"
        and wanted.fresh_jar != "dull"
        and (_complains(sheet, wanted) or advice.plan.state != "none needed" or choice != "correct")
    ):
        steps.append(JAR_TEST)
    if sheet.bath.condition:
        steps.append(phrases.SOUND_SAMPLE)
    elif "copper_sulfate" not in advice.determined or "sulfuric_acid" not in advice.determined:
        steps.append("Measure copper sulfate and acid, so that what you keep can be corrected.")
    litres = fraction * advice.volume_L
    if choice == "part-replace":
        steps += [
            f"Take out {litres:.2f} L, {100 * fraction:.0f} % of the bath, from mid-depth, and close it up as "
            "copper waste.",
            f"Mix {litres:.2f} L of fresh bath ({_fresh_part(sheet, task, fraction)}), let it cool, and stir it in.",
            "Measure again, then dose additives anew and prove them on a strip.",
        ]
    elif choice == "remake":
        steps += [
            "Find the source of the dirt first, or the new bath goes the same way.",
            "Empty and rinse tank, bags and anodes; keep the old bath closed as copper waste.",
            "Mix a new bath (see mixing), and write down what went in.",
        ]
    elif advice.plan.state == "none needed":
        steps.append("Nothing needs correcting: leave the bath as it is.")
    else:
        steps.append("Follow the steps of the bath check, then plate a strip before you plate a piece.")
    if choice == "correct" and _complains(sheet, wanted) and wanted.carbon_treated == 0:
        steps.append(
            "If it stays dull, treat it once with activated carbon: 2 to 5 g/L, one hour warm, settle, filter (from "
            "memory). Carbon takes the additives along: dose anew."
        )
    return tuple(steps)


def _fresh_part(sheet: Sheet, task: Task, fraction: float) -> str:
    """Say what goes into the fresh part."""
    amounts, _ = _replaced(sheet, task, fraction)
    return (
        f"{amounts.crystals:.0f} g of crystals, {amounts.acid / task.stock.acid_density:.0f} mL of acid of "
        f"{100 * task.stock.acid_strength:.0f} %, {amounts.water / WATER_DENSITY / 1000:.2f} L of water"
    )


def _would_change(sheet: Sheet, wanted: Keep, advice: Advice, task: Task, choice: str) -> tuple[str, ...]:
    """Say which findings would lead to another choice."""
    said = []
    for jar in ("good", "dull"):
        if jar == wanted.mixed_jar:
            continue
        other = _decide_if(sheet, replace(wanted, mixed_jar=jar), advice, task)
        if other != choice:
            said.append(f"A jar test of half and half that comes out {jar}: then {_SAID[other]}.")
    if choice != "correct":
        said.append("A strip that is dull in fresh bath too: then it is not the bath, and you keep it.")
    if choice != "remake":
        said.append("Silver, lead, tin, chromium or an unknown liquid in the bath: then remake it.")
    return tuple(said)


def _decide_if(sheet: Sheet, wanted: Keep, advice: Advice, task: Task) -> str:
    return _choose(_options(sheet, wanted, advice, task, weigh(sheet, wanted, advice)))


def _option_line(option: Option) -> str:
    name = {
        "correct": "Correct in place",
        "part-replace": f"Replace {100 * option.fraction:.0f} %",
        "remake": "Remake",
    }[option.choice]
    cost = "cost not known, prices are missing" if option.cost is None else f"cost {option.cost:.2f}"
    inside = "" if option.probability_in is None else f", inside the window: {percent(option.probability_in)}"
    return (
        f"{name}: {cost}, {option.waste:.1f} L of copper waste, about {option.minutes:.0f} min{inside}, the liquid "
        "then sound: "
        f"{percent(option.probability_cures)}. Does not cure: {'; '.join(_DOES_NOT[option.choice])}."
    )
