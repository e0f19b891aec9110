"""What a field of the bench sheet accepts, said once: quantity, unit, limits, default, label and help.

Each table of the sheet and each kind of reading is a frozen dataclass made of these fields. The TOML reader and
writer here and the input fields of the pages are generated from them, so that a limit or a label is written in one
place only. It knows no particular table.
"""

from __future__ import annotations

import dataclasses
import datetime
import difflib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType
from typing import Any, TypeVar

from advisor.basis.units import (
    Measured,
    UnitError,
    example_of,
    format_limit,
    format_quantity,
    in_digits,
    parse,
    parse_number,
    us_unit_of,
)

# In the unit used inside: less than a millionth of a litre is a slip, and dividing by it gives infinity (judgement).
LEAST_ABOVE_ZERO = 1e-6
YEARS = range(1900, 9000)  # of a date: so that no zone leads beyond a calendar (judgement)
KEPT = 4096  # texts of quantities that stay at hand: in thousands of entries most are the same (judgement)
_HALF_LETTER = re.compile("[\\ud800-\\udfff]")
# Not for a field's default: `was_given` knows a default by its identity.
parsed_once = lru_cache(maxsize=KEPT)(parse)


class Fault(StrEnum):
    """What is the matter with an input: a closed list, so that nobody has to read the sentence to know."""

    MISSING = "missing"
    UNKNOWN_KEY = "unknown key"  # or table
    NOT_READABLE = "not readable"  # of another shape or type, or a word outside its list
    OUT_OF_LIMITS = "out of limits"
    CONFLICT = "conflict"  # each part would do, but not together
    NOT_USABLE = "not usable"  # for a reason of its own, which the sentence tells


class InputError(ValueError):
    """Something in the sheet that cannot be used: where it stands, what was given, what is accepted, and the fault."""

    def __init__(self, place: str, given: str, accepted: str, fault: Fault = Fault.NOT_USABLE) -> None:
        super().__init__(f"{place}: {given}{'; ' if given else ''}{accepted}")
        self.place, self.given, self.accepted, self.fault = place, given, accepted, fault

    @classmethod
    def missing(cls, place: str, accepted: str) -> InputError:
        """Return the error for a place where something is needed and nothing was given."""
        return cls(place, "nothing was given", accepted, Fault.MISSING)


class SheetError(InputError):
    """All that is wrong with a sheet; it reads as the first of its `errors`."""

    def __init__(self, errors: Sequence[InputError]) -> None:
        first = errors[0]
        more = f" ({len(errors) - 1} more to fix after this one)" if len(errors) > 1 else ""
        super().__init__(first.place, first.given, first.accepted + more, first.fault)
        self.errors = tuple(errors)


def show(given: object) -> str:
    """Quote what was given, cut to a length that a message can carry."""
    try:
        text = json.dumps(given, ensure_ascii=False, default=str)
    except (TypeError, ValueError):
        text = repr(given)
    return f"you gave {text if len(text) <= 60 else text[:57] + '...'}"


def _you_gave(words: Sequence[str]) -> str:
    """Say two words or more, each well written, as a person would."""
    return f"you gave {', '.join(words[:-1])} and {words[-1]}"


@dataclass(frozen=True, kw_only=True)
class Field:
    """What every kind of field has. `read` raises InputError; `write` gives the plain value that reads back the same.

    asked: a page asks the person for it; what the program itself writes into a sheet has no field on a page.
    """

    label: str
    help: str = ""
    default: Any = None
    required: bool = False
    asked: bool = True

    def read(self, raw: object, place: str) -> Any:
        raise NotImplementedError

    def takes(self, raw: object) -> bool:
        """Tell whether a value is accepted."""
        try:
            self.read(raw, "")
        except InputError:
            return False
        return True

    def write(self, value: Any) -> object:
        return value


