"""What the last check and the log since say of the bath now, to be written into the next sheet as a previous check.

Contents follow from an exact mass balance of what was logged; what nobody logs (drips, idle anodes, anodes that do not
quite feed) widens the uncertainty with time and ampere-hours. Pure functions of entries: they read no logbook, and
the advice sees only the sheet, so that a person can leave the reading out.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.basis.components import COMPONENTS, NAMES, UNITS
from advisor.basis.units import HOURS_PER_MONTH, Measured
from advisor.check.assessment import shown_of
from advisor.check.known import Known, Value
from advisor.readings.model import FloatArray
from advisor.readings.origin import Origin
from advisor.readings.previous_check import PreviousCheck
from advisor.record.entries import (
    AcidAdded,
    Check,
    ChlorideAdded,
    Content,
    CrystalsAdded,
    Entry,
    LevelMark,
    Remake,
    TakenOut,
    WaterAdded,
    ampere_hours,
    standing,
)
from advisor.sheet import Sheet
from advisor.solution.composition import Masses, composition, masses
from advisor.solution.density import WATER_DENSITY
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.molar_masses import ACID_PER_COPPER, COPPER, PENTAHYDRATE_PER_COPPER
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID, Number
from advisor.solution.stock import (
    SALT_SOLUTION_CHLORIDE,
    acid_density,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    pentahydrate_mass_fraction,
)
from advisor.words.lines import Amount, Line, joined, line

# What a previous check accepts.
HIGHEST = {
    "copper_sulfate": HIGHEST_COPPER_SULFATE,
    "sulfuric_acid": HIGHEST_SULFURIC_ACID,
    "chloride": HIGHEST_CHLORIDE,
}
# Only the density needs a component that was not determined: an ordinary bath stands in for it.
STAND_IN = {"copper_sulfate": 200.0, "sulfuric_acid": 60.0, "chloride": 0.0}

# What widens the carried values; standard uncertainties, all judgement.
SAME_GEAR = {"copper_sulfate": 0.01, "sulfuric_acid": 0.01, "chloride": 0.03}  # relative: the same bottle errs again
UNLOGGED_LOSS = 0.01  # of the bath a month: drips and rinses nobody wrote down, topped up with water
# Copper in 0.001-1 mol/L sulfuric acid loses 1.7-4.4 g/m2/day at 25-55 degC (excerpt of a corrosion paper, author not
# seen); with 1 dm2 of anode a litre hanging half of the time, 0.015 g a litre and day.
IDLE_COPPER = 0.015  # g Cu/L/day
UNFED = 0.10  # of the copper plated
LEAST_LEFT = 0.01  # share of the bath below which what was known of it is of no use (judgement)
LOGGED_AMOUNTS = 0.015  # relative: strength of the stock and scale of the tank


@dataclass(frozen=True)
class Contents:
    """What is in the tank: grams, and milligrams of chloride. Floats, or arrays of one shape (many baths at once)."""

    masses: Masses
    chloride: Number

    def concentrations(self) -> tuple[Number, Number, Number, Number]:
        """Return copper sulfate, sulfuric acid [g/L], chloride [mg/L] and volume [L at 20 degC]."""
        copper_sulfate, sulfuric_acid, _, volume = composition(self.masses)
        return copper_sulfate, sulfuric_acid, self.chloride / volume, volume


def contents(copper_sulfate: Number, sulfuric_acid: Number, chloride: Number, volume: Number) -> Contents:
    """Return what is in `volume` [L at 20 degC] of a bath of these concentrations [g/L, g/L, mg/L]."""
    return Contents(masses(copper_sulfate, sulfuric_acid, 0.0, volume), chloride * volume)


def share_of(of: Contents, share: Number) -> Contents:
    """Return what is left when only a share of the bath stays; of any shape."""
    left = of.masses
    parts = (left.copper_sulfate, left.sulfuric_acid, left.foreign_solids, left.water)
    return Contents(Masses(*(part * share for part in parts)), of.chloride * share)


def dissolve_copper(of: Contents, copper: Number) -> Contents:
    """Return the bath after `copper` [g] dissolved in it without current; negative: plated and not replaced.

    2 Cu + O2 + 2 H2SO4 -> 2 CuSO4 + 2 H2O, and at an inert anode 2 CuSO4 + 2 H2O -> 2 Cu + O2 + 2 H2SO4: a gram of
    copper adds 3.929 g of crystals and takes 1.543 g of acid. The oxygen comes from the air and goes there.
    """
    salt, acid = PENTAHYDRATE_PER_COPPER * copper, ACID_PER_COPPER * copper
    oxygen = 15.999 / COPPER * copper
    return Contents(of.masses + Masses(salt, -acid, 0.0, copper + oxygen - salt + acid), of.chloride)


def after(of: Contents, what: Check | Content, times: Number = 1.0) -> Contents:
    """Return the bath after something that was logged; kinds that move no liquid leave it as it is.

    A level mark sets the water: what is missing has evaporated. times: the share of what was logged that truly moved.
    """
    if isinstance(what, TakenOut):
        return share_of(of, 1.0 - times * what.volume.value / composition(of.masses).volume)
    if isinstance(what, LevelMark):
        volume = what.volume.value
        left = of.masses
        solutes = (left.copper_sulfate / volume, left.sulfuric_acid / volume, left.foreign_solids / volume)
        return Contents(masses(*solutes, volume), of.chloride)
    added = share_of(_added(what), times)
    return Contents(of.masses + added.masses, of.chloride + added.chloride)


def _added(what: Check | Content) -> Contents:
    """Return what an addition brings; chloride solutions count as water of their volume."""
    if isinstance(what, WaterAdded):
        return _water(what.volume.value, what.chloride.value * what.volume.value)
    if isinstance(what, CrystalsAdded):
        grams, purity = what.mass.value, what.purity.value
        salt, inert = grams * pentahydrate_mass_fraction(purity, what.form), grams * (1 - purity)
        return Contents(Masses(salt, 0.0, inert, grams - salt - inert), 0.0)
    if isinstance(what, AcidAdded):
        strength = what.strength.value
        grams = what.volume.value * 1000 * float(acid_density(strength))
        return Contents(Masses(0.0, grams * strength, 0.0, grams * (1 - strength)), 0.0)
    if isinstance(what, ChlorideAdded):
        return _water(what.volume.value, 1000 * what.volume.value * _chloride_per_litre(what))
    return Contents(Masses(0.0, 0.0, 0.0, 0.0), 0.0)


def _water(litres: float, chloride: float) -> Contents:
    return Contents(Masses(0.0, 0.0, 0.0, 1000 * litres * WATER_DENSITY), chloride)


def _chloride_per_litre(what: ChlorideAdded) -> float:
    """Return the chloride of a solution [g/L]."""
    if what.source != "hydrochloric acid":
        return SALT_SOLUTION_CHLORIDE
    strength = what.strength.value
    return 1000 * float(hydrochloric_acid_density(strength)) * chloride_mass_fraction(what.source, strength)


# --- Carrying a check forward ---------------------------------------------------------------------


@dataclass(frozen=True)
class Carried:
    """What the record says of the bath.

    known: of the volume that it would have if no water had evaporated since; the level read now tells how much did.
    """

    check: Entry
    known: Known
    days: float
    ampere_hours: float

    @property
    def values(self) -> dict[str, Value | None]:
        """Each component; None where the last check did not determine it."""
        return shown_of(self.known, self.known.measured)

    @property
    def correlation(self) -> float:
        """Correlation of copper sulfate and acid; 0 where not both are known."""
        both = ("copper_sulfate", "sulfuric_acid")
        return self.known.correlation(*both) if set(both) <= self.known.measured else 0.0

    def reading(self) -> PreviousCheck:
        """Return it as a reading for the next sheet."""
        return PreviousCheck(
            **{name: _measured(name, value) for name, value in self.values.items() if value is not None},
            correlation=round(min(max(self.correlation, -0.999), 0.999), 3),
            volume=Measured.of(self.known.volume_L, "L", "volume", digits=5),
            since="evaporation only",  # what else may have happened is in the ± already
            note=f"from the logbook: check of {self.check.when.astimezone():%Y-%m-%d} and what was logged since",
            origin=Origin.LOGBOOK,
        )

    def add_to(self, sheet: Sheet) -> Sheet:
        """Return a sheet with this reading added."""
        return replace(sheet, readings=(*sheet.readings, self.reading()))

    def summary(self) -> Line:
        """Say what is carried forward."""
        held = [
            line("{name} {held}", name=NAMES[name], held=_amount(value, UNITS[name]))
            for name, value in self.values.items()
            if value is not None
        ]
        spent = (
            f"{self.days:.0f} days and {self.ampere_hours:.0f} A·h" if self.ampere_hours else f"{self.days:.0f} days"
        )
        return line(
            "From your check {spent} ago and what you logged since: {held}, if no water had evaporated.",
            spent=spent,
            held=joined(", ", held),
        )


def _measured(name: str, value: Value) -> Measured:
    """Return a carried concentration as the sheet takes it."""
    kind = "content" if name == "chloride" else "concentration"
    spread = value.standard_uncertainty
    most = min(value.value, HIGHEST[name])
    return Measured.of(most, UNITS[name], kind, standard_uncertainty=spread, digits=5, spread_digits=3)


def _amount(value: Value, unit: str) -> Amount:
    return Amount(value.value, unit, standard_uncertainty=value.standard_uncertainty)


def carry_forward(entries: Sequence[Entry], now: datetime.datetime | None = None) -> Carried | None:
    """Carry the last check of a bath forward to a time (default: now).

    None where there is no check, where the bath was mixed anew since, where (nearly) all was taken out, or where
    the check determined neither copper sulfate nor acid.
    """
    now = (now or datetime.datetime.now(datetime.UTC)).astimezone(datetime.UTC)
    entry, since = _last_check([entry for entry in standing(entries) if entry.when <= now])
    if entry is None:
        return None
    check = entry.content
    assert isinstance(check, Check)
    then = check.known
    before, bath = _start(then)
    through = _through(bath, since)
    if through is None:
        return None
    bath, kept = through
    *held, volume = (float(part) for part in bath.concentrations())
    concentrations = np.array(held)
    days = (now - entry.when).total_seconds() / 86400
    charge = ampere_hours(since)
    share = kept * then.volume_L / volume
    moved = LOGGED_AMOUNTS * (concentrations - share * before)
    covariance = then.covariance * share**2 + np.diag(moved**2) + widening(concentrations, volume, days, charge)
    known = replace(then, mean=concentrations, covariance=covariance, volume_L=volume)
    return Carried(entry, known, days, charge)


def _last_check(counting: Sequence[Entry]) -> tuple[Entry | None, Sequence[Entry]]:
    """Return the last check among entries in order of time, and what came after it.

    None where there is none of the bath as it was mixed last, or none that determined copper sulfate or acid.
    """
    positions = [position for position, entry in enumerate(counting) if isinstance(entry.content, Check | Remake)]
    if not positions:
        return None, ()
    entry, since = counting[positions[-1]], counting[positions[-1] + 1 :]
    check = entry.content
    if not isinstance(check, Check) or (check.value("copper_sulfate") is None and check.value("sulfuric_acid") is None):
        return None, ()
    return entry, since


def _through(bath: Contents, since: Sequence[Entry]) -> tuple[Contents, float] | None:
    """Return the bath after what was logged, and the share of what was in it that is left; None where hardly any is."""
    kept = 1.0
    for later in since:
        if isinstance(later.content, TakenOut):
            kept *= 1.0 - later.content.volume.value / float(composition(bath.masses).volume)
            if kept < LEAST_LEFT:
                return None
        bath = after(bath, later.content)
    return bath, kept


def _start(known: Known) -> tuple[FloatArray, Contents]:
    """Return the concentrations (3,) and the contents at a check, with a stand-in for what it did not determine."""
    held = np.array([known.value(name) if name in known.measured else STAND_IN[name] for name in COMPONENTS])
    copper_sulfate, sulfuric_acid, chloride = (float(part) for part in held)
    return held, contents(copper_sulfate, sulfuric_acid, chloride, known.volume_L)


def widening(concentrations: FloatArray, volume: float, days: float, charge: float) -> FloatArray:
    """Return the covariance (3, 3) that time [days] and charge [A·h] add to the concentrations [g/L, g/L, mg/L].

    Judgement, see the constants above. Loss moves all in proportion; copper that dissolves or is not replaced moves
    copper sulfate and acid in opposite directions.
    """
    gear = np.array([SAME_GEAR[name] for name in COMPONENTS]) * concentrations
    lost = UNLOGGED_LOSS * 24 * days / HOURS_PER_MONTH * concentrations
    copper = np.array([PENTAHYDRATE_PER_COPPER, -ACID_PER_COPPER, 0.0])
    idle = IDLE_COPPER * days * copper
    unfed = UNFED * charge * COPPER_PER_AMPERE_HOUR / volume * copper
    return np.diag(gear**2) + sum(np.outer(effect, effect) for effect in (lost, idle, unfed))


def what_the_record_adds(sheet: Sheet) -> tuple[str, ...]:
    """Say, for each component, how much what came from the logbook sharpens what the other readings say."""
    from advisor.check.estimate import estimate_from

    others = tuple(reading for reading in sheet.readings if reading.origin != Origin.LOGBOOK)
    if not others or len(others) == len(sheet.readings):
        return ()
    with_it, without = (estimate_from(sheet, readings) for readings in (sheet.readings, others))
    said = []
    for name, words in {"copper_sulfate": "Copper sulfate", "sulfuric_acid": "Sulfuric acid"}.items():
        values = [
            _amount(each.of(name), "g/L") if name in each.measured else "not known" for each in (with_it, without)
        ]
        said.append(
            line(
                "{component}: {with_it} with the earlier check, {without} without it.",
                component=words,
                with_it=values[0],
                without=values[1],
            )
        )
    return tuple(said)
