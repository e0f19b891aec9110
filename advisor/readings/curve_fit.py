"""Free acid from a titration curve, by fitting the whole equilibrium model to it.

Floating beside the acid: an offset and a slope of the electrode and, where the titrant fizzes, the carbon dioxide that
the flask still holds, as one effective partial pressure. An electrode that reads 0.3 pH wrong therefore costs nothing.
The titrant that the gas takes is in proportion to its pressure, which may be anything from that of air to a thousand
times more: a fit of its logarithm stayed wherever it began, far too sure of itself.
Points from the first solid on are left out by the model, not by hand. It does not read copper from the second jump (1.5
or 2 OH per copper, depending on the solid).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache, partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.readings.acid_titration import AIR, FIZZING, LYE
from advisor.readings.model import FloatArray
from advisor.solution.equilibrium import (
    Flask,
    alone,
    equivalence_volume,
    pH_at_titrant_volume,
    titrant_volume_at_pH,
    titrant_volume_at_precipitation,
)

BoolArray = NDArray[np.bool_]
Points = tuple[tuple[float, float], ...]  # mL, pH

PH_NOISE, VOLUME_NOISE = 0.02, 0.02  # pH, mL; one point (judgement), enlarged where the points scatter more
REFERENCE_PH = 4.0  # the buffer at which the offset is told (judgement)
# What is believed of the electrode before the fit (judgement): offset [pH] and slope, each mean and standard deviation.
OFFSET_PRIOR, SLOPE_PRIOR = (0.0, 0.3), (1.0, 0.03)
ELECTRODE_PRIOR = np.array([OFFSET_PRIOR, SLOPE_PRIOR]).T  # means, standard deviations
# Carbon dioxide is believed to lie anywhere from open air to a flask left fizzing, evenly in the logarithm (judgement).
MEAN_CARBON_DIOXIDE = (FIZZING - AIR) / float(np.log(FIZZING / AIR))  # atm (computed)
FEW_NODES = 101  # of an integral over it, twice (computed)
SUREST = 1e-4  # atm; a thinner belief would be lost between the nodes (judgement)
BARELY = 0.01  # atm^-2; what else holds a pressure of which the points say nothing (judgement)
# Steps for the slopes: acid [g/L], pH, copper sulfate [g/L], carbon dioxide [atm] (judgement).
SLOPE_STEPS = np.array([0.1, 0.01, 10.0, 0.05])
SAFE_START_PH = 3.6  # copper precipitates at pH 4.0 at the earliest: the first pass needs no model to tell (computed)
BELOW_ONSET = 0.05  # pH; how far from the first solid the points must stay (judgement)
FEWEST_POINTS = 5  # judgement
LEAST_RISE = 0.5  # pH (judgement)
WORST_UNCERTAINTY = 0.2  # relative: above it the curve says too little to be called a measurement (judgement)
WILDEST = 15.0  # times the expected scatter: above it this is no titration curve (judgement)
MODEL_UNCERTAINTY = 0.0007  # relative; fits to curves made with PHREEQC come out 0.1 % low on average (computed)
PASSES, STEPS = 4, 4  # computed: tried out
NODES = 100  # a spline through so many, 0.05 pH apart, is off by 0.0001 mL (computed)
SHORT = 0.03  # standard uncertainties; a step so short is the last, the next is a hundred times shorter (computed)
SURELY = 1.0  # standard uncertainties of the acid by which a point must lie before the first solid (judgement)
COPPER_DOUBT = 15.0  # g/L; copper may be so much more than the fit holds, and the first solid come sooner (judgement)
GRAN_RANGE = (0.80, 0.98)  # of the titration: earlier points still give off protons from HSO4- (computed)
COPPER_GUESS = 150.0  # g/L (judgement)


class CurveError(ValueError):
    """A curve from which no acid can be read; the message says why and what to do."""


@dataclass(frozen=True)
class CurveFit:
    """What a curve tells. Arrays have one value for each point, sorted by volume.

    acid and its standard uncertainty are in g/L, as fitted with `copper_sulfate` g/L in the bath: another copper
    changes the acid by acid_per_copper for each g/L. offset: what the electrode adds at pH 4. slope: of the electrode,
    1 for a perfect one. carbon_dioxide: partial pressure [atm], None with lye. end_point_mL: where the acid is just
    neutralised. used: which points were. residuals: measured less fitted volume [mL], NaN for the others. widened_by:
    how many times more than expected the points scatter, at least 1. gran_acid reads 0.5 % low at the median, within
    2.5 % (simulated); None where the points do not allow it.
    """

    acid: float
    standard_uncertainty: float
    copper_sulfate: float
    acid_per_copper: float
    offset: float
    slope: float
    carbon_dioxide: float | None
    end_point_mL: float
    shown_pH: FloatArray = field(repr=False)
    residuals: FloatArray = field(repr=False)
    used: BoolArray = field(repr=False)
    widened_by: float
    gran_acid: float | None


@dataclass(frozen=True)
class _Curve:
    """The points with what the fit holds fixed. Parameters: acid, offset, slope; with carbonates CO2 [atm]."""

    volumes: FloatArray
    pH: FloatArray
    flask: Flask
    copper_sulfate: float

    def carbon_dioxide(self, parameters: FloatArray) -> float | None:
        """Partial pressure [atm] by the parameters (n,); None with lye."""
        return float(parameters[3]) if len(parameters) > 3 else None

    def true_pH(self, parameters: FloatArray) -> FloatArray:
        """The pH that a perfect electrode would have shown, shape (m,); parameters (n,)."""
        return np.asarray(REFERENCE_PH + (self.pH - REFERENCE_PH - parameters[1]) / parameters[2])

    def usable(self, parameters: FloatArray, spread: float) -> BoolArray:
        """Tell which points (m,) surely lie before the first solid, by volume and pH; spread: of the acid so far [g/L].

        A later point that slipped in would bend the fit until it seemed to lie before the first solid.
        """
        bath = self.copper_sulfate + COPPER_DOUBT, parameters[0] - SURELY * spread
        fizz = self.carbon_dioxide(parameters)
        onset = titrant_volume_at_precipitation(*bath, "brochantite", self.flask, fizz)
        onset_pH = pH_at_titrant_volume(*bath, onset, self.flask, fizz)
        last = titrant_volume_at_pH(*bath, onset_pH - BELOW_ONSET, self.flask, fizz)
        return np.asarray((self.volumes <= last) & (self.true_pH(parameters) <= onset_pH), dtype=bool)

    def linearised(
        self, parameters: FloatArray, used: BoolArray
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return measured less predicted volume [mL] (m,), slopes by parameter (m, n), by copper (m,), sigma (m,).

        used: which of the points, m of them.
        """
        count, slope = len(parameters), parameters[2]
        # One row as it is, then one with each step; lye has no carbon dioxide to step in.
        acid, on_pH, copper, gas = np.vstack([np.zeros(4), np.diag(SLOPE_STEPS)])[: count + 1, :, None].swapaxes(0, 1)
        pH, fizz = self.true_pH(parameters)[used], self.carbon_dioxide(parameters)
        at, at_points = _nodes(pH)
        bath = self.copper_sulfate + copper, parameters[0] + acid
        rows = at_points(titrant_volume_at_pH(*bath, at + on_pH, self.flask, None if fizz is None else fizz + gas))
        by_acid, by_pH, by_copper, *by_gas = (rows[1:] - rows[0]) / SLOPE_STEPS[:count, None]
        slopes = [by_acid, -by_pH / slope, -by_pH * (pH - REFERENCE_PH) / slope, *by_gas]
        sigma = np.hypot(VOLUME_NOISE, PH_NOISE * by_pH / slope)
        return self.volumes[used] - rows[0], np.column_stack(slopes), by_copper, sigma


