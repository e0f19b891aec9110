"""Live the years, or go on where they stopped: see the package."""

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is imported: one core

import argparse
from dataclasses import replace
from pathlib import Path

from tests.benchmarks.years.life import TROUBLES
from tests.benchmarks.years.run import run, table


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.years", description=__doc__)
    parser.add_argument("state", type=Path, help="file that keeps what came true, a line a bath (JSON)")
    parser.add_argument(
        "--baths", type=int, default=10, help="of each kind and regime; six times as many of short ones"
    )
    parser.add_argument("--seconds", type=float, default=3600.0, help="stop after this time, to go on another day")
    parser.add_argument(
        "--kinds", nargs="+", choices=list(TROUBLES), default=list(TROUBLES), help="only these troubles"
    )
    parser.add_argument(
        "--days", type=int, help="length of each life: what errs alike all life long is drawn oftener in short ones"
    )
    given = parser.parse_args()
    for kind in given.kinds if given.days else ():
        TROUBLES[kind] = replace(TROUBLES[kind], days=given.days)
    print(table(run(given.state, given.baths, given.seconds, given.kinds)))


main()
