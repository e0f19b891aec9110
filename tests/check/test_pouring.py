"""Acid never boils its vessel: the heat of each portion is computed here from another table than the tool's formula."""

import math
import re

import numpy as np
import pytest

from advisor.check.advise import advise
from advisor.check.pouring import FIRST_WORDS, poured_into, pouring, round_up
from advisor.check.steps import step_dose
from advisor.questions.make_up import mix
from advisor.questions.remake import keep
from advisor.sheet import parse_sheet
from advisor.solution.stock import acid_density

# Integral heat of solution of sulfuric acid in so many moles of water a mole of acid [kJ/mol], 25 degC: National Bureau
# of Standards tables as reprinted in handbooks, from memory.
WATERS = (0.0, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 25, 50, 100, 200, 500, 1000)
HEATS = (0.0, 15.73, 28.07, 41.92, 48.99, 54.06, 58.03, 60.75, 64.60, 67.03, 72.30, 73.34, 73.97, 74.94, 76.73, 78.57)
MOST_WARMING = 15.0  # K


def heat(waters: float) -> float:
    """Heat that a mole of acid has given off in so many moles of water [kJ]."""
    return float(np.interp(math.log1p(waters), np.log1p(WATERS), HEATS))


def warmings(acid: float, strength: float, liquid: float, portions: int) -> list[float]:
    """Rise [K] with each equal portion of acid solution [g] into a liquid [L], taken as water of 4.06 kJ/(L K).

    The acid that is in from the portions before counts, and so does its own heat capacity: 1.4 J/(g K) of pure acid and
    4.18 of water, less than any mixture of the two has.
    """
    rises = []
    for number in range(1, portions + 1):
        given, capacity = [], 0.0
        for count in (number - 1, number):
            grams = acid * count / portions
            mol = grams * strength / 98.079
            water = (1000 * liquid + grams * (1 - strength)) / 18.015
            given.append(mol * heat(water / mol) if mol else 0.0)
            capacity = 4.06 * liquid + grams * (1.4 * strength + 4.18 * (1 - strength)) / 1000
        brought = acid / portions * strength / 98.079 * heat((1 - strength) / strength * 98.079 / 18.015)
        rises.append((given[1] - given[0] - brought) / capacity)
    return rises


def report(volume: str, now: str, strength: str) -> str:
    return f"""[bath]
volume = "{volume}"
[stock.acid]
strength = "{strength}"
[[reading]]
kind = "previous check"
copper_sulfate = "220 ± 4 g/L"
sulfuric_acid = "{now} ± 1 g/L"
since = "evaporation only"
"""


@pytest.mark.parametrize("acid_now", ["5", "20", "28"])
@pytest.mark.parametrize("volume", ["0.5 L", "6 L", "60 L", "600 L"])
@pytest.mark.parametrize("strength", ["37 %", "60 %", "96 %"])
def test_no_portion_of_a_step_warms_its_liquid_by_more_than_15_degrees(acid_now, volume, strength) -> None:
    found = advise(parse_sheet(report(volume, acid_now, strength).encode()))
    step = next(step for step in found.steps if step.what == "sulfuric acid")
    vessel = float(re.search(r"holds at least ([\d.e+]+) L", step.how)[1])
    liquid = sum(float(litres) for litres in re.findall(r"([\d.]+) L of (?:the water|bath drawn)", step.how))
    split = re.search(r"in (\d+) portions of ([\d.e+]+) mL", step.how)
    portions = int(split[1]) if split else 1
    if split:
        assert float(split[2]) * portions == pytest.approx(step.numbers["volume_mL"], rel=0.01)
    renewed = "refill it" in step.how
    together = min(portions, 4) if renewed else portions
    poured = step.numbers["mass_g"] * together / portions
    rises = warmings(poured, step.numbers["strength_mass_fraction"], liquid, together)
    assert max(rises) <= MOST_WARMING, (step.how, rises)
    millilitres = step.numbers["volume_mL"] * together / portions
    assert vessel >= 0.99 * 2 * (liquid + millilitres / 1000)
    assert "polyethylene or polypropylene" in step.how
    assert FIRST_WORDS in step_dose(step)
    assert FIRST_WORDS in " ".join(line for section in found.sections() for line in section.lines)
    if volume == "6 L":
        assert portions <= 4


