"""A plan as steps for the hand: in which order, how much of what, how it is done, and the bath after each.

The amounts are the plan's; what a bath is after a step is told by `mass_balance`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from advisor.check.correction import Plan
from advisor.check.dissolving import Dissolving, dissolving
from advisor.check.mass_balance import After, Amounts, Stock, Task, forward
from advisor.check.pouring import FIRST_WORDS, Pouring, pouring
from advisor.check.reasons import because, stands_below_the_mark
from advisor.solution.density import WATER_DENSITY
from advisor.solution.heat import warming_by_acid
from advisor.solution.ranges import HIGHEST
from advisor.solution.stock import (
    BATTERY_ACID,
    CONCENTRATED_ACID,
    SALT_SOLUTION,
    acid_density,
    is_anhydrous,
    pentahydrate_mass_fraction,
)
from advisor.words import phrases
from advisor.words.cautions import Act
from advisor.words.lines import Amount, Line, at_the_bench, in_a_jug, joined, line, measured_out, range_of, weighed
from advisor.words.sections import percent

SALT_SOLUTION_RECIPE = at_the_bench(line(phrases.SALT_SOLUTION, grams=SALT_SOLUTION))


LEAST_IN_A_JUG = 0.1  # L: a cylinder shows less to the millilitre (judgement)
READ_OFF = 0.02  # L: less is not told apart in a jug (judgement)
ADDITIVES_COUNT = 0.03  # of the bath: a smaller loss of additives is within what a strip tells (judgement)
FELT = 0.5  # °C: less is said as 0, and nobody need know it (judgement)
ACIDS_PART = 0.6  # g/g: acid for batteries is below, concentrated acid above (judgement)
ACIDS = ("sulfuric acid", "hydrochloric acid")
# What each kind of step is for the hands, by what is moved; of copper sulfate, `salt_acts` tells.
STEP_ACTS: dict[str, tuple[Act, ...]] = {
    "bath": (Act.WITHDRAWN_BATH, Act.HANDLING_BATH),
    "water": (),
    "sulfuric acid": (Act.SULFURIC_ACID, Act.POURING_ACID, Act.CHOOSING_ACID),
    "hydrochloric acid": (Act.HYDROCHLORIC_ACID, Act.CHLORIDE_NEAR_BLEACH),
    "sodium chloride": (Act.CHLORIDE_NEAR_BLEACH,),
}
NOT_TOLD = After(0.0, 0.0, 0.0, None, 0.0)  # of the bath after a step that a record tells, which keeps none (exact)
SAID_BY_THE_STEP = (Act.DISSOLVING_CRYSTALS, Act.POURING_ACID)  # of those: the cautions that a step says itself


@dataclass(frozen=True)
class Step:
    """One thing to do. `numbers` are the step's amounts by name with their unit, as in the JSON result."""

    do: str
    what: str
    numbers: dict[str, float]
    how: str
    after: After  # the bath once this step is done
    strength_is_told: bool = True  # of its acid; else it is taken for granted
    why: str = ""  # what it is for, which `how` says first
    goes_in_with: str = ""  # what all of it goes in with later, so that it is only measured out
    kept_back: float = 0.0  # L of the water measured out that is not in the tank yet, once this step is done

    @property
    def acts(self) -> tuple[Act, ...]:
        """What the step is for the hands."""
        if self.what == "copper sulfate crystals":
            return salt_acts(self.numbers["purity_mass_fraction"])
        return STEP_ACTS[self.what]

    @property
    def salt(self) -> str | None:
        """What is weighed of copper sulfate, in short; None where something else is moved."""
        fraction = self.numbers.get("purity_mass_fraction")
        return None if fraction is None else salt_name(fraction, in_brief=True)

    def to_dict(self) -> dict[str, object]:
        """Return what the step moves as in the JSON result."""
        return {"do": self.do, "what": self.what, **self.numbers}


