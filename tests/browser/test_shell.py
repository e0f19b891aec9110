"""The app opens in a real browser, fits a phone and a desk, and asks no foreign host for anything.

Each page is opened by its own address in some test; others go there by the menu, for a third of the work.
"""

import pytest
from PIL import ImageColor

from advisor.ui.look.colours import DARK, LIGHT
from tests.browser.steps import (
    ADDRESSES,
    DESK_ONLY,
    PHONE_ONLY,
    fits_everywhere,
    follow_menu,
    in_theme,
    open_page,
    settle,
    stand_still,
    type_in,
)

pytestmark = pytest.mark.browser


# Seen at both widths by other tests: what no sheet changes by `test_accessibility`, the others empty by `test_journeys` and
# `test_glance`.
SEEN_ELSEWHERE = {"Baths", "Upkeep", "Logbook", "Words", "Check", "Deposit faults", "Plating run", "Keep or remake", "Mix"}  # fmt: skip


@DESK_ONLY
def test_pages_of_an_empty_sheet_fit_the_screen(page):
    page.goto("/home")
    page.get_by_role("heading", level=1).wait_for()
    assert page.title() == "Copper bath advisor"
    for title in (one for one in ADDRESSES if one not in SEEN_ELSEWHERE):
        follow_menu(page, title)
        assert fits_everywhere(page), title


@DESK_ONLY
def test_fields_side_by_side_stand_on_one_line_though_a_label_takes_two(page):
    open_page(page, "Check", "dull")
    of_one_line, of_two = (page.locator(f".st-key-sheet_reading_1_{name}") for name in ("titrant", "strength"))
    stand_still(of_two)
    labels = [part.locator("label").bounding_box()["height"] for part in (of_one_line, of_two)]
    assert labels[1] > 1.5 * labels[0]
    assert of_one_line.get_by_role("combobox").bounding_box()["y"] == pytest.approx(
        of_two.get_by_role("textbox").bounding_box()["y"], abs=3
    )
    menu = of_two.locator("select").bounding_box()
    assert menu["y"] == pytest.approx(of_two.get_by_test_id("stTextInputRootElement").bounding_box()["y"], abs=1.5)


@PHONE_ONLY
def test_a_wish_of_the_first_page_is_tapped_on_its_drawing_too_and_the_menu_closes_over_the_page_chosen_in_it(page):
    open_page(page, "Baths")
    picture = page.locator(".st-key-wish_0 img")
    picture.evaluate("part => part.scrollIntoView({ block: 'center' })")  # what other tests left may stand above it
    stand_still(picture)
    drawing = picture.bounding_box()
    page.mouse.click(drawing["x"] + drawing["width"] / 2, drawing["y"] + drawing["height"] / 2)
    page.get_by_role("heading", level=1, name="What do you see?").wait_for()
    assert page.url.endswith("/deposit-faults")
    settle(page)
    more = page.get_by_role("button", name="More")
    more.click()
    menu = page.locator('[data-testid="stPopoverBody"]')
    menu.get_by_role("link", name="Upkeep").click()
    page.get_by_role("heading", name="Upkeep", level=1).wait_for()
    menu.wait_for(state="hidden")
    assert page.url.endswith("/upkeep")
    assert not menu.is_visible()
    page.set_viewport_size({"width": 740, "height": 360})  # on its side, where tabs are of one line
    mark, word = (more.locator(part).first.bounding_box() for part in ('[data-testid="stIconMaterial"]', "p"))
    assert mark["x"] < word["x"]
    assert mark["y"] + mark["height"] / 2 == pytest.approx(word["y"] + word["height"] / 2, abs=3)


@DESK_ONLY
def test_a_chart_takes_the_colours_of_a_theme_that_is_switched_on_the_open_page(page):
    open_page(page, "Plating run")
    for label, text in {"Area of the part": "120", "Copper wanted": "100"}.items():
        type_in(page, label, text)
        settle(page)
    name = page.locator(".stVegaLiteChart text", has_text="copper, µm").first
    name.wait_for()
    ink, expected = {}, {}
    for theme, colours in {"light": LIGHT, "dark": DARK}.items():
        in_theme(page, theme)
        ink[theme] = name.evaluate("words => getComputedStyle(words).fill")
        expected[theme] = f"rgb{ImageColor.getrgb(colours['saturation'])}"
    assert ink == expected
