"""Put together what a correction needs, from a sheet and what is known of its bath: the bath, its limits, the stock.

It only translates; what a bath becomes is told by `mass_balance`, what to do with it is decided in `correction`.
"""

from __future__ import annotations

import math
from typing import Any

from advisor.basis.components import SALT_AND_ACID
from advisor.check.known import Known, Value, independent
from advisor.check.mass_balance import Stock, Task
from advisor.check.search import LEVEL_TOLERANCE
from advisor.check.window import Limits, Verdict, judge, not_measured
from advisor.readings.tools import KITCHEN_SCALE, finest_scale
from advisor.sheet import Aim, Sheet
from advisor.solution.stock import (
    CONCENTRATED_ACID,
    AcidStock,
    chloride_mass_fraction,
    hydrochloric_acid_density,
    inert_mass_fraction,
    pentahydrate_mass_fraction,
    pentahydrate_mass_fraction_from_copper_content,
)


def make_task(sheet: Sheet, contents: Known | None, verdict: dict[str, Verdict]) -> Task:
    """Put together what a correction needs; the tank's litres become litres at 20 degC."""
    bath = sheet.bath
    known = contents or _nothing_known(bath.volume.value)
    aim, aim_copper_sulfate, aim_sulfuric_acid = _goal(sheet.correction, verdict)
    least, most = (known.volume_L * (litres / bath.volume.value) for litres in (bath.least_L, bath.most_L))
    return Task(
        known=known,
        verdicts=_that_count(sheet, verdict),
        usual_volume=known.volume_L * (bath.usual_L / bath.volume.value),
        least_volume=min(least, most * (1 - LEVEL_TOLERANCE)),  # nobody fills a tank to the millilitre
        most_volume=most,
        coldest=bath.coldest_degC,
        additives=bath.additives,
        has_room=bath.max_volume is not None,
        aim=aim,
        aim_copper_sulfate=aim_copper_sulfate,
        aim_sulfuric_acid=aim_sulfuric_acid,
        stock=make_stock(sheet),
        weighed_to=finest_scale(sheet.gear.have) or KITCHEN_SCALE,
    )


def _that_count(sheet: Sheet, verdict: dict[str, Verdict]) -> dict[str, Verdict]:
    """Return the verdicts without limits for chloride, where it does not count."""
    judged = verdict["chloride"]
    if sheet.chloride_counts:
        return verdict
    return verdict | {"chloride": judge(0.0, 0.0, None) if judged.probability_in is not None else not_measured(None)}


def _nothing_known(volume: float) -> Known:
    """Return what is known of a bath of a volume [L] where there is no reading."""
    return independent(dict.fromkeys(SALT_AND_ACID, Value(0.0, 1.0)), (), volume, 0.0)


def _goal(wanted: Aim, verdict: dict[str, Verdict]) -> tuple[str, float, float]:
    """Return the kind of aim, and where to steer [g/L, g/L]: the sheet's own point, else the middle of the window."""
    salt, acid = wanted.copper_sulfate, wanted.sulfuric_acid
    return (
        wanted.aim if salt is None and acid is None else "point",
        salt.value if salt else _middle(verdict["copper_sulfate"].limits),
        acid.value if acid else _middle(verdict["sulfuric_acid"].limits),
    )


def _middle(limits: Limits | None) -> float:
    return sum(limits) / 2 if limits else 0.0


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
        known |= {
            "crystals_pentahydrate": salt,
            "crystals_inert": inert_mass_fraction(salt),
            "crystals_on_hand": crystals.on_hand.value if crystals.on_hand else math.inf,
            "crystals_price": crystals.price,
        }
    graded = acid_of(sheet)
    known |= {"acid_strength": graded.strength, "acid_density": graded.density, "acid_is_told": acid_is_told(sheet)}
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


def acid_is_told(sheet: Sheet) -> bool:
    """Tell whether the sheet says how strong the acid on hand is."""
    acid = sheet.stock.acid
    return acid is not None and bool(acid.strength or acid.density)


def acid_of(sheet: Sheet) -> AcidStock:
    """Return the acid on hand; 96 % where the sheet says nothing."""
    acid = sheet.stock.acid
    if acid and acid.density and not acid.strength:
        return AcidStock.from_density(acid.density.value)
    return AcidStock.from_strength(acid.strength.value if acid and acid.strength else CONCENTRATED_ACID)
