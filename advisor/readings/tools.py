"""How far a measured volume and the strength of a titrant can be trusted.

Tolerances by the tool's name come from `reference_tables/tool_tolerances.csv`; a tolerance becomes a standard
uncertainty by ÷√3. What is new each time is reading it, to a fifth of a division; the rest is the tool's own
calibration, which all readings with it share. Where the table tells no division, each is half of the variance.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from advisor.basis import tables
from advisor.basis.fields import InputError, nearest, show
from advisor.basis.units import Measured
from advisor.solution.density import WATER_DENSITY

READ_TO = 0.2  # of a division, standard uncertainty (judgement)
CALIBRATION_SHARE = 0.5  # of the variance, where no division is known (judgement)
THERMOMETER = 1.0 / np.sqrt(3)  # degC (judgement)
DROP_mL = 0.05  # a drop too much or too little; common practice, no source
LEVEL_READING = 0.005  # relative; the tank's level read off a mark, where no ± was typed (judgement)
TANK_SCALE = 0.01  # relative; the marks of the tank against true litres (judgement)
# What a volume is taken to be measured with where the sheet does not say (judgement): the first that holds it.
ASSUMED_TOOLS = ("1 mL", "2 mL", "5 mL", "10 mL", "20 mL", "60 mL")
KITCHEN_SCALE = 1.0  # g, its step: what somebody without a named scale weighs on (judgement)
STEPS_OF_A_SCALE = 2  # tolerance of a scale in steps of its display, as in the tool table (common practice, no source)
STEPS_NEW_EACH_TIME = 1  # of these; the other is the scale's calibration, which cancels in a difference (judgement)


@dataclass(frozen=True)
class VolumeError:
    """Standard uncertainty of a volume [mL]: the part that the tool's other readings share, and the rest alone."""

    shared: float
    alone: float
    source: str

    @property
    def total(self) -> float:
        """Both parts together [mL]."""
        return float(np.hypot(self.shared, self.alone))


@dataclass(frozen=True)
class Titrant:
    """A titrant as sold: its name in solution, g/mol as weighed, density gained a percent [g/mL], error of weighing.

    Densities of dilute solutions from memory (handbook slopes); they matter only for a strength typed in %.
    """

    base: str
    molar_mass: float
    density_per_percent: float
    weighing: float

    def molarity(self, strength: Measured) -> float:
        """Return a strength [mol/L] that was typed as mol/L, g/L or % by mass."""
        if strength.unit == "mol/L":
            return strength.value
        grams_per_litre = strength.value
        if strength.unit == "fraction":
            grams_per_litre = strength.value * 1000 * self.solution_density(strength.value)
        return grams_per_litre / self.molar_mass

    def solution_density(self, fraction: float) -> float:
        """Return the density [g/mL] of a solution of a mass fraction, good to about 0.2 % below 0.5 mol/L (memory)."""
        return WATER_DENSITY + 100 * fraction * self.density_per_percent

    def relative_uncertainty(self, strength: Measured) -> float:
        """Return the relative standard uncertainty of the strength."""
        return strength.uncertainty_or(self.weighing * strength.value) / strength.value


@lru_cache(maxsize=256)  # each volume of each reading asks, whenever the reading is tried (judgement)
def find_tool(name: str) -> Mapping[str, str] | None:
    """Return the row of a measuring tool; glass without a class is taken as class B; None if unknown."""
    known = {row["tool"]: row for row in tables.rows("tool_tolerances") if row["measures"] == "volume"}
    words = name.strip().split()
    with_class = " ".join([*words[:2], "class B", *words[2:]])
    found = known.get(" ".join(words)) or known.get(with_class)
    return None if found is None else MappingProxyType(found)  # it is shared by all who ask


def finest_scale(have: Iterable[str]) -> float | None:
    """Return the step [g] of the finest scale among the gear that is named; None where none is."""
    scales = [row["tool"] for row in tables.rows("tool_tolerances") if row["measures"] == "mass"]
    return min((float(name.split()[0]) for name in have if name in scales), default=None)


def tolerance_mL(tool: Mapping[str, str], volume_mL: float) -> float:
    """Return the tolerance of a volume measured with a tool [mL]; more than it holds is measured in several fills."""
    fills = _fills(tool, volume_mL)
    part = "from_half" if volume_mL / fills >= float(tool["nominal_mL"]) / 2 else "below_half"
    return fills * float(tool[f"absolute_{part}"]) + float(tool[f"relative_{part}"]) * volume_mL


def _fills(tool: Mapping[str, str], volume_mL: float) -> float:
    return max(float(np.ceil(volume_mL / float(tool["nominal_mL"]) - 1e-9)), 1.0)


@lru_cache(maxsize=1024)  # (judgement)
def volume_error(volume: Measured, tool: str | None, role: str = "") -> VolumeError:
    """Return how far a volume is to be trusted: as typed with ±, by its tool, or as with a syringe that holds it."""
    millilitres = volume.value * 1000
    if volume.standard_uncertainty is not None:
        return VolumeError(0.0, volume.standard_uncertainty * 1000, "")
    row, name = _tool_for(millilitres, tool)
    standard = tolerance_mL(row, millilitres) / np.sqrt(3)
    alone = _new_each_time(row, millilitres, standard)
    source = f"tool {name}" if name == tool else f"{name} assumed for {role or volume.text}"
    return VolumeError(float(np.sqrt(standard**2 - alone**2)), alone, source)


