"""The verdict and the first step without scrolling, and no field that moves while somebody types; phone and desk."""

import pytest

from tests.browser.steps import PHONE, PHONE_AND_DESK, fits, open_page, settle, stand_still, wait_in_sight

pytestmark = pytest.mark.browser

MOST_WORDS, MOST_MOVED = 60, 8  # the latter in pixels
# Of each page what is typed into it until it has an answer, by the label of the field.
PAGES = {
    "mix": {"Bath wanted (L)": "5", "Copper sulfate wanted (g/L)": "210"},
    "plating-run": {"Area of the part (cm²)": "120", "Copper wanted (µm)": "100"},
    "keep-or-remake": {"Bath in the tank now (L)": "9.5", "Carbon treatments so far": "1"},
}


def seen(page, label):
    """Return the first field of a label that is shown, once one is."""
    field = page.get_by_role("textbox", name=label).locator("visible=true").first
    field.wait_for()
    return field


@pytest.mark.parametrize("path", PAGES)
@PHONE_AND_DESK
def test_the_answer_comes_into_sight_and_moves_no_field(page, size, path):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(f"/{path}")
    settle(page)
    page.get_by_text("One thing is missing").first.wait_for()
    page.evaluate("document.fonts.ready")
    for label, text in PAGES[path].items():
        field = seen(page, label)
        stand_still(field)
        before = field.bounding_box()["y"]
        field.fill(text)
        field.press("Tab")
        page.wait_for_timeout(700)
        settle(page)
        assert abs(seen(page, label).bounding_box()["y"] - before) <= MOST_MOVED, label
    verdict = page.locator(".glance").first
    wait_in_sight(verdict)
    assert len(verdict.inner_text().split()) <= MOST_WORDS
    assert fits(page)


@pytest.mark.parametrize("page", [360], indirect=True)
def test_the_first_dose_of_a_correction_is_seen_without_scrolling(page):
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    open_page(page, "Correct", "dull")
    box = page.get_by_role("checkbox", name="1. Add 256 g of copper sulfate crystals").bounding_box()
    assert 0 <= box["y"] < PHONE[1] / 2
    folded = page.locator(".st-key-step_1 details.caution", has_text="Also said in the step")
    assert not folded.get_attribute("open")
    assert "Dissolve the crystals apart" in folded.inner_text()
    assert fits(page)
