"""What stands in a kept check is an advice, or is refused by its place: each part at its limit and just beyond."""

import copy
import math
from typing import Any

import pytest

from advisor.basis.fields import InputError
from advisor.check.steps import recorded, step_dose
from advisor.record.correcting import still_to_do
from advisor.record.sound_advice import sound_advice

GOOD: dict[str, Any] = {
    "estimate": {
        "volume_L": 5.6, "correlation": -0.5, "chloride_mg_L": None,
        "copper_sulfate_g_L": {"value": 212.0, "standard_uncertainty": 4.0},
    },
    "verdict": {"copper_sulfate": {"state": "in", "limits": [195, 248]}, "chloride": {"state": "not measured", "limits": None}},
    "correction": {
        "steps": [{"do": "take out", "what": "bath", "volume_L": 0.2}, {"do": "add", "what": "water", "volume_L": 1.0, "mass_g": 998}]
    },
    "warnings": ["cold"],
    "next_reading": [],
}  # fmt: skip


def nested(deep: int) -> object:
    return [nested(deep - 1)] if deep else []


@pytest.mark.parametrize(
    ("where", "taken", "refused"),
    [
        ("estimate", [{"volume_L": 5.6}], [None, [], {}]),
        ("estimate: volume_L", [1e-6, 5, 1e5], [0, 9e-7, 1.01e5, "5", True, None, math.nan, math.inf]),
        ("estimate: correlation", [-1, 0, 1, None], [-1.01, 1.01, "0"]),
        ("estimate: copper_sulfate_g_L", [None], [212.0]),
        ("estimate: copper_sulfate_g_L: value", [0, 1e5], [-1, 1.01e5, None]),
        ("estimate: copper_sulfate_g_L: standard_uncertainty", [0, 4.0], [-0.1, 1.01e5, None]),
        ("estimate: chloride_mg_L", [None, {"value": 70, "standard_uncertainty": 3}], [70, {"value": 70}]),
        ("verdict", [{}], [None, []]),
        ("verdict: copper_sulfate", [{}], [None, "in"]),
        ("verdict: copper_sulfate: state", ["low"], [5, None]),
        (
            "verdict: copper_sulfate: limits",
            [None, [0, 1e5], [3, 3]],
            [[248, 195], [195], [1, 2, 3], [-1, 2], [1, 1.01e5], 5],
        ),
        ("correction", [{}, {"steps": []}], [None, {"steps": None}]),
        ("correction: steps: 0: do", ["take out"], ["add", None]),
        ("correction: steps: 1: do", ["add"], ["take out", "pour"]),
        ("correction: steps: 0: what", ["bath"], ["tea", None, "water"]),
        ("correction: steps: 1: mass_g", [0, 1e9], [-1, 1.1e9, None, "998"]),
        ("correction: steps: 1: strength_mass_fraction", [0.37], ["37 %", -0.1]),
        ("correction: steps: 1: colour", [], [1.0]),  # no unit in its name
        ("warnings", [[], ["a", "b"]], [["a", 5], None, "cold"]),
        ("cautions", [[]], [[None]]),
        (
            "next_reading",
            ["anything", -1e9, 1e9, nested(8)],
            [1.1e9, -1.1e9, math.nan, [{"gain": math.inf}], nested(9)],
        ),
    ],
)
def test_each_part_is_taken_up_to_its_limit_and_no_further(where: str, taken: list, refused: list) -> None:
    *outer, last = (int(name) if name.isdigit() else name for name in where.split(": "))

    def with_part(value: object) -> dict[str, Any]:
        whole = copy.deepcopy(GOOD)
        table: Any = whole
        for name in outer:
            table = table[name]
        table[last] = value
        return whole

    for value in taken:
        assert sound_advice(with_part(value), "line 3")
    for value in refused:
        with pytest.raises(InputError, match="line 3: advice"):
            sound_advice(with_part(value), "line 3")


@pytest.mark.parametrize("missing", ["volume_L", "mass_g"])
def test_a_step_without_its_amounts_is_none(missing: str) -> None:
    whole = copy.deepcopy(GOOD)
    del whole["correction"]["steps"][1][missing]
    with pytest.raises(InputError, match=f"step 2: {missing}"):
        sound_advice(whole, "line 3")
    assert sound_advice({"estimate": {"volume_L": 5.0}}, "line 3")  # an older version wrote less


@pytest.mark.parametrize(
    ("what", "amount", "strength"),
    [
        ("copper sulfate crystals", {"mass_g": 256.0}, "purity_mass_fraction"),
        ("sulfuric acid", {"volume_mL": 410.0, "mass_g": 523.0}, "strength_mass_fraction"),
        ("hydrochloric acid", {"volume_mL": 1.2, "mass_g": 1.4}, "strength_mass_fraction"),
    ],
)
def test_a_dose_says_how_strong_it_is(what: str, amount: dict[str, float], strength: str) -> None:
    """Without that the record could not say what is left to do: a page stopped there."""
    step = {"do": "add", "what": what, **amount}
    for told in ({}, {strength: None}, {strength: -0.1}, {strength: 2.1}):
        with pytest.raises(InputError, match=f"step 1: {strength}"):
            sound_advice({**GOOD, "correction": {"steps": [{**step, **told}]}}, "line 3")
    sound = sound_advice({**GOOD, "correction": {"steps": [{**step, strength: 0.37}]}}, "line 3")
    assert step_dose(recorded(sound["correction"]["steps"][0]))
    assert "None" not in still_to_do(sound["correction"]["steps"])
