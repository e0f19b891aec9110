"""Tolerances of tools, what is assumed where none is named, strengths in three ways, and the decimals of a scale."""

import numpy as np
import pytest

from advisor.basis import tables
from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.readings.tools import (
    STEPS_OF_A_SCALE,
    Titrant,
    VolumeError,
    check_tool,
    find_tool,
    ratio_error,
    titration_errors,
    tolerance_mL,
    volume_error,
    weighing_error,
)


def volume(text):
    return parse(text, "volume")


@pytest.mark.parametrize(
    ("tool", "mL", "tolerance"),
    [
        ("10 mL class A pipette", 10.0, 0.02),  # ISO 648, from memory
        ("50 mL class B burette", 20.0, 0.1),  # ASTM E287: class B within twice class A
        # ISO 7886-1, from memory: 1.5 % of nominal and 1 % of the volume below half, 4 % of the volume from half.
        ("10 mL syringe", 4.0, 0.19),
        ("10 mL syringe", 5.0, 0.2),
        ("10 mL syringe", 10.0, 0.4),
        ("1 mL syringe", 0.4, 0.023),
        ("1 mL syringe", 0.5, 0.025),
    ],
)
def test_tolerances(tool, mL, tolerance):
    assert tolerance_mL(find_tool(tool), mL) == pytest.approx(tolerance)


def test_more_than_a_tool_holds_is_measured_in_several_fills():
    pipette = find_tool("10 mL class A pipette")
    assert [tolerance_mL(pipette, mL) for mL in (10.0, 20.0, 25.0)] == pytest.approx([0.02, 0.04, 0.06])
    assert tolerance_mL(find_tool("10 mL syringe"), 24.0) == pytest.approx(0.04 * 24)


def test_glass_without_a_class_is_class_b():
    assert find_tool("25 mL burette") == find_tool("25 mL class B burette")
    assert find_tool("  10  mL   pipette ") == find_tool("10 mL class B pipette")
    assert find_tool("bucket") is None


def test_a_tolerance_is_split_into_calibration_and_reading():
    error = volume_error(volume("10 mL"), "10 mL syringe")
    assert np.hypot(error.shared, error.alone) == pytest.approx(0.4 / np.sqrt(3))
    assert error.alone == pytest.approx(0.1)  # a fifth of 0.5 mL
    assert error.source == "tool 10 mL syringe"
    glass = volume_error(volume("10 mL"), "10 mL class A pipette")  # one mark: half of the variance each
    assert (glass.shared**2, glass.alone**2) == pytest.approx((0.02**2 / 6, 0.02**2 / 6))


def test_each_fill_of_a_syringe_is_read_anew():
    assert volume_error(volume("40 mL"), "10 mL syringe").alone == pytest.approx(0.1 * np.sqrt(4))


def test_a_volume_too_small_for_a_syringe_is_all_reading():
    error = volume_error(volume("0.5 mL"), "10 mL syringe")  # within 0.155 mL at most; a fifth of 0.5 mL is more
    assert (error.shared, error.alone) == pytest.approx((0.0, 0.155 / np.sqrt(3)))


def test_in_the_ratio_of_two_readings_only_what_is_new_counts():
    assert ratio_error(volume("5 mL"), "5 mL syringe").alone == pytest.approx(0.04 * np.sqrt(2))
    assert ratio_error(volume("5 ± 0.2 mL"), "5 mL syringe").alone == pytest.approx(0.04 * np.sqrt(2))
    finer = ratio_error(volume("5 ± 0.02 mL"), "5 mL syringe")
    assert (finer.shared, finer.alone) == (0.0, pytest.approx(0.02 / 1.96 * np.sqrt(2)))
    assert ratio_error(volume("4 mL"), None) == ratio_error(volume("4 mL"), "5 mL syringe")  # the one that holds it
    glass = ratio_error(volume("10 mL"), "10 mL class A pipette").alone  # one mark: half of the variance of 0.02 mL/√3
    assert glass == pytest.approx(0.02 / np.sqrt(3))
    of_no_tool = ratio_error(volume("5 ± 0.2 mL"), None)  # half of its variance is new, and counts twice
    assert of_no_tool.alone == pytest.approx(0.2 / 1.96)


