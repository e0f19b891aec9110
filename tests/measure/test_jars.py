"""Jars and paper found in rendered photographs: many cameras, lights, tables, jars; and what is said where it is not sure."""

import dataclasses

import numpy as np
import pytest

from advisor.basis.fields import InputError
from advisor.measure.jars import Jar as Found
from advisor.measure.jars import find_jars, jar_at, moved, white_places
from advisor.measure.photograph import Box, decode, read_jars
from advisor.readings.photo_colour import PhotoColour
from tests.how_many import cases
from tests.measure.darkroom import Jar, Scene, camera, photograph, render

pytestmark = pytest.mark.slow

TABLES = (None, (0.35, 0.2, 0.1), (0.5, 0.5, 0.5), (0.1, 0.1, 0.1), (0.8, 0.75, 0.6))
STANDARDS = (8.0, 11.5, 15.0, 18.5, 22.0)


def drawn(rng):
    """A row of four to eight jars as people photograph them."""
    seen = camera(
        rng,
        saturation=rng.uniform(0, 0.4),
        cast=tuple(rng.uniform(0.85, 1.1, 3)),
        exposure=rng.uniform(0.45, 0.8),
        contrast=rng.uniform(-0.1, 0.25),
        vignetting=rng.uniform(0, 0.2),
        fall=tuple(rng.uniform(-0.25, 0.25, 2)),
        noise=rng.uniform(0.005, 0.04),
        quality=int(rng.integers(75, 96)),
    )
    return Scene(
        tuple(Jar(grams) for grams in rng.permutation(np.linspace(7, 22, rng.integers(4, 9)))),
        camera=seen,
        size=(720, 480) if rng.random() < 0.7 else (480, 640),
        jar_width=rng.uniform(0.3, 0.75),
        jar_height=rng.uniform(1.1, 2.0),
        filled=rng.uniform(0.5, 0.85),
        foot=rng.uniform(0.55, 0.75),
        round_glass=bool(rng.integers(2)),
        tilt=rng.uniform(-5, 5),
        glare=float(rng.choice([0.0, 0.2, 0.5])),
        table=TABLES[rng.integers(len(TABLES))],
        shadow=float(rng.choice([0.0, 0.3, 0.6])),
    )


def inside(scene, box):
    """The number of the jar in whose liquid all of a box lies, or None."""
    corners = {scene.liquid_at(x, y) for x in (box.x0, box.x1) for y in (box.y0, box.y1)}
    return corners.pop() if len(corners) == 1 else None


def test_jars_are_found_whatever_camera_light_and_table():
    """Nothing is sure that is no jar; nearly all rows are found as they stand; what is taken for paper is paper."""
    as_they_stand, not_asked = [], []
    for seed in range(cases(14, 24)):
        rng = np.random.default_rng([22, seed])
        scene = drawn(rng)
        picture = decode(photograph(scene, rng))
        found = find_jars(picture)
        places = [inside(scene, jar.box) for jar in found]
        assert None not in [place for place, jar in zip(places, found, strict=True) if not jar.doubt], seed
        as_they_stand.append(places == list(range(len(scene.jars))))
        not_asked.append(as_they_stand[-1] and not any(jar.doubt for jar in found))
        white = white_places(picture, found)
        assert len(white) >= 10, seed
        assert all(scene.liquid_at(*box.middle()) is None for box in white), seed
        below_feet = scene.foot + 0.03 + abs(np.tan(np.radians(scene.tilt))) * scene.size[0] / scene.size[1] / 2
        assert scene.table is None or all(box.y0 < below_feet for box in white), seed
    assert np.mean(as_they_stand) >= 0.95
    assert np.mean(not_asked) >= 0.8


def seen(scene, rng=None):
    return decode(photograph(scene, rng))


def doubts(scene):
    return [jar.doubt for jar in find_jars(seen(scene))]


ROW = Scene(tuple(Jar(grams) for grams in STANDARDS), table=TABLES[1])


def test_no_jar_is_found_on_bare_paper_or_a_wooden_table():
    water = dataclasses.replace(ROW, jars=(Jar(0.0), Jar(0.0), Jar(0.0)))
    assert find_jars(seen(water)) == ()
    assert find_jars(np.full((300, 400, 3), 200, dtype=np.uint8)) == ()
    assert find_jars(np.zeros((300, 400, 3), dtype=np.uint8)) == ()


@pytest.mark.parametrize("shape", [(100, 100), (100, 2000), (2000, 100), (500, 300)])
@pytest.mark.parametrize("shown", [None, (255, 255, 255), (0, 0, 0), (90, 190, 200)])
def test_a_picture_of_anything_gives_boxes_on_it(shape, shown):
    picture = np.random.default_rng(0).integers(0, 256, (*shape, 3)).astype(np.uint8)
    if shown is not None:
        picture[:] = shown
    found = find_jars(picture)
    assert not any(not jar.doubt for jar in found)
    tapped = [jar_at(picture, at, at, found) for at in (0.0, 0.5, 1.0)]
    boxes = [jar.box for jar in (*found, *tapped, *(moved(picture, jar, 0.5, -0.5) for jar in tapped))]
    for box in (*boxes, *white_places(picture, tapped)):
        assert box.cut(picture, "x").size