def _nodes(pH: FloatArray) -> tuple[FloatArray, Callable[[FloatArray], FloatArray]]:
    """Return where to work out what is wanted at each pH (m,), and a function that takes it (*s, k) from there (*s, m).

    A curve is so smooth that a spline through a hundred of its points is as good as a thousand more of them.
    """
    if len(pH) <= NODES:
        return pH, lambda rows: rows
    from scipy.interpolate import CubicSpline  # few curves have so many points

    at = np.linspace(np.min(pH), np.max(pH), NODES)
    return at, lambda rows: np.asarray(CubicSpline(at, rows, axis=-1)(pH))


def fit_curve(points: Points, flask: Flask, copper_sulfate_guess: float = COPPER_GUESS) -> CurveFit:
    """Fit free acid to a titration curve.

    points: (mL, pH), in any order. copper_sulfate_guess [g/L CuSO4.5H2O]: of the bath, held fixed; the result says how
    the acid depends on it. Residuals are taken in volume, each weighted by what 0.02 pH and 0.02 mL mean at its place
    on the curve. Range: that of the equilibrium model, 25 degC. Accuracy with that noise, on 25 to 40 points made with
    PHREEQC for 55 to 270 g/L crystals and 20 to 210 g/L acid, 2 to 10 mL in 50 to 100 mL: lye 0.15 % at the median and
    0.9 % at the worst of 600, carbonates 0.16 % and 1.5 % (400). Raises CurveError where the points give no acid.
    """
    as_read = tuple((float(volume), float(pH)) for volume, pH in points)
    return alone(partial(_fit, as_read, flask, float(copper_sulfate_guess)))


