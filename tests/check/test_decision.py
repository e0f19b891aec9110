"""The states of an answer, walked from top to bottom: each with a bath just inside it and one just outside.

What the bath should be told is worked out by hand beside the tool's answer. A bath that is well known is given as an
earlier check with its ±; its owner has answered what got into it, unless the case is about that.
"""

import tomllib
from types import SimpleNamespace
from typing import Any

import pytest

from advisor import advise, read_sheet
from advisor.check.advice import Advice
from advisor.check.assessment import assess
from advisor.check.decision import Case, _binding, _rests_on_one, _unanswered, _warmth
from advisor.check.estimate import estimate
from advisor.check.floor import on_the_floor
from advisor.check.headline import headline
from advisor.check.mass_balance import Amounts
from advisor.check.task import make_task
from advisor.examples import example_text
from advisor.solution.solubility import saturation
from advisor.words.lines import Units, in_units

NOTHING_GOT_IN = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
ACID = {
    "kind": "acid titration", "sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L", "used": "21.5 mL", "end_point": "methyl orange",
}  # fmt: skip


def checked(copper: float, acid: float, copper_u: float = 4.0, acid_u: float = 2.0, **more: str) -> dict[str, Any]:
    """Return an earlier check [g/L, standard uncertainties], since which only water has left."""
    known = {"copper_sulfate": f"{copper} ± {2 * copper_u} g/L", "sulfuric_acid": f"{acid} ± {2 * acid_u} g/L"}
    return {"kind": "previous check", "since": "evaporation only", **known, **more}


def hydrometer(value: str) -> dict[str, str]:
    return {"kind": "hydrometer", "value": value, "scale": "SG 20/20"}


def answer(*readings: dict[str, Any], window: str = "standard", answered: bool = True, **bath: Any) -> Advice:
    """Return the advice on a bath of 5.6 L."""
    tank = {"volume": "5.6 L", **(NOTHING_GOT_IN if answered else {}), **bath}
    return advise(read_sheet({"bath": tank, "window": {"name": window}, "reading": list(readings)}))


def case_of(*readings: dict[str, Any], **bath: Any) -> Case:
    """Return what is decided on: a bath of 5.6 L before any correction of it has been sought."""
    sheet = read_sheet({"bath": {"volume": "5.6 L", **NOTHING_GOT_IN, **bath}, "reading": list(readings)})
    known = assess(sheet)
    return Case(sheet, known, make_task(sheet, known.estimate, known.verdict))


def told(found: Advice) -> str:
    """Return all that the answer says."""
    return " ".join(text for section in found.sections() for text in section.lines)


def moved(found: Advice) -> list[str]:
    return [step.what for step in found.steps]


# --- 1, 2: nothing that can be trusted ------------------------------------------------------------


def test_what_is_seen_in_the_tank_comes_before_all() -> None:
    found = answer(checked(221, 52), condition=["cloudy"])
    assert found.state == "not possible"
    assert found.estimate is None
    assert answer(checked(221, 52)).state == "none needed"


def test_without_copper_and_acid_there_is_nothing_to_go_by() -> None:
    assert answer().state == "measure first"
    assert "Neither copper sulfate nor acid has been measured." in told(answer())
    strip = {"kind": "chloride strip", "value": "70 mg/L"}
    assert answer(strip, additives=True).state == "measure first"
    assert moved(answer(strip, additives=True)) == []
    low = answer(ACID | {"used": "8 mL"})  # 20 g/L: the acid is known to be low
    assert (low.state, moved(low)) == ("first part", ["sulfuric acid"])


# --- 3: low and saturated -------------------------------------------------------------------------


def test_a_nearly_dry_tank_gets_water_and_no_salts() -> None:
    """1.5 L left of 6 L, SG 1.28, 52 g/L acid: 4.5 L of water.

    SG 1.28 with 52 g/L of acid is some 390 g/L of copper sulfate (1.278 = 0.998 + 0.00060 · P + 0.00060 · 52, with P/A
    terms left out), and at 20 °C about 273 g/L stay dissolved: exp(5.740 - 0.2367 · 0.52 - 0.0339 · 0.52²) = 273.
    """
    found = answer(ACID, hydrometer("1.28"), volume="1.5 L", usual_volume="6 L")
    assert found.state == "first part"
    assert moved(found) == ["water"]
    assert found.plan.amounts.water == pytest.approx(4500, abs=40)
    assert found.plan.after.volume == pytest.approx(6.0, rel=0.005)
    assert "crystals may lie on the floor" in told(found)
    assert "until no crystal is left" not in told(found)
    assert found.plan.repeat == (0, 1)  # all that was read: crystals on the floor were in none of it


