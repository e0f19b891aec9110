"""The printed map: black on white, sound SVG, with every name of the map on screen."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from advisor.ui.charts.bath_map import bath_map
from advisor.ui.charts.paper_map import HEIGHT, WIDTH, paper_map
from advisor.words.lines import Units
from tests.ui.charts.test_bath_map import KNOWN, bath

SVG = "{http://www.w3.org/2000/svg}"
NAMED = replace(KNOWN, added=("water", "acid"), just_water=(170.0, 19.0))


def names(svg):
    return {text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")}


@pytest.mark.parametrize(
    "numbers", [NAMED, replace(NAMED, units=Units.US_FIRST), replace(KNOWN, known=bath(215.0, 72.0), path=())]
)
def test_paper_has_the_names_of_the_screen_in_the_same_units(numbers):
    on_screen = {
        row["words"] for layer in bath_map(numbers)["layer"] for row in layer["data"]["values"] if row.get("words")
    }
    tips = {"bath as measured", *(numbers.after(number) for number in range(1, len(numbers.path) + 1))}
    assert on_screen - tips <= names(paper_map(numbers))
    assert f"copper sulfate, {'g/L' if numbers.units is Units.METRIC else 'oz/gal'}" in names(paper_map(numbers))


def test_it_is_black_and_white_and_stays_inside():
    svg = paper_map(NAMED)
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) == {"none", "#000", "#fff", "#999", "url(#h)"}
    root = ElementTree.fromstring(svg)
    assert root.get("viewBox") == f"0 0 {WIDTH} {HEIGHT}"
    for circle in root.iter(f"{SVG}circle"):
        assert 0 <= float(circle.get("cx")) <= WIDTH
