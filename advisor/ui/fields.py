"""Input fields made from what a table of the bench sheet says of itself: label, unit, choices, limits, help.

`show(place, entry)` draws the fields of a table, with what is wrong said under the field. They read and write the raw
sheet of `ui.session.state` in their own callbacks, before the page runs, so that a page sees the sheet as it stands
and no typed text is lost, even a wrong one. Measured numbers are typed as text: a browser's number field turns "12,5"
into 125. Nothing is judged here: the fields' own `read` does that.
"""

from __future__ import annotations

import datetime
import html
import itertools
import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import Any

import streamlit as st

from advisor.basis import tables
from advisor.basis.fields import (
    ChoiceField,
    ChoicesField,
    DateField,
    Fault,
    Field,
    FlagField,
    InputError,
    NumberField,
    PairField,
    PriceField,
    QuantityField,
    RowsField,
    TogetherField,
    asked_fields,
    fields_of,
)
from advisor.basis.units import UNITS, Measured, UnitError, parse, parse_number
from advisor.sheet import Sheet
from advisor.ui import hints
from advisor.ui.look import own_units, unit_menus
from advisor.ui.session import heard, state
from advisor.words.lines import Units, capital, in_units, whole
from advisor.words.names import shown_name

FLAGS = {"yes": True, "no": False, "do not know": None}
_WIDE = (ChoicesField, RowsField, PairField, TogetherField)
STRENGTH_UNITS = "mol/L, g/L or %"
FEW = 4  # choices up to this many are shown side by side (judgement)
# How a person writes the units that a sheet may spell without a special sign.
_AS_WRITTEN = {
    "degC": "°C",
    "degF": "°F",
    "um": "µm",
    "uS/cm": "µS/cm",
    "A*h": "A·h",
    "cm^2": "cm²",
    "dm^2": "dm²",
    "in^2": "in²",
    "ohm": "Ω",
}
_UNIT_OF_A_SHEET = re.compile(rf"(?<=\d )(?:{'|'.join(map(re.escape, _AS_WRITTEN))})(?!\w)|deg[CF]")
_OF_A_SHEET = re.compile(r", e\.g\. \[[^]]*\]")  # an example that only a sheet takes
_CALLED = {"1 g scale": "1 g kitchen scale", "Baume": "Baumé"}  # choices that people know by another name
_TABLES = {"mix": "the recipe", "plate": "the run", "keep": "the jar test", "window": "the working window"}


def units_note() -> str:
    """Say how a number is written, with an example in the units chosen."""
    example = "5.6 ± 0.1 L" if own_units.chosen() is Units.METRIC else "1.5 ± 0.1 gal"
    return whole(
        "A number alone is taken in the unit named at its field. Write another unit after it if yours differs, and ± "
        f"if you know it: {example} says that the true value is within 0.1 of it, nineteen times in twenty."
    )


def show(
    place: str,
    entry: state.Typed[object],
    main: Sequence[str] | None = None,
    leave_out: Sequence[str] = (),
    more: str | None = "More",
) -> None:
    """Draw the fields of the table at a place ("bath", "stock.acid", "reading 2").

    main: the fields to show at once, in this order; the rest stands folded under `more`, which opens by itself where
    something in it is wrong, or not at all if `more` is None. Without `main` all are shown.
    """
    known = asked_fields(state.table_of(place))
    first = [name for name in (known if main is None else main) if name not in leave_out]
    rest = [name for name in known if name not in first and name not in leave_out]
    _grid(place, entry, known, first)
    if rest and main is not None and more is not None:
        wrong = any(_error(entry.errors, place, name) for name in rest)
        folded(more, f"more_{state.name_of(place, '')}", wrong, lambda: _grid(place, entry, known, rest))
    if place in entry.errors:
        complain(entry.errors[place])


def fold_stock(entry: state.Typed[object], title: str) -> None:
    """Draw what is on hand to add, folded."""

    def draw() -> None:
        for name in Sheet.STOCK:
            st.subheader(name.capitalize(), anchor=False)
            show(f"stock.{name}", entry)

    folded(title, "fold_stock", any(place.startswith("stock") for place in entry.errors), draw)


def fold_window(entry: state.Typed[object]) -> None:
    """Draw the working window, folded."""
    wrong = any(place.startswith("window") for place in entry.errors)
    folded("Working window", "fold_window", wrong, lambda: show("window", entry))


