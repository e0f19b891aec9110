"""Where it went: the change of a bath between two checks, explained by what nobody writes down.

Given what was logged, the rest of the change in copper sulfate, acid, level and chloride is put down to evaporated
water, lost bath, and copper that dissolved or was not replaced; with intervals, with what cannot be told apart and
what to do about it. Pure functions; the mass balance is that of `balance`. Whether the account is to be believed is
asked in `account`, what comes of it in `forecast`.
"""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections import deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property
from typing import ClassVar, NamedTuple

import numpy as np

from advisor.basis.arrays import FloatArray, linearised
from advisor.basis.chances import chi_squared_above, normal_below
from advisor.basis.components import COMPONENTS
from advisor.basis.units import COVERAGE
from advisor.check.estimate import Estimate, Lean
from advisor.check.known import Value
from advisor.check.window import SURE, is_determined
from advisor.readings.hydrometer import DENSITY_MODEL, SURFACE_TENSION
from advisor.readings.previous_check import PreviousCheck
from advisor.record.again import estimated_again
from advisor.record.balance import (
    KEPT_BACK,
    LEAST_LEFT,
    LOGGED_AMOUNTS,
    POURED_IN,
    Contents,
    UnfedRun,
    addition_of,
    after,
    chloride_doubt,
    contents,
    dissolve_copper,
    stacked,
    typed_amount,
    unfed_copper,
    unstacked,
    with_anodes,
)
from advisor.record.entries import (
    CHARGE,
    DOSE,
    AdditiveDose,
    CarbonTreatment,
    Check,
    Entry,
    PouredIn,
    Remake,
    RunDone,
    TakenOut,
    ampere_hours,
    standing,
    up_to,
)
from advisor.record.level import raised_by
from advisor.solution.composition import Masses, composition, volume_of
from advisor.solution.density import WATER_DENSITY
from advisor.words.cautions import Act, cautions
from advisor.words.dates import said as day_said
from advisor.words.lines import Amount, Line, line
from advisor.words.sections import Section

SHORTEST = 3.0  # days between two checks that tell of a drift rather than of the readings' scatter (judgement)
# Kinds of entry that move what is in the tank, each measured alike, with the relative standard uncertainty.
MOVED = dict.fromkeys(("water", "crystals", "acid", "chloride", "take out"), LOGGED_AMOUNTS)
MOVED |= {RunDone.kind: CHARGE, PouredIn.kind: POURED_IN, AdditiveDose.kind: DOSE}
MOVED |= {kind: kept.standard_uncertainty / kept.value for kind, kept in KEPT_BACK.items()}
PLACES = {kind: place for place, kind in enumerate(MOVED)}
HABITS_CHANGE = 0.3  # relative standard uncertainty of a rate going on as before (judgement)
UNLOGGED = 6.63  # chi-squared by which an impossible account must beat the possible one (99 %, one degree; computed)
TOLD_APART = 0.9  # correlation beyond which two causes are told as one (judgement)

# Of the search (judgement: three rounds suffice for ordinary changes).
ROUNDS = 40  # of the linearised solution at most
STILL = 1e-4  # L or g by which a round moves the causes once it stands still
HALVINGS = 20  # of a step that leads to a bath that cannot be
MOST_PARTS = 20  # of the time between two entries

# What was logged within a day, or within so much of the time between two checks, is taken at the mean of its times
# (judgement: where a tank lost all its bath in 97 days, that moved no cause by more than 0.01 of its uncertainty).
AT_LEAST_AT_ONCE = 1.0  # days
SHARE_AT_ONCE = 1 / 30
DAYS_AT_ONCE = 7.0  # over which causes act together: little leaves in that time (judgement)

