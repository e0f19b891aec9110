"""What is at hand to measure with, and how surely: volumes by tool or by weight, and titrants weighed in.

`Kit` holds the gear that a sheet ticks; `measure` finds the surest way to measure a volume with it, `make_up` how to
make a titrant. What to titrate with that is the business of `titration_plans`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import log10

import numpy as np

from advisor.basis.units import Measured
from advisor.bench.standardise import strength_of
from advisor.check.mass_balance import Stock
from advisor.readings.copper_titration import CYLINDERS
from advisor.readings.tools import KITCHEN_SCALE, STEPS_OF_A_SCALE, Titrant, find_tool, finest_scale, tolerance_mL

DROP_BY_DROP = ("burette", "syringe", "graduated pipette")  # what a titrant can be run in with
FILLS = 3  # of a syringe in one titration (judgement)
MOST_mL = 60.0  # titrant in one titration, also from a bottle on the scale (judgement)
LEAST_TITRANT_mL = 4.0  # below, a drop and the tool's own error weigh heavily (judgement)
COARSEST_SCALE = 0.1  # g, its step, for weighing instead of measuring a volume (judgement)
MADE_UP_mL = (100.0, 250.0, 500.0, 1000.0)  # judgement
SOUND_WEIGHING = 0.01  # relative; below, more solution is made up at once (judgement)
# g/mL; where a sample of bath is weighed, its volume follows from a density known so well (judgement)
BATH_DENSITY_KNOWN = 0.005
SOLUTION_DENSITY_KNOWN = 0.001  # g/mL, of water and thin solutions (judgement)


@dataclass(frozen=True)
class Measure:
    """A volume measured at the bench [mL]: with a tool of a name, or weighed on the scale where `tool` is None."""

    millilitres: float
    standard_uncertainty: float
    tool: str | None

    @property
    def volume(self) -> Measured:
        """The volume as a sheet takes it; weighed, with its uncertainty."""
        spread = None if self.tool else self.standard_uncertainty
        return Measured.of(self.millilitres, "mL", "volume", standard_uncertainty=spread)


@dataclass(frozen=True)
class Kit:
    """What is at hand: measuring tools of known tolerance, the step of the best scale [g], and all that was ticked.

    crystals_pentahydrate: what a gram of the crystals at hand stands for [g of pentahydrate].
    """

    tools: tuple[str, ...]
    scale_step: float | None
    have: frozenset[str]
    crystals_pentahydrate: float

    def grams(self, mass: float) -> Measured:
        """Return a mass [g] as the scale shows it; without one, as a kitchen scale does."""
        return Measured.of(mass, "g", "mass", decimals=self.decimals)

    @property
    def decimals(self) -> int:
        """Decimals of a gram that the scale shows; without one, those of a kitchen scale."""
        return max(round(-log10(self.scale_step or KITCHEN_SCALE)), 0)

    def weighs_soundly(self, mass: float) -> bool:
        """Tell whether a mass [g] is weighed well enough to make up a titrant of it."""
        return scale_spread(self.scale_step) <= SOUND_WEIGHING * mass


def kit_of(have: Iterable[str], crystals_pentahydrate: float = Stock.crystals_pentahydrate) -> Kit:
    """Return the kit of the gear ticked in a sheet; without any tool for volumes a 10 mL syringe is assumed.

    crystals_pentahydrate: mass fraction [g/g], by default that of crystals of which nobody says more.
    """
    words = tuple(have)
    tools = tuple(word for word in words if find_tool(word)) or ("10 mL syringe",)
    return Kit(tools, finest_scale(words), frozenset(words), crystals_pentahydrate)


def scale_spread(step: float | None) -> float:
    """Return the standard uncertainty of one weighing [g] on a scale of a step; without one, on a kitchen scale."""
    return STEPS_OF_A_SCALE * (step or KITCHEN_SCALE) / float(np.sqrt(3))


def measure(
    kit: Kit, millilitres: float, density: float, density_spread: float = SOLUTION_DENSITY_KNOWN, fills: int = 1
) -> Measure | None:
    """Return the surest way to measure a volume [mL] of a liquid [g/mL]; None if nothing in the kit holds it.

    Weighing is more work than reading a scale of millilitres: it is chosen where it at least halves the uncertainty.
    """
    ways = [way for tool in kit.tools if (way := _by_tool(tool, millilitres, fills)) is not None]
    best = min(ways, key=lambda way: way.standard_uncertainty, default=None)
    if kit.scale_step and kit.scale_step <= COARSEST_SCALE:
        spread = np.hypot(scale_spread(kit.scale_step) / density, millilitres * density_spread / density)
        if best is None or spread < 0.5 * best.standard_uncertainty:
            return Measure(millilitres, float(spread), None)
    return best


def _by_tool(tool: str, millilitres: float, fills: int) -> Measure | None:
    """Return a volume by a tool, None where the tool does not measure it: pipettes and flasks hold one volume only."""
    row = find_tool(tool)
    assert row is not None
    nominal = float(row["nominal_mL"])
    if tool.endswith(("class A pipette", "class B pipette", "volumetric flask")):
        fits = millilitres == nominal
    elif "burette" in tool:
        fits = 0.1 * nominal <= millilitres <= nominal
    else:
        fits = nominal >= 1 and 0.1 * nominal <= millilitres <= fills * nominal
    if not fits:
        return None
    return Measure(millilitres, tolerance_mL(row, millilitres) / float(np.sqrt(3)), tool)


# --- The usual measurements -----------------------------------------------------------------------


def sample_measure(kit: Kit, size: float, density: float, density_spread: float = BATH_DENSITY_KNOWN) -> Measure | None:
    """Return how to measure a sample [mL]: up to three fills of a syringe; in a cylinder from 25 mL on."""
    cylinder = next((nominal for nominal in CYLINDERS if nominal >= size), None)
    way = measure(kit, size, density, density_spread, fills=FILLS)
    return way or (_by_tool(f"{cylinder} mL graduated cylinder", size, 1) if cylinder and size >= 25 else None)


def titrant_measure(kit: Kit, used_mL: float, most_mL: float) -> Measure | None:
    """Return how to measure titrant [mL] so that the most that is likely fits too; None if it is too little or much."""
    if used_mL < LEAST_TITRANT_mL or most_mL > MOST_mL:
        return None
    dropping = replace(kit, tools=tuple(tool for tool in kit.tools if tool.endswith(DROP_BY_DROP)))
    way = measure(dropping, most_mL, 1.0, fills=FILLS)
    if way and way.tool:
        return _by_tool(way.tool, used_mL, FILLS)
    return way and replace(way, millilitres=used_mL)


# --- Titrants -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TitrantRecipe:
    """A titrant to make up: `grams` of a substance in `water` [g] make `millilitres` of a `strength` [mol/L]."""

    substance: str
    grams: float
    water: float
    millilitres: float
    strength: float
    standard_uncertainty: float  # mol/L

    @property
    def density(self) -> float:
        """Density of the titrant [g/mL]."""
        return (self.grams + self.water) / self.millilitres

    @property
    def molarity(self) -> Measured:
        """The strength as a sheet takes it."""
        return strength_of(self.strength, self.standard_uncertainty)


def enough_mL(most_mL: float) -> float:
    """Return the round volume [mL] that lasts for four titrations that take this at most."""
    return next((round_mL for round_mL in MADE_UP_mL if round_mL >= 4 * most_mL), MADE_UP_mL[-1])


def make_up(substance: str, titrant: Titrant, strength: float, wanted_mL: float, kit: Kit) -> TitrantRecipe:
    """Return how to make up a titrant [mol/L] by weight: enough for titrations that take so much at most [mL].

    More is made at once where the scale would weigh the substance to worse than 1 %. The density of the solution is
    the titrant's own (see `readings.tools.Titrant`).
    """
    spread, a_litre = scale_spread(kit.scale_step), strength * titrant.molar_mass  # [g], [g/L]
    least = enough_mL(wanted_mL)
    weighed = (mL for mL in MADE_UP_mL if mL >= least and kit.weighs_soundly(a_litre * mL / 1000))
    millilitres = next(weighed, MADE_UP_mL[-1])
    grams = a_litre * millilitres / 1000
    solution = millilitres * titrant.solution_density(grams / millilitres)
    relative = float(np.hypot.reduce([spread / grams, spread / solution, titrant.weighing]))
    return TitrantRecipe(substance, grams, solution - grams, millilitres, strength, relative * strength)
