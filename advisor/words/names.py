"""Names that people give, shown so that nothing in them hides: letters that take no room, and names that look alike."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from advisor.words.lines import listed

_UNUSUAL = re.compile(r"[^ -~\n\t]")
JOINER = "\N{ZERO WIDTH JOINER}"  # it makes one picture of several, and hides nothing there
# Letters and digits that look like Latin ones in most typefaces (from memory; after casefold).
_LOOKS_LIKE = str.maketrans("аеорсухіјѕԁӏοαρν01", "aeopcyxijsdloapvol")


def shown_name(name: str) -> str:
    """Return a name, or any text, with letters that take no room or turn the writing round shown by their number.

    They stand as in JSON, so that a text in JSON goes on meaning the same.
    """
    hiding = any(map(_hides, {*_UNUSUAL.findall(name)}))  # hardly ever: only then is each letter looked at
    return _UNUSUAL.sub(_shown_letter, name) if hiding else name


def _hides(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cf", "Cc", "Cs", "Co", "Cn", "Zl", "Zp")


def _shown_letter(found: re.Match[str]) -> str:
    letter, before = found[0], found.string[max(found.start() - 1, 0) : found.start()]
    if not _hides(letter) or (letter == JOINER and before and _is_picture(before)):
        return letter
    units = letter.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{units[start : start + 4]}" for start in range(0, len(units), 4))


def _is_picture(letter: str) -> bool:
    return unicodedata.category(letter) in ("So", "Sk") or letter == "\N{VARIATION SELECTOR-16}"


def _looks(name: str) -> str:
    """Return a name as the eye sees it: the same for all names that look alike."""
    folded = unicodedata.normalize("NFKC", name).casefold().translate(_LOOKS_LIKE)
    return "".join(letter for letter in folded if unicodedata.category(letter) not in ("Cf", "Mn", "Zs"))


def alike(names: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Return the names that look like each other, group by group."""
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(_looks(name), []).append(name)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def warned_of(names: Iterable[str]) -> tuple[str, ...]:
    """Say which names look alike and are not the same."""
    return tuple(
        f"{listed(map(_quoted, group))} look alike and are {len(group)} different baths." for group in alike(names)
    )


def _quoted(name: str) -> str:
    return f"“{shown_name(name)}”"
