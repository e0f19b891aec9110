"""What idle anodes give a bath, against the excerpt that it was reckoned from."""

import datetime

import pytest

from advisor.record.carried import IDLE_COPPER, carry_forward
from advisor.record.entries import Check, Entry


def test_idle_copper_by_hand():
    """1.7 to 4.4 g/m2/day (excerpt of a corrosion paper) over 1 dm2 a litre, half of the time: 0.0085 to 0.022, middle
    0.0153 g a litre and day, kept as 0.015."""
    low, high = (loss * 0.01 * 0.5 for loss in (1.7, 4.4))
    assert pytest.approx((low + high) / 2, abs=0.0005) == IDLE_COPPER
    assert pytest.approx(0.015, abs=1e-12) == IDLE_COPPER


def test_a_month_of_idle_anodes_widens_the_copper_by_hand():
    """30 days of 0.015 g/L of copper are 1.768 g/L of copper sulfate; beside it 1 % of 200 g/L for the same gear and
    30/30.44 of 1 % for what dripped unlogged: root of 1.768² + 2² + 1.971²."""
    exactly = {"standard_uncertainty": 1e-6}
    found = {"copper_sulfate_g_L": {"value": 200.0} | exactly, "sulfuric_acid_g_L": {"value": 60.0} | exactly}
    check = Check("", {"estimate": found | {"chloride_mg_L": None, "volume_L": 5.0, "correlation": 0.0}})
    then = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)
    carried = carry_forward([Entry(1, "a", then, then, "1", None, check)], then + datetime.timedelta(days=30))
    assert carried.values["copper_sulfate"].standard_uncertainty == pytest.approx(
        (1.768**2 + 2.0**2 + 1.971**2) ** 0.5, abs=0.003
    )
