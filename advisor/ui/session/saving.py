"""Saving to the logbook from the pages that check and correct a bath: the check itself, and each step as it was done.

A page calls `offer_to_record` below its answer. What is written, and what can go wrong, is the logbook's business.
"""

from __future__ import annotations

import datetime
import html
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

import streamlit as st

from advisor.basis.fields import InputError, fields_of
from advisor.check.advice import Advice
from advisor.record.asked import own_readings
from advisor.record.at_hand import BathAtHand, at_hand, of_correction
from advisor.record.correcting import after
from advisor.record.done_steps import MEASURE_AGAIN, amount_field, content_of_step
from advisor.record.entries import Check, Content, Entry, Noted, raw_toml
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.overview import corrected_on
from advisor.sheet import Bath, Sheet, parse_toml, write_sheet
from advisor.ui.fields import complain, plain, with_unit
from advisor.ui.look.own_units import shown
from advisor.ui.session import state, ticks, unfinished
from advisor.words.lines import in_a_jug, line

_LOOKED_UP = "saved_looked_up"  # texts that were sought in the logbook
DONE_ELSEWHERE = (
    "Steps of this correction stand in the logbook already, of {day}: they were saved in another tab, or written down. "
    "To count nothing twice, these were not saved"
)
THEN_MEASURE = "Measure again before you add more; what is missing in the logbook you can write down there"
NAME = fields_of(Bath)["name"]
FEW_BATHS = 3  # that have a button each, where a check without a name is saved (judgement)
_SAVED = "saved_checks"  # texts of the sheets that this visit has recorded, so that no tap records one twice


def offer_to_record(sheet: Sheet, advice: Advice, done: int) -> None:
    """Offer to file this check in the logbook, and with it the first `done` steps, with the amounts really used."""
    text = write_sheet(sheet)
    saved = st.session_state.setdefault(_SAVED, {})
    if not sheet.bath.name.strip():
        _save_under_a_name(sheet, advice, done)
        return
    _look_up(sheet.bath.name, text, saved)
    _count_as_before(text, advice, saved)
    written = ticks.saved(saved.get(text))
    is_open = done > len(written)
    with st.container(key="saving"):
        if text in saved:
            st.html(f'<p role="status">Saved in the logbook of this bath as entry {saved[text]}.</p>')
        for number, entry in enumerate(written[:done], 1):
            st.html(f'<p role="status">Step {number} is saved as entry {entry}.</p>')
        if text not in saved:
            words = _words(done)
        elif is_open:
            words = "Save what you did"
        else:
            return
        if st.button(words, key="saving_check", width="stretch") and save_now(sheet, advice, done):
            _begin_anew()


def _words(done: int) -> str:
    return "Save check and steps done" if done else "Save this check"


def _save_under_a_name(sheet: Sheet, advice: Advice, done: int) -> None:
    """Ask for the name and save with one tap; the name goes into the sheet once the logbook has it."""
    name = _name_asked(_words(done), "saving")
    if name is None:
        return
    named = replace(sheet, bath=replace(sheet.bath, name=name))
    if save_now(named, advice, done):
        state.put("bath", "name", named.bath.name)
        _begin_anew()


def _name_asked(words: str, place: str) -> str | None:
    """Ask of which bath the record is to be; return its name in the run in which that was sent off, else None.

    A form, so that the field and the tap arrive together, and Enter in the field saves too.
    """
    key = state.key_of("bath", "name_asked")
    with st.container(key=place):
        with st.form(f"{place}_name", border=False):
            name = st.text_input(NAME.label, key=key, placeholder="Such as: big tank")
            tapped = st.form_submit_button(words, key=f"{place}_check", width="stretch")
        for number, known in enumerate(_known_baths()):
            if st.button(f"Save to {plain(known)}", key=f"{place}_to_{number}", type="tertiary", width="stretch"):
                name, tapped = known, True
    if not tapped:
        return None
    try:
        if not name.strip():
            raise InputError.missing("bath: name", "needed: a name, so that the logbook finds this bath again.")
        return str(NAME.read(name.strip(), "bath: name"))
    except InputError as error:
        complain(error)
        return None


