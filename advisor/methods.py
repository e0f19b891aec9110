"""The bench cards: what each test needs, its steps, what to look for, usual mistakes, waste and cautions.

`bench_card(kind, sheet)` gives the card of a kind of reading with the planner's numbers for the sheet's bath and gear;
the same sections go to the page, the terminal and paper. Rules of the bench are common practice where no source is
named. It computes no chemistry: the numbers are those of `planner`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil
from typing import Any, ClassVar, TypeVar

from advisor import phrases
from advisor.advise import make_stock
from advisor.fields import InputError, nearest, show
from advisor.planner import (
    CURVE_POINTS,
    Bench,
    DensityPlan,
    Expected,
    MakeUp,
    Measure,
    NoPlan,
    TitrationPlan,
    bench_of,
    expected_bath,
    plan_acid,
    plan_chloride,
    plan_copper,
    plan_curve,
    plan_hydrometer,
    plan_plating_out,
    plan_standards,
    plan_strip,
    plan_weighed_density,
)
from advisor.readings import KINDS
from advisor.readings.chloride import SILVER_WASTE
from advisor.sections import Section, plus_minus
from advisor.sheet import Sheet

Plan = TypeVar("Plan")
SAMPLING = "sampling"  # the one card that belongs to no kind of reading
LADDER_mg_L = (0, 25, 50, 75, 100, 150)
LADDER_JAR_mL = 20.0  # then 1 mL of silver nitrate 0.1 mol/L is enough for the cloudiest jar
SALT_mg_PER_mL = 1.0  # the salt solution of `phrases.SALT_SOLUTION`, thinned tenfold: chloride

NAMES = {
    "sodium bicarbonate": "baking soda (sodium bicarbonate)",
    "sodium carbonate": "washing soda, baked dry (sodium carbonate)",
    "sodium hydroxide": "lye (sodium hydroxide)",
}
COPPER_WASTE = (
    "Flasks with copper go into the jar for copper waste, not down a drain. Bath that was drawn and not used goes back "
    "into the tank if nothing was put into it.",
)
NO_MOUTH = "Never draw bath or titrant up with your mouth: use a syringe or a pipette filler."
GOGGLES = "Bath burns eyes and stains: goggles, gloves, old clothes; water and baking soda within reach."
LYE = (
    "Lye eats skin and blinds, and heats as it dissolves: stir it in small portions into cold water, never water onto "
    "lye. Baking soda does the same titration without that."
)
DRAW = (
    "Draw a sound sample: no crystals, stirred ten minutes, settled half an hour, from mid-depth (see card Sampling)."
)


@dataclass(frozen=True)
class BenchCard:
    """The card of a test. expect: the bath that it is planned for, what will be read, and how surely it will tell."""

    TITLE: ClassVar[str] = "Bench card"
    kind: str
    label: str
    expect: tuple[str, ...]
    need: tuple[str, ...]
    steps: tuple[str, ...]
    look_for: tuple[str, ...]
    mistakes: tuple[str, ...]
    waste: tuple[str, ...]
    cautions: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the card for another program."""
        return {name: list(part) if isinstance(part, tuple) else part for name, part in vars(self).items()}

    def sections(self) -> tuple[Section, ...]:
        """Return the card's blocks in the order in which they are needed."""
        blocks = (
            Section("What to expect", self.expect),
            Section("What you need", self.need),
            Section("Steps", self.steps, numbered=True),
            Section("What to look for", self.look_for),
            Section("Usual mistakes", self.mistakes),
            Section("Waste", self.waste),
            Section("Take care", self.cautions, caution=True),
        )
        return tuple(block for block in blocks if block.lines)


@dataclass(frozen=True)
class _Setting:
    """What a card is written for: the expected bath, the bench, and the sheet for the rest."""

    sheet: Sheet
    expected: Expected
    bench: Bench


def bench_card(kind: str, sheet: Sheet) -> BenchCard:
    """Return the card of a kind of reading (or of "sampling") for a sheet's bath and gear; raises InputError."""
    if kind not in CARDS:
        raise InputError("kind", show(kind), f"accepted is one of: {', '.join(CARDS)}{nearest(kind, CARDS)}")
    return CARDS[kind](_Setting(sheet, expected_bath(sheet), bench_of(sheet.gear.have)))


# --- Words for numbers ----------------------------------------------------------------------------