NOTHING = Contents(Masses(0.0, 0.0, 0.0, 0.0), 0.0)  # exact
DRIED = stacked(Contents(Masses(0.0, 0.0, 0.0, -1000 * WATER_DENSITY), 0.0))  # by a litre of water (computed)
DISSOLVED = stacked(dissolve_copper(NOTHING, 1.0))  # by a gram of copper (computed)
CAUSES = ("evaporation", "lost bath", "copper")
CAUSE_UNITS = {"evaporation": "L", "lost bath": "L", "copper": "g"}
SALTS_OF_AGE = "foreign_solids"  # the component of the state that stock, anodes and dust feed month by month
MOST_OF_VARIANCE = 0.999  # of a check's variance, that they may make up (judgement)
# Errors of the liquid and not of a tool: the same in each check of a bath but for this share of their variance
# (judgement: contents move, and doses are not always alike).
OF_THE_LIQUID = (DENSITY_MODEL, SURFACE_TENSION)
OWN_EACH_TIME = 0.1  # judgement
AS_FILED = 0.1  # standard uncertainties, and relative: what an estimate made again may differ by (judgement)
REMEDIES = {
    "evaporation": (
        "Cover the tank while it stands: a lid or floating balls. Top up with distilled water before you measure."
    ),
    "lost bath": (
        "Let parts drain over the tank for half a minute, catch the drips, and put the first rinse water back as "
        "top-up: this loss takes acid, copper and chloride alike."
    ),
    "idle anodes": (
        "Anodes dissolve while the bath stands and use up acid: lift them out when you do not plate, hang them in "
        "bags, stir with less air, and prefer phosphorised copper."
    ),
    "copper not replaced": (
        "The anodes do not give back what you plate: give them at least the area of the part, better twice, clean off "
        "crust and thick film, check bags and clips; an inert anode never feeds, so add crystals by the ampere-hours."
    ),
}
REMEDY_ACTS = {"idle anodes": (Act.REACHING_IN,), "copper not replaced": (Act.WIPING_ANODES, Act.REACHING_IN)}
CANNOT_TELL = (
    "Drag-out with the parts, splashes, leaks and samples that were not logged all take whole bath: only their sum "
    "shows.",
    "Copper that dissolves from idle anodes and copper that anodes fail to give back undo each other: only the "
    "difference shows.",
    "Water added without being logged hides just as much evaporation.",
)


class Doubt(StrEnum):
    """Why an account of the losses may be wrong as a whole."""

    UNLIKE = "unlike what was carried forward"
    TOO_MUCH_COPPER = "more copper than anodes give or take"
    NOT_CLOSED = "the balance does not close"


DOUBTS = {
    Doubt.UNLIKE: "The last check is far from what your record carried forward. Repeat this check first: one wrong "
    "reading makes the same picture as a real change.",
    Doubt.TOO_MUCH_COPPER: "No anode gives or takes that much copper in this time. Repeat this check first, then look "
    "whether something was added or taken out and not written down.",
    Doubt.NOT_CLOSED: "The balance does not close with what you logged: was something added or taken out and not "
    "written down, or logged as something else? If not, repeat this check.",
}
NOT_SURE = "Nothing below is certain until that is settled."
IF_COMPLETE = (
    "All this holds only if the log is complete: what went in or out and was not written down looks like a loss."
)


class NotEnoughKnown(Exception):
    """The record does not yet say enough to explain a change; the message says what is missing."""


@dataclass(frozen=True)
class BathState:
    """What a check found. known: copper sulfate, acid [g/L], level [L at 20 degC], chloride [mg/L] where measured.

    salts: how it leans on what was believed of the salts that gather with age; None where that is not told.
    of_the_liquid: what one standard deviation of each error that comes of the liquid does to it, as `known`.
    """

    when: datetime.datetime
    known: FloatArray  # (3,) or (4,)
    covariance: FloatArray  # (3, 3) or (4, 4)
    salts: Lean | None = None  # slopes as `known`
    of_the_liquid: Mapping[str, FloatArray] = field(default_factory=dict)


