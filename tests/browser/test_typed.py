"""What stands in a field when a link is tapped is kept, though nobody left the field before."""

import contextlib
import os
import signal
import threading

import pytest

from tests.browser.steps import DESK_ONLY, PHONE_ONLY, open_page, settle, wait_for_value

pytestmark = pytest.mark.browser
VOLUME = "Bath in the tank now (L)"


@contextlib.contextmanager
def not_answering(server, seconds):
    """Stop the process of the server for a while, as a busy computer does."""
    os.kill(server.process, signal.SIGSTOP)
    timer = threading.Timer(seconds, os.kill, (server.process, signal.SIGCONT))
    timer.start()
    try:
        yield
    finally:
        timer.join()


def tap_on_link(page, name):
    page.get_by_role("link", name=name).filter(visible=True).first.click()


@PHONE_ONLY
def test_a_tap_on_a_link_keeps_what_stands_in_the_field(page):
    open_page(page, "Check")
    for typed in ("6.25 L", "6.75 L"):
        page.get_by_role("textbox", name=VOLUME).first.fill(typed)
        tap_on_link(page, "Logbook")
        page.get_by_role("heading", name="Logbook", level=1).wait_for()
        settle(page)
        tap_on_link(page, "Check")
        wait_for_value(page, VOLUME, typed)
        assert page.get_by_role("textbox", name=VOLUME).first.input_value() == typed
    # Enter sends what was typed, and the page writes its unit behind it; nothing is left to wait for.
    field = page.get_by_role("textbox", name=VOLUME).first
    field.fill("6")
    field.press("Enter")
    wait_for_value(page, VOLUME, "6 L")
    settle(page)
    tap_on_link(page, "Logbook")
    assert page.url.endswith("/logbook")  # a link that waits turns the page seconds later


@DESK_ONLY
def test_a_link_to_a_page_is_no_new_visit_leads_back_and_keeps_what_is_typed_where_the_app_is_busy(page, server):
    open_page(page, "Check", "dull")
    page.evaluate("document.documentElement.dataset.visit = 'the first'")
    for name in ("Logbook", "Check", "Baths"):
        page.get_by_role("navigation").get_by_role("link", name=name, exact=True).filter(visible=True).first.click()
        page.get_by_role("navigation").locator("[aria-current=page]", has_text=name).filter(visible=True).wait_for()
        settle(page)
    for name, address in (("Check", "/check"), ("Logbook", "/logbook"), ("Check", "/check?example=dull")):
        page.go_back()
        page.get_by_role("navigation").locator("[aria-current=page]", has_text=name).filter(visible=True).wait_for()
        assert page.url.endswith(address)
    page.get_by_text("Leafcast, big tank (example): ").wait_for()
    page.get_by_role("textbox", name="Titrant used (mL)").first.fill("9.25 mL")
    with not_answering(server, seconds=1.5):
        tap_on_link(page, "Logbook")
    page.get_by_role("heading", name="Logbook", level=1).wait_for()
    settle(page)
    tap_on_link(page, "Check")
    wait_for_value(page, "Titrant used (mL)", "9.25 mL")
    assert page.get_by_role("textbox", name="Titrant used (mL)").first.input_value() == "9.25 mL"
    assert page.locator("html").get_attribute("data-visit") == "the first"
