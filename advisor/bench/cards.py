"""The bench cards: what each test needs, its steps, what to look for, usual mistakes, waste and cautions.

`bench_card(kind, sheet)` gives the card of a kind of reading with the plan's numbers for the sheet's bath and gear;
the same sections go to the page, the terminal and paper. What the cards say stands in `bench_cards.csv`; here its gaps
are filled. It computes no chemistry: the numbers are those of the plans.

A row of that table belongs to the cards named in it, or to all where it is one of the sentences that a gap can name.
A row with `only_if` is left out unless that holds for the plan, such as "lye" where lye is the titrant. A duplicate is
a fresh portion: its card leaves out what was prepared for all portions (`ONCE`), and has steps of its own (`AGAIN`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from math import ceil
from typing import Any, ClassVar, TypeVar

from advisor.basis import tables
from advisor.basis.fields import InputError, nearest, show, write_table
from advisor.bench.end_point import PATH, EndPointFlask, flask_at_the_end
from advisor.bench.gear import COARSEST_SCALE, Kit, Measure, TitrantRecipe, enough_mL, kit_of
from advisor.bench.other_plans import (
    CEMENTED_IN_mL,
    plan_cementing,
    plan_hydrometer,
    plan_plating_out,
    plan_standards,
    plan_strip,
    plan_weighed_density,
)
from advisor.bench.plans import (
    CementingPlan,
    DensityPlan,
    NoPlan,
    PlatingOutPlan,
    StandardsPlan,
    StripPlan,
    TitrationPlan,
)
from advisor.bench.predicted import Expected, expected_bath
from advisor.bench.thinning_plans import (
    ThinningPlan,
    plan_thinned_conductivity,
    plan_thinned_pH,
    repeated_thinning,
    salt_like_potassium_chloride,
)
from advisor.bench.titration_plans import (
    CURVE_POINTS,
    plan_acid,
    plan_chloride,
    plan_copper,
    plan_curve,
    repeated_titration,
)
from advisor.check.known import Value
from advisor.check.pouring import FIRST_WORDS
from advisor.check.steps import SALT_SOLUTION_RECIPE
from advisor.check.task import make_stock
from advisor.measure.hull_cell import SIDES_CM, current_density
from advisor.readings import KINDS, Reading
from advisor.readings.acid_titration import METHYL_ORANGE
from advisor.readings.chloride import SILVER_WASTE
from advisor.sheet import Sheet, read_sheet
from advisor.solution.density import WATER_DENSITY
from advisor.solution.stock import SALT_SOLUTION_CHLORIDE
from advisor.words.cautions import Act, cautions, first_aid
from advisor.words.lines import Amount, Line, at_the_bench, filled, half_width, joined, line, range_of
from advisor.words.sections import Section

Plan = TypeVar("Plan")
# The cards that belong to no kind of reading, and what they are called.
SAMPLING, HULL_CELL = "sampling", "hull cell"
OTHER_LABELS = {SAMPLING: "Drawing a sample", HULL_CELL: "Hull cell panel"}
EVERY_CARD = "every card"  # in the table: a sentence for gaps, its name in the place of a block
# In the table, kinds of steps: the last one, which a test that is begun from its plan does not need; what is done once
# for all portions of a test; what is done only for a portion after the first.
ENTER, ONCE, AGAIN = "enter", "once", "again"
# Washing soda holds up to 63 % of water, which nobody sees: baked, it is plain sodium carbonate.
BAKE = line(
    "Spread washing soda thin and bake it an hour at {200 °C}; weigh it, and bake it again until it loses no more. "
)
LADDER_mg_L = (0, 25, 50, 75, 100, 150)  # judgement
LADDER_JAR_mL = 20.0  # then 1 mL of silver nitrate 0.1 mol/L is enough for the cloudiest jar (computed)
SALT_mg_PER_mL = SALT_SOLUTION_CHLORIDE / 10  # chloride of the salt solution thinned tenfold (computed)
TITRANT_NAMES = {
    "sodium bicarbonate": "baking soda (sodium bicarbonate)",
    "sodium carbonate": "washing soda, baked dry (sodium carbonate)",
    "sodium hydroxide": "lye (sodium hydroxide)",
}
USUAL = {"bath": {"volume": "5 L"}}  # a sheet of a bath of which nothing is known (judgement)
OWN_SCALE = "the scale"
NO_SCALE = line("a kitchen scale that shows {1 g}")
FOR_THE_SCALE = " It is more than you need: a smaller amount would be weighed too roughly."
STILL_ROUGH = " That is more than you need, and still weighed roughly: a finer scale makes it surer."
# What a titration is of, as cards call it, and its unit.
TITRATED = {
    "sulfuric_acid": ("free acid", "g/L"),
    "copper_sulfate": ("copper sulfate", "g/L"),
    "chloride": ("chloride", "mg/L"),
}
BOTTLE_g_PER_mL = 0.4  # what an empty bottle is drawn to weigh (judgement)
# What a pen shows, beside the number at which it stands, when it dips in and a little later (judgement).
CREEPS_uS_cm, CREEPS_pH = (42.0, 13.0), (0.06, 0.02)
PANEL_CURRENT = 1.0  # A (judgement: a bath without much brightener burns within the panel)
BLOCKS = {
    "expect": "What to expect",
    "need": "What you need",
    "steps": "Steps",
    "look_for": "What to look for",
    "mistakes": "Usual mistakes",
    "waste": "Waste",
    "cautions": "Take care",
}


@dataclass(frozen=True)
class BenchCard:
    """The card of a test. expect: the bath that it is planned for, what will be read, and how surely it will tell.

    holds: what is so of its plan, by the names in the table's column `only_if`, such as "methyl orange".
    hours: what plating out takes, where that is the test. read_off: its syringe and burette, by the names of the tools.
    flask: at the end point with methyl orange, where that is the test. jars: what each jar of a row is called by, in
    order, empty where it holds the bath. figures: numbers to stand in the place of those in its drawings.
    """

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
    holds: frozenset[str] = frozenset()
    acts: tuple[Act, ...] = ()
    hours: float | None = None
    read_off: tuple[str, ...] = ()
    flask: EndPointFlask | None = None
    jars: tuple[str, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)

    @property
    def others(self) -> tuple[str, ...]:
        """The kinds of the other cards that its sentences name."""
        said = " ".join(text for section in self.sections() for text in section.lines)
        return tuple(kind for kind in CARDS if f"the card {label_of(kind)}" in said)

    def to_dict(self) -> dict[str, object]:
        """Return the card for another program."""
        blocks = {name: list(getattr(self, name)) for name in BLOCKS}
        return {"kind": self.kind, "label": self.label, **blocks, "holds": sorted(self.holds)}

    def sections(self) -> tuple[Section, ...]:
        """Return the card's blocks in the order in which they are needed."""
        return tuple(
            Section(title, getattr(self, name), numbered=name == "steps", caution=name == "cautions")
            for name, title in BLOCKS.items()
        ) + first_aid(self.acts)


