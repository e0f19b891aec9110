"""Strength of a titrant: its formula, its uncertainty, the bake judged by its loss, what is refused."""

import numpy as np
import pytest

from advisor.basis.fields import InputError, read_table
from advisor.basis.units import parse
from advisor.bench.standardise import (
    BAKED_LOSS,
    STANDARDISATIONS,
    judge_bake,
    strength_of,
)


def read(way, **typed):
    errors = []
    found = read_table(STANDARDISATIONS[way].table, typed, "titrant", errors)
    if errors:
        raise errors[0]
    return found


def strength(way, **typed):
    return STANDARDISATIONS[way].answer(read(way, **typed))


KHP = {"solid": "potassium hydrogen phthalate", "mass": "0.5105 g", "used": "25.00 mL", "purity": "100 %"}
CRYSTALS = {
    "method": "EDTA",
    "crystals": "2.497 g",
    "made_up": "100 mL",
    "made_up_with": "100 mL class B volumetric flask",
    "sample": "10 mL",
    "used": "10 mL",
}
BAKE = {"before": "100.0 g", "after": "63.1 g", "mass": "26.50 g", "made_up": "1000 ± 2 mL"}


@pytest.mark.parametrize(
    ("substance", "grams"),
    [
        ("sodium bicarbonate", 84.006),
        ("sodium carbonate", 105.988),
        ("sodium carbonate monohydrate", 124.003),
        ("sodium carbonate decahydrate", 286.138),
        ("disodium EDTA dihydrate", 372.24),
        ("EDTA acid", 292.24),
        ("tetrasodium EDTA dihydrate", 416.20),
    ],
)
def test_a_mole_in_a_litre_is_one_mole_a_litre(substance, grams):
    """Formula weights by hand from the standard atomic weights."""
    found = strength("weighed in", substance=substance, mass=f"{grams} g", made_up="1000 ± 1 mL")
    assert found.molarity == pytest.approx(1.0, rel=1e-4)


def test_lye_against_phthalate():
    found = strength("against solid", **KHP)
    assert found.titrant == "sodium hydroxide"
    assert found.molarity == pytest.approx(0.5105 / 204.22 / 0.025, rel=1e-9)


def test_the_same_moles_of_citric_acid_take_three_times_the_lye():
    whole = strength("against solid", solid="citric acid", mass="1.921 g", used="30 mL", purity="100 %")
    wet = strength("against solid", solid="citric acid monohydrate", mass="2.101 g", used="30 mL", purity="100 %")
    assert whole.molarity == pytest.approx(1.0, rel=1e-3)
    assert wet.molarity == pytest.approx(whole.molarity, rel=1e-3)


def test_a_blank_is_taken_off_and_costs_a_drop_more():
    plain, blanked = (strength("against solid", **KHP, **extra) for extra in ({}, {"blank": "0.50 mL"}))
    assert blanked.molarity == pytest.approx(plain.molarity * 25.0 / 24.5, rel=1e-9)
    assert blanked.shares["a drop"] == pytest.approx(0.05 * np.sqrt(2) / 24.5)
    assert any("alone too" in note for note in plain.notes)
    assert not any("alone too" in note for note in blanked.notes)


def test_titrating_crystals_and_then_the_same_liquid_as_bath_gives_the_crystals_back():
    """What the standardising says, the titration of the bath undoes: held iodine cancels in the mean."""
    from advisor.basis.units import Measured
    from advisor.readings.model import State, Surroundings

    fields = CRYSTALS | {"method": "iodometric", "thiocyanate": False, "purity": "100 %"}
    found = strength("against crystals", **fields).molarity
    from advisor.readings.copper_titration import CopperTitration

    reading = CopperTitration(
        method="iodometric",
        sample=parse("10 mL", "volume"),
        strength=Measured(found, None, "mol/L", f"{found} mol/L"),
        used=parse("10 mL", "volume"),
        thiocyanate=False,
    )
    here = Surroundings(20.0, 5.0, 0.02)
    assert reading.model(here, State(25.0, 0.0)).predict(State(24.97, 0.0))[0] == pytest.approx(10.0, rel=1e-9)


# --- The bake -------------------------------------------------------------------------------------


