"""The density model against printed tables, against check values, and against another program."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.solution.density import density, density_from_mass_fractions, water_density


def _difference(solute: str, mass_fraction: np.ndarray, printed: np.ndarray) -> np.ndarray:
    copper, acid = (mass_fraction, 0.0) if solute == "CuSO4" else (0.0, mass_fraction)
    return density_from_mass_fractions(copper, acid) - printed


@pytest.mark.parametrize(("solute", "bias", "worst"), [("CuSO4", 0.0005, 0.0018), ("H2SO4", 0.0006, 0.0011)])
def test_crc_handbook(solute, bias, worst):
    # CRC Handbook of Chemistry and Physics, 102nd ed. (2021), Concentrative Properties of Aqueous Solutions,
    # 20 degC. CuSO4: all rows; H2SO4: up to 25 %.
    mass_fraction = tables.column("density_binary", "mass_fraction", solute=solute, source="CRC")
    printed = tables.column("density_binary", "density_g_mL", solute=solute, source="CRC")
    bath = mass_fraction <= 0.25
    difference = _difference(solute, mass_fraction[bath], printed[bath])
    assert np.abs(difference).max() < worst
    assert difference.mean() == pytest.approx(bias, abs=0.00006)


@pytest.mark.parametrize("temperature", ["0", "20"])
def test_perry(temperature):
    # Perry's Chemical Engineers' Handbook, cupric sulfate (from memory). The fit begins at 10 degC.
    mass_fraction = tables.column("density_binary", "mass_fraction", source="Perry", temperature_degC=temperature)
    printed = tables.column("density_binary", "density_g_mL", source="Perry", temperature_degC=temperature)
    model = density_from_mass_fractions(mass_fraction, 0.0, 0.0, float(temperature))
    assert np.abs(model - printed).max() < 0.0018


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid", "printed"),
    [(200.0, 60.0, 1.1598), (220.0, 60.0, 1.1716), (180.0, 50.0, 1.1420), (75.0, 190.0, 1.1621)],
)
def test_baths_at_20_degC(copper_sulfate, sulfuric_acid, printed):
    # Computed with the parameters of Laliberté 2009, apart from this code.
    assert density(copper_sulfate, sulfuric_acid) == pytest.approx(printed, abs=0.00006)


@pytest.mark.parametrize(("temperature", "printed"), [(25.0, 997.0448954179155), (50.0, 988.0362916114763)])
def test_water(temperature, printed):
    # Laliberté and Cooper 2004, equation for water, as evaluated in the documentation of `thermo`.
    assert 1000 * water_density(temperature) == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize("temperature", [0.0, 10.0, 20.0, 30.0, 45.0, 60.0])
def test_against_thermo(temperature):
    electrochem = pytest.importorskip("thermo.electrochem", reason="compares with the package thermo, a test extra")
    copper_sulfate, sulfuric_acid, iron_sulfate = "7758-98-7", "7664-93-9", "7720-78-7"
    for copper in (0.0, 0.001, 0.05, 0.11, 0.18, 0.25):
        for acid in (0.0, 0.001, 0.05, 0.16, 0.3):
            if copper + acid > 0.34:  # no bath; there the model holds the mass fraction back from a singularity
                continue
            theirs = electrochem.Laliberte_density(
                temperature + 273.15, [copper, acid], [copper_sulfate, sulfuric_acid]
            )
            ours = density_from_mass_fractions(copper, acid, 0.0, temperature)
            assert ours == pytest.approx(theirs / 1000, abs=0.00001)
    theirs = electrochem.Laliberte_density(293.15, [0.11, 0.05, 0.005], [copper_sulfate, sulfuric_acid, iron_sulfate])
    assert density_from_mass_fractions(0.11, 0.05, 0.005) == pytest.approx(theirs / 1000, abs=0.00001)
