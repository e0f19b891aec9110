"""What open tanks give off against printed figures, typed in as they are printed."""

import pytest

from advisor.solution.heat_loss import HEAT_OF_EVAPORATION, Tank, heat_loss, vapour_pressure

BTU_PER_FT2_H = 3.15459  # W/m2
LARGE = Tank(volume=1000.0, surface=1.0, height=1.0, walls=1.0)

# "Heat Loss from Open Water Tanks", engineeringtoolbox.com (read): still air of 60 degF; Btu/(ft2 h) lost from the
# liquid's surface by evaporation, by radiation (with what the air carries off), and through bare walls.
PRINTED = {90: (80, 50, 50), 100: (160, 70, 70), 110: (240, 90, 90), 120: (360, 110, 110), 130: (480, 135, 135)}


@pytest.mark.parametrize("fahrenheit", PRINTED)
def test_losses_of_still_tanks_against_a_printed_table(fahrenheit):
    """The table calls its own figures rough; ours keep within 25 % of each, evaporation and walls alike."""
    found = heat_loss(LARGE, (fahrenheit - 32) / 1.8, (60 - 32) / 1.8)
    evaporation, surface, walls = (number * BTU_PER_FT2_H for number in PRINTED[fahrenheit])
    assert found.evaporation == pytest.approx(evaporation, rel=0.25)
    assert found.surface == pytest.approx(surface, rel=0.15)
    assert found.walls == pytest.approx(walls, rel=0.15)


def test_evaporation_lies_between_the_published_figures():
    """Bath of 80 degF, room of 75 degF and 75 %: EPA 625/8-82-008, figure 5 (quoted in Products Finishing, read) has
    0.017 gal/(h ft2), 16.6 L/m2 a day; the swimming-pool formula 25 (xs - x) kg/(h m2) (quoted, read) 5.2."""
    found = 24 * heat_loss(LARGE, (80 - 32) / 1.8, (75 - 32) / 1.8, humidity=0.75).water
    assert 2.6 < found < 16.6  # the lower bound is half of the pool formula: a tank in a room is stiller than a pool


@pytest.mark.parametrize(("temperature", "pascal"), [(0, 611), (20, 2339), (25, 3169), (40, 7384)])
def test_vapour_pressure_of_water(temperature, pascal):
    """CRC Handbook, vapour pressure of water (from memory): 0.6113, 2.3388, 3.1690, 7.3814 kPa."""
    assert vapour_pressure(temperature) == pytest.approx(pascal, rel=0.004)


def test_evaporating_a_gallon_takes_what_is_said_of_it():
    """8,500 Btu a US gallon (Products Finishing 2008, read): 3.785 L at 0.997 kg/L."""
    assert pytest.approx(8500 * 1055.06 / (3.785 * 0.997), rel=0.03) == HEAT_OF_EVAPORATION
