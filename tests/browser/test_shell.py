"""The app opens in a real browser, fits a phone and a desk, and asks no foreign host for anything."""

import pytest

from advisor.ui.look.pages_list import PAGES_IN_ORDER
from tests.browser.running import WIDTHS
from tests.browser.steps import fits, settle

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("address", ["", "home", *(page.url_path for page in PAGES_IN_ORDER[1:])])
def test_page_opens_with_its_title_and_fits_the_screen(visitor, address):
    page = visitor(min(WIDTHS))
    page.goto(f"/{address}")
    page.get_by_role("heading", level=1).wait_for()
    assert page.title() == "Copper bath advisor"
    assert fits(page)
    page.set_viewport_size({"width": max(WIDTHS), "height": 800})
    assert fits(page)


def test_the_menu_of_a_phone_closes_over_the_page_that_was_chosen_in_it(visitor):
    page = visitor(min(WIDTHS))
    page.goto("/")
    page.get_by_role("heading", level=1).wait_for()
    page.get_by_role("button", name="More").click()
    menu = page.locator('[data-testid="stPopoverBody"]')
    menu.get_by_role("link", name="Upkeep").click()
    page.get_by_role("heading", name="Upkeep", level=1).wait_for()
    menu.wait_for(state="hidden")
    assert page.url.endswith("/upkeep")
    assert not menu.is_visible()


def test_a_wish_of_the_first_page_is_tapped_on_its_drawing_too(visitor):
    page = visitor(min(WIDTHS))
    page.goto("/")
    settle(page)
    drawing = page.locator(".st-key-wish_0 img").bounding_box()
    page.mouse.click(drawing["x"] + drawing["width"] / 2, drawing["y"] + drawing["height"] / 2)
    page.get_by_role("heading", level=1, name="What do you see?").wait_for()
    assert page.url.endswith("/deposit-faults")