@dataclass(frozen=True)
class Interval:
    """How much of a cause, with its 95 % interval, in one unit. standard_uncertainty: before the limit at zero."""

    value: float
    standard_uncertainty: float
    low: float
    high: float

    @property
    def shown(self) -> bool:
        """Tell whether the cause is at work beyond doubt (95 %)."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True)
class Explanation:
    """A change and its causes: evaporation [L water], lost bath [L], copper dissolved [g; below zero: not replaced]."""

    then: BathState
    now: BathState
    days: float
    ampere_hours: float
    causes: dict[str, Interval]
    covariance: FloatArray  # (3, 3) of the causes, in their units
    with_now: FloatArray  # (n, 3) covariance of the state now with the causes
    explained: Contents  # what the tank holds now by this account
    p_value: float | None  # of the account; None where nothing is left over to judge it by
    unlogged: bool  # the account needs something that went in without being logged
    plated: float  # g of copper that inert anodes took from the bath, by the ampere-hours logged
    doubts: tuple[Doubt, ...] = ()  # why none of this is certain

    TITLE: ClassVar[str] = "Where it went"

    def to_dict(self) -> dict[str, object]:
        """Return the result with plain numbers and their unit in the name."""
        return {
            "days": self.days,
            "ampere_hours": self.ampere_hours,
            **{
                f"{name.replace(' ', '_')}_{CAUSE_UNITS[name]}": {"value": a.value, "low": a.low, "high": a.high}
                for name, a in self.causes.items()
            },
            "p_value": self.p_value,
            "unlogged_addition": self.unlogged,
            "copper_plated_at_inert_anodes_g": self.plated,
            "doubts": list(self.doubts),
            "certain": list(self.certain()),
        }

    def certain(self) -> tuple[str, ...]:
        """Return the causes that are at work beyond doubt: none where the whole account is doubted."""
        return () if self.doubts else tuple(name for name in CAUSES if self.causes[name].shown)

    def sections(self) -> tuple[Section, ...]:
        """Return the explanation for a reader."""
        remedies = self._remedies()
        acts = [act for name in remedies for act in REMEDY_ACTS.get(name, ())]
        doubts = list(CANNOT_TELL)
        spreads = np.sqrt(np.diag(self.covariance))
        correlation = self.covariance[0, 1] / (spreads[0] * spreads[1])
        if abs(correlation) > TOLD_APART:
            doubts.insert(0, "Evaporation and lost bath can hardly be told apart here: read the level more precisely.")
        first = (*(DOUBTS[doubt] for doubt in self.doubts), *((NOT_SURE,) if self.doubts else ()))
        blocks = (
            Section("First of all", first),
            Section(f"Where it went in {self.days:.0f} days", (*self._cause_lines(), IF_COMPLETE)),
            Section("What to do about it", tuple(REMEDIES[name] for name in remedies)),
            Section("Take care", cautions(acts), caution=True),
            Section("What cannot be known", tuple(doubts)),
        )
        return tuple(block for block in blocks if block.lines)

    def _cause_lines(self) -> list[Line]:
        said = []
        for name, words in (("evaporation", "Water evaporated"), ("lost bath", "Bath lost")):
            said.append(self._cause_line(words, name, self.causes[name]))
        if self.plated:
            words = "Copper plated at inert anodes, by your ampere-hours: {plated:.1f g}"
            said.append(line(words, plated=self.plated))
        copper = self.causes["copper"]
        if copper.value >= 0:
            said.append(self._cause_line("Copper dissolved from idle anodes, beyond what was plated", "copper", copper))
        else:
            turned = Interval(-copper.value, copper.standard_uncertainty, -copper.high, -copper.low)
            besides = "besides" if self.plated else "and not replaced by the anodes"
            said.append(self._cause_line(f"Copper plated {besides}", "copper", turned))
        return said

    def _cause_line(self, words: str, name: str, size: Interval) -> Line:
        unit = CAUSE_UNITS[name]
        digits = 2 if unit == "L" else 1
        return line(
            "{words}: {value} ({span} with 95 %){certain}",
            words=words,
            value=Amount(size.value, unit, digits),
            span=Amount(size.low, unit, digits, upper=size.high),
            certain="" if name in self.certain() else ", not certain",
        )

    def _remedies(self) -> list[str]:
        names = [name for name in self.certain() if name != "copper"]
        if "copper" in self.certain():
            names.append("idle anodes" if self.causes["copper"].value > 0 else "copper not replaced")
        return names


# --- From entries ---------------------------------------------------------------------------------


def last_change(entries: Sequence[Entry], over: float = SHORTEST) -> Explanation:
    """Explain the change between the last two fit checks of a bath that are at least three days apart.

    over: time that it should cover [days] where the record goes back so far; else from the first fit check on.

    Taken at its word: `account.where_it_went` asks whether to believe it.

    Raises NotEnoughKnown where there are no two such checks with copper sulfate and acid since the bath was mixed.
    """
    counting: Sequence[Entry] = with_anodes(standing(entries))[0]
    remade = [position for position, entry in enumerate(counting) if isinstance(entry.content, Remake)]
    counting = counting[remade[-1] + 1 :] if remade else counting
    end, now = _last_state(counting)
    if now is None:
        raise NotEnoughKnown("There is no check yet whose own readings determined both copper sulfate and acid")
    start, then = _state_before(counting, now.when, over)
    if then is None:
        raise NotEnoughKnown(f"It takes two checks of copper sulfate and acid at least {SHORTEST:.0f} days apart")
    logged = counting[start + 1 : end]
    _refuse_impossible(then, logged)
    then, now = _with_what_stays(then, counting[start]), _with_what_stays(now, counting[end])
    try:
        with np.errstate(over="raise", divide="raise", invalid="raise"):
            return explain(then, now, logged)
    except (np.linalg.LinAlgError, ArithmeticError) as error:  # an imported record may hold any numbers
        raise NotEnoughKnown("The last two checks are too far apart to be of one bath: correct one") from error


def _state_before(entries: Sequence[Entry], when: datetime.datetime, over: float) -> tuple[int, BathState | None]:
    """Return the last fit check at least so many days before a time, else the first that is three days before it."""
    start, then = _last_state(up_to(entries, when - datetime.timedelta(days=over)))
    if then is not None or over <= SHORTEST:
        return start, then
    early = up_to(entries, when - datetime.timedelta(days=SHORTEST))
    states = ((position, state_of(entry)) for position, entry in enumerate(early))
    return next(((position, state) for position, state in states if state is not None), (0, None))


def _refuse_impossible(then: BathState, logged: Sequence[Entry]) -> None:
    """Raise NotEnoughKnown where the log takes out all the bath there was, or more."""
    bath = contents(then.known[0], then.known[1], 0.0, then.known[2])
    last = max((place for place, entry in enumerate(logged) if isinstance(entry.content, TakenOut)), default=-1)
    for entry in logged[: last + 1]:
        taken = entry.content.volume.value if isinstance(entry.content, TakenOut) else 0.0
        if taken and taken > (1 - LEAST_LEFT) * volume_of(bath.masses):
            day = day_said(entry.when.astimezone())
            raise NotEnoughKnown(f"The log of {day} takes out as much bath as there was: correct that entry")
        bath = after(bath, entry.content)


def _last_state(entries: Sequence[Entry]) -> tuple[int, BathState | None]:
    """Return the last fit check among entries in order of time, and its position."""
    for position in reversed(range(len(entries))):
        state = state_of(entries[position])
        if state is not None:
            return position, state
    return 0, None


def state_of(entry: Entry) -> BathState | None:
    """Return what a check found by itself, without what it had carried forward; None where that is not enough.

    A check that leaned on the one before would seem to have lost nothing since.
    """
    check = entry.content
    if not isinstance(check, Check):
        return None
    values = {name: check.value(name) for name in COMPONENTS}
    if PreviousCheck.kind in check.reading_kinds():
        values = _by_itself(check)
    copper_sulfate, sulfuric_acid, chloride = (values[name] for name in COMPONENTS)
    if copper_sulfate is None or sulfuric_acid is None:
        return None
    measured = [copper_sulfate, sulfuric_acid, check.level, *([chloride] if chloride else [])]
    covariance = np.diag([max(value.standard_uncertainty, 1e-6) ** 2 for value in measured])
    covariance[0, 1] = covariance[1, 0] = check.correlation * np.sqrt(covariance[0, 0] * covariance[1, 1])
    return BathState(entry.when, np.array([value.value for value in measured]), covariance)


def _with_what_stays(state: BathState, entry: Entry) -> BathState:
    """Return a state with what its check shares with others of its bath: how it leans on the salts of age, which it
    counted as copper or allowed for, and the errors of the liquid.
    """
    check = entry.content
    assert isinstance(check, Check)
    estimate = estimated_again(check.sheet, alone=PreviousCheck.kind in check.reading_kinds())
    if estimate is None:
        return state
    effects = {name: _of_state(effect, estimate, state) for name, effect in estimate.sources.items()}
    lasting = {name: effects[name] for name in OF_THE_LIQUID if name in effects and _is_as_filed(estimate, state)}
    return replace(state, salts=_salts(state, estimate), of_the_liquid=lasting)


def _of_state(effect: FloatArray, estimate: Estimate, state: BathState) -> FloatArray:
    """Return an effect on copper sulfate and acid of an estimate as one on what a state knows (n,)."""
    told = np.zeros(len(state.known))
    told[:2] = [effect[estimate.names.index(name)] for name in COMPONENTS[:2]]
    return told


def _is_as_filed(estimate: Estimate, state: BathState) -> bool:
    """Tell whether a check was filed under the rules of now: else its errors are not those that would be made now."""
    again = [estimate.of(name) for name in COMPONENTS[:2]]
    values, spreads = (np.array(parts) for parts in zip(*again, strict=True))
    filed = np.sqrt(np.diag(state.covariance)[:2])
    moved = np.abs(values - state.known[:2]) / filed
    return bool(np.all(moved < AS_FILED) and np.all(np.abs(spreads / filed - 1) < AS_FILED))


def _salts(state: BathState, estimate: Estimate) -> Lean | None:
    """Return how a state leans on the salts of age.

    No more than the ± of the check holds: what was filed may come from other rules than those of now.
    """
    lean = estimate.leans.get(SALTS_OF_AGE)
    if lean is None:
        return None
    slopes = _of_state(lean.slopes, estimate, state)
    most = MOST_OF_VARIANCE / max(float(slopes @ np.linalg.solve(state.covariance, slopes)), 1e-12)
    return Lean(lean.mean, min(lean.standard_uncertainty, float(np.sqrt(most))), slopes)


def _by_itself(check: Check) -> dict[str, Value | None]:
    """Return what a check's readings of that day alone determine."""
    estimate = estimated_again(check.sheet, alone=True)
    values: dict[str, Value | None] = {}
    for name in COMPONENTS:
        value = estimate.of(name) if estimate and name in estimate.measured else None
        fit = value and is_determined(value.value, value.standard_uncertainty, check.limits(name))
        values[name] = value if fit else None
    return values


