"""The baths and their troubles, and in which order they come: bath number i is the same on every machine."""

from dataclasses import dataclass, field, replace

import numpy as np

from tests.benchmarks.bench.flask import Contents, density_change, shipped_database
from tests.benchmarks.bench.liquid import MIXTURE_RANGE, PENTAHYDRATE, Liquid

SEED = 20261125
SULFURIC, SODIUM_SULFATE, SODIUM, IRON, ZINC = 98.078, 142.04, 22.990, 55.845, 65.38  # g/mol
IRON_SULFATE = 151.91  # g/mol FeSO4

SETS = (
    "methyl orange + hydrometer",
    "cloud + hydrometer",
    "lye with pH meter + hydrometer",
    "washing soda + weighed density",
    "pH curve + EDTA",
    "methyl orange + iodometric",
    "cloud + hydrometer + colour",
    "two methyl oranges + hydrometer + EDTA",
    "lye + plated-out",
    "hydrometer + make-up",
    "five readings at once",
    "methyl orange + hydrometer + earlier check",
)
WITH_HYDROMETER = tuple(name for name in SETS if "hydrometer" in name)
WITH_METHYL_ORANGE = tuple(name for name in SETS if "methyl orange" in name)
WITH_CLOUD = tuple(name for name in SETS if "cloud" in name)
WITH_LYE = ("lye with pH meter + hydrometer", "pH curve + EDTA", "lye + plated-out")
WITH_SODA = ("washing soda + weighed density",)


@dataclass(frozen=True)
class Trouble:
    """What is wrong with a bath, its titrant or its owner's hands.

    dirt: g/L of sodium sulfate and of metals; None: drawn at random. declared: whether the sheet says the iron.
    titrant: the state of the soda or the lye. hands: what is wrong with a tool. sets: those that it can trouble.
    a_cycle: baths in a cycle for each of the sets.
    """

    group: str
    dirt: dict[str, float] | None = field(default_factory=dict)
    declared: bool = False
    titrant: str = "sound"
    hands: str = ""
    sets: tuple[str, ...] = SETS
    a_cycle: int = 1


TROUBLES = {
    "clean": Trouble("clean", a_cycle=4),
    "dirty, undeclared": Trouble("dirty", None, a_cycle=3),
    "sodium sulfate 15": Trouble("one dirt", {"sodium_sulfate": 15.0}),
    "iron 5, undeclared": Trouble("one dirt", {"iron2": 4.5, "iron3": 0.5}),
    "iron 5, declared": Trouble("one dirt", {"iron2": 4.5, "iron3": 0.5}, declared=True),
    "zinc 3": Trouble("one dirt", {"zinc": 3.0}),
    "baking soda, damp": Trouble("soda", titrant="damp", sets=WITH_CLOUD),
    "washing soda, 8 % water": Trouble("soda", titrant="wet", sets=WITH_SODA, a_cycle=2),
    "washing soda, monohydrate sold as anhydrous": Trouble("soda", titrant="monohydrate", sets=WITH_SODA, a_cycle=2),
    "decahydrate that lost 10 %": Trouble("soda", titrant="decahydrate 10", sets=WITH_SODA),
    "decahydrate that lost 20 %": Trouble("soda", titrant="decahydrate 20", sets=WITH_SODA),
    "decahydrate that lost 30 %": Trouble("soda", titrant="decahydrate 30", sets=WITH_SODA),
    "lye, 94.5 %": Trouble("lye", titrant="weak", sets=WITH_LYE),
    "left fizzing": Trouble("hands", hands="fizzing", sets=WITH_CLOUD),
    "methyl orange judged late": Trouble("hands", hands="late", sets=WITH_METHYL_ORANGE[:1]),
    "methyl orange judged early": Trouble("hands", hands="early", sets=WITH_METHYL_ORANGE[:1]),
    "bad hydrometer": Trouble("hands", hands="hydrometer", sets=WITH_HYDROMETER[:2]),
    "wetting agent": Trouble("hands", hands="wetter", sets=WITH_HYDROMETER[:2]),
    "tank volume 4 % off": Trouble("hands", hands="tank", sets=("lye + plated-out", "pH curve + EDTA")),
    "weak stock": Trouble("hands", hands="stock", sets=("lye + plated-out", "pH curve + EDTA")),
}


