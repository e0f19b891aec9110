"""The whole way in one pure function: bench sheet in, advice out.

estimate → verdict → correction → next reading, with the warnings and cautions that belong to them. It reads no file,
keeps no record and shows nothing; the app, the command line and the printed page only show what it returns.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from advisor import phrases
from advisor.correction import (
    LEVEL_TOLERANCE,
    SALT_SOLUTION,
    WATER_DENSITY,
    After,
    Amounts,
    Plan,
    Stock,
    Task,
    correct,
    forward,
)
from advisor.estimate import DISAGREEMENT, Estimate, estimate, estimate_bath
from advisor.next_reading import Suggestion, rank
from advisor.sections import Section, plus_minus
from advisor.sheet import Sheet
from advisor.solution.heat import warming_by_acid
from advisor.solution.solubility import crystallises_below, saturation
from advisor.solution.stock import (
    AcidStock,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    pentahydrate_mass_fraction,
    pentahydrate_mass_fraction_from_copper_content,
)
from advisor.units import Measured
from advisor.ways import Way, ways, ways_cautions, ways_section
from advisor.window import COMPONENTS, Limits, Verdict, is_determined, judge, not_measured, window_limits

NAMES = {"copper_sulfate": "copper sulfate", "sulfuric_acid": "sulfuric acid", "chloride": "chloride"}
UNITS = {"copper_sulfate": "g/L", "sulfuric_acid": "g/L", "chloride": "mg/L"}
STATE_WORDS = {"not measured": "not measured", "unsure": "not settled by the readings"}
COLD_MARGIN = 7.0  # degC: what a solubility known to 10-15 % comes to
MOST_ZINC = 20.0  # g/L: more would show as crystals, not as a reading that is a little off (judgement)
FAR_BELOW = 0.6  # of the lower limit
USUAL_ACID = 0.96


@dataclass(frozen=True)
class Value:
    """A value with its standard uncertainty."""

    value: float
    standard_uncertainty: float


@dataclass(frozen=True)
class Step:
    """One thing to do. `numbers` are the step's amounts by name with their unit, as in the JSON result."""

    do: str
    what: str
    numbers: dict[str, float]
    how: str
    after: After  # the bath once this step is done


