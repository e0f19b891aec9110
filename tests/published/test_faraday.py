"""Faraday's law against published worked problems, in their printed digits and with their own constants."""

import pytest

from advisor.solution.faraday import charge_for_mass, layer_mass, mass_deposited

OPENSTAX = {"chromium": 51.996, "zinc": 65.38, "aluminium": 26.982}  # g/mol


def test_copper_by_talbot():
    # W1. Talbot, Quantitative Chemical Analysis, problem 97: 1.5 A, 45 min, F 96 500, Cu 63.6: 1.335 g.
    assert round(mass_deposited(1.5 * 0.75, molar_mass=63.6, faraday=96500), 3) == 1.335


def test_copper_by_instant_notes():
    # W2. Kealey and Haines, Instant Notes: Analytical Chemistry (2002), p. 65: 0.123 A for an hour: 0.1457 g.
    assert round(mass_deposited(0.123, molar_mass=63.5, faraday=96485), 4) == 0.1457


def test_charge_and_current_of_a_school_problem():
    # W3. Translated school problem 1300, physics-arena: 191 g in 24 h: 5.80e5 C, 6.71 A, 3.30e-4 g/C.
    charge = charge_for_mass(191.0, molar_mass=63.6, faraday=9.65e4)
    assert round(3600 * charge / 1e5, 2) == 5.80
    assert round(charge / 24.0, 2) == 6.71
    assert round(mass_deposited(1.0, molar_mass=63.6, faraday=9.65e4) / 3600 * 1e4, 2) == 3.30


def test_silver_by_openstax():
    # W4. OpenStax Chemistry 2e, section 17.7: 10.23 A for an hour, Ag 107.9: 0.3817 mol, 41.19 g.
    assert round(mass_deposited(10.23, molar_mass=1.0, electrons=1), 4) == 0.3817
    assert round(mass_deposited(10.23, molar_mass=107.9, electrons=1, faraday=96485), 2) == 41.19


def test_time_for_chromium_by_openstax():
    # W5. OpenStax, section 17.7: 0.010 mm on 3.3 m2 at 33.46 A: 3.95e4 s, 11.0 h.
    hours = charge_for_mass(layer_mass(330.0, 0.010, density=7.19), OPENSTAX["chromium"], electrons=3) / 33.46
    assert round(hours, 1) == 11.0
    assert 3600 * hours / 1e4 == pytest.approx(3.95, abs=0.006)


def test_zinc_on_a_sheet_by_openstax():
    # W6. OpenStax: 0.100 mm on 3.00 x 5.50 m, 25.5 A: 11.8 kg, 379 h. These answers are those of one side.
    mass = layer_mass(1650.0, 0.100, density=7.140)
    assert round(mass / 1000, 1) == 11.8
    assert round(charge_for_mass(mass, OPENSTAX["zinc"]) / 25.5) == 379


def test_aluminium_by_openstax():
    # W7. OpenStax: 25.0 A, 15.0 min: 0.0777 mol, 2.10 g.
    assert round(mass_deposited(25.0 / 4, molar_mass=1.0, electrons=3), 4) == 0.0777
    assert round(mass_deposited(25.0 / 4, OPENSTAX["aluminium"], electrons=3), 2) == 2.10


def test_weight_of_a_cathode_by_talbot():
    # W30. Talbot, problem 99d: 10.9640 g and the copper of 0.9400 g of brass (68.90 %): 11.6116 g. Talbot says that his
    # last figure may be off by one.
    charge = charge_for_mass(0.9400 * 0.6890)
    assert 10.9640 + mass_deposited(charge) == pytest.approx(11.6116, abs=1.01e-4)
