"""Properties of the whole way: any valid sheet gets sound advice, and any text as a sheet gets advice or a plain refusal.

Some hundreds of cases a run; `HYPOTHESIS_PROFILE=long` takes fifty times as many, anew each time. Texts that were once found to break a
reader stand in `fuzz_cases/` and are tried every time.
"""

import contextlib
import io
import json
import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from advisor import Advice, advise
from advisor.__main__ import QUESTIONS, _function, main
from advisor.basis.fields import Field, InputError, fields_of, read_table
from advisor.basis.units import STRENGTH_UNITS, UNITS, Measured, convert, format_quantity, parse
from advisor.check.estimate import estimate
from advisor.check.task import make_task
from advisor.readings import KINDS
from advisor.readings.acid_titration import TITRANTS
from advisor.readings.hydrometer import SCALES
from advisor.readings.ph_curve import read_points
from advisor.sheet import (
    ANODE_LOOKS,
    COATS,
    CONDITIONS,
    GEAR,
    LOOKS,
    MATERIALS,
    TREATMENTS,
    WINDOW_NAMES,
    Sheet,
    parse_sheet,
    read_sheet,
    write_sheet,
)
from advisor.solution.equilibrium import Flask, pH_at_titrant_volume
from advisor.solution.hydrometer import reading_from_density
from tests.how_many import LONG
from tests.random_tasks import balance

pytestmark = pytest.mark.slow

EXAMPLES = Path(__file__).parents[1] / "advisor" / "examples"
FUZZ_CASES = sorted((Path(__file__).parent / "fuzz_cases").glob("*.toml"))


def cases(usual: int) -> settings:
    """Return settings for this many cases, or for fifty times as many where the long profile is asked for."""
    slow = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.function_scoped_fixture]
    return settings(
        max_examples=50 * usual if LONG else usual, deadline=None, suppress_health_check=slow, derandomize=not LONG
    )


# --- Sheets of every kind -------------------------------------------------------------------------


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda value: float(f"{value:.4g}"))


def amount(low: float, high: float, *units: str, spread: bool = True) -> st.SearchStrategy[str]:
    """Return quantities as typed: a point or a comma, now and then with ±."""

    def typed(value: float, unit: str, style: str) -> str:
        text = f"{value:.2f}" if value >= 1 else f"{value:.5f}"
        if style == "comma" and not text.startswith(("0", "-")):
            text = f"{value:.2f}".replace(".", ",")
        return f"{text} ± {0.02 * value + 0.01:.3f} {unit}" if style == "±" and spread else f"{text} {unit}"

    return st.builds(
        typed, st.floats(low, high), st.sampled_from(units), st.sampled_from(["point", "point", "comma", "±"])
    )


def some(required: dict, optional: dict) -> st.SearchStrategy[dict]:
    return st.fixed_dictionaries(required, optional=optional)


words = st.text(max_size=20)
titrants = st.sampled_from(list(TITRANTS))
tools = st.sampled_from(
    ["10 mL class A pipette", "10 mL syringe", "25 mL class B burette", "60 mL syringe", "kitchen jug"]
)


@st.composite
def ph_curve(draw: st.DrawFn) -> dict:
    base = draw(st.sampled_from(["sodium hydroxide", "sodium carbonate"]))
    flask = Flask(10.0, 100.0, base, 0.5)
    copper, acid, offset = draw(number(60, 300)), draw(number(20, 120)), draw(number(-0.2, 0.2))
    equivalent = acid * 10 / 98.08 * 2 / (0.5 * (2 if base == "sodium carbonate" else 1))
    volumes = np.linspace(0, 1.02 * equivalent, draw(st.integers(20, 40)))
    pH = pH_at_titrant_volume(copper, acid, volumes, flask) + offset
    points = [[round(float(v), 2), round(float(p), 2)] for v, p in zip(volumes, pH, strict=True) if p < 4.6]
    more = {"note": "made up"} if draw(st.booleans()) else {}
    return more | {
        "sample": "10 mL",
        "diluted_to": "100 mL",
        "titrant": base,
        "strength": "0.5 mol/L",
        "points": points,
    }


