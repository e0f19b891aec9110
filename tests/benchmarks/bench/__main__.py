"""Run the bench, or go on where it stopped: see the package."""

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is imported: one core

import argparse
from pathlib import Path

from tests.benchmarks.bench.flask import database_paths
from tests.benchmarks.bench.report import report
from tests.benchmarks.bench.run import OtherRun, asked, run


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bench", description=__doc__)
    parser.add_argument("state", type=Path, help="file that keeps what is measured, a line a bath (JSON)")
    parser.add_argument("--baths", type=int, default=600)
    parser.add_argument("--seconds", type=float, default=3600.0, help="stop after this time, to go on another day")
    parser.add_argument("--databases", type=Path, help="a folder of PHREEQC databases; else pyEQL's where installed")
    given = parser.parse_args()
    try:
        results = run(given.state, given.baths, given.seconds, database_paths(given.databases))
    except OtherRun as error:
        parser.error(str(error))
    print(report(results, asked()))


main()
