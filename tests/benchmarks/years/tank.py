"""A tank in grams, by a balance and volumes of its own (read off the CRC's rows): nothing of the tool is used here."""

from dataclasses import dataclass

WATER = 0.9982071  # g/mL at 20 degC, air-free (CRC Handbook)
CU, CRYSTAL, SULFURIC, H2O = 63.546, 249.68, 98.07, 18.015  # g/mol
COPPER_PER_AMPERE_HOUR = 3600 * CU / 2 / 96485.33  # g
WATER_PER_COPPER = (5 - 1) * H2O / CU  # g that 2 Cu + O2 + 2 H2SO4 -> 2 CuSO4.5H2O takes, less what it makes
# Volume [mL] that P g/L of crystals and A g/L of acid take up in a litre: a·P + b·P² + c·A + d·A² + e·P·A, fitted to the
# densities of `bench.liquid`, which are read off the CRC's rows; within 0.5 mL/L for 120-280 and 20-110 g/L.
TAKES_UP = (0.35625, 1.0449e-4, 0.37819, 5.781e-5, 9.474e-5)
SOLIDS_TAKE_UP = 0.09  # mL a gram of iron(II) sulfate (bench: it adds 0.92 mg/mL a g/L)


@dataclass
class Tank:
    """Grams in the tank. litres: at 20 degC, by this module's own volumes."""

    salt: float
    acid: float
    solids: float
    water: float
    chloride: float = 0.0  # mg

    @property
    def litres(self) -> float:
        a, b, c, d, e = TAKES_UP
        litres = (self.water / WATER + 0.38 * (self.salt + self.acid)) / 1000
        for _ in range(4):
            p, s = self.salt / litres, self.acid / litres
            up = a * p + b * p * p + c * s + d * s * s + e * p * s + SOLIDS_TAKE_UP * self.solids / litres
            litres = (self.water / WATER + up * litres) / 1000
        return litres

    def lose(self, litres: float) -> None:
        """Let bath leave, as it is."""
        left = 1 - litres / self.litres
        self.salt, self.acid, self.solids, self.water, self.chloride = (
            left * part for part in (self.salt, self.acid, self.solids, self.water, self.chloride)
        )

    def add_water(self, litres: float, chloride: float = 0.0) -> None:
        """Add litres of water with milligrams of chloride."""
        self.water += litres * 1000 * WATER
        self.chloride += chloride

    def dissolve(self, copper: float) -> None:
        """Dissolve grams of copper with air; below zero: plate them, with oxygen at the anode."""
        self.salt += copper * CRYSTAL / CU
        self.acid -= copper * SULFURIC / CU
        self.water -= copper * WATER_PER_COPPER

    def density(self) -> float:
        """Density [g/mL] at 20 degC."""
        return (self.salt + self.acid + self.solids + self.water) / self.litres / 1000


def filled(copper_sulfate: float, acid: float, litres: float) -> Tank:
    """Return a tank with a bath of these concentrations [g/L]."""
    tank = Tank(copper_sulfate * litres, acid * litres, 0.5 * litres, 850.0 * litres)
    for _ in range(20):
        tank.water += (litres - tank.litres) * 1000 * WATER
    return tank
