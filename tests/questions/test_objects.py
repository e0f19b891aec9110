"""Parts: what a coat lets start, worked by hand and against a finite solution; materials; bad input; the plan."""

import math

import numpy as np
import pytest

from advisor.basis import tables
from advisor.basis.fields import InputError, SheetError
from advisor.questions.coat import (
    CLOSED,
    USUAL,
    density_at_start,
    hours_to_close,
    reach,
    sheet_resistance,
    start,
)
from advisor.questions.objects import prepare
from advisor.questions.plating import plate
from advisor.sheet import COATS, MATERIALS
from advisor.words.lines import Amount
from tests.questions.some_sheets import usual


def asked(**part):
    return prepare(usual(part=part))


def test_sheet_resistance_by_hand():
    """120 ohm over 5 cm of a strip 3 cm wide: 120 x 3/5 = 72 ohm a square."""
    assert sheet_resistance(120.0, 5.0, 3.0) == pytest.approx(72.0)


def test_drop_along_a_strip_against_a_ladder_of_resistors():
    """1000 cells in a row, each with its share of the strip's resistance and of the current, summed up: Ohm's law."""
    sheet, length, width, cells = 45.0, 6.0, 2.0, 1000
    density = density_at_start(sheet, length)
    each = density / 100 * width * length / cells  # A that a cell plates
    beyond = each * np.arange(cells, 0, -1)  # A through each cell's resistor, what lies beyond it
    dropped = float(np.sum(beyond) * sheet * (length / cells) / width)
    assert dropped == pytest.approx(0.15, rel=2e-3)


def test_start_by_hand():
    """72 ohm a square over 9 cm: 200 x 0.15 / (72 x 81) = 0.0051 A/dm2 for all at once; at 0.4 A/dm2 the first
    sqrt(200 x 0.15 / (0.4 x 72)) = 1.02 cm. 2 um close in 2 / 13.23 / 0.4 h = 23 min, 8.8 times: 3.3 h."""
    begun = start(72.0, 9.0, 0.4)
    assert begun.all_at_once == pytest.approx(0.00514, abs=1e-5)
    assert begun.reach == pytest.approx(1.02, abs=0.005)
    assert hours_to_close(0.4) == pytest.approx(2 / 13.23 / 0.4, rel=1e-3)
    assert begun.front == pytest.approx(3.33, abs=0.03)
    assert begun.wires == 9
    assert not begun.at_once


def test_reach_and_density_are_one_law():
    for sheet, length in ((0.05, 12.0), (5.0, 4.0), (500.0, 2.0)):
        assert reach(density_at_start(sheet, length), sheet) == pytest.approx(length)


def test_more_wires_and_better_coats_start_sooner():
    fronts = [start(sheet, 8.0, 0.4).front for sheet in (1000.0, 100.0, 10.0, 0.01)]
    assert fronts == sorted(fronts, reverse=True)
    assert start(0.0, 8.0, 0.4).at_once
    assert start(0.01, 8.0, 0.4).wires == 1
    assert start(1e5, 8.0, 0.4).too_poor


def test_a_meter_that_shows_nothing_gives_finite_numbers():
    found = asked(resistance="0 ohm", apart="5 cm", width="3 cm", reach="9 cm")
    assert found.start.at_once
    assert all(math.isfinite(value) for value in found.to_dict()["coat"].values() if isinstance(value, float))


def test_closed_copper_carries_better_than_any_coat():
    """1.68e-6 ohm cm over 2 um (2e-4 cm): 0.0084 ohm a square."""
    assert pytest.approx(0.0084) == 1.68e-6 / (CLOSED / 10)
    assert min(low for low, _ in USUAL.values()) > 1.68e-6 / (CLOSED / 10)


