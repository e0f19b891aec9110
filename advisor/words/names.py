"""Names that people give, shown so that nothing in them hides: letters that take no room, and names that look alike."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

JOINER = "\N{ZERO WIDTH JOINER}"  # it makes one picture of several, and hides nothing there
# Letters and digits that look like Latin ones in most typefaces (from memory; after casefold).
_LOOKS_LIKE = str.maketrans("аеорсухіјѕԁӏοαρν01", "aeopcyxijsdloapvol")


def shown_name(name: str) -> str:
    """Return a name with letters that take no room or turn the direction of writing shown by their number."""
    shown = []
    for position, letter in enumerate(name):
        hides = letter not in "\n\t" and unicodedata.category(letter) in ("Cf", "Cc", "Cs", "Co", "Cn", "Zl", "Zp")
        if hides and not (letter == JOINER and position and _is_picture(name[position - 1])):
            shown.append(f"\\u{ord(letter):04x}")
        else:
            shown.append(letter)
    return "".join(shown)


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


def listed(words: Iterable[str]) -> str:
    """Return one word, or several as a sentence lists them."""
    *before, last = words
    return f"{', '.join(before)} and {last}" if before else last
