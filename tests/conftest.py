"""What all tests share: none touches a person's own logbook, and where FAIL_ON_SKIP=1 none may be skipped."""

import os

# A process of tests has a core of its own: threads for a matrix would only wait for each other. NumPy reads it once, so
# that it stands before all other imports.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import functools
import gc
import tomllib
from collections.abc import Callable, Iterator, Sequence
from itertools import count
from pathlib import Path

import pytest
from streamlit import config
from streamlit.components.v2 import manifest_scanner
from streamlit.runtime.scriptrunner.script_cache import ScriptCache
from streamlit.testing.v1 import AppTest, local_script_runner
from streamlit.testing.v1 import app_test as visits

from advisor.examples import EXAMPLE_VARIABLE
from advisor.launch import APP
from advisor.ui.parts import answers
from advisor.ui.session import state
from tests.widgets import turn_to

NUMBERS = count()
LONGEST_RUN = 120  # seconds that a page may take where other work holds the machine up


def skipped_but_forbidden(config: pytest.Config) -> int:
    if os.environ.get("FAIL_ON_SKIP") != "1":
        return 0
    return len(config.pluginmanager.get_plugin("terminalreporter").stats.get("skipped", []))


def said_of_reruns(nodes: Sequence[str]) -> list[str]:
    """Say how many tests got a second go and which: a browser that timed out, and passed or failed then."""
    if not nodes:
        return []
    each = [f"  {node}: {nodes.count(node)}" for node in sorted(set(nodes))]
    return [f"{len(nodes)} second goes after a timeout:", *each]


# Functions that took some 0.3 s of processor time or more in all their cases when that was last measured.
MEASURED_SLOW = frozenset((Path(__file__).parent / "slow_functions.txt").read_text("utf-8").split())


@pytest.hookimpl(tryfirst=True)  # before `-m` chooses
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        draws_a_page = "new_visit" in getattr(item, "fixturenames", ())
        is_slow = draws_a_page or item.nodeid.partition("[")[0] in MEASURED_SLOW
        if not is_slow and not any(item.get_closest_marker(name) for name in ("browser", "slow", "benchmark")):
            item.add_marker(pytest.mark.fast)
    # Each process (`--dist worksteal` gives each a stretch) ends with its quick ones: none waits for a long test of another.
    quick = [item for item in items if item.get_closest_marker("fast")]
    others = [item for item in items if not item.get_closest_marker("fast")]
    count = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    items[:] = [item for number in range(count) for kind in (others, quick) for item in stretch(kind, number, count)]


def stretch(items: list[pytest.Item], number: int, count: int) -> list[pytest.Item]:
    return items[number * len(items) // count : (number + 1) * len(items) // count]


def pytest_collection_finish() -> None:
    """What was imported and collected stays to the end: from here on the collector of garbage passes it by, and comes seldom."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


def pytest_sessionfinish(session: pytest.Session) -> None:
    if skipped_but_forbidden(session.config) and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    for line in said_of_reruns([report.nodeid for report in terminalreporter.stats.get("rerun", [])]):
        terminalreporter.write_line(line, yellow=True)
    if count := skipped_but_forbidden(config):
        terminalreporter.section("skipped tests are failures here (FAIL_ON_SKIP=1)", red=True)
        for report in terminalreporter.stats["skipped"]:
            terminalreporter.write_line(f"{report.nodeid}: {report.longrepr[-1]}")
        terminalreporter.write_line(f"{count} skipped: install what is missing", red=True)


@pytest.fixture(autouse=True)
def own_surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    # Named only, since few tests write; the `tmp_path` of each of thousands would be made and removed for nothing.
    folder = tmp_path_factory.getbasetemp() / f"data_{next(NUMBERS)}"
    monkeypatch.setenv("ADVISOR_DATA_FOLDER", str(folder))
    monkeypatch.delenv(EXAMPLE_VARIABLE, raising=False)


@pytest.fixture(autouse=True, scope="session")
def as_the_server_does() -> Iterator[None]:
    """AppTest reads none of the app's settings, so that it would count what is used, and look for garbage after each run.

    And what a server does once, it does anew for each visit or run: look for components in all packages, compile, and
    make a stand-in for the server, whose parts are then made as they are asked for.
    """
    settings = tomllib.loads((APP.parent / ".streamlit" / "config.toml").read_text("utf-8"))
    for section in ("browser", "global", "runner"):
        for name, value in settings[section].items():
            config.set_option(f"{section}.{name}", value)
    compiled, found = ScriptCache(), functools.cache(manifest_scanner.scan_component_manifests)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(manifest_scanner, "scan_component_manifests", found)
        for module in (visits, local_script_runner):
            patch.setattr(module, "ScriptCache", lambda: compiled)
        patch.setattr(visits, "MagicMock", functools.cache(visits.MagicMock))
        yield


@pytest.fixture
def new_visit(monkeypatch: pytest.MonkeyPatch) -> Callable[[], AppTest]:
    """Comes to the app; taps are never double clicks here, and no thread sends what is drawn, which a page would wait for."""
    monkeypatch.setattr(state, "DOUBLE_CLICK", 0.0)
    monkeypatch.setattr(answers, "UNTIL_SENT", 0.0)
    return lambda: AppTest.from_file(str(APP), default_timeout=LONGEST_RUN)


@pytest.fixture
def app_test(new_visit: Callable[[], AppTest]) -> Callable[..., AppTest]:
    """Opens a page by its file name, as a person does who has its address: through app.py, and with no page before it.

    example: the one that the address asks for, which spares the run of an empty page and the tap on a button there.
    """

    def open_page(file: str, example: str = "") -> AppTest:
        app = new_visit()
        app.session_state["check_way"] = "all"  # the page Check asks all at once; `test_guided` has it ask one by one
        if example:
            app.query_params["example"] = example
        turn_to(app, file)
        app.query_params.pop("example", None)  # whoever goes on by the menu has it no more
        return app

    return open_page
