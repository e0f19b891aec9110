"""What the foreign metals that a sheet declares mean: how much is tolerated, and what part of the bath they cost.

Correcting thins no metal: only what is replaced takes it along. The check says so before it sells anybody crystals, and
keep or remake weighs it.
"""

from __future__ import annotations

from advisor.check.foreign import DECLARED, brought_in
from advisor.check.known import Known
from advisor.check.window import SURE_REACH
from advisor.sheet import Sheet
from advisor.words.lines import Amount, Line, capital, joined, line

CONTAMINANT_LIMITS = {"iron": 2.0, "nickel": 1.0, "zinc": 1.0}  # g/L, from memory
# How a metal shows in a bath (from memory).
_SHOWS = {
    "iron": "iron tints the liquid green",
    "nickel": "nickel tints the liquid green",
    "zinc": "zinc is not seen, a laboratory tells",
    "aluminium": "aluminium is not seen, a laboratory tells",
    "lead": "lead falls as a white sludge and makes the copper rough",
    "tin": "tin makes the liquid milky",
}
NOT_COUNTED = line("How sure this answer is does not count that, until it was measured or looked at.")


def part_fraction(now: float, target: float, new: float) -> float:
    """Return the fraction of a bath to replace so that a content `now` becomes `target`, with `new` in what goes in.

    All three in one unit, such as [g/L]. f = (now - target)/(now - new), held between 0 (replacing leads away from the
    target) and 1 (it cannot reach it); 0 where what goes in is the same.
    """
    return 0.0 if now == new else min(max((now - target) / (now - new), 0.0), 1.0)


def fraction_to_replace(metal: str, value: float, standard_uncertainty: float) -> float:
    """Return the fraction of a bath to replace so that a metal [g/L] is surely (95 %) no more than is tolerated."""
    return part_fraction(value + SURE_REACH * standard_uncertainty, CONTAMINANT_LIMITS[metal], 0.0)


def contaminants_of(sheet: Sheet, contents: Known | None) -> dict[str, tuple[float, float]]:
    """Return what is known of the foreign metals that the sheet declares: value and standard uncertainty [g/L]."""
    known: dict[str, tuple[float, float]] = {}
    for name in CONTAMINANT_LIMITS:
        declared = getattr(sheet.bath, name)
        if declared is None or declared.value == 0:
            continue
        if contents:
            known[name] = contents.sum_of({name: 1.0})
        else:
            known[name] = declared.value, declared.uncertainty_or(DECLARED * declared.value)
    return known


def metals_said(sheet: Sheet, contents: Known | None) -> list[Line]:
    """Say what each declared metal that is above what is tolerated means for correcting the bath."""
    return [
        line(
            "{name}: {now}, and about {limit} are tolerated (from memory). Nothing that you add takes it out; "
            "replacing {percent:.0f} % of the bath would. Ask Keep or remake before you buy crystals.",
            name=name.capitalize(),
            now=Amount(value, "g/L", digits=2),
            limit=Amount(CONTAMINANT_LIMITS[name], "g/L", digits=6),
            percent=100 * fraction_to_replace(name, value, spread),
        )
        for name, (value, spread) in contaminants_of(sheet, contents).items()
        if value > CONTAMINANT_LIMITS[name]
    ]


def brought_in_said(sheet: Sheet) -> list[Line]:
    """Say what each thing that touched the bath may have brought, which nobody measured, and what to look for."""
    said = [
        line(
            "{thing} touched the bath and may have brought {metals}: {shows}.",
            thing=capital(thing),
            metals=" and ".join(names),
            shows=joined("; ", (_SHOWS[name] for name in names)),
        )
        for thing, names in brought_in(sheet).items()
    ]
    return [*said, NOT_COUNTED] if said else []
