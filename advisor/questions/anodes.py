"""The anodes: how large they should be, when they are about to turn passive, what their film says, when to wipe them.

Where crystals would grow on them is worked out from the bath (`solution.anode_film`) before it happens; beside it stand
the trade's figures. The current is that of the plating run.

Sources
-------
What films look like: table `anode_looks`. Usual current on anodes: common practice, no source. Copper in thin sulfuric
acid loses 1.7-4.4 g/m2 a day at 25-55 degC: excerpt of a corrosion paper, author not seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from scipy.optimize import brentq

from advisor.basis import tables
from advisor.basis.components import SALT_AND_ACID
from advisor.basis.fields import InputError
from advisor.basis.units import Measured
from advisor.check.assessment import Assessment, assess, limits_of
from advisor.check.known import Value
from advisor.check.window import Limits
from advisor.questions.plating import ANODE_RATIO, USUAL_THICKNESS, about_anode_current, plate_without_clash
from advisor.sheet import Anodes, Sheet
from advisor.solution.anode_film import AnodicLimit, anodic_limit
from advisor.solution.faraday import COPPER_PER_AMPERE_HOUR
from advisor.words.cautions import Act, cautions, take_care
from advisor.words.lines import Amount, Line, line
from advisor.words.sections import Section, how_likely, percent
from advisor.words.time_and_current import amperes

USUAL = (1.0, 2.5)  # A/dm2 on the anodes (common practice, no source)
SAFE = 0.05  # probability of passive anodes that is taken in stride (judgement)
LEAST_ON_FILM = 0.5  # A/dm2 below which the film of phosphorised copper grows thick (judgement)
MOST_AREA = 4.0  # times the part: more feeds the bath copper while idle (judgement)
USUAL_HEIGHT = 15.0  # cm of anode below the level where nobody said (judgement)
USED_UP = 2 / 3  # of an anode's mass, after which it hangs by threads and its area is guesswork (judgement)
IDLE = (0.017, 0.044)  # g/dm2 of copper that dissolve in a day without current (read, see above)
LEAST_DENSITY = 0.01  # A/dm2, of a search (judgement)
MOST_DENSITY = 1000.0  # A/dm2, of a search (judgement)

ACTS = (
    Act.WIPING_ANODES,
    Act.REACHING_IN,
    Act.SHORT_CIRCUIT,
    Act.PLATING_CURRENT,
    Act.HANDLING_BATH,
    Act.COPPER_WASTE,
)
INERT_ACTS = (Act.INERT_ANODE, Act.CHLORINE_AT_THE_ANODE, Act.GAS_AT_THE_ELECTRODES)


@dataclass(frozen=True)
class AnodeAdvice:
    """All that there is to say about the anodes. Current A, areas dm2, current densities A/dm2, masses g."""

    kind: str | None  # as in the sheet's [bath] anodes
    current: float
    part_area: float
    area: float | None
    limit: AnodicLimit | None  # None of inert anodes
    measured: bool  # whether the limit is that of the measured bath
    wanted: tuple[float, float]  # area
    copper: float  # of the run
    care: Anodes
    warnings: tuple[str, ...]

    TITLE: ClassVar[str] = "Anodes"

    @property
    def area_said(self) -> Line:
        """How much anode to hang in, in words."""
        small, large = self.wanted
        if large <= small:
            return line("at least {area}", area=Amount(100 * small, "cm²", digits=2))
        return line("{area}", area=Amount(100 * small, "cm²", digits=2, upper=100 * large))

    @property
    def density(self) -> float | None:
        """Current density on the anodes [A/dm2]; None where nobody said how large they are."""
        return self.current / self.area if self.area else None

    @property
    def passive(self) -> float | None:
        """Return how probable it is that they turn passive under this current; None where nothing can be said."""
        return self.limit.probability_passive(self.density) if self.limit and self.density else None

    @property
    def turning_passive(self) -> str:
        """Return the word for how probable that is, by the per cent that are shown."""
        return how_likely(self.passive or 0.0)

    @property
    def lasts(self) -> float | None:
        """Charge until two thirds of the anodes are gone [A·h]; None where nobody weighed them or nothing dissolves."""
        return USED_UP * self.care.mass.value / COPPER_PER_AMPERE_HOUR if self.care.mass and self.limit else None

    @property
    def acts(self) -> tuple[Act, ...]:
        """What hands do at them."""
        return (*ACTS, *INERT_ACTS) if self.kind in (None, "inert") else ACTS

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        limit = self.limit
        return {
            "anodes": self.kind,
            "current_A": self.current,
            "anode_area_dm2": self.area,
            "anode_current_density_A_dm2": self.density,
            "usual_A_dm2": list(USUAL),
            "passive_above_A_dm2": limit and {"value": limit.value, "standard_uncertainty": limit.standard_uncertainty},
            "bath_is": "measured" if self.measured else "assumed",
            "probability_passive": self.passive,
            "wanted_area_dm2": list(self.wanted),
            "copper_of_the_run_g": self.copper,
            "ampere_hours_left": self.lasts,
            "looks": [{"look": look, **_row(look)} for look in self.care.looks],
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }

    def sections(self) -> tuple[Section, ...]:
        """Return the answer for a reader: the numbers, what is wrong, what the film says, what to do, cautions."""
        seen = [line(f"{row['means']} {row['do']}") for row in map(_row, self.care.looks)]
        blocks = (
            Section("Your anodes", self._result_lines()),
            Section("What you should know", self.warnings),
            Section("What you see on them", tuple(seen)),
            Section("How to keep them", self._keeping_lines()),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        said = [line("Area: {area} facing the part, for {current}", area=self.area_said, current=amperes(self.current))]
        if self.density:
            said.insert(
                0,
                line(
                    "They carry {density}; {usual} is usual (common practice, no source)",
                    density=Amount(self.density, "A/dm²", digits=2),
                    usual=Amount(USUAL[0], "A/dm²", digits=2, upper=USUAL[1]),
                ),
            )
        if self.limit:
            said.append(_limit_line(self.limit, self.measured))
        if self.passive is not None:
            said.append(
                line("That they turn passive under this current: {chance} likely", chance=percent(self.passive))
            )
        if self.limit:
            said.append(line("This run dissolves {copper} of them", copper=Amount(self.copper, "g", digits=3)))
        if self.lasts:
            said.append(
                line("They last about {charge} more, until a third is left", charge=Amount(self.lasts, "A·h", digits=2))
            )
        return tuple(said)

    def _keeping_lines(self) -> tuple[str, ...]:
        if self.kind == "inert":
            return (
                "Inert anodes feed nothing: the copper of each run leaves the bath and acid stays. Log the "
                "ampere-hours, or check after each large run.",
            )
        area = self.area or self.wanted[0]
        low, high = (rate * area for rate in IDLE)
        phosphorised = (
            "Leave a thin, tight, dark film on: it is why phosphorised copper is bought. Wipe only what is loose."
        )
        plain = "Plain copper grows no film that holds: rinse and brush off what is loose after each long run."
        film = {"copper": (plain,), None: (phosphorised, plain)}.get(self.kind, (phosphorised,))
        return (
            *film,
            "Wipe when the film hangs in flakes or mud, when a crust shows, or when the voltage at the same current "
            "has risen by a fifth since the last wiping with bath and contacts as they were.",
            "Bags: polypropylene, washed and left for a night in thinned acid when new, their rim above the level. "
            "Turn them inside out and rinse them when mud shows through; a clogged bag starves the anode like a crust.",
            line(
                "Take them out between runs, or at least overnight without phosphorus: idle they lose {low} a day, "
                "which goes into the bath and uses up acid (copper in thin acid, read in an excerpt; air makes it "
                "more).",
                low=Amount(1000 * low, "mg", digits=2, upper=1000 * high),
            ),
            "Before they turn passive they tell you: the voltage creeps up at the same current, blue or white shows on "
            "them, and the current sags. Halve the current at once, and stir along the anodes. Once they gas, switch "
            "off, take them out and brush them.",
        )


def anodes(sheet: Sheet) -> AnodeAdvice:
    """Return what is to say about the anodes of a sheet's plating run; raises InputError where it names no part."""
    if sheet.plate is None:
        raise InputError.missing("plate: area", 'give the area of the part, such as "85 cm²"')
    wanted = sheet.plate
    if not (wanted.thickness or wanted.time or wanted.current):
        wanted = replace(wanted, thickness=Measured.of(USUAL_THICKNESS, "mm", "length"))
    run = plate_without_clash(replace(sheet, plate=wanted))
    kind, care = sheet.bath.anodes, sheet.anodes or Anodes()
    limit, measured = _limit(sheet, assess(sheet), care) if kind != "inert" else (None, False)
    advice = AnodeAdvice(
        kind=kind,
        current=run.current,
        part_area=run.area,
        area=wanted.anode_area.value if wanted.anode_area else None,
        limit=limit,
        measured=measured,
        wanted=_wanted(run.current, run.area, limit if measured else None),
        copper=run.copper,
        care=care,
        warnings=(),
    )
    return replace(advice, warnings=tuple(_warnings(sheet, advice)))


