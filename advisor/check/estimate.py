"""What the bath holds, from all readings at once.

Weighted non-linear least squares with Gaussian priors and no active bounds. The joint covariance of the readings is
diag(random²) + Σ s·sᵀ over the sources that they share, which is the same as marginalising one nuisance a source:
three replicates from one bottle do not pretend to beat the bottle. Relative errors are shares of what the bath would
show, not of what each reading shows, which would pull readings that contradict each other below all of them. It is
solved with every reading as a straight line at the solution before, round by round, which takes two or three; where
readings bend too much for that, by a search that tries its steps. It knows no working window.
"""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Collection, Generator, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache, partial
from itertools import accumulate
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.basis.arrays import linearised
from advisor.basis.chances import chi_squared_above
from advisor.basis.components import SALT_AND_ACID
from advisor.check.foreign import MEASURED_OPEN, SULFATE, expected
from advisor.check.known import Known, state_of
from advisor.readings.model import FloatArray, Model, Reading, State
from advisor.readings.tools import TANK_SCALE
from advisor.sheet import Bath, Sheet
from advisor.solution.density import density
from advisor.solution.equilibrium import side_by_side

PRIOR = {"copper_sulfate": (150.0, 150.0), "sulfuric_acid": (80.0, 80.0), "chloride": (60.0, 120.0)}  # judgement
# g/L of copper sulfate and acid, far beyond any bath: no sound readings come near, but readings that contradict each
# other must not agree on a liquid that cannot be, where no model of it holds (judgement).
LEAST, MOST = -100.0, 800.0
DISAGREEMENT = 0.05  # p-value below which readings contradict each other (judgement)
CLEARLY_ODD = 3.84  # chi-squared by which leaving one out must beat leaving any other out (95 %, one degree) (exact)
ROUNDS_AT_MOST, STAYS = 6, 1e-3  # of lines; a move, in what was believed uncertain, that changes nothing (judgement)
LOST = 3.0  # the same: where a third round still moves further, lines mostly never end (computed: 4 of 21 did)
STEPS_AT_MOST = 60  # of a search: others end within 22, or creep along a bound for 700 (computed: tried out on 273)
PASSES = 3  # uncertainties that depend on the bath are evaluated again at the last estimate (computed: tried out)
# Where a line is tried out [g/L], and the ratio of uncertainties there that is no longer alike (judgement).
FAR_BATHS, UNLIKE = ((100.0, 10.0), (250.0, 10.0), (100.0, 150.0)), 1.5
CELL = 2.0  # g/L: lines are laid at whole multiples of it, so that trials share them (judgement)
MANY = 12  # other readings that one more reading does not lead far from where they lead (judgement)
NEARBY, BEND_TAKES_OFF = 25.0, 2.0  # g/L within which a bend makes chi-squared no more times less (judgement)
ROUND_TAKES_OFF = 10.0  # a round of lines makes chi-squared no more times less (judgement)
ROUNDS_OF_LINES = 2  # in which readings that bend follow the estimate (computed: tried out)
ROUGHLY, CLOSELY = 1e-3, 1e-6  # relative steps at which the first and the later passes stop (judgement)


Believed = tuple[tuple[str, ...], FloatArray, FloatArray]  # before any reading: names, means, standard uncertainties
Near = tuple[FloatArray, FloatArray]  # what is predicted at a point (m,), and its slopes by the parameters (m, n)


@dataclass(frozen=True)
class Agreement:
    """How well the readings fit together. Readings by their positions, from 0.

    worst: of readings that contradict each other those without which the others agree clearly better, the best first;
    all of them where none is such.
    """

    chi_squared: float
    degrees_of_freedom: int
    p_value: float | None
    odd_one_out: int | None = None
    worst: tuple[int, ...] = ()

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
    # What one standard deviation of a source of the readings does to the mean (n,); none is told of a trial.
    sources: Mapping[str, FloatArray] = field(default_factory=dict)
    # On what was believed of the foreign salts, by component; none of a trial.
    leans: Mapping[str, Lean] = field(default_factory=dict)


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
        """What makes the errors of the values independent and of one size, (m, m) [per unit of each reading]."""
        return np.asarray(np.linalg.inv(np.linalg.cholesky(self.covariance)))

    @property
    def believed(self) -> Believed:
        """What was believed before any reading."""
        return self.names, self.prior_mean, self.prior_sd

    def linearised(self, at: FloatArray) -> Near:
        """Return what is predicted at a point (n,) [g/L; chloride mg/L], (m,), and its slopes by it, (m, n)."""
        predict = partial(_predicted, self.models, self.names)
        return linearised(predict, at, 1e-3 * np.maximum(self.prior_sd, 1.0))


