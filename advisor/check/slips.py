"""The usual slips of a bench, tried one at a time: which of them would turn the readings into those of a sound bath?

Each slip is a transformation of one reading into what it would be had the slip been made. It is named where all
readings then agree on a bath in or near a working window; nothing is corrected in silence. How often each slip happens
is judgement, and so is what counts as near.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import log
from typing import NamedTuple

import numpy as np

from advisor.basis.chances import chi_squared_above
from advisor.basis.components import SALT_AND_ACID
from advisor.basis.fields import InputError
from advisor.basis.units import Measured
from advisor.check.estimate import MANY, Estimate, Trials, estimate_from
from advisor.check.known import Known, Value
from advisor.check.window import Limits, named_windows
from advisor.readings import Reading
from advisor.readings.acid_titration import ACID_PER_IRON_THREE, TITRANTS, AcidTitration
from advisor.readings.copper_titration import CopperTitration
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.model import Model, State, Surroundings, as_rows
from advisor.readings.previous_check import MakeUp
from advisor.readings.thinned_conductivity import FACTORS, ThinnedConductivity
from advisor.solution.conductivity import REFERENCE_TEMPERATURE
from advisor.solution.equilibrium import equivalence_volume
from advisor.solution.hydrometer import SCALES, density_from_reading
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE, SULFURIC_ACID
from advisor.solution.stock import BATTERY_ACID, CONCENTRATED_ACID, acid_density
from advisor.words.slips import SlipName

NEAR, FAR = 0.25, 1.0  # widths of a window beyond its limits (judgement)
# Base that a copper takes until phenolphthalein turns: 1.5 for a basic sulfate, 2 for the hydroxide, half-way with age.
BASE_PER_COPPER, BASE_PER_COPPER_SPREAD = 1.75, 0.15  # judgement
ACID_PER_COPPER = BASE_PER_COPPER * SULFURIC_ACID / 2 / COPPER_SULFATE_PENTAHYDRATE  # [g/g] (computed)
WARMER = (10.0, 20.0)  # degC (judgement)
SCALES_APART = 0.004  # g/mL: nearer scales are not worth mixing up (judgement)
WEAK_BELOW, STRONG_ABOVE = 0.5, 0.85  # mass fraction of a label that may be the other (judgement)
PREDILUTIONS = (5.0, 10.0, 20.0)  # fold (judgement)
SYRINGES_mL = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)  # judgement
MISTAKEN = (0.35, 2.8)  # times its size: what another syringe is taken for, the next or the next but one (judgement)
BATH_DENSITY = 1.17  # g/mL (judgement: of a usual bath)
# Share of benches, roughly (judgement): it only orders what fits about equally well.
OFTEN: Mapping[SlipName, float] = {
    SlipName.PHENOLPHTHALEIN: 0.05,
    SlipName.SODA_HYDRATE: 0.05,
    SlipName.HYDROMETER_WARM: 0.05,
    SlipName.HYDROMETER_SCALE: 0.03,
    SlipName.BATTERY_ACID_AS_CONCENTRATED: 0.03,
    SlipName.CONCENTRATED_AS_BATTERY_ACID: 0.03,
    SlipName.PREDILUTION_FORGOTTEN: 0.03,
    SlipName.OTHER_SYRINGE: 0.02,
    SlipName.MILLILITRES_AS_GRAMS: 0.02,
    SlipName.PPM_AS_MICROSIEMENS: 0.05,
    SlipName.COMPENSATION_OFF: 0.03,
}
# p-value by lines, below which the readings themselves bring no agreement, where some bend and where none does
# (computed: tried out, the least that agreed had 0.017 and 0.04).
HOPELESS, HOPELESS_IF_STRAIGHT = 1e-3, 0.02
# Beside many readings one cannot bring the bath near a window that lies so many standard uncertainties outside of it by
# the others (judgement).
FIRMLY = 6.0
MOST_SUSPECTS = 12  # looked at whole: what each kind of slip makes likeliest comes before its second size (judgement)
HARDLY = 9.2  # of misfit: what is a hundred times less likely than another slip is not looked at (computed)
# Readings of a kind of which slips are tried: those without which the others agree best. Of all kinds together that
# would pass by the only one of its kind, which nothing contradicts (judgement).
MOST_OF_A_KIND = 4
FROM_25 = 3.0  # degC: nearer, a compensation moves less than the pen is off (judgement)


@dataclass(frozen=True)
class Slip:
    """A slip that would explain the readings. reading: its position, from 0; known: the bath that then results."""

    reading: int
    name: SlipName
    known: Known
    misfit: float  # what orders them: the less, the likelier

    def values(self) -> dict[str, float | None]:
        """Return the copper sulfate and the acid [g/L] that the bath would then hold; None where nothing tells."""
        return {name: self.known.value(name) if name in self.known.measured else None for name in SALT_AND_ACID}


def is_far(contents: Known | None, limits: Mapping[str, Limits | None]) -> bool:
    """Tell whether a bath is far from every window, the chosen one and those in print."""
    return contents is not None and _beyond(contents, limits, 0.0) > FAR


def slips_of(trials: Trials, limits: Mapping[str, Limits | None]) -> tuple[Slip, ...]:
    """Return the slips after whose correction all readings agree on a bath in or near a window, likeliest first.

    trials: about the estimate from the readings as they stand.
    """
    suspects = sorted(_suspects(trials, limits), key=lambda suspect: suspect.misfit)
    slips: list[Slip] = []
    for position, name, readings, roughly, at_least in _each_in_turn(suspects)[:MOST_SUSPECTS]:
        if any(at_least > slip.misfit + HARDLY for slip in slips):
            continue
        trial = estimate_from(trials.sheet, readings, roughly)
        if not trial.agreement.contradicts and _beyond(trial, limits, 1.0) <= NEAR:
            slips.append(Slip(position, name, trial, _misfit(name, trial, limits)))
    likeliest: dict[tuple[int, SlipName], Slip] = {}
    for slip in sorted(slips, key=lambda slip: slip.misfit):
        likeliest.setdefault((slip.reading, slip.name), slip)
    return tuple(likeliest.values())


class _Suspect(NamedTuple):
    """A slip that may explain the readings. readings: had it not been made; roughly: what they tell by lines."""

    position: int
    name: SlipName
    readings: tuple[Reading, ...]
    roughly: Estimate
    misfit: float  # of what they tell by lines; that of the whole estimate is hardly less


def _each_in_turn(suspects: Sequence[_Suspect]) -> list[_Suspect]:
    """Return the likeliest size of every slip, then the second of each: the many sizes of one crowd out no other."""
    turns = Counter[tuple[int, SlipName]]()
    ranked = []
    for suspect in suspects:
        ranked.append((turns[suspect.position, suspect.name], suspect))
        turns[suspect.position, suspect.name] += 1
    return [suspect for _, suspect in sorted(ranked, key=lambda pair: pair[0])]


def _suspects(trials: Trials, limits: Mapping[str, Limits | None]) -> Iterator[_Suspect]:
    """Return the slips after whose correction all readings may agree, on a bath that may be near a window."""
    readings, surroundings = trials.sheet.readings, trials.sheet.bath.surroundings()
    meant = [
        (place, name, _with(readings, place, instead))
        for place in _with_room(trials, limits)
        for name, instead in _transformed(readings[place], surroundings)
    ]
    told = _told_if_they_may_agree(trials, [corrected for *_, corrected in meant])
    for suspect, roughly in zip(meant, told, strict=True):
        if roughly and _beyond(roughly, limits, 1.0) <= FAR:
            yield _Suspect(*suspect, roughly, _misfit(suspect[1], roughly, limits))


def _with(readings: Sequence[Reading], place: int, *instead: Reading) -> tuple[Reading, ...]:
    """Return readings with another instead of one, or without it."""
    return (*readings[:place], *instead, *readings[place + 1 :])


def _with_room(trials: Trials, limits: Mapping[str, Limits | None]) -> list[int]:
    """Return the places of readings that may be slips: the others could agree with another on a bath near a window."""
    readings = trials.sheet.readings
    known = [place for place, reading in enumerate(readings) if isinstance(reading, _KINDS)]
    if len(readings) == 1:
        return known
    others = [_with(readings, place) for place in known]
    # At best a corrected reading adds nothing to chi-squared, and one degree of freedom for each of its values.
    values = [trials.values_of(place) for place in known]
    told = _told_if_they_may_agree(trials, others, values)
    room: dict[type[Reading], list[tuple[float, int]]] = defaultdict(list)
    for place, left, roughly in zip(known, others, told, strict=True):
        if roughly and (len(left) < MANY or _beyond(roughly, limits, FIRMLY) <= NEAR):
            room[type(readings[place])].append((roughly.agreement.chi_squared, place))
    return sorted(place for of_a_kind in room.values() for _, place in sorted(of_a_kind)[:MOST_OF_A_KIND])


def _misfit(name: SlipName, trial: Estimate, limits: Mapping[str, Limits | None]) -> float:
    return trial.agreement.chi_squared + (_beyond(trial, limits, 1.0) / NEAR) ** 2 - 2 * log(OFTEN[name])


def _told_if_they_may_agree(
    trials: Trials, cases: Sequence[Sequence[Reading]], values: Sequence[int] = ()
) -> list[Estimate | None]:
    """Return what readings tell by straight lines, in each case; None where they contradict each other hopelessly.

    values: how many further values are assumed in each case, which fit perfectly; none where that is not told.
    """
    values = values or [0] * len(cases)
    held = trials.held(cases, HOPELESS, values)
    rest = [place for place, told in enumerate(held) if told is None]
    least = HOPELESS if rest and trials.bend else HOPELESS_IF_STRAIGHT
    found = trials.far([cases[place] for place in rest], least, [values[place] for place in rest])
    far = dict(zip(rest, found, strict=True))
    return [
        _if_it_reaches(least, far[place], more) if told is None else _if_it_reaches(HOPELESS_IF_STRAIGHT, told, more)
        for place, (told, more) in enumerate(zip(held, values, strict=True))
    ]


def _if_it_reaches(least: float, told: Estimate | None, values: int) -> Estimate | None:
    """Return an estimate if its p-value, with so many more values that fit perfectly, is `least` or more."""
    if told is None:
        return None
    degrees = told.agreement.degrees_of_freedom + values
    return told if degrees < 1 or chi_squared_above(degrees, told.agreement.chi_squared) >= least else None


def _beyond(contents: Known, limits: Mapping[str, Limits | None], spreads: float) -> float:
    """Return how far a bath lies outside of the nearest window, in widths of it; 0 within one.

    spreads: so many standard uncertainties are taken off, in its favour.
    """
    measured = [name for name in SALT_AND_ACID if name in contents.measured]
    windows = [limits, *named_windows().values()]
    return min(
        max((_outside(contents.of(name), window[name], spreads) for name in measured), default=0.0)
        for window in windows
    )


def _outside(held: Value, limits: Limits | None, spreads: float) -> float:
    if limits is None:
        return 0.0
    low, high = limits
    off = max(low - held.value, held.value - high) - spreads * held.standard_uncertainty
    return max(off, 0.0) / (high - low)


# --- What each slip makes of a reading --------------------------------------------------------------

Meant = Iterator[tuple[SlipName, Reading]]


def _transformed(reading: Reading, surroundings: Surroundings) -> Meant:
    """Return what a reading would be after each slip that it allows; what no sheet would take is left out."""
    for kind, transform in _TRANSFORMS:
        if isinstance(reading, kind):
            for name, meant in transform(reading, surroundings):
                if _would_be_taken(meant):
                    yield name, meant


def _would_be_taken(reading: Reading) -> bool:
    try:
        reading.check("")
    except InputError:
        return False
    return True


class _ToPhenolphthalein(AcidTitration):
    """A titration of the acid that went on until phenolphthalein turned: all copper has fallen out on the way."""

    def check(self, place: str) -> None:
        """Take what implies more acid than a bath can hold: it is not only acid."""

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: millilitres that the acid and the copper take together."""
        as_typed = super().model(surroundings, about)
        per_acid = float(equivalence_volume(1.0, self._flask()))
        blank = self.blank.value * 1000 if self.blank else 0.0
        copper = max(float(about.copper_sulfate), 0.0)  # type: ignore[arg-type]

        def predict(state: State) -> np.ndarray:
            acid = np.asarray(state.sulfuric_acid) + ACID_PER_IRON_THREE * np.asarray(state.iron_three)
            return as_rows(per_acid * (acid + ACID_PER_COPPER * np.asarray(state.copper_sulfate)) + blank)

        spread = BASE_PER_COPPER_SPREAD / BASE_PER_COPPER * ACID_PER_COPPER * copper * per_acid
        absolute = {**as_typed.absolute, "base that copper takes": np.array([spread])}
        return replace(as_typed, predict=predict, absolute=absolute, alike=(SlipName.PHENOLPHTHALEIN, as_typed.alike))


