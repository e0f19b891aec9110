"""The absorptivity that drawings and simulated photographs are made from: cell by cell, and as a curve.

National Bureau of Standards, acid copper sulfate absorbance standard: 20 g/L CuSO4.5H2O, 1 cm, from memory.
"""

import numpy as np
import pytest

from advisor.basis.tables import column
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE

NM = column("copper_absorptivity", "wavelength_nm")
ABSORPTIVITY = column("copper_absorptivity", "molar_absorptivity_L_mol_cm")


@pytest.mark.parametrize(("nm", "absorbance"), [(650, 0.224), (700, 0.527), (750, 0.817)])
def test_absorbance_of_the_standard(nm, absorbance):
    here = float(ABSORPTIVITY[nm == NM][0])
    assert here * 20 / COPPER_SULFATE_PENTAHYDRATE == pytest.approx(absorbance, abs=0.0005)


def test_the_curve_has_no_kink():
    """No cell strays from the line between its neighbours by more than a curve this broad bends."""
    red = ABSORPTIVITY[NM >= 600]
    bend = np.abs(red[1:-1] - (red[:-2] + red[2:]) / 2)
    assert bend.max() < 0.06
    assert (np.diff(red) > 0).all()
