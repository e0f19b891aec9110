"""A fixed part of the random benches: no answer comforts falsely, and what is advised is the end of it.

The whole of it is `python -m tests.benchmarks.judgement`.
"""

from tests.benchmarks.judgement import comforts_falsely, measure


def test_no_false_comfort_and_what_is_advised_is_the_end_of_it() -> None:
    """Of sound baths that were corrected as advised, at least 95 % need nothing more once they are measured again.

    Of a dozen or so at most one may fail: two would be met once in ten if 95 % were true, and the draw is fixed.
    """
    found = measure(30, 14)
    assert found["false comfort"] == []
    assert found["states"]["none needed"] >= 1  # else the line above would be about little
    assert found["followed"] >= 9
    assert found["done after it"] >= 0.9


def test_what_counts_as_false_comfort_is_told() -> None:
    from tests.benchmarks.judgement import ANSWERED, answer

    bath = {"volume": "5.6 L", "usual_volume": "5.6 L", **ANSWERED}
    checked = {
        "kind": "previous check", "since": "evaporation only",
        "copper_sulfate": "234 ± 8 g/L", "sulfuric_acid": "64 ± 4 g/L",
    }  # fmt: skip
    fine = answer({**bath, "coldest": "22 degC"}, [checked])
    truth = {"copper_sulfate": 234.0, "sulfuric_acid": 64.0}
    assert comforts_falsely(fine, bath, truth) == ""
    assert comforts_falsely(fine, {**bath, "coldest": "3 degC"}, truth) == "crystals"
    assert comforts_falsely(fine, {**bath, "usual_volume": "6 L"}, truth) == "the level"
    assert "chloride" in comforts_falsely(fine, {**bath, "additives": True}, truth)
