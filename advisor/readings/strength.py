"""What the stated strength of a titrant for acid is worth: the substance as it comes, baked, standardised or bought.

A weighed strength says what went in, not how much base was in it: washing soda loses or holds water, lye takes up water
and carbon dioxide, baking soda gets damp. So each substance has a mean and a spread relative to its formula, unless it
was baked or its strength was measured against something known.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from advisor.basis.fields import InputError, choice, show
from advisor.basis.units import COVERAGE, Measured
from advisor.readings.model import Model
from advisor.readings.tools import Titrant
from advisor.words.lines import Line, line

WEIGHED, BAKED, STANDARDISED, BOUGHT = "weighed", "baked", "standardised", "bought"
STRENGTH_FROM = (WEIGHED, BAKED, STANDARDISED, BOUGHT)
# Relative standard uncertainties where no ± was typed (judgement): what a bake leaves, a strength measured against a
# weighed solid, and a solution bought with its strength on the label.
BAKED_SPREAD, STANDARDISED_SPREAD, BOUGHT_SPREAD = 0.004, 0.007, 0.005


class AsItComes(NamedTuple):
    """Base in a gram relative to the formula: mean and standard uncertainty, and what people usually allow for.

    weathers: whether it changes so much on the shelf that nobody can have allowed for it.
    """

    mean: float
    spread: float
    usual: float
    why: str
    weathers: bool = False


# Judgement, to hold the whole range in which each is sold or kept. `usual`: who types ± has looked it up.
AS_IT_COMES = {
    "sodium hydroxide": AsItComes(
        0.972, 0.013, 0.98, "lye takes up water and carbon dioxide from the air, and holds 94 to 99 % of what it says"
    ),
    "sodium bicarbonate": AsItComes(0.990, 0.008, 0.996, "damp baking soda holds 98 % of what it says"),
    "sodium carbonate": AsItComes(
        0.92, 0.048, 0.99, "what is sold as anhydrous soda may hold up to 15 % of water: some is the monohydrate"
    ),
    "sodium carbonate monohydrate": AsItComes(1.0, 0.02, 1.0, "the monohydrate may have dried or become damp"),
    # Fresh 1; it crumbles in air to what has lost up to 30 % of its weight, and is then 1.43 times as strong.
    "sodium carbonate decahydrate": AsItComes(
        1.21,
        0.12,
        1.0,
        "crystals of washing soda lose water in the air, and a gram of what is left takes up to 43 % more acid",
        weathers=True,
    ),
}


LEAST_LIMIT = 0.015  # relative; a substance that is known better than that is never called the limit (judgement)


class Worth(NamedTuple):
    """True over stated strength, the relative standard uncertainty of that, and the substance's part of it."""

    factor: float
    relative_uncertainty: float
    of_the_substance: float


def how_known(strength: Measured, said: str | None) -> str:
    """Return where a strength is from, one of `STRENGTH_FROM`: as the sheet says.

    Where it does not, mol/L with ± is what standardising gives; anything else was weighed in.
    """
    if said:
        return said
    return STANDARDISED if strength.unit == "mol/L" and strength.standard_uncertainty is not None else WEIGHED


def worth(name: str, titrant: Titrant, strength: Measured, said: str | None) -> Worth:
    """Return what the stated strength of a titrant (a key of `AS_IT_COMES`) is worth; said: see `how_known`."""
    how, typed = how_known(strength, said), strength.standard_uncertainty is not None
    if how in (STANDARDISED, BOUGHT):
        unsaid = STANDARDISED_SPREAD if how == STANDARDISED else BOUGHT_SPREAD
        return Worth(1.0, strength.uncertainty_or(unsaid * strength.value) / strength.value, 0.0)
    weighing = titrant.relative_uncertainty(strength)
    if how == BAKED:
        return Worth(1.0, float(np.hypot(weighing, BAKED_SPREAD)), 0.0)
    comes = AS_IT_COMES[name]
    in_moles = strength.unit == "mol/L"
    factor, spread = comes.mean / (comes.usual if typed and not in_moles else 1.0), comes.spread / comes.mean
    if in_moles and not said and not comes.weathers:
        # Someone who works in moles may have allowed for the purity: the mean stays, the spread holds both cases.
        factor, spread = 1.0, float(np.hypot(comes.spread, 1.0 - comes.mean))
    return Worth(factor, float(np.hypot(weighing, spread)), spread)


def strength_from() -> Any:
    """Define the field that says where a strength is known from."""
    return choice(
        "Strength known from",
        STRENGTH_FROM,
        "Weighed in as it comes; dried by baking, then it is plain sodium carbonate; measured against something known; "
        "bought ready made. Empty: weighed in, or standardised where it is in mol/L with ±.",
    )


def source_of(titrant: str, strength: Measured, bottle: str | None) -> str:
    """Name the bottle of titrant, by which readings share its error."""
    return f"titrant {bottle or f'{titrant} {strength.text}'}"


def check_baked(said: str | None, titrant: str, place: str) -> None:
    """Refuse what cannot be baked, and a hydrate that was: it no longer holds water."""
    if said == BAKED and titrant != "sodium carbonate":
        accepted = 'what was baked is sodium carbonate: give titrant = "sodium carbonate"'
        raise InputError(f"{place}: strength_from", show(said), accepted)


def substance_limits(titrant: str, known: Worth, model: Model, source: str) -> list[Line]:
    """Say so where the titrant's own strength is what limits a titration, and what to do about it.

    source: of the titrant in the model's shared errors.
    """
    if known.of_the_substance < LEAST_LIMIT or source not in model.systematic:
        return []
    others = [float(model.random[0]), *(float(of[0]) for name, of in model.systematic.items() if name != source)]
    rest = float(np.hypot.reduce(others))
    if float(model.systematic[source][0]) < rest:
        return []
    way = "Standardise it" if titrant == "sodium hydroxide" else line("Bake it (an hour at {200 °C}) or standardise it")
    return [
        line(
            "What limits this titration is the strength of the {titrant}: {why}. {way}, and the acid will be known to "
            "about ± {percent:.0f} %.",
            titrant=titrant,
            why=AS_IT_COMES[titrant].why,
            way=way,
            percent=100 * COVERAGE * float(np.hypot(rest / float(model.observed[0]), STANDARDISED_SPREAD)),
        )
    ]
