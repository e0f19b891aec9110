"""What the bath of a sheet holds and where that stands: all that comes before the question of what to do.

Questions that need no correction (a plating run, a faulty deposit) stop here.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.check.estimate import Estimate, estimate
from advisor.check.window import COMPONENTS, Limits, Verdict, is_determined, judge, not_measured, window_limits
from advisor.sheet import Sheet
from advisor.solution.solubility import crystallises_below

NAMES = {"copper_sulfate": "copper sulfate", "sulfuric_acid": "sulfuric acid", "chloride": "chloride"}
UNITS = {"copper_sulfate": "g/L", "sulfuric_acid": "g/L", "chloride": "mg/L"}


@dataclass(frozen=True)
class Value:
    """A value with its standard uncertainty, in one unit."""

    value: float
    standard_uncertainty: float


@dataclass(frozen=True)
class Assessment:
    """What the bath holds and where that stands: all that comes before the question of what to do."""

    estimate: Estimate | None
    limits: dict[str, Limits | None]
    values: dict[str, Value | None]
    verdict: dict[str, Verdict]
    volume_L: float  # at 20 degC
    crystallises_below: float | None  # degC


def assess(sheet: Sheet) -> Assessment:
    """Return what the bath of a sheet holds and the verdict on it, for questions that need no correction."""
    limits = limits_of(sheet)
    found = None if sheet.bath.condition else estimate(sheet)
    values = {name: _value(found, name, limits[name]) for name in COMPONENTS}
    copper, acid = values["copper_sulfate"], values["sulfuric_acid"]
    return Assessment(
        found,
        limits,
        values,
        {name: _judge(found, name, limits[name]) for name in COMPONENTS},
        found.volume_L if found else sheet.bath.volume.value,
        float(crystallises_below(copper.value, acid.value)) if copper and acid else None,
    )


def limits_of(sheet: Sheet) -> dict[str, Limits | None]:
    """Return the limits of the sheet's window, own limits first."""
    own = {name: getattr(sheet.window, name) for name in COMPONENTS}
    plain = {name: (pair[0].value, pair[1].value) if pair else None for name, pair in own.items()}
    return window_limits(sheet.window.name, plain, sheet.bath.additives)


def _judge(found: Estimate | None, name: str, limits: Limits | None) -> Verdict:
    if found is None or not found.measured(name):
        return not_measured(limits)
    return judge(found.value(name), found.standard_uncertainty(name), limits)


def _value(found: Estimate | None, name: str, limits: Limits | None) -> Value | None:
    if found is None or not found.measured(name):
        return None
    value = Value(found.value(name), found.standard_uncertainty(name))
    return value if is_determined(value.value, value.standard_uncertainty, limits) else None
