"""The page on which to decide between correcting, replacing and remaking, and to see what handing in old bath takes."""

from dataclasses import replace

import streamlit as st

from advisor.questions.disposal import dispose
from advisor.questions.headlines import decision_headline, disposal_headline, in_one_line
from advisor.questions.remake import keep
from advisor.ui import fields
from advisor.ui.look import printing
from advisor.ui.parts import answers, cards, carried_out, choice_cards, glance, recorded
from advisor.ui.session import saving, state

st.title("Keep or remake?", anchor=False)
entry = state.enter("keep", keep, tables=("keep", "deposit"))


def ask() -> None:
    """Draw what is asked of the bath and of its jar test."""
    st.write(
        "A jar test tells whether it is the bath: plate a strip in fresh bath, one in the old, one in half and half."
    )
    recorded.offer()
    fields.one("bath", entry, "volume")
    fields.show("keep", entry)
    st.caption(fields.units_note())
    with st.expander("What the deposit looks like"):
        fields.show("deposit", entry)
    with st.expander("What got into the bath"):
        fields.show("bath", entry, main=("touched", "iron", "zinc", "nickel"), more=None)
    with st.expander("The bath"):
        fields.show("bath", entry, main=("additives", "age"), more=None)
        recorded.to_type_it_in()
    fields.fold_stock(entry, "What crystals and acid cost you")


def answer() -> None:
    """Draw the decision, or what it waits for."""
    since = carried_out.of_this_check()
    as_begun = replace(entry, answer=entry.answer.begun(since.all_of_it)) if since and entry.answer else entry
    decision = glance.answer(as_begun, decision_headline, room="low")
    if decision is not None and entry.answered is not None:
        carried_out.lead_to_it()
        choice_cards.show(decision)
        cards.say_from(cards.computed_from(entry.answered))
        saving.offer_to_note(entry, in_one_line(decision.TITLE, decision_headline(decision)), "keep")
        printing.offer(entry.answered, decision, "decision")


answers.side_by_side(entry, ask, answer)

asked = st.expander("Making old bath safe to hand in", expanded="dispose" in state.raw(), on_change="rerun")
if asked.open:
    with asked, st.container(key="answer_disposal"):
        waste = state.enter("dispose", dispose, tables=("dispose",))
        fields.show("dispose", waste)
        # Where neither can be answered the same is missing, and the first place asks for it.
        disposal = cards.answer_of(waste) if waste.answer or entry.answer else None
        if disposal is not None and waste.answered is not None:
            glance.say(disposal_headline(disposal))
            cards.sections(disposal.sections())
            printing.offer(waste.answered, disposal, "disposal")
