"""The bench cards: every test has one, nothing on it is missing, and its numbers are the plans'."""

import re

import pytest

from advisor.basis import fields as basis_fields
from advisor.basis import tables, units
from advisor.basis.fields import InputError
from advisor.basis.units import parse
from advisor.bench.cards import CARDS, DUPLICATED, OTHER_LABELS, SAMPLING, Repeats, begun, bench_card, sound_part
from advisor.bench.gear import kit_of
from advisor.bench.other_plans import plan_hydrometer, plan_plating_out, plan_standards, plan_weighed_density
from advisor.bench.predicted import expected_bath
from advisor.bench.standardise import STANDARDISATIONS
from advisor.bench.titration_plans import plan_acid, plan_chloride, plan_copper, plan_curve
from advisor.examples import example_text
from advisor.readings import KINDS
from advisor.sheet import Bath, Gear, Sheet, parse_sheet, read_sheet
from advisor.solution.stock import SALT_SOLUTION
from advisor.words.cautions import Act, caution, first_aid
from advisor.words.lines import Units
from advisor.words.report import page, terminal
from tests.widgets import press, said, sheet_field

BLOCKS = ("What to expect", "What you need", "Steps", "What to look for", "Usual mistakes", "Waste", "Take care")
GEAR = {
    "none": (),
    "kitchen": ("10 mL syringe", "baking soda", "EDTA", "0.1 g scale"),
    "burette": ("50 mL burette", "5 mL class A pipette", "lye", "pH meter", "0.01 g scale", "thiosulfate"),
    "drops": ("drops",),
}


def sheet_with(*have):
    return Sheet(Bath(volume=parse("5 L", "volume")), gear=Gear(have=have))


PENS = {"thinned conductivity": (0, "2 uS/cm"), "thinned pH": (2, "2 uS/cm")}  # decimals that are read, the water


def first_and_second(kind, *have, **more):
    """Return the card of a test, and that of its duplicate once the first is read; and what it showed, of the plan's."""
    raw = {"bath": {"volume": "5 L"}, "gear": {"have": list(have)}}
    planned = read_sheet(raw)
    plan = CARDS[kind].plan(expected_bath(planned), kit_of(have))
    if kind in PENS:
        shown = f"{0.95 * plan.shown:.{PENS[kind][0]}f}"
        read = {"value": shown if kind == "thinned pH" else f"{shown} uS/cm", "temperature": "21 degC"}
        read |= {"water": PENS[kind][1]} | ({"buffer": ["4.00", "4.01"]} if kind == "thinned pH" else {})
    else:
        shown = f"{0.8 * plan.used.millilitres:.1f}"
        read = {"used": f"{shown} mL"}
    sheet = read_sheet({**raw, "reading": [{"kind": kind, **begun(kind, planned), **read, **more}]})
    repeats = Repeats(sheet, sheet.readings[0])
    return bench_card(kind, planned, is_begun=True), bench_card(kind, planned, is_begun=True, repeats=repeats), shown


def words(card, *titles):
    return " ".join(line for block in card.sections() if not titles or block.title in titles for line in block.lines)


@pytest.mark.parametrize("gear", GEAR)
def test_what_a_bench_weighs_and_measures_is_metric_for_everybody(gear):
    """A scale fine enough for a test shows grams, and its glass is marked in mL; the fields take what these show."""
    us = re.compile(r"\d (oz(?!/gal)|lb|fl oz|qt|gal)\b")
    for kind in CARDS:
        card = bench_card(kind, sheet_with(*GEAR[gear]))
        said = [text.text(Units.US_FIRST) for text in (*card.expect, *card.need, *card.steps, *card.look_for)]
        assert [text for text in said if us.search(text)] == []


def test_every_kind_of_reading_has_a_card_and_so_have_sampling_and_a_panel():
    assert set(CARDS) == {*KINDS, *OTHER_LABELS}


@pytest.mark.parametrize("gear", GEAR)
@pytest.mark.parametrize("kind", CARDS)
def test_every_card_is_whole(kind, gear):
    card = bench_card(kind, sheet_with(*GEAR[gear]))
    blocks = card.sections()
    assert tuple(block.title for block in blocks) == (*BLOCKS, *(section.title for section in first_aid(card.acts)))
    assert card.kind == kind
    assert [block.numbered for block in blocks] == [block.title == "Steps" for block in blocks]
    assert blocks[-1].caution
    lines = [line for block in blocks for line in block.lines]
    assert all(line[0].isupper() or line[0].isdigit() for line in lines)
    assert all(line[-1] in ".!" for line in lines)
    assert not re.search(r"\bnan\b|\binf\b|None|\{|\}|  ", " ".join(lines))
    assert "mouth" in words(card, "Take care")
    assert card.to_dict()["steps"] == list(card.steps)
    assert terminal(card.label, blocks, Units.METRIC).count("\n1. ") == 1
    assert "<ol" in page(card.label, blocks)


