"""A composition known from before: an earlier check, or what was weighed in when the bath was mixed.

Both are readings like any other: they say what the bath held then. Where only water has left since, the contents of
now follow from the level then and now; where nobody knows what happened, they are trusted less.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, ClassVar

import numpy as np

from advisor.basis.components import SALT_AND_ACID
from advisor.basis.fields import Fault, Field, InputError, NumberField, choice, define, note, quantity, show
from advisor.basis.units import Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.tools import LEVEL_READING, TANK_SCALE
from advisor.solution.composition import Masses, composition
from advisor.solution.density import density
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.solution.stock import CRYSTAL_FORMS, acid_density, pentahydrate_mass_fraction
from advisor.words.lines import line

SINCE = ("evaporation only", "unknown")
# What an unknown history adds, relative (judgement): drag-out, feeding and starving anodes, top-ups nobody wrote down.
UNKNOWN_HISTORY = {"copper_sulfate": 0.10, "sulfuric_acid": 0.20, "chloride": 0.30}
# A value noted without its uncertainty (judgement).
NOTED = {"copper_sulfate": 0.05, "sulfuric_acid": 0.05, "chloride": 0.15}
MOST_EFFECT = 1e4  # g/L or mg/L, of a source (judgement: beyond any bath)
MOST_NAMED = 0.999  # of the stated variance, that named sources may make up (judgement)


ONE_MEASUREMENT = ("sample ", "level ", "correlation ")  # sources that no later reading can share, by their beginning
SALTS = tuple(each.name for each in fields(State) if each.name not in NOTED)


@dataclass(frozen=True, kw_only=True)
class NamedRows(Field):
    """Rows that the program writes: a name and numbers, such as ["titrant soda", 2.1, -0.8, 0.0]."""

    columns: tuple[str, ...]
    default: Any = ()

    def read(self, raw: object, place: str) -> tuple[tuple[str, tuple[float, ...]], ...]:
        """Return the rows: a name, then numbers in the [units of the columns]."""
        rows = []
        for row in raw if isinstance(raw, list | tuple) else [raw]:
            cells: list[Any] = list(row) if isinstance(row, list | tuple) else []
            name, *numbers = cells or [None]
            sound = all(type(number) in (int, float) and abs(number) < MOST_EFFECT for number in numbers)
            if not isinstance(name, str) or len(numbers) != len(self.columns) or not sound:
                raise InputError(place, show(row), f"write rows of a name and {', '.join(self.columns)}")
            rows.append((name, tuple(float(number) for number in numbers)))
        return tuple(rows)

    def write(self, value: Sequence[tuple[str, Sequence[float]]]) -> object:
        """Return the rows [units of the columns] as `read` takes them."""
        return [[name, *numbers] for name, numbers in value]


def _then(names: tuple[str, ...], ratio: float) -> Callable[[State], FloatArray]:
    """Return what the bath held then if only water has left since: now · (volume now / volume then)."""
    return lambda state: as_rows(*(np.asarray(getattr(state, name)) * ratio for name in names))


@dataclass(frozen=True)
class PreviousCheck(Reading):
    """What an earlier check found."""

    kind: ClassVar[str] = "previous check"
    label: ClassVar[str] = "Previous check"

    copper_sulfate: Measured | None = quantity(
        "concentration", "Copper sulfate then", "With ± if you know it.", high=HIGHEST_COPPER_SULFATE
    )
    sulfuric_acid: Measured | None = quantity(
        "concentration", "Sulfuric acid then", "With ± if you know it.", high=HIGHEST_SULFURIC_ACID
    )
    chloride: Measured | None = quantity("content", "Chloride then", "With ± if you know it.", high=HIGHEST_CHLORIDE)
    correlation: float = define(
        NumberField(
            label="Correlation",
            help="How the errors of copper sulfate and acid go together, if the logbook states it; else empty.",
            default=0.0,
            low=-0.999,
            high=0.999,
        )
    )
    volume: Measured | None = quantity(
        "volume", "Level then", "Empty: the composition is taken as it was.", above=True, high=10_000.0
    )
    since: str = choice(
        "What has happened since", SINCE, "If more than water may have left, say unknown.", default="unknown"
    )
    shared: tuple[tuple[str, tuple[float, ...]], ...] = define(
        NamedRows(
            label="Errors shared with later readings",
            help="Written by the program: a source of error that the ± holds, and what one standard deviation of it "
            "does to copper sulfate, acid and chloride.",
            columns=tuple(NOTED),
            asked=False,
        )
    )
    leans_on: tuple[tuple[str, tuple[float, ...]], ...] = define(
        NamedRows(
            label="Foreign salts taken for granted then",
            help="Written by the program: a foreign salt, what was expected of it and how surely, and how far too high "
            "copper sulfate, acid and chloride are for each g/L more.",
            columns=("expected", "standard uncertainty", *NOTED),
            asked=False,
        )
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse a previous check that says nothing, and salts that nobody knows."""
        if not self._names:
            raise InputError.missing(place, "give copper_sulfate, sulfuric_acid or chloride")
        for name, _ in self.leans_on:
            if name not in SALTS:
                raise InputError(f"{place}: leans_on", show(name), f"it must be one of: {', '.join(SALTS)}")

    def tells_chloride(self) -> bool:
        """Tell whether the chloride of then was noted."""
        return self.chloride is not None

    @property
    def _names(self) -> tuple[str, ...]:
        return tuple(name for name in NOTED if getattr(self, name) is not None)

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: each named component then."""
        ratio = surroundings.volume_L / self.volume.value if self.volume else 1.0
        values = np.array([getattr(self, name).value for name in self._names])
        stated = np.array(
            [getattr(self, name).uncertainty_or(NOTED[name] * getattr(self, name).value) for name in self._names]
        )
        stated = np.maximum(stated, 1e-3)
        named = self._named(stated)
        random, systematic = self._split(*_without(self._stated_covariance(stated), named))
        if self.since == "unknown":
            widening = np.array([UNKNOWN_HISTORY[name] for name in self._names]) * values
            random = np.hypot(random, widening)
        systematic |= {source: effect for source, effect in named.items() if source not in SALTS}
        levels = _level_errors(surroundings, self.volume, len(values)) if self.volume else {}
        return Model(self._leaning(ratio), values, random, systematic, levels)

    def _stated_covariance(self, stated: FloatArray) -> FloatArray:
        covariance = np.diag(stated**2)
        if self._names[:2] == SALT_AND_ACID:
            covariance[0, 1] = covariance[1, 0] = self.correlation * stated[0] * stated[1]
        return covariance

    def _named(self, stated: FloatArray) -> dict[str, FloatArray]:
        """Return the effect of one standard deviation of each source that the ± holds, no larger together than it."""
        at = [list(NOTED).index(name) for name in self._names]
        effects = {source: np.array(numbers)[at] for source, numbers in self.shared}
        effects |= {name: sd * np.array(slopes)[at] for name, (_, sd, *slopes) in self.leans_on}
        if not effects:
            return {}
        together = np.sum([np.outer(effect, effect) for effect in effects.values()], axis=0)
        covariance = self._stated_covariance(stated)
        if len(stated) > 2:  # what chloride shares with the others is only told by the sources
            covariance[:2, 2] = covariance[2, :2] = together[:2, 2]
        largest = float(np.max(np.linalg.eigvals(np.linalg.solve(covariance, together)).real))
        fit = np.sqrt(min(MOST_NAMED / largest, 1.0)) if largest > 0 else 1.0
        return {source: fit * effect for source, effect in effects.items()}

    def _leaning(self, ratio: float) -> Callable[[State], FloatArray]:
        """Return what the check would have found then: too much where the bath holds more salts than were expected."""
        plain = _then(self._names, ratio)
        at = [list(NOTED).index(name) for name in self._names]

        def predict(state: State) -> FloatArray:
            found = plain(state)
            for name, (expected, _, *slopes) in self.leans_on:
                more = np.asarray(getattr(state, name)) * ratio - expected
                found = found + np.array(slopes)[at].reshape(-1, *[1] * (found.ndim - 1)) * more
            return found

        return predict

    def _split(self, stated: FloatArray, correlation: float) -> tuple[FloatArray, dict[str, FloatArray]]:
        """Write a correlation as a random part and a part that both values share."""
        if not correlation or self._names[:2] != SALT_AND_ACID:
            return stated, {}
        share = abs(correlation)
        signs = np.zeros(len(stated))
        signs[:2] = 1.0, np.sign(correlation)
        alone = np.where(signs != 0, 1.0 - share, 1.0)
        # The same check entered twice shares it: told by its numbers, not by what somebody wrote beside them.
        values = [getattr(self, name).value for name in self._names]
        source = f"correlation {correlation} within {values} ± {stated.tolist()}"
        return stated * np.sqrt(alone), {source: np.sqrt(share) * signs * stated}


def _without(covariance: FloatArray, named: Mapping[str, FloatArray]) -> tuple[FloatArray, float]:
    """Return standard uncertainties, and the correlation of the first two, of a covariance without named sources."""
    left = covariance - sum(np.outer(effect, effect) for effect in named.values())
    spreads = np.sqrt(np.maximum(np.diag(left), 1e-6))
    correlation = float(left[0, 1] / spreads[0] / spreads[1]) if len(left) > 1 else 0.0
    return spreads, float(np.clip(correlation, -0.999, 0.999))


def _level_errors(surroundings: Surroundings, then: Measured, count: int) -> dict[str, FloatArray]:
    """Return the relative errors of reading the level then and now; the tank's own scale drops out of the ratio."""
    relative_then = then.uncertainty_or(LEVEL_READING * then.value) / then.value
    relative_now = surroundings.volume_standard_uncertainty / surroundings.volume_L
    return {f"level of {then.text}": np.full(count, relative_then), "level now": np.full(count, relative_now)}


