"""A sheet that was typed and not saved: kept after every change, and offered where nothing has been typed yet.

To the server a page that is loaded anew is a new visit, and so is one that comes back after the computer or the phone
slept for minutes. The first is offered what this device left; the second still holds the mark of its draft, and goes on
by itself. Whose draft it is, the address and the browser tell; behind a proxy they do not, and there nothing is kept.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Literal

import streamlit as st

from advisor.basis.fields import InputError
from advisor.record import drafts
from advisor.record.drafts import Draft, KeptDraft
from advisor.sheet import parse_toml
from advisor.ui.fields import plain
from advisor.ui.session import card_ticks, state, ticks
from advisor.ui.session.device import device as here
from advisor.ui.session.typed import typed
from advisor.words.dates import said as day_said
from advisor.words.lines import counted

OFFERED = 3  # drafts (judgement)
KEPT = "What you typed is kept: nothing of it is lost."
NAMELESS = "a bath without a name"
CHECK, CORRECT = "Check", "Correct"  # titles of pages
UNDER_WAY = datetime.timedelta(hours=12)  # within which a correction is still the one that is under way (judgement)
SHOWN_OF_NAME = 60  # characters (judgement)
BACK = "This page was away for a while. What you had typed is back: check the field that you changed last."
TWICE = (
    "This sheet is open in another tab too, and was changed there. What you type here is kept as a draft of its own."
)
STILL_KEPT = f"It stays kept for {drafts.DAYS} days: on Check, all questions at once, beneath “Start from an example”."
_DRAFT, _NOT_NOW = "draft", "draft_not_now"  # the first: a sheet, the file that it is kept in, and the draft there
_MARK = "draft_mark"
_OFFERED = "draft_offered_on"  # the page that offers what was left, and that


def follow() -> None:
    """Keep this visit's sheet, or begin with that of the page that comes back. Before the page draws its fields."""
    device = here()
    if device is None:
        return
    store()
    path = _path()
    if path is not None and st.session_state.get(_MARK) != path.stem:
        st.session_state[_MARK] = path.stem
    mark = st.text_input("Mark of this page's draft", path.stem if path else "", key=_MARK)  # the style sheet hides it
    if state.is_new() and mark:
        left = next((kept for kept in drafts.recent(device) if kept.path.stem == mark), None)
        if left is not None:
            _go_on(left.path)
            st.toast(BACK, duration="long")  # it floats: the page may be scrolled far down
    _go_on_correcting(device)


def _go_on_correcting(device: str) -> None:
    """Go on with the correction that this device was at, where its page is loaded anew: wet gloves ask for no taps."""
    if not state.is_new() or state.page() != CORRECT or "example" in st.query_params:
        return
    newest = next((kept for kept in drafts.recent(device) if not kept.draft.dismissed), None)
    if newest and newest.draft.ticks and datetime.datetime.now() - newest.when < UNDER_WAY:
        _go_on(newest.path)


def store() -> None:
    """Keep the sheet, if it has changed. A folder that cannot be written is told of where a check is saved."""
    device = here()
    if device is None or state.is_new():
        return
    path = _path()
    if not state.raw():
        if own := _own(path):  # emptied by hand
            with suppress(OSError):
                drafts.drop(own)
        if path is not None:
            del st.session_state[_DRAFT]
        return
    draft = _draft()
    if path is None or st.session_state[_DRAFT][2] != draft:
        with suppress(OSError):
            path = drafts.save(_own(path) or drafts.new_path(device), draft)
            st.session_state[_DRAFT] = (state.raw(), path, draft)


def _draft() -> Draft:
    """Return this visit's sheet as it is kept; safe where all that was typed into it stands elsewhere."""
    steps, plans = card_ticks.done(), state.plans_to_toml()
    safe = state.is_safe() or not (steps or typed(state.raw(), plans) != typed(state.base()))
    return Draft(state.to_toml(), ticks.ticked(), safe, state.question(), plans, steps)


