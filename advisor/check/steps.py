"""A plan as steps for the hand: in which order, how much of what, how it is done, and the bath after each.

The amounts are the plan's; what a bath is after a step is told by `mass_balance`, how acid is poured by `pouring`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.check.correction import Plan
from advisor.check.mass_balance import After, Amounts, Stock, Task, forward
from advisor.check.pouring import MOST_OF_BATH, WATER, WITHDRAWN, Acid, Pouring, acid_dose, pour
from advisor.check.search import LEVEL_TOLERANCE
from advisor.solution.density import WATER_DENSITY
from advisor.solution.heat import warming_by_acid
from advisor.solution.solubility import saturation
from advisor.solution.stock import SALT_SOLUTION
from advisor.words import phrases
from advisor.words.cautions import POURED_AFTER, Act
from advisor.words.lines import Amount, Line, joined, line

SALT_SOLUTION_RECIPE = line(phrases.SALT_SOLUTION, grams=SALT_SOLUTION)
_ACTS = {  # what a step of this kind involves
    "bath": (Act.HANDLE_BATH, Act.STORE_BATH),
    "water": (),
    "copper sulfate crystals": (Act.DISSOLVE_CRYSTALS, Act.CHOOSE_CRYSTALS, Act.WEIGH_POWDER, Act.WARM_LIQUID),
    "sulfuric acid": (Act.POUR_ACID, Act.CHOOSE_ACID),
    "hydrochloric acid": (Act.HYDROCHLORIC_ACID, Act.KEEP_BLEACH_AWAY),
    "sodium chloride": (Act.KEEP_BLEACH_AWAY,),
}
DISSOLVE_AT = 40.0  # degC, at which crystals are dissolved (judgement)
FILLED_TO = 0.8  # of the saturation at that temperature, so that the last crystals dissolve in minutes (judgement)
BEFORE_ALL = Act.CORRECT_TANK  # what comes before the first step of any kind


@dataclass(frozen=True)
class Step:
    """One thing to do. `numbers` are the step's amounts by name with their unit, as in the JSON result."""

    do: str
    what: str
    numbers: dict[str, float]
    how: str
    after: After  # the bath once this step is done

    @property
    def acts(self) -> tuple[Act, ...]:
        """What this step involves that can hurt; what comes before all steps is `BEFORE_ALL`."""
        anhydrous = self.numbers.get("purity_mass_fraction", 0.0) > 1
        return (*_ACTS[self.what], *((Act.DISSOLVE_ANHYDROUS,) if anhydrous else ()))


def steps_of(task: Task, plan: Plan) -> tuple[Step, ...]:
    """Return the steps in the order in which to do them, each with the bath after it and why it is done."""
    amounts, stock = plan.amounts, task.stock
    steps: list[Step] = []
    poured = _pouring(task, amounts) if amounts.acid > 0 else None
    dissolved = _dissolving(task, amounts, poured) if amounts.crystals > 0 else None
    done: dict[str, float] = {}

    def add(name: str, do: str, what: str, numbers: dict[str, float], why: str, how: str) -> None:
        done[name] = getattr(amounts, name)
        after = forward(task, Amounts(**done))
        reason = line(why, copper=after.copper_sulfate, acid=after.sulfuric_acid, volume=after.volume)
        steps.append(Step(do, what, numbers, line("{reason} {how}", reason=reason, how=how), after))

    if amounts.take_out > 0:
        how = "Draw it from mid-depth, not off the floor."
        add("take_out", "take out", "bath", {"volume_L": amounts.take_out}, "It makes room for what follows.", how)
    if amounts.water > 0:
        numbers = {"volume_L": amounts.water / WATER_DENSITY / 1000, "mass_g": amounts.water}
        how = joined(" ", ("Take distilled water, unless your sheet names another.", *_kept_back(poured, dissolved)))
        add("water", "add", "water", numbers, _why_water(task), how)
    if dissolved:
        numbers = {"mass_g": amounts.crystals, "purity_mass_fraction": stock.crystals_pentahydrate}
        why = "This brings copper sulfate to {copper:.0f g/L}."
        add("crystals", "add", "copper sulfate crystals", numbers, why, dissolved.said())
    if poured:
        millilitres = amounts.acid / stock.acid_density
        numbers = {"mass_g": amounts.acid, "volume_mL": millilitres, "strength_mass_fraction": stock.acid_strength}
        why = "This brings the acid to {acid:.0f g/L}."
        add("acid", "add", "sulfuric acid", numbers, why, _pouring_said(task, amounts, poured))
    if amounts.chloride > 0:
        numbers, how = _chloride_step(stock, amounts.chloride)
        add("chloride", "add", stock.chloride_kind, numbers, "The additives need chloride.", how)
    return tuple(steps)


def _why_water(task: Task) -> str:
    """Say what the water is for."""
    if task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE):
        return "This brings the level to {volume:.2f L}."
    if any(
        verdict.state in ("high", "unsure") and (verdict.probability_high or 0) > 0.05
        for verdict in task.verdicts.values()
    ):
        return "This thins what is too high."
    return "This keeps crystals from forming in the cold, or makes room in the window."


