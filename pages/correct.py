"""The page to work from at the bench: what to add or take out, in which order, and what the bath is after it."""

import streamlit as st

from advisor.basis.places import PAGES
from advisor.check.advise import advise
from advisor.ui import fields
from advisor.ui.look import printing
from advisor.ui.parts import cards, carried_out, correction, home_parts, plan_chips, trial
from advisor.ui.session import saving, state

TANK = ("volume", "usual_volume", "max_volume", "min_volume", "coldest")

st.title("Correct your bath", anchor=False)
entry = state.enter("check", advise)
left, right = st.columns([1, 1], gap="large")

with left, st.container(key="answer_steps"):
    is_empty = entry.answer is None and not state.raw().get("reading")
    if is_empty:
        st.write("Nothing is measured yet. Check your bath first: then what to add stands here, step by step.")
        home_parts.offer_to_correct()
    advice = None if is_empty else cards.answer_of(entry)
    done: int | None = None  # None where no steps are shown: neither the bath nor a way from it is as the readings say
    if advice is None:
        st.page_link(PAGES / "check.py", label="← Type in your readings first")
    else:
        assert entry.answered is not None
        cards.say_from(cards.computed_from(entry.answered))
        cards.begin(advice)
        carried_out.take_up(entry.answered, advice)
        corrected = saving.corrected_since(entry.answered)
        if corrected is not None:
            correction.stands_already(entry.answered, advice, corrected)
        else:
            plan_chips.room(entry, advice, "steps")
            advice = plan_chips.water_or_more(entry.answered, advice)
            went_in = carried_out.by_another_plan(entry.answered, advice.steps)
            if went_in is not None:
                correction.by_another_plan(entry.answered, advice, went_in)
            else:
                done = correction.show(entry.answered, entry, carried_out.as_done(entry.answered, advice))
        if entry.current and done is not None:
            saving.offer_to_record(entry.answered, advice, done)

with right, st.container(key="answer"):
    if advice is not None:
        if done is not None:
            tried = trial.tried(entry.answered, advice)
            if on_map := cards.map_of(entry.answered, carried_out.as_done(entry.answered, advice), done, tried):
                st.html(on_map)
            trial.show(entry.answered, advice, tried)
        cards.ways(advice)
        cards.cautions(cards.other_cautions(advice))
        cards.first_aid(advice)
        if done is not None:
            with st.container(key="change"):
                printing.offer(entry.answered, advice, "correction")
                st.caption("Or print this page from your browser: it fits on one sheet.")

with st.container(key="change_plan"):
    st.header("Change the plan", anchor=False)
    st.caption(fields.units_note())
    with st.expander("Where in the window it should end"):
        fields.show("correction", entry)
    with st.expander("What the tank takes"):
        fields.show("bath", entry, main=TANK, more=None)
    fields.fold_stock(entry, "What you have to add: crystals, acid, water, chloride")
