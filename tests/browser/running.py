"""The app running on a free port with a home of its own, and the Chromium or Chrome of this machine to open it with."""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

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
    "--process-per-site",  # tabs of one visitor share what is compiled
    # And it is not thrown away between two visits: a quarter of a visit's work. Nothing runs for long enough to be worth
    # optimizing, which is an eighth.
    "--js-flags=--no-flush-bytecode --no-opt --no-maglev",
)
START_UP_SECONDS = 60
WIDTHS = (1280, 360)  # a desk and a phone


class DidNotStart(Exception):
    """The app did not come up in time."""


@dataclass(frozen=True)
class RunningApp:
    """Where the app answers, how long it took to come up [s], its process, and its logbook."""

    port: int
    start_seconds: float
    process: int
    logbook: Path

    @property
    def url(self) -> str:
        return f"http://localhost:{self.port}"


def find_browser() -> str | None:
    return next(filter(None, map(shutil.which, BROWSERS)), None)


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
    raise DidNotStart(f"the app did not start within {START_UP_SECONDS} s (exit code {server.poll()})")


@contextlib.contextmanager
def running_app(home: Path, port: int | None = None) -> Iterator[RunningApp]:
    """Start the app by its launcher, with its home and data below `home`; it is stopped at the end."""
    port = port or free_port()
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
    begun = time.monotonic()
    with subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) as server:
        try:
            wait_until_it_runs(f"http://localhost:{port}", server)
            yield RunningApp(port, time.monotonic() - begun, server.pid, home / "data" / "logbook.sqlite3")
        finally:
            server.terminate()
