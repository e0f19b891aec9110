"""What was known before: make-up and previous checks, with evaporation, unknown history and stated correlation."""

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.check.estimate import estimate_from
from advisor.readings.model import Model, State
from advisor.sheet import Bath, Sheet
from advisor.solution.composition import masses
from advisor.solution.stock import acid_density

THEN = {"copper_sulfate": "212 ± 11.76 g/L", "sulfuric_acid": "54 ± 3.92 g/L"}
KEPT = {"since": "evaporation only"}
MIXED = {"crystals": "1 kg", "purity": "100 %", "acid": "163 mL", "final_volume": "5 L"} | KEPT


def test_previous_check_is_what_it_says(read, find):
    found = find(read("previous check", **THEN, **KEPT))
    assert found.value("copper_sulfate") == pytest.approx(212.0, abs=0.15)
    assert found.value("sulfuric_acid") == pytest.approx(54.0, abs=0.05)
    assert found.standard_uncertainty("copper_sulfate") == pytest.approx(6.0, abs=0.01)
    assert found.correlation("copper_sulfate", "sulfuric_acid") == pytest.approx(0.0, abs=1e-9)


def test_evaporation_concentrates_everything_alike(read, find):
    # c2 = c1 V1 / V2, for copper, acid and chloride together.
    then = {"copper_sulfate": "160 ± 0.2 g/L", "sulfuric_acid": "40 ± 0.2 g/L", "chloride": "60 ± 0.2 mg/L"}
    found = find(read("previous check", **then, **KEPT, volume="6 ± 0.0002 L"), volume="5 ± 0.0002 L")
    assert found.value("copper_sulfate") == pytest.approx(192.0, abs=0.05)
    assert found.value("sulfuric_acid") == pytest.approx(48.0, abs=0.05)
    assert found.value("chloride") == pytest.approx(72.0, abs=0.05)


def test_without_a_volume_nothing_is_scaled(read, find):
    found = find(read("previous check", **THEN, **KEPT), volume="2 L")
    assert found.value("copper_sulfate") == pytest.approx(212.0, abs=0.15)


def test_two_levels_add_their_errors_and_correlate_all_values(read, find):
    exact = {"copper_sulfate": "200 ± 0.02 g/L", "sulfuric_acid": "60 ± 0.02 g/L"}
    found = find(read("previous check", **exact, **KEPT, volume="5 L"))  # each level read to 0.5 %
    assert found.standard_uncertainty("copper_sulfate") == pytest.approx(200 * 0.005 * np.sqrt(2), rel=1e-3)
    assert found.correlation("copper_sulfate", "sulfuric_acid") == pytest.approx(1.0, abs=1e-3)


def test_unknown_history_widens(read, find):
    # By 10 % of the copper sulfate, 20 % of the acid and 30 % of the chloride (judgement).
    then = {"copper_sulfate": "200 ± 11.76 g/L", "sulfuric_acid": "50 ± 3.92 g/L", "chloride": "60 ± 9.8 mg/L"}
    found = find(read("previous check", **then))
    for name, spread, wide in (
        ("copper_sulfate", np.hypot(6, 20), 150),
        ("sulfuric_acid", np.hypot(2, 10), 80),
        ("chloride", np.hypot(5, 18), 120),
    ):
        # The wide prior counts too: 1/s2 = 1/spread2 + 1/wide2.
        assert found.standard_uncertainty(name) == pytest.approx((spread**-2 + wide**-2) ** -0.5, rel=1e-6)


@pytest.mark.parametrize("correlation", [-0.9, -0.4, 0.0, 0.6])
def test_stated_correlation_is_that_of_the_joint_covariance(read, model, find, correlation):
    reading = read("previous check", **THEN, **KEPT, correlation=correlation)
    found = model(reading)
    covariance = total(found)
    assert np.sqrt(np.diag(covariance)) == pytest.approx([6.0, 2.0])
    assert covariance[0, 1] / 12 == pytest.approx(correlation)
    assert find(reading).correlation("copper_sulfate", "sulfuric_acid") == pytest.approx(correlation, abs=2e-3)


def total(found: Model) -> np.ndarray:
    """Return the covariance of what a reading shows."""
    return np.diag(found.random**2) + sum(np.outer(effect, effect) for effect in found.systematic.values())


@pytest.mark.parametrize(("effect", "kept"), [(1.2, 1.2), (3.0, 2.0 * np.sqrt(0.999))], ids=["within", "more than it"])
@pytest.mark.parametrize("correlation", [0.0, -0.6])
def test_a_source_that_is_named_is_a_part_of_the_stated_uncertainty(read, model, effect, kept, correlation):
    """Of 2 g/L a bottle makes 1.2: 1.6 are left. More than the whole is no part of it, and is made smaller.

    With a correlation of -0.6 what copper tells of the acid leaves 1.6 of its 2 g/L, and no bottle of the acid's makes more.
    """
    found = model(read("previous check", **THEN, **KEPT, correlation=correlation, shared=[["titrant A", 0, effect, 0]]))
    most = kept * (0.8 if correlation and effect > 2 else 1.0)
    assert found.systematic["titrant A"] == pytest.approx([0.0, most])
    assert total(found) == pytest.approx(
        np.array([[36.0, 12 * correlation], [12 * correlation, 4.0]]), rel=2e-4, abs=1e-6
    )