@st.composite
def weighed_density(draw: st.DrawFn) -> dict:
    empty, water, relative = draw(number(20, 300)), draw(number(50, 1000)), draw(number(1.01, 1.28))
    return {
        "empty": f"{empty:.1f} g",
        "with_water": f"{empty + water:.1f} g",
        "with_bath": f"{empty + relative * water:.1f} g",
    }


@st.composite
def hydrometer(draw: st.DrawFn) -> dict:
    scale, density = draw(st.sampled_from(list(SCALES))), draw(number(1.02, 1.28))
    temperature = draw(st.sampled_from([None, 15, 20, 25, 40]))
    found = {"value": f"{reading_from_density(density, scale, temperature or 20.0):.4f}", "scale": scale}
    return found | ({"temperature": f"{temperature} degC"} if temperature else {})


@st.composite
def plated_out(draw: st.DrawFn) -> dict:
    before, sample, copper = draw(number(1, 200)), draw(number(20, 200)), draw(number(30, 400))
    return {
        "sample": f"{sample:.1f} mL",
        "before": f"{before:.2f} g",
        "after": f"{before + max(copper * sample / 1000 * 0.2545, 0.02):.2f} g",
    }


@st.composite
def photo_colour(draw: st.DrawFn) -> dict:
    top, fall = draw(st.integers(180, 240)), draw(st.integers(12, 35))
    strengths = sorted(draw(st.sets(st.integers(0, 45), min_size=3, max_size=6)))
    standards = [[c, round(top * math.exp(-c / fall) + 12), 210, 235] for c in strengths]
    samples = draw(st.lists(st.integers(40, 170), min_size=1, max_size=3))
    return {"standards": standards, "samples": [[red, 205, 235] for red in samples], "dilution": draw(number(1, 20))}


def pair(low: float, high: float, unit: str) -> st.SearchStrategy[list[str]]:
    return st.tuples(number(low, high), number(0.05, 1)).map(
        lambda p: [f"{p[0]:.2f} {unit}", f"{p[0] * (1 + p[1]) + 1:.2f} {unit}"]
    )


