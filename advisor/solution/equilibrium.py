"""Speciation of an acid copper sulfate sample while a base is run into it.

What it is for: the volume of titrant that brings a flask to a given pH or to its first precipitate, the pH at
a given volume, and from these the acid that an end point leaves unneutralised; and what is dissolved there, for
the conductivity of a bath thinned with water. Readings call it inside a least-squares fit, so it takes whole
arrays, never raises over a number, and stays smooth and finite for slightly negative compositions (-50 g/L) too.
What it is not for: anything after a solid has formed, complexing agents, temperatures far from 25 degC (only the
dissolved species take one: 10 to 35 degC, while the liquid is acid).

How it works. Four unknowns describe a flask: the logarithms of the activities of Cu2+, SO4 2- and H+, and of
the activity coefficient of an ion of charge one. The law of mass action then gives every species. Four
conditions pin them: copper adds up, sulfate adds up, the coefficient belongs to the ionic strength, and a
last one that says what is asked (a pH, a solid just saturated, or a volume). The charge balance, written with
protons, gives the volume explicitly: the base run in, and the H+ that the flask still holds beyond OH- (free
or bound), together make up two protons for each H2SO4 of the sample.

Source of the model: activity coefficients after Davies (C. W. Davies, Ion Association, Butterworths 1962,
from memory); constants at 25 degC and zero ionic strength beside each species. Range: before any precipitate,
ionic strength up to 0.45 mol/kg (a sample diluted fivefold); at 0.9 the pH is up to 0.24 above PHREEQC's own
phreeqc.dat. Accuracy against PHREEQC 3 with the USGS databases sit.dat and minteq.v4 (72 titrations with 6 to 210
g/L acid, ionic strength up to 0.3): pH within 0.04, volume at pH 3.85 within 0.08 %; onset of the basic sulfates
within 0.3 %; of the hydroxide within 1.4 % of sit.dat, whose hydrolysis constants these are, but up to 4 % (at 6
g/L acid 12 %) before minteq.v4.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.arrays import FloatArray
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID

# Density of water at 25 degC, 0.99705 kg/L, from memory; what the flask's solutes take up is left out.
WATER_PER_LITRE = 0.997  # kg of water in a litre of flask liquid: constants are molal, compositions molar
AIR_CARBON_DIOXIDE = 10**-3.4  # atm, partial pressure in open air (from memory)

# Protons that one mole of each titrant takes up once its carbon dioxide has left.
TITRANTS = {"sodium hydroxide": 1.0, "sodium bicarbonate": 1.0, "sodium carbonate": 2.0}  # exact: stoichiometry

# Species made of Cu2+, SO4 2-, H+ (negative: given off) and CO2 gas, with log10 of the formation constant at
# zero ionic strength. sit: ThermoChimie 12a in the USGS file sit.dat. Carbonic acid and water: from memory.
SPECIES = (  # copper, sulfate, proton, carbon dioxide, charge, log10 K
    (1, 0, 0, 0, +2, 0.0),  # Cu2+
    (0, 1, 0, 0, -2, 0.0),  # SO4 2-
    (0, 0, 1, 0, +1, 0.0),  # H+
    (0, 0, -1, 0, -1, -14.0),  # OH-
    (0, 1, 1, 0, -1, 1.98),  # HSO4-; sit
    (1, 1, 0, 0, 0, 2.35),  # CuSO4(aq); Powell et al., Pure Appl. Chem. 79 (2007) 895, from memory; sit 2.31
    (1, 0, -1, 0, +1, -7.97),  # CuOH+; sit
    (2, 0, -1, 0, +3, -6.71),  # Cu2OH 3+; sit
    (2, 0, -2, 0, +2, -10.55),  # Cu2(OH)2 2+; sit
    (3, 0, -4, 0, +2, -20.94),  # Cu3(OH)4 2+; sit
    (1, 0, -2, 0, 0, -16.23),  # Cu(OH)2(aq); sit
    (0, 0, -1, 1, -1, -7.82),  # HCO3-: -1.47 (solubility) - 6.35 (first dissociation), both from memory
    (0, 0, -2, 1, -2, -18.15),  # CO3 2-: -7.82 - 10.33 (second dissociation, from memory)
    (1, 0, -2, 1, 0, -11.40),  # CuCO3(aq): 6.75 from Cu2+ and CO3 2- (sit) - 18.15
    (1, 0, -1, 1, +1, -5.98),  # CuHCO3+: 1.84 from Cu2+ and HCO3- (sit, after Powell et al.) - 7.82
)
# Read in the databases named.
SOLIDS = {  # what one formula gives off as it dissolves: copper, sulfate, and the H+ it takes up; log10 K
    "brochantite": (4, 1, 6, 15.4),  # Cu4SO4(OH)6; databases 15.22 to 15.54
    "fresh basic sulfate": (4, 1, 6, 17.49),  # langite stands in for it; sit and minteq.v4
    # The same at a saturation index of 4, as late as a hasty eye sees it (judgement).
    "fresh basic sulfate seen late": (4, 1, 6, 21.49),
    "copper hydroxide": (1, 0, 2, 8.65),  # Cu(OH)2; databases 8.64 to 8.67
}

NAMES = (  # of the species above, in their order
    *("Cu+2", "SO4-2", "H+", "OH-", "HSO4-", "CuSO4", "CuOH+", "Cu2OH+3", "Cu2(OH)2+2", "Cu3(OH)4+2", "Cu(OH)2"),
    *("HCO3-", "CO3-2", "CuCO3", "CuHCO3+"),
)
# Enthalpy of formation from the ions [kJ/mol]: HSO4- and CuSO4 read in phreeqc.dat (3.85 and 1.22 kcal), water from
# memory. The others are next to nothing where the liquid is acid.
ENTHALPY = {"HSO4-": 16.1, "CuSO4": 5.1, "OH-": 55.8}

_LN10 = float(np.log(10.0))  # exact
_TABLE = np.array(SPECIES, dtype=float)
_CHARGE = _TABLE[:, 4]  # exact: taken from the species
_ENTHALPY = np.array([ENTHALPY.get(name, 0.0) for name in NAMES])  # kJ/mol; read and from memory, as above
_HOLDS_COPPER = _TABLE[:, 0] > 0.0  # exact: taken from the species
# ln(molality) = ln K + exponents @ unknowns
_EXPONENTS = np.column_stack([_TABLE[:, :3], -(_CHARGE**2)])  # exact: from the species
# Sums over the species: copper, sulfate, protons, ionic strength; protons held and protons given away. Sodium
# is taken out of the ionic strength by the charge balance (Na+ = -sum of z m), so that the weights,
# (z^2 - z)/2, are never negative and the sum stays positive wherever a fit may step.
_FOUR_SUMS = np.vstack([_TABLE[:, :3].T, (_CHARGE**2 - _CHARGE) / 2.0])  # exact: from the species
# Exact: from the species.
_SUMS = np.vstack([_FOUR_SUMS, np.maximum(_TABLE[:, 2], 0.0), np.maximum(-_TABLE[:, 2], 0.0)])
# Derivatives of the first four sums by the four unknowns: linear in the molalities, so one matrix product.
_SLOPES = (_FOUR_SUMS[:, None, :] * _EXPONENTS.T).reshape(16, -1)  # exact: from the species
KEPT = 1024  # answers at hand: readings of one flask, such as replicates, ask for the same (judgement)
_ITERATIONS = 7  # Newton's steps at most; 6 reach 1e-9 mL in any sample diluted tenfold (computed: tried out)
_SOLVED = 1e-6  # a step in a logarithm after which the next would be its square and move nothing (judgement)


T = TypeVar("T")


@dataclass(frozen=True)
class Flask:
    """A sample made up with water (free of carbon dioxide), and the base that is run in on top of that."""

    sample_mL: float
    diluted_to_mL: float
    titrant: str  # a key of TITRANTS
    strength_mol_L: float  # of the titrant's formula, hydrate or not

    @property
    def base(self) -> float:
        """Protons taken up by the titrant [mmol/mL]."""
        return TITRANTS[self.titrant] * self.strength_mol_L


def equivalence_volume(sulfuric_acid: ArrayLike, flask: Flask) -> FloatArray:
    """Volume [mL] that exactly neutralises the sample's free acid [g/L]; any shape, any sign."""
    return np.asarray(sulfuric_acid, dtype=float) * (2.0 * flask.sample_mL / SULFURIC_ACID / flask.base)


