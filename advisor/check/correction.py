"""What to take out, add or thin so that the bath ends inside its working window, and how probable that is.

Four amounts are sought: litres of bath to take out, grams of water, of crystals and of acid. What they lead to is told
by `mass_balance`, how they are found by `search`. In order: inside the window with 95 % probability; no more bath taken
out than that needs; the level made up, and not overfilled; as few things added as will do; as near the aim as that
allows; then cheapest.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import astuple, dataclass, replace
from functools import cache, cached_property
from math import ceil, floor, inf, isclose, log10, sqrt
from typing import NamedTuple

import numpy as np

from advisor.basis.components import NAMES, SALT_AND_ACID, UNITS
from advisor.check.mass_balance import After, Amounts, Task, chloride_for, forward
from advisor.check.search import LEVEL_TOLERANCE, Scope, Search, rounded_to, to_be_moved
from advisor.check.window import EVEN, SURE, SURE_REACH, Limits, judge
from advisor.sheet import ROOM
from advisor.solution.density import WATER_DENSITY
from advisor.solution.solubility import HIGHEST_TEMPERATURE, to_keep_above
from advisor.words.lines import Amount, Line, half_width, joined, line
from advisor.words.sections import percent
from advisor.words.states import PlanState

# Standard uncertainties further in at which 95 % of second measurings call a bath inside (computed): of a bath measured
# again as well as it is known, and of one whose readings had to be repeated and are taken once afterwards.
AGAIN, AGAIN_ONCE = 2.4, 3.5
PARTS = (1.0, 0.75, 0.5, 0.25)  # of that margin, tried one after the other (judgement)
SMALL_SHARE, LARGEST_SHARE = 0.1, 0.95  # of the bath, to be taken out (judgement)
FIRM_SHARE = 0.05  # of the bath, to be taken out beyond need (judgement)
THE_COLD = "the cold"  # among the limits that may stand in the way
ON_HAND = {"the crystals on hand": "crystals_on_hand", "the acid on hand": "acid_on_hand"}  # the same, of the stock
LACKING_PARTS = 100  # of what lacks on hand, as which the least of it that helps is told (judgement)
AT_ANY_WARMTH = "what stays dissolved"  # its place where no warmth helps


@dataclass(frozen=True)
class Bind:
    """A limit that stands in the way.

    lifting: how far it must be lifted; probability_in: how surely the bath then ends inside; instead: the words for
    "if it were lifted"; lands: what ends inside then, "it" being the bath.
    keep_above: of the cold, the whole degrees [degC] at which it no longer does.
    """

    limit: str
    lifting: str
    probability_in: float
    instead: str = "without that"
    keep_above: float | None = None
    lands: str = "it"


@dataclass(frozen=True)
class Plan:
    """A correction: what is moved, and the bath afterwards.

    why: what the state rests on in this bath, in sentences; briefly: the same for a glance, where that is long.
    held_back: the correction that the readings would call for, where the state does not let it be done yet.
    keep_above: the temperature [degC] that this bath wants, where it is too cold for it. repeat, asks, settled_by: the
    readings (positions), the questions (fields of the bath) and the kinds of reading that it waits for.
    """

    state: PlanState
    amounts: Amounts
    after: After
    cost: float | None
    blocked_by: str | None = None
    binds: tuple[Bind, ...] = ()
    why: tuple[str, ...] = ()
    briefly: tuple[str, ...] = ()
    held_back: Plan | None = None
    keep_above: float | None = None
    repeat: tuple[int, ...] = ()
    asks: tuple[str, ...] = ()
    settled_by: tuple[str, ...] = ()

    @property
    def intended(self) -> Plan:
        """The correction that the readings call for, whether or not it may be done yet."""
        return self.held_back or self

    @property
    def warm_enough(self) -> Amount | None:
        """The warmth above which the cold is no longer in the way; None where it is not, or where no warmth will do."""
        degrees = next((bind.keep_above for bind in self.binds if bind.keep_above is not None), None)
        return None if degrees is None else Amount(degrees, "°C", is_least=True)

    @property
    def warmth_asked(self) -> float | None:
        """The temperature [degC] to keep the bath above where that is all it takes; None where it is not."""
        if self.state is PlanState.NOT_POSSIBLE:
            return self.binds[0].keep_above if len(self.binds) == 1 else None
        return self.keep_above

    @property
    def may_lie_on_the_floor(self) -> bool:
        """Tell whether crystals may lie there, so that all is measured again before any salt goes in."""
        return self.state is PlanState.FIRST_PART and bool(self.repeat)


@dataclass(frozen=True)
class Correction:
    """The correction of a bath, worked out as far as it is asked for.

    saying_why: with what stands in the way of it, which takes longer to find than that something does.
    """

    task: Task
    saying_why: bool = True

    @cached_property
    def plan(self) -> Plan:
        """The correction itself, or as much of it as can be done."""
        task = self.task
        if self._nothing_to_do:
            return plan_of(task, PlanState.NONE_NEEDED, Amounts())
        found = _finished(self._reached) if self._reached else _in_a_sliver(self._scopes)
        if found:
            return plan_of(task, PlanState.POSSIBLE, found)
        exact = _known_exactly(task)
        if_known = _reached(_Scopes(exact), roughly=True)
        blocked = _blocked(task, exact, self.saying_why) if if_known is None else None
        if blocked:
            return blocked
        plan = plan_of(task, PlanState.FIRST_PART, _part_dose(task))
        if not self.saying_why:
            return plan
        freed = _in_the_way(task, but="the tank")  # a bigger bath is no cure for not knowing
        if freed:
            return replace(plan, binds=_told(task, freed))
        if if_known is None:
            return plan
        return replace(plan, binds=_what_is_known(task, forward(exact, _finished(if_known.at_its_best))))

    @property
    def takes_much_out(self) -> bool:
        """Whether more than a tenth of the bath goes on the word of the readings, not of the brim."""
        if self._nothing_to_do or not self._reached:
            return False  # what does not land takes nothing out
        return self._reached.amounts.take_out > _small(self.task) * (1 + 1e-9)

    @cached_property
    def _nothing_to_do(self) -> bool:
        task = self.task
        within_tank = task.least_volume <= task.volume <= task.most_volume
        return not any(task.needs(component) for component in task.verdicts) and not task.level_is_low and within_tank

    @cached_property
    def _scopes(self) -> _Scopes:
        return _Scopes(self.task)

    @cached_property
    def _reached(self) -> _Reached | None:
        return _reached(self._scopes)


def correct(task: Task, saying_why: bool = True) -> Plan:
    """Return the correction of a bath. saying_why: see `Correction`."""
    return Correction(task, saying_why).plan


def _blocked(task: Task, exact: Task, saying_why: bool) -> Plan | None:
    """Return the plan of a bath that could not be corrected even if it were known exactly; None where that is open.

    It is open where water would do, if it did not also thin copper sulfate or acid that nobody has measured.
    """
    of_exact = _in_the_way(exact) if saying_why or not task.may_thin else None
    if not of_exact and not task.may_thin and _reached(_Scopes(replace(exact, thins_unknown=True)), roughly=True):
        return None
    nothing = Plan(PlanState.NOT_POSSIBLE, Amounts(), forward(task, Amounts()), None)
    if not saying_why:
        return nothing
    binds = _both_stop_at(task, exact, of_exact) if of_exact else ()
    return replace(nothing, blocked_by=_said(binds) if binds else _several(task), binds=binds)


def _both_stop_at(task: Task, exact: Task, of_exact: _Freed) -> tuple[Bind, ...]:
    """Return how far the limits must be lifted that stop a bath even if it were known exactly.

    That follows from what is known of it, not from a bath known exactly, where both stop at the same limits.
    """
    of_known = _freed(task, of_exact.names)
    binds = _told(task, of_known) if of_known else ()
    return binds if tuple(bind.limit for bind in binds) == of_exact.names else _told(exact, of_exact)


def _said(binds: Sequence[Bind]) -> str:
    """Say which limits stand in the way; of one alone also where lifting it leads."""
    said = [line("{limit}: {lifting}", limit=bind.limit, lifting=bind.lifting) for bind in binds]
    if len(binds) == 1:
        instead, sure = binds[0].instead, percent(binds[0].probability_in)
        return line("{limit} ({instead} it would land inside, {sure} sure)", limit=said[0], instead=instead, sure=sure)
    return joined("; and ", said)


def plan_of(task: Task, state: PlanState, amounts: Amounts) -> Plan:
    """Return the plan that moves these amounts."""
    return Plan(state, amounts, forward(task, amounts), task.stock.cost(amounts.crystals, amounts.acid))


def _with_chloride(task: Task, amounts: Amounts) -> Amounts:
    """Add what chloride falls short, once the rest is settled: to the middle of its limits, or as little as will do."""
    low, high = task.limits("chloride")
    after = forward(task, amounts)
    if after.chloride is None or low <= 0 or (not task.needs("chloride") and _fits(task, after)):
        return amounts
    goals = np.linspace(low, (low + high) / 2, 20 if task.aim == "least" else 2)[1:]
    # A milligram may decide, where the rest is at its limit.
    for goal, whole in itertools.product(goals, (floor, ceil)):
        more = replace(amounts, chloride=whole(float(chloride_for(task, goal, after.chloride, after.volume))))
        if _fits(task, forward(task, more)):
            break
    return more


def _fits(task: Task, after: After) -> bool:
    """Tell whether a bath is surely inside its window, the tank and what stays dissolved in the cold.

    The search counted the water that chloride comes with for the middle of its limits; with less, copper is higher.
    """
    counts = task.solubility_counts and task.measured("copper_sulfate")
    dissolved = not counts or after.copper_sulfate <= task.stays_dissolved(after.sulfuric_acid)
    in_tank = task.least_volume <= after.volume <= task.most_volume
    return after.probability_in >= SURE and dissolved and in_tank


class _Reached(NamedTuple):
    """The search that is the first to put a bath inside in whole amounts, and those, before a plan is made of them."""

    search: Search
    amounts: Amounts

    @property
    def at_its_best(self) -> _Reached:
        """The same with the best amounts, where it was only shown that there are any."""
        return _Reached(self.search, self._from_here.run() or self.amounts)

    @property
    def before_rounding(self) -> Amounts:
        """The best amounts as they are before they are rounded."""
        return self._from_here.unrounded()

    @property
    def _from_here(self) -> Search:
        return self.search.from_near(self.amounts)


def _finished(reached: _Reached) -> Amounts:
    """Return the amounts of a plan: at the usual level, firmly inside, and with the chloride that falls short."""
    scope, task = reached.search.scope, reached.search.task
    marked, amounts = _to_the_mark(task, scope, reached.amounts)
    firmly, found = _firmly(marked, _movable(task), amounts)
    kept_in = _kept_in(marked, found)
    return _with_chloride(task, kept_in if kept_in != found else Search(firmly).nearest_the_aim(found))


def _may_be_reached(scopes: _Scopes) -> bool:
    """Tell whether any amounts, not yet rounded, put the bath inside."""
    return Search(scopes.widest).possible() or Search(next(iter(scopes))).possible()


def _reached(scopes: _Scopes, roughly: bool = False) -> _Reached | None:
    """Return where whole amounts put the bath inside; None where there is no such place. roughly: see `Search.run`."""
    for number, scope in enumerate(scopes):
        if number == 1 and not Search(scopes.widest).possible():  # most need no more than the first
            return None
        of_all = Search(scope)
        if not of_all.possible():
            continue
        for added in _additions(scopes.task):
            search = of_all if added == scope.added else Search(replace(scope, added=added))
            found = search.run(roughly)
            if found:
                return _Reached(search, found)
    return None


def _in_a_sliver(scopes: _Scopes) -> Amounts | None:
    """Return whole amounts that put the bath where two limits leave so little between them that a grid passes it by.

    No bath is taken out to end in so narrow a place.
    """
    for scope in scopes:
        if scope.most_out > 0 or not Search(scope, in_slivers=True).possible():
            continue
        for added in _additions(scopes.task):
            found = Search(replace(scope, added=added), in_slivers=True).run()
            if found:
                return _with_chloride(scopes.task, found)
    return None


def _kept_in(scope: Scope, found: Amounts) -> Amounts:
    """Return amounts that take nothing out, where so little would come out that the level would not show it.

    The bath may then end higher by as little; not where the person said how much the tank holds.
    """
    task = scope.task
    if task.has_room or not 0 < found.take_out <= task.unread_litres:
        return found
    fuller = replace(scope, most_out=0.0, most_volume=min(scope.most_volume + task.unread_litres, task.most_volume))
    search = Search(fuller)
    return (search.run() if search.possible() else None) or found


class _Scopes:
    """What a plan may use, the most wanted first."""

    def __init__(self, task: Task) -> None:
        """Take all that may be added as what is added."""
        self.task, self.everything = task, _movable(task)

    def __iter__(self) -> Iterator[Scope]:
        """Yield each scope; much bath goes in the last ones only."""
        task = self.task
        for (out, roof), least in itertools.product(_outs(task), _levels(task)):
            yield Scope(task, self.everything, least, roof, out)
        if self.may_be_replaced:
            for roof, least in itertools.product(_roofs(task)[-1:] if task.has_room else _roofs(task), _levels(task)):
                yield Scope(task, self.everything, least, roof, LARGEST_SHARE * task.volume)

    def at(self, degrees: int) -> _Scopes:
        """Return the scopes of this bath where it stands no colder than this [degC]: as much may be replaced."""
        there = _Scopes(replace(self.task, coldest=float(degrees)))
        there.may_be_replaced = self.may_be_replaced
        return there

    @property
    def widest(self) -> Scope:
        """The union of all scopes: where it reaches nothing, none of them does."""
        task = self.task
        most_out = LARGEST_SHARE * task.volume if self.may_be_replaced else _small(task)
        return Scope(task, self.everything, task.least_volume, task.most_volume, most_out)

    @cached_property
    def may_be_replaced(self) -> bool:
        """Whether much bath may go: it is well known, and something is high, or this tank has no room to mend it.

        The cold is no reason: who keeps the bath warmer need not thin its acid away to make room for copper.
        """
        task = self.task
        if not task.well_known or any(verdict.state == "high" for verdict in task.verdicts.values()):
            return task.well_known
        warm = replace(_known_exactly(task), solubility_counts=False)
        return not Search(Scope(warm, self.everything, task.least_volume, task.most_volume, 0.0)).possible()


def _firmly(scope: Scope, everything: frozenset[str], found: Amounts) -> tuple[Scope, Amounts]:
    """Return amounts that take a little more out, so that a bath measured again is found inside, and their scope.

    Taking out as little as will do ends at the very edge, where every second bath would be found outside again and all
    the work be done twice. So, only where bath has to go anyway, at most a twentieth more is taken out, without passing
    the tenth that a correction may take out without asking; the margin is as much as that allows.
    """
    task, out = scope.task, found.take_out
    if out == 0 or task.aim == "least":
        return scope, found
    small = _small(task)
    most = min(out + FIRM_SHARE * task.volume, small if out <= small else LARGEST_SHARE * task.volume)
    margin = AGAIN if out <= small else AGAIN_ONCE
    inside = _drawn_in(task, margin)
    if inside.verdicts == task.verdicts or _fits(inside, forward(inside, found)):
        return scope, found

    def search(part: float, added: frozenset[str]) -> Search:
        return Search(replace(scope, task=_drawn_in(task, margin, part), most_out=most, added=added), near=found)

    if not search(PARTS[-1], everything).possible():  # then no larger part is
        return scope, found
    for part, added in itertools.product(PARTS, dict.fromkeys((scope.added, everything))):
        firmly = search(part, added)
        if firmly.possible() and (firm := firmly.run()):
            return firmly.scope, firm
    return scope, found


def _small(task: Task) -> float:
    """Return how much bath a correction may take out without asking [L]: a tenth, beside what stands over the brim."""
    return SMALL_SHARE * task.volume + task.over_the_brim


def _drawn_in(task: Task, margin: float, part: float = 1.0) -> Task:
    """Return a task with the limits of copper sulfate and acid drawn in by a part of `margin` standard uncertainties.

    What is known so little that nothing would be left between its limits keeps them.
    """

    def drawn(name: str, limits: Limits | None) -> Limits | None:
        if limits is None or name not in SALT_AND_ACID or not task.measured(name):
            return limits
        spread, from_below = margin * task.known.standard_uncertainty(name), float(limits[0] > 0)
        leaves_some = limits[0] + from_below * spread < limits[1] - spread
        inwards = part * spread if leaves_some else 0.0
        return limits[0] + from_below * inwards, limits[1] - inwards

    verdicts = {name: replace(known, limits=drawn(name, known.limits)) for name, known in task.verdicts.items()}
    return replace(task, verdicts=verdicts)


def _to_the_mark(task: Task, scope: Scope, found: Amounts) -> tuple[Scope, Amounts]:
    """Return amounts that end at the usual level instead, where water goes in and that can be, and their scope."""
    near = LEVEL_TOLERANCE * task.usual_volume
    least, most = max(task.usual_volume - near, scope.least_volume), min(task.usual_volume + near, scope.most_volume)
    if found.water == 0 or least > most:
        return scope, found
    at_level = replace(scope, least_volume=least, most_volume=most, most_out=found.take_out)
    if abs(forward(task, found).volume - task.usual_volume) <= near:
        return at_level, found
    marked = Search(at_level).run()
    return (at_level, marked) if marked else (scope, found)


def _outs(task: Task) -> list[tuple[float, float]]:
    """Return the litres that may be taken out on the side and those that the bath may reach, the most wanted first.

    Above the usual level only where nothing else will do, or, where the person named the room of the tank, before bath
    is taken out. More than a tenth is taken out only where something is high, or where a bath known exactly would need
    it, and the bath is well known: bath is not replaced merely because it is not known.
    """
    roofs, small = _roofs(task), _small(task)
    if task.has_room:
        return [*((0.0, high) for high in roofs), (small, task.most_volume)]
    return [(out, high) for high in roofs for out in (0.0, small)]


def _roofs(task: Task) -> list[float]:
    """Return the litres that a bath may reach: some above the usual level, and all that the tank holds.

    Where it may not come down to the usual level, what it stands at now takes the place of that.
    """
    level = task.usual_volume if task.usual_volume >= task.least_volume else max(task.volume, task.least_volume)
    roof = min(level * (1 + ROOM), task.most_volume)
    return [roof] if isclose(roof, task.most_volume) else [roof, task.most_volume]


def _levels(task: Task) -> list[float]:
    """Return the least litres afterwards, the most wanted first: a low level is made up where possible."""
    usual = min(task.usual_volume, task.most_volume)
    if not task.level_is_low:
        return [task.least_volume]
    return [max(task.least_volume, usual * (1 - LEVEL_TOLERANCE / 10)), task.least_volume]


def _additions(task: Task) -> list[frozenset[str]]:
    """Return what may be added: only what is not inside already, and the rest where nothing else helps.

    Where cost alone decides, everything.
    """
    movable, needed = _movable(task), to_be_moved(task)
    if task.aim == "least" or needed == movable:
        return [movable]
    one_more = [needed | {name} for name in SALT_AND_ACID if name in movable - needed]
    return list(dict.fromkeys([needed, *one_more, movable]))


def _movable(task: Task) -> frozenset[str]:
    """Return what may be added at all: what is not measured is not moved."""
    return frozenset(name for name in SALT_AND_ACID if task.measured(name))


def _known_exactly(task: Task) -> Task:
    """Return the task as it would be if what is estimated were known to half a percent of the upper limits."""
    nearly = {name: 0.005 * (verdict.limits[1] if verdict.limits else 1.0) for name, verdict in task.verdicts.items()}
    verdicts = {
        name: judge(getattr(task, name), nearly[name], verdict.limits) if task.measured(name) else verdict
        for name, verdict in task.verdicts.items()
    }
    variances = zip(task.known.names, np.diag(task.known.covariance), strict=True)
    covariance = np.diag([min(nearly.get(name, inf) ** 2, variance) for name, variance in variances])
    known = replace(task.known, covariance=covariance, volume_relative_uncertainty=0.0)
    return replace(task, known=known, verdicts=verdicts)


# --- Water alone ----------------------------------------------------------------------------------


def water_alone(task: Task) -> Amounts | None:
    """Return the least water that puts a bath inside and keeps it dissolved in the cold, or None where it does not."""
    for most in (task.usual_volume * (1 + ROOM), task.most_volume):
        found = Search(Scope(task, frozenset(), task.least_volume, min(most, task.most_volume), 0.0)).run()
        if found:
            return found
    return None


def thinned_for_the_cold(task: Task) -> After:
    """Return the bath thinned until it stays dissolved at the coldest it will stand, whatever the tank holds."""
    from scipy.optimize import brentq  # few baths are so cold

    def short(water: float) -> float:
        after = forward(task, Amounts(water=water))
        return task.stays_dissolved(after.sulfuric_acid) - after.copper_sulfate

    most = 20_000 * task.volume
    return forward(task, Amounts(water=brentq(short, 0.0, most) if short(0.0) < 0 < short(most) else 0.0))


def to_the_usual_level(task: Task) -> Amounts:
    """Return the water that brings a low level to the usual one, in whole grams; never more than the tank holds."""
    from scipy.optimize import brentq  # few levels are so low that water alone will do

    level = min(task.usual_volume, task.most_volume)
    water = brentq(lambda grams: forward(task, Amounts(water=grams)).volume - level, 0.0, 2000 * level)
    return Amounts(water=float(floor(water)))


# --- Where nothing reaches the window -------------------------------------------------------------


def _several(task: Task) -> str:
    return line(
        "more than two limits at once: tank {tank}, stock on hand and the coldest temperature {cold}; a new bath of "
        "part of the volume may do",
        tank=Amount(task.least_volume, "L", 2, upper=task.most_volume),
        cold=Amount(task.coldest, "°C"),
    )


def _lifted(task: Task) -> dict[str, tuple[dict[str, object], Callable[[Amounts, After], str]]]:
    """Return each limit that there is with what lifts it, and how far a plan without it goes."""
    stock = task.stock
    there = {
        "the crystals on hand": stock.crystals_on_hand < inf,
        "the acid on hand": stock.acid_on_hand < inf,
        THE_COLD: task.solubility_counts and task.measured("copper_sulfate"),
    }
    lifted: dict[str, tuple[dict[str, object], Callable[[Amounts, After], str]]] = {
        "the crystals on hand": (
            {"stock": replace(stock, crystals_on_hand=inf)},
            lambda amounts, _: _short_of(stock.crystals_on_hand, amounts.crystals, "g"),
        ),
        "the acid on hand": (
            {"stock": replace(stock, acid_on_hand=inf)},
            lambda amounts, _: _short_of(stock.acid_on_hand, amounts.acid / stock.acid_density, "mL"),
        ),
        THE_COLD: ({"solubility_counts": False}, lambda _, after: _kept_above(task, _warm_enough(task, after))),
        "the tank": (
            {"most_volume": 20 * task.volume, "least_volume": 0.01 * task.volume},
            lambda _, after: line(
                "{tank}, and {need} would be needed",
                tank=Amount(task.least_volume, "L", 2, upper=task.most_volume),
                need=Amount(after.volume, "L", 2),
            ),
        ),
    }
    return {name: lift for name, lift in lifted.items() if there.get(name, True)}


def _short_of(have: float, need: float, unit: str) -> str:
    """Say what to get, rounded up so that it is enough."""
    step = _two_digits(need - have)
    more = max(ceil((need - have) / step), 1) * step
    return line("{have}, get at least {more} more", have=Amount(have, unit), more=Amount(more, unit))


def _two_digits(amount: float) -> float:
    """Return the step [g or mL, whole] that leaves an amount two digits."""
    return 10.0 ** max(floor(log10(max(amount, 1.0))) - 1, 0)


class _Freed(NamedTuple):
    """Limits by name, the task once they are lifted, and where it then leads, roughly."""

    names: tuple[str, ...]
    task: Task
    reached: _Reached


def _in_the_way(task: Task, but: str = "") -> _Freed | None:
    """Return the limit that alone stands in the way, or the two that do together; None where two are not enough.

    Each is lifted and a plan sought again. but: a limit that is not lifted.
    """
    there = [name for name in _lifted(task) if name != but]
    together = itertools.chain.from_iterable(itertools.combinations(there, size) for size in (1, 2))
    return next((freed for names in together if (freed := _freed(task, names))), None)


def _freed(task: Task, names: tuple[str, ...]) -> _Freed | None:
    """Return what lifting these limits together leads to; None where it leads nowhere."""
    lifted = _lifted(task)
    free = replace(task, **_merged([lifted[name][0] for name in names]))  # type: ignore[arg-type]
    reached = _reached(_Scopes(free), roughly=True)
    return _Freed(names, free, reached) if reached else None


def _told(task: Task, freed: _Freed) -> tuple[Bind, ...]:
    """Return the limits that stand in the way with how far they must be lifted."""
    names = freed.names
    if names == (THE_COLD,):
        return (_cold(task, freed),)
    least = _with_the_least(task, freed).at_its_best
    at_least = set(names) <= ON_HAND.keys()  # what lands at all is told: a plan that is made firm takes longer to find
    amounts = _with_chloride(freed.task, least.amounts) if at_least else _finished(least)
    after = forward(freed.task, amounts)
    warm, lifted = {THE_COLD: _warm_enough(task, after)}, _lifted(task)
    alone = "with that" if names[0] in ON_HAND else "without that"
    instead = alone if len(names) == 1 else "without both limits"
    return tuple(
        Bind(name, lifted[name][1](amounts, after), after.probability_in, instead, warm.get(name)) for name in names
    )


def _with_the_least(task: Task, freed: _Freed) -> _Reached:
    """Return where a plan leads with as little more of the crystals and acid on hand as lands.

    No more bath goes for that than with plenty of both: who gets a little more keeps the bath.
    """
    scope, (_, _, crystals, acid, _) = freed.reached.search.scope, astuple(freed.reached.amounts)
    have, plenty = task.stock, {"crystals_on_hand": crystals, "acid_on_hand": acid / task.stock.acid_density}
    held = {ON_HAND[name]: getattr(have, ON_HAND[name]) for name in freed.names if name in ON_HAND}
    lacking = {name: max(plenty[name] - amount, 0.0) for name, amount in held.items()}
    if not lacking:
        return freed.reached
    steps = min(max(*lacking.values(), 1.0), LACKING_PARTS)

    def search(step: int) -> Search:
        more = {name: held[name] + lacks * step / steps for name, lacks in lacking.items()}
        stock = replace(freed.task.stock, **more)
        return Search(replace(scope, task=replace(freed.task, stock=stock)), in_slivers=True)

    least = _first_whole(lambda step: search(step).possible(), 0, ceil(steps))
    searches = map(search, (least, least + 1, least + 4))  # whole amounts miss, now and then, what is just in reach
    return next((_Reached(each, found) for each in searches if (found := each.run(roughly=True))), freed.reached)


def _cold(task: Task, freed: _Freed) -> Bind:
    """Return the cold as what stands in the way: the least whole degrees at which a plan lands, and how surely.

    freed: where the bath leads once the cold is no matter; that lands somewhere, and bounds the degrees.
    """

    at = cache(_Scopes(task).at)
    reached = cache(lambda degrees: _reached(at(degrees), roughly=True))
    warm = _warm_enough(task, forward(freed.task, freed.reached.before_rounding))
    most = max(floor(HIGHEST_TEMPERATURE) if warm is None else warm, floor(task.coldest) + 1)
    high = _first_whole(lambda degrees: _may_be_reached(at(degrees)), floor(task.coldest), most)
    if reached(high) is None and high < most:  # whole amounts miss, now and then, what is just in reach
        high += 1
        high = high if reached(high) else _first_whole(lambda degrees: reached(degrees) is not None, high, most)
    there = reached(high)
    search, amounts = (there or freed.reached).at_its_best  # as in `_told`: what lands at all
    lands = forward(task, _with_chloride(search.task, amounts)).probability_in
    if there is None and warm is None:
        return Bind(AT_ANY_WARMTH, _kept_above(task, None), lands)
    instead = line("at {warm} instead of {cold}", warm=Amount(high, "°C", is_least=True), cold=_exactly(task.coldest))
    return Bind(THE_COLD, _kept_above(task, high), lands, instead, keep_above=high)


def _first_whole(lands: Callable[[int], bool], low: int, high: int) -> int:
    """Return the least whole number above `low` at which something lands; `high` where it does not below."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if lands(middle) else (middle, high)
    return high


