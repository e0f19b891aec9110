"""How fast copper can reach the part: viscosity, diffusion, limiting current density, conductivity.

Rough figures for choosing a current. Edges take two to three times the average current density, so the limits
here are averages over a part.

Sources
-------
Viscosity: Price and Davenport, "Densities, electrical conductivities and viscosities of CuSO4/H2SO4 solutions
in the range of modern electrorefining and electrowinning electrolytes", Metall. Trans. B 11 and 12 (1980-81),
read in a secondary text with a corrected multiplier; conductivity attributed to the same, from memory.
Diffusion: Stokes-Einstein from 7.14e-6 cm2/s at infinite dilution (CRC Handbook), 4.1e-6 cm2/s at 200/60 g/L
and 25 degC, 25 %. Activation energy: 19.2 kJ/mol, Moats, Hiskey and Collins, Hydrometallurgy 56 (2000) 255
(abstract); 26.8 kJ/mol, J. Appl. Electrochem. 37 (2007) 1093 (abstract). Diffusion layer: from memory.
Natural convection: C. R. Wilke, M. Eisenberg and C. W. Tobias, "Correlation of limiting currents under free convection
conditions", J. Electrochem. Soc. 100 (1953) 513: Sh = 0.673 (Sc Gr)^(1/4) over the height of a vertical plate; the
paper's form, the coefficient and that the acid gathered at the part counts in the density: from memory.
"""

from typing import NamedTuple

import numpy as np

from advisor.solution.density import density
from advisor.solution.faraday import FARADAY
from advisor.solution.molar_masses import COPPER_PER_PENTAHYDRATE, COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID
from advisor.solution.ranges import Number

GAS_CONSTANT = 8.314463  # [J/mol/K] (CODATA 2018, from memory)
DIFFUSION_ACTIVATION_ENERGY = 23000.0  # [J/mol], the middle of the two published; 3800 each way (computed)
DIFFUSION_RELATIVE_UNCERTAINTY = 0.144  # standard: half-width 25 % over the square root of 3 (computed)
# Standard, judgement: theory gives half the thickness for a small part in still liquid.
LAYER_RELATIVE_UNCERTAINTY = 0.3

DIFFUSION_LAYER = {"still": 0.02, "moved": 0.01, "air": 0.005, "strong": 0.002}  # from memory
"""Thickness of the layer through which copper must diffuse [cm]; "strong" is a jet or a rotating part."""
FREE_CONVECTION = 0.673  # Sherwood number over (Sc Gr)^(1/4), averaged over the height (from memory, see above)
FREE_LAYER_RELATIVE_UNCERTAINTY = 0.15  # standard, judgement: scatter of the correlation, and a part is no plate
GRAVITY = 9.80665  # [m/s2] (standard value, exact)


class Uncertain(NamedTuple):
    """A value and its standard uncertainty, in the same unit."""

    value: Number
    standard_uncertainty: Number


def viscosity(copper_sulfate: Number, sulfuric_acid: Number, temperature: Number) -> Number:
    """Viscosity [mPa s] of a bath [g/L, g/L] at a temperature [degC]; 1.58 at 200/60 and 25 degC.

    Fitted to refining electrolytes. Cold concentrated baths, for which the formula passes through infinity,
    are held at 10 mPa s.
    """
    copper = copper_sulfate * COPPER_PER_PENTAHYDRATE
    fluidity = 0.70 - 0.001 * (8.3 * copper + 1.6 * sulfuric_acid - 18.0 * temperature)
    return 1.0 / np.maximum(fluidity, 0.1)


_REFERENCE_DIFFUSION = 4.1e-6  # [cm2/s] at 200/60 g/L, 25 degC (computed, Stokes-Einstein)
_REFERENCE_VISCOSITY = float(viscosity(200.0, 60.0, 25.0))  # computed


def diffusion_coefficient(copper_sulfate: Number, sulfuric_acid: Number, temperature: Number) -> Number:
    """Diffusion coefficient of copper ions [cm2/s] in a bath [g/L, g/L] at a temperature [degC].

    Composition acts through the viscosity at 25 degC, temperature through the activation energy. Relative
    standard uncertainty `DIFFUSION_RELATIVE_UNCERTAINTY` near 200/60 and 25 degC.
    """
    by_viscosity = _REFERENCE_VISCOSITY / viscosity(copper_sulfate, sulfuric_acid, 25.0)
    by_temperature = np.exp(DIFFUSION_ACTIVATION_ENERGY / GAS_CONSTANT * (1.0 / 298.15 - 1.0 / (temperature + 273.15)))
    return _REFERENCE_DIFFUSION * by_viscosity * by_temperature


