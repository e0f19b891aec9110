"""How the best amounts are found: which bath can be reached at all, which of these is wanted most, in whole amounts.

A bath afterwards is told by four numbers: litres taken out, litres in the tank, and the two concentrations. The grams
of water, crystals and acid follow from them in closed form, because masses add up. What may be reached is then a box:
the tank bounds the litres, and copper sulfate and acid each have a range outside of which that one alone already misses
its limits, or could not be reached by adding. The box is laid in units of these ranges, so that it is of one size for
a bath known to 0.005 % and for one known to 20 %, and a grid in it is narrowed about its best point round by round.

It needs no starting point and cannot get stuck: every limit is a quasi-concave function of the four numbers (linear
ones, the ceiling of solubility, and a log-concave probability), so the least of their margins is one too, and such a
function has a single summit. But the least to take out lies where limits meet, mostly askew to the grid, which ends
some per cent above it, now and then a third: from there the slopes of the margins lead on. They also lead into a narrow
sliver between two limits that a grid passes by, where that is asked for. Tolerance: the last grid is about a thousandth
of the box wide, and whatever misses by less than `HAIR` of probability is decided by the whole amounts, which are tried
on the exact mass balance.
"""

from __future__ import annotations

import itertools
from dataclasses import astuple, dataclass, replace
from functools import cache, cached_property, lru_cache, reduce
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from advisor.basis.components import SALT_AND_ACID
from advisor.check.mass_balance import ANY, Amounts, Outcome, Task, outcome
from advisor.check.window import SURE, SURE_REACH, SURE_REACH_BOTH, judge
from advisor.readings.model import FloatArray
from advisor.solution.density import WATER_DENSITY, density
from advisor.solution.ranges import HIGHEST_SULFURIC_ACID
from advisor.solution.solubility import ceiling_at

LEVEL_TOLERANCE = 0.005  # a plan that adds water ends so near the usual level where it can (judgement)
HAIR = 2e-4  # of probability: whether the grid's best point counts as possible before it is rounded (judgement)
ALMOST_SURE = 0.99  # of how far inside is surely inside: a hair less counts as possible (judgement)
ACIDS, BETWEEN_ACIDS = 30, 1.02  # acids at which the cold is tried, and what lies higher between two (judgement)
FAR_OUTSIDE = 0.05  # probability below which each limit alone leads the way (judgement)
ROUNDS, SHRINK = 10, 0.5  # of narrowing the grid (judgement)
A_SLIVER = 0.005  # margin that a grid misses at most where a way between two limits is narrow (judgement)
A_STEP, MOST_LED = 1e-6, 20  # of the box, for slopes of the margins, and steps that they lead (judgement)
MOST_ASKED = 32  # points at which they are asked for: most ways take 8, all but a few in a hundred 25 (judgement)
MISSED = 1e3  # by which amounts that miss a limit score less than any that keep all of them (judgement)
STILL = 0.02  # part by which a round must better the best margin, or two such rounds end the search (judgement)
STRIDES = (16, 4, 1)  # of whole amounts: steps at once, up to twice as many to either side (judgement)
MOST_WALKS = 40  # moves of the whole amounts, each to the best of their neighbours (judgement)
TRIFLE = 32  # fine steps: so little of a thing is left out where that can be (judgement)
WORTH_A_STEP = 0.02  # of the window's width nearer the aim: for less, no trifle is added (judgement)
AHEAD = (2, 4, 8, 16, 32)  # times the last move, tried along with the next (judgement)
EFFORT = 3e-5  # squared widths of the window that one thing less to add is worth (judgement)
A_JUG = 0.01  # of the bath: what less is taken out is rounded up to, since nobody draws 13 mL from a tank (judgement)
NEAR_ENOUGH = 0.005  # part of the merit by which amounts that are easier to measure may be worse (judgement)
IS_NEAR = 0.01  # squared widths of the window from the aim, a tenth of a width (judgement)
AMOUNTS = ("take_out", "water", *SALT_AND_ACID)  # what the four rows of amounts are (exact)