@dataclass(frozen=True)
class Advice:
    """All that the advisor has to say about a sheet."""

    estimate: Estimate | None
    values: dict[str, Value | None]  # by component; None where nothing determines it
    determined: tuple[str, ...]
    volume_L: float  # at 20 degC
    verdict: dict[str, Verdict]
    crystallises_below: float | None  # degC
    plan: Plan
    steps: tuple[Step, ...]
    ways: tuple[Way, ...]  # that waste nothing, beside the steps
    next_reading: tuple[Suggestion, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]

    TITLE: ClassVar[str] = "Bath check"

    def sections(self) -> tuple[Section, ...]:
        """Return the advice for a reader: the result, what to do, what to measure next, then warnings and cautions."""
        unsound = phrases.SOUND_SAMPLE in self.warnings
        first = (phrases.SOUND_SAMPLE,) if unsound else ()
        blocks = (
            Section("First of all", first),
            Section("What the bath holds", self._result_lines()),
            Section("What to do, in this order", self._step_lines(), numbered=bool(self.steps)),
            ways_section(self.ways),
            Section(
                "What to measure next",
                tuple(f"{s.kind}: {s.why} (about {s.minutes:.0f} min)" for s in self.next_reading),
            ),
            Section("What you should know", tuple(text for text in self.warnings if text not in first)),
            Section("Take care", tuple(text for text in self.cautions if text not in first), caution=True),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        lines = []
        for name, verdict in self.verdict.items():
            value, judged = self.values[name], self.verdict[name]
            shown = (
                plus_minus(value.value, value.standard_uncertainty, UNITS[name])
                if value
                else STATE_WORDS.get(judged.state, judged.state)
            )
            window = (
                f"window {judged.limits[0]:g} to {judged.limits[1]:g}" if judged.limits else "no limits in this window"
            )
            sure = "" if value is None or verdict.probability_in is None else f" – {_say(verdict)}"
            lines.append(f"{NAMES[name].capitalize()}: {shown}{sure} ({window})")
        if self.crystallises_below is not None:
            lines.append(
                f"Crystals form below about {self.crystallises_below:.0f} °C (give or take {COLD_MARGIN:.0f} °C)"
            )
        return tuple(lines)

    def _step_lines(self) -> tuple[str, ...]:
        if self.plan.state == "none needed":
            return ("Nothing: the bath is inside the window and the level is right.",)
        if self.plan.blocked_by:
            return (f"Add nothing: it cannot be put right as things stand. In the way: {self.plan.blocked_by}.",)
        if not self.steps:
            return ("Add nothing yet: the readings do not say enough. Take the reading named below first.",)
        lines = [f"{step_amount(step)}. {step.how}" for step in self.steps]
        after = self.plan.after
        ends = ", ".join(
            f"{getattr(after, name):.0f} {UNITS[name]} {NAMES[name]}"
            for name, verdict in self.verdict.items()
            if verdict.state != "not measured"
        )
        chance = f"inside the window with {100 * after.probability_in:.0f} % probability"
        lines.append(f"Afterwards: {after.volume:.2f} L with {ends}, {chance}.")
        if self.plan.state == "first part":
            lines.append("This is a first part only: measure again before you add more.")
        return tuple(lines)

    def to_dict(self) -> dict[str, Any]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "estimate": self._estimate_dict(),
            "verdict": {name: _verdict_dict(self.verdict[name]) for name in COMPONENTS}
            | {"crystallises_below_degC": self.crystallises_below},
            "correction": self._correction_dict(),
            "next_reading": [{"kind": s.kind, "why": s.why, "gain": s.gain} for s in self.next_reading],
            "warnings": list(self.warnings),
            "cautions": list(self.cautions),
        }

    def _estimate_dict(self) -> dict[str, Any]:
        found = self.estimate
        both = found is not None and {"copper_sulfate", "sulfuric_acid"} <= set(self.determined)
        agreement = found.agreement if found else None
        odd = agreement.odd_one_out if agreement else None
        return {
            **{
                f"{name}_{UNITS[name].replace('/', '_')}": None if value is None else vars(value)
                for name, value in self.values.items()
            },
            "volume_L": self.volume_L,
            "correlation": found.correlation("copper_sulfate", "sulfuric_acid") if found and both else None,
            "determined": list(self.determined),
            "agreement": {
                "chi_squared": agreement.chi_squared if agreement else None,
                "degrees_of_freedom": agreement.degrees_of_freedom if agreement else 0,
                "p_value": agreement.p_value if agreement else None,
                "odd_one_out": None if odd is None else f"reading {odd + 1}",
            },
        }

    def _correction_dict(self) -> dict[str, Any]:
        after = self.plan.after
        known = {name: self.verdict[name].state != "not measured" for name in COMPONENTS}
        return {
            "state": self.plan.state,
            "steps": [{"do": step.do, "what": step.what, **step.numbers} for step in self.steps],
            "after": {
                "volume_L": after.volume,
                "copper_sulfate_g_L": after.copper_sulfate if known["copper_sulfate"] else None,
                "sulfuric_acid_g_L": after.sulfuric_acid if known["sulfuric_acid"] else None,
                "chloride_mg_L": after.chloride if known["chloride"] else None,
            },
            "probability_in": after.probability_in if any(known.values()) else None,
            "cost": self.plan.cost,
            "waste_L": 0.0,  # what is taken out is stock for later
            "blocked_by": self.plan.blocked_by,
        }


def _say(verdict: Verdict) -> str:
    """Say a verdict in words, with its probability."""
    chances = {"low": verdict.probability_low, "in": verdict.probability_in, "high": verdict.probability_high}
    likely = max(chances, key=lambda state: chances[state] or 0.0)
    words = {"low": "below the window", "in": "inside the window", "high": "above the window"}
    percent = min(100 * (chances[likely] or 0.0), 99.9)
    if verdict.state == "unsure":
        return f"not settled, most likely {words[likely]} ({percent:.0f} %)"
    return f"{words[likely]} ({percent:.3g} %)"


