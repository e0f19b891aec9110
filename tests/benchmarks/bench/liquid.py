"""Density of a bath from printed rows, and the volume that given masses make. Shares nothing with the tool.

Each solute's apparent volume is read off its own printed row at the bath's total mass fraction (Young's rule), so that
both pure solutions come out as printed. What a mixture does beyond that is a term whose very sign is open: at 200 g/L
crystals and 60 g/L acid PHREEQC's volumes say some tenths to 1.4 mg/mL less, published linear equations (recalled)
from 1.1 mg/mL more to 3 less. A bath draws its own.
"""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator

ROWS = Path(__file__).parents[3] / "reference_tables" / "density_binary.csv"
WATER = 0.9982071  # g/mL at 20 degC, air-free (CRC Handbook)
PENTAHYDRATE, ANHYDROUS = 249.68, 159.60  # g/mol
MIXTURE = 1.2e-4  # mg/mL for 1 g/L times 1 g/L, times the bath's own k (judgement)
MIXTURE_RANGE = (-0.6, 1.2)  # of k, uniform (judgement)


@cache
def printed(solute: str) -> Callable[[float], float]:
    """Return the function mass fraction -> density [g/mL] at 20 degC through the CRC rows of a solute."""
    with ROWS.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["solute"] == solute and row["source"] == "CRC"]
    points = {float(row["mass_fraction"]): float(row["density_g_mL"]) for row in rows}
    fractions = [0.0, *sorted(points)]
    curve = PchipInterpolator(fractions, [WATER, *(points[w] for w in fractions[1:])], extrapolate=True)
    return lambda fraction: float(curve(fraction))


def _specific_volume(solute: str, fraction: float) -> float:
    """Apparent volume [mL/g] of a solute in water at a mass fraction."""
    fraction = max(fraction, 1e-4)
    return (1 / printed(solute)(fraction) - (1 - fraction) / WATER) / fraction


def clean_density(copper_sulfate: float, acid: float, k: float) -> float:
    """Return the density [g/mL] at 20 degC of a bath without foreign salts."""
    salt = copper_sulfate * ANHYDROUS / PENTAHYDRATE / 1000
    sulfuric = acid / 1000
    found = 1.1
    for _ in range(30):
        fraction = (salt + sulfuric) / found
        taken = salt * _specific_volume("CuSO4", fraction) + sulfuric * _specific_volume("H2SO4", fraction)
        found = salt + sulfuric + (1 - taken) * WATER
    return found - k * MIXTURE * copper_sulfate * acid / 1000


@dataclass(frozen=True)
class Liquid:
    """What density needs to know of one bath: its mixture term, and what its dirt adds.

    dirt: g/mL at 20 degC that all foreign salts of the untouched bath add together.
    """

    k: float
    dirt: float

    def density(self, copper_sulfate: float, acid: float, dirt_share: float = 1.0) -> float:
        """Return the density [g/mL] at 20 degC; dirt_share: foreign salts a litre against those of the first bath."""
        return clean_density(copper_sulfate, acid, self.k) + self.dirt * dirt_share


def volume_of(total_g: float, density_at: Callable[[float], float], start: float) -> float:
    """Return the volume [L] that holds a total mass, where density_at(volume) gives the density [g/mL]."""
    volume = start
    for _ in range(60):
        volume = total_g / 1000 / density_at(volume)
    return float(np.asarray(volume))