def recorded(step: Mapping[str, Any]) -> Step:
    """Return a step as the JSON result of a check told it: what it moves, but not how, nor the bath after it."""
    numbers = {key: value for key, value in step.items() if key not in ("do", "what")}
    return Step(step["do"], step["what"], numbers, "", NOT_TOLD)


def steps_of(task: Task, plan: Plan) -> tuple[Step, ...]:
    """Return the steps in the order in which to do them, each with the bath after it and why it is done.

    The last step says by how much to dose additives again that were taken out or thinned.
    """
    steps = _in_order(task, plan)
    again = additives_again(task, plan)
    if not again:
        return steps
    return (*steps[:-1], replace(steps[-1], how=line("{how} {again}", how=steps[-1].how, again=again)))


def additives_again(task: Task, plan: Plan) -> Line | None:
    """Say by how much to dose additives anew after a plan; None where that is little, or where there are none.

    Water that evaporates leaves the additives behind: a low level holds those of the usual one.
    """
    held = max(task.volume, task.usual_volume) if task.level_is_low else task.volume
    fresh = plan.after.volume - held * (1 - plan.amounts.take_out / task.volume)
    if task.additives is False or fresh < ADDITIVES_COUNT * plan.after.volume:
        return None
    return line(
        "{whose} {percent:.0f} % thinner then: dose them as for {fresh} of fresh bath, and try a strip before a piece.",
        whose="Brightener and other additives are" if task.additives else "Additives, if there are any, are",
        percent=100 * fresh / plan.after.volume,
        fresh=in_a_jug(fresh),
    )


def _in_order(task: Task, plan: Plan) -> tuple[Step, ...]:
    """Return the steps of `steps_of`, before anything is said of additives."""
    amounts, stock = plan.amounts, task.stock
    steps: list[Step] = []
    done: dict[str, float] = {}
    shares = _water_shares(task, amounts)
    reasons = {name: because(task, amounts, name) for name, amount in vars(amounts).items() if amount > 0}

    def add(name: str, do: str, what: str, numbers: dict[str, float], why: str, how: str) -> None:
        done[name] = getattr(amounts, name)
        shares.pop(name, None)
        kept = min(sum(shares.values()), done.get("water", 0.0) / 1000 / WATER_DENSITY)
        later = _goes_in_with(task, amounts) if name == "water" else ""
        after, with_all = in_the_tank(task, done, kept), forward(task, Amounts(**done))
        changes = f"{after.copper_sulfate:.0f}" != f"{with_all.copper_sulfate:.0f}"
        ends = line(", and to {it:.0f g/L} with the water kept back", it=with_all.copper_sulfate) if changes else ""
        reason = line(
            why,
            copper=after.copper_sulfate,
            ends=ends,
            acid=after.sulfuric_acid,
            volume=after.volume,
            with_all=with_all.volume,
            because=reasons[name],
        )
        told = stock.acid_is_told or name != "acid"
        said = line("{reason} {how}", reason=reason, how=how)
        steps.append(Step(do, what, numbers, said, after, told, reason, later, kept))

    if amounts.take_out > 0:
        how = "Draw it from mid-depth, not from the bottom."
        add("take_out", "take out", "bath", {"volume_L": amounts.take_out}, "{because}", how)
    if amounts.water > 0:
        numbers = {"volume_L": amounts.water_L, "mass_g": amounts.water}
        add(
            "water",
            "add",
            "water",
            numbers,
            _why_water(task, amounts, bool(reasons["water"])),
            _which_water(task, amounts),
        )
    if amounts.crystals > 0:
        numbers = {"mass_g": amounts.crystals, "purity_mass_fraction": stock.crystals_pentahydrate}
        rests = _rests_on(task, "copper_sulfate")
        how = line("{rests}{dissolved}", rests=rests, dissolved=_dissolved(task, amounts))
        why = "This brings copper sulfate to {copper:.0f g/L}{ends}.{because}"
        add("crystals", "add", "copper sulfate crystals", numbers, why, how)
    if amounts.acid > 0:
        millilitres = amounts.acid / stock.acid_density
        numbers = {"mass_g": amounts.acid, "volume_mL": millilitres, "strength_mass_fraction": stock.acid_strength}
        why = "This brings the acid to {acid:.0f g/L}.{because}"
        how = line("{rests}{poured}", rests=_rests_on(task, "sulfuric_acid"), poured=_how_poured(task, amounts))
        add("acid", "add", "sulfuric acid", numbers, why, how)
    if amounts.chloride > 0:
        numbers, how = chloride_dose(stock, amounts.chloride)
        add("chloride", "add", stock.chloride_kind, numbers, "The additives need chloride.{because}", how)
    return tuple(steps)


