"""What to weigh and measure for a new bath, and the other way round: what a recipe really gives.

Both ways use the same mass balance as a correction, into an empty tank: grams add up, litres do not. A mixture is
judged against the working window, against every published one, and against the cold. Nothing is known here of a bath
that is in use.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import ClassVar

from scipy.optimize import brentq

from advisor.basis.components import COMPONENTS, NAMES, UNITS
from advisor.basis.fields import Fault, InputError
from advisor.basis.tables import rows
from advisor.basis.units import Measured
from advisor.check.advice import crystals_form
from advisor.check.assessment import limits_of
from advisor.check.correction import Plan, correct
from advisor.check.known import Value, independent
from advisor.check.mass_balance import ACID_PER_ALKALINITY, After, Amounts, Stock, Task, forward
from advisor.check.pouring import FIRST_WORDS, VESSEL, Pouring, poured_into
from advisor.check.remarks import FAR_BELOW
from advisor.check.steps import (
    STEP_ACTS,
    Step,
    chloride_dose,
    counted_water,
    graded,
    salt_acts,
    salt_name,
    step_dose,
    steps_of,
)
from advisor.check.task import make_task
from advisor.check.window import Limits, Verdict, judge, not_measured, window_limits
from advisor.sheet import WINDOW_NAMES, Mix, Sheet
from advisor.solution.composition import masses
from advisor.solution.density import WATER_DENSITY
from advisor.solution.heat import cooling_by_crystals, warming_by_acid, warming_by_anhydrous
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.solution.solubility import ceiling_at, crystallises_below, to_keep_above
from advisor.solution.stock import BATTERY_ACID, acid_density, is_anhydrous
from advisor.words import phrases
from advisor.words.cautions import Act, StepWithActs, cautions, in_order, take_care
from advisor.words.lines import Amount, Line, in_a_jug, line, listed, measured_out, weighed
from advisor.words.sections import Section
from advisor.words.states import PlanState

# Relative standard uncertainty of what a mixture holds (judgement): weighing and purity of the crystals, a jug and the
# label's strength for the acid, both with the marks of the tank.
MIXED_TO = {"copper_sulfate": 0.014, "sulfuric_acid": 0.032}
MOST = {"copper_sulfate": HIGHEST_COPPER_SULFATE, "sulfuric_acid": HIGHEST_SULFURIC_ACID}  # g/L
SURELY_IN = 1.96  # standard uncertainties between an aim that the cold lowers and the window's edge (judgement)
MARKED_TO = 0.005  # relative standard uncertainty of the volume mixed (judgement)
BELOW_THE_CEILING = 0.998  # of what stays dissolved, so that rounded amounts stay below it (judgement)
WATER_FIRST = 0.8  # share of the water in which the crystals dissolve; the rest tops up (judgement)


@dataclass(frozen=True)
class Mending:
    """How a recipe outside the window is put right: what to weigh instead, and what to do once it is mixed.

    instead: the amounts for the same volume, None where the acid at hand is too weak for it, or where the cold alone is
    in the way and leaves nothing that is surely inside the window.
    """

    instead: Amounts | None
    volume: float  # L that these make
    plan: Plan
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Mixture:
    """A bath as mixed from a stock: crystals, acid in g; acid_mL of its strength; water, volume in L at 20 degC."""

    crystals: float
    acid: float
    acid_mL: float
    water: float
    volume: float
    copper_sulfate: float  # g/L
    sulfuric_acid: float
    verdict: dict[str, Verdict]
    windows: dict[str, dict[str, str]]  # state of copper sulfate and acid in each named window
    crystallises_below: float  # degC
    stays_dissolved: bool  # at the coldest, with the solubility ceiling
    fits_tank: bool | None  # None where the sheet names no most volume
    suppressor: float | None  # g/L
    cost: float | None
    steps_with_acts: tuple[StepWithActs, ...]
    stock: Stock
    wants_chloride: bool
    warnings: tuple[str, ...] = ()
    mending: Mending | None = None  # of a recipe that is not inside the window, or that the cold spoils

    TITLE: ClassVar[str] = "Mixing a bath"

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "crystals_g": self.crystals,
            "acid_g": self.acid,
            "acid_mL": self.acid_mL,
            "water_L": self.water,
            "volume_L": self.volume,
            "copper_sulfate_g_L": self.copper_sulfate,
            "sulfuric_acid_g_L": self.sulfuric_acid,
            "verdict": {name: asdict(judged) for name, judged in self.verdict.items()}
            | {"crystallises_below_degC": self.crystallises_below},
            "windows": self.windows,
            "stays_dissolved": self.stays_dissolved,
            "fits_tank": self.fits_tank,
            "suppressor_g_L": self.suppressor,
            "cost": self.cost,
            "steps": list(self.steps),
            "mended": self._mended_dict(),
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }

    @property
    def keep_above(self) -> Amount | None:
        """How warm it has to stand [degC] for all to stay dissolved; None where no warmth will do."""
        warm = to_keep_above(self.copper_sulfate, self.sulfuric_acid)
        return None if warm is None else Amount(warm, "°C", is_least=True)

    @property
    def salt(self) -> str:
        """What is weighed, in short."""
        return salt_name(self.stock.crystals_pentahydrate, in_brief=True)

    @property
    def steps(self) -> tuple[str, ...]:
        """How to mix it, in this order."""
        return tuple(text for text, _ in self.steps_with_acts)

    @property
    def acts(self) -> tuple[Act, ...]:
        """What mixing is for the hands, and mending what is mixed already."""
        of_salt = salt_acts(self.stock.crystals_pentahydrate)
        of_chloride = STEP_ACTS[self.stock.chloride_kind] if self.wants_chloride else ()
        of_mending = (act for step in (self.mending.steps if self.mending else ()) for act in step.acts)
        return tuple(dict.fromkeys((*ACID_ACTS, *of_salt, *OTHER_ACTS, *of_chloride, *of_mending)))

    def _mended_dict(self) -> dict[str, object] | None:
        mending = self.mending
        if mending is None:
            return None
        instead = mending.instead
        return {
            "instead": instead
            and {
                "crystals_g": instead.crystals,
                "acid_g": instead.acid,
                "acid_mL": instead.acid / self.stock.acid_density,
                "water_L": instead.water_L,
            },
            "state": mending.plan.state,
            "steps": [step.to_dict() for step in mending.steps],
        }

    def _instead_lines(self) -> tuple[str, ...]:
        if self.mending is None or self.mending.instead is None:
            return ()
        instead = self.mending.instead
        return (
            line(
                "{grams} of {salt}, {acid_mL} of this acid ({acid_g}) and {water} of water make {volume} inside "
                "the window – {words}.",
                grams=weighed(instead.crystals),
                salt=self.salt,
                acid_mL=measured_out(instead.acid / self.stock.acid_density),
                acid_g=weighed(instead.acid),
                water=in_a_jug(instead.water_L),
                volume=in_a_jug(self.mending.volume),
                words=FIRST_WORDS,
            ),
        )

    def _mending_lines(self) -> tuple[str, ...]:
        if self.mending is None:
            return ()
        if not self.mending.steps:
            blocked = self.mending.plan.blocked_by
            return (line("What stands in the way of putting it right is {limit}.", limit=blocked),) if blocked else ()
        return tuple(line("{dose}. {how}", dose=step_dose(step), how=step.how) for step in self.mending.steps)

    def sections(self) -> tuple[Section, ...]:
        """Return the mixture for a reader: what it holds, how to mix it, then what to know and the cautions."""
        blocks = (
            Section("What the mixture holds", self._result_lines()),
            Section("What to weigh instead, if it is not mixed yet", self._instead_lines()),
            Section(
                "How to correct it, if it is mixed already",
                self._mending_lines(),
                numbered=True,
                beside=tuple(cautions(step.acts) for step in self.mending.steps) if self.mending else (),
            ),
            in_order("How to mix it, in this order", self.steps_with_acts),
            Section("Against the published windows", self._window_lines()),
            Section("What you should know", self.warnings),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        acid = line(
            ", {acid_mL} of acid {strength} ({acid_g})",
            acid_mL=measured_out(self.acid_mL),
            strength=graded(self.stock.acid_strength, self.stock.acid_is_told),
            acid_g=weighed(self.acid),
        )
        made = line(
            "{grams} of {salt}{acid} and {water} of water make {volume} of bath{mind}.",
            grams=weighed(self.crystals),
            salt=self.salt,
            acid=acid if self.acid > 0 else "",
            water=in_a_jug(self.water),
            volume=in_a_jug(self.volume),
            mind=f" – {FIRST_WORDS}" if self.acid > 0 else "",
        )
        lines = [made]
        for name in MIXED_TO:
            value, limits = getattr(self, name), self.verdict[name].limits
            window = ""
            if limits:
                window = line(" ({limits})", limits=Amount(limits[0], UNITS[name], digits=6, upper=limits[1]))
            lines.append(
                line(
                    "{component}: {shown} – {place}{window}",
                    component=NAMES[name].capitalize(),
                    shown=Amount(value, "g/L", standard_uncertainty=MIXED_TO[name] * value),
                    place=_PLACES[self.verdict[name].state],
                    window=window,
                )
            )
        return (*lines, line("{cold}.", cold=crystals_form(self.crystallises_below)))

    def _window_lines(self) -> tuple[str, ...]:
        told = {row["name"]: row["status"] for row in rows("windows")}
        source = {"read": "published", "memory": "published, from memory", "judgement": "judgement"}
        return tuple(
            f"{name.capitalize()} ({source[told[name]]}): copper sulfate {_PLACES[states['copper_sulfate']]}, sulfuric "
            f"acid {_PLACES[states['sulfuric_acid']]}."
            for name, states in self.windows.items()
        )


_PLACES = {**phrases.SIDES, "unsure": "at the edge of the window"}
ACID_ACTS = (Act.SULFURIC_ACID, Act.POURING_ACID, Act.CHOOSING_ACID)
OTHER_ACTS = (Act.CHLORIDE_NEAR_BLEACH, Act.FOOD_WARE, Act.COPPER_WASTE, Act.LOCAL_RULES)
SUPPRESSOR_ALONE = (
    "A polyether powder alone (PEG and the like) is a suppressor, not a brightener. The literature says that it hardly "
    "works without chloride: bring chloride into the window first, or leave the powder out."
)
SUPPRESSOR_RULE = line(
    "Hobbyists use about half a teaspoon of PEG 3350 laxative powder in a little over two US quarts (common practice, "
    "no source). Half a level teaspoon weighs about {1.5 g} (judgement), so that is about {0.7 g/L}; weigh yours."
)


def mix(sheet: Sheet) -> Mixture:
    """Return what to mix for a volume and a window, or judge the recipe that the sheet names.

    Raises InputError where a recipe is incomplete, holds more than any bath can, or where the acid at hand is too weak.
    """
    wanted = sheet.mix or Mix()
    task = empty_tank(sheet)
    is_recipe = any(part is not None for part in (wanted.crystals, wanted.acid, wanted.water))
    amounts = _recipe(task, wanted) if is_recipe else _for_aim(sheet, task, wanted)
    made = forward(task, amounts)
    for name, most in MOST.items():
        if getattr(made, name) > most:
            found = line("this makes {made:.0f g/L} {what}", made=getattr(made, name), what=NAMES[name])
            raise InputError("mix", found, line("at most {most:g g/L}", most=most))
    limits = limits_of(sheet)
    verdict = {name: _judge(made, name, limits[name]) for name in MIXED_TO}
    verdict["chloride"] = not_measured(limits["chloride"])
    ceiling = float(ceiling_at(task.coldest)(made.sulfuric_acid))
    most_volume = sheet.bath.max_volume
    mixture = Mixture(
        crystals=amounts.crystals,
        acid=amounts.acid,
        acid_mL=amounts.acid / task.stock.acid_density,
        water=amounts.water_L,
        volume=made.volume,
        copper_sulfate=made.copper_sulfate,
        sulfuric_acid=made.sulfuric_acid,
        verdict=verdict,
        windows={name: _states(made, name) for name in WINDOW_NAMES},
        crystallises_below=float(crystallises_below(made.copper_sulfate, made.sulfuric_acid)),
        stays_dissolved=made.copper_sulfate <= ceiling,
        fits_tank=made.volume <= most_volume.least if most_volume else None,
        suppressor=wanted.suppressor.value / made.volume if wanted.suppressor else None,
        cost=task.stock.cost(amounts.crystals, amounts.acid),
        steps_with_acts=_steps(sheet, task, amounts, made),
        stock=task.stock,
        wants_chloride=_wants_chloride(sheet),
    )
    return replace(
        mixture,
        warnings=_warnings(sheet, task, mixture, amounts),
        mending=_mending(sheet, task, mixture) if is_recipe else None,
    )


def _mending(sheet: Sheet, task: Task, mixture: Mixture) -> Mending | None:
    """Return how a recipe is put right: as the check would correct a bath that holds what it gives."""
    judged = {name: mixture.verdict[name] for name in MIXED_TO}
    if all(verdict.state == "in" for verdict in judged.values()) and mixture.stays_dissolved:
        return None
    standing = _standing(sheet, task, mixture)
    plan = correct(standing)
    instead = _in_its_place(task, mixture, judged)
    only_cold = all(verdict.state not in ("low", "high") for verdict in judged.values())
    made = forward(task, instead)
    helps = instead.water >= 0 and not (
        only_cold and made.copper_sulfate > ceiling_at(task.coldest)(made.sulfuric_acid)
    )
    return Mending(
        instead if helps else None,
        made.volume,
        plan,
        steps_of(standing, plan) if plan.state is not PlanState.NOT_POSSIBLE else (),
    )


def _in_its_place(task: Task, mixture: Mixture, judged: Mapping[str, Verdict]) -> Amounts:
    """Return the amounts that make as much bath inside the window, where there is such; what is inside stays."""
    salt, acid = _aim(task)
    if mixture.stays_dissolved and judged["copper_sulfate"].state == "in":
        salt = mixture.copper_sulfate
    if judged["sulfuric_acid"].state == "in":
        acid = mixture.sulfuric_acid
    return _rounded(fresh(task, mixture.volume, salt, acid))


def _standing(sheet: Sheet, task: Task, mixture: Mixture) -> Task:
    """Return the task of correcting what a recipe makes, once it stands in a tank of its size."""
    values = {name: Value(getattr(mixture, name), MIXED_TO[name] * getattr(mixture, name)) for name in MIXED_TO}
    known = independent(values, MIXED_TO, mixture.volume, MARKED_TO)
    most = sheet.bath.max_volume
    bath = replace(
        sheet.bath,
        volume=Measured.of(mixture.volume, "L", "volume"),
        usual_volume=None,
        min_volume=None,
        max_volume=most if most and most.value > mixture.volume else None,
    )
    judged = {name: mixture.verdict[name] for name in MIXED_TO}
    return make_task(replace(sheet, bath=bath), known, {**task.verdicts, **judged})


def empty_tank(sheet: Sheet) -> Task:
    """Return a correction task of no volume: `forward` of it mixes from nothing, with the sheet's stock."""
    verdict = {name: not_measured(limits) for name, limits in limits_of(sheet).items()}
    task = make_task(sheet, None, verdict)
    return replace(task, known=replace(task.known, volume_L=0.0))


