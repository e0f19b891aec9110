"""Published problems on standardising, to the digits that were printed (rows of `worked_examples.csv`; OpenStax).

The weighed solid against which a titrant is standardised is the titrant's own mass in these: one division serves both.
"""

import pytest

from advisor.basis import tables
from advisor.basis.fields import read_table
from advisor.basis.units import parse
from advisor.bench.standardise import STANDARDISATIONS, WEIGHED, molarity
from advisor.readings.copper_titration import TITRANTS
from advisor.solution.molar_masses import COPPER, SODIUM_CARBONATE

PRINTED = {row["id"]: row["printed_answer"] for row in tables.rows("worked_examples")}


def against_solid(**typed):
    errors = []
    read = read_table(STANDARDISATIONS["against solid"].table, {"purity": "100 %"} | typed, "titrant", errors)
    assert not errors
    return STANDARDISATIONS["against solid"].answer(read)


def test_acid_against_sodium_carbonate():
    """W11 (Talbot, problem 8): 1.216 g takes 47.26 mL of acid; a mole of carbonate takes two of protons."""
    assert round(molarity(1.216, SODIUM_CARBONATE / 2, 47.26), 4) == 0.4855
    assert PRINTED["W11"] == "0.4855 N"


def test_carbonate_for_an_acid():
    """W12 (Talbot, problem 13b): 10 mL of 0.1 N acid takes half a millimole of carbonate."""
    assert round(molarity(0.053, WEIGHED["sodium carbonate"].molar_mass, 10.0), 3) == 0.05
    assert PRINTED["W12"] == "0.053 g"


def test_thiosulfate_against_iodate():
    """W17 (Talbot, problem 61): 0.3000 g of iodate takes 48 mL. Today's atomic weights give 0.17523 N and 0.02224 g of
    iodine a millilitre; printed are 0.1753, the last figure off by one as Talbot allows, and 0.02224."""
    found = against_solid(solid="potassium iodate", mass="0.3000 g", used="48 mL")
    assert found.molarity == pytest.approx(0.17523, abs=1e-5)
    assert found.molarity == pytest.approx(0.1753, abs=1.001e-4)
    assert round(found.molarity * 126.904 / 1000, 5) == 0.02224
    assert PRINTED["W17"] == "0.1753 N; 0.02224 g I2/mL"


def test_thiosulfate_for_copper():
    """W18 (Beringer): 100 mL of 39.18 g/L thiosulfate is worth 1 g of copper; so that gram standardises it. Printed is one
    digit. To four, today's atomic weights give 1.003 g; 39.18 solved back from 1 g takes copper at 63.3 (inferred)."""
    strength = TITRANTS["iodometric"].molarity(parse("39.18 g/L", "strength"))
    copper = strength / molarity(1.0, COPPER, 100.0)
    assert f"{copper:.1g} g Cu" == PRINTED["W18"]
    assert round(copper, 3) == 1.003
