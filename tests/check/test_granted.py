"""What was taken for granted is listed with what it moves; metals, additives and the level have their word."""

from typing import Any

import pytest

from advisor import advise, read_sheet
from advisor.check.advice import Advice
from advisor.check.metals import part_fraction
from advisor.questions.remake import keep

NOTHING_GOT_IN = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
ACID = {
    "kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L", "used": "21.5 mL", "end_point": "methyl orange",
}  # fmt: skip
HYDROMETER = {"kind": "hydrometer", "value": "1.160", "scale": "SG 20/20"}


def checked(copper: float, acid: float) -> dict[str, str]:
    return {
        "kind": "previous check", "since": "evaporation only",
        "copper_sulfate": f"{copper} ± 8 g/L", "sulfuric_acid": f"{acid} ± 4 g/L",
    }  # fmt: skip


def answer(*readings: dict[str, Any], **bath: Any) -> Advice:
    return advise(read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, **bath}, "reading": list(readings)}))


def granted(found: Advice) -> dict[str, dict[str, str]]:
    return {said["what"]: said for said in found.to_dict()["taken_for_granted"]}  # type: ignore[attr-defined]


def told(found: Advice) -> str:
    return " ".join(text for section in found.sections() for text in section.lines)


def test_age_and_cold_that_nobody_told_are_listed_with_what_they_move() -> None:
    """12 months of 0.15 ± 0.20 g/L (95 %) each are up to 4.2 g/L of salts, which read as 1.49 times as much: 6 g/L.

    At 15 °C with 52 g/L of acid nine tenths of 252 g/L may stand: 226.
    """
    found = granted(answer(ACID, HYDROMETER))
    assert found["age of the bath"]["value"] == "12 months"
    assert "up to 6 g/L" in found["age of the bath"]["moves"]
    assert found["the coldest it will stand"]["value"] == "15 °C"
    assert "up to 226 g/L" in found["the coldest it will stand"]["moves"]
    assert set(found["age of the bath"]) == {"what", "value", "moves"}
    known = granted(answer(ACID, HYDROMETER, age="12 months", coldest="15 degC"))  # the same, but told
    assert not {"age of the bath", "the coldest it will stand"} & set(known)
    assert "age of the bath" not in granted(answer(ACID))  # no density, so it moves nothing


def test_a_powder_takes_as_much_less_as_is_said() -> None:
    """159.60/249.68 is 0.639: 36 % less, and less again, since the water in crystals makes more bath to fill."""
    blue = answer(checked(150, 50), usual_volume="5.6 L", max_volume="6 L")
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, "usual_volume": "5.6 L", "max_volume": "6 L"}}
    powder = advise(read_sheet({**raw, "reading": [checked(150, 50)], "stock": {"crystals": {"form": "anhydrous"}}}))
    assert "at least 36 % less" in granted(blue)["the crystals on hand"]["moves"]
    assert "the crystals on hand" not in granted(powder)
    grams = [
        next(step.numbers["mass_g"] for step in found.steps if "crystals" in step.what) for found in (blue, powder)
    ]
    assert 0.5 < grams[1] / grams[0] <= 159.60 / 249.68


def test_what_a_float_leaves_open_is_listed_with_what_it_moves() -> None:
    """A g/L of copper sulfate is 0.00059 g/mL. Five degrees are 0.0020 g/mL, 3.4 g/L.

    With additives a float reads 0.0020 ± 0.0030 g/mL (95 %) too high: 3.4 g/L, by up to 5 either way.
    """
    silent, told = (
        granted(answer(ACID, HYDROMETER)),
        granted(answer(ACID, HYDROMETER, additives=True, temperature="20 degC")),
    )
    assert "by about 3 g/L, if it was 5 °C off" in silent["temperature of the bath"]["moves"]
    assert "reads 3 g/L too high" in silent["brightener and other additives"]["moves"]
    (floats,) = (said for what, said in told.items() if "floats" in what)
    assert "up to 5 g/L either way" in floats["moves"]
    assert not {"temperature of the bath", "brightener and other additives", "the most the tank holds"} & set(told)


def test_stock_that_nobody_named_is_listed_where_it_is_used() -> None:
    """96 % acid holds 0.96 · 1.8355 = 1.762 g/mL, battery acid 0.37 · 1.277 = 0.472: 3.7 times as much of it."""
    low = granted(answer(checked(170, 20)))
    assert low["the acid on hand"]["value"] == "96 %"
    assert "3.7 times" in low["the acid on hand"]["moves"]
    assert low["the crystals on hand"]["value"] == "99 % pentahydrate"
    assert not {"the acid on hand", "the crystals on hand"} & set(granted(answer(checked(221, 52))))


def test_additives_that_nobody_spoke_of() -> None:
    assert "chloride" in granted(answer(checked(221, 52)))["brightener and other additives"]["moves"]
    assert "brightener and other additives" not in granted(answer(checked(221, 52), additives=False))


