"""What is in the tank, and how what was logged moves it: an exact mass balance, in grams.

Inert anodes plate copper out of the bath by Faraday's law; which anodes hung when is told by the log and by the sheets
of the checks, also before the time that is asked about. Pure functions of entries.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import ClassVar

import numpy as np

from advisor.basis.arrays import FloatArray
from advisor.basis.fields import InputError, read_table
from advisor.basis.units import Measured
from advisor.check.known import Value
from advisor.record.entries import (
    AcidAdded,
    AdditiveDose,
    AnodeChange,
    CarbonTreatment,
    Check,
    ChlorideAdded,
    Content,
    Counting,
    CrystalsAdded,
    Entry,
    Filtered,
    LevelMark,
    PouredIn,
    RunDone,
    TakenOut,
    WaterAdded,
    raw_toml,
)
from advisor.solution.composition import Masses, composition, masses
from advisor.solution.density import WATER_DENSITY
from advisor.solution.molar_masses import ACID_PER_COPPER, COPPER, OXYGEN, PENTAHYDRATE_PER_COPPER
from advisor.solution.ranges import Number
from advisor.solution.stock import (
    SALT_SOLUTION_CHLORIDE,
    acid_density,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    inert_mass_fraction,
    pentahydrate_mass_fraction,
)

INERT = "inert"
LEAST_LEFT = 0.01  # share of the bath below which what was known of it is of no use (judgement)
POURED_IN = 0.05  # relative; what another bath held, where it came in without ± (judgement)
UNKNOWN_CHLORIDE = Value(60.0, 35.0)  # mg/L: 0 to 120, what baths with and without additives hold (judgement)
CHLORIDE_IN_ADDITIVES = Value(1000.0, 600.0)  # mg/L where nobody knows: 0 to 2 g/L, evenly spread (judgement)
LOGGED_AMOUNTS = 0.015  # relative: strength of the stock and scale of the tank (judgement)
# Share of the bath that stays in the carbon, the filter and the bucket (judgement: wet carbon holds twice its mass, a
# cartridge or a sheet of paper some 50 mL), and its standard uncertainty. Water for it is an entry of its own.
KEPT_BACK = {CarbonTreatment.kind: Value(0.02, 0.01), Filtered.kind: Value(0.005, 0.004)}


class UnfedRun(RunDone):
    """A run at inert anodes, which give nothing back: what it plates leaves the bath."""


@dataclass(frozen=True)
class HungBefore(Content):
    """What hung in the tank before the entries that are at hand, by the last entry or sheet that said it.

    sheet: what the last sheet said, since a sheet is copied from one check to the next.
    """

    kind: ClassVar[str] = "hung before"
    label: ClassVar[str] = "Anodes before"
    anodes: str | None = None
    sheet: str | None = None
    note: str = ""


ADDITIONS = (WaterAdded, CrystalsAdded, AcidAdded, ChlorideAdded, AdditiveDose, PouredIn)
_OF_ANODES = re.compile("^.*anodes.*$", re.MULTILINE)  # lines of a sheet
SAY_ANODES = (Check, AnodeChange, HungBefore)


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


def stacked(of: Contents) -> FloatArray:
    """Return contents (of shape s) as one array (5, *s) [g, as `Masses` has them, and mg of chloride]."""
    held = of.masses
    parts = (held.copper_sulfate, held.sulfuric_acid, held.foreign_solids, held.water, of.chloride)
    whole = np.empty((len(parts), *np.broadcast(*parts).shape))
    for place, part in enumerate(parts):
        whole[place] = part
    return whole


def unstacked(held: FloatArray) -> Contents:
    """Return the contents (of shape s) in an array as of `stacked` (5, *s) [g, and mg of chloride]."""
    return Contents(Masses(*held[:4]), held[4])


def share_of(of: Contents, share: Number) -> Contents:
    """Return what is left when only a share of the bath stays."""
    left = of.masses
    parts = (left.copper_sulfate, left.sulfuric_acid, left.foreign_solids, left.water)
    return Contents(Masses(*(part * share for part in parts)), of.chloride * share)


def dissolve_copper(of: Contents, copper: Number) -> Contents:
    """Return the bath after `copper` [g] dissolved in it without current; negative: plated and not replaced.

    2 Cu + O2 + 2 H2SO4 -> 2 CuSO4 + 2 H2O, and at an inert anode 2 CuSO4 + 2 H2O -> 2 Cu + O2 + 2 H2SO4: a gram of
    copper adds 3.929 g of crystals and takes 1.543 g of acid. The oxygen comes from the air and goes there.
    """
    salt, acid = PENTAHYDRATE_PER_COPPER * copper, ACID_PER_COPPER * copper
    oxygen = OXYGEN / COPPER * copper
    return Contents(of.masses + Masses(salt, -acid, 0.0, copper + oxygen - salt + acid), of.chloride)


def after(of: Contents, what: Check | Content, times: Number = 1.0) -> Contents:
    """Return the bath after something that was logged; kinds that move no liquid leave it as it is.

    A level mark sets the water: what is missing has evaporated. A treatment takes bath out and puts nothing in: who
    pours water for it writes that down, or sees it at the next level. times: the share of what was logged that truly
    moved.
    """
    if isinstance(what, TakenOut) or what.kind in KEPT_BACK:
        return share_of(of, share_left(of, what, times))
    if isinstance(what, UnfedRun):
        plated = times * what.copper
        return dissolve_copper(of, -np.minimum(plated, of.masses.copper_sulfate / PENTAHYDRATE_PER_COPPER))
    if isinstance(what, LevelMark):
        return _with_water_to(of, what.volume.value)
    if isinstance(what, Check):
        return of
    added = share_of(_added(what), times)
    return Contents(of.masses + added.masses, of.chloride + added.chloride)


def addition_of(what: Check | Content) -> FloatArray | None:
    """Return what an addition brings, as `stacked` (5,) [g, mg]; None for what moves the bath in another way."""
    return stacked(_added(what)) if isinstance(what, ADDITIONS) else None


def share_left(of: Contents, what: Check | Content, times: Number = 1.0) -> Number:
    """Return the share of the bath's contents that is left after something that was logged; times: as of `after`."""
    if isinstance(what, TakenOut):
        return 1.0 - times * what.volume.value / composition(of.masses).volume
    return 1.0 - times * KEPT_BACK[what.kind].value if what.kind in KEPT_BACK else 1.0