def offer_to_write(bath: str, content: Content, words: str, place: str) -> Entry | None:
    """Offer to write an entry into the record of a bath, of which the name is asked where the sheet has none.

    Returns the entry in the run in which it was written, else None. place: a name for where on the pages.
    """
    name: str | None = bath.strip()
    if not name:
        name = _name_asked(words, place)
    elif not st.button(words, key=f"{place}_write"):
        name = None
    if name is None or not state.first_tap(f"write {place}"):
        return None
    try:
        entry = Logbook().record(name, content)
    except (LogbookError, InputError) as error:
        st.error(plain(str(error)))
        return None
    written = html.escape(shown(content.summary()).rstrip("."))
    st.html(f'<p role="status">Written down as entry {entry.id}: {written}.</p>')
    return entry


def offer_to_note(entry: state.Typed[object], said: str, place: str) -> None:
    """Offer to keep what an answer says, in short, as a note in the record of its bath."""
    if entry.current and entry.answered is not None:
        offer_to_write(entry.answered.bath.name, Noted(note=said), "Write this down", place)


def _known_baths() -> tuple[str, ...]:
    """Return the baths of the record, where they are few enough for a button each."""
    try:
        known = Logbook().baths()
    except LogbookError as error:
        st.error(plain(str(error)))
        return ()
    return known if len(known) <= FEW_BATHS else ()


def _look_up(name: str, text: str, saved: dict[str, int]) -> None:
    """Note a check that an earlier visit saved: one that goes on with a draft does not know of it."""
    looked_up = st.session_state.setdefault(_LOOKED_UP, set())
    if text in saved or text in looked_up:
        return
    looked_up.add(text)
    with suppress(LogbookError, InputError):  # told once it is saved
        entry = _stands_as(at_hand(Logbook(), name).entries, text)
        if entry is not None:
            saved[text] = entry


def _count_as_before(text: str, advice: Advice, saved: dict[str, int]) -> None:
    """Note for a sheet of which only little was changed since steps were saved that its check stands in the logbook.

    Filed anew it would stand after those steps, and they would be counted twice.
    """
    ticked = ticks.ticked()
    if text not in saved and ticked and len(ticked.saved) > 1 and ticks.are_of(advice.steps):
        saved[text] = ticked.saved[0]


def rests_on_the_readings_of(check: int, sheet: Sheet) -> bool:
    """Tell whether a sheet has the very readings of a check of its bath's record, by the number of that."""
    with suppress(LogbookError, InputError):
        for entry in at_hand(Logbook(), sheet.bath.name).entries:
            if entry.id == check and isinstance(entry.content, Check):
                return own_readings(raw_toml(entry.content.sheet)) == own_readings(raw_toml(write_sheet(sheet)))
    return False


def _stands_as(entries: Sequence[Entry], text: str) -> int | None:
    """Return the number of the first check among the entries of a bath whose sheet reads so; None where none does."""
    checks = ((entry.id, entry.content) for entry in entries if isinstance(entry.content, Check))
    return next((number for number, check in checks if check.sheet == text), None)


def corrected_since(sheet: Sheet, with_own: bool = False) -> datetime.date | None:
    """Return the day of the last step that the record holds after this very check, and that this visit did not save.

    with_own: or did. None where it holds none, or cannot be read: that is told where something is saved.
    """
    filed = from_its_check(sheet)
    return done_elsewhere(filed, () if with_own or not filed else ticks.saved(filed[0].id))


def corrected_since_saved(sheet: Sheet) -> datetime.date | None:
    """As `corrected_since` with this visit's own steps, for a page drawn at each change: most sheets are not saved."""
    text, saved = write_sheet(sheet), st.session_state.setdefault(_SAVED, {})
    if not sheet.bath.name.strip():
        return None
    _look_up(sheet.bath.name, text, saved)
    return corrected_since(sheet, with_own=True) if text in saved else None


def from_its_check(sheet: Sheet) -> Sequence[Entry]:
    """Return the entry of this very check and those of its bath after it; none where it is not filed, or not read."""
    text = write_sheet(sheet)
    with suppress(LogbookError, InputError):
        entries = at_hand(Logbook(), sheet.bath.name).entries
        return _from(entries, _stands_as(entries, text))
    return ()


