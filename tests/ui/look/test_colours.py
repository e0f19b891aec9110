"""The colours are one set in three places, and each can be read where it stands: contrast by WCAG 2.2, 1.4.3 and 1.4.11.

Contrast is (L1 + 0.05) / (L2 + 0.05) of relative luminances, 0.2126 R + 0.7152 G + 0.0722 B of linear sRGB.
"""

import re
import tomllib
from pathlib import Path

import pytest

from advisor.ui.look import colours, style

SHEET = (Path(style.__file__).parent / "style.css").read_text("utf-8")
PAIRS = {
    name: (light, dark) for name, light, dark in re.findall(r"--([\w-]+): light-dark\((#\w{6}), (#\w{6})\)", SHEET)
}
THEME = tomllib.loads((Path(style.__file__).parents[2] / ".streamlit" / "config.toml").read_text("utf-8"))["theme"]
MEANINGS = ("copper", "bath", "verdigris", "ochre", "brick")
SIDES = {"light": 0, "dark": 1}


def luminance(colour):
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_standard():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", SIDES)
def test_every_text_can_be_read_on_every_ground_it_stands_on(theme):
    of = {name: pair[SIDES[theme]] for name, pair in PAIRS.items()}
    grounds = {name: ("paper", "card", f"{name}-tint") for name in MEANINGS}
    grounds |= {"ink": ("paper", "card", *(f"{name}-tint" for name in MEANINGS)), "soft": ("paper", "card")}
    grounds |= {"on-copper": ("copper",)}
    low = {
        (name, ground): round(contrast(of[name], of[ground]), 2)
        for name, grounds_of in grounds.items()
        for ground in grounds_of
        if contrast(of[name], of[ground]) < 4.5
    }
    assert not low


@pytest.mark.parametrize("theme", SIDES)
def test_what_is_drawn_stands_out(theme):
    paper = PAIRS["paper"][SIDES[theme]]
    drawn = colours.LIGHT if theme == "light" else colours.DARK
    assert colours.PAGE[theme] == paper
    assert all(contrast(colour, paper) >= 3 for name, colour in drawn.items() if name != "line")
    assert contrast(THEME[theme]["borderColor"], paper) >= 3


@pytest.mark.parametrize("theme", SIDES)
def test_charts_theme_and_sheet_have_the_same_colours(theme):
    of = {name: pair[SIDES[theme]] for name, pair in PAIRS.items()}
    drawn = colours.LIGHT if theme == "light" else colours.DARK
    properties = {name: re.fullmatch(r"var\(--(\w+)\)", chart)[1] for name, chart in colours.CHART.items()}
    assert drawn == {name: of[other] for name, other in properties.items()}
    told = THEME[theme]
    assert (told["backgroundColor"], told["secondaryBackgroundColor"]) == (of["paper"], of["card"])
    assert told["borderColor"] == of["edge"]
    assert (told["primaryColor"], told["textColor"], told["linkColor"]) == (of["copper"], of["ink"], of["bath"])
