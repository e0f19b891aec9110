"""What can be written in the record of a bath: checks, what was done to it, plating runs and level marks.

Every kind of entry but the check is a table of fields, like the tables of the bench sheet, so that its limits, its
labels and the page's input fields come from one description. An entry is never changed: a correction is a new entry
that points to the old one, and `standing` tells which entries count. How an entry becomes a text and is read back is
in `entry_text`.
"""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, ClassVar

import numpy as np

from advisor.basis.components import COMPONENTS, KEYS
from advisor.basis.fields import InputError, TableBase, choice, note, quantity, text, write_table
from advisor.basis.units import Measured
from advisor.check.known import Known, Value
from advisor.readings.tools import LEVEL_READING
from advisor.solution.stock import CRYSTAL_FORMS, SALT_SOLUTION
from advisor.words.lines import Amount, joined, line

MOST_CORRELATED = 0.9999
CLOCKS_DIFFER = datetime.timedelta(minutes=1)  # by less, a computer that sets its clock by the network may be off
SALT_SOURCE = f"salt solution of {SALT_SOLUTION:g} g/L"


class Content(TableBase):
    """Base of what an entry says. A kind is a frozen dataclass with `kind` and `label`."""

    kind: ClassVar[str]
    label: ClassVar[str]
    note: str

    def summary(self) -> str:
        """Say in a few words what was entered."""
        shown = (getattr(self, name) for name in write_table(self))
        words = [value.text if isinstance(value, Measured) else str(value) for value in shown]
        return f"{self.label}: {', '.join(words)}" if words else self.label


@dataclass(frozen=True)
class WaterAdded(Content):
    """Water that went in."""

    kind: ClassVar[str] = "water"
    label: ClassVar[str] = "Water added"
    volume: Measured = quantity("volume", "Water", "How much went in.", required=True, above=True, high=10_000.0)
    chloride: Measured = quantity("content", "Chloride in the water", "0 for distilled.", default="0 mg/L", high=1000.0)
    note: str = note()


@dataclass(frozen=True)
class CrystalsAdded(Content):
    """Copper sulfate that went in."""

    kind: ClassVar[str] = "crystals"
    label: ClassVar[str] = "Copper sulfate crystals added"
    mass: Measured = quantity("mass", "Crystals", "As weighed.", required=True, above=True, high=1e6, unit="g")
    purity: Measured = quantity("fraction", "Purity", "From the label.", default="99 %", low=0.5, high=1.0)
    form: str = choice("Form", CRYSTAL_FORMS, default="pentahydrate")
    note: str = note()


@dataclass(frozen=True)
class AcidAdded(Content):
    """Sulfuric acid that went in."""

    kind: ClassVar[str] = "acid"
    label: ClassVar[str] = "Sulfuric acid added"
    volume: Measured = quantity("volume", "Acid", "As measured.", required=True, above=True, high=1000.0, unit="mL")
    strength: Measured = quantity(
        "fraction", "Strength", "By mass: battery acid is about 37 %.", required=True, low=0.01, high=1.0
    )
    note: str = note()


@dataclass(frozen=True)
class ChlorideAdded(Content):
    """Chloride that went in, as a solution."""

    kind: ClassVar[str] = "chloride"
    label: ClassVar[str] = "Chloride added"
    source: str = choice("Chloride from", (SALT_SOURCE, "hydrochloric acid"), default=SALT_SOURCE)
    volume: Measured = quantity("volume", "How much", "As measured.", required=True, above=True, high=100.0, unit="mL")
    strength: Measured = quantity(
        "fraction", "Strength", "Of hydrochloric acid, by mass.", default="31 %", above=True, high=0.4
    )
    note: str = note()


@dataclass(frozen=True)
class TakenOut(Content):
    """Bath that left the tank and was seen to leave."""

    kind: ClassVar[str] = "take out"
    label: ClassVar[str] = "Bath taken out"
    volume: Measured = quantity("volume", "Bath", "How much left the tank.", required=True, above=True, high=10_000.0)
    why: str = choice("Why", ("decanted", "sampled", "spilt"), default="decanted")
    note: str = note()


@dataclass(frozen=True)
class CarbonTreatment(Content):
    """A treatment with activated carbon: it takes the additives with the dirt."""

    kind: ClassVar[str] = "carbon treatment"
    label: ClassVar[str] = "Carbon treatment"
    carbon: Measured | None = quantity("mass", "Carbon", "How much you stirred in.", above=True, high=1e5, unit="g")
    note: str = note()


@dataclass(frozen=True)
class AnodeChange(Content):
    """Other anodes, or more or less of them."""

    kind: ClassVar[str] = "anode change"
    label: ClassVar[str] = "Anodes changed"
    anodes: str = choice("Anodes", ("phosphorised copper", "other copper", "inert"), default="other copper")
    area: Measured | None = quantity(
        "area", "Anode area", "The side or sides facing the part.", above=True, high=1e5, unit="cm^2"
    )
    note: str = note()


@dataclass(frozen=True)
class AdditiveDose(Content):
    """Brightener or another additive that went in."""

    kind: ClassVar[str] = "additive dose"
    label: ClassVar[str] = "Additive added"
    volume: Measured = quantity("volume", "Dose", "As measured.", required=True, above=True, high=100.0, unit="mL")
    additive: str = text("Additive", "What it says on the bottle.", default="", longest=80)
    note: str = note()


