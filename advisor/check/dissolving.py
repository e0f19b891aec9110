"""How much warm liquid dissolves a dose of crystals: the plan's own water first, then bath drawn from the tank.

Crystals that are shovelled into a tank lie on its floor. Apart, in little warm liquid, they are gone in minutes; how
little follows from what stays dissolved at the temperature to which the liquid cools meanwhile (`solution.solubility`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.check.pouring import MOST_OF_BATH, round_up, worth_keeping_back
from advisor.solution.solubility import saturation
from advisor.words.lines import Line, in_a_jug, joined, line

WARMED_TO = 35.0  # degC that a liquid of 40 still has once the crystals are in it (judgement)
BRISKLY = 0.8  # of the saturation: up to there they dissolve in minutes while one stirs (judgement)
VOLUME_OF_SALT = 4.06e-4  # L that a gram of crystals adds to a bath (computed from the density model at 200/60 g/L)


@dataclass(frozen=True)
class Dissolving:
    """What the crystals dissolve in: litres of the plan's water and of bath from the tank, in equal lots one by one."""

    water: float  # L, of all lots together
    bath: float  # L, of each lot
    lots: int = 1

    def source(self, them: str) -> Line:
        """Name the liquid; them: the word for what is dissolved in it. The lots share the water; each has its bath."""
        parts = []
        if self.water > 0:
            share = "" if self.lots == 1 else "half of " if self.lots == 2 else "an equal part of "
            words = "{share}the {water} of water kept back for {them}"
            parts.append(line(words, share=share, water=in_a_jug(self.water), them=them))
        if self.bath > 0:
            bath = line("{bath} of bath drawn from the tank", bath=in_a_jug(self.bath))
            parts.insert(0 if self.lots > 1 else len(parts), bath)  # else "half of" would be said of the bath too
        lots = f"{self.lots} lots one after the other, each in " if self.lots > 1 else ""
        return line("{lots}{parts}", lots=lots, parts=joined(" and ", parts))


def liquid_for(salt: float, copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return how many litres of a liquid [g/L, g/L] take so much salt [g of pentahydrate] briskly; inf: none does."""
    holds = BRISKLY * float(saturation(WARMED_TO, sulfuric_acid))
    if holds <= copper_sulfate:
        return math.inf
    return salt * (1 - holds * VOLUME_OF_SALT) / (holds - copper_sulfate)


def dissolving(salt: float, water: float, bath: float, copper_sulfate: float, sulfuric_acid: float) -> Dissolving:
    """Return in what a dose of salt [g of pentahydrate] is dissolved.

    water: of the plan, that may be kept back for it [L]; bath: in the tank [L], which holds so much [g/L, g/L].
    """
    in_water = liquid_for(salt, 0.0, 0.0)
    if water >= in_water:
        return Dissolving(min(round_up(in_water), water), 0.0)
    water = worth_keeping_back(water)
    wanted = liquid_for(salt * (1 - water / in_water), copper_sulfate, sulfuric_acid)
    most = max(MOST_OF_BATH * bath, 0.01)
    if not math.isfinite(wanted):  # the bath is full of salt: no lot of it would take more
        return Dissolving(water, most)
    lots = math.ceil(wanted / most)
    return Dissolving(water, max(min(round_up(wanted / lots), most), wanted / lots), lots)
