"""The page Upkeep: what is due, forms, entries to edit; one tap on the page of a run; a line on Home."""

import datetime
from dataclasses import replace
from types import SimpleNamespace

import pytest

from advisor.basis.places import PAGES
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.entries import AdditiveDose, AnodesWiped, Done, Filtered, Noted, RunDone, standing
from advisor.record.logbook import Logbook
from advisor.sheet import parse_sheet
from advisor.ui.parts import due
from advisor.words.lines import Units
from tests.record.some_days import on
from tests.widgets import press, sheet_field, text_of

BATH = "Shed tank"


@pytest.fixture
def kept() -> Logbook:
    """A month of entries, written so many days ago."""
    logbook = Logbook()
    now = datetime.datetime.now(datetime.UTC)
    for ago, word, fields in (
        (40, "level", {"volume": "5 L"}),
        (40, "additive", {"additive": "Brightener", "per_ampere_hour": "0.25 mL"}),
        (35, "run", {"part": "shell", "charge": "60 A*h", "part_before": "10.0 g", "part_after": "80.0 g"}),
        (1, "remind", {"what": "look at the <b>bags</b>", "after": "10 min"}),
    ):
        logbook.record(BATH, on(0, word, **fields).content, now - datetime.timedelta(days=ago))
    return logbook


def counting(logbook: Logbook, kind: type) -> list:
    return [entry for entry in standing(logbook.entries(BATH)) if isinstance(entry.content, kind)]


def test_an_empty_logbook_says_how_to_begin(app_test):
    app = app_test("upkeep.py")
    assert not app.exception
    assert "Nothing is recorded yet" in text_of(app)


def test_it_tells_what_is_due_and_what_was_deposited(app_test, kept):
    app = app_test("upkeep.py")
    assert not app.exception
    said = text_of(app)
    assert "Give 15.0 ± 0.9 mL of Brightener" in said
    assert "Filter the bath" in said
    assert "Wipe loose film off the anodes" in said
    assert "Look at the &lt;b&gt;bags&lt;/b&gt;" in said
    assert "which is 98 ± 6 % of the charge" in said
    assert [button.label for button in app.button].count("Done") == 3


def test_what_the_anodes_fed_stands_with_its_caution(app_test, kept):
    assert "Wipe anodes out of the bath" not in text_of(app_test("upkeep.py"))
    now = datetime.datetime.now(datetime.UTC)
    for ago, mass in ((36, "1240 g"), (1, "1230 g")):
        kept.record(BATH, on(0, "anode-mass", mass=mass).content, now - datetime.timedelta(days=ago))
    app = app_test("upkeep.py")
    assert not app.exception
    assert "Wipe anodes out of the bath, with the current off, gloves and goggles on" in text_of(app)


def test_done_is_one_tap(app_test, kept):
    app = app_test("upkeep.py")
    for _ in range(3):
        press(app, "Done")
    assert not app.exception
    assert [len(counting(kept, kind)) for kind in (Filtered, AnodesWiped, Done)] == [1, 1, 1]
    assert "Done" not in [button.label for button in app.button]


def test_a_dose_stands_in_the_form_as_it_is_due(app_test, kept):
    app = app_test("upkeep.py")
    press(app, "Write this dose down")
    assert app.selectbox(key="upkeep_kind").value == "additive dose"
    press(app, "Write it down")
    assert not app.exception
    (dose,) = counting(kept, AdditiveDose)
    assert dose.content.volume.text == "15 mL"
    assert dose.content.additive == "Brightener"
    assert "Written down as entry 5: 15 mL of Brightener given." in text_of(app)
    assert "Write this dose down" not in [button.label for button in app.button]


def test_the_button_of_a_dose_fills_in_its_own_bottle(app_test, kept):
    week = datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=40)
    kept.record(BATH, on(0, "additive", additive="Carrier", per_ampere_hour="0.5 mL").content, week)
    app = app_test("upkeep.py")
    said = text_of(app)
    assert said.index("Give 15.0 ± 0.9 mL of Brightener") < said.index("Give 30 ± 2 mL of Carrier")
    [button for button in app.button if button.label == "Write this dose down"][1].click().run()
    press(app, "Write it down")
    assert not app.exception
    (dose,) = counting(kept, AdditiveDose)
    assert (dose.content.volume.text, dose.content.additive) == ("30 mL", "Carrier")
    press(app, "Write this dose down")
    press(app, "Write it down")
    assert counting(kept, AdditiveDose)[-1].content.additive == "Brightener"


