"""How a test is done, beside the test: its bench card with its picture, folded, and worked out only once it is open.

The numbers are those of `bench.cards` for what is typed and sound so far. A person opens a card before the fields
of its reading are filled, so a reading that is not usable yet must not take away the numbers of the others.
"""

from __future__ import annotations

import streamlit as st

from advisor.basis.fields import SheetError, fields_of, read_table
from advisor.basis.places import PAGES
from advisor.bench.cards import DUPLICATED, BenchCard, Repeats, bench_card, label_of, sound_part
from advisor.readings import KINDS
from advisor.sheet import Sheet, read_sheet
from advisor.ui import drawings, fields
from advisor.ui.look.pages_list import PAGES_IN_ORDER
from advisor.ui.parts import cards, focus
from advisor.ui.session import state

BEGUN_NOTE = "The card of the test under way, as it was planned. For other tools take that test out on Check first."
METHODS, CHOSEN = "methods.py", "methods_kind"  # the page that has all cards, and in the session the one that it shows
USUAL_NOTE = "These are the numbers for a usual bath. Say what yours is, and they become yours."
WITH_TITRANT = frozenset(kind for kind, table in KINDS.items() if "strength" in fields_of(table))
_KEPT = "bench_cards"
_LED = "methods_led_by"  # session: each card that was led to, with the page and the card that led there


def show(kind: str, entry: state.Typed[object], title: str, key: str, number: int | None = None) -> None:
    """Draw the card of a kind of reading, folded under `title`; number: of a reading of the sheet, from 1."""
    folded = st.expander(title, key=key, on_change="rerun")
    if not folded.open:
        return
    with folded:
        card, own = card_of_reading(number, entry) if number else card_of(kind, entry)[::2]
        if not own:
            st.write(USUAL_NOTE)
        show_card(card, key)
        _lead_to_methods(kind, "Print it or change the gear, on the page Methods →", f"{key}_page", kind)


def show_card(card: BenchCard, key: str) -> None:
    """Draw a bench card, with the drawings of its kind and the way to the cards that it names."""
    cards.show_drawings(drawings.of_card(card))
    cards.sections(card.sections(), at_the_act=True)
    lead_to_others(card, key)


def lead_to_others(card: BenchCard, key: str) -> None:
    """Lead to each card that a card names."""
    for kind in card.others:
        _lead_to_methods(kind, f"To the card {label_of(kind)} →", f"{key}_{kind}", card.kind)


def _lead_to_methods(kind: str, words: str, key: str, led_by: str) -> None:
    """Lead to the card of a kind on the page Methods; led_by: the card that leads there."""
    if st.button(words, key=key, type="tertiary", on_click=_choose_on_methods, args=(kind, led_by)):
        st.switch_page(PAGES / METHODS)


def _choose_on_methods(kind: str, led_by: str) -> None:
    """Choose a test on that page before it is drawn, which may be the page that is open."""
    before = st.session_state.get(_LED, ()) if state.page() == _titles()[METHODS] else ()
    st.session_state[_LED] = (*before, (kind, state.page(), led_by))
    st.session_state[CHOSEN] = kind
    focus.want(focus.TOP)


def forget_what_led() -> None:
    """Forget the way back: a person chose another card."""
    st.session_state.pop(_LED, None)


def lead_back(kind: str, key: str) -> None:
    """Lead back to the card, or the page, that led to the card of a kind on the page Methods; else draw nothing."""
    led = st.session_state.get(_LED, ())
    if not led or led[-1][0] != kind:
        return
    *before, (_, page, led_by) = led
    words = f"← Back to {page if led_by == kind else label_of(led_by)}"
    if page == _titles()[METHODS]:
        st.button(words, key=f"{key}_{kind}", type="tertiary", on_click=_go_back, args=(led_by, tuple(before)))
    else:
        st.page_link(PAGES / next(file for file, title in _titles().items() if title == page), label=words)


def _go_back(kind: str, led: tuple[tuple[str, str, str], ...]) -> None:
    """Choose the card before on the page Methods; led: what led there."""
    st.session_state[CHOSEN], st.session_state[_LED] = kind, led
    focus.want(focus.TOP)