@dataclass(frozen=True, kw_only=True)
class QuantityField(Field):
    """A number with a unit, kept with its text. Limits are in the inside unit; `above` excludes the lower limit."""

    quantity: str
    low: float | None = 0.0
    high: float | None = None
    above: bool = False
    unit: str | None = None  # the unit in which a person is told the limits
    us_unit: str = ""  # of who has chosen US units, where it is not the one that goes with `unit`

    def read(self, raw: object, place: str) -> Measured:
        measured = self.read_as_typed(raw, place)
        accepted = self._strength_refused(measured) if self.quantity == "strength" else self._value_refused(measured)
        if accepted:
            raise InputError(place, show(raw), f"it must be {accepted}", Fault.OUT_OF_LIMITS)
        return measured

    def read_as_typed(self, raw: object, place: str) -> Measured:
        """Return what a text says, within the limits or not."""
        if not isinstance(raw, str):
            accepted = f"write it as text with its unit, {example_of(self.quantity)}"
            raise InputError(place, show(raw), accepted, Fault.NOT_READABLE)
        try:
            return parsed_once(raw, self.quantity)
        except UnitError as error:
            raise InputError(place, show(raw), f"it {error}", Fault.NOT_READABLE) from error

    def _value_refused(self, measured: Measured) -> str:
        """Return what is accepted instead of a value beyond the limits; empty for one within them."""
        low, high = self.low, self.high
        below = low is not None and (measured.value <= low if self.above else measured.value < low)
        if below or (high is not None and measured.value > high):
            return self._limits(us_unit_of(measured.text, self.quantity))
        if self.above and low == 0 and measured.value < LEAST_ABOVE_ZERO:
            return f"at least {format_quantity(LEAST_ABOVE_ZERO, self.quantity, self.unit)}"
        return ""

    def _strength_refused(self, measured: Measured) -> str:
        """Return the same for a strength, which each of its units limits in its own way."""
        if measured.value < 1e-5:
            return "a strength above zero, at least 0.00001 mol/L"
        if measured.unit == "fraction" and measured.value > 1:
            return "at most 100 %"
        if self.high is not None and measured.unit == "mol/L" and measured.value > self.high:
            return f"at most {self.high:g} mol/L"
        return "at most 2000 g/L" if measured.unit == "g/L" and measured.value > 2000 else ""

    def write(self, value: Measured) -> object:
        return value.text

    def _limits(self, us_unit: str) -> str:
        """Say the limits in the US unit in which was typed; in the field's own where that is empty."""

        def told(limit: float | None, is_least: bool) -> str:
            if limit is None:
                return ""
            if us_unit:
                return format_limit(limit, self.quantity, us_unit, is_least)
            return format_quantity(limit, self.quantity, self.unit)

        low, high = told(self.low, is_least=True), told(self.high, is_least=False)
        if low and high:
            return f"more than {low.split()[0]} and at most {high}" if self.above else f"from {low} to {high}"
        return f"{'more than' if self.above else 'from'} {low}" if low else f"at most {high}"


@dataclass(frozen=True, kw_only=True)
class ChoiceField(Field):
    """One of a closed list of words; `refused` gives the reason for words that people may well try."""

    choices: tuple[str, ...]
    refused: tuple[tuple[str, str], ...] = ()

    def read(self, raw: object, place: str) -> str:
        if isinstance(raw, str) and raw.strip() in self.choices:
            return raw.strip()
        reason = dict(self.refused).get(raw.strip().lower(), "") if isinstance(raw, str) else ""
        accepted = f"it must be one of: {', '.join(self.choices)}{nearest(raw, self.choices)}"
        raise InputError(place, show(raw), f"{reason}{'; ' if reason else ''}{accepted}", Fault.NOT_READABLE)