def _to_phenolphthalein(reading: AcidTitration, _: Surroundings) -> Meant:
    # Baking soda is too weak a base to turn it; and no more than the acid alone can be taken for both.
    if reading.titrant != "sodium bicarbonate" and reading.end_point != "pH meter" and reading.used.value > 0:
        same = {field.name: getattr(reading, field.name) for field in fields(reading)}
        yield SlipName.PHENOLPHTHALEIN, _ToPhenolphthalein(**same)


def _another_soda(reading: AcidTitration, _: Surroundings) -> Meant:
    if not reading.titrant.startswith("sodium carbonate"):
        return
    named = TITRANTS[reading.titrant].molar_mass
    for other, titrant in TITRANTS.items():
        if other.startswith("sodium carbonate") and other != reading.titrant:
            # Grams a litre stay as weighed; mol/L were reckoned with the mass of the soda named.
            share = named / titrant.molar_mass if reading.strength.unit == "mol/L" else 1.0
            yield SlipName.SODA_HYDRATE, replace(reading, titrant=other, strength=_times(reading.strength, share))


def _warmer(reading: Hydrometer, surroundings: Surroundings) -> Meant:
    celsius = reading.temperature.value if reading.temperature else surroundings.temperature
    for more in WARMER:
        warm = Measured.of(celsius + more, "degC", "temperature")
        yield SlipName.HYDROMETER_WARM, replace(reading, temperature=warm)


