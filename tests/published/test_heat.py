"""Heats of dilution and of solution against figures that stand in print, typed in to their printed digits."""

import pytest

from advisor.solution.heat import ANHYDROUS_GIVES, CRYSTALS_TAKE_UP, heat_of_dilution, warming_by_acid, water_of

# R. H. Petrucci et al., General Chemistry: Principles and Modern Applications, 10th ed., problem 7-126 (read in a
# transcription): standard enthalpy of formation [kJ/mol] of pure H2SO4, and with so many moles of water a mole.
PURE = -814.0
IN_WATER = {1: -841.8, 10: -880.5, 50: -886.8, 100: -887.7, 500: -890.5}


@pytest.mark.parametrize("water", IN_WATER)
def test_thomsens_formula_against_printed_enthalpies_of_formation(water):
    printed = PURE - IN_WATER[water]
    assert heat_of_dilution(water) / 1000 == pytest.approx(printed, rel=0.05)


def test_thomsens_formula_where_baths_lie():
    """A bath of 60 g/L acid holds about 90 mol of water a mole of acid: there the formula is right to half a per cent."""
    assert heat_of_dilution(100) / 1000 == pytest.approx(PURE - IN_WATER[100], rel=0.005)


def test_rise_of_a_printed_problem():
    """The same problem, part c: 500.0 mL of 1.00 mol/L from pure acid, 4.2 J/(g °C). A mole of acid then has 53 mol of
    water, so that the printed enthalpies give 72.8 kJ/mol, 36.4 kJ into 524 g of liquid: 16.5 °C (computed from
    print)."""
    acid, litres = 49.035, 0.4813
    assert water_of(litres).warming(acid, 1.0) * 4172 * litres / (524 * 4.2) == pytest.approx(16.5, abs=0.3)


def test_heats_of_solution_of_copper_sulfate():
    """A collection of problems in general chemistry of Perm Polytechnic, no. 79 (read): CuSO4 -66.11 kJ/mol, CuSO4.5H2O
    +11.72 kJ/mol on dissolving."""
    assert pytest.approx(66.11, abs=0.05) == ANHYDROUS_GIVES / 1000
    assert pytest.approx(11.72, abs=0.05) == CRYSTALS_TAKE_UP / 1000


def test_acid_into_a_litre_of_bath_from_heats_of_formation():
    """NBS heats of formation, from memory: 98 % acid into a litre warms it by 3 °C for 10 mL, 9 for 30, 15 for 50, 29
    for 100."""
    for millilitres, rise in ((10, 3), (30, 9), (50, 15), (100, 29)):
        assert warming_by_acid(millilitres * 1.8361, 0.98, 1.0) == pytest.approx(rise, rel=0.07, abs=0.5)
