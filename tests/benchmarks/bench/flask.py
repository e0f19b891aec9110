"""The titration flask, solved by PHREEQC: one curve of pH and saturation a flask.

The engine and its databases come with `phreeqpython`; where `pyEQL` is installed its larger set is used as well.
`sit.dat` is left out: the tool's own constants follow it. All solids stay dissolved until the end point, except, in
some flasks, iron(III) hydroxide.
"""

import importlib.util
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import PchipInterpolator

WATER_PER_LITRE = 0.995  # kg of water in a litre of flask
# With phreeqpython; its vitens.dat has the same copper and sulfate, and its wateq4f_PWN.dat does not run.
SHIPPED = ("phreeqc.dat",)
LARGER = ("minteq.v4.dat", "PHREEQC_ThermoddemV1.10_15Dec2020.dat", "wateq4f.dat", "llnl.dat")  # with pyEQL
# The clouds, with their constants in the databases (minteq.v4 and sit, read: brochantite 15.22 to 15.54, langite
# 17.49) and Cu(OH)2(aq) as in sit and minteq.v4: phreeqc.dat and its kin carry a value that is wrong by 10^2.5.
SOLIDS = """
PHASES
Bench_brochantite
    Cu4(OH)6SO4 + 6 H+ = 4 Cu+2 + 6 H2O + SO4-2
    log_k 15.4
Bench_langite
    Cu4(OH)6SO4:H2O + 6 H+ = 4 Cu+2 + 7 H2O + SO4-2
    log_k 17.49
Bench_ferric
    Fe(OH)3 + 3 H+ = Fe+3 + 3 H2O
    log_k 4.0
END
"""  # fresh iron(III) hydroxide: 3.2 in minteq.v4, 4.9 in phreeqc.dat; between
DISSOLVED_HYDROXIDE = "SOLUTION_SPECIES\nCu+2 + 2 H2O = Cu(OH)2 + 2 H+\n    log_k -16.2\nEND\n"
MEND = ("phreeqc.dat", "wateq4f.dat")
FRACTIONS = (0.0, 0.15, 0.3, 0.45, 0.6, 0.7, 0.8, 0.86, 0.9, 0.93, 0.95, 0.965, 0.975, 0.982, 0.988, 0.993, 0.997)
BEYOND = (1.0, 1.003, 1.008, 1.015, 1.025, 1.04, 1.06, 1.09, 1.13, 1.2, 1.3, 1.45, 1.7, 2.1, 3.0, 4.5)


def database_paths(larger: Path | None = None) -> dict[str, Path]:
    """Return the databases at hand by name; larger: a folder that holds more, else pyEQL's where it is installed."""
    shipped = _folder("phreeqpython", "database")
    assert shipped is not None
    larger = larger or _folder("pyEQL", "phreeqc", "database")
    found = {name: shipped / name for name in SHIPPED}
    return found | {name: larger / name for name in LARGER if larger and (larger / name).exists()}


def shipped_database() -> Path:
    """Return the database whose densities are used."""
    return database_paths()[SHIPPED[0]]


def _folder(package: str, *inside: str) -> Path | None:
    spec = importlib.util.find_spec(package)
    return Path(spec.origin).parent.joinpath(*inside) if spec and spec.origin else None


@cache
def engine(database: Path) -> Any:
    """Return the PHREEQC engine with a database, and the solids of the bench."""
    from phreeqpython import PhreeqPython

    ip = PhreeqPython(database=database.name, database_directory=database.parent).ip
    ip.run_string(SOLIDS)
    if database.name in MEND:
        ip.run_string(DISSOLVED_HYDROXIDE)
    return ip


@dataclass(frozen=True)
class Contents:
    """What a litre of bath holds [mol]; sulfate in all forms."""

    copper: float
    sulfate: float
    sodium: float = 0.0
    zinc: float = 0.0
    iron2: float = 0.0
    iron3: float = 0.0

    @property
    def grams(self) -> float:
        """All that is dissolved [g/L]."""
        moles = (self.copper, self.sulfate, self.sodium, self.zinc, self.iron2 + self.iron3, max(self.acid, 0.0))
        return sum(n * mass for n, mass in zip(moles, (63.546, 96.06, 22.990, 65.38, 55.845, 1.008), strict=True))

    @property
    def acid(self) -> float:
        """The base [mol] that neutralises the free acid."""
        metals = self.sodium + 2 * (self.copper + self.zinc + self.iron2) + 3 * self.iron3
        return 2 * self.sulfate - metals


@dataclass(frozen=True)
class Flask:
    """A sample in its flask: true volumes [mL], base in the titrant [mol/L], log10 of carbon dioxide [atm], degC.

    rust: whether iron(III) hydroxide settles out as fast as it forms.
    """

    contents: Contents
    sample: float
    diluted_to: float
    base: float
    carbon_dioxide: float
    temperature: float
    database: Path
    rust: bool = False
    curve: "Curve" = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "curve", _curve(self))