def folded(title: str, key: str, wrong: bool, draw: Callable[[], None]) -> None:
    """Draw a folded part, only once it is open: most of the largest page are folded fields, and each takes time.

    Where something in it is wrong, it opens by itself, and stays open once that is fixed.
    """
    if wrong:
        st.session_state[key] = True
    part = st.expander(title, key=key, on_change="rerun")
    if part.open:
        with part:
            draw()


def _grid(place: str, entry: state.Typed[object], known: Mapping[str, Field], names: Sequence[str]) -> None:
    """Lay the fields out two side by side, wide ones over the whole width.

    One container that the style sheet makes a grid: a row of columns for every two fields would double what is sent.
    """
    for wide, run in itertools.groupby(names, key=lambda name: isinstance(known[name], _WIDE)):
        run_names = list(run)
        with st.container(key=f"{'wide' if wide else 'grid'}_{state.name_of(place, run_names[0])}"):
            for name in run_names:
                one(place, entry, name)


def one(place: str, entry: state.Typed[object], name: str, where: str = "") -> None:
    """Draw one field of a table, and what is wrong with it; `where` names a second place of a page that asks for it."""
    field = fields_of(state.table_of(place))[name]
    _draw(field, place, name, state.part(place).get(name), where)
    error = _error(entry.errors, place, name)
    if error:
        complain(error, _what_to_write(field, place, name))


def _what_to_write(field: Field, place: str, name: str) -> str:
    """Return what to write instead, in the unit at the field; of a pair, for the first part that is wrong."""
    raw = state.part(place).get(name)
    if isinstance(field, PairField):
        names = [unit_menus.part_name(name, number) for number in range(len(field.parts))]
        said = map(_what_to_write_of, field.parts, [place] * len(names), names, _texts(raw, len(names)))
        return next(filter(None, said), "")
    return _what_to_write_of(field, place, name, raw)


def _what_to_write_of(field: Field, place: str, name: str, raw: object) -> str:
    unit = unit_at(field, place, name, str(raw)) if isinstance(field, QuantityField) else None
    return hints.what_to_write(field, raw, unit)


def _error(errors: Mapping[str, InputError], place: str, name: str) -> InputError | None:
    at = f"{place}: {name}"
    return next((error for where, error in errors.items() if where == at or where.startswith(f"{at} row ")), None)


def complain(error: InputError, write: str = "", form: type | None = None, called: str = "") -> None:
    """Say under a field what is wrong: what was given, what is accepted, what to write. An empty one is asked for.

    form: the table of a form at whose end it is said; called: a field of no table. What is wrong has the name of its
    field before it.
    """
    missing = error.fault is Fault.MISSING
    known = fields_of(form) if form else _known_at(error.place)
    accepted = accepted_on_screen(error, known)
    field = known.get(error.place.partition(": ")[2].partition(" row ")[0])
    given = in_units(error.given, own_units.chosen())
    called = field.label if field else called
    given = f"{called}: {given}" if called else given
    if error.fault is Fault.CONFLICT:  # what stands there is well written, and does not go with another field
        write = ""
    text = accepted if missing else f"{given}; {hints.with_what_to_write(accepted, write)}"
    kind, word = ("missing", "") if missing else ("wrong", "Not usable: ")
    sentence = text if word else capital(text)
    st.html(f'<p class="field-{kind}" role="status">{whole(html.escape(word + sentence, quote=False))}</p>')


def accepted_on_screen(error: InputError, known: Mapping[str, Field]) -> str:
    """Return what an error says is accepted, in the units chosen; known: the fields of its table, by key."""
    units = own_units.chosen()
    return as_written(in_units(hints.on_screen(in_units(error.accepted, units), known), units))


def _known_at(place: str) -> Mapping[str, Field]:
    """Return the fields of the table of a place; none where it is no table of the sheet."""
    try:
        return fields_of(state.table_of(place.partition(": ")[0]))
    except (KeyError, IndexError, ValueError):
        return {}


def called(place: str) -> str:
    """Return what the screen calls a place of the sheet, such as "Titrant used in reading 2" for "reading 2: used"."""
    table, _, name = place.partition(": ")
    known = _known_at(place)
    if not known:
        return place
    field = known.get(name.partition(" row ")[0])
    at = f" in {table}" if table.startswith("reading ") else f" of your {table.removeprefix('stock.')}"
    if field is None:
        return table if table.startswith("reading ") else _TABLES.get(table, table.removeprefix("stock."))
    return f"{field.label}{at if table.startswith(('reading ', 'stock.')) else ''}"


