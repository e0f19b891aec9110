"""What is to be plated: whether its material may go in, how it is prepared, and how its coat starts.

What materials do in the bath stands in the table `materials`, how a coat carries in `coat`; current and time to a
thickness are those of the plating run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from advisor.basis import tables
from advisor.basis.fields import InputError
from advisor.check.assessment import assess
from advisor.questions.coat import TOLERATED, USUAL, Start, sheet_resistance, start
from advisor.questions.limit import ANY_PART, current_densities, gentle_start
from advisor.questions.plating import PlatingRun, plate_without_clash
from advisor.sheet import Part, Sheet
from advisor.words.cautions import Act, cautions, take_care
from advisor.words.lines import Amount, Line, capital, line
from advisor.words.sections import Section
from advisor.words.time_and_current import amperes, hours

USUAL_REACH = 5.0  # cm (judgement)
# L a dm2 and coat: a tin promises 10 m2 a litre on smooth board, and half of it goes into pores, brush and cup; thin
# paint goes twice as far as that (judgement).
VARNISH, PAINT = 0.002, 0.001
PAINT_COATS = 2  # as `_prepare_lines` says (common practice, no source)
SLOW = 6.0  # h of a front from which a better coat is worth the while (judgement)

ACTS = (
    Act.VARNISH_AND_PAINT,
    Act.CONNECTING_A_PART,
    Act.REACHING_IN,
    Act.PLATING_CURRENT,
    Act.SHORT_CIRCUIT,
    Act.GAS_AT_THE_ELECTRODES,
    Act.HANDLING_BATH,
    Act.RINSING_A_PART,
)
# What each line on the first minutes is for the hands.
ACTS_AT_FIRST = (
    (Act.CONNECTING_A_PART, Act.SHORT_CIRCUIT),
    (Act.PLATING_CURRENT, Act.GAS_AT_THE_ELECTRODES),
    (),
    (Act.REACHING_IN, Act.HANDLING_BATH, Act.RINSING_A_PART),
    (),
)
NO_SEAL = ("stainless steel", "nickel plated")  # varnish is no use there: the metal itself is to be plated (judgement)
CONDUCTORS = ("copper or brass", "silver", *NO_SEAL)  # that need no coat to take copper (textbook chemistry)
MAY = {
    "as it is": "may go in as it is",
    "sealed": "goes in only sealed in every pore",
    "with a barrier": "goes in only under a tight barrier",
    "never": "never goes in",
}


@dataclass(frozen=True)
class Material:
    """A material by its row in the table: what the bath does to it, whether it may go in, why, how to prepare it."""

    name: str
    in_bath: str
    may: str
    why: str
    prepare: str
    source: str

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Material:
        """Return the material of a row of the table."""
        return cls(row["material"], row["in_bath"], row["may"], row["why"], row["prepare"], row["source"])

    @property
    def said(self) -> Line:
        """Say whether it may go in and why."""
        return capital(line(f"{self.name}: {MAY[self.may]}. {self.why}"))


@dataclass(frozen=True)
class Preparation:
    """How a part is prepared and started. run: the plating run, None where the sheet names none; gentle: A/dm2."""

    part: Part
    materials: tuple[Material, ...]
    gentle: float  # as the plating run starts
    start: Start | None
    measured: bool  # whether the coat was measured; else what is usual for it
    run: PlatingRun | None
    warnings: tuple[str, ...]

    TITLE: ClassVar[str] = "Preparing a part"

    @property
    def may_go_in(self) -> bool:
        """Tell whether everything that it is made of may go in as it stands."""
        return not any(self.stopped_by(material) for material in self.materials)

    def stopped_by(self, material: Material) -> bool:
        """Tell whether a material keeps the part from going in as it is. A seal is a barrier to most."""
        a_seal_will_do = material.may in ("sealed", "with a barrier") and material.name not in NO_SEAL
        return material.may != "as it is" and not (a_seal_will_do and self.part.sealed)

    @property
    def never(self) -> bool:
        """Tell whether some of it may not go in whatever is done."""
        return any(material.may == "never" for material in self.materials)

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do."""
        bad = any(material.may in ("never", "with a barrier") for material in self.materials)
        return (Act.UNSUITABLE_MATERIAL, *ACTS) if bad else ACTS

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        begun = self.start
        return {
            "may_go_in": self.may_go_in if self.materials else None,
            "materials": [
                {"material": found.name, "in_bath": found.in_bath, "may": found.may, "source": found.source}
                for found in self.materials
            ],
            "coat": begun
            and {
                "is": "measured" if self.measured else "usual",
                "sheet_resistance_ohm": begun.sheet,
                "farthest_cm": begun.length,
                "start_A_dm2": begun.density,
                "start_all_at_once_A_dm2": begun.all_at_once,
                "reach_cm": begun.reach,
                "front_h": begun.front,
                "wires_for_all_at_once": begun.wires,
            },
            "run": self.run and self.run.to_dict()["plan"],
            "thickness_um": self.run and 1000 * self.run.thickness,
            "time_in_all_h": self.run and self.run.time_in_all + (begun.front if begun and not begun.at_once else 0.0),
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the answer for a reader: may it go in, its coat, preparing, the first minutes, the run, cautions."""
        blocks = (
            Section("May it go in?", tuple(found.said for found in self.materials)),
            Section("What you should know", self.warnings),
            Section("What your coat lets start", self._coat_lines()),
            Section(
                "How to prepare it",
                self._prepare_lines(),
                numbered=True,
                beside=(cautions([Act.VARNISH_AND_PAINT]),),  # once, before the first bottle is opened
            ),
            Section(
                "What to do in the first minutes",
                self._first_lines(),
                numbered=True,
                beside=tuple(map(cautions, ACTS_AT_FIRST)),
            ),
            Section("Time plan", self._run_lines()),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _coat_lines(self) -> tuple[str, ...]:
        begun = self.start
        if begun is None or self.never:
            return ()
        sheet = line(
            "{whose} {sheet} a square: a square of it, large or small, resists as much from edge to edge",
            whose="Your coat has" if self.measured else "A usual coat of this kind has about",
            sheet=Amount(begun.sheet, "Ω", digits=2),
        )
        starts = line(
            "All of it starts at once: even at {density}{on_it} the farthest place, {length} off, would lack no more "
            "than {low:g} to {high:g} V (judgement)"
            if begun.at_once
            else "All of it plates from the first minute at {density}{on_it}, where {length} of coat take {low:g} to "
            "{high:g} V of the potential (judgement)",
            density=_density(begun.all_at_once),
            on_it=self._on_it(begun.all_at_once),
            length=Amount(begun.length, "cm", digits=2),
            low=TOLERATED[0],
            high=TOLERATED[1],
        )
        return (sheet, starts) if begun.at_once else (sheet, starts, *self._front_lines(begun))

    def _front_lines(self, begun: Start) -> tuple[str, ...]:
        """Say how copper spreads over a coat that does not start at once, and what would help."""
        everywhere = "To start everywhere at once it takes another coat, or a better one; more wires will not do"
        if not begun.too_poor:
            wires = "To start everywhere at once: {wires} wires evenly spread, or another coat"
            everywhere = line(wires, wires=begun.wires)
        return (
            line(
                "At a gentle {density} it starts within {reach} of the wire{current}. Copper closes there and carries "
                "on: the front needs about {front} to the farthest place",
                density=_density(begun.density),
                current=self._first_ring(begun),
                reach=Amount(begun.reach, "cm", digits=2),
                front=hours(begun.front),
            ),
            everywhere,
            "A wire that touches at one point does worse, since all current squeezes through there: wind it round, or "
            "paint a bare strip of better coat under it",
        )

    def _on_it(self, density: float) -> str:
        """Say what current a current density [A/dm2] is on the whole part; empty where nobody said how large it is."""
        return f" ({self.run.amperes(density * self.run.area)} on this part)" if self.run else ""

    def _first_ring(self, begun: Start) -> str:
        """Say what current the coat within reach takes at first; empty where nobody said how wide it is."""
        if self.part.width is None:
            return ""
        ring = begun.reach * self.part.width.value / 10.0 / 100.0  # [dm2]
        return f", with about {amperes(begun.density * ring, digits=2)} for each side"

    def _prepare_lines(self) -> tuple[str, ...]:
        own = [capital(line(f"{found.name}: {found.prepare}")) for found in self.materials]
        bare = self.part.coat == "bare metal" or self.never
        coat = [
            "Test the seal: weigh it, leave it a night in water with a little vinegar, dry it and weigh it again. "
            "Bubbles or a gain in weight show a hole.",
            "Wire first: round a place that will not show, glued or bound so that it cannot turn. Coat over the wire's "
            "last turns, so that paint and wire are one.",
            "Two thin coats are better than a thick one. Let each dry through; rub a black coat with a soft brush "
            "until it shines.",
            "Measure with the meter from the wire to the farthest place, and once between two places a few centimetres "
            "apart where you know the width. That tells how far the current reaches.",
            "Cover what shall stay bare with varnish or wax, the wire too where it dips in.",
        ]
        return (*own, *([] if bare else coat))

    def _first_lines(self) -> tuple[str, ...]:
        if self.never:
            return ()
        begun = self.start
        front = begun is not None and not begun.at_once
        return (
            "Connect part and anodes, switch on, then immerse.",
            line(
                "Hold {current} of the area that takes part{only}.",
                current=_density(self.gentle),
                only=": first only the ring around the wire, then more as it turns pink; raise the amperes with it"
                if front
                else "",
            ),
            "Look after five minutes, by the dry wire: pink all round the contact is right. Dark and powdery: halve "
            "the current. Nothing: the contact or the coat does not carry.",
            "Where a spot stays bare after all around it is pink, take the part out, rinse, dry, touch it up with "
            "coat, and go on.",
            "When all is pink, go up to the full current in two or three steps.",
        )

    def _run_lines(self) -> tuple[str, ...]:
        run = self.run
        if run is None or self.never:
            return ()
        front = self.start.front if self.start and not self.start.at_once else 0.0
        return (
            line(
                "{thickness} of copper: {current} for {hours}, {in_all} in all with the gentle start{front}",
                thickness=Amount(1000 * run.thickness, "µm"),
                current=amperes(run.current),
                hours=hours(run.time),
                in_all=hours(run.time_in_all + front),
                front=" and the front" if front else "",
            ),
            line(
                "Copper: {copper}; edges get two to three times the average", copper=Amount(run.copper, "g", digits=3)
            ),
        )


def prepare(sheet: Sheet) -> Preparation:
    """Return how the part of a sheet's table `[part]` is prepared; raises InputError where there is none."""
    if sheet.part is None:
        raise InputError.missing("part: made_of", 'say what it is made of, such as made_of = ["leaf or flower"]')
    part = sheet.part
    materials = tuple(Material.of(row) for row in tables.rows("materials") if row["material"] in part.made_of)
    run = _run(sheet)
    gentle = run.start[0] / run.area if run else _gentle(sheet)
    begun = _start(part, gentle)
    found = Preparation(part, materials, gentle, begun, part.resistance is not None, run, ())
    return replace(found, warnings=tuple(_warnings(sheet, found)))


def never_in(part: Part) -> tuple[str, ...]:
    """Return the materials of a part that may not go in whatever is done."""
    return tuple(
        row["material"] for row in tables.rows("materials") if row["may"] == "never" and row["material"] in part.made_of
    )


def sealed_for(part: Part) -> tuple[str, ...]:
    """Return the materials for whose sake a part is still to be varnished; none of a part that may never go in."""
    asked = [row["material"] for row in tables.rows("materials") if int(row["coats"])]
    return () if part.sealed or never_in(part) else tuple(name for name in asked if name in part.made_of)


def is_to_be_painted(part: Part) -> bool:
    """Tell whether a part still takes conductive paint: it may go in, has no coat, and something does not conduct."""
    return part.coat is None and bool(set(part.made_of) - set(CONDUCTORS)) and not never_in(part)


def coating(part: Part, area: float) -> tuple[float, float]:
    """Return the varnish and the conductive paint [L] that such a part of an area [dm2] still takes."""
    names = sealed_for(part)
    coats = max((int(row["coats"]) for row in tables.rows("materials") if row["material"] in names), default=0)
    return VARNISH * area * coats, PAINT * area * PAINT_COATS * is_to_be_painted(part)


def _run(sheet: Sheet) -> PlatingRun | None:
    wanted = sheet.plate
    return plate_without_clash(sheet) if wanted and (wanted.thickness or wanted.time or wanted.current) else None


def _gentle(sheet: Sheet) -> float:
    """Return the current density [A/dm2] at which any run in this bath starts that is left to choose its current."""
    return gentle_start(current_densities(sheet, assess(sheet), sheet.plate or ANY_PART)[1])


def _start(part: Part, gentle: float) -> Start | None:
    """Return how the coat starts: by the meter, else by what is usual for its kind; None for bare metal.

    gentle: the current density to start at [A/dm2].
    """
    if part.coat == "bare metal":
        return None
    if part.resistance and part.apart and part.width:
        sheet = sheet_resistance(part.resistance.value, part.apart.value, part.width.value)
    elif part.coat:
        low, high = USUAL[part.coat]
        sheet = (low * high) ** 0.5
    else:
        return None
    length = part.reach.value / 10.0 if part.reach else USUAL_REACH
    return start(sheet, length, gentle, int(part.wires))


def _warnings(sheet: Sheet, found: Preparation) -> list[str]:
    said = [*_about_materials(found), *_about_coat(found)]
    if sheet.bath.condition:
        said.append(f"The bath shows {', '.join(sheet.bath.condition)}: put that right before you plate.")
    return said


def _about_materials(found: Preparation) -> list[str]:
    if not found.materials:
        return ["Say what it is made of, glue and wire too: some of it may fizz, dissolve or leach in the bath."]
    said = [
        f"{'Do not hang it in' if material.may == 'never' else 'Not yet'}: {material.name} {MAY[material.may]}."
        for material in found.materials
        if found.stopped_by(material)
    ]
    if "polystyrene foam" in found.part.made_of and found.part.coat in ("silver", "nickel", "copper"):
        said.append("Paints with solvent melt foam: seal it with a water-based varnish first.")
    return said


def _about_coat(found: Preparation) -> list[str]:
    begun, said = found.start, []
    if begun is None:
        asked = "Say what coat it has, or better what a meter shows on it, and you are told what current it lets start."
        return [asked] if found.part.coat is None else []
    if not found.measured:
        said.append("The coat is not measured: coats of one kind differ tenfold and more.")
    if found.part.reach is None:
        said.append(line("You did not say how far the farthest place is from the wire: {5 cm} is assumed."))
    if not begun.at_once and begun.front > SLOW:
        said.append("The front takes longer than half a day's work: another coat or more wires are worth it.")
    return said


def _density(density: float) -> Amount:
    return Amount(density, "A/dm²", digits=2)
