"""One bath and its owner, day by day: what happens to it, what is written down, and what the record says of that."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from advisor.basis.units import Measured, parse
from advisor.check.assessment import assess
from advisor.record.account import where_it_went
from advisor.record.carried import carry_forward
from advisor.record.drift import Explanation, NotEnoughKnown
from advisor.record.entries import AcidAdded as Acid
from advisor.record.entries import Check, CrystalsAdded, Entry, RunDone, TakenOut, WaterAdded
from advisor.sheet import parse_sheet, read_sheet, write_sheet
from advisor.solution.equilibrium import Flask, titrant_volume_at_pH
from tests.benchmarks.years.tank import COPPER_PER_AMPERE_HOUR, WATER, Tank

START = datetime.datetime(2024, 1, 1, 8, tzinfo=datetime.UTC)
INSIDE_95 = 1.959964  # standard uncertainties
# Hands (standard uncertainties; sizes of the bench, judgement).
BOTTLE = 0.015  # a litre made up without a flask, stated as that
SYRINGE, SYRINGE_EACH = 0.009, 0.009  # of a 10 mL syringe: scale and setting
BURETTE_mL = 0.03
END_POINT_pH, END_POINT_EACH = 0.18, 0.08
HYDROMETER, HYDROMETER_EACH = 0.0006, 0.0005
MIXTURE = 0.001  # g/mL: what a mixture does beyond its parts, on whose very sign sources disagree
LEVEL, TANK = 0.005, 0.01
POURED = 0.007  # water, acid or bath measured in a jug
WEIGHED, PURITY, STRENGTH = 0.003, 0.006, 0.01
RATES_CHANGE = 0.3  # relative: how far each rate is another between one check and the next (judgement)


@dataclass(frozen=True)
class Trouble:
    """What happens to a bath; ranges to draw from. Litres and grams of copper a litre are a day's."""

    evaporation: tuple[float, float] = (0.03, 0.10)  # L
    lost: tuple[float, float] = (0.0, 0.008)  # L of bath
    idle: tuple[float, float] = (0.004, 0.018)  # g/L of copper
    starved: tuple[float, float] = (0.0, 0.03)  # of the copper plated that the anodes do not give back
    weekly: tuple[float, float] = (2.0, 8.0)  # A·h
    inert: bool = False
    interval: int = 21  # days between two checks
    days: int = 730
    dirt: tuple[float, float] = (0.0, 0.01)  # g/L of foreign salts: the bench's 0.15 g/L a month, times 0 to 2
    wrong: str = ""  # what is wrong with the last check, or with the log before it
    keeps: bool = False  # doses, filters, treats with carbon, as a `Keeper` does
    weighs_parts: float = 0.0  # share of them
    weighs_anodes: bool = False


SEVEN, YEAR = 6 * 21, 365
TROUBLES = {
    "ordinary": Trouble(),
    "evaporation": Trouble(evaporation=(0.12, 0.25), interval=56),
    "drag-out": Trouble(lost=(0.008, 0.03)),
    "idle anodes": Trouble(idle=(0.02, 0.035), weekly=(0.0, 0.0)),
    "inert anodes": Trouble(weekly=(5.0, 10.0), inert=True),
    "400 days": Trouble(evaporation=(0.02, 0.04), lost=(0.0, 0.03), interval=400, days=400),
    "bad check": Trouble(days=SEVEN, wrong="acid"),
    "incomplete log": Trouble(days=SEVEN, wrong="log"),
    "keeper": Trouble(days=YEAR, keeps=True, weighs_parts=0.5),
    "keeper, anodes weighed": Trouble(days=YEAR, keeps=True, weighs_parts=1.0, weighs_anodes=True),
    "keeper, inert anodes": Trouble(weekly=(5.0, 10.0), days=YEAR, inert=True, keeps=True, weighs_parts=0.5),
}
SHORT = ("400 days", "bad check", "incomplete log")  # of which more baths are drawn, since each has one pair to judge
MORE = 6
# Where all errors are new, each check stands alone; with one bottle it takes what was carried as one reading more. Who
# types ± knows these hands, so that only the record is judged; who names the syringe is taken at its tolerance, which is
# that of a standard, and wider.
TYPED, NAMED, ONE_BOTTLE = REGIMES = ("new errors, ± typed", "new errors, tools named", "one bottle throughout")


