"""What is known of a bath: one form for all that comes after the estimate, and for what the record carries forward.

It knows neither readings nor a working window.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from advisor.readings.model import FloatArray, State
from advisor.words.lines import Amount


class Value(NamedTuple):
    """A value with its standard uncertainty, in one unit."""

    value: float
    standard_uncertainty: float

    def amount(self, unit: str) -> Amount:
        """Return it as it is shown in its unit, with its ±."""
        return Amount(self.value, unit, standard_uncertainty=self.standard_uncertainty)


@dataclass(frozen=True)
class Known:
    """The contents of a bath with their covariance, and its volume.

    names: the components, in the order of mean (n,) and covariance (n, n) [g/L; chloride mg/L]. measured: those of
    which anything was measured; the others are at what was believed before, or at a stand-in.
    """

    names: tuple[str, ...]
    mean: FloatArray
    covariance: FloatArray
    measured: frozenset[str]
    volume_L: float  # at 20 degC
    volume_relative_uncertainty: float

    def value(self, name: str) -> float:
        """Return the value of a component, 0 where it came out below [g/L; chloride mg/L]."""
        return max(float(self.mean[self.names.index(name)]), 0.0)

    def standard_uncertainty(self, name: str) -> float:
        """Return the standard uncertainty of a component [g/L; chloride mg/L]."""
        position = self.names.index(name)
        return float(np.sqrt(self.covariance[position, position]))

    def of(self, name: str) -> Value:
        """Return a component with its standard uncertainty [g/L; chloride mg/L]."""
        return Value(self.value(name), self.standard_uncertainty(name))

    def correlation(self, first: str, second: str) -> float:
        """Return the correlation coefficient of two components."""
        i, j = self.names.index(first), self.names.index(second)
        return float(self.covariance[i, j] / np.sqrt(self.covariance[i, i] * self.covariance[j, j]))

    def block(self, names: Sequence[str]) -> FloatArray:
        """Return the covariance (m, m) of m components, in the order asked for [g2/L2; chloride mg/L]."""
        at = [self.names.index(name) for name in names]
        return np.asarray(self.covariance[np.ix_(at, at)])

    def sum_of(self, weights: Mapping[str, float]) -> Value:
        """Return the weighted sum of components [g/L times weight], never below 0; unknown ones count as 0."""
        row = np.array([weights.get(name, 0.0) for name in self.names])
        return Value(max(float(row @ self.mean), 0.0), float(np.sqrt(row @ self.covariance @ row)))

    def state(self) -> State:
        """Return the bath as a state, never negative."""
        return state_of(self.names, [self.value(name) for name in self.names])


def state_of(names: Sequence[str], values: Iterable[ArrayLike]) -> State:
    """Return the bath that holds these values (n, *s) by name [g/L; chloride mg/L]; what is not named is not in it."""
    held: dict[str, ArrayLike] = {"copper_sulfate": 0.0, "sulfuric_acid": 0.0}
    return State(**held | dict(zip(names, values, strict=True)))


def independent(
    values: Mapping[str, Value], measured: Collection[str], volume_L: float, volume_relative_uncertainty: float
) -> Known:
    """Return what is known of a bath whose components [g/L; chloride mg/L] are not tied to each other."""
    means, spreads = np.array(list(values.values())).T
    return Known(tuple(values), means, np.diag(spreads**2), frozenset(measured), volume_L, volume_relative_uncertainty)