def test_no_answer_beside_it_sells_salts_to_a_tank_that_may_hold_some_undissolved() -> None:
    """SG 1.28 fits no 215 g/L of 1.3 kg in 6 L; without it the record alone would have a kilogram of crystals bought."""
    made = {"kind": "make-up", "crystals": "1.3 kg", "acid": "200 mL", "final_volume": "6 L"}
    found = answer(ACID, hydrometer("1.28"), made, volume="1.5 L", usual_volume="6 L")
    assert found.to_dict()["estimate"]["agreement"]["odd_one_out"] == "reading 2"
    assert found.without_odd is None
    assert "g of copper sulfate crystals" not in told(found)


def test_how_much_lies_on_the_floor_is_told_by_the_record() -> None:
    """1.3 kg of 99 % went in, 1287 g; 1.5 L hold at most 273 g/L, 410 g: up to some 880 g lie there.

    A check of 180 g/L in 6 L, 1080 g, tells of less. Where 5 % of what was told is missing, nothing need lie there.
    """
    made = {"kind": "make-up", "crystals": "1.3 kg", "acid": "200 mL", "final_volume": "6 L"}
    later = {"kind": "previous check", "copper_sulfate": "180 ± 60 g/L"}
    found = answer(ACID, hydrometer("1.28"), made, volume="1.5 L", usual_volume="6 L")
    assert moved(found) == ["water"]
    assert "the liquid holds about 410 g: up to about 880 g may lie on the floor" in told(found)
    both = read_sheet({"bath": {"volume": "1.5 L", "usual_volume": "6 L"}, "reading": [made, later]})
    assert "about 880 g may lie" in str(on_the_floor(both, found.estimate))
    report = {"kind": "laboratory report", "copper_sulfate": "171 ± 2 g/L", "sulfuric_acid": "60 ± 2 g/L"}
    nearly_all = read_sheet({"bath": {"volume": "5.6 L"}, "reading": [later, report]})
    assert on_the_floor(nearly_all, estimate(nearly_all)) is None


def test_at_the_edge_of_low_and_saturated() -> None:
    """At 20 °C with 52 g/L of acid 273 g/L stay dissolved; 0.93 of that are 254. 3 % of 5.6 L are 0.168 L."""
    edge = 0.93 * saturation(20.0, 52.0)
    assert edge == pytest.approx(254, abs=1)
    low = {"volume": "5.4 L", "usual_volume": "5.6 L"}
    assert "on the floor" in told(answer(checked(edge + 1, 52), **low))
    assert "on the floor" not in told(answer(checked(edge - 1, 52), **low))
    assert "on the floor" not in told(answer(checked(edge + 1, 52), volume="5.45 L", usual_volume="5.6 L"))


def test_crystals_seen_in_a_low_tank_want_water_before_warmth() -> None:
    seen = answer(checked(221, 52), condition=["crystals"], volume="4 L", usual_volume="5.6 L")
    assert "until no crystal is left" not in told(seen)
    assert "1.60 L of distilled water" in told(seen)
    assert "until no crystal is left" in told(answer(checked(221, 52), condition=["crystals"]))


# --- 4: which window ------------------------------------------------------------------------------


def test_a_bath_of_another_window_is_not_thrown_out() -> None:
    """63 g/L and 199 g/L lie within 60 to 75 and 187 to 225 g/L, the window high throw."""
    found = answer(checked(63, 199, 2, 4), volume="8 L")
    assert found.state == "wrong window"
    assert found.to_dict()["verdict"]["sits_in"] == ["high throw"]
    assert found.steps == ()
    assert found.plan.held_back.amounts.take_out > 4
    assert "high throw" in told(found)
    assert found.ways == ()  # nothing is taken out yet, and no carbonate goes into a bath that is right as it is
    assert answer(checked(63, 199, 1, 4), volume="8 L", window="high throw").state == "none needed"
    nowhere = answer(checked(85, 199, 2, 4), checked(85, 199, 2, 4), volume="8 L")
    assert nowhere.state == "possible"
    assert nowhere.plan.amounts.take_out > 4


