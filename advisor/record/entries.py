"""What can be written in the record of a bath: checks, what was done to it, plating runs, level marks, rules and notes.

Every kind of entry but the check is a table of fields, like the tables of the bench sheet, so that its limits, its
labels, the page's input fields and the words of the command `log` come from one description. An entry is never
changed: a correction is a new entry that points to the old one, and `standing` tells which entries count. How an entry
becomes a text and is read back is in `entry_text`.
"""

from __future__ import annotations

import datetime
import re
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from operator import attrgetter
from typing import Any, ClassVar

import numpy as np

from advisor.basis.components import COMPONENTS, KEYS, UNITS
from advisor.basis.fields import KEPT, Fault, InputError, TableBase, choice, dose_per_charge, note, quantity, show, text
from advisor.basis.toml import read_toml
from advisor.basis.units import Measured, UnitError, parse
from advisor.check.known import Known, Value
from advisor.readings.tools import LEVEL_READING
from advisor.sheet import strength_of_hydrochloric_acid
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.solution.stock import CRYSTAL_FORMS, SALT_SOLUTION
from advisor.words.lines import capital, joined, line

MOST_CORRELATED = 0.9999  # of two components (judgement)
YET_TO_COME = "That day is yet to come: it counts from then on."
CLOCKS_DIFFER = datetime.timedelta(minutes=1)  # by less, a computer set by the network may be off (judgement)
SALT_SOURCE = f"salt solution of {SALT_SOLUTION:g} g/L"
ANOTHER_BATH = "poured into another bath"
NAME = 80  # characters of the name of a bottle, a part or a tank (judgement)
CHARGE = 0.03  # relative; ampere-hours of a supply's display, or of a current that was read now and then (judgement)
DOSE = 0.03  # relative; a dose from a syringe or a cap (judgement)
# Of what the charge deposits: a part that gained less or more was not weighed right (judgement).
PLAUSIBLE = (0.85, 1.05)


# Units that are words, as they are typed for one or for several: "2 week", "1 gallons".
_COUNTED = re.compile(
    r"(?P<number>[0-9][0-9.,/ ]*?) *\b"
    r"(?P<unit>day|week|month|year|hour|minute|second|cup|gallon|quart|pint|(?:fluid )?ounce|pound)s?\b"
)
_ONE = re.compile(r"1(?:[.,]0+)? (day|week|month|year|hour)")
_COMMA = re.compile(r",(?=\d)")  # a decimal one: what is computed stands beside it with a point
_SQUARE = re.compile(r"(?<=[a-z])\^?2(?=$|[\s/)±+])")  # of a unit, also before its ±


class Content(TableBase):
    """Base of what an entry says. A kind is a frozen dataclass with `kind`, `label` and `word`.

    word: its name on the command line; first: the fields that stand there without their names, in this order.
    """

    kind: ClassVar[str]
    label: ClassVar[str]
    word: ClassVar[str]
    first: ClassVar[tuple[str, ...]] = ()
    note: str

    def summary(self) -> str:
        """Say in one sentence what was entered, with the person's own note behind it."""
        said = self.sentence()
        return line("{said}; {note}", said=said, note=self.note) if self.note else said

    def sentence(self) -> str:
        """Say what was entered, without the note."""
        raise NotImplementedError


def written(value: Measured | None, before: str = "", after: str = "") -> str:
    """Return a quantity as it was typed, with the signs of print, between words; empty where there is none."""
    return "" if value is None else f"{before}{_in_print(value.text)}{after}"


@lru_cache(maxsize=KEPT)
def _in_print(typed: str) -> str:
    """Return a quantity as it was typed, with the signs of print and its unit in the plural where it is a word."""
    text = _COMMA.sub(".", _SQUARE.sub("²", typed)).replace("A*h", "A·h").replace("degC", "°C").replace("um", "µm")
    return _COUNTED.sub(_counted, text)


def _counted(typed: re.Match[str]) -> str:
    """Return a number with its unit, which is a word, in the plural unless it is one or a fraction such as 1/2."""
    alone = re.fullmatch(r"1([.,]0+)?|[0-9]/[0-9]+", typed["number"])
    return f"{typed['number']} {typed['unit']}{'' if alone else 's'}"


