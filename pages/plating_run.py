"""The page on which a plating run is planned: the part on the left; current, time and plan on the right."""

import streamlit as st

from advisor.questions.headlines import run_headline
from advisor.questions.plating import plate
from advisor.ui import fields
from advisor.ui.look import printing
from advisor.ui.look.own_units import chosen, shown
from advisor.ui.parts import answers, cards, glance, how_to, recorded, run_parts, upkeep_parts
from advisor.ui.session import state

BEGIN = (
    "Say how large the part is, and how thick the copper should be or how long you have. You then read "
    "here at what current to start, at what to go on, and how long it takes."
)

st.title("Plan a plating run", anchor=False)
entry = state.enter("plate", plate, tables=("plate", "hull_cell"), needs_volume=False)


def ask() -> None:
    """Draw what is asked of the part and the bath."""
    recorded.offer()
    fields.show("plate", entry, main=("area", "thickness", "time", "current", "stirring", "height", "anode_area"))
    st.caption(fields.units_note())
    with st.expander("Work out the area"):
        run_parts.area_helper()
    how_to.ask_for_a_panel(entry)
    with st.expander("The bath"):
        fields.show("bath", entry, main=("volume", "temperature", "additives"), more=None)
        recorded.to_type_it_in()


def answer() -> None:
    """Draw the run, or what it waits for."""
    run = glance.answer(entry, run_headline, begin=BEGIN)
    if run is not None and entry.answered is not None:
        first, care, *others = cards.care_beneath(run.sections())
        cards.sections([first, care])
        chart, words = run_parts.growth_chart(run, chosen()), shown(run_parts.growth_words(run))
        st.vega_lite_chart(spec=chart, width="stretch", alt=words, key="plating_growth")
        st.caption("The line is the average thickness; edges lie in the band, at two to three times as much.")
        cards.sections(others)
        cards.say_from(cards.computed_from(entry.answered))
        if entry.current:
            upkeep_parts.run_of_plan(run, entry.answered.bath.name)
        printing.offer(entry.answered, run, "plating_run")


answers.side_by_side(entry, ask, answer)