@dataclass(frozen=True)
class Curve:
    """A titration: titrant [mL], pH, and saturation indices of the solids along it."""

    titrant: np.ndarray
    pH: np.ndarray
    brochantite: np.ndarray
    langite: np.ndarray

    def pH_at(self) -> Callable[[np.ndarray], np.ndarray]:
        """Return the function titrant [mL] -> pH."""
        return PchipInterpolator(self.titrant, self.pH)

    def titrant_at(self, quantity: str, value: float) -> float:
        """Return the titrant [mL] where pH or a saturation index first reaches a value; 0 if it is past it already."""
        along = getattr(self, quantity)
        if along[0] >= value:
            return 0.0
        if np.max(along) < value:
            raise ValueError(f"the curve comes to {quantity} {np.max(along):.2f}, not to {value:.2f}")
        later = int(np.argmax(along >= value))
        near = slice(max(later - 3, 0), later + 3)
        curve = PchipInterpolator(self.titrant[near], along[near])
        roots = curve.solve(value, extrapolate=False)
        return float(roots[(roots >= self.titrant[later - 1] - 1e-9)][0])


def _solution(number: int, held: Contents, share: float, temperature: float, rest: str, rust: bool = False) -> str:
    """Describe a solution to PHREEQC, charge balanced by pH; share: litres of bath in a kilogram of its water."""
    amounts = {"Cu(2)": held.copper, "S(6)": held.sulfate, "Zn": held.zinc, "Fe(2)": held.iron2, "Fe(3)": held.iron3}
    lines = [f"SOLUTION {number}", "units mol/kgw", f"temp {temperature:.2f}", "pH 3 charge"]
    for name, moles in amounts.items():
        if moles > 0:
            settles = " Bench_ferric 0" if name == "Fe(3)" and rust else ""
            lines.append(f"{name} {moles * share:.10g}{settles}")
    return "\n".join([*lines, rest]) + "\n"


def _in_flask(flask: Flask, number: int, titrant: float, rust: bool) -> str:
    water = WATER_PER_LITRE * (flask.diluted_to + titrant)  # g
    sodium = (flask.contents.sodium * flask.sample + flask.base * titrant) / water  # mmol a gram is mol a kilogram
    rest = f"C(4) 1e-5 CO2(g) {flask.carbon_dioxide:.3f}" + (f"\nNa {sodium:.10g}" if sodium > 0 else "")
    return _solution(number, flask.contents, flask.sample / water, flask.temperature, rest, rust)


OUTPUT = "SELECTED_OUTPUT 1\n-reset false\nUSER_PUNCH 1\n-headings a b c d\n-start\n10 PUNCH {}\n-end\n"
ALONG = OUTPUT.format('-LA("H+"), SI("Bench_brochantite"), SI("Bench_langite"), SI("Bench_ferric")')


def _solve(flask: Flask, titrants: np.ndarray, rust: bool = False) -> np.ndarray:
    """Return rows of pH and the three saturation indices; a point that PHREEQC does not converge on is a row of NaN."""
    ip = engine(flask.database)
    try:
        ip.run_string(ALONG + "".join(_in_flask(flask, i, float(v), rust) for i, v in enumerate(titrants, 1)) + "END\n")
        return np.array([row[:4] for row in ip.get_selected_output_array()[1:]], dtype=float).reshape(-1, 4)
    except Exception:  # the engine raises nothing narrower
        if len(titrants) == 1:
            return np.full((1, 4), np.nan)
    return np.vstack([_solve(flask, titrants[i : i + 1], rust) for i in range(len(titrants))])


def _curve(flask: Flask) -> Curve:
    held = flask.contents
    neutral = held.acid * flask.sample / flask.base
    beyond = neutral + 0.12 * held.copper * flask.sample / flask.base  # copper's hydrolysis takes base of its own
    titrants = np.array([*(f * neutral for f in FRACTIONS), *(neutral + (f - 1) * beyond for f in BEYOND)])
    found = _solve(flask, titrants)
    if flask.rust and held.iron3 > 0 and np.any(over := found[:, 3] > 0):
        found[over] = _solve(flask, titrants[over], rust=True)
    sound = np.isfinite(found).all(axis=1)
    titrants, found = titrants[sound], found[sound]
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(found[:, 0])) > 0])
    return Curve(titrants[rising], *found[rising, :3].T)


def density_change(database: Path, before: tuple[Contents, float], after: tuple[Contents, float]) -> float:
    """Return by how much PHREEQC's density of the second bath, each at its temperature [degC], is above the first's.

    Only such differences are taken from PHREEQC [g/mL]: its absolute density of a bath is 3 mg/mL off the printed rows.
    """
    found = []
    for held, temperature in (before, after):
        density = 1.15
        for _ in range(4):
            density = _density(database, held, temperature, density)
        found.append(density)
    return found[1] - found[0]


def _density(database: Path, held: Contents, temperature: float, guess: float) -> float:
    """Return PHREEQC's density [g/mL] of a bath whose water is reckoned from a guess at that density."""
    water = guess - held.grams / 1000  # kg in a litre
    sodium = f"Na {held.sodium / water:.10g}" if held.sodium else ""
    text = OUTPUT.format("RHO") + _solution(1, held, 1 / water, temperature, sodium) + "END\n"
    try:
        engine(database).run_string(text)
    except Exception:  # the engine raises nothing narrower; it does not converge from every first pH
        engine(database).run_string(text.replace("pH 3", "pH 1"))
    return float(engine(database).get_selected_output_array()[-1][0])
