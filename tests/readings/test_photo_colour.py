"""Copper from a photo: its curve, its uncertainty, what is refused; photos of copper sulfate are rendered here.

The renderings integrate the absorptivity of copper sulfate (NBS acid copper sulfate absorbance standard, from memory)
over the 1931 standard observer, in the analytic form of Wyman, Sloan and Shirley, J. Computer Graphics Techniques 2(2)
(2013) 1, from memory, scaled so that water is white, and turn it into sRGB (IEC 61966-2-1, from memory).
"""

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.basis.tables import column
from advisor.readings.photo_colour import DILUTION_SPREAD, absorbance, calibrate
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE

pytestmark = pytest.mark.slow

KIND = "photo colour"
NM = column("copper_absorptivity", "wavelength_nm")
ABSORPTIVITY = column("copper_absorptivity", "molar_absorptivity_L_mol_cm")
LOBES = {
    "X": ((1.056, 599.8, 37.9, 31.0), (0.362, 442.0, 16.0, 26.7), (-0.065, 501.1, 20.4, 26.2)),
    "Y": ((0.821, 568.8, 46.9, 40.5), (0.286, 530.9, 16.3, 31.1)),
    "Z": ((1.217, 437.0, 11.8, 36.0), (0.681, 459.0, 26.0, 13.8)),
}
RED_OF_XYZ = np.array([3.2406 * 0.95047, -1.5372, -0.4986 * 1.08883])


def linear_red_of(grams_per_litre, path_cm):
    """Linear sRGB red of copper sulfate solution, water being 1."""
    light = 10 ** (-ABSORPTIVITY * np.asarray(grams_per_litre)[..., None] / COPPER_SULFATE_PENTAHYDRATE * path_cm)
    total = 0.0
    for share, lobes in zip(RED_OF_XYZ, LOBES.values(), strict=True):
        seen = sum(a * np.exp(-0.5 * ((NM - m) / np.where(m > NM, left, right)) ** 2) for a, m, left, right in lobes)
        total = total + share * (light @ seen) / seen.sum()
    return total


def photographed(grams_per_litre, path_cm, noise=0.0, rng=None, exposure=0.9):
    """Red, 0 to 255, as whole numbers."""
    linear = linear_red_of(grams_per_litre, path_cm) * exposure
    linear = linear * (1 + (rng.normal(0, noise, np.shape(linear)) if rng else 0.0))
    linear = np.clip(linear, 0.0, 1.0)
    shown = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)
    return np.clip(np.rint(255 * shown), 0, 255)


def rows(grams, red):
    return [[float(g), float(r), 200.0, 240.0] for g, r in zip(grams, red, strict=True)]


@pytest.fixture
def photo(read):
    """A reading of jars of the given strength [g/L] beside standards, through 5 cm."""

    def make(standards, samples, dilution=10.0, path_cm=5.0, light="2 %", **noise):
        return read(
            KIND,
            **({"light_even_to": light} if light else {}),
            standards=rows(standards, photographed(np.asarray(standards), path_cm, **noise)),
            samples=[[float(red), 200.0, 240.0] for red in photographed(np.asarray(samples), path_cm, **noise)],
            dilution=dilution,
        )

    return make


def test_rounding_counts_most_in_the_dark():
    spread = absorbance([10.0, 50.0, 200.0], light=0.01)[1]
    assert spread[0] > 2.5 * spread[2]
    # Red 10 lies on the straight part: half-unit rounding is 0.289 / 10 of it, beside 1 % of light.
    assert spread[0] == pytest.approx(np.hypot(0.01, 0.2887 / 10) / np.log(10), rel=0.01)


def test_the_red_clips_where_the_published_absorptivity_says():
    assert linear_red_of(0.45 * 249.68, 1.0) > 0.05
    assert linear_red_of(0.65 * 249.68, 1.0) < 0.0  # clipped to 0 above about 0.65 mol cm/L


@pytest.mark.parametrize("bath", [120.0, 150.0, 185.0])
@pytest.mark.parametrize("count", [3, 4, 6])
def test_round_trip(photo, find, bath, count):
    found = find(photo(np.linspace(10.0, 20.0, count), [bath / 10]))
    assert found.value("copper_sulfate") == pytest.approx(bath, rel=0.015)
    # One jar of bath whose glass may be 3 % wider than the others, which differ as much among each other.
    assert found.standard_uncertainty("copper_sulfate") < 0.033 * bath


def test_two_standards_leave_the_bend_uncertain(photo, model):
    two, four = (model(photo(np.linspace(12.0, 20.0, count), [16.0])) for count in (2, 4))
    assert two.random[0] > 2 * four.random[0]
    assert abs(two.observed[0] - 160.0) < 2 * two.random[0]


def test_four_standards_find_the_bend_by_themselves():
    grams = np.linspace(10.0, 20.0, 5)
    u = (grams - 15) / 5
    for bend in (-0.1, 0.0, 0.3):
        shown = 0.5 + 0.2 * u + 0.2 * bend * u**2
        red = 255 * (1.055 * (10**-shown) ** (1 / 2.4) - 0.055)
        found = calibrate(grams, red, light=0.005)
        assert found.coefficients[2] / found.coefficients[1] == pytest.approx(bend, abs=0.03)
        at_16 = 0.5 + 0.2 * 0.2 + 0.2 * bend * 0.2**2
        assert found.concentration(at_16)[0] == pytest.approx(16.0, abs=0.05)


