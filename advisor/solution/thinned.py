"""A bath thinned with much water: what is dissolved in it, before it is read with a conductivity pen or a pH pen.

Thinned 1 : 100 or more, a bath is nearly an ideal solution, and the equilibrium of `equilibrium` tells it well. The
other metals bind sulfate about as copper does (log10 K 2.25 to 2.37), so that they are taken through it as copper and
told apart afterwards. Sodium, and the bicarbonate of the thinning water, are acid and as much base.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.arrays import FloatArray
from advisor.solution.equilibrium import WATER_PER_LITRE, Flask, dissolved_at_titrant_volume
from advisor.solution.molar_masses import (
    COPPER_SULFATE_PENTAHYDRATE,
    IRON,
    IRON_SULFATE,
    NICKEL,
    SODIUM_SULFATE,
    SULFURIC_ACID,
    ZINC,
)

# Iron(III) brings half a sulfate more than iron(II), and its third charge: this share of it is an H+ set free by water
# that iron(III) binds, the rest stays on the iron. Computed with PHREEQC (phreeqc.dat) at 1 : 500; good to 0.7 % of the
# conductivity for 1 g/L iron(III).
IRON_THREE_SETS_FREE = 0.3
# Lye so strong that it takes up no room: it stands for sodium that is there already (exact: no liquid is run in).
_BASE_mol_L = 1e6


@dataclass(frozen=True)
class Undiluted:
    """Contents of a bath [g/L], as `readings.model.State` has them; arrays of one shape or floats."""

    copper_sulfate: ArrayLike
    sulfuric_acid: ArrayLike
    foreign_solids: ArrayLike = 0.0  # as FeSO4
    sodium_sulfate: ArrayLike = 0.0
    iron: ArrayLike = 0.0
    iron_three: ArrayLike = 0.0
    zinc: ArrayLike = 0.0
    nickel: ArrayLike = 0.0


@dataclass(frozen=True)
class Thinned:
    """Ions of a thinned bath by name [mol/kg water], its ionic strength [mol/kg] and its pH, all of one shape."""

    ions: Mapping[str, FloatArray]
    ionic_strength: FloatArray
    pH: FloatArray


def thin(bath: Undiluted, times: float, bicarbonate: ArrayLike = 0.0, temperature: ArrayLike = 25.0) -> Thinned:
    """Return what is in a bath made up to `times` its volume with water that holds bicarbonate [mol/L].

    temperature: of the thinned liquid [degC], 10 to 35. All but `times` are of any shape. Accuracy against PHREEQC
    with phreeqc.dat at 25 degC, 1 : 50 to 1 : 2000: pH within 0.02.
    """
    copper = np.asarray(bath.copper_sulfate, dtype=float) / COPPER_SULFATE_PENTAHYDRATE
    # mol in a litre of bath
    metals = {
        "Cu+2": copper,
        "Fe+2": np.asarray(bath.foreign_solids) / IRON_SULFATE + np.asarray(bath.iron) / IRON,
        "Zn+2": np.asarray(bath.zinc) / ZINC,
        "Ni+2": np.asarray(bath.nickel) / NICKEL,
    }
    sodium = 2 * np.asarray(bath.sodium_sulfate) / SODIUM_SULFATE
    iron_three = np.asarray(bath.iron_three) / IRON
    acid = np.asarray(bath.sulfuric_acid) / SULFURIC_ACID + sodium / 2 + iron_three / 2
    all_metals = np.asarray(sum(metals.values()))
    flask = Flask(1.0, times, "sodium hydroxide", _BASE_mol_L)  # mL, of which only the ratio counts
    # The charge that stays on iron(III) counts as sodium: it moves about as slowly.
    base = sodium + (1 - IRON_THREE_SETS_FREE) * iron_three + np.asarray(bicarbonate) * times
    held = dissolved_at_titrant_volume(
        all_metals * COPPER_SULFATE_PENTAHYDRATE, acid * SULFURIC_ACID, base / _BASE_mol_L, flask, temperature
    )
    # All metals were taken through the equilibrium as copper; each has its share of what is free.
    free = held.molality["Cu+2"] / np.maximum(all_metals, 1e-4)
    kept = {name: held.molality[name] for name in ("H+", "OH-", "HSO4-", "SO4-2")}
    told_apart = {name: free * share for name, share in metals.items()}
    slow = base / (times * WATER_PER_LITRE)
    return Thinned({**kept, **told_apart, "Na+": slow}, held.ionic_strength, held.pH)
