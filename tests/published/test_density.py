"""The density model against rows of printed tables, typed in to their printed digits."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.solution.density import density_from_mass_fractions, water_density

# CRC Handbook of Chemistry and Physics, 102nd ed. (2021), Concentrative Properties of Aqueous Solutions, 20 degC: mass
# fraction of the anhydrous solute and density [g/mL]. CuSO4: all rows.
COPPER_SULFATE = {
    0.005: 1.0033,
    0.01: 1.0085,
    0.02: 1.0190,
    0.03: 1.0296,
    0.04: 1.0403,
    0.05: 1.0511,
    0.06: 1.0620,
    0.07: 1.0730,
    0.08: 1.0842,
    0.09: 1.0955,
    0.10: 1.1070,
    0.11: 1.1186,
    0.12: 1.1304,
    0.13: 1.1424,
    0.14: 1.1545,
    0.15: 1.1669,
    0.16: 1.1796,
    0.17: 1.1926,
    0.18: 1.2059,
}
SULFURIC_ACID = {
    0.005: 1.0016,
    0.01: 1.0049,
    0.02: 1.0116,
    0.04: 1.0250,
    0.06: 1.0385,
    0.08: 1.0522,
    0.10: 1.0661,
    0.12: 1.0802,
    0.14: 1.0947,
    0.16: 1.1094,
    0.18: 1.1245,
    0.20: 1.1398,
    0.22: 1.1554,
    0.24: 1.1714,
}


@pytest.mark.parametrize(("mass_fraction", "printed"), COPPER_SULFATE.items())
def test_copper_sulfate(mass_fraction, printed):
    assert density_from_mass_fractions(mass_fraction, 0.0) == pytest.approx(printed, abs=0.00028)


@pytest.mark.parametrize(("mass_fraction", "printed"), SULFURIC_ACID.items())
def test_sulfuric_acid(mass_fraction, printed):
    assert density_from_mass_fractions(0.0, mass_fraction) == pytest.approx(printed, abs=0.00032)


@pytest.mark.parametrize(("solute", "typed"), [("CuSO4", COPPER_SULFATE), ("H2SO4", SULFURIC_ACID)])
def test_the_table_holds_what_is_printed(solute, typed):
    rows = np.column_stack(
        [tables.column("density_binary", key, solute=solute, source="CRC") for key in ("mass_fraction", "density_g_mL")]
    )
    assert typed.items() <= {(float(fraction), float(density)) for fraction, density in rows}


@pytest.mark.parametrize(("temperature", "printed"), [(25.0, 997.0448954179155), (50.0, 988.0362916114763)])
def test_water(temperature, printed):
    # Laliberté and Cooper 2004, equation for water, as evaluated in the documentation of `thermo`.
    assert 1000 * water_density(temperature) == pytest.approx(printed, abs=1e-9)
