"""Sheets that nobody meant to test: random baths, readings that contradict each other, odd stock, tanks and windows.

    python -m tests.benchmarks.hostile SECONDS [SEED]

Each sheet is drawn from its seed, so that one can be drawn again, and asked all questions, with nothing remembered from
the one before. What fails, says a number as no person writes it or takes longer than `MOST` is told at once, and the
slowest at the end; the exit code is 1 if there was any. Times are of the processor, as on a machine at the speed of
`YARD`: other work on the same cores may halve it within seconds. Not collected by pytest.
"""

import contextlib
import copy
import itertools
import json
import re
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from advisor import read_sheet
from advisor.__main__ import QUESTIONS, _function
from advisor.basis.fields import InputError
from advisor.sheet import CONDITIONS, GEAR, LOOKS, WINDOW_NAMES, Sheet
from tests.benchmarks.honesty import TEMPLATES

MOST = {"check": 0.5, "keep": 1.0}  # s of processor time for each question; others may take as long as a check
YARD = 0.0145  # s for the additions of `yard` on the machine that the figures are told for
LOOK_TWICE = 0.3  # s: what seems to take longer is timed again, and the least of three counts
UNREADABLE = re.compile(r"\d[eE][+-]?\d\d|-0\.0+ |\b(None|nan|inf)\b")
VARIED = ("used", "value", "after", "with_bath", "crystals", "copper_sulfate", "sulfuric_acid")
Raw = dict[str, Any]


def hostile(seed: int) -> Raw:
    """Return a bench sheet, not yet read; one that would be refused now and then."""
    chance = Chance(seed)
    volume = chance.of(0.3, 1.0, 5.6, 5.6, 40.0, 3000.0)  # L
    raw: Raw = {"bath": bath(chance, volume), "reading": readings(chance)}
    if chance.is_so(0.4):
        raw["window"] = chance.of({"name": chance.of(*WINDOW_NAMES)}, own_window(chance))
    if chance.is_so(0.5):
        raw["stock"] = stock(chance)
    if chance.is_so(0.5):
        raw["gear"] = {"have": chance.some(GEAR, 4)}
    if chance.is_so(0.5):
        raw["correction"] = {"aim": chance.of("least", "middle")}
    if chance.is_so(0.4):
        raw["deposit"] = {"looks": chance.some(LOOKS, 2), "where": chance.of("all over", "edges")}
    if chance.is_so(0.3):
        raw["keep"] = {"disposal_price": 2.5}
    if chance.is_so(0.5):
        raw["plate"] = {"area": chance.of("40 cm2", "2 cm2", "900 cm2"), "thickness": chance.of("50 um", "500 um")}
    return raw


class Chance:
    """Draws from a seed."""

    def __init__(self, seed: int) -> None:
        """Begin anew."""
        self.rng = np.random.default_rng(seed)

    def of(self, *these: Any) -> Any:
        """Return one of these."""
        return these[int(self.rng.integers(len(these)))]

    def some(self, these: Any, most: int) -> list[str]:
        """Return some of these names, no two the same."""
        return [str(name) for name in self.rng.choice(list(these), min(most, len(these)), replace=False)]

    def is_so(self, share: float) -> bool:
        """Return true in a share of all cases."""
        return bool(self.rng.random() < share)


def bath(chance: Chance, volume: float) -> Raw:
    """Return a bath of so many litres, with odd marks, colds and histories."""
    told: Raw = {"volume": f"{volume:g} L"}
    may: dict[str, tuple[float, Callable[[], Any]]] = {
        "usual_volume": (0.5, lambda: f"{volume * chance.of(0.7, 1, 1.05, 1.4):.4g} L"),
        "max_volume": (0.4, lambda: f"{volume * chance.of(0.95, 1, 1.1, 1.5, 3):.4g} L"),
        "coldest": (0.4, lambda: f"{chance.of(2, 5, 8, 15, 20)} degC"),
        "temperature": (0.4, lambda: f"{chance.of(8, 18, 25, 33)} degC"),
        "touched": (0.3, lambda: [chance.of("nothing", "steel", "brass")]),
        "soda_added": (0.3, lambda: chance.of("0 g", "50 g")),
        "topped_up_with": (0.3, lambda: chance.of("distilled water", "tap water")),
        "iron": (0.2, lambda: chance.of("3 g/L", "0.5 ± 0.2 g/L", "9 g/L")),
        "condition": (0.05, lambda: [chance.of(*CONDITIONS)]),
        "additives": (0.3, lambda: chance.is_so(0.5)),
        "age": (0.3, lambda: chance.of("2 months", "3 years")),
    }
    return told | {name: draw() for name, (share, draw) in may.items() if chance.is_so(share)}


def own_window(chance: Chance) -> Raw:
    """Return limits of one's own, narrow or wide, anywhere."""

    def between(low: float, high: float, step: float) -> list[str]:
        ends = np.sort(chance.rng.choice(np.arange(low, high, step), 2, replace=False))
        return [f"{end:g} g/L" for end in ends]

    return {"copper_sulfate": between(50, 320, 10), "sulfuric_acid": between(10, 250, 5)}


