"""The bench sheet: the question put to the advisor, as a TOML file or as the fields of a page.

Every table is a frozen dataclass of fields (`advisor.basis.fields`), so that reader, writer and pages share one
description. A sheet is validated once, here; all that comes after works with plain floats. `read_sheet` and
`write_sheet` are inverse to each other. No chemistry is computed here.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, ClassVar

from advisor.basis.fields import (
    ChoicesField,
    DateField,
    Fault,
    Field,
    FlagField,
    InputError,
    NumberField,
    PairField,
    PriceField,
    QuantityField,
    SheetError,
    TableBase,
    choice,
    define,
    fields_of,
    nearest,
    quantity,
    read_table,
    show,
    text,
    write_table,
)
from advisor.basis.toml import read_toml
from advisor.basis.units import HOURS_PER_MONTH, Measured
from advisor.measure.hull_cell import CELLS, FARTHEST_CM, NEAREST_CM, Panel, read_panel
from advisor.readings import KINDS, Reading
from advisor.readings.model import Surroundings
from advisor.readings.origin import with_origin
from advisor.readings.tools import LEVEL_READING
from advisor.solution.ranges import HIGHEST_CHLORIDE, HIGHEST_COPPER_SULFATE, HIGHEST_SULFURIC_ACID, OutOfRange
from advisor.solution.soda import SODAS, Left, left_by_soda
from advisor.solution.stock import (
    CHLORIDE_PER_GRAM,
    COPPER_CONTENTS,
    CRYSTAL_FORMS,
    STRONGEST_GRADED_ACID,
    STRONGEST_HYDROCHLORIC_ACID,
    AcidStock,
    AcidTooStrongToGrade,
)
from advisor.solution.transport import DIFFUSION_LAYER
from advisor.words.lines import line

LONGEST_NAME = 80  # characters of a bath's name (judgement)
HIGHEST_PRICE = 1e6  # in any currency (judgement)
PER_POUND = "In any currency. It may be for another amount: 4 per lb, 12 for 500 g."
PER_GALLON = "In any currency. It may be for another amount: 15 per gal, 9 for 500 mL."
LARGEST_FILE = 1_000_000  # bytes: a bench sheet is a page or two of text (judgement)
# Above the level of now that a tank is taken to hold, and above the usual one that a plan may end: parts displace bath
# (judgement).
USUAL_ROOM, ROOM = 0.1, 0.03
ROUNDED = 1e-5  # by how much a number in a message may be off (computed: it has six figures)
LABELS_APART = 0.02  # mass fraction by which two labels of one acid may differ (judgement: what rounding leaves)

STAND_IN = "10 L"  # the volume with which a question that needs none is answered; nothing of it is shown

LYE_REFUSED = (
    "lye in a bath of 200 g/L crystals and 60 g/L acid gives off about 240 kJ a litre, heats it by about 60 °C and "
    "makes it spatter"
)
CONDITIONS = ("crystals", "cloudy", "layers", "sludge")
WINDOW_NAMES = ("standard", "electroforming", "high throw", "low acid")
TOUCHED = ("steel", "galvanised steel", "zinc", "brass", "aluminium", "nickel", "lead", "solder", "nothing")
WATERS = ("nothing", "distilled water", "tap water", "rain water")
ANODES = ("copper", "phosphorised copper", "inert")
STIRRING = tuple(DIFFUSION_LAYER)
IRON_FORMS = ("iron(II)", "iron(III)")
GEAR = (
    "1 g scale",
    "0.1 g scale",
    "0.01 g scale",
    "hydrometer",
    "10 mL syringe",
    "50 mL burette",
    "baking soda",
    "washing soda",
    "lye",
    "methyl orange",
    "pH meter",
    "conductivity pen",
    "EDTA",
    "thiosulfate",
    "jars",
    "camera",
    "inert anode",
    "zinc strip",
    "chloride strips",
    "silver nitrate",
    "laboratory",
)
LOOKS = (
    "burnt edges",
    "nodules",
    "rough",
    "pits",
    "streaks",
    "dull",
    "brittle",
    "thin recesses",
    "peeling",
    "black anode sludge",
    "white anode crust",
    "blue crystals",
    "current falls",
    "slow build",
    "copper powder",
    "matte salmon",
    "green tint",
    "cloudy bath",
    "foam",
    "one side thick",
    "fizzing part",
)
PLACES = ("all over", "edges", "recesses", "upward faces", "one side")  # of a deposit
SINCE = ("sudden", "gradual", "always")  # how a fault of a deposit came
ANODE_LOOKS = ("thin dark film", "bare copper", "loose sludge", "white crust", "blue crystals")
JAR_TESTS = ("good", "dull", "not done")
TREATMENTS = ("carbon", "filtering", "dummying", "less chloride", "warming", "crystals")
COATS = ("graphite", "nickel", "copper", "silver", "bare metal")  # what carries the first current
MATERIALS = (
    "leaf or flower",
    "wood or bark",
    "paper or card",
    "feather",
    "bone or antler",
    "shell or coral",
    "eggshell",
    "marble or limestone",
    "plaster",
    "quartz or glass",
    "fired clay",
    "PLA print",
    "ABS or ASA print",
    "resin print",
    "nylon",
    "polystyrene foam",
    "wax",
    "silicone",
    "polymer clay",
    "copper or brass",
    "silver",
    "stainless steel",
    "iron or steel",
    "zinc or galvanised",
    "aluminium",
    "tin, lead or solder",
    "nickel plated",
)
SUPPLIES = (
    "copper sulfate crystals",
    "sulfuric acid",
    "distilled water",
    "additive",
    "activated carbon",
    "baking soda",
    "methyl orange",
    "varnish",
    "conductive paint",
)
LONGEST_SHELF = 200  # packs of a price list (judgement)
MOST_READINGS, MOST_CURVES = 60, 6  # of a check: with more of them it would take too long (judgement)


@dataclass(frozen=True)
class Bath(TableBase):
    """What stands in the tank, and what is known of it without measuring."""

    volume: Measured = quantity(
        "volume",
        "Bath in the tank now",
        "How much bath there is, read off the level mark.",
        required=True,
        low=0.01,
        high=10_000.0,
    )
    name: str = text("Name of the bath", "So that the record finds it again.", default="", longest=LONGEST_NAME)
    date: datetime.date | None = define(DateField(label="Date", help="The day of these readings."))
    temperature: Measured = quantity(
        "temperature", "Temperature of the bath", "Now, while you measure.", default="20 degC", low=0.0, high=60.0
    )
    coldest: Measured = quantity(
        "temperature",
        "Coldest it will stand",
        "The coldest night in your shed or kitchen: crystals form in the cold.",
        default="15 degC",
        low=0.0,
        high=60.0,
    )
    usual_volume: Measured | None = quantity(
        "volume", "Usual level", "The level you keep the tank at; empty: the level now.", above=True, high=10_000.0
    )
    max_volume: Measured | None = quantity(
        "volume",
        "Most the tank holds",
        "Empty: a tenth more than now, or the usual level and 3 %, whichever is more.",
        above=True,
        high=20_000.0,
    )
    min_volume: Measured | None = quantity(
        "volume", "Least that covers the work", "Empty: a tenth less than now.", above=True, high=10_000.0
    )
    condition: tuple[str, ...] = define(
        ChoicesField(
            label="What you see in the tank",
            choices=CONDITIONS,
            help="Crystals on the floor, a cloudy bath, layers of different blue, stirred-up sludge: tick any.",
        )
    )
    additives: bool | None = define(
        FlagField(
            label="Brightener or other additives", help="Whether any was ever added; leave it open if you do not know."
        )
    )
    age: Measured = quantity(
        "time", "Age of the bath", "Since it was mixed.", default="12 months", high=876_600.0, unit="year"
    )
    throughput: Measured | None = quantity(
        "charge", "Plated so far", "Ampere-hours through the bath, if you kept count."
    )
    soda_added: Measured | None = quantity(
        "mass",
        "Soda ever added",
        "To lower the acid: its sodium stays and reads as copper. 0 g if none ever did.",
        high=1e6,
        unit="g",
    )
    soda: str = choice("Which soda", SODAS, "What it says on the packet.", default="sodium bicarbonate")
    touched: tuple[str, ...] = define(
        ChoicesField(
            label="What has ever touched the bath",
            choices=TOUCHED,
            help="A clip, a wire, a part: metal that dissolved reads as copper. Tick nothing if nothing did.",
            alone="nothing",
        )
    )
    topped_up_with: str | None = choice(
        "Topped up with", WATERS, "What you add when water has evaporated: tap water leaves its salts behind."
    )
    anodes: str | None = choice("Anodes", ANODES, "What hangs opposite the part.")
    iron: Measured | None = quantity("concentration", "Iron", "If you know that some got in.", high=50.0)
    zinc: Measured | None = quantity("concentration", "Zinc", "If you know that some got in.", high=50.0)
    iron_form: str | None = choice(
        "Form of the iron", IRON_FORMS, "With copper anodes it is iron(II); leave it open if you do not know."
    )
    nickel: Measured | None = quantity("concentration", "Nickel", "If you know that some got in.", high=50.0)

    def check(self, place: str) -> None:
        """Refuse a tank whose least level is above its most."""
        if self.max_volume and self.most_L < 0.9 * (1 - ROUNDED) * self.volume.value:
            accepted = line(
                "it must not be less than {least:.6g L}, nine tenths of the {now:.6g L} in it now",
                least=0.9 * self.volume.value,
                now=self.volume.value,
            )
            raise InputError(f"{place}: max_volume", show(self.max_volume.text), accepted, Fault.CONFLICT)
        if self.min_volume and self.least_L > self.most_L:
            raise InputError(
                f"{place}: min_volume",
                show(self.min_volume.text),
                line("it must not be more than the most the tank holds, {most:.6g L}", most=self.most_L),
                Fault.CONFLICT,
            )

    @property
    def usual_L(self) -> float:
        """The level the person keeps [L]."""
        return (self.usual_volume or self.volume).value

    @property
    def most_L(self) -> float:
        """The most that the tank may hold after a correction [L]: of a range that was told, the end that is safe."""
        if self.max_volume:
            return self.max_volume.least
        return max((1 + USUAL_ROOM) * self.volume.value, (1 + ROOM) * self.usual_L)

    @property
    def volume_known(self) -> bool:
        """Tell whether the volume was given, or only stands in because the question needs none."""
        return bool(self.volume.text)

    @property
    def least_L(self) -> float:
        """The least that must be in the tank after a correction [L]."""
        return self.min_volume.most if self.min_volume else 0.9 * self.volume.value

    @property
    def coldest_degC(self) -> float:
        """The coldest that the bath will stand [degC], as told or usual; what it was measured at, if that is colder."""
        coldest = max(self.coldest.least, 0.0)
        if self.was_given("coldest") and not self.was_given("temperature"):
            return coldest
        return min(coldest, self.temperature.value)

    @property
    def months(self) -> float:
        """Age of the bath [months]."""
        return self.age.value / HOURS_PER_MONTH

    def left_by_soda(self) -> Left | None:
        """Return what soda has left in the bath, None where nobody said whether any ever went in."""
        if self.soda_added is None or not (self.volume_known or self.usual_volume):
            return None
        grams, spread = self.soda_added.value, self.soda_added.standard_uncertainty
        relative = spread / grams if spread and grams > 0 else None
        return left_by_soda(grams, relative, self.soda, self.usual_L)

    def surroundings(self) -> Surroundings:
        """Return what the readings need to know of the bath."""
        soda = self.left_by_soda()
        return Surroundings(
            temperature=self.temperature.value,
            volume_L=self.volume.value,
            volume_standard_uncertainty=self.volume.uncertainty_or(LEVEL_READING * self.volume.value),
            additives=self.additives,
            acid_used_by_soda=(soda.acid_used, soda.acid_used * soda.relative_uncertainty) if soda else (0.0, 0.0),
        )


def _limits(label: str, kind: str, high: float, example: str) -> Any:
    each = QuantityField(quantity=kind, label=label, high=high)
    return define(PairField(each=each, label=label, help=f"Lower and upper limit, e.g. {example}"))


@dataclass(frozen=True)
class Window(TableBase):
    """The working window: a published one by name, limits of one's own, or both (own limits win)."""

    name: str = choice(
        "Working window",
        WINDOW_NAMES,
        "The kind of bath you want to keep. Standard and high throw stand in print; electroforming (ASTM B832) is from "
        "memory, low acid is judgement.",
        default="standard",
    )
    copper_sulfate: tuple[Measured, Measured] | None = _limits(
        "Copper sulfate from, to", "concentration", HIGHEST_COPPER_SULFATE, '["195 g/L", "248 g/L"]'
    )
    sulfuric_acid: tuple[Measured, Measured] | None = _limits(
        "Sulfuric acid from, to", "concentration", HIGHEST_SULFURIC_ACID, '["30 g/L", "75 g/L"]'
    )
    chloride: tuple[Measured, Measured] | None = _limits(
        "Chloride from, to", "content", HIGHEST_CHLORIDE, '["50 mg/L", "120 mg/L"]'
    )


