"""What a bath is going to lose if it goes on as between its last two checks, as the fields of a buying list."""

from __future__ import annotations

from advisor.basis.units import HOURS_PER_MONTH
from advisor.record.drift import Explanation

DAYS_PER_MONTH = HOURS_PER_MONTH / 24


def losses_ahead(change: Explanation) -> dict[str, str]:
    """Return water a week, bath a month and charge a month as a sheet's `[buy]` writes them; nothing below zero."""
    water, bath = (max(change.causes[name].value, 0.0) / change.days for name in ("evaporation", "lost bath"))
    return {
        "water": f"{7 * water:.2g} L",
        "bath": f"{1000 * DAYS_PER_MONTH * bath:.2g} mL",
        "plated": f"{DAYS_PER_MONTH * change.ampere_hours / change.days:.2g} A*h",
    }
