"""The other questions answered in one glance, as `check.headline` does for a check: what is the matter, what to do.

Nothing is said here that the answer does not say at length in its `sections`.
"""

from __future__ import annotations

from advisor.check.headline import Headline, Tone, doses, matters
from advisor.check.pouring import FIRST_SENTENCE
from advisor.check.steps import graded
from advisor.questions.anodes import SAFE as SAFE_PASSIVE
from advisor.questions.anodes import AnodeAdvice
from advisor.questions.disposal import Disposal
from advisor.questions.faults import Diagnosis
from advisor.questions.limit import TREES
from advisor.questions.make_up import MIXED_TO, Mixture
from advisor.questions.objects import MAY, Preparation
from advisor.questions.plating import SLOW, PlatingRun
from advisor.questions.remake import AGAINST_EACH, NO_REASON, NONE_IS_SURE, Decision
from advisor.questions.shopping import ShoppingList, amount_of
from advisor.words import phrases
from advisor.words.lines import Amount, Line, capital, in_a_jug, joined, line, listed, measured_out, small, weighed
from advisor.words.sections import percent
from advisor.words.time_and_current import amperes, hours

NAMED = 3  # supplies to buy that are named in a glance (judgement)
TOO_MUCH = 0.5  # probability of trees from which a current is called too much (judgement)


def in_one_line(title: str, said: Headline) -> str:
    """Say a headline in one line of a record, such as "Keep or remake: Remake it. The right choice with ..."."""
    return f"{title}: {said.act} {said.matter}."


def mixture_headline(made: Mixture) -> Headline:
    """Say what to weigh and measure; of a recipe that is not inside, what to take instead or how to put it right."""
    judged = {name: made.verdict[name] for name in MIXED_TO}
    holds = line(
        "{what} {copper} copper sulfate and {acid} acid.",
        what="Your recipe makes" if made.mending else "It will hold",
        copper=_mixed(made, "copper_sulfate"),
        acid=_mixed(made, "sulfuric_acid"),
    )
    caution = (FIRST_SENTENCE,) if made.acid > 0 else ()
    if any(verdict.state in ("low", "high") for verdict in judged.values()):
        return Headline(Tone.TO_DO, matters(judged), _put_right(made), (*caution, holds))
    volume = in_a_jug(made.volume)
    if not made.stays_dissolved:
        matter = "Crystals would form in the cold"
        return Headline(Tone.NOT_SETTLED, matter, _against_the_cold(made), (*caution, holds))
    if any(verdict.state == "unsure" for verdict in judged.values()):
        matter = line("Makes {volume} at the edge of the window", volume=volume)
        return Headline(Tone.NOT_SETTLED, matter, _put_right(made), (*caution, holds))
    matter = line("Makes {volume} inside the window", volume=volume)
    return Headline(Tone.INSIDE, matter, _amounts(made), (*caution, holds))


def _mixed(made: Mixture, name: str) -> Amount:
    value = getattr(made, name)
    return Amount(value, "g/L", standard_uncertainty=MIXED_TO[name] * value)


def _amounts(made: Mixture) -> Line:
    return _take(made, "Take", made.crystals, made.acid_mL, made.water)


def _take(made: Mixture, verb: str, crystals: float, acid_mL: float, water: float) -> Line:
    """Say what to take; nothing of which there is none."""
    strength = graded(made.stock.acid_strength, made.stock.acid_is_told, in_brackets=True)
    takes = [line("{water} water", water=in_a_jug(water))]
    if acid_mL > 0:
        takes.insert(0, line("{acid_mL} acid ({strength})", acid_mL=measured_out(acid_mL), strength=strength))
    if crystals > 0:
        takes.insert(0, line("{grams} {salt}", grams=weighed(crystals), salt=made.salt))
    return line("{verb} {takes}.", verb=verb, takes=listed(takes))


def _put_right(made: Mixture) -> Line:
    """Say what to take instead of a recipe, else what puts it right; a wish that is out is mixed as it was wished."""
    mending = made.mending
    if mending is None:
        return _amounts(made)
    if mending.instead is not None:
        instead = mending.instead
        return _take(made, "Take instead", instead.crystals, instead.acid / made.stock.acid_density, instead.water_L)
    return doses(mending.steps) if mending.steps else line("It cannot be put right with what you have.")


