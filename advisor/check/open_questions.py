"""The questions about a bath that its owner left open, and the sheet as it would be with the likeliest answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

from advisor.basis.units import Measured
from advisor.sheet import Sheet


class Question(NamedTuple):
    """What is asked of a bath. answer: the likeliest one, that nothing got in (judgement); why: to answer it at all."""

    asks: str
    answer: Any  # as the field of the bath holds it
    why: str


# Each with the likeliest answer (judgement).
QUESTIONS = {
    "soda_added": Question(
        "soda that went in",
        Measured(0.0, None, "g", "0 g"),
        "say whether soda ever went in to lower the acid, and how much: its sodium stays and reads as copper",
    ),
    "touched": Question(
        "what metal touched the bath",
        ("nothing",),
        "say which metals besides copper ever touched the bath: what dissolved of them reads as copper",
    ),
    "topped_up_with": Question(
        "the water for topping up",
        "distilled water",
        "say what you top up with: tap water leaves its salts behind, and they read as copper",
    ),
    "anodes": Question("the anodes", "copper", "say what your anodes are: they tell which form the iron is in"),
}


def unanswered(sheet: Sheet) -> tuple[str, ...]:
    """Return the questions of the bath that nobody has answered, as fields of it."""
    return tuple(question for question in QUESTIONS if getattr(sheet.bath, question) in (None, ()))


def answered_with_nothing(sheet: Sheet) -> Sheet:
    """Return the sheet as if each open question had its likeliest answer: that nothing got in."""
    answers = {question: QUESTIONS[question].answer for question in unanswered(sheet)}
    return replace(sheet, bath=replace(sheet.bath, **answers))