def test_a_litre_third_of_water_is_never_all_that_176_mL_of_strong_acid_meet() -> None:
    """6 L from 5 to 53 g/L take 176 mL of 96 % acid: into 0.35 L of water that would be more than 80 degrees."""
    density = float(acid_density(0.96))
    assert sum(warmings(176 * density, 0.96, 0.35, 1)) > 80
    poured = pouring(176 * density, 0.96, density, water=0.35, bath=6.0)
    assert poured.water == pytest.approx(0.35)
    assert poured.bath > 0.4
    assert poured.portions <= 4
    rises = warmings(176 * density, 0.96, poured.water + poured.bath, poured.portions)
    assert max(rises) <= MOST_WARMING
    assert max(rises) > 12  # and no more stops than that takes


@pytest.mark.parametrize(
    ("millilitres", "water", "bath", "vessel", "portions"),
    [
        (176, (5.0, 3.6), (6.0, 0.0), 7.6, 1),  # 0.176 · 20.3 = 3.57 L; 2 · (3.6 + 0.176) = 7.55
        (176, (1.5, 1.5), (6.0, 0.0), 3.4, 3),  # 3.57 / 1.5 = 2.4; 2 · 1.676 = 3.35
        (176, (0.35, 0.35), (6.0, 0.55), 2.2, 4),  # 3.57 / 4 = 0.89 L in all; 2 · (0.90 + 0.176) = 2.15
        (20, (0.049, 0.0), (6.0, 0.15), 0.35, 3),  # less than 0.05 L of water does not count; 0.406 / 4 = 0.10 L
        (20, (0.05, 0.05), (6.0, 0.10), 0.35, 3),
        (20, (0.057, 0.05), (6.0, 0.10), 0.35, 3),  # whole centilitres; 2 · (0.15 + 0.02) = 0.34
        (2000, (0.0, 0.0), (6.0, 3.0), 7.2, 14),  # no more than half of the bath; 2 · (3 + 2 · 4/14) = 7.14
        (2000, (0.0, 0.0), (5.99, 2.99), 7.2, 14),  # half of it is 2.995 L
        (2000, (0.0, 0.0), (600.0, 10.0), 24.0, 5),  # 10.15 L would do it in four; 2 · (10 + 2 · 4/5) = 23.2
        (8000, (12.0, 10.0), (600.0, 0.0), 24.0, 17),  # no more than 10 L in one vessel; 162.4 / 10 = 16.2
        (8000, (10.0, 10.0), (600.0, 0.0), 24.0, 17),
        (8000, (4.0, 4.0), (600.0, 6.0), 24.0, 17),
        (1, (0.0, 0.0), (0.015, 0.01), 0.05, 3),  # never nothing: 0.0203 / 0.01 = 2.03
    ],
)
def test_in_how_much_liquid_and_how_many_portions_strong_acid_goes(
    millilitres: float, water: tuple[float, float], bath: tuple[float, float], vessel: float, portions: int
) -> None:
    """Poured at once, a litre of 96 % acid wants 20.3 L of liquid for 14 degrees. water, bath: what there is, what is taken.

    A litre is 1835.5 · 0.96 / 98.079 = 17.97 mol with 0.227 mol of water each. In 20.3 L each has 62.9 mol of water, and has
    given off 73.5 - 8.4 = 65.1 kJ (the table above, by the logarithm of the water): 17.97 · 65.1 / (4.06 · 20.3) = 14.2.
    """
    density = float(acid_density(0.96))
    poured = pouring(millilitres * density, 0.96, density, water[0], bath[0])
    taken = poured.water, poured.bath
    assert (*taken, poured.vessel) == pytest.approx((water[1], bath[1], vessel))
    assert (poured.portions, poured.renewed) == (portions, portions > 4)
    assert poured.portions * poured.portion_mL == pytest.approx(millilitres)
    first = warmings(millilitres * density, 0.96, sum(taken), portions)[0]
    assert 0.94 * first <= poured.warming <= 14
    named = ("of this plan's water" in poured.text, "of bath drawn from the tank" in poured.text)
    assert named == tuple(litres > 0 for litres in taken)
    assert (f"in {portions} portions of" in poured.text) == (portions > 1)
    assert ("refill it with bath" in poured.text) == (portions > 4)


