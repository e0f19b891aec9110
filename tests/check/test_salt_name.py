"""A dose of copper sulfate is named as what is weighed: crystals by the grams of the powder would be 36 % short."""

import re

import pytest

from advisor.check.advise import advise
from advisor.check.headline import headline
from advisor.questions.headlines import mixture_headline, shopping_headline
from advisor.questions.make_up import mix
from advisor.questions.remake import keep
from advisor.questions.shopping import shop
from advisor.questions.treatments import treat
from advisor.sheet import read_sheet
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
