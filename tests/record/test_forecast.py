"""What comes, reckoned again by hand from the causes that an account found: rates, their spreads, when limits are met."""

from math import erf, hypot, sqrt
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from advisor.check.known import Value
from advisor.record.forecast import Course, Forecast, forecast

WINDOW = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0), "chloride": (50.0, 120.0)}
SALT, ACID = 249.68 / 63.546, 98.07 / 63.546  # g of crystals and of acid for a gram of copper


def account(held=(220.0, 55.0, 5.0, 70.0), ampere_hours=20.0, with_now=0.0, **more: Any) -> Any:
    """2.0 L of water and 0.1 L of bath gone and 30 g of copper dissolved in 5 L, while inert anodes plated 6 g of it."""
    found = {
        "now": SimpleNamespace(known=np.array(held), covariance=np.diag([4.0, 1.0, 0.05, 3.0][: len(held)]) ** 2),
        "causes": {"evaporation": Value(2.0, 0.2), "lost bath": Value(0.1, 0.05), "copper": Value(30.0, 5.0)},
        "covariance": np.diag([0.2, 0.05, 5.0]) ** 2,
        "with_now": with_now * np.outer([1.0, 0.0, 0.0, 0.0][: len(held)], [0.0, 0.0, 1.0]),  # salt with copper
        "plated": 6.0,
        "doubts": (),
    }
    return SimpleNamespace(days=10.0, ampere_hours=ampere_hours, **found | more)


def test_rates_are_the_causes_that_go_on() -> None:
    """A litre lost takes a fifth of 220, 55 and 70; of the copper only what dissolved beyond what was plated stays."""
    coming = forecast(account(), WINDOW)
    rates = {name: course.per_day.value for name, course in coming.courses.items()}
    expected = [-0.1 * 220 / 5 + 24 * SALT / 5, -0.1 * 55 / 5 - 24 * ACID / 5, -0.1 * 70 / 5]
    assert list(rates) == ["copper_sulfate", "sulfuric_acid", "chloride"]
    assert list(rates.values()) == pytest.approx([change / 10 for change in expected], rel=1e-4)
    spreads = [hypot(0.05 * 220 / 5, 5 * SALT / 5), hypot(0.05 * 55 / 5, 5 * ACID / 5), 0.05 * 70 / 5]
    for (name, course), spread in zip(coming.courses.items(), spreads, strict=True):
        as_well = 0.3 * rates[name]  # habits change
        assert course.per_day.standard_uncertainty == pytest.approx(hypot(spread / 10, as_well), rel=1e-4)
        assert course.per_ampere_hour == pytest.approx([part / 2 for part in course.per_day])  # 2 A·h a day
    assert coming.water_per_week == pytest.approx((1.47, hypot(0.7 * hypot(0.2, 0.05), 0.3 * 1.47)))


def inside(value: float, spread: float, low: float, high: float) -> float:
    return 0.5 * (erf((high - value) / spread / sqrt(2)) - erf((low - value) / spread / sqrt(2)))


@pytest.mark.parametrize("with_now", [0.0, 8.0, -8.0])
def test_the_next_check_is_due_when_one_in_five_is_outside(with_now: float) -> None:
    """220 ± 4 g/L rise by 1.45 ± 0.6 a day towards 248; an error of now may be one of the copper that made the rate."""
    coming = forecast(account(with_now=with_now), {"copper_sulfate": WINDOW["copper_sulfate"]})
    rate, spread = coming.courses["copper_sulfate"].per_day

    def left_in(day: int) -> float:
        shared = 2 * day * with_now * SALT / 5 / 10
        return inside(220 + rate * day, sqrt(16 + shared + (day * spread) ** 2), *WINDOW["copper_sulfate"])

    assert coming.check_in_days == next(day for day in range(90) if left_in(day) < 0.8)
    assert coming.courses["copper_sulfate"].leaves_in_days == next(day for day in range(90) if left_in(day) < 0.5)
    assert (
        coming.courses["copper_sulfate"].leaves_in_ampere_hours == 2 * coming.courses["copper_sulfate"].leaves_in_days
    )
    assert coming.courses["sulfuric_acid"].leaves_in_days is None  # without limits


