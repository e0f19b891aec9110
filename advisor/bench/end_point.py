"""The colours of an acid titration with methyl orange, computed for the flask of a plan, with and without its copper.

Light passes the flask; what copper and indicator leave of it is seen by the 1931 standard observer and shown as sRGB.
Copper takes away red, so that the well-known red to yellow looks violet to green here. It is grey at the end point only
where the drops of indicator keep step with the copper: too few would end blue-green. Where there is so little copper
that even the fewest drops are too many, it looks as it does without. Something to find one's way by: lamp, screen and
drops differ. No reading uses it.
"""

from __future__ import annotations

from dataclasses import dataclass

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
PATH = 6.0  # cm, across a flask of 100 mL (judgement)
DROP = 0.5 / 3  # absorbance of the red form that a drop in 100 mL has across PATH (judgement)
DROPS_PER_GRAM = 3.4  # of copper sulfate in the flask: then METHYL_ORANGE_PH is greyest (computed)
LEAST_DROPS = 2  # that an eye sees in a flask (judgement)
TOO_MANY = 1.5  # times the drops that keep step with the copper: from there on all looks as without (computed)
# What is drawn: when, at which pH, and what it is called with the copper and without (judgement).
STAGES = (
    ("before", TRANSITION[0] - 0.3, "violet", "pink"),
    ("turning", TRANSITION[0] + 0.3, "violet-grey", "salmon"),
    ("stop here", METHYL_ORANGE_PH, "grey", "orange"),
    ("too far", TRANSITION[1] + 0.3, "green", "yellow"),
)
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


@dataclass(frozen=True)
class EndPointFlask:
    """A flask at its end point: copper sulfate in it [g/L], drops of methyl orange, and all that it holds [mL]."""

    copper_sulfate: float
    drops: int
    millilitres: float

    @property
    def is_over_copper(self) -> bool:
        """Whether there is copper enough for the drops; else the colours are those without it, only paler."""
        grams = self.copper_sulfate * self.millilitres / 1000
        return self.drops < TOO_MANY * DROPS_PER_GRAM * grams

    @property
    def names(self) -> tuple[str, ...]:
        """What its colour at each of STAGES is called."""
        return tuple(over if self.is_over_copper else without for *_, over, without in STAGES)

    def colours(self, with_copper: bool) -> tuple[str, ...]:
        """Return its colour at each of STAGES, "#rrggbb", with the copper or as it would be without."""
        indicator = DROP * self.drops * 100 / self.millilitres
        copper = self.copper_sulfate if with_copper else 0.0
        return tuple(colour(copper, pH, indicator) for _, pH, *_ in STAGES)


def flask_at_the_end(bath_mL: float, copper_sulfate: float, millilitres: float) -> EndPointFlask:
    """Return the flask of so much bath [mL] that holds copper sulfate [g/L], all in it being so many millilitres."""
    grams = bath_mL * copper_sulfate / 1000
    return EndPointFlask(1000 * grams / millilitres, max(round(DROPS_PER_GRAM * grams), LEAST_DROPS), millilitres)


def share_yellow(pH: ArrayLike) -> FloatArray:
    """Return the share of the indicator in its yellow form, in the shape of pH; half in the middle of its turn."""
    return np.asarray(1 / (1 + 10 ** (np.mean(TRANSITION) - np.asarray(pH, dtype=float))), dtype=float)


def colour(copper_sulfate: float, pH: float, indicator: float) -> str:
    """Return the colour, "#rrggbb", of a flask: copper sulfate [g/L], its pH, absorbance of methyl orange's red form.

    Copper by the NBS absorptivity, 350 to 750 nm, across PATH; water is white. Colours outside sRGB are cut to it.
    """
    nm = tables.column("copper_absorptivity", "wavelength_nm")
    absorptivity = tables.column("copper_absorptivity", "molar_absorptivity_L_mol_cm")
    absorbed = absorptivity * copper_sulfate / COPPER_SULFATE_PENTAHYDRATE * PATH
    yellow = float(share_yellow(pH))
    for share, (peak, height, width) in zip((1 - yellow, yellow), BANDS, strict=True):
        absorbed = absorbed + indicator * share * height * np.exp(-0.5 * ((nm - peak) / width) ** 2)
    linear = TO_SRGB @ (WHITE * _seen(nm, 10**-absorbed))
    return "#" + "".join(f"{round(value):02x}" for value in from_linear(linear).tolist())


def _seen(nm: FloatArray, light: FloatArray) -> FloatArray:
    """Return X, Y and Z of a spectrum beside those of white."""
    eyes = np.array([sum(_lobe(nm, *lobe) for lobe in lobes) for lobes in LOBES])
    return np.asarray(eyes @ light / eyes.sum(axis=1), dtype=float)


def _lobe(nm: FloatArray, height: float, peak: float, below: float, above: float) -> FloatArray:
    return np.asarray(height * np.exp(-0.5 * ((nm - peak) / np.where(nm < peak, below, above)) ** 2), dtype=float)