def test_a_measured_coat_counts_before_a_usual_one():
    measured = asked(coat="graphite", resistance="1.2 kΩ", apart="2 cm", width="2 cm", reach="4 cm")
    assert measured.measured
    assert measured.start.sheet == pytest.approx(1200.0)
    usual_one = asked(coat="graphite")
    assert not usual_one.measured
    assert usual_one.start.sheet == pytest.approx((30 * 1000) ** 0.5)
    assert asked(coat="bare metal").start is None
    assert set(USUAL) == set(COATS) - {"bare metal"}


def test_the_front_joins_the_time_plan():
    run = {"area": "85 cm^2", "thickness": "150 um"}
    part = {"coat": "graphite", "resistance": "120 ohm", "apart": "5 cm", "width": "3 cm", "reach": "9 cm"}
    sheet = usual(plate=run, part=part)
    found, planned = prepare(sheet), plate(sheet)
    assert found.start.density == pytest.approx(planned.start[0] / planned.area)
    assert found.to_dict()["time_in_all_h"] == pytest.approx(planned.time_in_all + found.start.front)
    assert found.to_dict()["thickness_um"] == pytest.approx(150)
    bare = prepare(usual(plate=run, part={"coat": "bare metal"}))
    assert bare.to_dict()["time_in_all_h"] == pytest.approx(planned.time_in_all)


@pytest.mark.parametrize("coat", ["bare metal", "graphite", None])
@pytest.mark.parametrize("wanted", [{"thickness": "150 um"}, {"current": "0.1 A"}, {}])
@pytest.mark.parametrize("bath", [{}, {"temperature": "30 degC"}])
def test_a_part_starts_as_its_plating_run_says(coat, wanted, bath):
    """On bare metal, and where no thickness was told, 0.5 A/dm² was said beside the run's 0.44."""
    told = {"area": "85 cm^2"} | wanted
    found = prepare(usual(part={"coat": coat} if coat else {"made_of": ["silver"]}, plate=told, bath=bath))
    run = plate(usual(plate=told if wanted else told | {"thickness": "150 um"}, bath=bath))
    assert found.gentle == pytest.approx(run.start[0] / run.area)
    (said,) = [text for section in found.sections() for text in section.lines if text.startswith("Hold ")]
    assert f"Hold {Amount(run.start[0] / run.area, 'A/dm²', digits=2)} of" in said
    assert found.start is None or found.start.density == found.gentle


def test_without_a_run_a_part_starts_as_any_in_this_bath_that_hangs_still():
    alone, beside = prepare(usual(part={"coat": "bare metal"})), plate(usual(plate={"area": "1 dm^2", "time": "5 h"}))
    assert alone.gentle == pytest.approx(beside.start[0])


STRIP = {"resistance": "120 ohm", "apart": "5 cm", "width": "3 cm", "reach": "9 cm"}  # 72 ohm a square
SMALL = {"area": "85 cm^2", "current": "0.34 A", "thickness": "100 um"}  # which starts at 0.17 A, 0.2 A/dm2


