"""Slips of the bench: each made on purpose on a sound bath of 200/60 g/L, and whether it is found, named and told apart."""

import re
from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from advisor import advise, read_sheet
from advisor.basis.fields import InputError
from advisor.basis.units import Measured
from advisor.check import slips
from advisor.check.advice import Advice
from advisor.check.estimate import Trials, estimate
from advisor.check.headline import headline
from advisor.check.known import Value
from advisor.check.slips import MOST_OF_A_KIND
from advisor.readings.model import State
from advisor.solution.density import density
from advisor.solution.hydrometer import reading_from_density
from advisor.words.slips import SAID, SlipName

NOTHING_GOT_IN = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
BATH = State(200.0, 60.0, 2.0)
LYE = {
    "kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium hydroxide",
    "strength": "1 mol/L", "end_point": "methyl orange",
}  # fmt: skip
SODA = LYE | {"titrant": "sodium carbonate", "strength": "0.25 mol/L"}
EDTA = {
    "kind": "copper titration", "method": "EDTA", "sample": "2 mL", "predilution": ["10 mL", "100 mL"],
    "strength": "0.01 mol/L", "indicator": "PAN",
}  # fmt: skip


def answer(*readings: dict[str, Any], **bath: Any) -> Advice:
    return advise(read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, **bath}, "reading": list(readings)}))


def shown(reading: dict[str, Any]) -> str:
    """Return what a reading of the bath of 200/60 g/L shows [mL], by its own model."""
    sheet = read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [{**reading, "used": "1 mL"}]})
    return f"{float(sheet.readings[0].model(sheet.bath.surroundings(), BATH).predict(BATH)[0]):.2f} mL"


def hydrometer(celsius: float = 20.0, scale: str = "SG 20/20", **more: str) -> dict[str, Any]:
    """Return a hydrometer in the bath of 200/60 g/L at a temperature."""
    value = float(reading_from_density(float(density(200.0, 60.0, 2.0, celsius)), scale, celsius))
    return {"kind": "hydrometer", "value": f"{value:.4f}", "scale": scale, **more}


def named(found: Advice) -> dict[tuple[str, str], dict[str, float]]:
    return {(slip["reading"], slip["slip"]): slip["estimate"] for slip in found.to_dict()["slips"]}


def sound_titration(reading: dict[str, Any] = LYE) -> dict[str, Any]:
    return {**reading, "used": shown(reading)}


def test_every_slip_of_the_list_says_what_it_is_and_how_to_tell() -> None:
    assert set(SAID) == set(SlipName)


@pytest.mark.parametrize("base_per_copper", [1.5, 1.75, 2.0])
def test_phenolphthalein_for_methyl_orange_throws_no_bath_away(base_per_copper: float) -> None:
    """60 g/L of acid take 1.223 mol/L of base, and 200 g/L of copper sulfate, 0.801 mol/L, 1.5 to 2 each on top.

    10 mL then take 24 to 28 mL of 1 mol/L lye instead of 12, which as acid alone would be 119 to 139 g/L.
    """
    used = 10 * (2 * 60 / 98.08 + base_per_copper * 200 / 249.69)
    found = answer(LYE | {"used": f"{used:.1f} mL"}, hydrometer())
    assert found.estimate is not None
    assert found.estimate.value("sulfuric_acid") > 115
    assert found.state == "repeat first"
    assert found.steps == ()
    assert found.ways == ()  # no carbonate either on the word of a reading that may be a slip
    slip = named(found)["reading 1", "phenolphthalein end point"]
    # Half-way between the salts is taken: that is off by 0.25 · 0.80 · 49 = 10 g/L of acid at either end, and as much of
    # copper sulfate the other way, which the density ties to it; with what the priors add.
    assert slip["sulfuric_acid_g_L"] == pytest.approx(60, abs=5 if base_per_copper == 1.75 else 18)
    assert slip["copper_sulfate_g_L"] == pytest.approx(200, abs=7 if base_per_copper == 1.75 else 20)
    assert "blue slime" in " ".join(text for section in found.sections() for text in section.lines)


