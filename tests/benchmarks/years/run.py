"""Many lives: each lived once, its line kept in a file, and the share of what came true."""

import itertools
import json
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from advisor.record.entries import AnodeChange
from tests.benchmarks.years.keeper import Habits, Keeper
from tests.benchmarks.years.life import INSIDE_95, MORE, REGIMES, SHORT, TROUBLES, Hands, Life, Trouble
from tests.benchmarks.years.tank import Tank, filled


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
    life = lived_by(trouble, Hands(rng, regime), tank, rates)
    if trouble.inert:
        life.log(AnodeChange(anodes="inert"))
    life.begin()
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


def lived_by(trouble: Trouble, hands: Hands, tank: Tank, rates: dict[str, float]) -> Life:
    """Return the life of a bath that was filled up to its usual level."""
    usual = round(tank.litres, 1)
    if trouble.keeps:
        return Keeper(trouble, hands, tank, usual, rates, habits=Habits.drawn(hands.rng, trouble.days))
    return Life(trouble, hands, tank, usual, rates)


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
    life.correct_chloride()


def wanted(baths: int, kinds: Sequence[str] = tuple(TROUBLES)) -> Iterator[tuple[str, str, int]]:
    """Return all lives to be lived, each kind and regime in turn."""
    for turn in range(baths):
        for kind, regime in itertools.product(kinds, REGIMES):
            each = MORE if kind in SHORT else 1
            yield from ((kind, regime, number) for number in range(turn * each, (turn + 1) * each))


def run(state: Path, baths: int, seconds: float, kinds: Sequence[str] = tuple(TROUBLES)) -> list[dict[str, object]]:
    """Live what is not in the state file yet, until the time is over; return all that is there."""
    lines = state.read_text("utf-8").splitlines() if state.exists() else []
    results = [json.loads(line) for line in lines]
    done = {(one["kind"], one["regime"], one["number"]) for one in results}
    end = time.monotonic() + seconds
    with state.open("a", encoding="utf-8") as file:
        for kind, regime, number in wanted(baths, kinds):
            if (kind, regime, number) in done:
                continue
            if time.monotonic() > end:
                break
            results.append(live(kind, regime, number))
            file.write(json.dumps(results[-1]) + "\n")
            file.flush()
    return results


LEAN = ("carried copper_sulfate", "carried sulfuric_acid")
SAID = ("flagged", "certain and wrong")


def table(results: list[dict[str, object]]) -> str:
    """Return the share of intervals that held, by kind of trouble and regime, and what was said at the end."""
    heads = {
        "check P": "check copper_sulfate", "A": "check sulfuric_acid", "Cl": "check chloride",
        "carried P": "carried copper_sulfate", "carried A": "carried sulfuric_acid", "carried Cl": "carried chloride",
        "evaporation": "cause evaporation", "lost": "cause lost bath", "copper": "cause copper",
        "certain causes": "certain cause", "efficiency": "efficiency", "anodes": "net of anodes",
        "anodes, a run missing": "net of anodes, a run missing",
    }  # fmt: skip
    columns = [*heads, "(lean P", "A)", "flagged", "certain, wrong"]
    lines = [f"| trouble | errors | pairs | {' | '.join(columns)} |", f"|---|---|{'---|' * (len(columns) + 1)}"]
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
            held = [
                f"{100 * np.mean(np.abs(scores[name]) < INSIDE_95):.1f}" if scores[name] else "–"
                for name in heads.values()
            ]
            lean = [f"{np.mean(scores[name]):+.2f}" if scores[name] else "–" for name in LEAN]
            said = [np.mean([bool(one["said"].get(name)) for one in lives]) for name in SAID]  # type: ignore[attr-defined]
            cells = [*held, *lean, *(f"{share:.2f}" for share in said)]
            pairs = len(scores["cause copper"])
            lines.append(f"| {kind} | {regime} | {pairs} | {' | '.join(cells)} |")
    return "\n".join(lines)
