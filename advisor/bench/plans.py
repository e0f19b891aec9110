"""How much of what to take for a reading, before it is taken: sample, dilution, titrant and what to expect.

For each kind of reading a small grid of what the person's gear allows is gone through, and what tells the bath most
surely is chosen; where two are nearly alike, the one that takes less bath. How surely is asked of the reading's own
`model` (random and systematic together), for the bath as it is expected. Limits hold for the strongest bath that is
likely, not only for the expected one: the titrant does not run out, and murexide never meets more copper than it bears.
What the gear measures is told by `bench`; the steps are the business of `methods`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product
from typing import TypeVar

import numpy as np

from advisor.basis.fields import fields_of
from advisor.bench.gear import (
    SOLUTION_DENSITY_KNOWN,
    Bench,
    LEAST_TITRANT_mL,
    MakeUp,
    Measure,
    make_up,
    sample_measure,
    titrant_measure,
)
from advisor.check.assessment import assess, limits_of
from advisor.readings import KINDS, Reading
from advisor.readings.acid_titration import METHYL_ORANGE_PH
from advisor.readings.acid_titration import TITRANTS as ACID_TITRANTS
from advisor.readings.chloride import SILVER_NITRATE
from advisor.readings.colour_match import Standard, standards_for
from advisor.readings.copper_titration import MUREXIDE_LIMIT, USUAL_FLASK_mL
from advisor.readings.copper_titration import TITRANTS as COPPER_TITRANTS
from advisor.readings.curve_fit import CurveError
from advisor.readings.hydrometer import bath_density
from advisor.readings.model import State, Surroundings
from advisor.readings.plated_out import LEFT_BEHIND
from advisor.readings.weighed_density import AIR_DENSITY
from advisor.sheet import Sheet
from advisor.solution.density import WATER_DENSITY, water_density
from advisor.solution.equilibrium import Flask, equivalence_volume, pH_at_titrant_volume, titrant_volume_at_pH
from advisor.solution.faraday import FARADAY
from advisor.solution.hydrometer import reading_from_density
from advisor.solution.molar_masses import (
    ACID_PER_COPPER,
    CHLORINE,
    COPPER,
    COPPER_PER_PENTAHYDRATE,
    COPPER_SULFATE_PENTAHYDRATE,
)
from advisor.solution.transport import DIFFUSION_LAYER, diffusion_coefficient

# What is expected where neither readings nor window say anything, and the least that a test is planned for
# [g/L; chloride mg/L] (judgement).
USUAL = {"copper_sulfate": (220.0, 10.0), "sulfuric_acid": (55.0, 1.0), "chloride": (70.0, 10.0)}
SAMPLES_mL = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
SMALL_BIAS = 0.05  # of the acid; an end point further off is taken only where nothing better is to be had (judgement)
ALIKE = 1.10  # standard uncertainties within a tenth are as good as each other
LIKELY = 2.0  # standard uncertainties from the expected value to the strongest bath that is likely
NO_TOOL = "Nothing ticked measures the volumes of {what}: a 10 mL syringe, a burette or a 0.1 g scale would do."


class NoPlan(ValueError):
    """Nothing that the gear allows would tell anything; the message says what is missing."""


@dataclass(frozen=True)
class Expected:
    """What the bath is expected to hold [g/L; chloride mg/L], with standard uncertainties, and where that is from."""

    copper_sulfate: float
    sulfuric_acid: float
    chloride: float
    copper_sulfate_spread: float
    sulfuric_acid_spread: float
    chloride_spread: float
    source: str
    surroundings: Surroundings

    @property
    def state(self) -> State:
        """The expected bath."""
        return State(self.copper_sulfate, self.sulfuric_acid, chloride=self.chloride)

    def most(self, component: str) -> float:
        """The most of a component that is likely [g/L; chloride mg/L]."""
        return float(getattr(self, component) + LIKELY * getattr(self, f"{component}_spread"))

    @property
    def density(self) -> float:
        """Density of the expected bath now [g/mL]."""
        return float(bath_density(self.state, self.surroundings.temperature))


def expected_bath(sheet: Sheet) -> Expected:
    """Return what the readings of a sheet tell, and for what they do not tell the middle of its window."""
    known, limits = assess(sheet).values, limits_of(sheet)
    found: dict[str, float] = {}
    measured = []
    for name, (otherwise, least) in USUAL.items():
        value, limit = known[name], limits[name]
        if value is not None:
            measured.append(name)
            found[name] = max(value.value, least)
            found[f"{name}_spread"] = min(value.standard_uncertainty, found[name] / 2)
        else:
            found[name] = sum(limit) / 2 if limit else otherwise
            found[f"{name}_spread"] = found[name] / 4  # twice that reaches half as much again (judgement)
    source = "your readings" if measured else "the middle of your window"
    if measured and len(measured) < len(known):
        source += ", and the middle of your window for what they do not tell"
    return Expected(**found, source=source, surroundings=sheet.bath.surroundings())


# --- What a plan is -------------------------------------------------------------------------------


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
    titrant: MakeUp
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
class StandardsPlan:
    """Jars of known colour to make. between: the two that the bath is expected to lie between [g/L]."""

    fields: Mapping[str, object]
    standards: tuple[Standard, ...]
    between: tuple[float, float]
    path_cm: float
    standard_uncertainty: float  # g/L copper sulfate


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


def reading_of(kind: str, fields: Mapping[str, object]) -> Reading:
    """Return a reading of a kind from its fields as typed."""
    known = fields_of(KINDS[kind])
    return KINDS[kind](**{name: known[name].read(value, name) for name, value in fields.items()})


def uncertainty_of(
    kind: str, fields: Mapping[str, object], expected: Expected, component: str = "copper_sulfate"
) -> float:
    """Return the standard uncertainty of a component [g/L; chloride mg/L] by one reading, all else being known.

    The random and systematic errors of the reading's own model, over how far it moves with the component.
    """
    model = reading_of(kind, fields).model(expected.surroundings, expected.state)
    at = float(getattr(expected, component))
    step = max(0.01 * at, 0.1)
    up, down = (model.predict(replace(expected.state, **{component: at + sign * step})) for sign in (1, -1))
    slope = (np.broadcast_to(up, model.observed.shape) - np.broadcast_to(down, model.observed.shape)) / (2 * step)
    noise = np.diag(model.random**2)
    for effect in model.systematic.values():
        noise = noise + np.outer(effect, effect)
    return float((slope @ np.linalg.solve(noise, slope)) ** -0.5)


def _expected_to_show(kind: str, fields: Mapping[str, object], expected: Expected) -> float:
    """Return what a reading of one value will show for the expected bath."""
    return float(reading_of(kind, fields).model(expected.surroundings, expected.state).predict(expected.state)[0])


def _choose(plans: Iterable[TitrationPlan], missing: str) -> TitrationPlan:
    """Return the plan of least uncertainty with a small bias; of those nearly alike the one that takes least bath."""
    found = list(plans)
    if not found:
        raise NoPlan(missing)
    bearable = max(SMALL_BIAS, ALIKE * min(abs(plan.bias) for plan in found))
    found = [plan for plan in found if abs(plan.bias) <= bearable]
    best = min(plan.standard_uncertainty for plan in found)
    alike = [plan for plan in found if plan.standard_uncertainty <= ALIKE * best]
    return min(alike, key=lambda plan: (plan.bath_mL, plan.standard_uncertainty))


def _first_of_the_best(plans: Sequence[AnyPlan], times: float) -> AnyPlan:
    """Return the first plan whose uncertainty is at most so many times the least: plans stand easiest first."""
    best = min(plan.standard_uncertainty for plan in plans)
    return next(plan for plan in plans if plan.standard_uncertainty <= times * best)


def _with_measures(fields: Mapping[str, object], **parts: Measure) -> dict[str, object]:
    """Return a reading's fields with these volumes in them, each with its tool."""
    tools = {f"{name}_with": part.tool for name, part in parts.items() if part.tool}
    return {**fields, **{name: part.text for name, part in parts.items()}, **tools}


