"""Messages as a page says them: fields by their label instead of the key that a sheet has, and what to write.

What is wrong is said by the fields themselves (`basis.fields`), for sheets and pages alike.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from advisor.basis.fields import Field, NumberField, PriceField, QuantityField
from advisor.basis.units import KINDS, is_unit, two_meanings
from advisor.words.lines import line

# What a sheet's message says of its form, and how a page says it.
_SHEET_ONLY = {
    "give points = [[mL, pH], ...] or file": "write the points of the curve, mL and pH, a row a line, or open its file",
    'a recipe needs all of it, "0 g" or "0 mL" for none': "a recipe needs all of it, 0 for none",
    'give how much to mix, such as volume = "4 L"': line("say how much to mix, such as {4 L}"),
    'add a table [bath] with volume = "5.6 L"': line("say how much bath there is, such as {5.6 L}"),
    'give the area of the part, such as "85 cm²"': line("give the area of the part, such as {85 cm²}"),
    'give a thickness, such as "150 µm", or a time or a current': line(
        "give a thickness, such as {150 µm}, or a time or a current"
    ),
}
_KEY = re.compile(r"\b[a-z]+(?:_[A-Za-z]+)+\b")
_ONE_OF_A_LIST = re.compile(r'\w+ = \["([^"]*)"\]')
_MINUS = "-\N{MINUS SIGN}"
_EXAMPLES = ("10", "1", "100", "0.1", "1.1", "5")
_A_NUMBER = re.compile(r"\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")
_EXAMPLE_GIVEN = re.compile(r', such as "[^"]*"$')


def on_screen(text: str, known: Mapping[str, Field]) -> str:
    """Return a message for a page, which may be a line with amounts; known: the fields of its table, by key."""
    if text in _SHEET_ONLY:
        return _SHEET_ONLY[text]
    text = _ONE_OF_A_LIST.sub(r"\1", text)
    named = _KEY.sub(lambda key: f"“{known[key[0]].label}”" if key[0] in known else key[0].replace("_", " "), text)
    return re.sub(r' = (?=")', " ", named)


def with_what_to_write(accepted: str, write: str) -> str:
    """Return what is accepted and what to write, which takes the place of the example of another unit."""
    return f"{_EXAMPLE_GIVEN.sub('', accepted)}. {write}" if write else accepted


def what_to_write(field: Field, raw: object, unit: str | None) -> str:
    """Return "Write 8.6 mL." for what was typed, where that can be told; else an example, if the message has none.

    Nothing where the field itself would take what was typed: it is wrong beside another one, of which no example knows.
    """
    if not isinstance(field, QuantityField | NumberField) or not isinstance(raw, str) or field.takes(raw):
        return ""
    unit = _unit_of_a_liquid(field, raw) or unit
    sound = _sound(field, raw, unit)
    if sound:
        return _told_to_write(sound, raw)
    example = next((text for one in _EXAMPLES if (text := _with_unit(one, field, unit))), "")
    return f"Write, for example, {example}." if example and not _is_ambiguous(field, raw) else ""


def _sound(field: QuantityField | NumberField, raw: str, unit: str | None) -> str:
    """Return what was typed without its minus, else its number with the unit of its field, where that is taken.

    Nothing where what stands behind its number means something else: 3 tablespoons are not 3 g.
    """
    without = raw.strip().lstrip(_MINUS)
    if without != raw.strip() and field.takes(without):
        return without
    number = _A_NUMBER.search(raw)
    if not number or _is_ambiguous(field, raw):
        return ""
    behind = raw[number.end() :].strip()
    typed = _unit_in(behind)
    if _means_something_else(field, behind, typed):
        return ""
    return _with_unit(number[0], field, typed if _is_of(field, typed) else unit)


def _means_something_else(field: QuantityField | NumberField, behind: str, typed: str) -> bool:
    """Tell whether what stands behind a number, with the unit typed in it, speaks against that number in this field."""
    if _A_NUMBER.search(" ".join(behind.split()).removeprefix(typed)):  # "1 234", "500 mL to 1 L": which is meant?
        return True
    if not typed:
        return "/" in behind  # of two quantities, such as mL/min
    return not _is_of(field, typed) and not _unit_of_a_liquid(field, behind)


def _is_of(field: QuantityField | NumberField, unit: str) -> bool:
    return isinstance(field, QuantityField) and is_unit(unit, field.quantity)


def _unit_in(behind: str) -> str:
    """Return the unit, of any kind, with which a text begins that stands behind a number; empty where it has none."""
    words = behind.split()
    starts = (" ".join(words[:count]) for count in range(len(words), 0, -1))
    return next((start for start in starts if any(is_unit(start, kind) for kind in KINDS)), "")


def _told_to_write(sound: str, raw: str) -> str:
    """Say what to write; where a minus stands before what was typed, that is another number."""
    of_another = raw.lstrip().startswith(tuple(_MINUS))
    return f"If you mean {sound}, write that." if of_another else f"Write {sound}."


def _unit_of_a_liquid(field: QuantityField | NumberField, raw: str) -> str:
    """Return the ounces that a volume may be given in, where ounces were typed: 5 of them are not 5 L."""
    is_volume = isinstance(field, QuantityField) and field.quantity == "volume"
    return "fl oz" if is_volume and re.search(r"\boz\b|ounce", raw) else ""


def _is_ambiguous(field: QuantityField | NumberField, raw: str) -> bool:
    """Tell whether its number alone could be wrong, which its message says.

    A comma may stand for thousands, a price be of another amount, a unit mean two things.
    """
    of_another = isinstance(field, PriceField) and field.price_and_amount(raw)[1] != ""
    behind = _A_NUMBER.sub("", raw, count=1).strip()
    of_two = isinstance(field, QuantityField) and two_meanings(behind, field.quantity) != ""
    return of_another or (of_two and not _unit_of_a_liquid(field, raw)) or re.search(r"\d,\d{3}(?!\d)", raw) is not None


def _with_unit(number: str, field: QuantityField | NumberField, unit: str | None) -> str:
    """Return a number with the unit of its field, where the field would take that; else nothing."""
    text = f"{number} {unit}" if unit and isinstance(field, QuantityField) else number
    return text if field.takes(text) else ""
