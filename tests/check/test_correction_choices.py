"""What a correction chooses to do, and what it leaves: told by the answer alone, however it is found."""

from typing import Any

import pytest

from advisor import advise, read_sheet
from advisor.check import correction
from advisor.check.correction import Plan
from advisor.solution.solubility import CEILING_FRACTION, saturation

NOTHING_GOT_IN = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}

WARM = {"additives": False, "coldest": "25 degC", **NOTHING_GOT_IN}


def answer(copper: str, acid: str, gear: tuple[str, ...] = (), **bath: object) -> dict[str, Any]:
    """Return the answer on a bath of 5.6 L whose last check found copper sulfate and acid [g/L]."""
    checked = {"copper_sulfate": f"{copper} g/L", "sulfuric_acid": f"{acid} g/L", "since": "evaporation only"}
    raw = {
        "bath": {"volume": "5.6 L", **bath},
        "gear": {"have": list(gear)},
        "reading": [{"kind": "previous check", **checked}],
    }
    return advise(read_sheet(raw)).to_dict()


def amounts(found: dict[str, Any]) -> dict[str, float]:
    """Return what the steps move: grams, or litres of what is taken out, by what it is."""
    return {step["what"]: step.get("mass_g", step.get("volume_L")) for step in found["correction"]["steps"]}


def test_a_first_dose_stays_dissolved_in_the_cold() -> None:
    """Copper low and hardly known, in a shed at 6 °C, where about 204 g/L may stand.

    Saturation with 40 g/L of acid, from its fit: exp(5.740 - 0.1519 · 1.4 - 0.0007 · 1.4² - 0.2367 · 0.40 - 0.0339 · 0.40²
    - 0.0044 · 0.40 · 1.4) = exp(5.424) = 227 g/L, and nine tenths of it are 204. With 1.645 · 22 g/L kept below 248 g/L,
    the limits of the window alone would let it rise to 212 g/L.
    """
    found = answer("120 ± 44", "40 ± 2", coldest="6 degC")["correction"]
    assert found["state"] == "first part"
    assert amounts({"correction": found})["copper sulfate crystals"] > 0
    after = found["after"]
    assert after["copper_sulfate_g_L"] <= CEILING_FRACTION * saturation(6.0, after["sulfuric_acid_g_L"])


@pytest.mark.parametrize(("level", "made_up"), [("5.44 L", False), ("5.42 L", True)], ids=["2.9 % low", "3.2 % low"])
def test_a_level_more_than_three_percent_low_is_made_up(level: str, made_up: bool) -> None:
    """Of 5.6 L, 3 % are 168 mL: 160 mL short need nothing, 180 mL short are made up, to within half a percent (28 mL)."""
    found = answer("221 ± 4", "52 ± 2", volume=level, usual_volume="5.6 L", **NOTHING_GOT_IN)
    assert amounts(found) == ({"water": pytest.approx(180, abs=28)} if made_up else {})
    assert found["correction"]["state"] == ("possible" if made_up else "none needed")


def test_crystals_are_weighed_on_the_finest_scale_at_hand() -> None:
    """A bath of half a litre: what a coarse scale at hand as well weighs is no reason to weigh coarsely."""
    coarse, fine = "1 g scale", "0.01 g scale"
    weighed = [
        amounts(answer("170 ± 6", "52 ± 2", gear, volume="0.5 L"))["copper sulfate crystals"]
        for gear in ((fine,), (coarse,), (coarse, fine))
    ]
    assert weighed[2] == weighed[0] != weighed[1]