@dataclass(frozen=True)
class _Setting:
    """What a card is written for: the expected bath, the gear, and the sheet for the rest. again: of a duplicate."""

    sheet: Sheet
    expected: Expected
    kit: Kit
    again: bool = False

    def sample(self, part: Measure) -> Line:
        """Say how to measure a volume of bath."""
        return _take(part, "bath", self.expected.density)


def _setting(sheet: Sheet) -> _Setting:
    kit = kit_of(sheet.gear.have, make_stock(sheet).crystals_pentahydrate)
    return _Setting(sheet, expected_bath(sheet), kit)


@dataclass(frozen=True)
class _Filling:
    """What one card takes beside the sentences of all: words for its gaps, what holds, and the rest of `BenchCard`.

    read_off: its syringe and its burette, under these words, which hold too.
    """

    words: Mapping[str, object] = field(default_factory=dict)
    holds: Collection[str] = ()
    hours: float | None = None
    read_off: Mapping[str, str] = field(default_factory=dict)
    flask: EndPointFlask | None = None
    jars: tuple[str, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class _Card:
    """How a card is made. plan: that of its test, None where nothing is planned; fill: what the card takes of it.

    read: of the reading's fields those that are read at the bench; all else is known from the plan before it begins.
    asked: those that its steps ask for besides, which may stay as the plan has them, or empty.
    repeated: the same plan with what a duplicate will show, by the bath as read so far and the reading that it repeats;
    None where a second test prepares everything anew.
    """

    plan: Callable[[Expected, Kit], Any] | None = None
    fill: Callable[[_Setting, Any], _Filling] = lambda *_: _Filling()
    read: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    repeated: Callable[[Any, Expected, Reading], Any] | None = None


@dataclass(frozen=True)
class Repeats:
    """What a duplicate comes after: the sheet with all that was read before it, and the reading that it repeats."""

    so_far: Sheet
    reading: Reading


def sound_part(raw: Mapping[str, Any], wrong_places: Iterable[str]) -> tuple[Sheet, bool]:
    """Return the sheet without the tables and readings in which something is wrong, and whether its bath was sound.

    Where it was not, a usual bath takes its place: a card may be opened before the fields of its reading are filled.
    """
    wrong = {place.partition(":")[0].partition(".")[0] for place in wrong_places}
    sound = {name: part for name, part in raw.items() if name not in wrong}
    sound["reading"] = [
        reading for number, reading in enumerate(sound.get("reading", []), 1) if f"reading {number}" not in wrong
    ]
    try:
        return read_sheet({**USUAL, **sound}), "bath" in sound
    except InputError:  # what only shows once the tables are seen together
        return read_sheet(USUAL), False


def bench_card(kind: str, sheet: Sheet, is_begun: bool = False, repeats: Repeats | None = None) -> BenchCard:
    """Return the card of a kind of reading (or one of OTHER_LABELS) for a sheet's bath and gear; raises InputError.

    is_begun: its reading stands in the sheet as the plan says, so that no step asks to enter that. repeats: where it is
    a duplicate, of a kind in DUPLICATED and by the plan for `sheet`.
    """
    if kind not in CARDS:
        raise InputError("kind", show(kind), f"it must be one of: {', '.join(CARDS)}{nearest(kind, CARDS)}")
    setting, card = _setting(sheet), CARDS[kind]
    plan, note = _planned(card.plan, setting) if card.plan else (None, ())
    words_of_all = _words_of_all(setting.expected)
    if repeats:
        assert card.repeated
        now = expected_bath(repeats.so_far)
        setting, plan = replace(setting, again=True), card.repeated(plan, now, repeats.reading)
        # The portion and its indicator are those of the plan; only what is told of the bath is as it was read.
        words_of_all |= {name: said for name, said in _words_of_all(now).items() if name in ("bath", "chloride")}
    filling = card.fill(setting, plan)
    words, holds = {**words_of_all, **filling.words}, frozenset({*filling.holds, *filling.read_off})
    left_out = {ENTER: is_begun, ONCE: setting.again, AGAIN: not setting.again}
    said, acts = _said(kind, words, holds, left_out)
    said["expect"] = (*note, *said["expect"])
    return BenchCard(
        kind,
        label_of(kind),
        **said,
        holds=holds,
        acts=acts,
        hours=filling.hours,
        read_off=tuple(filling.read_off.values()),
        flask=filling.flask,
        jars=filling.jars,
        figures=filling.figures,
    )


def _said(
    kind: str, words: Mapping[str, object], holds: Collection[str], left_out: Mapping[str, bool]
) -> tuple[dict[str, tuple[str, ...]], tuple[Act, ...]]:
    """Return what the table says on a card, by its blocks, and its acts, whose cautions come first among those.

    left_out: of each kind of step that not every card of a test has, whether this one is without.
    """
    blocks: dict[str, list[str]] = {name: [] for name in BLOCKS}
    acts: list[Act] = []
    for row in tables.rows("bench_cards"):
        block = row["block"]
        if kind in row["card"].split(", ") and (not row["only_if"] or row["only_if"] in holds):
            if block == "acts":
                acts.append(Act(row["text"]))
            elif not left_out.get(block):
                blocks["steps" if block in left_out else block].append(filled(row["text"], words))
    blocks["cautions"][:0] = cautions(acts)
    return {name: tuple(map(at_the_bench, lines)) for name, lines in blocks.items()}, tuple(acts)


def label_of(kind: str) -> str:
    """Return what the card of a kind is called."""
    return KINDS[kind].label if kind in KINDS else OTHER_LABELS[kind]


def _words_of_all(expected: Expected) -> dict[str, object]:
    """Return what fills a gap on any card."""
    return {
        **{row["block"]: row["text"] for row in tables.rows("bench_cards") if row["card"] == EVERY_CARD},
        "first_words": FIRST_WORDS,
        "salt_solution": SALT_SOLUTION_RECIPE,
        "silver_waste": SILVER_WASTE,
        "copper_sulfate": expected.copper_sulfate,
        "sulfuric_acid": expected.sulfuric_acid,
        "chloride": expected.chloride,
        "bath": line(
            "Planned for a bath of about {copper:.0f g/L} copper sulfate and {acid:.3g g/L} free acid (from {source}).",
            copper=expected.copper_sulfate,
            acid=expected.sulfuric_acid,
            source=expected.source,
        ),
    }


# --- Words for numbers ----------------------------------------------------------------------------


def _planned(function: Callable[[Expected, Kit], Plan], setting: _Setting) -> tuple[Plan, tuple[str, ...]]:
    """Return a plan and a note: where the gear or the bath allows none, it is for a 10 mL syringe or more acid."""
    easier = setting.expected.holding(sulfuric_acid=Value(55.0, 10.0))
    syringe = kit_of((), setting.kit.crystals_pentahydrate)
    tries = (
        (setting.expected, setting.kit, ""),
        (setting.expected, syringe, "The numbers here are for a 10 mL syringe."),
        (easier, syringe, "The numbers here are for a 10 mL syringe and a bath of {55 g/L} acid."),
    )
    reason = ""
    for expected, kit, said in tries:
        try:
            return function(expected, kit), (line("{reason} {said}", reason=reason, said=line(said)),) if reason else ()
        except NoPlan as error:
            reason = reason or error.args[0]
    raise AssertionError(reason)  # a 10 mL syringe measures a usual bath


def _tells(spread: float, what: str, unit: str = "g/L") -> Line:
    """Say how surely a reading will tell a component, as a 95 % half-width."""
    half = half_width(spread, unit)
    return line("Done like this, it tells the {what} to ± {half}, 95 times in 100.", what=what, half=half)


def _take(part: Measure, what: str, density: float) -> Line:
    """Say how to measure a volume."""
    if part.tool:
        return line("{volume:g mL} of {what} with the {tool}", volume=part.millilitres, what=what, tool=part.tool)
    return line(
        "{mass:.1f g} of {what}, weighed: that is {volume:g mL} at {density:.3f} g/mL (write {text} in the reading)",
        mass=part.millilitres * density,
        what=what,
        volume=part.millilitres,
        density=density,
        text=part.volume.text,
    )


def _to_measure(tools: Iterable[str]) -> Line:
    """Say what to measure with."""
    return line("To measure: {tools}.", tools=joined(", ", sorted(tools)))


def _make_up(made: TitrantRecipe, most_mL: float, kit: Kit) -> Line:
    """Say how to make up a titrant, of which one titration takes so much at most [mL]."""
    if made.substance == "silver nitrate":
        return line(
            "Silver nitrate {strength:g} mol/L, best bought ready made (else {grams:.2f g} in {volume:.0f mL} of "
            "distilled water, weighed to {0.01 g} or better).",
            strength=made.strength,
            grams=made.grams,
            volume=made.millilitres,
        )
    more = ""
    if made.millilitres > enough_mL(most_mL):
        more = FOR_THE_SCALE if kit.weighs_soundly(made.grams) else STILL_ROUGH
    return line(
        "{first}Dissolve {grams} of {name} in {water:.0f g} of distilled water (1 g is 1 mL): that makes "
        "{volume:.0f mL} of {strength}.{more}",
        first=BAKE if made.substance == "sodium carbonate" else "",
        grams=Amount(made.grams, "g", kit.decimals),
        name=TITRANT_NAMES.get(made.substance, made.substance),
        water=made.water,
        volume=made.millilitres,
        strength=made.molarity.text,
        more=more,
    )


def _is_one_tool(plan: TitrationPlan) -> bool:
    """Tell whether bath and titrant are measured with one tool."""
    return plan.used.tool is not None and plan.used.tool == plan.sample.tool


def _run_in(plan: TitrationPlan, again: bool) -> Line:
    """Say how much titrant to expect and how it is measured; again: where some may be in the tool from before."""
    enough = line(
        "expect about {used:.1f mL}, and have {most:.0f mL} at hand",
        used=plan.used.millilitres,
        most=ceil(plan.most_mL),
    )
    if plan.used.tool is None:
        return line(
            "Weigh the bottle of titrant before and after, and divide the grams used by {density:.3f} to get "
            "millilitres: {enough}.",
            density=plan.titrant.density,
            enough=enough,
        )
    fills = "refill it as needed and add up; " if "syringe" in plan.used.tool else ""
    # Bath left in it would use up titrant that nobody reads.
    is_one = _is_one_tool(plan)
    washed = line("Rinse the {tool} with water and then with titrant. ", tool=plan.used.tool) if is_one else ""
    fill = "Refill the {tool} with titrant, or leave it" if again and not is_one else "Fill the {tool} with titrant"
    return line(
        "{washed}{fill}, and note where it stands; {fills}{enough}.",
        washed=washed,
        fill=line(fill, tool=plan.used.tool),
        fills=fills,
        enough=enough,
    )


# --- Titrations -----------------------------------------------------------------------------------


def _titration(setting: _Setting, plan: TitrationPlan) -> dict[str, object]:
    """Return the words that every titration takes."""
    tools = {part.tool or OWN_SCALE for part in (plan.sample, plan.used, *(plan.predilution or ()))}
    if plan.titrant.substance != "silver nitrate":  # bought ready made
        tools.add(OWN_SCALE if setting.kit.scale_step else NO_SCALE)
    return {
        "used": plan.used.millilitres,
        "tools": _to_measure(tools),
        "glass": line(
            "A clear glass flask or jar for {volume:.0f mL}, white paper under it, distilled water.",
            volume=plan.diluted_to_mL + plan.most_mL,
        ),
        "make_up": _make_up(plan.titrant, plan.most_mL, setting.kit),
        "run_in": _run_in(plan, setting.again),
        "with_bath": _with_bath(plan),
        "sample": setting.sample(plan.sample),
        "why_sample": "" if setting.again else _why_sample(setting.expected, plan.component),
        "flask_mL": plan.diluted_to_mL,
        "strength": plan.titrant.molarity.text,
        "write_down": "note how many millilitres went in" if plan.used.tool else "weigh the bottle again",
    }


def _with_bath(plan: TitrationPlan) -> Line:
    """Say, after a sentence, that the one tool for both, in which titrant is left, is rinsed before the next sample."""
    if not _is_one_tool(plan):
        return line("")
    said = " Rinse the {tool} with water and then with {what}: titrant left in it would use up some of the sample."
    return line(said, tool=plan.sample.tool, what="the diluted bath" if plan.predilution else "bath")


def _why_sample(expected: Expected, component: str) -> Line:
    """Say what a sample hangs on, where readings tell it: the plan of the check before may have taken another one."""
    if component not in expected.told:
        return line("")
    name, unit = TITRATED[component]
    return line(
        " A sample of this size suits a bath with {content} of {name}, as read before; the next check may take "
        "another.",
        content=range_of(*expected.known.of(component), unit),
        name=name,
    )


def _read_off(*measures: Measure) -> dict[str, str]:
    """Return the syringe and the burette that measures are read off, the first of each; empty where all is weighed."""
    tools = {part.tool.split()[-1]: part.tool for part in reversed(measures) if part.tool}
    return {name: tools[name] for name in ("syringe", "burette") if name in tools}


def _of_titration(plan: TitrationPlan, words: dict[str, object], holds: Collection[str]) -> _Filling:
    """Return what a titration's card takes, with the tools that it is read off: titrant first, whose end is read."""
    weighed = () if plan.used.tool else ("weighed",)
    return _Filling(words, {*holds, *weighed}, read_off=_read_off(plan.used, plan.sample))


def _of_acid(setting: _Setting, plan: TitrationPlan) -> tuple[dict[str, object], str]:
    """Return the words that a titration of the acid takes, and whether soda or lye is run in."""
    words = {
        **_titration(setting, plan),
        "tells": _tells(plan.standard_uncertainty, "free acid"),
        "Titrant": TITRANT_NAMES[plan.titrant.substance].capitalize(),
    }
    return words, "lye" if plan.titrant.substance == "sodium hydroxide" else "soda"


def _acid(setting: _Setting, plan: TitrationPlan) -> _Filling:
    words, base = _of_acid(setting, plan)
    end = str(plan.fields["end_point"])
    holds = {end, base}
    if end != METHYL_ORANGE:
        holds.add("no indicator")
    if base == "soda":
        holds.add("gas at the cloud" if end == "first lasting cloud" else "gas")
    words["off"] = 100 * abs(plan.bias)
    words["early_or_late"] = "early" if plan.bias < 0 else "late"
    words["end_point"] = "pH meter (3.85)" if end == "pH meter" else end
    filling = _of_titration(plan, words, holds)
    if end != METHYL_ORANGE:
        return filling
    in_flask = plan.diluted_to_mL + plan.used.millilitres
    flask = flask_at_the_end(plan.sample.millilitres, setting.expected.copper_sulfate, in_flask)
    seen = {"drops": flask.drops, "sample_mL": plan.sample.millilitres, "path_cm": PATH}
    over = "over copper" if flask.is_over_copper else "little copper"
    return replace(filling, words={**words, **seen}, holds={*filling.holds, over}, flask=flask)


def _curve(setting: _Setting, plan: TitrationPlan) -> _Filling:
    words, base = _of_acid(setting, plan)
    points = plan.fields["points"]
    assert isinstance(points, tuple)
    even = CURVE_POINTS[0] - 1
    words |= {
        "first_pH": points[0][1],
        "last_pH": points[-1][1],
        "last_mL": points[-1][0],
        "points": len(points),
        "even_steps": even,
        "turn_mL": points[even][0],
        "small_step_mL": points[-1][0] - points[-2][0],
    }
    return _of_titration(plan, words, {base})


def _copper(setting: _Setting, plan: TitrationPlan) -> _Filling:
    words = _titration(setting, plan)
    words["tells"] = _tells(plan.standard_uncertainty, "copper sulfate")
    words["copper_mg"] = plan.copper_mg
    holds = {str(plan.fields["method"])}
    if plan.predilution:
        taken, made_up = plan.predilution
        holds.add("diluted")
        words["taken"] = setting.sample(taken)
        words["made_up_mL"] = made_up.millilitres
        words["made_up_in"] = _made_up_in(made_up)
        words["sample"] = _take(plan.sample, "the diluted bath", 1.0)
    return _of_titration(plan, words, holds)


def _chloride(setting: _Setting, plan: TitrationPlan) -> _Filling:
    words = _titration(setting, plan)
    words["tells"] = _tells(plan.standard_uncertainty, "chloride", "mg/L")
    words["mol_L"] = plan.titrant.strength
    return _of_titration(plan, words, ())


# --- The other tests ------------------------------------------------------------------------------


def _plated_out(setting: _Setting, plan: PlatingOutPlan) -> _Filling:
    told = _tells(plan.standard_uncertainty, "copper sulfate")
    words = {**vars(plan), "sample": setting.sample(plan.sample), "tells": told}
    return _Filling(words, hours=plan.hours, read_off=_read_off(plan.sample))


def _cemented(setting: _Setting, plan: CementingPlan) -> _Filling:
    told = _tells(plan.standard_uncertainty, "copper sulfate")
    words = {**vars(plan), "sample": setting.sample(plan.sample), "tells": told, "water_mL": CEMENTED_IN_mL}
    return _Filling(words, read_off=_read_off(plan.sample))


def _standards(_: _Setting, plan: StandardsPlan) -> _Filling:
    jars = [
        line("{held:.0f g/L} with {grams:.3g g} of crystals", held=jar.copper_sulfate, grams=jar.crystals_g)
        for jar in plan.standards
    ]
    times = plan.standards[0].dilution
    words = {
        "between": Amount(plan.between[0], "g/L", upper=plan.between[1], link=" and "),
        "tells": _tells(plan.standard_uncertainty, "copper sulfate"),
        "all_jars": len(jars) + plan.jars_of_bath,
        "jars_of_bath": "a jar" if plan.jars_of_bath == 1 else f"{plan.jars_of_bath} jars",
        "in_jars": ", ".join(f"{jar.copper_sulfate / times:.4g}" for jar in plan.standards),
        "path_cm": plan.path_cm,
        "jar_mL": plan.standards[0].volume_mL,
        "jars": joined("; ", jars),
        "times": times,
        "five_made_up_mL": 5 * times,
    }
    called = [f"{jar.copper_sulfate:.0f}" for jar in plan.standards]
    below = sum(jar.copper_sulfate <= plan.between[0] for jar in plan.standards)
    in_a_row = (*called[:below], *[""] * plan.jars_of_bath, *called[below:])
    return _Filling(words, {"diluted" if times > 1 else "undiluted"}, jars=in_a_row)


def _density(_: _Setting, plan: DensityPlan) -> _Filling:
    return _Filling({**vars(plan), "tells": _tells(plan.standard_uncertainty, "copper sulfate")})


def _weighed_density(setting: _Setting, plan: DensityPlan) -> _Filling:
    is_fine = setting.kit.scale_step is not None and setting.kit.scale_step <= COARSEST_SCALE
    empty, places = BOTTLE_g_PER_mL * plan.bottle_mL, setting.kit.decimals
    weights = {"38.21": empty, "138.05": empty + WATER_DENSITY * plan.bottle_mL, "152.90": empty + plan.shown}
    return replace(
        _density(setting, plan),
        holds={"finer scale" if is_fine else "kitchen scale"},
        figures={drawn: f"{weight:.{places}f}" for drawn, weight in weights.items()},
    )


def _thinning(
    setting: _Setting, plan: ThinningPlan, creeps: tuple[float, float], places: int, more: Mapping[str, object]
) -> _Filling:
    """Return what every thinning takes: how its pen creeps, with how many decimals, and words of its own (`more`)."""
    first, last = plan.steps[0], plan.steps[-1]
    tools = {part.tool or OWN_SCALE for step in plan.steps for part in step}
    words = {
        "times": plan.times,
        "tools": _to_measure(tools),
        "taken": setting.sample(first[0]),
        "made_up": _made_up(first[1]),
        "taken_again": _take(last[0], "that mixture", 1.0),
        "made_up_again": _made_up(last[1]),
        "tells": _tells(plan.standard_uncertainty, "free acid"),
        "shown": plan.shown,
        **more,
    }
    drawn = zip(("1192", "1163", "1150"), (*creeps, 0.0), strict=True)
    return _Filling(
        words,
        {"one step" if len(plan.steps) == 1 else "two steps"},
        read_off=_read_off(first[0], last[0]),
        figures={of_the_picture: f"{plan.shown + away:.{places}f}" for of_the_picture, away in drawn},
    )


def _made_up(made_up: Measure) -> Line:
    """Say how a thinned liquid is made up."""
    return line("{volume:.0f mL} ({where})", volume=made_up.millilitres, where=_made_up_in(made_up))


def _made_up_in(made_up: Measure) -> str:
    """Say in what a volume of water is measured."""
    return f"in the {made_up.tool}" if made_up.tool else "on the scale, a gram for a millilitre"


def _conductivity(setting: _Setting, plan: ThinningPlan) -> _Filling:
    ppm = {"half": plan.shown / 2, "seven_tenths": 0.7 * plan.shown}
    return _thinning(setting, plan, CREEPS_uS_cm, 0, {**ppm, "salt": 10 * salt_like_potassium_chloride()})


def _thinned_pH(setting: _Setting, plan: ThinningPlan) -> _Filling:
    return _thinning(setting, plan, CREEPS_pH, 2, {})


def _strip(_: _Setting, plan: StripPlan) -> _Filling:
    words = {**vars(plan), "tells": _tells(plan.standard_uncertainty, "chloride", "mg/L")}
    return _Filling(words, {"diluted" if plan.dilution > 1 else "undiluted"})


def _ladder(*_: object) -> _Filling:
    doses = ", ".join(f"{level} mg/L: {level * LADDER_JAR_mL / 1000 / SALT_mg_PER_mL:.2g} mL" for level in LADDER_mg_L)
    words = {"all_jars": len(LADDER_mg_L) + 1, "doses": doses, "jar_mL": LADDER_JAR_mL}
    levels, half = list(map(str, LADDER_mg_L)), len(LADDER_mg_L) // 2
    return _Filling(words, jars=(*levels[:half], "", *levels[half:]))


def _hull_cell(*_: object) -> _Filling:
    """Return the words of a panel: the cell's sides, and the current densities along it."""
    at = {f"at_{distance}": current_density(distance, PANEL_CURRENT) for distance in (1, 2, 4, 6, 8)}
    sides = {name.replace(" ", "_"): centimetres for name, centimetres in SIDES_CM.items()}
    return _Filling({**at, **sides, "current": PANEL_CURRENT})


CARDS = {
    SAMPLING: _Card(),
    HULL_CELL: _Card(fill=_hull_cell),
    "acid titration": _Card(plan_acid, _acid, ("used", "fizzing"), repeated=repeated_titration),
    "copper titration": _Card(plan_copper, _copper, ("used",), repeated=repeated_titration),
    "hydrometer": _Card(
        lambda expected, _: plan_hydrometer(expected), _density, ("value",), ("scale", "temperature", "calibration")
    ),
    "weighed density": _Card(
        plan_weighed_density, _weighed_density, ("empty", "with_water", "with_bath"), ("temperature",)
    ),
    "plated-out copper": _Card(plan_plating_out, _plated_out, ("before", "after")),
    "cemented copper": _Card(plan_cementing, _cemented, ("before", "after")),
    "colour match": _Card(plan_standards, _standards, ("position",)),
    "photo colour": _Card(
        partial(plan_standards, seen_by="camera"), _standards, ("standards", "samples", "light_even_to")
    ),
    "pH curve": _Card(plan_curve, _curve, ("points",)),
    "thinned conductivity": _Card(
        plan_thinned_conductivity,
        _conductivity,
        ("value", "temperature", "water"),
        ("reference",),
        repeated_thinning,
    ),
    "thinned pH": _Card(
        plan_thinned_pH,
        _thinned_pH,
        ("value", "buffer", "temperature", "water"),
        ("second_buffer", "reference"),
        repeated_thinning,
    ),
    "chloride titration": _Card(plan_chloride, _chloride, ("used",), repeated=repeated_titration),
    "chloride strip": _Card(
        lambda expected, _: plan_strip(expected), _strip, ("value",), ("lower", "upper", "dilution")
    ),
    "chloride ladder": _Card(fill=_ladder),
    "laboratory report": _Card(),
    "make-up": _Card(asked=("crystals", "purity", "form", "acid", "acid_strength", "water", "final_volume", "since")),
    "previous check": _Card(),
}
DUPLICATED = frozenset(kind for kind, card in CARDS.items() if card.repeated)
READ = {kind: card.read for kind, card in CARDS.items() if card.read}
TO_ENTER = {kind: (*card.read, *card.asked) for kind, card in CARDS.items() if card.read or card.asked}


def begun(kind: str, sheet: Sheet) -> dict[str, object]:
    """Return a reading as a sheet writes it, with all that its plan for a sheet's bath and gear says.

    What is read at the bench is not in it; a kind that has no plan begins empty.
    """
    card = CARDS[kind]
    if card.plan is None:
        return {}
    plan, _ = _planned(card.plan, _setting(sheet))
    written = write_table(KINDS[kind](**plan.fields))
    return {name: value for name, value in written.items() if name not in card.read}
