"""The whole way: what a person is told, from readings to cautions, in the cases that matter most."""

import json
from dataclasses import fields, replace

import pytest

from advisor import advise
from advisor.check.advise import advise_beside
from advisor.check.assessment import assess
from advisor.check.steps import step_amount, step_dose
from advisor.examples import EXAMPLES, example_text
from advisor.sheet import Sheet, parse_sheet, parse_toml, read_sheet
from advisor.words.phrases import SOUND_SAMPLE
from advisor.words.sections import Block
from tests.some_sheets import ANSWERS


def parse_example(name: str):
    return parse_sheet(example_text(name).encode())


ACID = """
[[reading]]
kind = "acid titration"
sample = "10 mL"
diluted_to = "100 mL"
titrant = "sodium bicarbonate"
strength = "0.5 mol/L"
used = "{used} mL"
end_point = "first lasting cloud"
"""
HYDROMETER = """
[[reading]]
kind = "hydrometer"
value = "{value}"
scale = "SG 20/20"
"""


BESIDE = {
    "buy": {"months": 2},
    "plate": {"area": "1 dm2"},
    "treat": {"what": "carbon"},
    "part": {"made_of": ["eggshell"]},
    "mix": {"volume": "4 L"},
    "deposit": {"looks": ["rough"]},
    "hull_cell": {"current": "2 A"},
    "keep": {"disposal_price": 3},
    "dispose": {"base": "sodium carbonate"},
    "anodes": {"bagged": True},
    "shelf": [{"what": "distilled water", "volume": "5 L", "price": 3}],
}
# The owner of this bath says that nothing got into it.
CLEAN = 'soda_added = "0 g"\ntouched = ["nothing"]\ntopped_up_with = "distilled water"\n'


def advice(bath: str = "", readings: str = "", volume: str = "5.6 L"):
    return advise(parse_sheet(f'[bath]\nvolume = "{volume}"\n{CLEAN}{bath}\n{readings}'.encode()))


def test_a_bath_of_known_making_is_found_again() -> None:
    """200 g/L crystals and 60 g/L acid weigh 1.1582 g/mL (computed) and take 24.5 mL of 0.5 mol/L bicarbonate for 10 mL (stoichiometry)."""
    found = advice('age = "1 week"', ACID.format(used=24.7) + HYDROMETER.format(value=f"{1.1582 / 0.99821:.4f}"))
    assert found.values["sulfuric_acid"].value == pytest.approx(60, abs=1.0)
    assert found.values["copper_sulfate"].value == pytest.approx(200, abs=2.5)
    assert found.values["copper_sulfate"].standard_uncertainty < 8


def test_evaporation_is_made_up_with_water_and_what_that_leaves_out_is_said() -> None:
    """Level then 5.6 L, now 4.6 L; a litre gone with 0.2 L of it dragged out would leave 5.6 L about 3.6 % low (arithmetic)."""
    found = advise(parse_example("evaporation"))
    assert [step.what for step in found.steps] == ["water"]
    assert found.steps[0].numbers["volume_L"] == pytest.approx(1.0, abs=0.02)
    assert found.plan.after.copper_sulfate == pytest.approx(212, abs=1.5)
    said = next(text for text in found.warnings if "only water has left" in text)
    assert "0.1 L" in said
    assert "1.8 %" in said  # so 0.2 L leave it 3.6 % low


def read(found, *keys: Block) -> list[list[str]]:
    """The lines of the sections of these keys."""
    lines = {section.key: list(section.lines) for section in found.sections()}
    return [lines.get(key, []) for key in keys]


def test_what_is_read_of_an_answer_are_its_numbers() -> None:
    """120 ± 6 and 10 ± 2 g/L were typed; the standard window is 195 to 248, 30 to 75 g/L and 50 to 120 mg/L."""
    found = advise(read_sheet(ANSWERS["four doses"]))
    holds, steps, ends = read(found, Block.RESULT, Block.STEPS, Block.AFTERWARDS)
    assert holds[:3] == [
        "Copper sulfate: 120 ± 6 g/L – below the window (over 99 %) (window 195 to 248 g/L)",
        "Sulfuric acid: 10.0 ± 2.0 g/L – below the window (over 99 %) (window 30 to 75 g/L)",
        "Chloride: not measured (window 50 to 120 mg/L)",
    ]
    assert [text.split(". ")[0] for text in steps] == [step_dose(step) for step in found.steps]
    assert ends[0].startswith("5.60 L with ")  # the most that this tank holds
    assert "known of" not in ends[0]
    assert found.state_line not in ends
    assert [found.to_dict()["verdict"][name]["limits"] for name in ("copper_sulfate", "sulfuric_acid")] == [
        [195, 248],
        [30, 75],
    ]


