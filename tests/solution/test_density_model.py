"""The density model against what it was made from, recalled tables, another evaluation and another program."""

import numpy as np
import pytest
from scipy.optimize import least_squares

from advisor.basis import tables
from advisor.solution import density as model
from advisor.solution.density import density, density_from_mass_fractions
from advisor.solution.molar_masses import ANHYDROUS_PER_PENTAHYDRATE

COLUMNS = ("mass_fraction", "density_g_mL")


@pytest.mark.parametrize("solute", ["CuSO4", "H2SO4"])
def test_the_fit_leans_to_neither_side_of_its_rows(solute):
    mass_fraction, printed = (tables.column("density_binary", key, solute=solute, source="CRC") for key in COLUMNS)
    bath = mass_fraction <= 0.25
    copper, acid = (mass_fraction[bath], 0.0) if solute == "CuSO4" else (0.0, mass_fraction[bath])
    assert abs((density_from_mass_fractions(copper, acid) - printed[bath]).mean()) < 0.00003


def _fitted(mass_fraction: np.ndarray, printed: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Coefficients of a cubic specific volume [mL/g] from densities [g/mL], by least squares."""

    def residuals(coefficients: np.ndarray) -> np.ndarray:
        volume = (1 - mass_fraction) / model.WATER_DENSITY + mass_fraction * np.polyval(
            coefficients[::-1], mass_fraction
        )
        return 1000 * weight * (1 / volume - printed)

    return least_squares(residuals, np.zeros(4), x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15).x


def test_the_fits_are_those_described_beside_their_coefficients():
    rows = {
        solute: [tables.column("density_binary", key, solute=solute, source="CRC") for key in COLUMNS]
        for solute in ("CuSO4", "H2SO4")
    }
    beyond = np.arange(0.22, 0.361, 0.02)
    by_laliberte = 1 / ((1 - beyond) / model.WATER_DENSITY + beyond * model._COPPER_SULFATE.published_at_20(beyond))
    w, printed = rows["CuSO4"]
    weight = np.concatenate([np.ones(19), np.full(8, 0.3)])
    copper = _fitted(np.concatenate([w, beyond]), np.concatenate([printed, by_laliberte]), weight)
    assert model._COPPER_SULFATE.at_20 == pytest.approx(copper, rel=1e-4)
    w, printed = (column[rows["H2SO4"][0] <= 0.34] for column in rows["H2SO4"])
    assert len(w) == 28
    assert model._SULFURIC_ACID.at_20 == pytest.approx(_fitted(w, printed, np.ones(28)), rel=1e-4)


def _perry(temperature: str) -> tuple[np.ndarray, np.ndarray]:
    """Mass fractions and densities of Perry's Chemical Engineers' Handbook, cupric sulfate (from memory)."""
    fraction, printed = (
        tables.column("density_binary", k, source="Perry", temperature_degC=temperature) for k in COLUMNS
    )
    return fraction, printed


def test_perry_stands_near_the_other_handbook():
    fraction, printed = _perry("20")
    assert np.abs(density_from_mass_fractions(fraction, 0.0) - printed).max() < 0.0005  # up to 0.4 from the CRC rows


def test_what_cold_does_is_what_perry_prints():
    (fraction, cold), (warm_fraction, warm) = _perry("0"), _perry("20")
    assert list(warm_fraction[:3]) == list(fraction)
    ours = density_from_mass_fractions(fraction, 0.0, 0.0, 0.0) - density_from_mass_fractions(fraction, 0.0)
    assert ours == pytest.approx(cold - warm[:3], abs=0.0004)


@pytest.mark.parametrize("temperature", [0.0, 5.0, 10.0, 15.0, 25.0, 40.0, 60.0])
def test_what_warmth_does_is_within_its_uncertainty_of_phreeqc(temperature):
    utilities = pytest.importorskip("phreeqpython", reason="compares with PHREEQC")
    engine = utilities.PhreeqPython()
    for crystals in (60.0, 130.0, 200.0):
        fraction = crystals * ANHYDROUS_PER_PENTAHYDRATE / (1000 * density(crystals, 0.0))
        molal = 1000 * fraction / 159.61 / (1 - fraction)

        def by_phreeqc(degrees: float, molal: float = molal) -> float:
            contents = {"units": "mol/kgw", "Cu": molal, "S(6)": molal, "pH": "4 charge", "temp": degrees}
            return float(engine.add_solution(contents).density)

        ours = density_from_mass_fractions(fraction, 0.0, 0.0, temperature) - density_from_mass_fractions(fraction, 0.0)
        known = model.WARMTH_UNCERTAINTY * crystals * abs(temperature - 20.0)
        assert abs(ours - (by_phreeqc(temperature) - by_phreeqc(20.0))) < 2 * known + 0.00005


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid"), [(140.0, 15.0), (180.0, 50.0), (200.0, 60.0), (220.0, 60.0), (75.0, 190.0)]
)
def test_baths_are_what_the_rows_make_of_them_and_the_mixtures_term(copper_sulfate, sulfuric_acid):
    # Young's rule: each solute's volume is read off its own printed row at the bath's mass fraction of both.
    rows = {
        solute: [tables.column("density_binary", key, solute=solute, source="CRC") for key in COLUMNS]
        for solute in ("CuSO4", "H2SO4")
    }
    salt, acid, found = copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / 1000, sulfuric_acid / 1000, 1.15
    for _ in range(20):
        fraction = (salt + acid) / found
        volumes = {}
        for solute, (w, printed) in rows.items():
            at = np.polyval(np.polyfit(w[w < 0.3][-8:], printed[w < 0.3][-8:], 2), fraction)
            at = np.interp(fraction, w, printed) if fraction < w[w < 0.3].max() else at
            volumes[solute] = (1 / at - (1 - fraction) / model.WATER_DENSITY) / fraction
        found = salt + acid + (1 - salt * volumes["CuSO4"] - acid * volumes["H2SO4"]) * model.WATER_DENSITY
    term = -0.0006 * min(copper_sulfate * sulfuric_acid / 12_000, 1.21)
    assert density(copper_sulfate, sulfuric_acid) == pytest.approx(found + term, abs=0.0003)


TEMPERATURES = [0.0, 10.0, 20.0, 30.0, 45.0, 60.0]


def _by_thermo(temperature: float, copper: float, acid: float, iron: float = 0.0) -> float:
    electrochem = pytest.importorskip("thermo.electrochem", reason="compares with the package thermo, a test extra")
    return (
        electrochem.Laliberte_density(
            temperature + 273.15, [copper, acid, iron], ["7758-98-7", "7664-93-9", "7720-78-7"]
        )
        / 1000
    )


@pytest.mark.parametrize("temperature", TEMPERATURES)
def test_baths_stay_near_thermo(temperature):
    for copper_sulfate in range(0, 451, 25):
        for sulfuric_acid in range(0, 401, 20):
            grams = 1000 * density(float(copper_sulfate), float(sulfuric_acid))
            copper, acid = copper_sulfate * ANHYDROUS_PER_PENTAHYDRATE / grams, sulfuric_acid / grams
            if copper + acid > 0.34:  # no bath; there the model holds the mass fraction back from a singularity
                continue
            if temperature < 10 and copper_sulfate > 250:  # crystals
                continue
            ours = density_from_mass_fractions(copper, acid, 0.0, temperature)
            # Its fit of copper sulfate begins at 10 degC; below, Perry's rows lead away from it.
            most = 0.0020 if temperature >= 10 else 0.0025 if copper_sulfate * sulfuric_acid <= 12_000 else 0.0030
            assert abs(ours - _by_thermo(temperature, copper, acid)) < most


@pytest.mark.parametrize("temperature", TEMPERATURES)
def test_warmth_does_what_thermo_says(temperature):
    # Volumes add: what warmth does to the volume of a gram is the published formula's, but for copper sulfate in the cold.
    for copper, acid in [(0.001, 0.0), (0.11, 0.0), (0.25, 0.0), (0.0, 0.001), (0.0, 0.16), (0.0, 0.3)]:
        ours = [1 / density_from_mass_fractions(copper, acid, 0.0, t) for t in (temperature, 20.0)]
        theirs = [1 / _by_thermo(t, copper, acid) for t in (temperature, 20.0)]
        cold = copper * 1.44e-4 * max(10.0 - temperature, 0.0) ** 2
        assert ours[0] - ours[1] == pytest.approx(theirs[0] - theirs[1] - cold, abs=2e-6)


def test_iron_sulfate_against_thermo():
    assert density_from_mass_fractions(0.0, 0.0, 0.05) == pytest.approx(_by_thermo(20.0, 0.0, 0.0, 0.05), abs=0.00001)