def plain(words: str) -> str:
    """Return what a person wrote so that a label, which is Markdown, shows as it is: it fetches and hides nothing."""
    return re.sub(r"([!#$&(-+./:-@\[-`{-~])", r"\\\1", shown_name(words))


def label_of(field: Field, of_a_tool: bool = False) -> str:
    """Return a field's label with the unit in which a bare number is taken."""
    each = field.each if isinstance(field, PairField) else field
    if not isinstance(each, QuantityField):
        return field.label
    return f"{field.label} ({usual_unit(each, of_a_tool) or STRENGTH_UNITS})"


def usual_unit(field: QuantityField, of_a_tool: bool = False) -> str | None:
    """Return the unit in which this person thinks of a quantity; None where it would be a guess (a strength).

    of_a_tool: it is read off a tool of the bench, which is marked in metric units.
    """
    if field.quantity == "strength":
        return None
    if field.us_unit and own_units.chosen() is Units.US_FIRST:
        return field.us_unit
    unit = own_units.unit_of(_metric(field), of_a_tool)
    return _AS_WRITTEN.get(unit, unit)


def _metric(field: QuantityField) -> str:
    return field.unit or ("%" if field.quantity == "fraction" else next(iter(UNITS[field.quantity])))


def _of_a_tool(place: str) -> bool:
    return place.startswith("reading ")


def with_unit(text: str, field: QuantityField, unit: str | None = None) -> str:
    """Return what was typed, with a unit where it is a number alone and would be sound with it.

    unit: what stood at the field when it was typed; the usual one where it is not said.
    """
    text, unit = text.strip(), unit or usual_unit(field)
    for written in (text, f"{text} {unit or ''}"):
        with suppress(UnitError):
            return parse(written, field.quantity).text
    return text


# --- One widget a kind of field -------------------------------------------------------------------


def _draw(field: Field, place: str, name: str, raw: object, where: str) -> None:
    """Draw the widget of a field at what stands in the sheet.

    It takes that as its first value too: one that the browser still loads when the page is drawn again would begin
    empty, and send that back.
    """
    if isinstance(field, PairField | TogetherField):
        _draw_together(field, place, name, raw)
        return
    key = state.key_of(place, name + where)
    shown = _to_widget(field, raw)
    heard.write(key, shown)
    label, unit = _label_and_unit(field, place, name, shown)
    common: dict[str, Any] = {
        "label": label,
        "help": field.help or None,
        "key": key,
        "on_change": _store,
        "args": (field, place, name, key, state.widget_round(place), unit),
    }
    if isinstance(field, ChoiceField | FlagField):
        _draw_choice(field, shown, common)
    elif isinstance(field, ChoicesField):
        _draw_choices(field, shown, common)
    elif isinstance(field, DateField):
        st.date_input(format="YYYY-MM-DD", value=shown, **common)
    elif isinstance(field, RowsField):
        st.text_area(placeholder=f"One row a line: {', '.join(field.columns)}", value=shown, **common)
    elif name.endswith("_with"):
        _draw_select(tools(shown), "not said", shown, common)
    else:
        if isinstance(field, QuantityField):
            unit_menus.offer(key, place, name, field.label, unit_menus.menu_of(field), shown, unit)
        st.text_input(placeholder=_placeholder(field, _of_a_tool(place)), value=shown, **common)


def unit_at(field: QuantityField, place: str, name: str, typed: str) -> str | None:
    """Return the unit that stands at a field in which something is typed: a number alone is meant in it."""
    return unit_menus.unit_at(
        place, name, unit_menus.menu_of(field), as_written(typed), usual_unit(field, _of_a_tool(place))
    )


def _label_and_unit(field: Field, place: str, name: str, shown: Any) -> tuple[str, str | None]:
    """Return what a field is called with its unit, and in which unit, or for which amount, a bare number is taken."""
    if isinstance(field, PriceField) and field.each:
        amount = _priced_amount(field, shown)
        return f"{field.label} (per {plain(amount)})", amount
    unit = unit_at(field, place, name, shown) if isinstance(field, QuantityField) else None
    return f"{field.label} ({unit})" if unit else label_of(field, _of_a_tool(place)), unit


