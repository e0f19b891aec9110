"""What a bath becomes: its exact mass balance after something is taken out or added, and how surely it is inside then.

Grams add up, litres do not; what is known of the bath shrinks with the share that is kept, and the errors of the tank's
volume and of the stock come on top. What to take out and add is decided in `correction`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr

from advisor.basis.arrays import FloatArray
from advisor.basis.components import SALT_AND_ACID
from advisor.basis.units import COVERAGE
from advisor.check.foreign import SULFATE
from advisor.check.known import Known
from advisor.check.window import Limits, Verdict, is_determined, probability_inside
from advisor.sheet import ROOM
from advisor.solution.composition import Masses, composition, masses
from advisor.solution.density import WATER_DENSITY
from advisor.solution.molar_masses import CALCIUM_CARBONATE, SULFURIC_ACID
from advisor.solution.ranges import Number
from advisor.solution.solubility import ceiling_at
from advisor.solution.stock import SALT_SOLUTION_CHLORIDE

ACID_PER_ALKALINITY = SULFURIC_ACID / CALCIUM_CARBONATE  # g H2SO4 per g alkalinity as CaCO3
STOCK_UNCERTAINTY = {"crystals": 0.006, "acid": 0.010}  # relative, of purity and strength as labelled (judgement)
# Cost of what has no price, so that a plan still prefers less (a kilogram, a litre; judgement).
USUAL_STOCK_PRICE = {"crystals": 9.0, "acid": 4.0}
SURELY_STILL_IN = 0.995  # probability from which chloride that was inside is not made up (judgement)
ANY = 1e6  # g/L: the upper limit of what is not limited (judgement)


@dataclass(frozen=True)
class Stock:
    """What can be added. Masses in g, volume in mL, prices a kilogram and a litre; on_hand inf: nothing limits it."""

    crystals_pentahydrate: float = 0.99  # g CuSO4·5H2O a gram of crystals stands for
    crystals_inert: float = 0.01  # g of a gram that is neither copper sulfate nor water
    crystals_on_hand: float = inf
    crystals_price: float | None = None
    acid_strength: float = 0.96  # mass fraction
    acid_density: float = 1.8355  # g/mL
    acid_is_told: bool = True  # else its strength is taken for granted
    acid_on_hand: float = inf
    acid_price: float | None = None
    water_chloride: float = 0.0  # mg/L
    water_alkalinity: float = 0.0  # mg/L as CaCO3
    chloride_kind: str = "sodium chloride"
    chloride_strength: float = 1.0  # mass fraction of the compound
    chloride_mass_fraction: float = 0.6066  # g chloride a gram of what is added
    chloride_density: float | None = None  # g/mL, where it is a liquid

    @property
    def chloride_water(self) -> float:
        """The water that comes with a gram of chloride [g]: its solution counts as so much water."""
        if self.chloride_density is None:
            return 1000 * WATER_DENSITY / SALT_SOLUTION_CHLORIDE
        return WATER_DENSITY / self.chloride_density / self.chloride_mass_fraction

    def usual_cost(self, crystals: float, acid_solution: float) -> float:
        """Return the cost of crystals [g] and acid solution [g], at usual prices where the sheet gives none."""
        salt = USUAL_STOCK_PRICE["crystals"] if self.crystals_price is None else self.crystals_price
        acid = USUAL_STOCK_PRICE["acid"] if self.acid_price is None else self.acid_price
        return crystals / 1000 * salt + acid_solution / self.acid_density / 1000 * acid

    def share_of_much(self, amounts: FloatArray, litres: float) -> FloatArray:
        """Return what amounts (4, n) [L, g, g, g] cost (n,), in that of 100 g of crystals and 50 g of acid a litre.

        Where all is free, usual prices count: that it costs nothing is no reason to pour in more.
        """
        free = self.usual_cost(1.0, 1.0) == 0
        stock = replace(self, crystals_price=None, acid_price=None) if free else self
        return np.asarray(stock.usual_cost(amounts[2], amounts[3]) / stock.usual_cost(100 * litres, 50 * litres))

    def cost(self, crystals: float, acid_solution: float) -> float | None:
        """Return what they cost [the sheet's currency], None where a price that counts is missing."""
        return None if self.unpriced(crystals, acid_solution) else self.usual_cost(crystals, acid_solution)

    def unpriced(self, crystals: float, acid_solution: float) -> tuple[str, ...]:
        """Return what goes in and has no price, of crystals [g] and acid solution [g]."""
        both = (("crystals", crystals, self.crystals_price), ("acid", acid_solution, self.acid_price))
        return tuple(name for name, amount, price in both if amount and price is None)


@dataclass(frozen=True)
class Task:
    """The bath as it is known, and where it may go. Volumes in L at 20 degC, concentrations in g/L (chloride mg/L)."""

    known: Known
    verdicts: Mapping[str, Verdict]
    usual_volume: float
    least_volume: float
    most_volume: float
    coldest: float  # degC
    aim: str  # "middle", "least" or "point"
    aim_copper_sulfate: float
    aim_sulfuric_acid: float
    stock: Stock
    weighed_to: float = 1.0  # g, the finest scale on hand
    additives: bool | None = None  # whether it has any; None where nobody knows
    has_room: bool = False  # whether the person named the most that the tank holds
    solubility_counts: bool = True
    thins_unknown: bool = False  # whether copper sulfate or acid that was not measured may be thinned

    @cached_property
    def copper_sulfate(self) -> float:
        """What the bath holds [g/L]."""
        return self.known.value("copper_sulfate")

    @cached_property
    def sulfuric_acid(self) -> float:
        """What the bath holds [g/L]."""
        return self.known.value("sulfuric_acid")

    @cached_property
    def foreign_solids(self) -> float:
        """All foreign salts together [g/L]."""
        return self.known.sum_of(SULFATE).value

    @cached_property
    def chloride(self) -> float | None:
        """What the bath holds [mg/L]; None where it was not measured."""
        return self.known.value("chloride") if "chloride" in self.known.measured else None

    @cached_property
    def chloride_standard_uncertainty(self) -> float:
        """Standard uncertainty of the chloride [mg/L]; 0 where it was not measured."""
        return self.known.standard_uncertainty("chloride") if "chloride" in self.known.measured else 0.0

    @cached_property
    def covariance(self) -> tuple[float, float, float]:
        """Variance of copper sulfate, covariance, variance of acid [g2/L2]."""
        (salt, shared), (_, acid) = self.known.block(SALT_AND_ACID).tolist()
        return salt, shared, acid

    @property
    def volume(self) -> float:
        """What the tank holds [L at 20 degC]."""
        return self.known.volume_L

    @property
    def volume_relative_uncertainty(self) -> float:
        """Relative standard uncertainty of the volume."""
        return self.known.volume_relative_uncertainty

    @cached_property
    def masses_per_litre(self) -> Masses:
        """Grams in a litre of the bath as it is."""
        return masses(self.copper_sulfate, self.sulfuric_acid, self.foreign_solids, 1.0)

    @property
    def well_known(self) -> bool:
        """Tell whether copper sulfate and acid are determined as far as they were measured."""
        return all(self.determined(name) for name in SALT_AND_ACID if self.measured(name))

    def determined(self, component: str) -> bool:
        """Tell whether a component is known well enough for its value to be shown."""
        return is_determined(*self.known.of(component), self.verdicts[component].limits)

    def needs(self, component: str) -> bool:
        """Tell whether a component was measured and is not known to be inside."""
        return self.verdicts[component].state in ("low", "high", "unsure")

    def measured(self, component: str) -> bool:
        """Tell whether any reading says something of a component."""
        return self.verdicts[component].state != "not measured"

    @property
    def level_is_low(self) -> bool:
        """Tell whether the level is so far below the usual one that it should be made up."""
        return self.volume < min(self.usual_volume, self.most_volume) * (1 - ROOM)

    @property
    def over_the_brim(self) -> float:
        """What stands higher than the tank holds [L], and has to go whatever the readings say."""
        return max(self.volume - self.most_volume, 0.0)

    @property
    def unread_litres(self) -> float:
        """How much more or less in the tank its level does not show [L]; at most as much as a level may stray."""
        return self.volume * min(COVERAGE * self.volume_relative_uncertainty, ROOM)

    @property
    def may_thin(self) -> bool:
        """Tell whether water may go in beyond the usual level, though it also thins what was not measured."""
        return self.thins_unknown or all(
            self.measured(name) or not self.verdicts[name].limits for name in SALT_AND_ACID
        )

    def acid_in_the_cold(self, sulfuric_acid: Number) -> Number:
        """Return the acid [g/L] for which solubility is worked out: where none was measured, the acid aimed at.

        Otherwise a bath would be thinned because of acid that nobody has measured.
        """
        return sulfuric_acid if self.measured("sulfuric_acid") else self.aim_sulfuric_acid

    def stays_dissolved(self, sulfuric_acid: float) -> float:
        """Return the most copper sulfate [g/L] that a plan may leave beside so much acid [g/L] in the coldest."""
        return float(ceiling_at(self.coldest)(self.acid_in_the_cold(sulfuric_acid)))

    @property
    def limits_of_both(self) -> tuple[Limits, Limits]:
        """The limits of copper sulfate and of acid [g/L]."""
        return self.limits("copper_sulfate"), self.limits("sulfuric_acid")

    def limits(self, component: str) -> Limits:
        """Return the limits that bind a component; any value where it was not measured or the window names none."""
        limits = self.verdicts[component].limits
        return limits if limits and self.measured(component) else (0.0, ANY)


@dataclass(frozen=True)
class Amounts:
    """What is moved: litres of bath out; grams of water, crystals and acid solution in; milligrams of chloride in."""

    take_out: float = 0.0
    water: float = 0.0
    crystals: float = 0.0
    acid: float = 0.0
    chloride: float = 0.0

    @property
    def water_L(self) -> float:
        """The water [L at 20 degC]."""
        return self.water / WATER_DENSITY / 1000


@dataclass(frozen=True)
class After:
    """The bath afterwards and the probability that every measured component is inside its limits."""

    volume: float
    copper_sulfate: float
    sulfuric_acid: float
    chloride: float | None
    probability_in: float


class Outcome(NamedTuple):
    """A bath afterwards as numbers or arrays: litres, g/L, mg/L; covariance of copper sulfate and acid; probability."""

    volume: Number
    copper_sulfate: Number
    sulfuric_acid: Number
    chloride: Number | None
    covariance: tuple[Number, Number, Number]
    kept: Number  # the share of it that was there before
    probability_in: Number


def forward(task: Task, amounts: Amounts) -> After:
    """Return the bath after these amounts, by exact mass balance, and the probability that it is inside the window."""
    moved = (amounts.take_out, amounts.water, amounts.crystals, amounts.acid, amounts.chloride)
    after = outcome(task, moved, chloride_made_up=False)
    return After(
        float(after.volume),
        float(after.copper_sulfate),
        float(after.sulfuric_acid),
        None if after.chloride is None else float(after.chloride),
        float(after.probability_in),
    )


def outcome(task: Task, moved: Sequence[Number], chloride_made_up: bool) -> Outcome:
    """Return what `forward` returns [L, g/L], for amounts in the order of `Amounts`: one set of them, or arrays.

    chloride_made_up: count chloride as it will be once what it falls short has been added (the last step).
    """
    take_out, water, crystals, acid_solution, chloride_added = moved
    to_come = _chloride_to_come(task, moved) if chloride_made_up else 0.0
    total = masses_after(task, (*moved[:4], chloride_added + to_come))
    filled = composition(total).volume
    copper_sulfate, sulfuric_acid = total.copper_sulfate / filled, total.sulfuric_acid / filled
    salt, acid = crystals * task.stock.crystals_pentahydrate, acid_solution * task.stock.acid_strength
    kept = (task.volume - take_out) / filled
    covariance = covariance_after(task, kept, filled, copper_sulfate, sulfuric_acid, salt, acid)
    probability = probability_inside((copper_sulfate, sulfuric_acid), covariance, task.limits_of_both)
    chloride: Number | None = None
    if task.chloride is not None:
        from_water = task.stock.water_chloride * water / WATER_DENSITY / 1000
        chloride = task.chloride * kept + (from_water + chloride_added) / filled
        probability = probability * chloride_probability(task, chloride + to_come / filled, kept)
    return Outcome(filled, copper_sulfate, sulfuric_acid, chloride, covariance, kept, probability)


def _chloride_to_come(task: Task, moved: Sequence[Number]) -> Number:
    """Return the chloride [mg] that the last step will have to bring, since water comes with it."""
    low, high = task.limits("chloride")
    if task.chloride is None or low <= 0:
        return 0.0
    take_out, water, _, _, added = moved
    there = task.chloride * (task.volume - take_out) + task.stock.water_chloride * water / WATER_DENSITY / 1000 + added
    filled = composition(masses_after(task, moved)).volume
    short = chloride_for(task, (low + high) / 2, there / filled, filled)
    if task.needs("chloride"):
        return short
    # What was inside and is hardly thinned needs none.
    still_inside = chloride_probability(task, there / filled, (task.volume - take_out) / filled)
    return np.where(still_inside >= SURELY_STILL_IN, 0.0, short)


def chloride_for(task: Task, goal: float, here: Number, filled: Number) -> Number:
    """Return the chloride [mg] that brings `filled` L from `here` to `goal` [mg/L], in spite of its water."""
    thins = goal * task.stock.chloride_water / WATER_DENSITY / 1e6  # L of it a mg, times the goal
    return np.maximum((goal - here) * filled / (1 - thins), 0.0)


def masses_after(task: Task, moved: Sequence[Number]) -> Masses:
    """Return the masses in the bath [g] after these amounts, in the order of `Amounts`."""
    take_out, water, crystals, acid_solution, chloride = moved
    stock = task.stock
    salt, inert = crystals * stock.crystals_pentahydrate, crystals * stock.crystals_inert
    acid = acid_solution * stock.acid_strength
    neutralised = water / WATER_DENSITY / 1000 * stock.water_alkalinity / 1000 * ACID_PER_ALKALINITY
    rest = crystals - salt - inert + acid_solution - acid + water + chloride / 1000 * stock.chloride_water
    added = Masses(salt, acid - neutralised, inert, rest + neutralised)
    return _scaled(task.masses_per_litre, task.volume - take_out) + added


def _scaled(of: Masses, factor: Number) -> Masses:
    return Masses(of.copper_sulfate * factor, of.sulfuric_acid * factor, of.foreign_solids * factor, of.water * factor)


def both_inside(task: Task, volume: float, copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return the probability that copper sulfate and acid are both inside, where no bath was taken out.

    The bath then [L, g/L]; what came or left is taken as exact.
    """
    covariance = covariance_after(task, task.volume / volume, volume, copper_sulfate, sulfuric_acid, 0.0, 0.0)
    return float(probability_inside((copper_sulfate, sulfuric_acid), covariance, task.limits_of_both))


def covariance_after(
    task: Task, kept: Number, volume: Number, copper_sulfate: Number, sulfuric_acid: Number, salt: Number, acid: Number
) -> tuple[Number, Number, Number]:
    """Return the variance of copper sulfate, the covariance and the variance of acid [g2/L2].

    kept: the share of the bath that stays; the bath then [L, g/L]; salt and acid [g] that came from the stock. What is
    known of the bath shrinks with the share kept; an error of the tank's volume and of the stock moves both.
    """
    moved = task.volume_relative_uncertainty * task.volume / volume
    salt_volume = moved * (task.copper_sulfate - copper_sulfate)
    acid_volume = moved * (task.sulfuric_acid - sulfuric_acid)
    variance_salt, shared, variance_acid = (kept**2 * value for value in task.covariance)
    return (
        variance_salt + salt_volume**2 + (STOCK_UNCERTAINTY["crystals"] * salt / volume) ** 2,
        shared + salt_volume * acid_volume,
        variance_acid + acid_volume**2 + (STOCK_UNCERTAINTY["acid"] * acid / volume) ** 2,
    )


def chloride_probability(task: Task, chloride: Number, kept: Number) -> Number:
    """Return the probability that chloride [mg/L] is inside; kept: the part of the bath that was there before."""
    low, high = task.limits("chloride")
    spread = np.maximum(task.chloride_standard_uncertainty * kept, 1e-9)
    below = ndtr((low - chloride) / spread) if low > 0 else 0.0
    return np.asarray(np.maximum(ndtr((high - chloride) / spread) - below, 0.0))
