"""The small map: the last check is the large dot, inside the picture wherever it lies, and past checks lead to it."""

import re
from xml.etree import ElementTree

import pytest

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
