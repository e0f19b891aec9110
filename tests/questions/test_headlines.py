"""The other questions in one glance: each says what to do first, in few words, and what is wrong before what is right."""

import re
from dataclasses import replace

import pytest

from advisor.check.advise import advise
from advisor.check.headline import Tone
from advisor.questions.anodes import anodes
from advisor.questions.disposal import dispose
from advisor.questions.faults import diagnose
from advisor.questions.headlines import (
    anodes_headline,
    decision_headline,
    diagnosis_headline,
    disposal_headline,
    mixture_headline,
    preparation_headline,
    run_headline,
    shopping_headline,
)
from advisor.questions.make_up import mix
from advisor.questions.objects import prepare
from advisor.questions.plating import SLOW, plate
from advisor.questions.remake import keep
from advisor.questions.shopping import shop
from advisor.questions.treatments import treat
from advisor.sheet import GEAR, read_sheet
from advisor.words.lines import Amount, Line, Units, in_units

MOST_WORDS = 60


def mixed(**wish):
    return mixture_headline(mix(read_sheet({"mix": wish}, needs_volume=False)))


def run(**wish):
    return run_headline(plate(read_sheet({"plate": wish}, needs_volume=False)))


ACID = {"kind": "laboratory report", "sulfuric_acid": "52 ± 4 g/L"}
REPORT = {**ACID, "copper_sulfate": "221 ± 6 g/L"}


@pytest.mark.parametrize(
    ("bath", "readings", "is_low"),
    [
        ({"volume": "5.0 L"}, [REPORT], True),
        ({"volume": "5.45 L"}, [REPORT], False),
        ({}, [REPORT], False),
        ({"volume": "5.0 L", "condition": ["crystals"]}, [REPORT], False),
        ({"volume": "5.0 L"}, [], False),
        ({"volume": "5.0 L"}, [ACID], False),
        ({"volume": "5.0 L", "additives": True}, [{**REPORT, "copper_sulfate": "205 ± 3 g/L"}], False),
    ],
)
def test_a_run_in_a_tank_whose_level_is_low_begins_with_water_where_the_check_does(bath, readings, is_low):
    """Kept at 5.6 L; from 3 % below on the check makes it up. Of a tank whose level nobody said nothing is told."""
    raw = {"bath": {"usual_volume": "5.6 L", **bath}, "reading": readings}
    if bath:
        assert ("water" in [step.what for step in advise(read_sheet(raw)).steps]) == is_low
    found = plate(read_sheet({**raw, "plate": {"area": "85 cm^2", "thickness": "150 um"}}, needs_volume=False))
    assert ("The level is low: if it dried away, top up first." in run_headline(found).beside) == is_low
    assert any("5.00 L where 5.60 L is usual" in text for text in found.warnings) == is_low


def kept(**told):
    return decision_headline(keep(read_sheet({"bath": {"volume": "5 L"}, "keep": told})))


def words(said):
    return " ".join((said.matter, said.act, *said.beside))


@pytest.mark.parametrize(
    ("current", "unit", "slow", "matter"),
    [
        ("42.5 mA", "mA", False, "So little current makes coarse, dull copper"),
        ("0.25 A", "A", True, "Makes"),
        ("0.6 A", "A", False, "Makes"),
    ],
)
def test_a_run_is_said_in_one_unit_and_a_current_below_the_smooth_ones_is_remarked(current, unit, slow, matter):
    """On 85 cm² of a lean bath at rest: smooth from about 0.3 of the limit."""
    found = plate(
        read_sheet({"plate": {"area": "85 cm2", "thickness": "100 um", "current": current}}, needs_volume=False)
    )
    said, result = run_headline(found), " ".join(found.sections()[0].lines)
    assert {*re.findall(r"\d (m?A)\b(?!/)", words(said))} == {unit}
    assert (SLOW in words(said), SLOW in result) == (slow, slow)
    assert said.matter.startswith(matter)


def test_small_currents_that_are_worked_out_have_two_digits_and_one_that_was_typed_all_of_its_own():
    part = {"area": "4 cm2", "thickness": "100 um"}
    timed = words(run(area="4 cm2", thickness="100 um", time="9 h"))
    said = f"{words(run(**part))} {timed} {words(run(**part, current='42.5 mA'))}"
    currents = re.findall(r"([\d.]+) (?:mA|to [\d.]+ mA)|to ([\d.]+) mA", said)
    many = {one or other for one, other in currents if len((one or other).replace(".", "")) > 2}
    assert many == {"42.5"}
    assert "29 mA" in said
    assert "34 mA" in timed


