"""Heats by numbers worked out by hand, so that no constant can change unnoticed."""

import pytest

from advisor.solution.heat import (
    bath_of,
    cooling_by_crystals,
    heat_of_dilution,
    heat_of_pouring,
    warming_by_acid,
    warming_by_anhydrous,
    water_of,
)


def test_thomsens_constants():
    assert heat_of_dilution(1.80) == pytest.approx(74_700 / 2)
    assert heat_of_dilution(1e9) == pytest.approx(74_700, rel=1e-6)


def test_strong_acid_into_water_by_hand():
    """100 g of 96 % acid, 0.97889 mol with 0.22682 mol of water a mole, into 998.2 g of water: 56.83 mol a mole then.
    74.7·56.83/58.63 - 74.7·0.22682/2.02682 = 64.05 kJ/mol, 62.69 kJ; over 4172.5 J/K 15.0 K."""
    assert heat_of_pouring(100, 0.96, water_of(1.0)) == pytest.approx(62_690, rel=2e-3)
    assert water_of(1.0).warming(100, 0.96) == pytest.approx(15.0, abs=0.05)


def test_whole_bath_by_hand():
    """The same heat over 4060 J/(L K): 15.4 K in one litre, 1.57 K in ten (62.69 kJ and a little more, being thinner)."""
    assert warming_by_acid(100, 0.96, 1.0) == pytest.approx(15.44, abs=0.05)
    assert warming_by_acid(100, 0.96, 10.0) == pytest.approx(1.59, abs=0.02)


def test_battery_acid_gives_off_a_twentieth():
    strong, weak = (heat_of_pouring(grams, strength, water_of(2.0)) for grams, strength in ((183.6, 0.96), (128, 0.37)))
    assert 15 < strong / weak < 25  # 100 mL of each


def test_acid_that_is_there_already_takes_some_of_the_heat():
    assert bath_of(1.0, 200, 100).warming(50, 0.96) < bath_of(1.0, 200, 0).warming(50, 0.96)
    first = water_of(1.0)
    later = bath_of(1.0, 0.0, 50.0)
    assert heat_of_pouring(50, 0.96, later) < heat_of_pouring(50, 0.96, first)


def test_crystals_cool_by_hand():
    """100 g, 0.40051 mol, take up 4.686 kJ: 1.154 K of a litre of 4060 J/K."""
    assert cooling_by_crystals(100, 1.0) == pytest.approx(1.154, abs=0.001)
    assert cooling_by_crystals(100, 2.0) == pytest.approx(0.577, abs=0.001)


def test_anhydrous_warms_by_hand():
    """What makes 200 g/L of pentahydrate, 0.80103 mol, gives off 52.95 kJ: 13.04 K of a litre of 4060 J/K."""
    assert warming_by_anhydrous(200, 1.0) == pytest.approx(13.04, abs=0.01)


def test_nothing_warms_nothing():
    assert warming_by_acid(0.0, 0.96, 1.0) == 0.0
    assert warming_by_acid(10.0, 0.96, 0.0) == 0.0
    assert water_of(0.0).warming(10.0, 0.96) == 0.0
    assert cooling_by_crystals(10.0, 0.0) == 0.0