def _another_scale(reading: Hydrometer, surroundings: Surroundings) -> Meant:
    here = float(density_from_reading(reading.value.value, reading.scale, 20.0))
    for other in SCALES:
        if not _on_scale(reading.value.value, other):
            continue
        there = float(density_from_reading(reading.value.value, other, 20.0))
        if abs(there - here) > SCALES_APART:
            yield SlipName.HYDROMETER_SCALE, replace(reading, scale=other, calibration=None)


def _on_scale(value: float, scale: str) -> bool:
    """Tell whether a number may stand on a scale at all: degrees reach from 0 to 70, ratios from 0.9 to 1.6."""
    return 0.0 <= value <= 70.0 if scale in ("Baume", "Twaddell") else 0.9 <= value <= 1.6


def _another_acid(reading: MakeUp, _: Surroundings) -> Meant:
    if reading.acid_strength.value >= STRONG_ABOVE:
        weak = Measured.of(100 * BATTERY_ACID, "%", "fraction")
        yield SlipName.BATTERY_ACID_AS_CONCENTRATED, replace(reading, acid_strength=weak)
    if reading.acid_strength.value <= WEAK_BELOW:
        strong = Measured.of(100 * CONCENTRATED_ACID, "%", "fraction")
        yield SlipName.CONCENTRATED_AS_BATTERY_ACID, replace(reading, acid_strength=strong)


