"""Copper on a weighed cathode: the factor, what is left behind, what does not count, what is refused."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.units import parse
from advisor.readings.model import State

CATHODE = {"sample": "20 mL", "before": "12.00 g", "after": "13.01 g"}


def test_a_gram_of_copper_is_3_929_g_of_crystals(read, shown):
    # 1 % is taken to be left in the liquid or lost as powder.
    assert shown(read("plated-out copper", **CATHODE), State(3.929 * 50, 60.0)) == pytest.approx(0.99, rel=2e-4)


def test_round_trip(read, shown, find, usual):
    first = read("plated-out copper", **CATHODE, sample_with="20 mL syringe")
    reading = dataclasses.replace(first, after=parse(f"{12 + shown(first, usual):.6f} g", "mass"))
    found = find(reading)
    assert found.value("copper_sulfate") == pytest.approx(
        200.0, abs=0.05 * found.standard_uncertainty("copper_sulfate")
    )


def test_only_copper_plates_out(read, model, slopes):
    slope = slopes(model(read("plated-out copper", **CATHODE)))
    assert slope.pop("copper_sulfate") > 0
    assert set(slope.values()) == {0.0}


def test_copper_left_behind_makes_it_low_by_0_to_2_percent(read, shown, model, usual):
    found = model(read("plated-out copper", **CATHODE))
    full = 200 / 3.92912 * 0.020
    half_width = found.systematic["copper left behind"][0] / 1.01 * np.sqrt(3)
    low = 1 - shown(read("plated-out copper", **CATHODE), usual) / full
    assert (low - half_width, low + half_width) == pytest.approx((0.0, 0.02), abs=1e-6)


def test_a_bigger_sample_is_more_certain_on_a_0_1_g_scale(read, find):
    small = find(read("plated-out copper", sample="10 ± 0.002 mL", before="12.0 g", after="12.5 g"))
    big = find(read("plated-out copper", sample="100 ± 0.002 mL", before="12.0 g", after="17.0 g"))
    spreads = [found.standard_uncertainty("copper_sulfate") for found in (small, big)]
    # Two weighings to 0.1/sqrt(3) g: 0.082 g of 0.5 g, or of 5 g.
    assert spreads[0] == pytest.approx(0.082 / 0.5 * 196, rel=0.1)
    assert spreads[1] < 6.5


def test_drawn_sample_is_shared(read, model):
    found = model(read("plated-out copper", **CATHODE, sample_with="20 mL syringe", sample_label="A"))
    anew = 0.2 / 20  # a fifth of a division of 1 mL, of 20 mL; 4 % is the limit of the whole
    assert found.systematic["sample A"][0] / 1.01 == pytest.approx(anew)
    assert found.systematic["tool 20 mL syringe"][0] / 1.01 == pytest.approx(np.sqrt(0.04**2 / 3 - anew**2))


@pytest.mark.parametrize(
    ("changed", "names"),
    [
        ({"after": "12.00 g"}, "after"),
        ({"after": "15.00 g"}, "after"),
        ({"sample": "0 mL"}, "sample"),
        ({"sample_with": "spoon"}, "sample_with"),
        ({"before": "12"}, "before"),
    ],
)
def test_refused(refusal, changed, names):
    assert refusal("plated-out copper", **CATHODE | changed).place == f"reading 1: {names}"


def test_warnings(read, warnings_of):
    said = warnings_of(read("plated-out copper", **CATHODE))
    assert "lost all blue" in said
    assert "never stainless steel or lead" in said
    assert "hydrogen" in said