@dataclass(frozen=True)
class Scope:
    """What a plan may use: what it may add, litres in the tank afterwards, litres taken out at most."""

    task: Task
    added: frozenset[str]
    least_volume: float
    most_volume: float
    most_out: float

    @property
    def most(self) -> FloatArray:
        """The most of each amount, shape (4,), in the order and units of `Amounts` without chloride [L, g, g, g]."""
        task, stock = self.task, self.task.stock
        to_level = max(task.usual_volume * (1 + LEVEL_TOLERANCE) - task.volume, 0.0)
        litres = task.most_volume + task.volume if task.may_thin else to_level
        crystals = stock.crystals_on_hand if "copper_sulfate" in self.added else 0.0
        acid = stock.acid_on_hand * stock.acid_density if "sulfuric_acid" in self.added else 0.0
        return np.minimum([self.most_out, 1000 * litres, crystals, acid], task.volume * np.array([1, 1e5, 2e3, 2e3]))


class Search:
    """One search within a scope. All arrays are rows of candidates, n of them.

    all_out: whether just as much bath is taken out as the scope lets go, at no cost to the merit, or as little as will
    do. in_slivers: whether it also looks where two limits leave so little between them that a grid passes it by.
    near: amounts that land, where some are known: from there the slopes lead on to the least taken out.
    """

    def __init__(
        self, scope: Scope, all_out: bool = False, in_slivers: bool = False, near: Amounts | None = None
    ) -> None:
        self.scope, self.task, self.all_out, self.in_slivers, self.near = scope, scope.task, all_out, in_slivers, near
        self.most = scope.most
        self.most_pure = self.most[2:] * (self.task.stock.crystals_pentahydrate, self.task.stock.acid_strength)  # [g]
        self.ceiling = ceiling_at(self.task.coldest)
        self.moved = to_be_moved(self.task) | scope.added

    # --- From the box to amounts ------------------------------------------------------------------

    def amounts(self, unit: FloatArray) -> FloatArray:
        """Return the amounts (4, n) [L, g, g, g] of points (4, n) of the unit box."""
        task, scope = self.task, self.scope
        take_out = unit[0] * self.most[0]
        volume = scope.least_volume + unit[1] * (scope.most_volume - scope.least_volume)
        share = (task.volume - take_out) / volume
        copper = self._concentration("copper_sulfate", share, volume, unit[2])
        acid = self._concentration("sulfuric_acid", share, volume, unit[3])
        stock, here = task.stock, task.masses_per_litre
        crystals = np.maximum((copper - share * task.copper_sulfate) * volume, 0.0) / stock.crystals_pentahydrate
        foreign = share * task.foreign_solids + crystals * stock.crystals_inert / volume
        acid_solution = np.maximum((acid - share * task.sulfuric_acid) * volume, 0.0) / stock.acid_strength
        total = 1000 * volume * density(copper, acid, foreign)
        water = total - here.total * share * volume - crystals - acid_solution
        return np.array([take_out, water, crystals, acid_solution])

    def _point_of(self, amounts: Amounts) -> FloatArray:
        """Return the point (4,) of the unit box whose amounts are nearest to these."""
        after = outcome(self.task, astuple(amounts), chloride_made_up=False)
        volume, ends = np.asarray(after.volume), np.array([0.0, 1.0])
        share = (self.task.volume - amounts.take_out) / volume
        low, high = np.transpose([self._concentration(name, share, volume, ends) for name in SALT_AND_ACID])
        salts = np.array([after.copper_sulfate, after.sulfuric_acid]) - low
        above = np.array([amounts.take_out, volume - self.scope.least_volume, *salts])
        wide = np.array([self.most[0], self.scope.most_volume - self.scope.least_volume, *(high - low)])
        return np.asarray(np.clip(np.divide(above, wide, out=np.zeros(4), where=wide > 0), 0.0, 1.0))

    def _concentration(self, name: str, share: FloatArray, volume: FloatArray, unit: FloatArray) -> FloatArray:
        """Return concentrations [g/L] between the lowest and the highest that may be reached and may be inside."""
        task = self.task
        at, here = SALT_AND_ACID.index(name), getattr(task, name)
        low, high = task.limits(name)
        spread = np.sqrt(task.covariance[2 * at]) * share
        lowest = share * here
        highest = lowest + self.most_pure[at] / volume
        if high < ANY:
            wanted = low + SURE_REACH * spread if low > 0 else 0.0
            lowest, highest = (
                np.minimum(np.maximum(wanted, lowest), highest),
                np.minimum(np.maximum(high - SURE_REACH * spread, lowest), highest),
            )
        return np.asarray(lowest + unit * np.maximum(highest - lowest, 0.0))

    # --- How good amounts are ---------------------------------------------------------------------

    def judged(self, amounts: FloatArray) -> tuple[Outcome, FloatArray]:
        """Return the bath after amounts (4, n) [L, g, g, g] and its least margin (n,), below 0 if a limit is missed."""
        after, margins = self._margins(amounts)
        return after, reduce(np.minimum, margins) + 1e-9

    def _margins(self, amounts: FloatArray) -> tuple[Outcome, list[FloatArray]]:
        """Return the bath after amounts (4, n) [L, g, g, g] and the margin of each limit (n,), below 0 if missed."""
        task, scope = self.task, self.scope
        after = outcome(task, [*amounts, 0.0], True)
        unit = task.volume * np.array([[1.0], [1000.0], [100.0], [100.0]])
        margins = [
            *(amounts / unit),
            *((self.most[:, None] - amounts) / unit),
            (after.volume - scope.least_volume) / task.volume + 1e-9,
            (scope.most_volume - after.volume) / task.volume + 1e-9,
            self._log_margin(after),
        ]
        if task.solubility_counts and task.measured("copper_sulfate"):
            ceiling = self.ceiling(task.acid_in_the_cold(after.sulfuric_acid))
            margins.append((ceiling - after.copper_sulfate) / 100)
        return after, margins

    def _log_margin(self, after: Outcome) -> FloatArray:
        """Return a tenth of the log-probability of being inside less that of being sure; far outside, a stand-in."""
        probability = np.asarray(after.probability_in)
        found = np.log(np.maximum(probability, FAR_OUTSIDE))
        far = probability <= FAR_OUTSIDE  # only these: it is the dearest part of a search
        found[far] = np.minimum(self._stand_in(after, far), np.log(FAR_OUTSIDE))
        return np.asarray(0.1 * (found - np.log(SURE)))

    def _stand_in(self, after: Outcome, far: NDArray[np.bool_]) -> FloatArray:
        """Return the log-probability of keeping each limit alone, summed; far: which of the baths (n,) of bool."""
        total = np.zeros(np.count_nonzero(far))
        values = (
            ("copper_sulfate", after.copper_sulfate, np.sqrt(after.covariance[0])),
            ("sulfuric_acid", after.sulfuric_acid, np.sqrt(after.covariance[2])),
            ("chloride", after.chloride, self.task.chloride_standard_uncertainty * after.kept),
        )
        for name, held, uncertainty in values:
            low, high = self.task.limits(name)
            if held is None or high >= ANY:
                continue
            value, spread = (np.broadcast_to(number, far.shape)[far] for number in (held, uncertainty))
            wide = np.maximum(spread, 0.002 * high)
            below = log_ndtr((value - low) / wide) if low > 0 and name != "chloride" else 0.0
            total = total + below + log_ndtr((high - value) / wide)
        return total

    def merit(self, amounts: FloatArray, after: Outcome) -> FloatArray:
        """Return what is to be small (n,): distance from the aim in widths of the window, then cost; or cost alone.

        amounts: (4, n) [L, g, g, g]; after: the bath that each leads to.
        """
        task = self.task
        cost = task.stock.share_of_much(amounts, task.volume)
        water = amounts[1] / (1000 * task.volume)
        if task.aim == "least":
            return np.asarray(cost + 1e-5 * water)
        total = np.zeros_like(np.asarray(after.volume))
        for name in self.moved:
            low, high = task.limits(name)
            if task.measured(name) and high < ANY:
                total = total + ((getattr(after, name) - getattr(task, f"aim_{name}")) / (high - low)) ** 2
        things = np.sum(amounts > 0, axis=0)
        return np.asarray(total + EFFORT * (things + cost + water))

    # --- The search -------------------------------------------------------------------------------

    def _narrow(self, wish: str) -> tuple[FloatArray, float, float]:
        """Return the best amounts (4,) of the box, their score and their margin: for "margin", "out" or "merit"."""
        near = self.near if wish == "out" else None
        return (self._along_the_limits(self._point_of(near), wish) if near else None) or self._by_grid(wish)

    def _by_grid(self, wish: str) -> tuple[FloatArray, float, float]:
        """Return what `_narrow` does, from no point."""
        free = self._free()
        sizes = np.where(free, np.where(np.sum(free) > 3, 7, 9), 1)
        center, width = self._middle(), np.where(free, 1.0, 0.0)
        best = (np.zeros(4), -np.inf, -np.inf)
        still = 0
        for _ in range(ROUNDS):
            points = _grid(center, width, sizes)
            amounts = self.amounts(points)
            after, margin = self.judged(amounts)
            score = np.where(margin >= 0, self._score(wish, amounts, after), margin - MISSED)
            at = int(np.argmax(score))
            gained = score[at] - best[1]
            if gained > 0:
                best, center = (amounts[:, at], float(score[at]), float(margin[at])), points[:, at]
            still = 0 if gained > STILL * abs(best[2]) else still + 1
            is_there = best[2] >= 0
            if (is_there and wish == "margin") or (still > 1 and not is_there):
                break
            width, sizes = width * SHRINK, np.minimum(sizes, 5)
        leads_on = best[2] > -0.1 * HAIR if wish == "out" else self.in_slivers and -A_SLIVER < best[2] < 0
        return (self._along_the_limits(center, wish) if leads_on else None) or best

    def _along_the_limits(self, start: FloatArray, wish: str) -> tuple[FloatArray, float, float] | None:
        """Return amounts (4,) that keep every limit, with score and margin as `_narrow`, sought from a point (4,).

        The slopes of the margins lead on where a grid stays behind: for "out" to the least taken out, which lies where
        limits meet, else to what two limits leave between them, both mostly askew to the grid's axes.
        """
        from scipy.optimize import minimize  # not every search comes to this

        axes, to_out = np.flatnonzero(self._free()), wish == "out"

        @cache
        def around(*moved: float) -> FloatArray:
            """Return how far limits (k) are kept beyond the last number, here and a step along each: (k, free + 2)."""
            if around.cache_info().misses > MOST_ASKED:
                raise _Lost
            steps = np.array(moved)[:, None] + A_STEP * np.eye(len(moved), len(moved) + 1, 1)
            points = np.repeat(start[:, None], steps.shape[1], axis=1)
            points[axes] = steps[:-1]
            kept: FloatArray = np.array(self._margins(self.amounts(points))[1]) - steps[-1]
            return kept

        def margins(moved: FloatArray) -> FloatArray:
            return around(*moved)[:, 0]

        def slopes(moved: FloatArray) -> FloatArray:
            found = around(*moved)
            return np.asarray((found[:, 1:] - found[:, :1]) / A_STEP)

        goal = np.append(axes == 0, 0.0) if to_out else np.append(np.zeros(len(axes)), -1.0)
        try:
            found = minimize(
                lambda moved: goal @ moved,
                np.append(start[axes], 0.0 if to_out else -A_SLIVER),
                jac=lambda _: goal,
                bounds=[*([(0.0, 1.0)] * len(axes)), (0.0, 0.0) if to_out else (-1.0, 1.0)],
                constraints={"type": "ineq", "fun": margins, "jac": slopes},
                method="SLSQP",
                options={"maxiter": MOST_LED},
            )
        except _Lost:
            return None
        point = start.copy()
        point[axes] = found.x[:-1]
        amounts = self.amounts(point[:, None])
        after, margin = self.judged(amounts)
        kept = float(margin[0])
        return (amounts[:, 0], float(self._score(wish, amounts, after)[0]), kept) if kept > -0.1 * HAIR else None

    def _score(self, wish: str, amounts: FloatArray, after: Outcome) -> FloatArray:
        if wish == "merit":
            return -self.merit(amounts, after)
        return -amounts[0] / self.task.volume if wish == "out" else np.zeros(amounts.shape[1])

    def _free(self) -> FloatArray:
        """Tell which of the four numbers may vary, (4,) of bool."""
        room = self.scope.most_volume > self.scope.least_volume
        return np.array([self.most[0] > 0 and not self.all_out, room, self.most[2] > 0, self.most[3] > 0])

    def _middle(self) -> FloatArray:
        """Return the middle of the box (4,); of what may not vary, where it stays."""
        return np.array([1.0 if self.all_out else 0.5, 0.5, 0.5, 0.5])

    def _wish(self) -> str:
        """Return what is sought: little taken out, where that may be and is not settled, else to be near the aim."""
        return "out" if self.most[0] > 0 and not self.all_out else "merit"

    def possible(self) -> bool:
        """Tell whether any amounts, not yet rounded, put the bath inside, or come within a hair of it."""
        if self._is_ruled_out():
            return False
        free = self._free()
        few = _grid(self._middle(), np.where(free, 1.0, 0.0), np.where(free, 3, 1))  # where much is possible, one is
        return bool(np.any(self.judged(self.amounts(few))[1] >= 0)) or self._inmost[2] > -0.1 * HAIR

    @cached_property
    def _inmost(self) -> tuple[FloatArray, float, float]:
        return self._narrow("margin")

    def _is_ruled_out(self) -> bool:
        """Tell whether copper sulfate or acid alone leaves nothing to search, or copper sulfate in the cold."""
        task, asked = self.task, {}
        kept = (task.volume - self.most[0]) / self.scope.most_volume  # no bath is thinned more
        filled = max(task.volume - self.most[0], self.scope.least_volume)  # nor is less in the tank once salts go in
        for at, name in enumerate(SALT_AND_ACID):
            (low, high), (held, spread) = task.limits(name), task.known.of(name)
            aside = ALMOST_SURE * kept * spread
            least, most = low + SURE_REACH * aside if low > 0 else 0.0, high - SURE_REACH * aside
            lacks = held * min(task.volume / filled, 1.0) + self.most_pure[at] / filled < least
            too_wide = low > 0 and high - low < 2 * SURE_REACH_BOTH * aside
            if task.measured(name) and (lacks or too_wide or kept * held > most):
                return True
            asked[name] = least, most
        if not (task.solubility_counts and task.measured("copper_sulfate")):
            return False
        least, most = asked["sulfuric_acid"]
        acids = np.linspace(least, min(most, HIGHEST_SULFURIC_ACID), ACIDS)
        return bool(asked["copper_sulfate"][0] > BETWEEN_ACIDS * np.max(self.ceiling(task.acid_in_the_cold(acids))))

    def run(self, roughly: bool = False) -> Amounts | None:
        """Return the best whole amounts, or None where no whole amounts put the bath inside.

        roughly: any that do, from well inside, which takes a fifth as long to find.
        """
        if self._is_ruled_out():
            return None
        start, score, margin = self._inmost if roughly else self._narrow(self._wish())
        if margin < -0.1 * HAIR:
            return None
        if roughly:
            lands = self._whole(start, 1.0, lands_only=True) or self._whole(start, 0.1, lands_only=True)
            return _amounts_of(lands[1]) if lands else None
        best = coarse = self._whole(start, 1.0)
        for begin in [coarse[1], start] if coarse else [start]:
            if best and self._is_near_enough(best[0], start[0], score):
                break
            best = min(filter(None, [best, self._whole(begin, 0.1)]), key=lambda found: found[0], default=None)
        if best is None:
            return None
        return self._by_the_jug(_amounts_of(self._without_trifles(*best)))

    def from_near(self, near: Amounts) -> Search:
        """Return the same search, begun from amounts that are known to land."""
        return Search(self.scope, self.all_out, self.in_slivers, near)

    def unrounded(self) -> Amounts:
        """Return the best amounts as they are before they are rounded."""
        return _amounts_of(self._narrow(self._wish())[0])

    def _is_near_enough(self, rank: tuple[float, float], least: float, score: float) -> bool:
        """Tell whether whole amounts are about as good as what was found before rounding: litres out or the merit."""
        if self._wish() == "out":
            fineness = 0.1 if self.task.aim == "least" else 1.0  # else what is nearest the aim is sought there anyway
            return bool(rank[0] < least + rounded_to(self.task, fineness)[0])
        return bool(rank[1] < -score * (1 + NEAR_ENOUGH) + 1e-6)

    def nearest_the_aim(self, found: Amounts) -> Amounts:
        """Return what is best of all that takes as much out: the least lies in a corner, which may be far from the aim.

        Where that is near the aim already, it is kept: to seek anew takes as long as what found it.
        """
        if found.take_out == 0 or (self.task.aim != "least" and self._merit_of(found) < IS_NEAR):
            return found
        there = Search(replace(self.scope, most_out=found.take_out), all_out=True).run()
        return min(filter(None, [found, there]), key=self._merit_of)

    def _merit_of(self, found: Amounts) -> float:
        amounts = np.array([[found.take_out], [found.water], [found.crystals], [found.acid]])
        return float(self.merit(amounts, self.judged(amounts)[0])[0])

    def _without_trifles(self, rank: tuple[float, float], amounts: FloatArray) -> FloatArray:
        """Return whole amounts (4,) without what is too little to be worth a step, where that can be."""
        worst = rank[0], self._hardly_worse_than(rank[1])
        for trifle in np.flatnonzero((amounts > 0) & (amounts <= TRIFLE * rounded_to(self.task, 0.1))).tolist():
            found = self._whole(amounts, 0.1, without=trifle) if self._may_do_without(trifle, amounts[0]) else None
            if found and found[0] <= worst:
                amounts = found[1]
        return amounts

    def _hardly_worse_than(self, merit: float) -> float:
        """Return up to which merit trifles are left out: to be a little nearer the aim is worth no step."""
        by_cost = merit * (1 + NEAR_ENOUGH)
        return by_cost if self.task.aim == "least" else max(by_cost, (merit**0.5 + WORTH_A_STEP) ** 2)

    def _may_do_without(self, trifle: int, take_out: float) -> bool:
        """Tell whether the bath may be reached without an amount, by its place, taking no more out [L] than before.

        Where it may not, whole amounts would walk on towards it for long. Water follows from the rest: it is not told.
        """
        if AMOUNTS[trifle] == "water":
            return True
        stays = AMOUNTS[trifle] != "take_out"
        scope = replace(self.scope, added=self.scope.added - {AMOUNTS[trifle]}, most_out=take_out if stays else 0.0)
        return Search(scope, self.all_out and stays, self.in_slivers).possible()

    def _by_the_jug(self, found: Amounts) -> Amounts:
        """Return amounts that take out what a jug measures, where less was found; the rest is sought anew for it."""
        jug = _nice(A_JUG * self.task.volume)
        most = jug * ceil(found.take_out / jug - 1e-9)
        if self.all_out or not 0 < found.take_out < 2 * jug or most > self.scope.most_out:
            return found
        return Search(replace(self.scope, most_out=most), all_out=True).run() or found

    def _whole(
        self, start: FloatArray, fineness: float, without: int | None = None, lands_only: bool = False
    ) -> tuple[tuple[float, float], FloatArray] | None:
        """Return the rank and the best whole amounts (4,) reached from a point by moves of all amounts together.

        without: the place of an amount that is left out. lands_only: the first that keep every limit will do.
        """
        steps = rounded_to(self.task, fineness)
        if self.all_out:
            steps[0] = self.most[0]
        most = np.floor(self.most / steps + 1e-9) * (np.arange(len(steps)) != without)
        here = np.clip(np.round(start / steps), 0.0, most)
        best: tuple[float, ...] = (np.inf, np.inf, np.inf)  # what is missed, litres out, merit
        for stride in STRIDES:
            moves, last = stride * self._moves(), np.zeros(len(here))
            for _ in range(MOST_WALKS):
                further = np.outer(last, AHEAD)  # along a limit, a step is followed by many alike
                wholes = np.clip(here[:, None] + np.hstack([moves, further]), 0.0, most[:, None])
                amounts = wholes * steps[:, None]
                out = np.round(amounts[0] * (not self.all_out), 9)
                if best[0] == 0:  # once no limit is missed, taking more out is never better
                    no_more = out <= best[1]
                    wholes, amounts, out = wholes[:, no_more], amounts[:, no_more], out[no_more]
                after, margin = self.judged(amounts)
                missed, merit = np.where(margin >= 0, 0.0, -margin), self.merit(amounts, after)
                at = int(np.lexsort((merit, out, missed))[0])
                rank = (float(missed[at]), float(out[at]), float(merit[at]))
                if rank >= best:
                    break
                best, last, here = rank, wholes[:, at] - here, wholes[:, at]
                if lands_only and best[0] == 0:
                    return (best[1], best[2]), here * steps
        return ((best[1], best[2]), here * steps) if best[0] == 0 else None

    def _moves(self) -> FloatArray:
        """Return all moves (4, n) of the amounts that may move, by up to two steps each."""
        may_move = self.most > (np.inf if self.all_out else 0.0, 0.0, 0.0, 0.0)
        return np.array(list(itertools.product(*(range(-2, 3) if may else (0,) for may in may_move)))).T


