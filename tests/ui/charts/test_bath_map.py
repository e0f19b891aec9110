"""The map's geometry, and that each case draws what it should."""

import json
from dataclasses import replace

import numpy as np
import pytest

from advisor.check.known import Known
from advisor.solution.solubility import saturation
from advisor.ui.charts import bath_map as bath_map_module
from advisor.ui.charts import labels
from advisor.ui.charts.bath_map import BathMap, bath_map, describe
from advisor.ui.look.colours import LIGHT
from advisor.words.lines import Units


def bath(copper, acid, covariance=(44.0, -3.0, 0.6)):
    """Return what is known of a bath; None: not measured. covariance: variance, shared, variance."""
    first, shared, second = covariance
    held = {"copper_sulfate": copper, "sulfuric_acid": acid}
    measured = frozenset(name for name, value in held.items() if value is not None)
    mean, matrix = np.array([value or 0.0 for value in held.values()]), np.array([[first, shared], [shared, second]])
    return Known(tuple(held), mean, matrix, measured, 5.6, 0.011)


KNOWN = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(188.0, 21.0), ((233.0, 20.0), (217.0, 51.0)))


def spec(numbers, **more):
    return json.loads(json.dumps(bath_map(numbers, **more), allow_nan=False))


def words(numbers):
    return {row["words"] for layer in spec(numbers)["layer"] for row in layer["data"]["values"] if row.get("words")}


def test_the_ellipse_holds_the_bath_with_95_percent_probability():
    covariance = np.array([[44.0, -3.0], [-3.0, 0.6]])
    outline = np.array(KNOWN.ellipse()) - [188.0, 21.0]
    squared = np.einsum("ij,jk,ik->i", outline, np.linalg.inv(covariance), outline)
    assert squared == pytest.approx(5.991, rel=1e-6)
    drawn = np.random.default_rng(3).multivariate_normal([0.0, 0.0], covariance, 100_000)
    inside = np.einsum("ij,jk,ik->i", drawn, np.linalg.inv(covariance), drawn) < squared.mean()
    assert inside.mean() == pytest.approx(0.95, abs=0.003)


def test_the_axes_hold_window_estimate_and_path():
    (left, right), (bottom, top) = KNOWN.reach()
    assert left < 188 - 1.96 * 44**0.5
    assert right > 248
    assert 0 <= bottom < 20
    assert top > 75


def test_a_bath_hardly_known_does_not_shrink_the_window():
    vague = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(150.0, 60.0, (150.0**2, 0.0, 4.0)))
    left, right = vague.reach()[0]
    assert right - left < 6 * (248 - 195)


def test_the_saturation_line_is_that_of_the_coldest_temperature_and_the_field_beyond_it_is_shaded():
    for copper_sulfate, acid in KNOWN.saturation_line():
        assert copper_sulfate == pytest.approx(float(saturation(12.0, acid)))
    assert "crystals below 12 °C" in words(KNOWN)
    field = next(layer for layer in spec(KNOWN)["layer"] if layer["mark"]["type"] == "area")
    for row in field["data"]["values"]:
        assert row["x"] == pytest.approx(min(float(saturation(12.0, row["y"])), row["x2"]))
        assert row["x2"] == pytest.approx(KNOWN.reach()[0][1])


@pytest.mark.parametrize(
    "numbers",
    [
        KNOWN,
        replace(KNOWN, added=("crystals", "acid")),
        replace(KNOWN, added=("water", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0)),
        replace(KNOWN, known=bath(245.0, 17.0), path=((222.0, 15.0), (207.0, 45.0)), added=("water", "acid")),
        replace(KNOWN, known=bath(215.0, 72.0), path=()),
        replace(KNOWN, known=bath(280.0, 90.0), path=((240.0, 80.0), (225.0, 60.0)), added=("taking out", "water")),
    ],
)
def test_no_line_runs_through_a_name(numbers):
    names, faults = in_each_others_way(numbers)
    assert names >= 2
    assert not faults


