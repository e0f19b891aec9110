"""How to make old bath safe to hand in: how much base it takes, how much gas comes off, what portions, when to stop.

The base follows from the bath's composition, or from an upper bound where nobody knows it. It ends with copper in a
sludge that is still hazardous waste: nothing here makes anything fit for a drain. Whether treating it at home is
allowed is for the local authority to say.

Sources
-------
Stoichiometry to full precipitation: two equivalents a mole of sulfuric acid and two a mole of copper; the gas is an
upper bound, since basic carbonate keeps some of the carbon dioxide. Copper held by over-dosed bicarbonate: computed
with PHREEQC. Heat of lye: standard enthalpies of formation of the National Bureau of Standards (1982), from memory.
Tub, filling, threefold thinning: judgement.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import ClassVar

from advisor.basis import tables
from advisor.basis.components import SALT_AND_ACID
from advisor.basis.fields import InputError, show
from advisor.check.advice import Advice
from advisor.check.advise import advise_beside
from advisor.check.window import SURE_REACH
from advisor.sheet import Dispose, Sheet
from advisor.solution.molar_masses import (
    COPPER_SULFATE_PENTAHYDRATE,
    MOLAR_VOLUME,
    SODIUM_BICARBONATE,
    SODIUM_CARBONATE,
    SULFURIC_ACID,
)
from advisor.words.cautions import Act, StepWithActs, cautions, in_order, take_care
from advisor.words.lines import Amount, Line, counted, line
from advisor.words.sections import Section

# g/L: saturated at 20 degC (computed by the solubility fit); the strongest window's top (read).
UPPER_BOUND = {"copper_sulfate": 312.0, "sulfuric_acid": 225.0}
DILUTION = 3  # the bath is thinned to three times its volume (judgement)
TUB = 20.0  # L (judgement: the largest that one person still moves)
FILL = 0.25  # of the tub, for the foam (judgement)
# Of the base, where the gas is not stirred out: carbon dioxide takes 17 to 32 % before pH 7 shows (computed with
# PHREEQC).
UNSTIRRED = "a third"
# g in a level tablespoon of 14.8 mL: baking soda 4.6 g a teaspoon (United States nutrient tables, from memory); dense
# anhydrous washing soda about as much (judgement).
LEVEL_SPOON = {"sodium bicarbonate": 13.8, "sodium carbonate": 15.0}
SHED = 10_000.0  # L of air in a closed shed of 10 cubic metres (judgement)


@dataclass(frozen=True)
class Base:
    """A base: its molar mass [g/mol], equivalents a mole, and moles of carbon dioxide an equivalent at most."""

    molar_mass: float
    equivalents: int
    gas_per_equivalent: float


# Exact: stoichiometry.
BASES = {
    "sodium bicarbonate": Base(SODIUM_BICARBONATE, 1, 1.0),
    "sodium carbonate": Base(SODIUM_CARBONATE, 2, 0.5),
}


@dataclass(frozen=True)
class Rule:
    """A rule as it was read: where it applies, what it says, where it stands and when that was."""

    place: str
    says: str
    source: str
    date: str


def rules() -> tuple[Rule, ...]:
    """Return the rules that were read, in the order in which they are shown."""
    return tuple(Rule(row["place"], row["says"], row["citation"], row["date"]) for row in tables.rows("waste_rules"))


_FIRST_OF_ALL = "Ask your local authority where to hand the bath in as it is. That is the best way."
ACTS = (
    Act.ASKING_FIRST,
    Act.COPPER_WASTE,
    Act.SLUDGE,
    Act.KEEPING_WASTE_APART,
    Act.SILVER_AND_AMMONIA,
    Act.AMMONIA,
    Act.THIOSULFATE,
    Act.HANDLING_BATH,
    Act.FIZZING,
    Act.FOOD_WARE,
    Act.LOCAL_RULES,
)


@dataclass(frozen=True)
class Disposal:
    """What making a volume safe takes. base_g: to full precipitation; known: from readings, else an upper bound."""

    base: str
    volume: float  # L
    copper_sulfate: float  # g/L, that the base is worked out for
    sulfuric_acid: float
    known: bool
    base_g: float
    base_standard_uncertainty: float | None  # g, None for an upper bound
    gas: float  # L at 20 degC, at most
    portions: int
    lye_heat: float  # kJ/L, what lye would give off

    TITLE: ClassVar[str] = "Making old bath safe to hand in"

    @property
    def portion(self) -> float:
        """Bath that goes into the tub at a time [L]."""
        return self.volume / self.portions

    @property
    def takes(self) -> Line:
        """The base that it takes in all, no finer than it is known."""
        spread = self.base_standard_uncertainty
        most = "at most " if spread is None else ""
        return line("{most}{grams}", most=most, grams=Amount(self.base_g, "g", standard_uncertainty=spread))

    @property
    def spoons(self) -> int:
        """Level tablespoons of base for each portion."""
        return math.ceil(self.base_g / self.portions / LEVEL_SPOON[self.base])

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        return {
            "base": self.base,
            "base_g": self.base_g,
            "base_standard_uncertainty_g": self.base_standard_uncertainty,
            "gas_L": self.gas,
            "portions": self.portions,
            "portion_L": self.portion,
            "level_tablespoons_a_portion": self.spoons,
            "volume_L": self.volume,
            "tub_L": TUB,
            "stop_at_pH": [7.0, 7.5],
            "settle_h": [12, 24],
            "composition": {
                "copper_sulfate_g_L": self.copper_sulfate,
                "sulfuric_acid_g_L": self.sulfuric_acid,
                "is_upper_bound": not self.known,
            },
            "lye_heat_kJ_L": self.lye_heat,
            "steps": [text for text, _ in self._steps()],
            "rules": [asdict(rule) for rule in rules()],
            "cautions": list(cautions(ACTS)),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the answer for a reader: whom to ask, how much it takes, what to do, then rules and cautions."""
        as_read = tuple(f"{rule.place}: {rule.says} ({rule.source}; {rule.date})" for rule in rules())
        return (
            Section("First of all", (_FIRST_OF_ALL,)),
            Section("If you are allowed to make it safe yourself", self._amount_lines()),
            in_order("What to do, in this order", self._steps()),
            Section("What the rules say, as read", as_read),
            *take_care(ACTS),
        )

    def _amount_lines(self) -> tuple[str, ...]:
        source = "as your readings say" if self.known else "an upper bound, since no reading settles what it holds"
        return (
            line(
                "{volume} with {copper} copper sulfate and {acid} acid ({source}) takes {takes} of {base}. Have that "
                "and {more} more at hand: where the gas is not stirred out, it takes 17 to 32 % more until pH 7 "
                "shows (computed with PHREEQC). Let the pH say when to stop.",
                volume=Amount(self.volume, "L", 2),
                copper=Amount(self.copper_sulfate, "g/L"),
                acid=Amount(self.sulfuric_acid, "g/L"),
                source=source,
                takes=self.takes,
                base=self.base,
                more=UNSTIRRED,
            ),
            line(
                "Up to {gas} of carbon dioxide comes off: in a closed shed of {shed} that is {percent:.1f} % of the "
                "air. Outdoors only.",
                gas=Amount(self.gas, "L"),
                shed=Amount(SHED / 1000, "m³"),
                percent=100 * self.gas / SHED,
            ),
            line(
                "Work in {portions} of {portion}. That is for a tub of {tub}; a tub of another size takes a twelfth of "
                "its litres at a time.",
                portions=counted(self.portions, "portion"),
                portion=Amount(self.portion, "L", 2),
                tub=Amount(TUB, "L"),
            ),
        )

    def _steps(self) -> tuple[StepWithActs, ...]:
        """Return each step with its acts."""
        into_the_tub = line(
            "Put {water} of water into a tall plastic tub and pour {bath} of bath into it: thinned threefold, the tub "
            "is at most a quarter full.",
            water=Amount((DILUTION - 1) * self.portion, "L", 2),
            bath=Amount(self.portion, "L", 2),
        )
        base = line(
            "Stir in {base} by level tablespoons, about {spoons} of them ({grams}) in all for each portion. Wait until "
            "the foam has gone before the next one.",
            base=self.base,
            spoons=self.spoons,
            grams=Amount(self.base_g / self.portions, "g", digits=2),
        )
        stop = (
            "Stir the gas out and measure the pH. Stop at pH 7 to 7.5 and add no fixed excess: at 10 % too much "
            "bicarbonate 1 to 30 mg/L of copper stays dissolved, at 30 % up to 112 mg/L (computed with PHREEQC)."
        )
        settle = (
            "Let it settle 12 to 24 hours under a lid that does not close tightly. Draw off the clear liquid into its "
            "own can."
        )
        dry = (
            "Let the sludge dry in the tub, covered, out of the rain, away from children and animals, and make no dust "
            "of it. It stays hazardous copper waste."
        )
        return (
            ("Go outdoors, with goggles and gloves, upwind of the tub.", (Act.HANDLING_BATH, Act.FOOD_WARE)),
            (into_the_tub, (Act.KEEPING_WASTE_APART, Act.SILVER_AND_AMMONIA, Act.AMMONIA, Act.THIOSULFATE)),
            (base, (Act.FIZZING,)),
            (stop, ()),
            (settle, ()),
            (dry, (Act.SLUDGE,)),
            ("Label both, with what they are and the date, and hand both in.", (Act.COPPER_WASTE,)),
        )


