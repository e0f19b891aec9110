"""How an answer looks: a card for each component, the steps to work from, what to know and where to take care.

The sentences come from the answer itself (`sections`, `step_dose`, `phrases`); here they are only laid out. All that
a person typed is escaped. `verdict`, `answer_of` and `sections` serve any page.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import TypeVar

import streamlit as st

from advisor.basis.fields import Fault, asked_fields
from advisor.basis.units import COVERAGE, Measured
from advisor.check.advice import Advice, held
from advisor.check.assessment import NAMES, UNITS, limits_of
from advisor.check.known import Value
from advisor.check.mass_balance import After
from advisor.check.steps import STEP_ACTS, Step, step_dose
from advisor.check.ways import ways_section
from advisor.check.window import Verdict
from advisor.readings import Reading
from advisor.sheet import Sheet
from advisor.ui.charts.bath_map import BathMap, bath_map, describe
from advisor.ui.look.own_units import chosen, shown
from advisor.ui.session import ticks
from advisor.ui.session.state import Entry
from advisor.words.cautions import Act, caution
from advisor.words.cautions import cautions as cautions_of
from advisor.words.lines import Amount, Line, Units, joined, line
from advisor.words.sections import Block, Section, percent
from advisor.words.states import BRIEF, State

Answer = TypeVar("Answer")

# A shape and words for each state, so that no one depends on its colour.
STATES = {
    "in": ("●", "inside the window"),
    "low": ("▼", "too low"),
    "high": ("▲", "too high"),
    "unsure": ("◐", "not settled"),
    "not measured": ("○", "not measured"),
}
SIDES = {"low": "too low", "in": "inside", "high": "too high"}


def answer_of(entry: Entry[Answer], of_a_bath: bool = True) -> Answer | None:
    """Say what the answer was computed from and return it (or None); one of before is marked and greyed.

    of_a_bath: it is about the bath in the tank, so that its readings count.
    """
    if entry.answer is None or entry.answered is None:
        wrong = [error for error in entry.errors.values() if error.fault is not Fault.MISSING]
        text = (
            "No answer yet: mend what is marked, then it appears here."
            if wrong
            else "Your answer appears here once the fields that ask for it are filled in."
        )
        st.html(f'<p class="from" tabindex="0">{text}</p>')
        return None
    if not entry.current:
        places = ", ".join(html.escape(place) for place in entry.errors)
        st.html(
            f'<p class="old" role="status"><b>Of before your last change.</b> To mend first: {places}.</p>'
            "<style>[class*=st-key-answer] :is(.stVegaLiteChart, .cards, .todo, .stCheckbox) { opacity: .45 }</style>"
        )
    said = computed_from(entry.answered) if of_a_bath else f"For the window {entry.answered.window.name}."
    st.html(f'<p class="from" tabindex="0">{html.escape(said)}</p>')
    return entry.answer


def computed_from(sheet: Sheet) -> str:
    """Say from what an answer was computed, with each reading's numbers."""
    bath = sheet.bath
    readings = [f"{reading.label.lower()} ({_numbers(reading)})" for reading in sheet.readings]
    name = f"{bath.name}: " if bath.name else ""
    told = "; ".join(readings) if readings else "no reading yet"
    said = f"{name}{bath.volume.text} at {bath.temperature.text}, window {sheet.window.name}. From {told}."
    return said.replace(" degC", " °C").replace(" degF", " °F")


def _numbers(reading: Reading) -> str:
    """Return what was typed into a reading's main fields."""
    fields = asked_fields(type(reading))
    main = [name for name, field in fields.items() if field.required] or [name for name in fields if name != "note"]
    values = [getattr(reading, name) for name in main]
    said = [value.text if isinstance(value, Measured) else value for value in values]
    return ", ".join(item for item in said if isinstance(item, str) and item)


# --- What the bath holds --------------------------------------------------------------------------


def verdict(advice: Advice) -> None:
    """Show a card for each component."""
    cards = "".join(_card(name, advice.values[name], judged) for name, judged in advice.verdict.items())
    st.html(f'<div class="cards">{cards}</div>')


