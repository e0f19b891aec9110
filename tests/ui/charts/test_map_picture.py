"""The drawn map: sound SVG for screen and paper, each case with what it should show, and no name on another."""

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest

from advisor.basis.units import convert
from advisor.solution.solubility import saturation
from advisor.ui.charts import labels
from advisor.ui.charts import map_picture as map_picture_module
from advisor.ui.charts.bath_map import BathMap
from advisor.ui.charts.map_picture import (
    HEIGHT,
    PAPER,
    SCREEN,
    WIDTH,
    map_picture,
    round_values,
    told_points,
)
from advisor.words.lines import Units
from tests.ui.charts.test_bath_map import KNOWN, bath

SVG = "{http://www.w3.org/2000/svg}"
NAMED = replace(KNOWN, added=("water", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0))
ACID_ALONE = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(None, 50.0, (22500.0, 0.0, 4.0)))


def drawn(numbers, look=SCREEN):
    return ElementTree.fromstring(map_picture(numbers, look))


def names(numbers, look=SCREEN):
    return {text.text for text in drawn(numbers, look).iter(f"{SVG}text")}


def kinds(numbers, look=SCREEN):
    return [part.get("class") for part in drawn(numbers, look).iter() if part.get("class")]


def points(numbers, kind):
    """Return the points of the first path of a kind [px]."""
    path = next(part for part in drawn(numbers).iter(f"{SVG}path") if part.get("class") == kind)
    return [tuple(map(float, pair.split())) for pair in path.get("d")[1:].split("L")]


@pytest.mark.parametrize("numbers", [NAMED, ACID_ALONE, replace(NAMED, units=Units.US_FIRST)])
def test_screen_and_paper_show_the_same(numbers):
    assert kinds(numbers, PAPER) == kinds(numbers, SCREEN)
    assert names(numbers, PAPER) == names(numbers, SCREEN)


@pytest.mark.parametrize("look", [SCREEN, PAPER])
def test_the_line_from_a_name_to_its_point_is_drawn(look):
    assert re.search(r"\.leader\{stroke:[^;}]+", look)


def test_paper_is_black_and_white():
    assert set(re.findall("#[0-9a-fA-F]{3,6}\\b", map_picture(NAMED, PAPER))) == {"#000", "#fff", "#999"}


def test_all_stays_inside():
    root = drawn(NAMED)
    assert root.get("viewBox") == f"0 0 {WIDTH:.0f} {HEIGHT:.0f}"
    for circle in root.iter(f"{SVG}circle"):
        assert 0 <= float(circle.get("cx")) <= labels.PLOT[0]
        assert 0 <= float(circle.get("cy")) <= labels.PLOT[1]


def test_what_a_sheet_says_cannot_leave_the_picture():
    assert "1 after <water>" in names(replace(NAMED, added=("<water>", "acid")))


def test_the_field_where_crystals_form_begins_at_the_saturation_line():
    (left, right), (bottom, top) = KNOWN.reach()
    assert "crystals below 12 °C" in names(KNOWN)
    for x, y in points(KNOWN, "cold")[1:-1]:
        acid = top - y / labels.PLOT[1] * (top - bottom)
        salt = left + x / labels.PLOT[0] * (right - left)
        assert salt == pytest.approx(min(float(saturation(12.0, acid)), right), abs=0.05)


def test_points_are_named_by_what_brought_the_bath_there():
    named = replace(KNOWN, added=("crystals", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0))
    assert {"bath now", "1 after crystals", "2 after acid", "just water"} <= names(named)


def test_the_mark_of_the_bath_moves_with_the_steps_done():
    assert "bath now" in names(KNOWN)
    assert "bath after step 2" in names(replace(KNOWN, done=2))


