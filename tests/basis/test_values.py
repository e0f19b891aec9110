"""Our dataclasses behave as those of the standard library, but that mypy alone sees to it that no field is set again."""

import dataclasses
from typing import Any

import pytest

from advisor.basis import values


def kinds(by: Any) -> tuple[Any, Any, Any]:
    """Return classes made by a decorator: of several fields, of one, and one derived."""

    @by(frozen=True)
    class Base:
        number: float
        note: str = dataclasses.field(default="", compare=False)
        hidden: tuple[int, ...] = dataclasses.field(default=(1,), repr=False)

    @by(frozen=True, kw_only=True)
    class One:
        only: object

    @by(frozen=True)
    class Derived(Base):
        more: int = 3

    return Base, One, Derived


def made(by: Any) -> list[Any]:
    base, one, derived = kinds(by)
    nan = float("nan")
    pairs = [base(1.0), base(1.0, "a"), base(2.0), base(1.0, hidden=()), base(nan), derived(1.0), derived(1.0, more=4)]
    return [*pairs, one(only=1), one(only=(1,)), one(only=nan), dataclasses.replace(base(1.0), number=2.0)]


def test_values_are_equal_and_shown_as_those_of_the_standard_library():
    ours, theirs = made(values.dataclass), made(dataclasses.dataclass)
    assert [repr(value) for value in ours] == [repr(value) for value in theirs]
    assert [[one == other for other in ours] for one in ours] == [[one == other for other in theirs] for one in theirs]
    assert [len({*ours[:end]}) for end in range(len(ours))] == [len({*theirs[:end]}) for end in range(len(theirs))]
    assert ours[0] != "another kind"


def test_a_field_that_must_be_named_or_given_is():
    _, one, derived = kinds(values.dataclass)
    with pytest.raises(TypeError):
        one(1)
    with pytest.raises(TypeError):
        derived()
