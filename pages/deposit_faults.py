"""The page for a deposit that does not look right: what is seen on the left, causes and test on the right."""

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.faults import diagnose
from advisor.sheet import LOOKS
from advisor.ui import drawings, fields
from advisor.ui.look import printing
from advisor.ui.parts import cards
from advisor.ui.session import state

st.title("What is wrong with the deposit?", anchor=False)
entry = state.enter("diagnose", diagnose, tables=("deposit", "plate", "keep"), any_volume=True)
left, right = st.columns([1, 1], gap="large")

with left:
    st.write("Tick what you see. The more you say about the bath, the surer the answer.")
    fields.show("deposit", entry)
    st.html(drawings.gallery(look for look in state.part("deposit").get("looks", ()) if look in LOOKS))
    with st.expander("What each looks like, drawn"):
        st.html(drawings.gallery(LOOKS))
    st.caption(fields.UNITS_NOTE)
    with st.expander("The bath"):
        fields.show("bath", entry, main=("volume", "temperature", "additives", "age", "throughput"), more=None)
        fields.one("bath", entry, "condition")
        st.page_link(PAGES / "check.py", label="Type in what the bath holds →")
    with st.expander("How you plate"):
        fields.show("plate", entry)
    with st.expander("If you did the jar test"):
        fields.show("keep", entry, main=("fresh_jar", "mixed_jar", "carbon_treated"), more=None)
        st.html(drawings.large(drawings.BENT_STRIP))

with right, st.container(key="answer"):
    found = cards.answer_of(entry)
    if found is not None:
        cards.sections(found.sections())
        printing.offer(entry.answered, found, "diagnosis")
