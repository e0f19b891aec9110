"""What another reading would settle."""

import pytest
from scipy.special import ndtr

from advisor import advise, read_sheet

# The acid stands at the lower limit of the window, and is known badly; the copper is known to be inside.
CHECKED = {
    "kind": "previous check",
    "copper_sulfate": "221 ± 4 g/L",
    "sulfuric_acid": "30 ± 20 g/L",
    "since": "evaporation only",
}
# What would be found if the bath holds just that: 30 g/L in 10 mL are 0.3 g, 3.06 mmol, which take 6.12 mmol of
# bicarbonate, 12.2 mL of 0.5 mol/L.
TITRATED = {
    "kind": "acid titration",
    "sample": "10 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "used": "12.2 mL",
    "end_point": "first lasting cloud",
}


def test_a_reading_is_worth_what_it_may_find_elsewhere() -> None:
    """At the limit itself no reading, however sharp, settles anything: all that it is worth is that it may move.

    If the acid is known to u and after a reading to v, the reading moves it by a normal deviate of √(u² - v²). It is
    settled where it then lies more than 1.645 v off the limit: with the probability 2 Φ(-1.645 v/√(u² - v²)), and it is
    one of two that are to be settled.
    """

    def answer(*readings: dict[str, str]) -> dict:
        return advise(read_sheet({"bath": {"volume": "5.6 L", "additives": False}, "reading": [*readings]})).to_dict()

    before, after = answer(CHECKED), answer(CHECKED, TITRATED)
    u, v = (found["estimate"]["sulfuric_acid_g_L"] for found in (before, after))
    assert u["value"] == pytest.approx(30, abs=1)
    assert v["standard_uncertainty"] < u["standard_uncertainty"] / 3
    moves = (u["standard_uncertainty"] ** 2 - v["standard_uncertainty"] ** 2) ** 0.5
    settled = 2 * ndtr(-1.645 * v["standard_uncertainty"] / moves)
    gain = {found["kind"]: found["gain"] for found in before["next_reading"]}
    # The mean over what may be found is taken at 21 points, a step of about 0.1 each near the middle.
    assert gain["acid titration"] == pytest.approx(settled / 2, abs=0.1)