def test_chloride_shares_with_the_others_what_the_sources_say(read, model):
    then = THEN | {"chloride": "60 ± 9.8 mg/L"}
    found = model(read("previous check", **then, **KEPT, shared=[["sample jug", 2.0, 0.5, 3.0]]))
    expected = np.diag([36.0, 4.0, 25.0])
    expected[:2, 2] = expected[2, :2] = [6.0, 1.5]
    shared = np.outer([2.0, 0.5, 3.0], [2.0, 0.5, 3.0])
    assert np.diag(total(found)) == pytest.approx(np.diag(expected))
    assert np.outer(*[found.systematic["sample jug"]] * 2) == pytest.approx(shared)
    assert total(found)[:2, 2] == pytest.approx(expected[:2, 2])


def test_what_was_taken_for_granted_then_is_put_right_by_what_is_known_now(read, model):
    """1 ± 0.5 g/L of iron was expected, each g/L of which reads as 4.5 of copper sulfate.

    With 2 g/L in the 5 L of now there were 2 · 5/6 in the 6 L of then: 0.67 more, which read as 3 g/L. Of the 6 g/L that
    copper was known to, the iron made 0.5 · 4.5 = 2.25.
    """
    reading = read("previous check", **THEN, **KEPT, volume="6 L", leans_on=[["iron", 1.0, 0.5, 4.5, 0.0, 0.0]])
    found = model(reading)
    shown = found.predict(State(200.0, 60.0, iron=2.0))
    assert shown == pytest.approx([200 * 5 / 6 + 4.5 * (2 * 5 / 6 - 1), 60 * 5 / 6])
    assert found.random == pytest.approx([np.sqrt(36 - 2.25**2), 2.0])
    assert "iron" not in found.systematic


@pytest.mark.parametrize(
    "row",
    [["titrant A", 1, 2], ["titrant A", 1, 2, 3, 4], [5, 1, 2, 3], ["titrant A", 1, True, 3], ["A", 1, 2, 1e4], [], 5],
)
def test_rows_that_no_program_wrote_are_refused(refusal, row):
    assert refusal("previous check", **THEN, shared=[row]).place == "reading 1: shared"


def test_two_checks_do_not_share_what_correlates_one(read, find):
    first = read("previous check", **THEN, **KEPT, correlation=-0.9)
    second = read("previous check", **THEN | {"copper_sulfate": "211 ± 11.76 g/L"}, **KEPT, correlation=-0.9)
    assert find(first, second).standard_uncertainty("copper_sulfate") == pytest.approx(6 / np.sqrt(2), rel=1e-2)


def test_the_note_beside_two_checks_decides_nothing(read, find):
    """The same numbers, whatever is written beside them, are as sure as each other and together."""
    one, other = (
        read("previous check", **THEN, **KEPT, correlation=-0.9, note=note) for note in ("morning", "evening")
    )
    same = find(one, one).standard_uncertainty("copper_sulfate")
    assert find(one, other).standard_uncertainty("copper_sulfate") == pytest.approx(same, rel=1e-9)


def test_a_value_without_uncertainty_is_noted_to_5_percent(read, model):
    found = model(read("previous check", copper_sulfate="200 g/L", sulfuric_acid="60 g/L", chloride="60 mg/L", **KEPT))
    assert found.random == pytest.approx([10.0, 3.0, 9.0])


def test_make_up_by_final_volume(read, model, find):
    # 1 kg in 5 L; 163 mL of 96 % acid at 1.8355 g/mL (CRC) hold 287.2 g.
    reading = read("make-up", **MIXED)
    assert model(reading).observed == pytest.approx([200.0, 57.4], abs=0.1)
    assert find(reading).value("copper_sulfate") == pytest.approx(200.0, abs=0.2)


def test_make_up_by_water_comes_to_the_volume_of_the_mass_balance(read, model):
    # What 5 L of 200/60 are made of, weighed in: it must come out as 5 L of 200/60.
    parts = masses(200.0, 60.0, 0.0, 5.0)
    liquid = float(parts.sulfuric_acid) / 0.37
    water = float(parts.water) - (liquid - float(parts.sulfuric_acid))
    fields = {
        "crystals": f"{float(parts.copper_sulfate):.4f} g",
        "purity": "100 %",
        "acid": f"{liquid / float(acid_density(0.37)):.4f} mL",
        "acid_strength": "37 %",
        "water": f"{water / 0.998203:.4f} mL",
    }
    assert model(read("make-up", **fields, **KEPT)).observed == pytest.approx([200.0, 60.0], abs=0.01)


@pytest.mark.parametrize(
    ("changed", "copper_sulfate"), [({"purity": "98 %"}, 196.0), ({"form": "anhydrous"}, 200 * 1.5644)]
)
def test_make_up_counts_pentahydrate(read, model, changed, copper_sulfate):
    assert model(read("make-up", **MIXED | changed)).observed[0] == pytest.approx(copper_sulfate, rel=1e-4)


