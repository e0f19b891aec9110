"""Faults of a deposit: from what it looks like, and from what is known of the bath, to causes, a test and a remedy.

The model is small enough to be worked by hand. One cause is taken to be the most to blame. Before anything is known all
causes stand alike; each look that was ticked multiplies the odds of a cause by its weight in `faults.csv`, or by
`ELSEWHERE` where that cause does not give this look, so that a cause of everything that is seen wins over one of a part
of it. Then each known fact multiplies the odds by a factor of `fault_causes.csv`: "acid low 6/0.12" is 6 if the acid is
low and 0.12 if it is not, and in between as probable as the estimate makes it, q · 6 + (1 − q) · 0.12. What nobody
knows multiplies by nothing.

Several can stand at once. What the readings or the run already show to be so (`SETTLED`) stands by itself, with the
probability that it is so: it is put right first whatever else there is. The odds of the other causes, and of one that
is not in the table (`UNLISTED` for one of the looks, `ELSEWHERE` for the others), are scaled to a sum of one:
they share what is left to blame.

That is naive Bayes: facts are taken as independent, which overstates how sure it is where two of them say the same.
Weights and factors are judgement; the order of the weights follows published fault tables where they have one. Read the
result as an order in which to look, not as a measurement. It computes no amounts: what to add is said by `advise`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

from scipy.special import ndtr

from advisor.basis import tables
from advisor.basis.components import COMPONENTS, NAMES, UNITS
from advisor.basis.fields import InputError
from advisor.check.assessment import Assessment, assess
from advisor.questions.limit import LEAST, SMOOTH, TREES, limit_of, share_of
from advisor.questions.plating import ANODE_PASSIVE, about_anode_current, anode_area_for, out_of_window
from advisor.sheet import PLACES, SINCE, Bath, Deposit, Sheet
from advisor.words import phrases
from advisor.words.cautions import Act, cautions, take_care
from advisor.words.lines import Amount, Line, capital, joined, line, small
from advisor.words.sections import Section, percent

ELSEWHERE = 0.02  # weight of a cause for a look that it is not known to give (judgement)
UNLISTED = 0.05  # weight of a cause that is not in the table (judgement)
SHOWN = 0.01  # causes less probable are left out (judgement)
SAID = 4  # causes that are put into words (judgement)
TELLING = 1.15  # a factor on the odds that is worth a sentence (judgement)
DULL_BELOW = 0.5  # A/dm2, down to which a sound bath with additives shines (judgement)

# About where a fact begins to be so, and over how much it comes about (judgement).
COLD, WARM, DEGREES = 17.0, 31.0, 2.0  # degC
NEAR_SATURATION = 5.0  # degC
FALLEN, FALLEN_OVER = 0.05, 0.02  # of the usual level
OLD = 24.0  # months
MUCH_PLATED = 20.0  # A h a litre
MUCH_METAL = 1.0  # g/L
SMALL_ANODES, SMALL_OVER = 1.0, 0.3  # times the part; the latter as a logarithm, like those below
THICK = 0.3  # mm
BURNS_OVER, USUALLY_OVER = 0.4, 0.5

SETTLED = 0.05  # a fact this certain, either way, needs no test any more (judgement)
SURELY_NORMAL = 0.9  # probability above which a deposit that is as it should be needs no test (judgement)
JAR_TELLS = 0.25  # share of causes in the liquid's organic part from which a jar test of two hours pays (judgement)
HARDLY_LESS = 0.995  # the most that is said of what is known: never a certainty (judgement)
NORMAL = "normal without additives"
JAR_TEST = "jar test"
_WORD = {"copper_sulfate": "copper", "sulfuric_acid": "acid", "chloride": "chloride"}  # as causes and facts name them
MEND_FIRST = (
    "Put right what is known already, then plate a strip: if it comes out well, nothing else was wrong; if not, come "
    "back with what you see then."
)
ACTS = (
    Act.ONE_CHANGE,
    Act.ADDING_BLINDLY,
    Act.REACHING_IN,
    Act.PLATING_CURRENT,
    Act.HANDLING_BATH,
    Act.COPPER_WASTE,
)
# What the test or the remedy of a cause is for the hands, beside what every fault is.
CAUSE_ACTS: dict[str, tuple[Act, ...]] = {
    "acid low": (Act.SULFURIC_ACID, Act.POURING_ACID),
    "copper high": (Act.SULFURIC_ACID, Act.POURING_ACID, Act.WITHDRAWN_BATH),
    "acid high": (Act.SODA_IN_THE_BATH,),
    "chloride low": (Act.SILVER_NITRATE, Act.SILVER_AND_AMMONIA, Act.CHLORIDE_NEAR_BLEACH),
    "chloride high": (Act.SILVER_NITRATE, Act.SILVER_AND_AMMONIA, Act.REPLACED_BATH),
    "tap water": (Act.SULFURIC_ACID, Act.POURING_ACID, Act.SILVER_NITRATE, Act.SILVER_AND_AMMONIA, Act.REPLACED_BATH),
    "organic dirt": (Act.WEIGHING_POWDERS, Act.REPLACED_BATH),
    "additive overdosed": (Act.WEIGHING_POWDERS,),
    "detergent or oil": (Act.WEIGHING_POWDERS,),
    "unsealed object": (Act.WEIGHING_POWDERS,),
    "dissolved metal": (Act.REPLACED_BATH,),
}


@dataclass(frozen=True)
class Fact:
    """Something known of the bath or the deposit: how probable it is that it is so, and what to say of it."""

    probability: float
    text: str


Factors = list[tuple[float, str]]  # that facts have on the odds of a cause, with what each fact says


@dataclass(frozen=True)
class NextTest:
    """A test in a sentence, and in short: what to do for it. of: the cause that it is for, or JAR_TEST."""

    says: str
    in_short: str
    of: str = ""


@dataclass(frozen=True)
class Cause:
    """A cause, how probable it is, what speaks for and against it, how to find out, and what to do.

    known: the readings or the run show that it is so; its probability is that, not a share of the blame.
    """

    name: str
    in_short: str
    says: str
    probability: float
    evidence_for: tuple[str, ...]
    evidence_against: tuple[str, ...]
    test: NextTest
    minutes: float
    settled_by: str  # the fact that makes the test needless
    remedy: str
    basis: tuple[str, ...]  # where its links to the looks come from
    known: bool = False

    def to_dict(self) -> dict[str, object]:
        return {
            "cause": self.name,
            "says": self.says,
            "probability": self.probability,
            "known": self.known,
            "for": list(self.evidence_for),
            "against": list(self.evidence_against),
            "remedy": self.remedy,
            "test": self.test.says,
            "test_minutes": self.minutes,
            "basis": list(self.basis),
        }


@dataclass(frozen=True)
class Diagnosis:
    """Causes, what is known to be so first, then the most probable, and what tells the first two of these apart."""

    looks: tuple[str, ...]
    causes: tuple[Cause, ...]
    unlisted: float  # probability of a cause that is not in the table, or too improbable to be shown
    first_checks: tuple[str, ...]
    test: NextTest | None
    warnings: tuple[str, ...] = ()

    TITLE: ClassVar[str] = "Deposit faults"

    @property
    def acts(self) -> tuple[Act, ...]:
        """What the tests and remedies are for the hands."""
        return (*ACTS, *(act for cause in self.causes for act in CAUSE_ACTS.get(cause.name, ())))

    @property
    def next_test(self) -> str | None:
        """The test that decides; None where none is due."""
        return self.test.says if self.test else None

    @property
    def tested(self) -> str:
        """The cause that the next test is for, or JAR_TEST; empty where there is no test."""
        return self.test.of if self.test else ""

    @property
    def open_causes(self) -> tuple[Cause, ...]:
        """The causes of which nobody knows yet whether they are so."""
        return tuple(cause for cause in self.causes if not cause.known)

    @property
    def shown(self) -> tuple[Cause, ...]:
        """The causes that the answer names: those that are known to be so, and the likeliest of the others."""
        return (*(cause for cause in self.causes if cause.known), *self.open_causes[:SAID])

    @property
    def normal(self) -> bool:
        """Tell whether the deposit is most probably as it should be, for a bath without additives."""
        return bool(self.open_causes) and self.open_causes[0].name == NORMAL

    def sections(self) -> tuple[Section, ...]:
        """Return the diagnosis for a reader: most probable causes, free checks, the test, remedies, cautions."""
        known = tuple(cause for cause in self.causes if cause.known)
        looks = ", ".join(self.looks)
        blocks = (
            Section(f"Known already, so put it right first ({looks})", tuple(map(cause_line, known))),
            Section(
                f"What else it may be ({looks})" if known else f"Most likely causes ({looks})",
                tuple(map(cause_line, self.open_causes[:SAID])),
            ),
            Section("First, what costs nothing", self.first_checks, numbered=True),
            Section("The test that decides", (self.next_test,) if self.next_test else ()),
            Section("What to do if that is the cause", tuple(map(_remedy_line, self.shown))),
            Section("What you should know", (*self.warnings, self._honesty())),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _honesty(self) -> str:
        left = 1.0 - sum(cause.probability for cause in self.open_causes[:SAID])
        return (
            f"The percentages are judgement and say where to look first; {100 * left:.0f} % is left for causes not "
            "named here. The more of the bath is measured, the sharper they get."
        )

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result."""
        return {
            "causes": [cause.to_dict() for cause in self.causes],
            "next_test": self.next_test,
            "normal": self.normal,
            "unlisted_probability": self.unlisted,
            "first_checks": list(self.first_checks),
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }


