"""What every reading hands to the estimate: what it would have shown, what it did show, and how far to trust it.

The state of a bath is a set of concentrations, each a float or an array of one shape (many baths at once). A
reading's model predicts in the reading's own unit and is smooth: it extrapolates and never raises.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.arrays import FloatArray as FloatArray
from advisor.basis.fields import TableBase, choice
from advisor.readings.origin import Origin


@dataclass(frozen=True)
class State:
    """Concentrations in the bath [g/L]: copper sulfate as pentahydrate, sodium as Na2SO4, all iron, iron(III) alone.

    Chloride in mg/L. Foreign solids are all salts that have no field of their own, as FeSO4.
    """

    copper_sulfate: ArrayLike
    sulfuric_acid: ArrayLike
    foreign_solids: ArrayLike = 0.0
    chloride: ArrayLike = 0.0
    sodium_sulfate: ArrayLike = 0.0
    iron: ArrayLike = 0.0
    iron_three: ArrayLike = 0.0
    zinc: ArrayLike = 0.0
    nickel: ArrayLike = 0.0


@dataclass(frozen=True)
class Surroundings:
    """What a reading needs to know of the bath besides its composition."""

    temperature: float  # degC, now
    volume_L: float  # now
    volume_standard_uncertainty: float  # of reading the level, L
    additives: bool | None = None
    acid_used_by_soda: tuple[float, float] = (0.0, 0.0)  # g/L since the bath was mixed, with its standard uncertainty


@dataclass(frozen=True)
class Model:
    """A reading as the estimate sees it; m is the number of values it shows.

    predict: state with arrays of shape s -> array of shape (m, *s), in the reading's own unit.
    observed: shape (m,).  random: standard uncertainty of each value alone, shape (m,).
    absolute: effect of one standard deviation of a named source on each value, shape (m,); readings that name the
    same source share its error.
    relative: the same as a share of what is shown beyond the blank, shape (m,).  blank: what is shown where nothing is
    in the bath, shape (m,) or one for all.
    alike: what `predict` depends on: models with an equal `alike` predict the same. None where that is not told.
    """

    predict: Callable[[State], FloatArray]
    observed: FloatArray
    random: FloatArray
    absolute: Mapping[str, FloatArray] = field(default_factory=dict)
    relative: Mapping[str, FloatArray] = field(default_factory=dict)
    blank: FloatArray | float = 0.0
    alike: Hashable = None

    @classmethod
    def of_one(
        cls,
        predict: Callable[[State], FloatArray],
        observed: float,
        random: float,
        absolute: Mapping[str, float],
        relative: Mapping[str, float] | None = None,
        blank: float = 0.0,
        alike: Hashable = None,
    ) -> Model:
        """Return the model of a reading that shows one value [the reading's own unit], in arrays of shape (1,)."""
        effects, shares = (
            {source: np.array([effect]) for source, effect in each.items()} for each in (absolute, relative or {})
        )
        return cls(predict, np.array([observed]), np.array([random]), effects, shares, blank, alike)

    @cached_property
    def systematic(self) -> dict[str, FloatArray]:
        """The effects of the named sources [units of `observed`] (m,) where the bath shows what was observed."""
        return self.effects(self.observed)

    def effects(self, shown: FloatArray) -> dict[str, FloatArray]:
        """Return the effects of the named sources [units of `observed`] (m,) where the bath shows these values (m,)."""
        effects, net = dict(self.absolute), np.maximum(shown - self.blank, 0.0)
        for source, share in self.relative.items():
            effects[source] = effects.get(source, 0.0) + share * net
        return effects

    @property
    def covariance(self) -> FloatArray:
        """Covariance (m, m) of the values, from all sources of error [units of `observed`]."""
        shared = sum(np.outer(effect, effect) for effect in self.systematic.values())
        return np.asarray(np.diag(self.random**2) + shared)

    @property
    def shows(self) -> Hashable:
        """A key that is equal for models that surely predict the same."""
        return id(self) if self.alike is None else self.alike


@dataclass(frozen=True, kw_only=True)
class Reading(TableBase):
    """Base of the kinds of reading. A kind is a frozen dataclass of fields with `kind`, `label` and `model`."""

    kind: ClassVar[str]
    label: ClassVar[str]

    origin: str = choice(
        "Where it came from",
        tuple(Origin),
        "Written by the program where it took the reading from the logbook or from a photograph.",
        default=Origin.TYPED.value,
        asked=False,
    )

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the reading's model; `about` is where uncertainties that depend on the bath are evaluated."""
        raise NotImplementedError

    def tells_chloride(self) -> bool:
        """Tell whether it says anything about the chloride."""
        return False

    def salts_found(self) -> Mapping[str, tuple[float, float]]:
        """Return the foreign salts that it measures as such [g/L], by component, each with its standard uncertainty."""
        return {}

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Return what the person should know about this reading, given what the bath seems to hold."""
        return ()


def as_rows(*values: ArrayLike) -> FloatArray:
    """Stack the m values that a reading shows, each of shape s [the reading's own unit], into shape (m, *s)."""
    return np.stack([np.asarray(value, dtype=float) for value in np.broadcast_arrays(*values)])
