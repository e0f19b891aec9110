"""Watts and hours of a tank: limits, balances, and one worked by hand."""

import pytest

from advisor.solution.heat import HEAT_CAPACITY
from advisor.solution.heat_loss import Tank, heat_loss, hours_to_warm, warmest

TANK = Tank.of(5.6, 4.0)


def test_a_square_tank_by_hand():
    """5.6 L under 4 dm2 stand 1.4 dm deep; the walls are 4 x 2 x 1.4 = 11.2 dm2 and half the floor 2."""
    assert (TANK.surface, TANK.height, TANK.walls) == pytest.approx((0.04, 0.14, 0.132))
    cube = Tank.of(8.0)
    assert (cube.surface, cube.height, cube.walls) == pytest.approx((0.04, 0.2, 0.18))


def test_a_warm_bath_in_a_cool_room_by_hand():
    """45 °C in a room of 20 °C and half the moisture that it holds.

    9591 Pa over water, 9111 over the bath and 1167 in the room are 61.5 and 7.2 g of water a kilogram of air: 54.2 g
    more, which make it light as 0.61 · 0.0542 · 293 = 9.7 degrees would, beside the 25. Over the surface
    1.52 · 34.7^(1/3) = 4.958 W/(m² K), hence 4.958 / (1007 · 0.87^(2/3)) · 0.0542 · 0.04 = 11.71 mg/s, 28.6 W.
    Radiation 154.1 W/m²; the surface (4.958 · 25 + 154.1) · 0.04 = 11.1 W. Along the walls 1.42 · (25 / 0.14)^(1/4) = 5.19,
    so that they give (5.19 · 25 + 154.1) · 0.132 = 37.5 W.
    """
    found = heat_loss(TANK, 45.0, 20.0)
    assert (found.evaporation, found.surface, found.walls) == pytest.approx((28.58, 11.12, 37.47), rel=0.002)
    assert found.water == pytest.approx(0.04217, rel=0.002)


def test_nothing_is_given_off_where_nothing_differs():
    found = heat_loss(TANK, 20.0, 20.0, humidity=0.95)
    assert found.total == pytest.approx(0.0, abs=0.01)


def test_warmer_gives_off_more_and_a_lid_keeps_most_of_it():
    losses = [heat_loss(TANK, warm, 18.0).total for warm in range(18, 61, 6)]
    assert losses == sorted(losses)
    assert heat_loss(TANK, 30.0, 18.0, covered=True).total < 0.75 * heat_loss(TANK, 30.0, 18.0).total


def test_hours_without_loss_are_heat_over_watts():
    """A heater far stronger than the loss: 5.6 L x 4060 J/(L K) x 10 K are 227 kJ, which 5 kW give in 45 s."""
    assert hours_to_warm(TANK, 15.0, 25.0, 15.0, 5000.0) == pytest.approx(
        10 * 5.6 * HEAT_CAPACITY / 5000 / 3600, rel=0.01
    )


def test_a_weak_heater_never_gets_there_and_stays_where_it_gives_what_is_lost():
    hold = heat_loss(TANK, 30.0, 12.0).total
    assert hours_to_warm(TANK, 12.0, 30.0, 12.0, hold) is None
    assert warmest(TANK, 12.0, hold) == pytest.approx(30.0, abs=0.01)
    assert hours_to_warm(TANK, 12.0, 30.0, 12.0, 1.3 * hold) > hours_to_warm(TANK, 12.0, 30.0, 12.0, 3 * hold)
    assert hours_to_warm(TANK, 30.0, 25.0, 12.0, 0.0) == 0.0
    assert warmest(TANK, 12.0, 1e5) == 95.0