# --- 5: one reading alone -------------------------------------------------------------------------


def test_no_bath_is_thrown_out_on_the_word_of_one_reading() -> None:
    """290 g/L brought below 248 - 1.645 · 3 g/L by water alone ends at 0.16 · 5.6 L too much, less 3 % of room: 0.77 L.

    With a twentieth more, so that the bath is found inside when it is measured again: 1.05 L.
    """
    once = answer(checked(290, 50))
    assert once.state == "repeat first"
    assert once.steps == ()
    assert once.plan.held_back.amounts.take_out == pytest.approx(1.05, abs=0.05)
    assert once.plan.repeat == (0,)
    assert "That copper sulfate is high rests on reading 1 (previous check) alone." in told(once)
    assert "1.06 L of 5.60 L would have to go." in told(once)
    twice = answer(checked(290, 50), checked(291, 50, 4.1))
    assert (twice.state, moved(twice)[0]) == ("possible", "bath")
    # Nor does a rough repeat stand beside it: 330 g/L by EDTA to 2 %, the same again to 25 %.
    edta = {"kind": "copper titration", "method": "EDTA", "sample": "2 mL", "predilution": ["10 mL", "100 mL"]}
    edta |= {"strength": "0.01 mol/L", "indicator": "PAN"}
    acid = {"kind": "laboratory report", "sulfuric_acid": "52 ± 2 g/L"}
    rough = answer(acid, edta | {"used": "26.4 ± 0.3 mL"}, edta | {"used": "26.4 ± 6.6 mL"}, max_volume="5.7 L")
    assert rough.state == "repeat first"
    assert "That copper sulfate is high rests on reading 2 (copper titration) alone." in told(rough)
    little = answer(checked(270, 50))  # less than a tenth has to go: that is no great loss
    assert little.state == "possible"
    assert little.plan.amounts.take_out < 0.56


@pytest.mark.parametrize(
    ("volume", "out", "much"), [(5.6, 0.55, False), (5.6, 0.57, True), (7.0, 1.19, False), (7.0, 1.21, True)]
)
def test_much_is_more_than_a_tenth_beside_what_stands_over_the_brim(volume: float, out: float, much: bool) -> None:
    """Of 5.6 L 0.56; of 7 L in a tank of 6.5 L half a litre goes in any case, and 0.7 are a tenth."""
    case = case_of(checked(221, 52), volume=f"{volume} L", max_volume="6.5 L")
    reached = SimpleNamespace(amounts=Amounts(take_out=out))
    vars(case.correction).update(_nothing_to_do=False, _reached=reached)
    assert case.correction.takes_much_out == much


@pytest.mark.parametrize("copper", [246, 250, 256, 258, 260, 264, 272])
def test_no_more_than_a_tenth_goes_unasked_of_a_bath_that_stands_over_the_brim(copper: int) -> None:
    """5.6 L in a tank of 5.2 L: 0.4 L go in any case, and 0.56 L more at most on the word of one reading."""
    report = {"kind": "laboratory report", "copper_sulfate": f"{copper} ± 4 g/L", "sulfuric_acid": "52 ± 3 g/L"}
    found = answer(report, max_volume="5.2 L", usual_volume="5.2 L")
    assert found.state == ("possible" if copper < 259 else "repeat first")
    assert (found.plan.intended.amounts.take_out > 0.4 + 0.56) == (copper > 259)


@pytest.mark.parametrize("tank", [{"min_volume": "5.6 L", "max_volume": "5.6 L"}, {"max_volume": "5.04 L"}])
def test_a_tank_that_leaves_no_play_is_filled_as_well_as_whole_amounts_do(tank: dict[str, str]) -> None:
    """Filled to the brim as always, or from now on to nine tenths; 0.5 % below the brim is as good as at it."""
    brim = float(tank["max_volume"].split()[0])
    found = answer(checked(170, 50), **tank)
    assert found.state == "possible"
    assert 0.995 * brim <= found.plan.after.volume <= brim
    assert 5.6 - brim <= found.plan.amounts.take_out <= 5.6 - brim + 0.1 * 5.6


ONLY_ACID = {"kind": "previous check", "since": "evaporation only", "sulfuric_acid": "95 ± 4 g/L"}
ONLY_COPPER = {"kind": "previous check", "since": "evaporation only", "copper_sulfate": "221 ± 8 g/L"}


