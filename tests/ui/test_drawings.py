"""The drawings: one for each look, sound SVG with words for those who do not see it; and the computed colours."""

import re
import warnings
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import numpy as np
import pytest

from advisor.basis.tables import column, rows
from advisor.bench.cards import CARDS, bench_card
from advisor.examples import example_text
from advisor.readings import KINDS
from advisor.readings.acid_titration import METHYL_ORANGE_PH
from advisor.sheet import LOOKS, parse_sheet
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE
from advisor.ui import drawings
from advisor.ui.parts import end_point_chips, look_picker
from advisor.ui.parts.end_point_chips import colour, share_yellow
from tests.widgets import sheet_field

SVG = "{http://www.w3.org/2000/svg}"
OF_TESTS = {name.partition(" if ")[0] for names in drawings.OF_TESTS.values() for name in names}
TESTS = (drawings.BENT_STRIP, drawings.STANDARDISING, *sorted(OF_TESTS))
ALL = {name: drawings.drawing(name) for name in (*LOOKS, *TESTS, *drawings.WISHES)}


def test_each_look_has_a_drawing_and_no_two_are_alike():
    files = Path(drawings.__file__).parent.glob("*.svg")
    assert {file.stem.replace("_", " ") for file in files} == {name.replace("_", " ") for name in ALL}
    assert len({one.svg.partition("</style>")[2] for one in ALL.values()}) == len(ALL)
    assert len({one.says for one in ALL.values()}) == len(ALL)


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_a_drawing_is_sound_and_says_what_it_shows(drawing):
    root = ElementTree.fromstring(drawing.svg)
    assert root.tag == f"{SVG}svg"
    assert root.find(f"{SVG}title").text == drawing.title
    assert len(root.find(f"{SVG}desc").text.split()) >= 8
    assert "currentColor" in drawing.svg  # lines follow light and dark
    assert "@media (prefers-color-scheme:dark)" in drawing.svg


@pytest.mark.parametrize("look", LOOKS)
def test_a_picture_to_choose_by_has_no_words_of_its_own(look):
    """On a tile of a phone they would be 5 px high; its name stands beneath."""
    assert not list(ElementTree.fromstring(ALL[look].svg).iter(f"{SVG}text"))


@pytest.mark.parametrize("kind", sorted({*KINDS, *CARDS}))
def test_every_reading_and_every_card_shows_what_to_look_for(kind):
    """Whatever the card holds: each of its drawings has words, and none of its conditions is one that no card has."""
    card = bench_card(kind, parse_sheet(example_text("dull").encode()))
    shown = drawings.of_test(kind, card.holds)
    assert shown or kind == "acid titration"  # with methyl orange it has computed colours besides
    assert all(one.title and len(one.says.split()) >= 15 for one in shown)
    known = {row["only_if"] for row in rows("bench_cards")} | {"EDTA", "iodometric", "syringe", "burette"}
    conditions = {name.partition(" if ")[2] for name in drawings.OF_TESTS[kind]} - {""}
    assert conditions <= known


@pytest.mark.parametrize(("holds", "title"), [("EDTA", "Copper with EDTA"), ("iodometric", "Copper with thiosulfate")])
def test_a_card_shows_the_end_point_of_its_own_plan(holds, title):
    assert drawings.of_test("copper titration", {holds})[0].title == title


BY_TOOL = {"Reading a syringe", "Reading a burette"}


@pytest.mark.parametrize(
    ("tools", "titles"),
    [
        (["10 mL syringe"], {"Reading a syringe"}),
        (["10 mL class A pipette", "50 mL class B burette"], {"Reading a burette"}),
        (["0.01 g scale", "1 mL syringe"], set()),  # sample and titrant are weighed
    ],
)
@pytest.mark.parametrize("kind", ["acid titration", "copper titration", "chloride titration"])
def test_a_card_shows_how_to_read_the_tools_that_it_plans_with_and_no_others(kind, tools, titles):
    sheet = parse_sheet(example_text("dull").encode())
    card = bench_card(kind, replace(sheet, gear=replace(sheet.gear, have=(*tools, "EDTA", "silver nitrate"))))
    assert {shown.title for shown in drawings.of_test(kind, card.holds)} & BY_TOOL == titles


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_a_drawing_fetches_nothing(drawing):
    without_name = drawing.svg.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|//|url\(|href|<image|<script|@import|<use|on\w+=", without_name)


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_nothing_is_drawn_outside_of_the_picture(drawing):
    root = ElementTree.fromstring(drawing.svg)
    left, top, width, height = map(float, root.get("viewBox").split())
    assert left == top == 0
    for shape in root.iter():
        if shape.tag == f"{SVG}circle":
            x, y, r = (float(shape.get(key)) for key in ("cx", "cy", "r"))
            assert x - r >= 0
            assert x + r <= width
            assert y - r >= 0
            assert y + r <= height
        if shape.tag == f"{SVG}path":
            x, y = map(float, re.match(r"M(-?[\d.]+) (-?[\d.]+)", shape.get("d")).groups())
            assert 0 <= x <= width
            assert 0 <= y <= height
        if shape.tag == f"{SVG}text":
            assert float(shape.get("y")) <= height - 1


def test_an_image_carries_the_drawing_and_its_words():
    drawing = drawings.Drawing('A "b" <c>', "x & y", "<svg>é</svg>")
    image = ElementTree.fromstring(drawing.image().replace(">", "/>", 1))
    assert image.get("alt") == 'A "b" <c>: x & y'
    assert unquote(image.get("src").removeprefix("data:image/svg+xml,")) == drawing.svg