class _Sums(NamedTuple):
    """All that an estimate by lines needs of the values, however many they are.

    products: sums of products of their residuals at a point (n,) and their slopes, (1 + n, 1 + n), weighted by their
    covariance.
    """

    at: FloatArray
    products: FloatArray
    values: int


class _Beside:
    """Readings side by side as lines near a point, weighed together once: small changes are then quick to work out."""

    def __init__(self, problem: _Problem, at: FloatArray, near: Near) -> None:
        """Weigh what is off at a point (n,), and the slopes there, by the covariance of all readings."""
        self.problem = problem
        self.lines = np.column_stack([problem.observed - near[0], near[1]])  # (m, 1 + n)
        self.weights = problem.whiten.T @ problem.whiten  # (m, m)
        self.weighed = self.weights @ self.lines
        self.sums = _Sums(at, self.lines.T @ self.weighed, len(self.lines))

    def without(self, out: list[int]) -> _Sums:
        """Return what the other values tell: what these tell beyond them is taken off."""
        added = self.weighed[out]
        taken = added.T @ np.linalg.solve(self.weights[np.ix_(out, out)], added)
        return _Sums(self.sums.at, self.sums.products - taken, self.sums.values - len(out))

    def instead(self, out: list[int], new: _Beside) -> _Sums:
        """Return what the values tell with new ones instead of these.

        Of the new ones that counts which the others do not already lead one to expect, through errors that they share.
        """
        others = self.without(out)
        here, there = self.problem.effects, new.problem.effects
        shared = np.zeros((len(new.lines), len(self.lines)))  # covariance of the new values with those that are here
        for source in here.keys() & there.keys():
            shared += np.outer(there[source], here[source])
        shared[:, out] = 0.0
        gain = shared @ self.weights
        gain -= gain[:, out] @ np.linalg.solve(self.weights[np.ix_(out, out)], self.weights[out])
        added = new.lines - gain @ self.lines
        more = added.T @ np.linalg.solve(new.problem.covariance - gain @ shared.T, added)
        return _Sums(others.at, others.products + more, others.values + len(added))


def _predicted(models: Sequence[Model], names: tuple[str, ...], parameters: FloatArray) -> FloatArray:
    """Predict all values (m, *s), each in its reading's unit, for parameters (n, *s) by name [g/L; chloride mg/L]."""
    state, shape = state_of(names, parameters), parameters.shape[1:]
    each = {model.shows: model for model in models}
    predicted = side_by_side(partial(model.predict, state) for model in each.values())
    shown = {key: _match(values, shape) for key, values in zip(each, predicted, strict=True)}
    return np.concatenate([shown[model.shows] for model in models])


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
    return _finish(solved, sheet.bath)


def _by_lines(sheet: Sheet, readings: Sequence[Reading], prior: Believed, start: FloatArray) -> _Solved | None:
    """Solve with each reading as a straight line at the solution before (Gauss-Newton); None where that does not end.

    It ends where the next move would be too small to matter, if moves go on shrinking as the last one did. From the
    third round on they follow the secant: uncertainties that hang on the bath make plain moves swing about the solution
    where readings contradict each other.
    """
    at, last = start, None
    for turn in range(ROUNDS_AT_MOST):
        solved = _round_of_lines(sheet, readings, prior, at)
        move = _Move(solved.at, (solved.at - at) / prior[2])
        if move.size < STAYS or (last and move.size < last.size and move.size**2 / last.size < STAYS):
            return solved
        if turn > 1 and move.size > LOST:
            return None
        at = _by_secant(last, move) if last and turn > 1 else solved.at
        at, last = np.clip(at, *_bounds(prior[0])), move
    return None


class _Move(NamedTuple):
    """Where a round of lines led (n,), and how far from where it began (n,) [in what was believed uncertain]."""

    to: FloatArray
    by: FloatArray

    @property
    def size(self) -> float:
        """The largest part of the move [in what was believed uncertain]."""
        return float(np.max(np.abs(self.by)))


def _by_secant(last: _Move, move: _Move) -> FloatArray:
    """Return the point (n,) where moves end if they go on as the last two did (Anderson, J. ACM 12 (1965), depth 1)."""
    turned = move.by - last.by
    weight = float(turned @ turned)
    return move.to - (move.to - last.to) * float(move.by @ turned) / weight if weight else move.to


