"""The one bench sheet of this visit, as it was typed: it outlives a change of page, and nothing wrong in it is lost.

It is a RAW mapping of the shape of the TOML file (strings, lists, yes and no), kept in `st.session_state`. Fields write
to it (`advisor.ui.fields`); it is read and answered afresh on each run. How a page uses it:

    entry = state.enter("plate", plate, tables=("plate",))   # before any field, so that errors can stand at the fields
    fields.show("plate", entry, main=("area", "thickness"))  # one call for each table that the page asks for
    if entry.answer: ...                                     # the latest; entry.current is False while a field is wrong

A page may also let a person start over (`load_example`, `load_toml`, `load_sheet`, `clear`) and hands out `to_toml()`.
No chemistry is done here.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import streamlit as st
import tomli_w

from advisor.basis.fields import Field, InputError, SheetError, asked_fields, fields_of, refuse_a_day_ahead
from advisor.basis.toml import read_toml
from advisor.examples import EXAMPLES, example_text, is_invented, requested_example
from advisor.readings import KINDS
from advisor.readings.origin import with_origin
from advisor.sheet import Pack, Sheet, parse_toml, raw_sheet, read_sheet
from advisor.ui.session import heard

Raw = dict[str, Any]
Result = TypeVar("Result")
Found = TypeVar("Found", covariant=True)
_SHEET, _WIDGETS, _ANSWERS, _EXAMPLE, _PAGE = "sheet", "sheet_", "answers", "example", "page"
_TURNED = "turned"
# Of the guided check, which a draft keeps: the question that is shown; whether one is; the sheet as it was when the
# page first showed it, and whether it was guided then.
QUESTION, GUIDED, BEGAN = "check_at", "check_guided", "check_began"
WAY, ALL, STEPS = "check_way", "all", "steps"  # the way of asking that a person chose, where one was
ADDRESS = "question"  # in the page's address: the one that is shown, from 1, so that the browser's back leads back
_ROUND, _REMOVED, _TAPPED, _SAFE = "round", "removed", "tapped", "safe"
_MOVED = "moved"  # by list ("reading", "shelf"): each number from which on its parts moved up or down
_PLANS = "tests_planned"  # each reading that a plan began, with the sheet that it was planned with, and that as TOML
DOUBLE_CLICK = 0.6  # s within which a second tap is taken for the same one (desks are set to 0.5, from memory)


@dataclass(frozen=True)
class Typed(Generic[Found]):
    """What was typed, what is wrong with it by place, and the latest answer with the sheet that it came from."""

    sheet: Sheet | None
    errors: Mapping[str, InputError]
    answer: Found | None
    answered: Sheet | None
    is_without_a_reading: bool = False  # of another question than the check: one that is not finished is not counted

    @property
    def current(self) -> bool:
        """Tell whether the answer is of what stands in the fields now."""
        return self.sheet is not None and self.sheet == self.answered


def enter(
    name: str,
    function: Callable[[Sheet], Result],
    tables: Sequence[str] = (),
    needs_volume: bool = True,
    unused: Collection[str] = (),
) -> Typed[Result]:
    """Read what was typed and answer it with `function`, whose result is kept under `name`.

    tables: those of Sheet.QUESTIONS that the function uses; what is wrong in the others does not stand in its way.
        Where it has any, a reading that is not finished does not either: its fields stand on the page of the check.
    needs_volume: False where it is answered without one too.
    unused: fields of those tables, such as "keep: disposal_price", that the function does not use.
    """
    of_others = set(Sheet.QUESTIONS).difference(tables)
    used = {key: _without(part, key, unused) for key, part in raw().items() if key not in of_others}
    bath = used.get("bath", {})  # always there, so that what it needs is said at its fields
    used["bath"] = bath
    answers = st.session_state.setdefault(_ANSWERS, {})
    errors: dict[str, InputError] = {}
    sheet, left_out = None, False
    try:
        sheet, left_out = _read(used, needs_volume, of_another_question=bool(tables))
        refuse_a_day_ahead(sheet.bath.date, "bath: date")
        before = answers.get(name, (None, None))[0]
        if before != sheet or before.given != sheet.given:
            answers[name] = (sheet, function(sheet))
    except SheetError as error:
        errors = _by_place(error, of_a_mix="mix" in tables and "volume" not in bath)
    except InputError as error:  # what only the question itself sees
        errors, sheet = {error.place: error}, None
    answered, answer = answers.get(name, (None, None))
    return Typed(sheet, errors, answer, answered, left_out)


def _read(used: Raw, needs_volume: bool, of_another_question: bool) -> tuple[Sheet, bool]:
    """Return the sheet, and whether it is one without readings that are not finished, as another question takes it."""
    try:
        return read_sheet(used, needs_volume), False
    except SheetError as error:
        wrong = {single.place.partition(":")[0] for single in error.errors}
        if not of_another_question or not any(place.startswith("reading ") for place in wrong):
            raise
    finished = [reading for at, reading in enumerate(used["reading"], 1) if f"reading {at}" not in wrong]
    return read_sheet({**used, "reading": finished}, needs_volume), True


def is_of_all_finished(answered: Sheet | None) -> bool:
    """Tell whether an answer of the check is of all that stands in the fields but readings that are not finished."""
    try:
        return _read(_of_the_check(), needs_volume=True, of_another_question=True)[0] == answered
    except SheetError:
        return False


def _of_the_check() -> Raw:
    return {key: part for key, part in raw().items() if key not in Sheet.QUESTIONS}


def _without(part: Any, place: str, unused: Collection[str]) -> Any:
    if not unused or not isinstance(part, dict):
        return part
    return {name: value for name, value in part.items() if f"{place}: {name}" not in unused}


def _by_place(error: SheetError, of_a_mix: bool) -> dict[str, InputError]:
    """Return what is wrong by place; of_a_mix: a volume that is missing is that of the bath to be mixed."""
    errors = {single.place: single for single in reversed(error.errors)}
    if of_a_mix and "bath: volume" in errors:
        del errors["bath: volume"]
        errors["mix: volume"] = InputError.missing("mix: volume", "how much bath do you want to mix?")
    return errors


def raw() -> Raw:
    """Return the sheet as typed; on the first visit the example that was asked for, else an empty one."""
    if _SHEET not in st.session_state:
        wanted = example_asked_for()
        st.session_state[_SHEET] = parse_toml(example_text(wanted).encode("utf-8")) if wanted else {}
        st.session_state[_EXAMPLE] = wanted is not None
        note_safe()
    sheet: Raw = st.session_state[_SHEET]
    return sheet


def example_asked_for() -> str | None:
    """Return the example that this visit begins with, by its address or the command line; None for none."""
    wanted = st.query_params.get("example") or requested_example()
    return wanted if wanted in EXAMPLES else None


def is_new() -> bool:
    """Tell whether this visit has no sheet yet."""
    return _SHEET not in st.session_state


def is_untouched() -> bool:
    """Tell whether nobody has typed into this sheet: it is empty, an example as it was, or yet to begin."""
    return is_new() or not raw() or (is_example() and is_safe())


def is_safe() -> bool:
    """Tell whether the sheet, as it reads now, stands elsewhere: in an example, a file or the logbook."""
    return to_toml() == st.session_state.get(_SAFE)


def base() -> Raw:
    """Return the sheet as it stands elsewhere; empty where it does nowhere."""
    return read_toml(st.session_state.get(_SAFE, ""))


def note_unsafe() -> None:
    """Note that the sheet stands nowhere else."""
    st.session_state.pop(_SAFE, None)


def note_safe() -> None:
    """Note that the sheet stands elsewhere as it reads now."""
    st.session_state[_SAFE] = to_toml()


def part(place: str) -> Raw:
    """Return the table at a place ("bath", "stock.acid", "reading 2") as typed; an empty one if there is none."""
    found: Any = _listed(place)
    if found is None:
        found = raw()
        for name in place.split("."):
            found = found.get(name, {})
    return {key: value for key, value in found.items() if key != "kind"}


def _listed(place: str) -> Raw | None:
    """Return the table at the place of a list, such as "reading 2" or "shelf 1"; None where it is of no list."""
    name, _, number = place.partition(" ")
    if name not in ("reading", "shelf"):
        return None
    found: Raw = raw().get(name, [])[int(number) - 1]
    return found


def table_of(place: str) -> type:
    """Return the table class of a place."""
    if place.startswith("reading "):
        return KINDS[raw()["reading"][int(place.split()[1]) - 1]["kind"]]
    if place.startswith("shelf "):
        return Pack
    return Sheet.STOCK[place.removeprefix("stock.")] if place.startswith("stock.") else Sheet.TABLES[place]


def put(place: str, name: str, value: object) -> None:
    """Write a field as typed; an empty value takes the field out, and a table left empty goes too."""
    table = _listed(place)
    if table is None:
        table = raw()
        for step in place.split("."):
            table = table.setdefault(step, {})
    if value is None or value == "" or value == []:
        table.pop(name, None)
    else:
        table[name] = value
    _drop_empty()


def _drop_empty() -> None:
    sheet = raw()
    stock = {key: part for key, part in sheet.get("stock", {}).items() if part}
    sheet["stock"] = stock
    for key in [key for key, part in sheet.items() if not part]:
        del sheet[key]


def add_reading(kind: str, **values: object) -> None:
    """Add a reading of a kind at the end."""
    raw().setdefault("reading", []).append({"kind": kind, **values})


def note_plan(sheet: Sheet) -> None:
    """Note the sheet that the last reading was planned with: a draft keeps it too."""
    plan = raw()["reading"][-1], sheet, tomli_w.dumps(raw_sheet(sheet))
    st.session_state.setdefault(_PLANS, []).append(plan)


def plan_of(number: int) -> Sheet | None:
    """Return the sheet that a reading, numbered from 1, was planned with; None where no plan began it."""
    return next((sheet for begun, sheet, _ in _plans() if begun is raw()["reading"][number - 1]), None)


def plans_to_toml() -> tuple[str, ...]:
    """Write the sheet that each reading was planned with; an empty text for one that no plan began."""
    readings = raw().get("reading", [])
    return tuple(next((text for begun, _, text in _plans() if begun is reading), "") for reading in readings)


def restore_plans(texts: Sequence[str]) -> None:
    """Note again what `plans_to_toml` wrote of the readings of this sheet. A text that is no sheet is passed over."""
    found = []
    for reading, text in zip(raw().get("reading", []), texts, strict=False):
        with suppress(InputError):
            found.append((reading, read_sheet(parse_toml(text.encode("utf-8"))), text))
    st.session_state[_PLANS] = found


def _plans() -> Sequence[tuple[Raw, Sheet, str]]:
    plans: Sequence[tuple[Raw, Sheet, str]] = st.session_state.get(_PLANS, ())
    return plans


def remove_reading(number: int) -> None:
    """Take out a reading, numbered from 1; those after it move up. It can be put back."""
    reading = raw()["reading"].pop(number - 1)
    st.session_state.setdefault(_REMOVED, []).append((number, reading))
    _drop_empty()
    _move("reading", number)


def remove_pack(number: int) -> None:
    """Take out a pack of the price list, numbered from 1; those after it move up."""
    del raw()["shelf"][number - 1]
    _drop_empty()
    _move("shelf", number)


def first_tap(action: str) -> bool:
    """Tell whether this is a tap of its own, and not the second of a double click, for what must not be done twice."""
    taps: dict[str, float] = st.session_state.setdefault(_TAPPED, {})
    now = time.monotonic()
    first = action not in taps or now - taps[action] >= DOUBLE_CLICK
    if first:
        taps[action] = now
    return first


def removed_reading() -> tuple[int, Raw] | None:
    """Return the reading that was taken out last, with its number then; None where there is none to put back."""
    removed = st.session_state.get(_REMOVED)
    return removed[-1] if removed else None


def put_back_reading() -> None:
    """Put the reading that was taken out last where it stood."""
    number, reading = st.session_state[_REMOVED].pop()
    raw().setdefault("reading", []).insert(number - 1, reading)
    _move("reading", number)


def widget_round(place: str = "") -> int:
    """Return how often all fields have started afresh, or those of a place such as "reading 2".

    Each time their widgets get new keys: what a browser still sends of the widgets before, because it has not heard of
    the change, must not reach the sheet.
    """
    name, _, number = place.partition(" ")
    moved: Sequence[int] = st.session_state.get(_MOVED, {}).get(name, ()) if number else ()
    return int(st.session_state.get(_ROUND, 0)) + sum(first <= int(number) for first in moved)


def key_of(place: str, name: str) -> str:
    """Return the key of a field's widget."""
    afresh = widget_round(place)
    return f"{name_of(place, name)}_{afresh}" if afresh else name_of(place, name)