def test_typed_uncertainty_wins_and_shares_nothing():
    assert volume_error(volume("10 ± 0.03 mL"), "10 mL syringe") == VolumeError(0.0, pytest.approx(0.03 / 1.96), "")


def test_without_a_tool_the_smallest_syringe_that_holds_it_is_assumed():
    error = volume_error(volume("8 mL"), None, "sample")
    named = volume_error(volume("8 mL"), "10 mL syringe")
    assert (error.shared, error.alone) == (named.shared, named.alone)
    assert error.source == "10 mL syringe assumed for sample"
    assert volume_error(volume("100 mL"), None, "sample").source == "kitchen jug assumed for sample"
    assert volume_error(volume("10 mL"), None, "sample").source == "10 mL syringe assumed for sample"  # drawn full
    assert volume_error(volume("10.1 mL"), None, "sample").source == "20 mL syringe assumed for sample"


def test_syringes_of_two_sizes_that_were_assumed_are_not_one_tool():
    small, big = (volume_error(volume(text), None, "sample").source for text in ("1 mL", "10 mL"))
    assert small != big


def test_unknown_tool_is_refused_unless_the_uncertainty_is_given():
    with pytest.raises(InputError, match=r"10 mL syringe.*did you mean.*or give the volume with its ±") as refused:
        check_tool("10 ml syrringe", volume("8 mL"), "reading 3: used_with")
    assert refused.value.place == "reading 3: used_with"
    check_tool("10 ml syrringe", volume("8 ± 0.1 mL"), "reading 3: used_with")
    check_tool(None, volume("8 mL"), "reading 3: used_with")
    check_tool("25 mL burette", volume("8 mL"), "reading 3: used_with")


SODA = Titrant("sodium bicarbonate", 84.006, 0.0071, 0.01)


@pytest.mark.parametrize(
    ("strength", "molarity"),
    # 4 % by mass at 0.9982 + 4 * 0.0071 g/mL, the slope from memory
    [("0.5 mol/L", 0.5), ("42.003 g/L", 0.5), ("4 %", 0.04 * 1026.6 / 84.006), ("5.609 oz/gal", 0.5)],
)
def test_strengths(strength, molarity):
    assert SODA.molarity(parse(strength, "strength")) == pytest.approx(molarity, rel=1e-4)


@pytest.mark.parametrize(
    ("strength", "relative"), [("0.5 mol/L", 0.01), ("42 ± 0.21 g/L", 0.005 / 1.96), ("4 %", 0.01)]
)
def test_relative_uncertainty_of_a_strength(strength, relative):
    assert SODA.relative_uncertainty(parse(strength, "strength")) == pytest.approx(relative)


def test_steps_of_a_scale_are_those_of_the_table():
    scales = [row for row in tables.rows("tool_tolerances") if row["measures"] == "mass"]
    assert len(scales) == 4
    for row in scales:
        step = float(row["tool"].split()[0])
        assert float(row["absolute_below_half"]) == pytest.approx(STEPS_OF_A_SCALE * step)


@pytest.mark.parametrize(
    ("typed", "step_g"),
    [
        ("85 g", 1.0),
        ("85.0 g", 0.1),
        ("85,00 g", 0.01),
        ("85.000 g", 0.001),
        (".5 g", 0.1),
        ("0.085 kg", 1.0),
        ("8.50e1 g", 0.1),
        ("3.00 oz", 0.28349523125),
    ],
)
def test_decimals_typed_tell_the_scale(typed, step_g):
    assert weighing_error(parse(typed, "mass")) == pytest.approx(step_g / np.sqrt(3))