def test_another_washing_soda() -> None:
    """Decahydrate weighed as if it were anhydrous is 106/286 as strong: 60 g/L read as 162."""
    strong = sound_titration(SODA)
    used = float(strong["used"].split()[0]) * 286.14 / 105.99
    found = answer(SODA | {"used": f"{used:.2f} mL"}, hydrometer())
    slip = named(found)["reading 1", "soda hydrate"]
    # What is sold as anhydrous may hold some water already, so that this rests on the density as well.
    assert slip["sulfuric_acid_g_L"] == pytest.approx(60, abs=15)
    assert slip["copper_sulfate_g_L"] + slip["sulfuric_acid_g_L"] == pytest.approx(260, abs=3)


def test_a_prediluted_sample_and_another_syringe() -> None:
    """Titrated from 1 in 10 and not said: 60 g/L read as 6. Drawn with 20 mL instead of 10: read as 120."""
    tenth = float(shown(LYE | {"sample": "1 mL"}).split()[0])
    thinned = named(answer(LYE | {"used": f"{tenth:.2f} mL"}, hydrometer(), sound_titration()))
    assert thinned["reading 1", "predilution forgotten"]["sulfuric_acid_g_L"] == pytest.approx(60, abs=2)
    # They contradict each other and a slip fits, though nothing would be taken out.
    apart = answer(LYE | {"used": f"{tenth:.2f} mL"}, hydrometer(), sound_titration())
    assert (apart.state, apart.steps) == ("repeat first", ())
    double = answer(LYE | {"used": shown(LYE | {"sample": "20 mL"})}, hydrometer())
    assert double.plan.repeat == (0,)
    said, instead = double.plan.why  # 120 g/L would have half of the bath thrown out
    assert said == "Reading 1 (acid titration) may be a slip of the hand."
    assert re.fullmatch(r"To bring it where you chose, 2\.\d\d L of 5\.60 L would have to go\.", instead)
    assert named(double)["reading 1", "other syringe"]["sulfuric_acid_g_L"] == pytest.approx(60, abs=2)


def test_a_predilution_that_was_not_done() -> None:
    """EDTA run on undiluted bath that the sheet calls one in ten: copper reads ten times too high, and is refused.

    One in two hundred called one in ten would read low: here the sheet says nothing of a tenfold thinning.
    """
    with pytest.raises(InputError):
        answer(EDTA | {"used": "160 mL"}, sound_titration())
    undiluted = {key: value for key, value in EDTA.items() if key != "predilution"}
    used = shown(EDTA)
    found = answer(undiluted | {"used": used}, sound_titration(), hydrometer())
    assert named(found)["reading 1", "predilution forgotten"]["copper_sulfate_g_L"] == pytest.approx(200, abs=4)


def test_a_slip_beside_a_reading_that_bends_is_still_found() -> None:
    """A tenth of the acid is titrated, 6 g/L instead of 60; a pen for pH, straight near 6, is not straight up to 60."""
    titrated = LYE | {"diluted_to": "200 mL", "strength": "1 mol/L", "used": "0.6 mL", "end_point": "methyl orange"}
    pen = {"kind": "thinned pH", "value": 2.13, "sample": "1 mL", "thinned_to": "100 mL", "temperature": "25 degC"}
    before = {"kind": "previous check", "copper_sulfate": "190 ± 10 g/L", "sulfuric_acid": "58 ± 6 g/L"}
    known = answer(titrated, pen | {"water": "3 uS/cm"}, before)
    assert known.plan.state == "repeat first"
    assert known.slips[0].name == SlipName.PREDILUTION_FORGOTTEN


