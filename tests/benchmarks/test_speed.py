"""How fast the parts are, as ratios to a yardstick measured in the same run.

    python -m pytest tests/benchmarks -m benchmark -s

Left out of the usual run by its marker `benchmark`. Our own figures are timed by pytest-benchmark, which prints their table and
can keep and compare them (`--benchmark-save NAME`, `--benchmark-compare`); yardsticks by `timeit`. What is judged is the least of
several runs, which other work on the machine disturbs least; of sheets that differ it is the median.
"""

import datetime
import itertools
import os
import subprocess
import sys
import time
import timeit
import urllib.request
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from advisor import advise
from advisor.basis.units import parse
from advisor.check.advice import Advice
from advisor.check.estimate import estimate
from advisor.readings.curve_fit import fit_curve
from advisor.readings.hydrometer import _clean_density, _mass_fractions
from advisor.readings.thinned_conductivity import _read_by
from advisor.record.logbook import Logbook
from advisor.sheet import Sheet, parse_sheet, read_sheet
from advisor.solution.density import density, density_from_mass_fractions
from advisor.solution.equilibrium import Flask, _solved, pH_at_titrant_volume

pytestmark = pytest.mark.benchmark(timer=time.process_time)
WALL_CLOCK = pytest.mark.benchmark(timer=time.perf_counter)  # for what runs in another process
ROOT = Path(__file__).parents[2]
FOUR_READINGS = b"""
[bath]
volume = "5.6 L"
usual_volume = "6 L"
[gear]
have = ["0.1 g scale", "hydrometer", "10 mL syringe"]
[[reading]]
kind = "acid titration"
sample = "10 mL"
diluted_to = "100 mL"
titrant = "sodium carbonate"
strength = "0.25 mol/L"
used = "19.5 mL"
end_point = "methyl orange"
[[reading]]
kind = "hydrometer"
value = "1.142"
scale = "SG 20/20"
[[reading]]
kind = "copper titration"
method = "EDTA"
sample = "2 mL"
predilution = ["10 mL", "100 mL"]
strength = "0.01 mol/L"
used = "14.2 mL"
[[reading]]
kind = "plated-out copper"
sample = "50 mL"
before = "20.0 g"
after = "22.3 g"
"""
PEN_AND_HYDROMETER = b"""
[bath]
volume = "5.6 L"
[[reading]]
kind = "hydrometer"
value = "1.160"
scale = "SG 20/20"
[[reading]]
kind = "thinned conductivity"
value = "1143 uS/cm"
sample = "1 mL"
thinned_to = "500 mL"
temperature = "22 degC"
water = "3 uS/cm"
"""


# Many of these contradict each other: all slips are tried and every reading is offered again.
CONTRADICTORY = (
    FOUR_READINGS
    + b"[[reading]]"
    + PEN_AND_HYDROMETER.split(b"[[reading]]", 1)[1]
    + b"""
[[reading]]
kind = "make-up"
crystals = "1500 g"
acid = "180 mL"
final_volume = "6 L"
[[reading]]
kind = "previous check"
copper_sulfate = "150 g/L"
sulfuric_acid = "90 g/L"
[[reading]]
kind = "thinned pH"
value = 2.4
sample = "1 mL"
thinned_to = "500 mL"
"""
)


def timed(benchmark: BenchmarkFixture, work: Callable[[], object], rounds: int = 7) -> float:
    """Return the least time of several rounds [s]; one before them is not counted."""
    benchmark.pedantic(work, rounds=rounds, warmup_rounds=1)
    return float(benchmark.stats.stats.min)


def yardstick(work: Callable[[], object], rounds: int = 7, clock: Callable[[], float] = time.process_time) -> float:
    """Return the same of what ours is held against."""
    return min(timeit.repeat(work, timer=clock, number=1, repeat=rounds + 1)[1:])


def say(what: str, measured: str) -> None:
    print(f"\n{what}: {measured}")