def _card(name: str, value: Value | None, judged: Verdict) -> str:
    shape, words = STATES[judged.state]
    unit = UNITS[name]
    amount = _amount(Amount(value.value, unit, standard_uncertainty=value.standard_uncertainty)) if value else "–"
    limits = "no limits"
    if judged.limits:
        low, high = judged.limits
        limits = shown(line("window {window}", window=Amount(low, unit, digits=6, upper=high)))
    gauge = _gauge(value, judged.limits) if judged.limits else ""
    return (
        f'<div class="card {judged.state.replace(" ", "-")}"><h3>{NAMES[name].capitalize()}</h3>'
        f'<p class="amount">{amount}</p>{gauge}'
        f'<p><b>{shape} {words}</b>{_how_sure(judged)}</p><p class="limits">{limits}</p></div>'
    )


def _amount(amount: Amount) -> str:
    """Return what a card says in large, and in small below it the same in US units where they were chosen."""
    customary = "" if chosen() is Units.METRIC else amount.customary()
    return f"{amount}<br><small>{customary}</small>" if customary else str(amount)


def _how_sure(judged: Verdict) -> str:
    if judged.limits is None or judged.probability_in is None:
        return ""
    side, probability = judged.likeliest()
    sure = percent(probability)
    return f", most likely {SIDES[side]} ({sure})" if judged.state == "unsure" else f" ({sure} sure)"


def _gauge(value: Value | None, limits: tuple[float, float]) -> str:
    """Return a bar: the window on it, and the value with its 95 % range."""
    width = limits[1] - limits[0]
    low, high = limits[0] - width, limits[1] + width

    def at(number: float) -> float:
        return min(max(100 * (number - low) / (high - low), 0.0), 100.0)

    marks = f'<i class="window" style="left:{at(limits[0]):.1f}%;right:{100 - at(limits[1]):.1f}%"></i>'
    if value:
        half = COVERAGE * value.standard_uncertainty
        left, right = at(value.value - half), at(value.value + half)
        marks += f'<i class="spread" style="left:{left:.1f}%;right:{100 - right:.1f}%"></i>'
        marks += f'<i class="here" style="left:{at(value.value):.1f}%"></i>'
    return f'<div class="gauge" aria-hidden="true">{marks}</div>'


def show_map(sheet: Sheet, advice: Advice, done: int = 0) -> None:
    """Show the bath on its map; `done` steps of the correction have been taken."""
    numbers = map_numbers(sheet, advice, done)
    chart = bath_map(numbers, dark=st.context.theme.type == "dark")
    st.vega_lite_chart(spec=chart, width="stretch", alt=describe(numbers), key="bath_map")
    known = [numbers.copper_sulfate, numbers.sulfuric_acid]
    if None not in known:
        said = "The blue region holds your bath with 95 % probability; the line is the way of the correction."
    elif any(value is not None for value in known):
        said = "Only one component is known, so your bath lies somewhere in the blue band."
    else:
        said = "Nothing is known yet of where your bath lies."
    st.caption(said)


def map_numbers(sheet: Sheet, advice: Advice, done: int = 0) -> BathMap:
    """Return what the map draws, from a sheet and its advice."""
    limits = limits_of(sheet)
    return BathMap(
        limits["copper_sulfate"],
        limits["sulfuric_acid"],
        sheet.bath.coldest_degC,
        advice.estimate,
        tuple((step.after.copper_sulfate, step.after.sulfuric_acid) for step in advice.steps),
        done,
    )


# --- What to do -----------------------------------------------------------------------------------


def what_to_do(advice: Advice) -> None:
    """Show the correction in short: what and how much, and where it leads."""
    listed = "".join(f"<li><b>{html.escape(shown(step_dose(step)))}</b></li>" for step in advice.steps)
    steps = f"<ol>{listed}</ol>" if listed else ""
    kind = f'<p class="state"><b>{BRIEF[advice.state]}</b></p>'
    st.html(f'<div class="todo"><h2>What to do</h2>{kind}{steps}{_ending(advice)}</div>')


