"""The guided check: a few taps and two typed numbers from an empty sheet to a verdict with a dose."""

import re
from types import SimpleNamespace

import pytest
import streamlit as st

from advisor.basis.fields import Fault, InputError, asked_fields, fields_of
from advisor.basis.places import PAGES
from advisor.bench.cards import READ, begun
from advisor.check.advise import advise
from advisor.readings import KINDS
from advisor.sheet import Bath, read_sheet
from advisor.ui.parts import guided
from advisor.ui.session import state
from tests.widgets import has_sheet_field, said, sheet_field, text_of, turn_to, unfold

GEAR = ("10 mL syringe", "baking soda")


@pytest.fixture
def check(new_visit):
    return turn_to(new_visit(), "check.py")


def go_on(app):
    keys = [button.key for button in app.button]
    app.button(key="guided_next" if "guided_next" in keys else "guided_skip").click().run()
    assert not app.exception


def tell_tools(app, *tools):
    """Answer the first two questions, each with what is typed or tapped in the moment of the tap on Next."""
    sheet_field(app.text_input, "sheet_bath_volume").input("5")
    go_on(app)
    for tool in tools:
        sheet_field(app.button_group, "sheet_gear_have").select(tool)
    go_on(app)


def at_the_test(app):
    """Comes to the only test that a syringe and soda allow, which begins at once."""
    tell_tools(app, *GEAR)
    assert app.title[0].value == "Acid titration"


def test_a_step_that_names_another_card_leads_to_it_and_the_test_waits(check):
    at_the_test(check)
    check.button(key="guided_1_sampling").click().run()
    assert not check.exception
    assert check.selectbox(key="methods_kind").value == "sampling"
    assert turn_to(check, "check.py").title[0].value == "Acid titration"


def test_only_a_sheet_that_held_no_reading_at_first_is_asked_one_by_one(monkeypatch):
    monkeypatch.setattr(st, "session_state", {"sheet": {}})
    monkeypatch.setattr(st, "query_params", {})
    assert guided.wanted()
    state.add_reading("hydrometer")
    assert guided.wanted()  # it began without
    state.load({"reading": [{"kind": "hydrometer"}]})
    assert not guided.wanted()
    guided.choose(state.STEPS)
    assert guided.wanted()
    st.query_params["way"] = "all"
    assert not guided.wanted()


def test_each_question_says_which_bath_it_is_about(check):
    unnamed = said(check)
    check.session_state["sheet"] = {"bath": {"name": "Big <tank>", "volume": "5 L"}}
    whose = '<p class="from">Big &lt;tank&gt;</p>'
    shown = [whose in said(check.run())]
    for _ in guided.TITLES[1:]:
        go_on(check)
        shown.append(whose in said(check))
    assert '<p class="from"></p>' not in unnamed
    assert shown == [True] * len(guided.TITLES)