@dataclass(frozen=True, kw_only=True)
class ChoicesField(Field):
    """Any number of words from a closed list; `open_ended` also takes words outside it. `alone` goes with no other."""

    choices: tuple[str, ...]
    open_ended: bool = False
    alone: str = ""
    default: Any = ()

    def read(self, raw: object, place: str) -> tuple[str, ...]:
        if isinstance(raw, str):
            raw = [raw]
        if not isinstance(raw, list | tuple):
            raise InputError(
                place, show(raw), f"write a list, such as {json.dumps(self.choices[:1])}", Fault.NOT_READABLE
            )
        for word in raw:
            if not isinstance(word, str) or not (self.open_ended or word in self.choices):
                raise InputError(
                    place,
                    show(word),
                    f"choose from: {', '.join(self.choices)}{nearest(word, self.choices)}",
                    Fault.NOT_READABLE,
                )
        if self.alone and self.alone in raw and len(set(raw)) > 1:
            accepted = f'"{self.alone}" stands alone: take it or the rest out'
            raise InputError(place, _you_gave(tuple(dict.fromkeys(raw))), accepted, Fault.CONFLICT)
        return tuple(raw)

    def without_clash(self, before: Sequence[str], chosen: Sequence[str]) -> list[str]:
        """Return what is left once a word was chosen beside others that it does not go with: the newer ones."""
        if not self.alone or self.alone not in chosen:
            return list(chosen)
        return [word for word in chosen if (word != self.alone) == (self.alone in before)] or [self.alone]

    def write(self, value: Sequence[str]) -> object:
        return list(value)


@dataclass(frozen=True, kw_only=True)
class TextField(Field):
    """Free text, on one line, of a sane length."""

    longest: int = 500

    def read(self, raw: object, place: str) -> str:
        if not isinstance(raw, str):
            raise InputError(place, show(raw), "write it as text in quotes", Fault.NOT_READABLE)
        if _HALF_LETTER.search(raw):  # of a name that is no UTF-8: no file could hold it
            raise InputError(place, show(raw), "only characters that can be printed are accepted", Fault.NOT_READABLE)
        if len(raw) > self.longest:
            raise InputError(place, show(raw), f"at most {self.longest} characters are accepted", Fault.OUT_OF_LIMITS)
        return raw


class FlagField(Field):
    """Yes or no; None where nobody knows."""

    def read(self, raw: object, place: str) -> bool:
        if not isinstance(raw, bool):
            raise InputError(place, show(raw), "it must be true or false, without quotes", Fault.NOT_READABLE)
        return raw


_PER_CHARGE = re.compile(
    r"(?P<dose>.+?)\s*(?:/|per|for(?: each)?)\s*(?P<count>[0-9.,]*)\s*"
    r"(?P<unit>[mk]?A[ .·*-]*h(?:rs?|ours?)?|(?:milli|kilo)?amp(?:ere)?s?[ ·*-]*h(?:rs?|ours?)?)\.?"
    r"(?P<rough>\s+or so)?",
    re.IGNORECASE,
)


class PerChargeField(QuantityField):
    """A volume for each ampere-hour; "20 mL per 100 A·h", as labels have it, is read as 0.2 mL."""

    def read(self, raw: object, place: str) -> Measured:
        said = _PER_CHARGE.fullmatch(raw.strip()) if isinstance(raw, str) else None
        if said is None:
            return super().read(raw, place)
        dose = super().read_as_typed(said["dose"] + (said["rough"] or ""), place)
        charge = QuantityField(quantity="charge", label=self.label, above=True).read(
            f"{said['count'] or 1} {said['unit']}", place
        )
        spread = None if dose.standard_uncertainty is None else 1000 * dose.standard_uncertainty / charge.value
        each = Measured.of(1000 * dose.value / charge.value, "mL", "volume", standard_uncertainty=spread)
        return super().read(each.text, place)


@dataclass(frozen=True, kw_only=True)
class NumberField(Field):
    """A bare number: a price, a position, a count. Typed text with a decimal comma is taken too."""

    low: float | None = 0.0
    high: float | None = None

    def read(self, raw: object, place: str) -> float:
        try:
            if isinstance(raw, bool) or not isinstance(raw, int | float | str):
                raise UnitError("is not a number such as 12.5 or 12,5")
            number = parse_number(raw if isinstance(raw, str) else repr(raw))
        except UnitError as error:
            raise InputError(place, show(raw), f"it {error}", Fault.NOT_READABLE) from error
        if (self.low is not None and number < self.low) or (self.high is not None and number > self.high):
            low = "" if self.low is None else f"from {in_digits(self.low, 6)} "
            high = "" if self.high is None else f"to {in_digits(self.high, 6)}"
            raise InputError(place, show(raw), f"it must be a number {low}{high}".rstrip(), Fault.OUT_OF_LIMITS)
        return number


