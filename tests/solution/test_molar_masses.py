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
    "Na": molar_masses.SODIUM,
    "Na2SO4": molar_masses.SODIUM_SULFATE,
    "CaCO3": molar_masses.CALCIUM_CARBONATE,
    "Cu2(OH)2CO3": molar_masses.BASIC_COPPER_CARBONATE,
    "NH3": molar_masses.AMMONIA,
    "AgNO3": molar_masses.SILVER_NITRATE,
    "Na2S2O3.5H2O": molar_masses.SODIUM_THIOSULFATE,
    "C10H14N2Na2O8(H2O)2": molar_masses.DISODIUM_EDTA,
    "C10H12N2Na4O8(H2O)2": molar_masses.TETRASODIUM_EDTA,
    "C10H16N2O8": molar_masses.EDTA_ACID,
    "KHC8H4O4": molar_masses.HYDROGEN_PHTHALATE,
    "C6H8O7": molar_masses.CITRIC_ACID,
    "KIO3": molar_masses.POTASSIUM_IODATE,
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
