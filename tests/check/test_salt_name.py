"""A dose of copper sulfate is named as what is weighed: crystals by the grams of the powder would be 36 % short."""

import re
from dataclasses import replace

import pytest

from advisor.check.advise import advise
from advisor.check.headline import headline
from advisor.check.mass_balance import forward
from advisor.check.steps import of_other_stock
from advisor.check.task import make_task
from advisor.questions.headlines import mixture_headline, shopping_headline
from advisor.questions.make_up import mix
from advisor.questions.remake import keep
from advisor.questions.shopping import shop
from advisor.questions.treatments import treat
from advisor.sheet import read_sheet
from advisor.solution.density import WATER_DENSITY
from advisor.words.cautions import Act, caution

# What stands in grams, or is listed with them in what to buy.
WEIGHED = r"\d g (?:of )?((?:copper sulfate )?crystals|anhydrous (?:copper sulfate )?powder)"
LISTED = r"(Copper sulfate crystals|Anhydrous copper sulfate powder): \d"
LOW = {"copper_sulfate": "150 ± 4 g/L", "sulfuric_acid": "50 ± 3 g/L"}
RAW = {
    "bath": {"volume": "5.2 L", "usual_volume": "5.6 L", "max_volume": "7 L", "additives": True},
    "keep": {"mixed_jar": "good"},
    "deposit": {"looks": ["dull"]},
    "treat": {"what": "less chloride"},
    "mix": {"crystals": "400 g", "acid": "150 mL", "water": "4 L"},
}


def sheet_of(stock, chloride="80 ± 5 mg/L"):
    raw = {**RAW, "reading": [{"kind": "previous check", "since": "evaporation only", **LOW, "chloride": chloride}]}
    return read_sheet({**raw, "stock": {"crystals": stock}} if stock else raw)


def said(answer):
    return " ".join(str(text) for block in answer.sections() for text in block.lines)


def checked(sheet):
    advice = advise(sheet)
    return f"{headline(advice).act} {said(advice)}"


def mixed(sheet):
    made = mix(sheet)
    return f"{mixture_headline(made).act} {said(made)}"


def bought(sheet):
    found = shop(sheet)
    return f"{shopping_headline(found).act} {said(found)}"


def are_powder(text):
    """Tell of each dose of copper sulfate in a text whether it is called a powder."""
    return {"nhydrous" in name for name in re.findall(WEIGHED, text) + re.findall(LISTED, text)}


@pytest.mark.parametrize(
    ("stock", "is_powder"),
    [({}, False), ({"form": "pentahydrate"}, False), ({"form": "anhydrous"}, True), ({"copper_content": "39 %"}, True)],
)
@pytest.mark.parametrize(
    "answered",
    [checked, mixed, bought],
)
def test_every_dose_names_what_is_weighed(answered, stock, is_powder):
    assert are_powder(answered(sheet_of(stock))) == {is_powder}


@pytest.mark.parametrize("answered", [keep, treat])
def test_what_replaces_a_part_of_the_bath_names_it_too(answered):
    assert are_powder(said(answered(sheet_of({"form": "anhydrous"}, "200 ± 5 mg/L")))) == {True}
    assert are_powder(said(answered(sheet_of({}, "200 ± 5 mg/L")))) == {False}


@pytest.mark.parametrize("answered", [advise, mix])
@pytest.mark.parametrize(("stock", "is_warmed"), [({}, True), ({"form": "anhydrous"}, False)])
def test_nothing_warms_what_the_powder_goes_into_and_no_caution_says_so(answered, stock, is_warmed):
    found = answered(sheet_of(stock))
    text = said(found)
    assert (caution(Act.HOT_CRYSTALS) in text) == ("warmed to about" in text or "Warm " in text) == is_warmed
    assert caution(Act.ANHYDROUS_POWDER) in text


def test_the_json_keeps_its_key_and_tells_the_salt_by_what_a_gram_stands_for():
    steps = advise(sheet_of({"form": "anhydrous"})).to_dict()["correction"]["steps"]
    salt = next(step for step in steps if step["what"] == "copper sulfate crystals")
    assert salt["purity_mass_fraction"] == pytest.approx(0.99 * 249.68 / 159.60, rel=1e-3)


@pytest.mark.parametrize("level", [{"volume": "5 L", "usual_volume": "5.6 L"}, {"volume": "5 L"}])
def test_the_powder_that_a_step_of_crystals_comes_to_makes_the_same_bath(level):
    """A powder without the water that crystals bring ends 3 % higher; the powder's own plan adds that water too."""
    report = {"kind": "laboratory report", "copper_sulfate": "150 ± 4 g/L", "sulfuric_acid": "50 ± 2 g/L"}
    raw = {"bath": level, "reading": [report]}
    blue = advise(read_sheet(raw))
    step = next(step for step in blue.steps if step.salt)
    told = re.search(r"it takes (\d+) g, and ([\d.]+) (m?L) more water", of_other_stock(step))
    grams, water = float(told[1]), float(told[2]) * (0.001 if told[3] == "mL" else 1.0)
    sheet = read_sheet({**raw, "stock": {"crystals": {"form": "anhydrous"}}})
    own = make_task(sheet, blue.estimate, blue.verdict)
    planned = blue.plan.amounts
    with_powder = replace(planned, crystals=grams, water=planned.water + 1000 * WATER_DENSITY * water)
    after, as_planned = forward(own, with_powder), blue.plan.after
    assert after.copper_sulfate == pytest.approx(as_planned.copper_sulfate, rel=5e-3)
    assert after.sulfuric_acid == pytest.approx(as_planned.sulfuric_acid, rel=5e-3)
    assert after.volume == pytest.approx(as_planned.volume, rel=2e-3)


def test_the_powders_own_plan_up_to_the_level_is_what_the_step_of_crystals_says():
    report = {"kind": "laboratory report", "copper_sulfate": "150 ± 4 g/L", "sulfuric_acid": "50 ± 2 g/L"}
    raw = {"bath": {"volume": "5 L", "usual_volume": "5.6 L"}, "reading": [report]}
    blue = advise(read_sheet(raw)).steps
    own = advise(read_sheet({**raw, "stock": {"crystals": {"form": "anhydrous"}}})).plan.amounts
    told = re.search(r"it takes (\d+) g, and ([\d.]+) L more", of_other_stock(next(step for step in blue if step.salt)))
    water = next(step.numbers["volume_L"] for step in blue if step.what == "water") + float(told[2])
    assert own.crystals == pytest.approx(float(told[1]), rel=0.02)
    assert own.water_L == pytest.approx(water, rel=0.05)
