"""The eight states of an answer about a bath: a closed list, and what each says in a word and in a sentence.

Which one applies is decided in `check/decision.py`; pages and paper take the words from here.
"""

from __future__ import annotations

from enum import StrEnum


class State(StrEnum):
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
BRIEF = {
    State.NONE_NEEDED: "Nothing to do",
    State.MEASURE_FIRST: "Measure first",
    State.POSSIBLE: "Correct it",
    State.FIRST_PART: "A first part only",
    State.REPEAT_FIRST: "Repeat first",
    State.WRONG_WINDOW: "Another window?",
    State.TOO_COLD: "Too cold",
    State.NOT_POSSIBLE: "Not as things stand",
}

# In a sentence; what it rests on in this bath follows it.
SENTENCES = {
    State.NONE_NEEDED: ("Nothing: the bath is inside the window and the level is right."),
    State.MEASURE_FIRST: "Add nothing yet: what you have measured does not say enough.",
    State.POSSIBLE: "These steps bring the bath inside the window.",
    State.FIRST_PART: "This is a first part only: measure again before you add more.",
    State.REPEAT_FIRST: "Take nothing out and add nothing yet: first make sure of the reading that this rests on.",
    State.WRONG_WINDOW: "Take nothing out yet: the bath sits in another window than the one you chose.",
    State.TOO_COLD: "The bath is inside the window, but too strong for the cold it stands in.",
    State.NOT_POSSIBLE: "Add nothing: it cannot be put right as things stand.",
}


def sentence(state: State, has_steps: bool) -> str:
    """Say what kind of answer it is; a first part of which nothing can be done yet is none."""
    return SENTENCES[State.MEASURE_FIRST if state is State.FIRST_PART and not has_steps else state]