READINGS: dict[str, st.SearchStrategy[dict]] = {
    "acid titration": some(
        {"sample": amount(2, 12, "mL"), "diluted_to": amount(50, 250, "mL"), "titrant": titrants, "strength": amount(0.1, 1, "mol/L", "M"), "used": amount(0, 60, "mL"), "end_point": st.sampled_from(["methyl orange", "first lasting cloud", "pH meter"])},
        {"blank": amount(0.01, 0.05, "mL"), "sample_with": tools, "used_with": tools, "titrant_label": words, "sample_label": words, "note": words},
    ),
    "copper titration": some(
        {"method": st.sampled_from(["EDTA", "iodometric"]), "sample": amount(1, 3, "mL"), "strength": amount(0.05, 0.2, "mol/L"), "used": amount(1, 40, "mL")},
        {"blank": amount(0.01, 0.3, "mL"), "predilution": st.just(["10 mL", "20 mL"]), "flask": amount(50, 300, "mL"), "sample_with": tools, "note": words},
    ),
    "hydrometer": hydrometer(),
    "weighed density": weighed_density(),
    "plated-out copper": plated_out(),
    "colour match": st.tuples(pair(20, 180, "g/L"), number(0, 1)).map(lambda p: {"lower": p[0][0], "upper": p[0][1], "position": p[1]}),
    "photo colour": photo_colour(),
    "pH curve": ph_curve(),
    "thinned conductivity": some(
        {"value": amount(300, 2000, "uS/cm"), "sample": amount(1, 2, "mL"), "thinned_to": amount(400, 1000, "mL")},
        {"temperature": amount(15, 30, "degC", spread=False), "compensation": st.sampled_from(["linear", "natural water", "none"]), "water": amount(1, 12, "uS/cm"), "standard": st.just(["1413 uS/cm", "1380 uS/cm"]), "reference": st.just(["215 g/L", "55 g/L", "1100 uS/cm"]), "sample_with": tools, "note": words},
    ),
    "thinned pH": some(
        {"value": number(2, 3.5), "sample": amount(1, 2, "mL"), "thinned_to": amount(400, 1000, "mL")},
        {"temperature": amount(15, 30, "degC", spread=False), "buffer": st.just([4.01, 4.05]), "reference": st.just(["215 g/L", "55 g/L", 2.74]), "note": words},
    ),
    "cemented copper": st.tuples(number(5, 50), number(50, 400)).map(
        lambda p: {"sample": "10 mL", "diluted_to": "250 mL", "before": f"{p[0]:.2f} g", "after": f"{p[0] + 0.01 * p[1] * 0.2545:.2f} g"}
    ),
    "laboratory report": some(
        {"copper": amount(20, 70, "g/L", "ppm")},
        {"sulfuric_acid": amount(5, 200, "g/L"), "chloride": amount(1, 200, "mg/L", "ppm"), "iron": amount(0, 5, "g/L"), "zinc": amount(0, 3, "g/L"), "sodium": amount(0, 5, "g/L"), "note": words},
    ),
    "chloride titration": some(
        {"sample": amount(20, 100, "mL"), "strength": amount(0.005, 0.05, "mol/L"), "used": amount(0, 20, "mL"), "end_point": st.sampled_from(["silver wire", "turbidity"])},
        {"sample_with": tools, "titrant_label": words},
    ),
    "chloride strip": some({"value": amount(0, 200, "mg/L", "ppm")}, {"dilution": number(1, 10)}),
    "chloride ladder": pair(0, 100, "mg/L").map(lambda p: {"lower": p[0], "upper": p[1]}),
    "make-up": some(
        {"crystals": amount(300, 1200, "g"), "acid": amount(0, 300, "mL"), "final_volume": amount(4, 6, "L")},
        {"purity": amount(90, 99, "%", spread=False), "acid_strength": amount(30, 98, "%", spread=False), "since": st.sampled_from(["evaporation only", "unknown"])},
    ),
    "previous check": some(
        {"copper_sulfate": amount(50, 350, "g/L", "oz/gal").filter(lambda text: "oz" not in text), "sulfuric_acid": amount(5, 150, "g/L")},
        {"chloride": amount(5, 200, "mg/L"), "correlation": number(-0.9, 0.9), "volume": amount(4, 8, "L"), "since": st.sampled_from(["evaporation only", "unknown"])},
    ),
}  # fmt: skip

