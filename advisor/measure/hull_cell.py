"""A Hull cell panel: one strip plated at every current density at once, read with a ruler.

The cell is a trough whose cathode stands aslant, so that its near end gets many times the current density of its far
end. Distances are measured along the panel from the near end, the one closest to the anode. A strip bent in a jar is
the poor man's version, without a scale: it only compares one bath with another.

Sources
-------
Current density along the panel of the 267 mL cell: Metal Finishing Guidebook 2013, p. 482, read, there in amperes a
square foot and inches from 0.25 to 3.25, i = I (27.7 - 48.7 log10 L); in metric units as here. That cell's sides and
the 250 mL of DIN 50957, the same ground plan filled less high: from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

# A/dm2 for 1 A, in cm; the published figures in metric units (computed).
AT_ONE_CM, PER_DECADE = 5.10, 5.24
NEAREST_CM, FARTHEST_CM = 0.64, 8.25  # where the formula holds: 0.25 and 3.25 in (read, see above)
# Wetted height against that of the 267 mL cell: the current crowds on less panel (computed).
CELLS = {"267 mL": 1.0, "250 mL": 267.0 / 250.0}
# Inner sides of the 267 mL cell [cm]: anode side, the two parallel sides, slanted panel, depth filled (from memory).
SIDES_CM = {"anode": 6.4, "short side": 4.8, "long side": 12.7, "panel": 10.2, "depth": 4.9}


class OffThePanel(ValueError):
    """A distance at which the formula does not hold."""


def current_density(distance_cm: float, current: float, cell: str = "267 mL") -> float:
    """Return the current density [A/dm2] at a distance from the near end [cm] for a current [A]; a cell of CELLS.

    Raises OffThePanel outside of 0.64 to 8.25 cm.
    """
    if not NEAREST_CM <= distance_cm <= FARTHEST_CM:
        raise OffThePanel(f"the formula holds from {NEAREST_CM:g} to {FARTHEST_CM:g} cm, not at {distance_cm:.3g} cm")
    return current * CELLS[cell] * (AT_ONE_CM - PER_DECADE * math.log10(distance_cm))


@dataclass(frozen=True)
class Panel:
    """What a panel shows, as current densities [A/dm2]; None where its edge was not seen.

    burns_from: at and above it the copper burns; bright_down_to: below it dull; bare_below: below it nothing plates.
    least, most: the ends of what the panel shows at all.
    """

    burns_from: float | None
    bright_down_to: float | None
    bare_below: float | None
    least: float
    most: float

    @property
    def plates_well(self) -> tuple[float, float]:
        """From which to which current density the bath plates well [A/dm2]: bright, or at least whole."""
        low = self.bright_down_to or self.bare_below or self.least
        return low, self.burns_from or self.most


def read_panel(
    current: float, cell: str, burnt_to: float | None, bright_to: float | None, bare_from: float | None
) -> Panel:
    """Return what a panel shows; distances from the near end [cm], None where that was not seen."""

    def at(distance: float | None) -> float | None:
        return None if distance is None else current_density(distance, current, cell)

    ends = current_density(FARTHEST_CM, current, cell), current_density(NEAREST_CM, current, cell)
    return Panel(at(burnt_to), at(bright_to), at(bare_from), *ends)