def _titrants(
    bench: Bench, strengths: Iterable[float], expected_mmol: float, most_mmol: float
) -> Iterator[tuple[float, Measure]]:
    """Yield the strengths [mol/L] of titrant that the bench measures and that do not run out, with the volume expected.

    expected_mmol, most_mmol: of the titrant's formula that the sample takes, expected and at most.
    """
    fitting = [
        (strength, used)
        for strength in strengths
        if (used := titrant_measure(bench, expected_mmol / strength, most_mmol / strength)) is not None
    ]
    # The weakest is used most and measured best; the strongest is weighed in best. Between them nothing is won.
    yield from dict(fitting[:1] + fitting[-1:]).items()


# --- Free acid ------------------------------------------------------------------------------------

ACID_STRENGTHS = (0.02, 0.05, 0.1, 0.2, 0.25, 0.5)  # mol/L; 0.5 of baking soda still dissolves in a cold room
FLASKS_mL = (100.0, 250.0)
LARGEST_FLASK_mL = 400.0  # the flask with all titrant in it (judgement)
LEAST_DILUTION = 5.0  # times; the equilibrium model and the eye want a pale flask
LATE = 1.03  # how late an end point may come, in times of the acid: the first lasting cloud over baking soda
CURVE_DILUTION, CURVE_END_PH = 10.0, 4.4  # times diluted, and where a pH curve ends: before copper precipitates
CURVE_POINTS = (12, 18)  # even steps up to nine tenths of the acid, then small ones to the end (judgement)
SODAS = {"baking soda": "sodium bicarbonate", "washing soda": "sodium carbonate", "lye": "sodium hydroxide"}


