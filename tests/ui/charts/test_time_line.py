"""The chart of a bath over time: what was done in a few words."""

import datetime
import itertools

import pytest

from advisor.record.entries import Check, Entry
from advisor.record.level import level_of
from advisor.ui.charts.time_line import ROWS, WORDS_TAKE, describe, done, flags, points, time_line
from advisor.words.lines import Units
from tests.record.some_days import moment, on


@pytest.mark.parametrize(
    ("word", "fields", "words"),
    [
        ("acid", {"volume": "60 mL", "strength": "37 %"}, "+ 60 mL acid"),
        ("take-out", {"volume": "1 L"}, "− 1 L bath"),
        ("pour-in", {"volume": "1 L", "copper_sulfate": "200 g/L", "sulfuric_acid": "60 g/L"}, "+ 1 L bath"),
        ("anode-mass", {"mass": "1240 g"}, "anodes weighed, 1240 g"),
        ("anodes", {"anodes": "other copper", "mass": "2000 g"}, "anodes, 2000 g"),
        ("wipe", {}, "anodes wiped"),
    ],
)
def test_only_what_goes_in_or_out_has_a_sign(word, fields, words):
    (mark,) = done([on(0, word, **fields)])
    assert mark["short"] == words


def test_the_words_of_flags_lie_on_no_other():
    """Two of one day stand in two rows; a third one there, and what moves other courses, has a mark and no words."""
    acid = {"volume": "60 mL", "strength": "37 %"}
    entries = [
        on(0, "note", note="new"),
        on(10, "acid", **acid),
        on(40, "acid", **acid),
        on(98, "crystals", mass="90 g"),
    ]
    entries += [
        on(98.1, "acid", **acid),
        on(98.2, "take-out", volume="1 L"),
        on(98.3, "take-out", volume="50 mL", why="sampled"),
    ]
    entries += [on(98.4, "acid", **acid), on(100, "anode-mass", mass="1240 g")]
    found = flags("sulfuric_acid", entries)
    assert [flag.mark["short"] for flag in found] == ["+ 60 mL acid", "− 1 L bath", "+ 60 mL acid"]
    assert [flag.to_the_right for flag in found] == [False, False, True]
    assert [flag.mark["short"] for flag in flags("copper_sulfate", entries)] == ["− 1 L bath", "+ 90 g crystals"]
    assert flags("level", []) == []
    for row in range(ROWS):
        ends = sorted((day(flag), flag.to_the_right) for flag in found if flag.row == row)
        spans = [(at, at + WORDS_TAKE) if right else (at - WORDS_TAKE, at) for at, right in ends]
        assert all(first[1] <= second[0] for first, second in itertools.pairwise(spans))


def test_a_flag_stands_at_its_mark_with_its_words_on_the_free_side():
    acid = {"volume": "60 mL", "strength": "37 %"}
    entries = [on(day, "acid", **acid) for day in (0, 1, 100)]
    layers = time_line("sulfuric_acid", entries, [])["layer"]
    (lines,) = [layer for layer in layers if layer["mark"].get("strokeDash")]
    texts = [layer for layer in layers if layer["mark"]["type"] == "text"]
    assert lines["data"]["values"] == [flag.mark for flag in flags("sulfuric_acid", entries)]
    assert [layer["data"]["values"] for layer in texts] == [[mark] for mark in lines["data"]["values"]]
    assert [layer["mark"]["align"] for layer in texts] == ["right", "left", "left"]
    assert [layer["mark"]["dx"] > 0 for layer in texts] == [False, True, True]
    first, second, third = (layer["encoding"]["y"]["value"] for layer in texts)  # px
    assert first == second
    assert third - second >= 12  # px, of their letters: two of neighbouring days stand in two rows


def test_what_was_done_at_the_one_moment_of_a_record_has_its_flag():
    (flag,) = flags("sulfuric_acid", [on(0, "acid", volume="60 mL", strength="37 %")])
    assert flag.to_the_right


def test_water_and_acid_of_a_correction_are_flagged_at_the_level():
    """Not what tops the bath up weeks later."""
    asked = {"correction": {"state": "possible", "steps": [{"do": "add", "what": "water"}]}}
    check = Entry(1, "Shed tank", moment(0), moment(0), "test", None, Check('[bath]\nvolume = "5 L"', asked))
    acid = on(20.1, "acid", volume="60 mL", strength="37 %")
    entries = [check, on(20, "water", volume="1.2 L"), acid, on(60, "water", volume="0.4 L")]
    words = ["+ 60 mL acid", "+ 1.2 L water"]
    assert [flag.mark["short"] for flag in flags("level", entries)] == words


