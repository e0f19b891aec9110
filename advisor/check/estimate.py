"""What the bath holds, from all readings at once.

Weighted non-linear least squares with Gaussian priors and no active bounds. The joint covariance of the readings is
diag(random²) + Σ s·sᵀ over the sources that they share, which is the same as marginalising one nuisance a source: three
replicates from one bottle do not pretend to beat the bottle. It is solved with every reading as a straight line at the
solution before, round by round, which takes two or three; where readings bend too much for that, by a search that tries
its steps. It knows no working window.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.basis.arrays import linearised
from advisor.basis.chances import chi_squared_above
from advisor.check.foreign import MEASURED_OPEN, SULFATE, expected
from advisor.check.known import Known
from advisor.readings.model import FloatArray, Model, Reading, State
from advisor.readings.tools import TANK_SCALE
from advisor.sheet import Bath, Sheet
from advisor.solution.density import density

PRIOR = {"copper_sulfate": (150.0, 150.0), "sulfuric_acid": (80.0, 80.0), "chloride": (60.0, 120.0)}  # judgement
# g/L of copper sulfate and acid, far beyond any bath: no sound readings come near, but readings that contradict each
# other must not agree on a liquid that cannot be, where no model of it holds (judgement).
LEAST, MOST = -100.0, 800.0
DISAGREEMENT = 0.05  # p-value below which readings contradict each other (judgement)
CLEARLY_ODD = 3.84  # chi-squared by which leaving one out must beat leaving any other out (95 %, one degree) (exact)
ROUNDS_AT_MOST, STAYS = 6, 1e-3  # of lines; a move, in what was believed uncertain, that changes nothing (judgement)
PASSES = 3  # uncertainties that depend on the bath are evaluated again at the last estimate (computed: tried out)
# Where a line is tried out [g/L], and the ratio of uncertainties there that is no longer alike (judgement).
FAR_BATHS, UNLIKE = ((100.0, 10.0), (250.0, 10.0), (100.0, 150.0)), 1.5
CELL = 2.0  # g/L: lines are laid at whole multiples of it, so that trials share them (judgement)
ROUNDS_OF_LINES = 2  # in which readings that bend follow the estimate (computed: tried out)
ROUGHLY, CLOSELY = 1e-3, 1e-6  # relative steps at which the first and the later passes stop (judgement)


Believed = tuple[tuple[str, ...], FloatArray, FloatArray]  # before any reading: names, means, standard uncertainties
Near = tuple[FloatArray, FloatArray]  # what is predicted at a point (m,), and its slopes by the parameters (m, n)


@dataclass(frozen=True)
class Agreement:
    """How well the readings fit together; odd_one_out is the position of a reading, from 0."""

    chi_squared: float
    degrees_of_freedom: int
    p_value: float | None
    odd_one_out: int | None

    @property
    def contradicts(self) -> bool:
        """Whether the readings contradict each other."""
        return self.p_value is not None and self.p_value < DISAGREEMENT


class Lean(NamedTuple):
    """How an estimate leans on what was believed of a foreign salt: mean and standard uncertainty [g/L], and slopes.

    slopes (n,): by how much the mean of each component is too high for each g/L that there is more of it.
    """

    mean: float
    standard_uncertainty: float
    slopes: FloatArray


@dataclass(frozen=True)
class Estimate(Known):
    """What the readings together tell of a bath, and how well they agree."""

    agreement: Agreement
    widened_by: float  # factor on every standard uncertainty, above 1 where the readings contradict each other
    sources: Mapping[str, FloatArray]  # what one standard deviation of a source of the readings does to the mean (n,)
    leans: Mapping[str, Lean]  # on what was believed of the foreign salts, by component


@dataclass(frozen=True)
class _Problem:
    """All readings side by side, whitened. n parameters; m observed values."""

    names: tuple[str, ...]
    prior_mean: FloatArray  # (n,)
    prior_sd: FloatArray  # (n,)
    models: tuple[Model, ...]
    observed: FloatArray  # (m,)
    covariance: FloatArray  # (m, m)
    effects: Mapping[str, FloatArray]  # of one standard deviation of each source on the observed values, (m,)
    owner: NDArray[np.intp]  # (m,), the position of the reading that a value belongs to

    @cached_property
    def whiten(self) -> FloatArray:
        """What makes the errors of the values independent and of one size, (m, m) [one over their units]."""
        return np.asarray(np.linalg.inv(np.linalg.cholesky(self.covariance)))

    def predict(self, parameters: FloatArray) -> FloatArray:
        """Predict all values (m, *s), each in its reading's unit, for parameters (n, *s) [g/L; chloride mg/L]."""
        state, shape = _state(self.names, parameters), parameters.shape[1:]
        each = {model.shows: model for model in self.models}
        shown = {key: _match(model.predict(state), shape) for key, model in each.items()}
        return np.concatenate([shown[model.shows] for model in self.models])

    def linearised(self, at: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return what is predicted at a point (n,) [g/L; chloride mg/L], (m,), and its slopes by it, (m, n)."""
        return linearised(self.predict, at, 1e-3 * np.maximum(self.prior_sd, 1.0))


def _state(names: Sequence[str], parameters: FloatArray) -> State:
    """Return the bath of these parameters (n, *s) by name [g/L; chloride mg/L]; what is not named is not in it."""
    return State(**{"copper_sulfate": 0.0, "sulfuric_acid": 0.0} | dict(zip(names, parameters, strict=True)))


def _match(values: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    return np.broadcast_to(
        values.reshape(values.shape[0], *([1] * (len(shape) + 1 - values.ndim)), *values.shape[1:]),
        (values.shape[0], *shape),
    )


def estimate(sheet: Sheet, about: Known | None = None) -> Estimate | None:
    """Estimate the bath of a sheet; None where it has no readings. about: a bath not far from it, to start from."""
    return estimate_from(sheet, sheet.readings, about) if sheet.readings else None


def estimate_from(sheet: Sheet, readings: Sequence[Reading], about: Known | None = None) -> Estimate:
    """Estimate the bath of a sheet from these readings (at least one) instead of its own."""
    prior = _prior(sheet, readings)
    start = _start(prior[0], prior[1], about)
    solved = _by_lines(sheet, readings, prior, start) or _by_steps(sheet, readings, prior, start)
    finished = _finish(*solved, sheet.bath)
    return replace(finished, agreement=_with_the_odd_one(finished.agreement, *solved))


def _by_lines(sheet: Sheet, readings: Sequence[Reading], prior: Believed, start: FloatArray) -> _Solved | None:
    """Solve with each reading as a straight line at the solution before (Gauss-Newton); None where that does not end.

    It ends where the next move would be too small to matter, if moves go on shrinking as the last one did.
    """
    at, before = start, np.inf
    for _ in range(ROUNDS_AT_MOST):
        solved = _round_of_lines(sheet, readings, prior, at)
        moved = float(np.max(np.abs(solved.at - at) / prior[2]))
        at = solved.at
        if moved < STAYS or (moved < before < np.inf and moved**2 / before < STAYS):
            return solved
        before = moved
    return None


def _round_of_lines(sheet: Sheet, readings: Sequence[Reading], prior: Believed, at: FloatArray) -> _Solved:
    """Solve with each reading as a straight line at a point (n,)."""
    problem = _problem_about(sheet, readings, prior, at)
    shown, slopes = linearised(problem.predict, at, np.ones(len(at)))
    return _solved_straight(problem, shown - slopes @ at, slopes)


def are_hopeless(sheet: Sheet, about: Known, least: float) -> bool:
    """Tell whether it seems that no bath brings the p-value of a sheet's readings up to `least`, a probability.

    By lines that begin near one: quick, and good enough to leave out a search whose result would only be a hint.
    """
    prior = _prior(sheet, sheet.readings)
    at = _start(prior[0], prior[1], about)
    for _ in range(ROUNDS_OF_LINES):
        solved = _round_of_lines(sheet, sheet.readings, prior, at)
        at = solved.at
    return _cannot_reach(least, solved, len(solved.problem.observed))


def _by_steps(sheet: Sheet, readings: Sequence[Reading], prior: Believed, start: FloatArray) -> _Solved:
    """Solve by a search that tries each step before it takes it, for readings that bend strongly."""
    at = start
    for turn in range(PASSES):
        problem = _problem_about(sheet, readings, prior, at)
        solved, near = _solve(problem, at, CLOSELY if turn else ROUGHLY)
        moved = np.max(np.abs(solved - at) / prior[2])
        at = solved
        if turn and moved < STAYS:
            break
    return _Solved(problem, at, near)


class _Line(NamedTuple):
    """A reading as a straight line: what it shows (m,) where nothing is in the bath, and its slopes (m, n) by name."""

    model: Model
    names: tuple[str, ...]
    at_zero: FloatArray
    slopes: FloatArray

    def by(self, names: tuple[str, ...]) -> FloatArray:
        """Return the slopes (m, k) by these components [unit of the reading by g/L]; 0 by one that it does not know."""
        if names == self.names:
            return self.slopes
        nothing = np.zeros(len(self.at_zero))
        known = dict(zip(self.names, self.slopes.T, strict=True))
        return np.array([known.get(name, nothing) for name in names]).T


class Trials:
    """Quick estimates, had some readings been others, to see what is worth more: what is a line is taken as one."""

    def __init__(self, sheet: Sheet, about: Estimate) -> None:
        """Lay straight lines about the estimate of a sheet."""
        self.sheet, self.about, self.here = sheet, about, _state(about.names, about.mean)
        self._numbers: dict[Reading, int] = {}
        self._own_numbers = {id(reading): self._number(reading) for reading in sheet.readings}
        self._lines: dict[tuple[int, tuple[str, ...], bytes], _Line] = {}
        self._shapes: dict[tuple[Hashable, tuple[str, ...], bytes], Near] = {}
        self._tried: dict[tuple[frozenset[tuple[int, int]], float, int], Estimate | None] = {}

    def _number(self, reading: Reading) -> int:
        """Return a number that equal readings share: to compare two takes far longer."""
        return self._numbers.setdefault(reading, len(self._numbers))

    @cached_property
    def _own(self) -> dict[int, _Line]:
        """The sheet's own readings by identity, as lines about the estimate."""
        names, mean = self.about.names, self.about.mean
        return {id(reading): self._line(reading, names, mean) for reading in self.sheet.readings}

    @cached_property
    def _bent(self) -> frozenset[int]:
        """Those of the sheet's own readings, by identity, that are no lines far from the estimate."""
        return frozenset(
            id(reading) for reading in self.sheet.readings if not self._is_straight(reading, self._own[id(reading)])
        )

    @property
    def bend(self) -> bool:
        """Tell whether any of the sheet's own readings is no line far from the estimate."""
        return bool(self._bent)

    def _is_straight(self, reading: Reading, line: _Line) -> bool:
        spread = _spread(line.model)
        for copper_sulfate, sulfuric_acid in FAR_BATHS:
            far = replace(self.here, copper_sulfate=copper_sulfate, sulfuric_acid=sulfuric_acid)
            there = reading.model(self.sheet.bath.surroundings(), far)
            by_line = line.at_zero + line.slopes @ np.array([getattr(far, name) for name in line.names])
            off = np.abs(by_line - there.predict(far))
            if np.any(off > spread) or np.any(np.abs(np.log(_spread(there) / spread)) > np.log(UNLIKE)):
                return False
        return True

    def _line(self, reading: Reading, names: tuple[str, ...], at: FloatArray) -> _Line:
        """Return a reading as a straight line about a point (n,)."""
        number = self._own_numbers.get(id(reading))
        key = self._number(reading) if number is None else number, names, at.tobytes()
        if key not in self._lines:
            model = reading.model(self.sheet.bath.surroundings(), _state(names, at))
            shape = model.shows, names, at.tobytes()
            if model.alike is None or shape not in self._shapes:
                self._shapes[shape] = _laid(model, names, at)
            self._lines[key] = _Line(model, names, *self._shapes[shape])
        return self._lines[key]

    def near(self, readings: Sequence[Reading]) -> Estimate:
        """Estimate the bath from other readings that would tell much the same."""
        prior = _prior(self.sheet, readings)
        return self._finished(_through(prior, self._laid(readings, prior)))

    def far(self, readings: Sequence[Reading], least: float, more: int = 0) -> Estimate | None:
        """Estimate the bath [g/L] from other readings: without the sheet's own that bend, then with lines laid there.

        None where those that do not bend contradict each other already, so that the p-value of all of them, and of so
        many more values, cannot reach `least`. It does not matter in which order the readings come.
        """
        own = self._own_numbers
        numbers = [own[id(reading)] if id(reading) in own else self._number(reading) for reading in readings]
        asked = frozenset(Counter(numbers).items()), least, more
        if asked not in self._tried:
            self._tried[asked] = self._tried_far(readings, least, more)
        return self._tried[asked]

    def _tried_far(self, readings: Sequence[Reading], least: float, more: int) -> Estimate | None:
        prior = _prior(self.sheet, readings)
        laid = self._laid(readings, prior)
        firm = [line for reading, line in zip(readings, laid, strict=True) if id(reading) not in self._bent]
        solved = _through(prior, firm) if firm else None
        if solved and _cannot_reach(least, solved, sum(len(line.model.observed) for line in laid) + more):
            return None
        at, before = (solved.at, firm) if solved else (_start(prior[0], prior[1], self.about), [])
        for _ in range(ROUNDS_OF_LINES):
            lines = self._laid(readings, prior, CELL * np.round(at / CELL))
            if [*map(id, lines)] != [*map(id, before)]:  # else it would be solved again
                solved = _through(prior, lines)
            assert solved
            at, before = solved.at, lines
        return self._finished(solved) if solved else None

    def _laid(self, readings: Sequence[Reading], prior: Believed, at: FloatArray | None = None) -> list[_Line]:
        """Return readings as lines about the estimate, or about a point (n,) if they are not straight."""
        names, means, _ = prior
        lines = []
        for reading in readings:
            line = self._own.get(id(reading))
            if line is None or (at is not None and id(reading) in self._bent):
                line = self._line(reading, names, _start(names, means, self.about) if at is None else at)
            lines.append(line)
        return lines

    def _finished(self, solved: _Solved) -> Estimate:
        return _finish(solved.problem, solved.at, solved.near, self.sheet.bath)


class _Solved(NamedTuple):
    """A problem with its solution (n,), and what it is near that."""

    problem: _Problem
    at: FloatArray
    near: Near


def _through(prior: Believed, lines: Sequence[_Line]) -> _Solved:
    """Solve the problem that readings make where all are lines."""
    problem = _problem(*prior, [line.model for line in lines])
    at_zero, slopes = ([x.at_zero for x in lines], [x.by(problem.names) for x in lines])
    return _solved_straight(problem, np.concatenate(at_zero), np.concatenate(slopes))


def _solved_straight(problem: _Problem, at_zero: FloatArray, slopes: FloatArray) -> _Solved:
    """Solve a problem of straight lines: what is shown (m,) where nothing is in the bath, and its slopes (m, n)."""
    mean, sd = problem.prior_mean, problem.prior_sd
    whiten = problem.whiten
    matrix = np.concatenate([whiten @ slopes, np.diag(1 / sd)]) * sd
    wanted = np.concatenate([whiten @ (problem.observed - at_zero), mean / sd])
    least, most = _bounds(problem.names)
    solved = _least_squares(matrix, wanted, (least / sd, most / sd)) * sd
    return _Solved(problem, solved, (at_zero + slopes @ solved, slopes))


def _least_squares(matrix: FloatArray, wanted: FloatArray, bounds: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Return what solves a linear problem (m, n) best within bounds, without waiting for a search where none binds."""
    free = np.linalg.lstsq(matrix, wanted, rcond=-1)[0]
    if np.all((free >= bounds[0]) & (free <= bounds[1])):
        return np.asarray(free)
    from scipy.optimize import lsq_linear

    return np.asarray(lsq_linear(matrix, wanted, bounds).x)


def _laid(model: Model, names: tuple[str, ...], at: FloatArray) -> Near:
    """Return a reading as a straight line about a point (n,): what it shows where all is 0 (m,), its slopes (m, n)."""
    shown, slopes = linearised(
        lambda points: _match(model.predict(_state(names, points)), points.shape[1:]), at, np.ones(len(at))
    )
    return shown - slopes @ at, slopes


def _cannot_reach(least: float, solved: _Solved, values: int) -> bool:
    """Tell whether no readings besides could bring the p-value of so many values in all up to `least`.

    More readings never make chi-squared smaller, and have at most one degree of freedom a value.
    """
    return chi_squared_above(values, _chi_squared(*solved)[0]) < least


def _start(names: tuple[str, ...], believed: FloatArray, about: Known | None) -> FloatArray:
    """Return where to start (n,): a bath nearby, and what is believed of the rest."""
    if about is None:
        return believed
    known = dict(zip(about.names, about.mean, strict=True))
    return np.array([known.get(name, mean) for name, mean in zip(names, believed, strict=True)])


def _spread(model: Model) -> FloatArray:
    """Return the standard uncertainty of each value that a reading shows (m,), from all its sources."""
    return np.asarray(
        np.sqrt(np.sum([model.random**2, *(np.square(effect) for effect in model.systematic.values())], axis=0))
    )


def _prior(sheet: Sheet, readings: Sequence[Reading]) -> Believed:
    """Return what is believed before any reading: names, means and standard uncertainties."""
    believed = {name: PRIOR[name] for name in ("copper_sulfate", "sulfuric_acid")}
    believed |= expected(sheet, readings)
    if any(reading.tells_chloride() for reading in readings):
        believed["chloride"] = PRIOR["chloride"]
    means, spreads = np.array(list(believed.values())).T
    return tuple(believed), means, spreads


def _problem_about(sheet: Sheet, readings: Sequence[Reading], prior: Believed, at: FloatArray) -> _Problem:
    """Return the problem that readings make, with their uncertainties about a point (n,); those alike share a model."""
    surroundings, here = sheet.bath.surroundings(), _state(prior[0], at)
    models = {reading: reading.model(surroundings, here) for reading in set(readings)}
    return _problem(*prior, [models[reading] for reading in readings])


def _problem(
    names: tuple[str, ...],
    prior_mean: FloatArray,
    prior_sd: FloatArray,
    models: Sequence[Model],
) -> _Problem:
    counts = [len(model.observed) for model in models]
    owner = np.repeat(np.arange(len(models)), counts)
    effects: dict[str, list[float]] = defaultdict(lambda: [0.0] * len(owner))  # lists are filled faster than arrays
    for model, end, count in zip(models, accumulate(counts), counts, strict=True):
        for source, effect in model.effects:
            effects[source][end - count : end] = effect
    by_source = np.array(list(effects.values())).reshape(-1, len(owner))
    covariance = np.diag(np.concatenate([model.random for model in models]) ** 2) + by_source.T @ by_source
    return _Problem(
        names,
        prior_mean,
        prior_sd,
        tuple(models),
        np.concatenate([model.observed for model in models]),
        covariance,
        dict(zip(effects, by_source, strict=True)),
        owner,
    )


def _solve(problem: _Problem, start: FloatArray, until: float) -> tuple[FloatArray, Near]:
    """Return the parameters (n,) of least squares and the problem near them; until: the relative step that ends it."""
    from scipy.optimize import least_squares  # few readings bend so much

    whiten = problem.whiten

    @lru_cache(maxsize=2)  # the residuals and the Jacobian are asked for one after the other
    def near(parameters: tuple[float, ...]) -> Near:
        return problem.linearised(np.array(parameters))

    def residuals(parameters: FloatArray) -> FloatArray:
        misfit = whiten @ (problem.observed - near(tuple(parameters))[0])
        return np.concatenate([misfit, (problem.prior_mean - parameters) / problem.prior_sd])

    def jacobian(parameters: FloatArray) -> FloatArray:
        return np.concatenate([-whiten @ near(tuple(parameters))[1], -np.diag(1 / problem.prior_sd)])

    bounds, scale = _bounds(problem.names), problem.prior_sd
    solution = least_squares(residuals, start, jacobian, bounds, x_scale=scale, method="trf", xtol=until)
    return np.asarray(solution.x), near(tuple(solution.x))


def _bounds(names: tuple[str, ...]) -> tuple[FloatArray, FloatArray]:
    """Return the least and the most (n,) of each component that an estimate may come to."""
    bounded = np.array([name in ("copper_sulfate", "sulfuric_acid") for name in names])
    return np.where(bounded, LEAST, -np.inf), np.where(bounded, MOST, np.inf)


def _finish(problem: _Problem, parameters: FloatArray, near: Near, bath: Bath) -> Estimate:
    jacobian = near[1]
    weighted = problem.whiten.T @ (problem.whiten @ jacobian)
    information = jacobian.T @ weighted + np.diag(problem.prior_sd**-2.0)
    agreement = _agreement(problem, parameters, near)
    widened = 1.0
    if agreement.contradicts:
        # Readings that contradict each other are not averaged in silence: the result is known as badly as they
        # disagree.
        widened = float(np.sqrt(agreement.chi_squared / agreement.degrees_of_freedom))
    covariance = np.asarray(np.linalg.inv(information)) * widened**2
    # A component was measured if it is known better than before all readings.
    learnt = np.sqrt(np.diag(covariance)) < 0.95 * problem.prior_sd * widened
    volume_reading = bath.surroundings().volume_standard_uncertainty / bath.volume.value
    return Estimate(
        problem.names,
        parameters,
        covariance,
        frozenset(name for name, better in zip(problem.names, learnt, strict=True) if better),
        bath.volume.value * to_20_degC(bath, problem.names, parameters),
        float(np.hypot(volume_reading, TANK_SCALE)),
        agreement,
        widened,
        *_named(problem, covariance / widened**2, weighted, widened),
    )


def _named(
    problem: _Problem, covariance: FloatArray, weighted: FloatArray, widened: float
) -> tuple[dict[str, FloatArray], dict[str, Lean]]:
    """Return what each source of the readings does to the estimate, and how it leans on the foreign salts believed.

    covariance: (n, n), not widened; weighted: the slopes by the covariance of the readings, (m, n).
    """
    gain = covariance @ weighted.T
    sources = {source: widened * (gain @ effect) for source, effect in problem.effects.items()}
    believed = zip(problem.names, problem.prior_mean, problem.prior_sd, covariance.T, strict=True)
    leans = {
        name: Lean(float(mean), float(sd), -column / sd**2) for name, mean, sd, column in believed if name not in PRIOR
    }
    return sources, leans


def to_20_degC(bath: Bath, names: tuple[str, ...], parameters: FloatArray) -> float:
    """Return how much of a litre the bath fills at 20 degC [L/L]; parameters (n,) by name [g/L]."""
    known = dict(zip(names, np.maximum(parameters, 0.0), strict=True))
    salts = sum(per * known.get(name, 0.0) for name, per in SULFATE.items())
    composition = (known["copper_sulfate"], known["sulfuric_acid"], salts)
    return float(density(*composition, bath.temperature.value) / density(*composition, 20.0))


def _agreement(problem: _Problem, parameters: FloatArray, near: Near) -> Agreement:
    """Chi-squared of the readings; the odd one among them is not looked for."""
    chi_squared, degrees = _chi_squared(problem, parameters, near)
    p_value = chi_squared_above(degrees, chi_squared) if degrees >= 1 else None
    return Agreement(chi_squared, max(degrees, 0), p_value, None)


def _chi_squared(
    problem: _Problem, parameters: FloatArray, near: Near, left_out: int | None = None
) -> tuple[float, int]:
    """Return chi-squared and degrees of freedom, without one reading if one is left out, linearised about `parameters`.

    The wide priors of copper sulfate, acid and chloride say nothing and cost nothing; those of foreign solids and
    contaminants count like readings.
    """
    whitened = problem.whiten @ np.column_stack([problem.observed - near[0], near[1]])
    products = whitened.T @ whitened  # of misfits and slopes: of no size of its own any more, however many values
    kept = len(whitened)
    if left_out is not None:  # what these values add to what the others lead to expect of them, taken off again
        out = problem.whiten[:, problem.owner == left_out]
        added = out.T @ whitened
        products = products - added.T @ np.linalg.solve(out.T @ out, added)
        kept -= len(added)
    squared, pulls, slopes = products[0, 0], products[1:, 0], products[1:, 1:]
    information = slopes + np.diag(problem.prior_sd**-2.0)
    step = np.linalg.solve(information, pulls + (problem.prior_mean - parameters) / problem.prior_sd**2)
    left = squared - 2 * step @ pulls + step @ slopes @ step
    # Nor does that of a salt which a reading measures as such.
    wide = np.array([name in PRIOR for name in problem.names]) | (problem.prior_sd >= MEASURED_OPEN)
    prior_pull = ((problem.prior_mean - parameters - step) / problem.prior_sd)[~wide]
    learnt = slopes[np.ix_(wide, wide)] * np.outer(problem.prior_sd[wide], problem.prior_sd[wide])
    settled = int(np.sum(np.linalg.eigvalsh(learnt) > 1.0))
    return float(max(left, 0.0) + prior_pull @ prior_pull), kept - settled


def _with_the_odd_one(agreement: Agreement, problem: _Problem, parameters: FloatArray, near: Near) -> Agreement:
    """Name the reading whose removal, and only whose removal, resolves a disagreement."""
    if not agreement.contradicts:
        return agreement
    without = []
    for position in range(len(problem.models)):
        if (problem.owner != position).any():
            chi_squared, degrees = _chi_squared(problem, parameters, near, position)
            if degrees >= 1:
                without.append((chi_squared, chi_squared_above(degrees, chi_squared), position))
    without.sort()
    if not without or without[0][1] < DISAGREEMENT:
        return agreement
    if len(without) > 1 and without[1][1] >= DISAGREEMENT and without[1][0] - without[0][0] < CLEARLY_ODD:
        return agreement
    return replace(agreement, odd_one_out=without[0][2])