@dataclass(frozen=True)
class CrystalStock(TableBase):
    """Copper sulfate on hand."""

    purity: Measured = quantity(
        "fraction", "Purity", "From the label. If it says nothing: 99 %.", default="99 %", low=0.5, high=1.0
    )
    form: str = choice(
        "Form",
        CRYSTAL_FORMS,
        "Blue crystals are the pentahydrate; a pale grey powder is anhydrous.",
        default="pentahydrate",
    )
    copper_content: Measured | None = quantity(
        "fraction",
        "Copper on the label",
        "If the label gives copper and no purity: 25 % is the pentahydrate.",
        low=COPPER_CONTENTS[0],
        high=COPPER_CONTENTS[1],
    )
    on_hand: Measured | None = quantity("mass", "On hand", "How much you have; empty: enough.", unit="g")
    price: float | None = define(PriceField(label="Price", help=PER_POUND, high=HIGHEST_PRICE, each="kg"))


@dataclass(frozen=True)
class Acid(TableBase):
    """Sulfuric acid on hand."""

    strength: Measured | None = quantity(
        "fraction", "Strength", "By mass, from the label: battery acid is about 37 %.", low=0.01, high=1.0
    )
    density: Measured | None = quantity(
        "density", "Density", "Of the acid, if the label gives that and no strength.", low=1.0, high=1.85
    )
    on_hand: Measured | None = quantity(
        "volume", "On hand", "How much you have; empty: enough.", unit="mL", us_unit="fl oz"
    )
    price: float | None = define(PriceField(label="Price", help=PER_GALLON, high=HIGHEST_PRICE, each="L"))

    def check(self, place: str) -> None:
        """Refuse a density that does not tell the strength, and one that tells another strength than the label."""
        if not self.density:
            return
        try:
            graded = AcidStock.from_density(self.density.value).strength
        except (AcidTooStrongToGrade, OutOfRange) as error:
            if not self.strength:
                raise InputError(f"{place}: density", show(self.density.text), str(error)) from error
            graded = max(self.strength.value, STRONGEST_GRADED_ACID)  # so dense an acid is at least that strong
        if self.strength and abs(graded - self.strength.value) > LABELS_APART:
            raise InputError(
                f"{place}: density",
                f"{show(self.density.text)}, which is acid of {100 * graded:.0f} %, beside {self.strength.text}",
                "the two labels must not be more than 2 % apart: give the one that is right",
                Fault.CONFLICT,
            )