def cycle() -> list[tuple[str, str]]:
    """Return each trouble with each set that it can trouble, in an order that is fixed and mixed."""
    pairs = [(name, readings) for name, it in TROUBLES.items() for readings in it.sets for _ in range(it.a_cycle)]
    order = np.random.default_rng(SEED).permutation(len(pairs))
    return [pairs[i] for i in order]


@dataclass(frozen=True)
class Dirt:
    """Foreign salts [g/L]: sodium sulfate, the metals as metal, and old age's, which counts as iron(II) sulfate.

    Old age's shows in the density alone: no titration answers to it.
    """

    sodium_sulfate: float = 0.0
    iron2: float = 0.0
    iron3: float = 0.0
    zinc: float = 0.0
    of_age: float = 0.0


@dataclass(frozen=True)
class Bath:
    """A true bath: P and A [g/L], volume [L], degC, months, its window, and its density's mixture term."""

    trouble: str
    readings: str
    answers: bool
    copper_sulfate: float
    acid: float
    dirt: Dirt
    volume: float
    temperature: float
    coldest: float
    months: float
    window: str
    k: float

    @property
    def titrated(self) -> Contents:
        """What a litre holds for a titration [mol]."""
        return _contents(self, with_age=False)

    def liquid(self) -> tuple[Liquid, float]:
        """Return the bath's density as a liquid, and what its own temperature changes in it [g/mL]."""
        clean = replace(self, dirt=Dirt())
        here, there = _contents(clean, with_age=True), _contents(self, with_age=True)
        salts = density_change(shipped_database(), (here, 20.0), (there, 20.0))
        warmth = density_change(shipped_database(), (there, 20.0), (there, self.temperature))
        return Liquid(self.k, salts), warmth


def _contents(bath: Bath, with_age: bool) -> Contents:
    dirt = bath.dirt
    copper, sodium = bath.copper_sulfate / PENTAHYDRATE, 2 * dirt.sodium_sulfate / SODIUM_SULFATE
    iron2 = dirt.iron2 / IRON + (dirt.of_age / IRON_SULFATE if with_age else 0.0)
    iron3, zinc = dirt.iron3 / IRON, dirt.zinc / ZINC
    sulfate = copper + bath.acid / SULFURIC + sodium / 2 + iron2 + 1.5 * iron3 + zinc
    return Contents(copper, sulfate, sodium, zinc, iron2, iron3)


def draw(number: int, rng: np.random.Generator) -> Bath:
    """Return bath number `number`; what else is random about it is then drawn from `rng`."""
    pairs = cycle()
    trouble, readings = pairs[number % len(pairs)]
    months = rng.uniform(1, 24)
    dirt = TROUBLES[trouble].dirt
    random = Dirt(rng.uniform(0, 15), rng.uniform(0, 4), rng.uniform(0, 0.5), rng.uniform(0, 2))
    of_age = Dirt(of_age=0.15 * months * rng.uniform(0, 2))
    return Bath(
        trouble,
        readings,
        # One owner in two; turned over at each cycle, so that each kind of bath has both.
        answers=bool((number + number // len(pairs)) % 2),
        copper_sulfate=rng.uniform(140, 290),
        acid=float(np.exp(rng.uniform(np.log(15), np.log(110)))),
        dirt=random if dirt is None else Dirt(**dirt) if dirt else of_age,
        volume=rng.uniform(3, 12),
        temperature=rng.uniform(17, 25),
        coldest=12.0,
        months=months,
        window="standard" if rng.random() < 0.7 else "electroforming",
        k=rng.uniform(*MIXTURE_RANGE),
    )