def step_amount(step: Step) -> str:
    """Say what a step moves, such as "Add 250 g copper sulfate crystals"."""
    numbers = step.numbers
    if step.do == "take out":
        return f"Take out {numbers['volume_L']:.2f} L of bath"
    if step.what == "water":
        return f"Add {numbers['volume_L']:.2f} L of water ({numbers['mass_g']:.0f} g)"
    strength = f" of {100 * numbers['strength_mass_fraction']:.0f} %" if "strength_mass_fraction" in numbers else ""
    grams = f"{numbers['mass_g']:.0f} g" if numbers["mass_g"] >= 20 else f"{numbers['mass_g']:.2f} g"
    if step.what == "sodium chloride":
        return f"Add {numbers['volume_mL']:.0f} mL of salt solution of 16.5 g/L ({grams} of table salt)"
    if "volume_mL" in numbers:
        millilitres = numbers["volume_mL"]
        return f"Add {millilitres:.{0 if millilitres >= 20 else 1}f} mL of {step.what}{strength} ({grams})"
    return f"Add {grams} of {step.what}"


def _verdict_dict(verdict: Verdict) -> dict[str, Any]:
    return {
        "state": verdict.state,
        "probability_low": verdict.probability_low,
        "probability_in": verdict.probability_in,
        "probability_high": verdict.probability_high,
        "limits": list(verdict.limits) if verdict.limits else None,
    }


@dataclass(frozen=True)
class Assessment:
    """What the bath holds and where that stands: all that comes before the question of what to do."""

    estimate: Estimate | None
    limits: dict[str, Limits | None]
    values: dict[str, Value | None]
    verdict: dict[str, Verdict]
    volume_L: float  # at 20 degC
    crystallises_below: float | None  # degC


def assess(sheet: Sheet) -> Assessment:
    """Return what the bath of a sheet holds and the verdict on it, for questions that need no correction."""
    limits = limits_of(sheet)
    found = None if sheet.bath.condition else estimate(sheet)
    values = {name: _value(found, name, limits[name]) for name in COMPONENTS}
    copper, acid = values["copper_sulfate"], values["sulfuric_acid"]
    return Assessment(
        found,
        limits,
        values,
        {name: _judge(found, name, limits[name]) for name in COMPONENTS},
        found.volume_L if found else sheet.bath.volume.value,
        float(crystallises_below(copper.value, acid.value)) if copper and acid else None,
    )


def advise(sheet: Sheet) -> Advice:
    """Return the advice on a bench sheet. Raises nothing: a sheet is validated when it is read."""
    known = assess(sheet)
    found, limits, values, verdict = known.estimate, known.limits, known.values, known.verdict
    determined = tuple(name for name, value in values.items() if value is not None)
    task = make_task(sheet, found, verdict)
    plan = _plan(sheet, found, task)
    steps = _steps(task, plan)
    beside = ways(task, plan) if found else ()
    suggestions = () if sheet.bath.condition else rank(sheet, found, limits)
    return Advice(
        found,
        values,
        determined,
        task.volume,
        verdict,
        known.crystallises_below,
        plan,
        steps,
        beside,
        suggestions,
        _warnings(sheet, found, verdict, values, plan, known.crystallises_below),
        _cautions(bool(sheet.bath.condition), steps, beside),
    )


def limits_of(sheet: Sheet) -> dict[str, Limits | None]:
    """Return the limits of the sheet's window, own limits first."""
    own = {name: getattr(sheet.window, name) for name in COMPONENTS}
    plain = {name: (pair[0].value, pair[1].value) if pair else None for name, pair in own.items()}
    return window_limits(sheet.window.name, plain, sheet.bath.additives)


def _judge(found: Estimate | None, name: str, limits: Limits | None) -> Verdict:
    if found is None or not found.measured(name):
        return not_measured(limits)
    return judge(found.value(name), found.standard_uncertainty(name), limits)


def _value(found: Estimate | None, name: str, limits: Limits | None) -> Value | None:
    if found is None or not found.measured(name):
        return None
    value = Value(found.value(name), found.standard_uncertainty(name))
    return value if is_determined(value.value, value.standard_uncertainty, limits) else None


# --- The correction -------------------------------------------------------------------------------


