"""A keeper of the bath: doses, filters, carbon, parts and anodes on the scale; a run that nobody wrote down.

The cathode deposits less than its charge could (hydrogen), some of what leaves the anodes falls to the floor, a filter
and carbon keep bath back, and a dose brings water and chloride. All shares and amounts are judgement.
"""

from dataclasses import dataclass, field

import numpy as np

from advisor.record.balance import KEPT_BACK
from advisor.record.entries import (
    AdditiveDose,
    AdditiveRule,
    AnodesWeighed,
    CarbonTreatment,
    Check,
    ChlorideAdded,
    Entry,
    Filtered,
    RunDone,
    TakenOut,
)
from advisor.record.runs import Feed, deposit_of, feeds
from tests.benchmarks.years.life import INSIDE_95, POURED, Life, typed
from tests.benchmarks.years.tank import COPPER_PER_AMPERE_HOUR

DISPLAY, DISPLAY_EACH = 0.025, 0.01  # relative errors of ampere-hours: the display's, and how they were read
RUN_DAYS = (1, 3, 4, 6)  # of the week
FORGOTTEN = 1 / 25  # of the runs
SCALE, ANODE_SCALE = 0.01, 1.0  # g: last digits of the scales
FILTER_EVERY = 28  # days
SILVER, SILVER_END, SILVER_EACH, SAMPLE = 0.02, 0.02, 0.05, 0.05  # relative: bottle, end point; mL; L
CHLORIDE_SALT = 16.5 * 35.453 / 58.443  # g/L, of 16.5 g of table salt in a litre, as the card has it
SYRINGE_DOSE = 0.02
FLOATS_HIGH = 0.004  # g/mL, at most: additives lower the surface tension


@dataclass
class Habits:
    """What stays the same of one keeper."""

    efficiency: float  # of the cathode
    sludge: float  # of what leaves the anodes
    per_ampere_hour: float  # mL
    per_litre: float  # mL
    bottle: float  # chloride in it [g/L]
    knows_bottle: bool
    carbon_day: int

    @classmethod
    def drawn(cls, rng: np.random.Generator, days: int) -> "Habits":
        return cls(
            float(rng.uniform(0.94, 1.0)),
            float(rng.uniform(0.0, 0.01)),
            float(rng.uniform(0.2, 1.0)),
            float(rng.uniform(3.0, 8.0)),
            float(rng.uniform(0.0, 2.0)),
            bool(rng.integers(2)),
            int(rng.uniform(0.3, 0.8) * days),
        )


