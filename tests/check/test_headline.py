"""The answer in one glance says what the whole answer says, in a few words."""

import functools
from dataclasses import replace

import pytest

from advisor.basis.components import SALT_AND_ACID
from advisor.check.advise import advise
from advisor.check.correction import AT_ANY_WARMTH, THE_COLD, Bind
from advisor.check.headline import Tone, doses, headline, in_full, matters, short_dose, standing, under_way
from advisor.check.steps import step_amount
from advisor.check.window import Verdict
from advisor.examples import EXAMPLES, example_text
from advisor.sheet import parse_sheet, read_sheet
from advisor.words.lines import Units, in_units
from advisor.words.states import PlanState
from tests.check.test_granted import ACID as SODA
from tests.some_sheets import ANSWERED, ANSWERS, checked


@functools.cache
def answer_to(name):
    """Return the advice on a sheet of `ANSWERS`; several tests read the same one."""
    return advise(read_sheet(ANSWERS[name]))


def verdict(state, low=0.0, inside=0.0, high=0.0):
    return Verdict(state, low, inside, high, (30.0, 75.0))


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_step_stands_in_the_sentence_and_acid_never_without_its_caution(name):
    advice = advise(parse_sheet(example_text(name).encode()))
    said = headline(advice)
    assert said.tone is Tone.TO_DO
    assert said.act.count(",") == len(advice.steps) - 1
    acid = any(step.what == "sulfuric acid" for step in advice.steps)
    assert any("never liquid into acid" in text for text in said.beside) == acid


@pytest.mark.parametrize("name", ANSWERS)
@pytest.mark.parametrize("units", Units)
def test_a_glance_has_sixty_words_at_most_with_its_mark(name, units):
    said = headline(answer_to(name))
    words = " ".join(in_units(text, units) for text in (said.matter, said.act, *said.beside)).split()
    assert len(words) + 1 <= 60


def test_the_answers_that_are_counted_are_of_every_kind():
    assert {answer_to(name).state for name in ANSWERS} == {*PlanState}


@pytest.mark.parametrize("name", ANSWERS)
def test_what_a_glance_shortens_or_leaves_out_is_said_in_full(name):
    advice = answer_to(name)
    said = headline(advice).beside
    assert {*advice.plan.why} <= {*said, *in_full(advice)}
    assert not {*said} & {*in_full(advice)}
    if advice.steps and not advice.plan.may_lie_on_the_floor:
        assert any(" sure." in text or " probability." in text for text in said)  # how surely it lands


def test_crystals_on_the_floor_are_warned_of_in_the_glance_itself():
    said = headline(answer_to("crystals on the floor"))
    assert "Only then add salts or acid." in said.beside[0]


def test_where_the_cold_stands_in_the_way_the_temperature_to_keep_is_what_to_do():
    raw = checked("190 ± 15", "70 ± 4", coldest="9 degC", max_volume="5.7 L")
    advice = advise(read_sheet(raw))
    assert [bind.limit for bind in advice.plan.binds] == ["the cold"]
    assert headline(advice).matter == "Too cold for this window"
    assert (
        headline(advice).act
        == "First warm it above 11 °C and keep it there. Until then add nothing: the cold is in the way."
    )
    assert any("keep the bath above 11 °C, or choose a window with less copper" in text for text in in_full(advice))


ACID, COLD = Bind("the acid on hand", "", 0.9), Bind(THE_COLD, "", 0.9, keep_above=12.0)
WARM_IT = "First warm it above 12 °C and keep it there. Until then add nothing: the cold is in the way."
STOPS = "Add nothing. What stands in the way: "
MEASURE = "Add nothing yet: measure first."
REPEAT = "Take nothing out, add nothing: repeat {} reading first."
SAY_FIRST = "Add nothing yet: first say what may have got into the bath."
TOO_STRONG = "Too strong for the cold"
NO_WARMTH = "No warmth will do: thin it, and choose a window with less copper sulfate or acid."


