"""Are the pens honest on a bench that is not our model? Prints bias, spread and coverage of the 95 % intervals.

    python -m tests.benchmarks.pens [BATHS]

Baths, hands and hydrometer are those of `tests.benchmarks.bench`. The thinned bath is PHREEQC's (phreeqc.dat), whose
conductivity is 0 to 4 % below print for the acid and 4 to 6 % above it for the copper: its shares are brought to print,
somewhere within these; with temperature the acid's share changes as the published sulfuric acid does, the rest as calcium
sulfate, the only sulfate of a metal like copper in `thermo`. Pen 1 % and 1 % a reading, water of 1 to 8 µS/cm, 18 to
25 °C, a thermometer of 0.5 °C; pH 0.02 and 0.02 a reading, slope 97 ± 2 %. Not collected by pytest.
"""

import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
from thermo.electrochem import cond_data_McCleskey, conductivity_McCleskey

from advisor.basis.units import COVERAGE
from advisor.check.estimate import estimate
from advisor.sheet import read_sheet
from tests.benchmarks.bench import hands, readings, run
from tests.benchmarks.bench.baths import SEED, draw
from tests.benchmarks.bench.hands import Owner, typed
from tests.solution.some_phreeqc import thinned

ACID, SALT = (cond_data_McCleskey.loc[number] for number in ("7664-93-9", "7778-18-9"))
PRINT_OVER_PHREEQC = {"acid": (1.0, 1.04), "salt": (0.94, 0.96)}
PEN, PEN_READ = 0.01, 0.01  # relative
DEGREES, WATER = (18.0, 25.0), (1.0, 8.0)
STEPS = ((5.0, "5 mL syringe", 250.0), (20.0, "20 mL syringe", 200.0))
REFERENCE = (215.0, 55.0)  # g/L, as weighed in
BATHS = ("clean", "dirty, undeclared", "sodium sulfate 15", "iron 5, undeclared", "iron 5, declared")
SETS = {
    "pen": ("conductivity",),
    "pen, reference": ("referenced",),
    "each twice": ("referenced twice", "referenced twice"),
    "pH": ("pH",),
    "pen and pH": ("conductivity", "pH"),
}


def warmth(published: Any, molarity: float, degrees: float) -> float:
    """Return the conductivity of a thin solution [mol/L] at a temperature over that at 25 degC, as published."""
    limits, slopes = ([published[f"{letter}{n}"] for n in (1, 2, 3)] for letter in "cd")
    times = published.multiplier
    at = [conductivity_McCleskey(t + 273.15, molarity, limits, slopes, published.B, times) for t in (degrees, 25.0)]
    return float(at[0] / at[1])


@dataclass
class Pens:
    """An owner's pens and jugs; what lasts is drawn once."""

    owner: Owner

    def __post_init__(self) -> None:
        rng = self.owner.rng
        self.scale = 1 + PEN * rng.standard_normal()
        self.print = {name: rng.uniform(*span) for name, span in PRINT_OVER_PHREEQC.items()}
        self.degrees, self.water = rng.uniform(*DEGREES), rng.uniform(*WATER)
        self.reference: list[str] = []
        self.jugs = [1 + hands.JUG * rng.standard_normal() for _ in STEPS]

    def thin(self) -> float:
        """Return how many times a bath was really thinned."""
        times = 1.0
        for (size, tool, jug), error in zip(STEPS, self.jugs, strict=True):
            filled = jug * error * (1 + hands.FLASK / 2 * self.owner.rng.standard_normal())
            times *= filled / self.owner.measure(tool, size)
        return times

    def how(self) -> dict[str, Any]:
        """Return the fields that say how it was thinned."""
        owner, (first, second) = self.owner, STEPS
        spreads = [owner.spread(tool, size) if owner.types else None for size, tool, _ in STEPS]
        jugs = [float(np.hypot(hands.JUG, hands.FLASK / 2)) * jug if owner.types else None for _, _, jug in STEPS]
        tools = {} if owner.types else {"predilution_with": first[1], "sample_with": second[1]}
        return {
            "predilution": [typed(first[0], "mL", spreads[0]), typed(first[2], "mL", jugs[0])],
            "sample": typed(second[0], "mL", spreads[1]),
            "thinned_to": typed(second[2], "mL", jugs[1]),
            "temperature": typed(self.degrees + hands.THERMOMETER * owner.rng.standard_normal(), "degC", None, 1),
            "water": typed(self.water * self.scale, "uS/cm", None, 1),
            **tools,
        }

    def _liquid(self, copper: float, acid: float, **dirt: float) -> tuple[float, float, float]:
        times = self.thin()
        return (times, *thinned(copper, acid, times, self.water / 94_600, **dirt))

    def shows(self, copper: float, acid: float, **dirt: float) -> float:
        """Return what the conductivity pen shows [uS/cm], compensated."""
        times, conductivity, _ = self._liquid(copper, acid, **dirt)
        of_acid = thinned(1e-3, acid, times, self.water / 94_600)[0] / conductivity
        true = conductivity * (
            of_acid * self.print["acid"] * warmth(ACID, acid / 98.08 / times, self.degrees)
            + (1 - of_acid) * self.print["salt"] * warmth(SALT, copper / 249.69 / times, self.degrees)
        )
        noise = 1 + PEN_READ * self.owner.rng.standard_normal()
        return float(true / (1 + 0.02 * (self.degrees - 25)) * self.scale * noise)

    def reads_reference(self, times: int) -> list[str]:
        """Return a fresh bath as weighed in, and the mean of so many readings of it; made and read once."""
        if not self.reference:
            spreads = (hands.CRYSTALS, hands.ACID)
            made = [size * (1 + spread * self.owner.rng.standard_normal()) for size, spread in zip(REFERENCE, spreads, strict=True)]  # fmt: skip
            read = float(np.mean([self.shows(*made) for _ in range(times)]))
            self.reference = [*(f"{size} g/L" for size in REFERENCE), typed(read, "uS/cm", None, 0)]
        return self.reference

    def shows_pH(self, copper: float, acid: float, **dirt: float) -> float:
        offset, slope = self.owner.meter
        pH = self._liquid(copper, acid, **dirt)[2]
        return float(4 + offset + slope * (pH - 4) + hands.METER_READ * self.owner.rng.standard_normal())