def test_a_titration_curve_is_no_slower_than_phreeqc_and_a_batch_much_faster(benchmark: BenchmarkFixture) -> None:
    from phreeqpython import PhreeqPython

    engine, volumes = PhreeqPython(), np.linspace(0.0, 21.0, 40)

    def by_phreeqc() -> list[float]:
        flask = engine.add_solution({"temp": 20, "units": "mol/L", "Cu": 0.08, "S(6)": 0.14, "pH": "1.0 charge"})
        step = 0.5 * 21.0 / 40
        found = [flask.add("NaOH", step, "mmol").pH for _ in volumes]
        flask.forget()
        return found

    flask = Flask(10.0, 100.0, "sodium hydroxide", 0.5)
    ours = timed(benchmark, lambda: pH_at_titrant_volume(200.0, 55.0, volumes, flask))
    theirs = yardstick(by_phreeqc)
    acids = np.linspace(20.0, 100.0, 1000)[:, None]
    batch = yardstick(lambda: pH_at_titrant_volume(200.0, acids, volumes, flask), 3) / 1000
    say(
        "40-point curve",
        f"{1e3 * ours:.2f} ms, PHREEQC {1e3 * theirs:.2f} ms, in a batch of 1,000 {1e3 * batch:.3f} ms",
    )
    assert ours <= theirs
    assert batch <= theirs / 5


def test_density_on_arrays_against_scalar_calls_and_bare_arithmetic(benchmark: BenchmarkFixture) -> None:
    from thermo.electrochem import Laliberte_density

    rng = np.random.default_rng(1)
    copper, acid, iron = rng.uniform(0.02, 0.15, (3, 10_000)) * np.array([[1.0], [1.0], [0.1]])
    coefficients = np.linspace(0.9, 1.1, 4)

    def bare() -> np.ndarray:
        """Laliberté's expression for three salts and water, nothing else."""
        w = copper + acid + iron
        total = (1 - w) / 0.9982
        for part in (copper, acid, iron):
            c0, c1, c2, c3 = coefficients
            total = total + part * (w + c2 + c3 * 20.0) / ((c0 * w + c1) * np.exp(1e-6 * (20.0 + c3) ** 2))
        return 1 / total

    ours = timed(benchmark, lambda: density_from_mass_fractions(copper, acid, iron), 50) / len(copper)
    plain = yardstick(bare, 50) / len(copper)
    scalar = yardstick(lambda: Laliberte_density(293.15, [0.12, 0.05], ["7758-98-7", "7664-93-9"]), 50)
    say(
        "density",
        f"{1e9 * ours:.0f} ns an element; thermo {scalar / ours:.0f} times that, bare {ours / plain:.2f} of it",
    )
    assert scalar / ours >= 5000
    assert ours <= 3 * plain


def advise_afresh(sheet: Sheet) -> Advice:
    """Advise without what an earlier round left solved."""
    for kept in (_solved, _clean_density, _mass_fractions, _read_by):
        kept.cache_clear()
    return advise(sheet)


def test_advice_on_four_readings(benchmark: BenchmarkFixture) -> None:
    sheet = parse_sheet(FOUR_READINGS)
    seconds = timed(benchmark, lambda: advise_afresh(sheet), 40)
    say("advise() on four readings", f"{1e3 * seconds:.1f} ms; plan {advise(sheet).plan.state}")
    assert seconds < 0.05


def test_advice_on_a_pen_and_a_hydrometer(benchmark: BenchmarkFixture) -> None:
    sheet = parse_sheet(PEN_AND_HYDROMETER)
    seconds = timed(benchmark, lambda: advise_afresh(sheet), 40)
    say("advise() on a pen and a hydrometer", f"{1e3 * seconds:.1f} ms; plan {advise(sheet).plan.state}")
    assert seconds < 0.04


def test_advice_on_readings_that_contradict(benchmark: BenchmarkFixture) -> None:
    bath, *readings = CONTRADICTORY.split(b"[[reading]]")
    sheet = parse_sheet(b"[[reading]]".join([bath, *readings, *readings[:-1]]))
    seconds = timed(benchmark, lambda: advise_afresh(sheet), 3)
    say(f"advise() on {len(sheet.readings)} readings that contradict", f"{seconds:.2f} s")
    assert seconds < 0.5


def run_python(*words: str) -> Callable[[], object]:
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True, env=environment)