@pytest.mark.parametrize(
    ("state", "plan", "acid", "matter", "act"),
    [
        (PlanState.NOT_POSSIBLE, {"binds": (ACID,)}, "in", "Not as things stand", f"{STOPS}the acid on hand."),
        (
            PlanState.NOT_POSSIBLE,
            {"binds": (ACID, COLD)},
            "in",
            "Not as things stand",
            f"{STOPS}the acid on hand and the cold. Keep it above 12 °C.",
        ),
        (PlanState.NOT_POSSIBLE, {}, "in", "Not as things stand", f"{STOPS}more than two limits at once."),
        (
            PlanState.NOT_POSSIBLE,
            {"binds": (Bind(AT_ANY_WARMTH, "", 0.9),)},
            "in",
            "Not as things stand",
            f"{STOPS}what stays dissolved.",
        ),
        (PlanState.NOT_POSSIBLE, {"binds": (COLD,)}, "in", "Too cold for this window", WARM_IT),
        (PlanState.NOT_POSSIBLE, {"binds": (COLD,)}, "low", "Too little acid", WARM_IT),
        (PlanState.NOT_POSSIBLE, {"binds": (COLD,)}, "high", "Too much acid", WARM_IT),
        (PlanState.FIRST_PART, {"binds": (COLD,)}, "in", "The level is low", MEASURE),
        (PlanState.TOO_COLD, {"keep_above": 12.0}, "in", TOO_STRONG, "Keep it above 12 °C."),
        (PlanState.TOO_COLD, {}, "in", TOO_STRONG, NO_WARMTH),
        (PlanState.REPEAT_FIRST, {"repeat": (1,)}, "in", "The readings disagree", REPEAT.format("the")),
        (PlanState.REPEAT_FIRST, {"repeat": (1, 2)}, "in", "The readings disagree", REPEAT.format("a")),
        (PlanState.MEASURE_FIRST, {"asks": ("soda_added",)}, "in", "Not settled yet", SAY_FIRST),
    ],
)
def test_what_stands_in_the_way_is_said_with_what_to_do_about_it(state, plan, acid, matter, act):
    advice = answer_to("nothing needed")
    blocked = "by something" if state is PlanState.NOT_POSSIBLE else None
    known = replace(advice.known, verdict={**advice.known.verdict, "sulfuric_acid": verdict(acid)})
    said = headline(replace(advice, known=known, plan=replace(advice.plan, state=state, blocked_by=blocked, **plan)))
    assert (said.matter, said.act) == (matter, act)
    in_the_way = state in (PlanState.NOT_POSSIBLE, PlanState.TOO_COLD)
    assert said.tone is (Tone.IN_THE_WAY if in_the_way else Tone.NOT_SETTLED)


def test_a_bath_in_another_window_has_that_named():
    said = headline(answer_to("another window"))
    assert said.act == "Take nothing out: if that is the bath you keep, choose the window “high throw”."
    unsound = headline(answer_to("no sound sample, for two reasons"))
    assert (unsound.matter, unsound.act) == ("No sound sample yet", "Add nothing yet.")


def test_a_dose_of_acid_whose_strength_nobody_told_says_that_it_is_an_if():
    low = checked("221 ± 6", "20 ± 2")
    untold = advise(read_sheet(low)).steps[-1]
    assert short_dose(untold).endswith("mL acid (96 %?)")
    assert " mL of sulfuric acid taken to be 96 % (" in step_amount(untold)
    told = advise(read_sheet(low | {"stock": {"acid": {"strength": "96 %"}}})).steps[-1]
    assert short_dose(told).endswith("mL acid (96 %)")
    assert " mL of sulfuric acid of 96 % (" in step_amount(told)


def test_the_verb_is_said_once_and_again_where_it_changes():
    steps = advise(parse_sheet(example_text("dull").encode())).steps
    assert doses(steps) == "Add 256 g crystals, then 410 mL acid (37 %)."
    out = replace(steps[0], do="take out", what="bath", numbers={"volume_L": 0.5})
    assert doses((out, *steps)) == "Take out 0.50 L bath, then add 256 g crystals, then 410 mL acid (37 %)."
    strong = replace(steps[1], numbers={"volume_mL": 82.0, "strength_mass_fraction": 0.96})
    assert doses((strong,)) == "Add 82 mL acid (96 %)."
    three = (out, *steps)
    under = [under_way(three, done) for done in ((), {1}, {1, 3}, {1, 2, 3})]
    assert [said.matter for said in under] == [
        "0 of 3 steps are done", "1 of 3 steps is done", "2 of 3 steps are done", "The correction is done",
    ]  # fmt: skip
    assert [said.act for said in under[1:3]] == ["Add 256 g crystals, then 410 mL acid (37 %).", "Add 256 g crystals."]
    assert [any("never liquid into acid" in text for text in said.beside) for said in under] == [
        True,
        True,
        False,
        False,
    ]


@pytest.mark.parametrize(
    ("copper", "acid", "said"),
    [
        (verdict("in"), verdict("low"), "Too little acid"),
        (verdict("unsure", 0.8, 0.2), verdict("high"), "Too much acid, copper likely too low"),
        (
            verdict("unsure", 0.89, 0.09, 0.02),
            verdict("unsure", 0.29, 0.25, 0.46),
            "Copper likely too low, acid as likely as not too high",
        ),
        (verdict("in"), verdict("unsure", 0.44, 0.3, 0.26), "Acid perhaps too low"),
        (verdict("in"), verdict("in"), "Inside the window"),
        (verdict("unsure", 0.2, 0.7, 0.1), verdict("in"), "Copper not settled"),
        (verdict("not measured"), verdict("in"), "Copper not settled"),
        (verdict("not measured"), verdict("not measured"), "Nothing is measured yet"),
    ],
)
def test_what_is_the_matter(copper, acid, said):
    assert matters({"copper_sulfate": copper, "sulfuric_acid": acid}) == said