def _from(entries: Sequence[Entry], check: int | None) -> Sequence[Entry]:
    """Return the entries of a bath from the check of this number on; none without it."""
    return next(((entry, *after(entries, entry)) for entry in entries if entry.id == check), ())


def done_elsewhere(filed: Sequence[Entry], own: Sequence[int]) -> datetime.date | None:
    """Return the day of the last step that the entries from a check on hold, without those of this visit."""
    if not filed or not isinstance(filed[0].content, Check):
        return None
    return corrected_on(filed[0].content, [entry for entry in filed[1:] if (entry.corrects or entry.id) not in own])


def gear_of_last_check() -> state.Raw:
    """Return what the person had to hand at the last check of the record, as its sheet says; empty where none tells."""
    try:
        last = Logbook().last_check()
        gear: state.Raw = parse_toml(last.sheet.encode("utf-8")).get("gear", {}) if last else {}
    except (LogbookError, InputError):  # a page has said so already, or the sheet is of other rules
        return {}
    return gear


def steps_saved(sheet: Sheet) -> int:
    """Return how many steps of this correction the visit has saved."""
    return len(ticks.saved(st.session_state.get(_SAVED, {}).get(write_sheet(sheet))))


def not_recorded(sheet: Sheet, advice: Advice, done: int) -> BathAtHand:
    """Return what a record of a bath without a name would say of a check and its first steps.

    Raises InputError for an amount that cannot be read.
    """
    named = replace(sheet, bath=replace(sheet.bath, name=unfinished.NAMELESS))
    return of_correction(named, advice, [_content(number, advice) for number in range(1, done + 1)])


def is_saved(sheet: Sheet, entry: int) -> None:
    """Remember that a check stands in the logbook already, as the entry of this number."""
    st.session_state.setdefault(_SAVED, {})[write_sheet(sheet)] = entry


def save_now(sheet: Sheet, advice: Advice, done: int) -> bool:
    """Save the check, unless it is, and the first `done` steps that are not yet: all or nothing; or say why not.

    Tells whether they stand in the record now.
    """
    saved, text = st.session_state.setdefault(_SAVED, {}), write_sheet(sheet)
    _count_as_before(text, advice, saved)
    before = ticks.saved(saved.get(text))
    try:
        steps = [_content(number, advice) for number in range(len(before) + 1, done + 1)]
        with Logbook().at_one_time(write=True) as book:
            entries = _write(book, sheet, advice, steps, before)
    except InputError as error:
        complain(error)
    except LogbookError as error:
        st.error(plain(str(error)))
    else:
        numbers = [entry.id for entry in entries]
        if text not in saved:
            saved[text] = numbers.pop(0)
        ticks.note_saved(saved[text], [*before, *numbers])
        return True
    return False


def _begin_anew() -> None:
    unfinished.done()
    st.rerun()


def _write(
    book: Logbook, sheet: Sheet, advice: Advice, steps: Sequence[Content], before: Sequence[int]
) -> tuple[Entry, ...]:
    """Write the check, unless it stands in the record, and the steps that come after those `before`, the visit's own.

    Raises LogbookError where the record holds steps of it that this visit has not saved.
    """
    saved, text = st.session_state[_SAVED], write_sheet(sheet)
    entries = at_hand(book, sheet.bath.name).entries
    if text not in saved and (there := _stands_as(entries, text)):  # another tab was faster
        saved[text] = there
    if steps and text in saved and (day := done_elsewhere(_from(entries, saved[text]), before)):
        raise LogbookError(DONE_ELSEWHERE.format(day=day), THEN_MEASURE)
    return book.record_correction(sheet, None if text in saved else advice, steps)


def _content(number: int, advice: Advice) -> Content:
    """Return the entry of a step with what was really used; the last one says to measure again."""
    step = advice.steps[number - 1]
    typed = with_unit(ticks.used(number, step), amount_field(step.what))
    return content_of_step(step.what, step.numbers, typed, note_of(number, advice))


def note_of(number: int, advice: Advice) -> str:
    """Return what the entry of a step, counted from 1, says beside its amount."""
    step = advice.steps[number - 1]
    if number == len(advice.steps):
        return MEASURE_AGAIN
    waits = step.kept_back if step.what == "water" else 0.0
    return line("{litres} of it goes in with a later step.", litres=in_a_jug(waits)) if waits else ""