@pytest.mark.parametrize("gear", [("methyl orange",), ("pH meter",), ("baking soda",), ()])
def test_which_indicator_a_card_uses_does_not_hang_on_its_words(monkeypatch, gear):
    sheet, rows = sheet_with(*gear), tables.rows
    card = bench_card("acid titration", sheet)
    other = [{**row, "text": row["text"].replace("methyl orange", "the indicator")} for row in rows("bench_cards")]
    monkeypatch.setattr(tables, "rows", lambda name: other if name == "bench_cards" else rows(name))
    reworded = bench_card("acid titration", sheet)
    assert (reworded.need != card.need) == ("methyl orange" in card.holds)
    assert reworded.holds == card.holds
    assert ("methyl orange" in card.holds) == any("methyl orange" in line for line in (*card.need, *card.steps))


@pytest.mark.parametrize(
    ("scale", "weighed_on", "grams", "more"),
    [
        (None, "a kitchen scale that shows 1 g", "42 g", "still weighed roughly: a finer scale makes it surer"),
        ("1 g", "the scale", "42 g", "still weighed roughly: a finer scale makes it surer"),
        ("0.1 g", "the scale", "21.0 g", "more than you need: a smaller amount would be weighed too roughly"),
        ("0.01 g", "the scale", "10.50 g", ""),
    ],
)
def test_a_card_names_what_a_titrant_is_weighed_on_and_says_why_it_is_more_than_needed(scale, weighed_on, grams, more):
    """Four titrations of 34 mL: 250 mL, or 10.5 g of soda. A scale of 1 g is off by ± 2 g, one of 0.1 g by ± 0.2."""
    card = bench_card(
        "acid titration", sheet_with("baking soda", "50 mL burette", *([f"{scale} scale"] if scale else []))
    )
    assert weighed_on in next(line for line in card.need if line.startswith("To measure: "))
    made = next(line for line in card.steps if line.startswith(f"Dissolve {grams} of baking soda"))
    assert more in made
    assert ("more than you need" in made) == bool(more)


def test_the_numbers_on_a_titration_s_card_are_the_plan_s():
    for gear in ("kitchen", "burette"):
        sheet = sheet_with(*GEAR[gear])
        expected, bench = expected_bath(sheet), kit_of(GEAR[gear])
        plans = {"acid titration": plan_acid, "copper titration": plan_copper, "chloride titration": plan_chloride}
        for kind, function in plans.items():
            plan, card = function(expected, bench), bench_card(kind, sheet)
            steps = words(card, "Steps", "What you need")
            assert f"about {plan.used.millilitres:.1f} mL" in steps
            assert f"About {plan.used.millilitres:.1f} mL" in words(card, "What to expect")
            assert f"{plan.sample.millilitres:g} mL" in steps
            if plan.sample.tool is None:
                assert f"write {plan.sample.volume.text} in the reading" in steps
            if kind != "chloride titration":
                assert plan.titrant.molarity.text in steps
                assert f"{bench.grams(plan.titrant.grams).text} of" in steps
                assert f"{plan.titrant.water:.0f} g of distilled water" in steps


def test_the_numbers_of_the_other_cards_are_the_plan_s():
    sheet = sheet_with(*GEAR["burette"])
    expected, bench = expected_bath(sheet), kit_of(GEAR["burette"])
    curve = plan_curve(expected, bench)
    (before, _), (last, _) = curve.fields["points"][-2:]
    said = words(bench_card("pH curve", sheet))
    assert f"{last:.1f} mL of titrant, in 30 points" in said
    assert f"then every {last - before:.1g} mL until" in said
    plated = plan_plating_out(expected, bench)
    said = words(bench_card("plated-out copper", sheet))
    assert f"{plated.copper_g:.2f} g of copper in about {plated.hours:.0f} hours" in said
    assert f"Plate at {plated.current_A:.2g} A" in said
    assert "ASTM E53" in said
    assert "1.543 g for each gram" in said
    for kind, seen_by in (("colour match", "eye"), ("photo colour", "camera")):
        standards = plan_standards(expected, bench, seen_by).standards
        said = words(bench_card(kind, sheet))
        assert all(f"{jar.crystals_g:.3g} g of crystals" in said for jar in standards)
    assert f"{plan_hydrometer(expected).shown:.3f}" in words(bench_card("hydrometer", sheet))
    bottle = plan_weighed_density(expected, bench).bottle_mL
    assert f"A bottle of about {bottle:.0f} mL" in words(bench_card("weighed density", sheet))