def _planned(function: Callable[[Expected, Bench], Plan], setting: _Setting) -> tuple[Plan, tuple[str, ...]]:
    """Return a plan; where the gear or the bath allows none, one for a 10 mL syringe or more acid, and say so."""
    easier = replace(setting.expected, sulfuric_acid=55.0, sulfuric_acid_spread=10.0)
    tries = (
        (setting.expected, setting.bench, ""),
        (setting.expected, bench_of(()), "The numbers here are for a 10 mL syringe."),
        (easier, bench_of(()), "The numbers here are for a 10 mL syringe and a bath of 55 g/L acid."),
    )
    reason = ""
    for expected, bench, said in tries:
        try:
            return function(expected, bench), (f"{reason} {said}",) if reason else ()
        except NoPlan as error:
            reason = reason or str(error)
    raise AssertionError(reason)  # a 10 mL syringe measures a usual bath


def _bath(expected: Expected) -> str:
    return (
        f"Planned for a bath of about {expected.copper_sulfate:.0f} g/L copper sulfate and "
        f"{expected.sulfuric_acid:.3g} g/L free acid (from {expected.source})."
    )


def _half(spread: float, unit: str, what: str) -> str:
    """Say how surely a reading will tell a component, as a 95 % half-width."""
    half = plus_minus(0.0, spread, unit).split("± ")[1]
    return f"Done like this it tells the {what} to ± {half} (95 times in 100)."


def _take(part: Measure, what: str, density: float) -> str:
    """Say how to measure a volume."""
    if part.tool:
        return f"{part.millilitres:g} mL of {what} with the {part.tool}"
    return (
        f"{part.millilitres * density:.1f} g of {what}, weighed: that is {part.millilitres:g} mL at {density:.3f} g/mL "
        f"(write {part.text} in the reading)"
    )


def _make_up(made: MakeUp) -> str:
    """Say how to make up a titrant."""
    if made.substance == "silver nitrate":
        return (
            f"Silver nitrate {made.strength:g} mol/L, best bought ready made (else {made.grams:.2f} g in "
            f"{made.millilitres:.0f} mL of distilled water, weighed to 0.01 g or better)."
        )
    name = NAMES.get(made.substance, made.substance)
    return (
        f"Dissolve {made.grams:.4g} g of {name} in {made.water:.0f} g of distilled water (1 g is 1 mL): that makes "
        f"{made.millilitres:.0f} mL of {made.text}, the ± being one standard uncertainty."
    )


def _run_in(plan: TitrationPlan) -> str:
    """Say how much titrant to expect and how it is measured."""
    enough = f"expect about {plan.used.millilitres:.1f} mL, and have {ceil(plan.most_mL)} mL at hand"
    if plan.used.tool is None:
        return (
            f"Weigh the bottle of titrant before and after, and divide the grams used by {plan.titrant.density:.3f} to "
            f"get millilitres: {enough}."
        )
    fills = "refill it as needed and add up; " if "syringe" in plan.used.tool else ""
    return f"Fill the {plan.used.tool} with titrant and note where it stands; {fills}{enough}."


def _gear(plan: TitrationPlan, *more: str) -> tuple[str, ...]:
    """List what a titration needs."""
    tools = {part.tool or "the scale" for part in (plan.sample, plan.used, *(plan.predilution or ()))}
    return (
        f"To measure: {', '.join(sorted(tools))}.",
        f"A clear flask or glass for {plan.diluted_to_mL + plan.most_mL:.0f} mL, white paper below it, distilled "
        "water.",
        *more,
        "Goggles, gloves, paper and pencil.",
    )


# --- Acid -----------------------------------------------------------------------------------------

_ACID_LOOK = {
    "methyl orange": (
        "Over copper's blue, methyl orange goes from violet-grey through grey to green: stop at the first lasting grey-"
        "green. Have a flask beside it that you took too far, and one not begun.",
    ),
    "first lasting cloud": (
        "Each drop makes a pale blue cloud that goes on swirling. The end is the first faint cloud that stays "
        "for half a "
        "minute against a dark line.",
        "One known bath done in the same way shows how far off you judge it.",
    ),
    "pH meter": ("Stop at pH 3.85, once the meter has stood still for half a minute.",),
}


