"""Titration of the free acid with lye, baking soda or washing soda.

The model predicts the millilitres of titrant at the end point that was used, from the equilibria in the flask: copper
makes every end point in this titration come early or late, most at low acid, and the prediction carries that. An end
point at zero millilitres is an answer too: the acid is below about half a gram a litre.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from advisor.basis.fields import (
    FlagField,
    InputError,
    NumberField,
    bottle,
    choice,
    define,
    drawn_sample,
    note,
    quantity,
    show,
    tool,
    volume,
)
from advisor.basis.units import Measured
from advisor.readings.model import FloatArray, Model, Reading, State, Surroundings, as_rows
from advisor.readings.strength import Worth, check_baked, source_of, strength_from, substance_limits, worth
from advisor.readings.tools import DROP_mL, Titrant, check_tool, drops, titration_errors, volume_error
from advisor.solution import molar_masses
from advisor.solution.equilibrium import (
    AIR_CARBON_DIOXIDE,
    KEPT,
    Flask,
    equivalence_volume,
    titrant_volume_at_pH,
    titrant_volume_at_precipitation,
    titrant_volumes_at_precipitation,
)
from advisor.solution.ranges import HIGHEST_SULFURIC_ACID
from advisor.words.lines import line

_SODA = molar_masses.SODIUM_CARBONATE
# Molar masses computed; weighing: judgement.
TITRANTS = {
    "sodium hydroxide": Titrant("sodium hydroxide", molar_masses.SODIUM_HYDROXIDE, 0.0111, 0.02),
    "sodium bicarbonate": Titrant("sodium bicarbonate", molar_masses.SODIUM_BICARBONATE, 0.0071, 0.01),
    "sodium carbonate": Titrant("sodium carbonate", _SODA, 0.0105, 0.01),
    "sodium carbonate monohydrate": Titrant("sodium carbonate", _SODA + molar_masses.WATER, 0.0090, 0.01),
    "sodium carbonate decahydrate": Titrant("sodium carbonate", _SODA + 10 * molar_masses.WATER, 0.0039, 0.02),
}
METHYL_ORANGE = "methyl orange"
END_POINTS = (METHYL_ORANGE, "first lasting cloud", "pH meter")
LYE = "sodium hydroxide"  # the titrant that gives off no gas
CLOUD_SEEN = "end point first lasting cloud"
METHYL_ORANGE_PH = 3.85  # grey over copper's blue (transition 3.1 to 4.4, from memory)
# 1 g/L of iron(III) hydrolyses on the way and takes as much base as 0.6 to 2.6 g/L of acid, by database and pH
# (computed with PHREEQC); iron(II) takes none before copper does.
ACID_PER_IRON_THREE, ACID_PER_IRON_THREE_SPREAD = 1.6, 0.6
RUST = 0.15  # g/L of iron(III) from which its rust-coloured cloud near pH 3 may be taken for the end point (judgement)
CLOUD_SPREAD = 0.02  # relative, from one try to the next (judgement)
PH_METER_OFFSET = 0.1  # one standard deviation of a freshly calibrated hobby meter (judgement)

# What the first lasting cloud is: basic copper sulfate. People see it anywhere, evenly in the saturation index, between
# the point where brochantite, its most stable form, may first stand and one far beyond (judgement); the hydroxide would
# come later still. Shares of the three points: the mean of a parabola through them (computed).
CLOUD = "fresh basic sulfate"
CLOUDS = {"brochantite": 0.014, CLOUD: 0.740, "fresh basic sulfate seen late": 0.246}

# Carbon dioxide that the liquid holds, atm, with shares (judgement): swirled until no bubble rises at most a twentieth,
# which moves the cloud by some thousandths; left fizzing anything from there up to 1, evenly in the logarithm. The
# later the eye sees the cloud, the more it is delayed: by hundredths mostly, by a fifth and more at worst. One flask in
# three is left fizzing where nobody says. Within a kind of flask: Simpson's rule.
AIR, SWIRLED_AT_MOST, FIZZING, HALFWAY = AIR_CARBON_DIOXIDE, 10**-1.3, 1.0, 10**-0.65
SWIRLED_FLASK = {AIR: 0.5, SWIRLED_AT_MOST: 0.5}
FIZZING_FLASK = {AIR: 0.0, SWIRLED_AT_MOST: 1 / 6, HALFWAY: 4 / 6, FIZZING: 1 / 6}
ANY_FLASK = {AIR: 1 / 3, SWIRLED_AT_MOST: 1 / 3 + 1 / 18, HALFWAY: 4 / 18, FIZZING: 1 / 18}
GAS = {False: SWIRLED_FLASK, True: FIZZING_FLASK, None: ANY_FLASK}


class AcidByBase(Reading):
    """Base of the titrations of the free acid with a base; each kind defines these fields in its own words."""

    sample: Measured
    diluted_to: Measured
    titrant: str
    strength: Measured
    strength_from: str | None
    titrant_label: str | None

    def check(self, place: str) -> None:
        if self.diluted_to.value < self.sample.value:
            accepted = f"it must not be less than the sample, {self.sample.text}"
            raise InputError(f"{place}: diluted_to", show(self.diluted_to.text), accepted)

    def _flask(self) -> Flask:
        titrant = TITRANTS[self.titrant]
        molarity = titrant.molarity(self.strength) * self._worth().factor
        return Flask(self.sample.value * 1000, self.diluted_to.value * 1000, titrant.base, molarity)

    def _worth(self) -> Worth:
        return worth(self.titrant, TITRANTS[self.titrant], self.strength, self.strength_from)

    def _bottle(self) -> str:
        return source_of(self.titrant, self.strength, self.titrant_label)


@dataclass(frozen=True)
class AcidTitration(AcidByBase):
    """A titration of the bath's free sulfuric acid."""

    kind: ClassVar[str] = "acid titration"
    label: ClassVar[str] = "Acid titration"

    sample: Measured = volume("Sample of bath", "Undiluted bath in the flask.", required=True, high=0.5)
    diluted_to: Measured = volume(
        "Diluted to", "With distilled water, before you start: the more, the paler the flask.", required=True
    )
    titrant: str = choice("Titrant", tuple(TITRANTS), "The solution of known strength that you run in.", required=True)
    strength: Measured = quantity(
        "strength",
        "Strength of the titrant",
        "From what you weighed in: 42 g/L baking soda is 0.5 mol/L.",
        required=True,
        high=20.0,
    )
    strength_from: str | None = strength_from()
    used: Measured = volume(
        "Titrant used",
        "The solution you ran in, up to the end point. 0 mL if the colour or cloud was there before the first drop.",
        required=True,
        above=False,
    )
    blank: Measured | None = volume("Blank", "What plain water takes to the same end point.", above=False, high=0.1)
    end_point: str = choice(
        "End point", END_POINTS, "The moment at which all is used up and you stop: how you saw it.", required=True
    )
    end_point_pH: float | None = define(
        NumberField(
            label="pH at the end point",
            help="With a pH meter only: the pH you stopped at. Copper precipitates above about 4.2.",
            low=2.5,
            high=4.5,
        )
    )
    fizzing: bool | None = define(
        FlagField(
            label="Still fizzing at the end",
            help="With soda and the first lasting cloud: whether bubbles still rose when it came. It then comes late; "
            "swirl until none rises.",
        )
    )
    sample_with: str | None = tool("Sample")
    diluted_to_with: str | None = tool("Dilution")
    used_with: str | None = tool("Titrant")
    titrant_label: str | None = bottle()
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse fields that do not fit together, and an amount of acid that no bath holds."""
        super().check(place)
        if self.end_point_pH is not None and self.end_point != "pH meter":
            raise InputError(
                f"{place}: end_point_pH", show(self.end_point_pH), 'it goes only with end_point = "pH meter"'
            )
        if self.blank and self.blank.value >= self.used.value > 0:
            raise InputError(f"{place}: blank", show(self.blank.text), f"it must be less than used, {self.used.text}")
        check_baked(self.strength_from, self.titrant, place)
        for name in ("sample", "diluted_to", "used"):
            check_tool(getattr(self, f"{name}_with"), getattr(self, name), f"{place}: {name}_with")
        implied = self._implied_acid()
        if implied > HIGHEST_SULFURIC_ACID:
            raise InputError(
                f"{place}: used",
                line("{used}, which means {g:.0f g/L} of acid", used=show(self.used.text), g=implied),
                line(
                    "it must come to at most {most:.0f g/L}: check sample, strength and used",
                    most=HIGHEST_SULFURIC_ACID,
                ),
            )

    def _implied_acid(self) -> float:
        """The acid by stoichiometry alone [g/L]."""
        net = (self.used.value - (self.blank.value if self.blank else 0.0)) * 1000
        return net / float(equivalence_volume(1.0, self._flask()))

    def _volume_at_end_point(self, flask: Flask) -> Callable[[ArrayLike, ArrayLike], FloatArray]:
        """Return the function (copper sulfate, acid) -> mL that goes with the kind of end point."""
        if self.end_point == "first lasting cloud":
            return lambda copper, acid: titrant_volume_at_precipitation(copper, acid, CLOUD, flask)
        pH = METHYL_ORANGE_PH if self.end_point == METHYL_ORANGE else (self.end_point_pH or METHYL_ORANGE_PH)
        return lambda copper, acid: titrant_volume_at_pH(copper, acid, pH, flask)

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: millilitres of titrant used, including the blank."""
        if self.used.value == 0:
            return self._turned_before_the_first_drop(about)
        flask = self._flask()
        at_end_point = self._volume_at_end_point(flask)
        later, judged = self._end_point_effect(flask, about)
        blank = self.blank.value * 1000 if self.blank else 0.0
        beside = later + blank

        def predict(state: State) -> FloatArray:
            acid = np.asarray(state.sulfuric_acid) + ACID_PER_IRON_THREE * np.asarray(state.iron_three)
            return as_rows(at_end_point(state.copper_sulfate, acid) + beside)

        used = self.used.value * 1000
        net = used - blank  # of which the errors of sample and strength are shares
        sample = volume_error(self.sample, self.sample_with, "sample")
        reading = volume_error(self.used, self.used_with, "titrant")
        alone, relative = titration_errors((sample, 1 / flask.sample_mL, self.sample_label))
        read, absolute = titration_errors((reading, -1.0, None))
        judged_anew = CLOUD_SPREAD if self.end_point == "first lasting cloud" else 0.0
        random = np.hypot.reduce((read, drops(self.blank), alone * net, judged_anew * net))
        relative[self._bottle()] = self._worth().relative_uncertainty
        absolute |= judged  # of what the bath would show: copper weighs in it, so it is no share of what was read
        absolute["iron(III) takes base"] = iron_three_effect(about) * float(equivalence_volume(1.0, flask))
        alike = (self.kind, flask, self.end_point, self.end_point_pH, beside)
        return Model.of_one(predict, used, random, absolute, relative, blank, alike)

    def _most_acid_unseen(self, copper: float) -> float:
        """Return the acid [g/L] that two drops neutralise; a sample without any is already past the end point."""
        flask = self._flask()
        none, some = self._volume_at_end_point(flask)(copper, np.array([0.0, 1.0]))
        return float(max(2 * DROP_mL - none, 2 * DROP_mL) / (some - none))

    def _turned_before_the_first_drop(self, about: State) -> Model:
        """Return a model of the acid [g/L] that goes unseen: anything from none to the most."""
        most = self._most_acid_unseen(max(float(about.copper_sulfate), 0.0))  # type: ignore[arg-type]
        return Model.of_one(
            lambda state: as_rows(np.asarray(state.sulfuric_acid) + ACID_PER_IRON_THREE * np.asarray(state.iron_three)),
            most / 2,
            most / 2,
            {"iron(III) takes base": iron_three_effect(about)},
        )

    def _end_point_effect(self, flask: Flask, about: State) -> tuple[float, Mapping[str, float]]:
        """Return by how much the end point is judged too late on average [mL], and the spread of that by source."""
        copper, acid = (max(float(held), 0.0) for held in (about.copper_sulfate, about.sulfuric_acid))  # type: ignore[arg-type]
        if self.end_point == "first lasting cloud":
            return _cloud_effect(flask, copper, acid, self.fizzing)
        if self.end_point == METHYL_ORANGE:
            # Half of the correction: the colour is judged to about 0.3 pH over copper's blue.
            correction = float(equivalence_volume(acid, flask) - self._volume_at_end_point(flask)(copper, acid))
            return 0.0, {"end point methyl orange": 0.5 * abs(correction)}
        pH = self.end_point_pH or METHYL_ORANGE_PH
        here, later = titrant_volume_at_pH(copper, acid, [pH, pH + PH_METER_OFFSET], flask)
        return 0.0, {"pH meter": float(later - here)}

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what weakens this titration."""
        said: list[str] = []
        if self.used.value == 0:
            most = self._most_acid_unseen(max(float(about.copper_sulfate), 0.0))  # type: ignore[arg-type]
            said.append(
                line(
                    "The end point was there before the first drop: free acid is below about {most:.1g g/L}. Even a "
                    "bath without acid reads pH 4, so this does not mean exactly zero.",
                    most=most,
                )
            )
        elif self.used.value < 0.003:
            said.append(
                "Less than 3 mL of titrant was used: a bigger sample or a weaker titrant would give the acid "
                "more precisely."
            )
        if self.end_point == "first lasting cloud" and float(about.iron_three) > RUST:  # type: ignore[arg-type]
            said.append(
                "Iron(III) makes a rust-coloured cloud near pH 3, long before copper does: that is not the end point. "
                "Go on to the pale blue cloud, or use methyl orange."
            )
        if self.end_point == "first lasting cloud" and TITRANTS[self.titrant].base != LYE and self.fizzing is not False:
            said.append(
                "It was still fizzing: the cloud came late, by an amount that nobody knows well. Swirl until no bubble "
                "rises, and the next titration gives the acid more precisely."
                if self.fizzing
                else "Swirl the gas out before you judge the cloud: left fizzing, it comes up to 16 % late. Say "
                "whether it still fizzed, and the answer allows for it."
            )
        said += substance_limits(self.titrant, self._worth(), self.model(surroundings, about), self._bottle())
        return tuple(said)


@lru_cache(maxsize=KEPT)  # repeated titrations ask for the same
def _cloud_effect(flask: Flask, copper: float, acid: float, fizzing: bool | None) -> tuple[float, Mapping[str, float]]:
    """Return by how much the first lasting cloud comes too late on average [mL], and the spread of that by source.

    Where the eye sees it, and by how much carbon dioxide delays it; copper and acid in the bath [g/L].
    """
    gas = {0.0: 1.0} if flask.titrant == LYE else GAS[fizzing]
    pressures = np.repeat(list(gas), len(CLOUDS))
    found = titrant_volumes_at_precipitation(copper, acid, list(CLOUDS) * len(gas), flask, pressures)
    onset = found.reshape(len(gas), len(CLOUDS))  # mL, a row for each pressure
    of_gas, of_eye = np.array(list(gas.values())), np.array(list(CLOUDS.values()))
    in_air = onset[0]
    predicted = in_air[list(CLOUDS).index(CLOUD)]
    # Where nobody says that it was left fizzing, that is not assumed: the doubt only widens the spread.
    delay = float((of_gas @ onset - in_air) @ of_eye) if fizzing else 0.0
    eye = float(np.sqrt(of_eye @ (in_air - predicted) ** 2))
    spread = float(np.sqrt(of_gas @ (onset - predicted - delay) ** 2 @ of_eye))
    return delay, {CLOUD_SEEN: eye, "carbon dioxide in the flask": float(np.sqrt(max(spread**2 - eye**2, 0.0)))}


def iron_three_effect(about: State) -> float:
    """Acid [g/L] by which one standard deviation of what iron(III) takes moves a titration of this bath."""
    return ACID_PER_IRON_THREE_SPREAD * max(float(about.iron_three), 0.0)  # type: ignore[arg-type]