def plan_acid(expected: Expected, bench: Bench) -> TitrationPlan:
    """Return the titration of the free acid to do; with lye only where there is no soda. Raises NoPlan."""
    base = next((base for gear, base in SODAS.items() if gear in bench.have), "sodium bicarbonate")
    ends = ["first lasting cloud"]
    if "methyl orange" in bench.have or not bench.have:
        ends.append("methyl orange")
    if "pH meter" in bench.have:
        ends.append("pH meter")
    plans = (plan for size in SAMPLES_mL for plan in _acid_plans(expected, bench, base, size, ends))
    return _choose(plans, NO_TOOL.format(what="an acid titration"))


def _acid_plans(
    expected: Expected, bench: Bench, base: str, size: float, ends: Iterable[str]
) -> Iterator[TitrationPlan]:
    """Yield the titrations of one sample that the bench allows."""
    sample, kind = sample_measure(bench, size, expected.density), ACID_TITRANTS[base]
    per_acid = float(equivalence_volume(1.0, Flask(size, 100.0, kind.base, 1.0)))  # mmol for 1 g/L
    most = LATE * per_acid * expected.most("sulfuric_acid")
    for strength, used in _titrants(bench, ACID_STRENGTHS, per_acid * expected.sulfuric_acid, most):
        titrant = make_up(base, kind, strength, most / strength, bench)
        for flask_mL, end in product(FLASKS_mL, ends):
            if sample is None or flask_mL < LEAST_DILUTION * size or flask_mL + most / strength > LARGEST_FLASK_mL:
                continue
            fields: dict[str, object] = {"titrant": base, "strength": titrant.text, "end_point": end}
            fields["diluted_to"] = f"{flask_mL:g} mL"
            if end == "pH meter":
                fields["end_point_pH"] = METHYL_ORANGE_PH
            plan = _unseen("acid titration", "sulfuric_acid", fields, sample, titrant, used, flask_mL, most / strength)
            if (seen := _shown_by(plan, expected)) is not None:
                yield seen


