"""What the advisor answers about a bath: the result, for other programs and for a reader.

It arranges what was computed; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from advisor.basis.components import COMPONENTS, KEYS, NAMES, SALT_AND_ACID, UNITS
from advisor.check.assessment import shown_of
from advisor.check.correction import Plan
from advisor.check.estimate import Estimate
from advisor.check.foreign import READS_AS_COPPER_SULFATE, SULFATE
from advisor.check.known import Value
from advisor.check.mass_balance import After
from advisor.check.next_reading import Suggestion
from advisor.check.steps import Step, step_dose
from advisor.check.ways import Way, acts_of, ways_section
from advisor.check.window import Verdict
from advisor.words import phrases
from advisor.words.cautions import first_aid
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import Block, Section, percent

STATE_WORDS = {"not measured": "not measured", "unsure": "not settled by the readings"}
COLD_MARGIN = 7.0  # degC: what a solubility known to 10-15 % comes to (computed)
MARGIN = Amount(COLD_MARGIN, "°C", is_change=True)


@dataclass(frozen=True)
class Advice:
    """All that the advisor has to say about a sheet."""

    estimate: Estimate | None
    determined: tuple[str, ...]  # the components known well enough to be shown
    volume_L: float  # at 20 degC
    verdict: dict[str, Verdict]
    crystallises_below: float | None  # degC
    plan: Plan
    steps: tuple[Step, ...]
    ways: tuple[Way, ...]  # that waste nothing, beside the steps
    next_reading: tuple[Suggestion, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    unsound: bool  # what is seen in the tank makes every reading false until a sound sample is taken
    to_the_middle: str | None = None  # what the middle would take, where the steps end near an edge

    TITLE: ClassVar[str] = "Bath check"

    @property
    def values(self) -> dict[str, Value | None]:
        """Each component with its standard uncertainty; None where nothing determines it."""
        return shown_of(self.estimate, self.determined)

    def sections(self) -> tuple[Section, ...]:
        """Return the advice for a reader: the result, what to do, what to measure next, then warnings and cautions."""
        first = (phrases.SOUND_SAMPLE,) if self.unsound else ()
        blocks = (
            Section("First of all", first, key=Block.FIRST),
            Section("What the bath holds", self._result_lines(), key=Block.RESULT),
            Section("What to do, in this order", self._step_lines(), numbered=bool(self.steps), key=Block.STEPS),
            Section("The bath afterwards", self._ending_lines(), key=Block.AFTERWARDS),
            ways_section(self.ways),
            Section(
                "What to measure next",
                tuple(
                    line("{kind}: {why} (about {minutes:.0f} min)", kind=s.kind, why=s.why, minutes=s.minutes)
                    if s.kind
                    else f"first {s.why}"
                    for s in self.next_reading
                ),
                key=Block.NEXT_READING,
            ),
            Section("What you should know", tuple(text for text in self.warnings if text not in first)),
            Section("Take care", tuple(text for text in self.cautions if text not in first), caution=True),
            *first_aid(acts_of(self.steps, self.ways)),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        lines: list[str] = []
        for name, verdict in self.verdict.items():
            value, judged = self.values[name], self.verdict[name]
            shown = (
                Amount(value.value, UNITS[name], standard_uncertainty=value.standard_uncertainty)
                if value
                else STATE_WORDS.get(judged.state, judged.state)
            )
            window: str = "no limits in this window"
            if judged.limits:
                low, high = judged.limits
                window = line("window {limits}", limits=Amount(low, UNITS[name], digits=6, upper=high))
            sure = "" if value is None or verdict.probability_in is None else f" – {_say(verdict)}"
            component = NAMES[name].capitalize()
            lines.append(
                line(
                    "{component}: {shown}{sure} ({window})", component=component, shown=shown, sure=sure, window=window
                )
            )
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
        if self.crystallises_below is not None:
            lines.append(crystals_form(self.crystallises_below))
        if self.estimate is not None:
            lines.append(phrases.PLUS_MINUS)
        return tuple(lines)

    def _step_lines(self) -> tuple[str, ...]:
        if self.plan.state == "none needed":
            return ("Nothing: the bath is inside the window and the level is right.",)
        if self.plan.blocked_by:
            why = "Add nothing: it cannot be put right as things stand. What stands in the way: {limit}."
            return (line(why, limit=self.plan.blocked_by),)
        if not self.steps:
            then = " Take the reading named below first." if self.next_reading else ""
            return (f"Add nothing yet: the readings do not say enough.{then}",)
        return tuple(line("{amount}. {how}", amount=step_dose(step), how=step.how) for step in self.steps)

    def _ending_lines(self) -> tuple[str, ...]:
        """Say what the steps lead to; nothing where there are none."""
        if not self.steps:
            return ()
        after = self.plan.after
        known = [name for name, verdict in self.verdict.items() if verdict.state != "not measured"]
        ends = held(after, known)
        unknown = [NAMES[name] for name in SALT_AND_ACID if name not in known]
        besides = f"; nothing is known of the {' and '.join(unknown)}" if unknown else ""
        chance = f"inside the window with {percent(after.probability_in)} probability"
        lines: list[str] = [
            line(
                "{volume} with {ends}, {chance}{besides}.",
                volume=Amount(after.volume, "L", 2),
                ends=ends,
                chance=chance,
                besides=besides,
            )
        ]
        if self.to_the_middle:
            lines.append(self.to_the_middle)
        if self.plan.state == "first part":
            lines.append("This is only a first part: measure again before you add more.")
        return tuple(lines)

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "estimate": self._estimate_dict(),
            "verdict": {name: _verdict_dict(self.verdict[name]) for name in COMPONENTS}
            | {"crystallises_below_degC": self.crystallises_below},
            "correction": self._correction_dict(),
            "next_reading": [
                {"kind": s.kind, "question": s.question, "why": s.why, "gain": s.gain} for s in self.next_reading
            ],
            "foreign_salts_g_L": self._salts_dict(),
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
        found = self.estimate
        both = found is not None and {"copper_sulfate", "sulfuric_acid"} <= set(self.determined)
        agreement = found.agreement if found else None
        odd = agreement.odd_one_out if agreement else None
        return {
            **{KEYS[name]: None if value is None else value._asdict() for name, value in self.values.items()},
            "volume_L": self.volume_L,
            "correlation": found.correlation("copper_sulfate", "sulfuric_acid") if found and both else None,
            "determined": list(self.determined),
            "agreement": {
                "chi_squared": agreement.chi_squared if agreement else None,
                "degrees_of_freedom": agreement.degrees_of_freedom if agreement else 0,
                "p_value": agreement.p_value if agreement else None,
                "odd_one_out": None if odd is None else f"reading {odd + 1}",
            },
        }

    def _correction_dict(self) -> dict[str, object]:
        after = self.plan.after
        known = {name: self.verdict[name].state != "not measured" for name in COMPONENTS}
        return {
            "state": self.plan.state,
            "steps": [{"do": step.do, "what": step.what, **step.numbers} for step in self.steps],
            "after": {
                "volume_L": after.volume,
                "copper_sulfate_g_L": after.copper_sulfate if known["copper_sulfate"] else None,
                "sulfuric_acid_g_L": after.sulfuric_acid if known["sulfuric_acid"] else None,
                "chloride_mg_L": after.chloride if known["chloride"] else None,
            },
            "probability_in": after.probability_in if any(known.values()) else None,
            "cost": self.plan.cost,
            "waste_L": 0.0,  # what is taken out is stock for later
            "blocked_by": self.plan.blocked_by,
        }


def crystals_form(below: float) -> Line:
    """Say below which temperature [degC] crystals form."""
    cold = Amount(below, "°C")
    return line("Crystals form below about {cold} (give or take {margin})", cold=cold, margin=MARGIN)


def held(after: After, names: Sequence[str]) -> Line:
    """Say what a bath holds of these components."""
    return joined(
        ", ",
        (line("{held} {name}", held=Amount(getattr(after, name), UNITS[name]), name=NAMES[name]) for name in names),
    )


def _say(verdict: Verdict) -> str:
    """Say a verdict in words, with its probability."""
    side, probability = verdict.likeliest()
    if verdict.state == "unsure":
        return f"not settled, most likely {phrases.SIDES[side]} ({percent(probability)})"
    return f"{phrases.SIDES[side]} ({percent(probability)})"


def _verdict_dict(verdict: Verdict) -> dict[str, object]:
    return {
        "state": verdict.state,
        "probability_low": verdict.probability_low,
        "probability_in": verdict.probability_in,
        "probability_high": verdict.probability_high,
        "limits": list(verdict.limits) if verdict.limits else None,
    }