def test_no_slip_is_sought_in_one_of_many_readings_where_the_others_contradict_each_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Sixty readings in two camps: each search is cheap and ends before the first whole estimate."""
    pen = {"kind": "thinned conductivity", "sample": "1 mL", "thinned_to": "500 mL", "temperature": "22 degC"}
    camps = [pen | {"value": value, "water": "3 uS/cm"} for value in ("1343 uS/cm", "1743 uS/cm")]
    whole = []
    monkeypatch.setattr(slips, "estimate_from", lambda *_: whole.append(1))
    found = answer(*(camps * 30))
    assert found.estimate
    assert found.estimate.agreement.p_value is not None
    assert found.estimate.agreement.p_value < 0.05
    assert not whole
    assert not found.slips


@pytest.mark.parametrize("apart", [3.38, 3.42, 3.48])
def test_a_slip_is_sought_though_the_other_readings_hardly_agree(apart: float) -> None:
    """Two checks of before agree with p = 0.01 by themselves; with a reading that fits both, p is above 0.05."""
    before = {"kind": "previous check", "since": "evaporation only"}
    acids = (f"{acid:.2f} ± 2 g/L" for acid in (60.0, 60.0 + apart))
    half = {**SODA, "sample": "10 mL", "used": f"{0.5 * float(shown(SODA).split()[0]) * (60 + apart / 2) / 60:.2f} mL"}
    found = answer(*(before | {"sulfuric_acid": acid} for acid in acids), half, volume="5.0 L", usual_volume="5.0 L")
    assert any(slip.name is SlipName.OTHER_SYRINGE for slip in found.slips)


def test_a_warm_hydrometer_and_another_scale() -> None:
    """200/60 g/L at 45 °C weighs about 0.012 g/mL less than at 20 °C, some 20 g/L of copper sulfate.

    19.8 degrees Baumé taken for Twaddell would be 1.099 g/mL instead of 1.158.
    """
    copper = sound_titration(EDTA | {"strength": "0.01 ± 0.00005 mol/L", "sample": "5 ± 0.02 mL"})
    warm = answer(sound_titration(), copper, hydrometer(45.0, temperature="20 degC"), additives=False)
    assert warm.plan.repeat == (0, 1, 2)
    (said,) = warm.plan.why  # little of the bath would go
    assert said == (
        "One of the readings 1 (acid titration), 2 (copper titration), 3 (hydrometer) may be wrong: "
        "take them again, one by one."
    )
    assert named(warm)["reading 3", "hydrometer warm"]["copper_sulfate_g_L"] == pytest.approx(200, abs=6)
    scale = hydrometer(scale="Baume") | {"scale": "Twaddell"}
    other = named(answer(sound_titration(), scale, sound_titration(EDTA)))
    assert other["reading 2", "hydrometer scale"]["copper_sulfate_g_L"] == pytest.approx(200, abs=5)


def test_of_two_titrations_that_contradict_each_other_either_may_be_wrong_though_a_slip_explains_one() -> None:
    strong = SODA | {"used": f"{float(shown(SODA).split()[0]) * 286.14 / 105.99:.2f} mL"}
    found = answer(sound_titration(SODA), hydrometer(), strong)
    assert {reading for reading, _ in named(found)} == {"reading 3"}
    said = headline(found)
    assert said.act == "Take nothing out, add nothing: repeat a reading first."
    assert said.beside[0] == (
        "Reading 1 (acid titration) or reading 3 (acid titration) may be wrong: taking one of them again settles it."
    )
    assert [asked.why.split(",")[0] for asked in found.next_reading if asked.repeats is not None] == [
        "repeat reading 1",
        "repeat reading 3",
    ]


@pytest.mark.parametrize(
    ("typed", "true", "slip"),
    [
        ("96 %", 0.37 * 1.277, "battery acid as concentrated"),
        ("37 %", 0.96 * 1.8355, "concentrated as battery acid"),
        ("96 %", 0.96, "millilitres as grams"),
    ],
)
def test_the_acid_that_went_in(typed: str, true: float, slip: str) -> None:
    """6 L with 1.2 kg of crystals and 360 g of acid: 764 mL of battery acid, 204 mL of strong acid, or 375 g of it."""
    made = {
        "kind": "make-up", "crystals": "1.212 kg", "acid": f"{360 / true:.0f} mL", "acid_strength": typed,
        "final_volume": "6 L", "since": "evaporation only",
    }  # fmt: skip
    found = named(answer(made, sound_titration(), hydrometer(), volume="6 L"))
    assert found["reading 1", slip]["sulfuric_acid_g_L"] == pytest.approx(60, abs=3)


def pen(**more: Any) -> dict[str, Any]:
    return {
        "kind": "thinned conductivity", "value": "1000 uS/cm", "sample": "1 mL", "thinned_to": "500 mL",
        "temperature": "22 degC", "water": "3 uS/cm",
    } | more  # fmt: skip


def pen_shows(**how: Any) -> float:
    """Return what a pen shows of the bath of 200/60 g/L, by its own model, in its unit."""
    sheet = read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [pen(**how)]})
    return float(sheet.readings[0].model(sheet.bath.surroundings(), BATH).predict(BATH)[0])


@pytest.mark.parametrize("factor", [0.5, 0.64, 0.7])
def test_a_pen_in_ppm_taken_for_microsiemens(factor: float) -> None:
    """Thinned 1 : 500 the bath has some 1180 µS/cm, which such pens show as 590, 755 or 825 ppm.

    As µS/cm half of it would be the acid of 15 g/L, since most of the conductivity is its own.
    """
    ppm = pen_shows(value="600 ppm", factor=factor)
    assert ppm == pytest.approx(1180 * factor, rel=0.02)
    found = answer(pen(value=f"{ppm:.0f} uS/cm"), hydrometer(), sound_titration())
    assert (found.state, found.steps) == ("repeat first", ())
    slips = found.to_dict()["slips"]
    assert (slips[0]["reading"], slips[0]["slip"]) == ("reading 1", "ppm as µS")
    assert slips[0]["estimate"]["sulfuric_acid_g_L"] == pytest.approx(60, abs=2)
    assert slips[0]["estimate"]["copper_sulfate_g_L"] == pytest.approx(200, abs=4)
    assert "ppm" in " ".join(text for section in found.sections() for text in section.lines)


def test_a_pen_in_ppm_that_says_so_is_no_slip() -> None:
    ppm = pen_shows(value="600 ppm", factor=0.5)
    assert named(answer(pen(value=f"{ppm:.0f} ppm", factor=0.5), hydrometer(), sound_titration())) == {}


@pytest.mark.parametrize(("pen_has", "sheet_says"), [("none", "linear"), ("linear", "none")])
def test_a_compensation_that_is_off(pen_has: str, sheet_says: str) -> None:
    """At 12 °C, 13 degrees below 25, a pen without shows some 0.79 of what one with 2 % a degree shows.

    That is acid's own 1.6 % a degree: 1 - 13 · 0.016. The linear compensation divides by 1 - 13 · 0.02 = 0.74.
    """
    cold = {"temperature": "12 degC"}
    shows = pen_shows(**cold, compensation=pen_has)
    assert pen_shows(**cold, compensation="none") == pytest.approx(0.74 * pen_shows(**cold, compensation="linear"))
    found = answer(
        pen(**cold, compensation=sheet_says, value=f"{shows:.0f} uS/cm"),
        hydrometer(),
        sound_titration(),
        additives=False,
    )
    assert (found.state, found.steps) == ("repeat first", ())
    slip = named(found)["reading 1", "compensation off"]
    assert slip["sulfuric_acid_g_L"] == pytest.approx(60, abs=2)
    assert slip["copper_sulfate_g_L"] == pytest.approx(200, abs=4)
    mild = {"temperature": "24 degC"}  # a degree from 25 moves less than a pen is off
    apart = answer(pen(**mild, value="1120 uS/cm"), hydrometer(), LYE | {"used": "8 mL"})
    assert ("reading 1", "compensation off") not in named(apart)


def test_nothing_is_poured_in_on_a_reading_that_may_be_a_slip() -> None:
    """EDTA on bath thinned 1 : 10, and not said: 200 g/L read as 20, and a kilogram of crystals would go in on top.

    A repeat that finds as little settles it: no single slip explains two readings.
    """
    undiluted = {key: value for key, value in EDTA.items() if key != "predilution"} | {"used": shown(EDTA)}
    once = answer(undiluted, sound_titration())
    assert once.estimate is not None
    assert once.estimate.value("copper_sulfate") == pytest.approx(20, abs=1)
    assert named(once)["reading 1", "predilution forgotten"]["copper_sulfate_g_L"] == pytest.approx(200, abs=5)
    assert (once.state, once.steps) == ("repeat first", ())
    assert once.plan.held_back is not None
    assert once.plan.held_back.amounts.crystals > 900
    twice = answer(undiluted, undiluted, sound_titration())
    assert named(twice) == {}
    assert "copper sulfate crystals" in [step.what for step in twice.steps]


def many_titrations() -> list[dict[str, Any]]:
    """Return titrations of 60 g/L of acid, more than slips are tried of, that agree within 0.05 mL."""
    sound = float(shown(LYE).split()[0])
    return [LYE | {"used": f"{sound + off:.2f} mL"} for off in np.linspace(-0.05, 0.05, 3 * MOST_OF_A_KIND + 2)]


def test_the_one_of_many_readings_that_slipped_is_found() -> None:
    """The last of many titrated one in ten, and 60 g/L read as 6."""
    many = [*many_titrations(), LYE | {"used": shown(LYE | {"sample": "1 mL"})}]
    found = named(answer(*many))
    assert {reading for reading, _ in found} == {f"reading {len(many)}"}
    slip = found[f"reading {len(many)}", "predilution forgotten"]
    assert slip["sulfuric_acid_g_L"] == pytest.approx(60, abs=1)


def test_the_only_one_of_its_kind_is_not_passed_by_for_many_of_another() -> None:
    """Nothing contradicts the only reading of copper: drawn with 1 mL for 2, 200 g/L read as 100 beside sound acid."""
    many = [*many_titrations(), EDTA | {"used": shown(EDTA | {"sample": "1 mL"})}]
    found = answer(*many)
    assert (found.state, found.steps) == ("repeat first", ())
    slip = named(found)[f"reading {len(many)}", "other syringe"]
    assert slip["copper_sulfate_g_L"] == pytest.approx(200, abs=5)


@pytest.mark.parametrize(("named", "drawn", "state"), [("2 mL", "1 mL", "repeat first"), ("6 mL", "5 mL", "possible")])
def test_slips_are_looked_for_a_window_away_and_no_nearer(named: str, drawn: str, state: str) -> None:
    """Drawn with a syringe half as large 200 g/L read as 100, further than 53 g/L from 195; with 5 for 6 mL as 167."""
    found = answer(EDTA | {"sample": named, "used": shown(EDTA | {"sample": drawn})}, sound_titration())
    assert found.state == state
    assert bool(found.slips) == (state == "repeat first")


def test_a_sound_bath_is_not_suspected() -> None:
    """What agrees and lies in a window, or is merely low, is nobody's slip."""
    assert named(answer(sound_titration(), hydrometer())) == {}
    assert named(answer(LYE | {"used": "4 mL"}, hydrometer())) == {}  # 20 g/L of acid