def _acid(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_acid, setting)
    end, soda = str(plan.fields["end_point"]), plan.titrant.substance != "sodium hydroxide"
    drops = {"methyl orange": " Add 3 drops of methyl orange."}.get(end, "")
    swirl = "drop by drop near the end, swirling the gas out each time" if soda else "drop by drop near the end"
    off = "early" if plan.bias < 0 else "late"
    return BenchCard(
        "acid titration",
        KINDS["acid titration"].label,
        (
            *note,
            _bath(setting.expected),
            f"About {plan.used.millilitres:.1f} mL of titrant. The end point comes about {100 * abs(plan.bias):.1f} % "
            f"{off}; the tool reckons with that.",
            _half(plan.standard_uncertainty, "g/L", "free acid"),
        ),
        _gear(plan, f"{NAMES[plan.titrant.substance].capitalize()}; {_END_NEEDS[end]}."),
        (
            DRAW,
            _make_up(plan.titrant),
            f"Take {_take(plan.sample, 'bath', setting.expected.density)} into the flask, and water to "
            f"{plan.diluted_to_mL:.0f} mL.{drops}",
            _run_in(plan),
            f"Run titrant in while swirling, {swirl}. Note the millilitres at the end point.",
            "Do it twice. If the two differ by more than 3 %, do a third.",
            f"Enter it as an acid titration with end point {end}{' (3.85)' * (end == 'pH meter')}, strength "
            f"{plan.titrant.text}.",
        ),
        _ACID_LOOK[end],
        (
            "Phenolphthalein: copper comes out as a solid before it turns, and the acid reads far too high.",
            *((_FIZZING[end == "first lasting cloud"],) if soda else ()),
            "Baking powder for baking soda: it holds acid and starch.",
            "Too small a sample where there is little acid: the end point is then further off.",
            "The mark read at the syringe's tip instead of at the plunger's edge; air left below the plunger.",
        ),
        COPPER_WASTE,
        (GOGGLES, NO_MOUTH, *(() if soda else (LYE,)), phrases.NO_FOOD_WARE),
    )


_FIZZING = {
    True: "Left fizzing: gas in the flask keeps copper dissolved, and the cloud comes up to 16 % late.",
    False: "Left fizzing: the end seems reached and goes back as the gas leaves. Swirl, wait, look again.",
}
_END_NEEDS = {
    "methyl orange": "methyl orange",
    "first lasting cloud": "no indicator: copper's own cloud shows the end",
    "pH meter": "a pH meter, calibrated today at pH 4 and 7",
}


def _curve(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_curve, setting)
    soda = plan.titrant.substance != "sodium hydroxide"
    points = plan.fields["points"]
    assert isinstance(points, list)
    even, small = CURVE_POINTS[0] - 1, points[-1][0] - points[-2][0]
    turn = points[even][0]
    return BenchCard(
        "pH curve",
        KINDS["pH curve"].label,
        (
            *note,
            _bath(setting.expected),
            f"From pH {points[0][1]:.1f} to pH {points[-1][1]:.1f} with about {points[-1][0]:.1f} mL of titrant, in "
            f"{len(points)} points.",
            _half(plan.standard_uncertainty, "g/L", "free acid"),
        ),
        _gear(plan, "A pH meter, calibrated today at pH 4 and 7.", f"{NAMES[plan.titrant.substance].capitalize()}."),
        (
            DRAW,
            _make_up(plan.titrant),
            f"Take {_take(plan.sample, 'bath', setting.expected.density)} into a beaker, water to "
            f"{plan.diluted_to_mL:.0f} mL, electrode in, and stir steadily.",
            _run_in(plan),
            f"Write down mL and pH before the first drop, then in {even:.0f} even steps up to {turn:.2g} mL, then "
            "every "
            f"{small:.1g} mL until pH 4.4. Wait at each point until the meter stands still.",
            "Go a little further if you like: points in the cloudy part are left out by themselves.",
            "Enter the rows as a pH curve, or as a CSV file with the columns mL and pH.",
        ),
        ("The pH climbs faster and faster, steepest between 3 and 4; then copper comes out and it flattens.",),
        (
            "Few points between pH 2.5 and 4.5: there the curve tells the acid.",
            *(("Left fizzing: let the gas leave before you read each point.",) if soda else ()),
            "A meter calibrated long ago: its offset is fitted, but a dirty electrode drifts during the run.",
            "Phenolphthalein as a second check: copper comes out before it turns.",
        ),
        COPPER_WASTE,
        (GOGGLES, NO_MOUTH, *(() if soda else (LYE,)), "Rinse the electrode and keep it wet in its own liquid."),
    )


# --- Copper ---------------------------------------------------------------------------------------


def _copper(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_copper, setting)
    return _edta(setting, plan, note) if plan.fields["method"] == "EDTA" else _iodometric(setting, plan, note)