def in_each_others_way(numbers):
    """Return how many names both plots show, and each that leaves the frame or lies on a name, a mark or the way."""
    drawn = bath_map_module._Drawn(numbers, LIGHT)
    drawn.cold(), drawn.window(), drawn.way(), drawn.ghost(), drawn.target(), drawn.name_cold()
    marks = sum(point is not None for point in (*numbers.stations(), numbers.target, numbers.just_water))
    names, faults = 0, []
    for plot in drawn.room.plots:
        way = labels.dense([plot.pixels(point) for point in numbers.stations()])
        for at, box in enumerate(plot.taken[marks:], marks):
            left, top, right, bottom = box
            names += 1
            if min(left, top, plot.size[0] - right, plot.size[1] - bottom) < 0:
                faults.append(("beyond the frame", box))
            if any((left <= x <= right) and (top <= y <= bottom) for x, y in way):
                faults.append(("on the way", box))
            faults += [
                ("on another", box, other)
                for other in plot.taken[:at]
                if left < other[2] and right > other[0] and top < other[3] and bottom > other[1]
            ]
    return names, faults


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


def test_no_name_lies_on_another_on_a_mark_or_on_the_way():
    random = np.random.default_rng(11)
    seen = [in_each_others_way(any_bath(random)) for _ in range(300)]
    assert sum(names for names, _ in seen) > 2 * 300
    assert not [faults for _, faults in seen if faults]


def test_points_are_named_by_what_brought_the_bath_there():
    named = replace(KNOWN, added=("crystals", "acid"), target=(221.5, 52.5), just_water=(170.0, 19.0))
    assert {"bath now", "1 after crystals", "2 after acid", "just water"} <= words(named)
    assert "After acid: 217 and 51 g/L. The aim is 222 and 52 g/L. Water alone would give 170 and 19 g/L." in describe(
        named
    )


def test_the_point_moves_with_the_steps_done():
    assert "bath now" in words(KNOWN)
    moved = replace(KNOWN, done=2)
    assert "bath after step 2" in words(moved)
    assert "After step 2 (done): 217 and 51 g/L." in describe(moved)


def test_the_axes_are_in_the_units_chosen():
    """An ounce a gallon is 7.489152 g/L (NIST SP 811)."""
    metric, us = spec(KNOWN), spec(replace(KNOWN, units=Units.US_FIRST))
    for ours, theirs in zip(metric["layer"], us["layer"], strict=True):
        assert theirs["encoding"]["x"]["title"] == "copper sulfate, oz/gal"
        for one, other in zip(ours["data"]["values"], theirs["data"]["values"], strict=True):
            assert other["x"] == pytest.approx(one["x"] / 7.489152)
    assert "crystals below 54 °F" in words(replace(KNOWN, units=Units.US_FIRST))


def test_one_component_known_is_a_band_and_none_is_window_alone():
    acid = BathMap((195.0, 248.0), (30.0, 75.0), 12.0, bath(None, 50.0, (22500.0, 0.0, 4.0)))
    across, up = acid.band()
    assert across == (-np.inf, np.inf)
    assert up == pytest.approx((50 - 3.92, 50 + 3.92))
    assert "bath now" not in words(acid)
    assert len(spec(acid)["layer"]) == len(spec(BathMap((195.0, 248.0), (30.0, 75.0), 12.0))["layer"]) + 1
    assert "copper sulfate: not known" in describe(acid)


def test_light_and_dark_differ_only_in_colour():
    light, dark = spec(KNOWN), spec(KNOWN, dark=True)
    assert light != dark
    assert [layer["mark"]["type"] for layer in light["layer"]] == [layer["mark"]["type"] for layer in dark["layer"]]
    assert [layer["data"] for layer in light["layer"]] == [layer["data"] for layer in dark["layer"]]