CHECKED = {"kind": "previous check", "since": "evaporation only"}


@pytest.mark.parametrize(
    ("state", "matter", "copper", "acid", "bath"),
    [
        ("none needed", "Inside the window", "221 ± 6", "52 ± 4", {}),
        ("measure first", "Chloride not settled", "221 ± 6", "52 ± 4", {"additives": True}),
        (
            "possible",
            "The tank is too full",
            "221 ± 6",
            "52 ± 4",
            {"volume": "6.8 L", "max_volume": "6.5 L", "usual_volume": "6.5 L"},
        ),
        ("possible", "The level is low", "221 ± 6", "52 ± 4", {"volume": "5.4 L", "usual_volume": "5.6 L"}),
        ("too cold", "Too strong for the cold", "234 ± 6", "64 ± 4", {"coldest": "3 degC"}),
        ("too cold", "Too strong for the cold", "240 ± 6", "60 ± 3", {"coldest": "12 degC", "max_volume": "6.5 L"}),
        ("wrong window", "In another window", "63 ± 4", "199 ± 8", {}),
        ("repeat first", "Too much copper", "290 ± 6", "50 ± 4", {}),
        ("first part", "Too little copper", "120 ± 50", "52 ± 4", {}),
    ],
)
def test_only_where_nothing_is_needed_all_is_called_inside(state, matter, copper, acid, bath):
    advice = advise(read_sheet(checked(copper, acid, **bath)))
    said = headline(advice)
    assert (advice.state, said.matter) == (state, matter)
    assert (said.tone is Tone.INSIDE) == (state == "none needed")
    assert ("Nothing to add" in said.act) == (state == "none needed")


def test_where_a_component_stands_has_a_shape_and_words():
    assert standing(verdict("low")) == ("▼", "too low")
    assert standing(verdict("unsure", 0.8, 0.2)) == ("◐", "likely too low, 80 %")
    assert standing(verdict("unsure", 0.3, 0.4, 0.3)) == ("◐", "perhaps inside, 40 %")


@pytest.mark.parametrize(
    ("chance", "word"),
    [
        (0.601, "likely too low, 60 %"),
        (0.596, "likely too low, 60 %"),
        (0.594, "as likely as not too low, 59 %"),
        (0.51, "as likely as not too low, 51 %"),
        (0.446, "as likely as not too low, 45 %"),
        (0.44, "perhaps too low, 44 %"),
    ],
)
def test_likely_begins_at_the_60_percent_that_are_shown(chance, word):
    """About a half is as likely as not: at 51 % it was called likely."""
    assert standing(verdict("unsure", chance, 1 - chance - 0.2, 0.2))[1] == word


def test_the_limit_in_the_way_is_named_whole():
    """300 g short and 20 g on hand: what is in the way is named, and no sentence is cut at a sign."""
    table = {"bath": {"volume": "5.6 L", **ANSWERED}, "stock": {"crystals": {"on_hand": "20 g"}}}
    table["reading"] = [CHECKED | {"copper_sulfate": "120 ± 5 g/L", "sulfuric_acid": "52 ± 3 g/L"}]
    advice = advise(read_sheet(table))
    assert headline(advice).act == "Add nothing. What stands in the way: the crystals on hand."


def test_nothing_is_said_to_land_that_nobody_measured():
    reading = CHECKED | {"sulfuric_acid": "20 ± 2 g/L"}
    advice = advise(read_sheet({"bath": {"volume": "5 L", **ANSWERED}, "reading": [reading]}))
    said = " ".join(headline(advice).beside)
    assert "A first part only: after it acid is inside the window with" in said
    assert "bath lands" not in said


def test_without_a_reading_it_says_what_to_measure():
    said = headline(advise(parse_sheet(b'[bath]\nvolume = "5 L"\n')))
    assert said.tone is Tone.NOT_SETTLED
    assert said.act == "Add nothing yet: measure first, best by acid titration."


@pytest.mark.parametrize(
    ("have", "readings", "best"),
    [
        (["10 mL syringe", "jars"], [], "colour match"),
        (["10 mL syringe"], [], "acid titration, once you have baking soda"),
        (["10 mL syringe", "baking soda"], [SODA], "hydrometer, once you have one"),
        (["10 mL syringe", "baking soda", "hydrometer"], [SODA], "hydrometer"),
    ],
)
def test_what_to_measure_with_is_not_said_as_if_it_were_owned(have, readings, best):
    bath = {"volume": "5 L", **ANSWERED}
    said = headline(advise(read_sheet({"bath": bath, "gear": {"have": have}, "reading": readings})))
    assert said.act == f"Add nothing yet: measure first, best by {best}."