def test_a_wish_inside_the_window_says_what_to_take_with_the_caution_of_the_acid():
    said = mixed(volume="5 L")
    assert said.tone is Tone.INSIDE
    assert said.matter == "Makes 5.00 L inside the window"
    assert said.act == "Take 1119 g crystals, 149 mL acid (96 %?) and 4.46 L water."
    assert said.beside[0] == "Goggles and gloves; acid into the liquid, never liquid into acid."


def test_a_recipe_outside_says_what_to_take_instead():
    said = mixed(crystals="500 g", acid="100 mL", water="4.5 L")
    assert said.tone is Tone.TO_DO
    assert said.matter == "Too little copper"
    assert said.act.startswith("Take instead ")
    assert "Your recipe makes 104 ± 3 g/L" in said.beside[1]


def test_a_wish_outside_is_mixed_as_it_was_wished_and_said_to_be_out():
    said = mixed(volume="5 L", copper_sulfate="300 g/L")
    assert (said.tone, said.matter) == (Tone.TO_DO, "Too much copper")
    assert said.act.startswith("Take 1515 g crystals")


@pytest.mark.parametrize(
    ("wish", "act"),
    [
        ({"sulfuric_acid": "0 g/L"}, "Take 1119 g crystals and 4.58 L water."),
        ({"copper_sulfate": "0 g/L"}, "Take 149 mL acid (96 %?) and 4.90 L water."),
    ],
)
def test_what_a_mixture_has_none_of_is_not_taken(wish, act):
    """5 L at 221.5 g/L are 1119 g of crystals of 99 %, at 52.5 g/L 149 mL of acid of 96 % (1.84 g/mL)."""
    said = mixed(volume="5 L", **wish)
    assert said.act == act
    assert any("never liquid into acid" in text for text in said.beside) == ("acid" in act)
    assert said.beside[-1].startswith("It will hold ")


def test_a_mixture_that_the_cold_spoils_is_not_called_inside():
    cold = {"bath": {"coldest": "0 degC"}, "mix": {"volume": "5 L", "copper_sulfate": "240 g/L"}}
    assert mixture_headline(mix(read_sheet(cold, needs_volume=False))).matter == "Crystals would form in the cold"


def test_a_run_says_the_start_and_how_to_go_on():
    said = run(area="120 cm2", thickness="100 um")
    assert said.tone is Tone.TO_DO
    assert "100 µm" in said.matter
    assert said.act.startswith("Start at 0.32 A for 30 min, then 0.87 A for ")


def test_a_current_that_grows_trees_is_never_what_to_do():
    said = run(area="120 cm2", time="5 h", current="5 A")
    assert said.tone is Tone.IN_THE_WAY
    assert "5.00 A" not in said.act
    assert said.act == "Use 0.65 to 1.08 A instead."


def test_a_current_above_the_smooth_range_is_said_to_be():
    said = run(area="120 cm2", time="5 h", current="1.2 A")
    assert said.tone is Tone.NOT_SETTLED
    assert "then 1.20 A" in said.act


def test_a_decision_says_what_to_do_and_begins_with_its_first_step():
    said = kept(mixed_jar="dull", carbon_treated="2")
    assert said.act == "First measure copper sulfate and acid."
    assert said.matter == "Not measured: copper sulfate and sulfuric acid"  # how surely it is right nobody knows
    assert said.beside == ("If it stays so, remake it.",)


def test_a_decision_is_to_be_done_from_sixty_percent_on():
    """Below that another choice may well be right. Nothing was measured: then it is not settled, however sure."""
    found = keep(read_sheet({"bath": {"volume": "5 L"}, "reading": [REPORT]}))
    for sure, tone, words_of_it in ((0.59, Tone.NOT_SETTLED, " – a close call"), (0.61, Tone.TO_DO, "")):
        said = decision_headline(replace(found, sure=sure))
        assert (said.tone, said.act) == (tone, "Keep it.")
        assert said.matter == f"The right choice with {100 * sure:.0f} % probability{words_of_it}"
        assert said.beside == (f"Step 1: {found.first_in_short[0].lower()}{found.first_in_short[1:]}.",)
    blind = decision_headline(replace(found, not_measured=("sulfuric_acid",)))
    assert (blind.tone, blind.matter) == (Tone.NOT_SETTLED, "Not measured: sulfuric acid")


