"""The app opens in a real browser, on a desk and on a phone, and asks no foreign host for anything."""

import pytest

from advisor.ui.look.pages_list import PAGES_IN_ORDER

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("address", ["", "home", *(page.url_path for page in PAGES_IN_ORDER[1:])])
def test_page_opens_with_its_title_and_fits_the_screen(page, address):
    page.goto(f"/{address}")
    page.get_by_role("heading", level=1).wait_for()
    assert page.title() == "Copper bath advisor"
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