def test_what_nothing_tells_of_is_left_open() -> None:
    twice = LYE | {"used": shown(LYE | {"sample": "20 mL"})}
    found = named(answer(sound_titration(), sound_titration(), twice))
    assert found["reading 3", "other syringe"]["copper_sulfate_g_L"] is None


# --- What each slip makes of a reading --------------------------------------------------------------

MADE = {"kind": "make-up", "crystals": "1 kg", "acid": "200 mL", "final_volume": "6 L"}
COLD_PEN = pen(temperature="12 degC")
# Thinned 5, 10 or 20 times; drawn with half or double the syringe; 10 g of bath of 1.17 g/mL.
OF_10_mL = {
    ("predilution forgotten", 2), ("predilution forgotten", 1), ("predilution forgotten", 0.5),
    ("other syringe", 5), ("other syringe", 20), ("millilitres as grams", 8.547),
}  # fmt: skip
PINK = ("phenolphthalein end point", "as it was")
WARM = {("hydrometer warm", 30), ("hydrometer warm", 40)}
IN_PPM = {("ppm as µS", "0.5"), ("ppm as µS", "0.64"), ("ppm as µS", "0.7")}


@pytest.mark.parametrize(
    ("reading", "meant"),
    [
        (LYE | {"used": "3 mL"}, {*OF_10_mL, PINK}),
        # 59 g/L: thinned ten times it would have been more than any bath holds.
        (LYE | {"used": "12 mL"}, {*OF_10_mL, PINK} - {("predilution forgotten", 1), ("predilution forgotten", 0.5)}),
        (LYE | {"used": "0 mL"}, OF_10_mL),
        (LYE | {"used": "3 mL", "end_point": "pH meter", "end_point_pH": 3.9}, OF_10_mL),
        (LYE | {"used": "3 mL", "titrant": "sodium bicarbonate"}, OF_10_mL),  # never turns pink
        # Weighed in as Na2CO3, 105.99 g/mol, and really its monohydrate of 124.00 or its decahydrate of 286.14.
        (SODA | {"used": "6 mL"}, {*OF_10_mL, PINK, ("soda hydrate", 0.2137), ("soda hydrate", 0.0926)}),
        (
            SODA | {"used": "6 mL", "strength": "26.5 g/L"},
            {*OF_10_mL, PINK, *(("soda hydrate", f"sodium carbonate {kind}hydrate") for kind in ("mono", "deca"))},
        ),
        # Acid of 96 % weighs 1.8355, of 60 % 1.4983 and of 37 % 1.2770 g/mL (CRC).
        (MADE, {("battery acid as concentrated", 0.37), ("millilitres as grams", 200 / 1.8355)}),
        (MADE | {"acid_strength": "60 %"}, {("millilitres as grams", 200 / 1.4983)}),
        (MADE | {"acid_strength": "37 %"}, {("concentrated as battery acid", 0.96), ("millilitres as grams", 200 / 1.2770)}),
        (hydrometer(), {*WARM, ("hydrometer scale", "Baume"), ("hydrometer scale", "Twaddell")}),
        (hydrometer(scale="Baume", temperature="20 degC"), {*WARM, ("hydrometer scale", "Twaddell")}),
        # A specific gravity of 1.16 that the sheet calls degrees Baumé; as degrees Twaddell it would be 0.002 g/mL less.
        (hydrometer() | {"value": "1.16", "scale": "Baume"},
         {*WARM, *(("hydrometer scale", ratio) for ratio in ("SG 20/20", "SG 20/4", "SG 60/60F", "SG 25/25", "g/mL"))}),
        (EDTA | {"used": "16 mL"},
         {("predilution forgotten", None), ("other syringe", 1), ("other syringe", 5), ("millilitres as grams", 2 / 1.17)}),
        (pen(temperature="24 degC"), IN_PPM),
        (COLD_PEN, {*IN_PPM, ("compensation off", "none")}),
        (COLD_PEN | {"value": "1.0 mS/cm", "compensation": "none"}, {("compensation off", "linear")}),
    ],
)  # fmt: skip
def test_what_a_reading_would_be_without_each_slip(reading: dict[str, Any], meant: set[tuple[str, object]]) -> None:
    """What is changed last is compared, volumes in mL."""
    sheet = read_sheet({"bath": {"volume": "5.6 L"}, "reading": [reading]})
    (old,) = sheet.readings

    def changed(new: Any) -> object:
        values = [
            getattr(new, field.name) for field in fields(old) if getattr(new, field.name) != getattr(old, field.name)
        ]
        last = values[-1] if values else "as it was"
        return last.value * (1000 if last.unit == "L" else 1) if isinstance(last, Measured) else last

    def in_order(found: Any) -> list[tuple[str, object]]:
        rounded = ((str(name), round(it, 4) if isinstance(it, float) else it) for name, it in found)
        return sorted(rounded, key=str)

    found = [(name, changed(new)) for name, new in slips._transformed(old, sheet.bath.surroundings())]
    assert [name for name, _ in in_order(found)] == [name for name, _ in in_order(meant)]
    for (_, one), (_, other) in zip(in_order(found), in_order(meant), strict=True):
        assert one == (pytest.approx(other, rel=1e-3) if isinstance(other, float) else other)