def _priced_amount(field: PriceField, typed: str) -> str:
    """Return the amount that a price is for: the one typed with it, that of a sheet, or the unit of this person."""
    if not typed:
        return own_units.unit_of(field.each, False)
    with suppress(InputError):
        field.read(typed, "")
        return field.price_and_amount(typed)[1] or field.each
    return field.each


def _with_amount(text: str, field: PriceField, amount: str | None) -> str:
    """Return a price that was typed, with the amount that stands at its field where it names none and is sound."""
    if text and amount not in (None, field.each) and not field.price_and_amount(text)[1]:
        with suppress(InputError):
            field.read(written := f"{text} per {amount}", "")
            return written
    return text


def choice_called(word: str) -> str:
    """Return what a person calls a word of a closed list."""
    return _CALLED.get(word, word)


def _draw_choices(field: ChoicesField, shown: Sequence[str], common: Mapping[str, Any]) -> None:
    """Draw what may be chosen several at once, and what the sheet holds besides."""
    extra = [word for word in shown if word not in field.choices]
    labels = {word: choice_called(word) for word in field.choices} | {word: plain(word) for word in extra}
    st.pills(
        options=list(labels),
        format_func=labels.__getitem__,
        selection_mode="multi",
        default=shown,
        wrap=True,
        **common,
    )


def _draw_choice(field: ChoiceField | FlagField, shown: Any, common: Mapping[str, Any]) -> None:
    options = list(FLAGS) if isinstance(field, FlagField) else list(field.choices)
    if len(options) <= FEW:
        required = isinstance(field, FlagField) or field.default is not None
        st.pills(options=options, default=shown, required=required, wrap=True, **common)
    else:
        _draw_select(options, "Choose", shown, common)


def _draw_select(options: Sequence[str], empty: str, shown: str, common: Mapping[str, Any]) -> None:
    """Draw a list to choose from, whose first line takes the choice back."""
    listed = ["", *options]
    st.selectbox(
        options=listed, index=listed.index(shown), format_func=lambda option: choice_called(option) or empty, **common
    )


def _draw_together(field: PairField | TogetherField, place: str, name: str, raw: Any) -> None:
    """Draw text fields side by side under one name, one for each part."""
    count = len(field.parts)
    values = _texts(raw, count)
    names = [unit_menus.part_name(name, number) for number in range(count)]
    keys = [state.key_of(place, part_name) for part_name in names]
    units = [
        unit_at(part, place, part_name, value) if isinstance(part, QuantityField) else None
        for part, part_name, value in zip(field.parts, names, values, strict=True)
    ]
    if not isinstance(field, PairField):
        st.caption(field.label)
    with st.container(key=f"grid_{state.name_of(place, name)}_parts"):
        for number, (part, value) in enumerate(zip(field.parts, values, strict=True)):
            label, asked = _labels_of_part(field, number, units[number])
            heard.write(keys[number], value)
            if isinstance(part, QuantityField):
                menu = unit_menus.menu_of(part)
                unit_menus.offer(keys[number], place, names[number], asked, menu, value, units[number])
            st.text_input(
                label,
                value=value,
                key=keys[number],
                help=_OF_A_SHEET.sub("", field.help) or None if number == 0 else None,
                on_change=_store_together,
                args=(field, place, name, keys, units),
            )


def _texts(raw: object, count: int) -> list[str]:
    """Return what stands in so many fields of one value."""
    given = [str(item) for item in raw] if isinstance(raw, list | tuple) else [str(raw)] if raw is not None else []
    return [*given, *[""] * count][:count]


def _labels_of_part(field: PairField | TogetherField, number: int, unit: str | None) -> tuple[str, str]:
    """Return what one of the fields of several parts is called, and what its menu of units is of."""
    if isinstance(field, PairField) and number:
        return f"to ({unit})", f"{field.label}, the second"  # its label ends in "to"
    part = field.parts[number]
    label = field.label if isinstance(field, PairField) else part.label
    if not isinstance(part, QuantityField):
        return label, label
    return f"{label} ({unit or STRENGTH_UNITS})", label


def tools(present: str = "") -> list[str]:
    """List the measuring tools of known tolerance, and the one that the sheet names."""
    known = [row["tool"] for row in tables.rows("tool_tolerances") if row["measures"] == "volume"]
    return known if present in known or not present else [*known, present]


