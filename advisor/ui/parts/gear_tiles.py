"""What a person owns, as drawn tiles: a few strokes for each tool, in the order in which the sheet lists them."""

from __future__ import annotations

import streamlit as st

from advisor.sheet import GEAR
from advisor.ui import fields
from advisor.ui.parts import tiles
from advisor.ui.session import state

BLUE, COPPER = "#5AA5D6", "#CB7B48"  # of the bath and of copper, as in the other drawings
_SCALE = '<path d="M8 33h32v7H8zM12 33l3-7h18l3 7M10 26h28"/><path d="M20 36.5h8"/>'
_POWDER = '<path d="M11 17h26l-2 24H13z"/><path d="M9 10h30v7H9zM17 27h14M17 33h14"/>'
_PEN = '<path d="M18 5h12v25l-4 12h-4l-4-12z"/><path d="M21 10h6v6h-6z"/><path d="M18 24h12"/>'
_STRIP = '<path d="M19 5h10v38H19z"/><path d="M21 8h6v6h-6z"/>'
_CRYSTAL = '<path d="M13 14h22v28H13z"/><path d="M16 6h16v8H16zM24 22l6 6-6 6-6-6z"/>'
# For each tool the shapes of its drawing, on 48 by 48.
SHAPES: dict[str, str] = {
    "0.1 g scale": _SCALE,
    "1 g scale": _SCALE,
    "0.01 g scale": f'{_SCALE}<path d="M14 26V10h20v16"/>',
    "hydrometer": f'<path d="M6 24h14M28 24h14"/><path d="M22 4h4v20l4 4v8l-6 8-6-8v-8l4-4z" fill="{BLUE}"/>',
    "10 mL syringe": f'<path d="M18 12h12v22H18z" fill="{BLUE}"/><path d="M24 4v8M18 4h12M24 34v10M18 18h5M18 24h5"/>',
    "50 mL burette": f'<path d="M20 4h8v28h-8z" fill="{BLUE}"/><path d="M24 32v12M17 36h14M20 11h4M20 18h4M20 25h4"/>',
    "baking soda": _POWDER,
    "washing soda": _POWDER,
    "lye": f'{_POWDER}<path d="M24 20v5"/>',
    "methyl orange": f'<path d="M14 22h20v20H14z" fill="{COPPER}"/><path d="M18 22v-6h12v6M21 16V6h6v10"/>',
    "pH meter": _PEN,
    "conductivity pen": f'{_PEN}<path d="M22 42v3M26 42v3"/>',
    "EDTA": _CRYSTAL,
    "thiosulfate": _CRYSTAL,
    "jars": f'<path d="M6 12h14v30H6zM28 12h14v30H28z"/><path d="M6 22h14v20H6zM28 22h14v20H28z" fill="{BLUE}"/>',
    "camera": f'<path d="M6 15h10l3-5h10l3 5h10v25H6z"/><circle cx="24" cy="27" r="8" fill="{BLUE}"/>',
    "inert anode": '<path d="M24 4v8M14 12h20v30H14zM14 22h20M14 32h20M24 12v30"/>',
    "zinc strip": '<path d="M17 8l14-3v35l-14 3z" fill="#C9D2D6"/>',
    "chloride strips": f'{_STRIP}<path d="M33 9h8v34h-8z"/>',
    "silver nitrate": '<path d="M13 18h22v24H13z" fill="#7A4F2A"/><path d="M19 18V8h10v10M18 5h12"/>',
    "laboratory": f'<path d="M19 5h10M21 5v14L9 42h30L27 19V5"/><path d="M15 31h18l6 11H9z" fill="{BLUE}"/>',
}


def show(entry: state.Typed[object]) -> None:
    """Draw what the person may own as tiles."""
    with st.container(key="tiles_gear"):
        tiles.draw_on("tiles_gear", [_svg(SHAPES[tool]) for tool in GEAR])
        fields.show("gear", entry)


def _svg(shapes: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 48"><style>svg{color:#1D2A2F}@media '
        '(prefers-color-scheme:dark){svg{color:#EAF0F1}}</style><g fill="none" stroke="currentColor" '
        f'stroke-width="2.4" stroke-linecap="round" stroke-linejoin="round">{shapes}</g></svg>'
    )