def test_what_may_change_the_choice_leads_and_the_choice_follows_from_it():
    whole = {"copper_sulfate": "205 ± 8 g/L", "sulfuric_acid": "58 ± 4 g/L", "since": "evaporation only"}
    told = {"bath": {"volume": "5 L", "zinc": "20 g/L"}, "reading": [{"kind": "previous check", **whole}]}
    said = decision_headline(keep(read_sheet(told)))
    assert said.act == "First do the jar test."
    assert said.matter == "If it stays so, remake it: likely right by what is known so far"
    assert not any(text.startswith("Step 1") for text in said.beside)
    done = decision_headline(keep(read_sheet(told | {"keep": {"mixed_jar": "dull"}})))
    assert done.act == "Remake it."
    assert done.matter == "The right choice with over 99 % probability"  # which stood there before the test as well


def test_of_choices_that_all_but_surely_fail_none_is_named_before_the_test_is_repeated():
    """20 g/L of iron, and yet half and half plates well: replacing a part was “the right choice with under 1 %”."""
    whole = {"copper_sulfate": "220 ± 8 g/L", "sulfuric_acid": "52 ± 2 g/L", "since": "evaporation only"}
    told = {"bath": {"volume": "5 L", "iron": "20 g/L"}, "reading": [{"kind": "previous check", **whole}]}
    found = keep(read_sheet(told | {"keep": {"mixed_jar": "good"}}))
    assert found.sure < 0.05
    said = decision_headline(found)
    assert (said.tone, said.matter) == (Tone.NOT_SETTLED, "None of the choices is sure")
    assert said.act == "First do the jar test once more."
    assert said.beside == ("What you told speaks against each of them.", "If it stays so, replace part of it.")
    assert found.what_to_do[0].startswith("Do the jar test once more. Jar test: ")
    assert found.what_to_do[0].endswith("Half and half dull: remake it.")
    assert found.what_to_do[1].startswith("Take out ")
    assert "under 1 % probability" not in found.sections()[0].lines[0]


def test_a_bath_that_nobody_measured_is_kept_for_now_and_measured_first():
    said = kept()
    assert (said.tone, said.act) == (Tone.NOT_SETTLED, "Keep it for now.")
    assert said.matter == "Not measured: copper sulfate and sulfuric acid"
    assert said.beside[0] == "Step 1: measure copper sulfate and acid."
    assert "%" not in words(said)


def test_disposal_asks_first():
    said = disposal_headline(dispose(read_sheet({"bath": {"volume": "5 L"}})))
    assert "local authority" in said.matter
    assert "Outdoors" in said.beside[0]
    assert said.act.startswith("If you may treat it: at most ")  # nobody measured what it holds


WITH_RUN = {"plate": {"area": "87 cm^2", "thickness": "150 um", "anode_area": "60 cm^2"}}


@pytest.mark.parametrize(
    ("answer", "glance", "tables"),
    [
        (dispose, disposal_headline, {}),
        (plate, run_headline, WITH_RUN),
        (prepare, preparation_headline, WITH_RUN | {"part": {"coat": "graphite", "made_of": ["silver"]}}),
        (anodes, anodes_headline, WITH_RUN | {"anodes": {}}),
        (keep, decision_headline, {"keep": {"mixed_jar": "good"}}),
        (mix, mixture_headline, {"mix": {"volume": "5.37 L"}}),
    ],
)
@pytest.mark.parametrize("held", [{"copper_sulfate": "183 ± 6 g/L", "sulfuric_acid": "41 ± 4 g/L"}, {}])
def test_an_amount_has_one_number_on_its_page(answer, glance, tables, held):
    """1176 g of baking soda stood in the glance above “1180 ± 80 g” of it."""
    readings = {"reading": [{"kind": "laboratory report", **held}]} if held else {}
    found = answer(read_sheet({"bath": {"volume": "5.6628 L"}, **readings, **tables}))
    said = glance(found)
    lines = [said.matter, said.act, *said.beside, *(text for section in found.sections() for text in section.lines)]
    amounts = [part for text in lines for part in Line.of([text]).parts if isinstance(part, Amount)]
    written = {}
    for amount in amounts:
        number = str(amount).split(" ")[0] if amount.upper is None else str(amount)
        written.setdefault((amount.unit, amount.value, amount.upper), set()).add(number)
    assert written
    assert [numbers for numbers in written.values() if len(numbers) > 1] == []


