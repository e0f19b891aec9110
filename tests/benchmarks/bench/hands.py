"""An owner's hands and tools. All sizes are standard uncertainties, and judgement.

An owner makes the same errors in all readings of a bath: one scale error a tool, one bottle of titrant, one eye. One
owner in two knows the sizes and types them after ±; the other names the tools and leaves the rest to the advice.
"""

from collections.abc import Mapping
from functools import cached_property
from typing import Any

import numpy as np

from tests.benchmarks.bench import TYPED_SPREADS
from tests.benchmarks.bench.baths import TROUBLES, Bath
from tests.benchmarks.bench.flask import Flask, database_paths
from tests.benchmarks.bench.liquid import Liquid

# Syringes: relative scale error, once a tool; a division of the scale [mL], read to a fifth.
SYRINGES = {"2 mL syringe": (0.018, 0.1), "5 mL syringe": (0.015, 0.2), "10 mL syringe": (0.013, 0.2), "20 mL syringe": (0.012, 1.0)}  # fmt: skip
BURETTE = {"50 mL class B burette": (0.0006, 0.1)}  # relative scale error and division, as above
READ_TO = 0.2  # of a division
FLASK, JUG = 0.005, 0.006  # relative
SCALE = 0.003  # relative, of a kitchen scale; and half of its division
THERMOMETER = 0.5  # degC
TANK, BAD_TANK = 0.01, 0.04  # relative
LEVEL = 0.005  # relative, reading a level
METHYL_ORANGE_PH, EYE, EACH_TIME, LATE_OR_EARLY = 3.85, 0.18, 0.08, 0.35
CLOUD_INDEX, CLOUD_EACH_TIME, CLOUD_LATE_mL = (0.5, 4.0), 0.3, (0.0, 0.06)
SWIRLED, FIZZING, LYE_AIR = (-3.2, -1.3), (-1.3, 0.0), (-3.4, -1.7)  # log10 of carbon dioxide [atm]
HYDROMETER, HYDROMETER_READ, BAD_HYDROMETER, WETTER = 0.0007, 0.0005, 0.003, (0.0015, 0.004)  # g/mL
METER, METER_READ, METER_SLOPE = 0.02, 0.02, (0.97, 0.02)  # pH, pH, and the slope's centre and spread
EDTA_EYE, EDTA_STRENGTH, EDTA_EACH_TIME = 0.003, 0.006, 0.004
THIOSULFATE, IODINE_HELD = (-0.005, 0.012), (0.002, 0.012)
MUREXIDE_SEES_IRON = (0.3, 1.0)  # in ammonia, the share of the iron that EDTA still finds
LEFT_IN_LIQUID, CATHODE = (0.0, 0.02), 0.01  # share of the copper; g
COLOUR = 0.18  # of the interval
KEPT = {"copper_sulfate": 0.08, "acid": 0.15}  # what an earlier bath holds now, relative
CRYSTALS, ACID = 0.007, 0.012  # relative strength of what is on hand
WEAK_CRYSTALS, WEAK_ACID = 0.05, 0.08

# A titrant by its state: what the owner takes it for, base a gram against that name's own, centre and spread.
TITRANTS = {
    "sodium bicarbonate": {"sound": ("sodium bicarbonate", 0.996, 0.003), "damp": ("sodium bicarbonate", 0.978, 0.003)},
    "sodium hydroxide": {"sound": ("sodium hydroxide", 0.98, 0.012), "weak": ("sodium hydroxide", 0.945, 0.003)},
    "sodium carbonate": {
        "sound": ("sodium carbonate", 0.99, 0.006),
        "wet": ("sodium carbonate", 0.92, 0.006),
        "monohydrate": ("sodium carbonate", 0.99 * 105.99 / 124.00, 0.006),
        "decahydrate 10": ("sodium carbonate decahydrate", 1 / 0.9, 0.006),
        "decahydrate 20": ("sodium carbonate decahydrate", 1 / 0.8, 0.006),
        "decahydrate 30": ("sodium carbonate decahydrate", 1 / 0.7, 0.006),
    },
}
WEIGHED = {"sodium bicarbonate": 42.0, "sodium hydroxide": 20.0, "sodium carbonate": 26.5, "sodium carbonate decahydrate": 71.5}  # fmt: skip
EQUIVALENT = {"sodium bicarbonate": 84.007, "sodium hydroxide": 39.997, "sodium carbonate": 52.994, "sodium carbonate decahydrate": 143.07}  # g/mol of base  # fmt: skip


def typed(value: float, unit: str, size: float | None = None, digits: int = 2) -> str:
    """Write a quantity as a person types it; size: its standard uncertainty, if the owner types one."""
    if size is None:
        return f"{value:.{digits}f} {unit}".strip()
    return f"{value:.{digits}f} ± {TYPED_SPREADS * size:.{digits + 1}f} {unit}".strip()


