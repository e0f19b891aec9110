"""The record of a bath in one sentence: what changes most, or why that cannot be told."""

from __future__ import annotations

from advisor.basis.components import NAMES, UNITS
from advisor.basis.units import COVERAGE
from advisor.check.window import Limits
from advisor.record.drift import Doubt, Explanation
from advisor.record.forecast import Forecast
from advisor.words.lines import Amount, Line, line

A_MONTH = 30.0  # days (judgement)
WHY = {
    Doubt.UNLIKE: "The last check is far from what your record led to expect: repeat it",
    Doubt.TOO_MUCH_COPPER: "More copper came or went than anodes give or take: repeat the last check",
    Doubt.NOT_CLOSED: "Something was added or taken out that is not written down, or the last check is wrong",
}


def trend(explanation: Explanation, coming: Forecast, limits: dict[str, Limits | None]) -> Line:
    """Return the sentence. limits: windows by component [g/L, chloride mg/L], by whose width changes are compared."""
    if explanation.doubts:
        return Line(WHY[explanation.doubts[0]])
    shares = {}
    for name, course in coming.courses.items():
        window = limits.get(name)
        if window and abs(course.per_day.value) > COVERAGE * course.per_day.standard_uncertainty:
            shares[name] = abs(course.per_day.value) / (window[1] - window[0])
    if not shares:
        return Line("Your bath holds steady, as far as your checks can tell")
    name = max(shares, key=lambda one: shares[one])
    daily = coming.courses[name].per_day
    spread = A_MONTH * daily.standard_uncertainty
    monthly = Amount(A_MONTH * abs(daily.value), UNITS[name], standard_uncertainty=spread, is_change=True)
    way = "falls" if daily.value < 0 else "rises"
    return line("{name} {way} by {monthly} a month", name=NAMES[name].capitalize(), way=way, monthly=monthly)