def test_a_diagnosis_names_the_likeliest_cause_and_the_test_in_short():
    found = diagnose(read_sheet({"deposit": {"looks": ["burnt edges"]}}, needs_volume=False))
    said = diagnosis_headline(found)
    assert said.matter.startswith("Most likely: ")
    assert found.next_test.startswith(said.act.rstrip("."))
    assert diagnosis_headline(found, check_first=True).act.startswith("Check the bath, then ")


def test_a_diagnosis_without_a_cause_or_a_test_says_so():
    found = diagnose(read_sheet({"deposit": {"looks": ["burnt edges"]}}, needs_volume=False))
    none = diagnosis_headline(replace(found, causes=()))
    assert (none.tone, none.matter) == (Tone.NOT_SETTLED, "No cause in the table fits")
    assert diagnosis_headline(replace(found, test=None)).act == "Nothing needs to be tested."
    first, *others = found.causes
    known = diagnosis_headline(replace(found, causes=(replace(first, known=True), *others)))
    assert (known.tone, known.matter[:7]) == (Tone.TO_DO, "Known: ")
    assert diagnosis_headline(found).tone is Tone.NOT_SETTLED


def test_a_cause_and_its_test_are_said_in_short_as_the_table_has_them():
    """What the table adds in columns of its own, such as what organic dirt is, stands in the diagnosis only."""
    found = diagnose(read_sheet({"deposit": {"looks": ["streaks"]}}, needs_volume=False))
    cause = next(cause for cause in found.causes if cause.name == "organic dirt")
    assert cause.says == f"{cause.in_short} (breakdown products, glue, paint, rubber)"
    said = diagnosis_headline(replace(found, causes=(cause,), test=cause.test))
    assert "(" not in said.matter
    assert ":" not in said.act
    assert cause.test.says.startswith(said.act.rstrip("."))


@pytest.mark.parametrize(
    "said", [mixed(volume="5 L"), run(area="120 cm2", thickness="100 um"), kept(), kept(mixed_jar="dull")]
)
def test_it_is_said_in_few_words(said):
    assert len(words(said).split()) <= MOST_WORDS


def test_amounts_are_shown_in_the_units_that_were_chosen():
    act = mixed(volume="5 L").act
    assert isinstance(act, Line)
    assert "lb" in in_units(act, Units.US_FIRST)


def treated(**told):
    bath = {"volume": "5.6 L", "temperature": "18 degC", **told.pop("bath", {})}
    return treat(read_sheet({"bath": bath, "treat": told})).headline


@pytest.mark.parametrize(
    ("told", "act"),
    [
        ({"what": "carbon"}, "Wet 16.8 g of activated carbon, and stir it in."),
        ({"what": "filtering", "pump": "30 L"}, "Run the pump for 34 minutes."),
        ({"what": "filtering"}, "Run it all through a filter bag or two coffee filters."),
        ({"what": "warming", "heater": "100 W"}, "Your heater of 100 W will do."),
        ({"what": "warming", "wanted": "15 degC"}, "It takes no heat to hold 15 °C."),
        ({"what": "less chloride"}, "Measure it first."),
    ],
)
def test_a_treatment_says_what_to_do_first(told, act):
    assert treated(**told).act == act


def test_a_heater_that_is_too_weak_is_not_advised():
    said = treated(what="warming", wanted="45 degC", heater="25 W")
    assert said.tone is Tone.IN_THE_WAY
    assert said.act.startswith("Cover it")


def test_water_for_crystals_is_said_with_what_every_hundred_grams_takes():
    """Saturated at 18 °C and brought to 12 °C: water for what is dissolved, and more for what lies on the floor."""
    said = treated(what="crystals", bath={"coldest": "12 degC"})
    assert said.act == "Say first how many grams lie on the floor: the tank is full."
    wide = treated(what="crystals", bath={"coldest": "12 degC", "max_volume": "20 L"}).act
    assert re.fullmatch(r"Add [\d.]+ m?L of distilled water and [\d.]+ m?L more for every 100 g on the floor\.", wide)
    warm = treated(what="crystals", bath={"coldest": "30 degC"}).act
    assert warm == "Warm it and stir: no water is needed."
    known = treated(what="crystals", on_floor="50 g", bath={"coldest": "12 degC"})
    assert known.act.startswith("Lift ")
    assert " into a closed vessel, add " in known.act
    assert "100 g" not in known.act


def anodes_at(**run):
    return anodes_headline(anodes(read_sheet({"plate": {"area": "85 cm2", **run}}, needs_volume=False)))