@dataclass(frozen=True)
class Water(TableBase):
    """Water for topping up; distilled unless said otherwise."""

    chloride: Measured = quantity("content", "Chloride in the water", "0 for distilled.", default="0 mg/L", high=1000.0)
    alkalinity: Measured = quantity(
        "content", "Alkalinity of the water", "As calcium carbonate; 0 for distilled.", default="0 mg/L", high=1000.0
    )


def strength_of_hydrochloric_acid() -> Any:
    """Define the field of how strong a hydrochloric acid is; the logbook has it too."""
    return quantity(
        "fraction",
        "Strength",
        "Of hydrochloric acid, by mass.",
        default="31 %",
        above=True,
        high=STRONGEST_HYDROCHLORIC_ACID,
    )


@dataclass(frozen=True)
class ChlorideSource(TableBase):
    """What chloride is added with."""

    kind: str = choice("Chloride from", tuple(CHLORIDE_PER_GRAM), default="sodium chloride")
    strength: Measured = strength_of_hydrochloric_acid()


@dataclass(frozen=True)
class StockTables:
    """What is on hand; None where the sheet says nothing."""

    crystals: CrystalStock | None = None
    acid: Acid | None = None
    water: Water | None = None
    chloride: ChlorideSource | None = None


@dataclass(frozen=True)
class Aim(TableBase):
    """Where in the window the correction should end."""

    aim: str = choice(
        "Aim",
        ("middle", "least"),
        "The middle of the window lasts longest; the least that will do is cheapest today.",
        default="middle",
    )
    copper_sulfate: Measured | None = quantity(
        "concentration", "Copper sulfate wanted", "A point of your own.", high=HIGHEST_COPPER_SULFATE
    )
    sulfuric_acid: Measured | None = quantity(
        "concentration", "Sulfuric acid wanted", "A point of your own.", high=HIGHEST_SULFURIC_ACID
    )


