"""The page on which a bath is checked: what is known goes in on the left, what follows from it stands on the right."""

import streamlit as st

from advisor.check.advise import advise
from advisor.ui import fields
from advisor.ui.parts import cards, glance, guide, reading_list
from advisor.ui.session import saving, sheet_box, state

QUESTIONS = ("soda_added", "soda", "touched", "topped_up_with", "anodes")

st.title("Check your bath", anchor=False)
entry = state.enter("check", advise)
left, right = st.columns([1, 1], gap="large")

with left:
    st.write("Five steps, from the tank to the answer, which follows every change. [To the answer](#answer)")
    sheet_box.show()
    reading_list.level_has_dropped()
    st.header("1. Your bath and how it looks", anchor=False)
    st.caption(fields.UNITS_NOTE)
    bath_first = ("name", "date", "volume", "usual_volume", "temperature", "coldest", "additives")
    fields.show("bath", entry, main=bath_first, leave_out=("condition", *QUESTIONS), more="More about the bath")
    fields.one("bath", entry, "condition")
    st.subheader("What got into it", anchor="questions")
    st.caption("Salts and metals read as copper. Your answers tell how much of the reading they can be.")
    fields.show("bath", entry, main=QUESTIONS, more=None)
    guide.from_the_record(entry)
    fields.fold_window(entry)
    fields.fold_stock(entry, "What you have to add: crystals, acid, water, chloride")
    st.header("2. Your tools", anchor=False)
    fields.show("gear", entry)
    st.header("3. Tests worth doing", anchor=False)
    guide.worth_doing(entry)
    st.header("4. Your readings", anchor="readings")
    reading_list.show(entry)

with right, st.container(key="answer"):
    st.html('<h2 id="answer" class="unseen">The answer</h2>')
    advice = cards.answer_of(entry, in_short=True)
    if advice is not None:
        cards.begin(advice)
        glance.show(advice)
        with st.container(horizontal=True, key="acts"):
            glance.work_from_it(advice)
            if entry.current:
                saving.offer_to_record(entry.answered, advice)
        cards.show_map(entry.answered, advice)
        glance.holds(advice)
        cards.say_from(cards.computed_from(entry.answered))
        guide.next_reading(entry, advice)
        cards.besides(advice)
        glance.bar(advice)
