"""The sentences that advice is made of: what a wrong concentration does, how to sample.

Plain words in the second person. No number is computed here. Cautions stand in `cautions`.
"""

from advisor.words.lines import line

SIDES = {"low": "below the window", "in": "inside the window", "high": "above the window"}
EFFECTS = {
    ("copper_sulfate", "low"): (
        "Too little copper: edges burn sooner, so plate with less current until it is put right."
    ),
    ("copper_sulfate", "high"): "Too much copper: recesses stay thin, and blue crystals form in the cold.",
    ("sulfuric_acid", "low"): (
        "Too little acid: the bath conducts badly, recesses stay thin, the deposit turns rough or dull, and "
        "anodes stop feeding."
    ),
    ("sulfuric_acid", "high"): (
        "Too much acid: less copper stays dissolved, edges burn sooner, and idle anodes dissolve faster."
    ),
    ("chloride", "low"): (
        "Too little chloride: brightener and suppressor hardly work; dull, rough or striped deposits follow."
    ),
    ("chloride", "high"): "Too much chloride: a white crust grows on the anodes and the current falls.",
}

SOUND_SAMPLE = (
    "Take a sound sample first: warm until no crystal is left, stir ten minutes, let it settle half an hour, draw "
    "from mid-depth and filter."
)
CONDITION_MEANS = {
    "crystals": "Crystals on the floor hold copper that your readings do not see.",
    "cloudy": (
        "A cloudy bath reads denser and darker than its clear liquid, and may be short of acid: without enough of it "
        "copper comes out as a fine cloud."
    ),
    "layers": "Layers of different blue mean that the bath is not mixed: a sample shows one layer only.",
    "sludge": "Stirred-up sludge makes a hydrometer read high and dissolves in the acid of a titration.",
}

JAR_TEST = line(
    "Jar test: plate the same strip at the same current density in {250 mL} each of fresh bath, of the old bath, and "
    "of half and half (about two hours). If fresh is dull too, it is not the bath. If half and half is good, half of "
    "what has built up is little enough; if it is dull, half is not enough."
)
JAR_TEST_IN_SHORT = "Do the jar test"
SALT_SOLUTION = (
    "Dissolve {grams:g g} of table salt without iodine or anti-caking agent in distilled water to 1 "
    "litre: each millilitre of it brings 10 mg of chloride. Measure that with a syringe instead of weighing milligrams."
)
PLUS_MINUS = "± holds the true value nineteen times in twenty (95 %)."

TO_KNOW = "Read below what you should know before you start."
FOREIGN_STOCK = (
    "You have not described your {what}, so {assumed} is assumed. Enter what the label says, or the amounts may be "
    "wrong."
)
EVAPORATION = (
    "This assumes that only water has left. Bath that dripped away with the parts took copper and acid along: each "
    "{tenth} of it leaves the topped-up bath {percent:.1f} % weaker than shown."
)


def steps_done(done: int, steps: int) -> str:
    """Say how many of a correction's steps are done."""
    return f"{done} of {steps} steps {'is' if done == 1 else 'are'} done"


def money(cost: float) -> str:
    """Say what something costs by the prices of the sheet, whose currency nobody names."""
    return f"{cost:.2f} in your currency"
