"""What the tests of the readings share: a reading as from a sheet, a usual bath around it, and what it would show."""

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from advisor.basis.fields import InputError, read_table
from advisor.basis.units import parse
from advisor.check.estimate import Estimate, estimate_from
from advisor.readings import KINDS, Reading
from advisor.readings.model import Model, State, Surroundings
from advisor.sheet import Bath, Sheet

HERE = Surroundings(temperature=20.0, volume_L=5.0, volume_standard_uncertainty=0.025, additives=False)
YOUNG = "2 months"  # then the foreign solids are expected at 0.3 g/L
USUAL = State(copper_sulfate=200.0, sulfuric_acid=60.0, foreign_solids=0.3, chloride=70.0)


@pytest.fixture
def usual() -> State:
    return USUAL


@pytest.fixture
def read() -> Callable[..., Reading]:
    """Reads a kind from its fields as a sheet would; raises the first thing that is wrong."""

    def make(kind: str, **fields: object) -> Reading:
        errors: list[InputError] = []
        found = read_table(KINDS[kind], fields, "reading 1", errors)
        if errors:
            raise errors[0]
        return found

    return make


@pytest.fixture
def refusal(read) -> Callable[..., InputError]:
    """What is said of fields that a kind does not take."""

    def make(kind: str, **fields: object) -> InputError:
        with pytest.raises(InputError) as refused:
            read(kind, **fields)
        return refused.value

    return make


@pytest.fixture
def model() -> Callable[..., Model]:
    """The model of a reading in the usual surroundings; `changed` replaces some of these."""

    def make(reading: Reading, about: State = USUAL, **changed: object) -> Model:
        return reading.model(dataclasses.replace(HERE, **changed), about)

    return make


@pytest.fixture
def shown(model) -> Callable[[Reading, State], float]:
    """What a reading of one value would show for a state."""
    return lambda reading, state=USUAL, **changed: float(model(reading, state, **changed).predict(state)[0])


@pytest.fixture
def warnings_of() -> Callable[..., str]:
    return lambda reading, about=USUAL: " ".join(reading.warnings(HERE, about))


@pytest.fixture
def find() -> Callable[..., Estimate]:
    """Estimates a young bath of 5 L from readings; further fields of the bath by name, typed as in a sheet."""

    def make(*readings: Reading, **bath: str) -> Estimate:
        kinds = {"age": "time", "temperature": "temperature", "volume": "volume"}
        typed = {"volume": "5 L", "age": YOUNG, **bath}
        words = {"iron_form", "anodes", "additives"}
        fields = {
            name: text if name in words else parse(text, kinds.get(name, "concentration"))
            for name, text in typed.items()
        }
        fields = {
            "soda_added": parse("0 g", "mass"),
            "touched": ("nothing",),
            "topped_up_with": "distilled water",
        } | fields
        return estimate_from(Sheet(Bath(**fields)), readings)

    return make


@pytest.fixture
def slopes() -> Callable[[Model], dict[str, float]]:
    """Derivative of the first value of a model by each component, at the usual bath."""

    def make(model: Model) -> dict[str, float]:
        found = {}
        for name in (field.name for field in dataclasses.fields(State)):
            at = getattr(USUAL, name)
            moved = dataclasses.replace(USUAL, **{name: np.array([at + 0.5, at - 0.5])})
            up, down = np.broadcast_to(model.predict(moved)[0], 2)
            found[name] = float(up - down)
        return found

    return make
