"""What an answer took for granted because the sheet does not say it, and what each of those moves.

A default is not a reading: the list names it, and what depends on it. Nothing is estimated again; what a salt reads as
is told by `foreign`.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.basis.components import NAMES
from advisor.basis.units import COVERAGE
from advisor.check.correction import Plan
from advisor.check.foreign import PER_MONTH, PER_MONTH_SPREAD, READS_AS_COPPER_SULFATE
from advisor.check.leaning import Density
from advisor.check.mass_balance import Task
from advisor.check.open_questions import QUESTIONS, unanswered
from advisor.check.task import acid_is_told, acid_of
from advisor.readings.hydrometer import FLOATS_HIGH, Hydrometer
from advisor.sheet import Sheet
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE
from advisor.solution.ranges import HIGHEST
from advisor.solution.stock import BATTERY_ACID, acid_density
from advisor.words.lines import Amount, joined, line, range_of

PER_G_ML = 1 / 0.00059  # g/L of copper sulfate that a g/mL more reads as (computed)
PER_DEGREE = 0.0004 * PER_G_ML  # g/L of copper sulfate that a degree more reads as: the bath's expansion (computed)
WRONG_BY = 5.0  # degC by which a temperature that nobody measured may be wrong (judgement)
SODA_UNKNOWN = 7.0  # g/L of copper sulfate that soda reads as, about, if nobody mentions it (computed from its prior)


@dataclass(frozen=True)
class Granted:
    """One thing taken for granted. value: what it was taken to be; moves: what depends on it, and by how much."""

    what: str
    value: str
    moves: str

    def to_dict(self) -> dict[str, str]:
        """Return it as in the JSON result."""
        return {"what": self.what, "value": self.value, "moves": self.moves}


def taken_for_granted(sheet: Sheet, task: Task, plan: Plan, room_counts: bool) -> tuple[Granted, ...]:
    """Return what the answer rests on that the sheet does not say. room_counts: the plan hangs on the tank's room."""
    by_density = [reading for reading in sheet.readings if isinstance(reading, Density)]
    said = [*_of_the_contents(task, plan), *_of_the_tank(sheet, task), *_of_the_stock(sheet, plan)]
    if room_counts:
        most = line("{most}", most=Amount(task.most_volume, "L", 2))
        said.append(Granted("the most the tank holds", most, "whether there is room, or bath has to come out"))
    if by_density:
        said += _of_the_density(sheet, any(reading.temperature is None for reading in by_density))
    return tuple(said)


def _of_the_contents(task: Task, plan: Plan) -> list[Granted]:
    """Return the contents that rough readings leave open, where a dose is worked out for the middle."""
    said, amounts = [], plan.intended.amounts
    for name, dose in (("copper_sulfate", amounts.crystals), ("sulfuric_acid", amounts.acid)):
        if dose > 0 and task.measured(name) and not task.determined(name):
            value, spread = task.known.of(name)
            moves = line("its dose: your readings allow {range}", range=range_of(value, spread, "g/L", HIGHEST[name]))
            said.append(Granted(f"{NAMES[name]} in the bath", line("{now}", now=Amount(value, "g/L")), moves))
    return said


def _of_the_density(sheet: Sheet, unmeasured: bool) -> list[Granted]:
    bath, said = sheet.bath, []
    if not bath.was_given("age"):
        most = (PER_MONTH + COVERAGE * PER_MONTH_SPREAD) * bath.months * READS_AS_COPPER_SULFATE["foreign_solids"]
        said.append(
            Granted(
                "age of the bath",
                "12 months",
                line("copper sulfate by up to {most}, less in a younger bath", most=Amount(most, "g/L")),
            )
        )
    if unmeasured and not bath.was_given("temperature"):
        moves = line("copper sulfate by about {some}, if it was {Δ5 °C} off", some=Amount(WRONG_BY * PER_DEGREE, "g/L"))
        said.append(Granted("temperature of the bath", line("{20 °C}"), moves))
    if bath.additives and any(isinstance(reading, Hydrometer) for reading in sheet.readings):
        high, spread = FLOATS_HIGH[True]
        moves = line(
            "copper sulfate by up to {some} either way; a weighed density is free of it",
            some=Amount(COVERAGE * spread * PER_G_ML, "g/L"),
        )
        value = line("{high} too high", high=Amount(high, "g/mL", 3))
        said.append(Granted("how your hydrometer floats in a bath with additives", value, moves))
    names = [QUESTIONS[name].asks for name in unanswered(sheet)]
    if names:
        moves = line("copper sulfate, by {some} and more", some=Amount(SODA_UNKNOWN, "g/L"))
        said.append(Granted(", ".join(names), "not known", moves))
    return said


def _of_the_tank(sheet: Sheet, task: Task) -> list[Granted]:
    bath, said = sheet.bath, []
    if not bath.was_given("coldest"):
        most = task.stays_dissolved(task.sulfuric_acid)
        moves = line("how much copper sulfate may stand: up to {most}", most=Amount(most, "g/L"))
        said.append(Granted("the coldest it will stand", line("{cold}", cold=Amount(task.coldest, "°C")), moves))
    if bath.additives is None:
        counts = "whether chloride counts: without them it does not"
        floats = line(
            "; and copper sulfate: with them a hydrometer reads {high} too high",
            high=Amount(FLOATS_HIGH[True][0] * PER_G_ML, "g/L"),
        )
        by_float = any(isinstance(reading, Hydrometer) for reading in sheet.readings)
        said.append(
            Granted(
                "brightener and other additives", "none known", joined("", (counts, floats)) if by_float else counts
            )
        )
    if bath.usual_volume is None:
        said.append(Granted("the usual level", "the level of now", "whether water is missing"))
    return said


def _of_the_stock(sheet: Sheet, plan: Plan) -> list[Granted]:
    amounts, said = plan.intended.amounts, []
    if amounts.crystals > 0 and sheet.stock.crystals is None:
        moves = f"their dose: anhydrous takes at least {100 * (1 - ANHYDROUS_PER_PENTAHYDRATE):.0f} % less"
        said.append(Granted("the crystals on hand", "99 % pentahydrate", f"{moves}, as it brings no water along"))
    if amounts.acid > 0 and not acid_is_told(sheet):
        weaker = acid_of(sheet).strength * acid_of(sheet).density / (BATTERY_ACID * float(acid_density(BATTERY_ACID)))
        moves = f"its dose: battery acid of {100 * BATTERY_ACID:.0f} % takes {weaker:.1f} times as much"
        said.append(Granted("the acid on hand", "96 %", moves))
    return said