def make_task(sheet: Sheet, found: Estimate | None, verdict: dict[str, Verdict]) -> Task:
    """Put sheet and estimate together as the correction wants them; the tank's litres become litres at 20 degC."""
    bath, aim = sheet.bath, sheet.correction
    scale = found.volume_L / bath.volume.value if found else 1.0
    covariance = found.covariance if found else [[1.0, 0.0], [0.0, 1.0]]
    measured_chloride = found is not None and found.measured("chloride")
    own_point = aim.copper_sulfate is not None or aim.sulfuric_acid is not None
    middle = {name: _middle(verdict[name].limits) for name in ("copper_sulfate", "sulfuric_acid")}
    scales = [
        float(name.split()[0]) for name in sheet.gear.have if name.endswith(" g scale") and _is_number(name.split()[0])
    ]
    return Task(
        copper_sulfate=found.value("copper_sulfate") if found else 0.0,
        sulfuric_acid=found.value("sulfuric_acid") if found else 0.0,
        foreign_solids=found.value("foreign_solids") if found else 0.0,
        chloride=found.value("chloride") if found and measured_chloride else None,
        covariance=(float(covariance[0][0]), float(covariance[0][1]), float(covariance[1][1])),
        chloride_standard_uncertainty=found.standard_uncertainty("chloride") if found and measured_chloride else 0.0,
        volume=scale * bath.volume.value,
        volume_relative_uncertainty=found.volume_relative_uncertainty if found else 0.0,
        verdicts=verdict,
        usual_volume=scale * bath.usual_L,
        least_volume=scale * bath.least_L,
        most_volume=scale * bath.most_L,
        coldest=bath.coldest.value,
        aim="point" if own_point else aim.aim,
        aim_copper_sulfate=aim.copper_sulfate.value if aim.copper_sulfate else middle["copper_sulfate"],
        aim_sulfuric_acid=aim.sulfuric_acid.value if aim.sulfuric_acid else middle["sulfuric_acid"],
        stock=make_stock(sheet),
        weighed_to=min(scales, default=1.0),
    )


def _middle(limits: Limits | None) -> float:
    return sum(limits) / 2 if limits else 0.0


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def make_stock(sheet: Sheet) -> Stock:
    """Turn the labels of what is on hand into what the mass balance needs."""
    crystals, acid, water, chloride = sheet.stock.crystals, sheet.stock.acid, sheet.stock.water, sheet.stock.chloride
    known: dict[str, Any] = {}
    if crystals:
        salt = (
            pentahydrate_mass_fraction_from_copper_content(crystals.copper_content.value)
            if crystals.copper_content
            else pentahydrate_mass_fraction(crystals.purity.value, crystals.form)
        )
        pure = pentahydrate_mass_fraction(1.0, "pentahydrate" if salt <= 1 else "anhydrous")
        known |= {
            "crystals_pentahydrate": salt,
            "crystals_inert": max(1 - salt / pure, 0.0),
            "crystals_on_hand": crystals.on_hand.value if crystals.on_hand else math.inf,
            "crystals_price": crystals.price,
        }
    graded = acid_of(sheet)
    known |= {"acid_strength": graded.strength, "acid_density": graded.density}
    if acid:
        known |= {"acid_on_hand": acid.on_hand.value * 1000 if acid.on_hand else math.inf, "acid_price": acid.price}
    if water:
        known |= {"water_chloride": water.chloride.value, "water_alkalinity": water.alkalinity.value}
    if chloride:
        strength = chloride.strength.value if chloride.kind == "hydrochloric acid" else 1.0
        known |= {
            "chloride_kind": chloride.kind,
            "chloride_strength": strength,
            "chloride_mass_fraction": chloride_mass_fraction(chloride.kind, strength),
            "chloride_density": float(hydrochloric_acid_density(strength)) if strength < 1 else None,
        }
    return Stock(**known)


def acid_of(sheet: Sheet) -> AcidStock:
    """Return the acid on hand; 96 % where the sheet says nothing."""
    acid = sheet.stock.acid
    if acid and acid.density and not acid.strength:
        return AcidStock.from_density(acid.density.value)
    return AcidStock.from_strength(acid.strength.value if acid and acid.strength else USUAL_ACID)


def _plan(sheet: Sheet, found: Estimate | None, task: Task) -> Plan:
    here = forward(task, Amounts())
    if sheet.bath.condition:
        seen = ", ".join(sheet.bath.condition)
        return Plan(
            "not possible", Amounts(), here, None, f"the condition of the bath ({seen}): take a sound sample first"
        )
    if found is None or all(verdict.state == "not measured" for verdict in task.verdicts.values()):
        return Plan("first part", Amounts(), here, None)
    return correct(task)


