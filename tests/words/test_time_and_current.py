"""A time and a current are written in the unit that fits."""

import pytest

from advisor.words.time_and_current import amperes, hours, roughly


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(30, "30 s"), (89, "89 s"), (120, "2 min"), (3600, "60 min"), (9000, "2.5 h"), (720_000, "8.3 days")],
)
def test_a_time_is_said_in_the_unit_that_fits(seconds, said):
    assert hours(seconds / 3600) == said


@pytest.mark.parametrize(
    ("time", "said"), [(0.001, "1 minute"), (1.2, "72 minutes"), (1.6, "2 hours"), (5.4, "5 hours"), (80, "3 days")]
)
def test_a_time_of_which_the_order_is_known_is_said_in_whole_numbers(time, said):
    assert roughly(time) == said


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ((0.0425,), "42.5 mA"),
        ((0.0217, 0.0361, None, 2), "22 to 36 mA"),
        ((0.87,), "0.87 A"),
        ((12.34,), "12.3 A"),
        ((83000.0,), "83000 A"),
        ((61942.8, 103238.0), "61900 to 103000 A"),
        ((99.94, 100.4), "99.9 to 100 A"),
        ((99.96,), "100 A"),
        ((0.02, 0.05), "20 to 50 mA"),
        ((0.05, 0.125), "0.050 to 0.12 A"),
        ((1.0, 1.001), "1.00 A"),
        ((0.9, 1.5, 0.0425), "900 to 1500 mA"),
        ((0.042, None, 0.4), "0.042 A"),
        ((0.042, None, 0.1), "0.042 A"),
        ((0.0031, None, 0.5), "3.1 mA"),
        ((0.0031, 0.0052, 0.5), "3.1 to 5.2 mA"),
        ((0.0031, 12.0), "0.0031 to 12.0 A"),
        ((6480.0, 1e6, 0.042), "6480000 to 1000000000 mA"),
    ],
)
def test_a_current_and_a_range_share_one_unit(ends, said):
    assert amperes(*ends) == said
