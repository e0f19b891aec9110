"""Viscosity, diffusion, limiting current and conductivity: check values, directions, edges."""

import numpy as np
import pytest

from advisor.solution.density import density
from advisor.solution.transport import (
    DIFFUSION_LAYER,
    conductivity,
    diffusion_coefficient,
    limiting_current_density,
    still_layer,
    viscosity,
)


def test_viscosity_at_the_usual_bath():
    # Price and Davenport give 1.58 mPa s; Laliberté's viscosity model, fitted to other data, 1.57.
    assert viscosity(200.0, 60.0, 25.0) == pytest.approx(1.58, abs=0.005)


def test_thick_cold_liquid_stays_finite():
    assert 0 < viscosity(450.0, 400.0, 0.0) <= 10


def test_diffusion_at_the_reference_and_with_temperature():
    assert diffusion_coefficient(200.0, 60.0, 25.0) == pytest.approx(4.1e-6)
    # Activation energies of 19.2 and 26.8 kJ/mol bracket the change over ten degrees.
    low, high = (np.exp(energy / 8.314 * (1 / 298.15 - 1 / 308.15)) for energy in (19200, 26800))
    assert low < diffusion_coefficient(200.0, 60.0, 35.0) / 4.1e-6 < high


def test_diffusion_is_slower_in_a_thicker_bath():
    strong, usual, weak = (diffusion_coefficient(*bath, 25.0) for bath in ((240.0, 75.0), (200.0, 60.0), (75.0, 60.0)))
    assert strong < usual < weak


@pytest.mark.parametrize(("stirring", "by_hand"), [("still", 3.9), ("moved", 7.7), ("air", 15.5), ("strong", 38.6)])
def test_limiting_current_from_the_diffusion_layer(stirring, by_hand):
    # i = 2 F D C / layer, worked by hand for 200 g/L with D = 5e-6 cm2/s; here D is 4.1e-6.
    limit = limiting_current_density(200.0, 60.0, 25.0, stirring)
    assert limit.value == pytest.approx(by_hand * 4.1 / 5.0, rel=0.01)
    assert 0.3 < limit.standard_uncertainty / limit.value < 0.4


@pytest.mark.parametrize(("height", "low"), [(2.0, 55), (10.0, 32), (30.0, 11)])
def test_natural_convection_thins_the_layer_of_a_low_part(height, low):
    """220/60 g/L at 20 °C, worked by hand for 10 cm.

    The liquid at the part: no copper, acid √(0.612 · (0.612 + 2 · 0.881)) = 1.205 mol/L = 118 g/L; it weighs 1.0732
    where the bath weighs 1.1699, 8.26 % less. ν = 2.00e-3 / 1170 = 1.71e-6 m²/s, D = 3.27e-10 m²/s (Price and Davenport;
    Stokes and Einstein): Sc Gr = 9.807 · 0.1³ · 0.0826 / (1.71e-6 · 3.27e-10) = 1.45e12, its fourth root 1097, the layer
    100 mm / (0.673 · 1097) = 0.135 mm instead of 0.2: the current of the fixed layer is 32 % low.
    It grows with the fourth root of the height: 55 % low at 2 cm, 11 at 30.
    """
    fixed = limiting_current_density(220.0, 60.0, 20.0, "still")
    free = limiting_current_density(220.0, 60.0, 20.0, "still", height)
    assert 100 * (1 - fixed.value / free.value) == pytest.approx(low, abs=0.6)
    assert still_layer(220.0, 60.0, 20.0, height) == pytest.approx(0.0136 * (height / 10) ** 0.25, rel=0.01)
    assert free.standard_uncertainty / free.value < fixed.standard_uncertainty / fixed.value


def test_height_counts_in_still_liquid_only():
    for way in ("moved", "air", "strong"):
        assert limiting_current_density(200.0, 60.0, 25.0, way, 2.0) == limiting_current_density(200.0, 60.0, 25.0, way)


def test_free_convection_from_its_parts():
    """Sherwood, Schmidt and Grashof numbers put together anew, for a lean and acid bath too."""
    for copper, acid, warmth, height in ((200.0, 60.0, 25.0, 5.0), (75.0, 190.0, 18.0, 12.0), (150.0, 1.0, 30.0, 1.0)):
        bulk = density(copper, acid)
        ions = acid / 98.07, acid / 98.07 + 2 * copper / 249.68
        gathered = np.sqrt(ions[0] * ions[1]) * 98.07
        buoyancy = 980.665 * (bulk - density(0.0, gathered)) / bulk  # cm/s2
        viscous = viscosity(copper, acid, warmth) / 100 / bulk  # cm2/s
        spreading = diffusion_coefficient(copper, acid, warmth)
        rayleigh = buoyancy * height**3 / (viscous * spreading)
        assert still_layer(copper, acid, warmth, height) == pytest.approx(height / (0.673 * rayleigh**0.25), rel=2e-3)


def test_uncertainty_of_the_limit_against_random_draws():
    draws = np.random.default_rng(1)
    spread = (1 + 0.144 * draws.standard_normal(200_000)) / (1 + 0.3 * np.clip(draws.standard_normal(200_000), -2, 2))
    limit = limiting_current_density(200.0, 60.0, 25.0, "still")
    inner = np.subtract(*np.quantile(spread, [0.84, 0.16])) / 2
    assert limit.standard_uncertainty / limit.value == pytest.approx(inner, rel=0.15)


def test_more_stirring_carries_more():
    limits = [limiting_current_density(200.0, 60.0, 25.0, way).value for way in DIFFUSION_LAYER]
    assert limits == sorted(limits)
    assert list(DIFFUSION_LAYER) == ["still", "moved", "air", "strong"]


def test_conductivity_in_the_refining_range():
    # Resistivity 1.6-1.9 ohm cm at 200 g/L acid (a plater's figure).
    assert 1 / 1.9 < conductivity(160.0, 200.0, 30.0) < 1 / 1.6
    assert conductivity(200.0, 100.0, 25.0) > conductivity(200.0, 60.0, 25.0)
