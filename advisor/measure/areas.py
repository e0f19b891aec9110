"""The area of a part, from what a person can measure: its sides, its traced outline, or the foil that covers it.

For a drawing of the part (STL) see `solid`.
"""

from __future__ import annotations

import math


def plate_area(length: float, width: float, thickness: float) -> float:
    """Return the whole surface [dm2] of a flat piece or block, sides in mm: both faces and all edges."""
    return 2.0 * (length * width + length * thickness + width * thickness) / 1e4


def cylinder_area(diameter: float, length: float) -> float:
    """Return the surface [dm2] of a rod or wire with its two ends, mm."""
    return math.pi * diameter * (length + diameter / 2.0) / 1e4


def sphere_area(diameter: float) -> float:
    """Return the surface [dm2] of a ball, mm."""
    return math.pi * diameter**2 / 1e4


def cone_area(diameter: float, height: float) -> float:
    """Return the surface [dm2] of a cone with its base, mm."""
    radius = diameter / 2.0
    return math.pi * radius * (radius + math.hypot(radius, height)) / 1e4


def traced_area(squares: float, square: float, sides: float, relief: float) -> float:
    """Return the surface [dm2] of a part traced on squared paper.

    squares: counted inside the outline, halves as halves; square: side of one [mm]; relief: how much larger the real
    surface is than its outline, 1 smooth, 1.2 a leaf with veins, 1.5 bark (judgement).
    """
    return squares * square**2 * sides * relief / 1e4


def foil_area(wrap: float, sample: float, sample_area: float) -> float:
    """Return the surface [dm2] under a tight single wrap of foil, from weights.

    wrap: foil that just covered the part [g]; sample: a flat piece of the same foil [g] of known area [dm2].
    """
    return wrap / sample * sample_area
