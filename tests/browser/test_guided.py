"""From an empty start to a dose, by touch on a phone and by keyboard at a desk, counting taps and typed fields."""

import re

import pytest

from tests.browser.steps import PHONE, PHONE_AND_DESK, PHONE_ONLY, Hand, fits, settle, wait_for_value, wait_in_sight

pytestmark = pytest.mark.browser

FIELD = ".st-key-read_now [data-testid=stTextInputRootElement]"
MOST_TAPS, MOST_TYPED, MOST_WORDS, MOST_MOVED = 6, 4, 60, 8  # the last in pixels


@PHONE_AND_DESK
def test_from_an_empty_start_to_a_dose(page, size):
    hand = Hand.at_the_first_page(page, size)
    hand.tap("Check my bath")
    page.get_by_role("heading", level=1, name="How much bath").wait_for()
    hand.type("Bath in the tank now (L)", "5")
    for name in ("Next", "10 mL syringe", "baking soda", "Next"):  # the only test that these allow begins at once
        hand.tap(name)
        assert fits(page)
    field = page.get_by_role("textbox", name="Titrant used (mL)").first
    steps = page.get_by_role("checkbox")
    assert steps.last.bounding_box()["y"] < field.bounding_box()["y"]  # what to do, and then what to type
    assert page.get_by_text("Enter it as").count() == 0  # the plan has
    page.get_by_role("button", name="To what you read").click()
    wait_in_sight(page.locator(FIELD).first)
    page.wait_for_function("document.activeElement.getAttribute('aria-label') === 'Titrant used (mL)'")
    page.go_back()
    page.get_by_role("heading", level=1, name="What do you have").wait_for()
    page.go_forward()
    page.get_by_role("heading", level=1, name="Acid titration").wait_for()
    settle(page)
    clock = page.get_by_role("button", name="Does the cloud stay? 30 s")
    clock.click()
    page.get_by_role("timer").wait_for()
    page.get_by_role("button", name="Stop", exact=True).click()
    clock.wait_for()
    page.wait_for_timeout(500)
    settle(page)
    field.scroll_into_view_if_needed()
    before = field.bounding_box()["y"]
    hand.type("Titrant used (mL)", "4.3")
    page.get_by_role("button", name="See the answer").wait_for()
    assert abs(field.bounding_box()["y"] - before) <= MOST_MOVED
    if size == PHONE:
        hand.tap("See the answer")
    verdict = page.locator(".glance", has_text="Add ")
    verdict.wait_for()
    wait_in_sight(page.get_by_role("button", name="Start correcting"))
    assert len(verdict.inner_text().split()) <= MOST_WORDS
    assert hand.taps <= MOST_TAPS
    assert hand.typed <= MOST_TYPED


@PHONE_ONLY
def test_a_phone_that_is_turned_on_its_side_keeps_all_and_the_way_on_in_reach(page):
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    page.goto("/")
    settle(page)
    hand = Hand(page, keyboard=False)
    hand.tap("Check my bath")
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
    page.get_by_role("button", name="To what you read").click()
    wait_in_sight(page.locator(FIELD).first)
    assert fits(page)


@PHONE_ONLY
def test_a_correction_is_ticked_and_comes_back_after_a_reload(page):
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    page.goto("/correct?example=dull")
    page.get_by_role("checkbox", name=re.compile(r"^1\. Add 256")).wait_for(state="attached")  # no mark of Markdown
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