@dataclass(frozen=True)
class Gear(TableBase):
    """What the person owns."""

    have: tuple[str, ...] = define(
        ChoicesField(label="What you have to hand", choices=GEAR, open_ended=True, help="Tick all that you could use.")
    )


@dataclass(frozen=True)
class Mix(TableBase):
    """A bath to be mixed, or a recipe to be judged."""

    volume: Measured | None = quantity("volume", "Bath wanted", "How much you want to mix.", above=True, high=10_000.0)
    copper_sulfate: Measured | None = quantity(
        "concentration", "Copper sulfate wanted", "Empty: the middle of the window.", high=HIGHEST_COPPER_SULFATE
    )
    sulfuric_acid: Measured | None = quantity(
        "concentration", "Sulfuric acid wanted", "Empty: the middle of the window.", high=HIGHEST_SULFURIC_ACID
    )
    crystals: Measured | None = quantity("mass", "Crystals in the recipe", unit="g", high=1e6)
    acid: Measured | None = quantity("volume", "Acid in the recipe", unit="mL", us_unit="fl oz", high=10_000.0)
    water: Measured | None = quantity("volume", "Water in the recipe", above=True, high=10_000.0)
    suppressor: Measured | None = quantity("mass", "Polyether powder", "If the recipe has some.", unit="g", high=1e5)


@dataclass(frozen=True)
class Plate(TableBase):
    """A plating run."""

    area: Measured = quantity(
        "area", "Area of the part", "All of it, back and edges too.", required=True, above=True, high=1e5, unit="cm^2"
    )
    thickness: Measured | None = quantity("length", "Copper wanted", "How thick.", above=True, high=50.0, unit="um")
    time: Measured | None = quantity(
        "time", "Time", "If you want to know what a time gives.", above=True, high=10_000.0
    )
    stirring: str = choice("Stirring", STIRRING, "How the bath moves past the part.", default="still")
    height: Measured | None = quantity(
        "length",
        "Height of the part in the bath",
        "From its lowest to its highest point as it hangs: in a still bath a low part stands more current.",
        above=True,
        high=2000.0,
        unit="cm",
    )
    anode_area: Measured | None = quantity(
        "area", "Anode area", "The side or sides facing the part.", above=True, high=1e5, unit="cm^2"
    )
    current: Measured | None = quantity(
        "current", "Current", "Empty: the tool recommends one.", above=True, high=10_000.0
    )


def _distance(label: str, help: str) -> Any:
    return quantity("length", label, help, low=10 * NEAREST_CM, high=10 * FARTHEST_CM, unit="cm")


@dataclass(frozen=True)
class HullCell(TableBase):
    """A panel plated in a Hull cell, and how far what was seen on it."""

    cell: str = choice(
        "Cell", tuple(CELLS), "Filled to its mark: 267 mL is the trade's, 250 mL that of DIN 50957.", default="267 mL"
    )
    current: Measured = quantity(
        "current", "Current", "For five to ten minutes; 1 A is usual.", required=True, above=True, high=20.0, unit="A"
    )
    burnt_to: Measured | None = _distance("Burnt up to", "From the near end, beside the anode. Empty: nothing burnt.")
    bright_to: Measured | None = _distance("Bright up to", "Where it turns dull. Empty: nothing bright, or all.")
    bare_from: Measured | None = _distance("Bare from", "Where no copper grows any more. Empty: copper all along.")
    stirring: str = choice("Stirring", STIRRING, "In the cell.", default="still")

    EDGES: ClassVar[tuple[str, ...]] = ("burnt_to", "bright_to", "bare_from")  # from the near end on

    def check(self, place: str) -> None:
        """Refuse edges that stand in the wrong order."""
        seen = [(name, edge) for name in self.EDGES if (edge := getattr(self, name))]
        for (before, first), (name, second) in pairwise(seen):
            if second.value <= first.value:
                accepted = f"it must be farther than {before}, {first.text}"
                raise InputError(f"{place}: {name}", show(second.text), accepted, Fault.CONFLICT)

    def panel(self) -> Panel:
        """Return what the panel shows, as current densities."""
        edges = (getattr(self, name) for name in self.EDGES)
        return read_panel(self.current.value, self.cell, *(edge.value / 10 if edge else None for edge in edges))


