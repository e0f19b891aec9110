"""Makes .pictures/check.png from the running app: `python -m pytest tests/browser/make_picture.py`.

Not collected with the tests: a picture is made anew when the page has changed, looked at, and committed.
"""

from pathlib import Path

import pytest

PICTURE = Path(__file__).resolve().parents[2] / ".pictures" / "check.png"
LARGEST = 300_000  # bytes


@pytest.mark.browser
@pytest.mark.parametrize("page", [1280], indirect=True)
def test_make_the_picture_of_the_page_check(page):
    page.set_viewport_size({"width": 1280, "height": 1000})
    page.goto("/?example=dull")
    page.locator(".glance").wait_for()
    page.locator(".stVegaLiteChart canvas, .stVegaLiteChart svg").first.wait_for()
    page.wait_for_timeout(1500)  # the chart settles
    PICTURE.parent.mkdir(exist_ok=True)
    page.screenshot(path=PICTURE)
    assert PICTURE.stat().st_size < LARGEST
