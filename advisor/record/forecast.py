"""What comes if all goes on as before: where each concentration goes, when to check again, what is due.

It carries on the causes that `drift` found between the last two checks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from advisor.basis.arrays import FloatArray
from advisor.basis.chances import normal_below
from advisor.basis.components import COMPONENTS, NAMES, UNITS
from advisor.basis.units import COVERAGE
from advisor.check.known import Value
from advisor.check.window import Limits
from advisor.record.drift import CAUSES, HABITS_CHANGE, Explanation
from advisor.solution.molar_masses import ACID_PER_COPPER, PENTAHYDRATE_PER_COPPER
from advisor.words.lines import Amount, Line, counted, line
from advisor.words.sections import Section

LONGEST = 730  # days of forecast (judgement)
CHECK_WHEN = 0.8  # probability of being inside below which to look again (judgement)
NOT_BEFORE = "Nothing can be said of it before the last check has been repeated."
CHECK_DAYS = (7, 90)  # look no sooner and no later (judgement)


@dataclass(frozen=True)
class Course:
    """Where one concentration goes if all goes on as before [g/L, chloride mg/L; a day, an ampere-hour]."""

    per_day: Value
    per_ampere_hour: Value | None
    leaves_in_days: int | None  # when it has probably left the window; None within two years
    leaves_in_ampere_hours: float | None

    def way(self, unit: str) -> Line:
        """Say how it changes in a week, and that it may do either where that is not certain."""
        value, spread = (7 * part for part in self.per_day)
        if abs(value) <= COVERAGE * spread:
            return line("may rise or fall ({weekly} a week)", weekly=Amount(value, unit, standard_uncertainty=spread))
        weekly = Amount(abs(value), unit, standard_uncertainty=spread)
        return line("{way} by {weekly} a week", way="falls" if value < 0 else "rises", weekly=weekly)

    def said(self, unit: str) -> Line:
        """Say where it goes, to stand behind its name."""
        return line("{way} and {leaving}", way=self.way(unit), leaving=self.leaving())

    def leaving(self) -> str:
        """Say when it probably leaves its window."""
        if self.leaves_in_days is None:
            return "probably stays in its window for two years"
        if self.leaves_in_days == 0:
            return "is probably outside its window now"
        charge = self.leaves_in_ampere_hours
        until = "" if charge is None else f", or {charge:.0f} A·h"
        return f"probably leaves its window in {counted(self.leaves_in_days, 'day')}{until}"


@dataclass(frozen=True)
class Forecast:
    """What comes. check_in_days: when to measure again; water: L a week to hold the level.

    settled: the last check asked for nothing more.
    """

    courses: dict[str, Course]
    check_in_days: int
    water_per_week: Value
    doubted: bool = False  # the last check is to be repeated before anything can be said
    settled: bool = True

    TITLE: ClassVar[str] = "What to expect"

    def to_dict(self) -> dict[str, object]:
        """Return the forecast with plain numbers and their unit in the name."""
        return {
            "check_in_days": self.check_in_days,
            "water_L_per_week": self.water_per_week._asdict(),
            "courses": {
                name: {
                    "per_day": course.per_day._asdict(),
                    "per_ampere_hour": None if course.per_ampere_hour is None else course.per_ampere_hour._asdict(),
                    "leaves_in_days": course.leaves_in_days,
                    "leaves_in_ampere_hours": course.leaves_in_ampere_hours,
                }
                for name, course in self.courses.items()
            },
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the forecast for a reader."""
        if self.doubted:
            return (Section("If all goes on as before", (NOT_BEFORE,)),)
        lines: list[str] = [
            f"Check again in about {self.check_in_days} days."
            if self.settled
            else f"First do what your last check says; after that, check about every {self.check_in_days} days."
        ]
        lines.append(line("Water to hold the level: {weekly} a week.", weekly=self.water_per_week.amount("L")))
        lines += [
            line("{name} {course}.", name=NAMES[name].capitalize(), course=course.said(UNITS[name]))
            for name, course in self.courses.items()
        ]
        return (Section("If all goes on as before, and water holds the level", tuple(lines)),)


def forecast(explanation: Explanation, limits: dict[str, Limits | None], settled: bool = True) -> Forecast:
    """Carry the causes on from the last check; limits as in `window.window_limits`, by component.

    What inert anodes plate goes on with the ampere-hours. Where the account is doubted, the check comes first.
    """
    known = explanation.now.known
    order = [0, 1, *([3] if len(known) > 3 else [])]
    gradient = _per_cause(known)[: len(order)]
    causes = np.array([explanation.causes[name].value for name in CAUSES])
    rate = gradient @ (causes - [0.0, 0.0, explanation.plated]) / explanation.days
    spread = gradient @ explanation.covariance @ gradient.T / explanation.days**2
    spread = spread + np.diag((HABITS_CHANGE * rate) ** 2)
    shared = explanation.with_now @ gradient.T / explanation.days
    per_day = explanation.ampere_hours / explanation.days
    days = np.arange(LONGEST + 1.0)
    courses, looks = {}, [CHECK_DAYS[1]]
    for i, (position, name) in enumerate(zip(order, COMPONENTS, strict=False)):
        mean = known[position] + rate[i] * days
        variance = (
            explanation.now.covariance[position, position] + 2 * days * shared[position, i] + days**2 * spread[i, i]
        )
        inside = _inside(mean, np.sqrt(np.maximum(variance, 1e-12)), limits.get(name))
        left = _first(inside < 0.5)
        look = _first(inside < CHECK_WHEN)
        looks.append(CHECK_DAYS[1] if look is None else look)
        daily = Value(float(rate[i]), float(np.sqrt(spread[i, i])))
        charged = Value(daily.value / per_day, daily.standard_uncertainty / per_day) if per_day else None
        courses[name] = Course(daily, charged, left, left * per_day if left is not None and per_day else None)
    water = np.array([1.0, 1.0, 0.0]) * 7 / explanation.days
    weekly = float(water @ causes)
    spread_weekly = float(np.hypot(np.sqrt(water @ explanation.covariance @ water), HABITS_CHANGE * weekly))
    water_per_week = Value(weekly, spread_weekly)
    if explanation.doubts:
        return Forecast({}, 0, water_per_week, doubted=True)
    return Forecast(courses, int(np.clip(min(looks), *CHECK_DAYS)), water_per_week, settled=settled)


def _per_cause(known: FloatArray) -> FloatArray:
    """Return how copper sulfate, acid and chloride move with each cause (3, 3), when water holds the level."""
    volume = known[2]
    chloride = known[3] if len(known) > 3 else 0.0
    lost = np.array([known[0], known[1], chloride]) / volume
    copper = np.array([PENTAHYDRATE_PER_COPPER, -ACID_PER_COPPER, 0.0]) / volume
    return np.column_stack([np.zeros(3), -lost, copper])


def _inside(mean: FloatArray, spread: FloatArray, limits: Limits | None) -> FloatArray:
    if limits is None:
        return np.ones_like(mean)
    below = normal_below((limits[0] - mean) / spread) if limits[0] > 0 else 0.0
    return np.asarray(1.0 - below - normal_below((mean - limits[1]) / spread))


def _first(where: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(where)) if where.any() else None