def fresh(task: Task, volume: float, copper_sulfate: float, sulfuric_acid: float) -> Amounts:
    """Return the amounts that make a volume [L] of fresh bath [g/L, g/L] from the task's stock; exact, not rounded.

    Water is negative where the acid at hand brings more of it than there is room for.
    """
    stock, neutralised = task.stock, 0.0
    crystals = copper_sulfate * volume / stock.crystals_pentahydrate
    inert = crystals * stock.crystals_inert
    needed = masses(copper_sulfate, sulfuric_acid, inert / volume, volume)
    beside_salt = crystals - float(needed.copper_sulfate) - inert
    for _ in range(3):  # the water's alkalinity takes acid, and that acid brings water
        acid = (sulfuric_acid * volume + neutralised) / stock.acid_strength
        water = float(needed.water) - beside_salt - acid * (1 - stock.acid_strength) - neutralised
        neutralised = max(water, 0.0) / WATER_DENSITY / 1000 * stock.water_alkalinity / 1000 * ACID_PER_ALKALINITY
    return Amounts(water=water, crystals=crystals, acid=acid)


def fresh_part(sheet: Sheet, litres: float, copper_sulfate: float, sulfuric_acid: float) -> Amounts:
    """Return what replaces so much bath [L]: it goes out, and fresh bath comes in, at the most as strong as wished.

    copper_sulfate, sulfuric_acid [g/L]: wished for; no more than stays dissolved at 20 degC while it is mixed.
    Where the acid at hand brings more water than there is room for, no water goes in besides.
    """
    acid = min(sulfuric_acid, HIGHEST_SULFURIC_ACID)
    salt = min(copper_sulfate, float(ceiling_at(20.0)(acid)))
    amounts = fresh(empty_tank(sheet), litres, salt, acid)
    return replace(amounts, take_out=litres, water=max(amounts.water, 0.0))


