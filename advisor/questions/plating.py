"""A plating run: which current, for how long, what it deposits and what it does to the bath.

It recommends averages over the part; edges take two to three times as much (common practice, no source). It does not
say what the bath holds: that is `advise`, whose measured copper it uses.

Sources
-------
What current it may be: `limit`. Anodes as large as the part to twice that, at most about 3 A/dm2 on them, passive above
about 5; 0.1-0.5 mL of ready-made additive an ampere-hour; at most 1 A a litre of bath; air in the bath dissolves copper
that hardly any current plates: from memory. 0.5-0.6 V smoother than 1-1.2 V, and lower voltage for longer the cleaner
deposit: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

from advisor.basis.components import NAMES, SALT_AND_ACID
from advisor.basis.fields import Fault, InputError, show
from advisor.basis.units import Measured, in_digits
from advisor.check.advise import advise_beside
from advisor.check.assessment import Assessment, assess, limits_of
from advisor.check.foreign import SULFATE
from advisor.check.task import make_task
from advisor.measure.hull_cell import Panel
from advisor.questions.limit import (
    LEAST,
    MOST_USUAL,
    SMOOTH,
    TREES,
    Limit,
    current_densities,
    gentle_start,
    share_of,
)
from advisor.sheet import Plate, Sheet
from advisor.solution.composition import composition, masses
from advisor.solution.faraday import charge_for_mass, layer_mass, layer_thickness, mass_deposited
from advisor.solution.molar_masses import ACID_PER_COPPER, COPPER, PENTAHYDRATE_PER_COPPER, WATER
from advisor.solution.transport import conductivity, limiting_current_density
from advisor.words import phrases
from advisor.words.cautions import Act, StepWithActs, cautions, in_order, take_care
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import Section
from advisor.words.time_and_current import amperes, hours

WATCHED = 8.0  # h that one stays beside a run (judgement)
MOST_STAGES = 10  # that are counted for a reader (judgement)
LONG = 48.0  # h, in which the bath itself changes (judgement)
ANODE_RATIO = (1.0, 2.0)  # anode area to part area (from memory)
ANODE_USUAL = 3.0  # A/dm2 on the anodes at most (from memory)
ANODE_PASSIVE = 5.0  # A/dm2, above which anodes turn passive (from memory)
EXAMPLE_HEIGHT = 5.0  # cm, of a part whose height nobody said (judgement)
ADDITIVE_PER_AMPERE_HOUR = (0.1, 0.5)  # mL (from memory)
MOST_PER_LITRE = 1.0  # A (from memory)
USUAL_THICKNESS = 0.15  # mm, a firm shell (judgement)
AGREE = 0.05  # thickness, time and current all given may differ by this much (judgement)
LONGEST_START = 0.5  # h, of the gentle start (judgement)
DISTANCE = 10.0  # cm between part and anode, for the voltage (judgement)
CONDUCTS_FROM = 50.0  # g/L of acid, from where on the formula of `conductivity` holds (from memory)
COLD = 18.0  # degC, below which a bath is called cold (judgement)
ELECTRODE_VOLTAGE = 0.2  # V, what part and anode take besides the liquid (judgement)
WHERE = {"low": "below", "high": "above"}  # the window, by the verdict's word
# Computed.
WATER_PER_COPPER = 4 * WATER / COPPER  # g water left in the bath by a gram of copper: five of the crystal less one
SLOW = "Yours is less: harmless, only slower"

ACTS = (
    Act.SHORT_CIRCUIT,
    Act.CONNECTING_A_PART,
    Act.REACHING_IN,
    Act.PLATING_CURRENT,
    Act.GAS_AT_THE_ELECTRODES,
    Act.HANDLING_BATH,
    Act.RINSING_A_PART,
)


_CLEANING = (
    "Clean bare metal until water runs off as a closed film. A leaf or anything else under conductive paint must be "
    "dry, sealed in every pore and free of dust: water pearls off such paint and tells nothing; touch it by its wire "
    "only, and measure with a meter that it carries from end to end."
)
_LIFTING_OUT = (
    "Lift it out by its dry wire with the current on, hands clear of the liquid. Then switch off, rinse, and put it "
    "into baking-soda water."
)


# --- The run --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class BathAfter:
    """The bath after the run [L at 20 degC, g/L]; None where it was not determined before."""

    volume: float | None
    copper_sulfate: float | None
    sulfuric_acid: float | None

    def to_dict(self) -> dict[str, float | None]:
        """Return the bath as in the JSON result: units in the names [L, g/L]."""
        return {
            "volume_L": self.volume,
            "copper_sulfate_g_L": self.copper_sulfate,
            "sulfuric_acid_g_L": self.sulfuric_acid,
        }


@dataclass(frozen=True)
class PlatingRun:
    """All that there is to say about a run. Areas dm2, current A, current density A/dm2, time h, thickness mm."""

    limit: Limit
    recommended: tuple[float, float]
    area: float
    current: float
    time: float
    start: tuple[float, float]  # A, h: the gentle start before it
    anode_area: tuple[float, float]
    voltage: tuple[float, float] | None
    additive: tuple[float, float] | None  # mL
    fed: BathAfter
    unfed: BathAfter
    warnings: tuple[str, ...]
    anode_density: float | None = None  # A/dm2 on the anodes that the sheet names
    acts: tuple[Act, ...] = ACTS
    panel: Panel | None = None
    level_is_low: bool = False
    digits: int = 2  # of its current in mA: more where somebody gave it, or two would leave what is recommended

    TITLE: ClassVar[str] = "Plating run"

    @property
    def ampere_hours(self) -> float:
        """Charge of the whole run [A·h]."""
        return self.current * self.time

    @property
    def copper(self) -> float:
        """Copper deposited [g]."""
        return mass_deposited(self.ampere_hours)

    @property
    def thickness(self) -> float:
        """Average thickness [mm]."""
        return layer_thickness(self.copper, self.area)

    @property
    def current_density(self) -> float:
        """Current density, averaged over the part [A/dm2]."""
        return self.current / self.area

    @property
    def is_very_little(self) -> bool:
        """Tell whether the current is so far below what is recommended that the copper suffers."""
        return self.current_density < LEAST * self.limit.value

    @property
    def is_slow(self) -> bool:
        """Tell whether the current is below what is recommended, by more than is lost in rounding, and does no harm."""
        return not self.is_very_little and self.current_density < (1 - AGREE) * self.recommended[0]

    def amperes(self, current: float, upper: float | None = None) -> str:
        """Write a current [A], or a range from it, in the unit of the run's own."""
        return amperes(current, upper, beside=self.current, digits=self.digits if current == self.current else 2)

    @property
    def time_in_all(self) -> float:
        """From switching on to the end, the gentle start included [h]."""
        return self.start[1] + self.main_time

    def thickness_over_time(self) -> tuple[tuple[float, float], ...]:
        """Return points (time since immersing [h], average thickness [um]), the gentle start included."""
        start_current, start_time = self.start
        started = layer_thickness(mass_deposited(start_current * start_time), self.area)
        return ((0.0, 0.0), (start_time, 1000 * started), (self.time_in_all, 1000 * self.thickness))

    @property
    def main_time(self) -> float:
        """Time at the current of the run, after the gentle start [h]."""
        return self.time - self.start[0] * self.start[1] / self.current

    def sections(self) -> tuple[Section, ...]:
        """Return the run for a reader: the numbers and what is wrong with them, the plan, the bath after, cautions."""
        blocks = (
            Section("Your run", self._result_lines()),
            Section("What you should know", self.warnings),
            in_order("What to do, in this order", self._plan()),
            Section("If you turn it up later", self._turning_up_lines()),
            Section("The bath afterwards", self._after_lines()),
            *take_care(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        low, high = self.recommended
        lines = [
            line(
                "Current: {current} on {area}, which is {density}",
                current=self.amperes(self.current),
                area=_square_cm(self.area),
                density=Amount(self.current_density, "A/dm²", 2),
            ),
            line(
                "Time: {in_all} in all with the gentle start, {time} without it; {charge}",
                time=hours(self.time),
                in_all=hours(self.time_in_all),
                charge=Amount(self.ampere_hours, "A·h", digits=3),
            ),
            line(
                "Copper: {copper}, on average {thickness} thick, as accurately as you know the area. Edges get two to "
                "three times as much, recesses less",
                copper=Amount(self.copper, "g", digits=3),
                thickness=Amount(1000 * self.thickness, "µm"),
            ),
            line(
                "Recommended: {densities}, {currents} on this part{slow}",
                densities=Amount(low, "A/dm²", 2, upper=high),
                currents=self.amperes(low * self.area, high * self.area),
                slow=f". {SLOW}" if self.is_slow else "",
            ),
            line(
                "Limiting current density: {limit}, for {copper} copper sulfate, {whose}{high}",
                limit=Amount(self.limit.value, "A/dm²", standard_uncertainty=self.limit.standard_uncertainty),
                high=_high(self.limit.height),
                whose="as your readings say" if self.limit.measured else "a lean bath, since yours is not known",
                copper=Amount(self.limit.copper_sulfate, "g/L"),
            ),
            self._anode_line(),
        ]
        if self.panel:
            lines.append(_panel_line(self.panel))
        if self.voltage:
            lines.append(_voltage_line(*self.voltage))
        if self.additive:
            lines.append(_additive_line(*self.additive))
        return tuple(lines)

    def _anode_line(self) -> Line:
        small, large = self.anode_area
        reason = "one to two times its area"
        if small > ANODE_RATIO[0] * self.area:
            reason = line("so that they carry at most {most}", most=Amount(ANODE_USUAL, "A/dm²"))
        return line("Anodes: {areas} facing the part, {reason}", areas=_square_cm(small, large), reason=reason)

    @property
    def stages(self) -> int:
        """Into how many parts to divide the run after its start, so that one stays beside each."""
        return max(math.ceil(self.main_time / WATCHED), 1)

    @property
    def stages_said(self) -> str:
        """The stages in words; of very many, how long one is at most says enough."""
        each = f"about {hours(self.main_time / self.stages)}"
        return f"{self.stages} stages of {each}" if self.stages <= MOST_STAGES else f"stages of {each}"

    def _going_on(self) -> str:
        """Say how to go on once copper covers the part, in stages where it takes long."""
        after = ""
        how_long = hours(self.main_time)
        if self.stages > 1:
            how_long = f"{how_long} in all, in {self.stages_said} that you stay beside. Local rules come first"
            after = (
                " After each stage take the part out as below, pull the plug and dry the part; before the next clean "
                "it as in step 1 and connect it again. The gentle start is done once."
            )
        hold = (
            "At a constant voltage it rises while the copper grows over the paint, so turn the voltage down as it does."
        )
        return (
            f"Go on at {self.amperes(self.current)} for {how_long}. Hold that current. {hold} Look now and then: turn "
            f"the part by its dry wire, and brush off nodules with the current off.{after}"
        )

    def _plan(self) -> tuple[StepWithActs, ...]:
        """Return what to do, in this order, with what that is for the hands; of an anode only if it may be inert."""
        gentle, start_time = self.amperes(self.start[0]), self.start[1]
        lifting_out = (Act.REACHING_IN, Act.HANDLING_BATH, Act.RINSING_A_PART)
        going_on = (Act.GAS_AT_THE_ELECTRODES, Act.CHLORINE_AT_THE_ANODE)
        steps: tuple[StepWithActs, ...] = (
            (_CLEANING, ()),
            (
                "Connect part and anodes, switch on, then immerse.",
                (Act.CONNECTING_A_PART, Act.SHORT_CIRCUIT, Act.INERT_ANODE),
            ),
            (
                f"Start at {gentle} for {hours(start_time)}, until copper covers the paint everywhere.",
                (Act.PLATING_CURRENT,),
            ),
            (self._going_on(), (*going_on, *lifting_out) if self.stages > 1 else going_on),
            (_LIFTING_OUT, lifting_out),
        )
        return tuple((text, tuple(act for act in acts if act in self.acts)) for text, acts in steps)

    def _turning_up_lines(self) -> tuple[str, ...]:
        coarse, trees = (share * self.limit.value * self.area for share in (SMOOTH[1], TREES))
        return (
            f"Above about {self.amperes(coarse)} the copper grows coarser and edges grow nodules; above about "
            f"{self.amperes(trees)} trees and dark powder. Both are known only to about a factor of two.",
            "It is your choice: nodules can be wanted on a sculpture, but they catch and scratch on what is worn.",
            "Lower voltage for longer gives the cleaner deposit: 0.5 to 0.6 V is smoother than 1 to 1.2 V (common "
            "practice, no source).",
        )

    def _after_lines(self) -> tuple[str, ...]:
        charge = self.ampere_hours
        salt, acid = PENTAHYDRATE_PER_COPPER * self.copper, ACID_PER_COPPER * self.copper
        return (
            line(
                "If copper anodes feed the bath: as before ({bath}). Copper creeps up slowly, because anodes dissolve "
                "a little even without current.",
                bath=_bath(self.fed),
            ),
            line(
                "If they do not (passive or inert anodes): {bath}. That {charge} takes {salt} of copper sulfate and "
                "leaves {acid} of acid.",
                bath=_bath(self.unfed),
                charge=Amount(charge, "A·h", digits=3),
                salt=Amount(salt, "g", digits=3),
                acid=Amount(acid, "g", digits=3),
            ),
        )

    def to_dict(self) -> dict[str, object]:
        """Return the JSON result: plain numbers with their unit in the name, None where there is nothing."""
        limit = self.limit
        known = {"value": limit.value, "standard_uncertainty": limit.standard_uncertainty}
        return {
            "limiting_A_dm2": known if limit.measured else None,
            "copper_sulfate_g_L": limit.copper_sulfate,
            "copper_sulfate_is": "measured" if limit.measured else "assumed",
            "recommended_A_dm2": list(self.recommended),
            "trees_above_A_dm2": TREES * limit.value,
            "probability_of_trees": limit.probability_above(TREES, self.current_density),
            "panel_A_dm2": list(self.panel.plates_well) if self.panel else None,
            "current_A": self.current,
            "current_density_A_dm2": self.current_density,
            "time_h": self.time,
            "time_in_all_h": self.time_in_all,
            "height_cm": limit.height,
            "anode_current_density_A_dm2": self.anode_density,
            "copper_g": self.copper,
            "ampere_hours": self.ampere_hours,
            "thickness_um": 1000 * self.thickness,
            "anode_area_dm2": list(self.anode_area),
            "voltage_V": list(self.voltage) if self.voltage else None,
            "additive_mL": list(self.additive) if self.additive else None,
            "plan": [
                {"do": "start", "current_A": self.start[0], "time_h": self.start[1]},
                {"do": "go on", "current_A": self.current, "time_h": self.main_time},
            ],
            "stages": self.stages,
            "bath_after": {"anodes_feed": self.fed.to_dict(), "anodes_do_not": self.unfed.to_dict()},
            "warnings": list(self.warnings),
            "cautions": list(cautions(self.acts)),
        }


def plate(sheet: Sheet) -> PlatingRun:
    """Plan the run of a sheet's table `[plate]`.

    Raises InputError where there is no such table, where none of thickness, time and current is given, or where all
    three are and contradict each other.
    """
    if sheet.plate is None:
        raise InputError.missing("plate: area", 'give the area of the part, such as "85 cm²"')
    assessment = assess(sheet)
    limit, recommended = current_densities(sheet, assessment, sheet.plate)
    area, anodes = sheet.plate.area.value, sheet.plate.anode_area
    middle = sum(recommended) / 2 * area
    set_to = float(in_digits(middle, 2))  # what a supply is set to, and no surer is it known
    is_within = recommended[0] * area <= set_to <= recommended[1] * area
    current, time = _current_and_time(sheet.plate, set_to if is_within else middle)
    start_time = min(LONGEST_START, 0.1 * time)
    run = PlatingRun(
        limit=limit,
        recommended=recommended,
        area=area,
        current=current,
        time=time,
        start=(gentle_start(recommended, current / area) * area, start_time),
        anode_area=anode_area_for(current, area),
        voltage=_voltage(limit, sheet.bath.temperature.value, current / area),
        additive=_additive(sheet, current * time),
        fed=bath_after(sheet, assessment, 0.0),
        unfed=bath_after(sheet, assessment, mass_deposited(current * time)),
        warnings=(),
        anode_density=current / anodes.value if anodes else None,
        acts=(*ACTS, Act.INERT_ANODE, Act.CHLORINE_AT_THE_ANODE) if sheet.bath.anodes in (None, "inert") else ACTS,
        panel=sheet.hull_cell.panel() if sheet.hull_cell else None,
        level_is_low=_level_is_low(sheet, assessment),
        digits=2 if is_within and sheet.plate.current is None else 3,
    )
    return replace(run, warnings=_warnings(sheet, assessment, run))


def _level_is_low(sheet: Sheet, assessment: Assessment) -> bool:
    """Tell whether the level is low where copper and acid are told and the check makes it up with water."""
    if not sheet.bath.volume_known:
        return False
    task = make_task(sheet, assessment.estimate, assessment.verdict)
    may_be = task.level_is_low and all(task.measured(name) for name in SALT_AND_ACID)
    return may_be and advise_beside(sheet).plan.amounts.water > 0


def plate_without_clash(sheet: Sheet) -> PlatingRun:
    """Plan the run for a question of its current and copper: a time that contradicts the two is no part of it."""
    try:
        return plate(sheet)
    except InputError as error:
        if error.fault is not Fault.CONFLICT or sheet.plate is None:
            raise
        return plate(replace(sheet, plate=replace(sheet.plate, time=None)))


def _current_and_time(wanted: Plate, recommended_current: float) -> tuple[float, float]:
    """Return current [A] and time [h] from what the sheet gives of thickness, time and current."""
    if not (wanted.thickness or wanted.time or wanted.current):
        raise InputError.missing("plate: thickness", 'give a thickness, such as "150 µm", or a time or a current')
    thickness = wanted.thickness.value if wanted.thickness else USUAL_THICKNESS
    charge = charge_for_mass(layer_mass(wanted.area.value, thickness))
    if wanted.current and wanted.time:
        if wanted.thickness:
            _refuse_disagreement(wanted.current.value, wanted.time, charge)
        return wanted.current.value, wanted.time.value
    if wanted.time:
        time = wanted.time.value
        return (charge / time if wanted.thickness else recommended_current), time
    current = wanted.current.value if wanted.current else recommended_current
    return current, charge / current


def _refuse_disagreement(current: float, time: Measured, charge: float) -> None:
    """Refuse a time in which a current [A] does not bring the charge [A·h] of the thickness given with them."""
    if abs(current * time.value / charge - 1) > AGREE:
        raise InputError(
            "plate: time",
            show(time.text),
            f"that current takes {in_digits(charge / current, 3)} h to this thickness: "
            "leave out thickness, time or current",
            Fault.CONFLICT,
        )


def _voltage(limit: Limit, temperature: float, current_density: float) -> tuple[float, float] | None:
    """Return the voltage [V] across the liquid, and with the electrodes; None where conductivity is not known."""
    if not limit.measured or limit.sulfuric_acid < CONDUCTS_FROM:
        return None
    conducts = float(conductivity(limit.copper_sulfate, limit.sulfuric_acid, temperature))
    liquid = current_density / 100.0 * DISTANCE / conducts
    return (liquid, liquid + ELECTRODE_VOLTAGE) if liquid > 0 else None


def _additive(sheet: Sheet, ampere_hours: float) -> tuple[float, float] | None:
    if not sheet.bath.additives:
        return None
    low, high = ADDITIVE_PER_AMPERE_HOUR
    return low * ampere_hours, high * ampere_hours


def bath_after(sheet: Sheet, assessment: Assessment, copper: float) -> BathAfter:
    """Return the bath after it gave up copper [g] that no anode replaced.

    CuSO4·5H2O → Cu + H2SO4 + 4 H2O + ½ O2, so an ampere-hour takes 4.658 g of salt and leaves 1.830 g of acid. An exact
    mass balance; a bath that holds less copper gives only what it has.
    """
    estimate = assessment.estimate
    if not sheet.bath.volume_known:
        return BathAfter(None, None, None)
    if estimate is None:
        return BathAfter(assessment.volume_L, None, None)
    salts, _ = estimate.sum_of(SULFATE)
    before = masses(estimate.value("copper_sulfate"), estimate.value("sulfuric_acid"), salts, assessment.volume_L)
    given = min(copper, float(before.copper_sulfate) / PENTAHYDRATE_PER_COPPER)
    after = composition(
        replace(
            before,
            copper_sulfate=before.copper_sulfate - PENTAHYDRATE_PER_COPPER * given,
            sulfuric_acid=before.sulfuric_acid + ACID_PER_COPPER * given,
            water=before.water + WATER_PER_COPPER * given,
        )
    )
    return BathAfter(
        float(after.volume),
        max(float(after.copper_sulfate), 0.0) if assessment.values["copper_sulfate"] else None,
        float(after.sulfuric_acid) if assessment.values["sulfuric_acid"] else None,
    )


# --- Warnings -------------------------------------------------------------------------------------


def _warnings(sheet: Sheet, assessment: Assessment, run: PlatingRun) -> tuple[str, ...]:
    return (
        *_about_bath(sheet, assessment, run),
        *_about_current(sheet, run),
        *_about_anodes(sheet, run),
        *_about_feeding(sheet, assessment, run),
    )


def _about_bath(sheet: Sheet, assessment: Assessment, run: PlatingRun) -> list[str]:
    said: list[str] = []
    if sheet.bath.condition:
        said.append(
            f"Do not plate yet: the bath shows {', '.join(sheet.bath.condition)}. Put that right first, then check the "
            "bath."
        )
    said += out_of_window(assessment).values()
    if run.level_is_low:
        said.append(
            line(
                "The level is low, {now} where {usual} is usual. If it dried away, top up first with distilled water; "
                "if bath was lost, check first. The currents here are for the bath as it is now.",
                now=Amount(sheet.bath.volume.value, "L", 2),
                usual=Amount(sheet.bath.usual_L, "L", 2),
            )
        )
    if not run.limit.measured:
        said.append(
            line(
                "The copper in the bath is not settled, so the limiting current is not known. The current is worked "
                "out for a lean bath of {lean}; a stronger bath can take more. Take a reading (Check) to know.",
                lean=Amount(run.limit.copper_sulfate, "g/L"),
            )
        )
    if sheet.bath.temperature.value < COLD:
        said.append(
            line(
                "The bath is cold: each degree costs about 3 % of the current that it can take. {21 to 32 °C} plates "
                "better (from memory)."
            )
        )
    return said


def out_of_window(assessment: Assessment) -> dict[str, str]:
    """Say of each component that is surely outside of the window what that does, by its name."""
    return {
        name: f"The {NAMES[name]} is {WHERE[judged.state]} the window: put that right first, as the bath check says. "
        f"{phrases.EFFECTS[name, judged.state]}"
        for name, judged in assessment.verdict.items()
        if judged.state in WHERE
    }


def _about_current(sheet: Sheet, run: PlatingRun) -> list[str]:
    said = [*_about_share(run), *_about_little(run), *_about_height(sheet, run)]
    wanted, per_litre = sheet.plate, run.current / sheet.bath.volume.value if sheet.bath.volume_known else 0.0
    if wanted and wanted.thickness is None and wanted.time is None:
        usual = Amount(1000 * USUAL_THICKNESS, "µm")
        said.append(line("You gave neither thickness nor time, so {usual} is assumed.", usual=usual))
    if per_litre > MOST_PER_LITRE:
        said.append(
            f"That is {per_litre:.1f} A a litre of bath, and about {MOST_PER_LITRE:g} is usually the most: the bath "
            "will warm up and drift quickly."
        )
    return said


def _about_share(run: PlatingRun) -> list[str]:
    """Say where a current stands that is above what is recommended."""
    share = run.current_density / run.limit.value
    times = share_of(share)
    chance = 100 * run.limit.probability_above(TREES, run.current_density)
    limit = "the limiting current" if run.limit.measured else "the limiting current of a lean bath"
    at = f"{run.amperes(run.current)} is {times} {limit} (above {TREES:g}, where trees form: {chance:.0f} % likely)"
    if share > TREES:
        return [
            f"Too much current: {at}. Expect burnt edges, trees and powder: lower it, stir more, warm the bath, or "
            "allow more time."
        ]
    if share > SMOOTH[1] + 0.005:
        return [f"More current than recommended: {at}. Expect nodules on edges."]
    if run.current_density > MOST_USUAL:
        return [
            line(
                "More current than is usual: {density} against at most {most} in published baths.",
                density=Amount(run.current_density, "A/dm²", 1),
                most=Amount(MOST_USUAL, "A/dm²", 1),
            )
        ]
    return []


def _about_little(run: PlatingRun) -> list[str]:
    """Say what a current far below the recommended does, and what a run of days asks for."""
    said: list[str] = []
    low, high = (share * run.area for share in run.recommended)
    if run.is_very_little:
        charge = run.ampere_hours
        said.append(
            line(
                "Very little current: {density} is {share:.2f} of the limiting current. Such copper grows coarse and "
                "dull, and air in the bath dissolves some of it again. At {low} it would take {more}, at {high} "
                "{less}.",
                density=Amount(run.current_density, "A/dm²", digits=2),
                share=run.current_density / run.limit.value,
                low=run.amperes(low),
                high=run.amperes(high),
                less=hours(charge / high),
                more=hours(charge / low),
            )
        )
    if run.time > LONG:
        said.append(
            f"That is a run of {run.time / 24:.0f} days: water evaporates and additives wear out meanwhile, so look at "
            "the level and check the bath between the stages."
        )
    return said


def _about_height(sheet: Sheet, run: PlatingRun) -> list[str]:
    """Ask for the height of a part in a still bath, with what it would change."""
    wanted = sheet.plate
    if wanted is None or wanted.stirring != "still" or wanted.height is not None:
        return []
    limit, warmth = run.limit, sheet.bath.temperature.value
    free = limiting_current_density(limit.copper_sulfate, limit.sulfuric_acid, warmth, "still", EXAMPLE_HEIGHT)
    return [
        line(
            "You did not say how high the part is, so a tall one is assumed. In a still bath the liquid that has "
            "lost its copper rises along the part, so a low one stands more: {height} high, about {times:.1f} times as "
            "much.",
            height=Amount(EXAMPLE_HEIGHT, "cm"),
            times=float(free.value) / limit.value,
        )
    ]


def _about_anodes(sheet: Sheet, run: PlatingRun) -> list[str]:
    if sheet.plate is None or sheet.plate.anode_area is None or sheet.bath.anodes == "inert":  # nothing dissolves
        return []
    if loaded := about_anode_current(run.current, sheet.plate.anode_area.value, run.anode_area[0]):
        return loaded
    ratio = sheet.plate.anode_area.value / run.area
    if ratio < ANODE_RATIO[0]:
        return [
            f"Your anodes are {ratio:.2f} times the part: too small, they turn passive and the current falls. Use one "
            "to two times its area."
        ]
    if ratio > 2 * ANODE_RATIO[1]:
        return [
            f"Your anodes are {ratio:.1f} times the part: more than needed, they feed the bath copper even while idle."
        ]
    return []


def anode_area_for(current: float, area: float) -> tuple[float, float]:
    """Return the least and the largest area of anodes [dm2] for a current [A] and a part [dm2]."""
    least, most = (max(ratio * area, current / ANODE_USUAL) for ratio in ANODE_RATIO)
    return least, most


def about_anode_current(current: float, area: float, wanted: float) -> list[str]:
    """Say so where anodes [dm2] carry more current [A] than they dissolve under; wanted: what the answer asks for."""
    if current / area <= ANODE_USUAL:
        return []
    passive = current / area > ANODE_PASSIVE
    return [
        line(
            "Your anodes carry {density}, {much}: {then} (from memory). Hang in at least {need}, or lower the current.",
            density=Amount(current / area, "A/dm²", digits=2),
            much="far more than they dissolve under" if passive else "more than is usual",
            then=line(
                "above about {most} they turn passive under a film, the current falls, and gas comes off instead of "
                "copper dissolving",
                most=Amount(ANODE_PASSIVE, "A/dm²"),
            )
            if passive
            else line("at most about {most} keeps them dissolving", most=Amount(ANODE_USUAL, "A/dm²")),
            need=_square_cm(wanted),
        )
    ]


def _about_feeding(sheet: Sheet, assessment: Assessment, run: PlatingRun) -> list[str]:
    before = assessment.values["copper_sulfate"]
    after, limits = run.unfed.copper_sulfate, limits_of(sheet)["copper_sulfate"]
    if before is None or after is None:
        return []
    held = before.value * assessment.volume_L / PENTAHYDRATE_PER_COPPER
    if run.copper > held:
        return [
            line(
                "The bath holds only {held} of copper: without anodes that feed it the run cannot be finished.",
                held=Amount(held, "g", digits=3),
            )
        ]
    if limits and after < limits[0] <= before.value:
        return [
            line(
                "Without anodes that feed it the bath would fall to {after} copper sulfate, below the window "
                "({limit}).",
                after=Amount(after, "g/L"),
                limit=Amount(limits[0], "g/L", digits=6),
            )
        ]
    return []


def _panel_line(panel: Panel) -> Line:
    """Say what the Hull cell panel showed, and what it does to the recommendation."""
    low, high = panel.plates_well
    return line(
        "Your Hull cell panel: from {range} this bath {how}{burns}. Edges get two to three times the average, so that "
        "the recommendation stays that far below where it burns",
        range=Amount(low, "A/dm²", 2, upper=high),
        how="shines" if panel.bright_down_to is not None else "plates whole",
        burns="" if panel.burns_from is not None else ", and nothing burnt",
    )


def _voltage_line(low: float, high: float) -> Line:
    return line(
        "Voltage: about {volts} with {distance} between part and anode, more while a conductive paint still carries "
        "the current. Go by the amperes, not by the volts",
        volts=Amount(low, "V", 1, upper=high),
        distance=Amount(DISTANCE, "cm"),
    )


def _additive_line(low: float, high: float) -> Line:
    return line(
        "Additive used up: {additive} of a ready-made solution; go by its label if it says otherwise",
        additive=Amount(low, "mL", digits=1, upper=high),
    )


def _high(height: float | None) -> Line:
    return line("") if height is None else line(", for a part {height} high", height=Amount(height, "cm", digits=3))


def _square_cm(area: float, upper: float | None = None) -> Amount:
    most = None if upper is None else 100 * upper
    return Amount(100 * area, "cm²", digits=None if area >= 0.1 else 2, upper=most)


def _bath(after: BathAfter) -> Line:
    if after.volume is None:
        return line("how much that changes it depends on how much bath there is")
    parts = ((after.copper_sulfate, "copper sulfate"), (after.sulfuric_acid, "sulfuric acid"))
    known = [line("{held} {name}", held=Amount(value, "g/L"), name=name) for value, name in parts if value is not None]
    return joined(", ", known or ["its composition is not known"])
