"""What the bath of a sheet holds and where that stands: all that comes before the question of what to do.

Questions that need no correction (a plating run, a faulty deposit) stop here.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from advisor.basis.components import COMPONENTS
from advisor.check.estimate import Estimate, estimate
from advisor.check.known import Known, Value
from advisor.check.window import Limits, Verdict, is_determined, judge, not_measured, sits_in, window_limits
from advisor.sheet import Sheet
from advisor.solution.solubility import Crystals, crystallises_below, crystals


@dataclass(frozen=True)
class Assessment:
    """What the bath holds and where that stands: all that comes before the question of what to do."""

    estimate: Estimate | None
    limits: dict[str, Limits | None]
    determined: tuple[str, ...]  # the components known well enough to be shown
    verdict: dict[str, Verdict]
    volume_L: float  # at 20 degC; known without readings too
    crystallises_below: float | None = None  # degC
    crystals_now: Crystals | None = None  # at the temperature of now
    crystals_coldest: Crystals | None = None  # at the coldest it will stand
    sum: Value | None = None  # copper sulfate and acid together [g/L], where that is known better than either
    sits_in: tuple[str, ...] = ()  # published windows that hold it, where the chosen one does not
    chloride_counts: bool = True  # whether anybody needs it measured

    @property
    def values(self) -> dict[str, Value | None]:
        """Each component with its standard uncertainty; None where nothing determines it."""
        return shown_of(self.estimate, self.determined)


def assess(sheet: Sheet) -> Assessment:
    """Return what the bath of a sheet holds and the verdict on it, for questions that need no correction."""
    limits = limits_of(sheet)
    found = None if sheet.bath.condition else estimate(sheet)
    determined = tuple(name for name in COMPONENTS if found and _is_shown(found, name, limits[name]))
    verdict = {name: _judge(found, name, limits[name]) for name in COMPONENTS}
    volume = found.volume_L if found else sheet.bath.volume.value
    values = shown_of(found, determined)
    copper, acid = values["copper_sulfate"], values["sulfuric_acid"]
    if not (copper and acid):
        counts = sheet.chloride_counts
        return Assessment(found, limits, determined, verdict, volume, sum=_sum(found), chloride_counts=counts)
    here = copper.value, acid.value
    return Assessment(
        found,
        limits,
        determined,
        verdict,
        volume,
        float(crystallises_below(*here)),
        crystals(*here, sheet.bath.temperature.value),
        crystals(*here, sheet.bath.coldest_degC),
        _sum(found),
        sits_in(*here, limits),
        sheet.chloride_counts,
    )


def _sum(found: Known | None) -> Value | None:
    """Return copper sulfate and acid together [g/L], where a density tells that better than either."""
    if found is None or not found.measured.intersection(("copper_sulfate", "sulfuric_acid")):
        return None
    total = found.sum_of({"copper_sulfate": 1.0, "sulfuric_acid": 1.0})
    either = min(found.standard_uncertainty(name) for name in ("copper_sulfate", "sulfuric_acid"))
    return total if total.standard_uncertainty < either else None


def limits_of(sheet: Sheet) -> dict[str, Limits | None]:
    """Return the limits of the sheet's window, own limits first."""
    own = {name: getattr(sheet.window, name) for name in COMPONENTS}
    plain = {name: (pair[0].value, pair[1].value) if pair else None for name, pair in own.items()}
    return window_limits(sheet.window.name, plain, sheet.bath.additives)


def _judge(found: Known | None, name: str, limits: Limits | None) -> Verdict:
    if found is None or name not in found.measured:
        return not_measured(limits)
    return judge(*found.of(name), limits)


def _is_shown(found: Known, name: str, limits: Limits | None) -> bool:
    return name in found.measured and is_determined(*found.of(name), limits)


def shown_of(found: Known | None, determined: Collection[str]) -> dict[str, Value | None]:
    """Return each component with its standard uncertainty; None where it is not among those that are determined."""
    return {name: found.of(name) if found and name in determined else None for name in COMPONENTS}