# --- The account ----------------------------------------------------------------------------------


def explain(then: BathState, now: BathState, logged: Sequence[Entry]) -> Explanation:
    """Explain the change from one state to another by non-negative amounts, given what was logged between them.

    Whitened non-negative least squares, linearised about its own solution. Intervals are those of the unlimited
    solution; for evaporation and lost bath, which cannot be below zero, after G. J. Feldman and R. D. Cousins,
    "Unified approach to the classical statistical analysis of small signals", Phys. Rev. D 57 (1998) 3873, so that
    they hold 95 % at zero too.
    """
    count = min(len(then.known), len(now.known))
    start, end = then.known[:count], now.known[:count]
    model = _Model(then.when, now.when, tuple(logged), count)
    free, noise, gain, tied = _unlimited(model, then, now)
    whiten = np.linalg.inv(np.linalg.cholesky(noise))
    bound = free if np.all(free[:2] >= 0) else _limited(model, start, end, whiten, free)
    explained = model.run(start, bound)
    freely = explained if bound is free else model.run(start, free)
    misfit = [float(np.sum((whiten @ (end - model.found(held))) ** 2)) for held in (freely, explained)]
    covariance = gain @ noise @ gain.T
    with_now = (now.covariance[:, :count] - tied) @ gain.T
    degrees = count - 3
    return Explanation(
        then,
        now,
        (now.when - then.when).total_seconds() / 86400,
        ampere_hours(logged),
        _amounts(bound, free, np.sqrt(np.diag(covariance))),
        covariance,
        with_now,
        explained,
        chi_squared_above(degrees, misfit[0]) if degrees else None,
        misfit[1] - misfit[0] > UNLOGGED,
        unfed_copper(logged),
    )