def test_anodes_that_stand_the_current_and_anodes_that_do_not():
    assert anodes_at().act.startswith("Hang in ")
    assert anodes_at(anode_area="170 cm2", current="0.3 A").tone is Tone.INSIDE
    assert anodes_at(anode_area="150 cm2").act == "Watch the voltage, above all in the cold."
    assert anodes_at(anode_area="150 cm2").matter.startswith("They may turn passive, 13")
    assert anodes_at(anode_area="90 cm2", current="0.9 A").matter.startswith("They may well turn passive, 47")
    assert anodes_at().matter.startswith("For ")
    below = anodes_at(anode_area="60 cm2", current="0.3 A")
    assert (below.tone, below.matter) == (Tone.NOT_SETTLED, "Small for this part and current")
    assert below.act.startswith("Hang in ")
    small = anodes_at(anode_area="8 cm2", current="0.9 A")
    assert (small.tone, small.act[:8]) == (Tone.IN_THE_WAY, "Hang in ")


def test_anodes_of_a_saturated_bath_and_inert_ones_need_no_area():
    found = anodes(read_sheet({"plate": {"area": "85 cm2", "anode_area": "150 cm2"}}, needs_volume=False))
    saturated = anodes_headline(replace(found, limit=replace(found.limit, value=0.0)))
    assert (saturated.tone, saturated.act) == (Tone.IN_THE_WAY, "Warm the bath and thin it first.")
    inert = anodes_headline(replace(found, kind="inert"))
    assert (inert.tone, inert.act) == (Tone.TO_DO, "Log the ampere-hours, or check after each large run.")


def prepared(**part):
    return preparation_headline(prepare(read_sheet({"part": part}, needs_volume=False)))


@pytest.mark.parametrize(
    ("part", "matter", "tone", "act"),
    [
        ({"made_of": ["aluminium"]}, "Aluminium never goes in", Tone.IN_THE_WAY, "Do not hang it in."),
        ({"made_of": ["wood or bark", "aluminium"]}, "Aluminium never goes in", Tone.IN_THE_WAY, "Do not hang it in."),
        (
            {"made_of": ["copper or brass", "wood or bark"]},
            "Wood or bark goes in only sealed",
            Tone.IN_THE_WAY,
            "Seal it in every pore first.",
        ),
        (
            {"made_of": ["wood or bark"], "sealed": True, "coat": "silver"},
            "It may go in",
            Tone.TO_DO,
            "Begin at 0.27 A/dm²: all of it starts at once.",
        ),
        (
            {"made_of": ["wood or bark"], "sealed": True, "coat": "graphite"},
            "It may go in",
            Tone.TO_DO,
            "Begin at 0.27 A/dm², in the first minutes on the ring by the wire.",
        ),
        ({"made_of": ["copper or brass"]}, "It may go in", Tone.TO_DO, "Connect it, switch on, then immerse."),
        ({"coat": "graphite"}, "What is it made of", Tone.NOT_SETTLED, "Say what it is made of first."),
    ],
)
def test_a_part_may_go_in_or_not(part, matter, tone, act):
    said = prepared(**part)
    assert said.matter.startswith(matter)
    assert (said.tone, said.act) == (tone, act)


@pytest.mark.parametrize("coat", [{}, {"coat": "graphite"}])
def test_a_part_of_unknown_material_is_not_told_to_go_in(coat):
    assert prepared(made_of=[], **coat).act == "Say what it is made of first."


def test_what_to_buy_is_named_with_amounts():
    nothing = shopping_headline(shop(read_sheet({"bath": {"volume": "5 L"}, "gear": {"have": list(GEAR)}})))
    assert nothing.tone is not Tone.TO_DO
    asked = {"bath": {"volume": "5 L"}, "buy": {"months": 3, "water": "2 L", "carbon": 1}}
    said = shopping_headline(shop(read_sheet(asked)))
    assert said.act.startswith("Buy 26.1 L of distilled water, 15 g of activated carbon")
    assert said.matter.startswith("For 3 months")
    more = {"months": 1, "water": "2 L", "bath": "1 L", "carbon": 1}
    found = shop(read_sheet({"bath": {"volume": "5 L"}, "buy": more}))
    short = [basket.need for basket in found.baskets if basket.need.short > 0]
    assert len(short) > 4
    said = shopping_headline(found)
    assert said.matter == "For 1 month"
    assert said.act.endswith(f" L of distilled water, {len(short) - 3} more.")
    assert "more" not in shopping_headline(replace(found, baskets=found.baskets[:3])).act
    assert shopping_headline(replace(found, baskets=())).tone is Tone.NOT_SETTLED
