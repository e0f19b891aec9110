"""The eight states of an answer about a bath: a closed list, and what each says in a word and in a sentence.

Which one applies is decided in `check/decision.py`; pages and paper take the words from here.
"""

from __future__ import annotations

from enum import StrEnum

from advisor.words.lines import Amount, Line, line


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


# In a few words, for a heading, a glance and the record.
BRIEF: dict[str, str] = {
    PlanState.NONE_NEEDED: "Nothing to do",
    PlanState.MEASURE_FIRST: "Measure first",
    PlanState.POSSIBLE: "Correct it",
    PlanState.FIRST_PART: "Only a first part",
    PlanState.REPEAT_FIRST: "Repeat first",
    PlanState.WRONG_WINDOW: "In another window",
    PlanState.TOO_COLD: "Too strong for the cold",
    PlanState.NOT_POSSIBLE: "Not as things stand",
}


TOO_COLD_FOR_IT = "Too cold for this window"  # where nothing is out, and not possible because of the cold alone


def brief(state: str, keep_above: float | None = None) -> Line:
    """Say in a few words a state as a record keeps it; keep_above: the warmth [degC] that it asks for, if any.

    Where a correction only waits for that warmth, this says so: something may be out as well, which a glance names.
    """
    said = BRIEF.get(state, state)
    if keep_above is None:
        return line("{said}", said=said)
    if state == PlanState.NOT_POSSIBLE:
        return warmed_first(keep_above)
    return line("{matter}. {keep}", matter=said, keep=kept_above(keep_above))


def warmed_first(degrees: float) -> Line:
    """Say above which temperature [degC] to warm a bath before it is corrected, without the full stop."""
    return line("First warm it above {warm} and keep it there", warm=Amount(degrees, "°C", is_least=True))


def kept_above(degrees: float) -> Line:
    """Say above which temperature [degC] to keep a bath, without the full stop."""
    return line("Keep it above {warm}", warm=Amount(degrees, "°C", is_least=True))


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