def test_what_is_not_measured_is_said_beside_what_is() -> None:
    found = advice("", ACID.format(used=8))
    holds, ends = read(found, Block.RESULT, Block.AFTERWARDS)
    assert holds[0] == "Copper sulfate: not measured (window 195 to 248 g/L)"
    assert not any("together" in text for text in holds)  # no density was read
    assert "g/L copper sulfate" not in ends[0]
    assert ends[0].endswith("; nothing is known of the copper sulfate.")
    assert found.state_line in ends


def test_nothing_to_do_says_so() -> None:
    readings = (
        ACID.format(used=21.5) * 2
        + HYDROMETER.format(value="1.1700")
        + (
            '[[reading]]\nkind = "previous check"\ncopper_sulfate = "221 ± 8 g/L"\nsulfuric_acid = "52 ± 4 g/L"\nsince = "evaporation only"'
        )
    )
    found = advice('age = "1 month"', readings)
    assert found.plan.state == "none needed"
    assert found.steps == ()
    assert any("Nothing:" in line for section in found.sections() for line in section.lines)


@pytest.mark.parametrize("condition", ["crystals", "cloudy", "layers", "sludge"])
def test_an_unsound_sample_comes_first_and_no_chemical_is_advised(condition: str) -> None:
    found = advice(f'condition = ["{condition}"]', ACID.format(used=5))
    assert found.steps == ()
    assert found.warnings[0] == SOUND_SAMPLE
    assert any("stays dissolved" in text for text in found.warnings) == (condition == "crystals")
    assert SOUND_SAMPLE in found.cautions
    assert found.sections()[0].lines == (SOUND_SAMPLE,)
    reworded = replace(found, warnings=("In other words.", *found.warnings[1:]), cautions=found.cautions[1:])
    assert reworded.sections()[0] == found.sections()[0]
    sound = replace(found, sample=None)
    assert Block.FIRST not in [block.key for block in sound.sections()]
    assert found.to_dict()["estimate"]["sulfuric_acid_g_L"] is None
    assert "sound sample" in found.plan.blocked_by


def test_hidden_crystals_are_reckoned() -> None:
    """A bath of 300 g/L and about 60 g/L acid at 10 °C keeps about 230 g/L: some 390 g on the floor of 5.6 L."""
    record = '[[reading]]\nkind = "previous check"\ncopper_sulfate = "300 g/L"\nsulfuric_acid = "60 g/L"\n'
    found = advice('condition = ["crystals"]\ncoldest = "10 degC"', record)
    said = next(text for text in found.warnings if "may lie on the floor" in text)
    grams = float(said.split("about ")[2].split(" g of")[0])
    assert grams == pytest.approx(5.6 * (300 - 230), rel=0.08)


def test_without_a_record_the_most_that_the_window_has_may_have_gone_in() -> None:
    """248 g/L in 5.6 L are 1389 g; at 5 °C, with the window's middle of acid, some 215 g/L stay dissolved (computed)."""
    said = advice('condition = ["crystals"]\ncoldest = "5 degC"').warnings[2]
    assert "If 1390 g went in" in said
    assert float(said.split("up to about ")[1].split(" g of")[0]) == pytest.approx(1389 - 5.6 * 215, abs=40)


def test_where_all_stays_dissolved_no_crystals_are_reckoned() -> None:
    record = '[[reading]]\nkind = "previous check"\ncopper_sulfate = "180 g/L"\nsulfuric_acid = "60 g/L"\n'
    found = advice('condition = ["crystals"]\ncoldest = "15 degC"', record)
    assert any("hold all of the" in text for text in found.warnings)
    assert not any("may lie on the floor" in text for text in found.warnings)


