"""Every page fits, is tapped with a thumb, and is judged by axe, light and dark, on a desk and a phone.

axe comes with the package axe-playwright-python; only its script is used. What lies in Streamlit itself is named in
`IN_STREAMLIT`, each with the reason why it cannot be mended here.
"""

import importlib.util
from pathlib import Path

import pytest

from tests.browser.conftest import THEMES
from tests.browser.running import WIDTHS
from tests.browser.steps import (
    ADDRESSES,
    DESK_ONLY,
    fits,
    follow_menu,
    in_theme,
    open_page,
    settle,
    unfold,
)
from tests.browser.views import View, dull_with, tick

pytestmark = [pytest.mark.browser, DESK_ONLY]

GRAVE = ("serious", "critical")
# The first of each walk is opened by its address and judged whole; the others, which other tests open so, by the menu, without it.
WALKS = [[*ADDRESSES][:0:-1][start::4] for start in range(4)]
MAIN = "'[data-testid=stMain]', "
# At each width one theme is judged by all rules and the other by those of colour alone, which is all that it changes.
ALL = "{resultTypes: ['violations']}"
OF_COLOURS = "{resultTypes: ['violations'], runOnly: ['color-contrast', 'link-in-text-block']}"
VIEWS = (
    (min(WIDTHS), "dark", ALL),
    (min(WIDTHS), "light", OF_COLOURS),
    (max(WIDTHS), "light", ALL),
    (max(WIDTHS), "dark", OF_COLOURS),
)
STILL = "!document.getAnimations().some(one => one instanceof CSSTransition && one.playState !== 'finished')"
TWO_FRAMES = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
# Buttons, links that look like one, folds and fields that are lower than 44 px; a help mark and what lies in a field are not.
LOW = """[...document.querySelectorAll(`[data-testid=stMain] :is(.stButton button, .stDownloadButton button, summary,
    .stPageLink a, .stFormSubmitButton button, .stSelectbox [role=group], [data-testid=stTextInputRootElement],
    [data-testid=stDateInputField], [data-testid=stTimeInputTimeDisplay], .stButtonGroup button)`)]
  .filter(part => part.checkVisibility() && part.getBoundingClientRect().height < 43.5)
  .map(part => part.outerHTML.slice(0, 200))"""
IN_STREAMLIT: dict[str, str] = {}


@pytest.fixture(scope="module")
def axe():
    found = importlib.util.find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        pytest.skip("the Python package axe-playwright-python is missing")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


def violations(page, look, asked):
    """Name each grave violation with the element and what axe says of it; asked: of what part, and by which rules."""
    return [
        f"{look}: {rule['id']}: {node['html'][:160]} {node['failureSummary'][:200]}"
        for rule in page.evaluate(f"axe.run({asked})")["violations"]
        if rule["impact"] in GRAVE
        for node in rule["nodes"]
        if not any(part in node["html"] for part in IN_STREAMLIT)
    ]


@pytest.mark.parametrize("titles", WALKS, ids=" and ".join)
def test_page_has_no_grave_violation_and_nothing_too_low_to_tap(page, axe, titles):
    open_page(page, titles[0], "old")
    assert page.title() == "Copper bath advisor"
    page.evaluate(axe)
    found = judged(page)
    for title in titles[1:]:
        follow_menu(page, title)
        if title == "Check":
            unfold(page, "How to do it")  # made only once it is opened
            page.get_by_role("heading", name="What you need").wait_for()
            settle(page)
        found += judged(page, MAIN)
    assert not found, "\n".join(found)


def test_treatments_and_steps_begun_have_no_grave_violation(page, axe):
    """The treatments are built of the same parts; each was judged so on 2026-11-26."""
    treat = dull_with(treat={"what": "carbon", "carbon": "5 g/L"})
    View("care, carbon", "Anodes and care", treat).show(page)
    page.evaluate(axe)
    found = judged(page, MAIN)
    follow_menu(page, "Correct")
    tick(page, 1)
    found += judged(page, MAIN)
    assert not found, "\n".join(found)


def test_the_first_page_and_the_menu_of_a_phone_can_be_read(page, axe):
    """The menu hangs outside the app, where Streamlit sets no light or dark."""
    open_page(page, "Baths")
    page.evaluate(axe)
    found = judged(page)
    page.set_viewport_size({"width": min(WIDTHS), "height": 800})
    page.get_by_role("button", name="More").click()
    for theme in THEMES:
        in_theme(page, theme)
        page.locator('[data-testid="stPopoverBody"]').get_by_role("link", name="Words").wait_for()
        page.wait_for_timeout(600)  # it fades in, and changes its colours
        found += violations(page, theme, OF_COLOURS)
    assert not found, "\n".join(found)


def judged(page, part=""):
    """Return what axe finds grave in the four views of a page or a part of it, all unfolded, and where it does not fit."""
    settle(page)
    title = page.get_by_role("heading", level=1).inner_text()
    page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true })")
    found = []
    for width, theme, rules in VIEWS:
        page.set_viewport_size({"width": width, "height": 800})
        in_theme(page, theme)
        settle(page)
        page.evaluate(TWO_FRAMES)  # columns have changed, and colours begin to
        look = f"{title}, {theme}, {width} px"
        found += [] if fits(page) else [f"{look}: something stands beyond the right edge"]
        page.wait_for_function(STILL)
        seen = faults(page, look, part + rules)
        if seen:  # a page that a busy machine draws a moment later than it says is judged once more, when it is drawn
            page.wait_for_timeout(2_000)
            seen = faults(page, look, part + rules)
        found += seen
    return found


def faults(page, look, asked):
    """Name what axe finds grave in one view of a page and, on a phone, what is too low to be tapped."""
    low = page.evaluate(LOW) if page.viewport_size["width"] == min(WIDTHS) else []
    return violations(page, look, asked) + [f"{look}: lower than 44 px: {part}" for part in low]
