"""Saturation in water against the printed table, typed in to its printed digits."""

import pytest

from advisor.solution.density import density_from_mass_fractions
from advisor.solution.solubility import saturation

# CRC Handbook of Chemistry and Physics, 98th ed. (2017), Solubility of Common Salts at Ambient Temperatures: CuSO4 in
# water [mol/kg] at so many degC.
PRINTED = {10: 1.055, 15: 1.153, 20: 1.260, 25: 1.376, 30: 1.502, 35: 1.639}


@pytest.mark.parametrize(("temperature", "molality"), PRINTED.items())
def test_crc_handbook_in_water(temperature, molality):
    mass_fraction = molality * 159.60 / (1000 + molality * 159.60)
    grams_a_litre = mass_fraction * 1000 * density_from_mass_fractions(mass_fraction, 0.0) * 249.68 / 159.60
    assert saturation(float(temperature), 0.0) == pytest.approx(grams_a_litre, rel=0.001)