@dataclass(frozen=True)
class WaterAdded(Content):
    """Water that went in."""

    kind: ClassVar[str] = "water"
    label: ClassVar[str] = "Water added"
    word: ClassVar[str] = "water"
    first: ClassVar[tuple[str, ...]] = ("volume",)
    volume: Measured = quantity("volume", "Water", "How much went in.", required=True, above=True, high=10_000.0)
    chloride: Measured = quantity("content", "Chloride in the water", "0 for distilled.", default="0 mg/L", high=1000.0)
    note: str = note()

    def sentence(self) -> str:
        chloride = written(self.chloride, " with ", " chloride") if self.chloride.value else ""
        return f"{written(self.volume)} of water added{chloride}"


@dataclass(frozen=True)
class CrystalsAdded(Content):
    """Copper sulfate that went in."""

    kind: ClassVar[str] = "crystals"
    label: ClassVar[str] = "Copper sulfate crystals added"
    word: ClassVar[str] = "crystals"
    first: ClassVar[tuple[str, ...]] = ("mass",)
    mass: Measured = quantity("mass", "Crystals", "As weighed.", required=True, above=True, high=1e6, unit="g")
    purity: Measured = quantity("fraction", "Purity", "From the label.", default="99 %", low=0.5, high=1.0)
    form: str = choice("Form", CRYSTAL_FORMS, default="pentahydrate")
    note: str = note()

    def sentence(self) -> str:
        form = "" if self.form == "pentahydrate" else f"{self.form} "
        return f"{written(self.mass)} of {form}copper sulfate crystals of {written(self.purity)} added"


@dataclass(frozen=True)
class AcidAdded(Content):
    """Sulfuric acid that went in."""

    kind: ClassVar[str] = "acid"
    label: ClassVar[str] = "Sulfuric acid added"
    word: ClassVar[str] = "acid"
    first: ClassVar[tuple[str, ...]] = ("volume", "strength")
    volume: Measured = quantity(
        "volume", "Acid", "As measured.", required=True, above=True, high=1000.0, unit="mL", us_unit="fl oz"
    )
    strength: Measured = quantity(
        "fraction", "Strength", "By mass: battery acid is about 37 %.", required=True, low=0.01, high=1.0
    )
    note: str = note()

    def sentence(self) -> str:
        return f"{written(self.volume)} of sulfuric acid of {written(self.strength)} added"


@dataclass(frozen=True)
class ChlorideAdded(Content):
    """Chloride that went in, as a solution."""

    kind: ClassVar[str] = "chloride"
    label: ClassVar[str] = "Chloride added"
    word: ClassVar[str] = "chloride"
    first: ClassVar[tuple[str, ...]] = ("volume",)
    source: str = choice("Chloride from", (SALT_SOURCE, "hydrochloric acid"), default=SALT_SOURCE)
    volume: Measured = quantity("volume", "How much", "As measured.", required=True, above=True, high=100.0, unit="mL")
    strength: Measured = strength_of_hydrochloric_acid()
    note: str = note()

    def sentence(self) -> str:
        of = "" if self.source == SALT_SOURCE else written(self.strength, " of ")
        return f"{written(self.volume)} of {self.source}{of} added for chloride"


@dataclass(frozen=True)
class TakenOut(Content):
    """Bath that left the tank and was seen to leave."""

    kind: ClassVar[str] = "take out"
    label: ClassVar[str] = "Bath taken out"
    word: ClassVar[str] = "take-out"
    first: ClassVar[tuple[str, ...]] = ("volume",)
    volume: Measured = quantity("volume", "Bath", "How much left the tank.", required=True, above=True, high=10_000.0)
    why: str = choice("Why", ("decanted", "sampled", "spilt", ANOTHER_BATH), default="decanted")
    note: str = note()

    def sentence(self) -> str:
        return f"{written(self.volume)} of bath {'left the tank' if self.why == 'spilt' else 'taken out'} ({self.why})"


WATER_AFTERWARDS = "Water that you pour in afterwards is an entry of its own."


@dataclass(frozen=True)
class CarbonTreatment(Content):
    """A treatment with activated carbon: it takes the additives with the dirt."""

    kind: ClassVar[str] = "carbon treatment"
    label: ClassVar[str] = "Carbon treatment"
    word: ClassVar[str] = "carbon"
    first: ClassVar[tuple[str, ...]] = ("carbon",)
    carbon: Measured | None = quantity(
        "mass", "Carbon", f"How much you stirred in. {WATER_AFTERWARDS}", above=True, high=1e5, unit="g"
    )
    note: str = note()

    def sentence(self) -> str:
        return f"Treated with {written(self.carbon, after=' of ')}activated carbon"


