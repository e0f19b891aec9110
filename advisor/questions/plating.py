"""A plating run: which current, for how long, what it deposits and what it does to the bath.

It recommends averages over the part; edges take two to three times as much (common practice, no source). It does not
say what the bath holds: that is `advise`, whose measured copper it uses.

Sources
-------
Limiting current density: `solution.transport`. Trees form above 0.7 of it: Trans. Inst. Metal Finishing 48 (1970) 35-42
(abstract). Most even deposit at 0.4-0.5 of it: "Throwing power of a dilute sulfuric acid copper plating electrolyte
during intensive electrodeposition" (abstract). From these, 0.3-0.5 for thick smooth forms: judgement. Usual current
densities up to 100 A/ft2: Metal Finishing Guidebook 2013, p. 284, Table VIII. Anodes as large as the part to twice
that; 0.1-0.5 mL of ready-made additive an ampere-hour; at most 1 A a litre of bath: from memory. 0.5-0.6 V smoother
than 1-1.2 V, and lower voltage for longer the cleaner deposit: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

from scipy.special import ndtr

from advisor.basis.fields import Fault, InputError, show
from advisor.check.assessment import Assessment, assess, limits_of
from advisor.check.foreign import SULFATE
from advisor.check.known import Value
from advisor.measure.hull_cell import Panel
from advisor.sheet import HullCell, Plate, Sheet
from advisor.solution.composition import composition, masses
from advisor.solution.faraday import charge_for_mass, layer_mass, layer_thickness, mass_deposited
from advisor.solution.molar_masses import ACID_PER_COPPER, COPPER, PENTAHYDRATE_PER_COPPER, WATER
from advisor.solution.transport import DIFFUSION_LAYER, conductivity, limiting_current_density
from advisor.words.cautions import Act, cautions, first_aid
from advisor.words.lines import Amount, Line, joined, line
from advisor.words.sections import Section

SMOOTH = (0.3, 0.5)  # of the limiting current density (judgement from the abstracts named above)
TREES = 0.7  # of the limiting current density (read in an abstract, see above)
MOST_USUAL = 10.8  # A/dm2, 100 A/ft2 (read, see above)
ANODE_RATIO = (1.0, 2.0)  # anode area to part area (from memory)
ADDITIVE_PER_AMPERE_HOUR = (0.1, 0.5)  # mL (from memory)
MOST_PER_LITRE = 1.0  # A (from memory)
CAUTIOUS_COPPER_SULFATE = 100.0  # g/L: about what lean home recipes hold (judgement)
KNOWN_ENOUGH = 0.3  # relative standard uncertainty of copper, about that of the limiting current itself (judgement)
LEAST_COPPER_SULFATE = 5.0  # g/L: below it no current is worth naming (judgement)
USUAL_ACID = 60.0  # g/L; acid changes the limiting current only through the viscosity (judgement)
USUAL_THICKNESS = 0.15  # mm, a firm shell (judgement)
TEMPERATURE_UNCERTAINTY = 1.0  # degC, of a kitchen thermometer (judgement)
AGREE = 0.05  # thickness, time and current all given may differ by this much (judgement)
LONGEST_START = 0.5  # h, of the gentle start (judgement)
DISTANCE = 10.0  # cm between part and anode, for the voltage (judgement)
EDGES_GET = 2.5  # times the average (common practice, no source: two to three times)
ELECTRODE_VOLTAGE = 0.2  # V, what part and anode take besides the liquid (judgement)
# Computed.
WATER_PER_COPPER = 4 * WATER / COPPER  # g water left in the bath by a gram of copper: five of the crystal less one

ACTS = (
    Act.SHORT_CIRCUIT,
    Act.CONNECTING_A_PART,
    Act.REACHING_IN,
    Act.PLATING_CURRENT,
    Act.GAS_AT_THE_ELECTRODES,
    Act.HANDLING_BATH,
    Act.RINSING_A_PART,
)


# --- The run --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Limit:
    """The limiting current density [A/dm2] and the bath it was reckoned for [g/L]; not measured: a cautious guess."""

    value: float
    standard_uncertainty: float
    copper_sulfate: float
    sulfuric_acid: float
    measured: bool

    def probability_above(self, share: float, current_density: float) -> float:
        """Return how probable it is that a current density [A/dm2] is above a share of the true limit.

        The limit is a product of uncertain factors, hence log-normal.
        """
        relative = self.standard_uncertainty / self.value
        return float(ndtr(math.log(current_density / (share * self.value)) / relative))


@dataclass(frozen=True)
class BathAfter:
    """The bath after the run [L at 20 degC, g/L]; None where it was not determined before."""

    volume: float
    copper_sulfate: float | None
    sulfuric_acid: float | None

    def to_dict(self) -> dict[str, float | None]:
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
    acts: tuple[Act, ...] = ACTS
    panel: Panel | None = None

    TITLE: ClassVar[str] = "Plating run"

    @property
    def ampere_hours(self) -> float:
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
        return self.current / self.area

    def thickness_over_time(self) -> tuple[tuple[float, float], ...]:
        """Return points (hours since immersing, average thickness in um), the gentle start included."""
        start_current, start_time = self.start
        started = layer_thickness(mass_deposited(start_current * start_time), self.area)
        end = start_time + self._main_time()
        return ((0.0, 0.0), (start_time, 1000 * started), (end, 1000 * self.thickness))

    def _main_time(self) -> float:
        return self.time - self.start[0] * self.start[1] / self.current

    def sections(self) -> tuple[Section, ...]:
        """Return the run for a reader: the numbers and what is wrong with them, the plan, the bath after, cautions."""
        blocks = (
            Section("Your run", self._result_lines()),
            Section("What you should know", self.warnings),
            Section("What to do, in this order", self._plan_lines(), numbered=True),
            Section("If you turn it up later", self._turning_up_lines()),
            Section("The bath afterwards", self._after_lines()),
            Section("Take care", cautions(self.acts), caution=True),
            *first_aid(self.acts),
        )
        return tuple(block for block in blocks if block.lines)

    def _result_lines(self) -> tuple[str, ...]:
        low, high = self.recommended
        small, large = self.anode_area
        lines = [
            line(
                "Current: {current} on {area}, which is {density}",
                current=_amperes(self.current),
                area=_square_cm(self.area),
                density=Amount(self.current_density, "A/dm²", 2),
            ),
            line("Time: {time}, {charge}", time=_hours(self.time), charge=Amount(self.ampere_hours, "A·h", digits=3)),
            line(
                "Copper: {copper}, on average {thickness} thick; that is known as well as the area. Edges get two to "
                "three times as much, recesses less",
                copper=Amount(self.copper, "g", digits=3),
                thickness=Amount(1000 * self.thickness, "µm"),
            ),
            line(
                "Recommended: {densities}, {low} to {high} on this part",
                densities=Amount(low, "A/dm²", 2, upper=high),
                low=_amperes(low * self.area),
                high=_amperes(high * self.area),
            ),
            line(
                "Limiting current density: {limit}, for {whose} {copper} copper sulfate",
                limit=Amount(self.limit.value, "A/dm²", standard_uncertainty=self.limit.standard_uncertainty),
                whose="the measured" if self.limit.measured else "an assumed lean bath of",
                copper=Amount(self.limit.copper_sulfate, "g/L"),
            ),
            line(
                "Anodes: {small} to {large} facing the part, once to twice its area",
                small=_square_cm(small),
                large=_square_cm(large),
            ),
        ]
        if self.panel:
            lines.append(_panel_line(self.panel))
        if self.voltage:
            lines.append(
                line(
                    "Voltage: about {volts} with {distance} between part and anode, more while a conductive paint "
                    "still carries the current. Go by the amperes, not by the volts",
                    volts=Amount(self.voltage[0], "V", 1, upper=self.voltage[1]),
                    distance=Amount(DISTANCE, "cm"),
                )
            )
        if self.additive:
            low_mL, high_mL = self.additive
            lines.append(
                line(
                    "Additive used up: {additive} of a ready-made solution; its label knows better",
                    additive=Amount(low_mL, "mL", digits=1, upper=high_mL),
                )
            )
        return tuple(lines)

    def _plan_lines(self) -> tuple[str, ...]:
        start_current, start_time = self.start
        return (
            "Clean the part until water runs off as a closed film, close every pore of what lies under the paint, and "
            "check each contact.",
            "Connect part and anodes, switch on, then immerse.",
            f"Start at {_amperes(start_current)} for {_hours(start_time)}, until copper covers the paint everywhere.",
            f"Go on at {_amperes(self.current)} for {_hours(self._main_time())}. Look now and then: turn the part by "
            "its dry wire, brush off nodules with the current off, and read the current again, because it rises while "
            "the copper grows over the paint.",
            "Lift it out by its dry wire with the current on, hands clear of the liquid; then switch off, rinse, and "
            "put it into baking-soda water.",
        )

    def _turning_up_lines(self) -> tuple[str, ...]:
        coarse, trees = (share * self.limit.value * self.area for share in (SMOOTH[1], TREES))
        return (
            f"Above about {_amperes(coarse)} the copper grows coarser and edges grow nodules; above about "
            f"{_amperes(trees)} trees and dark powder. Both are known only to about a factor of two.",
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
                "If they do not (passive or inert anodes): {bath}. These {charge} take {salt} of copper sulfate and "
                "leave {acid} of acid.",
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
            "copper_g": self.copper,
            "ampere_hours": self.ampere_hours,
            "thickness_um": 1000 * self.thickness,
            "anode_area_dm2": list(self.anode_area),
            "voltage_V": list(self.voltage) if self.voltage else None,
            "additive_mL": list(self.additive) if self.additive else None,
            "plan": [
                {"do": "start", "current_A": self.start[0], "time_h": self.start[1]},
                {"do": "go on", "current_A": self.current, "time_h": self._main_time()},
            ],
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
        raise InputError.missing("plate: area", 'needed is the area of the part, such as "85 cm²"')
    advice = assess(sheet)
    limit = limit_of(sheet, advice, sheet.plate.stirring)
    recommended = recommended_range(limit)
    if sheet.hull_cell:
        recommended = within_panel(recommended, sheet.hull_cell, sheet.plate.stirring)
    area = sheet.plate.area.value
    current, time = _current_and_time(sheet.plate, sum(recommended) / 2 * area)
    start_time = min(LONGEST_START, 0.1 * time)
    run = PlatingRun(
        limit=limit,
        recommended=recommended,
        area=area,
        current=current,
        time=time,
        start=(min(current, recommended[0] * area) / 2, start_time),
        anode_area=(ANODE_RATIO[0] * area, ANODE_RATIO[1] * area),
        voltage=_voltage(limit, sheet.bath.temperature.value, current / area),
        additive=_additive(sheet, current * time),
        fed=bath_after(advice, 0.0),
        unfed=bath_after(advice, mass_deposited(current * time)),
        warnings=(),
        acts=(*ACTS, Act.INERT_ANODE, Act.CHLORINE_AT_THE_ANODE) if sheet.bath.anodes in (None, "inert") else ACTS,
        panel=sheet.hull_cell.panel() if sheet.hull_cell else None,
    )
    return replace(run, warnings=_warnings(sheet, advice, run))


def limit_of(sheet: Sheet, advice: Assessment, stirring: str) -> Limit:
    """Return the limiting current density from the measured copper and the bath's temperature.

    The standard uncertainty joins that of the model with those of copper and temperature. Where the readings do not
    tell the copper it is reckoned for a lean bath, so that what follows from it burns no edge; such a limit is not
    `measured`.
    """
    found = _measured_copper(advice)
    copper = found or _cautious_copper(advice)
    at = max(copper.value, LEAST_COPPER_SULFATE)
    acid = advice.values["sulfuric_acid"]
    acid_value = acid.value if acid else USUAL_ACID
    temperature = sheet.bath.temperature
    base = limiting_current_density(at, acid_value, temperature.value, stirring)
    by_copper = float(base.value) * copper.standard_uncertainty / at
    warmer = temperature.value + temperature.uncertainty_or(TEMPERATURE_UNCERTAINTY)
    by_temperature = limiting_current_density(at, acid_value, warmer, stirring).value - base.value
    spread = math.hypot(float(base.standard_uncertainty), by_copper, float(by_temperature))
    return Limit(float(base.value), spread, at, acid_value, measured=found is not None)


def _measured_copper(advice: Assessment) -> Value | None:
    """Return the copper sulfate if the readings tell it no worse than the model of the limit is known, else None."""
    found = advice.estimate
    if advice.values["copper_sulfate"] or found is None or "copper_sulfate" not in found.measured:
        return advice.values["copper_sulfate"]
    value, spread = found.value("copper_sulfate"), found.standard_uncertainty("copper_sulfate")
    return Value(value, spread) if spread < KNOWN_ENOUGH * value else None


def _cautious_copper(advice: Assessment) -> Value:
    """Return copper sulfate that the bath most likely has: the lean recipe, or less where the readings point lower."""
    found = advice.estimate
    value = CAUTIOUS_COPPER_SULFATE
    if found is not None and "copper_sulfate" in found.measured:
        value = min(value, found.value("copper_sulfate") - found.standard_uncertainty("copper_sulfate"))
    value = max(value, LEAST_COPPER_SULFATE)
    return Value(value, KNOWN_ENOUGH * value)


def recommended_range(limit: Limit) -> tuple[float, float]:
    """Return the range for smooth thick copper [A/dm2]: 0.3 to 0.5 of the limit, and not above what is usual."""
    high = min(SMOOTH[1] * limit.value, MOST_USUAL)
    return high * SMOOTH[0] / SMOOTH[1], high


def within_panel(recommended: tuple[float, float], panel: HullCell, stirring: str) -> tuple[float, float]:
    """Return a range of averages [A/dm2] narrowed by a panel: no edge burns, and what gets least is not dull.

    What burns is limited by what diffuses, so that it grows with the stirring as the limiting current does. A panel is
    plated thin and says nothing of how smooth a thick form grows: it lowers the range and never raises it.
    """
    shown = panel.panel()
    stirred = DIFFUSION_LAYER[panel.stirring] / DIFFUSION_LAYER[stirring]
    low, high = recommended
    if shown.burns_from is not None:
        high = min(high, shown.burns_from * stirred / EDGES_GET)
    if shown.bright_down_to is not None:
        low = max(low, shown.bright_down_to)
    if low > high:  # it burns at the edges before it shines in the recesses: the edges come first
        low = high * SMOOTH[0] / SMOOTH[1]
    return low, high


def _current_and_time(wanted: Plate, recommended_current: float) -> tuple[float, float]:
    """Return current [A] and time [h] from what the sheet gives of thickness, time and current."""
    current = wanted.current.value if wanted.current else None
    time = wanted.time.value if wanted.time else None
    if wanted.thickness is None and time is None and current is None:
        raise InputError.missing("plate: thickness", 'needed is a thickness, such as "150 µm", or a time or a current')
    thickness = wanted.thickness.value if wanted.thickness else USUAL_THICKNESS
    charge = charge_for_mass(layer_mass(wanted.area.value, thickness))
    if current is not None and time is not None:
        _refuse_disagreement(wanted, current * time, charge)
        return current, time
    if time is not None:
        return (charge / time if wanted.thickness else recommended_current), time
    current = recommended_current if current is None else current
    return current, charge / current


def _refuse_disagreement(wanted: Plate, given: float, needed: float) -> None:
    """Refuse a thickness whose charge [A·h] is not that of the current and the time given with it."""
    if wanted.thickness and wanted.time and wanted.current and abs(given / needed - 1) > AGREE:
        raise InputError(
            "plate: time",
            show(wanted.time.text),
            f"that current takes {needed / wanted.current.value:.3g} h to this thickness: leave out thickness, time or "
            "current",
            Fault.CONFLICT,
        )


def _voltage(limit: Limit, temperature: float, current_density: float) -> tuple[float, float] | None:
    """Return the voltage [V] across the liquid, and with the electrodes; None where conductivity is not known."""
    if not limit.measured or limit.sulfuric_acid < 50.0:
        return None
    conducts = float(conductivity(limit.copper_sulfate, limit.sulfuric_acid, temperature))
    liquid = current_density / 100.0 * DISTANCE / conducts
    return (liquid, liquid + ELECTRODE_VOLTAGE) if liquid > 0 else None


def _additive(sheet: Sheet, ampere_hours: float) -> tuple[float, float] | None:
    if not sheet.bath.additives:
        return None
    low, high = ADDITIVE_PER_AMPERE_HOUR
    return low * ampere_hours, high * ampere_hours


def bath_after(advice: Assessment, copper: float) -> BathAfter:
    """Return the bath after it gave up copper [g] that no anode replaced.

    CuSO4·5H2O → Cu + H2SO4 + 4 H2O + ½ O2, so an ampere-hour takes 4.658 g of salt and leaves 1.830 g of acid. An exact
    mass balance; a bath that holds less copper gives only what it has.
    """
    found = advice.estimate
    if found is None:
        return BathAfter(advice.volume_L, None, None)
    salts, _ = found.sum_of(SULFATE)
    before = masses(found.value("copper_sulfate"), found.value("sulfuric_acid"), salts, advice.volume_L)
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
        max(float(after.copper_sulfate), 0.0) if advice.values["copper_sulfate"] else None,
        float(after.sulfuric_acid) if advice.values["sulfuric_acid"] else None,
    )


# --- Warnings -------------------------------------------------------------------------------------


def _warnings(sheet: Sheet, advice: Assessment, run: PlatingRun) -> tuple[str, ...]:
    return (
        *_about_bath(sheet, run),
        *_about_current(sheet, run),
        *_about_anodes(sheet, run),
        *_about_feeding(sheet, advice, run),
    )


def _about_bath(sheet: Sheet, run: PlatingRun) -> list[str]:
    said = []
    if sheet.bath.condition:
        said.append(
            f"Do not plate yet: the bath shows {', '.join(sheet.bath.condition)}. Mend that first, then check the bath."
        )
    if not run.limit.measured:
        said.append(
            line(
                "The copper in the bath is not settled, so the limiting current is not known. The current is reckoned "
                "for a lean bath of {lean}; a stronger bath stands more. Take a reading (Check) to know.",
                lean=Amount(run.limit.copper_sulfate, "g/L"),
            )
        )
    if sheet.bath.temperature.value < 18.0:
        said.append(
            line(
                "The bath is cold: each degree costs about 3 % of the current that it stands. {21 to 32 °C} plates "
                "better (from memory)."
            )
        )
    return said


def _about_current(sheet: Sheet, run: PlatingRun) -> list[str]:
    said = _about_share(run)
    wanted, per_litre = sheet.plate, run.current / sheet.bath.volume.value
    if wanted and wanted.thickness is None and wanted.time is None:
        usual = Amount(1000 * USUAL_THICKNESS, "µm")
        said.append(line("You gave neither thickness nor time: reckoned for {usual}.", usual=usual))
    if run.current > MOST_PER_LITRE * sheet.bath.volume.value:
        said.append(
            f"That is {per_litre:.1f} A a litre of bath, and about {MOST_PER_LITRE:g} is the most that is usual: it "
            "will warm and drift quickly."
        )
    return said


def _about_share(run: PlatingRun) -> list[str]:
    """Say where a current stands that is above what is recommended."""
    share = run.current_density / run.limit.value
    chance = 100 * run.limit.probability_above(TREES, run.current_density)
    limit = "the limiting current" if run.limit.measured else "the limiting current of a lean bath"
    at = f"{_amperes(run.current)} is {share:.2f} of {limit} (above {TREES:g}, where trees form: {chance:.0f} % likely)"
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
                most=MOST_USUAL,
            )
        ]
    return []


def _about_anodes(sheet: Sheet, run: PlatingRun) -> list[str]:
    if sheet.plate is None or sheet.plate.anode_area is None:
        return []
    ratio = sheet.plate.anode_area.value / run.area
    if ratio < ANODE_RATIO[0]:
        return [
            f"Your anodes are {ratio:.2f} times the part: too small, they turn passive and the current falls. Use once "
            "to twice its area."
        ]
    if ratio > 2 * ANODE_RATIO[1]:
        return [
            f"Your anodes are {ratio:.1f} times the part: more than needed, they feed the bath copper even while idle."
        ]
    return []


def _about_feeding(sheet: Sheet, advice: Assessment, run: PlatingRun) -> list[str]:
    before = advice.values["copper_sulfate"]
    after, limits = run.unfed.copper_sulfate, limits_of(sheet)["copper_sulfate"]
    if before is None or after is None:
        return []
    held = before.value * advice.volume_L / PENTAHYDRATE_PER_COPPER
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
                "({limit:g}).",
                after=Amount(after, "g/L"),
                limit=limits[0],
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


def _amperes(current: float) -> str:
    if current < 0.1:
        return f"{1000 * current:.3g} mA"
    return f"{current:.{2 if current < 10 else 1}f} A"


def _hours(time: float) -> str:
    if time < 1 / 60:
        return f"{3600 * time:.2g} s"
    return f"{time:.1f} h" if time >= 1.5 else f"{60 * time:.0f} min"


def _square_cm(area: float) -> Amount:
    return Amount(100 * area, "cm²") if area >= 0.1 else Amount(100 * area, "cm²", digits=2)


def _bath(after: BathAfter) -> Line:
    parts = ((after.copper_sulfate, "copper sulfate"), (after.sulfuric_acid, "sulfuric acid"))
    known = [line("{held} {name}", held=Amount(value, "g/L"), name=name) for value, name in parts if value is not None]
    return joined(", ", known or ["its make-up is not known"])
