"""How much current a conductive coat lets start: from what a meter shows on it to a current, wires and a growing front.

A strip of coat that is fed at one end and plates evenly carries at each place the current of all that lies beyond. Over
a length L the potential falls by j R L^2 / 2, where j is the current density and R the sheet resistance (Ohm's law
integrated). What lies farther off than that leaves a few tenths of a volt stays bare at first; copper
closes near the wire, then carries the current on, and the front moves.

Sources
-------
Tolerated drop of 0.1 to 0.2 V: judgement; copper plates at a tenth of the current where it lacks about 0.12 V (slope of
its Tafel line, from memory). Copper carries once it is closed, at about 2 um: judgement; its sheet resistance is then
below 0.01 ohm (resistivity 1.68e-6 ohm cm, CRC Handbook, from memory). What coats usually have: suppliers' data sheets,
from memory; a web page on conductive paint (read) gives 0.1 to 10 ohm a square after two to three coats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.solution.faraday import layer_mass, mass_deposited

TOLERATED = (0.1, 0.2)  # V (judgement)
MIDDLE = 0.15  # V (judgement)
CLOSED = 0.002  # mm of copper that carries on its own (judgement)
# ohm a square, from to; usual for one to two coats (suppliers' data sheets and a web page, from memory).
USUAL = {"graphite": (30.0, 1000.0), "nickel": (0.5, 5.0), "copper": (0.1, 3.0), "silver": (0.01, 0.3)}
LEAST_SHEET = 0.001  # ohm a square: a meter that shows nothing shows no less (judgement)
MOST_WIRES = 30  # more is another coat (judgement)


def sheet_resistance(shown: float, apart: float, width: float) -> float:
    """Return the sheet resistance [ohm a square] of a coat.

    shown: by a meter [ohm] between two places so far apart, across a coat so wide [both in one unit of length]. The
    tips themselves resist too, so that this is rather too much, which is the safe side.
    """
    return shown * width / apart


def density_at_start(sheet: float, length: float) -> float:
    """Return the current density [A/dm2] at which all of a strip [cm] of a sheet resistance [ohm] plates at once."""
    return 200.0 * MIDDLE / (sheet * length**2)


def reach(density: float, sheet: float) -> float:
    """Return how far from a wire [cm] a coat of a sheet resistance [ohm] plates at a current density [A/dm2]."""
    return math.sqrt(200.0 * MIDDLE / (density * sheet))


def hours_to_close(density: float) -> float:
    """Return the time [h] in which copper closes at a current density [A/dm2]."""
    return layer_mass(1.0, CLOSED) / mass_deposited(density)


@dataclass(frozen=True)
class Start:
    """How a coat starts. sheet ohm a square; length cm to the farthest place; density A/dm2 near the wire.

    all_at_once: current density at which everything plates from the first minute; reach: how far it does at `density`;
    front: hours until the farthest place is closed; wires: how many make it start at once at `density`.
    """

    sheet: float
    length: float
    density: float
    all_at_once: float
    reach: float
    front: float
    wires: int

    @property
    def at_once(self) -> bool:
        """Tell whether all of the coat starts at once."""
        return self.reach >= self.length

    @property
    def too_poor(self) -> bool:
        """Tell whether the coat is so poor that another one comes before any number of wires."""
        return self.wires > MOST_WIRES


def start(sheet: float, length: float, density: float, wires_now: int = 1) -> Start:
    """Return how a coat of a sheet resistance [ohm] starts at a gentle current density [A/dm2].

    length: from a wire to the farthest place [cm]. A wire serves its reach on either side, so that the number of wires
    goes as the length. The front waits at each reach until copper has closed there, and goes on from there.
    """
    sheet = max(sheet, LEAST_SHEET)
    there = reach(density, sheet)
    stages = max(length / there, 1.0)
    return Start(
        sheet=sheet,
        length=length,
        density=density,
        all_at_once=density_at_start(sheet, length),
        reach=there,
        front=stages * hours_to_close(density),
        wires=math.ceil(wires_now * stages - 1e-9),
    )
