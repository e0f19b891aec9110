"""The one sentence of a record: the change that matters most for its window, or why nothing can be told."""

from types import SimpleNamespace

import pytest

from advisor.check.known import Value
from advisor.record.drift import Doubt
from advisor.record.forecast import Course, Forecast
from advisor.record.trend import WHY, trend
from advisor.words.lines import Units

LIMITS = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0), "chloride": None}


def said(copper, acid, doubts=()):
    courses = {
        name: Course(Value(*daily), None, None, None)
        for name, daily in (("copper_sulfate", copper), ("sulfuric_acid", acid))
    }
    coming = Forecast(courses, 30, Value(0.5, 0.1))
    return trend(SimpleNamespace(doubts=doubts), coming, LIMITS)


def test_the_change_that_takes_most_of_its_window_is_said():
    """0.07 g/L a day is 2.1 g/L in 30 days; of a window of 45 g/L that is more than 0.02 of one of 53."""
    assert said((0.02, 0.001), (-0.07, 0.01)) == "Sulfuric acid falls by 2.1 ± 0.6 g/L a month"
    assert said((0.2, 0.01), (-0.07, 0.01)) == "Copper sulfate rises by 6.0 ± 0.6 g/L a month"


def test_us_units_are_kept_in_it():
    assert (
        said((0.0, 0.1), (-0.07, 0.01)).text(Units.US_FIRST)
        == "Sulfuric acid falls by 0.28 ± 0.08 oz/gal (2.1 ± 0.6 g/L) a month"
    )


def test_what_is_within_its_spread_is_no_change():
    assert said((0.02, 0.02), (-0.02, 0.02)) == "Your bath holds steady, as far as your checks can tell"


@pytest.mark.parametrize("doubt", Doubt)
def test_a_doubt_stands_in_its_place(doubt):
    assert said((0.0, 0.1), (-0.07, 0.01), (doubt,)) == WHY[doubt]
