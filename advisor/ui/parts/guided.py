"""The guided check: one question after the other, from the tank to the answer, over the same sheet as the whole page.

Tank, tools, what got in, a test, and then the answer: a person may go back, skip, and see all at once at any time.
What is told already folds to a line. A test that is begun has all from its plan but what is read at the bench. No
tap is asked for that tells nothing: what got in waits for a test that reads it, and a test that is the only one begins.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

import streamlit as st

from advisor.basis.fields import Fault, InputError, QuantityField, asked_fields, fields_of, read_table
from advisor.basis.places import PAGES
from advisor.bench.cards import READ, TO_ENTER, BenchCard
from advisor.bench.waits import waits
from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.check.candidates import as_taken, can_be_taken
from advisor.readings import KINDS
from advisor.sheet import Bath
from advisor.ui import drawings, fields
from advisor.ui.look.own_units import shown, unparted
from advisor.ui.parts import cards, focus, gear_tiles, guide, how_to, reading_list, terms, timer
from advisor.ui.session import card_ticks, saving, state
from advisor.words import phrases
from advisor.words.cautions import Act
from advisor.words.cautions import cautions as cautions_of
from advisor.words.lines import capital

QUESTIONS = ("soda_added", "soda", "touched", "topped_up_with", "anodes")
TITLES = ("How much bath is in the tank?", "What do you have to hand?", "What got into the bath?", "Do this test")
ANSWER = len(TITLES)
TANK, TOOLS, GOT_IN, TEST = range(ANSWER)
# Kinds of reading whose answer does not depend on it: a dose of acid moves by 1 mL of 92 (computed, tests/ui/parts).
UNMOVED = frozenset({"acid titration"})
_VOLUME = "bath: volume"
_SEEN = "check_address"  # session: the question that the address named when the page was drawn last
_ANOTHER = "check_another"  # session: how many tests had been done when another one was asked for
_UNANSWERED = "check_unanswered"  # session: whether Next was tapped without the volume; a second tap passes it over
_WENT_ON = "check_went_on"  # session: whether what comes next was asked for by this tap
_STRAIGHT = "check_straight"  # session: whether the answer asked for the question shown, and Next leads back to it
_READING = "check_reading"  # session: the reading that was gone to, and the last one then: a newer one is shown
_PASSED = "check_passed_over"  # session: whether the question of what got in was passed over, and not shown since


def wanted() -> bool:
    """Tell whether to ask one question after the other: what was chosen; else where no reading stood at first."""
    st.session_state[state.GUIDED] = guided = _is_wanted()
    return guided


def _is_wanted() -> bool:
    if st.query_params.get("way"):
        return False
    sheet, guided = st.session_state.get(state.BEGAN, (None, True))
    if sheet is not state.raw():
        guided = not state.raw().get("reading")
        _begin_at(0, guided)
    chosen = st.session_state.get(state.WAY)
    return bool(chosen == state.STEPS if chosen else guided)


def _begin_at(question: int, guided: bool = True) -> None:
    """Note that this sheet is checked from a question on; guided: whether no reading stood in it then."""
    st.session_state[state.BEGAN] = (state.raw(), guided)
    st.session_state[state.QUESTION] = question
    st.session_state[_PASSED] = False
    st.session_state.pop(_READING, None)


def at() -> int:
    """Return which question is shown, counted from 0; ANSWER is the answer."""
    return min(max(int(st.session_state.get(state.QUESTION, 0)), 0), ANSWER)


def at_its_beginning(entry: state.Typed[Advice]) -> bool:
    """Tell whether the first question is shown, and waits for its own field alone."""
    missing = [place for place, error in entry.errors.items() if error.fault is Fault.MISSING]
    return at() == 0 and missing == list(entry.errors) == [_VOLUME]


def title() -> str:
    """Return the question that is shown."""
    if at() == ANSWER:
        return "Your bath"
    if at() == TEST and _is_unsound():
        return "First a sound sample"
    readings = state.raw().get("reading", [])
    shows_one = at() == TEST and readings and not _wants_another()
    return KINDS[readings[_shown() - 1]["kind"]].label if shows_one else TITLES[at()]


def say_whose() -> None:
    """Say above a question which bath it is about, where that has a name; an answer says so itself."""
    name = str(state.part("bath").get("name", "")).strip()
    if name and at() < ANSWER:
        cards.say_from(name)


def _shown() -> int:
    """Return which reading is shown where a test is under way, from 1: the one that was gone to, else the last."""
    readings = state.raw().get("reading", [])
    gone_to, last = st.session_state.get(_READING, (None, None))
    here = (number for number, reading in enumerate(readings, 1) if reading is gone_to and readings[-1] is last)
    return next(here, len(readings))


def follow_the_address() -> None:
    """Go to the question that the address names where the browser went back or forward; else name this one there.

    The first question has no name there, and who comes from another page goes on where the check was left.
    """
    named = st.query_params.get(state.ADDRESS, "1")
    has_moved = named != st.session_state.get(_SEEN, "1") and not state.has_turned()
    if has_moved and named in map(str, range(1, ANSWER + 2)):
        st.session_state[state.QUESTION] = int(named) - 1
    here = str(at() + 1)
    if here == "1":
        st.query_params.pop(state.ADDRESS, None)
    elif here != named:
        st.query_params[state.ADDRESS] = here
    st.session_state[_SEEN] = here


def passes_over(entry: state.Typed[Advice]) -> bool:
    """Pass over a question that tells nothing once Next is tapped; tell whether the sheet has changed by that.

    What got in is asked only before a test that depends on it. The test to choose is begun where only one can be done.
    """
    if not st.session_state.pop(_WENT_ON, False):
        return False
    suggested = [found.kind or "" for found in guide.suggestions(entry)]
    if at() == GOT_IN and _got_in_tells_nothing(suggested) and not guide.knows(entry):
        st.session_state[state.QUESTION], st.session_state[_PASSED] = TEST, True
    begins = at() == TEST and _is_to_start() and _can_be_done_alone(suggested)
    if begins:
        _start(suggested[0])
    return begins


def _start(kind: str) -> None:
    """Begin a test at its top, with what to do before what to type."""
    guide.start(kind)
    focus.want(focus.TOP)


def _can_be_done_alone(suggested: Sequence[str]) -> bool:
    """Tell whether there is one test to choose from, and the tools for it are there."""
    return len(suggested) == 1 and can_be_taken(suggested[0], state.part("gear").get("have", ()))


def _got_in_tells_nothing(suggested: Sequence[str]) -> bool:
    """Tell whether neither a reading of the sheet nor a test that may come next depends on what got in."""
    kinds = {*suggested, *(reading["kind"] for reading in state.raw().get("reading", []))}
    return bool(suggested) and kinds <= UNMOVED


def _is_to_start() -> bool:
    """Tell whether a first test is to be started; another one is looked at before it stands in the sheet."""
    return not _is_unsound() and not state.raw().get("reading")


def show(entry: state.Typed[Advice]) -> None:
    """Draw the question, what was told before it, and the way on and back."""
    here = at()
    if here < ANSWER:
        passed = {GOT_IN} if st.session_state.get(_PASSED) else set()
        reached = {here, *range(here)} - (passed - {here})
        bars = "".join(f'<i class="{"done" if number in reached else "open"}"></i>' for number in range(ANSWER))
        st.html(f'<div class="progress"><div aria-hidden="true">{bars}</div><p>{here + 1} of {ANSWER}</p></div>')
        with st.container(key="asking"):
            ASKED[here](entry)
        _ways(entry, here)
    elif entry.answer is None or not guide.waits_for_a_test(entry.answer):
        offer_another(entry)
    has_readings = here == ANSWER and bool(state.raw().get("reading"))
    with st.container(key="told" if here < ANSWER else "told_all"):
        for number in range(here - has_readings):
            _told(str(number), _SHORT[number], _said(number), _go_back, number)
        if has_readings:
            _told_readings()
    st.button("Show all questions at once", key="check_all", type="tertiary", on_click=choose, args=(state.ALL,))


def offer_another(entry: state.Typed[Advice], kind: Literal["primary", "secondary"] = "secondary") -> None:
    """Offer to do another test, or to answer what the answer waits for: no test settles that."""
    if _asks(entry):
        words = "Say what may have got in"
        st.button(words, key="guided_questions", type=kind, on_click=_say_what_got_in, width="stretch")
        return
    readings = state.raw().get("reading", [])
    words = "Do another test" if readings else "Do a test"
    done = len(readings) if entry.current else 0
    st.button(words, key="guided_again", type=kind, on_click=_do_another, args=(done,), width="stretch")


def offer_to_mend(entry: state.Typed[Advice]) -> bool:
    """Lead to the first field to fix, or from steps of before to what they wait for; tell whether there is one."""
    of_fields = [place for place in entry.errors if _is_to_mend(place, entry)]
    if not of_fields:
        return False
    words = "To what is missing" if entry.errors[of_fields[0]].fault is Fault.MISSING else "To the field to fix"
    leads = entry.answer is None or state.question() in (None, ANSWER)
    kind: Literal["primary", "secondary"] = "primary" if leads else "secondary"
    st.button(words, key="guided_mend", type=kind, on_click=_mend, args=of_fields[:1], width="stretch")
    return True


def _is_to_mend(place: str, entry: state.Typed[Advice]) -> bool:
    """Tell whether there is a field for what is wrong at a place; what is merely missing greys steps of before."""
    tables = ("bath: ", "reading ") if state.question() is not None else ("",)
    has_steps = entry.answer is not None and bool(entry.answer.steps)
    is_due = has_steps or entry.errors[place].fault is not Fault.MISSING
    return is_due and ": " in place and place.startswith(tables)


def _mend(place: str) -> None:
    """Go to the field of a place of the sheet: to the question that draws it, else to all at once."""
    table, _, name = place.partition(": ")
    here = question_of(place) if state.question() is not None else None
    if here is None or (here == TEST and _is_unsound()):
        choose(state.ALL)
    elif here == TEST:
        _go_to_reading(int(table.split()[1]))
    else:
        _go_back(here)
    focus.want(state.key_of(table, name.partition(" row ")[0]))


def question_of(place: str) -> int | None:
    """Return the question whose fields hold a place of the sheet such as "bath: volume"; None where it is of none."""
    table, _, name = place.partition(": ")
    if table == "bath":
        return GOT_IN if name.partition(" row ")[0] in QUESTIONS else TANK
    return TOOLS if table == "gear" else TEST if table.startswith("reading ") else None


def _asks(entry: state.Typed[Advice]) -> tuple[str, ...]:
    """Return the fields of the bath that an answer waits for before anything is dosed."""
    return entry.answer.plan.asks if entry.current and entry.answer else ()


def choose(way: str) -> None:
    """Show all at once or one question after the other."""
    st.session_state[state.WAY] = way
    st.query_params.pop("way", None)


def begin() -> None:
    """Go to the first question, by another page's button; what the person has to hand is remembered."""
    choose(state.STEPS)
    _begin_at(0)
    if not state.part("gear") and not state.is_example():
        for name, value in saving.gear_of_last_check().items():
            state.put("gear", name, value)
    st.switch_page(PAGES / "check.py")


