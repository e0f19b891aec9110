"""What may ail a bath, how likely each is, and what replacing a fraction of it cures.

Four things: concentrations; nothing in the liquid beyond additives; dirt that half a change thins enough; dirt that it
does not. Each has a weight from what the sheet says; the jar test, half old and half fresh, weighs most. The weights
are judgement, as no text found gives numbers for the life of a bath. What to do about it is decided by `remake`.

Sources
-------
Fraction f = (c - c_target)/(c - c_new): mass balance; as the remedy for copper in excess: Products Finishing, "A
Growing Copper Bath". Upper limits of iron, nickel and zinc: trade figures from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import prod

import numpy as np
from scipy.special import expit, ndtr

from advisor.basis.components import SALT_AND_ACID
from advisor.check.advice import Advice
from advisor.check.metals import CONTAMINANT_LIMITS, contaminants_of, fraction_to_replace, part_fraction
from advisor.sheet import Keep, Sheet
from advisor.words.states import PlanState

MOST_REPLACED = 0.95  # more than that is remaking (judgement)

# What may ail a bath, and how likely, before the jar test (judgement): with a complaint about the deposit, and without.
AILMENTS = ("concentrations", "not the liquid", "some dirt", "much dirt")
COMPLAINT = dict(zip(AILMENTS, (0.30, 0.50, 0.13, 0.07), strict=True))  # judgement
NO_COMPLAINT = dict(zip(AILMENTS, (0.30, 0.65, 0.03, 0.02), strict=True))  # judgement
# Probability of each outcome of the jar test, the fresh jar being good and the old one dull (judgement). That alone
# speaks against causes outside the liquid, whichever way the mixed jar comes out.
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
OLD = 36.0  # months, after which dirt is likelier by (judgement)
OLDER_IS_DIRTIER = 1.5  # judgement
CARBON_FAILED = 2.0  # treatments, after which much dirt is likelier by (judgement)
CARBON_FAILED_WEIGHT = 4.0  # judgement
SUDDEN, GRADUAL = "sudden", "gradual"
COURSE_WEIGHT = 1.5  # a sudden fault is likelier outside the liquid, a gradual one likelier dirt (judgement)
# Where a known excess calls for a large fraction, what nobody measured goes with it: the probability that the rest is
# worth keeping falls through a half at 0.6 (judgement, after the rule that replacing pays up to about half).
WORTH_KEEPING_HALF, WORTH_KEEPING_WIDTH = 0.6, 0.05


def weigh(sheet: Sheet, wanted: Keep, advice: Advice) -> dict[str, float]:
    """Return the probability of each ailment, given the sheet and the jar test; they add up to 1."""
    weights = dict(COMPLAINT if complains(sheet, wanted) else NO_COMPLAINT)
    weights["concentrations"] *= probability_out(advice)
    signs, jars = _signs(sheet, wanted), _jars(wanted)
    posterior = {name: weights[name] * signs[name] * jars[name] for name in AILMENTS}
    total = sum(posterior.values())
    return {name: value / total for name, value in posterior.items()}


def _signs(sheet: Sheet, wanted: Keep) -> dict[str, float]:
    """Return how much likelier age, carbon that did not help, and the course of the fault make each ailment."""
    factors = dict.fromkeys(AILMENTS, 1.0)
    if sheet.bath.months > OLD:
        factors["some dirt"] = factors["much dirt"] = OLDER_IS_DIRTIER
    if complains(sheet, wanted) and wanted.carbon_treated >= CARBON_FAILED:
        factors["much dirt"] *= CARBON_FAILED_WEIGHT
    since = sheet.deposit.since if sheet.deposit else None
    if since == SUDDEN:
        factors["not the liquid"] *= COURSE_WEIGHT
    if since == GRADUAL:
        factors["some dirt"] *= COURSE_WEIGHT
        factors["much dirt"] *= COURSE_WEIGHT
    return factors


def _jars(wanted: Keep) -> dict[str, float]:
    """Return the probability under each ailment that the jars come out as they did."""
    if wanted.fresh_jar == "dull":
        return FRESH_DULL
    if wanted.fresh_jar == "good" and wanted.mixed_jar == "not done":
        return {name: 1 - dull for name, dull in FRESH_DULL.items()}
    return JAR[wanted.mixed_jar]  # which takes the fresh jar for good


def complains(sheet: Sheet, wanted: Keep) -> bool:
    """Tell whether the liquid is complained of; whoever does the jar test has a reason to."""
    looks = sheet.deposit.looks if sheet.deposit else ()
    tested = {wanted.fresh_jar, wanted.mixed_jar} != {"not done"}
    return bool(LIQUID_LOOKS.intersection(looks)) or tested


def probability_out(advice: Advice) -> float:
    """Return the probability that copper sulfate or acid is outside the window; a half for what was not measured."""
    inside = [advice.verdict[name].probability_in for name in SALT_AND_ACID]
    return 1 - prod(0.5 if value is None else value for value in inside)


def fraction_called_for(sheet: Sheet, advice: Advice) -> float:
    """Return the fraction of the bath that must surely go, for its foreign metals or copper that cannot be thinned."""
    metals = contaminants_of(sheet, advice.estimate)
    needed = [0.0, *(fraction_to_replace(name, *held) for name, held in metals.items())]
    copper = advice.verdict["copper_sulfate"]
    if advice.state is PlanState.NOT_POSSIBLE and advice.estimate and copper.limits and copper.side == "high":
        needed.append(part_fraction(advice.estimate.value("copper_sulfate"), sum(copper.limits) / 2, 0.0))
    return min(max(needed), MOST_REPLACED)


def worth_keeping(called_for: float) -> float:
    """Return the probability that the rest of a bath is worth keeping, where a fraction must surely go (judgement)."""
    return float(expit((WORTH_KEEPING_HALF - called_for) / WORTH_KEEPING_WIDTH))


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
