"""One server of the app for all tests, and a real browser's tab that fails on an error or foreign request."""

import contextlib
import shutil
import zlib
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest

from tests.browser.running import BROWSER_FLAGS, WIDTHS, DidNotStart, RunningApp, find_browser, running_app

HEIGHT = 800
THEMES = ("light", "dark")


@pytest.fixture(scope="session")
def server(tmp_path_factory) -> Iterator[RunningApp]:
    try:
        with running_app(tmp_path_factory.mktemp("home")) as app:
            yield app
    except DidNotStart as error:
        pytest.fail(str(error))


class OneBrowser:
    """A browser for all tests in it that follow one another: Playwright's event loop must not outlive them.

    Its first visitor keeps a tab on a page without scripts, so that the process of that visitor lives on
    (`--process-per-site`) and the next tab finds Streamlit's scripts loaded and compiled: a third of a visit's work.
    """

    def __init__(self) -> None:
        self.stack = contextlib.ExitStack()
        self.chromium = None
        self.came_before = None

    def open(self):
        if self.chromium is not None and self.chromium.is_connected():
            return self.chromium
        self.close()
        playwright = pytest.importorskip("playwright.sync_api", reason="the Python package playwright is missing")
        executable = find_browser()
        if executable is None:
            pytest.skip("no Chromium or Chrome is installed")
        driver = self.stack.enter_context(playwright.sync_playwright())
        self.chromium = driver.chromium.launch(executable_path=executable, headless=True, args=BROWSER_FLAGS)
        self.stack.callback(self.chromium.close)
        return self.chromium

    def first_visitor(self, server):
        if self.came_before is None:
            self.came_before = new_context(self.open(), server)
            self.came_before.new_page().goto("/_stcore/health")
        return self.came_before

    def close(self) -> None:
        self.stack.close()
        self.chromium = self.came_before = None


ONE = OneBrowser()


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(nextitem: pytest.Item | None) -> None:
    if nextitem is None or nextitem.get_closest_marker("browser") is None:
        ONE.close()


@pytest.fixture
def browser():
    return ONE.open()


def is_error(line) -> bool:
    """All but some 404s: opened at a page's own address, Streamlit first asks below that address; and where a page is
    drawn anew at once, a download button that was just drawn looks for its file of before. Downloads have their tests.
    """
    expected = ("/_stcore/health", "/_stcore/host-config")
    asked = line.location["url"]
    gone = "404" in line.text and (asked.endswith(expected) or "/media/" in asked)
    return line.type == "error" and not gone and not line.text.endswith("Download Button source error - 404")


def is_foreign(url: str) -> bool:
    address = urlsplit(url)
    return address.scheme not in ("data", "blob") and address.hostname not in ("localhost", "127.0.0.1")


def new_context(browser, server):
    context = browser.new_context(
        base_url=server.url, viewport={"width": WIDTHS[0], "height": HEIGHT}, reduced_motion="reduce"
    )
    context.set_default_timeout(20_000)
    return context


def theme_of(journey: str, width: int) -> str:
    """Return the theme in which a test is driven: the other one on a phone than on a desk, in turn by its name."""
    turn = zlib.crc32(journey.encode()) + WIDTHS.index(width) if width in WIDTHS else 0
    return THEMES[turn % len(THEMES)]


@pytest.fixture
def came_before(browser, server):
    return ONE.first_visitor(server)


def forget_all(tab, address: str) -> None:
    """Leave to a tab's browser nothing of the visit before but the scripts that it has loaded."""
    session = tab.context.new_cdp_session(tab)
    session.send("Storage.clearDataForOrigin", {"origin": address, "storageTypes": "all"})
    session.detach()


@pytest.fixture
def visitor(browser, server, came_before, request):
    """Opens empty tabs, each that of another visitor, at a width. Whatever went wrong in one fails the test.

    The first has the scripts of the app from the tests before, and nothing else of theirs; any other, and one that
    comes `afresh`, has a browser of its own. No sheet that another test left is offered. An open dialog is a fault too: the app opens none, so it is a script that
    a sheet brought in.
    """
    faults, tabs = [], []
    shutil.rmtree(server.logbook.parent / "drafts", ignore_errors=True)

    def dismiss(dialog) -> None:
        faults.append(f"dialog: {dialog.message}")
        dialog.dismiss()

    def arrive(width: int, afresh: bool = False):
        context = new_context(browser, server) if tabs or afresh else came_before
        tab = context.new_page()
        tabs.append(tab)
        forget_all(tab, server.url)
        tab.set_viewport_size({"width": width, "height": HEIGHT})
        tab.emulate_media(color_scheme=theme_of(request.function.__name__, width))
        tab.on("console", lambda line: is_error(line) and faults.append(f"console: {line.text}"))
        tab.on("pageerror", lambda error: faults.append(f"script error: {error}"))
        tab.on("dialog", dismiss)
        for event in ("request", "websocket"):
            tab.on(event, lambda sent: is_foreign(sent.url) and faults.append(f"foreign request: {sent.url}"))
        return tab

    yield arrive
    for tab in tabs:
        tab.close() if tab.context is came_before else tab.context.close()
    assert faults == []


@pytest.fixture(params=WIDTHS, ids=lambda width: f"{width}px")
def page(visitor, request):
    """An empty tab, at each width in turn; `goto("/")` opens the app.

    For one width only: `@pytest.mark.parametrize("page", [1280], indirect=True)`.
    """
    return visitor(request.param)