def name_of(place: str, name: str) -> str:
    """Return a name for what is drawn around a field, the same in every round."""
    return _WIDGETS + f"{place}_{name}".replace(" ", "_").replace(".", "_")


def is_asked_here(error_place: str) -> bool:
    """Tell whether the page that is shown has a field for a place such as "keep: disposal_price"."""
    place, _, name = error_place.partition(": ")
    begins = name_of(place, name.partition(" row ")[0])
    return any(str(key).startswith(begins) for key in st.session_state)


def forget_widgets() -> None:
    """Let the fields show what stands in the sheet, not what was last typed into them."""
    st.session_state[_ROUND] = widget_round() + 1
    _forget(_WIDGETS)


def _move(name: str, number: int) -> None:
    """Let the fields of a list start afresh from a number on, where other parts stand now.

    Those before it keep their widgets: what is typed into them meanwhile, on a page that is still being drawn, counts.
    """
    st.session_state.setdefault(_MOVED, {}).setdefault(name, []).append(number)
    for later in range(number, len(raw().get(name, [])) + 2):  # one more stood there, or stands there now
        _forget(name_of(f"{name} {later}", ""))


def _forget(prefix: str) -> None:
    """Forget the widgets whose keys begin so."""
    for key in [key for key in st.session_state if str(key).startswith(prefix)]:
        del st.session_state[key]
    heard.forget(prefix)