def _against_the_cold(made: Mixture) -> Line:
    """Say what to take instead of a recipe that the cold spoils, else how warm to keep what is mixed."""
    warm = made.keep_above
    if warm is None or (made.mending and made.mending.instead):
        return _put_right(made)
    keep = line("Keep it above {warm}.", warm=warm)
    return keep if made.mending else joined(" ", (_amounts(made), keep))


def run_headline(run: PlatingRun) -> Headline:
    """Say at which current to start, at which to go on and for how long, and what that makes."""
    first, later = f"{run.amperes(run.start[0])} for {hours(run.start[1])}", run.amperes(run.current)
    act = line("Start at {first}, then {later} for {rest}.", first=first, later=later, rest=hours(run.main_time))
    makes = line(
        "Makes {thickness} on average, {copper} of copper{stages}",
        thickness=Amount(1000 * run.thickness, "µm"),
        copper=Amount(run.copper, "g", digits=3),
        stages=f", in {run.stages_said}" if run.stages > 1 else "",
    )
    smooth = run.amperes(*(density * run.area for density in run.recommended))
    top_up = ("The level is low: if it dried away, top up first.",) if run.level_is_low else ()
    to_know = (*top_up, phrases.TO_KNOW) if run.warnings else ()
    trees = run.limit.probability_above(TREES, run.current_density)
    if trees > TOO_MUCH:
        matter = f"Too much current: trees and powder, {percent(trees)} likely"
        return Headline(Tone.IN_THE_WAY, matter, line("Use {smooth} instead.", smooth=smooth), to_know)
    slow = f" {SLOW}." if run.is_slow else ""
    beside = (f"Smooth copper on this part: {smooth}.{slow} Hold the current, not the voltage.", *to_know)
    if run.is_very_little:
        return Headline(Tone.NOT_SETTLED, "So little current makes coarse, dull copper", act, beside)
    if run.current_density > run.recommended[1]:
        return Headline(Tone.NOT_SETTLED, "More current than makes smooth copper", act, beside)
    return Headline(Tone.TO_DO, makes, act, beside)


def decision_headline(decision: Decision) -> Headline:
    """Say what to do with the bath, how surely that is right, and what to do first; what may change it leads."""
    stays, first = decision.if_it_stays_so, small(decision.first_in_short)
    act = line("First {first}.", first=first) if stays else line("{said}.", said=decision.said.capitalize())
    beside: tuple[str, ...] = () if stays or not decision.what_to_do else (line("Step 1: {first}.", first=first),)
    if decision.not_counted:
        beside = (*beside, f"Not counted: what {' and '.join(decision.not_counted)} may have left in it.")
    reason = NO_REASON if decision.is_open else stays
    more = (f"{capital(reason)}.",) if reason else ()
    if decision.not_measured:
        return Headline(Tone.NOT_SETTLED, capital(decision.unknown), act, (*beside, *more))
    if decision.none_is_sure:
        return Headline(Tone.NOT_SETTLED, NONE_IS_SURE, act, (f"{capital(AGAINST_EACH)}.", *beside, *more))
    sure = f"{stays}: {decision.right}" if stays else capital(decision.right)
    tone = Tone.NOT_SETTLED if decision.is_close or stays else Tone.TO_DO
    return Headline(tone, sure, act, beside)


def disposal_headline(disposal: Disposal) -> Headline:
    """Say whom to ask first, and how much base it would take."""
    act = line(
        "If you may treat it: {takes} of {base}, in {portions} portions.",
        takes=disposal.takes,
        base=disposal.base,
        portions=disposal.portions,
    )
    outdoors = line("Outdoors only: up to {gas} of carbon dioxide comes off.", gas=Amount(disposal.gas, "L"))
    return Headline(Tone.NOT_SETTLED, "First ask your local authority where to hand it in", act, (outdoors,))


