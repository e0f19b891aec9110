"""The questions about a bath that its owner left open, and the sheet as it would be with the likeliest answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.basis.units import Measured
from advisor.sheet import Sheet

# The answer that nothing got in, and why to give one.
# Judgement.
QUESTIONS: dict[str, tuple[Any, str]] = {
    "soda_added": (
        Measured(0.0, None, "g", "0 g"),
        "say whether soda ever went in to lower the acid, and how much: its sodium stays and reads as copper",
    ),
    "touched": (
        ("nothing",),
        "say which metals besides copper ever touched the bath: what dissolved of them reads as copper",
    ),
    "topped_up_with": (
        "distilled water",
        "say what you top up with: tap water leaves its salts behind, and they read as copper",
    ),
    "anodes": ("copper", "say what your anodes are: they tell which form the iron is in"),
}


def unanswered(sheet: Sheet) -> tuple[str, ...]:
    """Return the questions of the bath that nobody has answered, as fields of it."""
    return tuple(question for question in QUESTIONS if getattr(sheet.bath, question) in (None, ()))


def answered_with_nothing(sheet: Sheet) -> Sheet:
    """Return the sheet as if each open question had its likeliest answer: that nothing got in."""
    answers = {question: QUESTIONS[question][0] for question in unanswered(sheet)}
    return replace(sheet, bath=replace(sheet.bath, **answers))