def turn_to(page: str) -> None:
    """Note the page that is shown; on another one than before, its fields begin with what stands in the sheet.

    Streamlit would show a field that both pages have empty: it keeps the value, but for the widget of the page before.
    """
    st.session_state[_TURNED] = st.session_state.setdefault(_PAGE, page) != page
    if st.session_state[_TURNED]:
        forget_widgets()
        st.session_state[_PAGE] = page


def has_turned() -> bool:
    """Tell whether another page was shown before this run."""
    return bool(st.session_state.get(_TURNED))


def page() -> str:
    """Return the title of the page that is shown."""
    return str(st.session_state.get(_PAGE, ""))


def question() -> int | None:
    """Return the question of the guided check that is shown, from 0; None where all are asked at once."""
    began, _ = st.session_state.get(BEGAN, (None, False))
    is_guided = st.session_state.get(GUIDED) and began is raw()  # another sheet may have been put in its place
    return int(st.session_state.get(QUESTION, 0)) if is_guided else None


def go_on_at(question: int | None) -> None:
    """Go on with this sheet at a question of the guided check; None: as a sheet that comes filled in."""
    if question is not None:
        st.session_state[BEGAN] = (raw(), True)
        st.session_state[QUESTION], st.session_state[GUIDED] = question, True


# --- Starting from something, and taking it along -------------------------------------------------