def _warm_enough(task: Task, after: After) -> int | None:
    """Return the whole degrees [degC] above which what a plan leads to stays dissolved, unknowns counted, if any."""
    return to_keep_above(after.copper_sulfate, float(task.acid_in_the_cold(after.sulfuric_acid)))


def _exactly(celsius: float) -> Amount:
    """Return a temperature [degC] with its decimals: 9.6 is no 10, where 10 would do."""
    return Amount(celsius, "°C", digits=3)


def _kept_above(task: Task, warm: int | None) -> Line:
    if warm is None:
        return line(
            "this window is too close to where crystals form at any warmth; choose a window with less copper or acid"
        )
    return line(
        "at {cold} this window is too close to where crystals form; keep the bath above {warm}, or choose a window "
        "with less copper",
        cold=_exactly(task.coldest),
        warm=Amount(warm, "°C", is_least=True),
    )


def _what_is_known(task: Task, if_known: After) -> tuple[Bind, ...]:
    """Return the uncertainty of the component that is known worst, as what stands in the way.

    if_known: where a plan would lead if the bath were known exactly.
    """
    widths = {
        name: task.known.standard_uncertainty(name) / (high - low)
        for name in SALT_AND_ACID
        for low, high in (task.limits(name),)
        if task.measured(name)
    }
    if not widths:
        return ()
    worst = max(widths, key=lambda name: widths[name])
    spread = half_width(task.known.standard_uncertainty(worst), UNITS[worst])
    lifting = line("known to ± {spread} only", spread=spread)
    lands = "it" if set(widths) == set(SALT_AND_ACID) else f"the {NAMES[worst]}"
    return (Bind(f"the uncertainty of the {NAMES[worst]}", lifting, if_known.probability_in, lands=lands),)