def test_a_kitchen_scale_weighs_a_litre():
    said = words(bench_card("weighed density", sheet_with("1 g scale", "10 mL syringe", "baking soda")))
    assert "A bottle of about 1000 mL" in said
    assert "A scale of 1 g that weighs it full and no food ever again" in said
    assert "0.1 g or finer" not in said
    assert "0.1 g or finer" in words(bench_card("weighed density", sheet_with("0.1 g scale")))


def test_the_stock_s_purity_is_in_the_colour_standards():
    pure, poor = (
        parse_sheet(f'[bath]\nvolume = "5 L"\n[stock.crystals]\npurity = "{purity} %"'.encode()) for purity in (100, 80)
    )
    assert words(bench_card("colour match", pure)) != words(bench_card("colour match", poor))


def test_standards_of_a_bath_too_lean_to_be_thinned_say_nothing_of_thinning():
    sheet = parse_sheet(
        b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = "previous check"\ncopper_sulfate = "60 g/L +/- 6 g/L"\n'
        b'sulfuric_acid = "120 g/L +/- 8 g/L"\nsince = "evaporation only"'
    )
    steps = bench_card("colour match", sheet).steps
    assert "ilute" not in " ".join(steps)
    assert all(step == step.strip() for step in steps)


@pytest.mark.slow
def test_every_line_of_the_table_stands_on_some_card():
    gears = (
        *GEAR.values(),
        ("methyl orange", "washing soda"),
        ("1 mL syringe",),
        ("pH meter", "baking soda", "0.01 g scale"),
    )
    sheets = [sheet_with(*gear) for gear in gears]
    lean = (
        b'[bath]\nvolume = "5 L"\n[window]\ncopper_sulfate = ["40 g/L", "60 g/L"]\nchloride = ["300 mg/L", "900 mg/L"]'
    )
    cards = [bench_card(kind, sheet) for sheet in (*sheets, parse_sheet(lean)) for kind in CARDS]
    said = "\n".join(map(words, (*cards, *(first_and_second(kind)[1] for kind in DUPLICATED))))
    for row in tables.rows("bench_cards"):
        text = caution(Act(row["text"])) if row["block"] == "acts" else row["text"]
        assert all(part in said for part in re.split(r"\{[^}]*\}", text)), row


def test_washing_soda_is_baked_before_it_is_weighed_in():
    steps = words(bench_card("acid titration", sheet_with("10 mL syringe", "0.1 g scale", "washing soda")), "Steps")
    assert 0 < steps.index("bake it an hour at 200 °C") < steps.index("of washing soda, baked dry (sodium carbonate)")
    assert "bake it" not in words(bench_card("acid titration", sheet_with("10 mL syringe", "baking soda")), "Steps")


def test_gear_that_measures_nothing_is_named_and_numbers_for_a_syringe_are_given():
    card = bench_card("acid titration", sheet_with("drops"))
    assert "The numbers here are for a 10 mL syringe" in card.expect[0]
    assert "10 mL syringe" in words(card, "Steps")


def test_little_acid_gets_a_curve_card_with_the_reason():
    sheet = parse_sheet(
        b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = "previous check"\ncopper_sulfate = "200 g/L +/- 10 g/L"\n'
        b'sulfuric_acid = "1 g/L +/- 0.4 g/L"\nsince = "evaporation only"'
    )
    assert "so little acid" in bench_card("pH curve", sheet).expect[0]