def _unlimited(model: _Model, then: BathState, now: BathState) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return the causes (3,) of least squares, the covariance (n, n) of the change, and the gain (3, n) from it.

    Last comes the covariance (m, n) of the state now with the state expected from the earlier one. Both checks err
    alike about the salts that had gathered by then, which are still in what is left of the bath, and about what the
    liquid itself does to a density and its reading.
    Linearised about its own solution until that stands still: more than the whole bath may have evaporated.
    """
    count = model.count
    start, end = then.known[:count], now.known[:count]
    sizes = _sizes(model.logged)
    free = model.first_guess(start, end)
    brought = chloride_doubt(model.logged) / now.known[2]
    kinds = {entry.kind for entry in model.logged}
    for _ in range(ROUNDS):
        found, slope_start, slope, slope_logged = model.near(start, free)
        noise = now.covariance[:count, :count] + slope_start @ then.covariance[:count, :count] @ slope_start.T
        noise = noise + (slope_logged * sizes**2) @ slope_logged.T
        noise[3:, 3:] += brought**2  # mg/L, where chloride was measured
        tied = _tied_by_salts(then, now, slope_start) + _tied_by_the_liquid(then, now, slope_start, kinds)
        noise = noise - tied[:count] - tied[:count].T
        whiten = np.linalg.inv(np.linalg.cholesky(noise))
        gain = np.linalg.pinv(whiten @ slope) @ whiten
        moved = model.possible_part(start, free, gain @ (end - found))
        free = free + moved
        if np.max(np.abs(moved)) < STILL:
            break
    return free, np.asarray(noise), np.asarray(gain), tied


def _sizes(logged: Sequence[Entry]) -> FloatArray:
    """Return how well what was logged of each kind of MOVED is known (10,), relative: a ± that was typed counts too."""
    totals, own = np.zeros((2, len(MOVED)))
    for entry in filter(_moves, logged):
        amount, place = typed_amount(entry.content), PLACES[entry.kind]
        totals[place] += amount.value
        own[place] = np.hypot(own[place], amount.standard_uncertainty)
    return np.hypot(list(MOVED.values()), own / np.where(totals, totals, 1.0))


def _tied_by_salts(then: BathState, now: BathState, slope_start: FloatArray) -> FloatArray:
    """Return what the salts of age add to the covariance (m, n) of a state with the one expected from an earlier one.

    slope_start (n, n): how what is expected moves with the earlier state. Salts stay where copper sulfate does, so the
    same share of them is left. What has gathered since, and what only one of the checks was told, is not shared.
    """
    count = len(slope_start)
    if then.salts is None or now.salts is None:
        return np.zeros((len(now.known), count))
    left = min(max(float(slope_start[0, 0]), 0.0), 1.0)
    shared = min(then.salts.standard_uncertainty, now.salts.standard_uncertainty) ** 2
    return left * shared * np.outer(now.salts.slopes, slope_start @ then.salts.slopes[:count])


def _tied_by_the_liquid(then: BathState, now: BathState, slope_start: FloatArray, kinds: Collection[str]) -> FloatArray:
    """Return what the errors of the liquid add to the same covariance (m, n).

    Carbon takes out the additives that lower the surface tension, so that error is a new one afterwards. The errors of
    tools are not shared: a tool may be another by the same name.
    """
    count = len(slope_start)
    new = {SURFACE_TENSION} if CarbonTreatment.kind in kinds else set()
    tied = np.zeros((len(now.known), count))
    for name in (then.of_the_liquid.keys() & now.of_the_liquid.keys()) - new:
        expected = slope_start @ then.of_the_liquid[name][:count]
        tied += (1 - OWN_EACH_TIME) * np.outer(now.of_the_liquid[name], expected)
    return tied


def _limited(model: _Model, start: FloatArray, end: FloatArray, whiten: FloatArray, free: FloatArray) -> FloatArray:
    """Return the causes (3,) of which evaporation and lost bath are not below zero, sought from the free ones."""
    bound = np.array([max(free[0], 0.0), max(free[1], 0.0), free[2]])
    bound = bound if model.holds(start, bound) else np.zeros(3)
    for _ in range(ROUNDS):
        found, _, slope, _ = model.near(start, bound)
        wanted = whiten @ (end - found + slope @ bound)
        moved = model.possible_part(start, bound, _not_below_zero(whiten @ slope, wanted) - bound)
        bound = bound + moved
        if np.max(np.abs(moved)) < STILL:
            break
    return bound


def _not_below_zero(matrix: FloatArray, wanted: FloatArray) -> FloatArray:
    """Return what solves a linear problem (n, 3) best where the first two are not below zero; copper goes either way.

    There is one best, so it is the best of those where none, one or both of the two stand at zero.
    """
    tried = []
    for free in ([0, 1, 2], [0, 2], [1, 2], [2]):
        part = np.zeros(3)
        part[free] = np.linalg.lstsq(matrix[:, free], wanted, rcond=None)[0]
        tried.append(part)
    possible = [part for part in tried if np.min(part[:2]) >= 0]
    return min(possible, key=lambda part: float(np.sum((matrix @ part - wanted) ** 2)))


class _Turn(NamedTuple):
    """A share of the causes; or an entry that moves the bath by what it holds; or what entries add at once.

    added (5, 10): as `stacked`, of each kind of MOVED.
    """

    share: float = 0.0
    entry: Entry | None = None
    added: FloatArray | None = None


@dataclass(frozen=True)
class _Model:
    """What a state becomes by the logged events and by causes that act evenly over time between them."""

    begin: datetime.datetime
    end: datetime.datetime
    logged: tuple[Entry, ...]
    count: int

    def run(self, start: FloatArray, causes: FloatArray, times: FloatArray | None = None) -> Contents:
        """Return the contents at the end. start: (n, *s) [g/L, g/L, L, mg/L]; causes: (3, *s) [L water, L, g copper].

        times: (10, *s), how much of each kind of MOVED truly moved for what was logged; one where None.
        """
        return unstacked(deque(self._course(start, causes, times), maxlen=1)[0])

    def _course(self, start: FloatArray, causes: FloatArray, times: FloatArray | None) -> Iterator[FloatArray]:
        """Yield the contents after each part of the time and each entry, as `stacked`: one sum in place of five."""
        begun = start.tobytes()
        if begun not in self._beginnings:
            chloride = start[3] if self.count > 3 else 0.0
            self._beginnings[begun] = stacked(contents(start[0], start[1], chloride, start[2]))
        bath = self._beginnings[begun]
        alone = (1,) * (bath.ndim - 1)
        shares = np.array([turn.share for turn in self.turns]).reshape(-1, *alone)
        moved = np.ones((len(MOVED), *alone)) if times is None else times
        still = not np.any(causes)
        for turn, half, lost in zip(self.turns, _half_of(causes[:, None] * shares), causes[1] * shares, strict=True):
            if turn.added is not None:
                bath = bath + turn.added @ moved
            elif turn.entry is not None:
                bath = stacked(after(unstacked(bath), turn.entry.content, moved[PLACES[turn.entry.kind]]))
            elif not still:
                bath = _lose(bath, half, lost)
            yield bath

    @cached_property
    def _beginnings(self) -> dict[bytes, FloatArray]:
        """The contents to begin with, as `stacked`, by the bytes of `start`: each round of a search begins alike."""
        return {}

    @cached_property
    def turns(self) -> tuple[_Turn, ...]:
        """What happens in order; found once for all the courses that are tried."""
        turns: list[_Turn] = []
        together: FloatArray | None = None
        for share, entry in self._turns():
            adds = addition_of(entry.content) if entry else None
            if entry is None or adds is None:
                turns.append(_Turn(share, entry))
                together = None
                continue
            if together is None:
                together = np.zeros((len(adds), len(MOVED)))
                turns.append(_Turn(added=together))
            together[:, PLACES[entry.kind]] += adds
        return tuple(turns)

    def _turns(self) -> Iterator[tuple[float, Entry | None]]:
        """Yield what happens in order: a share of the causes, or an entry; as a pair of which one is nothing."""
        length = (self.end - self.begin).total_seconds() or 1.0
        lost_until = self.begin
        for until, entries in self._at_once(max(AT_LEAST_AT_ONCE, SHARE_AT_ONCE * length / 86400)):
            seconds = (until - lost_until).total_seconds()
            parts = int(np.clip(np.ceil(seconds / 86400 / DAYS_AT_ONCE), 1, MOST_PARTS))
            yield from [(seconds / length / parts, None)] * parts
            yield from ((0.0, entry) for entry in entries)
            lost_until = until

    def _at_once(self, days: float) -> Iterator[tuple[datetime.datetime, Sequence[Entry]]]:
        """Yield what was logged within so many days, with the mean of its times; last, the end with nothing."""
        left = [entry for entry in self.logged if _moves(entry)]
        while left:
            first = left[0].when
            together = up_to(left, first + datetime.timedelta(days=days))
            after_first = sum((entry.when - first for entry in together), datetime.timedelta())
            yield first + after_first / len(together), together
            left = left[len(together) :]
        yield self.end, ()

    @cached_property
    def _until_each_turn(self) -> tuple[FloatArray, FloatArray]:
        """What share of the causes has acted by each turn (k,), and how far entries raised the level by then [L]."""
        moved = [(share, raised_by(entry) if entry else 0.0) for share, entry in self._turns()]
        shares, litres = np.cumsum(np.array(moved).reshape(-1, 2), axis=0).T
        return shares, litres

    def holds(self, start: FloatArray, causes: FloatArray) -> bool:
        """Tell whether the tank always holds bath with water in it; start (n,), causes (3,) [units of `run`]."""
        shares, litres = self._until_each_turn
        if np.min(start[2] + litres - shares * np.sum(np.maximum(causes[:2], 0.0)), initial=start[2]) > start[2] / 4:
            return True  # by far
        with np.errstate(all="ignore"):
            return all(unstacked(bath).masses.water > 0 for bath in self._course(start, causes, None))

    def possible_part(self, start: FloatArray, causes: FloatArray, step: FloatArray) -> FloatArray:
        """Return a step (3,) from causes (3,) [units of `run`], halved until the tank always holds bath."""
        for _ in range(HALVINGS):
            if self.holds(start, causes + step):
                return step
            step = step / 2
        raise ArithmeticError("no causes leave any bath in the tank")

    def first_guess(self, start: FloatArray, end: FloatArray) -> FloatArray:
        """Return the causes (3,) [units of `run`] if only water had left, by the level; zeros where that cannot be."""
        level = float(composition(self.run(start, np.zeros(3)).masses).volume)
        guess = np.array([level - end[2], 0.0, 0.0])
        return guess if self.holds(start, guess) else np.zeros(3)

    def predict(self, start: FloatArray, causes: FloatArray, times: FloatArray | None = None) -> FloatArray:
        """Return what would be found at the end (n, *s) [g/L, g/L, L, mg/L]; arguments as of `run`."""
        return self.found(self.run(start, causes, times))

    def found(self, held: Contents) -> FloatArray:
        """Return what is found (n, *s) [g/L, g/L, L, mg/L] of contents (of shape s)."""
        copper_sulfate, sulfuric_acid, chloride, volume = held.concentrations()
        return np.stack([copper_sulfate, sulfuric_acid, volume, chloride][: self.count])

    def near(self, start: FloatArray, causes: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return the prediction (n,), and d prediction / d start (n, n), / d causes (n, 3) and / d times (n, 10).

        All in the units [of `run`].
        """
        point = np.concatenate([start, causes, np.ones(len(MOVED))])
        step = np.concatenate([[0.1, 0.1, 0.001, 0.1][: self.count], [0.001, 0.001, 0.01], np.full(len(MOVED), 0.01)])
        parts = [self.count, self.count + len(CAUSES)]
        found, slopes = linearised(lambda points: self.predict(*np.split(points, parts)), point, step)
        by_start, by_causes, by_times = np.split(slopes, parts, axis=1)
        return found, by_start, by_causes, by_times


