"""The parts of the page Home: a card for each bath of the record, the ways in, and how to begin."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from functools import partial
from typing import Literal
from urllib.parse import quote

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.examples import EXAMPLES
from advisor.record.at_hand import at_hand
from advisor.record.drafts import KeptDraft
from advisor.record.entries import Check
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.overview import Overview, trail
from advisor.sheet import parse_sheet
from advisor.ui import drawings
from advisor.ui.charts.small_map import small_map
from advisor.ui.fields import plain
from advisor.ui.look.own_units import chosen, unparted
from advisor.ui.parts import record_parts
from advisor.ui.parts.due import in_short as due_in_short
from advisor.ui.session import saving, state, unfinished
from advisor.ui.session.sheet_box import EXAMPLE_LABELS
from advisor.words.lines import in_units
from advisor.words.names import warned_of

Filled = Literal["primary", "secondary"]
# What people come for: its drawing, what they say, and the page with its place.
WAYS_IN: tuple[tuple[str, str, str, dict[str, str]], ...] = (
    (drawings.WISHES[0], "It plates dull, rough or burnt", "deposit_faults.py", {}),
    (drawings.WISHES[1], "The level has dropped", "check.py", {"way": "level"}),
    (drawings.WISHES[2], "Top up or remake?", "keep_or_remake.py", {}),
)


def go_on_to_an_example() -> None:
    """Open the page Check where the visit begins with an example, by the address or the command line."""
    if state.example_asked_for() and state.is_new():
        state.raw()
        st.switch_page(PAGES / "check.py")


def ways_in() -> None:
    """Show the three things that people come for as tiles, one tap each."""
    with st.container(horizontal=True, key="ways_in"):
        for number, (picture, words, file, place) in enumerate(WAYS_IN):
            with st.container(key=f"wish_{number}"):
                st.html(drawings.drawing(picture).image(decorative=True))
                st.page_link(PAGES / file, label=words, query_params=place or None, width="stretch")


def baths(logbook: Logbook) -> int:
    """Show the state of each bath of the record, and return how many there are."""
    names = logbook.baths()
    found = [at_hand(logbook, name).overview(datetime.datetime.now(datetime.UTC)) for name in names]
    urgent = sorted(range(len(found)), key=lambda number: (not found[number].is_out(), found[number].corrected is None))
    worst = next((number for number in urgent if found[number].is_out() or found[number].corrected), None)
    left = unfinished.corrections_left()
    for number, one in enumerate(found):
        _bath(number, one, logbook, _since(one, left), first_to_do=number == worst)
    for warning in warned_of(names):
        st.caption(plain(warning))
    return len(names)


def _since(found: Overview, left: Mapping[str, KeptDraft]) -> KeptDraft | None:
    """Return what is ticked of a bath's correction and not saved; what was before its last check is of another one."""
    kept = left.get(found.bath)
    return kept if kept and (found.check is None or kept.when.astimezone() > found.check.written) else None


def _bath(number: int, found: Overview, logbook: Logbook, left: KeptDraft | None, first_to_do: bool) -> None:
    today = datetime.date.today()
    mark, tone = ("●", "inside") if found.is_in() else ("■", "outside") if found.is_out() else ("◐", "open")
    due = " class='due'" if found.is_due(today) else ""
    again = unparted(in_units(found.next_check(today), chosen()))
    when = "" if found.is_out() and not found.is_old() else f"<p{due}>{again}</p>"
    with st.container(border=True, key=f"home_bath_{number}"):
        st.subheader(plain(found.bath), anchor=False)
        st.html(
            f'<div class="bath">{_picture(found, logbook)}<div><p class="{tone}"><b>{mark} {unparted(found.state())}'
            f"</b></p>{when}<p class='from'>{unparted(found.history())}</p></div></div>"
        )
        _say_what_is_not_saved(left)
        due_in_short(logbook, found.bath, datetime.datetime.now(datetime.UTC))
        _acts(number, found, logbook, left, first_to_do)


def _say_what_is_not_saved(left: KeptDraft | None) -> None:
    """Say that steps were ticked which the record does not know of: what it has as still to do may be in the bath."""
    if left and left.draft.ticks:
        many = len(left.draft.ticks.not_saved().done)
        which, them = ("a step", "it") if many == 1 else (f"{many} steps", "them")
        st.html(f'<p class="due">You ticked {which} and did not save {them}: go on correcting, and save.</p>')


def _to_correct(found: Overview, left: KeptDraft | None) -> str:
    """Return what the button says that leads to a bath's correction; empty where there is none."""
    if found.left or left:
        return "Go on correcting"
    return "Correct it" if found.is_out() else ""


