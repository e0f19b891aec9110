"""What a person owns, as drawn tiles: a few strokes for each tool, in the order in which the sheet lists them."""

from __future__ import annotations

import streamlit as st

from advisor.sheet import GEAR
from advisor.ui import fields
from advisor.ui.parts import tiles
from advisor.ui.session import state

# Of the bath, of copper, of lines on a light ground, as in the other drawings.
BLUE, COPPER, INK = "#5AA5D6", "#CB7B48", "#1D2A2F"
# What tells two alike from each other is drawn large: what a display shows, what a box or a bottle is for.
_BODY = '<path d="M7 22h34v20H7z"/>'
_PEN = '<path d="M15 4h18v25l-6 14h-6l-6-14z"/><path d="M15 20h18"/>'
_BOX = '<path d="M10 9h28v33H10zM10 16h28"/>'
_CAKE = f'<path d="M18 31h12l-2 7h-8zM17 31c-1-5 2-9 7-9s8 4 7 9z" fill="{COPPER}"/>'
_SHIRT = f'<path d="M19 20l-6 4 2.5 4.5 3.5-2V38h10V26.5l3.5 2L35 24l-6-4c-2 3-8 3-10 0z" fill="{BLUE}"/>'
_TRIANGLE = '<path d="M24 21l8 15H16zM24 27v3"/>'
_CRYSTALS = f'<path d="M19 20l5 5-5 5-5-5zM30 24l4 4-4 4-4-4zM21 32l4 4-4 4-4-4z" fill="{BLUE}"/>'


def _words(text: str, x: float, y: float, size: float) -> str:
    """Return a word of a drawing, its middle at x and its foot at y."""
    style = f'font-family="sans-serif" font-size="{size:g}" font-weight="700" text-anchor="middle"'
    return f'<text x="{x:g}" y="{y:g}" {style} fill="currentColor" stroke="none">{text}</text>'


# For each tool the shapes of its drawing, on 48 by 48 (drawn by eye, judgement).
SHAPES: dict[str, str] = {
    "1 g scale": f'{_BODY}<path d="M8 7h32c-1 9-7 11-16 11S9 16 8 7z"/>{_words("1 g", 24, 37, 14)}',
    "0.1 g scale": f'{_BODY}<path d="M11 17h26M24 17v5"/>{_words("0.1", 24, 37, 14)}',
    "0.01 g scale": f'{_BODY}<path d="M12 22V6h24v16M19 18h10"/>{_words("0.01", 24, 36.5, 11.5)}',
    "hydrometer": f'<path d="M6 24h14M28 24h14"/><path d="M22 4h4v20l4 4v8l-6 8-6-8v-8l4-4z" fill="{BLUE}"/>',
    "10 mL syringe": f'<path d="M18 12h12v22H18z" fill="{BLUE}"/><path d="M24 4v8M18 4h12M24 34v10M18 18h5M18 24h5"/>',
    "50 mL burette": f'<path d="M20 4h8v28h-8z" fill="{BLUE}"/><path d="M24 32v12M17 36h14M20 11h4M20 18h4M20 25h4"/>',
    "baking soda": f"{_BOX}{_CAKE}",
    "washing soda": f"{_BOX}{_SHIRT}",
    "lye": f'<path d="M12 16h24v26H12zM18 16V7h12v9"/>{_TRIANGLE}',
    "methyl orange": f'<path d="M14 22h20v20H14z" fill="{COPPER}"/><path d="M18 22v-6h12v6M21 16V6h6v10"/>',
    "pH meter": f"{_PEN}{_words('pH', 24, 16, 11)}",
    "conductivity pen": f'{_PEN}<path d="M21 43v3M27 43v3"/>{_words("µS", 24, 15.5, 9.5)}',
    "EDTA": f'<path d="M9 14h30v28H9zM13 6h22v8H13z"/>{_words("EDTA", 24, 31.5, 9)}',
    "thiosulfate": f'<path d="M10 14l4-8h20l4 8v28H10zM10 14h28"/>{_CRYSTALS}',
    "jars": f'<path d="M6 12h14v30H6zM28 12h14v30H28z"/><path d="M6 22h14v20H6zM28 22h14v20H28z" fill="{BLUE}"/>',
    "camera": f'<path d="M6 15h10l3-5h10l3 5h10v25H6z"/><circle cx="24" cy="27" r="8" fill="{BLUE}"/>',
    "inert anode": '<path d="M24 4v8M14 12h20v30H14zM14 22h20M14 32h20M24 12v30"/>',
    "zinc strip": f'<path d="M15 6h18v37H15z" fill="#C9D2D6"/>{_words("Zn", 24, 29, 11).replace("currentColor", INK)}',
    "chloride strips": '<path d="M13 5h9v38h-9zM27 5h9v38h-9z"/><path d="M13 12h9v8h-9zM13 26h9v8h-9z"/>',
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
