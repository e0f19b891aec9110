"""Foreign salts expected from what the owner remembers: by stoichiometry for soda, wider where nothing is told."""

import pytest

from advisor import advise, read_sheet
from advisor.check.estimate import estimate
from advisor.check.foreign import READS_AS_COPPER_SULFATE, SULFATE, expected

ANSWERED = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
ACID = {
    "kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium bicarbonate",
    "strength": "0.5 ± 0.01 mol/L", "used": "24.5 mL", "end_point": "methyl orange",
}  # fmt: skip
HYDROMETER = {"kind": "hydrometer", "scale": "SG 20/20", "value": "1.165"}
EDTA = {
    "kind": "copper titration", "method": "EDTA", "indicator": "PAN", "sample": "2 mL", "predilution": ["10 mL", "100 mL"],
    "strength": "0.01 mol/L", "used": "16 mL",
}  # fmt: skip
PLATED = {"kind": "plated-out copper", "sample": "50 ± 0.4 mL", "before": "20.00 g", "after": "22.55 g"}


def sheet(*readings: dict, **bath):
    return read_sheet({"bath": {"volume": "5 L", **bath}, "reading": list(readings)})


@pytest.mark.parametrize(
    ("soda", "sodium_sulfate", "acid"),
    [
        ("sodium carbonate", 5.4, 3.7),
        ("sodium bicarbonate", 3.4, 2.3),
        ("sodium carbonate decahydrate", 2.0, 1.4),
        ("sodium carbonate monohydrate", 4.58, 3.16),
        ("sodium hydroxide", 7.10, 4.90),
    ],
)
def test_twenty_grams_of_soda_in_five_litres(soda: str, sodium_sulfate: float, acid: float) -> None:
    """From molar masses by hand: 20 g / 105.988 · 142.04 / 5 L = 5.36 g/L Na2SO4, and · 98.07 = 3.70 g/L of acid; 0.85 of it stays."""
    made = sheet(soda_added="20 g", soda=soda)
    assert expected(made)["sodium_sulfate"].mean == pytest.approx(0.85 * sodium_sulfate, abs=0.05)
    assert made.bath.surroundings().acid_used_by_soda[0] == pytest.approx(0.85 * acid, abs=0.05)


@pytest.mark.parametrize(("anodes", "salts"), [("copper", 0.64), ("inert", 0.0)])
def test_what_copper_anodes_bring_comes_with_what_was_plated(anodes: str, salts: float) -> None:
    """1000 A·h dissolve 1185 g of copper; 1.19 g of other metals are 3.2 g of their sulfates, 0.64 g/L of 5 L."""
    plated, new = (
        expected(sheet(anodes=anodes, age="1 months", **more))["foreign_solids"]
        for more in ({"throughput": "1000 A*h"}, {})
    )
    assert plated.mean - new.mean == pytest.approx(salts, abs=0.001)


@pytest.mark.parametrize(("typed", "remembered"), [("20 g", 0.20), ("20 ± 3.92 g", 0.10), ("0 g", 0.20)])
def test_what_soda_left_is_as_sure_as_its_memory_and_what_stayed_of_it(typed: str, remembered: float) -> None:
    """0.85 ± 0.10 of it is in the tank still; ± 3.92 g are two g at 95 %."""
    left = sheet(soda_added=typed).bath.left_by_soda()
    assert left.relative_uncertainty == pytest.approx(((0.10 / 0.85) ** 2 + remembered**2) ** 0.5, rel=1e-3)


def test_soda_corrects_the_acid_of_a_make_up_record_only() -> None:
    record = {
        "kind": "make-up",
        "crystals": "1 kg",
        "acid": "200 mL",
        "final_volume": "5 L",
        "since": "evaporation only",
    }
    found = [estimate(sheet(record, soda_added=grams)) for grams in ("0 g", "20 ± 0.2 g")]
    less = [found[0].value(name) - found[1].value(name) for name in ("copper_sulfate", "sulfuric_acid")]
    assert less == pytest.approx([0.0, 0.85 * 2.335], abs=0.02)  # 20 / 84.006 / 2 · 98.07 / 5
    titrated = [estimate(sheet(ACID, soda_added=grams)).value("sulfuric_acid") for grams in ("0 g", "20 g")]
    assert titrated[0] == pytest.approx(titrated[1], abs=0.01)