def titrant_volume_at_pH(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    pH: ArrayLike,
    flask: Flask,
    carbon_dioxide: ArrayLike | None = None,
) -> FloatArray:
    """Volume of titrant [mL] that brings the flask to a pH; negative where it starts above that pH.

    copper_sulfate [g/L CuSO4.5H2O] and sulfuric_acid [g/L] of the bath, and pH, broadcast against each other to the
    shape of the result. carbon_dioxide is the partial pressure [atm] that the liquid is in balance with, one or one for
    each: by default none with lye, open air with carbonates; 1 for a flask left fizzing. Source, range and accuracy:
    head of the module.
    """
    copper, acid, wanted = _broadcast(copper_sulfate, sulfuric_acid, pH)
    if carbon_dioxide is not None and np.ndim(carbon_dioxide):
        carbon_dioxide = np.broadcast_to(carbon_dioxide, copper.shape)
    return _volume(copper, acid, flask, carbon_dioxide, np.array([[0.0], [0.0], [1.0], [0.0]]), -_LN10 * wanted)


def titrant_volume_at_precipitation(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    solid: str,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> FloatArray:
    """Volume of titrant [mL] that just saturates `solid`, a key of SOLIDS; shape and rest as `titrant_volume_at_pH`."""
    return np.asarray(
        titrant_volumes_at_precipitation(copper_sulfate, sulfuric_acid, (solid,), flask, carbon_dioxide)[0]
    )


def titrant_volumes_at_precipitation(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    solids: Sequence[str],
    flask: Flask,
    carbon_dioxide: ArrayLike | None,
) -> FloatArray:
    """Volumes of titrant [mL] that just saturate each of n solids; shape (n, *s), s that of the broadcast arguments.

    carbon_dioxide: one partial pressure [atm] for all solids, or one for each.
    """
    copper, acid = _broadcast(copper_sulfate, sulfuric_acid)
    row, value = _saturation(tuple(solids))
    if carbon_dioxide is not None:
        carbon_dioxide = np.broadcast_to(carbon_dioxide, len(solids)).repeat(copper.size)
    copper, acid = (np.broadcast_to(held, (len(solids), *copper.shape)) for held in (copper, acid))
    many = copper.size // len(solids)
    return _volume(copper, acid, flask, carbon_dioxide, row.repeat(many, axis=1), value.repeat(many))


@lru_cache(maxsize=KEPT)
def _saturation(solids: tuple[str, ...]) -> tuple[FloatArray, FloatArray]:
    """Return the condition of `_solve` under which each of n solids is just saturated: rows (4, n) and values (n,)."""
    copper, sulfate, protons, constant = np.array([SOLIDS[solid] for solid in solids]).T
    return np.array([copper, sulfate, -protons, np.zeros(len(solids))]), _LN10 * constant


def _volume(
    copper: FloatArray,
    acid: FloatArray,
    flask: Flask,
    carbon_dioxide: ArrayLike | None,
    rows: FloatArray,
    values: FloatArray,
) -> FloatArray:
    """Return the volume [mL] for a condition of `_solve`, rows (4, n) or (4, 1) and n values; shape as of copper."""
    points = np.array([copper.ravel(), acid.ravel(), values.ravel(), np.full(copper.size, 25.0)])
    asked = _Asked(flask, _gas(flask, carbon_dioxide).tobytes(), rows.tobytes(), points.tobytes())
    return _solved(asked)[0].reshape(copper.shape)


class _Asked(NamedTuple):
    """What n points of a flask are asked for, so that it can be looked up: arrays as their bytes."""

    flask: Flask
    carbon_dioxide: bytes  # partial pressure [atm], one or n
    rows: bytes | None  # of the condition, (4, 1) or (4, n); None where the volume is given
    points: bytes  # (4, n): copper sulfate and acid [g/L], value of the condition or volume [mL], temperature [degC]


class _Unsolved(Exception):
    """Raised to stop a function until the flasks that it asks for have been solved together with those of others."""

    def __init__(self, asked: Set[_Asked]) -> None:
        super().__init__()
        self.asked = asked


_Answer = tuple[FloatArray, FloatArray]  # volumes [mL] (n,) and unknowns (4, n)
_side_by_side: ContextVar[dict[_Asked, _Answer] | None] = ContextVar("side by side", default=None)


def side_by_side(works: Iterable[Callable[[], T]]) -> list[T]:
    """Call each function and return the results; the flasks that they ask for are solved together, which is far faster.

    A function that asks for a flask not yet solved is stopped, and called again once all such flasks are solved: so it
    must have no effect but its result.
    """
    works = list(works)
    done: dict[int, T] = {}
    if _side_by_side.get() is not None:  # within another such work, which solves what is asked for here
        _go_on(works, done)
        return list(done.values())
    solved: dict[_Asked, _Answer] = {}
    token = _side_by_side.set(solved)
    try:
        while len(done) < len(works):
            try:
                _go_on(works, done)
            except _Unsolved as stopped:
                for by_volume in (True, False):
                    alike = [each for each in stopped.asked if (each.rows is None) == by_volume]
                    solved.update(zip(alike, _solve_all(alike), strict=True) if alike else ())
    finally:
        _side_by_side.reset(token)
    return [done[number] for number in range(len(works))]


def _go_on(works: Sequence[Callable[[], T]], done: dict[int, T]) -> None:
    """Call each function that is not done; raises _Unsolved with all flasks that those which stop ask for."""
    asked = set[_Asked]()
    for number, work in enumerate(works):
        if number not in done:
            try:
                done[number] = work()
            except _Unsolved as stopped:
                asked |= stopped.asked
    if asked:
        raise _Unsolved(asked)


def alone(work: Callable[[], T]) -> T:
    """Call a function, also within `side_by_side`, and solve each of its flasks as it asks for it.

    For a work that asks time and again, as each answer leads to the next question: begun anew for each, it would take
    the square of the time.
    """
    token = _side_by_side.set(None)
    try:
        return work()
    finally:
        _side_by_side.reset(token)


@lru_cache(maxsize=KEPT)
def _solved(asked: _Asked) -> _Answer:
    """Return the answer; raises _Unsolved where it is to be solved together with others."""
    solved = _side_by_side.get()
    if solved is None:
        return _solve_all([asked])[0]
    if asked not in solved:
        raise _Unsolved({asked})
    return solved[asked]


def _solve_all(asked: Sequence[_Asked]) -> list[_Answer]:
    """Solve what is asked for at once: all by a condition, or all by the volume."""
    points = [np.frombuffer(each.points).reshape(4, -1) for each in asked]
    counts = [part.shape[1] for part in points]

    def beside(kept: Iterable[bytes], height: int) -> FloatArray:
        parts = zip((np.frombuffer(part).reshape(height, -1) for part in kept), counts, strict=True)
        return np.concatenate([np.broadcast_to(part, (height, count)) for part, count in parts], axis=1)

    flasks = np.array([(each.flask.sample_mL, each.flask.diluted_to_mL, each.flask.base) for each in asked])
    gas = beside((each.carbon_dioxide for each in asked), 1)[0]
    copper, acid, value, temperature = np.concatenate(points, axis=1)
    rows = [each.rows for each in asked if each.rows is not None]
    condition = (beside(rows, 4), value) if rows else None
    found, unknowns = _solve(copper, acid, flasks.T.repeat(counts, axis=1), gas, condition, value, temperature)
    found.setflags(write=False)
    unknowns.setflags(write=False)
    ends = np.cumsum(counts)[:-1]
    return list(zip(np.split(found, ends), np.split(unknowns, ends, axis=1), strict=True))


def pH_at_titrant_volume(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    volume: ArrayLike,
    flask: Flask,
    carbon_dioxide: float | None = None,
) -> FloatArray:
    """pH after `volume` [mL], while nothing has precipitated; shape as the arguments broadcast.

    The inverse of `titrant_volume_at_pH`.
    """
    copper, acid, given = _broadcast(copper_sulfate, sulfuric_acid, volume)
    flasks = np.array([[flask.sample_mL], [flask.diluted_to_mL], [flask.base]])
    gas = _gas(flask, carbon_dioxide)
    unknowns = _solve(copper.ravel(), acid.ravel(), flasks, gas, None, given.ravel(), np.array(25.0))[1]
    return np.asarray((unknowns[2] / -_LN10).reshape(copper.shape))


@dataclass(frozen=True)
class Dissolved:
    """What a flask holds: species by name [mol/kg water], ionic strength [mol/kg] and pH, all of one shape."""

    molality: Mapping[str, FloatArray]
    ionic_strength: FloatArray
    pH: FloatArray


def dissolved_at_titrant_volume(
    copper_sulfate: ArrayLike,
    sulfuric_acid: ArrayLike,
    volume: ArrayLike,
    flask: Flask,
    temperature: ArrayLike,
) -> Dissolved:
    """Return what is dissolved after `volume` [mL], while nothing falls out; any shape, also of temperature [degC]."""
    copper, acid, given, warmth = _broadcast(copper_sulfate, sulfuric_acid, volume, temperature)
    gas, points = _gas(flask, None), np.stack([part.ravel() for part in (copper, acid, given, warmth)])
    unknowns = _solved(_Asked(flask, gas.tobytes(), None, points.tobytes()))[1]
    molality = np.exp(_log_constants(gas, points[3]) + _EXPONENTS @ unknowns)
    # As in `_FOUR_SUMS`: the base's own ions are in it by the charge balance.
    ionic_strength = (_FOUR_SUMS[3] @ molality).reshape(copper.shape)
    by_name = {name: row.reshape(copper.shape) for name, row in zip(NAMES, molality, strict=True)}
    return Dissolved(by_name, ionic_strength, (unknowns[2] / -_LN10).reshape(copper.shape))


def _broadcast(*values: ArrayLike) -> tuple[FloatArray, ...]:
    return np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values))


