"""The short way for a bath whose level has dropped: it has only stood, so water left, copper sulfate and acid stayed.

What it held before, the level then and the level now become a previous check from which only water has left. What the
logbook knows of that stands in the fields already; who does not know it is told what water alone brings back, and
begins a check from the two levels. Who comes for this from the first page begins a check of its own: no
reading of an earlier task is counted with it.
"""

from __future__ import annotations

import datetime
from contextlib import suppress
from typing import Literal

import streamlit as st

from advisor.basis.components import SALT_AND_ACID, UNITS
from advisor.basis.fields import Fault, InputError, QuantityField, fields_of, write_table
from advisor.basis.fields import show as quoted
from advisor.basis.units import Measured
from advisor.check.advice import Advice
from advisor.check.evaporated import water_back
from advisor.readings import KINDS
from advisor.readings.origin import Origin
from advisor.readings.previous_check import PreviousCheck
from advisor.record.at_hand import at_hand
from advisor.record.carried import Carried
from advisor.record.logbook import Logbook, LogbookError
from advisor.sheet import Bath
from advisor.ui import fields, hints
from advisor.ui.fields import plain
from advisor.ui.look import unit_menus
from advisor.ui.look.own_units import shown, typed_as, unparted
from advisor.ui.parts import focus, guided, record_parts
from advisor.ui.session import state
from advisor.words.lines import Amount

_ERRORS, _BATH = "level_errors", "level_bath"
_NAMED = "level_named"  # session: the name on the sheet, and whether a check of its own began, when a bath was chosen
_FILLED = "level_filled"  # session: what stands in the fields by the logbook, and of which bath and check
_THEN, _NOW = "level_then", "level_now"
_CAME_WITH = "level_came_with"  # session: the readings of the sheet with which the person came for it
_ALL = "level_all"  # session: whether the other questions were asked for beside it
_FIRST = "level_first"  # session: whether it is asked before all else, as the page found
FOLD = "level_fold"
_UNKNOWN = "level_unknown"  # session: whether the person does not know what the bath held
_HELD = {f"level_{name}": name for name in SALT_AND_ACID}


def came_for_it() -> bool:
    """Tell whether the person came for this short way alone, by the first page."""
    return st.query_params.get("way") == "level"


def is_asked_first(entry: state.Typed[Advice]) -> bool:
    """Tell whether the person came for it and has not used it yet: until then any answer is that of another task.

    Who changes or opens readings meanwhile has another task, or this one answered already, as after a reload.
    """
    if state.has_turned() or not came_for_it():
        st.session_state.pop(_CAME_WITH, None)
        st.session_state.pop(_ALL, None)
    readings = entry.answered.readings if entry.answered else ()
    is_first = came_for_it() and st.session_state.setdefault(_CAME_WITH, readings) == readings
    st.session_state[_FIRST] = is_first
    return is_first


def waits_for() -> str:
    """Say what the answer waits for while this is asked first; what water alone brings back stands at the fields."""
    if st.session_state.get(_UNKNOWN):
        return "What the bath holds stands here once it is checked."
    return "What to add stands here once these fields are filled in."


def stands_alone() -> bool:
    """Tell whether its four fields are all that is asked yet, and offer the other questions beneath them."""
    alone = st.session_state.get(_FIRST) and not state.raw().get("reading") and not st.session_state.get(_ALL)
    if alone:
        st.button(
            "Show all other questions",
            key="level_show_all",
            type="tertiary",
            on_click=st.session_state.__setitem__,
            args=(_ALL, True),
        )
    return bool(alone)


def show() -> None:
    """Draw the short way, filled from the logbook where that knows the bath; open where a person came for it."""
    title = "The level has dropped, and only water has left"
    key = f"{FOLD}_{came_for_it()}"  # who comes for it finds it open, even if they folded it before
    part = st.expander(title, expanded=came_for_it(), key=key, on_change="rerun")
    if part.open:  # drawn only then, like all that is folded
        with part:
            _ask()


