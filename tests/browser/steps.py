"""What a person does in the app, by the roles and names that stand on the screen."""

import re
import time

import pytest

from advisor.ui.look.pages_list import PAGES_IN_ORDER
from tests.browser.running import WIDTHS

# The first page stands at the root and nowhere else.
ADDRESSES = {page.title: page.url_path if number else "" for number, page in enumerate(PAGES_IN_ORDER)}
PHONE, DESK = (360, 740), (1280, 800)
PHONE_AND_DESK = pytest.mark.parametrize(
    ("page", "size"), [(360, PHONE), (1280, DESK)], indirect=["page"], ids=["phone", "desk"]
)
DESK_ONLY = pytest.mark.parametrize("page", [1280], indirect=True)
PHONE_ONLY = pytest.mark.parametrize("page", [360], indirect=True)
YOUR_BATH = "Your bath and how it looks"  # folded where a sheet comes filled in
PRINT = re.compile("page to print")


def settle(page):
    """Wait until the page has been drawn to its end."""
    page.get_by_role("heading", level=1).first.wait_for()  # that of the page before may still stand for a moment
    page.locator('[data-testid="stApp"][data-test-script-state="notRunning"]').wait_for()


def in_theme(page, theme):
    """Switch the theme on an open page, and wait until the app is drawn in it."""
    page.emulate_media(color_scheme=theme)
    page.wait_for_function(
        "theme => getComputedStyle(document.querySelector('.stApp')).colorScheme === theme", arg=theme
    )


def open_page(page, title, example=""):
    """Open a page by its name in the menu, with an example bath or an empty sheet; Check asks all at once."""
    asked = f"?example={example}" if example else "?way=all" if title == "Check" else ""
    page.goto(f"/{ADDRESSES[title]}{asked}")
    settle(page)


def follow_menu(page, title):
    """Go to another page by the menu, which keeps the sheet; the address changes before the page does, its title after."""
    before = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("navigation").get_by_role("link", name=title, exact=True).click()
    page.wait_for_url(f"**/{ADDRESSES[title]}")
    page.wait_for_function(
        "before => !['', before].includes(document.querySelector('h1')?.innerText ?? '')", arg=before
    )
    settle(page)


def go_from_first_page(page, wish):
    """Tap on the wish that the first page offers."""
    page.goto("/")
    settle(page)
    main = page.get_by_role("main")
    main.get_by_role("link", name=wish).or_(main.get_by_role("button", name=wish)).first.click()


def type_in(page, label, text):
    """Type into the first field of a label and leave it."""
    field = page.get_by_role("textbox", name=label).first
    field.fill(text)
    field.press("Tab")


def stand_still(part):
    """Wait until a part of the page has not moved for 0.4 s.

    A folded part that slides open moves what stands in it away under the tap, as it would for a person who taps at once.
    """
    part.evaluate(
        """part => new Promise(done => {
            let place = "", since = 0
            const look = now => {
                const box = part.getBoundingClientRect(), here = `${box.top} ${box.left} ${box.height}`
                if (here !== place) [place, since] = [here, now]
                now - since > 400 ? done() : requestAnimationFrame(look)
            }
            requestAnimationFrame(look)
        })"""
    )


def choose(page, label, option):
    """Choose from the first list of a label."""
    settle(page)
    box = page.get_by_role("combobox", name=label).first
    box.scroll_into_view_if_needed()
    stand_still(box)  # a page that scrolls or is drawn anew closes its lists
    box.click()
    page.get_by_role("option", name=option, exact=True).click()
    settle(page)


def unfold(page, words):
    """Open the folded part of a name and return it."""
    part = page.locator("details", has=page.locator("summary").get_by_text(words)).first
    if part.get_attribute("open") is None:
        part.locator("summary").click()
    return part


def wait_for_value(page, label, text):
    """Wait until the first field of a label holds a text; the field itself may be drawn anew meanwhile."""
    from playwright.sync_api import expect  # here: without Playwright these tests are skipped

    expect(page.get_by_role("textbox", name=label).first).to_have_value(text, timeout=20_000)


def fits(page):
    """Tell whether nothing stands beyond the right edge of the page, or of its main part, which scrolls by itself.

    A page that is just drawn anew has 5 s for it.
    """
    from playwright.sync_api import TimeoutError

    main = "document.querySelector('[data-testid=stMain]')"
    fitting = f"document.documentElement.scrollWidth <= innerWidth && {main}.scrollWidth <= {main}.clientWidth"
    try:
        page.wait_for_function(fitting, timeout=5_000)
    except TimeoutError:
        return False
    return True


def fits_everywhere(page):
    """Tell whether a page fits on a phone and on a desk, and leave it at the width that it had."""
    size, fitting = page.viewport_size, []
    for width in (*WIDTHS, size["width"]):
        page.set_viewport_size(size | {"width": width})
        fitting.append(fits(page))
    return all(fitting)


def wait_in_sight(part):
    """Wait until a part of the page stands whole on the screen, without being scrolled to."""
    from playwright.sync_api import expect

    expect(part).to_be_in_viewport(ratio=1, timeout=20_000)


def wait_until(page, question):
    """Wait until a question is answered with yes; asked again and again for 20 s."""
    deadline = time.monotonic() + 20
    while not question():
        assert time.monotonic() < deadline, "in vain for 20 s"
        page.wait_for_timeout(100)


def upload(page, name, content, nth=0):
    chosen = {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    page.locator("input[type=file]").nth(nth).set_input_files(chosen)


def download(page, button):
    """Tap on a download and return its text."""
    settle(page)
    tap = page.get_by_role("button", name=button).first
    tap.scroll_into_view_if_needed()
    stand_still(tap)
    with page.expect_download() as begun:
        tap.click()
    return begun.value.path().read_text(encoding="utf-8")


def is_one_sheet(printed):
    """Tell whether a PDF has one page."""
    return printed.count(b"/Type /Page") - printed.count(b"/Type /Pages") == 1


class Hand:
    """Taps and types as a person does, and counts both."""

    def __init__(self, page, keyboard):
        self.page, self.keyboard, self.taps, self.typed = page, keyboard, 0, 0

    @classmethod
    def at_the_first_page(cls, page, size):
        """Return the hand of who opens the app: on a desk one that types, on a phone one that taps."""
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.goto("/")
        settle(page)
        return cls(page, keyboard=size == DESK)

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

    def follow(self, name):
        self.taps += 1
        link = self.page.get_by_role("main").get_by_role("link", name=name).first
        if self.keyboard:
            link.focus()
            self.page.keyboard.press("Enter")
        else:
            link.click()

    def type(self, label, text, within=None):
        self.typed += 1
        field = (within or self.page).get_by_role("textbox", name=label).first
        field.focus()
        self.page.keyboard.press("Control+A")  # of what the logbook may have filled in
        self.page.keyboard.type(text)
        self.page.keyboard.press("Tab")
        settle(self.page)
        return field