def begin_test(kind: str) -> None:
    """Go to the question in which a test of this kind is begun, by another page's button."""
    choose(state.STEPS)
    _start(kind)
    _begin_at(TEST)
    st.switch_page(PAGES / "check.py")


def begin_again(before: Sequence[str]) -> None:
    """Go to the test to do again of the bath in the fields, by another page's button; else to the first question.

    before: the kinds of reading that its last check rests on. The one that would settle most now comes first.
    """
    entry = state.enter("check", advise)
    suggested = [found.kind or "" for found in guide.suggestions(entry)]
    have = state.part("gear").get("have", ())
    again = [kind for kind in suggested if kind in before] + [kind for kind in before if kind in READ]
    again += [kind for kind in suggested if can_be_taken(kind, have)]
    if again:
        begin_test(again[0])
    choose(state.STEPS)
    _begin_at(0)
    st.switch_page(PAGES / "check.py")


def _go(to: int, tests_done: int, onward: bool = False, reading: int | None = None) -> None:
    """Go to a question, or to a reading, from 1; onward: to whatever comes next.

    tests_done: how many there are, where another is asked for.
    """
    if state.first_tap("guided"):
        readings = state.raw().get("reading", [])
        if reading and reading <= len(readings):
            st.session_state[_READING] = readings[reading - 1], readings[-1]
        st.session_state[state.QUESTION] = to
        st.session_state[_ANOTHER] = tests_done
        st.session_state[_WENT_ON] = onward
        st.session_state[_UNANSWERED] = st.session_state[_STRAIGHT] = False
        focus.want(focus.TOP)


