"""The example baths: bench sheets to start from, by name, and which of them the app was asked to open with."""

from __future__ import annotations

import os

from advisor.basis.fields import InputError, nearest, show

EXAMPLES = ("dull", "evaporation", "old")
PLAINEST = "evaporation"  # a bath and one reading: what the command prints where no name is given
MARK = "(example)"  # ends the name of each invented bath, so that a record of it is not taken for one's own

# How the example's name reaches the pages: they run in Streamlit's threads, out of reach of an argument.
EXAMPLE_VARIABLE = "ADVISOR_EXAMPLE"


def example_text(name: str) -> str:
    """Return one of the example bench sheets as TOML; raises InputError for a name that is not there."""
    if name not in EXAMPLES:
        raise InputError("example", show(name), f"it must be one of: {', '.join(EXAMPLES)}{nearest(name, EXAMPLES)}")
    from importlib.resources import files  # only who reads one waits for it

    return (files("advisor") / "examples" / f"{name}.toml").read_text(encoding="utf-8")


def is_invented(name: str) -> bool:
    """Tell whether a bath of this name is an example, or the record of one."""
    return name.rstrip().endswith(MARK)


def requested_example() -> str | None:
    """Name of the example bath that the app was asked to open with, or None."""
    return os.environ.get(EXAMPLE_VARIABLE)
