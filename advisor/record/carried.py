"""What the last check and the log since say of the bath now, to be written into the next sheet as a previous check.

Contents follow from an exact mass balance of what was logged; what nobody logs (drips, idle anodes, anodes that do not
quite feed) widens the uncertainty with time and ampere-hours, and where two checks showed it, it is carried on. The
sources of a check's error keep their names: the bottle that it was titrated with errs again in the next check. Pure
functions of entries: they read no logbook, and the advice sees only the sheet, so that a person can leave it out.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from advisor.basis.arrays import FloatArray
from advisor.basis.components import COMPONENTS, NAMES, SALT_AND_ACID, UNITS
from advisor.basis.units import HOURS_PER_MONTH, Measured
from advisor.check.assessment import shown_of
from advisor.check.estimate import Lean, estimate_from
from advisor.check.known import Known, Value
from advisor.readings.origin import Origin
from advisor.readings.previous_check import ONE_MEASUREMENT, PreviousCheck
from advisor.readings.tools import LEVEL_READING, TANK_SCALE
from advisor.record.again import estimated_again
from advisor.record.balance import (
    KEPT_BACK,
    LEAST_LEFT,
    LOGGED_AMOUNTS,
    Contents,
    after,
    chloride_doubt,
    contents,
    dried_to,
    poured_in,
    share_left,
    typed_amount,
    unfed_charge,
    unfed_copper,
    with_anodes,
)
from advisor.record.drift import HABITS_CHANGE, Explanation, NotEnoughKnown, last_change
from advisor.record.entries import (
    CHARGE,
    Check,
    Counting,
    Entry,
    LevelMark,
    Moved,
    PouredIn,
    Remake,
    TakenOut,
    ampere_hours,
    standing,
    up_to,
)
from advisor.record.level import NOTHING_DRIES, as_level, dried_down_to
from advisor.record.runs import Feed
from advisor.record.weighed_anodes import RATE_DAYS, Told, feeds_of_copper_anodes, parted
from advisor.sheet import Sheet
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.molar_masses import ACID_PER_COPPER, PENTAHYDRATE_PER_COPPER
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.words.lines import Line, counted, joined, line

# What a previous check accepts.
HIGHEST = {
    "copper_sulfate": HIGHEST_COPPER_SULFATE,
    "sulfuric_acid": HIGHEST_SULFURIC_ACID,
    "chloride": HIGHEST_CHLORIDE,
}
# Only the density needs a component that was not determined: an ordinary bath stands in for it (judgement).
STAND_IN = {"copper_sulfate": 200.0, "sulfuric_acid": 60.0, "chloride": 0.0}

# What widens the carried values; standard uncertainties, all judgement.
# Relative; the same bottle errs again. Only where the check's own sheet does not tell its sources any more.
SAME_GEAR = {"copper_sulfate": 0.01, "sulfuric_acid": 0.01, "chloride": 0.03}
UNLOGGED_LOSS = 0.01  # of the bath a month: drips and rinses nobody wrote down, topped up with water
# Copper in 0.001-1 mol/L sulfuric acid loses 1.7-4.4 g/m2/day at 25-55 degC (excerpt of a corrosion paper, author not
# seen); with 1 dm2 of anode a litre hanging half of the time, 0.015 g a litre and day.
IDLE_COPPER = 0.015  # g Cu/L/day
UNFED = 0.10  # of the copper plated
UNFED_UNKNOWN = 0.35  # the same where nobody said what the anodes are: one in eight is taken to be inert
NOTHING = 1e-3  # g/L, mg/L: effects of a source that are not worth a line in a sheet
OWN_SHARE = 0.25  # of the variance of each rate, which is a time's own and no past tells of

# g a gram of copper that dissolves (stoichiometry).
COPPER_EFFECT = np.array([PENTAHYDRATE_PER_COPPER, -ACID_PER_COPPER, 0.0])


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
    sources: Mapping[str, FloatArray] = field(default_factory=dict)  # by name, as `PreviousCheck.shared`
    leans: Mapping[str, Lean] = field(default_factory=dict)  # by foreign salt, as `PreviousCheck.leans_on`
    moved: Moved | None = None  # to another tank since the check
    has_level: bool = False  # whether a level written down since the check tells what had dried away by then
    is_read_anew: bool = False  # whether that level, and its doubt, is in what is known

    @property
    def values(self) -> dict[str, Value | None]:
        """Each component; None where the last check did not determine it."""
        return shown_of(self.known, self.known.measured)

    @property
    def is_filed(self) -> bool:
        """Tell whether a logbook holds it: no bath without a name is in one."""
        return bool(self.check.bath)

    @property
    def correlation(self) -> float:
        """Correlation of copper sulfate and acid; 0 where not both are known."""
        both = ("copper_sulfate", "sulfuric_acid")
        return self.known.correlation(*both) if set(both) <= self.known.measured else 0.0

    def standing_at(self, level: Value, is_read_anew: bool) -> Carried:
        """Return it thickened by the water that dried away down to a level [L].

        is_read_anew: the level was read since the check, so that what dried away is as uncertain as both levels; else
        the level of the check stands on both sides, and cancels.
        """
        thicker, known = self.known.volume_L / level.value, self.known
        covariance, doubt = known.covariance, known.volume_relative_uncertainty
        if is_read_anew:
            read = level.standard_uncertainty / level.value
            covariance = covariance + (doubt**2 + read**2) * np.outer(known.mean, known.mean)
            doubt = read
        mean, covariance = thicker * known.mean, thicker**2 * covariance
        thickened = replace(
            known, mean=mean, covariance=covariance, volume_L=level.value, volume_relative_uncertainty=doubt
        )
        return replace(
            self,
            known=thickened,
            is_read_anew=is_read_anew,
            sources={name: thicker * effect for name, effect in self.sources.items()},
            leans={name: lean._replace(slopes=thicker * lean.slopes) for name, lean in self.leans.items()},
        )

    def reading(self) -> PreviousCheck:
        """Return it as a reading for the next sheet; a level that was read as usual stands there without its ±."""
        level, doubt = self.known.volume_L, self.known.volume_relative_uncertainty
        spread = None if np.isclose(doubt, LEVEL_READING) else doubt * level
        return PreviousCheck(
            **{name: _measured(name, value) for name, value in self.values.items() if value is not None},
            correlation=round(min(max(self.correlation, -0.999), 0.999), 3),
            volume=as_level(level, spread),
            since="evaporation only",  # what else may have happened is in the ± already
            shared=tuple(
                (name, _written(effect)) for name, effect in self.sources.items() if np.max(np.abs(effect)) > NOTHING
            ),
            leans_on=tuple(
                (name, _written([lean.mean, lean.standard_uncertainty, *lean.slopes]))
                for name, lean in self.leans.items()
            ),
            note=f"{'from the logbook' if self.is_filed else 'without a logbook'}: check of "
            f"{self.check.when.astimezone():%Y-%m-%d} and what was {'logged' if self.is_filed else 'done'} since",
            origin=Origin.LOGBOOK,
        )

    def add_to(self, sheet: Sheet) -> Sheet:
        """Return a sheet with this reading added, and with the tank that the bath was moved to since."""
        bath, tank = sheet.bath, self.moved
        if tank is not None:
            bath = replace(bath, usual_volume=tank.usual_volume, max_volume=tank.max_volume, min_volume=None)
        return replace(sheet, bath=bath, readings=(*sheet.readings, self.reading()))

    def summary(self) -> Line:
        """Say what is carried forward."""
        held = [
            line("{name} {held}", name=NAMES[name], held=value.amount(UNITS[name]))
            for name, value in self.values.items()
            if value is not None
        ]
        days, plated = round(self.days), f"{self.ampere_hours:.0f} A·h"
        spent = [counted(days, "day")] if days else []
        spent += [plated] if self.ampere_hours else []
        dried = "has evaporated since the level that you wrote down" if self.has_level else "had evaporated"
        return line(
            "From your check {spent} and what you {did} since: {held}, if no water {dried}.",
            did="logged" if self.is_filed else "did",
            spent=f"{' and '.join(spent)} ago" if spent else "of today",
            held=joined(", ", held),
            dried=dried,
        )


def _written(numbers: Sequence[float] | FloatArray) -> tuple[float, ...]:
    return tuple(float(f"{number:.4g}") for number in numbers)


def _measured(name: str, value: Value) -> Measured:
    """Return a carried concentration as the sheet takes it."""
    kind = "content" if name == "chloride" else "concentration"
    spread = value.standard_uncertainty
    most = min(value.value, HIGHEST[name])
    return Measured.of(most, UNITS[name], kind, standard_uncertainty=spread, digits=5, spread_digits=3)


def carry_forward(entries: Sequence[Entry], now: datetime.datetime) -> Carried | None:
    """Carry the last check of a bath forward to a time (aware).

    None where there is no check, where the bath was mixed anew since, where (nearly) all was taken out, or where
    the check determined neither copper sulfate nor acid.
    """
    counting, hung = with_anodes(up_to(standing(entries), now))
    position = _last_check(counting)
    if position is None:
        return None
    entry, since = counting[position], counting[position + 1 :]
    check = entry.content
    assert isinstance(check, Check)
    then = check.known
    before, bath = _start(then)
    stood = _stood(entry, since)
    through = _through(bath, since, stood)
    if through is None:
        return None
    doubts = _moving_doubts(bath, since, stood)  # (k, 3)
    bath, kept = through
    *held, volume = (float(part) for part in bath.concentrations())
    share = kept * then.volume_L / volume
    plated = unfed_copper(since) / volume * COPPER_EFFECT  # g/L, lost by it
    unfed = UNFED_UNKNOWN if None in hung[position:] else UNFED
    days = (now - entry.when).total_seconds() / 86400
    fed = ampere_hours(since) - unfed_charge(since)
    weighings = feeds_of_copper_anodes(counting)
    since_check, earlier = parted(weighings, entry.when)
    told = Told.by(since_check)
    spent = _Spent(days, days - told.days, fed - told.charge, unfed)
    rates = _with_weighings(_rates(Counting(counting[: position + 1]), spent), earlier, spent, then.volume_L)
    known, moved = _moved(np.array(held), rates, spent, volume)
    known = np.maximum(known + told.net.value / volume * COPPER_EFFECT, 0.0)
    covariance = then.covariance * share**2
    if rates.with_now is not None:
        shared = share * then.covariance @ rates.with_now @ moved.T
        covariance = covariance + shared + shared.T
    added = np.array(held) - share * before + plated
    sources, leans = _named(check, share)
    if not sources:
        covariance = covariance + np.diag((np.array(list(SAME_GEAR.values())) * known) ** 2)
    sources["tank scale"] = sources.get("tank scale", np.zeros(len(COMPONENTS))) + TANK_SCALE * added
    logged = np.diag((LOGGED_AMOUNTS * added) ** 2 + _brought(since, volume))
    logged += (told.net.standard_uncertainty / volume) ** 2 * np.outer(COPPER_EFFECT, COPPER_EFFECT)
    covariance = covariance + logged + np.outer(CHARGE * plated, CHARGE * plated)
    covariance = covariance + doubts.T @ doubts
    covariance = _positive(covariance + moved @ rates.covariance @ moved.T)
    result = replace(then, mean=known, covariance=covariance, volume_L=volume)
    tanks = [later.content for later in since if isinstance(later.content, Moved)]
    tank, has_level = tanks[-1] if tanks else None, any(isinstance(later.content, LevelMark) for later in since)
    return Carried(entry, result, spent.days, ampere_hours(since), sources, leans, tank, has_level)


def _last_check(counting: Sequence[Entry]) -> int | None:
    """Return the position of the last check among entries in order of time.

    None where there is none of the bath as it was mixed last, or none that determined copper sulfate or acid.
    """
    turns = (place for place in reversed(range(len(counting))) if isinstance(counting[place].content, Check | Remake))
    last = next(turns, None)
    check = None if last is None else counting[last].content
    if not isinstance(check, Check) or (check.value("copper_sulfate") is None and check.value("sulfuric_acid") is None):
        return None
    return last


def _stood(check: Entry, since: Sequence[Entry]) -> dict[int, float]:
    """Return how much stood in the tank [L] when bath was taken out of it, by the number of that entry.

    By the level said last: water that went in for what had dried away does not stand there any more, so that the same
    litre is a greater share of the bath.
    """
    found = {}
    for place, later in enumerate(since):
        if isinstance(later.content, TakenOut) and later.when - check.when >= datetime.timedelta(days=NOTHING_DRIES):
            level = dried_down_to([check, *since[:place]])
            if level is not None:
                found[later.id] = level.value
    return found


def _dried(bath: Contents, before: Entry, stood: Mapping[int, float]) -> Contents:
    """Return the bath as it stood before an entry, by what `_stood` tells."""
    return dried_to(bath, stood[before.id]) if before.id in stood else bath


def _through(bath: Contents, since: Sequence[Entry], stood: Mapping[int, float]) -> tuple[Contents, float] | None:
    """Return the bath after what was logged, and the share of what was in it that is left; None where hardly any is."""
    kept = 1.0
    for later in since:
        bath = _dried(bath, later, stood)
        kept *= float(share_left(bath, later.content))
        if kept < LEAST_LEFT:
            return None
        bath = after(bath, later.content)
    return bath, kept


def _moving_doubts(bath: Contents, since: Sequence[Entry], stood: Mapping[int, float]) -> FloatArray:
    """Return how one standard deviation of each amount that moved changes the concentrations (k, 3).

    In the volume that is left, since the level that is read next sets the water anew: bath that left unseen would pass
    for water. One filter, bucket or measure errs alike each time; an amount that was typed with a ± errs by itself too.
    """
    doubts: dict[str | int, dict[int, float]] = defaultdict(dict)
    for later in since:
        amount, kept = typed_amount(later.content), KEPT_BACK.get(later.kind)
        if kept:
            doubts[later.kind][later.id] = 1.0 + kept.standard_uncertainty / kept.value
        if isinstance(later.content, TakenOut):
            doubts[later.kind][later.id] = 1.0 + LOGGED_AMOUNTS
        if amount.standard_uncertainty:
            doubts[later.id][later.id] = 1.0 + amount.standard_uncertainty / amount.value
    if not doubts:
        return np.zeros((0, len(COMPONENTS)))
    ends = []
    for times in ({}, *doubts.values()):
        end = bath
        for later in since:
            end = after(_dried(end, later, stood), later.content, times.get(later.id, 1.0))
        ends.append(end)
    held = np.array([(end.masses.copper_sulfate, end.masses.sulfuric_acid, end.chloride) for end in ends], dtype=float)
    return np.asarray((held[1:] - held[0]) / ends[0].concentrations()[3])


def _brought(since: Sequence[Entry], volume: float) -> FloatArray:
    """Return what the doubt about other bath and additives adds to the variances (3,) of `volume` [L] of bath."""
    poured = [entry.content for entry in since if isinstance(entry.content, PouredIn)]
    spreads = [[what.volume.value * held.standard_uncertainty for held in poured_in(what)[:2]] for what in poured]
    main = np.sum(np.square(spreads), axis=0) if poured else np.zeros(2)
    return np.append(main, chloride_doubt(since) ** 2) / volume**2


def _start(known: Known) -> tuple[FloatArray, Contents]:
    """Return the concentrations (3,) and the contents at a check, with a stand-in for what it did not determine."""
    held = np.array([known.value(name) if name in known.measured else STAND_IN[name] for name in COMPONENTS])
    copper_sulfate, sulfuric_acid, chloride = (float(part) for part in held)
    return held, contents(copper_sulfate, sulfuric_acid, chloride, known.volume_L)


def _named(check: Check, share: float) -> tuple[dict[str, FloatArray], dict[str, Lean]]:
    """Return what one standard deviation of each lasting source does to what is left of a check (3,), and its leans."""
    found = estimated_again(check.sheet, alone=False)
    if found is None:
        return {}, {}

    def carried(effect: FloatArray) -> FloatArray:
        told = dict(zip(found.names, effect, strict=True))
        return share * np.array([told.get(name, 0.0) for name in COMPONENTS])

    lasting = {name: effect for name, effect in found.sources.items() if not name.startswith(ONE_MEASUREMENT)}
    return (
        {name: carried(effect) for name, effect in lasting.items()},
        {name: lean._replace(slopes=carried(lean.slopes)) for name, lean in found.leans.items()},
    )


def _positive(covariance: FloatArray) -> FloatArray:
    """Return the nearest covariance that is one: terms that were found apart need not fit together exactly."""
    sizes, axes = np.linalg.eigh((covariance + covariance.T) / 2)
    return np.asarray((axes * np.maximum(sizes, 1e-9)) @ axes.T)


# --- What nobody logs -----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Spent:
    """The time since a check. Of what anodes that were weighed fed in it, nothing is left to guess."""

    days: float
    unweighed_days: float
    charge: float  # A·h at anodes that feed, unweighed
    unfed: float  # standard uncertainty of the share that they fail to give back

    def spreads(self) -> FloatArray:
        """Return the standard uncertainties (3,) of the rates [1/day, g/L/day, share] where no past says more."""
        return np.array([UNLOGGED_LOSS * 24 / HOURS_PER_MONTH, IDLE_COPPER, self.unfed])


@dataclass(frozen=True)
class _Rates:
    """Share of the bath lost a day, copper dissolved a litre and day [g], share of the plated that is not replaced.

    with_now: what ties them to the last check: their covariance with it is its own covariance (n, n) times this (n, 3).
    """

    mean: FloatArray  # (3,)
    covariance: FloatArray  # (3, 3)
    with_now: FloatArray | None = None


def _rates(entries: Sequence[Entry], spent: _Spent) -> _Rates:
    """Return the rates to carry on with: what is usual, and what the last two checks of the entries showed."""
    usual = np.diag(spent.spreads() ** 2)
    try:
        change = last_change(entries, RATE_DAYS)
    except NotEnoughKnown:
        return _Rates(np.zeros(3), usual)
    if change.now.when != entries[-1].when:
        return _Rates(np.zeros(3), usual)
    return _learnt(change, usual)


def _learnt(change: Explanation, usual: FloatArray) -> _Rates:
    """Return rates after a change between two checks: what is usual and what was seen, each by its certainty."""
    level = float(change.then.known[2] + change.now.known[2]) / 2
    fed = change.ampere_hours * COPPER_PER_AMPERE_HOUR - change.plated
    seen = np.array([[level * change.days, 0.0, 0.0], [0.0, level * change.days, -fed]])  # L and g of a unit of each
    found = np.array([change.causes[name].value for name in ("lost bath", "copper")])
    more = _how_unusual(found, np.diag(change.covariance)[1:], np.diag(seen @ usual @ seen.T))[[0, 1, 1]]
    steady, own = (more - OWN_SHARE) * usual, OWN_SHARE * usual
    noise = change.covariance[1:, 1:] + seen @ own @ seen.T
    gain = steady @ seen.T @ np.linalg.inv(seen @ steady @ seen.T + noise)
    mean = gain @ found
    left = (np.eye(3) - gain @ seen) @ steady
    # Of the state then, (copper sulfate, acid, level, chloride), the first two tie the rates to what is carried.
    tie = np.zeros((len(COMPONENTS), 3))
    tie[:2] = np.linalg.solve(change.now.covariance, change.with_now)[:2, 1:] @ gain.T
    return _Rates(mean, left + own + np.diag((HABITS_CHANGE * mean) ** 2), tie)


def _with_weighings(rates: _Rates, weighings: Sequence[Feed], spent: _Spent, level: float) -> _Rates:
    """Return rates after what anodes fed before the check, each weighing by its certainty; level [L].

    As the changes between checks do, they tell of what goes on; what is a time's own stays open.
    """
    own = OWN_SHARE * np.diag(spent.spreads() ** 2)
    for feed in weighings:
        seen = np.array([0.0, level * feed.days, -feed.deposited.value])  # g of a unit of each rate
        steady = rates.covariance - own
        noise = feed.net.standard_uncertainty**2 + seen @ own @ seen
        gain = steady @ seen / (seen @ steady @ seen + noise)
        mean = rates.mean + gain * (feed.net.value - seen @ rates.mean)
        covariance = rates.covariance - np.outer(gain, seen @ steady)
        tie = None if rates.with_now is None else rates.with_now @ (np.eye(3) - np.outer(seen, gain))
        rates = _Rates(mean, covariance, tie)
    return rates


def _how_unusual(found: FloatArray, noise: FloatArray, usual: FloatArray) -> FloatArray:
    """Return by how much the variance of lost bath and copper (2,) exceeds what is usual, 1 where it need not.

    The variance that makes what was found likeliest: a bath that leaks is not held to what others lose.
    """
    return np.asarray(np.maximum((found**2 - noise) / usual, 1.0))


def _moved(held: FloatArray, rates: _Rates, spent: _Spent, volume: float) -> tuple[FloatArray, FloatArray]:
    """Return concentrations (3,) after what nobody logged, and how they move with each rate (3, 3).

    Lost bath was made up with water. Copper that dissolves or is not replaced moves copper sulfate and acid apart.
    """
    left = float(np.exp(-rates.mean[0] * spent.days))
    plated = spent.charge * COPPER_PER_AMPERE_HOUR / volume
    idle = spent.unweighed_days
    copper = rates.mean[1] * idle - rates.mean[2] * plated
    moved = np.column_stack([-spent.days * left * held, idle * COPPER_EFFECT, -plated * COPPER_EFFECT])
    return np.maximum(left * held + copper * COPPER_EFFECT, 0.0), moved


def what_the_record_adds(sheet: Sheet) -> tuple[str, ...]:
    """Say, for each component, how much what came from the logbook sharpens what the other readings say."""
    others = tuple(reading for reading in sheet.readings if reading.origin != Origin.LOGBOOK)
    if not others or len(others) == len(sheet.readings):
        return ()
    both = [estimate_from(sheet, readings) for readings in (sheet.readings, others)]
    said = []
    for name in SALT_AND_ACID:
        with_it, without = (each.of(name).amount("g/L") if name in each.measured else "not known" for each in both)
        words = "{component}: {with_it} with the earlier check, {without} without it."
        said.append(line(words, component=NAMES[name].capitalize(), with_it=with_it, without=without))
    return tuple(said)