def dispose(sheet: Sheet) -> Disposal:
    """Return what making old bath safe takes. Raises InputError for more bath than there is."""
    wanted = sheet.dispose or Dispose()
    held = sheet.bath.volume.value
    volume = wanted.volume.value if wanted.volume else held
    if wanted.volume and volume > 1.001 * held:
        accepted = line("at most what the bath holds, {held:g L}", held=held)
        raise InputError("dispose: volume", show(wanted.volume.text), accepted)
    advice = advise_beside(sheet)
    known = set(SALT_AND_ACID) <= set(advice.determined)
    copper_sulfate, sulfuric_acid = (_content(advice, name, known) for name in SALT_AND_ACID)
    base = BASES[wanted.base]
    equivalents = volume * equivalents_per_litre(copper_sulfate, sulfuric_acid)
    grams = equivalents / base.equivalents * base.molar_mass
    relative = _relative_uncertainty(advice, copper_sulfate, sulfuric_acid) if known else None
    return Disposal(
        base=wanted.base,
        volume=volume,
        copper_sulfate=copper_sulfate,
        sulfuric_acid=sulfuric_acid,
        known=known,
        base_g=grams,
        base_standard_uncertainty=None if relative is None else grams * relative,
        gas=equivalents * base.gas_per_equivalent * MOLAR_VOLUME,
        portions=math.ceil(volume * DILUTION / (FILL * TUB) - 1e-9),
        lye_heat=lye_heat(copper_sulfate, sulfuric_acid),
    )