def diagnose(sheet: Sheet) -> Diagnosis:
    """Weigh the causes of what the sheet's table `[deposit]` shows. Raises InputError where nothing was ticked."""
    if sheet.deposit is None or not sheet.deposit.looks:
        raise InputError.missing("deposit: looks", "choose at least one thing that you see, such as dull")
    looks = tuple(dict.fromkeys(sheet.deposit.looks))
    assessment = assess(sheet)
    known = facts(sheet, assessment)
    odds, said = odds_of(looks, known)
    causes = _known_causes(odds, said, looks, known)
    standing = {cause.name for cause in causes}
    open_odds = {name: value for name, value in odds.items() if name not in standing}
    total = sum(open_odds.values()) + UNLISTED * ELSEWHERE ** (len(looks) - 1)
    ranked = sorted(open_odds, key=lambda name: -open_odds[name])
    shown = [name for name in ranked if open_odds[name] / total >= SHOWN]
    others = tuple(_cause(name, open_odds[name] / total, said[name], looks) for name in shown)
    unlisted = max(1.0 - sum(cause.probability for cause in others), 0.0)
    checks, test = _first_checks(sheet, known), next_test(causes + others, looks, known)
    return Diagnosis(looks, causes + others, unlisted, checks, test, _warnings(sheet, assessment, causes))


