"""The unit of a field as a menu beside it, and the decimal keypad of a phone.

Streamlit's text fields have neither. A script of ours, mounted once a page, puts the menu into each field that `offer`
named in this run, and asks for the decimal keypad there; a field that it does not find stays as it is, where a unit can
be typed. What is chosen comes back as an act: the unit of what is typed changes, its number does not.
"""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Any

import streamlit as st

from advisor.basis.fields import QuantityField
from advisor.basis.units import in_figures, is_same_unit, is_unit
from advisor.ui.session import state

# What people measure in, of all that a field accepts; the rest can be typed. In the spelling of a label.
UNITS: dict[str, tuple[str, ...]] = {
    "volume": ("mL", "L", "fl oz", "qt", "gal"),
    "mass": ("g", "kg", "oz", "lb"),
    "concentration": ("g/L", "oz/gal"),
    "reported": ("g/L", "mg/L", "ppm", "oz/gal"),
    "content": ("mg/L", "g/L", "ppm"),
    "density": ("g/mL", "SG"),
    "temperature": ("°C", "°F"),
    "time": ("min", "h", "day", "month", "year"),
    "current": ("A", "mA"),
    "length": ("mm", "cm", "in"),
    "thickness": ("µm", "mil", "mm"),  # of a coat: nobody measures the height of a part in µm
    "area": ("cm²", "dm²", "in²", "ft²"),
    "strength": ("mol/L", "g/L", "%"),
    "conductivity": ("µS/cm", "mS/cm"),
    "pen reading": ("µS/cm", "mS/cm", "ppm"),
}
_OFFERED, _CHOSEN, _KEY = "unit_menus", "unit_menus_chosen", "unit_menus_script"
_NOW = "unit_menus_now"  # those of the run that goes on: it may be broken off, and then those before still hold
_NUMBER = re.compile(r"[\d.,±+/⁄½⅓⅔¼¾⅛⅜⅝⅞\s-]*")
_SPREAD = re.compile(r"\s*(?:±|\+/?-)\s*(?P<half>[\d.,]+)\s*(?P<relative>%?)")
_PART = re.compile(r"(.*)_part_(\d+)")
_mount = st.components.v2.component(
    "unit_menus", js=files(__package__).joinpath("unit_menus.js").read_text("utf-8"), html="<i hidden></i>"
)


def menu_of(field: QuantityField) -> str:
    """Return the menu of a field, a key of `UNITS`: that of its quantity, for a thin coat one of its own."""
    return "thickness" if field.unit == "um" else field.quantity


def quantity_of(menu: str) -> str:
    """Return the quantity that a menu is for."""
    return "length" if menu == "thickness" else menu


def begin() -> None:
    """Begin to note the fields of a run."""
    st.session_state[_NOW] = {}


def part_name(name: str, number: int) -> str:
    """Return the name of one of the fields in which a value of several parts is typed, from 0."""
    return f"{name}_part_{number}"


def offer(key: str, place: str, name: str, label: str, of: str, typed: str, usual: str | None) -> None:
    """Give the field with a key a menu; typed: what stands in it, usual: the unit of a number alone.

    of: which menu, as `menu_of` returns it. place: of the sheet; empty for a field that is none of it and whose name
        is its key.
    """
    units = UNITS.get(of, ())
    if usual and usual not in units:
        units = ()
    written = _written(typed, of)
    if written and not is_unit(written, quantity_of(of)):  # what is wrong is said at the field
        written, usual = "", None
    own = [written] if written and written not in units else []
    if units:
        menu = {"label": label, "units": [*units, *own], "unit": written or usual or ""}
        st.session_state.setdefault(_NOW, {})[key] = (place, name, menu)


def notice(place: str, name: str, of: str, typed: str, unit: str | None) -> None:
    """Take a unit of the menu that was typed with a number as chosen, since the menu shows it; unit: the one so far.

    A field that was emptied begins anew, in its own unit.
    """
    if not typed.strip():
        _keep({key: one for key, one in _choices().items() if key != (_table(place), name)})
    elif (written := _written(typed, of)) in UNITS.get(of, ()) and written != unit:
        _choose(place, name, written)