def _round_of_lines(sheet: Sheet, readings: Sequence[Reading], prior: Believed, at: FloatArray) -> _Solved:
    """Solve with each reading as a straight line at a point (n,)."""
    models = _models_about(sheet, readings, prior[0], at)
    shown, slopes = linearised(partial(_predicted, models, prior[0]), at, np.ones(len(at)))
    problem = _problem(prior, models, shown)
    solved = _best(prior, _Beside(problem, at, (shown, slopes)).sums)
    return _Solved(problem, solved, (shown + slopes @ (solved - at), slopes))


def are_hopeless(sheet: Sheet, about: Known, least: float) -> bool:
    """Tell whether it seems that no bath brings the p-value of a sheet's readings up to `least`, a probability.

    Quick, by lines that begin at a bath nearby, and good enough to skip a search whose result would only be a hint.
    """
    prior = _prior(sheet, sheet.readings)
    at = _start(prior[0], prior[1], about)
    for _ in range(ROUNDS_OF_LINES):
        solved = _round_of_lines(sheet, sheet.readings, prior, at)
        at, sums = solved.at, _Beside(*solved).sums
        if chi_squared_above(sums.values, _chi_squared(prior, sums)[0] / ROUND_TAKES_OFF) < least:
            return True
    return _cannot_reach(least, prior, sums, sums.values)


def _by_steps(sheet: Sheet, readings: Sequence[Reading], prior: Believed, start: FloatArray) -> _Solved:
    """Solve by a search that tries each step before it takes it, for readings that bend strongly."""
    at = start
    for turn in range(PASSES):
        models = _models_about(sheet, readings, prior[0], at)
        problem = _problem(prior, models, _predicted(models, prior[0], at))
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


_Wanted = tuple[Reading, tuple[str, ...], FloatArray]  # to be laid as a line about a point (n,) by name
_Case = tuple[frozenset[tuple[int, int]], float, int]  # readings by number and how often each, least p-value, values
_Trial = Generator[Sequence[_Wanted], None, Estimate | None]


