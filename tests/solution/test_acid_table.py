"""The table of acid strength against itself, and what follows from it: rows between those printed, battery acid, the peak."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.solution.density import density_from_mass_fractions
from advisor.solution.stock import acid_density, acid_strength

ROWS = [(float(row["mass_percent"]), float(row["density_g_mL"])) for row in tables.rows("acid_strength")]


@pytest.mark.parametrize(("percent", "density"), ROWS)
def test_every_row_comes_back(percent, density):
    # Rows of status "interpolated" too, which are not printed.
    assert acid_density(percent / 100) == pytest.approx(density, abs=1e-12)
    if percent <= 93:
        assert acid_strength(density) == pytest.approx(percent / 100, abs=1e-9)


def test_rows_that_are_not_printed_lie_between_their_neighbours():
    rows = {float(row["mass_percent"]): row for row in tables.rows("acid_strength")}
    between = [percent for percent, row in rows.items() if row["status"] == "interpolated"]
    assert between == [93, 95, 97, 99]
    for percent in between:
        low, here, high = (float(rows[percent + step]["density_g_mL"]) for step in (-1, 0, 1))
        assert here == pytest.approx((low + high) / 2, abs=0.0012)


def test_two_tables_of_the_same_handbook_agree():
    fractions = tables.column("density_binary", "mass_fraction", solute="H2SO4", source="CRC")
    printed = tables.column("density_binary", "density_g_mL", solute="H2SO4", source="CRC")
    assert np.abs(acid_density(fractions) - printed).max() < 0.00012


def test_battery_acid():
    # SG 25/25 of 1.280 is 37.3 % acid, 475 g/L; it loses about 0.0007 g/mL a degC.
    density = 1.280 * 0.99705
    strength = acid_strength(density + 5 * 0.0007)
    assert strength == pytest.approx(0.373, abs=0.001)
    assert 1000 * strength * density == pytest.approx(475, abs=2)


def test_density_peaks_near_98_percent():
    # 1.833 g/mL is 94.7 % or 99.4 %.
    assert acid_density(0.947) == pytest.approx(1.833, abs=0.0005)
    assert acid_density(0.994) == pytest.approx(1.833, abs=0.0005)


def test_mixing_rule_is_no_substitute_in_strong_acid():
    # The reason for the table: at 96 % the rule for baths, fitted up to 34 %, gives 2.286 g/mL.
    assert density_from_mass_fractions(0.0, 0.96) == pytest.approx(2.286, abs=0.001)
    assert acid_density(0.96) == 1.8355