BATH = some(
    {"volume": amount(4, 7, "L")},
    {
        "name": words,
        "date": st.dates().map(lambda date: date.isoformat()),
        "temperature": amount(5, 55, "degC", "°C", spread=False),
        "coldest": amount(1, 30, "degC", spread=False),
        "usual_volume": amount(4, 8, "L", spread=False),
        "max_volume": amount(7, 12, "L", spread=False),
        "min_volume": amount(1, 4, "L", spread=False),
        "condition": st.lists(st.sampled_from(CONDITIONS), max_size=1),
        "additives": st.booleans(),
        "age": amount(0, 60, "months", "weeks", spread=False),
        "throughput": amount(0, 900, "A*h", spread=False),
        "iron": amount(0, 8, "g/L"),
        "zinc": amount(0, 8, "g/L"),
        "nickel": amount(0, 8, "g/L"),
    },
)
STOCK = some(
    {},
    {
        "crystals": some({}, {"purity": amount(80, 99, "%", spread=False), "form": st.sampled_from(["pentahydrate", "anhydrous"]), "on_hand": amount(0, 3000, "g", spread=False), "price": number(0, 50)}),
        "acid": some({}, {"strength": amount(5, 98, "%", spread=False), "on_hand": amount(0, 2000, "mL", spread=False), "price": number(0, 50)}),
        "water": some({}, {"chloride": amount(0, 200, "mg/L", spread=False), "alkalinity": amount(0, 400, "mg/L", spread=False)}),
        "chloride": some({"kind": st.sampled_from(["hydrochloric acid", "sodium chloride"])}, {"strength": amount(5, 37, "%", spread=False)}),
    },
)  # fmt: skip
TABLES = {
    "window": some({}, {"name": st.sampled_from(WINDOW_NAMES), "copper_sulfate": pair(50, 220, "g/L"), "sulfuric_acid": pair(10, 120, "g/L"), "chloride": pair(5, 80, "mg/L")}),
    "stock": STOCK,
    "correction": some({}, {"aim": st.sampled_from(["middle", "least"]), "copper_sulfate": amount(150, 250, "g/L"), "sulfuric_acid": amount(20, 100, "g/L")}),
    "gear": some({}, {"have": st.lists(st.sampled_from(GEAR), max_size=6)}),
    "mix": some({"volume": amount(1, 20, "L")}, {"copper_sulfate": amount(100, 250, "g/L"), "sulfuric_acid": amount(10, 100, "g/L"), "suppressor": amount(0, 2, "g")}),
    "plate": some({"area": amount(5, 500, "cm^2")}, {"thickness": amount(5, 500, "um"), "time": amount(0.1, 100, "h"), "stirring": st.sampled_from(["still", "moved", "air", "strong"]), "anode_area": amount(5, 500, "cm^2"), "height": amount(0.1, 200, "cm"), "current": amount(0.05, 20, "A")}),
    "deposit": some({"looks": st.lists(st.sampled_from(LOOKS), min_size=1, max_size=4)}, {"where": st.sampled_from(["all over", "edges", "recesses"]), "since": st.sampled_from(["sudden", "gradual", "always"])}),
    "hull_cell": some({"current": amount(0.5, 3, "A")}, {"cell": st.sampled_from(["267 mL", "250 mL"]), "burnt_to": amount(0.7, 2, "cm", spread=False), "bright_to": amount(3, 6, "cm", spread=False), "bare_from": amount(7, 8, "cm", spread=False), "stirring": st.sampled_from(["still", "air"])}),
    "keep": some({}, {"disposal_price": number(0, 30), "carbon_treated": st.integers(0, 4), "fresh_jar": st.sampled_from(["good", "dull", "not done"]), "mixed_jar": st.sampled_from(["good", "dull", "not done"])}),
    "dispose": some({}, {"volume": amount(0.5, 6, "L"), "base": st.sampled_from(["sodium bicarbonate", "sodium carbonate"])}),
    "anodes": some({}, {"looks": st.lists(st.sampled_from(ANODE_LOOKS), max_size=2), "bagged": st.booleans(), "height": amount(0.5, 100, "cm"), "mass": amount(1, 5000, "g")}),
    "treat": some({"what": st.sampled_from(TREATMENTS)}, {"carbon": amount(1, 9, "g/L"), "pump": amount(5, 500, "L"), "scrap": amount(5, 500, "cm^2"), "surface": amount(50, 5000, "cm^2"), "room": amount(0, 35, "degC", spread=False), "wanted": amount(6, 55, "degC", spread=False), "heater": amount(1, 900, "W"), "covered": st.booleans(), "on_floor": amount(0, 2000, "g")}),
    "part": some({}, {"made_of": st.lists(st.sampled_from(MATERIALS), max_size=3), "sealed": st.booleans(), "coat": st.sampled_from(COATS), "reach": amount(0.1, 100, "cm"), "wires": st.integers(1, 9)}),
    "shelf": st.lists(
        st.one_of(
            some({"what": st.just("copper sulfate crystals"), "mass": amount(50, 5000, "g"), "price": number(0, 50)}, {}),
            some({"what": st.just("distilled water"), "volume": amount(1, 25, "L"), "price": number(0, 50)}, {"here": st.integers(0, 3)}),
            some({"what": st.sampled_from(["hydrometer", "EDTA"]), "price": number(0, 50)}, {}),
        ),
        max_size=4,
    ),
    "buy": some({}, {"months": number(0.2, 24), "water": amount(0, 5, "L"), "bath": amount(0, 900, "mL"), "plated": amount(0, 200, "A*h"), "additive": amount(0, 2, "mL"), "carbon": st.integers(0, 3), "checks": st.integers(0, 9)}),
}  # fmt: skip


