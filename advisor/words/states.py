"""The eight states of an answer about a bath: a closed list, and what each says in a word and in a sentence.

Which one applies is decided in `check/decision.py`; pages and paper take the words from here.
"""

from __future__ import annotations

from enum import StrEnum


class PlanState(StrEnum):
    """What kind of answer the person gets. Steps stand in POSSIBLE, FIRST_PART, and TOO_COLD where water will do."""

    NONE_NEEDED = "none needed"
    MEASURE_FIRST = "measure first"
    POSSIBLE = "possible"
    FIRST_PART = "first part"
    REPEAT_FIRST = "repeat first"
    WRONG_WINDOW = "wrong window"
    TOO_COLD = "too cold"
    NOT_POSSIBLE = "not possible"


# In a word or two, for a badge or a heading.
BRIEF: dict[str, str] = {
    PlanState.NONE_NEEDED: "Nothing to do",
    PlanState.MEASURE_FIRST: "Measure first",
    PlanState.POSSIBLE: "Correct it",
    PlanState.FIRST_PART: "Only a first part",
    PlanState.REPEAT_FIRST: "Repeat first",
    PlanState.WRONG_WINDOW: "Another window?",
    PlanState.TOO_COLD: "Too cold",
    PlanState.NOT_POSSIBLE: "Not as things stand",
}


def brief(state: str) -> str:
    """Say in a word or two a state as a record keeps it."""
    return BRIEF.get(state, state)


# In a sentence; what it rests on in this bath follows it.
SENTENCES: dict[str, str] = {
    PlanState.NONE_NEEDED: "Nothing: the bath is inside the window and the level is right.",
    PlanState.MEASURE_FIRST: "Add nothing yet: what you have measured does not say enough.",
    PlanState.POSSIBLE: "These steps bring the bath inside the window.",
    PlanState.FIRST_PART: "This is only a first part: measure again before you add more.",
    PlanState.REPEAT_FIRST: "Take nothing out and add nothing yet: first make sure of the reading that this rests on.",
    PlanState.WRONG_WINDOW: "Take nothing out yet: the bath sits in another window than the one you chose.",
    PlanState.TOO_COLD: "The bath is inside the window, but too strong for the cold it stands in.",
    PlanState.NOT_POSSIBLE: "Add nothing: it cannot be put right as things stand.",
}


def as_said(state: str, has_steps: bool) -> str:
    """Return the state to be shown: a first part without steps, of which nothing can be done yet, means measuring."""
    return PlanState.MEASURE_FIRST if state == PlanState.FIRST_PART and not has_steps else state


def sentence(state: PlanState, has_steps: bool) -> str:
    """Say what kind of answer it is."""
    return SENTENCES[as_said(state, has_steps)]
