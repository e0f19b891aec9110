"""No file makes a reader fail: what once did is read again, and each reader gets dozens to hundreds of spoilt files.

Longer runs with other seeds, and new cases for `fuzz_cases/`: `python -m tests.fuzz SECONDS`.
"""

import re
from pathlib import Path

import pytest

from advisor.basis.fields import InputError
from advisor.readings import KINDS
from tests import fuzz
from tests.how_many import cases

BY_SUFFIX = {reader.suffix: reader for reader in fuzz.READERS.values()}
ROUND = {
    "sheet": cases(60, 250), "curve": 400, "logbook": cases(60, 250), "photograph": cases(400, 1500),
    "solid": cases(60, 200),
}  # fmt: skip

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore::RuntimeWarning"),  # numbers that overflow are then refused
]


@pytest.mark.parametrize("case", sorted(fuzz.CASES.iterdir()), ids=lambda case: case.name)
def test_what_once_broke_a_reader_no_longer_does(case: Path) -> None:
    assert fuzz.judge(BY_SUFFIX[case.suffix], case.read_bytes()) in ("read", "refused")


@pytest.mark.parametrize("name", fuzz.READERS)
def test_spoilt_files_are_read_or_refused(name: str) -> None:
    outcome = fuzz.fuzz(fuzz.READERS[name], seed=0, cases=ROUND[name])
    assert outcome.faults == {}
    assert outcome.counts["read"] > ROUND[name] // 100  # else nothing gets past the first check
    assert outcome.counts["refused"] > ROUND[name] // 100


@pytest.mark.parametrize("name", fuzz.READERS)
def test_the_files_to_begin_with_are_sound(name: str) -> None:
    reader = fuzz.READERS[name]
    found = [fuzz.judge(reader, content) for content in reader.seeds()]
    assert set(found) <= {"read", "refused"}
    assert found.count("read") >= 0.5 * len(found)  # of photographs some are without colour


def test_the_sheet_to_begin_with_has_every_kind_of_reading() -> None:
    assert set(re.findall(r'kind = "([^"]*)"\n', fuzz.EVERY_KIND)) >= set(KINDS)


def test_a_fault_is_found_and_shortened() -> None:
    """The fuzzer's own check: a reader that fails on one word in a file."""

    def read(content: bytes) -> None:
        if b"vertex" in content:
            raise KeyError("vertex")
        raise InputError("here", "", "no")

    faulty = fuzz.Reader(".csv", read, lambda: [b"0;1\n2;3\n", b"a;b\n0;1\n vertex 5\n"])
    outcome = fuzz.fuzz(faulty, seed=0, cases=50)
    assert outcome.counts["wrong"] > 5
    fault, content = next(iter(outcome.faults.items()))
    assert "KeyError" in fault
    assert fuzz.shortened(faulty, content, fault) == b"vertex"