def reading() -> st.SearchStrategy[dict]:
    return st.sampled_from(list(READINGS)).flatmap(
        lambda kind: READINGS[kind].map(lambda fields: {"kind": kind} | fields)
    )


SHEETS = some({"bath": BATH, "reading": st.lists(reading(), max_size=5)}, TABLES)


def valid(raw: dict) -> Sheet:
    """Read a sheet; what two fields together make impossible is left out of the test."""
    try:
        return read_sheet(raw)
    except InputError:
        assume(False)
        raise AssertionError from None


def plain(error: InputError) -> None:
    """A refusal names the place and what is accepted, on one line."""
    assert error.place
    assert error.accepted
    assert "\n" not in str(error)


def test_every_kind_and_every_table_is_made_here() -> None:
    assert set(READINGS) == set(KINDS)
    assert {*TABLES, "bath"} - {"stock", "shelf"} == set(Sheet.TABLES)


@pytest.mark.parametrize("kind", KINDS)
def test_most_readings_made_here_are_valid(kind: str) -> None:
    """What is left out may not be so much that a kind is hardly tested."""
    taken = []

    @cases(20)
    @given(READINGS[kind])
    def count(fields: dict) -> None:
        errors: list[InputError] = []
        read_table(KINDS[kind], fields, "reading", errors)
        taken.append(not errors)

    count()
    assert np.mean(taken) > 0.4


# --- Sound advice ---------------------------------------------------------------------------------


@cases(20)
@given(SHEETS)
def test_any_valid_sheet_gives_finite_advice_that_fits_the_tank(raw: dict) -> None:
    check_advice(valid(raw))


@pytest.mark.parametrize("kind", KINDS)
def test_one_reading_alone_gives_sound_advice(kind: str) -> None:
    @cases(5)
    @given(BATH, READINGS[kind])
    def is_sound(bath: dict, fields: dict) -> None:
        check_advice(valid({"bath": bath, "reading": [{"kind": kind} | fields]}))

    is_sound()


def check_advice(sheet: Sheet) -> None:
    """What is said is finite and physical, and what is advised balances."""
    advice = advise(sheet)
    found = json.loads(json.dumps(advice.to_dict(), allow_nan=False))
    for value in advice.values.values():
        assert value is None or (0 <= value.value < 5000 and value.standard_uncertainty > 0)
    for verdict in advice.verdict.values():
        chances = [verdict.probability_low, verdict.probability_in, verdict.probability_high]
        if verdict.state != "not measured" and verdict.limits:
            assert all(0 <= chance <= 1 for chance in chances)
            assert sum(chances) == pytest.approx(1, abs=1e-9)
    assert 0 <= advice.plan.after.probability_in <= 1 + 1e-9
    assert all(amount >= 0 for amount in vars(advice.plan.amounts).values())
    for step in found["correction"]["steps"]:
        assert all(value > 0 for name, value in step.items() if name not in ("do", "what"))
    for section in advice.sections():
        assert section.lines
        assert not any(word in line for line in section.lines for word in ("nan", "inf ", "None"))
    if advice.steps:
        check_balance(sheet, advice)


def check_balance(sheet: Sheet, advice: Advice) -> None:
    """What is advised balances, and stays inside tank and stock."""
    assert advice.estimate is not None
    task, amounts, after = make_task(sheet, advice.estimate, advice.verdict), advice.plan.amounts, advice.plan.after
    expected = balance(task, amounts)
    assert (after.volume, after.copper_sulfate, after.sulfuric_acid) == pytest.approx(expected, rel=1e-6, abs=1e-6)
    assert amounts.crystals <= task.stock.crystals_on_hand + 1e-9
    assert amounts.acid <= task.stock.acid_on_hand * task.stock.acid_density + 1e-9
    assert amounts.take_out <= task.volume
    assert after.volume <= task.most_volume + 1e-6
    if advice.plan.state == "possible":
        assert after.volume >= task.least_volume - 1e-6
        assert after.probability_in >= 0.95 - 1e-4
    assert advice.steps[-1].after == after