def test_water_that_left_took_no_copper_with_it() -> None:
    """1500 g of 99 % in 6 L, of which 4 L are left at 15 °C: 1485 g less 4 x 240 or so, some 500 g; not 30."""
    made = '[[reading]]\nkind = "make-up"\ncrystals = "1500 g"\nacid = "180 mL"\nfinal_volume = "6 L"\n'
    found = advice('condition = ["crystals"]\nusual_volume = "6 L"', made, volume="4 L")
    said = next(text for text in found.warnings if "may lie on the floor" in text)
    assert float(said.split("up to about ")[1].split(" g of")[0]) == pytest.approx(520, rel=0.1)


def test_a_bath_colder_than_told_is_judged_at_what_it_is() -> None:
    """4800 g in 20 L; at 8 °C and 60 g/L of acid some 221 g/L stay dissolved, at the 15 °C that were told 247 (computed)."""
    record = '[[reading]]\nkind = "previous check"\ncopper_sulfate = "240 g/L"\nsulfuric_acid = "60 g/L"\n'
    cold = 'condition = ["crystals"]\ntemperature = "8 degC"\ncoldest = "15 degC"'
    said = next(text for text in advice(cold, record, volume="20 L").warnings if "stays dissolved" in text)
    assert "At 8 °C" in said
    assert float(said.split("up to about ")[1].split(" g of")[0]) == pytest.approx(380, rel=0.1)


def test_a_reading_that_alone_tells_a_metal_may_be_the_odd_one() -> None:
    """Without the report nothing tells chloride and zinc: the trial without it has fewer unknowns than the estimate."""
    report = (
        '[[reading]]\nkind = "laboratory report"\ncopper = "54 g/L"\nsulfuric_acid = "120 g/L"\n'
        'chloride = "60 mg/L"\nzinc = "0.2 g/L"\n'
    )
    readings = ACID.format(used=24.7) * 2 + HYDROMETER.format(value=1.16) + report
    known = advice('age = "1 week"', readings)
    assert known.estimate.agreement.odd_one_out == 3
    assert known.next_reading[0].repeats == 3


def test_warming_is_never_advised_without_its_cautions() -> None:
    found = advice('condition = ["crystals"]')
    assert any("heater in acid" in text.lower() for text in found.cautions)


def test_only_acid_measured_leaves_copper_alone() -> None:
    found = advice("", ACID.format(used=8))
    assert found.verdict["copper_sulfate"].state == "not measured"
    assert [step.what for step in found.steps] == ["sulfuric acid"]
    result = found.to_dict()
    assert result["estimate"]["copper_sulfate_g_L"] is None
    assert result["correction"]["after"]["copper_sulfate_g_L"] is None
    assert result["verdict"]["crystallises_below_degC"] is None


def test_a_hydrometer_alone_settles_nothing_and_says_what_would() -> None:
    found = advice("", HYDROMETER.format(value="1.165"))
    assert found.determined == ()
    holds, steps, ends = read(found, Block.RESULT, Block.STEPS, Block.AFTERWARDS)
    assert " – not settled, likely below the window (60 %)" in holds[0]
    assert " – not settled, as likely as not above the window (57 %)" in holds[1]
    assert sum("together" in text for text in holds) == 1
    assert steps[0] == found.state_line
    assert not ends
    assert found.plan.state == "first part"
    assert found.steps == ()
    assert found.next_reading[0].kind in ("acid titration", "pH curve", "copper titration")


def test_gear_decides_what_is_suggested() -> None:
    gear = '[gear]\nhave = ["hydrometer"]\n'
    found = advice("", gear + ACID.format(used=21))
    assert [suggestion.kind for suggestion in found.next_reading] == ["hydrometer"]


def test_where_the_gear_tells_nothing_more_the_least_that_would_is_named() -> None:
    found = advice('[gear]\nhave = ["1 g scale", "hydrometer"]', HYDROMETER.format(value=1.15))
    assert [suggestion.kind for suggestion in found.next_reading] == ["acid titration"]
    assert "what you would need for it: baking soda" in found.next_reading[0].why
    assert not found.steps
    assert not found.ways  # nothing is known well enough to turn copper into acid or back


