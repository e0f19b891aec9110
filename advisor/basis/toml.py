"""Reading TOML that may come from anywhere."""

from __future__ import annotations

import re
import tomllib
from typing import Any

# A key of thousands of parts, `a.a.a. ... = 1`, takes Python's reader minutes. Ours have three (judgement).
_PART = r"""(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_ENDLESS_KEY = re.compile(rf"(?<![\w\\\"'-])(?:{_PART}[ \t]*+\.[ \t]*+){{100}}")


def read_toml(text: str) -> dict[str, Any]:
    """Return what a text says in TOML; raises ValueError where it is none, whatever it is."""
    if _ENDLESS_KEY.search(text):
        raise ValueError("a key has more than 100 parts")
    try:
        return tomllib.loads(text)  # raises ValueError, also for a number of thousands of digits
    except RecursionError as error:
        raise ValueError("it is nested too deeply") from error
