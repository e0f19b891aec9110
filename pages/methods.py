"""The page for the bench: a card for each test, with numbers for this bath and gear, and how strong a titrant is."""

from functools import partial

import streamlit as st

from advisor.basis.places import PAGES
from advisor.bench.cards import CARDS, bench_card, label_of
from advisor.bench.waits import waits
from advisor.ui import drawings, fields
from advisor.ui.look import own_units
from advisor.ui.look.paper import printed
from advisor.ui.parts import bench_parts, focus, how_to, timer
from advisor.ui.session import state

st.title("How to measure", anchor=False)
with st.container(key="change"):
    how_to.lead_back(st.session_state.get(how_to.CHOSEN, ""), "methods_back")
    kind = st.selectbox(
        "Test",
        list(CARDS),
        format_func=label_of,
        key=how_to.CHOSEN,
        persist_state="session",
        on_change=how_to.forget_what_led,
    )
    entry = state.enter(f"methods {kind}", partial(bench_card, kind))
    with st.expander("What you have to measure with"):
        fields.show("gear", entry)
        st.caption("Add tools by name on the bench sheet, such as 5 mL class A pipette; the plan uses the surest.")
    card, sheet, note = how_to.card_to_print(kind, entry)
    if note:
        st.write(note)
        words = "Type in your bath →" if note == how_to.USUAL_NOTE else "To the test →"
        st.page_link(PAGES / "check.py", label=words)
    st.download_button(
        "Download the card to print",
        printed(sheet, card, f"{card.TITLE}: {card.label}", own_units.chosen()),
        f"{kind.replace(' ', '_')}.html",
        "text/html",
        on_click="ignore",
        key="methods_print",
    )
st.header(card.label, anchor=False)
how_to.show_card(card, "methods")
timer.show(waits(card), f"methods_{kind}")
how_to.lead_back(kind, "methods_back_below")

if kind in how_to.WITH_TITRANT:
    with st.container(key="change_titrant"):
        st.header("How strong is the titrant?", anchor=False)
        st.write("Weighed in or titrated: this gives the strength with its ±, to copy into the reading.")
        st.html(drawings.large(drawings.drawing(drawings.STANDARDISING)))
        bench_parts.standardising()

focus.go()
