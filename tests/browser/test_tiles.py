"""Drawings of tools are told apart by eye: no two alike where they are as small as on a phone, light and dark."""

from itertools import combinations
from urllib.parse import quote

import pytest

from advisor.ui.parts.gear_tiles import SHAPES, _svg

pytestmark = pytest.mark.browser

SIZE = 64  # px
DIFFER = 0.04  # share of pixels at least (judgement); the scales of 0.1 g and 1 g, once one drawing, had 0
INK_OF = """([address, size]) => new Promise(done => {
  const picture = new Image()
  picture.onload = () => {
    const canvas = document.createElement("canvas")
    canvas.width = canvas.height = size
    const brush = canvas.getContext("2d")
    brush.drawImage(picture, 0, 0, size, size)
    const seen = brush.getImageData(0, 0, size, size).data
    done(Array.from({length: size * size}, (_, at) => [0, 1, 2, 3].map(part => seen[4 * at + part] >> 6).join("")))
  }
  picture.src = address
})"""


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_two_tools_look_alike(browser, theme):
    tab = browser.new_page(color_scheme=theme)
    tab.set_content("<p>tiles</p>")
    seen = {
        tool: tab.evaluate(INK_OF, [f"data:image/svg+xml,{quote(_svg(shapes))}", SIZE])
        for tool, shapes in SHAPES.items()
    }
    tab.close()
    alike = {
        (one, other): sum(a != b for a, b in zip(seen[one], seen[other], strict=True)) / SIZE**2
        for one, other in combinations(SHAPES, 2)
    }
    closest = min(alike, key=lambda pair: alike[pair])
    assert alike[closest] > DIFFER, (closest, alike[closest])
