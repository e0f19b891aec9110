"""Takes a picture of everything there is to look at, on a phone and a desk, light and dark, from top to bottom.

    python -m tests.browser.screenshots FOLDER [WORD ...]

With words, only the views whose names hold one of them. It starts the app by itself; of a phone light and dark stand side
by side in one picture. Not collected with the tests: pictures are looked at.
"""

import argparse
import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.browser.running import BROWSER_FLAGS, find_browser, running_app
from tests.browser.steps import DESK, PHONE, in_theme, settle
from tests.browser.views import VIEWS, write_a_record

THEMES = ("light", "dark")
PATIENCE = 300_000  # ms, of a machine that has other things to do (judgement)
HEIGHT = "document.querySelector('[data-testid=stMain]').scrollHeight"


def whole_page(page, size, theme):
    """Return a picture of the page from its top to its end; the page scrolls inside the window, which is made as high."""
    width, height = size
    page.set_viewport_size({"width": width, "height": height})
    in_theme(page, theme)
    page.wait_for_timeout(400)  # columns move, charts are drawn anew
    settle(page)
    page.set_viewport_size({"width": width, "height": max(page.evaluate(HEIGHT), height)})
    page.wait_for_timeout(400)
    return Image.open(io.BytesIO(page.screenshot()))


def side_by_side(pictures):
    whole = Image.new("RGB", (sum(one.width for one in pictures), max(one.height for one in pictures)), "grey")
    for number, one in enumerate(pictures):
        whole.paste(one, (sum(before.width for before in pictures[:number]), 0))
    return whole


def take_all(folder, words):
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, running_app(Path(home)) as app, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=find_browser(), headless=True, args=BROWSER_FLAGS)
        file = Path(home) / "data" / "logbook.sqlite3"
        for view in (one for one in VIEWS if not words or any(word in one.name for word in words)):
            if view.record and not file.exists():
                write_a_record(file)
            name = folder / view.name.replace(", ", "_").replace(" ", "_")
            context = browser.new_context(base_url=app.url, reduced_motion="reduce")
            context.set_default_timeout(PATIENCE)
            page = context.new_page()
            page.set_viewport_size({"width": DESK[0], "height": DESK[1]})  # with the menu at the side
            view.show(page)
            taken = {(size, theme): whole_page(page, size, theme) for size in (DESK, PHONE) for theme in THEMES}
            context.close()
            shutil.rmtree(file.parent / "drafts", ignore_errors=True)  # else the next is offered what was typed here
            for theme in THEMES:
                taken[DESK, theme].save(f"{name}_{DESK[0]}_{theme}.png")
            side_by_side([taken[PHONE, theme] for theme in THEMES]).save(f"{name}_{PHONE[0]}.png")
            print(name, flush=True)
        browser.close()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, help="where the pictures go")
    parser.add_argument("words", nargs="*", help="parts of the names of the views to take; without any, all")
    take_all(**vars(parser.parse_args()))
