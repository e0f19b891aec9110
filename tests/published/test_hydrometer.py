"""Hydrometer scales against printed definitions and a table of temperature corrections."""

import pytest

from advisor.solution.density import density
from advisor.solution.hydrometer import density_from_reading, reading_from_density


@pytest.mark.parametrize(
    ("temperature", "printed"),
    [(10.0, -0.0035), (15.0, -0.0019), (25.0, 0.0021), (30.0, 0.0043), (40.0, 0.0093)],
)
def test_correction_to_20_degC_for_the_usual_bath(temperature, printed):
    # 200 g/L copper sulfate, 60 g/L acid; added to the reading, glass included (computed apart from this).
    shown = reading_from_density(density(200.0, 60.0, 0.0, temperature), "g/mL", temperature)
    at_20 = reading_from_density(density(200.0, 60.0), "g/mL", 20.0)
    assert at_20 - shown == pytest.approx(printed, abs=0.00006)


@pytest.mark.parametrize(
    ("degrees", "specific_gravity"), [(0.0, 1.0), (10.0, 145 / 135), (20.0, 1.16), (66.0, 145 / 79)]
)
def test_baume(degrees, specific_gravity):
    # Heavy degrees of the United States, National Bureau of Standards Circular 59: 145 - 145 / SG 60/60 degF.
    assert density_from_reading(degrees, "Baume", 15.56) == pytest.approx(specific_gravity * 0.99902)


@pytest.mark.parametrize(("degrees", "specific_gravity"), [(0.0, 1.0), (32.0, 1.160), (100.0, 1.5)])
def test_twaddell(degrees, specific_gravity):
    assert density_from_reading(degrees, "Twaddell", 15.56) == pytest.approx(specific_gravity * 0.99902)


@pytest.mark.parametrize(("scale", "unit_density"), [("SG 20/20", 0.99821), ("SG 20/4", 0.99997), ("g/mL", 1.0)])
def test_specific_gravities_at_20_degC(scale, unit_density):
    assert density_from_reading(1.160, scale, 20.0) == pytest.approx(1.160 * unit_density)