def test_white_paper_nearest_to_the_jars_comes_first():
    paper = np.full((300, 600, 3), (235, 215, 190), dtype=np.uint8)  # under a warm lamp
    jars = [Found(Box(x - 0.05, 0.4, x + 0.05, 0.6)) for x in (0.15, 0.9)]
    middles = np.array([box.middle() for box in white_places(paper, jars)]) * [600, 300]
    far = np.min([np.hypot(*(middles - jar.box.middle() * np.array([600, 300])).T) for jar in jars], axis=0)
    assert np.all(np.diff(far) > -1e-9)
    assert far[-1] < 50  # forty places of 15 by 15 pixels, twenty about each jar, fill circles of 38 pixels


def test_a_picture_too_small_to_find_jars_in_is_refused():
    with pytest.raises(InputError, match="at least 100 to find jars"):
        find_jars(np.full((99, 400, 3), 200, dtype=np.uint8))


def test_a_faint_jar_is_asked_about():
    pale = dataclasses.replace(ROW, jars=(Jar(3.0), *ROW.jars[1:]))
    assert doubts(pale) == ["its colour is faint", "", "", "", ""]


def test_something_else_of_copper_s_colour_is_asked_about():
    picture = render(ROW)
    picture[20:110, 600:690] = (90, 190, 200)  # a cloth, above the row
    said = [jar.doubt for jar in find_jars(picture)]
    assert sorted(said)[-1] == "it does not stand in the row"
    assert said.count("") == len(STANDARDS)


def test_a_jar_that_is_cut_off_by_the_edge_is_asked_about():
    said = doubts(dataclasses.replace(ROW, row=(0.01, 0.8)))
    assert said[0] == "it lies at the edge of the picture"
    assert set(said[1:]) == {""}


def test_jars_that_touch_are_told_apart_or_asked_about():
    scene = dataclasses.replace(ROW, jar_width=1.0, jars=tuple(Jar(grams) for grams in (*STANDARDS, 25.0, 28.0)))
    found = find_jars(seen(scene))
    assert [inside(scene, jar.box) for jar in found if not jar.doubt] == list(range(7)) or any(
        jar.doubt for jar in found
    )


@pytest.mark.parametrize("grams", [0.0, 2.0, 15.0])
def test_a_tapped_jar_gets_a_box_inside_its_liquid(grams):
    scene = dataclasses.replace(ROW, jars=(*ROW.jars[:3], Jar(grams), ROW.jars[4]))
    picture = seen(scene)
    others = [jar for jar in find_jars(picture) if inside(scene, jar.box) != 3]
    assert len(others) == 4
    x, y = scene.middles()[3]
    jar = jar_at(picture, x, y, others)
    assert inside(scene, jar.box) == 3
    assert jar.doubt == ""


def test_jars_that_are_tapped_one_after_the_other_without_any_found():
    picture, taken = seen(ROW), []
    for x, y in ROW.middles():
        taken.append(jar_at(picture, x, y, taken))
    assert [inside(ROW, jar.box) for jar in taken] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(("x", "y"), [(0.0, 0.0), (1.0, 1.0), (0.5, 0.0), (0.999, 0.5)])
def test_a_tap_at_the_edge_gives_a_box_on_the_picture(x, y):
    picture = seen(ROW)
    for others in ([], find_jars(picture)):
        assert jar_at(picture, x, y, others).box.cut(picture, "x").size


def test_a_moved_jar_stays_on_the_picture_and_is_looked_at_anew():
    picture = seen(ROW)
    jar = find_jars(picture)[0]
    beside = moved(picture, jar, ROW.width_of_jar() / 2, 0.0)
    assert "patchy" in beside.doubt
    back = moved(picture, beside, -ROW.width_of_jar() / 2, 0.0)
    assert back.doubt == ""
    assert back.box.middle() == pytest.approx(jar.box.middle())
    corner = moved(picture, Found(jar.box), -5.0, -5.0)
    assert (corner.box.x0, corner.box.y0) == (0.0, 0.0)


@pytest.mark.parametrize("vignetting", [0.0, 0.1, 0.2])
def test_a_photograph_read_without_a_single_box_finds_the_bath(vignetting):
    jars = tuple(Jar(grams) for grams in (8.0, 11.5, 14.0, 14.0, 15.0, 18.5, 22.0))
    scene = Scene(jars, camera=camera(vignetting=vignetting, quality=95), tilt=2.0, table=TABLES[1], glare=0.3)
    picture = seen(scene)
    found = find_jars(picture)
    assert [inside(scene, jar.box) for jar in found] == list(range(7))
    held = [None if jar.grams == 14.0 else jar.grams for jar in jars]
    colours = read_jars(picture, list(zip(held, (jar.box for jar in found), strict=True)), white_places(picture, found))
    reading = PhotoColour(standards=colours.standards, samples=colours.samples, light_even_to=colours.light_even_to)
    grams, spread = reading.found()
    assert grams == pytest.approx(14.0, rel=0.03)
    assert abs(grams - 14.0) < 1.96 * spread
    assert colours.light.standard_uncertainty < 0.015