def _say_what_got_in() -> None:
    """Go to the question that the answer waits for: no test that is done is passed a second time after it."""
    _go_back(GOT_IN)
    st.session_state[_STRAIGHT] = True


def _go_back(to: int) -> None:
    """Go to an earlier question; another test that was asked for is still to be started."""
    _go(to, st.session_state.get(_ANOTHER, 0))


def _go_to_reading(number: int) -> None:
    """Go to a reading, from 1: its card, and what was typed."""
    _go(TEST, 0, reading=number)


def _do_another(done: int) -> None:
    """Go to the next test; by way of what got in, where that was passed over."""
    _go(GOT_IN if st.session_state.get(_PASSED) else TEST, done, onward=True)


def _go_on(here: int) -> None:
    """Go to the next question; a tank without its volume is asked for once more."""
    field = state.key_of("bath", "volume")
    # What was typed a moment ago, here or beside the answer, may not have reached the sheet before this tap.
    typed = [st.session_state.get(key) for key in (field, state.key_of("bath", "volume_asked"))]
    unanswered = here == TANK and not (state.part("bath").get("volume") or any(typed))
    wrong = _wrong_at(here)
    if wrong:
        focus.want(wrong)
    elif not unanswered or st.session_state.get(_UNANSWERED):
        to = ANSWER if here == GOT_IN and st.session_state.get(_STRAIGHT) else here + 1
        _go(to, 0 if to == ANSWER else st.session_state.get(_ANOTHER, 0), onward=True)
    elif state.first_tap("guided"):
        st.session_state[_UNANSWERED] = True
        focus.want(field)