@cases(100)
@given(SHEETS)
def test_a_sheet_written_as_toml_reads_back_the_same(raw: dict) -> None:
    sheet = valid(raw)
    assert parse_sheet(write_sheet(sheet).encode()) == sheet


@cases(20)
@given(SHEETS, st.sampled_from(list(QUESTIONS)))
def test_every_question_answers_or_says_what_is_missing(raw: dict, question: str) -> None:
    sheet = valid(raw)
    try:
        answer = _function(QUESTIONS[question][0])(sheet)
    except InputError as error:
        plain(error)
        return
    json.dumps(answer.to_dict(), allow_nan=False)
    assert all(section.lines for section in answer.sections())


# --- What chemistry makes rise --------------------------------------------------------------------


@cases(40)
@given(
    number(1, 40),
    number(0.02, 8),
    titrants,
    st.sampled_from(["methyl orange", "first lasting cloud", "pH meter"]),
    number(50, 320),
)
def test_more_titrant_used_means_more_acid_found(
    used: float, more: float, titrant: str, end_point: str, copper: float
) -> None:
    found = [estimated("sulfuric_acid", copper, {"kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": titrant, "strength": "0.4 mol/L", "used": f"{volume} mL", "end_point": end_point}) for volume in (used, used + more)]  # fmt: skip
    assert found[1] > found[0]


@cases(40)
@given(number(1, 15), number(0.02, 5), st.sampled_from(["EDTA", "iodometric"]))
def test_more_titrant_used_means_more_copper_found(used: float, more: float, method: str) -> None:
    found = [estimated("copper_sulfate", None, {"kind": "copper titration", "method": method, "sample": "1 mL", "strength": "0.08 mol/L", "used": f"{volume} mL"}) for volume in (used, used + more)]  # fmt: skip
    assert found[1] > found[0]


@cases(40)
@given(number(1.03, 1.2), number(0.002, 0.05))
def test_a_denser_bath_holds_more(density: float, more: float) -> None:
    found = [estimated("copper_sulfate", None, {"kind": "hydrometer", "value": f"{value:.4f}", "scale": "g/mL"}) for value in (density, density + more)]  # fmt: skip
    assert found[1] > found[0]


def a_curve(acid: float) -> list[list[float]]:
    """Points (mL, pH) of 10 mL of a bath of 200 g/L in 100 mL, titrated with 0.5 mol/L lye."""
    volumes = np.linspace(0, 1.01 * acid * 10 / 98.08 * 2 / 0.5, 30)
    pH = pH_at_titrant_volume(200.0, acid, volumes, Flask(10.0, 100.0, "sodium hydroxide", 0.5))
    return [[float(v), float(p)] for v, p in zip(volumes, pH, strict=True) if p < 4.6]


