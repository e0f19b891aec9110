"""Concentrations to grams and back, and what mixing by grams gives."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from advisor.solution.composition import Masses, composition, masses
from advisor.solution.density import density, density_from_mass_fractions


@settings(deadline=None)  # the first case may load what the others find loaded
@given(some.floats(0, 450), some.floats(0, 400), some.floats(0, 10), some.floats(0.1, 100))
def test_masses_and_back(copper_sulfate, sulfuric_acid, foreign_solids, volume):
    back = composition(masses(copper_sulfate, sulfuric_acid, foreign_solids, volume))
    assert back == pytest.approx((copper_sulfate, sulfuric_acid, foreign_solids, volume), rel=1e-9, abs=1e-9)


def test_arrays_go_through():
    back = composition(masses(np.array([200.0, 75.0]), np.array([60.0, 190.0]), 1.0, 5.6))
    assert back.copper_sulfate == pytest.approx([200.0, 75.0])
    assert back.sulfuric_acid == pytest.approx([60.0, 190.0])


def test_total_is_density_times_volume():
    assert masses(200.0, 60.0, 2.0, 5.6).total == pytest.approx(5600 * density(200.0, 60.0, 2.0))


def test_water_of_crystallisation_is_not_counted_as_water():
    bath = masses(200.0, 0.0, 0.0, 1.0)
    assert bath.water == pytest.approx(bath.total - 200.0)
    anhydrous = 200.0 * 159.60 / 249.68 / bath.total
    assert density_from_mass_fractions(anhydrous, 0.0, 0.0) * 1000.0 == pytest.approx(bath.total)


@pytest.mark.parametrize(
    ("addition", "millilitres"),
    [
        (Masses(1.0, 0.0, 0.0, 0.0), 0.406),  # a gram of crystals
        (Masses(0.0, 0.98 * 1.8361, 0.0, 0.02 * 1.8361), 0.786),  # a millilitre of 98 % acid
        (Masses(0.0, 0.0, 0.0, 1.0), 0.994),  # a gram of water
    ],
)
def test_volume_grows_by_less_than_what_is_added(addition, millilitres):
    # Computed with the parameters of Laliberté 2009, apart from this code (crystals, water; acid 0.78 to 0.80, and the
    # term for the mixture): volumes do not add.
    bath = masses(200.0, 60.0, 0.0, 1.0)
    assert 1000 * (composition(bath + addition).volume - 1) == pytest.approx(millilitres, abs=0.005)


def test_grams_add():
    assert Masses(1.0, 2.0, 3.0, 4.0) + Masses(10.0, 20.0, 30.0, 40.0) == Masses(11.0, 22.0, 33.0, 44.0)


def test_evaporation_raises_everything_in_proportion():
    bath = masses(200.0, 60.0, 2.0, 6.0)
    dry = composition(Masses(bath.copper_sulfate, bath.sulfuric_acid, bath.foreign_solids, bath.water - 500))
    assert dry.copper_sulfate / 200 == pytest.approx(dry.sulfuric_acid / 60)
    assert dry.volume == pytest.approx(5.5, abs=0.01)