@dataclass(frozen=True)
class Deposit(TableBase):
    """What the deposit looks like."""

    looks: tuple[str, ...] = define(
        ChoicesField(label="What you see", choices=LOOKS, help="Tick all that you see.", required=True)
    )
    where: str | None = choice("Where", PLACES)
    since: str | None = choice("Since when", SINCE)


@dataclass(frozen=True)
class Keep(TableBase):
    """What bears on keeping or remaking the bath."""

    disposal_price: float | None = define(
        PriceField(label="Price of disposal", help=PER_GALLON, high=HIGHEST_PRICE, each="L")
    )
    carbon_treated: float = define(NumberField(label="Carbon treatments so far", default=0.0, high=100.0))
    fresh_jar: str = choice(
        "Jar test, all fresh",
        JAR_TESTS,
        "How a strip plated in freshly mixed bath, at the same current density.",
        default="not done",
    )
    mixed_jar: str = choice(
        "Jar test, half old and half fresh", JAR_TESTS, "How a strip plated in it.", default="not done"
    )


@dataclass(frozen=True)
class Dispose(TableBase):
    """Old bath to be made safe for handing in."""

    volume: Measured | None = quantity("volume", "Bath to dispose of", "Empty: all of it.", above=True, high=10_000.0)
    base: str = choice(
        "Base",
        ("sodium bicarbonate", "sodium carbonate"),
        "Baking soda or washing soda (anhydrous). Never lye: the heat is dangerous.",
        default="sodium bicarbonate",
        refused=tuple((word, LYE_REFUSED) for word in ("lye", "sodium hydroxide", "caustic soda")),
    )


@dataclass(frozen=True)
class Anodes(TableBase):
    """The anodes themselves; their area and the current stand in `[plate]`, what they are made of in `[bath]`."""

    looks: tuple[str, ...] = define(
        ChoicesField(label="What you see on the anodes", choices=ANODE_LOOKS, help="Tick all that you see.")
    )
    bagged: bool | None = define(FlagField(label="In bags", help="Cloth round the anodes that holds back what falls."))
    height: Measured | None = quantity(
        "length", "How deep they hang", "Below the level.", above=True, high=2000.0, unit="cm"
    )
    mass: Measured | None = quantity(
        "mass", "They weigh", "All together, to tell how long they last.", above=True, high=1e6, unit="g"
    )


@dataclass(frozen=True)
class Treat(TableBase):
    """A treatment of the bath that is no correction. ASKED: the fields that each of them asks for."""

    what: str = choice("Treatment", TREATMENTS, "What you mean to do.", required=True)
    carbon: Measured = quantity(
        "concentration", "Carbon", "For each litre of bath.", default="3 g/L", low=0.5, high=20.0
    )
    pump: Measured | None = quantity(
        "volume", "Your filter pump moves in an hour", "Of bath, with the filter in.", above=True, high=1e5
    )
    scrap: Measured | None = quantity(
        "area", "Scrap to plate on", "Both sides that face an anode.", above=True, high=1e5, unit="cm^2"
    )
    surface: Measured | None = quantity(
        "area",
        "Open surface of the bath",
        "Length times width of the tank; empty: as of a cube.",
        above=True,
        high=1e6,
        unit="cm^2",
    )
    room: Measured = quantity("temperature", "Temperature of the room", "", default="18 degC", low=-10.0, high=45.0)
    wanted: Measured = quantity("temperature", "Bath wanted at", "", default="25 degC", low=5.0, high=60.0)
    heater: Measured | None = quantity("power", "Heater", "What stands on it.", above=True, high=20_000.0, unit="W")
    covered: bool | None = define(FlagField(label="Covered", help="A loose lid, or balls that float."))
    on_floor: Measured | None = quantity(
        "mass", "Crystals on the floor", "As well as you can guess.", high=1e6, unit="g"
    )

    ASKED: ClassVar[Mapping[str, tuple[str, ...]]] = {
        "carbon": ("carbon",),
        "filtering": ("pump",),
        "dummying": ("scrap",),
        "less chloride": (),
        "warming": ("wanted", "room", "surface", "heater", "covered"),
        "crystals": ("on_floor",),
    }


