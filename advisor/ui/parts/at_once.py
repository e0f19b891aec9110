"""All that a check asks, at once: for those who know their way, and for a sheet that is filled in already."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from advisor.check.advice import Advice
from advisor.ui import fields
from advisor.ui.parts import guide, guided, level_dropped, reading_list
from advisor.ui.session import sheet_box, state

_FILLED = "at_once_filled"


def show(entry: state.Typed[Advice]) -> None:
    """Draw all fields of a check, from the tank to the readings."""
    if level_dropped.came_for_it():
        level_dropped.show()
        if level_dropped.stands_alone():
            return
    st.button("Question by question", key="check_steps", on_click=guided.choose, args=(state.STEPS,))
    sheet_box.show()
    if not level_dropped.came_for_it():
        level_dropped.show()
    _part("Your bath and how it looks", guided.TANK, entry, _bath)
    _part("What got into it", guided.GOT_IN, entry, _got_in)
    guide.from_the_record(entry)
    fields.fold_window(entry)
    fields.fold_stock(entry, "What you have to add: crystals, acid, water, chloride")
    _part("Your tools", guided.TOOLS, entry, lambda entry: fields.show("gear", entry))
    guide.worth_doing(entry, filled=not level_dropped.came_for_it())
    st.header("Your readings", anchor="readings")
    reading_list.show(entry)


def _part(title: str, question: int, entry: state.Typed[Advice], draw: Callable[[state.Typed[Advice]], None]) -> None:
    """Draw the fields of a question of the guided check, folded where the sheet came filled in.

    The title of what is folded stays as it is: Streamlit takes another one for another part, and folds it anew.
    """
    if not _came_filled(entry):
        st.header(title, anchor=False)
        draw(entry)
        return
    open_it = any(guided.question_of(place) == question for place in entry.errors) or _is_asked_for(question, entry)
    fields.folded(title, f"at_once_{question}", open_it, lambda: draw(entry))


def _is_asked_for(question: int, entry: state.Typed[Advice]) -> bool:
    """Tell whether the answer asks for what stands in a question before any further test."""
    return (
        question == guided.GOT_IN
        and entry.answer is not None
        and any(one.question for one in entry.answer.next_reading)
    )


def _came_filled(entry: state.Typed[Advice]) -> bool:
    """Tell whether the sheet had an answer from readings when the page first showed it: it is changed, not typed."""
    of, filled = st.session_state.get(_FILLED, (None, False))
    if of is not state.raw() or state.has_turned():
        filled = entry.answered is not None and bool(entry.answered.readings)
        st.session_state[_FILLED] = state.raw(), filled
    return bool(filled)


def _bath(entry: state.Typed[Advice]) -> None:
    st.caption(fields.units_note())
    main = ("name", "date", "volume", "usual_volume", "temperature", "coldest", "additives")
    fields.show("bath", entry, main=main, leave_out=("condition", *guided.QUESTIONS), more="More about the bath")
    fields.one("bath", entry, "condition")


def _got_in(entry: state.Typed[Advice]) -> None:
    why = "Salts and metals read as copper. Your answers say how much of the reading may be due to them."
    st.html(f'<p id="questions" class="soft">{why}</p>')
    fields.show("bath", entry, main=guided.QUESTIONS, more=None)
