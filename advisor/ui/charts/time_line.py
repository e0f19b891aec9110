"""The record of a bath over time: one chart for each concentration and the level, with window, ± and what was done.

`time_line` turns entries into a Vega-Lite chart (a plain mapping) and `describe` into the sentence that stands for it,
both in the units of the person; neither shows anything itself. Shapes stand beside every colour.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypedDict

from advisor.basis.units import COVERAGE, Measured, in_digits
from advisor.check.known import Value
from advisor.record.entries import AdditiveRule, Check, Done, Entry, LevelMark, Reminder, RunDone
from advisor.record.level import level_said, went_in_by_a_correction
from advisor.ui.look.colours import CHART, NO_GAP, style
from advisor.words.lines import Units, unit_of_axis

ROWS = 2  # of flags with words (judgement)
LABELS = 40  # px for the numbers of each course, so that all begin at one line (judgement: "5.65" and its gap)
WORDS_TAKE = 0.42  # of the time line: a flag's words on a phone, where it is 260 px wide (judgement)
# What a flag stands for: what goes into or out of the bath and moves this course; not each topping up (judgement).
MOVES_ALL = ("poured in", "remake", "take out", "carbon treatment")
FLAGGED = {
    "copper_sulfate": ("crystals", *MOVES_ALL),
    "sulfuric_acid": ("acid", *MOVES_ALL),
    "chloride": ("chloride", *MOVES_ALL),
    "level": MOVES_ALL,
}
RAISE_THE_LEVEL = ("water", "acid")  # where they are of a correction
SHORT = {"water": "water", "crystals": "crystals", "acid": "acid", "chloride": "chloride", "take out": "bath"}
SHORT |= {"additive dose": "additive", "poured in": "bath", "remake": "mixed anew", "anode change": "anodes"}
# Of what goes in or out; a mass of anodes is neither.
SIGNS = dict.fromkeys(("water", "crystals", "acid", "chloride", "additive dose", "poured in"), "+") | {"take out": "−"}
UNMARKED = (Check, LevelMark, AdditiveRule, Reminder, Done)
# Of each course its name, and the unit of its numbers in the record.
COURSES = {
    "copper_sulfate": ("Copper sulfate", "g/L"),
    "sulfuric_acid": ("Sulfuric acid", "g/L"),
    "chloride": ("Chloride", "mg/L"),
    "level": ("Level", "L"),
}


class Point(TypedDict):
    """What was found at a time, with its 95 % range."""

    when: str
    value: float
    low: float
    high: float


def points(course: str, entries: Sequence[Entry], units: Units = Units.METRIC) -> list[Point]:
    """Return what was found of a course: time, value and its 95 % range, in these units."""
    rows: list[Point] = []
    per = unit_of_axis(COURSES[course][1], units)[1]
    for entry in entries:
        found = _found(course, entry)
        if found is not None:
            value, half = per * found.value, per * COVERAGE * found.standard_uncertainty
            when, low, high = entry.when.isoformat(), max(value - half, 0.0), value + half
            rows.append({"when": when, "value": value, "low": low, "high": high})
    return rows


def _found(course: str, entry: Entry) -> Value | None:
    content = entry.content
    if course == "level":
        return level_said(entry) if isinstance(content, Check | LevelMark) else None
    return content.value(course) if isinstance(content, Check) else None


def done(entries: Sequence[Entry]) -> list[dict[str, str]]:
    """Return the marks of what was done: time, kind and words."""
    return [
        {
            "when": entry.when.isoformat(),
            "kind": "plating run" if isinstance(entry.content, RunDone) else "action",
            "words": entry.content.summary(),
            "short": _short(entry),
        }
        for entry in entries
        if _is_marked(entry)
    ]


def _is_marked(entry: Entry) -> bool:
    return not isinstance(entry.content, UNMARKED)


def _short(entry: Entry) -> str:
    """Return what was done in as few words as a flag has room for: "+ 60 mL acid"."""
    content = entry.content
    amount = getattr(content, "volume", None) or getattr(content, "mass", None)
    name = SHORT.get(content.kind, content.label.lower())
    if not isinstance(amount, Measured):
        return name
    return f"{SIGNS[content.kind]} {amount.text} {name}" if content.kind in SIGNS else f"{name}, {amount.text}"


def title_of(course: str, units: Units) -> str:
    """Return what a course is called, with its unit."""
    name, metric = COURSES[course]
    return f"{name}, {unit_of_axis(metric, units)[0]}"


def window(course: str, entries: Sequence[Entry], units: Units) -> tuple[float, float] | None:
    """Return the window of the last check, None where there is none."""
    checks = [entry.content for entry in entries if isinstance(entry.content, Check)]
    limits = checks[-1].limits(course) if checks else None
    per = unit_of_axis(COURSES[course][1], units)[1]
    return (per * limits[0], per * limits[1]) if limits else None


def time_line(
    course: str, entries: Sequence[Entry], marks: Sequence[Mapping[str, str]], units: Units = Units.METRIC
) -> dict[str, object]:
    """Return the chart of a course (a key of COURSES); entries in order of time.

    marks: of the same entries as `done` returns them, alike in each course.
    """
    day = datetime.timedelta(days=1)  # on each side, so that a single check has a time line too
    span = [(entries[0].when - day).isoformat(), (entries[-1].when + day).isoformat()]
    short = entries[-1].when - entries[0].when < 3 * day  # with ticks of its own choice, a day would stand there twice
    ticks: object = {"interval": "day", "step": 1} if short else 4
    years = entries[-1].when - entries[0].when > 300 * day
    axis = {"format": "%b %Y" if years else "%-d %b", "tickCount": ticks, "labelOverlap": True}
    time = {"field": "when", "type": "temporal", "title": None, "scale": {"domain": span}, "axis": axis}
    scale = {"zero": False, "nice": True}
    marked = {"minExtent": LABELS}
    value = {"field": "value", "type": "quantitative", "title": None, "scale": scale, "axis": marked}
    found = points(course, entries, units)
    layers = []
    limits = window(course, entries, units)
    if limits:
        rows = [{"from": limits[0], "to": limits[1]}]
        band = {"y": {"field": "from", "type": "quantitative", "scale": scale}, "y2": {"field": "to"}}
        layers.append(_layer(rows, {"type": "rect", "color": CHART["window"], "opacity": 0.18}, band))
    spread = {"x": time, "y": {**value, "field": "low"}, "y2": {"field": "high"}}
    layers.append(_layer(found, {"type": "rule", "color": CHART["bath"], "strokeWidth": 2}, spread))
    dot = {"filled": True, "size": 45, "color": CHART["bath"]}
    line = {"type": "line", "color": CHART["bath"], "opacity": 0.5, "point": dot}
    layers.append(_layer(found, line, {"x": time, "y": value}))
    shape: dict[str, object] = {"field": "kind", "type": "nominal", "legend": None}
    shape["scale"] = {"domain": ["action", "plating run"], "range": ["triangle-down", "cross"]}
    on_top = {"x": time, "y": {"value": 6}, "shape": shape, "tooltip": {"field": "words", "type": "nominal"}}
    point = {"type": "point", "color": CHART["path"], "filled": True, "size": 50}
    layers += _flags(course, entries, time)
    layers.append(_layer(marks, point, on_top))
    title = {"text": title_of(course, units), "anchor": "start", "color": CHART["ink"], "fontWeight": 600}
    return {"height": 190, "padding": NO_GAP, "title": title, "layer": layers, "config": style()}


class Flag(NamedTuple):
    """A mark with words: in which row they stand, and whether to the right of it, towards the free side."""

    mark: dict[str, str]
    row: int
    to_the_right: bool


def flags(course: str, entries: Sequence[Entry]) -> list[Flag]:
    """Return what moved a course as flags, the newest first: those whose words lie on no other's."""
    if not entries:
        return []
    begin, length = entries[0].when, entries[-1].when - entries[0].when or datetime.timedelta(days=1)
    raised = went_in_by_a_correction(entries)
    flagged = [entry for entry, of_one in zip(entries, raised, strict=True) if _moves(course, entry, of_one)]
    taken: list[list[tuple[float, float]]] = [[] for _ in range(ROWS)]
    found = []
    for entry, mark in zip(reversed(flagged), reversed(done(flagged)), strict=True):
        at = (entry.when - begin) / length
        words = (at, at + WORDS_TAKE) if at < 0.5 else (at - WORDS_TAKE, at)
        row = next((row for row in range(ROWS) if _is_free(words, taken[row])), None)
        if row is not None:
            taken[row].append(words)
            found.append(Flag(mark, row, at < 0.5))
    return found