# Readings of each kind whose findings rise with x, 0 to 1, and what it is that they find.
RISING = {
    "acid titration": ("sulfuric_acid", lambda x: {"sample": "5 mL", "diluted_to": "100 mL", "titrant": "sodium carbonate", "strength": "0.25 mol/L", "used": f"{2 + 20 * x} mL", "end_point": "methyl orange"}),
    "copper titration": ("copper_sulfate", lambda x: {"method": "iodometric", "sample": "2 mL", "strength": "0.1 mol/L", "used": f"{5 + 20 * x} mL"}),
    "hydrometer": ("copper_sulfate", lambda x: {"value": f"{4 + 20 * x}", "scale": "Baume"}),
    "weighed density": ("copper_sulfate", lambda x: {"empty": "50 g", "with_water": "150 g", "with_bath": f"{154 + 20 * x} g"}),
    "plated-out copper": ("copper_sulfate", lambda x: {"sample": "100 mL", "before": "10 g", "after": f"{11 + 7 * x} g"}),
    "colour match": ("copper_sulfate", lambda x: {"lower": "60 g/L", "upper": "300 g/L", "position": x}),
    "photo colour": ("copper_sulfate", lambda x: {"standards": [[0, 230, 240, 240], [10, 170, 225, 238], [20, 125, 215, 236], [30, 92, 205, 234]], "samples": [[200 - 100 * x, 220, 236]], "dilution": 10}),
    "pH curve": ("sulfuric_acid", lambda x: {"sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium hydroxide", "strength": "0.5 mol/L", "points": a_curve(25 + 80 * x)}),
    "thinned conductivity": ("sulfuric_acid", lambda x: {"value": f"{500 + 1200 * x} uS/cm", "sample": "1 mL", "thinned_to": "500 mL"}),
    "thinned pH": ("sulfuric_acid", lambda x: {"value": round(3.0 - 0.5 * x, 4), "buffer": [4.0, 4.0], "sample": "1 mL", "thinned_to": "500 mL"}),
    "cemented copper": ("copper_sulfate", lambda x: {"sample": "10 mL", "diluted_to": "250 mL", "before": "10 g", "after": f"{10.3 + 0.6 * x} g"}),
    "laboratory report": ("copper_sulfate", lambda x: {"copper": f"{30 + 40 * x} g/L", "iron": "800 mg/L"}),
    "chloride titration": ("chloride", lambda x: {"sample": "50 mL", "strength": "0.01 mol/L", "used": f"{2 + 12 * x} mL", "end_point": "silver wire"}),
    "chloride strip": ("chloride", lambda x: {"value": f"{10 + 140 * x} mg/L"}),
    "chloride ladder": ("chloride", lambda x: {"lower": f"{10 + 80 * x} mg/L", "upper": f"{40 + 80 * x} mg/L"}),
    "make-up": ("copper_sulfate", lambda x: {"crystals": f"{400 + 800 * x} g", "acid": "100 mL", "final_volume": "5 L"}),
    "previous check": ("sulfuric_acid", lambda x: {"copper_sulfate": "200 g/L", "sulfuric_acid": f"{15 + 90 * x} g/L"}),
}  # fmt: skip


def test_what_rises_is_said_of_every_kind() -> None:
    assert set(RISING) == set(KINDS)


@pytest.mark.parametrize("kind", RISING)
def test_the_more_a_reading_shows_the_more_the_bath_holds(kind: str) -> None:
    component, fields = RISING[kind]
    copper = 200.0 if component == "sulfuric_acid" and kind != "previous check" else None

    @cases(8)
    @given(number(0, 0.9), number(0.02, 0.1))
    def rises(at: float, more: float) -> None:
        found = [estimated(component, copper, {"kind": kind} | fields(x)) for x in (at, at + more)]
        assert found[1] > found[0]

    rises()


def estimated(component: str, copper: float | None, *readings: dict) -> float:
    known = [{"kind": "previous check", "copper_sulfate": f"{copper:.2f} ± 3.00 g/L"}] if copper else []
    found = estimate(valid({"bath": {"volume": "5 L"}, "reading": [*readings, *known]}))
    assert found is not None
    return float(found.mean[found.names.index(component)])


# --- Units and fields -----------------------------------------------------------------------------


@cases(200)
@given(st.floats(1e-6, 1e6), st.sampled_from([name for name in UNITS if name != "temperature"]))
def test_quantities_are_read_back_as_written(value: float, quantity: str) -> None:
    text = format_quantity(value, quantity)
    assert parse(text, quantity).value == pytest.approx(value, rel=5e-3, abs=1e-6)


@pytest.mark.parametrize(
    ("quantity", "unit"), [(quantity, unit) for quantity, units in UNITS.items() for unit in units]
)
def test_every_unit_there_and_back(quantity: str, unit: str) -> None:
    @cases(20)
    @given(st.floats(1e-3, 1e3))
    def is_the_same(value: float) -> None:
        there = parse(f"{value!r} {unit}", quantity).value
        assert convert(there, quantity, unit) == pytest.approx(value, rel=1e-9)

    is_the_same()


FIELDS = [(table.__name__, key, field) for table in (*Sheet.TABLES.values(), *Sheet.STOCK.values(), *KINDS.values()) for key, field in fields_of(table).items()]  # fmt: skip
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30) | st.dates()
    | st.builds("{}{}".format, st.floats(), st.sampled_from([" L", "g", " g/L ± 1 %", "%", " degC", "M", *STRENGTH_UNITS])),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)  # fmt: skip