def test_one_component_known_is_a_band_and_none_is_window_alone():
    assert kinds(ACID_ALONE).count("known") == 1
    assert not {"bath now"} & names(ACID_ALONE)
    assert not {"known", "way", "now"} & set(kinds(BathMap((195.0, 248.0), (30.0, 75.0), 12.0)))
    across = [x for x, _ in points(ACID_ALONE, "known")]
    assert (min(across), max(across)) == pytest.approx((0.0, labels.PLOT[0]))


def test_a_pointer_finds_each_station_and_what_it_is():
    told = told_points(NAMED)
    assert [words for _, words in told] == [
        "bath as measured: 188 g/L copper sulfate, 21 g/L acid",
        "after water: 233 g/L copper sulfate, 20 g/L acid",
        "after acid: 217 g/L copper sulfate, 51 g/L acid",
    ]
    rings = [circle for circle in drawn(NAMED).iter(f"{SVG}circle") if circle.get("class") == "station"]
    for ((x, y), _), ring in zip(told, rings, strict=True):
        assert x * WIDTH / 100 == pytest.approx(float(ring.get("cx")) + map_picture_module.LEFT, abs=0.1)
        assert y * HEIGHT / 100 == pytest.approx(float(ring.get("cy")) + map_picture_module.TOP, abs=0.1)


def test_the_axes_are_in_the_units_chosen():
    us = replace(KNOWN, units=Units.US_FIRST)
    assert "copper sulfate, g/L" in names(KNOWN)
    assert {"copper sulfate, oz/gal", "crystals below 54 °F"} <= names(us)
    numbers = {float(name) for name in names(us) if re.fullmatch(r"[\d.]+", name or "")}
    ends = [convert(1.0, "concentration", "oz/gal") * end for end in KNOWN.reach()[0]]
    assert set(round_values(*ends)) <= numbers


@pytest.mark.parametrize(("units", "in_unit"), [(Units.METRIC, 1.0), (Units.US_FIRST, 3.785412 / 28.349523)])
def test_each_number_stands_at_its_line_and_the_names_of_the_axes_along_their_middles(units, in_unit):
    """1 g/L = 3.785412 L/gal / 28.349523 g/oz (NIST SP 811)."""
    numbers = replace(KNOWN, units=units)
    left, top = map_picture_module.LEFT, map_picture_module.TOP
    (low, high), (bottom, upper) = np.array(numbers.reach()) * in_unit
    root = drawn(numbers)
    lines = [part.get("d") for part in root.iter(f"{SVG}path") if part.get("class") == "grid"]
    texts = [(text.text, float(text.get("x")), float(text.get("y"))) for text in root if text.tag == f"{SVG}text"]
    across = [(float(text), x) for text, x, y in texts if re.fullmatch(r"[\d.]+", text) and x > left]
    up = [(float(text), y) for text, x, y in texts if re.fullmatch(r"[\d.]+", text) and x < left]
    assert len(across) + len(up) == len(lines)
    assert [f"M{x:.1f} {top}V{top + labels.PLOT[1]}" for _, x in across] == lines[: len(across)]
    for value, x in across:
        assert x == pytest.approx(left + labels.PLOT[0] * (value - low) / (high - low), abs=0.1)
    for (value, y), line in zip(up, lines[len(across) :], strict=True):
        at = top + labels.PLOT[1] * (upper - value) / (upper - bottom)
        assert float(line.removeprefix(f"M{left} ").partition("H")[0]) == pytest.approx(at, abs=0.1)
        assert at < y < at + 6  # px: the feet of its letters, whose middle is at the line
    middles = {text.split(",")[0]: (x, y) for text, x, y in texts}
    assert middles["copper sulfate"][0] == left + labels.PLOT[0] / 2
    assert middles["sulfuric acid"][1] == top + labels.PLOT[1] / 2
    assert all(0 < x < WIDTH and 0 < y < HEIGHT for _, x, y in texts)
    assert middles["copper sulfate"][1] > max(y for _, _, y in texts if y != middles["copper sulfate"][1])


