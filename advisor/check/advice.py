"""What the advisor answers about a bath: the result, for other programs and for a reader.

It arranges what was computed; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import ClassVar

from advisor.basis.components import COMPONENTS, KEYS, NAMES, SALT_AND_ACID, UNITS
from advisor.check.assessment import Assessment
from advisor.check.correction import Plan
from advisor.check.estimate import Estimate
from advisor.check.foreign import READS_AS_COPPER_SULFATE, SULFATE
from advisor.check.granted import Granted
from advisor.check.known import Value
from advisor.check.mass_balance import After
from advisor.check.next_reading import Suggestion
from advisor.check.slips import Slip
from advisor.check.steps import Step, step_dose
from advisor.check.ways import Way, acts_of, ways_section
from advisor.check.window import EVEN, Verdict
from advisor.words import phrases
from advisor.words.cautions import first_aid
from advisor.words.lines import Amount, Line, capital, joined, line, small
from advisor.words.sections import Block, Section, percent
from advisor.words.slips import SAID as SLIPS_SAID
from advisor.words.states import PlanState, sentence

COLD_MARGIN = 7.0  # degC: what a solubility known to 10-15 % comes to (computed)
MARGIN = Amount(COLD_MARGIN, "°C", is_change=True)


@dataclass(frozen=True)
class InShort:
    """What an answer comes to: what the bath holds and what to do, without all that is said beside."""

    known: Assessment
    plan: Plan
    steps: tuple[Step, ...]

    def said(self, which: str) -> Line:
        """Say it in a line. which: of which readings it is the answer."""
        known = [name for name, value in self.known.values.items() if value]
        holds = joined(", ", (line("{v} {n}", v=self.known.shown(name), n=NAMES[name]) for name in known))
        doses = joined("; ", (small(step_dose(step)) for step in self.steps))
        do = doses if self.steps else small(sentence(self.plan.state, has_steps=False))
        return line("{which}: {holds}. {do}", which=which, holds=holds or "nothing is settled", do=capital(do))


@dataclass(frozen=True)
class Advice:
    """All that the advisor has to say about a sheet.

    `plan.state` is what kind of answer it is (`words.states`), `state_line` says it in a sentence, `plan.why` what that
    rests on here; `steps` are empty where nothing may be done yet, and `plan.held_back` then is what would be.
    """

    known: Assessment
    volume_L: float  # at 20 degC
    plan: Plan
    steps: tuple[Step, ...]
    ways: tuple[Way, ...]  # that waste nothing, beside the steps
    # A sixth of the work, and not what a person waits for: done when `next_reading` is first asked for.
    ranked: Callable[[], tuple[Suggestion, ...]] = field(repr=False, compare=False)
    slips: tuple[Slip, ...]  # of the bench, that would explain the readings, likeliest first
    taken_for_granted: tuple[Granted, ...]  # because the sheet does not say it
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    sample: str | None  # how to take a sound sample, where what is seen in the tank makes every reading false
    to_the_middle: str | None = None  # what the middle would take, where the steps end near an edge
    before_buying: tuple[str, ...] = ()  # what to know before anything is bought for the steps
    room: Line | None = None  # why the person should say what the tank holds at most before any step
    without_odd: InShort | None = None  # the answer without the reading that fits none of the others

    TITLE: ClassVar[str] = "Bath check"

    @cached_property
    def next_reading(self) -> tuple[Suggestion, ...]:
        """What to measure next, the best first."""
        return self.ranked()

    @property
    def estimate(self) -> Estimate | None:
        """What the readings tell; None where there is none, or where none can be trusted."""
        return self.known.estimate

    @property
    def determined(self) -> tuple[str, ...]:
        """The components that are known well enough to be shown."""
        return self.known.determined

    @property
    def verdict(self) -> dict[str, Verdict]:
        """Where each component stands."""
        return self.known.verdict

    @property
    def crystallises_below(self) -> float | None:
        """The temperature [degC] below which crystals form."""
        return self.known.crystallises_below

    @property
    def state(self) -> PlanState:
        """Which kind of answer it is."""
        return self.plan.state

    @property
    def tells_how_surely(self) -> bool:
        """Tell whether to say how surely the steps end inside: not of water that is poured in to measure anew.

        Nor where crystals may lie on the floor, of which nobody can tell.
        """
        only_water = self.state is PlanState.FIRST_PART and {step.what for step in self.steps} == {"water"}
        to_measure = only_water and self.plan.after.probability_in < EVEN
        return bool(self.steps) and not to_measure and not self.plan.may_lie_on_the_floor

    @property
    def state_line(self) -> str:
        """What kind of answer it is, in a sentence."""
        return sentence(self.plan.state, bool(self.steps))

    @property
    def about_the_steps(self) -> tuple[str, ...]:
        """What kind of answer the steps are and what that rests on; not what is the matter before them."""
        if self.state is PlanState.TOO_COLD:
            return ()
        kind = () if self.state is PlanState.POSSIBLE else (self.state_line,)
        return (*kind, *self.plan.why)

    @property
    def values(self) -> dict[str, Value | None]:
        """Each component with its standard uncertainty; None where nothing determines it."""
        return self.known.values

    @property
    def first_of_all(self) -> Section:
        """What comes before all else; without lines where nothing does."""
        return Section("First of all", (self.sample,) if self.sample else self.before_buying, key=Block.FIRST)

    def sections(self) -> tuple[Section, ...]:
        """Return the advice for a reader: the result, what to do, what to measure next, then warnings and cautions."""
        first = self.first_of_all
        blocks = (
            first,
            Section("What the bath holds", self._result_lines(), key=Block.RESULT),
            Section("What to do, in this order", self._step_lines(), numbered=bool(self.steps), key=Block.STEPS),
            Section("The bath afterwards", self._ending_lines(), key=Block.AFTERWARDS),
            Section("Which slip would explain it", tuple(map(_slip_line, self.slips)), key=Block.SLIPS),
            Section("With the odd reading and without it", self._odd_lines(), key=Block.SIDE_BY_SIDE),
            ways_section(self.ways),
            Section("What to measure next", tuple(map(_next_line, self.next_reading)), key=Block.NEXT_READING),
            Section("What was taken for granted", tuple(map(_granted_line, self.taken_for_granted)), key=Block.GRANTED),
            Section("What you should know", tuple(text for text in self.warnings if text not in first.lines)),
            Section("Take care", tuple(text for text in self.cautions if text not in first.lines), caution=True),
            *first_aid(acts_of(self.steps, self.ways)),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        lines: list[str] = [self._component_line(name) for name in self.verdict]
        if self.estimate is not None:
            salts, spread = self.estimate.sum_of(SULFATE)
            reads, _ = self.estimate.sum_of(READS_AS_COPPER_SULFATE)
            lines.append(
                line(
                    "Foreign salts: {salts}, which a density reads as {reads} of copper sulfate; that is taken off",
                    salts=Amount(salts, "g/L", standard_uncertainty=spread),
                    reads=Amount(reads, "g/L"),
                )
            )
        if self.known.sum is not None and not set(SALT_AND_ACID) <= set(self.determined):
            both = Amount(self.known.sum.value, "g/L", standard_uncertainty=self.known.sum.standard_uncertainty)
            lines.append(line("Copper sulfate and acid together: {both}, by the density", both=both))
        if self.crystallises_below is not None:
            lines.append(crystals_form(self.crystallises_below))
        if self.steps and self.state is PlanState.TOO_COLD:
            lines += (self.state_line, *self.plan.why)
        if self.estimate is not None:
            lines.append(phrases.PLUS_MINUS)
        return tuple(lines)

    def _component_line(self, name: str) -> Line:
        """Say what there is of a component and where that stands."""
        shown, verdict = self.known.shown(name), self.verdict[name]
        window: str = "no limits in this window"
        if verdict.limits:
            low, high = verdict.limits
            window = line("window {limits}", limits=Amount(low, UNITS[name], digits=6, upper=high))
        return line(
            "{component}: {shown}{sure} ({window})",
            component=NAMES[name].capitalize(),
            shown=shown or "not measured",
            sure=f" – {_say(verdict)}" if shown else "",
            window=window,
        )

    def _step_lines(self) -> tuple[str, ...]:
        """Return the steps; where there is none, what kind of answer it is and what that rests on."""
        if self.steps:
            return tuple(line("{amount}. {how}", amount=step_dose(step), how=step.how) for step in self.steps)
        return (self.state_line, *self.plan.why, *self.in_the_way)

    @property
    def in_the_way(self) -> tuple[Line, ...]:
        """What stands in the way of any correction and what lifting it would take; empty where nothing does."""
        blocked = self.plan.blocked_by
        return (line("What stands in the way is {limit}.", limit=blocked),) if blocked else ()

    def _ending_lines(self) -> tuple[str, ...]:
        """Say what the steps lead to, and what kind of answer it is; nothing where there are none."""
        if not self.steps:
            return ()
        after = self.plan.after
        known = [name for name, verdict in self.verdict.items() if verdict.state != "not measured"]
        unknown = [NAMES[name] for name in SALT_AND_ACID if name not in known]
        besides = f"; nothing is known of the {' and '.join(unknown)}" if unknown else ""
        ends = line(
            "{volume} with {ends}{chance}{besides}.",
            volume=Amount(after.volume, "L", 2),
            ends=held(after, known),
            chance=f", {inside(after)}" if self.tells_how_surely else "",
            besides=besides,
        )
        nearer = (self.to_the_middle,) if self.to_the_middle else ()
        return (ends, *nearer, *self.about_the_steps)

    def _odd_lines(self) -> tuple[Line, ...]:
        """Say in two lines what the answer is with the odd reading and without it; nothing where none is odd."""
        odd = self.estimate.agreement.odd_one_out if self.estimate else None
        if odd is None or self.without_odd is None:
            return ()
        with_all = InShort(self.known, self.plan, self.steps)
        return with_all.said("With all readings"), self.without_odd.said(f"Without reading {odd + 1}")

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "estimate": self._estimate_dict(),
            "verdict": {name: _verdict_dict(self.verdict[name]) for name in COMPONENTS}
            | {
                "crystallises_below_degC": self.crystallises_below,
                "crystals": {"now": self.known.crystals_now, "coldest": self.known.crystals_coldest},
                "sum_g_L": self.known.sum._asdict() if self.known.sum else None,
                "sits_in": list(self.known.sits_in),
            },
            "correction": self._correction_dict(),
            "next_reading": [
                {
                    "kind": s.kind,
                    "question": s.question,
                    "repeat": s.repeats is not None,
                    "with": s.tool,
                    "why": s.why,
                    "gain": s.gain,
                }
                for s in self.next_reading
            ],
            "slips": [
                {
                    "reading": f"reading {slip.reading + 1}",
                    "slip": slip.name.value,
                    "estimate": {f"{name}_g_L": value for name, value in slip.values().items()},
                }
                for slip in self.slips
            ],
            "foreign_salts_g_L": self._salts_dict(),
            "ways": [{"way": way.title, "after": self._after_dict(way.after)} for way in self.ways],
            "taken_for_granted": [granted.to_dict() for granted in self.taken_for_granted],
            "warnings": list(self.warnings),
            "cautions": list(self.cautions),
        }

    def _salts_dict(self) -> dict[str, float] | None:
        if self.estimate is None:
            return None
        value, spread = self.estimate.sum_of(SULFATE)
        reads, _ = self.estimate.sum_of(READS_AS_COPPER_SULFATE)
        return {"value": value, "standard_uncertainty": spread, "reads_as_copper_sulfate_g_L": reads}

    def _estimate_dict(self) -> dict[str, object]:
        estimate = self.estimate
        both = estimate if set(SALT_AND_ACID) <= set(self.determined) else None
        agreement = estimate.agreement if estimate else None
        odd = agreement.odd_one_out if agreement else None
        return {
            **{KEYS[name]: None if value is None else value._asdict() for name, value in self.values.items()},
            "volume_L": self.volume_L,
            "correlation": both.correlation(*SALT_AND_ACID) if both else None,
            "determined": list(self.determined),
            "agreement": {
                "chi_squared": agreement.chi_squared if agreement else None,
                "degrees_of_freedom": agreement.degrees_of_freedom if agreement else 0,
                "p_value": agreement.p_value if agreement else None,
                "odd_one_out": None if odd is None else f"reading {odd + 1}",
            },
        }

    def _after_dict(self, after: After | None) -> dict[str, float | None] | None:
        """Return a bath afterwards; None where it stays as it is, and for what was not measured."""
        if after is None:
            return None
        values = {
            KEYS[name]: None if self.verdict[name].state == "not measured" else getattr(after, name)
            for name in COMPONENTS
        }
        return {"volume_L": after.volume, **values}

    def _correction_dict(self) -> dict[str, object]:
        known = any(verdict.state != "not measured" for verdict in self.verdict.values())
        return {
            "state": self.plan.state.value,
            "steps": [step.to_dict() for step in self.steps],
            "after": self._after_dict(self.plan.after),
            "probability_in": self.plan.after.probability_in if known else None,
            "cost": self.plan.cost,
            "waste_L": 0.0,  # what is taken out is stock for later
            "blocked_by": self.plan.blocked_by,
            "keep_above_degC": self.plan.warmth_asked,
            "binds": [
                {"limit": bind.limit, "lifting": bind.lifting, "probability_in": bind.probability_in}
                for bind in self.plan.binds
            ],
        }


def crystals_form(below: float) -> Line:
    """Say below which temperature [degC] crystals form."""
    cold = Amount(below, "°C")
    return line("Crystals form below about {cold} (give or take {margin})", cold=cold, margin=MARGIN)


def inside(after: After) -> str:
    """Say how surely a bath is inside the window."""
    return f"inside the window with {percent(after.probability_in)} probability"


def held(after: After, names: Sequence[str]) -> Line:
    """Say what a bath holds of these components."""
    return joined(
        ", ",
        (line("{held} {name}", held=Amount(getattr(after, name), UNITS[name]), name=NAMES[name]) for name in names),
    )


def _slip_line(slip: Slip) -> Line:
    """Say what a slip was, what the bath would then hold, and how to tell."""
    happened, tell = SLIPS_SAID[slip.name]
    then = (
        line("{value} of {name}", value=Amount(value, "g/L"), name=NAMES[name])
        for name, value in slip.values().items()
        if value is not None
    )
    return line(
        "Reading {number}: {happened}. The bath would then hold {then}. How to tell: {tell}.",
        number=slip.reading + 1,
        happened=happened,
        then=joined(" and ", then),
        tell=line(tell),
    )


def _next_line(wanted: Suggestion) -> str:
    if wanted.kind is None:
        return f"first {wanted.why}"
    return line("{kind}: {why} (about {minutes:.0f} min)", kind=wanted.kind, why=wanted.why, minutes=wanted.minutes)


def _granted_line(said: Granted) -> Line:
    return line("{what}: {value}. This changes {moves}.", what=capital(said.what), value=said.value, moves=said.moves)


def _say(verdict: Verdict) -> str:
    """Say a verdict in words, with its probability."""
    side, probability = verdict.likeliest()
    if verdict.state == "unsure":
        return f"not settled, {verdict.how_likely()} {phrases.SIDES[side]} ({percent(probability)})"
    return f"{phrases.SIDES[side]} ({percent(probability)})"


def _verdict_dict(verdict: Verdict) -> dict[str, object]:
    return {
        "state": verdict.state,
        "probability_low": verdict.probability_low,
        "probability_in": verdict.probability_in,
        "probability_high": verdict.probability_high,
        "limits": list(verdict.limits) if verdict.limits else None,
    }
