"""From an empty start to a dose, by touch on a phone and by keyboard at a desk, counting taps and typed fields."""

import pytest

from tests.browser.steps import fits, settle

pytestmark = pytest.mark.browser

MOST_TAPS, MOST_TYPED, MOST_WORDS, MOST_MOVED = 8, 4, 60, 8  # the last in pixels
PHONE, DESK = (360, 740), (1280, 900)


class Hand:
    """Taps and types as a person does, and counts both."""

    def __init__(self, page, keyboard):
        self.page, self.keyboard, self.taps, self.typed = page, keyboard, 0, 0

    def tap(self, name):
        self.taps += 1
        button = self.page.get_by_role("main").get_by_role("button", name=name, exact=True).first
        if self.keyboard:
            button.focus()
            self.page.keyboard.press("Enter")
        else:
            button.click()
        self.page.wait_for_timeout(700)  # a second tap within 0.6 s is taken for the same one
        settle(self.page)

    def type(self, label, text):
        self.typed += 1
        field = self.page.get_by_role("textbox", name=label).first
        field.focus()
        self.page.keyboard.type(text)
        self.page.keyboard.press("Tab")
        settle(self.page)
        return field


@pytest.mark.parametrize(("page", "size"), [(360, PHONE), (1280, DESK)], indirect=["page"], ids=["phone", "desk"])
def test_from_an_empty_start_to_a_dose(page, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto("/")
    settle(page)
    hand = Hand(page, keyboard=size == DESK)
    hand.tap("Check my bath")
    page.get_by_role("heading", level=1, name="How much bath").wait_for()
    hand.type("Bath in the tank now (L)", "5")
    for name in ("Next", "10 mL syringe", "baking soda", "Next", "Next", "Start this test: acid titration"):
        hand.tap(name)
        assert fits(page)
    field = page.get_by_role("textbox", name="Titrant used (mL)").first
    before = field.bounding_box()["y"]
    hand.type("Titrant used (mL)", "4.3")
    page.get_by_role("button", name="See the answer").wait_for()
    assert abs(field.bounding_box()["y"] - before) <= MOST_MOVED
    if size == PHONE:
        hand.tap("See the answer")
    verdict = page.locator(".glance")
    verdict.wait_for()
    assert "Add " in verdict.inner_text()
    start = page.get_by_role("button", name="Start correcting")
    assert start.bounding_box()["y"] + start.bounding_box()["height"] < size[1]
    assert len(verdict.inner_text().split()) <= MOST_WORDS
    assert hand.taps <= MOST_TAPS
    assert hand.typed <= MOST_TYPED