def _acts(number: int, found: Overview, logbook: Logbook, left: KeptDraft | None, first_to_do: bool) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        filled: Filled = "primary" if first_to_do else "secondary"
        # What the last check found may no longer be so; of a correction that was begun the rest still holds.
        anew = bool(found.corrected and not found.left) or found.is_old()
        correct: Filled = "secondary" if anew else filled
        words = _to_correct(found, left)
        if words and st.button(words, key=f"home_correct_{number}", type=correct):
            correct_it(found, left)
        measure: Filled = filled if anew else "secondary"
        if st.button("Check it now", key=f"home_check_{number}", type=measure):
            check_again(found, logbook)
        if st.button("Its logbook", key=f"home_logbook_{number}"):
            st.session_state["logbook_bath"] = found.bath  # what the page Logbook opens with
            st.switch_page(PAGES / "logbook.py")


def _picture(found: Overview, logbook: Logbook) -> str:
    """Return the bath on its map with the trail of its checks; nothing where no check tells both or knows no window."""
    content = found.check.content if found.check else None
    points = trail(at_hand(logbook, found.bath).entries)
    if not isinstance(content, Check) or not points:
        return ""
    salt, acid = content.limits("copper_sulfate"), content.limits("sulfuric_acid")
    if salt is None or acid is None:
        return ""
    try:
        coldest = parse_sheet(content.sheet.encode("utf-8")).bath.coldest.value
    except InputError:  # written under other rules, or changed by another hand
        return ""
    words = unparted(f"Map of the bath {found.bath}: {found.state()}")
    return f'<img src="data:image/svg+xml,{quote(small_map((salt, acid), points, coldest))}" alt="{words}">'


def correct_it(found: Overview, left: KeptDraft | None) -> None:
    """Open the page Correct with the last check of a bath, or with what is ticked of it and not saved (left)."""
    if left:
        unfinished.go_on(left)
        st.switch_page(PAGES / "correct.py")
    assert found.check is not None
    assert isinstance(found.check.content, Check)
    try:
        sheet = parse_sheet(found.check.content.sheet.encode("utf-8"))
    except InputError as error:  # written under other rules, or changed by another hand
        st.error(plain(f"The sheet of that check cannot be read any more ({error}). Check the bath anew."))
        return
    state.load_sheet(sheet)
    saving.is_saved(sheet, found.check.id)
    st.switch_page(PAGES / "correct.py")


def offer_to_correct() -> None:
    """Offer the baths of the record that are to be corrected, one tap each, where nothing was typed."""
    logbook, now = Logbook(), datetime.datetime.now(datetime.UTC)
    try:
        found = [at_hand(logbook, name).overview(now) for name in logbook.baths()]
    except (LogbookError, InputError) as error:
        st.error(plain(str(error)))
        return
    for number, one in enumerate(each for each in found if (each.is_out() and not each.is_old()) or each.goes_on()):
        words = "Go on correcting" if one.goes_on() else "Correct"
        if st.button(f"{words}: {plain(one.bath)}", key=f"correct_bath_{number}"):
            correct_it(one, _since(one, unfinished.corrections_left()))


def check_again(found: Overview, logbook: Logbook) -> None:
    """Open the page Check with what the record knows of a bath."""
    known = at_hand(logbook, found.bath)
    carried = known.carried(datetime.datetime.now(datetime.UTC))
    if carried is not None:
        record_parts.begin_next(carried, known)
    else:
        state.load({"bath": {"name": found.bath}})
        st.switch_page(PAGES / "check.py")


def how_to_begin(first_visit: bool) -> None:
    """Show how to start with a bath of one's own, and examples to play with, marked as such."""
    if first_visit:
        st.write(
            "Say how much is in the tank. You are told which test is worth doing with what you have in the house, and "
            "what to add."
        )
    begun = bool(state.raw()) and not state.is_example() and unfinished.is_open()
    with st.container(horizontal=True, vertical_alignment="center"):
        if begun:
            go_on: Filled = "primary" if first_visit else "secondary"
            _start("Go on with the check you began", "home_go_on", lambda: None, go_on)
        filled: Filled = "primary" if first_visit and not begun else "secondary"
        _start("Check another bath" if begun or not first_visit else "Check my bath", "home_own", begin_own, filled)
        st.page_link(PAGES / "mix.py", label="Mix a new bath →")


def examples() -> None:
    """Show the examples, marked as such, and the way to the words."""
    st.header("Or play with an example", anchor=False)
    st.caption("Invented baths with readings already typed in. Change what you like: none of it is yours.")
    with st.container(horizontal=True):
        for name in EXAMPLES:
            label = f"Example: {EXAMPLE_LABELS.get(name, name)}"
            _start(label, f"home_example_{name}", partial(state.load_example, name))
    st.page_link(PAGES / "glossary.py", label="What do the words mean? →")


def begin_own() -> None:
    """Begin an empty sheet; what the person has to hand is remembered from this visit or the last check."""
    unfinished.pass_over()
    gear = ({} if state.is_example() else state.part("gear")) or saving.gear_of_last_check()
    state.load({"gear": gear} if gear else {})


def _start(label: str, key: str, load: Callable[[], None], filled: Filled = "secondary") -> None:
    if st.button(label, key=key, type=filled):
        load()
        st.switch_page(PAGES / "check.py")