def ratio_error(volume: Measured, tool: str | None) -> VolumeError:
    """Return the error of a volume measured twice with one tool, in the ratio of the two: its calibration drops out.

    Where a ± was typed without a tool, half of its variance is taken for calibration, as elsewhere.
    """
    millilitres = volume.value * 1000
    row, _ = _tool_for(millilitres, tool)
    standard = tolerance_mL(row, millilitres) / np.sqrt(3)
    if volume.standard_uncertainty is not None:
        standard = volume.standard_uncertainty * 1000
    of_a_tool = tool is not None or volume.standard_uncertainty is None
    return VolumeError(0.0, float(np.sqrt(2) * _new_each_time(row if of_a_tool else None, millilitres, standard)), "")


def _new_each_time(tool: Mapping[str, str] | None, volume_mL: float, standard: float) -> float:
    """Return the part of a standard uncertainty that reading a tool anew makes [mL]; None: of no known tool."""
    if tool is None or not tool["division_mL"]:
        return float(standard * np.sqrt(1 - CALIBRATION_SHARE))
    return float(min(READ_TO * float(tool["division_mL"]) * np.sqrt(_fills(tool, volume_mL)), standard))


def _tool_for(millilitres: float, tool: str | None) -> tuple[Mapping[str, str], str | None]:
    """Return the row of the tool that is named and its name; of a syringe that holds the volume where none is."""
    named = find_tool(tool) if tool else None
    if named is not None:
        return named, tool
    fitting = [size for size in ASSUMED_TOOLS if float(size.split()[0]) >= millilitres]
    assumed = f"{fitting[0]} syringe" if fitting else "kitchen jug"
    found = find_tool(assumed)
    assert found is not None
    return found, assumed


def weighing_error(mass: Measured) -> float:
    """Return the standard uncertainty of a weighing [g], without the scale's calibration: in a difference that cancels.

    One of the two steps that a scale may be off is its calibration, the other is new each time (judgement).
    As typed with ±, else by the decimals that were typed: "84.3 g" was read on a 0.1 g scale.
    """
    if mass.standard_uncertainty is not None:
        return mass.standard_uncertainty
    assert mass.step > 0
    return float(STEPS_NEW_EACH_TIME * mass.step / np.sqrt(3))


def thermometer_error(temperature: Measured | None) -> float:
    """Return the standard uncertainty of a temperature [degC]: as typed with ±, else that of a thermometer."""
    return float(temperature.uncertainty_or(THERMOMETER) if temperature else THERMOMETER)


def drops(blank: Measured | None) -> float:
    """Return how far a titration's end is off [mL, standard]: by a drop, and by the blank's, or its ± as typed."""
    beside = 1000 * blank.uncertainty_or(DROP_mL / 1000) if blank else 0.0
    return float(np.hypot(DROP_mL, beside))


def titration_errors(*parts: tuple[VolumeError, float, str | None]) -> tuple[float, dict[str, float]]:
    """Return what errors of volumes do to the titrant used [mL]: the random part, and the shared parts by source.

    parts: the error of each volume, how far the titrant used moves for a millilitre of it, and the name of the drawn
    sample where other readings were taken on the same one. One tool used for both sample and titrant cancels. The error
    of a drawn sample has the sign of its first volume: more bath in a jug raises a conductivity and lowers a pH.
    """
    random, shared = 0.0, dict[str, float]()
    for error, slope, drawn in parts:
        if error.source:
            shared[error.source] = shared.get(error.source, 0.0) + slope * error.shared
        if drawn:
            so_far, more = shared.get(f"sample {drawn}", 0.0), slope * error.alone
            shared[f"sample {drawn}"] = float(np.copysign(np.hypot(so_far, more), so_far or more))
        else:
            random = float(np.hypot(random, slope * error.alone))
    return random, shared


def check_tool(tool: str | None, volume: Measured | None, place: str) -> None:
    """Refuse a tool of which no tolerance is known, unless the volume came with its own uncertainty."""
    if tool is None or volume is None or volume.standard_uncertainty is not None or find_tool(tool):
        return
    known = [row["tool"] for row in tables.rows("tool_tolerances") if row["measures"] == "volume"]
    raise InputError(
        place,
        show(tool),
        f"it must be one of: {', '.join(known)}{nearest(tool, known)}; or give the volume with its ±",
    )


def check_thinned(
    reading: object, predilution: tuple[Measured, Measured] | None, place: str, **volumes: Measured | None
) -> None:
    """Refuse such a tool for a volume of a reading, each named in its field "<volume>_with", as `check_tool` does.

    predilution: a volume made up to another; where there is none, no tool of it may be named.
    """
    taken, made_up = predilution or (None, None)
    for name, volume in {**volumes, "predilution": taken, "made_up": made_up}.items():
        tool = getattr(reading, f"{name}_with")
        if tool and volume is None:
            raise InputError(f"{place}: {name}_with", show(tool), "it goes only with predilution")
        check_tool(tool, volume, f"{place}: {name}_with")