def _wrong_at(here: int) -> str | None:
    """Return the key of the first field of a question with what cannot be used; what is wrong is said at it."""
    place = f"reading {_shown()}" if here == TEST and state.raw().get("reading") else "bath"
    names = _drawn_at(here)
    table, given = state.table_of(place), state.part(place)
    for name in names:
        field, typed = fields_of(table)[name], st.session_state.get(state.key_of(place, name))
        if typed and isinstance(field, QuantityField):
            unit = fields.unit_at(field, place, name, str(given.get(name, "")))
            given[name] = fields.with_unit(str(typed), field, unit)
    errors: list[InputError] = []
    read_table(table, given, place, errors)  # whole, since a hydrometer's reading is judged by its scale
    wrong = {error.place for error in errors if error.fault is not Fault.MISSING}
    return next((state.key_of(place, name) for name in names if f"{place}: {name}" in wrong), None)


def _drawn_at(question: int) -> Sequence[str]:
    """Return the names of the fields that a question draws, its folds too: one opens where something in it is wrong."""
    if question == TANK:
        return [name for name in asked_fields(Bath) if name not in QUESTIONS]
    if question == GOT_IN:
        return QUESTIONS
    readings = state.raw().get("reading", [])
    if question != TEST or not readings or _is_unsound() or _wants_another():
        return ()
    return list(asked_fields(KINDS[readings[_shown() - 1]["kind"]]))


def _wants_another() -> bool:
    """Tell whether another test was asked for, and none has been begun since."""
    return bool(st.session_state.get(_ANOTHER)) and st.session_state[_ANOTHER] == len(state.raw().get("reading", []))


def _ways(entry: state.Typed[Advice], here: int) -> None:
    with st.container(horizontal=True, key="guided_acts"):
        if here:
            st.button("Back", key="guided_back", on_click=_go_back, args=(here - 1,), width="stretch")
        last = here == TEST
        begun = not last or (state.raw().get("reading") and not _wants_another())  # what was typed is never skipped
        words = _to_the_answer(entry) if last and _is_read(entry) else "Next" if begun else "Skip"
        elsewhere = last and _leads_elsewhere(entry)
        kind: Literal["primary", "secondary"] = "primary" if begun and not elsewhere else "secondary"
        key = "guided_skip" if words == "Skip" else "guided_next"
        st.button(words, key=key, type=kind, on_click=_go_on, args=(here,), width="stretch")


def _to_the_answer(entry: state.Typed[Advice]) -> str:
    """Say what the way on leads to: an answer, or the word that more is to be measured before there is one."""
    waits = entry.answer is not None and guide.waits_for_a_test(entry.answer)
    return "See what to measure next" if waits else "See the answer"


def _is_read(entry: state.Typed[Advice]) -> bool:
    """Tell whether the answer rests on all the readings that stand in the sheet."""
    return entry.current and entry.answered is not None and bool(entry.answered.readings)


def _leads_elsewhere(entry: state.Typed[Advice]) -> bool:
    """Tell whether the filled button of the page is that of the steps beside the last question, or of the sample."""
    return _is_unsound() or (entry.current and entry.answer is not None and bool(entry.answer.steps))


