"""What every answer is made of for a reader: titled blocks of lines, the result first, then what to do, then cautions.

The terminal, the printed page and the app show the same blocks, so that a sentence is written once.
"""

from dataclasses import dataclass
from enum import StrEnum

from advisor.basis.units import COVERAGE


class Block(StrEnum):
    """Which block of an answer a section is, for those who show some of them elsewhere; its title may change."""

    FIRST = "first of all"
    RESULT = "result"
    STEPS = "steps"
    AFTERWARDS = "afterwards"
    NEXT_READING = "next reading"
    CHOICES = "choices"
    OTHER = "other"  # that nobody asks for by itself


@dataclass(frozen=True)
class Section:
    """A titled block. numbered: the lines are steps to be done in order; caution: the block warns."""

    title: str
    lines: tuple[str, ...]
    numbered: bool = False
    caution: bool = False
    key: Block = Block.OTHER


def plus_minus(value: float, standard_uncertainty: float, unit: str) -> str:
    """Write a value with its 95 % half-width, both rounded to what the uncertainty allows: "213 ± 9 g/L"."""
    half = COVERAGE * standard_uncertainty
    digits = decimals(half)
    return f"{round(value, digits) + 0.0:.{max(digits, 0)}f} ± {round(half, digits):.{max(digits, 0)}f} {unit}"


def percent(probability: float) -> str:
    """Write a probability, never as a certainty."""
    share = 100 * probability
    return "over 99 %" if share > 99 else "under 1 %" if share < 1 else f"{share:.0f} %"


def decimals(uncertainty: float) -> int:
    """Return the decimals that an uncertainty leaves meaningful: one digit of it, two where that digit is 1."""
    if not uncertainty > 0:
        return 2
    exponent = int(f"{uncertainty:e}".split("e")[1])
    leading = int(f"{uncertainty:e}"[0])
    return min(-exponent + (1 if leading == 1 else 0), 6)
