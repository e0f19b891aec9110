"""Hydrometer scales: what the glass shows in a liquid of known density, and the density behind a reading.

A scale states a ratio to water, or degrees, true at the scale's own temperature; in a warmer liquid the glass
itself has grown and floats a little high. Surface tension and clinging bubbles are the reading model's
business.

Sources
-------
Glass: ISO 1768:1975, density = reading * (1 - 25e-6 (T - T_ref)). Baumé (heavy, United States): 145 - 145/SG
60/60 degF, National Bureau of Standards Circular 59 (read in secondary texts). Twaddell: 200 (SG - 1), taken
at 60/60 degF. Density of water to five figures at the scales' temperatures: 0.99821 (20 degC), 0.99997 (4
degC), 0.99902 (60 degF), 0.99705 (25 degC) g/mL. All formulas are exact definitions but the glass, good to
about 0.0001 g/mL between 0 and 60 degC.
"""

from collections.abc import Callable
from dataclasses import dataclass

from advisor.solution.ranges import Number

GLASS_EXPANSION = 25e-6  # of volume, a degC (ISO 1768:1975, read)
_SIXTY_FAHRENHEIT = 15.56  # [degC] (exact)


@dataclass(frozen=True)
class Scale:
    """A scale: its reading is a function of density / `unit_density`, true at `temperature`."""

    unit_density: float  # [g/mL]
    temperature: float  # [degC]
    from_ratio: Callable[[Number], Number] = lambda ratio: ratio
    to_ratio: Callable[[Number], Number] = lambda reading: reading


# Sources in the head of the module.
SCALES = {
    "SG 20/20": Scale(0.99821, 20.0),
    "SG 20/4": Scale(0.99997, 20.0),
    "SG 60/60F": Scale(0.99902, _SIXTY_FAHRENHEIT),
    "SG 25/25": Scale(0.99705, 25.0),
    "g/mL": Scale(1.0, 20.0),
    "Baume": Scale(
        0.99902, _SIXTY_FAHRENHEIT, lambda sg: 145.0 - 145.0 / sg, lambda degrees: 145.0 / (145.0 - degrees)
    ),
    "Twaddell": Scale(0.99902, _SIXTY_FAHRENHEIT, lambda sg: 200.0 * (sg - 1.0), lambda degrees: 1.0 + degrees / 200.0),
}


def reading_from_density(density: Number, scale: str, temperature: Number) -> Number:
    """What the glass shows, in the scale's own unit.

    Parameters
    ----------
    density
        Of the liquid at `temperature` [g/mL], any shape.
    scale
        One of `SCALES`.
    temperature
        Of liquid and glass [degC].
    """
    of = SCALES[scale]
    return of.from_ratio(density / of.unit_density / (1.0 - GLASS_EXPANSION * (temperature - of.temperature)))


def density_from_reading(reading: Number, scale: str, temperature: Number) -> Number:
    """Density [g/mL] at `temperature` [degC] behind a reading; the exact inverse of `reading_from_density`."""
    of = SCALES[scale]
    return of.to_ratio(reading) * of.unit_density * (1.0 - GLASS_EXPANSION * (temperature - of.temperature))
