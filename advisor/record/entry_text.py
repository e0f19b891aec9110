"""Between an entry of the record and its text: written, read back and validated.

What comes back from a file or an import may be anything: it is refused here with the place that is wrong. The fields of
a kind are judged by its table in `entries`, a check's advice in `sound_advice`.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from advisor.basis.fields import Field, InputError, QuantityField, fields_of, nearest, read_table, show, write_table
from advisor.basis.toml import read_toml
from advisor.basis.units import UNITS, Measured
from advisor.record.entries import CONTENTS, Check, Content
from advisor.record.sound_advice import sound_advice
from advisor.sheet import LONGEST_NAME

# Of TOML: a text without escapes, and a bare key with it.
_PLAIN_TEXT = r'[^"\\\x00-\x1f\x7f]*'
_PLAIN = re.compile(_PLAIN_TEXT)
_PLAIN_LINE = re.compile(rf'([\w-]+) = "({_PLAIN_TEXT})"', re.ASCII)


@lru_cache(maxsize=64)  # judgement: asked of each entry of a few baths
def bath_name(name: str) -> str:
    """Return a bath's name as the record keeps it: one line, single spaces; raises InputError for what is no name."""
    kept = unicodedata.normalize("NFC", " ".join(name.split()))
    if not kept:
        raise InputError.missing("bath: name", 'give the bath a name, such as name = "Shed tank"')
    if len(kept) > LONGEST_NAME:
        raise InputError("bath: name", f"it has {len(kept)} characters", f"it may have at most {LONGEST_NAME}")
    if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in kept):
        raise InputError("bath: name", show(ascii(kept)), "only characters that can be printed are accepted")
    return kept


def write_content(content: Check | Content) -> tuple[str, Mapping[str, Any] | None]:
    """Return the TOML text of an entry, and the advice where it is a check."""
    if isinstance(content, Check):
        return content.sheet, content.advice
    said = write_table(content)
    if all(isinstance(text, str) and _PLAIN.fullmatch(text) for text in said.values()):
        return _plain_toml(said), None
    import tomli_w

    return tomli_w.dumps(said), None


def plain_values(content: Check | Content) -> dict[str, Any]:
    """Return what an entry says for another program: numbers with the unit in their name, words as they are."""
    if isinstance(content, Check):
        return {}
    said: dict[str, Any] = {}
    for name, field in fields_of(type(content)).items():
        value = getattr(content, name)
        if isinstance(value, Measured):
            known = {"value": value.value, "standard_uncertainty": value.standard_uncertainty}
            said[named_with_unit(name, field)] = known
        elif value not in (None, ""):
            said[name] = value
    return said


def named_with_unit(name: str, field: Field) -> str:
    """Return the name of a field with the unit in which its number stands, such as area_dm2; words have none."""
    if not isinstance(field, QuantityField):
        return name
    unit = next(iter(UNITS[field.quantity])).replace("²", "2").replace("*", "_").replace("/", "_")
    return f"{name}_{unit}"


def read_content(kind: str, toml: str, advice: Any, place: str) -> Check | Content:
    """Read an entry back from its text; raises InputError for what is no entry of this kind."""
    if kind == Check.kind:
        check = Check(toml, sound_advice(advice, place))
        # Its fields are not judged: it may be old.
        if not check.bath() and not isinstance(_toml(toml, place).get("bath"), Mapping):
            raise InputError(place, "the sheet names no bath", "export the logbook again")
        return check
    if kind not in CONTENTS:
        known = (Check.kind, *CONTENTS)
        raise InputError(f"{place}: kind", show(kind), f"it must be one of: {', '.join(known)}{nearest(kind, known)}")
    errors: list[InputError] = []
    content = read_table(CONTENTS[kind], _toml(toml, place), place, errors)
    if content is None:
        raise errors[0]
    return content


def _toml(toml: str, place: str) -> dict[str, Any]:
    plain = dict(_PLAIN_LINE.findall(toml))
    if toml == _plain_toml(plain):
        return plain
    try:
        return read_toml(toml)
    except ValueError as error:
        raise InputError(place, f"it is not sound TOML ({error})", "export the logbook again") from error


def _plain_toml(said: Mapping[str, object]) -> str:
    """Return texts that need no escapes by their keys as TOML: nearly all entries, and ten times as fast."""
    return "".join(f'{key} = "{text}"\n' for key, text in said.items())


def write_json(value: object) -> str:
    """Write JSON in the one form that the record keeps; raises ValueError for numbers that are not finite."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