@pytest.mark.parametrize(
    ("part", "plated", "said"),
    [
        # At 0.4057 A/dm2 it reaches sqrt(30/(0.4057 x 72)) = 1.013 cm, 8.88 times in 9 cm, each closed in 2/13.23/0.4057 h
        # = 22.4 min. A ring of 1.013 x 3 cm2 takes 12.3 mA.
        (
            STRIP,
            None,
            [
                "Your coat has 72 Ω a square",
                "at 0.0051 A/dm², where 9 cm of coat",
                "starts within 1 cm of the wire, with about 12 mA for each side.",
                "about 3.3 h to the farthest place",
                "9 wires evenly spread",
                "only the ring around the wire",
            ],
        ),
        # At 0.2 A/dm2 sqrt(30/(0.2 x 72)) = 1.443 cm, 6.24 times of 45.4 min; 0.00514 A/dm2 on 0.85 dm2 are 4.4 mA. 7.62
        # g of copper take 6.42 A·h, 18.9 h, of which the half current of half an hour has brought a quarter.
        (
            STRIP,
            SMALL,
            [
                "0.0051 A/dm² (4.4 mA on this part), where",
                "within 1.4 cm of the wire, with about 8.7 mA",
                "about 4.7 h to the farthest place",
                "7 wires evenly spread",
                "100 µm of copper: 0.34 A for 18.9 h, 23.9 h in all with the gentle start and the front",
            ],
        ),
        # A hundred times the resistance reaches a tenth as far: 89 wires are too many.
        (STRIP | {"resistance": "12 kohm"}, None, ["about 33.1 h to the farthest", "more wires will not do"]),
        # sqrt(30 x 1000) ohm: sqrt(30/(0.4057 x 173)) = 0.653 cm; how wide it is nobody said.
        ({"coat": "graphite"}, None, ["has about 170 Ω a square", "within 0.65 cm of the wire. Copper closes"]),
        # sqrt(0.01 x 0.3) ohm over 2 cm: 30/(0.0548 x 4) = 137 A/dm2.
        (
            {"coat": "silver", "reach": "2 cm"},
            SMALL,
            ["at once: even at 140 A/dm² (116 A on this part)", "19.1 h in all with the gentle start "],
        ),
    ],
)
def test_what_is_said_of_a_start_by_hand(part, plated, said):
    found = prepare(usual(part=part, **({"plate": plated} if plated else {})))
    text = " ".join(line for block in found.sections() for line in block.lines)
    assert [words for words in said if words not in text] == []
    result = found.to_dict()
    assert result["may_go_in"] is None  # nobody said what it is made of
    assert result["coat"]["is"] == ("measured" if "resistance" in part else "usual")
    assert result["run"] == (plate(usual(plate=plated)).to_dict()["plan"] if plated else None)
    assert ("ring around the wire" in text) is (part.get("coat") != "silver")


@pytest.mark.parametrize(("resistance", "slow"), [("390 ohm", False), ("400 ohm", True)])
def test_a_front_of_more_than_six_hours_wants_a_better_coat(resistance, slow):
    """At 0.4057 A/dm2: 234 ohm reach sqrt(30/94.9) = 0.562 cm, 16.0 times of 22.35 min are 5.97 h; 240 take 6.04."""
    warnings = asked(**STRIP | {"resistance": resistance}).warnings
    assert any("another coat or more wires" in text for text in warnings) is slow


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (
            {"made_of": ["polystyrene foam"], "sealed": True, "coat": "silver", "reach": "2 cm"},
            ["not measured", "melt foam"],
        ),
        ({"made_of": ["polystyrene foam"], "sealed": True, "coat": "graphite", "reach": "2 cm"}, ["not measured"]),
        ({"made_of": ["leaf or flower"], "sealed": True, "coat": "silver"}, ["not measured", "5 cm is assumed"]),
        ({"made_of": ["leaf or flower"], "sealed": True, "coat": "graphite"} | STRIP, []),
    ],
)
def test_what_is_said_of_a_coat_beside_its_start(part, said):
    told = [str(text) for text in asked(**part).warnings]
    for words in ("not measured", "melt foam", "5 cm is assumed"):
        assert any(words in text for text in told) is (words in said)


@pytest.mark.parametrize(("asks", "is_planned"), [({}, False), ({"time": "2 h"}, True), ({"thickness": "50 um"}, True)])
def test_a_run_is_planned_where_one_is_asked_for(asks, is_planned):
    found = prepare(usual(part={"coat": "silver"}, plate={"area": "85 cm^2", **asks}))
    assert (found.run is not None) is is_planned


# --- Materials ------------------------------------------------------------------------------------


