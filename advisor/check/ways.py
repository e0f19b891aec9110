"""Ways that waste nothing: what can be done beside the steps of a correction, so that no copper is thrown away.

Copper high and acid low: plate copper out against an inert anode. Acid high and copper low: dissolve basic copper
carbonate. Tank too full: let water evaporate. What is taken out, and the first rinse: keep it as stock. Pure functions
of a correction's task and plan; amounts follow from stoichiometry and the exact mass balance.

Sources
-------
Faraday's law with the CODATA 2018 constant 96485.33 C/mol; reactions: CuSO4.5H2O -> Cu + H2SO4 + 4 H2O + O2/2 and
Cu2(OH)2CO3 + 2 H2SO4 + 7 H2O -> 2 CuSO4.5H2O + CO2. What the anode is made of, and ventilation: common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from advisor.basis.components import COMPONENTS, SALT_AND_ACID
from advisor.check.correction import Plan
from advisor.check.mass_balance import After, Task, both_inside, chloride_probability
from advisor.check.steps import Step
from advisor.check.window import SURE_REACH
from advisor.sheet import ROOM
from advisor.solution.composition import Masses, composition
from advisor.solution.density import WATER_DENSITY
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR, MOL_PER_AMPERE_HOUR
from advisor.solution.molar_masses import (
    BASIC_COPPER_CARBONATE,
    COPPER_SULFATE_PENTAHYDRATE,
    MOLAR_VOLUME,
    SULFURIC_ACID,
    WATER,
)
from advisor.words.cautions import Act
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import Section

SALT_PER_AMPERE_HOUR = COPPER_SULFATE_PENTAHYDRATE * MOL_PER_AMPERE_HOUR  # [g/(A h)], 4.66
ACID_PER_AMPERE_HOUR = SULFURIC_ACID * MOL_PER_AMPERE_HOUR  # [g/(A h)], 1.83
CARBONATE_PER_ACID = BASIC_COPPER_CARBONATE / (2 * SULFURIC_ACID)  # [g/g], 1.13 (computed)
SALT_PER_ACID = COPPER_SULFATE_PENTAHYDRATE / SULFURIC_ACID  # [g/g], 2.55

# Plating copper out against an anode that does not dissolve.
ELECTROLYSIS = (
    Act.INERT_ANODE,
    Act.GAS_AT_THE_ELECTRODES,
    Act.CHLORINE_AT_THE_ANODE,
    Act.PLATING_CURRENT,
    Act.SHORT_CIRCUIT,
    Act.REACHING_IN,
)
LEAST_CHARGE, MOST_CHARGE = 0.1, 100.0  # A h a litre of bath: worth the work, and the end of a search (judgement)
LEAST_ACID, MOST_ACID = 0.5, 300.0  # g/L, used up by carbonate: likewise (judgement)
WORTH_THE_WORK = 0.01  # of the bath's volume; less is not worth another way (judgement)


@dataclass(frozen=True)
class Way:
    """A way beside the steps. amounts: by name with their unit; after: the bath then, None where it stays as it is."""

    title: str
    amounts: dict[str, float]
    text: str
    acts: tuple[Act, ...] = ()
    after: After | None = None

    def to_dict(self) -> dict[str, object]:
        """Return the way as in a JSON result: units in the names, None where the bath stays as it is."""
        return {"way": self.title, **self.amounts, "probability_in": self.after.probability_in if self.after else None}


def ways_section(offered: Sequence[Way]) -> Section:
    """Return the ways as a block for a reader; it has no lines where none fits."""
    return Section(
        "Ways that waste nothing", tuple(line("{title}. {text}", title=way.title, text=way.text) for way in offered)
    )


def acts_of(steps: Sequence[Step], beside: Sequence[Way]) -> tuple[Act, ...]:
    """Return the acts of a plan and of the ways beside it, in the order in which they are said."""
    acts = [Act.PARTS_AND_ANODES_OUT] if steps else []
    acts += [act for step in steps for act in step.acts]
    acts += [act for way in beside for act in way.acts]
    return tuple(dict.fromkeys((*acts, Act.FOOD_WARE, Act.COPPER_WASTE, Act.LOCAL_RULES)))


def ways(task: Task, plan: Plan) -> tuple[Way, ...]:
    """Return the ways that fit this bath, beside the plan of its correction.

    Those that turn copper into acid or back need both to be known, since their amounts follow from both.
    """
    both_known = task.well_known and all(map(task.measured, SALT_AND_ACID))
    chemical = (inert_anode(task), copper_carbonate(task)) if both_known else ()
    offered = (*chemical, evaporate(task, plan), keep_withdrawn(task, plan))
    return tuple(way for way in offered if way is not None)


def after_ampere_hours(task: Task, ampere_hours: float) -> After:
    """Return the bath after a charge [A h] against an inert anode, all of it plating copper."""
    mol = ampere_hours * MOL_PER_AMPERE_HOUR
    return _changed(task, -COPPER_SULFATE_PENTAHYDRATE * mol, SULFURIC_ACID * mol, 4 * WATER * mol)


def after_carbonate(task: Task, acid: float) -> After:
    """Return the bath once basic copper carbonate has used up acid [g]."""
    mol = acid / SULFURIC_ACID
    return _changed(task, COPPER_SULFATE_PENTAHYDRATE * mol, -acid, -3.5 * WATER * mol)


def after_evaporation(task: Task, litres: float) -> After:
    """Return the bath once water [L] has left it."""
    return _changed(task, 0.0, 0.0, -1000 * WATER_DENSITY * litres)


def inert_anode(task: Task) -> Way | None:
    """Offer to plate copper out where it is high and the acid is not; None where that does not fit."""
    ampere_hours = _turned(task, "copper_sulfate", "sulfuric_acid", after_ampere_hours, MOST_CHARGE * task.volume)
    if ampere_hours < LEAST_CHARGE * task.volume:
        return None
    after = after_ampere_hours(task, ampere_hours)
    if _room(task, after) < 0:
        return None
    salt, gained = SALT_PER_AMPERE_HOUR * ampere_hours, ACID_PER_AMPERE_HOUR * ampere_hours
    text = line(
        "Plate onto scrap copper against an inert anode for {charge}: {salt} of copper sulfate leaves as {copper} of "
        "copper metal, and {acid} of acid forms in its place. {then} It uses up additives.",
        charge=Amount(ampere_hours, "A·h"),
        salt=Amount(salt, "g"),
        copper=Amount(COPPER_PER_AMPERE_HOUR * ampere_hours, "g"),
        acid=Amount(gained, "g"),
        then=_then(after),
    )
    acts = (*ELECTROLYSIS, Act.RINSING_A_PART)
    amounts = {"charge_A_h": ampere_hours, "copper_sulfate_out_g": salt, "sulfuric_acid_gained_g": gained}
    return Way("Inert anode", amounts, text, acts, after)


def copper_carbonate(task: Task) -> Way | None:
    """Offer basic copper carbonate where acid is high and copper is not; None where that does not fit."""
    used = _turned(task, "sulfuric_acid", "copper_sulfate", after_carbonate, MOST_ACID * task.volume)
    used = _as_far_as_it_may(task, after_carbonate, used)
    if used < LEAST_ACID * task.volume:
        return None
    after = after_carbonate(task, used)
    carbonate, gas = CARBONATE_PER_ACID * used, used / (2 * SULFURIC_ACID) * MOLAR_VOLUME
    text = line(
        "Stir in {carbonate} of basic copper carbonate, a spoonful at a time: it uses up {acid} of acid and becomes "
        "{salt} of copper sulfate. About {gas} of carbon dioxide comes off in all. {then}",
        carbonate=Amount(carbonate, "g"),
        acid=Amount(used, "g"),
        salt=Amount(SALT_PER_ACID * used, "g"),
        gas=Amount(gas, "L"),
        then=_then(after),
    )
    acts = (Act.FIZZING, Act.BASIC_COPPER_CARBONATE, Act.WEIGHING_POWDERS, Act.SODA_IN_THE_BATH)
    amounts = {
        "basic_copper_carbonate_g": carbonate,
        "sulfuric_acid_used_g": used,
        "copper_sulfate_gained_g": SALT_PER_ACID * used,
        "gas_L": gas,
    }
    return Way("Basic copper carbonate", amounts, text, acts, after)


def evaporate(task: Task, plan: Plan) -> Way | None:
    """Offer to let water leave where the tank is too full, and the bath is not too strong already."""
    if any(task.verdicts[name].side not in ("low", "in") for name in SALT_AND_ACID):
        return None
    surplus = task.volume - task.usual_volume
    if surplus <= ROOM * task.usual_volume:
        surplus = plan.amounts.take_out
    surplus = _as_far_as_it_may(task, after_evaporation, surplus)
    if surplus < WORTH_THE_WORK * task.volume:
        return None
    after = after_evaporation(task, surplus)
    text = line(
        "Mark the level and let {surplus} of water evaporate, covered with a cloth{instead}. {then} How fast is not "
        "predicted: published rates differ threefold.",
        surplus=Amount(surplus, "L", 2),
        instead=", instead of taking bath out" if plan.amounts.take_out > 0 else "",
        then=_then(after),
    )
    acts = (Act.EVAPORATION,)
    return Way("Let it evaporate", {"water_L": surplus}, text, acts, after)


def keep_withdrawn(task: Task, plan: Plan) -> Way | None:
    """Say what the bath that a plan takes out is worth as stock, of what was measured in it."""
    litres = plan.amounts.take_out
    if litres < WORTH_THE_WORK * task.volume:
        return None
    called = {"copper_sulfate": "copper sulfate", "sulfuric_acid": "acid"}
    held = {name: litres * getattr(task, name) for name in called if task.verdicts[name].side != "not measured"}
    grams = (line("{grams} of {called}", grams=Amount(held[name], "g"), called=called[name]) for name in held)
    text = line(
        "The {litres} that you take out {holds}. Keep it closed and labelled, with the first rinse water, and top up "
        "with it before you open new stock.",
        litres=Amount(litres, "L", 2),
        holds=line("holds {grams}", grams=joined(" and ", grams)) if held else "is stock",
    )
    amounts = {"bath_L": litres, **{f"{name}_g": mass for name, mass in held.items()}}
    return Way("Keep what you take out", amounts, text, (Act.WITHDRAWN_BATH, Act.HANDLING_BATH))


def _turned(task: Task, gone: str, gained: str, after_of: Callable[[Task, float], After], most: float) -> float:
    """Return the amount, at most `most`, by which a component that is too high is turned into the other; 0 for none.

    It ends where what is gone is at its aim, or what is gained at its own aim; a component that is inside already may
    go up to its limit, as far as that is sure (95 %). None is turned where water alone would do.
    """
    high, other = task.verdicts[gone], task.verdicts[gained]
    if high.side != "high" or other.side not in ("low", "in") or _water_mends(task, gone):
        return 0.0
    goal = getattr(task, f"aim_{gained}")
    if other.side == "in":
        goal = task.limits(gained)[1] - SURE_REACH * task.known.standard_uncertainty(gained)
    until = {gone: getattr(task, f"aim_{gone}"), gained: goal}
    return min(_reach(task, after_of, name, goal, most) for name, goal in until.items())


def _water_mends(task: Task, name: str) -> bool:
    """Tell whether topping up to the usual level alone brings what is too high inside."""
    thinned = getattr(task, name) * task.volume / max(task.volume, task.usual_volume)
    return bool(thinned <= task.limits(name)[1])


def _changed(task: Task, salt: float, acid: float, water: float) -> After:
    """Return the bath after these grams came (or, negative, left)."""
    here, volume = task.masses_per_litre, task.volume
    total = Masses(
        here.copper_sulfate * volume + salt,
        here.sulfuric_acid * volume + acid,
        here.foreign_solids * volume,
        here.water * volume + water,
    )
    copper_sulfate, sulfuric_acid, _, litres = (float(value) for value in composition(total))
    sure = both_inside(task, litres, copper_sulfate, sulfuric_acid)
    chloride = None
    if task.chloride is not None:
        chloride = task.chloride * volume / litres
        sure *= float(chloride_probability(task, chloride, volume / litres))
    return After(litres, copper_sulfate, sulfuric_acid, chloride, sure)


def _room(task: Task, after: After) -> float:
    """Return the relative distance of a bath from the nearest limit that the steps keep too; negative beyond it.

    Those limits: what stays dissolved in the cold, the least that must be in the tank, and the window's upper limits,
    except where the bath was beyond them before.
    """
    rooms = [after.volume / min(task.least_volume, task.usual_volume) - 1 + 1e-9]
    if task.measured("copper_sulfate"):
        rooms.append(1 - after.copper_sulfate / task.stays_dissolved(after.sulfuric_acid))
    for name in COMPONENTS:
        value, before = getattr(after, name), getattr(task, name)
        if task.measured(name) and value > before:
            sure = SURE_REACH * task.known.standard_uncertainty(name) * task.volume / after.volume
            rooms.append((task.limits(name)[1] - sure - value) / task.limits(name)[1])
    return min(rooms)


def _as_far_as_it_may(task: Task, after_of: Callable[[Task, float], After], wanted: float) -> float:
    """Return how much of an amount may be used without breaking a limit: all of it, a part, or nothing."""

    def room(amount: float) -> float:
        return _room(task, after_of(task, amount))

    if wanted <= 0 or room(wanted) >= 0:
        return max(wanted, 0.0)
    from scipy.optimize import brentq  # most amounts may be used whole

    least = 1e-6 * wanted
    return 0.0 if room(least) <= 0 else float(brentq(room, least, wanted))


def _reach(task: Task, after_of: Callable[[Task, float], After], name: str, goal: float, most: float) -> float:
    """Return the amount, 0 to `most`, at which a component reaches a goal [g/L], by secant steps (nearly linear)."""

    def value(amount: float) -> float:
        return float(getattr(after_of(task, amount), name))

    start, step = value(0.0), 1e-4 * most
    slope = (value(step) - start) / step
    amount = (goal - start) / slope
    for _ in range(8):
        amount = min(max(amount + (goal - value(amount)) / slope, 0.0), most)
    return amount


def _then(after: After) -> Line:
    return line(
        "Then: {copper} copper sulfate, {acid} acid.",
        copper=Amount(after.copper_sulfate, "g/L"),
        acid=Amount(after.sulfuric_acid, "g/L"),
    )