def test_what_is_not_answered_widens_and_an_answer_narrows() -> None:
    silent, told = (estimate(sheet(ACID, HYDROMETER, **answers)) for answers in ({}, ANSWERED))
    assert silent.standard_uncertainty("copper_sulfate") > 1.8 * told.standard_uncertainty("copper_sulfate")
    assert silent.standard_uncertainty("sulfuric_acid") < 1.1 * told.standard_uncertainty("sulfuric_acid")


@pytest.mark.parametrize("question", list(ANSWERED))
def test_each_question_left_open_leaves_no_less_known(question: str) -> None:
    left_open = {key: value for key, value in ANSWERED.items() if key != question}
    open_, told = (expected(sheet(**answers)) for answers in (left_open, ANSWERED))
    assert sum(prior.standard_uncertainty for prior in open_.values()) >= sum(
        prior.standard_uncertainty for prior in told.values()
    )


def test_a_declared_metal_is_not_counted_twice() -> None:
    declared = expected(sheet(touched=["steel"], iron="5 ± 0.98 g/L", anodes="copper"))
    assert declared["iron"] == (5.0, pytest.approx(0.5))
    assert declared["iron_three"] == pytest.approx((0.5, 0.3536), abs=1e-4)  # √((0.10 · 0.5)² + (0.07 · 5)²)
    assert declared["foreign_solids"] == expected(sheet(touched=["nothing"]))["foreign_solids"]
    assert "zinc" not in declared
    assert expected(sheet(touched=["nothing"], iron="0 g/L")).keys() == {"foreign_solids", "sodium_sulfate"}


def test_what_several_things_bring_adds_up_and_its_doubt_in_quadrature() -> None:
    """A month of age brings 0.15 ± 0.10 g/L, one of tap water 0.06 ± 0.04, and crystals of 95 % 0.04 · 100 = 4 ± 4."""
    assert expected(sheet(touched=["steel", "galvanised steel"]))["iron"] == pytest.approx((3.0, 1.972), abs=1e-3)
    old = expected(sheet(age="10 months", topped_up_with="tap water"))["foreign_solids"]
    assert old == pytest.approx((2.1, 1.077), abs=1e-3)
    raw = {"bath": {"volume": "5 L", "age": "1 months", "topped_up_with": "distilled water"}}
    poor = expected(read_sheet(raw | {"stock": {"crystals": {"purity": "95 %"}}}))["foreign_solids"]
    assert poor == pytest.approx((4.15, 4.001), abs=1e-3)


def test_density_less_plated_out_copper_is_foreign_salts() -> None:
    """22.55 - 20.00 g of copper from 50 mL are 200 g/L of crystals; with 60 g/L acid that is SG 1.1619, 15 g/L salts 0.0132 more."""
    found = estimate(sheet(ACID, PLATED, HYDROMETER | {"value": f"{1.1619 + 0.0132:.4f}"}))
    salts, spread = found.sum_of(SULFATE)
    assert salts == pytest.approx(15, abs=2 * spread)
    assert spread < 5
    assert found.value("copper_sulfate") == pytest.approx(200, abs=6)
    assert found.sum_of(READS_AS_COPPER_SULFATE)[0] == pytest.approx(1.45 * salts, rel=0.1)


def test_the_question_that_helps_is_the_next_step_and_is_not_asked_again() -> None:
    asked = [found.question for found in advise(sheet(ACID, HYDROMETER)).next_reading if found.question]
    assert asked[0] == "bath.soda_added"
    assert not any(found.question for found in advise(sheet(ACID, HYDROMETER, **ANSWERED)).next_reading)
    assert not any(
        found.question for found in advise(sheet(ACID, PLATED)).next_reading
    )  # no salt reads as copper there


def test_salts_are_a_result_with_its_uncertainty() -> None:
    found = advise(sheet(ACID, HYDROMETER, **ANSWERED | {"soda_added": "60 g", "soda": "sodium carbonate"})).to_dict()
    salts = found["foreign_salts_g_L"]
    assert salts["value"] == pytest.approx(
        0.85 * 16.08 + 1.8, abs=1.0
    )  # 60 / 105.988 · 142.04 / 5, and a year's other salts
    assert salts["reads_as_copper_sulfate_g_L"] > 20
    assert advise(sheet()).to_dict()["foreign_salts_g_L"] is None


def test_nothing_beside_something_is_refused_by_name() -> None:
    with pytest.raises(Exception, match="bath: touched") as error:
        sheet(touched=["nothing", "steel"])
    assert "alone" in str(error.value)