def _positive(value: FloatArray, width: float) -> FloatArray:
    """Smooth stand-in for max(value, 0): activities need positive amounts where a fit steps below zero."""
    return np.asarray(0.5 * (value + np.hypot(value, width)))


def _above_quarter(ratio: FloatArray) -> FloatArray:
    """`ratio`, kept above 1/4 (smoothly; untouched from 1 up): liquid cannot vanish at negative volumes."""
    return np.asarray(0.25 + 0.02 * np.logaddexp(0.0, (ratio - 0.25) / 0.02))


def _davies(ionic_strength: FloatArray, temperature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """ln of the activity coefficient of charge one, and its slope by ionic strength [mol/kg]."""
    # Debye and Hückel's limiting slope, 0.509 at 25 degC, and how it grows with the temperature: from memory.
    limit = -(0.509 + 8.07e-4 * (temperature - 25.0)) * _LN10
    root = np.sqrt(ionic_strength)
    slope = 0.5 / (root * (1.0 + root) ** 2) - 0.3
    return limit * (root / (1.0 + root) - 0.3 * ionic_strength), limit * slope


def _gas(flask: Flask, carbon_dioxide: ArrayLike | None) -> FloatArray:
    """Partial pressures [atm] as a row, where none is told that of a flask in open air."""
    if carbon_dioxide is None:
        carbon_dioxide = 0.0 if flask.titrant == "sodium hydroxide" else AIR_CARBON_DIOXIDE
    return np.ravel(np.asarray(carbon_dioxide, dtype=float))


def _log_constants(carbon_dioxide: FloatArray, temperature: FloatArray) -> FloatArray:
    """ln K of every species as a column, those with carbon dioxide at its partial pressure [atm], or one a pressure."""
    at_25 = _LN10 * _TABLE[:, 5:] + _TABLE[:, 3:4] * np.log(np.maximum(carbon_dioxide, 1e-30))
    warmer = (1.0 / 298.15 - 1.0 / (temperature + 273.15)) / 8.314e-3  # mol/kJ, after van 't Hoff
    return np.asarray(at_25 + _ENTHALPY[:, None] * warmer)


def _start(
    totals: FloatArray, log_constants: FloatArray, condition: tuple[FloatArray, FloatArray] | None, left: FloatArray
) -> FloatArray:
    """First guess of the unknowns: from total copper and sulfate, and the protons left or the condition."""
    unknowns = np.stack([*np.log(totals) - 2.0, np.log(_positive(left, 1e-4)), np.full_like(left, -0.5)])
    if condition is not None:
        row, value = condition
        unknowns[2] = (value - np.sum(row[:2] * unknowns[:2], axis=0)) / row[2]
    # Where copper is mostly hydrolysed that is far too much Cu2+: let no single species exceed the total.
    other = log_constants[_HOLDS_COPPER] + _EXPONENTS[_HOLDS_COPPER, 1:] @ unknowns[1:]
    unknowns[0] = np.min((np.log(totals[0]) - other) / _EXPONENTS[_HOLDS_COPPER, :1], axis=0)
    return unknowns


def _solve(
    copper_sulfate: FloatArray,
    sulfuric_acid: FloatArray,
    flasks: FloatArray,
    carbon_dioxide: FloatArray,
    condition: tuple[FloatArray, FloatArray] | None,
    volume: FloatArray,
    temperature: FloatArray,
) -> _Answer:
    """Volume [mL] and the four unknowns (4, n) for a condition, sum(rows * unknowns) = value, or else for a volume.

    flasks: sample and dilution [mL] and base [mmol/mL], (3, n) or (3, 1).
    Newton's method on the logarithms of the sums: these are nearly linear in the unknowns, so that it
    converges from far off. Amounts are mmol and water is in g, so that molalities come out in mol/kg.
    """
    sample, diluted_to, base = flasks
    copper, acid = copper_sulfate / COPPER_SULFATE_PENTAHYDRATE, sulfuric_acid / SULFURIC_ACID
    protons = 2.0 * sample * acid  # linear, whatever the sign: this is the titration proper
    # Bent at 0.5 g/L crystals and 0.001 mol/L sulfate: only the speciation sees it, and there it is nothing.
    amounts = sample * np.stack([_positive(copper, 2e-3), _positive(copper + acid, 1e-3)])
    log_constants = _log_constants(carbon_dioxide, temperature)
    added = volume if condition is None else protons / base
    full = water = WATER_PER_LITRE * diluted_to * _above_quarter(1.0 + added / diluted_to)
    left = (protons - base * added) / water
    unknowns = _start(amounts / water, log_constants, condition, left)
    residual = np.empty_like(unknowns)

    for _ in range(_ITERATIONS):
        molality = np.exp(log_constants + _EXPONENTS @ unknowns)
        sums, slopes = _SUMS @ molality, (_SLOPES @ molality).reshape(4, 4, -1)
        excess, held, given_away = sums[2], sums[4], sums[5]
        slopes[:2] /= sums[:2, None]
        if condition is None:
            # Protons held and given away are each an exponential; asinh makes their difference linear again.
            scale = 2.0 * np.sqrt(held * given_away)
            residual[2] = np.arcsinh(excess / scale) - np.arcsinh(left / scale)
            slopes[2] /= held + given_away
        else:
            # The charge balance solved for the water: what is not yet neutralised has not yet diluted the flask.
            thinning = _above_quarter(1.0 + WATER_PER_LITRE / base * excess)
            water = full / thinning
            slopes[:2] -= slopes[2] * (WATER_PER_LITRE / base / thinning)
            residual[2] = np.sum(condition[0] * unknowns, axis=0) - condition[1]
            slopes[2] = condition[0]
        residual[:2] = np.log(sums[:2] * water / amounts)
        coefficient, per_strength = _davies(sums[3], temperature)
        residual[3] = unknowns[3] - coefficient
        slopes[3] *= -per_strength
        slopes[3, 3] += 1.0
        step = np.linalg.solve(slopes.transpose(2, 0, 1), residual.T[:, :, None])[:, :, 0].T
        longest = np.max(np.abs(step), axis=0, initial=0.0)
        # Far off, keep the direction of a step but not its length; no Davies coefficient leaves these bounds.
        unknowns = unknowns - step * (3.0 / np.maximum(longest, 3.0))
        unknowns[3] = np.clip(unknowns[3], -0.5, 3.0)
        if np.max(longest, initial=0.0) < _SOLVED:
            break
    excess = _FOUR_SUMS[2] @ np.exp(log_constants + _EXPONENTS @ unknowns)
    if condition is not None:
        water = full / _above_quarter(1.0 + WATER_PER_LITRE / base * excess)
    return (protons - excess * water) / base, unknowns