def test_what_decides_is_asked_for() -> None:
    asked = [said.question for said in answer(checked(236, 60)).next_reading]
    assert asked == ["bath.coldest"]
    assert [said.question for said in answer(checked(221, 40)).next_reading] == []
    copper = [said.question for said in answer(ACID, HYDROMETER | {"value": "1.153"}).next_reading]
    assert "bath.age" in copper


def test_a_default_that_was_typed_is_no_default() -> None:
    bath = read_sheet({"bath": {"volume": "5.6 L", "coldest": "15 degC"}}).bath
    assert bath.was_given("coldest")
    assert not bath.was_given("age")


def test_the_sum_is_told_where_only_the_density_is_known() -> None:
    """SG 1.160 is 1.158 g/mL: 0.160 more than water, at about 0.00060 a g/L of either: some 265 g/L together."""
    found = answer(HYDROMETER)
    total = found.to_dict()["verdict"]["sum_g_L"]  # type: ignore[index]
    assert total["value"] == pytest.approx(263, abs=8)
    assert total["standard_uncertainty"] < 8
    assert "Copper sulfate and acid together" in told(found)
    assert answer(checked(221, 52)).to_dict()["verdict"]["sum_g_L"] is None  # type: ignore[index]


def test_metals_are_spoken_of_before_crystals_are_sold() -> None:
    """5 ± 0.5 g/L of iron where 2 are tolerated: surely below after 1 - 2/(5 + 1.645 · 0.25) = 63 % new bath."""
    found = answer(checked(170, 52), iron="5 ± 0.5 g/L")
    assert "replacing 63 % of the bath would" in told(found)
    assert part_fraction(5 + 1.645 * 0.25, 2.0, 0.0) == pytest.approx(0.63, abs=0.005)
    assert [part_fraction(3.0, 1.0, 3.0), part_fraction(5.0, 1.0, 2.0)] == [0.0, 1.0]  # no use; never below 2
    (first, *_) = found.sections()
    assert first.key == "first of all"
    assert "Ask Keep or remake before you buy crystals" in first.lines[0]
    assert sum("Nothing that you add takes it out" in text for block in found.sections() for text in block.lines) == 1
    assert "Nothing that you add takes it out" not in told(answer(checked(170, 52), iron="1 ± 0.2 g/L"))
    nothing_to_buy = answer(checked(221, 52), iron="5 ± 0.5 g/L").sections()
    assert nothing_to_buy[0].key != "first of all"
    assert any("replacing 63 %" in text for block in nothing_to_buy for text in block.lines)


def test_check_and_keep_say_the_same_of_a_metal() -> None:
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, "iron": "5 ± 0.5 g/L"}, "reading": [checked(170, 52)]}
    kept = " ".join(text for section in keep(read_sheet(raw)).sections() for text in section.lines)
    assert "replacing 63 % leaves" in kept
    assert "replacing 63 % of the bath would" in told(advise(read_sheet(raw)))


def test_additives_follow_what_is_taken_out_or_thinned() -> None:
    """270/50 g/L to below 248 - 1.645 · 4: some 0.4 L of 5.6 go, and 0.5 L of water come: about a tenth is new."""
    thinned = answer(checked(270, 50), checked(270, 50), additives=True)
    fresh = thinned.plan.after.volume - (5.6 - thinned.plan.amounts.take_out)
    percent = 100 * fresh / thinned.plan.after.volume
    assert [step.what for step in thinned.steps] == ["bath", "water"]
    assert f"Brightener and other additives are {percent:.0f} % thinner then" in thinned.steps[-1].how
    assert "thinner" not in answer(checked(270, 50), checked(270, 50), additives=False).steps[-1].how
    asked = answer(checked(270, 50), checked(270, 50)).steps[-1].how
    assert f"Additives, if there are any, are {percent:.0f} % thinner then" in asked


def test_water_that_evaporated_left_its_additives_behind() -> None:
    topped_up = answer(checked(240, 58), volume="5.0 L", usual_volume="5.6 L", max_volume="6 L")
    assert [step.what for step in topped_up.steps] == ["water"]
    assert "thinner" not in topped_up.steps[0].how


def test_a_plan_that_ends_above_the_usual_level_says_so() -> None:
    """Acid from 12 to 30 g/L with 20 % acid takes 5.6 · 18/(0.20 · 1.14 - 0.03) = 0.5 L, a tenth of the tank."""
    raw = {
        "bath": {"volume": "5.6 L", "max_volume": "6.8 L", **NOTHING_GOT_IN},
        "stock": {"acid": {"strength": "20 %"}},
        "reading": [checked(225, 12)],
    }
    found = advise(read_sheet(raw))
    assert found.plan.after.volume > 5.6 * 1.03
    assert "above your usual 5.60 L, because nothing else will do" in told(found)
    assert "above your usual" not in told(answer(checked(170, 52)))
