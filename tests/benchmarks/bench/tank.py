"""The correction carried out on the true bath, by a doser whose amounts and stock are not quite what they are taken for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from tests.benchmarks.bench import hands
from tests.benchmarks.bench.hands import Owner
from tests.benchmarks.bench.liquid import WATER, printed, volume_of


@dataclass
class Tank:
    """What is in the tank: grams of CuSO4.5H2O, of acid and in all; the share of its dirt that is left; litres."""

    copper_sulfate: float
    acid: float
    dirt: float
    total: float
    volume: float

    def take_out(self, share: float) -> None:
        """Take a share of the bath out."""
        for name in ("copper_sulfate", "acid", "dirt", "total", "volume"):
            setattr(self, name, getattr(self, name) * (1 - share))


def carry_out(owner: Owner, steps: Iterable[Mapping[str, Any]]) -> dict[str, float]:
    """Return P and A [g/L] and the volume [L] once the steps are done; the steps as the advice prints them in JSON."""
    bath, (liquid, _) = owner.bath, owner.liquid
    density = liquid.density(bath.copper_sulfate, bath.acid)
    litres = bath.volume
    tank = Tank(bath.copper_sulfate * litres, bath.acid * litres, litres, 1000 * litres * density, litres)
    for step in steps:
        _do(owner, step, tank)

    def density_at(volume: float) -> float:
        return liquid.density(tank.copper_sulfate / volume, tank.acid / volume, tank.dirt / volume)

    after = volume_of(tank.total, density_at, tank.volume)
    return {"copper_sulfate": tank.copper_sulfate / after, "sulfuric_acid": tank.acid / after, "volume": after}


def _do(owner: Owner, step: Mapping[str, Any], tank: Tank) -> None:
    weak = owner.hands == "stock"
    random = owner.rng.standard_normal
    if step["do"] == "take out":
        tank.take_out(min(step["volume_L"] * (1 + hands.JUG * random()) / tank.volume, 1.0))
    elif step["what"] == "water":
        tank.total += 1000 * WATER * step["volume_L"] * (1 + hands.JUG * random())
    elif step["what"] == "copper sulfate crystals":
        grams = step["mass_g"] * owner.scale
        strength = step["purity_mass_fraction"] * (1 - (hands.WEAK_CRYSTALS if weak else 0.0))
        tank.copper_sulfate += grams * strength * (1 + hands.CRYSTALS * random())
        tank.total += grams
    elif step["what"] == "sulfuric acid":
        strength = step["strength_mass_fraction"] * (1 - (hands.WEAK_ACID if weak else 0.0))
        strength = min(strength * (1 + hands.ACID * random()), 0.99)
        grams = step["volume_mL"] * (1 + hands.JUG * random()) * printed("H2SO4")(strength)
        tank.acid += grams * strength
        tank.total += grams
    # Chloride is some hundred milligrams a litre: nothing of copper, acid or volume.