def _moves(course: str, entry: Entry, of_a_correction: bool) -> bool:
    """Tell whether an entry moves a course beyond what any check takes for its sample."""
    flagged = (*FLAGGED[course], *RAISE_THE_LEVEL) if course == "level" and of_a_correction else FLAGGED[course]
    return entry.kind in flagged and getattr(entry.content, "why", "") != "sampled"


def _is_free(words: tuple[float, float], taken: Sequence[tuple[float, float]]) -> bool:
    return all(words[1] <= left or right <= words[0] for left, right in taken)


def _flags(course: str, entries: Sequence[Entry], time: Mapping[str, object]) -> list[dict[str, object]]:
    """Return the layers of the flags: a thin line from each mark, and beside it what it was."""
    found = flags(course, entries)
    if not found:
        return []
    rule = {"type": "rule", "color": CHART["path"], "opacity": 0.5, "strokeDash": [2, 2]}
    layers = [_layer([flag.mark for flag in found], rule, {"x": time})]
    for mark, row, to_the_right in found:
        text = {"type": "text", "color": CHART["path"], "fontSize": 12, "align": "left" if to_the_right else "right"}
        place = {"x": time, "y": {"value": 20 + 14 * row}, "text": {"field": "short"}}
        layers.append(_layer([mark], {**text, "dx": 5 if to_the_right else -5}, place))
    return layers


def _layer(
    rows: Sequence[Mapping[str, object]], mark: Mapping[str, object], encoding: Mapping[str, object]
) -> dict[str, object]:
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}


def describe(course: str, entries: Sequence[Entry], units: Units = Units.METRIC) -> str:
    """Say in words what the chart of a course shows."""
    found, title = points(course, entries, units), title_of(course, units)
    if not found:
        return f"{title}: nothing measured yet."
    first, last = found[0], found[-1]
    limits = window(course, entries, units)
    inside = f" The window is {limits[0]:.4g} to {limits[1]:.4g}." if limits else ""
    span = " to ".join(f"{in_digits(point['value'], 4)} on {point['when'][:10]}" for point in (first, last))
    said = f"{title}, {len(found)} values, from {span}.{inside}"
    return f"{said} {sum(map(_is_marked, entries))} actions and runs are marked."