def _steps(task: Task, plan: Plan) -> tuple[Step, ...]:
    """Return the steps in the order in which to do them, each with the bath after it and why it is done."""
    amounts, stock = plan.amounts, task.stock
    steps: list[Step] = []
    done: dict[str, float] = {}

    def add(name: str, do: str, what: str, numbers: dict[str, float], why: str, how: str) -> None:
        done[name] = getattr(amounts, name)
        after = forward(task, Amounts(**done))
        why = why.format(copper=after.copper_sulfate, acid=after.sulfuric_acid, volume=after.volume)
        steps.append(Step(do, what, numbers, f"{why} {how}", after))

    if amounts.take_out > 0:
        how = "Draw it from mid-depth, not off the floor, and keep some of it to dissolve the crystals in."
        add("take_out", "take out", "bath", {"volume_L": amounts.take_out}, "It makes room for what follows.", how)
    if amounts.water > 0:
        numbers = {"volume_L": amounts.water / WATER_DENSITY / 1000, "mass_g": amounts.water}
        how = "Take distilled water, unless your sheet names another, and keep some back for crystals and acid."
        add("water", "add", "water", numbers, _why_water(task), how)
    if amounts.crystals > 0:
        numbers = {"mass_g": amounts.crystals, "purity_mass_fraction": stock.crystals_pentahydrate}
        how = "Dissolve them apart, warm, before any acid; then stir in."
        add(
            "crystals",
            "add",
            "copper sulfate crystals",
            numbers,
            "This brings copper sulfate to {copper:.0f} g/L.",
            how,
        )
    if amounts.acid > 0:
        millilitres = amounts.acid / stock.acid_density
        numbers = {"mass_g": amounts.acid, "volume_mL": millilitres, "strength_mass_fraction": stock.acid_strength}
        why = "This brings the acid to {acid:.0f} g/L."
        add("acid", "add", "sulfuric acid", numbers, why, _pouring(task, amounts))
    if amounts.chloride > 0:
        numbers, how = _chloride_step(stock, amounts.chloride)
        add("chloride", "add", stock.chloride_kind, numbers, "The additives need chloride.", how)
    return tuple(steps)


def _why_water(task: Task) -> str:
    """Say what the water is for."""
    if task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE):
        return "This brings the level to {volume:.2f} L."
    if any(
        verdict.state in ("high", "unsure") and (verdict.probability_high or 0) > 0.05
        for verdict in task.verdicts.values()
    ):
        return "This thins what is too high."
    return "This keeps crystals from forming in the cold, or makes room in the window."


def _pouring(task: Task, amounts: Amounts) -> str:
    """Say in how many portions the acid goes in and how much the bath warms."""
    volume = task.volume - amounts.take_out + amounts.water / 1000
    portions = math.ceil(amounts.acid / task.stock.acid_density / (50 * volume) - 1e-9)
    warming = warming_by_acid(amounts.acid, task.stock.acid_strength, volume)
    apart = "Pour it thinly into water or withdrawn bath, let that cool, then stir it in"
    split = f", in {portions} portions with cooling between" if portions > 1 else ""
    return f"{apart}{split}. The whole bath warms by about {warming:.0f} °C; the small vessel warms far more."


def _chloride_step(stock: Stock, milligrams: float) -> tuple[dict[str, float], str]:
    grams = milligrams / 1000 / stock.chloride_mass_fraction
    if stock.chloride_density is not None:
        numbers = {
            "mass_g": grams,
            "volume_mL": grams / stock.chloride_density,
            "strength_mass_fraction": stock.chloride_strength,
        }
        return numbers, "Stir it in last, with a syringe that you use for nothing else."
    return {"mass_g": grams, "volume_mL": grams / SALT_SOLUTION * 1000}, phrases.SALT_SOLUTION


# --- What else there is to say --------------------------------------------------------------------


