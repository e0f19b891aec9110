"""Names on a chart keep off lines, off each other and inside the frame."""

from advisor.ui.charts.labels import PLOT, SIDES, Room

REACH = ((0.0, PLOT[0]), (0.0, PLOT[1]))  # a unit of an axis is a pixel


def test_without_anything_near_a_name_stands_below_its_point():
    assert Room(REACH, [], []).place((135.0, 125.0), "bath now") == SIDES[0]


def test_a_name_keeps_off_a_line():
    down = [(135.0, 125.0), (135.0, 0.0)]
    side = Room(REACH, [down], []).place((135.0, 125.0), "bath now")
    left, _, right, bottom = side.box((135.0, PLOT[1] - 125.0), "bath now")
    assert not (left <= 135 <= right and bottom > PLOT[1] - 125)


def test_two_names_of_one_point_do_not_lie_on_each_other():
    room = Room(REACH, [], [])
    for text in ("1 after water", "2 after acid", "aim", "just water"):
        room.place((135.0, 125.0), text)
    for number, one in enumerate(room.taken):
        for other in room.taken[:number]:
            assert one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]


def test_a_name_stays_inside_the_frame():
    for point in ((0.0, 0.0), (PLOT[0], 0.0), (0.0, PLOT[1]), PLOT):
        room = Room(REACH, [], [])
        room.place(point, "after taking out")
        left, top, right, bottom = room.taken[0]
        assert left >= 0
        assert top >= 0
        assert right <= PLOT[0]
        assert bottom <= PLOT[1]