@dataclass(frozen=True)
class Part(TableBase):
    """What is to be plated: what it is made of, and what the meter shows of its coat. Its area stands in `[plate]`."""

    made_of: tuple[str, ...] = define(
        ChoicesField(label="Made of", choices=MATERIALS, help="All that the bath could touch: glue and wire too.")
    )
    sealed: bool | None = define(
        FlagField(label="Sealed all round", help="Varnished in every pore, before the conductive coat.")
    )
    coat: str | None = choice("Conductive coat", COATS, "What the first current runs in.")
    resistance: Measured | None = quantity(
        "resistance", "The meter shows", "Between its two tips on the dry coat.", high=1e7, unit="ohm"
    )
    apart: Measured | None = quantity("length", "The tips stand apart", "", above=True, high=2000.0, unit="cm")
    width: Measured | None = quantity(
        "length", "Width of the coat between them", "Of a leaf where it is widest.", above=True, high=2000.0, unit="cm"
    )
    reach: Measured | None = quantity(
        "length",
        "From the wire to the farthest place",
        "Along the coat; with several wires, from the nearest.",
        above=True,
        high=5000.0,
        unit="cm",
    )
    wires: float = define(NumberField(label="Wires", default=1.0, low=1.0, high=100.0, help="That touch the coat."))

    def check(self, place: str) -> None:
        """Refuse a resistance without the distance and the width that it was measured over."""
        for name in ("apart", "width"):
            if self.resistance and not getattr(self, name):
                needed = line("a resistance says nothing without it, such as {5 cm}")
                raise InputError.missing(f"{place}: {name}", needed)


@dataclass(frozen=True)
class Buy(TableBase):
    """What a bath loses and uses, for the list of what to buy."""

    months: float = define(NumberField(label="Months ahead", default=3.0, low=0.1, high=60.0))
    water: Measured | None = quantity("volume", "Water that evaporates in a week", "", high=1e4)
    bath: Measured | None = quantity(
        "volume", "Bath lost in a month", "It leaves with the parts and in drips.", high=1e4, unit="mL", us_unit="fl oz"
    )
    plated: Measured | None = quantity("charge", "Plated in a month", "", high=1e6, unit="A*h")
    additive: Measured | None = quantity(
        "volume", "Additive for an ampere-hour", "From its bottle's label.", high=1.0, unit="mL"
    )
    carbon: float = define(NumberField(label="Carbon treatments ahead", default=0.0, low=0.0, high=100.0))
    checks: float = define(NumberField(label="Checks ahead", default=3.0, low=0.0, high=1000.0))
    parts: float = define(
        NumberField(label="Parts to coat", default=1.0, low=0.0, high=1e4, help="Like the one under A part.")
    )


@dataclass(frozen=True)
class Pack(TableBase):
    """A line of the owner's own price list: one size of one thing in one shop."""

    what: str = choice("What", tuple(dict.fromkeys((*SUPPLIES, *GEAR))), required=True)
    mass: Measured | None = quantity("mass", "Pack holds, by mass", "", above=True, high=1e6, unit="g")
    volume: Measured | None = quantity("volume", "Pack holds, by volume", "", above=True, high=1e4)
    price: float = define(PriceField(label="Price of the pack", required=True, high=HIGHEST_PRICE))
    name: str = text("Name or shop", "", default="", longest=LONGEST_NAME)
    here: float = define(NumberField(label="Packs at hand", default=0.0, high=1e4))

    WEIGHED: ClassVar[tuple[str, ...]] = ("copper sulfate crystals", "activated carbon", "baking soda")
    STOCKED: ClassVar[dict[str, str]] = {"copper sulfate crystals": "crystals", "sulfuric acid": "acid"}
    EXAMPLES: ClassVar[dict[str, str]] = {"mass": "1 kg", "volume": "5 L"}

    @property
    def counted_by(self) -> str:
        """The field that says what a pack holds; empty for a tool."""
        return "mass" if self.what in self.WEIGHED else "volume" if self.what in SUPPLIES else ""

    def check(self, place: str) -> None:
        """Refuse a pack whose size is missing or of the wrong kind, and stock that stands elsewhere in the sheet."""
        wanted = self.counted_by
        if wanted and not getattr(self, wanted):
            example = f'{wanted} = "{self.EXAMPLES[wanted]}"'
            raise InputError.missing(f"{place}: {wanted}", f"give what a pack holds, such as {example}")
        for name in self.EXAMPLES:
            if name != wanted and (given := getattr(self, name)):
                accepted = f"{self.what} is counted by its {wanted}" if wanted else "a tool has no pack: give its price"
                raise InputError(f"{place}: {name}", show(given.text), accepted, Fault.CONFLICT)
        if self.here and self.what in self.STOCKED:
            accepted = f"write what you have under [stock.{self.STOCKED[self.what]}] on_hand"
            raise InputError(f"{place}: here", show(self.here), accepted, Fault.CONFLICT)


@dataclass(frozen=True)
class Sheet:
    """A whole bench sheet. Tables that were not given are None or at their defaults."""

    bath: Bath
    window: Window = field(default_factory=Window)
    stock: StockTables = field(default_factory=StockTables)
    correction: Aim = field(default_factory=Aim)
    gear: Gear = field(default_factory=Gear)
    mix: Mix | None = None
    plate: Plate | None = None
    deposit: Deposit | None = None
    hull_cell: HullCell | None = None
    keep: Keep | None = None
    dispose: Dispose | None = None
    anodes: Anodes | None = None
    treat: Treat | None = None
    part: Part | None = None
    buy: Buy | None = None
    shelf: tuple[Pack, ...] = ()
    readings: tuple[Reading, ...] = ()

    STOCK: ClassVar[dict[str, type]] = {
        "crystals": CrystalStock,
        "acid": Acid,
        "water": Water,
        "chloride": ChlorideSource,
    }
    TABLES: ClassVar[dict[str, type]] = {
        "bath": Bath,
        "window": Window,
        "correction": Aim,
        "gear": Gear,
        "mix": Mix,
        "plate": Plate,
        "deposit": Deposit,
        "hull_cell": HullCell,
        "keep": Keep,
        "dispose": Dispose,
        "anodes": Anodes,
        "treat": Treat,
        "part": Part,
        "buy": Buy,
    }
    # Tables of other questions: what the bath holds and what it needs does not depend on them.
    QUESTIONS: ClassVar[tuple[str, ...]] = (
        *(name for name in TABLES if name not in ("bath", "window", "correction", "gear")),
        "shelf",
    )

    @property
    def of_the_bath(self) -> Sheet:
        """The sheet without the tables of other questions."""
        nothing: dict[str, Any] = {name: () if name == "shelf" else None for name in self.QUESTIONS}
        return replace(self, **nothing)

    @property
    def given(self) -> tuple[str, ...]:
        """The fields of the bath that were given; sheets that compare equal may differ in these."""
        return tuple(name for name in fields_of(Bath) if self.bath.was_given(name))

    @property
    def chloride_counts(self) -> bool:
        """Tell whether anybody needs the chloride: the bath has additives, or the person set limits for it."""
        return bool(self.bath.additives or self.window.chloride)


