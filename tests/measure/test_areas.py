"""The area of a part, against geometry worked by hand."""

import math

import pytest

from advisor.measure.areas import cone_area, cylinder_area, foil_area, plate_area, sphere_area, traced_area


def test_areas_of_simple_shapes():
    assert plate_area(100, 50, 0) == pytest.approx(1.0)  # both sides of 10 x 5 cm
    assert plate_area(10, 10, 10) == pytest.approx(6 * 1e-2)  # a cube of 1 cm
    assert cylinder_area(10, 100) == pytest.approx(math.pi * (10 * 100 + 2 * 25) / 1e4)
    assert sphere_area(100) == pytest.approx(3.1416, rel=1e-4)
    assert cone_area(60, 40) == pytest.approx(math.pi * 30 * (30 + 50) / 1e4)


def test_areas_from_a_tracing_and_from_foil():
    assert traced_area(200, square=5, sides=2, relief=1.0) == pytest.approx(1.0)
    assert traced_area(200, 5, 2, relief=1.5) == pytest.approx(1.25 * traced_area(200, 5, 2, relief=1.2))
    assert foil_area(wrap=0.9, sample=0.45, sample_area=1.0) == pytest.approx(2.0)
