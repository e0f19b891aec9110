"""Ways to the area of a part, and the picture of its growing copper: what is typed in mm and cm² becomes dm²."""

from math import hypot, pi

import pytest

from advisor.questions.plating import plate
from advisor.sheet import read_sheet
from advisor.ui.parts import run_parts
from advisor.words.lines import Units

TYPED = {
    "Flat piece": ({"length": "100", "width": "50"}, 1.0),
    "Rod or wire": ({"diameter": "10", "length": "100"}, pi * (10 * 100 + 2 * 5**2) / 1e4),
    "Ball": ({"diameter": "100"}, pi),
    "Cone": ({"diameter": "60", "height": "40"}, pi * 30 * (30 + hypot(30, 40)) / 1e4),
    "Traced outline": ({"squares": "100"}, 100 * 5**2 * 2 * 1.2 / 1e4),
    "Foil wrap": ({"wrap": "2", "sample": "0.5", "sample_area": "50"}, 4 * 0.5),
}


@pytest.fixture
def type_in(monkeypatch):
    """Type numbers into the fields of a way; what is complained of is kept."""
    complaints = []

    def typed(way, numbers, units=Units.METRIC):
        complaints.clear()
        texts = {f"plating_{name}": text for name, text in numbers.items()}
        monkeypatch.setattr(run_parts.st, "text_input", lambda label, key, placeholder: texts.get(key, ""))
        monkeypatch.setattr(run_parts.fields, "complain", lambda error, called: complaints.append((called, error)))
        return run_parts._area_by(run_parts.WAYS[way], units), [f"{called}: {error}" for called, error in complaints]

    return typed


@pytest.mark.parametrize("way", run_parts.WAYS)
def test_each_way_leads_to_the_area_that_its_geometry_has(type_in, way):
    numbers, area = TYPED[way]
    assert type_in(way, numbers) == (pytest.approx(area), [])


def test_a_length_is_typed_in_inches_by_who_thinks_in_those(type_in):
    """4 by 2 inches on both sides: 2 x 8 x 6.4516 cm². A square that is not named stays 5 mm."""
    flat = {"length_in": "4", "width_in": "2"}
    assert type_in("Flat piece", flat, Units.US_FIRST) == (pytest.approx(1.032256), [])
    traced = type_in("Traced outline", {"squares": "100"}, Units.US_FIRST)
    assert traced == (pytest.approx(TYPED["Traced outline"][1]), [])


def test_an_area_is_typed_in_square_inches_by_who_thinks_in_those(type_in):
    """Four times as heavy as 10 square inches of 6.4516 cm²."""
    foil = {"wrap": "2", "sample": "0.5", "sample_area_in²": "10"}
    assert type_in("Foil wrap", foil, Units.US_FIRST) == (pytest.approx(2.58064), [])


@pytest.mark.parametrize(
    ("units", "asked"),
    [
        (Units.METRIC, [("Side of a square, mm", "5 if left empty"), ("Area of that piece, cm²", "100 if left empty")]),
        # 5 / 25.4 and 100 / 6.4516
        (Units.US_FIRST, [("Side of a square, in", "0.197 if left empty"), ("Area of that piece, in²", "15.5 if left empty")]),
    ],
)  # fmt: skip
def test_a_field_says_its_unit_and_what_counts_where_it_is_left_empty(monkeypatch, units, asked):
    fields = []
    monkeypatch.setattr(run_parts.st, "text_input", lambda label, key, placeholder: fields.append((label, placeholder)))
    for way in ("Traced outline", "Foil wrap"):
        run_parts._area_by(run_parts.WAYS[way], units)
    assert set(asked) < set(fields)
    assert ("Squares inside the outline", "") in fields
    assert ("Sides that are plated", "2 if left empty") in fields


def test_the_flat_piece_of_foil_is_a_square_decimetre_if_nothing_is_typed(type_in):
    assert type_in("Foil wrap", {"wrap": "2", "sample": "0.5"})[0] == pytest.approx(4.0)


def test_no_area_comes_of_a_number_that_is_missing_or_nothing(type_in):
    assert type_in("Ball", {}) == (None, [])
    area, complaints = type_in("Ball", {"diameter": "0"})
    assert area is None
    assert complaints[0].startswith("Diameter: ")
    assert "above 0" in complaints[0]
    assert type_in("Flat piece", {"length": "100", "width": "50", "thickness": "0"}) == (pytest.approx(1.0), [])


def test_edges_of_the_growing_copper_get_two_to_three_times_the_average():
    run = plate(read_sheet({"plate": {"area": "85 cm2", "thickness": "100 um"}}, needs_volume=False))
    rows = run_parts.growth_chart(run, Units.METRIC)["data"]["values"]
    assert [(row["hours"], row["average"]) for row in rows] == list(run.thickness_over_time())
    assert [(row["low"], row["high"]) for row in rows] == [(2 * row["average"], 3 * row["average"]) for row in rows]
    in_mil = run_parts.growth_chart(run, Units.US_FIRST)
    assert "copper, mil" in str(in_mil)  # 25.4 µm each
    for name in ("average", "low", "high"):
        assert in_mil["data"]["values"][-1][name] == pytest.approx(rows[-1][name] / 25.4)
    words = run_parts.growth_words(run)
    assert words.count("µm after") == len(rows) - 1
    assert f"100 µm after {run.time_in_all:.1f} h" in words