class Trials:
    """Quick estimates of what other readings would have told: readings are taken as straight lines where they are.

    The sheet's own readings are weighed together once; leaving one out or replacing it only changes their sums. A
    reading that occurs twice as the same object counts as the sheet's own only once.
    """

    def __init__(self, sheet: Sheet, about: Estimate) -> None:
        """Lay straight lines about the estimate of a sheet."""
        self.sheet, self.about, self.here = sheet, about, state_of(about.names, about.mean)
        self._readings = {id(reading): reading for reading in sheet.readings}
        self._numbers: dict[Reading, int] = {}
        self._own_numbers = {key: self._number(reading) for key, reading in self._readings.items()}
        self._models: dict[tuple[int, tuple[str, ...], bytes], Model] = {}
        self._lines: dict[tuple[int, tuple[str, ...], bytes], _Line] = {}
        self._shapes: dict[tuple[Hashable, tuple[str, ...], bytes], Near] = {}
        self._together: dict[tuple[tuple[str, ...], bytes], _Beside] = {}
        self._tried: dict[_Case, Estimate | None] = {}

    def _number(self, reading: Reading) -> int:
        """Return a number that equal readings share: to compare two takes far longer."""
        return self._numbers.setdefault(reading, len(self._numbers))

    @cached_property
    def _own(self) -> dict[int, _Line]:
        """The sheet's own readings by identity, as lines about the estimate."""
        lines = self._lines_of((each, self.about.names, self.about.mean) for each in self._readings.values())
        return dict(zip(self._readings, lines, strict=True))

    @cached_property
    def _owners(self) -> list[int]:
        """Which own reading, by identity, each of the values side by side belongs to."""
        return [key for key, line in self._own.items() for _ in line.at_zero]

    @cached_property
    def _alike(self) -> dict[int, list[int]]:
        """The sheet's own readings that are predicted alike, by identity, behind the one of them that is known best."""
        alike = defaultdict(list)
        for key, line in self._own.items():
            alike[line.model.shows].append(key)
        spread = {key: float(np.min(_spread(line.model))) for key, line in self._own.items()}
        return {min(keys, key=spread.__getitem__): keys for keys in alike.values()}

    @cached_property
    def _bent(self) -> frozenset[int]:
        """Those of the sheet's own readings, by identity, that are not straight far from the estimate."""
        straight = self._alike  # what is predicted alike bends alike, and first where it is known best: that is tried
        for copper_sulfate, sulfuric_acid in FAR_BATHS:
            far = replace(self.here, copper_sulfate=copper_sulfate, sulfuric_acid=sulfuric_acid)
            works = [partial(self._is_straight, self._readings[key], self._own[key], far) for key in straight]
            found = zip(straight.items(), side_by_side(works), strict=True)
            straight = {key: keys for (key, keys), is_so in found if is_so}
        return frozenset(self._own.keys()).difference(*straight.values())

    def best_of_each(self) -> list[int]:
        """Return the positions of the sheet's readings without those that repeat another which is known better."""
        return [at for at, reading in enumerate(self.sheet.readings) if id(reading) in self._alike]

    def spread_without(self, at: int) -> dict[str, float]:
        """Return the standard uncertainty of each component [g/L; chloride mg/L] without a reading, by its position.

        By lines about the estimate: quick, and too rough to judge by where it hangs on it.
        """
        prior, own = _prior(self.sheet, self.sheet.readings), id(self.sheet.readings[at])
        rows = [row for row, owner in enumerate(self._owners) if owner == own]
        products = self._beside(prior, None).without(rows).products
        covariance = np.linalg.inv(products[1:, 1:] + np.diag(prior[2] ** -2.0)) * self.about.widened_by**2
        return dict(zip(prior[0], np.sqrt(np.diag(covariance)).tolist(), strict=True))

    def values_of(self, at: int) -> int:
        """Return how many values a reading of the sheet tells, by its position."""
        return len(self._own[id(self.sheet.readings[at])].at_zero)

    @property
    def bend(self) -> bool:
        """Tell whether any of the sheet's own readings is not straight far from the estimate."""
        return bool(self._bent)

    def _is_straight(self, reading: Reading, line: _Line, far: State) -> bool:
        """Tell whether a line still gives, far from the estimate, what a reading would show and its uncertainty."""
        spread, there = _spread(line.model), reading.model(self.sheet.bath.surroundings(), far)
        by_line = line.at_zero + line.slopes @ np.array([getattr(far, name) for name in line.names])
        unlike = np.abs(np.log(_spread(there) / spread)) > np.log(UNLIKE)
        return not np.any(unlike | (np.abs(by_line - there.predict(far)) > spread))

    def _lines_of(self, wanted: Iterable[_Wanted]) -> list[_Line]:
        """Return readings as straight lines about points."""
        return side_by_side(partial(self._line, *each) for each in wanted)

    def _line(self, reading: Reading, names: tuple[str, ...], at: FloatArray) -> _Line:
        """Return a reading as a straight line about a point (n,)."""
        number = self._own_numbers.get(id(reading))
        key = self._number(reading) if number is None else number, names, at.tobytes()
        if key not in self._lines:
            if key not in self._models:
                self._models[key] = reading.model(self.sheet.bath.surroundings(), state_of(names, at))
            model = self._models[key]
            shape = model.shows, names, at.tobytes()
            if model.alike is None or shape not in self._shapes:
                self._shapes[shape] = _laid(model, names, at)
            self._lines[key] = _Line(model, names, *self._shapes[shape])
        return self._lines[key]

    def near(self, readings: Sequence[Reading]) -> Estimate:
        """Estimate the bath from other readings that would tell much the same."""
        prior = _prior(self.sheet, readings)
        return self._known(prior, self._sums(prior, *self._change(readings)))

    def far(self, cases: Sequence[Sequence[Reading]], least: float, more: Sequence[int] = ()) -> list[Estimate | None]:
        """Estimate the bath [g/L] from other readings: first without those that bend, then with lines laid there.

        cases: readings of which each makes an estimate. None where those that do not bend contradict each other so much
        already that the p-value of all of them, and of `more` further values for each case (none where that is not
        told), cannot reach `least`. The order of the readings does not matter.
        """
        own, keys, trials = self._own_numbers, [], {}
        for readings, values in zip(cases, more or [0] * len(cases), strict=True):
            numbers = [own[id(reading)] if id(reading) in own else self._number(reading) for reading in readings]
            keys.append((frozenset(Counter(numbers).items()), least, values))
            if keys[-1] not in self._tried:
                trials[keys[-1]] = self._trial(readings, least, values)
        self._tried |= self._in_step(trials)
        return [self._tried[key] for key in keys]

    def _in_step(self, trials: Mapping[_Case, _Trial]) -> dict[_Case, Estimate | None]:
        """Go through trials in step, so that the lines which all of them ask for next are laid side by side."""
        found: dict[_Case, Estimate | None] = {}
        while len(found) < len(trials):
            wanted: list[_Wanted] = []
            for key, trial in trials.items():
                if key not in found:
                    try:
                        wanted += next(trial)
                    except StopIteration as end:
                        found[key] = end.value
            self._lines_of(wanted)
        return found

    def held(self, cases: Sequence[Sequence[Reading]], least: float, more: Sequence[int] = ()) -> list[Estimate | None]:
        """Estimate the bath [g/L] by lines about the estimate, where many own readings hold it near there.

        cases: readings of which each makes an estimate. None where too few of the sheet's own readings are among them,
        or where they lead elsewhere, unless they contradict each other so much that no bend brings the p-value of all
        of them, and of `more` further values as in `far`, up to `least`: twice over nearby, ten times over far away.
        Where one that led the estimate astray is left out, lines about what the others tell hold them as well.
        """
        found, odd = self._held_here(cases, least, more), self.about.agreement.odd_one_out
        left_out = None if odd is None else id(self.sheet.readings[odd])
        rest = [at for at, told in enumerate(found) if not (told or left_out in {id(each) for each in cases[at]})]
        astray = self.without_the_odd_one if rest else None
        if astray:
            there = astray._held_here([cases[at] for at in rest], least, [more[at] for at in rest])
            for at, told in zip(rest, there, strict=True):
                found[at] = told or astray._where_it_leads(cases[at])
        return found

    @cached_property
    def without_the_odd_one(self) -> Trials | None:
        """Trials about what the others tell without the one that fits none of them; None without such a one or many."""
        odd = self.about.agreement.odd_one_out
        if odd is None or len(self._readings) <= MANY:
            return None
        others = tuple(reading for at, reading in enumerate(self.sheet.readings) if at != odd)
        return Trials(replace(self.sheet, readings=others), estimate_from(self.sheet, others, self.about))

    def _held_here(
        self, cases: Sequence[Sequence[Reading]], least: float, more: Sequence[int]
    ) -> list[Estimate | None]:
        """Return what `held` does, by lines about the estimate alone."""
        changed = [(_prior(self.sheet, readings), *self._change(readings)) for readings in cases]
        many = [len(self._readings) - len(out) >= MANY for _, out, _ in changed]
        new_ones = (self._wanted(prior, new) for (prior, _, new), enough in zip(changed, many, strict=True) if enough)
        self._lines_of(itertools.chain.from_iterable(new_ones))
        return [
            self._held(least, values, *case) if enough else None
            for case, values, enough in zip(changed, more, many, strict=True)
        ]

    def _held(self, least: float, more: int, prior: Believed, out: set[int], new: Sequence[Reading]) -> Estimate | None:
        sums = self._sums(prior, out, new)
        found = self._known(prior, sums)
        moved = np.max(np.abs(found.mean - sums.at))
        takes_off = BEND_TAKES_OFF if moved <= NEARBY else ROUND_TAKES_OFF
        hopeless = chi_squared_above(sums.values + more, found.agreement.chi_squared / takes_off) < least
        return found if moved <= CELL or hopeless else None

    def _where_it_leads(self, readings: Sequence[Reading]) -> Estimate | None:
        """Estimate the bath by lines laid once more, where those about the estimate lead nearby; None where further."""
        prior = _prior(self.sheet, readings)
        out, new = self._change(readings)
        sums = self._sums(prior, out, new)
        here, to = sums.at, _best(prior, sums)
        near_enough = np.max(np.abs(to - here)) <= NEARBY and len(self._readings) - len(out) >= MANY
        for _ in range(ROUNDS_OF_LINES if near_enough else 0):
            cell = CELL * np.round(to / CELL)
            found = self._known(prior, _beside(prior, self._lines_of(self._wanted(prior, readings, cell)), cell).sums)
            to = found.mean
            if np.max(np.abs(to - cell)) <= CELL:
                return found
        return None

    def _trial(self, readings: Sequence[Reading], least: float, more: int) -> _Trial:
        """Return a trial of `far`, which asks for the lines that it needs before it goes on."""
        prior = _prior(self.sheet, readings)
        out, new = self._change(readings)
        yield self._wanted(prior, new)
        sums = self._sums(prior, out | self._bent, new)
        values = sums.values + sum(owner in self._bent - out for owner in self._owners)
        if sums.values and _cannot_reach(least, prior, sums, values + more):
            return None
        at, before = sums.at, None
        for _ in range(ROUNDS_OF_LINES if new or self._bent else 0):
            at = _best(prior, sums) if sums.values else at
            cell = CELL * np.round(at / CELL)
            if before is not None and np.array_equal(cell, before):
                break
            yield self._wanted(prior, [*new, *(self._readings[which] for which in self._bent)], cell)
            sums, before = self._sums(prior, out, new, cell), cell
        return self._known(prior, sums)

    def _wanted(self, prior: Believed, readings: Iterable[Reading], at: FloatArray | None = None) -> list[_Wanted]:
        """Return the lines that readings make about a point (n,), or else about the estimate."""
        names, means, _ = prior
        about = _start(names, means, self.about) if at is None else at
        return [(reading, names, about) for reading in readings]

    def _change(self, readings: Sequence[Reading]) -> tuple[set[int], list[Reading]]:
        """Return which of the sheet's own readings, by identity, are not among these, and which are not its own."""
        out, new = set(self._readings), []
        for reading in readings:
            if id(reading) in out:
                out.remove(id(reading))
            else:
                new.append(reading)
        return out, new

    def _sums(
        self, prior: Believed, out: Collection[int], new: Sequence[Reading], at: FloatArray | None = None
    ) -> _Sums:
        """Return the sums of the sheet's own readings, without some and with new ones, as lines about the estimate.

        at: the point (n,) about which the new ones, and own ones that are not straight, are linearised instead.
        """
        own = self._beside(prior, None if at is None or not self._bent else at)
        rows = [row for row, owner in enumerate(self._owners) if owner in out]
        if not new:
            return own.without(rows)
        lines = self._lines_of(self._wanted(prior, new, at))
        return own.instead(rows, _beside(prior, lines, own.sums.at))

    def _beside(self, prior: Believed, at: FloatArray | None) -> _Beside:
        """Return the own readings side by side: lines about the estimate, or if they bend about a point (n,)."""
        about = _start(prior[0], prior[1], self.about) if at is None else at
        key = prior[0], about.tobytes()
        if key not in self._together:
            bent = () if at is None else self._bent
            lines = self._lines_of(self._wanted(prior, (self._readings[which] for which in bent), at))
            self._together[key] = _beside(prior, (self._own | dict(zip(bent, lines, strict=True))).values(), about)
        return self._together[key]

    def _known(self, prior: Believed, sums: _Sums) -> Estimate:
        return _known(prior, _best(prior, sums), sums, self.sheet.bath)