def _merged(changes: list[dict[str, object]]) -> dict[str, object]:
    """Return several changes to a task as one; two changes of the stock lift both amounts on hand."""
    merged = {name: value for change in changes for name, value in change.items()}
    stocks = [change["stock"] for change in changes if "stock" in change]
    if len(stocks) > 1:
        merged["stock"] = replace(stocks[0], crystals_on_hand=inf, acid_on_hand=inf)  # type: ignore[type-var]
    return merged


def _wanted_for_now(task: Task) -> dict[str, float]:
    """Return what copper sulfate and acid [g/L] may be moved to: with 95 % probability short of the far limit.

    What was not measured is not among them, nor what the readings leave open: nobody knows how much of it is missing,
    if any, and a reading settles that sooner than a dose.
    """
    wanted = {}
    for component, here, goal, variance in (
        ("copper_sulfate", task.copper_sulfate, task.aim_copper_sulfate, task.covariance[0]),
        ("sulfuric_acid", task.sulfuric_acid, task.aim_sulfuric_acid, task.covariance[2]),
    ):
        verdict, (low, high) = task.verdicts[component], task.limits(component)
        if verdict.state == "not measured" or (verdict.state == "unsure" and not task.determined(component)):
            continue
        reach = SURE_REACH * sqrt(variance)
        wanted[component] = here
        if task.needs(component) and (verdict.probability_low or 0.0) > EVEN:
            wanted[component] = max(here, min(goal, high - reach))
        elif task.needs(component) and (verdict.probability_high or 0.0) > EVEN:
            wanted[component] = min(here, max(goal, low + reach))
    return wanted


