"""How much copper sulfate may lie on the floor of the tank, where no reading sees it: from what went in before.

What went in is told by a make-up record or an earlier check; what stays dissolved by the solubility. It judges nothing.
"""

from __future__ import annotations

from advisor.basis.components import SALT_AND_ACID
from advisor.check.assessment import limits_of
from advisor.check.estimate import estimate
from advisor.check.known import Known
from advisor.readings.previous_check import MakeUp, PreviousCheck
from advisor.sheet import ROOM, Bath, Sheet
from advisor.solution.solubility import saturation
from advisor.words import phrases
from advisor.words.lines import Amount, Line, line

USUAL_MOST, USUAL_ACID = (0.0, 248.0), (0.0, 120.0)  # g/L, of a window without limits of its own (judgement)
COUNTS = 0.1  # of what went in: less is within what is known of the bath (judgement)


def sound_sample(bath: Bath) -> str:
    """Say how to take a sample that can be trusted; where much water is missing, warmth alone dissolves no crystals."""
    missing = min(bath.usual_L, bath.most_L) - bath.volume.value
    if missing <= ROOM * bath.usual_L:
        return phrases.SOUND_SAMPLE
    return line(
        "Take a sound sample first. Water is missing: make the level up with {litres:.2f L} of distilled water, or "
        "crystals may never dissolve. Then warm the bath to about {40 °C}, stir until nothing more dissolves, let it "
        "settle half an hour, and draw from mid-depth through a filter.",
        litres=missing,
    )


def on_the_floor(sheet: Sheet, contents: Known | None) -> Line | None:
    """Say how much of what the bath once held may lie there; None where no record tells, or nearly all is dissolved."""
    held = max((grams for reading in sheet.readings if (grams := _went_in(sheet, reading))), default=0.0)
    if contents is None or held == 0:
        return None
    acid = contents.value("sulfuric_acid")
    dissolved = min(contents.value("copper_sulfate"), float(saturation(sheet.bath.temperature.value, acid)))
    missing = held - dissolved * sheet.bath.volume.value
    if missing < COUNTS * held:
        return None
    return line(
        "Your record tells of {held} of copper sulfate in the tank, and the liquid holds about {dissolved}: up to "
        "about {missing} may lie on the floor, less what left with parts and drips.",
        held=Amount(held, "g", -1),
        dissolved=Amount(held - missing, "g", -1),
        missing=Amount(missing, "g", -1),
    )


def _went_in(sheet: Sheet, reading: object) -> float | None:
    """Return the grams of copper sulfate that a record tells of."""
    if isinstance(reading, MakeUp):
        return reading.copper_sulfate_g
    if isinstance(reading, PreviousCheck) and reading.copper_sulfate:
        return reading.copper_sulfate.value * (reading.volume.value if reading.volume else sheet.bath.usual_L)
    return None


def hidden_crystals(sheet: Sheet) -> Line:
    """Say how much copper sulfate may lie on the floor: what the bath held at most, less what it holds in the cold."""
    bath, limits = sheet.bath, limits_of(sheet)
    known = estimate(sheet)
    most, acids = (limits[name] for name in SALT_AND_ACID)
    told = [grams for reading in sheet.readings if (grams := _went_in(sheet, reading))]
    held = max(told, default=(most or USUAL_MOST)[1] * bath.usual_L)
    acid = sum(acids or USUAL_ACID) / 2
    if known and "sulfuric_acid" in known.measured:
        acid = known.value("sulfuric_acid")
    stays = float(saturation(bath.coldest_degC, acid))
    grams = max(held - stays * bath.volume.value, 0.0)
    words = {
        "cold": Amount(bath.coldest_degC, "°C"),
        "stays": Amount(stays, "g/L"),
        "held": Amount(held, "g", -1),
        "level": Amount(bath.volume.value, "L", 2),
    }
    if grams == 0:
        return line(
            "At {cold} about {stays} stays dissolved: {level} of bath hold all of the {held} that went in. It must "
            "have stood colder, or been stronger, for crystals to form.",
            **words,
        )
    return line(
        "At {cold} only about {stays} stays dissolved (within 10 to 15 %). If {held} went in, up to about {grams} of "
        "crystals may lie on the floor under {level} of bath, and your readings see none of it.",
        **words,
        grams=Amount(grams, "g", -1),
    )