def _predilution(reading: AcidTitration, _: Surroundings) -> Meant:
    for fold in PREDILUTIONS:
        yield SlipName.PREDILUTION_FORGOTTEN, replace(reading, sample=_times(reading.sample, 1 / fold))


def _predilution_of_copper(reading: CopperTitration, _: Surroundings) -> Meant:
    if reading.predilution:
        yield SlipName.PREDILUTION_FORGOTTEN, replace(reading, predilution=None)
        return
    for fold in PREDILUTIONS:
        pair = (Measured.of(10.0, "mL", "volume"), Measured.of(10.0 * fold, "mL", "volume"))
        yield SlipName.PREDILUTION_FORGOTTEN, replace(reading, predilution=pair)


def _another_syringe(reading: AcidTitration | CopperTitration, _: Surroundings) -> Meant:
    drawn = reading.sample.value * 1000
    for size in SYRINGES_mL:
        least, most = (times * drawn for times in MISTAKEN)
        if least < size < most and abs(size - drawn) > 0.1 * drawn:
            sample = _times(reading.sample, size / drawn)
            yield SlipName.OTHER_SYRINGE, replace(reading, sample=sample, sample_with=None)


def _weighed_sample(reading: AcidTitration | CopperTitration, _: Surroundings) -> Meant:
    yield SlipName.MILLILITRES_AS_GRAMS, replace(reading, sample=_times(reading.sample, 1 / BATH_DENSITY))