def fresh_part_said(stock: Stock, amounts: Amounts) -> Line:
    """Say what a fresh part is mixed of; nothing of which there is none."""
    salt = salt_name(stock.crystals_pentahydrate, in_brief=True)
    strength, millilitres = graded(stock.acid_strength, stock.acid_is_told), amounts.acid / stock.acid_density
    each = (
        (amounts.crystals, line("{grams} of {salt}", grams=Amount(amounts.crystals, "g"), salt=salt)),
        (amounts.acid, line("{volume} of acid {strength}", volume=Amount(millilitres, "mL"), strength=strength)),
        (amounts.water, line("{volume} of water", volume=in_a_jug(amounts.water_L))),
    )
    return listed(said for amount, said in each if amount > 0)


def _recipe(task: Task, wanted: Mix) -> Amounts:
    """Return the amounts of a recipe: crystals and acid with water, or with the volume to which it is made up."""
    _refuse_unclear(wanted)
    assert wanted.crystals is not None
    assert wanted.acid is not None
    crystals, acid = wanted.crystals.value, wanted.acid.value * 1000 * task.stock.acid_density
    if wanted.water:
        return Amounts(water=wanted.water.value * 1000 * WATER_DENSITY, crystals=crystals, acid=acid)
    assert wanted.volume is not None
    return _made_up_to(task, wanted.volume.value, Amounts(crystals=crystals, acid=acid))