def _known_causes(
    odds: dict[str, float], said: dict[str, Factors], looks: tuple[str, ...], known: dict[str, Fact]
) -> tuple[Cause, ...]:
    """Return the causes that are known to be so, the surest first."""
    settled = {row["cause"]: known.get(row["settled_by"]) for row in tables.rows("fault_causes")}
    sure = {name: fact.probability for name in odds if (fact := settled[name]) and fact.probability >= 1.0 - SETTLED}
    return tuple(
        replace(_cause(name, min(sure[name], HARDLY_LESS), said[name], looks), known=True)
        for name in sorted(sure, key=lambda name: (-sure[name], -odds[name]))
    )


def _warnings(sheet: Sheet, assessment: Assessment, known: tuple[Cause, ...]) -> tuple[str, ...]:
    """Name what is put right first, whether or not it gives these looks, and overloaded anodes."""
    first = [
        f"Already known: {small(cause.says)}. Put it right, plate a strip, and only then look further."
        for cause in known
    ]
    there = {cause.name for cause in known}
    for name, text in out_of_window(assessment).items():
        if f"{_WORD[name]} {assessment.verdict[name].state}" not in there:
            first.append(text)
    run = sheet.plate
    if run and run.current and run.anode_area and sheet.bath.anodes != "inert":
        least, _ = anode_area_for(run.current.value, run.area.value)
        first += about_anode_current(run.current.value, run.anode_area.value, least)
    return tuple(first)


