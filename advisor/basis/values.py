"""Dataclasses whose fields never change, made in a third of the time.

The standard library compiles six functions for each such class: for the hundred classes behind a command, a sixth of
all that it did. Here only `__init__` is compiled; what compares, hashes and shows values is the same for all classes.
That no field is set again is left to mypy, which takes this decorator for that of the standard library.
"""

from __future__ import annotations

import dataclasses
from operator import attrgetter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as dataclass
    from typing import Any
else:

    def dataclass(*, frozen: bool, kw_only: bool = False) -> Callable[[type], type]:
        """Return what makes a class one of values: equal, with one hash, where all its fields that are compared are."""
        assert frozen

        def of_values(kind: type) -> type:
            made = dataclasses.dataclass(eq=False, repr=False, kw_only=kw_only)(kind)
            compared = _compared(made)
            made.__eq__ = lambda one, other: (
                compared(one) == compared(other) if one.__class__ is other.__class__ else NotImplemented
            )
            made.__hash__ = lambda one: hash(compared(one))
            made.__repr__ = _shown
            return made

        return of_values


def _compared(kind: type) -> Callable[[object], tuple[Any, ...]]:
    """Return what gives the fields of a value that are compared."""
    first, *more = [each.name for each in dataclasses.fields(kind) if each.compare] or ["__class__"]
    of_several: Callable[[object], tuple[Any, ...]] = attrgetter(first, *more)
    return of_several if more else lambda one: (getattr(one, first),)


def _shown(one: object) -> str:
    fields = [each.name for each in dataclasses.fields(one) if each.repr]  # type: ignore[arg-type]
    return f"{type(one).__qualname__}({', '.join(f'{name}={getattr(one, name)!r}' for name in fields)})"