def test_from_an_empty_sheet_to_a_dose(check):
    assert check.title[0].value == "How much bath is in the tank?"
    assert "1 of 4" in said(check)
    at_the_test(check)
    assert "4 of 4" in said(check)
    assert "About 20 minutes. A measured sample titrated with soda gives the free acid." in text_of(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    sheet = read_sheet(check.session_state["sheet"])
    assert sheet.readings[0].titrant == "sodium bicarbonate"
    # The card keeps to the plan that the test was begun with: its own result must not change its sample.
    sample = sheet.readings[0].sample.text
    assert any(f"{sample} of bath" in box.label.replace("\N{NO-BREAK SPACE}", " ") for box in check.checkbox)
    advice = advise(sheet)
    assert advice.steps
    assert check.button(key="guided_next").label == "See the answer"
    go_on(check)
    assert any(button.key == "glance_correct" for button in check.button)


def test_back_loses_nothing_and_the_other_page_has_the_same(check):
    at_the_test(check)
    check.button(key="told_change_0").click().run()
    assert sheet_field(check.text_input, "sheet_bath_volume").value == "5 L"
    check.button(key="check_all").click().run()
    assert check.title[0].value == "Check your bath"
    assert sheet_field(check.text_input, "sheet_bath_volume").value == "5 L"
    check.button(key="check_steps").click().run()
    assert check.title[0].value == "How much bath is in the tank?"


def test_all_may_be_skipped_and_the_missing_is_asked_for(check):
    for _ in range(4):  # the volume takes two
        go_on(check)
    assert has_sheet_field(check.text_input, "sheet_bath_volume_plan")


@pytest.mark.parametrize("kind", READ)
def test_a_test_begun_lacks_only_what_is_read(kind):
    raw = {"bath": {"volume": "5 L"}, "gear": {"have": list(GEAR)}}
    fields = begun(kind, read_sheet(raw))
    assert not set(fields) & set(READ[kind])
    with pytest.raises(Exception, match=r"reading 1") as missing:
        read_sheet({**raw, "reading": [{"kind": kind, **fields}]})
    assert {error.place for error in missing.value.errors} <= {f"reading 1: {name}" for name in READ[kind]}


def test_the_browsers_back_leads_to_the_question_before_and_keeps_what_was_told(check):
    sheet_field(check.text_input, "sheet_bath_volume").input("5").run()
    assert "question" not in check.query_params
    go_on(check)
    assert check.query_params["question"] == "2"
    go_on(check)
    check.query_params["question"] = "2"  # what the browser sends when it goes back
    check.run()
    assert check.title[0].value == "What do you have to hand?"
    del check.query_params["question"]
    check.run()
    assert check.title[0].value == "How much bath is in the tank?"
    assert sheet_field(check.text_input, "sheet_bath_volume").value == "5 L"


def test_who_comes_from_another_page_goes_on_where_the_check_was_left(check):
    sheet_field(check.text_input, "sheet_bath_volume").input("5").run()
    go_on(check)
    check.switch_page(str(PAGES / "mix.py")).run()
    del check.query_params["question"]
    check.switch_page(str(PAGES / "check.py")).run()
    assert check.title[0].value == "What do you have to hand?"


def test_an_empty_volume_is_asked_for_once_more_and_may_be_passed_over(check):
    go_on(check)
    assert check.title[0].value == "How much bath is in the tank?"
    assert "Needed: no dose can be told without it" in said(check)
    go_on(check)
    assert check.title[0].value == "What do you have to hand?"


def test_a_volume_typed_in_the_moment_of_the_tap_is_an_answer(check):
    sheet_field(check.text_input, "sheet_bath_volume").input("5")
    go_on(check)
    assert check.title[0].value == "What do you have to hand?"


def test_another_test_is_the_next_worth_doing_and_not_the_one_that_is_done(check):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    go_on(check)
    check.button(key="guided_again").click().run()
    assert check.title[0].value == "What got into the bath?"  # the acid alone did not hang on it
    go_on(check)
    assert check.title[0].value == "Do this test"
    assert not has_sheet_field(check.text_input, "sheet_reading_1_used")
    assert any((button.key or "").startswith("guided_start_") for button in check.button)
    go_on(check)
    check.button(key="told_change_reading_1").click().run()
    assert check.title[0].value == "Acid titration"  # to change it leads to the test itself


def test_two_readings_of_one_kind_to_be_repeated_are_one_test(check):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("36").run()
    go_on(check)
    check.button(key="guided_again").click().run()
    go_on(check)  # what got in
    unfold(check, "guided_any")
    check.selectbox(key="guided_kind").select("acid titration").run()
    check.button(key="guided_any_acid titration").click().run()
    sheet_field(check.text_input, "sheet_reading_2_used").input("12").run()
    go_on(check)
    check.button(key="guided_again").click().run()
    assert not check.exception
    assert {"Repeat reading 1", "Repeat reading 2"} <= set(re.findall(r"Repeat reading \d", said(check)))
    assert check.button(key="guided_to_1")
    assert check.button(key="guided_to_2")


def test_a_reading_that_fits_none_of_the_others_is_gone_to_with_its_card_and_its_values(check):
    """Three titrations, the middle one of three times as much: what was typed stands there to be mended."""
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("12").run()
    readings = check.session_state["sheet"]["reading"]
    readings += [{**readings[0], "used": "36 mL"}, {**readings[0], "used": "12.3 mL"}]
    go_on(check)
    assert "Acid titration, 36 mL" in said(check)
    check.button(key="guided_again").click().run()
    go_on(check)  # what got in
    assert "Repeat reading 2" in said(check)
    check.button(key="guided_to_2").click().run()
    assert "Reading 2 of 3." in text_of(check)
    assert any(button.key == "guided_remove_2" for button in check.button)
    assert any((box.key or "").startswith("guided_step_2_") for box in check.checkbox)
    assert sheet_field(check.text_input, "sheet_reading_2_used").value == "36 mL"
    assert not has_sheet_field(check.text_input, "sheet_reading_3_used")
    sheet_field(check.text_input, "sheet_reading_2_used").input("12.1 mL").run()
    go_on(check)
    assert "contradict" not in text_of(check)
    check.button(key="told_change_reading_1").click().run()
    assert sheet_field(check.text_input, "sheet_reading_1_used").value == "12 mL"
    check.button(key="told_change_reading_3").click().run()
    assert sheet_field(check.text_input, "sheet_reading_3_used").value == "12.3 mL"


def visit_of(new_visit, question, *readings, have=GEAR):
    """Open a sheet of these readings at a question of the guided check, from 1."""
    app = new_visit()
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}, "gear": {"have": list(have)}, "reading": list(readings)}
    app.session_state["check_way"] = state.STEPS
    app.query_params["question"] = str(question)
    turn_to(app, "check.py")
    assert not app.exception
    return app