@pytest.mark.parametrize(
    ("readings", "alone"),
    [
        ((checked(290, 50),), (0, "copper_sulfate")),
        ((checked(290, 50), checked(291, 50, 4.1)), None),
        ((checked(221, 52), checked(221, 52)), None),  # nothing is high
        ((ONLY_COPPER, ONLY_ACID), (1, "sulfuric_acid")),  # that copper rests on the first throws nothing out
        ((checked(290, 50), ACID), (0, "copper_sulfate")),
        ((ACID, checked(290, 50, 40.0), checked(290, 50)), (2, "copper_sulfate")),  # ± 80 g/L determine nothing
    ],
)
def test_what_is_high_rests_on_a_reading_without_which_it_is_not_determined(
    readings: tuple[dict[str, Any], ...], alone: tuple[int, str] | None
) -> None:
    assert _rests_on_one(case_of(*readings)) == alone


# --- 6: all that is measured is inside ------------------------------------------------------------


def test_what_the_tank_cannot_hold_goes_whatever_the_readings_say() -> None:
    """Of 7 L in a tank of 6.5 L half a litre goes; that a little more makes room for acid makes no reading a slip."""
    raw = tomllib.loads(example_text("dull"))
    raw["bath"]["volume"] = "7 L"
    too_full = advise(read_sheet(raw))
    assert too_full.state == "possible"
    assert 0.70 < too_full.plan.amounts.take_out < 0.5 + 0.70
    assert too_full.plan.after.volume == pytest.approx(6.5, abs=0.01)
    assert too_full.slips == ()


def test_inside_but_too_strong_for_the_cold() -> None:
    """234/64 g/L, 9 °C now, 3 °C at the coldest. By the fit of the solubility:

    Saturated where exp(5.740 + 0.01519 (t - 20) - 0.2367 · 0.64 - 0.0339 · 0.64² + 0.00044 · 0.64 (t - 20)) = 234: at
    12 °C. Safe where 0.9 of that is 234, 260 g/L: above 19.1 °C. Thinned until 0.9 of the saturation at
    3 °C: 0.8 of both, 187 and 51 g/L (0.9 · 209), and 187 is below the window's 195.
    """
    found = answer(checked(234, 64), temperature="9 degC", coldest="3 degC")
    assert found.state == "too cold"
    assert found.steps == ()
    assert found.plan.keep_above == 20
    assert found.crystallises_below == pytest.approx(12, abs=0.5)
    saturated = "It is saturated at about 12 °C, with a margin of 8 °C for what is uncertain: "
    assert f"{saturated}crystals may form below about 20 °C, and it may stand at 3 °C." in told(found)
    assert "Crystals may form below about 20 °C, and it may stand at 3 °C." in headline(found).beside
    assert "187" in told(found) or "188" in told(found)
    assert "51 g/L of acid, which leaves the window" in told(found)
    assert found.to_dict()["verdict"]["crystals"] == {"now": "near", "coldest": "beyond"}


def test_where_no_warmth_suffices_none_is_named() -> None:
    """400/250 g/L in a window of one's own. By the fit of the solubility at 60 °C, where it ends:

    exp(5.740 + 0.15194 · 4 - 0.0007 · 4² - 0.2367 · 2.5 - 0.0339 · 2.5² + 0.00439 · 2.5 · 4) = 264 g/L stay dissolved.
    """
    own = {"copper_sulfate": ["300 g/L", "450 g/L"], "sulfuric_acid": ["200 g/L", "300 g/L"]}
    bath = {"volume": "5.6 L", **NOTHING_GOT_IN}
    found = advise(read_sheet({"bath": bath, "window": own, "reading": [checked(400, 250)]}))
    assert (found.state, found.plan.keep_above) == ("too cold", None)
    assert "No warmth surely keeps it clear of crystals." in told(found)
    assert headline(found).act == "No warmth will do: thin it, and choose a window with less copper sulfate or acid."


def test_a_warmth_is_named_where_there_is_one() -> None:
    assert _warmth(19) == ("Keep it above about 19 °C.", "Or keep it above 19 °C.", "Or thin it, as the steps say.")
    none = "No warmth surely keeps it clear of crystals."
    assert _warmth(None) == (none, none, "Thin it, as the steps say.")


