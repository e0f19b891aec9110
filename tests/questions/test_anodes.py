"""The anodes: their current density, where they turn passive, how large, how long; bad input; agreement with plate."""

import math
import re

import pytest

from advisor.__main__ import main
from advisor.basis import tables
from advisor.basis.fields import InputError, SheetError
from advisor.questions.anodes import USUAL, anodes, safe_density
from advisor.questions.faults import diagnose
from advisor.questions.headlines import anodes_headline
from advisor.questions.plating import plate
from advisor.sheet import ANODE_LOOKS, read_sheet
from advisor.solution.anode_film import anodic_limit
from tests.questions.some_sheets import usual

PLATE = {"area": "85 cm^2", "current": "0.9 A", "time": "10 h", "anode_area": "60 cm^2"}


def asked(care=None, plated=PLATE, **more):
    return anodes(usual(plate=plated, anodes=care or {}, **more))


def test_current_density_and_copper_by_hand():
    """0.9 A on 0.6 dm2 are 1.5 A/dm2; 9 A·h dissolve 9 x 1.1855 = 10.67 g."""
    found = asked()
    assert found.density == pytest.approx(1.5)
    assert found.copper == pytest.approx(10.67, abs=0.01)


def test_they_last_until_a_third_is_left():
    """900 g: 600 g may dissolve, 600 / 1.1855 = 506 A·h."""
    assert asked({"mass": "900 g"}).lasts == pytest.approx(506, abs=1)
    assert asked().lasts is None


def test_the_limit_is_that_of_the_measured_bath():
    found = asked({"height": "12 cm"})
    assert found.measured
    by_itself = anodic_limit(200.0, 60.0, 20.0, 12.0, "still", 1.0)
    assert found.limit.value == pytest.approx(by_itself.value, rel=0.01)
    assert found.passive == pytest.approx(by_itself.probability_passive(1.5), abs=0.02)


def test_an_unmeasured_bath_is_taken_as_anywhere_in_its_window():
    """The middle of the standard window is 221.5/52.5 g/L; 195 to 248 spread evenly are 53/sqrt(12) = 15.3 g/L."""
    found = anodes(read_sheet({"bath": {"volume": "5 L"}, "plate": PLATE}))
    assert not found.measured
    middle = anodic_limit(221.5, 52.5, 20.0, 15.0, "still", 15.3)
    assert found.limit.value == pytest.approx(middle.value)
    assert found.limit.standard_uncertainty == pytest.approx(middle.standard_uncertainty, rel=0.01)
    assert any("not settled" in text for text in found.warnings)
    assert (found.to_dict()["bath_is"], asked().to_dict()["bath_is"]) == ("assumed", "measured")
    assert any("A/dm², in the middle of your window: " in text for text in found.sections()[0].lines)
    assert found.wanted == pytest.approx((0.85, 1.7))  # of the part and the trade's 2.5 A/dm2: the bath is not known
    assert not asked(bath={"anodes": "inert"}).measured


def test_the_area_keeps_passive_anodes_away():
    """At least the part's area, at least what the trade's 2.5 A/dm2 asks for, and at most one in twenty passive."""
    found = asked()
    safe = safe_density(found.limit)
    assert found.limit.probability_passive(safe) == pytest.approx(0.05, abs=1e-3)
    assert found.wanted[0] == pytest.approx(max(0.85, 0.9 / min(USUAL[1], safe)))
    warm = asked(bath={"temperature": "27 degC"})
    assert warm.wanted[0] < found.wanted[0]


def test_passive_anodes_are_foretold():
    loud = asked(plated=PLATE | {"anode_area": "20 cm^2"})
    assert loud.passive > 0.9
    assert any("probably turn passive" in text for text in loud.warnings)
    quiet = asked(plated=PLATE | {"anode_area": "170 cm^2"}, bath={"temperature": "25 degC"})
    assert quiet.passive < 0.05
    assert not any("passive" in text for text in quiet.warnings)


