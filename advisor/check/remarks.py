"""What else there is to say beside the amounts: warnings about the readings and the bath, cautions of each step.

Each function looks at one matter and returns sentences. The fixed sentences are in `phrases`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from advisor.basis.components import NAMES, UNITS
from advisor.basis.units import parse
from advisor.check.advice import COLD_MARGIN, MARGIN
from advisor.check.again import fit_worst
from advisor.check.assessment import Assessment
from advisor.check.correction import Plan
from advisor.check.estimate import Agreement, Estimate, are_hopeless, estimate_from
from advisor.check.floor import hidden_crystals, sound_sample
from advisor.check.known import Value
from advisor.check.leaning import leaning, metals_may_show
from advisor.check.mass_balance import Task
from advisor.check.metals import metals_said
from advisor.check.room import ends_above
from advisor.check.slips import HOPELESS
from advisor.check.steps import Step
from advisor.check.task import acid_is_told
from advisor.check.ways import Way, acts_of
from advisor.check.window import Verdict
from advisor.readings import Reading
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.origin import Origin
from advisor.sheet import Sheet
from advisor.solution.equilibrium import side_by_side
from advisor.solution.ranges import HIGHEST
from advisor.solution.solubility import saturation
from advisor.words import phrases
from advisor.words.cautions import Act, cautions
from advisor.words.lines import Amount, Line, line, listed, range_of, small

MOST_ZINC = 20.0  # g/L: more would show as crystals, not as a reading that is a little off (judgement)
WARMING = (Act.HEATER_IN_ACID, Act.WARM_BATH)
FEW, LEAST_CHANCE = 4, 1e-3  # readings named one by one, and a chance that nobody would bet on (judgement)
COARSE = 3.0  # times the usual ± of a hydrometer: marks 0.005 g/mL apart, read to half of one (judgement)
FAR_BELOW = 0.6  # of the lower limit (judgement)


def warnings_of(sheet: Sheet, known: Assessment, task: Task, plan: Plan) -> tuple[str, ...]:
    """Return what the person should know about the readings, the bath and the plan, most pressing first."""
    said: list[str] = []
    estimate = known.estimate
    if sheet.bath.condition:
        said.append(sound_sample(sheet.bath))
        said += [phrases.CONDITION_MEANS[seen] for seen in sheet.bath.condition]
        if "crystals" in sheet.bath.condition:
            said.append(hidden_crystals(sheet))
    if estimate is None:
        if not sheet.bath.condition:
            said.append("There is no reading yet, so nothing is known about what the bath holds.")
        return tuple(said)
    said += _disagreement(sheet, estimate)
    said += metals_said(sheet, estimate)
    for name, judged in known.verdict.items():
        said += _about_component(name, judged, known.values[name], estimate)
    said += leaning(sheet, estimate)
    said += _about_cold(sheet, estimate, known.crystallises_below)
    said += _about_level(task, plan)
    said += _about_stock(sheet, plan)
    surroundings, state = sheet.bath.surroundings(), estimate.state()
    of_each = side_by_side(partial(reading.warnings, surroundings, state) for reading in sheet.readings)
    said += _about_readings(sheet.readings, of_each)
    said += _about_evaporation(sheet)
    return tuple(dict.fromkeys(said))


def _about_readings(readings: Sequence[Reading], of_each: Sequence[Sequence[str]]) -> list[Line]:
    """Say what each reading warns of; what several of a kind warn of stands once."""
    which: dict[tuple[str, str], list[str]] = {}
    for number, (reading, texts) in enumerate(zip(readings, of_each, strict=True), 1):
        for text in texts:
            which.setdefault((small(reading.label), text), []).append(str(number))
    return [
        line(
            "Reading{s} {numbers} ({label}): {text}",
            s="s" if len(numbers) > 1 else "",
            numbers=listed(numbers),
            label=label,
            text=text,
        )
        for (label, text), numbers in which.items()
    ]


def _disagreement(sheet: Sheet, estimate: Estimate) -> list[str]:
    agreement = estimate.agreement
    if not agreement.contradicts:
        return []
    wide = f"Until then every ± is taken {estimate.widened_by:.1f} times as wide."
    foreign = _foreign_metal(sheet, estimate)
    if foreign:
        return [line("{foreign} {wide}", foreign=foreign, wide=wide)]
    who = _to_repeat(sheet.readings, agreement)
    chance = _once_in(agreement.p_value or 0.0)
    said = f"Your readings contradict each other (chance alone would do that {chance} times); {who}. {wide}"
    return [said + _coarse_marks(sheet, estimate)]


def _coarse_marks(sheet: Sheet, estimate: Estimate) -> str:
    """Say that a wider ± may be typed where hydrometers contradict each other by no more than coarse marks leave open.

    Nothing of those that have a ± already, nor where another kind of reading is as doubtful.
    """
    readings, agreement = sheet.readings, estimate.agreement
    wider = {
        at: reading.read_wider(COARSE)
        for at, reading in enumerate(readings)
        if isinstance(reading, Hydrometer) and reading.value.standard_uncertainty is None
    }
    doubted = agreement.worst if agreement.odd_one_out is None else (agreement.odd_one_out,)
    if len(wider) < 2 or not wider.keys() >= set(doubted):
        return ""
    others = tuple(wider.get(at, reading) for at, reading in enumerate(readings))
    if estimate_from(sheet, others, estimate).agreement.contradicts:
        return ""
    return (
        " Or your hydrometer has coarse marks: if it cannot be read more closely, write its ± behind each reading, "
        f"such as “{wider[min(doubted)].value.text}”."
    )


def _to_repeat(readings: Sequence[Reading], agreement: Agreement) -> str:
    """Say which readings to take again where they contradict each other."""
    odd = agreement.odd_one_out
    doubted = sorted(agreement.worst) if odd is None else [odd]
    again = _again(doubted, [at for at in fit_worst(readings, agreement) if at in doubted])
    if odd is not None:
        return f"reading {odd + 1} ({small(readings[odd].label)}) fits none of the others: {again}"
    if len(doubted) == 1:
        return f"reading {doubted[0] + 1} fits the others worst: {again}, or add one of another kind"
    which = f"readings {_numbers(doubted)}" if len(doubted) <= FEW else f"your {len(readings)} readings"
    return f"which of {which} is wrong cannot be told: {again}, or add one of another kind"


def _again(doubted: Sequence[int], repeatable: Sequence[int]) -> str:
    """Say what to do about doubted readings; what was mixed or found before is not measured again."""
    they, them = ("it was", "it") if len(doubted) == 1 else ("they were", "them")
    if not repeatable:
        return f"see whether {they} written down rightly"
    return f"repeat {them}" if len(repeatable) == len(doubted) else f"repeat {_numbers(repeatable)} first"


def _numbers(positions: Iterable[int]) -> str:
    return listed(str(at + 1) for at in positions)


def _once_in(probability: float) -> str:
    """Return a probability [1] in words, to one figure; one so small that nobody would bet on it, as that."""
    if probability < LEAST_CHANCE:
        return f"less than once in {1 / LEAST_CHANCE:.0f}"
    return f"once in {float(f'{1 / probability:.1g}'):.0f}"


def _foreign_metal(sheet: Sheet, estimate: Estimate) -> Line | None:
    """Say so where undeclared zinc or nickel would explain why readings contradict each other.

    EDTA and density count these metals as copper, iodide and copper plated out do not: such readings differ by them.
    """
    if sheet.bath.zinc or sheet.bath.nickel or not metals_may_show(sheet.readings):
        return None
    open_to_zinc = replace(sheet, bath=replace(sheet.bath, zinc=parse("1 ± 39 g/L", "concentration")))
    if are_hopeless(open_to_zinc, estimate, HOPELESS):
        return None
    trial = estimate_from(open_to_zinc, sheet.readings, estimate)
    zinc, spread = trial.of("zinc")
    if trial.agreement.contradicts or not 2 * spread < zinc < MOST_ZINC:
        return None
    copper = trial.of("copper_sulfate")
    return line(
        "Your readings contradict each other, and foreign metal would explain it: {zinc} of zinc or nickel, which EDTA "
        "and density count as copper and iodide and plated-out copper do not. The copper sulfate would then be "
        "{copper}. If brass, galvanised wire or a clip got in, enter zinc for the bath and check again; otherwise one "
        "reading is wrong: repeat both.",
        zinc=Amount(zinc, "g/L", standard_uncertainty=spread),
        copper=Amount(copper.value, "g/L", standard_uncertainty=copper.standard_uncertainty),
    )


def _about_component(name: str, judged: Verdict, value: Value | None, estimate: Estimate) -> list[str]:
    said = []
    if judged.state in ("low", "high"):
        text = phrases.EFFECTS[name, judged.state]
        if judged.state == "low" and value and judged.limits and value.value < FAR_BELOW * judged.limits[0]:
            text = line(
                "Your {name} is far below the window ({value} against {limit}). {text}",
                name=NAMES[name],
                value=Amount(value.value, UNITS[name]),
                limit=Amount(judged.limits[0], UNITS[name]),
                text=text,
            )
        said.append(text)
    if judged.state != "not measured" and value is None:
        could_be = range_of(*estimate.of(name), UNITS[name], HIGHEST[name])
        said.append(
            line("The readings do not settle the {name}: it could be {range}.", name=NAMES[name], range=could_be)
        )
    return said


def _about_cold(sheet: Sheet, estimate: Estimate, crystals: float | None) -> list[str]:
    if crystals is None:
        return []
    coldest, now = sheet.bath.coldest_degC, sheet.bath.temperature.value
    state = estimate.state()
    if float(saturation(now, float(state.sulfuric_acid))) < float(state.copper_sulfate):  # type: ignore[arg-type]
        return [
            line(
                "This is more copper sulfate than stays dissolved at {now} with this acid. Either crystals are about "
                "to form, or a reading is wrong.",
                now=Amount(now, "°C"),
            )
        ]
    if crystals > coldest - COLD_MARGIN:
        return [
            line(
                "Crystals form below about {cold} (give or take {margin}), and the bath may stand at {coldest}: keep "
                "it warmer, or look for crystals before you measure or plate.",
                cold=Amount(crystals, "°C"),
                margin=MARGIN,
                coldest=Amount(coldest, "°C"),
            )
        ]
    return []


def _about_level(task: Task, plan: Plan) -> list[str]:
    """Say so where a plan ends above the usual level, as nothing else will do."""
    if not ends_above(task, plan):
        return []
    return [
        line(
            "This ends at {volume}, above your usual {usual}, because nothing else will do: take parts and baskets out "
            "first, since they push the level up, or keep what is too much as stock.",
            volume=Amount(plan.after.volume, "L", 2),
            usual=Amount(task.usual_volume, "L", 2),
        )
    ]


def _about_stock(sheet: Sheet, plan: Plan) -> list[str]:
    said = []
    if plan.amounts.crystals > 0 and sheet.stock.crystals is None:
        said.append(phrases.FOREIGN_STOCK.format(what="crystals", assumed="99 % pentahydrate"))
    if plan.amounts.acid > 0 and not acid_is_told(sheet):
        said.append(phrases.FOREIGN_STOCK.format(what="acid", assumed="96 % acid"))
    return said


def _about_evaporation(sheet: Sheet) -> list[str]:
    """Say what the short way through a previous composition leaves out; the record has it in its ± already."""
    typed = [reading for reading in sheet.readings if reading.origin != Origin.LOGBOOK]
    if not any(getattr(reading, "since", None) == "evaporation only" for reading in typed):
        return []
    tenth = float(f"{sheet.bath.usual_L / 50:.1g}")
    percent = 100 * tenth / sheet.bath.usual_L
    return [line(phrases.EVAPORATION, tenth=Amount(tenth, "L", digits=2), percent=percent)]


def cautions_of(sample: str | None, plan: Plan, steps: tuple[Step, ...], beside: tuple[Way, ...]) -> tuple[str, ...]:
    """Return how to take a sound sample, where that comes first, and the cautions of the steps and the ways."""
    said = [sample] if sample else []
    warms = bool(sample) or plan.keep_above is not None or plan.may_lie_on_the_floor
    return (*said, *cautions((*acts_of(steps, beside), *(WARMING if warms else ()))))