def _weighed_acid(reading: MakeUp, _: Surroundings) -> Meant:
    lighter = 1 / float(acid_density(reading.acid_strength.value))
    yield SlipName.MILLILITRES_AS_GRAMS, replace(reading, acid=_times(reading.acid, lighter))


def _in_ppm(reading: ThinnedConductivity, _: Surroundings) -> Meant:
    if reading.value.unit == "uS/cm" and "mS" not in reading.value.text:
        for factor in FACTORS:
            in_ppm = replace(reading.value, unit="ppm")
            yield SlipName.PPM_AS_MICROSIEMENS, replace(reading, value=in_ppm, factor=factor)


def _other_compensation(reading: ThinnedConductivity, _: Surroundings) -> Meant:
    if reading.temperature and abs(reading.temperature.value - REFERENCE_TEMPERATURE) >= FROM_25:
        other = "linear" if reading.compensation == "none" else "none"
        yield SlipName.COMPENSATION_OFF, replace(reading, compensation=other)


def _times(measured: Measured, factor: float) -> Measured:
    """Return a quantity times a factor, with its ± as large in proportion."""
    spread = measured.standard_uncertainty
    return replace(
        measured,
        value=measured.value * factor,
        standard_uncertainty=None if spread is None else spread * factor,
    )


_TRANSFORMS: tuple[tuple[type[Reading], Callable[..., Meant]], ...] = (
    (AcidTitration, _to_phenolphthalein),
    (AcidTitration, _another_soda),
    (Hydrometer, _warmer),
    (Hydrometer, _another_scale),
    (MakeUp, _another_acid),
    (AcidTitration, _predilution),
    (CopperTitration, _predilution_of_copper),
    (AcidTitration, _another_syringe),
    (CopperTitration, _another_syringe),
    (AcidTitration, _weighed_sample),
    (CopperTitration, _weighed_sample),
    (MakeUp, _weighed_acid),
    (ThinnedConductivity, _in_ppm),
    (ThinnedConductivity, _other_compensation),
)
_KINDS = tuple(kind for kind, _ in _TRANSFORMS)