# The sign or the code of a currency before or behind its number; within it ("12€50") it would be the point.
_CURRENCY = r"(?:[$£¥€₩₹₽₺₴₱₫₪]|[A-Z]{3}\b)"
_AT_A_PRICE = re.compile(rf"^\s*{_CURRENCY}\s*|\s*{_CURRENCY}\s*$")
# What a price is for, with its unit: of "1/2" the 2 is none.
_FOR_AN_AMOUNT = re.compile(r"\s*(?:/|\bper\b|\bfor(?: each| every)?\b)\s*(?=[0-9., ]*[A-Za-z])", re.IGNORECASE)
_PER = {"kg": ("mass", 1000.0), "L": ("volume", 1.0)}  # its quantity, and that in the unit used inside (exact)


@dataclass(frozen=True, kw_only=True)
class PriceField(NumberField):
    """A price in any one currency, whose sign may stand at it.

    each: the unit that it is for, kg or L, where it has one; a text may say another amount, "4 per lb".
    """

    help: str = "In any currency."
    each: str = ""

    def read(self, raw: object, place: str) -> float:
        if not isinstance(raw, str):
            return super().read(raw, place)
        price, amount = self.price_and_amount(raw)
        try:
            number = super().read(_AT_A_PRICE.sub("", price), place)
            return super().read(in_digits(number / self._units_in(amount), 6), place) if amount else number
        except UnitError as error:
            raise InputError(place, show(raw), f"what it is for {error}", Fault.NOT_READABLE) from error
        except InputError as error:
            raise InputError(place, show(raw), error.accepted, error.fault) from error

    def price_and_amount(self, text: str) -> tuple[str, str]:
        """Return the price in a text and the amount that it is for, which is empty where the text says none."""
        price, *amount = _FOR_AN_AMOUNT.split(text, maxsplit=1) if self.each else [text]
        return price, "".join(amount)

    def _units_in(self, amount: str) -> float:
        """Return an amount in the unit of the price; raises UnitError where it is none."""
        quantity, factor = _PER[self.each]
        units = parse(amount if amount[0] in "0123456789.," else f"1 {amount}", quantity).value / factor
        if units < LEAST_ABOVE_ZERO:
            raise UnitError("is no amount above zero")
        return units


class DateField(Field):
    """A calendar date."""

    def read(self, raw: object, place: str) -> datetime.date:
        try:
            if not isinstance(raw, datetime.date):
                raw = datetime.date.fromisoformat(str(raw).strip())
        except ValueError as error:  # fromisoformat raises nothing narrower
            raise InputError(
                place, show(raw), "write a date as year-month-day, such as 2026-03-14", Fault.NOT_READABLE
            ) from error
        refuse_year(raw, place)
        return raw.date() if isinstance(raw, datetime.datetime) else raw


def refuse_year(day: datetime.date, place: str) -> None:
    """Raise InputError for a day near the ends of the calendar, from where no zone's time can be reckoned."""
    if day.year not in YEARS:
        raise InputError(place, show(str(day)[:10]), f"the year must be {YEARS.start} to {YEARS[-1]}")


def refuse_a_day_ahead(day: datetime.date | None, place: str) -> None:
    """Raise InputError for the day of readings that is yet to come anywhere on earth, by the clock of this computer."""
    today = datetime.date.today()
    if day is not None and day > today + datetime.timedelta(days=1):  # a visitor may live where it is tomorrow
        accepted = f"that day lies ahead; write the day of the readings, today ({today}) at the latest"
        raise InputError(place, show(str(day)), accepted)


@dataclass(frozen=True, kw_only=True)
class PairField(Field):
    """Two quantities of one kind: the limits of a window, or a dilution from one volume to another."""

    each: QuantityField
    rising: bool = True

    @property
    def parts(self) -> tuple[QuantityField, QuantityField]:
        """What stands in the list, in its order."""
        return self.each, self.each

    def read(self, raw: object, place: str) -> tuple[Measured, Measured]:
        if not isinstance(raw, list | tuple) or len(raw) != 2:
            raise InputError(
                place,
                show(raw),
                "write two quantities in a list, such as " + self.help.split("e.g. ")[-1],
                Fault.NOT_READABLE,
            )
        given = [self.each.read(item, place) for item in raw if item != "" or not any(raw)]
        if len(given) < 2:
            raise InputError.missing(place, f"give both numbers of “{self.label}”")
        low, high = given
        if self.rising and low.value >= high.value:
            raise InputError(place, _you_gave(raw), "the first must be less than the second", Fault.CONFLICT)
        return low, high

    def write(self, value: tuple[Measured, Measured]) -> object:
        return [value[0].text, value[1].text]


