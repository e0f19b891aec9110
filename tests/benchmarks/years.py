"""Whether the record is honest: two years of bath life in eight kinds of trouble, by a mass balance of its own.

    python -m tests.benchmarks.years STATE.jsonl [--baths N] [--seconds S]

A tank loses water, drips and idle copper day by day; its owner plates, tops up, corrects, writes it down and checks every
three weeks. No rate stays as it is: each is another from one check to the next. Asked is how often the 95 % intervals
hold the truth, of what is carried and of where the losses went, and what is said of a check that is wrong or of a log
that is not complete. Each bath is one line of the state file, so that a run can be ended and gone on with. The balance, the
densities (read off the CRC's rows) and the owner's hands are written here; of the tool only its own answers are used.
Not collected by pytest; a small fixed part of it is in `tests/record/test_years.py`.
"""

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is imported: one core

import argparse
import datetime
import itertools
import json
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from advisor.basis.units import Measured, parse
from advisor.check.assessment import assess
from advisor.record.account import where_it_went
from advisor.record.carried import carry_forward
from advisor.record.drift import Explanation, NotEnoughKnown
from advisor.record.entries import AcidAdded as Acid
from advisor.record.entries import AnodeChange, Check, CrystalsAdded, Entry, RunDone, TakenOut, WaterAdded
from advisor.sheet import parse_sheet, read_sheet, write_sheet
from advisor.solution.equilibrium import Flask, titrant_volume_at_pH

START = datetime.datetime(2024, 1, 1, 8, tzinfo=datetime.UTC)
INSIDE_95 = 1.959964  # standard uncertainties
WATER = 0.9982071  # g/mL at 20 degC, air-free (CRC Handbook)
CU, CRYSTAL, SULFURIC, H2O = 63.546, 249.68, 98.07, 18.015  # g/mol
COPPER_PER_AMPERE_HOUR = 3600 * CU / 2 / 96485.33  # g
WATER_PER_COPPER = (5 - 1) * H2O / CU  # g that 2 Cu + O2 + 2 H2SO4 -> 2 CuSO4.5H2O takes, less what it makes
# Volume [mL] that P g/L of crystals and A g/L of acid take up in a litre: a·P + b·P² + c·A + d·A² + e·P·A, fitted to the
# densities of `bench.liquid`, which are read off the CRC's rows; within 0.5 mL/L for 120-280 and 20-110 g/L.
TAKES_UP = (0.35625, 1.0449e-4, 0.37819, 5.781e-5, 9.474e-5)
SOLIDS_TAKE_UP = 0.09  # mL a gram of iron(II) sulfate (bench: it adds 0.92 mg/mL a g/L)

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


SEVEN = 6 * 21
TROUBLES = {
    "ordinary": Trouble(),
    "evaporation": Trouble(evaporation=(0.12, 0.25), interval=56),
    "drag-out": Trouble(lost=(0.008, 0.03)),
    "idle anodes": Trouble(idle=(0.02, 0.035), weekly=(0.0, 0.0)),
    "inert anodes": Trouble(weekly=(5.0, 10.0), inert=True),
    "400 days": Trouble(evaporation=(0.02, 0.04), lost=(0.0, 0.03), interval=400, days=400),
    "bad check": Trouble(days=SEVEN, wrong="acid"),
    "incomplete log": Trouble(days=SEVEN, wrong="log"),
}
SHORT = ("400 days", "bad check", "incomplete log")  # of which more baths are drawn, since each has one pair to judge
MORE = 6
# Where all errors are new, each check stands alone; with one bottle it takes what was carried as one reading more. Who
# types ± knows these hands, so that only the record is judged; who names the syringe is taken at its tolerance, which is
# that of a standard, and wider.
TYPED, NAMED, ONE_BOTTLE = REGIMES = ("new errors, ± typed", "new errors, tools named", "one bottle throughout")


# --- The tank -------------------------------------------------------------------------------------


