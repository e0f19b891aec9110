"""What is said beside the amounts: when a warning comes, and when it does not."""

import re
from typing import Any

import pytest

from advisor import advise, read_sheet
from tests.benchmarks.honesty import TEMPLATES

CLEAN = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
BEFORE = {"kind": "previous check", "since": "evaporation only"}
GLASS = {"sample_with": "1 mL class A pipette", "used_with": "25 mL class A burette"}
TITRATED = {"kind": "copper titration", "sample": "1 mL", **GLASS}

SODA = {"kind": "acid titration", "titrant": "sodium carbonate", "sample": "10 mL", "diluted_to": "100 mL"}
SODA |= {"strength": "0.25 mol/L", "end_point": "methyl orange"}


def told(*readings: dict[str, Any], stock: dict[str, Any] | None = None, **bath: Any) -> dict[str, Any]:
    raw = {"bath": {"volume": "5 L", **CLEAN, **bath}, "reading": list(readings), "stock": stock or {}}
    return advise(read_sheet(raw)).to_dict()


def warnings(*readings: dict[str, Any], **more: Any) -> list[str]:
    return list(told(*readings, **more)["warnings"])


def answer(coldest: float) -> dict[str, Any]:
    checked = {"copper_sulfate": "225 ± 6 g/L", "sulfuric_acid": "55 ± 2 g/L", "since": "evaporation only"}
    bath = {"volume": "5.6 L", "temperature": "25 degC", "coldest": f"{coldest:.2f} degC"}
    return advise(read_sheet({"bath": bath, "reading": [{"kind": "previous check", **checked}]})).to_dict()


def test_crystals_are_warned_of_within_the_margin_that_solubility_is_known_to() -> None:
    """A solubility known to 12.5 %, at 1.7 % a degree (from 1.5 to 1.8), is a temperature known to 12.5/1.7 = 7 °C.

    So a bath that forms crystals below T is warned of where it may stand at T + 5 °C, though that is warmer than T, and
    not where it never gets colder than T + 9 °C.
    """
    forms_below = answer(20)["verdict"]["crystallises_below_degC"]
    near, far = (answer(forms_below + above)["warnings"] for above in (5, 9))
    assert any("Crystals form below" in text for text in near)
    assert not any("Crystals form below" in text for text in far)


def test_zinc_that_nobody_declared_is_named_where_it_explains_why_two_titrations_differ() -> None:
    """200 g/L and 4 g/L of zinc: 0.801 and 0.061 mol/L. EDTA of 0.05 mol/L takes both, 17.24 mL, thiosulfate copper alone.

    So it does not where nickel is declared already, nor where EDTA is by far too low: there is no metal less than none.
    """
    edta = TITRATED | {"method": "EDTA", "strength": "0.05 ± 0.0004 mol/L", "indicator": "PAN", "used": "17.24 mL"}
    iodide = TITRATED | {"method": "iodometric", "strength": "0.1 ± 0.0008 mol/L", "thiocyanate": True}
    iodide |= {"blank": "0 mL", "used": "8.01 mL"}
    acid = BEFORE | {"sulfuric_acid": "60 ± 1 g/L"}
    (said,) = (text for text in warnings(edta, iodide, acid) if "contradict" in text)
    zinc, copper = re.search(r"it: ([\d.]+) ± .* of zinc or nickel.* would then be (\d+) ±", said).groups()
    assert float(zinc) == pytest.approx(4.0, abs=0.3)
    assert float(copper) == pytest.approx(200, abs=2)
    for others, bath in (((edta, iodide, acid), {"nickel": "0.1 g/L"}), ((edta | {"used": "14 mL"}, iodide, acid), {})):
        (said,) = (text for text in warnings(*others, **bath) if "contradict" in text)
        assert "of zinc or nickel" not in said


def test_what_readings_leave_open_is_named_as_the_range_that_the_row_of_it_shows() -> None:
    """120 ± 50 g/L are 70 to 170; 20 ± 30 g/L end at none."""
    said = " ".join(warnings(BEFORE | {"copper_sulfate": "120 ± 50 g/L", "sulfuric_acid": "20 ± 30 g/L"}))
    assert "do not settle the copper sulfate: it could be 70 to 170 g/L" in said
    assert "do not settle the sulfuric acid: it could be 0 to 50 g/L" in said
    assert "do not settle" not in " ".join(warnings(BEFORE | {"copper_sulfate": "221 ± 6 g/L"}))


def test_readings_that_tell_nothing_leave_open_what_a_bath_can_hold_and_no_more() -> None:
    """Two densities 0.1 g/mL apart: 1600 g/L was told, of a salt of which 450 make a bath that crystallises anywhere."""
    floats = [{"kind": "hydrometer", "value": value, "scale": "SG 20/20"} for value in ("1.10", "1.20")]
    said = " ".join(warnings(SODA | {"used": "20 mL"}, *floats))
    assert "do not settle the copper sulfate: it could be 0 to 450 g/L" in said


def test_stock_that_nobody_named_is_warned_of_where_it_goes_in() -> None:
    low = BEFORE | {"copper_sulfate": "170 ± 6 g/L", "sulfuric_acid": "20 ± 3 g/L"}
    fine = BEFORE | {"copper_sulfate": "221 ± 6 g/L", "sulfuric_acid": "52 ± 3 g/L"}
    named = {"crystals": {"purity": "98 %"}, "acid": {"density": "1.28 g/mL"}}
    for reading, stock, assumed in ((low, None, 2), (low, named, 0), (fine, None, 0)):
        assert sum("is assumed" in text for text in warnings(reading, stock=stock)) == assumed