@dataclass(frozen=True)
class AnodeChange(Content):
    """Other anodes, or more or less of them."""

    kind: ClassVar[str] = "anode change"
    label: ClassVar[str] = "Anodes changed"
    word: ClassVar[str] = "anodes"
    first: ClassVar[tuple[str, ...]] = ("anodes",)
    anodes: str = choice("Anodes", ("phosphorised copper", "other copper", "inert"), default="other copper")
    area: Measured | None = quantity(
        "area", "Anode area", "The side or sides facing the part.", above=True, high=1e5, unit="cm^2"
    )
    mass: Measured | None = quantity(
        "mass", "Their mass", "All that hang, dry and without bags.", above=True, high=1e6, unit="g"
    )
    note: str = note()

    def sentence(self) -> str:
        return f"Anodes changed: {self.anodes}{written(self.area, ', ')}{written(self.mass, ', weighing ')}"


@dataclass(frozen=True)
class AdditiveDose(Content):
    """Brightener or another additive that went in."""

    kind: ClassVar[str] = "additive dose"
    label: ClassVar[str] = "Additive added"
    word: ClassVar[str] = "dose"
    first: ClassVar[tuple[str, ...]] = ("additive", "volume")
    volume: Measured = quantity("volume", "Dose", "As measured.", required=True, above=True, high=100.0, unit="mL")
    additive: str = text("Additive", "What you call the bottle.", default="", longest=NAME)
    chloride: Measured | None = quantity(
        "content", "Chloride in it", "If its label or maker tells; empty where nobody knows.", high=100_000.0
    )
    note: str = note()

    def sentence(self) -> str:
        chloride = written(self.chloride, " with ", " chloride")
        return f"{written(self.volume)} of {self.additive or 'additive'}{chloride} given"


@dataclass(frozen=True)
class Remake(Content):
    """The bath was thrown out and mixed anew: what was known before no longer holds."""

    kind: ClassVar[str] = "remake"
    label: ClassVar[str] = "Bath mixed anew"
    word: ClassVar[str] = "remake"
    note: str = note()

    def sentence(self) -> str:
        return "The bath was thrown out and mixed anew"