class _Solved(NamedTuple):
    """A problem with its solution (n,), and what it is near that."""

    problem: _Problem
    at: FloatArray
    near: Near


def _beside(prior: Believed, lines: Collection[_Line], at: FloatArray) -> _Beside:
    """Put readings that are lines side by side near a point (n,)."""
    slopes = np.concatenate([line.by(prior[0]) for line in lines])
    shown = np.concatenate([line.at_zero for line in lines]) + slopes @ at
    return _Beside(_problem(prior, [line.model for line in lines], shown), at, (shown, slopes))


def _best(prior: Believed, sums: _Sums) -> FloatArray:
    """Return the point (n,) within bounds that what was believed and the readings, as lines, fit best."""
    names, mean, sd = prior
    information = sums.products[1:, 1:] * np.outer(sd, sd) + np.eye(len(sd))  # in units of what was believed uncertain
    pull = sums.products[1:, 0] * sd + (mean - sums.at) / sd
    step = np.linalg.solve(information, pull)
    least, most = ((bound - sums.at) / sd for bound in _bounds(names))
    if np.any((step < least) | (step > most)):
        step = _held_within(information, pull, least, most)
    return np.clip(sums.at + step * sd, *_bounds(names))  # a step to a bound ends a rounding error beyond it


def _held_within(information: FloatArray, pull: FloatArray, least: FloatArray, most: FloatArray) -> FloatArray:
    """Return the step (n,) of least squares within bounds: the best of those with some components at one of theirs.

    information (n, n) and pull (n,): what an unbounded step solves. Only two components are bounded, which makes nine.
    """
    ends = [(np.nan, low, high) if np.isfinite(low) else (np.nan,) for low, high in zip(least, most, strict=True)]
    steps = []
    for held in map(np.array, itertools.product(*ends)):
        free = np.isnan(held)
        step = np.where(free, 0.0, held)
        step[free] = np.linalg.solve(information[np.ix_(free, free)], (pull - information @ step)[free])
        if np.all((least <= step) & (step <= most)):
            steps.append(step)
    return min(steps, key=lambda step: float(step @ (information @ step / 2 - pull)))


