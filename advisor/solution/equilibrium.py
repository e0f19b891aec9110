"""Speciation of an acid copper sulfate sample while a base is run into it.

What it is for: the volume of titrant that brings a flask to a given pH or to its first precipitate, the pH at a given
volume, and from these the acid that an end point leaves unneutralised. Readings call it inside a least-squares fit, so it
works on whole arrays, never raises, and stays smooth and finite for slightly negative compositions (-50 g/L) too.
What it is not for: anything after a solid has formed, complexing agents, temperatures far from 25 degC.

How it works. Four unknowns describe the flask: the activities of Cu2+, SO4 2- and H+ and one number for the activity
coefficients. The law of mass action then gives every species. Four conditions pin them: copper adds up, sulfate adds up, the
coefficients belong to the ionic strength, and a last one that says which question is asked (a pH, a solid just saturated, or
a volume). The charge balance, written with protons, gives the titrant explicitly: its sodium and what the flask still holds
of H+ beyond OH- (free or bound) together make up 2 x (mol H2SO4 in the sample).

Source of the model: activity coefficients after Davies (C. W. Davies, Ion Association, Butterworths 1962, from memory);
constants at 25 degC and zero ionic strength beside each species below. Range: ionic strength up to 1 mol/kg, before any
precipitate. Accuracy against PHREEQC 3 with the USGS databases sit.dat and minteq.v4 (72 titrations): pH within 0.1, volume
at pH 3.85 within 0.2 %.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID

Array = NDArray[np.float64]

WATER_PER_LITRE = 0.997  # kg of water in a litre of flask liquid: constants are molal, compositions molar
AIR_CARBON_DIOXIDE = 10**-3.4  # atm, partial pressure in open air

# Protons that one mole of each titrant takes up once its carbon dioxide has left.
TITRANTS = {"sodium hydroxide": 1.0, "sodium bicarbonate": 1.0, "sodium carbonate": 2.0}

# Species made of Cu2+, SO4 2-, H+ (negative: H+ given off) and CO2 gas: log10 of the formation constant at zero ionic
# strength. sit: ThermoChimie 12a, the USGS file sit.dat. Water and carbonic acid: NIST 46 values in minteq.v4, from memory.
SPECIES = (  # copper, sulfate, proton, carbon dioxide, charge, log10 K
    (1, 0, 0, 0, +2, 0.0),  # Cu2+
    (0, 1, 0, 0, -2, 0.0),  # SO4 2-
    (0, 0, 1, 0, +1, 0.0),  # H+
    (0, 0, -1, 0, -1, -14.0),  # OH-
    (0, 1, 1, 0, -1, 1.98),  # HSO4-; sit
    (1, 1, 0, 0, 0, 2.35),  # CuSO4(aq); Powell et al., Pure Appl. Chem. 79 (2007) 895, from memory; sit 2.31
    (1, 0, -1, 0, +1, -7.97),  # CuOH+; sit
    (2, 0, -1, 0, +3, -6.71),  # Cu2OH 3+; sit
    (2, 0, -2, 0, +2, -10.55),  # Cu2(OH)2 2+; sit
    (3, 0, -4, 0, +2, -20.94),  # Cu3(OH)4 2+; sit
    (1, 0, -2, 0, 0, -16.23),  # Cu(OH)2(aq); sit
    (0, 0, -1, 1, -1, -7.82),  # HCO3-: solubility -1.47 and first dissociation -6.35
    (0, 0, -2, 1, -2, -18.15),  # CO3 2-: second dissociation -10.33
    (1, 0, -2, 1, 0, -11.40),  # CuCO3(aq): 6.75 from Cu2+ and CO3 2-; sit
)
# Solids, as what dissolves with H+: copper, sulfate, H+ taken up, log10 K.
SOLIDS = {
    "brochantite": (4, 1, 6, 15.4),  # Cu4SO4(OH)6; databases 15.22 to 15.54
    "fresh basic sulfate": (4, 1, 6, 17.49),  # langite stands in for it; sit and minteq.v4
    "copper hydroxide": (1, 0, 2, 8.65),  # Cu(OH)2; databases 8.64 to 8.67
}

_LN10 = float(np.log(10.0))
_TABLE = np.array(SPECIES, dtype=float)
_CHARGE = _TABLE[:, 4]
# ln(molality) = ln K + exponents @ (ln a_Cu, ln a_SO4, ln a_H, g); g = ln(activity coefficient of charge one)
_EXPONENTS = np.column_stack([_TABLE[:, :3], -(_CHARGE**2)])
# Sums over the species: copper, sulfate, protons, ionic strength. In the last, sodium is replaced through the charge balance
# (Na+ = -sum of z m), so the weight (z^2 - z)/2 is never negative and the ionic strength never fails.
_SUMS = np.vstack([_TABLE[:, :3].T, (_CHARGE**2 - _CHARGE) / 2.0])
_COPPER = _TABLE[:, 0] > 0.0
_PROTONS_HELD, _PROTONS_LENT = np.maximum(_SUMS[2], 0.0), np.maximum(-_SUMS[2], 0.0)
# Derivatives of the four sums by the four unknowns, as one matrix product with the molalities.
_DERIVATIVES = (_SUMS[:, None, :] * _EXPONENTS.T[None, :, :]).reshape(16, -1)
_ITERATIONS = (
    9  # of Newton's method: the worst corner needs 7 for 1e-10 mL; a fixed number keeps the result smooth
)


@dataclass(frozen=True)
class Flask:
    """A sample made up with water (free of carbon dioxide) and the base that is run in on top of it."""

    sample_mL: float
    diluted_to_mL: float
    titrant: str  # a key of TITRANTS
    strength_mol_L: float  # mol of the titrant's formula per litre

    @property
    def base_mmol_per_mL(self) -> float:
        """Protons taken up by one mL of titrant [mmol]."""
        return TITRANTS[self.titrant] * self.strength_mol_L


def equivalence_volume(sulfuric_acid: ArrayLike, flask: Flask) -> Array:
    """Volume [mL] that neutralises free acid [g/L] exactly; any shape, negative for negative acid."""
    acid = np.asarray(sulfuric_acid, dtype=float)
    return np.asarray(2.0 * flask.sample_mL * acid / SULFURIC_ACID / flask.base_mmol_per_mL)


def titrant_volume_at_pH(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    pH: ArrayLike,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> Array:
    """Volume of titrant [mL] at which the flask has the given pH; negative where it starts above that pH.

    copper_sulfate [g/L CuSO4.5H2O], sulfuric_acid [g/L] in the bath and pH broadcast against each other. carbon_dioxide:
    partial pressure [atm] that the liquid is in balance with; default none with lye, open air with carbonates; 1 for a flask
    left fizzing. Source, range and accuracy: head of the module.
    """
    copper, acid, wanted = _broadcast(copper_sulfate, sulfuric_acid, pH)
    condition = (np.array([0.0, 0.0, 1.0, 0.0]), -_LN10 * wanted.ravel())
    return _solve(copper.ravel(), acid.ravel(), flask, carbon_dioxide, condition)[0].reshape(wanted.shape)


def titrant_volume_at_precipitation(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    solid: str,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> Array:
    """Volume of titrant [mL] at which `solid` (a key of SOLIDS) is just saturated; arguments as `titrant_volume_at_pH`."""
    copper, acid = _broadcast(copper_sulfate, sulfuric_acid)
    copper_ions, sulfate_ions, protons, log_constant = SOLIDS[solid]
    row = np.array([copper_ions, sulfate_ions, -protons, 0.0])
    condition = (row, np.full(copper.size, _LN10 * log_constant))
    return _solve(copper.ravel(), acid.ravel(), flask, carbon_dioxide, condition)[0].reshape(copper.shape)


def pH_at_titrant_volume(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    volume: ArrayLike,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> Array:
    """pH after `volume` [mL] of titrant, as long as nothing has precipitated: the inverse of `titrant_volume_at_pH`."""
    copper, acid, given = _broadcast(copper_sulfate, sulfuric_acid, volume)
    solved = _solve(copper.ravel(), acid.ravel(), flask, carbon_dioxide, volume=given.ravel())
    return solved[1].reshape(given.shape)


def unneutralised_acid(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    pH: ArrayLike,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> Array:
    """The bath's acid [g/L] that an end point at `pH` leaves unneutralised (negative beyond exact neutralisation)."""
    at_end_point = titrant_volume_at_pH(copper_sulfate, sulfuric_acid, pH, flask, carbon_dioxide)
    missing = equivalence_volume(sulfuric_acid, flask) - at_end_point
    return np.asarray(missing * flask.base_mmol_per_mL * SULFURIC_ACID / (2.0 * flask.sample_mL))