@pytest.mark.parametrize(
    ("kind", "have", "title", "said"),
    [
        ("acid titration", ("baking soda",), "Usual mistakes", "Phenolphthalein"),
        ("acid titration", ("baking soda",), "Usual mistakes", "Read while it fizzes"),
        ("acid titration", ("lye",), "Take care", "never water onto lye"),
        ("copper titration", ("EDTA",), "Usual mistakes", "Stale murexide"),
        ("copper titration", ("EDTA",), "Usual mistakes", "Too much ammonia"),
        ("copper titration", ("EDTA",), "Waste", "apart from other copper waste"),
        ("copper titration", ("thiosulfate",), "Usual mistakes", "holds iodine"),
        ("hydrometer", (), "Usual mistakes", "Bubbles on the glass"),
        ("hydrometer", (), "Steps", "not at the rim"),
        ("chloride titration", (), "Take care", "Silver and ammonia never meet"),
        ("chloride ladder", (), "Waste", "never let it meet ammonia"),
        ("chloride strip", (), "Usual mistakes", "do not read chloride"),
        ("plated-out copper", (), "Take care", "Never stainless steel"),
        (SAMPLING, (), "Steps", "Draw from mid-depth"),
    ],
)
def test_what_people_get_wrong_is_said_where_it_belongs(kind, have, title, said):
    assert said in words(bench_card(kind, sheet_with(*have)), title)


def test_lye_is_not_warned_of_fizzing_nor_soda_of_lye():
    soda, lye = (words(bench_card("acid titration", sheet_with(gear))) for gear in ("baking soda", "lye"))
    assert "fizzing" not in lye
    assert "Lye eats" not in soda


def test_no_card_brings_silver_and_ammonia_onto_one_bench():
    """Only as a warning: no step of a silver card asks for ammonia, and no step of an EDTA card for silver."""
    for kind in CARDS:
        steps = words(bench_card(kind, sheet_with("EDTA", "silver nitrate")), "Steps", "What you need").lower()
        assert not ("silver" in steps and "ammonia" in steps)


def test_the_ladder_s_silver_is_enough_for_its_cloudiest_jar():
    """1 mL of 0.1 mol/L against 150 mg/L in 20 mL: 0.1 mmol over 0.085 mmol."""
    said = words(bench_card("chloride ladder", sheet_with()), "Steps", "What you need")
    jar = float(re.search(r"make each up to (\d+) mL", said)[1])
    assert 150 * jar / 1000 / 35.45 < 0.1 * 1.0
    assert "150 mg/L: 3 mL" in said


def test_an_unknown_test_is_refused_by_name():
    with pytest.raises(InputError, match="did you mean acid titration"):
        bench_card("acid titation", sheet_with())


# --- The page -------------------------------------------------------------------------------------


@pytest.fixture
def methods(app_test):
    app = app_test("methods.py")
    assert not app.exception
    return app


def test_an_empty_sheet_gets_a_usual_bath(methods):
    assert "These are the numbers for a usual bath" in "\n".join(text.value for text in methods.markdown)
    methods.selectbox(key="methods_kind").select("acid titration").run()
    assert not methods.exception
    assert "222 g/L copper sulfate" in said(methods)


def test_the_present_bath_is_what_the_card_is_for(app_test, monkeypatch):
    monkeypatch.setenv("ADVISOR_EXAMPLE", "dull")
    app = app_test("methods.py")
    app.selectbox(key="methods_kind").select("acid titration").run()
    assert not app.exception
    assert "from your readings" in said(app)
    before = said(app)
    sheet_field(app.button_group, "sheet_gear_have").select("methyl orange").run()
    assert said(app) != before
    assert "methyl orange" in said(app)


def test_a_card_leads_to_the_one_that_it_names(methods):
    methods.selectbox(key="methods_kind").select("hydrometer").run()
    methods.button(key=f"methods_{SAMPLING}").click().run()
    assert not methods.exception
    assert methods.selectbox(key="methods_kind").value == SAMPLING
    assert methods.header[0].value == "Drawing a sample"
    assert f"methods_{SAMPLING}" not in {button.key for button in methods.button}  # it names no other
    press(methods, "← Back to Hydrometer")
    assert methods.header[0].value == "Hydrometer"


def test_a_card_can_be_taken_away_on_paper(methods):
    assert methods.get("download_button")[0].proto.label == "Download the card to print"


@pytest.fixture
def titrant(methods):
    """Return the page at a test that takes a titrant."""
    return methods.selectbox(key="methods_kind").select("acid titration").run()


def test_the_strength_is_asked_only_where_a_test_takes_a_titrant(methods):
    assert "titrant_way" not in {box.key for box in methods.selectbox}
    for kind, asked in (("copper titration", True), ("hydrometer", False), ("chloride titration", True)):
        methods.selectbox(key="methods_kind").select(kind).run()
        assert ("titrant_way" in {box.key for box in methods.selectbox}) is asked