_unseen = partial(TitrationPlan, bias=0.0, standard_uncertainty=0.0)  # a plan before it is asked what it will show


def _shown_by(plan: TitrationPlan, expected: Expected) -> TitrationPlan | None:
    """Return a plan with what it will show, its bias and its uncertainty; None where it shows next to nothing."""
    stoichiometric = plan.used.millilitres
    fields = _with_measures(plan.fields, sample=plan.sample, used=plan.used)
    shown = _expected_to_show(plan.kind, fields, expected)
    if shown < LEAST_TITRANT_mL / 2:
        return None
    used = replace(plan.used, millilitres=round(shown, 2))
    fields = _with_measures(fields, used=used)
    spread = uncertainty_of(plan.kind, fields, expected, plan.component)
    return replace(plan, fields=fields, used=used, bias=shown / stoichiometric - 1, standard_uncertainty=spread)


def plan_curve(expected: Expected, bench: Bench) -> TitrationPlan:
    """Return the pH curve to take: sample and titrant as for the acid, and the points with the pH to expect.

    Lye where it is at hand, since no gas disturbs the meter. Raises NoPlan.
    """
    base = next((base for gear, base in reversed(SODAS.items()) if gear in bench.have), "sodium bicarbonate")
    plans = (
        plan
        for size in SAMPLES_mL
        for plan in _acid_plans(expected, bench, base, size, ["pH meter"])
        if plan.diluted_to_mL >= CURVE_DILUTION * size
    )
    plan = _choose(plans, NO_TOOL.format(what="a pH curve"))
    flask = Flask(plan.sample.millilitres, plan.diluted_to_mL, ACID_TITRANTS[base].base, plan.titrant.strength)
    here = expected.copper_sulfate, expected.sulfuric_acid
    end = float(titrant_volume_at_pH(*here, CURVE_END_PH, flask))
    even, small = CURVE_POINTS
    volumes = np.concatenate([np.linspace(0, 0.9 * end, even), np.linspace(0.9 * end, end, small + 1)[1:]]).round(2)
    shown = pH_at_titrant_volume(*here, volumes, flask)
    fields = {name: plan.fields[name] for name in ("titrant", "strength", "diluted_to")}
    fields = _with_measures(fields, sample=plan.sample)
    fields["points"] = [[float(mL), round(float(pH), 2)] for mL, pH in zip(volumes, shown, strict=True)]
    if plan.used.tool:
        fields["used_with"] = plan.used.tool
    try:
        spread = uncertainty_of("pH curve", fields, expected, "sulfuric_acid")
    except CurveError as error:
        raise NoPlan(f"With so little acid a pH curve tells nothing ({error}): titrate a bigger sample.") from error
    used = replace(plan.used, millilitres=round(end, 1))
    return replace(plan, kind="pH curve", fields=fields, used=used, bias=0.0, standard_uncertainty=spread)


# --- Copper, chloride -----------------------------------------------------------------------------

COPPER_STRENGTHS = (0.01, 0.02, 0.05, 0.1)  # mol/L
PREDILUTIONS = ((10.0, 100.0), (5.0, 100.0), (10.0, 250.0), (5.0, 250.0))  # mL of bath, made up to
COPPER_SUBSTANCE = {"EDTA": "disodium EDTA dihydrate", "iodometric": "sodium thiosulfate pentahydrate"}
SILVER_STRENGTHS = (0.01, 0.02, 0.05)  # mol/L
SILVER_mL = 100.0  # silver nitrate bought at once
STRIP_RANGE = (50.0, 300.0)  # mg/L; where most strips for chloride tell best (from memory)


def plan_copper(expected: Expected, bench: Bench) -> TitrationPlan:
    """Return the titration of copper to do: by EDTA, or by thiosulfate where only that is at hand. Raises NoPlan."""
    method = "iodometric" if "thiosulfate" in bench.have and "EDTA" not in bench.have else "EDTA"
    grid = product((None, *PREDILUTIONS), SAMPLES_mL)
    plans = (plan for dilution, size in grid for plan in _copper_plans(expected, bench, method, size, dilution))
    return _choose(plans, NO_TOOL.format(what="a copper titration"))


