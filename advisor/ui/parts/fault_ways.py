"""From the causes of a fault to what tells or mends them: one button to measure it, and what else the answer names."""

from __future__ import annotations

from collections.abc import Callable, Collection

import streamlit as st

from advisor.basis.places import PAGES
from advisor.check.candidates import can_be_taken
from advisor.questions.faults import JAR_TEST, Cause, Diagnosis
from advisor.readings import KINDS
from advisor.sheet import Sheet
from advisor.ui.parts import focus, guided
from advisor.ui.session import state
from advisor.words.lines import small

# The kinds of reading that tell of a cause, by the component in its name: the first that can be taken is begun.
TESTS = {
    "acid": ("acid titration", "thinned conductivity", "thinned pH"),
    "copper": ("hydrometer", "weighed density", "copper titration", "colour match"),
    "chloride": ("chloride strip", "chloride titration"),
}
NAMED_AS_TOOLS = ("hydrometer", "chloride strip")
# The treatment that a cause calls for, and how it is called on its button.
TREATED = {
    "organic dirt": "carbon",
    "additive overdosed": "carbon",
    "unsealed object": "carbon",
    "detergent or oil": "carbon",
    "particles": "filtering",
    "never filtered": "filtering",
    "cold bath": "warming",
    "chloride high": "less chloride",
}
CALLED = {
    "carbon": "treat the bath with carbon",
    "filtering": "filter the bath",
    "warming": "warm the bath",
    "less chloride": "lower the chloride",
}
# The test is a look into the tank, and what it shows has a field beside the answer.
SEEN_IN_THE_TANK = ("particles", "never filtered")
OF_THE_ANODES = ("unsuitable anode", "passive anode", "anodes too small", "torn anode bag", "clogged anode bag")
BATH_FOLD = "faults_bath"  # of the page, where that field stands
MOST = 2  # treatments offered (judgement)
_CHECK = "Check the bath"
# Where a cause is looked into that no reading tells of; any other is looked for at the tank, as the answer says.
PLACES = {
    "current too high": ("Work out the right current", "plating_run.py"),
    "current too low": ("Work out the right current", "plating_run.py"),
    JAR_TEST: ("Fill in what the jar test shows", "keep_or_remake.py"),
}


def treatments(found: Diagnosis) -> None:
    """Offer the treatments that the causes named above call for, each with its cause: it helps only if that is it."""
    called_for: dict[str, Cause] = {}
    for cause in found.shown:
        if cause.name in TREATED:
            called_for.setdefault(TREATED[cause.name], cause)
    for place, (what, cause) in enumerate(list(called_for.items())[:MOST]):
        # A key of its place: under one of its treatment, one of before stands beside it until the whole page is drawn.
        if st.button(f"If {small(cause.in_short)}: {CALLED[what]} →", type="tertiary", key=f"faults_treat_{place}"):
            state.put("treat", "what", what)
            st.switch_page(PAGES / "treatments.py")


def checks_first(found: Diagnosis, sheet: Sheet | None) -> bool:
    """Tell whether the bath is checked before the jar test, which tells no more than whether it is the bath."""
    return found.tested == JAR_TEST and not _known_first(found) and not (sheet and sheet.readings)


def _known_first(found: Diagnosis) -> Cause | None:
    return next((cause for cause in found.causes[:1] if cause.known), None)


def show(found: Diagnosis, sheet: Sheet | None) -> None:
    """Show the one filled button: what is known is mended, a test that tells is begun; else the bath is checked.

    What tells and is no reading of the bath has the check beside it until that is done. The jar test comes after it.
    """
    component, _, side = found.tested.partition(" ")
    if component in TESTS and side in ("low", "high"):
        kind, words = _test_of(component, sheet.gear.have if sheet else ())
        if _filled(f"Measure it: {words}", "faults_test"):
            guided.begin_test(kind)
        return
    known = _known_first(found)
    if not known and _looks(found.tested):
        return
    place = _place_of(known.name) if known else PLACES.get(found.tested)
    _check_or_go(place, known is None and not (sheet and sheet.readings), checks_first(found, sheet))


def _check_or_go(place: tuple[str, str] | None, to_check: bool, check_first: bool) -> None:
    """Lead to the place that the answer names, and beside it to the check, unless that has the filled button."""
    if place is None or check_first:
        if _filled(_CHECK, "faults_check"):
            guided.begin()
        _go(place, st.button)
    else:
        _go(place, _filled)
        if to_check:
            _check_beside()


def _looks(tested: str) -> bool:
    """Show the button of a test that is a look at tank or anodes, the check beside it; tell whether it is one."""
    if tested in SEEN_IN_THE_TANK:
        _filled("Look for sludge: what do you see?", "faults_look", _to_what_is_seen)
    elif tested in OF_THE_ANODES:
        if _filled("Look at the anodes", "faults_anodes"):
            st.switch_page(PAGES / "treatments.py", query_params={"view": "anodes"})
    else:
        return False
    _check_beside()
    return True


def _check_beside() -> None:
    if st.button(_CHECK, key="faults_check"):
        guided.begin()


def _to_what_is_seen() -> None:
    st.session_state[BATH_FOLD] = True
    focus.want(state.key_of("bath", "condition"))


def _go(place: tuple[str, str] | None, button: Callable[..., bool]) -> None:
    """Lead to the place that the answer names, where there is one."""
    if place and button(place[0], key="faults_place"):
        st.switch_page(PAGES / place[1])


def _filled(words: str, key: str, then: Callable[[], None] | None = None) -> bool:
    """Draw the filled button, which a phone keeps in reach of the thumb: the answer lies far below the pictures."""
    with st.container(key="thumb"):
        return bool(st.button(words, type="primary", key=key, on_click=then))


def _place_of(cause: str) -> tuple[str, str] | None:
    """Return the button and the page that mend a known cause; None where it is mended at the tank."""
    return ("Correct it", "correct.py") if cause.partition(" ")[0] in TESTS else PLACES.get(cause)


def _test_of(component: str, have: Collection[str]) -> tuple[str, str]:
    """Return the kind of reading that tells of a component with the gear at hand, and what it is called."""
    kind = next((kind for kind in TESTS[component] if can_be_taken(kind, have)), "")
    if kind:
        return kind, small(KINDS[kind].label)
    kind = TESTS[component][0]
    return kind, f"{small(KINDS[kind].label)}{', if you have one' if kind in NAMED_AS_TOOLS else ''}"