def led_to(app):
    """Return the readings that a test to be repeated leads to."""
    return [button.key for button in app.button if re.fullmatch(r"guided_to_\d+", button.key or "")]


BY_SYRINGE = {
    "kind": "acid titration",
    "sample": "10 mL",
    "diluted_to": "100 mL",
    "titrant": "sodium bicarbonate",
    "strength": "0.5 mol/L",
    "strength_from": "weighed",
    "end_point": "first lasting cloud",
    "sample_with": "10 mL syringe",
    "used_with": "10 mL syringe",
}
HYDROMETER = {"kind": "hydrometer", "value": "1.165", "scale": "SG 20/20"}


def test_a_reading_that_is_to_be_repeated_for_two_reasons_is_one_button(new_visit):
    """It contradicts another one, and would be surer with the burette that is there."""
    twice = [{**BY_SYRINGE, "used": used} for used in ("12 mL", "16 mL")]
    check = visit_of(new_visit, 5, *twice, HYDROMETER, have=["50 mL burette"])
    check.button(key="guided_again").click().run()
    assert not check.exception
    assert led_to(check) == ["guided_to_1", "guided_to_2"]


def test_a_reading_that_is_no_longer_there_is_not_gone_to(new_visit):
    """The third is to be repeated; then one is taken out, and another can no longer be read."""
    check = visit_of(new_visit, 5, *({**BY_SYRINGE, "used": used} for used in ("12 mL", "12.3 mL", "36 mL")))
    check.button(key="guided_again").click().run()
    readings = check.session_state["sheet"]["reading"]
    del readings[0]
    readings[0]["used"] = "plenty"
    check.button(key="guided_to_3").click().run()
    assert not check.exception
    assert "Reading 2 of 2." in text_of(check)
    unfold(check, "guided_other_2")
    assert led_to(check) == []


def test_a_test_that_is_begun_is_the_one_that_is_shown_whatever_was_gone_to_before(new_visit):
    """There are two readings once more, as when the first was gone to."""
    check = visit_of(new_visit, 5, *({**BY_SYRINGE, "used": used} for used in ("12 mL", "12.3 mL")))
    check.button(key="told_change_reading_1").click().run()
    assert "Reading 1 of 2." in text_of(check)
    check.button(key="guided_remove_1").click().run()
    unfold(check, "guided_other_1")
    unfold(check, "guided_any")
    check.selectbox(key="guided_kind").select("hydrometer").run()
    check.button(key="guided_any_hydrometer").click().run()
    assert [reading["kind"] for reading in check.session_state["sheet"]["reading"]] == ["acid titration", "hydrometer"]
    assert check.title[0].value == "Hydrometer"