def _own(path: Path | None) -> Path | None:
    """Return the file of this sheet; None where another tab has changed it since, which keeps it and is told of."""
    there = drafts.read(path) if path else None
    if there is None or there.draft == st.session_state[_DRAFT][2]:
        return path
    st.toast(TWICE, duration="long")
    return None


def done() -> None:
    """Note that the sheet is in the logbook now."""
    state.note_safe()
    store()


def _path() -> Path | None:
    """Return the file of this sheet; another sheet, put in its place, has none yet."""
    if state.is_new():
        return None
    sheet, path, _ = st.session_state.get(_DRAFT, (None, None, ""))
    return path if sheet is state.raw() else None


def offer(then: Path | None) -> bool:
    """Offer the sheets that were left unsaved, where nothing was typed yet; `then`: the page to go on with, if another.

    The last one is one tap away, earlier ones are folded. Beside fields it stays when somebody begins to type, so that
    nothing moves. The guided check asks nothing else then, as if what was typed were lost: tells whether it is that.
    """
    left = _left_here(then)
    alone = bool(left) and _asks_one_by_one()
    if not left:
        return False
    with st.container(key="unfinished"):
        if alone:
            st.title("Go on with your check?", anchor=False)
            st.write(KEPT)
        _offer_one(0, left[0], then, alone)
        if alone:
            st.button("Check another bath", key="unfinished_another", on_click=pass_over, width="stretch")
        if len(left) > 1:
            with st.expander("Earlier ones"):
                for number, kept in enumerate(left[1:OFFERED], 1):
                    _offer_one(number, kept, then)
        words = f"Do not offer {'it' if len(left) == 1 else 'them'} again"
        st.button(words, key="unfinished_dismiss", type="tertiary", on_click=_dismiss, args=(left,))
    return alone


def offer_all() -> None:
    """Offer whatever was left, also what was dismissed, where a sheet is begun."""
    for number, kept in enumerate(_left(dismissed=True)):
        _offer_one(number, kept, None, place="kept")


def _offer_one(number: int, kept: KeptDraft, then: Path | None, alone: bool = False, place: str = "unfinished") -> None:
    look: Literal["primary", "secondary"] = "primary" if alone else "secondary"
    width: Literal["stretch", "content"] = "stretch" if alone else "content"
    if st.button(f"Go on: {_describe(kept)}", key=f"{place}_{number}", type=look, width=width):
        _go_on(kept.path)
        if then:
            st.switch_page(then)
        st.rerun()


def _left_here(then: Path | None) -> Sequence[KeptDraft]:
    """Return what is offered on this page: nothing above an example that was asked for, whose answer would sink."""
    if _NOT_NOW in st.session_state:
        return ()
    page, offered = st.session_state.get(_OFFERED, (None, ()))
    left: Sequence[KeptDraft] = ()
    if page == state.page() and not _asks_one_by_one():
        left = offered
    elif state.is_untouched() and (then is not None or not state.is_example()):
        left = _left()
    if left:
        st.session_state[_OFFERED] = state.page(), left
    return left


def _asks_one_by_one() -> bool:
    """Tell whether the page is the guided check."""
    is_check = state.page() == CHECK and "way" not in st.query_params
    return is_check and st.session_state.get(state.WAY) != state.ALL


def _left(dismissed: bool = False) -> list[KeptDraft]:
    """Return the sheets that this device left unsaved, newest first, without the one that is being typed.

    dismissed: also those that nobody wants offered.
    """
    device, own = here(), _path()
    others = [kept for kept in drafts.recent(device) if kept.path != own] if device is not None else []
    left = [kept for kept in others if _is_left(kept.draft) and _holds_something(kept.draft)]
    return left if dismissed else _few_without_name([kept for kept in left if not kept.draft.dismissed])


