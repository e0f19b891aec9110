"""What the map of a bath draws of a check: a pure function of its sheet and its advice."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.check.advice import Advice
from advisor.check.assessment import limits_of
from advisor.sheet import Sheet
from advisor.ui.charts.bath_map import BathMap
from advisor.words.lines import Units

SHORT_STEPS = {
    "bath": "taking out",
    "sulfuric acid": "acid",
    "hydrochloric acid": "chloride",
    "sodium chloride": "chloride",
}
MISSING_LEVEL = 0.01  # of the usual level: less than this is not told apart (judgement)


def map_numbers(sheet: Sheet, advice: Advice, units: Units, done: int = 0) -> BathMap:
    """Return what the map draws, from a sheet and its advice."""
    limits = limits_of(sheet)
    return BathMap(
        limits["copper_sulfate"],
        limits["sulfuric_acid"],
        sheet.bath.coldest_degC,
        advice.estimate,
        tuple((step.after.copper_sulfate, step.after.sulfuric_acid) for step in advice.steps),
        done,
        tuple(step.salt or SHORT_STEPS.get(step.what, step.what) for step in advice.steps),
        _target(sheet, limits) if advice.steps else None,
        _just_water(sheet, advice),
        units,
    )


def _target(sheet: Sheet, limits: Mapping[str, tuple[float, float] | None]) -> tuple[float, float] | None:
    """Return the point that the correction steers for [g/L]: that of the sheet, else the middle of the window."""
    wanted = sheet.correction
    if wanted.aim == "least":
        return None
    ends = []
    for name, typed in (("copper_sulfate", wanted.copper_sulfate), ("sulfuric_acid", wanted.sulfuric_acid)):
        between = limits[name]
        if typed is None and between is None:
            return None
        ends.append(typed.value if typed else sum(between or ()) / 2)
    return ends[0], ends[1]


def _just_water(sheet: Sheet, advice: Advice) -> tuple[float, float] | None:
    """Return where water alone, up to the usual level, would bring the bath [g/L]; None where the level is there."""
    known, volume, level = advice.estimate, sheet.bath.volume, sheet.bath.usual_volume
    both = known is not None and {"copper_sulfate", "sulfuric_acid"} <= known.measured
    missing = level is not None and volume.value < (1 - MISSING_LEVEL) * level.value
    if not both or not missing or len({step.what for step in advice.steps} - {"water"}) == 0:
        return None
    assert known is not None
    assert level is not None
    share = volume.value / level.value
    return share * known.value("copper_sulfate"), share * known.value("sulfuric_acid")
