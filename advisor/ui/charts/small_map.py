"""The bath map as a small picture: the working window, where crystals form, the way of past checks and where it is now.

A pure function of numbers into SVG; the large map of one check is `bath_map`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from advisor.solution.solubility import saturation

WIDTH, HEIGHT = 132, 104  # of the picture, in its own units (judgement)
_COLOURS = (
    "svg{--paper:#FBF9F4;--line:#DDD6C8;--in:#23705F;--tint:#DCEDE7;--bath:#0F5F8C;--cold:#C9D3D3;--way:#55646A}"
    "@media (prefers-color-scheme:dark){svg{--paper:#11181B;--line:#2F3C42;--in:#7FCBB5;--tint:#16352D;--bath:#78BDE8;"
    "--cold:#2A373C;--way:#A5B4B9}}"
)
Point = tuple[float, float]


def small_map(window: tuple[Point, Point], trail: Sequence[Point], coldest: float) -> str:
    """Return the picture as SVG.

    window: limits of copper sulfate and of acid [g/L]. trail: (copper sulfate, acid) [g/L] of the checks, the last one
    last. coldest: temperature of the saturation line [degC].
    """
    (left, right), (bottom, top) = (
        _reach(limits, [point[axis] for point in trail]) for axis, limits in enumerate(window)
    )

    def x(salt: float) -> float:
        return round(WIDTH * (salt - left) / (right - left), 1)

    def y(acid: float) -> float:
        return round(HEIGHT * (top - acid) / (top - bottom), 1)

    acids = np.linspace(bottom, top, 12)
    salts = np.asarray(saturation(coldest, acids)).tolist()
    cold = " ".join(f"{min(x(salt), 2 * WIDTH)},{y(acid)}" for salt, acid in zip(salts, acids.tolist(), strict=True))
    (low, high), (weak, strong) = window
    way = " ".join(f"{x(salt)},{y(acid)}" for salt, acid in trail)
    before = "".join(f'<circle cx="{x(salt)}" cy="{y(acid)}" r="2.2" fill="var(--way)"/>' for salt, acid in trail[:-1])
    now = f'<circle cx="{x(trail[-1][0])}" cy="{y(trail[-1][1])}" r="5" fill="var(--bath)"/>' if trail else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}"><style>{_COLOURS}</style>'
        f'<rect width="{WIDTH}" height="{HEIGHT}" rx="8" fill="var(--paper)" stroke="var(--line)"/>'
        f'<polygon points="{cold} {2 * WIDTH},{y(top)} {2 * WIDTH},{y(bottom)}" fill="var(--cold)" opacity=".6"/>'
        f'<rect x="{x(low)}" y="{y(strong)}" width="{x(high) - x(low):.1f}" height="{y(weak) - y(strong):.1f}" '
        'fill="var(--tint)" stroke="var(--in)" stroke-width="1.6"/>'
        f'<polyline points="{way}" fill="none" stroke="var(--way)" stroke-width="1.4"/>{before}{now}</svg>'
    )


def _reach(limits: Point, values: Sequence[float]) -> Point:
    """Return the ends of an axis: the window and every check, with room around."""
    low, high = min([limits[0], *values]), max([limits[1], *values])
    room = 0.2 * (high - low)
    return max(low - room, 0.0), high + room