def in_the_tank(task: Task, done: Mapping[str, float], kept_back: float) -> After:
    """Return the bath after what is done of `Amounts`, by name, but for the water [L] that still waits in its jug."""
    water = max(done.get("water", 0.0) - 1000 * WATER_DENSITY * kept_back, 0.0)
    return forward(task, Amounts(**{**done, "water": water}))


def of_other_stock(step: Step) -> Line | None:
    """Say how much of the other common acid or crystals a step comes to; None of a step that adds neither."""
    if step.what == "sulfuric acid":
        strength = step.numbers["strength_mass_fraction"]
        other = BATTERY_ACID if strength > ACIDS_PART else CONCENTRATED_ACID
        millilitres = step.numbers["mass_g"] * strength / other / float(acid_density(other))
        return line(
            "This is of acid of {strength}. If yours has {other}, it takes {millilitres}.",
            strength=percent(strength),
            other=percent(other),
            millilitres=Amount(millilitres, "mL", digits=3),
        )
    if step.what == "copper sulfate crystals":
        powder, water = _as_powder(step.numbers["mass_g"], step.numbers["purity_mass_fraction"])
        return line(
            "This is of blue crystals. Of a pale powder it takes {grams}, and {water} more water, which crystals bring "
            "along.",
            grams=Amount(powder, "g", digits=3),
            water=in_a_jug(water),
        )
    return None


def _as_powder(crystals: float, purity: float) -> tuple[float, float]:
    """Return the anhydrous powder [g] and the water [L] that make the same bath as crystals [g], both of one purity."""
    fraction = pentahydrate_mass_fraction(purity, "anhydrous")
    powder = crystals * purity / fraction
    return powder, powder * (fraction - 1) / 1000 / WATER_DENSITY


def _rests_on(task: Task, name: str) -> Line:
    """Say what a dose takes for granted where its component is known only roughly; nothing where it is known well."""
    if not task.measured(name) or task.determined(name):
        return line("")
    value, spread = task.known.of(name)
    return line(
        "That takes for granted that the bath holds {value} now; your readings allow {range}. ",
        value=Amount(value, "g/L"),
        range=range_of(value, spread, "g/L", HIGHEST[name]),
    )


def _why_water(task: Task, amounts: Amounts, thins: bool) -> str:
    """Say what the water is for; to which level it brings the bath only where it goes in by itself.

    thins: whether it also is for something that no low level asks for.
    """
    if thins and not stands_below_the_mark(task):
        return "This {because}"
    also = " It also {because}" if thins else ""
    if _goes_in_with(task, amounts):
        return f"This brings the level up.{also}"
    rest = ", and to {with_all:.2f L} with the water kept back" if _water_shares(task, amounts) else ""
    return f"This brings the level to {{volume:.2f L}}{rest}.{also}"


def _which_water(task: Task, amounts: Amounts) -> Line:
    """Say which water to take, and how much of it to keep back for what follows.

    Where all of it goes in with that, the step names what (`_goes_in_with`): only two shares are still to be told.
    """
    salt = salt_name(task.stock.crystals_pentahydrate, in_brief=True)
    words = {"acid": "for the acid", "crystals": f"to dissolve the {salt} in"}
    kept = [
        line("{litres} {use}", litres=in_a_jug(litres), use=words[name])
        for name, litres in _water_shares(task, amounts).items()
    ]
    goes_in_with = _goes_in_with(task, amounts)
    how = " Take {kept}." if goes_in_with else " Keep back {kept}, and pour in the rest."
    back = line(how, kept=joined(" and ", kept)) if len(kept) > bool(goes_in_with) else ""
    return line("Use {water}.{back}", water=counted_water(task.stock), back=back)


