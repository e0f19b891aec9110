"""Makes the pictures of the README from the running app: `python -m pytest tests/browser/make_picture.py`.

Not collected with the tests: a picture is made anew when the page has changed, looked at, and committed.
"""

from pathlib import Path

import pytest

PICTURES = Path(__file__).resolve().parents[2] / ".pictures"
LARGEST = 300_000  # bytes


@pytest.mark.browser
@pytest.mark.parametrize(("page", "height", "name"), [(1280, 1000, "check"), (360, 740, "phone")], indirect=["page"])
def test_make_the_picture_of_the_page_check(page, height, name):
    page.set_viewport_size(page.viewport_size | {"height": height})
    page.goto("/?example=dull")
    page.locator(".glance").wait_for()
    page.locator(".bath-map img").first.wait_for()
    page.wait_for_timeout(1500)  # the chart settles
    PICTURES.mkdir(exist_ok=True)
    picture = PICTURES / f"{name}.png"
    page.screenshot(path=picture)
    assert picture.stat().st_size < LARGEST
