"""What programs before this one wrote, said as this one says it.

A ± was one standard uncertainty then and is the half-width of a 95 % interval now. Sheets and entries that were kept
are rewritten once, in their text, so that all else in them stays as it was typed, right or wrong.
"""

from __future__ import annotations

import re
from decimal import Decimal

from advisor.basis.units import COVERAGE

FREE_TEXT = ("note", "name", "file", "titrant_label", "sample_label")  # keys whose texts are the person's own words
_TOKENS = re.compile(
    r"""(?P<comment>\#[^\n]*) | (?P<long>\"{3}[\s\S]*?\"{3} | '{3}[\s\S]*?'{3})
    | (?P<text>"(?:[^"\\\n]|\\.)*" | '[^'\n]*') | (?P<key>[A-Za-z0-9_-]+)[ \t]*=""",
    re.VERBOSE,
)
_NUMBER = r"(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
_SPREAD = re.compile(rf"(?P<before>[0-9.,][^±]*?(?:±|\+/-|\+-)\s*)(?P<spread>{_NUMBER})")
FIGURES = 2  # significant ones of what is written (judgement)


def at_95_percent(toml: str) -> str:
    """Return a sheet or an entry (TOML) with the ± of every quantity as a 95 % half-width, given standard ones."""
    key = ""

    def rewritten(token: re.Match[str]) -> str:
        nonlocal key
        key = token["key"] or key
        return _SPREAD.sub(_widened, token[0], count=1) if token["text"] and key not in FREE_TEXT else token[0]

    return _TOKENS.sub(rewritten, toml)


def _widened(found: re.Match[str]) -> str:
    typed = found["spread"]
    spread = Decimal(typed.replace(",", ".")) * Decimal(str(COVERAGE))
    wider = f"{Decimal(f'{spread:.{FIGURES}g}'):f}"
    return found["before"] + (wider.replace(".", ",") if "," in typed else wider)