def load(sheet: Mapping[str, object]) -> None:
    """Put a raw sheet in place of this one."""
    st.session_state[_SHEET] = _with_origins(sheet)
    st.session_state[_EXAMPLE] = False
    st.session_state.pop(_ANSWERS, None)
    st.session_state.pop(_REMOVED, None)
    st.session_state.pop(_PLANS, None)
    note_safe()
    forget_widgets()


def _with_origins(sheet: Mapping[str, Any]) -> Raw:
    readings = sheet.get("reading")
    return {**sheet, "reading": [with_origin(item) for item in readings]} if readings else dict(sheet)


def clear() -> None:
    """Start with an empty sheet."""
    load({})


def load_example(name: str) -> None:
    """Start from an example."""
    load(parse_toml(example_text(name).encode("utf-8")))
    st.session_state[_EXAMPLE] = True


def is_example() -> bool:
    """Tell whether the sheet began as an example, or is that of a record of one."""
    return bool(st.session_state.get(_EXAMPLE)) or is_invented(str(part("bath").get("name", "")))


def load_sheet(sheet: Sheet) -> None:
    """Start from a sheet, such as one out of the logbook."""
    load(raw_sheet(sheet))


def load_toml(content: bytes) -> None:
    """Start from a TOML file; values that are wrong are taken all the same, and marked at their fields.

    Raises InputError where it is no bench sheet, or has parts for which there is no field.
    """
    load(raw_from_toml(content))


def raw_from_toml(content: bytes) -> Raw:
    """Read a TOML file as a raw sheet. Raises InputError like `load_toml`."""
    sheet = parse_toml(content, "the file")
    _refuse_other_shapes(sheet)
    return sheet


def _refuse_other_shapes(sheet: Raw) -> None:
    """Raise InputError at the first part of a sheet that no field could show."""
    try:
        read_sheet(sheet)
    except SheetError as error:
        for single in error.errors:
            if not _has_field(sheet, single.place):
                raise single from error


def _has_field(sheet: Raw, place: str) -> bool:
    """Tell whether what stands at a place of a raw sheet has a field on the screen."""
    table, _, name = place.partition(": ")
    column = name.split(" row ")[0]
    if table.startswith("reading "):
        known = _fields_of_reading(sheet, int(table.split()[1]))
        return bool(known) and (not name or column in known)
    if table.startswith("shelf "):
        pack = sheet["shelf"][int(table.split()[1]) - 1]
        return isinstance(pack, dict) and (not name or name in fields_of(Pack))
    tables = {**Sheet.TABLES, **{f"stock.{key}": part for key, part in Sheet.STOCK.items()}}
    if table not in tables or not isinstance(_given_at(sheet, table), dict):
        return False
    return not name or column in fields_of(tables[table])


def _fields_of_reading(sheet: Raw, number: int) -> Mapping[str, Field]:
    """Return the fields of a reading, counted from 1; none where it is of no known kind."""
    reading = sheet["reading"][number - 1]
    kind = reading.get("kind") if isinstance(reading, dict) else None
    return asked_fields(KINDS[kind]) if isinstance(kind, str) and kind in KINDS else {}


def _given_at(sheet: Raw, table: str) -> object:
    """Return what a raw sheet holds in a table, such as "stock.acid"; empty where it does not name it."""
    given: object = sheet
    for step in table.split("."):
        given = given.get(step, {}) if isinstance(given, dict) else None
    return given


def to_toml() -> str:
    """Write what was typed as a TOML file, right or wrong, so that nothing is lost."""
    return tomli_w.dumps(raw())
