"""Where copper leans on what counts foreign salts as copper, the answer says by how much, and what to do."""

from typing import Any

import pytest

from advisor import advise, read_sheet
from advisor.check.leaning import density_alone_after_soda, metals_may_show

ACID = {
    "kind": "acid titration",
    "sample": "5 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "used": "12.4 mL",
    "end_point": "methyl orange",
}
HYDROMETER = {"kind": "hydrometer", "value": "1.166", "scale": "SG 20/20"}
EDTA = {
    "kind": "copper titration",
    "method": "EDTA",
    "sample": "10 mL",
    "predilution": ["5 mL", "100 mL"],
    "strength": "0.04 mol/L",
    "used": "10.6 mL",
    "indicator": "PAN",
}
PLATED = {"kind": "plated-out copper", "sample": "50 mL", "before": "20.00 g", "after": "22.66 g"}
IODIDE = {
    "kind": "copper titration",
    "method": "iodometric",
    "sample": "1 mL",
    "strength": "0.05 mol/L",
    "used": "16 mL",
}
REPORT = {"kind": "laboratory report"}
BEFORE = {"kind": "previous check", "since": "evaporation only", "sulfuric_acid": "60 g/L"}
ANSWERED = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}


def said(readings: list[dict[str, Any]], **bath: object) -> list[str]:
    sheet = {"bath": {"volume": "5.6 L", "temperature": "20 degC", **bath}, "reading": readings}
    return [text for text in advise(read_sheet(sheet)).warnings if "leans on" in text]


@pytest.mark.parametrize(
    ("other", "on", "reads"),
    [
        (HYDROMETER, "the density", "1 g/L of sodium sulfate reads as 1.4 g/L"),
        (EDTA, "EDTA", "1 g/L of zinc reads as 3.8"),
    ],
)
def test_unanswered_questions_come_first_and_then_a_reading_of_copper_alone(other, on, reads):
    (text,) = said([ACID, other])
    assert f"leans on {on}" in text
    assert reads in text
    assert text.index("Answer what may have got into the bath first") < text.index("plated-out copper")


def test_what_salts_move_is_the_size_that_the_priors_make_of_it():
    # Sodium sulfate ± 6.3 (standard) at 1.42, iron ± 1.8 at 4.4, zinc ± 0.9 at 4.1: ± 25 g/L of 95 %, in quadrature.
    (text,) = said([ACID, HYDROMETER])
    moved = float(text.split("by ± ")[1].split(" g/L")[0])
    assert 20 <= moved <= 28


def test_a_clean_answer_or_copper_alone_leaves_nothing_to_say():
    assert not said([ACID, HYDROMETER], **ANSWERED)
    assert not said([ACID, HYDROMETER, PLATED])
    assert not said([ACID, PLATED])
    assert not said([ACID, HYDROMETER, IODIDE])
    (text,) = said([ACID, HYDROMETER], **ANSWERED | {"touched": []})  # one question left open
    assert "Answer what may have got into the bath first" in text


def test_after_soda_went_in_a_density_alone_is_never_left_without_a_word():
    (text,) = said([ACID, HYDROMETER], **ANSWERED | {"soda_added": "20 g"})
    assert "After soda went in, do not trust a density alone" in text
    assert not said([ACID, HYDROMETER, PLATED], **ANSWERED | {"soda_added": "20 g"})


@pytest.mark.parametrize(
    ("readings", "soda", "alone"),
    [
        ([ACID, HYDROMETER], "20 g", True),
        ([ACID, HYDROMETER], "0 g", False),
        ([ACID, HYDROMETER], None, False),
        ([ACID], "20 g", False),  # no density, so that no salt passes for copper
        ([ACID, HYDROMETER, PLATED], "20 g", False),
        ([HYDROMETER, EDTA], "20 g", False),  # EDTA binds no sodium
        ([HYDROMETER, REPORT | {"copper": "50 g/L"}], "20 g", False),
        ([HYDROMETER, REPORT | {"sulfuric_acid": "60 g/L"}], "20 g", True),
        ([HYDROMETER, BEFORE | {"copper_sulfate": "200 g/L"}], "20 g", False),
        ([HYDROMETER, BEFORE], "20 g", True),
        (
            [
                HYDROMETER,
                BEFORE | {"copper_sulfate": "200 g/L", "leans_on": [["sodium_sulfate", 4.0, 4.0, 1.4, 0.0, 0.0]]},
            ],
            "20 g",
            True,
        ),
    ],
)
def test_after_soda_copper_is_told_apart_only_by_what_takes_no_sodium_for_it(readings, soda, alone):
    bath = {"volume": "5.6 L"} | ({"soda_added": soda} if soda else {})
    assert density_alone_after_soda(read_sheet({"bath": bath, "reading": readings})) is alone


@pytest.mark.parametrize("beside", [PLATED, IODIDE, BEFORE])
def test_foreign_metal_shows_only_beside_a_reading_that_does_not_count_it(beside: dict[str, Any]) -> None:
    """A density counts 1 g/L of zinc as 4.0 g/L of copper sulfate, EDTA as 3.8 (249.69 / 65.38): those cannot tell."""
    counting = [HYDROMETER, ACID, EDTA]
    assert not metals_may_show(read_sheet({"bath": {"volume": "5.6 L"}, "reading": counting}).readings)
    assert metals_may_show(read_sheet({"bath": {"volume": "5.6 L"}, "reading": [*counting, beside]}).readings)
