"""Entries that tests of the record share: one of each kind, and a logbook filled with them."""

import datetime

from advisor.basis.units import parse
from advisor.record.entries import (
    AcidAdded,
    AdditiveDose,
    AnodeChange,
    CarbonTreatment,
    ChlorideAdded,
    CrystalsAdded,
    LevelMark,
    Remake,
    RunDone,
    TakenOut,
    WaterAdded,
    Withdrawn,
)
from advisor.record.logbook import Logbook

NOON = datetime.datetime(2026, 3, 14, 12, tzinfo=datetime.UTC)


def level(text: str = "5.6 L", note: str = "") -> LevelMark:
    return LevelMark(volume=parse(text, "volume"), note=note)


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
    ]


def filled(logbook: Logbook, checked) -> Logbook:
    logbook.record_check(*checked)
    for number, content in enumerate(one_of_each()):
        logbook.record("Shed tank", content, NOON + datetime.timedelta(days=number))
    logbook.correct(3, WaterAdded(volume=parse("1.3 L", "volume")))
    logbook.correct(5, Withdrawn(note="typed twice"))
    return logbook