@dataclass(frozen=True, kw_only=True)
class TogetherField(Field):
    """Values that only make sense together, each of its own kind: what a standard is and what was read in it."""

    parts: tuple[Field, ...]

    def read(self, raw: object, place: str) -> tuple[Any, ...]:
        if not isinstance(raw, list | tuple) or len(raw) != len(self.parts):
            wanted = ", ".join(part.label for part in self.parts)
            raise InputError(place, show(raw), f"write a list: [{wanted}]", Fault.NOT_READABLE)
        return tuple(part.read(item, place) for part, item in zip(self.parts, raw, strict=True))

    def write(self, value: Sequence[Any]) -> object:
        return [part.write(item) for part, item in zip(self.parts, value, strict=True)]


@dataclass(frozen=True, kw_only=True)
class RowsField(Field):
    """A list of rows of bare numbers, all of one width: points of a curve, colours of jars."""

    columns: tuple[str, ...]
    longest: int = 2000
    default: Any = ()

    def read(self, raw: object, place: str) -> tuple[tuple[float, ...], ...]:
        if not isinstance(raw, list | tuple) or not raw:
            raise InputError(place, show(raw), f"write a list of rows [{', '.join(self.columns)}]", Fault.NOT_READABLE)
        if len(raw) > self.longest:
            raise InputError(
                place, f"you gave {len(raw)} rows", f"at most {self.longest} are accepted", Fault.OUT_OF_LIMITS
            )
        number = NumberField(label=self.label, low=None)
        rows = []
        for position, row in enumerate(raw, 1):
            if not isinstance(row, list | tuple) or len(row) != len(self.columns):
                raise InputError(
                    f"{place} row {position}", show(row), f"write [{', '.join(self.columns)}]", Fault.NOT_READABLE
                )
            rows.append(tuple(number.read(cell, f"{place} row {position}") for cell in row))
        return tuple(rows)

    def write(self, value: Sequence[Sequence[float]]) -> object:
        return [list(row) for row in value]


def define(field: Field) -> Any:
    """Make a dataclass field that carries `field` as its metadata and its default."""
    default = field.default
    if isinstance(field, QuantityField) and isinstance(default, str):
        default = parse(default, field.quantity)
    return dataclasses.field(default=default, metadata={"field": field})


def quantity(quantity: str, label: str, help: str = "", **rules: Any) -> Any:
    """Define a quantity field of a sheet table."""
    return define(QuantityField(quantity=quantity, label=label, help=help, **rules))


def dose_per_charge(label: str, help: str, **rules: Any) -> Any:
    """Define the dose of an additive for each ampere-hour, which a label may say for a hundred."""
    return define(PerChargeField(quantity="volume", label=label, help=help, **rules))


def volume(label: str, help: str = "", **rules: Any) -> Any:
    """Define a small volume at the bench: shown in mL, from 0.01 mL (from 0 where zero is an answer) to 5 L."""
    low = 1e-5 if rules.pop("above", True) else 0.0
    return quantity("volume", label, help, **{"low": low, "high": 5.0, "unit": "mL", **rules})


def weighed(label: str, help: str) -> Any:
    """Define a mass that must be weighed at the bench: in g, up to 20 kg."""
    return quantity("mass", label, help, required=True, above=True, high=20_000.0, unit="g")


def times_diluted(help: str) -> Any:
    """Define how many times a liquid was diluted."""
    return define(NumberField(label="Diluted how many times", help=help, default=1.0, low=1.0, high=1000.0))


def tool(label: str) -> Any:
    """Define the name of what measured a volume (`sample_with` and the like)."""
    return text(f"{label}: measured with", 'What you measured it with, such as "10 mL syringe". Its tolerance is used.')