def test_water_alone_may_end_the_cold() -> None:
    """240/60 g/L at 12 °C: 0.9 · 233 = 210 g/L may stand there, inside the window. By a seventh more water."""
    found = answer(checked(240, 60), coldest="12 degC", max_volume="6.5 L")
    assert (found.state, moved(found)) == ("too cold", ["water"])
    assert found.plan.after.copper_sulfate <= 0.9 * saturation(12.0, found.plan.after.sulfuric_acid)
    assert found.plan.after.probability_in >= 0.95


@pytest.mark.parametrize(("share", "state"), [(0.92, "none needed"), (0.94, "too cold")])
def test_at_the_edge_of_the_cold(share: float, state: str) -> None:
    """With 52 g/L of acid 247 g/L stay dissolved at 13 °C: 0.92 of it are 228, 0.94 are 232 g/L, both in the window."""
    copper = share * saturation(13.0, 52.0)
    assert answer(checked(copper, 52), coldest="13 degC", max_volume="5.6 L").state == state


def test_near_a_cold_that_nobody_spoke_of_only_warns() -> None:
    """Taken to be 15 °C, where with 60 g/L of acid 249 g/L stay dissolved: 236 are 0.95 of that, 270 would be beyond."""
    guessed = answer(checked(236, 60))
    assert guessed.state == "none needed"
    assert "Crystals form below" in told(guessed)
    assert answer(checked(236, 60), coldest="15 degC").state == "too cold"


@pytest.mark.parametrize(
    ("now", "state"), [("13 degC", "too cold"), ("15 degC", "too cold"), ("16 degC", "none needed")]
)
def test_near_a_cold_that_it_stands_in_already_is_more_than_a_warning(now: str, state: str) -> None:
    """236/60 g/L again; it stays safe from 16 °C on, and is kept where 0.9 of the saturation are 236: 262 g/L, at 18.9 °C.

    exp(5.740 - 0.2367 · 0.6 - 0.0339 · 0.6² + (0.01519 + 0.00044 · 0.6) (t - 20)) = exp(5.586 + 0.01545 (t - 20)) = 262.
    """
    found = answer(checked(236, 60), temperature=now)
    assert found.state == state
    assert found.plan.keep_above == (19 if state == "too cold" else None)


def test_acid_alone_is_no_comfort() -> None:
    found = answer(ACID)
    assert found.verdict["sulfuric_acid"].state == "in"
    assert found.state == "measure first"
    assert "Not measured: copper sulfate (window 195 to 248 g/L)." in told(found)
    assert "Brightener and suppressor" not in told(found)
    assert found.plan.briefly == ("Not measured: copper sulfate.",)


def test_brightener_wants_its_chloride_measured() -> None:
    assert answer(checked(221, 52), additives=True).state == "measure first"
    unmeasured = "Not measured: chloride (window 50 to 120 mg/L). Brightener and suppressor hardly work without it."
    assert unmeasured in told(answer(checked(221, 52), additives=True))
    assert answer(checked(221, 52, chloride="80 ± 10 mg/L"), additives=True).state == "none needed"
    assert answer(checked(221, 52), additives=False).state == "none needed"
    assert answer(checked(221, 52)).state == "none needed"  # nobody said, which stands among what was taken for granted


def test_open_questions_that_decide_are_asked_first() -> None:
    """SG 1.160 and 52 g/L of acid: 211 g/L of copper sulfate if nothing got in, and less with each salt that did."""
    open_questions = answer(ACID, hydrometer("1.160"), answered=False)
    assert open_questions.verdict["copper_sulfate"].state == "unsure"
    assert (open_questions.state, moved(open_questions)) == ("measure first", [])
    assert "answer the open questions" in told(open_questions)
    assert set(open_questions.plan.asks) == {"soda_added", "touched", "topped_up_with", "anodes"}
    answered = {name: told for name, told in NOTHING_GOT_IN.items() if name not in ("soda_added", "anodes")}
    two_left = answer(ACID, hydrometer("1.160"), answered=False, **answered)
    assert "answer the open questions (soda that went in and the anodes)." in told(two_left)
    only_copper = ("plated-out copper", "copper titration", "cemented copper")
    assert open_questions.plan.settled_by == only_copper
    assert (answer(ACID).plan.asks, answer(ACID).plan.settled_by) == ((), ())  # what is lacking is the copper itself
    assert answer(ACID, hydrometer("1.160")).state == "none needed"
    far = answer(ACID, hydrometer("1.141"), answered=False)  # low whatever got in
    assert moved(far) == ["copper sulfate crystals"]