def test_each_reading_is_told_by_what_was_read_last_of_it(new_visit):
    """Of weighings that is the last; a file may have a number without quotes."""
    weighed = {"kind": "weighed density", "empty": "82.1 g", "with_water": "182.1 g", "with_bath": "198.5 g"}
    plated = {"kind": "plated-out copper", "before": "20.00 g", "after": "20.51 g"}
    check = visit_of(
        new_visit, 5, weighed, plated, {**HYDROMETER, "value": 1.165}, {"kind": "pH curve", "points": [[0, 1]]}
    )
    told = text_of(check)
    assert "Reading 1</b><br>Weighed density, 198.5 g<" in told
    assert "Reading 2</b><br>Plated-out copper, 20.51 g<" in told
    assert "Reading 3</b><br>Hydrometer, 1.165<" in told
    assert "Reading 4</b><br>pH curve<" in told
    assert "198.5\N{NO-BREAK SPACE}g" in " ".join(block.proto.body for block in check.get("html"))


def said_under_fields(app):
    told = " ".join(block.proto.body for block in app.get("html") if "field-" in block.proto.body)
    return told.replace("\N{NO-BREAK SPACE}", " ")


def test_where_only_a_test_would_settle_it_the_test_is_the_filled_button_below_that(check):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("10.8").run()
    assert check.button(key="guided_next").label == "See what to measure next"
    go_on(check)
    keys = [button.key for button in check.button]
    assert check.button(key="guided_again").proto.type == "primary"
    assert keys.index("guided_again") < keys.index("saving_check")


def filled(app):
    return [button.key for button in app.button if button.proto.type == "primary"]


def test_each_question_has_one_filled_button_and_nothing_is_missed_before_it_is_asked(check):
    assert "One thing is missing" not in said(check)
    assert filled(check) == ["guided_next"]
    at_the_test(check)
    assert filled(check) == ["guided_next"]  # no other test is pressed upon who is at this one
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    assert filled(check) == ["glance_correct"]


def test_what_is_said_under_a_field_gives_one_example_and_that_in_its_unit(check):
    sheet_field(check.text_input, "sheet_bath_volume").input("ten").run()
    assert 'you gave "ten"; it has no number: write one in digits. Write, for example, 10 L.' in said_under_fields(
        check
    )


@pytest.mark.parametrize(("name", "typed"), [("volume", "a bucket"), ("volume", "-3"), ("temperature", "hot")])
def test_what_cannot_be_used_is_said_before_the_next_question(check, name, typed):
    sheet_field(check.text_input, "sheet_bath_volume").input("5").run()
    sheet_field(check.text_input, f"sheet_bath_{name}").input(typed).run()
    go_on(check)
    assert "Not usable" in said(check)
    assert check.title[0].value == "How much bath is in the tank?"
    sheet_field(check.text_input, f"sheet_bath_{name}").input("20").run()
    go_on(check)
    assert check.title[0].value == "What do you have to hand?"


def contradict(app, question):
    """Give what does not fit together, as a sheet may bring it, in the first question's fold or in the third's chips."""
    clash = {"touched": ["steel", "nothing"]} if question else {"max_volume": "5 L", "min_volume": "7.5 L"}
    app.session_state["sheet"].setdefault("bath", {}).update(clash)
    app.run()


CLASHES = (
    (0, "text_input", "min_volume", 'you gave "7.5 L"; it must not be more than the most'),
    (guided.GOT_IN, "button_group", "touched", 'you gave steel and nothing; "nothing" stands alone'),
)


@pytest.mark.parametrize(("question", "widgets", "name", "told"), CLASHES, ids=("fold", "chips"))
def test_what_contradicts_is_told_in_its_question_which_next_does_not_pass(check, question, widgets, name, told):
    sheet_field(check.text_input, "sheet_bath_volume").input("4.5").run()
    for _ in range(question):
        go_on(check)
    title = check.title[0].value
    contradict(check, question)
    for _ in range(2):
        label = fields_of(Bath)[name].label
        assert f"Not usable: {label}: {told}" in said(check)
        assert has_sheet_field(getattr(check, widgets), f"sheet_bath_{name}")
        go_on(check)
        assert check.title[0].value == title