def _limit(sheet: Sheet, assessment: Assessment, care: Anodes) -> tuple[AnodicLimit, bool]:
    """Return where anodes turn passive, and whether for the measured bath; else for anywhere in its window."""
    limits = limits_of(sheet)
    held = [assessment.values[name] or _anywhere_in(limits[name]) for name in SALT_AND_ACID]
    stirring = "still" if care.bagged or sheet.plate is None else sheet.plate.stirring
    found = anodic_limit(
        held[0].value,
        held[1].value,
        sheet.bath.temperature.value,
        care.height.value / 10.0 if care.height else USUAL_HEIGHT,
        stirring,
        held[0].standard_uncertainty,
    )
    return found, all(assessment.values[name] for name in SALT_AND_ACID)


def _anywhere_in(limits: Limits | None) -> Value:
    """Return the middle of limits [g/L] with the standard uncertainty of anything between them being as likely."""
    low, high = limits or (0.0, 0.0)
    return Value((low + high) / 2, (high - low) / math.sqrt(12.0))


def _wanted(current: float, part: float, limit: AnodicLimit | None) -> tuple[float, float]:
    """Return the least and the largest anode area [dm2] worth hanging in for a current [A] and a part [dm2]."""
    most = USUAL[1] if limit is None else min(USUAL[1], safe_density(limit))
    least = max(ANODE_RATIO[0] * part, current / most)
    return least, max(ANODE_RATIO[1] * part, least)