def test_what_would_settle_it_is_offered_however_little_it_seems_to_gain() -> None:
    """First the questions, then a reading that only copper makes."""
    asked = answer(ACID, hydrometer("1.160"), answered=False).to_dict()["next_reading"]
    questions = [said["question"] for said in asked if said["question"]]
    assert {"bath.soda_added", "bath.touched"} <= set(questions)
    kinds = [said["kind"] for said in asked]
    assert "plated-out copper" in kinds
    assert kinds.index("plated-out copper") >= sum(kind is None for kind in kinds)


PLATED = {"kind": "plated-out copper", "sample": "50 mL", "before": "20.00 g", "after": "22.70 g"}


def test_soda_that_went_in_leaves_no_certainty_to_a_density() -> None:
    """20 g of baking soda are 20/84.01/2 mol of sodium sulfate, 16.9 g: 3.0 g/L in 5.6 L, times 0.85 still there, 2.6 g/L.

    At 1.42 each that reads as 3.6 g/L of copper sulfate; a mass remembered to 20 % and a share still there known to 0.10
    of 0.85 make 1.96 x 3.6 x 0.232 of ±. All questions are answered, so that none is asked; the reading
    that only copper makes comes first, though the verdict is decided already and nothing is to be gained by its gain.
    """
    soda = {"soda_added": "20 g"}
    found = answer(ACID, hydrometer("1.166"), **soda)
    assert found.verdict["copper_sulfate"].state == "in"
    assert (found.state, found.steps) == ("measure first", ())
    assert "reads as 3.6 ± 1.7 g/L of copper sulfate" in told(found)
    assert found.plan.asks == ()
    assert found.plan.briefly == ("Soda went in, and the density alone does not tell the copper.",)
    (first, *_) = found.to_dict()["next_reading"]
    assert (first["kind"], first["question"]) == ("plated-out copper", None)
    assert 0 <= first["gain"] < 0.01
    assert answer(ACID, hydrometer("1.166"), PLATED, **soda).state == "none needed"
    assert answer(ACID, hydrometer("1.166")).state == "none needed"  # no soda went in
    assert answer(checked(221, 52), **soda).state == "none needed"  # no density


def test_questions_come_before_the_reading_of_copper_alone_after_soda() -> None:
    some = {"soda_added": "20 g", "topped_up_with": "distilled water", "anodes": "copper"}
    found = answer(ACID, hydrometer("1.170"), answered=False, **some)
    assert found.state == "measure first"
    asked = [said["question"] or said["kind"] for said in found.to_dict()["next_reading"]]
    assert asked[0] == "bath.touched"
    assert "plated-out copper" in asked


def test_a_low_level_of_a_sound_bath_takes_water() -> None:
    found = answer(checked(221, 52), volume="5.4 L", usual_volume="5.6 L")
    assert (found.state, moved(found)) == ("possible", ["water"])
    unmeasured = answer(ACID, volume="5.4 L", usual_volume="5.6 L")
    assert (unmeasured.state, moved(unmeasured)) == ("measure first", [])


# --- 7 to 10: something is out --------------------------------------------------------------------


def test_half_of_the_bath_known_is_a_first_part() -> None:
    half = answer(ACID | {"used": "8 mL"})
    assert half.state == "first part"
    assert "Not measured: copper sulfate. What is added here puts right only what you measured." in told(half)
    assert answer(checked(221, 20)).state == "possible"


def test_what_lands_is_possible_and_what_does_not_is_a_first_part() -> None:
    assert answer(checked(170, 52, copper_u=5)).state == "possible"
    vague = answer(checked(120, 52, copper_u=25))
    assert (vague.state, moved(vague)) == ("first part", ["copper sulfate crystals"])


@pytest.mark.parametrize(("copper_u", "state"), [(15.0, "possible"), (17.5, "first part")])
def test_at_the_edge_of_what_lands(copper_u: float, state: str) -> None:
    """A window of 53 g/L holds 95 % of what is known to 26.5/1.96 = 13.5 g/L.

    A tenth of a bath that is not well known may go, and salts thin the rest by 5 %: 13.5/(0.90 · 0.95) = 15.8, before.
    """
    assert answer(checked(120, 52, copper_u=copper_u)).state == state