@dataclass
class Tank:
    """Grams in the tank. litres: at 20 degC, by this module's own volumes."""

    salt: float
    acid: float
    solids: float
    water: float

    @property
    def litres(self) -> float:
        a, b, c, d, e = TAKES_UP
        litres = (self.water / WATER + 0.38 * (self.salt + self.acid)) / 1000
        for _ in range(4):
            p, s = self.salt / litres, self.acid / litres
            up = a * p + b * p * p + c * s + d * s * s + e * p * s + SOLIDS_TAKE_UP * self.solids / litres
            litres = (self.water / WATER + up * litres) / 1000
        return litres

    def lose(self, litres: float) -> None:
        """Let bath leave, as it is."""
        left = 1 - litres / self.litres
        self.salt, self.acid, self.solids, self.water = (
            left * part for part in (self.salt, self.acid, self.solids, self.water)
        )

    def dissolve(self, copper: float) -> None:
        """Dissolve grams of copper with air; below zero: plate them, with oxygen at the anode."""
        self.salt += copper * CRYSTAL / CU
        self.acid -= copper * SULFURIC / CU
        self.water -= copper * WATER_PER_COPPER

    def density(self) -> float:
        """Density [g/mL] at 20 degC."""
        return (self.salt + self.acid + self.solids + self.water) / self.litres / 1000


def filled(copper_sulfate: float, acid: float, litres: float) -> Tank:
    """Return a tank with a bath of these concentrations [g/L]."""
    tank = Tank(copper_sulfate * litres, acid * litres, 0.5 * litres, 850.0 * litres)
    for _ in range(20):
        tank.water += (litres - tank.litres) * 1000 * WATER
    return tank


# --- The owner ------------------------------------------------------------------------------------


@dataclass
class Hands:
    """Errors that stay: of the bottle, the syringe, the eye, the hydrometer, the tank's marks, the stock."""

    rng: np.random.Generator
    regime: str
    kept: dict[str, float] = field(default_factory=dict)

    def error(self, source: str, size: float) -> float:
        """Return the error of a source, the same every time where it stays."""
        stays = self.regime == ONE_BOTTLE or source in ("tank", "purity", "strength")
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
        if not self.trouble.inert:
            self.lost[2] -= short
        self.log(RunDone(charge=_typed(charge, "A*h", "charge")))

    def top_up(self) -> None:
        missing = self.usual - self.read_level()
        if missing > 0.02 * self.usual:
            self.add_water(missing)

    def add_water(self, litres: float) -> None:
        content = WaterAdded(volume=_typed(litres, "L", "volume"))
        self.tank.water += content.volume.value * (1 + self.hands.each(POURED)) * 1000 * WATER
        self.log(content)

    def add_crystals(self, grams: float, written: bool = True) -> None:
        content = CrystalsAdded(mass=_typed(grams, "g", "mass"))
        true = content.mass.value * (1 + self.hands.each(WEIGHED))
        pure = 0.99 * (1 + self.hands.error("purity", PURITY))
        self.tank.salt += true * pure
        self.tank.water += true * (1 - pure)
        if written:
            self.log(content)

    def add_acid(self, grams: float) -> None:
        millilitres = grams / 0.37 / 1.2769  # battery acid; CRC, between its rows
        content = Acid(volume=_typed(millilitres, "mL", "volume"), strength=parse("37 %", "fraction"))
        true = content.volume.value * 1000 * 1.2769 * (1 + self.hands.each(POURED))
        strength = 0.37 * (1 + self.hands.error("strength", STRENGTH))
        self.tank.acid += true * strength
        self.tank.water += true * (1 - strength)
        self.log(content)

    def take_out(self, litres: float, written: bool = True) -> None:
        content = TakenOut(volume=_typed(litres, "L", "volume"))
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
            "name": "a", "volume": f"{level:.3f} L", "usual_volume": f"{self.usual} L", "additives": False,
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
                "chloride_mg_L": None,
                "volume_L": estimate.volume_L,
                "correlation": estimate.correlation("copper_sulfate", "sulfuric_acid"),
            },
            "verdict": {
                name: {"limits": list(verdict.limits)} for name, verdict in found.verdict.items() if verdict.limits
            },
        }
        litres = self.tank.litres
        for name, grams in (("copper_sulfate", self.tank.salt), ("sulfuric_acid", self.tank.acid)):
            value, spread = estimate.of(name)
            self.scores.append((f"check {name}", (value - grams / litres) / spread))
        self.log(Check(write_sheet(sheet), advice))
        if judged:
            self.score_causes()
        self.lost[:] = 0
        return estimate.value("copper_sulfate"), estimate.value("sulfuric_acid")

    def score_carried(self, carried: object) -> None:
        """Compare what is carried with the grams in the tank, on the scale of its marks."""
        marks = 1 + self.hands.error("tank", TANK)
        for name, grams in (("copper_sulfate", self.tank.salt), ("sulfuric_acid", self.tank.acid)):
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
        for name, true in zip(names, self.lost, strict=True):
            amount = found.causes[name]
            held[name] = amount.low <= true <= amount.high
            self.scores.append((f"cause {name}", 0.0 if held[name] else 9.0))
        certain = certain_causes(found)
        self.said["flagged"] = bool(getattr(found, "doubts", found.unlogged))
        self.said["certain and wrong"] = any(not held[name] for name in certain)