def _titles() -> dict[str, str]:
    """Return what each page is called, by its file."""
    return {page.file: page.title for page in PAGES_IN_ORDER}


def ask_for_a_panel(entry: state.Typed[object]) -> None:
    """Draw the fields of a Hull cell panel, folded, with what to look for on one."""
    with st.expander("If you plated a Hull cell panel"):
        fields.show("hull_cell", entry)
        st.html(drawings.large(drawings.drawing(drawings.HULL_CELL)))


def card_of(kind: str, entry: state.Typed[object]) -> tuple[BenchCard, Sheet, bool]:
    """Return the card of a kind for what is typed and sound, that sheet, and whether the bath is the person's own."""
    sheet, own = (entry.sheet, True) if entry.sheet else sound_part(_typed(), entry.errors)
    return _kept_card(kind, sheet), sheet, own


def card_of_reading(number: int, entry: state.Typed[object]) -> tuple[BenchCard, bool]:
    """Return the card of a reading of the sheet, from 1, and whether the bath is the person's own.

    By the plan that the reading was begun with: its own result would else change the sample of a test under way.
    """
    kind, planned = state.raw()["reading"][number - 1]["kind"], state.plan_of(number)
    if planned:
        return _kept_card(kind, planned, is_begun=True, repeats=_repeated_by(number)), True
    card, _, own = card_of(kind, entry)
    return card, own


def card_to_print(kind: str, entry: state.Typed[object]) -> tuple[BenchCard, Sheet, str]:
    """Return the card of a kind for a page of its own, its sheet, and what to say of whose bath it is, if anything.

    A test that waits for its numbers keeps its plan: one made anew may take another sample than is filled in.
    """
    waiting = {place.partition(":")[0] for place in entry.errors}
    for number, reading in enumerate(state.raw().get("reading", []), 1):
        planned = state.plan_of(number) if reading["kind"] == kind and f"reading {number}" in waiting else None
        if planned:
            return _kept_card(kind, planned, is_begun=True, repeats=_repeated_by(number)), planned, BEGUN_NOTE
    card, sheet, own = card_of(kind, entry)
    return card, sheet, "" if own else USUAL_NOTE


def _repeated_by(number: int) -> Repeats | None:
    """Return what a reading of the sheet, from 1, is a duplicate of: the last before it that is read, by the same plan.

    A test that was started anew has a plan of its own, and with it another sample or titrant.
    """
    raw, planned = state.raw()["reading"], state.plan_of(number)
    kind = raw[number - 1]["kind"]
    alike = [at for at in range(number - 1, 0, -1) if raw[at - 1]["kind"] == kind and state.plan_of(at) == planned]
    for at in alike if kind in DUPLICATED else ():
        reading = read_table(KINDS[kind], state.part(f"reading {at}"), f"reading {at}", [])
        if reading is not None:
            return Repeats(sound_sheet(before=number), reading)
    return None


def _kept_card(kind: str, sheet: Sheet, is_begun: bool = False, repeats: Repeats | None = None) -> BenchCard:
    """Return a bench card, which is worked out once for a sheet, and for a duplicate once for what was read before."""
    kept, place = st.session_state.setdefault(_KEPT, {}), (kind, is_begun, repeats is not None)
    if place not in kept or kept[place][0] != (sheet, repeats):
        kept[place] = (sheet, repeats), bench_card(kind, sheet, is_begun, repeats)
    card: BenchCard = kept[place][1]
    return card


def sound_sheet(before: int | None = None) -> Sheet:
    """Return what is typed and sound so far, for a plan; before: the number of the first reading that is left out."""
    typed = _typed()
    if before:
        typed["reading"] = state.raw()["reading"][: before - 1]
    try:
        return read_sheet(typed)
    except SheetError as error:
        return sound_part(typed, [single.place for single in error.errors])[0]


def _typed() -> dict[str, object]:
    """Return what is typed of the bath, without the tables of the other questions."""
    return {name: part for name, part in state.raw().items() if name not in Sheet.QUESTIONS}
