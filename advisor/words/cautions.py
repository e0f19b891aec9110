"""The acts that can hurt someone, each with its caution, from one table; and first aid.

A step, a card, a way or an answer declares which acts it involves, by key; what is to be said of each stands once, in
`reference_tables/acts.csv` with its source. `caution_lines` turns acts into lines, `caution` into the caution alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache

from advisor.basis import tables
from advisor.words.lines import Line, joined, line
from advisor.words.sections import Section


class Act(StrEnum):
    """What is done; the value is its name in the table."""

    POUR_ACID = "pour acid"
    CHOOSE_ACID = "choose acid"
    DISSOLVE_CRYSTALS = "dissolve crystals"
    CHOOSE_CRYSTALS = "choose crystals"
    DISSOLVE_ANHYDROUS = "dissolve anhydrous"
    WARM_LIQUID = "warm liquid"
    WEIGH_POWDER = "weigh powder"
    HYDROCHLORIC_ACID = "dose hydrochloric acid"
    KEEP_BLEACH_AWAY = "keep bleach away"
    CORRECT_TANK = "correct the tank"
    RUN_CURRENT = "run current"
    HANG_PART = "hang a part"
    REACH_IN = "reach into the bath"
    RINSE_PARTS = "rinse parts"
    INERT_ANODE = "inert anode"
    COPPER_CARBONATE = "basic copper carbonate"
    STORE_BATH = "store bath"
    EVAPORATE = "let evaporate"
    HANDLE_BATH = "handle bath"
    SYRINGE = "measure with a syringe"
    LYE = "prepare lye"
    AMMONIA = "use ammonia"
    IODIDE = "use iodide"
    THIOSULFATE = "use thiosulfate"
    SILVER = "use silver nitrate"
    EDTA = "use EDTA"
    BAKE_SODA = "bake soda"
    WARM_AIR = "dry with warm air"
    GLASS = "handle glass"
    NEUTRALISE = "neutralise bath"
    KEEP_APART = "keep wastes apart"
    DRY_SLUDGE = "dry sludge"
    CARBON = "use carbon"
    KITCHEN_WARE = "use kitchen ware"
    WASTE = "make waste"
    AT_HOME = "work at home"


POURED_AFTER = "goggles and gloves; acid into the liquid, never liquid into acid"
POURED = "Goggles and gloves; acid into the liquid, never liquid into acid."
"""What is said in the same breath wherever a dose of acid is named."""

PLATING = (Act.RUN_CURRENT, Act.HANG_PART, Act.REACH_IN, Act.RINSE_PARTS)
"""What any plating involves, of a strip as well as of a piece."""

EVERYWHERE = (Act.KITCHEN_WARE, Act.WASTE, Act.AT_HOME)
"""What ends every answer that has a bath in hand."""

FIRST_AID = "First aid"  # title of the section, to which the cautions refer


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    return {row["act"]: row for row in tables.rows("acts")}


def caution(act: Act) -> Line:
    """Return the caution of an act alone, without its hazard and without what to do if it happens."""
    return line(_table()[act]["caution"])


def caution_line(act: Act) -> Line:
    """Return all that is to be said of an act: what can happen, how to avoid it, and what to do if it happens."""
    row = _table()[act]
    return joined(" ", (line(row[part]) for part in ("hazard", "caution", "if_it_happens")))


def caution_lines(acts: Iterable[Act]) -> tuple[Line, ...]:
    """Return the lines of acts in their order, each once."""
    return tuple(caution_line(act) for act in dict.fromkeys(acts))


def acts_named(names: str) -> tuple[Act, ...]:
    """Read acts as a table's cell names them: "pour acid; handle bath". Raises ValueError for one that is not there."""
    return tuple(Act(name) for name in names.split("; ")) if names else ()


def first_aid() -> Section:
    """Return what to do when something has happened, for screen and paper."""
    return Section(FIRST_AID, tuple(line(row["what_to_do"]) for row in tables.rows("first_aid")), caution=True)