def certain_causes(found: Explanation) -> tuple[str, ...]:
    """Return the causes that are stated as certain."""
    if hasattr(found, "certain"):
        return tuple(found.certain())
    return tuple(name for name, amount in found.causes.items() if amount.shown)


def _typed(value: float, unit: str, quantity: str) -> Measured:
    return parse(f"{value:.4g} {unit}", quantity)


# --- A life ---------------------------------------------------------------------------------------


def live(kind: str, regime: str, number: int) -> dict[str, object]:
    """Return what came true in one bath's life: misses in standard uncertainties, and what was said at the end."""
    trouble = TROUBLES[kind]
    # No hash: the same bath every time.
    rng = np.random.default_rng([2026, list(TROUBLES).index(kind), REGIMES.index(regime), number])
    usual = float(np.round(rng.uniform(5, 10), 1))
    tank = filled(rng.uniform(190, 235), rng.uniform(50, 75), usual)
    names = ("evaporation", "lost", "idle", "starved", "weekly", "dirt")
    rates = {name: float(rng.uniform(*getattr(trouble, name))) for name in names}
    tank.solids = 180 * rates["dirt"] * usual  # the bath is half a year old
    life = Life(trouble, Hands(rng, regime), tank, usual, rates)
    if trouble.inert:
        life.log(AnodeChange(anodes="inert"))
    single = bool(trouble.wrong) or kind == "400 days"
    life.check(False)
    life.change_rates()
    for into in range(1, trouble.days + 1):
        last = into > trouble.days - trouble.interval
        life.live_a_day(into)
        if last and trouble.wrong == "log" and into == trouble.days - 9:
            forget(life, number)
        if into % trouble.interval == 0:
            if trouble.wrong == "acid" and into == trouble.days:
                spoil(life)
            salt, acid = life.check(not trouble.wrong or into == trouble.days)
            correct(life, salt, acid)
            life.change_rates()
            if single and into == trouble.days:
                break
    return {"kind": kind, "regime": regime, "number": number, "scores": life.scores, "said": life.said}


def forget(life: Life, number: int) -> None:
    """Do something and not write it down, or write it down wrong."""
    if number % 2:
        life.add_crystals(250.0, written=False)
    else:
        life.take_out(0.12 * life.usual, written=False)


def spoil(life: Life) -> None:
    """Let the next titration read a fifth too low."""
    readings = life.readings

    def wrong(level: float) -> list[dict[str, object]]:
        titration, hydrometer = readings(level)
        used = float(str(titration["used"]).split()[0])
        return [titration | {"used": f"{0.8 * used:.2f} mL"}, hydrometer]

    life.readings = wrong  # type: ignore[method-assign]


