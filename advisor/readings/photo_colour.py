"""Copper from a photo: the red that the bath lets through, beside standards of one's own in the same picture.

Copper(II) absorbs red, and a camera's red falls with copper. How fast depends on camera, lamp and jar, so the curve of
absorbance against concentration is calibrated by the standards of the same photo. Green and blue are kept with the
reading but hardly change. It tells nothing of the acid; dyes and much nickel mislead it.

The calibration is a quadratic with a prior on its curvature: two standards fix a line only, bent as most cameras
bend it, and how much it might bend counts as uncertainty; from four standards on the data decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.fields import InputError, RowsField, define, note, quantity, show, times_diluted
from advisor.basis.srgb import to_linear
from advisor.basis.units import COVERAGE, Measured
from advisor.readings.colour_match import OWN_STANDARDS, STANDARDS_SPREAD
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.words.lines import Amount, line

LIGHT_NOT_TOLD = 0.02  # relative; of the light at a jar where nobody says how even it was (judgement)
# Relative, of what copper absorbs in one jar: drinking glasses of one set differ by 3 % in width, evenly spread
# (judgement).
GLASS_SPREAD = 0.03 / np.sqrt(3)
ROUNDING = 1 / np.sqrt(12)  # of a value 0 to 255 (exact)
# Curvature of absorbance, as a share of its slope over half of the standards' range, mean and standard deviation of the
# prior: -0.05 for a narrow band of red, 0.05 to 0.4 for the sRGB red of copper sulfate (computed by its absorptivity).
CURVATURE = (0.1, 0.2)
DILUTION_SPREAD = 0.01  # relative; one dilution by syringe or flask (judgement)
CLIPPED = (3.0, 252.0)  # values that a camera may have cut off (judgement)
LEAST_FALL = 5.0  # of red, from the palest to the strongest standard (judgement)
DARK = 80.0  # red below this: the curve bends too sharply for a quadratic (computed, sRGB)
SAYS_NOTHING = 500.0  # g/L; standard uncertainty of a reading whose red is clipped (judgement)


@dataclass(frozen=True)
class Calibration:
    """Absorbance = c0 + c1 u + c2 u² with u = (g/L in the jar - middle) / half, and the covariance of the c."""

    middle: float
    half: float
    coefficients: FloatArray
    covariance: FloatArray

    def concentration(self, absorbance: float) -> tuple[float, float, float]:
        """Return g/L in the jar, its standard uncertainty by the calibration alone, and g/L for 1 of absorbance."""
        c0, c1, c2 = self.coefficients
        root = np.sqrt(max(c1**2 - 4 * c2 * (c0 - absorbance), 0.0))
        u = 2 * (absorbance - c0) / (c1 + root)
        slope = max(root, 0.2 * c1)  # where the quadratic turns back it says little, but not nothing
        row = np.array([1.0, u, u**2])
        spread = float(np.sqrt(row @ self.covariance @ row)) * self.half / slope
        return float(self.middle + self.half * u), spread, float(self.half / slope)


def absorbance(red: ArrayLike, light: float) -> tuple[FloatArray, FloatArray]:
    """Return the absorbance of red values (against white) and its standard uncertainty; any shape.

    light: relative standard uncertainty of the light at a jar. What glasses differ by is not in it.
    """
    value = np.maximum(np.asarray(red, dtype=float), 0.5)
    linear = to_linear(value)
    rounding = (to_linear(value + 0.25) - to_linear(value - 0.25)) / 0.5 * ROUNDING / linear
    return -np.log10(linear), np.hypot(light, rounding) / np.log(10)


def calibrate(concentrations: ArrayLike, red: ArrayLike, light: float) -> Calibration:
    """Calibrate the absorbance of red values (n,) against concentrations (n,) [g/L], at least two of them different.

    light: relative standard uncertainty of the light at a jar. Where the standards scatter more than they should, the
    covariance is enlarged by their chi-squared.
    """
    grams, (shown, spread) = np.asarray(concentrations, dtype=float), absorbance(red, light)
    middle, half = (grams.max() + grams.min()) / 2, (grams.max() - grams.min()) / 2
    u = (grams - middle) / half
    steepness = max(abs(float(np.polyfit(u, shown, 1, w=1 / spread)[0])), 1e-3)
    spread = np.hypot(spread, GLASS_SPREAD * steepness / half * grams)
    design = np.vander(u, 3, increasing=True) / spread[:, None]
    bend, bend_spread = np.array(CURVATURE) * steepness
    design = np.vstack([design, [0.0, 0.0, 1 / bend_spread]])  # the prior counts like one more reading
    whitened = np.append(shown / spread, bend / bend_spread)
    covariance = np.asarray(np.linalg.inv(design.T @ design), dtype=float)
    coefficients = covariance @ design.T @ whitened
    left = whitened - design @ coefficients
    widened = max(1.0, float(left @ left) / max(len(grams) - 2, 1))
    return Calibration(float(middle), float(half), coefficients, covariance * widened)


@dataclass(frozen=True)
class PhotoColour(Reading):
    """The bath's red in a photo, beside standards."""

    kind: ClassVar[str] = "photo colour"
    label: ClassVar[str] = "Photo colour"

    standards: tuple[tuple[float, ...], ...] = define(
        RowsField(
            label="Standards [g/L, R, G, B]",
            columns=("g/L", "R", "G", "B"),
            help="Copper sulfate in the jar as photographed, and its colour, 0 to 255. Four or more, around the bath.",
            required=True,
        )
    )
    samples: tuple[tuple[float, ...], ...] = define(
        RowsField(
            label="Samples [R, G, B]",
            columns=("R", "G", "B"),
            help="The bath in the same photo, same jars; a row for each jar. Best two, in the middle.",
            required=True,
        )
    )
    light_even_to: Measured | None = quantity(
        "fraction",
        "Light even to",
        "How far the light at the jars is known, with 95 % probability. A photograph read here writes it; else 4 %.",
        high=1.0,
    )
    dilution: float = times_diluted("The sample of the bath: 10 if 1 mL was made up to 10 mL; 1 if it was not diluted.")
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse colours out of range, standards that do not make a curve, and copper that no bath holds."""
        self._refuse_what_is_no_colour(place)
        for number, row in enumerate(self.standards, 1):
            if not 0 <= row[0] <= HIGHEST_COPPER_SULFATE:
                accepted = f"it must be 0 to {HIGHEST_COPPER_SULFATE:.0f} g/L"
                raise InputError(f"{place}: standards row {number}", show(row[0]), accepted)
        self._refuse_standards_without_a_curve(place)
        found = self.found()[0]
        if found > HIGHEST_COPPER_SULFATE and not self._clipped():
            given = line(
                "with dilution {times:g} they mean {g:.0f g/L} of copper sulfate", times=self.dilution, g=found
            )
            accepted = line(
                "it must be at most {most:.0f g/L}; give the standards as they are in the jars",
                most=HIGHEST_COPPER_SULFATE,
            )
            raise InputError(f"{place}: samples", given, accepted)

    def _refuse_what_is_no_colour(self, place: str) -> None:
        for name, rows in (("standards", [row[1:] for row in self.standards]), ("samples", self.samples)):
            for number, row in enumerate(rows, 1):
                if not all(0 <= value <= 255 for value in row):
                    raise InputError(
                        f"{place}: {name} row {number}", show(list(row)), "it must be 0 to 255 for a colour"
                    )

    def _refuse_standards_without_a_curve(self, place: str) -> None:
        """Refuse standards of one strength only, and those whose red does not fall as copper rises."""
        grams, red = self._sound_standards()
        if len(set(grams)) < 2:
            given = f"{len(set(grams))} of different strength with a red between {CLIPPED[0]:.0f} and {CLIPPED[1]:.0f}"
            raise InputError(f"{place}: standards", given, "two or more are needed; dilute all alike if they are dark")
        fallen = red[np.argmin(grams)] - red[np.argmax(grams)]
        if fallen < LEAST_FALL or calibrate(grams, red, self._light()).coefficients[1] <= 0:
            accepted = "the red must fall as copper rises; rows are [g/L, R, G, B]"
            raise InputError(f"{place}: standards", "the red does not fall", accepted)

    def _sound_standards(self) -> tuple[FloatArray, FloatArray]:
        table = np.array(self.standards)
        sound = (table[:, 1] >= CLIPPED[0]) & (table[:, 1] <= CLIPPED[1])
        return table[sound, 0], table[sound, 1]

    def _clipped(self) -> bool:
        return any(not CLIPPED[0] <= row[0] <= CLIPPED[1] for row in self.samples)

    def _light(self) -> float:
        """Return the relative standard uncertainty of the light at a jar."""
        told = self.light_even_to
        return LIGHT_NOT_TOLD if told is None else told.value / COVERAGE

    def found(self) -> tuple[float, float]:
        """Return copper sulfate in the bath [g/L] by inverse prediction, and its standard uncertainty.

        The standards' own strengths count as right: what they may be off is shared by all that is compared with them.
        """
        calibration = calibrate(*self._sound_standards(), self._light())
        shown, spread = absorbance([row[0] for row in self.samples], self._light())
        grams, _, per_absorbance = calibration.concentration(float(np.mean(shown)))
        spread = np.hypot(spread, GLASS_SPREAD * max(grams, 0.0) / per_absorbance)
        weights = spread**-2.0
        mean = float(np.average(shown, weights=weights))
        widened = max(1.0, float(np.sum(weights * (shown - mean) ** 2)) / max(len(shown) - 1, 1))
        grams, by_calibration, per_absorbance = calibration.concentration(mean)
        by_sample = per_absorbance * np.sqrt(widened / weights.sum())
        diluting = DILUTION_SPREAD * grams if self.dilution > 1 else 0.0
        return grams * self.dilution, float(np.hypot(np.hypot(by_calibration, by_sample), diluting)) * self.dilution

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: copper sulfate in the bath [g/L], as the standards give it."""
        found, spread = self.found()
        if self._clipped():
            spread = SAYS_NOTHING
        return Model.of_one(
            lambda state: as_rows(state.copper_sulfate), found, spread, {}, {OWN_STANDARDS: STANDARDS_SPREAD}
        )

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say when the red is clipped, too dark, or outside the standards."""
        if self._clipped():
            return (
                "The red of the sample is cut off by the camera, so this photo tells nothing: dilute sample and "
                "standards more, or use less light, and take it again.",
            )
        found = []
        grams, _ = self._sound_standards()
        if len(grams) < len(self.standards):
            found.append(f"{len(self.standards) - len(grams)} of the standards were left out: their red is cut off.")
        if min(row[0] for row in self.samples) < DARK:
            found.append(
                "The colour in the photo is too strong to judge the copper well: dilute more, or use a thinner jar."
            )
        here = self.found()[0] / self.dilution
        if not grams.min() <= here <= grams.max():
            found.append(
                line(
                    "The sample, about {here:.0f g/L} in its jar, lies outside the standards ({standards}): make "
                    "one on its other side.",
                    here=here,
                    standards=Amount(grams.min(), "g/L", digits=6, upper=grams.max()),
                )
            )
        if len(set(grams)) < 4:
            found.append("Four standards or more would show how the camera's red bends; with fewer that is guessed.")
        return tuple(found)
