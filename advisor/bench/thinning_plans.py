"""How to thin a sample for a pen: in one step or in two, so that the pen stays in its best range and volumes are sure.

One step asks for a small volume of bath in a large one of water; two steps measure larger volumes, but four of them.
Which of the two the gear measures better is found by going through a small grid of both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

import numpy as np

from advisor.basis.units import Measured
from advisor.bench.gear import SOLUTION_DENSITY_KNOWN, Kit, Measure, sample_measure
from advisor.bench.plans import ALIKE, NoPlan
from advisor.bench.predicted import Expected, as_read, uncertainty_of
from advisor.readings import Reading
from advisor.readings.thinned import AT_25, UNREAD_WATER
from advisor.readings.thinned_conductivity import BEST_RANGE, MODEL, PEN
from advisor.readings.thinned_pH import BEST_RANGE as PH_RANGE
from advisor.readings.thinned_pH import READ as READ_PH
from advisor.solution.conductivity import bicarbonate_of_water, of_salt, of_thinned, shown_by_pen
from advisor.solution.molar_masses import SODIUM_CHLORIDE
from advisor.solution.thinned import Thinned, Undiluted, thin

# mL of bath and what it is made up to; in two steps then of the thinned bath, and what that is made up to (judgement).
ONE_STEP = tuple(product((1.0, 2.0, 5.0, 10.0), (250.0, 500.0, 1000.0, 2000.0)))
TWO_STEPS = tuple(
    (first, jug, second, last)
    for first, jug, second, last in product(
        (5.0, 10.0, 20.0), (100.0, 250.0, 500.0), (5.0, 10.0, 20.0, 50.0), (100.0, 250.0, 500.0)
    )
    if second <= jug / 2
)
NO_TOOL = "Nothing that you have measures a small volume of bath: a syringe of 10 mL will do."
EXPECTED_DEGREES = 21.0  # degC, the thinned liquid in a room (judgement)

Step = tuple[Measure, Measure]  # what is taken, and what it is made up to
Steps = tuple[Step, ...]


@dataclass(frozen=True)
class ThinningPlan:
    """A bath to be thinned and read. steps: one or two; times: in all; shown: what the pen will show, in its unit."""

    fields: Mapping[str, object]
    steps: Steps
    times: float
    shown: float
    standard_uncertainty: float  # g/L acid, all else being known


def plan_thinned_conductivity(expected: Expected, kit: Kit) -> ThinningPlan:
    """Return how to thin a bath for a conductivity pen. Raises NoPlan."""

    def shown(thinned: Thinned) -> float:
        return float(shown_by_pen(of_thinned(thinned, EXPECTED_DEGREES), EXPECTED_DEGREES, "linear"))

    likely = expected.most("sulfuric_acid") / expected.sulfuric_acid  # the strongest bath still stays in range
    steps, value = _easiest(expected, kit, shown, (BEST_RANGE[0], BEST_RANGE[1] / likely), float(np.hypot(MODEL, PEN)))
    typed = Measured.of(value, "uS/cm", "pen reading", digits=4)
    return _plan("thinned conductivity", expected, steps, {"value": typed}, value)


def plan_thinned_pH(expected: Expected, kit: Kit) -> ThinningPlan:
    """Return how to thin a bath for a pH pen that is checked in a buffer of pH 4. Raises NoPlan."""
    # A pH counts the acid in powers of ten, so that volumes hardly matter: the easiest way will do.
    steps, value = _easiest(expected, kit, lambda thinned: float(thinned.pH), PH_RANGE, READ_PH * float(np.log(10)))
    typed = Measured(round(value, 2), None, "", f"{value:.2f}", 0.01)
    return _plan("thinned pH", expected, steps, {"value": typed, "buffer": (4.0, 4.0)}, value)


def repeated_thinning(plan: ThinningPlan, now: Expected, reading: Reading) -> ThinningPlan:
    """Return the same thinning for a second portion, which shows what the reading did that it repeats.

    now: the bath as it is read so far.
    """
    per_conductivity = float(getattr(reading, "factor", None) or 1.0)  # of a pen that shows ppm
    spread = uncertainty_of(reading.kind, plan.fields, now, "sulfuric_acid")
    return replace(plan, shown=as_read(reading, now) / per_conductivity, standard_uncertainty=spread)


def salt_like_potassium_chloride() -> float:
    """Return the table salt [g/L] that conducts at 25 degC as potassium chloride of 0.01 mol/L does, 1413 uS/cm."""
    wanted = float(of_salt("potassium chloride", 0.01, AT_25))
    near = 0.012  # mol/L
    return near * wanted / float(of_salt("sodium chloride", near, AT_25)) * SODIUM_CHLORIDE


def _plan(kind: str, expected: Expected, steps: Steps, more: Mapping[str, object], shown: float) -> ThinningPlan:
    fields = {**_fields(steps), **more}
    spread = uncertainty_of(kind, fields, expected, "sulfuric_acid")
    return ThinningPlan(fields, steps, _times(steps), shown, spread)


def _easiest(
    expected: Expected, kit: Kit, shown: Callable[[Thinned], float], within: tuple[float, float], besides: float
) -> tuple[Steps, float]:
    """Return the way of fewest steps and least water, of those nearly as sure as the best, and what the pen will show.

    shown: what a pen shows in a thinned bath, which must be `within`. besides: relative standard uncertainty of the
    acid that does not come from the volumes.
    """
    bath = Undiluted(expected.copper_sulfate, expected.sulfuric_acid)
    water = bicarbonate_of_water(UNREAD_WATER)
    ways = list(_ways(expected, kit))
    values = {times: shown(thin(bath, times, water, EXPECTED_DEGREES)) for times in set(map(_times, ways))}
    possible = {way: _uncertainty(way, besides) for way in ways if within[0] <= values[_times(way)] <= within[1]}
    if not possible:
        raise NoPlan(NO_TOOL)
    alike = [way for way, spread in possible.items() if spread <= ALIKE * min(possible.values())]
    way = min(alike, key=lambda way: (len(way), sum(made_up.millilitres for _, made_up in way), possible[way]))
    return way, values[_times(way)]


def _uncertainty(steps: Steps, besides: float) -> float:
    """Return roughly the relative uncertainty of the acid by a thinned bath: by its volumes and what is besides."""
    volumes = [part.standard_uncertainty / part.millilitres for step in steps for part in step]
    return float(np.hypot.reduce([*volumes, besides]))


def _times(steps: Steps) -> float:
    times = 1.0
    for taken, made_up in steps:
        times *= made_up.millilitres / taken.millilitres
    return times


def _ways(expected: Expected, kit: Kit) -> Iterator[Steps]:
    """Yield the thinnings in one and in two steps that the kit measures."""

    @cache
    def measured(millilitres: float, is_bath: bool) -> Measure | None:
        known = (expected.density,) if is_bath else (1.0, SOLUTION_DENSITY_KNOWN)
        return sample_measure(kit, millilitres, *known)

    for volumes in (*ONE_STEP, *TWO_STEPS):
        parts = [measured(volume, place == 0) for place, volume in enumerate(volumes)]
        whole = [part for part in parts if part]
        if len(whole) == len(volumes):
            yield tuple(zip(whole[::2], whole[1::2], strict=True))


def _fields(steps: Steps) -> dict[str, object]:
    """Return the fields of a reading that say how it was thinned, with a temperature and a water as expected."""
    *first, (sample, thinned_to) = steps
    named = {"sample": sample, "thinned_to": thinned_to}
    fields: dict[str, object] = {name: part.volume for name, part in named.items()}
    if first:
        taken, made_up = first[0]
        fields["predilution"] = (taken.volume, made_up.volume)
        named |= {"predilution": taken, "made_up": made_up}
    fields |= {f"{name}_with": part.tool for name, part in named.items() if part.tool}
    fields["temperature"] = Measured.of(EXPECTED_DEGREES, "degC", "temperature")
    fields["water"] = Measured.of(UNREAD_WATER, "uS/cm", "conductivity")
    return fields