def test_all_of_a_bake_loses_369_parts_in_a_thousand():
    assert pytest.approx(0.369, abs=0.0005) == BAKED_LOSS


@pytest.mark.parametrize(
    ("after", "complete", "said"),
    [
        ("63.1 g", True, "it is done"),
        ("63.4 g", True, "it is done"),
        # 99 % of 36.91 % are 36.54, less twice the 0.068 % by which weighing 0.1 g may be off: a loss of 36.40.
        ("63.5 g", True, "it is done"),
        ("63.6 g", False, "half an hour more"),
        ("62.6 g", True, "it is done"),  # 101 % are 37.28, and 0.137 more: 37.41
        ("62.5 g", True, "damp before"),
        ("65.0 g", False, "half an hour more"),
        ("80.0 g", False, "half an hour more"),
        ("58.0 g", True, "damp before"),
    ],
)
def test_the_loss_tells_whether_a_bake_is_done(after, complete, said):
    bake = judge_bake(parse("100.0 g", "mass"), parse(after, "mass"))
    assert bake.complete is complete
    assert said in bake.said


def test_a_coarse_scale_is_given_the_benefit_of_its_doubt():
    fine, coarse = (judge_bake(parse(f"20{tail} g", "mass"), parse(f"13{tail} g", "mass")) for tail in (".00", ""))
    assert not fine.complete
    assert coarse.complete


def test_an_unfinished_bake_is_refused_at_its_field():
    with pytest.raises(InputError, match=r"titrant: after: .*loss of 30\.0 %.*loses 36\.9 %"):
        read("baked", **BAKE | {"after": "70.0 g"})


def test_baked_soda_is_a_standard_by_itself():
    found = strength("baked", **BAKE)
    assert found.molarity == pytest.approx(26.5 / 105.988, rel=1e-9)
    assert found.standard_uncertainty / found.molarity < 0.01


# --- Uncertainty, text, refusals ------------------------------------------------------------------


def test_the_stated_uncertainty_is_that_of_repeated_standardisings():
    """Draw what the scale, the burette, the drops, the purity and the end point do, and titrate again and again."""
    stated = strength("against solid", **KHP | {"purity": "99.5 %"}, used_with="50 mL class B burette")
    rng = np.random.default_rng(1)
    n = 200_000
    grams = 0.5105 + 0.0002 / np.sqrt(3) * rng.standard_normal(n)  # two steps of the scale
    pure = 0.995 + 0.0025 / np.sqrt(3) * rng.standard_normal(n)
    millilitres = 25.0 + 0.1 / np.sqrt(3) * rng.standard_normal(n) + 0.05 * rng.standard_normal(n)
    turned = 1 + np.hypot(0.001, 0.003) * rng.standard_normal(n)
    assert np.std(grams * pure / 204.22 / millilitres * 1000 * turned) == pytest.approx(
        stated.standard_uncertainty, rel=0.02
    )


STEP = 0.01 / np.sqrt(3)  # g: of a scale whose hundredths were written; two of them in one weighing


