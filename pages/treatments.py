"""The page of the anodes and of treatments: what is asked on the left, the card on the right."""

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.anodes import anodes
from advisor.questions.headlines import anodes_headline
from advisor.questions.treatment import ASKED
from advisor.questions.treatments import treat
from advisor.ui import fields
from advisor.ui.parts import answers
from advisor.ui.session import state

st.title("Anodes and care", anchor=False)
view = answers.view_of({"treat": "A treatment", "anodes": "The anodes"}, "treatments_view")

if view == "anodes":
    entry = state.enter("anodes", anodes, tables=("plate", "anodes", "hull_cell"), needs_volume=False)
    left, right = st.columns([1, 1], gap="large")
    with left:
        fields.show("anodes", entry)
        fields.one("bath", entry, "anodes")
        st.subheader("The run that they feed", anchor=False)
        fields.show("plate", entry, main=("area", "anode_area", "current", "thickness", "stirring"))
        st.caption(fields.UNITS_NOTE)
        with st.expander("The bath"):
            fields.show("bath", entry, main=("temperature", "volume"), more=None)
            st.page_link(PAGES / "check.py", label="Type in what the bath holds →")
    with right, st.container(key="answer"):
        answers.show(entry, anodes_headline, "anodes")
else:
    treatment = state.enter("treat", treat, tables=("treat", "keep", "plate"))
    what = str(state.part("treat").get("what", ""))
    asked, of_the_bath = ASKED.get(what, ((), ("volume",)))
    left, right = st.columns([1, 1], gap="large")
    with left:
        fields.show("treat", treatment, main=("what", *asked), more=None)
        fields.show("bath", treatment, main=of_the_bath, more=None)
        st.caption(fields.UNITS_NOTE)
        if what == "less chloride":
            fields.fold_stock(treatment, "What you add")
            st.page_link(PAGES / "check.py", label="Type in what the bath holds →")
    with right, st.container(key="answer"):
        answers.show(treatment, lambda found: found.headline, "treatment")