def _laid(model: Model, names: tuple[str, ...], at: FloatArray) -> Near:
    """Return a reading as a straight line about a point (n,): what it shows where all is 0 (m,), its slopes (m, n)."""
    shown, slopes = linearised(
        lambda points: _match(model.predict(state_of(names, points)), points.shape[1:]), at, np.ones(len(at))
    )
    return shown - slopes @ at, slopes


def _cannot_reach(least: float, prior: Believed, sums: _Sums, values: int) -> bool:
    """Tell whether no readings besides could bring the p-value of so many values in all up to `least`.

    More readings never make chi-squared smaller, and have at most one degree of freedom a value.
    """
    return chi_squared_above(values, _chi_squared(prior, sums)[0]) < least


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
    believed = {name: PRIOR[name] for name in SALT_AND_ACID}
    believed |= expected(sheet, readings)
    if any(reading.tells_chloride() for reading in readings):
        believed["chloride"] = PRIOR["chloride"]
    means, spreads = np.array(list(believed.values())).T
    return tuple(believed), means, spreads


def _models_about(sheet: Sheet, readings: Sequence[Reading], names: tuple[str, ...], at: FloatArray) -> list[Model]:
    """Return the models of readings, with their uncertainties about a point (n,) by name; those alike share one."""
    surroundings, here = sheet.bath.surroundings(), state_of(names, at)
    unlike = list(set(readings))
    models = side_by_side(partial(reading.model, surroundings, here) for reading in unlike)
    model_of = dict(zip(unlike, models, strict=True))
    return [model_of[reading] for reading in readings]


