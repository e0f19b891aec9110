"""Hydrometer scales against printed definitions."""

import pytest

from advisor.solution.hydrometer import density_from_reading


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