def test_a_reading_to_take_again_is_asked_for_as_that():
    """“Best by hydrometer” was said where the hydrometer had been read, and contradicted the weighing."""
    acid = {"kind": "acid titration", "titrant": "sodium carbonate", "sample": "10 mL", "diluted_to": "100 mL"}
    acid |= {"strength": "0.25 mol/L", "used": "20 mL", "end_point": "methyl orange"}
    floats = [{"kind": "hydrometer", "value": value, "scale": "SG 20/20"} for value in ("1.10", "1.20")]
    said = headline(advise(read_sheet({"bath": {"volume": "5 L"}, "reading": [acid, *floats]})))
    assert said.act == "Add nothing yet: first repeat reading 2 (hydrometer)."


def test_readings_that_contradict_each_other_are_what_is_the_matter():
    """The ± that they leave is as wide as they differ, so the rest of the glance would read as if nothing was measured."""
    reading = '\n[[reading]]\nkind = "laboratory report"\ncopper_sulfate = "{} ± 8 g/L"\nsulfuric_acid = "55 ± 3 g/L"'
    bath = '[bath]\nvolume = "5 L"' + reading.format(220)
    assert (
        headline(advise(parse_sheet((bath + reading.format(330)).encode()))).matter
        == "Your readings contradict each other"
    )
    assert headline(advise(parse_sheet((bath + reading.format(221)).encode()))).matter == "Inside the window"


@pytest.mark.parametrize("density", ["1.12", "1.19"])
def test_a_headline_is_no_surer_than_the_rows_below_it(density):
    reading = {"kind": "hydrometer", "value": density, "scale": "SG 20/20"}
    advice = advise(read_sheet({"bath": {"volume": "5.6 L"}, "reading": [reading]}))
    rows = [standing(advice.verdict[name])[1].split(",")[0] for name in SALT_AND_ACID]
    likely = [row.partition(" too ")[0] for row in rows]
    assert sorted(likely) == ["as likely as not", "likely"]
    assert headline(advice).matter == f"Copper {rows[0]}, acid {rows[1]}"
    result = advice.sections()[0].lines
    assert [f", {word} " in text for word, text in zip(likely, result, strict=False)] == [True, True]


def test_nothing_is_dosed_on_what_the_readings_leave_open():
    """Twice the same density: copper 0 to 250 g/L, whichever the acid is. A first part of crystals lands nowhere."""
    reading = {"kind": "hydrometer", "value": "1.12", "scale": "SG 20/20"}
    advice = advise(read_sheet({"bath": {"volume": "5.6 L"}, "reading": [reading, reading]}))
    said = headline(advice)
    assert (advice.steps, said.tone) == ((), Tone.NOT_SETTLED)
    assert said.act == "Add nothing yet: measure first, best by acid titration."


def test_a_first_part_of_water_says_that_it_brings_the_level():
    report = {"kind": "laboratory report", "copper_sulfate": "150 ± 60 g/L", "sulfuric_acid": "90 ± 4 g/L"}
    advice = advise(read_sheet({"bath": {"volume": "4.6 L", "usual_volume": "5.6 L"}, "reading": [report]}))
    level = f"{advice.plan.after.volume:.2f} L"
    also = "It also thins what is too high: sulfuric acid."  # 3 % past the usual level
    assert (
        headline(advice).beside[0] == f"A first part only. This brings the level to {level}. {also} Then measure again."
    )


def test_a_first_part_that_settles_what_was_measured_tells_how_surely():
    report = {"kind": "laboratory report", "sulfuric_acid": "84 ± 2 g/L"}
    advice = advise(read_sheet({"bath": {"volume": "4.6 L", "usual_volume": "5.6 L"}, "reading": [report]}))
    assert [step.what for step in advice.steps] == ["water"]
    assert "acid is inside the window with" in headline(advice).beside[0]


def test_who_ends_near_an_edge_reads_what_the_middle_would_take():
    """5.5 L with 30 ± 5 g/L of acid: battery acid of 37 % to the middle would lift the level by 5 %, so it stays below."""
    found = {"kind": "previous check", "since": "evaporation only", "copper_sulfate": "195 ± 10 g/L"}
    raw = {"bath": {"volume": "5.5 L"}, "reading": [{**found, "sulfuric_acid": "30 ± 5 g/L"}]}
    advice = advise(read_sheet({**raw, "stock": {"acid": {"strength": "37 %"}}}))
    assert any("To end in the middle instead would take" in text for text in in_full(advice))
