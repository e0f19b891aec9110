"""What to take out, add or thin so that the bath ends inside its working window, and how probable that is.

Four amounts are sought: litres of bath to take out, grams of water, of crystals and of acid. What they lead to is told
by `mass_balance`. In order: inside the window with 95 % probability; no more bath taken out than that needs; as near
the aim as that allows; then cheapest. Amounts are rounded to what can be weighed or measured and the result is checked
again, forward.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import floor, inf, log, log10, sqrt
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.special import log_ndtr

from advisor.check.mass_balance import ANY, After, Amounts, Task, forward
from advisor.check.window import SURE, judge
from advisor.readings.model import FloatArray
from advisor.solution.density import WATER_DENSITY
from advisor.solution.solubility import CEILING_FRACTION, crystallises_below, saturation, saturation_at
from advisor.words.lines import Amount, line

LEVEL_TOLERANCE = 0.005  # a level within half a percent of the usual one needs nothing
ROUNDING_MARGIN = 0.00005  # of probability, so that a plan on the limit is not short of it by a rounding error
ROUNDING_RESERVES = (0.0, 3e-5, 2e-4, 1e-3)  # of every margin, on the scales of `_Search._margins`
SMALL_SHARE, LARGEST_SHARE = 0.1, 0.95  # of the bath, to be taken out
STARTS = (0.05, 0.2)  # of what may be moved: the first alone misses what is possible in one search of 140, both in none
FAR_OUTSIDE = 0.05  # probability of being inside below which the search is led by each limit alone
LOG_SURE = log(SURE + ROUNDING_MARGIN)
# Cost of what has no price, so that the search still prefers less (a kilogram, a litre; judgement).
USUAL_PRICE = {"crystals": 9.0, "acid": 4.0}


@dataclass(frozen=True)
class Plan:
    """A correction. state: "none needed", "possible", "first part" or "not possible"."""

    state: str
    amounts: Amounts
    after: After
    cost: float | None
    blocked_by: str | None = None


def correct(task: Task) -> Plan:
    """Return the correction of a bath."""
    here = forward(task, Amounts())
    level_low = task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE)
    within_tank = task.least_volume <= task.volume <= task.most_volume
    if not any(task.needs(component) for component in task.verdicts) and not level_low and within_tank:
        return Plan("none needed", Amounts(), here, 0.0 if _priced(task, Amounts()) else None)
    found = _best(task)
    if found:
        return _plan(task, "possible", found)
    limit = _what_blocks(task)
    if limit:
        return Plan("not possible", Amounts(), here, None, limit)
    return _plan(task, "first part", _part_dose(task))


def _plan(task: Task, state: str, amounts: Amounts) -> Plan:
    return Plan(state, amounts, forward(task, amounts), _priced(task, amounts))


def _with_chloride(task: Task, amounts: Amounts) -> Amounts:
    """Add what chloride falls short, once the rest is settled: to the middle of its limits, or as little as will do."""
    low, high = task.limits("chloride")
    after = forward(task, amounts)
    if after.chloride is None or low <= 0 or (not task.needs("chloride") and after.probability_in >= SURE):
        return amounts
    goals = np.linspace(low, (low + high) / 2, 20 if task.aim == "least" else 2)[1:]
    for goal in goals:
        more = replace(amounts, chloride=round(max(goal - after.chloride, 0.0) * after.volume))
        if forward(task, more).probability_in >= SURE:
            return more
    return more


# --- The search -----------------------------------------------------------------------------------

_MOVABLE = ("copper_sulfate", "sulfuric_acid")


def _best(task: Task) -> Amounts | None:
    """Return the best rounded amounts, or None where nothing puts the bath inside.

    Given up one after the other, where it cannot be had: taking nothing out, making up the level, adding as few things
    as will do. Where nothing is high and a bath known exactly would need nothing taken out, or where the bath is hardly
    known, at most a tenth may go: bath is not replaced because it is merely not known.
    """
    movable = [name for name in _MOVABLE if task.measured(name)]
    everything = frozenset(movable)
    outs = [0.0, SMALL_SHARE]
    if not _Search(task, everything, False, 0.0).possible():
        high = any(verdict.state == "high" for verdict in task.verdicts.values())
        called_for = high or not _Search(_known_exactly(task), everything, False, 0.0).possible()
        outs = [LARGEST_SHARE if called_for and task.well_known else SMALL_SHARE]
        if not _Search(task, everything, False, outs[0]).possible():
            return None
    # What is likely too low can only rise by adding it; the rest is added only where nothing else helps.
    short = {name for name in movable if (task.verdicts[name].probability_low or 0.0) > 1 - SURE}
    needed = {name for name in movable if task.needs(name)}
    subsets = [frozenset(chosen) for size in range(3) for chosen in itertools.combinations(movable, size)]
    subsets = [chosen for chosen in subsets if short <= chosen]
    subsets.sort(key=lambda chosen: (len(chosen - needed), len(chosen)))
    if task.aim == "least":
        subsets = [everything]  # cost alone decides what is added
    levels = (True, False) if task.volume < task.usual_volume else (True,)
    for out, level, added in itertools.product(outs, levels, subsets):
        found = _Search(task, added, level, out).run()
        if found:
            return found
    return None


def _known_exactly(task: Task) -> Task:
    """Return the task of a bath that holds what is estimated, to half a percent of its upper limits."""
    nearly = {name: 0.005 * (verdict.limits[1] if verdict.limits else 1.0) for name, verdict in task.verdicts.items()}
    verdicts = {
        name: judge(getattr(task, name), nearly[name], verdict.limits) if task.measured(name) else verdict
        for name, verdict in task.verdicts.items()
    }
    return replace(
        task,
        covariance=(nearly["copper_sulfate"] ** 2, 0.0, nearly["sulfuric_acid"] ** 2),
        chloride_standard_uncertainty=nearly["chloride"],
        volume_relative_uncertainty=0.0,
        verdicts=verdicts,
    )


class _Search:
    """One search. x = (out, water, crystals, acid) in `unit`s that make each about one."""

    def __init__(self, task: Task, added: frozenset[str], level: bool, most_out: float) -> None:
        """most_out: the share of the bath that may be taken out."""
        self.task, self.most_out = task, most_out
        self.moving = added | {component for component in _MOVABLE if task.needs(component)}
        usual = min(task.usual_volume, task.most_volume) if level else 0.0
        self.least_volume = max(task.least_volume, usual * (1 - LEVEL_TOLERANCE / 10))
        self.least_rounded = max(task.least_volume, usual * (1 - 0.8 * LEVEL_TOLERANCE))
        self.unit = task.volume * np.array([1.0, 1000.0, 100.0, 100.0])
        self.saturation = saturation_at(task.coldest)
        # Merit and margins ask for the same point one after the other.
        self._after = lru_cache(maxsize=256)(lambda amounts: forward(task, amounts, chloride_made_up=True))
        stock = task.stock
        most_acid = stock.acid_on_hand * stock.acid_density
        to_level = max(task.usual_volume * (1 + LEVEL_TOLERANCE) - task.volume, 0.0)
        litres_of_water = task.most_volume + task.volume if task.may_thin else to_level
        self.most = np.minimum(
            [
                most_out * task.volume,
                1000 * litres_of_water,
                stock.crystals_on_hand if "copper_sulfate" in added else 0.0,
                most_acid if "sulfuric_acid" in added else 0.0,
            ],
            self.unit * [0.95, 100.0, 20.0, 20.0],
        )

    def _bounds(self) -> list[tuple[float, float]]:
        return [(0.0, high) for high in self.most / self.unit]

    def possible(self) -> bool:
        """Tell whether any amounts, not yet rounded, put the bath inside."""
        return self._feasible(self._bounds()) is not None

    def run(self) -> Amounts | None:
        """Return the best rounded amounts, or None."""
        bounds = self._bounds()
        start = self._feasible(bounds)
        if start is None:
            return None
        if self.most_out > 0:
            least = self._minimise(lambda x: float(x[0]), start, bounds)
            start = start if least is None else least
            bounds[0] = (0.0, float(start[0]) + 1e-6)
        for reserve in ROUNDING_RESERVES:  # in a corner between two limits, rounding needs room
            best = self._minimise(lambda x: self._merit_of(self._amounts(x)), start, bounds, reserve)
            rounded = self._rounded(start if best is None else best)
            if rounded:
                return rounded
        return None

    def _amounts(self, x: FloatArray) -> Amounts:
        return Amounts(*(float(value) for value in x * self.unit))

    def _margins(self, amounts: Amounts, least_volume: float | None = None) -> FloatArray:
        """Return what must not be negative: tank, solubility and log-probability, each scaled to about one."""
        task = self.task
        after = self._after(amounts)
        margins = [
            (after.volume - (least_volume or self.least_volume)) / task.volume,
            (task.most_volume - after.volume) / task.volume,
            0.1 * (self._log_probability(after, (task.volume - amounts.take_out) / after.volume) - LOG_SURE),
        ]
        if task.solubility_counts and task.measured("copper_sulfate"):
            ceiling = CEILING_FRACTION * float(self.saturation(task.acid_in_the_cold(after.sulfuric_acid)))
            margins.append((ceiling - after.copper_sulfate) / 100)
        return np.array(margins)

    def _log_probability(self, after: After, kept: float) -> float:
        """Return the log-probability of being inside; far outside, where it has no slope, a stand-in that has one.

        kept: the part of the bath afterwards that is the bath of before, and with it what is not known of it.
        """
        if after.probability_in > FAR_OUTSIDE:
            return log(after.probability_in)
        return min(log(FAR_OUTSIDE), self._log_sides(after, kept))

    def _log_sides(self, after: After, kept: float) -> float:
        """Return the sum of the log-probabilities of being on the right side of each limit alone."""
        task, total = self.task, 0.0
        values = (
            ("copper_sulfate", after.copper_sulfate, sqrt(task.covariance[0])),
            ("sulfuric_acid", after.sulfuric_acid, sqrt(task.covariance[2])),
            ("chloride", after.chloride, task.chloride_standard_uncertainty),
        )
        for component, value, spread in values:
            low, high = task.limits(component)
            if value is None or high >= ANY:
                continue
            spread = max(spread * kept, 0.002 * high)
            made_up = component == "chloride"  # what it falls short is added afterwards
            below = 0.0 if low <= 0 or made_up else float(log_ndtr((value - low) / spread))
            total += below + float(log_ndtr((high - value) / spread))
        return float(total)

    def _merit_of(self, amounts: Amounts) -> float:
        """Return what is to be small: distance from the aim, then cost; for the least, cost alone."""
        task = self.task
        everything = Amounts(crystals=100 * task.volume, acid=50 * task.volume)
        cost: float = _cost(task, amounts) / _cost(task, everything)
        if task.aim == "least":
            return cost + 1e-5 * amounts.water / float(self.unit[1])
        return self._distance(self._after(amounts)) + 1e-4 * (cost + amounts.water / float(self.unit[1]))

    def _distance(self, after: After) -> float:
        """Return the squared distance from the aim in widths of the window, over what is being moved."""
        goals = {"copper_sulfate": self.task.aim_copper_sulfate, "sulfuric_acid": self.task.aim_sulfuric_acid}
        total = 0.0
        for component in self.moving:
            low, high = self.task.limits(component)
            if self.task.measured(component) and high < ANY:
                total += ((getattr(after, component) - goals[component]) / (high - low)) ** 2
        return total

    def _feasible(self, bounds: list[tuple[float, float]]) -> FloatArray | None:
        """Return a point within all margins, or None: each start in turn, as the way down can end in a dead end."""
        for share in STARTS:
            found = self._least_violation(
                np.array([low + share * (min(high, 1.0) - low) for low, high in bounds]), bounds
            )
            if np.min(self._margins(self._amounts(found))) > -1e-6:
                return found
        return None

    def _least_violation(self, start: FloatArray, bounds: list[tuple[float, float]]) -> FloatArray:
        """Return where the largest violation of the margins, a fifth variable, is least."""

        def margins(x: FloatArray) -> FloatArray:
            return self._margins(self._amounts(x))

        result = minimize(
            lambda y: y[4],
            np.append(start, max(0.0, -float(np.min(margins(start))))),
            jac=lambda y: np.array([0.0, 0.0, 0.0, 0.0, 1.0]),
            method="SLSQP",
            bounds=[*bounds, (0.0, None)],
            constraints={
                "type": "ineq",
                "fun": lambda y: margins(y[:4]) + y[4],
                "jac": lambda y: np.column_stack([_slopes(margins, y[:4], bounds), np.ones(len(margins(y[:4])))]),
            },
            options={"maxiter": 80, "ftol": 1e-9},
        )
        return np.asarray(np.clip(result.x[:4], *np.transpose(bounds)))

    def _minimise(
        self,
        merit: Callable[[FloatArray], float],
        start: FloatArray,
        bounds: list[tuple[float, float]],
        reserve: float = 0.0,
    ) -> FloatArray | None:
        """Return the point of least merit within all margins less a reserve, None where the search strays out."""

        def margins(x: FloatArray) -> FloatArray:
            return self._margins(self._amounts(x)) - reserve

        result = minimize(
            merit,
            start,
            jac=lambda x: _slopes(merit, x, bounds),
            method="SLSQP",
            bounds=bounds,
            constraints={"type": "ineq", "fun": margins, "jac": lambda x: _slopes(margins, x, bounds)},
            options={"maxiter": 80, "ftol": 1e-9},
        )
        found = np.clip(result.x, *np.transpose(bounds))
        return np.asarray(found) if np.min(margins(found)) > -1e-5 else None

    def _rounded(self, x: FloatArray) -> Amounts | None:
        """Return the best of the roundings next to a point that keeps the bath inside; None if none does.

        Coarse steps are easier to measure; finer ones serve where a limit is so near that coarse ones would cost.
        """
        exact = self._merit_of(self._amounts(x))
        best: Amounts | None = None
        for fineness, shifts in itertools.product((1.0, 0.1), (range(2), range(-1, 3))):
            steps = _steps(self.task, fineness)
            choices = [self._near(*item, shifts) for item in zip(x * self.unit, steps, self.most, strict=True)]
            sound = [
                amounts
                for amounts in (Amounts(*combination) for combination in itertools.product(*choices))
                if np.min(self._margins(amounts, self.least_rounded)) >= -1e-12
            ]
            best = min([*sound, *([best] if best else [])], key=self._rank, default=None)
            if best and self._merit_of(best) < exact + 0.005 * abs(exact):
                break
        return _with_chloride(self.task, best) if best else None

    def _rank(self, amounts: Amounts) -> tuple[float, float]:
        return round(amounts.take_out, 9), self._merit_of(amounts)

    @staticmethod
    def _near(exact: float, step: float, most: float, shifts: range) -> list[float]:
        """Return the rounded amounts about an exact one; nothing stays nothing."""
        if exact <= 1e-4 * step:
            return [0.0]
        below = floor(exact / step + 1e-6)
        return sorted({max(below + shift, 0) * step for shift in shifts if (below + shift) * step <= most + 1e-9}) or [
            0.0
        ]


def _slopes(of: Callable[[FloatArray], Any], x: FloatArray, bounds: list[tuple[float, float]]) -> FloatArray:
    """Return the forward differences of a function by each variable that may move (zero by the others)."""
    step = 1.5e-8
    here = np.asarray(of(x))
    slopes = np.zeros((*here.shape, len(x)))
    for at, (low, high) in enumerate(bounds):
        if high > low:
            moved = np.array(x, dtype=float)
            moved[at] += step if x[at] + step <= high else -step
            slopes[..., at] = (np.asarray(of(moved)) - here) / (moved[at] - x[at])
    return slopes


def _steps(task: Task, fineness: float) -> FloatArray:
    """Return what litres out and grams of water, crystals and acid are rounded to: about 0.1 %, or finer."""
    water = max(_nice(2 * task.volume * fineness), 1.0)
    crystals = max(_nice(0.1 * task.volume * fineness), task.weighed_to)
    acid = max(_nice(0.05 * task.volume * fineness), 0.1) * task.stock.acid_density
    return np.array([water / 1000, water, crystals, acid])


def _nice(value: float) -> float:
    """Return the largest 1, 2 or 5 times a power of ten that is not above a value."""
    power = 10.0 ** floor(log10(value))
    return max(factor * power for factor in (1.0, 2.0, 5.0) if factor * power <= value * (1 + 1e-9))


# --- Where nothing reaches the window -------------------------------------------------------------


def _what_blocks(known: Task) -> str | None:
    """Name the limit in the way and what lifting it would take; None where only better readings would help."""
    task = _known_exactly(known)
    if _best(task) is not None:
        return None
    stock = task.stock
    unlimited = replace(stock, crystals_on_hand=inf, acid_on_hand=inf)
    roomy = replace(task, most_volume=50 * task.volume, least_volume=0.0)
    found = _best(replace(task, stock=replace(stock, crystals_on_hand=inf)))
    if found:
        return line(
            "the crystals on hand: {have}, and {need} are needed",
            have=Amount(stock.crystals_on_hand, "g"),
            need=Amount(found.crystals, "g"),
        )
    found = _best(replace(task, stock=replace(stock, acid_on_hand=inf)))
    if found:
        needed = found.acid / stock.acid_density
        return line(
            "the acid on hand: {have}, and {need} are needed",
            have=Amount(stock.acid_on_hand, "mL"),
            need=Amount(needed, "mL"),
        )
    found = _best(replace(task, stock=unlimited))
    if found:
        needed = found.acid / stock.acid_density
        return line(
            "the crystals and the acid on hand: {crystals} and {acid} are needed",
            crystals=Amount(found.crystals, "g"),
            acid=Amount(needed, "mL"),
        )
    if not task.may_thin and _best(replace(task, thins_unknown=True)):
        return None
    found = _best(replace(task, solubility_counts=False))
    if found:
        after = forward(task, found)
        acid = task.acid_in_the_cold(after.sulfuric_acid)
        warm = float(crystallises_below(after.copper_sulfate / CEILING_FRACTION, acid))
        return line(
            "the cold: at {cold} this window is too near to where crystals form; keep the bath above {warm}, or choose "
            "a window with less copper",
            cold=Amount(task.coldest, "°C"),
            warm=Amount(warm, "°C"),
        )
    tank = Amount(task.least_volume, "L", 2, upper=task.most_volume)
    found = _best(roomy)
    if found:
        after = forward(task, found)
        return line("the tank: {tank}, and {need} would be needed", tank=tank, need=Amount(after.volume, "L", 2))
    return line(
        "more than one limit at once: tank {tank}, stock on hand and the coldest temperature {cold}; with acid of "
        "{percent:.0f} % a new bath of part of the volume may do",
        tank=tank,
        cold=Amount(task.coldest, "°C"),
        percent=100 * stock.acid_strength,
    )


def _part_dose(task: Task) -> Amounts:
    """Return a first dose: with 95 % probability each component stays short of its far limit."""
    wanted = {}
    for component, here, goal, variance in (
        ("copper_sulfate", task.copper_sulfate, task.aim_copper_sulfate, task.covariance[0]),
        ("sulfuric_acid", task.sulfuric_acid, task.aim_sulfuric_acid, task.covariance[2]),
    ):
        verdict, (low, high) = task.verdicts[component], task.limits(component)
        reach = 1.645 * sqrt(variance)
        wanted[component] = here
        if task.needs(component) and (verdict.probability_low or 0.0) > 0.5:
            wanted[component] = max(here, min(goal, high - reach))
        elif task.needs(component) and (verdict.probability_high or 0.0) > 0.5:
            wanted[component] = min(here, max(goal, low + reach))
    thinner = min(
        (wanted[name] / here if here > 0 else 1.0)
        for name, here in (("copper_sulfate", task.copper_sulfate), ("sulfuric_acid", task.sulfuric_acid))
    )
    most_volume = task.most_volume if task.may_thin else min(max(task.usual_volume, task.volume), task.most_volume)
    volume = min(task.volume / max(thinner, 0.1), most_volume) if thinner < 1 else task.volume
    dilution = task.volume / max(volume, task.volume)
    stock = task.stock
    salt = max(wanted["copper_sulfate"] - task.copper_sulfate * dilution, 0.0) * volume / stock.crystals_pentahydrate
    acid = max(wanted["sulfuric_acid"] - task.sulfuric_acid * dilution, 0.0) * volume / stock.acid_strength
    exact = np.array(
        [
            0.0,
            max(volume - task.volume, 0.0) * 1000 * WATER_DENSITY,
            min(salt, stock.crystals_on_hand),
            min(acid, stock.acid_on_hand * stock.acid_density),
        ]
    )
    steps = _steps(task, 1.0)
    amounts = Amounts(*(float(value) for value in np.floor(exact / steps + 1e-9) * steps))
    return _within_tank(task, amounts)


def _within_tank(task: Task, amounts: Amounts) -> Amounts:
    """Scale a first dose down until the tank holds it and the crystals stay dissolved in the cold."""
    for share in (1.0, 0.5, 0.25):
        smaller = Amounts(0.0, *(share * value for value in (amounts.water, amounts.crystals, amounts.acid)))
        after = forward(task, smaller)
        ceiling = CEILING_FRACTION * float(saturation(task.coldest, task.acid_in_the_cold(after.sulfuric_acid)))
        stays_dissolved = after.copper_sulfate <= ceiling or (smaller.crystals == smaller.acid == 0)
        if after.volume <= task.most_volume and stays_dissolved:
            return smaller
    return Amounts()


def _cost(task: Task, amounts: Amounts) -> float:
    """Return what the additions cost, at usual prices where the sheet gives none (any currency)."""
    stock = task.stock
    crystals = USUAL_PRICE["crystals"] if stock.crystals_price is None else stock.crystals_price
    acid = USUAL_PRICE["acid"] if stock.acid_price is None else stock.acid_price
    return amounts.crystals / 1000 * crystals + amounts.acid / stock.acid_density / 1000 * acid


def _priced(task: Task, amounts: Amounts) -> float | None:
    """Return the cost in the sheet's currency, None where a price that counts is missing."""
    crystals = amounts.crystals == 0 or task.stock.crystals_price is not None
    acid = amounts.acid == 0 or task.stock.acid_price is not None
    return _cost(task, amounts) if crystals and acid else None