@dataclass
class Keeper(Life):
    """A life whose owner keeps the bath. since_weighed: g, what truly left the anodes as copper ions and was deposited."""

    habits: Habits = field(default_factory=lambda: Habits.drawn(np.random.default_rng(0), 365))
    hang: float = 1500.0  # g of anodes
    since_weighed: np.ndarray = field(default_factory=lambda: np.zeros(2))
    forgot: bool = False

    def begin(self) -> None:
        """Write the label's rule down, hang the anodes, and dose the fresh bath."""
        habits = self.habits
        self.tank.chloride = float(self.hands.rng.uniform(50, 80)) * self.usual
        rule = {"per_ampere_hour": habits.per_ampere_hour, "per_litre": habits.per_litre}
        self.log(AdditiveRule("brightener", **{name: typed(dose, "mL", "volume") for name, dose in rule.items()}))
        self.weigh_anodes()

    def live_a_day(self, into: int) -> None:
        """Live a day as all do; run in place of the weekly charge, filter, treat with carbon."""
        dissolved = self.lost[2]
        super().live_a_day(into)
        self.leave_anodes(self.lost[2] - dissolved)
        self.day = into + 0.6
        if into % 7 in RUN_DAYS and self.now["weekly"]:
            self.run(self.now["weekly"] / len(RUN_DAYS) * float(self.hands.rng.uniform(0.5, 1.5)))
        if into % 7 == 0:
            self.dose(self.habits.per_ampere_hour * self.now["weekly"])
        if into % FILTER_EVERY == FILTER_EVERY - 1:
            self.keep_back(Filtered.kind)
            self.log(Filtered(through="cartridge"))
        if into == self.habits.carbon_day:
            self.treat_with_carbon()
        self.day = into + 0.9

    def plate(self, charge: float) -> None:
        """Nothing at once: the charge of the week goes in runs."""

    def keep_back(self, kind: str) -> None:
        """Lose what a filter or carbon keeps back; water for it comes with the next topping up."""
        usual, spread = KEPT_BACK[kind]
        self.tank.lose(max(usual + self.hands.each(spread), 0.0) * self.tank.litres)

    def leave_anodes(self, copper: float) -> None:
        """Let copper go into the bath, and some to the floor [g]."""
        self.hang -= copper / (1 - self.habits.sludge)
        self.since_weighed[0] += copper

    # --- Runs and the scale ---

    def run(self, charge: float) -> None:
        """Plate a part; its charge is read off a display, its mass off a scale where it is weighed."""
        rng, copper = self.hands.rng, charge * COPPER_PER_AMPERE_HOUR
        efficiency = min(self.habits.efficiency + self.hands.each(0.005), 1.0)
        deposited = copper * efficiency
        fed = 0.0 if self.trouble.inert else copper * (1 - self.now["starved"])
        self.tank.dissolve(fed - deposited)
        self.lost[2] += fed - deposited
        self.leave_anodes(fed)
        self.since_weighed[1] += deposited
        if rng.uniform() < FORGOTTEN:
            self.forgot = True
            return
        shown = charge * (1 + self.display + self.hands.each(DISPLAY_EACH))
        masses = {}
        if rng.uniform() < self.trouble.weighs_parts:
            before = float(rng.uniform(5, 60))
            masses = {
                "part_before": self.on_scale(before, SCALE),
                "part_after": self.on_scale(before + deposited, SCALE),
            }
        run = RunDone(charge=typed(shown, "A*h", "charge"), **masses)
        self.log(run)
        told = deposit_of(run)
        if told.efficiency:
            self.scores.append(("efficiency", _miss(told.efficiency, efficiency)))

    @property
    def display(self) -> float:
        """Error of the display, the same all the time."""
        return self.hands.kept.setdefault("display", self.hands.each(DISPLAY))

    def on_scale(self, grams: float, digit: float) -> object:
        """Return a mass as it is read: a digit off either way."""
        read = round((grams + self.hands.rng.uniform(-digit, digit)) / digit) * digit
        return typed(read, "g", "mass", digits=7)

    def weigh_anodes(self) -> None:
        """Weigh the anodes, where this keeper does, and hold what they tell against what was."""
        if not self.trouble.weighs_anodes:
            return
        self.log(AnodesWeighed(self.on_scale(self.hang, ANODE_SCALE)))
        told: tuple[Feed, ...] = feeds(self.entries)
        if told:
            fed, deposited = self.since_weighed
            which = ", a run missing" if self.forgot else ""
            self.scores.append((f"net of anodes{which}", _miss(told[-1].net, fed - deposited)))
        self.since_weighed[:], self.forgot = 0, False

    def check(self, judged: bool) -> tuple[float, float]:
        """Weigh the anodes and draw the sample of chloride; then check."""
        if judged:
            self.weigh_anodes()
        content = TakenOut(volume=typed(SAMPLE, "L", "volume"), why="sampled")
        self.tank.lose(SAMPLE * (1 + self.hands.each(POURED)))
        self.log(content)
        return super().check(judged)

    # --- What goes in besides ---

    def dose(self, millilitres: float) -> None:
        """Give a dose: water and chloride to the balance."""
        label = typed(self.habits.bottle, "g/L", "content") if self.habits.knows_bottle else None
        content = AdditiveDose(typed(millilitres, "mL", "volume"), "brightener", label)
        litres = content.volume.value * (1 + self.hands.each(SYRINGE_DOSE))
        self.tank.add_water(litres, 1000 * self.habits.bottle * litres)
        self.log(content)

    def treat_with_carbon(self) -> None:
        """Treat with carbon, which keeps bath back; top up, and dose the whole bath anew."""
        self.keep_back(CarbonTreatment.kind)
        self.log(CarbonTreatment(typed(4 * self.usual, "g", "mass")))
        self.top_up()
        self.dose(self.habits.per_litre * self.usual)

    def add_chloride(self, milligrams: float) -> None:
        """Add table salt in water."""
        content = ChlorideAdded(volume=typed(milligrams / CHLORIDE_SALT, "mL", "volume"))
        litres = content.volume.value * (1 + self.hands.each(SYRINGE_DOSE))
        self.tank.add_water(litres, 1000 * CHLORIDE_SALT * litres)
        self.log(content)

    def readings(self, level: float) -> list[dict[str, object]]:
        """Return what is typed of a check, with a chloride titration."""
        held = self.tank.chloride / self.tank.litres
        strength = 0.01 * (1 + self.hands.error("silver", SILVER)) / (1 + self.hands.error("end of silver", SILVER_END))
        used = held * 1000 * SAMPLE / 35453 / strength + self.hands.each(SILVER_EACH)
        silver = {
            "kind": "chloride titration", "sample": f"{1000 * SAMPLE:.0f} ± {INSIDE_95 * 0.3:.2f} mL",
            "strength": f"0.01 ± {INSIDE_95 * SILVER * 0.01:.5f} mol/L", "used": f"{used:.2f} mL",
            "end_point": "silver wire",
        }  # fmt: skip
        return [*super().readings(level), silver]

    def float_error(self) -> float:
        """Return what additives do to how the hydrometer floats [g/mL], the same all the time."""
        return self.hands.kept.setdefault("surface", float(self.hands.rng.uniform(0.0, FLOATS_HIGH)))

    def correct_chloride(self) -> None:
        """Add chloride where the last check found little."""
        found = self.entries[-1] if self.entries else None
        value = _chloride(found)
        if value is not None and value < 45:
            self.add_chloride((65 - value) * self.usual)


def _chloride(entry: Entry | None) -> float | None:
    value = entry.content.value("chloride") if entry and isinstance(entry.content, Check) else None
    return value.value if value else None


def _miss(told: tuple[float, float], true: float) -> float:
    return (told[0] - true) / told[1]