def read_sheet(raw: Mapping[str, Any], needs_volume: bool = True) -> Sheet:
    """Turn the nested mapping of a TOML file (or of a page's fields) into a sheet.

    needs_volume: False for a question that is answered without one too; `bath.volume_known` then tells which it is.
    Raises SheetError, which carries an InputError for each thing that is wrong.
    """
    errors = _unknown_tables(raw)
    whole: dict[str, Any] = {**raw, **_bath_to_be_mixed(raw), **_of_the_treatment(raw)}
    stands_in = not needs_volume and _without_volume(whole)
    if stands_in:
        whole["bath"] = {**whole.get("bath", {}), "volume": STAND_IN}
    tables: dict[str, Any] = {
        name: read_table(table, whole[name], name, errors) for name, table in Sheet.TABLES.items() if name in whole
    }
    if "bath" not in whole:
        errors.append(_no_bath(raw))
    tables["stock"] = _read_stock(raw.get("stock", {}), errors)
    tables["readings"] = _read_readings(raw.get("reading", []), errors)
    tables["shelf"] = _read_shelf(raw.get("shelf", []), errors)
    if errors:
        # A volume to be mixed that stands for the bath's is named where it was typed.
        typed = [error for error in errors if error.place != "bath: volume" or whole.get("bath") == raw.get("bath")]
        raise SheetError(typed or errors)
    if stands_in:
        tables["bath"] = replace(tables["bath"], volume=replace(tables["bath"].volume, text=""))
    return Sheet(**tables)


def _without_volume(raw: Mapping[str, Any]) -> bool:
    """Tell whether no volume is given and no reading is scaled by it."""
    bath, readings = raw.get("bath", {}), raw.get("reading", [])
    items = [item for item in readings if isinstance(item, Mapping)] if isinstance(readings, list) else []
    scaled = any(item.get("kind") in ("previous check", "make-up") for item in items)
    return isinstance(bath, Mapping) and "volume" not in bath and not scaled


def _unknown_tables(raw: Mapping[str, Any]) -> list[InputError]:
    known = (*Sheet.TABLES, "stock", "shelf", "reading")
    return [
        InputError(
            str(key)[:60] or "a table without a name",
            "there is no such table",
            f"known tables: {', '.join(known)}{nearest(key, known)}",
            Fault.UNKNOWN_KEY,
        )
        for key in raw
        if key not in known
    ]


def _no_bath(raw: Mapping[str, Any]) -> InputError:
    if "mix" in raw:
        return InputError.missing("mix: volume", 'give how much to mix, such as volume = "4 L"')
    return InputError.missing("bath: volume", 'add a table [bath] with volume = "5.6 L"')


def _bath_to_be_mixed(raw: Mapping[str, Any]) -> dict[str, object]:
    """Return the table `[bath]` where nothing stands yet: what is to be mixed is the bath; empty where it is given.

    Where the sheet says nothing better, a recipe fills about the volume of its water.
    """
    bath, wanted = raw.get("bath", {}), raw.get("mix")
    if not isinstance(bath, Mapping) or not isinstance(wanted, Mapping) or "volume" in bath:
        return {}
    volume = wanted.get("volume", wanted.get("water"))
    return {} if volume is None else {"bath": {**bath, "volume": volume}}


def _read_stock(raw: object, errors: list[InputError]) -> StockTables:
    if not isinstance(raw, Mapping):
        accepted = "write tables such as [stock.crystals]"
        errors.append(InputError("stock", show(raw), accepted, Fault.NOT_READABLE))
        return StockTables()
    for key in raw:
        if key not in Sheet.STOCK:
            accepted = f"known: {', '.join(Sheet.STOCK)}{nearest(key, Sheet.STOCK)}"
            errors.append(InputError(f"stock: {key}"[:60], "there is no such stock", accepted, Fault.UNKNOWN_KEY))
    parts = {
        name: read_table(table, raw[name], f"stock.{name}", errors)
        for name, table in Sheet.STOCK.items()
        if name in raw
    }
    return StockTables(**parts)