def test_copper_takes_lye_too_until_phenolphthalein_turns() -> None:
    """10 mL with 60 g/L of acid take 12.2 mL of 1 mol/L lye, and 200 g/L of copper sulfate 1.75 mol a mole, 14.0 mL more."""
    sheet = read_sheet({"bath": {"volume": "5.6 L"}, "reading": [LYE | {"used": "26 mL"}]})
    surroundings = sheet.bath.surroundings()
    pink = next(new for name, new in slips._transformed(sheet.readings[0], surroundings) if name == PINK[0])
    both = 10 * (2 * 60 / 98.07 + 1.75 * 200 / 249.68)
    model = pink.model(surroundings, BATH)
    assert model.predict(BATH) == pytest.approx([both], rel=1e-3)
    assert model.shows != sheet.readings[0].model(surroundings, BATH).shows
    # By 0.15 more or less; of less than no copper none.
    assert model.systematic["base that copper takes"] == pytest.approx([10 * 0.15 * 200 / 249.68], rel=1e-3)
    assert pink.model(surroundings, State(-5.0, 60.0)).systematic["base that copper takes"] == [0.0]
    # Iron(III) takes what it takes on the way to methyl orange.
    rusty = replace(BATH, iron_three=2.0)
    to_orange = sheet.readings[0].model(surroundings, BATH).predict
    more = model.predict(rusty) - model.predict(BATH)
    assert more == pytest.approx(to_orange(rusty) - to_orange(BATH), rel=0.02)