def _copper_plans(
    expected: Expected, bench: Bench, method: str, size: float, dilution: tuple[float, float] | None
) -> Iterator[TitrationPlan]:
    """Yield the titrations of copper of one sample that the bench allows, and murexide."""
    parts = _predilution(bench, dilution, expected.density) if dilution else None
    sample = (
        sample_measure(bench, size, 1.0, SOLUTION_DENSITY_KNOWN)
        if dilution
        else sample_measure(bench, size, expected.density)
    )
    bath_mL = size * dilution[0] / dilution[1] if dilution else size
    copper_mg = bath_mL * expected.most("copper_sulfate") * COPPER_PER_PENTAHYDRATE
    bears = MUREXIDE_LIMIT * USUAL_FLASK_mL if method == "EDTA" else np.inf
    if sample is None or (dilution and not parts) or size > USUAL_FLASK_mL / 4 or copper_mg > bears:
        return
    most = copper_mg / COPPER
    usual = most * expected.copper_sulfate / expected.most("copper_sulfate")
    for strength, used in _titrants(bench, COPPER_STRENGTHS, usual, most):
        titrant = make_up(COPPER_SUBSTANCE[method], COPPER_TITRANTS[method], strength, most / strength, bench)
        fields: dict[str, object] = {"method": method, "strength": titrant.text}
        if method == "EDTA":
            fields |= {"indicator": "murexide", "ammonia": "0.05 mol/L"}
        if parts:
            fields["predilution"] = [part.text for part in parts]
            named = zip(("predilution_with", "made_up_with"), parts, strict=True)
            fields |= {name: part.tool for name, part in named if part.tool}
        plan = _unseen(
            "copper titration", "copper_sulfate", fields, sample, titrant, used, USUAL_FLASK_mL, most / strength
        )
        if (seen := _shown_by(replace(plan, predilution=parts, copper_mg=copper_mg), expected)) is not None:
            yield seen


def _predilution(bench: Bench, dilution: tuple[float, float], density: float) -> tuple[Measure, Measure] | None:
    """Return how bath is measured and made up; a graduated cylinder is assumed where nothing ticked holds so much."""
    taken = sample_measure(bench, dilution[0], density)
    made_up = sample_measure(bench, dilution[1], 1.0, SOLUTION_DENSITY_KNOWN)
    return (taken, made_up) if taken and made_up else None


def plan_chloride(expected: Expected, bench: Bench) -> TitrationPlan:
    """Return the titration of chloride with silver nitrate to do. Raises NoPlan."""
    plans = (plan for size in SAMPLES_mL for plan in _chloride_plans(expected, bench, size))
    return _choose(plans, NO_TOOL.format(what="a chloride titration"))


def _chloride_plans(expected: Expected, bench: Bench, size: float) -> Iterator[TitrationPlan]:
    sample = sample_measure(bench, size, expected.density)
    per_chloride = size / CHLORINE / 1000  # mmol for 1 mg/L
    most = per_chloride * expected.most("chloride")
    for strength, used in _titrants(bench, SILVER_STRENGTHS, per_chloride * expected.chloride, most):
        if sample is None:
            return
        grams = strength * SILVER_NITRATE.molar_mass * SILVER_mL / 1000
        titrant = MakeUp(
            "silver nitrate", grams, WATER_DENSITY * SILVER_mL, SILVER_mL, strength, SILVER_NITRATE.weighing * strength
        )  # dear, and bought ready made
        fields: dict[str, object] = {"strength": titrant.text, "end_point": "turbidity"}
        plan = _unseen("chloride titration", "chloride", fields, sample, titrant, used, size, most / strength)
        if (seen := _shown_by(plan, expected)) is not None:
            yield seen


