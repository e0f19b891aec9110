"""What stands in a field when a link is tapped is kept, though nobody left the field before."""

import pytest

from tests.browser.steps import open_page, settle, wait_for_value

pytestmark = pytest.mark.browser
VOLUME = "Bath in the tank now (L)"


def test_a_tap_on_a_link_keeps_what_stands_in_the_field(page):
    open_page(page, "Check")
    settle(page)
    for typed in ("6.25 L", "6.75 L"):
        page.get_by_role("textbox", name=VOLUME).first.fill(typed)
        page.get_by_role("link", name="Logbook").filter(visible=True).first.click()
        page.get_by_role("heading", name="Logbook", level=1).wait_for()
        settle(page)
        page.get_by_role("link", name="Check", exact=False).filter(visible=True).first.click()
        wait_for_value(page, VOLUME, typed)
        assert page.get_by_role("textbox", name=VOLUME).first.input_value() == typed