def _moves(entry: Entry) -> bool:
    """Tell whether an entry moves what is in the tank; the copper of a run at anodes that feed comes back at once."""
    return entry.kind in MOVED and (not isinstance(entry.content, RunDone) or isinstance(entry.content, UnfedRun))


def _half_of(causes: FloatArray) -> FloatArray:
    """Return what half of the evaporation and half of the copper do (k, 5, *s), as `stacked`; causes (3, k, *s)."""
    water, _, copper = causes[:, :, None] / 2
    dried, dissolved = (each.reshape(-1, *(1,) * (causes.ndim - 2)) for each in (DRIED, DISSOLVED))
    return np.asarray(water * dried + copper * dissolved)


def _lose(bath: FloatArray, half: FloatArray, lost: FloatArray) -> FloatArray:
    """Let the causes act: half of water and copper, the lost bath, the other half; this is exact to second order.

    bath, half (5, *s): as `stacked`; lost (*s) [L].
    """
    in_between = bath + half
    return np.asarray(in_between * (1.0 - lost / volume_of(unstacked(in_between).masses)) + half)


def _amounts(bound: FloatArray, free: FloatArray, spreads: FloatArray) -> dict[str, Interval]:
    amounts = {}
    for i, name in enumerate(CAUSES):
        value, spread = float(bound[i]), float(spreads[i])
        if name == "copper":
            low, high = float(free[i]) - COVERAGE * spread, float(free[i]) + COVERAGE * spread
        else:
            low, high = (edge * spread for edge in interval_above_zero(float(free[i]) / spread))
        amounts[name] = Interval(value, spread, min(low, value), max(high, value))
    return amounts