def correct(life: Life, salt: float, acid: float) -> None:
    """Bring a bath back that has left its window."""
    if salt < 195:
        life.add_crystals((215 - salt) * life.usual)
    if acid < 42:
        life.add_acid((58 - acid) * life.usual)
    if salt > 245 or acid > 78:
        life.take_out(0.12 * life.usual)
        life.add_water(0.12 * life.usual)


# --- Many lives -----------------------------------------------------------------------------------


def wanted(baths: int) -> Iterator[tuple[str, str, int]]:
    """Return all lives to be lived, each kind and regime in turn."""
    for turn in range(baths):
        for kind, regime in itertools.product(TROUBLES, REGIMES):
            each = MORE if kind in SHORT else 1
            yield from ((kind, regime, number) for number in range(turn * each, (turn + 1) * each))


def run(state: Path, baths: int, seconds: float) -> list[dict[str, object]]:
    """Live what is not in the state file yet, until the time is over; return all that is there."""
    lines = state.read_text("utf-8").splitlines() if state.exists() else []
    results = [json.loads(line) for line in lines]
    done = {(one["kind"], one["regime"], one["number"]) for one in results}
    end = time.monotonic() + seconds
    with state.open("a", encoding="utf-8") as file:
        for kind, regime, number in wanted(baths):
            if (kind, regime, number) in done:
                continue
            if time.monotonic() > end:
                break
            results.append(live(kind, regime, number))
            file.write(json.dumps(results[-1]) + "\n")
            file.flush()
    return results


def table(results: list[dict[str, object]]) -> str:
    """Return the share of intervals that held, by kind of trouble and regime, and what was said at the end."""
    names = ("check copper_sulfate", "check sulfuric_acid", "carried copper_sulfate", "carried sulfuric_acid",
             "cause evaporation", "cause lost bath", "cause copper")  # fmt: skip
    heads = (
        "check P",
        "A",
        "carried P",
        "A",
        "(lean P",
        "A)",
        "evaporation",
        "lost",
        "copper",
        "flagged",
        "certain, wrong",
    )
    lines = [f"| trouble | errors | pairs | {' | '.join(heads)} |", f"|---|---|{'---|' * (len(heads) + 1)}"]
    grouped: dict[tuple[str, str], list[dict[str, object]]] = defaultdict(list)
    for one in results:
        grouped[one["kind"], one["regime"]].append(one)  # type: ignore[index]
    for regime in REGIMES:
        for kind in [*TROUBLES, "all"]:
            lives = [one for (k, r), ones in grouped.items() if r == regime and kind in (k, "all") for one in ones]
            if kind == "all":
                lives = [one for one in lives if not TROUBLES[str(one["kind"])].wrong]
            scores: dict[str, list[float]] = defaultdict(list)
            for one in lives:
                for name, miss in one["scores"]:  # type: ignore[attr-defined]
                    scores[name].append(miss)
            if not lives:
                continue
            held = [f"{np.mean(np.abs(scores[name]) < INSIDE_95):.3f}" if scores[name] else "–" for name in names]
            lean = [f"{np.mean(scores[name]):+.2f}" if scores[name] else "–" for name in names[2:4]]
            said = [
                np.mean([bool(one["said"].get(name)) for one in lives]) for name in ("flagged", "certain and wrong")
            ]  # type: ignore[attr-defined]
            cells = [*held[:4], *lean, *held[4:], *(f"{share:.2f}" for share in said)]
            lines.append(f"| {kind} | {regime} | {len(scores[names[4]])} | {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.years", description=__doc__)
    parser.add_argument("state", type=Path, help="file that keeps what came true, a line a bath (JSON)")
    parser.add_argument(
        "--baths", type=int, default=10, help="of each kind and regime; six times as many of short ones"
    )
    parser.add_argument("--seconds", type=float, default=3600.0, help="stop after this time, to go on another day")
    given = parser.parse_args()
    print(table(run(given.state, given.baths, given.seconds)))


if __name__ == "__main__":
    main()