@pytest.mark.parametrize(
    ("way", "typed", "molarity", "shares", "first", "known_from"),
    [
        # 42.00 g of 99 % in a litre, which is known to 2 mL (95 %). A purity typed as 99 % is one from 98.5 to 99.5.
        (
            "weighed in",
            {"substance": "sodium bicarbonate", "mass": "42.00 g", "made_up": "1000 ± 2 mL", "purity": "99 %"},
            42.0 * 0.99 / 84.006,
            {
                "weighing": 2 * STEP / 42,
                "volume made up": 2 / 1.96 / 1000,
                "the substance itself": np.hypot(0.01, 0.005 / np.sqrt(3) / 0.99),
            },
            "Sodium bicarbonate: 0.495 ± 0.010 mol/L (± 2.1 %)",
            "weighed",
        ),
        # Weighed with a given ± there is no scale to be guessed; EDTA keeps its capitals.
        (
            "weighed in",
            {"substance": "EDTA acid", "mass": "2.92 ± 0.04 g", "made_up": "1000 ± 2 mL"},
            2.92 / 292.24,
            {"weighing": 0.04 / 1.96 / 2.92, "volume made up": 2 / 1.96 / 1000, "the substance itself": 0.01},
            "EDTA acid: 0.00999 ± 0.00024 mol/L (± 2.4 %)",
            None,
        ),
        # The loss is known to 0.1/√3 g and 0.631 of that, of 100 g: 0.07 of 36.9 %. Dry soda is true to half a percent.
        (
            "baked",
            BAKE,
            26.5 / 105.988,
            {
                "weighing": 2 * STEP / 26.5,
                "volume made up": 2 / 1.96 / 1000,
                "the bake": np.hypot(0.001 / np.sqrt(3) * np.hypot(1, 0.631) / 0.631, 0.005),
            },
            "Sodium carbonate: 0.2500 ± 0.0026 mol/L (± 1 %)",
            "baked",
        ),
        # A coarse scale that shows 13 of 20 g: a hundredth of the loss may be missing, no more.
        (
            "baked",
            BAKE | {"before": "20 g", "after": "13 g"},
            26.5 / 105.988,
            {
                "weighing": 2 * STEP / 26.5,
                "volume made up": 2 / 1.96 / 1000,
                "the bake": np.hypot(0.01 * 0.3691 / 0.6309, 0.005),
            },
            "Sodium carbonate: 0.2500 ± 0.0038 mol/L (± 1.5 %)",
            "baked",
        ),
        # Phenolphthalein in lye with carbonate: 0.1 and 0.3 %; starch 0.2 %. The burette's 0.1 mL, and one drop.
        (
            "against solid",
            KHP | {"used_with": "50 mL class B burette"},
            0.5105 / 204.22 / 0.025,
            {
                "weighing": 0.0002 / np.sqrt(3) / 0.5105,
                "titrant volume": 0.1 / np.sqrt(3) / 25,
                "a drop": 0.05 / 25,
                "purity of the solid": 0.0,
                "the end point": np.hypot(0.001, 0.003),
            },
            "Sodium hydroxide: 0.1000 ± 0.0009 mol/L (± 0.86 %)",
            "standardised",
        ),
        (
            "against solid",
            KHP | {"solid": "potassium iodate", "used_with": "50 mL class B burette"},
            0.5105 / (214.001 / 6) / 0.025,
            {
                "weighing": 0.0002 / np.sqrt(3) / 0.5105,
                "titrant volume": 0.1 / np.sqrt(3) / 25,
                "a drop": 0.05 / 25,
                "purity of the solid": 0.0,
                "the end point": 0.002,
            },
            "Sodium thiosulfate: 0.573 ± 0.004 mol/L (± 0.72 %)",
            None,
        ),
        # Of 9.9 mL net: the burette's 0.1 mL, a drop for it and one for the blank. A flask of class B is within 0.2 mL, a
        # pipette of class A within 0.02 mL of 10 (tables/volumetric tools).
        (
            "against crystals",
            CRYSTALS
            | {"sample_with": "10 mL class A pipette", "used_with": "50 mL class B burette", "blank": "0.1 mL"},
            2.497 * 0.99 * 0.1 / 249.685 / 9.9 * 1000,
            {
                "weighing": 0.002 / np.sqrt(3) / 2.497,
                "volume made up": 0.2 / np.sqrt(3) / 100,
                "part taken": 0.02 / np.sqrt(3) / 10,
                "titrant volume": 0.1 / np.sqrt(3) / 9.9,
                "a drop": 0.05 * np.sqrt(2) / 9.9,
                "purity of the crystals": 0.005 / np.sqrt(3) / 0.99,
                "the end point": 0.004,
            },
            "Disodium EDTA: 0.1000 ± 0.0021 mol/L (± 2.1 %)",
            None,
        ),
    ],
)
def test_shares_of_a_strength_by_hand(way, typed, molarity, shares, first, known_from):
    found = strength(way, **typed)
    assert found.molarity == pytest.approx(molarity, rel=1e-4)
    assert found.shares == pytest.approx(shares, rel=0.005)
    assert found.standard_uncertainty == pytest.approx(molarity * np.hypot.reduce(list(shares.values())), rel=0.005)
    assert found.sections()[0].lines[0].startswith(first)
    assert found.strength_from == known_from
    assert any("Strength known from" in text for text in found.sections()[0].lines) is (known_from is not None)


