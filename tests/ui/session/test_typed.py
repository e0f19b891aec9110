"""What of a sheet was typed: texts and numbers of a person, not taps, and nothing that a plan or the record filled in."""

import pytest

from advisor.ui.session.typed import typed


@pytest.mark.parametrize(
    ("sheet", "found"),
    [
        ({}, set()),
        ({"bath": {"volume": "5 L", "touched": ["brass"]}}, {("bath", "volume", "5 L")}),
        ({"plate": {"stirring": "none", "area": "much"}}, {("plate", "area", "much")}),
        ({"stock": {"acid": {"strength": "37 %"}}}, {("stock.acid", "strength", "37 %")}),
        ({"shelf": [{"what": "water", "price": 2.0}]}, {("shelf", "price", "2.0")}),
        ({"reading": [{"kind": "hydrometer", "value": "1.1", "scale": "SG"}]}, {("hydrometer", "value", "1.1")}),
        ({"reading": [{"kind": "acid titration", "sample": "5 mL", "strength": "0.5 mol/L"}]}, set()),
        ({"reading": [{"kind": "previous check", "copper_sulfate": "200 g/L", "origin": "logbook"}]}, set()),
        (
            {"reading": [{"kind": "laboratory report", "copper_sulfate": "200 g/L"}]},
            {("laboratory report", "copper_sulfate", "200 g/L")},
        ),
    ],
)
def test_only_what_a_person_typed_counts(sheet, found):
    assert typed(sheet) == found
