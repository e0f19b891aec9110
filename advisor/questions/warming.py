"""Warming a bath in its tank, and bringing back crystals from its floor.

Watts and hours follow from `solution.heat_loss`, what dissolves and what stays dissolved from `solution.solubility`.
Crystals on the floor mean that the liquid over them is saturated: what it holds follows from its temperature and acid,
whatever a reading of an unsound sample says.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from scipy.optimize import brentq

from advisor.basis.components import SALT_AND_ACID
from advisor.check.assessment import assess, limits_of
from advisor.check.correction import SMALL_SHARE
from advisor.check.headline import Headline, Tone
from advisor.questions.treatment import Treatment, litres_said
from advisor.sheet import Sheet, Treat
from advisor.solution.composition import Masses, composition, masses
from advisor.solution.density import WATER_DENSITY
from advisor.solution.heat_loss import (
    RELATIVE_UNCERTAINTY,
    Tank,
    heat_loss,
    hours_to_warm,
    warmest,
)
from advisor.solution.solubility import ceiling_fraction, safe_up_to, saturation
from advisor.words import time_and_current
from advisor.words.cautions import Act
from advisor.words.lines import Amount, Line, capital, joined, line

IN_GOOD_TIME = 4.0  # h, in which a heater should warm the bath (judgement)
# W, sizes that heaters are sold in (from memory).
STEPS_OF_HEATERS = (25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0)
# W a litre of bath, which warm it by 1.4 degC a minute (computed): nobody keeps a temperature so (judgement).
MOST_PER_LITRE = 100.0
DULLS_ABOVE = 30.0  # degC for brighteners (from memory)
MIST_ABOVE = 40.0  # degC (judgement)
LEAN = 50.0  # g/L, which stays dissolved anywhere: the end of a search (judgement)
HEATER = "Residual-current breaker; covered by liquid whenever it is on; off before a hand goes in."
NO_WATER = 0.0005  # L, which would be written as nothing (judgement)
EXAMPLE = 100.0  # g of crystals where nobody said how many there are (judgement)
LEAST_LEFT = 0.001  # of the bath, that stays in the tank whatever is drawn (judgement)

WARMING_ACTS = (Act.HEATER_IN_ACID, Act.WARM_BATH, Act.HANDLING_BATH, Act.EVAPORATION)
CRYSTAL_ACTS = (
    Act.PARTS_AND_ANODES_OUT,
    Act.PLATING_CURRENT,
    Act.REACHING_IN,
    Act.DISSOLVING_CRYSTALS,
    Act.HOT_CRYSTALS,
    Act.HEATER_IN_ACID,
    Act.WARM_BATH,
    Act.COPPER_SULFATE,
    Act.HANDLING_BATH,
    Act.WITHDRAWN_BATH,
    Act.COPPER_WASTE,
)


@dataclass(frozen=True)
class Heating:
    """A bath on its way from `now` to `goal` [degC] by a heater [W]; given: it is the person's own.

    hours: until it is there, None where it never gets there. hold: what keeps it there [W].
    too_strong: it gives a litre of this bath more than any heater should.
    """

    now: float
    goal: float
    heater: float
    given: bool
    hours: float | None
    hold: float
    too_strong: bool

    @property
    def glance(self) -> Headline:
        """The answer in one glance."""
        there = Amount(self.goal, "°C")
        if self.goal <= self.now:
            said = line("It takes {hold} to hold {goal}.", hold=_watts(self.hold), goal=there)
            return Headline(Tone.INSIDE, line("It is at {now} already", now=Amount(self.now, "°C")), said, (HEATER,))
        if self.hours is None:
            matter = line("{heater:.0f} W never gets it to {goal}", heater=self.heater, goal=there)
            return Headline(Tone.IN_THE_WAY, matter, line("Cover it, wrap its walls, or take a stronger heater."), ())
        if self.too_strong:
            matter = line("{heater:.0f} W is too strong for this bath", heater=self.heater)
            weaker = line("Look at what stands on it, or take a weaker one.")
            return Headline(Tone.IN_THE_WAY, matter, weaker, (HEATER,))
        matter = line("At {goal} in {hours}", goal=there, hours=time_and_current.hours(self.hours))
        act = "Your heater of {heater:.0f} W will do." if self.given else "Take a heater of {heater:.0f} W."
        return Headline(Tone.TO_DO, matter, line(act, heater=self.heater), (HEATER,))

    @property
    def how_long(self) -> Line:
        """How long the heater takes, in words."""
        if self.goal <= self.now:
            return line("The bath is at {now} already", now=Amount(self.now, "°C"))
        if self.hours is None:
            return line("A heater of {heater:.0f} W never gets there: the tank gives off as much", heater=self.heater)
        return line(
            "A heater of {heater:.0f} W takes {hours} from {now} to {goal}, {energy:.2g} kWh",
            heater=self.heater,
            hours=time_and_current.hours(self.hours),
            now=Amount(self.now, "°C"),
            goal=Amount(self.goal, "°C"),
            energy=self.heater * self.hours / 1000,
        )

    @property
    def which_heater(self) -> Line:
        """Which heater it is, in words."""
        if self.hours is None:
            return line("{heater:.0f} W is not enough.", heater=self.heater)
        if self.too_strong:
            return line("yours of {heater:.0f} W is too strong: take a weaker one.", heater=self.heater)
        if self.given:
            return line("yours of {heater:.0f} W is counted on.", heater=self.heater)
        return line("{heater:.0f} W suits this tank.", heater=self.heater)


def warming(sheet: Sheet, wanted: Treat) -> Treatment:
    """Return the watts that hold a bath at a temperature, and the hours that a heater takes to get there."""
    tank = Tank.of(sheet.bath.volume.value, wanted.surface.value if wanted.surface else None)
    now, goal, room = sheet.bath.temperature.value, wanted.wanted.value, wanted.room.value
    covered = bool(wanted.covered)
    loss = heat_loss(tank, goal, room, covered)
    hold, hold_covered = max(loss.total, 0.0), max(heat_loss(tank, goal, room, covered=True).total, 0.0)
    heater = wanted.heater.value if wanted.heater else heater_for(tank, now, goal, room, covered)
    hours = hours_to_warm(tank, now, goal, room, heater, covered)
    litres = max(24 * loss.water, 0.0)
    too_strong = wanted.heater is not None and heater > MOST_PER_LITRE * tank.volume
    heating = Heating(now, goal, heater, wanted.heater is not None, hours, hold, too_strong)
    numbers = {
        "hold_W": hold,
        "hold_standard_uncertainty_W": RELATIVE_UNCERTAINTY * hold,
        "heater_W": heater,
        "time_h": hours,
        "energy_to_warm_kWh": None if hours is None else heater * hours / 1000,
        "energy_a_day_kWh": 24 * hold / 1000,
        "water_L_a_day": litres,
        "hold_covered_W": hold_covered,
        "waste_L": 0.0,
    }
    result = (
        line(
            "To hold {goal} in a room of {room}: {hold}{lid}",
            goal=Amount(goal, "°C"),
            room=Amount(room, "°C"),
            hold=_watts(hold),
            lid=", covered" if covered else ", open",
        ),
        heating.how_long,
        line(
            "Counted for {volume} under an open surface of {surface}, still air at half humidity; a draught or air "
            "in the bath doubles it",
            volume=Amount(tank.volume, "L", 2),
            surface=Amount(1e4 * tank.surface, "cm²", digits=2),
        ),
    )
    words = {
        "heater": heating.which_heater,
        "how_long": line("{said}.", said=heating.how_long),
        "how_to_hold": line(
            "To hold it takes {hold} all the time, {daily:.1f} kWh a day{lid}.",
            hold=_watts(hold),
            daily=24 * hold / 1000,
            lid="" if covered else line(", under a lid {covered}", covered=_watts(hold_covered)),
        ),
        "evaporates": line(
            "about {litres} a day evaporates: make it up with distilled water. Published figures differ threefold.",
            litres=Amount(litres, "L", digits=2) if litres >= 0.1 else Amount(1000 * litres, "mL", digits=2),
        ),
    }
    warnings = tuple(_about_warming(sheet, tank, wanted, heating))
    return Treatment("warming", heating.glance, numbers, result, words, WARMING_ACTS, warnings=warnings)


def heater_for(tank: Tank, now: float, goal: float, room: float, covered: bool) -> float:
    """Return the smallest heater sold [W] that holds a tank warm [degC to degC, in a room of degC], in about 4 h."""
    hold = (1 + RELATIVE_UNCERTAINTY) * heat_loss(tank, goal, room, covered).total
    for watts in STEPS_OF_HEATERS:
        hours = hours_to_warm(tank, now, goal, room, watts, covered)
        if watts >= hold and hours is not None and hours <= IN_GOOD_TIME:
            return watts
    return STEPS_OF_HEATERS[-1]


def _about_warming(sheet: Sheet, tank: Tank, wanted: Treat, heating: Heating) -> list[str]:
    said: list[str] = []
    if heating.hours is None:
        most = warmest(tank, wanted.room.value, heating.heater, bool(wanted.covered))
        said.append(
            line(
                "In the end {heater:.0f} W keep it at about {warmest}. Cover it, wrap the walls, or take more.",
                heater=heating.heater,
                warmest=Amount(most, "°C"),
            )
        )
    if heating.too_strong:
        said.append(
            line(
                "{heater:.0f} W in {volume} warms the bath past its mark before you can switch it off: more than about "
                "{most:.0f} W a litre is too much (judgement). Look at what stands on it.",
                heater=heating.heater,
                volume=Amount(tank.volume, "L", 2),
                most=MOST_PER_LITRE,
            )
        )
    if wanted.wanted.value > MIST_ABOVE:
        said.append("Board shops go so warm under extraction: at home it is too much acid mist (judgement).")
    if wanted.wanted.value > DULLS_ABOVE and sheet.bath.additives is not False:
        said.append(line("Brighteners wear out fast above about {30 °C} (from memory)."))
    if "crystals" in sheet.bath.condition:
        said.append("There are crystals on the floor: choose that treatment, since water is wanted too.")
    return said


def _watts(power: float) -> str | Amount:
    """Return a power [W] as it is shown."""
    return Amount(power, "W", standard_uncertainty=RELATIVE_UNCERTAINTY * power) if power >= 1 else "no heat"


# --- Crystals -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class BroughtBack:
    """What bringing crystals back takes: water [L], so that they do not form again in the cold.

    copper_sulfate, sulfuric_acid [g/L], volume [L]: of the bath then; drawn: L of the liquid, before water goes in;
    lifted: g of the crystals, which do not come back.
    """

    water: float
    copper_sulfate: float
    sulfuric_acid: float
    volume: float
    drawn: float = 0.0
    lifted: float = 0.0


def redissolving(sheet: Sheet, wanted: Treat) -> Treatment:
    """Return the water that brings crystals on the floor back, so that they do not come again in the cold."""
    bath, floor = sheet.bath, wanted.on_floor.value if wanted.on_floor else None
    # A bath that is colder now than it is said to stand is going to be kept warmer.
    cold = max(bath.coldest.least, 0.0) if bath.was_given("coldest") else bath.coldest_degC
    acid, settled = _acid(sheet)
    now, most = sheet.bath.temperature.value, sheet.bath.most_L
    back = brought_back(bath.volume.value, now, cold, acid, floor or 0.0, most)
    without, one_more = (
        brought_back(bath.volume.value, now, cold, acid, (floor or 0.0) + grams, inf) for grams in (0.0, EXAMPLE)
    )
    per_example = one_more.water - without.water
    said = _how_much_water(back, floor, cold, per_example)
    return Treatment(
        what="crystals",
        glance=_crystals_glance(back, floor, cold, per_example),
        numbers={
            "water_L": back.water,
            "water_for_100_g_more_L": per_example,
            "on_floor_g": floor,
            "volume_after_L": back.volume,
            "copper_sulfate_after_g_L": back.copper_sulfate,
            "sulfuric_acid_after_g_L": back.sulfuric_acid,
            "lift_out_g": back.lifted,
            "draw_first_L": back.drawn,
            "waste_L": 0.0,
        },
        result=(
            said,
            line(
                "Afterwards: {volume} with {copper} copper sulfate and {acid} sulfuric acid",
                volume=litres_said(back.volume),
                copper=Amount(back.copper_sulfate, "g/L"),
                acid=Amount(back.sulfuric_acid, "g/L"),
            ),
        ),
        words={"how_much_water": said},
        acts=CRYSTAL_ACTS,
        warnings=tuple(_about_crystals(sheet, back, floor, settled)),
    )


def brought_back(
    volume: float, temperature: float, coldest: float, sulfuric_acid: float, on_floor: float, most: float
) -> BroughtBack:
    """Return what brings back crystals [g] under a bath [L, degC, g/L of acid], so that none form when coldest [degC].

    The liquid over them is saturated at its temperature. Water goes in until copper sulfate is at the ceiling that a
    correction keeps to for the coldest; the acid is thinned too. most: what the tank holds [L]. To make room up to a
    tenth of the bath is drawn, with its salt and acid; crystals that would take more are lifted out instead. More is
    drawn only where the liquid by itself has no room for its water.
    """

    def with_drawn(drawn: float, grams: float = on_floor) -> BroughtBack:
        return replace(_thinned(volume - drawn, temperature, coldest, sulfuric_acid, grams), drawn=drawn)

    def over(drawn: float, grams: float = on_floor) -> float:
        return with_drawn(drawn, grams).volume - most

    small = SMALL_SHARE * volume
    if over(0.0) <= 0:
        return with_drawn(0.0)
    if over(small) <= 0:
        return with_drawn(float(brentq(over, 0.0, small)))
    if over(small, 0.0) <= 0:
        fits = float(brentq(lambda grams: over(small, grams), 0.0, on_floor))
        fits = float(f"{0.99 * fits:.2g}")  # so that what is said fits though it is rounded
        return replace(with_drawn(small, fits), lifted=on_floor - fits)
    drawn = float(brentq(lambda drawn: over(drawn, 0.0), small, (1 - LEAST_LEFT) * volume))
    return replace(with_drawn(drawn, 0.0), lifted=on_floor)


def _thinned(volume: float, temperature: float, coldest: float, sulfuric_acid: float, on_floor: float) -> BroughtBack:
    """Return a saturated liquid and its crystals with the water that keeps all of it dissolved, as `brought_back`."""
    liquid = masses(float(saturation(temperature, sulfuric_acid)), sulfuric_acid, 0.0, volume)
    salt = float(liquid.copper_sulfate) + on_floor

    def filled(water: float) -> BroughtBack:
        grams = liquid.water + 1000 * WATER_DENSITY * water
        made = composition(Masses(salt, liquid.sulfuric_acid, 0.0, grams))
        return BroughtBack(water, float(made.copper_sulfate), float(made.sulfuric_acid), float(made.volume))

    def excess(water: float) -> float:
        made = filled(water)
        acid = made.sulfuric_acid
        return made.copper_sulfate - float(saturation(coldest, acid)) * float(ceiling_fraction(acid))

    return filled(0.0 if excess(0.0) <= 0 else float(brentq(excess, 0.0, volume + salt / LEAN)))


def _acid(sheet: Sheet) -> tuple[float, bool]:
    """Return the acid [g/L] that the solubility is worked out for, and whether it was measured."""
    found = assess(sheet).values["sulfuric_acid"]
    limits = limits_of(sheet)["sulfuric_acid"]
    return (found.value, True) if found else (sum(limits) / 2 if limits else 0.0, False)


def _how_much_water(back: BroughtBack, floor: float | None, coldest: float, per_example: float) -> Line:
    cold, water = Amount(coldest, "°C"), litres_said(back.water)
    lift = line("{lift}. ", lift=capital(_lift(back, floor))) if back.lifted else ""
    draw = line("First draw {litres} of bath into a closed vessel. ", litres=litres_said(back.drawn))
    room = line("{lift}{draw}", lift=lift, draw=draw if back.drawn else "")
    if floor is not None:
        stays = line(", with the {floor} from the floor,", floor=_grams(floor - back.lifted))
        return line(
            "{room}Add {water} of distilled water: then all of it{stays} stays dissolved down to {cold}.",
            room=room,
            water=water,
            stays=stays if floor > back.lifted else "",
            cold=cold,
        )
    if per_example < NO_WATER:
        return line("What is dissolved now and what lies on the floor stay so down to {cold} without water.", cold=cold)
    if back.water == 0:
        return line(
            "What is dissolved now stays so down to {cold} without more water; every {100 g} of crystals on the floor "
            "takes about {more} of distilled water.",
            cold=cold,
            more=litres_said(per_example),
        )
    return line(
        "{room}Add {water} of distilled water for what is dissolved now, so that it stays so down to {cold}, and about "
        "{more} more for every {100 g} of crystals on the floor{full}.",
        room=room,
        water=water,
        cold=cold,
        more=litres_said(per_example),
        full=", for which the tank has no room: say how many lie there" if back.drawn else "",
    )


def _lift(back: BroughtBack, floor: float | None) -> Line:
    left = (floor or 0.0) - back.lifted
    return line("lift out all but {left} of the crystals", left=_grams(left)) if left else line("lift the crystals out")


def _grams(crystals: float) -> Amount:
    return Amount(crystals, "g", digits=3)


def _crystals_glance(back: BroughtBack, floor: float | None, coldest: float, per_example: float) -> Headline:
    """Say how much water it takes; where nobody said what lies on the floor, for every hundred grams of it too."""
    steps = [_lift(back, floor)] if back.lifted else []
    steps += [line("draw {litres} into a closed vessel", litres=litres_said(back.drawn))] if back.drawn else []
    steps += [line("add {water} of distilled water", water=litres_said(back.water))] if back.water > 0 else []
    if floor is None and back.drawn:
        steps = [line("say first how many grams lie on the floor: the tank is full")]
    elif floor is None and per_example >= NO_WATER:
        more = "{more} more" if back.water > 0 else "add {more} of distilled water"
        for_each = line(f"{more} for every {{100 g}} on the floor", more=litres_said(per_example))
        steps = [joined(" and ", [joined(", ", steps), for_each])] if steps else [for_each]
    act = line("{steps}.", steps=capital(joined(", ", steps or ["warm it and stir: no water is needed"])))
    matter = line("So that no crystals form again down to {cold}", cold=Amount(coldest, "°C"))
    return Headline(Tone.TO_DO, matter, act, ())


def _about_crystals(sheet: Sheet, back: BroughtBack, floor: float | None, settled: bool) -> list[str]:
    said: list[str] = []
    if floor is None:
        said.append(
            line(
                "How much lies there nobody knows: guess it by spoons. A level tablespoon of crystals is about {20 g} "
                "(judgement)."
            )
        )
    if not settled:
        said.append("The acid is not measured with a sound sample, so the middle of your window is taken for it.")
    if back.drawn > 0:
        said.append(
            "The tank does not hold all of it: what is drawn is stock. Keep it closed, labelled and warm. Crystals "
            "that you lift out keep in a closed jar."
        )
    least = (limits_of(sheet)["sulfuric_acid"] or (0.0, 0.0))[0]
    if back.sulfuric_acid < least:
        said.append(
            line(
                "The water thins the acid to {acid}, below your window: check the bath afterwards, before you plate.",
                acid=Amount(back.sulfuric_acid, "g/L"),
            )
        )
    copper, acid = (assess(sheet).values[name] for name in SALT_AND_ACID)
    if copper and acid:
        full = float(saturation(sheet.bath.temperature.value, acid.value))
        if copper.value + 2 * copper.standard_uncertainty < float(safe_up_to(acid.value)) * full:
            said.append(
                line(
                    "Your readings say {here} of copper sulfate, but over crystals of it the liquid would hold about "
                    "{full}: stir, draw a sound sample and measure again, or what lies there is something else.",
                    here=Amount(copper.value, "g/L"),
                    full=Amount(full, "g/L"),
                )
            )
    return said
