"""The usual slips of a bench: a closed list, and what each is and how to tell.

Which of them would explain a reading is tried in `check/slips.py`.
"""

from __future__ import annotations

from enum import StrEnum


class SlipName(StrEnum):
    """A slip by the name it has in a JSON result."""

    PHENOLPHTHALEIN = "phenolphthalein end point"
    SODA_HYDRATE = "soda hydrate"
    HYDROMETER_WARM = "hydrometer warm"
    HYDROMETER_SCALE = "hydrometer scale"
    BATTERY_ACID_AS_CONCENTRATED = "battery acid as concentrated"
    CONCENTRATED_AS_BATTERY_ACID = "concentrated as battery acid"
    PREDILUTION_FORGOTTEN = "predilution forgotten"
    OTHER_SYRINGE = "other syringe"
    MILLILITRES_AS_GRAMS = "millilitres as grams"
    PPM_AS_MICROSIEMENS = "ppm as µS"
    COMPENSATION_OFF = "compensation off"


# What would have happened, and how to tell. Judgement.
SAID = {
    SlipName.PHENOLPHTHALEIN: (
        "titrated until phenolphthalein turned pink, which takes the copper along",
        "was the flask full of blue slime at the end? Methyl orange turns while it is still clear",
    ),
    SlipName.SODA_HYDRATE: (
        "another washing soda than the one named: crystals hold water, the baked powder none",
        "clear crystals are the decahydrate; bake a weighed spoonful for an hour: what it loses is water",
    ),
    SlipName.HYDROMETER_WARM: (
        "the liquid in the jar was warmer than stated",
        "put a thermometer into the jar while the hydrometer floats, and read again",
    ),
    SlipName.HYDROMETER_SCALE: (
        "read on another scale of the stem than the one named",
        "float it in distilled water: specific gravity shows 1.000 there, degrees show 0",
    ),
    SlipName.BATTERY_ACID_AS_CONCENTRATED: (
        "the acid that went in was battery acid, not concentrated",
        "look at the label; a litre of battery acid weighs about 1.3 times as much as water",
    ),
    SlipName.CONCENTRATED_AS_BATTERY_ACID: (
        "the acid that went in was concentrated, not battery acid",
        "look at the label; concentrated acid pours like oil and weighs 1.8 times as much as water",
    ),
    SlipName.PREDILUTION_FORGOTTEN: (
        "the sample was thinned beforehand and the sheet does not say so, or says so and it was not",
        "look at the colour of what you drew from: undiluted bath is deep blue",
    ),
    SlipName.OTHER_SYRINGE: (
        "the sample was drawn with another syringe than the one named",
        "fill the syringe with water and weigh that: a gram is a millilitre",
    ),
    SlipName.MILLILITRES_AS_GRAMS: (
        "weighed in grams and written down as millilitres",
        "was it drawn, or poured on a scale? A millilitre of bath weighs about 1.17 g, one of strong acid 1.84 g",
    ),
    SlipName.PPM_AS_MICROSIEMENS: (
        "the pen showed ppm, and the number was written down as µS/cm",
        "look at the unit beside the number, and at the pen's factor",
    ),
    SlipName.COMPENSATION_OFF: (
        "the pen did not correct for the temperature, or did where the sheet says that it did not",
        "read the same flask cold and warm: a pen that corrects shows nearly the same",
    ),
}
