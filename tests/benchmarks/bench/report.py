"""The tables at the end, in Markdown.

A sure verdict is one of `in`, `low`, `high`, of copper or of acid. Beside the number of them that are false stands the
number that their own stated probabilities let expect: a verdict is sure from 95 % on, so it may be wrong. Copper is
settled where its verdict is sure. Plans are those that the advice calls possible: the mean of the probability stated,
then the share that lands inside the window. What is not measured has no interval and counts in neither share.
"""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from tests.benchmarks.bench.baths import SETS, TROUBLES
from tests.benchmarks.bench.run import INSIDE_95, SETTLED

Row = dict[str, Any]
COPPER, ACID = "copper_sulfate", "sulfuric_acid"
TYPING = {"± typed": True, "tools named": False}  # what an owner does
HEADING = (
    "baths",
    "P inside its 95 %",
    "A inside",
    "P bias g/L",
    "A bias %",
    "P ± g/L (95 %)",
    "copper settled",
    "sure verdicts: wrong (expected)",
    "plans: stated, true",
)


def share(hits: Iterable[bool]) -> str:
    """Return a share in percent, ± what counting leaves open (95 %)."""
    found = list(hits)
    if not found:
        return "–"
    part = float(np.mean(found))
    spread = np.sqrt(max(part * (1 - part), 1 / len(found)) / len(found))
    return f"{100 * part:.1f} ± {196 * spread:.1f} %"


def inside(rows: Iterable[Row], name: str) -> list[bool]:
    """Return whether the truth is inside the stated 95 % interval, of the baths that have one."""
    return [abs(row["error"][name]) <= INSIDE_95 * row["spread"][name] for row in rows if name in row["error"]]


def sure(rows: Iterable[Row]) -> list[bool]:
    """Return of each sure verdict, copper's and acid's, whether it is false."""
    return [false for row in rows for false in row["false"].values()]


def chances(rows: Iterable[Row]) -> list[float]:
    """Return of each sure verdict the probability of being false that the advice stated."""
    return [chance for row in rows for chance in row["chance"].values()]


def line(rows: list[Row]) -> list[str]:
    """Return the cells of a line of the tables."""
    sound = [row for row in rows if "error" in row]
    copper = [row["error"][COPPER] for row in sound if COPPER in row["error"]]
    acid = [100 * row["error"][ACID] / row["truth"][ACID] for row in sound if ACID in row["error"]]
    spread = [2 * row["spread"][COPPER] for row in sound if COPPER in row["spread"]]
    plans = [row for row in sound if "stated" in row]
    false = sure(sound)
    return [
        str(len(rows)),
        share(inside(sound, COPPER)),
        share(inside(sound, ACID)),
        f"{np.mean(copper):+.1f}" if copper else "–",
        f"{np.mean(acid):+.1f}" if acid else "–",
        f"{np.median(spread):.0f}" if spread else "–",
        share(row["state"][COPPER] in SETTLED for row in sound),
        f"{len(false)}: {sum(false)} ({sum(chances(sound)):.1f})" if false else "–",
        f"{len(plans)}: {100 * np.mean([r['stated'] for r in plans]):.1f}, {100 * np.mean([r['lands'] for r in plans]):.1f} %"
        if plans
        else "–",
    ]


def table(first: str, lines: Iterable[tuple[str, list[Row]]]) -> str:
    """Return a Markdown table of a line each; a line without baths is left out."""
    cells = [[first, *HEADING], ["---"] * (len(HEADING) + 1), *([name, *line(rows)] for name, rows in lines if rows)]
    return "\n".join("| " + " | ".join(row) + " |" for row in cells) + "\n"


def settled(rows: list[Row]) -> str:
    """Return a Markdown table of how often the copper is settled, by set and by what its owner does."""
    cells = [["readings", *TYPING], ["---"] * (1 + len(TYPING))]
    for name in SETS:
        of_set = [row for row in rows if row["readings"] == name and "state" in row]
        by_typing = [[row for row in of_set if row["types"] is types] for types in TYPING.values()]
        cells.append(
            [name, *(f"{share(row['state'][COPPER] in SETTLED for row in part)} of {len(part)}" for part in by_typing)]
        )
    return "\n".join("| " + " | ".join(row) + " |" for row in cells) + "\n"


def report(results: list[Row], questions: Iterable[str]) -> str:
    """Return all tables; owners who answer stand apart only where there are questions to answer."""
    groups: dict[str, Callable[[Row], bool]] = {"all": lambda row: True}
    if list(questions):
        groups = {"answered": lambda row: row["answers"], "left empty": lambda row: not row["answers"]}
    parts = []
    for group, belongs in groups.items():
        chosen = [row for row in results if belongs(row)]
        by_trouble = [(name, [row for row in chosen if row["trouble"] == name]) for name in TROUBLES]
        by_trouble += [
            (f"{name}; {said}", [row for row in rows if row["types"] is types])
            for name, rows in by_trouble[:2]
            for said, types in TYPING.items()
        ]
        parts.append(f"## Questions: {group}\n\n" + table("trouble", by_trouble))
        for trouble in ("clean", "dirty, undeclared"):
            of_it = [row for row in chosen if row["trouble"] == trouble]
            by_set = [(name, [row for row in of_it if row["readings"] == name]) for name in SETS]
            parts.append(f"### {trouble.capitalize()}, by set of readings\n\n" + table("readings", by_set))
        parts.append("### Clean, copper settled\n\n" + settled([row for row in chosen if row["trouble"] == "clean"]))
    refused = [row for row in results if "refused" in row]
    closing = f"{len(results)} baths, {len(refused)} sheets refused.\n"
    closing += "".join(
        f"- bath {row['number']} ({row['trouble']}; {row['readings']}): {row['refused']}\n" for row in refused
    )
    return "\n".join([*parts, closing])