@pytest.mark.parametrize(
    ("thiocyanate", "early", "end_point"), [(True, 0.0, 0.002), (False, 0.0065, 0.002843), (None, 0.005, 0.003512)]
)
def test_what_thiocyanate_does_to_an_end_point_by_hand(thiocyanate, early, end_point):
    """Unknown, 0 to 1 % of the iodine is held back: 0.5 % of it, and 0.5 %/√3 beside the end point's 0.2 %.

    Without thiocyanate 0.3 to 1 % are, as in the titration of the bath: 0.65 %, and 0.35 %/√3.
    """
    known = {} if thiocyanate is None else {"thiocyanate": thiocyanate}
    found = strength("against crystals", **CRYSTALS | {"method": "iodometric"}, **known)
    assert found.molarity == pytest.approx(0.099 * (1 - early), rel=2e-4)
    assert found.titrant == "sodium thiosulfate"
    assert found.shares["the end point"] == pytest.approx(end_point, rel=1e-3)


def test_the_text_is_what_a_reading_takes():
    text = strength("against solid", **KHP).text
    back = parse(text, "strength")
    assert back.unit == "mol/L"
    assert back.value == pytest.approx(0.1, rel=0.01)
    assert back.standard_uncertainty == pytest.approx(strength("against solid", **KHP).standard_uncertainty, rel=0.25)
    assert strength_of(0.09871, 0.00058).text == "0.0987 ± 0.0011 mol/L"
    assert strength_of(0.09871, 0.000123).text == "0.09871 ± 0.00024 mol/L"


def test_the_first_share_named_is_the_largest():
    found = strength("weighed in", substance="sodium bicarbonate", mass="42.0 g", made_up="1 L")
    line = found.sections()[0].lines[1]
    assert line.startswith("It comes from: volume made up")
    assert "kitchen" not in line


def test_baking_powder_is_refused_with_the_reason():
    with pytest.raises(InputError, match="mixed with a dry acid and starch"):
        read("weighed in", substance="baking powder", mass="42.0 g", made_up="1 L")


def test_weighed_lye_is_refused_with_the_reason():
    with pytest.raises(InputError, match="takes up water and carbon dioxide"):
        read("weighed in", substance="lye", mass="4.0 g", made_up="1 L")


@pytest.mark.parametrize(
    ("way", "typed", "place"),
    [
        ("against solid", KHP | {"blank": "25 mL"}, "titrant: blank"),
        ("against solid", KHP | {"used_with": "bucket"}, "titrant: used_with"),
        ("against solid", KHP | {"purity": "120 %"}, "titrant: purity"),
        ("against crystals", CRYSTALS | {"sample": "200 mL"}, "titrant: sample"),
        ("against crystals", CRYSTALS | {"thiocyanate": True}, "titrant: thiocyanate"),
        ("weighed in", {"substance": "sodium bicarbonate", "mass": "0 g", "made_up": "1 L"}, "titrant: mass"),
    ],
)
def test_what_does_not_fit_is_named(way, typed, place):
    with pytest.raises(InputError) as caught:
        read(way, **typed)
    assert caught.value.place == place


def test_silver_and_lye_carry_their_cautions():
    silver = strength("weighed in", substance="silver nitrate", mass="0.17 g", made_up="100 mL")
    assert any("Silver and ammonia never meet" in caution for caution in silver.cautions)
    assert any("never water onto" in caution for caution in strength("against solid", **KHP).cautions)


@pytest.mark.parametrize("way", STANDARDISATIONS)
def test_every_field_has_a_label(way):
    from advisor.basis.fields import fields_of

    assert all(field.label for field in fields_of(STANDARDISATIONS[way].table).values())
    assert STANDARDISATIONS[way].label


def test_what_the_crystals_were_made_up_in_is_asked():
    """Unnamed, 250 mL would be taken for a kitchen jug's, 5.8 %, where a flask gives 0.1 %."""
    typed = CRYSTALS | {"made_up": "250 mL"}
    del typed["made_up_with"]
    with pytest.raises(InputError, match=r"made_up_with: .*kitchen jug"):
        strength("against crystals", **typed)
    assert strength("against crystals", **typed | {"made_up": "250 ± 0.5 mL"}).shares["volume made up"] < 0.002