def _water_shares(task: Task, amounts: Amounts) -> dict[str, float]:
    """Return how much of a plan's water [L] is kept back for each thing that follows, by its name in `Amounts`."""
    shares = {
        "crystals": _dissolving(task, amounts).water if amounts.crystals > 0 else 0.0,
        "acid": _pouring(task, amounts).water if amounts.acid > 0 else 0.0,
    }
    return {name: litres for name, litres in shares.items() if litres > 0}


def _goes_in_with(task: Task, amounts: Amounts) -> str:
    """Name what all of a plan's water goes in with; empty where some of it is poured in by itself."""
    shares = _water_shares(task, amounts)
    if _in_the_jug(amounts) - sum(shares.values()) >= READ_OFF:
        return ""
    words = {"crystals": salt_name(task.stock.crystals_pentahydrate, in_brief=True)}
    return " and ".join(f"the {words.get(name, name)}" for name in shares)


def _in_the_jug(amounts: Amounts) -> float:
    """Return a plan's water as a jug shows it [L]: what is shared out adds up to what was measured out."""
    return round(amounts.water_L, 2) if amounts.water_L >= LEAST_IN_A_JUG else amounts.water_L


def counted_water(stock: Stock) -> str:
    """Name the water that was counted on."""
    if stock.water_chloride == stock.water_alkalinity == 0:
        return "distilled or deionised water"
    return (
        f"the water that your sheet describes ({stock.water_chloride:g} mg/L chloride, {stock.water_alkalinity:g} mg/L "
        "alkalinity), and no other: that was counted on"
    )


def _dissolving(task: Task, amounts: Amounts) -> Dissolving:
    """Return in what the crystals of a plan are dissolved; half of the plan's water is left for acid, if any."""
    water = _in_the_jug(amounts) * (0.5 if amounts.acid > 0 else 1.0)
    salt = amounts.crystals * task.stock.crystals_pentahydrate
    return dissolving(salt, water, task.volume - amounts.take_out, task.copper_sulfate, task.sulfuric_acid)


def _dissolved(task: Task, amounts: Amounts) -> Line:
    """Say in what the copper sulfate is dissolved: crystals in warm liquid, a powder that heats it in cold.

    Where acid follows, that waits: it lowers what dissolves.
    """
    first = ", before any acid" if amounts.acid > 0 else ""
    if is_anhydrous(task.stock.crystals_pentahydrate):
        how = "Dissolve it separately, cold and in spoonfuls as it gets hot, in {source}{first}; then stir in."
        return line(how, source=_dissolving(task, amounts).source("it"), first=first)
    how = "Dissolve them separately, in {source}, warmed to about {40 °C}{first}; then stir in."
    return line(how, source=_dissolving(task, amounts).source("them"), first=first)


def _pouring(task: Task, amounts: Amounts) -> Pouring:
    """Return how the acid of a plan is poured; half of the plan's water is left for crystals, where there are any.

    What a jug does not show beside the two halves goes in with the acid: the shares are all of the water.
    """
    water = _in_the_jug(amounts)
    if amounts.crystals > 0:
        left, half = water - _dissolving(task, amounts).water, water / 2
        water = left if left - half < READ_OFF else half
    bath = task.volume - amounts.take_out
    return pouring(amounts.acid, task.stock.acid_strength, task.stock.acid_density, water, bath)


def _how_poured(task: Task, amounts: Amounts) -> Line:
    """Say into what the acid goes, in which portions, and how much the bath warms in all."""
    volume = task.volume - amounts.take_out + amounts.water / 1000
    warming = warming_by_acid(amounts.acid, task.stock.acid_strength, volume)
    poured = _pouring(task, amounts).text
    if warming < FELT:
        return poured
    warmer = Amount(warming, "°C", is_change=True)
    return line("{poured} The whole bath warms by about {warmer}.", poured=poured, warmer=warmer)