def _copper_sample(setting: _Setting, plan: TitrationPlan) -> tuple[str, ...]:
    """Say how to dilute the bath, if it is, and what to put into the flask."""
    density = setting.expected.density
    if not plan.predilution:
        return (f"Take {_take(plan.sample, 'bath', density)} into the flask.",)
    taken, made_up = plan.predilution
    by = f"in the {made_up.tool}" if made_up.tool else "on the scale, a gram for a millilitre"
    return (
        f"Dilute first: {_take(taken, 'bath', density)}, made up to {made_up.millilitres:.0f} mL {by}; mix well.",
        f"Take {_take(plan.sample, 'the diluted bath', 1.0)} into the flask.",
    )


def _copper_expect(setting: _Setting, plan: TitrationPlan, note: tuple[str, ...]) -> tuple[str, ...]:
    return (
        *note,
        _bath(setting.expected),
        f"About {plan.used.millilitres:.1f} mL of titrant.",
        _half(plan.standard_uncertainty, "g/L", "copper sulfate"),
    )


def _edta(setting: _Setting, plan: TitrationPlan, note: tuple[str, ...]) -> BenchCard:
    return BenchCard(
        "copper titration",
        KINDS["copper titration"].label,
        (
            *_copper_expect(setting, plan, note),
            f"At most {plan.copper_mg:.0f} mg of copper in the flask; murexide bears 25 mg in 100 mL.",
        ),
        _gear(plan, "Disodium EDTA, household ammonia without scent or soap, murexide made up today."),
        (
            DRAW,
            _make_up(plan.titrant),
            *_copper_sample(setting, plan),
            "Add ammonia drop by drop, swirling: a pale solid comes, then just goes again to a clear blue. Stop there.",
            f"Water to {plan.diluted_to_mL:.0f} mL, and murexide until the liquid is yellow-green, as much each time.",
            _run_in(plan),
            "Run EDTA in while swirling over white paper, drop by drop near the end. Note the millilitres.",
            "Do a blank of water, ammonia and murexide, and the whole twice.",
            f"Enter it as a copper titration, method EDTA, indicator murexide, strength {plan.titrant.text}.",
        ),
        ("From yellow-green to violet within a drop or two; the violet stays.",),
        (
            "Stale murexide: in water it keeps a day. Make it up fresh, or grind it with table salt and use it dry.",
            "Too much ammonia: with 0.5 mol/L the end is 1.4 to 5 % off, with 1 mol/L there is none. Just enough to "
            "redissolve is right.",
            "Too much copper in the flask: the deep blue hides the end.",
            "Zinc, nickel and iron count as copper: with metal in the bath, titrate by iodide too.",
        ),
        (
            "Keep EDTA waste in a jar of its own, apart from other copper waste: EDTA holds copper in solution, and no "
            "soda brings it out again.",
            *COPPER_WASTE,
        ),
        (
            GOGGLES,
            "Ammonia stings eyes and lungs: window open, bottle shut. Never bring it near silver or bleach.",
            NO_MOUTH,
            phrases.NO_FOOD_WARE,
        ),
    )


def _iodometric(setting: _Setting, plan: TitrationPlan, note: tuple[str, ...]) -> BenchCard:
    return BenchCard(
        "copper titration",
        KINDS["copper titration"].label,
        _copper_expect(setting, plan, note),
        _gear(plan, "Sodium thiosulfate, potassium iodide (2 g each time), starch boiled up today."),
        (
            DRAW,
            f"{_make_up(plan.titrant)} Standardise it against weighed crystals.",
            *_copper_sample(setting, plan),
            f"Add water to {plan.diluted_to_mL:.0f} mL and 2 g of potassium iodide; swirl, and wait two minutes "
            "in the dark.",
            _run_in(plan),
            "Run thiosulfate in until the brown is pale straw; add starch, and go on drop by drop until the blue "
            "is gone.",
            "Do a blank of water, a little acid and iodide, and the whole twice.",
            f"Enter it as a copper titration, method iodometric, strength {plan.titrant.text}.",
        ),
        ("Blue to the cream white of the copper iodide. Blue that comes back within a minute means: not yet done.",),
        (
            "Starch added at the beginning: it holds iodine, and the end drags.",
            "Old potassium iodide that is yellow frees iodine by itself: that is what the blank is for.",
            "Thiosulfate weeks old and not standardised again.",
            "Iron in the bath counts as copper: 1 g/L reads as 4.5 g/L copper sulfate.",
        ),
        COPPER_WASTE,
        (GOGGLES, "Iodine stains skin and clothes: thiosulfate takes it out.", NO_MOUTH, phrases.NO_FOOD_WARE),
    )