@pytest.mark.parametrize(("question", "widgets", "name", "told"), CLASHES, ids=("fold", "chips"))
@pytest.mark.parametrize("at", [3, guided.ANSWER])
def test_what_contradicts_in_an_earlier_question_is_never_called_missing(check, question, widgets, name, told, at):
    contradict(check, question)  # before there is any answer
    sheet_field(check.text_input, "sheet_bath_volume").input("4.5").run()
    check.session_state["check_at"] = at
    check.run()
    assert " missing" not in text_of(check)
    assert filled(check) == ["guided_mend"]
    check.button(key="guided_mend").click().run()
    assert check.title[0].value == guided.TITLES[question]
    assert has_sheet_field(getattr(check, widgets), f"sheet_bath_{name}")


def test_nothing_takes_the_place_of_what_touched_the_bath_and_the_other_way_round(check):
    tell_tools(check, "hydrometer")
    for tapped, held in (
        ("steel", ["steel"]),
        ("zinc", ["steel", "zinc"]),
        ("nothing", ["nothing"]),
        ("lead", ["lead"]),
    ):
        sheet_field(check.button_group, "sheet_bath_touched").select(tapped).run()
        assert check.session_state["sheet"]["bath"]["touched"] == held
        assert sheet_field(check.button_group, "sheet_bath_touched").value == held


def test_a_test_that_is_begun_waits_for_its_number_and_is_not_called_skipped(check):
    tell_tools(check, *GEAR, "0.1 g scale")
    assert check.title[0].value == "What got into the bath?"
    go_on(check)
    assert check.title[0].value == "Do this test"  # of two, the person chooses
    assert check.button(key="guided_skip").label == "Skip"
    check.button(key="guided_start_acid titration").click().run()
    assert check.button(key="guided_next").label == "Next"
    assert "Still missing: Titrant used in reading 1." in said(check)
    assert "Fix first" not in said(check)


def go_on_with(check, field, typed):
    """Type into a field of the reading that is asked, and go on."""
    sheet_field(check.text_input, f"sheet_reading_1_{field}").input(typed).run()
    go_on(check)
    return check.title[0].value


def test_a_number_that_cannot_be_used_is_said_before_the_answer(check):
    at_the_test(check)
    assert go_on_with(check, "used", "4,3 apples") == "Acid titration"
    assert "Not usable" in said(check)
    assert go_on_with(check, "used", "4,3") == "Your bath"


def test_a_reading_that_its_scale_does_not_have_is_said_before_the_answer(check):
    tell_tools(check, "hydrometer")
    go_on(check)
    assert go_on_with(check, "value", "1165") == "Hydrometer"
    assert "did you mean 1.165?" in said_under_fields(check)
    assert go_on_with(check, "value", "1,165") == "Your bath"


@pytest.mark.parametrize(
    ("kind", "asked"),
    [
        ("hydrometer", ("value", "scale", "temperature", "calibration")),
        ("weighed density", ("empty", "with_water", "with_bath", "temperature")),
        ("chloride strip", ("value", "lower", "upper", "dilution")),
        ("thinned pH", ("value", "buffer", "second_buffer", "temperature", "water")),
        ("make-up", ("crystals", "purity", "form", "acid", "acid_strength", "water", "final_volume", "since")),
    ],
)
@pytest.mark.parametrize("one_by_one", [True, False])
def test_what_a_card_asks_to_be_entered_stands_in_sight(new_visit, kind, asked, one_by_one):
    """A hydrometer's card asks for its scale and its temperature, which stood folded."""
    app = new_visit()
    planned = read_sheet({"bath": {"volume": "5 L"}})
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}, "reading": [{"kind": kind, **begun(kind, planned)}]}
    app.session_state["check_way"] = state.STEPS if one_by_one else state.ALL
    turn_to(app, "check.py")
    if one_by_one:
        app.query_params["question"] = "4"
        app.run()
        assert "4 of 4" in said(app)
    drawn = [*app.text_input, *app.selectbox, *app.button_group]
    missed = [name for name in asked if not has_sheet_field(drawn, rf"sheet_reading_1_{name}(_part_\d+)?")]
    assert missed == []


def test_a_wrong_number_does_not_hold_up_who_needs_another_sample(check):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("4,3 apples").run()
    check.button(key="told_change_0").click().run()
    sheet_field(check.button_group, "sheet_bath_condition").select("crystals").run()
    for _ in range(4):
        go_on(check)
    assert check.title[0].value == "Your bath"


