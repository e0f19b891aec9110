"""Names on a chart keep off lines, off each other and inside the frame."""

from math import cos, pi, sin

import numpy as np
import pytest

from advisor.ui.charts import labels
from advisor.ui.charts.labels import PLOT, SIDES, Room, Side

REACH = ((0.0, PLOT[0]), (0.0, PLOT[1]))  # a unit of an axis is a pixel


def room():
    return Room(REACH)


def test_without_anything_near_a_name_stands_below_its_point():
    assert room().place((135.0, 125.0), "bath now") == SIDES[0]


def test_a_name_keeps_off_a_line():
    crossed = room()
    crossed.way([(135.0, 125.0), (135.0, 0.0)])
    side = crossed.place((135.0, 125.0), "bath now")
    left, _, right, bottom = side.box((135.0, PLOT[1] - 125.0), "bath now")
    assert not (left <= 135 <= right and bottom > PLOT[1] - 125)


def test_two_names_of_one_point_do_not_lie_on_each_other():
    taken = names_of(room(), (135.0, 125.0), ("1 after water", "2 after acid", "aim", "just water"))
    for number, one in enumerate(taken):
        for other in taken[:number]:
            assert one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]


def names_of(plot, point, texts):
    for text in texts:
        plot.place(point, text)
    return plot.taken


def test_a_name_without_room_beside_its_point_stands_at_the_end_of_a_line():
    """A ring of 16 px around the point runs through every name beside it."""
    crowded = room()
    crowded.way([(135.0 + 16 * cos(angle), 125.0 + 16 * sin(angle)) for angle in np.linspace(0, 2 * pi, 40)])
    side = crowded.place((135.0, 125.0), "bath now")
    left, top, right, bottom = side.box((0.0, 0.0), "bath now")
    assert side.leader is not None
    assert left > 16 or right < -16 or top > 16 or bottom < -16


def test_places_further_off_stand_all_around_and_no_name_lies_on_its_point():
    """Twelve to a ring, 30 degrees apart; a name leans away from its point, whichever way it stands."""
    further = labels.everywhere()[len(SIDES) :]
    for ring, sides in zip(labels._RINGS, np.array(further, dtype=object).reshape(-1, 12), strict=True):
        assert [side.away for side in sides] == pytest.approx([ring] * 12)
        assert [(side.dx / ring, side.dy / ring) for side in sides] == [
            pytest.approx((cos(pi * step / 6), sin(pi * step / 6)), abs=1e-9) for step in range(12)
        ]
    for side in labels.everywhere():
        left, top, right, bottom = side.box((0.0, 0.0), "bath now")
        assert left > 0 or right < 0 or top > 0 or bottom < 0


def test_a_thin_line_ends_2_px_before_its_name_and_keeps_others_off():
    far = Side("start", "middle", 30.0, 40.0)
    assert far.leader == pytest.approx((30 * 48 / 50, 40 * 48 / 50))
    taken = room()
    taken.choose([((100.0, 115.0), far)], "bath now")
    (line,) = taken.leaders
    assert line[0] == pytest.approx((100.0, 100.0))  # down from the top
    assert line[-1] == pytest.approx((128.8, 138.4))
    assert taken.ways[-1] is line


def test_no_thin_line_runs_through_the_mark_of_another_point():
    far = [((100.0, 115.0), Side("start", "middle", 60.0, 0.0))]
    marked = room()
    marked.mark((130.0, 115.0))
    assert marked.choose(far, "aim") is None
    own = room()
    own.mark((100.0, 115.0))
    assert own.choose(far, "aim") == far[0]


def test_the_name_of_a_window_that_the_axes_cut_stands_on_the_plot():
    window = (-50.0, 400.0), (20.0, 500.0)
    for (x, y), _ in labels.beside_the_window(REACH, *window):
        assert 0 <= x <= PLOT[0]
        assert 20 <= y <= PLOT[1]


def test_a_name_that_finds_no_room_is_left_out():
    crowded = room()
    crowded.way([(x, y) for y in np.arange(0.0, PLOT[1], 8.0) for x in (0.0, PLOT[0])])
    assert crowded.place((135.0, 125.0), "bath now") is None


def test_a_name_stays_inside_the_frame():
    for point in ((0.0, 0.0), (PLOT[0], 0.0), (0.0, PLOT[1]), PLOT):
        ((left, top, right, bottom),) = names_of(room(), point, ["after taking out"])
        assert left >= 0
        assert top >= 0
        assert right <= PLOT[0]
        assert bottom <= PLOT[1]
