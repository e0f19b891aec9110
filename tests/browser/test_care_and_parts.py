"""Anodes, treatments, parts and the buying list: what is typed is answered, and fits on a desk and a phone."""

import pytest

from tests.browser.steps import (
    PHONE_ONLY,
    PRINT,
    choose,
    download,
    fits_everywhere,
    open_page,
    settle,
    type_in,
    wait_for_value,
)

pytestmark = pytest.mark.browser


def turn_to(page, view):
    page.get_by_role("radio", name=view).click()
    settle(page)


@PHONE_ONLY
def test_a_bath_is_warmed_with_a_heater_of_ones_own_and_anodes_are_asked_for_what_a_run_takes(page):
    open_page(page, "Anodes and care", "dull")
    choose(page, "Treatment", "warming")
    type_in(page, "Heater (W)", "100")
    page.get_by_text("A heater of 100 W takes").first.wait_for()
    assert fits_everywhere(page)
    turn_to(page, "The anodes")
    type_in(page, "Area of the part (cm²)", "85")
    type_in(page, "Anode area (cm²)", "60")
    page.get_by_text("They turn passive above").wait_for()
    assert "passive above" in download(page, PRINT)


@PHONE_ONLY
def test_a_coat_is_measured_and_the_list_of_the_shop_follows(page):
    open_page(page, "Parts and shopping", "dull")
    page.get_by_role("button", name="leaf or flower").click()
    for label, text in (("The meter shows (Ω)", "120"), ("The tips stand apart (cm)", "5")):
        type_in(page, label, text)
        settle(page)
    type_in(page, "Width of the coat between them (cm)", "3")
    page.get_by_text("Your coat has 72 Ω a square").wait_for()
    turn_to(page, "What to buy")
    type_in(page, "Water that evaporates in a week (L)", "1,5")
    page.get_by_text("Distilled water: 19.6 L").first.wait_for()
    choose(page, "What it is", "distilled water")
    page.get_by_role("button", name="Add a pack").click()
    page.get_by_text("Needed: Price of the pack").wait_for()
    type_in(page, "Pack holds, by volume (L)", "5")
    settle(page)
    type_in(page, "Price of the pack", "3,5")
    page.get_by_text("as 4 of 5 L: about 14.00").wait_for()
    assert fits_everywhere(page)
    turn_to(page, "A part")
    wait_for_value(page, "The meter shows (Ω)", "120 Ω")
