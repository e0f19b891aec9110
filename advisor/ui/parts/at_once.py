"""All that a check asks, at once: for those who know their way, and for a sheet that is filled in already."""

from __future__ import annotations

import streamlit as st

from advisor.check.advice import Advice
from advisor.ui import fields
from advisor.ui.parts import guide, guided, level_dropped, reading_list
from advisor.ui.session import sheet_box, state


def show(entry: state.Typed[Advice]) -> None:
    """Draw all fields of a check, from the tank to the readings."""
    if level_dropped.came_for_it():
        level_dropped.show()
    st.button("One question at a time", key="check_steps", on_click=guided.choose, args=(guided.STEPS,))
    sheet_box.show()
    if not level_dropped.came_for_it():
        level_dropped.show()
    st.header("1. Your bath and how it looks", anchor=False)
    st.caption(fields.UNITS_NOTE)
    main = ("name", "date", "volume", "usual_volume", "temperature", "coldest", "additives")
    fields.show("bath", entry, main=main, leave_out=("condition", *guided.QUESTIONS), more="More about the bath")
    fields.one("bath", entry, "condition")
    st.subheader("What got into it", anchor="questions")
    st.caption("Salts and metals read as copper. Your answers say how much of the reading may be due to them.")
    fields.show("bath", entry, main=guided.QUESTIONS, more=None)
    guide.from_the_record(entry)
    fields.fold_window(entry)
    fields.fold_stock(entry, "What you have to add: crystals, acid, water, chloride")
    st.header("2. Your tools", anchor=False)
    fields.show("gear", entry)
    st.header("3. Tests worth doing", anchor=False)
    guide.worth_doing(entry)
    st.header("4. Your readings", anchor="readings")
    reading_list.show(entry)
