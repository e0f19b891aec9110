"""The card to correct a bath by: what was really used, the bath then, and that nothing is added twice."""

import datetime
import re
from copy import deepcopy

import pytest

from advisor.basis.places import PAGES
from advisor.basis.units import parse
from advisor.check.advise import advise
from advisor.check.steps import SAID_BY_THE_STEP, salt_acts
from advisor.check.what_if import as_used
from advisor.record.entries import AcidAdded, Check, CrystalsAdded, Withdrawn
from advisor.record.logbook import Logbook
from advisor.sheet import read_sheet
from advisor.ui.session import ticks
from advisor.words.cautions import caution
from advisor.words.dates import said as day_said
from advisor.words.lines import Units
from tests.record.some_entries import DONE_OF_DULL
from tests.widgets import sheet_field


@pytest.fixture
def correct(app_test):
    return app_test("correct.py", "dull")


@pytest.fixture
def named(correct):
    """The correction of a bath of one's own that has a name."""
    correct.session_state["example"] = False
    correct.session_state["sheet"]["bath"]["name"] = "Shed tank"
    return correct.run()


def boxes(app):
    """Return which of the steps shown are ticked."""
    return [box.value for box in app.checkbox if box.key.startswith("correct_done")]


def said(app):
    drawn = [*(str(block.proto.body) for block in app.get("html")), *(block.value for block in app.markdown)]
    return " ".join(drawn).replace("\N{NO-BREAK SPACE}", " ")


def test_where_nothing_may_be_added_it_says_what_to_do_as_the_page_check_does(correct):
    report = {"kind": "laboratory report", "copper_sulfate": "245 ± 4 g/L", "sulfuric_acid": "55 ± 3 g/L"}
    sheet = correct.session_state["sheet"]
    sheet["bath"]["coldest"], sheet["reading"] = "2 degC", [report]
    told = said(correct.run())
    assert "Too cold for this window" in told
    assert "First warm it above 6 °C" in told
    assert "What stands in the way is the cold: at 2 °C" in told


def test_a_step_that_is_done_asks_what_was_really_used_and_says_the_bath_now(correct):
    assert "The bath now" not in said(correct)
    correct.checkbox(key="correct_done_1").check().run()
    field = correct.text_input(key="correct_used_1")
    assert field.value == "256 g"
    planned = said(correct)
    field.input("300").run()
    assert "The bath now:" in planned
    assert said(correct) != planned


def test_one_bath_has_the_same_litres_in_the_steps_and_by_the_ticks(correct):
    """Water that is only measured out is not said to be in the tank."""
    sheet = correct.session_state["sheet"]
    sheet["bath"] |= {"volume": "4.5 L", "usual_volume": "6 L"}
    held = {"copper_sulfate": "120 ± 6 g/L", "sulfuric_acid": "10 ± 3 g/L"}
    sheet["reading"] = [{"kind": "previous check", "since": "evaporation only", **held}]
    last = re.findall(r"Then: ([\d.]+ L)", said(correct.run()))[-1]
    correct.checkbox(key="correct_done_1").check().run()
    assert "The bath now" not in said(correct)  # its water is only measured out
    correct.checkbox(key="correct_done_2").check().run()
    correct.checkbox(key="correct_done_3").check().run()
    assert f"The bath now:</b> {last} with" in said(correct)


def test_what_stands_as_planned_counts_as_it_was_worked_out():
    """1.075 L is measured out as 1.07: counted so, the 6.01 L of the last step became 6.00 with the last tick."""
    held = {"copper_sulfate": "120 ± 6 g/L", "sulfuric_acid": "10 ± 3 g/L"}
    reading = {"kind": "previous check", "since": "evaporation only", **held}
    sheet = read_sheet({"bath": {"volume": "4.5 L", "usual_volume": "6 L"}, "reading": [reading]})
    advice = advise(sheet)
    used = as_used(sheet, advice, ticks.amounts(advice.steps))
    volumes = [step.after.volume for step in advice.steps]
    assert [step.after.volume for step in used.steps] == pytest.approx(volumes, abs=1e-4)


def test_the_map_and_the_next_step_follow_what_was_really_used(correct):
    correct.checkbox(key="correct_done_1").check().run()
    planned = said(correct)
    on_map = re.compile("After crystals \\(done\\): [^.]+")
    then = re.compile("Then: [^<]+")
    correct.text_input(key="correct_used_1").input("400").run()
    used = said(correct)
    assert on_map.search(used).group() != on_map.search(planned).group()
    assert then.search(used).group() != then.search(planned).group()
    on_check = said(correct.switch_page(str(PAGES / "check.py")).run())
    assert on_map.search(on_check).group() == on_map.search(used).group()


