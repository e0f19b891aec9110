"""What it would take to go on from a plan's end to the point aimed at; said where the plan ends near an edge.

No bath is thrown away for the middle alone, so a plan may end just inside a limit, and the bath drifts out again soon.
The person decides; this only works out what it would cost.
"""

from __future__ import annotations

from advisor.basis.components import NAMES, SALT_AND_ACID
from advisor.check.correction import Plan
from advisor.check.mass_balance import Task
from advisor.check.steps import salt_name
from advisor.words import phrases
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.states import PlanState

NEAR_THE_EDGE = 0.3  # of the window's width between the end of a plan and its aim (judgement: the outer fifths)
HARDLY = 0.002  # of the bath's volume: less bath out than that is none (judgement)


def to_the_middle(task: Task, plan: Plan) -> Line | None:
    """Say what the point aimed at would take beyond a plan; None where it ends near, or only the least is wanted."""
    if plan.state is not PlanState.POSSIBLE or task.aim == "least":
        return None
    aims, after = _aims(task), plan.after
    edges = [name for name in aims if abs(getattr(after, name) - aims[name]) > NEAR_THE_EDGE * _width(task, name)]
    if not edges:
        return None
    held = {name: getattr(after, name) for name in aims}
    kept = min([1.0, *(aims[name] / value for name, value in held.items() if value > 0)])
    missing = {name: max(aims[name] - kept * value, 0.0) * after.volume for name, value in held.items()}
    crystals = missing.get("copper_sulfate", 0.0) / task.stock.crystals_pentahydrate
    acid = missing.get("sulfuric_acid", 0.0) / task.stock.acid_strength
    cost = task.stock.cost(crystals, acid)
    salt = salt_name(task.stock.crystals_pentahydrate, in_brief=True)
    return line(
        "That is near the edge for {names}, so the bath will soon drift out again. To end in the middle instead would "
        "take about {parts} more{cost}.",
        names=" and ".join(NAMES[name] for name in edges),
        parts=_parts((1 - kept) * after.volume, crystals, acid / task.stock.acid_density, HARDLY * after.volume, salt),
        cost="" if cost is None else f", which costs {phrases.money(cost)}",
    )


def _parts(out: float, crystals: float, millilitres: float, hardly: float, salt: str) -> Line:
    """Say litres out, grams of the salt and millilitres of acid, each where it is worth naming."""
    parts = [
        (out > hardly, line("another {out} of bath out and fresh in its place", out=Amount(out, "L", digits=2))),
        (crystals >= 1, line("{grams} of {salt}", grams=Amount(crystals, "g", digits=2), salt=salt)),
        (millilitres >= 1, line("{acid} of acid", acid=Amount(millilitres, "mL", digits=2))),
    ]
    return joined(" and ", [said for counts, said in parts if counts])


def _aims(task: Task) -> dict[str, float]:
    """Return the point aimed at [g/L] of what was measured; copper sulfate as far as it stays dissolved in the cold."""
    aims = {name: getattr(task, f"aim_{name}") for name in SALT_AND_ACID if task.measured(name) and _width(task, name)}
    if "copper_sulfate" in aims and task.solubility_counts:
        ceiling = task.stays_dissolved(aims.get("sulfuric_acid", task.aim_sulfuric_acid))
        aims["copper_sulfate"] = min(aims["copper_sulfate"], ceiling)
    return aims


def _width(task: Task, name: str) -> float:
    limits = task.verdicts[name].limits
    return limits[1] - limits[0] if limits else 0.0