def _told(place: str, title: str, said: str, go: Callable[[int], None], number: int) -> None:
    """Say in one line what was told to a question, or read, with the way back to it."""
    with st.container(key=f"told_{place}", horizontal=True, vertical_alignment="center"):
        st.html(f"<p><b>{title}</b><br>{unparted(shown(said))}</p>", width="stretch")
        key = f"told_change_{place}"
        st.button("Change", key=key, type="tertiary", on_click=go, args=(number,), width="content")


def _told_readings(leave_out: int | None = None) -> None:
    """Say of each reading in one line what was read, with the way to its card; leave_out: the one that is shown."""
    for number, reading in enumerate(state.raw()["reading"], 1):
        if number != leave_out:
            read = reading.get(TELLS.get(reading["kind"], ""), "")
            said = ", ".join(filter(None, (KINDS[reading["kind"]].label, str(read))))
            _told(f"reading_{number}", f"Reading {number}", said, _go_to_reading, number)


# The field of each kind that says most of what was read: of several weighings the last.
TELLS = {
    **{kind: read[0] for kind, read in READ.items() if kind not in ("photo colour", "pH curve")},  # a list of points
    "weighed density": "with_bath",
    "plated-out copper": "after",
    "cemented copper": "after",
}
AFTER_THE_TEST = (Act.COPPER_WASTE, Act.FOOD_WARE)  # cautions that stand folded with waste and vessels
_SHORT = ("The tank", "Your tools", "What got into it", "Tests")


def _said(number: int) -> str:
    bath = state.part("bath")
    if number == 0:
        told = [str(bath[name]) for name in ("volume", "temperature") if name in bath]
    elif number == 1:
        told = [str(word) for word in state.part("gear").get("have", ())]
    elif number == GOT_IN:
        labels = fields_of(Bath)
        told = [f"{labels[name].label}: {_plainly(bath[name])}" for name in QUESTIONS if name in bath]
    else:
        told = []  # a test that is done is a row of its own
    return (", ".join(told) or "not answered yet").replace("degC", "°C")


