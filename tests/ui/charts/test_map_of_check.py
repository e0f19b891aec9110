"""What the map draws of a check: the aim, the bath after each step, and where water alone would bring it."""

from dataclasses import replace

import pytest

from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.sheet import parse_toml, read_sheet
from advisor.ui.charts.map_of_check import map_numbers
from advisor.words.lines import Units

DULL = parse_toml(example_text("dull").encode())


@pytest.fixture(scope="module")
def advice():
    """Advice to add crystals and acid."""
    return advise(read_sheet(DULL))


def drawn(advice, **tables):
    changed = {name: DULL.get(name, {}) | more for name, more in tables.items()}
    return map_numbers(read_sheet(DULL | changed), advice, Units.METRIC)


@pytest.mark.parametrize(("volume", "usual", "share"), [("4.5 L", "5 L", 0.9), ("4.94 L", "5 L", 0.988)])
def test_water_alone_thins_both_by_the_share_that_the_level_has_dropped(advice, volume, usual, share):
    both = [advice.estimate.value(name) for name in ("copper_sulfate", "sulfuric_acid")]
    found = drawn(advice, bath={"volume": volume, "usual_volume": usual})
    assert found.just_water == pytest.approx([share * held for held in both])


def test_water_alone_has_no_place_where_the_level_is_there_or_nothing_else_is_added(advice):
    """One percent of the level is not told apart."""
    low = {"volume": "4.5 L", "usual_volume": "5 L"}
    assert drawn(advice, bath={"volume": "4.96 L", "usual_volume": "5 L"}).just_water is None
    assert drawn(replace(advice, steps=()), bath=low).just_water is None
    only_water = (replace(advice.steps[0], what="water"),)
    assert drawn(replace(advice, steps=only_water), bath=low).just_water is None
    assert drawn(replace(advice, steps=(*advice.steps, *only_water)), bath=low).just_water
    never_told = {name: value for name, value in DULL["bath"].items() if name != "usual_volume"}
    sheet = read_sheet(DULL | {"bath": never_told | {"volume": "4.5 L"}})
    assert map_numbers(sheet, advice, Units.METRIC).just_water is None
    for estimate in (None, replace(advice.estimate, measured=frozenset({"sulfuric_acid"}))):
        known = replace(advice.known, estimate=estimate)
        assert drawn(replace(advice, known=known), bath=low).just_water is None


def test_the_aim_is_that_of_the_sheet_else_the_middle_of_the_window(advice):
    (low, high), (weak, strong) = (drawn(advice).copper_sulfate_limits, drawn(advice).sulfuric_acid_limits)
    assert drawn(advice).target == ((low + high) / 2, (weak + strong) / 2)
    assert drawn(advice).done == 0
    assert drawn(advice, correction={"copper_sulfate": "210 g/L"}).target == (210.0, (weak + strong) / 2)
    assert drawn(advice, correction={"sulfuric_acid": "50 g/L"}).target == ((low + high) / 2, 50.0)
    assert drawn(advice, correction={"aim": "least"}).target is None
    assert drawn(replace(advice, steps=())).target is None
