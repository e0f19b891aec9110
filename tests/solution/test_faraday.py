"""An ampere-hour in figures, by arithmetic from atomic weights, and the way back."""

import pytest

from advisor.solution.faraday import (
    COPPER_PER_AMPERE_HOUR,
    MOL_PER_AMPERE_HOUR,
    charge_for_mass,
    layer_mass,
    layer_thickness,
    mass_deposited,
)
from advisor.solution.molar_masses import COPPER, PENTAHYDRATE_PER_COPPER, SULFURIC_ACID


def test_figures_of_an_ampere_hour():
    # 1 A·h deposits 1.1855 g of copper, takes 4.658 g of salt and leaves 1.830 g of acid; 13.23 um/h at 1 A/dm2.
    copper = mass_deposited(1.0)
    assert round(copper, 4) == round(COPPER_PER_AMPERE_HOUR, 4) == round(63.546 * MOL_PER_AMPERE_HOUR, 4) == 1.1855
    assert round(copper * PENTAHYDRATE_PER_COPPER, 3) == 4.658
    assert round(copper * SULFURIC_ACID / COPPER, 3) == 1.830
    assert round(1000 * layer_thickness(copper, 1.0), 2) == 13.23


def test_layers_and_charges_are_inverse():
    assert layer_thickness(layer_mass(1.7, 0.12), 1.7) == pytest.approx(0.12)
    assert mass_deposited(charge_for_mass(7.3)) == pytest.approx(7.3)
