"""The gear: the surest way to a volume with what is at hand, and titrants made up by weight."""

import pytest

from advisor.bench.gear import kit_of, make_up, measure
from advisor.readings.acid_titration import TITRANTS


def test_a_pipette_measures_its_own_volume_only():
    kit = kit_of(("5 mL class A pipette",))
    assert measure(kit, 5.0, 1.16).tool == "5 mL class A pipette"
    assert measure(kit, 4.0, 1.16) is None


def test_a_scale_is_used_where_it_halves_the_uncertainty():
    weighed = measure(kit_of(("10 mL syringe", "0.1 g scale")), 10.0, 1.16, 0.005)
    assert weighed.tool is None
    assert weighed.volume.text == "10 ± 0.21 mL"
    assert measure(kit_of(("50 mL burette", "0.1 g scale")), 30.0, 1.0).tool == "50 mL burette"
    assert measure(kit_of(("10 mL syringe", "1 g scale")), 10.0, 1.16).tool == "10 mL syringe"


def test_a_titrant_is_made_up_by_weight():
    """0.5 mol/L of baking soda: 42.0 g a litre, and the litre weighs what grams and water weigh."""
    made = make_up("sodium bicarbonate", TITRANTS["sodium bicarbonate"], 0.5, 200.0, kit_of(("1 g scale",)))
    assert made.millilitres == 1000.0
    assert made.grams == pytest.approx(42.003, abs=0.001)
    assert made.density == pytest.approx(1.028, abs=0.002)
    fine = make_up("sodium bicarbonate", TITRANTS["sodium bicarbonate"], 0.5, 50.0, kit_of(("0.01 g scale",)))
    assert fine.millilitres == 250.0
    assert fine.standard_uncertainty < made.standard_uncertainty


def test_a_mass_is_written_as_the_best_scale_shows_it():
    assert kit_of(("1 g scale", "0.01 g scale")).grams(20.0).text == "20.00 g"
    assert kit_of(()).grams(22.6).text == "23 g"
