"""What current a part may carry: the limiting current density of this bath, and the range for smooth thick copper.

The limit follows from the measured copper, the temperature and how the bath moves past the part; a Hull cell panel
lowers what is recommended.

Sources
-------
Limiting current density: `solution.transport`. Trees form above 0.7 of it: Trans. Inst. Metal Finishing 48 (1970) 35-42
(abstract). Most even deposit at 0.4-0.5 of it: "Throwing power of a dilute sulfuric acid copper plating electrolyte
during intensive electrodeposition" (abstract). From these, 0.3-0.5 for thick smooth forms: judgement. Usual current
densities up to 100 A/ft2: Metal Finishing Guidebook 2013, p. 284, Table VIII.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtr

from advisor.basis.units import Measured, in_digits
from advisor.check.assessment import Assessment
from advisor.check.known import Value
from advisor.sheet import HullCell, Plate, Sheet
from advisor.solution.transport import DIFFUSION_LAYER, limiting_current_density

SMOOTH = (0.3, 0.5)  # of the limiting current density (judgement from the abstracts named above)
TREES = 0.7  # of the limiting current density (read in an abstract, see above)
MOST_USUAL = 10.8  # A/dm2, 100 A/ft2 (read, see above)
MANY = 1.5  # times the limiting current, from which no share of it is told any more (judgement)
LEAST = 0.1  # of the limiting current density: less is of little use (judgement)
CAUTIOUS_COPPER_SULFATE = 100.0  # g/L: about what lean home recipes hold (judgement)
KNOWN_ENOUGH = 0.3  # relative standard uncertainty of copper, about that of the limiting current itself (judgement)
LEAST_COPPER_SULFATE = 5.0  # g/L: below it no current is worth naming (judgement)
USUAL_ACID = 60.0  # g/L; acid changes the limiting current only through the viscosity (judgement)
TEMPERATURE_UNCERTAINTY = 1.0  # degC, of a kitchen thermometer (judgement)
ANY_PART = Plate(Measured(1.0, None, "dm^2", ""))  # at rest, of no known height (judgement); its area is not used
EDGES_GET = 2.5  # times the average (common practice, no source: two to three times)


@dataclass(frozen=True)
class Limit:
    """The limiting current density [A/dm2] and the bath it was worked out for [g/L]; not measured: a cautious guess."""

    value: float
    standard_uncertainty: float
    copper_sulfate: float
    sulfuric_acid: float
    measured: bool
    height: float | None = None  # cm, of the part; None where it does not count or nobody said

    def probability_above(self, share: float, current_density: float) -> float:
        """Return how probable it is that a current density [A/dm2] is above a share of the true limit.

        The limit is a product of uncertain factors, hence log-normal.
        """
        relative = self.standard_uncertainty / self.value
        return float(ndtr(math.log(current_density / (share * self.value)) / relative))


def limit_of(sheet: Sheet, assessment: Assessment, run: Plate | HullCell) -> Limit:
    """Return the limiting current density from the measured copper, the bath's temperature, and how it moves.

    The standard uncertainty joins that of the model with those of copper and temperature. Where the readings do not
    tell the copper it is worked out for a lean bath, so that what follows from it burns no edge; such a limit is not
    `measured`.
    """
    measured = _measured_copper(assessment)
    copper = measured or _cautious_copper(assessment)
    at = max(copper.value, LEAST_COPPER_SULFATE)
    held = assessment.values["sulfuric_acid"]
    acid = held.value if held else USUAL_ACID
    temperature = sheet.bath.temperature
    tall = run.height if isinstance(run, Plate) and run.stirring == "still" else None
    height = tall.value / 10.0 if tall else None
    base = limiting_current_density(at, acid, temperature.value, run.stirring, height)
    by_copper = float(base.value) * copper.standard_uncertainty / at
    warmer = temperature.value + temperature.uncertainty_or(TEMPERATURE_UNCERTAINTY)
    by_temperature = limiting_current_density(at, acid, warmer, run.stirring, height).value - base.value
    spread = math.hypot(float(base.standard_uncertainty), by_copper, float(by_temperature))
    return Limit(float(base.value), spread, at, acid, measured is not None, height)


def _measured_copper(assessment: Assessment) -> Value | None:
    """Return the copper sulfate if the readings tell it no worse than the model of the limit is known, else None."""
    shown, estimate = assessment.values["copper_sulfate"], assessment.estimate
    if shown or estimate is None or "copper_sulfate" not in estimate.measured:
        return shown
    told = estimate.of("copper_sulfate")
    return told if told.standard_uncertainty < KNOWN_ENOUGH * told.value else None


def _cautious_copper(assessment: Assessment) -> Value:
    """Return copper sulfate that the bath most likely has: the lean recipe, or less where the readings point lower."""
    estimate = assessment.estimate
    value = CAUTIOUS_COPPER_SULFATE
    if estimate is not None and "copper_sulfate" in estimate.measured:
        told = estimate.of("copper_sulfate")
        if told.standard_uncertainty < value:  # else readings that contradict each other tell nothing
            value = min(value, told.value - told.standard_uncertainty)
    value = max(value, LEAST_COPPER_SULFATE)
    return Value(value, KNOWN_ENOUGH * value)


def current_densities(sheet: Sheet, assessment: Assessment, part: Plate) -> tuple[Limit, tuple[float, float]]:
    """Return the limit for a part, and the range for smooth thick copper [A/dm2] as far as a panel leaves it."""
    limit = limit_of(sheet, assessment, part)
    recommended = recommended_range(limit)
    return limit, within_panel(recommended, sheet.hull_cell, part.stirring) if sheet.hull_cell else recommended


def gentle_start(recommended: tuple[float, float], current_density: float = math.inf) -> float:
    """Return the current density [A/dm2] at which copper closes over a coat, before that of the run (judgement)."""
    return min(current_density, recommended[0]) / 2


def recommended_range(limit: Limit) -> tuple[float, float]:
    """Return the range for smooth thick copper [A/dm2]: 0.3 to 0.5 of the limit, and not above what is usual."""
    high = min(SMOOTH[1] * limit.value, MOST_USUAL)
    return high * SMOOTH[0] / SMOOTH[1], high


def within_panel(recommended: tuple[float, float], panel: HullCell, stirring: str) -> tuple[float, float]:
    """Return a range of averages [A/dm2] narrowed by a panel: no edge burns, and what gets least is not dull.

    What burns is limited by what diffuses, so that it grows with the stirring as the limiting current does. A panel is
    plated thin and says nothing of how smooth a thick form grows: it lowers the range and never raises it.
    """
    shown = panel.panel()
    stirred = DIFFUSION_LAYER[panel.stirring] / DIFFUSION_LAYER[stirring]
    low, high = recommended
    if shown.burns_from is not None:
        high = min(high, shown.burns_from * stirred / EDGES_GET)
    if shown.bright_down_to is not None:
        low = max(low, shown.bright_down_to)
    if low > high:  # it burns at the edges before it shines in the recesses: the edges come first
        low = high * SMOOTH[0] / SMOOTH[1]
    return low, high


def share_of(share: float) -> str:
    """Say a share of a limiting current, such as "0.45 of" or "70 times", before what it is of."""
    return f"{share:.2f} of" if share < MANY else f"{in_digits(share, 2)} times"