def _refuse_unclear(wanted: Mix) -> None:
    """Refuse a recipe that lacks a part, that names an aim too, or that gives its volume twice or not at all."""
    for name in ("crystals", "acid"):
        if getattr(wanted, name) is None:
            raise InputError.missing(f"mix: {name}", 'a recipe needs all of it, "0 g" or "0 mL" for none')
    if wanted.copper_sulfate or wanted.sulfuric_acid:
        raise InputError("mix", "you gave a recipe and an aim", "give one of the two", Fault.CONFLICT)
    either = "give the water, or instead the volume that it is made up to"
    if wanted.water is None and wanted.volume is None:
        raise InputError.missing("mix: water", either)
    if wanted.water and wanted.volume:
        raise InputError("mix: water", "you gave water and volume", either, Fault.CONFLICT)


def _made_up_to(task: Task, volume: float, dry: Amounts) -> Amounts:
    """Return a recipe with the water that makes it up to a volume [L]."""

    def excess(water: float) -> float:
        return forward(task, replace(dry, water=water)).volume - volume

    if excess(0.0) > 0:
        raise InputError(
            "mix: volume", line("{volume:g L} leaves no room for any water", volume=volume), "give a larger volume"
        )
    return replace(dry, water=float(brentq(excess, 0.0, 1100 * volume)))