@dataclass(frozen=True)
class Remake(Content):
    """The bath was thrown out and mixed anew: what was known before no longer holds."""

    kind: ClassVar[str] = "remake"
    label: ClassVar[str] = "Bath mixed anew"
    note: str = note()


@dataclass(frozen=True)
class RunDone(Content):
    """A run: its ampere-hours, or its current and time."""

    kind: ClassVar[str] = "plating run"
    label: ClassVar[str] = "Plating run"
    current: Measured | None = quantity("current", "Current", "The mean over the run.", above=True, high=10_000.0)
    time: Measured | None = quantity("time", "Time", "How long the current flowed.", above=True, high=10_000.0)
    charge: Measured | None = quantity("charge", "Ampere-hours", "If you count them.", above=True, high=1e7)
    area: Measured | None = quantity("area", "Area of the part", "All of it.", above=True, high=1e5, unit="cm^2")
    note: str = note()

    def check(self, place: str) -> None:
        """Ask for the ampere-hours, or for both current and time."""
        if self.charge is None and (self.current is None or self.time is None):
            raise InputError.missing(f"{place}: charge", "give the ampere-hours, or current and time")

    @property
    def ampere_hours(self) -> float:
        """Charge of the run [A·h]; counted ampere-hours win over current times time."""
        if self.charge is not None:
            return self.charge.value
        assert self.current is not None
        assert self.time is not None
        return self.current.value * self.time.value


@dataclass(frozen=True)
class LevelMark(Content):
    """How much stood in the tank."""

    kind: ClassVar[str] = "level"
    label: ClassVar[str] = "Level"
    volume: Measured = quantity(
        "volume", "Bath in the tank", "Read off the level mark.", required=True, above=True, high=10_000.0
    )
    note: str = note()


@dataclass(frozen=True)
class Withdrawn(Content):
    """An earlier entry was a mistake and counts no more."""

    kind: ClassVar[str] = "withdrawn"
    label: ClassVar[str] = "Entry withdrawn"
    note: str = note()


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
        return tomllib.loads(toml)
    except (ValueError, RecursionError):  # ValueError: also a number of thousands of digits
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
        return Known(tuple(found), mean, covariance, measured, self.volume_L, LEVEL_READING)

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
        units = {"copper_sulfate": "g/L", "sulfuric_acid": "g/L", "chloride": "mg/L"}
        names = {"copper_sulfate": "copper sulfate", "sulfuric_acid": "acid", "chloride": "chloride"}
        said: list[str] = []
        for name, unit in units.items():
            if value := self.value(name):
                held = Amount(value.value, unit, standard_uncertainty=value.standard_uncertainty)
                said.append(line("{held} {name}", held=held, name=names[name]))
        return line("Check: {said}", said=joined(", ", [*said, line("{volume:.2f L}", volume=self.volume_L)]))


CONTENTS: dict[str, type[Content]] = {
    table.kind: table
    for table in (
        LevelMark, WaterAdded, RunDone, CrystalsAdded, AcidAdded, ChlorideAdded, TakenOut, AdditiveDose,
        CarbonTreatment, AnodeChange, Remake, Withdrawn,
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


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries that count, in order of time: of an entry and its corrections the one written last.

    Last by its number: a clock that was set back must not let a withdrawn entry count again.
    """
    return tuple(entry for entry in _last_said(entries) if not isinstance(entry.content, Withdrawn | Unreadable))


def left_out(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries that cannot be read and were neither corrected nor withdrawn since, in order of time."""
    return tuple(entry for entry in _last_said(entries) if isinstance(entry.content, Unreadable))


def _last_said(entries: Iterable[Entry]) -> list[Entry]:
    """Return the last of each entry and its corrections, in order of time."""
    by_number = {entry.id: entry for entry in sorted(entries, key=lambda entry: entry.id)}
    replaced = replaced_of((entry.id, entry.corrects) for entry in by_number.values())
    last = (entry for number, entry in by_number.items() if number not in replaced)
    return sorted(last, key=lambda entry: (entry.when, entry.id))


def replaced_of(corrections: Iterable[tuple[int, int | None]]) -> frozenset[int]:
    """Return the numbers of the entries in whose place another stands.

    corrections: number of an entry and of the one that it corrects, in order of number; entries that correct none may
    be missing.
    """
    origin: dict[int, int] = {}
    last: dict[int, int] = {}
    for number, corrects in corrections:
        root = number if corrects is None else origin.get(corrects, corrects)
        origin[number] = root
        last[root] = number
    numbers = {*origin, *last}
    return frozenset(numbers - set(last.values()))


def clock_ran_back(entries: Iterable[Entry]) -> dict[int, Entry]:
    """Return the entries that were written by an earlier clock than the entry before them, by number, with that entry.

    The clock of the computer was set back, or entries came from another logbook. Which correction counts is told by
    the numbers, but what happened when may be wrong.
    """
    ordered = sorted(entries, key=lambda entry: entry.id)
    return {entry.id: before for before, entry in pairwise(ordered) if before.written - entry.written > CLOCKS_DIFFER}


def ampere_hours(entries: Iterable[Entry]) -> float:
    """Return the charge of all plating runs among these entries [A·h]."""
    return sum(entry.content.ampere_hours for entry in entries if isinstance(entry.content, RunDone))
