"""The page Check that asks one thing after another, on a phone; `test_journeys` goes by it to a dose."""

import re

import pytest

from tests.browser.steps import PHONE, PHONE_ONLY, Hand, fits, settle, wait_for_value, wait_in_sight

pytestmark = pytest.mark.browser

FIELD = ".st-key-read_now [data-testid=stTextInputRootElement]"
MOST_TAPS = 5  # from the first page to the test that is to be made


@PHONE_ONLY
def test_a_phone_that_is_turned_on_its_side_keeps_all_and_the_way_on_in_reach(page):
    hand = Hand.at_the_first_page(page, PHONE)
    hand.tap("Check my bath")
    page.get_by_role("heading", level=1, name="How much bath").wait_for()
    hand.type("Bath in the tank now (L)", "5,1")
    for name in ("Next", "10 mL syringe"):
        hand.tap(name)
    page.set_viewport_size({"width": PHONE[1], "height": PHONE[0]})
    hand.tap("baking soda")
    wait_in_sight(page.get_by_role("button", name="Next", exact=True))
    wait_in_sight(page.get_by_role("navigation", name="Pages").get_by_role("link", name="Logbook"))
    assert fits(page)
    hand.tap("Next")
    page.get_by_role("heading", level=1, name="Acid titration").wait_for()
    assert hand.taps <= MOST_TAPS
    page.get_by_role("button", name="To what you read").click()
    wait_in_sight(page.locator(FIELD).first)
    assert fits(page)


@PHONE_ONLY
def test_a_correction_is_in_sight_is_ticked_and_comes_back_after_a_reload(page):
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    page.goto("/correct?example=dull")
    dose = page.get_by_role(
        "checkbox", name=re.compile(r"^1\. Add 256 g of copper sulfate crystals")
    )  # no mark of Markdown
    dose.wait_for(state="attached")
    settle(page)
    assert 0 <= dose.bounding_box()["y"] < PHONE[1] / 2  # seen without scrolling
    folded = page.locator(".st-key-step_1 details.caution", has_text="Also said in the step")
    assert not folded.get_attribute("open")
    assert "Dissolve the crystals apart" in folded.inner_text()
    assert fits(page)
    page.locator("[class*=st-key-correct_done_1] label").click()
    used = page.get_by_role("textbox", name="Really used").first
    used.fill("250")
    used.press("Tab")
    page.get_by_text("The bath now:").wait_for()
    settle(page)
    page.wait_for_timeout(500)
    page.goto("/correct")
    page.get_by_role("checkbox", checked=True).first.wait_for(state="attached")
    wait_for_value(page, "Really used", "250 g")  # in the unit that stood there
    asked = page.locator(".st-key-step_2 label", has_text="96 %")
    asked.wait_for(state="detached")
    assert page.get_by_role("checkbox", checked=True).count() == 1  # the step that is done, and no other
    assert page.get_by_role("textbox", name="Really used").first.input_value() == "250 g"
    assert asked.count() == 0  # asked before, not after