def test_make_up_and_evaporation(read, find):
    found = find(read("make-up", **MIXED), volume="4 ± 0.002 L")
    assert found.value("copper_sulfate") == pytest.approx(250.0, rel=5e-3)
    assert found.value("sulfuric_acid") == pytest.approx(71.8, rel=5e-3)


def test_make_up_with_unknown_history_is_not_scaled_and_widened(read, find):
    found = find(read("make-up", **MIXED | {"since": "unknown"}), volume="4 L")
    assert found.value("copper_sulfate") == pytest.approx(200.0, rel=0.01)
    assert found.standard_uncertainty("copper_sulfate") == pytest.approx(20.0, rel=0.03)
    assert found.standard_uncertainty("sulfuric_acid") == pytest.approx(0.2 * 57.4, rel=0.03)


def test_tank_scale_is_shared_by_copper_and_acid(read, model):
    found = model(read("make-up", **MIXED))
    assert found.systematic["tank scale"] == pytest.approx(0.01 * found.observed)


def test_what_was_weighed_in_is_known_as_its_labels_and_as_it_was_measured(read, model):
    """1 % of the crystals and 3 % of the acid; with ± 39.2 g of a kilogram (2 %) and ± 8 mL of 163 (2.5 %) what these make.

    Never better than 0.5 and 0.2 g/L. A tank whose marks are 1 % off makes both wrong alike, the level now and the level
    then are read to 0.5 %.
    """
    plain = model(read("make-up", **MIXED))
    assert plain.random == pytest.approx([0.01 * 200, 0.03 * 57.4], rel=1e-3)
    assert plain.systematic["level of 5 L"] == pytest.approx(0.005 * plain.observed)
    assert plain.systematic["level now"] == pytest.approx(0.005 * plain.observed)
    typed = model(read("make-up", **MIXED | {"crystals": "1000 ± 39.2 g", "acid": "163 ± 8 mL"}))
    assert typed.random == pytest.approx([np.hypot(0.01, 0.02) * 200, np.hypot(0.01, 8 / 1.96 / 163) * 57.4], rel=1e-3)
    little = model(read("make-up", **MIXED | {"crystals": "100 g", "acid": "1 mL"}))
    assert little.random == pytest.approx([0.5, 0.2])


def test_soda_has_taken_of_the_acid_that_was_mixed(read, model):
    found = model(read("make-up", **MIXED), acid_used_by_soda=(4.0, 0.9))
    assert found.observed == pytest.approx([200.0, 57.4 - 4.0], abs=0.1)
    assert found.systematic["acid used by soda"] == pytest.approx([0.0, 0.9])
    assert "acid used by soda" not in model(read("make-up", **MIXED)).systematic


@pytest.mark.parametrize(
    ("kind", "fields", "names"),
    [
        ("previous check", THEN | {"leans_on": [["silver", 1, 1, 1, 1, 1]]}, "leans_on"),
        ("previous check", {}, ""),
        ("previous check", {"copper_sulfate": "460 g/L"}, "copper_sulfate"),
        ("previous check", THEN | {"correlation": 1.0}, "correlation"),
        ("previous check", THEN | {"since": "yesterday"}, "since"),
        ("previous check", THEN | {"volume": "0 L"}, "volume"),
        ("make-up", MIXED | {"water": "4 L"}, "water"),
        ("make-up", {key: value for key, value in MIXED.items() if key != "final_volume"}, "water"),
        ("make-up", MIXED | {"final_volume": "2 L"}, "crystals"),
        ("make-up", MIXED | {"purity": "30 %"}, "purity"),
        ("make-up", MIXED | {"acid": "12 g"}, "acid"),
    ],
)
def test_refused(refusal, kind, fields, names):
    assert refusal(kind, **fields).place == ("reading 1: " + names if names else "reading 1")


@pytest.mark.parametrize("acid", ["0 mL", "0 ± 5 mL"])
def test_a_make_up_without_acid(read, model, acid):
    found = model(read("make-up", **MIXED | {"acid": acid}))
    assert found.observed[1] == 0.0
    assert found.random[1] > 0


def test_a_make_up_joins_a_previous_check(read, find):
    both = find(read("make-up", **MIXED), read("previous check", copper_sulfate="206 ± 3.92 g/L", **KEPT))
    assert 200 < both.value("copper_sulfate") < 206
    alone = find(read("previous check", copper_sulfate="206 ± 3.92 g/L", **KEPT))
    assert both.standard_uncertainty("copper_sulfate") < alone.standard_uncertainty("copper_sulfate")


def test_the_same_check_in_a_bath_as_it_was(read):
    bath = Bath(volume=parse("5.6 L", "volume"))
    found = estimate_from(Sheet(bath), [read("previous check", **THEN, **KEPT, volume="5.6 L")])
    assert found.value("copper_sulfate") == pytest.approx(212.0, rel=1e-3)