@dataclass
class Hands:
    """Errors that stay: of the bottle, the syringe, the eye, the hydrometer, the tank's marks, the stock."""

    rng: np.random.Generator
    regime: str
    kept: dict[str, float] = field(default_factory=dict)

    def error(self, source: str, size: float) -> float:
        """Return the error of a source, the same every time where it stays, as what the liquid itself does always does."""
        stays = self.regime == ONE_BOTTLE or source in ("tank", "purity", "strength", "mixture")
        if not stays or source not in self.kept:
            self.kept[source] = float(size * self.rng.standard_normal())
        return self.kept[source]

    def each(self, size: float) -> float:
        return float(size * self.rng.standard_normal())


@dataclass
class Life:
    """One bath with its log. truth: L and g of each cause since the last check, and what the record is asked for."""

    trouble: Trouble
    hands: Hands
    tank: Tank
    usual: float
    rates: dict[str, float]  # of the bath, over the years
    now: dict[str, float] = field(default_factory=dict)  # of the time between two checks
    entries: list[Entry] = field(default_factory=list)
    lost: np.ndarray = field(default_factory=lambda: np.zeros(3))
    scores: list[tuple[str, float]] = field(default_factory=list)
    said: dict[str, bool] = field(default_factory=dict)
    day: float = 0.0

    def log(self, content: Check | object) -> None:
        """Write an entry down at this time."""
        when = START + datetime.timedelta(days=self.day)
        self.entries.append(Entry(len(self.entries) + 1, "a", when, when, "1", None, content))  # type: ignore[arg-type]
        self.day += 0.002

    def begin(self) -> None:
        """Do what comes before the first check."""

    # --- What happens ---

    def change_rates(self) -> None:
        """Let each rate be another until the next check: nobody plates, drips or covers the tank always alike."""
        for name, rate in self.rates.items():
            self.now[name] = rate * float(np.exp(self.hands.each(RATES_CHANGE)))

    def live_a_day(self, into: int) -> None:
        """Let the day's losses act, and top up and plate once a week."""
        volume = self.tank.litres
        evaporated, lost, idle = (self.now[name] for name in ("evaporation", "lost", "idle"))
        copper = 0.0 if self.trouble.inert else idle * volume
        self.tank.dissolve(copper)
        self.tank.solids += self.now["dirt"] * volume
        for part in (lost, 0.0):  # in the middle of the day's evaporation
            self.tank.water -= evaporated / 2 * 1000 * WATER
            self.tank.lose(part)
        self.lost += (evaporated, lost, copper)
        self.day = into + 0.5
        if into % 7 == 3 and self.now["weekly"]:
            self.plate(self.now["weekly"] * float(self.hands.rng.uniform(0.5, 1.5)))
        if into % 7 == 5:
            self.top_up()
        self.day = into + 0.9

    def plate(self, charge: float) -> None:
        plated = charge * COPPER_PER_AMPERE_HOUR
        short = plated if self.trouble.inert else plated * self.now["starved"]
        self.tank.dissolve(-short)
        self.lost[2] -= short
        self.log(RunDone(charge=typed(charge, "A*h", "charge")))

    def top_up(self) -> None:
        missing = self.usual - self.read_level()
        if missing > 0.02 * self.usual:
            self.add_water(missing)

    def add_water(self, litres: float) -> None:
        content = WaterAdded(volume=typed(litres, "L", "volume"))
        self.tank.water += content.volume.value * (1 + self.hands.each(POURED)) * 1000 * WATER
        self.log(content)

    def add_crystals(self, grams: float, written: bool = True) -> None:
        content = CrystalsAdded(mass=typed(grams, "g", "mass"))
        true = content.mass.value * (1 + self.hands.each(WEIGHED))
        pure = 0.99 * (1 + self.hands.error("purity", PURITY))
        self.tank.salt += true * pure
        self.tank.water += true * (1 - pure)
        if written:
            self.log(content)

    def add_acid(self, grams: float) -> None:
        millilitres = grams / 0.37 / 1.2769  # battery acid; CRC, between its rows
        content = Acid(volume=typed(millilitres, "mL", "volume"), strength=parse("37 %", "fraction"))
        true = content.volume.value * 1000 * 1.2769 * (1 + self.hands.each(POURED))
        strength = 0.37 * (1 + self.hands.error("strength", STRENGTH))
        self.tank.acid += true * strength
        self.tank.water += true * (1 - strength)
        self.log(content)

    def take_out(self, litres: float, written: bool = True) -> None:
        content = TakenOut(volume=typed(litres, "L", "volume"))
        self.tank.lose(content.volume.value * (1 + self.hands.each(POURED)))
        self.log(content if written else WaterAdded(volume=content.volume))

    def read_level(self) -> float:
        """Read the level off the tank's marks [L]; their scale is the same every time."""
        return self.tank.litres * (1 + self.hands.error("tank", TANK)) * (1 + self.hands.each(LEVEL))

    # --- What is measured ---

    def readings(self, level: float) -> list[dict[str, object]]:
        """Return what is typed of an acid titration and of a hydrometer."""
        hands, tank = self.hands, self.tank
        litres = tank.litres
        salt, acid = tank.salt / litres, tank.acid / litres
        strength = 0.25 * (1 + hands.error("bottle", BOTTLE))
        sample = 10 * (1 + hands.error("syringe", SYRINGE) + hands.each(SYRINGE_EACH))
        pH = 3.85 + hands.error("eye", END_POINT_pH) + hands.each(END_POINT_EACH)
        flask = Flask(sample, 100.0, "sodium carbonate", strength)
        used = float(titrant_volume_at_pH(salt, acid, pH, flask)) + hands.each(BURETTE_mL) + hands.each(0.05)
        used = max(used, 0.0)  # a bath that has lost nearly all its acid turns at once
        shown = (
            tank.density()
            + hands.error("mixture", MIXTURE)
            + hands.error("hydrometer", HYDROMETER)
            + hands.each(HYDROMETER_EACH)
            + self.float_error()
        )
        bottle = "" if hands.regime == ONE_BOTTLE else f" of day {self.day:.0f}"
        sample_off = INSIDE_95 * 10 * np.hypot(SYRINGE, SYRINGE_EACH)
        drawn = {"sample": f"10 ± {sample_off:.3f} mL"} if hands.regime == TYPED else {"sample_with": "10 mL syringe"}
        return [
            {
                "kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium carbonate",
                "strength": f"0.25 ± {INSIDE_95 * BOTTLE * 0.25:.4f} mol/L", "used": f"{used:.2f} mL",
                "end_point": "methyl orange", "used_with": "25 mL class B burette", "titrant_label": f"soda{bottle}",
                **drawn,
            },
            {"kind": "hydrometer", "value": f"{shown / WATER:.4f}", "scale": "SG 20/20"},
        ]  # fmt: skip

    def check(self, judged: bool) -> tuple[float, float]:
        """Check the bath, file it, and return the copper sulfate and acid found; judge the record where asked."""
        level = self.read_level()
        now = START + datetime.timedelta(days=self.day)
        bath = {
            "name": "a", "volume": f"{level:.3f} L", "usual_volume": f"{self.usual} L", "additives": self.trouble.keeps,
            "age": f"{6 + self.day / 30.44:.1f} months", "soda_added": "0 g", "touched": ["nothing"],
            "topped_up_with": "distilled water",
        }  # fmt: skip
        bath["anodes"] = "inert" if self.trouble.inert else "copper"
        readings = self.readings(level)
        carried = carry_forward(self.entries, now) if self.entries else None
        if carried and judged:
            self.score_carried(carried)
        sheet = read_sheet({"bath": bath, "reading": readings})
        if carried and self.hands.regime == ONE_BOTTLE:
            sheet = parse_sheet(write_sheet(carried.add_to(sheet)).encode())
        found = assess(sheet)
        estimate = found.estimate
        assert estimate is not None
        advice = {
            "estimate": {
                "copper_sulfate_g_L": estimate.of("copper_sulfate")._asdict(),
                "sulfuric_acid_g_L": estimate.of("sulfuric_acid")._asdict(),
                "chloride_mg_L": estimate.of("chloride")._asdict() if "chloride" in estimate.measured else None,
                "volume_L": estimate.volume_L,
                "correlation": estimate.correlation("copper_sulfate", "sulfuric_acid"),
            },
            "verdict": {
                name: {"limits": list(verdict.limits)} for name, verdict in found.verdict.items() if verdict.limits
            },
        }
        litres = self.tank.litres
        for name, grams in self.truth():
            value, spread = estimate.of(name)
            self.scores.append((f"check {name}", (value - grams / litres) / spread))
        self.log(Check(write_sheet(sheet), advice))
        if judged:
            self.score_causes()
        self.lost[:] = 0
        return estimate.value("copper_sulfate"), estimate.value("sulfuric_acid")

    def truth(self) -> Iterator[tuple[str, float]]:
        """Yield what is in the tank of each component that is measured [g; chloride mg]."""
        yield "copper_sulfate", self.tank.salt
        yield "sulfuric_acid", self.tank.acid
        if self.trouble.keeps:
            yield "chloride", self.tank.chloride

    def float_error(self) -> float:
        """Return what additives do to how the hydrometer floats [g/mL]: here there are none."""
        return 0.0

    def correct_chloride(self) -> None:
        """Add none: this bath has no additives."""

    def score_carried(self, carried: object) -> None:
        """Compare what is carried with the grams in the tank, on the scale of its marks."""
        marks = 1 + self.hands.error("tank", TANK)
        for name, grams in self.truth():
            if carried.values[name] is None:  # type: ignore[attr-defined]
                continue
            value, spread = carried.values[name]  # type: ignore[attr-defined]
            volume = carried.known.volume_L  # type: ignore[attr-defined]
            miss = value - grams * marks / volume
            self.scores.append((f"carried {name}", miss / np.hypot(spread, LEVEL * value)))

    def score_causes(self) -> None:
        """Compare where it went with where it did."""
        try:
            found = where_it_went(self.entries)
        except NotEnoughKnown:
            self.said["not enough known"] = True
            return
        names = ("evaporation", "lost bath", "copper")
        held = {}
        # What inert anodes took by the log is told apart from the causes.
        for name, true in zip(names, self.lost + np.array([0.0, 0.0, found.plated]), strict=True):
            amount = found.causes[name]
            held[name] = amount.low <= true <= amount.high
            self.scores.append((f"cause {name}", 0.0 if held[name] else 9.0))
        certain = certain_causes(found)
        self.scores += [("certain cause", 0.0 if held[name] else 9.0) for name in certain]
        self.said["flagged"] = bool(getattr(found, "doubts", found.unlogged))
        self.said["certain and wrong"] = any(not held[name] for name in certain)


def certain_causes(found: Explanation) -> tuple[str, ...]:
    """Return the causes that are stated as certain."""
    if hasattr(found, "certain"):
        return tuple(found.certain())
    return tuple(name for name, amount in found.causes.items() if amount.shown)


def typed(value: float, unit: str, quantity: str, digits: int = 4) -> Measured:
    """Return a quantity as a person types it."""
    return parse(f"{value:.{digits}g} {unit}", quantity)