def test_each_look_is_chosen_by_its_picture(app_test):
    app = app_test("deposit_faults.py")
    styles = "\n".join(block.proto.body for block in app.get("html"))
    assert styles.count("background-image") == len(LOOKS)
    assert sorted(look for looks in look_picker.GROUPS.values() for look in looks) == sorted(LOOKS)
    for number, look in ((2, "foam"), (0, "pits"), (0, "dull")):
        sheet_field(app.button_group, f"sheet_deposit_looks_{number}").select(look).run()
    assert not app.exception
    assert app.session_state["sheet"]["deposit"]["looks"] == ["pits", "dull", "foam"]  # as a sheet lists them
    sheet_field(app.button_group, "sheet_deposit_looks_0").unselect("pits").run()
    assert app.session_state["sheet"]["deposit"]["looks"] == ["dull", "foam"]


@pytest.mark.parametrize(
    ("kind", "shows"), [("hydrometer", "<img"), ("thinned conductivity", "<img"), ("acid titration", "Stop at grey")]
)
def test_a_reading_shows_its_picture(app_test, kind, shows):
    app = app_test("check.py")
    before = "\n".join(block.proto.body for block in app.get("html"))
    app.selectbox(key="reading_kind").select(kind).run()
    app.button(key="reading_add").click().run()
    app.session_state[f"how_to_1_{kind}"] = True  # opened
    app.run()
    assert not app.exception
    assert shows not in before
    assert shows in "\n".join(block.proto.body for block in app.get("html"))


# --- Colours of the end point ---------------------------------------------------------------------


def rgb(text):
    return np.array([int(text[start : start + 2], 16) for start in (1, 3, 5)])


def test_the_indicator_turns_over_its_published_transition():
    # Methyl orange, red at 3.1 and yellow at 4.4 (handbook figures, from memory): at its ends about one fifth is left.
    red_end, middle, yellow_end = share_yellow([3.1, 3.75, 4.4])
    assert middle == pytest.approx(0.5)
    assert red_end == pytest.approx(1 / (1 + 10**0.65))
    assert red_end + yellow_end == pytest.approx(1.0)


def test_water_is_white_and_copper_takes_red_away():
    assert rgb(colour(0.0, None)) == pytest.approx([255, 255, 255], abs=1)
    reds = [rgb(colour(grams, None))[0] for grams in (5.0, 10.0, 20.0, 30.0)]
    assert sorted(reds, reverse=True) == reds
    assert min(rgb(colour(20.0, None))[1:]) > reds[2]


def test_violet_turns_grey_and_then_green_with_copper_and_red_to_yellow_without():
    before, end, after = (rgb(colour(10.0, pH)) for pH in (2.8, 3.85, 4.7))
    assert before[1] < min(before[0], before[2]) - 10  # violet: least green
    assert np.ptp(end) < 20  # grey
    assert after[1] > max(after[0], after[2]) + 10  # green
    assert rgb(colour(0.0, 2.8))[1] < 200 < rgb(colour(0.0, 4.7))[1]
    assert rgb(colour(0.0, 4.7))[2] < 210


@pytest.mark.parametrize(
    ("nm", "seen"),
    [
        (450, (0.336, 0.038, 1.772)),
        (480, (0.096, 0.139, 0.813)),
        (500, (0.005, 0.323, 0.272)),
        (550, (0.433, 0.995, 0.009)),
        (600, (1.062, 0.631, 0.001)),
    ],
)
def test_the_eye_is_the_standard_observer(nm, seen):
    """Of 1931, as the CIE tables it (from memory); the sums of lobes stand a few hundredths off."""
    eye = [sum(end_point_chips._lobe(np.array(float(nm)), *lobe) for lobe in lobes) for lobes in end_point_chips.LOBES]
    assert eye == pytest.approx(seen, abs=0.05)


def test_the_chips_show_before_turning_end_and_too_far_with_copper_and_without():
    """Three tenths of pH before and after the ends of the transition, 3.1 and 4.4, and at its end point."""
    shown = re.findall("background:(#[0-9a-f]{6})", end_point_chips.chips())
    assert shown == [colour(copper, pH) for copper in (10.0, 0.0) for pH in (2.8, 3.4, METHYL_ORANGE_PH, 4.7)]


@pytest.mark.parametrize("grams", [5.0, 10.0, 20.0, 30.0])
def test_the_colour_of_copper_is_that_of_another_program(grams):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # on import it says what is not installed, and later that it aligns spectra
        other = pytest.importorskip("colour")
        nm = column("copper_absorptivity", "wavelength_nm")
        absorbed = column("copper_absorptivity", "molar_absorptivity_L_mol_cm") * grams * 6.0
        through = other.SpectralDistribution(10 ** (-absorbed / COPPER_SULFATE_PENTAHYDRATE), nm)
        white = other.SpectralDistribution(np.ones(len(nm)), nm)
        seen, full = (
            other.sd_to_XYZ(one, illuminant=other.SDS_ILLUMINANTS["E"], method="Integration")
            for one in (through, white)
        )
        expected = 255 * other.XYZ_to_sRGB(seen / full * end_point_chips.WHITE)
    # Under the same light, all wavelengths alike; the analytic lobes stand a few steps off the tabulated observer.
    assert rgb(colour(grams, None)) == pytest.approx(np.clip(expected, 0, 255), abs=8)
