"""How fast a logbook of 50,000 entries is: `python -m tests.benchmarks.long_logbook [ENTRIES]`.

One bath, twenty years: a check every fortnight, and plating runs, water, crystals, acid and level marks in between, some
of them corrected. Told is the time of `history`, of the first view of Home and Logbook in a process that has read
nothing yet, and of drawing each once more. `test_a_long_logbook_is_fast` holds the figures (marked `benchmark`).
"""

from __future__ import annotations

import datetime
import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.basis.places import FOLDER_VARIABLE, PAGES
from advisor.basis.units import Measured, parse
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.entries import AcidAdded, AnodeChange, Check, Content, CrystalsAdded, Entry, LevelMark, RunDone
from advisor.record.entries import WaterAdded as Water
from advisor.record.entry_text import write_json
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet, write_sheet

BATH = "Long tank"
ENTRIES = 50_000
YEARS = 20
DIFFERENT = 12  # sheets, each with the advice on it
FIGURES = {"history": 0.5, "home": 0.5, "logbook": 1.5}  # s, of the first view


def checks(chance: random.Random) -> list[Check]:
    """Return checks whose readings differ."""
    import json

    found = []
    for _ in range(DIFFERENT):
        text = example_text("dull").replace("Leafcast, big tank (example)", BATH)
        sheet = parse_sheet(text.encode())
        level = Measured.of(5.6 + chance.uniform(-0.1, 0.1), "L", "volume", digits=4)
        sheet = replace(sheet, bath=replace(sheet.bath, volume=level, anodes="copper"))
        found.append(Check(write_sheet(sheet), json.loads(write_json(advise(sheet).to_dict()))))
    return found


def made(chance: random.Random) -> Content:
    """Return what was done on an ordinary day."""
    drawn = chance.random()
    if drawn < 0.7:
        amperes, hours = chance.uniform(0.5, 3), chance.uniform(1, 12)
        return RunDone(current=parse(f"{amperes:.2f} A", "current"), time=parse(f"{hours:.1f} h", "time"))
    if drawn < 0.85:
        return Water(volume=parse(f"{chance.uniform(0.02, 0.08):.3f} L", "volume"))
    if drawn < 0.92:
        return LevelMark(volume=parse(f"{chance.uniform(5.3, 5.7):.2f} L", "volume"))
    if drawn < 0.96:
        return CrystalsAdded(mass=parse(f"{chance.uniform(10, 60):.0f} g", "mass"))
    if drawn < 0.999:
        return AcidAdded(volume=parse(f"{chance.uniform(5, 20):.0f} mL", "volume"), strength=parse("37 %", "fraction"))
    return AnodeChange(anodes="phosphorised copper")


def entries(count: int) -> Iterator[Entry]:
    """Yield the entries of the long record, the last of them yesterday."""
    chance = random.Random(1)
    kinds = checks(chance)
    step = datetime.timedelta(days=365.25 * YEARS) / count
    begin = datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=1) - step * count
    fortnight = max(int(datetime.timedelta(days=14) / step), 1)
    for number in range(1, count + 1):
        when = begin + number * step
        content = chance.choice(kinds) if number % fortnight == 1 else made(chance)
        yield Entry(number, BATH, when, when, "0.1.0", None, content)
        if number % 500 == 0 and not isinstance(content, Check):
            yield Entry(count + number, BATH, when, when, "0.1.0", number, content)


def build(logbook: Logbook, count: int) -> None:
    """Write the long record."""
    logbook.append_all([BATH], entries(count), {})


def timed(work: object, *given: object) -> float:
    start = time.perf_counter()
    work(*given)  # type: ignore[operator]
    return time.perf_counter() - start


def history_takes() -> float:
    """Return the seconds of the command in a process of its own."""
    import subprocess

    command = [sys.executable, "-m", "advisor", "history", BATH]
    return timed(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL))


def page_takes(page: str) -> tuple[float, float]:
    """Return the seconds of the first view of a page in this process, and of the second."""
    from streamlit.testing.v1 import AppTest

    from advisor.launch import APP

    app = AppTest.from_file(str(APP), default_timeout=120)
    app.session_state["check_way"] = "all"
    app.switch_page(str(PAGES / "glossary.py")).run()  # what loading the app takes is not the logbook's
    first = timed(app.switch_page(str(PAGES / page)).run)
    assert not app.exception
    return first, timed(app.run)


def figures(count: int) -> dict[str, float]:
    """Build the record in a folder of its own, and return the seconds of each figure."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[FOLDER_VARIABLE] = folder
        build(Logbook(), count)
        size = (Path(folder) / "logbook.sqlite3").stat().st_size / 1e6
        found = {"MB": size, "history": min(history_takes() for _ in range(3))}
        for page in ("home", "logbook"):
            found[page], found[f"{page} again"] = page_takes(f"{page}.py")
    return found


@pytest.mark.benchmark
def test_a_long_logbook_is_fast(monkeypatch, tmp_path):
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path))
    found = figures(ENTRIES)
    assert {name: found[name] for name, most in FIGURES.items() if found[name] > most} == {}


if __name__ == "__main__":
    for name, number in figures(int(sys.argv[1]) if len(sys.argv) > 1 else ENTRIES).items():
        print(f"{name:14s} {number:8.2f}")
