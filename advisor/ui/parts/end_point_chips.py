"""The colours of an acid titration with methyl orange as chips: computed, with and without the copper.

Light passes the flask; what copper and indicator leave of it is seen by the 1931 standard observer and shown as sRGB.
Copper takes away red, so that the well-known red to yellow looks violet-grey to green here. A picture to find one's
way by: lamp, screen and drops of indicator differ. No reading uses it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis import tables
from advisor.basis.arrays import FloatArray
from advisor.basis.srgb import from_linear
from advisor.readings.acid_titration import METHYL_ORANGE_PH
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE

TRANSITION = (3.1, 4.4)  # pH, red and yellow ends of methyl orange (handbook figures, from memory)
# Bands of its red and its yellow form: peak [nm], height beside the red one, width [nm] as a standard deviation; peaks
# and heights from memory, width by judgement.
BANDS = ((508.0, 1.0, 38.0), (464.0, 0.6, 42.0))
INDICATOR = 0.5  # absorbance of the red form across the flask: some drops (judgement)
IN_FLASK = 10.0  # g/L in the flask: 5 mL of a bath of 200 g/L in 100 mL (computed)
PATH = 6.0  # cm, across a flask of 100 mL (judgement)
# The 1931 observer as a sum of lobes (height, peak, widths below and above [nm]): Wyman, Sloan and Shirley (2013),
# J. Computer Graphics Techniques 2(2), 1, from memory.
LOBES = (
    ((1.056, 599.8, 37.9, 31.0), (0.362, 442.0, 16.0, 26.7), (-0.065, 501.1, 20.4, 26.2)),
    ((0.821, 568.8, 46.9, 40.5), (0.286, 530.9, 16.3, 31.1)),
    ((1.217, 437.0, 11.8, 36.0), (0.681, 459.0, 26.0, 13.8)),
)
# XYZ, each beside that of white, to linear sRGB (IEC 61966-2-1, from memory; white D65).
TO_SRGB = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
WHITE = np.array([0.95047, 1.0, 1.08883])  # XYZ of D65, from memory


def share_yellow(pH: ArrayLike) -> FloatArray:
    """Return the share of the indicator in its yellow form; half in the middle of the published transition."""
    return np.asarray(1 / (1 + 10 ** (np.mean(TRANSITION) - np.asarray(pH, dtype=float))), dtype=float)


def colour(copper_sulfate: float, pH: float | None, path: float = PATH) -> str:
    """Return the colour, "#rrggbb", of a flask: copper sulfate [g/L], pH of its methyl orange (None: none), path [cm].

    Copper by the NBS absorptivity, 350 to 750 nm; water is white. Colours outside sRGB are cut to it.
    """
    nm = tables.column("copper_absorptivity", "wavelength_nm")
    absorptivity = tables.column("copper_absorptivity", "molar_absorptivity_L_mol_cm")
    absorbed = absorptivity * copper_sulfate / COPPER_SULFATE_PENTAHYDRATE * path
    if pH is not None:
        yellow = float(share_yellow(pH))
        for share, (peak, height, width) in zip((1 - yellow, yellow), BANDS, strict=True):
            absorbed = absorbed + INDICATOR * share * height * np.exp(-0.5 * ((nm - peak) / width) ** 2)
    linear = TO_SRGB @ (WHITE * _seen(nm, 10**-absorbed))
    return "#" + "".join(f"{round(value):02x}" for value in from_linear(linear).tolist())


def _seen(nm: FloatArray, light: FloatArray) -> FloatArray:
    """Return X, Y and Z of a spectrum beside those of white."""
    eyes = np.array([sum(_lobe(nm, *lobe) for lobe in lobes) for lobes in LOBES])
    return np.asarray(eyes @ light / eyes.sum(axis=1), dtype=float)


def _lobe(nm: FloatArray, height: float, peak: float, below: float, above: float) -> FloatArray:
    return np.asarray(height * np.exp(-0.5 * ((nm - peak) / np.where(nm < peak, below, above)) ** 2), dtype=float)


def chips() -> str:
    """Return the chips as HTML: a row with the copper of a bath and one without, before, at and after the end."""
    points = {
        "Before": TRANSITION[0] - 0.3,
        "Turning": TRANSITION[0] + 0.3,
        f"End, pH {METHYL_ORANGE_PH:g}": METHYL_ORANGE_PH,
        "Too far": TRANSITION[1] + 0.3,
    }
    cell = "display:inline-block;width:23%;margin:0 1% .4rem 0;vertical-align:top;font-size:.85rem"
    chip = "display:block;height:2.6rem;border:1px solid;border-radius:.3rem"
    rows = []
    for words, copper in (("With the copper of the bath in the flask", IN_FLASK), ("Without copper, to compare", 0.0)):
        cells = "".join(
            f'<span style="{cell}"><span style="{chip};background:{colour(copper, pH)}"></span>{name}</span>'
            for name, pH in points.items()
        )
        rows.append(f"<p>{words}:</p><div>{cells}</div>")
    return "".join(rows) + f"<p>{WORDS}</p>"


WORDS = (
    "Computed for 5 mL of a bath of 200 g/L in 100 mL, six centimetres deep. Stop at grey: when the violet is gone, "
    "before it turns green. Keep a flask that went too far beside you to compare with."
)
