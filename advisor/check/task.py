"""Put a sheet and what is known of its bath together as the correction wants them: the bath, its limits, the stock.

It only translates; what a bath becomes is told by `mass_balance`, what to do with it is decided in `correction`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from advisor.check.estimate import Estimate
from advisor.check.foreign import SULFATE
from advisor.check.mass_balance import Stock, Task
from advisor.check.window import Limits, Verdict
from advisor.sheet import Aim, Sheet
from advisor.solution.stock import (
    AcidStock,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    pentahydrate_mass_fraction,
    pentahydrate_mass_fraction_from_copper_content,
)

USUAL_ACID = 0.96  # mass fraction, where the sheet says nothing


def make_task(sheet: Sheet, found: Estimate | None, verdict: dict[str, Verdict]) -> Task:
    """Put sheet and estimate together as the correction wants them; the tank's litres become litres at 20 degC."""
    bath = sheet.bath
    scale = found.volume_L / bath.volume.value if found else 1.0
    return Task(
        **_contents(found),
        volume=scale * bath.volume.value,
        volume_relative_uncertainty=found.volume_relative_uncertainty if found else 0.0,
        verdicts=verdict,
        usual_volume=scale * bath.usual_L,
        least_volume=scale * bath.least_L,
        most_volume=scale * bath.most_L,
        coldest=bath.coldest.value,
        **_goal(sheet.correction, verdict),
        stock=make_stock(sheet),
        weighed_to=_finest_scale(sheet.gear.have),
    )


def _contents(found: Estimate | None) -> dict[str, Any]:
    """Return what the bath holds and how surely, as fields of a task; nothing, and that surely, without an estimate."""
    if found is None:
        return {
            "copper_sulfate": 0.0,
            "sulfuric_acid": 0.0,
            "foreign_solids": 0.0,
            "chloride": None,
            "covariance": (1.0, 0.0, 1.0),
            "chloride_standard_uncertainty": 0.0,
        }
    covariance, measured = found.covariance, found.measured("chloride")
    return {
        "copper_sulfate": found.value("copper_sulfate"),
        "sulfuric_acid": found.value("sulfuric_acid"),
        "foreign_solids": found.sum_of(SULFATE)[0],
        "chloride": found.value("chloride") if measured else None,
        "covariance": (float(covariance[0][0]), float(covariance[0][1]), float(covariance[1][1])),
        "chloride_standard_uncertainty": found.standard_uncertainty("chloride") if measured else 0.0,
    }


def _goal(wanted: Aim, verdict: dict[str, Verdict]) -> dict[str, Any]:
    """Return where to steer, as fields of a task: the point that the sheet names, else the middle of the window."""
    salt, acid = wanted.copper_sulfate, wanted.sulfuric_acid
    return {
        "aim": wanted.aim if salt is None and acid is None else "point",
        "aim_copper_sulfate": salt.value if salt else _middle(verdict["copper_sulfate"].limits),
        "aim_sulfuric_acid": acid.value if acid else _middle(verdict["sulfuric_acid"].limits),
    }


def _middle(limits: Limits | None) -> float:
    return sum(limits) / 2 if limits else 0.0


def _finest_scale(gear: Iterable[str]) -> float:
    """Return what the finest scale at hand shows [g]; 1 g where none is named."""
    shown = [name.split()[0] for name in gear if name.endswith(" g scale")]
    return min((float(step) for step in shown if _is_number(step)), default=1.0)


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def make_stock(sheet: Sheet) -> Stock:
    """Turn the labels of what is on hand into what the mass balance needs."""
    crystals, acid, water, chloride = sheet.stock.crystals, sheet.stock.acid, sheet.stock.water, sheet.stock.chloride
    known: dict[str, Any] = {}
    if crystals:
        salt = (
            pentahydrate_mass_fraction_from_copper_content(crystals.copper_content.value)
            if crystals.copper_content
            else pentahydrate_mass_fraction(crystals.purity.value, crystals.form)
        )
        pure = pentahydrate_mass_fraction(1.0, "pentahydrate" if salt <= 1 else "anhydrous")
        known |= {
            "crystals_pentahydrate": salt,
            "crystals_inert": max(1 - salt / pure, 0.0),
            "crystals_on_hand": crystals.on_hand.value if crystals.on_hand else math.inf,
            "crystals_price": crystals.price,
        }
    graded = acid_of(sheet)
    known |= {"acid_strength": graded.strength, "acid_density": graded.density}
    if acid:
        known |= {"acid_on_hand": acid.on_hand.value * 1000 if acid.on_hand else math.inf, "acid_price": acid.price}
    if water:
        known |= {"water_chloride": water.chloride.value, "water_alkalinity": water.alkalinity.value}
    if chloride:
        strength = chloride.strength.value if chloride.kind == "hydrochloric acid" else 1.0
        known |= {
            "chloride_kind": chloride.kind,
            "chloride_strength": strength,
            "chloride_mass_fraction": chloride_mass_fraction(chloride.kind, strength),
            "chloride_density": float(hydrochloric_acid_density(strength)) if strength < 1 else None,
        }
    return Stock(**known)


def acid_of(sheet: Sheet) -> AcidStock:
    """Return the acid on hand; 96 % where the sheet says nothing."""
    acid = sheet.stock.acid
    if acid and acid.density and not acid.strength:
        return AcidStock.from_density(acid.density.value)
    return AcidStock.from_strength(acid.strength.value if acid and acid.strength else USUAL_ACID)