def stock(chance: Chance) -> Raw:
    """Return what is on hand: nothing, too little or plenty, of whatever strength."""
    crystals = {"on_hand": chance.of("0 g", "100 g", "5 kg"), "price": 9.0, "purity": chance.of("80 %", "99 %")}
    acid = {"on_hand": chance.of("0 mL", "50 mL", "3 L"), "strength": chance.of("37 %", "50 %", "96 %")}
    if chance.is_so(0.2):
        crystals["form"] = "anhydrous"
    return {name: told for name, told in (("crystals", crystals), ("acid", acid)) if chance.is_so(0.7)}


def readings(chance: Chance) -> list[Raw]:
    """Return up to sixty readings of a few kinds, which agree, hardly agree or contradict each other."""
    names = chance.some(TEMPLATES, chance.of(1, 2, 3, 3, 5, 16))
    spread, shift = chance.of(0.003, 0.03, 0.1, 0.3), chance.of(0.3, 0.7, 0.95, 1.0, 1.05, 1.3, 2.0)
    by_kind = {name: 1 + chance.of(0.0, 0.0, 0.05, 0.3) * chance.rng.standard_normal() for name in names}
    count = chance.of(0, 1, 2, 3, 5, 9, 20, 60)
    drawn = [names[at % len(names)] for at in range(count)]
    return [
        varied(TEMPLATES[name], shift * by_kind[name] * (1 + spread * chance.rng.standard_normal())) for name in drawn
    ]


def varied(template: Raw, factor: float) -> Raw:
    """Return a reading whose result is a factor times that of a usual one."""
    reading = copy.deepcopy(template)
    moved = {"after": f"{20 + 2.5 * abs(factor):.3f} g", "with_bath": f"{184.7 + 16.1 * factor:.3f} g"}
    if template["kind"] == "hydrometer":
        moved["value"] = f"{1 + 0.16 * factor:.4f}"
    for name in VARIED:
        if isinstance(reading.get(name), str):
            reading[name] = moved.get(name) or times(reading[name], factor)
    return reading


def times(text: str, factor: float) -> str:
    """Return a quantity as typed, times a factor."""
    number, *rest = text.split(" ")
    return " ".join([f"{float(number) * factor:.4g}", *rest])


def yard() -> float:
    """Return how long additions take now [s]."""
    begun, total = time.process_time(), 0
    for number in range(200_000):
        total += number * number % 7
    return time.process_time() - begun


def forget() -> None:
    """Forget whatever an earlier sheet left in mind."""
    for module in [module for name, module in sys.modules.items() if name.startswith("advisor.")]:
        for kept in vars(module).values():
            if hasattr(kept, "cache_clear") and kept.cache_parameters()["maxsize"] is not None:
                kept.cache_clear()


def took(ask: Callable[[Sheet], object], sheet: Sheet) -> float:
    """Return how long a question takes [s of processor time, as at the speed of `YARD`]."""
    forget()
    before, begun = yard(), time.process_time()
    with contextlib.suppress(InputError):  # a question that the sheet does not allow
        ask(sheet)
    return (time.process_time() - begun) * YARD / ((before + yard()) / 2)


def wrong_with(ask: Callable[[Sheet], Any], sheet: Sheet) -> str | None:
    """Return what is wrong with an answer: how it fails, or what it says that no person would."""
    try:
        answer = ask(sheet)
        json.dumps(answer.to_dict(), allow_nan=False)
    except InputError:
        return None
    except Exception:  # whatever it is, it is told
        return traceback.format_exc(limit=-2)
    said = "\n".join(str(line) for section in answer.sections() for line in section.lines)
    odd = UNREADABLE.search(said)
    return f"it says “{said[max(odd.start() - 30, 0) : odd.end() + 20]}”" if odd else None


def sheets(first: int, seconds: float) -> Iterator[tuple[int, Sheet]]:
    """Yield sheets that are accepted, with their seeds, for so long by the clock."""
    end = time.monotonic() + seconds
    for seed in itertools.count(first):
        if time.monotonic() > end:
            return
        try:
            yield seed, read_sheet(hostile(seed))
        except InputError:
            continue


def main(seconds: float, first: int = 0) -> int:
    """Ask about hostile sheets for so long; return 1 if any answer was wrong or took too long."""
    questions = {name: _function(words) for name, (words, _) in QUESTIONS.items()}
    faults, times_taken, asked = 0, [], set[int]()
    for seed, sheet in sheets(first, seconds):
        asked.add(seed)
        for name, ask in questions.items():
            wrong = wrong_with(ask, sheet)
            least = took(ask, sheet)
            if least > LOOK_TWICE:
                least = min(least, took(ask, sheet), took(ask, sheet))
            slow = least > MOST.get(name, MOST["check"])
            if wrong or slow:
                faults += 1
                print(f"{seed} {name}: {wrong or f'{least:.2f} s'}", flush=True)
            times_taken.append((least, seed, name))
    print(f"{len(asked)} sheets from seed {first}, {faults} faults; the slowest:")
    for least, seed, name in sorted(times_taken, reverse=True)[:10]:
        print(f"{least:.2f} s {name}, seed {seed}")
    return int(faults > 0)


if __name__ == "__main__":
    sys.exit(main(float(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0))