def test_a_saturated_bath_says_that_no_area_helps():
    found = asked(copper_sulfate="285 ± 3 g/L", bath={"temperature": "18 degC"})
    assert found.limit.value == 0.0
    assert any("larger anodes do not help" in text for text in found.warnings)
    assert math.isfinite(found.wanted[1])


def test_bags_keep_the_stirring_away():
    moved = PLATE | {"stirring": "air"}
    assert asked({"bagged": True}, moved).limit.value < asked({"bagged": False}, moved).limit.value


def test_inert_anodes_feed_nothing():
    found = asked(bath={"anodes": "inert"})
    assert found.limit is None
    assert found.to_dict()["passive_above_A_dm2"] is None
    text = " ".join(line for block in found.sections() for line in block.lines)
    assert "feed nothing" in text
    assert "chlorine" in text


@pytest.mark.parametrize("look", ANODE_LOOKS)
def test_every_look_is_explained(look):
    found = asked({"looks": [look]})
    section = next(block for block in found.sections() if block.title == "What you see on them")
    row = next(row for row in tables.rows("anode_looks") if row["look"] == look)
    assert row["means"] in section.lines[0]
    assert row["do"] in section.lines[0]


def test_it_agrees_with_the_plating_run():
    sheet = usual(plate={"area": "85 cm^2", "thickness": "150 um", "anode_area": "60 cm^2"})
    run, found = plate(sheet), anodes(sheet)
    assert found.current == run.current
    assert found.density == run.anode_density
    assert found.copper == run.copper


def test_without_a_run_the_recommended_current_is_taken():
    found = asked(plated={"area": "85 cm^2"})
    assert found.current == pytest.approx(plate(usual(plate={"area": "85 cm^2", "thickness": "150 um"})).current)
    assert found.density is None
    assert found.passive is None
    timed = {"area": "85 cm^2", "time": "10 h"}
    assert asked(plated=timed).copper == plate(usual(plate=timed)).copper


@pytest.mark.parametrize(
    ("raw", "place"),
    [
        ({"looks": ["rusty"]}, "anodes: looks"),
        ({"height": "0 cm"}, "anodes: height"),
        ({"mass": "5 L"}, "anodes: mass"),
        ({"bagged": "yes"}, "anodes: bagged"),
        ({"bags": True}, "anodes: bags"),
    ],
)
def test_bad_input_is_named(raw, place):
    with pytest.raises(SheetError, match=place):
        usual(plate=PLATE, anodes=raw)


def test_no_part_is_asked_for(tmp_path, capsys):
    with pytest.raises(InputError, match="plate: area"):
        anodes(usual())
    file = tmp_path / "s.toml"
    file.write_text('[bath]\nvolume = "5 L"\n', "utf-8")
    assert main(["anodes", str(file)]) == 2
    out, error = capsys.readouterr()
    assert (out, "plate: area" in error) == ("", True)


@pytest.mark.parametrize(
    ("area", "temperature", "wanted"),
    [("30 cm^2", "20 degC", None), ("70 cm^2", "20 degC", None), ("60 cm^2", "35 degC", "80")],
)
def test_one_area_is_wanted_and_no_second_beside_it(area, temperature, wanted):
    """Far beyond the limit the area that this bath wants is said, not also that of any bath, which is far less.

    Where it stands well it is that of the trade's 2.5 A/dm²: 80 cm² for 2 A on 70, which 3.3 A/dm² are too much for.
    """
    found = asked(
        plated={**PLATE, "area": "70 cm^2", "current": "2 A", "anode_area": area}, bath={"temperature": temperature}
    )
    (said,) = (text for text in found.warnings if "Hang in at least" in text)
    least = re.search(r"\d+", str(found.area_said))[0]
    assert f"at least {least} cm²" in said.replace("\N{NO-BREAK SPACE}", " ")
    assert wanted in (None, least)


