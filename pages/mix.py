"""The page on which a new bath is worked out, or a recipe judged: the wish on the left, the answer on the right."""

import streamlit as st

from advisor.basis.places import PAGES
from advisor.questions.headlines import mixture_headline
from advisor.questions.make_up import mix
from advisor.ui import fields
from advisor.ui.fields import plain
from advisor.ui.look import printing
from advisor.ui.parts import answers, cards, glance, plan_chips
from advisor.ui.session import state

WANTED = ("copper_sulfate", "sulfuric_acid")
RECIPE = ("crystals", "acid", "water", "suppressor")

st.title("Mix a bath", anchor=False)
entry = state.enter("mix", mix, tables=("mix",))


def ask() -> None:
    """Draw the wish, or the recipe."""
    st.write(_wish())
    fields.one("mix", entry, "volume")
    plan_chips.acid(entry, "mix")
    plan_chips.crystals("mix")
    fields.show("mix", entry, main=WANTED, more=None)
    st.caption(fields.units_note())
    with st.expander("I have a recipe: what does it make?", expanded=any(name in state.part("mix") for name in RECIPE)):
        fields.show("mix", entry, main=RECIPE, more=None)
    fields.fold_window(entry)
    fields.fold_stock(entry, "What you have: crystals, acid, water")
    with st.expander("The tank, and how cold it gets"):
        fields.show("bath", entry, main=("max_volume", "temperature", "coldest", "additives"), more=None)


def _wish() -> str:
    """Say what to type; where no litres were typed, whose are mixed, in about as many words, so that no field moves."""
    bath = state.part("bath")
    litres = bath.get("usual_volume") or bath.get("volume")
    if not litres or any(name in state.part("mix") for name in ("volume", *RECIPE)):
        return "Say how much bath you want. Or give a recipe, and see what it really makes."
    whose = plain(str(bath.get("name", "")).strip()) or "the bath of your check"
    return f"For {plain(fields.as_written(str(litres)))}, as in {whose}. Say how much you want, or give a recipe."


def answer() -> None:
    """Draw what to mix, or what it waits for."""
    mixture = glance.answer(entry, mixture_headline)
    if mixture is not None and entry.answered is not None:
        cards.sections(mixture.sections())
        cards.say_from(f"For the working window “{entry.answered.window.name}”.")
        printing.offer(entry.answered, mixture, "mixture")
        st.page_link(PAGES / "check.py", label="Check the bath once it is mixed →")


answers.side_by_side(entry, ask, answer)
