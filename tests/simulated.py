"""A reading that shows what a simulation drew, for tests and benchmarks that ask how honest the estimate is."""

from dataclasses import dataclass, replace

import numpy as np

from advisor.readings import Reading
from advisor.readings.model import Model, State, Surroundings


@dataclass(frozen=True)
class Simulated(Reading):
    """A reading that showed given numbers instead of those that were typed."""

    inner: Reading
    observed: tuple[float, ...]

    def model(self, surroundings: Surroundings, about: State) -> Model:
        return replace(self.inner.model(surroundings, about), observed=np.array(self.observed))

    def tells_chloride(self) -> bool:
        return self.inner.tells_chloride()

    def __getattr__(self, name: str) -> object:
        return getattr(self.inner, name)
