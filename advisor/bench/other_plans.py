"""Tests to do without a titrant: chloride strips, copper plated out, colour standards, densities."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor.basis.srgb import from_linear
from advisor.basis.units import Measured
from advisor.bench.gear import Kit, Measure, sample_measure
from advisor.bench.plans import (
    ALIKE,
    CementingPlan,
    DensityPlan,
    NoPlan,
    PlatingOutPlan,
    SAMPLES_mL,
    StandardsPlan,
    StripPlan,
    first_of_the_best,
    with_measures,
)
from advisor.bench.predicted import LIKELY, Expected, uncertainty_of
from advisor.readings.cemented_copper import TOO_HEAVY
from advisor.readings.colour_match import standards_for
from advisor.readings.hydrometer import FLOATS_HIGH
from advisor.readings.plated_out import LEFT_BEHIND
from advisor.readings.weighed_density import AIR_DENSITY
from advisor.solution.density import water_density
from advisor.solution.faraday import FARADAY
from advisor.solution.hydrometer import reading_from_density
from advisor.solution.molar_masses import (
    ACID_PER_COPPER,
    COPPER,
    COPPER_PER_PENTAHYDRATE,
    COPPER_SULFATE_PENTAHYDRATE,
    MOLAR_VOLUME,
    SULFURIC_ACID,
    ZINC,
)
from advisor.solution.transport import DIFFUSION_LAYER, diffusion_coefficient
from advisor.words.lines import line

STRIP_RANGE = (50.0, 300.0)  # mg/L; where most strips for chloride tell best (from memory)
CATHODE_CM2 = 50.0  # both sides of a copper foil of 5 by 5 cm (judgement)
CATHODE_g = 20.0  # (judgement); it cancels
LAST_CURRENT = 0.2  # of the current, once the blue has faded (judgement)
PLATING_OUT = 0.5  # A/dm2, low enough for a firm coat (judgement)
LONGEST_HOURS = 24.0  # judgement
JAR_mL, PATH_CM = 100.0, 5.0  # of a colour standard, and the depth looked through (judgement)
HALF_RANGE = 60.0  # g/L, of colour standards about the expected bath (judgement)
COLOUR_STANDARDS = {"eye": 4, "camera": 5}  # judgement
JARS_OF_BATH = {"eye": 1, "camera": 2}  # glasses differ: the camera sees that, the eye does not (judgement)
LIGHT_EVEN_TO = Measured.of(1.0, "%", "fraction")  # with white near each jar (judgement)
RED_ABSORBED = 0.6  # absorbance of a camera's red for 1 mol cm/L of copper: 1 % of red is then 3 to 4 g/L (computed)
FINE_SCALE = 0.01  # g, its step, for half a gram of copper (judgement)
CEMENTED_IN_mL, DISH_g = 250.0, 12.0  # judgement; the dish cancels
ZINC_PER_COPPER, ZINC_PER_ACID = ZINC / COPPER, ZINC / SULFURIC_ACID  # g/g, stoichiometry
BOTTLES_mL = (50.0, 100.0, 250.0, 500.0, 1000.0)  # for weighing the density (judgement)


def plan_strip(expected: Expected) -> StripPlan:
    """Return how to dip a strip for chloride: diluted only where the bath lies above what strips tell best."""
    dilution = next((times for times in (1.0, 2.0, 5.0, 10.0) if expected.chloride / times <= STRIP_RANGE[1]), 10.0)
    shown = expected.chloride / dilution
    fields = {"value": Measured.of(shown, "mg/L", "content", decimals=0), "dilution": dilution}
    spread = uncertainty_of("chloride strip", fields, expected, "chloride")
    return StripPlan(fields, dilution, shown, spread)


def plan_plating_out(expected: Expected, kit: Kit) -> PlatingOutPlan:
    """Return how long and at what current to plate all copper out of a sample onto a cathode."""
    samples = (sample_measure(kit, size, expected.density) for size in SAMPLES_mL[3:])
    plans = [_plating_out(expected, kit, sample) for sample in samples if sample]
    possible = [plan for plan in plans if plan.hours <= LONGEST_HOURS]  # 25 mL of the richest bath take half of it
    return first_of_the_best(possible, 1.5)  # time counts too (judgement)


def _plating_out(expected: Expected, kit: Kit, sample: Measure) -> PlatingOutPlan:
    litres = sample.millilitres / 1000
    copper = expected.copper_sulfate * litres * COPPER_PER_PENTAHYDRATE
    current = PLATING_OUT * CATHODE_CM2 / 100
    after = CATHODE_g + copper * (1 - LEFT_BEHIND)
    fields = with_measures({"before": kit.grams(CATHODE_g), "after": kit.grams(after)}, sample=sample)
    pale, hours = plating_out_hours(expected, sample.millilitres, current, CATHODE_CM2)
    return PlatingOutPlan(
        fields=fields,
        sample=sample,
        copper_g=copper,
        current_A=current,
        last_current_A=current * LAST_CURRENT,
        pale_g_L=pale,
        hours=hours,
        cathode_cm2=CATHODE_CM2,
        acid_g=copper * ACID_PER_COPPER,
        standard_uncertainty=uncertainty_of("plated-out copper", fields, expected),
    )


def plan_cementing(expected: Expected, kit: Kit) -> CementingPlan:
    """Return how much bath to thin and what its copper will weigh: 10 mL, the most that is safe, if it is measured.

    Half a gram of copper takes a fine scale: one is assumed where there is none. Raises NoPlan where no gear measures
    so little bath.
    """
    kit = replace(kit, scale_step=min(kit.scale_step or FINE_SCALE, FINE_SCALE))
    sample = next((found for size in (10.0, 5.0) if (found := sample_measure(kit, size, expected.density))), None)
    if sample is None:
        raise NoPlan(line("Nothing that you have measures {10 mL} of bath."))
    copper = expected.copper_sulfate * sample.millilitres / 1000 * COPPER_PER_PENTAHYDRATE
    acid = expected.sulfuric_acid * sample.millilitres / 1000
    weighs = copper * (1 + TOO_HEAVY)
    fields = with_measures(
        {
            "diluted_to": Measured.of(CEMENTED_IN_mL, "mL", "volume"),
            "before": kit.grams(DISH_g),
            "after": kit.grams(DISH_g + weighs),
        },
        sample=sample,
    )
    return CementingPlan(
        fields=fields,
        sample=sample,
        copper_g=weighs,
        zinc_g=copper * ZINC_PER_COPPER + acid * ZINC_PER_ACID,
        hydrogen_L=acid / SULFURIC_ACID * MOLAR_VOLUME,
        standard_uncertainty=uncertainty_of("cemented copper", fields, expected),
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


def plan_standards(expected: Expected, kit: Kit, seen_by: str = "eye") -> StandardsPlan:
    """Return the colour standards to make about the expected bath, for the eye or a camera."""
    spread = expected.known.standard_uncertainty("copper_sulfate")
    half = min(max(HALF_RANGE, LIKELY * spread), 0.75 * expected.copper_sulfate)
    lowest, highest = expected.copper_sulfate - half, expected.copper_sulfate + half
    ends, count = (round(lowest), round(highest)), COLOUR_STANDARDS[seen_by]
    standards = standards_for(*ends, count, JAR_mL, PATH_CM, kit.crystals_pentahydrate, seen_by)
    strengths = [standard.copper_sulfate for standard in standards]
    above = next(number for number, value in enumerate(strengths) if value > expected.copper_sulfate)
    lower, upper = strengths[above - 1], strengths[above]
    fields: dict[str, object]
    if seen_by == "eye":
        position = (expected.copper_sulfate - lower) / (upper - lower)
        fields = {
            "lower": Measured.of(lower, "g/L", "concentration", digits=4),
            "upper": Measured.of(upper, "g/L", "concentration", digits=4),
            "position": round(position, 2),
        }
    else:
        diluted = [value / standards[0].dilution for value in (*strengths, expected.copper_sulfate)]
        *rows, sample = ((held, _red(held), 150.0, 200.0) for held in diluted)
        samples = (sample[1:],) * JARS_OF_BATH[seen_by]
        fields = {
            "standards": tuple(rows),
            "samples": samples,
            "dilution": standards[0].dilution,
            "light_even_to": LIGHT_EVEN_TO,
        }
    kind = "colour match" if seen_by == "eye" else "photo colour"
    spread = uncertainty_of(kind, fields, expected)
    return StandardsPlan(fields, standards, (lower, upper), PATH_CM, spread, JARS_OF_BATH[seen_by])


def _red(copper_sulfate: float) -> float:
    """Return the red, 0 to 255, of a jar of so many g/L as an ordinary camera shows it (sRGB)."""
    light = 0.8 * 10 ** (-RED_ABSORBED * copper_sulfate / COPPER_SULFATE_PENTAHYDRATE * PATH_CM)
    return float(round(float(from_linear(light))))


def plan_weighed_density(expected: Expected, kit: Kit) -> DensityPlan:
    """Return the bottle to weigh full of water and of bath: the smallest that tells nearly as much as the largest."""
    temperature = expected.surroundings.temperature
    in_air = {"with_water": float(water_density(temperature)), "with_bath": expected.density}
    possible = []
    for bottle in BOTTLES_mL:
        empty = 20 + 0.6 * bottle  # a glass bottle (judgement); it cancels
        full = {name: empty + bottle * (density - AIR_DENSITY) for name, density in in_air.items()}
        fields = {name: kit.grams(grams) for name, grams in {"empty": empty, **full}.items()}
        spread = uncertainty_of("weighed density", fields, expected)
        possible.append(DensityPlan(fields, expected.density, full["with_bath"] - empty, spread, bottle))
    return first_of_the_best(possible, ALIKE)


def plan_hydrometer(expected: Expected) -> DensityPlan:
    """Return what a hydrometer is expected to show in the bath."""
    scale, floats_high = "SG 20/20", FLOATS_HIGH[expected.surroundings.additives][0]
    shown = float(reading_from_density(expected.density + floats_high, scale, expected.surroundings.temperature))
    fields = {"value": Measured(round(shown, 3), None, "", f"{shown:.3f}"), "scale": scale}
    spread = uncertainty_of("hydrometer", fields, expected)
    return DensityPlan(fields, expected.density, shown, spread)
