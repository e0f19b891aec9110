"""The choices of Keep or remake side by side: a card each, with what it costs, wastes, takes and cures.

What is on a card comes from the decision; a choice is marked in words, not by colour alone.
"""

from __future__ import annotations

import html

import streamlit as st

from advisor.questions.remake import Decision, Option
from advisor.ui.look.own_units import shown, unparted
from advisor.ui.parts import cards
from advisor.words.sections import Block, Section, percent


def show(decision: Decision) -> None:
    """Show a decision, its choices as cards."""
    for block in cards.care_beneath(decision.sections()):
        if block.key is Block.CHOICES:
            st.subheader(block.title, anchor=False)
            _choices(decision)
            cards.sections([Section("When remaking pays", block.lines[len(decision.options) :])])
        else:
            cards.sections([block])


def _choices(decision: Decision) -> None:
    drawn = "".join(_card(option, option.choice == decision.choice) for option in decision.options)
    st.html(f'<div class="cards">{drawn}</div>')


def _card(option: Option, advised: bool) -> str:
    facts = [
        option.cost_said,
        shown(option.waste_said),
        option.work_said,
        *([] if option.probability_in is None else [f"inside the window: {percent(option.probability_in)}"]),
        f"the liquid is sound afterwards: {option.sound}",
    ]
    left = "; ".join(option.does_not_cure)
    lines = "".join(f"<p>{unparted(fact)}</p>" for fact in facts)
    kind, said = ("card in", "● advised") if advised else ("card", "○ also possible")
    return (
        f'<div class="{kind}"><h3>{option.name}</h3><p><b>{said}</b></p>{lines}'
        f'<p class="limits">Does not cure: {html.escape(left)}</p></div>'
    )