def _for_aim(sheet: Sheet, task: Task, wanted: Mix) -> Amounts:
    """Return the amounts for an aim, rounded to four digits: 0.05 % at most, below what a scale and a jug do."""
    volume = wanted.volume.value if wanted.volume else sheet.bath.usual_L
    salt, acid = _aim(task, wanted)
    exact = fresh(task, volume, salt, acid)
    if exact.water < 0:
        reach = 0.0
        if salt < HIGHEST_COPPER_SULFATE:
            reach = brentq(lambda less: fresh(task, volume, salt, less).water, 0.0, acid)
        raise InputError(
            "mix: sulfuric_acid",
            line(
                "{acid:.3g g/L} cannot be mixed with acid of {strength:.0f} %, which brings too much water",
                acid=acid,
                strength=100 * task.stock.acid_strength,
            ),
            line(
                "with {salt:.3g g/L} copper sulfate it reaches at most {reach:.0f g/L}: choose a window with less acid",
                salt=salt,
                reach=reach,
            ),
        )
    return _rounded(exact)


def _aim(task: Task, wanted: Mix | None = None) -> tuple[float, float]:
    """Return the copper sulfate and acid to mix [g/L]: what the person names, else the middle of the window.

    Where crystals would form at the coldest, copper sulfate is what a check would let it come to, as far as that is
    surely inside the window.
    """
    acid = wanted.sulfuric_acid.value if wanted and wanted.sulfuric_acid else task.aim_sulfuric_acid
    if wanted and wanted.copper_sulfate:
        return wanted.copper_sulfate.value, acid
    dissolves = BELOW_THE_CEILING * float(ceiling_at(task.coldest)(acid))
    return min(task.aim_copper_sulfate, max(dissolves, _least_surely_in(task.verdicts["copper_sulfate"].limits))), acid


