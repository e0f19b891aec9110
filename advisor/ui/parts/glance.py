"""The answer in one glance: what is the matter and what to do, then the bath on its map, then each component as a row.

The words come from `check.headline`; here they are only laid out. All that a person typed is escaped.
"""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

import streamlit as st

from advisor.basis.components import NAMES, UNITS
from advisor.basis.places import PAGES
from advisor.check.advice import Advice
from advisor.check.headline import NAMES_OF_NUMBERS, Headline, Tone, headline, in_full, standing
from advisor.check.window import Verdict
from advisor.sheet import Sheet
from advisor.ui.look.own_units import chosen, shown, typed_as, unparted
from advisor.ui.parts import cards
from advisor.ui.session.state import Result, Typed
from advisor.words import phrases
from advisor.words.lines import Amount, Units, line, whole
from advisor.words.sections import Section

# What is too little (▼) or too much (▲) keeps its own marks.
SHAPES = {Tone.TO_DO: "▶", Tone.INSIDE: "●", Tone.NOT_SETTLED: "◐", Tone.IN_THE_WAY: "■"}


def show(advice: Advice, since: Headline | None = None) -> None:
    """Show what is the matter and what to do, and where that leads; since: what to do after what has gone in."""
    said = since or headline(advice)
    _show(said, SHAPES[said.tone] if since else _shape(said, advice))


def say(said: Headline, way: str = "↑") -> None:
    """Show the headline of another question, and for a phone the bar that leads to it; way: where from the fields."""
    _show(said, SHAPES[said.tone])
    _bar(said.matter, f"{shown(said.act)} {way}")


def _show(said: Headline, shape: str) -> None:
    beside = "".join(f'<p class="beside">{unparted(shown(text))}</p>' for text in said.beside)
    st.html(
        f'<div class="glance {said.tone.replace(" ", "-")}"><p class="matter">{shape} {unparted(shown(said.matter))}'
        f'</p><p class="act">{unparted(shown(said.act))}</p>{beside}</div>'
    )


def answer(
    entry: Typed[Result],
    headline_of: Callable[[Result], Headline],
    room: Literal["tall", "low"] = "tall",
    begin: str = "",
) -> Result | None:
    """Show the answer of another question in one glance and return it; what it waits for where there is none.

    A phone shows it first, in a place that is kept free for it, so that no field moves when it comes or changes;
    room: how high that is; begin: what stands there before any answer, how to begin and what will come.
    """
    st.html('<h2 id="answer" class="unseen">The answer</h2>')
    with st.container(key=f"first_{room}"):
        if entry.answer is None:
            cards.ask_for_what_is_missing(entry, beside=True)
            if begin:
                st.html(f"<p>{begin}</p>")
        elif entry.current:
            say(headline_of(entry.answer))
        else:
            cards.outdated(entry)
            said = headline_of(entry.answer)
            _show(replace(said, beside=()), SHAPES[said.tone])
    return entry.answer


def _shape(said: Headline, advice: Advice) -> str:
    """Return the mark of the news: that of the first component that is out, else that of its kind."""
    out = [standing(judged)[0] for judged in advice.verdict.values() if judged.state in ("low", "high")]
    return out[0] if out and said.tone is Tone.TO_DO else SHAPES[said.tone]


def work_from_it(advice: Advice, begun: bool, current: bool) -> None:
    """Show the way to the steps, the one filled button of the answer.

    begun: some of them are done. current: the answer is of what stands in the fields; else nothing is dosed by it.
    """
    words = "Go on correcting" if begun else "Start correcting"
    if not advice.steps:
        return
    if st.button(words, type="primary", key="glance_correct", width="stretch", disabled=not current):
        st.switch_page(PAGES / "correct.py")


def bar(advice: Advice, since: Headline | None, current: bool = True) -> None:
    """Show the answer's first line in a bar that a phone keeps in sight; a tap leads to the answer.

    current: the answer is of what stands in the fields; else that it is not comes first.
    """
    said = since or headline(advice)
    rows = [
        f"{NAMES_OF_NUMBERS[name].capitalize()} {standing(judged)[0]} {_short(advice.known.shown(name))}"
        for name, judged in advice.verdict.items()
        if judged.state != "not measured"
    ]
    matter = said.matter if current else "Not up to date yet"
    _bar(f"{matter} ↑", " · ".join(row.replace(" ", "\N{NO-BREAK SPACE}") for row in rows) or shown(said.act))


def _bar(matter: str, below: str) -> None:
    st.html(f'<a class="bar" href="#answer" target="_self"><b>{html.escape(shown(matter))}</b>{html.escape(below)}</a>')


def _short(amount: Amount | None) -> str:
    return "not measured" if amount is None else typed_as(amount)


def rests_on(advice: Advice) -> None:
    """Show in full what the glance shortens or leaves out."""
    lines = in_full(advice)
    if lines:
        cards.sections([Section("Why", lines)])


def holds(advice: Advice, sheet: Sheet) -> None:
    """Show each component as a row, name and window on the left, what the bath holds on the right; then from what."""
    rows = "".join(_row(name, advice.known.shown(name), judged) for name, judged in advice.verdict.items())
    spread = "" if advice.estimate is None else f'<p class="from">{unparted(phrases.PLUS_MINUS)}</p>'
    st.html(f'<dl class="holds">{rows}</dl>{spread}{cards.said_from(cards.computed_from(sheet))}')


def _row(name: str, held: Amount | None, judged: Verdict) -> str:
    shape, words = standing(judged)
    limits = "no limits"
    if judged.limits:
        low, high = judged.limits
        limits = shown(line("window {window}", window=Amount(low, UNITS[name], digits=6, upper=high)))
    return (
        f'<div class="{judged.state.replace(" ", "-")}"><dt>{NAMES[name].capitalize()}<br><small>{limits}</small></dt>'
        f'<dd><div class="amount">{_in_large(held)}</div><div class="where">{shape} {words}</div></dd></div>'
    )


def _in_large(amount: Amount | None) -> str:
    """Return what a row says in large; where that is in US units, the metric amount in small below it."""
    if amount is None:
        return "–"
    customary = "" if chosen() is Units.METRIC else amount.customary()
    return whole(f"{customary}<br><small>{amount}</small>" if customary else str(amount))
