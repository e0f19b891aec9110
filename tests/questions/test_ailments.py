"""What ails a bath: the fraction that thins an excess, and the probability that replacing a fraction cures."""

import math

import numpy as np
import pytest

from advisor.check.metals import CONTAMINANT_LIMITS, part_fraction
from advisor.questions.ailments import AILMENTS, probability_cured
from advisor.questions.remake import keep
from advisor.sheet import read_sheet


@pytest.mark.parametrize(
    ("now", "target", "new", "fraction"),
    [
        (4.0, 2.0, 0.0, 0.5),  # half of it away leaves half
        (300.0, 240.0, 100.0, 0.3),
        (1.0, 2.0, 0.0, 0.0),  # below the target already: replacing leads away
        (4.0, 1.0, 2.0, 1.0),  # what goes in holds too much
        (4.0, 1.0, 4.0, 0.0),
    ],
)
def test_fraction_that_thins_to_a_target(now, target, new, fraction):
    assert part_fraction(now, target, new) == pytest.approx(fraction)
    if 0 < fraction < 1:
        assert (1 - fraction) * now + fraction * new == pytest.approx(target)


@pytest.mark.parametrize("fraction", [0.0, 0.3, 0.5, 0.8])
def test_probability_of_a_cure_against_simulation(fraction):
    ailments = dict(zip(AILMENTS, (0.2, 0.3, 0.3, 0.2), strict=True))
    metals = {"iron": (2.4, 0.3), "zinc": (0.9, 0.1)}
    random = np.random.default_rng(3)
    count = 200_000
    which = random.choice(4, count, p=list(ailments.values()))
    even = random.random(count)
    needed = np.select([which == 2, which == 3], [0.2 + 0.3 * even, 0.5 + 0.5 * even], 0.0)
    cured = needed <= fraction
    for name, (value, spread) in metals.items():
        cured &= (1 - fraction) * random.normal(value, spread, count) <= CONTAMINANT_LIMITS[name]
    expected = probability_cured(fraction, ailments, metals)
    assert cured.mean() == pytest.approx(expected, abs=4 * math.sqrt(0.25 / count))


def test_a_bath_of_more_than_three_years_is_likelier_dirty():
    """Dull: 0.50 not the liquid, 0.13 some dirt and 0.07 much; old, dirt is 1.5 times as likely.

    Against what is not the liquid: 0.13/0.50 = 0.26 and 0.07/0.50 = 0.14 in the young bath, 0.39 and 0.21 in the old.
    """

    def against_the_rest(age: str) -> list[float]:
        raw = {"bath": {"volume": "5.6 L", "age": age}, "deposit": {"looks": ["dull"]}}
        found = keep(read_sheet(raw)).to_dict()["ailments"]
        return [found[dirt] / found["not the liquid"] for dirt in ("some dirt", "much dirt")]

    assert against_the_rest("2 years") == pytest.approx([0.26, 0.14])
    assert against_the_rest("4 years") == pytest.approx([0.39, 0.21])
