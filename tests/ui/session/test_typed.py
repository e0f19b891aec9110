"""What of a sheet was typed: texts and numbers of a person, not taps, and nothing that a plan or the record filled in."""

import pytest

from advisor.ui.session.typed import typed

FLOATS = {"kind": "hydrometer", "value": "1.1", "scale": "SG 20/20"}
BEGUN = {"kind": "acid titration", "sample": "5 mL", "strength": "0.5 mol/L"}
DONE = BEGUN | {"used": "12.3 mL", "end_point": "first lasting cloud"}


@pytest.mark.parametrize(
    ("sheet", "found"),
    [
        ({}, []),
        ({"bath": {"touched": ["brass"], "additives": True}, "plate": {"stirring": "none"}}, []),
        ({"bath": {"volume": "5 L", "touched": ["brass"]}}, [("bath", {"volume": "5 L"})]),
        ({"plate": {"stirring": "none", "area": "much"}}, [("plate", {"area": "much"})]),
        ({"stock": {"acid": {"strength": "37 %"}}}, [("stock.acid", {"strength": "37 %"})]),
        ({"shelf": [{"what": "water", "price": 2.0}]}, [("shelf", {"price": 2.0})]),
        ({"reading": [FLOATS]}, [("hydrometer", FLOATS)]),
        ({"reading": [{"kind": "hydrometer", "scale": "SG 20/20"}]}, []),
        ({"reading": [{"kind": "previous check", "copper_sulfate": "200 g/L", "origin": "logbook"}]}, []),
    ],
)
def test_only_what_a_person_typed_counts(sheet, found):
    assert typed(sheet) == found


def test_of_a_reading_that_a_plan_began_only_what_was_read_counts_as_typed():
    assert typed({"reading": [BEGUN]}, ["the sheet it was planned with"]) == []
    assert typed({"reading": [BEGUN]}, [""]) == [("acid titration", BEGUN)]
    done = BEGUN | {"used": "12.3 mL"}
    assert typed({"reading": [done]}, ["the sheet it was planned with"]) == [("acid titration", done)]


@pytest.mark.parametrize(
    "then",
    [
        [DONE | {"strength": "0.25 mol/L"}],
        [DONE | {"sample": "10 mL"}],
        [DONE | {"end_point": "methyl orange"}],
        [DONE, DONE],  # the same result twice
        [],  # taken out
    ],
)
def test_whatever_is_changed_in_a_reading_that_was_saved_is_a_change(then):
    """What a draft holds beside the logbook must be offered after a reload, be it a field that a plan fills in."""
    assert typed({"reading": then}) != typed({"reading": [DONE]})


def test_two_results_that_change_places_are_a_change():
    one, two = DONE, DONE | {"sample": "10 mL"}
    assert typed({"reading": [one, two]}) != typed({"reading": [two, one]})