def test_a_bath_is_not_thinned_for_its_chloride_before_copper_and_acid_are_known() -> None:
    chloride = '[[reading]]\nkind = "chloride titration"\nsample = "20 mL"\nstrength = "0.05 mol/L"\nused = "11 mL"\nend_point = "silver wire"\n'
    found = advice("additives = true", chloride)
    assert found.verdict["chloride"].state == "high"
    assert found.plan.state == "measure first"
    assert found.steps == ()
    assert found.next_reading

    checked = '[[reading]]\nkind = "previous check"\ncopper_sulfate = "220 ± 8 g/L"\nsulfuric_acid = "55 ± 4 g/L"\nvolume = "5.6 L"\nsince = "evaporation only"\n'
    # Without additives nobody needs the chloride, and bath is not thrown away for it.
    assert advice("", checked + chloride).plan.state == "none needed"
    # What is high rests on one titration, and a plan would take out more than a tenth: that reading is repeated first.
    once = advice("additives = true", checked + chloride)
    assert once.plan.state == "repeat first"
    assert once.steps == ()
    assert "reading 2 (chloride titration) alone" in once.plan.why[0]
    known = advice("additives = true", checked + 2 * chloride)
    assert known.plan.state == "possible"
    assert known.plan.amounts.take_out > 0
    assert 195 < known.plan.after.copper_sulfate < 248


def test_acid_that_no_reading_speaks_of_is_not_thinned() -> None:
    copper = '[[reading]]\nkind = "colour match"\nlower = "150 g/L"\nupper = "200 g/L"\nposition = 0.6'
    found = advice('max_volume = "8 L"', copper)
    assert found.plan.state == "first part"  # the acid is still to be measured
    assert found.plan.amounts.water == found.plan.amounts.acid == found.plan.amounts.take_out == 0
    # 252 g/L is the saturation at 15 degC with the acid aimed at
    assert found.plan.after.copper_sulfate <= 0.9 * 252


def test_contradiction_is_named() -> None:
    found = advice("", ACID.format(used=24) + ACID.format(used=12))
    assert any("contradict each other" in text for text in found.warnings)
    assert found.to_dict()["estimate"]["agreement"]["p_value"] < 0.05


def test_odd_one_out_has_its_number() -> None:
    found = advice("", "".join(ACID.format(used=value) for value in (24, 24.2, 12, 23.9)))
    assert found.to_dict()["estimate"]["agreement"]["odd_one_out"] == "reading 3"


def test_acid_step_carries_its_cautions_and_warming() -> None:
    found = advice("", ACID.format(used=4))
    text = " ".join(found.cautions)
    for word in (
        "goggles",
        "gloves",
        "in the portions named",
        "battery",
        "food",
        "drain",
        "local authority",
        "anodes out",
    ):
        assert word in text, word
    assert "warms by about" in found.steps[-1].how


def test_steps_stand_in_the_order_in_which_to_do_them() -> None:
    found = advise(parse_example("old"))
    order = ["bath", "water", "copper sulfate crystals", "sulfuric acid"]
    places = [order.index(step.what) for step in found.steps]
    assert places == sorted(places)
    assert found.steps[-1].after.copper_sulfate == pytest.approx(found.plan.after.copper_sulfate)
    assert step_amount(found.steps[-1]).startswith("Add ")


def test_cold_is_warned_of_before_crystals_form() -> None:
    cold = advice('coldest = "12 degC"', '[[reading]]\nkind = "previous check"\ncopper_sulfate = "246 ± 6 g/L"\nsulfuric_acid = "74 ± 2 g/L"\nsince = "evaporation only"')  # fmt: skip
    assert any("Crystals form below" in text for text in cold.warnings)
    warm = advice('coldest = "22 degC"', '[[reading]]\nkind = "previous check"\ncopper_sulfate = "200 ± 6 g/L"\nsulfuric_acid = "50 ± 2 g/L"\nsince = "evaporation only"')  # fmt: skip
    assert not any("Crystals form below" in text for text in warm.warnings)


def test_supersaturation_warns_and_is_no_error() -> None:
    found = advice('temperature = "5 degC"', '[[reading]]\nkind = "previous check"\ncopper_sulfate = "300 ± 10 g/L"\nsulfuric_acid = "100 ± 6 g/L"\nsince = "evaporation only"')  # fmt: skip
    assert any("more copper sulfate than stays dissolved" in text for text in found.warnings)