def test_of_slips_that_explain_alike_the_commoner_comes_first_and_the_bath_nearer_to_a_window() -> None:
    """One bench in twenty takes pink for the end, one in fifty another syringe: 2 ln 2.5 apart. A quarter of a width is 1, its half ¼."""
    limits = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0)}

    def misfit(name: SlipName, copper: float) -> float:
        held = {"copper_sulfate": Value(copper, 0.0), "sulfuric_acid": Value(52.0, 0.0)}
        trial: Any = SimpleNamespace(measured=held, of=held.get, agreement=SimpleNamespace(chi_squared=3.0))
        return slips._misfit(name, trial, limits)

    pink, syringe = (misfit(name, 220.0) for name in (SlipName.PHENOLPHTHALEIN, SlipName.OTHER_SYRINGE))
    assert syringe - pink == pytest.approx(2 * np.log(2.5))
    assert misfit(SlipName.PHENOLPHTHALEIN, 248.0 + 53.0 / 4) - pink == pytest.approx(1.0)
    assert misfit(SlipName.PHENOLPHTHALEIN, 248.0 + 53.0 / 8) - pink == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("copper", "checks", "room"),
    [(20, 12, []), (20, 11, [0]), (200, 12, [0])],
    ids=["many far off", "few far off", "many in a window"],
)
def test_one_reading_beside_many_that_lie_far_from_every_window_is_no_slip(
    copper: int, checks: int, room: list[int]
) -> None:
    """High throw begins lowest, at 60 g/L, and is 15 wide: 20 ± 2 g/L lie two widths below it, whatever a float shows."""
    before = {"kind": "previous check", "since": "evaporation only", "sulfuric_acid": "60 ± 2 g/L"}
    known = [before | {"copper_sulfate": f"{copper} ± 2 g/L", "note": f"{number}"} for number in range(checks)]
    sheet = read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [hydrometer(), *known]})
    found = estimate(sheet)
    assert found is not None
    limits = {"copper_sulfate": (195.0, 248.0), "sulfuric_acid": (30.0, 75.0)}
    assert slips._with_room(Trials(sheet, found), limits) == room


