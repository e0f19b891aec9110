"""The plan of a test: what it holds, and which of those that the gear allows is the one to do.

For each kind of reading a small grid of what the person's gear allows is tried, and the plan that tells the bath most
surely is chosen; where two are nearly alike, the one that takes less bath. How surely, is worked out by `predicted` for
the expected bath. Limits hold for the strongest bath that is likely, not only for the expected one: the titrant does
not run out, and there is never more copper than murexide bears. The plans are made in `titration_plans` and
`other_plans`; `gear` knows what the tools measure; the steps are the business of `cards`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from advisor.bench.gear import Measure, TitrantRecipe
from advisor.readings.colour_match import Standard

SAMPLES_mL = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)  # judgement
SMALL_BIAS = 0.05  # of the acid; an end point further off is taken only where nothing better is to be had (judgement)
ALIKE = 1.10  # standard uncertainties within a tenth are as good as each other (judgement)


class NoPlan(ValueError):
    """Nothing that the gear allows would tell anything; the message says what is missing."""


@dataclass(frozen=True)
class TitrationPlan:
    """A titration to do. fields: the reading as it will stand in the sheet, with what it is expected to show.

    used: titrant expected; most_mL: that of the strongest bath that is likely. bias: what the end point is off, as a
    share of the titrant that the component takes; the reading's model corrects for it. standard_uncertainty: of the
    component [g/L; chloride mg/L]. copper_mg: in the flask, for the strongest bath that is likely.
    """

    kind: str
    component: str
    fields: Mapping[str, object]
    sample: Measure
    titrant: TitrantRecipe
    used: Measure
    diluted_to_mL: float
    most_mL: float
    bias: float
    standard_uncertainty: float
    predilution: tuple[Measure, Measure] | None = None
    copper_mg: float = 0.0

    @property
    def bath_mL(self) -> float:
        """Bath that it takes [mL]."""
        return (self.predilution[0] if self.predilution else self.sample).millilitres


@dataclass(frozen=True)
class PlatingOutPlan:
    """Plating all copper out of a sample: currents [A], hours, copper [g] and the acid [g] that appears for it."""

    fields: Mapping[str, object]
    sample: Measure
    copper_g: float
    current_A: float
    last_current_A: float
    pale_g_L: float  # turn the current down when the blue has faded to this, g/L copper sulfate
    hours: float
    cathode_cm2: float
    acid_g: float
    standard_uncertainty: float  # g/L copper sulfate


@dataclass(frozen=True)
class CementingPlan:
    """Copper to throw down by zinc: what it will weigh [g], zinc that it takes [g], hydrogen that comes off [L]."""

    fields: Mapping[str, object]
    sample: Measure
    copper_g: float
    zinc_g: float
    hydrogen_L: float
    standard_uncertainty: float  # g/L copper sulfate


@dataclass(frozen=True)
class StandardsPlan:
    """Jars of known colour to make. between: the two that the bath is expected to lie between [g/L].

    jars_of_bath: how many to fill with the bath itself.
    """

    fields: Mapping[str, object]
    standards: tuple[Standard, ...]
    between: tuple[float, float]
    path_cm: float
    standard_uncertainty: float  # g/L copper sulfate
    jars_of_bath: int = 1


@dataclass(frozen=True)
class DensityPlan:
    """A density to measure [g/mL], by a hydrometer or by weighing a bottle; shown: what it will read, in its unit."""

    fields: Mapping[str, object]
    density: float
    shown: float
    standard_uncertainty: float  # g/L copper sulfate, the acid being known
    bottle_mL: float = 0.0


@dataclass(frozen=True)
class StripPlan:
    """A strip for chloride: how many times to dilute, what it will show [mg/L]."""

    fields: Mapping[str, object]
    dilution: float
    shown: float
    standard_uncertainty: float  # mg/L chloride


AnyPlan = TypeVar("AnyPlan", PlatingOutPlan, DensityPlan)


def choose(plans: Iterable[TitrationPlan], missing: str) -> TitrationPlan:
    """Return the plan of least uncertainty with a small bias; of those nearly alike the one that takes least bath."""
    possible = list(plans)
    if not possible:
        raise NoPlan(missing)
    bearable = max(SMALL_BIAS, ALIKE * min(abs(plan.bias) for plan in possible))
    possible = [plan for plan in possible if abs(plan.bias) <= bearable]
    best = min(plan.standard_uncertainty for plan in possible)
    alike = [plan for plan in possible if plan.standard_uncertainty <= ALIKE * best]
    return min(alike, key=lambda plan: (plan.bath_mL, plan.standard_uncertainty))


def first_of_the_best(plans: Sequence[AnyPlan], times: float) -> AnyPlan:
    """Return the first plan whose uncertainty is at most `times` the least. plans: the easiest first."""
    best = min(plan.standard_uncertainty for plan in plans)
    return next(plan for plan in plans if plan.standard_uncertainty <= times * best)


def with_measures(fields: Mapping[str, object], **parts: Measure) -> dict[str, object]:
    """Return a reading's fields with these volumes in them, each with its tool."""
    tools = {f"{name}_with": part.tool for name, part in parts.items() if part.tool}
    return {**fields, **{name: part.volume for name, part in parts.items()}, **tools}