def _least_surely_in(limits: Limits | None) -> float:
    """Return the least copper sulfate to mix that is surely inside its limits [g/L]."""
    return limits[0] / (1 - SURELY_IN * MIXED_TO["copper_sulfate"]) if limits else 0.0


def _rounded(exact: Amounts) -> Amounts:
    return Amounts(water=_round(exact.water), crystals=_round(exact.crystals), acid=_round(exact.acid))


def _round(value: float) -> float:
    return float(f"{value:.4g}")


def _judge(made: After, name: str, limits: Limits | None) -> Verdict:
    value = getattr(made, name)
    return judge(value, MIXED_TO[name] * value, limits)


def _states(made: After, window: str) -> dict[str, str]:
    limits = window_limits(window, dict.fromkeys(COMPONENTS), None)
    return {name: _judge(made, name, limits[name]).state for name in MIXED_TO}


def _steps(sheet: Sheet, task: Task, amounts: Amounts, made: After) -> tuple[StepWithActs, ...]:
    """Say how to mix: crystals in warm water first, acid in portions into the cooled liquid, then to the mark."""
    stock, first = task.stock, WATER_FIRST * amounts.water_L
    poured = poured_into(amounts.acid, stock.acid_strength, stock.acid_density, first)
    steps = [_first_water(stock, first, poured)]
    if amounts.crystals > 0:
        steps.append(_stirring_in(stock, amounts.crystals, first))
    if amounts.acid > 0:
        steps.append(_pouring(stock, amounts.acid, first, poured))
    fill_up = line(
        "Add the rest of the water, {rest}, to reach {volume}, and stir ten minutes.",
        rest=in_a_jug(amounts.water_L - first),
        volume=in_a_jug(made.volume),
    )
    steps.append((fill_up, ()))
    if _wants_chloride(sheet):
        steps += [(text, STEP_ACTS[stock.chloride_kind]) for text in _chloride_step(sheet, task, amounts, made)]
    last = "Let it cool and settle, filter it, and write down what went in: that is your first reading."
    return (*steps, (last, ()))


