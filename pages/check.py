"""The page on which a bath is checked: what is known goes in on the left, what follows from it stands on the right."""

import streamlit as st

from advisor.advise import advise
from advisor.places import PAGES
from advisor.ui import cards, fields, reading_list, saving, sheet_box, state, style

style.apply()
st.title("Check your bath", anchor=False)
entry = state.enter("check", advise)
left, right = st.columns([1, 1], gap="large")

with left:
    st.write("Type in what you measured, or load an example. The answer follows every change.")
    sheet_box.show()
    st.header("The bath", anchor=False)
    st.caption(fields.UNITS_NOTE)
    bath_first = ("name", "date", "volume", "usual_volume", "temperature", "coldest", "additives")
    fields.show("bath", entry, main=bath_first, leave_out=("condition",), more="More about the bath")
    with st.expander(f"Working window: {state.part('window').get('name', 'standard')}"):
        fields.show("window", entry)
    with st.expander("What you have to measure with"):
        fields.show("gear", entry)
    with st.expander("What you have to add: crystals, acid, water, chloride"):
        fields.show_stock(entry)
    st.header("Before you draw a sample", anchor=False)
    fields.one("bath", entry, "condition")
    st.header("Your readings", anchor=False)
    reading_list.show(entry)

with right, st.container(key="answer"):
    advice = cards.answer_of(entry)
    if advice is not None:
        cards.begin(advice)
        cards.verdict(advice)
        cards.what_to_do(advice)
        if advice.steps:
            st.page_link(PAGES / "correct.py", label="Work from the correction card →")
        cards.show_map(entry.answered, advice)
        if entry.current:
            saving.offer_to_record(entry.answered, advice)
        cards.besides(advice)

style.links("check.py")