# --- One reading is odd ----------------------------------------------------------------------------


def test_an_odd_reading_stands_beside_the_answer_without_it() -> None:
    """Three times 24 mL of 0.5 mol/L bicarbonate on 10 mL, about 59 g/L, and once 17 mL, about 42 g/L."""
    soda = LYE | {"titrant": "sodium bicarbonate", "strength": "0.5 mol/L"}
    found = answer(*(soda | {"used": f"{used} mL"} for used in (24, 24.2, 17, 23.9)), hydrometer())
    assert found.to_dict()["estimate"]["agreement"]["odd_one_out"] == "reading 3"
    assert found.without_odd is not None
    without = found.without_odd.known.values["sulfuric_acid"]
    assert without is not None
    assert without.value == pytest.approx(59, abs=1.5)
    block = next(section for section in found.sections() if section.key == "side by side")
    assert [text.split(":")[0] for text in block.lines] == ["With all readings", "Without reading 3"]
    agreed = answer(*(soda | {"used": f"{used} mL"} for used in (24, 24.2, 23.9)), hydrometer())
    assert agreed.without_odd is None


# --- Two labels of one acid -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("strength", "density", "accepted"),
    [
        ("37 %", "1.28 g/mL", True),  # 37.4 % by the CRC table
        ("37 %", "1.265 g/mL", True),  # 35.6 %
        ("37 %", "1.25 g/mL", False),  # 33.8 %
        ("96 %", "1.84 g/mL", True),  # so dense an acid is at least 93 %, and its density tells no more
        ("96 %", "1.28 g/mL", False),
        ("37 %", "1.84 g/mL", False),
    ],
)
def test_two_labels_of_acid_that_disagree_are_refused(strength: str, density: str, accepted: bool) -> None:
    raw = {"bath": {"volume": "5.6 L"}, "stock": {"acid": {"strength": strength, "density": density}}}
    if accepted:
        assert read_sheet(raw).stock.acid is not None
        return
    with pytest.raises(InputError) as refused:
        read_sheet(raw)
    assert refused.value.place == "stock.acid: density"
    assert density in str(refused.value)
    assert strength in str(refused.value)


