"""Keep an acid copper sulfate electroforming bath in condition.

`advise(sheet)` is the whole way in: a bench sheet (what the bath is and what was measured) gives advice (what it
holds, how surely, and what to do).
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from advisor.basis import __version__

if TYPE_CHECKING:
    from advisor.basis.fields import InputError
    from advisor.check.advice import Advice
    from advisor.check.advise import advise
    from advisor.sheet import Sheet, read_sheet, write_sheet

__all__ = ["Advice", "InputError", "Sheet", "__version__", "advise", "read_sheet", "write_sheet"]
_HOME = {
    "Advice": "advisor.check.advice",
    "InputError": "advisor.basis.fields",
    "Sheet": "advisor.sheet",
    "advise": "advisor.check.advise",
    "read_sheet": "advisor.sheet",
    "write_sheet": "advisor.sheet",
}


def __getattr__(name: str) -> object:
    """Load a public name once it is used: a command that only reads the logbook does not wait for the optimiser."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)