def test_the_table_has_every_material_and_only_known_words():
    rows = tables.rows("materials")
    assert tuple(row["material"] for row in rows) == MATERIALS
    assert {row["in_bath"] for row in rows} <= {"fizzes", "dissolves", "swells", "leaches", "stands"}
    assert {row["may"] for row in rows} == {"as it is", "sealed", "with a barrier", "never"}
    for row in rows:
        assert (int(row["coats"]) > 0) >= (row["may"] == "sealed")
        assert int(row["coats"]) == 0 or row["may"] in ("sealed", "with a barrier")


@pytest.mark.parametrize("material", MATERIALS)
def test_every_material_is_answered(material):
    found = asked(made_of=[material], sealed=True)
    row = next(row for row in tables.rows("materials") if row["material"] == material)
    assert found.may_go_in == (row["may"] != "never" and material not in ("stainless steel", "nickel plated"))
    begins = any(block.title == "What to do in the first minutes" for block in found.sections())
    assert begins == (row["may"] != "never")
    text = " ".join(line for block in found.sections() for line in block.lines)
    assert "{" not in text
    assert bool(found.warnings and any("Do not hang it in" in said for said in found.warnings)) == (
        row["may"] == "never"
    )


@pytest.mark.parametrize("metal", ["zinc or galvanised", "aluminium"])
def test_what_never_goes_in_never_does(metal):
    """Less noble than copper by more than a volt: Zn -0.76, Al -1.66 against Cu +0.34 V."""
    assert not asked(made_of=[metal], sealed=True).may_go_in
    assert "comes out at once" in " ".join(asked(made_of=[metal]).to_dict()["cautions"])


def test_what_may_never_go_in_is_told_another_way_and_no_way_in():
    said = " ".join(line for block in asked(made_of=["marble or limestone"]).sections() for line in block.lines)
    assert "Mould it in silicone and plate a copy" in said
    assert "then immerse" not in said


def test_lime_fizzes_and_wants_a_seal():
    for lime in ("shell or coral", "eggshell"):
        assert not asked(made_of=[lime]).may_go_in
        assert asked(made_of=[lime], sealed=True).may_go_in
    assert not asked(made_of=["marble or limestone"], sealed=True).may_go_in


def test_one_bad_material_is_enough():
    assert not asked(made_of=["leaf or flower", "tin, lead or solder"]).may_go_in
    assert asked(made_of=["leaf or flower", "tin, lead or solder"], sealed=True).may_go_in  # "varnish every joint"
    assert not asked(made_of=["leaf or flower", "aluminium"], sealed=True).may_go_in
    assert asked(made_of=["leaf or flower", "copper or brass"], sealed=True).may_go_in
    assert asked(made_of=["leaf or flower"]).to_dict()["may_go_in"] is False


@pytest.mark.parametrize(
    ("raw", "place"),
    [
        ({"made_of": ["kryptonite"]}, "part: made_of"),
        ({"resistance": "120 ohm"}, "part: apart"),
        ({"resistance": "120 ohm", "apart": "5 cm"}, "part: width"),
        ({"resistance": "120 A"}, "part: resistance"),
        ({"coat": "gold"}, "part: coat"),
        ({"wires": 0}, "part: wires"),
        ({"reach": "0 cm"}, "part: reach"),
    ],
)
def test_bad_input_is_named(raw, place):
    with pytest.raises(SheetError, match=place):
        usual(part=raw)


def test_without_a_table_one_is_asked_for():
    with pytest.raises(InputError, match="part: made_of"):
        prepare(usual())


def test_a_time_that_contradicts_the_run_keeps_no_part_from_its_answer():
    """What the page Plating run refuses is no question of a part: its thickness and current stand."""
    run = {"area": "85 cm^2", "thickness": "150 um", "current": "0.5 A"}
    clash = usual(part={"made_of": ["wax"]}, plate={**run, "time": "1 h"})
    with pytest.raises(InputError, match="plate: time"):
        plate(clash)
    assert prepare(clash).to_dict() == prepare(usual(part={"made_of": ["wax"]}, plate=run)).to_dict()