def chloride_dose(stock: Stock, milligrams: float) -> tuple[dict[str, float], str]:
    """Return how much of the source on hand brings chloride [mg], as the numbers of a step, and how it goes in."""
    grams = milligrams / 1000 / stock.chloride_mass_fraction
    if stock.chloride_density is not None:
        numbers = {
            "mass_g": grams,
            "volume_mL": grams / stock.chloride_density,
            "strength_mass_fraction": stock.chloride_strength,
        }
        return numbers, "Stir it in last, with a syringe that you use for nothing else."
    return {"mass_g": grams, "volume_mL": grams / SALT_SOLUTION * 1000}, SALT_SOLUTION_RECIPE


def graded(strength: float, is_told: bool, in_brackets: bool = False) -> str:
    """Say how strong an acid is, after its name; what nobody said is told to be taken so. strength: mass fraction."""
    said = f"{100 * strength:.0f} %"
    if in_brackets:
        return said if is_told else f"{said}?"
    return f"of {said}" if is_told else f"taken to be {said}"


def salt_name(pentahydrate: float, in_brief: bool = False) -> str:
    """Name the copper sulfate that is weighed by what a gram of it stands for [g of pentahydrate].

    Whoever weighs crystals by the grams of the powder is more than a third short.
    """
    if is_anhydrous(pentahydrate):
        return "anhydrous powder" if in_brief else "anhydrous copper sulfate powder"
    return "crystals" if in_brief else "copper sulfate crystals"


def salt_acts(pentahydrate: float) -> tuple[Act, ...]:
    """Return what dissolving copper sulfate is for the hands, by what a gram of it stands for [g of pentahydrate].

    Nothing is warmed for the powder, which heats its liquid; crystals may turn out to be one, so that is said of both.
    """
    warmed = () if is_anhydrous(pentahydrate) else (Act.DISSOLVING_CRYSTALS, Act.HOT_CRYSTALS)
    return (Act.COPPER_SULFATE, *warmed, Act.ANHYDROUS_POWDER, Act.WEIGHING_POWDERS, Act.CHOOSING_CRYSTALS)


def step_amount(step: Step) -> Line:
    """Say what a step moves, such as "Add 250 g copper sulfate crystals"."""
    numbers = step.numbers
    if step.do == "take out":
        return line("Take out {volume} of bath", volume=in_a_jug(numbers["volume_L"]))
    if step.what == "water":
        return line(
            "Measure out {volume} of water ({mass}): it goes in with {later}"
            if step.goes_in_with
            else "Add {volume} of water ({mass})",
            volume=in_a_jug(numbers["volume_L"]),
            mass=weighed(numbers["mass_g"]),
            later=step.goes_in_with,
        )
    fraction = numbers.get("strength_mass_fraction")
    strength = "" if fraction is None else f" {graded(fraction, step.strength_is_told)}"
    grams = weighed(numbers["mass_g"])
    if step.what == "sodium chloride":
        return line(
            "Add {volume:.0f mL} of salt solution of {solution} ({grams} of table salt)",
            volume=numbers["volume_mL"],
            solution=Amount(SALT_SOLUTION, "g/L", digits=3, of_a_tool=True),  # as its recipe has it
            grams=grams,
        )
    if "volume_mL" in numbers:
        return line(
            "Add {volume} of {what}{strength} ({grams})",
            volume=measured_out(numbers["volume_mL"]),
            what=step.what,
            strength=strength,
            grams=grams,
        )
    return line("Add {grams} of {what}", grams=grams, what=salt_name(numbers["purity_mass_fraction"]))


def step_dose(step: Step) -> Line:
    """Say what a step moves; a dose of acid never without what keeps it from burning."""
    amount = step_amount(step)
    return line("{amount} – {words}", amount=amount, words=FIRST_WORDS) if step.what in ACIDS else amount