def test_typed_uncertainty_of_a_weighing_wins():
    assert weighing_error(parse("85.0 ± 0.03 g", "mass")) == pytest.approx(0.03 / 1.96)


def test_one_tool_for_sample_and_titrant_cancels_and_two_do_not():
    tool = VolumeError(0.2, 0.1, "tool A")
    random, shared = titration_errors((tool, 1.5, None), (tool, -1.0, None))
    assert shared == {"tool A": pytest.approx(0.1)}
    assert random == pytest.approx(np.hypot(0.15, 0.1))
    _, shared = titration_errors((tool, 1.5, None), (VolumeError(0.2, 0.1, "tool B"), -1.0, None))
    assert shared == {"tool A": pytest.approx(0.3), "tool B": pytest.approx(-0.2)}


def test_a_drawn_sample_takes_its_random_part_along():
    random, shared = titration_errors((VolumeError(0.0, 0.1, ""), 2.0, "A"), (VolumeError(0.0, 0.05, ""), -1.0, None))
    assert random == pytest.approx(0.05)
    assert shared == {"sample A": pytest.approx(0.2)}


def test_a_jug_with_too_much_bath_in_it_misleads_each_reading_its_own_way():
    """Its sample 1 % off and its mark 0.5 %: 1.118 % of a reading that rises with the bath in it, and of one that falls."""
    sample, mark = VolumeError(0.0, 0.01, ""), VolumeError(0.0, 0.5, "")
    for way in (1.0, -1.0):
        _, shared = titration_errors((sample, way, "A"), (mark, -0.01 * way, "A"))
        assert shared == {"sample A": pytest.approx(way * 0.01118, rel=1e-3)}


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("hydrometer", {"value": "1.160 ± 0.0001", "scale": "g/mL"}),
        ("weighed density", {"empty": "100.000 g", "with_water": "199.720 g", "with_bath": "215.700 g"}),
        ("thinned pH", {"value": 2.72, "sample": "1 ± 0.0001 mL", "thinned_to": "500 ± 0.01 mL", "water": "0 uS/cm"}),
    ],
)
def test_a_temperature_typed_with_its_range_counts_by_it(kind, fields, read, model, shown):
    """± 9.8 °C are 5 °C standard: as much as the reading would move from 17.5 to 22.5 °C."""
    at = {
        degrees: read(kind, **fields, temperature=f"{degrees} degC")
        for degrees in ("17.5", "22.5", "20 ± 9.8", "20 ± 0.01")
    }
    unsure, sure = (model(at[degrees]).random[0] for degrees in ("20 ± 9.8", "20 ± 0.01"))
    assert np.sqrt(unsure**2 - sure**2) == pytest.approx(abs(shown(at["22.5"]) - shown(at["17.5"])), rel=0.1)


@pytest.mark.parametrize(
    ("blank", "mL"), [(None, 0.05), ("0.40 mL", 0.0707), ("0.40 ± 0.10 mL", 0.0714), ("0.40 ± 0.39 mL", 0.205)]
)
@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("acid titration", {"diluted_to": "100 mL", "titrant": "sodium hydroxide", "end_point": "methyl orange"}),
        ("copper titration", {"method": "iodometric", "thiocyanate": True}),
        ("chloride titration", {"end_point": "silver wire", "strength": "0.01 mol/L"}),
    ],
)
def test_a_blank_costs_a_drop_more_or_what_was_typed_with_it(kind, fields, blank, mL, read, model):
    """A drop of 0.05 mL ends the titration, another one the blank: √2 · 0.05 mL. All else is read without error here."""
    exact = {"sample": "5 ± 0.00001 mL", "used": "12 ± 0.00001 mL", "strength": "0.5 ± 0.001 mol/L"}
    found = model(read(kind, **exact | fields | ({"blank": blank} if blank else {}))).random[0]
    assert found == pytest.approx(mL, abs=2e-4)