def _plainly(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


# --- The questions --------------------------------------------------------------------------------


TO_THE_FIELD = "To what you read ↓"
_PASS_OVER = "needed: no dose can be told without it. To go on all the same, tap Next again."


def _tank(entry: state.Typed[Advice]) -> None:
    if st.session_state.get(_UNANSWERED) and _VOLUME in entry.errors and "volume" not in state.part("bath"):
        entry = replace(entry, errors={**entry.errors, _VOLUME: InputError.missing(_VOLUME, _PASS_OVER)})
    fields.show("bath", entry, main=("volume", "temperature"), more=None)
    fields.one("bath", entry, "condition")
    rest = [name for name in _drawn_at(TANK) if name not in ("volume", "temperature", "condition")]

    def draw() -> None:
        fields.show("bath", entry, main=rest, more=None)
        st.caption(fields.units_note())

    wrong = any(f"bath: {name}" in entry.errors for name in rest)
    fields.folded("Its name, the coldest night and more", "guided_more", wrong, draw)


def _tools(entry: state.Typed[Advice]) -> None:
    st.write("Tap all that you could use. The test is then planned for that.")
    gear_tiles.show(entry)


def _got_in(entry: state.Typed[Advice]) -> None:
    st.session_state[_PASSED] = False
    asked = ", ".join(fields.called(f"bath: {name}").lower() for name in _asks(entry))
    waits = f"Your answer waits for: {asked}. Write 0 g of soda where none ever went in." if asked else ""
    st.write(waits or "Salts and metals read as copper. What you know makes the answer surer; you may skip this.")
    fields.show("bath", entry, main=("touched", "topped_up_with", "soda_added", "soda", "anodes"), more=None)
    guide.from_the_record(entry)


def _test(entry: state.Typed[Advice]) -> None:
    """Draw the test that is under way, or the one to start."""
    if _is_unsound():
        _sound_sample(entry)
        return
    readings = state.raw().get("reading", [])
    if not readings:
        _to_start(entry)
        return
    if _wants_another():
        _to_start(entry)
        _told_readings()
        return
    _under_way(entry, _shown())
    _told_readings(leave_out=_shown())
    with st.expander("Another test", key=f"guided_other_{len(readings)}", on_change="rerun") as other:
        if other.open:
            _to_start(entry, primary=False)


def _is_unsound() -> bool:
    """Tell whether what is seen in the tank makes every test false."""
    return bool(state.part("bath").get("condition"))


def _sound_sample(entry: state.Typed[Advice]) -> None:
    """Say why no test is begun yet, how to take a sound sample, and how to go on with it."""
    seen = [phrases.CONDITION_MEANS.get(name, "") for name in state.part("bath")["condition"]]
    how = (entry.answer and entry.answer.sample) or phrases.SOUND_SAMPLE
    st.html("".join(f"<p>{unparted(shown(text))}</p>" for text in (*filter(None, seen), how)))
    cards.show_drawings([drawings.drawing(drawings.SAMPLE)])
    st.button("I have a sound sample now", key="guided_sound", type="primary", on_click=_take_for_sound)


def _take_for_sound() -> None:
    """Begin the test, now that a sample of the bath tells the truth."""
    state.put("bath", "condition", None)
    state.forget_widgets()
    focus.want(focus.TOP)


def _to_start(entry: state.Typed[Advice], primary: bool = True) -> None:
    suggestions = guide.suggestions(entry)
    if entry.answer is None:
        waits = entry.errors.get(_VOLUME)
        if waits is None or waits.fault is not Fault.MISSING:
            st.write("The plan waits for what does not fit yet: " + ", ".join(map(fields.called, entry.errors)) + ".")
            offer_to_mend(entry)
            return
        st.write("One thing is missing for the plan: how much bath is there?")
        fields.one("bath", entry, "volume", where="_plan")
        return
    if not suggestions:
        st.write("No further test that you have the gear for would settle more.")
    for number, found in enumerate(suggestions):
        guide.say_why(found.kind or "", found.why, found.minutes)
        guide.start_button(found.kind or "", "guided_start", _start, primary=primary and number == 0)
        for again in guide.to_repeat(entry, found.kind or ""):
            st.button(f"To reading {again}", key=f"guided_to_{again}", on_click=_go_to_reading, args=(again,))
    with st.expander("A test that is not listed", key="guided_any", on_change="rerun") as any_test:
        if any_test.open:
            kind = st.selectbox("Test", list(KINDS), format_func=lambda name: KINDS[name].label, key="guided_kind")
            guide.start_button(kind, "guided_any", _start)


def _under_way(entry: state.Typed[Advice], number: int) -> None:
    """Draw the steps of a reading's card to tick, then the field of what is read; the rest is folded."""
    readings = state.raw()["reading"]
    kind = readings[number - 1]["kind"]
    card = how_to.card_of_reading(number, entry)[0]
    which = [f"Reading {number} of {len(readings)}."] if len(readings) > 1 else []
    at_hand = as_taken(kind, state.part("gear").get("have", ()))  # it may have begun at once
    takes = [f"About {at_hand[1]:.0f} minutes. {capital(at_hand[0])}."] if at_hand else []
    if which or takes:
        st.caption(shown(" ".join((*which, *takes))))
    st.button(TO_THE_FIELD, key="guided_to_field", type="tertiary", on_click=focus.want, args=("read_now",))
    _steps(card, number)
    st.subheader("What you read", anchor=False)
    known = asked_fields(KINDS[kind])
    main = TO_ENTER.get(kind) or [name for name, field in known.items() if field.required] or list(known)
    more = "What the plan filled in" if set(known) - {*main, "note"} else "More"
    with st.container(key="read_now"):
        reading_list.show_fields(number, kind, entry, list(main), more=more)
    with st.container(horizontal=True):
        reading_list.offer_once_more(number, kind)
        st.button(
            "Take this test out",
            key=f"guided_remove_{number}",
            type="tertiary",
            on_click=reading_list.remove,
            args=(number, state.widget_round(f"reading {number}")),
        )


def _steps(card: BenchCard, number: int) -> None:
    """Draw the card: what to look for, the steps to tick, and folded what is needed, usual mistakes and waste."""
    later = [text for act in AFTER_THE_TEST for text in cautions_of([act])]
    cards.cautions([text for text in card.cautions if text not in later])
    cards.show_drawings(drawings.of_card(card))
    for text in card.look_for:
        st.html(f"<p>{terms.linked(unparted(shown(text)))}</p>")
    for place, text in enumerate(card.steps, 1):
        terms.note(text)
        card_ticks.box(fields.plain(shown(text)), number, place, text)
    how_to.lead_to_others(card, f"guided_{number}")
    timer.show(waits(card), f"guided_{number}")
    with st.expander("What you need, usual mistakes, waste, all cautions"):
        cards.sections([block for block in card.sections() if block.title not in ("Steps", "What to look for")])


ASKED: tuple[Callable[[state.Typed[Advice]], None], ...] = (_tank, _tools, _got_in, _test)