def _part_dose(task: Task) -> Amounts:
    """Return a first dose: with 95 % probability each component stays short of its far limit."""
    wanted = _wanted_for_now(task)
    here = {"copper_sulfate": task.copper_sulfate, "sulfuric_acid": task.sulfuric_acid}
    thinner = min((goal / here[name] if here[name] > 0 else 1.0 for name, goal in wanted.items()), default=1.0)
    most_volume = task.most_volume if task.may_thin else min(max(task.usual_volume, task.volume), task.most_volume)
    level = min(task.usual_volume, task.most_volume) if task.level_is_low else task.volume
    volume = min(max(task.volume / max(thinner, 0.1), level), most_volume) if thinner < 1 else level
    dilution = task.volume / max(volume, task.volume)
    stock = task.stock
    short = {name: max(goal - here[name] * dilution, 0.0) * volume for name, goal in wanted.items()}  # g
    salt = short.get("copper_sulfate", 0.0) / stock.crystals_pentahydrate
    acid = short.get("sulfuric_acid", 0.0) / stock.acid_strength
    exact = np.array(
        [
            0.0,
            max(volume - task.volume, 0.0) * 1000 * WATER_DENSITY,
            min(salt, stock.crystals_on_hand),
            min(acid, stock.acid_on_hand * stock.acid_density),
        ]
    )
    steps = rounded_to(task, 1.0)
    amounts = Amounts(*(float(value) for value in np.floor(exact / steps + 1e-9) * steps))
    return _within_tank(task, amounts)


def _within_tank(task: Task, amounts: Amounts) -> Amounts:
    """Scale a first dose down until the tank holds it and the crystals stay dissolved in the cold.

    Where they would not, the acid that makes up for the water may wait, as long as the acid surely stays inside; less
    than half of the water is then not worth pouring either.
    """
    least = task.limits("sulfuric_acid")[0] + SURE_REACH * sqrt(task.covariance[2])
    smaller_together = [(amounts.acid, share) for share in (1.0, 0.5, 0.25)]
    without_acid = [(0.0, share) for share in (1.0, 0.5)] if amounts.acid else []
    for acid, share in (*smaller_together, *without_acid):
        smaller = Amounts(0.0, *(share * value for value in (amounts.water, amounts.crystals, acid)))
        after = forward(task, smaller)
        only_water = smaller.crystals == smaller.acid == 0
        stays_dissolved = only_water or after.copper_sulfate <= task.stays_dissolved(after.sulfuric_acid)
        has_its_acid = acid == amounts.acid or after.sulfuric_acid >= least
        if after.volume <= task.most_volume and stays_dissolved and has_its_acid:
            return smaller
    return Amounts()
