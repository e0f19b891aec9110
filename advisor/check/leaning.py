"""How far the copper of an estimate leans on readings that count foreign salts as copper, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from advisor.check.foreign import READS_AS_COPPER_SULFATE, SULFATE
from advisor.check.known import Known
from advisor.readings.acid_titration import AcidTitration
from advisor.readings.copper_titration import METALS
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.laboratory_report import LaboratoryReport
from advisor.readings.model import Reading
from advisor.readings.previous_check import PreviousCheck
from advisor.readings.weighed_density import WeighedDensity
from advisor.sheet import Bath, Sheet
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE
from advisor.words.lines import Amount, Line, half_width, line

Density = Hydrometer | WeighedDensity  # the kinds that tell a density
COPPER_ALONE = {"plated-out copper", "cemented copper", "colour match", "photo colour"}  # kinds that see no other salt
SETTLES_COPPER = ("plated-out copper", "copper titration", "cemented copper")  # kinds that do not take soda for copper
# g/L of copper sulfate that 1 g/L reads as: of sodium sulfate in a density, of zinc with EDTA (computed).
SODIUM_READS = READS_AS_COPPER_SULFATE["sodium_sulfate"]
ZINC_READS = COPPER_SULFATE_PENTAHYDRATE / METALS["EDTA"]["zinc"]
MUCH = 0.6  # of copper's standard uncertainty: a third of its variance (judgement)


def from_salts(contents: Known) -> float:
    """Return the part of copper sulfate's standard uncertainty [g/L] that comes of not knowing the foreign salts."""
    salts = [name for name in SULFATE if name in contents.names]
    at = contents.names.index("copper_sulfate")
    tied = contents.covariance[at, [contents.names.index(name) for name in salts]]
    return sqrt(max(float(tied @ np.linalg.solve(contents.block(salts), tied)), 0.0))


def leaning(sheet: Sheet, contents: Known) -> list[Line]:
    """Say by how much foreign salts would move the copper, where it leans on density or on EDTA; else nothing."""
    counts = _counts_salts(sheet.readings)
    if counts is None or "copper_sulfate" not in contents.measured:
        return []
    soda = sheet.bath.soda_added
    after_soda = counts == "density" and soda is not None and soda.value > 0
    moved = from_salts(contents)
    if not after_soda and moved < MUCH * contents.standard_uncertainty("copper_sulfate"):
        return []
    return [
        line(
            "Your copper leans on {on}, where {reads}: what is not known of foreign salts moves it by ± {moved}. "
            "{then} a reading that only copper makes (plated-out copper, or iodide and thiosulfate) settles it.",
            on="the density" if counts == "density" else "EDTA",
            reads=_reads("sodium sulfate", SODIUM_READS) if counts == "density" else _reads("zinc", ZINC_READS),
            moved=half_width(moved, "g/L"),
            then=_then(sheet.bath, after_soda),
        )
    ]


def density_alone_after_soda(sheet: Sheet) -> bool:
    """Tell whether soda went in and nothing but a density tells the copper: what is left of it passes for copper."""
    soda = sheet.bath.soda_added
    by_density = any(isinstance(reading, Density) for reading in sheet.readings)
    return bool(soda and soda.value > 0 and by_density) and not any(map(_tells_copper_apart, sheet.readings))


def metals_may_show(readings: Sequence[Reading]) -> bool:
    """Tell whether anything was read that sees copper apart from zinc and nickel, as densities and EDTA do not."""
    counting = {method for method, metals in METALS.items() if "zinc" in metals}
    return any(
        not isinstance(reading, Density | AcidTitration) and getattr(reading, "method", None) not in counting
        for reading in readings
    )


def _tells_copper_apart(reading: Reading) -> bool:
    """Tell whether a reading tells the copper without taking sodium for it."""
    if isinstance(reading, PreviousCheck):
        return reading.copper_sulfate is not None and "sodium_sulfate" not in dict(reading.leans_on)
    return _reports_copper(reading) or reading.kind in {*COPPER_ALONE, "copper titration", "make-up"}


def _reports_copper(reading: Reading) -> bool:
    return isinstance(reading, LaboratoryReport) and bool(reading.copper or reading.copper_sulfate)


def _counts_salts(readings: Sequence[Reading]) -> str | None:
    """Return what the copper rests on that counts foreign salts too; None where there is a reading of copper alone."""
    methods = {getattr(reading, "method", None) for reading in readings}
    kinds = {reading.kind for reading in readings}
    if "iodometric" in methods or kinds & COPPER_ALONE or any(_reports_copper(reading) for reading in readings):
        return None
    if any(isinstance(reading, Density) for reading in readings):
        return "density"
    return "EDTA" if "EDTA" in methods else None


def _then(bath: Bath, after_soda: bool) -> str:
    if bath.soda_added is None or not bath.touched or bath.topped_up_with is None:
        return "Answer what may have got into the bath first; then"
    return "After soda went in, do not trust a density alone:" if after_soda else "Only"


def _reads(salt: str, as_copper: float) -> Line:
    return line(
        "{one} of {salt} reads as {copper} of copper sulfate",
        one=Amount(1.0, "g/L"),
        salt=salt,
        copper=Amount(as_copper, "g/L", 1),
    )