# --- The model ------------------------------------------------------------------------------------


def odds_of(looks: tuple[str, ...], known: dict[str, Fact]) -> tuple[dict[str, float], dict[str, Factors]]:
    """Return the odds of each cause that gives one of these looks, and the factors on them."""
    weights = {(row["look"], row["cause"]): float(row["weight"]) for row in tables.rows("faults")}
    odds: dict[str, float] = {}
    said: dict[str, Factors] = {}
    for row in tables.rows("fault_causes"):
        name = row["cause"]
        if not any((look, name) in weights for look in looks):
            continue
        said[name] = [
            (fact.probability * if_so + (1.0 - fact.probability) * if_not, fact.text)
            for fact_name, (if_so, if_not) in evidence(row["evidence"]).items()
            if (fact := known.get(fact_name)) is not None
        ]
        by_looks = math.prod(weights.get((look, name), ELSEWHERE) for look in looks)
        odds[name] = by_looks * math.prod(factor for factor, _ in said[name])
    return odds, said


def evidence(text: str) -> dict[str, tuple[float, float]]:
    """Read "acid low 6/0.12; gradual 1.3" into {fact: (factor if so, factor if not)}; without a second factor 1."""
    found = {}
    for part in text.split("; "):
        name, _, factors = part.rpartition(" ")
        if_so, _, if_not = factors.partition("/")
        found[name] = (float(if_so), float(if_not or 1.0))
    return found


def next_test(causes: tuple[Cause, ...], looks: tuple[str, ...], known: dict[str, Fact]) -> NextTest | None:
    """Return the quickest test that tells the first two open causes apart; None where none is due.

    What is known to be wrong is put right before any test. A deposit that is as it should be needs none. For
    a dull one it is the jar test, until that is done, where additives or dirt are likely enough for its two hours.
    """
    if any(cause.known for cause in causes):
        return NextTest(MEND_FIRST, "Put right what is known already, then plate a strip")
    if not causes or (causes[0].name == NORMAL and causes[0].probability >= SURELY_NORMAL):
        return None
    if "dull" in looks and "half-and-half jar good" not in known and _jar_pays(causes):
        return NextTest(phrases.JAR_TEST, phrases.JAR_TEST_IN_SHORT, JAR_TEST)
    if len(causes) < 2:
        return replace(causes[0].test, says=line("{test}.", test=causes[0].test.says))
    chosen, other = sorted(causes[:2], key=lambda cause: cause.minutes)
    said = line(
        "{test} (about {minutes:g} min). If not, it is more likely this: {other}.",
        test=chosen.test.says,
        minutes=chosen.minutes,
        other=small(other.says),
    )
    return replace(chosen.test, says=said)


def _jar_pays(causes: tuple[Cause, ...]) -> bool:
    """Tell whether the causes that a jar of half old, half fresh bath speaks for or against are likely enough."""
    rows = tables.rows("fault_causes")
    told = {row["cause"] for row in rows if "half-and-half jar good" in evidence(row["evidence"])}
    return sum(cause.probability for cause in causes if cause.name in told) >= JAR_TELLS


# --- What is known --------------------------------------------------------------------------------


