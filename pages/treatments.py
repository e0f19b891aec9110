"""The page of the anodes and of treatments: what is asked on the left, the card on the right."""

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.anodes import anodes
from advisor.questions.treatments import treat
from advisor.ui import fields
from advisor.ui.parts import answers
from advisor.ui.session import state

# What each treatment asks for besides the bath.
ASKED = {
    "carbon": ("carbon",),
    "filtering": ("pump",),
    "dummying": ("scrap",),
    "less chloride": (),
    "warming": ("wanted", "room", "surface", "heater", "covered"),
    "crystals": ("on_floor",),
}
BATH = {
    "warming": ("volume", "temperature"),
    "crystals": ("volume", "temperature", "coldest", "max_volume"),
    "carbon": ("volume", "additives"),
}

st.title("Anodes and care", anchor=False)
view = answers.view_of(["A treatment", "The anodes"], "treatments_view")

if view == "The anodes":
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
else:
    entry = state.enter("treat", treat, tables=("treat", "keep", "plate"))
    what = str(state.part("treat").get("what", ""))
    left, right = st.columns([1, 1], gap="large")
    with left:
        fields.show("treat", entry, main=("what", *ASKED.get(what, ())), more=None)
        fields.show("bath", entry, main=BATH.get(what, ("volume",)), more=None)
        st.caption(fields.UNITS_NOTE)
        if what == "less chloride":
            fields.fold_stock(entry, "What you add")
            st.page_link(PAGES / "check.py", label="Type in what the bath holds →")

with right, st.container(key="answer"):
    answers.show(entry, "treatment" if view == "A treatment" else "anodes")