@dataclass(frozen=True)
class MakeUp(Reading):
    """What was weighed in when the bath was mixed."""

    kind: ClassVar[str] = "make-up"
    label: ClassVar[str] = "Make-up record"

    crystals: Measured = quantity(
        "mass",
        "Crystals weighed in",
        "Copper sulfate that went in.",
        required=True,
        above=True,
        high=1e6,
        unit="g",
        us_unit="oz",  # of a kitchen scale, as the acid is of a jug
    )
    purity: Measured = quantity("fraction", "Purity", "Not on the label: 99 %.", default="99 %", low=0.5, high=1.0)
    form: str = choice("Form", CRYSTAL_FORMS, default="pentahydrate")
    acid: Measured = quantity(
        "volume", "Acid that went in", "0 mL if none.", required=True, high=10_000.0, unit="mL", us_unit="fl oz"
    )
    acid_strength: Measured = quantity(
        "fraction", "Strength of that acid", "Battery acid is about 37 %.", default="96 %", low=0.01, high=1.0
    )
    water: Measured | None = quantity(
        "volume", "Water that went in", "This or the final volume.", above=True, high=10_000.0
    )
    final_volume: Measured | None = quantity("volume", "Final volume", "This or the water.", above=True, high=10_000.0)
    since: str = choice(
        "What has happened since", SINCE, "If more than water may have left, say unknown.", default="unknown"
    )
    note: str = note()

    def check(self, place: str) -> None:
        """Ask for the water or the final volume, and refuse what could not have been mixed."""
        if self.water is None and self.final_volume is None:
            raise InputError.missing(f"{place}: water", "give either water or final_volume")
        if self.water and self.final_volume:
            raise InputError(f"{place}: water", "you gave both", "give either water or final_volume", Fault.CONFLICT)
        copper_sulfate, sulfuric_acid, _ = self._made()
        if copper_sulfate > HIGHEST_COPPER_SULFATE or sulfuric_acid > HIGHEST_SULFURIC_ACID:
            found = line(
                "this makes {salt:.0f g/L} crystals and {acid:.0f g/L} acid", salt=copper_sulfate, acid=sulfuric_acid
            )
            accepted = line(
                "it may make at most {salt:.0f g/L} and {acid:.0f g/L}",
                salt=HIGHEST_COPPER_SULFATE,
                acid=HIGHEST_SULFURIC_ACID,
            )
            raise InputError(f"{place}: crystals", found, accepted)

    @property
    def copper_sulfate_g(self) -> float:
        """Copper sulfate that went in [g]."""
        return self.crystals.value * pentahydrate_mass_fraction(self.purity.value, self.form)

    def _made(self) -> tuple[float, float, float]:
        """Return copper sulfate [g/L], sulfuric acid [g/L] and volume [L] as mixed."""
        salt = self.copper_sulfate_g
        strength = self.acid_strength.value
        solution = self.acid.value * 1000 * float(acid_density(strength))
        acid = solution * strength
        if self.final_volume:
            volume = self.final_volume.value
            return salt / volume, acid / volume, volume
        assert self.water is not None
        water = self.water.value * 1000 * float(density(0.0, 0.0)) + solution - acid + self.crystals.value - salt
        copper_sulfate, sulfuric_acid, _, volume = (float(part) for part in composition(Masses(salt, acid, 0.0, water)))
        return copper_sulfate, sulfuric_acid, volume

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: copper sulfate and sulfuric acid as mixed."""
        copper_sulfate, sulfuric_acid, volume = self._made()
        values = np.array([copper_sulfate, sulfuric_acid])
        # Weighing and the label's purity; measuring the acid with a jug and its label's strength (judgement).
        of_each = np.array([0.01, 0.03])
        for position, typed in enumerate((self.crystals, self.acid)):
            if typed.standard_uncertainty is not None and typed.value > 0:
                of_each[position] = np.hypot(0.01, typed.standard_uncertainty / typed.value)
        random = np.maximum(of_each * values, [0.5, 0.2])
        made = self.final_volume or self.water
        assert made is not None
        relative = {"tank scale": np.full(2, TANK_SCALE)}
        soda, soda_spread = surroundings.acid_used_by_soda
        # Soda has taken acid since: by so much the bath of now falls short of what was mixed.
        taken = np.array([0.0, soda])
        absolute = {"acid used by soda": np.array([0.0, soda_spread])} if soda else {}
        values = values - taken
        if self.since == "unknown":
            random = np.hypot(random, np.array([UNKNOWN_HISTORY[name] for name in SALT_AND_ACID]) * values)
            return Model(_then(SALT_AND_ACID, 1.0), values, random, absolute, relative, -taken)
        relative |= _level_errors(surroundings, made, 2)
        then = _then(SALT_AND_ACID, surroundings.volume_L / volume)
        return Model(then, values, random, absolute, relative, -taken)