@pytest.mark.parametrize("way", STANDARDISATIONS)
def test_each_way_to_standardise_asks_calmly(titrant, way):
    titrant.selectbox(key="titrant_way").select(STANDARDISATIONS[way].label).run()
    assert not titrant.exception
    assert "Needed:" in said(titrant)
    assert "Not usable" not in said(titrant)
    assert not titrant.code


def test_a_filled_form_gives_a_text_for_the_reading(titrant):
    """A problem of OpenStax Chemistry 2e, whose answer is not printed there; at the purity that is taken where none is typed."""
    titrant.selectbox(key="titrant_way").select(STANDARDISATIONS["against solid"].label).run()
    titrant.selectbox(key="titrant_against_solid_solid").select("potassium hydrogen phthalate").run()
    titrant.text_input(key="titrant_against_solid_mass").input("0,3420").run()
    titrant.text_input(key="titrant_against_solid_used").input("35.73").run()
    assert not titrant.exception
    text = titrant.code[0].value
    assert parse(text, "strength").value == pytest.approx(0.3420 * 0.995 / 204.22 / 0.03573, rel=0.002)
    assert parse(text, "strength").standard_uncertainty > 0


def test_an_unfinished_bake_is_said_at_its_field(titrant):
    titrant.selectbox(key="titrant_way").select(STANDARDISATIONS["baked"].label).run()
    for name, value in {"before": "100.0", "after": "70.0", "mass": "26.5", "made_up": "1000"}.items():
        titrant.text_input(key=f"titrant_baked_{name}").input(value).run()
    assert not titrant.exception
    assert "that is a loss of 30.0 %" in said(titrant)
    assert not titrant.code


@pytest.mark.parametrize("kind", CARDS)
def test_a_card_reads_no_number_out_of_a_text(kind, monkeypatch):
    """Plans are made of numbers: what was typed is read once, when the sheet is."""
    sheet = parse_sheet(example_text("dull").encode())
    read = []
    parsed = units.parse
    for module, name in ((units, "parse"), (basis_fields, "parsed_once")):
        monkeypatch.setattr(module, name, lambda *given: read.append(given) or parsed(*given))
    bench_card(kind, sheet)
    assert not read


def test_what_counts_reading_counts(monkeypatch):
    read = []
    parsed = units.parse
    monkeypatch.setattr(basis_fields, "parsed_once", lambda *given: read.append(given) or parsed(*given))
    parse_sheet(example_text("dull").encode())
    assert len(read) > 5


TITRATIONS = ("acid titration", "pH curve", "copper titration", "chloride titration")
TIP, RIM, CAP = "read at the tip of its plunger", "read at the rim of the curve", "once with its cap"


@pytest.mark.parametrize(
    ("tools", "warned"),
    [
        (("10 mL syringe",), {TIP}),
        (("50 mL burette", "5 mL class A pipette"), {RIM}),
        (("10 mL syringe", "0.01 g scale"), {CAP}),  # all of it is weighed, though a syringe is there
    ],
)
@pytest.mark.parametrize("kind", TITRATIONS)
def test_the_mistakes_of_a_titration_are_those_of_the_tools_that_it_is_planned_with(kind, tools, warned):
    card = bench_card(kind, sheet_with(*tools, "EDTA", "baking soda"))
    assert {one for one in (TIP, RIM, CAP) if one in words(card, "Usual mistakes")} >= warned
    assert (CAP in words(card, "Usual mistakes")) == (CAP in warned)
    by = {"syringe": TIP, "burette": RIM}
    to_measure = next(line for line in card.need if line.startswith("To measure: "))
    for word, mistake in by.items():
        assert (mistake in words(card, "Usual mistakes")) == (word in to_measure)


@pytest.mark.parametrize(("tool", "drop"), [("5 mL syringe", True), ("5 mL class A pipette", False)])
def test_a_drop_on_a_syringe_is_warned_of_where_there_is_one(tool, drop):
    for kind in ("thinned conductivity", "thinned pH"):
        card = bench_card(kind, sheet_with(tool, "1000 mL class B volumetric flask"))
        assert ("outside of the syringe" in words(card, "Usual mistakes")) == drop


