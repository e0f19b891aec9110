"""Known baths found again in photographs that another hand rendered (`darkroom`): light, glasses, cameras of all kinds.

The figures: even light within 1.1 %; a lens that takes up to a fifth of the light at its edges within 3 % or told;
the stated interval holds the truth.
"""

import numpy as np
import pytest

from advisor.measure.photograph import Box, decode, read_jars
from advisor.readings.photo_colour import PhotoColour
from tests.how_many import cases
from tests.measure.darkroom import Jar, Scene, camera, photograph

STANDARDS = (8.0, 11.5, 15.0, 18.5, 22.0)
BATH = 14.0
ABOVE, BELOW = 1.1, -0.75  # jars: where paper is seen above the rim and below the foot


def row(bath=BATH, at=2, jars_of_bath=2, glass=0.0, rng=None, **more):
    """The jars, standards from pale to strong, the bath's before standard `at`; and which are the bath's."""
    held = list(STANDARDS)
    held[at:at] = [bath] * jars_of_bath
    width = rng.uniform(1 - glass, 1 + glass, len(held)) if glass else np.ones(len(held))
    return tuple(Jar(grams, width, **more) for grams, width in zip(held, width, strict=True)), range(
        at, at + jars_of_bath
    )


def read(scene, bath, rng=None, whites=(ABOVE, BELOW), light=None):
    """What the photograph of a scene says of the bath: g/L in its jars, its standard uncertainty, what is told."""
    picture = decode(photograph(scene, rng))
    boxes = [Box(*scene.box(number)) for number in range(len(scene.jars))]
    white = [Box(*scene.box(number, 0.3, up)) for number in range(len(boxes)) for up in whites]
    jars = [(None if number in bath else scene.jars[number].grams, box) for number, box in enumerate(boxes)]
    colours = read_jars(picture, jars, white if light is None else light(scene))
    reading = PhotoColour(standards=colours.standards, samples=colours.samples, light_even_to=colours.light_even_to)
    return *reading.found(), " ".join(colours.warnings)


@pytest.mark.parametrize("at", [0, 2, 5])
@pytest.mark.parametrize("bath", [10.0, 14.0, 19.0])
def test_in_even_light_a_bath_is_found_within_1_percent(bath, at):
    jars, which = row(bath, at)
    found, spread, said = read(Scene(jars, camera=camera(quality=95)), which)
    assert found == pytest.approx(bath, rel=0.011)
    assert abs(found - bath) < 1.96 * spread
    assert said == ""


@pytest.mark.parametrize("at", [0, 2, 5], ids=["at the left", "in the middle", "at the right"])
@pytest.mark.parametrize("vignetting", [0.03, 0.05, 0.1, 0.2])
def test_a_lens_that_darkens_both_sides_is_evened_out(vignetting, at):
    jars, which = row(at=at)
    scene = Scene(jars, camera=camera(vignetting=vignetting, quality=95))
    found, spread, said = read(scene, which)
    assert found == pytest.approx(BATH, rel=0.03)
    assert abs(found - BATH) < 1.96 * spread
    assert ("evened out" in said) == (vignetting > 0.06)


@pytest.mark.parametrize("vignetting", [0.05, 0.1, 0.2])
def test_white_at_the_ends_alone_is_not_trusted_with_a_lens(vignetting):
    """Two white places tell a slope, not a bend: then the interval is wide, and it says what to do."""
    jars, which = row(at=5)
    scene = Scene(jars, camera=camera(vignetting=vignetting))
    ends = lambda scene: [Box(*scene.box(number, 0.3, ABOVE)) for number in (0, len(jars) - 1)]  # noqa: E731
    found, spread, said = read(scene, which, light=ends)
    assert "mark white paper close above and below each jar" in said
    assert abs(found - BATH) < 1.96 * spread


def test_a_white_place_in_a_shadow_is_told_and_widens():
    jars, which = row()
    scene = Scene(jars, camera=camera(quality=95))
    sound = read(scene, which)

    def one_on_a_jar_s_empty_glass(scene):
        white = [Box(*scene.box(number, 0.3, up)) for number in range(7) for up in (ABOVE, BELOW)]
        return [*white[1:], Box(*scene.box(3, 0.15, 0.5))]

    found, spread, said = read(scene, which, light=one_on_a_jar_s_empty_glass)
    assert "White places disagree by" in said
    assert spread > sound[1]
    assert found == pytest.approx(BATH, rel=0.03)


def drawn(rng):
    """A scene as people take them: its camera, light, lens, file and glasses drawn by chance; and its bath's jars."""
    seen = camera(
        rng,
        saturation=rng.uniform(0, 0.4),
        cast=tuple(rng.uniform(0.93, 1.05, 3)),
        exposure=rng.uniform(0.5, 0.8),
        contrast=rng.uniform(-0.1, 0.2),
        vignetting=rng.uniform(0, 0.2),
        vignetting_bend=rng.uniform(0, 1),
        fall=tuple(rng.uniform(-0.2, 0.2, 2)),
        quality=int(rng.integers(80, 96)),
    )
    jars, which = row(rng.uniform(9, 21), int(rng.integers(0, 6)), int(rng.integers(1, 3)), 0.03, rng)
    return Scene(jars, camera=seen, size=(600, 400), round_glass=bool(rng.integers(2))), which


@pytest.mark.slow
def test_intervals_hold_the_truth_over_cameras_lights_and_glasses():
    pulls, spreads = [], []
    for seed in range(cases(36, 60)):
        rng = np.random.default_rng([18, seed])
        scene, which = drawn(rng)
        found, spread, _ = read(scene, which, rng)
        pulls.append((found - scene.jars[which[0]].grams) / spread)
        spreads.append(spread / found)
    assert np.mean(np.abs(pulls) < 1.96) >= 0.93
    assert np.median(spreads) < 0.04


def test_a_dyed_bath_is_told():
    jars, which = row()
    dyed = tuple(Jar(jar.grams, dye=0.2) if number in which else jar for number, jar in enumerate(jars))
    assert "another tint" in read(Scene(dyed), which)[2]