def _warnings(
    sheet: Sheet,
    found: Estimate | None,
    verdict: dict[str, Verdict],
    values: dict[str, Value | None],
    plan: Plan,
    crystals: float | None,
) -> tuple[str, ...]:
    said: list[str] = []
    if sheet.bath.condition:
        said.append(phrases.SOUND_SAMPLE)
        said += [phrases.CONDITION_MEANS[seen] for seen in sheet.bath.condition]
        if "crystals" in sheet.bath.condition:
            said.append(_hidden_crystals(sheet))
    if found is None:
        if not sheet.bath.condition:
            said.append("There is no reading yet, so nothing is known of what the bath holds.")
        return tuple(said)
    said += _disagreement(sheet, found)
    for name, judged in verdict.items():
        said += _about_component(name, judged, values[name], found)
    said += _about_cold(sheet, found, plan, crystals)
    said += _about_stock(sheet, plan)
    surroundings, state = sheet.bath.surroundings(), found.state()
    for number, reading in enumerate(sheet.readings, 1):
        said += [
            f"Reading {number} ({reading.label.lower()}): {text}" for text in reading.warnings(surroundings, state)
        ]
    said += _about_evaporation(sheet)
    return tuple(dict.fromkeys(said))


def _hidden_crystals(sheet: Sheet) -> str:
    """Say how much copper sulfate may lie on the floor: what the bath held at most, less what it holds in the cold."""
    bath, limits = sheet.bath, limits_of(sheet)
    known = estimate(sheet)
    records = [
        getattr(reading, "copper_sulfate", None) for reading in sheet.readings if reading.kind == "previous check"
    ]
    held = max((record.value for record in records if record), default=(limits["copper_sulfate"] or (0.0, 248.0))[1])
    acid = (
        known.value("sulfuric_acid") if known and known.measured("sulfuric_acid") else _middle(limits["sulfuric_acid"])
    )
    stays = float(saturation(min(bath.coldest.value, bath.temperature.value), acid))
    grams = max(held - stays, 0.0) * bath.volume.value
    coldest = min(bath.coldest.value, bath.temperature.value)
    if grams == 0:
        return (
            f"At {coldest:.0f} °C about {stays:.0f} g/L stay dissolved, more than a bath of {held:.0f} g/L holds: "
            f"it must have "
            "stood colder, or been stronger, for crystals to form."
        )
    return (
        f"At {coldest:.0f} °C only about {stays:.0f} g/L stay dissolved (known to 10 to 15 %). If the bath held "
        f"{held:.0f} g/L, up to about {grams:.0f} g of crystals may lie on the floor, and your readings see none of "
        f"it."
    )


def _disagreement(sheet: Sheet, found: Estimate) -> list[str]:
    agreement = found.agreement
    if agreement.p_value is None or agreement.p_value >= DISAGREEMENT:
        return []
    wide = f"Until then every ± is taken {found.widened_by:.1f} times as wide."
    foreign = _foreign_metal(sheet)
    if foreign:
        return [f"{foreign} {wide}"]
    if agreement.odd_one_out is not None:
        odd = sheet.readings[agreement.odd_one_out]
        who = f"reading {agreement.odd_one_out + 1} ({odd.label.lower()}) fits none of the others: repeat it"
    else:
        numbers = " and ".join(str(number) for number in range(1, len(sheet.readings) + 1))
        who = f"which of readings {numbers} is wrong cannot be told: repeat them, or add one of another kind"
    return [
        f"Your readings contradict each other (this much by chance: {agreement.p_value:.1g}); {who}. "
        f"Until then every ± is taken {found.widened_by:.1f} times as wide."
    ]


def _foreign_metal(sheet: Sheet) -> str | None:
    """Say so where undeclared zinc or nickel would explain why readings contradict each other.

    EDTA and density count these metals as copper, iodide and copper plated out do not: such readings differ by them.
    """
    if sheet.bath.zinc or sheet.bath.nickel:
        return None
    open_to_zinc = replace(sheet.bath, zinc=Measured(1.0, 20.0, "g/L", "1 ± 20 g/L"))
    trial = estimate_bath(open_to_zinc, sheet.readings)
    zinc, spread = trial.value("zinc"), trial.standard_uncertainty("zinc")
    mended = trial.agreement.p_value is None or trial.agreement.p_value >= DISAGREEMENT
    if not mended or not 2 * spread < zinc < MOST_ZINC:
        return None
    copper = plus_minus(trial.value("copper_sulfate"), trial.standard_uncertainty("copper_sulfate"), "g/L")
    return (
        f"Your readings contradict each other, and foreign metal would explain it: "
        f"{plus_minus(zinc, spread, 'g/L')} of zinc or "
        f"nickel, which EDTA and density count as copper and iodide and plated-out copper do not. The copper "
        f"sulfate would then "
        f"be {copper}. If brass, galvanised wire or a clip got in, enter zinc for the bath and check again; "
        f"otherwise one reading "
        "is wrong: repeat both."
    )