def test_how_seldom_chance_makes_readings_so_unlike_is_told_in_words() -> None:
    """Two, each ± 5 g/L in 95 of 100: 10 apart are 2.77 standard uncertainties, p 0.0056; 30 apart 1e-16, not printed."""
    for apart, said in ((10, "once in 200 times"), (30, "less than once in 1000 times")):
        read = [BEFORE | {"copper_sulfate": f"{200 + off} ± 5 g/L"} for off in (0, apart)]
        (contradict,) = (text for text in warnings(*read) if "contradict each other" in text)
        assert said in contradict
        assert "readings 1 and 2 is wrong" in contradict


def again(*readings: dict[str, Any]) -> list[int]:
    """Return the numbers of the readings that are asked for again."""
    whys = (asked["why"] for asked in told(*readings)["next_reading"] if asked["repeat"])
    return [int(re.match(r"repeat reading (\d+)", why)[1]) for why in whys]


def test_the_readings_that_contradict_each_other_are_asked_for_again_and_no_others() -> None:
    """Two hydrometers 0.07 apart, beside a titration of the acid that either allows."""
    floated = [{"kind": "hydrometer", "value": value, "scale": "SG 20/20"} for value in ("1.12", "1.19")]
    (contradict,) = (text for text in warnings(*floated, SODA | {"used": "24 mL"}) if "contradict each other" in text)
    assert "which of readings 1 and 2 is wrong cannot be told: repeat them" in contradict
    assert again(*floated, SODA | {"used": "24 mL"}) == [1, 2]
    assert again(SODA | {"used": "22 mL"}, SODA | {"used": "28 mL"}, floated[0]) == [1, 2]


@pytest.mark.parametrize(
    ("scale", "values", "hint"),
    [
        ("SG 20/20", ("1.150", "1.153"), "such as “1.150 ± 0.003”"),  # ± 0.001 each: 4.2 standard uncertainties apart
        ("SG 20/20", ("1.150", "1.156"), None),  # 8.5 of them, and 2.8 of the wider ones
        ("SG 20/20", ("1.150 ± 0.001", "1.153 ± 0.001"), None),  # told by who knows the marks
        ("Baume", ("18.9", "19.25"), "such as “18.9 ± 0.3”"),  # 145 - 145/SG: 1 mg/mL is 0.11 degrees
    ],
)
def test_hydrometers_that_differ_by_little_may_have_coarse_marks(scale, values, hint) -> None:
    floated = [{"kind": "hydrometer", "value": value, "scale": scale} for value in values]
    (contradict,) = (text for text in warnings(*floated, SODA | {"used": "24 mL"}) if "contradict each other" in text)
    assert ("coarse marks" in contradict) == (hint is not None)
    assert (hint or "") in contradict
    if hint:
        wide = hint[:-1].rpartition(" ")[2]
        typed = [reading | {"value": f"{reading['value']} ± {wide}"} for reading in floated]
        assert not any("contradict each other" in text for text in warnings(*typed, SODA | {"used": "24 mL"}))


def test_of_many_readings_that_contradict_each_other_the_worst_are_to_be_repeated() -> None:
    """Nine titrations, five of them far off, of which 31 mL is the nearest: the other four, and none that agree."""
    read = [SODA | {"used": f"{used} mL"} for used in (24.0, 36.0, 24.1, 12.0, 24.2, 31.0, 24.1, 17.0, 33.0)]
    (contradict,) = (text for text in warnings(*read) if "contradict each other" in text)
    assert "which of your 9 readings is wrong cannot be told: repeat 2, 4, 8 and 9 first" in contradict
    assert again(*read) == [2, 4, 8, 9]


@pytest.mark.parametrize(
    ("before", "after", "again"),
    [
        (2, 0, "which of readings 1 and 2 is wrong cannot be told: see whether they were written down rightly"),
        (8, 0, "which of your 8 readings is wrong cannot be told: see whether they were written down rightly"),
        (1, 1, "which of readings 1 and 2 is wrong cannot be told: repeat 2 first"),
        (1, 3, "reading 1 (previous check) fits none of the others: see whether it was written down rightly"),
    ],
)
def test_what_was_found_before_is_not_asked_for_again(before, after, again) -> None:
    """Checks of 40 and of 50 to 78 ± 2 g/L of acid; titrations of 70."""
    found = (40, *range(50, 79, 4))[:before]
    read = [BEFORE | {"sulfuric_acid": f"{acid} ± 2 g/L"} for acid in found] + [SODA | {"used": "28.6 mL"}] * after
    (contradict,) = (text for text in warnings(*read) if "contradict each other" in text)
    assert f"; {again}" in contradict


@pytest.mark.parametrize(("count", "which"), [(1, "Reading 1"), (2, "Readings 1 and 2"), (3, "Readings 1, 2 and 3")])
def test_what_several_readings_warn_of_stands_once(count, which):
    readings = [TEMPLATES["chloride titration"]] * count
    advice = advise(read_sheet({"bath": {"volume": "5.6 L"}, "reading": readings}))
    silver = [text for text in advice.warnings if "ammonia" in text]
    assert [text.partition(":")[0] for text in silver] == [f"{which} (chloride titration)"]


def test_a_pH_keeps_its_capital():
    advice = advise(read_sheet({"bath": {"volume": "5.6 L"}, "reading": [TEMPLATES["pH curve"]]}))
    assert any(text.startswith("Reading 1 (pH curve): ") for text in advice.warnings)


def test_the_reading_that_fits_none_is_named_by_its_number_on_the_page() -> None:
    titrations = [{**SODA, "used": used} for used in ("21.6 mL", "30 mL", "21.5 mL", "21.7 mL")]
    (warning,) = [text for text in warnings(*titrations) if "fits none of the others" in text]
    assert "reading 2 (acid titration) fits none of the others: repeat it" in warning
