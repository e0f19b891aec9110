"""Entries that tests of the record share: one of each kind, and a logbook filled with them."""

import datetime

from advisor.basis.units import parse
from advisor.record.entries import (
    AcidAdded,
    AdditiveDose,
    AdditiveRule,
    AnodeChange,
    AnodesWeighed,
    AnodesWiped,
    CarbonTreatment,
    Check,
    ChlorideAdded,
    CrystalsAdded,
    Done,
    Filtered,
    LevelMark,
    Moved,
    Noted,
    PouredIn,
    Remake,
    Reminder,
    RunDone,
    TakenOut,
    WaterAdded,
    Withdrawn,
)
from advisor.record.logbook import Logbook

WATER = WaterAdded(volume=parse("1 L", "volume"), chloride=parse("30 mg/L", "content"))
CRYSTALS = CrystalsAdded(mass=parse("250 g", "mass"), purity=parse("98 %", "fraction"))
# What the example "dull" asks for, in its order.
DONE_OF_DULL = (
    CrystalsAdded(mass=parse("256 g", "mass")),
    AcidAdded(volume=parse("410 mL", "volume"), strength=parse("37 %", "fraction")),
)
NOON = datetime.datetime(2026, 3, 14, 12, tzinfo=datetime.UTC)


def level(text: str = "5.6 L", note: str = "") -> LevelMark:
    return LevelMark(volume=parse(text, "volume"), note=note)


Found = tuple[float, float] | None  # value and standard uncertainty


def check_that_found(
    copper_sulfate: Found,
    sulfuric_acid: Found,
    chloride: Found = None,
    level: str = "5.6 L",
    correlation: float = 0.0,
    tank: str = "",
) -> Check:
    """Return a check that found this [g/L; chloride mg/L], with a level as it is typed and more lines of its [bath]."""
    found = {"copper_sulfate_g_L": copper_sulfate, "sulfuric_acid_g_L": sulfuric_acid, "chloride_mg_L": chloride}
    estimate = {name: each and {"value": each[0], "standard_uncertainty": each[1]} for name, each in found.items()}
    more = {"volume_L": parse(level, "volume").value, "correlation": correlation}
    return Check(f'[bath]\nname = "a"\nvolume = "{level}"\n{tank}', {"estimate": estimate | more})


def one_of_each() -> list:
    return [
        level("5.62 L ± 0.03 L"),
        WaterAdded(volume=parse("1,2 L", "volume"), chloride=parse("30 mg/L", "content")),
        CrystalsAdded(mass=parse("8 oz", "mass"), form="anhydrous", note='"quoted" \\ and\nsecond line\t½'),
        AcidAdded(volume=parse("120 mL", "volume"), strength=parse("37 %", "fraction")),
        ChlorideAdded(volume=parse("12 mL", "volume")),
        TakenOut(volume=parse("0.5 L", "volume"), why="sampled"),
        CarbonTreatment(carbon=parse("15 g", "mass")),
        AnodeChange(anodes="inert", area=parse("2 dm^2", "area")),
        AdditiveDose(volume=parse("3 mL", "volume"), additive="bright"),
        Remake(note="leaked"),
        RunDone(current=parse("1.5 A", "current"), time=parse("8 h", "time")),
        Filtered(through="coffee filter", time=parse("2 h", "time")),
        AnodesWiped(note="thick film"),
        AnodesWeighed(mass=parse("1240 g", "mass")),
        AdditiveRule(additive="bright", per_ampere_hour=parse("0.2 ± 0.1 mL", "volume")),
        Reminder(what="measure again", after=parse("10 min", "time")),
        Done(what="measure again"),
        Noted(note="smells of vinegar"),
        Moved(tank="the tall one", usual_volume=parse("8 L", "volume")),
        PouredIn(
            volume=parse("1 L", "volume"),
            copper_sulfate=parse("200 ± 8 g/L", "concentration"),
            sulfuric_acid=parse("60 ± 3 g/L", "concentration"),
            source="jar",
        ),
    ]


def filled(logbook: Logbook, checked) -> Logbook:
    logbook.record_check(*checked)
    for number, content in enumerate(one_of_each()):
        logbook.record("Shed tank", content, NOON + datetime.timedelta(days=number))
    logbook.correct(3, WaterAdded(volume=parse("1.3 L", "volume")))
    logbook.correct(5, Withdrawn(note="typed twice"))
    return logbook