def interval_above_zero(measured: float) -> tuple[float, float]:
    """Return the 95 % interval of a value that is not negative, in [standard uncertainties], as is what was measured.

    After Feldman and Cousins 1998 (see `explain`), Gaussian with a limit at zero, their table X; accuracy 0.01.
    """
    if measured > 10:  # zero is out of reach, and the steps below would be too coarse
        return measured - COVERAGE, measured + COVERAGE
    values = np.linspace(0.0, max(measured, 0.0) + 4.0, 4001)
    here = _log_ratio(np.full_like(values, measured), values)
    reach = np.sqrt(-2 * here)
    right, left = values + reach, values - reach
    beyond = left < 0  # there the ratio falls along a straight line
    left[beyond] = (here[beyond] + values[beyond] ** 2 / 2) / np.maximum(values[beyond], 1e-9)

    def is_inside(at: int) -> bool:
        below = normal_below(np.array([left[at], right[at]]) - values[at])
        return bool(below[1] - below[0] <= SURE)

    best = int(np.argmin(np.abs(values - max(measured, 0.0))))
    first = bisect_left(range(best), True, key=is_inside)  # further from the best value it never comes back
    beyond_last = best + bisect_left(range(best, len(values)), True, key=lambda at: not is_inside(at))
    return float(values[first]), float(values[beyond_last - 1])


def _log_ratio(measured: FloatArray, values: FloatArray) -> FloatArray:
    """Return the log likelihood of values less that of the best possible one."""
    below = measured * values - values**2 / 2
    return np.minimum(np.where(measured >= 0, -((measured - values) ** 2) / 2, below), 0.0)