def test_what_cannot_be_done_names_what_stands_in_the_way() -> None:
    crystals = {"stock": {"crystals": {"on_hand": "20 g"}}}
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [checked(170, 52)], **crystals}
    short = advise(read_sheet(raw))
    assert short.state == "not possible"
    assert short.steps == ()
    assert [bind["limit"] for bind in short.to_dict()["correction"]["binds"]] == ["the crystals on hand"]


def test_what_is_on_hand_is_told_as_it_was_typed_and_in_the_plural() -> None:
    """4 oz are 113.4 g (28.35 g an ounce): by way of the 113 g that are shown they would be 3.99 oz."""
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [checked(170, 52)]}
    found = advise(read_sheet(raw | {"stock": {"crystals": {"on_hand": "4 oz"}}}))
    (said,) = _binding(found.plan)
    assert said.startswith("A whole correction is held back by the crystals on hand: 113 g, get at least ")
    assert " hand: 4 oz (113 g), get at least " in in_units(said, Units.US_FIRST)


@pytest.mark.parametrize(
    ("doubtful", "said"),
    [
        (("copper_sulfate",), "Whether copper sulfate is inside "),
        (("copper_sulfate", "sulfuric_acid"), "Whether copper sulfate and sulfuric acid are inside "),
    ],
)
def test_two_that_are_in_doubt_stand_in_the_plural(doubtful: tuple[str, ...], said: str) -> None:
    asked = read_sheet({"bath": {"volume": "5.6 L"}, "reading": [checked(200, 60)]})
    known = assess(asked)
    (told,) = _unanswered(Case(asked, known, make_task(asked, known.estimate, known.verdict)), doubtful)
    assert told.startswith(said)


@pytest.mark.parametrize(("on_hand", "state"), [("140 g", "not possible"), ("190 g", "possible")])
def test_at_the_edge_of_what_is_on_hand(on_hand: str, state: str) -> None:
    """170 g/L in 5.6 L to 195 takes 25 · 5.6/0.99 = 141 g and some more for its own volume, to be sure of it 201.6: 185 g."""
    raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [checked(170, 52)]}
    assert advise(read_sheet(raw | {"stock": {"crystals": {"on_hand": on_hand}}})).state == state


def test_who_has_too_little_is_told_to_get_what_is_enough_and_not_what_the_aim_would_take() -> None:
    """170 g/L of 5.6 L to the 201.7 that are surely inside, in 5.68 L with the salt's own volume: 195 g, of which 20 are there.

    So 175 g, in two digits 180; the aim of 220 g/L would take 310.
    """

    def found(crystals: int) -> Advice:
        raw = {"bath": {"volume": "5.6 L", **NOTHING_GOT_IN}, "reading": [checked(170, 52)]}
        return advise(read_sheet(raw | {"stock": {"crystals": {"on_hand": f"{crystals} g"}}}))

    (bind,) = found(20).plan.binds
    assert (bind.limit, bind.lifting) == ("the crystals on hand", "20 g, get at least 180 g more")
    assert 0.95 <= bind.probability_in < 0.98
    assert (found(200).state, found(200).plan.amounts.take_out) == ("possible", 0.0)
    assert found(190).plan.amounts.take_out > 0


@pytest.mark.parametrize(("acid", "state"), [(32.0, "possible"), (38.0, "wrong window")])
def test_at_the_edge_of_another_window(acid: float, state: str) -> None:
    """221 g/L lie in both windows. A tenth taken out and a tenth of room bring 29 · 1.1/0.9 = 35 g/L of acid to 29.

    With 32 that will do; with 38, inside standard, more than a tenth would have to go.
    """
    found = answer(checked(221, acid, 4, 0.5), window="low acid")
    assert (found.state, found.known.sits_in) == (state, ("standard",))


def test_of_a_bath_of_which_only_the_acid_is_measured_only_the_acid_is_said_to_land():
    told_twice = answer(ACID, {**ACID, "used": "38 mL"}, volume="10 L", answered=False)
    assert told_twice.verdict["copper_sulfate"].state == "not measured"
    assert any("Without that the sulfuric acid would land inside" in text for text in told_twice.plan.why)