def _with_water_to(of: Contents, volume: Number) -> Contents:
    """Return the bath with as much water as makes it `volume` [L at 20 degC]."""
    left = of.masses
    solutes = (left.copper_sulfate / volume, left.sulfuric_acid / volume, left.foreign_solids / volume)
    return Contents(masses(*solutes, volume), of.chloride)


def dried_to(of: Contents, volume: float) -> Contents:
    """Return the bath with water dried away until it is `volume` [L at 20 degC]; as it is where it is no more."""
    return _with_water_to(of, volume) if composition(of.masses).volume > volume > 0 else of


@lru_cache(maxsize=1024)  # judgement: what is carried and its account move the same entries several times
def _added(what: Content) -> Contents:
    """Return what an addition brings; chloride solutions and additives count as water of their volume."""
    if isinstance(what, WaterAdded):
        return _water(what.volume.value, what.chloride.value * what.volume.value)
    if isinstance(what, CrystalsAdded):
        grams, purity = what.mass.value, what.purity.value
        salt = pentahydrate_mass_fraction(purity, what.form)
        inert = inert_mass_fraction(salt)
        return Contents(Masses(grams * salt, 0.0, grams * inert, grams * (1 - salt - inert)), 0.0)
    if isinstance(what, AcidAdded):
        strength = what.strength.value
        grams = what.volume.value * 1000 * float(acid_density(strength))
        return Contents(Masses(0.0, grams * strength, 0.0, grams * (1 - strength)), 0.0)
    if isinstance(what, ChlorideAdded):
        return _water(what.volume.value, 1000 * what.volume.value * _chloride_per_litre(what))
    if isinstance(what, AdditiveDose):
        return _water(what.volume.value, _chloride_of(what).value * what.volume.value)
    if isinstance(what, PouredIn):
        copper_sulfate, sulfuric_acid, chloride = (held.value for held in poured_in(what))
        return contents(copper_sulfate, sulfuric_acid, chloride, what.volume.value)
    return Contents(Masses(0.0, 0.0, 0.0, 0.0), 0.0)


def typed_amount(what: Check | Content) -> Value:
    """Return how much moved [its own unit] with the standard uncertainty that was typed with it; 0 where none was."""
    if isinstance(what, RunDone):
        return what.charged if what.is_charge_typed() else Value(what.ampere_hours, 0.0)
    amount = getattr(what, "mass", None) or getattr(what, "volume", None)
    return Value(amount.value, amount.uncertainty_or(0.0)) if isinstance(amount, Measured) else Value(0.0, 0.0)


def poured_in(what: PouredIn) -> tuple[Value, Value, Value]:
    """Return copper sulfate, acid [g/L] and chloride [mg/L] of other bath that came in, with what nobody typed."""
    salt, acid = (Value(held.value, held.uncertainty_or(POURED_IN * held.value)) for held in what.main())
    if what.chloride is None:
        return salt, acid, UNKNOWN_CHLORIDE
    return salt, acid, Value(what.chloride.value, what.chloride.uncertainty_or(POURED_IN * what.chloride.value))


def _chloride_of(what: AdditiveDose) -> Value:
    """Return the chloride of an additive as it comes [mg/L]."""
    told = what.chloride
    return Value(told.value, told.uncertainty_or(POURED_IN * told.value)) if told else CHLORIDE_IN_ADDITIVES


