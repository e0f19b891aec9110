"""Treatments of a bath that are no correction: what each takes for this bath, how long, and what is left over.

Carbon, filtering and plating on scrap stand here; thinning of chloride in `thinning_chloride`, heat and crystals in
`warming`. What each does and how it is done is said in the table `treatments`, with its sources.

Sources
-------
Carbon 2-5 g/L: from memory; 2 g/L: posting of a board shop, see the table. Scrap at 0.2-0.5 A/dm2: from memory. Wet
carbon holds about twice its mass of bath: judgement. A well mixed tank keeps exp(-n) of its particles after n turnovers
through a filter that stops all, and exp(-t/T) of a trace that every touch of the scrap plates out, T = V d / (A D):
computed.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from advisor.basis.fields import InputError
from advisor.check.assessment import Assessment, assess
from advisor.check.headline import Headline, Tone
from advisor.questions.ailments import CARBON_FAILED
from advisor.questions.thinning_chloride import less_chloride
from advisor.questions.treatment import Treatment, litres_said
from advisor.questions.warming import redissolving, warming
from advisor.sheet import TREATMENTS, Sheet, Treat
from advisor.solution.faraday import mass_deposited
from advisor.solution.transport import DIFFUSION_LAYER, diffusion_coefficient
from advisor.words.cautions import Act
from advisor.words.lines import Amount, filled, line
from advisor.words.time_and_current import roughly

USUAL_CARBON = (2.0, 5.0)  # g/L (from memory)
BATH_PER_CARBON = 2.0  # mL that a gram of wet carbon holds (judgement)
CAKE_PER_CARBON = 3.3  # g of wet cake a gram of carbon: itself and 2 mL of bath at 1.16 g/mL (computed)
CLEAN = 0.05  # share of the particles that may be left (judgement)
TURNOVERS = -math.log(CLEAN)  # of a well mixed tank (computed)
SCRAP_DENSITY = (0.2, 0.5)  # A/dm2 (from memory)
SCRAP_PER_LITRE = 0.5  # dm2 of scrap a litre of bath where nobody said how much there is (judgement)
USUAL_COPPER_SULFATE, USUAL_ACID = 200.0, 60.0  # g/L, for diffusion where nothing is measured (judgement)

CARBON_WORK, CARBON_TIME = 2.0, 14.0  # h: of hands, and in all with a night to settle (judgement)
CARBON_ACTS = (
    Act.CARBON_DUST,
    Act.PARTS_AND_ANODES_OUT,
    Act.HEATER_IN_ACID,
    Act.WARM_BATH,
    Act.HANDLING_BATH,
    Act.FOOD_WARE,
    Act.ONE_CHANGE,
    Act.COPPER_WASTE,
    Act.LOCAL_RULES,
)
FILTER_ACTS = (Act.HANDLING_BATH, Act.PLATING_CURRENT, Act.FOOD_WARE, Act.COPPER_WASTE)
SCRAP_ACTS = (
    Act.CONNECTING_A_PART,
    Act.SHORT_CIRCUIT,
    Act.PLATING_CURRENT,
    Act.REACHING_IN,
    Act.GAS_AT_THE_ELECTRODES,
    Act.HANDLING_BATH,
    Act.COPPER_WASTE,
)


def treat(sheet: Sheet) -> Treatment:
    """Return the treatment that a sheet's table `[treat]` asks for; raises InputError where there is none."""
    if sheet.treat is None:
        raise InputError.missing("treat: what", f"choose one of: {', '.join(TREATMENTS)}")
    answers: dict[str, Callable[[Sheet, Treat], Treatment]] = {
        "carbon": carbon,
        "filtering": filtering,
        "dummying": dummying,
        "less chloride": lambda sheet, _: less_chloride(sheet),
        "warming": warming,
        "crystals": redissolving,
    }
    return answers[sheet.treat.what](sheet, sheet.treat)


def carbon(sheet: Sheet, wanted: Treat) -> Treatment:
    """Return how much carbon a bath takes [g], and what of the bath stays in it [L]."""
    volume, dose, has_none = sheet.bath.volume.value, wanted.carbon.value, sheet.bath.additives is False
    grams = dose * volume
    lost = BATH_PER_CARBON * grams / 1000
    words = {
        "grams": Amount(grams, "g", digits=3),
        "dose": Amount(dose, "g/L", digits=2),
        "volume": Amount(volume, "L", 2),
        "lost": litres_said(lost),
        "cake": Amount(CAKE_PER_CARBON * grams, "g", digits=2),
        "then": "and check the bath" if has_none else "check the bath, and dose additives as for a new one",
    }
    gone = "Afterwards all additives are gone: dose as for a new bath."
    also_gone = "" if has_none else ", and all additives are gone"
    return Treatment(
        what="carbon",
        glance=Headline(
            Tone.TO_DO,
            "Two hours of work, and a night to settle",
            filled("Wet {grams} of activated carbon, and stir it in.", words),
            () if has_none else (gone,),
        ),
        numbers={
            "carbon_g": grams,
            "dose_g_L": dose,
            "bath_lost_L": lost,
            "waste_L": lost,
            "hands_on_h": CARBON_WORK,
            "time_h": CARBON_TIME,
        },
        result=(
            filled("{grams} of activated carbon for {volume} of bath, {dose}", words),
            "Time: about two hours of work, and a night to settle",
            filled("Afterwards: about {lost} of bath stays in the carbon" + also_gone, words),
        ),
        words=words,
        acts=CARBON_ACTS,
        warnings=tuple(_about_carbon(sheet, dose)),
    )