def _broadcast(*values: ArrayLike) -> list[Array]:
    return list(np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values)))


def _positive(value: Array, width: float) -> Array:
    """Smooth stand-in for max(value, 0): activities need positive amounts where a fit steps below zero."""
    return np.asarray(0.5 * (value + np.hypot(value, width)))


def _above_quarter(ratio: Array) -> Array:
    """`ratio`, smoothly kept above 1/4 (and untouched above 1): the liquid cannot vanish at negative volumes."""
    return np.asarray(0.25 + 0.02 * np.logaddexp(0.0, (ratio - 0.25) / 0.02))


def _log_constants(flask: Flask, carbon_dioxide: float | None) -> Array:
    """ln K of every species, those with carbon dioxide at its partial pressure [atm]."""
    if carbon_dioxide is None:
        carbon_dioxide = 0.0 if flask.titrant == "sodium hydroxide" else AIR_CARBON_DIOXIDE
    return np.asarray(_LN10 * _TABLE[:, 5] + _TABLE[:, 3] * np.log(max(carbon_dioxide, 1e-30)))


def _davies(ionic_strength: Array) -> tuple[Array, Array]:
    """ln of the activity coefficient of charge one, and its derivative by ionic strength [mol/kg]."""
    root = np.sqrt(ionic_strength)
    value = -0.509 * _LN10 * (root / (1.0 + root) - 0.3 * ionic_strength)
    slope = -0.509 * _LN10 * (0.5 / (root * (1.0 + root) ** 2) - 0.3)
    return value, slope


