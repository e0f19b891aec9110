"""What a bath is going to lose if it goes on as between its last two checks, as the fields of a buying list."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from advisor.basis.units import HOURS_PER_MONTH
from advisor.record.doses import RECENT
from advisor.record.drift import HABITS_CHANGE, Explanation
from advisor.record.entries import CHARGE, Entry, ampere_hours
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


def plated_ahead(entries: Sequence[Entry], now: datetime) -> dict[str, Amount]:
    """Return the charge a month as the runs of the last 30 days show it, where no two checks do; empty without runs."""
    charge = ampere_hours(entry for entry in entries if now - timedelta(days=RECENT) < entry.when <= now)
    return {"plated": _ahead(charge, CHARGE * charge, DAYS_PER_MONTH / RECENT, "A·h")} if charge else {}


def _ahead(value: float, spread: float, times: float, unit: str) -> Amount:
    ahead = times * max(value, 0.0)
    doubt = float(np.hypot(times * spread, HABITS_CHANGE * ahead))
    return Amount(ahead, unit, standard_uncertainty=doubt or None)
