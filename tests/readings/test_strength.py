"""What a stated strength is worth: the substance as it comes, baked, standardised or bought."""

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.readings.acid_titration import TITRANTS
from advisor.readings.strength import AS_IT_COMES, STRENGTH_FROM, how_known, worth

TITRATION = {"sample": "5 mL", "diluted_to": "100 mL", "used": "12 mL", "end_point": "methyl orange"}
# What a gram of each may be worth against its formula, from the soundest to the worst (judgement, and arithmetic: the
# monohydrate is 0.855 of anhydrous soda, crystals that lost 10, 20 or 30 % of their weight are worth a ninth to three
# sevenths more).
STATES = [
    ("sodium bicarbonate", 0.996),
    ("sodium bicarbonate", 0.978),
    ("sodium hydroxide", 0.98),
    ("sodium hydroxide", 0.945),
    ("sodium carbonate", 0.99),
    ("sodium carbonate", 0.92),
    ("sodium carbonate", 0.99 * 105.99 / 124.00),
    ("sodium carbonate decahydrate", 1.0),
    ("sodium carbonate decahydrate", 1 / 0.9),
    ("sodium carbonate decahydrate", 1 / 0.8),
    ("sodium carbonate decahydrate", 1 / 0.7),
]


def value(name, text, said=None):
    return worth(name, TITRANTS[name], parse(text, "strength"), said)


@pytest.mark.parametrize(("name", "true"), STATES)
@pytest.mark.parametrize("text", ["42 g/L", "0.5 mol/L"])
def test_every_state_in_which_it_is_sold_or_kept_is_within_two_uncertainties(name, true, text):
    found = value(name, text)
    assert abs(true / found.factor - 1) < 2 * found.relative_uncertainty


@pytest.mark.parametrize("name", TITRANTS)
def test_what_was_measured_or_bought_is_as_stated(name):
    for said in ("standardised", "bought"):
        plain, typed = value(name, "42 g/L", said), value(name, "42 ± 0.42 g/L", said)
        assert plain.factor == typed.factor == 1.0
        assert plain.of_the_substance == typed.of_the_substance == 0.0
        assert plain.relative_uncertainty < 0.01
        assert typed.relative_uncertainty == parse("42 ± 0.42 g/L", "strength").uncertainty_or(0.0) / 42


def test_a_label_or_a_weighed_solid_is_good_to_half_a_percent_and_to_seven_tenths():
    for text in ("42 g/L", "0.1 mol/L"):
        spreads = [value("sodium hydroxide", text, said).relative_uncertainty for said in ("bought", "standardised")]
        assert spreads == pytest.approx([0.005, 0.007])


def test_baked_soda_is_sodium_carbonate():
    found = value("sodium carbonate", "26.5 g/L", "baked")
    assert (found.factor, found.of_the_substance) == (1.0, 0.0)
    assert found.relative_uncertainty < 0.012


@pytest.mark.parametrize(
    ("text", "how"),
    [
        ("42 g/L", "weighed"),
        ("42 ± 0.5 g/L", "weighed"),
        ("0.5 mol/L", "weighed"),
        ("0.4987 ± 0.0020 mol/L", "standardised"),
    ],
)
def test_where_a_strength_is_from_if_the_sheet_does_not_say(text, how):
    assert how_known(parse(text, "strength"), None) == how
    for said in STRENGTH_FROM:
        assert how_known(parse(text, "strength"), said) == said


def test_who_types_an_uncertainty_has_reckoned_with_the_usual_purity():
    plain, typed = value("sodium hydroxide", "20 g/L"), value("sodium hydroxide", "19.6 ± 0.4 g/L")
    assert 19.6 * typed.factor == pytest.approx(20 * plain.factor, rel=1e-3)


def test_nobody_allows_for_more_than_comes_nor_the_other_way():
    for comes in AS_IT_COMES.values():
        assert min(comes.mean, 1.0) <= comes.usual <= max(comes.mean, 1.0)


def test_a_strength_in_moles_is_not_skewed_but_as_unsure():
    for name, comes in AS_IT_COMES.items():
        moles = value(name, "0.5 mol/L")
        assert moles.factor == (comes.mean if comes.weathers else 1.0)
        assert moles.relative_uncertainty >= value(name, "42 g/L").relative_uncertainty


def test_moles_that_were_weighed_in_are_skewed():
    for name, comes in AS_IT_COMES.items():
        assert (
            value(name, "0.5 mol/L", "weighed").factor
            == value(name, "0.500 ± 0.004 mol/L", "weighed").factor
            == comes.mean
        )


def test_both_kinds_of_titration_reckon_with_it(read, model):
    fields = TITRATION | {"titrant": "sodium carbonate", "strength": "26.5 g/L"}
    weighed, baked = (model(read("acid titration", **fields | extra)) for extra in ({}, {"strength_from": "baked"}))
    source = "titrant sodium carbonate 26.5 g/L"
    assert weighed.systematic[source][0] == pytest.approx(12 * np.hypot(0.01, 0.048 / 0.92))
    assert baked.systematic[source][0] < 0.13


def test_of_a_weaker_titrant_more_is_used(read, shown):
    fields = TITRATION | {"titrant": "sodium hydroxide", "strength": "20 g/L"}
    weighed, known = (shown(read("acid titration", **fields | extra)) for extra in ({}, {"strength_from": "bought"}))
    assert weighed / known == pytest.approx(1 / 0.972, rel=2e-3)  # lye holds 97.2 % of what it says


@pytest.mark.parametrize("titrant", ["sodium hydroxide", "sodium bicarbonate", "sodium carbonate decahydrate"])
def test_only_sodium_carbonate_is_what_was_baked(read, titrant):
    fields = TITRATION | {"titrant": titrant, "strength": "0.5 mol/L", "strength_from": "baked"}
    with pytest.raises(InputError, match="what was baked is sodium carbonate"):
        read("acid titration", **fields)


def test_the_answer_says_where_the_titrant_is_what_limits_it(read, warnings_of):
    fields = TITRATION | {"titrant": "sodium carbonate decahydrate", "strength": "71.5 g/L"}
    said = warnings_of(read("acid titration", **fields))
    assert "lose water in the air" in said
    assert "Bake it" in said
    assert "the acid will be known to about ±" in said
    assert "limits" not in warnings_of(read("acid titration", **fields | {"strength_from": "standardised"}))
    assert "limits" not in warnings_of(
        read("acid titration", **fields | {"titrant": "sodium bicarbonate", "strength": "42 g/L"})
    )


@pytest.mark.parametrize(
    ("sample", "burette", "percent"),
    [
        ("5 mL class A pipette", "50 mL class A burette", 2),  # 0.7 % of the strength alone are ± 1.4 %
        ("5 mL syringe", "20 mL syringe", 7),  # within 4 % each, so √2 · 4/√3 = 3.3 % standard, and what else there is
    ],
)
def test_what_is_promised_of_a_standardised_titrant_is_what_it_then_gives(
    read, model, warnings_of, sample, burette, percent
):
    fields = TITRATION | {"titrant": "sodium carbonate decahydrate", "strength": "71.5 g/L"}
    fields |= {"sample_with": sample, "used_with": burette}
    assert f"will be known to about ± {percent} %" in warnings_of(read("acid titration", **fields))
    then = model(read("acid titration", **fields | {"strength_from": "standardised"}))
    errors = [then.random[0], *(of[0] for of in then.systematic.values())]
    assert 100 * 1.96 * np.hypot.reduce(errors) / 12 == pytest.approx(percent, abs=0.5)