@pytest.mark.parametrize("kind", ["acid titration", "copper titration"])
@pytest.mark.parametrize(
    ("tools", "then", "never"),
    [
        (("10 mL syringe",), "note how many millilitres went in", "weigh the bottle again"),
        (("10 mL syringe", "0.01 g scale"), "weigh the bottle again", "millilitres went in"),
    ],
)
def test_at_the_end_point_what_is_read_is_that_of_the_tool(kind, tools, then, never):
    """Nothing shows millilitres to who weighs the bottle of titrant."""
    steps = words(bench_card(kind, sheet_with(*tools, "EDTA", "baking soda")), "Steps")
    assert then in steps
    assert never not in steps


def test_a_card_says_what_its_sample_suits_where_readings_tell_it():
    """The middle of the window is the same at each first check; what readings told may differ at each later one."""
    gear = ("10 mL syringe", "baking soda")
    before = {"kind": "previous check", "sulfuric_acid": "55 ± 6 g/L", "since": "evaporation only"}
    raw = {"bath": {"volume": "5 L"}, "gear": {"have": gear}}
    first, second = (bench_card("acid titration", read_sheet({**raw, **more})) for more in ({}, {"reading": [before]}))
    assert "Put 5 mL of bath" in words(first, "Steps")
    assert "this size suits" not in words(first)
    assert "Put 10 mL of bath" in words(second, "Steps")
    low, high = re.search(
        r"A sample of this size suits a bath with (\d+) to (\d+) g/L of free acid, as read before", words(second)
    ).groups()
    assert (int(low), int(high)) == pytest.approx((49, 61), abs=1)  # ± is 95 %
    chloride = bench_card("chloride titration", read_sheet({**raw, "reading": [before]}))
    assert "this size suits" not in words(chloride)  # of which nothing was read


def test_one_syringe_for_bath_and_titrant_is_rinsed_between_them():
    assert "Rinse the 10 mL syringe" in words(
        bench_card("acid titration", sheet_with("10 mL syringe", "baking soda")), "Steps"
    )
    assert "Rinse the 50 mL" not in words(bench_card("acid titration", sheet_with(*GEAR["burette"])), "Steps")


def test_a_duplicate_of_another_sample_expects_what_its_own_takes():
    """The first took half the sample that is planned: the second takes twice as much titrant."""
    half, _, _ = first_and_second("acid titration", "10 mL syringe", "baking soda")
    planned = float(re.search(r"Put (\d+) mL of bath", words(half, "Steps"))[1])
    _, second, shown = first_and_second("acid titration", "10 mL syringe", "baking soda", sample=f"{planned / 2} mL")
    told = float(re.search(r"expect about ([\d.]+) mL", words(second, "Steps"))[1])
    assert told == pytest.approx(2 * float(shown), rel=0.05)


@pytest.mark.parametrize("kind", ["acid titration", "pH curve", "chloride titration"])
def test_a_test_that_is_begun_is_not_asked_to_be_entered(kind):
    whole, begun = (bench_card(kind, sheet_with(*GEAR["burette"]), is_begun).steps for is_begun in (False, True))
    assert whole[:-1] == begun
    assert whole[-1].startswith("Enter ")


@pytest.mark.parametrize("gear", ["none", "kitchen", "burette"])
@pytest.mark.parametrize("kind", sorted(DUPLICATED))
def test_a_duplicate_is_a_fresh_portion_and_nothing_is_prepared_for_it_anew(kind, gear):
    """It is expected to show what the first did: four fifths of the titrant planned, or 0.95 of what a pen shows."""
    first, second, shown = first_and_second(kind, *GEAR[gear])
    assert not any(
        word in words(second, "Steps") for word in ("Draw", "Dissolve", "Dilute first", "twice", "buffer of")
    )
    assert second.steps[0].startswith("What you prepared for the one before still serves.")
    stay = [step for step in first.steps if step in second.steps]
    assert [step for step in second.steps if step in stay] == stay  # in their order
    assert len([step for step in stay if re.match("Put|Take", step)]) == 1  # the same sample, and as many drops
    assert not re.search(r"\bnan\b|\binf\b|None|\{|\}|  ", words(second))
    assert re.search(rf"([Aa]bout|near pH) {re.escape(shown)}\b", words(second, "What to expect"))
    assert ("from your readings" in words(second)) == (kind != "chloride titration")
    if "titration" in kind:
        most = re.search(rf"expect about {re.escape(shown)} mL, and have (\d+) mL at hand", words(second, "Steps"))[1]
        assert float(shown) < int(most) < 1.5 * float(shown)  # half as much again is had at hand for the first


