"""What an open tank gives off to the room: by evaporation, convection and radiation from its surface, and by its walls.

Air moves by itself: it rises where it is warm and moist. A fan or a draught doubles all of it (judgement).

Sources
-------
Free convection in air, h = 1.52 (dT)^(1/3) W/(m2 K) over a warm level surface and 1.42 (dT/L)^(1/4) along a wall of
height L [m]: W. H. McAdams' simplified forms as in J. P. Holman, Heat Transfer, from memory. Evaporation follows from
the first by the analogy of heat and mass (Lewis number of water in air 0.87), with the lightness of moist air counted
in. Vapour pressure: the Magnus form of O. A. Alduchov and R. E. Eskridge, J. Appl. Meteorol. 35 (1996) 601, from
memory. Water in a plating bath is 95 % of its molecules: EPA 625/8-82-008 (1982), figure 5, as quoted in "Evaporation
Water Loss", Products Finishing (2008), read.
The sums are held against a printed table (`tests/published/test_heat_loss.py`). Evaporation of still tanks differs
threefold between published figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.integrate import quad

from advisor.basis.roots import zero_between
from advisor.solution.heat import HEAT_CAPACITY

STEFAN_BOLTZMANN = 5.670374e-8  # [W/m2/K4] (CODATA 2018, from memory)
EMISSIVITY = 0.95  # of water and of plastics (from memory)
OVER_A_SURFACE = 1.52  # [W/m2/K^(4/3)] (source: the head of this file)
ALONG_A_WALL = 1.42  # [W/m2/K^(5/4) m^(1/4)] (source: the head of this file)
LEWIS = 0.87  # thermal over molecular diffusivity of water vapour in air at 25 degC (from memory)
HEAT_CAPACITY_OF_AIR = 1007.0  # [J/kg/K] (from memory)
PRESSURE = 101_325.0  # [Pa] (standard atmosphere, exact)
VAPOUR_PER_AIR = 0.622  # molar mass of water over that of dry air (computed)
HEAT_OF_EVAPORATION = 2.44e6  # [J/kg] at 25 degC (from memory)
WATER_IN_BATH = 0.95  # mole fraction of water (read, see above)
# [W/m2/K]: the air of a room is never quite still. Judgement: what evaporates at 90 degF in the printed table takes
# 3.9, the formula for still indoor pools of the ASHRAE handbook (from memory) 5.3.
LEAST_OVER_A_SURFACE = 4.0
USUAL_HUMIDITY = 0.5  # of the room (judgement)
RELATIVE_UNCERTAINTY = 0.3  # standard, of the heat that a tank gives off: draughts, humidity, shape (judgement)
UNDER_A_LID = 0.1  # share of the evaporation left under a loose lid or floating balls (judgement)
CONVECTION_UNDER_A_LID = 0.5  # share of the surface's convection and radiation left under it (judgement)


@dataclass(frozen=True)
class Tank:
    """An open tank: its bath [L], the surface of the liquid [m2], the height [m] and area [m2] of the wetted walls."""

    volume: float
    surface: float
    height: float
    walls: float

    @classmethod
    def of(cls, volume: float, surface: float | None = None) -> Tank:
        """Return a square tank that holds so much [L] under such a surface [dm2]; without one it is a cube.

        The floor stands on something and counts as half of its area.
        """
        area = volume ** (2 / 3) if surface is None else surface  # [dm2]
        depth = volume / area  # [dm]
        walls = 4.0 * math.sqrt(area) * depth + 0.5 * area
        return cls(volume, area / 100.0, depth / 10.0, walls / 100.0)


@dataclass(frozen=True)
class HeatLoss:
    """Heat [W] that a tank gives off, by its ways; water that evaporates [kg/h]. Below 0 it takes heat up."""

    evaporation: float
    surface: float
    walls: float
    water: float

    @property
    def total(self) -> float:
        """All of it [W]."""
        return self.evaporation + self.surface + self.walls


def vapour_pressure(temperature: float) -> float:
    """Return the pressure of water vapour [Pa] over water at a temperature [degC]; 3160 Pa at 25 degC."""
    return 610.94 * math.exp(17.625 * temperature / (temperature + 243.04))


def humidity_ratio(pressure: float) -> float:
    """Return the water in air [kg/kg of dry air] at such a vapour pressure [Pa]."""
    return VAPOUR_PER_AIR * pressure / (PRESSURE - pressure)


def heat_loss(
    tank: Tank, temperature: float, room: float, covered: bool = False, humidity: float = USUAL_HUMIDITY
) -> HeatLoss:
    """Return what a tank gives off at a temperature [degC] to a still room [degC]; humidity: the room's, a fraction.

    Relative standard uncertainty `RELATIVE_UNCERTAINTY`; air in the liquid or over it takes about twice as much.
    """
    at_surface = humidity_ratio(WATER_IN_BATH * vapour_pressure(temperature))
    moister = at_surface - humidity_ratio(humidity * vapour_pressure(room))
    # Moist air is lighter as if it were warmer: 0.61 of its water, times its absolute temperature.
    lighter = abs(temperature - room + 0.61 * moister * (room + 273.15))
    over = max(OVER_A_SURFACE * lighter ** (1 / 3), LEAST_OVER_A_SURFACE)  # [W/m2/K]
    water = over / (HEAT_CAPACITY_OF_AIR * LEWIS ** (2 / 3)) * moister * tank.surface  # [kg/s]
    along = ALONG_A_WALL * (abs(temperature - room) / tank.height) ** 0.25
    radiated = EMISSIVITY * STEFAN_BOLTZMANN * ((temperature + 273.15) ** 4 - (room + 273.15) ** 4)  # [W/m2]
    water *= UNDER_A_LID if covered else 1.0
    top = (over * (temperature - room) + radiated) * tank.surface * (CONVECTION_UNDER_A_LID if covered else 1.0)
    sides = (along * (temperature - room) + radiated) * tank.walls
    return HeatLoss(water * HEAT_OF_EVAPORATION, top, sides, 3600.0 * water)


def hours_to_warm(
    tank: Tank, start: float, wanted: float, room: float, watts: float, covered: bool = False
) -> float | None:
    """Return how long [h] a heater [W] takes from one temperature to another [degC]; None where it never gets there."""

    def slowness(temperature: float) -> float:
        return HEAT_CAPACITY * tank.volume / (watts - heat_loss(tank, temperature, room, covered).total) / 3600.0

    if wanted <= start:
        return 0.0
    if watts <= heat_loss(tank, wanted, room, covered).total:
        return None
    return float(quad(slowness, start, wanted)[0])


def warmest(tank: Tank, room: float, watts: float, covered: bool = False) -> float:
    """Return the temperature [degC] that a heater [W] keeps in the end, at most 95."""

    def left(temperature: float) -> float:
        return watts - heat_loss(tank, temperature, room, covered).total

    if left(95.0) > 0:
        return 95.0
    return zero_between(left, -20.0, 95.0)
