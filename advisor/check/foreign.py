"""What foreign salts a bath may hold, from what its owner remembers: the priors of the estimate, before any reading.

Every dissolved salt but copper sulfate and acid reads as copper in the density, iron and zinc also in EDTA. Nobody
measures them at home, but their owner knows what went in: soda to lower the acid, steel or zinc that touched the
bath, tap water. A question that is not answered widens the prior; an answer narrows it. No reading is looked at here.

Sources
-------
How fast salts gather, and what a metal that touched the bath leaves in it, are judgement, as marked. With copper anodes
iron is iron(II), because copper reduces iron(III): common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from advisor.readings import Reading
from advisor.readings.hydrometer import SALT_DENSITY
from advisor.sheet import Bath, Sheet
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.solution.molar_masses import IRON, IRON_SULFATE, NICKEL, ZINC

DECLARABLE = ("iron", "zinc", "nickel")  # fields of a bath
OTHERS = "foreign_solids"  # the component of all salts that have none of their own


class Prior(NamedTuple):
    """A component before any reading [g/L]."""

    mean: float
    standard_uncertainty: float


# g/L Na2SO4, where nobody said whether soda ever went in (judgement): in every other bath none, else up to 15. Like the
# metals below it is taken wider than that comes to by itself, since whoever lets one thing in lets the others in too.
SODIUM_UNANSWERED = Prior(4.0, 6.3)
SODIUM_NONE = Prior(0.0, 0.1)  # g/L, where it did not: what comes with the stock (judgement)

# g/L of metal that touching it leaves behind (judgement). Steel: a clip of 2 g to a hanger of 20 g, dissolved in a few
# litres. Lead and its solder form an insoluble sulfate.
TOUCHED: dict[str, dict[str, Prior]] = {
    "steel": {"iron": Prior(2.0, 1.7)},
    "galvanised steel": {"iron": Prior(1.0, 1.0), "zinc": Prior(1.0, 0.8)},
    "zinc": {"zinc": Prior(1.2, 0.9)},
    "brass": {"zinc": Prior(0.7, 0.6)},
    "aluminium": {"foreign_solids": Prior(1.0, 1.0)},
    "nickel": {"nickel": Prior(0.7, 0.7)},
    "lead": {},
    "solder": {"foreign_solids": Prior(0.1, 0.1)},
    "nothing": {},
}
# May come besides, which no reading takes for copper (from memory; brass that is turned holds up to 3 % of lead).
BRINGS_BESIDES: dict[str, tuple[str, ...]] = {
    "brass": ("lead",),
    "aluminium": ("aluminium",),
    "lead": ("lead",),
    "solder": ("tin", "lead"),
}
# g/L (judgement): what steel leaves in every other bath, and zinc in one of three.
METALS_UNANSWERED = {"iron": Prior(1.0, 1.8), "zinc": Prior(0.4, 0.9)}
MEASURED_OPEN = 30.0  # g/L, what is believed of a salt that a reading measures as such: nothing (judgement)
DECLARED = 0.2  # relative standard uncertainty of a metal's content that was declared without ± (judgement)

# Share of the iron that is iron(III), by its form as told, else by the anodes (judgement; see the head of this file).
IRON_THREE_AS_TOLD = {"iron(II)": Prior(0.03, 0.03), "iron(III)": Prior(0.9, 0.08)}
IRON_THREE_BY_ANODES = {
    "copper": Prior(0.10, 0.07),
    "phosphorised copper": Prior(0.10, 0.07),
    "inert": Prior(0.7, 0.2),
    None: Prior(0.15, 0.12),
}

PER_MONTH, PER_MONTH_SPREAD = 0.15, 0.10  # g/L a month of other salts, from stock, anodes and dust (judgement)
LEAST_SPREAD, MOST_SALTS = 0.1, 8.0  # g/L (judgement)
# g/L a month that top-ups add: a fifth of the bath evaporates a month, and tap water holds 0.3 g/L (judgement).
TOP_UP_PER_MONTH = {
    "nothing": Prior(0.0, 0.0),
    "distilled water": Prior(0.0, 0.0),
    "rain water": Prior(0.0, 0.01),
    "tap water": Prior(0.06, 0.04),
    None: Prior(0.02, 0.04),
}
ANODE_IMPURITY = 0.001  # g of other metals a gram of copper that an anode gives (judgement; refined copper is purer)
SULFATE_PER_METAL = 2.7  # g of sulfate a gram of iron or of a like metal (computed)
GOOD_PURITY, WORST_SHARE = 0.99, 100.0  # g/L of salts a unit of purity that is lacking: half of it water (judgement)


def expected(sheet: Sheet, readings: Sequence[Reading] | None = None) -> dict[str, Prior]:
    """Return the priors [g/L] of sodium sulfate, iron, its iron(III), zinc, nickel and all other foreign salts.

    Only what may be there is named; a metal that the sheet declares is not counted among the others as well. What a
    reading (by default one of the sheet's) measures itself is left to that reading, whatever anybody remembers.
    """
    bath = sheet.bath
    measured: dict[str, tuple[float, float]] = {}
    for reading in sheet.readings if readings is None else readings:
        measured |= reading.salts_found()
    metals = _metals(bath) | {name: Prior(*told) for name, told in measured.items() if name != "sodium_sulfate"}
    iron = metals.pop("iron", None)
    priors = {"foreign_solids": _others(sheet, metals.pop("foreign_solids", None)), "sodium_sulfate": _sodium(bath)}
    if iron:
        share = IRON_THREE_AS_TOLD.get(bath.iron_form or "") or IRON_THREE_BY_ANODES[bath.anodes]
        spread = hypot(share.mean * iron.standard_uncertainty, share.standard_uncertainty * iron.mean)
        priors |= {"iron": iron, "iron_three": Prior(share.mean * iron.mean, spread)}
    left_open = {name: Prior(value, MEASURED_OPEN) for name, (value, _) in measured.items()}
    return priors | metals | left_open


def _sodium(bath: Bath) -> Prior:
    """Return the sodium sulfate [g/L] that soda has left in the bath."""
    left = bath.left_by_soda()
    if left is None:
        return SODIUM_UNANSWERED
    spread = left.sodium_sulfate * left.relative_uncertainty
    return Prior(left.sodium_sulfate, max(spread, SODIUM_NONE.standard_uncertainty))


def _metals(bath: Bath) -> dict[str, Prior]:
    """Return what is expected of each metal [g/L]: as declared, else from what touched the bath."""
    metals: dict[str, Prior] = {}
    if not bath.touched:
        metals |= METALS_UNANSWERED
    for thing in bath.touched:
        for name, more in TOUCHED[thing].items():
            here = metals.get(name, Prior(0.0, 0.0))
            metals[name] = Prior(here.mean + more.mean, hypot(here.standard_uncertainty, more.standard_uncertainty))
    for name in DECLARABLE:
        declared = getattr(bath, name)
        if declared is not None:
            metals.pop(name, None)
            if declared.value > 0:
                metals[name] = Prior(declared.value, max(declared.uncertainty_or(DECLARED * declared.value), 1e-3))
    return metals


def brought_in(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Return the metals that nobody measured or declared, by what touched the bath and may have brought them."""
    bath = sheet.bath
    told = {name for reading in sheet.readings for name in reading.salts_found()}
    told |= {name for name in DECLARABLE if getattr(bath, name) is not None}
    brought = {thing: (*TOUCHED[thing], *BRINGS_BESIDES.get(thing, ())) for thing in bath.touched}
    left = {thing: tuple(name for name in names if name not in told | {OTHERS}) for thing, names in brought.items()}
    return {thing: names for thing, names in left.items() if names}


def _others(sheet: Sheet, touched: Prior | None) -> Prior:
    """Return all other foreign salts [g/L, as iron(II) sulfate], from age, water, plating and the crystals' grade."""
    bath, months = sheet.bath, sheet.bath.months
    water = TOP_UP_PER_MONTH[bath.topped_up_with]
    parts = [
        Prior(PER_MONTH * months, PER_MONTH_SPREAD * months),
        Prior(water.mean * months, water.standard_uncertainty * months),
        touched or Prior(0.0, 0.0),
    ]
    if bath.throughput and bath.anodes != "inert":
        anodes = bath.throughput.value * COPPER_PER_AMPERE_HOUR * ANODE_IMPURITY * SULFATE_PER_METAL / bath.usual_L
        parts.append(Prior(anodes, anodes))
    crystals = sheet.stock.crystals
    if crystals and crystals.purity.value < GOOD_PURITY and not crystals.copper_content:
        graded = (GOOD_PURITY - crystals.purity.value) * WORST_SHARE
        parts.append(Prior(graded, graded))
    mean, spread = sum(part.mean for part in parts), hypot(*(part.standard_uncertainty for part in parts))
    return Prior(min(mean, MOST_SALTS), min(max(spread, LEAST_SPREAD), MOST_SALTS))


# Grams of sulfate a gram of each component stands for (computed): FeSO4, ZnSO4, NiSO4, and what Fe2(SO4)3 weighs more
# than FeSO4.
_SO4 = IRON_SULFATE - IRON
SULFATE = {
    "foreign_solids": 1.0,
    "sodium_sulfate": 1.0,
    "iron": IRON_SULFATE / IRON,
    "iron_three": 0.5 * _SO4 / IRON,
    "zinc": 1 + _SO4 / ZINC,
    "nickel": 1 + _SO4 / NICKEL,
}
# Density [mg/mL] that a gram a litre adds, divided by what a gram a litre of copper sulfate adds: computed, 20 degC.
_OF_COPPER_SULFATE = 0.592
READS_AS_COPPER_SULFATE = {
    "foreign_solids": 0.88 / _OF_COPPER_SULFATE,
    **{name: 1000 * share / _OF_COPPER_SULFATE for name, share in SALT_DENSITY.items()},
}