def _plated_out(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_plating_out, setting)
    return BenchCard(
        "plated-out copper",
        KINDS["plated-out copper"].label,
        (
            *note,
            _bath(setting.expected),
            f"About {plan.copper_g:.2f} g of copper in about {plan.hours:.0f} hours (good to a third).",
            f"The liquid gains acid as it loses copper, 1.543 g a gram: here about {plan.acid_g:.1f} g.",
            _half(plan.standard_uncertainty, "g/L", "copper sulfate"),
        ),
        (
            "A scale of 0.1 g or finer; a beaker that holds the cathode.",
            f"A clean copper foil of {plan.cathode_cm2:.0f} cm² (both sides counted) on a wire, as cathode.",
            "An inert anode: platinised or mixed-oxide titanium, or graphite.",
            "A power supply with a current limit, a stirrer or a bubbler, distilled water, a hair dryer.",
        ),
        (
            DRAW,
            "Degrease the cathode, rinse, dry it warm, weigh it and write down every decimal.",
            f"Take {_take(plan.sample, 'bath', setting.expected.density)} into the beaker; add water until the "
            "cathode is "
            "covered, and keep the liquid moving.",
            f"Plate at {plan.current_A:.2g} A until the blue has faded to pale (about {plan.pale_g_L:.0f} g/L), "
            "then at "
            f"{plan.last_current_A:.2g} A until it is gone.",
            "Finished: put a drop on white paper beside a drop of ammonia. No blue where they meet means that no "
            "copper "
            "is left. Or hang a clean steel nail in: it must not turn red within a minute.",
            "Lift the cathode out with the current still on, rinse it in distilled water, dry it warm, weigh it.",
            "Enter the sample and both weights as plated-out copper.",
        ),
        ("A firm salmon coat. The liquid fades from blue to colourless; bubbles at the cathode mean: nearly done.",),
        (
            "Current too high at the end: dark powder that falls off, and the copper reads low.",
            "Stopping while there is still a tint: what stays in the liquid is not weighed.",
            "Current off before the cathode is out: the acid takes copper back.",
            "The published form of this test is electrogravimetry, ASTM E53.",
        ),
        ("What is left is dilute sulfuric acid with a trace of copper: into the jar for copper waste.",),
        (
            "Never stainless steel (chromium) or lead as anode; graphite sheds, so strain what is left.",
            "Oxygen comes off, and hydrogen towards the end, with acid mist: open window, no flame, lid ajar.",
            GOGGLES,
            NO_MOUTH,
        ),
    )


def _colour(setting: _Setting) -> BenchCard:
    return _standards(setting, "colour match", "eye")


def _photo(setting: _Setting) -> BenchCard:
    return _standards(setting, "photo colour", "camera")


def _standards(setting: _Setting, kind: str, seen_by: str) -> BenchCard:
    stock = make_stock(setting.sheet)
    plan = plan_standards(setting.expected, seen_by, stock.crystals_pentahydrate)
    times = plan.standards[0].dilution
    jars = "; ".join(f"{jar.copper_sulfate:.0f} g/L with {jar.crystals_g:.3g} g of crystals" for jar in plan.standards)
    thinned = (
        f"Dilute the bath {times:g} times as well (for example 5 mL made up to {5 * times:.0f} mL). "
        if times > 1
        else ""
    )
    eye = seen_by == "eye"
    return BenchCard(
        kind,
        KINDS[kind].label,
        (
            _bath(setting.expected),
            f"It should lie between {plan.between[0]:.0f} and {plan.between[1]:.0f} g/L.",
            _half(plan.standard_uncertainty, "g/L", "copper sulfate"),
        ),
        (
            f"{len(plan.standards) + 1} jars alike, filled alike, that are looked through over {plan.path_cm:g} cm.",
            "Your own crystals, a scale, distilled water and a few drops of acid.",
            "Daylight and white paper." if eye else "A camera, even daylight, and white paper behind the jars.",
        ),
        (
            DRAW,
            f"Make the standards, each up to {plan.standards[0].volume_mL:.0f} mL: {jars}. "
            + (f"They stand for baths diluted {times:g} times." if times > 1 else ""),
            f"{thinned}Fill a jar with it to the same depth.",
            "Put the bath beside each standard over white paper, look down, and change their places."
            if eye
            else "Photograph all jars at once, without flash, and read the colour in the middle of each.",
            "Enter the two standards next to it as the baths they stand for, and where between them it lies."
            if eye
            else f"Enter each standard with the g/L in its jar (what it stands for, divided by {times:g}) and its "
            "R, G, "
            "B, then the bath's.",
        ),
        (
            "An eye splits the step between two jars into about four."
            if eye
            else "Red falls as copper rises; it must stay between 80 and 250 in every jar.",
        ),
        (
            "Iron, nickel or a dye change the colour: then this tells nothing.",
            "Jars of different width or depth; a warm lamp on one side; cloudy liquid.",
            "Anhydrous copper sulfate taken for crystals: it is half as strong again.",
        ),
        ("Keep the standards, closed and labelled, for next time. Else they are stock for the bath.",),
        (GOGGLES, "No dust of copper sulfate; wash your hands.", NO_MOUTH, phrases.NO_FOOD_WARE),
    )


