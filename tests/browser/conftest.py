"""One server of the app for all tests, and a real browser's tab that fails on an error or foreign request."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER_FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
START_UP_SECONDS = 60
WIDTHS = (1280, 360)  # a desk and a phone


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        return probe.getsockname()[1]


def wait_until_it_runs(url: str, server: subprocess.Popen) -> None:
    """The script's own health check: an answer from the root proves only that the server is there."""
    deadline = time.monotonic() + START_UP_SECONDS
    while server.poll() is None and time.monotonic() < deadline:
        try:
            urllib.request.urlopen(f"{url}/_stcore/script-health-check", timeout=10).close()
            return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    pytest.fail(f"the app did not start within {START_UP_SECONDS} s (exit code {server.poll()})")


@pytest.fixture(scope="session")
def server_url(tmp_path_factory) -> Iterator[str]:
    """Address of the app, started by its launcher with a home and a data folder of its own."""
    home = tmp_path_factory.mktemp("home")
    port = free_port()
    command = [
        sys.executable,
        "-c",
        "import sys; from advisor.launch import main; main(sys.argv[1:])",
        f"--server.port={port}",
        "--server.headless=true",
        "--server.fileWatcherType=none",
        "--server.scriptHealthCheckEnabled=true",
    ]
    environment = os.environ | {"HOME": str(home), "ADVISOR_DATA_FOLDER": str(home / "data")}
    with subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) as server:
        try:
            wait_until_it_runs(f"http://localhost:{port}", server)
            yield f"http://localhost:{port}"
        finally:
            server.terminate()


@pytest.fixture(scope="module")
def browser():
    """A browser for one file of tests: Playwright's event loop must not outlive the tests that need it."""
    playwright = pytest.importorskip("playwright.sync_api", reason="the Python package playwright is missing")
    executable = next(filter(None, map(shutil.which, BROWSERS)), None)
    if executable is None:
        pytest.skip("no Chromium or Chrome is installed")
    with playwright.sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=executable, headless=True, args=BROWSER_FLAGS)
        yield chromium
        chromium.close()


def is_error(line) -> bool:
    """All but two 404s: opened at a page's own address, Streamlit first asks below that address."""
    expected = ("/_stcore/health", "/_stcore/host-config")
    return line.type == "error" and not ("404" in line.text and line.location["url"].endswith(expected))


def is_foreign(url: str) -> bool:
    address = urlsplit(url)
    return address.scheme not in ("data", "blob") and address.hostname not in ("localhost", "127.0.0.1")


@pytest.fixture(params=WIDTHS, ids=lambda width: f"{width}px")
def page(browser, server_url, request):
    """An empty tab, at each width in turn; `goto("/")` opens the app. Whatever went wrong fails the test.

    For one width only: `@pytest.mark.parametrize("page", [1280], indirect=True)`.
    """
    faults = []
    context = browser.new_context(base_url=server_url, viewport={"width": request.param, "height": 800})
    context.set_default_timeout(20_000)
    tab = context.new_page()
    tab.on("console", lambda line: is_error(line) and faults.append(f"console: {line.text}"))
    tab.on("pageerror", lambda error: faults.append(f"script error: {error}"))
    for event in ("request", "websocket"):
        tab.on(event, lambda sent: is_foreign(sent.url) and faults.append(f"foreign request: {sent.url}"))
    yield tab
    context.close()
    assert faults == []
