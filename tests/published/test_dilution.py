"""Printed worked problems in dilution and strengthening, through the fraction that is replaced."""

import pytest

from advisor.basis import tables
from advisor.check.metals import part_fraction

# The part of a liquid that is not the stronger one, and what follows from it. Talbot's last figure may be off by one
# (W27: 1084 for 1085) or come from older atomic weights and rounding on the way (W28: 9.0 for 8.93).
SODIUM_CARBONATE_EQUIVALENT = 53.0  # g, as in Talbot's time


def printed(number: str) -> str:
    return next(row["printed_answer"] for row in tables.rows("worked_examples") if row["id"] == number)


def test_w23_what_a_thinned_solution_holds():
    # OpenStax Chemistry 2e, section 3.3: 0.850 L of 5.00 mol/L made up to 1.80 L.
    assert printed("W23") == "2.36 mol/L"
    kept = 1 - part_fraction(5.00, 2.36, 0.0)  # the printed answer thins it to this share
    assert f"{kept * 1.80:.3f}" == "0.850"


@pytest.mark.parametrize(
    ("number", "strong", "weak", "volume", "answer", "unit"),
    [("W24", 1.88, 0.125, 0.250, 3.76, "L"), ("W25", 3.00, 0.575, 0.05000, 0.261, "L")],
)
def test_w24_w25_volume_after_thinning(number, strong, weak, volume, answer, unit):
    # OpenStax Chemistry 2e.
    assert printed(number) == f"{answer} {unit}"
    found = volume / (1 - part_fraction(strong, weak, 0.0))
    assert f"{found:.3g}" == f"{answer:.3g}"


def test_w26_stock_needed():
    # OpenStax Chemistry 2e: 5.00 L of 0.100 mol/L from 1.59 mol/L.
    assert f"{5.00 * (1 - part_fraction(1.59, 0.100, 0.0)):.3f} L" == printed("W26") == "0.314 L"


def test_w27_thinning_to_a_normality():
    # Talbot, problem 16: 700 mL, of which 1 mL holds 0.1027 g of sodium carbonate, to 1.250 N.
    assert printed("W27") == "1084 mL"
    normality = 0.1027 / SODIUM_CARBONATE_EQUIVALENT * 1000
    assert 700 / (1 - part_fraction(normality, 1.250, 0.0)) == pytest.approx(1084, abs=2)


def test_w28_water_to_add():
    # Talbot, problem 17: 1 mL of alkali takes 1.117 mL of 0.4876 N; 100 mL of it to 0.5 N.
    assert printed("W28") == "9.0 mL"
    share = part_fraction(1.117 * 0.4876, 0.5, 0.0)
    assert 100 * share / (1 - share) == pytest.approx(9.0, abs=0.1)


def test_w29_strengthening():
    # Talbot, problem 32: 3 N added to 300 mL of 0.4 N until it is 0.6 N.
    assert printed("W29") == "25 mL"
    share = part_fraction(0.4, 0.6, 3.0)
    assert f"{300 * share / (1 - share):.0f} mL" == printed("W29")
