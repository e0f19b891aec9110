"""Heats of dilution and of solution against figures that stand in print, typed in to their printed digits."""

import pytest

from advisor.solution.heat import ANHYDROUS_GIVES, CRYSTALS_TAKE_UP, heat_of_dilution

# R. H. Petrucci et al., General Chemistry: Principles and Modern Applications, 10th ed., problem 7-126 (read in a
# transcription): standard enthalpy of formation [kJ/mol] of pure H2SO4, and with so many moles of water a mole.
PURE = -814.0
IN_WATER = {1: -841.8, 10: -880.5, 50: -886.8, 100: -887.7, 500: -890.5}


@pytest.mark.parametrize("water", IN_WATER)
def test_thomsens_formula_against_printed_enthalpies_of_formation(water):
    assert heat_of_dilution(water) / 1000 == pytest.approx(PURE - IN_WATER[water], rel=0.05)


def test_thomsens_formula_where_baths_lie():
    """A bath of 60 g/L acid holds about 90 mol of water a mole of acid: there the formula is right to half a per cent."""
    assert heat_of_dilution(100) / 1000 == pytest.approx(PURE - IN_WATER[100], rel=0.005)


def test_heats_of_solution_of_copper_sulfate():
    """A collection of problems in general chemistry of Perm Polytechnic, no. 79 (read): CuSO4 -66.11 kJ/mol, CuSO4.5H2O
    +11.72 kJ/mol on dissolving."""
    assert pytest.approx(66.11, abs=0.05) == ANHYDROUS_GIVES / 1000
    assert pytest.approx(11.72, abs=0.05) == CRYSTALS_TAKE_UP / 1000
