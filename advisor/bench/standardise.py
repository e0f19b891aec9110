"""The strength of a titrant, and how surely it is known: weighed in, or found by titrating something weighed.

Four ways, each a table of fields like those of the bench sheet and a pure function of it: a dry substance weighed in
and made up; baking soda baked to washing soda and weighed in; a titrant run into a weighed solid; a titrant run into a
solution of weighed copper sulfate crystals. The answer is a text for the field `strength` of a reading, which the
person copies there. It titrates no bath.

Tolerances of tools and scales become standard uncertainties by ÷√3, like in the readings. The same syringe used to
standardise and to titrate would cancel a part of its error; that is not counted on, so the stated uncertainty is rather
too large.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from advisor.basis.fields import FlagField, InputError, TableBase, choice, define, quantity, show, tool, volume, weighed
from advisor.basis.units import COVERAGE, Measured
from advisor.readings import acid_titration, chloride, copper_titration
from advisor.readings import strength as known
from advisor.readings.tools import (
    STEPS_NEW_EACH_TIME,
    STEPS_OF_A_SCALE,
    Titrant,
    check_tool,
    drops,
    volume_error,
    weighing_error,
)
from advisor.solution import molar_masses
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SODIUM_BICARBONATE, SODIUM_CARBONATE
from advisor.words.cautions import Act, cautions, first_aid
from advisor.words.lines import capital, decimals
from advisor.words.sections import Section

BAKED_LOSS = 1 - SODIUM_CARBONATE / (2 * SODIUM_BICARBONATE)  # g/g; 2 NaHCO3 -> Na2CO3 + H2O + CO2: 0.369 (computed)
SHORT_OF_BAKED = 0.01  # share of the loss that may be missing beside the weighing, for moisture and salt (judgement)
MADE_UP_HELP = "With distilled water. Weighed on a scale it is surer than in a jug: write 1000 ± 2 mL."

BAKING_POWDER = (
    "baking powder is baking soda mixed with a dry acid and starch, so that a gram of it takes no known amount of "
    "acid: use plain baking soda"
)
_EDTA = {
    # How much water a pack of the tetrasodium salt holds is seldom known: none to four, 380 to 452 g/mol, ÷√3 of half
    # the width (judgement).
    "EDTA acid": Titrant("EDTA", molar_masses.EDTA_ACID, 0.0053, 0.01),
    "disodium EDTA dihydrate": copper_titration.TITRANTS["EDTA"],
    "tetrasodium EDTA dihydrate": Titrant("EDTA", molar_masses.TETRASODIUM_EDTA, 0.0053, 0.05),
}
# What is weighed in and made up: the formula as sold and how true a weighing of it is.
WEIGHED: dict[str, Titrant] = {
    **{name: titrant for name, titrant in acid_titration.TITRANTS.items() if name != "sodium hydroxide"},
    **_EDTA,
    "sodium thiosulfate pentahydrate": copper_titration.TITRANTS["iodometric"],
    "silver nitrate": chloride.SILVER_NITRATE,
}


@dataclass(frozen=True)
class WeighedSolid:
    """A solid that a titrant is run into: grams that take a mole of titrant, and the end point's relative error."""

    titrant: str
    grams_per_mole: float
    end_point: float
    indicator: str


# Phenolphthalein turns at pH 8.2 to 10. The acid then left over, and the lye run in too much, are within these standard
# uncertainties (computed with the last dissociation constants, pK 5.41 and 6.40, from memory). Citric acid
# has three protons.
_PHTHALATE, _CITRIC, _WET = molar_masses.HYDROGEN_PHTHALATE, molar_masses.CITRIC_ACID / 3, molar_masses.WATER / 3
WEIGHED_SOLIDS = {
    "potassium hydrogen phthalate": WeighedSolid("sodium hydroxide", _PHTHALATE, 0.001, "phenolphthalein"),
    "citric acid": WeighedSolid("sodium hydroxide", _CITRIC, 0.002, "phenolphthalein"),
    "citric acid monohydrate": WeighedSolid("sodium hydroxide", _CITRIC + _WET, 0.002, "phenolphthalein"),
    # IO3- + 5 I- + 6 H+ -> 3 I2, and each iodine takes two thiosulfates.
    "potassium iodate": WeighedSolid("sodium thiosulfate", molar_masses.POTASSIUM_IODATE / 6, 0.002, "starch"),
}
# Carbonate in lye counts by half with phenolphthalein and in full with methyl orange: half of 0.5 % (judgement).
CARBONATE_IN_LYE = 0.003


