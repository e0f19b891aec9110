"""What only the page of a plating run shows: ways to the area of a part, and the picture of its copper growing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import streamlit as st

from advisor.basis.fields import InputError, NumberField
from advisor.basis.units import format_quantity, in_digits
from advisor.measure.areas import cone_area, cylinder_area, foil_area, plate_area, sphere_area, traced_area
from advisor.measure.solid import LARGEST_FILE, UNITS, Solid, read_stl
from advisor.questions.plating import PlatingRun
from advisor.ui import fields
from advisor.ui.look import own_units
from advisor.ui.look.colours import COPPER, NO_GAP, style
from advisor.ui.session import state
from advisor.words.lines import Line, Units, joined, line, unit_of_axis

EDGES = (2.0, 3.0)  # times the average (common practice, no source)


class _Dimension(NamedTuple):
    """A number that a way asks for: its label, its unit (empty for a count), and what stands if left empty."""

    label: str
    unit: str
    empty: float | None = None


@dataclass(frozen=True)
class _Way:
    """A way to an area [dm2]: the function, and its numbers by key."""

    area: Callable[..., float]
    numbers: dict[str, _Dimension]


SOLID = "Drawing of the part (STL file)"
# Shapes with what is asked of them; a thickness that is not typed is none (exact).
WAYS = {
    "Flat piece": _Way(
        plate_area,
        {
            "length": _Dimension("Length", "mm"),
            "width": _Dimension("Width", "mm"),
            "thickness": _Dimension("Thickness", "mm", 0.0),
        },
    ),
    "Rod or wire": _Way(
        cylinder_area, {"diameter": _Dimension("Diameter", "mm"), "length": _Dimension("Length", "mm")}
    ),
    "Ball": _Way(sphere_area, {"diameter": _Dimension("Diameter", "mm")}),
    "Cone": _Way(cone_area, {"diameter": _Dimension("Diameter", "mm"), "height": _Dimension("Height", "mm")}),
    "Traced outline": _Way(
        traced_area,
        {
            "squares": _Dimension("Squares inside the outline", ""),
            "square": _Dimension("Side of a square", "mm", 5.0),
            "sides": _Dimension("Sides that are plated", "", 2.0),
            "relief": _Dimension("Factor for relief: 1 smooth, 1.2 veined leaf, 1.5 bark", "", 1.2),
        },
    ),
    "Foil wrap": _Way(
        lambda wrap, sample, sample_area: foil_area(wrap, sample, sample_area / 100.0),
        {
            "wrap": _Dimension("Foil that just covers the part", "g"),  # too little for a scale that shows ounces
            "sample": _Dimension("Flat piece of the same foil", "g"),
            "sample_area": _Dimension("Area of that piece", "cm²", 100.0),
        },
    ),
}
_US = {"mm": ("in", 25.4), "cm²": ("in²", 6.4516)}  # in the place of each unit, and what it is in that (exact)


def area_helper() -> None:
    """Draw the ways to an area, with a button that takes it over into the sheet."""
    units, way = own_units.chosen(), st.selectbox("How to find it", [*WAYS, SOLID], key="plating_way")
    area = _area_of_solid(units) if way == SOLID else _area_by(WAYS[way], units)
    if area is None:
        return
    text = format_quantity(area, "area", own_units.unit_of("cm^2", of_a_tool=False), 3)
    st.write(own_units.shown(f"That is about {text.replace('^2', '²')}."))
    if st.button("Take this area", key="plating_take_area"):  # no callback: that would keep an earlier area
        state.put("plate", "area", text)
        st.rerun()


def _area_by(way: _Way, units: Units) -> float | None:
    """Draw the fields of a way and return the area [dm2]; None where a number is missing or wrong."""
    values = {name: _number(name, asked, units) for name, asked in way.numbers.items()}
    if any(value is None for value in values.values()):
        return None
    return way.area(**values)


def _shown_unit(unit: str, units: Units) -> tuple[str, float]:
    """Return the unit in which a number is asked for, and what one of it is in its own."""
    return (unit, 1.0) if units is Units.METRIC else _US.get(unit, (unit, 1.0))


@st.cache_data(max_entries=4, show_spinner="Reading the part")
def _solid(content: bytes, unit: str) -> Solid:
    """Read a file once: looking for hidden faces takes seconds, and a page runs at every change."""
    return read_stl(content, unit)


def _area_of_solid(units: Units) -> float | None:
    """Draw the field for an STL file and return its area [dm2], with all that is to know of it said."""
    unit = st.pills("Its numbers are in", list(UNITS), default="mm", required=True, key="plating_solid_unit")
    file = st.file_uploader(
        "STL file of the part, in the size that is plated",
        type=["stl"],
        max_upload_size=LARGEST_FILE // 1_000_000,
        key="plating_solid_file",
    )
    if file is None or unit is None:
        return None
    try:
        solid = _solid(file.getvalue(), unit)
    except InputError as error:
        fields.complain(error)
        return None
    unit_shown, one = _shown_unit("mm", units)
    sides = " × ".join(in_digits(side / one, 3) for side in solid.size)
    st.write(f"The part measures {sides} {unit_shown} over all. If that is wrong, choose another unit.")
    for warning in solid.warnings:
        st.warning(warning)
    return solid.area


def _number(name: str, asked: _Dimension, units: Units) -> float | None:
    """Draw the field of a number above zero and return it in its own unit.

    That of `empty` where nothing is typed, None where it is wrong.
    """
    unit, one = _shown_unit(asked.unit, units)
    label = f"{asked.label}, {unit}" if unit else asked.label
    key = f"plating_{name}{'' if unit == asked.unit else f'_{unit}'}"  # a number typed in another unit stays its own
    empty = asked.empty
    given = st.text_input(
        label, key=key, placeholder="" if empty is None else f"{in_digits(empty / one, 3)} if left empty"
    )
    if not given:
        return empty
    try:
        value = NumberField(label=label, low=0.0, high=1e5).read(given, label)
        if value == 0 and empty != 0:
            raise InputError(label, "you gave 0", "it must be a number above 0")
    except InputError as error:
        fields.complain(error, called=asked.label)
        return None
    return value * one


def growth_chart(run: PlatingRun, units: Units) -> dict[str, object]:
    """Return the average thickness over time, and the band in which edges lie, as a Vega-Lite specification."""
    unit, per = unit_of_axis("µm", units)
    rows = [
        {"hours": hours, "average": per * grown, "low": EDGES[0] * per * grown, "high": EDGES[1] * per * grown}
        for hours, grown in run.thickness_over_time()
    ]
    across = {"field": "hours", "type": "quantitative", "title": "hours since immersing", "scale": {"nice": False}}
    up = {"type": "quantitative", "title": f"copper, {unit}"}
    edges = {"x": across, "y": {**up, "field": "low"}, "y2": {"field": "high"}}
    layers = [
        {"mark": {"type": "area", "color": COPPER, "opacity": 0.25}, "encoding": edges},
        {
            "mark": {"type": "line", "color": COPPER, "strokeWidth": 3},
            "encoding": {"x": across, "y": {**up, "field": "average"}},
        },
    ]
    return {"height": 240, "padding": NO_GAP, "data": {"values": rows}, "layer": layers, "config": style()}


def growth_words(run: PlatingRun) -> Line:
    """Return the picture in words, for those who do not see it."""
    grown = run.thickness_over_time()[1:]
    points = [line("{copper:.0f µm} after {hours:.1f} h", copper=copper, hours=hours) for hours, copper in grown]
    words = "Average thickness of the copper over time: {points}. Edges get two to three times as much."
    return line(words, points=joined(", ", points))
