"""The page of the anodes and of treatments: what is asked on the left, the card on the right."""

import streamlit as st

from advisor.questions.anodes import anodes
from advisor.questions.headlines import anodes_headline
from advisor.questions.treatment import ASKED_OF_THE_BATH
from advisor.questions.treatments import treat
from advisor.sheet import Treat
from advisor.ui import fields
from advisor.ui.parts import answers, recorded
from advisor.ui.session import state

st.title("Anodes and care", anchor=False)
view = answers.view_of({"treat": "A treatment", "anodes": "The anodes"}, "treatments_view")


def ask_of_the_anodes(entry: state.Typed[object]) -> None:
    """Draw what is asked of the anodes and the run that they feed."""
    recorded.offer()
    fields.show("anodes", entry)
    fields.one("bath", entry, "anodes")
    st.subheader("The run that they feed", anchor=False)
    fields.show("plate", entry, main=("area", "anode_area", "current", "thickness", "stirring"))
    st.caption(fields.units_note())
    with st.expander("The bath"):
        fields.show("bath", entry, main=("temperature", "volume"), more=None)
        recorded.to_type_it_in()


def ask_of_a_treatment(entry: state.Typed[object]) -> None:
    """Draw which treatment it is, and what that asks for."""
    what = str(state.part("treat").get("what", ""))
    fields.show("treat", entry, main=("what", *Treat.ASKED.get(what, ())), more=None)
    recorded.offer()
    fields.show("bath", entry, main=ASKED_OF_THE_BATH.get(what, ("volume",)), more=None)
    st.caption(fields.units_note())
    if what == "less chloride":
        fields.fold_stock(entry, "What you add")
        recorded.to_type_it_in()


if view == "anodes":
    fed = state.enter("anodes", anodes, tables=("plate", "anodes", "hull_cell"), needs_volume=False)
    answers.show(fed, lambda: ask_of_the_anodes(fed), anodes_headline, "anodes")
else:
    chosen = bool(state.part("treat").get("what"))  # which treatment it is comes before how much bath there is
    treated = state.enter("treat", treat, tables=("treat", "keep", "plate"), needs_volume=chosen)
    answers.show(treated, lambda: ask_of_a_treatment(treated), lambda found: found.headline, "treatment")
