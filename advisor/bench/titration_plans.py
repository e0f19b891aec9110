"""Titrations to do: of the free acid, along a pH curve too, of the copper and of the chloride."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import product
from math import isclose

import numpy as np

from advisor.basis.units import Measured
from advisor.bench.gear import (
    SOLUTION_DENSITY_KNOWN,
    Kit,
    LEAST_TITRANT_mL,
    Measure,
    TitrantRecipe,
    make_up,
    sample_measure,
    titrant_measure,
)
from advisor.bench.plans import NoPlan, SAMPLES_mL, TitrationPlan, choose, with_measures
from advisor.bench.predicted import Expected, as_read, expected_to_show, uncertainty_of
from advisor.readings import Reading
from advisor.readings.acid_titration import METHYL_ORANGE_PH, AcidTitration
from advisor.readings.acid_titration import TITRANTS as ACID_TITRANTS
from advisor.readings.chloride import SILVER_NITRATE, ChlorideTitration
from advisor.readings.copper_titration import MUREXIDE_LIMIT, CopperTitration, USUAL_FLASK_mL
from advisor.readings.copper_titration import TITRANTS as COPPER_TITRANTS
from advisor.readings.curve_fit import CurveError
from advisor.readings.strength import BAKED, WEIGHED, worth
from advisor.solution.density import WATER_DENSITY
from advisor.solution.equilibrium import Flask, equivalence_volume, pH_at_titrant_volume, titrant_volume_at_pH
from advisor.solution.molar_masses import CHLORINE, COPPER, COPPER_PER_PENTAHYDRATE

NO_TOOL = "Nothing you ticked measures the volumes for {what}: a 10 mL syringe, a burette or a 0.1 g scale would do."


def _titrants(
    kit: Kit, strengths: Iterable[float], expected_mmol: float, most_mmol: float
) -> Iterator[tuple[float, Measure]]:
    """Yield the strengths [mol/L] of titrant that the kit measures and that do not run out, and the volume expected.

    expected_mmol, most_mmol: of the titrant's formula that the sample takes, expected and at most.
    """
    fitting = [
        (strength, used)
        for strength in strengths
        if (used := titrant_measure(kit, expected_mmol / strength, most_mmol / strength)) is not None
    ]
    # The weakest is used most and measured best; the strongest is weighed in best. Between them nothing is won.
    yield from dict(fitting[:1] + fitting[-1:]).items()


# --- Free acid ------------------------------------------------------------------------------------

ACID_STRENGTHS = (0.02, 0.05, 0.1, 0.2, 0.25, 0.5)  # mol/L; 0.5 of baking soda dissolves even when cold (judgement)
FLASKS_mL = (100.0, 250.0)  # judgement
LARGEST_FLASK_mL = 400.0  # the flask with all titrant in it (judgement)
LEAST_DILUTION = 5.0  # times; the equilibrium model and the eye want a pale flask (judgement)
LATE = 1.03  # times the acid, at which the latest end point comes: the cloud over baking soda (judgement)
CURVE_DILUTION, CURVE_END_PH = 10.0, 4.4  # times diluted; where a pH curve ends, before copper precipitates (judgement)
ALIKE_BY = 0.01  # relative: of a sample or strength that is the planned one (judgement)
CURVE_POINTS = (12, 18)  # even steps up to nine tenths of the acid, then small ones to the end (judgement)
SODAS = {"baking soda": "sodium bicarbonate", "washing soda": "sodium carbonate", "lye": "sodium hydroxide"}


def plan_acid(expected: Expected, kit: Kit) -> TitrationPlan:
    """Return the titration of the free acid to do; with lye only where there is no soda. Raises NoPlan."""
    base = next((base for gear, base in SODAS.items() if gear in kit.have), "sodium bicarbonate")
    ends = ["first lasting cloud"]
    if "methyl orange" in kit.have or not kit.have:
        ends.append("methyl orange")
    if "pH meter" in kit.have:
        ends.append("pH meter")
    plans = (plan for size in SAMPLES_mL for plan in _acid_plans(expected, kit, base, size, ends))
    return choose(plans, NO_TOOL.format(what="an acid titration"))


def _acid_plans(expected: Expected, kit: Kit, base: str, size: float, ends: Iterable[str]) -> Iterator[TitrationPlan]:
    """Yield the titrations of one sample that the kit allows."""
    sample, kind = sample_measure(kit, size, expected.density), ACID_TITRANTS[base]
    per_acid = float(equivalence_volume(1.0, Flask(size, 100.0, kind.base, 1.0)))  # mmol for 1 g/L
    most = LATE * per_acid * expected.most("sulfuric_acid")
    for strength, used in _titrants(kit, ACID_STRENGTHS, per_acid * expected.sulfuric_acid, most):
        titrant = make_up(base, kind, strength, most / strength, kit)
        for flask_mL, end in product(FLASKS_mL, ends):
            if sample is None or flask_mL < LEAST_DILUTION * size or flask_mL + most / strength > LARGEST_FLASK_mL:
                continue
            fields: dict[str, object] = {
                "titrant": base,
                "strength": titrant.molarity,
                "strength_from": _strength_from(base),
                "diluted_to": Measured.of(flask_mL, "mL", "volume"),
                "end_point": end,
            }
            if end == "pH meter":
                fields["end_point_pH"] = METHYL_ORANGE_PH
            plan = _unseen("acid titration", "sulfuric_acid", fields, sample, titrant, used, flask_mL, most / strength)
            if (seen := _shown_by(plan, expected)) is not None:
                yield seen


# A plan before it is asked what it will show (exact: none yet).
_unseen = partial(TitrationPlan, bias=0.0, standard_uncertainty=0.0)


def _shown_by(plan: TitrationPlan, expected: Expected) -> TitrationPlan | None:
    """Return a plan with what it will show, its bias and its uncertainty; None where it shows next to nothing."""
    stoichiometric = plan.used.millilitres / _worth_of_titrant(plan)
    fields = with_measures(plan.fields, sample=plan.sample, used=plan.used)
    shown = expected_to_show(plan.kind, fields, expected)
    if shown < LEAST_TITRANT_mL / 2:
        return None
    used = replace(plan.used, millilitres=round(shown, 2))
    fields = with_measures(fields, used=used)
    spread = uncertainty_of(plan.kind, fields, expected, plan.component)
    return replace(plan, fields=fields, used=used, bias=shown / stoichiometric - 1, standard_uncertainty=spread)


def repeated_titration(plan: TitrationPlan, now: Expected, reading: Reading) -> TitrationPlan:
    """Return the same titration for a second portion: as much titrant as the reading that it repeats took.

    Where that was done with another sample or titrant than planned, as much as the bath as it is read so far (now)
    takes; that tells how far it may be off, too.
    """
    assert isinstance(reading, AcidTitration | CopperTitration | ChlorideTitration)
    as_planned = isclose(reading.sample.value * 1000, plan.sample.millilitres, rel_tol=ALIKE_BY) and isclose(
        reading.strength.value, plan.titrant.molarity.value, rel_tol=ALIKE_BY
    )
    shown = as_read(reading, now) if as_planned else round(expected_to_show(plan.kind, plan.fields, now), 2)
    used = replace(plan.used, millilitres=shown)
    most = used.millilitres * now.most(plan.component) / now.known.value(plan.component)
    spread = uncertainty_of(plan.kind, with_measures(plan.fields, used=used), now, plan.component)
    copper_mg = plan.copper_mg * most / plan.most_mL
    return replace(plan, used=used, most_mL=most, copper_mg=copper_mg, standard_uncertainty=spread)


def _worth_of_titrant(plan: TitrationPlan) -> float:
    """Return the true strength of a titrant of acid divided by the weighed one; 1 for other titrants."""
    base = plan.titrant.substance
    if base not in ACID_TITRANTS:
        return 1.0
    return worth(base, ACID_TITRANTS[base], plan.titrant.molarity, _strength_from(base)).factor


def _strength_from(base: str) -> str:
    """Return how the strength of a titrant of acid is known once it is made up as its card has it made."""
    return BAKED if base == "sodium carbonate" else WEIGHED


def plan_curve(expected: Expected, kit: Kit) -> TitrationPlan:
    """Return the pH curve to take: sample and titrant as for the acid, and the points with the pH to expect.

    Lye where it is at hand, since no gas disturbs the meter. Raises NoPlan.
    """
    base = next((base for gear, base in reversed(SODAS.items()) if gear in kit.have), "sodium bicarbonate")
    plans = (
        plan
        for size in SAMPLES_mL
        for plan in _acid_plans(expected, kit, base, size, ["pH meter"])
        if plan.diluted_to_mL >= CURVE_DILUTION * size
    )
    plan = choose(plans, NO_TOOL.format(what="a pH curve"))
    flask = Flask(plan.sample.millilitres, plan.diluted_to_mL, ACID_TITRANTS[base].base, plan.titrant.strength)
    here = expected.copper_sulfate, expected.sulfuric_acid
    end = float(titrant_volume_at_pH(*here, CURVE_END_PH, flask))
    even, small = CURVE_POINTS
    volumes = np.concatenate([np.linspace(0, 0.9 * end, even), np.linspace(0.9 * end, end, small + 1)[1:]]).round(2)
    shown = pH_at_titrant_volume(*here, volumes, flask)
    fields = {name: plan.fields[name] for name in ("titrant", "strength", "strength_from", "diluted_to")}
    fields = with_measures(fields, sample=plan.sample)
    fields["points"] = tuple((float(mL), round(float(pH), 2)) for mL, pH in zip(volumes, shown, strict=True))
    if plan.used.tool:
        fields["used_with"] = plan.used.tool
    try:
        spread = uncertainty_of("pH curve", fields, expected, "sulfuric_acid")
    except CurveError as error:
        raise NoPlan(f"With so little acid a pH curve gives nothing ({error}): titrate a bigger sample.") from error
    used = replace(plan.used, millilitres=round(end, 1))
    return replace(plan, kind="pH curve", fields=fields, used=used, bias=0.0, standard_uncertainty=spread)


# --- Copper, chloride -----------------------------------------------------------------------------

COPPER_STRENGTHS = (0.01, 0.02, 0.05, 0.1)  # mol/L (judgement)
PREDILUTIONS = ((10.0, 100.0), (5.0, 100.0), (10.0, 250.0), (5.0, 250.0))  # mL of bath, made up to (judgement)
COPPER_SUBSTANCE = {"EDTA": "disodium EDTA dihydrate", "iodometric": "sodium thiosulfate pentahydrate"}
SILVER_STRENGTHS = (0.01, 0.02, 0.05)  # mol/L (judgement)
SILVER_mL = 100.0  # silver nitrate bought at once (judgement)


def plan_copper(expected: Expected, kit: Kit) -> TitrationPlan:
    """Return the titration of copper to do: by EDTA, or by thiosulfate where only that is at hand. Raises NoPlan."""
    method = "iodometric" if "thiosulfate" in kit.have and "EDTA" not in kit.have else "EDTA"
    grid = product((None, *PREDILUTIONS), SAMPLES_mL)
    plans = (plan for dilution, size in grid for plan in _copper_plans(expected, kit, method, size, dilution))
    return choose(plans, NO_TOOL.format(what="a copper titration"))


def _copper_plans(
    expected: Expected, kit: Kit, method: str, size: float, dilution: tuple[float, float] | None
) -> Iterator[TitrationPlan]:
    """Yield the titrations of copper of one sample that the kit allows, and murexide."""
    parts = _predilution(kit, dilution, expected.density) if dilution else None
    if dilution:
        sample, bath_mL = sample_measure(kit, size, 1.0, SOLUTION_DENSITY_KNOWN), size * dilution[0] / dilution[1]
    else:
        sample, bath_mL = sample_measure(kit, size, expected.density), size
    copper_mg = bath_mL * expected.most("copper_sulfate") * COPPER_PER_PENTAHYDRATE
    bears = MUREXIDE_LIMIT * USUAL_FLASK_mL if method == "EDTA" else np.inf
    if sample is None or (dilution and not parts) or size > USUAL_FLASK_mL / 4 or copper_mg > bears:
        return
    most = copper_mg / COPPER
    usual = most * expected.copper_sulfate / expected.most("copper_sulfate")
    for strength, used in _titrants(kit, COPPER_STRENGTHS, usual, most):
        titrant = make_up(COPPER_SUBSTANCE[method], COPPER_TITRANTS[method], strength, most / strength, kit)
        fields = _copper_fields(method, titrant, parts)
        plan = _unseen(
            "copper titration", "copper_sulfate", fields, sample, titrant, used, USUAL_FLASK_mL, most / strength
        )
        if (seen := _shown_by(replace(plan, predilution=parts, copper_mg=copper_mg), expected)) is not None:
            yield seen


def _copper_fields(
    method: str, titrant: TitrantRecipe, predilution: tuple[Measure, Measure] | None
) -> dict[str, object]:
    """Return the fields of a titration of copper, except its sample and the titrant used."""
    fields: dict[str, object] = {"method": method, "strength": titrant.molarity}
    if method == "EDTA":
        fields |= {"indicator": "murexide", "ammonia": Measured.of(0.05, "mol/L", "strength")}
    if predilution:
        fields["predilution"] = tuple(part.volume for part in predilution)
        named = zip(("predilution_with", "made_up_with"), predilution, strict=True)
        fields |= {name: part.tool for name, part in named if part.tool}
    return fields


def _predilution(kit: Kit, dilution: tuple[float, float], density: float) -> tuple[Measure, Measure] | None:
    """Return how bath is measured and made up; a graduated cylinder is assumed where nothing ticked holds so much."""
    taken = sample_measure(kit, dilution[0], density)
    made_up = sample_measure(kit, dilution[1], 1.0, SOLUTION_DENSITY_KNOWN)
    return (taken, made_up) if taken and made_up else None


def plan_chloride(expected: Expected, kit: Kit) -> TitrationPlan:
    """Return the titration of chloride with silver nitrate to do. Raises NoPlan."""
    plans = (plan for size in SAMPLES_mL for plan in _chloride_plans(expected, kit, size))
    return choose(plans, NO_TOOL.format(what="a chloride titration"))


def _chloride_plans(expected: Expected, kit: Kit, size: float) -> Iterator[TitrationPlan]:
    sample = sample_measure(kit, size, expected.density)
    per_chloride = size / CHLORINE / 1000  # mmol for 1 mg/L
    most = per_chloride * expected.most("chloride")
    for strength, used in _titrants(kit, SILVER_STRENGTHS, per_chloride * expected.chloride, most):
        if sample is None:
            return
        # Dear, and bought ready made.
        grams, water = strength * SILVER_NITRATE.molar_mass * SILVER_mL / 1000, WATER_DENSITY * SILVER_mL
        spread = SILVER_NITRATE.weighing * strength
        titrant = TitrantRecipe("silver nitrate", grams, water, SILVER_mL, strength, spread)
        fields: dict[str, object] = {"strength": titrant.molarity, "end_point": "turbidity"}
        plan = _unseen("chloride titration", "chloride", fields, sample, titrant, used, size, most / strength)
        if (seen := _shown_by(plan, expected)) is not None:
            yield seen