@dataclass(frozen=True)
class Strength:
    """A titrant's strength [mol/L] with its standard uncertainty; shares: the relative standard uncertainties in it."""

    TITLE: ClassVar[str] = "Strength of a titrant"
    titrant: str
    molarity: float
    shares: Mapping[str, float]
    notes: tuple[str, ...] = ()
    acts: tuple[Act, ...] = ()
    strength_from: str | None = None  # what the reading says beside it, for titrants of acid

    @property
    def cautions(self) -> tuple[str, ...]:
        return cautions(self.acts)

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty [mol/L]: the shares are independent."""
        return self.molarity * float(np.hypot.reduce(list(self.shares.values())))

    @property
    def text(self) -> str:
        """The text for a reading's strength; its ± holds 95 %, as everywhere in a sheet."""
        return strength_of(self.molarity, self.standard_uncertainty).text

    def _known_from(self) -> tuple[str, ...]:
        if self.strength_from is None:
            return ()
        return (f'Beside it, under "Strength known from", choose "{self.strength_from}".',)

    def to_dict(self) -> dict[str, object]:
        """Return the result for another program."""
        return {
            "titrant": self.titrant,
            "strength_mol_L": {"value": self.molarity, "standard_uncertainty": self.standard_uncertainty},
            "relative_standard_uncertainty_from": dict(self.shares),
            "strength": self.text,
            "strength_from": self.strength_from,
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the strength, what makes it unsure, and the cautions."""
        relative = 100 * COVERAGE * self.standard_uncertainty / self.molarity
        ranked = sorted(self.shares.items(), key=lambda share: -share[1])
        made_of = ", ".join(f"{source} {100 * COVERAGE * share:.2g} %" for source, share in ranked)
        result = (
            f"{capital(self.titrant)}: {self.text} (± {relative:.2g} %). Copy it into the reading's strength.",
            f"It comes from: {made_of}. The first of these is the one to improve.",
            *self._known_from(),
        )
        blocks = (
            Section("Strength", result),
            Section("What you should know", self.notes),
            Section("Take care", self.cautions, caution=True),
            *first_aid(self.acts),
        )
        return tuple(block for block in blocks if block.lines)


def _acid_strength_from(substance: str, how: str) -> str | None:
    """Return what a reading says beside a strength: only titrants of acid are asked."""
    return how if substance in known.AS_IT_COMES else None


def strength_of(molarity: float, standard_uncertainty: float) -> Measured:
    """Return a strength [mol/L] as the sheet takes it: "0.0987 ± 0.0011 mol/L"."""
    places = max(decimals(standard_uncertainty), 0)
    return Measured.of(molarity, "mol/L", "strength", standard_uncertainty=standard_uncertainty, decimals=places)


def molarity(grams: float, grams_per_mole: float, millilitres: float) -> float:
    """Return the strength [mol/L] of a titrant of which a volume [mL] holds, or takes up, a mass [g]; g/mol between."""
    return grams / grams_per_mole / millilitres * 1000


def scale_error(mass: Measured) -> float:
    """Return the standard uncertainty [g] of one weighing on a tared scale, its calibration included."""
    if mass.standard_uncertainty is not None:
        return mass.standard_uncertainty
    return weighing_error(mass) * STEPS_OF_A_SCALE / STEPS_NEW_EACH_TIME


def _volume_share(amount: Measured, with_what: str | None, role: str) -> float:
    """Return the relative standard uncertainty of a volume."""
    return volume_error(amount, with_what, role).total / (amount.value * 1000)


def _solution_shares(mass: Measured, made_up: Measured, made_up_with: str | None) -> dict[str, float]:
    """Return what weighing a substance in and making it up adds, as relative standard uncertainties."""
    return {
        "weighing": scale_error(mass) / mass.value,
        "volume made up": _volume_share(made_up, made_up_with, "made up"),
    }


def _purity_share(purity: Measured) -> float:
    """Return the relative standard uncertainty of a purity: as typed, or half of what is missing to 100 %, by ÷√3."""
    missing = (1 - purity.value) / 2 / float(np.sqrt(3))
    return purity.uncertainty_or(missing) / purity.value


def _net(used: Measured, blank: Measured | None, place: str) -> float:
    """Return titrant used less the blank [mL]; raises InputError where nothing is left."""
    net = (used.value - (blank.value if blank else 0.0)) * 1000
    if net <= 0:
        assert blank
        raise InputError(f"{place}: blank", show(blank.text), f"it must be less than used, {used.text}")
    return net


def _titrated_shares(used: Measured, used_with: str | None, blank: Measured | None, net: float) -> dict[str, float]:
    """Return what reading the titrant adds: the tool's error over all of it, and a drop at each end point."""
    return {
        "titrant volume": _volume_share(used, used_with, "titrant") * used.value * 1000 / net,
        "a drop": drops(blank) / net,
    }


def _used() -> Any:
    return volume("Titrant used", "Up to the end point.", required=True)


def _blank(what: str) -> Any:
    return volume("Blank", f"What {what} without the solid takes.", above=False)


@dataclass(frozen=True)
class WeighedIn(TableBase):
    """A dry substance weighed in and made up: its formula tells the strength."""

    substance: str = choice(
        "Substance",
        tuple(WEIGHED),
        "As it stands on the pack. Washing soda in clear crystals is the decahydrate; baked dry it is plain sodium "
        "carbonate. Never baking powder: it is mixed with acid and starch.",
        required=True,
        refused=(
            ("baking powder", BAKING_POWDER),
            ("sodium hydroxide", "lye takes up water and carbon dioxide while you weigh it: titrate a weighed acid"),
            ("lye", "lye takes up water and carbon dioxide while you weigh it: titrate a weighed acid"),
        ),
    )
    mass: Measured = weighed("Weighed in", "Write the decimals of the scale too: 10.50 g.")
    made_up: Measured = volume("Made up to", MADE_UP_HELP, required=True, high=20.0)
    purity: Measured = quantity(
        "fraction",
        "Purity",
        "From the label. Food grade baking soda is 99 % or better.",
        default="100 %",
        low=0.8,
        high=1.0,
    )
    made_up_with: str | None = tool("Made up")

    def check(self, place: str) -> None:
        """Refuse an unknown tool."""
        check_tool(self.made_up_with, self.made_up, f"{place}: made_up_with")


@dataclass(frozen=True)
class Baked(TableBase):
    """Baking soda baked to sodium carbonate; the loss in the oven tells whether it is done."""

    before: Measured = weighed("Baking soda before", "Net of the dish. Write the decimals of the scale too.")
    after: Measured = weighed("After baking", "Net of the dish, cooled with a lid on.")
    mass: Measured = weighed("Weighed in", "Of the baked powder, for the solution.")
    made_up: Measured = volume("Made up to", MADE_UP_HELP, required=True, high=20.0)
    made_up_with: str | None = tool("Made up")

    def check(self, place: str) -> None:
        """Refuse a bake that is not finished, and an unknown tool."""
        check_tool(self.made_up_with, self.made_up, f"{place}: made_up_with")
        bake = judge_bake(self.before, self.after)
        if not bake.complete:
            raise InputError(f"{place}: after", show(self.after.text), bake.said)


@dataclass(frozen=True)
class AgainstSolid(TableBase):
    """A titrant run into a weighed solid."""

    solid: str = choice(
        "Weighed solid",
        tuple(WEIGHED_SOLIDS),
        "Citric acid from the baker's shelf is mostly the one without water: look at the pack.",
        required=True,
    )
    mass: Measured = weighed("Weighed in the flask", "Dry. Write the decimals of the scale too: 0.342 g.")
    used: Measured = _used()
    blank: Measured | None = _blank("the same water with the indicator")
    purity: Measured = quantity("fraction", "Purity", "From the label.", default="99.5 %", low=0.8, high=1.0)
    used_with: str | None = tool("Titrant")

    def check(self, place: str) -> None:
        """Refuse a blank that leaves nothing, and an unknown tool."""
        check_tool(self.used_with, self.used, f"{place}: used_with")
        _net(self.used, self.blank, place)


@dataclass(frozen=True)
class AgainstCrystals(TableBase):
    """EDTA or thiosulfate run into a part of a solution of weighed copper sulfate crystals."""

    method: str = choice("Method", tuple(copper_titration.TITRANTS), "As you titrate the bath.", required=True)
    crystals: Measured = weighed("Crystals weighed in", "Good grade, blue all through, no white crust.")
    made_up: Measured = volume("Made up to", "With distilled water and a few drops of acid.", required=True)
    sample: Measured = volume("Part titrated", "Of that solution.", required=True)
    used: Measured = _used()
    blank: Measured | None = _blank("water with the same reagents")
    purity: Measured = quantity(
        "fraction", "Purity of the crystals", "From the label.", default="99 %", low=0.8, high=1
    )
    thiocyanate: bool | None = define(
        FlagField(label="Thiocyanate before the end", help="Iodometric only: did you add it?")
    )
    made_up_with: str | None = tool("Made up")
    sample_with: str | None = tool("Part titrated")
    used_with: str | None = tool("Titrant")

    def check(self, place: str) -> None:
        """Refuse what does not fit together, and unknown tools."""
        for name in ("made_up", "sample", "used"):
            check_tool(getattr(self, f"{name}_with"), getattr(self, name), f"{place}: {name}_with")
        if self.thiocyanate is not None and self.method == "EDTA":
            raise InputError(f"{place}: thiocyanate", "the method is EDTA", "it goes only with iodometric")
        if self.sample.value > self.made_up.value:
            accepted = f"it must not be more than was made up, {self.made_up.text}"
            raise InputError(f"{place}: sample", show(self.sample.text), accepted)
        if self.made_up.standard_uncertainty is None and self.made_up_with is None:
            accepted = 'name what measured it ("250 mL class B volumetric flask", "kitchen jug"), or give it with its ±'
            raise InputError.missing(f"{place}: made_up_with", accepted)
        _net(self.used, self.blank, place)


@dataclass(frozen=True)
class Bake:
    """Whether a bake is done and what to say of it; standard uncertainty of the loss that tells it."""

    loss_uncertainty: float  # g/g
    complete: bool
    said: str


def judge_bake(before: Measured, after: Measured) -> Bake:
    """Judge by its loss whether baking soda is baked to carbonate; all of it loses 36.9 % (from the formulas).

    Complete: at least 99 % of that loss, less twice the weighing's standard uncertainty.
    """
    loss = 1 - after.value / before.value
    spread = float(np.hypot(weighing_error(after), weighing_error(before) * (1 - loss))) / before.value
    wanted = f"all of it baked loses {100 * BAKED_LOSS:.1f} %"
    seen = f"that is a loss of {100 * loss:.1f} %, and {wanted}"
    if loss + 2 * spread < (1 - SHORT_OF_BAKED) * BAKED_LOSS:
        said = f"{seen}: bake it half an hour more at 200 °C, spread thin, and weigh again"
        return Bake(spread, False, said)
    if loss - 2 * spread > (1 + SHORT_OF_BAKED) * BAKED_LOSS:
        said = f"{seen}: it was damp before, or some was spilled; what is left is sound"
        return Bake(spread, True, said)
    return Bake(spread, True, f"{seen}: it is done")


def weighed_in(given: WeighedIn) -> Strength:
    """Return the strength of what was weighed in and made up, by its formula."""
    titrant = WEIGHED[given.substance]
    shares = {
        **_solution_shares(given.mass, given.made_up, given.made_up_with),
        "the substance itself": float(np.hypot(titrant.weighing, _purity_share(given.purity))),
    }
    strength = molarity(given.mass.value * given.purity.value, titrant.molar_mass, given.made_up.value * 1000)
    notes, known_from = _NOTES.get(given.substance, ()), _acid_strength_from(given.substance, known.WEIGHED)
    return Strength(given.substance, strength, shares, notes, _acts(given.substance), known_from)


def baked(given: Baked) -> Strength:
    """Return the strength of a solution of baked soda; an unfinished bake is refused where the fields are read.

    Each hundredth of the soda that may be left unbaked makes a gram 0.6 % weaker.
    """
    bake = judge_bake(given.before, given.after)
    titrant = WEIGHED["sodium carbonate"]
    unsure = min(bake.loss_uncertainty / BAKED_LOSS, SHORT_OF_BAKED) * BAKED_LOSS / (1 - BAKED_LOSS)
    shares = {
        **_solution_shares(given.mass, given.made_up, given.made_up_with),
        # Made fresh and dry, it is twice as true as bought soda (judgement).
        "the bake": float(np.hypot(unsure, titrant.weighing / 2)),
    }
    strength = molarity(given.mass.value, titrant.molar_mass, given.made_up.value * 1000)
    notes = (f"The bake: {bake.said}.",)
    return Strength("sodium carbonate", strength, shares, notes, _acts("sodium carbonate"), known.BAKED)


def against_solid(given: AgainstSolid) -> Strength:
    """Return the strength of the titrant that neutralised (or reduced) a weighed solid."""
    solid, net = WEIGHED_SOLIDS[given.solid], _net(given.used, given.blank, "")
    end_point = solid.end_point if solid.titrant != "sodium hydroxide" else np.hypot(solid.end_point, CARBONATE_IN_LYE)
    shares = {
        "weighing": scale_error(given.mass) / given.mass.value,
        **_titrated_shares(given.used, given.used_with, given.blank, net),
        "purity of the solid": _purity_share(given.purity),
        "the end point": float(end_point),
    }
    strength = molarity(given.mass.value * given.purity.value, solid.grams_per_mole, net)
    blank = () if given.blank else ("Titrate the water and indicator alone too: what they take counts as lye.",)
    notes = (*blank, *_NOTES[solid.titrant]) if solid.titrant == "sodium hydroxide" else ()
    known_from = _acid_strength_from(solid.titrant, known.STANDARDISED)
    return Strength(solid.titrant, strength, shares, notes, _acts(solid.titrant), known_from)


def against_crystals(given: AgainstCrystals) -> Strength:
    """Return the strength of EDTA or thiosulfate from a part of a weighed copper sulfate solution.

    Iodine that the white solid holds back without thiocyanate is allowed for as in the titration of the bath.
    """
    net = _net(given.used, given.blank, "")
    part = given.sample.value / given.made_up.value
    early = 0.0
    end_point = copper_titration.END_POINT[given.method]
    if given.method == "iodometric":
        low, high = copper_titration.HELD_IODINE[given.thiocyanate]
        early, end_point = (low + high) / 2, float(np.hypot(end_point, (high - low) / 2 / np.sqrt(3)))
    shares = {
        **_solution_shares(given.crystals, given.made_up, given.made_up_with),
        "part taken": _volume_share(given.sample, given.sample_with, "sample"),
        **_titrated_shares(given.used, given.used_with, given.blank, net),
        "purity of the crystals": _purity_share(given.purity),
        "the end point": end_point,
    }
    grams = given.crystals.value * given.purity.value * part * (1 - early)
    strength = molarity(grams, COPPER_SULFATE_PENTAHYDRATE, net)
    titrant = "disodium EDTA" if given.method == "EDTA" else "sodium thiosulfate"
    notes = (
        "Titrate the crystals exactly as you titrate the bath: same indicator, same volume, same light.",
        "Crystals with a white crust have lost water, and make the titrant seem too weak.",
    )
    return Strength(titrant, strength, shares, notes, _acts(titrant))


@dataclass(frozen=True)
class Standardisation:
    """A way to a strength: what a person calls it, the table of its fields, and the function that answers it."""

    label: str
    table: type[TableBase]
    answer: Callable[[Any], Strength]


STANDARDISATIONS = {
    "weighed in": Standardisation("Weighed in and made up", WeighedIn, weighed_in),
    "baked": Standardisation("Soda baked before weighing", Baked, baked),
    "against solid": Standardisation("Against a weighed acid or iodate", AgainstSolid, against_solid),
    "against crystals": Standardisation("Against weighed copper sulfate", AgainstCrystals, against_crystals),
}

_NOTES = {
    "sodium bicarbonate": (
        "Use it dry and from a fresh pack; warm water drives gas out of it, so dissolve it cold.",
        "At 0 °C water holds no more than 69 g of baking soda per litre.",
    ),
    "sodium carbonate decahydrate": (
        "Washing soda crystals lose water in air and turn white: bake them an hour at 200 °C and count them as sodium "
        "carbonate, which is surer.",
    ),
    "EDTA acid": ("EDTA acid hardly dissolves in water: buy the disodium salt instead.",),
    "tetrasodium EDTA dihydrate": (
        "Packs of the tetrasodium salt hold more or less water: run it into weighed copper sulfate for a surer "
        "strength.",
    ),
    "sodium thiosulfate pentahydrate": ("Thiosulfate weakens within weeks: run it into weighed crystals before use.",),
    "sodium hydroxide": (
        "Carbon dioxide taken up by lye counts by half with phenolphthalein and in full with methyl orange: use fresh "
        "lye and boiled water, and keep the bottle shut.",
    ),
}


_SPECIAL: dict[str, tuple[Act, ...]] = {
    "sodium hydroxide": (Act.LYE,),
    "silver nitrate": (Act.SILVER_NITRATE, Act.SILVER_AND_AMMONIA),
    "sodium thiosulfate": (Act.THIOSULFATE, Act.IODINE),
    "sodium thiosulfate pentahydrate": (Act.THIOSULFATE, Act.IODINE),
    "disodium EDTA": (Act.AMMONIA,),
}


def _acts(titrant: str) -> tuple[Act, ...]:
    return (*_SPECIAL.get(titrant, ()), Act.WEIGHING_POWDERS, Act.FOOD_WARE)