def _written(typed: str, of: str) -> str:
    """Return what stands behind the number of a text, or behind its ±; nothing where there is no number.

    A unit of the menu is spelled as it stands there: "ml" is "mL".
    """
    before, _, after = _about_its_spread(in_figures(typed))
    if not any(map(str.isnumeric, before)):
        return ""
    written = _NUMBER.sub("", before, count=1).strip() or after.strip()
    same = (unit for unit in UNITS.get(of, ()) if is_same_unit(unit, written, quantity_of(of)))
    return next(same, written)


def _choose(place: str, name: str, unit: str) -> None:
    _keep({**_choices(), (_table(place), name): unit})


def _keep(choices: dict[tuple[type, str], str]) -> None:
    st.session_state[_CHOSEN] = state.raw(), choices


def _about_its_spread(text: str) -> tuple[str, re.Match[str] | None, str]:
    """Return what stands before a ±, the ± with its number, and what stands behind."""
    spread = _SPREAD.search(text)
    return (text[: spread.start()], spread, text[spread.end() :]) if spread else (text, None, "")


def chosen(place: str, name: str) -> str | None:
    """Return the unit that was chosen for what a field asks, wherever it stands; None where none was."""
    return _choices().get((_table(place), name))


def unit_at(place: str, name: str, of: str, typed: str, usual: str | None) -> str | None:
    """Return the unit of a field: the one that its menu shows of what is typed, else the one chosen, else the usual."""
    units, written = UNITS.get(of, ()), _written(typed, of)
    return written if written in units and usual in units else chosen(place, name) or usual


def _table(place: str) -> type:
    return state.table_of(place) if place else object


def _choices() -> dict[tuple[type, str], str]:
    """Return what was chosen by table and field, for the sheet that stands in the fields: another begins without."""
    of, found = st.session_state.get(_CHOSEN, (None, {}))
    return found if of is state.raw() else {}


def forget(table: type) -> None:
    """Forget what was chosen for the fields of a table, such as a kind of reading."""
    _keep({key: unit for key, unit in _choices().items() if key[0] is not table})


def draw() -> None:
    """Put the menus into the fields; after all of them are drawn."""
    st.session_state[_OFFERED] = st.session_state.get(_NOW, {})
    menus = {key: menu for key, (_, _, menu) in st.session_state[_OFFERED].items()}
    if menus:
        with st.container(key="unit_menus_place"):
            _mount(key=_KEY, data={"menus": menus}, on_unit_change=_act)


def _act() -> None:
    act: Any = st.session_state[_KEY].get("unit")
    if isinstance(act, dict):
        choose(str(act.get("key")), str(act.get("unit")), str(act.get("text") or ""))


def choose(key: str, unit: str, text: str) -> None:
    """Take a unit for a field of the run before: for what is typed there, and for what will be."""
    place, name, menu = st.session_state.get(_OFFERED, {}).get(key, ("", "", {"units": ()}))
    if unit not in menu["units"]:  # from a page that was drawn before
        return
    _choose(place, name, unit)
    text = in_figures(text)
    before, spread, _ = _about_its_spread(text)
    number = _NUMBER.match(before)
    if number and number[0].strip():
        half = f" ± {spread['half']}" if spread else ""
        relative = bool(spread and spread["relative"])
        text = f"{number[0].strip()}{'' if relative else half} {unit}{f'{half} %' if relative else ''}"
        if place:
            _put(place, name, text)
        else:
            st.session_state[name] = text


def _put(place: str, name: str, text: str) -> None:
    """Write what stands in a field to the sheet; of a value of several parts the others stay."""
    found = _PART.fullmatch(name)
    if not found:
        state.put(place, name, text)
        return
    whole, number = found[1], int(found[2])
    raw = state.part(place).get(whole)
    parts = [str(part) for part in raw] if isinstance(raw, list | tuple) else []
    parts += [""] * (number + 1 - len(parts))
    parts[number] = text
    state.put(place, whole, parts)