# --- Density --------------------------------------------------------------------------------------

_SUM_ONLY = "A gram of acid weighs nearly as much as a gram of crystals: with the acid known, it tells the copper."


def _hydrometer(setting: _Setting) -> BenchCard:
    plan = plan_hydrometer(setting.expected)
    return BenchCard(
        "hydrometer",
        KINDS["hydrometer"].label,
        (*_density_expect(setting, plan), f"About {plan.shown:.3f} on a scale SG 20/20."),
        ("A hydrometer for 1.0 to 1.3, a tall narrow jar, a thermometer, distilled water.",),
        (
            DRAW,
            "Wash hydrometer and jar with a drop of dish soap, rinse well with distilled water, dry them.",
            "Float it in distilled water first and write down what it reads: that is the calibration.",
            "Fill the jar with bath to the brim, let bubbles rise, and put the thermometer in.",
            "Lower the hydrometer with dry fingers, give it a spin, and let it come to rest in the middle.",
            "Bring your eye level with the surface. Read where the flat of the liquid cuts the stem, not at the "
            "rim that "
            "climbs up the glass.",
            "Enter reading, scale and temperature.",
        ),
        (
            "The same number twice after lifting it out and drying it.",
            "Seen from just below, the surface is an ellipse; raise your eye until it is a line. That line is "
            "the mark.",
        ),
        (
            "Bubbles on the glass: they lift it, and it reads high. Spin them off.",
            "Touching the wall, or wet above the surface: drops weigh it down.",
            "A warm bath reckoned as 20 °C: 5 °C are worth about 4 g/L.",
            "Stirred-up sludge reads high; wetting additives make the rim small, and it reads up to 0.004 high.",
        ),
        ("The bath goes back into the tank; rinse water is first for the next top-up.",),
        (GOGGLES, "Glass breaks: lower it slowly, over a tray.", NO_MOUTH),
    )


def _density_expect(setting: _Setting, plan: DensityPlan) -> tuple[str, ...]:
    return (
        _bath(setting.expected),
        f"A density of about {plan.density:.3f} g/mL.",
        f"{_half(plan.standard_uncertainty, 'g/L', 'copper sulfate')} {_SUM_ONLY}",
    )


def _weighed(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_weighed_density, setting)
    return BenchCard(
        "weighed density",
        KINDS["weighed density"].label,
        (
            *note,
            *_density_expect(setting, plan),
            f"The bath in a bottle of {plan.bottle_mL:.0f} mL weighs about {plan.shown:.0f} g.",
        ),
        (
            f"A bottle of about {plan.bottle_mL:.0f} mL with a narrow neck and a mark on it.",
            "A scale that weighs it full, 0.1 g or finer; distilled water, a dropper, paper towel.",
        ),
        (
            DRAW,
            "Bring bath and distilled water to the same temperature.",
            "Weigh the bottle empty and dry.",
            "Fill it with distilled water, the last drops by dropper, until the flat of the liquid stands at the "
            "mark. Dry "
            "neck and outside, weigh.",
            "Empty it, rinse it twice with a little bath, fill it with bath to the same mark, dry it, weigh.",
            "Enter the three weights with all decimals, and the temperature.",
        ),
        ("No bubble under the shoulder; the flat of the liquid at the mark, seen level.",),
        (
            "Bubbles left on the wall: tap the bottle.",
            "Water left in the bottle before the bath goes in.",
            "Warmed in the hand: the liquid climbs. Hold it by the neck.",
        ),
        ("The bath goes back into the tank.",),
        (GOGGLES, NO_MOUTH, "Use no bottle that will ever hold drink again."),
    )