def _few_without_name(found: Sequence[KeptDraft]) -> list[KeptDraft]:
    """Return drafts, newest first, with at most two of those whose bath has no name: nobody could tell more apart.

    Those are the last, and the last with readings, since these took the work.
    """
    nameless = [kept for kept in found if not _name(kept.draft)]
    few = [*nameless[:1], *[kept for kept in nameless if _readings(kept.draft)][:1]]
    return [kept for kept in found if _name(kept.draft) or kept in few]


def _name(draft: Draft) -> str:
    return str(_parsed(draft).get("bath", {}).get("name", "")).strip()


def _readings(draft: Draft) -> int:
    """Return how many readings a draft holds."""
    return len(_parsed(draft).get("reading", []))


def _parsed(draft: Draft) -> dict[str, Any]:
    return parse_toml(draft.sheet.encode("utf-8"))


def _go_on(path: Path) -> None:
    st.session_state.pop(_OFFERED, None)
    kept = drafts.read(path)  # anew: it may have been changed in another window
    if kept is None:
        return
    with suppress(InputError):  # changed by hand to what is no sheet
        state.load_toml(kept.draft.sheet.encode("utf-8"))
        if not kept.draft.safe:
            state.note_unsafe()
        ticks.restore(kept.draft.ticks)
        state.go_on_at(kept.draft.question)
        state.restore_plans(kept.draft.plans)
        card_ticks.restore(kept.draft.steps)
        st.session_state[_DRAFT] = (state.raw(), path, kept.draft)


def corrections_left() -> dict[str, KeptDraft]:
    """Return, by the name of its bath, the last draft of this device with steps ticked that no record holds.

    Who goes on by the record alone would do these steps a second time.
    """
    device = here()
    left: dict[str, KeptDraft] = {}
    for kept in drafts.recent(device) if device is not None else ():
        if kept.draft.ticks and kept.draft.ticks.not_saved().done and not kept.draft.dismissed:
            left.setdefault(_name(kept.draft), kept)
    return left


def go_on(kept: KeptDraft) -> None:
    """Put what was left in the fields, with what is ticked."""
    _go_on(kept.path)


def pass_over() -> None:
    """Offer nothing more in this visit: another check is begun, from its first question."""
    st.session_state[_NOT_NOW] = True
    st.query_params.pop(state.ADDRESS, None)


def _dismiss(left: Sequence[KeptDraft]) -> None:
    """Offer none of these again, also to a later visit."""
    pass_over()
    for kept in left:
        with suppress(OSError):
            drafts.dismiss(kept)
    st.toast(STILL_KEPT, duration="long")


def _is_left(draft: Draft) -> bool:
    """Tell whether something would be lost: a sheet that stands nowhere else, or steps ticked that are not saved."""
    of_check = 1  # the first of what is saved is the check itself
    return not draft.safe or (draft.ticks is not None and len(draft.ticks.saved) - of_check < len(draft.ticks.done))


def is_open() -> bool:
    """Tell whether something that was typed in this visit, or of its steps, stands nowhere else yet."""
    return _is_left(_draft()) and _holds_something(_draft())


def _holds_something(draft: Draft) -> bool:
    """Tell whether a draft holds something that would be missed."""
    try:
        return bool(draft.steps or typed(state.raw_from_toml(draft.sheet.encode("utf-8")), draft.plans))
    except InputError:  # of an older version of this program
        return False


def _describe(kept: KeptDraft) -> str:
    """Say of which bath a draft is, how far it got, and when it was last changed."""
    name = plain(_name(kept.draft)[:SHOWN_OF_NAME]) or NAMELESS
    count = _readings(kept.draft)
    readings = counted(count, "reading") if count else "no reading yet"
    done = len(kept.draft.ticks.done) if kept.draft.ticks else 0
    steps = f", {counted(done, 'step')} done" if done else ""
    # On a phone the line breaks before it.
    when = f"{day_said(kept.when)}, {kept.when:%H:%M}".replace(" ", "\N{NO-BREAK SPACE}")
    return f"{name}, {readings}{steps}, {when}"