def plan_strip(expected: Expected) -> StripPlan:
    """Return how to dip a strip for chloride: diluted only where the bath lies above what strips tell best."""
    dilution = next((times for times in (1.0, 2.0, 5.0, 10.0) if expected.chloride / times <= STRIP_RANGE[1]), 10.0)
    shown = expected.chloride / dilution
    fields = {"value": f"{shown:.0f} mg/L", "dilution": dilution}
    spread = uncertainty_of("chloride strip", fields, expected, "chloride")
    return StripPlan(fields, dilution, shown, spread)


# --- Copper plated out, colour, density -----------------------------------------------------------

CATHODE_CM2 = 50.0  # both sides of a copper foil of 5 by 5 cm
CATHODE_g = 20.0  # (judgement); it cancels
LAST_CURRENT = 0.2  # of the current, once the blue has faded
PLATING_OUT = 0.5  # A/dm2, low enough for a firm coat (judgement)
LONGEST_HOURS = 24.0
JAR_mL, PATH_CM = 100.0, 5.0  # of a colour standard, and the depth looked through
HALF_RANGE = 60.0  # g/L, of colour standards about the expected bath
COLOUR_STANDARDS = {"eye": 4, "camera": 5}
RED_ABSORBED = 0.6  # absorbance of a camera's red for 1 mol cm/L of copper: 1 % of red is then 3 to 4 g/L (computed)
BOTTLES_mL = (50.0, 100.0, 250.0, 500.0)  # for weighing the density


def plan_plating_out(expected: Expected, bench: Bench, cathode_cm2: float = CATHODE_CM2) -> PlatingOutPlan:
    """Return how long and at what current to plate all copper out of a sample onto a cathode [cm2, both sides]."""
    found = []
    for size in SAMPLES_mL[3:]:
        sample = sample_measure(bench, size, expected.density)
        if sample and (plan := _plating_out(expected, bench, cathode_cm2, sample)).hours <= LONGEST_HOURS:
            found.append(plan)
    if not found:
        raise NoPlan(f"A cathode of {cathode_cm2:g} cm² is too small to plate the copper out within a day: use more.")
    return _first_of_the_best(found, 1.5)  # time counts too (judgement)


def _plating_out(expected: Expected, bench: Bench, cathode_cm2: float, sample: Measure) -> PlatingOutPlan:
    litres = sample.millilitres / 1000
    copper = expected.copper_sulfate * litres * COPPER_PER_PENTAHYDRATE
    current = PLATING_OUT * cathode_cm2 / 100
    after = CATHODE_g + copper * (1 - LEFT_BEHIND)
    fields = _with_measures({"before": bench.grams(CATHODE_g), "after": bench.grams(after)}, sample=sample)
    pale, hours = plating_out_hours(expected, sample.millilitres, current, cathode_cm2)
    return PlatingOutPlan(
        fields,
        sample,
        copper,
        current,
        current * LAST_CURRENT,
        pale,
        hours,
        cathode_cm2,
        copper * ACID_PER_COPPER,
        uncertainty_of("plated-out copper", fields, expected),
    )


def plating_out_hours(expected: Expected, sample_mL: float, current: float, cathode_cm2: float) -> tuple[float, float]:
    """Return the copper sulfate [g/L] at which to turn the current [A] down to a fifth, and the hours in all.

    Full current until it is half of what diffusion can bring to the cathode (moved liquid); a fifth of it until it is
    all of that; then copper fades exponentially to the hundredth that the reading allows for. Good to a third, like
    the diffusion layer.
    """
    diffusion = float(diffusion_coefficient(50.0, expected.sulfuric_acid, expected.surroundings.temperature))
    carried = diffusion / DIFFUSION_LAYER["moved"] * cathode_cm2  # cm3/s
    limit = COPPER_SULFATE_PENTAHYDRATE * 1000 / (2 * FARADAY * carried)  # g/L that just bear 1 A
    start, last = expected.copper_sulfate, LEFT_BEHIND * expected.copper_sulfate
    pale = min(2 * limit * current, start)
    faint = max(min(limit * current * LAST_CURRENT, pale), last)
    charge = 2 * FARADAY * sample_mL / 1000 / COPPER_SULFATE_PENTAHYDRATE  # C for 1 g/L
    seconds = charge * (start - pale) / current + charge * (pale - faint) / (current * LAST_CURRENT)
    return pale, (seconds + sample_mL / carried * float(np.log(faint / last))) / 3600