def _problem(prior: Believed, models: Sequence[Model], shown: FloatArray) -> _Problem:
    """Return the problem that readings make, with their relative errors as shares of the values (m,) shown."""
    counts = [len(model.observed) for model in models]
    owner = np.repeat(np.arange(len(models)), counts)
    effects: dict[str, FloatArray] = defaultdict(lambda: np.zeros(len(owner)))
    for model, end, count in zip(models, accumulate(counts), counts, strict=True):
        of_it = slice(end - count, end)
        for source, effect in model.effects(shown[of_it]).items():
            effects[source][of_it] = effect
    by_source = np.array(list(effects.values())).reshape(-1, len(owner))
    covariance = np.diag(np.concatenate([model.random for model in models]) ** 2) + by_source.T @ by_source
    return _Problem(
        *prior,
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
    most = STEPS_AT_MOST
    solution = least_squares(residuals, start, jacobian, bounds, "trf", x_scale=scale, xtol=until, max_nfev=most)
    return np.asarray(solution.x), near(tuple(solution.x))


def _bounds(names: tuple[str, ...]) -> tuple[FloatArray, FloatArray]:
    """Return the least and the most (n,) of each component that an estimate may come to."""
    bounded = np.array([name in SALT_AND_ACID for name in names])
    return np.where(bounded, LEAST, -np.inf), np.where(bounded, MOST, np.inf)


def _finish(solved: _Solved, bath: Bath) -> Estimate:
    beside = _Beside(*solved)
    found = _known(solved.problem.believed, solved.at, beside.sums, bath)
    sources, leans = _named(beside, found)
    return replace(found, agreement=_with_the_odd_one(found.agreement, beside), sources=sources, leans=leans)


def _known(prior: Believed, parameters: FloatArray, sums: _Sums, bath: Bath) -> Estimate:
    """Return an estimate without its sources and leans."""
    names, _, sd = prior
    agreement = _agreement(prior, sums)
    widened = 1.0
    if agreement.contradicts:
        # Readings that contradict each other are not simply averaged: the result is as uncertain as they disagree.
        widened = float(np.sqrt(agreement.chi_squared / agreement.degrees_of_freedom))
    covariance = np.asarray(np.linalg.inv(sums.products[1:, 1:] + np.diag(sd**-2.0))) * widened**2
    # A component was measured if it is known better than before all readings.
    learnt = np.sqrt(np.diag(covariance)) < 0.95 * sd * widened
    volume_reading = bath.surroundings().volume_standard_uncertainty / bath.volume.value
    return Estimate(
        names,
        parameters,
        covariance,
        frozenset(name for name, better in zip(names, learnt, strict=True) if better),
        bath.volume.value * to_20_degC(bath, names, parameters),
        float(np.hypot(volume_reading, TANK_SCALE)),
        agreement,
        widened,
    )


def _named(beside: _Beside, found: Estimate) -> tuple[dict[str, FloatArray], dict[str, Lean]]:
    """Return what each source of the readings does to the estimate, and how it leans on the foreign salts believed."""
    problem, covariance = beside.problem, found.covariance / found.widened_by**2
    gain = covariance @ beside.weighed[:, 1:].T
    sources = {source: found.widened_by * (gain @ effect) for source, effect in problem.effects.items()}
    believed = zip(problem.names, problem.prior_mean, problem.prior_sd, covariance.T, strict=True)
    leans = {
        name: Lean(float(mean), float(sd), -column / sd**2) for name, mean, sd, column in believed if name not in PRIOR
    }
    return sources, leans


def to_20_degC(bath: Bath, names: tuple[str, ...], parameters: FloatArray) -> float:
    """Return how much of a litre the bath fills at 20 degC [L/L]; parameters (n,) by name [g/L]."""
    known = dict(zip(names, np.maximum(parameters, 0.0).tolist(), strict=True))  # plain numbers are much faster here
    salts = sum(per * known.get(name, 0.0) for name, per in SULFATE.items())
    composition = (known["copper_sulfate"], known["sulfuric_acid"], salts)
    return float(density(*composition, bath.temperature.value) / density(*composition, 20.0))


def _agreement(prior: Believed, sums: _Sums) -> Agreement:
    """Return how well the readings fit together; the odd one among them is not looked for."""
    chi_squared, degrees = _chi_squared(prior, sums)
    p_value = chi_squared_above(degrees, chi_squared) if degrees >= 1 else None
    return Agreement(chi_squared, max(degrees, 0), p_value)


def _chi_squared(prior: Believed, sums: _Sums) -> tuple[float, int]:
    """Return chi-squared and degrees of freedom of what readings tell as lines.

    The wide priors of copper sulfate, acid and chloride do not count; those of foreign solids and contaminants count
    like readings.
    """
    names, mean, sd = prior
    squared, pulls, slopes = sums.products[0, 0], sums.products[1:, 0], sums.products[1:, 1:]
    step = np.linalg.solve(slopes + np.diag(sd**-2.0), pulls + (mean - sums.at) / sd**2)
    left = squared - 2 * step @ pulls + step @ slopes @ step
    # Nor does the prior of a salt that a reading measures itself.
    wide = np.array([name in PRIOR for name in names]) | (sd >= MEASURED_OPEN)
    prior_pull = ((mean - sums.at - step) / sd)[~wide]
    learnt = slopes[np.ix_(wide, wide)] * np.outer(sd[wide], sd[wide])
    settled = int(np.sum(np.linalg.eigvalsh(learnt) > 1.0))
    return float(max(left, 0.0) + prior_pull @ prior_pull), sums.values - settled


def _with_the_odd_one(agreement: Agreement, beside: _Beside) -> Agreement:
    """Name the readings whose removal eases a disagreement, and the only one, if any, whose removal resolves it."""
    if not agreement.contradicts:
        return agreement
    left = sorted(_without_each(beside))
    eased = [position for chi_squared, _, position in left if agreement.chi_squared - chi_squared > CLEARLY_ODD]
    worst = tuple(eased or [position for *_, position in left])
    return replace(agreement, worst=worst, odd_one_out=_the_odd_one(left))


def _the_odd_one(left: Sequence[tuple[float, int, int]]) -> int | None:
    """Return the position of the only reading without which the others agree, from what is left without each."""
    # Where nothing is left to compare, each of two is as odd as the other.
    without = [(chi, chi_squared_above(degrees, chi), position) for chi, degrees, position in left if degrees >= 1]
    if not without or without[0][1] < DISAGREEMENT:
        return None
    if len(without) > 1 and without[1][1] >= DISAGREEMENT and without[1][0] - without[0][0] < CLEARLY_ODD:
        return None
    return without[0][2]


def _without_each(beside: _Beside) -> Iterator[tuple[float, int, int]]:
    """Return chi-squared and degrees of freedom of what is left without each reading, with its position from 0."""
    problem = beside.problem
    for position in range(len(problem.models)):
        rows = np.flatnonzero(problem.owner == position).tolist()
        yield (*_chi_squared(problem.believed, beside.without(rows)), position)