def equivalents_per_litre(copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return the base that a bath [g/L, g/L] takes to full precipitation [mol/L of hydroxide or bicarbonate]."""
    return 2 * sulfuric_acid / SULFURIC_ACID + 2 * copper_sulfate / COPPER_SULFATE_PENTAHYDRATE


def lye_heat(copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return the heat that solid lye would give off in a bath [g/L, g/L], the reason why it is refused [kJ/L].

    Dissolving NaOH 44.5 kJ/mol, its reaction with acid 55.8 kJ/mol, precipitating Cu(OH)2 54.6 kJ a mole of copper: all
    from memory (see above).
    """
    copper, acid = copper_sulfate / COPPER_SULFATE_PENTAHYDRATE, sulfuric_acid / SULFURIC_ACID
    return 44.5 * equivalents_per_litre(copper_sulfate, sulfuric_acid) + 55.8 * 2 * acid + 54.6 * copper


def _content(advice: Advice, name: str, known: bool) -> float:
    """Return the content to plan for [g/L]: the value, else what it is surely below (95 %), else the most possible."""
    estimate = advice.estimate
    if estimate is None or name not in estimate.measured:
        return UPPER_BOUND[name]
    value = estimate.value(name)
    return value if known else min(value + SURE_REACH * estimate.standard_uncertainty(name), UPPER_BOUND[name])


def _relative_uncertainty(advice: Advice, copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return the relative standard uncertainty of the base, from that of the composition and of the volume."""
    estimate = advice.estimate
    assert estimate is not None
    salt, acid = equivalents_per_litre(1.0, 0.0), equivalents_per_litre(0.0, 1.0)
    _, spread = estimate.sum_of({"copper_sulfate": salt, "sulfuric_acid": acid})
    relative = spread / equivalents_per_litre(copper_sulfate, sulfuric_acid)
    return math.hypot(relative, estimate.volume_relative_uncertainty)