def test_a_lower_limit_is_met_as_an_upper_one_is() -> None:
    """55 ± 1 g/L of acid fall by 0.85 ± 0.3 a day towards 30."""
    coming = forecast(account(), {"sulfuric_acid": WINDOW["sulfuric_acid"]})
    rate, spread = coming.courses["sulfuric_acid"].per_day
    left_in = [inside(55 + rate * day, sqrt(1 + (day * spread) ** 2), *WINDOW["sulfuric_acid"]) for day in range(90)]
    assert coming.check_in_days == next(day for day, share in enumerate(left_in) if share < 0.8)
    assert coming.courses["sulfuric_acid"].leaves_in_days == next(
        day for day, share in enumerate(left_in) if share < 0.5
    )


@pytest.mark.parametrize(
    ("held", "limits", "check_in", "leaves"),
    [
        ((220.0, 55.0, 5.0), WINDOW, None, None),
        ((260.0, 55.0, 5.0), WINDOW, 7, 0),  # it is outside: no sooner than in a week
        ((220.0, 55.0, 5.0), {"copper_sulfate": (0.0, 3000.0)}, 90, None),  # no later than in three months
        ((2.0, 55.0, 5.0), {"copper_sulfate": (0.0, 3000.0)}, 90, None),  # less than nothing is no limit
    ],
)
def test_a_check_comes_in_a_week_at_least_and_three_months_at_most(held, limits, check_in, leaves) -> None:
    coming = forecast(account(held, covariance=np.diag([0.2, 0.05, 0.5]) ** 2), limits)
    assert len(coming.courses) == 2  # nobody measured the chloride
    if check_in:
        assert (coming.check_in_days, coming.courses["copper_sulfate"].leaves_in_days) == (check_in, leaves)
    else:
        assert 7 < coming.check_in_days < coming.courses["copper_sulfate"].leaves_in_days < 90


def test_without_runs_nothing_goes_by_the_ampere_hour() -> None:
    without, with_runs = (forecast(account(ampere_hours=charge), WINDOW) for charge in (0.0, 20.0))
    course = without.courses["copper_sulfate"]
    assert (course.per_ampere_hour, course.leaves_in_ampere_hours) == (None, None)
    assert course.leaves_in_days
    said: list[Any] = [coming.to_dict()["courses"] for coming in (without, with_runs)]
    assert [courses["copper_sulfate"]["per_ampere_hour"] is None for courses in said] == [True, False]


def test_what_is_doubted_is_not_carried_on() -> None:
    assert forecast(account(doubts=("any",)), WINDOW).to_dict()["courses"] == {}


@pytest.mark.parametrize(
    ("course", "said"),
    [
        (Course(Value(0.1, 0.01), None, None, None), "rises by 0.70 ± 0.14 g/L a week and probably stays in its window for two years"),
        (Course(Value(-0.1, 0.01), None, 0, 0.0), "falls by 0.70 ± 0.14 g/L a week and is probably outside its window now"),
        (Course(Value(-0.1, 0.01), None, 1, None), "falls by 0.70 ± 0.14 g/L a week and probably leaves its window in 1 day"),
        (Course(Value(-0.1, 0.01), None, 20, 40.0), "falls by 0.70 ± 0.14 g/L a week and probably leaves its window in 20 days, or 40 A·h"),
        (Course(Value(0.1, 0.06), None, None, None), "may rise or fall (0.7 ± 0.8 g/L a week) and probably stays in its window for two years"),
    ],
)  # fmt: skip
def test_a_course_is_said_for_a_week(course: Course, said: str) -> None:
    """7 times 0.1 g/L a day, known to 7 · 1.96 times its standard uncertainty with 95 %."""
    assert course.said("g/L") == said


def test_the_forecast_of_a_corrected_bath_waits_for_its_correction() -> None:
    coming = [Forecast({}, 30, Value(1.47, 0.4), settled=settled).sections()[0].lines for settled in (True, False)]
    assert [text[0] for text in coming] == [
        "Check again in about 30 days.",
        "First do what your last check says; after that, check about every 30 days.",
    ]
    assert "1.5 ± 0.8 L a week" in coming[0][1]
