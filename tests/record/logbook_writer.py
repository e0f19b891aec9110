"""Writes level marks to a logbook and says each number once it is committed: a program of its own for the tests.

`PATH BATH COUNT` writes that many. `PATH BATH COUNT KILLS` starts such a writer KILLS times, kills each a moment after
its first entry, and passes on what they said.
"""

import os
import random
import signal
import sys
import time
from pathlib import Path

from advisor.basis.units import parse
from advisor.record.entries import LevelMark
from advisor.record.logbook import Logbook


def write(path: Path, bath: str, count: int, out: int) -> None:
    logbook = Logbook(path)
    for number in range(count):
        entry = logbook.record(bath, LevelMark(volume=parse(f"{5 + number / 1e4:.4f} L", "volume")))
        os.write(out, b"%d\n" % entry.id)


def write_and_be_killed(path: Path, bath: str, count: int, chance: random.Random) -> bytes:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        write(path, bath, count, writing)
        os._exit(1)  # it was to be killed before it was done
    os.close(writing)
    said = os.read(reading, 1)  # it is at work
    time.sleep(chance.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1])
    while more := os.read(reading, 65536):
        said += more
    os.close(reading)
    return said


if __name__ == "__main__":
    path, bath, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    if len(sys.argv) == 4:
        write(path, bath, count, sys.stdout.fileno())
    else:
        chance = random.Random(1)
        for _ in range(int(sys.argv[4])):
            os.write(sys.stdout.fileno(), write_and_be_killed(path, bath, count, chance))
