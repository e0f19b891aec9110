"""The chart of a bath over time: what was done in a few words."""

import pytest

from advisor.ui.charts.time_line import done
from tests.record.some_days import on


@pytest.mark.parametrize(
    ("word", "fields", "words"),
    [
        ("acid", {"volume": "60 mL", "strength": "37 %"}, "+ 60 mL acid"),
        ("take-out", {"volume": "1 L"}, "− 1 L bath"),
        ("pour-in", {"volume": "1 L", "copper_sulfate": "200 g/L", "sulfuric_acid": "60 g/L"}, "+ 1 L bath"),
        ("anode-mass", {"mass": "1240 g"}, "anodes weighed, 1240 g"),
        ("anodes", {"anodes": "other copper", "mass": "2000 g"}, "anodes, 2000 g"),
        ("wipe", {}, "anodes wiped"),
    ],
)
def test_only_what_goes_in_or_out_has_a_sign(word, fields, words):
    (mark,) = done([on(0, word, **fields)])
    assert mark["short"] == words