def _solve(
    copper_sulfate: Array,
    sulfuric_acid: Array,
    flask: Flask,
    carbon_dioxide: float | None,
    condition: tuple[Array, Array] | None = None,
    volume: Array | None = None,
) -> tuple[Array, Array]:
    """Volume [mL] and pH, given a volume or a linear condition (row, value): row @ unknowns = value.

    Newton's method on the logarithms of the sums, which are nearly linear in the logarithms of the activities: it converges
    from far off without safeguards. Amounts are mmol and the flask's water is in g, so molalities come out in mol/kg.
    """
    base, made_up = flask.base_mmol_per_mL, flask.diluted_to_mL
    copper_molar, acid_molar = copper_sulfate / COPPER_SULFATE_PENTAHYDRATE, sulfuric_acid / SULFURIC_ACID
    protons = 2.0 * flask.sample_mL * acid_molar  # linear, whatever the sign: this is the titration proper
    # Speciation needs amounts above zero: copper bends over at half a g/L, sulfate at 0.001 mol/L.
    totals = flask.sample_mL * np.stack(
        [_positive(copper_molar, 2e-3), _positive(copper_molar + acid_molar, 1e-3)]
    )
    log_constants = _log_constants(flask, carbon_dioxide)

    added = protons / base if volume is None else volume
    water = full_water = WATER_PER_LITRE * made_up * _above_quarter(1.0 + added / made_up)
    unknowns = np.stack([*np.log(totals / water) - 2.0, np.zeros_like(water), np.full_like(water, -0.5)])
    if condition is None:
        left = (protons - base * added) / water  # mol/kg of protons not yet taken up
        unknowns[2] = np.log(_positive(left, 1e-4))
    else:
        row, value = condition
        unknowns[2] = (value - row[:2] @ unknowns[:2]) / row[2]
    # Copper that is mostly hydrolysed would start far too high: begin where no single species exceeds the total.
    alone = np.log(totals[0] / water) - log_constants[_COPPER, None] - _EXPONENTS[_COPPER, 1:] @ unknowns[1:]
    unknowns[0] = np.min(alone / _EXPONENTS[_COPPER, :1], axis=0)

    for _ in range(_ITERATIONS):
        molality = np.exp(log_constants[:, None] + _EXPONENTS @ unknowns)
        sums = _SUMS @ molality
        jacobian = (_DERIVATIVES @ molality).reshape(4, 4, -1)
        excess, excess_slope = sums[2], jacobian[2].copy()
        residual = np.empty_like(unknowns)
        if condition is None:
            # H+ held and H+ given away are both exponentials; asinh makes their difference linear again.
            acid, lent = _PROTONS_HELD @ molality, _PROTONS_LENT @ molality
            scale = 2.0 * np.sqrt(acid * lent)
            residual[2] = np.arcsinh(excess / scale) - np.arcsinh(left / scale)
            jacobian[2] /= acid + lent
        else:
            # Charge balance solved for the volume, dilution included: water follows from the excess alone.
            thinning = _above_quarter(1.0 + WATER_PER_LITRE * excess / base)
            water = full_water / thinning
            residual[2] = row @ unknowns - value
            jacobian[2] = row[:, None]
        residual[:2] = np.log(sums[:2] * water / totals)
        jacobian[:2] /= sums[:2, None]
        if condition is not None:
            jacobian[:2] -= excess_slope * (WATER_PER_LITRE / base / thinning)
        coefficient, slope = _davies(sums[3])
        residual[3] = unknowns[3] - coefficient
        jacobian[3] *= -slope
        jacobian[3, 3] += 1.0
        step = np.linalg.solve(np.moveaxis(jacobian, 2, 0), residual.T[..., None])[..., 0].T
        # Far off, keep the direction but not the length of the step; the Davies coefficient never leaves these bounds.
        unknowns = unknowns - step * np.minimum(1.0, 3.0 / np.maximum(np.max(np.abs(step), axis=0), 1e-9))
        unknowns[3] = np.clip(unknowns[3], -0.5, 3.0)
    return (protons - excess * water) / base, -unknowns[2] / _LN10
