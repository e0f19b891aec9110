"""Stock acid, crystals and chloride sources: labels into grams and millilitres."""

import pytest

from advisor.basis import tables
from advisor.solution import stock
from advisor.solution.ranges import OutOfRange
from advisor.solution.stock import AcidStock, AcidTooStrongToGrade, UnknownForm


@pytest.mark.parametrize("strength", [0.01, 0.15, 0.373, 0.60, 0.80, 0.90, 0.93])
def test_strength_comes_back_from_the_density(strength):
    assert stock.acid_strength(float(stock.acid_density(strength))) == pytest.approx(strength, abs=1e-9)


def test_a_last_figure_more_or_less_is_no_other_acid():
    """What is printed to three decimals may be half of the last one beyond the heaviest row, or the last gradable."""
    assert stock.acid_strength(1.8284) == pytest.approx(0.93)
    heaviest = max(tables.column("acid_strength", "density_g_mL"))
    with pytest.raises(AcidTooStrongToGrade):
        stock.acid_strength(heaviest + 0.0004)


def test_edges_of_what_is_sold():
    assert stock.pentahydrate_mass_fraction(0.5, "pentahydrate") == 0.5
    assert stock.hydrochloric_acid_density(0.40) == pytest.approx(1.198, abs=0.002)  # CRC, 40 %, from memory
    for refused in (
        lambda: stock.pentahydrate_mass_fraction(0.49, "pentahydrate"),
        lambda: stock.hydrochloric_acid_density(0.41),
        lambda: stock.acid_density(1.01),
    ):
        with pytest.raises(OutOfRange):
            refused()


def test_density_from_the_label():
    assert AcidStock.from_strength(0.96).density == 1.8355


def test_strong_acid_cannot_be_graded_and_the_message_says_what_to_do():
    with pytest.raises(AcidTooStrongToGrade, match=r"1\.835 g/mL.*hydrometer cannot grade.*label"):
        AcidStock.from_density(1.835)


def test_last_gradable_acid():
    assert stock.acid_strength(1.828) == pytest.approx(0.93)
    with pytest.raises(AcidTooStrongToGrade):
        stock.acid_strength(1.829)


@pytest.mark.parametrize("density", [0.95, 1.85])
def test_no_acid_has_this_density(density):
    with pytest.raises(OutOfRange, match=r"acid density"):
        stock.acid_strength(density)


@pytest.mark.parametrize("strength", [0.0, 1.01, 37.0])
def test_strength_out_of_range(strength):
    with pytest.raises(OutOfRange, match=r"acid strength"):
        AcidStock.from_strength(strength)


def test_crystals():
    assert stock.pentahydrate_mass_fraction(0.99, "pentahydrate") == 0.99
    assert stock.pentahydrate_mass_fraction(1.0, "anhydrous") == pytest.approx(1.564, abs=5e-4)
    assert stock.pentahydrate_mass_fraction_from_copper_content(0.2545) == pytest.approx(1.0, abs=2e-4)
    assert stock.pentahydrate_mass_fraction_from_copper_content(0.398) == pytest.approx(1.564, abs=1e-3)


def test_what_is_no_copper_sulfate_is_refused():
    with pytest.raises(UnknownForm, match=r"'trihydrate'.*pentahydrate"):
        stock.pentahydrate_mass_fraction(0.99, "trihydrate")
    with pytest.raises(OutOfRange, match=r"copper content"):
        stock.pentahydrate_mass_fraction_from_copper_content(0.5)
    with pytest.raises(OutOfRange, match=r"purity"):
        stock.pentahydrate_mass_fraction(99.0, "pentahydrate")


def test_chloride_dose_of_280_mg():
    # 0.46 g of table salt, or 0.80 mL of 31 % hydrochloric acid.
    assert 0.28 / stock.chloride_mass_fraction("sodium chloride", 1.0) == pytest.approx(0.46, abs=0.005)
    grams = 0.28 / stock.chloride_mass_fraction("hydrochloric acid", 0.31)
    assert grams / stock.hydrochloric_acid_density(0.31) == pytest.approx(0.80, abs=0.01)


def test_unknown_source_of_chloride():
    with pytest.raises(UnknownForm, match=r"bleach"):
        stock.chloride_mass_fraction("bleach", 1.0)