# Sheets of sixty readings: relative spread, how many slips, by how much the bath is stronger, whether taken alike.
SIXTY = {
    "agree": (0.002, 0, 1.0, True),
    "agree on a bath that is too strong": (0.002, 0, 1.5, True),
    "hardly agree": (0.01, 0, 1.0, True),
    "hardly agree, none taken alike": (0.01, 0, 1.0, False),
    "one slip": (0.002, 1, 1.0, True),
    "one slip, none taken alike": (0.002, 1, 1.0, False),
    "two slips": (0.002, 2, 1.0, True),
    "six slips": (0.002, 6, 1.0, True),
    "contradict": (0.15, 0, 1.0, True),
}


def sixty_readings(seed: int, spread: float, slips: int, stronger: float, alike: bool) -> Sheet:
    """Return a sheet of sixty readings, no two the same, of a bath of 215 and 60 g/L or one stronger by a factor.

    Each is off by a relative spread, and some by half as if drawn with another syringe. Those that are not taken alike
    have samples of their own and, where there is none, a temperature.
    """
    chance = np.random.default_rng(seed)
    kinds: tuple[Callable[[float, float], dict[str, object]], ...] = (
        lambda off, drawn: SODA | {"sample": f"{10 * drawn:.2f} mL", "used": f"{24.4 * drawn * off:.3f} mL"},
        lambda off, drawn: HYDROMETER | {"temperature": f"{20 * drawn:.1f} degC", "value": f"{1 + 0.16 * off:.4f}"},
        lambda off, drawn: EDTA | {"sample": f"{2 * drawn:.3f} mL", "used": f"{16.8 * drawn * off:.3f} mL"},
        lambda off, drawn: PLATED_OUT | {"sample": f"{50 * drawn:.1f} mL", "after": f"{20 + 2.67 * drawn * off:.3f} g"},
        lambda off, drawn: IODOMETRIC | {"sample": f"{5 * drawn:.2f} mL", "used": f"{42 * drawn * off:.3f} mL"},
        lambda off, drawn: PEN | {"sample": f"{drawn:.3f} mL", "value": f"{1143 * drawn * off:.2f} uS/cm"},
    )
    off, drawn = (
        stronger * (1 + spread * chance.standard_normal(60)),
        np.ones(60) if alike else chance.uniform(0.9, 1.1, 60),
    )
    off[chance.choice(60, slips, replace=False)] *= 0.5
    readings = [kinds[at % len(kinds)](off[at], drawn[at]) | {"note": f"number {at}"} for at in range(60)]
    return read_sheet({"bath": {"volume": "5.6 L", "usual_volume": "6 L"}, "reading": readings})


SODA = {"kind": "acid titration", "diluted_to": "100 mL", "titrant": "sodium carbonate"}
SODA |= {"strength": "0.25 mol/L", "end_point": "methyl orange"}
HYDROMETER = {"kind": "hydrometer", "scale": "SG 20/20"}
EDTA = {"kind": "copper titration", "method": "EDTA", "predilution": ["10 mL", "100 mL"], "strength": "0.01 mol/L"}
IODOMETRIC = {"kind": "copper titration", "method": "iodometric", "strength": "0.1 mol/L"}
PLATED_OUT = {"kind": "plated-out copper", "before": "20.00 g"}
PEN = {"kind": "thinned conductivity", "thinned_to": "500 mL"}


@pytest.mark.parametrize("name", SIXTY)
def test_advice_on_sixty_readings(benchmark: BenchmarkFixture, name: str) -> None:
    """Each of these sheets, by the median of five: the least would hide what is dear now and then."""
    sheets = (sixty_readings(seed, *SIXTY[name]) for seed in itertools.count())  # another each time: none is remembered
    timed(benchmark, lambda: advise(next(sheets)), 5)
    took = float(benchmark.stats.stats.median)
    say(f"advise(), sixty readings: {name}", f"{1e3 * took:.0f} ms")
    assert took < 0.5