@dataclass(frozen=True)
class RunDone(Content):
    """A run: its ampere-hours, or its current and time."""

    kind: ClassVar[str] = "plating run"
    label: ClassVar[str] = "Plating run"
    word: ClassVar[str] = "run"
    first: ClassVar[tuple[str, ...]] = ("part",)
    current: Measured | None = quantity("current", "Current", "The mean over the run.", above=True, high=10_000.0)
    time: Measured | None = quantity("time", "Time", "How long the current flowed.", above=True, high=10_000.0)
    charge: Measured | None = quantity("charge", "Ampere-hours", "If you count them.", above=True, high=1e7)
    area: Measured | None = quantity("area", "Area of the part", "All of it.", above=True, high=1e5, unit="cm^2")
    part: str = text("Part", "What you plated.", default="", longest=NAME)
    part_before: Measured | None = quantity(
        "mass", "Part before", "Dry, as it was hung in; with its paint, if it has one.", above=True, high=1e6, unit="g"
    )
    part_after: Measured | None = quantity(
        "mass", "Part after", "Rinsed and quite dry, on the same scale.", above=True, high=1e6, unit="g"
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Ask for the ampere-hours, or for both current and time; a part that was plated weighs more than before."""
        if self.charge is None and (self.current is None or self.time is None):
            raise InputError.missing(f"{place}: charge", "give the ampere-hours, or current and time")
        if self.part_before and self.part_after and self.part_after.value <= self.part_before.value:
            accepted = f"it must be more than the {self.part_before.text} of before"
            raise InputError(f"{place}: part_after", show(self.part_after.text), accepted, Fault.CONFLICT)

    @property
    def ampere_hours(self) -> float:
        """Charge of the run [A·h]; counted ampere-hours win over current times time."""
        if self.charge is not None:
            return self.charge.value
        assert self.current is not None
        assert self.time is not None
        return self.current.value * self.time.value

    @property
    def charged(self) -> Value:
        """Charge of the run with its standard uncertainty [A·h]: of meter and clock as typed with ±.

        Else that of a supply's display, beside which a clock errs by nothing.
        """
        clock = None if self.charge is not None else self.time
        timed = clock.uncertainty_or(0.0) / clock.value if clock else 0.0
        charge, metered = self.ampere_hours, self._metered() or CHARGE
        return Value(charge, charge * (float(np.hypot(metered, timed)) if timed else metered))

    def is_charge_typed(self) -> bool:
        """Tell whether the person said how well the ampere-hours, or the current, are known."""
        return self._metered() > 0

    def _metered(self) -> float:
        """Return the relative standard uncertainty of ampere-hours or current, as typed; 0 where none was."""
        meter = self.current if self.charge is None else self.charge
        return meter.uncertainty_or(0.0) / meter.value if meter else 0.0

    @property
    def gained(self) -> Value | None:
        """What the part gained by the scale, with its standard uncertainty [g]; None where it was not weighed twice."""
        if self.part_before is None or self.part_after is None:
            return None
        gained = self.part_after.value - self.part_before.value
        return Value(gained, float(np.hypot(weighed(self.part_before), weighed(self.part_after))))

    @property
    def copper(self) -> float:
        """Copper that was deposited [g]: as weighed, or by Faraday's law where that is missing or cannot be right."""
        by_charge = self.ampere_hours * COPPER_PER_AMPERE_HOUR
        return self.gained.value if self.gained and is_plausible(self.gained.value / by_charge) else by_charge

    def sentence(self) -> str:
        charge = self.charged.amount("A·h")
        how = f"{written(self.current, ' at ')}{written(self.time, ' for ')}{written(self.area, ' on ')}"
        return line("{part} plated{how}: {charge}", part=capital(self.part or "a part"), how=how, charge=charge)


def is_plausible(efficiency: float) -> bool:
    """Tell whether a part can have gained this share of what the charge deposits; else it was not weighed right."""
    return PLAUSIBLE[0] <= efficiency <= PLAUSIBLE[1]


def weighed(mass: Measured) -> float:
    """Return the standard uncertainty of a weighing [g]: as typed with ±, else one in the last digit, evenly spread."""
    return mass.uncertainty_or(mass.step / np.sqrt(3.0))


@dataclass(frozen=True)
class LevelMark(Content):
    """How much stood in the tank."""

    kind: ClassVar[str] = "level"
    label: ClassVar[str] = "Level"
    word: ClassVar[str] = "level"
    first: ClassVar[tuple[str, ...]] = ("volume",)
    volume: Measured = quantity(
        "volume", "Bath in the tank", "Read off the level mark.", required=True, low=0.01, high=10_000.0
    )
    note: str = note()

    def sentence(self) -> str:
        return f"{written(self.volume)} stood in the tank"


@dataclass(frozen=True)
class Filtered(Content):
    """The bath was filtered: it takes dust and sludge, and nothing that is dissolved."""

    kind: ClassVar[str] = "filter"
    label: ClassVar[str] = "Filtered"
    word: ClassVar[str] = "filter"
    first: ClassVar[tuple[str, ...]] = ("through",)
    through: str = text("Through", f"What kind of filter. {WATER_AFTERWARDS}", default="", longest=NAME)
    time: Measured | None = quantity("time", "How long", "If it ran for a while.", above=True, high=10_000.0)
    note: str = note()

    def sentence(self) -> str:
        return f"Bath filtered{' through ' if self.through else ''}{self.through}{written(self.time, ' for ')}"


@dataclass(frozen=True)
class AnodesWiped(Content):
    """Crust and thick film came off the anodes."""

    kind: ClassVar[str] = "anodes wiped"
    label: ClassVar[str] = "Anodes wiped"
    word: ClassVar[str] = "wipe"
    note: str = note()

    def sentence(self) -> str:
        return "Anodes wiped"


@dataclass(frozen=True)
class AnodesWeighed(Content):
    """What the anodes weighed: from one weighing to the next tells what they fed."""

    kind: ClassVar[str] = "anodes weighed"
    label: ClassVar[str] = "Anodes weighed"
    word: ClassVar[str] = "anode-mass"
    first: ClassVar[tuple[str, ...]] = ("mass",)
    mass: Measured = quantity(
        "mass",
        "Anodes",
        "All that hang: wiped, rinsed, dry, without bags.",
        required=True,
        above=True,
        high=1e6,
        unit="g",
    )
    note: str = note()

    def sentence(self) -> str:
        return f"Anodes weighed: {written(self.mass)}"


@dataclass(frozen=True)
class AdditiveRule(Content):
    """What the label of a bottle says of its dose: for ampere-hours, for time, for fresh bath."""

    kind: ClassVar[str] = "additive rule"
    label: ClassVar[str] = "Additive: what its label says"
    word: ClassVar[str] = "additive"
    first: ClassVar[tuple[str, ...]] = ("additive",)
    additive: str = text("Additive", "What you call the bottle.", required=True, longest=NAME)
    per_ampere_hour: Measured | None = dose_per_charge(
        "For each ampere-hour",
        "As the label says it, such as 20 mL per 100 A·h; a range as 0.2 ± 0.1 mL.",
        above=True,
        high=1.0,
        unit="mL",
    )
    per_week: Measured | None = quantity(
        "volume", "For each week", "For this bath, whether you plate or not.", above=True, high=10.0, unit="mL"
    )
    per_litre: Measured | None = quantity(
        "volume", "For each litre of fresh bath", "Also after carbon, for all of it.", above=True, high=0.5, unit="mL"
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Ask for a name, and for at least one of the doses."""
        if not self.additive.strip():
            raise InputError.missing(f"{place}: additive", "what do you call the bottle?")
        if self.per_ampere_hour is None and self.per_week is None and self.per_litre is None:
            accepted = "give what the label says for each ampere-hour, for each week or for each litre of fresh bath"
            raise InputError.missing(f"{place}: per_ampere_hour", accepted)

    def sentence(self) -> str:
        doses = [
            written(self.per_ampere_hour, after=" for each ampere-hour"),
            written(self.per_week, after=" a week"),
            written(self.per_litre, after=" for each litre of fresh bath"),
        ]
        return f"The label of {self.additive} says {', '.join(filter(None, doses))}"


@dataclass(frozen=True)
class Reminder(Content):
    """Something to be done once, so long from now, or again and again."""

    kind: ClassVar[str] = "reminder"
    label: ClassVar[str] = "Reminder"
    word: ClassVar[str] = "remind"
    first: ClassVar[tuple[str, ...]] = ("what", "after")
    what: str = text("What", 'What is to be done, such as "measure again" or "filter".', required=True, longest=NAME)
    after: Measured | None = quantity("time", "Once, after", "From now.", above=True, high=90_000.0, unit="min")
    every: Measured | None = quantity(
        "time", "Again every", "Counted from when it was done.", low=1.0, high=90_000.0, unit="week"
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Ask for what is to be done, and for one of the two times."""
        if not self.what.strip():
            raise InputError.missing(f"{place}: what", "what is to be done?")
        if self.after is None and self.every is None:
            raise InputError.missing(f"{place}: after", 'when? Give "10 min" for once, or again every "4 week"')
        if self.after is not None and self.every is not None:
            accepted = "give either the time for once or the time from one to the next, not both"
            raise InputError(f"{place}: every", show(self.every.text), accepted, Fault.CONFLICT)

    def sentence(self) -> str:
        often = f", {self.often()}" if self.every else ""
        return f"To be reminded: {self.what}{written(self.after, ', after ')}{often}"

    def often(self) -> str:
        """Return how often it comes again, such as "every week"; empty where it comes once."""
        return f"every {_one(written(self.every))}" if self.every else ""


def _one(time: str) -> str:
    """Return a time as it stands after "every": "week" for "1 week"."""
    alone = _ONE.fullmatch(time)
    return alone[1] if alone else time


@dataclass(frozen=True)
class Done(Content):
    """What a reminder asked for was done."""

    kind: ClassVar[str] = "done"
    label: ClassVar[str] = "Done, as reminded"
    word: ClassVar[str] = "done"
    first: ClassVar[tuple[str, ...]] = ("what",)
    what: str = text("What", "As the reminder calls it.", required=True, longest=NAME)
    note: str = note()

    def sentence(self) -> str:
        return f"Done: {self.what}"


@dataclass(frozen=True)
class Noted(Content):
    """Anything worth keeping that no other kind of entry takes."""

    kind: ClassVar[str] = "note"
    label: ClassVar[str] = "Note"
    word: ClassVar[str] = "note"
    first: ClassVar[tuple[str, ...]] = ("note",)
    note: str = text("Note", "What you saw or did.", required=True)

    def check(self, place: str) -> None:
        """Ask for words."""
        if not self.note.strip():
            raise InputError.missing(f"{place}: note", "what do you want to keep?")

    def summary(self) -> str:
        return f"Note: {self.note}"


@dataclass(frozen=True)
class Moved(Content):
    """The bath stands in another tank: its usual level is another from now on."""

    kind: ClassVar[str] = "moved"
    label: ClassVar[str] = "Moved to another tank"
    word: ClassVar[str] = "move"
    first: ClassVar[tuple[str, ...]] = ("tank", "usual_volume")
    tank: str = text("Tank", "What you call it.", required=True, longest=NAME)
    usual_volume: Measured = quantity(
        "volume", "Usual level there", "To which you keep it filled.", required=True, above=True, high=10_000.0
    )
    max_volume: Measured | None = quantity("volume", "Holds at most", "Up to the brim.", above=True, high=20_000.0)
    note: str = note()

    def check(self, place: str) -> None:
        """See that the tank holds its usual level."""
        if self.max_volume and self.max_volume.value < self.usual_volume.value:
            accepted = f"it must be at least the usual level, {self.usual_volume.text}"
            raise InputError(f"{place}: max_volume", show(self.max_volume.text), accepted, Fault.CONFLICT)

    def sentence(self) -> str:
        return f"Moved to {self.tank}, usually {written(self.usual_volume)}{written(self.max_volume, ', at most ')}"


@dataclass(frozen=True)
class PouredIn(Content):
    """Bath that came in from elsewhere: from another tank, or from what was once taken out and kept."""

    kind: ClassVar[str] = "poured in"
    label: ClassVar[str] = "Other bath poured in"
    word: ClassVar[str] = "pour-in"
    first: ClassVar[tuple[str, ...]] = ("volume", "copper_sulfate", "sulfuric_acid")
    volume: Measured = quantity("volume", "Bath", "How much came in.", required=True, above=True, high=10_000.0)
    copper_sulfate: Measured = quantity(
        "concentration",
        "Its copper sulfate",
        "As it was last known, with ±.",
        required=True,
        high=HIGHEST_COPPER_SULFATE,
    )
    sulfuric_acid: Measured = quantity(
        "concentration", "Its acid", "As it was last known, with ±.", required=True, high=HIGHEST_SULFURIC_ACID
    )
    chloride: Measured | None = quantity(
        "content", "Its chloride", "As it was last known; empty where nobody knows.", high=HIGHEST_CHLORIDE
    )
    source: str = text("From", "From which tank or jar.", default="", longest=NAME)
    note: str = note()

    def main(self) -> tuple[Measured, Measured]:
        """Return copper sulfate and acid."""
        return self.copper_sulfate, self.sulfuric_acid

    def sentence(self) -> str:
        held = [written(self.copper_sulfate, after=" copper sulfate"), written(self.sulfuric_acid, after=" acid")]
        source = f" from {self.source}" if self.source else ""
        chloride = [written(self.chloride, after=" chloride")] if self.chloride else []
        return f"{written(self.volume)} of bath poured in{source}: {', '.join([*held, *chloride])}"


@dataclass(frozen=True)
class Withdrawn(Content):
    """An earlier entry was a mistake and counts no more."""

    kind: ClassVar[str] = "withdrawn"
    label: ClassVar[str] = "Entry withdrawn"
    word: ClassVar[str] = ""  # a command of its own
    note: str = note()

    def sentence(self) -> str:
        return "The entry was withdrawn"


@dataclass(frozen=True)
class Unreadable(Content):
    """An entry that stands in the file and cannot be read: what kind it was, and what is the matter with it.

    It counts for nothing, and so does what it corrected, since what it said of that is not known. It is never written.
    """

    kind: ClassVar[str] = "unreadable"
    label: ClassVar[str] = "Cannot be read"
    was: str
    matter: str
    note: str = ""

    def summary(self) -> str:
        """Say what is the matter."""
        return f"{self.label} ({self.was}): {self.matter}"


@lru_cache(maxsize=1024)
def raw_toml(toml: str) -> Mapping[str, Any]:
    """Return what a text says, empty where it is no TOML; kept at hand for the next look."""
    try:
        return read_toml(toml)
    except ValueError:
        return {}


@dataclass(frozen=True)
class Check:
    """A bench sheet (TOML) and the advice (as from `Advice.to_dict`) that was computed from it then."""

    sheet: str
    advice: Mapping[str, Any]

    kind: ClassVar[str] = "check"
    label: ClassVar[str] = "Check"

    @property
    def volume_L(self) -> float:
        """Level of the bath then [L at 20 degC]."""
        return float(self.advice["estimate"]["volume_L"])

    @property
    def level(self) -> Value:
        """Level of the bath then with its standard uncertainty [L at 20 degC]: as typed with ±, or half a percent."""
        try:
            typed = parse(str(self.bath().get("volume")), "volume").standard_uncertainty
        except UnitError:
            typed = None
        return Value(self.volume_L, typed or LEVEL_READING * self.volume_L)

    @property
    def correlation(self) -> float:
        """Correlation of copper sulfate and acid; 0 where it was not stated.

        No readings make it whole, which would leave a direction of the bath without any uncertainty.
        """
        stated = float(self.advice["estimate"].get("correlation") or 0.0)
        return min(max(stated, -MOST_CORRELATED), MOST_CORRELATED)

    def value(self, component: str) -> Value | None:
        """Return what was found of a component [g/L; chloride mg/L], None where nothing determined it."""
        value = self.advice["estimate"].get(KEYS[component])
        return None if value is None else Value(float(value["value"]), float(value["standard_uncertainty"]))

    @property
    def known(self) -> Known:
        """What was found [g/L; chloride mg/L]; what nothing determined stands at 0 and is not among the measured."""
        found = {name: self.value(name) for name in COMPONENTS}
        mean, spreads = np.array([value or (0.0, 0.0) for value in found.values()]).T
        covariance = np.diag(spreads**2)
        covariance[0, 1] = covariance[1, 0] = self.correlation * spreads[0] * spreads[1]
        measured = frozenset(name for name, value in found.items() if value is not None)
        level = self.level
        return Known(tuple(found), mean, covariance, measured, level.value, level.standard_uncertainty / level.value)

    def limits(self, component: str) -> tuple[float, float] | None:
        """Return the working window of a component at that check [g/L; chloride mg/L], None where it had none."""
        limits = self.advice.get("verdict", {}).get(component, {}).get("limits")
        return (float(limits[0]), float(limits[1])) if limits else None

    def bath(self) -> Mapping[str, Any]:
        """Return the table [bath] of its sheet as it was written; empty where the sheet cannot be read any more."""
        bath = raw_toml(self.sheet).get("bath")
        return bath if isinstance(bath, Mapping) else {}

    def reading_kinds(self) -> frozenset[str]:
        """Return the kinds of the readings in its sheet; none where the sheet cannot be read any more."""
        readings = raw_toml(self.sheet).get("reading", [])
        tables = readings if isinstance(readings, list) else []
        return frozenset(str(reading.get("kind")) for reading in tables if isinstance(reading, Mapping))

    def summary(self) -> str:
        """Say in a few words what was found."""
        short = {"copper_sulfate": "copper sulfate", "sulfuric_acid": "acid", "chloride": "chloride"}
        said: list[str] = []
        for name, words in short.items():
            if value := self.value(name):
                said.append(line("{held} {name}", held=value.amount(UNITS[name]), name=words))
        return line("Check: {said}", said=joined(", ", [*said, line("{volume:.2f L}", volume=self.volume_L)]))


CONTENTS: dict[str, type[Content]] = {
    table.kind: table
    for table in (
        LevelMark, WaterAdded, RunDone, AdditiveDose, CrystalsAdded, AcidAdded, ChlorideAdded, TakenOut, PouredIn,
        CarbonTreatment, Filtered, AnodeChange, AnodesWiped, AnodesWeighed, AdditiveRule, Reminder, Done, Noted,
        Moved, Remake, Withdrawn,
    )
}  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One entry of the record. when: of what it tells; written: when it was entered; both aware, in UTC."""

    id: int
    bath: str
    when: datetime.datetime
    written: datetime.datetime
    program: str  # version that wrote it
    corrects: int | None
    content: Check | Content

    @property
    def kind(self) -> str:
        """The kind of entry, such as "check" or "water"."""
        return self.content.kind


COUNT_FOR_NOTHING = (Withdrawn, Unreadable)


class Counting(tuple[Entry, ...]):
    """Entries that are known to count and to be in order of time, so that `standing` need not look at them again."""

    __slots__ = ()


def up_to(entries: Sequence[Entry], when: datetime.datetime) -> Counting:
    """Return entries that count and are in order of time, up to and including a time."""
    return Counting(entries[: bisect_right(entries, when, key=attrgetter("when"))])


def standing(entries: Iterable[Entry]) -> Counting:
    """Return the entries that count, in order of time: of an entry and its corrections the one written last.

    Last by its number: a clock that was set back must not let a withdrawn entry count again.
    """
    if isinstance(entries, Counting):
        return entries
    return Counting(entry for entry in _last_said(entries) if not isinstance(entry.content, COUNT_FOR_NOTHING))


def left_out(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries that cannot be read and were neither corrected nor withdrawn since, in order of time."""
    return tuple(entry for entry in _last_said(entries) if isinstance(entry.content, Unreadable))


def _last_said(entries: Iterable[Entry]) -> list[Entry]:
    """Return the last version of each entry, in order of time; the first version is what it corrects."""
    by_number = {entry.id: entry for entry in entries}
    firsts = first_of(sorted((number, entry.corrects) for number, entry in by_number.items() if entry.corrects))
    for number in replaced(firsts):
        by_number.pop(number, None)
    for number in firsts.keys() & by_number.keys():
        by_number[number] = naming_the_first(by_number[number], firsts)
    return sorted(by_number.values(), key=attrgetter("when", "id"))


def first_of(corrections: Iterable[tuple[int, int | None]]) -> dict[int, int]:
    """Return for each entry the first version of it, by their numbers: the entry itself where it corrects none.

    corrections: number of an entry and of the one that it corrects, in order of number; entries that correct none may
    be missing.
    """
    firsts: dict[int, int] = {}
    for number, corrects in corrections:
        firsts[number] = number if corrects is None else firsts.get(corrects, corrects)
    return firsts


def naming_the_first(entry: Entry, firsts: Mapping[int, int]) -> Entry:
    """Return an entry that says that it corrects the first version, and not the one just before it."""
    first = firsts.get(entry.id, entry.id)
    return entry if entry.corrects in (None, first) else replace(entry, corrects=first)


def replaced(firsts: Mapping[int, int]) -> frozenset[int]:
    """Return the numbers of the entries in whose place another stands; firsts: as `first_of` returns them."""
    last = {first: number for number, first in firsts.items()}  # in order of number: the last one stays
    return frozenset({*firsts, *last} - set(last.values()))


def clock_ran_back(entries: Iterable[Entry]) -> dict[int, Entry]:
    """Return the entries that were written by an earlier clock than the entry before them, by number, with that entry.

    The clock of the computer was set back, or entries came from another logbook. Which correction counts is told by
    the numbers, but what happened when may be wrong.
    """
    ordered = sorted(entries, key=lambda entry: entry.id)
    return {entry.id: before for before, entry in pairwise(ordered) if before.written - entry.written > CLOCKS_DIFFER}


def is_yet_to_come(entry: Entry) -> bool:
    """Tell whether an entry is of a time after it was written: a slip of the year, or a plan."""
    return entry.when - entry.written > CLOCKS_DIFFER


def ampere_hours(entries: Iterable[Entry]) -> float:
    """Return the charge of all plating runs among these entries [A·h]."""
    return sum(entry.content.ampere_hours for entry in entries if isinstance(entry.content, RunDone))


def charge_of(entries: Iterable[Entry]) -> Value:
    """Return the same with its standard uncertainty [A·h]: a display errs alike in all runs, a typed ± in its own."""
    return charge_of_runs((entry.content, 1) for entry in entries if isinstance(entry.content, RunDone))


def charge_of_runs(runs: Iterable[tuple[RunDone, int]]) -> Value:
    """Return the charge of plating runs, each given with how many were alike, with its standard uncertainty [A·h]."""
    charge, shared, own = 0.0, 0.0, []
    for run, times in runs:
        value, spread = run.charged
        charge += times * value
        if run.is_charge_typed():
            own += times * [spread]
        else:
            shared += times * spread
    return Value(charge, float(np.linalg.norm([shared, *own])))
