"""Takes a picture of every page, on a desk and on a phone, light and dark: `python -m tests.browser.screenshots FOLDER`.

It starts the app by itself and shows an example bath. Not collected with the tests: pictures are looked at.
"""

import argparse
import tempfile
from itertools import product
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.running import BROWSER_FLAGS, find_browser, running_app
from tests.browser.steps import ADDRESSES, DESK, PHONE, open_page, settle, type_in

EXAMPLE = "dull"
# What no example holds and the page asks for first, so that its answer is on the picture.
TYPED = {
    "Plating run": (("Area of the part (cm²)", "120"), ("Copper wanted (µm)", "100")),
    "Mix": (("Bath wanted (L)", "5"),),
}


def fill_in(page, title):
    for label, text in TYPED.get(title, ()):
        if page.get_by_role("textbox", name=label).count():
            type_in(page, label, text)
    if title == "Deposit faults":
        page.get_by_role("button", name="dull", exact=True).first.click()
    page.wait_for_timeout(2000)  # the answer comes and its chart settles
    settle(page)


def grow(page, width):
    """Make the window as high as the page, which scrolls inside it."""
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_timeout(700)


def take_all(folder):
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, running_app(Path(home)) as app, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=find_browser(), headless=True, args=BROWSER_FLAGS)
        for (width, height), theme in product((PHONE, DESK), ("light", "dark")):
            for title, address in ADDRESSES.items():
                page = browser.new_page(
                    base_url=app.url,
                    viewport={"width": width, "height": height},
                    reduced_motion="reduce",
                    color_scheme=theme,
                )
                open_page(page, title, EXAMPLE if address else "")
                fill_in(page, title)
                grow(page, width)
                picture = folder / f"{address or 'first'}_{width}_{theme}.png"
                page.screenshot(path=picture)
                print(picture)
                page.close()
        browser.close()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, help="where the pictures go")
    take_all(parser.parse_args().folder)