def _ask() -> None:
    st.caption("For a bath that has only stood: water left, copper sulfate and acid stayed.")
    _fill(_choose_bath())
    drafts = _drafts()
    with st.container(key="grid_level"):
        for key, field in drafts.items():
            unit = _unit_at(key, field)
            unit_menus.offer(key, "", key, field.label, field.quantity, st.session_state.get(key) or "", unit)
            st.text_input(
                f"{field.label} ({unit})",
                key=key,
                persist_state="session",
                help=field.help or None,
                on_change=_keep_unit,
                args=(key, field, unit),
            )
            if error := st.session_state.get(_ERRORS, {}).get(key):
                fields.complain(error, hints.what_to_write(field, st.session_state.get(key), unit), called=field.label)
    unknown = st.checkbox("I do not know what it held", key=_UNKNOWN, persist_state="session")
    is_first = bool(st.session_state.get(_FIRST))
    if is_first and state.raw().get("reading"):
        st.caption("This begins a check of its own: the readings below are not counted with it.")
    filled: Literal["primary", "secondary"] = "primary" if is_first else "secondary"
    if unknown:
        _, read, errors = _read()
        then, now = (None if errors else read.get(key) for key in (_THEN, _NOW))
        st.html(f'<p role="status">{unparted(shown(water_back(then, now)))}</p>')
        st.button("Check what it holds", key="level_check", type=filled, on_click=_check_it)
    else:
        st.button("Use this", key="level_use", type=filled, on_click=_use)


def _choose_bath() -> Carried | None:
    """Ask of which bath of the record it is, and return what that knows; None where it knows nothing."""
    try:
        names = Logbook().baths()
    except LogbookError as error:
        st.error(plain(str(error)))
        return None
    if not names:
        return None
    named = str(state.part("bath").get("name", "")).strip()
    if st.session_state.get(_NAMED) != (named, came_for_it()) or st.session_state[_BATH] not in (None, *names):
        st.session_state[_NAMED] = (named, came_for_it())
        st.session_state[_BATH] = _likely(names, named)
    st.pills("Which bath of your logbook?", names, key=_BATH, format_func=plain, persist_state="session", wrap=True)
    return _carried()


def _likely(names: tuple[str, ...], named: str) -> str | None:
    """Return the bath of the sheet; where that has no name, or a new check begins, the only one of the record."""
    if named in names:
        return named
    return names[0] if len(names) == 1 and (not named or came_for_it()) else None


def _carried() -> Carried | None:
    """Return what the record says of the bath that is chosen; None where it cannot tell."""
    name = st.session_state.get(_BATH)
    if name is None:
        return None
    with suppress(LogbookError, InputError):
        return at_hand(Logbook(), name).carried(datetime.datetime.now(datetime.UTC))
    return None


def _fill(carried: Carried | None) -> None:
    """Put what the record knows into the fields, once for each bath and check; take it out where another is meant."""
    of, texts = st.session_state.get(_FILLED, (None, {}))
    now = None if carried is None else (carried.check.bath, carried.check.id)
    if now != of:
        for key, text in texts.items():
            if st.session_state.get(key) == text:
                st.session_state[key] = ""
        texts = _texts(carried) if carried else {}
        st.session_state.update(texts)
        st.session_state[_FILLED] = (now, texts)
    if carried:
        st.caption(plain(shown(carried.summary())))


def _texts(carried: Carried) -> dict[str, str]:
    held = {
        key: value.amount(UNITS[name]) for key, name in _HELD.items() if (value := carried.values[name]) is not None
    }
    amounts = {_THEN: Amount(carried.known.volume_L, "L", 2), **held}
    return {key: typed_as(amount) for key, amount in amounts.items()}


def _unit_at(key: str, field: QuantityField) -> str | None:
    typed = st.session_state.get(key) or ""
    return unit_menus.unit_at("", key, field.quantity, typed, fields.usual_unit(field))


def _keep_unit(key: str, field: QuantityField, unit: str | None) -> None:
    """Write the unit that stood at the field after a number alone: other units may be chosen before it is used."""
    st.session_state[key] = fields.with_unit(st.session_state[key] or "", field, unit)


