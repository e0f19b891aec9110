"""Where a test makes one wait, and how long: what the card says in words, for a clock to run by."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.bench.cards import BenchCard


@dataclass(frozen=True)
class Wait:
    """What is waited for, how long [s], and what the card must hold for it (see `BenchCard.holds`); empty: any."""

    what: str
    seconds: float
    only_if: str = ""


# As the cards say (`bench_cards.csv`), by the kind of reading; judgement where a card gives no source.
WAITS: dict[str, tuple[Wait, ...]] = {
    "sampling": (Wait("Stir", 600.0), Wait("Let it settle", 1800.0)),
    "acid titration": (
        Wait("Does the cloud stay?", 30.0, "first lasting cloud"),
        Wait("Is the meter steady?", 30.0, "pH meter"),
    ),
    "copper titration": (Wait("In the dark", 120.0, "iodometric"),),
    "cemented copper": (Wait("Until the blue is gone", 3600.0),),
    "chloride titration": (Wait("Let the cloud settle", 60.0),),
    "chloride ladder": (Wait("Before you compare", 300.0),),
    "thinned pH": (Wait("Until the pen stands still", 60.0),),
    "hull cell": (Wait("Plate the panel", 600.0),),
}


def waits(card: BenchCard) -> tuple[Wait, ...]:
    """Return where the test of a card makes one wait, in the order of its steps."""
    planned = (Wait("Plate it out", 3600.0 * card.hours),) if card.hours else ()
    return planned + tuple(wait for wait in WAITS.get(card.kind, ()) if not wait.only_if or wait.only_if in card.holds)
