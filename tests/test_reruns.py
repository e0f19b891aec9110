"""What a run says of tests that got a second go."""

import pytest

pytestmark = pytest.mark.slow

pytest_plugins = "pytester"

SOURCE = """
import pathlib

def test_times_out_once():
    mark = pathlib.Path("seen")
    if not mark.exists():
        mark.touch()
        raise TimeoutError("busy machine")

def test_sound():
    pass
"""


def test_a_second_go_after_a_timeout_is_counted_and_named(pytester, request):
    pytest.importorskip("pytest_rerunfailures", reason="the plugin pytest-rerunfailures is missing")
    root = request.config.rootpath
    pytester.makeconftest(
        f"import sys\nsys.path.insert(0, {str(root)!r})\nfrom tests.conftest import pytest_terminal_summary\n"
    )
    pytester.makepyfile(SOURCE)
    done = pytester.runpytest_inprocess("--reruns", "1", "--only-rerun", "TimeoutError")
    done.assert_outcomes(passed=2)
    done.stdout.fnmatch_lines(["1 second goes after a timeout:", "*test_times_out_once: 1"])


def test_nothing_is_said_where_all_passed_at_once(pytester, request):
    root = request.config.rootpath
    pytester.makeconftest(
        f"import sys\nsys.path.insert(0, {str(root)!r})\nfrom tests.conftest import pytest_terminal_summary\n"
    )
    pytester.makepyfile("def test_sound():\n    pass\n")
    assert "second goes" not in pytester.runpytest_inprocess().stdout.str()