def _pouring(task: Task, amounts: Amounts) -> Pouring:
    """Return how the acid of a plan is poured: into its water where that is enough, else into bath drawn for it."""
    before = forward(task, replace(amounts, acid=0.0, chloride=0.0))
    stock = task.stock
    dose = Acid(amounts.acid, stock.acid_strength, stock.acid_density)
    water = amounts.water / WATER_DENSITY / 1000
    return pour(dose, water, before.volume, before.copper_sulfate, before.sulfuric_acid)


@dataclass(frozen=True)
class Dissolving:
    """What the crystals of a plan are dissolved in: the plan's water or bath drawn for it, and how much [L]."""

    liquid: str
    litres: float

    def said(self) -> Line:
        """Say how to dissolve, for the hand at the bench."""
        return line(
            "Dissolve them in {litres} of {drawn}, warmed to about {warmth} in a glass or plastic vessel, before any "
            "acid goes in; then stir it into the tank.",
            litres=Amount(self.litres, "L", digits=2),
            drawn="the water that you kept back" if self.liquid == WATER else "bath drawn from the tank",
            warmth=Amount(DISSOLVE_AT, "°C"),
        )


def _dissolving(task: Task, amounts: Amounts, poured: Pouring | None) -> Dissolving:
    """Return what the crystals of a plan are dissolved in: water that the acid leaves, where that is enough."""
    before = forward(task, replace(amounts, crystals=0.0, acid=0.0, chloride=0.0))
    salt = amounts.crystals * task.stock.crystals_pentahydrate
    taken = poured.litres_in_all if poured and poured.liquid == WATER else 0.0
    water = amounts.water / WATER_DENSITY / 1000 - taken
    needed = salt / (FILLED_TO * float(saturation(DISSOLVE_AT, 0.0)))
    if needed <= water:
        return Dissolving(WATER, needed)
    room = FILLED_TO * float(saturation(DISSOLVE_AT, before.sulfuric_acid)) - before.copper_sulfate
    most = MOST_OF_BATH * before.volume
    return Dissolving(WITHDRAWN, min(salt / room, most) if room > 0 else most)


def _kept_back(poured: Pouring | None, dissolved: Dissolving | None) -> tuple[Line, ...]:
    """Say how much of the water is kept for what is dissolved or poured into it; nothing where none is."""
    kept = []
    if dissolved and dissolved.liquid == WATER:
        kept.append(line("{litres:.2g L} of it for the crystals", litres=dissolved.litres))
    if poured and poured.liquid == WATER:
        kept.append(line("{litres:g L} of it for the acid", litres=poured.litres_in_all))
    return (line("Keep back {kept}.", kept=joined(" and ", kept)),) if kept else ()


def _pouring_said(task: Task, amounts: Amounts, poured: Pouring) -> Line:
    """Say how the acid is poured, and how much the whole bath warms in the end."""
    volume = task.volume - amounts.take_out + amounts.water / WATER_DENSITY / 1000
    warming = warming_by_acid(amounts.acid, task.stock.acid_strength, volume)
    warms = line("The whole bath warms by about {warming} in all.", warming=Amount(warming, "°C", is_change=True))
    return joined(" ", (poured.said(), warms))


def _chloride_step(stock: Stock, milligrams: float) -> tuple[dict[str, float], str]:
    grams = milligrams / 1000 / stock.chloride_mass_fraction
    if stock.chloride_density is not None:
        numbers = {
            "mass_g": grams,
            "volume_mL": grams / stock.chloride_density,
            "strength_mass_fraction": stock.chloride_strength,
        }
        how = "Stir it in last, outdoors or at an open window, with a syringe that you use for nothing else."
        return numbers, how
    return {"mass_g": grams, "volume_mL": grams / SALT_SOLUTION * 1000}, SALT_SOLUTION_RECIPE


def step_amount(step: Step) -> Line:
    """Say what a step moves, such as "Add 250 g copper sulfate crystals"."""
    numbers = step.numbers
    if step.do == "take out":
        return line("Take out {volume_L:.2f L} of bath", **numbers)
    if step.what == "water":
        return line("Add {volume_L:.2f L} of water ({mass_g:.0f g})", **numbers)
    if step.what == "sulfuric acid":
        strength = numbers["strength_mass_fraction"]
        dose = acid_dose(Acid(numbers["mass_g"], strength, numbers["mass_g"] / numbers["volume_mL"]))
        return line("Add {dose}", dose=dose)
    of_strength = f" of {100 * numbers['strength_mass_fraction']:.0f} %" if "strength_mass_fraction" in numbers else ""
    grams = Amount(numbers["mass_g"], "g", 0 if numbers["mass_g"] >= 20 else 2)
    if step.what == "sodium chloride":
        return line(
            "Add {volume:.0f mL} of salt solution of {solution:g g/L} ({grams} of table salt)",
            volume=numbers["volume_mL"],
            solution=SALT_SOLUTION,
            grams=grams,
        )
    if "volume_mL" in numbers:
        return line(
            "Add {volume} of {what}{strength} ({grams}) – {breath}",
            volume=Amount(numbers["volume_mL"], "mL", 0 if numbers["volume_mL"] >= 20 else 1),
            what=step.what,
            strength=of_strength,
            grams=grams,
            breath=POURED_AFTER,
        )
    return line("Add {grams} of {what}", grams=grams, what=step.what)