@cases(400)
@given(st.sampled_from(FIELDS), ANYTHING)
def test_any_field_reads_or_refuses_anything(which: tuple[str, str, Field], raw: object) -> None:
    try:
        value = which[2].read(raw, "place")
    except InputError:
        return
    if isinstance(value, Measured):
        assert math.isfinite(value.value)
    again = which[2].read(which[2].write(value), "place")
    assert again == value or which[2].write(again) == which[2].write(value)


# --- Any text as a sheet --------------------------------------------------------------------------

PIECES = [line for name in ("dull", "old", "evaporation") for line in (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8").splitlines() if line.strip()]  # fmt: skip
ODD_VALUES = ['"1e308 L"', '"-0 mL"', '"0 mL"', "[]", "{}", "inf", "nan", "0x10", '"5 L ± 5 %"', "1979-05-27T07:32:00", "''", '"\\u0000"', "true", "9" * 400]  # fmt: skip


@st.composite
def spoilt_sheets(draw: st.DrawFn) -> str:
    """An example sheet with lines left out, doubled, given an odd value, or with bits of any text in them."""
    lines = (
        (EXAMPLES / f"{draw(st.sampled_from(['dull', 'old', 'evaporation']))}.toml")
        .read_text(encoding="utf-8")
        .splitlines()
    )
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(lines) - 1))
        how = draw(st.sampled_from(["drop", "insert", "value", "text"]))
        if how == "drop":
            lines[at] = ""
        elif how == "insert":
            lines.insert(at, draw(st.sampled_from(PIECES)))
        elif how == "value":
            lines[at] = f"{lines[at].split('=')[0]}= {draw(st.sampled_from(ODD_VALUES))}"
        else:
            cut = draw(st.integers(0, len(lines[at])))
            lines[at] = lines[at][:cut] + draw(st.text(max_size=6)) + lines[at][cut:]
    return "\n".join(lines)


@contextlib.contextmanager
def quiet() -> Iterator[tuple[io.StringIO, io.StringIO]]:
    with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.redirect_stderr(io.StringIO()) as err:
        yield out, err


def check_command(folder: Path, content: bytes) -> None:
    """Answer or refuse: exit 0 with JSON, or exit 2 with one message and nothing on standard output."""
    sheet = folder / "sheet.toml"
    sheet.write_bytes(content)
    with quiet() as (out, err):
        code = main(["check", str(sheet), "--json"])
    if code == 0:
        json.loads(out.getvalue(), parse_constant=pytest.fail)
        assert err.getvalue() == ""
    else:
        assert code == 2
        assert out.getvalue() == ""
        assert err.getvalue().startswith("advisor: ")
        assert err.getvalue().count("\n") == 1


@cases(100)
@given(spoilt_sheets())
def test_a_spoilt_sheet_gets_advice_or_a_plain_refusal(tmp_path: Path, text: str) -> None:
    check_command(tmp_path, text.encode("utf-8", errors="surrogatepass"))


@cases(200)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", errors="surrogatepass")))
def test_any_text_as_a_sheet_gets_a_plain_refusal(tmp_path: Path, content: bytes) -> None:
    check_command(tmp_path, content)


CELLS = st.sampled_from(["0", "1,5", "2.25", "3.9", "-1", "1e9", "nan", "mL", "pH", "volume", '"', ";", "\t", ",", " ", "#", "\n", "\n", "\r\n", "\0", "\u2028", "1,000"])  # fmt: skip


@cases(300)
@given(st.lists(CELLS, max_size=60).map("".join) | st.text(max_size=200))
def test_any_text_as_a_curve_gives_points_or_a_plain_refusal(text: str) -> None:
    try:
        points = read_points(text)
    except InputError as error:
        plain(error)
        return
    assert points
    assert all(len(point) == 2 and all(math.isfinite(cell) for cell in point) for point in points)


@pytest.mark.parametrize("case", FUZZ_CASES, ids=lambda case: case.name)
def test_what_once_broke_a_sheet_gets_advice_or_a_plain_refusal(tmp_path: Path, case: Path) -> None:
    check_command(tmp_path, case.read_bytes())