def test_a_pen_in_ppm_is_expected_to_show_the_same_again():
    ppm = {"value": "500 ppm", "factor": "0.5"}
    second = first_and_second("thinned conductivity", "10 mL syringe", **ppm)[1]
    assert "reads about 1000 µS/cm; a pen that shows ppm shows about 500 (factor 0.5)" in words(
        second, "What to expect"
    )


def test_what_holds_titrant_is_refilled_and_one_tool_is_rinsed_before_the_next_sample():
    """Soda left in the syringe would use up acid of the sample; a burette holds nothing but titrant."""
    by_syringe, by_burette = (
        first_and_second("acid titration", *gear)[1].steps
        for gear in (("10 mL syringe", "baking soda"), GEAR["burette"])
    )
    assert "Rinse the 10 mL syringe with water and then with bath" in by_syringe[0]
    assert any("then with titrant. Fill the 10 mL syringe with titrant" in step for step in by_syringe)
    assert "Rinse the" not in " ".join(by_burette)
    assert any(step.startswith("Refill the 50 mL burette with titrant, or leave it, and note") for step in by_burette)


def test_a_card_is_written_for_what_is_sound_in_a_sheet():
    readings = [{"kind": "laboratory report", "sulfuric_acid": f"{held} g/L"} for held in ("50", "60")]
    raw = {"bath": {"volume": "7 L"}, "reading": readings}
    left, is_the_bath = sound_part(raw, ["reading 1: sulfuric_acid", "plate: area"])
    assert ([reading.sulfuric_acid.value for reading in left.readings], is_the_bath) == ([60.0], True)
    usual, is_the_bath = sound_part(raw, ["bath: volume"])
    assert (usual.bath.volume.text, is_the_bath) == ("5 L", False)


def test_a_titration_s_card_says_how_its_tools_are_used():
    """A syringe is refilled, a burette is not; what the flask takes is what is in it and what is run in."""
    for gear, refills in ((("10 mL syringe", "baking soda"), True), (GEAR["burette"], False)):
        sheet = sheet_with(*gear)
        said = words(bench_card("acid titration", sheet))
        plan = plan_acid(expected_bath(sheet), kit_of(gear))
        assert ("refill it as needed and add up" in said) == refills
        assert f"flask or jar for {plan.diluted_to_mL + plan.most_mL:.0f} mL" in said
    by = {tool: bench_card("acid titration", sheet_with(tool)).holds for tool in ("pH meter", "methyl orange")}
    assert {tool: "no indicator" in holds for tool, holds in by.items()} == {"pH meter": True, "methyl orange": False}
    bought = bench_card("chloride titration", sheet_with("50 mL burette", "5 mL class A pipette"))  # ready made
    assert "scale" not in next(text for text in bought.need if text.startswith("To measure: "))


def test_a_pen_that_shows_ppm_is_told_what_it_will_show():
    said = words(bench_card("thinned conductivity", sheet_with("5 mL syringe", "conductivity meter")), "What to expect")
    shown, half, more = re.search(
        r"about (\d+) µS/cm.* about (\d+) \(factor 0\.5\) or (\d+) \(factor 0\.7\)", said
    ).groups()
    assert [int(half), int(more)] == pytest.approx([0.5 * int(shown), 0.7 * int(shown)], abs=1)


def test_a_solution_to_check_a_pen_in_is_made_of_ten_times_its_salt_and_thinned_tenfold():
    """1413 µS/cm are 702 mg/L of table salt in the conversion tables of pens (from memory)."""
    assert "7.0 g of dry table salt made up to 1 L, and 100 mL of that made up to 1 L" in words(
        bench_card("thinned conductivity", sheet_with("5 mL syringe", "conductivity meter")), "Steps"
    )


def test_the_jars_of_a_ladder_take_what_makes_their_chloride():
    """25 mg/L in 20 mL are 0.5 mg. The salt solution is thinned tenfold; salt is 60.66 % chloride (35.45/58.44)."""
    each = SALT_SOLUTION * 0.6066 / 10
    said = words(bench_card("chloride ladder", sheet_with()), "Steps")
    assert f"0 mg/L: 0 mL, 25 mg/L: {0.5 / each:.3g} mL" in said
    assert f"150 mg/L: {3 / each:.3g} mL" in said