class Owner:
    """One owner at the bench of one bath; every error that lasts is drawn once."""

    def __init__(self, bath: Bath, rng: np.random.Generator, databases: Mapping[str, Any] | None = None) -> None:
        trouble = TROUBLES[bath.trouble]
        self.bath, self.rng, self.hands, self.state = bath, rng, trouble.hands, trouble.titrant
        databases = databases or database_paths()
        self.database = databases[sorted(databases)[rng.integers(len(databases))]]
        self.types = bool(rng.random() < 0.5)
        self.tools = {name: 1 + scale * rng.standard_normal() for name, (scale, _) in (SYRINGES | BURETTE).items()}
        self.scale = 1 + SCALE * rng.standard_normal()
        off = EYE * rng.standard_normal() + {"late": LATE_OR_EARLY, "early": -LATE_OR_EARLY}.get(self.hands, 0.0)
        self.methyl_orange = METHYL_ORANGE_PH + off
        self.cloud = str(rng.choice(["brochantite", "langite"])), rng.uniform(*CLOUD_INDEX)
        self.hydrometer = (BAD_HYDROMETER if self.hands == "hydrometer" else HYDROMETER) * rng.standard_normal()
        if self.hands == "wetter":
            self.hydrometer += rng.uniform(*WETTER)
        self.meter = METER * rng.standard_normal(), METER_SLOPE[0] + METER_SLOPE[1] * rng.standard_normal()
        self.rust = bool(rng.random() < 0.5)
        self.tank = 1 + (BAD_TANK if self.hands == "tank" else TANK) * rng.standard_normal()
        self.bottles: dict[str, tuple[str, float, float, float]] = {}

    @cached_property
    def liquid(self) -> tuple[Liquid, float]:
        """The bath's density."""
        return self.bath.liquid()

    def measure(self, tool: str, millilitres: float) -> float:
        """Return what is really in a tool that was filled to show so many millilitres, in several fills if need be."""
        division, fills = self._fills(tool, millilitres)
        return float(millilitres * self.tools[tool] + READ_TO * division * np.sqrt(fills) * self.rng.standard_normal())

    def shown(self, tool: str, millilitres: float) -> float:
        """Return what a tool shows for a volume that was run in, rounded to what is read."""
        division, fills = self._fills(tool, millilitres)
        read = millilitres / self.tools[tool] + READ_TO * division * np.sqrt(fills) * self.rng.standard_normal()
        step = READ_TO * division
        return float(max(round(read / step) * step, step))

    def spread(self, tool: str, millilitres: float) -> float:
        """Return the standard uncertainty [mL] of a volume with this tool."""
        division, fills = self._fills(tool, millilitres)
        scale = (SYRINGES | BURETTE)[tool][0]
        return float(np.hypot(scale * millilitres, READ_TO * division * np.sqrt(fills)))

    @staticmethod
    def _fills(tool: str, millilitres: float) -> tuple[float, float]:
        return (SYRINGES | BURETTE)[tool][1], max(np.ceil(millilitres / float(tool.split()[0]) - 1e-9), 1.0)

    def volume(self, key: str, millilitres: float, tool: str) -> dict[str, str]:
        """Return the fields of the sheet for a volume: with ±, or with the name of the tool."""
        if self.types:
            return {key: typed(millilitres, "mL", self.spread(tool, millilitres))}
        return {key: typed(millilitres, "mL"), f"{key}_with": tool}

    def bottle(self, titrant: str) -> tuple[str, float, float, float]:
        """Return name and strength [g/L] as the owner has it, its standard uncertainty, and the true base [mol/L]."""
        if titrant not in self.bottles:
            states = TITRANTS[titrant]
            name, centre, spread = states.get(self.state, states["sound"])
            usual, usual_spread = states["sound"][1:]
            purity = centre + spread * self.rng.standard_normal()
            purity = min(purity, 1.0) if centre < 1 else purity
            weighed = WEIGHED[name]
            made = self.scale * (1 + FLASK * self.rng.standard_normal())
            # Who types ± has looked up how pure it usually is, and reckons with that.
            as_had = weighed * (usual if self.types and "decahydrate" not in name else 1.0)
            size = float(np.hypot.reduce([SCALE, FLASK, usual_spread])) * as_had
            self.bottles[titrant] = name, as_had, size, weighed * purity * made / EQUIVALENT[name]
        return self.bottles[titrant]

    def flask(self, sample: float, diluted_to: float, titrant: str) -> Flask:
        """Solve a titration; sample: its true volume [mL]."""
        base = self.bottle(titrant)[3]
        air = LYE_AIR if titrant == "sodium hydroxide" else FIZZING if self.hands == "fizzing" else SWIRLED
        gas = self.rng.uniform(*air)
        return Flask(self.bath.titrated, sample, diluted_to, base, gas, self.bath.temperature, self.database, self.rust)
