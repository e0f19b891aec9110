"""From the causes of a fault to what tells or mends them: one button, to the test or the page that the answer names."""

from __future__ import annotations

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.faults import JAR_TEST, Cause, Diagnosis
from advisor.readings import KINDS
from advisor.ui.parts import guided
from advisor.ui.session import state
from advisor.words.lines import small

# The kind of reading that tells of a cause, by the component in its name.
TESTS = {"acid": "acid titration", "copper": "hydrometer", "chloride": "chloride strip"}
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
MOST = 2  # treatments offered
_CHECK = ("Check what the bath holds", "check.py")
# Where a cause is looked into that no reading tells of; any other is looked for at the tank, as the answer says.
PLACES = {
    "current too high": ("Work out the right current", "plating_run.py"),
    "current too low": ("Work out the right current", "plating_run.py"),
    JAR_TEST: ("Fill in what the jar test shows", "keep_or_remake.py"),
}


def treatments(found: Diagnosis) -> None:
    """Offer the treatments that the likeliest causes call for, each with its cause: it helps only if that is it."""
    called_for: dict[str, Cause] = {}
    for cause in found.causes:
        if cause.name in TREATED:
            called_for.setdefault(TREATED[cause.name], cause)
    for what, cause in list(called_for.items())[:MOST]:
        if st.button(f"If {small(cause.in_short)}: {CALLED[what]} →", type="tertiary", key=f"faults_treat_{what}"):
            state.put("treat", "what", what)
            st.switch_page(PAGES / "treatments.py")


def show(found: Diagnosis) -> None:
    """Show the one button: what is known is mended, a named test is begun; else the bath is checked."""
    first = found.causes[0] if found.causes else None
    component, _, side = found.tested.partition(" ")
    if component in TESTS and side in ("low", "high"):
        kind = TESTS[component]
        if st.button(f"Start this test: {KINDS[kind].label.lower()}", type="primary", key="faults_test"):
            guided.begin_test(kind)
        return
    words, page = PLACES.get(found.tested, _CHECK)
    if first and first.known:
        is_of_bath = first.name.partition(" ")[0] in TESTS
        words, page = ("Correct it", "correct.py") if is_of_bath else PLACES.get(first.name, _CHECK)
    if st.button(words, type="primary", key="faults_check"):
        st.switch_page(PAGES / page)
