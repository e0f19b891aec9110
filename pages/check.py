"""The page on which a bath is checked: what is known goes in on the left, what follows from it stands on the right."""

import streamlit as st

from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.ui import drawings
from advisor.ui.parts import (
    answers,
    at_once,
    cards,
    carried_out,
    focus,
    glance,
    guide,
    guided,
    level_dropped,
    plan_chips,
    trial,
)
from advisor.ui.session import saving, state

one_by_one = guided.wanted()
entry = state.enter("check", advise)
if one_by_one:
    if guided.passes_over(entry):
        entry = state.enter("check", advise)
    guided.follow_the_address()
level_is_first = level_dropped.is_asked_first(entry)
# The map takes longest to draw: it is made before all else, so that a browser gets the answer in one piece.
since = tried = None
on_map = ""
if entry.answered and entry.answer:
    since = carried_out.of(entry.answered, entry.answer)
    tried = None if since else trial.tried(entry.answered, entry.answer)
    of, done = (carried_out.as_done(entry.answered, since.of), since.done) if since else (entry.answer, 0)
    if not since or done:  # else no reading knows what it holds now
        on_map = cards.map_of(entry.answered, of, done, tried)
if one_by_one:
    guided.say_whose()
st.title(guided.title() if one_by_one else "Check your bath", anchor=False)
left, right = st.columns([1, 1], gap="large")


def ask() -> None:
    """Draw one question, or all fields at once."""
    with left:
        if one_by_one:
            guided.show(entry)
        else:
            at_once.show(entry)


def answer() -> None:
    """Draw the answer, or what it waits for."""
    with right, st.container(key="answer"):
        st.html('<h2 id="answer" class="unseen">The answer</h2>')
        waits = ""  # where the fields beside it ask for all that is missing
        if level_is_first:
            waits = level_dropped.waits_for()
        elif one_by_one and entry.answer is None and guided.at_its_beginning(entry):
            waits = "What your bath needs stands here as you go on."
        if waits:
            cards.say_from(waits)
        elif (advice := cards.answer_of(entry)) is not None:
            say(advice)
        elif one_by_one and guided.at() == guided.ANSWER:
            guided.offer_to_mend(entry)


def lead_on(advice: Advice) -> None:
    """Draw the one filled button: what is to be done now."""
    if since and since.all_of_it:
        carried_out.measure_again(entry.answered, since.of)
        if since.by_another_plan:
            carried_out.show_the_new_plan(entry.answered)
    elif guided.offer_to_mend(entry):
        return
    elif one_by_one and guided.at() == guided.ANSWER and guide.waits_for_a_test(advice):
        guided.offer_another(entry, "primary")
    else:
        glance.work_from_it(advice, begun=bool(since), current=entry.current)


def save(advice: Advice) -> None:
    """Offer to save the check, with the steps that are done."""
    if entry.current and not (since and since.by_another_plan):  # else its readings would stand after what went in
        saving.offer_to_record(entry.answered, *((since.of, since.done) if since else (advice, 0)))


def say(advice: Advice) -> None:
    """Draw the parts of an answer."""
    cards.begin(advice)
    with st.container(key="verdict"):  # a desk keeps both in sight, what is the matter and what to do now
        glance.show(advice, since and since.said)
        plan_chips.room(entry, advice, "answer")
        plan_chips.acid_of_dose(entry, advice, "answer")
        with st.container(horizontal=True, key="acts"):
            lead_on(advice)
            if not advice.room:
                save(advice)
    if on_map:
        st.html(on_map)
    if since is None:  # what is tried starts from the readings, which are of before
        trial.show(entry.answered, advice, tried)
    if advice.sample:  # no row tells anything then
        cards.show_drawings([drawings.drawing(drawings.SAMPLE)])
    else:
        glance.holds(advice, entry.answered)
    answers.let_through()
    if advice.room:  # what the tank holds is asked first
        save(advice)
    if since is None:
        glance.rests_on(advice)
    if not one_by_one:
        guide.next_reading(entry, advice)
    cards.besides(advice)
    glance.bar(advice, since and since.said, current=entry.current)


# What a person waits for is drawn first: the next question, or what follows from the field that was changed.
for draw in (ask, answer) if one_by_one else (answer, ask):
    draw()
focus.go()
