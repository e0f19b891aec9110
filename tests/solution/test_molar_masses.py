"""Molar masses in the code, in the table, and from another program."""

import pytest

from advisor.basis import tables
from advisor.solution import molar_masses

CONSTANTS = {
    "Cu": molar_masses.COPPER,
    "Cl": molar_masses.CHLORINE,
    "O": molar_masses.OXYGEN,
    "CuSO4": molar_masses.COPPER_SULFATE,
    "CuSO4.5H2O": molar_masses.COPPER_SULFATE_PENTAHYDRATE,
    "FeSO4": molar_masses.IRON_SULFATE,
    "H2SO4": molar_masses.SULFURIC_ACID,
    "H2O": molar_masses.WATER,
    "NaOH": molar_masses.SODIUM_HYDROXIDE,
    "NaHCO3": molar_masses.SODIUM_BICARBONATE,
    "Na2CO3": molar_masses.SODIUM_CARBONATE,
    "NaCl": molar_masses.SODIUM_CHLORIDE,
    "HCl": molar_masses.HYDROGEN_CHLORIDE,
}
NOT_IN_THE_TABLE = {
    "Fe": molar_masses.IRON,
    "Ni": molar_masses.NICKEL,
    "Zn": molar_masses.ZINC,
    "Na2SO4": molar_masses.SODIUM_SULFATE,
}


def test_table_and_constants_are_the_same():
    assert {row["formula"]: float(row["molar_mass_g_mol"]) for row in tables.rows("molar_masses")} == CONSTANTS


@pytest.mark.parametrize(("formula", "ours"), (CONSTANTS | NOT_IN_THE_TABLE).items())
def test_against_molmass(formula, ours):
    molmass = pytest.importorskip("molmass", reason="compares with the package molmass, a test extra")
    theirs = molmass.Formula(formula.replace(".5H2O", "(H2O)5")).mass
    assert ours == pytest.approx(theirs, rel=1e-4)


def test_a_mole_of_gas_at_20_degrees_and_an_atmosphere():
    assert pytest.approx(1000 * 8.314463 * 293.15 / 101_325, abs=1e-3) == molar_masses.MOLAR_VOLUME


def test_factors_in_use_among_platers():
    # Metal to salt 3.929, salt to metal 0.2545, salt to anhydrous 1/1.564.
    assert pytest.approx(3.929, abs=5e-4) == molar_masses.PENTAHYDRATE_PER_COPPER
    assert pytest.approx(0.2545, abs=5e-5) == molar_masses.COPPER_PER_PENTAHYDRATE
    assert pytest.approx(1.564, abs=5e-4) == 1 / molar_masses.ANHYDROUS_PER_PENTAHYDRATE