def safe_density(limit: AnodicLimit) -> float:
    """Return the current density [A/dm2] under which anodes turn passive with a probability of a twentieth."""

    def excess(density: float) -> float:
        return limit.probability_passive(density) - SAFE

    if excess(LEAST_DENSITY) > 0 or excess(MOST_DENSITY) < 0:
        return USUAL[0]  # saturated: no area helps, which is said by itself; else nothing limits
    return float(brentq(excess, LEAST_DENSITY, MOST_DENSITY))


def _warnings(sheet: Sheet, advice: AnodeAdvice) -> list[str]:
    said = _about_passive(advice)
    # Where they will probably turn passive, the area that this bath wants is said already.
    if advice.area and advice.passive is not None and advice.turning_passive != "likely":
        said += about_anode_current(advice.current, advice.area, advice.wanted[0])
    said += _about_little(advice)
    if advice.kind is None:
        said.append("You did not say what your anodes are (The bath): plain and phosphorised copper want other care.")
    if advice.kind == "copper" and advice.care.bagged is False:
        said.append("Plain copper without bags sheds fines: expect rough upward faces.")
    if "sludge" in sheet.bath.condition:
        said.append("Sludge is stirred up in the bath: let it settle and filter it before you plate.")
    return said


def _about_passive(advice: AnodeAdvice) -> list[str]:
    """Say how near dissolving anodes stand to turning passive."""
    limit, chance, said = advice.limit, advice.passive or 0.0, []
    if limit is None:
        return []
    if not advice.measured:
        said.append(
            "Copper and acid of the bath are not settled, so the limit is that of the middle of your window: a fuller "
            "or colder bath stands far less. Take a reading (Check) to know."
        )
    if limit.value == 0:
        said.append(
            "The bath is saturated: crystals will grow on the anodes under any current. Warm it and thin it first, as "
            "the check says; larger anodes do not help."
        )
    elif advice.turning_passive == "likely":
        said.append(
            line(
                "They will probably turn passive: the liquid beside them becomes saturated. Hang in at least {need}, "
                "lower the current, stir along them, or warm the bath.",
                need=Amount(100 * advice.wanted[0], "cm²", digits=2),
            )
        )
    elif advice.turning_passive == "as likely as not":
        said.append("They may well turn passive: watch the voltage, above all in the cold.")
    elif chance > SAFE:
        said.append("They stand near where they turn passive: watch the voltage, above all in the cold.")
    if "blue crystals" in advice.care.looks:
        said.append("Crystals on them say that they already stand beyond that limit, whatever is worked out here.")
    return said


def _about_little(advice: AnodeAdvice) -> list[str]:
    """Say so where anodes are far larger than the current needs."""
    said: list[str] = []
    if advice.limit and advice.area and advice.area > MOST_AREA * advice.part_area:  # inert ones feed nothing
        said.append(
            f"They are {advice.area / advice.part_area:.1f} times the part, more than needed: while idle they feed the "
            "bath copper."
        )
    if advice.density and advice.density < LEAST_ON_FILM and advice.kind == "phosphorised copper":
        said.append(
            line(
                "Below about {least} the film of phosphorised copper grows thick and conducts badly (the guidebook of "
                "2011-12 says so without a figure; the figure is judgement).",
                least=Amount(LEAST_ON_FILM, "A/dm²", 1),
            )
        )
    return said


def _limit_line(limit: AnodicLimit, measured: bool) -> Line:
    if limit.value == 0:
        return line(
            "Passive under any current: {full} of copper sulfate saturates the liquid at them, and the bath holds as "
            "much",
            full=Amount(limit.saturated, "g/L"),
        )
    return line(
        "They turn passive above {limit}{whose}: {full} of copper sulfate saturates the liquid beside them, where "
        "{acid} of acid are left",
        limit=Amount(limit.value, "A/dm²", standard_uncertainty=limit.standard_uncertainty),
        whose="" if measured else ", in the middle of your window",
        full=Amount(limit.saturated, "g/L"),
        acid=Amount(limit.acid, "g/L"),
    )


def _row(look: str) -> Mapping[str, str]:
    """Return what a look of anodes means, what to do, and where that stands."""
    row = next(row for row in tables.rows("anode_looks") if row["look"] == look)
    return {key: row[key] for key in ("means", "do", "status", "source")}