def _of_the_treatment(raw: Mapping[str, Any]) -> dict[str, object]:
    """Return the table `[treat]` without what cannot be used and only other treatments than the chosen one ask for.

    A page does not show those fields, so nobody could mend them there. Empty where there is no such table.
    """
    table = raw.get("treat")
    if not isinstance(table, Mapping):
        return {}
    asked, known = ("what", *Treat.ASKED.get(str(table.get("what", "")).strip(), ())), fields_of(Treat)
    return {"treat": {key: value for key, value in table.items() if key in asked or _usable(known.get(key), value)}}


def _usable(known: Field | None, value: object) -> bool:
    return known is None or known.takes(value)  # a field that there is not is named as that


def _listed(raw: object, table: str, one: str, most: int, errors: list[InputError]) -> Sequence[Any]:
    """Return the items of a list of tables, as they were given; none where it is no list, or too long a one."""
    if not isinstance(raw, list | tuple):
        accepted = f"write each {one} under its own [[{table}]]"
        errors.append(InputError(table, show(raw), accepted, Fault.NOT_READABLE))
        return ()
    if len(raw) > most:
        given, accepted = f"you gave {len(raw)} {one}s", f"at most {most} are accepted"
        errors.append(InputError(table, given, accepted, Fault.OUT_OF_LIMITS))
        return ()
    return raw


def _read_shelf(raw: object, errors: list[InputError]) -> tuple[Pack, ...]:
    """Read the price list: each pack under its own [[shelf]]."""
    items = _listed(raw, "shelf", "pack", LONGEST_SHELF, errors)
    packs = (read_table(Pack, item, f"shelf {number}", errors) for number, item in enumerate(items, 1))
    return tuple(pack for pack in packs if pack is not None)


def _read_readings(raw: object, errors: list[InputError]) -> tuple[Reading, ...]:
    kinds = [item.get("kind") for item in raw if isinstance(item, Mapping)] if isinstance(raw, list | tuple) else []
    most = MOST_READINGS + ("previous check" in kinds)  # what the record carries may come to all that were typed
    curves = kinds.count("pH curve")
    if curves > MOST_CURVES:
        accepted = f"at most {MOST_CURVES} of them are accepted: keep the surest, or the last"
        errors.append(InputError("reading", f"you gave {curves} pH curves", accepted, Fault.OUT_OF_LIMITS))
        return ()
    items = enumerate(_listed(raw, "reading", "reading", most, errors), 1)
    read = [_read_reading(item, f"reading {number}", errors) for number, item in items]
    return tuple(reading for reading in read if reading is not None)


def _read_reading(item: object, place: str, errors: list[InputError]) -> Reading | None:
    kind = item.get("kind") if isinstance(item, Mapping) else None
    if not isinstance(item, Mapping) or not isinstance(kind, str) or kind not in KINDS:
        accepted = f"it must be one of: {', '.join(KINDS)}{nearest(kind, KINDS) if kind else ''}"
        at = f"{place}: kind"
        unknown = InputError(at, show(kind), accepted, Fault.NOT_READABLE)
        errors.append(InputError.missing(at, accepted) if kind is None else unknown)
        return None
    rest = {key: value for key, value in with_origin(item).items() if key != "kind"}
    return read_table(KINDS[kind], rest, place, errors)


def parse_sheet(content: bytes) -> Sheet:
    """Read the bytes of a TOML file. Raises InputError (SheetError where the TOML is sound but its content is not)."""
    return read_sheet(parse_toml(content))


def parse_toml(content: bytes, place: str = "the sheet") -> dict[str, Any]:
    """Return the nested mapping in the bytes of a TOML file; raises InputError where it is not one, or too large."""
    if len(content) > LARGEST_FILE:
        raise InputError(
            place, f"it has {len(content) / 1e6:.1f} MB", "a bench sheet has at most 1 MB", Fault.OUT_OF_LIMITS
        )
    try:
        return read_toml(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InputError(place, "it is not text in UTF-8", "give a bench sheet in TOML", Fault.NOT_READABLE) from error
    except ValueError as error:
        raise InputError(
            place,
            f"it is not sound TOML ({error})",
            "give a bench sheet in TOML; `python -m advisor example` prints one",
            Fault.NOT_READABLE,
        ) from error


def write_sheet(sheet: Sheet) -> str:
    """Write a sheet as TOML; `parse_sheet` reads the same sheet back."""
    import tomli_w  # only who writes a sheet waits for it

    return tomli_w.dumps(raw_sheet(sheet))


def raw_sheet(sheet: Sheet) -> dict[str, object]:
    """Return a sheet as the nested mapping that `read_sheet` reads."""
    untouched = {name: Sheet.TABLES[name]() for name in ("window", "correction", "gear")}
    tables = {name: getattr(sheet, name) for name in Sheet.TABLES}
    raw: dict[str, object] = {
        name: write_table(table) for name, table in tables.items() if table not in (None, untouched.get(name))
    }
    stock = {name: getattr(sheet.stock, name) for name in Sheet.STOCK}
    if kept := {name: write_table(part) for name, part in stock.items() if part is not None}:
        raw["stock"] = kept
    return raw | _raw_lists(sheet)


def _raw_lists(sheet: Sheet) -> dict[str, object]:
    """Return the price list and the readings of a sheet as lists of mappings; what is empty is left out."""
    lists = {
        "shelf": [write_table(pack) for pack in sheet.shelf],
        "reading": [{"kind": reading.kind, **write_table(reading)} for reading in sheet.readings],
    }
    return {name: rows for name, rows in lists.items() if rows}