@WALL_CLOCK
def test_a_cold_check_costs_little_more_than_its_libraries(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_bytes(FOUR_READINGS)
    cold = timed(benchmark, run_python("-m", "advisor", "check", str(sheet)), 5)
    bare = yardstick(run_python("-c", "import numpy, scipy.optimize"), 5, time.perf_counter)
    say("check, cold", f"{cold:.3f} s, {cold / bare:.2f} times importing numpy and scipy.optimize")
    assert cold <= 2.0 * bare


def test_a_hundred_thousand_draws_of_the_estimate(benchmark: BenchmarkFixture) -> None:
    found = estimate(parse_sheet(FOUR_READINGS))
    rng = np.random.default_rng(1)
    draw = partial(rng.multivariate_normal, found.mean, found.covariance, 100_000, method="cholesky")
    seconds = timed(benchmark, draw)
    say("100,000 draws", f"{1e3 * seconds:.1f} ms")
    assert seconds < 0.1
    scatter = np.cov(rng.multivariate_normal(found.mean, found.covariance, 100_000).T)
    assert scatter == pytest.approx(found.covariance, rel=0.05, abs=0.02 * float(np.max(np.diag(found.covariance))))


def test_a_logbook_of_ten_years_of_daily_entries(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    from advisor.record.entries import WaterAdded

    book = Logbook(tmp_path / "logbook.sqlite3")
    start = datetime.datetime(2016, 1, 1, 12, tzinfo=datetime.UTC)
    for day in range(3650):
        book.record("Shed tank", WaterAdded(parse("0.1 L", "volume")), start + datetime.timedelta(days=day))
    reading = timed(benchmark, lambda: book.entries("Shed tank"), 3)
    adding = yardstick(lambda: book.record("Shed tank", WaterAdded(parse("0.1 L", "volume"))), 3)
    say("logbook of 3,650 entries", f"read in {1e3 * reading:.0f} ms, one more in {1e3 * adding:.0f} ms")
    assert len(book.entries("Shed tank")) > 3650
    assert reading < 0.5
    assert adding < 0.1


def test_a_scalar_density(benchmark: BenchmarkFixture) -> None:
    hundred = timed(benchmark, lambda: [density(200.0, 60.0, 1.0, 25.0) for _ in range(100)])
    say("density, one call", f"{1e4 * hundred:.0f} µs")
    assert hundred / 100 < 100e-6


def test_a_fit_of_a_pH_curve(benchmark: BenchmarkFixture) -> None:
    flask = Flask(5.0, 100.0, "sodium hydroxide", 0.5)
    volumes = np.linspace(0.0, 20.0, 21)
    points = tuple(zip(volumes.tolist(), pH_at_titrant_volume(200.0, 60.0, volumes, flask).tolist(), strict=True))
    copper = iter(np.arange(150.0, 250.0, 0.1))  # another copper each time, so that nothing is remembered
    fit = timed(benchmark, lambda: fit_curve(points, flask, float(next(copper))))
    say("fit of a pH curve", f"{1e3 * fit:.0f} ms")
    assert fit < 0.05


def test_home_with_a_record(benchmark: BenchmarkFixture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from streamlit.testing.v1 import AppTest

    from advisor.launch import APP

    monkeypatch.setenv("ADVISOR_DATA_FOLDER", str(tmp_path))
    sheet = parse_sheet(FOUR_READINGS.replace(b"[bath]", b'[bath]\nname = "Shed tank"'))
    Logbook().record_check(sheet, advise(sheet))
    app = AppTest.from_file(str(APP), default_timeout=30).run()
    home = timed(benchmark, app.run)
    say("home, without a browser", f"{1e3 * home:.0f} ms")
    assert home < 0.3


def test_the_server_starts(tmp_path: Path) -> None:
    from tests.benchmarks.soak import server

    start = time.perf_counter()
    with server(tmp_path) as address:
        seconds = time.perf_counter() - start
        assert urllib.request.urlopen(address, timeout=10).status == 200
    say("server start", f"{seconds:.2f} s")
    assert seconds < 20


def test_no_reading_costs_no_search(benchmark: BenchmarkFixture) -> None:
    sheet = read_sheet({"bath": {"volume": "5 L"}})
    assert timed(benchmark, lambda: advise(sheet)) < 0.02
