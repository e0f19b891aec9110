"""A problem whose answer is not printed, worked by hand."""

import pytest

from advisor.basis.fields import read_table
from advisor.bench.standardise import STANDARDISATIONS


def against_solid(**typed):
    errors = []
    read = read_table(STANDARDISATIONS["against solid"].table, {"purity": "100 %"} | typed, "titrant", errors)
    assert not errors
    return STANDARDISATIONS["against solid"].answer(read)


def test_lye_against_phthalate():
    """OpenStax Chemistry 2e: 0.3420 g of potassium hydrogen phthalate takes 35.73 mL of lye. The answer is not printed
    there; 0.3420 / 204.22 / 0.03573 is 0.04687 mol/L (computed)."""
    found = against_solid(solid="potassium hydrogen phthalate", mass="0.3420 g", used="35.73 mL")
    assert found.molarity == pytest.approx(0.04687, abs=5e-6)
