"""A small fixed part of the simulated years; the whole is `tests.benchmarks.years`."""

import datetime
import itertools
import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from advisor.record.balance import with_anodes
from advisor.record.drift import BathState, explain
from advisor.record.entries import AnodeChange
from tests.benchmarks.bench.liquid import clean_density
from tests.benchmarks.years.life import INSIDE_95, REGIMES, START, TROUBLES, Hands
from tests.benchmarks.years.run import live, lived_by, run, table
from tests.benchmarks.years.tank import filled
from tests.how_many import shares


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


# --- Keepers: runs, doses, filters, carbon, scales --------------------------------------------------


class SureHands(Hands):
    """Hands that never err."""

    def error(self, source, size):
        return 0.0

    def each(self, size):
        return 0.0


def months(kind: str, number: int) -> Iterator[tuple[BathState, BathState, list, np.ndarray]]:
    """Yield three weeks after three weeks of a keeper who errs nowhere: what was in the tank, the log, what left."""
    rng = np.random.default_rng([7, number])
    trouble = TROUBLES[kind]
    rates = {
        name: float(np.mean(getattr(trouble, name))) for name in ("evaporation", "lost", "idle", "starved", "weekly")
    }
    life = lived_by(trouble, SureHands(rng, REGIMES[0]), filled(210.0, 60.0, 7.0), {**rates, "dirt": 0.0})
    life.habits.knows_bottle = True
    life.tank.solids = 0.0
    if trouble.inert:
        life.log(AnodeChange("inert"))
    life.begin()
    life.change_rates()
    then, logged = state(life), len(life.entries)
    for into in range(1, 64):
        life.live_a_day(into)
        if into % 21 == 0:
            now = state(life)
            yield then, now, list(with_anodes(life.entries)[0][logged:]), life.lost.copy()
            then, logged, life.lost[:] = now, len(life.entries), 0


def state(life) -> BathState:
    tank = life.tank
    held = [tank.salt / tank.litres, tank.acid / tank.litres, tank.litres, tank.chloride / tank.litres]
    sure = np.diag([0.05, 0.05, 0.001, 0.05]) ** 2
    return BathState(START + datetime.timedelta(days=life.day), np.array(held), sure)


@pytest.mark.parametrize("kind", ["keeper", "keeper, inert anodes"])
@pytest.mark.parametrize("number", [0, 1])
def test_where_nobody_errs_copper_acid_water_and_chloride_close(kind, number, monkeypatch):
    """Each cause is found as it was: to 5 mL of 7 L, which two models of the density leave, and to 0.3 g of copper."""
    monkeypatch.setattr("tests.benchmarks.years.keeper.FORGOTTEN", 0.0)
    monkeypatch.setattr("tests.benchmarks.years.keeper.DISPLAY", 0.0)
    for then, now, logged, lost in months(kind, number):
        found = explain(then, now, logged)
        told = [found.causes[name].value for name in ("evaporation", "lost bath", "copper")]
        assert told[:2] == pytest.approx(lost[:2], abs=0.005)
        assert told[2] - found.plated == pytest.approx(lost[2], abs=0.3)
        assert (found.plated > 0) == ("inert" in kind)
        copper_sulfate, acid, chloride, litres = found.explained.concentrations()
        assert [copper_sulfate, acid, litres, chloride] == pytest.approx(now.known, abs=0.02)


@pytest.mark.slow
def test_keepers_are_carried_and_told_within_what_chance_allows(monkeypatch):
    """Twelve keepers over 18 weeks, six pairs of checks each. What the liquid does to its density stays the same, so that
    the pairs of a life miss alike: of what is carried a life counts as one draw of each component."""
    held, draws = defaultdict(list), defaultdict(set)
    for kind in ("keeper", "keeper, anodes weighed", "keeper, inert anodes"):
        monkeypatch.setitem(TROUBLES, kind, replace(TROUBLES[kind], days=6 * 21))
        for life in itertools.product([kind], REGIMES[:2], (1000, 1001)):
            for at, (name, miss) in enumerate(live(*life)["scores"]):
                what = name.split(" ")[0]
                held[what].append(abs(miss) < INSIDE_95)
                draws[what].add((*life, name if what == "carried" else at))
    for what in ("carried", "cause", "certain"):
        low, _ = shares(0.95, len(draws[what]))
        assert np.mean(held[what]) > low, what