@pytest.mark.parametrize(
    ("care", "area", "bath", "said"),
    [
        ({}, "339 cm^2", {"anodes": "copper"}, []),  # of 85 cm2: less than four times
        ({}, "341 cm^2", {"anodes": "copper"}, ["4.0 times the part"]),
        ({}, "179 cm^2", {"anodes": "phosphorised copper"}, []),  # 0.503 A/dm2
        ({}, "181 cm^2", {"anodes": "phosphorised copper"}, ["Below about 0.5 A/dm²"]),
        ({}, "181 cm^2", {}, ["You did not say what your anodes are"]),
        ({"bagged": False}, "100 cm^2", {"anodes": "copper"}, ["without bags sheds fines"]),
        ({"bagged": True}, "100 cm^2", {"anodes": "copper"}, []),
        ({"bagged": False}, "100 cm^2", {"anodes": "phosphorised copper"}, []),
        ({"looks": ["blue crystals"]}, "100 cm^2", {"anodes": "copper"}, ["already stand beyond that limit"]),
        ({}, "500 cm^2", {"anodes": "inert"}, []),  # which feed nothing
        ({}, "15 cm^2", {"anodes": "inert"}, []),  # and turn passive under no film
    ],
)
def test_what_is_said_of_anodes_beside_their_current(care, area, bath, said):
    """At 30 °C, where 0.9 A on 100 cm² are far from the limit."""
    asks = {"plate": PLATE | {"anode_area": area}, "bath": {"temperature": "30 degC", **bath}}
    warnings = anodes(usual(anodes=care, **asks)).warnings
    assert [words in text for words, text in zip(said, warnings, strict=True)] == [True] * len(said)
    if bath.get("anodes") == "inert":
        told = (*plate(usual(**asks)).warnings, *diagnose(usual(deposit={"looks": ["dull"]}, **asks)).warnings)
        assert not any("Your anodes" in text for text in told)


@pytest.mark.parametrize(
    ("area", "chance", "said"),
    [
        ("200 cm^2", 0.01, None),
        ("75 cm^2", 0.28, "stand near where they turn passive"),
        ("61 cm^2", 0.443, "stand near where they turn passive"),
        ("60 cm^2", 0.457, "may well turn passive"),
        ("53 cm^2", 0.567, "may well turn passive"),
        ("51.1 cm^2", 0.599, "will probably turn passive"),  # which is shown as 60 %
        ("50 cm^2", 0.618, "will probably turn passive"),
    ],
)
def test_how_near_they_stand_to_turning_passive_is_said_by_its_probability(area, chance, said):
    """About 1.6 ± 1.4 A/dm² (95 %) at 20 °C: 0.9 A on 200 cm² are below, on 75 within, on 50 above its middle."""
    found = asked(plated=PLATE | {"anode_area": area}, bath={"anodes": "copper"})
    assert found.passive == pytest.approx(chance, abs=0.02 if said is None else 0.002)
    ways = ("stand near where they turn passive", "may well turn passive", "will probably turn passive")
    assert [way for way in ways if any(way in text for text in found.warnings)] == ([said] if said else [])
    if said == ways[-1]:
        assert anodes_headline(found).matter.startswith("They will probably turn passive, 6")


def test_what_is_said_of_anodes_in_numbers():
    """1.5 A/dm²; 0.6 dm² lose 0.017 to 0.044 g each in a day; 900 g last 506 A·h."""
    text = " ".join(str(line) for block in asked({"mass": "900 g"}).sections() for line in block.lines)
    for said in (
        "They carry 1.5 A/dm²; 1 to 2.5 A/dm² is usual",
        "They turn passive above 1.6 ± 1.4 A/dm²: ",
        "facing the part, for 0.90 A",
        "This run dissolves 10.7 g",
        "about 510 A·h more",
        "they lose 10 to 26 mg a day",
    ):
        assert said in text.replace("\N{NO-BREAK SPACE}", " ")


def test_a_time_that_contradicts_the_run_keeps_no_anode_from_its_answer():
    run = {"area": "85 cm^2", "thickness": "150 um", "current": "0.5 A"}
    assert asked(plated={**run, "time": "1 h"}).to_dict() == asked(plated=run).to_dict()
