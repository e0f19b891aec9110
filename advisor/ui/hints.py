"""Messages as a page says them: fields by their label instead of the key that a sheet has, and what to write.

What is wrong is said by the fields themselves (`basis.fields`), for sheets and pages alike.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from advisor.basis.fields import Field, InputError, NumberField, PriceField, QuantityField
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
    if not isinstance(field, QuantityField | NumberField) or not isinstance(raw, str) or _takes(field, raw):
        return ""
    unit = _unit_of_a_liquid(field, raw) or unit
    sound = _sound(field, raw, unit)
    if sound:
        return _told_to_write(sound, raw)
    example = next((text for one in _EXAMPLES if (text := _with_unit(one, field, unit))), "")
    return f"Write, for example, {example}." if example and not _is_ambiguous(field, raw) else ""


def _sound(field: QuantityField | NumberField, raw: str, unit: str | None) -> str:
    """Return what was typed without its minus, else its number with the unit of its field, where that is taken."""
    without = raw.strip().lstrip(_MINUS)
    if without != raw.strip() and _takes(field, without):
        return without
    number = re.search(r"\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?", raw)
    return _with_unit(number[0], field, unit) if number and not _is_ambiguous(field, raw) else ""


def _told_to_write(sound: str, raw: str) -> str:
    """Say what to write; where a minus stands before what was typed, that is another number."""
    of_another = raw.lstrip().startswith(tuple(_MINUS))
    return f"If you mean {sound}, write that." if of_another else f"Write {sound}."


def _unit_of_a_liquid(field: QuantityField | NumberField, raw: str) -> str:
    """Return the ounces that a volume may be given in, where ounces were typed: 5 of them are not 5 L."""
    is_volume = isinstance(field, QuantityField) and field.quantity == "volume"
    return "fl oz" if is_volume and re.search(r"\boz\b|ounce", raw) else ""


def _is_ambiguous(field: QuantityField | NumberField, raw: str) -> bool:
    """Tell whether its number alone could be wrong: a comma may stand for thousands, a price be of another amount."""
    of_another = isinstance(field, PriceField) and field.price_and_amount(raw)[1] != ""
    return of_another or re.search(r"\d,\d{3}(?!\d)", raw) is not None


def _with_unit(number: str, field: QuantityField | NumberField, unit: str | None) -> str:
    """Return a number with the unit of its field, where the field would take that; else nothing."""
    text = f"{number} {unit}" if unit and isinstance(field, QuantityField) else number
    return text if _takes(field, text) else ""


def _takes(field: QuantityField | NumberField, text: str) -> bool:
    try:
        field.read(text, "")
    except InputError:
        return False
    return True