@pytest.mark.parametrize(("lowest", "count"), [(10.0, 5), (10.0, 4), (12.0, 3), (15.0, 2)])
def test_interval_holds_the_truth_in_glasses_that_differ(read, model, lowest, count):
    """Glasses up to 3 % wider or narrower: the light passes so much more or less copper."""
    rng = np.random.default_rng(5)
    standards, pulls = np.linspace(lowest, 20.0, count), []
    for _ in range(400):
        jar, glass = rng.uniform(lowest, 20.0), rng.uniform(0.97, 1.03, count + 2)
        red = photographed(np.append(standards, [jar, jar]) * glass, 5.0, noise=0.01, rng=rng)
        samples = [[float(value), 200.0, 240.0] for value in red[count:]]
        made = model(read(KIND, standards=rows(standards, red[:count]), samples=samples, light_even_to="2 %"))
        pulls.append((made.observed[0] - jar) / made.random[0])
    assert np.mean(np.abs(pulls) < 1.96) > 0.93  # measured 95.2, 95.3, 95.5 and 99.7 % of 600
    assert abs(np.mean(pulls)) < 0.25


def test_light_that_nobody_speaks_of_is_trusted_less_than_light_that_was_evened_out(photo, model):
    told, evened = (model(photo([10.0, 13.0, 16.0, 20.0], [15.0], light=light)) for light in (None, "1 %"))
    assert told.observed[0] == pytest.approx(evened.observed[0], rel=0.01)
    assert told.random[0] > 1.1 * evened.random[0]


def test_replicates_and_dilution_count(read, model):
    standards = rows([10, 13, 16, 20], photographed(np.array([10.0, 13, 16, 20]), 5.0))
    one = model(read(KIND, standards=standards, samples=[[150, 0, 0]], dilution=10))
    four = model(read(KIND, standards=standards, samples=[[150, 0, 0]] * 4, dilution=10))
    apart = model(read(KIND, standards=standards, samples=[[140, 0, 0], [160, 0, 0]], dilution=10))
    undiluted = model(read(KIND, standards=standards, samples=[[150, 0, 0]]))
    assert four.random[0] < one.random[0] < apart.random[0]
    assert undiluted.observed[0] == pytest.approx(one.observed[0] / 10)
    diluting = DILUTION_SPREAD * one.observed[0]
    assert one.random[0] == pytest.approx(np.hypot(10 * undiluted.random[0], diluting))


def test_only_copper_counts(photo, model, slopes):
    slope = slopes(model(photo([10.0, 14.0, 17.0, 20.0], [16.0])))
    assert slope.pop("copper_sulfate") == pytest.approx(1.0)
    assert set(slope.values()) == {0.0}


def test_far_outside_of_the_standards_it_warns_and_trusts_itself_less(photo, model, warnings_of):
    inside, outside = photo([10.0, 12.0, 14.0, 16.0], [15.0]), photo([10.0, 12.0, 14.0, 16.0], [20.0])
    assert "outside the standards" in warnings_of(outside)
    assert warnings_of(inside) == ""
    assert model(outside).random[0] > 3 * model(inside).random[0]


def test_clipped_red_tells_nothing_and_says_so(photo, find, warnings_of):
    clipped = photo([8.0, 12.0, 16.0, 20.0], [40.0])
    assert "cut off" in warnings_of(clipped)
    assert find(clipped).standard_uncertainty("copper_sulfate") > 120.0


def test_clipped_standards_are_left_out(photo, model, warnings_of):
    with_one_more = photo([10.0, 12.0, 16.0, 20.0, 40.0], [15.0])
    assert "1 of the standards were left out" in warnings_of(with_one_more)
    assert model(with_one_more).observed[0] == pytest.approx(model(photo([10.0, 12.0, 16.0, 20.0], [15.0])).observed[0])


def test_a_dark_sample_and_few_standards_are_told(photo, warnings_of):
    assert "too strong" in warnings_of(photo([15.0, 18.0, 21.0, 24.0], [23.5]))
    assert "Four standards" in warnings_of(photo([12.0, 18.0], [15.0]))


STANDARDS = [[10.0, 180, 0, 0], [15.0, 150, 0, 0], [20.0, 120, 0, 0]]


@pytest.mark.parametrize(
    ("standards", "samples", "words"),
    [
        (STANDARDS, [[256, 0, 0]], "samples row 1"),
        (STANDARDS, [[-1, 0, 0]], "samples row 1"),
        (STANDARDS, [[150, 0]], "samples row 1"),
        (STANDARDS, [[float("nan"), 0, 0]], "samples row 1"),
        (STANDARDS, [], "samples"),
        (STANDARDS[:1], [[150, 0, 0]], "standards.*two or more are needed"),
        ([[10.0, 180, 0, 0], [10.0, 181, 0, 0]], [[150, 0, 0]], "standards.*two or more are needed"),
        ([[10.0, 0, 0, 0], [20.0, 0, 0, 0]], [[150, 0, 0]], "standards.*two or more are needed"),
        ([[10.0, 120, 0, 0], [20.0, 180, 0, 0]], [[150, 0, 0]], "standards: the red does not fall"),
        ([[10.0, 150, 0, 0], [20.0, 150, 0, 0]], [[150, 0, 0]], "standards: the red does not fall"),
        ([[10.0, 150, 0, 0], [15.0, 100, 0, 0], [20.0, 150, 0, 0]], [[150, 0, 0]], "standards: the red does not fall"),
        ([[500.0, 150, 0, 0], [15.0, 180, 0, 0]], [[150, 0, 0]], "standards row 1.*450"),
        ([[150.0, 150, 0, 0], [200.0, 120, 0, 0]], [[130, 0, 0]], "samples.*as they are in the jars"),
    ],
)
def test_what_is_refused_is_named(read, standards, samples, words):
    with pytest.raises(InputError, match=f"^reading 1: {words}"):
        read(KIND, standards=standards, samples=samples, dilution=10)
