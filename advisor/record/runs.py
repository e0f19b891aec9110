"""What a run deposited: copper by Faraday's law and by the scale, its thickness, and what the two say of each other.

And what the anodes fed, from one weighing of them to the next, against what was deposited meanwhile: the difference is
where copper and acid of the bath go. Pure functions of entries; the law itself is in `solution.faraday`.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.basis.units import Measured
from advisor.check.known import Value
from advisor.check.window import SURE_REACH
from advisor.record.entries import (
    AnodeChange,
    AnodesWeighed,
    Entry,
    RunDone,
    charge_of,
    is_plausible,
    standing,
    weighed,
)
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR, layer_thickness
from advisor.solution.molar_masses import ACID_PER_COPPER, PENTAHYDRATE_PER_COPPER
from advisor.words.cautions import Act
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, Line, line

# Share of the charge that deposited copper. Beyond these limits something else than the bath is likelier (judgement).
MOST, LEAST = 1.02, 0.95
AREA = 0.05  # relative; of a part's area, where it was given without ± (judgement)
UNWRITTEN = 0.06  # relative, of what was deposited: runs that nobody wrote down, flakes that fell off (judgement)
TOO_VAGUE = 0.05  # standard uncertainty of the share above which it tells nothing (judgement)

ABOVE = (
    "More copper than the charge can deposit: no bath does that. Look at the scale, at whether the part was rinsed and "
    "dry, and at whether current and clock were read right."
)
BELOW = (
    "Some of the current did something else: hydrogen (bubbles, a dark burnt edge), a contact that came off or carried "
    "copper itself, flakes that fell, or a display that shows more than flows."
)
VAGUE = "The weighing is too coarse for this part to tell more: a heavier deposit or a finer scale would."
BY_THE_CHARGE = (
    "So far off, it is likelier a slip in weighing or reading: the record goes by the charge for what the bath gave."
)
AGREES = "Scale and charge agree."
BALANCED = "Feed and deposit balance within what weighing and charge can tell: copper and acid stay."
MORE = (
    "The anodes dissolve more than is deposited, so copper rises and acid falls, unless a run was not written down. "
    "Lift them out when you do not plate, and stir with less air."
)
LESS = (
    "The anodes give less than is deposited, so copper falls and acid rises. Wipe them, look at bags and clips, and "
    "give them at least the area of the part; an inert anode never feeds."
)
# What hands do where one of these is followed.
ACTS = {
    BELOW: (Act.GAS_AT_THE_ELECTRODES, Act.REACHING_IN),
    MORE: (Act.REACHING_IN,),
    LESS: (Act.WIPING_ANODES, Act.REACHING_IN),
}


@dataclass(frozen=True)
class RunDeposit:
    """What one run deposited. expected: copper by its charge [g]; thickness: its average [µm]; None where not known.

    efficiency: share of the charge that deposited copper, by the scale.
    """

    expected: Value
    gained: Value | None
    thickness: Value | None
    efficiency: Value | None

    def meaning(self) -> str:
        """Say what the efficiency tells; empty where the part was not weighed."""
        if self.efficiency is None:
            return ""
        share, spread = self.efficiency
        if share > MOST and share - SURE_REACH * spread > 1.0:
            return ABOVE
        if share < LEAST and share + SURE_REACH * spread < 1.0:
            return BELOW
        return VAGUE if spread > TOO_VAGUE else AGREES

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do where that is looked into."""
        return ACTS.get(self.meaning(), ())

    def lines(self) -> tuple[Line, ...]:
        """Say what was deposited, how thick that is, and what the scale says of it."""
        said = [line("Copper by the charge: {copper}", copper=self.expected.amount("g"))]
        if self.thickness:
            said.append(line("Average thickness: {thick}", thick=self.thickness.amount("µm")))
        if self.gained and self.efficiency:
            share = Amount(100 * self.efficiency.value, "%", standard_uncertainty=100 * self.efficiency[1])
            said.append(
                line(
                    "Copper by the scale: {copper}, which is {share} of the charge. {meaning}",
                    copper=self.gained.amount("g"),
                    share=share,
                    meaning=self.meaning(),
                )
            )
            if not is_plausible(self.efficiency.value) and self.meaning() in (ABOVE, BELOW):
                said.append(Line(BY_THE_CHARGE))
        return tuple(said)

    def to_dict(self) -> dict[str, object]:
        """Return it with plain numbers and their unit in the name."""
        return {
            "copper_g": self.expected._asdict(),
            "gained_g": self.gained and self.gained._asdict(),
            "thickness_um": self.thickness and self.thickness._asdict(),
            "efficiency": self.efficiency and self.efficiency._asdict(),
        }


