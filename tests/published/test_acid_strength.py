"""Acid strength against the printed table and against what is known of battery acid and strong acid."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.solution.density import density_from_mass_fractions
from advisor.solution.stock import AcidTooStrongToGrade, acid_density, acid_strength

ROWS = [(float(row["mass_percent"]), float(row["density_g_mL"])) for row in tables.rows("acid_strength")]


@pytest.mark.parametrize(("percent", "printed"), ROWS)
def test_printed_cells(percent, printed):
    # CRC Handbook of Chemistry and Physics, 102nd ed. (2021), Concentrative Properties of Aqueous Solutions.
    assert acid_density(percent / 100) == pytest.approx(printed, abs=1e-12)
    if percent <= 93:
        assert acid_strength(printed) == pytest.approx(percent / 100, abs=1e-9)


def test_two_tables_of_the_same_handbook_agree():
    fractions = tables.column("density_binary", "mass_fraction", solute="H2SO4", source="CRC")
    printed = tables.column("density_binary", "density_g_mL", solute="H2SO4", source="CRC")
    assert np.abs(acid_density(fractions) - printed).max() < 0.00012


def test_battery_acid():
    # SG 25/25 of 1.280 is 37.3 % acid, 475 g/L.
    density = 1.280 * 0.99705
    strength = acid_strength(density, 25.0)
    assert strength == pytest.approx(0.373, abs=0.001)
    assert 1000 * strength * density == pytest.approx(475, abs=2)


def test_density_peaks_near_98_percent():
    # 1.833 g/mL is 94.7 % or 99.4 %.
    assert acid_density(0.947) == pytest.approx(1.833, abs=0.0005)
    assert acid_density(0.994) == pytest.approx(1.833, abs=0.0005)
    with pytest.raises(AcidTooStrongToGrade):
        acid_strength(1.833)


def test_mixing_rule_is_no_substitute_in_strong_acid():
    # The reason for the table: at 96 % the rule for baths, fitted up to 34 %, gives 2.286 g/mL.
    assert density_from_mass_fractions(0.0, 0.96) == pytest.approx(2.286, abs=0.001)
    assert acid_density(0.96) == 1.8355
