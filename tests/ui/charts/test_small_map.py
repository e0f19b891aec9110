"""The small map: the last check is the large dot, inside the picture wherever it lies, and past checks lead to it."""

import re
from xml.etree import ElementTree

import pytest

from advisor.solution.solubility import saturation
from advisor.ui.charts.small_map import HEIGHT, WIDTH, small_map

WINDOW = ((195.0, 248.0), (30.0, 75.0))


def dots(svg):
    return [
        tuple(float(dot.get(key)) for key in ("cx", "cy", "r"))
        for dot in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}circle")
    ]


@pytest.mark.parametrize(
    "trail", [[(188.0, 21.0)], [(230.0, 60.0), (220.0, 50.0), (210.0, 40.0)], [(400.0, 190.0)], [(0.0, 0.0)]]
)
def test_each_check_is_a_dot_inside_the_picture(trail):
    found = dots(small_map(WINDOW, trail, 12.0))
    assert len(found) == len(trail)
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y, _ in found)
    assert [r for *_, r in found] == [2.2] * (len(trail) - 1) + [5.0]


def test_more_copper_is_farther_right_and_more_acid_higher():
    (x, y, _), (x_now, y_now, _) = dots(small_map(WINDOW, [(200.0, 40.0), (210.0, 50.0)], 12.0))
    assert x_now > x
    assert y_now < y


def test_without_a_check_only_the_window_is_drawn():
    svg = small_map(WINDOW, [], 12.0)
    assert not dots(svg)
    assert re.search("<rect .*var\\(--in\\)", svg)


def shapes(svg, kind):
    """Return the shapes of a kind as what the picture says of them."""
    return [dict(shape.attrib) for shape in ElementTree.fromstring(svg).iter(f"{{http://www.w3.org/2000/svg}}{kind}")]


def test_the_window_has_a_fifth_of_its_width_around_it():
    """Each axis is 1.4 windows long then."""
    rect = shapes(small_map(WINDOW, [], 12.0), "rect")[1]
    found = [float(rect[name]) for name in ("x", "y", "width", "height")]
    assert found == pytest.approx([WIDTH / 7, HEIGHT / 7, WIDTH / 1.4, HEIGHT / 1.4], abs=0.1)


def test_no_axis_goes_below_nothing():
    ((x, y, _),) = dots(small_map(WINDOW, [(0.0, 0.0)], 12.0))
    assert (x, y) == (0.0, HEIGHT)


def test_the_way_leads_from_check_to_check():
    svg = small_map(WINDOW, [(230.0, 60.0), (220.0, 50.0), (210.0, 40.0)], 12.0)
    (way,) = shapes(svg, "polyline")
    assert way["points"] == " ".join(f"{x},{y}" for x, y, _ in dots(svg))


def test_crystals_form_to_the_right_of_the_saturation_line():
    """The axis of acid reaches from 21 to 84 g/L, that of copper sulfate from 184.4 to 258.6 g/L."""
    (cold,) = shapes(small_map(WINDOW, [], 12.0), "polygon")
    *edge, upper, lower = [tuple(map(float, pair.split(","))) for pair in cold["points"].split()]
    assert [y for _, y in edge] == pytest.approx([HEIGHT * (1 - share / 11) for share in range(12)], abs=0.1)
    salts = [float(saturation(12.0, 21 + 63 * share / 11)) for share in range(12)]
    assert [x for x, _ in edge] == pytest.approx([WIDTH * (salt - 184.4) / 74.2 for salt in salts], abs=0.1)
    assert upper[1] == edge[-1][1] == 0.0
    assert lower[1] == edge[0][1] == HEIGHT
    assert min(upper[0], lower[0]) >= max(WIDTH, *(x for x, _ in edge))  # outside, so that all to the right is cold