def test_an_unsound_bath_is_told_how_to_take_a_sample_and_goes_on_from_there(check):
    at_the_test(check)
    check.button(key="told_change_0").click().run()
    sheet_field(check.button_group, "sheet_bath_condition").select("cloudy").run()
    for _ in range(3):
        go_on(check)
    assert check.title[0].value == "First a sound sample"
    assert "may be short of acid" in said(check)
    assert "let it settle half an hour" in said(check)
    check.button(key="guided_sound").click().run()
    assert check.title[0].value == "Acid titration"
    assert "condition" not in check.session_state["sheet"]["bath"]


def test_a_look_at_the_next_test_changes_no_sheet_and_back_keeps_what_was_asked_for(check):
    tell_tools(check, *GEAR, "0.1 g scale")
    go_on(check)
    check.button(key="guided_start_acid titration").click().run()
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    go_on(check)
    check.button(key="guided_again").click().run()
    assert check.title[0].value == "Do this test"
    assert len(check.session_state["sheet"]["reading"]) == 1  # though one test is left
    check.button(key="guided_back").click().run()
    go_on(check)
    assert check.title[0].value == "Do this test"


def test_a_test_that_began_by_itself_is_taken_out_and_does_not_come_back(check):
    at_the_test(check)
    check.button(key="guided_remove_1").click().run()
    assert check.title[0].value == "Do this test"
    assert check.button(key="guided_start_acid titration")


def test_where_the_answer_waits_for_what_got_in_its_filled_button_leads_there(check):
    """SG 1.160 and 52 g/L of acid: inside if nothing got in, and no test that is owned parts salts from copper."""
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("10.8").run()
    check.session_state["sheet"]["reading"].append({"kind": "hydrometer", "value": "1.160", "scale": "SG 20/20"})
    go_on(check)
    assert filled(check) == ["guided_questions"]
    check.button(key="guided_questions").click().run()
    assert check.title[0].value == "What got into the bath?"
    assert "Your answer waits for: soda ever added" in text_of(check)
    nothing = {"soda_added": "0 g", "touched": ["nothing"], "topped_up_with": "distilled water", "anodes": "copper"}
    check.session_state["sheet"]["bath"] |= nothing
    go_on(check)
    assert check.title[0].value == "Your bath"  # and no test that is done is passed once more
    assert "guided_questions" not in [button.key for button in check.button]


def test_the_button_of_an_answer_of_before_leads_to_the_question_whose_field_it_waits_for(check):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    go_on(check)
    assert filled(check) == ["glance_correct"]
    check.session_state["sheet"]["reading"].append({"kind": "hydrometer", "scale": "SG 20/20"})
    check.run()
    assert filled(check) == ["guided_mend"]
    assert check.button(key="guided_mend").label == "To what is missing"
    check.button(key="guided_mend").click().run()
    assert check.title[0].value == "Hydrometer"
    assert has_sheet_field(check.text_input, "sheet_reading_2_value")


@pytest.mark.parametrize(
    ("place", "name", "titled"),
    [
        ("bath", "soda_added", "What got into the bath?"),
        ("bath", "temperature", "How much bath is in the tank?"),
        ("bath", "coldest", "How much bath is in the tank?"),
        ("reading_1", "used", "Acid titration"),
        ("reading_1", "sample", "Acid titration"),
        ("reading_2", "value", "Hydrometer"),
    ],
)
def test_the_button_of_an_answer_of_before_leads_to_where_the_field_to_fix_is_drawn(check, place, name, titled):
    at_the_test(check)
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    go_on(check)
    sheet = check.session_state["sheet"]
    sheet["reading"].append({"kind": "hydrometer", "scale": "SG 20/20", "value": "1.15"})
    check.run()
    table = sheet["bath"] if place == "bath" else sheet["reading"][int(place[-1]) - 1]
    table[name] = "plenty"
    check.run()
    assert check.button(key="guided_mend").label == "To the field to fix"
    check.button(key="guided_mend").click().run()
    assert check.title[0].value == titled
    assert has_sheet_field(check.text_input, f"sheet_{place}_{name}")


def test_a_test_that_lacks_a_tool_does_not_begin_by_itself(check):
    tell_tools(check, "10 mL syringe")
    assert check.title[0].value == "Do this test"
    assert "reading" not in check.session_state["sheet"]


