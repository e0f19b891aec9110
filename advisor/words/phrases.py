"""The sentences that advice is made of: what a wrong concentration does, how to sample, and each step's cautions.

Plain words in the second person. Cautions are the usual ones of the trade (common practice, no source, unless one is
named); they defer to local rules. No number is computed here.
"""

from advisor.words.lines import line

EFFECTS = {
    ("copper_sulfate", "low"): "Too little copper: edges burn sooner, so plate at less current until it is mended.",
    ("copper_sulfate", "high"): "Too much copper: recesses stay thin, and blue crystals form in the cold.",
    ("sulfuric_acid", "low"): (
        "Too little acid: the bath conducts badly, recesses stay thin, the deposit turns rough or dull, and "
        "anodes stop feeding."
    ),
    (
        "sulfuric_acid",
        "high",
    ): "Too much acid: less copper stays dissolved, edges burn sooner, and idle anodes dissolve faster.",
    (
        "chloride",
        "low",
    ): "Too little chloride: brightener and suppressor hardly work; dull, rough or striped deposits follow.",
    ("chloride", "high"): "Too much chloride: a white crust grows on the anodes and the current falls.",
}

SOUND_SAMPLE = (
    "Take a sound sample first. Warm the bath until no crystal is left, stir ten minutes, let it settle half an "
    "hour, and draw from mid-depth through a filter. Until then every reading is false: add no crystals and no acid."
)
CONDITION_MEANS = {
    "crystals": "Crystals on the floor hold copper that your readings do not see.",
    "cloudy": (
        "A cloudy bath weighs and colours more than its clear liquid, and may be short of acid: acid clears hydrolysed "
        "copper."
    ),
    "layers": "Layers of different blue mean that the bath is not mixed: a sample tells of one layer only.",
    "sludge": "Stirred-up sludge makes a hydrometer read high and dissolves in the acid of a titration.",
}

ACID = (
    "Sulfuric acid burns skin and blinds. Wear goggles, gloves and old clothes; keep running water and baking soda "
    "within reach; ventilate."
)
ACID_INTO_WATER = (
    "Pour acid thinly into the water or withdrawn bath of this step while stirring, never water into acid; at most "
    "50 mL for each litre at once; let it cool, then stir it into the tank."
)
PARTS_OUT = "Switch the current off and take parts and anodes out before you correct the bath."
BATTERY_ACID = (
    "Use fresh battery electrolyte or plain technical acid only, never drain cleaner, and never acid out of a used "
    "battery: that carries lead."
)
CRYSTALS = (
    "Dissolve the crystals apart, in warm withdrawn bath or in the water of this plan, before the acid goes in: "
    "acid lowers what dissolves. Copper sulfate is harmful if swallowed and harms eyes: goggles and gloves, no dust."
)
JAR_TEST = line(
    "Jar test: plate the same strip at the same current density in {250 mL} each of fresh bath, of the old bath, and "
    "of half and half (about two hours). Fresh also dull: it is not the bath. Half and half good: replace half. Half "
    "and half dull: half is not enough; treat it once with carbon, and if that does not cure it, remake."
)
NO_FOOD_WARE = "Use no vessel, spoon or scale pan that will ever touch food again."
WASTE = (
    "No bath, rinse or crystals down any drain or onto soil: copper kills life in water. Ask your local authority "
    "where to hand it in."
)
KEEP_WITHDRAWN = (
    "What you take out is stock, not waste: keep it closed and labelled, and use it with the first rinse water for the "
    "next top-up."
)
ALLOW_LOCAL = "Local rules and licensed practice come before this advice."
NO_SODA = "Never lower the acid with baking or washing soda: the sodium stays in the bath."
CHLORIDE_ACID = "Never bring bleach or pool chlorine near acid: it gives off poisonous chlorine."
SALT_SOLUTION = (
    "Dissolve {grams:g g} of table salt without iodine or anti-caking agent in distilled water to 1 "
    "litre: each millilitre of it brings 10 mg of chloride. Measure that with a syringe instead of weighing milligrams."
)
FOREIGN_STOCK = (
    "The sheet says nothing of your {what}: reckoned with {assumed}. Say what is on the label, or the amounts will be "
    "wrong."
)
NO_COPPER_LIME = "A copper-lime spray powder is not copper sulfate: never use it."
EVAPORATION = (
    "Only water was taken to have left. Bath that dripped away with the parts took copper and acid along: each "
    "{tenth} of it leaves the topped-up bath {percent:.1f} % weaker than shown."
)
