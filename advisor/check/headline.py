"""The answer in one glance: what is the matter in a few words, and what to do in one sentence.

It says nothing that the answer does not say at length; `Advice.sections` is that.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from advisor.basis.components import SALT_AND_ACID
from advisor.check.advice import Advice
from advisor.check.correction import Plan
from advisor.check.pouring import FIRST_SENTENCE
from advisor.check.steps import ACIDS, Step, graded
from advisor.check.window import Verdict
from advisor.words.dates import said as day_said
from advisor.words.lines import (
    Line,
    Units,
    capital,
    in_a_jug,
    in_units,
    joined,
    line,
    listed,
    measured_out,
    weighed,
)
from advisor.words.phrases import steps_done
from advisor.words.sections import percent
from advisor.words.states import BRIEF, TOO_COLD_FOR_IT, PlanState, kept_above, warmed_first

# A shape and words for each state of a component, so that no one depends on its colour.
SHAPES = {
    "in": ("●", "inside"),
    "low": ("▼", "too low"),
    "high": ("▲", "too high"),
    "not measured": ("○", "not measured"),
}
DOSED = {"copper sulfate crystals": "copper_sulfate", "sulfuric acid": "sulfuric_acid"}
SHORT_NAMES = {"copper_sulfate": "copper", "sulfuric_acid": "acid", "chloride": "chloride"}
# Beside a number, which is grams of the crystals and not of the metal.
NAMES_OF_NUMBERS = SHORT_NAMES | {"copper_sulfate": "copper sulfate"}
MOST_WORDS = 59  # in a glance beside its mark, with the amounts in both units (judgement)


class Tone(StrEnum):
    """What kind of news it is; each has a shape and a colour on the screen."""

    TO_DO = "to do"
    INSIDE = "inside"
    NOT_SETTLED = "not settled"
    IN_THE_WAY = "in the way"


@dataclass(frozen=True)
class Headline:
    """matter: what is the matter. act: what to do first. beside: what keeps it safe, how sure it is; may be empty."""

    tone: Tone
    matter: str
    act: Line
    beside: tuple[str, ...]


_TONES = {
    PlanState.NONE_NEEDED: Tone.INSIDE,
    PlanState.NOT_POSSIBLE: Tone.IN_THE_WAY,
    PlanState.TOO_COLD: Tone.IN_THE_WAY,
}
TWICE = ("What is done is in the bath already. The figures below come from readings taken before.",)
ALL_INSIDE, LEVEL_IS_LOW, TOO_FULL = "Inside the window", "The level is low", "The tank is too full"
# Of the states that something other than the contents is the matter of; of the others, where all contents are inside.
_MATTERS = {
    PlanState.NONE_NEEDED: ALL_INSIDE,
    PlanState.TOO_COLD: BRIEF[PlanState.TOO_COLD],
    PlanState.WRONG_WINDOW: BRIEF[PlanState.WRONG_WINDOW],
}
_WAIT_FOR_READINGS = (PlanState.MEASURE_FIRST, PlanState.FIRST_PART, PlanState.REPEAT_FIRST)
_ALTHOUGH_INSIDE = {
    PlanState.MEASURE_FIRST: "Not settled yet",
    PlanState.POSSIBLE: LEVEL_IS_LOW,
    PlanState.FIRST_PART: LEVEL_IS_LOW,
    PlanState.REPEAT_FIRST: "The readings disagree",
    PlanState.NOT_POSSIBLE: BRIEF[PlanState.NOT_POSSIBLE],
}


def headline(advice: Advice) -> Headline:
    """Return the answer in one glance."""
    matter, briefly = _matter(advice), advice.plan.briefly or advice.plan.why
    if not advice.steps:
        act, first = _act(advice), (advice.sample,) if advice.sample else ()
        fitting = _as_fit((matter, act), (*first, *briefly))
        return Headline(_TONES.get(advice.state, Tone.NOT_SETTLED), matter, act, fitting)
    act, care = doses(advice.steps), care_with(advice.steps)
    room = (advice.room,) if advice.room else ()  # asked beneath the glance
    always = (*care, *_lands(advice, briefly=bool(room)))
    fitting = _as_fit((matter, act, *always, *room), (*_rests_on(advice), *briefly))
    return Headline(Tone.TO_DO, matter, act, (*always, *fitting))


def in_full(advice: Advice) -> tuple[str, ...]:
    """Return what a headline shortens or leaves out of what its answer rests on; nothing where it says all.

    Where there is no sound sample yet, that is only how to take one.
    """
    said = headline(advice).beside
    if advice.sample:
        return () if advice.sample in said else (advice.sample,)
    middle = (advice.to_the_middle,) if advice.to_the_middle else ()
    full = (*_lands(advice), *middle, *_rests_on(advice), *advice.plan.why, *advice.in_the_way)
    return tuple(text for text in full if text not in said)


def _as_fit(said: Sequence[str], more: Sequence[str]) -> tuple[str, ...]:
    """Return the first of the further sentences, as many as a glance has room for."""
    words = [_words((*said, *more[: count + 1])) for count in range(len(more))]
    return tuple(more[: sum(count <= MOST_WORDS for count in words)])


def _words(texts: Sequence[str]) -> int:
    """Count the words in US units, which are the most: the metric amount stands behind in brackets."""
    return len(" ".join(in_units(text, Units.US_FIRST) for text in texts).split())


def under_way(steps: Sequence[Step], done: Collection[int]) -> Headline:
    """Return what to do next while a correction is carried out; done: the steps that have gone in, counted from 1."""
    left = tuple(step for number, step in enumerate(steps, 1) if number not in done)
    if not left:
        return Headline(
            Tone.NOT_SETTLED, "The correction is done", line("Stir ten minutes, then measure again."), TWICE
        )
    matter = steps_done(len(steps) - len(left), len(steps))
    return Headline(Tone.TO_DO, matter, doses(left), (*care_with(left), *TWICE))


def corrected_since(day: datetime.date) -> Headline:
    """Return what to do where the record says that the bath was corrected after the readings, last on a day."""
    matter = f"Corrected since this check, on {day_said(day)}"
    return Headline(Tone.NOT_SETTLED, matter, line("Measure again before you add more."), TWICE)


def changed_since(went_in: Line) -> Headline:
    """Return what to do where something went in by a plan that has changed since then."""
    matter = "The plan has changed since you ticked"
    beside = (
        line("In the bath already: {went_in}. No reading knows of that: you would add it twice.", went_in=went_in),
    )
    return Headline(Tone.NOT_SETTLED, matter, line("Measure again before you add more."), beside)


def care_with(steps: Sequence[Step]) -> tuple[str, ...]:
    """Say what must stand beside any dose of these steps: of acid, how to pour it."""
    return (FIRST_SENTENCE,) if any(step.what in ACIDS for step in steps) else ()


def _lands(advice: Advice, briefly: bool = False) -> tuple[str, ...]:
    """Say where the steps lead, and how surely: of what nothing is known, nothing is said to land.

    briefly: the plan may change yet. Nothing without any steps, or where the floor may hold crystals, so that nobody
    can tell.
    """
    if not advice.steps or advice.plan.may_lie_on_the_floor:
        return ()
    if not advice.tells_how_surely:
        return (line("A first part only. {why} Then measure again.", why=advice.steps[0].why),)
    measured = [SHORT_NAMES[name] for name in SALT_AND_ACID if advice.verdict[name].state != "not measured"]
    what = "the bath" if len(measured) == len(SALT_AND_ACID) else " and ".join(measured)
    sure = percent(advice.plan.after.probability_in)
    if advice.state is PlanState.FIRST_PART and briefly:
        return (f"A first part only: {sure} sure.",)
    if advice.state is PlanState.FIRST_PART:
        return (f"A first part only: after it {what} is inside the window with {sure} probability.",)
    return (f"{capital(what)} lands inside{'' if briefly else ' the window'}, {sure} sure.",)


def _rests_on(advice: Advice) -> list[Line]:
    """Say of each dose whose component is known only roughly in which range that may lie.

    Nothing where crystals may lie on the floor.
    """
    if advice.plan.may_lie_on_the_floor:
        return []
    dosed = [DOSED[step.what] for step in advice.steps if step.what in DOSED]
    return [
        line("A middle dose: {name} may be {range} now.", name=NAMES_OF_NUMBERS[name], range=advice.known.shown(name))
        for name in dosed
        if name not in advice.determined and advice.known.shown(name)
    ]


def _matter(advice: Advice) -> str:
    """Say what is the matter: by the state where that tells it, else by what is not inside.

    Where readings contradict each other, so that nothing can be added, that is the matter. Only the state in which
    nothing is needed says that all is inside.
    """
    if advice.sample:
        return "No sound sample yet"
    contradict = advice.estimate is not None and advice.estimate.agreement.contradicts
    if contradict and not advice.steps and advice.state in _WAIT_FOR_READINGS:
        return "Your readings contradict each other"
    said = _MATTERS.get(advice.state) or _too_cold(advice) or _by_contents(advice)
    if said == ALL_INSIDE:
        said = _ALTHOUGH_INSIDE.get(advice.state, said)
    return TOO_FULL if said == LEVEL_IS_LOW and advice.plan.amounts.take_out > 0 else said


def _by_contents(advice: Advice) -> str:
    """Say where the components stand that count."""
    counting = dict(advice.verdict)
    if counting["chloride"].state == "not measured" and not advice.known.chloride_counts:
        del counting["chloride"]
    return matters(counting)


def _too_cold(advice: Advice) -> str:
    """Say so where nothing is out and only the cold stands in the way; empty elsewhere."""
    is_out = any(judged.state in ("low", "high") for judged in advice.verdict.values())
    cold = advice.state is PlanState.NOT_POSSIBLE and advice.plan.warmth_asked is not None
    return TOO_COLD_FOR_IT if cold and not is_out else ""


def _act(advice: Advice) -> Line:
    """Say in one sentence what to do where no step may be taken."""
    plan = advice.plan
    if advice.state is PlanState.NONE_NEEDED:
        return line("Nothing to add. The bath is in condition.")
    if advice.state is PlanState.TOO_COLD:
        if plan.warmth_asked is None:
            return line("No warmth will do: thin it, and choose a window with less copper sulfate or acid.")
        return line("{keep}.", keep=kept_above(plan.warmth_asked))
    if advice.state is PlanState.WRONG_WINDOW:
        others = "” or “".join(advice.known.sits_in)
        return line("Take nothing out: if that is the bath you keep, choose the window “{others}”.", others=others)
    if plan.blocked_by and not advice.sample:
        return _not_possible(plan)
    return line("{said}", said=_measure(advice))


def _not_possible(plan: Plan) -> Line:
    """Say what stands in the way of any correction; where it is the cold, what to do about that."""
    alone = plan.warmth_asked
    if alone is not None:
        until_then = "{first}. Until then add nothing: the cold is in the way."
        return line(until_then, first=warmed_first(alone))
    limits = joined(" and ", (bind.limit for bind in plan.binds)) or "more than two limits at once"
    keep = line(" Keep it above {warm}.", warm=plan.warm_enough) if plan.warm_enough else ""
    return line("Add nothing. What stands in the way: {limits}.{keep}", limits=limits, keep=keep)


def _measure(advice: Advice) -> str:
    if advice.sample:
        return "Add nothing yet."
    if advice.state is PlanState.REPEAT_FIRST:
        which = "the" if len(advice.plan.repeat) == 1 else "a"
        return f"Take nothing out, add nothing: repeat {which} reading first."
    if advice.plan.asks:
        return "Add nothing yet: first say what may have got into the bath."
    best = next((suggestion for suggestion in advice.next_reading if suggestion.kind), None)
    if best and best.repeats is not None:
        return f"Add nothing yet: first repeat reading {best.repeats + 1} ({best.kind})."
    if best is None:
        return "Add nothing yet: measure first."
    once = f", once you have {'one' if best.kind in best.lacking else listed(best.lacking)}" if best.lacking else ""
    return f"Add nothing yet: measure first, best by {best.kind}{once}."


def matters(verdict: Mapping[str, Verdict]) -> str:
    """Say where the components stand that are not inside, such as "Too little acid, copper likely too low"."""
    if all(judged.state == "not measured" for judged in verdict.values()):
        return "Nothing is measured yet"
    much = {"low": "little", "high": "much"}
    out = [f"too {much[judged.state]} {SHORT_NAMES[name]}" for name, judged in verdict.items() if judged.state in much]
    unsure = [
        f"{SHORT_NAMES[name]} {judged.how_likely()} too {judged.likeliest()[0]}"
        for name, judged in verdict.items()
        if judged.state == "unsure" and judged.likeliest()[0] != "in"
    ]
    said = out + unsure
    if not said:
        open_ = [SHORT_NAMES[name] for name, judged in verdict.items() if judged.state in ("unsure", "not measured")]
        said = [f"{' and '.join(open_)} not settled"] if open_ else [ALL_INSIDE]
    return capital(", ".join(said))


def doses(steps: Sequence[Step]) -> Line:
    """Say what the steps move in one sentence, such as "Add 256 g crystals, then 410 mL acid (37 %)."."""
    said: list[Line] = []
    for before, step in zip([None, *steps], steps, strict=False):
        verb = "" if before and before.do == step.do else f"{step.do} " if before else f"{step.do.capitalize()} "
        said.append(line("{verb}{what}", verb=verb, what=short_dose(step)))
    return line("{said}.", said=joined(", then ", said))


def short_dose(step: Step) -> Line:
    """Say what a step moves as shortly as a hand needs it, such as "412 mL acid (37 %)"."""
    numbers = step.numbers
    if step.do == "take out":
        return line("{volume} bath", volume=in_a_jug(numbers["volume_L"]))
    if step.what == "water":
        return line("{volume} water", volume=in_a_jug(numbers["volume_L"]))
    if step.what in ACIDS:
        return line(
            "{volume} {name} ({strength})",
            volume=measured_out(numbers["volume_mL"]),
            name="acid" if step.what == "sulfuric acid" else step.what,
            strength=graded(numbers["strength_mass_fraction"], step.strength_is_told, in_brackets=True),
        )
    if "volume_mL" in numbers:
        return line("{volume} salt solution", volume=measured_out(numbers["volume_mL"]))
    return line("{grams} {salt}", grams=weighed(numbers["mass_g"]), salt=step.salt)


def standing(judged: Verdict) -> tuple[str, str]:
    """Return the shape and the words for where a component stands, such as ("▼", "too low")."""
    if judged.state != "unsure":
        return SHAPES[judged.state]
    side, probability = judged.likeliest()
    return "◐", f"{judged.how_likely()} {SHAPES[side][1]}, {percent(probability)}"
