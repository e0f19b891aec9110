"""The three things that people come for, from the first page to the card that is printed."""

import re

import pytest

from tests.browser.conftest import THEMES, theme_of
from tests.browser.running import WIDTHS
from tests.browser.steps import (
    PHONE,
    PHONE_AND_DESK,
    PHONE_ONLY,
    PRINT,
    Hand,
    download,
    fits,
    go_from_first_page,
    is_one_sheet,
    settle,
    type_in,
    wait_in_sight,
)

pytestmark = pytest.mark.browser

# An example is no wish, even where its name says the same.
DULL = re.compile("^(?!Example).*dull", re.I)
LEVEL = re.compile("^(?!Example).*level", re.I)
MOST_TAPS, MOST_TYPED = 8, 4  # from the first page to a verdict with a dose
MOST_WORDS, MOST_MOVED = 60, 8  # the latter in pixels
USED = "Titrant used (mL)"
LEVELS = {
    "Level then (L)": "5,6",
    "Bath in the tank now (L)": "4,6",
    "Copper sulfate then (g/L)": "212",
    "Sulfuric acid then (g/L)": "54",
}
KEEP = re.compile("^(?!Example).*remake", re.I)
IN_SIGHT = """height => {
  const box = document.querySelector(".glance").getBoundingClientRect()
  return box.top >= 0 && box.bottom < height
}"""


def wait_for_heading(page, words):
    page.get_by_role("heading", level=1, name=re.compile(words, re.I)).wait_for()
    settle(page)
    assert fits(page)


def printed_page(page, visitor, title):
    """Download the page to print, open it as a browser would and see that it is one sheet; return its lines."""
    paper = visitor(1280)
    paper.set_content(download(page, PRINT))
    assert paper.get_by_role("heading", level=1, name=title).is_visible()
    assert "copper bath advisor" in paper.locator("footer").inner_text()
    assert paper.locator(".caution li").count() > 0
    assert is_one_sheet(paper.pdf(format="A4"))
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in paper.locator("li").all_inner_texts()]


def assert_screen_says(page, lines):
    page.evaluate("document.querySelectorAll('details.caution').forEach(part => { part.open = true })")
    said = page.get_by_role("main").inner_text().replace("\N{NO-BREAK SPACE}", " ")  # between a number and its unit
    assert [line for line in lines if line not in said] == []


def test_journeys_are_driven_in_both_themes():
    for journey in (test_from_dull_to_a_dose, test_the_level_has_dropped):
        assert {theme_of(journey.__name__, width) for width in WIDTHS} == {*THEMES}


def make_the_test(page):
    """Go to the field and back, leave the page and come back, and let the clock run."""
    field = page.get_by_role("textbox", name=USED).first
    assert page.get_by_role("checkbox").last.bounding_box()["y"] < field.bounding_box()["y"]  # first what to do
    assert page.get_by_text("Enter it as").count() == 0  # the plan has
    page.get_by_role("button", name="To what you read").click()
    wait_in_sight(page.locator(".st-key-read_now [data-testid=stTextInputRootElement]").first)
    page.wait_for_function("name => document.activeElement.getAttribute('aria-label') === name", arg=USED)
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


@PHONE_AND_DESK
def test_from_dull_to_a_dose(page, visitor, request, size):
    """By way of the causes and their page to print, with a syringe and soda, from an empty start."""
    hand = Hand.at_the_first_page(page, size)
    hand.follow(DULL)
    wait_for_heading(page, "what do you see")
    ground = page.locator(".stApp").evaluate("app => getComputedStyle(app).backgroundColor")
    brightness = sum(map(int, re.findall(r"\d+", ground)[:3])) / 3
    assert (brightness < 100) is (theme_of(request.function.__name__, size[0]) == "dark")
    hand.tap("dull")
    # Above all pictures on a desk, below them on a phone, where the bar says it meanwhile.
    wait_in_sight(page.locator(".bar" if size == PHONE else ".glance", has_text="Most likely"))
    wait_in_sight(page.get_by_role("button", name="Check the bath"))
    assert fits(page)
    lines = printed_page(page, visitor, "Deposit faults")
    assert any("%" in line for line in lines)  # a cause, and how probable it is
    assert_screen_says(page, lines)
    hand.tap("Check the bath")
    wait_for_heading(page, "how much bath is in the tank")
    hand.type("Bath in the tank now (L)", "5")
    for name in ("Next", "10 mL syringe", "baking soda", "Next"):  # the only test that these allow begins at once
        hand.tap(name)
        assert fits(page)
    make_the_test(page)
    field = page.get_by_role("textbox", name=USED).first
    field.scroll_into_view_if_needed()
    before = field.bounding_box()["y"]
    hand.type(USED, "4,3")
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


# The menus of units that do not lie in the frame of their field, by name.
OUTSIDE_THEIR_FIELDS = """[...document.querySelectorAll("select.unit-menu")].filter(menu => {
  const field = menu.parentElement.querySelector('[data-testid="stTextInputRootElement"]').getBoundingClientRect()
  const { top, bottom, right } = menu.getBoundingClientRect()
  return field.height && (top < field.top - 1 || bottom > field.bottom + 1 || right > field.right + 1)
}).map(menu => menu.ariaLabel)"""


@PHONE_AND_DESK
def test_the_level_has_dropped(page, visitor, size):
    hand = Hand.at_the_first_page(page, size)
    hand.follow(LEVEL)
    wait_for_heading(page, "check")
    way = page.locator("details", has=page.get_by_text("The level has dropped")).first
    way.locator("select").nth(len(LEVELS) - 1).wait_for()
    assert page.evaluate(OUTSIDE_THEIR_FIELDS) == []
    for label, typed in LEVELS.items():
        hand.type(label, typed, way)
    hand.tap("Use this")
    page.locator(".glance").first.wait_for()
    page.wait_for_function("document.querySelector('.glance').innerText.includes('water')")
    page.wait_for_function(IN_SIGHT, arg=size[1])
    assert hand.taps <= 2
    assert hand.typed <= 4
    page.get_by_role("button", name="Start correcting").click()
    wait_for_heading(page, "correct")
    first = page.get_by_role("checkbox").first
    first.wait_for(state="attached")
    amount = first.get_attribute("aria-label") or page.locator(".stCheckbox").first.inner_text()
    water = re.search(r"[\d.]+ m?L of [a-z ]*water", amount.replace("\N{NO-BREAK SPACE}", " "))
    assert water
    page.locator(".stCheckbox label").first.click()
    page.get_by_role("checkbox", checked=True).first.wait_for(state="attached")
    lines = printed_page(page, visitor, "Bath check")
    assert any(water.group() in line for line in lines), lines


@PHONE_ONLY
def test_top_up_or_remake(page, visitor):
    go_from_first_page(page, KEEP)
    wait_for_heading(page, "remake")
    type_in(page, "Bath in the tank now (L)", "9,5")
    type_in(page, "Carbon treatments so far", "2")
    jar = page.get_by_role("radiogroup", name="Jar test, half old and half fresh")
    jar.get_by_text("dull", exact=True).click()
    page.get_by_text("Half old and half fresh is still dull").first.wait_for()
    assert fits(page)
    lines = printed_page(page, visitor, "Keep or remake")
    assert any("is still dull" in line for line in lines)
    choices = [line for line in lines if "Does not cure" in line]  # a card each on the screen
    assert page.locator(".card").count() == len(choices) == 3
    assert_screen_says(page, [line for line in lines if line not in choices])