def facts(sheet: Sheet, assessment: Assessment) -> dict[str, Fact]:
    """Return by name what is known of bath, run and deposit; what nobody said is not in it."""
    return {
        **_measured(assessment),
        **_about_bath(sheet, assessment),
        **_about_treatment(sheet),
        **_about_run(sheet, assessment),
        **_about_panel(sheet, assessment),
        **(_about_deposit(sheet.deposit) if sheet.deposit else {}),
    }


def _measured(assessment: Assessment) -> dict[str, Fact]:
    """Concentrations against the window, as probable as the verdict says."""
    known = {}
    for component in COMPONENTS:
        verdict = assessment.verdict[component]
        if verdict.probability_low is None or verdict.probability_high is None or verdict.limits is None:
            continue
        value = assessment.values[component]
        shown = line(" ({value})", value=Amount(value.value, UNITS[component])) if value else ""
        for side, probability in (("low", verdict.probability_low), ("high", verdict.probability_high)):
            where = "below" if side == "low" else "above"
            text = line(
                "{component}{shown}: {where} the window with {percent} probability",
                component=capital(NAMES[component]),
                shown=shown,
                where=where,
                percent=percent(probability),
            )
            known[f"{_WORD[component]} {side}"] = Fact(probability, text)
    return known


def _about_bath(sheet: Sheet, assessment: Assessment) -> dict[str, Fact]:
    bath = sheet.bath
    known = {seen: Fact(1.0, f"You see in the tank: {seen}") for seen in bath.condition} | _about_warmth(bath)
    if bath.additives is not None:
        known["additives"] = Fact(float(bath.additives), f"The bath has {'' if bath.additives else 'no '}additives")
    return (
        known | _about_age(bath) | _about_level(bath) | _about_other_salts(sheet) | _about_saturation(bath, assessment)
    )


def _about_warmth(bath: Bath) -> dict[str, Fact]:
    """Whether it is cold or warm; nothing where nobody held a thermometer in."""
    if not bath.was_given("temperature"):
        return {}
    warmth = bath.temperature.value
    at = line("The bath is at {warmth}", warmth=Amount(warmth, "°C"))
    cold, warm = float(ndtr((COLD - warmth) / DEGREES)), float(ndtr((warmth - WARM) / DEGREES))
    return {"cold": Fact(cold, at), "warm": Fact(warm, at)}


def _about_age(bath: Bath) -> dict[str, Fact]:
    """Its months, and how much was plated from it."""
    known = {"old bath": Fact(_beyond(bath.months, OLD), f"The bath is {bath.months:.0f} months old")}
    if bath.throughput is not None and bath.volume_known:
        each = bath.throughput.value / bath.volume.value
        text = line("{each} was plated from each litre", each=Amount(each, "A·h"))
        known["much plated"] = Fact(_beyond(each, MUCH_PLATED), text)
    return known


def _about_level(bath: Bath) -> dict[str, Fact]:
    if bath.usual_volume is None or not bath.volume_known:
        return {}
    fallen = 1.0 - bath.volume.value / bath.usual_L
    text = line(f"The level stands {100 * abs(fallen):.0f} % {'below' if fallen >= 0 else 'above'} the usual one")
    return {"level fallen": Fact(float(ndtr((fallen - FALLEN) / FALLEN_OVER)), text)}


def _about_other_salts(sheet: Sheet) -> dict[str, Fact]:
    """What came in besides copper sulfate and acid: foreign metals, and the salts of tap water."""
    known, bath = {}, sheet.bath
    metals = {name: getattr(bath, name).value for name in ("iron", "zinc", "nickel") if getattr(bath, name)}
    if metals:
        shown = joined(
            ", ",
            (line("{name} {held}", name=name, held=Amount(held, "g/L", digits=6)) for name, held in metals.items()),
        )
        known["foreign metal"] = Fact(
            _beyond(sum(metals.values()), MUCH_METAL), line("Foreign metal: {shown}", shown=shown)
        )
    if water := sheet.stock.water:
        hard = water.alkalinity.value > 0 or water.chloride.value > 0
        known["tap water"] = Fact(float(hard), f"Your water is {'not ' if hard else ''}distilled")
    return known


