"""The words of the trade in plain language, for those who are no chemists.

The sentences are our own. Addition agent and anode film are said after ASTM B374, "Standard Terminology
Relating to Electroplating" (read in part); the rest is common usage, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Word:
    """A word, other words for the same, what it means, and the standard whose definition is paraphrased."""

    word: str
    meaning: str
    also: tuple[str, ...] = ()
    source: str = ""

    def fits(self, wanted: str) -> bool:
        """Tell whether a text, in any case, stands in the word, its other names or its meaning."""
        return wanted.strip().lower() in " ".join((self.word, *self.also, self.meaning)).lower()


GROUPS: dict[str, tuple[Word, ...]] = {
    "What is in the bath": (
        Word(
            "copper sulfate",
            "The blue crystals, CuSO₄·5H₂O. Here every figure for copper is grams of these crystals in a litre; the "
            "copper metal in them is a quarter of that (25.5 %).",
            ("copper salt", "blue vitriol"),
        ),
        Word("anhydrous", "Without the water that crystals hold: a pale powder, half as strong again as the crystals."),
        Word(
            "free acid",
            "The sulfuric acid that is not tied to copper. It carries the current and keeps the copper dissolved.",
            ("sulfuric acid",),
        ),
        Word("chloride", "A trace, counted in milligrams a litre. Brighteners need it; a bath without them may not."),
        Word(
            "additive",
            "An organic substance of which a few milligrams a litre change how the copper grows.",
            ("addition agent",),
            "ASTM B374",
        ),
        Word(
            "suppressor", "The additive that slows plating everywhere; it works together with chloride.", ("carrier",)
        ),
        Word("brightener", "The additive that lets fine, shiny copper grow where it sits.", ("accelerator",)),
        Word("leveller", "The additive that slows plating on peaks, so that scratches fill."),
        Word("wetter", "Something like soap that lets gas bubbles slip off the part.", ("wetting agent", "surfactant")),
        Word(
            "foreign metal", "Zinc, iron or nickel that got in from clips, wire or the part; it upsets the tests too."
        ),
    ),
    "Keeping it": (
        Word(
            "jar test",
            "The same strip plated in fresh bath, in the old bath and in half of each: it tells whether the bath is at "
            "fault.",
        ),
        Word("make-up", "Mixing a bath for the first time."),
        Word("addition", "Putting back what the bath has lost.", ("replenishment",)),
        Word(
            "working window",
            "The range from least to most in which a bath plates as it should. Inside it there is no need to be exact.",
        ),
        Word("drag-out", "The film of bath that leaves on a part; what a wet part brings in is drag-in.", ("drag-in",)),
        Word("decant", "To take part of the bath out and keep it as stock.", ("bail-out",)),
        Word("remake", "To set the whole bath aside and mix a new one."),
        Word(
            "carbon treatment",
            "Stirring in activated carbon and filtering it off: it takes out spent additives, and the good ones too.",
        ),
        Word(
            "dummy",
            "Scrap metal on which you plate for a while at low current, to draw dirt out of the bath.",
            ("dummying",),
        ),
        Word("turnover", "As much bath through a filter as the tank holds."),
        Word("ladder", "A row of small additions to jars of the bath, to see which amount helps."),
        Word(
            "ampere-hour",
            "One ampere for one hour: it plates 1.19 g of copper. Counting them tells how hard a bath worked.",
        ),
    ),
    "Plating": (
        Word("cathode", "Where copper grows: your part."),
        Word(
            "anode", "The copper that dissolves and feeds the bath. An inert anode does not dissolve and feeds nothing."
        ),
        Word(
            "phosphorised copper",
            "Anode copper with a trace of phosphorus: it dissolves evenly and leaves less sludge.",
        ),
        Word(
            "anode film",
            "The layer at an anode: the dark skin on the metal, or the strong solution right beside it.",
            source="ASTM B374",
        ),
        Word(
            "passive anode", "An anode under a crust: the current falls and it no longer feeds.", ("polarised anode",)
        ),
        Word("anode bag", "Cloth round an anode that holds its sludge back.", ("slime", "sludge")),
        Word(
            "Hull cell",
            "A small trough with one slanted side: a panel plated in it shows many current densities side by side.",
        ),
        Word(
            "current density",
            "Amperes for each square decimetre of the part. It decides how fast copper grows, and how well.",
        ),
        Word("limiting current", "The current above which copper cannot arrive fast enough, and the deposit burns."),
        Word("strike", "A first thin layer that holds on well, under the thick one."),
        Word("throw", "How evenly copper reaches recesses as well as edges.", ("throwing power",)),
        Word("cover", "The lowest current at which a place still plates at all.", ("covering power",)),
        Word(
            "edges and recesses",
            "Where the current crowds, and where little of it reaches.",
            ("high and low current density",),
        ),
        Word("thief", "A wire beside an edge that takes some of its current.", ("robber",)),
        Word("shield", "A piece of plastic that keeps current off a place."),
        Word("form", "The thing on which the copper is grown.", ("mandrel",)),
        Word(
            "conductive coat",
            "Paint or powder of carbon or metal that carries the first current on what does not conduct.",
            ("conductive paint",),
        ),
        Word(
            "ohms a square",
            "What a coat resists from edge to edge of any square of it: it tells how far the current reaches.",
            ("sheet resistance",),
        ),
    ),
    "Faults": (
        Word("burning", "Dark, rough or powdery copper where the current is too high, mostly at edges."),
        Word("nodules", "Round grains that grow out of the deposit.", ("nodulation",)),
        Word("treeing", "Branches that grow from edges towards the anode."),
        Word("pitting", "Small holes where a bubble or a speck sat."),
        Word("haze", "A veil on a deposit that should shine."),
        Word("adhesion", "How well the copper holds on to what is under it."),
    ),
    "Measuring": (
        Word(
            "titration", "Running a solution of known strength into a sample until something shows that it is enough."
        ),
        Word("titrant", "The solution of known strength that you run in.", ("standard solution",)),
        Word("titre", "How strong the titrant really is, as a factor on what the label says.", ("factor",)),
        Word("indicator", "A dye that changes colour at the end."),
        Word("end point", "The moment at which you stop and read how much was used."),
        Word(
            "standardise",
            "To find out how strong a titrant really is, by running it into something weighed that takes a known "
            "amount of it.",
        ),
        Word("buffer", "A bottled liquid of known pH, in which a pH meter is set.", ("calibration solution",)),
        Word("murexide", "The indicator that turns from yellow-green to violet once EDTA has taken all the copper."),
        Word("blank", "The same test without bath: what it uses is taken off."),
        Word("aliquot", "A measured part of a solution. Here: the sample.", ("sample",)),
        Word("pH", "How acid a solution is: 7 is neutral, and each step below is ten times more acid."),
        Word(
            "conductivity",
            "How well a liquid carries current, in µS/cm. Thinned bath carries it almost by its acid alone.",
            ("µS/cm", "mS/cm"),
        ),
        Word(
            "temperature compensation",
            "What a pen does to tell the conductivity at 25 °C in a liquid that is colder or warmer.",
            ("ATC",),
        ),
        Word(
            "TDS",
            "Dissolved solids in ppm: not measured by a pen, but its conductivity times a factor, 0.5, 0.64 or 0.7.",
            ("ppm pen",),
        ),
        Word("hydrometer", "A float that sinks deeper in a lighter liquid.", ("areometer",)),
        Word(
            "specific gravity",
            "How many times as heavy as water a liquid is. Baumé and Twaddell are other scales for it.",
            ("SG", "Baumé", "Twaddell"),
        ),
        Word(
            "±",
            "How far off a value may well be: the true one lies within it nineteen times in twenty (95 %). It means "
            "the same where it is shown and where you type it.",
        ),
        Word("not settled", "The readings leave it open on which side of a limit the bath is: another one would tell."),
    ),
}