def test_an_entry_is_edited_in_its_place_and_withdrawn(app_test, kept):
    app = app_test("upkeep.py")
    app.text_input(key="upkeep_edit_3_plating run_charge").input("6")
    app.button(key="FormSubmitter:upkeep_edit_3_plating run-Save the change").click().run()
    assert not app.exception
    (run,) = counting(kept, RunDone)
    assert run.content.ampere_hours == 6
    assert run.corrects == 3
    assert f"Entry 3 is changed; it counts as entry {run.id} now: Shell plated" in text_of(app)
    app.button(key=f"upkeep_withdraw_{run.id}").click().run()
    assert counting(kept, RunDone) == []
    assert len(kept.entries(BATH)) == 6


def test_a_planned_run_is_written_down_with_one_tap(app_test):
    app = app_test("plating_run.py")
    sheet_field(app.text_input, "sheet_plate_area").input("85").run()
    sheet_field(app.text_input, "sheet_plate_time").input("6").run()
    assert sheet_field(app.text_input, "sheet_bath_name_asked")  # without a name it is asked beside the tap
    app.session_state["sheet"]["bath"] = {"name": BATH}
    app.run()
    app.text_input(key="plating_part").input("shell").run()
    press(app, "Write this run down")
    assert not app.exception
    (run,) = counting(Logbook(), RunDone)
    assert run.content.area.text == "85 cm²"
    assert run.content.time.value == 6
    assert run.content.part == "shell"
    assert f"Written down as entry {run.id}: Shell plated at" in text_of(app)
    (link,) = [link for link in app.get("page_link") if "anodes" in link.proto.label]
    assert link.proto.query_string == "view=anodes"
    app.query_params["view"] = "anodes"
    app.switch_page(str(PAGES / "treatments.py")).run()
    assert app.segmented_control(key="treatments_view").value == "anodes"


@pytest.mark.parametrize(
    ("page", "sheet", "said"),
    [
        (
            "keep_or_remake.py",
            {"bath": {"volume": "5 L"}},
            "Keep or remake: Keep it for now. Not measured: copper sulfate",
        ),
        ("deposit_faults.py", {"deposit": {"looks": ["dull"]}}, "Deposit faults (dull): "),
    ],
)
def test_what_an_answer_says_is_noted_in_the_record_of_a_bath_that_is_named_there(app_test, page, sheet, said):
    app = app_test(page)
    app.session_state["sheet"] = sheet
    app.run()
    sheet_field(app.text_input, "sheet_bath_name_asked").input(BATH)
    press(app, "Write this down")
    assert not app.exception
    (note,) = counting(Logbook(), Noted)
    assert note.content.note.startswith(said)
    assert f"Written down as entry {note.id}" in text_of(app)


def test_home_says_what_is_due_and_leads_there(app_test, kept):
    app = app_test("home.py")
    assert not app.exception
    assert "Due: " in text_of(app)
    press(app, "What is due")
    assert app.selectbox(key="upkeep_bath").value == BATH


def test_a_bath_is_poured_into_a_new_one_with_its_balance_said_first(app_test, kept):
    sheet = parse_sheet(example_text("dull").encode())
    named = replace(sheet, bath=replace(sheet.bath, name=BATH, date=datetime.date.today()))
    kept.record_check(named, advise(named))
    app = app_test("upkeep.py")
    assert "Baths side by side" not in text_of(app)
    app.session_state["fold_baths"] = app.session_state["fold_pour"] = True
    app.run()
    assert "Baths side by side" in text_of(app)
    app.text_input(key="pour_name").input("Jar").run()
    app.text_input(key="pour_volume").input("2").run()
    assert "2.00 L of Shed tank go into Jar." in text_of(app)
    assert kept.baths() == (BATH,)
    press(app, "It is poured: write it down")
    assert not app.exception
    assert set(kept.baths()) == {BATH, "Jar"}
    assert len(kept.entries(BATH)) == 6
    app.text_input(key="pour_volume").input("200").run()
    assert "Not usable" in text_of(app)
    app.session_state["units"] = Units.US_FIRST
    app.run()
    assert app.text_input(key="pour_volume").label == "How much (gal)"
    app.text_input(key="pour_name").input("Jug").run()
    app.text_input(key="pour_volume").input("0.5").run()
    assert "(1.89 L) of Shed tank go into" in text_of(app)


LEFT = {"brightener": 3.0, "carrier": None, "leveller": 0.0, "wetting agent": 12.0}  # days


def test_doses_are_written_down_in_the_order_in_which_they_come():
    """As their tasks stand; what nothing tells of has no task."""
    doses = [SimpleNamespace(additive=name, days_left=lambda days=days: days) for name, days in LEFT.items()]
    assert list(due._bottles(doses)) == ["leveller", "brightener", "wetting agent"]