def test_what_got_in_stands_one_step_back_from_the_test(check):
    at_the_test(check)
    check.button(key="guided_back").click().run()
    assert check.title[0].value == "What got into the bath?"
    go_on(check)
    assert check.title[0].value == "Acid titration"
    assert len(check.session_state["sheet"]["reading"]) == 1
    sheet_field(check.text_input, "sheet_reading_1_used").input("4.3").run()
    go_on(check)
    check.button(key="guided_again").click().run()
    assert check.title[0].value == "Do this test"  # what got in was asked for already


WHAT_GOT_IN = (
    {"touched": ["steel", "zinc"], "soda_added": "100 g"},
    {"touched": ["galvanised steel", "brass"], "topped_up_with": "tap water"},
    {"touched": ["nothing"], "topped_up_with": "distilled water", "soda_added": "0 g", "anodes": "copper"},
)


@pytest.mark.parametrize("kind", guided.UNMOVED)
@pytest.mark.parametrize("got_in", WHAT_GOT_IN)
def test_what_got_in_does_not_move_what_is_read_without_asking_for_it(kind, got_in):
    raw = {"bath": {"volume": "5 L"}, "gear": {"have": list(GEAR)}}
    reading = {"kind": kind, **begun(kind, read_sheet(raw)), "used": "4.3 mL"}
    unasked, asked = (
        advise(read_sheet({**raw, "bath": {**raw["bath"], **more}, "reading": [reading]})) for more in ({}, got_in)
    )
    assert asked.state is unasked.state
    doses = [advice.steps[0].numbers["volume_mL"] for advice in (unasked, asked)]
    assert doses[1] == pytest.approx(doses[0], rel=0.015)  # its own ± is a fifth


# --- Where what is wrong is mended, and what a line tells of a reading ----------------------------


@pytest.mark.parametrize(
    ("place", "question"),
    [
        ("bath: volume", guided.TANK),
        ("bath: touched row 2", guided.GOT_IN),
        ("gear: have", guided.TOOLS),
        ("reading 2: used", guided.TEST),
        ("stock.acid: strength", None),
        ("plate: area", None),
    ],
)
def test_each_place_is_mended_at_the_question_that_asks_for_it(place, question):
    assert guided.question_of(place) == question


@pytest.mark.parametrize(
    ("place", "fault", "has_steps", "question", "is_to_mend"),
    [
        ("bath: volume", Fault.NOT_USABLE, False, None, True),
        ("bath: volume", Fault.MISSING, False, None, False),  # it is yet to come
        ("bath: volume", Fault.MISSING, True, None, True),  # steps of before are greyed for it
        ("bath", Fault.NOT_USABLE, False, None, False),  # it has no field
        ("stock.acid: strength", Fault.NOT_USABLE, False, None, True),
        ("stock.acid: strength", Fault.NOT_USABLE, False, guided.TANK, False),  # no question asks for it
        ("reading 1: used", Fault.NOT_USABLE, False, guided.TANK, True),
    ],
)
def test_only_what_is_wrong_and_has_a_field_is_led_to(monkeypatch, place, fault, has_steps, question, is_to_mend):
    monkeypatch.setattr(state, "question", lambda: question)
    answer = SimpleNamespace(steps=("a step",)) if has_steps else None
    entry = state.Typed(None, {place: InputError(place, "", "", fault)}, answer, None)
    assert guided._is_to_mend(place, entry) == is_to_mend


def test_a_line_tells_one_field_of_each_kind_and_no_list_of_points():
    assert set(READ) - set(guided.TELLS) == {"photo colour", "pH curve"}
    assert all(name in asked_fields(KINDS[kind]) for kind, name in guided.TELLS.items())


def test_what_was_told_to_a_question_is_said_in_a_line(monkeypatch):
    bath = {"volume": "5 L", "temperature": "19 degC", "touched": ["brass", "steel"]}
    parts = {"bath": bath, "gear": {"have": ["jars", "hydrometer"]}}
    monkeypatch.setattr(state, "part", lambda name: parts.get(name, {}))
    touched = fields_of(Bath)["touched"].label
    told = ["5 L, 19 °C", "jars, hydrometer", f"{touched}: brass, steel", "not answered yet"]
    assert [guided._said(number) for number in range(guided.ANSWER)] == told