def test_stock_not_named_is_assumed_aloud_and_costs_nothing_known() -> None:
    found = advice("", ACID.format(used=8))
    assert any("96 % acid is assumed" in text for text in found.warnings)
    assert found.to_dict()["correction"]["cost"] is None


def test_more_titrant_means_more_acid() -> None:
    acids = [advice("", ACID.format(used=used)).estimate.value("sulfuric_acid") for used in (2, 5, 10, 20, 40)]
    assert acids == sorted(acids)


def test_declared_iron_lowers_the_acid_found_as_far_as_it_is_iron_three() -> None:
    """2 g/L of iron(III), 0.9 of it sure to be that: 2 · 0.9 · 1.6 = 2.9 g/L of acid. Copper anodes leave a tenth: 0.3."""
    plain = advice("", ACID.format(used=20)).estimate.value("sulfuric_acid")
    for more, less_acid in (('iron_form = "iron(III)"', 2.9), ('anodes = "copper"', 0.32)):
        iron = advice(f'iron = "2 g/L"\n{more}', ACID.format(used=20)).estimate
        assert plain - iron.value("sulfuric_acid") == pytest.approx(less_acid, abs=0.15)


def test_json_is_plain_and_finite() -> None:
    for name in ("dull", "evaporation", "old"):
        json.dumps(advise(parse_example(name)).to_dict(), allow_nan=False)


def test_assessing_agrees_with_the_advice() -> None:
    sheet = parse_example("dull")
    known, full = assess(sheet), advise(sheet)
    assert known.values == full.values
    assert known.verdict == full.verdict
    assert known.crystallises_below == full.crystallises_below


@pytest.mark.parametrize(("acid_now", "millilitres"), [(34, 237), (28, 316)])
def test_acid_is_measured_in_millilitres_and_battery_acid_needs_no_stops(acid_now: int, millilitres: float) -> None:
    """Battery acid gives off a sixth of the heat of strong acid: it goes in without stops (see test_pouring).

    A millilitre of 37 % acid weighs 1.277 g (CRC Handbook), brings 0.37 · 1.277 = 0.473 g of acid and about 0.9 mL of
    liquid, which is to hold 0.052 g/mL as well: from 34 to 52 g/L take 5.6 · 18/(0.473 - 0.047) = 237 mL, from
    28 g/L 316 mL.
    """
    sheet = f"""
    [window]
    sulfuric_acid = ["46 g/L", "58 g/L"]
    [stock.acid]
    strength = "37 %"
    [[reading]]
    kind = "previous check"
    copper_sulfate = "225 ± 4 g/L"
    sulfuric_acid = "{acid_now} ± 1 g/L"
    since = "evaporation only"
    """
    (step,) = advice('usual_volume = "5.8 L"\nmax_volume = "7 L"', sheet).steps
    assert step.numbers["volume_mL"] == pytest.approx(millilitres, rel=0.03)
    assert "portions" not in step.how


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_is_asked_beside_the_bath_changes_nothing_of_its_advice(name):
    asked = read_sheet({**parse_toml(example_text(name).encode()), **BESIDE})
    of_the_bath = {field.name for field in fields(Sheet)}.difference(Sheet.QUESTIONS)
    assert set(BESIDE) == set(Sheet.QUESTIONS)
    assert all(getattr(asked, question) for question in BESIDE)
    assert {name for name in of_the_bath if getattr(asked.of_the_bath, name) != getattr(asked, name)} == set()
    assert advise_beside(asked).to_dict() == advise(asked).to_dict()


def test_what_was_typed_as_it_would_be_assumed_is_another_sheet():
    """15 °C is assumed where nobody says how cold the bath gets: that is then taken for granted, and said to be."""
    raw = parse_toml(example_text("dull").encode())
    bath = {name: value for name, value in raw["bath"].items() if name != "coldest"}
    untold, told = (read_sheet({**raw, "bath": {**bath, **more}}) for more in ({}, {"coldest": "15 degC"}))
    assert untold == told
    assert advise(untold).taken_for_granted != advise(told).taken_for_granted
    for sheet in (untold, told, untold):
        assert advise_beside(sheet).taken_for_granted == advise(sheet).taken_for_granted
