"""The verdict and the first step without scrolling, and no field that moves while somebody types; phone and desk."""

import pytest
import tomli_w

from advisor.examples import EXAMPLES
from tests.browser.steps import (
    DESK,
    DESK_ONLY,
    PHONE,
    PHONE_AND_DESK,
    PHONE_ONLY,
    fits,
    follow_menu,
    open_page,
    settle,
    stand_still,
    unfold,
    upload,
    wait_in_sight,
)
from tests.browser.views import VIEWS
from tests.some_sheets import ANSWERS

pytestmark = pytest.mark.browser

MOST_WORDS, MOST_MOVED = 60, 8  # the latter in pixels
# Of each page what is typed into it until it has an answer, by the label of the field.
PAGES = {
    "Mix": {"Bath wanted (L)": "5", "Copper sulfate wanted (g/L)": "210"},
    "Plating run": {"Area of the part (cm²)": "120", "Copper wanted (µm)": "100"},
    "Keep or remake": {"Bath in the tank now (L)": "9.5", "Carbon treatments so far": "1"},
}


def seen(page, label):
    """Return the first field of a label that is shown, once one is."""
    field = page.get_by_role("textbox", name=label).locator("visible=true").first
    field.wait_for()
    return field


# What scrolls up and down by itself within the page.
SCROLLING = """[...document.querySelectorAll("[data-testid=stMain] *")]
  .filter(part => ["auto", "scroll"].includes(getComputedStyle(part).overflowY) && part.scrollHeight > part.clientHeight)
  .map(part => part.className)"""


@PHONE_AND_DESK
def test_the_answer_comes_into_sight_and_moves_no_field(page, size):
    open_page(page, "Baths")
    page.evaluate("document.fonts.ready")
    for title, typed in PAGES.items():
        page.set_viewport_size({"width": DESK[0], "height": DESK[1]})  # with the menu at the side
        follow_menu(page, title)
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.get_by_text("One thing is missing").first.wait_for()
        assert fits(page)
        for label, text in typed.items():
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
        if size == DESK:  # a long answer scrolls with its page, and its verdict stays in sight
            last = page.get_by_test_id("stMain").get_by_role("link").locator("visible=true").last
            last.scroll_into_view_if_needed()
            wait_in_sight(last)
            wait_in_sight(verdict)
            assert page.evaluate(SCROLLING) == []


# The words that a person sees before any scrolling, of the page's main part without the tabs at its foot.
SEEN_WORDS = """() => {
  const tabs = document.querySelector(".st-key-tabs"), end = tabs.getBoundingClientRect().top, seen = []
  const walk = document.createTreeWalker(document.querySelector("[data-testid=stMain]"), NodeFilter.SHOW_TEXT)
  while (walk.nextNode()) {
    const node = walk.currentNode, around = node.parentElement, range = document.createRange()
    if (tabs.contains(around) || around.matches("[data-testid=stIconMaterial]") || !around.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue
    for (const word of node.data.matchAll(/\\S+/g)) {
      range.setStart(node, word.index)
      range.setEnd(node, word.index + word[0].length)
      const { left, right, top, bottom, width } = range.getBoundingClientRect()
      const over = document.elementFromPoint((left + right) / 2, (top + bottom) / 2)
      if (width && bottom <= end && over && (over.contains(around) || around.contains(over))) seen.push(word[0])
    }
  }
  return seen
}"""


@PHONE_ONLY
@pytest.mark.parametrize("name", EXAMPLES)
def test_an_answer_has_few_words_before_any_scrolling(page, name):
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    open_page(page, "Check", name)
    page.locator(".bath-map img").wait_for()
    settle(page)
    wait_in_sight(page.locator(".glance"))
    seen = page.evaluate(SEEN_WORDS)
    assert len(seen) <= MOST_WORDS, seen
    page.get_by_role("button", name="Check mine").click(trial=True, timeout=5000)  # no empty bar lies over it


# Each is put in after the one before it; no two neighbours say the same, which would pass for an answer to the next.
LONGEST = (
    ("crystals on the floor", "Only then add salts or acid.", "let it cool and settle"),
    ("little known of both", "acid into the liquid", "A first part only: after it"),
    ("no sound sample, for two reasons", "Take a sound sample first", "Take a sound sample first"),
    ("asking for room", "acid into the liquid", "Room for 5.98 L? Then 0.12 L stays."),
)


@PHONE_ONLY
def test_the_longest_answers_have_few_words_before_any_scrolling(page):
    """Where the floor may hold crystals, no sample is sound, or the most that the tank holds is asked."""
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    open_page(page, "Check")
    for name, said, at_length in LONGEST:
        unfold(page, "Start from an example or a file")
        upload(page, f"{name}.toml", tomli_w.dumps(ANSWERS[name]).encode())
        glance = page.locator(".glance", has_text=said)
        glance.wait_for()
        page.get_by_text(at_length).first.wait_for()
        settle(page)
        page.evaluate("document.querySelector('[data-testid=stMain]').scrollTo(0, 0)")
        wait_in_sight(glance)
        seen = page.evaluate(SEEN_WORDS)
        assert len(seen) <= MOST_WORDS, (name, seen)
        assert page.get_by_text(at_length).count() == 1


@DESK_ONLY
def test_a_verdict_beside_no_long_sheet_covers_nothing_above_it(page):
    """On the page Correct it stands beneath the title: its seam would hide that, and what the answer rests on."""
    too_cold = next(view for view in VIEWS if view.name == "correct, too cold")
    too_cold.show(page)
    verdict = page.locator(".glance")
    verdict.get_by_text("Too cold for this window").wait_for()
    assert verdict.evaluate("box => getComputedStyle(box).boxShadow") == "none"
