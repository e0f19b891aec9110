"""The page for a deposit that does not look right: what is seen on the left, causes and test on the right."""

import streamlit as st

from advisor.questions.faults import cause_line, diagnose
from advisor.questions.headlines import diagnosis_headline, in_one_line
from advisor.ui import drawings, fields
from advisor.ui.look import printing
from advisor.ui.parts import answers, cards, fault_ways, focus, glance, how_to, look_picker
from advisor.ui.session import saving, state

st.title("What do you see?", anchor=False)
entry = state.enter(
    "diagnose",
    diagnose,
    tables=("deposit", "plate", "keep", "hull_cell"),
    needs_volume=False,
    unused=("keep: disposal_price",),
)


def ask() -> None:
    """Draw what is asked of the deposit and how it was plated."""
    look_picker.show(entry)
    fields.show("deposit", entry, main=("where", "since"), more=None)
    with st.expander("The bath", key=fault_ways.BATH_FOLD, on_change="rerun"):
        fields.show("bath", entry, main=("volume", "temperature", "additives", "age", "throughput"), more=None)
        fields.one("bath", entry, "condition")
        st.caption(fields.units_note())
    with st.expander("How you plate"):
        fields.show("plate", entry)
    how_to.ask_for_a_panel(entry)
    with st.expander("If you did the jar test"):
        fields.show("keep", entry, main=("fresh_jar", "mixed_jar", "carbon_treated"), more=None)
        st.html(drawings.large(drawings.drawing(drawings.BENT_STRIP)))


def answer() -> None:
    """Draw the causes, and what tells them apart."""
    st.html('<h2 id="answer" class="unseen">The answer</h2>')
    found = cards.answer_of(entry, beside=True)
    if found is not None and entry.answered is not None:
        glance.say(diagnosis_headline(found, fault_ways.checks_first(found, entry.answered)), "↓")
        fault_ways.show(found, entry.answered)
        cards.sections(found.sections(), shares={cause_line(cause): cause.probability for cause in found.causes})
        fault_ways.treatments(found)
        cards.say_from(cards.computed_from(entry.answered))
        seen = f"{found.TITLE} ({', '.join(found.looks)})"
        saving.offer_to_note(entry, in_one_line(seen, diagnosis_headline(found)), "seen")
        printing.offer(entry.answered, found, "diagnosis")


answers.side_by_side(entry, ask, answer)
focus.go()
