"""A titration curve as a picture: the points, the fitted curve, the end point, and how far each point lies off it.

Charts are plain Vega-Lite specifications made of a reading and its fit; `words` stands for them. Shapes and words
stand beside every colour.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

import numpy as np

from advisor.readings.curve_fit import CurveFit, Points
from advisor.ui.look.colours import CHART, NO_GAP, style

Chart = dict[str, object]


class Row(TypedDict):
    """A point of a curve, and where the fit passes its pH [mL]; None where it was left out."""

    mL: float
    pH: float
    used: str
    fitted: float | None
    off: float | None


def _rows(points: Points, fit: CurveFit) -> list[Row]:
    """Return the points in order of volume, each with what the fit makes of it."""
    rows: list[Row] = []
    for (volume, pH), used, residual in zip(sorted(points), fit.used, fit.residuals, strict=True):
        fitted = float(volume - residual) if used else None  # where the curve passes this pH
        off = float(residual) if used else None
        rows.append({"mL": volume, "pH": pH, "used": "used" if used else "left out", "fitted": fitted, "off": off})
    return rows


def curve_chart(points: Points, fit: CurveFit) -> Chart:
    """Return the curve: filled points where they were used, rings where left out, a line for the fit."""
    rows = _rows(points, fit)
    line = sorted((row for row in rows if row["fitted"] is not None), key=lambda row: row["pH"])
    across = {"field": "mL", "type": "quantitative", "title": "titrant, mL"}
    up = {"field": "pH", "type": "quantitative", "title": "pH as shown", "scale": {"zero": False}}
    end = [{"mL": fit.end_point_mL, "words": f"end point {fit.end_point_mL:.2f} mL"}]
    layers = [
        {
            "data": {"values": line},
            "mark": {"type": "line", "color": CHART["bath"], "strokeWidth": 2},
            "encoding": {"x": {**across, "field": "fitted"}, "y": up, "order": {"field": "pH"}},
        },
        *(_points([row for row in rows if row["used"] == kind], kind, across, up) for kind in _KINDS),
        {
            "data": {"values": end},
            "mark": {"type": "rule", "color": CHART["path"], "strokeWidth": 2, "strokeDash": [5, 3]},
            "encoding": {"x": across},
        },
        {
            "data": {"values": end},
            "mark": {"type": "text", "color": CHART["path"], "align": "right", "dx": -6, "fontSize": 12},
            "encoding": {"x": across, "y": {"value": 12}, "text": {"field": "words"}},
        },
    ]
    return {"height": 240, "padding": NO_GAP, "layer": layers, "config": style()}


_KINDS = ("used", "left out")


def _points(rows: list[Row], kind: str, across: Mapping[str, object], up: Mapping[str, object]) -> Chart:
    mark = {"type": "point", "color": CHART["ink"], "filled": kind == "used", "opacity": 1, "size": 40}
    return {"data": {"values": rows}, "mark": mark, "encoding": {"x": across, "y": up}}


def residual_chart(points: Points, fit: CurveFit) -> Chart:
    """Return how far each used point lies off the fitted curve [mL]."""
    rows = [row for row in _rows(points, fit) if row["off"] is not None]
    across = {"field": "mL", "type": "quantitative", "title": "titrant, mL", "scale": {"zero": False}}
    up = {"field": "off", "type": "quantitative", "title": "off the curve, mL"}
    zero = {"data": {"values": [{"off": 0.0}]}, "mark": {"type": "rule", "color": CHART["saturation"]}}
    dots = {
        "data": {"values": rows},
        "mark": {"type": "point", "color": CHART["bath"], "filled": True, "opacity": 1, "size": 40},
        "encoding": {"x": across, "y": up},
    }
    layers = [{**zero, "encoding": {"y": up}}, dots]
    return {"height": 120, "padding": NO_GAP, "layer": layers, "config": style()}


def words(points: Points, fit: CurveFit) -> str:
    """Return both pictures in words."""
    used = int(fit.used.sum())
    left = len(points) - used
    others = f", {left} left out because copper precipitates there" if left else ""
    off = float(np.nanmax(np.abs(fit.residuals)))
    return (
        f"Titration curve of {len(points)} points from pH {min(pH for _, pH in points):.2f} to "
        f"{max(pH for _, pH in points):.2f}: {used} used{others}. The fitted curve ends at {fit.end_point_mL:.2f} mL; "
        f"no point lies more than {off:.2f} mL off it."
    )