@lru_cache(maxsize=256)  # sixty readings, at a few copper contents each (judgement)
def _fit(points: Points, flask: Flask, copper_sulfate: float) -> CurveFit:
    volumes, pH = np.array(sorted(points), dtype=float).reshape(-1, 2).T
    curve = _Curve(volumes, pH, flask, copper_sulfate)
    _refuse_useless(curve, pH <= SAFE_START_PH)
    parameters, used = _start(curve)
    _refuse_useless(curve, used)
    for _ in range(PASSES):
        for _ in range(STEPS):
            step, covariance = _step(curve, parameters, used)[:2]
            parameters = parameters + step
            if np.all(np.abs(step) < SHORT * np.sqrt(np.diag(covariance))):
                break
        before, used = used, curve.usable(parameters, float(np.sqrt(covariance[0, 0])))
        if used.sum() < FEWEST_POINTS:
            raise CurveError(_too_few(int(used.sum())))
        if np.array_equal(before, used):
            break
    return _result(curve, parameters, used)


def _too_few(count: int) -> str:
    return (
        f"only {count} points lie before copper precipitates; take at least {FEWEST_POINTS}, most of them between "
        "pH 2 and 4"
    )


def _refuse_useless(curve: _Curve, early: BoolArray) -> None:
    """Raise CurveError where no acid can be read from the points, before any fit."""
    if not (np.isfinite(curve.volumes).all() and np.isfinite(curve.pH).all()):
        raise CurveError("a point is not a number")
    if early.sum() < FEWEST_POINTS - 1:
        raise CurveError(_too_few(int(early.sum())))
    volumes, pH = curve.volumes[early], curve.pH[early]
    rise = float(np.ptp(pH))
    if rise < LEAST_RISE or np.ptp(volumes) == 0:
        raise CurveError(f"the pH rises by only {rise:.2f} before copper precipitates; go on until it stands above 4")
    if np.corrcoef(volumes, pH)[0, 1] <= 0:
        raise CurveError("the pH falls while titrant is added; give rows as [mL, pH]")