def test_where_no_crystals_form_on_the_map_no_field_of_them_is_drawn():
    warm = replace(KNOWN, coldest=60.0)
    assert not {"cold", "edge"} & set(kinds(warm))
    assert not [name for name in names(warm) if name.startswith("crystals")]


def test_the_edge_of_the_cold_is_drawn_inside_the_plot_alone():
    assert all(0 < x < labels.PLOT[0] for x, _ in points(KNOWN, "edge"))
    assert max(x for x, _ in points(KNOWN, "cold")) == labels.PLOT[0]


def test_a_name_stands_near_the_point_that_it_is_of():
    root = drawn(NAMED)
    (bath_now,) = [text for text in root.iter(f"{SVG}text") if text.text == "bath now"]
    ring = next(circle for circle in root.iter(f"{SVG}circle") if circle.get("class") == "station")
    off = [float(bath_now.get(axis)) - float(ring.get(f"c{axis}")) for axis in "xy"]
    assert np.hypot(*off) < labels.NEAR + labels.LINE


def test_a_window_without_limits_of_one_reaches_from_end_to_end_of_it():
    salt_alone = replace(KNOWN, sulfuric_acid_limits=None)
    window = points(salt_alone, "window")
    assert {y for _, y in window} == {0.0, labels.PLOT[1]}
    (left, right), _ = salt_alone.reach()
    at = [labels.PLOT[0] * (limit - left) / (right - left) for limit in (195.0, 248.0)]
    assert sorted({x for x, _ in window}) == pytest.approx(at, abs=0.1)


@pytest.mark.parametrize("ends", [(158.2, 260.9), (11.0, 83.3), (0.0, 9.99), (0.31, 0.34), (55.0, 1200.0)])
def test_an_axis_has_some_round_numbers(ends):
    values = round_values(*ends)
    assert 2 <= len(values) <= 7
    assert all(ends[0] <= value <= ends[1] for value in values)
    (step,) = {round(after - before, 9) for before, after in pairwise(values)}
    assert float(f"{step:e}".split("e")[0]) in (1.0, 2.0, 5.0)


@pytest.mark.parametrize(
    "numbers",
    [
        KNOWN,
        replace(KNOWN, added=("crystals", "acid")),
        replace(KNOWN, added=("water", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0)),
        replace(KNOWN, known=bath(245.0, 17.0), path=((222.0, 15.0), (207.0, 45.0)), added=("water", "acid")),
        replace(KNOWN, known=bath(257.7, 65.7), path=((211.9, 54.0),), added=("water",), target=(221.5, 52.5)),
        replace(KNOWN, known=bath(215.0, 72.0), path=()),
        replace(KNOWN, known=bath(280.0, 90.0), path=((240.0, 80.0), (225.0, 60.0)), added=("taking out", "water")),
    ],
)
def test_no_line_runs_through_a_name(numbers):
    names, faults = in_each_others_way(drawing_of(numbers))
    assert names >= 2
    assert not faults


def drawing_of(numbers):
    drawing = map_picture_module._Drawing(numbers)
    drawing.draw()
    return drawing


def in_each_others_way(drawing):
    """Return how many names the plot shows, and each that leaves the frame or lies on a name, a mark or the way."""
    numbers = drawing.numbers
    marks = sum(point is not None for point in (*numbers.stations(), numbers.target, numbers.just_water))
    faults, plot = [], drawing.room
    way = labels.dense([plot.pixels(point) for point in numbers.stations()])
    for at, box in enumerate(plot.taken[marks:], marks):
        left, top, right, bottom = box
        if min(left, top, labels.PLOT[0] - right, labels.PLOT[1] - bottom) < 0:
            faults.append(("beyond the frame", box))
        if any((left <= x <= right) and (top <= y <= bottom) for x, y in way):
            faults.append(("on the way", box))
        faults += [
            ("on another", box, other)
            for other in plot.taken[:at]
            if left - labels.APART < other[2]
            and right + labels.APART > other[0]
            and top < other[3]
            and bottom > other[1]
        ]
    return len(plot.taken) - marks, faults