def chloride_doubt(entries: Iterable[Entry]) -> float:
    """Return the standard uncertainty [mg] of the chloride that additives and other bath brought.

    A bottle is wrong alike in all its doses; what was poured in is wrong each time for itself.
    """
    bottles: dict[str, float] = defaultdict(float)
    poured = []
    for what in (entry.content for entry in entries):
        if isinstance(what, AdditiveDose):
            bottles[what.additive.strip().casefold()] += _chloride_of(what).standard_uncertainty * what.volume.value
        elif isinstance(what, PouredIn):
            poured.append(poured_in(what)[2].standard_uncertainty * what.volume.value)
    return float(np.linalg.norm([*bottles.values(), *poured]))


def _water(litres: float, chloride: float) -> Contents:
    return Contents(Masses(0.0, 0.0, 0.0, 1000 * litres * WATER_DENSITY), chloride)


def _chloride_per_litre(what: ChlorideAdded) -> float:
    """Return the chloride of a solution [g/L]."""
    if what.source != "hydrochloric acid":
        return SALT_SOLUTION_CHLORIDE
    strength = what.strength.value
    return 1000 * float(hydrochloric_acid_density(strength)) * chloride_mass_fraction(what.source, strength)


# --- Which anodes hung when -----------------------------------------------------------------------


def with_anodes(entries: Sequence[Entry]) -> tuple[Counting, tuple[str | None, ...]]:
    """Return entries that count, in order of time, the runs at inert anodes marked as such, and the anodes at each.

    None where neither an entry nor a check had said by then what hung in the tank. A sheet is copied from one check to
    the next, so that it counts only where it says something else than the sheet before.
    """
    hanging, hung = HungBefore(), []
    for entry in entries:
        if isinstance(entry.content, SAY_ANODES):
            hanging = _hanging(hanging, entry.content)
        hung.append(hanging.anodes)
    marked = list(entries)
    for place in (place for place, anodes in enumerate(hung) if anodes == INERT):
        run = marked[place].content
        if isinstance(run, RunDone):
            marked[place] = replace(marked[place], content=_unfed(run))
    return Counting(marked), tuple(hung)


def said_before(texts: Iterable[tuple[str, str]]) -> HungBefore | None:
    """Return what hung in the tank after entries, given by kind and text, the last first; None where none says it.

    It goes back only to what settled it: a sheet that says something new, or a change after which none does.
    """
    sheet: str | None = None
    changed: str | None = None
    for is_sheet, said in _said_of_anodes(texts):
        if not is_sheet:
            changed = changed or said
        elif sheet not in (None, said):
            break
        elif changed:
            return HungBefore(changed, said)
        else:
            sheet = said
    return HungBefore(sheet or changed, sheet) if sheet or changed else None


def _said_of_anodes(texts: Iterable[tuple[str, str]]) -> Iterator[tuple[bool, str]]:
    """Yield what sheets and changes of anodes say of them, where they do, and whether it is a sheet that says it."""
    parsed: dict[tuple[str, ...], str | None] = {}  # of sheets that say the same in other words around it, one is read
    for kind, toml in texts:
        is_sheet, of_anodes = kind == Check.kind, _OF_ANODES.findall(toml)
        if is_sheet and not of_anodes:  # a change leaves out what is usual
            continue
        lines = (kind, *of_anodes) if is_sheet else (kind, toml)
        if not parsed.get(lines):  # None is also what a sheet says that cannot be read
            parsed[lines] = _anodes_said(Check(toml, {}) if is_sheet else _anode_change(toml))
        if said := parsed[lines]:
            yield is_sheet, said


def _anode_change(toml: str) -> AnodeChange:
    """Return the entry in a text; one that cannot be read says nothing."""
    errors: list[InputError] = []
    found = read_table(AnodeChange, raw_toml(toml), "", errors)
    return found or AnodeChange(anodes="")


def _hanging(before: HungBefore, content: Check | Content) -> HungBefore:
    """Return what hangs in the tank after an entry."""
    if isinstance(content, HungBefore):
        return content
    said = _anodes_said(content)
    if not said:
        return before
    if not isinstance(content, Check):
        return replace(before, anodes=said)
    return HungBefore(before.anodes if said == before.sheet else said, said)


def _unfed(run: RunDone) -> UnfedRun:
    return UnfedRun(**{each.name: getattr(run, each.name) for each in fields(run)})


def _anodes_said(content: Check | Content) -> str | None:
    if isinstance(content, AnodeChange):
        return content.anodes
    if not isinstance(content, Check):
        return None
    said = content.bath().get("anodes")
    return said if isinstance(said, str) else None


def unfed_charge(entries: Iterable[Entry]) -> float:
    """Return the charge [A·h] of the runs that were marked as at inert anodes."""
    return sum(entry.content.ampere_hours for entry in entries if isinstance(entry.content, UnfedRun))


def unfed_copper(entries: Iterable[Entry]) -> float:
    """Return the copper [g] that the runs marked as at inert anodes took out of the bath."""
    return sum(entry.content.copper for entry in entries if isinstance(entry.content, UnfedRun))