def anodes_headline(found: AnodeAdvice) -> Headline:
    """Say whether the anodes stand the current, and how much of them to hang in."""
    hang = line("Hang in {area} facing the part.", area=found.area_said)
    to_know = (phrases.TO_KNOW,) if found.warnings else ()
    chance = found.passive
    if found.kind == "inert":
        matter = "Inert anodes feed nothing"
        return Headline(Tone.TO_DO, matter, line("Log the ampere-hours, or check after each large run."), to_know)
    if found.limit and found.limit.value == 0:
        matter = "Saturated: crystals grow on the anodes"
        return Headline(Tone.IN_THE_WAY, matter, line("Warm the bath and thin it first."), to_know)
    if found.area is None or chance is None:
        return Headline(Tone.TO_DO, f"For {amperes(found.current)} on this part", hang, to_know)
    if found.turning_passive == "likely":
        return Headline(Tone.IN_THE_WAY, f"They will probably turn passive, {percent(chance)}", hang, to_know)
    if found.area < found.wanted[0]:
        return Headline(Tone.NOT_SETTLED, "Small for this part and current", hang, to_know)
    if chance > SAFE_PASSIVE:
        may = "may well" if found.turning_passive == "as likely as not" else "may"
        matter = f"They {may} turn passive, {percent(chance)}"
        return Headline(Tone.NOT_SETTLED, matter, line("Watch the voltage, above all in the cold."), to_know)
    stand = line("They stand {current}.", current=amperes(found.current))
    return Headline(Tone.INSIDE, f"Large enough: passive, {percent(chance)} likely", stand, to_know)


def preparation_headline(found: Preparation) -> Headline:
    """Say whether the part may go in, and how its coat starts."""
    to_know = (phrases.TO_KNOW,) if found.warnings else ()
    stopped = [material for material in found.materials if found.stopped_by(material)]
    worst = min(stopped, key=lambda material: material.may != "never", default=None)
    if worst is not None:
        sealing = worst.may == "sealed"
        ready = "Seal it in every pore first." if sealing else "Give it a tight barrier first, as said below."
        act = "Do not hang it in." if found.never else ready
        return Headline(Tone.IN_THE_WAY, capital(f"{worst.name} {MAY[worst.may]}"), line(act), to_know)
    if not found.materials:
        what = "What is it made of, glue and wire too?"
        return Headline(Tone.NOT_SETTLED, what, line("Say what it is made of first."), to_know)
    begun = found.start
    act = line("Connect it, switch on, then immerse.")
    if begun is not None:
        density = Amount(begun.density, "A/dm²", digits=2)
        act = line("Begin at {density}, in the first minutes on the ring by the wire.", density=density)
        if begun.at_once:
            act = line("Begin at {density}: all of it starts at once.", density=density)
    return Headline(Tone.TO_DO, "It may go in", act, to_know)


def shopping_headline(found: ShoppingList) -> Headline:
    """Say what to buy, the first of it with amounts, and what it costs."""
    wanted = [basket.need for basket in found.baskets if basket.need.short > 0]
    if not found.baskets:
        return Headline(Tone.NOT_SETTLED, "Nothing is asked of it yet", line("Say what the bath loses."), ())
    if not wanted:
        return Headline(Tone.INSIDE, "What you have lasts", line("Buy nothing."), ())
    parts = [line("{amount} of {what}", amount=amount_of(need, need.short), what=need.named) for need in wanted[:NAMED]]
    parts += [line("{more} more", more=len(wanted) - NAMED)] if len(wanted) > NAMED else []
    cost = "" if found.cost is None else f", about {phrases.money(found.cost)} together"
    months = f"For {found.months:g} month{'' if found.months == 1 else 's'}{cost}"
    return Headline(Tone.TO_DO, months, line("Buy {parts}.", parts=joined(", ", parts)), ())


def diagnosis_headline(found: Diagnosis, check_first: bool = False) -> Headline:
    """Say what is to blame, known or most likely, and the test that tells; check_first: the bath is measured before."""
    cause = found.causes[0] if found.causes else None
    if cause is None:
        return Headline(Tone.NOT_SETTLED, "No cause in the table fits", line("Look at the bath as a whole."), ())
    said = small(cause.in_short)
    matter = f"Known: {said}" if cause.known else f"Most likely: {said}, {percent(cause.probability)}"
    test = found.test.in_short if found.test else "Nothing needs to be tested"
    act = line("Check the bath, then {test}.", test=small(test)) if check_first else line("{test}.", test=test)
    return Headline(Tone.TO_DO if cause.known else Tone.NOT_SETTLED, matter, act, ())
