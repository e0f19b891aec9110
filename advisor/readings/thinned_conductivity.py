"""Acid by a conductivity pen in a bath thinned with much water.

Thinned 1 : 500, a gram a litre of acid raises the conductivity by 1.1 %, a gram of crystals by 0.1 %. A hydrometer sees
both alike: the two together tell both, without a chemical. Pen and model are true to about 2 % each; a freshly weighed
bath that is thinned and read alike cancels both.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import ClassVar, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.fields import (
    ChoiceField,
    Fault,
    InputError,
    QuantityField,
    TogetherField,
    choice,
    define,
    quantity,
    show,
)
from advisor.basis.units import Measured
from advisor.readings.model import FloatArray, Model, State, Surroundings, as_rows
from advisor.readings.thinned import Reference, ThinnedReading, fresh_bath, moved, with_more_bath
from advisor.readings.tools import thermometer_error
from advisor.solution.conductivity import COMPENSATIONS, bicarbonate_of_water, of_thinned, shown_by_pen
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID
from advisor.solution.thinned import Undiluted, thin

# Relative standard uncertainties (judgement, unless a source stands beside them).
MODEL = 0.02  # of the conductivity; by how far the printed acid, copper sulfate and PHREEQC part (computed)
MODEL_BESIDE_REFERENCE = 0.004  # between two baths that are much alike
# More for each part by which copper sulfate's share of the conductivity differs from that in the reference: over 140 to
# 290 g/L of it and 15 to 110 of acid, PHREEQC (phreeqc.dat) and this model part by 0.10 to 0.16 (computed). Half of it
# is how far PHREEQC lies from print, 4 to 6 % above for the salt and 0 to 4 % below for the acid.
MODEL_OF_SHARES = 0.06
PEN = 0.02  # of a pen as it came, or calibrated long ago
PEN_CALIBRATED = 0.007  # a known solution, and reading it; a ± typed with either counts beside it
PPM_FACTOR = 0.02  # a pen's factor is not quite a number: it bends with the reading
READ = 0.01  # each reading by itself
NO_TEMPERATURE = 0.03  # of what a pen shows where nobody took the temperature
MOST_OFF = 0.3  # a pen that is further from its standard is broken, or the standard is another one
HIGHEST = 20_000.0  # uS/cm: what the widest of these pens show (common practice, no source)
FACTORS = ("0.5", "0.64", "0.7")  # of the pens that show ppm (common practice, no source)
KEPT = 1024  # answers at hand: pens that read one flask alike ask for the same (judgement)
BEST_RANGE = (300.0, 2000.0)  # uS/cm: above, ions are less well known, and some pens end; below, the water counts


_CONTENTS = tuple(each.name for each in fields(Undiluted))


class _Pen(NamedTuple):
    """A sound pen in a thinned bath: how many times thinned, [degC], what the water reads [uS/cm], and its settings."""

    times: float
    degrees: float
    water: float
    compensation: str
    per_conductivity: float


@lru_cache(maxsize=KEPT)
def _read_by(pen: _Pen, *asked: tuple[tuple[int, ...], bytes]) -> FloatArray:
    """Return what a pen shows, in its unit, by shape and bytes of what `Undiluted` holds, of warmth and of water."""
    *held, warmer, more_water = (np.frombuffer(kept).reshape(shape) for shape, kept in asked)
    temperature = pen.degrees + warmer
    thinned = thin(Undiluted(*held), pen.times, bicarbonate_of_water(pen.water + more_water), temperature)
    found = shown_by_pen(of_thinned(thinned, temperature), temperature, pen.compensation) * pen.per_conductivity
    found = np.asarray(found)
    found.setflags(write=False)
    return found


class FactorField(ChoiceField):
    """One of the factors by which pens turn a conductivity into ppm; a bare number in a sheet."""

    def read(self, raw: object, place: str) -> str:
        return super().read(f"{raw:g}" if isinstance(raw, int | float) else raw, place)

    def write(self, value: str) -> object:
        return float(value)


def _shown(label: str) -> QuantityField:
    return QuantityField(quantity="pen reading", label=label, above=True, high=HIGHEST, unit="uS/cm")


@dataclass(frozen=True)
class ThinnedConductivity(ThinnedReading):
    """What a conductivity pen shows in the thinned bath."""

    kind: ClassVar[str] = "thinned conductivity"
    label: ClassVar[str] = "Conductivity of the thinned bath"

    value: Measured = quantity(
        "pen reading",
        "The pen shows",
        "In µS/cm or mS/cm; in ppm if yours shows nothing else.",
        required=True,
        above=True,
        high=HIGHEST,
        unit="uS/cm",
    )
    factor: str | None = define(
        FactorField(
            label="Factor of a ppm pen",
            choices=FACTORS,
            help="Only for ppm: it stands in the pen's papers, often as 0.5 (NaCl) or 0.7 (442).",
        )
    )
    compensation: str = choice(
        "Temperature compensation",
        COMPENSATIONS,
        "Nearly every pen has one: linear, 2 % a degree. None: it says so, or can be switched off.",
        default="linear",
    )
    standard: tuple[Measured, Measured] | None = define(
        TogetherField(
            label="Checked in a known solution: known, read",
            parts=(_shown("Known"), _shown("The pen shows")),
            help='Such as the bottle of 1413 µS/cm, e.g. ["1413 uS/cm", "1390 uS/cm"]. Empty if you turned the pen '
            "to it or never checked.",
        )
    )
    reference: tuple[Measured, Measured, Measured] | None = fresh_bath(
        _shown("In it the pen shows"), 'it cancels pen and model, e.g. ["215 g/L", "55 g/L", "1100 uS/cm"]'
    )

    def check(self, place: str) -> None:
        """Refuse ppm without a factor, a factor without ppm, a pen far off, and what no bath shows."""
        super().check(place)
        self._check_units(place)
        if not 1 - MOST_OFF < self._pen < 1 + MOST_OFF:
            raise InputError(
                f"{place}: standard", f"the pen is {100 * (self._pen - 1):+.0f} % off", "it must be at most 30 %"
            )
        most = float(self._physics(State(HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID)))
        if self.value.value > most:
            accepted = f"thinned {self.times:.0f} times no bath shows more than {most:.0f} {self.value.unit}"
            raise InputError(
                f"{place}: value", show(self.value.text), f"{accepted}: look again at sample and thinned_to"
            )

    def _check_units(self, place: str) -> None:
        """One pen shows one unit; ppm takes its factor."""
        in_ppm = self.value.unit == "ppm"
        also = {"standard": self.standard and self.standard[1], "reference": self.reference and self.reference[2]}
        for name, typed in also.items():
            if typed and (typed.unit == "ppm") != in_ppm:
                accepted = f"write it in the unit of the value, {self.value.text}: one pen shows one of them"
                raise InputError(f"{place}: {name}", show(typed.text), accepted, Fault.CONFLICT)
        if in_ppm and self.factor is None:
            raise InputError.missing(f"{place}: factor", "a reading in ppm needs the pen's factor: 0.5, 0.64 or 0.7")
        if self.factor and not in_ppm:
            accepted = "it goes with ppm only"
            raise InputError(f"{place}: factor", f"the value is {self.value.text}", accepted, Fault.CONFLICT)
        if self.standard and self.standard[0].unit == "ppm":
            raise InputError(f"{place}: standard", show(self.standard[0].text), "write what is known in µS/cm")

    @property
    def _per_conductivity(self) -> float:
        """What the pen shows for 1 uS/cm, by its factor."""
        return float(self.factor) if self.factor else 1.0

    @property
    def _pen(self) -> float:
        """What the pen shows in a known solution, relative to what it should show."""
        if self.standard is None:
            return 1.0
        known, read = self.standard
        return float(read.value / (known.value * self._per_conductivity))

    def _physics(self, state: State, warmer: ArrayLike = 0.0, more_water: ArrayLike = 0.0) -> FloatArray:
        """Return what a sound pen shows, in its unit; warmer [degC] and more_water [uS/cm] broadcast with the state."""
        parts = (*(getattr(state, name) for name in _CONTENTS), warmer, more_water)
        asked = (np.asarray(part, dtype=float) for part in parts)
        return _read_by(self._sound_pen, *((part.shape, part.tobytes()) for part in asked))

    @property
    def _sound_pen(self) -> _Pen:
        return _Pen(self.times, self.degrees, self.water_reads, self.compensation, self._per_conductivity)

    def _correction(self, reference: Reference | None, warmer: ArrayLike, more_water: ArrayLike) -> FloatArray:
        """What this pen shows relative to a sound one: by the reference, else by the known solution."""
        if reference is None:
            return np.asarray(self._pen)
        return reference.read.value / self._physics(reference.state, warmer, more_water)

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: what the pen shows."""
        reference = Reference(*self.reference) if self.reference else None
        # As it is, with more in the water, half a degree warmer and colder, and with a hundredth more of the bath.
        warmer, more_water = np.array([0.0, 0.0, 0.5, -0.5, 0.0]), np.array([0.0, self.water_spread, 0.0, 0.0, 0.0])
        corrections = np.broadcast_to(self._correction(reference, warmer, more_water), warmer.shape)
        changed = with_more_bath(about, np.array([0.0, 0.0, 0.0, 0.0, 0.01]))
        here, wetter, warm, cold, stronger = (corrections * self._physics(changed, warmer, more_water)).tolist()
        correction, per_thinning = float(corrections[0]), (stronger - here) / 0.01

        def predict(state: State) -> FloatArray:
            return as_rows(correction * self._physics(state))

        random, systematic = self.thinning_errors(per_thinning, alike=reference is not None)
        systematic["thinning water"] = wetter - here
        systematic |= self._of_reference(reference, about, here) if reference else self._of_pen_and_model(here)
        parts = (random, self.value.uncertainty_or(READ * here), self._thermometer(warm - cold, here, reference))
        alike = (self.kind, self._sound_pen, correction)
        return Model.of_one(predict, self.value.value, np.hypot.reduce(parts), systematic, alike=alike)

    def _of_pen_and_model(self, here: float) -> dict[str, float]:
        """Return what pen and model do to the reading, by source."""
        typed = [part.uncertainty_or(0.0) / part.value for part in self.standard or ()]
        pen = float(np.hypot.reduce((PEN_CALIBRATED, *typed))) if self.standard else PEN
        found = {"conductivity model": MODEL, "conductivity pen": pen}
        if self.factor and not self.standard:
            found["factor of the pen"] = PPM_FACTOR
        return {source: relative * here for source, relative in found.items()}

    def _share_of_copper_sulfate(self, state: State) -> float:
        """Return the share of the conductivity that would go with the copper sulfate."""
        there, without = self._physics(replace(state, copper_sulfate=np.array([1.0, 0.0]) * state.copper_sulfate))
        return float(1 - without / there)

    def _of_reference(self, reference: Reference, about: State, here: float) -> dict[str, float]:
        """Return what the reference's own errors do to the reading; readings with the same reference share them."""
        read, spreads = reference.read, reference.spreads()
        one_by_one = np.eye(len(spreads), len(spreads) + 1, 1)  # none of them moved, then each alone
        changes = {name: spread * row for (name, spread), row in zip(spreads.items(), one_by_one, strict=True)}
        base, *more = self._physics(moved(reference.state, changes)).tolist()
        apart = self._share_of_copper_sulfate(about) - self._share_of_copper_sulfate(reference.state)
        relative = {
            "conductivity model, beside a reference": float(np.hypot(MODEL_BESIDE_REFERENCE, MODEL_OF_SHARES * apart)),
            f"reading of the reference, {read.text}": read.uncertainty_or(READ * read.value) / read.value,
        }
        for name, with_more in zip(spreads, more, strict=True):
            relative[f"{name} of the reference, {read.text}"] = 1 - with_more / base
        return {source: share * here for source, share in relative.items()}

    def _thermometer(self, warmth: float, here: float, reference: Reference | None) -> float:
        """Standard uncertainty from the temperature; warmth: what a degree changes, the reference being as warm."""
        if self.temperature is None and reference is None:
            return NO_TEMPERATURE * here
        return abs(warmth) * thermometer_error(self.temperature)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what would make the reading surer."""
        found = self.warnings_of_thinning()
        if not self.reference:
            found.append(
                "What limits this reading is the pen and what is known of ions: weigh in a little fresh bath, thin "
                "and read it alike, and enter it as the reference. Then both drop out."
            )
        conductivity = self.value.value / self._per_conductivity
        if not BEST_RANGE[0] <= conductivity <= BEST_RANGE[1]:
            found.append(
                f"A pen and its model are best between {BEST_RANGE[0]:.0f} and {BEST_RANGE[1]:.0f} µS/cm: thin "
                f"{'more' if conductivity > BEST_RANGE[1] else 'less'} next time."
            )
        return tuple(found)