# --- Chloride -------------------------------------------------------------------------------------

_SILVER_CAUTIONS = (
    GOGGLES,
    "Silver nitrate stains skin black and burns eyes: gloves.",
    "Silver and ammonia never meet, not in a flask, not in a waste jar: an explosive solid can form.",
    phrases.CHLORIDE_ACID,
    NO_MOUTH,
)
_ONLY_WITH_ADDITIVES = "Chloride matters only in a bath with brightener or other additives."


def _chloride(setting: _Setting) -> BenchCard:
    plan, note = _planned(plan_chloride, setting)
    return BenchCard(
        "chloride titration",
        KINDS["chloride titration"].label,
        (
            *note,
            f"Planned for about {setting.expected.chloride:.0f} mg/L of chloride. {_ONLY_WITH_ADDITIVES}",
            f"About {plan.used.millilitres:.1f} mL of silver nitrate.",
            _half(plan.standard_uncertainty, "mg/L", "chloride"),
        ),
        _gear(plan, _make_up(plan.titrant), "A torch; or a silver wire and a voltmeter."),
        (
            DRAW,
            f"Take {_take(plan.sample, 'bath', setting.expected.density)} into the flask, undiluted: its acid is "
            "needed.",
            _run_in(plan),
            "Add silver nitrate in portions of 0.5 mL, swirl, let the cloud settle a minute, and look with the "
            "torch at "
            "where the next drop falls.",
            "The end is the first drop that makes no new cloud. With a silver wire: where the voltage jumps.",
            f"Enter it as a chloride titration, strength {plan.titrant.strength:g} mol/L.",
        ),
        ("White threads where a drop falls, fainter and fainter, then none.",),
        (
            "Yellow chromate as indicator: it fails in acid, and is poisonous.",
            "Tap water anywhere: it brings chloride of its own.",
            "Strips for chlorine: they do not read chloride.",
        ),
        (SILVER_WASTE, "Then into a jar of its own, labelled silver: to the place that takes copper waste."),
        _SILVER_CAUTIONS,
    )


def _strip(setting: _Setting) -> BenchCard:
    plan = plan_strip(setting.expected)
    thinned = f"Dilute bath {plan.dilution:g} times with distilled water." if plan.dilution > 1 else "Do not dilute."
    return BenchCard(
        "chloride strip",
        KINDS["chloride strip"].label,
        (
            f"Planned for about {setting.expected.chloride:.0f} mg/L of chloride. {_ONLY_WITH_ADDITIVES}",
            f"The strip should show about {plan.shown:.0f} mg/L.",
            _half(plan.standard_uncertainty, "mg/L", "chloride"),
        ),
        ("Test strips for chloride, from about 30 mg/L on, in date.", "A small glass, a clock."),
        (
            DRAW,
            thinned,
            "Dip the strip as its pack says, to the second, and read it in daylight.",
            f"Enter what it shows, and {plan.dilution:g} as the times diluted.",
        ),
        ("The length or shade of the strip's own scale; copper's blue may tint it, so compare shape, not hue.",),
        (
            "Strips for chlorine in pools or drinking water: they do not read chloride.",
            "Diluted too far: below about 30 mg/L most strips show nothing.",
            "A strip that asks for neutral water: try it on a known bath first.",
        ),
        ("The strip goes into the copper waste.",),
        (GOGGLES, phrases.CHLORIDE_ACID, NO_MOUTH),
    )


def _ladder(setting: _Setting) -> BenchCard:
    expected = setting.expected
    doses = ", ".join(f"{level} mg/L: {level * LADDER_JAR_mL / 1000 / SALT_mg_PER_mL:g} mL" for level in LADDER_mg_L)
    return BenchCard(
        "chloride ladder",
        KINDS["chloride ladder"].label,
        (
            f"Planned for about {expected.chloride:.0f} mg/L of chloride. {_ONLY_WITH_ADDITIVES}",
            "By eye it tells the chloride to about a quarter.",
        ),
        (
            f"{len(LADDER_mg_L) + 1} small jars alike, a 1 mL syringe, silver nitrate 0.1 mol/L, dark paper.",
            f"Chloride-free bath for the standards: about {expected.copper_sulfate:.0f} g/L crystals and "
            f"{expected.sulfuric_acid:.0f} g/L acid in distilled water.",
            f"{phrases.SALT_SOLUTION} For the ladder thin that tenfold: then 1 mL brings 1 mg.",
        ),
        (
            DRAW,
            f"Put thinned salt solution into the jars ({doses}), and make each up to {LADDER_JAR_mL:.0f} mL with "
            "chloride-free bath.",
            f"Fill one more jar with {LADDER_JAR_mL:.0f} mL of your bath.",
            "Add 1 mL of silver nitrate to every jar, swirl alike, and wait five minutes.",
            "Look through them at dark paper, light from the side; find the jar just clearer and the one just "
            "cloudier.",
            "Enter the two as a chloride ladder.",
        ),
        ("A milky cloud that grows from jar to jar; the jar with 0 must stay clear.",),
        (
            "A cloud in the jar with 0: the water or the crystals hold chloride.",
            "Jars not begun at the same time: the cloud grows for minutes.",
            "Standards without copper: blue hides a part of the cloud.",
        ),
        (SILVER_WASTE, "Then into a jar of its own, labelled silver."),
        _SILVER_CAUTIONS,
    )