def contents(owner: Owner) -> tuple[float, float, dict[str, float]]:
    """Return the true bath, with its dirt as `some_phreeqc` takes it."""
    bath, dirt = owner.bath, owner.bath.dirt
    held = {"sodium_sulfate": dirt.sodium_sulfate, "iron": dirt.iron2 + dirt.iron3 + dirt.of_age / 2.72}
    held |= {"iron_three": dirt.iron3, "zinc": dirt.zinc}
    return bath.copper_sulfate, bath.acid, {name: grams for name, grams in held.items() if grams > 0}


def reading_of(which: str, owner: Owner, pens: Pens) -> dict[str, Any]:
    copper, acid, dirt = contents(owner)
    if which == "pH":
        buffer = 4 + owner.meter[0] + hands.METER_READ * owner.rng.standard_normal()
        value = f"{pens.shows_pH(copper, acid, **dirt):.2f}"
        return {"kind": "thinned pH", "value": value, "buffer": [4.0, round(buffer, 2)], **pens.how()}
    found = {"kind": "thinned conductivity", "value": typed(pens.shows(copper, acid, **dirt), "uS/cm", None, 0)}
    if which != "conductivity":
        found["reference"] = pens.reads_reference(2 if which == "referenced twice" else 1)
    return found | pens.how()


def measure(number: int, which: tuple[str, ...]) -> tuple[str, bool, dict[str, tuple[float, float]]]:
    """Return the bath's trouble, whether its owner answers, and error and standard uncertainty of each component."""
    rng = np.random.default_rng([SEED, 7, number])
    bath = draw(number, rng)
    owner = Owner(bath, rng)
    raw = run.sheet(owner)
    pens = Pens(owner)
    raw["reading"] = [readings.hydrometer(owner), *(reading_of(name, owner, pens) for name in which)]
    found = estimate(read_sheet(raw))
    assert found is not None
    truth = {"copper_sulfate": bath.copper_sulfate, "sulfuric_acid": bath.acid}
    return (
        bath.trouble,
        bath.answers,
        {n: (found.value(n) - t, found.standard_uncertainty(n)) for n, t in truth.items()},
    )


def main(baths: int) -> None:
    for name, which in SETS.items():
        found = [measure(number, which) for number in range(4 * baths)]
        for trouble in BATHS:
            for answers in (True, False):
                mine = [errors for what, said, errors in found if (what, said) == (trouble, answers)]
                if not mine:
                    continue
                parts = []
                for component in ("copper_sulfate", "sulfuric_acid"):
                    error, spread = np.array([errors[component] for errors in mine]).T
                    inside = np.mean(np.abs(error) < COVERAGE * spread)
                    parts.append(f"{component} bias {error.mean():+.1f} sd {error.std():.1f} said {np.median(spread):.1f} in {inside:.3f}")  # fmt: skip
                print(
                    f"{name:15} {trouble:20} {'answers' if answers else 'silent':8} n={len(mine):4}  {'; '.join(parts)}"
                )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