def plan_standards(
    expected: Expected, seen_by: str = "eye", purity: float = 0.99, volume_mL: float = JAR_mL, path_cm: float = PATH_CM
) -> StandardsPlan:
    """Return the colour standards to make about the expected bath, for the eye or a camera.

    purity: pentahydrate mass fraction of the crystals. volume_mL of each jar; path_cm: depth that is looked through.
    """
    half = min(max(HALF_RANGE, LIKELY * expected.copper_sulfate_spread), 0.75 * expected.copper_sulfate)
    lowest, highest = expected.copper_sulfate - half, expected.copper_sulfate + half
    count = COLOUR_STANDARDS[seen_by]
    standards = standards_for(round(lowest), round(highest), count, volume_mL, path_cm, purity, seen_by)
    strengths = [standard.copper_sulfate for standard in standards]
    above = next(number for number, value in enumerate(strengths) if value > expected.copper_sulfate)
    lower, upper = strengths[above - 1], strengths[above]
    fields: dict[str, object]
    if seen_by == "eye":
        position = (expected.copper_sulfate - lower) / (upper - lower)
        fields = {"lower": f"{lower:.4g} g/L", "upper": f"{upper:.4g} g/L", "position": round(position, 2)}
    else:
        diluted = [[value / standards[0].dilution] for value in (*strengths, expected.copper_sulfate)]
        rows = [[*row, _red(row[0], path_cm), 150.0, 200.0] for row in diluted]
        fields = {"standards": rows[:-1], "samples": [rows[-1][1:]], "dilution": standards[0].dilution}
    kind = "colour match" if seen_by == "eye" else "photo colour"
    spread = uncertainty_of(kind, fields, expected)
    return StandardsPlan(fields, standards, (lower, upper), path_cm, spread)


def _red(copper_sulfate: float, path_cm: float) -> float:
    """Return the red, 0 to 255, of a jar of so many g/L as an ordinary camera shows it (sRGB)."""
    linear = 0.8 * 10 ** (-RED_ABSORBED * copper_sulfate / COPPER_SULFATE_PENTAHYDRATE * path_cm)
    return float(round(255 * (1.055 * linear ** (1 / 2.4) - 0.055)))


def plan_weighed_density(expected: Expected, bench: Bench) -> DensityPlan:
    """Return the bottle to weigh full of water and of bath: the smallest that tells nearly as much as the largest."""
    temperature = expected.surroundings.temperature
    in_air = {"with_water": float(water_density(temperature)), "with_bath": expected.density}
    found = []
    for bottle in BOTTLES_mL:
        empty = 20 + 0.6 * bottle  # a glass bottle (judgement); it cancels
        full = {name: empty + bottle * (density - AIR_DENSITY) for name, density in in_air.items()}
        fields = {name: bench.grams(grams) for name, grams in {"empty": empty, **full}.items()}
        spread = uncertainty_of("weighed density", fields, expected)
        found.append(DensityPlan(fields, expected.density, full["with_bath"] - empty, spread, bottle))
    return _first_of_the_best(found, ALIKE)


def plan_hydrometer(expected: Expected, scale: str = "SG 20/20") -> DensityPlan:
    """Return what a hydrometer is expected to show in the bath."""
    shown = float(reading_from_density(expected.density, scale, expected.surroundings.temperature))
    fields = {"value": f"{shown:.3f}", "scale": scale}
    spread = uncertainty_of("hydrometer", fields, expected)
    return DensityPlan(fields, expected.density, shown, spread)
