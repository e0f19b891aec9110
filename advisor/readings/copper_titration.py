"""Titration of copper with EDTA, or by iodide and thiosulfate.

The two count foreign metals differently: EDTA takes iron, zinc and nickel for copper, iodometry only iron(III). Where
both were done and EDTA finds more, the difference is foreign metal. The model predicts the millilitres of titrant;
both reactions go one to one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from advisor.basis.fields import (
    FlagField,
    InputError,
    PairField,
    QuantityField,
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
from advisor.readings.tools import Titrant, VolumeError, check_thinned, drops, titration_errors, volume_error
from advisor.solution import molar_masses
from advisor.solution.molar_masses import COPPER, COPPER_SULFATE_PENTAHYDRATE, IRON, NICKEL, ZINC
from advisor.solution.ranges import HIGHEST_COPPER_SULFATE
from advisor.words.lines import line

# Sold as disodium EDTA dihydrate and sodium thiosulfate pentahydrate. Weighed EDTA is true to about 1 % (moisture),
# thiosulfate that was not standardised to 2 % (judgement).
TITRANTS = {
    "EDTA": Titrant("EDTA", molar_masses.DISODIUM_EDTA, 0.0053, 0.01),
    "iodometric": Titrant("thiosulfate", molar_masses.SODIUM_THIOSULFATE, 0.0052, 0.02),
}
AMMONIA = Titrant("ammonia", molar_masses.AMMONIA, -0.0042, 0.05)  # density coefficient from memory

# Metals that are taken for copper, one to one, and their atomic weights [g/mol] (computed): 1 g/L zinc reads as 3.8 g/L
# copper sulfate, nickel as 4.3, iron as 4.5.
METALS = {
    "EDTA": {"iron": IRON, "zinc": ZINC, "nickel": NICKEL},
    "iodometric": {"iron_three": IRON},
}
# Murexide turns in ammonia, where iron falls out as hydroxide and is titrated in part only: this share of it
# (judgement: anything from none to all).
IRON_SEEN_IN_AMMONIA, IRON_SEEN_SPREAD = 0.5, 0.29

# Standard uncertainty of the end point by eye, relative (judgement): with it a careful run in laboratory glass comes to
# 1 % at 95 % probability.
END_POINT = {"EDTA": 0.004, "iodometric": 0.002}
# Without thiocyanate, iodine held by the copper iodide makes the end point 0.3 to 1 % early (direction: Agterdenbos and
# van Tellingen, Talanta 1961; amount from memory). Bounds by whether thiocyanate was used; None: nobody knows.
HELD_IODINE = {True: (0.0, 0.0), False: (0.003, 0.01), None: (0.0, 0.01)}
# Error of the EDTA end point by ammonia in the flask [mol/L], half-width, relative: computed with equilibrium constants
# up to 0.5 mol/L, where it is 1.4 to 5 %; at 1 mol/L there is no usable end point (judgement: 0.15 close to it).
AMMONIA_ERROR = ((0.0, 0.1, 0.5, 1.0), (0.002, 0.002, 0.05, 0.15))
SOUND_AMMONIA, TOO_MUCH_AMMONIA = 0.1, 1.0  # mol/L (computed)
# Read.
MUREXIDE_LIMIT = 0.25  # mg copper per mL of flask: beyond, the blue hides the end point (a chemistry dictionary, 2014)
USUAL_FLASK_mL = 100.0  # common practice, no source
# What a predilution is taken to be made up in where the sheet does not say (judgement).
CYLINDERS = (10, 25, 50, 100, 250, 500, 1000)


@dataclass(frozen=True)
class CopperTitration(Reading):
    """A titration of the bath's copper."""

    kind: ClassVar[str] = "copper titration"
    label: ClassVar[str] = "Copper titration"

    method: str = choice(
        "Method",
        tuple(TITRANTS),
        "EDTA, or iodide with thiosulfate (iodometric). Neutralise the bath's acid before EDTA.",
        required=True,
    )
    sample: Measured = volume(
        "Sample titrated", "Bath in the flask, or prediluted bath if you diluted it first.", required=True, high=0.5
    )
    predilution: tuple[Measured, Measured] | None = define(
        PairField(
            each=QuantityField(quantity="volume", label="Predilution", above=True, high=5.0, unit="mL"),
            label="Bath diluted from, to",
            help='Bath taken and what it was made up to, e.g. ["10 mL", "100 mL"]',
        )
    )
    strength: Measured = quantity(
        "strength",
        "Strength of the titrant",
        "In % or g/L it counts as disodium EDTA dihydrate or as thiosulfate pentahydrate.",
        required=True,
        high=5.0,
    )
    used: Measured = volume("Titrant used", "Up to the end point.", required=True)
    blank: Measured | None = volume(
        "Blank", "What water with the same reagents takes; potassium iodide often frees some iodine.", above=False
    )
    indicator: str | None = choice(
        "Indicator", ("murexide", "PAN"), "With EDTA only. PAN turns sharply only when warm."
    )
    ammonia: Measured | None = quantity(
        "strength", "Ammonia in the flask", "With EDTA only: just enough to redissolve, at most 0.1 mol/L.", high=20.0
    )
    flask: Measured | None = volume("Liquid in the flask", "Before you titrate; empty: 100 mL.", high=2.0)
    thiocyanate: bool | None = define(
        FlagField(
            label="Thiocyanate before the end", help="Iodometric only: it frees the iodine that the white solid holds."
        )
    )
    sample_with: str | None = tool("Sample")
    predilution_with: str | None = tool("Bath taken to dilute")
    made_up_with: str | None = tool("Predilution made up")
    used_with: str | None = tool("Titrant")
    titrant_label: str | None = bottle()
    sample_label: str | None = drawn_sample()
    note: str = note()

    def check(self, place: str) -> None:
        """Refuse fields that do not fit together, and copper that no bath holds."""
        for name, method in (("indicator", "EDTA"), ("ammonia", "EDTA"), ("thiocyanate", "iodometric")):
            if getattr(self, name) is not None and self.method != method:
                raise InputError(f"{place}: {name}", f"the method is {self.method}", f"it goes only with {method}")
        if self.blank and self.blank.value >= self.used.value:
            raise InputError(f"{place}: blank", show(self.blank.text), f"it must be less than used, {self.used.text}")
        if self.ammonia and AMMONIA.molarity(self.ammonia) >= TOO_MUCH_AMMONIA:
            raise InputError(
                f"{place}: ammonia",
                show(self.ammonia.text),
                "from 1 mol/L there is no usable end point: titrate again with just enough ammonia to redissolve",
            )
        check_thinned(self, self.predilution, place, sample=self.sample, used=self.used)
        implied = self._net_mL() / self._titrant_per_copper_sulfate()
        if implied > HIGHEST_COPPER_SULFATE:
            raise InputError(
                f"{place}: used",
                line("{used}, which means {g:.0f g/L} of copper sulfate", used=show(self.used.text), g=implied),
                line(
                    "it must come to at most {most:.0f g/L}: check sample, predilution, strength and used",
                    most=HIGHEST_COPPER_SULFATE,
                ),
            )

    def _titrant_per_copper_sulfate(self) -> float:
        """Titrant [mL] that 1 g/L of copper sulfate takes."""
        taken, made_up = (part.value for part in self.predilution) if self.predilution else (1.0, 1.0)
        bath_mL = self.sample.value * 1000 * taken / made_up
        return bath_mL / COPPER_SULFATE_PENTAHYDRATE / TITRANTS[self.method].molarity(self.strength)

    def _blank_mL(self) -> float:
        return self.blank.value * 1000 if self.blank else 0.0

    def _net_mL(self) -> float:
        return self.used.value * 1000 - self._blank_mL()

    def model(self, surroundings: Surroundings, about: State) -> Model:
        """Return the model: millilitres of titrant used, the blank included."""
        early = sum(HELD_IODINE[self.thiocyanate]) / 2 if self.method == "iodometric" else 0.0
        slope, blank, metals = self._titrant_per_copper_sulfate() * (1 - early), self._blank_mL(), METALS[self.method]

        seen = {name: IRON_SEEN_IN_AMMONIA if self._in_ammonia and name == "iron" else 1.0 for name in metals}
        false_copper = {name: seen[name] * COPPER_SULFATE_PENTAHYDRATE / mass for name, mass in metals.items()}

        def predict(state: State) -> FloatArray:
            taken = sum(np.asarray(getattr(state, name)) * share for name, share in false_copper.items())
            return as_rows(slope * (np.asarray(state.copper_sulfate) + taken) + blank)

        used = self.used.value * 1000
        read, absolute = titration_errors((volume_error(self.used, self.used_with, "titrant"), -1.0, None))
        alone, relative = titration_errors(*self._sample_errors())
        strength = TITRANTS[self.method].relative_uncertainty(self.strength)
        relative[f"titrant {self.titrant_label or f'{self.method} {self.strength.text}'}"] = strength
        relative |= self._end_point_effect()
        if self._in_ammonia:
            per_iron = COPPER_SULFATE_PENTAHYDRATE / metals["iron"] * slope
            iron = max(float(about.iron), 0.0)  # type: ignore[arg-type]
            absolute["iron in ammonia"] = IRON_SEEN_SPREAD * iron * per_iron
        alike = (self.kind, slope, blank, *false_copper.items())
        random = np.hypot.reduce((read, drops(self.blank), alone * self._net_mL()))
        return Model.of_one(predict, used, random, absolute, relative, blank, alike)

    @property
    def _in_ammonia(self) -> bool:
        """Whether iron falls out before it can be titrated."""
        return self.method == "EDTA" and self.indicator == "murexide"

    def _sample_errors(self) -> list[tuple[VolumeError, float, str | None]]:
        """Return each error in how much bath was taken, with the effect of a millilitre as a share of the titrant."""
        parts: list[tuple[VolumeError, float, str | None]] = []
        # A sample label names what was drawn from the bath: the bath taken to dilute, if there was a predilution.
        drawn = self.sample_label
        if self.predilution:
            taken, made_up = self.predilution
            mL = made_up.value * 1000
            cylinder = f"{next((size for size in CYLINDERS if size >= mL), CYLINDERS[-1])} mL graduated cylinder"
            parts += [
                (volume_error(taken, self.predilution_with, "predilution"), 1 / (taken.value * 1000), drawn),
                (volume_error(made_up, self.made_up_with or cylinder), -1 / mL, drawn),
            ]
            drawn = None
        sample = volume_error(self.sample, self.sample_with, "sample")
        return [*parts, (sample, 1 / (self.sample.value * 1000), drawn)]

    def _end_point_effect(self) -> dict[str, float]:
        """Effect of the end point, one standard deviation as a share of the titrant, by its source."""
        effect = END_POINT[self.method]
        if self.method == "iodometric":
            low, high = HELD_IODINE[self.thiocyanate]
            return {"end point iodometric": float(np.hypot(effect, (high - low) / 2 / np.sqrt(3)))}
        effects = {"end point EDTA": effect * (1.0 if self.indicator == "PAN" else max(1.0, self._murexide_load()))}
        if self.indicator != "PAN":
            ammonia = AMMONIA.molarity(self.ammonia) if self.ammonia else 0.0
            effects["ammonia in the flask"] = float(np.interp(ammonia, *AMMONIA_ERROR)) / np.sqrt(3)
        return effects

    def _copper_mg(self) -> float:
        """Copper in the flask [mg]."""
        return self._net_mL() * TITRANTS[self.method].molarity(self.strength) * COPPER

    def _murexide_load(self) -> float:
        """Copper in the flask as a multiple of what murexide bears."""
        flask = self.flask.value * 1000 if self.flask else USUAL_FLASK_mL
        return self._copper_mg() / (MUREXIDE_LIMIT * flask)

    def warnings(self, surroundings: Surroundings, about: State) -> tuple[str, ...]:
        """Say what weakens this titration."""
        return self._warnings_of_edta() if self.method == "EDTA" else self._warnings_of_iodide()

    def _warnings_of_edta(self) -> tuple[str, ...]:
        said: list[str] = []
        if self.indicator != "PAN" and self._murexide_load() > 1:
            said.append(
                line(
                    "Your flask held about {copper:.0f} mg of copper. Murexide can take at most 25 mg in {100 mL} of "
                    "liquid: beyond that the blue hides the end point. Dilute the bath first, for example 10 mL to "
                    "{100 mL}, and take less of it.",
                    copper=self._copper_mg(),
                )
            )
        if self.ammonia is None and self.indicator == "murexide":
            said.append(
                "Say how much ammonia was in the flask: this assumes at most 0.1 mol/L, just enough to redissolve "
                "the pale solid."
            )
        if self.ammonia and AMMONIA.molarity(self.ammonia) > SOUND_AMMONIA:
            said.append(
                "More than 0.1 mol/L of ammonia spoils the end point: 0.5 mol/L reads 1.4 to 5 % off, and 1 mol/L is "
                "unusable. Add just enough to redissolve the pale solid."
            )
        return tuple(said)

    def _warnings_of_iodide(self) -> tuple[str, ...]:
        said = []
        if not self.thiocyanate:
            said.append(
                "Without thiocyanate just before the end the reading comes out 0.3 to 1 % low, because the white solid "
                "holds iodine; this is allowed for."
            )
        if self.blank is None:
            said.append(
                "Titrate a blank of water, acid and potassium iodide too: old iodide frees iodine by itself, and the "
                "copper reads high."
            )
        return tuple(said)