def still_layer(copper_sulfate: Number, sulfuric_acid: Number, temperature: Number, height: Number) -> Number:
    """Thickness of the diffusion layer [cm] in still liquid, averaged over the height [cm] of an upright part.

    At the limiting current the liquid at the part has lost its copper, is lighter and rises; taller parts are bathed
    in what others have used. Bath in g/L, temperature in degC. Laminar: beyond about half a metre it is thinner still.
    """
    at_part = density(0.0, acid_beside(0.0, copper_sulfate, sulfuric_acid))
    return free_layer(
        copper_sulfate, sulfuric_acid, temperature, height, density(copper_sulfate, sulfuric_acid) - at_part
    )


def free_layer(
    copper_sulfate: Number, sulfuric_acid: Number, temperature: Number, height: Number, difference: Number
) -> Number:
    """Thickness of the diffusion layer [cm] that free convection leaves, averaged over an upright height [cm].

    Bath in g/L, temperature in degC; difference: by how much the liquid at the surface is lighter or heavier [g/mL].
    """
    bulk = density(copper_sulfate, sulfuric_acid)
    kinematic = viscosity(copper_sulfate, sulfuric_acid, temperature) * 1e-6 / bulk  # [m2/s]
    diffusion = diffusion_coefficient(copper_sulfate, sulfuric_acid, temperature) * 1e-4  # [m2/s]
    schmidt = kinematic / diffusion
    grashof = GRAVITY * (height / 100.0) ** 3 * (difference / bulk) / kinematic**2
    return np.asarray(height / (FREE_CONVECTION * (schmidt * grashof) ** 0.25))


def acid_beside(at_surface: Number, copper_sulfate: Number, sulfuric_acid: Number) -> Number:
    """Free acid [g/L] at an electrode where copper sulfate [g/L] differs from that of the bath [g/L, g/L].

    Hydrogen and bisulfate ions, which no current carries, stay in balance: their product is that of the bulk
    (Boltzmann, all acid as bisulfate), and bisulfate exceeds hydrogen by twice the copper. Where copper has gone acid
    gathers, and where copper gathers acid is pushed away.
    """
    there = at_surface / COPPER_SULFATE_PENTAHYDRATE  # [mol/L]
    return (np.sqrt(there**2 + ion_product(copper_sulfate, sulfuric_acid)) - there) * SULFURIC_ACID


def ion_product(copper_sulfate: Number, sulfuric_acid: Number) -> Number:
    """The product of hydrogen and bisulfate ions [mol2/L2] in a bath [g/L, g/L], all acid as bisulfate."""
    copper, acid = copper_sulfate / COPPER_SULFATE_PENTAHYDRATE, sulfuric_acid / SULFURIC_ACID  # [mol/L]
    return acid * (acid + 2.0 * copper)


def limiting_current_density(
    copper_sulfate: Number, sulfuric_acid: Number, temperature: Number, stirring: str, height: Number | None = None
) -> Uncertain:
    """The current density [A/dm2], averaged over the part, at which every copper ion that arrives is plated.

    i = 2 F D C / thickness of the diffusion layer. Bath in g/L, temperature in degC, stirring one of
    `DIFFUSION_LAYER`, height [cm] of the part, which counts in still liquid only; None: as for
    a tall one. The standard uncertainty joins diffusion and layer: a third of the value, less with a height.
    """
    per_cm3 = copper_sulfate / COPPER_SULFATE_PENTAHYDRATE / 1000.0  # [mol/cm3]
    diffusion = diffusion_coefficient(copper_sulfate, sulfuric_acid, temperature)
    layer: Number = DIFFUSION_LAYER[stirring]
    spread = np.hypot(DIFFUSION_RELATIVE_UNCERTAINTY, LAYER_RELATIVE_UNCERTAINTY)
    if height is not None and stirring == "still":
        layer = still_layer(copper_sulfate, sulfuric_acid, temperature, height)
        # The layer grows with the fourth root of the diffusion coefficient, which leaves three quarters of its error.
        spread = np.hypot(0.75 * DIFFUSION_RELATIVE_UNCERTAINTY, FREE_LAYER_RELATIVE_UNCERTAINTY)
    value = 100.0 * 2.0 * FARADAY * diffusion * per_cm3 / layer  # [A/dm2]
    return Uncertain(value, value * spread)


def conductivity(copper_sulfate: Number, sulfuric_acid: Number, temperature: Number) -> Number:
    """Conductivity [S/cm] of a bath [g/L, g/L] at a temperature [degC]; from memory, not below 50 g/L acid.

    Refining electrolytes; expect 15 %.
    """
    copper = copper_sulfate * COPPER_PER_PENTAHYDRATE
    return 0.134 - 0.00356 * copper + 0.00249 * sulfuric_acid + 0.00426 * temperature