def test_a_level_is_shown_as_surely_as_it_was_read():
    """With the ± that was typed, for the mark and for the check alike; else half a percent, doubled to hold 95 %."""
    marks = [on(day, "level", volume=volume) for day, volume in enumerate(("5.6 L", "5.6 ± 0.3 L"))]
    advice = {"estimate": {"volume_L": 5.6}}
    checks = [
        Entry(9, "Shed tank", moment(9), moment(9), "test", None, Check(f'[bath]\nvolume = "{volume}"', advice))
        for volume in ("5.6 L", "5.6 ± 0.3 L")
    ]
    for usual, rough in (marks, checks):
        (first, second) = points("level", [usual, rough])
        assert (first["low"], first["high"]) == pytest.approx((5.545, 5.655), abs=0.001)
        assert (second["low"], second["high"]) == pytest.approx((5.3, 5.9))
    assert [level_of([check]).standard_uncertainty for check in checks] == pytest.approx([0.028, 0.153], abs=0.001)


def test_a_course_is_drawn_and_told_in_the_units_of_the_person():
    """5.6 L are 5.6/3.785412 = 1.479 gal, 30 and 75 g/L by 7.489152 are 4.006 and 10.01 oz/gal."""
    levels = [on(day, "level", volume="5.6 L") for day in range(2)]
    chart = time_line("level", levels, [], Units.US_FIRST)
    assert chart["title"]["text"] == "Level, gal"
    values = next(layer["data"]["values"] for layer in chart["layer"] if layer["mark"]["type"] == "line")
    assert values[0]["value"] == pytest.approx(1.479, abs=0.001)
    assert values[0]["high"] - values[0]["low"] == pytest.approx(2 * 0.055 / 3.785412, rel=0.02)
    assert describe("level", levels, Units.US_FIRST).startswith("Level, gal, 2 values, from 1.479 on ")
    acid = time_line("sulfuric_acid", [judged(0, 30, 75)], [], Units.US_FIRST)
    assert acid["title"]["text"] == "Sulfuric acid, oz/gal"
    assert acid["layer"][0]["data"]["values"][0] == pytest.approx({"from": 4.006, "to": 10.014}, abs=0.001)
    assert time_line("chloride", [judged(0, 30, 75)], [], Units.US_FIRST)["title"]["text"] == "Chloride, mg/L"


@pytest.mark.parametrize(
    ("units", "told"),
    [
        (Units.METRIC, "Sulfuric acid, g/L, 1 values, from 60 on 2026"),
        (Units.US_FIRST, "Sulfuric acid, oz/gal, 1 values, from 8.012 on 2026"),  # by 7.489152
    ],
)
def test_the_words_of_a_course_name_its_window(units, told):
    check = judged(0, 30, 75)
    check.content.advice["estimate"]["sulfuric_acid_g_L"] = {"value": 60.0, "standard_uncertainty": 1.0}
    said = describe("sulfuric_acid", [check], units)
    assert said.startswith(told)
    assert ("The window is 30 to 75." if units is Units.METRIC else "The window is 4.006 to 10.01.") in said


def judged(day, low, high):
    """Return a check of a day, whose window of acid goes from low to high [g/L]."""
    advice = {"verdict": {"sulfuric_acid": {"limits": [low, high]}}, "estimate": {"volume_L": 5.0}}
    check = Check('[bath]\nvolume = "5 L"', advice)
    return Entry(day + 1, "Shed tank", moment(day), moment(day), "test", None, check)


def test_the_window_of_the_last_check_lies_behind_its_own_course():
    entries = [judged(0, 30, 75), judged(9, 40, 80)]
    band, *_ = time_line("sulfuric_acid", entries, [])["layer"]
    assert (band["mark"]["type"], band["data"]["values"]) == ("rect", [{"from": 40.0, "to": 80.0}])
    for course in ("copper_sulfate", "level"):  # which was not judged, and which has no window
        assert all(layer["mark"]["type"] != "rect" for layer in time_line(course, entries, [])["layer"])


def test_each_value_has_its_bar():
    entries = [on(day, "level", volume="5.6 ± 0.3 L") for day in range(3)]
    layers = {layer["mark"]["type"]: layer for layer in time_line("level", entries, [])["layer"]}
    assert layers["rule"]["data"]["values"] == layers["line"]["data"]["values"] == points("level", entries)
    assert (layers["rule"]["encoding"]["y"]["field"], layers["rule"]["encoding"]["y2"]["field"]) == ("low", "high")
    assert layers["line"]["encoding"]["y"]["scale"]["zero"] is False  # a course from 5.5 to 5.6 L would be a line


@pytest.mark.parametrize(
    ("days", "written", "ticks"),
    [(0, "%-d %b", {"interval": "day", "step": 1}), (3, "%-d %b", 4), (300, "%-d %b", 4), (301, "%b %Y", 4)],
)
def test_its_days_fit_on_the_axis_and_none_stands_there_twice(days, written, ticks):
    chart = time_line("sulfuric_acid", [judged(0, 30, 75), judged(days, 30, 75)], [])
    time = chart["layer"][-1]["encoding"]["x"]
    assert (time["axis"]["format"], time["axis"]["tickCount"]) == (written, ticks)
    begin, end = map(datetime.datetime.fromisoformat, time["scale"]["domain"])
    assert end - begin == datetime.timedelta(days=days + 2)  # a single check has a time line too


def day(flag) -> float:
    """Return when a flag stands, as a share of the hundred days."""
    return (datetime.datetime.fromisoformat(flag.mark["when"]) - moment(0)) / datetime.timedelta(days=100)