# --- Without a test -------------------------------------------------------------------------------


def _make_up_record(setting: _Setting) -> BenchCard:
    return BenchCard(
        "make-up",
        KINDS["make-up"].label,
        ("What went in, weighed, tells a fresh bath as surely as a titration, and loses its worth as the bath ages.",),
        ("The labels of crystals and acid, and what you wrote down when you mixed it.",),
        (
            "Write down grams of crystals, their purity or form, millilitres of acid and its strength, and the "
            "water or "
            "the final volume.",
            "Enter them as make-up, and under `since` what has happened to the bath.",
        ),
        ("A strength on the acid's label: battery acid is about 37 %, technical acid 96 %.",),
        (
            "Anhydrous powder entered as crystals: it is half as strong again.",
            "Additions since then forgotten.",
        ),
        ("Nothing is wasted here.",),
        ("Read labels with gloves on; acid runs down bottles.", NO_MOUTH),
    )


def _previous(setting: _Setting) -> BenchCard:
    return BenchCard(
        "previous check",
        KINDS["previous check"].label,
        ("If only water left since, an old check and the two levels tell the bath now.",),
        ("The last check with its ±, the level then, and the level now.",),
        (
            "Mark the level on the tank's wall with nothing in it but bath: no parts, no anodes.",
            "Let the bath come to the temperature of the last time, and read the level now.",
            'Enter the old values with their ±, the volume then, and since = "evaporation only"; or "unknown" if bath '
            "dripped away or anything was added.",
        ),
        ("The level of the flat of the liquid, seen level, on the outside of the wall.",),
        (
            "Evaporation assumed where bath went away with the parts.",
            "Parts or bags standing in the tank while the level is read.",
        ),
        ("Nothing is wasted here.",),
        (GOGGLES, NO_MOUTH),
    )


def _sampling(setting: _Setting) -> BenchCard:
    return BenchCard(
        SAMPLING,
        "Sampling",
        (
            "Every reading is only as good as the sample: an unmixed bath or crystals on the floor make all of "
            "them false.",
        ),
        ("A clean syringe or pipette filler with a hose, a clean dry jar with a lid, a paper filter, a label.",),
        (
            "Switch the current off, and take parts and anodes out.",
            "Warm the bath until no crystal is left on floor, anodes or bags.",
            "Bring the level to its mark with distilled water only if you want to know the bath at that level.",
            "Stir ten minutes from the floor up, and let it settle for half an hour.",
            "Draw from mid-depth, away from walls and anodes, through the filter. Rinse syringe and jar with the first "
            "of it.",
            "Close and label the jar: bath, date, level, temperature. Measure at room temperature within a day.",
        ),
        ("Clear blue without a speck, without layers, without film on top.",),
        (
            "Drawn from the top: the lightest layer.",
            "A wet jar: water thins the sample.",
            "Drawn straight after topping up: it takes ten minutes of stirring to mix.",
        ),
        ("What is left over goes back into the tank, if nothing was put into it.",),
        (GOGGLES, NO_MOUTH, phrases.NO_FOOD_WARE),
    )


CARDS: dict[str, Callable[[_Setting], BenchCard]] = {
    SAMPLING: _sampling,
    "acid titration": _acid,
    "copper titration": _copper,
    "hydrometer": _hydrometer,
    "weighed density": _weighed,
    "plated-out copper": _plated_out,
    "colour match": _colour,
    "photo colour": _photo,
    "pH curve": _curve,
    "chloride titration": _chloride,
    "chloride strip": _strip,
    "chloride ladder": _ladder,
    "make-up": _make_up_record,
    "previous check": _previous,
}
