"""The gear: the surest way to a volume with what is at hand, and titrants made up by weight."""

import math

import pytest

from advisor.bench.gear import enough_mL, kit_of, make_up, measure, sample_measure, titrant_measure
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


@pytest.mark.parametrize(
    ("most", "made"), [(25.0, 100.0), (25.1, 250.0), (62.5, 250.0), (126.0, 1000.0), (400.0, 1000.0)]
)
def test_a_titrant_lasts_for_four_titrations(most, made):
    assert enough_mL(most) == made


def test_how_surely_a_titrant_is_made_up_by_hand():
    """21.0 g in half a litre: two steps of 0.1 g, ÷√3, are 0.115 g of 21 and of 514 g; the soda is true to 1 %."""
    made = make_up("sodium bicarbonate", TITRANTS["sodium bicarbonate"], 0.5, 100.0, kit_of(("0.1 g scale",)))
    assert made.millilitres == 500.0
    assert made.standard_uncertainty == pytest.approx(0.5 * math.hypot(0.1155 / 21.0, 0.1155 / 514, 0.01), rel=1e-3)
    assert made.water == pytest.approx(514 - 21.0, abs=1)


@pytest.mark.parametrize(("grams", "sound"), [(11.5, False), (11.6, True)])
def test_a_titrant_is_weighed_to_one_percent(grams, sound):
    """Two steps of 0.1 g, ÷√3, are 0.1155 g."""
    assert kit_of(("0.1 g scale",)).weighs_soundly(grams) is sound


@pytest.mark.parametrize(
    ("have", "size", "tool"),
    [
        (("5 mL syringe",), 0.4, None),  # less than a tenth of it
        (("5 mL syringe",), 0.5, "5 mL syringe"),
        (("5 mL syringe",), 15.0, "5 mL syringe"),  # three fills
        (("5 mL syringe",), 15.1, None),
        (("5 mL syringe",), 24.9, None),
        (("5 mL syringe",), 25.0, "25 mL graduated cylinder"),  # which everybody is thought to have
        (("5 mL syringe",), 26.0, "50 mL graduated cylinder"),
        (("50 mL burette",), 4.9, None),
        (("50 mL burette",), 5.0, "50 mL burette"),
    ],
)
def test_what_a_sample_is_measured_with(have, size, tool):
    way = sample_measure(kit_of(have), size, 1.16)
    assert (way and way.tool) == tool


@pytest.mark.parametrize(
    ("used", "most", "tool"),
    [
        (3.9, 20.0, None),  # a drop would weigh heavily
        (4.0, 60.0, "20 mL syringe"),
        (4.0, 60.1, None),
        (10.0, 15.0, "20 mL syringe"),
    ],
)
def test_what_a_titrant_is_run_in_with(used, most, tool):
    way = titrant_measure(kit_of(("20 mL syringe", "100 mL graduated cylinder")), used, most)
    assert (way and way.tool) == tool
    assert way is None or way.millilitres == used