def _first_water(stock: Stock, litres: float, poured: Pouring) -> StepWithActs:
    """Say into what vessel the first water [L] goes: warm for crystals, cold for a powder that warms it."""
    is_cold = is_anhydrous(stock.crystals_pentahydrate)
    begin = "Put {first} of cold water" if is_cold else "Warm {first} of water to about {40 °C}"
    return (
        line(
            "{begin} in a vessel of {of} that holds at least {holds}. Use {water}.",
            begin=line(begin, first=in_a_jug(litres)),
            water=counted_water(stock),
            of=VESSEL,
            holds=Amount(poured.vessel, "L", digits=2),
        ),
        (Act.FOOD_WARE,),
    )


def _stirring_in(stock: Stock, crystals: float, water: float) -> StepWithActs:
    """Say how copper sulfate [g] goes into the first water [L], and what that does to its temperature."""
    if is_anhydrous(stock.crystals_pentahydrate):
        warms = warming_by_anhydrous(crystals * stock.crystals_pentahydrate, water)
        turns = line(
            "warms it by about {warms}: in spoonfuls, and start with cold water",
            warms=Amount(warms, "°C", is_change=True),
        )
    else:
        cools = Amount(cooling_by_crystals(crystals, water), "°C", is_change=True)
        turns = line("cools it by about {cools}", cools=cools)
    stir_in = line(
        "Stir in {grams} of {salt} until all is dissolved; that {turns}.",
        grams=weighed(crystals),
        salt=salt_name(stock.crystals_pentahydrate, in_brief=True),
        turns=turns,
    )
    return stir_in, salt_acts(stock.crystals_pentahydrate)


def _pouring(stock: Stock, acid: float, water: float, poured: Pouring) -> StepWithActs:
    """Say how acid solution [g] goes into the cooled solution, which has the first water [L]."""
    in_all = Amount(warming_by_acid(acid, stock.acid_strength, water), "°C", is_change=True)
    unpaused = line(" Poured without pauses, it would warm by {in_all} in all.", in_all=in_all)
    pour = line(
        "Once it has cooled to room temperature, add {acid_mL} ({acid_g}) of acid {strength} – {words}. "
        "{portions}{pauses}",
        acid_mL=measured_out(acid / stock.acid_density),
        acid_g=weighed(acid),
        strength=graded(stock.acid_strength, stock.acid_is_told),
        words=FIRST_WORDS,
        portions=poured.portions_text,
        pauses=unpaused if poured.portions > 1 else "",
    )
    return pour, ACID_ACTS


def _wants_chloride(sheet: Sheet) -> bool:
    """Tell whether the bath is to have chloride: its additives work by it."""
    chloride = limits_of(sheet)["chloride"]
    return bool(sheet.bath.additives and chloride and chloride[0] > 0)


def _chloride_step(sheet: Sheet, task: Task, amounts: Amounts, made: After) -> list[Line]:
    """Say what brings the chloride to the middle of its limits, beyond what the water has of it already."""
    limits = limits_of(sheet)["chloride"] or (0.0, 0.0)
    milligrams = sum(limits) / 2 * made.volume - task.stock.water_chloride * amounts.water_L
    if milligrams <= 0:
        return []
    numbers, how = chloride_dose(task.stock, milligrams)
    step = Step("add", task.stock.chloride_kind, numbers, how, made)
    return [
        line(
            "{dose}. That brings {chloride} of chloride. {how}",
            dose=step_dose(step),
            chloride=Amount(milligrams, "mg"),
            how=how,
        )
    ]


def _warnings(sheet: Sheet, task: Task, mixture: Mixture, amounts: Amounts) -> tuple[str, ...]:
    said = [*_about_window(mixture), *_about_acid(task, amounts)]
    if sheet.stock.crystals is None:
        said.append(phrases.FOREIGN_STOCK.format(what="crystals", assumed="99 % pentahydrate"))
    said += [*_about_cold(task, mixture), *_about_room_and_stock(task, mixture)]
    if mixture.suppressor is not None:
        comes_to = line("The polyether powder comes to {held}.", held=Amount(mixture.suppressor, "g/L", 2))
        said += [comes_to, SUPPRESSOR_ALONE, SUPPRESSOR_RULE]
    return tuple(said)