def test_no_field_of_a_slip_is_lost() -> None:
    """A slip's result names the reading, the slip and the bath, and nothing else."""
    found = answer(LYE | {"used": "26.3 mL"}, hydrometer()).to_dict()["slips"]
    assert all(set(slip) == {"reading", "slip", "estimate"} for slip in found)
    assert {field.name for field in fields(answer(sound_titration()))} >= {"slips", "without_odd"}


def test_a_slip_that_would_need_more_than_any_bath_holds_is_sought_all_the_same() -> None:
    """Two floats in a bath with soda, and too little acid for it: some slips end at the bounds of what an estimate may be."""
    floats = [hydrometer(value=value) for value in ("1.1119", "1.1121")]
    acid = {
        "kind": "acid titration", "sample": "10 mL", "sample_with": "10 mL class A pipette", "diluted_to": "100 mL",
        "titrant": "sodium bicarbonate", "strength": "42 g/L", "used": "13.97 mL", "end_point": "first lasting cloud",
    }  # fmt: skip
    stock = {
        "crystals": {"on_hand": "100 g", "purity": "80 %", "form": "anhydrous"},
        "acid": {"strength": "37 %", "on_hand": "50 mL"},
    }
    bath = {"volume": "5.6 L", "touched": ["nothing"], "soda_added": "50 g"}
    found = advise(read_sheet({"bath": bath, "stock": stock, "reading": [*floats, acid]}))
    assert found.estimate is not None
