"""The limit of anodes: worked by hand, its limiting cases, and whether it says what the trade says."""

import math

import numpy as np
import pytest

from advisor.solution.anode_film import anodic_limit, beside_saturated, field_helps
from advisor.solution.density import density
from advisor.solution.solubility import saturation
from advisor.solution.transport import acid_beside, diffusion_coefficient, viscosity


def test_the_limit_of_a_usual_bath_by_hand():
    """200/60 g/L at 20 degC, anodes 10 cm high.

    Beside the anode 49 g/L of acid are left, and 275 g/L of copper sulfate stay dissolved. Free convection leaves a
    layer of 0.17 mm: Sc Gr of (viscosity 1.74 mPa s, D 3.6e-6 cm2/s, 0.04 g/mL heavier). 2 F D dC / layer:
    2 x 96485 x 3.5e-6 x (75 / 249.68 / 1000) / 0.0171 x 100 = 1.2 A/dm2, times the root of 2.25 for half of the field.
    """
    full, acid = beside_saturated(200.0, 60.0, 20.0)
    assert (full, acid) == pytest.approx((274.8, 49.2), abs=0.3)
    kinematic = viscosity(200.0, 60.0, 20.0) * 1e-6 / density(200.0, 60.0)
    diffusion = diffusion_coefficient(200.0, 60.0, 20.0) * 1e-4
    heavier = float(density(full, acid) - density(200.0, 60.0))
    rayleigh = 9.80665 * 0.1**3 * heavier / density(200.0, 60.0) / (kinematic * diffusion)
    layer = 0.1 / (0.673 * rayleigh**0.25)  # m
    by_hand = 2 * 96485.33 * diffusion * (full - 200.0) / 249.68 * 1000 / layer / 100  # A/dm2
    assert by_hand == pytest.approx(1.18, abs=0.03)
    found = anodic_limit(200.0, 60.0, 20.0, 10.0)
    assert found.value == pytest.approx(by_hand * math.sqrt(field_helps(full, 200.0, 60.0)), rel=1e-3)


@pytest.mark.parametrize(
    ("copper_sulfate", "sulfuric_acid"), [(200.0, 60.0), (220.0, 52.0), (120.0, 55.0), (75.0, 200.0)]
)
def test_the_trades_rule_lies_where_the_model_does(copper_sulfate, sulfuric_acid):
    """1 to 2.5 A/dm2 on anodes (common practice, no source) in warm baths: within twice the model's uncertainty."""
    found = anodic_limit(copper_sulfate, sulfuric_acid, 24.0, 15.0)
    assert 1.0 < found.value < 8.0
    assert found.value - 2 * found.standard_uncertainty < 2.5


def test_nothing_more_dissolves_into_a_saturated_bath():
    at = float(saturation(15.0, 60.0))
    full = anodic_limit(at * 1.05, 60.0, 15.0, 10.0)
    assert full.value == 0.0
    assert full.probability_passive(0.5) > 0.5
    assert anodic_limit(at * 1.3, 60.0, 15.0, 10.0).probability_passive(0.5) > 0.97


def test_warm_low_and_moved_anodes_stand_more():
    here = anodic_limit(200.0, 60.0, 20.0, 20.0).value
    assert anodic_limit(200.0, 60.0, 26.0, 20.0).value > 1.3 * here
    assert anodic_limit(200.0, 60.0, 20.0, 5.0).value == pytest.approx(here * 4**0.25, rel=1e-6)
    assert anodic_limit(200.0, 60.0, 20.0, 20.0, "air").value > 2 * here
    assert anodic_limit(200.0, 100.0, 20.0, 20.0).value < here


def test_a_probability_grows_with_the_current_and_is_half_near_the_limit():
    found = anodic_limit(180.0, 60.0, 22.0, 10.0)
    chances = [found.probability_passive(i) for i in np.linspace(0.0, 10.0, 30)]
    assert chances[0] == 0.0
    assert chances == sorted(chances)
    assert found.probability_passive(found.value) == pytest.approx(0.5, abs=0.06)
    wider = anodic_limit(180.0, 60.0, 22.0, 10.0, copper_standard_uncertainty=20.0)
    assert wider.standard_uncertainty > found.standard_uncertainty


def test_the_field_helps_as_ideal_ions_do():
    """Without acid, a cation of charge 2 with anions of charge 1: 1 + 2/1 = 3; in great excess of acid 1."""
    assert field_helps(250.0, 200.0, 0.0) == pytest.approx(3.0)
    assert field_helps(2.0, 1.0, 400.0) == pytest.approx(1.0, abs=0.01)
    assert field_helps(200.0, 200.0, 60.0) == pytest.approx(field_helps(200.001, 200.0, 60.0), rel=1e-4)


def test_acid_beside_an_electrode():
    """The bulk's own where nothing changes; less where copper has gathered, since it pushes hydrogen ions away."""
    assert acid_beside(200.0, 200.0, 60.0) == pytest.approx(60.0)
    assert acid_beside(270.0, 200.0, 60.0) < 60.0 < acid_beside(0.0, 200.0, 60.0)
