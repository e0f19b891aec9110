"""What a bath is going to lose if it goes on as between its last two checks, as the fields of a buying list."""

from __future__ import annotations

import numpy as np

from advisor.basis.units import HOURS_PER_MONTH
from advisor.record.drift import HABITS_CHANGE, Explanation
from advisor.record.entries import CHARGE
from advisor.words.lines import Amount

DAYS_PER_MONTH = HOURS_PER_MONTH / 24  # exact


def losses_ahead(change: Explanation) -> dict[str, Amount]:
    """Return water a week, bath and charge a month by the names of a sheet's `[buy]`; no value below zero.

    The ± is that of the change, and of habits that change, as in a forecast.
    """
    water, bath = (change.causes[name] for name in ("evaporation", "lost bath"))
    charge = change.ampere_hours
    return {
        "water": _ahead(water.value, water.standard_uncertainty, 7 / change.days, "L"),
        "bath": _ahead(bath.value, bath.standard_uncertainty, 1000 * DAYS_PER_MONTH / change.days, "mL"),
        "plated": _ahead(charge, CHARGE * charge, DAYS_PER_MONTH / change.days, "A·h"),
    }


def _ahead(value: float, spread: float, times: float, unit: str) -> Amount:
    ahead = times * max(value, 0.0)
    doubt = float(np.hypot(times * spread, HABITS_CHANGE * ahead))
    return Amount(ahead, unit, standard_uncertainty=doubt or None)