def _about_cold(task: Task, mixture: Mixture) -> list[str]:
    if mixture.stays_dissolved:
        return []
    warm = mixture.keep_above
    most = float(ceiling_at(task.coldest)(mixture.sulfuric_acid))
    cold, at_most = Amount(task.coldest, "°C"), Amount(most, "g/L")
    if warm is not None and most < _least_surely_in(mixture.verdict["copper_sulfate"].limits):
        only_warm = (
            "Too much copper sulfate for {cold} with this acid, and with less it would not surely be inside the "
            "window: keep the bath above {warm}, or crystals will form."
        )
        return [line(only_warm, cold=cold, warm=warm)]
    if warm is None:
        too_much = "Too much copper sulfate with this acid at any warmth: mix it with at most {most} for {cold}."
        return [line(too_much, cold=cold, most=at_most)]
    return [
        line(
            "Too much copper sulfate for {cold} with this acid: keep the bath above {warm}, or mix it with at most "
            "{most}, or crystals will form.",
            cold=cold,
            warm=warm,
            most=at_most,
        )
    ]


def _about_room_and_stock(task: Task, mixture: Mixture) -> list[str]:
    said: list[str] = []
    if mixture.fits_tank is False:
        said.append(
            line(
                "{made} does not fit: the tank holds at most {most}.",
                made=Amount(mixture.volume, "L", 2),
                most=Amount(task.most_volume, "L", 2),
            )
        )
    for what, used, have, unit in (
        (mixture.salt, mixture.crystals, task.stock.crystals_on_hand, "g"),
        ("acid", mixture.acid_mL, task.stock.acid_on_hand, "mL"),
    ):
        if used > have:
            said.append(
                line(
                    "You have {have} of {what} and need {need}: enough for {enough}.",
                    have=Amount(have, unit),
                    what=what,
                    need=Amount(used, unit),
                    enough=Amount(mixture.volume * have / used, "L", 2),
                )
            )
    return said


def _about_window(mixture: Mixture) -> list[str]:
    """Say what a mixture outside the sheet's window does to a deposit."""
    said: list[str] = []
    for name in MIXED_TO:
        judged, value = mixture.verdict[name], getattr(mixture, name)
        if judged.state not in ("low", "high") or not judged.limits:
            continue
        far = "far " if judged.state == "low" and value < FAR_BELOW * judged.limits[0] else ""
        side, limit = ("below", judged.limits[0]) if judged.state == "low" else ("above", judged.limits[1])
        said.append(
            line(
                "The {name} is {far}{side} the window ({value} against {limit}). {effect}",
                name=NAMES[name],
                far=far,
                side=side,
                value=Amount(value, "g/L", digits=3),
                limit=Amount(limit, "g/L", digits=6),
                effect=phrases.EFFECTS[name, judged.state],
            )
        )
    return said


def _about_acid(task: Task, amounts: Amounts) -> list[str]:
    """Say what the mixture would hold if an acid of no stated strength was battery acid."""
    if amounts.acid == 0 or task.stock.acid_is_told:
        return []
    said = [phrases.FOREIGN_STOCK.format(what="acid", assumed="96 % acid")]
    density = float(acid_density(BATTERY_ACID))
    weak = replace(task, stock=replace(task.stock, acid_strength=BATTERY_ACID, acid_density=density))
    same_volume = replace(amounts, acid=amounts.acid / task.stock.acid_density * density)
    made = forward(weak, same_volume)
    return [
        *said,
        line(
            "If it is battery acid of {strength}, the same volume makes only {held} free acid.",
            strength=f"{100 * BATTERY_ACID:.0f} %",
            held=Amount(made.sulfuric_acid, "g/L", digits=2),
        ),
    ]
