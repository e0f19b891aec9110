"""Heats by numbers worked out by hand, so that no constant can change unnoticed."""

import pytest

from advisor.solution.heat import cooling_by_crystals, heat_of_dilution, warming_by_acid, warming_by_anhydrous


def test_thomsens_constants():
    assert heat_of_dilution(1.80) == pytest.approx(74_700 / 2)
    assert heat_of_dilution(1e9) == pytest.approx(74_700, rel=1e-6)


def test_strong_acid_into_a_litre_by_hand():
    """100 g of 96 % acid are 0.97889 mol with 0.22682 mol of water a mole; into 1000 g of water 56.93 mol a mole:
    74.7·56.93/58.73 - 74.7·0.22682/2.02682 = 64.05 kJ/mol, 62.70 kJ; over 4060 J/K 15.44 K."""
    assert warming_by_acid(100, 0.96, 1.0) == pytest.approx(15.44, abs=0.01)


def test_ten_litres_take_a_little_more_heat_each():
    """567.3 mol of water a mole then: 74.7·567.3/569.1 - 8.36 = 66.10 kJ/mol, 64.71 kJ over 40.6 kJ/K."""
    assert warming_by_acid(100, 0.96, 10.0) == pytest.approx(1.594, abs=0.001)


def test_battery_acid_gives_off_a_twentieth():
    strong, weak = (warming_by_acid(grams, strength, 2.0) for grams, strength in ((183.6, 0.96), (128, 0.37)))
    assert 15 < strong / weak < 25  # 100 mL of each


def test_a_litre_of_bath_by_heats_of_formation():
    """98 % acid into a litre warms it by 3 °C for 10 mL, 9 for 30, 15 for 50, 29 for 100 (heats of formation of the
    National Bureau of Standards, from memory)."""
    for millilitres, rise in ((10, 3), (30, 9), (50, 15), (100, 29)):
        assert warming_by_acid(millilitres * 1.8361, 0.98, 1.0) == pytest.approx(rise, rel=0.07, abs=0.5)


def test_crystals_cool_by_hand():
    """100 g, 0.40051 mol, take up 4.686 kJ: 1.154 K of a litre of 4060 J/K."""
    assert cooling_by_crystals(100, 1.0) == pytest.approx(1.154, abs=0.001)
    assert cooling_by_crystals(100, 2.0) == pytest.approx(0.577, abs=0.001)


def test_anhydrous_warms_by_hand():
    """What makes 200 g/L of pentahydrate, 0.80103 mol, gives off 52.95 kJ: 13.04 K of a litre of 4060 J/K."""
    assert warming_by_anhydrous(200, 1.0) == pytest.approx(13.04, abs=0.01)
    assert warming_by_anhydrous(200, 2.0) == pytest.approx(6.52, abs=0.01)


def test_nothing_warms_nothing():
    assert warming_by_acid(0.0, 0.96, 1.0) == 0.0
    assert warming_by_acid(10.0, 0.96, 0.0) == 0.0
    assert cooling_by_crystals(10.0, 0.0) == 0.0
    assert warming_by_anhydrous(10.0, 0.0) == 0.0
