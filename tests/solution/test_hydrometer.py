"""Hydrometer scales: there and back, and how they hang together."""

import numpy as np
import pytest

from advisor.solution.density import density
from advisor.solution.hydrometer import SCALES, density_from_reading, reading_from_density


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("temperature", [0.0, 20.0, 45.0])
def test_density_comes_back_from_the_reading(scale, temperature):
    densities = np.array([0.9982, 1.16, 1.35])
    reading = reading_from_density(densities, scale, temperature)
    assert density_from_reading(reading, scale, temperature) == pytest.approx(densities, abs=1e-14)


def test_at_its_own_temperature_a_scale_needs_no_correction_for_glass():
    assert density_from_reading(1.16, "g/mL", 20.0) == 1.16
    assert density_from_reading(1.16, "SG 25/25", 25.0) == pytest.approx(1.16 * 0.99705)


def test_warm_glass_floats_high_and_reads_low():
    assert reading_from_density(1.16, "g/mL", 40.0) - 1.16 == pytest.approx(1.16 * 25e-6 * 20, rel=1e-3)
    assert density_from_reading(1.16, "g/mL", 40.0) < 1.16


@pytest.mark.parametrize("scale", SCALES)
def test_readings_rise_with_density(scale):
    assert (np.diff(reading_from_density(np.linspace(0.95, 1.4, 50), scale, 20.0)) > 0).all()


@pytest.mark.parametrize(
    ("temperature", "computed"),
    [(10.0, -0.0035), (15.0, -0.0019), (25.0, 0.0021), (30.0, 0.0043), (40.0, 0.0093)],
)
def test_correction_to_20_degC_for_the_usual_bath(temperature, computed):
    # 200 g/L copper sulfate, 60 g/L acid; added to the reading, glass included (computed apart from this).
    shown = reading_from_density(density(200.0, 60.0, 0.0, temperature), "g/mL", temperature)
    at_20 = reading_from_density(density(200.0, 60.0), "g/mL", 20.0)
    assert at_20 - shown == pytest.approx(computed, abs=0.00006)
