"""The page of a part before it goes into the bath, its material and its coat, and of what must be bought."""

from functools import partial

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.headlines import preparation_headline, shopping_headline
from advisor.questions.objects import prepare
from advisor.questions.shopping import shop
from advisor.ui import fields
from advisor.ui.parts import answers, carried_out, shelf_parts
from advisor.ui.session import saving, state

st.title("Parts and shopping", anchor=False)
view = answers.view_of({"part": "A part", "shop": "What to buy"}, "parts_view")


def ask_what_to_buy(entry: state.Typed[object]) -> None:
    """Draw what the months ahead take, what there is, and what things cost."""
    carried_out.lead_to_it()
    fields.show("buy", entry, main=("months", "water", "bath", "plated", "additive", "carbon", "checks", "parts"))
    shelf_parts.from_the_logbook()
    fields.one("bath", entry, "volume")
    st.caption(fields.units_note())
    fields.fold_stock(entry, "What you have of crystals and acid")
    with st.expander("What you have to hand for tests"):
        fields.show("gear", entry)
    st.subheader("Your price list", anchor=False)
    shelf_parts.show(entry)


def ask_of_a_part(entry: state.Typed[object]) -> None:
    """Draw what is asked of a part and its run."""
    fields.show("part", entry)
    st.subheader("The run", anchor=False)
    fields.show("plate", entry, main=("area", "thickness", "stirring", "height"))
    st.caption(fields.units_note())
    st.page_link(PAGES / "plating_run.py", label="Work out its area →")


if view == "shop":
    checked = state.enter("sheet of the check", lambda sheet: sheet).answered
    left = carried_out.steps_left()
    corrected = saving.corrected_since(checked, with_own=True) if checked else None
    shopping = state.enter(
        f"shop {corrected} {left and tuple(step.what for step in left)}",
        partial(shop, corrected=corrected, steps_left=left),
        tables=("buy", "shelf", "treat", "part", "plate"),
    )
    answers.show(shopping, lambda: ask_what_to_buy(shopping), shopping_headline, "shopping")
else:
    part = state.enter("prepare", prepare, tables=("part", "plate", "hull_cell"), needs_volume=False)
    answers.show(part, lambda: ask_of_a_part(part), preparation_headline, "part")
