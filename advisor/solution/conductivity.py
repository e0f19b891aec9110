"""Electrical conductivity of thin solutions, from the conductivities of their ions, and what a pen makes of it.

Each ion's molal conductivity falls with the root of the ionic strength I of the whole solution and rises with the
temperature t: lambda = L(t) - S(t) * sqrt(I) / (1 + b * sqrt(I)), with quadratics L and S; the solution's is the sum of
lambda times molality. Coefficients and form: R. B. McCleskey, D. K. Nordstrom, J. N. Ryan, J. W. Ball, Geochimica et
Cosmochimica Acta 77 (2012) 369, made for acid mine waters (pH 1 to 10, 5 to 90 degC); see `ionic_conductivities`.

Accuracy, with the ions of `thinned`: sulfuric acid within 2 % of the equivalent conductivities printed in the CRC
Handbook up to 0.025 mol/L, copper sulfate within 3.5 % up to 0.01 mol/L (both as recalled).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis import tables
from advisor.basis.arrays import FloatArray
from advisor.solution.equilibrium import WATER_PER_LITRE
from advisor.solution.thinned import Thinned

COMPENSATIONS = ("linear", "natural water", "none")
LINEAR = 0.02  # of the conductivity at 25 degC a degree: what most pens reckon with (common practice, no source)
REFERENCE_TEMPERATURE = 25.0  # degC, to which a compensated pen reckons (common practice, no source)
# Sodium bicarbonate in water, limiting equivalent conductivity at 25 degC: 50.1 + 44.5, CRC Handbook, read in `thermo`.
BICARBONATE = 94.6  # S cm2/mol
# Molar conductivity of a salt [mS L/(cm mol)] as that of an ion above, its own molality in the place of I:
# R. B. McCleskey, Journal of Chemical & Engineering Data 56 (2011) 317, read in `thermo`.
SALTS = {
    "potassium chloride": (0.009385, 2.533, 81.17, 0.0139, 1.886, 44.11, 1.70),
    "sodium chloride": (0.008967, 2.196, 67.03, 0.00726, 1.762, 44.55, 1.30),
}


@cache
def _ion(name: str) -> tuple[float, ...]:
    """Return the seven coefficients of an ion; raises TableError where there is none."""
    keys = ("limit_2", "limit_1", "limit_0", "slope_2", "slope_1", "slope_0", "b")
    return tuple(float(tables.column("ionic_conductivities", key, ion=name)[0]) for key in keys)


@cache
def _of_each(names: tuple[str, ...], dimensions: int) -> FloatArray:
    """Return the coefficients of k ions (7, k, 1, ...) beside arrays of so many dimensions."""
    return np.array([_ion(name) for name in names]).T.reshape(7, len(names), *[1] * dimensions)


def _molal(coefficients: tuple[float, ...] | FloatArray, temperature: FloatArray, root: FloatArray) -> FloatArray:
    """Return molal conductivities [mS kg/(cm mol)] at a temperature [degC]; root: of the ionic strength [mol/kg]."""
    limit_2, limit_1, limit_0, slope_2, slope_1, slope_0, b = coefficients
    limit = (limit_2 * temperature + limit_1) * temperature + limit_0
    slope = (slope_2 * temperature + slope_1) * temperature + slope_0
    return np.asarray(limit - slope * root / (1 + b * root))


def of_ions(ions: Mapping[str, ArrayLike], ionic_strength: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Return the conductivity [uS/cm] of ions [mol/kg water] at a temperature [degC], of one shape."""
    root, degrees = np.sqrt(np.asarray(ionic_strength, dtype=float)), np.asarray(temperature, dtype=float)
    each = _molal(_of_each(tuple(ions), max(root.ndim, degrees.ndim)), degrees, root)
    return np.asarray(1000 * sum(np.asarray(held) * molal for held, molal in zip(ions.values(), each, strict=True)))


def of_thinned(thinned: Thinned, temperature: ArrayLike) -> FloatArray:
    """Return the conductivity [uS/cm] of a thinned bath at a temperature [degC], of one shape."""
    return of_ions(thinned.ions, thinned.ionic_strength, temperature)


def of_salt(salt: str, molarity: ArrayLike, temperature: float) -> FloatArray:
    """Return the conductivity [uS/cm] of a salt of SALTS [mol/L, up to 0.1], any shape; 5 to 90 degC, good to 0.7 %."""
    held = np.asarray(molarity, dtype=float)
    return np.asarray(1000 * held * _molal(SALTS[salt], np.asarray(temperature), np.sqrt(held / WATER_PER_LITRE)))


def shown_by_pen(conductivity: ArrayLike, temperature: ArrayLike, compensation: str) -> FloatArray:
    """Return what a pen shows [uS/cm] in a liquid of a conductivity [uS/cm] and a temperature [degC], of one shape.

    compensation: "linear" takes off 2 % of the value at 25 degC a degree, "natural water" what thin calcium bicarbonate
    gains (as the standard for natural waters does, within 1.5 % from 15 to 30 degC), "none" nothing.
    """
    return np.asarray(conductivity, dtype=float) / warmer_than_25(temperature, compensation)


def warmer_than_25(temperature: ArrayLike, compensation: str) -> FloatArray:
    """Return the factor by which a pen takes the conductivity at temperatures [degC] of any shape
    to exceed that at 25 degC.
    """
    if compensation == "none":
        return np.asarray(1.0)
    if compensation == "linear":
        return 1 + LINEAR * (np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE)
    natural = {"Ca+2": 0.001, "HCO3-": 0.002}  # mol/kg, as in hard spring water; the ratio hardly depends on it
    return of_ions(natural, 0.003, temperature) / of_ions(natural, 0.003, REFERENCE_TEMPERATURE)


def bicarbonate_of_water(conductivity: ArrayLike) -> FloatArray:
    """Return the sodium bicarbonate [mol/L] that gives water its conductivity [uS/cm at 25 degC], any shape."""
    return np.asarray(conductivity, dtype=float) / (1000 * BICARBONATE)
