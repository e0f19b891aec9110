"""A fixed part of the random benches: no answer comforts falsely.

The whole of it is `python -m tests.benchmarks.judgement`.
"""

from tests.benchmarks.judgement import comforts_falsely, measure


def test_no_answer_says_nothing_with_anything_unmeasured_unsafe_or_unsettled() -> None:
    """Over random benches; that corrected baths need nothing more is measured by the benchmark, in hundreds."""
    found = measure(30, 0)
    assert found["false comfort"] == []
    assert found["states"]["none needed"] >= 1  # else the line above would be about little
    assert len(found["states"]) >= 4


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
