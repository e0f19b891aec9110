"""In the browser a field has its unit as a menu and asks for the decimal keypad."""

import pytest

from tests.browser.steps import PHONE_ONLY, open_page, settle, stand_still

pytestmark = pytest.mark.browser


@PHONE_ONLY
def test_a_unit_is_chosen_beside_the_number_and_letters_can_still_be_typed(page):
    from playwright.sync_api import expect  # here: without Playwright these tests are skipped

    open_page(page, "Mix", "")
    menu = page.get_by_role("combobox", name="Unit of Bath wanted").first
    menu.wait_for()
    field = page.get_by_role("textbox", name="Bath wanted").first
    expect(field).to_have_attribute("inputmode", "decimal")
    expect(menu).to_have_value("L")
    field.fill("5")
    field.press("Tab")
    settle(page)
    menu.select_option("gal")
    settle(page)
    page.wait_for_function("[...document.querySelectorAll('input')].some(input => input.value === '5 gal')")
    expect(menu).to_have_value("gal")

    stand_still(menu)  # what is chosen while the fields are drawn anew is lost with the field
    menu.select_option("± or other…")
    expect(field).to_have_attribute("inputmode", "text")
    expect(field).to_be_focused()