def _about_saturation(bath: Bath, assessment: Assessment) -> dict[str, Fact]:
    """How near the coldest hour comes to where crystals form."""
    if assessment.crystallises_below is None:
        return {}
    coldest, below = bath.coldest_degC, assessment.crystallises_below
    text = line(
        "Crystals form below about {below}, and the bath gets down to {coldest}",
        below=Amount(below, "°C"),
        coldest=Amount(coldest, "°C"),
    )
    return {"near saturation": Fact(float(ndtr((below - coldest) / NEAR_SATURATION)), text)}


def _about_treatment(sheet: Sheet) -> dict[str, Fact]:
    known: dict[str, Fact] = {}
    if keep := sheet.keep:
        if keep.carbon_treated > 0:
            known["carbon treated"] = Fact(1.0, f"Carbon treatments so far: {keep.carbon_treated:.0f}")
        if keep.mixed_jar != "not done":
            good = float(keep.mixed_jar == "good")
            known["half-and-half jar good"] = Fact(good, f"A jar of half old, half fresh bath plates {keep.mixed_jar}")
    return known


def _about_run(sheet: Sheet, assessment: Assessment) -> dict[str, Fact]:
    """Current density against the limiting one, anodes, stirring and thickness, as far as `[plate]` gives them."""
    run = sheet.plate
    if run is None:
        return {}
    known = {"still bath": Fact(float(run.stirring == "still"), f"Stirring: {run.stirring}")}
    limit = limit_of(sheet, assessment, run)
    if run.current is not None:
        density = run.current.value / run.area.value
        of = "the limiting one" if limit.measured else "that of a lean bath (your copper is not settled)"
        text = line(
            "The current density is {density}, {share} {of}",
            density=Amount(density, "A/dm²", digits=2),
            share=share_of(density / limit.value),
            of=of,
        )
        known["current high"] = Fact(limit.probability_above(SMOOTH[1], density), text)
        known["current low"] = Fact(1.0 - limit.probability_above(LEAST, density), text)
    if run.anode_area is not None:
        ratio = run.anode_area.value / run.area.value
        text = line(f"The anodes are {ratio:.2g} times as large as the part")
        known["anodes small"] = Fact(1.0 - _beyond(ratio, SMALL_ANODES, SMALL_OVER), text)
        if run.current is not None:
            each = run.current.value / run.anode_area.value
            text = line("The anodes carry {each}", each=Amount(each, "A/dm²", digits=2))
            known["anode current high"] = Fact(_beyond(each, ANODE_PASSIVE), text)
    if run.thickness is not None:
        thick = run.thickness.value
        text = line("The copper is {thick} thick", thick=Amount(1000 * thick, "µm"))
        known["thick build"] = Fact(_beyond(thick, THICK), text)
    return known


def _about_panel(sheet: Sheet, assessment: Assessment) -> dict[str, Fact]:
    """What a Hull cell panel shows of the bath itself, whatever the part, its contacts and its anodes do."""
    if sheet.hull_cell is None:
        return {}
    panel = sheet.hull_cell.panel()
    limit = limit_of(sheet, assessment, sheet.hull_cell).value
    low, high = panel.plates_well
    text = line("Your panel plates well from {range}", range=Amount(low, "A/dm²", 2, upper=high))
    early = panel.burns_from is not None
    known = {
        "panel burns early": Fact(1.0 - _beyond(high, TREES * limit, BURNS_OVER) if early else 0.0, text),
        "panel dull": Fact(_beyond(low, DULL_BELOW) if panel.bright_down_to is not None else 0.0, text),
        "panel bare": Fact(float(panel.bare_below is not None), text),
    }
    if panel.bright_down_to is None and not sheet.bath.additives:
        known.pop("panel dull")  # a bath without additives never shines
    return known


