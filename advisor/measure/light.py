"""How light falls over a photograph, told by white places in it.

Light over a picture is smooth: brighter at the window's side, darker towards the corners, which every lens makes. The
logarithm of the light is therefore taken as a smooth random field (a Gaussian process): a slope, plus a bend of any
smooth shape, plus what single white places are off. Near white places it is known, far from them it is estimated, with
an uncertainty. White paper in a row of jars thus corrects even a lens that a plane could not follow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.basis.arrays import FloatArray

# Standard deviations of the logarithm of light, lengths in half widths of the picture; all judgement.
SLOPE = 0.15  # of the slope over half a width: light from a window at one side
BEND = 0.4  # of the smooth rest: a lens that leaves a fifth of the light out at its edge bends it by about as much
BEND_LENGTH = 1.5  # over which the smooth rest changes
# What one white place may be off: texture and storing at best, a shadow or a crease at worst. The likeliest is taken.
OFF = (0.004, 0.008, 0.016, 0.032, 0.064)
CURVE_SHARE = 0.15  # of the unevenness: a camera's curve is not quite that of sRGB, least of all near white


@dataclass(frozen=True)
class Light:
    """Light at m jars, relative to their mean.

    at_jars: shape (m, 3), red, green, blue. standard_uncertainty: relative, of one jar's. off: what the white places
    disagree by beyond any smooth light, relative.
    """

    at_jars: FloatArray
    standard_uncertainty: float
    off: float


def light_at(jars: FloatArray, whites: FloatArray, shown: FloatArray) -> Light:
    """Return the light at jars, shape (m, 2), as white places, shape (n, 2), tell it.

    Both are x and y in half widths of the picture. shown: linear light of the white places, shape (n, 3), as shares of
    white. n may be 0: then it is only said how uneven light usually is.
    """
    told = np.log(np.maximum(shown, 1e-6))
    told = told - told.mean(axis=0) if len(told) else told
    between = _covariance(jars, whites)
    smooth = _covariance(whites, whites)
    whole = smooth + _likeliest_off(smooth, told) ** 2 * np.eye(len(whites))
    apart = np.eye(len(jars)) - 1 / max(len(jars), 1)  # only differences between the jars count
    level = apart @ between @ np.linalg.solve(whole, told)
    left = apart @ (_covariance(jars, jars) - between @ np.linalg.solve(whole, between.T)) @ apart
    curve = CURVE_SHARE * level[:, 0].std() if len(jars) else 0.0
    spread = float(np.sqrt(np.diag(left).max(initial=0.0) + curve**2))
    rest = told - smooth @ np.linalg.solve(whole, told)
    return Light(np.exp(level), spread, float(np.abs(rest[:, 0]).max(initial=0.0)))


def _covariance(some: FloatArray, others: FloatArray) -> FloatArray:
    """Return the covariance (m, n) of the logarithm of light between places (m, 2) and (n, 2); its level is open."""
    squared = np.sum((some[:, None, :] - others[None, :, :]) ** 2, axis=-1)
    smooth = BEND**2 * np.exp(-squared / (2 * BEND_LENGTH**2))
    return np.asarray(1.0 + SLOPE**2 * some @ others.T + smooth, dtype=float)


def _likeliest_off(smooth: FloatArray, told: FloatArray) -> float:
    """Return the value of OFF that best explains what the white places (n, 3) show; smooth: their covariance."""

    def likelihood(off: float) -> float:
        whole = smooth + off**2 * np.eye(len(smooth))
        fit = float(told[:, 0] @ np.linalg.solve(whole, told[:, 0]))
        return -(fit + float(np.linalg.slogdet(whole)[1])) / 2

    return max(OFF, key=likelihood)
