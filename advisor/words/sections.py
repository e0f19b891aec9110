"""What every answer is made of for a reader: titled blocks of lines, the result first, then what to do, then cautions.

The terminal, the printed page and the app show the same blocks, so that a sentence is written once.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar, Protocol

LIKELY = 0.60  # probability from which readers take a thing for likely (judgement)
WORDS = ((LIKELY, "likely"), (0.45, "as likely as not"), (0.0, "perhaps"))  # each from a probability on (judgement)


class Block(StrEnum):
    """Which block of an answer a section is, for those who show some of them elsewhere; its title may change."""

    FIRST = "first of all"
    RESULT = "result"
    STEPS = "steps"
    AFTERWARDS = "afterwards"
    NEXT_READING = "next reading"
    SLIPS = "slips"
    GRANTED = "taken for granted"
    SIDE_BY_SIDE = "side by side"
    CHOICES = "choices"
    FIRST_AID = "first aid"
    OTHER = "other"  # never asked for by itself


@dataclass(frozen=True)
class Section:
    """A titled block. numbered: the lines are steps to be done in order; caution: the block warns.

    lines: each a `lines.Line` where it says an amount, so that it can be shown in other units; else a plain text.
    beside: for each line the cautions of its acts, to be shown next to it; the block that warns has them too.
    """

    title: str
    lines: tuple[str, ...]
    numbered: bool = False
    caution: bool = False
    key: Block = Block.OTHER
    beside: tuple[tuple[str, ...], ...] = ()


class Answer(Protocol):
    """What every question is answered by."""

    TITLE: ClassVar[str]

    def sections(self) -> tuple[Section, ...]:
        """Return the answer for a reader."""

    def to_dict(self) -> dict[str, object]:
        """Return the answer for another program: plain values with their unit in the name."""


def percent(probability: float) -> str:
    """Write a probability, never as a certainty."""
    share = 100 * probability
    return "over 99 %" if share > 99 else "under 1 %" if share < 1 else f"{share:.0f} %"


def how_likely(probability: float) -> str:
    """Return the word for a probability, by the per cent that stand beside it."""
    return next(word for least, word in WORDS if round(100 * probability) >= 100 * least)
