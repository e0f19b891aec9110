"""How acid goes into a bath without boiling: into how much of what liquid, in which vessel, in how many portions.

One text serves the steps of a correction, a new bath, and paper. What a portion warms follows from the heat that acid
of this strength gives off into the liquid of that vessel (`solution.heat`), not from a rule in millilitres a litre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.solution.heat import warming_by_acid
from advisor.words.lines import Amount, Line, in_a_jug, joined, line

MOST_WARMING = 15.0  # degC, what one portion may warm its liquid by (judgement)
PLANNED_WARMING = MOST_WARMING - 1.0  # degC: the heats are known to 6 %, and no portion may come above (judgement)
FEW_PORTIONS = 4  # pauses that a person still keeps to; more portions take fresh liquid (judgement)
LARGEST_LIQUID = 10.0  # L in one vessel: twice that is the largest tub that one person still moves (judgement)
MOST_OF_BATH = 0.5  # share of the tank's bath that is drawn for it (judgement)
LEAST_WATER = 0.05  # L: less is not worth counting on (judgement)
FIRST_WORDS = "goggles and gloves; acid into the liquid, never liquid into acid"
FIRST_SENTENCE = f"{FIRST_WORDS.capitalize()}."
VESSEL = "polyethylene or polypropylene"


@dataclass(frozen=True)
class Pouring:
    """How one dose of acid is poured: litres of the plan's own water and of bath drawn from the tank in the vessel."""

    water: float  # L
    bath: float  # L, goes back with the acid
    vessel: float  # L, the least that it holds
    portions: int
    portion_mL: float
    warming: float  # degC, of the liquid by the first portion; later ones warm it less
    renewed: bool = False  # whether the vessel is emptied into the tank after every few portions

    @property
    def text(self) -> Line:
        """Say how it is done."""
        parts = []
        if self.water > 0:
            parts.append(line("{water} of this plan's water", water=in_a_jug(self.water)))
        if self.bath > 0:
            parts.append(line("{bath} of bath drawn from the tank", bath=in_a_jug(self.bath)))
        return line(
            "Put {parts} into a vessel of {of} that holds at least {holds}. {portions} Let it cool, then stir it "
            "all into the tank.",
            parts=joined(" and ", parts),
            of=VESSEL,
            holds=Amount(self.vessel, "L", digits=2),
            portions=self.portions_text,
        )

    @property
    def portions_text(self) -> Line:
        """Say in how many portions the acid goes in, and what each does."""
        warming = Amount(self.warming, "°C", is_change=True)
        if self.portions == 1:
            text = "Pour the acid in a thin stream while stirring: the liquid warms by about {warming}."
            return line(text, warming=warming)
        anew = f" After every {FEW_PORTIONS} portions stir the vessel into the tank and refill it with bath."
        return line(
            "Pour the acid in a thin stream while stirring, in {portions} portions of {portion}; each warms it by "
            "about {warming}: let it cool before the next.{anew}",
            portions=self.portions,
            portion=Amount(self.portion_mL, "mL", digits=3),
            warming=warming,
            anew=anew if self.renewed else "",
        )


def portions_into(acid: float, strength: float, liquid: float) -> int:
    """Return in how many equal portions acid solution [g] of a strength [g/g] goes into a liquid [L].

    The first portion warms most, since the liquid then holds the most water for each gram of acid. So the warming by
    all of it, divided by what one portion may warm, is the least number of portions.
    """
    portions = max(math.ceil(warming_by_acid(acid, strength, liquid) / PLANNED_WARMING), 1)
    while warming_by_acid(acid / portions, strength, liquid) > PLANNED_WARMING:
        portions += 1
    return portions


def liquid_for(acid: float, strength: float, portions: int) -> float:
    """Return how much liquid [L] takes acid solution [g] of a strength [g/g] in so many portions."""
    low, high = 0.0, 1.0
    while warming_by_acid(acid / portions, strength, high) > PLANNED_WARMING:
        low, high = high, 2 * high
    for _ in range(30):
        middle = (low + high) / 2
        if warming_by_acid(acid / portions, strength, middle) > PLANNED_WARMING:
            low = middle
        else:
            high = middle
    return high


def pouring(acid: float, strength: float, density: float, water: float, bath: float) -> Pouring:
    """Return how to pour acid solution [g] of a strength [g/g] and density [g/mL].

    water, bath: what there is of the plan's own water and of bath in the tank [L]. The water is enough where it takes
    the acid in few portions; otherwise bath is drawn from the tank beside it.
    """
    litres = acid / density / 1000
    # No portion overfills its vessel: there is at least as much liquid as acid comes into it.
    needed = max(liquid_for(acid, strength, FEW_PORTIONS), litres)
    at_once = max(liquid_for(acid, strength, 1), litres)
    water = worth_keeping_back(water)
    if water >= min(needed, LARGEST_LIQUID):
        water, drawn = min(water, round_up(at_once), LARGEST_LIQUID), 0.0
    else:
        wanted = min(round_up(needed), LARGEST_LIQUID)
        drawn = max(min(wanted - water, math.floor(100 * MOST_OF_BATH * bath) / 100), 0.01)
    liquid = water + drawn
    portions = portions_into(acid, strength, liquid)
    filled = liquid + litres * min(1.0, FEW_PORTIONS / portions)
    return Pouring(
        water=water,
        bath=drawn,
        vessel=round_up(2 * filled),
        portions=portions,
        portion_mL=1000 * litres / portions,
        warming=warming_by_acid(acid / portions, strength, liquid),
        renewed=portions > FEW_PORTIONS,
    )


def poured_into(acid: float, strength: float, density: float, liquid: float) -> Pouring:
    """Return how to pour acid into a liquid [L] that is there already, such as the crystals of a new bath."""
    portions = portions_into(acid, strength, liquid)
    litres = acid / density / 1000
    warming = warming_by_acid(acid / portions, strength, liquid)
    return Pouring(liquid, 0.0, round_up(2 * (liquid + litres)), portions, 1000 * litres / portions, warming)


def worth_keeping_back(water: float) -> float:
    """Return the plan's own water [L] as it is kept back: in whole 10 mL, none where there is little."""
    return min(math.floor(round(100 * water, 6)) / 100, water) if water >= LEAST_WATER else 0.0


def round_up(litres: float) -> float:
    """Round a volume [L] up to two digits, and to no finer than a jug is read: 0.05 L."""
    step = max(10.0 ** (math.floor(math.log10(litres)) - 1), 0.05)
    return math.ceil(round(litres / step, 6)) * step
