"""What each step of a plan is for: what would be the matter with the bath if that step alone were left out.

A plan has no step without a use, so one that is left out has the bath miss a limit or end further from its aim; which
of them is the reason. Nothing is sought here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, replace

from advisor.basis.components import COMPONENTS, NAMES, SALT_AND_ACID, UNITS
from advisor.check.mass_balance import Amounts, Outcome, Task, outcome
from advisor.check.search import LEVEL_TOLERANCE
from advisor.check.window import SURE, Verdict, judge
from advisor.words.lines import Amount, Line, joined, line, listed
from advisor.words.sections import how_likely

ADDED = {"crystals": "copper_sulfate", "acid": "sulfuric_acid", "chloride": "chloride"}  # by the names in `Amounts`
AT_THE_CEILING = 0.98  # of what stays dissolved: from there on the cold tells how far a bath is thinned (judgement)


def because(task: Task, amounts: Amounts, name: str) -> Line:
    """Say what a plan moves an amount for, by its name in `Amounts`; of water after "this" or "it also".

    Empty where the readings find too little of it, or where the level is all that it is for: a step says that.
    """
    if name == "take_out":
        return _taken_out(task, amounts)
    return _thinned(task, amounts) if name == "water" else _in_spite(task, amounts, name)


def _in_spite(task: Task, amounts: Amounts, name: str) -> Line:
    """Say why something goes in of which the readings find enough; nothing where they do not."""
    component = ADDED[name]
    if not task.measured(component) or _may_be(task.verdicts[component], "low"):
        return line("")
    after, without = _outcome(task, amounts), _outcome(task, amounts, name)
    held, judged = _held(without, component), _judged(task, without, component)
    if _may_be(judged, "low"):
        surely = "" if judged.state == "low" else f"{how_likely(judged.probability_low or 0.0)} "
        then = f"{surely}below the window"
    elif float(without.probability_in) < SURE <= float(after.probability_in):
        then = "too near the edge of the window to be inside as surely as asked"
    elif _is_nearer(task, amounts, name, component):
        then = f"further from {_the_aim(task)}"
    else:
        return line("")
    ends = Amount(_held(after, component), UNITS[component])
    at = Amount(held, UNITS[component])
    return line(
        " Without this dose it would end {at}{then}.",
        at="" if str(at) == str(ends) else line("at {at}, ", at=at),
        then=then,
    )


def _taken_out(task: Task, amounts: Amounts) -> Line:
    """Say what taking bath out is for: room for what follows, or the brim."""
    follows = any(astuple(replace(amounts, take_out=0.0)))
    if task.over_the_brim == 0:
        return line("It makes room for what follows.")
    most = Amount(task.most_volume, "L", 2)
    also = ", and it makes room for what follows" if follows else ""
    return line("The tank holds at most {most}{also}.", most=most, also=also)


def _thinned(task: Task, amounts: Amounts) -> Line:
    """Say, after "this", what water does that no low level asks for; nothing where the level is all that it is for."""
    after, without = _outcome(task, amounts), _outcome(task, amounts, "water")
    if _makes_up_the_level(task, float(after.volume)):
        return line("")
    judged = {name: _judged(task, without, name) for name in COMPONENTS if task.measured(name)}
    cold, too_high = _for_the_cold(task, after, without), _too_high(task, judged)
    if too_high:
        keeps = line("; it {cold}", cold=cold) if cold and _is_at_the_ceiling(task, after) else ""
        return line("thins what {too_high}{keeps}.", too_high=too_high, keeps=keeps)
    return line("{cold}.", cold=cold) if cold else _at_the_edge(task, amounts, judged)


def _too_high(task: Task, judged: Mapping[str, Verdict]) -> str:
    """Say what is too high, or else what may be, and stays so without water; judged: each component then."""
    for state, words in (("high", "is"), ("unsure", "may be")):
        high = [name for name in judged if task.verdicts[name].state == state and _may_be(task.verdicts[name], "high")]
        if thinned := [NAMES[name] for name in high if _may_be(judged[name], "high")]:
            return f"{words} too high: {listed(thinned)}"
    return ""


def _at_the_edge(task: Task, amounts: Amounts, judged: Mapping[str, Verdict]) -> Line:
    """Say what water thins that is inside: nothing where the bath is as well off without it."""
    after, without = _outcome(task, amounts), _outcome(task, amounts, "water")
    nearer = [name for name in judged if _is_nearer(task, amounts, "water", name)]
    if float(without.probability_in) < SURE <= float(after.probability_in):
        thinned = [max(judged, key=lambda each: judged[each].probability_high or 0.0)]
        so = "to be inside as surely as asked"
    else:
        thinned, so = nearer, f"nearer {_the_aim(task)}"
    if not thinned:
        return line("")
    held = {name: Amount(_held(after, name), UNITS[name]) for name in thinned}
    each = joined(" and ", (line("{name} to {held}", name=NAMES[name], held=held[name]) for name in thinned))
    return line("thins {each}, {so}.", each=each, so=so)


def _for_the_cold(task: Task, after: Outcome, without: Outcome) -> Line | None:
    """Say, after "it", to what the cold has copper sulfate thinned; None where it stays dissolved all the same."""
    counts = task.solubility_counts and task.measured("copper_sulfate")
    if not counts or _stays_dissolved(task, without) or not _stays_dissolved(task, after):
        return None
    return line(
        "keeps copper sulfate to {copper}, which surely stays dissolved at {coldest}",
        copper=Amount(float(after.copper_sulfate), "g/L"),
        coldest=Amount(task.coldest, "°C", digits=3),
    )


def _stays_dissolved(task: Task, bath: Outcome) -> bool:
    return float(bath.copper_sulfate) <= task.stays_dissolved(float(bath.sulfuric_acid))


def _is_at_the_ceiling(task: Task, after: Outcome) -> bool:
    return float(after.copper_sulfate) > AT_THE_CEILING * task.stays_dissolved(float(after.sulfuric_acid))


def _outcome(task: Task, amounts: Amounts, without: str = "") -> Outcome:
    """Return the bath after a plan; without: an amount by its name in `Amounts` that is left out."""
    moved = replace(amounts, **{without: 0.0}) if without else amounts
    return outcome(task, astuple(moved), chloride_made_up=False)


def _held(after: Outcome, component: str) -> float:
    """Return what a bath holds of a component that was measured [g/L; chloride mg/L]."""
    held = getattr(after, component)
    assert held is not None
    return float(held)


def _judged(task: Task, after: Outcome, component: str) -> Verdict:
    """Judge a component of a bath after a plan."""
    variances = {"copper_sulfate": after.covariance[0], "sulfuric_acid": after.covariance[2]}
    squared = variances.get(component, (task.chloride_standard_uncertainty * after.kept) ** 2)
    return judge(_held(after, component), float(squared) ** 0.5, task.verdicts[component].limits)


def _may_be(judged: Verdict, side: str) -> bool:
    """Tell whether a component may be "low" or "high": it is not surely neither."""
    chance = judged.probability_low if side == "low" else judged.probability_high
    return (chance or 0.0) > 1 - SURE


def _is_nearer(task: Task, amounts: Amounts, name: str, component: str) -> bool:
    """Tell whether an amount, by its name, brings a component nearer the point aimed at, of those that have one."""
    if task.aim == "least" or component not in SALT_AND_ACID:
        return False
    aim: float = getattr(task, f"aim_{component}")
    after, without = (_held(_outcome(task, amounts, left_out), component) for left_out in ("", name))
    return abs(after - aim) < abs(without - aim)


def _the_aim(task: Task) -> str:
    return "where you aim" if task.aim == "point" else "the middle of the window"


def _makes_up_the_level(task: Task, volume: float) -> bool:
    """Tell whether a low level is what water is for, that ends at a volume [L]: about the usual one."""
    return stands_below_the_mark(task) and volume <= task.usual_volume * (1 + LEVEL_TOLERANCE)


def stands_below_the_mark(task: Task) -> bool:
    """Tell whether any water of a plan brings the level up to, or towards, the usual one."""
    return task.volume < task.usual_volume * (1 - LEVEL_TOLERANCE)