def deposit_of(run: RunDone) -> RunDeposit:
    """Return what a run deposited; where the part was weighed, its thickness is by the scale."""
    charge, gained = run.charged, run.gained
    expected = Value(COPPER_PER_AMPERE_HOUR * charge.value, COPPER_PER_AMPERE_HOUR * charge.standard_uncertainty)
    efficiency = None
    if gained:
        share = gained.value / expected.value
        relative = np.hypot(gained.standard_uncertainty / gained.value, charge.standard_uncertainty / charge.value)
        efficiency = Value(share, float(share * relative))
    return RunDeposit(expected, gained, _thickness(run, gained or expected), efficiency)


def run_as_planned(current: float, time: float, area: float, part: str) -> RunDone:
    """Return the entry for a run that went as it was planned: current [A], time [h], area [dm2] of the part."""
    return RunDone(
        current=Measured.of(current, "A", "current", digits=3),
        time=Measured.of(time, "h", "time", digits=3),
        area=Measured.of(100 * area, "cm²", "area", digits=3),
        part=part.strip(),
    )


def _thickness(run: RunDone, copper: Value) -> Value | None:
    """Return the average thickness [µm] of a mass of copper [g] on the part; None where nobody said its area."""
    if run.area is None:
        return None
    thick = 1000 * layer_thickness(copper.value, run.area.value)
    area = run.area.uncertainty_or(AREA * run.area.value) / run.area.value
    return Value(thick, float(thick * np.hypot(copper.standard_uncertainty / copper.value, area)))


# --- What the anodes fed --------------------------------------------------------------------------


@dataclass(frozen=True)
class Feed:
    """What anodes gave between two weighings [g], against what was deposited; net: what the bath gained of copper."""

    start: datetime.datetime
    end: datetime.datetime
    dissolved: Value
    deposited: Value
    charge: Value  # A·h

    @property
    def days(self) -> float:
        """The time between the weighings [days]."""
        return (self.end - self.start).total_seconds() / 86400

    @property
    def net(self) -> Value:
        """Copper that the bath gained, below zero lost [g]."""
        spread = float(np.hypot(self.dissolved.standard_uncertainty, self.deposited.standard_uncertainty))
        return Value(self.dissolved.value - self.deposited.value, spread)

    def way(self) -> str:
        """Say where copper and acid go by this, or that nothing beyond the ± shows."""
        net, spread = self.net
        if abs(net) <= SURE_REACH * spread:
            return BALANCED
        return MORE if net > 0 else LESS

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do where that is followed."""
        return ACTS.get(self.way(), ())

    def lines(self) -> tuple[Line, ...]:
        """Say what was fed and deposited, and where copper and acid go."""
        net = self.net
        return (
            line(
                "From {start} to {end} the anodes gave {dissolved} of copper; by your runs {deposited} were deposited.",
                start=day_said(self.start.astimezone()),
                end=day_said(self.end.astimezone()),
                dissolved=self.dissolved.amount("g"),
                deposited=self.deposited.amount("g"),
            ),
            line(
                "So the bath {first} {salt} of copper sulfate and {then} {acid} of acid. {way}",
                first="gained" if net[0] > 0 else "lost",
                then="lost" if net[0] > 0 else "gained",
                salt=Value(PENTAHYDRATE_PER_COPPER * abs(net[0]), PENTAHYDRATE_PER_COPPER * net[1]).amount("g"),
                acid=Value(ACID_PER_COPPER * abs(net[0]), ACID_PER_COPPER * net[1]).amount("g"),
                way=self.way(),
            ),
        )

    def to_dict(self) -> dict[str, object]:
        """Return it with plain numbers and their unit in the name."""
        return {
            "from": self.start.isoformat(),
            "to": self.end.isoformat(),
            "dissolved_g": self.dissolved._asdict(),
            "deposited_g": self.deposited._asdict(),
            "net_copper_g": self.net._asdict(),
        }


def feeds(entries: Sequence[Entry]) -> tuple[Feed, ...]:
    """Return what was fed between each two weighings of the same anodes, oldest first."""
    found: list[Feed] = []
    before: Entry | None = None
    between: list[Entry] = []
    for entry in standing(entries):
        content = entry.content
        if isinstance(content, AnodesWeighed) and before is not None:
            found.append(_feed(before, entry, between))
        if isinstance(content, AnodesWeighed | AnodeChange):
            before, between = (entry if content.mass else None), []
        elif before is not None:
            between.append(entry)
    return tuple(found)


def _feed(first: Entry, last: Entry, between: Sequence[Entry]) -> Feed:
    hung, left = (entry.content for entry in (first, last))
    assert isinstance(hung, AnodesWeighed | AnodeChange)
    assert isinstance(left, AnodesWeighed)
    assert hung.mass is not None
    spread = float(np.hypot(weighed(hung.mass), weighed(left.mass)))
    dissolved = Value(hung.mass.value - left.mass.value, spread)
    charge = charge_of(between)
    copper = sum(entry.content.copper for entry in between if isinstance(entry.content, RunDone))
    relative = charge.standard_uncertainty / charge.value if charge.value else 0.0
    deposited = Value(copper, float(np.hypot(relative, UNWRITTEN)) * copper)
    return Feed(first.when, last.when, dissolved, deposited, charge)
