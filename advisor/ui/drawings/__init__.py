"""Drawings of our own: what each fault of a deposit looks like, and for every test the moment to look for.

Each is SVG of a few simple shapes, with its title and a text that says what is to be seen, and fetches nothing: a file
of this folder, or made by `computed` where it shows numbers of a plan. Lines and words are in the colour of the page's
text, light or dark. `image` puts one on a page: Streamlit takes SVG out of HTML, but leaves pictures in.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from urllib.parse import quote
from xml.etree import ElementTree

from advisor.bench.cards import BenchCard
from advisor.ui.drawings import computed

BENT_STRIP, HULL_CELL, STANDARDISING = "bent strip", "hull cell", "standardising"
SAMPLE = "sample"
# The drawings of each bench card. One with a condition after "if" stands only on a card that holds it
# (`BenchCard.holds`). Those of its own numbers join them: `of_card`.
OF_TESTS: dict[str, tuple[str, ...]] = {
    "sampling": (SAMPLE,),
    HULL_CELL: (HULL_CELL,),
    "acid titration": ("cloud if first lasting cloud",),
    "copper titration": ("murexide if EDTA", "iodide if iodometric"),
    "hydrometer": ("hydrometer",),
    "weighed density": ("weighed density",),
    "plated-out copper": ("plated out copper",),
    "cemented copper": ("cemented copper",),
    "colour match": (),
    "photo colour": (),
    "pH curve": ("pH curve",),
    "thinned conductivity": ("thinned once if one step", "thinned twice if two steps", "pen"),
    "thinned pH": ("thinned once if one step", "thinned twice if two steps", "pen"),
    "chloride titration": ("chloride titration",),
    "chloride strip": ("chloride strip",),
    "chloride ladder": (),
    "laboratory report": ("laboratory report",),
    "make-up": ("make up",),
    "previous check": ("previous check",),
}
WISHES = ("wish dull", "wish level", "wish remake")  # what people come for, on the first page

_SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Drawing:
    """A drawing: its name, what is to be seen in it, and its SVG."""

    title: str
    says: str
    svg: str

    def image(self, decorative: bool = False) -> str:
        """Return the drawing as an image of HTML, with its words as the text alternative; none beside a label."""
        words = "" if decorative else html.escape(f"{self.title}: {self.says}", quote=True)
        return f'<img style="width:100%" src="data:image/svg+xml,{quote(self.svg)}" alt="{words}">'

    def on_paper(self) -> str:
        """Return the drawing as an image of a printed page: in its light colours, whatever the screen shows."""
        light = re.sub(r"@media \(prefers-color-scheme:dark\)\{svg\{[^}]*\}\}", "", self.svg)
        words = html.escape(f"{self.title}: {self.says}", quote=True)
        return f'<img src="data:image/svg+xml,{quote(light)}" alt="{words}"/>'


@cache
def drawing(name: str) -> Drawing:
    """Return the drawing of a look of the deposit, or of a test, by its name."""
    return told(files(__package__).joinpath(f"{name.replace(' ', '_')}.svg").read_text("utf-8").strip())


def told(svg: str) -> Drawing:
    """Return an SVG with the words that it carries."""
    root = ElementTree.fromstring(svg)
    return Drawing(root.findtext(f"{_SVG}title", ""), root.findtext(f"{_SVG}desc", ""), svg)


def of_card(card: BenchCard) -> tuple[Drawing, ...]:
    """Return the drawings of a bench card in the order in which the hands need them: its moment, then its tools."""
    asked = (name.partition(" if ") for name in OF_TESTS[card.kind])
    of_files = [drawing(name).svg for name, _, condition in asked if not condition or condition in card.holds]
    made = [computed.end_point(card.flask)] if card.flask else []
    made += [computed.jars(card.jars, cloudy=card.kind == "chloride ladder")] if card.jars else []
    shown = [_with_figures(svg, card.figures) for svg in of_files]
    return tuple(map(told, (*made, *shown, *map(computed.tool, card.read_off))))


def _with_figures(svg: str, figures: Mapping[str, str]) -> str:
    """Return a drawing with the numbers of a plan in the place of its own."""
    if not figures:
        return svg
    # All at once: a number that a plan puts in may be one of the drawing's own.
    drawn = "|".join(map(re.escape, figures))
    return re.sub(rf">({drawn})(?![\d.])", lambda found: f">{figures[found[1]]}", svg)


def large(shown: Drawing) -> str:
    """Return one drawing as HTML, as wide as its place, up to where its words are of the size of the page's."""
    return f'<figure class="drawing">{shown.image()}</figure>'
