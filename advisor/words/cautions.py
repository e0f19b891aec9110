"""What hands do at the bath, by name, and the caution that belongs to each act: one table, `acts.csv`.

Every step, way, bench card and answer declares its acts; the sentences come from here alone. First aid is said once, at
the end of an answer with an act that may burn or poison.

Sources
-------
Of the acts: `sources.toml`. First aid: section 4 of suppliers' safety data sheets for sulfuric acid and copper sulfate,
from memory; 15 minutes of water are common practice. Both defer to the local emergency number and the supplier's sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from functools import cache

from advisor.basis import tables
from advisor.words.lines import line
from advisor.words.sections import Block, Section

FIRST_AID = "first aid"  # in the table: what to do if it happens is said in that section


class Act(StrEnum):
    """An act by its key in the table."""

    SULFURIC_ACID = "sulfuric acid"
    POURING_ACID = "pouring acid"
    CHOOSING_ACID = "choosing acid"
    HYDROCHLORIC_ACID = "hydrochloric acid"
    CHLORIDE_NEAR_BLEACH = "chloride near bleach"
    PARTS_AND_ANODES_OUT = "parts and anodes out"
    COPPER_SULFATE = "copper sulfate"
    DISSOLVING_CRYSTALS = "dissolving crystals"
    HOT_CRYSTALS = "hot crystals"
    ANHYDROUS_POWDER = "anhydrous powder"
    CHOOSING_CRYSTALS = "choosing crystals"
    WEIGHING_POWDERS = "weighing powders"
    FOOD_WARE = "food ware"
    COPPER_WASTE = "copper waste"
    WITHDRAWN_BATH = "withdrawn bath"
    REPLACED_BATH = "replaced bath"
    LOCAL_RULES = "local rules"
    SODA_IN_THE_BATH = "soda in the bath"
    HANDLING_BATH = "handling bath"
    PIPETTING = "pipetting"
    LYE = "lye"
    GLASS = "glass"
    AMMONIA = "ammonia"
    IODINE = "iodine"
    THIOSULFATE = "thiosulfate"
    SILVER_NITRATE = "silver nitrate"
    SILVER_AND_AMMONIA = "silver and ammonia"
    KEEPING_WASTE_APART = "keeping waste apart"
    PLATING_CURRENT = "plating current"
    SHORT_CIRCUIT = "short circuit"
    REACHING_IN = "reaching in"
    GAS_AT_THE_ELECTRODES = "gas at the electrodes"
    INERT_ANODE = "inert anode"
    CHLORINE_AT_THE_ANODE = "chlorine at the anode"
    CONNECTING_A_PART = "connecting a part"
    RINSING_A_PART = "rinsing a part"
    BASIC_COPPER_CARBONATE = "basic copper carbonate"
    FIZZING = "fizzing"
    EVAPORATION = "evaporation"
    ASKING_FIRST = "asking first"
    SLUDGE = "sludge"
    ONE_CHANGE = "one change"
    ADDING_BLINDLY = "adding blindly"
    SENDING_A_SAMPLE = "sending a sample"
    COPPER_BY_ZINC = "copper by zinc"
    CARBON_DUST = "carbon dust"
    HEATER_IN_ACID = "heater in acid"
    WARM_BATH = "warm bath"
    WIPING_ANODES = "wiping anodes"
    VARNISH_AND_PAINT = "varnish and paint"
    UNSUITABLE_MATERIAL = "unsuitable material"
    BUYING_ACID = "buying acid"


@cache
def _rows() -> dict[str, tuple[str, str]]:
    """Return each act's caution and what to do if it happens."""
    return {row["act"]: (row["caution"], row["if_it_happens"]) for row in tables.rows("acts")}


def caution(act: Act) -> str:
    """Return the caution of an act, with what to do if it happens unless that is first aid."""
    said, then = _rows()[act]
    return line(f"{said} {then}" if then and then != FIRST_AID else said)


def cautions(acts: Iterable[Act]) -> tuple[str, ...]:
    """Return the cautions of acts, each once."""
    return tuple(dict.fromkeys(caution(act) for act in acts))


FIRST_AID_LINES = (
    "Your local emergency number and the supplier's safety data sheet come before this: keep both at hand.",
    "Acid, bath or copper salt in an eye or on skin: rinse at once under running water for at least 15 minutes, with "
    "eyelids held open; take off contact lenses and wet clothes meanwhile. Then get medical help; for an eye, always.",
    "Baking soda is for spills on floor and bench only, never on a person.",
    "Swallowed: rinse the mouth, spit out, do not induce vomiting, and call for medical help at once.",
    "Breathed in mist, fumes, gas or dust: go out into fresh air, sit upright, and call for medical help if it stings, "
    "if coughing lasts or if breath is short.",
)


StepWithActs = tuple[str, tuple[Act, ...]]  # what to do, and what that is for the hands


def in_order(title: str, steps: Iterable[StepWithActs]) -> Section:
    """Return the section of steps to be done in order, each with the acts whose cautions stand beside it.

    What stands beside a step is not said again beside the next one.
    """
    told = [(text, cautions(acts)) for text, acts in steps]
    before = ((), *(care for _, care in told))
    texts = tuple(text for text, _ in told)
    beside = tuple(
        tuple(said for said in care if said not in last) for (_, care), last in zip(told, before, strict=False)
    )
    return Section(title, texts, numbered=True, key=Block.STEPS, beside=beside)


def take_care(acts: Sequence[Act]) -> tuple[Section, ...]:
    """Return the section with the cautions of acts, and that on first aid where they call for it."""
    return (Section("Take care", cautions(acts), caution=True), *first_aid(acts))


def first_aid(acts: Iterable[Act]) -> tuple[Section, ...]:
    """Return the section on first aid where an act may burn or poison, else nothing."""
    if not any(_rows()[act][1] == FIRST_AID for act in acts):
        return ()
    return (Section("First aid", FIRST_AID_LINES, caution=True, key=Block.FIRST_AID),)