def _placeholder(field: Field, of_a_tool: bool) -> str:
    default = field.default
    if isinstance(field, QuantityField) and default:
        metric = _metric(field)
        typed = default if isinstance(default, Measured) else parse(str(default), field.quantity)
        default = own_units.own_text(typed, field.quantity, metric, own_units.unit_of(metric, of_a_tool))
    if isinstance(default, float):
        default = f"{default:g}" if default else ""
    return f"{as_written(default)} if left empty" if isinstance(default, str) and default else ""


def _to_widget(field: Field, raw: object) -> Any:
    """Return what a widget shows for a raw value; a value that it cannot show is quoted by its error message."""
    if isinstance(field, ChoiceField):
        return _shown_choice(field, raw)
    if isinstance(field, FlagField):
        return next((word for word, flag in FLAGS.items() if flag is raw), None)
    if isinstance(field, ChoicesField):
        return [word for word in (raw if isinstance(raw, list | tuple) else [raw]) if isinstance(word, str)]
    if isinstance(field, DateField):
        return _shown_date(field, raw)
    return _shown_text(raw, in_rows=isinstance(field, RowsField))


def _shown_choice(field: ChoiceField, raw: object) -> str | None:
    """Return the choice that stands in the sheet; the default where nothing does, none where it is not offered."""
    chosen = raw if raw in field.choices else (field.default if raw is None else None)
    return chosen or ("" if len(field.choices) > FEW else None)


def _shown_date(field: DateField, raw: object) -> datetime.date | None:
    """Return the day that stands in the sheet, or None where none can be read."""
    try:
        return None if raw is None else field.read(raw, "")
    except InputError:
        return None


def _shown_text(raw: object, *, in_rows: bool) -> str:
    """Return what stands in the sheet as a person would type it: rows line by line."""
    if in_rows and isinstance(raw, list | tuple):
        return "\n".join(", ".join(map(str, row)) if isinstance(row, list | tuple) else str(row) for row in raw)
    return "" if raw is None else as_written(str(raw))


def as_written(text: str) -> str:
    """Return what stands in a sheet with the units that a sheet spells for a machine as a person writes them."""
    return _UNIT_OF_A_SHEET.sub(lambda found: _AS_WRITTEN[found[0]], text)


def _from_widget(field: Field, value: Any, unit: str | None) -> Any:
    """Return the raw value of what a widget holds; unit: that of a bare number."""
    if isinstance(field, FlagField):
        return FLAGS.get(value)
    if isinstance(field, QuantityField):
        return with_unit(value or "", field, unit)
    if isinstance(field, PriceField):
        return _with_amount((value or "").strip(), field, unit)
    if isinstance(field, NumberField):
        return (value or "").strip()
    if isinstance(field, RowsField):
        return _rows(value or "")
    return list(value) if isinstance(field, ChoicesField) else value


def _rows(text: str) -> list[list[float | str]]:
    """Split lines into rows of numbers; columns stand apart by blank, semicolon or comma with a blank."""
    lines = [line.replace(";", " ").replace(", ", " ").replace("\t", " ").strip(" ,") for line in text.splitlines()]
    return [[_number(cell) for cell in line.split()] for line in lines if line]


def _number(cell: str) -> float | str:
    try:
        return parse_number(cell)
    except UnitError:
        return cell


def _store(field: Field, place: str, name: str, key: str, widget_round: int, unit: str | None) -> None:
    """Write a changed widget to the sheet."""
    if widget_round != state.widget_round(place) or not heard.is_typed(key):  # of before the field was anew, or late
        return
    value = _from_widget(field, st.session_state[key], unit)
    if isinstance(field, ChoiceField) and value == field.default:
        value = None
    if isinstance(field, ChoicesField):
        value = field.without_clash(_to_widget(field, state.part(place).get(name)), value)
    state.put(place, name, value)
    if isinstance(field, QuantityField):
        unit_menus.notice(place, name, unit_menus.menu_of(field), st.session_state[key] or "", unit)


def _store_together(
    field: PairField | TogetherField, place: str, name: str, keys: Sequence[str], units: Sequence[str | None]
) -> None:
    if keys[0] != state.key_of(place, unit_menus.part_name(name, 0)):  # from before the fields started afresh
        return
    held = _texts(state.part(place).get(name), len(keys))
    values = [
        _from_widget(part, st.session_state[key], unit) if heard.is_typed(key) else before
        for key, part, unit, before in zip(keys, field.parts, units, held, strict=True)
    ]
    state.put(place, name, values if any(values) else None)
