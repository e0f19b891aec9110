"""How a dose of acid is poured so that nothing boils or spits: into which liquid, in what vessel, in what portions.

One function serves the steps of a correction, the mixing of a bath and the replacing of a part. A portion warms its
liquid by at most 15 degC, reckoned with the heat that acid of this strength gives off into this liquid; then it cools.
The vessel holds twice what is poured together, is of polyethylene or polypropylene, and is small enough to be carried.

Sources
-------
Heat: `solution.heat`. 15 degC, twice the volume, three portions a filling and the largest vessel: judgement. That both
plastics stand cold acid of any strength and warm dilute acid, and that glass may crack: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from advisor.solution.heat import Liquid, bath_of, water_of
from advisor.solution.solubility import CEILING_FRACTION, saturation
from advisor.words.cautions import POURED_AFTER
from advisor.words.lines import Amount, Line, joined, line

MOST_RISE = 15.0  # degC a portion (judgement)
FEW_PORTIONS = 3  # in one filling of the vessel (judgement)
VESSEL_TO_LIQUID = 2.0  # so that nothing slops over while it is stirred (judgement)
LARGEST_VESSEL = 20.0  # L, what one person still carries half full (judgement)
MOST_OF_BATH = 0.5  # share of the tank that is drawn for the acid at once (judgement)
LIQUID_TO_ACID = 2.0  # a liquid is at least twice its acid, however weak that is (judgement)
MATERIAL = "polyethylene or polypropylene"
# Litres that are drawn or kept back, as they can be read off a jug or a bucket (judgement).
LITRES = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
ROOM_TEMPERATURE = 20.0  # degC, to which a portion cools (judgement)
WATER, WITHDRAWN = "water", "withdrawn bath"


@dataclass(frozen=True)
class Acid:
    """A dose: grams of acid solution, its strength [g/g] and density [g/mL]."""

    grams: float
    strength: float
    density: float

    @property
    def millilitres(self) -> float:
        return self.grams / self.density

    def share(self, parts: int) -> Acid:
        """Return one of so many equal parts."""
        return Acid(self.grams / parts, self.strength, self.density)


@dataclass(frozen=True)
class Pouring:
    """How a dose is poured. litres of liquid in each filling of the vessel [L]; portions a filling, each [mL]."""

    liquid: str
    litres: float
    vessel: float  # L that it must hold at least
    fillings: int
    portions: int
    portion: float
    rise: float  # degC of the first portion, which warms most
    crystals_may_form: bool

    @property
    def litres_in_all(self) -> float:
        """The liquid of all fillings [L]."""
        return self.litres * self.fillings

    def said(self) -> Line:
        """Say how to pour, for the hand at the bench; it follows on `acid_dose`."""
        put = line(
            "Put {litres:g L} of {drawn} into a vessel of {material} that holds at least {vessel:g L}.",
            litres=self.litres,
            drawn="the water that you kept back" if self.liquid == WATER else "bath drawn from the tank",
            material=MATERIAL,
            vessel=self.vessel,
        )
        then = "Then stir it into the tank."
        if self.fillings > 1:
            then = f"Stir it into the tank, and fill the vessel anew: {self.fillings} fillings in all."
        crystals = "Blue crystals that form in it while it cools dissolve again in the tank."
        return joined(" ", (put, self.portions_said(), then, *((crystals,) if self.crystals_may_form else ())))

    def portions_said(self) -> Line:
        """Say in what portions the acid goes into the liquid, and how warm they make it."""
        one = "Pour in the {portion} thinly, stirring; that warms it by up to {rise}. Let it cool to room temperature."
        several = (
            "Pour the acid in thinly while stirring, in {portions} portions of {portion}; each warms it by up to "
            "{rise}. Let it cool to room temperature after each."
        )
        return line(
            one if self.portions == 1 else several,
            portions=self.portions,
            portion=millilitres(self.portion),
            rise=Amount(max(self.rise, 1.0), "°C", is_change=True),
        )


def pour(acid: Acid, water: float, bath: float, copper_sulfate: float, sulfuric_acid: float) -> Pouring:
    """Return how to pour a dose into the water of a plan [L] or, where that is too little, into bath drawn for it.

    bath: litres in the tank when the acid's turn comes, of that composition [g/L]. Of drawn bath each filling goes back
    before the next is drawn; of water there is only once what the plan adds.
    """
    most = min(LARGEST_VESSEL / VESSEL_TO_LIQUID, MOST_OF_BATH * bath)

    def drawn(litres: float) -> Liquid:
        return bath_of(litres, copper_sulfate, sulfuric_acid)

    fillings = 1
    while fillings < math.ceil(bath) + 10:
        each = acid.share(fillings)
        of_water = _least(each, min(water / fillings, LARGEST_VESSEL / VESSEL_TO_LIQUID), water_of)
        if of_water:
            return _poured(each, WATER, of_water, water_of, fillings, 0.0)
        of_bath = _least(each, most, drawn)
        if of_bath:
            return _poured(each, WITHDRAWN, of_bath, drawn, fillings, copper_sulfate)
        fillings += 1
    return _poured(acid, WITHDRAWN, most, drawn, 1, copper_sulfate)


def pour_into(acid: Acid, litres: float, copper_sulfate: float) -> Pouring:
    """Return how to pour a dose into the liquid in which a bath is mixed: so many litres, with its crystals [g/L]."""

    def there(volume: float) -> Liquid:
        return bath_of(volume, copper_sulfate, 0.0)

    return _poured(acid, "copper sulfate solution", litres, there, 1, 0.0)


def portions_of(acid: Acid, liquid: Liquid) -> int:
    """Return in how many equal portions a dose goes into a liquid so that none warms it by more than 15 degC.

    The first warms it most: each later one finds more acid there.
    """
    portions = max(math.ceil(liquid.warming(acid.grams, acid.strength) / MOST_RISE - 1e-9), 1)
    while liquid.warming(acid.grams / portions, acid.strength) > MOST_RISE:
        portions += 1
    return portions


def _least(acid: Acid, most: float, make: Callable[[float], Liquid]) -> float | None:
    """Return the fewest litres, up to `most`, in which a dose takes few portions; None where there are none."""
    for litres in LITRES:
        fits = litres <= most + 1e-9 and vessel_for(litres, acid) <= LARGEST_VESSEL
        enough = litres >= LIQUID_TO_ACID * acid.millilitres / 1000
        if fits and enough and portions_of(acid, make(litres)) <= FEW_PORTIONS:
            return litres
    return None


def vessel_for(litres: float, acid: Acid | None = None) -> float:
    """Return what a vessel holds at least [L], to half a litre, for so many litres and the acid that goes in."""
    together = litres + (acid.millilitres / 1000 if acid else 0.0)
    return math.ceil(2 * VESSEL_TO_LIQUID * together - 1e-9) / 2


def _poured(
    acid: Acid, name: str, litres: float, make: Callable[[float], Liquid], fillings: int, copper_sulfate: float
) -> Pouring:
    liquid = make(litres)
    portions = portions_of(acid, liquid)
    held = liquid.sulfuric_acid + acid.grams * acid.strength
    volume = litres + acid.millilitres / 1000
    ceiling = CEILING_FRACTION * float(saturation(ROOM_TEMPERATURE, held / volume))
    return Pouring(
        name,
        litres,
        vessel_for(litres, acid),
        fillings,
        portions,
        acid.millilitres / portions,
        liquid.warming(acid.grams / portions, acid.strength),
        copper_sulfate * litres / volume > ceiling,
    )


def millilitres(amount: float) -> Amount:
    """Return a volume of acid as it is measured: to a millilitre, small ones to a tenth."""
    return Amount(amount, "mL", 0 if amount >= 20 else 1)


def acid_dose(acid: Acid) -> Line:
    """Name a dose of acid, with what must be said in the same breath."""
    return line(
        "{volume} of sulfuric acid of {percent:.0f} % ({grams}) – {breath}",
        volume=millilitres(acid.millilitres),
        percent=100 * acid.strength,
        grams=Amount(acid.grams, "g", 0 if acid.grams >= 20 else 2),
        breath=POURED_AFTER,
    )
