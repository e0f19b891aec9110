"""What the bath of a sheet holds and where that stands: all that comes before the question of what to do.

Questions that need no correction (a plating run, a faulty deposit) stop here.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from advisor.basis.components import COMPONENTS, SALT_AND_ACID, UNITS
from advisor.check.estimate import Estimate, estimate
from advisor.check.known import Known, Value
from advisor.check.window import Limits, Verdict, is_determined, judge, not_measured, sits_in, window_limits
from advisor.sheet import Sheet
from advisor.solution.ranges import HIGHEST
from advisor.solution.solubility import Crystals, crystallises_below, crystals
from advisor.words.lines import Amount, range_of


@dataclass(frozen=True)
class Assessment:
    """The answer of `assess`."""

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

    def shown(self, name: str) -> Amount | None:
        """Return a component as a person reads it: with its ±, or as the range that rough readings leave.

        None where nothing was measured of it.
        """
        if self.estimate is None or name not in self.estimate.measured:
            return None
        value, spread = self.estimate.of(name)
        if name in self.determined:
            return Amount(value, UNITS[name], standard_uncertainty=spread)
        return range_of(value, spread, UNITS[name], HIGHEST[name])


def assess(sheet: Sheet, about: Known | None = None) -> Assessment:
    """Return what the bath of a sheet holds and the verdict on it.

    about: a bath not far from it, where one is known, to start the estimate from.
    """
    return assessed(sheet, None if sheet.bath.condition else estimate(sheet, about))


def assessed(sheet: Sheet, contents: Estimate | None) -> Assessment:
    """Return what `assess` does, from the estimate of a sheet; None where there is none."""
    limits, counts = limits_of(sheet), sheet.chloride_counts
    measured = {name: contents.of(name) for name in COMPONENTS if contents and name in contents.measured}
    determined = tuple(name for name, held in measured.items() if is_determined(*held, limits[name]))
    verdict = {name: _judge(measured.get(name), limits[name]) for name in COMPONENTS}
    volume = contents.volume_L if contents else sheet.bath.volume.value
    known = Assessment(contents, limits, determined, verdict, volume, sum=_sum(contents), chloride_counts=counts)
    copper, acid = (known.values[name] for name in SALT_AND_ACID)
    if not (copper and acid):
        return known
    here = copper.value, acid.value
    return replace(
        known,
        crystallises_below=float(crystallises_below(*here)),
        crystals_now=crystals(*here, sheet.bath.temperature.value),
        crystals_coldest=crystals(*here, sheet.bath.coldest_degC),
        sits_in=sits_in(*here, limits),
    )


def _sum(contents: Known | None) -> Value | None:
    """Return copper sulfate and acid together [g/L], where a density tells that better than either."""
    if contents is None or not contents.measured.intersection(SALT_AND_ACID):
        return None
    total = contents.sum_of(dict.fromkeys(SALT_AND_ACID, 1.0))
    either = min(contents.standard_uncertainty(name) for name in SALT_AND_ACID)
    return total if total.standard_uncertainty < either else None


def _judge(held: Value | None, limits: Limits | None) -> Verdict:
    return judge(*held, limits) if held else not_measured(limits)


def limits_of(sheet: Sheet) -> dict[str, Limits | None]:
    """Return the limits of the sheet's window, own limits first."""
    own = {name: getattr(sheet.window, name) for name in COMPONENTS}
    plain = {name: (pair[0].value, pair[1].value) if pair else None for name, pair in own.items()}
    return window_limits(sheet.window.name, plain, sheet.bath.additives)


def shown_of(contents: Known | None, determined: Collection[str]) -> dict[str, Value | None]:
    """Return each component with its standard uncertainty; None where it is not among those that are determined."""
    return {name: contents.of(name) if contents and name in determined else None for name in COMPONENTS}
