"""Losses ahead: what two checks tell, a week and a month of it, as a buying list writes them."""

import datetime
from dataclasses import replace

import numpy as np
import pytest

from advisor.basis.units import COVERAGE
from advisor.record.ahead import losses_ahead, plated_ahead
from advisor.record.drift import BathState, Interval, explain
from advisor.sheet import read_sheet
from tests.record.some_days import moment, on


def as_typed(losses):
    return read_sheet({"bath": {"volume": "5 L"}, "buy": {name: str(amount) for name, amount in losses.items()}}).buy


START = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)


def explained(days: float = 30.0):
    """A bath of 5.6 L that lost 0.6 L of water and nothing else in 30 days: all contents are 5.6/5.0 times higher."""
    spread = np.diag([1.0, 0.5, 0.01]) ** 2
    then = BathState(START, np.array([200.0, 60.0, 5.6]), spread)
    now = BathState(START + datetime.timedelta(days=days), np.array([224.0, 67.2, 5.0]), spread)
    return explain(then, now, ())


def test_a_month_of_evaporation_by_hand():
    """About 0.6 L in 30 days: 0.14 L a week; in a sheet's words."""
    change = explained()
    buy = as_typed(losses_ahead(change))
    assert buy.water.value == pytest.approx(change.causes["evaporation"].value * 7 / 30, rel=0.05)
    assert buy.water.value == pytest.approx(0.14, abs=0.02)
    assert buy.water.standard_uncertainty == pytest.approx(0.3 * 0.14, abs=0.01)  # habits change by a third
    assert buy.plated.value == 0.0
    assert buy.bath.value == pytest.approx(change.causes["lost bath"].value * 30.44 / 30, abs=0.01)


def test_ampere_hours_are_scaled_to_a_month_and_nothing_is_below_zero():
    """60 A·h in 15 days are 122 A·h in a month of 30.44 days."""
    below = Interval(-0.2, 0.1, -0.4, 0.0)
    change = replace(explained(15.0), ampere_hours=60.0, causes={"evaporation": below, "lost bath": below})
    buy = as_typed(losses_ahead(change))
    assert buy.plated.value == pytest.approx(121.75, rel=0.02)
    assert buy.water.value == 0.0


def test_where_no_two_checks_tell_the_runs_of_the_last_30_days_do():
    """200 of 30 days are 203 A·h in a month of 30.44 days; habits change by a third, and so does that."""
    runs = [on(day, "run", charge=charge) for day, charge in ((0, "50 A*h"), (10, "150 A*h"), (35, "50 A*h"))]
    plated = plated_ahead([*runs, on(45, "run", charge="900 A*h")], moment(36))["plated"]
    assert plated.value == pytest.approx(203, abs=0.2)
    assert COVERAGE * plated.standard_uncertainty == pytest.approx(2 * 0.3 * 203, rel=0.05)
    assert plated_ahead(runs, moment(80)) == {}


@pytest.mark.parametrize("lost", [0.00001, 0.3, 12.0, 1000.0])
def test_amounts_are_written_out_with_their_range_and_read_back(lost):
    """Three hundred millilitres are no 3.1e+02 mL."""
    size = Interval(lost, lost / 5, 0.6 * lost, 1.4 * lost)
    change = replace(explained(), ampere_hours=400.0 * lost, causes={"evaporation": size, "lost bath": size})
    losses = losses_ahead(change)
    assert not any("e+" in str(amount) or "e-" in str(amount) for amount in losses.values())
    assert as_typed(losses).bath.value == pytest.approx(lost * 30.44 / 30, rel=0.2, abs=1e-4)
    assert as_typed(losses).bath.standard_uncertainty == pytest.approx(np.hypot(0.2, 0.3) * lost, rel=0.2, abs=1e-4)