def any_bath(random):
    """Return the map of a bath and a correction as they come: what is out by how much, how sure, how cold."""
    limits = [((195.0, 248.0), (30.0, 75.0)), ((60.0, 75.0), (187.0, 225.0)), ((150.0, 250.0), (20.0, 60.0))]
    copper, acid = limits[random.integers(3)]
    now = np.array([random.uniform(0.5, 1.4) * sum(copper) / 2, random.uniform(0.3, 1.7) * sum(acid) / 2])
    aim = np.array([sum(copper) / 2, sum(acid) / 2])
    thinned = random.uniform(0.7, 1.0)
    moves = {
        "taking out": now,
        "water": thinned * now,
        "crystals": np.array([max(aim[0], thinned * now[0]), 0.99 * thinned * now[1]]),
        "acid": np.array([max(aim[0], thinned * now[0]) - 2, max(aim[1], thinned * now[1])]),
        "chloride": np.array([max(aim[0], thinned * now[0]) - 2, max(aim[1], thinned * now[1])]),
    }
    kept = {name: tuple(map(float, place)) for name, place in moves.items() if random.random() < 0.6}
    spread = random.uniform(1.0, 20.0), random.uniform(0.5, 8.0)
    known = bath(*now, (spread[0] ** 2, random.uniform(-0.8, 0.8) * spread[0] * spread[1], spread[1] ** 2))
    target = tuple(map(float, aim)) if kept and random.random() < 0.7 else None
    water = tuple(map(float, 0.8 * now)) if random.random() < 0.4 else None
    done = int(random.integers(len(kept) + 1))
    units = Units.US_FIRST if random.random() < 0.3 else Units.METRIC
    cold = random.uniform(2.0, 20.0)
    return BathMap(copper, acid, cold, known, tuple(kept.values()), done, tuple(kept), target, water, units)


@pytest.fixture(scope="module")
def drawings():
    """What 300 baths as they come look like."""
    random = np.random.default_rng(11)
    return [drawing_of(any_bath(random)) for _ in range(300)]


def test_no_name_lies_on_another_on_a_mark_or_on_the_way(drawings):
    seen = [in_each_others_way(drawing) for drawing in drawings]
    assert sum(names for names, _ in seen) > 2 * 300
    assert not [faults for _, faults in seen if faults]


def name_of_the_cold(drawing):
    """Return the box of the name of the field in which crystals form, None where it has none, and the field's edge [px]."""
    edge = np.array([drawing.room.pixels(point) for point in drawing.numbers.saturation_line()])
    named = any(">crystals" in name for name in drawing.names)
    return drawing.room.taken[-1] if named else None, edge


def test_the_name_of_the_cold_lies_in_its_field_and_never_on_its_edge(drawings):
    seen = [name_of_the_cold(drawing) for drawing in drawings]
    boxes = [(box, edge) for box, edge in seen if box]
    assert len(boxes) > 0.6 * sum(edge[-1, 0] < labels.PLOT[0] for _, edge in seen)
    for (left, _, _, foot), edge in boxes:
        assert left > np.interp(-foot, -edge[:, 1], edge[:, 0])


def test_a_narrow_field_in_the_cold_is_named_upright():
    (name,) = [text for text in drawn(KNOWN).iter(f"{SVG}text") if text.text == "crystals below 12 °C"]
    assert name.get("transform").startswith("rotate(-90 ")


@pytest.mark.parametrize("look", [SCREEN, PAPER])
def test_the_fields_differ_by_more_than_colour(look):
    assert ".cold{fill:url(#hatch)}" in map_picture(KNOWN, look)
    assert re.search(r"\.hatch\{stroke:[^;}]+", look)
    assert not re.search(r"\.window\{fill:url", look)
