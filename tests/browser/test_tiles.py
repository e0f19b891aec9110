"""Tiles: a double tap chooses, and drawings of tools are told apart by eye, as small as on a phone, light and dark."""

from itertools import combinations
from urllib.parse import quote

import numpy as np
import pytest

from advisor.ui.parts.gear_tiles import SHAPES, _svg
from tests.browser.conftest import THEMES
from tests.browser.steps import DESK_ONLY, open_page, settle, stand_still

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
    done(Array.from({length: size * size}, (_, at) => [0, 1, 2, 3].reduce((ink, part) => 4 * ink + (seen[4 * at + part] >> 6), 0)))
  }
  picture.src = address
})"""


def test_no_two_tools_look_alike(browser):
    tab = browser.new_page()
    tab.set_content("<p>tiles</p>")
    for theme in THEMES:
        tab.emulate_media(color_scheme=theme)
        seen = {
            tool: np.array(tab.evaluate(INK_OF, [f"data:image/svg+xml,{quote(_svg(shapes))}", SIZE]))
            for tool, shapes in SHAPES.items()
        }
        alike = {(one, other): (seen[one] != seen[other]).mean() for one, other in combinations(SHAPES, 2)}
        closest = min(alike, key=lambda pair: alike[pair])
        assert alike[closest] > DIFFER, (theme, closest, alike[closest])
    tab.close()


@DESK_ONLY
def test_a_double_tap_on_a_tile_chooses_it(page):
    open_page(page, "Deposit faults")
    tile = page.get_by_role("button", name="dull", exact=True)
    tile.scroll_into_view_if_needed()
    stand_still(tile)
    box = tile.bounding_box()
    for tap, pressed in ((page.mouse.dblclick, "true"), (page.mouse.click, "false")):
        tap(box["x"] + 20, box["y"] + 20, delay=60)
        page.wait_for_timeout(1500)
        settle(page)
        assert tile.get_attribute("aria-pressed") == pressed
    tile.focus()
    page.keyboard.press("Space")
    page.locator("button[aria-pressed=true]", has_text="dull").wait_for()