def bottle() -> Any:
    """Define the name of a bottle of titrant (`titrant_label`)."""
    return text("Titrant bottle", "Readings with the same bottle share its error; name it if two bottles read alike.")


def drawn_sample() -> Any:
    """Define the name of what was drawn from the bath (`sample_label`)."""
    return text("Sample drawn", "Readings on the same drawn sample share its error.")


def choice(label: str, choices: Sequence[str], help: str = "", **rules: Any) -> Any:
    """Define a field that takes one word of a list."""
    return define(ChoiceField(label=label, choices=tuple(choices), help=help, **rules))


def text(label: str, help: str = "", **rules: Any) -> Any:
    """Define a field of free text."""
    return define(TextField(label=label, help=help, **rules))


def note() -> Any:
    """Define the note that every kind of reading takes."""
    return text("Note", "Anything you want to remember about this reading.")


_KEPT: dict[type, Mapping[str, Field]] = {}  # asked of each of thousands of entries


def fields_of(table: type) -> Mapping[str, Field]:
    """Return the fields of a sheet table by key, in the order in which they are written."""
    if table not in _KEPT:
        found = {f.name: f.metadata["field"] for f in dataclasses.fields(table) if "field" in f.metadata}
        _KEPT[table] = MappingProxyType(found)
    return _KEPT[table]


def asked_fields(table: type) -> dict[str, Field]:
    """Return those fields of a sheet table that a page asks for."""
    return {name: field for name, field in fields_of(table).items() if field.asked}


Table = TypeVar("Table")


class TableBase:
    """Base of the tables of a sheet."""

    def check(self, place: str) -> None:
        """Raise InputError where two fields do not fit together."""

    def was_given(self, name: str) -> bool:
        """Tell whether a quantity was given, even if it equals the default."""
        defaults = {item.name: item.default for item in dataclasses.fields(self)}  # type: ignore[arg-type]
        return getattr(self, name) is not defaults[name]


def read_table(table: type[Table], raw: object, place: str, errors: list[InputError]) -> Table | None:
    """Read a mapping into `table`; what is wrong is added to `errors`, and then None is returned."""
    known = fields_of(table)
    before = len(errors)
    if not isinstance(raw, (dict, Mapping)):  # dict is the faster test, and entries come by the thousand
        errors.append(InputError(place, show(raw), f"write a table with: {', '.join(known)}", Fault.NOT_READABLE))
        return None
    values: dict[str, Any] = {}
    for key in raw:
        if key not in known:
            errors.append(
                InputError(
                    _at(place, str(key)),
                    "there is no such key",
                    f"known keys: {', '.join(known)}{nearest(key, known)}",
                    Fault.UNKNOWN_KEY,
                )
            )
    for key, field in known.items():
        if key in raw:
            try:
                values[key] = field.read(raw[key], _at(place, key))
            except InputError as error:
                errors.append(error)
        elif field.required:
            errors.append(InputError.missing(_at(place, key), f"needed: {field.label}. {field.help}".strip()))
    if len(errors) > before:
        return None
    result = table(**values)
    if isinstance(result, TableBase):
        try:
            result.check(place)
        except InputError as error:
            errors.append(error)
            return None
    return result


def write_table(value: object) -> dict[str, object]:
    """Return a table as plain values by key, leaving out what stands at its default."""
    values = {}
    for item in dataclasses.fields(value):  # type: ignore[arg-type]
        field, content = item.metadata.get("field"), getattr(value, item.name)
        untouched = content is item.default or (content == item.default and not isinstance(content, Measured))
        if field is not None and content is not None and not untouched:
            values[item.name] = field.write(content)
    return values


def nearest(word: object, known: Iterable[str]) -> str:
    """Return " (did you mean ...?)" where a known word is near, else an empty text."""
    found = difflib.get_close_matches(str(word)[:60].lower(), list(known), 1, 0.5)
    return f" (did you mean {found[0]}?)" if found else ""


def _at(place: str, key: str) -> str:
    key = (key if len(key) <= 40 else key[:37] + "...") or '""'
    return f"{place}: {key}" if place else key