def _drafts() -> dict[str, QuantityField]:
    """Return the fields of the short way as the sheet describes them; without what it held if nobody knows."""
    bath, before = fields_of(Bath), fields_of(KINDS["previous check"])
    held = {} if st.session_state.get(_UNKNOWN) else {key: before[name] for key, name in _HELD.items()}
    wanted = {_THEN: before["volume"], _NOW: bath["volume"], **held}
    return {key: field for key, field in wanted.items() if isinstance(field, QuantityField)}


def _use() -> None:
    """Write the short way into the sheet, or keep what is wrong with it to be said at its fields."""
    typed = _typed()
    if st.session_state[_ERRORS] or not state.first_tap("use level"):
        return
    st.session_state[_CAME_WITH] = None
    carried = _carried()
    _put_the_levels(typed, carried)
    _, texts = st.session_state.get(_FILLED, (None, {}))
    as_filled = {key: typed[key] for key in (_THEN, *_HELD)} == texts
    _forget_what_was_held()
    if carried and as_filled:  # as the record knows it, with the sources of its errors
        state.add_reading(PreviousCheck.kind, **write_table(carried.reading()))
    else:
        held = {name: typed[key] for key, name in _HELD.items()}
        state.add_reading(PreviousCheck.kind, **held, volume=typed[_THEN], since="evaporation only")
    focus.want(focus.TOP)  # the answer stands above on a phone, and a browser keeps the place where it was


def _check_it() -> None:
    """Go on with a check that has the two levels, or keep what is wrong with them to be said at their fields."""
    typed = _typed()
    if st.session_state[_ERRORS] or not state.first_tap("check level"):
        return
    _put_the_levels(typed, _carried())
    if came_for_it():
        guided.choose(state.STEPS)
    focus.want(focus.TOP)


def _put_the_levels(typed: dict[str, str], carried: Carried | None) -> None:
    """Write the levels into the sheet; who came for this begins a check of its own by that."""
    if came_for_it():
        _begin_anew(carried)
    state.put("bath", "volume", typed[_NOW])
    if "usual_volume" not in state.part("bath"):
        state.put("bath", "usual_volume", typed[_THEN])


def _typed() -> dict[str, str]:
    """Return what stands in the fields, with its units, and keep what is wrong with it."""
    typed, _, st.session_state[_ERRORS] = _read()
    return typed


def _read() -> tuple[dict[str, str], dict[str, Measured], dict[str, InputError]]:
    """Return what stands in the fields with its units, what of it can be read, and what is wrong with the rest."""
    typed, read, errors = {}, {}, {}
    for key, field in _drafts().items():
        typed[key] = fields.with_unit(st.session_state[key] or "", field, _unit_at(key, field))
        try:
            read[key] = field.read(typed[key], field.label)
        except InputError as error:
            missing = InputError.missing(field.label, f"needed: {field.label}.")
            errors[key] = error if typed[key] else missing
    if {_THEN, _NOW} <= set(read) and read[_NOW].value > read[_THEN].value:
        errors[_NOW] = InputError(
            _drafts()[_NOW].label,
            quoted(typed[_NOW]),
            f"it must not be more than the level then, {typed[_THEN]}. If anything was poured in since, measure again",
            Fault.CONFLICT,
        )
    return typed, read, errors


def _begin_anew(carried: Carried | None) -> None:
    """Begin a check without the readings that stand in the sheet: by the record's last check, else of the same tank."""
    if carried:
        record_parts.load_next(carried, at_hand(Logbook(), carried.check.bath), with_reading=False)
    else:
        record_parts.load_the_tank()


def _forget_what_was_held() -> None:
    """Take out what says it already: the same knowledge twice would make the answer surer than it is."""
    for number, reading in reversed(list(enumerate(state.raw().get("reading", []), 1))):
        if reading.get("origin") == Origin.LOGBOOK or reading.get("kind") == PreviousCheck.kind:
            state.remove_reading(number)