@pytest.mark.parametrize(
    ("copper", "acid"), [("221 ± 6", "81 ± 3"), ("250 ± 8", "76 ± 5"), ("221 ± 6", "95 ± 5"), ("290 ± 8", "85 ± 5")]
)
def test_a_little_more_bath_goes_where_bath_has_to_go(copper: str, acid: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """At most a twentieth of the bath more than the least that will do, which ends where every second is called out.

    The least keeps 1.645 standard uncertainties from the edge; what is measured again differs by 1.414 of them, and has
    to be 1.645 inside again 19 times in 20: 1.645 · (1 + 1.414) = 3.97 in all.
    """
    out = taken_out(copper, acid, **WARM)
    monkeypatch.setattr(correction, "FIRM_SHARE", 0.0)
    least = taken_out(copper, acid, **WARM)
    jug = 0.01 * 5.6
    assert 0 < least <= out <= least + 0.05 * 5.6 + jug
    assert least > 0.56 or out <= 0.56 + 1e-9  # never past the tenth that may go on the side


def test_as_much_of_the_margin_as_a_twentieth_leaves() -> None:
    """76 ± 3.4 g/L of acid and 203 ± 8 of copper sulfate: the least that has to go is about a fiftieth of the bath.

    The whole margin, 75 - 4.04 · 1.73 = 68.0 g/L, would want 1 - 68.0/76 = a tenth, less what crystals and water thin. A
    twentieth more leaves three quarters of it: 75 - (1.645 + 0.75 · 2.4) · 1.73 = 69.0 g/L.
    """
    plan = planned(("203 ± 8", "76 ± 3.4"), **WARM)
    assert plan.amounts.take_out < 0.1 * 5.6
    assert plan.after.sulfuric_acid == pytest.approx(69.0, abs=0.3)


def test_what_was_measured_twice_and_will_be_measured_once_ends_further_in() -> None:
    """95 ± 4 g/L of acid twice are known to 2.04/1.414 = 1.44 g/L, and a single reading afterwards to 2.04.

    It is found inside 19 times in 20 where the end is 1.645 · 2.04 + 1.645 · (1.44² + 2.04²)^½ = 7.5 g/L from the edge, 3.5
    of 1.44 beyond the 1.645 that the least keeps. A twentieth more bath, 5 g/L, leaves three quarters of it: 75 - 0.75 · 3.5
    · 1.44 = 71.2, less 1.645 times what is left of 1.44 with three quarters of the bath, 1.07: 69.4 g/L.
    """
    plan = planned(("221 ± 6", "95 ± 4"), ("221 ± 6", "95 ± 4"), **WARM)
    assert plan.state == "possible"
    assert plan.after.sulfuric_acid == pytest.approx(69.4, abs=0.2)


@pytest.mark.parametrize(("copper", "acid"), [("221 ± 6", "53 ± 3"), ("180 ± 6", "25 ± 3"), ("240 ± 9", "71 ± 5")])
def test_no_bath_goes_where_none_has_to(copper: str, acid: str) -> None:
    assert taken_out(copper, acid, **WARM) == 0


@pytest.mark.parametrize(
    ("copper", "acid", "cold", "warm"),
    [("160", "60", "6 degC", 9), ("180", "70", "6 degC", 10), ("170", "65", "7 degC", 9)],
)
def test_no_bath_is_thrown_away_because_it_stands_cold(copper: str, acid: str, cold: str, warm: int) -> None:
    """At 6 °C with 60 g/L of acid 0.9 · 214 = 193 g/L may stand, and 195 + 1.645 · 2 = 198 are wanted.

    With less acid more would: 50 g/L let 0.9 · 220 = 198 stand, but for that a quarter of the bath would have to go. Who
    keeps it three degrees warmer needs none of that.
    """
    bath = {"additives": False, **NOTHING_GOT_IN}
    found = answer(f"{copper} ± 4", f"{acid} ± 4", coldest=cold, **bath)["correction"]
    assert found["steps"] == []
    assert [bind["limit"] for bind in found["binds"]] == ["the cold"]
    assert f"above {warm} °C" in found["binds"][0]["lifting"]
    assert found["binds"][0]["probability_in"] >= 0.95
    assert "the cold" in found["blocked_by"]
    assert answer(f"{copper} ± 4", f"{acid} ± 4", coldest=f"{warm} degC", **bath)["correction"]["state"] == "possible"
    assert taken_out(f"{copper} ± 4", f"{acid} ± 4", coldest=f"{warm} degC", **bath) <= 0.56


@pytest.mark.parametrize(("copper", "acid", "cold"), [("180", "70", "9 degC"), ("160", "60", "7 degC")])
def test_what_hardly_stays_dissolved_is_reached_without_throwing_bath_away(copper: str, acid: str, cold: str) -> None:
    """A little water leaves 67 g/L of acid, or 55, and so lets 198 g/L of copper sulfate stand: the tank takes both."""
    found = answer(f"{copper} ± 4", f"{acid} ± 4", coldest=cold, additives=False, **NOTHING_GOT_IN)["correction"]
    assert [step["what"] for step in found["steps"]] == ["water", "copper sulfate crystals"]
    assert found["probability_in"] >= 0.95


def planned(*checks: tuple[str, str], **bath: object) -> Plan:
    """Return the plan for a bath of 5.6 L of which checks found so much copper sulfate and acid [g/L]."""
    readings = [
        {"kind": "previous check", "since": "evaporation only"}
        | {"copper_sulfate": f"{copper} g/L", "sulfuric_acid": f"{acid} g/L"}
        for copper, acid in checks
    ]
    return advise(read_sheet({"bath": {"volume": "5.6 L", **bath}, "reading": readings})).plan


def taken_out(copper: str, acid: str, **bath: object) -> float:
    """Return the litres that would be taken out, whether or not the answer lets it be done at once."""
    plan = planned((copper, acid), **bath)
    return (plan.held_back or plan).amounts.take_out