def _about_component(name: str, judged: Verdict, value: Value | None, found: Estimate) -> list[str]:
    said = []
    leaning = judged.state
    if leaning in ("low", "high"):
        text = phrases.EFFECTS[name, leaning]
        if leaning == "low" and value and judged.limits and value.value < FAR_BELOW * judged.limits[0]:
            against = f"{value.value:.0f} against {judged.limits[0]:.0f} {UNITS[name]}"
            text = f"Your {NAMES[name]} is far below the window ({against}). {text}"
        said.append(text)
    if leaning != "not measured" and value is None:
        said.append(
            f"The readings do not settle the {NAMES[name]}: it could be "
            f"{_range(found.value(name), found.standard_uncertainty(name))} {UNITS[name]}."
        )
    return said


def _range(value: float, spread: float) -> str:
    return f"{max(value - 2 * spread, 0):.0f} to {value + 2 * spread:.0f}"


def _about_cold(sheet: Sheet, found: Estimate, plan: Plan, crystals: float | None) -> list[str]:
    if crystals is None:
        return []
    coldest, now = sheet.bath.coldest.value, sheet.bath.temperature.value
    state = found.state()
    if float(saturation(now, float(state.sulfuric_acid))) < float(state.copper_sulfate):  # type: ignore[arg-type]
        return [
            f"This is more copper sulfate than stays dissolved at {now:.0f} °C with this acid. Either crystals "
            f"are about to form, or a "
            "reading is wrong."
        ]
    if crystals > coldest - COLD_MARGIN:
        return [
            f"Crystals form below about {crystals:.0f} °C (known to about {COLD_MARGIN:.0f} °C), and the bath may "
            f"stand at {coldest:.0f} °C: keep it warmer, or look for crystals before you measure or plate."
        ]
    return []


def _about_stock(sheet: Sheet, plan: Plan) -> list[str]:
    said = []
    if plan.amounts.crystals > 0 and sheet.stock.crystals is None:
        said.append(phrases.FOREIGN_STOCK.format(what="crystals", assumed="99 % pentahydrate"))
    unnamed = sheet.stock.acid is None or (sheet.stock.acid.strength is None and sheet.stock.acid.density is None)
    if plan.amounts.acid > 0 and unnamed:
        said.append(phrases.FOREIGN_STOCK.format(what="acid", assumed="96 % acid"))
    return said


def _about_evaporation(sheet: Sheet) -> list[str]:
    """Say what the short way through a previous composition leaves out."""
    if not any(getattr(reading, "since", None) == "evaporation only" for reading in sheet.readings):
        return []
    tenth = float(f"{sheet.bath.usual_L / 50:.1g}")
    return [phrases.EVAPORATION.format(tenth=tenth, percent=100 * tenth / sheet.bath.usual_L)]


def _cautions(unsound: bool, steps: tuple[Step, ...], beside: tuple[Way, ...]) -> tuple[str, ...]:
    said = [phrases.SOUND_SAMPLE] if unsound else []
    kinds = {step.what for step in steps}
    if kinds:
        said.append(phrases.PARTS_OUT)
    if "copper sulfate crystals" in kinds:
        said += [phrases.CRYSTALS, phrases.NO_COPPER_LIME]
    if "sulfuric acid" in kinds:
        said += [phrases.ACID, phrases.ACID_INTO_WATER, phrases.BATTERY_ACID]
    if "bath" in kinds:
        said.append(phrases.KEEP_WITHDRAWN)
    if kinds & {"hydrochloric acid", "sodium chloride"}:
        said.append(phrases.CHLORIDE_ACID)
    said += [caution for caution in ways_cautions(beside) if caution not in said]
    return (*said, phrases.NO_FOOD_WARE, phrases.WASTE, phrases.ALLOW_LOCAL)


__all__ = ["Advice", "Step", "Value", "advise", "limits_of"]
