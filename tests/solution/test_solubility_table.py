"""Saturation against the table that it was fitted to, against recalled tables, and where usual baths crystallise."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.solution.solubility import crystallises_below, saturation


def _columns(source: str) -> list[np.ndarray]:
    keys = ("temperature_degC", "sulfuric_acid_g_L", "copper_sulfate_pentahydrate_g_L")
    return [tables.column("solubility", key, source=source) for key in keys]


def test_two_columns_of_the_crc_rows_agree():
    molality = tables.column("solubility", "copper_sulfate_anhydrous_mol_kg_water", source="CRC")
    per_100_g = tables.column("solubility", "copper_sulfate_anhydrous_g_100g_water", source="CRC")
    assert molality * 15.960 == pytest.approx(per_100_g, abs=0.01)


def test_litres_of_the_table_are_at_each_rows_own_temperature():
    temperature, _, printed = _columns("CRC")
    per_100_g = tables.column("solubility", "copper_sulfate_anhydrous_g_100g_water", source="CRC")
    mass_fraction = per_100_g / (100 + per_100_g)
    # The litres of the table were reckoned with Laliberté's published parameters.
    electrochem = pytest.importorskip("thermo.electrochem", reason="compares with the package thermo, a test extra")
    grams = [
        electrochem.Laliberte_density(t + 273.15, [w], ["7758-98-7"])
        for t, w in zip(temperature, mass_fraction, strict=True)
    ]
    there = mass_fraction * grams * 249.68 / 159.60
    assert there == pytest.approx(printed, abs=0.2)


def test_pitzer_model_to_which_the_formula_was_fitted():
    temperature, acid, printed = _columns("Pitzer")
    relative = saturation(temperature, acid) / printed - 1
    assert np.abs(relative).max() < 0.03
    assert np.sqrt(np.mean(relative**2)) < 0.012


def test_foote_in_acid():
    # H. W. Foote (1915), recalled: 25 degC, 136 and 320 g/L acid; believed to 10 %.
    temperature, acid, printed = _columns("Foote")
    assert saturation(temperature, acid) == pytest.approx(printed, rel=0.10)


def test_older_handbook_in_water():
    # Older handbook tables, recalled, stand a few per cent above the CRC and lead beyond its 10-35 degC.
    temperature, acid, printed = _columns("older")
    assert saturation(temperature, acid) == pytest.approx(printed, rel=0.05)


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid", "temperature"),
    [(220.0, 60.0, 8.0), (248.0, 75.0, 18.0), (220.0 / 0.9, 60.0, 14.0)],
)
def test_where_usual_baths_crystallise(copper_sulfate, sulfuric_acid, temperature):
    # The last row: 220/60 if solubility is 10 % lower than computed.
    assert crystallises_below(copper_sulfate, sulfuric_acid) == pytest.approx(temperature, abs=0.5)