class _Lost(Exception):
    """More points were asked for than a way along the limits is worth."""


def _amounts_of(amounts: FloatArray) -> Amounts:
    """Return amounts (4,) [L, g, g, g] as they are told."""
    return Amounts(*amounts.tolist())


def _grid(center: FloatArray, width: FloatArray, sizes: NDArray[np.intp]) -> FloatArray:
    """Return the points (4, n) of a grid in the unit box: where its middle is, how wide it is and how many a side."""
    points = center[:, None] + width[:, None] * _about_zero(tuple(sizes.tolist()))
    return np.minimum(np.maximum(points, 0.0), 1.0)


@lru_cache(maxsize=64)  # a handful of sizes come again in each search
def _about_zero(sizes: tuple[int, ...]) -> FloatArray:
    """Return the points (4, n) of a grid one wide about zero, of so many a side; a single one lies at zero."""
    axes = [np.linspace(-0.5, 0.5, size) if size > 1 else np.zeros(1) for size in sizes]
    return np.array(np.meshgrid(*axes, indexing="ij")).reshape(len(sizes), -1)


def to_be_moved(task: Task) -> frozenset[str]:
    """Return which of copper sulfate and acid are not inside once a low level has been made up with water.

    What is inside then is not moved just to reach the middle.
    """
    missing = min(task.usual_volume, task.most_volume) - task.volume if task.level_is_low else 0.0
    water = max(missing, 0.0) * 1000 * WATER_DENSITY
    after = outcome(task, [0.0, water, 0.0, 0.0, 0.0], True)
    spreads = {name: float(after.covariance[2 * at]) ** 0.5 for at, name in enumerate(SALT_AND_ACID)}
    return frozenset(
        name
        for name in SALT_AND_ACID
        if task.measured(name) and judge(getattr(after, name), spreads[name], task.verdicts[name].limits).state != "in"
    )


def rounded_to(task: Task, fineness: float) -> FloatArray:
    """Return what litres out and grams of water, crystals and acid are rounded to (4,) [L, g, g, g]: about 0.1 %."""
    water = max(_nice(2 * task.volume * fineness), 1.0)
    crystals = max(_nice(0.1 * task.volume * fineness), task.weighed_to)
    acid = max(_nice(0.05 * task.volume * fineness), 0.1) * task.stock.acid_density
    return np.array([water / 1000, water * WATER_DENSITY, crystals, acid])


def _nice(value: float) -> float:
    """Return the largest 1, 2 or 5 times a power of ten that is not above a value."""
    power = 10.0 ** floor(log10(value))
    return max(factor * power for factor in (1.0, 2.0, 5.0) if factor * power <= value * (1 + 1e-9))
