"""Drawings of our own: what each fault of a deposit looks like, tests with a strip and with a panel,
how to read a hydrometer, how to thin a sample, how to throw copper down.

Each is an SVG file of this folder, composed of a few simple shapes, with its title and a text that says what is to be
seen, and fetches nothing. Lines and words are in the colour of the page's text, light or dark. `image` puts one on a
page: Streamlit takes SVG out of HTML, but leaves pictures in.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from urllib.parse import quote
from xml.etree import ElementTree

BENT_STRIP, HYDROMETER, THINNING, HULL_CELL = "bent strip", "hydrometer", "thinned conductivity", "hull cell"
CEMENTING = "cemented copper"
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


@cache
def drawing(name: str) -> Drawing:
    """Return the drawing of a look of the deposit, or of a test, by its name."""
    svg = files(__package__).joinpath(f"{name.replace(' ', '_')}.svg").read_text("utf-8").strip()
    root = ElementTree.fromstring(svg)
    return Drawing(root.findtext(f"{_SVG}title", ""), root.findtext(f"{_SVG}desc", ""), svg)


def large(name: str) -> str:
    """Return one drawing as HTML, as wide as its place, up to where its words are of the size of the page's."""
    return f'<figure style="margin:0;max-width:26rem">{drawing(name).image()}</figure>'