def test_far_more_than_planned_ends_the_plan(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.text_input(key="correct_used_1").input("300").run()
    assert "Add nothing more" not in said(correct)
    correct.text_input(key="correct_used_1").input("2560").run()
    assert "That is not the 256 g of the plan" in said(correct)
    assert "Add nothing more: stir ten minutes, and measure again." in said(correct)


def test_what_nobody_asked_before_the_first_tick_is_told_at_its_step(correct):
    """1 mL of 96 % acid is 1.835 · 0.96 / (0.37 · 1.276) mL of 37 % acid (densities from memory, CRC Handbook)."""
    correct.session_state["sheet"]["stock"] = {}
    assert "This is of acid of" not in said(correct.run())
    correct.checkbox(key="correct_done_1").check().run()
    found = re.search(r"This is of acid of 96\s%\. If yours has 37\s%, it takes (\d+)\smL\.", said(correct))
    (planned,) = re.findall(r"(\d+(?:\.\d+)?)\smL of sulfuric acid", " ".join(box.label for box in correct.checkbox))
    assert int(found[1]) == pytest.approx(float(planned) * 1.835 * 0.96 / (0.37 * 1.276), rel=0.01)


def test_an_amount_that_cannot_be_read_changes_nothing_of_the_others(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.text_input(key="correct_used_1").input("400").run()
    now = re.compile("The bath now:[^<]*<[^<]*")
    used = now.search(said(correct)).group()
    correct.checkbox(key="correct_done_2").check().run()
    correct.text_input(key="correct_used_2").input("abc").run()
    assert "The bath now" not in said(correct)  # of both it cannot be told
    correct.checkbox(key="correct_done_1").uncheck().run()
    correct.text_input(key="correct_used_2").input("abc").run()
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").uncheck().run()
    assert now.search(said(correct)).group() == used


def test_what_a_step_says_itself_is_folded_and_every_caution_is_there(correct):
    first = "\n".join(block.proto.body for block in correct.get("html")).replace("\N{NO-BREAK SPACE}", " ")
    for act in salt_acts(1.0):
        inside = [part for part in first.split("<details")[1:] if caution(act) in part.partition("</details>")[0]]
        assert caution(act) in first
        assert bool(inside) == (act in SAID_BY_THE_STEP)


def test_a_bare_number_is_in_the_unit_of_the_step_beside_it(correct):
    """256 g are 9.03 oz of 28.3495 g (NIST SP 811). What was typed keeps its unit where others are chosen later."""
    correct.session_state["sheet"]["bath"]["name"] = "Shed tank"
    correct.session_state["units"] = Units.US_FIRST
    correct.run()
    correct.checkbox(key="correct_done_1").check().run()
    field = correct.text_input(key="correct_used_1")
    assert (field.label, field.value) == ("Really used (oz)", "9.03 oz")
    field.input("9.2").run()
    correct.session_state["units"] = Units.METRIC
    assert correct.run().text_input(key="correct_used_1").value == "9.2 oz"
    correct.button(key="saving_check").click().run()
    (added,) = [entry.content for entry in Logbook().entries("Shed tank") if isinstance(entry.content, CrystalsAdded)]
    assert added.mass.text == "9.2 oz"


def test_steps_that_the_record_holds_are_not_offered_again(named, correct):
    correct.button(key="saving_check").click().run()
    assert correct.checkbox(key="correct_done_1")
    for done in DONE_OF_DULL:
        Logbook().record("Shed tank", done)
    correct.run()
    assert f"Something went in since this check, last on {day_said(datetime.date.today())}: measure again." in said(
        correct
    )
    assert not [box for box in correct.checkbox if box.key.startswith("correct_done")]


def test_a_correction_that_was_begun_elsewhere_is_gone_on_with(named, correct):
    """One of two steps stands in the record, by another visit or by hand: the acid that never went in is not forgotten."""
    correct.button(key="saving_check").click().run()
    Logbook().record("Shed tank", CrystalsAdded(mass=parse("250 g", "mass")))
    correct.run()
    assert [box.value for box in correct.checkbox if box.key.startswith("correct_done")] == [True, False]
    assert correct.text_input(key="correct_used_1").value == "250 g"
    assert "Step 1 is saved as entry 2." in said(correct)
    correct.checkbox(key="correct_done_2").check().run()
    correct.button(key="saving_check").click().run()
    kinds = [type(entry.content) for entry in Logbook().entries("Shed tank")]
    assert kinds == [Check, CrystalsAdded, AcidAdded]


@pytest.mark.parametrize(
    "other",
    [
        [CrystalsAdded(mass=parse("500 g", "mass"))],  # twice the plan
        DONE_OF_DULL[1:],
        [CrystalsAdded(mass=parse("256 g", "mass")), CrystalsAdded(mass=parse("100 g", "mass"))],
    ],
)
def test_what_was_done_otherwise_than_planned_is_to_be_measured(named, correct, other):
    correct.button(key="saving_check").click().run()
    for content in other:
        Logbook().record("Shed tank", content)
    assert "Something went in since this check" in said(correct.run())


def test_steps_that_this_page_saved_stay_with_their_ticks(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.button(key="saving_check").click().run()
    correct.run()
    assert correct.checkbox(key="correct_done_1").value
    assert "Step 1 is saved as entry 2." in said(correct)


def test_an_amount_that_cannot_be_read_is_said_at_its_field(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.text_input(key="correct_used_1").input("plenty").run()
    assert 'Not usable: Really used: you gave "plenty"' in said(correct)
    assert "The bath now:" not in said(correct)


def test_at_the_end_it_says_to_measure_again(correct):
    for number in (1, 2):
        assert "measure again" not in said(correct)
        correct.checkbox(key=f"correct_done_{number}").check().run()
    assert "Stir ten minutes, then measure again" in said(correct)


def test_what_went_in_by_an_earlier_plan_is_said_until_it_is_known(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.text_input(key="correct_used_1").input("250").run()
    correct.session_state["fold_stock"] = True
    correct.run()
    sheet_field(correct.text_input, "sheet_bath_volume").input("3 L").run()
    assert "The plan has changed since you ticked" in said(correct)
    assert "In the bath already: 250 g of copper sulfate crystals." in said(correct)
    assert correct.button(key="measure_again").label == "Measure again"
    assert not boxes(correct)  # no step that was done shows as open
    correct.button(key="went_in_known").click().run()
    assert "The plan has changed" not in said(correct)
    assert boxes(correct)
    assert not any(boxes(correct))


def test_of_ticks_without_amounts_that_an_older_version_kept_it_says_how_many(named):
    """Drafts of 0.1.0 hold the numbers of the steps and a mark of their plan."""
    named.session_state["correct_plan"], named.session_state["correct_done_1"] = "an older one", True
    named.session_state["correct_sheet"] = named.session_state["sheet"]
    for key in ("correct_steps", "correct_used_1"):
        if key in named.session_state:
            del named.session_state[key]
    told = said(named.run())
    assert "In the bath already: 1 step of the plan before." in told
    assert boxes(named) == []


def test_a_tick_stays_where_the_new_plan_has_about_the_same_step(correct, check):
    """8.7 mL of titrant for 8.6: the same crystals within a gram or two, of which 250 g are in the bath."""
    correct.checkbox(key="correct_done_1").check().run()
    correct.text_input(key="correct_used_1").input("250").run()
    correct.session_state["sheet"]["reading"][0]["used"] = "8.7 mL"
    assert "1 of 2 steps is done" in glance(check())
    correct.switch_page(str(PAGES / "correct.py")).run()
    assert boxes(correct) == [True, False]
    assert correct.text_input(key="correct_used_1").value == "250 g"


def test_a_field_typed_after_a_step_was_saved_brings_no_dose_back(named, correct, check):
    """The plan stays about the same: the step stays done, and the check is not filed a second time."""
    correct.checkbox(key="correct_done_1").check().run()
    correct.button(key="saving_check").click().run()
    correct.session_state["sheet"]["bath"]["temperature"] = "25 degC"
    assert "1 of 2 steps is done" in glance(check())
    correct.switch_page(str(PAGES / "correct.py")).run()
    assert boxes(correct) == [True, False]
    correct.checkbox(key="correct_done_2").check().run()
    correct.button(key="saving_check").click().run()
    assert [type(entry.content) for entry in Logbook().entries("Shed tank")] == [Check, CrystalsAdded, AcidAdded]


def test_a_plan_that_changed_much_after_a_step_was_saved_asks_for_a_reading(named, correct, check):
    """The readings are those of the check that the record holds before the step: they know nothing of it."""
    correct.checkbox(key="correct_done_1").check().run()
    correct.button(key="saving_check").click().run()
    correct.session_state["sheet"]["bath"]["volume"] = "3 L"
    told = glance(check())
    assert "Measure again before you add more." in told
    assert "256 g of copper sulfate crystals" in told
    assert "Add " not in told
    keys = [button.key for button in correct.button]
    assert "measure_again" in keys
    assert not {"glance_correct", "saving_check", "went_in_known"} & set(keys)
    correct.switch_page(str(PAGES / "correct.py")).run()
    assert boxes(correct) == []
    correct.session_state["sheet"]["reading"][0]["used"] = "8.7 mL"  # measured anew, it may be
    assert "went_in_known" in [button.key for button in correct.run().button]


def test_a_step_ticked_here_stands_beside_one_that_another_tab_saved(named, correct, check):
    """This tab did the acid, another one saved the crystals: both are in the bath, and each is saved once."""
    correct.button(key="saving_check").click().run()
    correct.checkbox(key="correct_done_2").check().run()
    Logbook().record("Shed tank", DONE_OF_DULL[0])
    assert "The correction is done" in glance(check())
    correct.switch_page(str(PAGES / "correct.py")).run()
    assert boxes(correct) == [True, True]
    correct.button(key="saving_check").click().run()
    kinds = [type(entry.content) for entry in Logbook().entries("Shed tank")]
    assert kinds == [Check, CrystalsAdded, AcidAdded]


def test_a_step_that_was_saved_is_undone_in_the_logbook_alone(named, correct, check):
    """Unticked here it would be told a second time, while the record counts it."""
    correct.checkbox(key="correct_done_1").check().run()
    correct.button(key="saving_check").click().run()
    assert correct.checkbox(key="correct_done_1").disabled
    assert not correct.checkbox(key="correct_done_2").disabled
    (_, crystals) = Logbook().entries("Shed tank")
    Logbook().correct(crystals.id, CrystalsAdded(mass=parse("240 g", "mass")))
    correct.run()
    assert boxes(correct) == [True, False]
    assert correct.text_input(key="correct_used_1").value == "240 g"
    Logbook().correct(crystals.id, Withdrawn())
    assert "Add 256 g crystals" in glance(check())
    correct.switch_page(str(PAGES / "correct.py")).run()
    assert boxes(correct) == [False, False]


def test_a_step_ticked_here_that_another_tab_saved_is_not_counted_twice(named, correct):
    correct.button(key="saving_check").click().run()
    correct.checkbox(key="correct_done_1").check().run()
    Logbook().record("Shed tank", DONE_OF_DULL[0])
    assert "Something went in since this check" in said(correct.run())


@pytest.fixture
def check(correct):
    """Turn from the page Correct to the page Check, with what is ticked."""
    return lambda: correct.switch_page(str(PAGES / "check.py")).run()


OTHER = {
    "bath": {"name": "Small tank", "volume": "3 L", "coldest": "15 degC"},
    "reading": [{"kind": "laboratory report", "copper_sulfate": "150 ± 4 g/L", "sulfuric_acid": "30 ± 3 g/L"}],
}


def begin_another(app):
    """Begin the check of another bath on the first page, type it in, and look at its answer and its correction."""
    app.switch_page(str(PAGES / "home.py")).run()
    app.button(key="home_own").click().run()
    app.session_state["sheet"].update(deepcopy(OTHER))
    on_check = said(app.run())
    return on_check + said(app.switch_page(str(PAGES / "correct.py")).run())


@pytest.mark.parametrize("saved", [False, True])
def test_what_was_ticked_for_one_bath_is_not_said_of_another(named, saved):
    named.checkbox(key="correct_done_1").check().run()
    if saved:
        named.button(key="saving_check").click().run()
    told = begin_another(named)
    assert "Small tank" in told
    assert "The plan has changed" not in told
    assert not any(box.value for box in named.checkbox)


def test_what_was_ticked_for_a_bath_without_a_name_is_not_said_of_another(correct):
    correct.session_state["example"] = False
    del correct.session_state["sheet"]["bath"]["name"]
    correct.run().checkbox(key="correct_done_1").check().run()
    assert "The plan has changed" not in begin_another(correct)


def test_a_bath_that_is_the_same_by_its_readings_has_nothing_ticked(named):
    named.checkbox(key="correct_done_1").check().run()
    sheet = deepcopy(named.session_state["sheet"])
    sheet["bath"]["name"] = "Its twin"
    named.session_state["sheet"] = sheet
    assert not any(box.value for box in named.run().checkbox)


def measured_since(app):
    """Put a later reading of the same bath in the place of its sheet, as its next check has it."""
    app.session_state["sheet"] = {**deepcopy(OTHER), "bath": {**OTHER["bath"], "name": "Shed tank"}}
    on_check = said(app.switch_page(str(PAGES / "check.py")).run())
    return on_check + said(app.switch_page(str(PAGES / "correct.py")).run())


def test_what_is_recorded_is_not_warned_of_at_the_next_check(named):
    named.checkbox(key="correct_done_1").check().run()
    named.button(key="saving_check").click().run()
    named.session_state["sheet"] = deepcopy(named.session_state["sheet"])  # as a page loaded anew has it
    assert named.run().checkbox(key="correct_done_1").value
    assert "The plan has changed" not in measured_since(named)


def test_of_two_steps_the_one_that_is_not_recorded_is_warned_of_at_the_next_check(named):
    named.checkbox(key="correct_done_1").check().run()
    named.button(key="saving_check").click().run()
    named.checkbox(key="correct_done_2").check().run()
    warned = re.findall(r"In the bath already: (.*?)\. No reading", measured_since(named))
    assert warned == ["410 mL of sulfuric acid"] * 2  # on each of the pages


def test_what_went_in_by_an_earlier_plan_is_not_said_of_another_bath(named):
    named.checkbox(key="correct_done_1").check().run()
    named.session_state["sheet"]["bath"]["volume"] = "3 L"
    assert "The plan has changed" in said(named.run())
    assert "The plan has changed" not in begin_another(named)


def test_what_went_in_is_said_in_the_units_that_are_chosen(named):
    """250 g are 8.82 oz of 28.3495 g (NIST SP 811)."""
    named.session_state["units"] = Units.US_FIRST
    named.run().checkbox(key="correct_done_1").check().run()
    named.text_input(key="correct_used_1").input("8.82 oz").run()
    named.session_state["units"] = Units.METRIC
    named.session_state["sheet"]["bath"]["volume"] = "3 L"
    assert "already: 250 g of copper sulfate crystals." in said(named.run())
    named.session_state["units"] = Units.US_FIRST
    assert "already: 8.82 oz (250 g) of copper sulfate crystals." in said(named.run())


def test_an_amount_that_cannot_be_read_is_said_as_it_was_typed(named):
    named.checkbox(key="correct_done_1").check().run()
    named.text_input(key="correct_used_1").input("plenty").run()
    named.session_state["sheet"]["bath"]["volume"] = "3 L"
    assert "already: plenty of copper sulfate crystals." in said(named.run())


def glance(app):
    said = next(block.proto.body for block in app.get("html") if 'class="glance' in block.proto.body)
    return said.replace("\N{NO-BREAK SPACE}", " ")


def test_a_step_that_is_done_is_not_advised_again_on_the_page_check(correct, check):
    assert "256 g crystals" in glance(check())
    correct.switch_page(str(PAGES / "correct.py")).run()
    correct.checkbox(key="correct_done_1").check().run()
    begun = glance(check())
    assert "256 g crystals" not in begun
    assert "1 of 2 steps is done" in begun
    assert "Add 410 mL acid (37 %)." in begun
    assert correct.button(key="glance_correct").label == "Go on correcting"


def test_a_step_that_is_done_out_of_turn_is_not_advised_again(correct, check):
    correct.checkbox(key="correct_done_2").check().run()
    begun = glance(check())
    assert "1 of 2 steps is done" in begun
    assert "Add 256 g crystals." in begun
    assert "410 mL" not in begun


def test_the_page_check_says_what_went_in_by_a_plan_that_has_changed(correct, check):
    correct.checkbox(key="correct_done_1").check().run()
    correct.session_state["sheet"]["bath"]["volume"] = "3 L"
    assert "256 g of copper sulfate crystals. No reading knows of that" in glance(check())


def test_what_is_saved_on_the_page_check_has_the_steps_that_are_done(named, correct, check):
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").check().run()
    check().button(key="saving_check").click().run()
    kinds = [type(entry.content) for entry in Logbook().entries("Shed tank")]
    assert kinds == [Check, CrystalsAdded, AcidAdded]


def test_measuring_again_puts_no_example_into_the_logbook(correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").check().run()
    again = correct.button(key="measure_again")
    assert again.label == "Measure again"
    again.click().run()
    assert not Logbook().entries()


def test_measuring_again_saves_first_what_the_record_does_not_know(named, correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.button(key="saving_check").click().run()
    correct.checkbox(key="correct_done_2").check().run()
    again = correct.button(key="measure_again")
    assert again.label == "Save and measure again"
    again.click().run()
    carried, begun = correct.session_state["sheet"]["reading"]
    assert begun["kind"] == "hydrometer"
    assert "value" not in begun
    assert float(carried["sulfuric_acid"].split()[0]) > 40  # 21 g/L before the acid went in


def test_measuring_again_begins_the_test_to_do_again_and_no_dose(correct, check):
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").check().run()
    assert "Stir ten minutes, then measure again." in glance(check())
    assert not [button for button in correct.button if button.key == "glance_correct"]
    correct.session_state["example"] = False
    correct.session_state["sheet"]["bath"] |= {"name": "", "date": datetime.date.today()}
    correct.run()
    correct.button(key="measure_again").click().run()
    assert not correct.exception
    sheet = correct.session_state["sheet"]
    carried, begun = sheet["reading"]  # steps that no record holds go along too
    assert float(carried["sulfuric_acid"].split()[0]) > 40  # 21 g/L before the acid went in
    assert begun["kind"] == "acid titration"
    assert "used" not in begun
    assert parse(sheet["bath"]["volume"], "volume").value == pytest.approx(6.11, abs=0.01)  # 5.6 L before
    assert "name" not in sheet["bath"]
    assert not Logbook().entries()
    assert "correct_done_1" not in correct.session_state


def test_measuring_again_begins_from_the_record_where_that_knows_of_the_steps(named, correct):
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").check().run()
    correct.button(key="saving_check").click().run()
    correct.button(key="measure_again").click().run()
    kinds = [reading["kind"] for reading in correct.session_state["sheet"]["reading"]]
    assert kinds == ["previous check", "hydrometer"]  # of two done before, what tells as much with less work


def test_what_just_went_in_is_not_taken_for_dried_away_when_it_is_measured_again(named, correct):
    named.session_state["sheet"]["bath"]["date"] = datetime.date.today()
    named.run()
    correct.checkbox(key="correct_done_1").check().run()
    correct.checkbox(key="correct_done_2").check().run()
    correct.button(key="measure_again").click().run()
    bath, (carried, _) = correct.session_state["sheet"]["bath"], correct.session_state["sheet"]["reading"]
    assert parse(bath["volume"], "volume").value == pytest.approx(6.11, abs=0.01)  # 5.6 L before
    assert parse(carried["volume"], "volume").value == pytest.approx(parse(bath["volume"], "volume").value, abs=0.01)


def test_the_page_check_says_that_the_record_holds_a_correction(named, correct, check):
    correct.button(key="saving_check").click().run()
    crystals, acid = DONE_OF_DULL
    Logbook().record("Shed tank", crystals)
    assert "1 of 2 steps is done" in glance(check())
    assert "410 mL acid" in glance(correct)
    assert "256 g" not in glance(correct)
    Logbook().record("Shed tank", acid)
    assert "Corrected since this check" in glance(check())
    assert "256 g" not in glance(correct)


def test_a_small_amount_is_asked_for_in_the_unit_in_which_its_step_names_it(correct):
    """80 mL of bath lack 4 mL of water: taken for litres, what is typed would be a thousandfold."""
    sheet = correct.session_state["sheet"]
    report = {"kind": "laboratory report", "copper_sulfate": "225 ± 2 g/L", "sulfuric_acid": "80 ± 1 g/L"}
    sheet["reading"] = [report]
    sheet["bath"] = {"volume": "80 mL", "usual_volume": "80 mL", "max_volume": "120 mL", "additives": False}
    correct.run()
    correct.checkbox(key="correct_done_1").check().run()
    field = correct.text_input(key="correct_used_1")
    assert field.label == "Really used (mL)"
    planned = float(field.value.removesuffix(" mL"))
    assert 1 < planned < 40
    field.input(f"{planned + 1:g}").run()
    assert correct.text_input(key="correct_used_1").value == f"{planned + 1:g} mL"
