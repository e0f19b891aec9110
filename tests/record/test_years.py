"""A small fixed part of the simulated years; the whole is `tests.benchmarks.years`."""

import math

import pytest

from tests.benchmarks.bench.liquid import clean_density
from tests.benchmarks.years.life import REGIMES, TROUBLES
from tests.benchmarks.years.run import live, run, table
from tests.benchmarks.years.tank import filled


@pytest.mark.parametrize(("copper_sulfate", "acid"), [(140.0, 25.0), (215.0, 60.0), (270.0, 100.0)])
def test_its_own_density_is_that_of_the_printed_rows(copper_sulfate, acid):
    tank = filled(copper_sulfate, acid, 6.0)
    tank.solids = 0.0
    tank.water += (6.0 - tank.litres) * 998.2
    salt, sulfuric = tank.salt / tank.litres, tank.acid / tank.litres
    assert tank.density() == pytest.approx(clean_density(salt, sulfuric, 0.0), abs=0.0008)


def test_its_own_balance_keeps_every_gram():
    tank = filled(210.0, 60.0, 8.0)
    before = tank.salt + tank.acid + tank.water
    tank.dissolve(10.0)
    assert tank.salt + tank.acid + tank.water - before == pytest.approx(10.0 * (1 + 15.999 / 63.546), rel=1e-3)
    assert tank.litres == pytest.approx(8.0, abs=0.05)


@pytest.mark.parametrize("kind", ["bad check", "incomplete log"])
@pytest.mark.parametrize("number", [0, 1])
def test_what_is_wrong_is_flagged_and_nothing_wrong_is_certain(kind, number):
    said = live(kind, REGIMES[0], number)["said"]
    assert said == {"flagged": True, "certain and wrong": False}


@pytest.mark.slow
def test_inert_anodes_are_carried_within_two_standard_uncertainties(monkeypatch):
    monkeypatch.setitem(
        TROUBLES, "inert anodes", TROUBLES["inert anodes"].__class__(weekly=(5.0, 10.0), inert=True, days=105)
    )
    scores = live("inert anodes", REGIMES[0], 0)["scores"]
    carried = [miss for name, miss in scores if name.startswith("carried")]
    assert len(carried) == 10
    assert math.fsum(abs(miss) < 2 for miss in carried) >= 9


def test_a_run_goes_on_where_it_was_ended(tmp_path, monkeypatch):
    lived = []

    def quick(kind, regime, number):
        lived.append((kind, regime, number))
        return {
            "kind": kind,
            "regime": regime,
            "number": number,
            "scores": [["carried copper_sulfate", 0.5]],
            "said": {},
        }

    monkeypatch.setattr("tests.benchmarks.years.run.live", quick)
    state = tmp_path / "state.jsonl"
    first = run(state, 1, 60.0)
    again = run(state, 1, 60.0)
    assert len(first) == len(again) == len(lived)
    assert "| ordinary |" in table(again)