def _about_deposit(deposit: Deposit) -> dict[str, Fact]:
    known: dict[str, Fact] = {}
    if deposit.since is not None:
        said = {"sudden": "It came suddenly", "gradual": "It came gradually", "always": "It has always been so"}
        known |= {since: Fact(float(since == deposit.since), said[deposit.since]) for since in SINCE}
    if deposit.where is not None:
        known |= {place: Fact(float(place == deposit.where), f"You see it: {deposit.where}") for place in PLACES}
    return known


def _beyond(value: float, middle: float, spread: float = USUALLY_OVER) -> float:
    """Return how surely a positive value counts as more than about `middle`; spread in natural logarithms."""
    return float(ndtr(math.log(max(value, 1e-9) / middle) / spread))


# --- What is said ---------------------------------------------------------------------------------


def _cause(name: str, probability: float, said: Factors, looks: tuple[str, ...]) -> Cause:
    row = next(row for row in tables.rows("fault_causes") if row["cause"] == name)
    links = [link for link in tables.rows("faults") if link["cause"] == name and link["look"] in looks]
    return Cause(
        name=name,
        in_short=row["says"],
        says=_more("{} ({})", row["says"], row["namely"]),
        probability=probability,
        evidence_for=tuple(dict.fromkeys(text for factor, text in said if factor >= TELLING)),
        evidence_against=tuple(dict.fromkeys(text for factor, text in said if factor <= 1.0 / TELLING)),
        test=NextTest(line(_more("{}: {}", row["test"], row["tells"])), line(row["test"]), name),
        minutes=float(row["minutes"]),
        settled_by=row["settled_by"],
        remedy=line(row["remedy"]),
        basis=tuple(f"{link['look']}: {_basis(link['status'], link['source'])}" for link in links),
    )


def _more(both: str, said: str, more: str) -> str:
    return both.format(said, more) if more else said


def _basis(status: str, key: str) -> str:
    return f"published, {tables.source('faults').keys[key]}" if status == "published" else status


def cause_line(cause: Cause) -> Line:
    """Say how probable a cause is, and what speaks for and against it."""
    how_sure = f"so with {percent(cause.probability)} probability" if cause.known else percent(cause.probability)
    parts = [f"{cause.says}: {how_sure}."]
    if cause.evidence_for:
        parts.append(line("For it: {evidence}.", evidence=joined("; ", cause.evidence_for)))
    if cause.evidence_against:
        parts.append(line("Against it: {evidence}.", evidence=joined("; ", cause.evidence_against)))
    return joined(" ", parts)


def _remedy_line(cause: Cause) -> Line:
    return line("{name}: {remedy}", name=capital(cause.name), remedy=cause.remedy)


def _first_checks(sheet: Sheet, known: dict[str, Fact]) -> tuple[str, ...]:
    """Return what to look at before anything is bought or added, with what is known of it."""
    current = known.get("current high")
    warmth = line("{now} now", now=Amount(sheet.bath.temperature.value, "°C"))
    stirring = f" Now: {sheet.plate.stirring}." if sheet.plate else ""
    return (
        "Contacts: with the current on, feel and move every clip and wire with dry hands, clear of the liquid; a "
        "warm or loose one is a fault.",
        line("Current: {now}; 0.3 to 0.5 of it plates smoothly.", now=small(current.text))
        if current
        else "Current: work out the current density (Plating run); halve it for one strip and compare.",
        line(
            "Temperature: {warmth}; {21 to 32 °C} plates best (from memory).",
            warmth=warmth if sheet.bath.was_given("temperature") else "hold a thermometer in",
        ),
        f"Stirring: move the part or the bath gently for one strip and compare.{stirring}",
        "Filter: let a jar of bath settle overnight and hold it against a lamp; filter if anything floats or settles.",
    )