@pytest.mark.parametrize("water", [5.0, 0.7, 0.0])
def test_no_portion_overfills_its_vessel(water: float) -> None:
    """635 mL of battery acid would be cool enough in 0.05 L, but then the vessel would hold little else than acid."""
    density = float(acid_density(0.37))
    poured = pouring(635 * density, 0.37, density, water, bath=6.0)
    assert (poured.water, poured.bath) == pytest.approx((0.65, 0.0) if water else (0.0, 0.65))


@pytest.mark.parametrize(
    ("litres", "up"), [(0.01, 0.05), (0.351, 0.4), (0.4, 0.4), (1.21, 1.3), (12.1, 13.0), (123.0, 130.0)]
)
def test_a_volume_is_rounded_up_to_two_digits_that_a_jug_shows(litres: float, up: float) -> None:
    assert round_up(litres) == pytest.approx(up)


def test_battery_acid_needs_no_stops() -> None:
    """300 g of acid as 37 % give off a sixth of the heat of 96 %, and come with water of their own."""
    density = float(acid_density(0.37))
    poured = pouring(300 / 0.37, 0.37, density, water=0.0, bath=6.0)
    assert poured.portions == 1
    assert warmings(300 / 0.37, 0.37, poured.bath, 1)[0] <= MOST_WARMING


@pytest.mark.parametrize("strength", [0.37, 0.6, 0.96])
@pytest.mark.parametrize("grams_per_litre", [20, 60, 200])
def test_a_new_bath_is_poured_as_coolly(strength: float, grams_per_litre: float) -> None:
    acid, density = 4 * grams_per_litre / strength, float(acid_density(strength))
    poured = poured_into(acid, strength, density, 3.0)
    rises = warmings(acid, strength, 3.0, poured.portions)
    assert max(rises) <= MOST_WARMING
    assert 0.95 * max(rises) <= poured.warming <= MOST_WARMING  # never said to be less than it is
    assert poured.portions * poured.portion_mL == pytest.approx(acid / density)
    assert (poured.water, poured.bath, poured.renewed) == (3.0, 0.0, False)
    assert 2 * (3.0 + acid / density / 1000) <= poured.vessel <= 2.2 * (3.0 + acid / density / 1000) + 0.05


def test_short_forms_name_goggles_and_the_order() -> None:
    mixed = mix(parse_sheet(b'[bath]\nvolume = "4 L"\n[mix]\nvolume = "4 L"\n'))
    lines = [line for section in mixed.sections() for line in section.lines if re.search(r"mL .*of acid", line)]
    assert len(lines) == 2
    assert all(FIRST_WORDS in line for line in lines)
    sheet = '[bath]\nvolume = "6 L"\nage = "60 months"\n[keep]\nmixed_jar = "good"\n[deposit]\nlooks = ["dull"]\n'
    decision = keep(parse_sheet(sheet.encode()))
    doses = [line for line in decision.what_to_do if "mL of acid" in line]
    assert all(FIRST_WORDS in line for line in doses)


def test_hydrochloric_acid_is_named_with_goggles_too() -> None:
    sheet = report("6 L", "50", "96 %").replace(
        "[stock.acid]", '[stock.chloride]\nkind = "hydrochloric acid"\n[stock.acid]'
    )
    found = advise(
        parse_sheet(f'{sheet}chloride = "20 ± 4 mg/L"\n'.replace('"6 L"', '"6 L"\nadditives = true').encode())
    )
    step = next(step for step in found.steps if step.what == "hydrochloric acid")
    assert FIRST_WORDS in step_dose(step)
