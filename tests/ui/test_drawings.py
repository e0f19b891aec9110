"""The drawings: one for each look, sound SVG with words for those who do not see it, and the tools with their own marks."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest

from advisor.basis.tables import rows
from advisor.bench.cards import CARDS, bench_card
from advisor.bench.end_point import flask_at_the_end
from advisor.examples import example_text
from advisor.readings import KINDS
from advisor.sheet import LOOKS, parse_sheet
from advisor.ui import drawings
from advisor.ui.drawings import computed
from advisor.ui.look.paper import printed
from advisor.ui.parts import look_picker
from advisor.words.lines import Units
from tests.widgets import sheet_field

SVG = "{http://www.w3.org/2000/svg}"
OF_TESTS = {name.partition(" if ")[0] for names in drawings.OF_TESTS.values() for name in names}
TESTS = (drawings.BENT_STRIP, drawings.STANDARDISING, *sorted(OF_TESTS))
FILES = {name: drawings.drawing(name) for name in (*LOOKS, *TESTS, *drawings.WISHES)}
MARKED = {  # what is drawn with the marks of its own scale: the division of each [mL], by the table of tools
    row["tool"]: float(row["division_mL"])
    for row in rows("tool_tolerances")
    if row["tool"].endswith(("syringe", "burette"))
}
MADE = {name: computed.tool(name) for name in MARKED} | {
    "end point": computed.end_point(flask_at_the_end(5, 220, 110)),
    "jars": computed.jars(("150", "200", "", "250"), cloudy=False),
    "cloudy jars": computed.jars(("0", "50", "", "100"), cloudy=True),
}
ALL = FILES | {name: drawings.told(svg) for name, svg in MADE.items()}


def test_each_look_has_a_drawing_and_no_two_are_alike():
    files = Path(drawings.__file__).parent.glob("*.svg")
    assert {file.stem.replace("_", " ") for file in files} == {name.replace("_", " ") for name in FILES}
    assert len({one.svg.partition("</style>")[2] for one in FILES.values()}) == len(FILES)
    assert len({one.says for one in FILES.values()}) == len(FILES)


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
    shown = drawings.of_card(card)
    assert shown
    assert all(one.title and len(one.says.split()) >= 15 for one in shown)
    known = {row["only_if"] for row in rows("bench_cards")} | {"EDTA", "iodometric"}
    conditions = {name.partition(" if ")[2] for name in drawings.OF_TESTS[kind]} - {""}
    assert conditions <= known


def dull_card(kind, *tools):
    """Return a card for the example of a dull bath and these tools alone."""
    sheet = parse_sheet(example_text("dull").encode())
    return bench_card(kind, replace(sheet, gear=replace(sheet.gear, have=tools)))


@pytest.mark.parametrize(("gear", "title"), [("EDTA", "Copper with EDTA"), ("thiosulfate", "Copper with thiosulfate")])
def test_a_card_shows_the_end_point_of_its_own_plan(gear, title):
    assert drawings.of_card(dull_card("copper titration", gear))[0].title == title


@pytest.mark.parametrize(
    ("tools", "titles"),
    [
        (["10 mL syringe"], {"Reading a 10 mL syringe"}),
        (["20 mL syringe"], {"Reading a 20 mL syringe"}),
        (["10 mL class A pipette", "50 mL class B burette"], {"Reading a 50 mL class B burette"}),
        (["0.01 g scale", "1 mL syringe"], set()),  # sample and titrant are weighed
    ],
)
@pytest.mark.parametrize("kind", ["acid titration", "pH curve", "copper titration", "chloride titration"])
def test_a_card_shows_how_to_read_the_tools_that_it_plans_with_and_no_others(kind, tools, titles):
    card = dull_card(kind, *tools, "EDTA", "silver nitrate")
    assert {shown.title for shown in drawings.of_card(card) if shown.title.startswith("Reading a ")} == titles


@pytest.mark.parametrize(
    ("kind", "more"),
    [("plated-out copper", ["0.01 g scale"]), ("cemented copper", ["0.01 g scale"]), ("thinned pH", [])],
)
def test_a_card_without_titrant_shows_how_to_read_the_tool_of_its_sample(kind, more):
    card = dull_card(kind, "25 mL class B burette", *more)
    assert any("with the 25 mL class B burette" in step for step in card.steps)
    assert [shown.title for shown in drawings.of_card(card)][-1] == "Reading a 25 mL class B burette"


def labels_and_marks(svg, along):
    """Return where the numbers of a scale and its marks stand along it: {mL: place}, [places]; along: "x" or "y"."""
    texts = [text for text in ElementTree.fromstring(svg).iter(f"{SVG}text") if re.fullmatch(r"[\d.]+", text.text)]
    shift = 3.5 if along == "y" else 0  # a text hangs on its foot, a mark on its middle
    marks = re.findall(r'd="M([\d.]+) ([\d.]+)[vh](?:6|8|12|14)"', svg)
    return (
        {float(text.text): float(text.get(along)) - shift for text in texts},
        [float(mark["xy".index(along)]) for mark in marks],
    )


@pytest.mark.parametrize("name", MARKED)
def test_a_tool_is_drawn_with_the_marks_that_it_has_and_read_where_its_edge_stands(name):
    """Between two numbers stand as many marks as its division makes; the edge stands where its reading says."""
    along = "x" if "syringe" in name else "y"
    labels, marks = labels_and_marks(MADE[name], along)
    (low, first), *_, (high, last) = sorted(labels.items())
    per_mL = (last - first) / (high - low)
    between = sum(first <= place < last - 0.01 for place in marks)
    assert between == pytest.approx((high - low) / MARKED[name], rel=1e-6)
    read = float(re.search(r">(?:read at this edge|bottom): ([\d.]+) mL<", MADE[name])[1])
    edge = float(re.search(r'd="M(?:20 )?([\d.]+)[^"]*" class="look"', MADE[name])[1])
    assert first + (read - low) * per_mL == pytest.approx(edge, abs=0.5 * per_mL * MARKED[name])
    assert min(abs(edge - place) for place in marks) > 2  # between two marks, which is what has to be judged
    assert f"{read:g} millilitres" in ALL[name].says


@pytest.mark.parametrize("name", MARKED)
def test_the_numbers_of_a_scale_are_those_of_a_tool_and_stand_at_its_long_marks(name):
    """They go up by one, two or five, a number apart from the next, and what stands on the liquid is dark on it."""
    along = "x" if "syringe" in name else "y"
    labels, _ = labels_and_marks(MADE[name], along)
    numbers = sorted(labels)
    steps = {f"{high - low:.1e}" for low, high in pairwise(numbers)}
    assert len(steps) == 1
    assert steps.pop()[:3] in ("1.0", "2.0", "5.0")
    assert min(labels[high] - labels[low] for low, high in pairwise(numbers)) >= 16  # four figures in 9 px
    long = re.findall(r'd="M([\d.]+) ([\d.]+)[vh](?:12|14)"', MADE[name])
    assert [float(mark["xy".index(along)]) for mark in long] == pytest.approx([labels[number] for number in numbers])
    edge = float(re.search(r'd="M(?:20 )?([\d.]+)[^"]*" class="look"', MADE[name])[1])
    for text in ElementTree.fromstring(MADE[name]).iter(f"{SVG}text"):
        if re.fullmatch(r"[\d.]+", text.text):
            is_on_liquid = "syringe" in name or float(text.get("y")) > edge
            assert (text.get("class") == "on") == is_on_liquid
    assert max(numbers) <= float(name.split(" mL")[0])
    if along == "y":
        for level, ink in re.findall(r'd="M40 ([\d.]+)h[\d.]+" stroke="([^"]+)"', MADE[name]):
            assert ink == (computed.ON_LIQUID if float(level) > edge else "currentColor")
        rim, down = map(float, re.search(r"M40 ([\d.]+)q22 ([\d.]+) 44 0V140", MADE[name]).groups())
        assert rim + down / 2 == pytest.approx(edge, abs=0.1)  # half-way down to its control point, as all such curves


def test_the_ring_that_is_not_read_is_the_second_of_the_plunger():
    svg = MADE["10 mL syringe"]
    edge, second = map(float, re.search(r"M([\d.]+) 40V84M([\d.]+) 40V84", svg).groups())
    texts = {text.text: float(text.get("x")) for text in ElementTree.fromstring(svg).iter(f"{SVG}text")}
    assert texts["read at this edge: 6.8 mL"] == edge
    assert texts["not this ring"] == second
    assert f'd="M{second:.1f} 88V100"' in svg  # the line that leads to it
    assert edge < second < edge + 32  # on the rubber, which is 32 long


@pytest.mark.parametrize("cloudy", [False, True])
@pytest.mark.parametrize("called", [("150", "200", "", "250"), ("100", "", "", "150", "200", "250")])
def test_jars_stand_side_by_side_ever_stronger_and_the_bath_s_in_their_frame(called, cloudy):
    svg = computed.jars(called, cloudy)
    jars = [
        (float(left), float(left) + float(wide), fill)
        for left, wide, fill in re.findall(r'd="M([\d.]+) 40h([\d.]+)V76h-[\d.]+z" fill="(#[0-9a-f]{6})"', svg)
    ]
    assert len(jars) == len(called)
    assert 4 <= jars[0][0] < jars[-1][1] <= 246  # on the paper
    for (left, right, fill), (following, _, stronger) in pairwise(jars):
        assert left + 20 < right < following
        assert (stronger > fill) == cloudy  # a cloud is lighter than dark paper, and deep blue darker than pale
    ends = (computed.CLEAR, computed.CLOUD) if cloudy else (computed.PALE, computed.DEEP)
    assert [jars[0][2], jars[-1][2]] == ["#" + bytes(end).hex() for end in ends]
    frame = re.search(r'd="M([\d.]+) 22H([\d.]+)V82H[\d.]+z" class="look"', svg)
    left, right = map(float, frame.groups())
    named = next(text for text in ElementTree.fromstring(svg).iter(f"{SVG}text") if text.text == "your bath")
    assert float(named.get("x")) == pytest.approx((left + right) / 2, abs=0.11)
    inside = [left < jar[0] and jar[1] < right for jar in jars]
    assert inside == [not name for name in called]
    assert not any(left < jar[1] and jar[0] < right for jar, name in zip(jars, called, strict=True) if name)
    names = [float(text.get("x")) for text in ElementTree.fromstring(svg).iter(f"{SVG}text")][: len(called)]
    assert names == pytest.approx([(jar[0] + jar[1]) / 2 for jar in jars], abs=0.11)
    assert ('d="M4 20H246V86H4z" fill="#1D2A2F"' in svg, 'fill="#FFFFFF"' in svg) == (cloudy, not cloudy)
    assert (computed.ON_DARK in svg.partition("</style>")[2]) == cloudy


def words_in(shown):
    return [text.text for text in ElementTree.fromstring(shown.svg).iter(f"{SVG}text")]


def test_a_card_to_print_has_the_names_of_the_colours_and_the_tool_in_the_light_of_paper():
    sheet = parse_sheet(example_text("dull").encode())
    card = dull_card("acid titration", "10 mL syringe", "methyl orange")
    paper = unquote(printed(sheet, card, card.label, Units.METRIC))
    for word in (
        ">violet<",
        ">violet-grey<",
        ">grey<",
        ">green<",
        ">read at this edge: 6.8 mL<",
        *card.flask.colours(True),
    ):
        assert word in paper
    assert "prefers-color-scheme" not in paper


@pytest.mark.parametrize(("kind", "baths"), [("colour match", 1), ("photo colour", 2), ("chloride ladder", 1)])
def test_a_row_of_jars_has_as_many_as_the_card_asks_for_named_as_its_steps_name_them(kind, baths):
    card = dull_card(kind, "jars")
    said = " ".join((*card.need, *card.steps))
    named = re.findall(r"(\d+) mg/L: " if kind == "chloride ladder" else r"(\d+) g/L with", said)
    assert [name for name in card.jars if name] == named
    assert card.jars.count("") == baths
    assert len(card.jars) == int(re.search(r"(\d+) (?:small )?clear glass jars", said)[1])
    (shown,) = drawings.of_card(card)
    assert [word for word in words_in(shown) if word and re.fullmatch(r"\d+", word)] == named
    assert shown.svg.count("V77h") == len(card.jars)
    assert ("cloudy" in shown.title) == (kind == "chloride ladder")
    first, last = card.jars.index(""), len(card.jars) - card.jars[::-1].index("")
    assert abs(first - (len(card.jars) - last)) <= 1  # the bath's stand in the middle


def test_the_bath_s_jars_stand_between_those_that_it_should_lie_between():
    card = dull_card("colour match", "jars")
    low, high = re.search(r"lie between (\d+) and (\d+) g/L", card.expect[1]).groups()
    bath = card.jars.index("")
    assert (card.jars[bath - 1], card.jars[bath + 1]) == (low, high)


@pytest.mark.parametrize(
    ("kind", "expected"), [("thinned conductivity", r"about (\d+) µS/cm"), ("thinned pH", r"near pH (\d\.\d\d)")]
)
def test_a_pen_shows_what_the_card_expects_it_to_show(kind, expected):
    card = dull_card(kind, "10 mL syringe")
    shown = re.search(expected, " ".join(card.expect))[1]
    pen = next(one for one in drawings.of_card(card) if one.title == "Reading a pen")
    assert words_in(pen).count(shown) == 2  # on the pen and where it is read
    _, *numbers = (float(word) for word in words_in(pen) if re.fullmatch(r"\d{4,5}|\d\.\d\d", word))
    assert sorted(set(numbers), reverse=True) == numbers  # it creeps down to where it is read
    assert len(numbers) == 3
    assert not {"1192", "1163", "1150"} & set(words_in(pen))


@pytest.mark.parametrize(("tools", "jugs"), [(["0.01 g scale"], 1), (["20 mL syringe"], 2)])
def test_a_bath_is_drawn_thinned_as_often_as_its_steps_thin_it(tools, jugs):
    card = dull_card("thinned conductivity", *tools)
    assert sum("that mixture" in step for step in card.steps) == jugs - 1
    assert words_in(drawings.of_card(card)[0]).count("+ water") == jugs


@pytest.mark.parametrize(("scale", "places"), [("1 g", 0), ("0.1 g", 1), ("0.01 g", 2)])
def test_a_bottle_is_drawn_with_the_decimals_of_the_scale_and_the_weight_of_the_plan(scale, places):
    card = dull_card("weighed density", f"{scale} scale")
    weights = [word.removesuffix(" g") for word in words_in(drawings.of_card(card)[0]) if word.endswith(" g")]
    assert [len(weight.partition(".")[2]) for weight in weights] == [places] * 3
    empty, water, bath = map(float, weights)
    bottle, heavy = re.search(r"in a bottle of (\d+) mL weighs about (\d+) g", " ".join(card.expect)).groups()
    assert water - empty == pytest.approx(0.998 * float(bottle), abs=0.6)  # water at 20 °C, CRC Handbook
    assert bath - empty == pytest.approx(float(heavy), abs=1.1)


def test_made_drawings_have_the_ink_of_the_others():
    assert all(re.search(r"<style>svg\{.*?\}\}", svg)[0] in FILES["cloud"].svg for svg in MADE.values())


def test_the_colours_are_named_for_paper_without_colour():
    """Each patch has its stage above and its name below; the patches are those of the flask."""
    flask = flask_at_the_end(10, 220, 122)
    svg = computed.end_point(flask)
    assert re.findall('fill="(#[0-9a-f]{6})"', svg) == [*flask.colours(True), *flask.colours(False)]
    words = [text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert words[:4] == ["before", "turning", "stop here", "too far"]
    assert words[4:9] == ["violet", "violet-grey", "grey", "green", "in your flask, over copper's blue"]
    assert words[9:] == ["pink", "salmon", "orange", "yellow", "without copper, to compare"]
    assert "holds little copper" in computed.end_point(flask_at_the_end(2, 150, 105))
    patches = [tuple(map(float, found)) for found in re.findall(r'd="M([\d.]+) ([\d.]+)h57v([\d.]+)h-57z"', svg)]
    texts = [(float(text.get("x")), float(text.get("y"))) for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    for column, (stage, with_copper, without) in enumerate(zip(texts[:4], texts[4:8], texts[9:13], strict=True)):
        (x, top, high), (x_below, top_below, high_below) = patches[column], patches[4 + column]
        assert stage[0] == with_copper[0] == without[0] == x + 57 / 2 == x_below + 57 / 2
        assert stage[1] < top < top + high < with_copper[1] < texts[8][1]
        assert texts[8][1] < top_below < top_below + high_below < without[1] < texts[13][1]
    assert 0 < patches[0][0] < patches[3][0] + 57 < 250


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
    assert ElementTree.fromstring(drawing.on_paper()).get("alt") == 'A "b" <c>: x & y'
    assert ElementTree.fromstring(drawing.image(decorative=True).replace(">", "/>", 1)).get("alt") == ""


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
    ("kind", "shows"), [("hydrometer", "<img"), ("thinned conductivity", "<img"), ("acid titration", "<img")]
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


def test_a_number_of_a_plan_that_is_one_of_the_drawing_too_is_put_in_once():
    shown = drawings._with_figures("<b>1192</b><b>1163</b><b>11504</b>", {"1192": "1163", "1163": "1150", "1150": "9"})
    assert shown == "<b>1163</b><b>1150</b><b>11504</b>"