def _about_carbon(sheet: Sheet, dose: float) -> list[str]:
    said: list[str] = []
    if dose > USUAL_CARBON[1]:
        said.append(
            line(
                "{dose} is more than is usual (up to {most}): it takes more bath with it than it does good.",
                dose=Amount(dose, "g/L", digits=2),
                most=Amount(USUAL_CARBON[1], "g/L"),
            )
        )
    if sheet.bath.additives is False:
        said.append("Your bath has no additives, so nothing needs to be dosed afterwards.")
    if sheet.keep and sheet.keep.carbon_treated >= CARBON_FAILED:
        said.append(
            "It has been treated twice or more already: if that did not cure it, one more will not. Ask Keep or remake."
        )
    return said


def filtering(sheet: Sheet, wanted: Treat) -> Treatment:
    """Return how long a pump filters a bath until a twentieth of what floats is left [h]."""
    litres = sheet.bath.volume.value
    volume = Amount(litres, "L", 2)
    hours: float | None = None
    warnings: tuple[str, ...] = ()
    if wanted.pump is None:
        matter, act = "Without a pump", line("Run it all through a filter bag or two coffee filters.")
        said = line(
            "Without a pump: run all {volume} through a filter bag or two coffee filters into a second vessel, and "
            "wash the tank out with the first of it.",
            volume=volume,
        )
        warnings = ("Say what your pump moves in an hour with the filter in, and you are told how long it takes.",)
    else:
        hours = TURNOVERS * litres / wanted.pump.value
        matter, act = "Takes out what floats", line("Run the pump for {hours}.", hours=roughly(hours))
        said = line(
            "Run the pump for {hours}: {turnovers:.0f} times {volume}, after which a twentieth of what floated is left "
            "in a well mixed tank.",
            hours=roughly(hours),
            turnovers=TURNOVERS,
            volume=volume,
        )
    return Treatment(
        what="filtering",
        glance=Headline(Tone.TO_DO, matter, act, ()),
        numbers={"time_h": hours, "turnovers": TURNOVERS, "share_left": CLEAN, "waste_L": 0.0},
        result=(said,),
        words={"how_long": said},
        acts=FILTER_ACTS,
        warnings=warnings,
    )


def dummying(sheet: Sheet, wanted: Treat) -> Treatment:
    """Return current [A], and about how long [h], to plate traces out on scrap."""
    volume, assessment = sheet.bath.volume.value, assess(sheet)
    area = wanted.scrap.value if wanted.scrap else SCRAP_PER_LITRE * volume
    low, high = (density * area for density in SCRAP_DENSITY)
    layer = min(DIFFUSION_LAYER["moved"], DIFFUSION_LAYER[sheet.plate.stirring if sheet.plate else "moved"])
    hours = hours_of_a_trace(volume, area, layer, *_contents(assessment), sheet.bath.temperature.value)
    charge = (low + high) / 2 * hours
    copper = mass_deposited(charge)
    scale, unit = (1.0, "A") if high >= 0.1 else (1000.0, "mA")
    words = {
        "area": Amount(100 * area, "cm²", digits=2),
        "current": Amount(scale * low, unit, digits=2, upper=scale * high),  # of which only the order matters
        "density": Amount(SCRAP_DENSITY[0], "A/dm²", 1, upper=SCRAP_DENSITY[1]),
        "hours": roughly(hours),
        "layer": f"{10 * layer:g}",
        "copper": Amount(copper, "g", digits=2),
        "charge": Amount(charge, "A·h", digits=2),
    }
    return Treatment(
        what="dummying",
        glance=Headline(
            Tone.TO_DO,
            "Takes out what plates out with copper",
            filled("Hold {current} on {area} of scrap for {hours} or so.", words),
            ("Connect it, switch on, then immerse.",),
        ),
        numbers={
            "area_dm2": area,
            "current_low_A": low,
            "current_high_A": high,
            "time_to_a_third_left_h": hours,
            "time_to_a_twentieth_left_h": 3 * hours,
            "ampere_hours": charge,
            "copper_g": copper,
            "waste_L": 0.0,
        },
        result=(filled("{current} on {area} of scrap, for {hours} or so: a rough figure", words),),
        words=words,
        acts=SCRAP_ACTS,
        warnings=tuple(_about_scrap(sheet, hours)),
    )


def hours_of_a_trace(
    volume: float, area: float, layer: float, copper_sulfate: float, sulfuric_acid: float, temperature: float
) -> float:
    """Return the time [h] in which a trace in a bath [L; g/L, g/L; degC] falls to 1/e on scrap [dm2].

    layer: the diffusion layer at the scrap [cm]; the trace diffuses as copper does, and all that arrives stays.
    """
    speed = float(diffusion_coefficient(copper_sulfate, sulfuric_acid, temperature)) / layer  # [cm/s]
    return volume * 1000.0 / (area * 100.0 * speed) / 3600.0


def _contents(assessment: Assessment) -> tuple[float, float]:
    copper, acid = assessment.values["copper_sulfate"], assessment.values["sulfuric_acid"]
    return (copper.value if copper else USUAL_COPPER_SULFATE, acid.value if acid else USUAL_ACID)


def _about_scrap(sheet: Sheet, hours: float) -> list[str]:
    bath, said = sheet.bath, []
    stays = [name for name in ("iron", "zinc", "nickel") if (held := getattr(bath, name)) and held.value > 0]
    if stays:
        said.append(f"It does not take out the {' and '.join(stays)} that you declared: only replacing bath does.")
    if hours > 24:
        said.append("That takes days: more scrap and more stirring make it faster, each in proportion.")
    if bath.anodes == "inert":
        said.append("With inert anodes the copper that goes onto the scrap leaves the bath: check it afterwards.")
    return said
