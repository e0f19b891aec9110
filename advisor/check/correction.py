"""What to take out, add or thin so that the bath ends inside its working window, and how probable that is.

Four amounts are sought: litres of bath to take out, grams of water, of crystals and of acid. What they lead to is told
by `mass_balance`, how they are found by `search`. In order: inside the window with 95 % probability; no more bath taken
out than that needs; the level made up, and not overfilled; as few things added as will do; as near the aim as that
allows; then cheapest.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import inf, sqrt

import numpy as np

from advisor.check.mass_balance import After, Amounts, Task, forward
from advisor.check.search import LEVEL_TOLERANCE, MOVABLE, Scope, Search, steps_of
from advisor.check.window import SURE, judge
from advisor.solution.density import WATER_DENSITY
from advisor.solution.solubility import ceiling_at, ceiling_fraction, crystallises_below
from advisor.words.lines import Amount, joined, line

SMALL_SHARE, LARGEST_SHARE = 0.1, 0.95  # of the bath, to be taken out
ROOM = 0.03  # no plan ends above the usual level by more, unless nothing else will do


@dataclass(frozen=True)
class Bind:
    """A limit that stands in the way. lifting: how far it must be lifted; probability_in: what that leads to."""

    limit: str
    lifting: str
    probability_in: float


@dataclass(frozen=True)
class Plan:
    """A correction. state: "none needed", "possible", "first part" or "not possible"."""

    state: str
    amounts: Amounts
    after: After
    cost: float | None
    blocked_by: str | None = None
    binds: tuple[Bind, ...] = ()


def correct(task: Task) -> Plan:
    """Return the correction of a bath."""
    here = forward(task, Amounts())
    level_low = task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE)
    within_tank = task.least_volume <= task.volume <= task.most_volume
    if not any(task.needs(component) for component in task.verdicts) and not level_low and within_tank:
        return Plan("none needed", Amounts(), here, task.stock.cost(0.0, 0.0))
    found = _best(task)
    if found:
        return _plan(task, "possible", found)
    exact = _known_exactly(task)
    if _best(exact) is None:
        binds = _binds(exact)
        if binds or task.may_thin or _best(replace(exact, thins_unknown=True)) is None:
            said = [line("{limit}: {lifting}", limit=bind.limit, lifting=bind.lifting) for bind in binds]
            blocked = joined(" and ", said) if binds else _several(task)
            return Plan("not possible", Amounts(), here, None, blocked, binds)
    return replace(_plan(task, "first part", _part_dose(task)), binds=_binds(task))


def _plan(task: Task, state: str, amounts: Amounts) -> Plan:
    return Plan(state, amounts, forward(task, amounts), task.stock.cost(amounts.crystals, amounts.acid))


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


def _best(task: Task) -> Amounts | None:
    """Return the best whole amounts, or None where nothing puts the bath inside."""
    for scope in _scopes(task):
        found = Search(scope).run()
        if found:
            return _with_chloride(task, found)
    return None


def _scopes(task: Task) -> Iterator[Scope]:
    """Yield what a plan may use, from what is wished most to what is given up last.

    Given up one after the other: taking nothing out, room in the tank, the level, adding as few things as will do.
    Where nothing is high and a bath known exactly would need nothing taken out, or where the bath is hardly known, at
    most a tenth may go: bath is not replaced because it is merely not known.
    """
    everything = frozenset(name for name in MOVABLE if task.measured(name))
    for (out, high), keeps_level in itertools.product(_shares_and_roofs(task, everything), (True, False)):
        if not keeps_level and task.volume >= _full(task):
            continue
        least = _lowest_level(task, keeps_level)
        widest = Scope(task, everything, least, max(high, least), out * task.volume)
        if Search(widest).possible():
            for added in _subsets(task):
                yield replace(widest, added=added)


def _shares_and_roofs(task: Task, everything: frozenset[str]) -> list[tuple[float, float]]:
    """Return the share of the bath that may go and the volume [L] that may be reached, most wished first."""
    roof = max(min(task.usual_volume * (1 + ROOM), task.most_volume), task.least_volume)
    roofs = [roof] if roof >= task.most_volume else [roof, task.most_volume]
    allowed = [(0.0, roof), (SMALL_SHARE, roof), *((out, high) for high in roofs[1:] for out in (0.0, SMALL_SHARE))]
    if task.well_known and _replacing_is_called_for(task, everything):
        allowed += [(LARGEST_SHARE, high) for high in roofs]
    return allowed


def _full(task: Task) -> float:
    """Return the usual level, as far as the tank holds it [L]."""
    return min(task.usual_volume, task.most_volume)


def _lowest_level(task: Task, keeps_level: bool) -> float:
    """Return the least volume [L] that a plan may end with: a full tank, or as full as it is, where it keeps level."""
    nearly_full = _full(task) * (1 - LEVEL_TOLERANCE / 10)
    least = max(task.least_volume, nearly_full) if keeps_level else task.least_volume
    return min(least, max(task.volume, task.least_volume)) if task.volume >= _full(task) else least


def _replacing_is_called_for(task: Task, everything: frozenset[str]) -> bool:
    """Tell whether something is high, or whether even a bath known exactly could not be put right in this tank."""
    if any(verdict.state == "high" for verdict in task.verdicts.values()):
        return True
    return not Search(Scope(_known_exactly(task), everything, task.least_volume, task.most_volume, 0.0)).possible()


def _subsets(task: Task) -> list[frozenset[str]]:
    """Return what may be added, fewest first; where cost alone decides, everything.

    What is likely too low can only rise by adding it; the rest is added only where nothing else helps.
    """
    movable = [name for name in MOVABLE if task.measured(name)]
    if task.aim == "least":
        return [frozenset(movable)]
    short = {name for name in movable if (task.verdicts[name].probability_low or 0.0) > 1 - SURE}
    fewest_first = (frozenset(chosen) for size in range(3) for chosen in itertools.combinations(movable, size))
    return sorted(
        (chosen for chosen in fewest_first if short <= chosen),
        key=lambda chosen: (sum(not task.needs(name) for name in chosen), len(chosen)),
    )


def _known_exactly(task: Task) -> Task:
    """Return the task of a bath that holds what is estimated, to half a percent of its upper limits."""
    nearly = {name: 0.005 * (verdict.limits[1] if verdict.limits else 1.0) for name, verdict in task.verdicts.items()}
    verdicts = {
        name: judge(getattr(task, name), nearly[name], verdict.limits) if task.measured(name) else verdict
        for name, verdict in task.verdicts.items()
    }
    return replace(
        task,
        covariance=(
            min(nearly["copper_sulfate"] ** 2, task.covariance[0]),
            0.0,
            min(nearly["sulfuric_acid"] ** 2, task.covariance[2]),
        ),
        chloride_standard_uncertainty=min(nearly["chloride"], task.chloride_standard_uncertainty),
        volume_relative_uncertainty=0.0,
        verdicts=verdicts,
    )


# --- Where nothing reaches the window -------------------------------------------------------------


def _several(task: Task) -> str:
    return line(
        "more than two limits at once: tank {tank}, stock on hand and the coldest temperature {cold}; a new bath of "
        "part of the volume may do",
        tank=Amount(task.least_volume, "L", 2, upper=task.most_volume),
        cold=Amount(task.coldest, "°C"),
    )


def _lifted(task: Task) -> dict[str, tuple[dict[str, object], Callable[[Amounts, After], str]]]:
    """Return each limit with what lifts it, and how far a plan without it goes."""
    stock = task.stock

    def warm(_: Amounts, after: After) -> str:
        acid = task.acid_in_the_cold(after.sulfuric_acid)
        least = float(crystallises_below(after.copper_sulfate / float(ceiling_fraction(acid)), acid))
        return line(
            "at {cold} this window is too near to where crystals form; keep the bath above {warm}, or choose a window "
            "with less copper",
            cold=Amount(task.coldest, "°C"),
            warm=Amount(least, "°C"),
        )

    return {
        "the crystals on hand": (
            {"stock": replace(stock, crystals_on_hand=inf)},
            lambda amounts, _: _short_of(Amount(stock.crystals_on_hand, "g"), Amount(amounts.crystals, "g")),
        ),
        "the acid on hand": (
            {"stock": replace(stock, acid_on_hand=inf)},
            lambda amounts, _: _short_of(
                Amount(stock.acid_on_hand, "mL"), Amount(amounts.acid / stock.acid_density, "mL")
            ),
        ),
        "the cold": ({"solubility_counts": False}, warm),
        "the tank": (
            {"most_volume": 20 * task.volume, "least_volume": 0.01 * task.volume},
            lambda _, after: line(
                "{tank}, and {need} would be needed",
                tank=Amount(task.least_volume, "L", 2, upper=task.most_volume),
                need=Amount(after.volume, "L", 2),
            ),
        ),
    }


def _short_of(have: Amount, need: Amount) -> str:
    return line("{have}, and {need} are needed", have=have, need=need)


def _binds(task: Task) -> tuple[Bind, ...]:
    """Return the limit that alone stands in the way, or the two that do together; none where lifting two is not enough.

    Each is lifted and the plan sought again.
    """
    lifted = _lifted(task)
    for size in (1, 2):
        for names in itertools.combinations(lifted, size):
            changes = [lifted[name][0] for name in names]
            free = replace(task, **_merged(changes))  # type: ignore[arg-type]
            found = _best(free)
            if found:
                after = forward(free, found)
                return tuple(Bind(name, lifted[name][1](found, after), after.probability_in) for name in names)
    return ()


def _merged(changes: list[dict[str, object]]) -> dict[str, object]:
    """Return changes to a task together: two of the stock lift both amounts on hand."""
    merged = {name: value for change in changes for name, value in change.items()}
    stocks = [change["stock"] for change in changes if "stock" in change]
    if len(stocks) > 1:
        merged["stock"] = replace(stocks[0], crystals_on_hand=inf, acid_on_hand=inf)  # type: ignore[type-var]
    return merged


def _part_dose(task: Task) -> Amounts:
    """Return a first dose: with 95 % probability each component stays short of its far limit."""
    here = {"copper_sulfate": task.copper_sulfate, "sulfuric_acid": task.sulfuric_acid}
    safe = {
        "copper_sulfate": _safe_goal(task, "copper_sulfate", task.aim_copper_sulfate, task.covariance[0]),
        "sulfuric_acid": _safe_goal(task, "sulfuric_acid", task.aim_sulfuric_acid, task.covariance[2]),
    }
    volume = _thinned_volume(task, min(safe[name] / now if now > 0 else 1.0 for name, now in here.items()))
    dilution, stock = task.volume / max(volume, task.volume), task.stock
    short = {name: max(safe[name] - now * dilution, 0.0) * volume for name, now in here.items()}  # g
    exact = np.array(
        [
            0.0,
            max(volume - task.volume, 0.0) * 1000 * WATER_DENSITY,
            min(short["copper_sulfate"] / stock.crystals_pentahydrate, stock.crystals_on_hand),
            min(short["sulfuric_acid"] / stock.acid_strength, stock.acid_on_hand * stock.acid_density),
        ]
    )
    steps = steps_of(task, 1.0)
    amounts = Amounts(*(float(value) for value in np.floor(exact / steps + 1e-9) * steps))
    return _within_tank(task, amounts)


def _safe_goal(task: Task, component: str, goal: float, variance: float) -> float:
    """Return the content [g/L] to go for at first: its goal, or so far only that 95 % stay short of the far limit."""
    here, verdict, (low, high) = getattr(task, component), task.verdicts[component], task.limits(component)
    reach = 1.645 * sqrt(variance)
    if task.needs(component) and (verdict.probability_low or 0.0) > 0.5:
        return float(max(here, min(goal, high - reach)))
    if task.needs(component) and (verdict.probability_high or 0.0) > 0.5:
        return float(min(here, max(goal, low + reach)))
    return float(here)


def _thinned_volume(task: Task, thinner: float) -> float:
    """Return the volume [L] in which contents fall to a fraction `thinner`, as far as the tank and its level allow."""
    if thinner >= 1:
        return task.volume
    level = min(max(task.usual_volume, task.volume), task.most_volume)
    return min(task.volume / max(thinner, 0.1), task.most_volume if task.may_thin else level)


def _within_tank(task: Task, amounts: Amounts) -> Amounts:
    """Scale a first dose down until the tank holds it and the crystals stay dissolved in the cold."""
    for share in (1.0, 0.5, 0.25):
        smaller = Amounts(0.0, *(share * value for value in (amounts.water, amounts.crystals, amounts.acid)))
        after = forward(task, smaller)
        ceiling = float(ceiling_at(task.coldest)(task.acid_in_the_cold(after.sulfuric_acid)))
        stays_dissolved = after.copper_sulfate <= ceiling or (smaller.crystals == smaller.acid == 0)
        if after.volume <= task.most_volume and stays_dissolved:
            return smaller
    return Amounts()