def _ending(advice: Advice) -> str:
    wanted = Block.AFTERWARDS if advice.steps else Block.STEPS
    block = next(section for section in advice.sections() if section.key is wanted)
    said = "<b>Afterwards:</b> " if advice.steps else ""
    return f"<p>{said}{'</p><p>'.join(html.escape(shown(line)) for line in block.lines)}</p>"


def steps_to_tick(advice: Advice) -> int:
    """Show the correction with a box to tick at each step, and return how many are done in a row.

    Where there is no step, it says why.
    """
    if not advice.steps:
        what_to_do(advice)
        return 0
    ticks.follow([(step.what, step.numbers) for step in advice.steps])
    before = [text for text in advice.cautions if text == caution(Act.PARTS_AND_ANODES_OUT)]
    cautions(before)
    ticked = [_step(number, step, advice) for number, step in enumerate(advice.steps, 1)]
    return ticked.index(False) if False in ticked else len(ticked)


def _step(number: int, step: Step, advice: Advice) -> bool:
    with st.container(border=True, key=f"step_{number}"):
        done = st.checkbox(f"**{number}. {shown(step_dose(step))}**", key=ticks.key_of(number), persist_state="session")
        st.html(f'<p class="how">{html.escape(shown(step.how))}</p>')
        cautions([text for text in cautions_of(STEP_ACTS[step.what]) if text in advice.cautions])
        last = step is advice.steps[-1]
        st.html(f'<p class="after">Then: {html.escape(shown(bath_after(step.after, advice, last)))}</p>')
    return done


def bath_after(after: After, advice: Advice, last: bool = False) -> Line:
    """Say what the bath will be after a step; after the last one also how surely it is inside the window."""
    known = [name for name, judged in advice.verdict.items() if judged.state != "not measured"]
    sure = f"; inside the window with {percent(after.probability_in)} probability" if last else ""
    kind = () if advice.state is State.POSSIBLE else (advice.state_line,)
    again = joined("", (line(" {said}", said=said) for said in (*kind, *advice.plan.why)))
    return line(
        "{volume:.2f L} with {held}{sure}.{again}",
        volume=after.volume,
        held=held(after, known),
        sure=sure,
        again=again if last else "",
    )


def other_cautions(advice: Advice) -> tuple[str, ...]:
    """Return the cautions that stand at no step."""
    placed = {text for step in advice.steps for text in cautions_of(STEP_ACTS[step.what])} | {
        caution(Act.PARTS_AND_ANODES_OUT)
    }
    return tuple(text for text in advice.cautions if not advice.steps or text not in placed)


def begin(advice: Advice) -> None:
    """Show what comes before all else, such as that no sound sample was taken."""
    for block in advice.sections():
        if block.key is Block.FIRST:
            sections([Section(block.title, block.lines, caution=True)])


def first_aid(advice: Advice) -> None:
    """Show first aid, where a step or a way calls for it."""
    sections([block for block in advice.sections() if block.key is Block.FIRST_AID])


def ways(advice: Advice) -> None:
    """Show what can be done beside the steps so that nothing is thrown away."""
    block = ways_section(advice.ways)
    sections([block] if block.lines else [])


def besides(advice: Advice) -> None:
    """Show what stands neither on the cards nor in the steps nor with a button: other ways, warnings, cautions."""
    elsewhere = (Block.FIRST, Block.RESULT, Block.STEPS, Block.AFTERWARDS, Block.NEXT_READING)
    sections([block for block in advice.sections() if block.key not in elsewhere])


def cautions(lines: Sequence[str]) -> None:
    """Show cautions."""
    if lines:
        st.html(f'<ul class="caution">{"".join(f"<li>{html.escape(shown(line))}</li>" for line in lines)}</ul>')


def sections(blocks: Sequence[Section]) -> None:
    """Show titled blocks of any answer: steps numbered, cautions marked."""
    for block in blocks:
        st.subheader(block.title, anchor=False)
        if block.caution:
            cautions(block.lines)
            continue
        tag = "ol" if block.numbered else "ul"
        st.html(
            f'<{tag} class="lines">{"".join(f"<li>{html.escape(shown(line))}</li>" for line in block.lines)}</{tag}>'
        )