def _start(curve: _Curve) -> tuple[FloatArray, BoolArray]:
    """First guess, and the points that are safe to begin with whatever the electrode's offset.

    The last point below pH 3.6 is almost the end; the offset shows where the curve is flat, in its first half.
    """
    gas = [] if curve.flask.titrant == LYE else [MEAN_CARBON_DIOXIDE]
    parameters = np.array([0.0, *ELECTRODE_PRIOR[0], *gas])
    fizz = curve.carbon_dioxide(parameters)
    for _ in range(3):
        early = curve.true_pH(parameters) <= SAFE_START_PH
        last = curve.volumes[early].max(initial=curve.volumes[0])
        acid = 1.03 * last / float(equivalence_volume(1.0, curve.flask))
        if acid == parameters[0]:
            break
        parameters[0] = acid
        flat = np.flatnonzero(curve.volumes <= max(last / 2, curve.volumes[0]))
        flat = flat[:: 1 + len(flat) // NODES]
        shown = pH_at_titrant_volume(curve.copper_sulfate, parameters[0], curve.volumes[flat], curve.flask, fizz)
        parameters[1] = np.median(curve.pH[flat] - shown)
    return parameters, np.asarray(curve.true_pH(parameters) <= SAFE_START_PH, dtype=bool)


class _Step(NamedTuple):
    """One step of least squares for n parameters; m points are used."""

    by: FloatArray  # (n,)
    covariance: FloatArray  # (n, n)
    by_copper: FloatArray  # what copper does to the parameters (n,)
    left: FloatArray  # measured less predicted volume before it [mL] (m,)
    sigma: FloatArray  # of that (m,)


def _step(curve: _Curve, parameters: FloatArray, used: BoolArray) -> _Step:
    """Return the step to take from the parameters (n,)."""
    left, slopes, by_copper, sigma = curve.linearised(parameters, used)
    mean, spread = ELECTRODE_PRIOR
    weighted = slopes / sigma[:, None] ** 2
    information = slopes.T @ weighted
    information[1:3, 1:3] += np.diag(spread**-2.0)
    information[3:, 3:] += BARELY
    pull = weighted.T @ left
    pull[1:3] += (mean - parameters[1:3]) / spread**2
    covariance = np.asarray(np.linalg.inv(information), dtype=float)
    step: FloatArray = covariance @ pull
    if len(parameters) > 3:
        step, covariance = _with_belief(step, covariance, float(parameters[3]))
    # Far off, a step of the electrode's parameters could leave the curve altogether.
    shorter = max(1.0, float(abs(step[1])) / 0.3, float(abs(step[2])) / 0.1)
    return _Step(step / shorter, covariance, np.asarray(-covariance @ (weighted.T @ by_copper)), left, sigma)


def _with_belief(step: FloatArray, covariance: FloatArray, pressure: float) -> tuple[FloatArray, FloatArray]:
    """Return step (4,) and covariance (4, 4) with what is believed of the carbon dioxide beside what the points tell.

    pressure: before the step [atm]. The points tell it like any other parameter, but the belief is no bell: its mean
    and variance come from an integral, and the other parameters follow it in a straight line.
    """
    told, spread = pressure + step[3], np.sqrt(covariance[3, 3])
    near = np.clip(told + spread * np.linspace(-5.0, 5.0, FEW_NODES), AIR, FIZZING)
    nodes = np.sort(np.concatenate([np.geomspace(AIR, FIZZING, FEW_NODES), near]))
    logarithms = -0.5 * ((nodes - told) / spread) ** 2
    weights = np.exp(logarithms - np.max(logarithms)) * np.gradient(np.log(nodes))
    mean = np.average(nodes, weights=weights)
    variance = max(np.average((nodes - mean) ** 2, weights=weights), SUREST**2)
    follows = covariance[3] / covariance[3, 3]
    narrower = np.outer(follows, follows) * (covariance[3, 3] - variance)
    return step + follows * (mean - told), covariance - narrower


def _result(curve: _Curve, parameters: FloatArray, used: BoolArray) -> CurveFit:
    _, covariance, by_copper, left, sigma = _step(curve, parameters, used)
    mean, spread = ELECTRODE_PRIOR
    chi_squared = np.sum((left / sigma) ** 2) + np.sum(((parameters[1:3] - mean) / spread) ** 2)
    widened = np.sqrt(max(1.0, chi_squared / max(int(used.sum()) - len(parameters), 1)))
    acid = float(parameters[0])
    uncertainty = float(np.hypot(np.sqrt(covariance[0, 0]) * widened, MODEL_UNCERTAINTY * acid))
    if not (np.isfinite(acid) and acid > 0 and uncertainty < WORST_UNCERTAINTY * acid):
        raise CurveError("the points do not fix the acid; go on until the pH stands above 4, in smaller steps there")
    if widened > WILDEST:
        raise CurveError(
            f"the points scatter {widened:.0f} times more than those of a titration with 0.02 pH and 0.02 mL"
        )
    end_point = float(equivalence_volume(acid, curve.flask))
    residuals = np.full(len(used), np.nan)
    residuals[used] = left
    for array in (curve.pH, residuals, used):  # the fit is kept for whoever asks again
        array.setflags(write=False)
    return CurveFit(
        acid,
        uncertainty,
        curve.copper_sulfate,
        float(by_copper[0]),
        float(parameters[1]),
        float(parameters[2]),
        curve.carbon_dioxide(parameters),
        end_point,
        curve.pH,
        residuals,
        used,
        float(widened),
        _gran(curve, end_point),
    )


def _gran(curve: _Curve, end_point: float) -> float | None:
    """Acid [g/L] where the straight line through the hydrogen ion left late in the titration meets zero (Gran)."""
    low, high = (share * end_point for share in GRAN_RANGE)
    late = (curve.volumes >= low) & (curve.volumes <= high)
    if late.sum() < 3 or np.ptp(curve.volumes[late]) == 0:
        return None
    left = (curve.flask.diluted_to_mL + curve.volumes[late]) * 10 ** -curve.pH[late]
    slope, constant = np.polyfit(curve.volumes[late], left, 1)
    return float(-constant / slope / equivalence_volume(1.0, curve.flask)) if slope < 0 else None
