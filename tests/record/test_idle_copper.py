"""What idle anodes give a bath, against the excerpt that it was reckoned from."""

import pytest

from advisor.record.carried import IDLE_COPPER, carry_forward
from advisor.record.entries import Entry
from tests.record.some_days import moment
from tests.record.some_entries import check_that_found


def test_idle_copper_by_hand():
    """1.7 to 4.4 g/m2/day (excerpt of a corrosion paper) over 1 dm2 a litre, half of the time: 0.0085 to 0.022, middle
    0.0153 g a litre and day, kept as 0.015."""
    low, high = (loss * 0.01 * 0.5 for loss in (1.7, 4.4))
    assert pytest.approx((low + high) / 2, abs=0.0005) == IDLE_COPPER
    assert pytest.approx(0.015, abs=1e-12) == IDLE_COPPER


def test_a_month_of_idle_anodes_widens_the_copper_by_hand():
    """30 days of 0.015 g/L of copper are 1.768 g/L of copper sulfate; beside it 1 % of 200 g/L for the same gear and
    30/30.44 of 1 % for what dripped unlogged: root of 1.768² + 2² + 1.971²."""
    check = check_that_found((200.0, 1e-6), (60.0, 1e-6), level="5 L")
    carried = carry_forward([Entry(1, "a", moment(0), moment(0), "1", None, check)], moment(30))
    assert carried.values["copper_sulfate"].standard_uncertainty == pytest.approx(
        (1.768**2 + 2.0**2 + 1.971**2) ** 0.5, abs=0.003
    )
